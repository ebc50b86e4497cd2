//! Unsaved work: noted as it is done, and taken up after a session that broke off.
//!
//! A session that keeps a journal notes each act in it before the act is
//! answered. What an earlier session left is looked for once, at the beginning,
//! and taken up, written beside, discarded, or left for later, as a person says.
//! Looking for it and taking it up is in [`left`], doing acts again in [`replay`];
//! how a journal is written is in [`super::journal`]. Start reading at
//! [`Session::look_for_unsaved`] and [`Session::keep_journal`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::report::compose::Options;
use crate::sheet::HeldValue;

use super::Session;
use super::disk::{folder_of, followed, plain, sweep_parts};
use super::file::Source;
use super::journal::{
    Act, Content, Event, InFile, Journal, Making, Mark, Noted, Record, Slot, Unopened, Way, Whole, beside, checksum_of,
    in_state,
};

mod left;
mod replay;

pub use left::{Found, Left, Offer};

impl Session {
    /// Whether nothing was done yet.
    fn is_fresh(&self) -> bool {
        self.journal.is_none() && self.history.is_empty()
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
            trials: self.trial_count(),
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
        let begun = self.journal.as_ref().is_some_and(Journal::has_begun);
        let record = Record::now(Event::File(Mark::of(self.source.text())));
        begun.then(|| self.note(&record)).flatten()
    }

    /// Notes what was done, before it is answered; what is to be told about it.
    pub(super) fn note(&mut self, record: &Record) -> Option<String> {
        let journal = self.journal.as_mut()?;
        journal.count(record);
        match journal.way() {
            Way::Append => told_noted(journal.append(record), journal.path()),
            Way::Short => {
                let whole = self.whole_journal()?;
                let journal = self.journal.as_mut()?;
                told_noted(journal.shorten(&whole, record), journal.path())
            }
            Way::Whole => self.write_journal(),
            Way::Elsewhere => self.note_elsewhere(),
        }
    }

    /// Writes the journal anew in short form, as it is by itself when it has grown long;
    /// what is to be told, where that can't be.
    pub fn shorten_journal(&mut self) -> Option<String> {
        let ready = self.journal.as_ref().is_some_and(Journal::is_settled);
        ready.then(|| self.write_journal()).flatten()
    }

    /// Writes the journal anew.
    fn write_journal(&mut self) -> Option<String> {
        let whole = self.whole_journal()?;
        let journal = self.journal.as_mut()?;
        told_noted(journal.write(&whole), journal.path())
    }

    /// The journal's file is gone, or somebody changed it: all is noted in another one.
    fn note_elsewhere(&mut self) -> Option<String> {
        let slot = self.free_slot();
        let journal = self.journal.as_mut()?;
        let (old, had_begun) = (journal.path().to_owned(), journal.has_begun());
        let slot = match slot {
            Ok(slot) => slot,
            Err(why) => return told_noted(journal.nowhere(&why), &old),
        };
        journal.leave_for(slot);
        let whole = self.whole_journal()?;
        let journal = self.journal.as_mut()?;
        let noted = journal.write(&whole);
        if had_begun && matches!(noted, Noted::Settled | Noted::Again) {
            return Some(format!(
                "Somebody removed or changed the journal {}; all that isn't saved is in {} now",
                old.display(),
                journal.path().display()
            ));
        }
        told_noted(noted, journal.path())
    }

    /// All that a journal has to tell, in short form.
    fn whole_journal(&self) -> Option<Whole> {
        let (changes, first) = self.journal.as_ref()?.changes();
        let (start, records) = self.short_form(changes, first);
        Some(Whole::of(&start, Mark::of(self.source.text()), &records))
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
            HeldValue::Number(_) => self.kept_text(cell, name).ok(),
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
        session.state = state.map(Path::to_owned);
        session.lost = true;
        let mut names = session.journal_places().into_iter().flatten();
        let is_written = |path: PathBuf| {
            let slot = Slot::open(&path, Making::Old, None);
            slot.is_ok_and(|mut slot| matches!(slot.content(), Ok(Content::Written(_))))
        };
        names.any(is_written).then_some(session)
    }

    /// Whether the file is gone and nothing was taken up in its place.
    pub fn is_lost(&self) -> bool {
        self.lost
    }

    /// Keeps a journal from here on: beside the worksheet, or where that can't be, in
    /// `state`. What is to be told, where there is something.
    pub fn keep_journal(&mut self, state: Option<&Path>) -> Vec<String> {
        self.state = state.map(Path::to_owned);
        if self.journal.is_some() {
            return Vec::new();
        }
        match self.free_slot() {
            Ok(slot) => {
                let beside = self.source.path().map(|path| folder_of(&followed(path)));
                let folders = beside.into_iter().chain([folder_of(&slot.path)]);
                folders.for_each(|folder| sweep_parts(&folder));
                self.journal = Some(Journal::begin(slot));
                Vec::new()
            }
            Err(why) => vec![unkept(&why)],
        }
    }

    /// The journal's file, where one is kept.
    pub fn journal_path(&self) -> Option<&Path> {
        self.journal.as_ref().map(Journal::path)
    }

