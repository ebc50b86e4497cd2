//! The general functions: reductions, rounding, roots, interpolation.
//!
//! Their kinds and units were settled by the checker; here are bare numbers.
//! Reductions skip missing cells. Start reading at [`reduce`].

use std::cmp::Ordering;
use std::collections::HashMap;

use crate::calendar::{self, DAY};
use crate::number::{Checked, Number};
use crate::trade::{Built, Complaint, Reason};

use super::cell_of::too_few_rows;
use super::scalar::{CallArgument, Rounding, Scalar};

/// What a general function gives.
pub(crate) enum BuiltResult<N> {
    /// One value.
    Value(N),
    /// A column.
    Column(Vec<Option<N>>),
}

type Given<'a, N> = [CallArgument<'a, N>];

/// Works out a general function.
pub(crate) fn reduce<N: Scalar>(
    built: Built,
    arguments: &Given<'_, N>,
    context: &mut N::Context,
) -> Result<BuiltResult<N>, Complaint> {
    let value = match built {
        Built::RunningTotal => return running_total(column(arguments, 0), context).map(BuiltResult::Column),
        Built::Previous => {
            let cells = column(arguments, 0);
            let before = cells.iter().take(cells.len().saturating_sub(1)).cloned();
            let none = cells.first().map(|_| None);
            return Ok(BuiltResult::Column(none.into_iter().chain(before).collect()));
        }
        Built::KeyOf | Built::CountOf | Built::SumOf | Built::MeanOf => {
            return totals(built, column(arguments, 0), column(arguments, 1), context).map(BuiltResult::Column);
        }
        Built::Sum => N::sum(&values(arguments))?.at_end(),
        Built::Mean => mean(&values(arguments))?.at_end(),
        Built::Deviation => deviation(&values(arguments))?.at_end(),
        Built::Median => percentile(values(arguments), Number::from_integer(50))?.at_end(),
        Built::Percentile => {
            let cells = column(arguments, 0).iter().flatten().cloned().collect();
            percentile(cells, number(arguments, 1)?.plain())?.at_end()
        }
        Built::Min => extreme(&values(arguments), "min", N::least)?.at_end(),
        Built::Max => extreme(&values(arguments), "max", N::greatest)?.at_end(),
        Built::Count => N::exact(Number::from_integer(
            i64::try_from(values(arguments).len()).unwrap_or(i64::MAX),
        )),
        Built::First => values(arguments).first().cloned().ok_or_else(|| empty("first"))?,
        Built::Last => values(arguments).last().cloned().ok_or_else(|| empty("last"))?.at_end(),
        Built::Abs => number(arguments, 0)?.magnitude(),
        Built::Round => round(arguments, Rounding::Nearest)?,
        Built::RoundUp => round(arguments, Rounding::Up)?,
        Built::RoundDown => round(arguments, Rounding::Down)?,
        Built::SquareRoot => of_number(&number(arguments, 0)?, N::square_root)?,
        Built::Exponential => of_number(&number(arguments, 0)?, N::exponential)?,
        Built::NaturalLogarithm => of_number(&number(arguments, 0)?, N::natural_logarithm)?,
        Built::DecimalLogarithm => of_number(&number(arguments, 0)?, N::decimal_logarithm)?,
        Built::Interpolate => interpolate(column(arguments, 0), column(arguments, 1), &number(arguments, 2)?)?,
        Built::CellInRow => {
            let row = number(arguments, 1)?.plain().to_integer();
            cell_in_row(
                column(arguments, 0),
                row.and_then(|row| usize::try_from(row).ok()).unwrap_or(0),
            )?
        }
        Built::Absolute => above_absolute_zero(number(arguments, 0)?)?,
        Built::Clock | Built::Date | Built::Weekday | Built::Month | Built::NextTime | Built::At => {
            let times = values(arguments);
            times.iter().fold(of_time(built, arguments)?, N::chosen_by)
        }
        Built::CellOf | Built::CellOnTheWall | Built::Totals | Built::Sorted | Built::OfSorted | Built::Grid => {
            return Err(empty("this table"));
        }
        Built::Elapsed | Built::Steps | Built::Trend | Built::Changes => number(arguments, 0)?,
    };
    Ok(BuiltResult::Value(value.kept(context)))
}

