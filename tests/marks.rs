//! What draws say beside a straight line: in every written form, and on checks.
//!
//! The values are counted by hand: of a need of 30 000 BTU/h ± 10 % three cylinders of
//! 10 000 BTU/h are enough up to the middle and four above it. Intervals are quantiles of the
//! distributions themselves.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::io::Write as _;
use std::process::{Command, Stdio};

use serde_json::Value;
use tarebook::report::compose::{self, Options};
use tarebook::report::model::{Check, Entry};
use tarebook::sheet::{Reading, Sheet};

const JUMPS: &str = "\
measured need = 30000 BTU/h ± 3000 BTU/h
measured hours = 50 h ± 5 h
measured load = 900 W ± 50 W
answer joined = cylinders_together(need, 10000 BTU/h, 0 %)
answer services = services_due(hours, 50 h, 0 h)
answer due = service_date(2026-01-10, every: 180 d, run: 2 h/d, every_hours: hours, since_last: 0 h)
answer size = if load > 890 W then 3 lb else 2 lb
answer word = if load > 890 W then \"full\" else \"half\"
answer ups = round_up(hours / 8 h, 1)
answer paid = ups * $26.47
measured close = 3.5 ± 0.45 sd
answer whole = round(close, 1)
answer sure = cylinders_together(need, 13000 BTU/h, 0 %)
answer once = joined - joined + 2 each
expect joined <= 3 each
expect joined <= 4 each
expect size >= 2.5 lb
";

const BENDS: &str = "\
measured side = 5.48 ± 6
measured c1 = 30.1 lb ± 0.2 lb
measured c2 = 30.0 lb ± 0.2 lb
measured none = 0 ± 0.1
measured fuel = 20 lb ± 0.2 lb
answer square = side^2
answer ratio = 20 lb / (c1 - c2)
answer root = sqrt(none)
answer capped = if fuel < 20.1 lb then fuel else 20.1 lb
answer straight = 3 * fuel
answer nearly = fuel / (c1 / 1 h)
";

fn report(text: &str) -> (Vec<Entry>, Vec<Check>) {
    let sheet = Sheet::load(text.to_owned(), None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems());
    let report = compose::report(&sheet, Options::default());
    (report.entries, report.checks)
}

fn check(text: &str, marks: &[(&str, &str, Option<&str>)]) {
    let (entries, _) = report(text);
    for (name, value, mark) in marks {
        let entry = entries.iter().find(|entry| entry.name == *name).unwrap();
        assert_eq!(entry.shown.value, *value, "{name}");
        assert_eq!(entry.shown.mark.as_deref(), *mark, "{name}");
        if mark.is_some_and(|mark| mark.starts_with("hides")) {
            assert_eq!(entry.shown.uncertainty, None, "{name}");
        }
    }
}

#[test]
fn what_moves_by_jumps_has_the_values_inside() {
    check(
        JUMPS,
        &[
            ("joined", "3 each", Some("could be 3 or 4 each")),
            ("services", "1 each", Some("could be 0 or 1 each")),
            ("size", "3 lb", Some("could be 2 or 3 lb")),
            ("word", "full", Some("could be full or half")),
            ("ups", "7", Some("could be 6 or 7")),
            ("paid", "$185.29", Some("could be $158.82 or $185.29")),
            // 1.3 % lie below 2.5, and as many above 4.5
            ("whole", "4", Some("could be 3 or 4")),
            ("sure", "3 each", None),
            ("once", "2 each", None),
        ],
    );
    // 45 to 55 h of running at 2 h a day are 22 to 27 days
    let (entries, _) = report(JUMPS);
    let due = entries.iter().find(|entry| entry.name == "due").unwrap();
    assert_eq!(due.shown.in_full(), "2026-02-04 (could be 2026-02-01 to 2026-02-06)");
}

#[test]
fn a_need_just_above_a_whole_number_is_no_other_matter() {
    for (need, value) in [
        ("29999", "3 each"),
        ("30000", "3 each"),
        ("30001", "4 each"),
        ("30030", "4 each"),
    ] {
        let text = JUMPS.replace("= 30000 BTU/h", &format!("= {need} BTU/h"));
        check(&text, &[("joined", value, Some("could be 3 or 4 each"))]);
    }
}

#[test]
fn a_check_on_a_jump_says_whether_it_could_go_either_way() {
    let (_, checks) = report(JUMPS);
    let told: Vec<(Option<bool>, bool)> = checks.iter().map(|check| (check.holds, check.either_way)).collect();
    assert_eq!(told, [(Some(true), true), (Some(true), false), (Some(true), true)]);
    assert!(checks[0].remark.as_ref().unwrap().contains("of 100"));
}

