//! Work that a session left which broke off: found, told, and taken up or written beside.
//!
//! Only one piece of work can be taken up, and only on the text that it began
//! with; any other can be written into a file beside the worksheet, discarded or
//! left. How its acts are done again is in [`super::replay`].
//! Start reading at [`Session::look_for_unsaved`].

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use crate::session::disk::{folder_of, plain, write_new};
use crate::session::journal::{Content, End, Journal, Making, Mark, Slot, Unopened, Written};
use crate::session::{Outcome, Refusal, Session};

use super::keeping::{Keeping, told_removed, unkept};

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
        match session.is_fresh() && (session.keeping.lost || self.written.belongs_to(self.file)) {
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
        let last = changes.last.map_or(String::new(), |act| clipped(&act.first_line()));
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

impl Session {
    /// Looks for work that was left, and for another session on this worksheet.
    pub fn look_for_unsaved(&mut self, state: Option<&Path>) -> Found {
        self.keeping.look_in(state);
        let mut found = Found::default();
        let mut in_hand = false;
        for path in self.keeping.places(&self.source).into_iter().flatten() {
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
            found.told.push(self.told_in_hand());
        }
        found
    }

    /// That somebody else has this worksheet open.
    pub(crate) fn told_in_hand(&self) -> String {
        format!(
            "Another session or page has {} in hand; whichever of the two saves second is told, and nothing is lost",
            self.name()
        )
    }

    /// Whether another session or page has this worksheet open now.
    pub(crate) fn is_in_other_hands(&self) -> bool {
        let places = self.keeping.places(&self.source);
        let own = self.keeping.journal().map(Journal::path);
        let others = places.iter().flatten().filter(|path| own != Some(path.as_path()));
        others
            .into_iter()
            .any(|path| matches!(Slot::open(path, Making::Old, None), Err(Unopened::InHand)))
    }

    /// Refuses what a command would write at once, where a session has the worksheet in hand
    /// or left work on it that isn't saved.
    pub(in crate::session) fn nobody_has_it(&mut self, state: Option<&Path>) -> Result<(), Refusal> {
        let name = self.name().to_owned();
        self.keeping.look_in(state);
        let file = Mark::of(self.source.text());
        for path in self.keeping.places(&self.source).into_iter().flatten() {
            match patiently(&path) {
                Err(Unopened::InHand) => {
                    let message = format!("a session has {name} in hand; nothing was written");
                    return Err(Refusal::new(message).help("type it there, or leave that session first"));
                }
                Err(Unopened::Trouble(_)) => {}
                Ok(mut slot) => {
                    if let Ok(Content::Written(written)) = slot.content()
                        && !written.is_saved_in(file)
                    {
                        let message = format!("a session left work on {name} that is not saved; nothing was written");
                        return Err(Refusal::new(message).help(format!("`tarebook open {name}` offers it")));
                    }
                }
            }
        }
        Ok(())
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
        if !self.keeping.lost && written.is_saved_in(file) {
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
        let keeping = std::mem::take(&mut self.keeping);
        *self = replayed.session;
        self.keeping = keeping.afresh();
        let mut outcome = Outcome::said(match written.changes().count {
            1 => "Taken up: 1 change".to_owned(),
            many => format!("Taken up: {many} changes"),
        });
        outcome.told.extend(replayed.told);
        match replayed.other {
            None if written.end.is_sound() => self.keeping.go_on(Journal::resume(slot, &written)),
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
        match self.keeping.free_slot(&self.source) {
            Ok(slot) => {
                self.keeping.go_on(Journal::begin(slot).with_changes(written));
                self.keeping(Keeping::write)
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
        let trials = replayed.session.trials().all_written();
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
}

/// Opens a journal that is there; one that is in hand for a moment alone is waited for.
fn patiently(path: &Path) -> Result<Slot, Unopened> {
    for _ in 0..PATIENCE {
        match Slot::open(path, Making::Old, None) {
            Err(Unopened::InHand) => thread::sleep(Duration::from_millis(10)),
            opened => return opened,
        }
    }
    Err(Unopened::InHand)
}

/// So many hundredths of a second.
const PATIENCE: usize = 20;

fn stays(other: &str, path: &Path) -> String {
    format!(
        "From {other}, on it comes out otherwise than it did, because a file that the worksheet reads was changed; \
the journal stays in {} to be rescued by hand",
        path.display()
    )
}
