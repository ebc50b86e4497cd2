//! An aim: which values of an input give an answer a wanted value, and what is told of it.
//!
//! Start reading at [`Aim`].

use serde::Serialize;

use super::csv::scalar_text;
use super::document::{Column, Document, Narrow, Sentence, Table};
use super::in_hand::InHand;
use super::model::Scalar;
use super::study::{Records, Study};
use super::style::Tone;

/// How many values of the input give the target.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Finding {
    /// None does, for certain.
    None,
    /// None was found at the places looked at.
    Unfound,
    /// One does.
    One,
    /// Several do; of a stretch, both ends are told.
    Several,
    /// The answer is the same whatever the input is.
    Flat,
}

impl Finding {
    /// As machines read it.
    pub fn word(self) -> &'static str {
        match self {
            Finding::None => "none",
            Finding::Unfound => "unfound",
            Finding::One => "one",
            Finding::Several => "several",
            Finding::Flat => "flat",
        }
    }
}

/// Which values of an input give an answer a wanted value.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Aim {
    /// The answer.
    pub answer: String,
    /// What it should be, in its own unit.
    pub target: Scalar,
    /// The input that is varied.
    pub input: String,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The low end of the interval.
    pub low: Scalar,
    /// The high end.
    pub high: Scalar,
    /// How many there are.
    pub finding: Finding,
    /// The values of the input, in rising order; of a stretch, both ends.
    pub solutions: Vec<Scalar>,
    /// What was found, in a sentence.
    #[serde(skip)]
    pub told: String,
    /// The ends and the solutions: the input, the answer, and what the place is.
    #[serde(skip)]
    pub places: Vec<[String; 3]>,
    /// Steps over the target, problems on the way, where the interval comes from: sentences.
    #[serde(skip)]
    pub remarks: Vec<String>,
    /// The codes of the cautions that go with the answer at these places.
    #[serde(skip)]
    pub cautions: Vec<String>,
}

impl Study for Aim {
    const NAME: &'static str = "Aim";

    fn document(&self, _: &InHand) -> Document {
        let mut document = Document::titled(&self.told);
        let column = |place: usize| self.places.iter().filter_map(move |row| row.get(place));
        document.gap();
        document.table(Table::of(
            format!("{} over {}", self.answer, self.input),
            Narrow::Columns,
            vec![
                Column::numbers(&self.input, column(0)),
                Column::numbers(&self.answer, column(1)),
                Column::words("", column(2)),
            ],
        ));
        document.gap();
        for remark in &self.remarks {
            document.tell(Tone::Faint, Sentence::marked(remark));
        }
        document.cautions("at some of these values", &self.cautions);
        document
    }

    /// One row a solution; one without where there is none.
    fn rows(&self) -> Records {
        let solutions: Vec<String> = match self.solutions.is_empty() {
            true => vec![String::new()],
            false => self.solutions.iter().map(scalar_text).collect(),
        };
        let row = |solution: String| {
            vec![
                self.answer.clone(),
                scalar_text(&self.target),
                self.input.clone(),
                self.unit.clone().unwrap_or_default(),
                scalar_text(&self.low),
                scalar_text(&self.high),
                self.finding.word().to_owned(),
                solution,
            ]
        };
        Records::of(
            [
                "answer", "target", "input", "unit", "low", "high", "finding", "solution",
            ],
            solutions.into_iter().map(row),
        )
    }
}
