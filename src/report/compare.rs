//! The base and the cases side by side: what it says, and how it is written.
//!
//! Serialized it is the machine format of the study. A terminal gets a table
//! with a column a case where that fits, else one block a case. Everything is
//! settled in the builder. Start reading at [`Compare`].

use std::collections::BTreeSet;
use std::io::{self, Write};

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

use super::change::{Change, Changes, Flip, write_beside};
use super::csv::{safe, value_text};
use super::markdown::{code, escaped};
use super::model::{Problem, Rows, Shown, Value, verdict};
use super::rows::row_lines;
use super::style::{Style, Tone};
use super::visible::{columns, sentence, visible, wrapped};

/// Answers and checks in the base and in every case.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Compare {
    /// The worksheet's title.
    pub title: Option<String>,
    /// The case in hand.
    pub case: Option<String>,
    /// The base, then every case in file order.
    pub cases: Vec<Scene>,
    /// The trials, which stand in all of them, as they could be typed.
    #[serde(skip)]
    pub trials: Vec<String>,
}

/// The base or one case.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Scene {
    /// Its name; `None` for the base.
    pub name: Option<String>,
    /// Its title.
    pub title: Option<String>,
    /// Its answers in the worksheet's order, by name in machine formats.
    #[serde(serialize_with = "by_name")]
    pub answers: Vec<Answer>,
    /// Its checks in the worksheet's order.
    pub checks: Vec<Verdict>,
    /// What it puts in place of inputs.
    #[serde(skip)]
    pub replaced: Vec<InPlace>,
    /// The checks that come out otherwise than in the base.
    #[serde(skip)]
    pub flips: Vec<Flip>,
    /// The problems that the base doesn't have.
    #[serde(skip)]
    pub problems: Vec<Problem>,
    /// Code and words of the cautions that the base doesn't have; of the base all.
    #[serde(skip)]
    pub cautions: Vec<(String, String)>,
}

/// An answer in one case.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Answer {
    /// Its name.
    #[serde(skip)]
    pub name: String,
    /// Its label.
    #[serde(skip)]
    pub label: Option<String>,
    /// The value with all digits.
    pub value: Value,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The difference from the base in that unit (of points in intervals), with all
    /// digits; nothing for the base, and for texts, truth values and times.
    pub change: Value,
    /// The value for a reader.
    #[serde(skip)]
    pub shown: Shown,
    /// The same of the base.
    #[serde(skip)]
    pub base: Shown,
    /// Whether a reader sees the same as in the base.
    #[serde(skip)]
    pub as_in_base: bool,
    /// The difference in words.
    #[serde(skip)]
    pub difference: Option<String>,
    /// The difference with its sign, and as a share, a line each.
    #[serde(skip)]
    pub short: Vec<String>,
}

/// How a check comes out in one case.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Verdict {
    /// Its line, from 1.
    pub line: u32,
    /// `None` where it can't be told.
    pub holds: Option<bool>,
    /// The condition as written.
    #[serde(skip)]
    pub text: String,
    /// The `else` text, or why it can't be told.
    #[serde(skip)]
    pub message: Option<String>,
}

/// An input that a case replaces.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct InPlace {
    /// Its name.
    pub name: String,
    /// What the case puts in its place.
    pub value: String,
    /// What it is in the base.
    pub base: String,
    /// Where the case has it from.
    pub source: Option<String>,
    /// Whether a trial stands in place of both.
    pub set_aside: bool,
}

fn by_name<S: Serializer>(answers: &[Answer], serializer: S) -> Result<S::Ok, S::Error> {
    let mut map = serializer.serialize_map(Some(answers.len()))?;
    for answer in answers {
        map.serialize_entry(&answer.name, answer)?;
    }
    map.end()
}

impl Scene {
    fn word(&self) -> &str {
        self.name.as_deref().unwrap_or("base")
    }

    /// `deep_cold: Clear night at 0 °F`
    fn heading(&self) -> String {
        match &self.title {
            Some(title) => format!("{}: {title}", self.word()),
            None => self.word().to_owned(),
        }
    }

