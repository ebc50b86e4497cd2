//! A doubt: the uncertainty budget of an answer, and how it is written.
//!
//! Serialized it is the machine format of the study. For a terminal a table that
//! keeps to the width, one line a source with a bar for its share; where there
//! is no room for a table each source gets lines of its own. Below it the
//! combined uncertainty, what is taken as exact, and what was drawn, with a
//! histogram. Start reading at [`Doubt`].

use std::io::{self, Write};

use serde::Serialize;

use super::chart::{self, Chart};
use super::csv::{safe, scalar_text};
use super::markdown::{self, escaped, markdown_row};
use super::model::Scalar;
use super::style::{Style, Tone, say};
use super::visible::{columns, visible, wrapped};
use super::why::Value;

/// How sure an answer is, and what makes it unsure.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Doubt {
    /// The worksheet's title.
    pub title: Option<String>,
    /// The case in hand.
    pub case: Option<String>,
    /// The answer.
    pub answer: String,
    /// Its value, with all digits.
    pub value: Value,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The combined standard uncertainty.
    pub standard: Value,
    /// The expanded uncertainty.
    pub expanded: Value,
    /// The factor between the two.
    pub k: Value,
    /// Effective degrees of freedom; nothing where they are infinite.
    pub degrees_of_freedom: Value,
    /// Whether the straight line's interval and the drawn one differ by more than a tenth.
    pub curved: bool,
    /// Every source of uncertainty, the greatest first.
    pub inputs: Vec<Input>,
    /// What was drawn.
    pub draws: Option<Drawn>,
    /// The answer's label.
    #[serde(skip)]
    pub label: Option<String>,
    /// The names of the entries on trial.
    #[serde(skip)]
    pub trials: Vec<String>,
    /// The sources for a reader, readings of one column together.
    #[serde(skip)]
    pub lines: Vec<Line>,
    /// The first rows of a column, and how many there are.
    #[serde(skip)]
    pub rows: Option<Rows>,
    /// How the parts come together, in a sentence; empty where there are none.
    #[serde(skip)]
    pub combined: String,
    /// The answer as shown, or what is to be said in place of it.
    #[serde(skip)]
    pub shown: String,
    /// What has no tolerance and is taken as exact.
    pub exact: Vec<String>,
    /// By how much the rules that it rests on may themselves be out, besides these figures.
    pub rule_errors: Vec<String>,
    /// What a reader should know besides, in sentences.
    #[serde(skip)]
    pub remarks: Vec<String>,
    /// The shares of the greatest sources as bars, for a page; nothing where there are none.
    #[serde(skip)]
    pub chart: Option<Chart>,
}

/// One source of uncertainty.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Input {
    /// An entry, `table.column row 3`, or the scatter about a line.
    pub name: String,
    /// Its value, with all digits.
    pub value: Option<Scalar>,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// Its standard uncertainty in that unit.
    pub standard: Option<String>,
    /// Its degrees of freedom; nothing where they are infinite.
    pub degrees_of_freedom: Option<String>,
    /// How far the answer moves for one unit of it.
    pub sensitivity: Option<String>,
    /// What it puts into the combined standard uncertainty.
    pub contribution: Option<String>,
    /// Its share of the variance, from 0 to 1.
    pub share: Option<String>,
}

/// One source as a reader meets it; empty texts where there is nothing to say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Line {
    /// Who it is.
    pub name: String,
    /// Its value.
    pub value: String,
    /// Its standard uncertainty.
    pub standard: String,
    /// Its degrees of freedom.
    pub degrees_of_freedom: String,
    /// How far the answer moves for one unit of it.
    pub sensitivity: String,
    /// What it puts in.
    pub contribution: String,
    /// Its share of the variance, from 0 to 1.
    pub share: Option<f64>,
}

/// The first rows of a column.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rows {
    /// Of each the value, its standard uncertainty, and its expanded one.
    pub first: Vec<[String; 3]>,
    /// How many there are.
    pub count: usize,
}

