//! The uncertainty budget of an answer, line by line against values from outside,
//! in every written form, with cases, trials and drawn figures.
//!
//! tests/data/uncertainty.csv is linear propagation by another program, gum_h1.csv
//! the end-gauge example of JCGM 100:2008, regression.csv straight lines by exact
//! rational arithmetic.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::path::Path;

use proptest::prelude::*;
use serde_json::Value;
use tarebook::report::compose::in_hand::in_hand;
use tarebook::report::compose::{Options, doubt as composed};
use tarebook::report::doubt::Doubt;
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::session::doubt::DoubtAsked;
use tarebook::sheet::Sheet;
use tarebook::study::Unwatched;
use tarebook::study::doubt::DrawnFigures;

const PROPAGATION: &str = include_str!("data/uncertainty.csv");
const END_GAUGE: &str = include_str!("data/gum_h1.csv");
const LINES: &str = include_str!("data/regression.csv");

const NIGHT: &str = "\
# A night

measured gross    = 37.1 lb ± 0.05 lb from \"hanging scale\"
quoted   tare     = 17.9 lb ± 0.2 lb sd df=5 from \"collar stamp\"
assumed  swap_at  = 7 lb              from \"swap at a third\"
assumed  rate     = 1.3 lb/h ± 0.1 lb/h k=2 from \"last winter\"
assumed  fuel_is  = \"propane\"
assumed  air      = 24 °F ± 3 °F
assumed  supper   = 17:30 ± 10 min
assumed  price    = $3.89/gal

table log
  | hour [h] | weight [lb ± 0.05] |
  | 0        | 33.9               |
  | 1        | 33.3               |
  | 2        | 32.6               |
  | 3 ± 0.1  | 32.0 ± 0.2         |

worked fuel                        = gross - tare
answer runtime \"by weight\" [h:min] = (fuel - swap_at) / rate
answer empty_at                    = supper + runtime
answer heat [BTU]                  = fuel * heat_per_pound(fuel_is)
answer cost [$/h]                  = rate / propane_density(60 °F) * price
answer gives [BTU/h]               = vaporization_capacity(12.2 in, 13.9 in, 40 %, air)
answer used                        = sum(log.weight) / 4
answer steady                      = slope(log.hour, log.weight)
answer bare                        = slope(log.hour, log.weight * 2)
answer each_hour                   = log.weight - tare
answer twice_over                  = fuel - gross + tare
answer plain                       = swap_at * 2
answer steep                       = (tare - 17.9 lb)^2 / 1 lb
table  course                      = draw_down(fuel, 0.305 m, 18 lb, air, rate, 14 W/(m2·C°), 10 psig)
answer stalls [h:min]              = draw_down_time(course)
answer ends                        = draw_down_end(course)
answer long_enough                 = runtime >= 8 h

case mild \"A mild night\"
  air = 50 °F
  rate = 1 lb/h ± 0.2 lb/h
";

fn session_of(text: &str) -> Session {
    Session::of_text("night.tare", text.to_owned(), &[], Options::default())
}

fn night() -> Session {
    let session = session_of(NIGHT);
    assert!(!session.sheet().has_problems(), "{:?}", session.sheet().problems());
    session
}

fn storm() -> Session {
    // an unoptimized build under load is slower than the time that a run usually has
    tarebook::time_limit::allow(std::time::Duration::from_secs(300));
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/winter-outage.tare");
    Session::open(&path, Options::default()).ok().unwrap()
}

fn asked(name: &str) -> DoubtAsked {
    DoubtAsked {
        name: name.to_owned(),
        ..DoubtAsked::default()
    }
}

fn ask(session: &mut Session, name: &str) -> Found<Doubt> {
    let found = session.doubt(&asked(name), &Unwatched);
    found.unwrap_or_else(|refusal| panic!("{name}: {refusal:?}"))
}

fn text(found: &Found<Doubt>, width: usize) -> String {
    let written = found.text(Style {
        colour: false,
        width,
        ..Style::default()
    });
    let widest = written.lines().map(|line| line.chars().count()).max().unwrap();
    assert!(widest <= width, "{widest} columns\n{written}");
    written
}

fn json(found: &Found<Doubt>) -> Value {
    let mut written = Vec::new();
    found.json(&mut written).unwrap();
    serde_json::from_slice(&written).unwrap()
}

fn csv_text(found: &Found<Doubt>) -> String {
    let mut rows = Vec::new();
    found.csv(&mut rows).unwrap();
    String::from_utf8(rows).unwrap()
}

/// A number of the machine format: decimal text.
fn number(value: &Value) -> f64 {
    let text = value.as_str().unwrap_or_else(|| panic!("{value} is no decimal text"));
    assert!(text.chars().all(|c| c.is_ascii_digit() || ".-".contains(c)), "{text}");
    text.parse().unwrap()
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

fn input<'a>(found: &'a Value, name: &str) -> &'a Value {
    let inputs = found["inputs"].as_array().unwrap();
    let named = inputs.iter().find(|input| input["name"] == name);
    named.unwrap_or_else(|| panic!("{name} isn't among {found:#}"))
}

// ---- values from outside ----

