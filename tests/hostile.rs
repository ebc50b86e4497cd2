//! Worksheets made to hang the program, or to make it lose its way.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write;
use std::io;
use std::time::{Duration, Instant};

use tarebook::number::Number;
use tarebook::problem::kinds::MOST_OF_A_KIND;
use tarebook::problem::{Code, Problem};
use tarebook::report::compose::{self, Options};
use tarebook::report::drawing::DrawnProblem;
use tarebook::session::Session;
use tarebook::session::disk::read_stream;
use tarebook::session::doubt::DoubtAsked;
use tarebook::session::vary::{AimAsked, SweepAsked};
use tarebook::sheet::names::CellId;
use tarebook::sheet::table::MOST_ROWS;
use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet, Status};
use tarebook::study::Unwatched;
use tarebook::syntax::MOST_LINES;
use tarebook::text::Span;
use tarebook::time_limit;

/// Far above what any of these takes, far below what a walk of everything for
/// each line would take.
const AT_ONCE: Duration = Duration::from_secs(20);

/// The codes of the problems, in their order, and not after a long wait.
fn check(text: &str, wanted: &[&str]) {
    let begun = Instant::now();
    let session = Session::of_text("standard input", text.to_owned(), &[], Options::default());
    let codes: Vec<String> = session.problems().into_iter().map(|problem| problem.code).collect();
    assert_eq!(codes, wanted, "{}", text.chars().take(60).collect::<String>());
    assert!(begun.elapsed() < AT_ONCE, "{:?}", begun.elapsed());
}

#[test]
fn a_long_chain_of_rules_is_walked_once() {
    let mut text = "rule f0(x) = x\n".to_owned();
    for number in 1..4000 {
        writeln!(text, "rule f{number}(x) = f{}(x) + 1", number - 1).unwrap();
    }
    check(&text, &[]);
    check(&format!("{text}worked y = f3999(1)\n"), &["rule-size"]);
    let looping = text.replacen("f0(x) = x", "f0(x) = f3999(x)", 1);
    check(&format!("{looping}worked y = f17(1)\n"), &["rule-loop"]);
}

/// What is looked for among names, rows and columns takes no time by the square of a text.
#[test]
fn what_is_near_is_not_looked_for_without_an_end() {
    let each = |count: usize, line: &dyn Fn(usize) -> String| (0..count).map(line).collect::<String>();
    let same_letters = |seed: usize| {
        each(2000, &|place| {
            char::from(b'a' + (place * (seed + 3) % 13 % 7) as u8).into()
        })
    };
    let long = each(100, &|n| format!("worked {0}{n} = {0}z{n} + 1\n", same_letters(n)));
    check(&long, &["unknown-name"; 100]);
    let greek = |n: usize| {
        each(9, &|place| {
            char::from_u32(0x3b1 + (n >> place) as u32 % 17).unwrap().into()
        })
    };
    let (_, took) = told(each(5_000, &|n| format!("worked {0}{n} = {0}ω{n} + 1\n", greek(n))));
    assert!(took < AT_ONCE, "{took:?}");
    let case =
        each(5_000, &|n| format!("assumed v{n} = 1\n")) + "case cold\n" + &each(5_000, &|n| format!("  w{n} = 1\n"));
    let (_, took) = told(case);
    assert!(took < AT_ONCE, "{took:?}");
    let wide = format!("table t\n  | {}\n", each(500, &|n| format!("c{n} |")));
    let (_, took) = told(wide + &each(5_000, &|n| format!("worked a{n} = sum(t.x{n})\n")));
    assert!(took < AT_ONCE, "{took:?}");
}

#[test]
fn a_rule_has_so_many_parameters() {
    let rule = |count: usize| {
        let names: Vec<String> = (0..count).map(|n| format!("p{n}")).collect();
        format!("rule f({}) = p0\n", names.join(", "))
    };
    check(&rule(64), &[]);
    check(&rule(65), &["too-long"]);
}

