//! What the build takes from elsewhere: licences, places, and the oldest compiler.
//!
//! Asks the package manager that runs the tests, without a network, for the packages
//! that this machine builds. The licences that go with both of the project's own are
//! a list of common practice.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

/// Licences that let the program be given away under either of its own.
/// common practice
const COMPATIBLE: [&str; 8] = [
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSL-1.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

const DEVELOPERS: &str = include_str!("../DEVELOPERS.md");

fn packages() -> Vec<Value> {
    let rustc = std::env::var("RUSTC").unwrap_or_else(|_| "rustc".to_owned());
    let version = Command::new(rustc).arg("-vV").output().unwrap();
    let version = String::from_utf8(version.stdout).unwrap();
    let host = version.lines().find_map(|line| line.strip_prefix("host: ")).unwrap();
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--format-version",
            "1",
            "--locked",
            "--offline",
            "--filter-platform",
            host,
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let known: Value = serde_json::from_slice(&output.stdout).unwrap();
    known["packages"].as_array().unwrap().clone()
}

/// Whether a licence expression can be met with compatible licences alone.
fn is_compatible(expression: &str) -> bool {
    let plain = expression.replace('/', " OR ");
    let parts = plain.split(" AND ");
    let met = |part: &str| {
        let part = part.trim().trim_start_matches('(').trim_end_matches(')');
        part.split(" OR ").any(|licence| COMPATIBLE.contains(&licence.trim()))
    };
    parts.into_iter().all(met)
}

#[test]
fn every_licence_goes_with_both_of_ours() {
    assert!(is_compatible("(MIT OR Apache-2.0) AND Unicode-3.0"));
    assert!(!is_compatible("GPL-3.0-only") && !is_compatible("MIT AND GPL-2.0-only"));
    let packages = packages();
    assert!(packages.len() > 50, "{}", packages.len());
    for package in &packages {
        let licence = package["license"].as_str().unwrap_or("none");
        assert!(is_compatible(licence), "{}: {licence}", package["name"]);
    }
}

#[test]
fn everything_comes_from_the_registry_and_builds_with_the_stated_compiler() {
    let packages = packages();
    let ours = packages
        .iter()
        .find(|package| package["name"] == env!("CARGO_PKG_NAME"))
        .unwrap();
    let numbers = |version: &Value| -> Vec<u32> {
        let version = version.as_str().unwrap_or("0");
        version.split('.').map(|part| part.parse().unwrap()).collect()
    };
    let stated = numbers(&ours["rust_version"]);
    assert_eq!(stated.len(), 2);
    for package in &packages {
        assert!(
            numbers(&package["rust_version"]) <= [stated.clone(), vec![0]].concat(),
            "{}",
            package["name"]
        );
        let from_registry = package["source"]
            .as_str()
            .is_some_and(|source| source.starts_with("registry+"));
        assert!(from_registry || package["name"] == ours["name"], "{}", package["name"]);
    }
}

#[test]
fn the_developers_page_lists_what_the_program_takes() {
    let packages = packages();
    let ours = packages
        .iter()
        .find(|package| package["name"] == env!("CARGO_PKG_NAME"))
        .unwrap();
    let section = DEVELOPERS.split("\n## Dependencies\n").nth(1).unwrap();
    let section = section.split("\n## ").next().unwrap();
    let rows = section.lines().filter_map(|line| line.strip_prefix("| "));
    let cells: Vec<Vec<&str>> = rows.map(|row| row.split(" | ").collect()).skip(1).collect();
    let listed: BTreeSet<&str> = cells.iter().map(|row| row[0]).collect();
    let tests = section
        .lines()
        .find_map(|line| line.strip_prefix("For tests and benchmarks only: "))
        .unwrap();
    let tests: BTreeSet<&str> = tests.trim_end_matches('.').split(", ").collect();
    let taken = |kind: Option<&str>| -> BTreeSet<&str> {
        let all = ours["dependencies"].as_array().unwrap().iter();
        let of_kind = all.filter(|dependency| dependency["kind"].as_str() == kind);
        of_kind.map(|dependency| dependency["name"].as_str().unwrap()).collect()
    };
    assert_eq!(listed, taken(None));
    assert_eq!(tests, taken(Some("dev")));
    for row in cells {
        let package = packages.iter().find(|package| package["name"] == row[0]).unwrap();
        let licence = package["license"].as_str().unwrap();
        let plain = licence
            .replace(['(', ')'], "")
            .replace('/', " OR ")
            .replace(" AND ", " OR ");
        let real: BTreeSet<&str> = plain.split(" OR ").map(str::trim).collect();
        let stated = row[1].replace(", and ", " or ");
        let stated: BTreeSet<&str> = stated.split(" or ").collect();
        assert_eq!(stated, real, "{}", row[0]);
    }
}