#[test]
fn a_budget_is_that_of_another_program() {
    for row in records(PROPAGATION) {
        let lists: Vec<Vec<&str>> = (2..5).map(|field| row[field].split(';').collect()).collect();
        let mut sheet = String::new();
        for ((name, value), standard) in lists[0].iter().zip(&lists[1]).zip(&lists[2]) {
            sheet.push_str(&format!("measured {name} = {value} ± {standard} sd\n"));
        }
        sheet.push_str(&format!("answer result = {}\n", &row[1]));
        let found = json(&ask(&mut session_of(&sheet), "result"));
        let what = format!("{} {}", &row[0], &row[1]);
        near(number(&found["value"]), row[5].parse().unwrap(), 1e-12, &what);
        let combined: f64 = row[6].parse().unwrap();
        if combined > 0.0 {
            near(number(&found["standard"]), combined, 1e-9, &what);
            near(number(&found["expanded"]), 2.0 * combined, 1e-9, &what);
        } else {
            assert!(found["standard"].is_null(), "{found:#}");
        }
        for (place, name) in lists[0].iter().enumerate() {
            let expected: f64 = row[7].split(';').nth(place).unwrap().parse().unwrap();
            let line = input(&found, name);
            near(number(&line["contribution"]), expected, 1e-9, &what);
            near(
                number(&line["standard"]),
                lists[2][place].parse().unwrap(),
                1e-12,
                &what,
            );
            let product = number(&line["sensitivity"]).abs() * number(&line["standard"]);
            near(product, expected, 1e-9, &what);
            if combined > 0.0 {
                near(number(&line["share"]), (expected / combined).powi(2), 1e-9, &what);
            }
        }
    }
}

