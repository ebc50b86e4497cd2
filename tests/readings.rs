//! Readings put into a table as they come: in the session and on the command line, into the
//! worksheet and into its file, kept when a session breaks off, and whole or not at all.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use proptest::prelude::*;
use proptest::test_runner::Config;
use tarebook::report::compose::Options;
use tarebook::session::file::Replacing;
use tarebook::session::{Outcome, Refusal, Session};

const BETWEEN_BARS: &str = "quoted tare = 17.2 lb ± 0.2 lb\ntable run\n  | time  | gross [lb ± 0.05] | hose |\n  \
    | 09:04 | 35.4              | on   |\n  | 12:10 | 28.7              | on   |\n\
    worked rate [lb/h] = burn_rate(run.time, run.gross)\n\
    answer empty [h:min] = (last(run.gross) - tare) / rate\n";
const FROM_FILE: &str = "quoted tare = 17.2 lb ± 0.2 lb\ntable run = csv(\"run.csv\")\n\
    worked rate [lb/h] = burn_rate(run.time, run.gross)\n\
    answer empty [h:min] = (last(run.gross) - tare) / rate\n";
const FILE: &str = "time,gross [lb ± 0.05],hose\n09:04,35.4,on\n12:10,28.7,on\n";

struct Folder {
    folder: tempfile::TempDir,
}

