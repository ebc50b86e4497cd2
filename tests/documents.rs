//! Every example in the language reference and the README runs: those marked `tare` compute
//! without a problem, those marked `tare-problem CODE` have that problem.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::problem::Severity;
use tarebook::report::build::{Options, report};
use tarebook::report::{Style, terminal};
use tarebook::sheet::Sheet;

struct Fence {
    line: usize,
    tag: String,
    text: String,
}

fn fences(document: &str) -> Vec<Fence> {
    let mut fences = Vec::new();
    let mut open: Option<Fence> = None;
    for (number, line) in document.lines().enumerate() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(tag)) => {
                open = Some(Fence {
                    line: number + 1,
                    tag: tag.to_owned(),
                    text: String::new(),
                })
            }
            (Some(_), Some(_)) => fences.extend(open.take()),
            (Some(fence), None) => {
                fence.text.push_str(line);
                fence.text.push('\n');
            }
            (None, None) => {}
        }
    }
    fences
}

/// What is wrong with an example; `None` if it does what its tag says.
fn fault(fence: &Fence) -> Option<String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/documents");
    let sheet = Sheet::load(fence.text.clone(), Some(folder));
    let problems = sheet.problems();
    let found: Vec<&str> = problems
        .iter()
        .filter(|p| p.severity == Severity::Problem)
        .map(|p| p.code.word())
        .collect();
    let told: Vec<&String> = problems.iter().map(|problem| &problem.message).collect();
    let fine = match fence.tag.strip_prefix("tare-problem ") {
        None => found.is_empty(),
        Some(code) => found.contains(&code.trim()),
    };
    let report = || {
        format!(
            "line {} ({}): {found:?} {told:?}\n{}",
            fence.line, fence.tag, fence.text
        )
    };
    (!fine).then(report)
}

/// Every worksheet shown in a document does what its tag says.
fn check(document: &str, least: usize) {
    let shown = fences(document)
        .into_iter()
        .filter(|fence| fence.tag.starts_with("tare"));
    let shown: Vec<Fence> = shown.collect();
    assert!(shown.len() >= least, "the document has lost its examples");
    let faults: Vec<String> = shown.iter().filter_map(fault).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn examples_of_the_reference_run() {
    check(include_str!("../grammar/reference.md"), 20);
}

#[test]
fn examples_of_the_readme_run() {
    check(include_str!("../README.md"), 1);
}

/// The README shows how the built-in worksheet's report begins.
#[test]
fn the_readme_shows_what_is_printed() {
    let readme = include_str!("../README.md");
    let shown = fences(readme).into_iter().find(|fence| fence.tag == "text");
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let sheet = Sheet::load(include_str!("../notebooks/winter-outage.tare").to_owned(), Some(folder));
    let style = Style {
        colour: false,
        width: 80,
    };
    let printed = terminal::write(&report(&sheet, Options::default()), style);
    let shown = shown.expect("the README has lost its output").text;
    assert!(
        printed.starts_with(&shown),
        "the README shows\n{shown}\nbut what is printed is\n{printed}"
    );
}
