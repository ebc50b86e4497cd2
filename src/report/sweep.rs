//! A sweep: the answers over the values of one input, and how it is written.
//!
//! Serialized it is the machine format of the study. For a terminal a table in
//! blocks that keep to the width, where expectations turn, and a chart of each
//! numeric answer that moves. Start reading at [`Sweep`].

use std::io::{self, Write};

use serde::{Serialize, Serializer};

use crate::number::Number;

use super::chart::{self, Chart};
use super::csv::{scalar_text, value_text};
use super::markdown::{self, code, escaped, markdown_row};
use super::model::{Scalar, Value, verdict};
use super::style::{Style, Tone, say};
use super::visible::{columns, sentence, visible};

/// The answers over the values of one input.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Sweep {
    /// The worksheet's title.
    pub title: Option<String>,
    /// The case in hand.
    pub case: Option<String>,
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
    /// The names of the entries on trial.
    #[serde(skip)]
    pub trials: Vec<String>,
    /// A chart of each numeric answer that the input moves.
    #[serde(skip)]
    pub charts: Vec<Chart>,
    /// What is wrong at some of the values, in sentences.
    #[serde(skip)]
    pub troubles: Vec<String>,
    /// The codes of the cautions that belong to some of the values.
    #[serde(skip)]
    pub cautions: Vec<String>,
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

const INDENT: usize = 2;
const GAP: usize = 3;
/// The most rows a reader gets.
const MOST_ROWS: usize = 41;

// ---- terminal ----

/// For a terminal.
pub fn write(sweep: &Sweep, style: Style) -> String {
    let mut text = String::new();
    say(&mut text, 0, Some(Tone::Strong), &heading(sweep), style);
    if !sweep.trials.is_empty() {
        let trials = format!("On trial: {}", sweep.trials.join(", "));
        say(&mut text, 0, Some(Tone::Care), &trials, style);
    }
    text.push('\n');
    table(&mut text, sweep, style);
    for told in asides(sweep) {
        say(&mut text, INDENT, Some(Tone::Faint), &told, style);
    }
    for told in &sweep.troubles {
        say(&mut text, INDENT, Some(Tone::Bad), told, style);
    }
    turns(&mut text, sweep, style);
    for chart in &sweep.charts {
        text.push('\n');
        text.push_str(&chart::terminal::write(chart, style));
    }
    if let Some(told) = cautions(sweep) {
        text.push('\n');
        say(&mut text, 0, Some(Tone::Care), &told, style);
    }
    text
}

fn heading(sweep: &Sweep) -> String {
    let end = |row: Option<&Row>| row.map_or(String::new(), |row| row.shown_input.clone());
    let (first, last) = (end(sweep.rows.first()), end(sweep.rows.last()));
    let case = sweep
        .case
        .as_ref()
        .map_or(String::new(), |case| format!(", case {case}"));
    format!("The answers over {} from {first} to {last}{case}", sweep.input)
}

/// Which answers stay as they are, and how many rows were left out.
fn asides(sweep: &Sweep) -> Vec<String> {
    let mut told = Vec::new();
    if sweep.rows.len() < sweep.asked {
        told.push(format!(
            "Stopped after {} of {} values; limits were not looked for.",
            sweep.rows.len(),
            sweep.asked
        ));
    }
    let shown = shown_rows(sweep).len();
    if shown < sweep.rows.len() {
        told.push(format!(
            "{shown} of {} rows; the formats json and csv have all.",
            sweep.rows.len()
        ));
    }
    let first = sweep.rows.first();
    if sweep.answers.iter().all(|answer| !answer.moved) {
        told.push(format!("No answer depends on {}.", sweep.input));
    }
    let still = sweep.answers.iter().enumerate().filter(|(_, answer)| !answer.moved);
    let still: Vec<String> = still
        .map(|(place, answer)| {
            let value = first.and_then(|row| row.shown.get(place)).map_or("", String::as_str);
            format!("{} = {value}", answer.name)
        })
        .collect();
    if !still.is_empty() {
        told.push(format!("Whatever {} is: {}.", sweep.input, still.join(", ")));
    }
    told
}