/// What was drawn.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Drawn {
    /// How many draws.
    pub count: usize,
    /// How many met a problem and are left out.
    pub left_out: usize,
    /// The seed they began with, as text, for it may have 20 digits.
    pub seed: String,
    /// Their mean.
    pub mean: Option<Scalar>,
    /// Their standard deviation.
    pub sd: Option<String>,
    /// The low end of the interval that holds 95 % of them.
    pub low: Option<Scalar>,
    /// Its high end.
    pub high: Option<Scalar>,
    /// How many draws were asked for: more, where they were stopped.
    #[serde(skip)]
    pub asked: usize,
    /// A histogram of them.
    #[serde(skip)]
    pub chart: Option<Chart>,
    /// The problem for which the figures are withheld.
    #[serde(skip)]
    pub withheld: Option<String>,
    /// The figures as shown.
    #[serde(skip)]
    pub shown: DrawnShown,
}

/// Drawn figures for a reader.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct DrawnShown {
    /// The mean.
    pub mean: String,
    /// The standard deviation.
    pub sd: String,
    /// The ends of the 95 % interval.
    pub interval: (String, String),
    /// The interval of the straight line through the inputs.
    pub straight: Option<(String, String)>,
}

const INDENT: usize = 2;
const GAP: usize = 2;
/// A name is broken to no fewer columns than this.
const LEAST_NAME: usize = 12;
/// The least and the greatest length of a bar.
const BARS: (usize, usize) = (4, 20);
/// The most sources a reader gets.
const MOST_LINES: usize = 24;

// ---- terminal ----

/// For a terminal.
pub fn write(doubt: &Doubt, style: Style) -> String {
    let mut text = String::new();
    say(&mut text, 0, Some(Tone::Strong), &heading(doubt), style);
    if !doubt.trials.is_empty() {
        let trials = format!("On trial: {}", doubt.trials.join(", "));
        say(&mut text, 0, Some(Tone::Care), &trials, style);
    }
    text.push('\n');
    budget(&mut text, doubt, style);
    if let Some(rows) = &doubt.rows {
        write_rows(&mut text, rows, style);
    }
    if !doubt.combined.is_empty() {
        say(&mut text, 0, None, &doubt.combined, style);
    }
    say(&mut text, 0, Some(Tone::Strong), &doubt.shown, style);
    let told = asides(doubt);
    if !told.is_empty() {
        text.push('\n');
    }
    for one in &told {
        say(&mut text, 0, None, one, style);
    }
    if let Some(drawn) = &doubt.draws {
        text.push('\n');
        write_drawn(&mut text, drawn, doubt, style);
    }
    if let Some(legend) = legend(doubt) {
        text.push('\n');
        say(&mut text, 0, Some(Tone::Faint), &legend, style);
    }
    text
}

fn heading(doubt: &Doubt) -> String {
    let label = doubt.label.as_ref().map_or(String::new(), |label| format!(", {label}"));
    let case = doubt
        .case
        .as_ref()
        .map_or(String::new(), |case| format!(", case {case}"));
    format!("How sure is {}{label}{case}", doubt.answer)
}

/// What is taken as exact, and what stands beside the figures.
fn asides(doubt: &Doubt) -> Vec<String> {
    let exact = (!doubt.exact.is_empty()).then(|| format!("Taken as exact: {}.", doubt.exact.join(", ")));
    exact.into_iter().chain(doubt.remarks.iter().cloned()).collect()
}