/// JCGM 100:2008, table H.1: contributions 25, 9.7, 0, 0, 2.9 and 16.6 nm, u_c = 32 nm and
/// 16.7 effective degrees of freedom, each to the digits that it prints.
#[test]
fn the_end_gauge_line_by_line() {
    let mut sheet = String::new();
    for row in records(END_GAUGE) {
        let after_space = |unit: &str| match unit {
            "" => String::new(),
            unit => format!(" {unit}"),
        };
        let freedom = match &row[5] {
            "" => String::new(),
            freedom => format!(" df={freedom}"),
        };
        let (name, value, unit, standard) = (&row[0], &row[1], after_space(&row[2]), &row[3]);
        let of = after_space(&row[4]);
        sheet.push_str(&format!(
            "measured {name} = {value}{unit} ± {standard}{of} sd{freedom}\n"
        ));
    }
    sheet.push_str("answer l [mm] = l_S + d - l_S * (delta_alpha * theta + alpha_S * delta_theta)\n");
    let found = json(&ask(&mut session_of(&sheet), "l"));
    for (name, nanometres, half_a_digit, freedom) in [
        ("l_S", 25.0, 0.5, Some("18")),
        ("d", 9.7, 0.05, Some("25.6")),
        ("alpha_S", 0.0, 0.05, None),
        ("theta", 0.0, 0.05, None),
        ("delta_alpha", 2.9, 0.05, Some("50")),
        ("delta_theta", 16.6, 0.1, Some("2")),
    ] {
        let line = input(&found, name);
        let contribution = number(&line["contribution"]) * 1e6;
        assert!(
            (contribution - nanometres).abs() <= half_a_digit,
            "{name}: {contribution}"
        );
        assert_eq!(line["degrees_of_freedom"].as_str(), freedom, "{name}");
    }
    assert_eq!((number(&found["standard"]) * 1e6).round(), 32.0);
    assert_eq!((number(&found["degrees_of_freedom"]) * 10.0).round(), 167.0);
    assert_eq!(found["unit"], "mm");
    // by hand: c of delta_theta is l_S times alpha_S, 50.000623 mm × 11.5e-6 per C°
    let slope = number(&input(&found, "delta_theta")["sensitivity"]);
    near(slope, -50.000623 * 11.5e-6, 1e-9, "delta_theta");
    let names: Vec<&str> = found["inputs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["l_S", "delta_theta", "d", "delta_alpha", "alpha_S", "theta"]);
}

/// Cylinder weights as `ro1` of the data, read as kg against hours: the standard error of the
/// slope and the scatter about the line are those of the data.
#[test]
fn a_weighed_run_is_one_line_of_the_budget() {
    let rows = records(LINES);
    let row = rows.iter().find(|row| &row[0] == "ro1").unwrap();
    let field = |name: &str| {
        let mut reader = csv::Reader::from_reader(LINES.as_bytes());
        let place = reader
            .headers()
            .unwrap()
            .iter()
            .position(|heading| heading == name)
            .unwrap();
        row[place].parse::<f64>().unwrap()
    };
    let mut sheet = "table t\n  | x [h] | y [kg] |\n".to_owned();
    for (x, y) in row[3].split(';').zip(row[4].split(';')) {
        sheet.push_str(&format!("  | {x} | {y} |\n"));
    }
    sheet.push_str("measured fuel = 10 kg ± 0.1 kg sd\nanswer runtime [h] = fuel / burn_rate(t.x, t.y)\n");
    let found = json(&ask(&mut session_of(&sheet), "runtime"));
    let (rate, standard_error) = (-field("slope"), field("se_slope"));
    let readings: Vec<&Value> = (1..=8).map(|row| input(&found, &format!("t.y of row {row}"))).collect();
    let squares: f64 = readings.iter().map(|line| number(&line["contribution"]).powi(2)).sum();
    near(squares.sqrt(), 10.0 / rate / rate * standard_error, 1e-9, "runtime");
    for line in readings {
        near(
            number(&line["standard"]),
            field("resid_sd"),
            1e-9,
            "scatter of a reading",
        );
        assert_eq!((line["unit"].as_str(), line["value"].is_string()), (Some("kg"), true));
        assert_eq!(line["degrees_of_freedom"], "6");
        let product = number(&line["sensitivity"]).abs() * number(&line["standard"]);
        near(product, number(&line["contribution"]), 1e-9, "c times u");
    }
    near(number(&input(&found, "fuel")["contribution"]), 0.1 / rate, 1e-9, "fuel");
    // JCGM 100:2008, G.2b, by hand
    let (run, fuel): (f64, f64) = (10.0 / rate / rate * standard_error, 0.1 / rate);
    let freedom = (run * run + fuel * fuel).powi(2) / (run.powi(4) / 6.0);
    near(
        number(&found["degrees_of_freedom"]),
        freedom,
        1e-9,
        "degrees of freedom",
    );
}

/// What readings scatter by is theirs, row by row; one more reading has it once more.
#[test]
fn the_scatter_of_readings_is_told_row_by_row() {
    let rows = "  | 0 | 40.0 |\n  | 1 | 38.3 |\n  | 2 | 36.1 |\n  | 3 | 33.9 |\n";
    let sheet = format!(
        "table t\n  | x [h] | y [lb] |\n{rows}answer on = fitted_at(t.x, t.y, 5 h)\nanswer next = next_reading(t.x, t.y, 5 h)\n"
    );
    let mut session = session_of(&sheet);
    // least squares by hand: x̄ = 1.5, Sxx = 5, b = −2.05, residuals −0.15, 0.2, 0.05, −0.1
    let scatter = (0.075f64 / 2.0).sqrt();
    let reach = 3.5f64 * 3.5 / 5.0;
    for (name, expected) in [("on", 0.25 + reach), ("next", 1.25 + reach)] {
        let found = json(&ask(&mut session, name));
        near(number(&found["standard"]), scatter * expected.sqrt(), 1e-9, name);
        assert_eq!(found["degrees_of_freedom"], "2", "{name}");
        near(number(&input(&found, "t.y of row 4")["standard"]), scatter, 1e-9, name);
    }
    let found = json(&ask(&mut session, "next"));
    let next = input(&found, "one more reading on the line of t.y");
    near(number(&next["contribution"]), scatter, 1e-9, "one more");
}

/// Squares of readings scatter by more than the readings do: that is the line's own, and told
/// with its u and its c.
#[test]
fn the_scatter_of_a_line_is_told_beside_its_readings() {
    let rows = "  | 0 | 51.9 |\n  | 1 | 49.3 |\n  | 2 | 46.2 |\n  | 3 | 43.9 |\n  | 4 | 41.0 |\n";
    let sheet = format!(
        "table t\n  | x [h] | y [lb] |\n{rows}worked squares = t.y * t.y\nanswer rate = burn_rate(t.x, t.y)\n\
         answer steep = slope(t.x, squares)\n"
    );
    let mut session = session_of(&sheet);
    ask(&mut session, "rate");
    let found = json(&ask(&mut session, "steep"));
    let own = input(&found, "scatter about the line of squares");
    let product = number(&own["sensitivity"]).abs() * number(&own["standard"]);
    near(product, number(&own["contribution"]), 1e-9, "c times u");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..Default::default() })]

    /// Squared contributions add to the combined variance, shares to one; c is what the formula says.
    #[test]
    fn parts_add_up(
        parts in proptest::collection::vec((-9i32..10, 1u32..900, 1u32..9), 1..7),
    ) {
        let mut sheet = String::new();
        let mut formula = String::from("0");
        for (place, (factor, value, spread)) in parts.iter().enumerate() {
            sheet.push_str(&format!("measured x{place} = {value} ± 0.{spread} sd\n"));
            formula.push_str(&format!(" + ({factor}) * x{place}"));
        }
        sheet.push_str(&format!("answer y = {formula}\n"));
        let found = json(&ask(&mut session_of(&sheet), "y"));
        let inputs = found["inputs"].as_array().unwrap();
        prop_assert_eq!(inputs.len(), parts.len());
        let expected: f64 = parts.iter().map(|(factor, _, spread)| (f64::from(*factor) * f64::from(*spread) / 10.0).powi(2)).sum();
        let squares: f64 = inputs.iter().map(|one| number(&one["contribution"]).powi(2)).sum();
        near(squares, expected, 1e-9, "variance");
        for (place, (factor, ..)) in parts.iter().enumerate() {
            near(number(&input(&found, &format!("x{place}"))["sensitivity"]), f64::from(*factor), 1e-12, "c");
        }
        if expected > 0.0 {
            near(number(&found["standard"]).powi(2), expected, 1e-9, "combined");
            let shares: f64 = inputs.iter().map(|one| number(&one["share"])).sum();
            near(shares, 1.0, 1e-9, "shares");
            let sizes: Vec<f64> = inputs.iter().map(|one| number(&one["contribution"])).collect();
            prop_assert!(sizes.is_sorted_by(|one, other| one >= other), "{:?}", sizes);
        }
    }
}

