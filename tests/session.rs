//! The interactive session, line by line, and what saving does to files.
//!
//! A conversation is a text file: a worksheet, a line of equals signs, then the
//! lines typed, each behind its prompt and marked `»`, with what is printed
//! between them.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::cell::RefCell;
use std::collections::VecDeque;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use tarebook::report::compose::Options;
use tarebook::report::style::Style;
use tarebook::session::file::Replacing;
use tarebook::session::{Refusal, Session};
use tarebook::shell::conversation::{Conversation, Lines, Reply};

/// What is typed and printed, in order.
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

/// The typed lines of a conversation.
struct Script {
    lines: VecDeque<String>,
    paper: Paper,
    /// Whether the terminal is gone behind the last line, as when the power fails.
    breaks_off: bool,
}

impl Lines for Script {
    fn read(&mut self, prompt: &str, _: &str, _: &mut Session) -> io::Result<Reply> {
        let Some(line) = self.lines.pop_front() else {
            return match self.breaks_off {
                true => Err(io::ErrorKind::BrokenPipe.into()),
                false => Ok(Reply::End),
            };
        };
        let typed = line.strip_prefix(prompt.trim_end()).map(str::trim_start);
        let typed = typed.unwrap_or_else(|| line.split_once("> ").map_or(line.as_str(), |(_, typed)| typed));
        writeln!(self.paper, "{}", format!("» {prompt}{typed}").trim_end())?;
        Ok(Reply::Line(typed.to_owned()))
    }

    fn is_terminal(&self) -> bool {
        true
    }
}

fn conversation_of(worksheet: &str, lines: VecDeque<String>) -> String {
    let folder = memory_folder();
    let path = folder.path().join("ridge.tare");
    fs::write(&path, worksheet).unwrap();
    talk_in(folder.path(), lines, false)
}

/// 2026-01-11 12:10, in seconds from 1970-01-01 00:00.
const TEN_PAST_NOON: i64 = (20_464 * 24 + 12) * 3600 + 600;

/// What is typed and printed about the worksheet in a folder.
fn talk_in(folder: &Path, lines: VecDeque<String>, breaks_off: bool) -> String {
    let mut session = Session::open(&folder.join("ridge.tare"), Options::default())
        .ok()
        .unwrap();
    session.set_clock(TEN_PAST_NOON);
    let paper = Paper::default();
    let mut script = Script {
        lines: lines
            .into_iter()
            .map(|line| line.replace("FOLDER", &folder.to_string_lossy()))
            .collect(),
        paper: paper.clone(),
        breaks_off,
    };
    let mut output = paper.clone();
    // Wide enough that a path doesn't decide where lines break.
    let style = Style {
        colour: false,
        width: 100,
        ..Style::default()
    };
    let talk = Conversation::new(session, &mut script, &mut output, style).with_journal(None);
    assert_eq!(talk.run().is_err(), breaks_off);
    let text = String::from_utf8(paper.0.take()).unwrap();
    text.replace(&*folder.to_string_lossy(), "FOLDER")
}

/// A folder in memory, where the system has one: each change is settled on the disk before
/// it is answered, and the tests would wait for that alone.
fn memory_folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").unwrap_or_else(|_| tempfile::tempdir().unwrap())
}

/// Types the lines of a conversation and compares what is printed.
fn check(name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/session").join(name);
    let wanted = fs::read_to_string(&path).unwrap();
    let (worksheet, talk) = wanted.split_once("\n====\n").unwrap();
    let lines = talk
        .lines()
        .filter_map(|line| line.strip_prefix('»'))
        .map(|line| line.trim_start().to_owned());
    let found = conversation_of(&format!("{worksheet}\n"), lines.collect());
    if std::env::var_os("WRITE_CONVERSATIONS").is_some() {
        fs::write(&path, format!("{worksheet}\n====\n{found}")).unwrap();
        return;
    }
    for (number, (found, wanted)) in found.lines().zip(talk.lines()).enumerate() {
        assert_eq!(found, wanted, "{name}, line {} of the talk", number + 1);
    }
    assert_eq!(found, talk, "{name}");
}

