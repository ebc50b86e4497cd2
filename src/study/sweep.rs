//! Where expectations turn over the values of one input.
//!
//! The table of a sweep is a matter of the report; what is found here lies
//! between its rows. Start reading at [`turns`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;

use super::Watch;
use super::root::{Found, Point, crossings};
use super::vary::{Varied, limits};

/// A limit is looked for between at least so many places.
const LEAST_CELLS: usize = 100;

/// Where the two sides of each expectation's comparison meet or pass, in the order of the
/// worksheet and of the values.
///
/// `watch` hears of the places looked at; stopped, nothing is found.
pub fn turns(sheet: &mut Sheet, input: CellId, values: &[Number], watch: &dyn Watch) -> Vec<(CellId, Found)> {
    let limits = limits(sheet, input);
    if limits.is_empty() {
        return Vec::new();
    }
    let places = places(values);
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
