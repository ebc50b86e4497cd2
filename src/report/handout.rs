//! The handout: a worksheet as one page to print and to read, and what it says.
//!
//! Beside the report stands what a page needs and a terminal doesn't: formulas as
//! they are laid out, where each caution is said in full, numbered sources, what
//! the numbers don't cover, and which values are for the reader to work out. The
//! writer is in `page`, formulas in [`mathml`]; both see this model alone.
//! Start reading at [`Handout`].

use std::collections::BTreeMap;

use super::compare::Compare;
use super::doubt::Doubt;
use super::model::{Part, Report};
use super::why::SourceUsed;

mod card;
mod cautions;
mod closing;
pub(crate) mod math;
mod mathml;
mod page;
mod pieces;
mod typeset;

use math::Math;

/// The words by which a file is known for a handout that was made before.
pub(crate) const MADE: &str = "<meta name=\"generator\" content=\"tarebook handout\"/>";

/// What a page is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Form {
    /// To read: everything stands there.
    #[default]
    Full,
    /// To hang on the set: one page of answers, clock times, checks and dangers.
    Card,
    /// To fill in: exercises are left to the reader, or where there are none all that is worked out.
    Pupil,
    /// What the page to fill in leaves out.
    Key,
}

impl Form {
    /// Every form with the word that asks for it.
    pub const ALL: [(Form, &'static str); 4] = [
        (Form::Full, "full"),
        (Form::Card, "card"),
        (Form::Pupil, "pupil"),
        (Form::Key, "key"),
    ];
}

/// A worksheet as a page.
#[derive(Clone, PartialEq, Debug)]
pub struct Handout {
    /// The worksheet's name as people are told it.
    pub name: String,
    /// What the page is for.
    pub form: Form,
    /// The day on which it was made.
    pub made: String,
    /// Whether there are exercises, so that everything else stands worked out.
    pub has_exercises: bool,
    /// What was worked out.
    pub report: Report,
    /// More about each entry of the report, place by place.
    pub entries: Vec<More>,
    /// More about each table of the report, place by place.
    pub tables: Vec<More>,
    /// Who draws each chart of the report, place by place.
    pub charts: Vec<Whose>,
    /// What makes each answer uncertain, where a straight line tells.
    pub budgets: Vec<Doubt>,
    /// More about each caution of the report, place by place.
    pub cautions: Vec<CautionMore>,
    /// The trials in hand.
    pub trials: Vec<Tried>,
    /// The cases side by side; `None` where there are none.
    pub cases: Option<Compare>,
    /// What the numbers don't cover, beside the cautions that say so.
    pub uncovered: Vec<Uncovered>,
    /// Every source once, in the order in which they are met.
    pub sources: Sources,
    /// More about each check of the report, place by place.
    pub checks: Vec<CheckMore>,
}

impl Handout {
    /// More about an entry or a table that stands in a section.
    pub(super) fn more(&self, part: &Part) -> Option<&More> {
        match part {
            Part::Entry(place) => self.entries.get(*place),
            Part::Table(place) => self.tables.get(*place),
            _ => None,
        }
    }

    /// The same, to be changed.
    pub(super) fn more_mut(&mut self, part: &Part) -> Option<&mut More> {
        match part {
            Part::Entry(place) => self.entries.get_mut(*place),
            Part::Table(place) => self.tables.get_mut(*place),
            _ => None,
        }
    }

    /// What stands in the sections, from top to bottom.
    pub(super) fn parts(&self) -> impl Iterator<Item = &Part> {
        self.report.sections.iter().flat_map(|section| &section.parts)
    }
}

/// The whole page.
pub fn write(handout: &Handout) -> String {
    let body = match handout.form {
        Form::Card => card::body(handout),
        _ => page::body(handout),
    };
    page::around(handout, &body)
}

/// Who gives a value or draws a chart.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Whose {
    /// It is given: written down, or held by a case or a trial.
    Given,
    /// It is worked out.
    #[default]
    Worked,
    /// It is a blank of the worksheet.
    ToFill,
}

/// How the page to fill in treats something.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Left {
    /// It stands there.
    #[default]
    Told,
    /// It is left to the reader, with room to write.
    Open,
    /// It isn't there at all: it serves to judge an exercise, or it can't be worked out.
    Out,
}

