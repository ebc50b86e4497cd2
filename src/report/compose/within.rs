//! What is shown of a value of which only a range is known: `more than 48 h`.
//!
//! An end is rounded away from what the value can be, so that what is said of it stays
//! true at few digits. Start reading at [`shown`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::range::{End, Range};
use crate::unit::Kind;

use super::super::digits::{self, Form};
use super::super::model::{Extent, Scalar};
use super::super::shown::Shown;
use super::{Options, form, number_shown, scalar};

/// What a value can be, as a reader is told it.
pub(super) fn range_shown(sheet: &Sheet, range: Range, kind: Kind, clock: bool, options: Options) -> Shown {
    let rounded = |end: Option<End>, up: bool| {
        let end = end?;
        let at = away(sheet, end.at, up, kind, clock, options);
        Some((number_shown(sheet, at, kind, clock, None, options).value, end.open))
    };
    Shown::text(match kind {
        Kind::Truth => "undecided".to_owned(),
        Kind::Text => words(None, None, kind),
        _ => words(rounded(range.low, false), rounded(range.high, true), kind),
    })
}

/// The same for machines, with all digits.
pub(super) fn machine(sheet: &Sheet, range: Range, kind: Kind) -> Scalar {
    let end = |end: Option<End>| match (scalar(sheet, end?.at, kind), kind) {
        (Scalar::Text(text), Kind::Quantity(_) | Kind::Level | Kind::Decibels | Kind::TimeOfDay | Kind::Moment) => {
            Some((text, end?.open))
        }
        _ => None,
    };
    let (low, high) = (end(range.low), end(range.high));
    Scalar::Within(Extent {
        told: words(low.clone(), high.clone(), kind),
        low: low.map(|(text, _)| text),
        high: high.map(|(text, _)| text),
    })
}

/// Ends and whether each is left out, in words.
fn words(low: Option<(String, bool)>, high: Option<(String, bool)>, kind: Kind) -> String {
    let on_clock = matches!(kind, Kind::TimeOfDay | Kind::Moment);
    match (low, high) {
        (None, None) => "not known".to_owned(),
        (Some((low, _)), Some((high, _))) => format!("{low} to {high}"),
        (Some((low, true)), None) if on_clock => format!("after {low}"),
        (Some((low, false)), None) if on_clock => format!("{low} or later"),
        (Some((low, true)), None) => format!("more than {low}"),
        (Some((low, false)), None) => format!("at least {low}"),
        (None, Some((high, true))) if on_clock => format!("before {high}"),
        (None, Some((high, false))) if on_clock => format!("{high} or earlier"),
        (None, Some((high, true))) => format!("less than {high}"),
        (None, Some((high, false))) => format!("at most {high}"),
    }
}

/// An end rounded to the digits shown, up or down.
fn away(sheet: &Sheet, at: Number, up: bool, kind: Kind, clock: bool, options: Options) -> Number {
    let place = number_shown(sheet, at, kind, clock, None, options).place;
    let rounded = place.and_then(|place| match form(kind, clock) {
        Form::HoursAndMinutes => {
            let sixty = Number::from_integer(60);
            outward(at.mul(sixty).ok()?, place, up)?.div(sixty).ok()
        }
        _ => outward(at, place, up),
    });
    rounded.unwrap_or(at)
}

fn outward(at: Number, place: i32, up: bool) -> Option<Number> {
    let rounded = digits::round_to(at, place);
    let step = digits::step(place);
    match (rounded.compare(at).is_gt(), rounded.compare(at).is_lt(), up) {
        (true, _, false) => rounded.sub(step).ok(),
        (_, true, true) => rounded.add(step).ok(),
        _ => Some(rounded),
    }
}

/// Why something rests on a limit, and what to do: the condition of a check, or an answer.
pub(super) fn undecided_words(sheet: &Sheet, cell: CellId) -> String {
    let met = sheet.limits_met(&[cell]);
    let lines: Vec<String> = met
        .iter()
        .map(|cell| sheet.line(sheet.item_of(*cell)).to_string())
        .collect();
    let place = match lines.as_slice() {
        [] => String::new(),
        [line] => format!(" (line {line})"),
        lines => format!(" (lines {})", lines.join(", ")),
    };
    format!("a draw-down that it rests on had not ended at its `limit`{place}: set a longer one there")
}