impl Folder {
    fn with(worksheet: &str) -> Folder {
        let folder = tempfile::tempdir_in("/dev/shm").unwrap_or_else(|_| tempfile::tempdir().unwrap());
        fs::write(folder.path().join("run.tare"), worksheet).unwrap();
        fs::write(folder.path().join("run.csv"), FILE).unwrap();
        Folder { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    fn open(&self) -> Session {
        Session::open(&self.path("run.tare"), Options::default()).ok().unwrap()
    }

    fn keeping(&self) -> Session {
        let mut session = self.open();
        let told = session.keep_journal(None);
        assert!(told.is_empty(), "{told:?}");
        session
    }

    /// Opens it after a session broke off, and takes up what that left.
    fn taken_up(&self) -> (Session, Vec<String>) {
        let mut session = self.open();
        let mut found = session.look_for_unsaved(None);
        let mut told = std::mem::take(&mut found.told);
        if let Some(left) = found.left.pop() {
            told.extend(session.take_up(left).ok().unwrap().told);
        }
        (session, told)
    }

    fn command(&self, arguments: &[&str]) -> (i32, String, String) {
        let ran = Command::new(env!("CARGO_BIN_EXE_tarebook"))
            .args(arguments)
            .current_dir(self.folder.path())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (ran.status.code().unwrap(), text(ran.stdout), text(ran.stderr))
    }
}

fn said(result: Result<Outcome, Refusal>) -> String {
    match result {
        Ok(outcome) => outcome
            .told
            .into_iter()
            .chain(outcome.listed)
            .collect::<Vec<_>>()
            .join("\n"),
        Err(refusal) => {
            let each = refusal.problems.iter();
            let told = each.map(|one| format!("{} {}", one.message, one.help.as_deref().unwrap_or_default()));
            told.collect()
        }
    }
}

/// The weights in hand.
fn weights(session: &Session) -> Vec<String> {
    let slot = session.sheet().tables()[0].columns[1];
    let cells = session.sheet().column_cells(slot).iter();
    cells
        .map(|cell| cell.map_or("-".to_owned(), |cell| cell.to_plain()))
        .collect()
}

#[test]
fn a_row_is_in_hand_at_once_and_in_the_file_when_it_is_saved() {
    let folder = Folder::with(FROM_FILE);
    let mut session = folder.open();
    session.add("time 13:10, gross 26.4, hose on").ok().unwrap();
    assert_eq!(weights(&session), ["35.4", "28.7", "26.4"]);
    assert_eq!(folder.read("run.csv"), FILE);
    assert!(session.unsaved());
    session.save(Replacing::Known).ok().unwrap();
    assert_eq!(folder.read("run.csv"), format!("{FILE}13:10,26.4,on\n"));
    assert_eq!(folder.read("run.tare"), FROM_FILE);
    assert!(!session.unsaved());
    // a step back past the saving is unsaved in its turn
    session.undo().ok().unwrap();
    assert_eq!(weights(&session), ["35.4", "28.7"]);
    session.save(Replacing::Known).ok().unwrap();
    assert_eq!(folder.read("run.csv"), FILE);
}

#[test]
fn every_byte_that_nobody_touched_stays() {
    for (file, row) in [
        (
            "time,gross [lb],hose\r\n09:04,\"35.4\",on\r\n\r\n12:10,28.7,\"o,n\"",
            "13:10,26.4,\r\n",
        ),
        (
            "\u{feff}time,gross [lb],hose\n09:04,35.4,on\n12:10,28.7,\"a \"\"b\"\"\"\n",
            "13:10,26.4,\n",
        ),
    ] {
        let folder = Folder::with(FROM_FILE);
        fs::write(folder.path("run.csv"), file).unwrap();
        let mut session = folder.open();
        session.add("time 13:10, gross 26.4").ok().unwrap();
        session.save(Replacing::Known).ok().unwrap();
        let line_end = if file.ends_with('\n') { "" } else { "\r\n" };
        assert_eq!(folder.read("run.csv"), format!("{file}{line_end}{row}"));
    }
    let folder = Folder::with(BETWEEN_BARS);
    let mut session = folder.open();
    session.add("run time 13:10, gross 26.4 lb, hose on").ok().unwrap();
    let row = "  | 13:10 | 26.4              | on   |\n";
    let (before, after) = BETWEEN_BARS.split_once("worked rate").unwrap();
    assert_eq!(session.sheet().text(), format!("{before}{row}worked rate{after}"));
}

/// A reading in the middle goes where its time puts it.
#[test]
fn a_row_goes_where_its_time_puts_it() {
    for worksheet in [BETWEEN_BARS, FROM_FILE] {
        let folder = Folder::with(worksheet);
        let mut session = folder.open();
        let told = said(session.add("time 10:00, gross 33.3, hose on"));
        assert!(told.starts_with("Row 2 of `run`: 10:00"), "{told}");
        assert!(told.contains("`10:00 (+1 d)`"), "{told}");
        assert_eq!(weights(&session), ["35.4", "33.3", "28.7"]);
        let told = said(session.add("time 02:00, gross 8.1"));
        assert!(told.contains("02:00 is before the first row, 09:04"), "{told}");
        session.add("time 02:00 (+1 d), gross 8.1").ok().unwrap();
        session.add("time 01:00 (+1 d), gross 9.9").ok().unwrap();
        assert_eq!(weights(&session), ["35.4", "33.3", "28.7", "9.9", "8.1"]);
        assert!(!session.sheet().has_problems());
    }
}

/// A word that the column never had, where only one of the two hangs something on the scale.
#[test]
fn a_third_word_for_the_hose_is_told() {
    let text = "table run\n  | time | gross [lb] | hose |\n  | 18:00 | 36.2 | off |\n  | 20:00 | 34.9 | on |\n  \
                | 21:00 | 33.5 | on |\nanswer rate [lb/h] = burn_rate(run.time, run.gross, attached: run.hose = \"on\")\n";
    for (line, told) in [
        ("22:00, 30.2, \"wet\"", true),
        ("22:00, 30.2, off", false),
        ("22:00, 31.9, on", false),
    ] {
        let folder = Folder::with(text);
        let mut session = folder.open();
        let reply = said(session.add(line));
        assert!(reply.starts_with("Row 4 of `run`: 22:00"), "{reply}");
        assert_eq!(
            reply.contains("`wet` is a new word for `hose`, where `run.hose = \"on\"` tells what hangs there"),
            told,
            "{reply}"
        );
    }
}

/// What is near to one of two words, to a time or to a number is asked for.
#[test]
fn a_mistyped_cell_is_not_taken() {
    let text = "table run\n  | time | gross [lb] | hose |\n  | 18:00 | 36.2 | off |\n  | 20:00 | 34.9 | on |\n";
    for (line, wanted) in [
        ("22:00, 30.2, om", "`hose` says `off` or `on`, and `om` is neither"),
        ("4am, 30.2, on", "`4am` is no time of day"),
        ("22:00, 30,2, on", "write `30.2`, if that is one number"),
        ("22:00 30.2 lb hose on", "part cells by commas: `22:00, 30.2 lb, on`"),
    ] {
        let folder = Folder::with(text);
        let mut session = folder.open();
        let told = said(session.add(line));
        assert!(told.contains(wanted), "{line}: {told}");
        assert_eq!(weights(&session).len(), 2, "{line}");
    }
}

/// The clock is later than every row that is there; what can't be is asked for.
#[test]
fn the_clock_is_taken_where_no_time_is_given() {
    const TEN_PAST_NOON: i64 = (20_464 * 24 + 12) * 3600 + 600;
    let check = |worksheet: &str, line: &str, wanted: &str| {
        let folder = Folder::with(worksheet);
        let mut session = folder.open();
        session.set_clock(TEN_PAST_NOON);
        let told = said(session.add(line));
        assert!(told.contains(wanted), "{line}: {told}");
    };
    let with = |rows: &str| format!("table run\n  | time | gross [lb] |\n{rows}");
    check(
        &with("  | 09:04 | 35.4 |\n"),
        "gross 30",
        "12:10 by the clock, 30 lb; 3 h 6 min after row 1",
    );
    check(
        &with("  | 18:04 | 35.4 |\n"),
        "gross 30",
        "12:10 (+1 d) by the clock, 30 lb; 18 h 6 min",
    );
    check(
        &with("  | 23:04 | 35.4 |\n"),
        "gross 30",
        "12:10 (+1 d) by the clock, 30 lb; 13 h 6 min",
    );
    check(
        &with("  | 12:40 | 35.4 |\n"),
        "gross 30",
        "the clock says 12:10, and the last row is of 12:40",
    );
    check(&with("  | 9:04 am | 35.4 |\n"), "gross 30", "12:10 pm by the clock");
    check(&with(""), "gross 30", "Row 1 of `run`: 12:10 by the clock, 30 lb");
    check(
        &with("  | 2026-01-10 09:04 | 35.4 |\n"),
        "gross 30",
        "2026-01-11 12:10 by the clock",
    );
    let days = "table run\n  | day | time | gross [lb] |\n  | 2026-01-10 | 22:04 | 35.4 |\n";
    check(days, "gross 30", "2026-01-11 by the clock, 12:10 by the clock, 30 lb");
    check(days, "time 23:00, gross 30", "2026-01-11 by the clock, 23:00, 30 lb");
    // a date that doesn't lead the table is a test or a purchase, and isn't today
    let shells = "table shells\n  | id | tare [lb] | tested |\n  | red | 17.4 | 2024-05-01 |\n";
    check(shells, "shells green, 17.9 lb", "Row 2 of `shells`: green, 17.9 lb");
}

#[test]
fn what_cant_be_added_is_refused_and_nothing_changes() {
    let check = |worksheet: &str, line: &str, wanted: &str| {
        let folder = Folder::with(worksheet);
        let mut session = folder.open();
        let told = said(session.add(line));
        assert!(told.contains(wanted), "{line}: {told}");
        assert_eq!(session.sheet().text(), worksheet, "{line}");
        assert!(!session.unsaved(), "{line}");
        assert!(session.undo().is_err(), "{line}");
    };
    for worksheet in [BETWEEN_BARS, FROM_FILE] {
        check(worksheet, "gross 26 W", "isn't a number of `lb`");
        check(worksheet, "gross 26,4", "commas part cells");
        check(worksheet, "time 25:00, gross 3", "column `time`");
        check(worksheet, "gross 3 lb ± 2 W", "column `gross`");
        check(worksheet, "gross 3\nhose on", "no line end");
        check(worksheet, "hose \"on", "not closed");
        check(worksheet, "", "nothing to add");
    }
    let made = "table night = draw_down(20 lb, 30 °F, 2 lb/h, film: 10 W/(m2·C°))\n";
    check(made, "night 3", "made by a function");
    let two = "table a\n  | time | gross [lb] |\n  | 09:00 | 3 |\ntable b\n  | time | gross [lb] |\n  | 09:00 | 3 |\n";
    check(two, "gross 3", "which one is meant");
    check("assumed air = 3 °F\n", "gross 3", "no table here");
    let broken = "table run\n  | time | gross [lb] |\n  | 09:00 | 3x |\n";
    check(broken, "run gross 3", "has a problem");
    check("table run = csv(\"none.csv\")\n", "run gross 3", "can't be read");
    let thinned = "table run = csv(\"run.csv\", every: 5 min)\n";
    check(thinned, "run gross 3", "is read with `every:`");
}

#[test]
fn a_reading_is_set_against_the_line_of_those_before() {
    let rows = "table run\n  | time | gross [lb ± 0.05] | hose |\n  | 09:00 | 36.0 | on |\n  | 10:00 | 34.0 | on |\n  \
        | 11:00 | 32.0 | on |\n  | 12:00 | 30.0 | on |\n";
    let check = |line: &str, wanted: &str| {
        let folder = Folder::with(rows);
        let told = said(folder.open().add(line));
        assert!(told.contains(wanted), "{line}: {told}");
    };
    check("time 13:00, gross 28.0, hose on", "on the line; up to");
    check("time 13:00, gross 27.95, hose on", "on the line: 0.05 lb below it");
    check(
        "time 13:00, gross 26.0, hose on",
        "2 lb below the line; up to 0.15 lb is chance",
    );
    check("time 13:00, gross 26.0, hose on", "`run.gross of 13:00 = … lb`");
    check("time 13:00, gross 30.5, hose on", "0.5 lb more than the reading before");
    check(
        "time 13:00, gross 27.0, hose off",
        "too few readings with `hose` off to tell whether it fits",
    );
}

/// A cell is mended where it stands, in the worksheet or in its file, and keeps its `±`.
#[test]
fn one_cell_is_tried_and_kept() {
    let check = |worksheet: &str, file: &str, line: &str, wanted: &str| {
        let folder = Folder::with(worksheet);
        fs::write(folder.path("run.csv"), file).unwrap();
        let mut session = folder.open();
        let text = session.sheet().text().to_owned();
        session.try_value(line).ok().unwrap();
        assert_eq!(session.sheet().text(), text, "{line}");
        session.keep().ok().unwrap();
        session.save(Replacing::Known).ok().unwrap();
        let whole = folder.read("run.tare") + &folder.read("run.csv");
        assert!(whole.contains(wanted), "{line}: {whole}");
        session.undo().ok().unwrap();
        session.undo().ok().unwrap();
        session.save(Replacing::Known).ok().unwrap();
        assert_eq!(folder.read("run.tare") + &folder.read("run.csv"), text + file);
    };
    let own = "table run\n  | time         | gross [lb] | hose | note |\n  | 09:04        | 35.4 ± 0.2 | on   |      |\n  \
        | 06:10 (+1 d) | 13 kg      | off  |      |\n";
    check(own, "", "run.gross of 09:04 = 35.1 lb", "| 35.1 ± 0.2 | on ");
    check(
        own,
        "",
        "run.gross of 09:04 = 35.1 lb ± 0.3 lb",
        "| 35.1 lb ± 0.3 lb | on ",
    );
    check(own, "", "run.gross of row 2 = 12 kg", "| 12 kg      | off ");
    check(own, "", "run.time of 09:04 = 09:14", "| 09:14        | 35.4");
    check(own, "", "run.time of row 2 = 06:20", "| 06:20 (+1 d) | 13 kg");
    check(own, "", "run.hose of row 2 = \"on\"", "| on   |      |\n");
    check(own, "", "run.note of row 1 = \"a | b\"", "| on   | a \\| b |\n");
    check(FROM_FILE, FILE, "run.gross of 12:10 = 28.6 lb", "\n12:10,28.6,on\n");
    check(
        FROM_FILE,
        FILE,
        "run.hose of 12:10 = \"o,\\\"n\"",
        "\n12:10,28.7,\"o,\"\"n\"\n",
    );
}

/// A case holds cells of tables; a trial stands before it, and `keep` writes its line.
#[test]
fn a_case_holds_cells() {
    let worksheet = "# Loads\n\ntable loads\n  | item        | watts [W] | hours [h] |\n  | lamp        | 60        | 5 ± 1     |\n  \
        | room heater | 600       | 4         |\n\nanswer used [kWh] = sum(loads.watts * loads.hours)\n\n\
        case long \"A long night\"\n  loads.hours of \"lamp\"  = 6 h from \"a guess\"  -- by the window\n  loads.watts of row 2 = 700 W\n";
    let folder = Folder::with(worksheet);
    let mut session = folder.open();
    let used = |session: &Session| {
        let entry = session.report().answers().next().unwrap().shown.display();
        entry.split(" k=").next().unwrap().to_owned()
    };
    assert_eq!(used(&session), "2.70 kWh ± 0.06 kWh");
    session.set_case("long").ok().unwrap();
    assert_eq!(used(&session), "3.16 kWh ± 0.06 kWh");
    assert_eq!(session.trials().names(), Vec::<String>::new());
    // a trial over it, and away again
    session.try_value("loads.hours of \"lamp\" = 10 h").ok().unwrap();
    assert_eq!(used(&session), "3.40 kWh ± 0.06 kWh");
    session.drop_trials(None).ok().unwrap();
    assert_eq!(used(&session), "3.16 kWh ± 0.06 kWh");
    // an edit elsewhere leaves it
    session.enter("worked twice [kWh] = 2 * used").ok().unwrap();
    assert_eq!(used(&session), "3.16 kWh ± 0.06 kWh");
    // kept in its line, and in a new one
    session.try_value("loads.hours of \"lamp\" = 8 h ± 2 h").ok().unwrap();
    session.try_value("loads.hours of \"room heater\" = 5 h").ok().unwrap();
    session.keep().ok().unwrap();
    let text = session.sheet().text().to_owned();
    assert!(
        text.contains("  loads.hours of \"lamp\" = 8 h ± 2 h  -- by the window\n"),
        "{text}"
    );
    assert!(text.contains("  loads.hours of \"room heater\" = 5 h\n"), "{text}");
    assert_eq!(used(&session), "3.98 kWh ± 0.12 kWh");
    session.try_value("loads.watts of \"lamp\" = 40 W").ok().unwrap();
    session.keep_as_case("dim").ok().unwrap();
    assert_eq!(used(&session), "3.82 kWh ± 0.08 kWh");
    session.set_case("base").ok().unwrap();
    assert_eq!(used(&session), "2.70 kWh ± 0.06 kWh");
    session.undo().ok().unwrap();
    session.undo().ok().unwrap();
    session.undo().ok().unwrap();
    session.undo().ok().unwrap();
    assert_eq!(used(&session), "3.98 kWh ± 0.12 kWh");
    assert_eq!(session.trials().names().len(), 2, "on trial again");
    let scenes = session.compare().study.cases;
    let told = scenes[1]
        .replaced
        .iter()
        .map(|one| (one.name.as_str(), one.value.as_str(), one.base.as_str()));
    let told: Vec<(&str, &str, &str)> = told.collect();
    assert!(told.contains(&("loads.watts of row 2", "700 W", "600 W")), "{told:?}");
}

#[test]
fn a_case_refuses_what_is_no_cell() {
    let refused = |line: &str, expected: &str| {
        let text = format!(
            "table loads\n  | item | hours [h] |\n  | lamp | 5 |\n  | fan | 4 |\nworked loads.twice = 2 * loads.hours\ncase long\n  {line}\n"
        );
        let sheet = tarebook::sheet::Sheet::load(text, None);
        let problems: Vec<String> = sheet.problems().iter().map(|problem| problem.message.clone()).collect();
        assert!(
            problems.len() == 1 && problems[0].contains(expected),
            "{line}: {problems:?}"
        );
    };
    refused("loads.hours of \"lamp\" = 7 lb", "the cell is a time in `h`");
    refused("loads.hours of \"lump\" = 7 h", "no row is called `\"lump\"`");
    refused("loads.twice of \"lamp\" = 7 h", "this column is worked out");
    refused("loads.hours of \"lamp\" = ?", "`?` is none");
    refused(
        "loads.hours of \"lamp\" = 7 h\n  loads.hours of row 1 = 6 h",
        "twice; the first counts",
    );
    refused("loads.hours of \"lamp\" = loads.hours of \"fan\"", "constant");
    refused(
        "loads.hours of first(loads.item) = 7 h",
        "what calls the row is worked out here",
    );
}

#[test]
fn a_row_is_taken_out_by_its_time_its_text_or_its_number() {
    for worksheet in [BETWEEN_BARS, FROM_FILE] {
        let folder = Folder::with(worksheet);
        let mut session = folder.open();
        let told = said(session.remove_row("run of 12:10"));
        assert_eq!(told, "Removed row 2 of `run`: 12:10, 28.7, on");
        assert_eq!(weights(&session), ["35.4"]);
        session.undo().ok().unwrap();
        assert_eq!(weights(&session), ["35.4", "28.7"]);
        session.remove_row("run of row 1").ok().unwrap();
        assert_eq!(weights(&session), ["28.7"]);
        assert!(said(session.remove_row("run of 07:00")).contains("no row is called `07:00`"));
        assert!(said(session.remove_row("tare of row 1")).contains("no table"));
    }
}

/// What a session did that broke off comes back: what was saved isn't put in twice.
#[test]
fn rows_come_back_after_a_session_that_broke_off() {
    for saves in 0..4 {
        let folder = Folder::with(FROM_FILE);
        let mut session = folder.keeping();
        for (row, line) in [
            "time 13:10, gross 26.4",
            "time 14:10, gross 24.2",
            "time 15:10, gross 22.0",
        ]
        .iter()
        .enumerate()
        {
            if saves == row {
                session.save(Replacing::Known).ok().unwrap();
            }
            session.add(line).ok().unwrap();
        }
        session.remove_row("run of 14:10").ok().unwrap();
        session.undo().ok().unwrap();
        let wanted = weights(&session);
        drop(session);
        let (mut again, told) = folder.taken_up();
        assert_eq!(weights(&again), wanted, "{saves}: {told:?}");
        again.save(Replacing::Known).ok().unwrap();
        assert_eq!(folder.read("run.csv").lines().count(), 6, "{saves}");
    }
}

/// The power fails between the writing of the file and the note of it in the journal.
#[test]
fn a_file_saved_at_the_last_moment_is_not_added_to_again() {
    let folder = Folder::with(FROM_FILE);
    let mut session = folder.keeping();
    session.add("time 13:10, gross 26.4").ok().unwrap();
    session.add("time 14:10, gross 24.2").ok().unwrap();
    let journal = session.journal_path().unwrap().to_owned();
    let bytes = fs::read(&journal).unwrap();
    session.save(Replacing::Known).ok().unwrap();
    drop(session);
    fs::write(&journal, bytes).unwrap();
    let (again, _) = folder.taken_up();
    assert_eq!(weights(&again), ["35.4", "28.7", "26.4", "24.2"]);
    assert!(!again.unsaved());
}

#[test]
fn a_file_that_grew_is_noticed_at_the_next_line() {
    let folder = Folder::with(FROM_FILE);
    let mut session = folder.open();
    assert!(session.notice_files().is_none());
    fs::write(folder.path("run.csv"), format!("{FILE}13:10,26.4,on\n14:10,24.2,on\n")).unwrap();
    let noticed = session.notice_files().unwrap();
    assert_eq!(noticed.told, ["`run.csv` has grown by 2 rows"]);
    assert!(noticed.changes.is_some());
    assert_eq!(weights(&session), ["35.4", "28.7", "26.4", "24.2"]);
    assert!(session.notice_files().is_none());
    // with rows in hand nothing is taken over their head, and saving refuses
    session.add("time 15:10, gross 22.0").ok().unwrap();
    fs::write(
        folder.path("run.csv"),
        format!("{FILE}13:10,26.4,on\n14:10,24.2,on\n14:40,23.1,on\n"),
    )
    .unwrap();
    assert!(session.notice_files().unwrap().told[0].contains("rows put in here are not saved"));
    assert!(said(session.save(Replacing::Known)).contains("somebody changed `run.csv`"));
    session.undo().ok().unwrap();
    assert_eq!(weights(&session), ["35.4", "28.7", "26.4", "24.2", "23.1"]);
}

#[test]
fn the_command_writes_at_once() {
    let folder = Folder::with(BETWEEN_BARS);
    let (code, out, err) = folder.command(&["add", "run.tare", "run", "time", "13:10", "gross", "26.4", "hose", "on"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(
        out.starts_with("Row 3 of `run`: 13:10, 26.4 lb, on; 1 h 0 min after row 2.\n"),
        "{out}"
    );
    assert!(
        folder
            .read("run.tare")
            .contains("\n  | 13:10 | 26.4              | on   |\nworked rate")
    );
    let typed_as_in_a_session = [
        "add", "run.tare", "time", "14:10,", "gross", "24.2", "lb,", "hose", "on",
    ];
    assert_eq!(folder.command(&typed_as_in_a_session).0, 0);
    assert_eq!(folder.command(&["add", "run.tare", "run", "15:10", "22", "on"]).0, 0);
    assert_eq!(folder.read("run.tare").matches("| on   |\n").count(), 5);
    for (arguments, wanted) in [
        (vec!["add", "run.tare", "run", "gross", "3 W"], "isn't a number of `lb`"),
        (vec!["add", "run.tare", "run", "gross", "3\n4"], "has a line end in it"),
        (vec!["add", "-", "run", "gross", "3"], "standard input"),
        (vec!["add", "run.tare"], "`add` needs CELL"),
    ] {
        let before = folder.read("run.tare");
        let (code, out, err) = folder.command(&arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{arguments:?}");
        assert!(err.contains(wanted), "{arguments:?}: {err}");
        assert_eq!(folder.read("run.tare"), before);
    }
}

#[test]
fn the_command_is_refused_while_a_session_has_it_in_hand() {
    let folder = Folder::with(FROM_FILE);
    let arguments = ["add", "run.tare", "run", "time", "13:10", "gross", "26.4"];
    let mut session = folder.keeping();
    let (code, _, err) = folder.command(&arguments);
    assert_eq!(code, 2);
    assert!(err.contains("A session has run.tare in hand"), "{err}");
    session.add("time 14:10, gross 24.2").ok().unwrap();
    drop(session);
    let (code, _, err) = folder.command(&arguments);
    assert_eq!(code, 2);
    assert!(
        err.contains("A session left work on run.tare that is not saved"),
        "{err}"
    );
    assert_eq!(folder.read("run.csv"), FILE);
}

/// A dozen lines at 80 columns, whatever moves.
#[test]
fn a_reply_is_short() {
    let mut worksheet = BETWEEN_BARS.to_owned();
    for number in 0..40 {
        worksheet.push_str(&format!(
            "answer a_rather_long_name_of_an_answer_{number} = empty * {number} + 1 h\nexpect empty >= {number} h else \"{}\"\n",
            "a hint that goes on for longer than a line has room ".repeat(3)
        ));
    }
    let folder = Folder::with(&worksheet);
    let (code, out, _) = folder.command(&["add", "run.tare", "run", "time", "13:10", "gross", "20.4", "hose", "on"]);
    assert_eq!(code, 0);
    assert!(out.lines().count() <= 12, "{out}");
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
}

/// With ten thousand rows, in the worksheet and in a file; what a line through them takes is
/// not counted. (An unoptimized build takes some twenty times as long as the program.)
#[test]
fn a_long_table_is_added_to_without_a_wait() {
    let mut rows = String::from("table run\n  | time | gross [lb ± 0.05] | hose |\n");
    let mut lines = String::from("time,gross [lb ± 0.05],hose\n");
    for row in 0..10_000u32 {
        let (day, minute) = (row / 1440 + 1, row % 1440);
        let time = format!("2026-01-{day:02} {:02}:{:02}", minute / 60, minute % 60);
        let weight = f64::from(20_000 - row) / 500.0;
        rows.push_str(&format!("  | {time} | {weight} | on |\n"));
        lines.push_str(&format!("{time},{weight},on\n"));
    }
    for table in [rows.as_str(), "table run = csv(\"run.csv\")\n"] {
        let folder = Folder::with(&format!("{table}answer left [lb] = last(run.gross) - 17 lb\n"));
        fs::write(folder.path("run.csv"), &lines).unwrap();
        let mut session = folder.open();
        let begun = Instant::now();
        session.add("time 2026-01-08 12:00, gross 19.9, hose on").ok().unwrap();
        assert!(begun.elapsed() < Duration::from_secs(60), "{:?}", begun.elapsed());
        assert_eq!(weights(&session).len(), 10_001);
    }
}

proptest! {
    #![proptest_config(Config { cases: 300, ..Config::default() })]

    /// Whatever is typed: nothing panics, and a row is there whole or not at all.
    #[test]
    fn a_row_is_whole_or_not_there(line in "(run )?(time |gross |hose |[0-9:. ]{1,6}|, |lb|\"|\\\\|\\||±|\n|é|[ -~]){0,12}", file in any::<bool>()) {
        let worksheet = if file { FROM_FILE } else { BETWEEN_BARS };
        let folder = Folder::with(worksheet);
        let mut session = folder.open();
        match session.add(&line) {
            Ok(_) => {
                prop_assert_eq!(weights(&session).len(), 3, "{}", line);
                prop_assert!(!session.sheet().has_problems() || worksheet.is_empty() || weights(&session).len() == 3);
                session.undo().ok().unwrap();
            }
            Err(_) => prop_assert!(!session.unsaved(), "{}", line),
        }
        prop_assert_eq!(weights(&session).len(), 2);
        prop_assert_eq!(session.sheet().text(), worksheet);
    }
}
