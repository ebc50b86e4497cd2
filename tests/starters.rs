//! The starter worksheets: tidy, without a problem or a remark, each blank
//! explained, nothing told before it is filled in; and once it is, everything
//! told, with answers that were worked out apart from this program.
//!
//! What was computed, was computed in Python: plain arithmetic, the printed rule,
//! and scipy's `solve_ivp` (DOP853, rtol 1e-10) over the balance of `draw_down` with
//! propane and air of CoolProp 8.0.0, written apart. Heat: propane
//! 21 548 BTU/lb, gasoline E10 120 214 BTU/gal gross (NFPA 58 property table; E10
//! from memory); 1 W is 3.412142 BTU/h (NIST SP 811). Start reading at [`check`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::Path;
use std::process::Command;

use tarebook::report::compose::Options;
use tarebook::report::first_screen;
use tarebook::report::model::{Check, Report};
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::session::starters::{HOUSEHOLD, STARTERS, starter};
use tarebook::sheet::{Reading, Sheet};
use tarebook::syntax::tidy::tidy;
use tarebook::syntax::tree::{Entry, Node, Value};

fn open(text: &str) -> Session {
    Session::of_text("a starter", text.to_owned(), &[], Options::default())
}

fn checks(session: &Session) -> Vec<Check> {
    session.report().checks
}

fn entries(sheet: &Sheet) -> Vec<&Entry> {
    let items = sheet.tree().items.iter();
    items
        .filter_map(|item| match &item.node {
            Node::Entry(entry) => Some(&**entry),
            _ => None,
        })
        .collect()
}

fn blanks(sheet: &Sheet) -> Vec<&Entry> {
    let mut blanks = entries(sheet);
    blanks.retain(|entry| matches!(entry.value, Some(Value::Blank(_))));
    blanks
}

fn prose(text: &str) -> String {
    let lines = text.lines().filter_map(|line| line.strip_prefix("> "));
    lines.collect::<Vec<_>>().join(" ")
}

#[test]
fn a_starter_is_tidy_and_without_a_problem_or_a_remark() {
    for starter in STARTERS {
        assert_eq!(tidy(starter.text), starter.text, "{} is not tidy", starter.name);
        let problems = open(starter.text).problems();
        assert!(problems.is_empty(), "{}: {problems:#?}", starter.name);
    }
}

#[test]
fn each_blank_is_explained_and_has_a_place_to_look() {
    for starter in STARTERS {
        let session = open(starter.text);
        let found = blanks(session.sheet());
        assert!(found.len() >= 6, "{} has few blanks", starter.name);
        assert_eq!(found.len(), starter.text.matches("= ?").count(), "{}", starter.name);
        let prose = prose(starter.text);
        for blank in found {
            let name = &blank.name.text;
            assert!(
                blank.note.is_some() || prose.contains(&format!("`{name}`")),
                "{}: {name}",
                starter.name
            );
            assert!(blank.source.is_some(), "{}: {name} has no source", starter.name);
        }
    }
}

#[test]
fn nothing_is_told_before_it_is_filled_in() {
    for starter in STARTERS {
        let report = open(starter.text).report();
        check_screen(starter.name, &report);
        let to_fill = first_screen::write(&report, "", Style::default());
        assert!(
            to_fill
                .lines()
                .nth(1)
                .is_some_and(|line| line.contains(" first (line ")),
            "{to_fill}"
        );
        let checks = report.checks;
        assert!(checks.len() >= 3, "{}", starter.name);
        for check in checks {
            assert_eq!(check.holds, None, "{}: {}", starter.name, check.text);
        }
    }
}

/// Words that a starter can't do without.
#[test]
fn cautions_stand_in_the_prose() {
    for starter in STARTERS {
        let prose = prose(starter.text).to_lowercase();
        let told = prose.contains("carbon monoxide") || prose.contains("kills without a smell");
        assert!(told && prose.contains("outdoors"), "{}", starter.name);
        let has_runtime = starter.text.contains("by weight\" [h:min]") || starter.text.contains("answer by_weight");
        let drawn_down = starter.text.contains("draw_down_time(");
        assert_eq!(
            has_runtime, drawn_down,
            "{}: a time by weight stands alone",
            starter.name
        );
        if drawn_down {
            assert!(
                starter
                    .text
                    .contains("margin >= 100 % or draw_down_end(still) = \"empty\""),
                "{} expects no margin",
                starter.name
            );
            assert!(prose.contains("0 mph"), "{} suggests no wind", starter.name);
            assert!(prose.contains("flame"), "{} says nothing of heat", starter.name);
        }
    }
}

