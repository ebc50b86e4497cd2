//! Work that isn't saved outlives its session: killed at any moment, it is offered again.
//!
//! With `TAREBOOK_THOROUGH` set, sessions are killed and edits repeated as often as a
//! release asks for; without it, often enough to see that it works.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    missing_docs
)]

use std::cell::RefCell;
use std::collections::VecDeque;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::Instant;

use tarebook::number::Number;
use tarebook::report::Report;
use tarebook::report::compose::Options;
use tarebook::report::style::Style;
use tarebook::session::file::Replacing;
use tarebook::session::unsaved::{Found, Offer};
use tarebook::session::{Outcome, Session};
use tarebook::sheet::{Held, HeldValue};
use tarebook::shell::conversation::{Conversation, Lines, Reply};
use tarebook::syntax::tree::Tolerance;
use tarebook::text::Span;

const WORKSHEET: &str = "\u{feff}# Ridge\r\nmeasured gross = 37.1 lb  -- a remark\r\n\r\nassumed rate = 1.3 lb/h\r\n\
    answer day [lb] = (rate * 24 h +\r\n  0 lb)\r\nassumed when = 20:15\r\nassumed place = \"barn\"\r\n\
    table run\r\n  | used [lb] | what |\r\n  | 3 | \"a\" |\r\n  |  | \"b \\\"\" |\r\nworked twice = run.used * 2\r\n\
    worked words = run.what\r\ncase cold \"Cold\"\r\n  rate = 1.6 lb/h";

struct Folder {
    folder: tempfile::TempDir,
    path: PathBuf,
}

/// A folder in memory, where the system has one: a disk is settled so slowly that the tests
/// would wait for it alone, and a process that is killed leaves the same in both.
fn memory_folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").unwrap_or_else(|_| tempfile::tempdir().unwrap())
}

impl Folder {
    fn with(text: &str) -> Folder {
        let folder = memory_folder();
        let path = folder.path().join("ridge.tare");
        fs::write(&path, text).unwrap();
        Folder { folder, path }
    }

    fn journal(&self) -> PathBuf {
        self.folder.path().join(".ridge.tare.unsaved")
    }

    fn open(&self) -> Session {
        Session::open(&self.path, Options::default()).ok().unwrap()
    }

    /// A session that keeps a journal here.
    fn keeping(&self) -> Session {
        let mut session = self.open();
        let told = session.keep_journal(None);
        assert!(told.is_empty(), "{told:?}");
        session
    }

    /// Types into a session that then breaks off; how it stood after each line that changed
    /// something, and at first.
    fn broken_off(&self, lines: &[&str]) -> Vec<String> {
        let mut session = self.keeping();
        let mut standings = vec![standing(&session)];
        for line in lines {
            let changes = journal_length(&session);
            type_line(&mut session, line);
            if journal_length(&session) > changes {
                standings.push(standing(&session));
            }
        }
        standings
    }

    /// Opens it again and takes up what was left; what was said before and after.
    fn taken_up(&self) -> (Session, Vec<String>) {
        let mut session = self.open();
        let mut found = look(&mut session, None);
        let mut told = std::mem::take(&mut found.told);
        if let Some(left) = found.left.pop() {
            told.extend(left.told(&session));
            assert_eq!(left.offer(&session), Offer::TakeUp);
            told.extend(session.take_up(left).ok().unwrap().told);
        }
        (session, told)
    }

    fn files(&self) -> Vec<String> {
        let names = fs::read_dir(self.folder.path()).unwrap();
        let names = names.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
        let mut names: Vec<String> = names.collect();
        names.sort();
        names
    }
}

/// Looks for what was left. A process that another test starts has what this one had open
/// for a moment, and a lock with it.
fn look(session: &mut Session, state: Option<&Path>) -> Found {
    let in_hand = |found: &Found| found.told.iter().any(|line| line.starts_with("Another session"));
    for _ in 0..500 {
        let found = session.look_for_unsaved(state);
        if !in_hand(&found) {
            return found;
        }
        drop(found);
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    panic!("the lock is never let go");
}

fn journal_length(session: &Session) -> u64 {
    let path = session.journal_path().unwrap();
    fs::metadata(path).unwrap().len()
}

/// All that must come back: the text, the case, and each trial with its value.
fn standing(session: &Session) -> String {
    let sheet = session.sheet();
    let case = sheet.case().map(|case| &case.name);
    let trials: Vec<_> = sheet
        .trials()
        .map(|cell| (cell, held(sheet.held(cell).unwrap())))
        .collect();
    let cells: Vec<_> = sheet
        .held_cells()
        .map(|(place, held)| (place, held.written.clone()))
        .collect();
    format!("{}\n{case:?}\n{trials:?}\n{cells:?}", sheet.text())
}

/// A trial's value to the last digit, its tolerance, and what was typed.
fn held(held: &Held) -> String {
    let value = match &held.value {
        HeldValue::Number(number) => number.to_plain(),
        HeldValue::Column(cells) => format!(
            "{:?}",
            cells.iter().map(|cell| cell.map(Number::to_plain)).collect::<Vec<_>>()
        ),
    };
    let tolerance = held.tolerance.map(|tolerance| Tolerance {
        span: Span::at(0),
        ..tolerance
    });
    format!("{value} {tolerance:?} {:?} {:?}", held.by, held.written)
}

fn thorough(few: usize, many: usize) -> usize {
    match std::env::var_os("TAREBOOK_THOROUGH") {
        Some(_) => many,
        None => few,
    }
}

fn type_line(session: &mut Session, line: &str) -> Vec<String> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let done = match words.as_slice() {
        _ if Session::is_trial(line) => session.try_value(line),
        ["keep"] => session.keep(),
        ["keep", "plot"] => session.keep_plot(),
        ["plot", ..] => session.plot(line).map(|_| Outcome::default()),
        ["keep", "as", "case", ..] => session.keep_as_case(line.trim_start_matches("keep as case ")),
        ["drop"] => session.drop_trials(None),
        ["drop", _, "of", ..] => session.drop_trials(Some(line.trim_start_matches("drop "))),
        ["drop", name] => session.drop_trials(Some(name)),
        ["case", name] => session.set_case(name),
        ["undo"] => session.undo(),
        ["redo"] => session.redo(),
        ["save"] => session.save(Replacing::Known),
        ["shorten"] => {
            assert_eq!(session.shorten_journal(), None);
            Ok(Outcome::default())
        }
        ["reload"] => session.reload(),
        ["rename", old, new] => session.rename(old, new),
        ["add", ..] => session.add(line.trim_start_matches("add ")),
        ["remove", _, "of", ..] => session.remove_row(line.trim_start_matches("remove ")),
        ["remove", name] => session.remove(name),
        ["edit", ..] => {
            let (called, text) = line.split_once(" : ").unwrap();
            session.enter_over(called.strip_prefix("edit ").unwrap(), text.trim())
        }
        _ => session.enter(line),
    };
    done.map_or_else(
        |refusal| refusal.problems.iter().map(|problem| problem.message.clone()).collect(),
        |outcome| outcome.told,
    )
}

