//! The burn: a straight line through weighings, and what follows from its slope.
//!
//! The arithmetic of the line is here in both number kinds, so that shown
//! digits are the same on every machine; the evaluator puts columns into it.
//! Uncertainty follows JCGM 100: the scatter about the line or the step of the
//! display, whichever is larger, with Student's k for its degrees of freedom.
//! Start reading at [`fit`] and [`fit_exact`].

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::number::{Checked, Number, Real, Trouble};

use super::caution::{BEYOND_READINGS, CARBON_MONOXIDE, FUEL_LINE, OFF_THE_LINE, WEIGHT_RISES};
use super::declare::{PLAIN, binary, computed, practice, published, remembered, rule, shown, whole};
use super::least_squares::{self, Fitted};
use super::{
    Arguments, Body, Chapter, Complaint, Example, Fact, Fit, Function, Outcome, Parameter, ParameterKind, Reason,
    Remark, ResultKind, Shape, Source, Told,
};

/// A straight line fitted by least squares.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// The unknowns: the value in the middle, and the slope.
    pub fitted: Fitted,
    /// The middle: the mean of x, by weight.
    pub mean_x: f64,
}

impl Line {
    /// The slope, y over x.
    pub fn slope(&self) -> f64 {
        self.fitted.unknowns.get(1).copied().unwrap_or(0.0)
    }

    /// The value on the line at `x`.
    pub fn value_at(&self, x: f64) -> f64 {
        let middle = self.fitted.unknowns.first().copied().unwrap_or(0.0);
        middle + self.slope() * (x - self.mean_x)
    }
}

/// The straight line through readings, by least squares about their means. Without weights
/// all readings count alike.
///
/// # Errors
/// Fewer than two readings, columns of different length, or all at one x.
pub fn fit(x: &[f64], y: &[f64], weights: Option<&[f64]>) -> Result<Line, Complaint> {
    enough(x.len(), y.len())?;
    let alike = vec![1.0; x.len()];
    let weights = weights.filter(|weights| weights.len() == x.len()).unwrap_or(&alike);
    let mean_x = mean(x, weights);
    let along = x.iter().map(|x| x - mean_x).collect();
    let fitted = least_squares::fit(&[along], y, weights).ok_or_else(at_one_place)?;
    Ok(Line { fitted, mean_x })
}

/// The mean by weight, corrected once for the rounding of the sum.
fn mean(values: &[f64], weights: &[f64]) -> f64 {
    let count: f64 = weights.iter().sum();
    let about = |first: f64| {
        values
            .iter()
            .zip(weights)
            .map(move |(value, weight)| weight * (value - first))
    };
    let first = about(0.0).sum::<f64>() / count;
    first + about(first).sum::<f64>() / count
}

fn enough(x: usize, y: usize) -> Result<(), Complaint> {
    if x != y {
        let message = format!("the first column has {x} readings and the second {y}");
        return Err(Complaint::lengths(1, message));
    }
    if x < 2 {
        let message = format!("a straight line takes two readings or more, and there are {x}");
        return Err(Complaint::empty(0, message));
    }
    Ok(())
}

fn at_one_place() -> Complaint {
    Complaint::outside(
        0,
        "all readings stand at one place of the first column, so they have no slope",
    )
}

/// Slope and intercept in decimals: exact for what a person writes, but for
/// the last division. Without weights all readings count alike.
///
/// # Errors
/// As [`fit`]; and what decimals can't hold.
pub fn fit_exact(x: &[Number], y: &[Number], weights: Option<&[Number]>) -> Outcome<(Number, Number)> {
    enough(x.len(), y.len())?;
    let (Some(x0), Some(y0)) = (x.first(), y.first()) else {
        return Err(at_one_place());
    };
    let sums = Sums::of(x, y, (*x0, *y0), weights)?;
    let below = sums.count.mul(sums.xx)?.sub(product(sums.x, sums.x)?)?;
    if below.is_zero() || x.iter().all(|x| x == x0) {
        return Err(at_one_place());
    }
    let above = sums.count.mul(sums.xy)?.sub(product(sums.x, sums.y)?)?;
    let slope = above.div(below)?;
    let rest = in_a_sum(sums.y.sub(product(slope, sums.x)?)?.div(sums.count))?;
    let intercept = y0.add(rest)?.sub(product(slope, *x0)?)?;
    Ok((slope, intercept))
}