/// What a starter comes to: names with the values put in, names with the numbers
/// expected of them and how far off they may be, texts, and the checks that don't hold.
struct Filled {
    starter: &'static str,
    values: &'static [(&'static str, &'static str)],
    numbers: &'static [(&'static str, f64, f64)],
    texts: &'static [(&'static str, &'static str)],
    failing: &'static [&'static str],
}

/// A table with headings alone, and readings that lie on a line of 3.1 lb/h with 1.2 lb of hose.
const HEADINGS: &str = "  | time ± 2 min | gross [lb ± 0.1] | hose |\n";
const READINGS: &str =
    "  | 14:10 | 51.9 | off |\n  | 15:10 | 50.0 | on |\n  | 16:10 | 45.7 | off |\n  | 17:10 | 43.8 | on |\n";

/// The worksheet with its question marks replaced, and readings in its empty table.
fn filled(text: &str, values: &[(&str, &str)]) -> String {
    let text = text.replace(HEADINGS, &format!("{HEADINGS}{READINGS}"));
    let lines = text.lines().map(|line| {
        let name = line.split_whitespace().nth(1).unwrap_or("");
        match values.iter().find(|(known, _)| *known == name) {
            Some((_, value)) if line.contains("= ?") => line.replacen("= ?", &format!("= {value}"), 1),
            _ => line.to_owned(),
        }
    });
    lines.map(|line| line + "\n").collect()
}

/// The first screen keeps to 24 lines of 80.
fn check_screen(name: &str, report: &Report) {
    let screen = first_screen::write(report, "`show all` is the whole worksheet.", Style::default());
    assert!(screen.lines().count() <= 24, "{name}:\n{screen}");
    assert!(
        screen.lines().all(|line| line.chars().count() <= 80),
        "{name}:\n{screen}"
    );
}

fn check(of: &Filled) {
    let name = of.starter;
    let text = filled(starter(name).unwrap().text, of.values);
    let session = open(&text);
    let sheet = session.sheet();
    assert!(blanks(sheet).is_empty(), "{name} has blanks left");
    let blanks = starter(name).unwrap().text.matches("= ?").count();
    assert_eq!(of.values.len(), blanks, "{name}");
    assert!(session.problems().is_empty(), "{name}: {:#?}", session.problems());
    for entry in entries(sheet) {
        let waits = matches!(
            sheet.reading(sheet.cell(&entry.name.text).unwrap()),
            Reading::Number(_) | Reading::Column(_)
        );
        assert!(waits, "{name}: {} has no value", entry.name.text);
    }
    for (answer, expected, within) in of.numbers {
        let Reading::Number(number) = sheet.reading(sheet.cell(answer).unwrap()) else {
            panic!("{name}: {answer} is no number");
        };
        let found = number.to_f64();
        assert!(
            (found - expected).abs() <= *within,
            "{name}: {answer} is {found}, not {expected}"
        );
    }
    for (answer, expected) in of.texts {
        let Reading::Number(number) = sheet.reading(sheet.cell(answer).unwrap()) else {
            panic!("{name}: {answer} is no text");
        };
        assert_eq!(sheet.texts().text(number), *expected, "{name}: {answer}");
    }
    check_screen(name, &session.report());
    let told = checks(&session);
    assert!(told.iter().all(|check| check.holds.is_some()), "{name}: {told:#?}");
    let failing: Vec<&str> = told
        .iter()
        .filter(|check| check.holds == Some(false))
        .map(|check| check.text.as_str())
        .collect();
    assert_eq!(failing, of.failing, "{name}");
}

