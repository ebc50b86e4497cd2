//! Weighings with something hung on the scale at some of them, and when they come down to a weight.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;

use tarebook::problem::Severity;
use tarebook::sheet::appraise::{Doubt, MarkKind};
use tarebook::sheet::dual::Uncertainty;
use tarebook::sheet::{Reading, Sheet};
use tarebook::study::Unwatched;
use tarebook::study::draws::{Asked, Figures, draw};

/// Least squares with an indicator column, worked out by statsmodels 0.15 (ordinary).
const MIXED: &str = include_str!("data/weighings_hose.csv");

fn load(text: &str) -> Sheet {
    let sheet = Sheet::load(text.to_owned(), None);
    assert_eq!(problems(&sheet), Vec::<String>::new(), "{text}");
    sheet
}

fn problems(sheet: &Sheet) -> Vec<String> {
    let problems = sheet.problems();
    let wrong = problems.iter().filter(|problem| problem.severity == Severity::Problem);
    wrong.map(|problem| problem.message.clone()).collect()
}

fn value(sheet: &Sheet, name: &str) -> f64 {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Number(number) => number.to_f64(),
        other => panic!("{name}: {other:?}"),
    }
}

fn doubt(sheet: &Sheet, name: &str) -> Uncertainty {
    let cell = sheet.cell(name).unwrap();
    match sheet.appraise([cell]).doubts.remove(&cell) {
        Some(Doubt::One(doubt)) => doubt,
        Some(Doubt::Rows(_)) => panic!("{name} is a column"),
        None => Uncertainty::NONE,
    }
}

fn drawn(sheet: &Sheet, name: &str, count: usize) -> Figures {
    let cell = sheet.cell(name).unwrap();
    let asked = Asked { count, seed: 7 };
    draw(sheet, cell, asked, &Unwatched).figures.unwrap()
}

fn near(found: f64, expected: f64, relative: f64, what: &str) {
    let gap = (found - expected).abs();
    assert!(
        gap <= relative * expected.abs(),
        "{what}: {expected} expected, found {found}"
    );
}

/// Value, standard uncertainty, degrees of freedom.
fn check(sheet: &Sheet, name: &str, expected: (f64, f64, f64)) {
    near(value(sheet, name), expected.0, 1e-9, name);
    let found = doubt(sheet, name);
    near(found.standard, expected.1, 1e-8, &format!("u of {name}"));
    match expected.2.is_finite() {
        true => near(
            found.degrees_of_freedom,
            expected.2,
            1e-6,
            &format!("degrees of {name}"),
        ),
        false => assert!(found.degrees_of_freedom.is_infinite(), "{name}: {found:?}"),
    }
}

const ENTRIES: &str = "worked rate = burn_rate(run.at, run.gross, attached: run.hose = \"on\")\n\
worked hose = attached_weight(run.at, run.gross, run.hose = \"on\")\n\
worked at_first = intercept(run.at, run.gross, attached: run.hose = \"on\")\n\
worked empty = reaches(run.at, run.gross, tare, attached: run.hose = \"on\")\n\
worked by_parts = (at_first - tare) / rate\n\
worked same = empty - by_parts\n\
worked on_line = fitted_at(run.at, run.gross, 2 h, attached: run.hose = \"on\")\n";

// ---- what hangs at some of the weighings ----

