//! Upkeep: when a service falls due, and when a cylinder must be examined again.
//!
//! Dates are whole days. A worksheet has no clock, so a date is told, and what
//! it means today is for the reader. Start reading at [`requalification_date`]
//! and [`service_date`].

use jiff::ToSpan;
use jiff::civil::{Date, date};

use crate::number::Real;

use super::caution::{CARBON_MONOXIDE, NOT_FILLED};
use super::declare::{ARITHMETIC, PLAIN, binary, example, practice, published, remembered, rule, shown};
use super::{Arguments, Chapter, Complaint, Function, Outcome, Parameter, ParameterKind, ResultKind, Shape};

const DAY: f64 = 86_400.0;
const EPOCH: Date = date(1970, 1, 1);

/// The day of a moment in seconds from 1970-01-01.
fn day(seconds: f64, argument: usize, name: &str) -> Outcome<Date> {
    let days = (seconds / DAY).floor();
    let span = (days.abs() < 5e6).then(|| (days as i64).days());
    match span.and_then(|span| EPOCH.checked_add(span).ok()) {
        Some(day) => Ok(day),
        None => Err(Complaint::outside(
            argument,
            format!("`{name}` is outside the years 1 to 9999"),
        )),
    }
}

fn seconds<R: Real>(day: Date) -> Outcome<R> {
    match EPOCH.until(day) {
        Ok(span) => binary(f64::from(span.get_days()) * DAY),
        Err(_) => Err(late(0)),
    }
}

fn later(day: Date, years: i64, argument: usize) -> Outcome<Date> {
    day.checked_add(years.years()).map_err(|_| late(argument))
}

fn late(argument: usize) -> Complaint {
    Complaint::outside(argument, "the date that follows is outside the years 1 to 9999")
}

const METHODS: [&str; 3] = ["volumetric", "proof pressure", "external visual"];

/// Years from manufacture to the first examination.
const FIRST: i64 = 12;

/// Twelve years from manufacture; after that by the method of the last examination.
fn requalification_date<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let made = day(a.number(0)?.to_binary(), 0, "made")?;
    let last = day(a.number(1)?.to_binary(), 1, "last_test")?;
    let years = match a.word(2)? {
        "volumetric" => 12,
        "proof pressure" => 10,
        "external visual" => 5,
        other => return Err(Complaint::unlisted(2, "method", other, &METHODS)),
    };
    if last < made {
        let message = format!("`last_test` of {last} is before the cylinder was made, {made}");
        return Err(Complaint::outside(1, message));
    }
    if last == made {
        return seconds(later(made, FIRST, 0)?);
    }
    seconds(later(last, years, 1)?)
}

/// The earlier of so many days and so many hours of running.
fn service_date<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let last = day(a.number(0)?.to_binary(), 0, "last")?;
    let every = a.positive(1, "every")?.to_binary();
    let run = a.not_negative(2, "run")?.to_binary();
    let every_hours = a.positive(3, "every_hours")?.to_binary();
    let since = a.not_negative(4, "since_last")?.to_binary();
    if run > 24.0 {
        let message = format!("`run` can't be above 24 h/d, and is {} h/d", shown(run));
        return Err(Complaint::outside(2, message));
    }
    let open = (every_hours - since).max(0.0);
    let by_hours = if run > 0.0 { open / run } else { f64::INFINITY };
    let days = whole_days(by_hours.min(every));
    if days > 5e6 {
        return Err(late(1));
    }
    let due = last.checked_add((days as i64).days()).map_err(|_| late(1))?;
    seconds(due)
}

/// Days that are whole but for a hair stay so: 19.9 h at 0.1 h/d are 199 d.
fn whole_days(days: f64) -> f64 {
    let nearest = days.round();
    if (days - nearest).abs() <= 1e-9 {
        return nearest;
    }
    days.floor()
}

const fn dated(name: &'static str, meaning: &'static str) -> Parameter {
    Parameter::new(name, ParameterKind::Moment, Shape::Single, meaning)
}

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 2] = [
    Function {
        name: "requalification_date",
        chapter: Chapter::Cylinder,
        summary: "date from which a cylinder may not be filled until it is examined again",
        parameters: &[
            dated(
                "made",
                "the month of manufacture stamped on the collar, as its first day",
            ),
            dated(
                "last_test",
                "the last examination stamped or labelled; left out for a cylinder that had none",
            )
            .or("made"),
            Parameter::word(
                "method",
                &METHODS,
                "how it was last examined; before the first examination any of them gives the same date",
            ),
        ],
        result: ResultKind::Moment,
        formula: "made + 12 years; after an examination last_test + 12 years (volumetric), 10 (proof pressure) or 5 (external visual)",
        sources: &[
            published("49 CFR 180.209: 12 years from manufacture, 12 after a volumetric test"),
            remembered(
                "49 CFR 180.209(e) and (g): 10 years after a proof pressure test, 5 after an external visual inspection",
            ),
        ],
        range: "cylinders of the common steel and aluminum types for propane; `last_test` not before `made`",
        notes: "Compare it with the day you mean to fill: `expect due >= 2026-11-26`. A mark of the method stands beside the date: E for external visual, S for proof pressure (49 CFR 180.213; from memory). Editions differ: around 2017 to 2020 it was 10 years from manufacture, and 7 after a proof pressure test before (from memory); the edition in force and the stamp decide. A dented, rusted or burned cylinder is not filled whatever its date.",
        cautions: &[&NOT_FILLED],
        examples: &[
            example(
                "requalification_date(made: 2016-05-01, method: \"external visual\")",
                "2028-05-01",
            ),
            example(
                "requalification_date(2009-03-01, 2021-06-01, \"external visual\")",
                "2026-06-01",
            ),
        ],
        body: rule!(requalification_date),
        jumps: true,
        ..PLAIN
    },
    Function {
        name: "service_date",
        chapter: Chapter::Load,
        summary: "date on which a service falls due, by hours or by the calendar, whichever is first",
        parameters: &[
            dated("last", "the day of the last service, from which days are counted"),
            Parameter::quantity("every", "d", "the days between services").usually(90.0, 730.0),
            Parameter::quantity("run", "h/d", "the hours run a day, on average over all days").usually(0.0, 24.0),
            Parameter::quantity("every_hours", "h", "the hours of running between services").usually(20.0, 500.0),
            Parameter::quantity(
                "since_last",
                "h",
                "hours that already count on the day `last`; 0 h right after a service",
            )
            .usually(0.0, 500.0),
        ],
        result: ResultKind::Moment,
        formula: "last + the smaller of every and (every_hours − since_last)/run, in whole days",
        sources: &[practice("hours or months, whichever comes first"), ARITHMETIC],
        range: "at most 24 hours a day; a service overdue by hours is due on `last` itself",
        notes: "A new set's first oil change comes far sooner than the later ones; its manual says when.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[
            example(
                "service_date(2026-01-10, every: 180 d, run: 2 h/d, every_hours: 100 h, since_last: 0 h)",
                "2026-03-01",
            ),
            example(
                "service_date(2026-01-10, every: 180 d, run: 0.1 h/d, every_hours: 100 h, since_last: 0 h)",
                "2026-07-09",
            ),
        ],
        body: rule!(service_date),
        jumps: true,
        ..PLAIN
    },
];
