//! A sweep over two inputs: each answer as a table of two ways, each cell with its ±.
//!
//! Start reading at [`SweepByTwo`].

use serde::Serialize;

use super::csv::{scalar_text, value_text};
use super::document::{Column, Document, Narrow, Sentence, Table};
use super::in_hand::InHand;
use super::model::{Scalar, Value};
use super::study::{Records, Study};
use super::style::Tone;
use super::sweep::{Named, with_unit};

/// The answers over the values of two inputs.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct SweepByTwo {
    /// The input down the table.
    pub input: String,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The input across it.
    pub by: String,
    /// Its unit as shown.
    pub by_unit: Option<String>,
    /// The unit of each answer.
    pub units: Named<Option<String>>,
    /// One row for each pair of values, those of the second input within those of the first.
    pub rows: Vec<Pair>,
    /// The values as shown, down and across.
    #[serde(skip)]
    pub shown: (Vec<String>, Vec<String>),
    /// The answers that one of the inputs moves, each with its cells, row by row.
    #[serde(skip)]
    pub tables: Vec<TwoWays>,
    /// The answers that neither moves, with their values.
    #[serde(skip)]
    pub still: Vec<String>,
    /// What is wrong at some of the values, in sentences.
    #[serde(skip)]
    pub troubles: Vec<String>,
    /// The codes of the cautions that belong to some of the values.
    #[serde(skip)]
    pub cautions: Vec<String>,
    /// How many pairs were asked for: more than there are rows, where it was stopped.
    #[serde(skip)]
    pub asked: usize,
}

/// The answers at one pair of values.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Pair {
    /// The value of the first input.
    pub value: Scalar,
    /// The value of the second.
    pub by: Scalar,
    /// The answers there, with all their digits.
    pub answers: Named<Value>,
    /// The standard uncertainty of each, in its unit.
    pub uncertainty: Named<Option<String>>,
}

/// An answer as a table of two ways.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TwoWays {
    /// The answer, with its label and the factor behind its ±.
    pub title: String,
    /// Whether its values are numbers.
    pub number: bool,
    /// Its cells, row by row.
    pub cells: Vec<String>,
}

impl Study for SweepByTwo {
    const NAME: &'static str = "Sweep";

    fn document(&self, _: &InHand) -> Document {
        let mut document = Document::titled(self.heading());
        for table in &self.tables {
            document.heading(table.title.as_str());
            document.table(self.table(table));
        }
        document.gap();
        for aside in self.asides() {
            document.note(Tone::Faint, aside);
        }
        for trouble in &self.troubles {
            document.note(Tone::Bad, Sentence::marked(trouble));
        }
        document.cautions("at some of these values", &self.cautions);
        document
    }

    /// One row a pair, under headings with units as a table of the worksheet has them.
    fn rows(&self) -> Records {
        let answers = self.units.0.iter();
        let answers = answers.flat_map(|(name, unit)| [with_unit(name, unit.as_ref()), format!("u({name})")]);
        let headings = [
            with_unit(&self.input, self.unit.as_ref()),
            with_unit(&self.by, self.by_unit.as_ref()),
        ];
        let row = |pair: &Pair| {
            let answers = pair.answers.0.iter().zip(&pair.uncertainty.0);
            let answers =
                answers.flat_map(|((_, value), (_, doubt))| [value_text(value), doubt.clone().unwrap_or_default()]);
            [scalar_text(&pair.value), scalar_text(&pair.by)]
                .into_iter()
                .chain(answers)
                .collect()
        };
        Records {
            headings: headings.into_iter().chain(answers).collect(),
            rows: self.rows.iter().map(row).collect(),
        }
    }
}

impl SweepByTwo {
    fn heading(&self) -> String {
        format!("The answers over {} by {}", self.input, self.by)
    }

    fn table(&self, table: &TwoWays) -> Table {
        let (down, across) = &self.shown;
        let rows = self.rows.len().div_ceil(across.len().max(1));
        let corner = format!("{} \\ {}", self.input, self.by);
        let mut columns = vec![Column::numbers(corner, down.iter().take(rows))];
        columns.extend(across.iter().enumerate().map(|(place, heading)| {
            let cells = (0..rows).map(|row| table.cells.get(row * across.len() + place).cloned().unwrap_or_default());
            match table.number {
                true => Column::numbers(heading, cells),
                false => Column::words(heading, cells),
            }
        }));
        Table::of(table.title.clone(), Narrow::Columns, columns)
    }

    fn asides(&self) -> Vec<String> {
        let mut told = Vec::new();
        if self.rows.len() < self.asked {
            told.push(format!(
                "Stopped after {} of {} pairs of values.",
                self.rows.len(),
                self.asked
            ));
        }
        if self.tables.is_empty() {
            told.push(format!("No answer depends on {} or {}.", self.input, self.by));
        }
        if !self.still.is_empty() {
            told.push(format!("Whatever the two are: {}.", self.still.join(", ")));
        }
        told
    }
}