/// Rate and rescaled rate: the row of tests/data/published_checks.csv for
/// `rescale_rate`, 2.54359 lb/h (computed). Efficiency: 1500 W over 3.1 lb/h of
/// 21 548 BTU/lb (by hand).
#[test]
fn a_weighed_run() {
    check(&Filled {
        starter: "weighed-run",
        values: &[
            ("tare", "17.2 lb ± 0.2 lb"),
            ("reserve", "7 lb"),
            ("run_load", "1500 W ± 15 W"),
            ("rated", "3600 W"),
            ("no_load_share", "40 % ± 10 %"),
            ("to_load", "800 W"),
        ],
        numbers: &[
            ("rate", 3.1, 1e-12),
            ("hose", 1.2, 1e-12),
            // counted from midnight of the first day: (51.9 − 24.2)/3.1 h and (51.9 − 17.2)/3.1 h on
            ("swap", (14.0 + 1.0 / 6.0 + 27.7 / 3.1) * 3600.0, 1e-6),
            ("empty", (14.0 + 1.0 / 6.0 + 34.7 / 3.1) * 3600.0, 1e-6),
            ("efficiency", 7.66213, 1e-4),
            ("per_kwh", 2.06667, 1e-5),
            ("rate_there", 2.54359, 1e-5),
        ],
        texts: &[],
        failing: &[],
    });
}

/// Stamps of tests/data/typical_cylinders.csv where the reference cases don't give them.
const REFERENCE_MILD: &[(&str, &str)] = &[
    ("gross", "16.77 kg"),
    ("tare", "7.7 kg"),
    ("water_capacity", "21.6 kg"),
    ("joined", "1 each"),
    ("rate", "0.4 kg/h"),
    ("leave", "2 kg"),
    ("needed", "12 h"),
    ("price", "1.09 $/lb"),
    ("air", "20 °C"),
    ("wind", "5 mph"),
    ("around", "38.35217 in"),
    ("shell", "13.9 in"),
    ("least_pressure", "68.675 kPag"),
];

/// The cylinder of case co1 of tests/data/cylinder_cases.csv, in a wind of 5 mph: 0.305 m
/// across, 7.7 kg of steel, 9.07 kg, 0.4 kg/h at 20 °C, empty after 81 630 s. Its least
/// pressure is 170 kPa absolute, 68.675 kPa on a gauge. Around: (0.305 m + 0.2 in) × π.
/// By weight: 7.07 kg over 0.4 kg/h. Cost: 0.881849 lb/h at $1.09/lb. Margin: 12.2079 in ×
/// 13.9 in × 53.161 × 4.4 over 0.881849 lb/h × 21 548 BTU/lb (by hand, with a liquid
/// level of 15.441 % from the fits).
#[test]
fn an_outage_on_a_mild_day() {
    check(&Filled {
        starter: "outage-plan",
        values: REFERENCE_MILD,
        numbers: &[
            ("runtime", 17.675, 1e-9),
            ("stalls", 81_630.0 / 3600.0, 10.0 / 3600.0),
            ("cost", 0.961215, 1e-5),
            ("liquid", 15.441, 0.005),
            ("margin", 108.88, 0.05),
        ],
        texts: &[("ends", "empty")],
        failing: &[],
    });
}

/// The same at 1.5 kg/h and −5 °C, stalls after 5481.2 s with 6.79 kg left. Here the time
/// by weight, 4.71 h, is what can't be had.
#[test]
fn an_outage_on_a_cold_day() {
    let replaced: Vec<(&str, &str)> = REFERENCE_MILD
        .iter()
        .map(|(name, value)| match *name {
            "rate" => ("rate", "1.5 kg/h"),
            "air" => ("air", "-5 °C"),
            _ => (*name, *value),
        })
        .collect();
    check(&Filled {
        starter: "outage-plan",
        values: replaced.leak(),
        numbers: &[
            ("runtime", 7.07 / 1.5, 1e-9),
            ("stalls", 5481.2 / 3600.0, 10.0 / 3600.0),
            ("margin", -72.44, 0.05),
        ],
        texts: &[("ends", "pressure")],
        failing: &[
            "runtime >= needed",
            "stalls >= needed",
            "runtime <= stalls",
            "margin >= 100 % or draw_down_end(still) = \"empty\"",
        ],
    });
}

