//! What differs between two worksheets whose things are paired.
//!
//! Each difference says whether it can move a value; kinds of knowing and
//! tolerances can't. Start reading at [`differences`]; checks and cases are
//! compared by [`checks`] and [`cases`], wording by [`wording`].

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::sheet::column::TableColumn;
use crate::sheet::names::CellId;
use crate::sheet::order::each_part;
use crate::sheet::{Case, Sheet};
use crate::syntax::tree::{ComparisonOperator, Entry, Expression, ExpressionNode, Node, Quoted};
use crate::text::in_one_line;
use crate::time_limit;

use super::canon::{Canon, Namer, comparing};
use super::pairing::{Mapped, Own, Pairing};
use super::side::{Known, Meaning, Side, Sort, meets, near};

/// What differs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum What {
    /// An input.
    Input,
    /// A formula, or an input on one side and a formula on the other.
    Formula,
    /// A rule of the worksheet's own.
    Rule,
    /// A whole table: its rows, or whether it is there.
    Table,
    /// One column of a table.
    Column(String),
}

/// One difference between the two.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Difference {
    /// What differs.
    pub what: What,
    /// The name under which it goes: in the first worksheet, or else in the second.
    pub name: String,
    /// Its place among the things of the first.
    pub a: Option<usize>,
    /// Its place among the things of the second.
    pub b: Option<usize>,
    /// Of a table or a column, which rows differ.
    pub rows: Option<Rows>,
    /// Whether a value can differ for it.
    pub moves: bool,
    /// Whether its kind or dimension is another, so that only with its users it can be exchanged.
    pub other_kind: bool,
    /// Whether no answer and no check of either rests on it.
    pub idle: bool,
}

/// The rows of two columns or tables.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Rows {
    /// How many the first has.
    pub a: usize,
    /// How many the second has.
    pub b: usize,
    /// How many differ.
    pub apart: usize,
    /// The first that differs, from 0.
    pub first: Option<usize>,
}

impl Difference {
    /// The name under which its share is told.
    pub(crate) fn share_name(&self) -> String {
        match &self.what {
            What::Column(column) => format!("{}.{column}", self.name),
            _ => self.name.clone(),
        }
    }
}

/// The differences, in the order of the first worksheet, then those that the second alone has;
/// and the name of the first thing that there was no time for.
pub(crate) fn differences(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> (Vec<Difference>, Option<String>) {
    let mut found = Vec::new();
    for (place, of_a) in pairing.of_a.iter().enumerate() {
        if time_limit::is_up() {
            return (found, a.thing(place).map(|thing| thing.name.clone()));
        }
        match of_a {
            Some(other) => compare(a, b, pairing, (place, *other), &mut found),
            None => found.extend(alone(a, place).map(|difference| Difference {
                a: Some(place),
                ..difference
            })),
        }
    }
    for (place, of_b) in pairing.of_b.iter().enumerate() {
        if of_b.is_none() {
            found.extend(alone(b, place).map(|difference| Difference {
                b: Some(place),
                ..difference
            }));
        }
    }
    (found, None)
}

fn alone(side: &Side<'_>, place: usize) -> Option<Difference> {
    let thing = side.thing(place)?;
    let what = match thing.sort {
        Sort::Input => What::Input,
        Sort::Worked | Sort::Made => What::Formula,
        Sort::Written => What::Table,
        Sort::Rule => What::Rule,
    };
    Some(plain(what, thing.name.clone()))
}

fn plain(what: What, name: String) -> Difference {
    Difference {
        what,
        name,
        a: None,
        b: None,
        rows: None,
        moves: true,
        other_kind: false,
        idle: false,
    }
}

fn compare(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing, (one, other): (usize, usize), found: &mut Vec<Difference>) {
    let (Some(mine), Some(theirs)) = (a.thing(one), b.thing(other)) else {
        return;
    };
    let (said, told) = (a.meaning(mine, &Own(a)), b.meaning(theirs, &Mapped(b, pairing)));
    let difference = |what| Difference {
        a: Some(one),
        b: Some(other),
        ..plain(what, mine.name.clone())
    };
    match (&said, &told) {
        (Meaning::Known(said), Meaning::Known(told)) => {
            let words = [a.entry(mine), b.entry(theirs)].map(|entry| entry.map(|entry| entry.kind));
            let inputs = mine.sort == Sort::Input && theirs.sort == Sort::Input;
            let held = a.held(mine).is_some() || b.held(theirs).is_some();
            let same_word = held || !inputs || words.first() == words.last();
            let same = said.same_value(told);
            if !same || !same_word || !said.same_doubt(told) {
                let what = if inputs { What::Input } else { What::Formula };
                found.push(Difference {
                    moves: !same,
                    other_kind: !same && !convertible(said, told),
                    ..difference(what)
                });
            }
        }
        (Meaning::Columns, Meaning::Columns) => columns(a, b, (one, other), found),
        _ if said == told => {}
        _ => {
            let what = match (mine.sort, theirs.sort) {
                (Sort::Input, Sort::Input) => What::Input,
                (Sort::Written, Sort::Written) => What::Table,
                (Sort::Rule, _) => What::Rule,
                _ => What::Formula,
            };
            found.push(Difference {
                other_kind: other_shape(a, b, (one, other)),
                ..difference(what)
            });
        }
    }
}

fn convertible(one: &Known, other: &Known) -> bool {
    one.column == other.column && meets(one.kind, other.kind)
}

/// Whether two things hold values that can't stand for each other.
fn other_shape(a: &Side<'_>, b: &Side<'_>, (one, other): (usize, usize)) -> bool {
    let shape = |side: &Side<'_>, place: usize| {
        let cell = side.thing(place).and_then(|thing| thing.cell)?;
        side.sheet.shape(cell)
    };
    match (shape(a, one), shape(b, other)) {
        (Some(one), Some(other)) => one.column != other.column || !meets(one.kind, other.kind),
        _ => false,
    }
}

