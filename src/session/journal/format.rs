//! The format of a journal: records with checksums, and the lines they are written in.
//!
//! Each record is a number of lines behind `|` and an ending line, whose checksum
//! goes on from the record before it. Reading whole files, and what is broken in
//! them, is left to [`super::reading`]. Start reading at [`Record`], which tells it all.

use jiff::ZonedDateTime;

use super::act::{Act, InFile};
use super::mark::{Mark, checksum};

/// The first line, with the version of the format.
pub(super) const OPENING: &str = "tarebook journal 1\n";

/// For somebody who opens it in an editor.
pub(super) const EXPLAINED: &str = "-- What was changed in a worksheet and isn't saved there; `tarebook open` offers it.\n\
-- Behind `|` stands what was typed, and first of all the worksheet as it was. To rescue\n\
-- it by hand, put the lines behind `|` into the worksheet, or type them in a session.\n";

/// What one record says.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::session) enum Event {
    /// An act, with the text and the number of trials it left.
    Act { act: Act, text: Mark, trials: usize },
    /// The file is this text from here on: it was saved, or read again.
    File(Mark),
    /// How the session stood at the beginning, where much went before.
    Stood { stood: Stood, text: Mark, trials: usize },
}

/// What a journal in short form leaves out, and what stood then.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(in crate::session) struct Stood {
    /// So many changes aren't saved, those told in the next records among them.
    pub(in crate::session) changes: usize,
    /// When the first of them was made.
    pub(in crate::session) first: Option<String>,
    /// So many records tell of what went before.
    pub(in crate::session) records: usize,
    /// So many steps can't be undone any more.
    pub(in crate::session) forgotten: usize,
    /// Case and trials, as [`crate::session::standing`] writes them.
    pub(in crate::session) lines: Vec<String>,
}

impl Stood {
    /// `2400 changes since 2026-02-11 21:40:03-05:00, 1400 steps forgotten, told in 1003`,
    /// and the lines of case and trials.
    fn written(&self) -> String {
        let since = self
            .first
            .as_ref()
            .map_or(String::new(), |first| format!(" since {first}"));
        let head = format!(
            "{} changes{since}, {} steps forgotten, told in {}",
            self.changes, self.forgotten, self.records
        );
        let lines = std::iter::once(&head).chain(&self.lines);
        lines.map(String::as_str).collect::<Vec<_>>().join("\n")
    }

    pub(super) fn read(text: &str) -> Option<Stood> {
        let mut lines = text.split('\n');
        let (changes, rest) = lines.next()?.split_once(" changes")?;
        let (since, rest) = rest.split_once(", ")?;
        let (forgotten, records) = rest.split_once(" steps forgotten, told in ")?;
        Some(Stood {
            changes: changes.parse().ok()?,
            first: since.strip_prefix(" since ").map(str::to_owned),
            records: records.parse().ok()?,
            forgotten: forgotten.parse().ok()?,
            lines: lines.map(str::to_owned).collect(),
        })
    }
}

/// One record, and when it was written.
///
/// Only the interactive session keeps one (`Session::keep_journal`); one-shot verbs, servers
/// and tests of a session in memory don't. It stands beside the worksheet as `.NAME.unsaved`,
/// or as `.NAME.unsaved-2` to `-9` where others are in hand or left; where the folder can't be
/// written, under `unsaved/` in the state folder, with a checksum of the worksheet's whole
/// path. It is there, empty and locked, from the beginning of the session, so that the lock
/// tells a second session of the first; the system lets go of the lock however the process
/// ends. It is removed when the session is left with the record saved or discarded. After a
/// save within a session it stays, with a record that says so, since trials in hand and steps
/// to undo still rest on it.
///
/// The format, version 1, is UTF-8 text. The first line is `tarebook journal 1`; remarks for a
/// person follow. Then come records, each a number of lines `| …` with what was typed and an
/// ending line:
///
/// ```text
/// | keep
/// done 2026-02-11 21:40:03-05:00 text 812 5f2e8c0a91b3d644 trials 1 check 43cc3df9d2103a5d
/// ```
///
/// The word is `began` (its lines are the worksheet as it stood), `stood` (see below),
/// `entered`, `edited` (the first line is `edit NAME`, or `edit check N`), `tried`,
/// `worked-out` (a trial with its value in a last line `= …`), `added` and `took-out` (a row of a
/// table; a last line `= …` tells length and checksum of its file before and after, and its path), `kept-plot`, `reloaded` (its
/// lines are the text that was read), `done` (any other verb, as typed), or `file`, which has
/// no lines and says that the file on disk is this text from here on. `text` is the length in
/// bytes and the FNV-1a checksum of the text after it; for `began` and `file` of the file's.
/// `trials` is how many were in hand. `check` is the checksum over the record, going on from
/// the one before. In the lines `\\` is a backslash and `\u{d}` a sign that a text file can't
/// show. A record that isn't whole ends the reading: what follows is left out, and that is
/// said. What breaks off is cut away with the next record; a file that is damaged in its middle
/// is never written to again.
///
/// A journal that has grown by 256 kB, and to more than twice what it was, is written anew in
/// short form, whole or not at all (`Session::short_form` in `standing.rs`): it begins with the
/// text before the first step that can still be undone, `stood` says how many changes went
/// before and which case and trials stood then, with every digit, and the records of the steps
/// follow. In the same way it goes into another file where somebody removed or changed the one
/// it had, and it follows the worksheet after `save as`.
///
/// Taking up does the acts again, from the text in `began`, and compares `text` and `trials`
/// after each; a journal that belongs to another text than the file's is only written beside
/// it. Work thrown away by accident can be had from the lines behind `|`.
///
/// Saving holds a lock on the file that it replaces, so that of two sessions the second sees
/// what the first wrote. What a save that was killed has left, `.tarebook-….part`, is swept
/// away by the next session after ten minutes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::session) struct Record {
    pub(in crate::session) event: Event,
    pub(in crate::session) when: String,
}

