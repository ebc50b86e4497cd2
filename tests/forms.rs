//! Every study in every form: what it was worked out for stands in each, pages are
//! well-formed, and the session writes what the command line does.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::process::Command;

use roxmltree::Document;
use tarebook::session::studies::STUDIES;

const SHED: &str = "\
# Shed
assumed air = 40 °F ± 4 °F from \"forecast\"
measured fuel = 30 lb ± 0.5 lb from \"scale\"
assumed rate = 1.5 lb/h ± 0.1 lb/h
answer lasts [h] = fuel / rate
expect lasts >= 12 h else \"Too short.\"
assumed guess \"How long?\" [h] = ?
expect guess close to 20 h within 1 h else \"Try again.\"
case cold \"A <cold> night\"
  rate = 1.8 lb/h
";

/// What is asked of each study, as it is typed in the session and on the command line.
const ASKED: &[(&str, &[&str])] = &[
    ("why lasts", &["why", "shed.tare", "lasts"]),
    ("doubt lasts", &["doubt", "shed.tare", "lasts"]),
    ("compare", &["compare", "shed.tare"]),
    ("audit", &["audit", "shed.tare"]),
    ("leeway", &["leeway", "shed.tare"]),
    (
        "sweep rate from 1 lb/h to 2 lb/h values 3",
        &[
            "sweep",
            "shed.tare",
            "rate",
            "--from",
            "1 lb/h",
            "--to",
            "2 lb/h",
            "--values",
            "3",
        ],
    ),
    (
        "aim lasts = 15 h varying rate between 1 lb/h and 3 lb/h",
        &[
            "aim",
            "shed.tare",
            "lasts=15 h",
            "--varying",
            "rate",
            "--between",
            "1 lb/h",
            "3 lb/h",
        ],
    ),
    ("mark class", &["mark", "shed.tare", "class"]),
    ("diff other.tare", &["diff", "shed.tare", "other.tare"]),
];

fn run(arguments: &[&str], typed: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("shed.tare"), SHED).unwrap();
    fs::write(folder.path().join("other.tare"), SHED.replace("30 lb", "28 lb")).unwrap();
    fs::write(folder.path().join("typed"), typed).unwrap();
    fs::create_dir(folder.path().join("class")).unwrap();
    fs::write(folder.path().join("class/ana.tare"), SHED.replace("= ?", "= 19.5 h")).unwrap();
    let typed = fs::File::open(folder.path().join("typed")).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    command.current_dir(folder.path()).args(arguments).stdin(typed);
    let ran = command.output().unwrap();
    String::from_utf8(ran.stdout).unwrap()
}

fn written(asked: &[&str], format: &str) -> String {
    let held = ["--case", "cold", "--set", "fuel=24 lb", "--format", format];
    run(&[asked, &held].concat(), "")
}

#[test]
fn every_study_is_asked() {
    let names: Vec<&str> = ASKED.iter().map(|(_, asked)| asked[0]).collect();
    for study in STUDIES {
        assert!(names.contains(&study.name), "{} has no row here", study.name);
    }
}

#[test]
fn case_and_trials_stand_in_every_form() {
    for (_, asked) in ASKED {
        for format in ["text", "markdown", "html"] {
            let told = written(asked, format).replace(['`'], "");
            let told = told.replace("<code>", "").replace("</code>", "");
            assert!(
                told.contains("Case cold") || told.contains("Case in hand: cold"),
                "{asked:?} in {format} has no case:\n{told}"
            );
            assert!(
                told.contains("fuel = 24 lb"),
                "{asked:?} in {format} has no trial:\n{told}"
            );
        }
        let machine: serde_json::Value = serde_json::from_str(&written(asked, "json")).unwrap();
        let hand = ["schema", "title", "file", "case", "trials"].map(|key| machine[key].clone());
        let expected = serde_json::json!([2, "Shed", "shed.tare", "cold", ["fuel = 24 lb"]]);
        assert_eq!(serde_json::Value::from(hand.to_vec()), expected, "{asked:?}");
        let rows = written(asked, "csv");
        let mut rows = csv::Reader::from_reader(rows.as_bytes());
        let headings = rows.headers().unwrap().clone();
        let behind: Vec<&str> = headings.iter().skip(headings.len() - 4).collect();
        assert_eq!(behind, ["title", "file", "case", "trials"], "{asked:?}");
        for row in rows.records() {
            let row = row.unwrap();
            let behind: Vec<&str> = row.iter().skip(headings.len() - 4).collect();
            assert_eq!(behind, ["Shed", "shed.tare", "cold", "fuel = 24 lb"], "{asked:?}");
        }
    }
}

#[test]
fn pages_are_well_formed_and_load_nothing() {
    for (_, asked) in ASKED {
        let page = written(asked, "html");
        let body = page.strip_prefix("<!DOCTYPE html>").unwrap();
        let document = Document::parse(body).unwrap_or_else(|trouble| panic!("{asked:?}: {trouble}\n{page}"));
        let named = |name: &str| document.descendants().filter(|node| node.has_tag_name(name)).count();
        assert!(named("h1") >= 1 && named("main") == 1, "{asked:?}");
        assert_eq!(named("script") + named("img") + named("link"), 0, "{asked:?}");
        for table in document.descendants().filter(|node| node.has_tag_name("table")) {
            let caption = table.children().find(|node| node.has_tag_name("caption")).unwrap();
            assert!(!caption.text().unwrap().is_empty(), "{asked:?}");
        }
        assert!(page.contains("Carbon monoxide kills"), "{asked:?}");
    }
}

#[test]
fn the_session_writes_each_form() {
    for (typed, asked) in ASKED {
        for (format, sign) in [
            ("markdown", "# "),
            ("html", "</html>"),
            ("json", "\"schema\": 2"),
            ("csv", "file,case"),
        ] {
            let told = run(&["open", "shed.tare"], &format!("{typed} --format {format}\n"));
            assert!(told.contains(sign), "{typed} in {format}:\n{told}");
        }
        let told = run(&["open", "shed.tare"], &format!("{typed} --format pdf\n"));
        assert!(told.contains("text, markdown, html, json, csv"), "{asked:?}:\n{told}");
    }
}