/// Lines that change something, and some that don't.
const TYPED: &[&str] = &[
    "gross = 30 lb",
    "gross = gross * 2",
    "rate = 2 lb/h ± 0.1 lb/h",
    "rate = rate / 3",
    "day = 5 lb",
    "when = 21:40",
    "place = \"shed\"",
    "run.used = 3 lb",
    "when = clock(when + 20.5 min)",
    "place = place",
    "twice = run.used / 3",
    "twice = run.used / 7 ± 0.1 lb",
    "words = words",
    "keep",
    "keep as case c1 \"One\"",
    "drop",
    "drop gross",
    "case cold",
    "case base",
    "undo",
    "redo",
    "measured gross = 31 lb -- again, \\ and | and \u{7}",
    "edit gross : measured full = 31 lb",
    "worked extra = gross - day",
    "worked extra = (gross -\n day)",
    "table run\n  | used [lb] |\n  | 4 |",
    "case cold \"Colder\"\n  rate = 3 lb/h",
    "expect gross >= day else \"no\"",
    "measured gross = 29 lb\nworked spare = day / 2\nassumed over = 1 lb",
    "rename gross full",
    "rename cold warm",
    "run.used of row 1 = 4 lb",
    "run.used of \"a\" = run.used of row 1 * 1.5",
    "run.what of row 2 = \"z | z\"",
    "drop run.used of row 1",
    "add run 5 lb, c",
    "add run what \"x | y\"",
    "add run used 7 W",
    "remove run of row 1",
    "remove run of row 3",
    "remove extra",
    "remove rate",
    "remove check 1",
    "edit check 1 : expect day >= 1 lb else \"none\"",
    "±",
    "plot run.used over run.used",
    "keep plot",
    "save",
    "reload",
    "shorten",
    "shorten",
];

// ---- taking up ----

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 40, failure_persistence: None, ..Default::default() })]

    #[test]
    fn whatever_was_typed_comes_back(steps in proptest::collection::vec(proptest::sample::select(TYPED), 1..20)) {
        let folder = Folder::with(WORKSHEET);
        let mut session = folder.keeping();
        for step in &steps {
            type_line(&mut session, step);
        }
        let trials = session.sheet().trials().count() + session.sheet().held_cells().count();
        let saved = !session.unsaved() && trials == 0;
        let journal = session.journal_path().unwrap().to_owned();
        let bytes = fs::read(&journal).unwrap();
        let mut steps_back = Vec::new();
        let wanted = standing(&session);
        // Undo is noted too, so the journal is put back as it was when the session broke off.
        while let Ok(outcome) = session.undo() {
            steps_back.push((outcome.told, standing(&session)));
        }
        drop(session);
        fs::write(&journal, &bytes).unwrap();
        let (mut again, _) = folder.taken_up();
        if saved {
            assert_eq!(again.sheet().text(), fs::read_to_string(&folder.path).unwrap());
            assert!(!journal.exists(), "nothing is offered that is saved");
            return Ok(());
        }
        if bytes.is_empty() {
            return Ok(());
        }
        assert_eq!(standing(&again), wanted, "after {steps:?}");
        for (told, wanted) in steps_back {
            let outcome = again.undo().ok().unwrap();
            assert_eq!(outcome.told, told, "after {steps:?}");
            assert_eq!(standing(&again), wanted, "after {steps:?}");
        }
        assert!(again.undo().is_err());
    }
}

/// A short one, for what is tried at each byte.
const SHORT: &str = "\u{feff}measured gross = 37.1 lb\r\nassumed rate = 1.3 lb/h\r\ncase cold\r\n  rate = 1.6 lb/h";

const SOME: &[&str] = &[
    "rate = 2 lb/h",
    "keep",
    "worked extra = (gross -\n 1 lb)",
    "case cold",
    "gross = gross / 3",
    "undo",
];

#[test]
fn cut_at_any_byte_it_gives_all_whole_changes() {
    let folder = Folder::with(SHORT);
    let standings = folder.broken_off(SOME);
    assert_eq!(standings.len(), SOME.len() + 1);
    let whole = fs::read(folder.journal()).unwrap();
    // Where each record ends: the lines behind no bar that carry a checksum.
    let mut ends = Vec::new();
    let mut at = 0;
    for line in whole.split_inclusive(|byte| *byte == b'\n') {
        at += line.len();
        if !line.starts_with(b"|") && String::from_utf8_lossy(line).contains(" check ") {
            ends.push(at);
        }
    }
    assert_eq!(ends.len(), SOME.len() + 1, "the beginning, and a record for each");
    for cut in (0..=whole.len()).rev() {
        fs::write(folder.journal(), &whole[..cut]).unwrap();
        // A line end that an editor took away is not missed.
        let records = ends.iter().filter(|end| **end <= cut + 1).count();
        let (session, told) = folder.taken_up();
        let told = told.join("\n");
        assert_eq!(standing(&session), standings[records.saturating_sub(1)], "cut at {cut}");
        let breaks = told.contains("breaks off");
        // Cut behind the beginning, nothing had been typed.
        let whole = ends.contains(&cut) || ends.contains(&(cut + 1));
        assert_eq!(breaks, cut > 0 && !whole, "cut at {cut}: {told}");
    }
}

#[test]
fn what_broke_off_is_cut_away_before_more_is_written() {
    let folder = Folder::with(WORKSHEET);
    let standings = folder.broken_off(SOME);
    let mut bytes = fs::read(folder.journal()).unwrap();
    let whole = bytes.len();
    // What a power cut leaves behind a file's end.
    bytes.extend_from_slice(&[0; 300]);
    fs::write(folder.journal(), &bytes).unwrap();
    let (mut session, told) = folder.taken_up();
    assert!(told.iter().any(|line| line.contains("breaks off")), "{told:?}");
    type_line(&mut session, "assumed more = 2 lb");
    let wanted = standing(&session);
    drop(session);
    assert!(!fs::read(folder.journal()).unwrap()[..whole + 100].contains(&0));
    let (session, told) = folder.taken_up();
    assert_eq!(standing(&session), wanted);
    assert_eq!(told[0].matches("7 changes").count(), 1, "{told:?}");
    assert_ne!(standing(&session), *standings.last().unwrap());
}

#[test]
fn a_damaged_middle_is_told_and_the_part_before_it_taken() {
    let folder = Folder::with(WORKSHEET);
    let standings = folder.broken_off(SOME);
    let text = fs::read_to_string(folder.journal()).unwrap();
    let damaged = text.replacen("| keep\n", "| kept\n", 1);
    fs::write(folder.journal(), &damaged).unwrap();
    let (mut session, told) = folder.taken_up();
    assert_eq!(standing(&session), standings[1]);
    assert!(
        told[1].contains("can't be read, and what follows is left out; the file stays"),
        "{told:?}"
    );
    // What can't be read is not overwritten, and what could be is in a journal of its own.
    type_line(&mut session, "assumed more = 2 lb");
    assert_eq!(fs::read_to_string(folder.journal()).unwrap(), damaged);
    let wanted = standing(&session);
    drop(session);
    let mut session = folder.open();
    let left = look(&mut session, None).left.pop().unwrap();
    assert!(left.path().ends_with(".ridge.tare.unsaved-2"));
    session.take_up(left).ok().unwrap();
    assert_eq!(standing(&session), wanted);
}