/// Whatever an answer rests on, its shares add up, and what `show` says is what is said here.
#[test]
fn every_answer_of_every_case_adds_up() {
    for case in ["base", "deep_cold", "alone", "exchange", "fan_only"] {
        let mut session = storm();
        session.set_case(case).ok().unwrap();
        let report = session.report();
        for answer in report.answers() {
            let Ok(found) = session.doubt(&asked(&answer.name), &Unwatched) else {
                continue;
            };
            let machine = json(&found);
            let told = serde_json::to_value(&answer.uncertainty).unwrap();
            assert_eq!(machine["standard"], told, "{case} {}", answer.name);
            if machine["standard"].is_null() {
                continue;
            }
            let expected = format!("{} = {}", answer.name, answer.shown.display());
            assert_eq!(found.shown, expected, "{case}");
            let inputs = machine["inputs"].as_array().unwrap();
            let shares: f64 = inputs.iter().map(|one| number(&one["share"])).sum();
            near(shares, 1.0, 1e-9, &answer.name);
        }
    }
}

// ---- written forms ----

#[test]
fn the_storm_at_three_widths() {
    for width in [100, 80, 50] {
        insta::assert_snapshot!(
            format!("doubt_runtime_at_{width}"),
            text(&ask(&mut storm(), "runtime"), width)
        );
    }
    insta::assert_snapshot!("doubt_margin", text(&ask(&mut storm(), "margin"), 80));
    insta::assert_snapshot!("doubt_stalls", text(&ask(&mut storm(), "stalls"), 80));
}

#[test]
fn the_storm_for_others() {
    insta::assert_snapshot!("doubt_markdown", ask(&mut storm(), "margin").markdown());
    let mut written = Vec::new();
    ask(&mut storm(), "runtime").json(&mut written).unwrap();
    insta::assert_snapshot!("doubt_json", String::from_utf8(written).unwrap());
    insta::assert_snapshot!("doubt_csv", csv_text(&ask(&mut storm(), "runtime")));
}

#[test]
fn one_night_of_every_sort() {
    let mut session = night();
    let mut all = String::new();
    for name in [
        "runtime",
        "empty_at",
        "heat",
        "cost",
        "used",
        "steady",
        "bare",
        "each_hour",
        "twice_over",
        "plain",
        "steep",
        "stalls",
        "gross",
        "swap_at",
    ] {
        all.push_str(&text(&ask(&mut session, name), 80));
        all.push_str("----\n");
    }
    insta::assert_snapshot!("doubt_of_every_sort", all);
    insta::assert_snapshot!("doubt_of_a_column", ask(&mut session, "each_hour").markdown());
}

