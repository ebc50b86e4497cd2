//! What a page that is worked with knows beyond the report: between what inputs are slid.
//!
//! The ends are what is usual for a parameter that the input feeds, where a function says so, and
//! of a wide range what lies about the value; else what is inside the `±`; else half and double,
//! on a scale without a true zero some steps. The value itself is always one of the places.
//! Start reading at [`sliders`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::study::vary::{fed, number_of, usual_range, widened};
use crate::syntax::tree::Value as TreeValue;
use crate::unit::Kind;

use super::super::live::Slider;
use super::super::model::{Entry, EntryKind, Report, Uncertainty};
use super::answers;

/// About so many places from end to end, and at most so many times as many where the value asks for it.
const PLACES: f64 = 60.0;
const FINER: f64 = 12.0;
/// The ends are round to about so small a part of the range.
const ENDS: f64 = 10.0;
/// A usual range whose high end is more than so many times the low one is cut to what lies about the value.
const WIDE: i64 = 10;

/// For each entry of a report of this sheet its slider, where it is an input that has one.
pub(crate) fn sliders(sheet: &Sheet, report: &Report) -> Vec<Option<Slider>> {
    let answers = answers(sheet);
    let slider = |entry: &Entry| slider(sheet, entry, &answers);
    report.entries.iter().map(slider).collect()
}

fn slider(sheet: &Sheet, entry: &Entry, answers: &[CellId]) -> Option<Slider> {
    let is_input = matches!(entry.kind, EntryKind::Measured | EntryKind::Quoted | EntryKind::Assumed);
    let cell = sheet.cell(&entry.name).filter(|_| is_input)?;
    // what is asked for isn't found by sliding
    if matches!(sheet.entry(cell)?.value, Some(TreeValue::Blank(_))) {
        return None;
    }
    let kind = sheet.shape(cell)?.kind;
    let value = number_of(sheet, cell).filter(|_| matches!(kind, Kind::Quantity(_) | Kind::Level | Kind::Decibels))?;
    let usual = answers.iter().find_map(|answer| fed(sheet, cell.into(), *answer));
    let usual = usual.and_then(|(_, parameter)| usual_range(parameter, kind));
    let around = || widened(sheet, cell.into(), value).into_iter().next();
    let known = usual
        .map(|ends| (ends, "usual"))
        .or_else(|| Some((inside(entry, value)?, "inside its ± (k=2)")));
    let (ends, told) = match known {
        Some((ends, _)) if is_wide(kind, ends) => (around()?, "around it"),
        Some(known) => known,
        None => (around()?, "around it"),
    };
    let whole = value.is_whole() && matches!(entry.unit.as_deref(), None | Some("each"));
    let about = |(low, high): (Number, Number)| (low.min(value).to_f64(), high.max(value).to_f64());
    let bounds = known.map_or((f64::NEG_INFINITY, f64::INFINITY), |(ends, _)| about(ends));
    laid_out(about(ends), bounds, value.to_f64(), whole, told)
}

/// A low and a high end.
type Ends = (f64, f64);

/// Whether so wide a range says little about one household's value; a scale without a true zero has no such ratio.
fn is_wide(kind: Kind, (low, high): (Number, Number)) -> bool {
    let ratio = !matches!(kind, Kind::Quantity(unit) if unit.is_point()) && matches!(kind, Kind::Quantity(_));
    ratio && low.mul(Number::from_integer(WIDE)).is_ok_and(|most| most < high)
}

/// The value with two standard uncertainties to either side.
fn inside(entry: &Entry, value: Number) -> Option<(Number, Number)> {
    let Uncertainty::One(standard) = &entry.uncertainty else {
        return None;
    };
    let twice = Number::parse(standard).ok()?.mul(Number::from_integer(2)).ok()?;
    Some((value.sub(twice).ok()?, value.add(twice).ok()?)).filter(|_| !twice.is_zero())
}

/// Round ends within bounds, and a round step that meets the value; whole ones alone where only those make sense.
fn laid_out(ends: Ends, bounds: Ends, at: f64, whole: bool, told: &'static str) -> Option<Slider> {
    let (low, high) = (ends.0.max(bounds.0), ends.1.min(bounds.1));
    let range = high - low;
    if !(range.is_finite() && range > 0.0) {
        return None;
    }
    let least = if whole { 1.0 } else { 0.0 };
    let coarse = round_step((range / PLACES).max(least))?;
    let meets = |step: &f64| (at / step - (at / step).round()).abs() < 1e-6;
    let step = finer(coarse).find(meets).unwrap_or(coarse);
    let ends = round_step((range / ENDS).max(least))?;
    let below = |value: f64, step: f64| (value / step + 1e-9).floor() * step;
    let above = |value: f64, step: f64| (value / step - 1e-9).ceil() * step;
    let (low, high) = (below(low, ends).max(bounds.0), above(high, ends).min(bounds.1));
    let decimals = usize::try_from(-libm::log10(step).floor() as i32).unwrap_or(0).min(9);
    // a zero has no sign
    let told_number = |value: f64| format!("{:.decimals$}", value + 0.0);
    Some(Slider {
        low: told_number(above(low, step)),
        high: told_number(below(high, step)),
        step: told_number(step),
        at: told_number((at / step).round() * step),
        told,
    })
}

/// The next of 1, 2, 5 and their tenfolds that isn't smaller.
fn round_step(rough: f64) -> Option<f64> {
    let power = libm::pow(10.0, libm::log10(rough).floor());
    let steps = [1.0, 2.0, 5.0, 10.0].into_iter().map(|digit| digit * power);
    steps.into_iter().find(|step| *step >= rough * 0.999)
}

/// A round step and smaller ones, the greatest first.
fn finer(coarse: f64) -> impl Iterator<Item = f64> {
    let power = libm::pow(10.0, libm::log10(coarse * 1.001).floor());
    let tens = [power, power / 10.0, power / 100.0];
    let steps = tens
        .into_iter()
        .flat_map(|power| [5.0, 2.0, 1.0].map(|digit| digit * power));
    steps.filter(move |step| *step <= coarse * 1.001 && *step >= coarse / FINER)
}
