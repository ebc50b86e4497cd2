//! The film that a run of one's own shows, for the heat balance of colder nights.
//!
//! A cylinder that ran so long and did not stall had at least the film with which
//! it would just have stalled then; one whose wall was read, or that stalled, had
//! the film that makes it so cold. It belongs to the bottom, fin and shell that it
//! was found with. Start reading at [`film_from_run`].

use crate::number::Real;

use super::caution::FILM_AT_LEAST;
use super::cylinder_run::{
    CONTENTS, DIAMETER, EXTRA_HEAT, LEAST_PRESSURE, START, STEEL_HEAT, WALL, complaint_about, filled_to_80_percent,
};
use super::declare::{PLAIN, binary, computed, example, rule, shown};
use super::draw_down::{Course, FilmBy, Input, WallReach, film_seen};
use super::propane::{EQUATION_OF_STATE, INCH, POUND, boiling_in_range, kelvin, kelvin_in_range};
use super::vaporizing::STEEL_CONDUCTS;
use super::wall::{EMISSIVITY, Film, Setting};
use super::{Argument, Arguments, Chapter, Fact, Function, Outcome, Parameter, Remark, ResultKind};

const RAN: usize = 5;
const WALL_READ: usize = 7;
const STALLED: usize = 8;
const REACH: usize = 12;
const HEIGHT: usize = 13;
const HUMIDITY: usize = 14;

fn film_from_run<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let at = match read(a, WALL_READ)? {
        Some(wall) => kelvin_in_range(wall, WALL_READ)?,
        None => boiling_in_range(a.number(6)?.to_binary(), 6)?,
    };
    let input = input(a)?;
    let film = film_seen(&input, at).map_err(|refusal| complaint_about(&refusal, &PARAMETERS))?;
    binary(film)
}

/// A number that may be left out.
fn read<R: Real>(a: &Arguments<'_, R>, index: usize) -> Outcome<Option<f64>> {
    match a.values.get(index) {
        Some(Argument::Text(_)) => Ok(None),
        _ => Ok(Some(a.number(index)?.to_binary())),
    }
}

fn input<R: Real>(a: &Arguments<'_, R>) -> Outcome<Input> {
    let number = |index: usize| a.number(index).map(|value| value.to_binary());
    let (contents, diameter) = (number(0)? * POUND, number(1)? * INCH);
    let start = kelvin(number(10)?);
    let ran = number(RAN)? * 3600.0;
    Ok(Input {
        contents,
        diameter,
        steel: number(2)? * POUND,
        air: Course::Constant(kelvin(number(3)?)),
        rate: Course::Constant(number(4)? * POUND / 3600.0),
        film: FilmBy::Value(1.0),
        least_pressure: 0.0,
        extra_heat: number(9)?,
        start,
        limit: ran,
        every: ran,
        steel_heat: number(11)?,
        wall_reach: match read(a, REACH)? {
            Some(reach) => WallReach::Length(reach * INCH),
            None => WallReach::Fin(STEEL_CONDUCTS * number(16)? * INCH),
        },
        height: match read(a, HEIGHT)? {
            Some(height) => height * INCH,
            None => filled_to_80_percent(contents, diameter, start),
        },
        humidity: read(a, HUMIDITY)?.map(|humidity| Course::Constant(humidity / 100.0)),
        bottom: number(15)? / 100.0,
        convection: 1.0,
        emissivity: number(17)? / 100.0,
        frost: number(18)?,
    })
}

/// Whether it is the least or the likely film, with calm air beside it.
fn appraise(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let (Ok(film), Ok(input)) = (film_from_run(a), input(a)) else {
        return Vec::new();
    };
    let likely = a.number(STALLED).is_ok_and(|stalled| stalled != 0.0) || matches!(read(a, WALL_READ), Ok(Some(_)));
    let standing = if likely {
        "The run shows a film of"
    } else {
        "The run did not stall, so the film was at least"
    };
    let setting = Setting {
        diameter: input.diameter,
        height: input.height,
        emissivity: input.emissivity,
    };
    let (Course::Constant(air), Ok(end)) = (&input.air, end_of(a)) else {
        return Vec::new();
    };
    let calm = Film::new(&setting, *air, end, 0.0);
    let text = format!(
        "{standing} {}; calm dry air gives a wall so cold {}, in W/(m2·C°). Carry it only to the same shell, with the same bottom, fin and `humidity`.",
        shown(film),
        shown(calm.convective() + calm.radiative)
    );
    vec![Remark::new(&FILM_AT_LEAST, text)]
}

