//! A derivation, step by step, and what is told of it.
//!
//! The answer first, then what it used, down to the inputs with their sources.
//! Start reading at [`Why`].

use serde::Serialize;

use super::csv::{column_text, scalar_text};
use super::document::{Block, Document, Sentence, Term};
use super::in_hand::InHand;
use super::model::{Scalar, told_place};
use super::rows::rows_table;
use super::shown::Rows;
use super::study::{Records, Study};
use super::style::Tone;

/// How an answer was worked out.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Why {
    /// The steps, the answer first.
    pub steps: Vec<Step>,
    /// Whether steps further down were left out.
    #[serde(skip)]
    pub cut: bool,
}

/// So many things that were used are told in two lines each.
const IN_TWO_LINES: usize = 6;

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
    /// The file that it stands in, where it is one that the worksheet rests on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
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
    /// How a line through weighings was found, step by step.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub line_found: Vec<String>,
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
    /// The rule, with values put in, and where it comes from.
    fn told(&self) -> String {
        let values = self.with_values.as_ref();
        let values = values.map_or(String::new(), |values| format!(" = {values}"));
        let source = match self.source().as_str() {
            "" => String::new(),
            source => format!(" ({source})"),
        };
        match self.name.as_str() {
            "" => format!("{}{values}{source}", self.formula),
            name => format!("{name}: {}{values}{source}", self.formula),
        }
    }

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

impl Study for Why {
    const NAME: &'static str = "Why";

    fn document(&self, _: &InHand) -> Document {
        let mut document = Document::default();
        for step in &self.steps {
            document.heading(Sentence::of_code(&step.name));
            document.0.extend(step.blocks());
        }
        document.gap();
        let rounded = "Values are shown rounded; the worksheet goes on with all their digits.";
        let cut = " Steps further down are left out: a greater depth shows them.";
        document.tell(Tone::Faint, format!("{rounded}{}", if self.cut { cut } else { "" }));
        document
    }

    /// The value with its own formula and rules, and a line or two for each thing that it used.
    fn screen(&self, _: &InHand) -> Document {
        let mut document = Document::default();
        let Some(asked) = self.steps.first() else {
            return document;
        };
        let value = asked
            .shown
            .first()
            .filter(|_| asked.rows.is_none() && asked.shown.len() == 1);
        let value = value.map_or(String::new(), |value| format!(" = {value}"));
        document.heading(Sentence::of_code(&asked.name).plain(value));
        let mut without_value = asked.clone();
        without_value.shown.retain(|_| asked.shown.len() > 1);
        without_value.rules.iter_mut().for_each(|rule| rule.sources.clear());
        document.0.extend(without_value.blocks_without_line());
        document.gap();
        let named = |name: &String| self.steps.iter().find(|step| step.name == *name);
        let used: Vec<&Step> = asked.uses.iter().filter_map(named).collect();
        let few = used.len() <= IN_TWO_LINES;
        document.terms(used.iter().map(|step| step.in_short(few)).collect());
        document.gap();
        let deeper = used.iter().find(|step| !step.uses.is_empty());
        let deeper = deeper.map(|step| format!("`why {}` goes on from there, ", step.name));
        let all = match asked.line_found.is_empty() {
            true => "goes down to every input and source",
            false => "shows how the line was found, every input and source",
        };
        let told = format!("{}`why {} all` {all}.", deeper.unwrap_or_default(), asked.name);
        if !used.is_empty() {
            document.tell(Tone::Faint, Sentence::marked(&told));
        }
        document
    }

    /// One row a step.
    fn rows(&self) -> Records {
        let optional = |text: &Option<String>| text.clone().unwrap_or_default();
        let row = |step: &Step| {
            vec![
                step.name.clone(),
                step.kind.clone(),
                optional(&step.formula),
                optional(&step.substituted),
                step.value.in_one_cell(),
                optional(&step.unit),
                step.uses.join("; "),
                optional(&step.source),
                step.line.to_string(),
            ]
        };
        Records::of(
            [
                "name",
                "kind",
                "formula",
                "substituted",
                "value",
                "unit",
                "uses",
                "from",
                "line",
            ],
            self.steps.iter().map(row),
        )
    }
}

impl Step {
    /// The step below its name: how it is known, how it is worked out, and by which rules.
    pub fn blocks(&self) -> Vec<Block> {
        let line = self.line_found.iter();
        let line = line.map(|one| Block::Item(1, Some(Tone::Faint), one.into()));
        self.blocks_without_line().into_iter().chain(line).collect()
    }

    /// What it came to, and how that is known.
    fn in_short(&self, few: bool) -> Term {
        let shown = match self.shown.as_slice() {
            [several @ .., _] if !several.is_empty() => format!("{} columns", self.shown.len()),
            shown => shown.concat(),
        };
        let value = Sentence::default().strong(shown);
        let formula = self.formula.iter().map(|formula| format!("= {formula}"));
        let about: Vec<String> = std::iter::once(self.about()).chain(formula).collect();
        let said = match few {
            true => vec![(None, value), (Some(Tone::Faint), about.join(" · ").into())],
            false => vec![(None, value.plain(format!(" · {}, line {}", self.kind, self.line)))],
        };
        Term::new(Sentence::of_code(&self.name), said)
    }

    fn blocks_without_line(&self) -> Vec<Block> {
        let shown = self.shown.iter().filter(|_| self.rows.is_none());
        let formulas = [&self.formula, &self.substituted].into_iter().flatten();
        let formulas = formulas.chain(shown);
        let formulas = formulas.map(|one| Block::Item(1, None, Sentence::from("= ").code(one)));
        let conversions = self.conversions.iter().map(|one| format!("with {one}"));
        let rules = self.rules.iter().map(|rule| format!("rule {}", rule.told()));
        let below = conversions.chain(rules);
        let below = below.map(|one| Block::Item(1, Some(Tone::Faint), one.into()));
        let about = Block::Said(1, Some(Tone::Faint), self.about().into());
        let rows = self.rows.as_ref();
        let rows = rows.map(|rows| Block::Table(rows_table(&self.name, rows)));
        std::iter::once(about)
            .chain(formulas)
            .chain(rows)
            .chain(below)
            .collect()
    }

    /// How it is known, on which line, its label and source.
    fn about(&self) -> String {
        let held = self.held.map(str::to_owned);
        let line = told_place(self.line, self.file.as_deref());
        let kind = [Some(self.kind.clone()), held, Some(line)];
        let kind: Vec<String> = kind.into_iter().flatten().collect();
        let more = self.label.iter().chain(&self.source).cloned();
        std::iter::once(kind.join(", "))
            .chain(more)
            .collect::<Vec<_>>()
            .join(" · ")
    }
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
