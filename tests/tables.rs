//! A sheet of cells carried over: lookups, categories, differences from row to row, a table
//! of two ways. Recalculated apart in `tests/tables/auditor.csv`; and how work on rows grows.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use tarebook::report::compose::Options;
use tarebook::report::model::{Report, Scalar, Uncertainty, Value};
use tarebook::session::Session;
use tarebook::session::doubt::DoubtAsked;
use tarebook::sheet::{Reading, Sheet};
use tarebook::study::Unwatched;

/// Values agree to this part, and so do first-order uncertainties.
const CLOSE: f64 = 1e-9;

fn number(scalar: &Scalar) -> f64 {
    match scalar {
        Scalar::Text(text) => text.parse().unwrap(),
        _ => panic!("no number"),
    }
}

/// A value and its standard uncertainty: of an entry, or of a column in its table.
fn found(report: &Report, name: &str, row: Option<usize>) -> (f64, f64) {
    let standard = |text: Option<&String>| text.map_or(0.0, |text| text.parse().unwrap());
    if let Some(entry) = report.entries.iter().find(|entry| entry.name == name) {
        return match (&entry.value, &entry.uncertainty, row) {
            (Value::One(one), Uncertainty::One(u), None) => (number(one), standard(Some(u))),
            (Value::One(one), _, None) => (number(one), 0.0),
            (Value::Column(cells), doubts, Some(row)) => {
                let doubt = match doubts {
                    Uncertainty::Column(doubts) => standard(doubts[row].as_ref()),
                    _ => 0.0,
                };
                (number(cells[row].as_ref().unwrap()), doubt)
            }
            _ => panic!("{name} has no such value"),
        };
    }
    let (table, column) = name.split_once('.').unwrap();
    let table = report.tables.iter().find(|known| known.name == table).unwrap();
    let column = table.columns.iter().find(|known| known.name == column).unwrap();
    let row = row.unwrap();
    let doubt = column
        .uncertainty
        .as_ref()
        .map_or(0.0, |doubts| standard(doubts[row].as_ref()));
    (number(column.values[row].as_ref().unwrap()), doubt)
}

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tables")
}

fn agree(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= CLOSE * expected.abs().max(1e-6)
}

#[test]
fn an_auditors_sheet_agrees_with_one_worked_out_apart() {
    let session = Session::open(&folder().join("auditor.tare"), Options::default())
        .ok()
        .unwrap();
    let report = session.report();
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    let mut rows = csv::Reader::from_path(folder().join("auditor.csv")).unwrap();
    let mut wrong = String::new();
    let mut count = 0;
    for row in rows.records() {
        let row = row.unwrap();
        let place = row[1].parse::<usize>().ok().map(|row| row - 1);
        let (value, doubt) = found(&report, &row[0], place);
        let (expected, first_order): (f64, f64) = (row[2].parse().unwrap(), row[3].parse().unwrap());
        if !agree(value, expected) || !agree(doubt, first_order) {
            writeln!(
                wrong,
                "{} {}: {value} ± {doubt}, apart {expected} ± {first_order}",
                &row[0], &row[1]
            )
            .unwrap();
        }
        count += 1;
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(count > 100, "{count} values");
}

/// Draws of what is looked up, added up by category and read off a grid scatter as draws made apart.
#[test]
fn its_draws_agree_with_draws_made_apart() {
    const DRAWS: u64 = 20_000;
    let mut session = Session::open(&folder().join("auditor.tare"), Options::default())
        .ok()
        .unwrap();
    let mut rows = csv::Reader::from_path(folder().join("auditor.csv")).unwrap();
    let apart: Vec<(String, f64)> = rows
        .records()
        .map(|row| row.unwrap())
        .map(|row| (row[0].to_owned(), row[4].parse().unwrap()))
        .collect();
    for name in ["total", "gap", "porch", "at_1500", "fuel_need"] {
        let asked = DoubtAsked {
            name: name.to_owned(),
            draws: Some(DRAWS),
            seed: Some(1),
        };
        let drawn = session.doubt(&asked, &Unwatched).ok().unwrap().study.draws.unwrap();
        let (_, expected) = apart.iter().find(|(known, _)| known == name).unwrap();
        let off = (drawn.sd.unwrap().parse::<f64>().unwrap() - expected).abs() / expected;
        // four standard errors of a standard deviation
        assert!(off < 1e-3 + 4.0 / (2.0 * DRAWS as f64).sqrt(), "{name}: off by {off}");
    }
}

fn register(rows: usize) -> String {
    let mut text = String::from("table shells\n  | id | tare [lb] |\n");
    for row in 0..rows {
        writeln!(text, "  | s{row} | {}.{} |", 16 + row % 9, row % 10).unwrap();
    }
    text.push_str("\ntable stock\n  | shell | gross [lb] |\n");
    for row in 0..rows {
        writeln!(text, "  | s{} | {}.{} |", (row * 7919) % rows, 30 + row % 9, row % 10).unwrap();
    }
    text.push_str(
        "\nworked stock.net [lb] = stock.gross - shells.tare of stock.shell\nanswer total = sum(stock.net)\n",
    );
    text
}

fn took(rows: usize) -> Duration {
    let text = register(rows);
    let begin = Instant::now();
    let sheet = Sheet::load(text, None);
    let took = begin.elapsed();
    let total = sheet.cell("total").unwrap();
    assert!(matches!(sheet.reading(total), Reading::Number(_)), "{rows} rows");
    took
}

/// Ten times the rows take some ten times as long, not a hundred times.
#[test]
fn a_lookup_each_row_grows_in_step_with_the_rows() {
    let (few, many) = (took(3_000), took(30_000));
    assert!(many < few * 30, "{few:?} and {many:?}");
}

/// Columns with rows and nothing in them are one thing to fill in, and no problem each.
#[test]
fn columns_that_are_empty_are_waited_for() {
    let text = "table shells\n  | id | tare [lb] | made | examined | method |\n  | red | 17.6 | | | |\n  | blue | 17.2 | | | |\n\
        worked until = requalification_date(shells.made, shells.examined, shells.method)\n\
        answer rest = 3 lb - first(shells.tare)\nworked many = count(shells.made)\n";
    let session = Session::of_text("shells.tare", text.to_owned(), &[], Options::default());
    assert!(session.problems().is_empty(), "{:#?}", session.problems());
    let report = session.report();
    let until = report.entries.iter().find(|entry| entry.name == "until").unwrap();
    let told = until.shown.display();
    assert!(told.contains("waits for") && told.contains("shells.made"), "{told}");
    let many = report.entries.iter().find(|entry| entry.name == "many").unwrap();
    assert_eq!(many.shown.value, "0");
    // a date in one of them, and the other alone is waited for; one in each, and it is worked out
    let one = text.replace("| red | 17.6 | | | |", "| red | 17.6 | 2019-04-01 | | |");
    let session = Session::of_text("shells.tare", one.clone(), &[], Options::default());
    assert!(session.problems().is_empty(), "{:#?}", session.problems());
    // what was filled in with something else is a problem as before
    let wrong = text.replace("| red | 17.6 | | | |", "| red | 17.6 | soon | | |");
    let session = Session::of_text("shells.tare", wrong, &[], Options::default());
    assert_eq!(session.problems().len(), 1, "{:#?}", session.problems());
}
