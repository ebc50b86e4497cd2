//! Uncertainties of results, against values worked out elsewhere.
//!
//! tests/data/uncertainty.csv is linear propagation by another program,
//! gum_h1.csv the end-gauge example of JCGM 100:2008, regression.csv straight
//! lines by exact rational arithmetic and NIST StRD "Norris". Student's factors
//! come from the `statrs` package.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod weighed;

use std::fmt::Write as _;

use statrs::distribution::{ContinuousCDF, StudentsT};
use tarebook::sheet::Sheet;
use tarebook::trade::line::student_k;

use weighed::{doubt, load, value};

const PROPAGATION: &str = include_str!("data/uncertainty.csv");
const END_GAUGE: &str = include_str!("data/gum_h1.csv");
const LINES: &str = include_str!("data/regression.csv");

/// |c·u| of each source, in the order in which they were met.
fn contributions(sheet: &Sheet, name: &str) -> Vec<f64> {
    let cell = sheet.cell(name).unwrap();
    let appraisal = sheet.appraise([cell]);
    let gradient = appraisal.gradients.get(&cell).cloned().unwrap_or_default().parts();
    let parts = gradient.iter().map(|(source, sensitivity)| {
        let standard = appraisal.sources.list[*source as usize].standard;
        (sensitivity * standard).abs()
    });
    parts.collect()
}

fn near(found: f64, expected: f64, relative: f64, what: &str) {
    let gap = (found - expected).abs();
    assert!(
        gap <= relative * expected.abs().max(1e-30),
        "{what}: {expected} expected, found {found}"
    );
}

fn records(text: &str) -> Vec<csv::StringRecord> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.records().map(Result::unwrap).collect()
}

fn numbers(list: &str) -> Vec<f64> {
    list.split(';').map(|number| number.parse().unwrap()).collect()
}

// ---- propagation ----

#[test]
fn propagation_is_that_of_another_program() {
    for row in records(PROPAGATION) {
        let (names, values, standards): (Vec<&str>, Vec<&str>, Vec<&str>) = (
            row[2].split(';').collect(),
            row[3].split(';').collect(),
            row[4].split(';').collect(),
        );
        let mut text = String::new();
        for ((name, value), standard) in names.iter().zip(&values).zip(&standards) {
            text.push_str(&format!("measured {name} = {value} ± {standard} sd\n"));
        }
        text.push_str(&format!("worked result = {}\n", &row[1]));
        let sheet = load(&text);
        let what = format!("{} {}", &row[0], &row[1]);
        near(value(&sheet, "result"), row[5].parse().unwrap(), 1e-12, &what);
        near(doubt(&sheet, "result").standard, row[6].parse().unwrap(), 1e-9, &what);
        let mut found = contributions(&sheet, "result");
        let mut expected: Vec<f64> = numbers(&row[7]);
        expected.retain(|part| *part > 0.0);
        found.retain(|part| *part > 0.0);
        found.sort_by(f64::total_cmp);
        expected.sort_by(f64::total_cmp);
        assert_eq!(found.len(), expected.len(), "{what}: {found:?}");
        for (found, expected) in found.iter().zip(&expected) {
            near(*found, *expected, 1e-9, &what);
        }
    }
}

/// The derivatives of the NIST Digital Library of Mathematical Functions, 4.7 and 4.2, at 5 ± 0.1,
/// −3 ± 0.2 and 20 ± 0.01.
#[test]
fn powers_logarithms_and_magnitudes_carry_their_slopes() {
    let sheet = load(
        "measured x = 5 ± 0.1 sd\nmeasured below = -3 ± 0.2 sd\nmeasured fine = 20 ± 0.01 sd\n\
worked natural = ln(x)\nworked decimal = log10(x)\nworked raised = exp(x)\nworked root = sqrt(x)\n\
worked power = x^2.5\nworked exponent = 2^x\nworked size = abs(below)\nworked least = min(x, fine)\n\
worked greatest = max(x, fine)\nworked both = x^(below / 2)\n",
    );
    let expected = [
        ("natural", 0.1 / 5.0),
        ("decimal", 0.1 / 5.0 / 10f64.ln()),
        ("raised", 0.1 * 5f64.exp()),
        ("root", 0.05 / 5f64.sqrt()),
        ("power", 2.5 * 5f64.powf(1.5) * 0.1),
        ("exponent", 2f64.ln() * 32.0 * 0.1),
        ("size", 0.2),
        ("least", 0.1),
        ("greatest", 0.01),
        (
            "both",
            (1.5 * 5f64.powf(-2.5) * 0.1).hypot(5f64.ln() * 5f64.powf(-1.5) * 0.1),
        ),
    ];
    for (name, expected) in expected {
        near(doubt(&sheet, name).standard, expected, 1e-9, name);
    }
}

