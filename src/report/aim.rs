//! An aim: which values of an input give an answer a wanted value, and how it is written.
//!
//! Serialized it is the machine format of the study. Start reading at [`Aim`].

use std::io::{self, Write};

use serde::Serialize;

use super::csv::{safe, scalar_text};
use super::markdown::escaped;
use super::model::Scalar;
use super::style::{Style, Tone, say};
use super::visible::{columns, visible};

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
    /// The worksheet's title.
    pub title: Option<String>,
    /// The case in hand.
    pub case: Option<String>,
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
    /// The names of the entries on trial.
    #[serde(skip)]
    pub trials: Vec<String>,
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

const INDENT: usize = 2;
const GAP: usize = 3;

/// For a terminal.
pub fn write(aim: &Aim, style: Style) -> String {
    let mut text = String::new();
    if let Some(case) = &aim.case {
        say(&mut text, 0, None, &format!("Case {case}"), style);
    }
    if !aim.trials.is_empty() {
        say(
            &mut text,
            0,
            Some(Tone::Care),
            &format!("On trial: {}", aim.trials.join(", ")),
            style,
        );
    }
    say(&mut text, 0, Some(Tone::Strong), &aim.told, style);
    text.push('\n');
    let headings = [aim.input.clone(), aim.answer.clone(), String::new()];
    let width = |place: usize| {
        let cells = std::iter::once(&headings).chain(&aim.places);
        cells
            .filter_map(|row| row.get(place))
            .map(|cell| columns(&visible(cell)))
            .max()
            .unwrap_or(0)
    };
    let (first, second) = (width(0), width(1));
    for (number, [input, answer, what]) in std::iter::once(&headings).chain(&aim.places).enumerate() {
        let pad = |cell: &str, width: usize| format!("{}{cell}", " ".repeat(width.saturating_sub(columns(cell))));
        let (input, answer) = (pad(&visible(input), first), pad(&visible(answer), second));
        let gap = " ".repeat(GAP);
        let line = format!("{}{input}{gap}{answer}{gap}{what}", " ".repeat(INDENT));
        let tone = if number == 0 { Some(Tone::Strong) } else { None };
        text.push_str(&tone.map_or(line.trim_end().to_owned(), |tone| style.paint(tone, line.trim_end())));
        text.push('\n');
    }
    if !aim.remarks.is_empty() {
        text.push('\n');
    }
    for remark in &aim.remarks {
        say(&mut text, 0, Some(Tone::Faint), remark, style);
    }
    if let Some(told) = cautions(aim) {
        text.push('\n');
        say(&mut text, 0, Some(Tone::Care), &told, style);
    }
    text
}

fn cautions(aim: &Aim) -> Option<String> {
    let codes = aim.cautions.join(", ");
    (!codes.is_empty()).then(|| format!("Cautions at some of these values: {codes}. `show` tells them in full."))
}

/// For a code host or a notebook.
pub fn write_markdown(aim: &Aim) -> String {
    let mut text = String::new();
    if let Some(case) = &aim.case {
        text.push_str(&format!("*Case {}*\n\n", escaped(case)));
    }
    if !aim.trials.is_empty() {
        text.push_str(&format!("On trial: {}\n\n", escaped(&aim.trials.join(", "))));
    }
    text.push_str(&format!("**{}**\n\n", escaped(&aim.told)));
    text.push_str(&format!("| {} | {} | |\n", escaped(&aim.input), escaped(&aim.answer)));
    text.push_str("| ---: | ---: | :--- |\n");
    for [input, answer, what] in &aim.places {
        text.push_str(&format!(
            "| {} | {} | {} |\n",
            escaped(input),
            escaped(answer),
            escaped(what)
        ));
    }
    for remark in aim.remarks.iter().chain(&cautions(aim)) {
        text.push_str(&format!("\n{}\n", escaped(remark)));
    }
    text
}

/// One row a solution; one without where there is none.
///
/// # Errors
/// Those of the output.
pub fn write_csv(aim: &Aim, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    rows.write_record([
        "answer", "target", "input", "unit", "low", "high", "finding", "solution",
    ])?;
    let solutions: Vec<String> = match aim.solutions.is_empty() {
        true => vec![String::new()],
        false => aim.solutions.iter().map(scalar_text).collect(),
    };
    for solution in solutions {
        rows.write_record([
            safe(&aim.answer).into_owned(),
            scalar_text(&aim.target),
            safe(&aim.input).into_owned(),
            safe(aim.unit.as_deref().unwrap_or("")).into_owned(),
            scalar_text(&aim.low),
            scalar_text(&aim.high),
            aim.finding.word().to_owned(),
            solution,
        ])?;
    }
    rows.flush()
}
