//! Which day a time belongs to, as a user meets it: in every output, in a session, in files,
//! over the nights in which clocks are changed. What single lines give stands in
//! `tests/language/evenings.txt`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::time::Instant;

use tarebook::calendar::{clock, clock_changes, counted, moment, month, weekday};
use tarebook::problem::Severity;
use tarebook::report::compose::{self, Options};
use tarebook::report::handout::{self, Form};
use tarebook::report::style::Style;
use tarebook::report::{csv, json, whole};
use tarebook::session::Session;
use tarebook::sheet::Sheet;

const EVENING: &str = "\
# A night
measured start = 9:04 pm ± 3 min from \"wall\"
assumed lasts = 8 h
answer dead = start + lasts
answer wall = clock(dead)
expect dead >= next_time(6:00 am, after: start) else \"get up\"

table run
  | time     | gross [lb] |
  | 9:00 pm  | 52.4       |
  | 11:10 pm | 47.7       |
  | 1:05 am  | 43.5       |
answer swaps = first(run.time) + elapsed(run.time)
";

fn session(text: &str) -> Session {
    Session::of_text("night.tare", text.to_owned(), &[], Options::default())
}

fn sheet(text: &str) -> Sheet {
    Sheet::load(text.to_owned(), None)
}

fn shown(session: &Session, name: &str) -> String {
    let report = session.report();
    let entry = report.entries.iter().find(|entry| entry.name == name).unwrap();
    entry.shown.display()
}

/// The codes and messages of the problems, lints left out.
fn problems(sheet: &Sheet) -> Vec<String> {
    let weighs = |severity: Severity| severity == Severity::Problem;
    let found = sheet.problems().into_iter().filter(|problem| weighs(problem.severity));
    found
        .map(|problem| {
            let at = problem.file.map_or(String::new(), |at| {
                format!(" at {} row {} column {}", at.file, at.row, at.column)
            });
            format!(
                "{}: {}{at}; {}",
                problem.code,
                problem.message,
                problem.help.unwrap_or_default()
            )
        })
        .collect()
}

fn check_problem(text: &str, words: &[&str]) {
    let found = problems(&sheet(text));
    assert_eq!(found.len(), 1, "{text}{found:?}");
    for word in words {
        assert!(found[0].contains(word), "{text}{found:?}");
    }
}

// ---- outputs ----

#[test]
fn every_output_tells_the_day() {
    let mut session = session(EVENING);
    let report = session.report();
    let style = Style {
        width: 80,
        ..Style::default()
    };
    let (mut as_json, mut as_csv) = (Vec::new(), Vec::new());
    json::write(&report, &mut as_json).unwrap();
    csv::write(&report, &mut as_csv).unwrap();
    let (as_json, as_csv) = (String::from_utf8(as_json).unwrap(), String::from_utf8(as_csv).unwrap());
    let page = handout::write(&session.handout(Form::Full));
    for told in [&whole::text(&report, style), &whole::markdown(&report), &page] {
        assert!(told.contains("05:04 (+1 d)") && told.contains("01:05 (+1 d)"), "{told}");
        assert!(told.contains("21:04") && !told.contains("9:04 pm"), "{told}");
    }
    for part in [
        "\"type\": \"counted\",\n      \"value\": \"05:04:00 (+1 d)\"",
        "\"type\": \"time\",\n      \"value\": \"05:04:00\"",
        "\"type\": \"time\",\n      \"value\": \"21:04:00\"",
        "\"21:00:00 (+0 d)\",\n        \"23:10:00 (+0 d)\",\n        \"01:05:00 (+1 d)\"",
    ] {
        assert!(as_json.contains(part), "{part}\n{as_json}");
    }
    assert!(as_csv.contains("dead,,answer,4,,,counted,05:04:00 (+1 d),"), "{as_csv}");
    assert!(
        as_csv.contains("21:00:00 (+0 d); 23:10:00 (+0 d); 01:05:00 (+1 d)"),
        "{as_csv}"
    );
}

