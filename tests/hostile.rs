//! Worksheets made to hang the program, or to make it lose its way.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write;
use std::io;
use std::time::{Duration, Instant};

use tarebook::report::build::Options;
use tarebook::session::Session;
use tarebook::session::file::read_stream;

/// Far above what any of these takes, far below what a walk of everything for
/// each line would take.
const AT_ONCE: Duration = Duration::from_secs(20);

/// The codes of the problems, in their order, and not after a long wait.
fn check(text: &str, wanted: &[&str]) {
    let begun = Instant::now();
    let session = Session::of_text("standard input", text.to_owned(), &[], Options::default());
    let codes: Vec<String> = session.problems().into_iter().map(|problem| problem.code).collect();
    assert_eq!(codes, wanted, "{}", text.chars().take(60).collect::<String>());
    assert!(begun.elapsed() < AT_ONCE, "{:?}", begun.elapsed());
}

#[test]
fn a_long_chain_of_rules_is_walked_once() {
    let mut text = "rule f0(x) = x\n".to_owned();
    for number in 1..4000 {
        writeln!(text, "rule f{number}(x) = f{}(x) + 1", number - 1).unwrap();
    }
    check(&text, &[]);
    check(&format!("{text}worked y = f3999(1)\n"), &["rule-size"]);
    let looping = text.replacen("f0(x) = x", "f0(x) = f3999(x)", 1);
    check(&format!("{looping}worked y = f17(1)\n"), &["rule-loop"]);
}

#[test]
fn a_stream_without_an_end_is_given_up() {
    let refusal = read_stream(io::repeat(b'-'), "standard input").err().unwrap();
    let message = &refusal.problems[0].message;
    assert!(message.contains("longer than 64 MB"), "{message}");
}

/// What is missing in a column is missing in what is told of it.
#[test]
fn a_missing_cell_has_no_uncertainty() {
    let text = "table t\n  | w [lb ± 0.1] |\n  | 5 |\n  | |\nworked twice = t.w * 2\n";
    let report = Session::of_text("standard input", text.to_owned(), &[], Options::default()).report();
    let column = &report.tables[0].columns[0];
    assert_eq!(column.uncertainty.as_ref().unwrap()[1], None);
    let twice = report.entries.iter().find(|entry| entry.name == "twice").unwrap();
    assert_eq!(twice.shown.value, "10 lb, missing");
}

#[test]
fn many_problems_are_placed_in_one_walk() {
    let rows = "| a |\n".repeat(20_000);
    check(&rows, &vec!["stray-row"; 20_000]);
}
