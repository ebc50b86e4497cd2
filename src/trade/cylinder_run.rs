//! A cylinder drawn down, as a worksheet asks for it: the table, when it ends, and how.
//!
//! The balance itself is in [`super::draw_down`], in SI; here it takes the
//! trade's units, values that change with time, and says what it leaves out.
//! Two questions are kept apart: a wall below freezing may frost, which is a
//! sight; pressure below what the regulator needs starves the engine.
//! Start reading at [`table`].

use crate::number::Real;

use super::caution::{
    CARBON_MONOXIDE, CYLINDER_HEAT, CYLINDER_HEATER, DISHED_BOTTOM, DOES_NOT_FIT, FROSTS, GAUGE_SHOWS_TEMPERATURE,
    HEAT_COMES, LEFT_OUT, PURE_PROPANE, STALLS_FIRST, TIME_LIMIT,
};
use super::declare::{PLAIN, binary, computed, example, practice, remembered, shown};
use super::draw_down::{
    Course, Drawn, End, FilmBy, Heat, Input, Refusal, Row, WallReach, draw_down, frost_thickness, heat_of,
};
use super::propane::{
    COLDEST, EQUATION_OF_STATE, HOTTEST, INCH, POUND, fahrenheit, gauge, kelvin, liquid_density, pascals,
};
use super::settling::in_the_dish;
use super::vaporizing::STEEL_CONDUCTS;
use super::wall::{CORRELATIONS, EMISSIVITY, FREEZING, MILE_PER_HOUR};
use super::{
    Argument, Arguments, Body, Chapter, ColumnDeclared, ColumnLimit, Complaint, Fact, Function, Made, OfTable, Outcome,
    Parameter, ParameterKind, Part, Reason, Remark, ResultKind, Schedule, ScheduleForm, Shape,
};

const HOUR: f64 = 3600.0;

/// The place of the column that counts the hours.
const TIME: usize = 0;

/// The table of a draw-down.
fn table<R: Real>(a: &Arguments<'_, R>) -> Outcome<Made<R>> {
    let input = input(a)?;
    let drawn = draw_down(&input).map_err(|refusal| complaint(&refusal))?;
    let remarks = remarks(&input, &drawn);
    let column = |of: fn(&Row) -> f64| -> Outcome<Vec<Option<R>>> {
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
        steps: drawn.steps,
    })
}

