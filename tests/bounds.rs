//! Where something ends: what a first screen builds, what a diff has when its time is up, how long
//! a line and a file may be, what lies inside a folder, how narrow a terminal is.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tarebook::problem::kinds::MOST_OF_A_KIND;
use tarebook::report::compose::Options;
use tarebook::report::visible::columns;
use tarebook::report::{Style, first_screen, whole};
use tarebook::session::Session;
use tarebook::study::Unwatched;
use tarebook::time_limit;

/// What is printed, and what is complained of.
fn run_with(folder: &Path, arguments: &[&str], input: &[u8], environment: &[(&str, &str)]) -> (String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .args(arguments)
        .current_dir(folder)
        .env("XDG_STATE_HOME", folder.join("state"))
        .envs(environment.iter().copied())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writing = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().unwrap();
    writing.join().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}

fn run(folder: &Path, arguments: &[&str], input: &[u8]) -> (String, String) {
    run_with(folder, arguments, input, &[])
}

#[track_caller]
fn check_has(told: &str, wanted: &str) {
    assert!(
        told.contains(wanted),
        "no {wanted:?} in\n{}",
        told.chars().take(2_000).collect::<String>()
    );
}

fn session(text: &str) -> Session {
    Session::of_text("a.tare", text.to_owned(), &[], Options::default())
}

fn inputs(count: usize, first: usize) -> String {
    let mut text = String::new();
    for input in 0..count {
        writeln!(text, "assumed a{input} = {} lb", first + input).unwrap();
    }
    text
}

// ---- the first screen ----

#[test]
fn a_worksheet_of_inputs_alone_shows_its_first_thousand() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.tare"), inputs(1_005, 1)).unwrap();
    let (shown, _) = run(folder.path(), &["show", "a.tare"], b"");
    check_has(&shown, "a999 ");
    assert!(!shown.contains("a1000 "), "{shown}");
    check_has(&shown, "And 5 more: `show all`.");
    let (all, _) = run(folder.path(), &["show", "a.tare", "all"], b"");
    check_has(&all, "a1004 ");
    // the table that a function makes is neither answer nor check
    let made = "table mild = draw_down(60 lb, 15 in, steel: 60 lb, air: 60 °F, rate: 9 lb/h, film: 14 W/(m2·C°), least_pressure: 5 psig)\n";
    fs::write(folder.path().join("made.tare"), made).unwrap();
    check_has(&run(folder.path(), &["show", "made.tare"], b"").0, "mild");
}

/// What is left open and the trial that is offered stand among what isn't built.
#[test]
fn a_first_screen_tells_what_is_left_open() {
    let folder = tempfile::tempdir().unwrap();
    let text = "assumed rate = 2 lb/h\nmeasured gross [lb] = ?\ntable run\n  | time | gross [lb] |\nanswer day [lb] = rate * 24 h\n";
    fs::write(folder.path().join("a.tare"), text).unwrap();
    let (shown, _) = run(folder.path(), &["show", "a.tare"], b"");
    check_has(&shown, "Fill in `gross` first (line 2), then `run`.");
    let (talk, _) = run(folder.path(), &["open", "a.tare"], b"quit\n");
    check_has(&talk, "Try `gross = … lb`");
}

// ---- diff ----

#[test]
fn a_diff_without_time_says_what_it_left_out() {
    let done = std::thread::spawn(|| {
        let (mut one, two) = (session(&inputs(50, 1)), session(&inputs(50, 2)));
        time_limit::allow(Duration::ZERO);
        one.diff(&two, &Unwatched)
    });
    let found = done.join().unwrap();
    let told = found.text(Style::default());
    check_has(&told, "From a0 on nothing was compared.");
    check_has(&told, "Not compared: checks, wording.");
    assert!(!told.contains("They mean the same"), "{told}");
    assert!(
        found.notes.iter().any(|note| note.starts_with("From a0 on")),
        "{:?}",
        found.notes
    );
}

