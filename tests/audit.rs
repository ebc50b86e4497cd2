//! A worksheet line by line, worst first: moves against closed forms and against trials,
//! every remark, every written form, broken worksheets, cases and trials.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use serde_json::Value;

use tarebook::problem::Code;
use tarebook::report::audit::{Audit, Group, Line};
use tarebook::report::compose::Options;
use tarebook::report::pages::REMARKS;
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::trade::caution::caution;

fn session(text: &str) -> Session {
    Session::of_text("claim.tare", text.to_owned(), &[], Options::default())
}

fn audited(session: &mut Session) -> Found<Audit> {
    session.audit(&|_, _| true)
}

fn of_text(text: &str) -> Found<Audit> {
    audited(&mut session(text))
}

fn notebook(name: &str) -> Session {
    Session::open(&folder().join(name), Options::default()).ok().unwrap()
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

fn notebooks() -> Vec<String> {
    // an unoptimized build under load is slower than the time that a run usually has
    tarebook::time_limit::allow(std::time::Duration::from_secs(300));
    let files = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name());
    let mut names: Vec<String> = files.map(|name| name.into_string().unwrap()).collect();
    names.retain(|name| name.ends_with(".tare"));
    names.sort();
    assert!(names.len() > 8);
    names
}

fn text(audit: &Found<Audit>, width: usize) -> String {
    audit.text(Style {
        colour: false,
        width,
        ..Style::default()
    })
}

fn json_of(audit: &Found<Audit>) -> String {
    let mut written = Vec::new();
    audit.json(&mut written).unwrap();
    String::from_utf8(written).unwrap()
}

fn csv_of(audit: &Found<Audit>) -> String {
    let mut written = Vec::new();
    audit.csv(&mut written).unwrap();
    String::from_utf8(written).unwrap()
}

fn line<'a>(audit: &'a Audit, name: &str) -> &'a Line {
    let found = audit.lines.iter().find(|line| line.name.as_deref() == Some(name));
    found.unwrap_or_else(|| panic!("no line {name} in {audit:#?}"))
}

/// How far a line moves an answer.
fn swing(audit: &Found<Audit>, name: &str, answer: &str) -> Option<f64> {
    let swing = &line(audit, name).swing.0;
    let (_, part) = swing.iter().find(|(known, _)| known == answer).unwrap();
    part.as_ref().map(|part| part.parse().unwrap())
}

fn codes(line: &Line) -> Vec<&str> {
    line.remarks.iter().map(|remark| remark.code.as_str()).collect()
}

fn all_codes(audit: &Found<Audit>) -> BTreeSet<String> {
    let remarks = audit.lines.iter().flat_map(|line| &line.remarks);
    remarks.map(|remark| remark.code.clone()).collect()
}

// ---- written forms ----

#[test]
fn the_claim_on_terminals() {
    let found = audited(&mut notebook("claim.tare"));
    insta::assert_snapshot!("audit_claim_at_80_columns", text(&found, 80));
    insta::assert_snapshot!("audit_claim_at_60_columns", text(&found, 60));
}

#[test]
fn the_claim_for_others() {
    let found = audited(&mut notebook("claim.tare"));
    insta::assert_snapshot!("audit_claim_markdown", found.markdown());
    insta::assert_snapshot!("audit_claim_json", json_of(&found));
    insta::assert_snapshot!("audit_claim_csv", csv_of(&found));
}

#[test]
fn the_corrected_claim_and_the_storm() {
    insta::assert_snapshot!(
        "audit_corrected",
        text(&audited(&mut notebook("claim-corrected.tare")), 80)
    );
    insta::assert_snapshot!("audit_storm", text(&audited(&mut notebook("winter-outage.tare")), 80));
}

#[test]
fn every_line_keeps_to_the_width() {
    for width in [40, 60, 80, 120] {
        for name in notebooks() {
            let told = text(&audited(&mut notebook(&name)), width);
            for line in told.lines() {
                assert!(line.chars().count() <= width, "{name} at {width}: {line}");
            }
        }
    }
}

/// The fields of the machine format are those agreed, and no other.
#[test]
fn the_machine_format_has_the_agreed_fields() {
    let read: Value = serde_json::from_str(&json_of(&audited(&mut notebook("claim.tare")))).unwrap();
    let keys = |value: &Value| {
        let mut keys: Vec<String> = value.as_object().unwrap().keys().cloned().collect();
        keys.sort();
        keys.join(" ")
    };
    assert_eq!(keys(&read), "answers case file lines schema title trials");
    assert_eq!(read["answers"], serde_json::json!(["runtime", "days"]));
    for line in read["lines"].as_array().unwrap() {
        assert_eq!(keys(line), "kind line name remarks sourced swing");
        assert_eq!(keys(&line["swing"]), "days runtime");
        for remark in line["remarks"].as_array().unwrap() {
            assert_eq!(keys(remark), "code text");
        }
    }
    let check = read["lines"].as_array().unwrap().iter().find(|line| line["line"] == 59);
    let check = check.unwrap();
    assert_eq!((&check["name"], &check["kind"]), (&Value::Null, &"expect".into()));
    assert_eq!(check["swing"]["runtime"], Value::Null);
}

// ---- against another worksheet of the same thing ----

fn against(mine: &str, theirs: &str) -> (serde_json::Value, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("theirs.tare");
    std::fs::write(&path, theirs).unwrap();
    let found = session(mine).audit_against(&path, &|_, _| true).unwrap();
    let mut json = Vec::new();
    found.json(&mut json).unwrap();
    (serde_json::from_slice(&json).unwrap(), found.screen(Style::default()))
}

#[test]
fn a_worksheet_against_another_in_every_form() {
    let mut claim = notebook("claim.tare");
    let found = claim
        .audit_against(&folder().join("claim-corrected.tare"), &|_, _| true)
        .unwrap();
    let style = Style {
        width: 80,
        ..Style::default()
    };
    let (mut json, mut csv) = (Vec::new(), Vec::new());
    found.json(&mut json).unwrap();
    found.csv(&mut csv).unwrap();
    let screen = found.screen(style);
    assert!(screen.lines().count() <= 24, "{screen}");
    insta::assert_snapshot!("against_corrected_screen", screen);
    insta::assert_snapshot!("against_corrected_text", found.text(style));
    insta::assert_snapshot!("against_corrected_markdown", found.markdown());
    insta::assert_snapshot!("against_corrected_json", String::from_utf8(json).unwrap());
    insta::assert_snapshot!("against_corrected_csv", String::from_utf8(csv).unwrap());
    assert!(found.html().contains("What B would question in A"));
}

