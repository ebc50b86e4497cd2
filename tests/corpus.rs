//! The inputs that the fuzzer found worth keeping, each run once more: those that
//! reach most of the program, and those that once broke something.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::panic;
use std::path::Path;

#[path = "fuzz/src/harness.rs"]
mod harness;

use harness::TARGETS;

/// Every input of a target; those that break it are named.
fn replay(name: &str) {
    let (_, run) = TARGETS.iter().find(|(known, _)| *known == name).unwrap();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(name);
    let mut inputs: Vec<_> = fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    inputs.sort();
    assert!(inputs.len() > 5, "{} has too few inputs", folder.display());
    let breaks = |input: &&std::path::PathBuf| {
        let data = fs::read(input).unwrap();
        panic::catch_unwind(|| run(&data)).is_err()
    };
    let broken: Vec<_> = inputs
        .iter()
        .filter(breaks)
        .map(|input| input.file_name().unwrap())
        .collect();
    assert!(broken.is_empty(), "{name}: {broken:?}");
}

macro_rules! targets {
    ($($test:ident = $name:literal),*) => {
        $(#[test]
        fn $test() {
            replay($name);
        })*

        #[test]
        fn every_target_is_replayed() {
            let names: Vec<&str> = TARGETS.iter().map(|(name, _)| *name).collect();
            assert_eq!(names, [$($name),*]);
        }
    };
}

targets!(
    parsing = "parse",
    checking = "check",
    running = "run",
    editing = "edit",
    a_session = "session",
    csv_files = "csv",
    an_editor = "editor",
    readings = "add",
    files_read_otherwise = "columns",
    worksheets_on_others = "use",
    a_class = "mark",
    a_page = "page"
);

#[test]
fn the_fuzzer_knows_the_language() {
    let words = harness::words();
    assert!(words.lines().count() > 300);
    for line in words.lines() {
        assert!(line.starts_with("\"\\x") && line.ends_with('"'), "{line}");
    }
}
