//! Pieces of a page that need to know nothing of it: values, room to write, rows of tables.
//!
//! Start reading at [`shown`].

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::super::chart::{Body, Chart};
use super::super::document::frame::together;
use super::super::model::{Column, Entry, MADE_ROWS, Scalar, Table, Value, ValueType};
use super::super::shown::{Rows, Shown};
use super::super::visible::sentence;
use super::typeset::{prose, set};

/// How many rows of a table that is written down stand in the page.
const WRITTEN_ROWS: usize = 60;
/// How many empty rows a table gets that is left to the reader and has none yet.
const EMPTY_ROWS: usize = 6;

/// Whether a rule is a formula alone rather than a formula with words about it.
pub(super) fn is_short(formula: &str) -> bool {
    !formula.contains(';') && formula.chars().count() <= 60
}

pub(super) fn called(entry: &Entry) -> &str {
    entry.label.as_deref().unwrap_or(&entry.name)
}

/// A text with what stands in backticks as code.
pub(super) fn coded(text: &str) -> Markup {
    let whole = text.matches('`').count().is_multiple_of(2);
    html! {
        @if whole {
            @for (index, piece) in text.split('`').enumerate() {
                @if index % 2 == 1 { code { (piece) } } @else { (prose(piece)) }
            }
        } @else { (prose(text)) }
    }
}

/// `cylinder-place` as words.
pub(super) fn spaced(code: &str) -> String {
    sentence(&code.replace('-', " ")).trim_end_matches('.').to_owned()
}

pub(super) fn held(holder: &str) -> &str {
    match holder {
        "trial" => "on trial",
        _ => "by the case",
    }
}

pub(super) fn value_markup(entry: &Entry) -> Markup {
    match (&entry.value, entry.shown.listed()) {
        (Value::Nothing, _) => html! { span class="open" { (entry.shown.display()) } },
        (_, Some(rows)) => cells(called(entry), rows),
        (_, None) if entry.shown.rows.is_some() => html! { span class="whole" { (set(&entry.shown.display())) } },
        _ => value(&entry.shown),
    }
}

/// A value, and what it may be off by.
fn value(shown: &Shown) -> Markup {
    html! {
        span class="whole" { (set(&shown.value)) }
        @if let Some(uncertainty) = &shown.uncertainty {
            @let (width, coverage) = in_two(uncertainty);
            " " span class="out" { "± " (set(width)) }
            @if !coverage.is_empty() { " " span class="k" { (coverage) } }
        }
        @if let Some(mark) = &shown.mark { " " span class="mark" { "(" (mark) ")" } }
    }
}

/// The cells of a column, one below the other, beside what tells them apart.
pub(super) fn cells(called: &str, rows: &Rows) -> Markup {
    html! {
        table class="cells" {
            caption class="unseen" { (called) }
            thead class="unseen" {
                tr {
                    th scope="col" { (rows.names.as_ref().map_or("row", |names| &names.column)) }
                    th scope="col" { (called) }
                }
            }
            tbody {
                @for (row, cell) in rows.cells.iter().enumerate() {
                    tr {
                        th scope="row" { (rows.row_word(row)) }
                        td { @match cell { Some(cell) => (value(cell)), None => span class="open" { "missing" } } }
                    }
                }
            }
        }
    }
}

/// What a value may be off by, and how that is meant: `29 min` and `k=2.03 df=91`.
pub(super) fn in_two(uncertainty: &str) -> (&str, &str) {
    match uncertainty.find(" k=") {
        Some(at) => (
            uncertainty.get(..at).unwrap_or(""),
            uncertainty.get(at..).unwrap_or("").trim(),
        ),
        None => (uncertainty, ""),
    }
}

/// The unit that stands behind room to write.
pub(super) fn unit_of(entry: &Entry) -> Option<&str> {
    match entry.shown.value.ends_with(" min") && entry.shown.value.contains(" h ") {
        true => Some("h, min"),
        false => entry.unit.as_deref(),
    }
}

/// Room to write a value, with its unit.
pub(super) fn room(unit: Option<&str>) -> Markup {
    html! {
        span class="room" role="img" aria-label="room to write" {}
        @if let Some(unit) = unit { " " span class="of" { (set(unit)) } }
    }
}

/// Room to work something out, and for what comes of it.
pub(super) fn writing_lines(name: &str, unit: Option<&str>) -> Markup {
    html! {
        div class="lines" role="img" aria-label="room to work it out" { div {} div {} }
        p class="result" { code { (name) } " = " (room(unit)) }
    }
}

