//! A class on the page: for its holder who stands how, for the wall how many have what.
//!
//! The wall tells no names. Start reading at [`standing`] and [`marked`].

use maud::{Markup, PreEscaped, html};

use super::super::csv::cell_text;
use super::super::document::frame;
use super::super::model::Check;
use super::verdict_class;

/// How a pupil of a class stands.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Pupil {
    /// The name.
    pub name: String,
    /// The checks of the worksheet under what is tried.
    pub checks: Vec<Check>,
    /// What is tried.
    pub trials: Vec<String>,
}

/// How many of a class have what, without their names.
pub(crate) struct Tally {
    /// All of it in a line; none before anybody has come in.
    pub title: Option<String>,
    /// What is counted.
    pub heads: Vec<&'static str>,
    /// Each question, or check, with its counts.
    pub rows: Vec<(String, Vec<usize>)>,
    /// Whether they are questions, which take the wall for themselves.
    pub asks: bool,
}

/// Who tried what, and which checks hold.
pub(crate) fn standing(address: &str, pupils: &[Pupil]) -> String {
    let checks = checks_of(pupils);
    let table = html! {
        div class="scroll" tabindex="0" role="region" aria-label="Class" {
            table class="rows" {
                caption { "Class of " (pupils.len()) ", " a href="marks.csv" download="marks.csv" { "marks.csv" } }
                thead {
                    tr {
                        th scope="col" { "pupil" } th scope="col" { "on trial" }
                        @for check in checks { th scope="col" { code { (check.text) } } }
                    }
                }
                tbody {
                    @for pupil in pupils {
                        tr {
                            th scope="row" { (pupil.name) }
                            td { (pupil.trials.join(", ")) }
                            @for check in &pupil.checks { td class=(verdict_class(check)) { (check.verdict()) } }
                        }
                    }
                }
            }
        }
    };
    written(address, &tally(pupils, checks), &table)
}

/// The marks of a class, as `mark` tells them.
pub(crate) fn marked(address: &str, tally: &Tally, marks: &str) -> String {
    let table = html! {
        p { a href="marks.csv" download="marks.csv" { "marks.csv" } }
        div class="scroll" tabindex="0" role="region" aria-label="Marks" { (PreEscaped(marks)) }
    };
    written(address, tally, &table)
}

/// For its holder the address and, once somebody is there, the table; for the wall what is counted.
fn written(address: &str, tally: &Tally, table: &Markup) -> String {
    let written = html! {
        p class="come-in" { "Pupils come in at " b { (address) } }
        @if tally.title.is_some() { div class="for-holder" { (table) } }
        div class=(if tally.asks { "for-wall asks" } else { "for-wall" }) {
            @if let Some(title) = &tally.title { p class="tally-title" { (title) } }
            @if !tally.rows.is_empty() && (tally.asks || tally.title.is_some()) { (counts(tally)) }
        }
    };
    frame::harmless(&written.into_string())
}

fn counts(tally: &Tally) -> Markup {
    let shown = |count: usize| if count == 0 { String::new() } else { count.to_string() };
    html! {
        table class="rows tally" {
            @if tally.title.is_some() {
                thead { tr { th scope="col" {} @for head in &tally.heads { th scope="col" { (head) } } } }
            }
            tbody {
                @for (of, counts) in &tally.rows {
                    tr { th scope="row" { (of) } @if tally.title.is_some() { @for count in counts { td { (shown(*count)) } } } }
                }
            }
        }
    }
}

fn tally(pupils: &[Pupil], checks: &[Check]) -> Tally {
    let count = |place: usize, holds: Option<bool>| {
        let of = pupils.iter().filter_map(|pupil| pupil.checks.get(place));
        of.filter(|check| check.holds == holds).count()
    };
    let row = |(place, check): (usize, &Check)| {
        let counts = [Some(true), Some(false), None].map(|holds| count(place, holds));
        (check.text.clone(), counts.to_vec())
    };
    Tally {
        title: (!pupils.is_empty()).then(|| format!("Class of {}", pupils.len())),
        heads: vec!["holds", "does not hold", "undecided"],
        rows: checks.iter().enumerate().map(row).collect(),
        asks: false,
    }
}

fn checks_of(pupils: &[Pupil]) -> &[Check] {
    let checks = pupils.iter().map(|pupil| pupil.checks.as_slice());
    checks.into_iter().find(|checks| !checks.is_empty()).unwrap_or_default()
}

/// The same as comma-separated rows, a row a pupil and check.
pub(crate) fn rows(pupils: &[Pupil]) -> Vec<u8> {
    let mut written = csv::Writer::from_writer(Vec::new());
    let rows = pupils.iter().flat_map(|pupil| {
        let cells = move |check: &Check| {
            [
                pupil.name.clone(),
                check.text.clone(),
                check.verdict().to_owned(),
                pupil.trials.join("; "),
            ]
        };
        pupil.checks.iter().map(cells)
    });
    let headings = ["pupil", "check", "verdict", "trials"].map(str::to_owned);
    let all = std::iter::once(headings).chain(rows);
    let done = all
        .into_iter()
        .try_for_each(|row| written.write_record(row.iter().map(|cell| cell_text(cell).into_owned())));
    done.ok().and_then(|()| written.into_inner().ok()).unwrap_or_default()
}