// ---- tables ----

fn columns(a: &Side<'_>, b: &Side<'_>, (one, other): (usize, usize), found: &mut Vec<Difference>) {
    let (Some(mine), Some(theirs)) = (a.thing(one), b.thing(other)) else {
        return;
    };
    let (ours, others) = (a.columns(mine), b.columns(theirs));
    let height = |columns: &[&TableColumn]| columns.first().map_or(0, |column| column.cells.len());
    let (of_a, of_b) = (height(&ours), height(&others));
    if of_a != of_b {
        found.push(Difference {
            a: Some(one),
            b: Some(other),
            rows: Some(moved_rows(a, b, &ours, &others)),
            ..plain(What::Table, mine.name.clone())
        });
        return;
    }
    let named = |columns: &[&TableColumn], name: &str| columns.iter().any(|column| &*column.name == name);
    for column in &ours {
        let counterpart = others.iter().find(|other| other.name == column.name);
        let difference = Difference {
            a: Some(one),
            b: counterpart.map(|_| other),
            ..plain(What::Column(column.name.to_string()), mine.name.clone())
        };
        match counterpart {
            Some(counterpart) => {
                let (said, told) = (a.column(column), b.column(counterpart));
                let apart = said.apart(&told);
                if !apart.is_empty() || !same_tolerances(column, counterpart) {
                    found.push(Difference {
                        moves: !apart.is_empty(),
                        other_kind: !apart.is_empty() && !convertible(&said, &told),
                        rows: Some(Rows {
                            a: of_a,
                            b: of_b,
                            apart: apart.len(),
                            first: apart.first().copied(),
                        }),
                        ..difference
                    });
                }
            }
            None => found.push(difference),
        }
    }
    for column in others.iter().filter(|column| !named(&ours, &column.name)) {
        found.push(Difference {
            b: Some(other),
            ..plain(What::Column(column.name.to_string()), mine.name.clone())
        });
    }
}

/// Rows of tables of different heights: those between what is the same above and below.
fn moved_rows(a: &Side<'_>, b: &Side<'_>, ours: &[&TableColumn], theirs: &[&TableColumn]) -> Rows {
    let pairs: Vec<(Known, Known)> = ours
        .iter()
        .filter_map(|column| {
            let other = theirs.iter().find(|other| other.name == column.name)?;
            Some((a.column(column), b.column(other)))
        })
        .collect();
    let height = |columns: &[&TableColumn]| columns.first().map_or(0, |column| column.cells.len());
    let (of_a, of_b) = (height(ours), height(theirs));
    let shorter = of_a.min(of_b);
    let same = |row_a: usize, row_b: usize| pairs.iter().all(|(one, other)| one.same_at(row_a, other, row_b));
    let above = (0..shorter).take_while(|row| same(*row, *row)).count();
    let rest = shorter - above;
    let below = (0..rest).take_while(|up| same(of_a - 1 - up, of_b - 1 - up)).count();
    Rows {
        a: of_a,
        b: of_b,
        apart: of_a.max(of_b) - above - below,
        first: Some(above),
    }
}

