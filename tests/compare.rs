//! The answers side by side over the cases: in every written form, with trials, flips,
//! cases that break an answer, and answers of every sort.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::path::{Path, PathBuf};

use serde_json::Value;
use tarebook::report::compare::{Answer, Compare, Scene};
use tarebook::report::compose::Options;
use tarebook::report::json;
use tarebook::report::study::Found;
use tarebook::report::style::Style;
use tarebook::session::Session;

const SMALL: &str = "\
# Two nights

assumed rate  = 1.3 lb/h
assumed air   = 20 °F
assumed place = \"shed\"
assumed dusk  = 2026-01-11 17:00
assumed start = 20:15
measured full = 20 lb ± 0.5 lb

answer day \"a whole day\" [lb] = rate * 24 h
answer runtime [h:min] = full / rate
answer colder [°C] = air
answer share [%] = rate / 2 lb/h
answer kept_in = place
answer enough = full > 18 lb
answer until = dusk + full / rate
answer clock = start + 2 h
answer burnt = run.hours * rate

expect day <= 35 lb else \"too much\"
expect enough
expect air >= 0 °F else \"stay in\"

table run
  | hours [h] |
  | 1         |
  |           |
  | 3         |

case cold \"A colder night\"
  air = -10 °C                 from \"forecast\"
  rate = 1.6 lb/h

case idle
  place = \"garage\"
  full = 16 lb
  start = 21:00
";

fn session(text: &str) -> Session {
    Session::of_text("nights.tare", text.to_owned(), &[], Options::default())
}

fn compared(text: &str) -> Found<Compare> {
    session(text).compare()
}

fn notebook(name: &str) -> Session {
    let path = folder().join(name);
    Session::open(&path, Options::default()).ok().unwrap()
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

fn text(compare: &Found<Compare>, width: usize) -> String {
    compare.text(Style {
        width,
        ..Style::default()
    })
}

fn json_of(compare: &Found<Compare>) -> String {
    let mut written = Vec::new();
    compare.json(&mut written).unwrap();
    String::from_utf8(written).unwrap()
}

fn csv_of(compare: &Found<Compare>) -> String {
    let mut written = Vec::new();
    compare.csv(&mut written).unwrap();
    String::from_utf8(written).unwrap()
}

fn scene<'a>(compare: &'a Found<Compare>, name: &str) -> &'a Scene {
    let found = compare.cases.iter().find(|scene| scene.name.as_deref() == Some(name));
    found.unwrap()
}

fn answer<'a>(compare: &'a Found<Compare>, case: &str, name: &str) -> &'a Answer {
    let answers = &scene(compare, case).answers;
    answers.iter().find(|answer| answer.name == name).unwrap()
}

// ---- written forms ----

#[test]
fn the_built_in_worksheet_on_terminals() {
    let found = notebook("winter-outage.tare").compare();
    insta::assert_snapshot!("compare_winter_at_120_columns", text(&found, 120));
    insta::assert_snapshot!("compare_winter_at_80_columns", text(&found, 80));
    insta::assert_snapshot!("compare_winter_at_60_columns", text(&found, 60));
}

#[test]
fn a_small_worksheet_in_every_form() {
    let found = compared(SMALL);
    insta::assert_snapshot!("compare_small_at_80_columns", text(&found, 80));
    insta::assert_snapshot!("compare_small_at_60_columns", text(&found, 60));
    insta::assert_snapshot!("compare_small_markdown", found.markdown());
    insta::assert_snapshot!("compare_small_json", json_of(&found));
    insta::assert_snapshot!("compare_small_csv", csv_of(&found));
}

/// Nothing stands beyond the edge of the terminal; on one of 40 columns only what can't
/// be parted, a value with its uncertainty behind the name.
#[test]
fn every_line_keeps_to_the_width() {
    for width in [40, 60, 80, 100, 120] {
        for name in notebooks() {
            let told = text(&notebook(&name).compare(), width);
            for line in told.lines() {
                let taken = line.chars().count();
                assert!(taken <= width.max(52), "{name} at {width}: {line}");
            }
        }
    }
}