/// Damaged or edited by hand, at each byte and each line: it never panics, and either all of
/// it comes back or the file stays as it is.
#[test]
fn whatever_is_done_to_it_by_hand_nothing_readable_is_lost() {
    let folder = Folder::with(SHORT);
    let standings = folder.broken_off(&["rate = 2 lb/h", "keep", "gross = gross / 3"]);
    let whole = fs::read(folder.journal()).unwrap();
    let lines: Vec<&[u8]> = whole.split_inclusive(|byte| *byte == b'\n').collect();
    let mut hands: Vec<Vec<u8>> = Vec::new();
    for place in 0..whole.len() {
        let other = [b'\n', 0xff, b'|', b'0'][place % 4];
        let mut bytes = whole.clone();
        bytes[place] = if bytes[place] == other { b'~' } else { other };
        hands.push(bytes);
    }
    for place in 0..lines.len() {
        let without = lines.iter().enumerate().filter(|(line, _)| *line != place);
        hands.push(without.flat_map(|(_, line)| line.iter().copied()).collect());
        let mut twice = lines.clone();
        twice.insert(place, lines[place]);
        hands.push(twice.concat());
        let mut swapped = lines.clone();
        swapped.swap(place, (place + 1) % lines.len());
        hands.push(swapped.concat());
    }
    hands.push(
        whole
            .iter()
            .flat_map(|byte| {
                if *byte == b'\n' {
                    vec![b'\r', b'\n']
                } else {
                    vec![*byte]
                }
            })
            .collect(),
    );
    hands.push([whole.as_slice(), b"remarks of my own\n"].concat());
    let all = standings.last().unwrap();
    for bytes in hands {
        fs::write(folder.journal(), &bytes).unwrap();
        let (mut session, told) = folder.taken_up();
        let shown = String::from_utf8_lossy(&bytes).into_owned();
        let found = standing(&session);
        assert!(standings.contains(&found), "{told:?}\n{shown}");
        type_line(&mut session, "assumed more = 2 lb");
        session.leave();
        let kept = fs::read(folder.journal()).is_ok_and(|kept| kept == bytes);
        let broke_off = told.iter().any(|line| line.starts_with("Its last line breaks off"));
        assert!(kept || broke_off || found == *all, "{told:?}\n{shown}");
        for name in folder.files() {
            if name != "ridge.tare" {
                fs::remove_file(folder.folder.path().join(name)).unwrap();
            }
        }
    }
}

/// The journal is removed, replaced and edited while its session goes on.
#[test]
fn taken_away_under_a_session_it_goes_on_elsewhere() {
    let folder = Folder::with(WORKSHEET);
    let mut session = folder.keeping();
    type_line(&mut session, "measured gross = 30 lb");
    fs::remove_file(folder.journal()).unwrap();
    let told = type_line(&mut session, "rate = 2 lb/h");
    assert!(
        told.last()
            .unwrap()
            .starts_with("Somebody removed or changed the journal"),
        "{told:?}"
    );
    assert_eq!(session.journal_path().unwrap(), folder.journal());
    fs::write(folder.journal(), "my own notes\n").unwrap();
    let told = type_line(&mut session, "keep");
    assert!(told.last().unwrap().contains(".ridge.tare.unsaved-2 now"), "{told:?}");
    let second = session.journal_path().unwrap().to_owned();
    // Another file of that name, as an editor leaves it that saves what it was given.
    let copy = fs::read(&second).unwrap();
    fs::remove_file(&second).unwrap();
    fs::write(&second, &copy).unwrap();
    let told = type_line(&mut session, "assumed more = 2 lb");
    assert!(told.last().unwrap().contains(".ridge.tare.unsaved-3 now"), "{told:?}");
    assert_eq!(type_line(&mut session, "assumed more = 3 lb"), ["Changed line 10"]);
    assert_eq!(fs::read_to_string(folder.journal()).unwrap(), "my own notes\n");
    assert_eq!(fs::read(&second).unwrap(), copy);
    let wanted = standing(&session);
    drop(session);
    let mut session = folder.open();
    let left = look(&mut session, None).left.pop().unwrap();
    session.take_up(left).ok().unwrap();
    assert_eq!(standing(&session), wanted);
}

/// Where many steps went before, the journal begins with how it stood then.
#[test]
fn in_short_form_every_digit_comes_back() {
    let folder = Folder::with(WORKSHEET);
    let mut session = folder.keeping();
    let trials = [
        "rate = rate / 3",
        "gross = 30 lb ± 1 %",
        "when = clock(when + 20.5 min)",
        "place = place",
        "twice = run.used / 7 ± 0.1 lb",
        "words = words",
    ];
    for (number, line) in trials.iter().enumerate() {
        let told = type_line(&mut session, line);
        assert_eq!(session.trials().names().len(), number + 1, "{line}: {told:?}");
    }
    for _ in 0..520 {
        type_line(&mut session, "case cold");
        type_line(&mut session, "case base");
    }
    type_line(&mut session, "case cold");
    type_line(&mut session, "measured gross = 31 lb");
    type_line(&mut session, "drop words");
    type_line(&mut session, "undo");
    let long = journal_length(&session);
    assert_eq!(session.shorten_journal(), None);
    assert!(journal_length(&session) < long);
    assert!(
        fs::read_to_string(folder.journal())
            .unwrap()
            .contains("\n| trial twice = column ± 0.1 lb\n| cell 0.42857142")
    );
    type_line(&mut session, "measured gross = 32 lb");
    let wanted = standing(&session);
    let bytes = fs::read(folder.journal()).unwrap();
    let backwards = |session: &mut Session| {
        let mut told = Vec::new();
        let refusal = loop {
            match session.undo() {
                Ok(outcome) => told.push((outcome.told, standing(session))),
                Err(refusal) => break refusal.problems[0].message.clone(),
            }
        };
        told.push((vec![refusal], standing(session)));
        told
    };
    let back = backwards(&mut session);
    drop(session);
    fs::write(folder.journal(), bytes).unwrap();
    let (mut again, told) = folder.taken_up();
    assert!(told[0].contains("1051 changes"), "{told:?}");
    assert_eq!(standing(&again), wanted);
    let found = backwards(&mut again);
    assert_eq!(found.len(), back.len());
    assert!(found == back, "{:?}\n{:?}", found.last(), back.last());
    assert!(
        back.last().unwrap().0[0].starts_with("there is nothing more to undo"),
        "{:?}",
        back.last()
    );
}

#[test]
fn a_file_of_that_name_that_is_no_journal_is_left_alone() {
    for foreign in ["tarebook journal 2\nsomething\n", "my own notes\n"] {
        let folder = Folder::with(WORKSHEET);
        fs::write(folder.journal(), foreign).unwrap();
        let mut session = folder.open();
        let found = look(&mut session, None);
        assert!(found.told[0].contains("left as it is"), "{:?}", found.told);
        assert!(session.keep_journal(None).is_empty());
        type_line(&mut session, "rate = 2 lb/h");
        assert!(session.journal_path().unwrap().ends_with(".ridge.tare.unsaved-2"));
        assert_eq!(fs::read_to_string(folder.journal()).unwrap(), foreign);
    }
}

/// What a person finds who opens it in an editor.
#[test]
fn it_is_read_by_a_person() {
    let folder = Folder::with("assumed rate = 1.3 lb/h\r\n");
    folder.broken_off(&["rate = 2 lb/h", "keep", "undo"]);
    let text = fs::read_to_string(folder.journal()).unwrap();
    let lines: Vec<String> = text
        .lines()
        .map(|line| match line.split_once(' ') {
            Some((word @ ("began" | "tried" | "done"), rest)) => {
                let words: Vec<&str> = rest.split(' ').collect();
                format!("{word} DAY TIME text {} SUM trials {} check SUM", words[3], words[6])
            }
            _ => line.to_owned(),
        })
        .collect();
    assert_eq!(
        lines,
        [
            "tarebook journal 1",
            "-- What was changed in a worksheet and isn't saved there; `tarebook open` offers it.",
            "-- Behind `|` stands what was typed, and first of all the worksheet as it was. To rescue",
            "-- it by hand, put the lines behind `|` into the worksheet, or type them in a session.",
            "| assumed rate = 1.3 lb/h\\u{d}",
            "| ",
            "began DAY TIME text 25 SUM trials 0 check SUM",
            "| rate = 2 lb/h",
            "tried DAY TIME text 25 SUM trials 1 check SUM",
            "| keep",
            "done DAY TIME text 51 SUM trials 0 check SUM",
            "| undo",
            "done DAY TIME text 25 SUM trials 1 check SUM",
        ]
    );
}