/// By hand: 8 h of 100 W more at 4.8 lb/h · 60 %/3600 W are 0.64 lb.
#[test]
fn a_sum_over_rows_carries_each_of_them() {
    let sheet = load(
        "table day\n  | hours [h] | load [W] |\n  | 8 | 900 ± 100 |\n  | 6 ± 0.5 | 400 |\n\
worked fuel = fuel_needed(day.hours, day.load, 3600 W, 4.8 lb/h, 40 %)\n\
worked apart = fuel - first(day.load) * 0.0064 lb/W\n",
    );
    // half an hour more at 4.8 lb/h · (40 % + 60 % · 400/3600) are 1.12 lb
    let together = 0.64f64.hypot(1.12) / 3f64.sqrt();
    near(doubt(&sheet, "fuel").standard, together, 1e-9, "fuel");
    // what the load adds taken off again
    near(doubt(&sheet, "apart").standard, 1.12 / 3f64.sqrt(), 1e-9, "apart");
}

/// The printed table of a 100-lb cylinder goes from 10 to 100 lb by straight lines: at its two ends
/// the slope is that on the inner side.
#[test]
fn at_the_end_of_a_table_the_inner_side_tells() {
    let sheet = load(
        "measured little = 10 lb ± 0.1 lb sd\nmeasured more = 10.015 lb ± 0.1 lb sd\nmeasured full = 100 lb ± 0.1 lb sd\n\
worked low = hundred_pound_capacity(little, 20 °F)\nworked inside = hundred_pound_capacity(more, 20 °F)\nworked high = hundred_pound_capacity(full, 20 °F)\n\
worked rise = hundred_pound_capacity(11 lb, 20 °F) - hundred_pound_capacity(10 lb, 20 °F)\n\
worked fall = hundred_pound_capacity(100 lb, 20 °F) - hundred_pound_capacity(99 lb, 20 °F)\n",
    );
    near(doubt(&sheet, "low").standard, 0.1 * value(&sheet, "rise"), 1e-9, "low");
    near(
        doubt(&sheet, "high").standard,
        0.1 * value(&sheet, "fall"),
        1e-9,
        "high",
    );
    near(
        doubt(&sheet, "inside").standard,
        0.1 * value(&sheet, "rise"),
        1e-9,
        "inside",
    );
    assert!(value(&sheet, "rise") > 0.0 && value(&sheet, "fall") > 0.0);
}

/// Central differences of a root found by scipy 1.17.1 in the same balance, with the propane
/// of CoolProp 8.0.0; standing: computed.
#[test]
fn a_settled_temperature_carries_its_inputs() {
    let sheet = load(
        "measured rate = 1 lb/h ± 0.05 lb/h sd\nmeasured left = 8 lb ± 0.2 lb sd\n\
measured across = 12 in ± 0.1 in sd\nmeasured air = 40 °F ± 1 F° sd\n\
assumed film = 14 W/(m2·C°) ± 3 W/(m2·C°) sd\n\
worked liquid = equilibrium_temperature(rate, left, across, air, film)\n",
    );
    let expected: [f64; 5] = [2.24338, 0.607677, 0.140116, 1.106831, 9.6145];
    let found = contributions(&sheet, "liquid");
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        near(*found, expected, 1e-3, "a part of the doubt");
    }
    let together = expected.iter().map(|part| part * part).sum::<f64>().sqrt();
    near(doubt(&sheet, "liquid").standard, together, 1e-3, "the doubt");
    // the root itself: −0.5370 °F with CoolProp, −0.5378 °F with the fits
    assert!((value(&sheet, "liquid") + 0.5374).abs() < 0.001);
}

