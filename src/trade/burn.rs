//! The burn: what the line through weighings gives, and what follows from its slope.
//!
//! The line itself is in [`super::line`], what readings say against it in
//! [`super::questions`]; here its functions are declared. Start reading at [`FUNCTIONS`].

use crate::number::Real;

use super::caution::{CARBON_MONOXIDE, FUEL_LINE};
use super::declare::{PLAIN, binary, computed, example, practice, published, rule, shown, whole};
use super::{
    Arguments, Body, Chapter, Complaint, Fact, Fit, Function, Outcome, Parameter, ParameterKind, Remark, ResultKind,
    Shape, Source,
};

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

/// The shortest run of readings evenly apart that gives a rate to a wanted standard uncertainty.
fn shortest_weighing<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rate = a.positive(0, "rate")?.to_binary();
    let step = a.positive(1, "step")?.to_binary();
    let wanted = a.positive(2, "wanted")?.to_binary() / 100.0;
    let readings = a.number(3)?.to_binary();
    if readings < 2.0 || readings != readings.floor() {
        let message = format!("`readings` is a whole number from 2 on, and is {}", shown(readings));
        return Err(Complaint::outside(3, message));
    }
    let spread = f64::sqrt((readings - 1.0) / (readings * (readings + 1.0)));
    binary(step * spread / (rate * wanted))
}

const X: Parameter = Parameter::column("x", ParameterKind::AnyQuantity, "where the readings stand");
const Y: Parameter = Parameter::column("y", ParameterKind::AnyQuantity, "the readings");
const AT: Parameter = Parameter::new(
    "at",
    ParameterKind::LikeFirst,
    Shape::Single,
    "where on the x scale the line is read",
);
const ATTACHED: Parameter = Parameter::column(
    "attached",
    ParameterKind::Truth,
    "at which readings something more hung on the scale, the same each time",
);
const TIME: Parameter = Parameter::column("time", ParameterKind::Times, "when each weight was read");
const WEIGHT: Parameter =
    Parameter::column("weight", ParameterKind::Quantity("lb"), "what the scale showed").usually(5.0, 180.0);