/// What differs is held against the ± of both at k=2: limits of 0.1 and 0.2 lb have u of 0.1/√3
/// and 0.2/√3 (JCGM 100, 4.3.7), together 2 · √(0.01/3 + 0.04/3) = 0.258 lb. Parts add up to the
/// difference.
#[test]
fn the_second_questions_what_both_tolerances_do_not_allow() {
    const MINE: &str = "quoted tare = 17.2 lb ± 0.1 lb from \"stamp\"\n\
                        measured gross = 36.9 lb ± 0.1 lb from \"scale\"\n\
                        assumed reserve = 2 lb\nassumed same = 1 lb\nquoted lone = 1 lb\n\
                        worked net [lb] = gross - tare\n\
                        answer usable [lb] = net - reserve + lone * 1 - same\n";
    let theirs = MINE
        .replace("17.2 lb ± 0.1 lb", "17.4 lb ± 0.2 lb")
        .replace("36.9 lb ± 0.1 lb", "35.9 lb ± 0.2 lb")
        .replace("reserve = 2 lb", "reserve = 3 lb")
        .replace("assumed same", "quoted same")
        .replace("quoted lone = 1 lb\n", "quoted more = 1.5 lb\n")
        .replace("net - reserve + lone * 1 - same", "net - reserve - same + more");
    let (read, screen) = against(MINE, &theirs);
    let lines = read["lines"].as_array().unwrap();
    let verdict = |name: &str| {
        let line = lines.iter().find(|line| line["name"] == name);
        line.unwrap_or_else(|| panic!("{name} in {read}"))["verdict"].clone()
    };
    assert_eq!(verdict("tare"), "within-both");
    assert_eq!(verdict("gross"), "beyond-both");
    assert_eq!(verdict("reserve"), "other-value");
    assert_eq!(verdict("same"), "known-otherwise");
    assert_eq!(verdict("usable"), "other-formula");
    assert_eq!(verdict("lone"), "only-in-a");
    assert_eq!(read["only_b"], serde_json::json!(["more"]));
    assert!(screen.contains("3.9 times as far apart as both ± allow"), "{screen}");
    let part = |name: &str| {
        let line = lines.iter().find(|line| line["name"] == name).unwrap();
        line["shares"]["usable"].as_str().unwrap().parse::<f64>().unwrap()
    };
    let sum = ["tare", "gross", "reserve", "usable"].map(part).iter().sum::<f64>();
    // 35.9 − 17.4 − 3 − 1 + 1.5 less 36.9 − 17.2 − 2 + 1 − 1
    assert!((sum - (16.0 - 17.7)).abs() < 1e-9, "{sum}");
}

/// Inputs of other names are taken for those that measure the same in the same place: 20.8 lb at
/// 1.05 lb/h is 19.81 h, 19.1 lb at 1.25 lb/h is 15.28 h. Where a formula is another, what is left
/// without a partner is named.
#[test]
fn lines_of_other_names_are_known_by_what_they_are() {
    const MINE: &str = "measured gross = 37.9 lb ± 0.1 lb from \"scale, hose on\"\n\
                        quoted tare = 17.1 lb ± 0.2 lb from \"collar\"\n\
                        measured rate = 1.05 lb/h ± 0.05 lb/h from \"weighed\"\n\
                        worked net [lb] = gross - tare\nanswer lasts [h] = net / rate\n";
    const THEIRS: &str = "measured shown = 36.2 lb ± 0.1 lb from \"scale, hose off\"\n\
                          quoted collar = 17.1 lb ± 0.2 lb from \"collar\"\n\
                          measured burn = 1.25 lb/h ± 0.05 lb/h from \"weighed\"\n\
                          worked fuel [lb] = shown - collar\nanswer lasts [h] = fuel / burn\n";
    let (read, screen) = against(MINE, THEIRS);
    let lines = read["lines"].as_array().unwrap();
    let names: Vec<&str> = lines.iter().map(|line| line["name"].as_str().unwrap()).collect();
    assert_eq!(
        names.iter().copied().collect::<BTreeSet<&str>>(),
        BTreeSet::from(["gross", "rate"]),
        "{read}"
    );
    let parts = lines
        .iter()
        .map(|line| line["shares"]["lasts"].as_str().unwrap().parse::<f64>().unwrap());
    assert!(
        (parts.sum::<f64>() - (19.1 / 1.25 - 20.8 / 1.05)).abs() < 1e-9,
        "{read}"
    );
    assert_eq!(read["only_b"], serde_json::json!([]));
    assert!(
        screen.contains("shown in B") && screen.contains("burn in B"),
        "{screen}"
    );
    let more = THEIRS.replace("shown - collar", "shown - collar - hose") + "measured hose = 1.8 lb\n";
    let (_, screen) = against(MINE, &more);
    let screen = screen.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(
        screen.contains("A alone has gross") && screen.contains("B alone has shown"),
        "{screen}"
    );
}

#[test]
fn two_worksheets_that_mean_the_same_question_nothing() {
    const MINE: &str = "quoted tare = 17.2 lb ± 0.1 lb from \"stamp\"\nanswer twice [lb] = 2 * tare\n";
    let (read, screen) = against(MINE, MINE);
    assert_eq!(read["lines"], serde_json::json!([]));
    assert!(screen.contains("B would question nothing in A"), "{screen}");
    let missing = session(MINE).audit_against(Path::new("/nowhere/to/be.tare"), &|_, _| true);
    assert!(missing.is_err());
}

// ---- moves ----

/// runtime = (fuel − swap)/rate = 16/1.6 h, in closed form: fuel to 19.5 and 20.5 lb moves it
/// by 0.5/16; swap, by 10 %, by 0.4/16; rate, by twice its sd, by 1.6/1.4 − 1 below, which is
/// more than 1 − 1.6/1.8 above.
#[test]
fn moves_are_those_of_the_closed_form() {
    let found = of_text(
        "measured fuel = 20 lb ± 0.5 lb\nassumed swap = 4 lb\nmeasured rate = 1.6 lb/h ± 0.1 lb/h sd\n\
         assumed spare = 3 lb ± 25 %\nassumed share = 40 % ± 10 %\nassumed twice = 10 lb ± 2 lb k=4\n\
         answer runtime [h] = (fuel - swap) / rate\nanswer left = spare * share\nanswer other = twice\n\
         quoted known = 3 lb ± 0 lb\nanswer exact = known\n",
    );
    let check = |name, answer, expected: f64| {
        let moved = swing(&found, name, answer).unwrap();
        assert!((moved - expected).abs() < 1e-15, "{name}: {moved} for {expected}");
    };
    check("fuel", "runtime", 0.5 / 16.0);
    check("swap", "runtime", 0.4 / 16.0);
    check("rate", "runtime", 1.6 / 1.4 - 1.0);
    check("spare", "left", 0.25);
    check("share", "left", 0.25);
    check("twice", "other", 0.1);
    // a ± of zero counts as none
    check("known", "exact", 0.1);
    check("spare", "runtime", 0.0);
    check("fuel", "left", 0.0);
}