#[test]
fn the_end_gauge_comes_out() {
    let mut text = String::new();
    for row in records(END_GAUGE) {
        let unit = |unit: &str| {
            if unit.is_empty() {
                String::new()
            } else {
                format!(" {unit}")
            }
        };
        let freedom = if row[5].is_empty() {
            String::new()
        } else {
            format!(" df={}", &row[5])
        };
        text.push_str(&format!(
            "measured {} = {}{} ± {}{} sd{freedom}\n",
            &row[0],
            &row[1],
            unit(&row[2]),
            &row[3],
            unit(&row[4])
        ));
    }
    text.push_str("worked l [mm] = l_S + d - l_S * (delta_alpha * theta + alpha_S * delta_theta)\n");
    let sheet = load(&text);
    near(value(&sheet, "l"), 50.000838, 1e-12, "length");
    let found = doubt(&sheet, "l");
    // JCGM 100:2008 H.1: 25, 9.7, 2.9 and 16.6 nm make 32 nm, with 16.7 degrees of freedom, taken as 16
    assert_eq!((found.standard * 1e6).round(), 32.0, "{found:?}");
    assert_eq!((found.degrees_of_freedom * 10.0).round(), 167.0, "{found:?}");
    assert_eq!(found.degrees_of_freedom.floor(), 16.0);
    let mut parts: Vec<f64> = contributions(&sheet, "l").iter().map(|part| part * 1e6).collect();
    parts.retain(|part| *part > 1e-9);
    parts.sort_by(f64::total_cmp);
    for (found, expected) in parts.iter().zip([2.9, 9.7, 16.6, 25.0]) {
        assert!((found - expected).abs() < 0.08, "{parts:?}");
    }
    assert_eq!(parts.len(), 4);
}

#[test]
fn tolerances_state_a_standard_uncertainty() {
    // JCGM 100:2008: 4.3.7 rectangular a/√3, 4.3.3 k times the standard uncertainty
    let root3 = 3f64.sqrt();
    for (written, standard, freedom) in [
        ("37.4 lb ± 0.2 lb", 0.2 / root3, f64::INFINITY),
        ("37.4 ± 0.2 lb", 0.2 / root3, f64::INFINITY),
        ("37.4 lb ± 2 %", 0.748 / root3, f64::INFINITY),
        ("-37.4 lb ± 2 %", 0.748 / root3, f64::INFINITY),
        ("37.4 lb ± 2 % sd", 0.748, f64::INFINITY),
        ("37.4 lb ± 0.2 lb sd", 0.2, f64::INFINITY),
        ("37.4 lb ± 0.2 lb sd df=18", 0.2, 18.0),
        ("37.4 lb ± 0.2 lb k=2", 0.1, f64::INFINITY),
        ("37.4 lb ± 0.2 lb k=2.5 df=7", 0.08, 7.0),
        ("2 * 3.1 lb ± 0.1 lb", 0.1 / root3, f64::INFINITY),
        ("24 °F ± 3 °F", 3.0 / root3, f64::INFINITY),
        ("40 % ± 5 %", 5.0 / root3, f64::INFINITY),
        ("12 lb 6 oz ± 2 oz", 2.0 / root3, f64::INFINITY),
        ("21:40 ± 5 min", 300.0 / root3, f64::INFINITY),
        ("74 dB ± 2 dB", 2.0 / root3, f64::INFINITY),
        ("74 dB ± 2 dB df=4", 2.0 / root3, 4.0),
    ] {
        let sheet = load(&format!("measured x = {written}\n"));
        let found = doubt(&sheet, "x");
        near(found.standard, standard, 1e-12, written);
        assert_eq!(found.degrees_of_freedom, freedom, "{written}");
    }
}

#[test]
fn degrees_of_freedom_go_after_welch_and_satterthwaite() {
    // JCGM 100:2008 G.2b: u⁴/Σ(uᵢ⁴/νᵢ); with 3 and 4, each 5: 25²/(81/5 + 256/5)
    let sheet = load(
        "measured a = 10 lb ± 3 lb sd df=5\nmeasured b = 20 lb ± 4 lb sd df=5\nmeasured c = 1 lb ± 12 lb sd\nworked x = a + b\nworked y = a + b + c\nworked z = a - a\n",
    );
    near(doubt(&sheet, "x").degrees_of_freedom, 625.0 * 5.0 / 337.0, 1e-12, "x");
    near(
        doubt(&sheet, "y").degrees_of_freedom,
        169.0 * 169.0 * 5.0 / 337.0,
        1e-12,
        "y",
    );
    assert_eq!(doubt(&sheet, "z").standard, 0.0);
}

#[test]
fn what_is_taken_from_itself_is_sure() {
    let sheet = load(
        "measured gross = 51.9 lb ± 0.05 lb\nmeasured tare = 24.6 lb ± 0.2 lb\nworked fuel = gross - tare\nworked none = fuel - gross + tare\nworked one = fuel / fuel\nworked twice = fuel + fuel\n",
    );
    assert_eq!(doubt(&sheet, "none").standard, 0.0);
    assert_eq!(doubt(&sheet, "one").standard, 0.0);
    near(
        doubt(&sheet, "twice").standard,
        2.0 * doubt(&sheet, "fuel").standard,
        1e-12,
        "twice",
    );
    near(
        doubt(&sheet, "fuel").standard,
        (0.05f64.powi(2) / 3.0 + 0.04 / 3.0).sqrt(),
        1e-12,
        "fuel",
    );
}

