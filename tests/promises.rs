//! What stays readable from release to release, as `grammar/changes.md` promises it: worksheets
//! with words that were renamed since, journals, and the fields of the machine format.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;
use tarebook::problem::Code;
use tarebook::report::compose::{Options, report};
use tarebook::report::drawing::DrawnProblem;
use tarebook::session::Session;
use tarebook::sheet::{Reading, Sheet};
use tarebook::trade::registry::functions;

const CHANGES: &str = include_str!("../grammar/changes.md");

fn data() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/promises")
}

fn run(folder: &Path, arguments: &[&str], code: i32) -> (String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    let ran = command
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    assert_eq!(ran.status.code(), Some(code), "{arguments:?}");
    (text(ran.stdout), text(ran.stderr))
}

// ---- words that were renamed ----

/// A call as the first release knew it, and as it is written now.
const CALLS: [(&str, &str); 10] = [
    ("heat_rate(1.5 lb/h)", "heat_input(1.5 lb/h)"),
    ("line_at(p.x, p.y, 1.5 kW)", "fitted_at(p.x, p.y, 1.5 kW)"),
    ("reading_at(p.x, p.y, 1.5 kW)", "next_reading(p.x, p.y, 1.5 kW)"),
    ("agreement(u, v)", "normalized_error(u, v)"),
    (
        "steady_rate(24 lb, 12 in, 24 °F, 14 W/(m2·C°), 10 psig)",
        "continuous_rate(24 lb, 12 in, 24 °F, 14 W/(m2·C°), 10 psig)",
    ),
    (
        "settled_temperature(1 lb/h, 24 lb, 12 in, 24 °F, 14 W/(m2·C°))",
        "equilibrium_temperature(1 lb/h, 24 lb, 12 in, 24 °F, 14 W/(m2·C°))",
    ),
    (
        "draw_down_time(18.5 lb, 12 in, 17.6 lb, trend(p.t, p.air), 1 lb/h, 10 W/(m2·C°), 5 psig)",
        "draw_down_time(18.5 lb, 12 in, 17.6 lb, ramps(p.t, p.air), 1 lb/h, 10 W/(m2·C°), 5 psig)",
    ),
    (
        "icing_margin(capacity: 9 kW, demand: 8 kW)",
        "icing_margin(supply: 9 kW, demand: 8 kW)",
    ),
    (
        "cylinders_together(8 kW, capacity_each: 3 kW, margin: 20 %)",
        "cylinders_together(8 kW, supply_each: 3 kW, margin: 20 %)",
    ),
    (
        "electrical_efficiency(1 kW, heat_rate: 8 kW)",
        "electrical_efficiency(1 kW, heat_input: 8 kW)",
    ),
];

fn value(call: &str) -> (String, Vec<DrawnProblem>) {
    let points = "measured u = 1 lb ± 0.1 lb\nmeasured v = 1.1 lb ± 0.1 lb\ntable p\n  | x [kW] | y [lb/h] | t [h] | air [°F] |\n  | 1 | 2.1 | 0 | 40 |\n  | 2 | 2.8 | 4 | 30 |\n  | 3 | 3.7 | 9 | 20 |\n";
    let text = format!("{points}worked a = {call}\n");
    let session = Session::of_text("a.tare", text, &[], Options::default());
    let sheet = session.sheet();
    let reading = match sheet.reading(sheet.cell("a").unwrap()) {
        Reading::Number(number) => number.to_plain(),
        other => panic!("{call}: {other:?} {:?}", sheet.problems()),
    };
    (reading, session.problems())
}

#[test]
fn a_renamed_word_is_read_with_a_remark_and_can_be_mended() {
    for (once, now) in CALLS {
        let (wanted, none) = value(now);
        assert_eq!(none, [], "{now}");
        let (found, problems) = value(once);
        assert_eq!(found, wanted, "{once}");
        let [remark] = problems.as_slice() else {
            panic!("{once}: {problems:?}");
        };
        assert_eq!(remark.code, Code::Renamed.word(), "{once}");
        let meant = remark.help.as_ref().unwrap().split('`').nth(1).unwrap();
        let mut line = remark.text.clone();
        line.replace_range(remark.mark.clone(), meant);
        assert_eq!(line, format!("worked a = {now}"));
    }
}