/// The fields of the machine format are those agreed, in their order; answers stand in file order.
#[test]
fn the_machine_format_has_the_agreed_fields() {
    let written = json_of(&compared(SMALL));
    let read: Value = serde_json::from_str(&written).unwrap();
    let keys = |value: &Value| {
        let mut keys: Vec<String> = value.as_object().unwrap().keys().cloned().collect();
        keys.sort();
        keys.join(" ")
    };
    assert_eq!(keys(&read), "case cases file schema title trials");
    assert_eq!((&read["schema"], &read["case"]), (&2.into(), &Value::Null));
    let cases = read["cases"].as_array().unwrap();
    assert_eq!(keys(&cases[0]), "answers checks name title");
    assert_eq!(keys(&cases[0]["answers"]["day"]), "change unit value");
    assert_eq!(keys(&cases[0]["checks"][0]), "holds line");
    let names: Vec<&Value> = cases.iter().map(|case| &case["name"]).collect();
    assert_eq!(names, [&Value::Null, &"cold".into(), &"idle".into()]);
    let places = [
        "day", "runtime", "colder", "share", "kept_in", "enough", "until", "burnt",
    ];
    let places = places.map(|name| written.find(&format!("\"{name}\": {{")).unwrap());
    assert!(places.is_sorted(), "{places:?}");
}

// ---- values ----

fn notebooks() -> Vec<String> {
    // an unoptimized build under load is slower than the time that a run usually has
    tarebook::time_limit::allow(std::time::Duration::from_secs(300));
    let files = std::fs::read_dir(folder()).unwrap();
    let names = files.map(|file| file.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| name.ends_with(".tare")).collect();
    names.sort();
    assert!(names.len() >= 10);
    names
}

/// `show --case` of a fresh session, as machines read it.
fn shown(mut session: Session, case: Option<&str>) -> Value {
    session.set_case(case.unwrap_or("base")).ok().unwrap();
    let mut written = Vec::new();
    json::write(&session.report(), &mut written).unwrap();
    serde_json::from_slice(&written).unwrap()
}

/// The values, units and verdicts of every case are those of `show --case`.
fn check_against_show(open: &dyn Fn() -> Session) {
    let read: Value = serde_json::from_str(&json_of(&open().compare())).unwrap();
    for case in read["cases"].as_array().unwrap() {
        let shown = shown(open(), case["name"].as_str());
        let entries = shown["entries"].as_array().unwrap().iter();
        let answers: Vec<&Value> = entries.filter(|entry| entry["kind"] == "answer").collect();
        assert_eq!(case["answers"].as_object().unwrap().len(), answers.len());
        for entry in answers {
            let found = &case["answers"][entry["name"].as_str().unwrap()];
            assert_eq!(
                (&found["value"], &found["unit"]),
                (&entry["value"], &entry["unit"]),
                "{} of {}",
                entry["name"],
                case["name"]
            );
        }
        let verdict = |check: &Value| (check["line"].clone(), check["holds"].clone());
        let verdicts = |checks: &Value| checks.as_array().unwrap().iter().map(verdict).collect::<Vec<_>>();
        assert_eq!(
            verdicts(&case["checks"]),
            verdicts(&shown["checks"]),
            "{}",
            case["name"]
        );
    }
}

#[test]
fn the_values_of_every_case_equal_those_of_show() {
    check_against_show(&|| session(SMALL));
    for name in notebooks() {
        check_against_show(&|| notebook(&name));
    }
}

#[test]
fn with_trials_too() {
    let tried = || {
        let mut session = notebook("winter-outage.tare");
        session.try_value("air = 10 °F").unwrap();
        session.try_value("load = load / 2").unwrap();
        session
    };
    check_against_show(&tried);
}

/// Whole numbers, worked out by hand.
#[test]
fn changes_are_exact_and_in_the_unit() {
    let found = compared(SMALL);
    let change = |case, name| serde_json::to_value(&answer(&found, case, name).change).unwrap();
    // 1.6 × 24 − 1.3 × 24 lb; −10 °C − (20 °F − 32) × 5/9; 80 % − 65 %
    assert_eq!(change("cold", "day"), "7.2");
    let colder: f64 = change("cold", "colder").as_str().unwrap().parse().unwrap();
    assert!((colder + 10.0 / 3.0).abs() < 1e-12, "{colder}");
    assert_eq!(change("cold", "share"), "15");
    assert_eq!(change("cold", "burnt"), serde_json::json!(["0.3", null, "0.9"]));
    assert_eq!(change("idle", "day"), "0");
    for name in ["kept_in", "enough", "until", "clock"] {
        assert_eq!(change("idle", name), Value::Null, "{name}");
    }
    assert!(
        found.cases[0]
            .answers
            .iter()
            .all(|answer| answer.change == tarebook::report::model::Value::Nothing)
    );
}

