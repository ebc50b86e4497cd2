//! Published worked examples and table values, each run through the language
//! as `worked x [unit] = expression`, and every function's own examples.
//! Sources stand in tests/data/published_checks.csv, beside each row.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::number::Number;
use tarebook::problem::Severity;
use tarebook::report::compose;
use tarebook::report::digits::{self, Quantity};
use tarebook::report::moment;
use tarebook::sheet::{Reading, Sheet};
use tarebook::trade::registry::functions;
use tarebook::unit::Kind;

const CHECKS: &str = include_str!("data/published_checks.csv");

struct Row {
    line: usize,
    expression: String,
    expected: Number,
    unit: String,
    tolerance: String,
    source: String,
}

fn rows() -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(CHECKS.as_bytes());
    let rows = reader.records().zip(2..).map(|(record, line)| {
        let record = record.unwrap();
        Row {
            line,
            expression: record[0].to_owned(),
            expected: signed(&record[1]),
            unit: record[2].to_owned(),
            tolerance: record[3].to_owned(),
            source: format!("{}: {}", &record[4], &record[5]),
        }
    });
    rows.collect()
}

fn signed(text: &str) -> Number {
    match text.strip_prefix('-') {
        Some(amount) => Number::parse(amount).unwrap().neg(),
        None => Number::parse(text).unwrap(),
    }
}

fn agrees(found: Number, expected: Number, tolerance: &str) -> bool {
    let gap = (found.to_f64() - expected.to_f64()).abs();
    match tolerance.split_once(' ') {
        None => found.agrees_with(expected),
        Some((amount, "abs")) => gap <= amount.parse::<f64>().unwrap() * (1.0 + 1e-9),
        Some((amount, _)) => gap <= amount.parse::<f64>().unwrap() / 100.0 * expected.to_f64().abs() * (1.0 + 1e-9),
    }
}

fn problems(sheet: &Sheet) -> Vec<String> {
    let problems = sheet.problems();
    let weighs = problems.iter().filter(|problem| problem.severity == Severity::Problem);
    weighs.map(|problem| problem.message.clone()).collect()
}

/// The value of `worked x [unit] = expression`, or what is wrong.
fn worked(expression: &str, unit: &str) -> Result<Number, String> {
    let bracket = if unit.is_empty() {
        String::new()
    } else {
        format!(" [{unit}]")
    };
    let sheet = Sheet::load(format!("worked x{bracket} = {expression}\n"), None);
    let wrong = problems(&sheet);
    match sheet.reading(sheet.cell("x").unwrap()) {
        Reading::Number(number) if wrong.is_empty() => Ok(number),
        _ => Err(wrong.join("; ")),
    }
}

fn check(row: &Row) -> Option<String> {
    let found = match worked(&row.expression, &row.unit) {
        Ok(found) if agrees(found, row.expected, &row.tolerance) => return None,
        Ok(found) => found.to_plain(),
        Err(wrong) => wrong,
    };
    Some(format!(
        "line {}: {} = {} {} ({}) expected, found {found} [{}]",
        row.line,
        row.expression,
        row.expected.to_plain(),
        row.unit,
        row.tolerance,
        row.source
    ))
}

#[test]
fn published_values_come_out_of_the_language() {
    let rows = rows();
    assert!(rows.len() > 100, "only {} rows", rows.len());
    let wrong: Vec<String> = rows.iter().filter_map(check).collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// What is wrong with an example of a function, shown at four digits without its uncertainty.
fn check_example(table: &str, call: &str, expected: &str) -> Option<String> {
    let sheet = Sheet::load(format!("{table}worked x = {call}\n"), None);
    let cell = sheet.cell("x").unwrap();
    let wrong = problems(&sheet);
    let found = match (sheet.reading(cell), sheet.shape(cell)) {
        (Reading::Number(number), Some(shape)) if wrong.is_empty() => match shape.kind {
            Kind::Text => format!("\"{}\"", sheet.texts().text(number)),
            Kind::TimeOfDay | Kind::Counted(_) => moment::shown_time(number, None).unwrap().display(),
            Kind::Moment => moment::shown_moment(number, None).unwrap().display(),
            kind => {
                let quantity = Quantity {
                    value: number,
                    unit: &compose::unit_text(kind),
                    form: compose::form(kind, false),
                    expanded: None,
                };
                digits::calculated(&quantity, 4).display()
            }
        },
        (reading, _) => format!("{reading:?} {}", wrong.join("; ")),
    };
    (found != expected).then(|| format!("{call} gives {expected}, found {found}"))
}

#[test]
fn every_example_of_every_function_shows_its_result() {
    let examples = functions().flat_map(|function| {
        let table = function.example_table;
        function.examples.iter().map(move |example| (table, example))
    });
    let wrong: Vec<String> = examples
        .filter_map(|(table, example)| check_example(table, example.call, example.result))
        .collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}