#[test]
fn what_machines_get_can_be_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let rows = "time,gross [lb]\n21:00:00 (+0 d),52.4\n01:05:00 (+1 d),43.5\n06:00:00 (+3 d),40\n";
    fs::write(folder.path().join("log.csv"), rows).unwrap();
    let text = "table log = csv(\"log.csv\")\nworked span [h] = last(log.time) - first(log.time)\n";
    let sheet = Sheet::load(text.to_owned(), Some(folder.path().to_path_buf()));
    assert_eq!(problems(&sheet), Vec::<String>::new());
    let report = compose::report(&sheet, Options::default());
    assert_eq!(report.entries[0].shown.display(), "57 h");
}

// ---- in a session ----

#[test]
fn a_trial_of_a_counted_time_says_its_day() {
    let mut session = session(EVENING);
    let refused = session.try_value("dead = 05:30").unwrap_err();
    assert_eq!(refused.problems[0].code, "which-day");
    assert_eq!(
        refused.problems[0].help.as_deref(),
        Some("say its day, such as `05:30 (+1 d)`")
    );
    session.try_value("dead = 06:30 (+1 d)").unwrap();
    assert_eq!(session.report().checks[0].holds, Some(true));
    // a line above numbers the entries anew, and the trial is still one of the same entry
    session.enter("assumed spare = 3 lb").unwrap();
    session.enter_over("start", "measured start = 9:30 pm").unwrap();
    assert_eq!(session.trials().names(), ["dead"]);
    assert_eq!(shown(&session, "dead"), "06:30 (+1 d)");
    session.drop_trials(None).unwrap();
    assert_eq!(shown(&session, "dead"), "05:30 (+1 d)");
}

#[test]
fn a_trial_of_a_clock_time_has_no_day() {
    let mut session = session(EVENING);
    let refused = session.try_value("start = 22:00 (+0 d)").unwrap_err();
    assert_eq!(
        refused.problems[0].help.as_deref(),
        Some("write `22:00` for the hour on the wall")
    );
    let refused = session.try_value("start = dead").unwrap_err();
    assert_eq!(
        refused.problems[0].help.as_deref(),
        Some("write `clock(dead)` for the hour on the wall")
    );
    session.try_value("start = clock(dead)").unwrap();
    assert_eq!(shown(&session, "start"), "05:04");
    session.keep().unwrap();
    assert!(
        session.sheet().text().contains("assumed  start = 05:04\n"),
        "{}",
        session.sheet().text()
    );
}

#[test]
fn what_is_counted_follows_another_name_of_its_beginning() {
    let text = "measured start = 21:00\nmeasured other = 20:00\nworked begin = start\nworked dead = begin + 8 h\n\
        worked ran = dead - start\n";
    let mut session = session(text);
    assert_eq!(shown(&session, "ran"), "8 h");
    session.enter_over("begin", "worked begin = other").unwrap();
    let report = session.report();
    assert_eq!(report.problems.len(), 1);
    assert_eq!(report.problems[0].code, "which-day");
    session.enter_over("ran", "worked ran = dead - other").unwrap();
    assert_eq!(shown(&session, "ran"), "8 h");
}

#[test]
fn an_edit_and_a_load_say_the_same() {
    let text = "measured start = 21:00\nworked dead = start + 8 h\nworked late = clock(dead) + 3 h\n\
        worked long = late - dead\n";
    let mut session = session(text);
    session.enter_over("dead", "worked dead = 22:00 + 8 h").unwrap();
    session.enter_over("long", "worked long = dead - 22:00").unwrap();
    let again = sheet(session.sheet().text());
    let opened: Vec<String> = problems(&again);
    assert_eq!(opened, Vec::<String>::new());
    assert_eq!(shown(&session, "long"), "8 h");
    session.enter_over("dead", "worked dead = 23:00 + 8 h").unwrap();
    assert_eq!(session.report().problems[0].code, "which-day");
}

