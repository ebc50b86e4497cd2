//! Studies as verbs: how each is asked for, and what does it.
//!
//! Both shells read a study from its row here: what stands behind the verb, and the
//! words that may follow with a value each, which are options on the command line. They are
//! listed in [`super::studies`]. Start reading at [`StudyVerb`].

use crate::report::study::{Format, Written};
use crate::study::Watch;

use super::verbs::typed_verb;
use super::{Refusal, Session};

/// A study as a verb.
#[derive(Clone, Copy, Debug)]
pub struct StudyVerb {
    /// The verb.
    pub name: &'static str,
    /// What stands behind it: `INPUT`; nothing where it is about the whole worksheet.
    pub about: Option<&'static str>,
    /// The words that may follow.
    pub words: &'static [Word],
    /// Whether it draws charts.
    pub draws: bool,
    /// Whether `all` may stand behind it: it tells what decides alone where it doesn't.
    pub brief: bool,
    /// Does it.
    pub find: fn(&mut Session, &Asked, &dyn Watch) -> Outcome,
}

impl StudyVerb {
    /// A study of the whole worksheet, without a word behind it.
    pub(super) const fn new(name: &'static str, find: fn(&mut Session, &Asked, &dyn Watch) -> Outcome) -> StudyVerb {
        StudyVerb {
            name,
            about: None,
            words: &[],
            draws: false,
            brief: false,
            find,
        }
    }
}

/// What was found, or why there is nothing.
pub type Outcome = Result<Box<dyn Written>, Refusal>;

/// A word with a value behind it: `from A`, on the command line `--from A`.
#[derive(Clone, Copy, Debug)]
pub struct Word {
    /// The word.
    pub word: &'static str,
    /// What its value is called in help.
    pub value: &'static str,
    /// Whether it has to stand there.
    pub needed: bool,
    /// The word before its second value, as in `between A and B`.
    pub and: Option<&'static str>,
    /// Whether it stands on the command line as it does in a session: `against FILE`.
    pub bare: bool,
    /// What is wrong with a value, or rather what it takes.
    pub refuse: fn(&str) -> Option<String>,
}

/// Behind a study: all that it found is told.
pub(crate) const ALL: &str = "all";

/// Words that were called otherwise in an earlier release, with what they are called now.
pub(crate) const RENAMED: [(&str, &str); 2] = [("points", "values"), ("seconds", "time-limit")];

impl Word {
    /// A word that may be left out, and takes any text.
    pub(crate) const fn new(word: &'static str, value: &'static str) -> Word {
        Word {
            word,
            value,
            needed: false,
            and: None,
            bare: false,
            refuse: |_| None,
        }
    }

    /// It has to stand there.
    pub(super) const fn needed(self) -> Word {
        Word { needed: true, ..self }
    }

    /// It takes a second value behind this word.
    pub(super) const fn and(self, and: &'static str) -> Word {
        Word { and: Some(and), ..self }
    }

    /// It stands on the command line as it does in a session.
    pub(super) const fn bare(self) -> Word {
        Word { bare: true, ..self }
    }

    /// What is wrong with a value is told.
    pub(super) const fn refusing(self, refuse: fn(&str) -> Option<String>) -> Word {
        Word { refuse, ..self }
    }
}

/// A study as it was asked for: texts as typed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Asked {
    /// What stands behind the verb.
    pub about: String,
    /// The words that follow, with their values.
    pub words: Vec<(&'static str, String)>,
    /// Whether all of it is asked for.
    pub all: bool,
}