fn legend(doubt: &Doubt) -> Option<String> {
    let told = doubt.lines.iter().any(|line| !line.sensitivity.is_empty());
    let in_points = |line: &Line| line.standard.contains(" point") || line.contribution.contains(" point");
    let points = match doubt.lines.iter().any(in_points) {
        true => " A point is a percentage point, as from 40 % to 41 %.",
        false => "",
    };
    let moves = match doubt.unit.as_deref() {
        Some("%") => "moves, in points,",
        _ => "moves",
    };
    told.then(|| {
        format!(
            "u: standard uncertainty of the input. c: how far {} {moves} for one unit of it. |c|u: what the two make \
             together. The squares of |c|u add up to the square of the combined u, and the share is of that sum.{points}",
            doubt.answer
        )
    })
}

/// The lines that have room, and what the rest comes to.
fn shown_lines(doubt: &Doubt) -> (&[Line], Option<String>) {
    let Some((first, rest)) = doubt
        .lines
        .split_at_checked(MOST_LINES)
        .filter(|(_, rest)| !rest.is_empty())
    else {
        return (&doubt.lines, None);
    };
    let share: f64 = rest.iter().filter_map(|line| line.share).sum();
    let share = share_text(Some(share));
    let told = format!(
        "{} more, together {share}; the formats json and csv have all.",
        rest.len()
    );
    (first, Some(told))
}

fn share_text(share: Option<f64>) -> String {
    match share {
        None => String::new(),
        Some(share) if share > 0.0 && share < 0.005 => "<1 %".to_owned(),
        Some(share) => format!("{:.0} %", share * 100.0),
    }
}

/// The table under its headings, cells as texts.
struct Table {
    headings: Vec<&'static str>,
    rows: Vec<Vec<String>>,
    widths: Vec<usize>,
    name: usize,
    bar: usize,
}

