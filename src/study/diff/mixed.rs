//! Worksheets mixed of two: the first with some of what differs taken from the second.
//!
//! What one of the two has alone stands in every mixture, so that whatever uses
//! it finds it. Where only the number of an input differs it is held over the
//! line, which costs no new load. Start reading at [`Mixer`].

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use crate::number::Number;
use crate::problem::Severity;
use crate::sheet::column::TableColumn;
use crate::sheet::names::CellId;
use crate::sheet::{Held, HeldValue, Reading, Sheet};
use crate::time_limit;
use crate::unit::Kind;

use super::apart::{Difference, What};
use super::canon::{Namer, quoted, timed};
use super::graph::{Graph, Reached};
use super::pairing::{Mapped, Own, Pairing};
use super::side::{Side, Sort, Thing, as_kind};

/// What reading a line takes at most, so that no mixture is begun for which there is no time.
const READING: Duration = Duration::from_micros(10);

/// An answer that both have, with its kind in the first.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Asked {
    /// Its name.
    pub name: String,
    /// Its cell in the first.
    pub a: CellId,
    /// Its cell in the second.
    pub b: CellId,
    /// Its kind in the first.
    pub kind: Option<Kind>,
}

/// The answers in one mixture; where one has none, why.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Outcome {
    /// Each in its unit in the first.
    pub values: Vec<Option<Number>>,
    /// The first problem of the mixture, in words.
    pub problem: Option<String>,
}

/// Mixes two worksheets.
pub(crate) struct Mixer<'a> {
    a: &'a Side<'a>,
    b: &'a Side<'a>,
    pairing: &'a Pairing,
    differences: &'a [Difference],
    asked: &'a [Asked],
    graph: &'a Graph,
    needed: Reached,
    /// The number that takes the place of an input's own, in its unit, by the difference.
    numbers: BTreeMap<usize, Number>,
    /// What names begin with that go through other worksheets.
    through: Vec<String>,
    mixed: Option<Mixed>,
}

/// A mixture that is loaded, with the inputs that are exchanged in it.
struct Mixed {
    lines: BTreeSet<usize>,
    exchanged: BTreeSet<usize>,
    sheet: Sheet,
}

impl Mixed {
    fn hold(&mut self, name: &str, kind: Kind, value: &HeldValue) {
        let Some((cell, shape)) = self
            .sheet
            .cell(name)
            .and_then(|cell| Some((cell, self.sheet.shape(cell)?)))
        else {
            return;
        };
        let converted = |number: Number| as_kind(number, kind, shape.kind);
        let value = match value {
            HeldValue::Number(number) => converted(*number).map(HeldValue::Number),
            HeldValue::Column(cells) => Some(HeldValue::Column(
                cells.iter().map(|cell| cell.and_then(converted)).collect(),
            )),
        };
        if let Some(value) = value {
            self.sheet.hold(cell, Held::exactly(value));
        }
    }
}