#[test]
fn machines_get_times_readings_and_columns() {
    let mut session = night();
    let found = json(&ask(&mut session, "empty_at"));
    // by hand: 17:30 and 12.2/1.3 h, which is 33784.6 s
    assert!(found["value"].as_str().unwrap().starts_with("02:53:04.6"), "{found:#}");
    assert!(found["unit"].is_null());
    let supper = input(&found, "supper");
    assert_eq!((&supper["value"], &supper["unit"]), (&"17:30:00".into(), &Value::Null));
    // 10 min rectangular, in seconds: 600 s/√3
    near(number(&supper["contribution"]), 600.0 / 3f64.sqrt(), 1e-9, "supper");
    let found = json(&ask(&mut session, "used"));
    let names: Vec<&str> = found["inputs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["name"].as_str().unwrap())
        .collect();
    let rows = [
        "log.weight of row 4",
        "log.weight of row 1",
        "log.weight of row 2",
        "log.weight of row 3",
    ];
    assert_eq!(names, rows);
    let last = input(&found, "log.weight of row 4");
    assert_eq!((&last["value"], &last["sensitivity"]), (&"32".into(), &"0.25".into()));
    // declared 0.2 lb/√3, and with the scatter about the line by weight (numpy, weights by
    // effective variance until they settle): 0.117423 lb
    near(number(&last["standard"]), 0.117_423_450_851, 1e-9, "row 4");
    let found = json(&ask(&mut session, "each_hour"));
    assert_eq!(
        found["value"],
        serde_json::json!({ "first": ["16", "15.4", "14.7", "14.1"], "count": 4 })
    );
    let first = number(&found["standard"]["first"][0]);
    near(first, 0.04f64.sqrt().hypot(0.029_355_862_713), 1e-9, "the first row");
    assert!(found["inputs"].as_array().unwrap().is_empty());
    let found = json(&ask(&mut session, "stalls"));
    assert!(found["standard"].is_null() && found["k"].is_null() && found["draws"]["sd"].is_string());
    let gross = input(&found, "gross");
    assert!(gross["sensitivity"].is_null() && gross["contribution"].is_null() && gross["share"].is_null());
    near(number(&gross["standard"]), 0.05 / 3f64.sqrt(), 1e-12, "gross");
}

/// So many readings that they are taken together still add up.
#[test]
fn very_many_readings_are_one_line() {
    let mut sheet = "measured zero = 0 lb ± 1 lb sd\ntable log\n  | gross [lb ± 0.3 sd] |\n".to_owned();
    for row in 0..3000 {
        sheet.push_str(&format!("  | {} |\n", 10 + row % 7));
    }
    sheet.push_str("answer total = sum(log.gross + zero) / 3000\n");
    let found = ask(&mut session_of(&sheet), "total");
    let machine = json(&found);
    // by hand: 1 lb that all share, and 0.3 lb over the root of 3000
    near(number(&machine["standard"]).powi(2), 1.0 + 0.09 / 3000.0, 1e-9, "total");
    assert_eq!(found.lines.len(), 2, "{:?}", found.lines);
    near(number(&input(&machine, "zero")["contribution"]), 1.0, 1e-9, "zero");
    let written = text(&found, 80);
    assert!(written.contains("log.gross"), "{written}");
}

/// However many there are, what cancels cancels, and what would take too much room is drawn.
#[test]
fn very_many_readings_keep_what_they_have_in_common() {
    let mut sheet = "table log\n  | gross [lb ± 0.3 sd] |\n".to_owned();
    for row in 0..1500 {
        sheet.push_str(&format!("  | {} |\n", 10 + row % 7));
    }
    sheet.push_str(
        "worked total = running_total(log.gross)\nanswer rest = last(total) - sum(log.gross)\n\
         answer off = first(log.gross) - mean(log.gross)\nanswer twice = last(running_total(total))\n",
    );
    let mut session = session_of(&sheet);
    assert!(json(&ask(&mut session, "rest"))["standard"].is_null());
    // by hand: the first reading with 1 - 1/n, the others with 1/n each
    let off = json(&ask(&mut session, "off"));
    near(
        number(&off["standard"]),
        0.3 * f64::sqrt(1.0 - 1.0 / 1500.0),
        1e-9,
        "off",
    );
    // each reading counts as often as there are rows from it on
    let twice = json(&ask(&mut session, "twice"));
    assert!(twice["standard"].is_null());
    let squares: f64 = (1..=1500).map(|row| f64::from(row).powi(2)).sum();
    near(number(&twice["draws"]["sd"]), 0.3 * squares.sqrt(), 0.15, "twice");
}

// ---- cases, trials, problems ----

#[test]
fn a_case_and_a_trial_have_budgets_of_their_own() {
    let mut session = night();
    let rate = |found: &Found<Doubt>| number(&input(&json(found), "rate")["standard"]);
    near(rate(&ask(&mut session, "runtime")), 0.05, 1e-12, "base");
    session.set_case("mild").ok().unwrap();
    let found = ask(&mut session, "runtime");
    near(rate(&found), 0.2 / 3f64.sqrt(), 1e-12, "mild");
    assert_eq!(found.in_hand.case.as_deref(), Some("mild"));
    session.try_value("fuel = 20 lb ± 0.4 lb k=2").ok().unwrap();
    session.try_value("swap_at = 6 lb").ok().unwrap();
    let found = ask(&mut session, "runtime");
    insta::assert_snapshot!("doubt_on_trial", text(&found, 80));
    near(
        number(&input(&json(&found), "fuel")["contribution"]),
        0.2,
        1e-9,
        "fuel on trial",
    );
    assert_eq!(found.exact, ["swap_at"]);
    let report = serde_json::to_string(&session.report()).unwrap();
    ask(&mut session, "runtime");
    assert_eq!(serde_json::to_string(&session.report()).unwrap(), report);
}

#[test]
fn an_answer_without_value_says_why() {
    let broken = "measured a [lb] = ?\nworked b = a * 2\nworked c = b + nothing\nanswer d = b / 3\nworked z = 1 / (a0 - a0)\nassumed a0 = 2 ± 1\n";
    let mut session = session_of(broken);
    for (name, shown, remark) in [
        ("d", "d waits for b (line 2).", None),
        ("a", "a is not yet known.", None),
        ("c", "c has a problem.", Some("Line 3: ")),
        ("z", "z has a problem.", Some("Line 5: ")),
    ] {
        let found = ask(&mut session, name);
        assert_eq!(found.shown, shown);
        assert_eq!(found.remarks.is_empty(), remark.is_none(), "{:?}", found.remarks);
        assert!(
            found.remarks.iter().all(|told| told.starts_with(remark.unwrap())),
            "{:?}",
            found.remarks
        );
        let machine = json(&found);
        assert!(
            machine["value"].is_null() && machine["standard"].is_null(),
            "{machine:#}"
        );
        assert!(text(&found, 60).contains(shown));
    }
}

#[test]
fn a_rule_of_thumb_is_told_beside_the_figures() {
    let found = ask(&mut night(), "gives");
    assert_eq!(
        found.remarks,
        ["Besides, and not in these figures: the rule of vaporization_capacity may be off by a factor of 2."]
    );
    assert!(ask(&mut night(), "runtime").remarks.is_empty());
}

// ---- refusals ----

fn check_refused(line: &str, message: &str, help: &str) {
    let mut session = night();
    let refusal = match DoubtAsked::typed(line) {
        Ok(asked) => session.doubt(&asked, &Unwatched).expect_err(line),
        Err(refusal) => refusal,
    };
    let problem = &refusal.problems[0];
    assert!(problem.message.contains(message), "{line}: {}", problem.message);
    let found = problem.help.as_deref().unwrap_or("");
    assert!(found.contains(help) && !found.is_empty(), "{line}: {found}");
}

#[test]
fn what_has_no_uncertainty_is_said() {
    check_refused("runtme", "nothing here is named `runtme`", "write `runtime`");
    check_refused(
        "zzzz",
        "nothing here is named `zzzz`",
        "the answers are runtime, empty_at",
    );
    check_refused("log", "`log` is a table", "name an entry");
    check_refused("course", "`course` is a table", "an entry that takes a value from it");
    check_refused("ends", "`ends` is a text", "an entry that is a number");
    check_refused("fuel_is", "`fuel_is` is a text", "an entry that is a number");
    check_refused(
        "long_enough",
        "`long_enough` is true or false",
        "what it compares: runtime",
    );
}

#[test]
fn draws_and_seeds_are_read() {
    let read = |line: &str| {
        let asked = DoubtAsked::typed(line).ok().unwrap();
        (asked.name, asked.draws, asked.seed)
    };
    let named = |draws, seed| ("runtime".to_owned(), draws, seed);
    assert_eq!(read("runtime"), named(None, None));
    assert_eq!(read("runtime draws 100"), named(Some(100), None));
    assert_eq!(
        read("runtime draws 10_000_000 seed 0"),
        named(Some(10_000_000), Some(0))
    );
    let most = u64::MAX;
    assert_eq!(
        read(&format!("runtime seed {most} draws 1000")),
        named(Some(1000), Some(most))
    );
    for bad in [
        "0", "99", "10000001", "-5", "+500", "1e3", "many", "100.5", "_100", "1__0",
    ] {
        check_refused(
            &format!("runtime draws {bad}"),
            &format!("`draws` can't be `{bad}`"),
            "a whole number from 100 to 10000000",
        );
    }
    for bad in ["-1", "18446744073709551616", "x", "1.5"] {
        check_refused(
            &format!("runtime draws 100 seed {bad}"),
            &format!("`seed` can't be `{bad}`"),
            "a whole number from 0 to 18446744073709551615",
        );
    }
    check_refused("", "needs NAME", "doubt NAME");
    check_refused("draws 100", "needs NAME", "doubt NAME");
    check_refused("runtime draws", "`draws` needs a value", "doubt NAME");
    check_refused("runtime draws 100 draws 200", "`draws` stands twice", "doubt NAME");
    check_refused("runtime fuel", "`fuel` can't stand behind", "doubt NAME");
    check_refused("runtime seed 7", "none are asked for", "draws 100000");
}

// ---- drawn figures ----

/// Figures made up by hand, in hours; the budget's own is 9 h 23 min with u of half an hour.
fn figures() -> DrawnFigures {
    let counts = [
        3, 20, 90, 310, 800, 1500, 2000, 1900, 1500, 900, 500, 250, 120, 60, 30, 12, 4, 1,
    ];
    let bins = counts.iter().enumerate().map(|(place, count)| {
        let low = 8.0 + 0.2 * place as f64;
        (low, low + 0.2, *count)
    });
    DrawnFigures {
        few: Vec::new(),
        count: 10_000,
        asked: 10_000,
        left_out: 0,
        seed: u64::MAX,
        mean: 9.5,
        sd: 0.45,
        low: 8.75,
        high: 10.6,
        straight: Some((8.4, 10.35)),
        bins: bins.collect(),
        withheld: None,
        curved: false,
    }
}

fn drawn(name: &str, figures: DrawnFigures) -> Found<Doubt> {
    let sheet = Sheet::load(NIGHT.to_owned(), None);
    let cell = sheet.cell(name).unwrap();
    let study = composed::with_figures(&sheet, cell, Some(&figures), Options::default());
    let in_hand = in_hand(&sheet, "night.tare", Options::default());
    Found {
        in_hand,
        study,
        beyond: Vec::new(),
    }
}

#[test]
fn drawn_figures_have_their_forms() {
    let found = drawn("runtime", figures());
    insta::assert_snapshot!("doubt_drawn", text(&found, 80));
    let machine = json(&found);
    let expected = serde_json::json!({ "count": 10000, "left_out": 0, "seed": "18446744073709551615", "mean": "9.5", "sd": "0.45", "low": "8.75", "high": "10.6" });
    assert_eq!(machine["draws"], expected);
    assert_eq!(machine["curved"], false);
    let bent = DrawnFigures {
        curved: true,
        left_out: 1,
        ..figures()
    };
    let found = drawn("runtime", bent.clone());
    assert_eq!(json(&found)["curved"], true);
    insta::assert_snapshot!("doubt_drawn_bent", text(&found, 60));
    insta::assert_snapshot!("doubt_drawn_markdown", found.markdown());
    insta::assert_snapshot!("doubt_drawn_csv", csv_text(&found));
    let found = drawn("stalls", bent);
    insta::assert_snapshot!("doubt_drawn_alone", text(&found, 80));
}

#[test]
fn withheld_figures_are_no_figures() {
    let found = drawn(
        "runtime",
        DrawnFigures {
            left_out: 34,
            withheld: Some("a number is divided by zero (line 20)".to_owned()),
            ..figures()
        },
    );
    let machine = json(&found);
    assert_eq!(
        (&machine["draws"]["count"], &machine["draws"]["left_out"]),
        (&10000.into(), &34.into())
    );
    for figure in ["mean", "sd", "low", "high"] {
        assert!(machine["draws"][figure].is_null(), "{machine:#}");
    }
    insta::assert_snapshot!("doubt_drawn_withheld", text(&found, 80));
}

// ---- drawn from the worksheet ----

/// Source: worked by hand: 1/x over 1 ± 0.9, evenly spread; the ends of 95 % are 1/(1 ± 0.9·0.95).
const BENT: &str = "# Bent\nassumed x = 1 ± 0.9 from \"a guess\"\nanswer y = 1 / x\nanswer z = 3 * x";

fn ask_all(session: &mut Session, line: &str) -> Found<Doubt> {
    let asked = DoubtAsked::typed(line).ok().unwrap();
    session.doubt(&asked, &Unwatched).ok().unwrap()
}

#[test]
fn a_bent_worksheet_is_drawn_unasked() {
    let mut bent = session_of(BENT);
    let found = ask(&mut bent, "y");
    let machine = json(&found);
    assert_eq!(machine["curved"], true);
    let number = |name: &str| machine["draws"][name].as_str().unwrap().parse::<f64>().unwrap();
    assert!((number("low") - 1.0 / 1.855).abs() < 0.01, "{machine:#}");
    assert!((number("high") - 1.0 / 0.145).abs() < 0.4, "{machine:#}");
    insta::assert_snapshot!("doubt_bent", text(&found, 80));
    let straight = json(&ask(&mut bent, "z"));
    assert_eq!(
        (&straight["curved"], &straight["draws"]),
        (&false.into(), &serde_json::Value::Null)
    );
}

#[test]
fn draws_asked_for_are_told_whatever_they_say() {
    let mut night = night();
    let found = ask_all(&mut night, "cost draws 4000 seed 12");
    let machine = json(&found);
    let number = |name: &str| machine["draws"][name].as_str().unwrap().parse::<f64>().unwrap();
    let of_budget = |name: &str| machine[name].as_str().unwrap().parse::<f64>().unwrap();
    assert_eq!(
        (&machine["draws"]["count"], &machine["draws"]["seed"]),
        (&4000.into(), &"12".into())
    );
    // a straight line through one normal input: the mean and the spread are those of the budget
    let (sd, standard) = (number("sd"), of_budget("standard"));
    assert!((sd - standard).abs() < 0.06 * standard, "{sd} and {standard}");
    assert!(
        (number("mean") - of_budget("value")).abs() < 0.1 * standard,
        "{machine:#}"
    );
    assert_eq!(
        json(&ask_all(&mut night, "cost draws 4000 seed 12")),
        machine,
        "the same seed"
    );
    assert_ne!(
        json(&ask_all(&mut night, "cost draws 4000 seed 13")),
        machine,
        "another"
    );
}

#[test]
fn what_only_draws_can_tell_is_drawn() {
    let found = ask_all(&mut night(), "stalls draws 150");
    let machine = json(&found);
    assert!(
        machine["standard"].is_null() && machine["draws"]["sd"].is_string(),
        "{machine:#}"
    );
    assert_eq!(machine["draws"]["left_out"], 0);
}

#[test]
fn draws_that_fail_withhold_the_figures() {
    let found = ask_all(&mut session_of("assumed x = 3 ± 5\nanswer y = sqrt(x)"), "y draws 1000");
    assert!(json(&found)["draws"]["mean"].is_null());
    let told = text(&found, 80).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("the drawn figures are withheld: line 2, a negative number has no such root"),
        "{told}"
    );
}