const LINE_NOTES: &str = "Times count from the first row; on a temperature scale x is as written. Missing cells are left out. Readings declared differently count by their weight, 1/u²; the ± is worked out as for `burn_rate`.";
const LINE_SOURCES: [Source; 2] = [
    published("NIST StRD \"Norris\" certifies the arithmetic"),
    computed("least squares, weights by effective variance; uncertainty after JCGM 100"),
];
const LOADS: &str = "table run\n  | time | gross [lb] | load [W] |\n  | 18:00 | 51.9 | 600 |\n  | 19:30 | 50.1 | 1800 |\n  | 21:00 | 46.9 | 600 |\n  | 22:30 | 45.2 | 0 |\n";
const MIXED: &str = "table run\n  | time | gross [lb] | hose |\n  | 18:00 | 51.9 | off |\n  | 19:00 | 50.4 | on |\n  | 20:00 | 47.6 | on |\n  | 21:00 | 43.7 | off |\n";
const WEIGHING_SOURCES: [Source; 2] = [
    computed("least squares, weights by effective variance: u² + (slope·u of the time)²"),
    published(
        "JCGM 100: u = s/√Sxx, s the larger of the scatter and the uncertainty of one reading (declared, else a digit step/√12)",
    ),
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
pub(super) static FUNCTIONS: [Function; 10] = [
    Function {
        name: "burn_rate",
        chapter: Chapter::Burn,
        summary: "fuel burned an hour, from weighings of the cylinder through a run",
        parameters: &[TIME, WEIGHT, ATTACHED.or("false")],
        result: ResultKind::Quantity("lb/h"),
        formula: "minus the least-squares slope of weight over time",
        sources: &WEIGHING_SOURCES,
        range: "two readings or more, at different times; for two, the difference over the time; a weight that rises for certain is a problem",
        notes: "Where the scatter is the larger, Student's k for readings less two degrees of freedom: 4.53, 3.31, 2.87 for 2–4; where the declared is, k = 2, so a third reading on the line never makes the rate less sure. A swing that nobody declared isn't seen by two readings: give the heading a ±, `gross [lb ± 0.1]`, and a clock that may be off its own, `time ± 3 min`. What hangs on the scale at every weighing cancels, and so does the tare; what hangs there at some of them is fitted with the rate (`attached: run.hose = \"on\"`), which takes one degree of freedom.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[example("burn_rate(run.time, run.gross)", "2.74 lb/h")],
        example_table: RUN,
        body: Body::Fit(Fit::BurnRate),
        ..PLAIN
    },
    Function {
        name: "attached_weight",
        chapter: Chapter::Burn,
        summary: "what hung on the scale at some weighings of a run and not at others",
        parameters: &[TIME, WEIGHT, ATTACHED],
        result: ResultKind::Quantity("lb"),
        formula: "the least-squares jump between two lines of one slope",
        sources: &WEIGHING_SOURCES,
        range: "both kinds must occur, and one of them at two times; three weighings or more, four for a scatter",
        notes: "Hose and regulator weigh the same each time they hang there. Rate, weight and what follows from them share one covariance; degrees of freedom are readings less three.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[example(
            "attached_weight(run.time, run.gross, run.hose = \"on\")",
            "1.2 lb",
        )],
        example_table: MIXED,
        body: Body::Fit(Fit::Attached),
        ..PLAIN
    },
    Function {
        name: "reaches",
        chapter: Chapter::Burn,
        summary: "when the line through weighings comes down to a weight, such as the tare",
        parameters: &[
            TIME,
            WEIGHT,
            Parameter::quantity("target", "lb", "the weight it comes down to, without what is attached")
                .usually(5.0, 180.0),
            ATTACHED.or("false"),
        ],
        result: ResultKind::Along,
        formula: "(intercept − target)/rate after the first row",
        sources: &[
            WEIGHING_SOURCES[0],
            WEIGHING_SOURCES[1],
            published("E. C. Fieller, J. Royal Stat. Soc. B 16 (1954) 175: limits of a quotient"),
        ],
        range: "two readings or more, at different times, falling",
        notes: "It counts scatter, clock, target and how far past the readings it lies, so it widens the further it is carried. Where the rate is known no better than to 30 %, Fieller's limits stand beside it, which are uneven; where its ± is as large as itself, there is no latest time. It takes the load to stay as it was.",
        tells: &[Fact::ByWeight],
        cautions: &[&CARBON_MONOXIDE],
        examples: &[example("reaches(run.time, run.gross, 31.3 lb)", "01:31 (+1 d)")],
        example_table: RUN,
        body: Body::Fit(Fit::Reaches),
        ..PLAIN
    },
    Function {
        name: "rate_at_load",
        chapter: Chapter::Burn,
        summary: "fuel rate at a load, from one run of weighings under loads that change",
        parameters: &[
            TIME,
            WEIGHT,
            Parameter::column(
                "load",
                ParameterKind::Quantity("W"),
                "the load from each row to the next",
            )
            .usually(0.0, 15_000.0),
            Parameter::quantity("at_load", "W", "the load wanted").usually(0.0, 15_000.0),
            ATTACHED.or("false"),
        ],
        result: ResultKind::Quantity("lb/h"),
        formula: "no_load + per_kW·at_load, by least squares of weight over time and energy",
        sources: &[
            WEIGHING_SOURCES[0],
            WEIGHING_SOURCES[1],
            practice("straight fuel line (Willans)"),
        ],
        range: "three weighings or more, with two loads or more between them; outside the loads weighed a caution",
        notes: "At 0 W it is what the set burns without load, so the no-load share is weighed, not guessed. A row without a weight still says that the load changed. Loads by one meter share its error if the column is multiplied by one entry, `run.load * meter`, and so does `at_load`.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[example(
            "rate_at_load(run.time, run.gross, run.load, 1200 W)",
            "1.65 lb/h",
        )],
        example_table: LOADS,
        body: Body::Fit(Fit::RateAtLoad),
        ..PLAIN
    },
    Function {
        parameters: &[X, Y, ATTACHED.or("false")],
        result: ResultKind::SecondOverFirst,
        formula: "Σ(x − x̄)(y − ȳ)/Σ(x − x̄)²",
        examples: &[example("slope(points.load, points.rate)", "0.84 lb/kWh")],
        ..line("slope", "slope of the straight line through two columns", Fit::Slope)
    },
    Function {
        parameters: &[X, Y, ATTACHED.or("false")],
        result: ResultKind::LikeSecond,
        formula: "ȳ − slope·x̄",
        examples: &[example("intercept(points.load, points.rate)", "1.19 lb/h")],
        ..line(
            "intercept",
            "value at x = 0 of the straight line through two columns",
            Fit::Intercept,
        )
    },
    Function {
        once: "line_at",
        parameters: &[X, Y, AT, ATTACHED.or("false")],
        result: ResultKind::LikeSecond,
        formula: "intercept + slope·at, with the line's uncertainty s·√(1/n + (at − x̄)²/Sxx)",
        range: "two readings or more, not all at one x; outside the x of the readings a caution",
        examples: &[example("fitted_at(points.load, points.rate, 1.5 kW)", "2.45 lb/h")],
        ..line(
            "fitted_at",
            "value on the straight line through two columns",
            Fit::LineAt,
        )
    },
    Function {
        once: "reading_at",
        parameters: &[X, Y, AT, ATTACHED.or("false")],
        result: ResultKind::LikeSecond,
        formula: "intercept + slope·at, with the uncertainty of one more reading s·√(1 + 1/n + (at − x̄)²/Sxx)",
        range: "two readings or more, not all at one x; outside the x of the readings a caution",
        examples: &[example("next_reading(points.load, points.rate, 1.5 kW)", "2.45 lb/h")],
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
        examples: &[example(
            "rescale_rate(2.1 lb/h, at_load: 900 W, rated_load: 2400 W, to_load: 1300 W, no_load_share: 45 %)",
            "2.393 lb/h",
        )],
        body: rule!(rescale_rate),
        appraise: Some(appraise_rescale),
        ..PLAIN
    },
    Function {
        name: "shortest_weighing",
        chapter: Chapter::Burn,
        summary: "shortest run of weighings that gives the rate well enough",
        parameters: &[
            Parameter::quantity("rate", "lb/h", "the rate expected").usually(0.3, 15.0),
            Parameter::quantity("step", "lb", "the step of the scale's display").usually(0.02, 1.0),
            Parameter::quantity("wanted", "%", "the standard uncertainty wanted of the rate").usually(0.5, 10.0),
            Parameter::quantity("readings", "", "how many weighings there are, evenly apart in time")
                .usually(2.0, 12.0)
                .or("2"),
        ],
        result: ResultKind::Quantity("h"),
        formula: "step·√((readings − 1)/(readings·(readings + 1))) ÷ (rate × wanted)",
        sources: &[computed(
            "JCGM 100 F.2.2.1, step/√12 of each reading; least squares over even times",
        )],
        range: "all above zero",
        notes: "For the display's step alone; weigh longer where the load is uneven or the cylinder swings.",
        examples: &[
            example("shortest_weighing(3 lb/h, 0.1 lb, 2 %)", "0.6804 h"),
            example("shortest_weighing(3 lb/h, 0.1 lb, 2 %, readings: 5)", "0.6086 h"),
        ],
        body: rule!(shortest_weighing),
        ..PLAIN
    },
];
