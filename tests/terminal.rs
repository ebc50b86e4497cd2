//! The interactive session on a real pseudo-terminal: prompt, completion, hints,
//! a line brought up to be changed, history, and the question before leaving.
#![cfg(unix)]
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
use std::time::Duration;

use expectrl::session::OsSession;
use expectrl::{Eof, Expect};

const WORKSHEET: &str = "# Ridge\nassumed rate = 1.3 lb/h\nassumed swap_at = 7 lb\nanswer day [lb] = rate * 24 h\n";

struct Typed {
    session: OsSession,
    folder: tempfile::TempDir,
}

impl Typed {
    fn open() -> Typed {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("ridge.tare"), WORKSHEET).unwrap();
        let session = spawn(folder.path());
        Typed { session, folder }
    }

    /// Types, and waits for what must be printed.
    #[track_caller]
    fn check(&mut self, typed: &str, wanted: &str) {
        self.session.send(typed).unwrap();
        if let Err(trouble) = self.session.expect(wanted) {
            panic!("after {typed:?} there is no {wanted:?}: {trouble}");
        }
    }

    /// Waits for the next prompt: only then does the terminal take single keys.
    #[track_caller]
    fn ready(&mut self) {
        self.check("", "> ");
    }

    fn text(&self) -> String {
        fs::read_to_string(self.folder.path().join("ridge.tare")).unwrap()
    }
}

fn spawn(folder: &Path) -> OsSession {
    let mut session = begin(folder);
    session.expect("`help` for more.").unwrap();
    session.expect("> ").unwrap();
    session
}

/// A session that may have something to ask first.
fn begin(folder: &Path) -> OsSession {
    begin_with(folder, &["ridge.tare"])
}

fn begin_with(folder: &Path, opened: &[&str]) -> OsSession {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
    command
        .arg("open")
        .args(opened)
        .current_dir(folder)
        .env("XDG_STATE_HOME", folder.join("state"))
        .env("TERM", "xterm")
        .env("NO_COLOR", "1");
    let mut session = OsSession::spawn(command).unwrap();
    session.set_expect_timeout(Some(Duration::from_secs(20)));
    session
}

#[test]
fn a_session_is_typed() {
    let mut typed = Typed::open();
    typed.check("rat\t", "rate");
    typed.check(" * 2 h\r", "2.6 lb");
    typed.check("net_contents(", "net_contents(gross [lb]");
    typed.check("\u{15}rate = 2 lb/h\r", "(+54 %)");
    typed.check("", "1 trial>");
    typed.check("keep\r", "Kept `rate = 2 lb/h` as assumed");
    typed.check("edit swap_at\r", "edit> assumed swap_at = 7 lb");
    typed.check("\u{7f}\u{7f}\u{7f}\u{7f}6 lb\r", "Changed line 4.");
    typed.check("quit\r", "save, discard or stay?");
    typed.check("save\r", "Saved ridge.tare.");
    typed.session.expect(Eof).unwrap();
    assert_eq!(
        typed.text(),
        "# Ridge\n-- assumed rate = 1.3 lb/h\nassumed rate = 2 lb/h\nassumed swap_at = 6 lb\n\
         answer day [lb] = rate * 24 h\n"
    );
    let history = fs::read_to_string(typed.folder.path().join("state/tarebook/history")).unwrap();
    assert!(history.contains("rate * 2 h\n"), "{history}");
    let mut again = spawn(typed.folder.path());
    again.send("\u{10}\u{10}\u{10}").unwrap();
    again.expect("edit swap_at").unwrap();
}

/// What is longer than the screen goes through the pager that is named, where it was asked for;
/// one that isn't there is no error.
#[test]
fn long_text_goes_through_the_pager() {
    let prose: String = (0..40).map(|line| format!("> Line {line}.\n\n")).collect();
    let check = |pager: &str, wanted: &str| {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("ridge.tare"), format!("{WORKSHEET}{prose}")).unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_tarebook"));
        command.args(["show", "ridge.tare", "all"]).current_dir(folder.path());
        command.env("TERM", "xterm").env("NO_COLOR", "1").env("PAGER", pager);
        let mut session = OsSession::spawn(command).unwrap();
        session.get_process_mut().set_window_size(80, 24).unwrap();
        session.set_expect_timeout(Some(Duration::from_secs(20)));
        session.expect(wanted).unwrap();
    };
    check("sed 's/^/paged: /'", "paged:   Line 39.");
    check("no-such-pager-here", "Line 39.");
    check("", "Line 39.");
}

/// Alt-Enter while a table is up begins a row, and a row is added by a line.
#[test]
fn rows_are_typed() {
    let folder = tempfile::tempdir().unwrap();
    let table = "table run\n  | time | gross [lb] |\n  | 09:04 | 35.4 |\n";
    fs::write(folder.path().join("ridge.tare"), table).unwrap();
    let mut session = begin(folder.path());
    session.expect("> ").unwrap();
    let mut typed = Typed { session, folder };
    typed.check("edit run\r", "Alt-Enter begins a new row");
    typed.check("", "35.4 |");
    typed.check("\u{1b}\r", "| ");
    typed.check("12:10 | 28.7 |\r", "Changed line 1.");
    typed.check("add time 13:10, gross 26.4\r", "Row 3 of `run`");
    typed.check("save\r", "Saved ridge.tare.");
    assert_eq!(typed.text(), format!("{table}  | 12:10 | 28.7 |\n  | 13:10 | 26.4 |\n"));
}

