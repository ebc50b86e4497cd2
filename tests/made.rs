//! Tables that functions make: worked out once, brought up to date by edits,
//! trials and cases, and honest about how sure they are.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::number::Number;
use tarebook::report::compose::{self, Options, report};
use tarebook::report::style::Style;
use tarebook::report::{json, whole};
use tarebook::session::Session;
use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet, Status};
use tarebook::text::Span;

const NIGHT: &str = "\
assumed fuel = 24 lb ± 0.5 lb
assumed air  = 24 °F
assumed other = 3 lb
table   night  = draw_down(fuel, 12 in, 24.6 lb, air, 3.1 lb/h, film: 14 W/(m2·C°), least_pressure: 10 psig)
answer  stalls = draw_down_time(night)
answer  again  = draw_down_time(fuel, 12 in, 24.6 lb, air, 3.1 lb/h, film: 14 W/(m2·C°), least_pressure: 10 psig)
answer  how    = draw_down_end(fuel, 12 in, 24.6 lb, air, 3.1 lb/h, film: 14 W/(m2·C°), least_pressure: 10 psig)
answer  lowest = min(night.temperature)
answer  apart  = other * 2

case mild \"Milder\"
  air = 45 °F
";

fn sheet() -> Sheet {
    let sheet = Sheet::load(NIGHT.to_owned(), None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems());
    sheet
}

fn value(sheet: &Sheet, name: &str) -> f64 {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Number(number) => number.to_f64(),
        other => panic!("{name}: {other:?}"),
    }
}

/// Everything a report says of a sheet.
fn told(sheet: &Sheet) -> String {
    let mut written = Vec::new();
    json::write(&report(sheet, Options::default()), &mut written).unwrap();
    String::from_utf8(written).unwrap()
}

#[test]
fn one_set_of_arguments_is_worked_out_once() {
    let mut sheet = sheet();
    assert_eq!(sheet.tables_made(), 1);
    assert_eq!(value(&sheet, "stalls"), value(&sheet, "again"));
    sheet.recompute();
    told(&sheet);
    assert_eq!(sheet.tables_made(), 1, "nothing changed");
    sheet.set_case(Some("mild")).unwrap();
    assert_eq!(sheet.tables_made(), 2, "the air changed");
    sheet.set_case(None).unwrap();
    assert_eq!(sheet.tables_made(), 2, "and back");
}

#[test]
fn what_does_not_feed_the_table_leaves_it() {
    let mut sheet = sheet();
    let at = sheet.text().find("3 lb\n").unwrap();
    sheet.replace(Span::new(at, at + 1), "5");
    assert_eq!(value(&sheet, "apart"), 10.0);
    assert_eq!(sheet.tables_made(), 1);
}

#[test]
fn edits_and_trials_reach_the_table() {
    let mut sheet = sheet();
    let before = (value(&sheet, "stalls"), value(&sheet, "lowest"));
    let fuel = sheet.cell("fuel").unwrap();
    let held = Held {
        value: HeldValue::Number(Number::from_integer(12)),
        tolerance: None,
        by: Holder::Trial,
        written: String::new(),
        source: None,
        note: None,
    };
    let changed = sheet.hold(fuel, held);
    assert!(changed.contains(&sheet.cell("stalls").unwrap()));
    assert!(!changed.contains(&sheet.cell("apart").unwrap()));
    assert!(value(&sheet, "stalls") < before.0);
    sheet.release(fuel);
    assert_eq!((value(&sheet, "stalls"), value(&sheet, "lowest")), before);

    let at = sheet.text().find("24 lb ±").unwrap();
    sheet.replace(Span::new(at, at + 2), "12");
    let fresh = Sheet::load(sheet.text().to_owned(), None);
    assert_eq!(told(&sheet), told(&fresh));
    assert_ne!(value(&sheet, "stalls"), before.0);
}

#[test]
fn a_table_waits_for_what_is_blank() {
    let text = NIGHT.replace("24 °F", "?").replace("air  =", "air [°F] =");
    let sheet = Sheet::load(text, None);
    assert_eq!(sheet.status(sheet.cell("stalls").unwrap()), Status::Waits);
    let shown = whole::text(&report(&sheet, Options::default()), Style::default());
    assert!(shown.contains("waits for air (line 2)"), "{shown}");
    assert_eq!(value(&sheet, "apart"), 6.0);
}