/// A function of one number; a complaint names that number.
fn of_number<N: Scalar>(value: &N, function: fn(&N) -> Checked<N>) -> Result<N, Complaint> {
    function(value).map_err(|trouble| Complaint::whole(Reason::Met(trouble, value.plain())))
}

fn above_absolute_zero<N: Scalar>(value: N) -> Result<N, Complaint> {
    match value.order(&N::exact(Number::ZERO)) {
        Ordering::Less => {
            Err(Complaint::outside(0, "this lies below absolute zero")
                .help("look at its sign, its unit and its reading"))
        }
        _ => Ok(value),
    }
}

fn column<'a, N>(arguments: &Given<'a, N>, index: usize) -> &'a [Option<N>] {
    match arguments.get(index) {
        Some(CallArgument::Column(cells)) => cells,
        _ => &[],
    }
}

fn number<N: Scalar>(arguments: &Given<'_, N>, index: usize) -> Result<N, Complaint> {
    match arguments.get(index) {
        Some(CallArgument::Number(number)) => Ok(number.clone()),
        _ => Err(empty("this function")),
    }
}

/// The single values, or the cells of the one column that aren't missing.
fn values<N: Scalar>(arguments: &Given<'_, N>) -> Vec<N> {
    let mut values = Vec::new();
    for argument in arguments {
        match argument {
            CallArgument::Number(number) => values.push(number.clone()),
            CallArgument::Column(cells) => values.extend(cells.iter().flatten().cloned()),
            CallArgument::Text(_) | CallArgument::Schedule(_) => {}
        }
    }
    values
}

fn empty(name: &str) -> Complaint {
    let message = format!("`{name}` of nothing: no row is left");
    Complaint::of(0, Reason::Empty(message))
}

fn mean<N: Scalar>(values: &[N]) -> Result<N, Complaint> {
    if values.is_empty() {
        return Err(empty("mean"));
    }
    let count = Number::from_integer(i64::try_from(values.len()).unwrap_or(i64::MAX));
    Ok(N::sum(values)?.divide(&N::exact(count))?)
}

/// The experimental standard deviation.
fn deviation<N: Scalar>(values: &[N]) -> Result<N, Complaint> {
    let Some(less_one) = values.len().checked_sub(1).filter(|less| *less > 0) else {
        let message = format!("`deviation` takes two values or more, and there are {}", values.len());
        return Err(Complaint::of(0, Reason::Empty(message)));
    };
    let mean = mean(values)?;
    let squares = values.iter().map(|value| {
        let off = value.subtract(&mean)?;
        off.multiply(&off)
    });
    let squares: Vec<N> = squares.collect::<Checked<_>>()?;
    let count = Number::from_integer(i64::try_from(less_one).unwrap_or(i64::MAX));
    let variance = N::sum(&squares)?.divide(&N::exact(count))?;
    // all alike: the root has no slope there
    match variance.plain().is_zero() {
        true => Ok(N::exact(Number::ZERO)),
        false => Ok(variance.square_root()?),
    }
}

/// The value that so many percent lie below, on the straight line between two.
fn percentile<N: Scalar>(mut values: Vec<N>, share: Number) -> Result<N, Complaint> {
    let hundred = Number::from_integer(100);
    if share < Number::ZERO || share > hundred {
        return Err(Complaint::outside(
            1,
            format!("`share` is from 0 to 100 %, and is {} %", share.to_plain()),
        ));
    }
    values.sort_by(N::order);
    let last = i64::try_from(values.len()).unwrap_or(i64::MAX) - 1;
    let place = share.div(hundred)?.mul(Number::from_integer(last))?;
    let at = |place: Number| values.get(usize::try_from(place.to_integer()?).ok()?);
    let below = at(place.floor()).ok_or_else(|| empty("percentile"))?;
    let Some(above) = at(place.floor().add(Number::ONE)?) else {
        return Ok(below.clone());
    };
    let part = N::exact(place.sub(place.floor())?);
    Ok(below.add(&above.subtract(below)?.multiply(&part)?)?)
}

fn extreme<N: Scalar>(values: &[N], name: &str, of_two: fn(&N, &N) -> N) -> Result<N, Complaint> {
    let all = values.iter().cloned();
    all.reduce(|best, value| of_two(&best, &value))
        .ok_or_else(|| empty(name))
}