/// Where no ± is given: 10 %, 9 F° (5 C°), 10 % of the absolute pressure, 1 h, 3 dB. The
/// answers are differences from a fixed point, so that their parts are plain quotients.
#[test]
fn what_has_no_tolerance_moves_by_the_rule_of_its_kind() {
    let found = of_text(
        "assumed load = 500 W\nassumed air = 50 °F\nassumed celsius = 10 °C\nassumed gauge = 5 psig\n\
         assumed dusk = 17:00\nassumed day = 2026-01-11 12:00\nassumed noise = 60 dB\nassumed quiet = 50 dB\nassumed what = \"shed\"\n\
         assumed on = true\n\
         answer watts = load * 3\nanswer warmer [F°] = air - 32 °F\nanswer degrees [C°] = celsius - 0 °C\n\
         answer pressure [psi] = gauge - 0 psig\nanswer late [h] = dusk - 15:00\n\
         answer since [h] = day - 2026-01-11 10:00\nanswer louder = noise - quiet\nexpect on and what = \"shed\"\n",
    );
    let check = |name, answer, expected: f64| {
        let moved = swing(&found, name, answer).unwrap();
        assert!((moved - expected).abs() < 1e-12, "{name}: {moved} for {expected}");
    };
    check("load", "watts", 0.1);
    check("air", "warmer", 0.5);
    check("celsius", "degrees", 0.5);
    // one atmosphere is 14.69594878 psi (NIST SP 811)
    check("gauge", "pressure", (5.0 + 14.695_948_775_513_4) / 10.0 / 5.0);
    check("dusk", "late", 0.5);
    check("day", "since", 0.5);
    check("noise", "louder", 0.3);
    assert_eq!(swing(&found, "what", "watts"), None);
    assert_eq!(swing(&found, "on", "watts"), None);
    let left = found.left_out.join(" ");
    assert!(left.contains("what and on are texts or true or false"), "{left}");
}

/// The rows of a column move together: a sum moves by all of them, a difference by none.
#[test]
fn columns_move_as_a_whole() {
    let columns = of_text(
        "table log from \"scale\"\n  | time [h] | weight [lb ± 0.05] |\n  | 0 | 40 |\n  | 1 | 38 |\n  | 2 | 36 ± 0.2 |\n\
         answer rate = (first(log.weight) - log_last) / 2 h\nworked log_last = last(log.weight)\n\
         answer whole = sum(log.weight)\nanswer hours = sum(log.time)\n",
    );
    let check = |name, answer, expected: f64| {
        let moved = swing(&columns, name, answer).unwrap();
        assert!((moved - expected).abs() < 1e-12, "{name}: {moved} for {expected}");
    };
    // 0.05 − 0.2 on a difference of 4 lb
    check("log.weight", "rate", 0.15 / 4.0);
    check("log.weight", "whole", 0.3 / 114.0);
    check("log.weight", "hours", 0.0);
    check("log.time", "hours", 0.1);
    let moves = |name: &str| line(&columns, name).moves.clone().unwrap();
    assert!(moves("log.weight").contains("over its ±"), "{}", moves("log.weight"));
    let found = of_text("table log\n  | weight [lb ± 0.05] |\n  | 40 |\n  | 38 |\nanswer whole = sum(log.weight)\n");
    let moves = line(&found, "log.weight").moves.clone().unwrap();
    assert!(moves.contains("± 0.05 lb"), "{moves}");
    assert_eq!(line(&columns, "log.time").kind, "table");
    assert!(line(&columns, "log.time").sourced);
}

/// A move in the machine format is what trials at the two ends do to the answer; all inputs of
/// all worksheets that ship, in the base and with a trial and a case in hand.
#[test]
fn moves_are_those_of_trials_at_both_ends() {
    let mut compared = 0;
    for name in notebooks() {
        let mut session = notebook(&name);
        compared += compare_with_trials(&name, &mut session);
        let case = session.sheet().cases().last().map(|case| case.name.clone());
        if let Some(case) = case {
            session.set_case(&case).unwrap();
            compared += compare_with_trials(&name, &mut session);
        }
    }
    assert!(compared > 600, "{compared}");
}

fn compare_with_trials(name: &str, session: &mut Session) -> usize {
    let found = audited(session);
    let before = session.report();
    let mut compared = 0;
    for entry in before
        .entries
        .iter()
        .filter(|entry| entry.kind.word() != "worked" && entry.kind.word() != "answer")
    {
        let entry = serde_json::to_value(entry).unwrap();
        let (own, unit) = (entry["name"].as_str().unwrap(), entry["unit"].as_str().unwrap_or(""));
        let Some(ends) = ends(&entry, unit) else { continue };
        let mut largest = vec![0.0f64; found.answers.len()];
        let mut without = false;
        for end in ends {
            session.try_value(&format!("{own} = {end} {unit}")).unwrap();
            for (place, answer) in found.answers.iter().enumerate() {
                let entry = before.answers().find(|entry| entry.name == *answer).unwrap();
                let was = serde_json::to_value(&entry.value).unwrap();
                let was = was.as_str().unwrap().to_owned();
                let cell = session.sheet().cell(answer).unwrap();
                let is = match session.sheet().reading(cell) {
                    tarebook::sheet::Reading::Number(number) => Some(number.to_plain()),
                    _ => None,
                };
                let Some(is) = is else {
                    without = true;
                    continue;
                };
                if let (Ok(was), Ok(is)) = (was.parse::<f64>(), is.parse::<f64>()) {
                    largest[place] = largest[place].max(((is - was) / was).abs());
                }
            }
            session.undo().unwrap();
        }
        for (answer, largest) in found.answers.iter().zip(&largest) {
            if let (Some(moved), false) = (swing(&found, own, answer), without) {
                let near = (moved - largest).abs() <= 1e-8 * largest.max(1e-4);
                assert!(near, "{name}: {own} moves {answer} by {moved}, by trials {largest}");
                compared += 1;
            }
        }
    }
    assert_eq!(session.report(), before, "{name}: the worksheet stands as it did");
    compared
}

/// Both ends of an input, from its value and standard uncertainty.
fn ends(entry: &Value, unit: &str) -> Option<[f64; 2]> {
    if entry["type"] != "number" {
        return None;
    }
    let value: f64 = entry["value"].as_str()?.parse().ok()?;
    let display = entry["display"].as_str().unwrap();
    let by = match entry["uncertainty"].as_str() {
        Some(u) if display.contains("sd") || display.contains("k=") => 2.0 * u.parse::<f64>().unwrap(),
        Some(u) => 3f64.sqrt() * u.parse::<f64>().unwrap(),
        None => match unit {
            "°F" => 9.0,
            "°C" => 5.0,
            "psig" => (value + 14.695_948_775_513_4) / 10.0,
            "dB" => 3.0,
            _ if value == 0.0 => return None,
            _ => value.abs() / 10.0,
        },
    };
    Some([value - by, value + by])
}

// ---- remarks ----

