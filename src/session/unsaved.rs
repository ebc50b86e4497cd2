//! Unsaved work: noted as it is done, and taken up after a session that broke off.
//!
//! A session that keeps a journal notes each act in it before the act is
//! answered. What an earlier session left is looked for once, at the beginning,
//! and taken up, written beside, discarded, or left for later, as a person says.
//! How a journal is written is in [`super::journal`]. Start reading at
//! [`Session::look_for_unsaved`] and [`Session::keep_journal`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::report::build::Options;
use crate::sheet::HeldValue;

use super::file::{Source, folder_of, followed, plain, sweep_parts, write_new};
use super::journal::{
    Act, Content, End, Event, Journal, Making, Mark, Noted, Record, Slot, Unopened, Way, Whole, Written, beside,
    checksum_of, in_state,
};
use super::{Outcome, Refusal, Session};

/// Work that a session left which broke off.
pub struct Left {
    slot: Slot,
    written: Written,
    file: Mark,
    name: String,
}

/// What can be done with work that was left.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Offer {
    /// It goes on from the worksheet as it stands.
    TakeUp,
    /// The worksheet is another by now: it can be written into a file beside it.
    WriteBeside,
}

/// What was found at the beginning.
#[derive(Default)]
pub struct Found {
    /// Work that was left, oldest name first.
    pub left: Vec<Left>,
    /// What else there is to say, a line each.
    pub told: Vec<String>,
}

impl Left {
    /// What can be done with it: only one piece of work can be taken up, and only on the
    /// text that it began with.
    pub fn offer(&self, session: &Session) -> Offer {
        match session.is_fresh() && (session.lost || self.written.belongs_to(self.file)) {
            true => Offer::TakeUp,
            false => Offer::WriteBeside,
        }
    }

    /// What it is, a line each: how many changes, from when, the last one.
    pub fn told(&self, session: &Session) -> Vec<String> {
        let mut told = vec![self.told_changes()];
        match self.written.end {
            End::Whole => {}
            End::BrokenOff if self.written.torn.is_empty() => {
                told.push("Its last line breaks off and is left out".to_owned());
            }
            End::BrokenOff => told.push(format!(
                "Its last line breaks off and is left out: `{}`",
                clipped(&self.written.torn)
            )),
            End::Damaged(line) => told.push(format!(
                "From line {line} on {} can't be read, and what follows is left out; the file stays until it is discarded",
                self.slot.path.display()
            )),
        }
        if self.offer(session) == Offer::WriteBeside {
            let why = match session.is_fresh() {
                true => "The worksheet was changed since by somebody else",
                false => "Other work on it is taken up already",
            };
            told.push(format!(
                "{why}, so this can't go on from it; what it would have become can be written into a file beside it"
            ));
        }
        told
    }

    fn told_changes(&self) -> String {
        let changes = self.written.changes();
        let trials = match self.written.last().1 {
            0 => String::new(),
            1 => ", with 1 trial".to_owned(),
            many => format!(", with {many} trials"),
        };
        let name = &self.name;
        let last = changes.last.map_or(String::new(), |act| clipped(&act.told()));
        let first = changes.first.map_or("", minute);
        match changes.count {
            0 => format!("There is work on {name} that broke off{trials}, and no change since it was saved"),
            1 => format!("There is work on {name} that was not saved: 1 change, of {first}, `{last}`{trials}"),
            many => format!(
                "There is work on {name} that was not saved: {many} changes, from {first} on, the last of them `{last}`{trials}"
            ),
        }
    }

    /// Where it stands.
    pub fn path(&self) -> &Path {
        &self.slot.path
    }

    /// How many changes it has since the worksheet was saved.
    pub fn changes(&self) -> usize {
        self.written.changes().count
    }

    /// Removes it for good.
    ///
    /// # Errors
    /// Why its file can't be removed.
    pub fn discard(self) -> Result<Outcome, Refusal> {
        let path = self.slot.path.clone();
        match self.slot.remove() {
            Ok(()) => Ok(Outcome::said("Discarded")),
            Err(trouble) => Err(Refusal::new(format!(
                "`{}` can't be removed: {}",
                path.display(),
                plain(&trouble)
            ))),
        }
    }
}

