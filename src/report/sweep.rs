//! A sweep: the answers over the values of one input, and what is told of it.
//!
//! A table, where expectations turn, and a chart of each numeric answer that
//! moves. Start reading at [`Sweep`].

use serde::{Serialize, Serializer};

use crate::number::Number;

use super::chart::Chart;
use super::csv::{scalar_text, value_text};
use super::document::{Block, Column, Document, Narrow, Sentence, Table};
use super::in_hand::InHand;
use super::model::{Scalar, Value, verdict};
use super::study::{Records, Study};
use super::style::Tone;
use super::visible::sentence;

/// The answers over the values of one input.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Sweep {
    /// The input that is varied.
    pub input: String,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The unit of each answer.
    pub units: Named<Option<String>>,
    /// One row a value.
    pub rows: Vec<Row>,
    /// Where expectations come to their limits.
    pub crossings: Vec<Crossing>,
    /// The answers, as a reader is told them.
    #[serde(skip)]
    pub answers: Vec<Answer>,
    /// A chart of each numeric answer that the input moves.
    #[serde(skip)]
    pub charts: Vec<Chart>,
    /// What is wrong at some of the values, in sentences.
    #[serde(skip)]
    pub troubles: Vec<String>,
    /// The codes of the cautions that belong to some of the values.
    #[serde(skip)]
    pub cautions: Vec<String>,
    /// The answer whose chart alone was asked for.
    #[serde(skip)]
    pub plotted: Option<String>,
    /// How many values were asked for: more than there are rows, where the sweep was stopped.
    #[serde(skip)]
    pub asked: usize,
}

/// Values by name, in order.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Named<T>(pub Vec<(String, T)>);

impl<T: Serialize> Serialize for Named<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

/// The answers at one value of the input.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Row {
    /// The value of the input.
    pub value: Scalar,
    /// The answers there, with all their digits.
    pub answers: Named<Value>,
    /// The value of the input as shown.
    #[serde(skip)]
    pub shown_input: String,
    /// The answers as shown, in order.
    #[serde(skip)]
    pub shown: Vec<String>,
}

/// An answer of the sweep.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// Its name.
    pub name: String,
    /// Its label.
    pub label: Option<String>,
    /// Whether its values are numbers.
    pub number: bool,
    /// Whether it depends on the input.
    pub moved: bool,
    /// Its chart, by its place among them.
    pub chart: Option<usize>,
}

/// Where an expectation comes to its limit.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Crossing {
    /// The line of the expectation.
    pub line: u32,
    /// The value of the input there.
    pub value: Scalar,
    /// The same value as a number.
    #[serde(skip)]
    pub place: Number,
    /// The condition as written.
    #[serde(skip)]
    pub text: String,
    /// The value of the input as shown.
    #[serde(skip)]
    pub shown: String,
    /// Whether it steps over its limit rather than passing through it.
    #[serde(skip)]
    pub step: bool,
    /// Whether it holds just below and just above.
    #[serde(skip)]
    pub holds: (Option<bool>, Option<bool>),
}

/// The most rows a reader gets.
const MOST_ROWS: usize = 41;
/// The same on one screen.
const ROWS_ON_SCREEN: usize = 11;

impl Study for Sweep {
    const NAME: &'static str = "Sweep";

    fn document(&self, _: &InHand) -> Document {
        let mut document = Document::titled(self.heading());
        document.gap();
        document.table(self.table(MOST_ROWS));
        document.gap();
        for aside in self.asides(MOST_ROWS) {
            document.note(Tone::Faint, aside);
        }
        for trouble in &self.troubles {
            document.note(Tone::Bad, Sentence::marked(trouble));
        }
        if !self.crossings.is_empty() {
            document.heading("Limits");
        }
        self.tell_crossings(&mut document);
        for chart in &self.charts {
            document.gap();
            document.0.push(Block::Chart(chart.clone()));
        }
        document.cautions("at some of these values", &self.cautions);
        document
    }

    /// Where checks turn, and a short table or the one chart that was asked for.
    fn screen(&self, _: &InHand) -> Document {
        let mut document = Document::titled(self.heading());
        document.gap();
        self.tell_crossings(&mut document);
        for trouble in &self.troubles {
            document.note(Tone::Bad, Sentence::marked(trouble));
        }
        document.gap();
        match self.chart_asked() {
            Some(chart) => document.0.push(Block::Chart(chart.clone())),
            None => {
                document.table(self.table(ROWS_ON_SCREEN));
                for aside in self.asides(ROWS_ON_SCREEN) {
                    document.note(Tone::Faint, aside);
                }
            }
        }
        document.gap();
        let drawn = self.answers.iter().find(|answer| answer.chart.is_some());
        let one = drawn.filter(|_| self.chart_asked().is_none());
        let one = one.map(|answer| format!("Add `plot {}` for that chart, ", answer.name));
        let cautions = match self.cautions.len() {
            0 => String::new(),
            1 => " There is a caution: `show cautions`.".to_owned(),
            many => format!(" There are {many} cautions: `show cautions`."),
        };
        let told = format!("{}`all` for everything.{cautions}", one.unwrap_or_default());
        document.tell(Tone::Faint, Sentence::marked(&told));
        document
    }