/// A worksheet for each code, and the line it is said of.
const WORKSHEETS: &[(&str, &str, &str)] = &[
    ("has-problem", "a", "assumed x = 1 lb\nanswer a = x + 1 h\n"),
    ("without-value", "a", "assumed x [lb] = ?\nanswer a = x * 3\n"),
    ("left-blank", "x", "assumed x [lb] = ?\nanswer a = x * 3\n"),
    (
        "check-fails",
        "",
        "assumed x = 1 lb\nexpect x > 2 lb else \"too little\"\n",
    ),
    ("check-undecided", "", "assumed x [lb] = ?\nexpect x > 2 lb\n"),
    ("check-close", "", "measured x = 2.1 lb ± 0.2 lb\nexpect x > 2 lb\n"),
    (
        "mixed-heat",
        "a",
        "answer a = heat_per_pound(\"propane\", \"net\")\nanswer b = heat_per_gallon(\"propane\")\nanswer c = b / a\n",
    ),
    (
        "two-heats",
        "a",
        "answer a = heat_input(1 lb/h)\nanswer b = heat_per_gallon(\"propane\")\n",
    ),
    (
        "in-proportion",
        "a",
        "measured weighed = 1.3 lb/h\nassumed load = 300 W\nassumed at = 600 W\nanswer a [lb/h] = weighed * load / at\n",
    ),
    (
        "one-instrument",
        "tare",
        "measured gross = 40 lb ± 0.2 lb from \"hanging scale, hose off\"\n\
         measured tare = 17 lb ± 0.2 lb from \"Hanging scale, empty\"\nanswer a = gross - tare\n",
    ),
    (
        "no-draw-down",
        "a",
        "measured x = 20 lb\nmeasured r = 1.3 lb/h\nanswer a [h] = x / r\n",
    ),
    (
        "taken-as-full",
        "net",
        "quoted net = 20 lb from \"exchange cylinder\"\nanswer a = net * 3\n",
    ),
    ("no-source", "x", "measured x = 2 lb\nanswer a = x * 3\n"),
    (
        "no-tolerance",
        "x",
        "measured x = 2 lb from \"scale\"\nanswer a = x * 3\n",
    ),
    (
        "claims-exact",
        "x",
        "quoted x = 2 lb ± 0 lb from \"scale\"\nanswer a = x * 3\n",
    ),
    ("check-idle", "", "quoted x = 2 lb\nexpect x = x\n"),
    (
        "tolerance-lost",
        "x",
        "measured x = 2.4 lb ± 0.2 lb\nanswer a = round(x, 1 lb)\n",
    ),
    ("number-in-formula", "a", "measured x = 2 lb\nanswer a = x * 80 %\n"),
    (
        "unusual-value",
        "x",
        "assumed x = 900 °F\nanswer a = vapor_pressure(60 °F, 50 %)\nanswer b = rescale_rate(1 lb/h, 600 W, 1800 W, 700 W, share)\nassumed share = 90 %\n",
    ),
    ("unused", "x", "measured x = 2 lb\nanswer a = 3 lb\n"),
    (
        "one-end",
        "x",
        "measured x = 1 ± 1\nassumed y = 2 lb\nanswer a = y / x\n",
    ),
    (
        "no-end",
        "gauge",
        "quoted gauge = 12\nanswer a = voltage_drop(10 A, gauge, 50 ft)\n",
    ),
    ("zero-value", "x", "assumed x = 0 lb\nanswer a = x + 3 lb\n"),
    (
        "zero-answer",
        "a",
        "assumed x = 2 lb\nassumed y = 2 lb\nanswer a = x - y\n",
    ),
    ("no-true-zero", "a", "assumed x = 20 °F\nanswer a = x\n"),
    ("no-number", "a", "assumed x = \"shed\"\nanswer a = x\n"),
    (
        "rule-of-thumb",
        "a",
        "measured d = 12 in\nmeasured l = 14 in\nanswer a = vaporization_capacity(d, l, 40 %, 15 °F)\n",
    ),
    (
        "check-untested",
        "",
        "measured full = 18 lb ± 0.5 lb\n\
         answer a = draw_down_time(full, 12 in, 17 lb, 30 °F, 1 lb/h, 9 W/(m2·C°), 5 psig)\nexpect a >= 1 h\n",
    ),
    (
        "outside-usual",
        "heat",
        "quoted heat = 21548 BTU/kg\nanswer a [BTU] = 3 lb * heat\n",
    ),
    (
        "odd-conversion",
        "a",
        "measured weighed = 10 lb\nanswer a [lb] = weighed * 2.2046\n",
    ),
    (
        "odd-burn",
        "rate",
        "measured load = 900 W\nquoted heat = 21548 BTU/lb\nworked rate [lb/h] = load / heat / 0.45\n\
         answer a [h] = 17 lb / rate\n",
    ),
    (
        "fill-by-volume",
        "most",
        "quoted capacity = 47.6 lb from \"collar, WC\"\nanswer most [lb] = 80 % * capacity\n",
    ),
    (
        "more-than-full",
        "net",
        "measured gross = 40 lb\nquoted tare = 17 lb\nquoted capacity = 47.6 lb\nanswer net [lb] = gross - tare\n",
    ),
    (
        "other-cylinder",
        "net",
        "measured gross = 34 lb from \"scale, the red one\"\nquoted tare = 17 lb from \"collar of the blue one\"\n\
         answer net [lb] = net_contents(gross, tare)\n",
    ),
    (
        "hose-at-one",
        "before",
        "measured before = 37 lb from \"scale, hose on\"\nmeasured after = 33 lb from \"scale, hose off\"\n\
         answer burnt [lb] = before - after\n",
    ),
    (
        "hose-as-fuel",
        "gross",
        "measured gross = 33 lb from \"scale, hose on\"\nquoted tare = 17 lb\nanswer net [lb] = gross - tare\n",
    ),
    (
        "counted-twice",
        "left",
        "measured net = 18 lb\nassumed reserve = 2 lb\nworked usable [lb] = net - reserve\n\
         answer left [lb] = usable - reserve\n",
    ),
    (
        "on-top-of-tolerance",
        "a",
        "measured net = 18 lb ± 0.3 lb\nanswer a [lb] = net / 1.1\n",
    ),
    (
        "other-coverage",
        "net",
        "measured net = 18 lb ± 0.05 lb sd from \"certificate: U = 0.05 lb, k=2\"\nanswer a [lb] = net - 1 lb\n",
    ),
    (
        "other-share",
        "each",
        "quoted joined = 2 each\nmeasured rate = 2 lb/h\nanswer each [lb/h] = 0.25 * rate\n",
    ),
    (
        "peak-for-mean",
        "rate",
        "table t\n  | item | watts [W] | hours [h/d] |\n  |---|---|---|\n  | fan | 400 | 12 |\n  | lamp | 90 | 6 |\n\
         worked mean_load [W] = sum(t.watts * t.hours)\nworked peak [W] = sum(t.watts)\n\
         worked rate [lb/h] = rescale_rate(1.6 lb/h, 860 W, 1800 W, peak, 40 %)\nanswer a [h] = 17 lb / rate\n",
    ),
    (
        "start-on-top",
        "peak",
        "table t\n  | item | watts [W] | starting [W] |\n  |---|---|---|\n  | fan | 400 | 1100 |\n  | lamp | 90 | 90 |\n\
         answer peak [W] = sum(t.watts) + max(t.starting)\n",
    ),
    (
        "rests-twice",
        "load",
        "table t from \"plug-in meter, mean over a day\"\n  | item | watts [W] | hours [h/d] |\n  |---|---|---|\n\
         \x20 | fan | 400 | 12 |\nanswer load [W] = sum(t.watts * t.hours)\n",
    ),
    (
        "shared-input",
        "same",
        "measured x = 18 lb ± 0.3 lb\nworked y [lb] = x + 1 lb\nanswer same = normalized_error(x, y)\n",
    ),
    (
        "other-unit",
        "air",
        "measured air = -6 °F from \"forecast: minus 6 degrees Celsius\"\nanswer a [psig] = propane_pressure(air)\n",
    ),
    (
        "loads-swapped",
        "rate",
        "table t\n  | item | watts [W] | hours [h/d] |\n  |---|---|---|\n  | fan | 400 | 12 |\n\
         worked house [W] = sum(t.watts * t.hours)\nmeasured run_load = 860 W\n\
         answer rate [lb/h] = rescale_rate(1.6 lb/h, house, 1800 W, run_load, 40 %)\n",
    ),
    (
        "left-out-of-sum",
        "blue",
        "measured gross_r = 34 lb\nquoted tare_r = 17 lb\nmeasured gross_b = 33 lb\nquoted tare_b = 17 lb\n\
         worked red [lb] = gross_r - tare_r\nworked blue [lb] = gross_b - tare_b\nanswer a [h] = red / (1.3 lb/h)\n",
    ),
    (
        "other-rating",
        "rated",
        "quoted rated = 2000 W from \"nameplate, on gasoline\"\nanswer half [W] = rated / 2\n",
    ),
    (
        "one-short",
        "refills",
        "measured needed = 70 lb\nanswer refills [each] = round_down(needed / (18 lb) * 1 each, 1 each)\n",
    ),
    (
        "there-and-back",
        "lost",
        "measured amps = 8 A\nquoted length = 50 ft\nanswer lost [V] = voltage_drop(amps, 12, 2 * length)\n",
    ),
    (
        "other-than-said",
        "ran",
        "measured ran = 4.36 h from \"clock, 17:20 to 21:56\"\nanswer twice [h] = 2 * ran\n",
    ),
    (
        "other-quantity",
        "air",
        "assumed air = -6 °F from \"forecast, feels like\"\nanswer there [°F] = air\n",
    ),
    (
        "level-sum",
        "both",
        "quoted one = 67 dB\nassumed sets = 2\nanswer both [dB] = one + 20 dB * log10(sets)\n",
    ),
    (
        "turned-over",
        "burn",
        "assumed load = 900 W\nassumed efficiency = 18 %\nquoted heat = 19920 BTU/lb\n\
         answer burn [lb/h] = load * efficiency / heat\n",
    ),
    (
        "crossed-over",
        "a_day",
        "measured by_day = 1.7 lb/h\nmeasured at_night = 1 lb/h\nassumed day_hours = 5 h/d\nassumed night_hours = 9 h/d\n\
         answer a_day [lb/d] = by_day * night_hours + at_night * day_hours\n",
    ),
    (
        "other-row",
        "price",
        "table buys\n  | paid [$] | weight [lb] |\n  | 52 | 56 |\n  | 26 | 19 |\n\
         answer price \"today's\" [$/lb] = first(buys.paid) / first(buys.weight)\n",
    ),
    (
        "mean-of-ratios",
        "price",
        "table buys\n  | paid [$] | weight [lb] |\n  | 52 | 56 |\n  | 26 | 19 |\n\
         answer price [$/lb] = mean(buys.paid / buys.weight)\n",
    ),
    (
        "other-hours",
        "load",
        "table loads\n  | running [W] | hours [h] |\n  | 520 | 10 |\n  | 170 | 6 |\n\
         assumed night = 14 h from \"17:00 to 7:00\"\n\
         worked load [W] = sum(loads.running * loads.hours) / (24 h)\nanswer made [kWh] = load * night\n",
    ),
    (
        "heat-as-power",
        "energy",
        "measured burnt = 10 lb\nquoted heat = 21548 BTU/lb\nanswer energy [kWh] = burnt * heat\n",
    ),
    (
        "other-gallon",
        "density",
        "quoted price = $3.40/gal\nmeasured air = 12 °F\nworked density [lb/gal] = propane_density(air)\n\
         answer cost [$/lb] = price / density\n",
    ),
];

