//! The report as plain data: what was worked out, in the order it is shown.
//!
//! The serialized fields are the machine format, schema 2, in its order: they
//! carry all digits. Fields marked as skipped are for readers: they carry the
//! shown digits, the sections in order and what a value rests on. Writers get
//! nothing else. Start reading at [`Report`].

use serde::{Serialize, Serializer};

use super::chart::Chart;
use super::shown::{Awaited, RowNames, Shown};

mod table;

pub(crate) use table::MADE_ROWS;
pub use table::{Column, Table, TwoWays};

/// A worksheet's results in one case, with the trials in hand.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Report {
    /// The first `#` heading.
    pub title: Option<String>,
    /// The worksheet's file, as people are told it.
    pub file: String,
    /// The case; `None` for the base. In machine formats its name.
    #[serde(serialize_with = "case_name")]
    pub case: Option<Case>,
    /// The trials, as they could be typed.
    pub trials: Vec<String>,
    /// Every entry, in the worksheet's order.
    pub entries: Vec<Entry>,
    /// Every table, in the worksheet's order.
    pub tables: Vec<Table>,
    /// Every expectation, in the worksheet's order.
    pub checks: Vec<Check>,
    /// Each caution once.
    pub cautions: Vec<Caution>,
    /// What is wrong, in the order of the lines.
    pub problems: Vec<Problem>,
    /// A chart of every plot line, in the worksheet's order.
    #[serde(skip)]
    pub charts: Vec<Chart>,
    /// The worksheet from top to bottom, for readers.
    #[serde(skip)]
    pub sections: Vec<Section>,
    /// What is left open: blanks, and tables without a row yet.
    #[serde(skip)]
    pub open: Vec<Open>,
    /// How many entries, tables and charts weren't asked for.
    #[serde(skip)]
    pub left_out: usize,
}

/// Something that is to be filled in.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Open {
    /// Its name.
    pub name: String,
    /// Its line, from 1.
    pub line: u32,
    /// Whether it is a table.
    pub table: bool,
}

/// The scenario in hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Case {
    /// Its name.
    pub name: String,
    /// Its title in quotes.
    pub title: Option<String>,
}

/// A heading and what stands beneath it, up to the next heading.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Section {
    /// 1 for `#`; 0 for what stands above the first heading.
    pub level: u8,
    /// The heading; empty above the first.
    pub title: String,
    /// What it holds, in order.
    pub parts: Vec<Part>,
}

/// One piece of a section; numbers are places in the report's lists.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Part {
    /// `> text`
    Prose(String),
    /// An entry, by its place in [`Report::entries`]
    Entry(usize),
    /// A table, by its place in [`Report::tables`]
    Table(usize),
    /// A check, by its place in [`Report::checks`]
    Check(usize),
    /// A chart, by its place in [`Report::charts`]
    Chart(usize),
    /// A rule of the worksheet's own, as written
    Rule(String),
    /// Another worksheet that this one rests on, with what is taken from it
    RestsOn(String),
}

/// How an entry's value is known.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum EntryKind {
    /// `measured`
    Measured,
    /// `quoted`
    Quoted,
    /// `assumed`
    Assumed,
    /// `worked`
    Worked,
    /// `answer`
    Answer,
}

impl EntryKind {
    /// The word that opens the line.
    pub fn word(self) -> &'static str {
        match self {
            EntryKind::Measured => "measured",
            EntryKind::Quoted => "quoted",
            EntryKind::Assumed => "assumed",
            EntryKind::Worked => "worked",
            EntryKind::Answer => "answer",
        }
    }
}

/// What holds an entry's value in place of its own line.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Holder {
    /// The case in hand.
    Case,
    /// A trial.
    Trial,
}

impl Holder {
    /// As shown.
    pub fn word(self) -> &'static str {
        match self {
            Holder::Case => "case",
            Holder::Trial => "trial",
        }
    }
}

/// What sort of value an entry or a column holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum ValueType {
    /// A number, with or without a unit.
    Number,
    /// A text.
    Text,
    /// True or false.
    Truth,
    /// A clock time.
    Time,
    /// A clock time that was counted on from another, with its day.
    Counted,
    /// A date with a time.
    Moment,
}

impl ValueType {
    /// As shown.
    pub fn word(self) -> &'static str {
        match self {
            ValueType::Number => "number",
            ValueType::Text => "text",
            ValueType::Truth => "truth",
            ValueType::Time => "time",
            ValueType::Counted => "counted",
            ValueType::Moment => "moment",
        }
    }
}