#[test]
fn a_heading_lets_each_reading_err_on_its_own() {
    let sheet = load(
        "measured zero = 0 lb ± 0.3 lb sd\ntable log\n  | gross [lb ± 0.05] | net [lb ± 2 % sd] |\n  | 10 | 10 |\n  | 20 | 20 |\n  | 30 ± 0.5 | 30 |\nworked total = sum(log.gross)\nworked shared = sum(log.gross + zero)\nworked relative = sum(log.net)\nworked step = last(log.gross) - first(log.gross)\n",
    );
    let each = 0.05f64.powi(2) / 3.0;
    let last = 0.25 / 3.0;
    near(
        doubt(&sheet, "total").standard,
        (2.0 * each + last).sqrt(),
        1e-12,
        "total",
    );
    near(
        doubt(&sheet, "shared").standard,
        (2.0 * each + last + 0.81).sqrt(),
        1e-12,
        "shared",
    );
    near(
        doubt(&sheet, "relative").standard,
        (0.04 + 0.16 + 0.36f64).sqrt(),
        1e-12,
        "relative",
    );
    near(doubt(&sheet, "step").standard, (each + last).sqrt(), 1e-12, "step");
}

// ---- straight lines ----

struct LineRow {
    id: String,
    x: Vec<String>,
    y: Vec<String>,
    fields: Vec<f64>,
}

/// The unweighted rows, with the fields from `slope` on.
fn lines() -> Vec<LineRow> {
    let rows = records(LINES);
    let unweighted = rows.iter().filter(|row| &row[1] == "OLS");
    let read = unweighted.map(|row| LineRow {
        id: row[0].to_owned(),
        x: row[3].split(';').map(str::to_owned).collect(),
        y: row[4].split(';').map(str::to_owned).collect(),
        fields: (6..=16).map(|field| row[field].parse().unwrap()).collect(),
    });
    read.collect()
}

impl LineRow {
    fn table(&self, name: &str, x: &str, y: &str) -> String {
        let mut text = format!("table {name}\n  | x{x} | y{y} |\n");
        for (x, y) in self.x.iter().zip(&self.y) {
            text.push_str(&format!("  | {x} | {y} |\n"));
        }
        text
    }

    fn freedom(&self) -> f64 {
        self.x.len() as f64 - 2.0
    }
}

/// Student's t for 95 % on both sides.
fn student_95(freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom).unwrap().inverse_cdf(0.975)
}

#[test]
fn lines_and_their_scatter_come_out() {
    for row in lines() {
        let [
            slope,
            intercept,
            se_slope,
            se_intercept,
            _,
            _,
            at,
            on_line,
            mean_low,
            mean_high,
            low,
        ] = row.fields[..]
        else {
            panic!("{} fields", row.fields.len())
        };
        let text = format!(
            "{}worked b = slope(t.x, t.y)\nworked a = intercept(t.x, t.y)\nworked on = fitted_at(t.x, t.y, {at})\nworked next = next_reading(t.x, t.y, {at})\nworked by_parts = a + b * {at}\n",
            row.table("t", "", "")
        );
        let sheet = load(&text);
        let student = student_95(row.freedom());
        for (name, expected, standard) in [
            ("b", slope, se_slope),
            ("a", intercept, se_intercept),
            ("on", on_line, (mean_high - mean_low) / 2.0 / student),
            // a and b share the scatter: their doubt is not added as if they didn't
            ("by_parts", on_line, (mean_high - mean_low) / 2.0 / student),
            ("next", on_line, (on_line - low) / student),
        ] {
            let what = format!("{} {name}", row.id);
            near(value(&sheet, name), expected, 1e-9, &what);
            let found = doubt(&sheet, name);
            near(found.standard, standard, 1e-9, &what);
            near(found.degrees_of_freedom, row.freedom(), 1e-9, &what);
        }
    }
}