/// Sums over readings counted from the first, each by its weight.
#[derive(Default)]
struct Sums {
    count: Number,
    x: Number,
    y: Number,
    xx: Number,
    xy: Number,
}

impl Sums {
    fn of(x: &[Number], y: &[Number], first: (Number, Number), weights: Option<&[Number]>) -> Checked<Sums> {
        let mut sums = Sums::default();
        for (row, (x, y)) in x.iter().zip(y).enumerate() {
            let (x, y) = (x.sub(first.0)?, y.sub(first.1)?);
            let weight = weights.and_then(|weights| weights.get(row)).copied();
            let weight = weight.unwrap_or(Number::ONE);
            let (along, up) = (product(weight, x)?, product(weight, y)?);
            sums.count = sums.count.add(weight)?;
            sums.x = sums.x.add(along)?;
            sums.y = sums.y.add(up)?;
            sums.xx = sums.xx.add(product(along, x)?)?;
            sums.xy = sums.xy.add(product(along, y)?)?;
        }
        Ok(sums)
    }
}

/// A product inside a sum: one too small to hold adds nothing to it.
fn product(left: Number, right: Number) -> Checked<Number> {
    in_a_sum(left.mul(right))
}

/// A part of a sum: one too small to hold adds nothing to it.
fn in_a_sum(part: Checked<Number>) -> Checked<Number> {
    match part {
        Err(Trouble::TooSmall) => Ok(Number::ZERO),
        other => other,
    }
}

/// A rise through a run of more than this part of its largest reading is no scatter.
const RISE: f64 = 0.01;
/// A slope this many times what the scatter makes of it isn't chance.
const CERTAIN: f64 = 3.0;

/// Refuses a run of weighings in which the weight rises for certain.
///
/// # Errors
/// What to look at.
pub fn burns(x: &[f64], y: &[f64]) -> Outcome<()> {
    let line = fit(x, y, None)?;
    let end = |of: fn(f64, f64) -> f64, all: &[f64]| all.iter().copied().reduce(of).unwrap_or(0.0);
    let rise = line.slope() * (end(f64::max, x) - end(f64::min, x));
    let largest = y.iter().fold(0.0, |most: f64, y| most.max(y.abs()));
    let scatter = line.fitted.scatter() * line.fitted.covariance(1, 1);
    let by_chance = line.slope() <= CERTAIN * libm::sqrt(scatter);
    if rise <= RISE * largest || by_chance {
        return Ok(());
    }
    let message = format!(
        "the weight rises through the run, by {} % of its largest reading, and what burns takes weight away",
        shown(libm::round(1000.0 * rise / largest) / 10.0)
    );
    Err(Complaint::outside(1, message)
        .help("look at the order of the rows and what hung on the scale; `slope` takes a weight that may rise"))
}

/// Student's k for 95.45 % on both sides: 13.97 for one degree of freedom, 2
/// for infinitely many. A fraction is cut off (JCGM 100 G.4.2).
pub fn student_k(degrees_of_freedom: f64) -> f64 {
    // Beyond this k is 2 to six digits.
    if degrees_of_freedom.is_nan() || degrees_of_freedom >= 1e6 {
        return 2.0;
    }
    let whole = degrees_of_freedom.floor().max(1.0);
    match StudentsT::new(0.0, 1.0, whole) {
        Ok(student) => student.inverse_cdf(0.5 + 0.5 * COVERAGE),
        Err(_) => 2.0,
    }
}

/// What two standard deviations of a normal distribution cover.
const COVERAGE: f64 = 0.954_499_736_103_641_6;

/// The step of the display that readings were written from: their last decimal.
pub fn digit_step(readings: &[Number]) -> f64 {
    let most = readings.iter().map(|reading| reading.decimals()).max();
    match most {
        Some(decimals) => libm::pow(10.0, -f64::from(decimals)),
        None => 0.0,
    }
}

/// The standard uncertainty of one reading of a display with this step.
pub fn step_uncertainty(step: f64) -> f64 {
    step / libm::sqrt(12.0)
}

/// What is odd about a run of weighings: readings off the line through the
/// others, and weights that rise by more than the step. `of_reading` is the
/// standard uncertainty of each reading, `step` the step of the display.
pub fn remarks_on_run(fitted: &Fitted, y: &[f64], of_reading: &[f64], step: f64) -> Vec<Remark> {
    let mut remarks = Vec::new();
    remarks.extend(off_the_line(fitted, of_reading));
    remarks.extend(rising(y, step));
    remarks
}