/// The heat of a draw-down, row by row: how it ended, and its arguments.
fn heat_parts<R: Real>(a: &Arguments<'_, R>) -> Outcome<Made<R>> {
    let own = Arguments {
        values: a.values.get(1..).unwrap_or_default(),
        expanded: &[],
    };
    let input = input(&own)?;
    let drawn = draw_down(&input).map_err(|refusal| complaint(&refusal))?;
    let heats = heat_of(&input, &drawn.rows);
    let rows = || drawn.rows.iter().zip(&heats);
    let column = |of: &dyn Fn(&Row, &Heat) -> Option<f64>| -> Outcome<Vec<Option<R>>> {
        let cells = rows().map(|(row, heat)| of(row, heat).map(binary).transpose());
        cells.collect::<Outcome<_>>().map_err(|_| out_of_hand())
    };
    Ok(Made {
        columns: vec![
            column(&|row, _| Some(row.seconds / HOUR))?,
            column(&|_, heat| Some(heat.convection))?,
            column(&|_, heat| Some(heat.radiation))?,
            column(&|_, heat| Some(heat.moisture))?,
            column(&|_, heat| Some(heat.dry_wall))?,
            column(&|_, heat| Some(heat.bottom))?,
            column(&|_, heat| heat.film)?,
            column(&|row, _| Some(frost_thickness(row.frost, input.frost) * 1000.0))?,
        ],
        end: drawn.end.word(),
        goes_on: (drawn.end == End::TimeLimit).then_some(TIME),
        remarks: Vec::new(),
        steps: drawn.steps,
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
fn input<R: Real>(a: &Arguments<'_, R>) -> Outcome<Input> {
    let number = |index: usize| a.number(index).map(R::to_binary);
    let least = pascals(number(6)?);
    if least <= 0.0 {
        let message = format!("`least_pressure` of {} psig is no pressure at all", shown(number(6)?));
        return Err(Complaint::outside(6, message));
    }
    let (contents, diameter, start) = (number(0)? * POUND, number(1)? * INCH, start(a)?);
    Ok(Input {
        contents,
        diameter,
        steel: number(2)? * POUND,
        air: course(a, 3, kelvin)?,
        rate: course(a, 4, |rate| rate * POUND / HOUR)?,
        film: match given(a, BLOWS) {
            true => FilmBy::Wind(course(a, BLOWS, |wind| wind * MILE_PER_HOUR)?),
            false => FilmBy::Value(number(5)?),
        },
        least_pressure: least,
        extra_heat: number(7)?,
        start,
        limit: number(9)? * HOUR,
        every: number(10)? * 60.0,
        steel_heat: number(11)?,
        wall_reach: match given(a, REACH) {
            true => WallReach::Length(number(REACH)? * INCH),
            false => WallReach::Fin(STEEL_CONDUCTS * number(17)? * INCH),
        },
        height: match given(a, TALL) {
            true => number(TALL)? * INCH,
            false => filled_to_80_percent(contents, diameter, start),
        },
        humidity: match given(a, MOIST) {
            true => Some(course(a, MOIST, |share| share / 100.0)?),
            false => None,
        },
        bottom: number(16)? / 100.0,
        convection: number(18)? / 100.0,
        emissivity: number(19)? / 100.0,
        frost: number(20)?,
    })
}

/// The places of parameters that may be left out.
const REACH: usize = 12;
const BLOWS: usize = 13;
const TALL: usize = 14;
const MOIST: usize = 15;

/// Whether an argument was given, where the default is a bare word.
pub(super) fn given<R>(a: &Arguments<'_, R>, index: usize) -> bool {
    !matches!(a.values.get(index), Some(Argument::Text(_)))
}

/// How long a shell is, in m, of which so much liquid takes up 80 %.
pub(super) fn filled_to_80_percent(contents: f64, diameter: f64, start: f64) -> f64 {
    let base = std::f64::consts::PI * diameter * diameter / 4.0;
    let depth = contents / (liquid_density(start.clamp(COLDEST, HOTTEST)) * base);
    // an empty one still has a wall
    (depth / 0.8).max(INCH)
}

/// A value that may change with time, in SI.
pub(super) fn course<R: Real>(a: &Arguments<'_, R>, index: usize, to_si: fn(f64) -> f64) -> Outcome<Course> {
    match a.values.get(index) {
        Some(Argument::Schedule(schedule)) => {
            let rows = schedule_rows(schedule, index, to_si)?;
            Ok(match schedule.form {
                ScheduleForm::Steps => Course::Steps(rows),
                ScheduleForm::Trend => Course::Trend(rows),
            })
        }
        _ => Ok(Course::Constant(to_si(a.number(index)?.to_binary()))),
    }
}

fn schedule_rows<R: Real>(schedule: &Schedule<'_, R>, index: usize, to_si: fn(f64) -> f64) -> Outcome<Vec<(f64, f64)>> {
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
        rows.push((hours.to_binary() * HOUR, to_si(value.to_binary())));
    }
    Ok(rows)
}

/// The temperature at the start; that of the air then, where it is the air's own course.
fn start<R: Real>(a: &Arguments<'_, R>) -> Outcome<f64> {
    match a.values.get(8) {
        Some(Argument::Schedule(schedule)) => {
            let rows = schedule_rows(schedule, 8, kelvin)?;
            let course = match schedule.form {
                ScheduleForm::Steps => Course::Steps(rows),
                ScheduleForm::Trend => Course::Trend(rows),
            };
            Ok(course.value_at(0.0))
        }
        _ => Ok(kelvin(a.number(8)?.to_binary())),
    }
}

fn complaint(refusal: &Refusal) -> Complaint {
    complaint_about(refusal, &PARAMETERS)
}

/// What is wrong, with the parameter of that name.
pub(super) fn complaint_about(refusal: &Refusal, parameters: &[Parameter]) -> Complaint {
    let named = refusal
        .input()
        .and_then(|name| parameters.iter().position(|parameter| parameter.name == name));
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
        Refusal::EmptyBefore => (
            Reason::Outside(message),
            Some("look at `contents`, `rate` and `ran`: one of them is off"),
        ),
        Refusal::AnyFilm => (
            Reason::Outside(message),
            Some("take a longer run, or one that was read while the wall was cold"),
        ),
        Refusal::NoFilm => (
            Reason::Outside(message),
            Some("look at `air`, `start`, `rate` and `ran`: one of them is off"),
        ),
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
        heat_comes(input, drawn),
        Some(leaves_out(input)),
        slim(input),
        starves(input, drawn),
        goes_on(input, drawn),
        frosts(drawn),
        dished(input, drawn),
    ];
    found.into_iter().chain(heated(input, drawn)).flatten().collect()
}

/// What the heat half-way is made of.
fn heat_comes(input: &Input, drawn: &Drawn) -> Option<Remark> {
    let half_way = drawn.rows.get(drawn.rows.len() / 2)?;
    Some(Remark::new(&HEAT_COMES, parts_at(input, half_way)?))
}

/// What is left out, in which direction and by how much.
pub(super) fn leaves_out(input: &Input) -> Remark {
    let mut text = DRAW_DOWN_LEAVES_OUT.to_owned();
    if matches!(input.film, FilmBy::Value(_)) {
        text.push_str(" The film stays as given while the wall cools; `wind:` follows it.");
    }
    if input.humidity.is_none() {
        text.push_str(
            " Moisture is left out, which is on the safe side: at 70 % it adds 0.3 h with its frost; `humidity:` counts it.",
        );
    }
    if input.bottom >= 1.0 {
        text.push_str(" The whole bottom takes heat; with half of it the cylinder stalls 0.8 h sooner.");
    }
    Remark::new(&LEFT_OUT, text)
}

/// The film at a moment by its parts; nothing where air and wall are equally warm.
fn parts_at(input: &Input, row: &Row) -> Option<String> {
    let heat = heat_of(input, std::slice::from_ref(row)).pop()?;
    let film = heat.film?;
    let wetted = heat.convection + heat.radiation + heat.moisture;
    let of = |part: f64| shown(libm::round(part / wetted * film * 10.0) / 10.0);
    let share = |part: f64| shown(libm::round(part / heat.sum() * 100.0));
    (wetted != 0.0).then(|| {
        format!(
            "Halfway through, the wetted wall takes {} by convection, {} by radiation and {} by moisture, in W/(m2·C°); of all heat from the air {} % comes down the dry wall, {} % through the bottom.",
            of(heat.convection),
            of(heat.radiation),
            of(heat.moisture),
            share(heat.dry_wall),
            share(heat.bottom)
        )
    })
}

const DRAW_DOWN_LEAVES_OUT: &str = "Left out, with what it is worth to a full 20-lb cylinder at 2.3 lb/h in air of 47 to 55 °F: domed heads (stalls up to 1.5 h sooner), 2.5 % of butane (0.5 h sooner), a clear sky (0.2 to 0.4 h sooner), the vapor's side (0.2 to 0.4 h either way); layers in the liquid, valve and regulator (sooner) and the sun (later) are left out too.";

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
        "After {}, its `limit`, the draw-down had not ended: {} lb are left at {} psig. It lasts longer; a longer `limit` tells how long.",
        hours_and_minutes(input.limit),
        shown(last.contents / POUND),
        shown(gauge(last.pascals))
    );
    Some(Remark::new(&TIME_LIMIT, text))
}