/// Every word that a declaration says was called otherwise has its call above and its place in
/// the list of changes, and none is the name of something else now.
#[test]
fn every_renamed_word_is_told_and_tested() {
    let told = |once: &str, now: &str| {
        assert!(
            CHANGES.contains(&format!("`{once}`")) && CHANGES.contains(&format!("is `{now}`")),
            "{once}"
        );
        let called = CALLS
            .iter()
            .any(|(before, after)| before.contains(once) && after.contains(now));
        assert!(called, "{once} has no call");
    };
    let mut names = BTreeSet::new();
    for function in functions() {
        for name in [function.name, function.once]
            .into_iter()
            .filter(|name| !name.is_empty())
        {
            assert!(names.insert(name), "{name} is two functions");
        }
        if !function.once.is_empty() {
            told(function.once, function.name);
        }
        for parameter in function
            .parameters
            .iter()
            .filter(|parameter| !parameter.once.is_empty())
        {
            assert!(
                function.parameters.iter().all(|other| other.name != parameter.once),
                "{}",
                parameter.once
            );
            told(parameter.once, parameter.name);
        }
    }
    assert_eq!(value("heat_rate(1.5 lb/h) + 1 W").1[0].code, Code::Renamed.word());
    let own = Sheet::load("assumed trend = 3 lb\nworked agreement = trend * 2\n".to_owned(), None);
    assert_eq!(own.problems(), []);
}

#[test]
fn a_word_of_a_verb_is_answered_with_the_new_one() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.tare"), "assumed a = 3 lb\nanswer b = a * 2\n").unwrap();
    for (arguments, now) in [
        (&["show", "a.tare", "--seconds", "3"][..], "--time-limit"),
        (
            &[
                "sweep", "a.tare", "a", "--from", "1 lb", "--to", "3 lb", "--points", "3",
            ],
            "--values",
        ),
    ] {
        let (_, told) = run(folder.path(), arguments, 2);
        assert!(told.contains(now), "{arguments:?}: {told}");
    }
    let mut session = Session::open(&folder.path().join("a.tare"), Options::default())
        .ok()
        .unwrap();
    let sweep = tarebook::session::studies::study_verb("sweep").unwrap();
    let refused = sweep.typed("a from 1 lb to 3 lb points 3").unwrap_err();
    assert_eq!(refused.problems[0].message, "`points` is called `values` now");
    assert!(sweep.typed("a from 1 lb to 3 lb values 3").is_ok());
    assert!(session.undo().is_err());
}

// ---- files of the first release ----

/// Worksheets that shipped with the first release, and what it showed for their answers.
const ANSWERS: [(&str, &[(&str, &str)]); 2] = [
    (
        "weighed-run.tare",
        &[
            ("rate", "1.720 lb/h"),
            ("efficiency", "7.92 %"),
            ("per_kwh", "2.00 lb/kWh"),
            ("rate_there", "2.00 lb/h"),
            ("runtime", "6 h 29 min"),
        ],
    ),
    (
        "cold-night.tare",
        &[
            ("by_weight", "13 h 16 min"),
            ("one", "3 h 37 min"),
            ("manifold", "11 h 43 min"),
            ("forty", "9 h 57 min"),
            ("in_turn", "9 h 25 min"),
            ("demand", "34100 BTU/h"),
            ("for_good", "0.87 lb/h"),
            ("margin", "-5 %"),
        ],
    ),
];

#[test]
fn worksheets_of_the_first_release_are_read() {
    for (name, answers) in ANSWERS {
        let session = Session::open(&data().join(name), Options::default()).ok().unwrap();
        let (sheet, problems) = (session.sheet(), session.problems());
        assert!(!sheet.has_problems(), "{name}: {problems:?}");
        let renamed = problems
            .iter()
            .filter(|problem| problem.code == Code::Renamed.word())
            .count();
        assert!(renamed > 0, "{name} has nothing that was renamed");
        let entries = report(sheet, Options::default()).entries;
        for (answer, wanted) in answers {
            let entry = entries.iter().find(|entry| entry.name == *answer).unwrap();
            assert_eq!(entry.shown.value, *wanted, "{name}: {answer}");
        }
    }
}

/// What a session of the first release left is taken up; what a later format holds is left alone.
#[test]
fn journals_of_the_first_release_are_taken_up() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join(".ridge.tare.unsaved");
    for name in ["ridge.tare", ".ridge.tare.unsaved"] {
        let from = data().join(name.trim_start_matches('.'));
        fs::copy(from, folder.path().join(name)).unwrap();
    }
    let open = || {
        Session::open(&folder.path().join("ridge.tare"), Options::default())
            .ok()
            .unwrap()
    };
    let mut session = open();
    let left = session.look_for_unsaved(None).left.pop().unwrap();
    assert!(session.take_up(left).is_ok());
    assert!(
        session.sheet().text().contains("answer left = gross - tare"),
        "{}",
        session.sheet().text()
    );
    assert!(session.undo().is_ok());
    drop(session);
    let later = fs::read_to_string(&journal)
        .unwrap()
        .replacen("journal 1", "journal 2", 1);
    fs::write(&journal, &later).unwrap();
    let mut found = open().look_for_unsaved(None);
    assert!(found.left.pop().is_none() && !found.told.is_empty(), "{:?}", found.told);
    assert_eq!(fs::read_to_string(&journal).unwrap(), later);
}

