//! Weighings: how sure a line and its readings are, and whose error it is.
//!
//! Expected values are least squares worked out apart, in numpy and scipy: weights by effective
//! variance until they settle, derivatives to readings and times, sums of squares. The
//! simulation at the end counts how often the truth lies in what is shown.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod weighed;

use std::fmt::Write as _;

use tarebook::sheet::Sheet;
use tarebook::sheet::appraisal::Doubt;
use tarebook::study::Unwatched;
use tarebook::study::draws::{Asked, Figures, draw};

use weighed::{Chance, doubt, load, value};

const LINES: &str = include_str!("data/regression.csv");
const PEARSON: &str = include_str!("data/pearson_york.csv");
const ROOT_3: f64 = 1.732_050_807_568_877_2;

fn drawn(sheet: &Sheet, name: &str, count: usize) -> Figures {
    let asked = Asked { count, seed: 11 };
    let draws = draw(sheet, sheet.cell(name).unwrap(), asked, &Unwatched);
    assert!(!draws.withheld(), "{draws:?}");
    draws.figures.unwrap()
}

fn near(found: f64, expected: f64, relative: f64, what: &str) {
    let gap = (found - expected).abs();
    assert!(
        gap <= relative * expected.abs().max(1e-30),
        "{what}: {expected} expected, found {found}"
    );
}

/// Value, standard uncertainty, degrees of freedom.
fn check(sheet: &Sheet, name: &str, (expected, standard, freedom): (f64, f64, f64)) {
    near(value(sheet, name), expected, 1e-9, name);
    let found = doubt(sheet, name);
    near(found.standard, standard, 1e-7, &format!("u of {name}"));
    match freedom.is_finite() {
        true => near(
            found.degrees_of_freedom,
            freedom,
            1e-6,
            &format!("degrees of freedom of {name}"),
        ),
        false => assert!(found.degrees_of_freedom.is_infinite(), "{name}: {found:?}"),
    }
}

fn table(name: &str, headings: &str, rows: &[&str]) -> String {
    let rows: String = rows.iter().map(|row| format!("  | {row} |\n")).collect();
    format!("table {name}\n  | {headings} |\n{rows}")
}

// ---- whose error ----

#[test]
fn a_rate_shares_the_errors_of_its_own_readings() {
    let rows = ["18:00 | 51.9", "22:00 | 41.0"];
    let text = table("two", "time | gross [lb ± 0.05]", &rows)
        + &table("plain", "time | gross [lb]", &rows)
        + &table(
            "log",
            "time | gross [lb]",
            &["18:00 | 51.9", "20:00 | 46.2", "22:00 | 41.0"],
        )
        + "measured tare = 17.9 lb ± 0.1 lb\nworked net = plain.gross - tare\n\
worked declared = burn_rate(two.time, two.gross) - (first(two.gross) - last(two.gross)) / (4 h)\n\
worked undeclared = burn_rate(plain.time, plain.gross) - (first(plain.gross) - last(plain.gross)) / (4 h)\n\
worked by_an_entry = burn_rate(plain.time, net) - (first(plain.gross) - last(plain.gross)) / (4 h)\n\
worked shifted = burn_rate(plain.time, plain.gross - 3 kg) - burn_rate(plain.time, plain.gross)\n\
worked converted [kg/h] = burn_rate(plain.time, net * 1) - burn_rate(plain.time, plain.gross)\n\
worked ends = burn_rate(log.time where log.gross <> 46.2 lb, log.gross where log.gross <> 46.2 lb)\n\
worked picked = ends - (first(log.gross) - last(log.gross)) / (4 h)\n";
    let sheet = load(&text);
    for name in [
        "declared",
        "undeclared",
        "by_an_entry",
        "shifted",
        "converted",
        "picked",
    ] {
        let found = doubt(&sheet, name);
        assert!(found.standard < 1e-15, "{name}: {found:?}");
        assert!(value(&sheet, name).abs() < 1e-12, "{name}");
    }
    // one more reading on a line, in kilograms and in pounds
    let fine = table(
        "fine",
        "hours [h] | gross [lb]",
        &["0 | 51.90128", "2 | 46.4521", "4 | 41.00341", "5 | 38.27851"],
    );
    let found = load(&fine.add(
        "worked net [kg] = fine.gross - 17.9 lb\nworked more = next_reading(fine.hours, net, 3 h) - \
(next_reading(fine.hours, fine.gross, 3 h) - 17.9 lb)\n",
    ));
    assert!(doubt(&found, "more").standard < 1e-15, "{:?}", doubt(&found, "more"));
    // a step of 0.1 lb in each of two readings, over 4 h
    let alone = load(&table("two", "time | gross [lb]", &rows).add("worked rate = burn_rate(two.time, two.gross)\n"));
    let step = 0.1 / 12f64.sqrt();
    near(
        doubt(&alone, "rate").standard,
        step * 2f64.sqrt() / 4.0,
        1e-9,
        "two readings",
    );
}