/// What a page says of an entry or a table beyond the report.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct More {
    /// Who gives its value.
    pub whose: Whose,
    /// How the page to fill in treats it.
    pub left: Left,
    /// How it is worked out; `None` for what is given or written down.
    pub derivation: Option<Derivation>,
    /// What its checks make of it, where it is a blank that a check asks for.
    pub solution: Option<Solution>,
    /// The cautions that are said in full beside it, by their places.
    pub cautions: Vec<usize>,
    /// Those that it raises too and that are said elsewhere.
    pub cautioned: Vec<usize>,
}

/// What the checks make of a blank that they ask for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Solution {
    /// A check has it equal to something
    Worked {
        /// What, in the worksheet's own names
        formula: Math,
        /// The same with values put in, where that is something else
        values: Option<Math>,
        /// What it comes to
        result: Math,
    },
    /// The only whole number up to the greatest tried that meets its checks
    Counted {
        /// The number
        result: Math,
        /// The greatest that was tried
        tried: i64,
    },
    /// It can't be told from them
    Untold,
    /// There are none
    Unchecked,
}

/// What a page says of a check beyond the report.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct CheckMore {
    /// What it says where it doesn't hold.
    pub hint: Option<String>,
    /// The blank that it asks for; of several the last.
    pub asks: Option<String>,
    /// In the key the usual wrong answers, each with what is said of it.
    pub slips: Vec<(String, String)>,
    /// In the key how near an answer has to be.
    pub near: Option<String>,
}

/// How a value is worked out.
#[derive(Clone, PartialEq, Debug)]
pub struct Derivation {
    /// The formula in the worksheet's own names.
    pub formula: Math,
    /// The same with values put in, where that is something else.
    pub values: Option<Math>,
    /// What it comes to, where it is a single value.
    pub result: Option<Math>,
    /// What was converted on the way: `1 h = 60 min`.
    pub conversions: Vec<String>,
    /// The rules of the trade, or of the worksheet itself, that it rests on.
    pub rules: Vec<Rule>,
}

/// A rule that a derivation rests on.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rule {
    /// Its name; empty for the worksheet's own.
    pub name: String,
    /// As its declaration writes it.
    pub formula: String,
    /// The same with values put in.
    pub with_values: Option<String>,
    /// Its sources.
    pub sources: Vec<SourceUsed>,
    /// Whether the page says it here: the worksheet meets it for the first time.
    pub is_first: bool,
}

/// What a page says of a caution beyond the report.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CautionMore {
    /// The title of its source.
    pub source: String,
    /// Where it is said in full.
    pub place: Place,
}

/// Where a caution is said in full.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// At the top, before anything else is read.
    Top,
    /// Beside the entry or table that raises it first.
    Beside,
    /// With what the numbers don't cover, below a letter.
    Uncovered,
}

/// A value on trial.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tried {
    /// The entry.
    pub name: String,
    /// The value it holds.
    pub value: String,
    /// What it holds without the trial.
    pub record: String,
    /// Whether that is worked out.
    pub worked: bool,
}

/// Something that the numbers don't cover.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Uncovered {
    /// What of: a function's name, or empty.
    pub of: String,
    /// What to know, in sentences.
    pub told: String,
    /// The sources that say so.
    pub sources: Vec<SourceUsed>,
}

/// Sources in the order in which they are met, each once.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Sources {
    list: Vec<Source>,
    places: BTreeMap<String, usize>,
}

/// A source with its standing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Source {
    /// What it is.
    pub title: String,
    /// How good it is: `published`; or how the worksheet knows it: `measured`.
    pub standings: Vec<String>,
}

impl Sources {
    /// Notes that a source was met.
    pub fn meet(&mut self, title: &str, standing: &str) {
        let place = *self.places.entry(title.to_owned()).or_insert(self.list.len());
        if place == self.list.len() {
            self.list.push(Source {
                title: title.to_owned(),
                standings: Vec::new(),
            });
        }
        if let Some(source) = self.list.get_mut(place)
            && !source.standings.iter().any(|known| known == standing)
        {
            source.standings.push(standing.to_owned());
        }
    }

    /// The number of a source, from 1.
    pub fn number(&self, title: &str) -> Option<usize> {
        self.places.get(title).map(|place| place + 1)
    }

    /// All of them; the first has number 1.
    pub fn list(&self) -> &[Source] {
        &self.list
    }
}
