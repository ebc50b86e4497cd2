//! Where expectations turn over the values of one input.
//!
//! The table of a sweep is a matter of the report; what is found here lies
//! between its rows. Start reading at [`turns`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;

use super::Watch;
use super::root::{Found, Point, crossings};
use super::vary::{Limit, Varied, limits};

/// A limit is looked for between at least so many places.
const LEAST_CELLS: usize = 100;

/// From so many values on, a sweep runs over blocks of them.
pub const DENSE: usize = 400;

/// Single values of cells over the values of an input, in binary numbers; `None` where
/// there is none. The input's own tolerance is set aside.
pub fn over_blocks(sheet: &mut Sheet, input: CellId, values: &[Number], cells: &[CellId]) -> Vec<Vec<Option<f64>>> {
    let mut varied = Varied::new(sheet, input);
    let Some(first) = values.first() else {
        return vec![Vec::new(); cells.len()];
    };
    let sheet = varied.at(*first);
    let plan = sheet.lanes_over(input, cells);
    let values = vec![values.iter().map(|value| value.to_f64()).collect::<Vec<f64>>()];
    let count = values.iter().map(Vec::len).sum();
    let values = vec![values];
    let mut worker = plan.worker();
    let mut found = vec![Vec::with_capacity(count); cells.len()];
    let mut from = 0;
    while from < count {
        let now = plan.block().min(count - from);
        worker.run(&values, from, now);
        for (place, found) in found.iter_mut().enumerate() {
            let (lane, failed) = worker.found(place);
            let lane = lane.iter().take(now).enumerate();
            found.extend(lane.map(|(draw, value)| (!failed.has(draw)).then_some(*value)));
        }
        from += now;
    }
    found
}

/// Where the two sides of each expectation's comparison meet or pass, in the order of the
/// worksheet and of the values.
///
/// `watch` hears of the places looked at; stopped, nothing is found.
pub fn turns(sheet: &mut Sheet, input: CellId, values: &[Number], watch: &dyn Watch) -> Vec<(CellId, Found)> {
    let limits = limits(sheet, input);
    if limits.is_empty() {
        return Vec::new();
    }
    let places = match values.len() > DENSE {
        true => places_of_turns(sheet, input, values, &limits),
        false => places(values),
    };
    let count = places.len();
    let mut varied = Varied::new(sheet, input);
    let mut seen: Vec<Vec<Point>> = vec![Vec::with_capacity(places.len()); limits.len()];
    for (done, place) in places.into_iter().enumerate() {
        if !watch.goes_on(done, count) {
            return Vec::new();
        }
        let Some(sheet) = varied.near(place) else { continue };
        for (limit, seen) in limits.iter().zip(&mut seen) {
            seen.push((place, limit.distance(sheet)));
        }
    }
    let mut found = Vec::new();
    for (limit, seen) in limits.iter().zip(&seen) {
        let met = crossings(seen, &mut |place| limit.distance(varied.near(place)?));
        found.extend(met.into_iter().map(|met| (limit.check, met)));
    }
    found
}

/// The values in rising order, with places between them where they are few.
fn places(values: &[Number]) -> Vec<f64> {
    let mut values: Vec<f64> = values.iter().map(|value| value.to_f64()).collect();
    values.sort_by(f64::total_cmp);
    let between = LEAST_CELLS.div_ceil(values.len().saturating_sub(1).max(1));
    let mut places = Vec::with_capacity(values.len() * between);
    for pair in values.windows(2) {
        if let [low, high] = pair {
            let step = (high - low) / between as f64;
            places.extend((0..between).map(|part| low + step * part as f64));
        }
    }
    places.extend(values.last());
    places
}

/// A few places over all of many values, and those between which an expectation turns.
fn places_of_turns(sheet: &mut Sheet, input: CellId, values: &[Number], limits: &[Limit]) -> Vec<f64> {
    let mut checks: Vec<CellId> = limits.iter().map(|limit| limit.check).collect();
    checks.dedup();
    let verdicts = over_blocks(sheet, input, values, &checks);
    let step = values.len().div_ceil(LEAST_CELLS);
    let turns = |place: usize| {
        let turned = |verdicts: &Vec<Option<f64>>| verdicts.get(place) != verdicts.get(place + 1);
        place + 1 < values.len() && verdicts.iter().any(turned)
    };
    let kept = values.iter().enumerate().filter(|(place, _)| {
        let place = *place;
        place % step == 0 || place + 1 == values.len() || turns(place) || place > 0 && turns(place - 1)
    });
    let mut places: Vec<f64> = kept.map(|(_, value)| value.to_f64()).collect();
    places.sort_by(f64::total_cmp);
    places
}