trait Add {
    fn add(self, more: &str) -> String;
}

impl Add for String {
    fn add(mut self, more: &str) -> String {
        self.push_str(more);
        self
    }
}

/// numpy: s² over what was declared is 10.714, the rate 2.742857 ± 0.063888, the intercept
/// ± 0.146385; (41.0 − 17.9)/rate has 0.252565 from the readings, 0.255183 with the tare.
#[test]
fn the_last_reading_and_the_rate_err_together() {
    let sheet = load(
        &table(
            "run",
            "hours [h] | gross [lb ± 0.1]",
            &["0 | 51.9", "1 | 49.3", "2 | 46.2", "4 | 41.0"],
        )
        .add("measured tare = 17.9 lb ± 0.1 lb sd\nworked rate = burn_rate(run.hours, run.gross)\nworked at_first = intercept(run.hours, run.gross)\nworked left = (last(run.gross) - tare) / rate\nworked exactly = (last(run.gross) - 17.9 lb) / rate\n"),
    );
    check(&sheet, "rate", (2.742_857_142_857_142, 0.063_887_656_499_992, 2.0));
    check(&sheet, "at_first", (51.9, 0.146_385_010_942_275_82, 2.0));
    check(&sheet, "exactly", (8.421_875, 0.252_565_413_710_820_64, 2.0));
    near(doubt(&sheet, "left").standard, 0.255_183_264_091_441_6, 1e-9, "left");
    // t with 2 degrees of freedom, 97.5 %: 4.302653
    let figures = drawn(&sheet, "exactly", 200_000);
    let straight = 4.302_653 * 0.252_565_4;
    near((figures.high - figures.low) / 2.0, straight, 0.03, "drawn");
}

/// A weighing that stands off the line speaks against the line, be it the last or the first: the
/// readings keep the ± they were given, √2 · 0.2/√3 for two of them.
#[test]
fn one_odd_reading_tells_nothing_of_the_others() {
    let fall = |gross: &[f64]| {
        let rows: Vec<String> = gross
            .iter()
            .enumerate()
            .map(|(hour, gross)| format!("{hour} | {gross}"))
            .collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        let text = table("run", "hours [h] | gross [lb ± 0.2]", &rows)
            + "worked rate = burn_rate(run.hours, run.gross)\nworked fall = first(run.gross) - last(run.gross)\n";
        doubt(&load(&text), "fall").standard
    };
    let declared = (2.0f64 / 3.0).sqrt() * 0.2;
    near(fall(&[40.0, 38.0, 36.1, 34.0, 31.9, 31.5]), declared, 1e-9, "last");
    near(fall(&[38.5, 38.1, 36.0, 33.9, 32.0, 30.0]), declared, 1e-9, "first");
    // of five the scatter of the other four is enough
    near(fall(&[40.0, 38.0, 36.0, 34.0, 33.5]), declared, 1e-9, "of five");
    // no one of them stands off
    assert!(fall(&[40.6, 37.6, 36.6, 33.4, 32.6, 29.4]) > 2.0 * declared);
    // scipy: the last stands 7.2 times off what a reading there is foretold with, and of six runs
    // with three degrees of freedom one in a hundred has 10.9
    assert!(fall(&[40.1, 37.9, 35.9, 34.1, 32.0, 31.2]) > 2.0 * declared);
}