/// Lines that each look through a long table are checked as long as there is time.
#[test]
fn what_is_not_checked_in_time_waits() {
    within(BRIEF, || {
        let rows: String = (0..6_000).map(|n| format!("  | r{n} | 1 |\n")).collect();
        let lines: String = (0..6_000)
            .map(|n| format!("worked a{n} = sum(t.v where t.id = \"r{}\")\n", 5_999 - n))
            .collect();
        let text = format!("table t\n  | id | v |\n{rows}{lines}case cold\n  t.v of row 1 = 2\n");
        let begun = Instant::now();
        let mut sheet = Sheet::load(text, None);
        assert!(begun.elapsed() < AT_ONCE, "{:?}", begun.elapsed());
        let codes: Vec<Code> = sheet.problems().iter().map(|problem| problem.code).collect();
        assert!(
            !codes.is_empty() && codes.iter().all(|code| *code == Code::OutOfTime),
            "{codes:?}"
        );
        let last = sheet.cell("a5999").unwrap();
        assert_eq!(sheet.status(last), Status::Waits);
        // an edit with time for it checks the rest as well
        let (start, end) = (
            sheet.text().find("worked a5 ").unwrap(),
            sheet.text().find("worked a5999 ").unwrap(),
        );
        time_limit::allow(time_limit::USUAL);
        sheet.replace(Span::new(start, end), "");
        assert!(sheet.problems().is_empty(), "{:?}", sheet.problems().first());
        assert_eq!(sheet.status(sheet.cell("a5999").unwrap()), Status::Known);
    });
}

#[test]
fn a_stream_without_an_end_is_given_up() {
    let refusal = read_stream(io::repeat(b'-'), "standard input").err().unwrap();
    let message = &refusal.problems[0].message;
    assert!(message.contains("longer than 64 MiB"), "{message}");
}

/// What is missing in a column is missing in what is told of it.
#[test]
fn a_missing_cell_has_no_uncertainty() {
    let text = "table t\n  | w [lb ± 0.1] |\n  | 5 |\n  | |\nworked twice = t.w * 2\n";
    let report = Session::of_text("standard input", text.to_owned(), &[], Options::default()).report();
    let column = &report.tables[0].columns[0];
    assert_eq!(column.uncertainty.as_ref().unwrap()[1], None);
    let twice = report.entries.iter().find(|entry| entry.name == "twice").unwrap();
    assert_eq!(twice.shown.value, "10 lb, missing");
}

#[test]
fn many_problems_are_placed_in_one_walk() {
    let rows = "| a |\n".repeat(20_000);
    check(&rows, &vec!["stray-row"; MOST_OF_A_KIND + 1]);
}

/// The problems of a worksheet and how long it takes to tell them.
fn told(text: String) -> (Vec<DrawnProblem>, Duration) {
    let begun = Instant::now();
    let session = Session::of_text("standard input", text, &[], Options::default());
    (session.problems(), begun.elapsed())
}

#[test]
fn of_a_kind_the_first_are_told_and_how_many_more() {
    let lines = "x\nmesured a = 3 lb\n\n| a |\n".repeat(60_000);
    let (problems, took) = told(lines);
    let of = |code: &str| {
        problems
            .iter()
            .filter(|problem| problem.code == code)
            .collect::<Vec<_>>()
    };
    for (code, more) in [("unknown-opening", 119_000), ("stray-row", 59_000)] {
        let found = of(code);
        assert_eq!(found.len(), MOST_OF_A_KIND + 1, "{code}");
        let message = &found[MOST_OF_A_KIND].message;
        assert_eq!(message, &format!("the same are in {more} more places"));
    }
    assert_eq!(of("unknown-opening")[1].help.as_deref(), Some("write `measured`"));
    assert!(took < AT_ONCE, "{took:?}");
}

#[test]
fn a_long_line_of_junk_is_one_problem() {
    for junk in ["q".repeat(8_000_000), format!("mesured a = {}", "é ".repeat(3_000_000))] {
        let (problems, took) = told(junk);
        let told: Vec<(&str, usize)> = problems.iter().map(|one| (&*one.code, one.text.len())).collect();
        assert_eq!(told[0].0, "too-long");
        assert!(told.len() == 1 && told[0].1 < 5_000, "{told:?}");
        assert!(took < AT_ONCE, "{took:?}");
    }
}

// ---- limits ----

/// The one problem of a worksheet that asks for too much, which must not take long to find.
fn one_problem(text: String) -> Problem {
    let begun = Instant::now();
    let sheet = Sheet::load(text, None);
    let problems = sheet.problems();
    assert!(begun.elapsed() < AT_ONCE, "{:?}", begun.elapsed());
    assert_eq!(problems.len(), 1, "{:?}", problems.iter().take(3).collect::<Vec<_>>());
    problems.into_iter().next().unwrap()
}

