//! One row an entry, for spreadsheet programs. What stands in `standard_uncertainty` is that,
//! k = 1; `display` has the expanded one, with its k.
//!
//! A cell of text that begins like a formula gets an apostrophe in front, so
//! that no program runs it; numbers stay numbers. A column's values stand in
//! one cell, parted by semicolons. Start reading at [`write()`].

use std::borrow::Cow;
use std::io::{self, Write};

use super::in_hand::InHand;
use super::model::{Entry, Report, Scalar, Uncertainty, Value, ValueType};
use super::shown::{Awaited, RowNames};
use super::visible::{is_hidden, visible};

const HEADINGS: [&str; 15] = [
    "name",
    "label",
    "kind",
    "line",
    "section",
    "held_by",
    "type",
    "value",
    "unit",
    "standard_uncertainty",
    "display",
    "from",
    "note",
    "waits_on",
    "rows",
];

/// Writes the entries with a row of headings.
///
/// # Errors
/// Only those of the output.
pub fn write(report: &Report, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    rows.write_record(HEADINGS.iter().chain(&InHand::HEADINGS))?;
    let behind = report.in_hand().cells();
    for entry in &report.entries {
        let cells = row(entry).into_iter().chain(behind.iter().map(|cell| safe(cell)));
        rows.write_record(cells.map(Cow::into_owned))?;
    }
    rows.flush()
}

fn row(entry: &Entry) -> [Cow<'_, str>; 15] {
    [
        safe(&entry.name),
        optional(entry.label.as_deref()),
        entry.kind.word().into(),
        entry.line.to_string().into(),
        optional(entry.section.as_deref()),
        entry.held_by.map_or("", |holder| holder.word()).into(),
        entry.value_type.word().into(),
        value(entry),
        optional(entry.unit.as_deref()),
        uncertainty(&entry.uncertainty),
        safe_owned(entry.shown.in_full()),
        optional(entry.source.as_deref()),
        optional(entry.note.as_deref()),
        waits_on(&entry.waits_on),
        row_names(entry.rows.as_ref()),
    ]
}

fn value(entry: &Entry) -> Cow<'_, str> {
    match &entry.value {
        Value::Nothing => "".into(),
        Value::One(Scalar::Truth(truth)) => truth.to_string().into(),
        Value::One(Scalar::Text(text)) if entry.value_type == ValueType::Number => text.into(),
        Value::One(Scalar::Text(text)) => safe(text),
        Value::One(Scalar::Within(extent)) => extent.told.as_str().into(),
        Value::Column(cells) => column_text(cells).into(),
    }
}

fn cell(cell: &Option<Scalar>) -> Cow<'_, str> {
    match cell {
        None => "".into(),
        Some(Scalar::Truth(truth)) => truth.to_string().into(),
        Some(Scalar::Text(text)) => text.into(),
        Some(Scalar::Within(extent)) => extent.told.as_str().into(),
    }
}

fn uncertainty(uncertainty: &Uncertainty) -> Cow<'_, str> {
    match uncertainty {
        Uncertainty::Nothing => "".into(),
        Uncertainty::One(text) => text.into(),
        Uncertainty::Column(cells) => {
            let texts: Vec<&str> = cells.iter().map(|cell| cell.as_deref().unwrap_or("")).collect();
            texts.join("; ").into()
        }
    }
}

/// What tells the rows of a column apart.
fn row_names(names: Option<&RowNames>) -> Cow<'static, str> {
    safe_owned(names.map_or(String::new(), |names| names.names.join("; ")))
}

fn waits_on(awaited: &[Awaited]) -> Cow<'_, str> {
    let names: Vec<&str> = awaited.iter().map(|one| one.name.as_str()).collect();
    safe_owned(names.join("; "))
}

fn optional(text: Option<&str>) -> Cow<'_, str> {
    safe(text.unwrap_or(""))
}

/// A text that a spreadsheet takes for a text and not for a formula, and on which a
/// terminal doesn't act; line ends stay.
pub(super) fn safe(text: &str) -> Cow<'_, str> {
    let hides = |c: char| c != '\n' && is_hidden(c);
    let shown: Cow<'_, str> = match text.contains(hides) {
        true => text.split('\n').map(visible).collect::<Vec<_>>().join("\n").into(),
        false => text.into(),
    };
    match text.starts_with(FORMULA_STARTS) {
        true => format!("'{shown}").into(),
        false => shown,
    }
}

/// What makes a formula of a cell when it comes first, the full-width forms among it.
const FORMULA_STARTS: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];

fn safe_owned(text: String) -> Cow<'static, str> {
    match safe(&text) {
        Cow::Owned(safe) => safe.into(),
        Cow::Borrowed(_) => text.into(),
    }
}

/// A value in one cell: a number stays one, a column's values are parted by semicolons.
pub(super) fn value_text(value: &Value) -> String {
    match value {
        Value::Nothing => String::new(),
        Value::One(one) => scalar_text(one),
        Value::Column(cells) => column_text(cells),
    }
}

/// The values of a column in one cell.
pub(super) fn column_text(cells: &[Option<Scalar>]) -> String {
    let texts: Vec<Cow<'_, str>> = cells.iter().map(cell).collect();
    safe_owned(texts.join("; ")).into_owned()
}

/// A cell: a number stays one, a text that begins like a formula doesn't become one.
pub(super) fn cell_text(text: &str) -> Cow<'_, str> {
    match is_number(text) {
        true => text.into(),
        false => safe(text),
    }
}

/// One value: a number stays one, a text that begins like a formula doesn't become one.
pub(super) fn scalar_text(scalar: &Scalar) -> String {
    match scalar {
        Scalar::Text(text) => cell_text(text).into_owned(),
        Scalar::Truth(truth) => truth.to_string(),
        Scalar::Within(extent) => extent.told.clone(),
    }
}

/// Whether it is a number as the program writes one: digits, perhaps behind a sign, with one point.
fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let plain = |c: char| c.is_ascii_digit() || c == '.';
    !digits.is_empty() && digits.chars().all(plain) && digits.matches('.').count() <= 1
}