fn running_total<N: Scalar>(cells: &[Option<N>], context: &mut N::Context) -> Result<Vec<Option<N>>, Complaint> {
    let mut total = N::exact(Number::ZERO);
    let mut totals = Vec::with_capacity(cells.len());
    for cell in cells {
        if let Some(value) = cell {
            total = total.add(value)?.kept(context);
        }
        totals.push(cell.as_ref().map(|_| total.clone()));
    }
    Ok(totals)
}

/// One column of totals: a row for each key, in the order in which it first stands.
fn totals<N: Scalar>(
    what: Built,
    cells: &[Option<N>],
    keys: &[Option<N>],
    context: &mut N::Context,
) -> Result<Vec<Option<N>>, Complaint> {
    if cells.len() != keys.len() {
        let message = format!("the columns have {} and {} rows", cells.len(), keys.len());
        return Err(Complaint::lengths(1, message));
    }
    let mut places: HashMap<Number, usize> = HashMap::new();
    let mut groups: Vec<(N, Vec<N>)> = Vec::new();
    for (cell, key) in cells.iter().zip(keys) {
        let Some(key) = key else { continue };
        let place = *places.entry(key.plain()).or_insert(groups.len());
        if place == groups.len() {
            groups.push((key.clone(), Vec::new()));
        }
        if let Some((_, group)) = groups.get_mut(place) {
            group.extend(cell.clone());
        }
    }
    let mut column = Vec::with_capacity(groups.len());
    for (key, group) in groups {
        let count = Number::from_integer(i64::try_from(group.len()).unwrap_or(i64::MAX));
        let value = match what {
            Built::KeyOf => Some(key),
            Built::CountOf => Some(N::exact(count)),
            _ if group.is_empty() => None,
            Built::MeanOf => Some(mean(&group)?.at_end()),
            _ => Some(N::sum(&group)?.at_end()),
        };
        column.push(value.map(|value| value.kept(context)));
    }
    Ok(column)
}

/// To the nearest multiple of the second argument, or to a whole number.
fn round<N: Scalar>(arguments: &Given<'_, N>, way: Rounding) -> Result<N, Complaint> {
    let value = number(arguments, 0)?;
    if arguments.len() < 2 {
        return Ok(value.whole(way));
    }
    let step = number(arguments, 1)?;
    if step.order(&N::exact(Number::ZERO)) != Ordering::Greater {
        return Err(Complaint::outside(1, "the step to round to must be above zero"));
    }
    let rounded = value.divide(&step)?.whole(way).multiply(&N::exact(step.plain()))?;
    Ok(rounded.chosen_by(&step))
}

fn interpolate<N: Scalar>(x: &[Option<N>], y: &[Option<N>], at: &N) -> Result<N, Complaint> {
    let (mut x, mut y) = super::scalar::paired(x, y)?;
    let falls = matches!(x.as_slice(), [first, next, ..] if next.order(first) == Ordering::Less);
    if falls {
        x.reverse();
        y.reverse();
    }
    let steps = x.iter().zip(x.iter().skip(1));
    let turned = steps
        .enumerate()
        .find(|(_, (one, next))| one.order(next) != Ordering::Less);
    if let Some((row, _)) = turned {
        return Err(neither_way(if falls { x.len() - row } else { row + 2 }));
    }
    let above = x.iter().position(|place| place.order(at) != Ordering::Less);
    match above {
        Some(0) if x.first().is_some_and(|first| first.order(at) == Ordering::Equal) => {
            y.first().cloned().ok_or_else(|| empty("interpolate"))
        }
        Some(0) | None => Err(outside_columns(&x, at)),
        Some(above) => {
            let found = between(&x, &y, above, at)?;
            Ok(x.iter().fold(found.chosen_by(at), N::chosen_by))
        }
    }
}

/// The cell in a row, counted from 1.
pub(super) fn cell_in_row<N: Scalar>(cells: &[Option<N>], row: usize) -> Result<N, Complaint> {
    match row.checked_sub(1).and_then(|row| cells.get(row)) {
        Some(Some(cell)) => Ok(cell.clone()),
        Some(None) => Err(Complaint::of(
            0,
            Reason::Empty(format!("the cell in row {row} is missing")),
        )),
        None => Err(too_few_rows(cells.len())),
    }
}