#[test]
fn every_remark_is_made_where_it_should_be() {
    let mut seen = BTreeSet::new();
    for (code, name, text) in WORKSHEETS {
        let found = of_text(text);
        let named = |line: &&Line| line.name.as_deref().unwrap_or("") == *name;
        let name = if *code == "unusual-value" { "share" } else { name };
        let lines: Vec<&Line> = match *code {
            "unusual-value" => vec![line(&found, "share")],
            _ => found.lines.iter().filter(named).collect(),
        };
        assert!(
            lines.iter().any(|line| codes(line).contains(code)),
            "{code} of `{name}`: {:#?}",
            found.lines
        );
        seen.extend(all_codes(&found));
    }
    let mut stopped = session("measured x = 2 lb\nanswer a = x * 3\n");
    seen.extend(all_codes(&stopped.audit(&|_, _| false)));
    for remark in REMARKS.iter() {
        assert!(seen.contains(remark.code), "{} is never made", remark.code);
    }
}

/// Each code is explained, by one page alone; what an audit says of all worksheets that ship
/// has a page.
#[test]
fn every_code_is_explained() {
    let mut known: BTreeSet<&str> = BTreeSet::new();
    for remark in REMARKS.iter() {
        assert!(known.insert(remark.code), "{} stands twice", remark.code);
        assert!(Code::named(remark.code).is_none() && caution(remark.code).is_none());
        assert!(!remark.summary.is_empty() && remark.text.len() > 60, "{}", remark.code);
        let page = tarebook::report::pages::help_page(remark.code, &[], Style::default()).unwrap();
        assert!(page.contains("a remark of audits"), "{page}");
    }
    for name in notebooks() {
        for code in all_codes(&audited(&mut notebook(&name))) {
            assert!(known.contains(&*code) || caution(&code).is_some(), "{code} of {name}");
        }
    }
}