#[test]
fn a_trial_is_tried_kept_and_undone() {
    check("trials.txt");
}

#[test]
fn blanks_are_filled_in_and_blocks_are_ended() {
    check("blanks.txt");
}

#[test]
fn a_fresh_worksheet_is_filled_in_on_trial_and_saved() {
    check("filled-in.txt");
}

#[test]
fn cases_are_switched_opened_and_filled() {
    check("cases.txt");
}

#[test]
fn what_is_in_hand_is_set_against_a_file() {
    check("diff.txt");
}

#[test]
fn answers_are_marked() {
    check("class.txt");
}

#[test]
fn entries_are_added_changed_renamed_and_removed() {
    check("entries.txt");
}

#[test]
fn checks_are_called_by_their_place_and_what_is_put_aside_is_told() {
    check("checks.txt");
}

#[test]
fn problems_are_drawn_at_the_typed_line() {
    check("problems.txt");
}

#[test]
fn looking_around_changes_nothing() {
    check("looking.txt");
}

#[test]
fn columns_are_told_row_by_row() {
    check("columns.txt");
}

#[test]
fn readings_are_put_in_as_they_come() {
    check("readings.txt");
}

#[test]
fn a_worked_column_is_asked_about_and_renamed() {
    check("worked.txt");
}

#[test]
fn one_cell_is_tried_and_kept() {
    check("cells.txt");
}

#[test]
fn a_number_without_its_unit_is_never_read_as_another() {
    check("ratios.txt");
}

#[test]
fn a_run_is_told_as_it_comes() {
    check("first-run.txt");
}

#[test]
fn what_is_no_run_is_not_judged_as_one() {
    check("two-loads.txt");
}

#[test]
fn charts_are_drawn_and_kept() {
    check("plots.txt");
}

#[test]
fn saving_and_leaving() {
    check("saving.txt");
}

/// Every day and minute as the same one.
fn timeless(text: &str) -> String {
    let figures: String = text.chars().map(|c| if c.is_ascii_digit() { '0' } else { c }).collect();
    let mut timeless = text.to_owned();
    for (at, shape) in figures.match_indices("0000-00-00 00:00") {
        timeless.replace_range(at..at + shape.len(), "2026-02-11 21:40");
    }
    timeless
}

/// Sessions on one worksheet, one after the other; each but the last breaks off.
#[test]
fn work_that_broke_off_is_offered() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/session/broken-off.txt");
    let wanted = fs::read_to_string(&path).unwrap();
    let mut parts = wanted.split("\n====\n");
    let worksheet = parts.next().unwrap();
    let talks: Vec<&str> = parts.collect();
    let folder = memory_folder();
    fs::write(folder.path().join("ridge.tare"), format!("{worksheet}\n")).unwrap();
    let mut found = worksheet.to_owned();
    for (number, talk) in talks.iter().enumerate() {
        let lines = talk.lines().filter_map(|line| line.strip_prefix('»'));
        let lines = lines.map(|line| line.trim_start().to_owned()).collect();
        let printed = timeless(&talk_in(folder.path(), lines, number + 1 < talks.len()));
        found.push_str("\n====\n");
        found.push_str(printed.trim_end());
    }
    found.push('\n');
    if std::env::var_os("WRITE_CONVERSATIONS").is_some() {
        fs::write(&path, found).unwrap();
        return;
    }
    assert_eq!(found, wanted);
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

// ---- files ----

const WORKSHEET: &str = "# Ridge\r\nmeasured gross = 37.1 lb  -- a remark\r\nworked half = gross / 2";

struct Kept {
    folder: tempfile::TempDir,
    path: PathBuf,
}

fn kept() -> Kept {
    let folder = memory_folder();
    let path = folder.path().join("ridge.tare");
    fs::write(&path, WORKSHEET).unwrap();
    Kept { folder, path }
}

fn opened(path: &Path) -> Session {
    Session::open(path, Options::default()).ok().unwrap()
}

fn changed(path: &Path) -> Session {
    let mut session = opened(path);
    session.enter("measured gross = 40 lb").ok().unwrap();
    assert!(session.unsaved());
    session
}