#[test]
fn trials_outlive_a_save() {
    let folder = Folder::with(WORKSHEET);
    let standings = folder.broken_off(&["measured gross = 30 lb", "rate = rate * 2"]);
    let (mut session, _) = folder.taken_up();
    type_line(&mut session, "save");
    drop(session);
    let (session, told) = folder.taken_up();
    assert_eq!(standing(&session), *standings.last().unwrap());
    assert!(told[0].contains("with 1 trial"), "{told:?}");
}

/// The file was replaced, and the power failed before the journal said so.
#[test]
fn broken_off_between_saving_and_noting_it_nothing_is_offered() {
    let folder = Folder::with(WORKSHEET);
    folder.broken_off(&["measured gross = 30 lb"]);
    fs::write(&folder.path, WORKSHEET.replace("37.1", "30")).unwrap();
    let (session, told) = folder.taken_up();
    assert!(told.is_empty() && !session.unsaved(), "{told:?}");
    assert_eq!(folder.files(), ["ridge.tare"]);
}

#[test]
fn saved_or_discarded_it_goes() {
    let folder = Folder::with(WORKSHEET);
    let mut session = folder.keeping();
    type_line(&mut session, "measured gross = 30 lb");
    type_line(&mut session, "save");
    assert!(session.leave().is_empty());
    assert_eq!(folder.files(), ["ridge.tare"]);
    let mut session = folder.keeping();
    type_line(&mut session, "measured gross = 31 lb");
    assert!(session.leave_discarding().is_empty());
    assert_eq!(folder.files(), ["ridge.tare"]);
    folder.broken_off(&["measured gross = 31 lb"]);
    let mut session = folder.open();
    let left = look(&mut session, None).left.pop().unwrap();
    left.discard().ok().unwrap();
    assert_eq!(folder.files(), ["ridge.tare"]);
}

#[test]
fn it_follows_the_worksheet_to_another_file() {
    let folder = Folder::with(WORKSHEET);
    let mut session = folder.keeping();
    type_line(&mut session, "measured gross = 30 lb");
    let other = folder.folder.path().join("other.tare");
    session.save_as(&other, Replacing::Known).ok().unwrap();
    assert_eq!(folder.files(), [".other.tare.unsaved", "other.tare", "ridge.tare"]);
    type_line(&mut session, "measured gross = 29 lb");
    type_line(&mut session, "undo");
    type_line(&mut session, "undo");
    assert_eq!(session.sheet().text(), WORKSHEET);
    let wanted = standing(&session);
    drop(session);
    let mut again = Session::open(&other, Options::default()).ok().unwrap();
    let left = look(&mut again, None).left.pop().unwrap();
    again.take_up(left).ok().unwrap();
    assert_eq!(standing(&again), wanted);
}

// ---- changed meanwhile ----

#[test]
fn on_a_worksheet_that_somebody_changed_it_is_written_beside() {
    let folder = Folder::with(WORKSHEET);
    folder.broken_off(&["measured gross = 30 lb", "rate = 2 lb/h"]);
    fs::write(&folder.path, "# Somebody else's\n").unwrap();
    fs::write(folder.folder.path().join("ridge-unsaved.tare"), "taken").unwrap();
    let mut session = folder.open();
    let left = look(&mut session, None).left.pop().unwrap();
    assert_eq!(left.offer(&session), Offer::WriteBeside);
    let told = left.told(&session);
    assert!(told[1].contains("changed since by somebody else"), "{told:?}");
    let outcome = session.write_beside(left).map_err(|(refusal, _)| refusal).ok().unwrap();
    assert!(
        outcome.told[1].contains("On trial and not written: `rate = 2 lb/h`"),
        "{:?}",
        outcome.told
    );
    let beside = folder.folder.path().join("ridge-unsaved-2.tare");
    assert_eq!(fs::read_to_string(beside).unwrap(), WORKSHEET.replace("37.1", "30"));
    assert_eq!(session.sheet().text(), "# Somebody else's\n");
    assert_eq!(
        folder.files(),
        ["ridge-unsaved-2.tare", "ridge-unsaved.tare", "ridge.tare"]
    );
}

const LOGGED: &str =
    "table log = csv(\"log.csv\")\nassumed used = 1 lb\nassumed more = 1 lb\nanswer last_used [lb] = used\n";

/// A trial that was worked out from a file keeps its value when the file goes on.
#[test]
fn a_trial_keeps_the_value_it_had() {
    let folder = Folder::with(LOGGED);
    let log = folder.folder.path().join("log.csv");
    fs::write(&log, "gross [lb]\n30\n28\n").unwrap();
    let lines = ["used = first(log.gross) - last(log.gross)", "more = 3 lb", "keep"];
    folder.broken_off(&lines);
    let text = || fs::read_to_string(&folder.path).unwrap();
    for later in ["gross [lb]\n30\n28\n25\n", ""] {
        fs::write(&log, later).unwrap();
        let bytes = fs::read(folder.journal()).unwrap();
        let (session, told) = folder.taken_up();
        assert!(
            session.sheet().text().contains("assumed used = 2 lb\n"),
            "{}",
            session.sheet().text()
        );
        assert!(
            told.iter().any(|line| line.contains("`used` on trial stays 2 lb")),
            "{told:?}"
        );
        assert_eq!(text(), LOGGED);
        drop(session);
        fs::write(folder.journal(), bytes).unwrap();
    }
}

// ---- two at once ----

#[test]
fn two_sessions_on_one_worksheet_lose_nothing() {
    let folder = Folder::with(WORKSHEET);
    let mut first = folder.keeping();
    type_line(&mut first, "measured gross = 30 lb");
    let mut second = folder.open();
    let found = second.look_for_unsaved(None);
    assert!(found.left.is_empty());
    assert!(
        found.told[0].contains("Another session or page has ridge.tare in hand"),
        "{:?}",
        found.told
    );
    assert!(second.keep_journal(None).is_empty());
    assert!(second.journal_path().unwrap().ends_with(".ridge.tare.unsaved-2"));
    type_line(&mut second, "measured gross = 29 lb");
    type_line(&mut first, "save");
    let told = type_line(&mut second, "save");
    assert!(told[0].contains("somebody changed this file"), "{told:?}");
    type_line(&mut first, "measured gross = 28 lb");
    // Both break off.
    let (one, two) = (first.sheet().text().to_owned(), second.sheet().text().to_owned());
    drop((first, second));
    let mut third = folder.open();
    let mut left = look(&mut third, None).left.into_iter();
    let (own, other) = (left.next().unwrap(), left.next().unwrap());
    assert_eq!(own.offer(&third), Offer::TakeUp);
    third.take_up(own).ok().unwrap();
    assert_eq!(third.sheet().text(), one);
    assert_eq!(other.offer(&third), Offer::WriteBeside);
    third.write_beside(other).map_err(|(refusal, _)| refusal).ok().unwrap();
    let beside = folder.folder.path().join("ridge-unsaved.tare");
    assert_eq!(fs::read_to_string(beside).unwrap(), two);
}