/// What stands on a table has no ± of first order, and says so; what doesn't keeps its own.
#[test]
fn only_draws_tell_how_sure_a_draw_down_is() {
    let sheet = sheet();
    let report = report(&sheet, Options::default());
    let caution = report
        .cautions
        .iter()
        .find(|caution| caution.code == "by-draws")
        .unwrap();
    for name in ["stalls", "again", "how", "lowest", "night"] {
        assert!(
            caution.names.iter().any(|other| other == name),
            "{name}: {:?}",
            caution.names
        );
    }
    assert!(!caution.names.iter().any(|other| other == "apart" || other == "fuel"));
    for entry in &report.entries {
        let sure = entry.shown.uncertainty.is_none();
        assert_eq!(sure, entry.name != "fuel", "{}", entry.name);
    }
    let exact = Sheet::load(NIGHT.replace(" ± 0.5 lb", ""), None);
    let exact = compose::report(&exact, Options::default());
    assert!(exact.cautions.iter().all(|caution| caution.code != "by-draws"));
}

/// The ± of what is between two cells of a table can't be told from the cells' own.
#[test]
fn what_cancels_in_a_table_is_not_taken_for_sure() {
    let more = "answer used = first(night.contents) - last(night.contents)
answer burnt = burn_rate(night.time, night.contents)
answer falls = slope(night.time, night.pressure)
answer next = next_reading(night.time, night.contents, 1 h)
";
    let report = report(&Sheet::load(format!("{NIGHT}{more}"), None), Options::default());
    let caution = report.cautions.iter().find(|caution| caution.code == "by-draws");
    for name in ["used", "burnt", "falls", "next"] {
        assert!(caution.unwrap().names.iter().any(|other| other == name), "{name}");
        let entry = report.entries.iter().find(|entry| entry.name == name).unwrap();
        assert_eq!(entry.shown.uncertainty, None, "{name}");
    }
}

/// A small rate is shown as what it is, not as nothing.
#[test]
fn a_small_column_is_not_shown_as_zero() {
    for (rate, wanted) in [("0.0001", "0.0001000"), ("1e-9", "1.000e-9")] {
        let text = NIGHT.replace("3.1 lb/h", &format!("{rate} lb/h"));
        let report = report(&Sheet::load(text, None), Options::default());
        assert_eq!(report.tables[0].columns[4].shown[0], wanted);
    }
}

/// The first problem of a line that stands beside the night: its message, and what mends it.
fn refused(line: &str, message: &str, help: &str) {
    let sheet = Sheet::load(format!("{NIGHT}{line}\n"), None);
    let problems = sheet.problems();
    let found: Vec<(&str, Option<&str>)> = problems
        .iter()
        .map(|problem| (&*problem.message, problem.help.as_deref()))
        .collect();
    assert_eq!(found, [(message, Some(help))], "{line}");
}

#[test]
fn a_table_given_as_it_cant_be_is_told() {
    refused(
        "answer x = draw_down_time(night, limit: 3 h)",
        "`draw_down_time` takes a table alone, and this is given beside `night`",
        "write `draw_down_time(night)`, and give the rest where `night` is made",
    );
    for argument in ["table: night", "contents: night", "night.time"] {
        refused(
            &format!("answer x = draw_down_time({argument})"),
            "`draw_down_time` takes a table by its bare name",
            "write `draw_down_time(night)`",
        );
    }
    refused(
        "answer x = draw_down_end()",
        "`draw_down_end` needs a table, or the arguments of `draw_down`",
        "name a table written as `table NAME = draw_down(…)`, or give its arguments here",
    );
    refused(
        "rule late(x) = draw_down_time(night) + x",
        "a rule sees only its parameters, and `night` is none of them",
        "make what it needs of the table a parameter, such as its last time",
    );
}