/// Whether a reader gets that row, of so many: evenly spaced ones, the first and the last.
pub fn is_shown(place: usize, rows: usize) -> bool {
    let last = rows.saturating_sub(1);
    let step = last.div_ceil(MOST_ROWS - 1).max(1);
    place.is_multiple_of(step) || place == last
}

/// Those that a reader gets.
fn shown_rows(sweep: &Sweep) -> Vec<&Row> {
    let rows = sweep.rows.iter().enumerate();
    let kept = rows.filter(|(place, _)| is_shown(*place, sweep.rows.len()));
    kept.map(|(_, row)| row).collect()
}

/// One column of the table: its heading, its cells, and whether they stand to the right.
struct Strip {
    heading: String,
    cells: Vec<String>,
    right: bool,
}

impl Strip {
    fn width(&self) -> usize {
        let cells = self.cells.iter().map(|cell| columns(cell));
        cells.max().unwrap_or(0).max(columns(&self.heading))
    }

    fn padded(&self, cell: &str, width: usize) -> String {
        let pad = " ".repeat(width.saturating_sub(columns(cell)));
        if self.right {
            format!("{pad}{cell}")
        } else {
            format!("{cell}{pad}")
        }
    }
}

/// The table in blocks, each with the input before as many answers as have room.
fn table(text: &mut String, sweep: &Sweep, style: Style) {
    let rows = shown_rows(sweep);
    let input = Strip {
        heading: visible(&sweep.input).into_owned(),
        cells: rows.iter().map(|row| visible(&row.shown_input).into_owned()).collect(),
        right: true,
    };
    let moved = sweep.answers.iter().enumerate().filter(|(_, answer)| answer.moved);
    let strips = moved.map(|(place, answer)| Strip {
        heading: visible(&answer.name).into_owned(),
        cells: rows
            .iter()
            .map(|row| visible(row.shown.get(place).map_or("", String::as_str)).into_owned())
            .collect(),
        right: answer.number,
    });
    let room = style.columns().saturating_sub(INDENT + input.width());
    let mut block: Vec<Strip> = Vec::new();
    let mut taken = 0;
    for strip in strips {
        let width = GAP + strip.width();
        if taken + width > room && !block.is_empty() {
            write_block(text, &input, &block, style);
            block.clear();
            taken = 0;
        }
        taken += width;
        block.push(strip);
    }
    if !block.is_empty() {
        write_block(text, &input, &block, style);
    }
}

fn write_block(text: &mut String, input: &Strip, block: &[Strip], style: Style) {
    let strips: Vec<&Strip> = std::iter::once(input).chain(block).collect();
    let line = |cell: &dyn Fn(&Strip) -> String| {
        let cells: Vec<String> = strips
            .iter()
            .map(|strip| strip.padded(&cell(strip), strip.width()))
            .collect();
        format!("{}{}", " ".repeat(INDENT), cells.join(&" ".repeat(GAP)))
            .trim_end()
            .to_owned()
    };
    let headings = line(&|strip| strip.heading.clone());
    text.push_str(&format!("{}\n", style.paint(Tone::Strong, &headings)));
    for row in 0..input.cells.len() {
        let cells = line(&|strip| strip.cells.get(row).cloned().unwrap_or_default());
        text.push_str(&format!("{cells}\n"));
    }
    text.push('\n');
}

fn turns(text: &mut String, sweep: &Sweep, style: Style) {
    if sweep.crossings.is_empty() {
        return;
    }
    if !text.ends_with("\n\n") {
        text.push('\n');
    }
    say(text, 0, Some(Tone::Strong), "Limits", style);
    for crossing in &sweep.crossings {
        let told = format!("{} = {}: {}", sweep.input, crossing.shown, turn(crossing));
        say(text, INDENT, None, &told, style);
    }
}