impl<'a> Mixer<'a> {
    /// A mixer of two worksheets for these answers.
    pub(crate) fn new(
        (a, b): (&'a Side<'a>, &'a Side<'a>),
        pairing: &'a Pairing,
        differences: &'a [Difference],
        asked: &'a [Asked],
        graph: &'a Graph,
    ) -> Mixer<'a> {
        let places = differences.iter().enumerate();
        let numbers = places.filter_map(|(place, difference)| Some((place, exchanged(a, b, difference)?)));
        Mixer {
            a,
            b,
            pairing,
            differences,
            asked,
            graph,
            needed: graph.reach(asked.iter().filter_map(|answer| graph.node(&answer.name))),
            numbers: numbers.collect(),
            through: [a, b]
                .iter()
                .flat_map(|side| side.sheet.used_files())
                .map(|file| file.prefix.clone())
                .collect(),
            mixed: None,
        }
    }

    /// Whether a difference needs a line of its own, and so a new load.
    pub(crate) fn is_line(&self, difference: usize) -> bool {
        !self.numbers.contains_key(&difference)
    }

    /// The answers where these differences are as in the second worksheet; `None` where there is
    /// no time to write and read that.
    pub(crate) fn outcome(&mut self, applied: &BTreeSet<usize>) -> Option<Outcome> {
        let lines: BTreeSet<usize> = applied.iter().copied().filter(|one| self.is_line(*one)).collect();
        let mut mixed = match self.mixed.take().filter(|mixed| mixed.lines == lines) {
            Some(mixed) => mixed,
            None => self.load(lines)?,
        };
        for (difference, number) in &self.numbers {
            let wanted = applied.contains(difference);
            if wanted != mixed.exchanged.contains(difference) {
                self.exchange(&mut mixed, *difference, *number, wanted);
                match wanted {
                    true => mixed.exchanged.insert(*difference),
                    false => mixed.exchanged.remove(difference),
                };
            }
        }
        let outcome = self.read(&mixed.sheet);
        self.mixed = Some(mixed);
        Some(outcome)
    }

    /// Holds the second's number over an input, or lets it go again.
    fn exchange(&self, mixed: &mut Mixed, difference: usize, number: Number, wanted: bool) {
        let Some(thing) = self
            .differences
            .get(difference)
            .and_then(|difference| self.a.thing(difference.a?))
        else {
            return;
        };
        let Some(known) = self.a.known(thing) else { return };
        if wanted {
            mixed.hold(&self.flat(&thing.name), known.kind, &HeldValue::Number(number));
            return;
        }
        match self.a.held(thing) {
            Some(held) => mixed.hold(&self.flat(&thing.name), known.kind, &held.value),
            None => {
                if let Some(cell) = mixed.sheet.cell(&self.flat(&thing.name)) {
                    mixed.sheet.release(cell);
                }
            }
        }
    }

    fn read(&self, sheet: &Sheet) -> Outcome {
        let values: Vec<Option<Number>> = self.asked.iter().map(|asked| value(sheet, asked)).collect();
        let problem = values.iter().any(Option::is_none).then(|| {
            let problems = sheet.problems();
            let found = problems.iter().find(|problem| problem.severity == Severity::Problem);
            found.map(|problem| problem.message.clone())
        });
        Outcome {
            values,
            problem: problem.flatten(),
        }
    }

    // ---- one mixture ----

    fn flat(&self, name: &str) -> String {
        flat(name, &self.through)
    }

    fn is_needed(&self, name: &str) -> bool {
        self.needed.holds(self.graph.node(name))
    }

    fn load(&self, lines: BTreeSet<usize>) -> Option<Mixed> {
        let mut text = String::new();
        let mut held = Vec::new();
        let whole = self.taken_whole(&lines);
        for (place, thing) in self.a.things.iter().enumerate() {
            if !self.is_needed(&thing.name) {
                continue;
            }
            if time_limit::is_up() {
                return None;
            }
            let other = self.pairing.of_a.get(place).copied().flatten();
            let taken = whole.contains(&place);
            match other.and_then(|other| self.b.thing(other)).filter(|_| taken) {
                Some(theirs) => self.line(
                    &mut text,
                    &mut held,
                    (self.b, theirs),
                    &Flat(&Mapped(self.b, self.pairing), &self.through),
                ),
                None if thing.sort == Sort::Written => text.push_str(&self.table(place, thing, &lines)),
                None => self.line(
                    &mut text,
                    &mut held,
                    (self.a, thing),
                    &Flat(&Own(self.a), &self.through),
                ),
            }
        }
        let namer = Mapped(self.b, self.pairing);
        for (place, thing) in self.b.things.iter().enumerate() {
            let alone = self.pairing.of_b.get(place).copied().flatten().is_none();
            if alone && self.is_needed(&namer.name(&thing.name)) {
                self.line(&mut text, &mut held, (self.b, thing), &Flat(&namer, &self.through));
            }
        }
        let lines_to_read = u32::try_from(text.bytes().filter(|byte| *byte == b'\n').count()).unwrap_or(u32::MAX);
        if !time_limit::deadline().leaves(READING * lines_to_read) {
            return None;
        }
        let mut mixed = Mixed {
            lines,
            exchanged: BTreeSet::new(),
            sheet: Sheet::load_with(text, None, &[]),
        };
        for (name, kind, value) in held {
            mixed.hold(&name, kind, &value);
        }
        Some(mixed)
    }

    /// The things of the first that give way to those of the second as a whole.
    fn taken_whole(&self, lines: &BTreeSet<usize>) -> BTreeSet<usize> {
        let differences = lines.iter().filter_map(|line| self.differences.get(*line));
        let whole = differences.filter(|difference| !matches!(difference.what, What::Column(_)));
        whole.filter_map(|difference| difference.a).collect()
    }

    fn line<'s>(
        &self,
        text: &mut String,
        held: &mut Vec<(String, Kind, HeldValue)>,
        (side, thing): (&'s Side<'s>, &'s Thing),
        namer: &dyn Namer,
    ) {
        let name = namer.name(&thing.name);
        let known = side.held(thing).and_then(|_| side.known(thing));
        if let Some([said]) = known.as_ref().map(|known| known.texts.as_slice()) {
            text.push_str(&format!("assumed {name} = {}\n", quoted(said)));
            return;
        }
        if let Some(known) = known {
            let value = match known.column {
                true => Some(HeldValue::Column(known.numbers)),
                false => known.numbers.first().copied().flatten().map(HeldValue::Number),
            };
            held.extend(value.map(|value| (name.clone(), known.kind, value)));
        }
        let word = match thing.sort {
            Sort::Input => "assumed",
            Sort::Worked => "worked",
            Sort::Made => "table",
            Sort::Rule => "rule",
            Sort::Written => {
                let columns: Vec<(&Side<'_>, &TableColumn)> =
                    side.columns(thing).into_iter().map(|column| (side, column)).collect();
                text.push_str(&rows(&name, &columns));
                return;
            }
        };
        if let Some(definition) = side.definition(thing, namer) {
            text.push_str(&format!("{word} {name}{definition}\n"));
        }
    }

    /// A table of the first, with the columns that are exchanged, and those that the second has alone.
    fn table(&self, place: usize, thing: &Thing, lines: &BTreeSet<usize>) -> String {
        let other = self.pairing.of_a.get(place).copied().flatten();
        let theirs = other.and_then(|other| self.b.thing(other));
        let theirs = theirs.map_or_else(Vec::new, |other| self.b.columns(other));
        let ours = self.a.columns(thing);
        let exchanged = |name: &str| {
            lines.iter().any(|line| {
                let difference = self
                    .differences
                    .get(*line)
                    .filter(|difference| difference.a == Some(place));
                difference.is_some_and(|difference| difference.what == What::Column(name.to_owned()))
            })
        };
        let height = |columns: &[&TableColumn]| columns.first().map(|column| column.cells.len());
        let fits = height(&ours) == height(&theirs);
        let mut columns: Vec<(&Side<'_>, &TableColumn)> = Vec::new();
        for column in &ours {
            let counterpart = theirs.iter().find(|other| other.name == column.name);
            match counterpart.filter(|_| exchanged(&column.name)) {
                Some(counterpart) => columns.push((self.b, counterpart)),
                None => columns.push((self.a, column)),
            }
        }
        let more = theirs
            .iter()
            .filter(|column| !ours.iter().any(|own| own.name == column.name));
        columns.extend(more.filter(|_| fits).map(|column| (self.b, *column)));
        rows(&self.flat(&thing.name), &columns)
    }
}

/// A name through another worksheet as one name: in a mixture all stands in one text.
fn flat(name: &str, through: &[String]) -> String {
    let prefix = through.iter().filter(|prefix| name.starts_with(prefix.as_str()));
    match prefix.max_by_key(|prefix| prefix.len()) {
        // a letter that nobody types
        Some(prefix) => name.replacen(prefix.as_str(), &prefix.replace('.', "ǀ"), 1),
        None => name.to_owned(),
    }
}

/// Names as they are in a mixture.
struct Flat<'a>(&'a dyn Namer, &'a [String]);

impl Namer for Flat<'_> {
    fn name(&self, name: &str) -> String {
        flat(&self.0.name(name), self.1)
    }

    fn parameters(&self, rule: &str) -> Option<Vec<String>> {
        self.0.parameters(rule)
    }
}

