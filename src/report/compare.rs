//! The base and the cases side by side, and what is told of them.
//!
//! A table with a column a case where that fits, else one block a case. Start
//! reading at [`Compare`].

use std::collections::BTreeSet;

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

use super::change::{Change, Flip, row_by_row, tell_flips};
use super::csv::value_text;
use super::document::{Block, Column, Document, Narrow, Sentence, Table, Term};
use super::in_hand::{InHand, USUAL, Words};
use super::model::{Problem, Value, verdict};
use super::rows::row_lines;
use super::shown::{Rows, Shown};
use super::study::{Records, Study};
use super::style::Tone;
use super::visible::sentence;

/// Answers and checks in the base and in every case.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Compare {
    /// The base, then every case in file order.
    pub cases: Vec<Scene>,
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

/// What the worksheet with its trials is called, where it has no cases.
pub(super) const ON_TRIAL: &str = "on trial";

const NO_CASES: &str = "There are no cases to compare it with; a line `case NAME \"title\"` with lines \
    `NAME = value` below it makes one.";
const NO_ANSWERS: &str = "There are no answers to compare; a line that begins with `answer` makes one.";
const WITHOUT_WIDTH: &str = "Values are shown here without ±; `show` in a case has it.";

/// The columns of a name, and of a cell, in the table.
const WIDEST_NAME: usize = 40;
const CELL: usize = 18;

impl Study for Compare {
    const NAME: &'static str = "Compare";
    const IN_HAND: Words = Words {
        case: "Case in hand: ",
        trials: "On trial in all of them",
    };

    fn in_hand_words(&self) -> Words {
        let tried = self.cases.iter().any(|scene| scene.name.as_deref() == Some(ON_TRIAL));
        if tried { USUAL } else { Self::IN_HAND }
    }

    fn document(&self, in_hand: &InHand) -> Document {
        let mut document = Document::default();
        document
            .0
            .extend(in_hand.title.iter().map(|title| Block::Title(title.into())));
        document.gap();
        let tables = self.table(Width::Shown).into_iter().chain(self.table(Width::LeftOut));
        let mut ways: Vec<Document> = tables.map(|table| self.beside(table)).collect();
        if !self.has_width() {
            ways.truncate(1);
        }
        if let Some(narrow) = ways.get_mut(1) {
            narrow.gap();
            narrow.tell(Tone::Faint, WITHOUT_WIDTH);
        }
        ways.push(self.one_below_another());
        document.0.push(Block::Ways(ways));
        for told in self.closing() {
            document.gap();
            document.tell(Tone::Faint, told);
        }
        document
    }

    /// A row a case, without ±, and which checks flip.
    fn screen(&self, in_hand: &InHand) -> Document {
        let Some(base) = self
            .cases
            .first()
            .filter(|base| self.cases.len() > 1 && !base.answers.is_empty())
        else {
            return self.document(in_hand);
        };
        let mut document = Document::default();
        document
            .0
            .extend(in_hand.title.iter().map(|title| Block::Title(title.into())));
        document.gap();
        let mut columns = vec![Column::words(
            "",
            self.cases.iter().map(|scene| Sentence::of_code(scene.word())),
        )];
        columns.extend(base.answers.iter().enumerate().map(|(place, answer)| {
            let cells = self.cases.iter().map(|scene| match scene.answers.get(place) {
                Some(answer) if answer.as_in_base && scene.name.is_some() => Sentence::from("same"),
                Some(answer) => Sentence::from(&answer.shown.value),
                None => Sentence::default(),
            });
            Column::words(Sentence::of_code(&answer.name), cells)
        }));
        let holding: Option<Vec<String>> = self.cases.iter().map(Scene::holding).collect();
        columns.extend(holding.map(|told| Column::words("checks hold", told)));
        document.table(Table::of(
            "The answers in the base and in every case",
            Narrow::Columns,
            columns,
        ));
        document.gap();
        document.terms(self.cases.iter().filter_map(Scene::flips_in_short).collect());
        document.gap();
        document.tell(
            Tone::Faint,
            Sentence::marked("Without ±; `compare all` has each ±, and what sets the cases apart."),
        );
        document
    }

