//! Two worksheets of one thing: which lines of the first the second would question.
//!
//! For readers A is the first worksheet and B the second. Start reading at [`Against`].

use serde::Serialize;

use super::document::{Block, Document, Sentence, Term};
use super::in_hand::InHand;
use super::model::told_place;
use super::study::{Records, Study};
use super::style::Tone;
use super::sweep::Named;

/// Which lines of a worksheet another of the same thing would question.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Against {
    /// The second worksheet, as it was in hand.
    pub other: InHand,
    /// The answers that both have.
    pub answers: Vec<Both>,
    /// The lines of the first that the second has otherwise, the largest part first.
    pub lines: Vec<Line>,
    /// What the second alone has, by name.
    pub only_b: Vec<String>,
    /// What both have alike and an audit of the first finds likely to be a slip: `load (line 55)`.
    pub shared_slips: Vec<String>,
    /// How the parts were found, where not as usual.
    #[serde(skip)]
    pub remarks: Vec<String>,
}

/// An answer of both.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Both {
    /// Its name.
    pub name: String,
    /// In the first, for a reader.
    pub a: String,
    /// In the second, for a reader.
    pub b: String,
    /// The difference in words.
    pub difference: Option<String>,
}

/// A line of the first that the second has otherwise.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Line {
    /// Its name; `TABLE.COLUMN` for a column.
    pub name: String,
    /// Its line, from 1.
    pub line: u32,
    /// The file that it stands in, where it is one that the worksheet rests on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// What the second says to it, as a code.
    pub verdict: &'static str,
    /// What the first writes.
    pub a: String,
    /// What the second writes; nothing where it has none.
    pub b: Option<String>,
    /// What an audit of the first finds likely to be a slip there.
    pub slips: Vec<&'static str>,
    /// The part that it makes of each answer's difference, together with what it is taken over with.
    pub shares: Named<String>,
    /// What the second says to it, in words.
    #[serde(skip)]
    pub said: Option<String>,
    /// What else there is to say: sources, rows.
    #[serde(skip)]
    pub more: Option<String>,
    /// The parts for a reader: `-17 h 55 min of runtime`.
    #[serde(skip)]
    pub parts: Vec<String>,
    /// Whether it is worth a question: it moves an answer, and not only within the ± of both.
    #[serde(skip)]
    pub counts: bool,
}

const QUESTIONED: &str = "What B would question in A";
const ELSE: &str = "What B has otherwise, and moves no answer or lies within both ±";
const NOTHING: &str = "B would question nothing in A: what both have is the same.";
const NO_ANSWERS: &str = "They have no answers in common, so no line has a part in one.";
/// So many lines stand on one screen.
const ON_SCREEN: usize = 4;
/// No more than so many that have no partner are named there.
const NAMED: usize = 5;

impl Study for Against {
    const NAME: &'static str = "Audit";

    fn other(&self) -> Option<&InHand> {
        Some(&self.other)
    }

    fn document(&self, in_hand: &InHand) -> Document {
        let mut document = self.head(in_hand);
        for (heading, counts) in [(QUESTIONED, true), (ELSE, false)] {
            let lines: Vec<Term> = self.lines(counts).map(|line| line.term(true)).collect();
            if !lines.is_empty() {
                document.heading(heading);
            }
            document.terms(lines);
        }
        document.gap();
        for told in self.beside().iter().chain(&self.remarks) {
            document.tell(Tone::Faint, Sentence::marked(told));
        }
        document
    }

    fn screen(&self, in_hand: &InHand) -> Document {
        let mut document = self.head(in_hand);
        let lines: Vec<&Line> = self.lines(true).collect();
        if !lines.is_empty() {
            document.heading(QUESTIONED);
        }
        document.terms(lines.iter().take(ON_SCREEN).map(|line| line.term(false)).collect());
        if let more @ 1.. = lines.len().saturating_sub(ON_SCREEN) {
            document.note(Tone::Faint, format!("and {more} more"));
        }
        document.gap();
        let rest = match self.lines(false).count() {
            0 => String::new(),
            1 => "1 other line differs and moves no answer, or lies within both ±. ".to_owned(),
            rest => format!("{rest} other lines differ and move no answer, or lie within both ±. "),
        };
        let alone = self.alone();
        let told = format!("{rest}{alone}`audit against FILE all` tells everything.");
        document.tell(Tone::Faint, Sentence::marked(&told));
        document
    }