#[test]
fn what_bends_has_its_drawn_interval() {
    let (entries, _) = report(BENDS);
    let entry = |name: &str| entries.iter().find(|entry| entry.name == name).unwrap();
    let square = entry("square");
    assert_eq!(square.shown.display(), "30 ± 70 k=1.73");
    // side is even from −0.52 to 11.48: the square of its middle 95 %, and of less than 0.16
    let drawn = serde_json::to_value(&square.drawn).unwrap();
    assert_eq!(drawn["why"], "bends");
    let number = |value: &Value| value.as_str().unwrap().parse::<f64>().unwrap();
    assert!(number(&drawn["low"]) < 0.2, "{drawn}");
    assert!((number(&drawn["high"]) - 11.18f64.powi(2)).abs() < 3.0, "{drawn}");
    let ratio = entry("ratio").shown.in_full();
    assert!(ratio.starts_with("200 ± 700 k=2 (bends: -"), "{ratio}");
    // the middle 95 % of 19.8 to 20.2 lb, cut off at one end alone
    let capped = serde_json::to_value(&entry("capped").drawn).unwrap();
    assert!((number(&capped["low"]) - 19.81).abs() < 0.005, "{capped}");
    assert!((number(&capped["high"]) - 20.1).abs() < 1e-6, "{capped}");
    assert_eq!(entry("root").shown.mark.as_deref(), Some("± not fully known"));
    for straight in ["straight", "nearly"] {
        assert_eq!(entry(straight).shown.mark, None, "{straight}");
    }
}

#[test]
fn rows_of_a_column_have_marks_of_their_own() {
    let text = "table sets\n  | name | need [BTU/h ± 3000] |\n  | one | 30000 |\n  | two | 45000 |\n  | three | 99000 |\nanswer each_set = cylinders_together(sets.need, 10000 BTU/h, 0 %)\nexpect each_set <= 10 each\nexpect each_set >= 3 each\n";
    let (entries, checks) = report(text);
    let rows = entries[0].shown.rows.as_ref().unwrap();
    let told: Vec<String> = (0..3).map(|row| rows.told(row)).collect();
    assert_eq!(
        told,
        [
            "3 each (could be 3 or 4 each)",
            "5 each",
            "10 each (could be 10 or 11 each)"
        ]
    );
    let drawn = serde_json::to_value(&entries[0].drawn).unwrap();
    assert!(drawn[1].is_null() && drawn[2]["values"][1] == "11", "{drawn}");
    let told: Vec<bool> = checks.iter().map(|check| check.either_way).collect();
    assert_eq!(told, [true, false]);
}

/// 39 lb are needed ± 10 %, and two cylinders of 20 lb give 40.
#[test]
fn a_plan_of_swaps_is_drawn_unasked() {
    let text = "measured k = 1 ± 0.1\ntable stock\n  | usable [lb] |\n  | 20 |\n  | 20 |\n  | 20 |\ntable day\n  | hours [h] | rate [lb/h] |\n  | 8 | 3 |\n  | 6 | 2.5 |\ntable plan = swap_plan(day.hours, day.rate * k, stock.usable, reserve: 0 lb)\nanswer drawn = count(plan.starts where plan.left >= 0 lb)\nanswer first_swap = first(plan.ends)\nexpect drawn <= 2\nexpect drawn <= 3\n";
    let (entries, checks) = report(text);
    let entry = |name: &str| entries.iter().find(|entry| entry.name == name).unwrap();
    assert_eq!(entry("drawn").shown.in_full(), "2 (by draws: 2 or 3)");
    // 20 lb at 3 lb/h ± 10 %: 20/3.285 to 20/2.715
    let swap = serde_json::to_value(&entry("first_swap").drawn).unwrap();
    let number = |value: &Value| value.as_str().unwrap().parse::<f64>().unwrap();
    assert!((number(&swap["low"]) - 20.0 / 3.285).abs() < 0.06, "{swap}");
    assert!((number(&swap["high"]) - 20.0 / 2.715).abs() < 0.06, "{swap}");
    let told: Vec<bool> = checks.iter().map(|check| check.either_way).collect();
    assert_eq!(told, [true, false]);
}