/// A duration as a clock counts it, to the minute: `3 h 4 min`.
pub(super) fn hours_and_minutes(seconds: f64) -> String {
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

fn heated(input: &Input, drawn: &Drawn) -> [Option<Remark>; 2] {
    let (heated, stops) = (
        input.extra_heat > 0.0,
        matches!(drawn.end, End::Hot | End::Pressure | End::TooCold),
    );
    [
        (heated || stops).then(|| Remark::plain(&CYLINDER_HEAT)),
        heated.then(|| Remark::plain(&CYLINDER_HEATER)),
    ]
}

/// Upright cylinders are 1.5 to 4 times as tall as they are wide (common practice, no source).
const SLIMMEST: f64 = 5.0;

/// That the liquid stands higher than the shell does, or than any is.
fn slim(input: &Input) -> Option<Remark> {
    let depth = 0.8 * filled_to_80_percent(input.contents, input.diameter, input.start);
    let inches = |meters: f64| shown(libm::round(meters / INCH));
    let too_high = depth > input.height || depth > SLIMMEST * input.diameter;
    too_high.then(|| {
        let text = format!(
            "The liquid would stand {} in high in a shell {} in across, and so it doesn't fit: look at contents, diameter and height; a circumference is 3.14 diameters.",
            inches(depth),
            shown(libm::round(input.diameter / INCH * 10.0) / 10.0)
        );
        Remark::new(&DOES_NOT_FIT, text)
    })
}

fn dished(input: &Input, drawn: &Drawn) -> Option<Remark> {
    let last = drawn.rows.last()?;
    let low = drawn.end == End::Empty || in_the_dish(last.contents, input.diameter, last.kelvin);
    low.then(|| Remark::plain(&DISHED_BOTTOM))
}

pub(super) const fn scheduled(name: &'static str, unit: &'static str, meaning: &'static str) -> Parameter {
    Parameter::new(name, ParameterKind::Schedule(unit), Shape::Single, meaning)
}

pub(super) const CONTENTS: Parameter =
    Parameter::quantity("contents", "lb", "propane in the cylinder at the start").usually(1.0, 100.0);
pub(super) const DIAMETER: Parameter =
    Parameter::quantity("diameter", "in", "the inner diameter of the shell").usually(8.0, 15.0);
pub(super) const LEAST_PRESSURE: Parameter = Parameter::quantity(
    "least_pressure",
    "psig",
    "the least pressure that the regulator works with",
)
.usually(2.0, 30.0);
pub(super) const EXTRA_HEAT: Parameter = Parameter::quantity(
    "extra_heat",
    "W",
    "what a heater listed for propane cylinders puts in; a flame, exhaust or wrapping is none",
)
.or("0 W")
.usually(0.0, 300.0);
pub(super) const START: Parameter = Parameter::quantity("start", "°F", "the temperature of the liquid at the start")
    .or("air")
    .usually(-40.0, 110.0);
pub(super) const STEEL_HEAT: Parameter = Parameter::quantity(
    "steel_heat",
    "J/(kg·C°)",
    "the specific heat of the shell; aluminum has 900",
)
.or("490 J/(kg·C°)")
.usually(450.0, 920.0);
pub(super) const WALL: Parameter = Parameter::quantity("wall", "in", "the thickness of the wall, for the fin")
    .or("0.1 in")
    .usually(0.08, 0.25);

pub(super) const SHELL: Parameter = Parameter::quantity(
    "steel",
    "lb",
    "the weight of the empty shell, which cools with the liquid",
)
.usually(10.0, 80.0);
pub(super) const FILM: Parameter = Parameter::quantity(
    "film",
    "W/(m2·C°)",
    "how well the air gives heat to the wall, in place of `wind`: calm 6–9, 2 mph 10, 5 mph 14, 10 mph 20, 15 mph 26 (computed); or as a run showed",
)
.or("none")
.usually_by(6.0, 26.0, computed("natural convection or cross-flow, plus radiation"));
pub(super) const WIND: Parameter = scheduled(
    "wind",
    "mph",
    "the wind at the cylinder, in place of `film`; 0 mph is calm, and near the ground it is often half of the forecast",
)
.or("none")
.usually(0.0, 25.0);
pub(super) const HEIGHT: Parameter = Parameter::quantity(
    "height",
    "in",
    "the pressure shell head to head; needed with `wind`, and unless given that of a shell filled to 80 % at the start",
)
.or("none")
.usually(9.0, 50.0);
pub(super) const HUMIDITY: Parameter = scheduled(
    "humidity",
    "%",
    "the relative humidity, over liquid water; unless given moisture is left out",
)
.or("none")
.usually(10.0, 100.0);
pub(super) const BOTTOM: Parameter = Parameter::quantity(
    "bottom",
    "%",
    "how much of the bottom takes heat: 30 to 100 %, by its dish, foot ring and what it stands on; the largest doubt",
)
.or("100 %")
.usually(30.0, 100.0);

const PARAMETERS: [Parameter; 21] = [
    CONTENTS,
    DIAMETER,
    SHELL,
    scheduled("air", "°F", "the temperature of the air").usually(-40.0, 110.0),
    scheduled("rate", "lb/h", "what is drawn from this cylinder").usually(0.0, 10.0),
    FILM,
    LEAST_PRESSURE,
    EXTRA_HEAT,
    START,
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
    STEEL_HEAT,
    Parameter::quantity(
        "wall_reach",
        "in",
        "how far up the dry wall conducts; unless given it is a steel fin as far as there is dry wall, 0 in leaves it out",
    )
    .or("fin")
    .usually(0.0, 8.0),
    WIND,
    HEIGHT,
    HUMIDITY,
    BOTTOM,
    WALL,
    Parameter::quantity(
        "convection",
        "%",
        "how much of the correlations' convection is taken: 100 % ± 20 % is what they are good to",
    )
    .or("100 %")
    .usually(80.0, 120.0),
    EMISSIVITY,
    Parameter::quantity(
        "frost",
        "W/(m·C°)",
        "how well frost conducts: loose 0.1, dense 0.2; 10 all but takes its insulation away",
    )
    .or("0.15 W/(m·C°)")
    .usually(0.1, 0.2),
];

const RULE: &str = "dm/dt = −rate; (m·c(T) + steel·steel_heat)·dT/dt = q·A + extra_heat − rate·h(T); A = bottom·πD²/4 + πD·(depth + reach), depth = m/(ρ(T)·πD²/4), reach = l·tanh((height − depth)/l), l = √(50 W/(m·C°)·wall·(air − T)/q); q = film·(air − T), or by `film_in_air` at the wall's own temperature, plus what settles: h_m·(vapor of the air − that at the wall)·latent heat, h_m by Lewis's relation; frost insulates by its thickness over `frost`";
const RANGE: &str = "pure propane, −45 °C to 120 °F, upright with a flat bottom; with wind or humidity air of −49 … 140 °F; ends \"empty\", \"pressure\" (while gas is drawn), \"hot\" (120 °F), \"too cold\" (−45 °C) or \"time limit\"";
const NOTES: &str = "Two questions: it frosts where `temperature` is below freezing and below `frost_point` of the air; it starves where it ends \"pressure\". `rate`, `air`, `wind` and `humidity` may be `steps(time, value)` or `ramps(time, value)`. What the heat is made of, and what is left out, in which direction and by how many hours, is said with every result; hour by hour by `heat_parts`. Frost falls off where the wall warms to freezing.";
const EXAMPLE: &str =
    "table night = draw_down(24 lb, 12 in, 24.6 lb, 24 °F, 3.1 lb/h, film: 14 W/(m2·C°), least_pressure: 10 psig)\n";

const DRAW_DOWN: Function = Function {
    name: "draw_down",
    tells: &[Fact::DrawsDown],
    chapter: Chapter::Vaporizing,
    summary: "table of a cylinder drawn down: contents, temperature and pressure hour by hour",
    parameters: &PARAMETERS,
    either: Some((
        "film",
        "wind",
        "add `wind: 0 mph` with the shell's `height` for calm air, or `film: 7 W/(m2·C°)`",
    )),
    needs: Some((
        "wind",
        "height",
        "add `height: 14 in`, or what the pressure shell measures head to head",
    )),
    result: ResultKind::Table(&[
        ColumnDeclared::new("time", "h", "hours from the start; the last row is the end"),
        ColumnDeclared::new("contents", "lb", "propane left"),
        ColumnDeclared::new("temperature", "°F", "liquid and wall, which have one temperature")
            .limited(ColumnLimit::Value(120, "the most a cylinder may have")),
        ColumnDeclared::new("pressure", "psig", "vapor pressure at that temperature")
            .limited(ColumnLimit::Parameter("least_pressure")),
        ColumnDeclared::new("rate", "lb/h", "what is drawn then"),
    ]),
    formula: RULE,
    sources: &[
        computed("energy balance of the liquid and its shell, integrated with error control"),
        EQUATION_OF_STATE,
        CORRELATIONS[0],
        CORRELATIONS[1],
        remembered(
            "heat and mass transfer alike (Lewis); frost's density from its conductivity (Yonko and Sepsy, 1967)",
        ),
        practice("film coefficients are read from the wind; a weighed night is the better guide"),
    ],
    range: RANGE,
    named: Some("the heat balance of draw_down"),
    notes: NOTES,
    cautions: &[&CARBON_MONOXIDE, &GAUGE_SHOWS_TEMPERATURE, &PURE_PROPANE],
    examples: &[
        example("last(night.contents)", "16.67 lb"),
        example("first(night.time where night.temperature < 0 °F)", "1 h"),
    ],
    example_table: EXAMPLE,
    body: Body::Table {
        exact: table,
        drawn: table,
        ends: &["empty", "pressure", "hot", "too cold", "time limit"],
    },
    ..PLAIN
};

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 4] = [
    DRAW_DOWN,
    Function {
        name: "heat_parts",
        summary: "table of what brings a cylinder its heat, row by row of a draw-down",
        parameters: &[Parameter::new(
            "night",
            ParameterKind::Table("draw_down"),
            Shape::Single,
            "a table that `draw_down` made",
        )],
        either: None,
        needs: None,
        result: ResultKind::Table(&[
            ColumnDeclared::new("time", "h", "hours from the start"),
            ColumnDeclared::new("convection", "W", "through the wetted wall, by still and moving air"),
            ColumnDeclared::new("radiation", "W", "through the wetted wall, by radiation"),
            ColumnDeclared::new(
                "moisture",
                "W",
                "through the wetted wall, from dew and frost that settle on it",
            ),
            ColumnDeclared::new("dry_wall", "W", "down the dry wall, by all three"),
            ColumnDeclared::new("bottom", "W", "through the bottom, by all three"),
            ColumnDeclared::new("film", "W/(m2·C°)", "all three for each square meter of wetted wall"),
            ColumnDeclared::new("frost", "mm", "how thick frost lies on the wall"),
        ]),
        notes: "The five in W together are what the air gives; boiling takes `boiling_heat`. A `film` that is given is parted into radiation, and the rest as convection.",
        examples: &[
            example("last(parts.convection + parts.radiation)", "46.15 W"),
            example("last(parts.dry_wall)", "28.36 W"),
        ],
        example_table: "table night = draw_down(24 lb, 12 in, 24.6 lb, 24 °F, 3.1 lb/h, wind: 2 mph, height: 16 in, humidity: 80 %, least_pressure: 10 psig)\ntable parts = heat_parts(night)\n",
        body: Body::Table {
            exact: heat_parts,
            drawn: heat_parts,
            ends: &["empty", "pressure", "hot", "too cold", "time limit"],
        },
        ..DRAW_DOWN
    },
    Function {
        name: "draw_down_time",
        summary: "hours until a cylinder stalls, is empty, or the time is up",
        result: ResultKind::Quantity("h"),
        notes: "Of a table that `draw_down` made, `draw_down_time(night)`, or with arguments of its own. Where the time was up first it is more than the `limit`. Say beside it how it ended: `draw_down_end`.",
        examples: &[
            example("draw_down_time(night)", "2.365 h"),
            example(
                "draw_down_time(24 lb, 12 in, 24.6 lb, 24 °F, 3.1 lb/h, film: 7 W/(m2·C°), least_pressure: 10 psig)",
                "1.670 h",
            ),
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
            example("draw_down_end(night)", "\"pressure\""),
            example(
                "draw_down_end(5 lb, 12 in, 24.6 lb, 70 °F, 1 lb/h, film: 14 W/(m2·C°), least_pressure: 5 psig)",
                "\"empty\"",
            ),
        ],
        body: Body::OfTable(OfTable {
            table: "draw_down",
            part: Part::End,
        }),
        ..DRAW_DOWN
    },
];
