//! Acts of a journal done again, from the text that it began with.
//!
//! Each must leave the text and the trials that it left when it was done first;
//! where one doesn't, the work ends before it, and that is told.
//! Start reading at [`Session::replay`].

use std::collections::BTreeMap;

use crate::session::history::Step;
use crate::session::journal::{Act, Event, InFile, Mark, Record, Written};
use crate::session::{Outcome, Refusal, Session};

/// How far acts could be done again, and where one came out otherwise.
pub(super) struct Replayed {
    pub(super) session: Session,
    pub(super) acts: usize,
    pub(super) other: Option<String>,
    pub(super) told: Vec<String>,
}

impl Session {
    /// Does again what a journal holds, from the text it began with, as far as it comes
    /// out as it did.
    pub(super) fn replay(&self, written: &Written) -> Replayed {
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
        let saved = replayed.session.saved_acts(&written.records);
        for (place, record) in written.records.iter().enumerate() {
            if replayed.acts == most && record.is_act() {
                break;
            }
            let is_saved = record
                .in_file()
                .is_some_and(|file| saved.get(&file.path) >= Some(&place));
            if is_saved {
                replayed.session.step_over(record);
            } else if let Err(what) = replayed.session.replay_one(record, &mut replayed.told) {
                let number = replayed.acts + 1;
                replayed.other =
                    Some(what.map_or("its beginning".to_owned(), |act| format!("change {number}, `{act}`")));
                break;
            }
            replayed.acts += usize::from(record.is_act());
        }
        replayed.session.keeping.replaying = false;
        replayed.session.look();
        replayed
    }

    /// For each file of a table, the last act whose row stands in it already, since it was
    /// saved before the session broke off.
    fn saved_acts(&self, records: &[Record]) -> BTreeMap<String, usize> {
        let mut saved = BTreeMap::new();
        for (place, record) in records.iter().enumerate() {
            if let Some(file) = record.in_file()
                && self
                    .sheet
                    .file_on_disk(&file.path)
                    .is_ok_and(|text| Mark::of(&text) == file.after)
            {
                saved.insert(file.path.clone(), place);
            }
        }
        saved
    }

    /// Goes over an act whose row is saved: a step with nothing in it.
    fn step_over(&mut self, record: &Record) {
        let title = match &record.event {
            Event::Act { act, .. } => act.first_line(),
            _ => String::new(),
        };
        let standing = (self.standing(), self.standing());
        self.history
            .remember(Step::new(title, Vec::new(), standing, record.clone()));
    }

    /// That a table's file is another than an act found it.
    fn told_other_file(&self, file: &InFile) -> Option<String> {
        let text = self.sheet.file_text(&file.path).ok()?;
        (Mark::of(&text) != file.before)
            .then(|| format!("`{}` was changed since; its rows are put in as it is now", file.path))
    }

    /// Does again what a record tells; where it comes out otherwise, which act it was.
    fn replay_one(&mut self, record: &Record, told: &mut Vec<String>) -> Result<(), Option<String>> {
        let (done, act) = match &record.event {
            Event::File(_) => return Ok(()),
            Event::Stood { stood, .. } => (self.stand_as_written(stood), None),
            Event::Act { act, .. } => (self.perform(act, told), Some(act)),
        };
        if let (Some(step), false) = (
            self.history.last_mut(),
            matches!(act, None | Some(Act::Undo | Act::Redo)),
        ) {
            step.record = record.clone();
        }
        let left = (Mark::of(self.sheet.text()), self.trials().count());
        match done.is_ok() && record.left() == Some(left) {
            true => Ok(()),
            false => Err(act.map(Act::first_line)),
        }
    }

    /// The same worksheet with another text, and nothing done yet.
    fn anew(&self, text: String) -> Session {
        let enclosed = self.source.enclosed();
        let mut session = Session::with(self.source.clone(), text, enclosed, self.options);
        session.keeping.replaying = true;
        session
    }

    fn perform(&mut self, act: &Act, told: &mut Vec<String>) -> Result<Outcome, Refusal> {
        match act {
            Act::Enter(text) => self.enter(text),
            Act::Edit { name, text } => self.enter_over(name, text),
            Act::Add { line, in_file } => {
                told.extend(in_file.iter().filter_map(|file| self.told_other_file(file)));
                self.add(line)
            }
            Act::RemoveRow { line, in_file } => match in_file.as_ref().and_then(|file| self.told_other_file(file)) {
                Some(why) => Err(Refusal::new(why)),
                None => self.remove_row(line),
            },
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
            self.history.forget_undone();
        }
        told.push(format!(
            "`{name}` on trial stays {value}, though `{}` gives another value now",
            line.trim()
        ));
        let outcome = self.try_value(&format!("{name} = {value}"))?;
        if let Some(step) = self.history.last_mut() {
            line.trim().clone_into(&mut step.title);
        }
        Ok(outcome)
    }
}