#[test]
fn another_program_finds_the_same() {
    let mut reader = csv::Reader::from_reader(MIXED.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 8);
    for row in rows {
        let list = |field: usize| row[field].split(';').map(str::to_owned).collect::<Vec<String>>();
        let mut text = String::from("table run\n  | at [min] | gross [lb] | hose |\n");
        for ((minute, gross), on) in list(1).iter().zip(list(2)).zip(list(3)) {
            let _ = writeln!(
                text,
                "  | {minute} | {gross} | {} |",
                if on == "1" { "on" } else { "off" }
            );
        }
        let sheet = load(&format!("{text}measured tare = {} lb\n{ENTRIES}", &row[4]));
        let field = |field: usize| row[field].parse::<f64>().unwrap();
        let freedom = field(15);
        check(&sheet, "rate", (field(5), field(6), freedom));
        check(&sheet, "hose", (field(7), field(8), freedom));
        check(&sheet, "at_first", (field(9), field(10), freedom));
        check(&sheet, "empty", (field(16), field(17), freedom));
        check(&sheet, "by_parts", (field(16), field(17), freedom));
        assert!(doubt(&sheet, "same").standard < 1e-12, "{}", &row[0]);
        // two hours on: var(a) + 4 var(r) − 4 cov(a, r)
        let on_line = field(10).powi(2) + 4.0 * field(6).powi(2) - 4.0 * field(11);
        near(doubt(&sheet, "on_line").standard, on_line.sqrt(), 1e-7, "on the line");
    }
}

const RUN: &str = "table run\n  | time | gross [lb ± 0.05] | hose |\n  | 09:04 | 36.4 | off |\n  | 12:10 | 30.7 | on |\n\
  | 13:42 | 27.5 | on |\n  | 15:01 | 24.2 | on |\n  | 16:06 | 20.9 | off |\nmeasured tare = 17 lb ± 0.2 lb sd\n";

fn with(entry: &str) -> String {
    format!("{RUN}{entry}\n")
}

/// numpy, least squares of three unknowns; u of the tare over the rate beside.
#[test]
fn a_clock_time_is_told_as_one() {
    let sheet = load(&with(
        "answer empty = reaches(run.time, run.gross, tare, attached: run.hose = \"on\")\nworked sure = reaches(run.time, run.gross, 17 lb, attached: run.hose = \"on\") - last(run.time)\nexpect empty > last(run.time) + 1 h else \"late\"",
    ));
    near(value(&sheet, "empty"), 64_243.843_319_016_2, 1e-9, "seconds");
    let found = doubt(&sheet, "empty");
    near(found.standard, 503.851_658_200_597, 1e-7, "seconds");
    near(
        found.degrees_of_freedom,
        5.876_588_070_851_337,
        1e-6,
        "degrees of freedom",
    );
    let shown = tarebook::report::build::entry(&sheet, sheet.cell("empty").unwrap(), Default::default());
    assert!(shown.unwrap().shown.display().starts_with("17:51 ± "));
    // Student's t with 2 degrees of freedom, 97.5 %: 4.302653
    let (figures, alone) = (drawn(&sheet, "sure", 40_000), doubt(&sheet, "sure"));
    near(
        (figures.high - figures.low) / 2.0,
        4.302_653 * alone.standard,
        0.08,
        "drawn",
    );
}

#[test]
fn both_kinds_must_occur_and_be_known() {
    let on = |condition: &str| {
        with(&format!(
            "worked rate = burn_rate(run.time, run.gross, attached: {condition})"
        ))
    };
    let check = |text: &str, expected: &str| {
        let found = problems(&Sheet::load(text.to_owned(), None));
        assert!(found.iter().any(|message| message.contains(expected)), "{found:?}");
    };
    check(
        &on("run.hose = \"off\" or run.hose = \"on\""),
        "of these weighings every one has it attached",
    );
    check(&on("run.gross > 50 lb"), "of these weighings none has it attached");
    check(
        &on("true"),
        "`attached` of `burn_rate` takes a column, and this is a single value",
    );
    check(&on("run.gross"), "`attached` of `burn_rate` takes true or false");
    check(
        &on("run.hose = \"on\"").replace("27.5 | on", "27.5 |"),
        "`attached` can't be told in row 3",
    );
    check(
        &on("run.hose = \"on\" where run.gross < 30 lb"),
        "the columns have different lengths",
    );
    let three = "table run\n  | time | gross [lb] | hose |\n  | 09:00 | 36.4 | off |\n  | 12:00 | 30.7 | on |\n";
    let rate = "worked rate = burn_rate(run.time, run.gross, attached: run.hose = \"on\")\n";
    check(
        &format!("{three}{rate}"),
        "don't tell the slope and what is attached apart",
    );
    check(
        &format!("{three}  | 12:00 | 30.8 | on |\n{rate}"),
        "don't tell the slope and what is attached apart",
    );
    let enough = load(&format!("{three}  | 15:00 | 24.4 | on |\n{rate}"));
    near(value(&enough, "rate"), 2.1, 1e-12, "three readings");
    // a row without a weight doesn't say what hung there
    load(&on("run.hose = \"on\"").replace("27.5 | on", " |"));
}