/// What to say of a line that is read at `at`, outside its readings.
pub fn remark_on_reading(x: &[f64], at: f64) -> Option<Remark> {
    let low = x.iter().copied().reduce(f64::min)?;
    let high = x.iter().copied().reduce(f64::max)?;
    let outside = at < low || at > high;
    outside.then(|| {
        let text = format!(
            "The straight line is read at {}, outside the readings from {} to {}: nothing shows that it stays straight there.",
            shown(at),
            shown(low),
            shown(high)
        );
        Remark::new(&BEYOND_READINGS, text)
    })
}

/// How many readings a remark names at most.
const NAMED: usize = 5;

fn off_the_line(fitted: &Fitted, of_reading: &[f64]) -> Option<Remark> {
    let count = fitted.residuals.len();
    if count < 5 {
        return None;
    }
    let squares = fitted.scatter() * fitted.degrees_of_freedom() as f64;
    let off = |reading: usize| {
        let (off, spread) = without(fitted, squares, reading);
        let least = of_reading.get(reading).copied().unwrap_or(0.0);
        (off.abs() > 3.0 * spread.max(least)).then(|| format!("reading {} by {}", reading + 1, shown(off.abs())))
    };
    let found: Vec<String> = (0..count).filter_map(off).collect();
    if found.is_empty() {
        return None;
    }
    let text = format!(
        "Off the straight line through the others, by more than three times their scatter: {}. Look at it again before you trust the slope.",
        listed(&found)
    );
    Some(Remark::new(&OFF_THE_LINE, text))
}

/// Whether nothing in the readings speaks against the line: none stands off it by more than
/// chance would have it once in a hundred runs, and none rises by more than three times what
/// two readings differ by. `of_reading` is the standard uncertainty of each reading.
pub fn is_sound(fitted: &Fitted, y: &[f64], of_reading: &[f64]) -> bool {
    let scatter = libm::sqrt(fitted.scatter());
    let most = of_reading.iter().copied().fold(scatter, f64::max);
    let rises = y
        .windows(2)
        .any(|two| matches!(two, [before, after] if after - before > 3.0 * libm::sqrt(2.0) * most));
    !rises && !(0..y.len()).any(|reading| stands_off(fitted, of_reading, reading))
}

/// Whether a reading stands off the line through the others, by their scatter and by what
/// was declared. With fewer than two others to spare nothing can be told.
fn stands_off(fitted: &Fitted, of_reading: &[f64], reading: usize) -> bool {
    let (count, freedom) = (fitted.residuals.len() as f64, fitted.degrees_of_freedom() as f64);
    if freedom < 3.0 {
        return false;
    }
    let squares = fitted.scatter() * freedom;
    let (off, spread) = without(fitted, squares, reading);
    let error = libm::sqrt(1.0 / (1.0 - fitted.leverage(reading)));
    let declared = of_reading.get(reading).copied().unwrap_or(0.0);
    let beyond = |spread: f64, freedom: f64| match StudentsT::new(0.0, 1.0, freedom) {
        Ok(student) => off.abs() > spread * error * student.inverse_cdf(1.0 - CHANCE / (2.0 * count)),
        Err(_) => false,
    };
    beyond(spread, freedom - 1.0) && beyond(declared, NORMAL)
}

/// How often chance alone may accuse a reading of a sound run.
const CHANCE: f64 = 0.01;
/// With so many degrees of freedom Student's distribution is a normal one.
const NORMAL: f64 = 1e6;

/// How far a reading stands off the line fitted without it, and what a reading of its
/// weight scatters by about that line. `squares` is the sum of all squares about the line
/// through all of them.
fn without(fitted: &Fitted, squares: f64, reading: usize) -> (f64, f64) {
    let at = |values: &[f64]| values.get(reading).copied().unwrap_or(0.0);
    let (weight, residual) = (at(&fitted.weights), at(&fitted.residuals));
    let left = 1.0 - fitted.leverage(reading);
    if left <= 1e-12 {
        return (0.0, f64::INFINITY);
    }
    let freedom = fitted.degrees_of_freedom() as f64;
    let squares = squares - weight * residual * residual / left;
    let others = libm::sqrt((squares / (freedom - 1.0) / weight).max(0.0));
    (residual / left, others)
}

