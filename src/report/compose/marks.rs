//! Marks in words and for machines: what draws say of a value that a straight line can't tell.
//!
//! `could be 3 or 4 each`, `bends: 0 to 125`. Start reading at `told`.

use crate::number::Number;
use crate::sheet::appraisal::{Appraisal, Mark, MarkKind};
use crate::sheet::names::CellId;
use crate::sheet::source::Uncertainty;
use crate::sheet::{Reading, Sheet};
use crate::study::marks::{Tables, mark};
use crate::unit::Kind;

use super::super::model::{Drawings, Drawn, Scalar};
use super::{Options, number_shown, scalar, unit_text};

/// An appraisal of these cells with what draws say beside it.
pub(crate) fn appraised_with_draws(sheet: &Sheet, cells: &[CellId], tables: Tables) -> Appraisal {
    let mut appraisal = sheet.appraise(cells.iter().copied());
    mark(sheet, cells, &mut appraisal, tables);
    appraisal
}

/// What a reader is told beside the value.
pub(super) fn mark_words(sheet: &Sheet, mark: &Mark, kind: Kind, clock: bool, options: Options) -> String {
    let inside = || inside(sheet, mark, kind, clock, options);
    match mark.kind {
        MarkKind::Hides => format!("could be {}", inside()),
        MarkKind::Bends => format!("bends: {}", inside()),
        MarkKind::ByDraws if mark.ends.1.is_infinite() => {
            let low = Number::from_f64(mark.ends.0).ok();
            let low = low.map_or(String::new(), |low| {
                number_shown(sheet, low, kind, clock, None, options).value
            });
            format!("by draws: from {low} on")
        }
        MarkKind::ByDraws => format!("by draws: {}", inside()),
        MarkKind::Gaps => "± not fully known".to_owned(),
        MarkKind::Steady => "the same in every draw".to_owned(),
        MarkKind::Uneven => uneven(sheet, mark, kind, clock, options),
    }
}

/// The ends of a time that a line reaches a weight at, as far as they can be told.
fn uneven(sheet: &Sheet, mark: &Mark, kind: Kind, clock: bool, options: Options) -> String {
    let (low, high) = mark.ends;
    let from = || {
        let number = Number::from_f64(low).ok()?;
        Some(number_shown(sheet, number, kind, clock, None, options).value)
    };
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("uneven: {}", inside(sheet, mark, kind, clock, options)),
        (true, false) => format!("not before {}; no latest time can be told", from().unwrap_or_default()),
        _ => "no latest time can be told".to_owned(),
    }
}

/// The few values, or the ends of where 95 % of them lie.
fn inside(sheet: &Sheet, mark: &Mark, kind: Kind, clock: bool, options: Options) -> String {
    let options = Options {
        digits: options.digits.max(digits_apart(mark.ends)),
    };
    let shown = |value: f64, doubt: Option<Uncertainty>| {
        let number = Number::from_f64(value).ok();
        number.map_or(String::new(), |number| {
            number_shown(sheet, number, kind, clock, doubt, options).value
        })
    };
    let (low, high) = mark.ends;
    // a time has its own digits; of an interval few are enough
    let on_calendar = matches!(kind, Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment);
    let spread = Uncertainty::of((high - low) / 20.0);
    let values: Vec<String> = match mark.few.as_slice() {
        [] => [low, high]
            .map(|end| shown(end, (!on_calendar).then_some(spread)))
            .to_vec(),
        few => few.iter().map(|value| shown(*value, None)).collect(),
    };
    if let (Kind::Moment, [low, high]) = (kind, values.as_slice())
        && let (Some((day, _)), Some((same, clock))) = (low.split_once(' '), high.split_once(' '))
        && day == same
    {
        return format!("{low} to {clock}");
    }
    let unit = format!(" {}", unit_text(kind));
    let bare = |value: &String| value.strip_suffix(&unit).unwrap_or(value).to_owned();
    match values.split_last() {
        Some((last, rest)) if !rest.is_empty() => {
            let rest: Vec<String> = rest.iter().map(bare).collect();
            let joint = if mark.few.is_empty() { "to" } else { "or" };
            format!("{} {joint} {last}", rest.join(", "))
        }
        _ => values.concat(),
    }
}

/// How many digits the ends of an interval need, so as not to run together.
fn digits_apart((low, high): (f64, f64)) -> u32 {
    let places = f64::log10(low.abs().max(high.abs())).floor() - f64::log10(high - low).floor();
    // what isn't a number is none
    places.clamp(0.0, 15.0) as u32 + 1
}

/// What draws say of a cell, or of the rows of one, with all digits.
pub(super) fn of_cell(sheet: &Sheet, cell: CellId, appraisal: &Appraisal, kind: Kind) -> Drawings {
    if let Some(mark) = appraisal.marks.get(&cell) {
        return Drawings::One(machine(sheet, mark, kind));
    }
    let rows: Vec<(usize, Drawn)> = appraisal
        .row_marks
        .range((cell, 0)..=(cell, u32::MAX))
        .map(|((_, row), mark)| (*row as usize, machine(sheet, mark, kind)))
        .collect();
    let Reading::Column(cells) = sheet.reading(cell) else {
        return Drawings::Nothing;
    };
    let of_row = |row: usize| rows.iter().find(|(known, _)| *known == row);
    match rows.is_empty() {
        true => Drawings::Nothing,
        false => Drawings::Column(
            (0..cells.len())
                .map(|row| of_row(row).map(|(_, drawn)| drawn.clone()))
                .collect(),
        ),
    }
}

fn machine(sheet: &Sheet, mark: &Mark, kind: Kind) -> Drawn {
    let one = |value: f64| Some(scalar(sheet, Number::from_f64(value).ok()?, kind));
    let few: Vec<Scalar> = mark.few.iter().filter_map(|value| one(*value)).collect();
    Drawn {
        why: match mark.kind {
            MarkKind::Hides => "hides",
            MarkKind::Bends => "bends",
            MarkKind::ByDraws => "by-draws",
            MarkKind::Gaps => "gaps",
            MarkKind::Steady => "steady",
            MarkKind::Uneven => "uneven",
        },
        low: one(mark.ends.0),
        high: one(mark.ends.1),
        values: (!few.is_empty()).then_some(few),
    }
}