/// By hand: two of one kind give the rate, the third what hung there.
#[test]
fn three_weighings_rest_on_what_is_declared() {
    let sheet = load(&format!(
        "table run\n  | hours [h] | gross [lb ± 0.1 sd] | hose |\n  | 0 | 36.4 | off |\n  | 3 | 30.7 | on |\n  | 6 | 24.4 | on |\n{}",
        "worked rate = burn_rate(run.hours, run.gross, attached: run.hose = \"on\")\nworked hose = attached_weight(run.hours, run.gross, run.hose = \"on\")\n"
    ));
    check(&sheet, "rate", (2.1, 0.1 * 2f64.sqrt() / 3.0, f64::INFINITY));
    // hung there: 2 on₁ − on₂ − off
    check(&sheet, "hose", (0.6, 0.1 * 6f64.sqrt(), f64::INFINITY));
}

// ---- loads that change ----

/// Least squares over time and energy, worked out by statsmodels 0.15 (ordinary).
const LOADS: &str = include_str!("data/weighings_loads.csv");

#[test]
fn another_program_finds_the_same_of_loads() {
    let mut reader = csv::Reader::from_reader(LOADS.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 6);
    for row in rows {
        let list = |field: usize| row[field].split(';').map(str::to_owned).collect::<Vec<String>>();
        let mut text = String::from("table run\n  | at [min] | gross [lb ± 0.001] | load [W] |\n");
        for ((minute, gross), load) in list(1).iter().zip(list(2)).zip(list(3)) {
            let _ = writeln!(text, "  | {minute} | {gross} | {load} |");
        }
        let sheet = load(&format!(
            "{text}worked idle = rate_at_load(run.at, run.gross, run.load, 0 W)\n\
worked there = rate_at_load(run.at, run.gross, run.load, 1.2 kW)\n\
worked per_kw = rate_at_load(run.at, run.gross, run.load, 1 kW) - idle\n"
        ));
        let field = |field: usize| row[field].parse::<f64>().unwrap();
        check(&sheet, "idle", (field(4), field(5), field(11)));
        check(&sheet, "per_kw", (field(6), field(7), field(11)));
        check(&sheet, "there", (field(9), field(10), field(11)));
    }
}

const STEPS: &str = "table run\n  | time | gross [lb ± 0.05] | load [W] |\n  | 18:00 | 40.0 | 500 |\n  | 19:00 | 39.0 | 1500 |\n\
  | 20:00 | 37.2 | 500 |\n  | 21:00 | | 1500 |\n  | 22:00 | 34.4 | 1500 |\n";

fn at_load(load: &str, meter: &str) -> String {
    format!("{STEPS}{meter}worked rate = rate_at_load(run.time, run.gross, run.load, {load})\n")
}

/// By hand: 0.6 lb/h and 0.8 lb/h a kilowatt go through all of these.
#[test]
fn a_row_without_a_weight_says_that_the_load_changed() {
    let sheet = load(&at_load("1200 W", ""));
    near(value(&sheet, "rate"), 1.56, 1e-9, "rate");
    let codes = |text: &str| {
        let sheet = load(text);
        let found = sheet.appraise([sheet.cell("rate").unwrap()]).cautions;
        found.iter().map(|found| found.caution.code).collect::<Vec<&str>>()
    };
    assert_eq!(codes(&at_load("1200 W", "")), ["carbon-monoxide"]);
    assert!(codes(&at_load("1600 W", "")).contains(&"beyond-readings"));
    assert!(codes(&at_load("1200 W", "").replace("± 0.05", "± 1")).contains(&"load-unclear"));
    let refused = |text: &str, expected: &str| {
        let found = problems(&Sheet::load(text.to_owned(), None));
        assert!(found.iter().any(|message| message.contains(expected)), "{found:?}");
    };
    refused(
        &at_load("1200 W", "").replace("1500 |", "500 |"),
        "between all weighings the load is the same",
    );
    refused(
        &at_load("1200 W", "").replace("37.2 | 500", "37.2 |"),
        "`load` is missing in row 3",
    );
    refused(
        &at_load("1200 W", "")
            .replace("time", "hours [h]")
            .replace(":00", "")
            .replace("21 |", "17 |")
            .replace("run.hours [h]", "run.hours"),
        "row 4 is earlier than the one before",
    );
}