    /// `4 of 5`; nothing where no check stands.
    fn holding(&self) -> Option<String> {
        let holding = self.checks.iter().filter(|check| check.holds == Some(true)).count();
        (!self.checks.is_empty()).then(|| format!("{holding} of {}", self.checks.len()))
    }

    /// The answers that a reader sees as in the base.
    fn unchanged(&self) -> Vec<&str> {
        let same = self.answers.iter().filter(|answer| answer.as_in_base);
        same.map(|answer| answer.name.as_str()).collect()
    }

    /// The lines that a base without company needs, and the checks that don't hold in it.
    fn failing(&self) -> impl Iterator<Item = &Verdict> {
        self.checks.iter().filter(|check| check.holds != Some(true))
    }
}

impl InPlace {
    /// `air = 0 °F in place of 32 °F · forecast`
    fn told(&self) -> String {
        if self.set_aside {
            return format!(
                "{} is on trial: the {} of this case is set aside",
                self.name, self.value
            );
        }
        let source = self.source.iter().map(|source| format!(" · {source}"));
        let told = format!("{} = {} in place of {}", self.name, self.value, self.base);
        std::iter::once(told).chain(source).collect()
    }
}

fn problem_told(problem: &Problem) -> String {
    let file = problem.file.as_ref().map_or(String::new(), |file| format!("{file}, "));
    format!("{file}line {}: {}", problem.line, sentence(&problem.message))
}

const NO_CASES: &str = "There are no cases to compare it with; a line `case NAME \"title\"` with lines \
    `NAME = value` below it makes one.";
const NO_ANSWERS: &str = "There are no answers to compare; a line that begins with `answer` makes one.";
const WITHOUT_DOUBT: &str = "Values stand here without what they may be out by; `show` in a case tells it.";

// ---- for a terminal ----

/// For a terminal.
pub fn write(compare: &Compare, style: Style) -> String {
    let mut text = String::new();
    if let Some(title) = &compare.title {
        lines(&mut text, 0, Some(Tone::Strong), title, style);
    }
    if let Some(case) = &compare.case {
        lines(&mut text, 0, None, &format!("Case in hand: {case}"), style);
    }
    if !compare.trials.is_empty() {
        let told = format!("On trial in all of them: {}", compare.trials.join(", "));
        lines(&mut text, 0, None, &told, style);
    }
    gap(&mut text);
    let with_doubt = table(compare, Doubt::Shown, style);
    let without = with_doubt.is_none() && has_doubt(compare);
    let table = with_doubt.or_else(|| table(compare, Doubt::LeftOut, style));
    match &table {
        Some(table) => {
            text.push_str(table);
            write_base_faults(&mut text, compare.cases.first(), style);
        }
        None => compare
            .cases
            .iter()
            .take(1)
            .for_each(|base| write_base(&mut text, base, style)),
    }
    let mut said = BTreeSet::new();
    for scene in compare.cases.iter().skip(1) {
        gap(&mut text);
        lines(&mut text, 0, Some(Tone::Strong), &scene.heading(), style);
        write_apart(&mut text, scene, &mut said, table.is_none(), style);
    }
    for told in closing(compare, table.is_some() && without) {
        gap(&mut text);
        lines(&mut text, 0, Some(Tone::Faint), &told, style);
    }
    text
}

fn closing(compare: &Compare, without_doubt: bool) -> Vec<String> {
    let mut told = Vec::new();
    let base = compare.cases.first();
    if base.is_some_and(|base| base.answers.is_empty()) {
        told.push(NO_ANSWERS.to_owned());
    }
    if compare.cases.len() < 2 {
        told.push(NO_CASES.to_owned());
    }
    if without_doubt {
        told.push(WITHOUT_DOUBT.to_owned());
    }
    let codes = base.map_or(&[][..], |base| base.cautions.as_slice());
    let codes: Vec<&str> = codes.iter().map(|(code, _)| code.as_str()).collect();
    if !codes.is_empty() {
        told.push(format!(
            "Cautions in the base: {}; `show` tells them.",
            codes.join(", ")
        ));
    }
    told
}