/// What is sound is not remarked on: a runtime beside its draw-down, a load that cancels, a
/// weighed cylinder, a day's hours, a count.
#[test]
fn what_is_sound_is_left_alone() {
    let check = |text: &str, code: &str| {
        let found = of_text(text);
        assert!(!all_codes(&found).contains(code), "{code}: {:#?}", found.lines);
    };
    check(
        "measured x = 20 lb\nmeasured r = 1.3 lb/h\nanswer a [h] = x / r\n\
         answer b = draw_down_time(x, 12 in, 17 lb, 30 °F, r, 9 W/(m2·C°), 5 psig)\n",
        "no-draw-down",
    );
    check(
        "measured x = 20 gal\nmeasured r = 2 gal/h\nanswer a [h] = x / r\n",
        "no-draw-down",
    );
    check(
        "measured r = 1.3 lb/h\nmeasured load = 600 W\nworked share [%] = load / heat_input(r)\n\
         answer back [lb/h] = load / share / heat_per_pound(\"propane\")\n",
        "in-proportion",
    );
    check(
        "assumed load = 600 W\nassumed rated = 1800 W\nanswer part [%] = load / rated\n",
        "in-proportion",
    );
    check(
        "measured net = 20 lb from \"exchange cylinder, weighed\"\nanswer a = net * 3\n",
        "taken-as-full",
    );
    check(
        "quoted net = 15 lb ± 1 lb from \"exchange cylinder\"\nanswer a = net * 3\n",
        "taken-as-full",
    );
    check(
        "quoted limit = 20 lb from \"shelf\"\nanswer a = limit * 3\n",
        "taken-as-full",
    );
    check(
        "measured r = 1.3 lb/h\nanswer a = r * 24 h / 1\nanswer b = round(r ^ 3 * 0, 0.1 lb3/h3)\nanswer c = r / 2\n\
         answer d = r * 60 min * 100 %\nanswer e = r * 60 s\nanswer f = r * 7 d\n",
        "number-in-formula",
    );
    check("quoted n = 3 each\nanswer a = n * 2\n", "no-tolerance");
    check(
        "answer a = rescale_rate(1 lb/h, 600 W, 1800 W, 700 W, 0.4)\n",
        "unusual-value",
    );
    check(
        "table run = draw_down(20 lb, 12.2 in, 47.7 lb, 20 °F, 1.2 lb/h, 14 W/(m2·C°), 10 psig)\n",
        "no-source",
    );
    check("measured x = 2 lb ± 0.1 lb\nanswer a = x * 3\n", "tolerance-lost");
    check(
        "measured gauge = 12 ± 0.5\nanswer a = voltage_drop(10 A, gauge, 50 ft)\n",
        "tolerance-lost",
    );
    check(
        "measured x = 2 lb\nmeasured y = 3 lb\nanswer a = x\nexpect y > 1 lb\n",
        "unused",
    );
    check(
        "answer a = heat_input(1 lb/h)\nanswer b = heat_per_gallon(\"diesel\")\n",
        "two-heats",
    );
}

/// `full` and `other` move the sum 20 lb + 10 lb by 2/30 and 1/30 where each moves by a tenth;
/// a ± of nothing, or of next to nothing, doesn't hide that a cylinder is taken for full.
#[test]
fn a_tolerance_of_zero_hides_nothing() {
    let of = |tolerance: &str| {
        of_text(&format!(
            "quoted full = 20 lb{tolerance} from \"exchange cylinder, full\"\nquoted other = 10 lb from \"scale\"\n\
             answer a = full + other\n"
        ))
    };
    let near = |found: &Found<Audit>, expected: f64| (swing(found, "full", "a").unwrap() - expected).abs() < 1e-15;
    for (tolerance, expected, also) in [
        ("", 2.0 / 30.0, "no-tolerance"),
        (" ± 0 lb", 2.0 / 30.0, "claims-exact"),
        (" ± 0 %", 2.0 / 30.0, "claims-exact"),
        (" ± 0.001 lb", 0.001 / 30.0, "claims-exact"),
    ] {
        let found = of(tolerance);
        assert!(near(&found, expected), "{tolerance}: {found:#?}");
        let told = codes(line(&found, "full"));
        assert!(
            told.contains(&"taken-as-full") && told.contains(&also),
            "{tolerance}: {told:?}"
        );
    }
    let decides = of(" ± 0 lb").deciding.join(" ");
    // 4 of 4 + 1 squares
    assert!(
        decides.contains("full (line 1)") && decides.contains("80 %"),
        "{decides}"
    );
    let column =
        of_text("table log from \"scale\"\n  | weight [lb ± 0] |\n  | 40 |\n  | 60 |\nanswer a = sum(log.weight)\n");
    assert!((swing(&column, "log.weight", "a").unwrap() - 0.1).abs() < 1e-15);
    assert!(codes(line(&column, "log.weight")).contains(&"claims-exact"));
}

/// Said of what is moved by an hour, of a share written into a call, of a table that nothing
/// uses, and of a column whose ± a rounding swallows beside a value that keeps its own.
#[test]
fn remarks_reach_times_calls_and_tables() {
    let check = |text: &str, name: &str, code: &str| {
        let found = of_text(text);
        assert!(codes(line(&found, name)).contains(&code), "{code}: {:#?}", found.lines);
    };
    check(
        "measured dusk = 17:00 from \"clock\"\nanswer late [h] = dusk - 15:00\n",
        "dusk",
        "no-tolerance",
    );
    check(
        "answer a = rescale_rate(1 lb/h, 600 W, 1800 W, 700 W, 0.9)\n",
        "a",
        "unusual-value",
    );
    check("table log\n  | weight [lb] |\n  | 40 |\n", "log", "no-source");
    check(
        "table log from \"scale\"\n  | air [°F] |\n  | 20 |\n  | 118 |\nworked all = log.air\n\
         answer a = max(vapor_pressure(all, 50 %))\n",
        "all",
        "unusual-value",
    );
    check(
        "measured x = 2.4 lb ± 0.2 lb\ntable log from \"scale\"\n  | weight [lb ± 0.2] |\n  | 40.4 |\n\
         answer a = round(first(log.weight), 1 lb) + x\n",
        "log.weight",
        "tolerance-lost",
    );
}

/// A number inside a rule weighs where an answer rests on the rule, by way of another rule too.
#[test]
fn numbers_inside_rules_stand_by_the_answers_they_reach() {
    let found = of_text(
        "rule scaled(x) = x * 0.9\nrule fudge(x) = scaled(x) + 2 h\nrule idle(x) = x * 7\nrule checked(x) = x * 5\n\
         measured t = 10 h ± 1 h from \"clock\"\nworked aside [h] = t * 4\nanswer a [h] = fudge(t)\n\
         answer b [h] = t * 3\nexpect checked(t) > 1 h\n",
    );
    let group = |name: &str| line(&found, name).group;
    for name in ["scaled", "fudge", "b"] {
        assert_eq!(group(name), Group::Guess, "{name}");
    }
    for name in ["idle", "checked", "aside"] {
        assert_eq!(group(name), Group::Remark, "{name}");
    }
    let left = found.left_out.join(" ");
    let told = "scaled (line 1), fudge (line 2) and b (line 8) have numbers in their formulas";
    assert!(left.contains(told), "{left}");
}