impl StudyVerb {
    /// Reads what was typed behind the verb: `air from -20 °F to 60 °F step 10 °F`.
    ///
    /// # Errors
    /// Something is missing, stands twice or can't be read.
    pub fn typed(&self, line: &str) -> Result<Asked, Refusal> {
        let refusal = |message: String| {
            let usage = typed_verb(self.name).and_then(|verb| verb.typed).unwrap_or(self.name);
            Refusal::new(message).help(format!("write `{usage}`"))
        };
        let asked = self.parted(line.trim());
        for (place, (word, value)) in asked.words.iter().enumerate() {
            if value.is_empty() {
                return Err(refusal(format!("`{word}` needs a value behind it")));
            }
            if asked.words.iter().take(place).any(|(known, _)| known == word) {
                return Err(refusal(format!("`{word}` stands twice")));
            }
            let known = self.words.iter().find(|known| known.word == *word);
            if let Some(takes) = known.and_then(|known| (known.refuse)(value)) {
                return Err(Refusal::new(format!("`{word}` can't be `{value}`")).help(takes));
            }
        }
        for (once, now) in RENAMED
            .iter()
            .filter(|(_, now)| self.words.iter().any(|known| known.word == *now))
        {
            if asked
                .words
                .iter()
                .any(|(_, value)| value.split(' ').any(|piece| piece == *once))
            {
                return Err(refusal(format!("`{once}` is called `{now}` now")));
            }
        }
        let has = |word: &str| asked.get(word).is_some();
        for known in self.words {
            let pair = known.and.filter(|and| has(known.word) != has(and));
            let missing = pair.map(|and| if has(known.word) { and } else { known.word });
            let missing = missing.or((known.needed && !has(known.word)).then_some(known.word));
            if let Some(word) = missing {
                return Err(refusal(format!(
                    "`{}` needs `{word}` with a value behind it",
                    self.name
                )));
            }
        }
        if let (Some("NAME" | "INPUT"), Some((name, more))) = (self.about, asked.about.split_once(' ')) {
            return Err(refusal(format!("`{more}` can't stand behind `{} {name}`", self.name)));
        }
        match (self.about, asked.about.is_empty()) {
            (Some(about), true) => Err(refusal(format!("`{}` needs {about}", self.name))),
            (None, false) => Err(refusal(format!("`{}` can't be followed by that", self.name))),
            _ => Ok(asked),
        }
    }

    /// What stands before the first of its words, and each word with what follows it.
    fn parted(&self, line: &str) -> Asked {
        let without = line.strip_suffix(ALL).filter(|_| self.brief);
        let without = without.filter(|rest| rest.ends_with(' ') || self.about.is_none() && rest.is_empty());
        let mut asked = Asked {
            all: without.is_some(),
            ..Asked::default()
        };
        let line = without.unwrap_or(line);
        let words = self
            .words
            .iter()
            .flat_map(|known| [Some(known.word), known.and])
            .flatten();
        let words: Vec<&'static str> = words.collect();
        for piece in line.split_whitespace() {
            // behind `by` the same words speak of the second input
            let second = asked.words.iter().any(|(word, _)| *word == "by");
            let of_second = words
                .iter()
                .find(|word| second && word.strip_prefix("by-") == Some(piece));
            if let Some(word) = of_second.or(words.iter().find(|word| **word == piece)) {
                asked.words.push((*word, String::new()));
                continue;
            }
            let into = asked.words.last_mut().map_or(&mut asked.about, |(_, text)| text);
            if !into.is_empty() {
                into.push(' ');
            }
            into.push_str(piece);
        }
        asked
    }
}

impl Asked {
    /// The form it is told in: where neither all of it nor a depth was asked for, on one screen.
    pub fn form(&self, format: Format) -> Format {
        match format {
            Format::Text if !self.all && self.get("depth").is_none() => Format::Screen,
            other => other,
        }
    }

    /// The value behind a word.
    pub fn get(&self, word: &str) -> Option<&str> {
        let found = self.words.iter().find(|(known, _)| *known == word);
        found.map(|(_, value)| value.as_str())
    }

    /// The same as a text of its own.
    pub(super) fn text(&self, word: &str) -> Option<String> {
        self.get(word).map(str::to_owned)
    }
}

/// A whole number as typed, its digits perhaps parted by underscores; how it can't be read.
pub(super) fn whole(text: &str, (least, most): (u64, u64)) -> Result<u64, String> {
    let parts: Vec<&str> = text.split('_').collect();
    let digits = |part: &&str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
    let number = parts.iter().all(digits).then(|| parts.concat().parse().ok()).flatten();
    let number = number.filter(|number| (least..=most).contains(number));
    number.ok_or_else(|| format!("it takes a whole number from {least} to {most}"))
}
