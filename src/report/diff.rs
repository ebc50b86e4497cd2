//! Two worksheets by meaning: what differs, and what each difference does to the answers.
//!
//! For readers A is the first worksheet and B the second. Start reading at [`Diff`].

use serde::Serialize;

use super::change::{Flip, tell_flips};
use super::csv::value_text;
use super::document::{Block, Column, Document, Narrow, Sentence, Table, Term};
use super::in_hand::InHand;
use super::model::Value;
use super::shown::Shown;
use super::study::{Records, Study};
use super::style::Tone;
use super::sweep::Named;

/// What two worksheets differ in.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Diff {
    /// The second worksheet, as it was in hand.
    pub other: InHand,
    /// Inputs that differ, columns and written tables among them.
    pub inputs: Vec<Apart>,
    /// Formulas and rules that differ.
    pub formulas: Vec<Apart>,
    /// The answers that both have.
    pub answers: Vec<Answer>,
    /// What has another name and means the same.
    pub renamed: Vec<Renamed>,
    /// Checks and cases that differ, and what else there is to say, in sentences.
    pub notes: Vec<String>,
    /// The expectations that differ, as written.
    #[serde(skip)]
    pub checks: Vec<Apart>,
    /// The cases that differ, a line each.
    #[serde(skip)]
    pub cases: Vec<String>,
    /// The expectations of both that come out otherwise.
    #[serde(skip)]
    pub flips: Vec<Flip>,
    /// The notes without checks and cases.
    #[serde(skip)]
    pub remarks: Vec<String>,
    /// What there was no time for, in sentences.
    #[serde(skip)]
    pub cut: Vec<String>,
}

/// Something that differs, or that one of them has alone.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Apart {
    /// Its name in the first, or else in the second.
    pub name: String,
    /// What the first writes; nothing where it has none.
    pub a: Option<String>,
    /// What the second writes.
    pub b: Option<String>,
    /// What it is.
    #[serde(skip)]
    pub sort: Sort,
    /// What else there is to say of it.
    #[serde(skip)]
    pub more: Option<String>,
    /// Whether no answer and no check rests on it.
    #[serde(skip)]
    pub idle: bool,
}

/// What differs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sort {
    /// An input
    Input,
    /// A table or a column of one
    Table,
    /// A formula, or a rule of the worksheet's own
    Formula,
    /// An expectation
    Check,
}

/// A name of the first and the name in the second.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Renamed {
    /// In the first.
    pub a: String,
    /// In the second.
    pub b: String,
}

/// An answer of both, with how its difference is shared out.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Answer {
    /// Its name in the first.
    pub name: String,
    /// The unit of all its numbers (of points the parts are intervals; times differ in seconds).
    pub unit: Option<String>,
    /// Its value in the first, with all digits.
    pub a: Value,
    /// Its value in the second, in the unit of the first.
    pub b: Value,
    /// The part of each change.
    pub shares: Named<String>,
    /// What no change accounts for: difference less the sum of the parts.
    pub rest: Option<String>,
    /// Its label.
    #[serde(skip)]
    pub label: Option<String>,
    /// The second less the first, with all digits.
    #[serde(skip)]
    pub difference: Option<String>,
    /// The first for a reader.
    #[serde(skip)]
    pub shown_a: Shown,
    /// The second for a reader, in its own unit.
    #[serde(skip)]
    pub shown_b: Shown,
    /// The difference in words.
    #[serde(skip)]
    pub words: Option<String>,
    /// Whether both are the same.
    #[serde(skip)]
    pub same: bool,
    /// Whether the ± of the two differs.
    #[serde(skip)]
    pub other_doubt: bool,
    /// The parts for a reader, the largest first, each with what it is of.
    #[serde(skip)]
    pub parts: Vec<(String, String)>,
}

/// So many of a list are told to a reader; machines get all.
const MOST_TOLD: usize = 1000;