/// The cells of a line behind its name, each with its heading.
fn cells(line: &Line) -> [(&'static str, String); 5] {
    [
        ("u", line.standard.clone()),
        ("df", line.degrees_of_freedom.clone()),
        ("c", line.sensitivity.clone()),
        ("|c|u", line.contribution.clone()),
        ("share", share_text(line.share)),
    ]
}

impl Table {
    /// The table for so many columns; `None` where it has no room.
    fn of(lines: &[Line], room: usize) -> Option<Table> {
        let all: Vec<[(&'static str, String); 5]> = lines.iter().map(cells).collect();
        let filled = |place: usize| {
            all.iter()
                .any(|row| row.get(place).is_some_and(|(_, cell)| !cell.is_empty()))
        };
        let kept: Vec<usize> = (0..5).filter(|place| filled(*place)).collect();
        let rows = all.iter().map(|row| {
            let cells = kept.iter().filter_map(|place| row.get(*place));
            cells.map(|(_, cell)| visible(cell).into_owned()).collect()
        });
        let rows: Vec<Vec<String>> = rows.collect();
        let first = all.first()?;
        let headings: Vec<&'static str> = kept.iter().filter_map(|place| Some(first.get(*place)?.0)).collect();
        let widths: Vec<usize> = (0..kept.len()).map(|place| width(&headings, &rows, place)).collect();
        let taken: usize = widths.iter().map(|width| width + GAP).sum();
        let natural = lines
            .iter()
            .map(|line| columns(&visible(&named(line))))
            .max()
            .unwrap_or(0);
        let natural = natural.max("input".len());
        let bars = lines.iter().any(|line| line.share.is_some());
        let least_bar = if bars { GAP + BARS.0 } else { 0 };
        let free = room.checked_sub(taken + least_bar)?;
        if free < natural.min(LEAST_NAME) {
            return None;
        }
        let name = natural.min(free);
        let bar = if bars { (free - name + BARS.0).min(BARS.1) } else { 0 };
        Some(Table {
            headings,
            rows,
            widths,
            name,
            bar,
        })
    }

    fn row(&self, name: &str, cells: &[String], bar: &str) -> String {
        let pad = |cell: &str, width: usize| " ".repeat(width.saturating_sub(columns(cell)));
        let mut line = format!("{}{name}{}", " ".repeat(INDENT), pad(name, self.name));
        for (cell, width) in cells.iter().zip(&self.widths) {
            line.push_str(&" ".repeat(GAP));
            line.push_str(&pad(cell, *width));
            line.push_str(cell);
        }
        format!("{line}{}{bar}", " ".repeat(GAP)).trim_end().to_owned()
    }
}

fn width(headings: &[&str], rows: &[Vec<String>], place: usize) -> usize {
    let cells = rows.iter().filter_map(|row| row.get(place)).map(|cell| columns(cell));
    let heading = headings.get(place).map_or(0, |heading| columns(heading));
    cells.max().unwrap_or(0).max(heading)
}

/// `gross = 37.3 lb`
fn named(line: &Line) -> String {
    match line.value.as_str() {
        "" => line.name.clone(),
        value => format!("{} = {value}", line.name),
    }
}

/// The name in lines of so many columns, the value in one of its own where both have no room.
fn broken_name(line: &Line, width: usize) -> Vec<String> {
    let whole = named(line);
    let whole = visible(&whole);
    if line.value.is_empty() || columns(&whole) <= width {
        return wrapped(&whole, width);
    }
    let mut lines = wrapped(&visible(&line.name), width);
    lines.extend(wrapped(&format!("= {}", visible(&line.value)), width));
    lines
}

/// A share as a bar; what is there at all shows at least a dot.
fn bar(share: Option<f64>, length: usize) -> String {
    let share = share.unwrap_or(0.0).clamp(0.0, 1.0);
    match (share * length as f64).round() as usize {
        0 if share > 0.0 => ".".to_owned(),
        marks => "#".repeat(marks),
    }
}

fn budget(text: &mut String, doubt: &Doubt, style: Style) {
    let (lines, more) = shown_lines(doubt);
    if lines.is_empty() {
        return;
    }
    match Table::of(lines, style.columns().saturating_sub(INDENT)) {
        Some(table) => write_table(text, lines, &table, style),
        None => lines.iter().for_each(|line| write_block(text, line, style)),
    }
    if let Some(more) = more {
        say(text, INDENT, Some(Tone::Faint), &more, style);
    }
    text.push('\n');
}

fn write_table(text: &mut String, lines: &[Line], table: &Table, style: Style) {
    let headings: Vec<String> = table.headings.iter().map(|heading| (*heading).to_owned()).collect();
    let headings = table.row("input", &headings, "");
    text.push_str(&format!("{}\n", style.paint(Tone::Strong, &headings)));
    for (line, cells) in lines.iter().zip(&table.rows) {
        let names = broken_name(line, table.name);
        for (place, name) in names.iter().enumerate() {
            let row = match place {
                0 => table.row(name, cells, &bar(line.share, table.bar)),
                _ => format!("{}{name}", " ".repeat(INDENT)),
            };
            text.push_str(&row);
            text.push('\n');
        }
    }
}

/// A source where a table has no room.
fn write_block(text: &mut String, line: &Line, style: Style) {
    say(text, INDENT, Some(Tone::Strong), &named(line), style);
    let told = cells(line).into_iter().filter(|(_, cell)| !cell.is_empty());
    let told = told.map(|(heading, cell)| match heading {
        "share" => format!("{heading} {cell}"),
        _ => format!("{heading} = {cell}"),
    });
    let told: Vec<String> = told.collect();
    for row in in_pieces(&told, style.columns().saturating_sub(INDENT + GAP)) {
        say(text, INDENT + GAP, None, &row, style);
    }
    let bar = bar(line.share, BARS.1);
    if !bar.is_empty() {
        text.push_str(&format!("{}{bar}\n", " ".repeat(INDENT + GAP)));
    }
}

/// As many pieces in a line as have room, so that none is broken.
fn in_pieces(pieces: &[String], width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces {
        match lines.last_mut() {
            Some(line) if columns(line) + columns(piece) + 2 <= width => line.push_str(&format!(", {piece}")),
            _ => lines.push(piece.clone()),
        }
    }
    lines
}

const ROW_HEADINGS: [&str; 4] = ["row", "value", "u", "U"];

fn write_rows(text: &mut String, rows: &Rows, style: Style) {
    let cells: Vec<Vec<String>> = (1..)
        .zip(&rows.first)
        .map(|(row, cells)| numbered(row, cells))
        .collect();
    let widths: Vec<usize> = (0..4).map(|place| width(&ROW_HEADINGS, &cells, place)).collect();
    let line = |cells: &[String]| {
        let padded = cells.iter().zip(&widths).map(|(cell, width)| {
            let cell = visible(cell);
            format!("{}{cell}", " ".repeat(width.saturating_sub(columns(&cell))))
        });
        let padded: Vec<String> = padded.collect();
        format!("{}{}\n", " ".repeat(INDENT), padded.join(&" ".repeat(GAP)))
    };
    let headings = ROW_HEADINGS.map(str::to_owned);
    text.push_str(&style.paint(Tone::Strong, line(&headings).trim_end()));
    text.push('\n');
    cells.iter().for_each(|cells| text.push_str(&line(cells)));
    if let Some(told) = more_rows(rows) {
        say(text, INDENT, Some(Tone::Faint), &told, style);
    }
    text.push('\n');
}

fn numbered(row: usize, cells: &[String; 3]) -> Vec<String> {
    std::iter::once(row.to_string()).chain(cells.iter().cloned()).collect()
}

fn more_rows(rows: &Rows) -> Option<String> {
    let shown = rows.first.len();
    (shown < rows.count).then(|| format!("The first {shown} of {} rows.", rows.count))
}

// ---- what was drawn ----

fn drawn_heading(drawn: &Drawn) -> String {
    let left_out = match drawn.left_out {
        0 => String::new(),
        1 => "; 1 met a problem and is left out".to_owned(),
        many => format!("; {many} met a problem and are left out"),
    };
    let stopped = match drawn.count < drawn.asked {
        true => format!(", stopped before {}", drawn.asked),
        false => String::new(),
    };
    format!("By {} draws (seed {}){stopped}{left_out}", drawn.count, drawn.seed)
}

/// Why figures are withheld, or that the straight line doesn't serve.
fn drawn_remark(drawn: &Drawn, curved: bool) -> Option<String> {
    if let Some(problem) = &drawn.withheld {
        return Some(format!(
            "More than 1 draw in 1000 met a problem, so the drawn figures are withheld: {problem}"
        ));
    }
    curved.then(|| {
        "The worksheet bends too much inside the tolerances for a straight line: go by the drawn interval.".to_owned()
    })
}

/// What the ± holds and what the intervals hold, where both stand beside each other.
fn held_by_both(drawn: &Drawn, doubt: &Doubt) -> Option<&'static str> {
    let both = drawn.withheld.is_none() && doubt.k != Value::Nothing;
    both.then_some(match doubt.degrees_of_freedom {
        Value::Nothing if doubt.k != Value::One(Scalar::Text("2".to_owned())) => {
            "These intervals hold 95 %, the ± above all: it is the limits."
        }
        Value::Nothing => "These intervals hold 95 %, the ± above (k = 2) 95.45 % of a normal spread.",
        _ => "These intervals hold 95 %, the ± above (its k) 95.45 % by Student's t.",
    })
}

/// The figures, each with what it is.
fn drawn_figures(drawn: &Drawn) -> Vec<(&'static str, String)> {
    if drawn.withheld.is_some() {
        return Vec::new();
    }
    let shown = &drawn.shown;
    let from_to = |(low, high): &(String, String)| format!("{low} to {high}");
    let mut told = vec![
        ("mean", shown.mean.clone()),
        ("standard deviation", shown.sd.clone()),
        ("95 % of the draws", from_to(&shown.interval)),
    ];
    told.extend(
        shown
            .straight
            .as_ref()
            .map(|ends| ("on the straight line", from_to(ends))),
    );
    told
}

fn write_drawn(text: &mut String, drawn: &Drawn, doubt: &Doubt, style: Style) {
    say(text, 0, Some(Tone::Strong), &drawn_heading(drawn), style);
    let figures = drawn_figures(drawn);
    let width = figures.iter().map(|(what, _)| columns(what)).max().unwrap_or(0);
    for (what, figure) in &figures {
        let pad = " ".repeat(width - columns(what) + GAP);
        say_line(text, &format!("{what}{pad}{}", visible(figure)));
    }
    if let Some(held) = held_by_both(drawn, doubt) {
        say(text, INDENT, Some(Tone::Faint), held, style);
    }
    if let Some(remark) = drawn_remark(drawn, doubt.curved) {
        let tone = if drawn.withheld.is_some() {
            Tone::Bad
        } else {
            Tone::Care
        };
        say(text, INDENT, Some(tone), &remark, style);
    }
    if let Some(chart) = &drawn.chart {
        text.push('\n');
        text.push_str(&chart::terminal::write(chart, style));
    }
}

fn say_line(text: &mut String, line: &str) {
    text.push_str(&" ".repeat(INDENT));
    text.push_str(line.trim_end());
    text.push('\n');
}

// ---- other formats ----

/// For a code host or a notebook.
pub fn write_markdown(doubt: &Doubt) -> String {
    let mut text = format!("**{}**\n\n", escaped(&heading(doubt)));
    if !doubt.trials.is_empty() {
        text.push_str(&format!("On trial: {}\n\n", escaped(&doubt.trials.join(", "))));
    }
    markdown_budget(&mut text, doubt);
    if let Some(rows) = &doubt.rows {
        markdown_rows(&mut text, rows);
    }
    for one in [&doubt.combined].into_iter().filter(|one| !one.is_empty()) {
        text.push_str(&format!("{}\n\n", escaped(one)));
    }
    text.push_str(&format!("**{}**\n\n", escaped(&doubt.shown)));
    for one in asides(doubt) {
        text.push_str(&format!("{}\n\n", escaped(&one)));
    }
    if let Some(drawn) = &doubt.draws {
        markdown_drawn(&mut text, drawn, doubt);
    }
    format!("{}\n", text.trim_end())
}

fn markdown_budget(text: &mut String, doubt: &Doubt) {
    let (lines, more) = shown_lines(doubt);
    if lines.is_empty() {
        return;
    }
    let headings = [
        "standard uncertainty",
        "degrees of freedom",
        "sensitivity",
        "contribution",
        "share",
    ];
    text.push_str(&markdown_row("input", &headings.map(str::to_owned)));
    text.push_str(&markdown_row("---", &vec!["---:".to_owned(); headings.len()]));
    for line in lines {
        let cells: Vec<String> = cells(line).into_iter().map(|(_, cell)| escaped(&cell)).collect();
        text.push_str(&markdown_row(&escaped(&named(line)), &cells));
    }
    text.push('\n');
    if let Some(more) = more {
        text.push_str(&format!("{}\n\n", escaped(&more)));
    }
}

fn markdown_rows(text: &mut String, rows: &Rows) {
    let headings = ["value", "u", "U"].map(str::to_owned);
    text.push_str(&markdown_row("row", &headings));
    text.push_str(&markdown_row("---:", &vec!["---:".to_owned(); headings.len()]));
    for (row, cells) in (1..).zip(&rows.first) {
        let cells: Vec<String> = cells.iter().map(|cell| escaped(cell)).collect();
        text.push_str(&markdown_row(&usize::to_string(&row), &cells));
    }
    text.push('\n');
    if let Some(told) = more_rows(rows) {
        text.push_str(&format!("{}\n\n", escaped(&told)));
    }
}

fn markdown_drawn(text: &mut String, drawn: &Drawn, doubt: &Doubt) {
    text.push_str(&format!("**{}**\n\n", escaped(&drawn_heading(drawn))));
    let figures = drawn_figures(drawn);
    for (what, figure) in &figures {
        text.push_str(&format!("- {}: {}\n", escaped(what), escaped(figure)));
    }
    if !figures.is_empty() {
        text.push('\n');
    }
    if let Some(held) = held_by_both(drawn, doubt) {
        text.push_str(&format!("{}\n\n", escaped(held)));
    }
    if let Some(remark) = drawn_remark(drawn, doubt.curved) {
        text.push_str(&format!("{}\n\n", escaped(&remark)));
    }
    if let Some(chart) = &drawn.chart {
        markdown::chart(text, chart);
    }
}

const CSV_HEADINGS: [&str; 13] = [
    "part",
    "name",
    "value",
    "unit",
    "standard",
    "degrees_of_freedom",
    "sensitivity",
    "contribution",
    "share",
    "k",
    "expanded",
    "low",
    "high",
];

/// The answer in one row, then a row for each source, for what is taken as exact, and for the draws.
///
/// # Errors
/// Those of the output.
pub fn write_csv(doubt: &Doubt, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    rows.write_record(CSV_HEADINGS)?;
    rows.write_record(answer_row(doubt))?;
    for input in &doubt.inputs {
        rows.write_record(input_row(input))?;
    }
    for name in &doubt.exact {
        rows.write_record(named_row("exact", name))?;
    }
    if let Some(drawn) = &doubt.draws {
        rows.write_record(drawn_row(&doubt.answer, &doubt.unit, drawn))?;
    }
    rows.flush()
}

fn named_row(part: &str, name: &str) -> [String; 13] {
    let mut row: [String; 13] = Default::default();
    let [first, second, ..] = &mut row;
    *first = part.to_owned();
    *second = safe(name).into_owned();
    row
}

fn answer_row(doubt: &Doubt) -> [String; 13] {
    let mut row = named_row("answer", &doubt.answer);
    let [_, _, value, unit, standard, freedom, _, _, _, k, expanded, _, _] = &mut row;
    *value = doubt.value.in_one_cell();
    *unit = optional(&doubt.unit);
    *standard = doubt.standard.in_one_cell();
    *freedom = doubt.degrees_of_freedom.in_one_cell();
    *k = doubt.k.in_one_cell();
    *expanded = doubt.expanded.in_one_cell();
    row
}

fn input_row(input: &Input) -> [String; 13] {
    let mut row = named_row("input", &input.name);
    let [
        _,
        _,
        value,
        unit,
        standard,
        freedom,
        sensitivity,
        contribution,
        share,
        ..,
    ] = &mut row;
    *value = input.value.as_ref().map_or(String::new(), scalar_text);
    *unit = optional(&input.unit);
    let own = |text: &Option<String>| text.clone().unwrap_or_default();
    *standard = own(&input.standard);
    *freedom = own(&input.degrees_of_freedom);
    *sensitivity = own(&input.sensitivity);
    *contribution = own(&input.contribution);
    *share = own(&input.share);
    row
}

fn drawn_row(answer: &str, unit_of_answer: &Option<String>, drawn: &Drawn) -> [String; 13] {
    let mut row = named_row("draws", answer);
    let [_, _, value, unit, standard, .., low, high] = &mut row;
    let scalar = |scalar: &Option<Scalar>| scalar.as_ref().map_or(String::new(), scalar_text);
    *value = scalar(&drawn.mean);
    *unit = optional(unit_of_answer);
    *standard = drawn.sd.clone().unwrap_or_default();
    *low = scalar(&drawn.low);
    *high = scalar(&drawn.high);
    row
}

fn optional(text: &Option<String>) -> String {
    safe(text.as_deref().unwrap_or("")).into_owned()
}