/// Cylinder weights as `ro1` of the data, read as lb against hours: the rate is minus the slope.
#[test]
fn a_burn_rate_has_the_standard_error_of_its_slope_and_students_k() {
    let lines = lines();
    let row = lines.iter().find(|row| row.id == "ro1").unwrap();
    let sheet = load(&format!(
        "{}worked rate = burn_rate(t.x, t.y)\nworked rate_kg [kg/h] = rate\n",
        row.table("t", " [h]", " [lb]")
    ));
    near(value(&sheet, "rate"), -row.fields[0], 1e-9, "rate");
    let found = doubt(&sheet, "rate");
    near(found.standard, row.fields[2], 1e-9, "standard error");
    near(found.degrees_of_freedom, 6.0, 1e-9, "degrees of freedom");
    // JCGM 100:2008 table G.2, 95.45 %, 6 degrees of freedom: 2.52
    assert_eq!((student_k(found.degrees_of_freedom) * 100.0).round(), 252.0);
    let in_kg = doubt(&sheet, "rate_kg");
    near(in_kg.standard, row.fields[2] * 0.45359237, 1e-9, "in kg");
}

#[test]
fn a_line_keeps_its_doubt_in_any_unit_and_with_an_attachment() {
    let lines = lines();
    let row = lines.iter().find(|row| row.id == "ro1").unwrap();
    let sheet = load(&format!(
        "{}worked rate = burn_rate(t.x, t.y)\nworked bare = burn_rate(t.x, t.y - 3 kg)\nworked same = rate - bare\nworked weight = intercept(t.x, t.y)\nworked empty = weight - rate * 23 h\nworked on [kg] = fitted_at(t.x, t.y, 23 h)\n",
        row.table("t", " [h]", " [kg]")
    ));
    let pound = 0.45359237;
    near(
        doubt(&sheet, "rate").standard,
        row.fields[2] / pound,
        1e-9,
        "rate in lb/h",
    );
    near(
        doubt(&sheet, "bare").standard,
        row.fields[2] / pound,
        1e-9,
        "with attachment",
    );
    assert!(doubt(&sheet, "same").standard < 1e-12);
    near(
        doubt(&sheet, "empty").standard,
        doubt(&sheet, "on").standard,
        1e-9,
        "in lb and in kg",
    );
}

#[test]
fn two_runs_do_not_share_their_scatter() {
    let text = "table one\n  | time | gross [kg] |\n  | 18:00 | 40.0 |\n  | 19:00 | 39.1 |\n  | 20:00 | 37.9 |\n  | 21:00 | 37.0 |\n\
        table two\n  | time | gross [kg] |\n  | 18:00 | 30.0 |\n  | 19:00 | 28.4 |\n  | 20:00 | 27.7 |\n  | 21:00 | 26.3 |\n\
        worked a = burn_rate(one.time, one.gross)\nworked b = burn_rate(two.time, two.gross)\nworked c = a - b\nworked e = burn_rate(one.time, one.gross) - burn_rate(two.time, two.gross)\n";
    let sheet = load(text);
    let (a, b) = (doubt(&sheet, "a").standard, doubt(&sheet, "b").standard);
    // least squares by hand over x = −1.5 … 1.5, Sxx = 5: s² = Σe²/2, u = s/√5
    let by_hand = |y: [f64; 4]| {
        let slope = (-1.5 * y[0] - 0.5 * y[1] + 0.5 * y[2] + 1.5 * y[3]) / 5.0;
        let mean = y.iter().sum::<f64>() / 4.0;
        let off = y.iter().zip([-1.5, -0.5, 0.5, 1.5]).map(|(y, x)| y - mean - slope * x);
        (off.map(|off| off * off).sum::<f64>() / 2.0 / 5.0).sqrt() / 0.45359237
    };
    near(a, by_hand([40.0, 39.1, 37.9, 37.0]), 1e-9, "one");
    near(b, by_hand([30.0, 28.4, 27.7, 26.3]), 1e-9, "two");
    near(doubt(&sheet, "c").standard, a.hypot(b), 1e-9, "difference");
    near(doubt(&sheet, "e").standard, a.hypot(b), 1e-9, "difference at once");
}

