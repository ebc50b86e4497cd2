//! What a time limit has cut short: more than the limit in every output, and in no study a value.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};
use tarebook::report::compose::Options;
use tarebook::session::Session;
use tarebook::session::doubt::DoubtAsked;
use tarebook::study::Unwatched;

/// 60 lb at 0.9 lb/h are gone after 66 h 40 min, later than `look`; after 48 h 16.8 lb are left
/// at 65.69 psig, by an integration apart (scipy, CoolProp).
const MILD: &str = "\
# Two mild days
assumed look = 48 h
assumed contents = 60 lb
assumed rate = 0.9 lb/h
assumed price = $3/h
table mild = draw_down(contents, 15 in, steel: 60 lb, air: 60 °F, rate: rate, film: 14 W/(m2·C°), least_pressure: 5 psig, limit: look)
answer stalls \"until it stalls\" [h:min] = draw_down_time(mild)
answer runtime [h:min] = contents / rate
answer spare [h] = stalls - runtime
answer pay = stalls * price
worked lasting = draw_down_time(contents, 15 in, steel: 60 lb, air: 60 °F, rate: rates.rate, film: 14 W/(m2·C°), least_pressure: 5 psig, limit: look)
expect runtime <= stalls else \"short\"
expect stalls >= 40 h
expect stalls <= 40 h else \"long\"
expect lasting >= 41 h
plot lasting over rates.rate
case fast
  rate = 2 lb/h
table rates
  | rate [lb/h] |
  | 0.9         |
  | 1           |
  | 1.25        |
  | 1.4         |
";

fn run(arguments: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mild.tare"), MILD).unwrap();
    fs::write(
        folder.path().join("longer.tare"),
        MILD.replace("look = 48 h", "look = 72 h"),
    )
    .unwrap();
    let ran = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder.path())
        .output()
        .unwrap();
    String::from_utf8(ran.stdout).unwrap()
}

/// The output has these words, and never the limit without them.
#[track_caller]
fn check(arguments: &[&str], words: &[&str]) {
    let found = run(arguments);
    for wanted in words {
        assert!(found.contains(wanted), "{arguments:?}, `{wanted}`:\n{found}");
    }
    let mut between = found.split("more than 48 h 0 min");
    assert!(
        between.all(|piece| !piece.contains("48 h 0 min")),
        "{arguments:?}:\n{found}"
    );
}

const UNDECIDED: &str = "had not ended at its `limit` (line 6)";

#[test]
fn every_form_of_a_report_says_more_than() {
    check(
        &["show", "mild.tare", "all"],
        &[
            "more than 48 h 0 min",
            "more than -18.67 h",
            "more than $144.00",
            "undecided",
            "time-limit\n    mild, lasting:",
            "lasting over rates.rate, without 2 rows past a limit",
            "After 48 h, its `limit`, the draw-down had not ended: 16.8 lb\n    are left at 72.89 psig.",
        ],
    );
    check(
        &["show", "mild.tare", "--format", "markdown"],
        &[
            "**more than 48 h 0 min**",
            "**undecided**: A draw-down that it rests on",
            "**time-limit**",
        ],
    );
    check(
        &["show", "mild.tare", "--format", "csv"],
        &[
            "number,more than 48,h,,more than 48 h 0 min",
            "more than 48; more than 48; 48; ",
        ],
    );
    check(&["handout", "mild.tare"], &["more than 48 h 0 min", "undecided"]);
    check(
        &["check", "mild.tare"],
        &["undecided", "had not ended", "stalls is more than 48 h 0 min"],
    );
}