fn check_difference(case: &str, name: &str, expected: Option<&str>) {
    let found = compared(SMALL);
    assert_eq!(
        answer(&found, case, name).difference.as_deref(),
        expected,
        "{name} of {case}"
    );
}

#[test]
fn differences_in_words() {
    check_difference("cold", "day", Some("up by 7.2 lb (+23 %)"));
    check_difference("cold", "share", Some("higher by 15 percentage points"));
    // −6.667 °C and −10 °C, as one would subtract them
    check_difference("cold", "colder", Some("lower by 3.333 C°"));
    check_difference("cold", "burnt", Some("2 of 3 rows differ"));
    check_difference("cold", "kept_in", None);
    check_difference("idle", "clock", Some("later by 45 min"));
    // 16 lb / 1.3 lb/h is 12 h 18 min 28 s, 20 lb / 1.3 lb/h is 15 h 23 min 5 s
    check_difference("idle", "until", Some("earlier by 3 h 5 min"));
    check_difference("idle", "day", None);
}

// ---- what a case does ----

#[test]
fn inputs_replaced_and_checks_that_flip() {
    let found = compared(SMALL);
    let cold = scene(&found, "cold");
    let told: Vec<(&str, &str, &str)> = cold
        .replaced
        .iter()
        .map(|one| (one.name.as_str(), one.value.as_str(), one.base.as_str()))
        .collect();
    assert_eq!(told, [("air", "-10 °C", "20 °F"), ("rate", "1.6 lb/h", "1.3 lb/h")]);
    let flips = |case| {
        let flips = scene(&found, case).flips.iter();
        flips
            .map(|flip| (flip.place.as_str(), flip.before, flip.now))
            .collect::<Vec<_>>()
    };
    assert_eq!(flips("cold"), [("line 20", Some(true), Some(false))]);
    assert_eq!(flips("idle"), [("line 21", Some(true), Some(false))]);
}

#[test]
fn a_trial_stands_in_every_case() {
    let mut session = session(SMALL);
    session.try_value("air = -20 °F").unwrap();
    let found = session.compare();
    assert_eq!(found.in_hand.trials, ["air = -20 °F"]);
    let values: Vec<String> = found
        .cases
        .iter()
        .map(|scene| scene.answers[2].shown.display())
        .collect();
    assert_eq!(values, ["-28.89 °C"; 3]);
    let air = &scene(&found, "cold").replaced[0];
    assert!(air.set_aside);
    let told = text(&found, 80);
    assert!(told.contains("On trial in all of them: air = -20 °F"), "{told}");
    assert!(
        told.contains("air is on trial: the -10 °C of this case is set aside"),
        "{told}"
    );
}

/// Without cases a trial stands beside what it was: 18 lb and 12 lb at 1.5 lb/h are 12 h and 8 h.
#[test]
fn without_cases_trials_stand_beside_the_worksheet() {
    let mut session = session(
        "quoted full = 18 lb from \"sleeve\"\nquoted rate = 1.5 lb/h from \"scale\"\nanswer hours [h:min] = full / rate\n\
         expect hours >= 10 h\ntable log from \"scale\"\n  | time  | weight [lb] |\n  | 10:00 | 40 |\n  | 12:00 | 30 |\n\
         answer burnt [lb] = first(log.weight) - last(log.weight)\n",
    );
    session.try_value("full = 12 lb").unwrap();
    session.try_value("log.weight of 12:00 = 32 lb").unwrap();
    let found = session.compare();
    let shown = |case: usize, answer: usize| found.cases[case].answers[answer].shown.display();
    assert_eq!((shown(0, 0), shown(1, 0)), ("12 h 0 min".into(), "8 h 0 min".into()));
    assert_eq!((shown(0, 1), shown(1, 1)), ("10 lb".into(), "8 lb".into()));
    let tried = scene(&found, "on trial");
    assert_eq!((tried.replaced.len(), tried.flips.len()), (2, 1));
    let told = text(&found, 80);
    assert!(told.contains("On trial: full = 12 lb"), "{told}");
    assert!(told.contains("full = 12 lb in place of 18 lb"), "{told}");
    session.drop_trials(None).unwrap();
    assert_eq!(session.compare().cases.len(), 1);
}

