//! The verbs of the interactive session, and what each prints.
//!
//! Start reading at [`Conversation::verb`].

use std::io::{self, Write};

use crate::report::change;
use crate::report::drawing::draw;
use crate::report::handout::Form;
use crate::report::study::Format;
use crate::report::style::Letters;
use crate::report::visible::{is_hidden, visible};
use crate::report::{chart, pages};
use crate::session::Refusal;
use crate::session::asked::StudyVerb;
use crate::session::disk::typed_path;
use crate::session::file::Replacing;
use crate::session::studies::study_verb;
use crate::session::unnamed::Unnamed;
use crate::session::verbs::{every_typed_help, typed_help, typed_verb};

use super::super::looking::{checks_text, functions, shown};
use super::super::pager;
use super::super::progress::Progress;
use super::{Conversation, Lines, Next, Reply};

impl<L: Lines, W: Write> Conversation<'_, L, W> {
    pub(super) fn verb(&mut self, word: &str, rest: &str) -> io::Result<Next> {
        let words: Vec<&str> = rest.split_whitespace().collect();
        match (word, words.as_slice()) {
            ("show", _) => self.show(rest),
            ("check", []) => self.check(),
            ("plot", [_, ..]) => self.plot(rest),
            ("plain", []) => self.letters(Letters::Plain),
            ("plain", ["off"]) => self.letters(Letters::Drawn),
            ("case", []) => self.list_cases(),
            ("case", [name]) => {
                let result = self.session.set_case(name);
                self.done(result)
            }
            ("trials", []) => self.list_trials(),
            ("keep", []) => {
                let result = self.session.keep();
                self.done(result)
            }
            ("keep", ["plot"]) => {
                let result = self.session.keep_plot();
                self.done(result)
            }
            ("keep", ["as", "case", ..]) => {
                let line = rest.split_once("case").map_or("", |(_, line)| line);
                let result = self.session.keep_as_case(line.trim());
                self.done(result)
            }
            ("drop", [] | [_] | [_, "of", ..]) => {
                let name = words.join(" ");
                let result = self
                    .session
                    .drop_trials(Some(name.as_str()).filter(|name| !name.is_empty()));
                self.done(result)
            }
            ("undo", []) => {
                let result = self.session.undo();
                self.done(result)
            }
            ("redo", []) => {
                let result = self.session.redo();
                self.done(result)
            }
            ("edit", [name, more @ ..]) if more.is_empty() || Unnamed::of(name).is_some() => self.edit(rest),
            ("add", _) => {
                let result = self.session.add(rest);
                self.done(result)
            }
            ("remove", [_, "of", _, ..]) => {
                let result = self.session.remove_row(rest);
                self.done(result)
            }
            ("remove", [name, more @ ..]) if more.is_empty() || Unnamed::of(name).is_some() => {
                let result = self.session.remove(rest);
                self.done(result)
            }
            ("rename", [old, new]) => {
                let result = self.session.rename(old, new);
                self.done(result)
            }
            ("handout", [_, ..]) => self.handout(rest),
            ("save", _) => self.save(&words, rest),
            ("reload", []) => {
                let result = self.session.reload();
                self.done(result)
            }
            ("functions", _) => {
                let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
                self.page(functions(&words, self.style))
            }
            ("units", _) => {
                let word = (!rest.is_empty()).then_some(rest);
                self.page(pages::units_page(word, self.style))
            }
            ("help", []) => self.page(pages::help_page("", &typed_help(), self.style)),
            ("help", _) => self.page(pages::help_page(rest, &every_typed_help(), self.style)),
            ("quit", []) => self.quit(),
            _ => match study_verb(word) {
                Some(known) => self.study(known, rest),
                None => {
                    let usage = typed_verb(word).and_then(|verb| verb.typed).unwrap_or(word);
                    let refusal = Refusal::new(format!("`{word}` can't be followed by that"));
                    self.refuse(refusal.help(format!("`{usage}`")))
                }
            },
        }
    }

    /// Tells that the time was up before a study was done.
    fn tell_if_over(&mut self) -> io::Result<()> {
        match self.session.overran() {
            Some(refusal) => self.refuse(refusal).map(|_| ()),
            None => Ok(()),
        }
    }

    fn page(&mut self, page: Result<String, String>) -> io::Result<Next> {
        match page {
            Ok(text) => self.print_long(&text)?,
            Err(message) => self.say(&message)?,
        }
        Ok(Next::GoOn)
    }

    /// What was asked for and may be long.
    pub(super) fn print_long(&mut self, text: &str) -> io::Result<()> {
        self.output.flush()?;
        match self.lines.is_terminal() && pager::shown(text) {
            true => Ok(()),
            false => self.print(text),
        }
    }

    // ---- looking ----

    fn show(&mut self, section: &str) -> io::Result<Next> {
        let (report, _) = self.session.reported_for(section);
        match shown(&mut self.session, &report, section, self.style) {
            Ok(text) if text.trim().is_empty() => self.say("There is nothing in it")?,
            Ok(text) if section.is_empty() => self.print(&format!("{}\n", text.trim_end()))?,
            Ok(text) => self.print_long(&format!("{}\n", text.trim_end()))?,
            Err(refusal) => return self.refuse(refusal),
        }
        Ok(Next::GoOn)
    }

    fn check(&mut self) -> io::Result<Next> {
        let (report, problems) = self.session.checked();
        let mut text = checks_text(self.session.name(), &report, self.style);
        for problem in problems {
            text.push_str(&format!("\n{}", draw(&problem, self.style)));
        }
        self.print_long(&text)?;
        Ok(Next::GoOn)
    }

    fn study(&mut self, known: &StudyVerb, line: &str) -> io::Result<Next> {
        let (line, format) = match formatted(line) {
            Ok(asked) => asked,
            Err(refusal) => return self.refuse(refusal),
        };
        let found = known.typed(&line).and_then(|asked| {
            let found = (known.find)(&mut self.session, &asked, &Progress::begin())?;
            Ok((found, asked.form(format)))
        });
        match found {
            Ok((found, format)) => {
                let mut text = Vec::new();
                found.write(format, self.style, &mut text)?;
                match format {
                    Format::Text | Format::Screen => self.print_long(&String::from_utf8_lossy(&text))?,
                    _ => self.output.write_all(&text)?,
                }
                self.tell_if_over()?;
                self.draw(found.beyond())?;
                Ok(Next::GoOn)
            }
            Err(refusal) => self.refuse(refusal),
        }
    }

    fn plot(&mut self, asked: &str) -> io::Result<Next> {
        match self.session.plot(&format!("plot {asked}")) {
            Ok(drawn) => {
                let text = chart::terminal::write(&drawn, self.style);
                self.print(&text)?;
                Ok(Next::GoOn)
            }
            Err(refusal) => self.refuse(refusal),
        }
    }

    fn letters(&mut self, letters: Letters) -> io::Result<Next> {
        self.style.letters = letters;
        self.say(match letters {
            Letters::Plain => "Charts are drawn with plain ASCII characters; `plain off` goes back",
            Letters::Drawn => "Charts are drawn with dots and blocks",
        })?;
        Ok(Next::GoOn)
    }

    fn list_cases(&mut self) -> io::Result<Next> {
        let cases = self.session.sheet().cases();
        if cases.is_empty() {
            self.say("There are no cases; `case NAME \"title\"` opens one")?;
            return Ok(Next::GoOn);
        }
        let in_hand = self.session.sheet().case().map_or("base", |case| &case.name).to_owned();
        let mut rows = vec![("base".to_owned(), "the worksheet as it stands".to_owned())];
        rows.extend(
            cases
                .iter()
                .map(|case| (case.name.clone(), case.title.clone().unwrap_or_default())),
        );
        let width = rows.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
        let mut text = String::new();
        for (name, title) in rows {
            let mark = if name == in_hand { "← in hand" } else { "" };
            let line = format!("  {:<width$}   {}  {mark}", visible(&name), visible(&title));
            text.push_str(line.trim_end());
            text.push('\n');
        }
        self.print(&text)?;
        Ok(Next::GoOn)
    }

    fn list_trials(&mut self) -> io::Result<Next> {
        let answers = self.session.trials().changes();
        if answers.is_empty() {
            self.say("Nothing is on trial; `NAME = value` tries a value")?;
            return Ok(Next::GoOn);
        }
        self.print(&change::write_pairs(&answers, self.style))?;
        Ok(Next::GoOn)
    }

    // ---- changing ----

    fn edit(&mut self, name: &str) -> io::Result<Next> {
        let mut text = match self.session.written(name) {
            Ok(text) => text,
            Err(refusal) => return self.refuse(refusal),
        };
        if self.lines.is_terminal() && text.contains(|c| !matches!(c, '\n' | '\t') && is_hidden(c)) {
            let refusal = Refusal::new(format!("the line of `{name}` has characters that don't show"));
            return self.refuse(refusal.help("type it anew, or change it in a text editor"));
        }
        if self.lines.is_terminal() && text.starts_with("table") && text.contains("\n") {
            self.aside("Alt-Enter begins a new row; `add` puts one in without this")?;
        }
        // a blank is filled in where it stands
        let mut blank = text.find("= ?").filter(|_| self.lines.is_terminal()).map(|at| at + 2);
        if blank.is_some() {
            self.aside("Type the value where the `?` was; Ctrl-C leaves it as it was")?;
        }
        loop {
            let at = blank.take();
            let (before, behind) = match at.and_then(|at| Some((text.get(..at)?, text.get(at + 1..)?))) {
                Some(sides) => sides,
                None => (text.as_str(), ""),
            };
            let begun = format!("{before}{behind}");
            let line = match self.read_between("edit> ", (before, behind))? {
                Reply::Line(line) => self.whole(line)?,
                _ => return Ok(Next::GoOn),
            };
            if line.trim().is_empty() || at.is_some() && line == begun {
                self.say("Left as it was")?;
                return Ok(Next::GoOn);
            }
            let result = self.session.enter_over(name, &line);
            if self.tell(result)? || !self.lines.is_terminal() {
                return Ok(Next::GoOn);
            }
            self.aside("Mend the line, or press Ctrl-C")?;
            text = line;
        }
    }

    fn save(&mut self, words: &[&str], rest: &str) -> io::Result<Next> {
        let result = match words {
            [] => self.session.save(Replacing::Known),
            ["over"] => self.session.save(Replacing::Anything),
            ["as" | "over", ..] => {
                let (how, file) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
                let replacing = if how == "over" {
                    Replacing::Anything
                } else {
                    Replacing::Known
                };
                match file.trim().trim_matches('"') {
                    "" => Err(Refusal::new("a file name is missing").help("`save as FILE`")),
                    file => self.session.save_as(&typed_path(file), replacing),
                }
            }
            _ => Err(Refusal::new("`save` can't be followed by that").help(format!("`save as {rest}`"))),
        };
        let saved = result.is_ok();
        self.tell(result)?;
        let trials = self.session.trials().names();
        if saved && !trials.is_empty() {
            self.aside(&format!(
                "On trial and not saved: {}; `keep` first puts them into the record",
                trials.join(", ")
            ))?;
        }
        Ok(Next::GoOn)
    }

    fn handout(&mut self, asked: &str) -> io::Result<Next> {
        let mut words = Form::ALL.iter().filter_map(|(form, word)| {
            let file = asked.strip_suffix(word)?;
            file.ends_with(char::is_whitespace).then_some((file, *form))
        });
        let (file, form) = words.next().unwrap_or((asked, Form::Full));
        let result = self
            .session
            .write_handout(&typed_path(file.trim().trim_matches('"')), form);
        self.done(result)
    }

    pub(super) fn quit(&mut self) -> io::Result<Next> {
        let filled = self.session.trials().filled();
        if !self.session.unsaved() && filled.is_empty() {
            return Ok(Next::Leave);
        }
        loop {
            match filled.as_slice() {
                [] => self.say("The record has changes that are not saved")?,
                filled => self.say(&format!(
                    "Filled in on trial, and not saved: {}; `save` puts all trials into the record first",
                    filled.join(", ")
                ))?,
            }
            let reply = self.read_one("save, discard or stay? ")?;
            let Reply::Line(line) = reply else {
                return Ok(Next::Leave);
            };
            match line.trim().to_lowercase().as_str() {
                "save" | "s" => {
                    let kept = match filled.is_empty() {
                        true => true,
                        false => {
                            let result = self.session.keep();
                            self.tell(result)?
                        }
                    };
                    let result = kept.then(|| self.session.save(Replacing::Known));
                    let saved = result.map(|result| self.tell(result)).transpose()?;
                    return Ok(if saved == Some(true) { Next::Leave } else { Next::GoOn });
                }
                "discard" | "d" => return Ok(Next::Discard),
                "stay" | "" => return Ok(Next::GoOn),
                other if other.starts_with("save ") => {
                    let rest = line.trim().get("save ".len()..).unwrap_or("").trim().to_owned();
                    let words: Vec<&str> = rest.split_whitespace().collect();
                    self.save(&words, &rest)?;
                    return Ok(if self.session.unsaved() {
                        Next::GoOn
                    } else {
                        Next::Leave
                    });
                }
                _ => self.say("Type `save`, `discard` or `stay`")?,
            }
        }
    }
}

/// What was typed without `--format FORMAT`, and the form.
fn formatted(line: &str) -> Result<(String, Format), Refusal> {
    let Some((before, behind)) = line.split_once("--format") else {
        return Ok((line.to_owned(), Format::Text));
    };
    let (word, rest) = behind
        .trim_start()
        .split_once(char::is_whitespace)
        .unwrap_or((behind.trim(), ""));
    match Format::of(word) {
        Some(format) => Ok((format!("{before} {rest}"), format)),
        None => {
            let refusal = Refusal::new(format!("`--format` can't be `{word}`"));
            let known: Vec<&str> = Format::WORDS.iter().map(|(word, _)| *word).collect();
            Err(refusal.help(format!("it takes one of: {}", known.join(", "))))
        }
    }
}

// ---- pieces of the report ----