fn has_doubt(compare: &Compare) -> bool {
    let mut answers = compare.cases.iter().flat_map(|scene| &scene.answers);
    let is_doubtful = |shown: &Shown| shown.uncertainty.is_some();
    answers.any(|answer| {
        let rows = answer.shown.listed().into_iter().flat_map(|rows| &rows.cells);
        is_doubtful(&answer.shown) || rows.flatten().any(is_doubtful)
    })
}

fn gap(text: &mut String) {
    if !text.is_empty() && !text.ends_with("\n\n") {
        text.push('\n');
    }
}

/// A piece of text set in, its further lines below it.
fn lines(text: &mut String, indent: usize, tone: Option<Tone>, what: &str, style: Style) {
    let width = style.columns().saturating_sub(indent);
    for line in wrapped(&visible(what), width) {
        let line = tone.map_or(line.clone(), |tone| style.paint(tone, &line));
        text.push_str(&format!("{}{line}\n", " ".repeat(indent)));
    }
}

fn write_base(text: &mut String, base: &Scene, style: Style) {
    lines(text, 0, Some(Tone::Strong), &base.heading(), style);
    let widest = |width: &dyn Fn(&Answer) -> usize| base.answers.iter().map(width).max().unwrap_or(0);
    let name = widest(&|answer| columns(&visible(&answer.name)));
    let value = widest(&|answer| match answer.shown.listed() {
        Some(_) => 0,
        None => columns(&visible(&answer.shown.display())),
    });
    let label = widest(&|answer| answer.label.as_ref().map_or(0, |label| columns(&visible(label))));
    let left = 2 + name + GAP;
    let labelled = left + value + GAP + label <= style.columns();
    for answer in &base.answers {
        let shown = answer.shown.display();
        let mut told = match answer.shown.listed() {
            Some(rows) => row_lines(rows),
            None => wrapped(&visible(&shown), style.columns().saturating_sub(left).max(20)),
        };
        if let (true, Some(label), [only]) = (labelled, &answer.label, told.as_mut_slice()) {
            *only = format!("{}   {}", padded(only, value), visible(label));
        }
        for (index, line) in told.iter().enumerate() {
            let name = if index == 0 { visible(&answer.name) } else { "".into() };
            text.push_str(&format!("  {}{line}\n", padded(&name, left - 2)));
        }
    }
    if let Some(holding) = base.holding() {
        lines(text, 2, None, &format!("checks that hold: {holding}"), style);
    }
    write_failing(text, base, style);
    write_problems(text, base, style);
}

/// Below the table, what is wrong in the base.
fn write_base_faults(text: &mut String, base: Option<&Scene>, style: Style) {
    let faulty = |base: &&Scene| base.failing().next().is_some() || !base.problems.is_empty();
    let Some(base) = base.filter(faulty) else { return };
    gap(text);
    lines(text, 0, Some(Tone::Strong), &base.heading(), style);
    write_failing(text, base, style);
    write_problems(text, base, style);
}

fn write_problems(text: &mut String, scene: &Scene, style: Style) {
    for problem in &scene.problems {
        lines(
            text,
            2,
            Some(Tone::Bad),
            &format!("Problem, {}", problem_told(problem)),
            style,
        );
    }
}

/// The checks that don't hold in the base.
fn write_failing(text: &mut String, base: &Scene, style: Style) {
    for check in base.failing() {
        let tone = if check.holds.is_none() { Tone::Care } else { Tone::Bad };
        lines(text, 2, None, &check.text, style);
        lines(text, 4, Some(tone), verdict(check.holds), style);
        let message = check.message.as_deref().unwrap_or("");
        lines(text, 4, None, &sentence(message), style);
    }
}