#[test]
fn a_rule_keeps_beginnings_apart() {
    let rule = "rule span(a, b) = a - b\nmeasured on = 21:00\nmeasured off = 22:00\n";
    let holds = sheet(&format!(
        "{rule}worked x = span(on + 5 h, on)\nworked y = span(clock(on + 1 h), clock(off + 1 h))\n"
    ));
    let found = problems(&holds);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].starts_with("time-order"), "{found:?}");
    check_problem(
        &format!("{rule}worked x = span(on + 5 h, off + 2 h)\n"),
        &["which-day", "two beginnings"],
    );
    let twice =
        "rule later(t) = t + 3 h - t\nmeasured on = 21:00\nworked x = later(clock(on + 1 h))\nworked y = later(on)\n";
    assert_eq!(problems(&sheet(twice)), Vec::<String>::new());
    // two clock times without a name in one rule are two beginnings
    let apart = "rule odd(a, b) = (clock(a) + 3 h) - (clock(b) + 1 h)\nmeasured on = 21:00\nworked x = odd(on + 1 h, on + 2 h)\n";
    check_problem(apart, &["which-day", "two beginnings"]);
}

// ---- cells ----

#[test]
fn a_cell_that_is_no_time_is_told_at_its_cell() {
    let folder = tempfile::tempdir().unwrap();
    let load = |rows: &str, more: &str| {
        fs::write(folder.path().join("log.csv"), rows).unwrap();
        let text = format!("table log = csv(\"log.csv\"{more})\nworked rate = burn_rate(log.time, log.gross)\n");
        Sheet::load(text, Some(folder.path().to_path_buf()))
    };
    let rows = "time,gross [lb]\n21:00,52.4\n61:58,50\n16.58,48\n23:10,47.7\n";
    let found = problems(&load(rows, ""));
    assert_eq!(
        found,
        [
            "unreadable-cell: the cell `61:58` of column `time` can't be read as a clock time at log.csv row 3 column \
             time; mend the cell, or add `skip_unread: true` to leave such rows out",
            "unreadable-cell: the cell `16.58` of column `time` isn't a clock time at log.csv row 4 column time; write \
             `16:58`, if that is meant",
        ]
    );
    let skipped = load(rows, ", skip_unread: true");
    assert_eq!(problems(&skipped), Vec::<String>::new());
    assert!(skipped.problems()[0].message.starts_with("2 rows of `log.csv`"));
    let dates = "time,gross [lb]\n2026-01-10 21:00,52.4\n22:00,50\n2026-01-10 23:10,47.7\n";
    let found = problems(&load(dates, ""));
    assert_eq!(found.len(), 1);
    assert!(
        found[0].contains("row 3") && found[0].contains("2026-01-11 22:00"),
        "{found:?}"
    );
}

#[test]
fn a_column_of_notes_may_hold_a_time() {
    let text =
        "table log\n  | note |\n  | load off |\n  | 21:40 |\n  | engine off |\nworked first_note = first(log.note)\n";
    assert_eq!(problems(&sheet(text)), Vec::<String>::new());
    check_problem(
        "table log\n  | time |\n  | 21:40 |\n  | evening |\n",
        &["unreadable-cell", "`evening`"],
    );
    check_problem(
        "table log\n  | day | time |\n  | 2026-01-10 | 21:40 |\n  | 2026-01-11 | 06:00 (+1 d) |\n",
        &["`06:00` alone"],
    );
}

#[test]
fn the_day_stands_beside_every_clock_column_in_a_row() {
    let text = "table runs\n  | day | on | off | note | seen |\n  | 2026-01-10 | 22:00 | 23:00 | x | 22:00 |\n  \
        | 2026-01-11 | 06:00 | 07:00 | y | 06:00 |\nworked ran = runs.off - runs.on\nworked later = last(runs.seen) - first(runs.seen)\n";
    let sheet = sheet(text);
    assert_eq!(problems(&sheet), Vec::<String>::new());
    let report = compose::report(&sheet, Options::default());
    assert_eq!(report.entries[0].shown.display(), "1 h, 1 h");
    assert_eq!(report.entries[1].shown.display(), "8 h");
}

