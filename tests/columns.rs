//! Answers that are columns: each row in its form and with its ±, beside what names it, in
//! every written form; and tables whose cells need more than they were typed with.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;

use serde_json::Value;
use tarebook::report::compose::Options;
use tarebook::report::handout::{self, Form};
use tarebook::report::model::Report;
use tarebook::report::style::Style;
use tarebook::report::{csv, json, whole};
use tarebook::session::Session;

const REGISTER: &str = "\
# At each load

measured gross = 38 lb ± 0.2 lb
measured tare  = 17 lb
assumed start  = 2026-11-29 17:00

table loads
  | load [%] | rate [lb/h ± 0.1] |
  | 25       | 2.5               |
  | 50       | 3                 |
  | 75       | 3.6               |
  | 100      | 4.25              |
  | 110      |                   |

table parts
  | share [%] |
  | 10        |
  | 20        |

answer runtimes \"at each load\" [h:min] = (gross - tare) / loads.rate
answer empty_at = start + runtimes
answer few = runtimes where loads.load > 60 % and loads.load < 105 %
answer shares = parts.share
worked many [h] = runtimes

case low \"Less in it\"
  gross = 37 lb ± 0.2 lb
";

fn session(text: &str) -> Session {
    Session::of_text("register.tare", text.to_owned(), &[], Options::default())
}

fn style(width: usize) -> Style {
    Style {
        colour: false,
        width,
        ..Style::default()
    }
}

fn written(write: impl Fn(&mut Vec<u8>) -> std::io::Result<()>) -> String {
    let mut bytes = Vec::new();
    write(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

fn entry<'a>(report: &'a Value, name: &str) -> &'a Value {
    let entries = report["entries"].as_array().unwrap();
    entries.iter().find(|entry| entry["name"] == name).unwrap()
}

fn json_of(report: &Report) -> Value {
    serde_json::from_str(&written(|output| json::write(report, output))).unwrap()
}

#[test]
fn on_a_terminal() {
    let report = session(REGISTER).report();
    for width in [80, 50, 40] {
        let name = format!("columns_at_{width}");
        insta::assert_snapshot!(name, whole::head(&report, style(width)));
    }
}

#[test]
fn for_a_code_host() {
    insta::assert_snapshot!(whole::markdown(&session(REGISTER).report()));
}

#[test]
fn for_a_spreadsheet() {
    insta::assert_snapshot!(written(|output| csv::write(&session(REGISTER).report(), output)));
}

#[test]
fn over_the_cases() {
    let mut session = session(REGISTER);
    let found = session.compare();
    insta::assert_snapshot!("columns_compared", found.text(style(80)));
    insta::assert_snapshot!("columns_compared_at_40", found.text(style(40)));
    insta::assert_snapshot!("columns_compared_markdown", found.markdown());
}

#[test]
fn from_where_it_comes() {
    let found = session(REGISTER).why("runtimes", None).ok().unwrap();
    insta::assert_snapshot!("columns_why", found.text(style(80)));
    insta::assert_snapshot!("columns_why_markdown", found.markdown());
    let json: Value = serde_json::from_str(&written(|output| found.json(output))).unwrap();
    let rows = json["steps"][0]["value"]["first"].as_array().unwrap();
    assert_eq!((rows.len(), &rows[0]), (5, &"8.4".into()));
}

#[test]
fn on_a_page() {
    let page = handout::write(&session(REGISTER).handout(Form::Full));
    let answers = page.split("<table class=\"answers\"").nth(1).unwrap();
    let cells = answers.split("<table class=\"cells\">").nth(1).unwrap();
    let cells = cells.split("</table>").next().unwrap();
    for piece in [
        "<caption class=\"unseen\">at each load</caption>",
        "<th scope=\"col\">loads.load</th>",
        "<th scope=\"row\">25 %</th>",
        "<span class=\"whole\">8 h 24 min</span> <span class=\"out\">± 24 min</span> <span class=\"k\">k=2</span>",
        "<th scope=\"row\">110 %</th><td><span class=\"open\">missing</span></td>",
    ] {
        assert!(cells.contains(piece), "no {piece} in\n{cells}");
    }
    let blank = handout::write(&session(&format!("{REGISTER}assumed to_fill [lb] = ?\n")).handout(Form::Pupil));
    let front = blank.split("id=\"key\"").next().unwrap();
    assert!(
        !front.contains("8 h 24 min"),
        "a page with blanks keeps the rows for the key"
    );
}