/// What sets a case apart: inputs, answers where no table shows them, checks, problems.
/// What a check says is said in the first case in which it flips.
fn write_apart<'a>(
    text: &mut String,
    scene: &'a Scene,
    said: &mut BTreeSet<(u32, &'a str)>,
    with_answers: bool,
    style: Style,
) {
    for replaced in &scene.replaced {
        lines(text, 2, Some(Tone::Faint), &replaced.told(), style);
    }
    if scene.replaced.is_empty() {
        lines(text, 2, Some(Tone::Faint), "it replaces nothing", style);
    }
    let answers = if with_answers { changes(scene) } else { Vec::new() };
    let flips = scene.flips.iter().map(|flip| Flip {
        message: flip.message.clone().filter(|_| {
            let message = flip.message.as_deref().unwrap_or("");
            said.insert((flip.line, message))
        }),
        ..flip.clone()
    });
    let changes = Changes {
        answers,
        checks: flips.collect(),
    };
    text.push_str(&write_beside(&changes, ("", "base"), style));
    write_problems(text, scene, style);
    for (code, told) in &scene.cautions {
        lines(
            text,
            2,
            Some(Tone::Care),
            &format!("Caution, {code}: {}", sentence(told)),
            style,
        );
    }
    let same = scene.unchanged();
    if with_answers && !same.is_empty() {
        lines(text, 2, Some(Tone::Faint), &as_in_base(scene, &same), style);
    }
}

fn as_in_base(scene: &Scene, same: &[&str]) -> String {
    match same.len() == scene.answers.len() {
        true => "Every answer is as in the base.".to_owned(),
        false => format!("As in the base: {}.", same.join(", ")),
    }
}

/// The answers that differ, beside those of the base.
fn changes(scene: &Scene) -> Vec<Change> {
    let apart = scene.answers.iter().filter(|answer| !answer.as_in_base);
    let changes = apart.map(|answer| Change {
        name: answer.name.clone(),
        before: answer.base.clone(),
        now: answer.shown.clone(),
        difference: answer.difference.clone(),
    });
    changes.collect()
}

// ---- the table ----

/// A cell of the table is broken at this width.
const CELL: usize = 18;
const GAP: usize = 3;

/// Whether the table has what a value may be out by, on a line below it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Doubt {
    Shown,
    LeftOut,
}

/// One row: what stands left, and the lines of each cell.
struct Row {
    name: String,
    cells: Vec<Vec<String>>,
}

/// Answers by cases; `None` where it doesn't fit, or there is nothing to set side by side.
fn table(compare: &Compare, doubt: Doubt, style: Style) -> Option<String> {
    let base = compare.cases.first().filter(|base| !base.answers.is_empty())?;
    if compare.cases.len() < 2 {
        return None;
    }
    let mut rows = vec![heading_row(compare)];
    rows.extend((0..base.answers.len()).flat_map(|place| answer_rows(compare, place, doubt)));
    rows.extend(checks_row(compare));
    let left = rows.iter().map(|row| columns(&row.name)).max().unwrap_or(0);
    let widths = widths(&rows);
    let taken = 2 + left + widths.iter().map(|width| width + GAP).sum::<usize>();
    if taken > style.columns() {
        return None;
    }
    let mut text = String::new();
    for (index, row) in rows.iter().enumerate() {
        write_row(&mut text, row, left, &widths, index == 0, style);
    }
    Some(text)
}

fn heading_row(compare: &Compare) -> Row {
    let names = compare
        .cases
        .iter()
        .map(|scene| vec![visible(scene.word()).into_owned()]);
    Row {
        name: String::new(),
        cells: names.collect(),
    }
}

/// An answer in every case; of a column a row for each of its rows.
fn answer_rows(compare: &Compare, place: usize, doubt: Doubt) -> Vec<Row> {
    let answers: Vec<&Answer> = compare
        .cases
        .iter()
        .filter_map(|scene| scene.answers.get(place))
        .collect();
    let name = answers.first().map_or("", |answer| &answer.name);
    let row = |name: &str, cells: Vec<Vec<String>>| Row {
        name: visible(name).into_owned(),
        cells,
    };
    match listed_alike(&answers) {
        None => vec![row(name, answers.iter().map(|answer| cell(answer, doubt)).collect())],
        Some(columns) => {
            let head = row(name, answers.iter().map(|answer| short(answer)).collect());
            let count = columns.first().map_or(0, |rows| rows.cells.len());
            let below = (0..count).map(|index| {
                let name = columns.first().map_or(String::new(), |rows| rows.row_word(index));
                let cells = columns.iter().map(|rows| row_cell(rows, index, doubt));
                row(&format!("  {name}"), cells.collect())
            });
            std::iter::once(head).chain(below).collect()
        }
    }
}

