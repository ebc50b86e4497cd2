//! A derivation, step by step: what it says, and how it is written.
//!
//! The answer first, then what it used, down to the inputs with their sources.
//! Serialized it is the machine format of the study. Everything is settled in
//! the builder; here are the three written forms. Start reading at [`Why`].

use std::io::{self, Write};

use serde::Serialize;

use super::csv::{column_text, safe, scalar_text};
use super::markdown::{code, escaped, rows_markdown};
use super::model::{Rows, Scalar};
use super::rows::row_lines;
use super::style::{Style, Tone};
use super::visible::{sentence, visible, wrapped};

/// How an answer was worked out.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Why {
    /// The worksheet's title.
    pub title: Option<String>,
    /// The case in hand.
    pub case: Option<String>,
    /// The steps, the answer first.
    pub steps: Vec<Step>,
    /// Whether steps further down were left out.
    #[serde(skip)]
    pub cut: bool,
}

/// One step.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Step {
    /// The name of an entry or table, or `table.column`.
    pub name: String,
    /// `measured`, `worked` …, or `table`.
    pub kind: String,
    /// The formula as written; `None` where there is none.
    pub formula: Option<String>,
    /// The same with values in place of the names.
    pub substituted: Option<String>,
    /// The value with all its digits.
    pub value: Value,
    /// Its unit as shown.
    pub unit: Option<String>,
    /// The names that the formula uses.
    pub uses: Vec<String>,
    /// Where it comes from.
    #[serde(rename = "from")]
    pub source: Option<String>,
    /// The line it stands on, from 1.
    pub line: u32,
    /// The value for a reader; several lines for a table.
    #[serde(skip)]
    pub shown: Vec<String>,
    /// The rows of a column that was asked for; then the value isn't told in one line.
    #[serde(skip)]
    pub rows: Option<Rows>,
    /// The label in quotes.
    #[serde(skip)]
    pub label: Option<String>,
    /// Who holds the value: a case or a trial.
    #[serde(skip)]
    pub held: Option<&'static str>,
    /// What was converted on the way, in words: `1 h = 60 min`.
    pub conversions: Vec<String>,
    /// The rules it rests on.
    pub rules: Vec<RuleUsed>,
}

/// A rule of the trade, or of the worksheet itself.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct RuleUsed {
    /// Its name.
    pub name: String,
    /// As its declaration writes it.
    pub formula: String,
    /// The same with the values of this call; `None` where it isn't one.
    pub with_values: Option<String>,
    /// Where it comes from; nothing for the worksheet's own.
    pub sources: Vec<SourceUsed>,
}

/// A source of a rule.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
pub struct SourceUsed {
    /// The publication, or what it is.
    pub title: &'static str,
    /// How good it is, in words.
    pub standing: &'static str,
}

impl RuleUsed {
    /// Where it comes from and how good that is.
    fn source(&self) -> String {
        let told = |source: &SourceUsed| format!("{}; {}", source.title, source.standing);
        match self.name.as_str() {
            "" => "this worksheet's own".to_owned(),
            _ => self.sources.iter().map(told).collect::<Vec<_>>().join(" · "),
        }
    }
}

/// A value in the machine format.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// None.
    Nothing,
    /// One.
    One(Scalar),
    /// A column, by its first rows.
    Column {
        /// The first five, or all of what was asked for.
        first: Vec<Option<Scalar>>,
        /// How many there are.
        count: usize,
    },
}

const INDENT: usize = 2;

/// For a terminal.
pub fn write(why: &Why, style: Style) -> String {
    let mut text = String::new();
    if let Some(case) = &why.case {
        text.push_str(&format!("Case {}\n", visible(case)));
    }
    for (index, step) in why.steps.iter().enumerate() {
        if index > 0 {
            text.push('\n');
        }
        write_step(&mut text, step, style);
    }
    text.push('\n');
    for line in wrapped(&closing(why), style.columns()) {
        text.push_str(&style.paint(Tone::Faint, &line));
        text.push('\n');
    }
    text
}

fn closing(why: &Why) -> String {
    let shown = "Values are shown rounded; the worksheet goes on with all their digits.";
    match why.cut {
        true => format!("{shown} Steps further down are left out: a greater depth shows them."),
        false => shown.to_owned(),
    }
}

fn write_step(text: &mut String, step: &Step, style: Style) {
    let name = style.paint(Tone::Strong, &visible(&step.name));
    text.push_str(&name);
    text.push('\n');
    hanging(text, INDENT, "", &visible(&about(step)), style, Some(Tone::Faint));
    for one in [&step.formula, &step.substituted].into_iter().flatten() {
        hanging(text, INDENT, "= ", &visible(one), style, None);
    }
    match &step.rows {
        Some(rows) => rows_below(text, rows),
        None => step
            .shown
            .iter()
            .for_each(|one| hanging(text, INDENT, "= ", &visible(one), style, None)),
    }
    for one in &step.conversions {
        hanging(text, INDENT, "with ", &visible(one), style, Some(Tone::Faint));
    }
    for rule in &step.rules {
        hanging(text, INDENT, "rule ", &visible(&told(rule)), style, Some(Tone::Faint));
    }
}

