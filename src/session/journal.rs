//! The journal: what was changed and isn't saved, in a file that survives the session.
//!
//! A plain text file, of whole records that each end with a checksum, so that
//! one broken off is known. It begins with the text it started from; each act
//! follows as it was typed, and is on the disk before it is answered. Held under
//! a lock for as long as its session lives, however that ends; written anew in
//! short form when it has grown. Acts, the format, reading and the file have rooms
//! of their own; what is done with one that was left behind is in
//! [`super::unsaved`]. Start reading at [`Journal`] and [`reading::read`].

use std::io::{self, Seek, SeekFrom, Write};
use std::path::Path;

use super::disk::is_still;

mod act;
mod format;
mod mark;
mod reading;
mod slot;

pub(super) use act::{Act, InFile};
pub(super) use format::{Event, Record, Stood};
pub(super) use mark::{Mark, checksum_of};
pub(super) use reading::{Content, End, Written};
pub(super) use slot::{Making, Slot, Unopened, beside, in_state};

use format::{EXPLAINED, OPENING, encoded, now};
use mark::SEED;

/// So much may be added to a journal before it is written anew in short form.
const MOST_ADDED: usize = 256 * 1024;

/// So much is held back while the disk takes nothing.
const MOST_WAITING: usize = 1024 * 1024;

/// A whole journal, to be written in one go.
pub(super) struct Whole {
    content: String,
    chain: u64,
}

impl Whole {
    /// The journal that begins with this text, belongs to this file, and tells this.
    pub(super) fn of(start: &str, file: Mark, records: &[Record]) -> Whole {
        let mut content = format!("{OPENING}{EXPLAINED}");
        let ending = format!("began {} text {} trials 0", now(), file.written());
        let (text, mut chain) = encoded(SEED, Some(start), &ending);
        content.push_str(&text);
        for record in records {
            let (text, next) = encoded(chain, record.body().as_deref(), &record.ending());
            content.push_str(&text);
            chain = next;
        }
        Whole { content, chain }
    }
}

/// The journal of a session.
#[derive(Debug)]
pub(super) struct Journal {
    slot: Slot,
    has_begun: bool,
    /// So many bytes are whole and settled on the disk.
    length: usize,
    /// So many bytes the file has.
    bytes: usize,
    /// So many it had when it was written anew.
    short: usize,
    /// The checksum of the last record.
    chain: u64,
    /// What couldn't be written yet.
    waiting: String,
    /// Whether records were let go that couldn't be written.
    behind: bool,
    troubled: bool,
    changes: usize,
    first: Option<String>,
}

/// How the next record gets into a journal.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Way {
    /// Behind the last one.
    Append,
    /// The journal has grown long, and is written anew in short form.
    Short,
    /// Nothing is there to append to; the journal is written anew.
    Whole,
    /// The file is gone or somebody changed it: the journal goes into another.
    Elsewhere,
}

/// What came of writing a record.
pub(super) enum Noted {
    /// It is on the disk.
    Settled,
    /// It is on the disk, with what had to wait.
    Again,
    /// It isn't, for the first time.
    Trouble(io::Error),
    /// It still isn't.
    Waiting,
}

impl Journal {
    /// A journal in an empty file. Nothing is written before there is something to write.
    pub(super) fn begin(slot: Slot) -> Journal {
        Journal {
            slot,
            has_begun: false,
            length: 0,
            bytes: 0,
            short: 0,
            chain: SEED,
            waiting: String::new(),
            behind: false,
            troubled: false,
            changes: 0,
            first: None,
        }
    }

    /// Goes on with a journal that was left; what broke off is cut away with the next record.
    pub(super) fn resume(slot: Slot, written: &Written) -> Journal {
        Journal {
            has_begun: true,
            length: written.length,
            bytes: written.bytes,
            chain: written.chain,
            waiting: if written.open { "\n".to_owned() } else { String::new() },
            ..Journal::begin(slot)
        }
        .with_changes(written)
    }

    /// With as many changes as were counted there.
    pub(super) fn with_changes(mut self, written: &Written) -> Journal {
        let changes = written.changes();
        self.changes = changes.count;
        self.first = changes.first.map(str::to_owned);
        self
    }

    /// Whether anything was noted in it.
    pub(super) fn has_begun(&self) -> bool {
        self.has_begun
    }

    /// Whether all that was noted is on the disk.
    pub(super) fn is_settled(&self) -> bool {
        self.has_begun && self.waiting.is_empty() && !self.behind && self.is_ours()
    }