#[test]
fn a_line_broken_off_and_the_end_of_input_lose_nothing() {
    let mut typed = Typed::open();
    typed.check("assumed spare = (", "(");
    typed.check("\r", "more> ");
    typed.check("\u{3}", "> ");
    typed.check("assumed spare = 2 lb\r", "Added as line 4.");
    typed.ready();
    typed.check("\u{4}", "save, discard or stay?");
    typed.check("stay\r", "\n");
    typed.check("spare * 3\r", "6 lb");
    typed.ready();
    typed.check("\u{4}", "save, discard or stay?");
    typed.check("\u{4}", "Left without saving.");
    typed.session.expect(Eof).unwrap();
    assert_eq!(typed.text(), WORKSHEET);
}

#[test]
fn a_state_folder_that_cant_be_written_is_no_trouble() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("ridge.tare"), WORKSHEET).unwrap();
    fs::write(folder.path().join("state"), "a file where the folder should be").unwrap();
    let mut session = spawn(folder.path());
    session.send("rate * 2 h\r").unwrap();
    session.expect("2.6 lb").unwrap();
    session.send("quit\r").unwrap();
    session.expect(Eof).unwrap();
}

const SLOW: &str = "# Slow\nassumed air = 20 °F ± 4 °F\nanswer stalls [h] = draw_down_time(19 lb, 12.2 in, 18 lb, air, 0.7 lb/h, 7 W/(m2·C°), 5 psig)\n";

/// Ctrl-C ends a long drawing with what there is, and the session goes on; what is done
/// shows meanwhile.
#[test]
fn long_work_shows_how_far_it_is_and_can_be_stopped() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("ridge.tare"), SLOW).unwrap();
    let mut typed = Typed {
        session: spawn(folder.path()),
        folder,
    };
    typed.check("doubt stalls draws 10000000\r", "of 10000000 done");
    typed.check("\u{3}", "stopped before 10000000");
    typed.ready();
    typed.check("air\r", "20 °F");
}

/// What comes in one write, as a paste without brackets does, is answered line by line.
#[test]
fn lines_that_come_together_are_all_answered() {
    let mut typed = Typed::open();
    typed.check("rate * 2 h\rrate * 3 h\nassumed spare = 2 lb\r", "2.6 lb");
    typed.check("", "3.9 lb");
    typed.check("", "Added as line 4.");
}

/// What is typed while a study is at work is answered behind it, every line of it.
#[test]
fn lines_typed_ahead_of_a_study_are_all_answered() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("ridge.tare"), SLOW).unwrap();
    let mut session = begin_with(folder.path(), &["ridge.tare", "--time-limit", "2"]);
    session.expect("> ").unwrap();
    let mut typed = Typed { session, folder };
    typed.check("doubt stalls draws 10000000\r", "of 10000000 done");
    typed.check("air\rair + 8 F°\rair + 16 F°\r", "stopped before 10000000");
    typed.check("", "20 °F");
    typed.check("", "28 °F");
    typed.check("", "36 °F");
}

/// A block of entries in the brackets of a terminal is one step; of one with a line that
/// can't be read nothing is put in; other lines are answered one by one.
#[test]
fn what_is_pasted_in_brackets_is_put_in_or_answered() {
    let mut typed = Typed::open();
    let pasted = |lines: &str| format!("\u{1b}[200~{lines}\u{1b}[201~\r");
    let block = "## Cylinder\rmeasured gross = 37 lb\rassumed rate = 2 lb/h\rworked hours [h] = gross / rate\r";
    typed.check(&pasted(block), "Changed line 2.");
    typed.check("", "Added as lines 6 to 8.");
    typed.check("", "18.5 h");
    typed.check("undo\r", "Undone: `## Cylinder … worked hours [h] = gross / rate`.");
    typed.ready();
    typed.check(
        &pasted("measured gross = 37 lb\rmesured tare = 18 lb"),
        "your lines, line 2",
    );
    typed.check("", "None of these lines was put in");
    typed.check("", "mesured tare = 18 lb");
    typed.check("\u{3}", "> ");
    typed.check(&pasted("rate * 2 h\rswap_at = 8 lb\rundo\rswap_at + 1 lb"), "2.6 lb");
    typed.check("", "Undone: `swap_at = 8 lb`");
    typed.check("", "8 lb");
    typed.ready();
    typed.check("quit\r", "quit");
    typed.session.expect(Eof).unwrap();
    assert_eq!(typed.text(), WORKSHEET);
}

