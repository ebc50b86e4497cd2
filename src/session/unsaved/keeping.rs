//! What keeps the work of a session that isn't saved: its journal, and where one may stand.
//!
//! How a record gets into the journal, and what is told of that, is settled here; what a whole
//! journal has to tell is asked of the session. Start reading at [`Keeping::note`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::session::Session;
use crate::session::disk::{folder_of, followed, plain, sweep_parts};
use crate::session::file::Source;
use crate::session::journal::{
    Content, Journal, Making, Mark, Noted, Record, Slot, Unopened, Way, Whole, beside, in_state,
};

/// The journal of a session, if one is kept, and how the session stands to its file.
#[derive(Debug, Default)]
pub(in crate::session) struct Keeping {
    journal: Option<Journal>,
    /// The user's folder for state.
    state: Option<PathBuf>,
    /// Whether the worksheet's file is gone, and only a journal is left of it.
    pub(in crate::session) lost: bool,
    /// Whether acts are done again that were told before.
    pub(in crate::session) replaying: bool,
}

impl Keeping {
    /// None yet, of a worksheet whose journal may stand in that folder too.
    pub(super) fn in_folder(state: Option<&Path>) -> Keeping {
        Keeping {
            state: state.map(Path::to_owned),
            ..Keeping::default()
        }
    }

    /// Of another session on the same worksheet, without a journal.
    pub(super) fn afresh(self) -> Keeping {
        Keeping::in_folder(self.state.as_deref())
    }

    /// From here on a journal may stand in that folder too.
    pub(super) fn look_in(&mut self, state: Option<&Path>) {
        self.state = state.map(Path::to_owned);
    }

    /// Goes on with that journal.
    pub(super) fn go_on(&mut self, journal: Journal) {
        self.journal = Some(journal);
    }

    /// The journal, where one is kept.
    pub(super) fn journal(&self) -> Option<&Journal> {
        self.journal.as_ref()
    }

    /// Whether all that was noted is on the disk.
    fn is_settled(&self) -> bool {
        self.journal.as_ref().is_some_and(Journal::is_settled)
    }

    /// Begins a journal; what is to be told, where none can be.
    pub(super) fn begin(&mut self, source: &Source) -> Vec<String> {
        match self.free_slot(source) {
            Ok(slot) => {
                let beside = source.path().map(|path| folder_of(&followed(path)));
                let folders = beside.into_iter().chain([folder_of(&slot.path)]);
                folders.for_each(|folder| sweep_parts(&folder));
                self.go_on(Journal::begin(slot));
                Vec::new()
            }
            Err(why) => vec![unkept(&why)],
        }
    }

    // ---- noting ----

    /// Notes what was done, before it is answered; what is to be told about it.
    pub(super) fn note(&mut self, record: &Record, session: &Session) -> Option<String> {
        let journal = self.journal.as_mut()?;
        journal.count(record);
        match journal.way() {
            Way::Append => told_noted(journal.append(record), journal.path()),
            Way::Short => {
                let whole = self.whole(session)?;
                let journal = self.journal.as_mut()?;
                told_noted(journal.shorten(&whole, record), journal.path())
            }
            Way::Whole => self.write(session),
            Way::Elsewhere => self.note_elsewhere(session),
        }
    }

    /// All that a journal has to tell, in short form.
    fn whole(&self, session: &Session) -> Option<Whole> {
        let (changes, first) = self.journal.as_ref()?.changes();
        let (start, records) = session.short_form(changes, first);
        Some(Whole::of(&start, Mark::of(session.source.text()), &records))
    }

    /// Writes the journal anew.
    pub(super) fn write(&mut self, session: &Session) -> Option<String> {
        let whole = self.whole(session)?;
        let journal = self.journal.as_mut()?;
        told_noted(journal.write(&whole), journal.path())
    }

    /// Writes it anew in short form, where all of it is on the disk.
    pub(super) fn shorten(&mut self, session: &Session) -> Option<String> {
        self.is_settled().then(|| self.write(session)).flatten()
    }

    /// The journal's file is gone, or somebody changed it: all is noted in another one.
    fn note_elsewhere(&mut self, session: &Session) -> Option<String> {
        let slot = self.free_slot(&session.source);
        let journal = self.journal.as_mut()?;
        let (old, had_begun) = (journal.path().to_owned(), journal.has_begun());
        let slot = match slot {
            Ok(slot) => slot,
            Err(why) => return told_noted(journal.nowhere(&why), &old),
        };
        journal.leave_for(slot);
        let whole = self.whole(session)?;
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

    // ---- leaving ----

    /// Whether all that was noted is on the disk, if need be after trying once more.
    pub(super) fn settle(&mut self, session: &Session) -> bool {
        if self.is_settled() {
            return true;
        }
        let way = self.journal.as_ref().map(Journal::way);
        match way == Some(Way::Elsewhere) {
            true => self.note_elsewhere(session),
            false => self.write(session),
        };
        self.is_settled()
    }

    /// Removes the journal; what is to be told, where it can't be.
    pub(super) fn put_away(&mut self) -> Option<String> {
        let journal = self.journal.take()?;
        let path = journal.path().to_owned();
        told_removed(journal.remove(), &path)
    }

    /// Takes the journal to where the worksheet is now.
    pub(super) fn follow(&mut self, session: &Session) -> Option<String> {
        self.journal.as_ref()?;
        let slot = match self.free_slot(&session.source) {
            Ok(slot) => slot,
            Err(why) => return Some(self.put_away().unwrap_or_else(|| unkept(&why))),
        };
        let old = self.journal.replace(Journal::begin(slot))?;
        let told = old.has_begun().then(|| self.write(session)).flatten();
        let path = old.path().to_owned();
        told.or(told_removed(old.remove(), &path))
    }

    // ---- where journals stand ----

    /// An empty file for a journal, locked.
    pub(super) fn free_slot(&self, source: &Source) -> Result<Slot, String> {
        let mut why = Vec::new();
        let places = self.places(source);
        if places.is_empty() {
            return Err("there is no folder for it".to_owned());
        }
        for names in places {
            if let Some(folder) = names.first().map(|name| folder_of(name))
                && Some(&folder) != source.folder().as_ref()
            {
                // Where it can't be made, opening says so.
                let _ = fs::create_dir_all(&folder);
            }
            match free_of(&names, source.path()) {
                Ok(slot) => return Ok(slot),
                Err(reason) => why.push(reason),
            }
        }
        Err(why.join("; "))
    }

    /// Where journals of a worksheet may stand: beside it, and in the state folder.
    pub(super) fn places(&self, source: &Source) -> Vec<Vec<PathBuf>> {
        let file = source.path().map(followed);
        let state = self.state.as_ref().map(|state| {
            let whole = file.as_ref().map(|file| fs::canonicalize(file).unwrap_or(file.clone()));
            let whole = whole.unwrap_or_else(|| PathBuf::from(source.name()));
            in_state(state, &source.name().replace(['/', '\\', ' '], "-"), &whole)
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

pub(super) fn told_removed(removed: io::Result<()>, path: &Path) -> Option<String> {
    let trouble = removed
        .err()
        .filter(|trouble| trouble.kind() != io::ErrorKind::NotFound)?;
    let reason = plain(&trouble);
    Some(format!("The journal {} can't be removed: {reason}", path.display()))
}

pub(super) fn unkept(why: &str) -> String {
    format!("No journal can be kept ({why}): what isn't saved is lost if the power fails")
}