    /// One row an answer and a check in each case.
    fn rows(&self) -> Records {
        let rows = self.cases.iter().flat_map(Scene::rows);
        Records::of(
            ["case", "kind", "name", "line", "value", "unit", "change", "display"],
            rows.map(|row| row.to_vec()),
        )
    }
}

/// Whether the table has what a value may be off by.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Width {
    Shown,
    LeftOut,
}

impl Compare {
    fn closing(&self) -> Vec<Sentence> {
        let mut told = Vec::new();
        let base = self.cases.first();
        if base.is_some_and(|base| base.answers.is_empty()) {
            told.push(Sentence::from(NO_ANSWERS));
        }
        if self.cases.len() < 2 {
            told.push(Sentence::marked(NO_CASES));
        }
        let codes = base.map_or(&[][..], |base| base.cautions.as_slice());
        let codes: Vec<&str> = codes.iter().map(|(code, _)| code.as_str()).collect();
        if !codes.is_empty() {
            let told_codes = Sentence::from(format!("Cautions in the base: {}; ", codes.join(", ")));
            told.push(told_codes.typed("show cautions").plain(" tells them."));
        }
        told
    }

    fn has_width(&self) -> bool {
        let mut answers = self.cases.iter().flat_map(|scene| &scene.answers);
        answers.any(|answer| {
            let rows = answer.shown.listed().into_iter().flat_map(|rows| &rows.cells);
            let mut all = rows.flatten().chain([&answer.shown]);
            all.any(|shown| shown.uncertainty.is_some())
        })
    }

    /// Answers by cases; `None` where there is nothing to set side by side.
    fn table(&self, width: Width) -> Option<Table> {
        let base = self.cases.first().filter(|base| !base.answers.is_empty())?;
        if self.cases.len() < 2 {
            return None;
        }
        let places = 0..base.answers.len();
        let mut lines: Vec<(Sentence, Vec<Sentence>)> = places.flat_map(|place| self.lines(place, width)).collect();
        let holding: Option<Vec<String>> = self.cases.iter().map(Scene::holding).collect();
        lines.extend(holding.map(|told| {
            (
                "checks that hold".into(),
                told.into_iter().map(Sentence::from).collect(),
            )
        }));
        let names = lines.iter().map(|(name, _)| name.clone());
        let mut columns = vec![Column::words("", names).at_most(WIDEST_NAME)];
        columns.extend(self.cases.iter().enumerate().map(|(case, scene)| {
            let cells = lines
                .iter()
                .map(|(_, cells)| cells.get(case).cloned().unwrap_or_default());
            Column::words(Sentence::of_code(scene.word()), cells).at_most(CELL)
        }));
        Some(Table::of(
            "The answers in the base and in every case",
            Narrow::Columns,
            columns,
        ))
    }

    /// An answer in every case; of a column a line for each of its rows.
    fn lines(&self, place: usize, width: Width) -> Vec<(Sentence, Vec<Sentence>)> {
        let answers = self.cases.iter().filter_map(|scene| scene.answers.get(place));
        let answers: Vec<&Answer> = answers.collect();
        let name = answers.first().map_or("", |answer| &answer.name);
        let Some(columns) = listed_alike(&answers) else {
            let cells = answers.iter().map(|answer| answer.cell(width));
            return vec![(Sentence::of_code(name), cells.collect())];
        };
        let head = answers.iter().map(|answer| answer.apart(Sentence::default()));
        let head = (Sentence::of_code(name), head.collect());
        let count = columns.first().map_or(0, |rows| rows.cells.len());
        let below = (0..count).map(|row| {
            let name = columns.first().map_or(String::new(), |rows| rows.row_word(row));
            let cells = columns
                .iter()
                .map(|rows| match rows.cells.get(row).and_then(Option::as_ref) {
                    Some(shown) => value_cell(shown, Sentence::from(&shown.value), width),
                    None => Sentence::from(rows.told(row)),
                });
            (Sentence::from(format!("  {name}")), cells.collect())
        });
        std::iter::once(head).chain(below).collect()
    }

