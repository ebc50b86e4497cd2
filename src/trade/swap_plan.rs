//! The plan of swaps: which cylinder feeds which hours, and when each is changed.
//!
//! By weight it is exact in decimals: pounds are counted rather than hours, since
//! what is drawn is a sum of what is written, while a time may be a third of an
//! hour. With the air of the hours each cylinder is also drawn down in it, from
//! when it is put on, and one that stalls is changed then. Start reading at
//! [`swap_plan`]; what stalls is [`Cold`].

use std::collections::BTreeMap;

use crate::number::{Checked, Number, Real};

use super::caution::{CARBON_MONOXIDE, CYLINDER_HEAT, CYLINDER_PLACE, NAMED_TWICE, STALLS_FIRST};
use super::cylinder_run::{
    BOTTOM, DIAMETER, FILM as FILM_GIVEN, HEIGHT, HUMIDITY, LEAST_PRESSURE, SHELL, WIND, complaint_about, course,
    filled_to_80_percent, given, hours_and_minutes, leaves_out, scheduled,
};
use super::declare::{ARITHMETIC, PLAIN, binary, computed, example, rows, shown, whole};
use super::draw_down::{Course, End, FilmBy, Input, WallReach, draw_down};
use super::propane::{INCH, POUND, kelvin, pascals};
use super::stock::{HOURS, blocks, filled, same_length};
use super::vaporizing::STEEL_CONDUCTS;
use super::wall::MILE_PER_HOUR;
use super::{
    Argument, Arguments, Body, Chapter, ColumnDeclared, Complaint, Function, Made, Outcome, Parameter, ParameterKind,
    Remark, ResultKind, Shape,
};

const HOUR: f64 = 3600.0;

/// The blocks of a schedule, walked along as fuel is drawn.
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

