//! Inputs of several files, and talks: a table that grows, a file read otherwise than it is
//! written, worksheets that rest on each other, a class, a page.
//!
//! The parts of an input stand apart by a line that begins with `===`. Start reading at [`adds`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tarebook::report::compose::Options;
use tarebook::report::drawing::draw;
use tarebook::report::live::{pieces, whole};
use tarebook::report::style::Style;
use tarebook::session::Session;
use tarebook::session::file::Replacing;
use tarebook::session::studies::study_verb;
use tarebook::sheet::Sheet;
use tarebook::shell::conversation::{Conversation, Lines, Reply};

use super::{briefly, harmless, reads_as, said, text_of, told, told_of};

/// Files in a folder of its own, in memory where that can be; the first is opened.
struct Folder(tempfile::TempDir);

impl Folder {
    fn with<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> Folder {
        let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir());
        let folder = Folder(folder.unwrap());
        for (name, text) in files {
            fs::write(folder.path(name), text).unwrap();
        }
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn open(&self, name: &str) -> Option<Session> {
        Session::open(&self.path(name), Options::default()).ok()
    }
}

/// Readings typed into a table: each is there whole or not at all; undone, nothing has moved;
/// saved, the files say what was in hand.
pub(super) fn adds(data: &[u8]) {
    let text = text_of(data);
    let mut parts = text.split("\n===");
    let (sheet, table) = (parts.next().unwrap_or(""), parts.next().unwrap_or(""));
    let folder = Folder::with([("run.tare", sheet), ("run.csv", table)]);
    let Some(mut session) = folder.open("run.tare") else {
        return;
    };
    let before = told(session.sheet());
    let mut steps = 0;
    for line in parts.take(8) {
        let line = line.lines().next().unwrap_or("");
        let (stood, rows) = (told(session.sheet()), rows(session.sheet()));
        let put = match line.strip_prefix("remove ") {
            Some(row) => session.remove_row(row),
            None => session.add(line),
        };
        match put {
            Ok(outcome) => {
                outcome
                    .told
                    .iter()
                    .chain(&outcome.listed)
                    .for_each(|told| harmless(told));
                steps += 1;
                let now = rows_moved(&rows, session.sheet());
                assert!(
                    now == 1 || now == -1 && line.starts_with("remove "),
                    "{line:?} moved {now} rows"
                );
            }
            Err(refusal) => {
                for problem in &refusal.problems {
                    harmless(&draw(problem, Style::default()));
                }
                assert_eq!(told(session.sheet()), stood, "refused: {line:?}");
            }
        }
    }
    if steps > 0 && session.save(Replacing::Known).is_ok() {
        let fresh = Sheet::load(session.sheet().text().to_owned(), session.sheet().folder().cloned());
        assert_eq!(told(session.sheet()), told(&fresh), "saved");
        let written = fs::read_to_string(folder.path("run.tare")).unwrap();
        assert_eq!(written, session.sheet().text());
    }
    for _ in 0..steps {
        session.undo().unwrap();
    }
    assert_eq!(told(session.sheet()), before, "undone");
    assert_eq!(session.sheet().text(), sheet);
}

/// How many rows each table has.
fn rows(sheet: &Sheet) -> Vec<usize> {
    let first = |table: &tarebook::sheet::Table| table.columns.first().map(|slot| sheet.column_cells(*slot).len());
    sheet.tables().iter().map(|table| first(table).unwrap_or(0)).collect()
}

fn rows_moved(before: &[usize], sheet: &Sheet) -> i64 {
    let count = |rows: &[usize]| rows.iter().sum::<usize>() as i64;
    count(&rows(sheet)) - count(before)
}

/// What stands behind the path of a file, and the file.
pub(super) fn reads_otherwise(data: &[u8]) {
    let text = text_of(data);
    let (options, table) = text.split_once('\n').unwrap_or((&text, ""));
    reads_as(table.as_bytes(), options);
}

