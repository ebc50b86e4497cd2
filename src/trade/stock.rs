//! The stock: how much fuel a schedule takes, and which cylinder feeds which hours.
//!
//! A straight fuel line turns each block of hours into pounds; the plan draws
//! cylinders one after another. Both are exact in decimals. Start reading at
//! [`fuel_needed`] and [`swap_plan`].

use crate::number::{Checked, Number, Real};

use super::caution::{CARBON_MONOXIDE, CYLINDER_PLACE};
use super::declare::{ARITHMETIC, PLAIN, example, practice, rows, rule, shown, whole};
use super::{
    Argument, Arguments, Body, Chapter, ColumnDeclared, Complaint, Function, Made, Outcome, Parameter, ParameterKind,
    ResultKind,
};

/// One filled cell of a column for each row, or a problem that names the row.
fn filled<R: Real>(cells: &[Option<R>], index: usize, name: &str) -> Outcome<Vec<R>> {
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
fn blocks<R: Real>(a: &Arguments<'_, R>) -> Outcome<Vec<R>> {
    let hours = filled(a.column(0)?, 0, "hours")?;
    if hours.is_empty() {
        return Err(Complaint::empty(0, "there is no block in `hours`").help("give the schedule a row or more"));
    }
    Ok(hours)
}

fn same_length(first: usize, other: usize, index: usize, name: &str) -> Outcome<()> {
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

/// The plan as it grows.
#[derive(Default)]
struct Plan {
    cylinder: Vec<Option<Number>>,
    starts: Vec<Option<Number>>,
    ends: Vec<Option<Number>>,
    left: Vec<Option<Number>>,
}

impl Plan {
    fn row(&mut self, cylinder: Option<usize>, times: Option<(Number, Number)>, left: Number) {
        let number = cylinder.and_then(|cylinder| i64::try_from(cylinder + 1).ok());
        self.cylinder.push(number.map(Number::from_integer));
        self.starts.push(times.map(|(start, _)| start));
        self.ends.push(times.map(|(_, end)| end));
        self.left.push(Some(left));
    }

    fn into_made(self, end: &'static str) -> Made {
        Made {
            columns: vec![self.cylinder, self.starts, self.ends, self.left],
            end,
            goes_on: None,
            remarks: Vec::new(),
        }
    }
}

/// The blocks of a schedule, walked along as fuel is drawn. Pounds are counted rather than
/// hours: what is drawn is a sum of what is written, while a time may be a third of an hour.
struct Walk {
    blocks: Vec<(Number, Number)>,
    block: usize,
    /// Hours from the start at which the block begins.
    begun: Number,
    /// What of the block's fuel is drawn.
    taken: Number,
    /// Hours from the start.
    now: Number,
}

impl Walk {
    fn new(blocks: Vec<(Number, Number)>) -> Walk {
        Walk {
            blocks,
            block: 0,
            begun: Number::ZERO,
            taken: Number::ZERO,
            now: Number::ZERO,
        }
    }

    /// Draws up to `fuel` and gives back what of it is left when the schedule is over.
    fn draw(&mut self, mut fuel: Number) -> Checked<Option<Number>> {
        while let Some((hours, rate)) = self.blocks.get(self.block).copied() {
            let wanted = hours.mul(rate)?.sub(self.taken)?;
            let to_the_end = wanted.agrees_with(fuel);
            if wanted > fuel && !to_the_end {
                self.taken = self.taken.add(fuel)?;
                self.now = self.begun.add(self.taken.div(rate)?)?;
                return Ok(None);
            }
            fuel = if to_the_end { Number::ZERO } else { fuel.sub(wanted)? };
            self.begun = self.begun.add(hours)?;
            self.now = self.begun;
            self.taken = Number::ZERO;
            self.block += 1;
        }
        Ok(Some(fuel))
    }

    /// What the rest of the schedule takes, and when it ends.
    fn rest(&self) -> Checked<(Number, Number)> {
        let (mut fuel, mut end) = (Number::ZERO.sub(self.taken)?, self.begun);
        for (hours, rate) in self.blocks.get(self.block..).unwrap_or(&[]) {
            fuel = fuel.add(hours.mul(*rate)?)?;
            end = end.add(*hours)?;
        }
        Ok((fuel, end))
    }
}

/// Cylinders drawn one after another over a schedule.
fn swap_plan(a: &Arguments<'_, Number>) -> Outcome<Made> {
    let hours = blocks(a)?;
    let rates = filled(a.column(1)?, 1, "rate")?;
    same_length(hours.len(), rates.len(), 1, "rate")?;
    let usable = filled(a.column(2)?, 2, "usable")?;
    let reserve = a.not_negative(3, "reserve")?;
    let mut walk = Walk::new(hours.into_iter().zip(rates).collect());
    let mut plan = Plan::default();
    let mut over = false;
    for (cylinder, usable) in usable.into_iter().enumerate() {
        let start = walk.now;
        let drawn = if usable > reserve {
            usable.sub(reserve)?
        } else {
            Number::ZERO
        };
        if over || drawn.is_zero() {
            plan.row(Some(cylinder), None, usable);
            continue;
        }
        let left = walk.draw(drawn)?;
        over = left.is_some();
        plan.row(
            Some(cylinder),
            Some((start, walk.now)),
            reserve.add(left.unwrap_or(Number::ZERO))?,
        );
    }
    let (short, end) = walk.rest()?;
    if short.is_zero() {
        return Ok(plan.into_made(ENOUGH));
    }
    plan.row(None, Some((walk.now, end)), short.neg());
    Ok(plan.into_made(SHORT))
}

const ENOUGH: &str = "enough";
const SHORT: &str = "short";

const HOURS: Parameter =
    Parameter::column("hours", ParameterKind::Quantity("h"), "the length of each block").usually(0.25, 168.0);

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 2] = [
    Function {
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
    },
    Function {
        name: "swap_plan",
        chapter: Chapter::Burn,
        summary: "table of which cylinder feeds which hours, drawn one after another",
        parameters: &[
            HOURS,
            Parameter::column(
                "rate",
                ParameterKind::Quantity("lb/h"),
                "what the set burns in each block",
            )
            .usually(0.2, 20.0),
            Parameter::column(
                "usable",
                ParameterKind::Quantity("lb"),
                "what each cylinder can give, in the order they are drawn",
            )
            .with_own_rows()
            .usually(1.0, 100.0),
            Parameter::quantity("reserve", "lb", "what is kept back in each cylinder when it is swapped")
                .or("0 lb")
                .usually(0.0, 10.0),
        ],
        result: ResultKind::Table(&[
            ColumnDeclared::new(
                "cylinder",
                "",
                "its number in the order drawn; empty in the row of what is short",
            ),
            ColumnDeclared::new("starts", "h", "when it is put on; empty for one that is never drawn"),
            ColumnDeclared::new("ends", "h", "when it is swapped, or the schedule ends"),
            ColumnDeclared::new("left", "lb", "what is in it then; below zero is what is short"),
        ]),
        formula: "each cylinder gives usable − reserve; what the last one can't give stands in a last row, below zero",
        sources: &[ARITHMETIC],
        range: "hours, rates and contents not below zero; every row filled",
        notes: "`count(plan.starts where plan.left >= 0 lb)` is how many are drawn, `min(plan.left) >= 0 lb` whether they reach. Whether each keeps up its pressure is another question: `draw_down`.",
        cautions: &[&CARBON_MONOXIDE, &CYLINDER_PLACE],
        examples: &[example("first(plan.ends)", "6 h"), example("last(plan.left)", "-6 lb")],
        example_table: "table day\n  | hours [h] | rate [lb/h] |\n  | 8 | 3 |\n  | 6 | 4 |\n\ntable stock\n  | usable [lb] |\n  | 20 |\n  | 26 |\n\ntable plan = swap_plan(day.hours, day.rate, stock.usable, reserve: 2 lb)\n",
        body: Body::Table {
            make: swap_plan,
            ends: &[ENOUGH, SHORT],
            quick: true,
        },
        ..PLAIN
    },
];