#[test]
fn the_scatter_is_never_below_one_reading() {
    // on a line to the digit: the step of 0.1 lb, in kg too, stands for the scatter
    let rows = "  | 0 | 40.0 |\n  | 1 | 38.0 |\n  | 2 | 36.0 |\n";
    let step = 0.1 / 12f64.sqrt();
    let sheet = load(&format!(
        "table t\n  | x [h] | y [lb] |\n{rows}table k\n  | x [h] | y [kg] |\n{rows}table d\n  | x [h] | y [lb ± 0.3] |\n{rows}worked rate = burn_rate(t.x, t.y)\nworked in_kg [kg/h] = burn_rate(k.x, k.y)\nworked declared = burn_rate(d.x, d.y)\nworked last_two = burn_rate(t.x where t.x > 0 h, t.y where t.x > 0 h)\n"
    ));
    near(doubt(&sheet, "rate").standard, step / 2f64.sqrt(), 1e-9, "lb");
    near(doubt(&sheet, "in_kg").standard, step / 2f64.sqrt(), 1e-9, "kg");
    near(
        doubt(&sheet, "declared").standard,
        0.3 / 3f64.sqrt() / 2f64.sqrt(),
        1e-9,
        "declared",
    );
    // two readings: the difference over the time, with the instrument's uncertainty
    near(
        doubt(&sheet, "last_two").standard,
        step * 2f64.sqrt(),
        1e-9,
        "two readings",
    );
}

#[test]
fn what_all_readings_share_goes_into_the_line() {
    let text = "measured zero = 0 lb ± 0.5 lb sd\nmeasured scale = 1 ± 0.01 sd\ntable t\n  | x [h] | y [lb] |\n  | 0 | 40.0 |\n  | 1 | 38.0 |\n  | 2 | 36.0 |\nworked shifted = burn_rate(t.x, t.y + zero)\nworked scaled = burn_rate(t.x, t.y * scale)\nworked at = fitted_at(t.x, t.y + zero, 1 h)\n";
    let sheet = load(text);
    let own = 0.1 / 12f64.sqrt();
    near(doubt(&sheet, "shifted").standard, own / 2f64.sqrt(), 1e-6, "shifted");
    assert!(
        doubt(&sheet, "scaled").standard >= 0.02,
        "{:?}",
        doubt(&sheet, "scaled")
    );
    near(
        doubt(&sheet, "at").standard,
        (own * own / 3.0 + 0.25f64).sqrt(),
        1e-6,
        "at",
    );
}

/// A sum that runs over many inputs with ± shares what it rests on from line to line: variances by hand, from how
/// often each input counts.
#[test]
fn what_many_values_have_in_common_stays_theirs() {
    const MANY: u32 = 3_000;
    let mut text = String::from("measured a0 = 1 lb ± 0.1 lb\nworked up0 = a0\n");
    for at in 1..MANY {
        let before = at - 1;
        writeln!(text, "measured a{at} = {} lb ± 0.1 lb", at + 1).unwrap();
        writeln!(text, "worked up{at} = up{before} + a{at}").unwrap();
    }
    writeln!(text, "worked down{} = a{}", MANY - 1, MANY - 1).unwrap();
    for at in (0..MANY - 1).rev() {
        writeln!(text, "worked down{at} = a{at} + down{}", at + 1).unwrap();
    }
    text += "answer all = up2999\n\
        answer last = up2999 - up2998\n\
        answer some = up2999 * 2 - up1000\n\
        answer none = up2999 - down0\n\
        answer few = up2999 - down10\n\
        answer mean = up2999 / 3000\n\
        answer both = (up1999 + down1000) / 2\n\
        answer turned = 100 lb - down1500\n\
        answer squared = up99 * down2900\n";
    let sheet = load(&text);
    let one = doubt(&sheet, "a0").standard;
    let times = |name: &str, squares: f64| near(doubt(&sheet, name).standard, one * squares.sqrt(), 1e-9, name);
    times("up2000", 2_001.0);
    times("down2000", 1_000.0);
    times("all", 3_000.0);
    times("last", 1.0);
    // the first 1001 count once, the others twice
    times("some", 1_001.0 + 4.0 * 1_999.0);
    times("few", 10.0);
    times("mean", 3_000.0 / 9e6);
    times("both", (2_000.0 + 4.0 * 1_000.0) / 4.0);
    times("turned", 1_500.0);
    let (first, last) = (5_050.0, (2_901..=3_000).sum::<i32>().into());
    let slopes: (f64, f64) = (last, first);
    times("squared", 100.0 * (slopes.0.powi(2) + slopes.1.powi(2)));
    assert!(doubt(&sheet, "none").standard == 0.0);
    let found = contributions(&sheet, "some");
    assert_eq!(found.len(), 3_000);
    near(found.iter().sum(), one * (1_001.0 + 2.0 * 1_999.0), 1e-9, "some");
    // limits add up to what it can be off at most
    near(
        doubt(&sheet, "all").most,
        3_000.0 * doubt(&sheet, "a0").most,
        1e-9,
        "most",
    );
}
