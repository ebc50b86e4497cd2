//! Unsaved work: noted as it is done, and taken up after a session that broke off.
//!
//! A session that keeps a journal notes each act in it before the act is
//! answered. What an earlier session left is looked for once, at the beginning,
//! and taken up, written beside, discarded, or left for later, as a person says.
//! The journal and where it stands is in [`keeping`], looking for unsaved work and taking it up in [`left`], doing acts again in [`replay`];
//! how a journal is written is in [`super::journal`]. Start reading at
//! [`Session::look_for_unsaved`] and [`Session::keep_journal`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::report::compose::Options;
use crate::sheet::HeldValue;

use super::Session;
use super::file::Source;
use super::journal::{Act, Content, Event, InFile, Journal, Making, Mark, Record, Slot, checksum_of};

mod keeping;
mod left;
mod replay;

pub(super) use keeping::Keeping;
pub use left::{Found, Left, Offer};

impl Session {
    /// Whether nothing was done yet.
    fn is_fresh(&self) -> bool {
        self.keeping.journal().is_none() && self.history.is_empty()
    }

    // ---- noting ----

    /// What a journal says of an act that was done just now.
    pub(super) fn record_of(&self, act: Act) -> Record {
        let act = match act {
            Act::Try { line, .. } => Act::Try {
                value: self.worked_out(&line),
                line,
            },
            Act::Add { line, in_file } => Act::Add {
                line,
                in_file: in_file.map(|file| self.file_left(file)),
            },
            Act::RemoveRow { line, in_file } => Act::RemoveRow {
                line,
                in_file: in_file.map(|file| self.file_left(file)),
            },
            act => act,
        };
        Record::now(Event::Act {
            act,
            text: Mark::of(self.sheet.text()),
            trials: self.trials().count(),
        })
    }

    /// The file of a table as an act left it.
    fn file_left(&self, file: InFile) -> InFile {
        let text = self.sheet.file_text(&file.path).unwrap_or_default();
        InFile {
            after: Mark::of(&text),
            ..file
        }
    }

    /// Notes that the file is the text in `source` now.
    pub(super) fn note_file(&mut self) -> Option<String> {
        let begun = self.keeping.journal().is_some_and(Journal::has_begun);
        let record = Record::now(Event::File(Mark::of(self.source.text())));
        begun.then(|| self.note(&record)).flatten()
    }

    /// Notes what was done, before it is answered; what is to be told about it.
    pub(super) fn note(&mut self, record: &Record) -> Option<String> {
        self.keeping(|keeping, session| keeping.note(record, session))
    }

    /// Writes the journal anew in short form, as it is by itself when it has grown long;
    /// what is to be told, where that can't be.
    pub fn shorten_journal(&mut self) -> Option<String> {
        self.keeping(Keeping::shorten)
    }

    /// Does something with what keeps unsaved work, which may ask the session what there is.
    fn keeping<T>(&mut self, work: impl FnOnce(&mut Keeping, &Session) -> T) -> T {
        let mut keeping = std::mem::take(&mut self.keeping);
        let done = work(&mut keeping, self);
        self.keeping = keeping;
        done
    }

    /// The value on trial, where it was worked out and not typed. A column is told by its
    /// checksum.
    fn worked_out(&self, line: &str) -> Option<String> {
        let name = line.split('=').next()?.trim();
        let cell = self.sheet.cell(name)?;
        let held = self.sheet.held(cell)?;
        match &held.value {
            _ if !held.written.is_empty() => None,
            HeldValue::Column(cells) => Some(format!("column {:016x}", checksum_of(&format!("{cells:?}")))),
            HeldValue::Number(_) => self.trials().of_entry(cell, name).ok(),
        }
    }

    // ---- beginning and leaving ----

    /// Holds a worksheet whose file is gone, where a journal of it was left; empty until
    /// that is taken up.
    pub fn open_lost(path: &Path, state: Option<&Path>, options: Options) -> Option<Session> {
        let gone = fs::metadata(path).is_err_and(|trouble| trouble.kind() == io::ErrorKind::NotFound);
        if !gone {
            return None;
        }
        let mut session = Session::with(Source::typed(path, ""), String::new(), &[], options);
        session.keeping = Keeping::in_folder(state);
        session.keeping.lost = true;
        let mut names = session.keeping.places(&session.source).into_iter().flatten();
        let is_written = |path: PathBuf| {
            let slot = Slot::open(&path, Making::Old, None);
            slot.is_ok_and(|mut slot| matches!(slot.content(), Ok(Content::Written(_))))
        };
        names.any(is_written).then_some(session)
    }

    /// Whether the file is gone and nothing was taken up in its place.
    pub fn is_lost(&self) -> bool {
        self.keeping.lost
    }

    /// Keeps a journal from here on: beside the worksheet, or where that can't be, in
    /// `state`. What is to be told, where there is something.
    pub fn keep_journal(&mut self, state: Option<&Path>) -> Vec<String> {
        self.keeping.look_in(state);
        match self.keeping.journal() {
            Some(_) => Vec::new(),
            None => self.keeping.begin(&self.source),
        }
    }

    /// The journal's file, where one is kept.
    pub fn journal_path(&self) -> Option<&Path> {
        self.keeping.journal().map(Journal::path)
    }

    /// Leaves: where the record is saved, the journal goes; else it stays for the next
    /// session, and that is told.
    pub fn leave(&mut self) -> Vec<String> {
        if !self.unsaved() {
            return self.leave_discarding();
        }
        let mut told = vec!["Left without saving".to_owned()];
        if self.keeping.journal().is_some() {
            told.push(match self.keeping(Keeping::settle) {
                true => format!("What was changed is kept; the next `open` of {} offers it", self.name()),
                false => "What was changed last could not be written into the journal, and is lost".to_owned(),
            });
        }
        told
    }

    /// Leaves, and lets go of what isn't saved.
    pub fn leave_discarding(&mut self) -> Vec<String> {
        self.keeping.put_away().into_iter().collect()
    }

    /// Takes the journal to where the worksheet is now.
    pub(super) fn move_journal(&mut self) -> Option<String> {
        self.keeping(Keeping::follow)
    }
}