    /// One row a value, under headings with units as a table of the worksheet has them.
    fn rows(&self) -> Records {
        let answers = self.units.0.iter();
        let headings = answers.map(|(name, unit)| with_unit(name, unit.as_ref()));
        let row = |row: &Row| {
            let answers = row.answers.0.iter().map(|(_, value)| value_text(value));
            std::iter::once(scalar_text(&row.value)).chain(answers).collect()
        };
        Records {
            headings: std::iter::once(with_unit(&self.input, self.unit.as_ref()))
                .chain(headings)
                .collect(),
            rows: self.rows.iter().map(row).collect(),
        }
    }
}

impl Sweep {
    fn heading(&self) -> String {
        let end = |row: Option<&Row>| row.map_or(String::new(), |row| row.shown_input.clone());
        let (first, last) = (end(self.rows.first()), end(self.rows.last()));
        format!("The answers over {} from {first} to {last}", self.input)
    }

    fn chart_asked(&self) -> Option<&Chart> {
        let asked = self.plotted.as_ref()?;
        let answer = self.answers.iter().find(|answer| answer.name == *asked)?;
        self.charts.get(answer.chart?)
    }

    fn tell_crossings(&self, document: &mut Document) {
        for crossing in &self.crossings {
            let place = Sentence::of_code(format!("{} = {}", self.input, crossing.shown));
            document.item(1, None, place.plain(": ").plain(crossing.turn()));
        }
    }

    /// The rows that a reader gets, with the answers that the input moves.
    fn table(&self, most: usize) -> Table {
        let rows = self.shown_rows(most);
        let mut columns = vec![Column::numbers(&self.input, rows.iter().map(|row| &row.shown_input))];
        let moved = self.answers.iter().enumerate().filter(|(_, answer)| answer.moved);
        columns.extend(moved.map(|(place, answer)| {
            let cells = rows.iter().map(|row| row.shown.get(place).cloned().unwrap_or_default());
            match answer.number {
                true => Column::numbers(&answer.name, cells),
                false => Column::words(&answer.name, cells),
            }
        }));
        Table::of(self.heading(), Narrow::Columns, columns)
    }

    fn shown_rows(&self, most: usize) -> Vec<&Row> {
        let rows = self.rows.iter().enumerate();
        let kept = rows.filter(|(place, _)| is_kept(*place, self.rows.len(), most));
        kept.map(|(_, row)| row).collect()
    }

    /// Which answers stay as they are, and how many rows were left out.
    fn asides(&self, most: usize) -> Vec<String> {
        let mut told = Vec::new();
        if self.rows.len() < self.asked {
            told.push(format!(
                "Stopped after {} of {} values; limits were not looked for.",
                self.rows.len(),
                self.asked
            ));
        }
        let shown = self.shown_rows(most).len();
        if shown < self.rows.len() {
            told.push(format!(
                "{shown} of {} rows; the formats json and csv have all.",
                self.rows.len()
            ));
        }
        if self.answers.iter().all(|answer| !answer.moved) {
            told.push(format!("No answer depends on {}.", self.input));
        }
        let first = self.rows.first();
        let still = self.answers.iter().enumerate().filter(|(_, answer)| !answer.moved);
        let still: Vec<String> = still
            .map(|(place, answer)| {
                let value = first.and_then(|row| row.shown.get(place)).map_or("", String::as_str);
                format!("{} = {value}", answer.name)
            })
            .collect();
        if !still.is_empty() {
            told.push(format!("Whatever {} is: {}.", self.input, still.join(", ")));
        }
        told
    }
}

impl Crossing {
    /// `margin >= 100 % (line 96) holds above, not below`
    fn turn(&self) -> String {
        let condition = format!("{} (line {})", self.text, self.line);
        let how = match (self.holds, self.step) {
            ((below, above), false) if below == above => return format!("{condition} comes to its limit"),
            ((below, above), true) if below == above => return format!("{condition} steps over its limit"),
            ((Some(false), Some(true)), _) => "holds above, not below".to_owned(),
            ((Some(true), Some(false)), _) => "holds below, not above".to_owned(),
            ((below, above), _) => format!("{} below, {} above", verdict(below), verdict(above)),
        };
        let step = if self.step { ", in one step" } else { "" };
        format!("{condition} {how}{step}")
    }
}

/// Whether a reader gets that row, of so many: evenly spaced ones, the first and the last.
pub(crate) fn is_shown(place: usize, rows: usize) -> bool {
    is_kept(place, rows, MOST_ROWS)
}

fn is_kept(place: usize, rows: usize, most: usize) -> bool {
    let last = rows.saturating_sub(1);
    let step = last.div_ceil(most - 1).max(1);
    place.is_multiple_of(step) || place == last
}

pub(super) fn with_unit(name: &str, unit: Option<&String>) -> String {
    match unit {
        Some(unit) => format!("{name} [{unit}]"),
        None => name.to_owned(),
    }
}

/// A sentence about what is wrong at some of the values.
pub(super) fn trouble(where_it_is: &str, line: u32, message: &str) -> String {
    format!("{where_it_is}, line {line}: {}", sentence(message))
}
