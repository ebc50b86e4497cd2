//! What two worksheets write where they differ, side by side.
//!
//! Start reading at [`written_both`].

use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::study::diff::apart::Rows;
use crate::study::diff::side::{Side, Sort as SideSort, Thing};
use crate::syntax::tree::{Entry as TreeEntry, EntryKind, Node, TableContent, Value as TreeValue};
use crate::text::in_one_line;

use super::super::super::digits;
use super::super::{Options, number_shown, unit_text};

/// What both write; how each is known and its unit are told where they differ.
pub(super) fn written_both(
    (a, one): (&Side<'_>, Option<&Thing>),
    (b, other): (&Side<'_>, Option<&Thing>),
) -> (Option<String>, Option<String>) {
    let (mine, theirs) = (one.map(|thing| written(a, thing)), other.map(|thing| written(b, thing)));
    let (Some(one), Some(other), Some(mine), Some(theirs)) = (one, other, &mine, &theirs) else {
        return (mine, theirs);
    };
    let (entry_a, entry_b) = (a.entry(one), b.entry(other));
    let (Some(entry_a), Some(entry_b)) = (entry_a, entry_b) else {
        return (Some(mine.clone()), Some(theirs.clone()));
    };
    let held = a.held(one).is_some() || b.held(other).is_some();
    let word = !held && word_of(entry_a) != word_of(entry_b);
    let is_worked = one.sort == SideSort::Worked && other.sort == SideSort::Worked;
    let unit = is_worked && entry_a.unit.map(|unit| unit.unit) != entry_b.unit.map(|unit| unit.unit);
    let told = |entry: &TreeEntry, said: &str| {
        let word = if word {
            format!("{} ", word_of(entry))
        } else {
            String::new()
        };
        let unit_told = entry.unit.filter(|_| unit).map(|unit| format!("[{}] ", unit.unit));
        format!("{word}{}{said}", unit_told.unwrap_or_default())
    };
    (Some(told(entry_a, mine)), Some(told(entry_b, theirs)))
}

/// How an entry is known; answers are worked.
fn word_of(entry: &TreeEntry) -> &'static str {
    match entry.kind {
        EntryKind::Answer => EntryKind::Worked.word(),
        kind => kind.word(),
    }
}

/// What stands behind a name, in one line.
fn written(side: &Side<'_>, thing: &Thing) -> String {
    if let Some(held) = side.held(thing) {
        return match (held.written.as_str(), side.known(thing)) {
            ("", Some(known)) => known
                .numbers
                .first()
                .copied()
                .flatten()
                .map_or(String::new(), |number| {
                    digits::with_unit(&number.to_plain(), &unit_text(known.kind))
                }),
            (written, _) => in_one_line(written),
        };
    }
    let tree = side.sheet.tree();
    let text = tree.text_of(thing.item as usize);
    let node = tree.node(thing.item);
    let told = match node {
        Some(Node::Entry(entry)) => match &entry.value {
            Some(TreeValue::Given { expression, tolerance }) => {
                let span = expression.span_with(tolerance.as_deref());
                Some(digits::as_written(span.of(text)).display())
            }
            Some(TreeValue::Blank(span)) => Some(span.of(text).to_owned()),
            None => None,
        },
        Some(Node::Table(table)) => match &table.content {
            Some(TableContent::Function(expression)) => Some(expression.span.of(text).to_owned()),
            _ => None,
        },
        Some(Node::Rule(rule)) => text.get(rule.name.span.end as usize..).map(str::to_owned),
        _ => None,
    };
    told.map_or_else(|| side.text(thing), |told| in_one_line(&told))
}

/// Where a thing of another worksheet stands.
pub(super) fn place(side: &Side<'_>, thing: Option<&Thing>) -> Option<String> {
    let item = thing?.item;
    side.sheet.file_of(item).map(|_| side.sheet.standing_at(item))
}

pub(super) fn source(side: &Side<'_>, thing: &Thing) -> Option<String> {
    if let Some(held) = side.held(thing) {
        return held.source.clone();
    }
    match side.sheet.tree().node(thing.item)? {
        Node::Entry(entry) => entry.source.as_ref().map(|source| source.text.to_string()),
        Node::Table(table) => table.source.as_ref().map(|source| source.text.to_string()),
        _ => None,
    }
}

/// A column's first differing cell, or how many rows it has.
pub(super) fn cell_told(
    side: &Side<'_>,
    thing: &Thing,
    name: &str,
    row: Option<usize>,
    options: Options,
) -> Option<String> {
    let columns = side.columns(thing);
    let column = columns.iter().find(|column| &*column.name == name)?;
    let Some(row) = row else {
        return Some(rows_of(column.cells.len()));
    };
    let told = match column.cells.get(row).copied().flatten() {
        Some(number) => {
            let digits = Options {
                digits: options.digits.max(12),
            };
            number_shown(side.sheet, number, column.kind, false, None, digits).value
        }
        None => "missing".to_owned(),
    };
    Some(format!("{told} in row {}", row + 1))
}

pub(super) fn rows_of(rows: usize) -> String {
    match rows {
        1 => "1 row".to_owned(),
        rows => format!("{rows} rows"),
    }
}

pub(super) fn rows_told(apart: usize, of: usize) -> String {
    match apart {
        1 => format!("1 of {of} rows differs"),
        apart => format!("{apart} of {of} rows differ"),
    }
}

pub(super) fn moved_told(rows: &Rows) -> String {
    let from = rows.first.map_or(1, |row| row + 1);
    match rows.apart {
        1 => format!("1 row differs, from row {from} on"),
        apart => format!("{apart} rows differ, from row {from} on"),
    }
}

pub(super) fn joined(one: Option<String>, other: Option<String>) -> Option<String> {
    match (one, other) {
        (Some(one), Some(other)) => Some(format!("{one}; {other}")),
        (one, other) => one.or(other),
    }
}

pub(super) fn condition(sheet: &Sheet, cell: CellId) -> Option<String> {
    let (item, expect) = sheet.expectation(cell)?;
    Some(in_one_line(&expect.said(sheet.tree().text_of(item as usize))))
}