/// What rounding leaves of a value that cancels is no move: x/3·3 − x is nothing whatever x is.
#[test]
fn what_rounding_leaves_is_no_move() {
    let found = of_text(
        "measured x = 7 lb ± 1 lb from \"scale\"\nmeasured y = 3 h ± 1 h from \"clock\"\n\
         answer a [h] = y + (x / 3 * 3 / x - 1) * 1 h\nanswer b [h] = (x / 3 * 3 / x - 1) * 1 h\n",
    );
    assert_eq!(swing(&found, "x", "a"), Some(0.0));
    assert!(line(&found, "x").moves.is_none(), "{:?}", line(&found, "x").moves);
}

/// Checks of the same on both sides, or of nothing but numbers, protect nobody.
#[test]
fn checks_that_cannot_fail_are_remarked_on() {
    let idle = |condition: &str| {
        let found = of_text(&format!(
            "rule half(x) = x / 2\nmeasured fuel = 2 lb ± 0.1 lb from \"scale\"\nanswer a = fuel\nexpect {condition}\n"
        ));
        all_codes(&found).contains("check-idle")
    };
    for condition in ["fuel = fuel", "fuel * 2 >= fuel  *  2", "2 > 1", "1 lb < 2 lb < 3 lb"] {
        assert!(idle(condition), "{condition}");
    }
    for condition in ["fuel = a", "1 lb < fuel < 3 lb", "half(4) = 2", "fuel <= fuel * 2"] {
        assert!(!idle(condition), "{condition}");
    }
}

/// A value that somebody quotes is as good as its source, and an audit claims no more.
#[test]
fn what_is_quoted_is_as_good_as_its_source() {
    let decides = |word: &str| {
        let text = format!("{word} x = 9 lb ± 1 lb from \"the dealer\"\nanswer a = x * 2\n");
        of_text(&text).deciding.join(" ")
    };
    assert!(decides("quoted").ends_with("It is quoted: it is as good as its source."));
    assert!(decides("measured").ends_with("It is not marked as a guess."));
}

/// One efficiency for all loads is fuel in proportion with load, spread over three lines; it is
/// said once, where it comes about.
#[test]
fn proportion_is_seen_over_several_lines() {
    let found = of_text(
        "measured r = 1.3 lb/h\nmeasured at = 600 W\nassumed load = 300 W\n\
         worked efficiency [%] = electrical_efficiency(at, heat_input(r))\nworked heat [BTU/h] = load / efficiency\n\
         worked rate [lb/h] = heat / heat_per_pound(\"propane\")\nmeasured full = 20 lb\nanswer runtime [h] = full / rate\n",
    );
    let said = found.lines.iter().filter(|line| codes(line).contains(&"in-proportion"));
    let said: Vec<&str> = said.filter_map(|line| line.name.as_deref()).collect();
    assert_eq!(said, ["heat"]);
    let found = of_text(
        "measured r = 1.3 lb/h\nquoted none = 0 %\n\
         answer a = rescale_rate(r, at_load: 600 W, rated_load: 1800 W, to_load: 700 W, no_load_share: none)\n",
    );
    assert!(codes(line(&found, "a")).contains(&"in-proportion"));
}

/// The share of a load may hide in a bare number, in a rule, in a load written as a number
/// and in one efficiency for all loads.
#[test]
fn proportion_is_seen_in_shares_rules_and_efficiencies() {
    let rate = "measured rated = 1.8 lb/h\n";
    for (text, says) in [
        ("answer a [lb/h] = rated / 2", "rated (line 1) counts by 0.5 of itself"),
        (
            "answer a [lb/h] = rated * 25 %",
            "rated (line 1) counts by 0.25 of itself",
        ),
        (
            "measured net = 15 lb\nanswer a [h] = net / (rated / 2)",
            "rated (line 1) counts by 0.5 of itself",
        ),
        (
            "assumed half = 50 % from \"half the load\"\nanswer a [lb/h] = rated * half",
            "by half (line 2)",
        ),
        (
            "assumed part_load = 40 %\nanswer a [lb/h] = rated * part_load",
            "by part_load (line 2)",
        ),
        (
            "rule scaled(r [lb/h], load [W], at [W]) [lb/h] = r * load / at\nassumed load = 300 W\n\
             assumed at = 600 W\nanswer a = scaled(rated, load, at)",
            "load (line 3) over at (line 4)",
        ),
        (
            "assumed load = 300 W\nanswer a [lb/h] = rated * load / 600 W",
            "over a bare number",
        ),
        (
            "assumed load = 300 W\nquoted yield = 18 %\n\
             answer a [lb/h] = load / yield / heat_per_pound(\"propane\")",
            "One efficiency for all loads, yield (line 3),",
        ),
    ] {
        let found = of_text(&format!("{rate}{text}\n"));
        let said = line(&found, "a")
            .remarks
            .iter()
            .find(|remark| remark.code == "in-proportion");
        let said = said.unwrap_or_else(|| panic!("{text}"));
        assert!(said.text.contains(says), "{text}: {}", said.text);
    }
    for text in [
        "answer a [lb/h] = rated * 1.1",
        "measured net = 15 lb\nanswer a [h] = 2 * net / rated",
        "assumed hours_share = 50 %\nanswer a [lb/h] = rated * hours_share",
        "quoted no_load_share = 40 %\nanswer a [lb/h] = rated * no_load_share",
        "answer a [lb] = rated * 8 h / 2",
        "rule more(r [lb/h], spare [%]) [lb/h] = r * (1 + spare)\nanswer a = more(rated, 10 %)",
    ] {
        let found = of_text(&format!("{rate}{text}\n"));
        assert!(!all_codes(&found).contains("in-proportion"), "{text}");
    }
}

/// One scale, two weights: told once, at the last, where one answer rests on both and both
/// have a ±.
#[test]
fn readings_of_one_instrument_are_told() {
    let told = |text: &str| all_codes(&of_text(text)).contains("one-instrument");
    let gross = "measured gross = 40 lb ± 0.2 lb from \"hanging scale\"\n";
    assert!(told(&format!(
        "{gross}measured after = 34 lb ± 0.2 lb from \"hanging scale\"\nanswer burnt = gross - after\n"
    )));
    for other in [
        "measured after = 34 lb from \"hanging scale\"\nanswer burnt = gross - after\n",
        "measured after = 34 lb ± 0.2 lb from \"other scale\"\nanswer burnt = gross - after\n",
        "quoted after = 34 lb ± 0.2 lb from \"hanging scale\"\nanswer burnt = gross - after\n",
        "measured after = 34 lb ± 0.2 lb from \"hanging scale\"\nanswer one = gross\nanswer two = after\n",
        "measured after = 4 h ± 0.2 h from \"hanging scale\"\nanswer rate = gross / after\n",
    ] {
        assert!(!told(&format!("{gross}{other}")), "{other}");
    }
}