    /// A table, and below it what is wrong in the base and what sets each case apart.
    fn beside(&self, table: Table) -> Document {
        let mut document = Document::default();
        document.table(table);
        let faulty = |base: &&Scene| base.failing().next().is_some() || !base.problems.is_empty();
        if let Some(base) = self.cases.first().filter(faulty) {
            document.heading(base.heading());
            base.tell_faults(&mut document);
        }
        self.tell_cases(&mut document, false);
        document
    }

    fn one_below_another(&self) -> Document {
        let mut document = Document::default();
        if let Some(base) = self.cases.first() {
            document.heading(base.heading());
            base.tell_answers(&mut document);
            base.tell_faults(&mut document);
        }
        self.tell_cases(&mut document, true);
        document
    }

    /// What sets each case apart. What a check says is said in the first case in which it flips.
    fn tell_cases(&self, document: &mut Document, with_answers: bool) {
        let mut said = BTreeSet::new();
        for scene in self.cases.iter().skip(1) {
            document.heading(scene.heading());
            scene.tell_apart(document, with_answers);
            let flips = scene.flips.iter().map(|flip| Flip {
                message: flip
                    .message
                    .clone()
                    .filter(|message| said.insert((flip.place.clone(), message.clone()))),
                ..flip.clone()
            });
            tell_flips(document, &flips.collect::<Vec<_>>(), ("", "base"));
            scene.tell_problems(document);
            for (code, told) in &scene.cautions {
                let told = format!("Caution, {code}: {}", sentence(told));
                document.item(1, Some(Tone::Care), Sentence::marked(&told));
            }
            let same = scene.unchanged();
            if with_answers && !same.is_empty() {
                document.item(1, Some(Tone::Faint), scene.as_in_base(&same));
            }
        }
    }
}

impl Scene {
    fn tell_answers(&self, document: &mut Document) {
        let names = self.answers.iter().map(|answer| Sentence::of_code(&answer.name));
        let values = self.answers.iter().map(|answer| match answer.shown.listed() {
            Some(rows) => Sentence::of_lines(row_lines(rows)),
            None => Sentence::from(answer.shown.in_full()),
        });
        let labels = self
            .answers
            .iter()
            .map(|answer| answer.label.clone().unwrap_or_default());
        let columns = vec![
            Column::words("", names),
            Column::words("", values),
            Column::words("", labels),
        ];
        document.table(Table::of("The answers in the base", Narrow::Below, columns));
        if let Some(holding) = self.holding() {
            document
                .0
                .push(Block::Said(1, None, format!("checks that hold: {holding}").into()));
        }
    }

    /// The checks that don't hold, and the problems.
    fn tell_faults(&self, document: &mut Document) {
        for check in self.failing() {
            let tone = if check.holds.is_none() { Tone::Care } else { Tone::Bad };
            document.item(1, None, Sentence::of_code(&check.text));
            document.item(2, Some(tone), verdict(check.holds));
            let message = sentence(check.message.as_deref().unwrap_or(""));
            if !message.is_empty() {
                document.item(2, None, Sentence::marked(&message));
            }
        }
        self.tell_problems(document);
    }

    fn tell_problems(&self, document: &mut Document) {
        for problem in &self.problems {
            let file = problem.file.as_ref().map_or(String::new(), |file| format!("{file}, "));
            let told = format!("Problem, {file}line {}: {}", problem.line, sentence(&problem.message));
            document.item(1, Some(Tone::Bad), Sentence::marked(&told));
        }
    }

    /// The inputs that it replaces, and the answers where no table shows them.
    fn tell_apart(&self, document: &mut Document, with_answers: bool) {
        for replaced in &self.replaced {
            document.item(1, Some(Tone::Faint), replaced.told());
        }
        if self.replaced.is_empty() {
            document.item(1, Some(Tone::Faint), "it replaces nothing");
        }
        if with_answers {
            let apart = self.answers.iter().filter(|answer| !answer.as_in_base);
            document.terms(apart.flat_map(Answer::changes_told).collect());
        }
    }