// ---- the machine format ----

const SHED: &str = "# Shed
## Fuel
> As weighed.
assumed air = 40 °F ± 4 °F from \"forecast\"
measured fuel = 30 lb ± 0.5 lb from \"scale\" note \"hose off\"
assumed rate = 1.5 lb/h ± 0.1 lb/h
answer lasts \"how long\" [h] = fuel / rate
answer heat = heat_input(rate)
answer word = if fuel > 29.9 lb then \"much\" else \"little\"
answer until = 18:00 + lasts
answer more = at_least(burned, 95 %)
expect lasts >= 12 h else \"Too short.\"
expect night: lasts >= 20 h
table run
  | time  | gross [lb ± 0.05] | hose |
  | 18:00 | 36.4              | off  |
  | 19:00 | 35.1              | off  |
  | 20:00 | 33.9              |      |
  | 22:00 | 31.1              | on   |
worked run.net [lb] = run.gross - 17 lb
answer burned [lb/h] = burn_rate(run.time, run.gross)
table night = draw_down(18.5 lb, 12 in, 17.6 lb, air, 1 lb/h, 10 W/(m2·C°), 5 psig)
plot run.gross over run.time \"Weight\"
assumed guess \"How long?\" [h] = ?
expect guess close to 20 h within 1 h else \"Try again.\"
case cold \"A cold night\"
  rate = 1.8 lb/h
worked broken = 1 lb + 1 h
";

const ASKED: [&[&str]; 11] = [
    &["show", "shed.tare"],
    &["check", "shed.tare"],
    &["why", "shed.tare", "burned"],
    &["doubt", "shed.tare", "lasts"],
    &["compare", "shed.tare"],
    &["audit", "shed.tare"],
    &["leeway", "shed.tare"],
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
    &["diff", "shed.tare", "other.tare"],
    &["mark", "shed.tare", "class"],
];

/// Every place of a value, with its kinds: `entries[].value number text`.
fn fields(value: &Value, place: &str, found: &mut BTreeMap<String, BTreeSet<&'static str>>) {
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "truth",
        Value::Number(_) => "number",
        Value::String(_) => "text",
        Value::Array(all) => {
            all.iter().for_each(|one| fields(one, &format!("{place}[]"), found));
            "list"
        }
        Value::Object(all) => {
            for (name, one) in all {
                fields(one, &format!("{place}.{name}"), found);
            }
            "object"
        }
    };
    found.entry(place.to_owned()).or_default().insert(kind);
}

/// A field that is listed stays, with its kinds, as long as `schema` has its number; one that is
/// new is added to the list.
#[test]
fn fields_of_the_machine_format_stay() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path();
    fs::write(own.join("shed.tare"), SHED).unwrap();
    fs::write(own.join("other.tare"), SHED.replace("30 lb", "28 lb")).unwrap();
    fs::create_dir(own.join("class")).unwrap();
    fs::write(own.join("class/ana.tare"), SHED.replace("= ?", "= 19.5 h")).unwrap();
    let mut found = BTreeMap::new();
    for asked in ASKED {
        let told = |format: &str| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
            command.args(asked).args(["--format", format]).current_dir(own);
            command.stdin(Stdio::null()).output().unwrap().stdout
        };
        fields(&serde_json::from_slice(&told("json")).unwrap(), asked[0], &mut found);
        let rows = told("csv");
        for heading in csv::Reader::from_reader(rows.as_slice()).headers().unwrap() {
            found
                .entry(format!("{} as csv, {heading}", asked[0]))
                .or_default()
                .insert("heading");
        }
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/promises/machine_fields.txt");
    let listed = fs::read_to_string(&path).unwrap_or_default();
    let lines = |(place, kinds): (&String, &BTreeSet<&str>)| {
        format!("{place} {}", kinds.iter().copied().collect::<Vec<_>>().join(" "))
    };
    let found: BTreeSet<String> = found.iter().map(lines).collect();
    let listed: BTreeSet<String> = listed.lines().map(str::to_owned).collect();
    if std::env::var_os("INSTA_UPDATE").is_some_and(|value| value == "always") {
        let lines: String = found.iter().map(|line| format!("{line}\n")).collect();
        return fs::write(&path, lines).unwrap();
    }
    let gone: Vec<&String> = listed.difference(&found).collect();
    let new: Vec<&String> = found.difference(&listed).collect();
    assert!(gone.is_empty(), "promised, and gone: {gone:#?}");
    assert!(new.is_empty(), "to be added with INSTA_UPDATE=always: {new:#?}");
}