/// A worksheet, two that it may rest on, and what becomes of one of them.
pub(super) fn rests(data: &[u8]) {
    let text = text_of(data);
    let parts: Vec<&str> = text.splitn(5, "\n===").collect();
    let part = |place: usize| parts.get(place).copied().unwrap_or("");
    let folder = Folder::with([
        ("main.tare", part(0)),
        ("a.tare", part(1)),
        ("b.tare", part(2)),
        ("t.csv", part(3)),
    ]);
    let Some(mut session) = folder.open("main.tare") else {
        return;
    };
    told_of(&mut session);
    for problem in session.problems() {
        harmless(&draw(&problem, Style::default()));
    }
    fs::write(folder.path("b.tare"), part(4)).unwrap();
    let _ = session.notice_files();
    let _ = session.reload();
    let fresh = Sheet::load(session.sheet().text().to_owned(), session.sheet().folder().cloned());
    assert_eq!(told(session.sheet()), told(&fresh), "read again");
}

/// A lesson, and what its pupils wrote.
pub(super) fn marks(data: &[u8]) {
    let text = text_of(data);
    let mut parts = text.split("\n===");
    let folder = Folder::with([("lesson.tare", parts.next().unwrap_or(""))]);
    let class = folder.path("class");
    fs::create_dir(&class).unwrap();
    for (number, paper) in parts.take(5).enumerate() {
        fs::write(class.join(format!("{number}.tare")), paper).unwrap();
    }
    let Some(mut session) = folder.open("lesson.tare") else {
        return;
    };
    let stood = told(session.sheet());
    for line in ["", " pupil each", " pupil 1"] {
        find(&mut session, "mark", &format!("{}{line}", class.display()));
    }
    assert_eq!(told(session.sheet()), stood, "marked");
    assert!(files(&class).iter().all(|name| name.ends_with(".tare")));
}

fn find(session: &mut Session, verb: &str, line: &str) {
    let study = study_verb(verb).unwrap();
    match study
        .typed(line)
        .and_then(|asked| (study.find)(session, &asked, &briefly))
    {
        Ok(found) => said(&*found),
        Err(refusal) => refusal
            .problems
            .iter()
            .for_each(|problem| harmless(&draw(problem, Style::default()))),
    }
}

fn files(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect()
}

/// Lines that a page sends, and the page after each.
pub(super) fn shows(data: &[u8]) {
    let text = text_of(data);
    let mut parts = text.split("\n===");
    let sheet = parts.next().unwrap_or("").to_owned();
    let session = Session::of_text("sheet.tare", sheet, &[], Options::default());
    // nothing is written: the lines are anybody's
    let writes = |line: &&str| !["save", "handout"].iter().any(|word| line.contains(word));
    let lines: Vec<String> = parts
        .take(10)
        .map(|line| line.lines().next().unwrap_or(""))
        .filter(writes)
        .map(str::to_owned)
        .collect();
    let mut lines = Sent(lines.into_iter());
    let mut told = Vec::new();
    let style = Style {
        width: 44,
        ..Style::default()
    };
    Conversation::new(session, &mut lines, &mut told, style).run().unwrap();
    harmless(&String::from_utf8(told).unwrap());
}

struct Sent(std::vec::IntoIter<String>);

impl Lines for Sent {
    fn read(&mut self, prompt: &str, _: &str, session: &mut Session) -> io::Result<Reply> {
        if matches!(prompt, "more> " | "edit> ") || !prompt.ends_with("> ") {
            return Ok(Reply::BrokenOff);
        }
        let page = whole("sheet.tare", &pieces(&session.live()));
        for acts in ["<img", "<iframe", "<object", "<a href=\"javascript"] {
            assert!(!page.contains(acts), "{acts} in {page}");
        }
        assert_eq!(page.matches("<script").count(), 1, "{page}");
        Ok(self.0.next().map_or(Reply::End, Reply::Line))
    }

    fn is_terminal(&self) -> bool {
        false
    }
}