/// The second's number in the unit of the first, where only the number differs.
fn exchanged(a: &Side<'_>, b: &Side<'_>, difference: &Difference) -> Option<Number> {
    if !matches!(difference.what, What::Input | What::Formula) {
        return None;
    }
    let (one, other) = (a.thing(difference.a?)?, b.thing(difference.b?)?);
    let (one, other) = (a.known(one)?, b.known(other)?);
    if one.column || other.column {
        return None;
    }
    as_kind(other.numbers.first().copied().flatten()?, other.kind, one.kind)
}

/// The value of an answer in a mixture, in its unit in the first.
fn value(sheet: &Sheet, asked: &Asked) -> Option<Number> {
    let cell = sheet.cell(&asked.name)?;
    match sheet.reading(cell) {
        Reading::Number(number) => as_kind(number, sheet.shape(cell)?.kind, asked.kind?),
        _ => None,
    }
}

// ---- tables ----

/// A table as rows between bars.
fn rows(name: &str, columns: &[(&Side<'_>, &TableColumn)]) -> String {
    let headings = columns.iter().map(|(_, column)| heading(column));
    let mut text = format!("table {name}\n  |{}\n", headings.collect::<String>());
    let height = columns.first().map_or(0, |(_, column)| column.cells.len());
    for row in 0..height {
        let cells = columns
            .iter()
            .map(|(side, column)| format!(" {} |", cell(side, column, row)));
        text.push_str(&format!("  |{}\n", cells.collect::<String>()));
    }
    text
}

fn heading(column: &TableColumn) -> String {
    match column.kind {
        Kind::Quantity(unit) if !unit.to_string().is_empty() => format!(" {} [{unit}] |", column.name),
        Kind::Level | Kind::Decibels => format!(" {} [dB] |", column.name),
        _ => format!(" {} |", column.name),
    }
}

fn cell(side: &Side<'_>, column: &TableColumn, row: usize) -> String {
    let Some(number) = column.cells.get(row).copied().flatten() else {
        return String::new();
    };
    match column.kind {
        Kind::Text => quoted(side.sheet.texts().text(number)),
        Kind::Truth => (!number.is_zero()).to_string(),
        kind if kind.is_time() => timed(kind, number),
        _ => number.to_plain(),
    }
}