#[test]
fn left_for_later_it_stays_and_the_session_has_its_own() {
    let folder = Folder::with(WORKSHEET);
    let standings = folder.broken_off(SOME);
    let bytes = fs::read(folder.journal()).unwrap();
    let mut session = folder.open();
    drop(look(&mut session, None));
    assert!(session.keep_journal(None).is_empty());
    type_line(&mut session, "measured gross = 29 lb");
    session.leave_discarding();
    assert_eq!(fs::read(folder.journal()).unwrap(), bytes);
    assert_eq!(standing(&folder.taken_up().0), *standings.last().unwrap());
}

// ---- folders that can't be written ----

/// The longest name that a folder takes leaves no room for a journal's.
fn long_name(folder: &Path) -> PathBuf {
    let path = folder.join(format!("{}.tare", "r".repeat(250)));
    fs::write(&path, WORKSHEET).unwrap();
    path
}

#[test]
fn where_none_can_stand_beside_it_stands_in_the_state_folder() {
    let folder = memory_folder();
    let path = long_name(folder.path());
    let state = folder.path().join("state");
    let mut session = Session::open(&path, Options::default()).ok().unwrap();
    assert!(look(&mut session, Some(&state)).told.is_empty());
    assert!(session.keep_journal(Some(&state)).is_empty());
    assert!(session.journal_path().unwrap().starts_with(&state));
    type_line(&mut session, "measured gross = 29 lb");
    let wanted = standing(&session);
    drop(session);
    let mut session = Session::open(&path, Options::default()).ok().unwrap();
    let left = look(&mut session, Some(&state)).left.pop().unwrap();
    session.take_up(left).ok().unwrap();
    assert_eq!(standing(&session), wanted);
    type_line(&mut session, "save");
    session.leave();
    assert_eq!(fs::read_dir(state.join("unsaved")).unwrap().count(), 0);
}

#[test]
fn where_none_can_stand_at_all_that_is_said_once() {
    let folder = memory_folder();
    let path = long_name(folder.path());
    let state = folder.path().join("state");
    fs::write(&state, "a file where the folder should be").unwrap();
    let mut session = Session::open(&path, Options::default()).ok().unwrap();
    assert!(look(&mut session, Some(&state)).told.is_empty());
    let told = session.keep_journal(Some(&state));
    assert!(
        told.len() == 1 && told[0].starts_with("No journal can be kept"),
        "{told:?}"
    );
    assert_eq!(type_line(&mut session, "measured gross = 29 lb"), ["Changed line 2"]);
    type_line(&mut session, "save");
    assert!(fs::read_to_string(&path).unwrap().contains("29 lb"));
}

#[cfg(unix)]
#[test]
fn it_is_as_private_as_the_worksheet() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::with(WORKSHEET);
    fs::set_permissions(&folder.path, fs::Permissions::from_mode(0o600)).unwrap();
    let session = folder.keeping();
    let mode = fs::metadata(session.journal_path().unwrap())
        .unwrap()
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
}

#[cfg(unix)]
#[test]
fn a_link_and_its_worksheet_have_one_journal() {
    let folder = Folder::with(WORKSHEET);
    let elsewhere = memory_folder();
    let link = elsewhere.path().join("link.tare");
    std::os::unix::fs::symlink(&folder.path, &link).unwrap();
    let mut session = Session::open(&link, Options::default()).ok().unwrap();
    session.keep_journal(None);
    assert_eq!(session.journal_path().unwrap(), folder.journal());
    assert!(folder.open().look_for_unsaved(None).told[0].contains("Another session"));
}

/// The tests of an ordinary user take the right to write away; where that holds nobody
/// back, directories take the journal's places.
#[cfg(unix)]
#[test]
fn in_a_folder_that_cannot_be_written_the_state_folder_takes_it() {
    use std::os::unix::fs::PermissionsExt;
    let elsewhere = memory_folder();
    let state = elsewhere.path().join("state");
    let folder = Folder::with(WORKSHEET);
    let rights = |mode| fs::set_permissions(folder.folder.path(), fs::Permissions::from_mode(mode)).unwrap();
    rights(0o555);
    let probe = folder.folder.path().join("probe");
    let unhindered = fs::write(&probe, "").is_ok();
    if unhindered {
        fs::remove_file(&probe).unwrap();
        fs::create_dir(folder.journal()).unwrap();
        for number in 2..=9 {
            fs::create_dir(folder.folder.path().join(format!(".ridge.tare.unsaved-{number}"))).unwrap();
        }
    }
    let mut session = folder.open();
    look(&mut session, Some(&state));
    assert_eq!(session.keep_journal(Some(&state)), Vec::<String>::new());
    assert!(session.journal_path().unwrap().starts_with(&state));
    type_line(&mut session, "measured gross = 30 lb");
    let told = type_line(&mut session, "save");
    assert_eq!(unhindered, told[0].starts_with("Saved"), "{told:?}");
    assert!(unhindered || told[0].contains("nothing was saved"), "{told:?}");
    type_line(&mut session, "rate = 2 lb/h");
    let wanted = standing(&session);
    drop(session);
    let mut session = folder.open();
    let left = look(&mut session, Some(&state)).left.pop().unwrap();
    session.take_up(left).ok().unwrap();
    assert_eq!(standing(&session), wanted);
    rights(0o755);
}

#[test]
fn a_directory_in_its_place_is_passed_by() {
    let folder = Folder::with(WORKSHEET);
    fs::create_dir(folder.journal()).unwrap();
    let mut session = folder.open();
    let found = look(&mut session, None);
    assert!(found.told[0].contains("it is no plain file"), "{:?}", found.told);
    assert!(session.keep_journal(None).is_empty());
    assert!(session.journal_path().unwrap().ends_with(".ridge.tare.unsaved-2"));
}

#[test]
fn where_nine_are_left_it_is_said_that_there_can_be_no_more() {
    let folder = Folder::with(WORKSHEET);
    for _ in 0..9 {
        let mut session = folder.keeping();
        type_line(&mut session, "measured gross = 30 lb");
    }
    let mut session = folder.open();
    assert_eq!(look(&mut session, None).left.len(), 9);
    let told = session.keep_journal(None);
    assert!(told[0].contains("9 journals such as"), "{told:?}");
    assert_eq!(type_line(&mut session, "measured gross = 29 lb"), ["Changed line 2"]);
}

#[test]
fn names_may_be_of_any_kind() {
    let folder = memory_folder();
    let inside = folder.path().join("weighed in the barn");
    fs::create_dir(&inside).unwrap();
    #[cfg_attr(not(unix), expect(unused_mut))]
    let mut names = vec![
        std::ffi::OsString::from("ridge house, after supper.tare"),
        "ünder-Ω.tare".into(),
        "no ending".into(),
        "-.tare".into(),
    ];
    #[cfg(unix)]
    names.extend([b"one\xff.tare", b"one\xfe.tare"].map(|name| {
        use std::os::unix::ffi::OsStringExt;
        std::ffi::OsString::from_vec(name.to_vec())
    }));
    for name in names {
        let path = inside.join(&name);
        fs::write(&path, WORKSHEET).unwrap();
        let mut session = Session::open(&path, Options::default()).ok().unwrap();
        let found = look(&mut session, None);
        assert!(
            found.left.is_empty() && found.told.is_empty(),
            "{name:?}: {:?}",
            found.told
        );
        assert!(session.keep_journal(None).is_empty());
        type_line(&mut session, "measured gross = 30 lb");
        assert_eq!(session.journal_path().unwrap().parent().unwrap(), inside);
        let wanted = standing(&session);
        drop(session);
        let mut session = Session::open(&path, Options::default()).ok().unwrap();
        let left = look(&mut session, None).left.pop().unwrap();
        session.take_up(left).ok().unwrap();
        assert_eq!(standing(&session), wanted);
    }
}

