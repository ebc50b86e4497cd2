//! A cylinder drawn down, as a worksheet asks for it: the table, when it ends, and how.
//!
//! The balance itself is in [`super::draw_down`], in SI; here it takes the
//! trade's units, values that change with time, and says what it leaves out.
//! Two questions are kept apart: a wall below freezing may frost, which is a
//! sight; pressure below what the regulator needs starves the engine.
//! Start reading at [`table`].

use crate::number::Number;

use super::caution::{
    CARBON_MONOXIDE, CYLINDER_HEAT, DISHED_BOTTOM, FROSTS, GAUGE_SHOWS_TEMPERATURE, LEFT_OUT, PURE_PROPANE,
    STALLS_FIRST, TIME_LIMIT,
};
use super::declare::{PLAIN, binary, computed, practice, shown};
use super::draw_down::{Course, Drawn, End, Input, Refusal, Row, draw_down};
use super::propane::{EQUATION_OF_STATE, INCH, POUND, fahrenheit, gauge, kelvin, pascals};
use super::vaporizing::in_the_dish;
use super::{
    Argument, Arguments, Body, Chapter, ColumnDeclared, ColumnLimit, Complaint, Example, Fact, Function, Made, OfTable,
    Outcome, Parameter, ParameterKind, Part, Reason, Remark, ResultKind, Schedule, ScheduleForm, Shape,
};

const HOUR: f64 = 3600.0;

/// Everything above freezing stays free of frost.
const FREEZING: f64 = 273.15;

/// The place of the column that counts the hours.
const TIME: usize = 0;

/// The table of a draw-down.
fn table(a: &Arguments<'_, Number>) -> Outcome<Made> {
    let input = input(a)?;
    let drawn = draw_down(&input).map_err(|refusal| complaint(&refusal))?;
    let remarks = remarks(&input, &drawn);
    let column = |of: fn(&Row) -> f64| -> Outcome<Vec<Option<Number>>> {
        let cells = drawn.rows.iter().map(|row| binary(of(row)).map(Some));
        cells.collect::<Outcome<_>>().map_err(|_| out_of_hand())
    };
    Ok(Made {
        columns: vec![
            column(|row| row.seconds / HOUR)?,
            column(|row| row.contents / POUND)?,
            column(|row| fahrenheit(row.kelvin))?,
            column(|row| gauge(row.pascals))?,
            column(|row| row.rate * HOUR / POUND)?,
        ],
        end: drawn.end.word(),
        goes_on: (drawn.end == End::TimeLimit).then_some(TIME),
        remarks,
    })
}

/// A table with a figure that can't be held, such as a run that ends at once.
fn out_of_hand() -> Complaint {
    let message = "the run has figures too small or too large to hold: it is over before it has begun";
    Complaint {
        argument: None,
        reason: Reason::Outside(message.to_owned()),
        help: Some("look at `rate`, `film`, `diameter` and `wall_reach`: one of them is far from usual".to_owned()),
    }
}

/// The arguments in SI.
fn input(a: &Arguments<'_, Number>) -> Outcome<Input> {
    let number = |index: usize| a.number(index).map(Number::to_f64);
    let least = pascals(number(6)?);
    if least <= 0.0 {
        let message = format!("`least_pressure` of {} psig is no pressure at all", shown(number(6)?));
        return Err(Complaint::outside(6, message));
    }
    Ok(Input {
        contents: number(0)? * POUND,
        diameter: number(1)? * INCH,
        steel: number(2)? * POUND,
        air: course(a, 3, kelvin)?,
        rate: course(a, 4, |rate| rate * POUND / HOUR)?,
        film: number(5)?,
        least_pressure: least,
        extra_heat: number(7)?,
        start: start(a)?,
        limit: number(9)? * HOUR,
        every: number(10)? * 60.0,
        steel_heat: number(11)?,
        wall_reach: number(12)? * INCH,
    })
}

/// A value that may change with time, in SI.
fn course(a: &Arguments<'_, Number>, index: usize, to_si: fn(f64) -> f64) -> Outcome<Course> {
    match a.values.get(index) {
        Some(Argument::Schedule(schedule)) => {
            let rows = schedule_rows(schedule, index, to_si)?;
            Ok(match schedule.form {
                ScheduleForm::Steps => Course::Steps(rows),
                ScheduleForm::Trend => Course::Trend(rows),
            })
        }
        _ => Ok(Course::Constant(to_si(a.number(index)?.to_f64()))),
    }
}