impl Record {
    /// A record of this moment.
    pub(in crate::session) fn now(event: Event) -> Record {
        Record { event, when: now() }
    }

    pub(super) fn body(&self) -> Option<String> {
        match &self.event {
            Event::Act { act, .. } => Some(act.typed()),
            Event::Stood { stood, .. } => Some(stood.written()),
            Event::File(_) => None,
        }
    }

    /// About so many bytes.
    pub(in crate::session) fn size(&self) -> usize {
        match &self.event {
            Event::Act { act, .. } => act.typed().len(),
            _ => 0,
        }
    }

    /// The act's mark and number of trials.
    pub(in crate::session) fn left(&self) -> Option<(Mark, usize)> {
        match &self.event {
            Event::Act { text, trials, .. } | Event::Stood { text, trials, .. } => Some((*text, *trials)),
            Event::File(_) => None,
        }
    }

    /// The file of a table that its act changed.
    pub(in crate::session) fn in_file(&self) -> Option<&InFile> {
        match &self.event {
            Event::Act {
                act: Act::Add { in_file, .. } | Act::RemoveRow { in_file, .. },
                ..
            } => in_file.as_ref(),
            _ => None,
        }
    }

    pub(in crate::session) fn is_act(&self) -> bool {
        matches!(self.event, Event::Act { .. })
    }

    pub(super) fn ending(&self) -> String {
        let when = &self.when;
        match &self.event {
            Event::Act { act, text, trials } => {
                format!("{} {when} text {} trials {trials}", act.word(), text.written())
            }
            Event::Stood { text, trials, .. } => format!("stood {when} text {} trials {trials}", text.written()),
            Event::File(mark) => format!("file {when} text {} trials 0", mark.written()),
        }
    }
}

/// The time on the wall, with its distance from Greenwich.
pub(super) fn now() -> String {
    ZonedDateTime::now().strftime("%Y-%m-%d %H:%M:%S%:z").to_string()
}
/// The checksum of a record, which goes on from the one before it.
pub(super) fn chained(chain: u64, body: Option<&str>, ending: &str) -> u64 {
    let sum = checksum(chain, body.unwrap_or("").as_bytes());
    checksum(checksum(sum, b"\n"), ending.as_bytes())
}

/// A line without the signs that a text file can't show.
fn written(line: &str) -> String {
    let mut text = String::with_capacity(line.len());
    for c in line.chars() {
        match c {
            '\\' => text.push_str("\\\\"),
            '\t' => text.push(c),
            _ if c.is_control() || c == '\u{feff}' => text.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            _ => text.push(c),
        }
    }
    text
}

/// The line that was written so.
pub(super) fn bare(line: &str) -> Option<String> {
    let mut text = String::with_capacity(line.len());
    let mut rest = line;
    while let Some((before, after)) = rest.split_once('\\') {
        text.push_str(before);
        if let Some(after) = after.strip_prefix('\\') {
            text.push('\\');
            rest = after;
        } else {
            let (code, after) = after.strip_prefix("u{")?.split_once('}')?;
            text.push(char::from_u32(u32::from_str_radix(code, 16).ok()?)?);
            rest = after;
        }
    }
    text.push_str(rest);
    Some(text)
}

/// A record as it stands in the file, and the checksum it ends with.
pub(super) fn encoded(chain: u64, body: Option<&str>, ending: &str) -> (String, u64) {
    let chain = chained(chain, body, ending);
    let mut text = String::new();
    for line in body.into_iter().flat_map(|body| body.split('\n')) {
        text.push_str("| ");
        text.push_str(&written(line));
        text.push('\n');
    }
    text.push_str(&format!("{ending} check {chain:016x}\n"));
    (text, chain)
}