#[test]
fn the_rows_of_a_column_are_drawn_together_and_stopped_draws_say_so() {
    let column =
        "table t\n| x [lb ± 0.1] |\n| 1 |\n| 2 |\nanswer twice = t.x * 2\nassumed a = 1 lb ± 0.1 lb\nanswer b = a * 2";
    let mut two = session_of(column);
    let asked = DoubtAsked::typed("twice draws 20000").unwrap();
    let found = json(&two.doubt(&asked, &Unwatched).unwrap());
    let rows = found["row_draws"].as_array().unwrap();
    assert_eq!(rows.len(), 2);
    // two evenly spread readings: 0.2 lb/√3
    near(number(&rows[1]["sd"]), 0.2 / 3f64.sqrt(), 1e-2, "drawn");
    let told = text(&two.doubt(&asked, &Unwatched).unwrap(), 80);
    assert!(told.contains("95 % of draws"), "{told}");
    let asked = DoubtAsked::typed("b draws 100000").unwrap();
    let stopped = two.doubt(&asked, &|done: usize, _: usize| done < 2_000).unwrap();
    let told = text(&stopped, 80);
    assert!(told.contains("stopped before 100000"), "{told}");
}

/// What has no value moves with nothing, by so much: that is not known, and not zero.
#[test]
fn an_answer_with_a_problem_has_no_sensitivities() {
    let text = "assumed x = 5 ± 1\nanswer root = sqrt(x - 7)\n";
    let mut session = Session::of_text("root.tare", text.to_owned(), &[], Options::default());
    let found = session.doubt(&asked("root"), &Unwatched).ok().unwrap();
    let input = &json(&found)["inputs"][0];
    assert_eq!(input["name"], "x");
    assert_eq!(input["sensitivity"], Value::Null);
    assert_eq!(input["contribution"], Value::Null);
}