/// The columns that an answer is in every case, where they are listed and have the same rows.
fn listed_alike<'a>(answers: &[&'a Answer]) -> Option<Vec<&'a Rows>> {
    let columns: Vec<&Rows> = answers
        .iter()
        .map(|answer| answer.shown.listed())
        .collect::<Option<_>>()?;
    let first = columns.first()?;
    let alike = |rows: &&Rows| rows.names == first.names && rows.cells.len() == first.cells.len();
    columns.iter().all(alike).then_some(columns)
}

fn row_cell(rows: &Rows, index: usize, doubt: Doubt) -> Vec<String> {
    match rows.cells.get(index).and_then(Option::as_ref) {
        Some(cell) => value_cell(cell, doubt),
        None => vec![rows.told(index)],
    }
}

fn value_cell(shown: &Shown, doubt: Doubt) -> Vec<String> {
    let mut lines = wrapped(&visible(&shown.value), CELL);
    let uncertainty = shown.uncertainty.iter().filter(|_| doubt == Doubt::Shown);
    lines.extend(uncertainty.map(|width| format!("± {}", visible(width))));
    lines
}

/// What sets an answer apart from the base.
fn short(answer: &Answer) -> Vec<String> {
    let short = answer.short.iter().filter(|_| !answer.as_in_base);
    short.flat_map(|line| wrapped(line, CELL)).collect()
}

fn cell(answer: &Answer, doubt: Doubt) -> Vec<String> {
    let mut lines = match answer.shown.rows.as_deref() {
        Some(_) => wrapped(&visible(&answer.shown.display()), CELL),
        None => value_cell(&answer.shown, doubt),
    };
    lines.extend(short(answer));
    lines
}

fn checks_row(compare: &Compare) -> Option<Row> {
    let cells = compare.cases.iter().map(|scene| Some(vec![scene.holding()?]));
    Some(Row {
        name: "checks that hold".to_owned(),
        cells: cells.collect::<Option<_>>()?,
    })
}

fn widths(rows: &[Row]) -> Vec<usize> {
    let mut widths: Vec<usize> = Vec::new();
    for row in rows {
        for (index, cell) in row.cells.iter().enumerate() {
            let taken = cell.iter().map(|line| columns(line)).max().unwrap_or(0);
            match widths.get_mut(index) {
                Some(width) => *width = taken.max(*width),
                None => widths.push(taken),
            }
        }
    }
    widths
}

fn write_row(text: &mut String, row: &Row, left: usize, widths: &[usize], strong: bool, style: Style) {
    let height = row.cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
    for number in 0..height {
        let name = if number == 0 { row.name.as_str() } else { "" };
        let mut line = format!("  {}", padded(name, left));
        for (cell, width) in row.cells.iter().zip(widths) {
            let piece = padded(cell.get(number).map_or("", String::as_str), *width);
            let piece = if strong {
                style.paint(Tone::Strong, &piece)
            } else {
                piece
            };
            line.push_str(&format!("{}{piece}", " ".repeat(GAP)));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
}

fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(columns(text))))
}

// ---- other forms ----

/// For a code host.
pub fn write_markdown(compare: &Compare) -> String {
    let mut text = String::new();
    if let Some(title) = &compare.title {
        text.push_str(&format!("# {}\n\n", escaped(title)));
    }
    if !compare.trials.is_empty() {
        let trials: Vec<String> = compare.trials.iter().map(|trial| code(trial)).collect();
        text.push_str(&format!("On trial in all of them: {}\n\n", trials.join(", ")));
    }
    markdown_table(&mut text, compare);
    for scene in &compare.cases {
        markdown_apart(&mut text, scene);
    }
    for told in closing(compare, false) {
        text.push_str(&format!("\n{}\n", escaped(&told)));
    }
    text
}