/// Computed apart, as the head of this file says; the frost point with WMO-No. 8,
/// Annex 4.B. Ten seconds for the stall.
#[test]
fn a_cold_night() {
    check(&Filled {
        starter: "cold-night",
        values: &[
            ("dusk", "26 °F"),
            ("coldest", "10 °F"),
            ("humidity", "80 %"),
            ("dark", "13 h"),
            ("wind", "0 mph"),
            ("gross", "37.3 lb"),
            ("tare", "17.9 lb"),
            ("water_capacity", "47.6 lb"),
            ("joined", "2 each"),
            ("rate", "1.3 lb/h"),
            ("around", "38.33 in"),
            ("shell", "13.9 in"),
            ("least_pressure", "5 psig"),
        ],
        numbers: &[
            ("by_weight", 29.846154, 1e-5),
            ("stalls", 27.3839, 0.003),
            ("left", 1.6005, 0.003),
            ("coldest_wall", -31.456, 0.05),
            ("frost_from", 7.983, 0.005),
            ("margin", 17.50, 0.05),
            ("wanted", 4.0, 1e-9),
        ],
        texts: &[("frost", "yes: white up to the liquid"), ("ends", "pressure")],
        failing: &["margin >= 100 % or draw_down_end(still) = \"empty\""],
    });
}

/// Watts from tests/data/appliances_published.csv (common practice, no source; totals at
/// start); letter G, 6.29 kVA/hp, NEC table 430.7(B); drops by hand from the
/// stranded ohms of NEC chapter 9 table 8 (4.99, 3.14, 1.98, 1.24 for 1000 ft), twice
/// 40 ft at 12 A on 120 V: 3.99, 2.51, 1.58 and 0.99 %.
#[test]
fn what_starts() {
    check(&Filled {
        starter: "what-starts",
        values: &[
            ("rated", "3600 W"),
            ("surge", "4500 W"),
            ("surge_amps", "37.5 A"),
            ("taken_off", "5 %"),
            ("steady", "300 W"),
            ("fridge_running", "800 W"),
            ("fridge_starting", "1500 W"),
            ("fan_running", "700 W"),
            ("fan_starting", "1400 W"),
            ("pump_running", "750 W"),
            ("code_letter", "6.29 kVA/hp"),
            ("pump_power", "0.5 hp"),
            ("pump_volts", "240 V"),
            ("beside", "8 A"),
            ("cord", "40 ft"),
            ("cord_amps", "12 A"),
            ("cord_volts", "120 V"),
        ],
        numbers: &[
            ("running", 2550.0, 1e-9),
            ("worst_start", 3250.0, 1e-9),
            ("pump_start", 13.1041667, 1e-6),
            ("how_many", 3.0, 1e-12),
        ],
        texts: &[],
        failing: &[],
    });
}

/// By hand: 6.5 lb for 4.1 kWh; a gallon of propane is 4.22851 lb at 60 °F (reference
/// equation of state).
#[test]
fn which_fuel() {
    check(&Filled {
        starter: "which-fuel",
        values: &[
            ("before", "36.1 lb ± 0.05 lb"),
            ("after", "29.6 lb ± 0.05 lb"),
            ("made", "4.1 kWh ± 1 %"),
            ("by_the_gallon", "$3.29/gal"),
            ("by_the_pound", "$1.09/lb"),
            ("one_exchange", "$23.95"),
            ("exchange_net", "15 lb"),
            ("gasoline", "$3.45/gal"),
            ("on_grid", "$0.174/kWh"),
            ("as_on_propane", "100 % ± 10 %"),
        ],
        numbers: &[
            ("efficiency", 9.98828, 1e-4),
            ("delivered", 1.23350, 1e-4),
            ("refilled", 1.728049, 1e-5),
            ("exchanged", 2.531301, 1e-5),
            ("on_gasoline", 0.980394, 1e-5),
        ],
        texts: &[],
        failing: &[],
    });
}

/// By hand: 20.6 lb less 17 lb is 3.6 lb; level computed from the fits; a gallon of water
/// of 0.99902 kg/L is 8.3372 lb.
#[test]
fn a_class_exercise() {
    check(&Filled {
        starter: "class-exercise",
        values: &[
            ("jug", "1 gal"),
            ("jug_empty", "0.5 lb ± 0.05 lb"),
            ("jug_full", "8.9 lb ± 0.05 lb"),
            ("first_gross", "20.6 lb ± 0.05 lb"),
            ("second_gross", "20.6 lb ± 0.05 lb"),
            ("tare", "17 lb ± 0.2 lb"),
            ("water_capacity", "47.6 lb"),
            ("air", "60 °F"),
        ],
        numbers: &[
            ("scale_off", 0.063, 1e-9),
            ("apart", 0.0, 1e-9),
            ("fuel", 3.6, 1e-12),
            ("filled", 18.0072, 1e-4),
            ("level", 12.128, 0.01),
        ],
        texts: &[],
        failing: &[],
    });
}

