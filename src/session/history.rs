//! The steps that were done and undone, and the one at work.
//!
//! A step knows which stretches of text it replaced, and how case and trials stood before
//! and after it; what a journal says of it goes along. How a step is taken back is left to
//! the session. Start reading at [`History`].

use super::Refusal;
use super::journal::Record;
use super::standing::Standing;

/// So many steps can be undone.
const MOST_STEPS: usize = 1000;

/// All steps together hold so many bytes.
const MOST_HELD: usize = 256 * 1024 * 1024;

/// The steps of a session.
#[derive(Default)]
pub(super) struct History {
    done: Vec<Step>,
    /// The last one undone is the last.
    undone: Vec<Step>,
    /// What the step at work has replaced.
    working: Vec<Replacement>,
    /// So many steps aren't kept any more.
    forgotten: usize,
}

/// One step: what it is called, which text it replaced, and what stood before and after.
pub(super) struct Step {
    pub(super) title: String,
    pub(super) texts: Vec<Replacement>,
    pub(super) before: Standing,
    pub(super) after: Standing,
    pub(super) record: Record,
    /// Of a file read again: what was known to be in it before, and what was read.
    pub(super) reread: Option<(String, String)>,
    /// About so much is held.
    bytes: usize,
}

impl Step {
    pub(super) fn new(
        title: String,
        texts: Vec<Replacement>,
        (before, after): (Standing, Standing),
        record: Record,
    ) -> Step {
        let replaced = texts.iter().map(|text| text.removed.len() + text.inserted.len());
        Step {
            bytes: replaced.sum::<usize>() + before.size() + after.size() + record.size(),
            title,
            texts,
            before,
            after,
            record,
            reread: None,
        }
    }

    /// It read a file again, in which `known` was known to be.
    pub(super) fn has_reread(&mut self, known: String, read: String) {
        self.bytes += known.len() + read.len();
        self.reread = Some((known, read));
    }
}

/// A stretch of text and what took its place.
#[derive(Clone)]
pub(super) struct Replacement {
    /// The file of a table, by its path; none for the worksheet.
    pub(super) file: Option<String>,
    pub(super) start: usize,
    pub(super) removed: String,
    pub(super) inserted: String,
}

impl Replacement {
    /// Gives a text back as it was before.
    pub(super) fn take_back(&self, text: &mut String) {
        let stretch = self.start..self.start + self.inserted.len();
        if text.get(stretch.clone()).is_some() {
            text.replace_range(stretch, &self.removed);
        }
    }
}

impl History {
    /// Begins a step.
    pub(super) fn begin(&mut self) {
        self.working.clear();
    }

    /// Adds to the step at work.
    pub(super) fn add(&mut self, replaced: Replacement) {
        self.working.push(replaced);
    }

    /// Ends the step at work; gives back what it replaced.
    pub(super) fn end(&mut self) -> Vec<Replacement> {
        std::mem::take(&mut self.working)
    }

    /// Keeps a step that was done; what was undone can't be done again from here on.
    pub(super) fn remember(&mut self, step: Step) {
        self.undone.clear();
        self.done.push(step);
        let held = |steps: &[Step]| steps.iter().map(|step| step.bytes).sum::<usize>();
        while self.done.len() > 1 && (self.done.len() > MOST_STEPS || held(&self.done) > MOST_HELD) {
            self.done.remove(0);
            self.forgotten += 1;
        }
    }

    /// Whether nothing was done.
    pub(super) fn is_empty(&self) -> bool {
        self.done.is_empty()
    }

    /// How many steps aren't kept any more.
    pub(super) fn forgotten(&self) -> usize {
        self.forgotten
    }

    /// The step done last.
    ///
    /// # Errors
    /// There is none.
    pub(super) fn last(&self) -> Result<&Step, Refusal> {
        self.done.last().ok_or_else(|| self.nothing_to_undo())
    }

    fn nothing_to_undo(&self) -> Refusal {
        match self.forgotten {
            0 => Refusal::new("there is nothing to undo"),
            many => Refusal::new(format!(
                "there is nothing more to undo: {many} earlier steps are no longer kept, which are the last {MOST_STEPS} at most"
            )),
        }
    }

    pub(super) fn last_mut(&mut self) -> Option<&mut Step> {
        self.done.last_mut()
    }

    /// The step undone last.
    ///
    /// # Errors
    /// There is none.
    pub(super) fn next(&self) -> Result<&Step, Refusal> {
        self.undone.last().ok_or_else(nothing_to_redo)
    }

    /// Goes a step back.
    ///
    /// # Errors
    /// There is none.
    pub(super) fn step_back(&mut self) -> Result<Step, Refusal> {
        self.done.pop().ok_or_else(|| self.nothing_to_undo())
    }

    /// Keeps a step that was taken back.
    pub(super) fn was_undone(&mut self, step: Step) {
        self.undone.push(step);
    }

    /// Goes a step forth again.
    ///
    /// # Errors
    /// There is none.
    pub(super) fn step_forth(&mut self) -> Result<Step, Refusal> {
        self.undone.pop().ok_or_else(nothing_to_redo)
    }

    /// Keeps a step that was done again.
    pub(super) fn was_redone(&mut self, step: Step) {
        self.done.push(step);
    }

    /// Lets go of the steps that were undone.
    pub(super) fn forget_undone(&mut self) {
        self.undone.clear();
    }

    /// Begins behind so many steps that aren't kept.
    pub(super) fn begin_behind(&mut self, forgotten: usize) {
        *self = History {
            forgotten,
            ..History::default()
        };
    }

    /// What the steps done have replaced in a table's file, or with none in the worksheet, the
    /// last first.
    pub(super) fn replaced_in<'a>(&'a self, file: Option<&'a str>) -> impl Iterator<Item = &'a Replacement> {
        let all = self.done.iter().rev().flat_map(|step| step.texts.iter().rev());
        all.filter(move |replaced| replaced.file.as_deref() == file)
    }

    /// How case and trials stood before the first step that is kept; `None` without any.
    pub(super) fn at_first(&self) -> Option<&Standing> {
        let earliest = self.done.first().or(self.undone.last());
        earliest.map(|step| &step.before)
    }

    /// The records of the steps done and of those to do again, in their order, and how many
    /// were done.
    pub(super) fn records(&self) -> (Vec<Record>, usize) {
        let steps = self.done.iter().chain(self.undone.iter().rev());
        (steps.map(|step| step.record.clone()).collect(), self.done.len())
    }
}

fn nothing_to_redo() -> Refusal {
    Refusal::new("there is nothing to redo")
}