/// What rises along a line, as a tank being filled does, tells as much of its readings as what falls.
#[test]
fn a_line_that_rises_tells_as_much() {
    let fall = ["0 | 40.6", "1 | 37.6", "2 | 36.6", "3 | 33.4", "4 | 32.6", "5 | 29.4"];
    let rise = ["0 | 29.4", "1 | 32.6", "2 | 33.4", "3 | 36.6", "4 | 37.6", "5 | 40.6"];
    let text = table("down", "hours [h] | level [lb ± 0.2]", &fall)
        + &table("up", "hours [h] | level [lb ± 0.2]", &rise)
        + "worked falls = slope(down.hours, down.level)\nworked rises = slope(up.hours, up.level)\n\
worked loss = first(down.level) - last(down.level)\nworked gain = last(up.level) - first(up.level)\n";
    let sheet = load(&text);
    let (loss, gain) = (doubt(&sheet, "loss"), doubt(&sheet, "gain"));
    near(gain.standard, loss.standard, 1e-9, "standard");
    near(
        gain.degrees_of_freedom,
        loss.degrees_of_freedom,
        1e-9,
        "degrees of freedom",
    );
    // numpy: they scatter by 0.65218 lb about the line
    near(gain.standard, 0.65218 * 2f64.sqrt(), 1e-5, "scatter");
}

/// Of several lines through a column the one that leaves the least tells of its readings.
/// numpy, u = 0.03 lb: all rows leave 7.5132 times the declared variance with 4 degrees of
/// freedom, the first three 1.85185 with one.
#[test]
fn what_a_worse_line_has_stays_in_it() {
    let rows = ["0 | 36.4", "1 | 34.2", "2 | 32.1", "3 | 29.7", "4 | 27.6", "5 | 25.5"];
    let begin = table("run", "hours [h] | gross [lb ± 0.03 sd]", &rows)
        + "worked all_rows = burn_rate(run.hours, run.gross)\nworked end = last(run.gross)\n";
    let alone = load(&begin);
    let scatter = 0.03 * 7.513_227_513_227_479_f64.sqrt();
    check(
        &alone,
        "all_rows",
        (2.191_428_571_428_564_6, scatter / 17.5f64.sqrt(), 4.0),
    );
    check(&alone, "end", (25.5, scatter, 4.0));
    let both = load(
        &(begin
            + "worked first_rows = burn_rate(run.hours where run.hours < 3 h, run.gross where run.hours < 3 h)\nworked gap = all_rows - first_rows\n"),
    );
    let (ratio, excess) = (1.851_851_851_851_378_f64, 0.851_851_851_851_378_f64);
    let freedom = (ratio / excess).powi(2);
    check(&both, "first_rows", (2.15, 0.03 * ratio.sqrt() / 2f64.sqrt(), freedom));
    check(&both, "end", (25.5, 0.03 * ratio.sqrt(), freedom));
    // the result of the worse fit is as sure as by itself, with its own degrees of freedom
    check(
        &both,
        "all_rows",
        (2.191_428_571_428_564_6, scatter / 17.5f64.sqrt(), 4.0),
    );
    // shared: 0.03² × 1.85185 (Σ(c − d)²), of the one line alone: 0.03² × 5.66138/17.5
    let c: Vec<f64> = (0..6).map(|x| (f64::from(x) - 2.5) / 17.5).collect();
    let d = [-0.5, 0.0, 0.5, 0.0, 0.0, 0.0];
    let shared: f64 = c.iter().zip(d).map(|(c, d)| (c - d).powi(2)).sum();
    let variance = 0.0009 * (ratio * shared + (7.513_227_513_227_479 - ratio) / 17.5);
    near(doubt(&both, "gap").standard, variance.sqrt(), 1e-7, "gap");
}

#[test]
fn fewer_rows_than_may_be_kept_apart() {
    // an unoptimized build under load is slower than the time that a run usually has
    tarebook::time_limit::allow(std::time::Duration::from_secs(300));
    let mut text = String::from("table run\n  | hours [h] | gross [lb ± 0.05] |\n");
    for row in 0..5_003 {
        let _ = writeln!(
            text,
            "  | {row} | {:.1} |",
            900.0 - f64::from(row) * 0.1 + f64::from(row % 7 % 2) * 0.1
        );
    }
    text.push_str("worked tilt = slope(run.hours, run.gross)\nworked at_first = intercept(run.hours, run.gross)\nworked far = fitted_at(run.hours, run.gross, 4000 h)\nworked by_parts = at_first + tilt * 4000 h\n");
    let sheet = load(&text);
    // numpy: Σ(x − x̄)² = (n³ − n)/12
    let sxx = (5_003f64.powi(3) - 5_003.0) / 12.0;
    let line = doubt(&sheet, "tilt");
    let scatter = line.standard * sxx.sqrt();
    assert!((0.04..0.06).contains(&scatter), "{scatter}");
    near(
        doubt(&sheet, "by_parts").standard,
        doubt(&sheet, "far").standard,
        1e-9,
        "by parts",
    );
    near(
        doubt(&sheet, "far").standard,
        scatter * (1.0 / 5_003.0 + (4_000.0f64 - 2_501.0).powi(2) / sxx).sqrt(),
        1e-9,
        "far",
    );
}