/// The temperature of the wall at the end, in K.
fn end_of(a: &Arguments<'_, f64>) -> Outcome<f64> {
    match read(a, WALL_READ)? {
        Some(wall) => Ok(kelvin(wall)),
        None => boiling_in_range(a.number(6)?, 6),
    }
}

const PARAMETERS: [Parameter; 19] = [
    CONTENTS,
    DIAMETER,
    Parameter::quantity("steel", "lb", "the weight of the empty shell").usually(10.0, 80.0),
    Parameter::quantity(
        "air",
        "°F",
        "the temperature of the air at the cylinder, as a mean over the run",
    )
    .usually(-40.0, 110.0),
    Parameter::quantity("rate", "lb/h", "what was drawn from this cylinder").usually(0.3, 10.0),
    Parameter::quantity("ran", "h", "how long it ran, or until the wall was read").usually(0.5, 24.0),
    LEAST_PRESSURE,
    Parameter::quantity(
        "wall_read",
        "°F",
        "the wall below the liquid's level, read then; of a gauge `propane_boiling` makes it",
    )
    .or("none")
    .usually(-40.0, 60.0),
    Parameter::new(
        "stalled",
        super::ParameterKind::Truth,
        super::Shape::Single,
        "whether it stalled then",
    )
    .or("false"),
    EXTRA_HEAT,
    START,
    STEEL_HEAT,
    Parameter::quantity(
        "wall_reach",
        "in",
        "how far up the dry wall conducts, as in `draw_down`",
    )
    .or("fin")
    .usually(0.0, 8.0),
    Parameter::quantity(
        "height",
        "in",
        "the pressure shell head to head; unless given that of a shell filled to 80 % at the start",
    )
    .or("none")
    .usually(9.0, 50.0),
    Parameter::quantity(
        "humidity",
        "%",
        "the relative humidity; unless given, what moisture brought is part of the film",
    )
    .or("none")
    .usually(10.0, 100.0),
    Parameter::quantity("bottom", "%", "how much of the bottom took heat, as in `draw_down`")
        .or("100 %")
        .usually(30.0, 100.0),
    WALL,
    EMISSIVITY,
    Parameter::quantity("frost", "W/(m·C°)", "how well frost conducts: loose 0.1, dense 0.2")
        .or("0.15 W/(m·C°)")
        .usually(0.1, 0.2),
];

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 1] = [Function {
    name: "film_from_run",
    tells: &[Fact::ShowsARun],
    chapter: Chapter::Vaporizing,
    summary: "how well air gave heat to the wall in a run of your own, or at least how well",
    parameters: &PARAMETERS,
    result: ResultKind::Quantity("W/(m2·C°)"),
    formula: "the film with which `draw_down` is at `wall_read` after `ran`; where none was read, at the boiling point of `least_pressure`",
    sources: &[
        computed("the heat balance of draw_down, solved for its film"),
        EQUATION_OF_STATE,
    ],
    range: "a run that some film from 0.1 to 500 W/(m2·C°) explains; any other is a problem",
    named: Some("the heat balance of draw_down"),
    notes: "A run that didn't stall shows the least film there was; one that stalled (`stalled: true`), or whose wall was read, the likely one. Give it to `draw_down` as `film:` with the same bottom, fin and shell; on a colder or calmer night it may be less. Keep the ± of bottom, air and rate: they make up most of its own.",
    examples: &[
        example(
            "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, ran: 6.5 h, least_pressure: 5 psig)",
            "11.01 W/(m2·C°)",
        ),
        example(
            "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, ran: 3 h, least_pressure: 5 psig, wall_read: 10 °F)",
            "15.06 W/(m2·C°)",
        ),
    ],
    body: rule!(film_from_run),
    appraise: Some(appraise),
    ..PLAIN
}];