/// So many characters of a line are told.
const LONGEST_TOLD: usize = 100;

fn clipped(line: &str) -> String {
    let start: String = line.chars().take(LONGEST_TOLD).collect();
    match start.len() < line.len() {
        true => format!("{start}…"),
        false => start,
    }
}

/// Day, hour and minute of a time stamp.
fn minute(when: &str) -> &str {
    when.get(..16).unwrap_or(when)
}

/// How far acts could be done again, and where one came out otherwise.
struct Replayed {
    session: Session,
    acts: usize,
    other: Option<String>,
    told: Vec<String>,
}

impl Session {
    /// Whether nothing was done yet.
    fn is_fresh(&self) -> bool {
        self.journal.is_none() && self.done.is_empty()
    }

    // ---- noting ----

    /// What a journal says of an act that was done just now.
    pub(super) fn record_of(&self, act: Act) -> Record {
        let act = match act {
            Act::Try { line, .. } => Act::Try {
                value: self.worked_out(&line),
                line,
            },
            act => act,
        };
        Record::now(Event::Act {
            act,
            text: Mark::of(self.sheet.text()),
            trials: self.sheet.trials().count(),
        })
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

    // ---- what was left ----

    /// Looks for work that was left, and for another session on this worksheet.
    pub fn look_for_unsaved(&mut self, state: Option<&Path>) -> Found {
        self.state = state.map(Path::to_owned);
        let mut found = Found::default();
        let mut in_hand = false;
        for path in self.journal_places().into_iter().flatten() {
            match Slot::open(&path, Making::Old, None) {
                Ok(slot) => self.look_into(slot, &mut found),
                Err(Unopened::InHand) => in_hand = true,
                Err(Unopened::Trouble(trouble)) => {
                    let absent = [io::ErrorKind::NotFound, io::ErrorKind::NotADirectory].contains(&trouble.kind());
                    // A name too long for the folder was never one of ours.
                    if !absent && fs::symlink_metadata(&path).is_ok() {
                        let reason = plain(&trouble);
                        found.told.push(format!("`{}` can't be read: {reason}", path.display()));
                    }
                }
            }
        }
        if in_hand {
            found.told.push(format!(
                "Another session has {} in hand; whichever of the two saves second is told, and nothing is lost",
                self.name()
            ));
        }
        found
    }

    fn look_into(&self, mut slot: Slot, found: &mut Found) {
        let shown = slot.path.display().to_string();
        match slot.content() {
            Ok(Content::Empty) => {
                let _ = slot.remove();
            }
            Ok(Content::Begun) => {
                found.told.push(format!(
                    "The journal {shown} breaks off before its first change, and is removed"
                ));
                let _ = slot.remove();
            }
            Ok(Content::Damaged) => found.told.push(format!(
                "The journal {shown} can't be read, and is left as it is; its lines behind `|` can be rescued by hand"
            )),
            Ok(Content::Foreign) => found.told.push(format!(
                "`{shown}` is no journal that this program can read; it is left as it is"
            )),
            Err(trouble) => found.told.push(format!("`{shown}` can't be read: {}", plain(&trouble))),
            Ok(Content::Written(written)) => self.look_at(slot, *written, found),
        }
    }

    fn look_at(&self, slot: Slot, written: Written, found: &mut Found) {
        let file = Mark::of(self.source.text());
        if !self.lost && written.is_saved_in(file) {
            if written.end == End::BrokenOff {
                found.told.push(format!(
                    "The journal {} breaks off in a line that is left out; all before it is saved, and it is removed",
                    slot.path.display()
                ));
            }
            let _ = slot.remove();
            return;
        }
        found.left.push(Left {
            slot,
            written,
            file,
            name: self.name().to_owned(),
        });
    }

    /// Takes up work that was left: all that was typed is done again, and noted on.
    ///
    /// # Errors
    /// None of it can be done again; then it stays where it is.
    pub fn take_up(&mut self, left: Left) -> Result<Outcome, Refusal> {
        let Left { slot, written, .. } = left;
        let replayed = self.replay(&written);
        if let (0, Some(other)) = (replayed.acts, &replayed.other) {
            return Err(Refusal::new(stays(other, &slot.path)));
        }
        let state = self.state.take();
        *self = replayed.session;
        self.state = state;
        let mut outcome = Outcome::said(match written.changes().count {
            1 => "Taken up: 1 change".to_owned(),
            many => format!("Taken up: {many} changes"),
        });
        outcome.told.extend(replayed.told);
        match replayed.other {
            None if written.end.is_sound() => self.journal = Some(Journal::resume(slot, &written)),
            other => {
                outcome.told.extend(other.map(|other| stays(&other, &slot.path)));
                drop(slot);
                outcome.told.extend(self.begin_with(&written));
            }
        }
        Ok(outcome)
    }

    /// A journal of its own for as much as was taken up.
    fn begin_with(&mut self, written: &Written) -> Option<String> {
        match self.free_slot() {
            Ok(slot) => {
                self.journal = Some(Journal::begin(slot).with_changes(written));
                self.write_journal()
            }
            Err(why) => Some(unkept(&why)),
        }
    }

    /// Writes what the work would have become into a new file beside the worksheet.
    ///
    /// # Errors
    /// Why it can't be written; the work is given back with it.
    pub fn write_beside(&self, left: Left) -> Result<Outcome, (Refusal, Box<Left>)> {
        let replayed = self.replay(&left.written);
        let path = match self.write_numbered(replayed.session.sheet.text()) {
            Ok(path) => path,
            Err(refusal) => return Err((refusal, Box::new(left))),
        };
        let mut outcome = Outcome::said(format!("Wrote {}", path.display()));
        let trials = replayed.session.trials_written();
        if !trials.is_empty() {
            outcome
                .told
                .push(format!("On trial and not written: {}", trials.join(", ")));
        }
        outcome.told.extend(replayed.told);
        match replayed.other {
            Some(other) => outcome.told.push(stays(&other, &left.slot.path)),
            None if !left.written.end.is_sound() => outcome
                .told
                .push(format!("The journal stays in {}", left.slot.path.display())),
            None => {
                let path = left.slot.path.clone();
                outcome.told.extend(told_removed(left.slot.remove(), &path));
            }
        }
        Ok(outcome)
    }

    /// The first of `ridge-unsaved.tare`, `ridge-unsaved-2.tare` and so on that isn't there.
    fn write_numbered(&self, text: &str) -> Result<PathBuf, Refusal> {
        let file = self
            .source
            .path()
            .map_or_else(|| PathBuf::from("worksheet.tare"), Path::to_owned);
        let stem = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let ending = file.extension().map(|ending| format!(".{}", ending.to_string_lossy()));
        let ending = ending.unwrap_or_default();
        let name = |number: usize| match number {
            1 => folder_of(&file).join(format!("{stem}-unsaved{ending}")),
            _ => folder_of(&file).join(format!("{stem}-unsaved-{number}{ending}")),
        };
        let free = (1..=99).map(name).find(|path| fs::symlink_metadata(path).is_err());
        let path = free.unwrap_or_else(|| name(100));
        write_new(&path, text).map(|()| path)
    }

    /// The trials in hand, as they can be typed.
    fn trials_written(&self) -> Vec<String> {
        let written = |name: String| {
            let cell = self.sheet.cell(&name)?;
            let value = self.kept_text(cell, &name).ok()?;
            Some(format!("`{name} = {value}`"))
        };
        self.trial_names().into_iter().filter_map(written).collect()
    }

    // ---- doing again ----

    /// Does again what a journal holds, from the text it began with, as far as it comes
    /// out as it did.
    fn replay(&self, written: &Written) -> Replayed {
        let replayed = self.replay_first(written, usize::MAX);
        match &replayed.other {
            None => replayed,
            Some(_) => Replayed {
                other: replayed.other.clone(),
                ..self.replay_first(written, replayed.acts)
            },
        }
    }

    fn replay_first(&self, written: &Written, most: usize) -> Replayed {
        let mut replayed = Replayed {
            session: self.anew(written.start.clone()),
            acts: 0,
            other: None,
            told: Vec::new(),
        };
        for record in &written.records {
            if replayed.acts == most && record.is_act() {
                break;
            }
            if let Err(what) = replayed.session.replay_one(record, &mut replayed.told) {
                let number = replayed.acts + 1;
                replayed.other =
                    Some(what.map_or("its beginning".to_owned(), |act| format!("change {number}, `{act}`")));
                break;
            }
            replayed.acts += usize::from(record.is_act());
        }
        replayed.session.replaying = false;
        replayed.session.see();
        replayed
    }

    /// Does again what a record tells; where it comes out otherwise, which act it was.
    fn replay_one(&mut self, record: &Record, told: &mut Vec<String>) -> Result<(), Option<String>> {
        let (done, act) = match &record.event {
            Event::File(_) => return Ok(()),
            Event::Stood { stood, .. } => (self.stand_as_written(stood), None),
            Event::Act { act, .. } => (self.perform(act, told), Some(act)),
        };
        if let (Some(step), false) = (self.done.last_mut(), matches!(act, None | Some(Act::Undo | Act::Redo))) {
            step.record = record.clone();
        }
        let left = (Mark::of(self.sheet.text()), self.sheet.trials().count());
        match done.is_ok() && record.left() == Some(left) {
            true => Ok(()),
            false => Err(act.map(Act::told)),
        }
    }

    /// The same worksheet with another text, and nothing done yet.
    fn anew(&self, text: String) -> Session {
        let enclosed = self.source.enclosed();
        let mut session = Session::with(self.source.clone(), text, enclosed, self.options);
        session.replaying = true;
        session
    }

    fn perform(&mut self, act: &Act, told: &mut Vec<String>) -> Result<Outcome, Refusal> {
        match act {
            Act::Enter(text) => self.enter(text),
            Act::Edit { name, text } => self.enter_over(name, text),
            Act::Remove(name) => self.remove(name),
            Act::Rename { old, new } => self.rename(old, new),
            Act::Try { line, value } => self.try_again(line, value.as_deref(), told),
            Act::Drop(name) => self.drop_trials(name.as_deref()),
            Act::Keep => self.keep(),
            Act::KeepAsCase(line) => self.keep_as_case(line),
            Act::Case(name) => self.set_case(name),
            Act::KeepPlot(line) => self.keep_drawn(line),
            Act::Reload(text) => self.take_text(text),
            Act::Undo => self.undo(),
            Act::Redo => self.redo(),
        }
    }

    /// Tries a value again. Where it was worked out from something that is another by now,
    /// such as a table's file, the value stays what it was.
    fn try_again(&mut self, line: &str, value: Option<&str>, told: &mut Vec<String>) -> Result<Outcome, Refusal> {
        let tried = self.try_value(line);
        let Some(value) = value else { return tried };
        if tried.is_ok() && self.worked_out(line).as_deref() == Some(value) {
            return tried;
        }
        let name = line.split('=').next().unwrap_or("").trim().to_owned();
        if value.starts_with("column ") {
            told.push(format!(
                "`{name}` on trial is another column now, since a file it rests on was changed"
            ));
            return tried;
        }
        if tried.is_ok() {
            self.undo()?;
            self.undone.clear();
        }
        told.push(format!(
            "`{name}` on trial stays {value}, though `{}` gives another value now",
            line.trim()
        ));
        let outcome = self.try_value(&format!("{name} = {value}"))?;
        if let Some(step) = self.done.last_mut() {
            line.trim().clone_into(&mut step.title);
        }
        Ok(outcome)
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

fn stays(other: &str, path: &Path) -> String {
    format!(
        "From {other}, on it comes out otherwise than it did, because a file that the worksheet reads was changed; \
the journal stays in {} to be rescued by hand",
        path.display()
    )
}