// ---- texts ----

#[test]
fn a_text_that_no_row_has_is_told_when_it_turns_up() {
    let text = "table loads\n  | item | running [W] | leg |\n  | fan | 540 | A |\n  | pump | 900 | B |\nassumed which = \"A\"\n\
        worked used = sum(loads.running where loads.running > 100 W and loads.leg = which)\n\
        worked legs = loads.leg\nworked alike = count(legs where legs = which)\ncase other\n  which = \"b\"\n";
    let mut session = session(text);
    assert_eq!(shown(&session, "used"), "540 W");
    session.set_case("other").unwrap();
    let found = session.report().problems;
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|problem| problem.code == "no-such-text"));
    assert_eq!(found[0].help.as_deref(), Some("write `\"B\"`, if that is meant"));
    // nothing to compare with is no slip
    let empty = "table loads\n  | running [W] | leg |\n  | 540 |  |\nworked used = sum(loads.running where loads.leg = \"A\")\n";
    assert_eq!(problems(&sheet(empty)), Vec::<String>::new());
    let weekday = "assumed rest = \"sunnday\"\nmeasured day = 2026-01-11\nworked is_rest = weekday(day) = rest\n";
    check_problem(weekday, &["no-such-text", "\"Sunday\""]);
}

/// A text that changes is looked for once, not in every row.
#[test]
fn looking_for_a_text_takes_no_longer_for_many_rows_than_the_rows() {
    let rows = 20_000;
    let mut text = String::from("assumed which = \"z\"\ntable log\n  | leg | w [W] |\n");
    for row in 0..rows {
        text.push_str(&format!("  | a{row} | 1 |\n"));
    }
    text.push_str("  | z | 1 |\n");
    for entry in 0..5 {
        text.push_str(&format!(
            "worked w{entry} = sum(log.w where log.w > 0 W and log.leg = which)\n"
        ));
    }
    let begun = Instant::now();
    assert_eq!(problems(&sheet(&text)), Vec::<String>::new());
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}

// ---- the nights in which clocks are changed ----

fn changed(lines: &str) -> Vec<String> {
    let report = session(lines).report();
    assert_eq!(report.problem_count(), 0, "{:?}", report.problems);
    let some = report
        .cautions
        .into_iter()
        .filter(|caution| caution.code == "clock-change");
    some.map(|caution| format!("{}: {}", caution.names.join(" "), caution.text))
        .collect()
}

#[test]
fn a_run_over_a_change_of_the_clocks_says_so() {
    let run = |first: &str, last: &str| {
        format!(
            "table log\n  | when | gross [lb] |\n  | {first} | 40 |\n  | {last} | 28 |\nanswer rate = burn_rate(log.when, log.gross)\n"
        )
    };
    assert_eq!(
        changed(&run("2026-03-07 22:00", "2026-03-08 06:00")),
        [
            "rate: Between 2026-03-07 22:00 and 2026-03-08 06:00 most clocks in the United States go forward an hour, at \
             2026-03-08 02:00. Dates have no time zone here: if they were read off such a clock, an hour less has passed than \
             is counted. Write the times after the change as the clock stood before it."
        ]
    );
    let autumn = changed(&run("2026-10-31 22:00", "2026-11-01 06:00"));
    assert!(
        autumn[0].contains("go back an hour, at 2026-11-01 02:00") && autumn[0].contains("an hour more has passed")
    );
    assert_eq!(changed(&run("2026-03-08 02:30", "2026-03-08 06:00")), [""; 0]);
    assert_eq!(changed(&run("2026-03-06 22:00", "2026-03-07 06:00")), [""; 0]);
    // over weeks an hour is of no matter
    assert_eq!(changed(&run("2026-03-01 22:00", "2026-03-20 06:00")), [""; 0]);
    let beside = "table log\n  | day | time | gross [lb] |\n  | 2026-03-07 | 22:00 | 40 |\n  | 2026-03-08 | 06:00 | 28 |\n\
        worked when = at(log.day, log.time)\nanswer rate = burn_rate(when, log.gross)\n\
        answer again = burn_rate(at(log.day, log.time), log.gross)\nworked first_day = first(log.day)\n";
    let found = changed(beside);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].starts_with("rate again: Between 2026-03-07 22:00"),
        "{found:?}"
    );
    let written = "measured off = 2026-03-08 06:00\nanswer ran = off - 2026-03-07 22:00\nanswer day = date(off)\n";
    assert!(changed(written)[0].starts_with("ran: "));
}