#[test]
fn figures_out_of_hand_are_told_as_such() {
    let made = |air: &str, rate: &str, film: &str| {
        format!(
            "table x = draw_down(24 lb, 12 in, 24.6 lb, {air}, {rate}, film: {film} W/(m2·C°), least_pressure: 10 psig)"
        )
    };
    refused(
        &made("20 °F", "1e27 lb/h", "14"),
        "the run has figures too small or too large to hold: it is over before it has begun",
        "look at `rate`, `film`, `diameter` and `wall_reach`: one of them is far from usual",
    );
    refused(
        &made("20 °F", "0.1 lb/h", "1e9"),
        "the run takes too many steps: its temperature changes too fast for so long a `limit`",
        "look at `film`, `steel`, `diameter`, `extra_heat` and `limit`: one of them is far from usual",
    );
    let late = "table w\n  | t [h] | a [°F] |\n  | 0 | 20 |\n";
    let none = "steps(w.t where w.t > 9 h, w.a where w.t > 9 h)";
    let sheet = Sheet::load(format!("{late}{}\n", made(none, "3 lb/h", "14")), None);
    assert_eq!(sheet.problems()[0].message, "`air` has no rows");
}

fn session() -> Session {
    Session::of_text("ridge.tare", NIGHT.to_owned(), &[], Options::default())
}

#[test]
fn a_session_names_the_table_that_used_what_is_removed() {
    let told = session().remove("air").ok().unwrap().told.join(" ");
    assert!(told.contains("night (line 3)"), "{told}");
}

#[test]
fn a_table_that_is_tried_says_what_can_be() {
    let refusal = session().try_value("night = 3 h").err().unwrap();
    assert_eq!(
        refusal.problems[0].help.as_deref(),
        Some("give a value to one of the entries it is made of")
    );
}

/// What waits for several tables is told within the width.
#[test]
fn a_narrow_width_holds_what_waits() {
    let text = "table night = draw_down(a, 12 in)\ntable other = draw_down(b, 12 in)\nanswer x = draw_down_time(night) + draw_down_time(other)\n";
    let report = report(&Sheet::load(text.to_owned(), None), Options::default());
    for width in [40, 43, 44] {
        let style = Style {
            width,
            ..Style::default()
        };
        for line in whole::text(&report, style).lines() {
            assert!(line.chars().count() <= width, "{line}");
        }
    }
}

/// One cause is one problem, where one argument stands for another that is left out.
#[test]
fn an_argument_that_stands_for_another_is_told_once() {
    for line in [
        "requalification_date(21:40, method: \"volumetric\")",
        "draw_down_time(24 lb, 12 in, 24.6 lb, 24 lb, 3.1 lb/h, film: 14 W/(m2·C°), least_pressure: 10 psig)",
    ] {
        let sheet = Sheet::load(format!("answer x = {line}\n"), None);
        assert_eq!(sheet.problems().len(), 1, "{:?}", sheet.problems());
    }
}

/// The ± of a date is told in days: 12 years on, 31 d are still 31 d.
#[test]
fn a_date_is_uncertain_by_days() {
    let text = "measured made = 2016-02-29 ± 31 d\nworked due = made + 100 d\n";
    let report = report(&Sheet::load(text.to_owned(), None), Options::default());
    // 31 d as limits: u = 31 d/√3, and no further off than they are
    let shown = report.entries[1].shown.display();
    assert_eq!(shown, "2016-06-08 00:00 ± 30 d k=1.73");
}

#[test]
fn a_loop_through_a_table_is_marked_at_its_name() {
    let text = "table eve = swap_plan(eve.ends, eve.left, eve.left)\n";
    let sheet = Sheet::load(text.to_owned(), None);
    let [problem] = sheet.problems().try_into().unwrap();
    assert_eq!(
        (problem.code.word(), problem.place.span.of(text)),
        ("loop", "eve"),
        "{problem:?}"
    );
}

/// A check on a draw-down is drawn: where every draw comes out the same nothing is left to say.
#[test]
fn a_check_on_a_draw_down_is_drawn() {
    let text = format!("{NIGHT}expect stalls > 1 h\nexpect how = \"pressure\"\nexpect apart > 1 lb\n");
    let remarks = |text: String| -> Vec<Option<String>> {
        let report = compose::report(&Sheet::load(text, None), Options::default());
        report.checks.iter().map(|check| check.remark.clone()).collect()
    };
    assert_eq!(remarks(text.clone()), [None, None, None]);
    assert_eq!(remarks(text.replace(" ± 0.5 lb", "")), [None, None, None]);
}