fn message(refusal: &Refusal) -> String {
    let problem = refusal.problems.first().unwrap();
    format!("{}: {}", problem.code, problem.message)
}

const CHANGED: &str = "# Ridge\r\nmeasured gross = 40 lb  -- a remark\r\nworked half = gross / 2";

#[test]
fn saving_changes_only_what_was_edited() {
    let kept = kept();
    let mut session = changed(&kept.path);
    session.save(Replacing::Known).ok().unwrap();
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), CHANGED);
    assert!(!session.unsaved());
    assert_eq!(fs::read_dir(kept.folder.path()).unwrap().count(), 1, "no stray files");
}

/// What has a name already takes the old line's place, the rest stays together at the end;
/// one step takes all of it back.
#[test]
fn a_block_is_put_in_as_one_step() {
    let check = |worksheet: &str, block: &str, wanted: &str, told: &[&str]| {
        let mut session = Session::of_text("ridge.tare", worksheet.to_owned(), &[], Options::default());
        let outcome = session.enter(block).ok().unwrap();
        assert_eq!(session.sheet().text(), wanted, "{block}");
        assert_eq!(outcome.told, told, "{block}");
        session.undo().ok().unwrap();
        assert_eq!(session.sheet().text(), worksheet);
        assert!(session.undo().is_err());
    };
    check(
        "# Ridge\nassumed rate = 1 lb/h  -- guessed\nassumed air = 20 °F",
        "assumed rate = 2 lb/h\n\n-- weighed\nmeasured gross = 37 lb\nexpect gross > 18 lb\n",
        "# Ridge\nassumed rate = 2 lb/h  -- guessed\nassumed air = 20 °F\n\n-- weighed\n\
         measured gross = 37 lb\nexpect gross > 18 lb\n",
        &["Changed line 2", "Added as lines 5 to 7", "`gross > 18 lb` holds"],
    );
    check(
        "assumed a = 1\r\n## Night\r\nassumed b = 2\r\n",
        "assumed b = 3\nassumed a = 4",
        "assumed a = 4\r\n## Night\r\nassumed b = 3\r\n",
        &["Changed line 3", "Changed line 1"],
    );
    check(
        "",
        "# Ridge\n> Weighed on the porch.\ntable run\n  | gross [lb] |\n  | 37 |\nanswer last = last(run.gross)",
        "# Ridge\n> Weighed on the porch.\ntable run\n  | gross [lb] |\n  | 37 |\nanswer last = last(run.gross)\n",
        &["Added as lines 1 to 6"],
    );
}

/// Lines with a trial, a verb or an expression alone among them mean what they would if they
/// were typed one after the other.
#[test]
fn lines_that_are_typed_alone_make_no_block() {
    let check = |lines: &str, is_block: bool| assert_eq!(Session::is_block(lines), is_block, "{lines}");
    check("measured a = 1 lb\nanswer b = a", true);
    check("measured a = 1 lb\nmesured b = 2 lb", true);
    check("# Title\n> Prose", true);
    check("case night \"Cold\"\n  air = 5 °F", true);
    check("case night\nair = 5 °F\nkeep", false);
    check("measured a = 1 lb\na = 2 lb", false);
    check("measured a = 1 lb\nsave", false);
    check("1 + 1\n2 + 2", false);
    check("plot log.gross over log.time\nkeep plot", false);
}

#[test]
fn undo_brings_the_text_back_byte_for_byte() {
    let kept = kept();
    let mut session = changed(&kept.path);
    session.try_value("gross = 30 lb").ok().unwrap();
    session.keep().ok().unwrap();
    session.rename("gross", "full").ok().unwrap();
    session.enter("case night \"Night\"\n  full = 20 lb").ok().unwrap();
    session.set_case("night").ok().unwrap();
    session.remove("half").ok().unwrap();
    let end = session.sheet().text().to_owned();
    let mut steps = 0;
    while session.undo().is_ok() {
        steps += 1;
    }
    assert_eq!((session.sheet().text(), steps), (WORKSHEET, 7));
    while session.redo().is_ok() {}
    assert_eq!(session.sheet().text(), end);
}