fn same_tolerances(one: &TableColumn, other: &TableColumn) -> bool {
    let at = |column: &TableColumn, row: usize| column.uncertainty.get(row).copied().unwrap_or(0.0);
    let rows = one.uncertainty.len().max(other.uncertainty.len());
    // a tolerance in another unit is compared by its share of the value
    if one.kind != other.kind {
        let said = |column: &TableColumn| column.uncertainty.iter().any(|u| *u > 0.0);
        return said(one) == said(other);
    }
    (0..rows).all(|row| near(at(one, row), at(other, row)))
}

// ---- checks ----

/// An expectation that both have, that differs, or that one of them has alone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct CheckPair {
    /// In the first worksheet.
    pub a: Option<CellId>,
    /// In the second.
    pub b: Option<CellId>,
    /// Whether both say the same.
    pub same: bool,
}

struct Condition {
    cell: CellId,
    told: String,
    /// The sides, each with the operators behind it.
    sides: Vec<String>,
}

/// Which expectations are the same, which differ in a limit, and which stand alone; `None` where
/// there is no time for all.
pub(crate) fn checks(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> Option<Vec<CheckPair>> {
    let ours = conditions(a, &Own(a))?;
    let theirs = conditions(b, &Mapped(b, pairing))?;
    let mut free = vec![true; theirs.len()];
    let mut taken = vec![None; ours.len()];
    let whole = |condition: &Condition| vec![condition.told.clone()];
    let sides = |condition: &Condition| condition.sides.clone();
    take((&ours, &mut taken), (&theirs, &mut free), &whole, true)?;
    take((&ours, &mut taken), (&theirs, &mut free), &sides, false)?;
    let pairs = ours.iter().zip(&taken).map(|(condition, taken)| CheckPair {
        a: Some(condition.cell),
        b: taken.map(|(cell, _)| cell),
        same: taken.is_some_and(|(_, same)| same),
    });
    let alone = theirs.iter().zip(free).filter(|(_, free)| *free);
    let alone = alone.map(|(condition, _)| CheckPair {
        a: None,
        b: Some(condition.cell),
        same: false,
    });
    Some(pairs.chain(alone).collect())
}

/// The counterpart of a condition, and whether both say the same.
type Taken = Option<(CellId, bool)>;

/// Gives each of ours without a counterpart the first of theirs that is free and has a word in common.
fn take(
    (ours, taken): (&[Condition], &mut Vec<Taken>),
    (theirs, free): (&[Condition], &mut Vec<bool>),
    words: &dyn Fn(&Condition) -> Vec<String>,
    same: bool,
) -> Option<()> {
    let mut by_word: BTreeMap<String, VecDeque<usize>> = BTreeMap::new();
    for (place, condition) in theirs.iter().enumerate() {
        for word in words(condition) {
            by_word.entry(word).or_default().push_back(place);
        }
    }
    for (condition, taken) in ours.iter().zip(taken).filter(|(_, taken)| taken.is_none()) {
        if time_limit::is_up() {
            return None;
        }
        let is_free = |place: usize, free: &[bool]| free.get(place) == Some(&true);
        let mut first: Option<usize> = None;
        for word in words(condition) {
            let Some(places) = by_word.get_mut(&word) else { continue };
            while places.front().is_some_and(|place| !is_free(*place, free)) {
                places.pop_front();
            }
            first = first.into_iter().chain(places.front().copied()).min();
        }
        if let Some((place, other)) = first.and_then(|place| Some((free.get_mut(place)?, theirs.get(first?)?))) {
            *place = false;
            *taken = Some((other.cell, same));
        }
    }
    Some(())
}

fn conditions(side: &Side<'_>, namer: &dyn Namer) -> Option<Vec<Condition>> {
    let mut found = Vec::new();
    for cell in side.sheet.own_cells() {
        if time_limit::is_up() {
            return None;
        }
        found.extend(condition(side, cell, namer));
    }
    Some(found)
}

fn condition(side: &Side<'_>, cell: CellId, namer: &dyn Namer) -> Option<Condition> {
    let item = side.sheet.tree().item(side.sheet.item_of(cell))?;
    let Node::Expect(expect) = &item.node else { return None };
    if let Some(close) = &expect.closeness {
        let each = close.each().map(|part| Canon::new(namer).expression(part));
        return Some(Condition {
            cell,
            told: each.collect::<Vec<_>>().join(" close to "),
            sides: vec![Canon::new(namer).expression(&close.answer)],
        });
    }
    let condition = expect.condition.as_ref()?;
    Some(Condition {
        cell,
        told: Canon::new(namer).expression(condition),
        sides: sides(condition, namer),
    })
}

/// What a condition compares, without what is only a number.
fn sides(condition: &Expression, namer: &dyn Namer) -> Vec<String> {
    let canon = Canon::new(namer);
    let ExpressionNode::Comparison(comparison) = &condition.node else {
        return Vec::new();
    };
    let way = |operator: &ComparisonOperator| comparing(*operator).trim_end_matches('=').to_owned();
    let ways: Vec<String> = comparison.links.iter().map(|(operator, ..)| way(operator)).collect();
    let parts = std::iter::once(&comparison.first).chain(comparison.links.iter().map(|(_, _, side)| side));
    let named = parts.enumerate().filter(|(_, part)| {
        let mut speaks = false;
        each_part(part, &mut |part| {
            speaks |= matches!(part.node, ExpressionNode::Name(_) | ExpressionNode::Column(_));
        });
        speaks
    });
    named
        .map(|(place, part)| format!("{place} {} {}", ways.join(" "), canon.expression(part)))
        .collect()
}

// ---- cases ----

/// A case that differs, or that one of them has alone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct CaseApart {
    /// Its name.
    pub name: String,
    /// Whether the first has it.
    pub in_a: bool,
    /// Whether the second has it.
    pub in_b: bool,
    /// The inputs that it replaces otherwise, with what each writes.
    pub lines: Vec<(String, Option<String>, Option<String>)>,
}