/// One value as machines read it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
#[serde(untagged)]
pub enum Scalar {
    /// Decimal text without exponent or trailing zeros, a time `21:40:00`, a
    /// counted time `06:00:00 (+1 d)`, a moment in ISO 8601, or a text
    Text(String),
    /// True or false
    Truth(bool),
    /// What it can be, where only that is known: `{"low": "48", "high": null}`
    Within(Extent),
}

/// What a value can be, where a limit has cut short what it rests on. An end is `None`
/// where nothing is known on that side.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Extent {
    /// The least it can be.
    pub low: Option<String>,
    /// The most it can be.
    pub high: Option<String>,
    /// In words, `more than 48`.
    #[serde(skip)]
    pub told: String,
}

/// What is told of a value, of a column cell by cell, or nothing.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize)]
#[serde(untagged)]
pub enum OfCells<T> {
    /// There is none.
    #[default]
    Nothing,
    /// Of one value.
    One(T),
    /// Of a column; `None` is a missing cell.
    Column(Vec<Option<T>>),
}

/// A value, a column of them, or none.
pub type Value = OfCells<Scalar>;

/// A standard uncertainty as decimal text in the unit of its value; nothing where it is exact, or not known.
pub type Uncertainty = OfCells<String>;

/// What draws say of a value that a straight line can't tell.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Drawn {
    /// Why it can't: `hides`, since the value moves by jumps; `bends`; `by-draws`, since it
    /// comes from a table; `gaps`, since it has no value in part of its ±.
    pub why: &'static str,
    /// The low end of what 95 % of the draws lie in.
    pub low: Option<Scalar>,
    /// The high end.
    pub high: Option<Scalar>,
    /// The values inside, where they are few.
    pub values: Option<Vec<Scalar>>,
}

/// What draws say of a value, or of the rows of a column; nothing where the straight line tells.
pub type Drawings = OfCells<Drawn>;

/// How many inputs of each kind a value rests on.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Basis {
    /// Read off an instrument.
    pub measured: usize,
    /// Stated by somebody.
    pub quoted: usize,
    /// Guessed.
    pub assumed: usize,
    /// Tables.
    pub tables: usize,
}

/// One entry of the worksheet.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// The label in quotes.
    pub label: Option<String>,
    /// How it is known.
    pub kind: EntryKind,
    /// Its line, from 1.
    pub line: u32,
    /// The heading it stands under.
    pub section: Option<String>,
    /// What holds its value in place of its line.
    pub held_by: Option<Holder>,
    /// What sort of value it holds.
    #[serde(rename = "type")]
    pub value_type: ValueType,
    /// The value, with all digits.
    pub value: Value,
    /// The unit as shown; `None` for plain numbers, texts, truth and times.
    pub unit: Option<String>,
    /// The standard uncertainty in that unit.
    pub uncertainty: Uncertainty,
    /// What draws say beside that, where a straight line can't tell.
    pub drawn: Drawings,
    /// As readers see it.
    #[serde(rename = "display")]
    pub shown: Shown,
    /// What tells the rows of a column apart.
    pub rows: Option<RowNames>,
    /// What follows `from`.
    #[serde(rename = "from")]
    pub source: Option<String>,
    /// What follows `note`.
    pub note: Option<String>,
    /// What it waits on.
    pub waits_on: Vec<Awaited>,
    /// The expression as written, for calculated entries.
    #[serde(skip)]
    pub formula: Option<String>,
    /// The table that a worked column is shown in.
    #[serde(skip)]
    pub in_table: Option<String>,
    /// The inputs a calculated value rests on.
    #[serde(skip)]
    pub basis: Basis,
    /// How far a rule of thumb in it may itself be out, beside the uncertainty.
    #[serde(skip)]
    pub rule_errors: Vec<String>,
}

impl Entry {
    /// The value in one line; of a worked column, where it is shown.
    pub(crate) fn in_one_line(&self) -> String {
        match &self.in_table {
            Some(table) => format!("a column of {table}"),
            None => self.shown.display(),
        }
    }
}

/// An expectation and whether it holds.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Check {
    /// Its line, from 1.
    pub line: u32,
    /// The file that it stands in, where it is one that the worksheet rests on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// What it is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The condition as written, with its name; of a check that marks an answer only what it marks.
    pub text: String,
    /// `None` where it can't be told.
    pub holds: Option<bool>,
    /// Whether an answer that it marks is nearly right.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub close: bool,
    /// Whether it marks an answer.
    #[serde(skip)]
    pub marks: bool,
    /// The `else` text, or why it can't be told; `None` if it holds.
    pub message: Option<String>,
    /// Whether its limit lies within the uncertainty.
    pub either_way: bool,
    /// Whether it is undecided since something has no value.
    #[serde(skip)]
    pub waits: bool,
    /// In how many of 100 it holds, where that can be told of one that is so close.
    #[serde(skip)]
    pub in_hundred: Option<u32>,
    /// The values behind it, where it doesn't hold: `as it stands, runtime is 1 h 4 min`.
    #[serde(skip)]
    pub compared: Option<String>,
    /// What a reader should know beside the verdict, such as a limit that lies
    /// within the uncertainty.
    #[serde(skip)]
    pub remark: Option<String>,
}