/// `margin >= 100 % (line 96) holds above, does not hold below`
fn turn(crossing: &Crossing) -> String {
    let condition = format!("{} (line {})", crossing.text, crossing.line);
    let how = match (crossing.holds, crossing.step) {
        ((below, above), false) if below == above => return format!("{condition} comes to its limit"),
        ((below, above), true) if below == above => return format!("{condition} steps over its limit"),
        ((below, above), _) => format!("{} below, {} above", verdict(below), verdict(above)),
    };
    let step = if crossing.step { ", in one step" } else { "" };
    format!("{condition} {how}{step}")
}

fn cautions(sweep: &Sweep) -> Option<String> {
    let codes = sweep.cautions.join(", ");
    (!codes.is_empty()).then(|| format!("Cautions at some of these values: {codes}. `show` tells them in full."))
}

// ---- other formats ----

/// For a code host or a notebook.
pub fn write_markdown(sweep: &Sweep) -> String {
    let mut text = format!("**{}**\n\n", escaped(&heading(sweep)));
    if !sweep.trials.is_empty() {
        text.push_str(&format!("On trial: {}\n\n", escaped(&sweep.trials.join(", "))));
    }
    let moved: Vec<usize> = (0..sweep.answers.len())
        .filter(|place| sweep.answers.get(*place).is_some_and(|answer| answer.moved))
        .collect();
    let names = moved.iter().filter_map(|place| sweep.answers.get(*place));
    let headings: Vec<String> = names.map(|answer| escaped(&answer.name)).collect();
    text.push_str(&markdown_row(&escaped(&sweep.input), &headings));
    text.push_str(&markdown_row("---:", &vec!["---:".to_owned(); moved.len()]));
    for row in shown_rows(sweep) {
        let cells: Vec<String> = moved
            .iter()
            .filter_map(|place| Some(escaped(row.shown.get(*place)?)))
            .collect();
        text.push_str(&markdown_row(&escaped(&row.shown_input), &cells));
    }
    text.push('\n');
    let told = asides(sweep);
    for one in told.iter().chain(&sweep.troubles) {
        text.push_str(&format!("{}\n\n", escaped(one)));
    }
    for crossing in &sweep.crossings {
        let place = code(&format!("{} = {}", sweep.input, crossing.shown));
        text.push_str(&format!("- {place}: {}\n", escaped(&turn(crossing))));
    }
    for chart in &sweep.charts {
        markdown::chart(&mut text, chart);
    }
    if let Some(told) = cautions(sweep) {
        let gap = if text.ends_with("\n\n") { "" } else { "\n" };
        text.push_str(&format!("{gap}{}\n", escaped(&told)));
    }
    format!("{}\n", text.trim_end())
}

/// One row a value, under headings with units as a table of the worksheet has them.
///
/// # Errors
/// Those of the output.
pub fn write_csv(sweep: &Sweep, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    let mut headings = vec![with_unit(&sweep.input, sweep.unit.as_ref())];
    headings.extend(sweep.units.0.iter().map(|(name, unit)| with_unit(name, unit.as_ref())));
    rows.write_record(&headings)?;
    for row in &sweep.rows {
        let mut cells = vec![scalar_text(&row.value)];
        cells.extend(row.answers.0.iter().map(|(_, value)| value_text(value)));
        rows.write_record(&cells)?;
    }
    rows.flush()
}

fn with_unit(name: &str, unit: Option<&String>) -> String {
    match unit {
        Some(unit) => format!("{name} [{unit}]"),
        None => name.to_owned(),
    }
}

/// A sentence about what is wrong at some of the values.
pub(super) fn trouble(where_it_is: &str, line: u32, message: &str) -> String {
    format!("{where_it_is}, line {line}: {}", sentence(message))
}