/// The rows of a column, one a line.
fn rows_below(text: &mut String, rows: &Rows) {
    for (index, line) in row_lines(rows).iter().enumerate() {
        let mark = if index == 0 { "= " } else { "  " };
        text.push_str(&format!("{}{mark}{line}\n", " ".repeat(INDENT)));
    }
}

/// How it is known, on which line, its label and source.
fn about(step: &Step) -> String {
    let held = step.held.map(str::to_owned);
    let line = format!("line {}", step.line);
    let kind = [Some(step.kind.clone()), held, Some(line)];
    let kind: Vec<String> = kind.into_iter().flatten().collect();
    let more = step.label.iter().chain(&step.source).cloned();
    std::iter::once(kind.join(", "))
        .chain(more)
        .collect::<Vec<_>>()
        .join(" · ")
}

fn told(rule: &RuleUsed) -> String {
    let values = rule
        .with_values
        .as_ref()
        .map_or(String::new(), |values| format!(" = {values}"));
    let source = match rule.source().as_str() {
        "" => String::new(),
        source => format!(" ({source})"),
    };
    match rule.name.as_str() {
        "" => format!("{}{values}{source}", rule.formula),
        name => format!("{name}: {}{values}{source}", rule.formula),
    }
}

/// A piece of text behind a mark, further lines set in below it.
fn hanging(text: &mut String, indent: usize, mark: &str, what: &str, style: Style, tone: Option<Tone>) {
    let left = indent + mark.chars().count();
    let lines = wrapped(what, style.columns().saturating_sub(left).max(20));
    for (index, line) in lines.iter().enumerate() {
        let before = if index == 0 {
            format!("{}{mark}", " ".repeat(indent))
        } else {
            " ".repeat(left)
        };
        let line = match tone {
            Some(tone) => style.paint(tone, line),
            None => line.clone(),
        };
        text.push_str(&before);
        text.push_str(&line);
        text.push('\n');
    }
}

/// For a code host.
pub fn write_markdown(why: &Why) -> String {
    let mut text = String::new();
    if let Some(case) = &why.case {
        text.push_str(&format!("*Case {}*\n\n", escaped(case)));
    }
    for step in &why.steps {
        text.push_str(&step_markdown(step));
        text.push('\n');
    }
    text.push_str(&format!("{}\n", escaped(&sentence(&closing(why)))));
    text
}

/// One step, for a code host or an editor.
pub fn step_markdown(step: &Step) -> String {
    let mut text = format!("**{}** · {}\n\n", code(&step.name), escaped(&about(step)));
    let formulas = [&step.formula, &step.substituted].into_iter().flatten();
    let shown = step.shown.iter().filter(|_| step.rows.is_none());
    for one in formulas.chain(shown) {
        text.push_str(&format!("- = {}\n", code(one)));
    }
    if let Some(rows) = &step.rows {
        text.push('\n');
        text.push_str(&rows_markdown(&step.name, rows));
        text.push('\n');
    }
    for one in &step.conversions {
        text.push_str(&format!("- with {}\n", escaped(one)));
    }
    for rule in &step.rules {
        text.push_str(&format!("- rule {}\n", escaped(&told(rule))));
    }
    text
}

/// One row a step.
///
/// # Errors
/// Those of the output.
pub fn write_csv(why: &Why, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    rows.write_record([
        "name",
        "kind",
        "formula",
        "substituted",
        "value",
        "unit",
        "uses",
        "from",
        "line",
    ])?;
    for step in &why.steps {
        let optional = |text: &Option<String>| safe(text.as_deref().unwrap_or("")).into_owned();
        rows.write_record([
            safe(&step.name).into_owned(),
            safe(&step.kind).into_owned(),
            optional(&step.formula),
            optional(&step.substituted),
            step.value.in_one_cell(),
            optional(&step.unit),
            safe(&step.uses.join("; ")).into_owned(),
            optional(&step.source),
            step.line.to_string(),
        ])?;
    }
    rows.flush()
}

impl Value {
    /// In one cell of a table: a number stays one, of a column the first rows.
    pub(super) fn in_one_cell(&self) -> String {
        match self {
            Value::Nothing => String::new(),
            Value::One(one) => scalar_text(one),
            Value::Column { first, count } => {
                let more = if *count > first.len() { "; …" } else { "" };
                format!("{}{more}", column_text(first))
            }
        }
    }
}
