//! The stock: how much fuel a schedule takes.
//!
//! A straight fuel line turns each block of hours into pounds, exact in decimals;
//! which cylinder feeds which hours is `swap_plan`. Start reading at [`fuel_needed`].

use crate::number::Real;

use super::caution::CARBON_MONOXIDE;
use super::declare::{ARITHMETIC, PLAIN, example, practice, rows, rule, shown, whole};
use super::{Argument, Arguments, Chapter, Complaint, Function, Outcome, Parameter, ParameterKind, ResultKind};

/// One filled cell of a column for each row, or a problem that names the row.
pub(super) fn filled<R: Real>(cells: &[Option<R>], index: usize, name: &str) -> Outcome<Vec<R>> {
    let mut values = Vec::with_capacity(cells.len());
    for (row, cell) in cells.iter().enumerate() {
        let Some(value) = *cell else {
            let message = format!("row {} has no `{name}`", row + 1);
            let help = "fill the cell, or leave the row out where the set is off";
            return Err(Complaint::empty(index, message).help(help));
        };
        if value < R::zero() {
            let got = shown(value.to_binary());
            let message = format!("`{name}` can't be below zero, and is {got} in row {}", row + 1);
            return Err(Complaint::outside(index, message));
        }
        values.push(value);
    }
    Ok(values)
}

/// The length of each block; a schedule has one at least.
pub(super) fn blocks<R: Real>(a: &Arguments<'_, R>) -> Outcome<Vec<R>> {
    let hours = filled(a.column(0)?, 0, "hours")?;
    if hours.is_empty() {
        return Err(Complaint::empty(0, "there is no block in `hours`").help("give the schedule a row or more"));
    }
    Ok(hours)
}

pub(super) fn same_length(first: usize, other: usize, index: usize, name: &str) -> Outcome<()> {
    if first == other {
        return Ok(());
    }
    let message = format!("`hours` has {} and `{name}` has {other}", rows(first));
    Err(Complaint::lengths(index, message))
}

/// Σ hours·rated_rate·(s + (1 − s)·duty·load/rated).
fn fuel_needed<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let hours = blocks(a)?;
    let loads = filled(a.column(1)?, 1, "load")?;
    same_length(hours.len(), loads.len(), 1, "load")?;
    let rated = a.positive(2, "rated_load")?;
    let rate = a.not_negative(3, "rated_rate")?;
    let share = a.percentage(4, "no_load_share")?;
    let duties = duties(a, hours.len())?;
    let mut total = R::zero();
    for (row, ((hours, load), duty)) in hours.into_iter().zip(loads).zip(duties).enumerate() {
        if load > rated {
            return Err(above_rated(load, rated, row));
        }
        let part = whole::<R>(100).minus(share)?.times(duty)?.times(load)?;
        let idle = share.times(whole(100))?.times(rated)?;
        total = total.plus(hours.times(idle.plus(part)?)?)?;
    }
    Ok(total.times(rate)?.over(rated.times(whole(10_000))?)?)
}

fn above_rated<R: Real>(load: R, rated: R, row: usize) -> Complaint {
    let message = format!(
        "`load` of {} W in row {} is above `rated_load` of {} W",
        shown(load.to_binary()),
        row + 1,
        shown(rated.to_binary())
    );
    Complaint::outside(1, message).help("spread the load over more hours, or give the rated load in watts")
}

/// The share of each block that its load is on: one for all, or row by row.
fn duties<R: Real>(a: &Arguments<'_, R>, rows: usize) -> Outcome<Vec<R>> {
    let duties = match a.values.get(5) {
        Some(Argument::Column(cells)) => filled(cells, 5, "duty")?,
        _ => vec![a.percentage(5, "duty")?; rows],
    };
    same_length(rows, duties.len(), 5, "duty")?;
    match duties.iter().position(|duty| *duty > whole(100)) {
        Some(row) => {
            let message = format!("`duty` can't be above 100 %, and is more in row {}", row + 1);
            Err(Complaint::outside(5, message))
        }
        None => Ok(duties),
    }
}

pub(super) const HOURS: Parameter =
    Parameter::column("hours", ParameterKind::Quantity("h"), "the length of each block").usually(0.25, 168.0);

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 1] = [Function {
    name: "fuel_needed",
    chapter: Chapter::Burn,
    summary: "fuel that a schedule of loads takes, on a straight fuel line",
    parameters: &[
        HOURS,
        Parameter::column(
            "load",
            ParameterKind::Quantity("W"),
            "the load in each block while it is on",
        )
        .usually(50.0, 15_000.0),
        Parameter::quantity("rated_load", "W", "the set's rated load on this fuel").usually(800.0, 30_000.0),
        Parameter::quantity("rated_rate", "lb/h", "what the set burns at rated load").usually(0.5, 20.0),
        Parameter::quantity(
            "no_load_share",
            "%",
            "the burn at no load, as a share of that at rated load",
        )
        .usually_by(30.0, 60.0, practice("30–60 % for small sets")),
        Parameter::column(
            "duty",
            ParameterKind::Quantity("%"),
            "the share of each block that its load is on; one value serves all blocks",
        )
        .or("100 %")
        .usually(10.0, 100.0),
    ],
    result: ResultKind::Quantity("lb"),
    formula: "Σ hours × rated_rate × (s + (1 − s) × duty × load/rated_load), s = no_load_share",
    sources: &[practice("straight fuel line (Willans)"), ARITHMETIC],
    range: "loads from zero to rated; hours with the set off are left out of the table",
    notes: "While a load is off the set still idles: duty lowers the load, not the hours. Inverter sets that change speed don't follow a straight line.",
    cautions: &[&CARBON_MONOXIDE],
    examples: &[
        example(
            "fuel_needed(day.hours, day.load, rated_load: 3600 W, rated_rate: 4.8 lb/h, no_load_share: 40 %)",
            "34.56 lb",
        ),
        example(
            "fuel_needed(day.hours, day.load, 3600 W, 4.8 lb/h, 40 %, duty: 50 %)",
            "28.8 lb",
        ),
    ],
    example_table: "table day\n  | hours [h] | load [W] |\n  | 8 | 900 |\n  | 4 | 1800 |\n",
    body: rule!(fuel_needed),
    ..PLAIN
}];