/// The worksheet itself was removed or moved away, and work on it was left.
#[test]
fn of_a_worksheet_that_is_gone_the_work_comes_back() {
    let folder = Folder::with(WORKSHEET);
    assert!(
        Session::open_lost(&folder.path, None, Options::default()).is_none(),
        "it is there"
    );
    let standings = folder.broken_off(SOME);
    look(&mut folder.open(), None);
    fs::remove_file(&folder.path).unwrap();
    let lost = || Session::open_lost(&folder.path, None, Options::default());
    let mut session = (0..500).find_map(|_| lost()).unwrap();
    let left = look(&mut session, None).left.pop().unwrap();
    assert_eq!(left.offer(&session), Offer::TakeUp);
    session.take_up(left).ok().unwrap();
    assert!(!session.is_lost() && session.unsaved());
    assert_eq!(standing(&session), *standings.last().unwrap());
    type_line(&mut session, "drop");
    assert!(type_line(&mut session, "save")[0].starts_with("Saved"));
    assert_eq!(fs::read_to_string(&folder.path).unwrap(), session.sheet().text());
    session.leave();
    assert_eq!(folder.files(), ["ridge.tare"]);
    fs::remove_file(&folder.path).unwrap();
    assert!(
        Session::open_lost(&folder.path, None, Options::default()).is_none(),
        "nothing was left"
    );
}

/// What a save that was killed has left is removed, once it is certain that nobody is at it.
#[test]
fn litter_of_a_save_that_broke_off_is_swept_away() {
    let folder = Folder::with(WORKSHEET);
    let hour = std::time::SystemTime::now() - std::time::Duration::from_secs(3600);
    for (name, old) in [
        (".tarebook-a1.part", true),
        (".tarebook-b2.part", false),
        ("tarebook.part", true),
    ] {
        let path = folder.folder.path().join(name);
        fs::write(&path, "half a work").unwrap();
        if old {
            fs::File::options()
                .write(true)
                .open(&path)
                .unwrap()
                .set_modified(hour)
                .unwrap();
        }
    }
    folder.keeping().leave();
    assert_eq!(folder.files(), [".tarebook-b2.part", "ridge.tare", "tarebook.part"]);
}

/// Two sessions count one number up, each saving whatever it read last: whoever was too late
/// is refused, so that the number is how often saving went well.
#[test]
fn at_the_same_moment_one_saves_and_the_other_is_told() {
    let folder = Folder::with("assumed count = 0\n");
    let count = |session: &Session| -> u64 {
        let text = session.sheet().text();
        text.trim().rsplit(' ').next().unwrap().parse().unwrap()
    };
    let saved: u64 = std::thread::scope(|scope| {
        let sessions: Vec<_> = (0..3)
            .map(|_| {
                scope.spawn(|| {
                    let mut session = folder.open();
                    let mut saved = 0;
                    for _ in 0..150 {
                        session.reload().ok().unwrap();
                        let next = count(&session) + 1;
                        session.enter(&format!("assumed count = {next}")).ok().unwrap();
                        saved += u64::from(session.save(Replacing::Known).is_ok());
                    }
                    saved
                })
            })
            .collect();
        sessions.into_iter().map(|session| session.join().unwrap()).sum()
    });
    assert_eq!(count(&folder.open()), saved);
    assert!(saved >= 150);
}

/// An editor owns the text that the server holds; the server writes nothing.
#[test]
fn the_server_keeps_none() {
    use serde_json::json;
    use std::io::Read;
    let folder = Folder::with(SHORT);
    let address = format!("file://{}", folder.path.display());
    let document = json!({ "uri": &address, "version": 2 });
    let all = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 1, "character": 0 } });
    let messages = [
        json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": { "capabilities": {} } }),
        json!({ "jsonrpc": "2.0", "method": "initialized", "params": {} }),
        json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument":
            { "uri": &address, "languageId": "tarebook", "version": 1, "text": SHORT } } }),
        json!({ "jsonrpc": "2.0", "method": "textDocument/didChange", "params": { "textDocument": document,
            "contentChanges": [{ "range": all, "text": "measured gross = 30 lb\n" }] } }),
        json!({ "jsonrpc": "2.0", "id": 2, "method": "textDocument/rename", "params":
            { "textDocument": document, "position": { "line": 0, "character": 10 }, "newName": "full" } }),
        json!({ "jsonrpc": "2.0", "id": 3, "method": "shutdown" }),
        json!({ "jsonrpc": "2.0", "method": "exit" }),
    ];
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_tarebook"))
        .arg("serve")
        .current_dir(folder.folder.path())
        .env("XDG_STATE_HOME", folder.folder.path().join("state"))
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    for message in messages {
        let body = message.to_string();
        write!(input, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
    }
    drop(input);
    let mut output = String::new();
    child.stdout.take().unwrap().read_to_string(&mut output).unwrap();
    assert!(child.wait().unwrap().success());
    assert!(output.contains("\"newText\":\"full\""), "{output}");
    assert_eq!(folder.files(), ["ridge.tare"]);
}

// ---- killed ----

#[cfg(unix)]
mod killed {
    use super::*;
    use std::io::Read;
    use std::process::{Child, Command, Stdio};
    use std::time::Duration;

    /// Numbers that are the same in every run.
    struct Random(u64);