fn markdown_table(text: &mut String, compare: &Compare) {
    let Some(base) = compare.cases.first().filter(|base| !base.answers.is_empty()) else {
        return;
    };
    let names = compare
        .cases
        .iter()
        .map(|scene| format!(" {} |", bar_free(scene.word())));
    text.push_str(&format!("| |{}\n", names.collect::<String>()));
    text.push_str(&format!("|---|{}\n", "---|".repeat(compare.cases.len())));
    for (place, answer) in base.answers.iter().enumerate() {
        let answers: Vec<&Answer> = compare
            .cases
            .iter()
            .filter_map(|scene| scene.answers.get(place))
            .collect();
        let columns = listed_alike(&answers);
        let cells = answers
            .iter()
            .map(|answer| format!(" {} |", markdown_cell(answer, columns.is_some())));
        text.push_str(&format!(
            "| {} |{}\n",
            bar_free(&answer.name),
            cells.collect::<String>()
        ));
        markdown_rows(text, &columns.unwrap_or_default());
    }
    let holding = compare.cases.iter().map(Scene::holding);
    if let Some(holding) = holding.collect::<Option<Vec<String>>>() {
        let cells = holding.iter().map(|told| format!(" {told} |"));
        text.push_str(&format!("| checks that hold |{}\n", cells.collect::<String>()));
    }
}

/// Below a column that is listed a row for each of its rows.
fn markdown_rows(text: &mut String, columns: &[&Rows]) {
    let Some(first) = columns.first() else { return };
    for index in 0..first.cells.len() {
        let cells = columns.iter().map(|rows| format!(" {} |", escaped(&rows.told(index))));
        let name = escaped(&first.row_word(index));
        text.push_str(&format!("| {name} |{}\n", cells.collect::<String>()));
    }
}

fn bar_free(name: &str) -> String {
    code(name).replace('|', "\\|")
}

fn markdown_cell(answer: &Answer, below: bool) -> String {
    let shown = match below {
        true => "below".to_owned(),
        false => escaped(&answer.shown.in_full()),
    };
    match answer.difference.as_ref().filter(|_| !answer.as_in_base) {
        Some(difference) => format!("**{shown}**, {}", escaped(difference)),
        None if answer.as_in_base => shown,
        None => format!("**{shown}**"),
    }
}

fn markdown_apart(text: &mut String, scene: &Scene) {
    let mut told: Vec<String> = scene
        .replaced
        .iter()
        .map(|replaced| escaped(&replaced.told()))
        .collect();
    if scene.name.is_none() {
        told.extend(scene.failing().map(|check| {
            let message = sentence(check.message.as_deref().unwrap_or(""));
            format!("{} {}: {}", code(&check.text), verdict(check.holds), escaped(&message))
        }));
    }
    told.extend(scene.flips.iter().map(|flip| {
        let message = sentence(flip.message.as_deref().unwrap_or(""));
        let base = verdict(flip.before);
        let told = format!("{} **{}** (base: {base})", code(&flip.text), verdict(flip.now));
        format!("{told} {}", escaped(&message)).trim_end().to_owned()
    }));
    told.extend(
        scene
            .problems
            .iter()
            .map(|problem| format!("Problem, {}", escaped(&problem_told(problem)))),
    );
    if scene.name.is_some() {
        let cautions = scene.cautions.iter();
        told.extend(cautions.map(|(code, told)| escaped(&format!("Caution, {code}: {}", sentence(told)))));
    }
    if !told.is_empty() {
        text.push_str(&format!("\n**{}**\n\n", escaped(&scene.heading())));
    }
    for one in told {
        text.push_str(&format!("- {one}\n"));
    }
}

/// One row an answer and a check in each case.
///
/// # Errors
/// Those of the output.
pub fn write_csv(compare: &Compare, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    rows.write_record(["case", "kind", "name", "line", "value", "unit", "change", "display"])?;
    for scene in &compare.cases {
        let case = safe(scene.name.as_deref().unwrap_or(""));
        for answer in &scene.answers {
            rows.write_record([
                &*case,
                "answer",
                &*safe(&answer.name),
                "",
                &value_text(&answer.value),
                answer.unit.as_deref().unwrap_or(""),
                &value_text(&answer.change),
                &*safe(&answer.shown.in_full()),
            ])?;
        }
        for check in &scene.checks {
            let line = check.line.to_string();
            let holds = check.holds.map_or(String::new(), |holds| holds.to_string());
            let told = verdict(check.holds);
            rows.write_record([&*case, "check", &*safe(&check.text), &line, &holds, "", "", told])?;
        }
    }
    rows.flush()
}