// ---- degrees of freedom ----

#[test]
fn a_third_reading_on_the_line_is_no_loss() {
    let rows = ["09:00 | 36.4", "11:00 | 32.0", "13:00 | 27.6"];
    let sheet = load(
        &table("three", "time | gross [lb ± 0.05]", &rows)
            .add(&table("two", "time | gross [lb ± 0.05]", &[rows[0], rows[2]]))
            .add("worked by_three = burn_rate(three.time, three.gross)\nworked by_two = burn_rate(two.time, two.gross)\n"),
    );
    let one = 0.05 / ROOT_3;
    check(&sheet, "by_three", (2.2, one / 8f64.sqrt(), f64::INFINITY));
    check(&sheet, "by_two", (2.2, one / 8f64.sqrt(), f64::INFINITY));
}

/// By hand: s² = 0.02667 lb², u² = 0.05²/3, and 1·(s²/(s² − u²))² degrees of freedom.
#[test]
fn one_degree_tells_badly_only_of_what_is_above_the_declared() {
    let sheet = load(
        &table("far", "hours [h] | gross [lb ± 0.05]", &["0 | 36.4", "2 | 32.2", "4 | 27.6"])
            .add(&table("near", "hours [h] | gross [lb ± 0.05]", &["0 | 36.4", "2 | 32.1", "4 | 27.6"]))
            .add(&table("within", "hours [h] | gross [lb ± 0.5]", &["0 | 36.4", "2 | 32.1", "4 | 27.6"]))
            .add("worked a = burn_rate(far.hours, far.gross)\nworked b = burn_rate(near.hours, near.gross)\nworked c = burn_rate(within.hours, within.gross)\n"),
    );
    check(&sheet, "a", (2.2, 0.057_735_026_918_962_9, 1.065_556_711_758_584));
    check(&sheet, "b", (2.2, 0.028_867_513_459_481_7, 1.306_122_448_979_581));
    check(&sheet, "c", (2.2, 0.5 / ROOT_3 / 8f64.sqrt(), f64::INFINITY));
}

// ---- weights ----

/// numpy: one reading ten times as loose. Without weights the intercept is 36.56 lb.
#[test]
fn a_loose_reading_counts_for_less() {
    let sheet = load(
        &table(
            "run",
            "hours [h] | gross [lb ± 0.05]",
            &["0 | 36.4", "1 | 34.3", "2 | 32.9 ± 0.5", "3 | 30.0", "4 | 27.9"],
        )
        .add("worked rate = burn_rate(run.hours, run.gross)\nworked at_first = intercept(run.hours, run.gross)\nworked held = burn_rate(run.hours, run.gross * 1.0)\nworked same = rate - held\n"),
    );
    check(&sheet, "rate", (2.13, 0.014_844_721_361_007_5, 3.0));
    check(&sheet, "at_first", (36.411_870_324_189_5, 0.037_828_607_409_409_1, 3.0));
    assert!(doubt(&sheet, "same").standard < 1e-15 && value(&sheet, "same").abs() < 1e-12);
    let figures = drawn(&sheet, "at_first", 50_000);
    // t with 3 degrees of freedom, 97.5 %: 3.182446
    near(
        (figures.high - figures.low) / 2.0,
        3.182_446 * 0.037_828_6,
        0.05,
        "drawn",
    );
    near(figures.mean, 36.411_87, 1e-4, "drawn mean");
}