/// What a worksheet may not be larger than: each with its code, and a piece of what is said.
#[test]
fn what_is_too_large_is_said_to_be() {
    let wide = |columns: usize| (0..columns).map(|column| format!("c{column} | ")).collect::<String>();
    let rows = |rows: usize| "  | 1 |\n".repeat(rows);
    let doubling: String = (1..60)
        .map(|rule| format!("rule r{rule}(x) = r{}(x) + r{}(x + 1)\n", rule - 1, rule - 1))
        .collect();
    let table: Vec<(&str, String, Code, &str)> = vec![
        (
            "an entry",
            format!("worked a = 1{}\n", " + 1".repeat(20_000)),
            Code::TooLong,
            "64 KiB",
        ),
        (
            "operators",
            format!("worked a = 1{}\n", " + 1".repeat(600)),
            Code::TooLong,
            "500",
        ),
        (
            "nesting",
            format!("worked a = {}1{}\n", "(".repeat(70), ")".repeat(70)),
            Code::NestedTooDeep,
            "64",
        ),
        (
            "rules",
            format!("rule r0(x) = x + 1\n{doubling}worked a = r59(1)\n"),
            Code::RuleSize,
            "2000",
        ),
        (
            "a power of a unit",
            "assumed a [m^9999999] = 2\n".to_owned(),
            Code::UnitFormat,
            "plain digit",
        ),
        (
            "a power of a power",
            "assumed a = 2 m9\nworked b = a^9^9\n".to_owned(),
            Code::PowerChain,
            "power",
        ),
        (
            "a power of an entry",
            "assumed a = 2 m9\nworked b = a^9999999\n".to_owned(),
            Code::PowerUnit,
            "power",
        ),
        (
            "digits",
            format!("assumed a = {}\n", "9".repeat(2_000)),
            Code::NumberSize,
            "number",
        ),
        (
            "an exponent",
            "assumed a = 1e999999999\n".to_owned(),
            Code::NumberSize,
            "7.9e28",
        ),
        (
            "columns",
            format!("table t\n  | {}\n", wide(1_001)),
            Code::TableSize,
            "1001 columns",
        ),
        (
            "rows",
            format!("table t\n  | a |\n{}", rows(MOST_ROWS + 1)),
            Code::TableSize,
            "1000000 rows",
        ),
        ("lines", "\n".repeat(MOST_LINES + 1), Code::FileTooLong, "2000000 lines"),
        ("rows of a run", made("every: 1 s"), Code::OutsideRange, "20000"),
    ];
    for (what, text, code, piece) in table {
        let problem = one_problem(text);
        assert_eq!(problem.code, code, "{what}: {}", problem.message);
        let said = format!("{} {:?}", problem.message, problem.help);
        assert!(said.contains(piece), "{what}: {said}");
        assert!(problem.help.is_some() || code == Code::UnitFormat, "{what} has no help");
    }
}

/// A cylinder drawn down over 300 h.
fn made(every: &str) -> String {
    format!(
        "table t = draw_down(10 lb, 12 in, 20 lb, 60 °F, 0.01 lb/h, 14 W/(m2·C°), 10 psig, limit: 168 h, {every})\n"
    )
}

/// Columns that are worked out have a limit together: the first that are too many are told.
#[test]
fn many_columns_are_refused_one_by_one() {
    let mut text = format!("table t\n  | a |\n{}", "  | 1 |\n".repeat(250_000));
    for column in 0..18 {
        writeln!(text, "worked c{column} = t.a + {column}").unwrap();
    }
    writeln!(text, "worked final_one = sum(c17)\nworked enough = sum(c3)").unwrap();
    let mut sheet = Sheet::load(text, None);
    let places = |sheet: &Sheet| -> Vec<(Code, u32)> {
        sheet
            .problems()
            .iter()
            .map(|problem| (problem.code, problem.place.item))
            .collect()
    };
    assert_eq!(places(&sheet), [(Code::TableSize, 17), (Code::TableSize, 18)]);
    assert_eq!(sheet.status(sheet.cell("final_one").unwrap()), Status::Waits);
    assert!(matches!(
        sheet.reading(sheet.cell("enough").unwrap()),
        Reading::Number(_)
    ));
    // with one column fewer there is room for another; the same as a fresh one
    let at = sheet.text().find("c2 = t.a + 2").unwrap();
    sheet.replace(Span::new(at + 5, at + 12), "column(1, 2)");
    let fresh = Sheet::load(sheet.text().to_owned(), None);
    assert_eq!(places(&sheet), places(&fresh));
}