fn rising(y: &[f64], step: f64) -> Option<Remark> {
    let pairs = y.iter().zip(y.iter().skip(1)).enumerate();
    let found: Vec<String> = pairs
        .filter(|(_, (before, after))| *after - *before > step * (1.0 + 1e-9))
        .map(|(index, (before, after))| format!("reading {} by {}", index + 2, shown(after - before)))
        .collect();
    if found.is_empty() {
        return None;
    }
    let text = format!(
        "A weight rises by more than the scale's step: {}. A reading, the order of the rows, or something hung on the scale is wrong.",
        listed(&found)
    );
    Some(Remark::new(&WEIGHT_RISES, text))
}

fn listed(found: &[String]) -> String {
    let named: Vec<&str> = found.iter().take(NAMED).map(String::as_str).collect();
    match found.len().checked_sub(NAMED) {
        Some(more) if more > 0 => format!("{}, and {more} more", named.join(", ")),
        _ => named.join(", "),
    }
}

/// The rate at another load, on a straight fuel line through the one weighed.
fn rescale_rate<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rate = a.not_negative(0, "rate")?;
    let rated = a.positive(2, "rated_load")?;
    let at = load_within(a, 1, "at_load", rated)?;
    let to = load_within(a, 3, "to_load", rated)?;
    let share = a.percentage(4, "no_load_share")?;
    let idle = share.times(rated)?;
    let slope = whole::<R>(100).minus(share)?;
    let below = idle.plus(slope.times(at)?)?;
    if below <= R::zero() {
        let message = "a rate weighed at no load says nothing of other loads while `no_load_share` is 0 %";
        return Err(Complaint::outside(1, message).help("weigh a run under load"));
    }
    let above = idle.plus(slope.times(to)?)?;
    Ok(rate.times(above)?.over(below)?)
}

fn load_within<R: Real>(a: &Arguments<'_, R>, index: usize, name: &str, rated: R) -> Outcome<R> {
    let load = a.not_negative(index, name)?;
    if load <= rated {
        return Ok(load);
    }
    let message = format!(
        "`{name}` of {} W is above `rated_load` of {} W",
        shown(load.to_binary()),
        shown(rated.to_binary())
    );
    Err(Complaint::outside(index, message))
}

fn appraise_rescale(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match (a.number(1), a.number(3)) {
        (Ok(at), Ok(to)) if to < 0.5 * at || to > 2.0 * at => {
            let text = format!(
                "The rate weighed at {} W is carried along a straight fuel line to a load {}. Inverter sets that change speed don't follow a straight line: weigh a run near the load.",
                shown(at),
                if to < at { "below half of it" } else { "above twice it" }
            );
            vec![Remark::new(&FUEL_LINE, text)]
        }
        _ => Vec::new(),
    }
}

/// The shortest run that gives a rate to a wanted standard uncertainty.
fn shortest_weighing<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rate = a.positive(0, "rate")?.to_binary();
    let step = a.positive(1, "step")?.to_binary();
    let wanted = a.positive(2, "wanted")?.to_binary() / 100.0;
    binary(step / libm::sqrt(6.0) / (rate * wanted))
}

/// How far two values differ, against what their difference may be out.
fn normalized_error<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let gap = a.number(0)?.minus(a.number(1)?)?.to_binary().abs();
    if a.expanded.is_empty() {
        let message = "normalized_error is judged by the tolerances of both values";
        return Err(Complaint {
            argument: None,
            reason: Reason::NeedsTolerances(message.to_owned()),
            help: None,
        });
    }
    let doubt = a.expanded(0);
    if doubt <= 0.0 {
        return Err(Complaint::outside(
            0,
            "no tolerance is left to judge the difference by: neither value has one that the other doesn't share",
        )
        .help("compare values that were found apart, and give `a` or `b` a tolerance, such as ± 0.2 lb"));
    }
    binary(gap / doubt)
}