/// The weighted set of the data, each reading with a tolerance of its own that is far smaller
/// than the scatter.
#[test]
fn weights_give_what_another_program_gives() {
    let mut reader = csv::Reader::from_reader(LINES.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let row = rows.iter().find(|row| &row[1] == "WLS").unwrap();
    let list = |field: usize| row[field].split(';').map(|text| text.parse::<f64>().unwrap());
    let mut text = String::from("table t\n  | x | y |\n");
    for ((x, y), weight) in list(3).zip(list(4)).zip(list(5)) {
        let _ = writeln!(text, "  | {x} | {y} ± {} sd |", 1e-6 / weight.sqrt());
    }
    text.push_str("worked b = slope(t.x, t.y)\nworked a = intercept(t.x, t.y)\n");
    let sheet = load(&text);
    let field = |field: usize| row[field].parse::<f64>().unwrap();
    for (name, expected, standard) in [("b", field(6), field(8)), ("a", field(7), field(9))] {
        near(value(&sheet, name), expected, 1e-9, name);
        near(doubt(&sheet, name).standard, standard, 1e-9, name);
        near(doubt(&sheet, name).degrees_of_freedom, 5.0, 1e-6, name);
    }
}

// ---- the clock ----

/// numpy, weights by effective variance: u² + (slope·u_x)²; ∂slope/∂x_i = (e_i − slope·(x_i − x̄))/Sxx.
/// The weight at the first row moves with the first clock time too.
#[test]
fn a_clock_that_may_be_off_goes_into_the_line() {
    let sheet = load(
        &table(
            "sure",
            "time ± 3 min | gross [lb ± 0.05]",
            &["10:29 | 36.7", "13:38 | 29.4", "15:07 | 25.9", "16:21 | 23.0"],
        )
        .add(&table(
            "rough",
            "time ± 1 min | gross [lb ± 0.05]",
            &[
                "10:00 | 36.7",
                "11:00 | 34.6",
                "12:00 | 32.0",
                "14:00 | 27.5",
                "15:30 | 24.4",
            ],
        ))
        .add(&table(
            "cells",
            "time | gross [lb ± 0.05]",
            &[
                "10:29 ± 3 min | 36.7",
                "13:38 ± 3 min | 29.4",
                "15:07 ± 3 min | 25.9",
                "16:21 ± 3 min | 23.0",
            ],
        ))
        .add(
            "worked rate = burn_rate(sure.time, sure.gross)\nworked at_first = intercept(sure.time, sure.gross)\n\
worked scattered = burn_rate(rough.time, rough.gross)\nworked begin = intercept(rough.time, rough.gross)\n\
worked by_cells = burn_rate(cells.time, cells.gross)\nworked span = last(sure.time) - first(sure.time)\n",
        ),
    );
    check(
        &sheet,
        "rate",
        (2.334_728_668_171_558, 0.016_721_086_984_255_3, f64::INFINITY),
    );
    check(
        &sheet,
        "by_cells",
        (2.334_728_668_171_558, 0.016_721_086_984_255_3, f64::INFINITY),
    );
    near(
        doubt(&sheet, "at_first").standard,
        0.036_835_688_377_321_54,
        1e-7,
        "at first",
    );
    near(
        doubt(&sheet, "span").standard,
        0.05 * 2f64.sqrt() / ROOT_3,
        1e-9,
        "span",
    );
    check(&sheet, "scattered", (2.26, 0.040_825_112_551_159_4, 3.0));
    near(doubt(&sheet, "begin").standard, 0.130_660_544_960_058_36, 1e-7, "begin");
}

#[test]
fn an_odd_time_weighs_less() {
    let sheet = load(
        &table(
            "run",
            "time ± 1 min | gross [lb ± 0.05]",
            &["10:00 | 36.7", "11:00 ± 20 min | 35.4", "12:00 | 32.1", "14:00 | 27.6"],
        )
        .add("worked rate = burn_rate(run.time, run.gross)\nworked loose = intercept(run.time, run.gross) - rate * 1 h\n"),
    );
    // the line passes the three others, 34.4 lb at eleven
    assert!(
        (value(&sheet, "loose") - 34.4).abs() < 0.02,
        "{}",
        value(&sheet, "loose")
    );
    let (figures, first_order) = (drawn(&sheet, "rate", 50_000), doubt(&sheet, "rate"));
    assert_eq!(first_order.degrees_of_freedom, 2.0);
    near(
        (figures.high - figures.low) / 2.0,
        4.302_653 * first_order.standard,
        0.08,
        "drawn",
    );
}

/// Two columns with a standard uncertainty of each, as a table, its slope and its intercept.
fn two_axes(rows: impl Iterator<Item = [f64; 4]>) -> Sheet {
    let mut text = String::from("table t\n  | x | y |\n");
    for [x, y, sure_x, sure_y] in rows {
        let _ = writeln!(text, "  | {x} ± {sure_x:.12} sd | {y} ± {sure_y:.12} sd |");
    }
    load(
        &(text
            + "worked b = slope(t.x, t.y)\nworked a = intercept(t.x, t.y)\nworked at_five = fitted_at(t.x, t.y, 5)\n"),
    )
}

/// Pearson's data with York's weights: slope −0.480533407 and intercept 5.47991022, standard
/// errors 0.0580 and 0.2950 by what was declared (York et al., Am. J. Phys. 72 (2004) 367,
/// table II), and the scatter S/(n − 2) = 1.483294, which is more than was declared. Weights
/// by effective variance alone, the readings left in place, give −0.463449.
#[test]
fn errors_in_both_axes() {
    let mut reader = csv::Reader::from_reader(PEARSON.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let field = |row: &csv::StringRecord, field: usize| row[field].parse::<f64>().unwrap();
    let sd = |row: &csv::StringRecord, place: usize| 1.0 / field(row, place).sqrt();
    let as_read = |row: &csv::StringRecord| [field(row, 0), field(row, 1), sd(row, 2), sd(row, 3)];
    let sheet = two_axes(rows.iter().map(as_read));
    let scatter = 1.483_294_149_f64.sqrt();
    near(value(&sheet, "b"), -0.480_533_407, 1e-8, "slope");
    near(value(&sheet, "a"), 5.479_910_22, 1e-8, "intercept");
    // what is beyond the declared is put on the readings up alone, in proportion to their own
    near(
        doubt(&sheet, "b").standard,
        0.057_985_0 * scatter,
        0.005,
        "u of the slope",
    );
    near(
        doubt(&sheet, "a").standard,
        0.294_970_7 * scatter,
        0.025,
        "u of the intercept",
    );
    assert_eq!(doubt(&sheet, "b").degrees_of_freedom, 8.0);
    let figures = drawn(&sheet, "b", 20_000);
    // t with 8 degrees of freedom, 97.5 %: 2.306004; with errors along that large refits bend
    near(
        (figures.high - figures.low) / 2.0,
        2.306_004 * 0.057_985_0 * scatter,
        0.1,
        "drawn",
    );
    // the line is the same with the axes changed
    let turned = two_axes(
        rows.iter()
            .map(as_read)
            .map(|[x, y, sure_x, sure_y]| [y, x, sure_y, sure_x]),
    );
    near(value(&turned, "b"), 1.0 / value(&sheet, "b"), 1e-8, "turned");
}

/// Twenty points about y = 1 + 2x made up with errors of 0.5 in x and 0.2 in y. With the same
/// errors everywhere the line is Deming's, by Deming's closed form (W. E. Deming, Statistical
/// Adjustment of Data, 1943): with δ = u_y²/u_x² and the sums about the means, b = (Syy − δ Sxx +
/// √((Syy − δ Sxx)² + 4 δ Sxy²)) / (2 Sxy).
#[test]
fn errors_alike_in_both_axes() {
    let mut chance = Chance(11);
    let points: Vec<[f64; 2]> = (0..20)
        .map(|row| {
            let x = f64::from(row) * 0.3;
            [x + 0.5 * chance.normal(), 1.0 + 2.0 * x + 0.2 * chance.normal()].map(|value| (value * 1e4).round() / 1e4)
        })
        .collect();
    let sheet = two_axes(points.iter().map(|[x, y]| [*x, *y, 0.5, 0.2]));
    let mean = |place: usize| points.iter().map(|point| point[place]).sum::<f64>() / 20.0;
    let (mean_x, mean_y) = (mean(0), mean(1));
    let sum = |of: fn(f64, f64) -> f64| points.iter().map(|[x, y]| of(x - mean_x, y - mean_y)).sum::<f64>();
    let (xx, yy, xy) = (sum(|x, _| x * x), sum(|_, y| y * y), sum(|x, y| x * y));
    let ratio = 0.2_f64.powi(2) / 0.5_f64.powi(2);
    let gap = yy - ratio * xx;
    let deming = (gap + (gap * gap + 4.0 * ratio * xy * xy).sqrt()) / (2.0 * xy);
    near(value(&sheet, "b"), deming, 1e-9, "slope");
    near(value(&sheet, "a"), mean_y - deming * mean_x, 1e-8, "intercept");
}

/// A cloud as wide as it is high, its places as unsure as its readings: any line does nearly
/// as well (by turns, with Python, the slope is 0.77 after a hundred and 2.46 after two thousand).
#[test]
fn a_line_that_does_not_settle_says_so() {
    let mut text = String::from("table t\n  | x ± 1 | y ± 1 |\n");
    for row in ["0 | 1", "1 | 0", "1 | 1.02", "0 | 0.01"] {
        let _ = writeln!(text, "  | {row} |");
    }
    let sheet = Sheet::load(text + "worked b = slope(t.x, t.y)\n", None);
    let problems = sheet.problems();
    let told: Vec<&str> = problems.iter().map(|problem| problem.message.as_str()).collect();
    assert!(told.iter().any(|told| told.contains("doesn't settle")), "{told:?}");
}

// ---- agreement ----

/// By hand: u 0.057735 with 1.0656 degrees of freedom and 0.0144338 with 4, 1.2017 together,
/// so k = 13.9677 and 0.025/(13.9677 × 0.0595119).
#[test]
fn agreement_counts_degrees_and_what_is_shared() {
    let sheet = load(
        &table(
            "one",
            "hours [h] | gross [lb ± 0.05]",
            &["0 | 36.4", "2 | 32.2", "4 | 27.6"],
        )
        .add(&table(
            "two",
            "hours [h] | gross [lb ± 0.05]",
            &["0 | 30.4", "2 | 26.0", "4 | 21.5"],
        ))
        .add(
            "measured x = 3 lb ± 0.2 lb k=2\nmeasured z = 3.4 lb ± 0.2 lb k=2\nworked y = x + z\n\
worked runs = normalized_error(burn_rate(one.hours, one.gross), burn_rate(two.hours, two.gross))\n\
worked plain = normalized_error(x, z)\nworked shared = normalized_error(y, x)\n",
        ),
    );
    near(value(&sheet, "runs"), 0.030_075_324_996_692, 1e-6, "runs");
    near(value(&sheet, "plain"), 0.4 / 0.08f64.sqrt(), 1e-9, "plain");
    // y − x is z, and x takes itself out
    near(value(&sheet, "shared"), 3.4 / 0.2, 1e-9, "shared");
    let twin = Sheet::load(
        "measured x = 3 lb ± 0.2 lb\nworked y = x + 1 lb\nworked e = normalized_error(x, y)\n".to_owned(),
        None,
    );
    let problems = twin.problems();
    assert!(
        problems
            .iter()
            .any(|problem| problem.message.contains("the other doesn't share")),
        "{problems:?}"
    );
}

// ---- limits ----

/// What rests on limits alone is off by no more than they are: 0.1 lb, and 0.2 lb of two.
#[test]
fn a_copy_is_no_wider_than_its_limits() {
    let sheet = load(
        "measured x = 3 lb ± 0.1 lb\nmeasured y = 3 lb ± 0.01 lb\nmeasured s = 3 lb ± 0.1 lb sd\nworked copy = x\nworked twice = 2 * x\nworked both = x + y\nworked normal = x + s\n",
    );
    let shown = |name: &str| {
        let cell = sheet.cell(name).unwrap();
        let entry = tarebook::report::compose::entry(&sheet, cell, Default::default());
        entry.unwrap().shown.display()
    };
    assert_eq!(shown("copy"), "3.00 lb ± 0.10 lb k=1.73");
    assert_eq!(shown("twice"), "6.00 lb ± 0.20 lb k=1.73");
    assert_eq!(shown("both"), "6.00 lb ± 0.11 lb k=1.9");
    assert_eq!(shown("normal"), "6.00 lb ± 0.23 lb k=2");
}

// ---- how often the truth lies inside ----

/// A run with 3 to 8 readings of a display in steps of 0.1 lb, a clock that may be off by
/// 3 min, and a swing of the cylinder, declared or not: its text, the true rate, and the
/// true time from the last reading until it is empty.
fn made_up(chance: &mut Chance, number: usize, declared: bool) -> (String, f64, f64) {
    let least = if declared { 3.0 } else { 4.0 };
    let count = chance.between(least, 9.0).floor() as usize;
    let (swing, rate) = (chance.between(0.0, 0.12), chance.between(0.8, 3.2));
    let (begin, span) = (chance.between(33.0, 38.0), chance.between(2.0, 8.0));
    let mut minutes: Vec<u32> = (0..count)
        .map(|row| (60.0 * span * (row as f64 + chance.between(-0.3, 0.3).max(-(row as f64))) / count as f64) as u32)
        .collect();
    minutes.dedup();
    let heading = match declared {
        true => format!("[lb ± {:.4} sd]", swing.hypot(0.1 / 12f64.sqrt())),
        false => "[lb]".to_owned(),
    };
    let mut text = format!("table run_{number}\n  | time ± 3 min | gross {heading} |\n");
    let mut last = 0.0;
    for minute in &minutes {
        let off = chance.between(-3.0, 3.0);
        last = begin - rate * (f64::from(*minute) + off) / 60.0;
        let seen = ((last + swing * chance.normal()) * 10.0).round() / 10.0;
        let _ = writeln!(text, "  | {:02}:{:02} | {seen:.1} |", 8 + minute / 60, minute % 60);
    }
    let _ = write!(
        text,
        "worked rate_{number} = burn_rate(run_{number}.time, run_{number}.gross)\nworked left_{number} = (last(run_{number}.gross) - 18 lb) / rate_{number}\n\n"
    );
    (text, rate, (last - 18.0) / rate)
}

/// How many of so many made-up runs are covered: their rates, and what is left.
fn covered(chance: &mut Chance, runs: usize, declared: bool) -> (usize, usize) {
    let made: Vec<(String, f64, f64)> = (0..runs).map(|number| made_up(chance, number, declared)).collect();
    let sheet = load(&made.iter().map(|(text, ..)| text.as_str()).collect::<String>());
    let cell = |what: &str, number: usize| sheet.cell(&format!("{what}_{number}")).unwrap();
    let cells = (0..runs).flat_map(|number| [cell("rate", number), cell("left", number)]);
    let doubts = sheet.appraise(cells).doubts;
    let inside = |what: &str, number: usize, truth: f64| match doubts.get(&cell(what, number)) {
        Some(Doubt::One(doubt)) => (value(&sheet, &format!("{what}_{number}")) - truth).abs() <= doubt.expanded(),
        other => panic!("{what}_{number}: {other:?}"),
    };
    let rates = made
        .iter()
        .enumerate()
        .filter(|(number, made)| inside("rate", *number, made.1));
    let lefts = made
        .iter()
        .enumerate()
        .filter(|(number, made)| inside("left", *number, made.2));
    (rates.count(), lefts.count())
}

/// With 1500 runs a count is good to 0.6 in 100. The same in numpy over 40 000 runs: 97.0 and
/// 97.2 in 100 where swing is declared, 95.3 and 92.8 where nobody did.
#[test]
fn the_truth_lies_inside_about_as_often_as_is_said() {
    let mut chance = Chance(20_261_129);
    let mut count = |declared: bool| {
        let parts: Vec<(usize, usize)> = (0..15).map(|_| covered(&mut chance, 50, declared)).collect();
        let sum = |of: fn(&(usize, usize)) -> usize| parts.iter().map(of).sum::<usize>() as f64 / 7.5;
        (sum(|part| part.0), sum(|part| part.1))
    };
    let (declared, undeclared) = (count(true), count(false));
    let rate = (declared.0 + undeclared.0) / 2.0;
    let left = (declared.1 + undeclared.1) / 2.0;
    let told = format!("{declared:?} {undeclared:?}");
    assert!((93.0..=98.0).contains(&rate), "rate: {told}");
    assert!((93.0..=98.0).contains(&left), "last reading and rate: {told}");
    assert!(declared.0 > 94.0 && declared.1 > 94.0, "{told}");
    assert!(undeclared.0 > 92.0 && undeclared.1 > 90.0, "{told}");
}
