//! Where expectations turn over the values of one input.
//!
//! The table of a sweep is a matter of the report; what is found here lies
//! between its rows. Start reading at [`turns`].

use crate::number::Number;
use crate::sheet::lanes::vector::{Lane, Marks};
use crate::sheet::names::CellId;
use crate::time_limit;

use super::Watch;
use super::root::{Found, Point, crossings};
use super::vary::{Limit, Varied, limits};

/// A limit is looked for between at least so many places.
const LEAST_CELLS: usize = 100;

/// From so many values on, a sweep runs over blocks of them.
pub(crate) const DENSE: usize = 400;

/// A value beside the one asked for lies this part of it away: further than binary
/// numbers err, nearer than anything a worksheet tells apart.
const BESIDE: f64 = 1e-13;
/// An answer that changes by more than this part beside a value bends or jumps there.
const SETTLED: f64 = 1e-9;

/// Single values of cells over the values of an input, in binary numbers. `None` where there
/// is none, and where it can't be told so: beside a jump, as a rounded number has, only exact
/// decimals tell on which side a value lies. `None` for all where blocks gain nothing, and
/// where `watch` stops it. The input's own tolerance is set aside.
pub(crate) fn over_blocks(
    varied: &mut Varied,
    values: &[Number],
    cells: &[CellId],
    watch: &dyn Watch,
) -> Option<Vec<Vec<Option<f64>>>> {
    let input = varied.input().entry()?;
    let plan = varied.at(*values.first()?).lanes_over(input, cells);
    if plan.makes_tables() {
        return None;
    }
    let values: Vec<f64> = values.iter().map(|value| value.to_f64()).collect();
    let widest = values.iter().fold(0.0, |most: f64, value| most.max(value.abs()));
    let mut worker = plan.worker();
    let mut found = vec![Vec::with_capacity(values.len()); cells.len()];
    for block in values.chunks(plan.block().max(1)) {
        if !watch.goes_on(0, values.len()) {
            return None;
        }
        let mut run = |by: f64| {
            let nudged = block.iter().map(|value| value + by * widest).collect();
            worker.run(&[vec![nudged]], 0, block.len());
            let places = 0..cells.len();
            places.map(|place| worker.found(place)).collect::<Vec<_>>()
        };
        let (below, here, above) = (run(-BESIDE), run(0.0), run(BESIDE));
        for (((found, below), here), above) in found.iter_mut().zip(&below).zip(&here).zip(&above) {
            found.extend((0..block.len()).map(|draw| settled([below, here, above], draw)));
        }
    }
    if time_limit::is_up() {
        return None;
    }
    Some(found)
}

/// The value in the middle, where the other two are as good as the same.
fn settled(three: [&(Lane, Marks); 3], draw: usize) -> Option<f64> {
    let [below, here, above] = three.map(|(lane, failed)| lane.get(draw).filter(|_| !failed.has(draw)));
    let (below, here, above) = (*below?, *here?, *above?);
    let near = |beside: f64| (beside - here).abs() <= SETTLED * here.abs();
    (near(below) && near(above)).then_some(here)
}

/// Where the two sides of each expectation's comparison meet or pass, in the order of the
/// worksheet and of the values.
///
/// `watch` hears of the places looked at; stopped, nothing is found.
pub(crate) fn turns(varied: &mut Varied, values: &[Number], watch: &dyn Watch) -> Vec<(CellId, Found)> {
    let limits = limits(varied.sheet(), varied.input());
    if limits.is_empty() {
        return Vec::new();
    }
    let places = match values.len() > DENSE {
        true => places_of_turns(varied, values, &limits, watch),
        false => places(values),
    };
    let count = places.len();
    let mut seen: Vec<Vec<Point>> = vec![Vec::with_capacity(places.len()); limits.len()];
    for (done, place) in places.into_iter().enumerate() {
        if !watch.goes_on(done, count) {
            return Vec::new();
        }
        if varied.near(place).is_none() {
            continue;
        }
        for (limit, seen) in limits.iter().zip(&mut seen) {
            seen.push((place, varied.distance(limit)));
        }
    }
    let mut found = Vec::new();
    for (limit, seen) in limits.iter().zip(&seen) {
        let met = crossings(seen, &mut |place| varied.distance_at(place, limit));
        found.extend(met.into_iter().map(|met| (limit.check, met)));
    }
    if time_limit::is_up() {
        // values were missing for want of time
        return Vec::new();
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
fn places_of_turns(varied: &mut Varied, values: &[Number], limits: &[Limit], watch: &dyn Watch) -> Vec<f64> {
    let mut checks: Vec<CellId> = limits.iter().map(|limit| limit.check).collect();
    checks.dedup();
    let verdicts = over_blocks(varied, values, &checks, watch);
    let least = if verdicts.is_some() { LEAST_CELLS } else { DENSE };
    let verdicts = verdicts.unwrap_or_default();
    let step = values.len().div_ceil(least);
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