/// The standard uncertainties are u² = (u_gross/rate)² + (runtime/rate · u_rate)² with
/// u_gross = 0.2/√3 and u_rate = 0.1/√3, worked out apart in Python.
#[test]
fn for_machines() {
    let report = json_of(&session(REGISTER).report());
    assert_eq!(report["schema"], 2);
    let runtimes = entry(&report, "runtimes");
    assert_eq!(
        runtimes["display"],
        serde_json::json!([
            "8 h 24 min ± 24 min k=2",
            "7 h 0 min ± 17 min k=2",
            "5 h 50 min ± 12 min k=2",
            "4 h 56 min ± 9 min k=2",
            null
        ])
    );
    let names = serde_json::json!({ "column": "loads.load", "names": ["25 %", "50 %", "75 %", "100 %", "110 %"] });
    assert_eq!(runtimes["rows"], names);
    let u: Vec<f64> = runtimes["uncertainty"].as_array().unwrap()[..4]
        .iter()
        .map(|u| u.as_str().unwrap().parse().unwrap())
        .collect();
    let apart = [
        0.19941247035562584,
        0.1401057801435388,
        0.09889796277785257,
        0.07241457590120758,
    ];
    assert!(u.iter().zip(apart).all(|(u, apart)| (u - apart).abs() < 1e-12), "{u:?}");
    // what was left out is left out of the names too
    assert_eq!(
        entry(&report, "few")["rows"]["names"],
        serde_json::json!(["75 %", "100 %"])
    );
    // midnight among other moments has its time
    assert_eq!(
        entry(&report, "empty_at")["display"][1],
        "2026-11-30 00:00 ± 17 min k=2"
    );
    // a column that names its own rows isn't told twice
    assert_eq!(entry(&report, "shares")["rows"], Value::Null);
    assert_eq!(entry(&report, "shares")["display"], serde_json::json!(["10 %", "20 %"]));
    assert_eq!(entry(&report, "gross")["display"], "38 lb ± 0.2 lb");
}

/// A trial tells the rows that change, and a change in the middle of a long column is seen.
#[test]
fn a_change_is_told_row_by_row() {
    let mut session = session(
        "table t\n  | id | x |\n  | a | 1 |\n  | b | 2 |\n  | c | 3 |\n  | d | 4 |\n  | e | 5 |\n\
        assumed above = 9\nanswer cut = if t.x > above then 0 else t.x\nanswer middle = if t.id = \"c\" then above else t.x\n",
    );
    let changes = session.try_value("above = 8").ok().unwrap().changes.unwrap();
    let names: Vec<&str> = changes.answers.iter().map(|change| change.name.as_str()).collect();
    assert_eq!(names, ["middle"]);
    let told = tarebook::report::change::write(&changes, style(80));
    assert_eq!(told, "  middle c   9  → 8\n");
    let changes = session.try_value("above = 3").ok().unwrap().changes.unwrap();
    let told = tarebook::report::change::write(&changes, style(80));
    assert_eq!(told, "  cut d      4  → 0\n  cut e      5  → 0\n  middle c   8  → 3\n");
}

/// What is long is told whole where it is an answer.
/// A row that a function refuses is named, by its number in the table whatever was left out before.
#[test]
fn a_row_without_a_value_is_named() {
    let runs = "table runs\n  | had [lb] | ran [h] |\n  | 19 | 3 |\n  | 19 | 6.5 |\n  | 19 | 9.5 |\n";
    for (line, row) in [
        (
            "worked x = film_from_run(runs.had, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, ran: runs.ran, least_pressure: 5 psig)",
            3,
        ),
        ("worked x = 1 / (runs.ran - 6.5 h)", 2),
        ("worked x = 1 / ((runs.ran where runs.ran > 3 h) - 9.5 h)", 3),
    ] {
        let problems = tarebook::sheet::Sheet::load(format!("{runs}{line}\n"), None).problems();
        let told = &problems[0].message;
        assert!(told.starts_with(&format!("row {row}: ")), "{line}: {told}");
    }
}

#[test]
fn a_long_answer_has_all_of_its_rows() {
    let rows: String = (0..300).map(|row| format!("  | n{row} | {row} |\n")).collect();
    let text = format!("table t\n  | id | x |\n{rows}answer twice = 2 * t.x\nworked thrice = 3 * t.x\n");
    let report = session(&text).report();
    let head = whole::head(&report, style(80));
    assert!(head.contains("n150   300\n") && head.contains("n299   598\n"), "{head}");
    assert!(whole::markdown(&report).contains("| n299 | 598 |"));
    let whole = whole::text(&report, style(80));
    assert!(
        whole.contains("300 values, 0 … 897"),
        "what nobody asked for is told in one line"
    );
}

/// A cell in another unit than its column, and moments with midnight among them.
#[test]
fn cells_of_a_table_as_they_can_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let cells = "when,gross [lb],serial\n2026-01-11 18:00,94.5,12345678901234\n2026-01-12 00:00,43 kg,12345678901235\n";
    fs::write(folder.path().join("run.csv"), cells).unwrap();
    let path = folder.path().join("run.tare");
    fs::write(
        &path,
        "table run = csv(\"run.csv\")\ntable days\n  | day |\n  | 2026-01-12 |\n",
    )
    .unwrap();
    let report = Session::open(&path, Options::default()).ok().unwrap().report();
    let column = |table: usize, column: usize| report.tables[table].columns[column].shown.clone();
    assert_eq!(column(0, 0), ["2026-01-11 18:00", "2026-01-12 00:00"]);
    assert_eq!(column(0, 1), ["94.5", "94.80"]);
    assert_eq!(column(0, 2), ["12345678901234", "12345678901235"]);
    assert_eq!(column(1, 0), ["2026-01-12"]);
}
