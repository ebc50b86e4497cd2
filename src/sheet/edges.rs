//! Remarks of a run with uncertainties: ± that reach over an edge, and rows left out.
//!
//! Where a function has no value over part of an argument's ±, or a line bends right
//! where it is read, the slope is that of one side, and the ± of the result leaves the
//! other side out. That is said beside the result. Start reading at [`over_the_edge`].

use crate::calendar::DAY;
use crate::trade::caution::{BEYOND_READINGS, LOAD_UNCLEAR, MISSING_CELLS, ONE_SIDED};
use crate::trade::registry::{name_of, name_of_fit};
use crate::trade::{Built, Fit, Remark};

use super::dual::{Dual, Sources};
use super::scalar::{CallArgument, FitColumns, Scalar, paired};

/// How far the ± of a value reaches on either side: the limits, where it has limits. Of a
/// normal spread nine values in ten lie within.
pub(super) fn reach(dual: &Dual, sources: &Sources) -> f64 {
    match dual.gradient.is_empty() {
        true => 0.0,
        false => reach_of(sources.combined(dual).standard),
    }
}

/// The same for a standard uncertainty; what only draws can tell has none here.
pub(super) fn reach_of(standard: f64) -> f64 {
    // the last digits are those of a root, and don't make a limit reach over its own end
    let reach = standard * f64::sqrt(3.0) * (1.0 - 1e-9);
    if reach.is_finite() { reach } else { 0.0 }
}

/// What to say where a function has no value on a side of an argument, inside its ±.
pub(super) fn over_the_edge(function: &str, argument: &str) -> Remark {
    Remark::new(
        &ONE_SIDED,
        format!(
            "Part of the ± of `{argument}` lies where `{function}` has no value: the ± of the result counts the other \
             side alone, and draws meet that problem too."
        ),
    )
}