    /// One row a line and answer.
    fn rows(&self) -> Records {
        let rows = self.lines.iter().flat_map(|line| {
            let one = |answer: &str, part: &str| {
                let b = line.b.clone().unwrap_or_default();
                let own = [&line.line.to_string(), &line.name, line.verdict, &line.a, &b];
                let own = own.into_iter().map(|cell| (*cell).to_owned());
                own.chain([line.slips.join(" "), answer.to_owned(), part.to_owned()])
                    .collect::<Vec<String>>()
            };
            match line.shares.0.as_slice() {
                [] => vec![one("", "")],
                shares => shares.iter().map(|(answer, part)| one(answer, part)).collect(),
            }
        });
        Records::of(
            ["line", "name", "verdict", "a", "b", "slips", "answer", "change"],
            rows.collect::<Vec<_>>(),
        )
    }
}

impl Against {
    fn lines(&self, counts: bool) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(move |line| line.counts == counts)
    }

    /// Both worksheets, and what their answers come to.
    fn head(&self, in_hand: &InHand) -> Document {
        let mut document = Document::default();
        for (letter, side) in [("A", in_hand), ("B", &self.other)] {
            let title = side.title.as_ref().map_or(String::new(), |title| format!(" · {title}"));
            let told = format!("{letter}: {}{title}", side.file);
            document.0.push(Block::Title(told.into()));
        }
        document.gap();
        let (same, apart): (Vec<&Both>, Vec<&Both>) = self.answers.iter().partition(|both| both.difference.is_none());
        for both in apart {
            let words = both.difference.as_deref().unwrap_or("");
            let told = format!(": {} in A, {} in B, {words}", both.a, both.b);
            document.item(1, None, Sentence::of_code(&both.name).plain(told));
        }
        let same: Vec<&str> = same.iter().map(|both| both.name.as_str()).collect();
        if !same.is_empty() {
            document.item(1, None, format!("The same in both: {}.", same.join(", ")));
        }
        if self.lines.is_empty() {
            document.say(NOTHING);
        } else if self.answers.is_empty() {
            document.say(NO_ANSWERS);
        }
        document
    }

    /// What the other has nothing for, by name.
    fn alone(&self) -> String {
        let only_a = self.lines.iter().filter(|line| line.verdict == "only-in-a");
        let only_a: Vec<&str> = only_a.map(|line| &*line.name).collect();
        let only_b: Vec<&str> = self.only_b.iter().map(String::as_str).collect();
        let told = |side: &str, names: &[&str]| match names {
            [] => String::new(),
            _ if names.len() <= NAMED => format!("{side} alone has {}. ", names.join(", ")),
            _ => format!("{side} alone has {} lines. ", names.len()),
        };
        format!("{}{}", told("A", &only_a), told("B", &only_b))
    }

    /// What one of them alone has, and what both may have wrong.
    fn beside(&self) -> Vec<String> {
        let mut told = Vec::new();
        if !self.only_b.is_empty() {
            told.push(format!("B alone has {}.", self.only_b.join(", ")));
        }
        if !self.shared_slips.is_empty() {
            told.push(format!(
                "Both have alike, and it is likely to be a slip: {}. `audit` says why.",
                self.shared_slips.join(", ")
            ));
        }
        told
    }
}

impl Line {
    /// What both write, what B says to it, and what it makes of the answers.
    fn term(&self, all: bool) -> Term {
        let b = self.b.as_deref().unwrap_or("nothing");
        let told = Sentence::of_code(&self.name).plain(": ").code(&self.a);
        let told = told.or_break().plain("→ ").code(b);
        let mut said = vec![(None, told)];
        let mut more = self.parts.join(", ");
        for word in self.said.iter().map(String::as_str).chain(self.slips.iter().copied()) {
            let between = if more.is_empty() { "" } else { " · " };
            more = format!("{more}{between}{word}");
        }
        said.extend((!more.is_empty()).then(|| (None, Sentence::from(more))));
        let rest = self.more.iter().filter(|_| all);
        said.extend(rest.map(|more| (Some(Tone::Faint), Sentence::from(more))));
        Term::new(told_place(self.line, self.file.as_deref()), said)
    }
}