#[test]
fn machines_get_the_ends() {
    let found: Value = serde_json::from_str(&run(&["show", "mild.tare", "--format", "json"])).unwrap();
    let entry = |name: &str| {
        let mut entries = found["entries"].as_array().unwrap().iter();
        entries.find(|entry| entry["name"] == name).unwrap().clone()
    };
    assert_eq!(found["schema"], 2);
    assert_eq!(entry("stalls")["value"], json!({"low": "48", "high": null}));
    assert_eq!(entry("stalls")["uncertainty"], Value::Null);
    assert_eq!(entry("stalls")["display"], "more than 48 h 0 min");
    assert_eq!(entry("lasting")["value"][1], json!({"low": "48", "high": null}));
    let holds: Vec<Value> = found["checks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|check| check["holds"].clone())
        .collect();
    assert_eq!(holds, [Value::Null, json!(true), json!(false), json!(true)]);
    assert!(found["checks"][0]["message"].as_str().unwrap().contains(UNDECIDED));
}

#[test]
fn every_study_says_more_than() {
    check(
        &["why", "mild.tare", "spare"],
        &["= (more than 48 h 0 min) - 66 h 40 min", "= more than -18.67 h"],
    );
    check(
        &["doubt", "mild.tare", "stalls"],
        &[
            "stalls is more than 48 h 0 min.",
            "No ± is told",
            "had not ended at its `limit` (line\n6)",
        ],
    );
    check(&["doubt", "mild.tare", "lasting"], &["No ± is told"]);
    check(
        &["compare", "mild.tare", "all"],
        &["more than 48 h", "holds (base: undecided)"],
    );
    check(
        &["audit", "mild.tare", "all"],
        &["check-undecided", "its `limit` (line 6): set a longer one there"],
    );
    let audited = run(&["audit", "mild.tare", "all", "--set", "look=67 h"]);
    assert!(
        audited.contains("At the lower end there is a problem, so the other end counts"),
        "{audited}"
    );
}

#[test]
fn a_sweep_doesnt_cross_it() {
    let swept = [
        "sweep",
        "mild.tare",
        "rate",
        "--from",
        "0.5 lb/h",
        "--to",
        "1.5 lb/h",
        "--step",
        "0.5 lb/h",
    ];
    check(
        &swept,
        &[
            "0.5 lb/h   more than 48 h 0 min",
            "Between 0.5 lb/h and 1 lb/h, line 6: A draw-down had not ended",
            "runtime <= stalls (line 12) undecided below, holds above",
        ],
    );
    let found = run(&[&swept[..], &["--format", "csv"]].concat());
    assert!(
        found.contains("\n1,more than 48,60,more than -12,more than 144,") && found.contains("\n1.5,40,40,0,120,"),
        "{found}"
    );
    // many values of an input that the draw-down doesn't rest on
    let dense = run(&[
        "sweep",
        "mild.tare",
        "price",
        "--from",
        "$1/h",
        "--to",
        "$3/h",
        "--values",
        "801",
        "--format",
        "csv",
    ]);
    assert_eq!(
        dense.lines().filter(|line| line.contains(",more than 48,")).count(),
        801,
        "{dense}"
    );
}

#[test]
fn an_aim_doesnt_take_it_for_a_value() {
    let found = run(&["aim", "mild.tare", "stalls=60 h", "--varying", "rate"]);
    assert!(found.starts_with("stalls = 60 h 0 min: none found at "), "{found}");
    assert!(found.contains("no more than a range is known"), "{found}");
    let found = run(&["aim", "mild.tare", "stalls=30 h", "--varying", "rate"]);
    assert!(found.starts_with("stalls = 30 h 0 min at rate = 2 lb/h."), "{found}");
}

#[test]
fn a_diff_doesnt_share_it_out() {
    check(
        &["diff", "mild.tare", "longer.tare"],
        &[
            "A: more than 48 h 0 min",
            "B: 66 h 40 min",
            "in B holds (in A: undecided)",
        ],
    );
    let found: Value = serde_json::from_str(&run(&["diff", "mild.tare", "longer.tare", "--format", "json"])).unwrap();
    let stalls = &found["answers"][0];
    assert_eq!(
        (&stalls["name"], &stalls["a"]),
        (&json!("stalls"), &json!({"low": "48", "high": null}))
    );
    assert_eq!(stalls["shares"], json!({}));
}

fn session(text: &str) -> Session {
    Session::of_text("mild.tare", text.to_owned(), &[], Options::default())
}

#[test]
fn a_trial_shows_it_before_and_after_and_is_none_itself() {
    let mut session = session(MILD);
    let changes = session.try_value("rate = 2 lb/h").ok().unwrap().changes.unwrap();
    let stalls = &changes.answers[0];
    assert_eq!(
        (stalls.before.value.as_str(), stalls.now.value.as_str()),
        ("more than 48 h 0 min", "30 h 0 min")
    );
    assert_eq!(stalls.difference, None);
    let flips: Vec<(Option<bool>, Option<bool>)> = changes.checks.iter().map(|flip| (flip.before, flip.now)).collect();
    assert_eq!(flips[0], (None, Some(true)));
    session.drop_trials(None).ok().unwrap();
    let refused = session.try_value("look = stalls").err().unwrap();
    assert!(
        refused.problems[0].message.starts_with("only a range is known of this"),
        "{refused:?}"
    );
}

/// What is typed sees the end of a table as the worksheet does, and its rows as they are.
#[test]
fn what_is_typed_knows_it_too() {
    for (typed, expected) in [
        ("2 * stalls", "more than 96 h"),
        ("last(mild.time)", "more than 48 h"),
        ("max(mild.time where mild.contents > 20 lb)", "44.33 h"),
        ("max(mild.time where mild.contents > 10 lb)", "more than 48 h"),
        ("count(mild.time)", "289"),
        ("interpolate(mild.time, mild.contents, 47.95 h)", "16.84 lb"),
        ("min(stalls, 20 h)", "20 h"),
        ("runtime <= stalls", "undecided"),
    ] {
        let Ok(tarebook::session::trial::Answered::Value(shown, _)) = session(MILD).evaluate(typed) else {
            panic!("{typed}")
        };
        assert_eq!(shown.display(), expected, "{typed}");
    }
}

/// A chart of a column leaves out what isn't known, and draws what is.
#[test]
fn a_chart_has_no_point_there() {
    let report = session(MILD).report();
    let words = format!("{:?}", report.charts[0]);
    assert!(!words.contains("y: Some(48"), "{words}");
    let told = tarebook::report::whole::markdown(&report);
    assert!(told.contains("from 48 h at 1.25 lb/h to 42.86 h at 1.4 lb/h"), "{told}");
    assert!(
        told.contains("Not drawn: 2 rows of which a limit leaves no more than a range."),
        "{told}"
    );
}

/// The storm with six cylinders on a mild night: empty after 90.74 h by an integration apart
/// (scipy, CoolProp), nearly four days.
#[test]
fn three_days_are_looked_at_without_asking() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/winter-outage.tare");
    let mut session = Session::open(&path, Options::default()).ok().unwrap();
    session.try_value("joined = 6 each").ok().unwrap();
    session.try_value("air = 60 °F").ok().unwrap();
    let report = session.report();
    let stalls = report.entries.iter().find(|entry| entry.name == "stalls").unwrap();
    assert_eq!(stalls.shown.value, "90 h 44 min");
    let check = report
        .checks
        .iter()
        .find(|check| check.text == "runtime <= stalls")
        .unwrap();
    assert_eq!(check.holds, Some(true));
}