/// The shares as bars: the first is the greatest, and together they are the whole.
#[test]
fn shares_are_bars_for_a_page() {
    let found = ask(&mut storm(), "runtime");
    let drawn = tarebook::report::chart::svg::write(found.chart.as_ref().unwrap(), "drawn");
    assert!(
        drawn.contains("What makes runtime uncertain") && drawn.contains("tare"),
        "{drawn}"
    );
    let told = &found.chart.as_ref().unwrap().told;
    assert!(told.contains("tare"), "{told}");
    assert!(ask(&mut night(), "plain").chart.is_none(), "nothing makes it uncertain");
    assert!(ask(&mut night(), "each_hour").chart.is_none());
}

/// 9.6 ± 0.9 (limits) rounded up is 9, 10 or 11: between 8.7 and 10.5 evenly, 10 in 1/1.8, 9 in
/// 0.3/1.8, 11 in 0.5/1.8 of all draws. Nobody has to ask for them.
#[test]
fn rounding_hides_no_doubt() {
    let text = "assumed x = 9.6 each ± 0.9 each\nanswer four = round_up(x, 1 each)\n";
    let mut session = Session::of_text("night.tare", text.to_owned(), &[], Options::default());
    let found = session.doubt(&asked("four"), &Unwatched).ok().unwrap();
    let drawn = found.study.draws.expect("drawn unasked");
    let sd: f64 = drawn.sd.unwrap().parse().unwrap();
    let mean: f64 = (9.0 * 0.3 + 10.0 + 11.0 * 0.5) / 1.8;
    let variance: f64 = (81.0 * 0.3 + 100.0 + 121.0 * 0.5) / 1.8 - mean * mean;
    assert!(
        (sd / variance.sqrt() - 1.0).abs() < 0.03,
        "{sd} for {}",
        variance.sqrt()
    );
    let (low, high) = &drawn.shown.interval;
    assert!(low == "9 each" && high == "11 each", "{low} to {high}");
}

