//! What may stand in tests only: numbers of observed runs and of single products, which are facts and no scenario.
//!
//! Worksheets, help, starters, lessons and pages for readers stand in invented scenarios. Here is the list of numbers
//! that no such text may have, all of them common practice, no source; beside it what no source may be called, since
//! nobody could look it up. Start reading at [`NUMBERS`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::{Path, PathBuf};

/// Numbers, and the unit that has to follow for it to be that fact; none where the number alone is.
const NUMBERS: &[(&str, &str)] = &[
    // the gross weight of a full cylinder, twice
    ("36.8", ""),
    ("36.9", ""),
    // a quarter load for seven hours, what was in the cylinder, and how loud it was
    ("16.3", "lb"),
    ("18.8", "lb"),
    ("67", "dB"),
    ("67.5", "dB"),
    ("68", "dB"),
    // the nameplate of a set for three fuels
    ("8100", ""),
    ("5850", ""),
    ("7300", ""),
    // the fuel table of a stationary set
    ("138000", ""),
    ("262500", ""),
    ("387000", ""),
    ("9960", ""),
    ("16.2483", ""),
    ("22.0423", ""),
    ("35.7", "%"),
    ("35.66", "%"),
];

/// What isn't the trade's word, and sources that can't be looked up.
const WORDS: &[&str] = &[
    "hook scale",
    "heater on low",
    "heaters on low",
    "home-repair",
    "rural magazine",
    "hobby laboratory",
    "how-to page",
    "utility conversion page",
    "preparedness example",
    "examination-preparation",
    "second operator's manual",
    "furnace manual",
    "supplier's chart",
    "published 100-lb",
    "25 kW set",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below a path that is text, and the path itself where it is one.
fn files(path: &Path) -> Vec<PathBuf> {
    if path.is_file() {
        return vec![path.to_owned()];
    }
    let inside = fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path());
    inside.flat_map(|path| files(&path)).collect()
}

fn is_digit(text: &str, at: usize) -> bool {
    text.as_bytes().get(at).is_some_and(u8::is_ascii_digit)
}

/// The numbers of a text, without what sets their digits apart, each with what follows.
fn numbers(text: &str) -> Vec<(String, &str)> {
    let three = |at: usize| (1..4).all(|next| is_digit(text, at + next)) && !is_digit(text, at + 4);
    let goes_on = |at: usize| match text.as_bytes().get(at) {
        Some(b' ') => three(at),
        Some(b'.' | b',' | b'_') => is_digit(text, at + 1),
        _ => is_digit(text, at),
    };
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let start = at;
        while is_digit(text, start) && goes_on(at) {
            at += 1;
        }
        match at == start {
            true => at += 1,
            false => found.push((text[start..at].replace([',', '_', ' '], ""), &text[at..])),
        }
    }
    found
}

fn told(text: &str) -> Vec<String> {
    let all = numbers(text);
    let facts = all.iter().filter(|(number, rest)| {
        let named = NUMBERS.iter().filter(|(known, _)| known == number);
        named.into_iter().any(|(_, unit)| rest.trim_start().starts_with(unit))
    });
    let words = WORDS.iter().filter(|word| text.to_lowercase().contains(**word));
    facts
        .map(|(number, _)| number.clone())
        .chain(words.map(|word| (*word).to_owned()))
        .collect()
}

#[test]
fn what_readers_see_is_invented() {
    let mut looked = 0;
    for place in ["src", "notebooks", "grammar", "README.md", "DEVELOPERS.md"] {
        for file in files(&root().join(place)) {
            let text = fs::read_to_string(&file).unwrap();
            let found = told(&text);
            assert!(found.is_empty(), "{}: {found:?}", file.display());
            looked += 1;
        }
    }
    assert!(looked > 200, "{looked}");
}

#[test]
fn the_list_is_found_however_it_is_written() {
    for text in [
        "gross = 36.8 lb",
        "| 36.9 |",
        "138,000 BTU/h",
        "262_500",
        "387 000 BTU/h",
        "35.7 %",
        "67 dB",
        "Hook scale",
    ] {
        assert_eq!(told(text).len(), 1, "{text}");
    }
    for text in [
        "136.8 lb",
        "36.85 lb",
        "35.7 lb",
        "67 lb",
        "1 200 W",
        "16.3 psi",
        "2026-05-08",
    ] {
        assert!(told(text).is_empty(), "{text}: {:?}", told(text));
    }
}

/// A row whose source is another row's, or one that nobody can look up, says so: common practice, no source.
#[test]
fn every_row_of_the_data_names_its_own_source() {
    for file in files(&root().join("tests/data")) {
        let text = fs::read_to_string(&file).unwrap();
        let found: Vec<&&str> = WORDS.iter().filter(|word| text.contains(**word)).collect();
        assert!(found.is_empty(), "{}: {found:?}", file.display());
        if file.extension().is_none_or(|extension| extension != "csv") {
            continue;
        }
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let heads = reader.headers().unwrap().clone();
        let Some(source) = heads.iter().position(|head| head == "source") else {
            continue;
        };
        let standing = heads.iter().position(|head| head == "standing");
        for row in reader.records().map(Result::unwrap) {
            assert!(
                !row[source].is_empty() && !row[source].starts_with("same"),
                "{}: {row:?}",
                file.display()
            );
            let is_practice = standing.is_some_and(|standing| &row[standing] == "common practice");
            assert!(
                !is_practice || row[source].starts_with("no source"),
                "{}: {row:?}",
                file.display()
            );
        }
    }
}