fn schedule_rows(schedule: &Schedule<'_, Number>, index: usize, to_si: fn(f64) -> f64) -> Outcome<Vec<(f64, f64)>> {
    let (times, values) = (schedule.hours.len(), schedule.values.len());
    if times != values {
        let message = format!("the times have {times} rows and the values {values}");
        return Err(Complaint::lengths(index, message));
    }
    let mut rows = Vec::with_capacity(times);
    for (row, (hours, value)) in schedule.hours.iter().zip(schedule.values).enumerate() {
        let (Some(hours), Some(value)) = (hours, value) else {
            let message = format!("row {} has no time or no value", row + 1);
            return Err(Complaint::empty(index, message).help("fill the cell, or leave the row out"));
        };
        rows.push((hours.to_f64() * HOUR, to_si(value.to_f64())));
    }
    Ok(rows)
}

/// The temperature at the start; that of the air then, where it is the air's own course.
fn start(a: &Arguments<'_, Number>) -> Outcome<f64> {
    match a.values.get(8) {
        Some(Argument::Schedule(schedule)) => {
            let rows = schedule_rows(schedule, 8, kelvin)?;
            let course = match schedule.form {
                ScheduleForm::Steps => Course::Steps(rows),
                ScheduleForm::Trend => Course::Trend(rows),
            };
            Ok(course.value_at(0.0))
        }
        _ => Ok(kelvin(a.number(8)?.to_f64())),
    }
}

fn complaint(refusal: &Refusal) -> Complaint {
    let named = refusal
        .input()
        .and_then(|name| PARAMETERS.iter().position(|parameter| parameter.name == name));
    let message = refusal.to_string();
    let (reason, help) = match refusal {
        Refusal::CourseOrder { .. } => (Reason::Order(message), Some("put the rows in order of time")),
        Refusal::CourseStartsLate { .. } => (Reason::Outside(message), Some("begin with a row at 0 h")),
        Refusal::TooManyRows { .. } => (
            Reason::Outside(message),
            Some("give a longer `every` or a shorter `limit`"),
        ),
        Refusal::TooManySteps => (
            Reason::Outside(message),
            Some("look at `film`, `steel`, `diameter`, `extra_heat` and `limit`: one of them is far from usual"),
        ),
        Refusal::OutOfTime => (Reason::OutOfTime, None),
        _ => (Reason::Outside(message), None),
    };
    Complaint {
        argument: named,
        reason,
        help: help.map(str::to_owned),
    }
}

fn remarks(input: &Input, drawn: &Drawn) -> Vec<Remark> {
    let found = [
        Some(left_out(input.wall_reach)),
        starves(input, drawn),
        goes_on(input, drawn),
        frosts(drawn),
        heated(input, drawn),
        dished(input, drawn),
    ];
    found.into_iter().flatten().collect()
}

/// What the balance leaves out, the dry wall among it where its reach is 0.
pub(super) fn left_out(wall_reach: f64) -> Remark {
    if wall_reach > 0.0 {
        return Remark::plain(&LEFT_OUT);
    }
    let wall = "The dry wall above the liquid is left out too, though steel conducts some inches up: `wall_reach` tells how far.";
    Remark::new(&LEFT_OUT, format!("{} {wall}", LEFT_OUT.text))
}

fn starves(input: &Input, drawn: &Drawn) -> Option<Remark> {
    let last = drawn.rows.last().filter(|_| drawn.end == End::Pressure)?;
    let text = format!(
        "The pressure is down to {} psig after {}, with {} lb left: the engine starves before the cylinder is empty.",
        shown(gauge(input.least_pressure)),
        hours_and_minutes(last.seconds),
        shown(last.contents / POUND)
    );
    Some(Remark::new(&STALLS_FIRST, text))
}

fn goes_on(input: &Input, drawn: &Drawn) -> Option<Remark> {
    let last = drawn.rows.last().filter(|_| drawn.end == End::TimeLimit)?;
    let text = format!(
        "After {}, its `limit`, the draw-down had not ended: {} lb are left at {} psig. It lasts longer, and how much \
         longer isn't known. A longer `limit` tells.",
        hours_and_minutes(input.limit),
        shown(last.contents / POUND),
        shown(gauge(last.pascals))
    );
    Some(Remark::new(&TIME_LIMIT, text))
}