/// What to say of a general function with these arguments.
pub(super) fn of_built(built: Built, arguments: &[CallArgument<'_, Dual>], sources: &Sources) -> Vec<Remark> {
    use CallArgument::{Column, Number};
    let (x, y, at) = match (built, arguments) {
        (Built::Interpolate, [Column(x), Column(y), Number(at)]) => (x, y, at),
        (Built::Clock, [Number(time)]) => return beside_midnight(time, sources).into_iter().collect(),
        (Built::NextTime, [Number(clock), Number(after)]) => {
            return beside_the_hour(name_of(built), after, clock, sources)
                .into_iter()
                .collect();
        }
        (Built::At, [Number(day), Number(clock), Number(after)]) => {
            let time = day.add(clock).unwrap_or_default();
            return beside_the_hour(name_of(built), after, &time, sources)
                .into_iter()
                .collect();
        }
        _ => return Vec::new(),
    };
    let Ok((xs, ys)) = paired(x, y) else { return Vec::new() };
    let rows: Vec<(f64, f64)> = xs.iter().zip(&ys).map(|(x, y)| (x.value, y.value)).collect();
    let missing = left_out(name_of(built), x, y);
    missing
        .into_iter()
        .chain(read_between(&rows, at.value, reach(at, sources)))
        .collect()
}

/// Whether a number of seconds may lie on either side of a whole number of days, within its ±.
fn may_be_a_day_off(seconds: &Dual, sources: &Sources) -> bool {
    let reach = reach(seconds, sources);
    let past = seconds.value.rem_euclid(DAY as f64);
    reach > 0.0 && past.min(DAY as f64 - past) <= reach
}

/// The first such hour after a time that may be that hour itself.
fn beside_the_hour(function: &str, after: &Dual, clock: &Dual, sources: &Sources) -> Option<Remark> {
    let gap = after.subtract(clock).ok()?;
    may_be_a_day_off(&gap, sources).then(|| Remark::new(&ONE_SIDED, format!(
            "What `{function}` comes after may lie on either side of that hour, within its ±, and then the result is a \
             day earlier or later: the ± of the result leaves that out."
        )))
}

/// The hour on the wall of a time that may lie on either side of midnight.
fn beside_midnight(time: &Dual, sources: &Sources) -> Option<Remark> {
    may_be_a_day_off(time, sources).then(|| {
        Remark::new(
            &ONE_SIDED,
            "Part of the ± of the time that `clock` is asked of lies on the other side of midnight, where the hours \
               begin anew: what is compared with it may come out the other way there.",
        )
    })
}

/// What to say of a place that is read between rows, with a ± that reaches so far.
fn read_between(rows: &[(f64, f64)], at: f64, reach: f64) -> Option<Remark> {
    let (first, last) = (rows.first()?.0, rows.last()?.0);
    let (first, last) = (first.min(last), first.max(last));
    let text = if reach <= 0.0 {
        return None;
    } else if at - reach < first || at + reach > last {
        "Part of the ± of the place where `interpolate` reads lies outside its column, where nothing is known: the ± of \
         the result counts the rows inside alone. Add rows that reach further, from a source."
    } else if bends_at(rows, at) {
        "`interpolate` reads right at a row where the line bends: the ± of the result takes the slope below that row \
         alone. Draws tell it better: `help draws`."
    } else {
        return None;
    };
    Some(Remark::new(&ONE_SIDED, text))
}

/// Whether a place is one of the rows between the ends, and the line bends there.
fn bends_at(rows: &[(f64, f64)], at: f64) -> bool {
    let slope = |one: (f64, f64), next: (f64, f64)| (next.1 - one.1) / (next.0 - one.0);
    rows.windows(3).any(|three| match three {
        [before, here, after] if here.0 == at => {
            let (below, above) = (slope(*before, *here), slope(*here, *after));
            (below - above).abs() > 1e-9 * below.abs().max(above.abs())
        }
        _ => false,
    })
}

/// What to say of a straight line's readings and of the place where it is read.
pub(super) fn of_fit(columns: &FitColumns<'_, Dual>, xs: &[f64], sources: &Sources) -> Vec<Remark> {
    let place = columns
        .at
        .as_ref()
        .filter(|_| matches!(columns.fit, Fit::LineAt | Fit::ReadingAt));
    let beyond = place.and_then(|at| beyond_readings(xs, at.value, reach(at, sources)));
    // a row without a weight says that the load changed
    let missing = match columns.load {
        Some(_) => None,
        None => left_out(name_of_fit(columns.fit), columns.x, columns.y),
    };
    missing.into_iter().chain(beyond).collect()
}

/// What to say of a load that is wanted, and of what a kilowatt adds.
pub(super) fn of_loads(columns: &FitColumns<'_, Dual>, unclear: bool) -> Vec<(u32, Remark)> {
    let loads = columns.load.unwrap_or(&[]);
    let weighed = loads
        .iter()
        .take(loads.len().saturating_sub(1))
        .flatten()
        .map(|load| load.value);
    let (low, high) = weighed.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), load| {
        (low.min(load), high.max(load))
    });
    let at = columns.at.as_ref().map_or(low, |at| at.value);
    let outside = (at < low || at > high).then(|| Remark::new(&BEYOND_READINGS, format!("`at_load` of {at} W lies outside the loads weighed, {low} to {high} W: nothing shows that the line goes on straight there.")));
    let unclear = unclear.then(|| Remark::plain(&LOAD_UNCLEAR));
    outside
        .into_iter()
        .chain(unclear)
        .map(|remark| (columns.site, remark))
        .collect()
}

/// A place inside the readings with part of its ± outside.
fn beyond_readings(xs: &[f64], at: f64, reach: f64) -> Option<Remark> {
    let low = xs.iter().copied().reduce(f64::min)?;
    let high = xs.iter().copied().reduce(f64::max)?;
    let over = low <= at && at <= high && (at - reach < low || at + reach > high);
    over.then(|| {
        Remark::new(
            &BEYOND_READINGS,
            "Part of the ± of the place where the straight line is read lies outside the readings: nothing shows that \
               it stays straight there.",
        )
    })
}

/// So many rows are named.
const NAMED: usize = 5;

/// Which rows a function leaves out, since one of the two cells is missing.
fn left_out(function: &str, x: &[Option<Dual>], y: &[Option<Dual>]) -> Option<Remark> {
    let pairs = (1usize..).zip(x.iter().zip(y));
    let rows: Vec<usize> = pairs
        .filter(|(_, (x, y))| x.is_none() || y.is_none())
        .map(|(row, _)| row)
        .collect();
    let named: Vec<String> = rows.iter().take(NAMED).map(usize::to_string).collect();
    let more = match rows.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let word = if rows.len() == 1 { "row" } else { "rows" };
    (!rows.is_empty()).then(|| {
        Remark::new(
            &MISSING_CELLS,
            format!(
                "`{function}` leaves out {} of the {} rows that it is given, for want of a cell: {word} {}{more}.",
                rows.len(),
                x.len(),
                named.join(", ")
            ),
        )
    })
}