#[cfg(unix)]
#[test]
fn permissions_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let kept = kept();
    fs::set_permissions(&kept.path, fs::Permissions::from_mode(0o640)).unwrap();
    changed(&kept.path).save(Replacing::Known).ok().unwrap();
    let mode = fs::metadata(&kept.path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode, 0o640);
}

#[cfg(unix)]
#[test]
fn a_link_is_followed() {
    let kept = kept();
    let link = kept.folder.path().join("link.tare");
    std::os::unix::fs::symlink("ridge.tare", &link).unwrap();
    changed(&link).save(Replacing::Known).ok().unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), CHANGED);
}

#[test]
fn a_file_changed_on_disk_is_not_replaced() {
    let kept = kept();
    let mut session = changed(&kept.path);
    fs::write(&kept.path, "# Somebody else's\n").unwrap();
    let refusal = session.save(Replacing::Known).err().unwrap();
    assert_eq!(
        message(&refusal),
        "changed-on-disk: somebody changed this file on disk since it was read; nothing was saved"
    );
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), "# Somebody else's\n");
    assert_eq!(session.sheet().text(), CHANGED, "nothing is lost");
    session.save(Replacing::Anything).ok().unwrap();
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), CHANGED);
}

#[test]
fn reload_takes_the_file_and_undo_brings_the_own_text_back() {
    let kept = kept();
    let mut session = changed(&kept.path);
    fs::write(&kept.path, "measured gross = 20 lb\n").unwrap();
    session.reload().ok().unwrap();
    assert_eq!(session.sheet().text(), "measured gross = 20 lb\n");
    assert!(!session.unsaved());
    session.undo().ok().unwrap();
    assert_eq!(session.sheet().text(), CHANGED);
    assert!(session.unsaved());
    // what somebody else wrote is in neither the text nor a file of ours
    assert!(session.save(Replacing::Known).is_err());
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), "measured gross = 20 lb\n");
    session.redo().ok().unwrap();
    assert!(!session.unsaved());
    session.save(Replacing::Known).ok().unwrap();
    session.undo().ok().unwrap();
    session.save(Replacing::Anything).ok().unwrap();
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), CHANGED);
}

/// A check that fails before and after would look mended if nothing were said of it.
#[test]
fn reload_names_the_checks_that_go_on_failing() {
    let kept = kept();
    let csv = kept.folder.path().join("run.csv");
    fs::write(&csv, "gross [lb]\n37\n27.7\n").unwrap();
    let worksheet = "table run = csv(\"run.csv\")\nanswer last_gross = last(run.gross)\n\
        expect last_gross > 30 lb else \"read the scale again\"\nexpect count(run.gross) = 2\n";
    fs::write(&kept.path, worksheet).unwrap();
    let mut session = Session::open(&kept.path, Options::default()).ok().unwrap();
    let mut reread = |readings: &str| -> Vec<String> {
        fs::write(&csv, format!("gross [lb]\n{readings}")).unwrap();
        let still = session.reload().ok().unwrap().still;
        still
            .into_iter()
            .map(|check| format!("{} {:?}", check.text, check.compared))
            .collect()
    };
    let fails = |value: &str| {
        vec![format!(
            "last_gross > 30 lb {:?}",
            Some(format!("as it stands, last_gross is {value}"))
        )]
    };
    assert_eq!(reread("37\n23.7\n"), fails("23.7 lb"));
    assert_eq!(reread("37\n23.7\n"), fails("23.7 lb"));
    assert_eq!(reread("37\n33.7\n"), Vec::<String>::new());
    assert_eq!(
        reread("37\n23.7\n"),
        Vec::<String>::new(),
        "that it fails now is told as a change"
    );
    fs::write(&kept.path, format!("# Titled\n{worksheet}")).unwrap();
    assert_eq!(reread("37\n23.7\n"), fails("23.7 lb"));
}

#[test]
fn save_as_replaces_nothing_unless_told() {
    let kept = kept();
    let other = kept.folder.path().join("other.tare");
    fs::write(&other, "# Other\n").unwrap();
    let mut session = changed(&kept.path);
    assert!(session.save_as(&other, Replacing::Known).is_err());
    assert_eq!(fs::read_to_string(&other).unwrap(), "# Other\n");
    session.save_as(&other, Replacing::Anything).ok().unwrap();
    assert_eq!(fs::read_to_string(&other).unwrap(), CHANGED);
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), WORKSHEET, "the first stays");
    assert_eq!(session.name(), "other.tare");
}