#[test]
fn case_and_trials_in_hand_stay() {
    let mut session = session(SMALL);
    session.set_case("cold").ok().unwrap();
    session.try_value("full = full - 2 lb").unwrap();
    let before = serde_json::to_string(&session.report()).unwrap();
    let found = session.compare();
    assert_eq!(found.in_hand.case.as_deref(), Some("cold"));
    assert!(text(&found, 80).contains("Case in hand: cold"));
    assert_eq!(serde_json::to_string(&session.report()).unwrap(), before);
    assert_eq!(session.sheet().case().unwrap().name, "cold");
    // no step of its own: the last one is still the trial
    assert!(session.undo().unwrap().told[0].contains("full = full - 2 lb"));
    assert_eq!(session.compare().in_hand.trials.len(), 0);
}

#[test]
fn a_case_that_breaks_an_answer_says_why() {
    let text_of = "assumed men = 2\nworked each_one = 12 lb / men\nanswer load = each_one * 2\n\
        answer alone = 3 lb\nexpect load > 1 lb\ncase nobody\n  men = 0\n";
    let mut session = session(text_of);
    assert!(!session.sheet().has_problems());
    let found = session.compare();
    let problems = [session.problems(), found.beyond.clone()].concat();
    assert_eq!(
        answer(&found, "nobody", "load").shown.display(),
        "waits for each_one (line 2), which has a problem"
    );
    assert_eq!(
        answer(&found, "nobody", "load").value,
        tarebook::report::model::Value::Nothing
    );
    assert!(answer(&found, "nobody", "alone").as_in_base);
    assert_eq!(scene(&found, "nobody").flips[0].now, None);
    assert_eq!(scene(&found, "nobody").problems[0].code, "division-by-zero");
    assert_eq!(problems.len(), 1);
    insta::assert_snapshot!("compare_broken_at_80_columns", text(&found, 80));
    insta::assert_snapshot!("compare_broken_at_60_columns", text(&found, 60));
    // and the other way: a case that mends what the base lacks
    let mended = compared("assumed men = 0\nanswer each_one = 12 lb / men\ncase two\n  men = 2\n");
    assert_eq!(answer(&mended, "two", "each_one").shown.display(), "6 lb");
    assert_eq!(answer(&mended, "two", "each_one").difference, None);
    assert!(!answer(&mended, "two", "each_one").as_in_base);
}

/// Of two answers with one name the first counts; remarks are no problems.
#[test]
fn a_name_stands_once() {
    let found = compared("answer a = 1\nanswer a = 2\nassumed lb = 3\ncase c\n  lb = 4\n");
    assert_eq!(found.cases[1].answers.len(), 1);
    assert_eq!(found.cases[1].answers[0].shown.display(), "1");
    let codes: Vec<&str> = found.cases[0].problems.iter().map(|one| one.code.as_str()).collect();
    assert_eq!(codes, ["repeated-name"]);
}

#[test]
fn without_cases_the_base_is_shown() {
    let told = text(
        &compared("# One\nassumed a = 3 lb\nanswer b \"twice\" = a * 2\nexpect b < 5 lb else \"no\"\n"),
        80,
    );
    insta::assert_snapshot!("compare_without_cases", told);
    let faulty = compared("answer a = nothing\nexpect 2 > 3 else \"never\"\nassumed b = 1 lb\ncase c\n  b = 2 lb\n");
    for width in [60, 120] {
        let told = text(&faulty, width);
        assert!(
            told.contains("Problem, line 1: Nothing here is named `nothing`."),
            "{told}"
        );
        assert!(told.contains("Never."), "{told}");
    }
    let told = text(&compared("assumed a = 3 lb\ncase more\n  a = 4 lb\n"), 80);
    assert!(told.contains("There are no answers to compare"), "{told}");
    assert!(told.contains("a = 4 lb in place of 3 lb"), "{told}");
    assert!(text(&compared(""), 80).contains("There are no cases"));
}

#[test]
fn texts_of_a_worksheet_stay_texts() {
    let found = compared("assumed a = \"=1+1\"\nanswer b = a\ncase c \"*bold* | \\u{1b}[31m\"\n  a = \"<b>\"\n");
    assert!(!text(&found, 80).contains('\u{1b}'));
    let markdown = found.markdown();
    assert!(
        markdown.contains("\\*bold\\*") && markdown.contains("&lt;b&gt;"),
        "{markdown}"
    );
    assert!(csv_of(&found).contains("'=1+1"), "{}", csv_of(&found));
}