/// How many more of a list there are.
fn tell_more(document: &mut Document, all: usize) {
    if let more @ 1.. = all.saturating_sub(MOST_TOLD) {
        let told = Sentence::from(format!("and {more} more: "));
        document.item(1, Some(Tone::Faint), told.typed("--format csv").plain(" tells all."));
    }
}

const SAME: &str = "They mean the same.";
const NO_ANSWERS: &str = "They have no answers in common.";

impl Study for Diff {
    const NAME: &'static str = "Diff";

    fn other(&self) -> Option<&InHand> {
        Some(&self.other)
    }

    fn document(&self, in_hand: &InHand) -> Document {
        let mut document = Document::default();
        for (letter, side) in [("A", in_hand), ("B", &self.other)] {
            let title = side.title.as_ref().map_or(String::new(), |title| format!(" · {title}"));
            let told = format!("{letter}: {}{title}", side.file);
            document.0.push(Block::Title(told.into()));
        }
        if self.is_same() {
            document.gap();
            document.say(SAME);
        }
        if !self.cut.is_empty() {
            document.gap();
        }
        for cut in &self.cut {
            document.tell(Tone::Care, cut);
        }
        let all = || self.inputs.iter().chain(&self.formulas).chain(&self.checks);
        for (heading, sort) in [
            ("Inputs that differ", Some(Sort::Input)),
            ("Tables that differ", Some(Sort::Table)),
            ("Formulas that differ", Some(Sort::Formula)),
            ("Checks that differ", Some(Sort::Check)),
            ("What differs, and no answer or check rests on it", None),
        ] {
            let under = |apart: &&Apart| sort == Some(apart.sort).filter(|_| !apart.idle);
            let terms: Vec<Term> = all().filter(under).take(MOST_TOLD).map(Apart::term).collect();
            if !terms.is_empty() {
                document.heading(heading);
            }
            document.terms(terms);
            tell_more(&mut document, all().filter(under).count());
        }
        if !self.cases.is_empty() {
            document.heading("Cases that differ");
        }
        for case in &self.cases {
            document.item(1, None, case);
        }
        if !self.renamed.is_empty() {
            let renamed = self.renamed.iter().map(|one| format!("{} → {}", one.a, one.b));
            document.gap();
            document.say(format!(
                "renamed: {}",
                renamed.take(MOST_TOLD).collect::<Vec<_>>().join(", ")
            ));
            tell_more(&mut document, self.renamed.len());
        }
        self.tell_answers(&mut document);
        if !self.flips.is_empty() {
            document.heading("Checks that come out differently");
        }
        tell_flips(&mut document, &self.flips, ("in B ", "in A"));
        document.gap();
        for remark in &self.remarks {
            document.tell(Tone::Faint, remark);
        }
        document
    }

    /// One row a difference, an answer, a share.
    fn rows(&self) -> Records {
        let all = [
            ("input", &self.inputs),
            ("formula", &self.formulas),
            ("check", &self.checks),
        ];
        let apart = all.into_iter().flat_map(|(what, list)| {
            let said = |said: &Option<String>| said.clone().unwrap_or_default();
            list.iter()
                .map(move |one| [what, &one.name, "", "", &said(&one.a), &said(&one.b), ""].map(str::to_owned))
        });
        let renamed = self.renamed.iter();
        let renamed = renamed.map(|one| ["renamed", &one.a, "", "", &one.a, &one.b, ""].map(str::to_owned));
        let notes = self
            .notes
            .iter()
            .map(|note| ["note", note, "", "", "", "", ""].map(str::to_owned));
        let rows = apart
            .chain(renamed)
            .chain(self.answers.iter().flat_map(Answer::rows))
            .chain(notes);
        Records::of(
            ["what", "name", "of", "unit", "a", "b", "change"],
            rows.map(|row| row.to_vec()),
        )
    }
}

impl Diff {
    /// Whether nothing differs that counts, and all was looked at.
    pub fn is_same(&self) -> bool {
        let nothing = self.cut.is_empty() && self.inputs.is_empty() && self.formulas.is_empty();
        nothing && self.checks.is_empty() && self.cases.is_empty()
    }