    /// The file.
    pub(super) fn path(&self) -> &Path {
        &self.slot.path
    }

    /// The changes since the file was saved or read, and when the first was made.
    pub(super) fn changes(&self) -> (usize, Option<String>) {
        (self.changes, self.first.clone())
    }

    /// Counts a record that is to be noted.
    pub(super) fn count(&mut self, record: &Record) {
        match record.event {
            Event::File(_) => (self.changes, self.first) = (0, None),
            _ => {
                self.changes += 1;
                self.first.get_or_insert_with(|| record.when.clone());
            }
        }
    }

    /// How the next record gets in.
    pub(super) fn way(&self) -> Way {
        if !self.is_ours() {
            return Way::Elsewhere;
        }
        match self.length > 2 * self.short + MOST_ADDED {
            _ if !self.has_begun || self.behind => Way::Whole,
            true => Way::Short,
            false => Way::Append,
        }
    }

    /// Whether the file is as it was written.
    fn is_ours(&self) -> bool {
        let length = self.slot.file.metadata().map(|about| about.len());
        let untouched = self.troubled || length.is_ok_and(|length| length == self.bytes as u64);
        untouched && is_still(&self.slot.file, &self.slot.path)
    }

    /// Appends a record and settles it on the disk.
    pub(super) fn append(&mut self, record: &Record) -> Noted {
        let (text, chain) = encoded(self.chain, record.body().as_deref(), &record.ending());
        self.chain = chain;
        self.waiting.push_str(&text);
        let written = self.settle();
        self.noted(written)
    }

    /// Writes all of it anew, whole or not at all.
    pub(super) fn write(&mut self, whole: &Whole) -> Noted {
        let written = self.put(whole);
        self.noted(written)
    }

    /// Writes all of it anew because it has grown. Where that can't be, the record is
    /// appended, and the journal may grow again by as much.
    pub(super) fn shorten(&mut self, whole: &Whole, last: &Record) -> Noted {
        match self.put(whole) {
            Ok(()) => self.noted(Ok(())),
            Err(_) => {
                self.short = self.length;
                self.append(last)
            }
        }
    }

    fn put(&mut self, whole: &Whole) -> io::Result<()> {
        self.slot.replace(&whole.content)?;
        self.has_begun = true;
        self.behind = false;
        self.waiting.clear();
        self.chain = whole.chain;
        self.length = whole.content.len();
        (self.bytes, self.short) = (self.length, self.length);
        Ok(())
    }

    /// Goes on in another file, which is written next; the one it had is left.
    pub(super) fn leave_for(&mut self, slot: Slot) {
        self.slot = slot;
        self.has_begun = false;
        self.waiting.clear();
        (self.length, self.bytes, self.short) = (0, 0, 0);
    }

    /// That there is nowhere to write to.
    pub(super) fn nowhere(&mut self, why: &str) -> Noted {
        self.noted(Err(io::Error::other(why)))
    }

    fn noted(&mut self, written: io::Result<()>) -> Noted {
        match (written, std::mem::replace(&mut self.troubled, false)) {
            (Ok(()), false) => Noted::Settled,
            (Ok(()), true) => Noted::Again,
            (Err(trouble), known) => {
                self.troubled = true;
                self.hold_back();
                match known {
                    true => Noted::Waiting,
                    false => Noted::Trouble(trouble),
                }
            }
        }
    }

    /// What waits for too long is let go; the session knows it, and writes all anew.
    fn hold_back(&mut self) {
        if self.waiting.len() > MOST_WAITING {
            self.waiting = String::new();
            self.behind = true;
        }
    }

    /// Writes what waits; what could be written only in part is taken back.
    fn settle(&mut self) -> io::Result<()> {
        let length = self.length as u64;
        let file = &mut self.slot.file;
        let written = file
            .set_len(length)
            .and_then(|()| file.seek(SeekFrom::Start(length)))
            .and_then(|_| file.write_all(self.waiting.as_bytes()))
            .and_then(|()| file.sync_data());
        if let Err(trouble) = written {
            let _ = file.set_len(length);
            return Err(trouble);
        }
        self.length += self.waiting.len();
        self.bytes = self.length;
        self.waiting.clear();
        Ok(())
    }

    /// Puts the journal away.
    pub(super) fn remove(self) -> io::Result<()> {
        self.slot.remove()
    }
}