/// Of the seven slips in the claim four can be seen by a program, and none of these is left
/// when the corrected worksheet is audited.
#[test]
fn the_claim_is_caught_and_the_correction_is_not() {
    let (claim, corrected) = (
        audited(&mut notebook("claim.tare")),
        audited(&mut notebook("claim-corrected.tare")),
    );
    for code in ["taken-as-full", "mixed-heat", "in-proportion"] {
        assert!(all_codes(&claim).contains(code), "{code}");
        assert!(!all_codes(&corrected).contains(code), "{code}");
    }
    assert!(codes(line(&claim, "most")).contains(&"number-in-formula"));
}

// ---- order, and what decides ----

#[test]
fn the_worst_stands_first() {
    let found = of_text(
        "quoted sure = 5 lb ± 2 lb from \"scale\"\nassumed guess = 1 lb from \"memory\"\nassumed other = 3 lb\n\
         quoted idle = 1 lb from \"x\"\nanswer a = sure + guess + other\nexpect a > 100 lb\n\
         quoted net = 20 lb from \"exchange cylinder\"\nanswer b = net + a\n",
    );
    let names: Vec<&str> = found
        .lines
        .iter()
        .map(|line| line.name.as_deref().unwrap_or("-"))
        .collect();
    assert_eq!(names, ["net", "idle", "-", "other", "guess", "sure"]);
}

#[test]
fn what_decides_is_said_with_its_guesses() {
    let found = of_text(
        "assumed big = 5 lb ± 2 lb from \"memory\"\nmeasured small = 1 lb ± 0.1 lb from \"scale\"\nquoted bare = 4 lb ± 2 lb\n\
         answer a = big + small + bare\nanswer b = a * 2\nanswer c = small\nassumed spot = 2 lb ± 0 lb\nanswer d = 7 lb\n",
    );
    // 2² + 2² of 2² + 2² + 0.1²
    let expected = [
        "big (line 1) and bare (line 3) decide a and b: together they make up 99 % of all moves (as squares). \
         Of these big is a guess, and bare has no source.",
        "small (line 2) decides c: it makes up 100 % of all moves (as squares). It is not marked as a guess.",
        "Nothing that can be moved moves d.",
    ];
    assert_eq!(found.deciding, expected);
}

// ---- case, trials, stops, and what is broken ----

const TRIED: &str = "\
quoted fuel = 20 lb ± 1 lb from \"collar\"
measured run = 2.6 lb from \"scale\"
worked rate [lb/h] = run / 2 h
answer runtime [h] = fuel / rate

case short \"A shorter night\"
  fuel = 10 lb ± 0.5 lb
";

#[test]
fn what_stands_in_hand_counts() {
    let mut session = session(TRIED);
    session.set_case("short").unwrap();
    session.try_value("rate = 2 lb/h ± 0.2 lb/h").unwrap();
    let found = audited(&mut session);
    assert_eq!(
        (found.in_hand.case.as_deref(), &*found.in_hand.trials),
        (Some("short"), &["rate = 2 lb/h ± 0.2 lb/h".to_owned()][..])
    );
    assert_eq!(swing(&found, "fuel", "runtime"), Some(0.05));
    assert!(!line(&found, "fuel").sourced, "the case says nothing of a source");
    // 2/1.8 − 1
    assert!((swing(&found, "rate", "runtime").unwrap() - 1.0 / 9.0).abs() < 1e-15);
    assert_eq!(
        swing(&found, "run", "runtime"),
        Some(0.0),
        "the trial stands in its way"
    );
    assert_eq!(line(&found, "rate").known.as_deref(), Some("on trial"));
    assert_eq!(session.trials().names(), ["rate"]);
    session.drop_trials(None).unwrap();
    session.set_case("base").unwrap();
    let found = audited(&mut session);
    assert_eq!(swing(&found, "fuel", "runtime"), Some(0.05));
    assert!(line(&found, "fuel").sourced);
}

#[test]
fn an_audit_can_be_stopped() {
    let mut session = session(TRIED);
    let heard = Mutex::new(Vec::new());
    let found = session.audit(&|done, of| {
        heard.lock().unwrap().push((done, of));
        done < 1
    });
    assert_eq!(heard.into_inner().unwrap(), [(0, 2), (1, 2)]);
    assert_eq!(swing(&found, "fuel", "runtime"), Some(0.05));
    assert_eq!(swing(&found, "run", "runtime"), None);
    assert!(codes(line(&found, "run")).contains(&"not-tried"));
    let told = "run was not tried: the audit was stopped before it.";
    assert!(found.left_out.iter().any(|one| one == told), "{:?}", found.left_out);
}

#[test]
fn a_broken_worksheet_is_audited_as_far_as_it_goes() {
    let found = of_text(
        "# Broken\nmeasured a = 2 lb\nmeasured empty [lb] = ?\nworked bad = a + 1 h\nanswer fine = a * 3\n\
         answer waits = bad * 2\nanswer open = empty\nexpect waits > 1 lb\ngibberish here\nrule half(x) = x / nothing\n\
         case odd\n  missing = 3 lb\n",
    );
    assert_eq!(found.answers, ["fine"]);
    assert_eq!(swing(&found, "a", "fine"), Some(0.1));
    insta::assert_snapshot!("audit_broken", text(&found, 80));
    for text in [
        "",
        "# Only a title\n",
        "answer a = 1 / 0\n",
        "answer a = a\n",
        "\u{feff}",
        "measured a = 1\nmeasured a = 2\nanswer b = a\n",
    ] {
        let found = of_text(text);
        let _ = (found.markdown(), json_of(&found), csv_of(&found));
    }
    let empty = text(&of_text(""), 80);
    assert_eq!(empty, "Audit: The worksheet\n  There is nothing to audit.\n");
}

/// What comes from the worksheet can't act on a terminal, a page or a spreadsheet.
#[test]
fn texts_are_made_safe() {
    let found = of_text(
        "# \u{1b}[31mred\nmeasured x = 2 lb from \"\u{1b}]0;=cmd()\u{7} <b>|\"\nanswer a = x * 3\nexpect a > 9 lb else \"=1+1 <i>\"\n",
    );
    assert!(!text(&found, 80).contains('\u{1b}'));
    let page = found.markdown();
    assert!(
        !page.contains('\u{1b}') && !page.contains("<b>") && !page.contains("<i>"),
        "{page}"
    );
    assert!(
        !csv_of(&found)
            .lines()
            .any(|line| line.split(',').any(|cell| cell.starts_with('=')))
    );
}