/// Why a walk stopped.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stop {
    /// The fuel is drawn.
    Fuel,
    /// The time has come.
    Time,
    /// The schedule is over.
    Over,
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

    /// Draws up to `fuel`, at the latest until some hour, and gives back what of it is left.
    fn draw(&mut self, mut fuel: Number, until: Option<Number>) -> Checked<(Number, Stop)> {
        while let Some((hours, rate)) = self.blocks.get(self.block).copied() {
            let end = self.begun.add(hours)?;
            if let Some(until) = until.filter(|until| *until < end) {
                let here = until.sub(self.begun)?.mul(rate)?.sub(self.taken)?.max(Number::ZERO);
                if here < fuel {
                    self.taken = self.taken.add(here)?;
                    self.now = until;
                    return Ok((fuel.sub(here)?, Stop::Time));
                }
            }
            let wanted = hours.mul(rate)?.sub(self.taken)?;
            let to_the_end = wanted.agrees_with(fuel);
            if wanted > fuel && !to_the_end {
                self.taken = self.taken.add(fuel)?;
                self.now = self.begun.add(self.taken.div(rate)?)?;
                return Ok((Number::ZERO, Stop::Fuel));
            }
            fuel = if to_the_end { Number::ZERO } else { fuel.sub(wanted)? };
            self.begun = end;
            self.now = end;
            self.taken = Number::ZERO;
            self.block += 1;
        }
        Ok((fuel, Stop::Over))
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

/// A cylinder that is open.
struct Open {
    cylinder: usize,
    since: Number,
    /// What it may still give.
    gives: Number,
    /// When it stalls.
    stalls: Option<Number>,
    /// How many shared the draw when that was worked out; none yet is 0.
    among: usize,
}

/// What becomes of a cylinder: from when to when it is drawn, and what is left in it.
type Served = (Option<(Number, Number)>, Number);

/// A plan as it grows.
struct Plan {
    walk: Walk,
    cold: Option<Cold>,
    reserve: Number,
    served: Vec<Served>,
    open: Vec<Open>,
    /// From which second on how many share the draw.
    shares: Vec<(f64, f64)>,
    /// Those that stalled.
    stalled: Vec<usize>,
}

/// Cylinders drawn one after another, or several at once, over a schedule.
fn swap_plan<R: Real>(a: &Arguments<'_, R>) -> Outcome<Made<R>> {
    let hours = exactly(blocks(a)?)?;
    let rates = exactly(filled(a.column(1)?, 1, "rate")?)?;
    same_length(hours.len(), rates.len(), 1, "rate")?;
    let usable = exactly(filled(a.column(2)?, 2, "usable")?)?;
    let reserve = a.not_negative(3, "reserve")?.to_number()?;
    let joined = joined(a)?;
    let names = names(a, usable.len())?;
    let walk = Walk::new(hours.into_iter().zip(rates).collect());
    let cold = match given(a, AIR) {
        true => Some(Cold::new(a, &usable, &walk)?),
        false => None,
    };
    let mut plan = Plan {
        walk,
        cold,
        reserve,
        served: usable.iter().map(|usable| (None, *usable)).collect(),
        open: Vec::new(),
        shares: Vec::new(),
        stalled: Vec::new(),
    };
    let mut waiting = usable.iter().enumerate().filter(|(_, usable)| **usable > reserve);
    loop {
        while plan.open.len() < joined
            && let Some((cylinder, usable)) = waiting.next()
        {
            plan.open.push(Open {
                cylinder,
                since: plan.walk.now,
                gives: usable.sub(reserve)?,
                stalls: None,
                among: 0,
            });
        }
        if plan.open.is_empty() || plan.until_the_next_change()? == Stop::Over {
            return plan.made(names);
        }
    }
}

/// In exact decimals, whatever kind they are of.
fn exactly<R: Real>(values: Vec<R>) -> Outcome<Vec<Number>> {
    Ok(values.into_iter().map(R::to_number).collect::<Checked<_>>()?)
}

/// How many are open at once: 1 or more.
fn joined<R: Real>(a: &Arguments<'_, R>) -> Outcome<usize> {
    let joined = a.number(JOINED)?.to_number()?;
    let count = joined.to_integer().and_then(|count| usize::try_from(count).ok());
    count.filter(|count| *count > 0).ok_or_else(|| {
        let message = format!("`joined` of {} is no number of cylinders", shown(joined.to_f64()));
        Complaint::outside(JOINED, message).help("write 1 for one after another, or how many are open at once")
    })
}

/// The names of the cylinders, or their numbers.
fn names<R: Real>(a: &Arguments<'_, R>, count: usize) -> Outcome<Vec<Option<R>>> {
    let Some(Argument::Column(names)) = a.values.get(NAMES) else {
        let numbers = (1..).take(count).map(Number::from_integer);
        return Ok(numbers.map(|number| Some(R::from_number(number))).collect());
    };
    agree(count, names.len(), NAMES)?;
    Ok(names.to_vec())
}

/// That a name stands there twice, with the rows.
fn named_twice<R: Real>(names: &[Option<R>]) -> Option<Remark> {
    let mut met: BTreeMap<Number, usize> = BTreeMap::new();
    for (row, name) in names.iter().enumerate() {
        let name = name.as_ref().and_then(|name| name.to_number().ok());
        if let Some(first) = name.and_then(|name| met.insert(name, row)) {
            let text = format!(
                "Rows {} and {} of these cylinders have one name: if they are one, it counts twice.",
                first + 1,
                row + 1
            );
            return Some(Remark::new(&NAMED_TWICE, text));
        }
    }
    None
}

/// One row for each cylinder.
fn agree(count: usize, given: usize, index: usize) -> Outcome<()> {
    let name = PARAMETERS.get(index).map_or("", |parameter| parameter.name);
    match count == given {
        true => Ok(()),
        false => Err(Complaint::lengths(
            index,
            format!("`usable` has {} and `{name}` has {given}", rows(count)),
        )),
    }
}

impl Plan {
    /// Goes on to where a cylinder is to be changed, or the schedule is over.
    fn until_the_next_change(&mut self) -> Outcome<Stop> {
        self.look_ahead()?;
        let count = whole::<Number>(i64::try_from(self.open.len()).unwrap_or(i64::MAX));
        let first = self.open.iter().filter_map(|open| open.stalls).reduce(Number::min);
        let Some(least) = self.open.iter().map(|open| open.gives).reduce(Number::min) else {
            return Ok(Stop::Over);
        };
        let (kept, stop) = self.walk.draw(least.mul(count)?, first)?;
        let drawn = match stop {
            Stop::Fuel => least,
            Stop::Time | Stop::Over => least.sub(kept.div(count)?)?,
        };
        for mut open in std::mem::take(&mut self.open) {
            let empty = stop == Stop::Fuel && open.gives.agrees_with(least);
            let stalls = stop == Stop::Time && open.stalls == first;
            open.gives = if empty { Number::ZERO } else { open.gives.sub(drawn)? };
            if !empty && !stalls && stop != Stop::Over {
                self.open.push(open);
                continue;
            }
            if stalls {
                self.stalled.push(open.cylinder);
            }
            if let Some(served) = self.served.get_mut(open.cylinder) {
                *served = (Some((open.since, self.walk.now)), self.reserve.add(open.gives)?);
            }
        }
        Ok(stop)
    }

    /// Works out when those that are open stall, where that isn't known yet.
    fn look_ahead(&mut self) -> Outcome<()> {
        let Some(cold) = &mut self.cold else { return Ok(()) };
        let (now, among) = (self.walk.now, self.open.len());
        if self.open.iter().any(|open| open.among != among) {
            self.shares.push((now.to_f64() * HOUR, among as f64));
        }
        for open in self.open.iter_mut().filter(|open| open.among != among) {
            let stalls = cold.stalls(open.cylinder, open.since, &self.shares)?;
            open.stalls = stalls.map(|stalls| stalls.max(now));
            open.among = among;
        }
        Ok(())
    }

    fn made<R: Real>(self, names: Vec<Option<R>>) -> Outcome<Made<R>> {
        let (short, end) = self.walk.rest()?;
        let mut remarks = self.cold.as_ref().map_or(Vec::new(), |cold| self.remarks(cold));
        remarks.extend(named_twice(&names));
        let steps = self.served.len() + self.cold.map_or(0, |cold| cold.steps);
        let mut rows: Vec<(Option<R>, Served)> = names.into_iter().zip(self.served).collect();
        if !short.is_zero() {
            rows.push((None, (Some((self.walk.now, end)), short.neg())));
        }
        let times = |of: fn((Number, Number)) -> Number| {
            let cells = rows.iter().map(|(_, (times, _))| times.map(of).map(R::from_number));
            cells.collect()
        };
        Ok(Made {
            columns: vec![
                rows.iter().map(|(name, _)| *name).collect(),
                times(|(start, _)| start),
                times(|(_, end)| end),
                rows.iter().map(|(_, (_, left))| Some(R::from_number(*left))).collect(),
            ],
            end: if short.is_zero() { ENOUGH } else { SHORT },
            goes_on: None,
            remarks,
            steps,
        })
    }

    /// What stalls, and what is left out.
    fn remarks(&self, cold: &Cold) -> Vec<Remark> {
        let mut remarks: Vec<Remark> = cold.cylinders.first().map(leaves_out).into_iter().collect();
        let first = self.stalled.first();
        let Some((cylinder, (Some((start, end)), left))) =
            first.and_then(|at| Some((at + 1, self.served.get(*at).copied()?)))
        else {
            return remarks;
        };
        let text = format!(
            "{} of {} stall before they are empty and are changed then. The first is number {cylinder}, after {}, with {} lb left.",
            self.stalled.len(),
            self.served.len(),
            hours_and_minutes((end.to_f64() - start.to_f64()) * HOUR),
            shown(left.to_f64())
        );
        remarks.push(Remark::new(&STALLS_FIRST, text));
        remarks.push(Remark::plain(&CYLINDER_HEAT));
        remarks
    }
}

/// The cylinders as the air meets them.
struct Cold {
    /// Each as if it were put on at the start, and never drawn.
    cylinders: Vec<Input>,
    /// What the set draws, second by second, and when the schedule is over.
    rate: Course,
    end: f64,
    /// How many steps it took so far.
    steps: usize,
}

impl Cold {
    fn new<R: Real>(a: &Arguments<'_, R>, usable: &[Number], walk: &Walk) -> Outcome<Cold> {
        for index in [ACROSS, STEEL, LEAST] {
            needs(a, index)?;
        }
        let film = match (given(a, FILM), given(a, BLOWS)) {
            (true, true) => {
                let message = "`film` and `wind` are two ways to say one thing";
                return Err(Complaint::outside(FILM, message).help("leave one of them out"));
            }
            (true, false) => FilmBy::Value(a.positive(FILM, "film")?.to_binary()),
            (false, _) => {
                needs(a, BLOWS)?;
                needs(a, TALL)?;
                FilmBy::Wind(course(a, BLOWS, |wind| wind * MILE_PER_HOUR)?)
            }
        };
        let least_pressure = pascals(a.number(LEAST)?.to_binary());
        let air = course(a, AIR, kelvin)?;
        let (mut begun, mut rows) = (0.0, Vec::new());
        for (hours, rate) in &walk.blocks {
            rows.push((begun, rate.to_f64() * POUND / HOUR));
            begun += hours.to_f64() * HOUR;
        }
        let plain = Input {
            contents: 0.0,
            diameter: 0.0,
            steel: 0.0,
            steel_heat: 490.0,
            film,
            convection: 1.0,
            emissivity: 0.9,
            height: 0.0,
            wall_reach: WallReach::Fin(STEEL_CONDUCTS * 0.1 * INCH),
            bottom: a.percentage(UNDER, "bottom")?.to_binary() / 100.0,
            humidity: match given(a, MOIST) {
                true => Some(course(a, MOIST, |share| share / 100.0)?),
                false => None,
            },
            frost: 0.15,
            extra_heat: 0.0,
            start: air.value_at(0.0),
            limit: begun,
            every: begun,
            least_pressure,
            air,
            rate: Course::Constant(0.0),
        };
        let count = usable.len();
        let across = each(a, ACROSS, count)?;
        let steel = each(a, STEEL, count)?;
        let height = match given(a, TALL) {
            true => each(a, TALL, count)?.into_iter().map(Some).collect(),
            false => vec![None; count],
        };
        let sizes = across.into_iter().zip(steel).zip(height);
        let cylinders = usable.iter().zip(sizes).map(|(usable, ((across, steel), height))| {
            let (contents, diameter) = (usable.to_f64() * POUND, across * INCH);
            Input {
                contents,
                diameter,
                steel: steel * POUND,
                height: height.map_or_else(
                    || filled_to_80_percent(contents, diameter, plain.start),
                    |height| height * INCH,
                ),
                ..plain.clone()
            }
        });
        Ok(Cold {
            cylinders: cylinders.collect(),
            rate: Course::Steps(rows),
            end: begun,
            steps: 0,
        })
    }

    /// The hour at which a cylinder stalls that is put on at some hour; none where it doesn't.
    fn stalls(&mut self, cylinder: usize, since: Number, shares: &[(f64, f64)]) -> Outcome<Option<Number>> {
        let since = since.to_f64() * HOUR;
        let Some(as_filled) = self.cylinders.get(cylinder).filter(|_| since < self.end) else {
            return Ok(None);
        };
        let air = as_filled.air.after(since);
        let input = Input {
            start: air.value_at(0.0),
            air,
            film: match &as_filled.film {
                FilmBy::Wind(wind) => FilmBy::Wind(wind.after(since)),
                value => value.clone(),
            },
            humidity: as_filled.humidity.as_ref().map(|humidity| humidity.after(since)),
            rate: self.share(since, shares),
            limit: self.end - since,
            every: self.end - since,
            ..as_filled.clone()
        };
        let drawn = draw_down(&input).map_err(|refusal| complaint_about(&refusal, &PARAMETERS))?;
        self.steps += drawn.steps;
        let last = drawn
            .rows
            .last()
            .filter(|_| drawn.end != End::Empty && drawn.end != End::TimeLimit);
        last.map(|last| binary((since + last.seconds) / HOUR)).transpose()
    }

    /// What each of those that are open gives, from some second on.
    fn share(&self, since: f64, shares: &[(f64, f64)]) -> Course {
        let count = Course::Steps(shares.to_vec());
        let turns = self.rate.breakpoints().chain(count.breakpoints());
        let mut seconds: Vec<f64> = turns.filter(|second| *second > since).chain([since]).collect();
        seconds.sort_by(f64::total_cmp);
        seconds.dedup();
        let row = |second: &f64| (second - since, self.rate.value_at(*second) / count.value_at(*second));
        Course::Steps(seconds.iter().map(row).collect())
    }
}

/// A problem where something isn't given that drawing down needs.
fn needs<R>(a: &Arguments<'_, R>, index: usize) -> Outcome<()> {
    let Some(parameter) = PARAMETERS.get(index).filter(|_| !given(a, index)) else {
        return Ok(());
    };
    let message = format!(
        "with `air` each cylinder is drawn down, and for that `{}` is missing",
        parameter.name
    );
    Err(Complaint::outside(AIR, message).help(format!("give `{}`: {}", parameter.name, parameter.meaning)))
}

/// A value above zero for each cylinder: one for all, or row by row.
fn each<R: Real>(a: &Arguments<'_, R>, index: usize, count: usize) -> Outcome<Vec<f64>> {
    let name = PARAMETERS.get(index).map_or("", |parameter| parameter.name);
    let values = match a.values.get(index) {
        Some(Argument::Column(cells)) => filled(cells, index, name)?,
        _ => vec![a.positive(index, name)?; count],
    };
    agree(count, values.len(), index)?;
    Ok(values.into_iter().map(R::to_binary).collect())
}

const ENOUGH: &str = "enough";
const SHORT: &str = "short";

/// The places of parameters beyond the first four.
const JOINED: usize = 4;
const NAMES: usize = 5;
const AIR: usize = 6;
const ACROSS: usize = 7;
const STEEL: usize = 8;
const LEAST: usize = 9;
const FILM: usize = 10;
const BLOWS: usize = 11;
const TALL: usize = 12;
const MOIST: usize = 13;
const UNDER: usize = 14;

/// A parameter of each cylinder: one value for all, or row by row.
const fn of_each(mut parameter: Parameter) -> Parameter {
    parameter.shape = Shape::Column;
    parameter.with_own_rows().or("none")
}

const PARAMETERS: [Parameter; 15] = [
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
    Parameter::quantity(
        "joined",
        "each",
        "how many are open at once on a manifold and share the draw; an automatic changeover opens one after the other",
    )
    .or("1 each")
    .usually(1.0, 4.0),
    Parameter::column("names", ParameterKind::Names, "what the cylinders are called")
        .with_own_rows()
        .or("none"),
    scheduled(
        "air",
        "°F",
        "the air from the first hour on; where it is given each is drawn down, and changed when it stalls",
    )
    .or("none")
    .usually(-40.0, 110.0),
    of_each(DIAMETER),
    of_each(SHELL),
    LEAST_PRESSURE.or("none"),
    FILM_GIVEN,
    WIND,
    of_each(HEIGHT),
    HUMIDITY,
    BOTTOM,
];

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 1] = [Function {
    name: "swap_plan",
    chapter: Chapter::Burn,
    summary: "table of which cylinder feeds which hours, and when each is changed",
    parameters: &PARAMETERS,
    result: ResultKind::Table(&[
        ColumnDeclared::new(
            "cylinder",
            "",
            "its name, or its number in the order drawn; empty in the row of what is short",
        ),
        ColumnDeclared::new("starts", "h", "when it is put on; empty for one that is never drawn"),
        ColumnDeclared::new(
            "ends",
            "h",
            "when it is changed, empty or stalled, or the schedule ends",
        ),
        ColumnDeclared::new("left", "lb", "what is in it then; below zero is what is short"),
    ]),
    formula: "each cylinder gives usable − reserve, an equal share while several are open; with `air` no longer than `draw_down` keeps it above `least_pressure` from when it is put on, as cold as the air; what the last one can't give stands in a last row, below zero",
    sources: &[
        ARITHMETIC,
        computed("the heat balance of draw_down, of each cylinder from when it is put on"),
    ],
    range: "hours, rates and contents not below zero; every row filled; `air` begins with the first hour",
    notes: "One that is empty or stalls is changed for the next in the list, while others stay open. `count(plan.starts where plan.left >= 0 lb)` is how many are drawn, `min(plan.left) >= 0 lb` whether they reach, `18:00 + (plan.starts where plan.starts > 0 h)` the clock times at which somebody has to change one; the last `ends` is the end of the schedule. Without `air` it goes by weight alone. One that stalled warms again with the air; list it once more, with what was left, to use it again.",
    cautions: &[&CARBON_MONOXIDE, &CYLINDER_PLACE],
    examples: &[example("first(plan.ends)", "6 h"), example("last(plan.left)", "-6 lb")],
    example_table: "table day\n  | hours [h] | rate [lb/h] |\n  | 8 | 3 |\n  | 6 | 4 |\n\ntable stock\n  | usable [lb] |\n  | 20 |\n  | 26 |\n\ntable plan = swap_plan(day.hours, day.rate, stock.usable, reserve: 2 lb)\n",
    body: Body::Table {
        exact: swap_plan,
        drawn: swap_plan,
        ends: &[ENOUGH, SHORT],
    },
    ..PLAIN
}];