/// A worksheet that asks for more than is looked at is told to ask.
#[test]
fn more_than_a_week_is_asked_for() {
    let text = "table slow = draw_down(60 lb, 15 in, steel: 60 lb, air: 60 °F, rate: 0.1 lb/h, film: 14 W/(m2·C°), least_pressure: 5 psig)\n\
        answer stalls = draw_down_time(slow)\nexpect stalls >= 200 h\n";
    let report = session(text).report();
    assert_eq!(report.entries[0].shown.display(), "more than 168 h");
    let check = &report.checks[0];
    assert_eq!(check.holds, None);
    assert!(
        check
            .message
            .as_deref()
            .unwrap()
            .ends_with("had not ended at its `limit` (line 1): set a longer one there")
    );
}

/// At 0.9 and 1 lb/h the 60 lb last longer than 48 h, at 1.4 lb/h 42 h 51 min, at 1.5 lb/h 40 h:
/// what is left by the rate alone, by hand.
const TWO_WAYS: &str = "
assumed share = 100 % ± 10 %
worked counted [h] = if stalls > 50 h then stalls - 2 h else stalls + 1 h
table tried
  | rate [lb/h] |
  | 0.9         |
  | 1           |
  | 1.4         |
  | 1.5         |
table shares
  | part |
  | 1    |
  | 2    |