/// Worked out with Python's `datetime`: the second Sunday of March and the first of November.
#[test]
fn clocks_are_changed_on_these_days() {
    for (year, forward, back) in [
        (2024, "2024-03-10 02:00", "2024-11-03 02:00"),
        (2025, "2025-03-09 02:00", "2025-11-02 02:00"),
        (2026, "2026-03-08 02:00", "2026-11-01 02:00"),
        (2027, "2027-03-14 02:00", "2027-11-07 02:00"),
        (2032, "2032-03-14 02:00", "2032-11-07 02:00"),
    ] {
        let changes = clock_changes(year);
        let told: Vec<(String, bool)> = changes
            .iter()
            .map(|one| (moment(one.at).unwrap(), one.forward))
            .collect();
        assert_eq!(told, [(forward.to_owned(), true), (back.to_owned(), false)]);
    }
}

#[test]
fn times_are_typed_so() {
    assert_eq!(clock(78_000), "21:40");
    assert_eq!(clock(-7_200), "22:00");
    assert_eq!(clock(86_400 + 30), "00:00:30");
    assert_eq!(counted(0), "00:00 (+0 d)");
    assert_eq!(counted(108_000), "06:00 (+1 d)");
    assert_eq!(counted(-1), "23:59:59 (-1 d)");
    assert_eq!(moment(1_768_167_600).unwrap(), "2026-01-11 21:40");
    assert_eq!(moment(1_768_089_600).unwrap(), "2026-01-11");
    assert_eq!(moment(i64::MAX / 4), None);
    // 2026-01-11 is a Sunday, 1969-12-31 a Wednesday
    assert_eq!((weekday(1_768_089_600), weekday(-1)), (6, 2));
    assert_eq!((month(1_768_089_600), month(-1)), (Some(1), Some(12)));
}

// ---- a ± beside an hour ----

#[test]
fn a_tolerance_beside_the_hour_is_told() {
    let told = |start: &str, line: &str| {
        let report = session(&format!("measured start = {start}\n{line}\n")).report();
        assert_eq!(report.problem_count(), 0, "{:?}", report.problems);
        let some = report.cautions.iter().filter(|caution| caution.code == "one-sided");
        some.map(|caution| caution.text.clone())
            .collect::<Vec<String>>()
            .join(" ")
    };
    let next = "answer six = next_time(06:00, after: start)";
    assert!(told("05:58 ± 5 min", next).contains("a day earlier or later"));
    assert!(told("06:02 ± 5 min", next).contains("a day earlier or later"));
    assert_eq!(told("05:50 ± 5 min", next), "");
    assert_eq!(told("05:58", next), "");
    let joined = "answer off = at(2026-01-11, 06:00, after: start)";
    assert!(told("06:02 ± 5 min", joined).contains("What `at` comes after"));
    let wall = "answer wall = clock(start + 18 h)";
    assert!(told("05:58 ± 5 min", wall).contains("other side of midnight"));
    assert_eq!(told("04:58 ± 5 min", wall), "");
}

#[test]
fn a_length_of_time_is_not_taken_for_a_clock_time() {
    check_problem(
        "assumed lasts = 8 h\nexpect lasts >= 6:30\n",
        &["kind-clash", "`6 h 30 min`"],
    );
    check_problem("worked x = 21:00 + 2:30\n", &["point-arithmetic", "`2 h 30 min`"]);
    check_problem(
        "worked x = services_due(6:30, every: 50 h, since_last: 0 h)\n",
        &["kind-clash", "`6 h 30 min`"],
    );
}