#[test]
fn files_have_a_limit_of_columns_and_rows() {
    let folder = tempfile::tempdir().unwrap();
    let wide: String = (0..1_001).map(|column| format!("c{column},")).collect();
    let table: Vec<(&str, String, Code)> = vec![
        ("wide.csv", format!("{wide}last\n1\n"), Code::TableSize),
        (
            "long.csv",
            format!("a\n{}", "1\n".repeat(MOST_ROWS + 1)),
            Code::TableSize,
        ),
        ("large.csv", format!("a\n{}", " ".repeat(33 << 20)), Code::FileTooLong),
    ];
    for (name, text, code) in table {
        std::fs::write(folder.path().join(name), text).unwrap();
        let sheet = Sheet::load(format!("table t = csv(\"{name}\")\n"), Some(folder.path().to_owned()));
        let codes: Vec<Code> = sheet.problems().iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [code], "{name}");
    }
    // each of them fits, but not all of them
    std::fs::write(
        folder.path().join("fits.csv"),
        format!("a,b\n{}", "1,2\n".repeat(900_000)),
    )
    .unwrap();
    let text: String = (0..3)
        .map(|table| format!("table t{table} = csv(\"fits.csv\")\n"))
        .collect();
    let sheet = Sheet::load(text, Some(folder.path().to_owned()));
    let found: Vec<(Code, u32)> = sheet
        .problems()
        .iter()
        .map(|problem| (problem.code, problem.place.item))
        .collect();
    assert_eq!(found, [(Code::TableSize, 2)]);
}

/// A file that is of another kind altogether has a problem a cell; nobody reads thousands.
#[test]
fn problems_of_a_file_are_told_up_to_a_number() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.csv"), format!("a [lb]\n{}", "x\n".repeat(5_000))).unwrap();
    let sheet = Sheet::load("table t = csv(\"a.csv\")\n".to_owned(), Some(folder.path().to_owned()));
    assert_eq!(sheet.problems().len(), 100);
}

// ---- time ----

/// Far below what the work takes, and enough for its beginning.
const BRIEF: Duration = Duration::from_millis(300);

/// In a thread of its own, since that is whose time is set.
fn within<T: Send + 'static>(time: Duration, work: impl FnOnce() -> T + Send + 'static) -> T {
    let done = std::thread::spawn(move || {
        time_limit::allow(time);
        work()
    });
    done.join().unwrap()
}

/// Tables that take seconds together, and values beside them.
fn slow() -> String {
    let mut text = "assumed a = 10 lb\nworked before = a + 1 lb\n".to_owned();
    for table in 0..200 {
        writeln!(
            text,
            "table t{table} = draw_down(a + {table} lb, 12 in, 20 lb, 60 °F, 0.01 lb/h, 14 W/(m2·C°), 10 psig, limit: 300 h, every: 1 min)"
        )
        .unwrap();
    }
    text.push_str("worked behind = last(t199.contents)\nworked beside = a + 2 lb\n");
    text
}

#[test]
fn a_worksheet_stops_when_its_time_is_up() {
    within(BRIEF, || {
        let begun = Instant::now();
        let mut sheet = Sheet::load(slow(), None);
        assert!(begun.elapsed() < AT_ONCE, "{:?}", begun.elapsed());
        let problems = sheet.problems();
        let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [Code::OutOfTime], "{problems:?}");
        assert!(problems[0].help.as_ref().unwrap().contains("--time-limit"));
        assert!(sheet.is_cut_short());
        let behind = sheet.cell("behind").unwrap();
        assert_eq!(sheet.status(behind), Status::Waits);
        assert_eq!(sheet.waits_on(behind).len(), 1);
        // mended, everything is there again
        let (start, end) = (
            sheet.text().find("table t0").unwrap(),
            sheet.text().find("table t199").unwrap(),
        );
        sheet.replace(Span::new(start, end), "");
        time_limit::allow(time_limit::USUAL);
        sheet.refresh();
        assert!(sheet.problems().is_empty(), "{:?}", sheet.problems());
        assert!(!sheet.is_cut_short());
        let cells = (0..sheet.cell_count() as u32).map(CellId);
        assert!(cells.into_iter().all(|cell| sheet.status(cell) == Status::Known));
    });
}