/// What is no file would be one once it is replaced, and a link leads to a file that nobody named.
#[cfg(unix)]
#[test]
fn what_is_no_file_is_not_saved_over() {
    let kept = kept();
    let folder = kept.folder.path();
    let pipe = folder.join("pipe");
    assert!(
        std::process::Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    let to_device = folder.join("null");
    std::os::unix::fs::symlink("/dev/null", &to_device).unwrap();
    let to_file = folder.join("link.tare");
    fs::write(folder.join("other.tare"), "# Other\n").unwrap();
    std::os::unix::fs::symlink("other.tare", &to_file).unwrap();
    let mut session = changed(&kept.path);
    let mut check = |path: &Path, told: &str| {
        for replacing in [Replacing::Known, Replacing::Anything] {
            let refusal = session.save_as(path, replacing).err().unwrap();
            assert!(message(&refusal).contains(told), "{}", message(&refusal));
            let help = refusal.problems[0].help.clone().unwrap();
            assert!(!help.contains("save over"), "{help}");
        }
    };
    check(&pipe, "is a pipe and no file; nothing was saved");
    check(&to_device, "is a link to `/dev/null`; nothing was saved");
    check(&to_file, "is a link to");
    check(folder, "is a folder and no file");
    // a worksheet that was opened by way of a link to a device
    let mut session = Session::open(&to_device, Options::default()).ok().unwrap();
    session.enter("assumed rate = 1 lb/h").ok().unwrap();
    let refusal = session.save(Replacing::Anything).err().unwrap();
    assert!(
        message(&refusal).contains("is a device and no file"),
        "{}",
        message(&refusal)
    );
    assert_eq!(fs::read_to_string(folder.join("other.tare")).unwrap(), "# Other\n");
    assert!(fs::symlink_metadata(&to_file).unwrap().is_symlink());
}

/// A folder nobody can write into: `/sys` on Linux even for the superuser, and nowhere else does it exist.
#[test]
fn a_folder_that_cant_be_written_loses_nothing() {
    let kept = kept();
    let mut session = changed(&kept.path);
    let refusal = session
        .save_as(Path::new("/sys/ridge.tare"), Replacing::Known)
        .err()
        .unwrap();
    assert!(message(&refusal).contains("can't be written"), "{}", message(&refusal));
    assert_eq!(session.sheet().text(), CHANGED);
    assert!(session.unsaved());
    assert_eq!(session.name(), "ridge.tare");
}

#[cfg(unix)]
#[test]
fn a_read_only_file_is_not_replaced() {
    use std::os::unix::fs::PermissionsExt;
    let kept = kept();
    fs::set_permissions(&kept.path, fs::Permissions::from_mode(0o444)).unwrap();
    let refusal = changed(&kept.path).save(Replacing::Known).err().unwrap();
    assert!(message(&refusal).contains("it is read-only"), "{}", message(&refusal));
    assert_eq!(fs::read_to_string(&kept.path).unwrap(), WORKSHEET);
}

#[test]
fn a_worksheet_with_files_enclosed_is_saved_with_them() {
    let folder = memory_folder();
    let enclosed: tarebook::sheet::Enclosed = &[("log.csv", "gross [lb]\n37.1\n35.5\n")];
    let text = "table log = csv(\"log.csv\")\nanswer used = first(log.gross) - last(log.gross)\n".to_owned();
    let mut session = Session::of_text("the sample", text, enclosed, Options::default());
    assert!(session.save(Replacing::Known).is_err(), "it stands in no file");
    session
        .save_as(&folder.path().join("mine.tare"), Replacing::Known)
        .ok()
        .unwrap();
    assert!(session.problems().is_empty());
    assert!(folder.path().join("log.csv").exists());
}

// ---- anything typed ----

/// Lines that somebody may type, sensible or not.
const TYPED: &[&str] = &[
    "gross = 30 lb",
    "gross = gross * 2",
    "rate = 2 lb/h ± 0.1 lb/h",
    "day = 5 lb",
    "when = 21:40",
    "place = \"shed\"",
    "run.used = 3 lb",
    "keep",
    "keep as case c1 \"One\"",
    "keep as case c2",
    "drop",
    "drop gross",
    "case cold",
    "case base",
    "case c1",
    "undo",
    "redo",
    "measured gross = 31 lb -- again",
    "worked extra = gross - day",
    "worked extra = (gross -\n day)",
    "assumed gross = gross",
    "answer when = 3 lb",
    "table run\n  | used [lb] |\n  | 4 |",
    "case cold \"Colder\"",
    "case cold \"Colder\"\n  rate = 3 lb/h\n  nothing = 2",
    "expect gross >= day else \"no\"",
    "rule twice(x) = x * 2",
    "rename gross full",
    "rename full gross",
    "rename run log",
    "rename cold warm",
    "remove rate",
    "remove cold",
    "remove extra",
    "±",
    "(",
    "plot run.used over run.used",
    "plot run.used over when \"no column\"",
    "keep plot",
];

const MIXED: &str = "\u{feff}# Ridge\r\nmeasured gross = 37.1 lb  -- a remark\r\n\r\nassumed rate = 1.3 lb/h\r\n\
    answer day [lb] = (rate * 24 h +\r\n  0 lb)\r\nassumed when = 20:15\r\nassumed place = \"barn\"\r\n\
    table run\r\n  | used [lb] |\r\n  | 3 |\r\ncase cold \"Cold\"\r\n  rate = 1.6 lb/h";

fn type_line(session: &mut Session, line: &str) {
    let words: Vec<&str> = line.split_whitespace().collect();
    let _ = match words.as_slice() {
        _ if Session::is_trial(line) => session.try_value(line).err(),
        ["keep"] => session.keep().err(),
        ["keep", "plot"] => session.keep_plot().err(),
        ["plot", ..] => session.plot(line).err(),
        ["keep", "as", "case", ..] => session.keep_as_case(line.trim_start_matches("keep as case ")).err(),
        ["drop"] => session.drop_trials(None).err(),
        ["drop", name] => session.drop_trials(Some(name)).err(),
        ["case", name] => session.set_case(name).err(),
        ["undo"] => session.undo().err(),
        ["redo"] => session.redo().err(),
        ["rename", old, new] => session.rename(old, new).err(),
        ["remove", name] => session.remove(name).err(),
        _ => session.enter(line).err(),
    };
}

/// What a sheet says, but for what is held over it.
fn said(session: &Session) -> String {
    serde_json::to_string(&session.report()).unwrap()
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_steps_can_be_undone_and_an_edited_sheet_equals_a_fresh_one(
        steps in proptest::collection::vec(proptest::sample::select(TYPED), 1..25)
    ) {
        let mut session = Session::of_text("ridge.tare", MIXED.to_owned(), &[], Options::default());
        let first = said(&session);
        for step in &steps {
            type_line(&mut session, step);
        }
        let end = session.sheet().text().to_owned();
        let _ = session.drop_trials(None);
        session.set_case("base").ok().unwrap();
        let fresh = Session::of_text("ridge.tare", end.clone(), &[], Options::default());
        assert_eq!(said(&session), said(&fresh), "after {steps:?}");
        let mut undone = 0;
        while session.undo().is_ok() {
            undone += 1;
        }
        assert_eq!(session.sheet().text(), MIXED, "after {steps:?}");
        assert_eq!(said(&session), first, "after {steps:?}");
        for _ in 0..undone {
            session.redo().ok().unwrap();
        }
        assert_eq!(session.sheet().text(), end, "after {steps:?}");
    }
}

// ---- lints ----

fn check_lint(worksheet: &str, code: Option<&str>) {
    let session = Session::of_text("ridge.tare", worksheet.to_owned(), &[], Options::default());
    let codes: Vec<String> = session.problems().into_iter().map(|problem| problem.code).collect();
    let wanted: Vec<String> = code.into_iter().map(str::to_owned).collect();
    assert_eq!(codes, wanted, "{worksheet}");
}

#[test]
fn names_that_mean_something_else_get_a_remark() {
    check_lint("assumed lb = 3 lb\n", Some("name-is-unit"));
    check_lint("assumed kWh = 3 kWh\n", Some("name-is-unit"));
    check_lint("assumed fill_limit = 3 lb\n", Some("name-is-function"));
    check_lint("assumed keep = 3 lb\n", Some("name-is-verb"));
    check_lint("assumed gross = 3 lb\n", None);
}

/// Which letters look alike is Unicode Technical Standard #39's.
#[test]
fn what_a_reader_takes_for_something_else_gets_a_remark() {
    check_lint(
        "measured gross = 3 lb\nmeasured gr\u{43e}ss = 99 lb\n",
        Some("look-alike"),
    );
    check_lint("measured t1 = 3 lb\nmeasured tl = 3 lb\n", Some("look-alike"));
    check_lint(
        "case night\n  x = 1\ncase n\u{456}ght\n  x = 2\nassumed x = 3\n",
        Some("look-alike"),
    );
    check_lint("table t\n  | burn | bum |\n  | 1 | 2 |\n", Some("look-alike"));
    check_lint("table t\n  | a1 |\n  | 1 |\ntable u\n  | al |\n  | 2 |\n", None);
    check_lint("measured gr\u{43e}ss = 99 lb\n", Some("mixed-scripts"));
    check_lint(
        "measured größe = 3 lb\nassumed Δt = 3 F°\nassumed вес = 3 lb\nassumed 重さ = 3 lb\n",
        None,
    );
    check_lint("-- \u{202e} so\n", Some("turned-writing"));
    check_lint("> so \u{2067}\n", Some("turned-writing"));
    check_lint("# so \u{200f}\n", Some("turned-writing"));
    check_lint("assumed so = 1 note \"so \u{202e}\"\n", Some("turned-writing"));
    check_lint("> ö ß ± ° … – € 重さ\n", None);
}

/// By hand 30 − 17 is 13 lb: what is close begins where right ends, and no slip is right.
#[test]
fn what_an_exercise_cant_mean_gets_a_remark() {
    let exercise = |check: &str| {
        format!(
            "measured full = 30 lb\nmeasured shell = 17 lb\nassumed net \"How much?\" [lb] = ? from \"your work\"\n\
             expect net close to full - shell {check}\n"
        )
    };
    let told = "else \"close\" else \"no\"";
    check_lint(&exercise(&format!("within 0.1 lb nearly 0.5 lb {told}")), None);
    check_lint(
        &exercise(&format!("within 0.5 lb nearly 0.5 lb {told}")),
        Some("exercise"),
    );
    check_lint(&exercise(&format!("within 5 % nearly 0.5 lb {told}")), Some("exercise"));
    check_lint(&exercise("within 0.5 lb else \"no\"\n  slip full \"the shell\""), None);
    check_lint(
        &exercise("within 0.5 lb else \"no\"\n  slip full - shell - 0.1 lb \"off\""),
        Some("exercise"),
    );
    let question = "assumed left \"How much is left?\" [lb] = ?\n";
    check_lint(question, Some("exercise"));
    check_lint(&format!("{question}expect left > 1 lb\n"), None);
    check_lint("assumed left \"what is left\" [lb] = ? from \"the label\"\n", None);
    // a wrong answer moves what rests on it, and is no mistake of the lesson
    check_lint(
        "assumed a \"How much?\" [lb] = 0 lb\nassumed b \"And twice?\" [lb] = ?\nexpect a close to 4 lb within 1 lb\n\
         expect b close to 2 * a within 1 lb\n  slip a \"that is once\"\n",
        None,
    );
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_nowhere_is_told() {
    let kept = kept();
    let link = kept.folder.path().join("dangling.tare");
    std::os::unix::fs::symlink("nowhere.tare", &link).unwrap();
    let refusal = Session::open(&link, Options::default()).err().unwrap();
    assert!(
        message(&refusal).ends_with("is a link to `nowhere.tare`, which can't be read"),
        "{}",
        message(&refusal)
    );
}