/// A duration as a clock counts it, to the minute: `3 h 4 min`.
fn hours_and_minutes(seconds: f64) -> String {
    let minutes = libm::round(seconds / 60.0) as u64;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

fn frosts(drawn: &Drawn) -> Option<Remark> {
    let first = drawn.rows.iter().find(|row| row.kelvin < FREEZING)?;
    let when = if first.seconds > 0.0 {
        format!("After {} the wall is below freezing.", hours_and_minutes(first.seconds))
    } else {
        "The wall is below freezing from the start.".to_owned()
    };
    Some(Remark::new(&FROSTS, format!("{when} {}", FROSTS.text)))
}

fn heated(input: &Input, drawn: &Drawn) -> Option<Remark> {
    (input.extra_heat > 0.0 || matches!(drawn.end, End::Hot | End::Pressure | End::TooCold))
        .then(|| Remark::plain(&CYLINDER_HEAT))
}

fn dished(input: &Input, drawn: &Drawn) -> Option<Remark> {
    let last = drawn.rows.last()?;
    let low = drawn.end == End::Empty || in_the_dish(last.contents, input.diameter, last.kelvin);
    low.then(|| Remark::plain(&DISHED_BOTTOM))
}

const fn scheduled(name: &'static str, unit: &'static str, meaning: &'static str) -> Parameter {
    Parameter::new(name, ParameterKind::Schedule(unit), Shape::Single, meaning)
}

const PARAMETERS: [Parameter; 13] = [
    Parameter::quantity("contents", "lb", "propane in the cylinder at the start").usually(1.0, 100.0),
    Parameter::quantity("diameter", "in", "the inner diameter of the shell").usually(8.0, 15.0),
    Parameter::quantity(
        "steel",
        "lb",
        "the weight of the empty shell, which cools with the liquid",
    )
    .usually(10.0, 80.0),
    scheduled("air", "°F", "the temperature of the air").usually(-40.0, 110.0),
    scheduled("rate", "lb/h", "what is drawn from this cylinder").usually(0.0, 10.0),
    Parameter::quantity(
        "film",
        "W/(m2·C°)",
        "how well the air gives heat to the wall: calm 6–9, 2 mph 10, 5 mph 14, 10 mph 20, 15 mph 26 (computed)",
    )
    .usually_by(6.0, 26.0, computed("natural convection or cross-flow, plus radiation")),
    Parameter::quantity(
        "least_pressure",
        "psig",
        "the least pressure that the regulator works with",
    )
    .usually(2.0, 30.0),
    Parameter::quantity("extra_heat", "W", "heat put in besides the air's")
        .or("0 W")
        .usually(0.0, 300.0),
    Parameter::quantity("start", "°F", "the temperature of the liquid at the start")
        .or("air")
        .usually(-40.0, 110.0),
    Parameter::quantity(
        "limit",
        "h",
        "how long to look; what lasts longer is told as more than this",
    )
    .or("168 h")
    .usually(1.0, 168.0),
    Parameter::quantity("every", "min", "the time between two rows")
        .or("10 min")
        .usually(1.0, 60.0),
    Parameter::quantity(
        "steel_heat",
        "J/(kg·C°)",
        "the specific heat of the shell; aluminum has 900",
    )
    .or("490 J/(kg·C°)")
    .usually(450.0, 920.0),
    Parameter::quantity("wall_reach", "in", "how far up the dry wall conducts; see `wall_reach`")
        .or("0 in")
        .usually(0.0, 8.0),
];

const RULE: &str = "dm/dt = −rate; (m·c(T) + steel·steel_heat)·dT/dt = film·A·(air − T) + extra_heat − rate·h(T); A = πD²/4 + πD·(m/(ρ(T)·πD²/4) + wall_reach)";
const RANGE: &str = "pure propane, −45 °C to 120 °F, upright with a flat bottom; ends \"empty\", \"pressure\" (while gas is drawn), \"hot\" (120 °F), \"too cold\" (−45 °C) or \"time limit\"";
const NOTES: &str = "Two questions: it frosts where `temperature` is below freezing and below `frost_point` of the air; it starves where it ends \"pressure\". `rate` and `air` may be `steps(time, value)` or `ramps(time, value)`. About right in the cold, a low estimate in mild damp weather: frost and dew bring the wall heat that is left out. What is left out is said with every result.";
const EXAMPLE: &str =
    "table night = draw_down(24 lb, 12 in, 24.6 lb, 24 °F, 3.1 lb/h, film: 14 W/(m2·C°), least_pressure: 10 psig)\n";

const DRAW_DOWN: Function = Function {
    name: "draw_down",
    tells: &[Fact::DrawsDown],
    chapter: Chapter::Vaporizing,
    summary: "table of a cylinder drawn down: contents, temperature and pressure hour by hour",
    parameters: &PARAMETERS,
    result: ResultKind::Table(&[
        ColumnDeclared {
            name: "time",
            unit: "h",
            meaning: "hours from the start; the last row is the end",
            limit: None,
        },
        ColumnDeclared {
            name: "contents",
            unit: "lb",
            meaning: "propane left",
            limit: None,
        },
        ColumnDeclared {
            name: "temperature",
            unit: "°F",
            meaning: "liquid and wall, which have one temperature",
            limit: Some(ColumnLimit::Value(120, "the most a cylinder may have")),
        },
        ColumnDeclared {
            name: "pressure",
            unit: "psig",
            meaning: "vapor pressure at that temperature",
            limit: Some(ColumnLimit::Parameter("least_pressure")),
        },
        ColumnDeclared {
            name: "rate",
            unit: "lb/h",
            meaning: "what is drawn then",
            limit: None,
        },
    ]),
    formula: RULE,
    sources: &[
        computed("energy balance of the liquid and its shell, integrated with error control"),
        EQUATION_OF_STATE,
        practice("film coefficients are read from the wind; a weighed night is the better guide"),
    ],
    range: RANGE,
    named: Some("the heat balance of draw_down"),
    notes: NOTES,
    cautions: &[&CARBON_MONOXIDE, &GAUGE_SHOWS_TEMPERATURE, &PURE_PROPANE],
    examples: &[
        Example {
            call: "last(night.contents)",
            result: "17.89 lb",
        },
        Example {
            call: "first(night.time where night.temperature < 0 °F)",
            result: "1 h",
        },
    ],
    example_table: EXAMPLE,
    body: Body::Table {
        make: table,
        ends: &["empty", "pressure", "hot", "too cold", "time limit"],
        quick: false,
    },
    ..PLAIN
};

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 3] = [
    DRAW_DOWN,
    Function {
        name: "draw_down_time",
        summary: "hours until a cylinder stalls, is empty, or the time is up",
        result: ResultKind::Quantity("h"),
        notes: "Of a table that `draw_down` made, `draw_down_time(night)`, or with arguments of its own. Where the time was up first it is more than the `limit`. Say beside it how it ended: `draw_down_end`.",
        examples: &[
            Example {
                call: "draw_down_time(night)",
                result: "1.971 h",
            },
            Example {
                call: "draw_down_time(24 lb, 12 in, 24.6 lb, 24 °F, 3.1 lb/h, film: 7 W/(m2·C°), least_pressure: 10 psig)",
                result: "1.565 h",
            },
        ],
        body: Body::OfTable(OfTable {
            table: "draw_down",
            part: Part::Last("time"),
        }),
        ..DRAW_DOWN
    },
    Function {
        name: "draw_down_end",
        summary: "how a draw-down ends: \"empty\", \"pressure\", \"hot\", \"too cold\" or \"time limit\"",
        result: ResultKind::Text,
        notes: "Of a table that `draw_down` made, `draw_down_end(night)`, or with arguments of its own. \"pressure\" means that it starves with fuel left.",
        examples: &[
            Example {
                call: "draw_down_end(night)",
                result: "\"pressure\"",
            },
            Example {
                call: "draw_down_end(5 lb, 12 in, 24.6 lb, 70 °F, 1 lb/h, film: 14 W/(m2·C°), least_pressure: 5 psig)",
                result: "\"empty\"",
            },
        ],
        body: Body::OfTable(OfTable {
            table: "draw_down",
            part: Part::End,
        }),
        ..DRAW_DOWN
    },
];