    /// Leaves: where the record is saved, the journal goes; else it stays for the next
    /// session, and that is told.
    pub fn leave(&mut self) -> Vec<String> {
        if !self.unsaved() {
            return self.put_journal_away();
        }
        let mut told = vec!["Left without saving".to_owned()];
        if let Some(journal) = &self.journal {
            told.push(match journal.is_settled() || self.settle_once_more() {
                true => format!("What was changed is kept; the next `open` of {} offers it", self.name()),
                false => "What was changed last could not be written into the journal, and is lost".to_owned(),
            });
        }
        told
    }

    /// Tries once more to get a journal on the disk that couldn't be written.
    fn settle_once_more(&mut self) -> bool {
        let lost = self
            .journal
            .as_ref()
            .is_some_and(|journal| journal.way() == Way::Elsewhere);
        match lost {
            true => self.note_elsewhere(),
            false => self.write_journal(),
        };
        self.journal.as_ref().is_some_and(Journal::is_settled)
    }

    /// Leaves, and lets go of what isn't saved.
    pub fn leave_discarding(&mut self) -> Vec<String> {
        self.put_journal_away()
    }

    fn put_journal_away(&mut self) -> Vec<String> {
        let Some(journal) = self.journal.take() else {
            return Vec::new();
        };
        let path = journal.path().to_owned();
        told_removed(journal.remove(), &path).into_iter().collect()
    }

    /// Takes the journal to where the worksheet is now.
    pub(super) fn move_journal(&mut self) -> Option<String> {
        self.journal.as_ref()?;
        let slot = match self.free_slot() {
            Ok(slot) => slot,
            Err(why) => {
                let told = self.put_journal_away();
                return Some(told.into_iter().next().unwrap_or_else(|| unkept(&why)));
            }
        };
        let old = self.journal.replace(Journal::begin(slot))?;
        let told = old.has_begun().then(|| self.write_journal()).flatten();
        let path = old.path().to_owned();
        told.or(told_removed(old.remove(), &path))
    }

    /// An empty file for a journal, locked.
    fn free_slot(&self) -> Result<Slot, String> {
        let mut why = Vec::new();
        let like = self.source.path();
        let places = self.journal_places();
        if places.is_empty() {
            return Err("there is no folder for it".to_owned());
        }
        for names in places {
            if let Some(folder) = names.first().map(|name| folder_of(name))
                && Some(&folder) != self.source.folder().as_ref()
            {
                // Where it can't be made, opening says so.
                let _ = fs::create_dir_all(&folder);
            }
            match free_of(&names, like) {
                Ok(slot) => return Ok(slot),
                Err(reason) => why.push(reason),
            }
        }
        Err(why.join("; "))
    }

    /// Where journals of this worksheet may stand: beside it, and in the state folder.
    fn journal_places(&self) -> Vec<Vec<PathBuf>> {
        let file = self.source.path().map(followed);
        let state = self.state.as_ref().map(|state| {
            let whole = file.as_ref().map(|file| fs::canonicalize(file).unwrap_or(file.clone()));
            let whole = whole.unwrap_or_else(|| PathBuf::from(self.name()));
            in_state(state, &self.name().replace(['/', '\\', ' '], "-"), &whole)
        });
        file.as_deref().map(beside).into_iter().chain(state).collect()
    }
}

/// The first of these files that is empty and in nobody's hand.
fn free_of(names: &[PathBuf], like: Option<&Path>) -> Result<Slot, String> {
    let mut why = None;
    for name in names {
        match Slot::open(name, Making::New, like) {
            Ok(mut slot) => {
                if matches!(slot.content(), Ok(Content::Empty)) {
                    return Ok(slot);
                }
            }
            Err(Unopened::InHand) => {}
            Err(Unopened::Trouble(trouble)) => {
                let plain_file = trouble.kind() != io::ErrorKind::AlreadyExists;
                why = Some(format!("`{}`: {}", name.display(), plain(&trouble)));
                if plain_file {
                    break;
                }
            }
        }
    }
    let first = names.first().map_or(String::new(), |name| name.display().to_string());
    Err(why.unwrap_or_else(|| format!("{} journals such as `{first}` are there already", names.len())))
}

/// What is to be told of a record that was noted.
fn told_noted(noted: Noted, path: &Path) -> Option<String> {
    match noted {
        Noted::Settled | Noted::Waiting => None,
        Noted::Again => Some("The journal can be written again; all that was typed is kept in it".to_owned()),
        Noted::Trouble(trouble) => Some(format!(
            "The journal {} can't be written: {}; until it can, what is typed is lost if the power fails, so `save`",
            path.display(),
            plain(&trouble)
        )),
    }
}

fn told_removed(removed: io::Result<()>, path: &Path) -> Option<String> {
    let trouble = removed
        .err()
        .filter(|trouble| trouble.kind() != io::ErrorKind::NotFound)?;
    let reason = plain(&trouble);
    Some(format!("The journal {} can't be removed: {reason}", path.display()))
}

fn unkept(why: &str) -> String {
    format!("No journal can be kept ({why}): what isn't saved is lost if the power fails")
}
