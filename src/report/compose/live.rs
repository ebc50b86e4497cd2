//! What a page that is worked with knows beyond the report: between what inputs are slid.
//!
//! The ends are what is usual for a parameter that the input feeds, where a function says so;
//! else what is inside the `±`; else half and double, on a scale without a true zero some steps.
//! Start reading at [`sliders`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::study::vary::{fed, number_of, usual_range, widened};
use crate::unit::Kind;

use super::super::live::Slider;
use super::super::model::{Entry, EntryKind, Report, Uncertainty};
use super::answers;

/// About so many places from end to end.
const PLACES: f64 = 60.0;

/// For each entry of a report of this sheet its slider, where it is an input that has one.
pub(crate) fn sliders(sheet: &Sheet, report: &Report) -> Vec<Option<Slider>> {
    let answers = answers(sheet);
    let slider = |entry: &Entry| slider(sheet, entry, &answers);
    report.entries.iter().map(slider).collect()
}

fn slider(sheet: &Sheet, entry: &Entry, answers: &[CellId]) -> Option<Slider> {
    let is_input = matches!(entry.kind, EntryKind::Measured | EntryKind::Quoted | EntryKind::Assumed);
    let cell = sheet.cell(&entry.name).filter(|_| is_input)?;
    let kind = sheet.shape(cell)?.kind;
    let value = number_of(sheet, cell).filter(|_| matches!(kind, Kind::Quantity(_) | Kind::Level | Kind::Decibels))?;
    let usual = answers.iter().find_map(|answer| fed(sheet, cell.into(), *answer));
    let usual = usual.and_then(|(_, parameter)| usual_range(parameter, kind));
    let ((low, high), told) = usual
        .map(|ends| (ends, "usual"))
        .or_else(|| Some((inside(entry, value)?, "inside its ± (k=2)")))
        .or_else(|| Some((widened(sheet, cell.into(), value).into_iter().next()?, "around it")))?;
    laid_out(
        (low.min(value).to_f64(), high.max(value).to_f64()),
        value.to_f64(),
        told,
    )
}

/// The value with two standard uncertainties to either side.
fn inside(entry: &Entry, value: Number) -> Option<(Number, Number)> {
    let Uncertainty::One(standard) = &entry.uncertainty else {
        return None;
    };
    let twice = Number::parse(standard).ok()?.mul(Number::from_integer(2)).ok()?;
    Some((value.sub(twice).ok()?, value.add(twice).ok()?)).filter(|_| !twice.is_zero())
}

/// Ends at round places, a round step.
fn laid_out((low, high): (f64, f64), at: f64, told: &'static str) -> Option<Slider> {
    let rough = (high - low) / PLACES;
    if !(rough.is_finite() && rough > 0.0) {
        return None;
    }
    let power = libm::pow(10.0, libm::log10(rough).floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= rough * 0.999)?;
    let decimals = usize::try_from(-libm::log10(step).floor() as i32).unwrap_or(0).min(9);
    let told_number = |value: f64| format!("{value:.decimals$}");
    Some(Slider {
        low: told_number((low / step).floor() * step),
        high: told_number((high / step).ceil() * step),
        step: told_number(step),
        at: told_number((at / step).round() * step),
        told,
    })
}