table hours = grid(counted, rate: tried.rate, share: shares.part)
worked hours.half [h] = share * hours.counted / 2
worked longest [h] = max(hours.counted)
worked least [h] = min(hours.counted)
answer sixth [h] = hours.counted of row 6
answer second [h] = hours.counted of row 2
expect hours.counted >= 41 h
table ordered = sorted(hours, by: hours.counted)
table added = totals(hours.counted, by: hours.rate)
";

fn table<'a>(report: &'a tarebook::report::model::Report, name: &str) -> &'a tarebook::report::model::Table {
    report.tables.iter().find(|table| table.name == name).unwrap()
}

fn column<'a>(table: &'a tarebook::report::model::Table, name: &str) -> &'a tarebook::report::model::Column {
    table.columns.iter().find(|column| column.name == name).unwrap()
}

/// Each place of a grid stands for itself: those that a limit has cut short are ranges, the
/// others numbers, with what rests on either.
#[test]
fn a_grid_is_cut_place_by_place() {
    let report = session(&format!("{MILD}{TWO_WAYS}")).report();
    assert_eq!(report.problems, []);
    let hours = table(&report, "hours");
    let open = "more than 46";
    assert_eq!(
        column(hours, "counted").shown,
        [open, open, open, open, "43.86", "43.86", "41", "41"]
    );
    assert_eq!(column(hours, "rate").shown[7], "1.5");
    let half = column(hours, "half");
    assert_eq!(half.shown[0], "more than 23");
    assert_eq!(half.shown[7], "20.5 ± 2.1");
    let found = serde_json::to_value(hours).unwrap();
    assert_eq!(found["columns"][2]["values"][0], json!({"low": "46", "high": null}));
    assert_eq!(found["columns"][2]["values"][7], "41");
    assert_eq!(found["columns"][3]["uncertainty"][0], Value::Null);
    let shown = |name: &str| {
        report
            .entries
            .iter()
            .find(|entry| entry.name == name)
            .unwrap()
            .shown
            .display()
    };
    assert_eq!(shown("longest"), "more than 46 h");
    assert_eq!(shown("least"), "41 h");
    assert_eq!(shown("sixth"), "43.86 h");
    assert_eq!(shown("second"), "more than 46 h");
    assert_eq!(report.checks.last().unwrap().holds, Some(true));
    let ordered = table(&report, "ordered");
    assert!(
        ordered
            .standing
            .as_deref()
            .unwrap()
            .starts_with("not known: a draw-down")
    );
    let sums = column(table(&report, "added"), "sum");
    assert_eq!(sums.shown, ["more than 92", "more than 92", "87.71", "82"]);
}

/// As a reader gets it, in every form.
#[test]
fn a_grid_of_two_ways_says_more_than_in_its_place() {
    let text = format!("{MILD}{TWO_WAYS}").replace("worked hours.half [h] = share * hours.counted / 2\n", "");
    let report = session(&text).report();
    let wide = table(&report, "hours").two_ways.as_ref().unwrap();
    let row = |row: usize| -> Vec<&str> { wide.columns.iter().map(|column| column.shown[row].as_str()).collect() };
    assert_eq!(row(1), ["1", "more than 46", "more than 46"]);
    assert_eq!(row(2), ["1.4", "43.86", "43.86"]);
    let told = tarebook::report::whole::markdown(&report);
    assert!(
        told.contains("| 1 | more than 46 | more than 46 |\n| 1.4 | 43.86 | 43.86 |"),
        "{told}"
    );
}

/// A draw of a place that hasn't ended is no value, and takes none from the others.
#[test]
fn draws_of_a_grid_are_place_by_place() {
    let text = format!("{MILD}{TWO_WAYS}").replace("contents = 60 lb", "contents = 60 lb ± 1 lb sd");
    let mut session = session(&text);
    let asked = DoubtAsked {
        name: "sixth".to_owned(),
        draws: Some(200),
        seed: Some(1),
    };
    let found = session.doubt(&asked, &Unwatched).ok().unwrap().study;
    let drawn = found.draws.as_ref().unwrap();
    assert_eq!(drawn.withheld, None);
    // 1 lb at 1.4 lb/h, by hand; of 200 draws the deviation is known to a tenth
    let sd: f64 = drawn.sd.as_deref().unwrap().parse().unwrap();
    assert!((sd - 1.0 / 1.4).abs() < 0.15, "{sd}");
}