/// One change of an input is a run of its own, and what it leaves is what a whole run gives.
#[test]
fn a_trial_that_takes_too_long_can_be_taken_back() {
    within(time_limit::USUAL, || {
        let text = format!(
            "{}worked c = last(t.contents)\nworked beside = a + 1 lb\nassumed a = 1 lb\n",
            made("every: 1 min")
        );
        let mut sheet = Sheet::load(text, None);
        let told = |sheet: &Sheet| format!("{:?}", compose::report(sheet, Options::default()));
        let before = told(&sheet);
        let cell = sheet.cell("a").unwrap();
        let held = Held {
            value: HeldValue::Number(Number::from_integer(2)),
            tolerance: None,
            by: Holder::Trial,
            written: "2 lb".to_owned(),
            source: None,
            note: None,
        };
        time_limit::allow(Duration::ZERO);
        sheet.hold(cell, held);
        assert!(sheet.is_cut_short());
        assert_eq!(sheet.problems().len(), 1, "{:?}", sheet.problems());
        time_limit::allow(time_limit::USUAL);
        sheet.release(cell);
        assert!(!sheet.is_cut_short());
        assert_eq!(told(&sheet), before);
    });
}

/// Does a study; whether less than all was done.
type Study = fn(&mut Session) -> bool;

/// Each study ends near its time, says so, and leaves the worksheet as it was.
#[test]
fn studies_stop_when_their_time_is_up() {
    within(time_limit::USUAL, || {
        let beside: String = (0..40).map(|input| format!("assumed b{input} = 0.01 lb\n")).collect();
        let sum: String = (0..40).map(|input| format!(" + b{input}")).collect();
        let text = format!(
            "assumed a = 10 lb ± 1 lb\n{beside}worked all = a{sum}\n{}answer x = last(t.contents)\nexpect x > 2 lb\n",
            made("every: 1 min").replace("10 lb,", "all,")
        );
        let mut session = Session::of_text("a", text, &[], Options::default());
        let told = |session: &Session| format!("{:?}", session.report());
        let before = told(&session);
        let studies: [(&str, Study); 4] = [
            ("doubt", |session| {
                let asked = DoubtAsked::typed("x draws 10000000").unwrap();
                let found = session.doubt(&asked, &Unwatched).unwrap();
                found.study.draws.is_none_or(|draws| draws.count < 10_000_000)
            }),
            ("sweep", |session| {
                let asked = SweepAsked::typed("a from 1 lb to 12 lb values 10000").unwrap();
                session.sweep(&asked, &Unwatched).unwrap().rows.len() < 10_000
            }),
            ("aim", |session| {
                let asked = AimAsked::typed("x = 3 lb varying a between 1 lb and 12 lb").unwrap();
                session.aim(&asked).is_err()
            }),
            ("audit", |session| {
                session.audit(&Unwatched);
                session.overran().is_some()
            }),
        ];
        for (name, study) in studies {
            // an audit moves each of the forty inputs but twice
            time_limit::allow(if name == "audit" { BRIEF / 20 } else { BRIEF });
            let begun = Instant::now();
            assert!(study(&mut session), "{name} did all");
            assert!(begun.elapsed() < AT_ONCE, "{name}: {:?}", begun.elapsed());
            if name != "aim" {
                let refusal = session.overran().unwrap_or_else(|| panic!("{name} says nothing"));
                assert_eq!(refusal.problems[0].code, "out-of-time");
            }
            time_limit::allow(time_limit::USUAL);
            assert_eq!(told(&session), before, "after {name}");
        }
    });
}

#[test]
fn studies_refuse_what_nobody_reads() {
    let text = "assumed a = 10 lb ± 1 lb\nanswer x = a * 2\n";
    let mut session = Session::of_text("a", text.to_owned(), &[], Options::default());
    assert!(DoubtAsked::typed("x draws 1000000000").is_err());
    for sweep in [
        "a from 1 lb to 2 lb values 1000000",
        "a from 1 lb to 2 lb step 0.0000000001 lb",
    ] {
        let asked = SweepAsked::typed(sweep).unwrap();
        assert!(session.sweep(&asked, &Unwatched).is_err(), "{sweep}");
    }
}