impl Check {
    /// The verdict in words.
    pub fn verdict(&self) -> &'static str {
        match self.close {
            true => "close",
            false => verdict(self.holds),
        }
    }

    /// Where it stands, as people are told.
    pub fn place(&self) -> String {
        told_place(self.line, self.file.as_deref())
    }

    /// What is said below it: the message, the values behind it, the remark.
    pub fn told(&self) -> impl Iterator<Item = &str> {
        [&self.message, &self.compared, &self.remark]
            .into_iter()
            .filter_map(|told| told.as_deref())
    }

    /// The condition, with its line where somebody will want to look there.
    pub fn placed(&self) -> String {
        match self.holds {
            Some(true) => self.text.clone(),
            _ => format!("{} ({})", self.text, self.place()),
        }
    }
}

/// `line 5`, `line 5 of cylinders.tare`
pub(crate) fn told_place(line: u32, file: Option<&str>) -> String {
    match file {
        Some(file) => format!("line {line} of {file}"),
        None => format!("line {line}"),
    }
}

/// A verdict in words.
pub fn verdict(holds: Option<bool>) -> &'static str {
    match holds {
        Some(true) => "holds",
        Some(false) => "does not hold",
        None => "undecided",
    }
}

/// Something a reader must be told, with its source.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Caution {
    /// The code word.
    pub code: String,
    /// How much it weighs: `danger`, `plan` or `note`.
    pub weight: Weight,
    /// The same in half a line.
    #[serde(skip)]
    pub brief: &'static str,
    /// The worksheet that it comes from, where it is one that this one rests on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// The answers that rest on what it comes from.
    #[serde(skip)]
    pub answers: Vec<String>,
    /// Whether it speaks against readings that those rest on.
    #[serde(skip)]
    pub accuses: bool,
    /// What it says.
    pub text: String,
    /// Where it comes from, with its standing.
    pub source: String,
    /// The entries it comes from.
    pub names: Vec<String>,
}

/// How much a caution weighs.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// It is about life.
    Danger,
    /// A plan may fail by it.
    Plan,
    /// It says what a rule or a model leaves out.
    Note,
}

/// How much a problem weighs.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Something can't be read or computed.
    Problem,
    /// Everything computes, but somebody may trip over it.
    Lint,
}

/// Something wrong, as machines read it; [`super::drawing`] draws it for people.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Problem {
    /// The code word.
    pub code: String,
    /// Problem or lint.
    pub severity: Severity,
    /// What is wrong, in one line.
    pub message: String,
    /// The file it is in; `None` for the worksheet.
    pub file: Option<String>,
    /// Its line, from 1.
    pub line: u32,
    /// Its column in characters, from 1.
    pub column: u32,
    /// The one thing to do.
    pub help: Option<String>,
}

/// The line that closes the cautions.
pub(crate) const LOCAL_CODE: &str = "Local code and a licensed person decide; these figures only inform them.";

/// The line that closes the cautions where they don't speak of carbon monoxide.
pub(crate) const CARBON_MONOXIDE: &str = "Carbon monoxide kills without a smell: run the set outdoors \
    only, at least 20 ft from the house, never in a garage, with alarms on every level.";

/// The same in half a line.
pub(crate) const CARBON_MONOXIDE_BRIEF: &str = "Set outdoors, 20 ft from the house; carbon monoxide alarms on.";

impl Report {
    /// The answers, in the worksheet's order.
    pub fn answers(&self) -> impl Iterator<Item = &Entry> {
        let is_answer = |entry: &&Entry| entry.kind == EntryKind::Answer;
        self.entries.iter().filter(is_answer)
    }

    /// What readings have against them that answers rest on, a sentence each: it is told before
    /// those answers, however little room there is.
    pub(crate) fn against_readings(&self) -> impl Iterator<Item = &str> {
        let told = self
            .cautions
            .iter()
            .filter(|caution| caution.accuses && !caution.answers.is_empty());
        told.map(|caution| {
            let end = caution.text.find(". ").map_or(caution.text.len(), |end| end + 1);
            caution.text.get(..end).unwrap_or_default()
        })
    }