#[test]
fn a_long_diff_tells_its_first_thousand() {
    let (mut one, two) = (session(&inputs(1_005, 1)), session(&inputs(1_005, 2)));
    let found = one.diff(&two, &Unwatched);
    assert_eq!(found.inputs.len(), 1_005);
    let told = found.text(Style::default());
    check_has(&told, "a999 ");
    assert!(!told.contains("a1000 "), "{told}");
    check_has(&told, "and 5 more: `--format csv` tells all.");
}

/// Each of these was looked at once for every other one.
#[test]
fn many_cases_checks_and_names_are_walked_once() {
    let mut text = inputs(1, 1);
    for number in 0..4_000 {
        writeln!(
            text,
            "expect a0 < {number} lb else \"too much\"\ncase c{number}\n  a0 = {number} lb"
        )
        .unwrap();
    }
    let begun = Instant::now();
    let (mut one, two) = (session(&text), session(&text.replace("a0 <", "a0 <=")));
    let found = one.diff(&two, &Unwatched);
    assert_eq!(found.checks.len(), 4_000);
    assert!(found.cut.is_empty(), "{:?}", found.cut);
    assert!(begun.elapsed() < Duration::from_secs(60), "{:?}", begun.elapsed());
}

// ---- problems ----

#[test]
fn of_names_that_are_unknown_the_first_are_told() {
    let mut text = String::new();
    for number in 0..3_000 {
        writeln!(text, "worked a{number} = b{number} + 1\nassumed z = 1").unwrap();
    }
    let session = session(&text);
    let problems = session.problems();
    for (code, more) in [("unknown-name", 2_000), ("repeated-name", 1_999)] {
        let found: Vec<_> = problems.iter().filter(|problem| problem.code == code).collect();
        assert_eq!(found.len(), MOST_OF_A_KIND + 1, "{code}");
        let told = format!("the same are in {more} more places");
        assert!(found.iter().any(|problem| problem.message == told), "{code}");
    }
    assert!(session.sheet().has_problems());
}

/// In many cases one problem is one, and of many no more are told than are read.
#[test]
fn problems_of_many_cases_are_told_up_to_a_number() {
    let mut text = "assumed a = 1\n".to_owned();
    for number in 0..1_100 {
        writeln!(text, "worked w{number} = 1 / a").unwrap();
    }
    for number in 0..3 {
        writeln!(text, "case c{number}\n  a = 0").unwrap();
    }
    let found = session(&text).compare();
    assert!(found.beyond.len() <= MOST_OF_A_KIND + 1, "{}", found.beyond.len());
    assert!(found.cases.iter().skip(1).all(|case| !case.problems.is_empty()));
}

// ---- how long a line and a file may be ----

#[test]
fn a_line_without_an_end_is_left_out() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.tare"), "assumed a = 2 lb\n").unwrap();
    let long = format!("a + {}\na * 2\n", "q".repeat(2 << 20));
    let (talk, _) = run(folder.path(), &["open", "a.tare"], long.as_bytes());
    check_has(&talk, "This is longer than 1024 KiB; nothing of it was done.");
    check_has(&talk, "4 lb");
    assert!(talk.len() < 4_000, "{}", talk.len());
    // one that goes on and on is the last
    let endless = vec![b'q'; 70 << 20];
    let (talk, _) = run(folder.path(), &["open", "a.tare"], &endless);
    check_has(&talk, "This is longer than 1024 KiB");
}

#[test]
fn sixty_four_mebibytes_are_just_that() {
    let folder = tempfile::tempdir().unwrap();
    let line = format!("> {}\n", "x".repeat((1 << 20) - 3));
    let mut text = line.repeat(64);
    assert_eq!(text.len(), 64 << 20);
    fs::write(folder.path().join("a.tare"), &text).unwrap();
    check_has(&run(folder.path(), &["check", "a.tare"], b"").0, "no problems");
    text.push('\n');
    fs::write(folder.path().join("a.tare"), &text).unwrap();
    check_has(
        &run(folder.path(), &["check", "a.tare"], b"").1,
        "`a.tare` is longer than 64 MiB",
    );
}