fn neither_way(row: usize) -> Complaint {
    let message =
        format!("the column to interpolate along must rise all the way, or fall, and row {row} goes neither way");
    Complaint::of(0, Reason::Order(message)).help("sort the rows, and leave one of two at the same place out")
}

fn outside_columns<N: Scalar>(x: &[N], at: &N) -> Complaint {
    let (Some(first), Some(last)) = (x.first(), x.last()) else {
        return empty("interpolate");
    };
    let reason = Reason::Beyond {
        at: at.plain(),
        first: first.plain(),
        last: last.plain(),
    };
    Complaint {
        argument: Some(2),
        reason,
        help: Some("add rows that reach further, from a source".to_owned()),
    }
}

fn between<N: Scalar>(x: &[N], y: &[N], above: usize, at: &N) -> Result<N, Complaint> {
    let below = above.saturating_sub(1);
    let (Some(x0), Some(x1), Some(y0), Some(y1)) = (x.get(below), x.get(above), y.get(below), y.get(above)) else {
        return Err(empty("interpolate"));
    };
    let rise = y1.subtract(y0)?;
    Ok(y0.add(&rise.multiply(&at.subtract(x0)?)?.divide(&x1.subtract(x0)?)?)?)
}

// ---- times ----

/// A function of clock times and days; nothing is known of it where they lie in a range.
fn of_time<N: Scalar>(built: Built, arguments: &Given<'_, N>) -> Result<N, Complaint> {
    let time = number(arguments, 0)?;
    match built {
        Built::Clock => on_the_wall(&time),
        Built::Date => midnights(&time),
        Built::Weekday => number(arguments, calendar::weekday(seconds(&time)?) + 1),
        Built::Month => Ok(N::exact(month(&time)?)),
        Built::NextTime => next_time(&time, &number(arguments, 1)?),
        _ => at(arguments),
    }
}

fn a_day() -> Number {
    Number::from_integer(DAY)
}

/// Seconds to the last midnight: whole days, without the uncertainty of the time.
fn midnights<N: Scalar>(time: &N) -> Result<N, Complaint> {
    let day = N::exact(a_day());
    Ok(time.divide(&day)?.whole(Rounding::Down).multiply(&day)?)
}

fn on_the_wall<N: Scalar>(time: &N) -> Result<N, Complaint> {
    Ok(time.subtract(&midnights(time)?)?)
}

/// Whole seconds, for the calendar.
fn seconds<N: Scalar>(time: &N) -> Result<i64, Complaint> {
    let whole = time.plain().floor().to_integer();
    whole.ok_or_else(|| Complaint::outside(0, "this moment lies beyond the calendar"))
}

fn month<N: Scalar>(time: &N) -> Result<Number, Complaint> {
    let month = calendar::month(seconds(time)?);
    month
        .map(Number::from_integer)
        .ok_or_else(|| Complaint::outside(0, "this moment lies beyond the calendar"))
}

/// The first time at which the clock shows `clock` again, later than `after`.
fn next_time<N: Scalar>(clock: &N, after: &N) -> Result<N, Complaint> {
    let day = N::exact(a_day());
    let days = after.subtract(clock)?.divide(&day)?.whole(Rounding::Down);
    let days = days.add(&N::exact(Number::ONE))?;
    Ok(clock.add(&days.multiply(&day)?)?)
}

/// A clock time on a date; where it must come after a moment, on the first day that it does.
fn at<N: Scalar>(arguments: &Given<'_, N>) -> Result<N, Complaint> {
    let (day, clock) = (number(arguments, 0)?, number(arguments, 1)?);
    if day.order(&midnights(&day)?) != Ordering::Equal {
        return Err(not_a_date(&day));
    }
    let time = day.add(&clock)?;
    if arguments.len() < 3 {
        return Ok(time);
    }
    let after = number(arguments, 2)?;
    match time.order(&after) {
        Ordering::Greater => Ok(time),
        _ => next_time(&time, &after),
    }
}

fn not_a_date<N: Scalar>(day: &N) -> Complaint {
    let moment = seconds(day).ok().and_then(calendar::moment).unwrap_or_default();
    let message = format!("`day` of `at` is a date, and `{moment}` has a clock time already");
    Complaint::outside(0, message).help("take `date(…)` of it for its day alone")
}