const X: Parameter = Parameter::column("x", ParameterKind::AnyQuantity, "where the readings stand");
const Y: Parameter = Parameter::column("y", ParameterKind::AnyQuantity, "the readings");
const AT: Parameter = Parameter::new(
    "at",
    ParameterKind::LikeFirst,
    Shape::Single,
    "where on the x scale the line is read",
);
const LINE_NOTES: &str = "Times count from the first row; on a temperature scale x is as written. Missing cells are left out. Readings declared differently count by their weight, 1/u²; how sure the line is goes as for `burn_rate`.";
const LINE_SOURCES: [Source; 2] = [
    published("NIST StRD \"Norris\" certifies the arithmetic"),
    computed("least squares, weights by effective variance; uncertainty after JCGM 100"),
];
const RUN: &str = "table run\n  | time | gross [lb] |\n  | 18:00 | 51.9 |\n  | 19:00 | 49.2 |\n  | 20:00 | 46.4 |\n  | 21:00 | 43.7 |\n";
const POINTS: &str =
    "table points\n  | load [kW] | rate [lb/h] |\n  | 0 | 1.2 |\n  | 1 | 2.0 |\n  | 2 | 2.9 |\n  | 3 | 3.7 |\n";

/// A function over two columns, worked as a straight line.
const fn line(name: &'static str, summary: &'static str, what: Fit) -> Function {
    Function {
        name,
        chapter: Chapter::Burn,
        summary,
        sources: &LINE_SOURCES,
        range: "two readings or more, not all at one x",
        notes: LINE_NOTES,
        example_table: POINTS,
        body: Body::Fit(what),
        ..PLAIN
    }
}

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 8] = [
    Function {
        name: "burn_rate",
        chapter: Chapter::Burn,
        summary: "fuel burned an hour, from weighings of the cylinder through a run",
        parameters: &[
            Parameter::column("time", ParameterKind::Times, "when each weight was read"),
            Parameter::column("weight", ParameterKind::Quantity("lb"), "what the scale showed").usually(5.0, 180.0),
        ],
        result: ResultKind::Quantity("lb/h"),
        formula: "minus the least-squares slope of weight over time",
        sources: &[
            computed("least squares, weights by effective variance: u² + (slope·u of the time)²"),
            published(
                "JCGM 100: u = s/√Sxx, s the larger of the scatter and the uncertainty of one reading (declared, else a digit step/√12)",
            ),
        ],
        range: "two readings or more, at different times; for two, the difference over the time; a weight that rises for certain is a problem",
        notes: "Where the scatter is the larger, Student's k for readings less two degrees of freedom: 4.53, 3.31, 2.87 for 2–4; where the declared is, k = 2, so a third reading on the line never makes the rate less sure. A swing that nobody declared isn't seen by two readings: give the heading a ±, `gross [lb ± 0.1]`, and a clock that may be off its own, `time ± 3 min`. A constant attachment cancels: no tare is needed.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[Example {
            call: "burn_rate(run.time, run.gross)",
            result: "2.74 lb/h",
        }],
        example_table: RUN,
        body: Body::Fit(Fit::BurnRate),
        ..PLAIN
    },
    Function {
        parameters: &[X, Y],
        result: ResultKind::SecondOverFirst,
        formula: "Σ(x − x̄)(y − ȳ)/Σ(x − x̄)²",
        examples: &[Example {
            call: "slope(points.load, points.rate)",
            result: "0.84 lb/kWh",
        }],
        ..line("slope", "slope of the straight line through two columns", Fit::Slope)
    },
    Function {
        parameters: &[X, Y],
        result: ResultKind::LikeSecond,
        formula: "ȳ − slope·x̄",
        examples: &[Example {
            call: "intercept(points.load, points.rate)",
            result: "1.19 lb/h",
        }],
        ..line(
            "intercept",
            "value at x = 0 of the straight line through two columns",
            Fit::Intercept,
        )
    },
    Function {
        parameters: &[X, Y, AT],
        result: ResultKind::LikeSecond,
        formula: "intercept + slope·at, with the line's uncertainty s·√(1/n + (at − x̄)²/Sxx)",
        range: "two readings or more, not all at one x; outside the x of the readings a caution",
        examples: &[Example {
            call: "fitted_at(points.load, points.rate, 1.5 kW)",
            result: "2.45 lb/h",
        }],
        ..line(
            "fitted_at",
            "value on the straight line through two columns",
            Fit::LineAt,
        )
    },
    Function {
        parameters: &[X, Y, AT],
        result: ResultKind::LikeSecond,
        formula: "intercept + slope·at, with the uncertainty of one more reading s·√(1 + 1/n + (at − x̄)²/Sxx)",
        range: "two readings or more, not all at one x; outside the x of the readings a caution",
        examples: &[Example {
            call: "next_reading(points.load, points.rate, 1.5 kW)",
            result: "2.45 lb/h",
        }],
        ..line(
            "next_reading",
            "what one more reading would be on the straight line through two columns",
            Fit::ReadingAt,
        )
    },
    Function {
        name: "rescale_rate",
        chapter: Chapter::Burn,
        summary: "fuel rate at another load, on a straight fuel line through the one weighed",
        parameters: &[
            Parameter::quantity("rate", "lb/h", "the rate weighed").usually(0.3, 15.0),
            Parameter::quantity("at_load", "W", "the load it was weighed at").usually(100.0, 15_000.0),
            Parameter::quantity("rated_load", "W", "the set's rated load on this fuel").usually(1_000.0, 25_000.0),
            Parameter::quantity("to_load", "W", "the load wanted").usually(100.0, 15_000.0),
            Parameter::quantity(
                "no_load_share",
                "%",
                "burn at no load as a share of the burn at rated load",
            )
            .usually_by(30.0, 60.0, practice("30–60 % for small sets")),
        ],
        result: ResultKind::Quantity("lb/h"),
        formula: "rate × (s + (1 − s)·to/rated)/(s + (1 − s)·at/rated)",
        sources: &[
            practice("straight fuel line (Willans)"),
            practice("no-load shares of 30–60 % for small sets"),
        ],
        range: "loads from zero to rated; to/at outside ½ … 2 a caution",
        notes: "Plain proportion is a no-load share of 0 %, which no engine has. Inverter sets that change speed don't follow a straight line.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[Example {
            call: "rescale_rate(2.1 lb/h, at_load: 900 W, rated_load: 2400 W, to_load: 1300 W, no_load_share: 45 %)",
            result: "2.393 lb/h",
        }],
        body: rule!(rescale_rate),
        appraise: Some(appraise_rescale),
        ..PLAIN
    },
    Function {
        name: "shortest_weighing",
        chapter: Chapter::Burn,
        summary: "shortest run between two weighings that gives the rate well enough",
        parameters: &[
            Parameter::quantity("rate", "lb/h", "the rate expected").usually(0.3, 15.0),
            Parameter::quantity("step", "lb", "the step of the scale's display").usually(0.02, 1.0),
            Parameter::quantity("wanted", "%", "the standard uncertainty wanted of the rate").usually(0.5, 10.0),
        ],
        result: ResultKind::Quantity("h"),
        formula: "step/√6 ÷ (rate × wanted)",
        sources: &[computed(
            "JCGM 100 F.2.2.1, the difference of two readings of a display",
        )],
        range: "all above zero",
        notes: "Of the display's step alone; weigh longer where the load is uneven.",
        examples: &[Example {
            call: "shortest_weighing(3 lb/h, 0.1 lb, 2 %)",
            result: "0.6804 h",
        }],
        body: rule!(shortest_weighing),
        ..PLAIN
    },
    Function {
        name: "normalized_error",
        tells: &[Fact::SmallWhereAlike],
        chapter: Chapter::Burn,
        summary: "difference of two values against what they may be out: up to 1 they agree",
        parameters: &[
            Parameter::new(
                "a",
                ParameterKind::AnyQuantity,
                Shape::Single,
                "the one value, with its tolerance",
            ),
            Parameter::new(
                "b",
                ParameterKind::LikeFirst,
                Shape::Single,
                "the other value, with its tolerance",
            ),
        ],
        result: ResultKind::Quantity(""),
        formula: "|a − b|/U, U the expanded uncertainty of a − b",
        sources: &[
            remembered("ISO 13528"),
            published("JCGM 100: Student's k for the degrees of freedom of a − b; what both share cancels"),
        ],
        range: "at least one of the two has a tolerance that the other doesn't share",
        notes: "U counts what the two rest on in common only as far as it moves their difference.",
        examples: &[Example {
            call: "normalized_error(first, second)",
            result: "0.7071",
        }],
        example_table: "measured first = 3.0 lb ± 0.1 lb k=2\nmeasured second = 3.1 lb ± 0.1 lb k=2\n",
        body: rule!(normalized_error),
        told: Told::OfDifference,
        ..PLAIN
    },
];