/// Four "20-lb cylinders" at 0.75 lb/h, "half the load, half the fuel"; weighed, 15 lb in
/// each and 1.375 lb/h, so 43.6 of 106.7 hours (by hand). Stall and margin computed apart.
#[test]
fn a_claim_audited() {
    check(&Filled {
        starter: "claim-audit",
        values: &[
            ("said_hours", "106 h"),
            ("said_cylinders", "4 each"),
            ("said_net", "20 lb"),
            ("said_rate", "0.75 lb/h"),
            ("gross", "34.7 lb"),
            ("attached", "2.1 lb"),
            ("tare", "17.6 lb"),
            ("water_capacity", "47.6 lb"),
            ("run_rate", "1.5 lb/h"),
            ("run_load", "600 W"),
            ("true_load", "450 W"),
            ("rated", "1800 W"),
            ("no_load_share", "40 %"),
            ("joined", "1 each"),
            ("air", "20 °F"),
            ("wind", "2 mph"),
            ("around", "38.33 in"),
            ("shell", "13.9 in"),
            ("least_pressure", "5 psig"),
        ],
        numbers: &[
            ("net", 15.0, 1e-12),
            ("rate", 1.375, 1e-12),
            ("hours", 43.636364, 1e-5),
            ("held", 41.166381, 1e-5),
            ("one_lot", 10.909091, 1e-5),
            ("stalls", 6.1480, 0.003),
            ("margin", -34.340, 0.05),
        ],
        texts: &[("ends", "pressure")],
        failing: &[
            "net >= 95 % * said_net",
            "abs(said_rate - rate) <= 10 % * rate",
            "hours >= said_hours",
            "stalls >= 95 % * one_lot",
            "margin >= 100 % or draw_down_end(still) = \"empty\"",
        ],
    });
}

// ---------------------------------------------------------------- as a command

struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run_in(folder: &Path, arguments: &[&str]) -> Ran {
    let run = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap();
    Ran {
        code: run.status.code().unwrap(),
        out: String::from_utf8(run.stdout).unwrap(),
        err: String::from_utf8(run.stderr).unwrap(),
    }
}

#[test]
fn new_alone_lists_the_kinds() {
    let folder = tempfile::tempdir().unwrap();
    let ran = run_in(folder.path(), &["new"]);
    assert_eq!(ran.code, 0);
    assert!(ran.err.is_empty());
    insta::assert_snapshot!(ran.out);
}