pub(super) fn rows(table: &Table, hidden: bool) -> Markup {
    let most = if table.made { MADE_ROWS } else { WRITTEN_ROWS };
    let all = table.rows_shown(most);
    let empty = match (hidden, all.len()) {
        (false, _) => 0,
        (true, 0) => EMPTY_ROWS,
        (true, rows) => rows,
    };
    let shown = if hidden { Vec::new() } else { all };
    let may_be_steady = table.made && !hidden && table.two_ways.is_none();
    let (steady, columns): (Vec<&Column>, Vec<&Column>) = table
        .columns_shown()
        .iter()
        .partition(|column| may_be_steady && is_steady(column));
    let two_ways = table.two_ways.as_ref().map(|two_ways| two_ways.told.clone());
    let about: Vec<String> = match hidden {
        true => vec!["to fill in".to_owned()],
        false => steady
            .iter()
            .map(|column| steadily(column))
            .chain(two_ways)
            .chain(table.rows_told(&shown))
            .collect(),
    };
    let shades = shades(table);
    let called = table.label.as_deref().unwrap_or(&table.name);
    let cells: Vec<Vec<String>> = columns
        .iter()
        .map(|column| cells_of(column, &shown, table.made))
        .collect();
    html! {
        div class="scroll" tabindex="0" role="region" aria-label={ "Table " (called) } {
            table class={ "rows " (together(shown.len() + empty)) } {
                caption class=(if about.is_empty() { "unseen" } else { "small" }) {
                    @if about.is_empty() { (called) } @else { span class="unseen" { (called) ": " } (about.join("; ")) }
                }
                thead {
                    tr {
                        @for column in &columns {
                            th scope="col" class=(side(column)) {
                                (column.name)
                                @if let Some(unit) = &column.unit { " " span class="unit" { (set(unit)) } }
                            }
                        }
                    }
                }
                tbody {
                    @for (place, row) in shown.iter().enumerate() {
                        tr {
                            @for (index, (column, cells)) in columns.iter().zip(&cells).enumerate() {
                                td class=(side(column)) style=[shades.get(&(index, *row))] { (cells.get(place).map_or("", String::as_str)) }
                            }
                        }
                    }
                    @for _ in 0..empty { tr class="empty" { @for _ in &columns { td { "\u{a0}" } } } }
                }
            }
        }
    }
}

/// How the cells of a table of two ways are shaded: the darker the greater.
fn shades(table: &Table) -> BTreeMap<(usize, usize), String> {
    let columns = table
        .two_ways
        .iter()
        .flat_map(|two_ways| two_ways.columns.iter().enumerate().skip(1));
    let cells = columns.flat_map(|(index, column)| {
        let values = column.values.iter().enumerate();
        values.filter_map(move |(row, value)| match value {
            Some(Scalar::Text(text)) => Some(((index, row), text.parse::<f64>().ok()?)),
            _ => None,
        })
    });
    let cells: Vec<((usize, usize), f64)> = cells.collect();
    let (least, most) = cells
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), (_, value)| {
            (least.min(*value), most.max(*value))
        });
    let shade = |value: f64| {
        let part = 8.0 + 42.0 * (value - least) / (most - least);
        format!("background:color-mix(in srgb, var(--chart-1) {part:.0}%, transparent)")
    };
    match least < most {
        true => cells.into_iter().map(|(place, value)| (place, shade(value))).collect(),
        false => BTreeMap::new(),
    }
}

fn side(column: &Column) -> &'static str {
    match column.value_type {
        ValueType::Number => "number",
        _ => "word",
    }
}

/// Whether every row of a column says the same, so that once is enough.
fn is_steady(column: &Column) -> bool {
    let first = column.shown.first().filter(|first| !first.is_empty());
    column.shown.len() > 2 && first.is_some_and(|first| column.shown.iter().all(|cell| cell == first))
}

/// `rate 0.6414 lb/h all along`
fn steadily(column: &Column) -> String {
    let value = column.shown.first().map_or("", String::as_str);
    let unit = column.unit.as_deref().unwrap_or("");
    let unit = unit.trim_start_matches('[').trim_end_matches(']');
    format!(
        "{} {} all along",
        column.name,
        set(format!("{value} {unit}").trim_end())
    )
}

/// The cells that are shown; of what was made without zeros that all of them end with.
fn cells_of(column: &Column, shown: &[usize], made: bool) -> Vec<String> {
    let cells = shown
        .iter()
        .map(|row| column.shown.get(*row).map_or("", String::as_str));
    let cells: Vec<&str> = cells.collect();
    let is_number = column.value_type == ValueType::Number;
    let decimals = |cell: &&str| cell.split_once('.').map(|(_, part)| part.trim_end_matches('0').len());
    let kept = cells.iter().map(decimals).collect::<Option<Vec<usize>>>();
    let kept = kept
        .and_then(|kept| kept.into_iter().max())
        .filter(|_| made && is_number);
    let cut = |cell: &&str| match (kept, cell.find('.')) {
        (Some(0), Some(point)) => cell.get(..point).unwrap_or(cell).to_owned(),
        (Some(kept), Some(point)) => cell.get(..=point + kept).unwrap_or(cell).to_owned(),
        _ => (*cell).to_owned(),
    };
    cells
        .iter()
        .map(|cell| if is_number { set(&cut(cell)) } else { (*cell).to_owned() })
        .collect()
}

/// Room to draw a chart.
pub(super) fn empty_chart(chart: &Chart) -> Markup {
    let axes = match &chart.body {
        Body::Plane(plane) => Some((&plane.up.label, &plane.across.label)),
        _ => None,
    };
    html! {
        figcaption { b { (chart.title) } " Draw it here." }
        @if let Some((up, _)) = axes { p class="axis" { (up) } }
        div class="drawing" role="img" aria-label="room to draw" {}
        @if let Some((_, across)) = axes { p class="axis across" { (across) } }
    }
}