// ---- files ----

#[cfg(unix)]
#[test]
fn up_and_down_again_is_inside() {
    use std::os::unix::fs::symlink;
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("sub")).unwrap();
    fs::write(at("ok.csv"), "a\n1\n2\n").unwrap();
    fs::write(folder.path().with_extension("csv"), "a\n1\n").unwrap();
    symlink("nowhere.csv", at("dangling.csv")).unwrap();
    symlink("nowhere.tare", at("dangling.tare")).unwrap();
    symlink("/", at("out")).unwrap();
    for (path, wanted) in [
        ("sub/../ok.csv", "no problems"),
        ("./sub/.././ok.csv", "no problems"),
        ("sub/../../ok.csv", "goes up a folder"),
        ("out/etc/passwd", "lies outside the worksheet's folder"),
        ("dangling.csv", "is a link to `nowhere.csv`, which can't be read"),
    ] {
        fs::write(
            at("a.tare"),
            format!("table t = csv(\"{path}\")\nworked n = count(t.a)\n"),
        )
        .unwrap();
        let (out, err) = run(folder.path(), &["check", "a.tare"], b"");
        check_has(&format!("{out}{err}").replace('\n', " "), wanted);
    }
    fs::remove_file(folder.path().with_extension("csv")).unwrap();
    let (_, err) = run(folder.path(), &["check", "dangling.tare"], b"");
    check_has(&err, "is a link to `nowhere.tare`, which can't be read");
    fs::write(at("a.tare"), "use \"dangling.tare\" as yard\nworked n = yard.x\n").unwrap();
    check_has(
        &run(folder.path(), &["check", "a.tare"], b"").1,
        "is a link to `nowhere.tare`",
    );
    // nothing is written through a link that leads nowhere
    fs::write(at("a.tare"), "assumed a = 2 lb\n").unwrap();
    let (talk, _) = run(
        folder.path(),
        &["open", "a.tare"],
        b"save as dangling.tare\nsave over dangling.tare\n",
    );
    assert_eq!(talk.matches("is a link to").count(), 2, "{talk}");
    assert!(!at("nowhere.tare").exists());
}

// ---- the clock and the terminal ----

#[cfg(unix)]
#[test]
fn without_a_zone_the_clock_is_called_that_of_utc() {
    let folder = tempfile::tempdir().unwrap();
    let text = "table log\n  | time | gross [lb] |\n  | 2026-11-30 09:04 | 36.4 |\n";
    for (zone, wanted) in [
        ("UTC", "by the clock,"),
        (
            "Nowhere/Atall",
            "by the clock of UTC, since no time zone is known here,",
        ),
    ] {
        fs::write(folder.path().join("a.tare"), text).unwrap();
        let (told, _) = run_with(folder.path(), &["add", "a.tare", "log", "35"], b"", &[("TZ", zone)]);
        check_has(&told.replace('\n', " "), wanted);
    }
}

/// Down to 30 columns no line of what is composed runs over, but for a word that is longer.
#[test]
fn narrow_terminals_are_kept_to() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    for name in ["winter-outage.tare", "weighed-run.tare", "three-day-stock.tare"] {
        let session = Session::open(&folder.join(name), Options::default()).ok().unwrap();
        let report = session.report();
        for width in [30, 34, 40] {
            let style = Style {
                width,
                ..Style::default()
            };
            for text in [
                first_screen::write(&report, "`show all`.", style),
                whole::text(&report, style),
            ] {
                let over = text.lines().filter(|line| columns(line) > width);
                let over: Vec<&str> = over.filter(|line| line.split_whitespace().count() > 1).collect();
                assert!(over.is_empty(), "{name}, {width}: {over:#?}");
            }
        }
    }
}