/// The process is killed, then the worksheet itself is removed: what was typed comes back.
#[test]
fn killed_at_the_terminal_all_comes_back() {
    let mut typed = Typed::open();
    typed.check("assumed spare = 2 lb\r", "Added as line 4.");
    typed.check("rate = 2 lb/h\r", "1 trial>");
    typed
        .session
        .get_process_mut()
        .kill(expectrl::process::unix::Signal::SIGKILL)
        .unwrap();
    // Its lock is gone once the system has let go of the terminal.
    typed.session.expect(Eof).unwrap();
    let mut again = begin(typed.folder.path());
    again.expect("2 changes, from").unwrap();
    again.expect("take up, discard or later? ").unwrap();
    again.send("later\r").unwrap();
    again.expect("> ").unwrap();
    again.send("quit\r").unwrap();
    again.expect(Eof).unwrap();
    fs::remove_file(typed.folder.path().join("ridge.tare")).unwrap();
    let mut again = begin(typed.folder.path());
    again.expect("can't be read").unwrap();
    again.expect("take up, discard or later? ").unwrap();
    again.send("later\r").unwrap();
    again.expect("Left for later.").unwrap();
    again.expect(Eof).unwrap();
    let mut again = begin(typed.folder.path());
    again.expect("take up, discard or later? ").unwrap();
    again.send("take up\r").unwrap();
    again.expect("Taken up: 2 changes.").unwrap();
    again.expect("1 trial> ").unwrap();
    again.send("save\r").unwrap();
    again.expect("Saved ridge.tare.").unwrap();
    assert!(typed.text().contains("assumed spare = 2 lb\n"), "{}", typed.text());
}

#[test]
fn a_new_name_begins_an_empty_worksheet() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("ridge.tare"), WORKSHEET).unwrap();
    let new = folder.path().join("rigde.tare");
    let mut session = begin_with(folder.path(), &["rigde.tare"]);
    session.expect("Did you mean `ridge.tare`?").unwrap();
    session.expect("is not there yet").unwrap();
    session.expect("> ").unwrap();
    session.send("assumed rate = 2 lb/h\r").unwrap();
    session.expect("Added as line 1.").unwrap();
    session.expect("> ").unwrap();
    assert!(!new.exists(), "nothing is written until it is saved");
    // The session breaks off, and its work is offered.
    session.get_process_mut().exit(true).unwrap();
    session.expect(Eof).unwrap();
    let mut again = begin_with(folder.path(), &["rigde.tare"]);
    again.expect("take up, discard or later? ").unwrap();
    again.send("take up\r").unwrap();
    again.expect("> ").unwrap();
    again.send("save\r").unwrap();
    again.expect("Saved rigde.tare.").unwrap();
    assert_eq!(fs::read_to_string(&new).unwrap(), "assumed rate = 2 lb/h\n");
    // A folder that isn't there is refused.
    let mut none = begin_with(folder.path(), &["nowhere/new.tare"]);
    none.expect("can't be read").unwrap();
    none.expect(Eof).unwrap();
}

/// Stopped and continued, the line goes on where it was.
#[test]
fn a_line_that_was_stopped_goes_on() {
    use expectrl::process::unix::Signal;
    let mut typed = Typed::open();
    typed.check("rate * ", "rate * ");
    let process = typed.session.get_process_mut();
    process.kill(Signal::SIGSTOP).unwrap();
    std::thread::sleep(Duration::from_millis(200));
    process.kill(Signal::SIGCONT).unwrap();
    typed.check("2 h\r", "2.6 lb");
    // the key for it, where no shell is there to stop it, draws the line anew
    typed.ready();
    typed.check("rate * 3", "rate * 3");
    typed.check("\u{1a}", "> rate * 3");
    typed.check(" h\r", "3.9 lb");
}

/// What can't be read is put aside, and lines are remembered again.
#[test]
fn a_damaged_history_is_begun_anew() {
    let folder = tempfile::tempdir().unwrap();
    let state = folder.path().join("state/tarebook");
    fs::create_dir_all(&state).unwrap();
    fs::write(state.join("history"), b"#V2\na \xff\xfe b\n\0\x1b[2J\n").unwrap();
    fs::write(folder.path().join("ridge.tare"), WORKSHEET).unwrap();
    let mut typed = Typed {
        session: spawn(folder.path()),
        folder,
    };
    typed.check("rate * 2 h\r", "2.6 lb");
    typed.ready();
    typed.check("quit\r", "quit");
    typed.session.expect(Eof).unwrap();
    let history = fs::read_to_string(state.join("history")).unwrap();
    assert!(history.contains("rate * 2 h\n"), "{history}");
    assert!(state.join("history.unread").exists());
}

/// Letters without an end, as a paste without brackets sends them, are let go and said to be.
#[test]
fn a_line_that_is_typed_too_long_is_left_out() {
    let mut typed = Typed::open();
    for _ in 0..5 {
        typed.session.send("q".repeat(2_000)).unwrap();
        typed.session.expect("q").unwrap();
    }
    typed.session.set_expect_timeout(Some(Duration::from_secs(60)));
    typed.check("\r", "This is longer than 8 KiB; nothing of it was done.");
    typed.check("rate * 2 h\r", "2.6 lb");
}