    impl Random {
        fn below(&mut self, bound: u64) -> u64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 33) % bound
        }
    }

    fn spawn(folder: &Path, before: &str) -> Child {
        let program = env!("CARGO_BIN_EXE_tarebook");
        assert!(
            Path::new(program).exists(),
            "a program that isn't there is never killed"
        );
        Command::new("sh")
            .args(["-c", &format!("{before} exec '{program}' open \"$PWD/ridge.tare\"")])
            .current_dir(folder)
            .env("XDG_STATE_HOME", folder.join("state"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    }

    /// Types everything at once, kills after a while; what it had printed by then.
    fn killed(folder: &Path, typed: &str, after: Duration) -> String {
        let mut child = spawn(folder, "");
        let mut input = child.stdin.take().unwrap();
        let mut output = child.stdout.take().unwrap();
        let reader = std::thread::spawn(move || {
            let mut bytes = Vec::new();
            output.read_to_end(&mut bytes).unwrap();
            String::from_utf8_lossy(&bytes).into_owned()
        });
        let typed = typed.to_owned();
        let writer = std::thread::spawn(move || {
            // The reader may be dead already. The pipe stays open until it is.
            let _ = input.write_all(typed.as_bytes());
            input
        });
        std::thread::sleep(after);
        child.kill().unwrap();
        child.wait().unwrap();
        drop(writer.join().unwrap());
        reader.join().unwrap()
    }

    #[derive(Clone, Default)]
    struct Paper(Rc<RefCell<Vec<u8>>>);

    impl Write for Paper {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.borrow_mut().write(bytes)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    /// Lines of a session that isn't killed; how it stood, and what was printed, before each.
    struct Watched {
        lines: VecDeque<String>,
        paper: Paper,
        seen: Vec<(usize, String)>,
    }

    impl Lines for Watched {
        fn read(&mut self, _: &str, _: &str, session: &mut Session) -> io::Result<Reply> {
            let printed = self.paper.0.borrow().len();
            self.seen.push((printed, standing(session)));
            Ok(self.lines.pop_front().map_or(Reply::End, Reply::Line))
        }

        fn is_terminal(&self) -> bool {
            false
        }
    }

    fn not_killed(folder: &Folder, lines: &[&str]) -> (String, Vec<(usize, String)>) {
        let paper = Paper::default();
        let mut watched = Watched {
            lines: lines.iter().flat_map(|line| line.lines()).map(str::to_owned).collect(),
            paper: paper.clone(),
            seen: Vec::new(),
        };
        let style = Style {
            colour: false,
            width: 80,
            ..Style::default()
        };
        let mut output = paper.clone();
        Conversation::new(folder.open(), &mut watched, &mut output, style)
            .run()
            .unwrap();
        (String::from_utf8(paper.0.take()).unwrap(), watched.seen)
    }

    #[test]
    fn at_any_moment_all_that_was_answered_comes_back() {
        let mut random = Random(7);
        let mut offered = 0;
        // So long that the journal is soon written anew in short form.
        let long_remark = format!("measured gross = 33 lb  -- {}", "ballast ".repeat(4000));
        for round in 0..thorough(12, 200) {
            let choice: Vec<&str> = TYPED
                .iter()
                .copied()
                .filter(|line| !line.starts_with("edit") && *line != "shorten")
                .chain([long_remark.as_str()])
                .collect();
            let lines: Vec<&str> = (0..10 + random.below(15))
                .map(|_| choice[random.below(choice.len() as u64) as usize])
                .collect();
            let other = Folder::with(WORKSHEET);
            let (printed, seen) = not_killed(&other, &lines);
            let folder = Folder::with(WORKSHEET);
            let typed: String = lines.iter().map(|line| format!("{line}\n")).collect();
            let after = Duration::from_millis(random.below(500));
            let heard = killed(folder.folder.path(), &typed, after);
            let heard = heard.replace(&*folder.path.to_string_lossy(), &other.path.to_string_lossy());
            assert!(printed.starts_with(&heard), "round {round}: {lines:?}\n{heard}");
            let answered = seen.iter().rposition(|(length, _)| *length <= heard.len()).unwrap_or(0);
            let (session, told) = folder.taken_up();
            offered += usize::from(told.iter().any(|line| line.starts_with("Taken up")));
            let found = standing(&session);
            let text_only = |standing: &str| standing.rsplitn(4, '\n').last().unwrap().to_owned();
            // With nothing to be lost but the case in hand, nothing is offered.
            let fits = |wanted: &str| match told.iter().any(|line| line.starts_with("Taken up")) {
                false => text_only(wanted) == text_only(&found) && wanted.ends_with("[]"),
                true => wanted == found,
            };
            let place = seen.iter().skip(answered).position(|(_, wanted)| fits(wanted));
            assert!(
                place.is_some(),
                "round {round}, killed after {after:?} with {answered} lines answered of {lines:?}: {told:?}\n{found}"
            );
        }
        println!("{offered} sessions had something to be taken up");
    }

    /// A worksheet long enough that writing it takes a while.
    fn long(weight: usize) -> String {
        let remark = format!("-- {}\n", "ballast ".repeat(1000));
        format!(
            "measured gross = {weight} lb\n{}assumed last = {weight} lb\n",
            remark.repeat(40)
        )
    }

    #[test]
    fn while_saving_the_file_is_the_old_or_the_new_one() {
        let mut random = Random(11);
        let mut replaced = 0;
        let typed: String = (1..200)
            .map(|weight| format!("measured gross = {weight} lb\nassumed last = {weight} lb\nsave\n"))
            .collect();
        for round in 0..thorough(10, 500) {
            let folder = Folder::with(&long(0));
            killed(
                folder.folder.path(),
                &typed,
                Duration::from_millis(40 + random.below(400)),
            );
            let text = fs::read_to_string(&folder.path).unwrap();
            let weight = text.split(' ').nth(3).and_then(|word| word.parse().ok());
            assert_eq!(Some(&text), weight.map(long).as_ref(), "round {round}: a mixture");
            replaced += usize::from(weight != Some(0));
            let (session, _) = folder.taken_up();
            drop(session);
        }
        println!("in {replaced} rounds the file had been replaced before");
        assert!(replaced > 0);
    }

    /// A limit on the size of files stands for a disk that is full.
    #[test]
    fn on_a_full_disk_nothing_is_lost_and_it_is_said() {
        let folder = Folder::with(WORKSHEET);
        // 4 blocks of 512 or 1024 bytes; the signal is ignored, so that writing fails.
        let mut child = spawn(folder.folder.path(), "trap '' XFSZ; ulimit -f 4;");
        let mut input = child.stdin.take().unwrap();
        let note = "n".repeat(1500);
        for number in 0..6 {
            writeln!(input, "assumed x{number} = {number} lb note \"{note}\"").unwrap();
        }
        writeln!(input, "save\nx5\nundo\nundo\nundo\nundo\nundo\nundo\nsave").unwrap();
        drop(input);
        let mut output = String::new();
        child.stdout.take().unwrap().read_to_string(&mut output).unwrap();
        child.wait().unwrap();
        let output = output.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(
            output.matches("can't be written: file too large; until it can").count(),
            1,
            "{output}"
        );
        assert!(output.contains("nothing was saved"), "{output}");
        assert!(output.contains("x5 5 lb"), "the session goes on: {output}");
        assert_eq!(fs::read_to_string(&folder.path).unwrap(), WORKSHEET);
        // What could be written is whole.
        let (_, told) = folder.taken_up();
        assert!(!told.iter().any(|line| line.contains("breaks off")), "{told:?}");
    }

    /// What a session prints that gets these lines and no more.
    fn piped(folder: &Path, before: &str, typed: &str) -> String {
        let mut child = spawn(folder, before);
        child.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
        let mut output = String::new();
        child.stdout.take().unwrap().read_to_string(&mut output).unwrap();
        assert!(child.wait().unwrap().success());
        output.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn where_the_end_is_not_on_the_disk_it_is_not_said_that_it_is() {
        let folder = Folder::with(WORKSHEET);
        let note = "n".repeat(1500);
        let typed: String = (0..6)
            .map(|number| format!("assumed x{number} = {number} lb note \"{note}\"\n"))
            .collect();
        let output = piped(folder.folder.path(), "trap '' XFSZ; ulimit -f 4;", &typed);
        assert!(
            output.contains("could not be written into the journal, and is lost"),
            "{output}"
        );
        assert!(!output.contains("is kept"), "{output}");
    }

    /// The end of a pipe is no word about what isn't saved: it is kept. Discarded in so many
    /// words, it goes; and what is only on trial was never meant to stay.
    #[test]
    fn at_the_end_of_a_pipe_what_was_changed_is_kept() {
        let folder = Folder::with(WORKSHEET);
        piped(folder.folder.path(), "", "rate = 2 lb/h\nday\n");
        assert_eq!(folder.files(), ["ridge.tare"]);
        piped(folder.folder.path(), "", "measured gross = 30 lb\nquit\ndiscard\n");
        assert_eq!(folder.files(), ["ridge.tare"]);
        piped(folder.folder.path(), "", "measured gross = 30 lb\nsave\n");
        assert_eq!(folder.files(), ["ridge.tare"]);
        let output = piped(folder.folder.path(), "", "measured gross = 31 lb\n");
        assert!(
            output.contains("Left without saving. What was changed is kept"),
            "{output}"
        );
        assert!(folder.taken_up().0.sheet().text().contains("31 lb"));
    }

    #[test]
    fn a_name_that_is_not_there_leaves_nothing() {
        let folder = memory_folder();
        let run = |folder: &Path| {
            let program = env!("CARGO_BIN_EXE_tarebook");
            let mut command = Command::new(program);
            command.args(["open", "ridge.tare"]).current_dir(folder);
            command.env("XDG_STATE_HOME", folder.join("state")).stdin(Stdio::null());
            let run = command.output().unwrap();
            assert_eq!(run.status.code(), Some(2));
            String::from_utf8(run.stderr).unwrap()
        };
        assert!(!run(folder.path()).contains("was not saved"));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
        let gone = Folder::with(WORKSHEET);
        gone.broken_off(SOME);
        fs::remove_file(&gone.path).unwrap();
        let told = |said: &String| said.contains("offers the work on it that was not saved");
        assert!((0..20).any(|_| told(&run(gone.folder.path()))));
        assert_eq!(gone.files(), [".ridge.tare.unsaved"]);
    }

    /// Piped lines are no answer to what is to become of work that was left.
    #[test]
    fn a_pipe_takes_nothing_up() {
        let folder = Folder::with(WORKSHEET);
        folder.broken_off(SOME);
        let bytes = fs::read(folder.journal()).unwrap();
        let mut child = spawn(folder.folder.path(), "");
        child.stdin.take().unwrap().write_all(b"rate\nquit\n").unwrap();
        let mut output = String::new();
        child.stdout.take().unwrap().read_to_string(&mut output).unwrap();
        assert!(child.wait().unwrap().success());
        let output = output.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(output.contains("6 changes, "), "{output}");
        assert!(output.contains("It stays as it is"), "{output}");
        assert!(output.contains("rate 1.3 lb/h"), "{output}");
        assert_eq!(fs::read(folder.journal()).unwrap(), bytes);
        assert_eq!(folder.files(), [".ridge.tare.unsaved", "ridge.tare"]);
    }
}

// ---- a long session ----

/// So many bytes the process has in memory; `None` where the system doesn't say.
fn memory() -> Option<u64> {
    let pages = fs::read_to_string("/proc/self/statm").ok()?;
    let resident: u64 = pages.split(' ').nth(1)?.parse().ok()?;
    Some(resident * 4096)
}

/// What a worksheet has for a long session: an entry to be tried with its unit, a case, an
/// entry to be tried there, and something that takes part in a formula.
struct Edited {
    tried: (&'static str, &'static str),
    case: &'static str,
    in_case: (&'static str, &'static str),
    used: &'static str,
}

const EDITED: Edited = Edited {
    tried: ("rate", "lb/h"),
    case: "cold",
    in_case: ("rate", "lb/h"),
    used: "day",
};

/// The edits of a long session, sixteen of them in turn.
fn edit(session: &mut Session, number: usize, of: &Edited) -> Vec<String> {
    let turn = number / 16;
    let line = match number % 16 {
        0 => format!("measured gross = {} lb  -- weighed {number}", 28 + turn % 17),
        1 => format!("{} = {} {}", of.tried.0, 1 + turn % 3, of.tried.1),
        2 => "keep".to_owned(),
        3 => "undo".to_owned(),
        4 => format!("worked extra{turn} = gross / {}", 1 + turn % 5),
        5 => format!("edit extra{turn} : worked extra{turn} = gross * 2 - {}", of.used),
        6 => format!("rename extra{turn} other{turn}"),
        7 => format!("remove other{turn}"),
        8 => "gross = gross * 2".to_owned(),
        9 | 15 => "undo".to_owned(),
        10 => "redo".to_owned(),
        11 => "drop".to_owned(),
        12 => format!("case {}", of.case),
        13 => format!("{} = {} {}", of.in_case.0, 2 + turn % 4, of.in_case.1),
        14 if turn.is_multiple_of(2) => "keep".to_owned(),
        _ => "case base".to_owned(),
    };
    type_line(session, &line)
}

/// On a worksheet that ships, with a drawn-down cylinder, tables and cases.
#[test]
fn edited_for_long_a_notebook_says_what_a_fresh_one_does() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks/winter-outage.tare");
    let folder = Folder::with(&fs::read_to_string(&path).unwrap());
    fs::copy(
        path.with_extension("csv"),
        folder.path.with_file_name("winter-outage.csv"),
    )
    .unwrap();
    let mut session = folder.keeping();
    let of = Edited {
        tried: ("swap_at", "lb"),
        case: "deep_cold",
        in_case: ("air", "°F"),
        used: "swap_at",
    };
    for number in 0..thorough(96, 3_200) {
        let told = edit(&mut session, number, &of);
        assert!(!told.is_empty(), "edit {number}");
        if number % 16 == 6 || number % 16 == 15 {
            check_as_fresh(&session, &folder);
        }
    }
    let wanted = standing(&session);
    drop(session);
    assert_eq!(standing(&folder.taken_up().0), wanted);
}

/// What a session reports on its record, and what a fresh one does on the same text.
fn check_as_fresh(session: &Session, folder: &Folder) {
    let said = |session: &Session| {
        let report = Report {
            file: String::new(),
            ..session.report()
        };
        serde_json::to_string(&report).unwrap()
    };
    let path = folder.path.with_file_name("fresh.tare");
    fs::write(&path, session.sheet().text()).unwrap();
    let mut fresh = Session::open(&path, Options::default()).ok().unwrap();
    let sheet = session.sheet();
    if let Some(case) = sheet.case() {
        fresh.set_case(&case.name).ok().unwrap();
    }
    for cell in sheet.trials() {
        let (name, held) = (
            &sheet.entry(cell).unwrap().name.text,
            &sheet.held(cell).unwrap().written,
        );
        fresh.try_value(&format!("{name} = {held}")).ok().unwrap();
    }
    assert_eq!(said(session), said(&fresh));
}

#[test]
fn a_session_of_many_edits_stays_small_and_right() {
    let folder = Folder::with(WORKSHEET);
    let mut session = folder.keeping();
    let edits = thorough(3_000, 100_000);
    let (mut early, mut longest) = (None, 0);
    let began = Instant::now();
    for number in 0..edits {
        let told = edit(&mut session, number, &EDITED);
        assert!(!told.is_empty(), "edit {number}");
        assert!(told.iter().all(|line| !line.contains("journal")), "{told:?}");
        longest = longest.max(journal_length(&session));
        if number % (edits / 10) == edits / 10 - 1 {
            if session
                .sheet()
                .trials()
                .all(|cell| !session.sheet().held(cell).unwrap().written.is_empty())
            {
                check_as_fresh(&session, &folder);
            }
            let kilobytes = memory().map_or(0, |bytes| bytes >> 10);
            println!("{} edits: {kilobytes} kB, {:.1?}", number + 1, began.elapsed());
            early = early.or(memory());
        }
    }
    println!("the journal had {longest} bytes at most");
    assert!(longest < 1 << 20, "{longest}");
    if let (Some(early), Some(late)) = (early, memory()) {
        assert!(late < early + (32 << 20), "{early} bytes grew to {late}");
    }
    let wanted = standing(&session);
    drop(session);
    let began = Instant::now();
    let (mut session, _) = folder.taken_up();
    println!("taken up in {:.1?}", began.elapsed());
    assert_eq!(standing(&session), wanted);
    let mut steps = 0;
    let refusal = loop {
        match session.undo() {
            Ok(_) => steps += 1,
            Err(refusal) => break refusal,
        }
    };
    assert!(steps <= 1000, "{steps}");
    assert!(refusal.problems[0].message.starts_with("there is nothing more to undo"));
    check_as_fresh(&session, &folder);
}
