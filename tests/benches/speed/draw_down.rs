//! A day of drawing a cylinder down, against a fixed step over the same equations.

use std::hint::black_box;

use tarebook::trade::draw_down::{Course, FilmBy, Input, WallReach, draw_down};
use tarebook::trade::propane::{liquid_heat, saturation_pressure};
use tarebook::trade::settling::Balance;

use crate::Extent;
use crate::clock::{Bounds, Measure, median, medians_in_turn};

const DAY: f64 = 86_400.0;
/// In W/(m²·K).
const FILM: f64 = 14.0;

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let repeats = if extent == Extent::Full { 301 } else { 1 };
    compare("a day, level air", &day(Course::Constant(275.15)), repeats, bounds);
    let fixed = compare("a day, air every 10 min", &day(wave()), repeats, bounds);
    in_weather(repeats.min(11), fixed, bounds);
}

/// The same day in wind and moist air, told minute by minute; and 400 of them, as draws are.
fn in_weather(repeats: usize, fixed: Measure, bounds: &mut Bounds) {
    let weather = Input {
        film: FilmBy::Wind(Course::Trend(hourly(1.0, 0.8))),
        wall_reach: WallReach::Fin(50.0 * 0.1 * 0.0254),
        humidity: Some(Course::Trend(hourly(0.8, 0.1))),
        every: 60.0,
        ..day(wave())
    };
    assert_eq!(draw_down(&weather).unwrap().rows.len(), 1441);
    let (one, many) = medians_in_turn(
        repeats,
        &mut || drop(black_box(draw_down(black_box(&weather)))),
        &mut || (0..400).for_each(|_| drop(black_box(draw_down(black_box(&weather))))),
    );
    bounds.hold_to("a day in wind and moist air, rows every minute", one, fixed, 4.0);
    bounds.hold_to("400 of them on one core", many, fixed.times(400.0), 4.0);
    let told = Input {
        film: FilmBy::Wind(Course::Trend(each_minute(1.0, 0.8))),
        humidity: Some(Course::Trend(each_minute(0.8, 0.1))),
        air: Course::Trend(each_minute(275.15, 3.0)),
        every: 600.0,
        ..weather
    };
    let one = median(repeats, || draw_down(black_box(&told)));
    bounds.hold_to("a day of wind and moist air told every minute", one, fixed, 6.0);
}

/// A value a minute about a mean.
fn each_minute(mean: f64, swing: f64) -> Vec<(f64, f64)> {
    let row = |minute: u32| (f64::from(minute) * 60.0, mean + swing * (f64::from(minute) / 7.0).sin());
    (0..=1440).map(row).collect()
}

/// A value an hour about a mean.
fn hourly(mean: f64, swing: f64) -> Vec<(f64, f64)> {
    let row = |hour: u32| (f64::from(hour) * 3600.0, mean + swing * f64::from(hour).sin());
    (0..=24).map(row).collect()
}

fn compare(what: &str, input: &Input, repeats: usize, bounds: &mut Bounds) -> Measure {
    let found = draw_down(input).unwrap().rows;
    let rows = by_fixed_steps(input);
    assert_eq!((found.len(), rows.len()), (145, 145));
    for (row, (kelvin, _)) in found.iter().zip(&rows) {
        assert!((row.kelvin - kelvin).abs() < 1e-4, "{} s", row.seconds);
    }
    let (ours, fixed) = medians_in_turn(
        repeats,
        &mut || drop(black_box(draw_down(black_box(input)))),
        &mut || drop(black_box(by_fixed_steps(black_box(input)))),
    );
    let fixed = Measure {
        what: "a plain day in fixed steps of 60 s",
        time: fixed,
    };
    bounds.tell(
        &format!("{what}, in fixed steps of 60 s"),
        fixed.time.as_secs_f64() * 1e3,
        "ms",
    );
    bounds.hold_to(&format!("{what}, rows every 10 min"), ours, fixed, 0.5);
    fixed
}

/// A 20-lb cylinder that gives 0.3 kg/h for a day.
fn day(air: Course) -> Input {
    Input {
        contents: 9.07,
        diameter: 0.305,
        steel: 7.7,
        steel_heat: 490.0,
        film: FilmBy::Value(FILM),
        convection: 1.0,
        emissivity: 0.9,
        height: 0.35,
        wall_reach: WallReach::Length(0.0),
        bottom: 1.0,
        humidity: None,
        frost: 0.15,
        extra_heat: 0.0,
        start: 275.15,
        limit: DAY,
        every: 600.0,
        least_pressure: 170_000.0,
        air,
        rate: Course::Constant(0.3 / 3600.0),
    }
}

/// 2 °C with a daily wave of 8 K.
fn wave() -> Course {
    let row = |row: u32| {
        let seconds = f64::from(row) * 600.0;
        (
            seconds,
            275.15 + 8.0 * (2.0 * std::f64::consts::PI * (seconds / DAY)).sin(),
        )
    };
    Course::Trend((0..=144).map(row).collect())
}

fn air_at(course: &Course, seconds: f64) -> f64 {
    match course {
        Course::Constant(value) => *value,
        Course::Trend(rows) | Course::Steps(rows) => {
            let before = ((seconds / 600.0) as usize).min(rows.len() - 2);
            let ((from, low), (to, high)) = (rows[before], rows[before + 1]);
            low + (high - low) * (seconds - from) / (to - from)
        }
    }
}

/// The classical method of order 4 in steps of 60 s: K and Pa every 10 min.
fn by_fixed_steps(input: &Input) -> Vec<(f64, f64)> {
    let Course::Constant(rate) = input.rate else {
        panic!("the rate is constant")
    };
    let balance = Balance {
        diameter: input.diameter,
        film: FILM,
        wall_reach: 0.0,
        extra_heat: input.extra_heat,
    };
    let slope = |seconds: f64, kelvin: f64| {
        let contents = input.contents - rate * seconds;
        let surplus = balance.surplus(contents, kelvin, air_at(&input.air, seconds), rate);
        surplus / (contents * liquid_heat(kelvin) + input.steel * input.steel_heat)
    };
    let mut kelvin = input.start;
    let mut rows = vec![(kelvin, saturation_pressure(kelvin))];
    for step in 1..=1440_u32 {
        let at = f64::from(step - 1) * 60.0;
        let one = slope(at, kelvin);
        let two = slope(at + 30.0, kelvin + 30.0 * one);
        let three = slope(at + 30.0, kelvin + 30.0 * two);
        let four = slope(at + 60.0, kelvin + 60.0 * three);
        kelvin += 10.0 * (one + 2.0 * two + 2.0 * three + four);
        if step % 10 == 0 {
            rows.push((kelvin, saturation_pressure(kelvin)));
        }
    }
    rows
}