    /// What doesn't hold in the base, or comes out otherwise than there.
    fn flips_in_short(&self) -> Option<Term> {
        let told: Vec<(&str, Option<bool>)> = match self.name {
            None => self.failing().map(|check| (check.text.as_str(), check.holds)).collect(),
            Some(_) => self.flips.iter().map(|flip| (flip.text.as_str(), flip.now)).collect(),
        };
        let said = [Some(false), None, Some(true)].into_iter().filter_map(|holds| {
            let texts: Vec<&str> = told.iter().filter(|one| one.1 == holds).map(|one| one.0).collect();
            let tone = if holds == Some(true) { Tone::Good } else { Tone::Bad };
            (!texts.is_empty()).then(|| (Some(tone), format!("{}: {}", verdict(holds), texts.join(", ")).into()))
        });
        let problems = (!self.problems.is_empty()).then(|| {
            let told = format!("{} problems: `compare all` tells them", self.problems.len());
            (Some(Tone::Bad), Sentence::marked(&told))
        });
        let said: Vec<_> = said.chain(problems).collect();
        (!said.is_empty()).then(|| Term::new(Sentence::of_code(self.word()), said))
    }

    fn as_in_base(&self, same: &[&str]) -> String {
        match same.len() == self.answers.len() {
            true => "Every answer is as in the base.".to_owned(),
            false => format!("As in the base: {}.", same.join(", ")),
        }
    }

    fn rows(&self) -> Vec<[String; 8]> {
        let case = self.name.as_deref().unwrap_or("");
        let answers = self.answers.iter().map(|answer| {
            let (value, change) = (value_text(&answer.value), value_text(&answer.change));
            let unit = answer.unit.as_deref().unwrap_or("");
            [
                case,
                "answer",
                &answer.name,
                "",
                &value,
                unit,
                &change,
                &answer.shown.in_full(),
            ]
            .map(str::to_owned)
        });
        let checks = self.checks.iter().map(|check| {
            let holds = check.holds.map_or(String::new(), |holds| holds.to_string());
            let line = check.line.to_string();
            [case, "check", &check.text, &line, &holds, "", "", verdict(check.holds)].map(str::to_owned)
        });
        answers.chain(checks).collect()
    }
}

impl Answer {
    /// The value, how far it may be off, and how far it is from the base.
    fn cell(&self, width: Width) -> Sentence {
        let shown = &self.shown;
        let value = if shown.rows.is_some() {
            shown.display()
        } else {
            shown.value.clone()
        };
        let value = match self.as_in_base {
            true => Sentence::from(value),
            false => Sentence::default().strong(value),
        };
        self.apart(value_cell(shown, value, width))
    }

    /// What sets it apart from the base, below what is told already.
    fn apart(&self, told: Sentence) -> Sentence {
        let short = self.short.iter().filter(|_| !self.as_in_base);
        short.fold(told, |told, more| {
            if told.is_empty() {
                more.into()
            } else {
                told.line().plain(more)
            }
        })
    }

    /// Its value beside that of the base, and the difference; of a column row by row.
    fn changes_told(&self) -> Vec<Term> {
        let change = Change {
            name: self.name.clone(),
            before: self.base.clone(),
            now: self.shown.clone(),
            difference: self.difference.clone(),
            short: None,
        };
        let each = row_by_row(&change).into_iter().map(|one| {
            let beside = Sentence::from(one.before.in_full()).or_break().plain("→ ");
            let difference = one.difference.map(|told| (None, Sentence::from(told)));
            let said = std::iter::once((None, beside.strong(one.now.in_full())));
            Term::new(Sentence::of_code(one.name), said.chain(difference).collect())
        });
        each.collect()
    }
}

/// A value, and below it how far it may be off.
fn value_cell(shown: &Shown, value: Sentence, width: Width) -> Sentence {
    let uncertainty = shown.uncertainty.iter().filter(|_| width == Width::Shown);
    let below = uncertainty.map(|width| format!("± {width}")).chain(shown.mark.clone());
    below.fold(value, |told, more| told.line().plain(more))
}

/// The columns that an answer is in every case, where they are listed and have the same rows.
fn listed_alike<'a>(answers: &[&'a Answer]) -> Option<Vec<&'a Rows>> {
    let columns: Option<Vec<&Rows>> = answers.iter().map(|answer| answer.shown.listed()).collect();
    let columns = columns?;
    let first = columns.first()?;
    let alike = |rows: &&Rows| rows.names == first.names && rows.cells.len() == first.cells.len();
    columns.iter().all(alike).then_some(columns)
}