/// A meter that is off by 10 % all along: the rate there doesn't know it, the rate at 1200 W
/// by another meter does. By hand: 0.8·1.2 lb/h times 0.05.
#[test]
fn loads_share_the_error_of_their_meter() {
    let meter = "measured meter = 1.0 ± 0.05 sd\n";
    let by_meter = |at: &str| at_load(at, meter).replace("run.load,", "run.load * meter,");
    let (shared, apart) = (load(&by_meter("1200 W * meter")), load(&by_meter("1200 W")));
    let none = doubt(&load(&at_load("1200 W", "")), "rate").standard;
    near(doubt(&shared, "rate").standard, none, 1e-6, "shared");
    near(
        doubt(&apart, "rate").standard,
        none.hypot(0.8 * 1.2 * 0.05),
        1e-6,
        "apart",
    );
}

// ---- limits that are uneven ----

/// numpy: E. C. Fieller's limits by the roots of (a − T − rt)² = k²(var a − 2t cov + t² var r).
#[test]
fn a_flat_line_has_uneven_limits() {
    let text = |rows: &str, tolerance: f64| {
        format!(
            "table run\n  | hours [h] | gross [lb ± {tolerance} sd] |\n{rows}answer empty = reaches(run.hours, run.gross, 17 lb)\nanswer later [min] = empty + 30 min\nanswer twice = 2 * empty\n"
        )
    };
    let ends = |sheet: &Sheet, name: &str| {
        let cell = sheet.cell(name).unwrap();
        let mark = sheet.appraise([cell]).marks.remove(&cell)?;
        assert_eq!(mark.kind, MarkKind::Uneven);
        Some(mark.ends)
    };
    let sheet = load(&text("  | 0 | 36.4 |\n  | 1 | 35.2 |\n  | 2 | 34.0 |\n", 0.3));
    let (low, high) = ends(&sheet, "empty").unwrap();
    near(low, 12.197_309_078_916_332, 1e-9, "earliest");
    near(high, 24.469_357_587_750_252, 1e-9, "latest");
    let (low, high) = ends(&sheet, "later").unwrap();
    near(low, 60.0 * 12.697_309_078_916_332, 1e-9, "earliest, in minutes");
    near(high, 60.0 * 24.969_357_587_750_252, 1e-9, "latest, in minutes");
    near(
        ends(&sheet, "twice").unwrap().1,
        2.0 * 24.469_357_587_750_252,
        1e-9,
        "latest, twice",
    );
    // the rate is known to 17 %: the straight line does
    let sure = load(&text("  | 0 | 36.4 |\n  | 1 | 35.2 |\n  | 2 | 34.0 |\n", 0.14));
    assert_eq!(ends(&sure, "empty"), None);
    let open = load(&text("  | 0 | 36.4 |\n  | 1 | 35.2 |\n  | 2 | 34.0 |\n", 0.9));
    let (low, high) = ends(&open, "empty").unwrap();
    near(low, 8.336_787_518_401_312, 1e-9, "earliest");
    assert!(high.is_infinite(), "{high}");
    let entry = tarebook::report::build::entry(&open, open.cell("empty").unwrap(), Default::default()).unwrap();
    assert_eq!(entry.shown.display(), "16.17 h");
    assert_eq!(
        entry.shown.mark.as_deref(),
        Some("not before 8.337 h; no latest time can be told")
    );
}