/// The cases that differ; `None` where there is no time for all.
pub(crate) fn cases(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> Option<Vec<CaseApart>> {
    let mut found = Vec::new();
    let (of_a, of_b) = (by_name(a), by_name(b));
    for case in a.sheet.cases() {
        if time_limit::is_up() {
            return None;
        }
        let Some(other) = of_b.get(case.name.as_str()) else {
            found.push(case_alone(&case.name, true));
            continue;
        };
        let ours = lines(a, case, &Own(a));
        let mut theirs = lines(b, other, &Mapped(b, pairing));
        let mut apart = Vec::new();
        for (name, (known, written)) in ours {
            match theirs.remove(&name) {
                Some((other, _)) if known.same_value(&other) && known.same_doubt(&other) => {}
                other => apart.push((name, Some(written), other.map(|(_, written)| written))),
            }
        }
        apart.extend(
            theirs
                .into_iter()
                .map(|(name, (_, written))| (name, None, Some(written))),
        );
        if !apart.is_empty() {
            found.push(CaseApart {
                lines: apart,
                in_b: true,
                ..case_alone(&case.name, true)
            });
        }
    }
    let alone = b.sheet.cases().iter();
    let alone = alone.filter(|case| !of_a.contains_key(case.name.as_str()));
    found.extend(alone.map(|case| case_alone(&case.name, false)));
    Some(found)
}

fn by_name<'a>(side: &Side<'a>) -> BTreeMap<&'a str, &'a Case> {
    let cases = side.sheet.cases().iter();
    cases.map(|case| (case.name.as_str(), case)).collect()
}

fn case_alone(name: &str, in_a: bool) -> CaseApart {
    CaseApart {
        name: name.to_owned(),
        in_a,
        in_b: !in_a,
        lines: Vec::new(),
    }
}

/// What a case writes for each input.
fn lines(side: &Side<'_>, case: &Case, namer: &dyn Namer) -> BTreeMap<String, (Known, String)> {
    let held = case.held.iter().filter_map(|(cell, held)| {
        let name = namer.name(side.sheet.name_of(*cell)?);
        let kind = side.sheet.shape(*cell)?.kind;
        Some((name, (side.known_of(held, kind), held.written.clone())))
    });
    held.collect()
}

// ---- wording ----