/// Contents ± 1 lb: drawn unasked, and where a limit cuts some of the draws short, from when on.
#[test]
fn a_draw_down_is_drawn_unasked() {
    let night = |limit: &str| {
        format!(
            "measured left = 18 lb ± 1 lb\ntable night = draw_down(left, 12 in, steel: 17 lb, air: 24 °F, rate: 3 lb/h, film: 7 W/(m2·C°), least_pressure: 10 psig{limit})\nanswer stalls [h:min] = draw_down_time(night)\n"
        )
    };
    let (entries, _) = report(&night(""));
    let stalls = entries.iter().find(|entry| entry.name == "stalls").unwrap();
    let drawn = serde_json::to_value(&stalls.drawn).unwrap();
    let number = |value: &Value| value.as_str().unwrap().parse::<f64>().unwrap();
    // more of the liquid holds more heat: the ends are the stalls of 17.05 and 18.95 lb
    let at = |pounds: &str| {
        let sheet = Sheet::load(night("").replace("18 lb ± 1 lb", pounds), None);
        match sheet.reading(sheet.cell("stalls").unwrap()) {
            Reading::Number(number) => number.to_f64(),
            other => panic!("{other:?}"),
        }
    };
    let (low, high) = (at("17.05 lb"), at("18.95 lb"));
    assert!((number(&drawn["low"]) - low).abs() < 0.01, "{drawn} {low}");
    assert!((number(&drawn["high"]) - high).abs() < 0.01, "{drawn} {high}");
    let middle = 0.5 * (low + high);
    let (entries, _) = report(&night(&format!(", limit: {:.4} h", middle + 0.001)));
    let told = entries
        .iter()
        .find(|entry| entry.name == "stalls")
        .unwrap()
        .shown
        .in_full();
    assert!(told.contains("by draws: from ") && told.ends_with(" on)"), "{told}");
}

/// Forty cylinders are too many steps: only `doubt` draws what rests on all of them, and one is drawn all the same.
#[test]
fn a_table_of_many_steps_says_that_only_draws_can_tell() {
    let rows: String = (0..40).map(|row| format!("  | {} |\n", 20 + row)).collect();
    let text = format!(
        "measured air = 24 °F ± 2 F°\ntable shells\n  | filled [lb] |\n{rows}worked lasts = draw_down_time(shells.filled, 14 in, steel: 30 lb, air: air, rate: 1 lb/h, wind: 2 mph, height: 30 in, humidity: 80 %, least_pressure: 10 psig)\nanswer longest = max(lasts)\nanswer one = draw_down_time(20 lb, 12 in, steel: 17 lb, air: air, rate: 3 lb/h, film: 7 W/(m2·C°), least_pressure: 10 psig)\n"
    );
    let sheet = Sheet::load(text, None);
    let report = compose::report(&sheet, Options::default());
    let caution = report
        .cautions
        .iter()
        .find(|caution| caution.code == "by-draws")
        .unwrap();
    assert!(caution.names.contains(&"longest".to_owned()), "{caution:?}");
    let told = |name: &str| {
        report
            .entries
            .iter()
            .find(|entry| entry.name == name)
            .unwrap()
            .shown
            .in_full()
    };
    assert!(!told("longest").contains("by draws"), "{}", told("longest"));
    assert!(told("one").contains("by draws"), "{}", told("one"));
}

// ---- every written form ----

fn tarebook(arguments: &[&str], typed: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("jumps.tare"), JUMPS).unwrap();
    let mut run = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    run.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
    let output = run.wait_with_output().unwrap();
    let page = folder.path().join("jumps.html");
    let written = std::fs::read_to_string(page).unwrap_or_default();
    String::from_utf8(output.stdout).unwrap() + &written
}

#[test]
fn every_form_tells_the_values_inside() {
    let forms: [(&[&str], &str); 9] = [
        (&["show", "jumps.tare"], ""),
        (&["show", "jumps.tare", "--format", "markdown"], ""),
        (&["show", "jumps.tare", "--format", "csv"], ""),
        (&["handout", "jumps.tare", "-o", "jumps.html"], ""),
        (&["compare", "jumps.tare"], ""),
        (&["compare", "jumps.tare", "--format", "markdown"], ""),
        (&["why", "jumps.tare", "joined"], ""),
        (&["doubt", "jumps.tare", "joined"], ""),
        (&["open", "jumps.tare"], "joined\n"),
    ];
    for (arguments, typed) in forms {
        let told = tarebook(arguments, typed);
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains("could be 3 or 4 each"), "{arguments:?}\n{told}");
        assert!(!told.contains("± 70"), "{arguments:?}\n{told}");
    }
    let found: Value = serde_json::from_str(&tarebook(&["show", "jumps.tare", "--format", "json"], "")).unwrap();
    let joined = found["entries"]
        .as_array()
        .unwrap()
        .iter()
        .find(|entry| entry["name"] == "joined");
    let drawn = &joined.unwrap()["drawn"];
    assert_eq!(drawn["values"], serde_json::json!(["3", "4"]));
    assert_eq!(found["checks"][0]["either_way"], true);
}
