//! The value of an input that gives an answer a wanted value.
//!
//! The interval is cut into cells; where the answer lies on both sides of the
//! target, the place is refined to 12 digits. An answer may also touch the
//! target between two places, step over it, or stay at it. Start reading at [`aim`].

use crate::number::Number;
use crate::problem::{Code, Place, Problem, Severity};
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::text::Span;

use super::root::{Found, Point, crossings, nearest};
use super::vary::{Varied, distance, number_of};

/// The cells of the interval.
const CELLS: usize = 200;
/// Places nearer than this part of the interval are one.
const SAME: f64 = 1e-7;

/// An answer touches the target where it comes this near, as a part of how far it is from it elsewhere.
const TOUCHED: f64 = 1e-12;

/// What an aim came to.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Aimed {
    /// Solutions, stretches and steps, in rising order.
    pub found: Vec<Found>,
    /// Whether the answer is the same all over.
    pub flat: bool,
    /// Where it comes nearest, where it neither takes the target nor steps over it.
    pub nearest: Option<f64>,
    /// At how many of the places looked at it has no value.
    pub without: usize,
    /// How many places were looked at.
    pub places: usize,
    /// What is wrong at the first of them.
    pub problem: Option<Problem>,
}

/// Looks for the values of `input` between `low` and `high` that give `answer` the value `target`.
pub fn aim(sheet: &mut Sheet, answer: CellId, target: Number, input: CellId, low: Number, high: Number) -> Aimed {
    let mut varied = Varied::new(sheet, input);
    let mut aimed = Aimed::default();
    let mut points: Vec<Point> = Vec::new();
    let mut values: Vec<Number> = Vec::new();
    for place in places(low.to_f64(), high.to_f64()) {
        let Some(sheet) = varied.near(place) else { continue };
        let value = number_of(sheet, answer);
        if value.is_none() {
            aimed.without += 1;
            aimed.problem = aimed.problem.take().or_else(|| problem_of(sheet, answer));
        }
        values.extend(value);
        points.push((place, value.and_then(|value| distance(value, target))));
    }
    aimed.places = points.len();
    aimed.flat = values
        .windows(2)
        .all(|pair| matches!(pair, [one, next] if one.agrees_with(*next)))
        && values.len() > 1;
    if aimed.flat {
        return aimed;
    }
    let mut look = |place: f64| distance(number_of(varied.near(place)?, answer)?, target);
    aimed.found = crossings(&points, &mut look);
    let dips: Vec<(f64, f64)> = nearest(&points, &mut look);
    let dips: Vec<(f64, f64)> = dips.into_iter().map(|dip| shortest(dip, &mut look)).collect();
    let swing = points
        .iter()
        .filter_map(|(_, value)| *value)
        .fold(0.0, |most: f64, value| most.max(value.abs()));
    let mut touched = Vec::new();
    for (place, value) in &dips {
        let value = if value.abs() <= TOUCHED * swing { 0.0 } else { *value };
        touched.extend(touching(&points, (*place, value), &mut look));
    }
    aimed.found.extend(touched);
    aimed
        .found
        .sort_by(|one, other| place_of(one).total_cmp(&place_of(other)));
    let apart = SAME * (high.to_f64() - low.to_f64()).abs();
    aimed
        .found
        .dedup_by(|next, one| (place_of(next) - place_of(one)).abs() <= apart);
    if aimed.found.is_empty() {
        aimed.nearest = dips.first().map(|(place, _)| *place);
    }
    aimed
}

/// Where something is found, by its lower end.
pub fn place_of(found: &Found) -> f64 {
    match found {
        Found::Zero(place) | Found::Stretch(place, _) | Found::Step(place, ..) => *place,
    }
}

fn places(low: f64, high: f64) -> impl Iterator<Item = f64> {
    (0..=CELLS).map(move |cell| match cell {
        CELLS => high,
        _ => low + (high - low) * (cell as f64 / CELLS as f64),
    })
}

/// A dip at the shortest decimal near it that lies at least as low: a dip is flat, so that
/// its place is known to fewer digits than a crossing's.
fn shortest(dip: (f64, f64), look: &mut impl FnMut(f64) -> Option<f64>) -> (f64, f64) {
    let Ok(place) = Number::from_f64(dip.0) else {
        return dip;
    };
    let shorter = (2..12).map(|digits| place.round_significant(digits).to_f64());
    let mut lower = shorter.filter_map(|place| Some((place, look(place)?)));
    let low = lower.find(|(_, value)| value.abs() <= dip.1.abs() && value * dip.1 >= 0.0);
    low.unwrap_or(dip)
}

/// A dip that reaches the target: a touch, or two crossings beside it.
fn touching(points: &[Point], dip: (f64, f64), look: &mut impl FnMut(f64) -> Option<f64>) -> Vec<Found> {
    if dip.1 == 0.0 {
        return vec![Found::Zero(dip.0)];
    }
    let before = points.iter().rev().find(|(place, _)| *place < dip.0);
    let after = points.iter().find(|(place, _)| *place > dip.0);
    let sides = [before, Some(&(dip.0, Some(dip.1))), after];
    let around: Vec<Point> = sides.into_iter().flatten().copied().collect();
    crossings(&around, look)
}

/// What keeps an answer from having a value: the first problem among what it needs, or the
/// limit that leaves no more than a range of it.
pub fn problem_of(sheet: &Sheet, answer: CellId) -> Option<Problem> {
    let items: Vec<u32> = sheet
        .needed_by(answer)
        .into_iter()
        .map(|cell| sheet.item_of(cell))
        .collect();
    let weighs = |problem: &Problem| problem.severity == Severity::Problem && items.contains(&problem.place.item);
    let found = sheet.problems().into_iter().find(weighs);
    found.or_else(|| past_limit(sheet, answer))
}

fn past_limit(sheet: &Sheet, answer: CellId) -> Option<Problem> {
    sheet.limited(answer)?;
    let item = sheet.item_of(*sheet.limits_met(&[answer]).first()?);
    let whole = Span::new(0, sheet.tree().text_of(item as usize).trim_end().len());
    let message = "a draw-down had not ended at its `limit`, so that no more than a range is known";
    Some(Problem::new(Code::OutsideRange, message, Place::new(item, whole)))
}