#[test]
fn new_with_a_kind_prints_it_and_it_can_be_read_back() {
    let folder = tempfile::tempdir().unwrap();
    for starter in STARTERS {
        let ran = run_in(folder.path(), &["new", starter.name]);
        assert_eq!((ran.code, ran.out.as_str(), ran.err.as_str()), (0, starter.text, ""));
        assert_eq!(run_in(folder.path(), &["new", starter.name, "-"]).out, starter.text);
        let last = starter.text.lines().rev().take(2).collect::<Vec<_>>();
        assert!(last[1].contains("tarebook open"), "{}", starter.name);
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn new_with_a_file_writes_it_and_says_what_is_next() {
    let folder = tempfile::tempdir().unwrap();
    let ran = run_in(folder.path(), &["new", "weighed-run", "my-run.tare"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out
            .starts_with("Wrote my-run.tare.\nFill in `tare` first (line 7), then `reserve` and 5 more.\n"),
        "{}",
        ran.out
    );
    assert!(ran.out.lines().last().unwrap().contains("`tarebook open my-run.tare`"));
    let written = fs::read_to_string(folder.path().join("my-run.tare")).unwrap();
    assert_eq!(written, starter("weighed-run").unwrap().text);
    assert_eq!(run_in(folder.path(), &["check", "my-run.tare"]).code, 3);
    assert_eq!(run_in(folder.path(), &["tidy", "my-run.tare", "--check"]).code, 0);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn new_never_writes_over_anything() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("old.tare"), "# Mine\n").unwrap();
    let refused = |file: &str, told: &str| {
        let ran = run_in(folder.path(), &["new", "cold-night", file]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        assert!(ran.err.contains(told), "{}", ran.err);
    };
    refused("old.tare", "`old.tare` is there already; nothing was written");
    refused(".", "is there already");
    refused("nowhere/my.tare", "can't be written: no such file or directory");
    assert_eq!(fs::read_to_string(folder.path().join("old.tare")).unwrap(), "# Mine\n");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("elsewhere.tare", folder.path().join("link.tare")).unwrap();
        refused("link.tare", "is there already");
        assert!(!folder.path().join("elsewhere.tare").exists());
    }
}

#[test]
fn a_kind_that_is_unknown_is_told_the_nearest() {
    let folder = tempfile::tempdir().unwrap();
    let told = |words: &[&str], expected: &str| {
        let ran = run_in(folder.path(), words);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        assert!(ran.err.contains(expected), "{}", ran.err);
    };
    told(&["new", "weighd-run"], "write `weighed-run`, if that is meant");
    told(&["new", "quilt"], "`tarebook new` lists the kinds");
    told(&["new", "my.tare"], "as in `tarebook new weighed-run my.tare`");
    told(&["new", "weighed-run", "a.tare", "b.tare"], "one word too many");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

// ---- a household ----

/// Each is tidy and without a problem, and nothing is told before it is filled in.
#[test]
fn a_household_waits_until_it_is_filled_in() {
    let folder = tempfile::tempdir().unwrap();
    let yard = folder.path().join("yard");
    HOUSEHOLD.write(&yard).unwrap();
    assert!(HOUSEHOLD.write(&yard).is_err(), "written over what is there");
    for (name, text) in HOUSEHOLD.files {
        assert_eq!(tidy(text), *text, "{name} is not tidy");
        let session = Session::open(&yard.join(name), Options::default()).unwrap();
        assert!(session.problems().is_empty(), "{name}: {:#?}", session.problems());
        let report = session.report();
        assert!(report.answers().all(|answer| !answer.waits_on.is_empty()), "{name}");
        assert!(report.checks.iter().all(|check| check.holds.is_none()), "{name}");
    }
    let prose = prose(HOUSEHOLD.files[0].1).to_lowercase();
    assert!(prose.contains("kills without a smell") && prose.contains("outdoors"));
}

/// Filled in as the worksheets of the yard that ship, it comes to what they come to.
#[test]
fn a_household_filled_in_comes_to_what_the_yard_does() {
    let folder = tempfile::tempdir().unwrap();
    let ships = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/yard");
    let rows = |text: &str| -> Vec<String> {
        let lines = text.lines().filter(|line| line.trim_start().starts_with('|'));
        lines.map(str::to_owned).collect()
    };
    HOUSEHOLD.write(folder.path()).unwrap();
    for (name, text) in HOUSEHOLD.files {
        let theirs = rows(&fs::read_to_string(ships.join(name)).unwrap());
        let mut filled = String::new();
        for line in text.lines() {
            filled.push_str(&line.replace("= ? ", "= $3.69/gal ± $0.05/gal "));
            filled.push('\n');
            if line.trim_start().starts_with('|') {
                // the first words of a heading tell the table; its rows go on to the next heading
                let first = line.split_whitespace().nth(1).unwrap();
                let is_heading = |row: &&String| row.contains('[');
                let begins = theirs
                    .iter()
                    .position(|row| row.split_whitespace().nth(1) == Some(first))
                    .unwrap();
                for row in theirs[begins + 1..].iter().take_while(|row| !is_heading(row)) {
                    filled.push_str(row);
                    filled.push('\n');
                }
            }
        }
        fs::write(folder.path().join(name), filled).unwrap();
    }
    let answers = |folder: &Path| {
        let session = Session::open(&folder.join("tonight.tare"), Options::default()).unwrap();
        assert!(session.problems().is_empty(), "{:#?}", session.problems());
        let report = session.report();
        let answers: Vec<String> = report.answers().map(|answer| answer.shown.value.clone()).collect();
        let failing: Vec<String> = report
            .checks
            .iter()
            .filter(|one| one.holds == Some(false))
            .map(|one| one.text.clone())
            .collect();
        (answers, failing)
    };
    assert_eq!(answers(folder.path()).0.len(), 2);
    assert_eq!(answers(folder.path()), answers(&ships));
}
