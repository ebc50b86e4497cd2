//! Pieces of a page that need to know nothing of it: values, room to write, rows of tables.
//!
//! Start reading at [`shown`].

use maud::{Markup, html};

use super::super::chart::{Body, Chart};
use super::super::document::frame::together;
use super::super::model::{Column, Entry, MADE_ROWS, Table, Value, ValueType};
use super::super::shown::{Rows, Shown};
use super::super::visible::sentence;

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
                @if index % 2 == 1 { code { (piece) } } @else { (piece) }
            }
        } @else { (text) }
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
        (_, None) if entry.shown.rows.is_some() => html! { span class="whole" { (entry.shown.display()) } },
        _ => value(&entry.shown),
    }
}

/// A value, and what it may be out by.
fn value(shown: &Shown) -> Markup {
    html! {
        span class="whole" { (shown.value) }
        @if let Some(uncertainty) = &shown.uncertainty {
            @let (width, coverage) = in_two(uncertainty);
            " " span class="out" { "± " (width) }
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

/// What a value may be out by, and how that is meant: `29 min` and `k=2.03 df=91`.
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
        @if let Some(unit) = unit { " " span class="of" { (unit) } }
    }
}

/// Room to work something out.
pub(super) fn writing_lines(name: &str, unit: Option<&str>) -> Markup {
    html! {
        div class="lines" role="img" aria-label="room to work it out" {
            div { "=" }
            div { "=" }
        }
        p class="result" { (name) " = " (room(unit)) }
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
    let about = match hidden {
        true => "to fill in".to_owned(),
        false => {
            let two_ways = table.two_ways.as_ref().map(|two_ways| two_ways.told.clone());
            two_ways.or(table.rows_told(shown.len())).unwrap_or_default()
        }
    };
    let called = table.label.as_deref().unwrap_or(&table.name);
    let class = |column: &Column| match column.value_type {
        ValueType::Number => "number",
        _ => "word",
    };
    html! {
        div class="scroll" tabindex="0" role="region" aria-label={ "Table " (called) } {
            table class={ "rows " (together(shown.len() + empty)) } {
                caption class=(if about.is_empty() { "unseen" } else { "small" }) {
                    (called) @if !about.is_empty() { ": " (about) }
                }
                thead {
                    tr {
                        @for column in table.columns_shown() {
                            th scope="col" class=(class(column)) {
                                (column.name)
                                @if let Some(unit) = &column.unit { " " span class="unit" { (unit) } }
                            }
                        }
                    }
                }
                tbody {
                    @for row in shown {
                        tr {
                            @for column in table.columns_shown() {
                                td class=(class(column)) { (column.shown.get(row).map_or("", String::as_str)) }
                            }
                        }
                    }
                    @for _ in 0..empty { tr class="empty" { @for _ in table.columns_shown() { td { "\u{a0}" } } } }
                }
            }
        }
    }
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