    fn tell_answers(&self, document: &mut Document) {
        if self.answers.is_empty() {
            document.gap();
            document.tell(Tone::Faint, NO_ANSWERS);
            return;
        }
        document.heading("Answers");
        let (quiet, loud): (Vec<&Answer>, Vec<&Answer>) = self.answers.iter().partition(|answer| answer.is_quiet());
        loud.iter().take(MOST_TOLD).for_each(|answer| answer.tell(document));
        tell_more(document, loud.len());
        if !quiet.is_empty() {
            let names: Vec<&str> = quiet
                .iter()
                .take(MOST_TOLD)
                .map(|answer| answer.name.as_str())
                .collect();
            document.item(1, None, format!("The same in both: {}.", names.join(", ")));
            tell_more(document, quiet.len());
        }
    }
}

impl Answer {
    /// Whether there is nothing to say but that it is the same.
    fn is_quiet(&self) -> bool {
        self.same && !self.other_doubt && self.parts.is_empty()
    }

    /// `52 h 5 min, shorter by 46 h 7 min (-47 %)`
    fn second(&self) -> String {
        let shown = self.shown_b.in_full();
        match &self.words {
            Some(words) => format!("{shown}, {words}"),
            None if self.same && self.other_doubt => format!("{shown}, the same except for its ±"),
            None if self.same => format!("{shown}, the same"),
            None => shown,
        }
    }

    fn tell(&self, document: &mut Document) {
        let label = self.label.as_ref().map_or(String::new(), |label| format!(": {label}"));
        document.item(1, None, Sentence::of_code(&self.name).plain(label));
        document.item(2, None, format!("A: {}", self.shown_a.in_full()));
        document.item(2, None, format!("B: {}", self.second()));
        if self.parts.is_empty() {
            return;
        }
        document.item(2, None, "of which");
        let parts = self.parts.iter().map(|(_, part)| part);
        let names = self.parts.iter().map(|(name, _)| name);
        let columns = vec![Column::numbers("", parts), Column::words("", names)];
        let caption = format!("What each difference does to {}", self.name);
        document.table(Table::of(caption, Narrow::Below, columns).at(3));
    }

    fn rows(&self) -> Vec<[String; 7]> {
        let unit = self.unit.as_deref().unwrap_or("");
        let change = self.difference.as_deref().unwrap_or("");
        let (a, b) = (value_text(&self.a), value_text(&self.b));
        let own = ["answer", &self.name, "", unit, &a, &b, change].map(str::to_owned);
        let shares = self.shares.0.iter();
        let shares = shares.map(|(share, part)| ["share", share, &self.name, unit, "", "", part].map(str::to_owned));
        let rest = self.rest.iter();
        let rest = rest.map(|rest| ["rest", "", &self.name, unit, "", "", rest].map(str::to_owned));
        std::iter::once(own).chain(shares).chain(rest).collect()
    }
}

/// What both write is said in one line up to so many letters.
const SHORT: usize = 64;

impl Apart {
    /// `20 lb → 15 lb`, one below the other where they are long, or in which it stands alone.
    fn term(&self) -> Term {
        let told = match (&self.a, &self.b) {
            (Some(a), Some(b)) if a.chars().count() + b.chars().count() > SHORT => {
                vec![Sentence::from("A: ").code(a), Sentence::from("B: ").code(b)]
            }
            (Some(a), Some(b)) => vec![Sentence::of_code(a).or_break().plain("→ ").code(b)],
            (Some(a), None) => vec![Sentence::from("only in A: ").code(a)],
            (None, Some(b)) => vec![Sentence::from("only in B: ").code(b)],
            (None, None) => Vec::new(),
        };
        let more = self.more.iter().map(|more| (Some(Tone::Faint), Sentence::from(more)));
        Term::new(
            Sentence::of_code(&self.name),
            told.into_iter().map(|told| (None, told)).chain(more).collect(),
        )
    }
}