    /// The lines that close the cautions; none where there are no cautions.
    pub fn closing(&self) -> Vec<&'static str> {
        if self.cautions.is_empty() {
            return Vec::new();
        }
        let spoken = |caution: &Caution| caution.code == "carbon-monoxide";
        if self.cautions.iter().any(spoken) {
            return vec![LOCAL_CODE];
        }
        vec![LOCAL_CODE, CARBON_MONOXIDE]
    }

    /// The prose that opens the section of the title, which goes with the title.
    pub(crate) fn introduction(&self) -> impl Iterator<Item = &str> {
        let title = self.sections.iter().find(|section| self.is_title(section));
        let parts = title.map_or(&[][..], |section| section.parts.as_slice());
        parts.iter().map_while(|part| match part {
            Part::Prose(text) => Some(text.as_str()),
            _ => None,
        })
    }

    /// Whether the section is the one that the title heads.
    pub(crate) fn is_title(&self, section: &Section) -> bool {
        section.level == 1 && self.title.as_deref() == Some(section.title.as_str())
    }

    /// What a section holds beside the introduction.
    pub fn body<'a>(&self, section: &'a Section) -> &'a [Part] {
        let is_prose = |part: &&Part| matches!(part, Part::Prose(_));
        let skipped = match self.is_title(section) {
            true => section.parts.iter().take_while(is_prose).count(),
            false => 0,
        };
        section.parts.get(skipped..).unwrap_or(&[])
    }

    /// The prose right below the title, which opens a page.
    pub fn opening(&self) -> impl Iterator<Item = &str> {
        let count = self.opening_count(0);
        let parts = self.sections.first().and_then(|section| section.parts.get(..count));
        parts.unwrap_or(&[]).iter().filter_map(|part| match part {
            Part::Prose(text) => Some(text.as_str()),
            _ => None,
        })
    }

    /// What the section of that number holds beside the opening.
    pub(crate) fn below_opening<'a>(&self, number: usize, section: &'a Section) -> &'a [Part] {
        section.parts.get(self.opening_count(number)..).unwrap_or(&[])
    }

    fn opening_count(&self, number: usize) -> usize {
        let first = self.sections.first().filter(|_| number == 0);
        let first = first.filter(|section| section.level == 0 || self.is_title(section));
        let is_prose = |part: &&Part| matches!(part, Part::Prose(_));
        first.map_or(0, |section| section.parts.iter().take_while(is_prose).count())
    }

    /// How many problems there are, lints left out.
    pub fn problem_count(&self) -> usize {
        let is_problem = |problem: &&Problem| problem.severity == Severity::Problem;
        self.problems.iter().filter(is_problem).count()
    }

    /// What the first of them says.
    pub(crate) fn first_problem(&self) -> Option<&str> {
        let is_problem = |problem: &&Problem| problem.severity == Severity::Problem;
        self.problems
            .iter()
            .find(is_problem)
            .map(|problem| problem.message.as_str())
    }

    /// One line that says how many problems there are; `None` without any.
    pub(crate) fn problem_line(&self) -> Option<String> {
        match self.problem_count() {
            0 => None,
            1 => Some("One problem: what rests on it waits; the rest is worked out.".to_owned()),
            many => Some(format!(
                "{many} problems: what rests on them waits; the rest is worked out."
            )),
        }
    }
}

impl Entry {
    /// What a calculated value rests on: `2 measured, 1 assumed; the rule itself …`;
    /// empty where there is no value.
    pub(crate) fn how_known(&self) -> String {
        if self.value == Value::Nothing {
            return String::new();
        }
        let mut told = self.basis.words();
        for error in &self.rule_errors {
            if !told.is_empty() {
                told.push_str("; ");
            }
            told.push_str(error);
        }
        told
    }
}

impl Basis {
    fn words(self) -> String {
        let counts = [
            (self.measured, "measured"),
            (self.quoted, "quoted"),
            (self.assumed, "assumed"),
        ];
        let some = counts.iter().filter(|(count, _)| *count > 0);
        let mut words: Vec<String> = some.map(|(count, word)| format!("{count} {word}")).collect();
        match self.tables {
            0 => {}
            1 => words.push("1 table".to_owned()),
            tables => words.push(format!("{tables} tables")),
        }
        words.join(", ")
    }
}

fn case_name<S: Serializer>(case: &Option<Case>, serializer: S) -> Result<S::Ok, S::Error> {
    match case {
        Some(case) => serializer.serialize_some(&case.name),
        None => serializer.serialize_none(),
    }
}