/// What differs in words alone.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Wording {
    /// In how many places labels, titles, remarks to checks, headings, prose or charts differ.
    pub places: usize,
    /// What has the same value from another source, by its name in the first.
    pub sources: Vec<String>,
}

/// Compares labels, notes, headings, prose and sources; `None` where there is no time for all.
pub(crate) fn wording(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing, found: &[Difference]) -> Option<Wording> {
    let mut wording = Wording::default();
    let differing: BTreeSet<usize> = found.iter().filter_map(|difference| difference.a).collect();
    for (one, other) in pairing.of_a.iter().enumerate() {
        if time_limit::is_up() {
            return None;
        }
        let Some(pair) = a.thing(one).zip(other.and_then(|other| b.thing(other))) else {
            continue;
        };
        let (Some(mine), Some(theirs)) = (words(a.sheet, pair.0.item), words(b.sheet, pair.1.item)) else {
            continue;
        };
        wording.places += usize::from(mine.label != theirs.label) + usize::from(mine.note != theirs.note);
        wording.places += usize::from(mine.clock != theirs.clock);
        if mine.source != theirs.source && !differing.contains(&one) {
            wording.sources.push(pair.0.name.clone());
        }
    }
    let loose = |side: &Side<'_>, namer: &dyn Namer| loose_words(side, namer);
    wording.places += unlike(&loose(a, &Own(a)), &loose(b, &Mapped(b, pairing)));
    Some(wording)
}

#[derive(PartialEq)]
struct Words {
    label: Option<String>,
    note: Option<String>,
    source: Option<String>,
    clock: bool,
}

fn words(sheet: &Sheet, item: u32) -> Option<Words> {
    let text = |quoted: &Option<Quoted>| quoted.as_ref().map(|quoted| quoted.text.to_string());
    let clock = |entry: &Entry| entry.unit.is_some_and(|unit| unit.clock);
    match sheet.tree().node(item)? {
        Node::Entry(entry) => Some(Words {
            label: text(&entry.label),
            note: text(&entry.note),
            source: text(&entry.source),
            clock: clock(entry),
        }),
        Node::Table(table) => Some(Words {
            label: text(&table.label),
            note: text(&table.note),
            source: text(&table.source),
            clock: false,
        }),
        _ => None,
    }
}

/// Headings, paragraphs, the words of checks, titles of cases, charts.
fn loose_words(side: &Side<'_>, namer: &dyn Namer) -> Vec<String> {
    let canon = Canon::new(namer);
    let mut found: Vec<String> = Vec::new();
    let mut in_prose = false;
    for (index, item) in side.sheet.tree().items.iter().enumerate() {
        let text = side.sheet.tree().text_of(index);
        let prose = matches!(item.node, Node::Prose(_));
        match &item.node {
            Node::Heading(heading) => found.push(format!("# {}", in_one_line(heading.title.of(text)))),
            Node::Prose(span) => match found.last_mut().filter(|_| in_prose) {
                Some(paragraph) => paragraph.push_str(&format!(" {}", in_one_line(span.of(text)))),
                None => found.push(in_one_line(span.of(text))),
            },
            Node::Expect(expect) => {
                found.extend(expect.otherwise.as_ref().map(|quoted| format!("else {}", quoted.text)))
            }
            Node::Case(case) => found.extend(case.title.as_ref().map(|quoted| format!("case {}", quoted.text))),
            Node::Plot(plot) => found.push(format!(
                "plot {} {} {}",
                plot.columns()
                    .map(|column| canon.expression(column))
                    .collect::<Vec<_>>()
                    .join(" "),
                if plot.from_zero { "from zero" } else { "" },
                plot.title.as_ref().map_or("", |title| &title.text)
            )),
            _ => {}
        }
        in_prose = prose;
    }
    found
}

/// How many of one list the other lacks, the longer way round.
fn unlike(one: &[String], other: &[String]) -> usize {
    let mut counts: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for text in one {
        counts.entry(text).or_default().0 += 1;
    }
    for text in other {
        counts.entry(text).or_default().1 += 1;
    }
    let missing = counts
        .values()
        .map(|(one, other)| one.saturating_sub(*other))
        .sum::<usize>();
    let extra = counts
        .values()
        .map(|(one, other)| other.saturating_sub(*one))
        .sum::<usize>();
    missing.max(extra)
}