/// Every field of the machine format, of a worksheet worked by hand after JCGM 100:
/// u(gross) = 0.3/√3 with c = 1/2, u(rate) = 0.02 with c = −20/4, so u² = 0.0075 + 0.01;
/// ν = u⁴/(0.1⁴/4) = 12.25, and k is Student's t of twelve degrees for 95.45 %, 2.23.
#[test]
fn each_field_for_machines() {
    let text = "# Small\nmeasured gross = 30 lb ± 0.3 lb\nquoted tare = 10 lb\nassumed rate = 2 lb/h ± 0.02 lb/h sd df=4\n\
        answer hours [h] = (gross - tare) / rate\n";
    let mut session = session_of(text);
    let found = json(&ask(&mut session, "hours"));
    let near = |value: &Value, wanted: f64| {
        let value: f64 = value.as_str().unwrap().parse().unwrap();
        assert!((value - wanted).abs() < 1e-4 * wanted.abs(), "{value} {wanted}");
    };
    assert_eq!(found["schema"], 2);
    assert_eq!(found["title"], "Small");
    assert_eq!(found["case"], Value::Null);
    assert_eq!(found["answer"], "hours");
    assert_eq!(found["value"], "10");
    assert_eq!(found["unit"], "h");
    near(&found["standard"], 0.017_5_f64.sqrt());
    near(&found["degrees_of_freedom"], 12.25);
    near(&found["k"], 2.231348);
    near(&found["expanded"], 2.231348 * 0.017_5_f64.sqrt());
    assert_eq!(found["curved"], false);
    assert_eq!(found["draws"], Value::Null);
    assert_eq!(found["exact"], serde_json::json!(["tare"]));
    assert_eq!(found["rule_errors"], serde_json::json!([]));
    let inputs = found["inputs"].as_array().unwrap();
    assert_eq!(inputs.len(), 2);
    assert_eq!(
        (&inputs[0]["name"], &inputs[1]["name"]),
        (&Value::from("rate"), &Value::from("gross"))
    );
    assert_eq!(
        (&inputs[0]["value"], &inputs[0]["unit"]),
        (&Value::from("2"), &Value::from("lb/h"))
    );
    for (input, [standard, sensitivity, contribution, share]) in inputs.iter().zip([
        [0.02, -5.0, 0.1, 0.01 / 0.0175],
        [0.3 / 3_f64.sqrt(), 0.5, 0.0075_f64.sqrt(), 0.0075 / 0.0175],
    ]) {
        near(&input["standard"], standard);
        near(&input["sensitivity"], sensitivity);
        near(&input["contribution"], contribution);
        near(&input["share"], share);
    }
    near(&inputs[0]["degrees_of_freedom"], 4.0);
    assert_eq!(inputs[1]["degrees_of_freedom"], Value::Null);
}

/// A difference of shares counts in points, and the legend says of which.
#[test]
fn shares_move_by_points() {
    let text = "assumed part = 40 % ± 6 % sd\nmeasured load = 3 kW ± 0.3 kW sd\nanswer rest [%] = 100 % - part\n\
        answer used [kW] = part * load\n";
    let mut session = session_of(text);
    let rest = text_of(&ask(&mut session, "rest"));
    assert!(rest.contains("6 points  -1 per point  6 points"), "{rest}");
    assert!(rest.contains("u = 6 points."), "{rest}");
    assert!(rest.contains("rest = 60 % ± 12 % k=2"), "{rest}");
    assert!(
        rest.contains("c: how far rest moves, in points, for one unit of it."),
        "{rest}"
    );
    assert!(rest.contains("A point is a percentage point"), "{rest}");
    let used = text_of(&ask(&mut session, "used"));
    assert!(used.contains("6 points") && used.contains("kW per point"), "{used}");
    assert!(!used.contains("in points,"), "{used}");
    assert_eq!(json(&ask(&mut session, "rest"))["inputs"][0]["unit"], "%");
}

/// Where the ± and the drawn intervals stand beside each other, what each holds is said.
#[test]
fn what_each_interval_holds() {
    let text = "measured gross = 30 lb ± 0.3 lb k=2\nanswer net [lb] = gross - 10 lb\nanswer still [lb] = 2 lb\n";
    let mut session = session_of(text);
    let asked = |name: &str, draws| DoubtAsked {
        name: name.to_owned(),
        draws,
        seed: None,
    };
    let mut said = |name: &str, draws| text_of(&session.doubt(&asked(name, draws), &Unwatched).ok().unwrap());
    let both = "These intervals hold 95 %, the ± above (k = 2) 95.45 % of a normal spread.";
    assert!(said("net", Some(1000)).contains(both));
    assert!(!said("net", None).contains("95.45"));
    assert!(!said("still", Some(1000)).contains("95.45"));
}

fn text_of(found: &Found<Doubt>) -> String {
    text(found, 100)
}
