//! Slips as they are found, each mended in a copy to see what it would do.
//!
//! Start reading at [`Slips::add`].

use std::collections::BTreeSet;

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::study::vary::Varied;
use crate::trade::habits::Habit;

use super::Subject;
use super::finding::{Finding, Findings};
use super::ground::{Ground, Place};
use super::slip::{Mended, Slip, Suspicion};

/// A reader sees no smaller move of an answer.
const SEEN: f64 = 0.005;

/// Slips as they are found.
pub(super) struct Slips<'a> {
    pub(super) ground: &'a Ground<'a>,
    answers: &'a [CellId],
    found: &'a mut Findings,
    /// The entries that something could be held against.
    pub(super) met: BTreeSet<CellId>,
    /// The entries that a slip was found in; what rests on them isn't accused again of the same.
    pub(super) accused: BTreeSet<CellId>,
}

impl<'a> Slips<'a> {
    pub(super) fn new(ground: &'a Ground<'a>, answers: &'a [CellId], found: &'a mut Findings) -> Slips<'a> {
        Slips {
            ground,
            answers,
            found,
            met: BTreeSet::new(),
            accused: BTreeSet::new(),
        }
    }

    /// A slip of a cell, and the number that would mend an entry.
    pub(super) fn add(&mut self, cell: CellId, slip: Slip, mend: Option<(CellId, Number)>) {
        let whole = self.ground.place.get() == Place::Whole;
        if !whole && self.found.has_slip(cell, slip.code()) {
            return;
        }
        // of a part alone it isn't known what the line comes to
        let mend = mend.filter(|(mended, _)| whole || *mended != cell);
        self.put(cell, slip, mend);
    }

    fn put(&mut self, cell: CellId, slip: Slip, mend: Option<(CellId, Number)>) {
        let mended = mend.and_then(|(cell, value)| self.mended(cell, value));
        self.accused.insert(cell);
        self.note(Subject::Cell(cell), Finding::Slip(Suspicion { slip, mended }));
    }

    /// A slip that people make in good faith; mending it multiplies the entry by so much.
    pub(super) fn habit(&mut self, cell: CellId, habit: &'static Habit, other: Option<CellId>, times: Option<f64>) {
        let place = self.ground.place.get();
        if place != Place::Whole && self.found.has_slip(cell, habit.code) {
            return;
        }
        let times = times.and_then(|times| match place {
            Place::Whole | Place::Above => Some(times),
            Place::Below => Some(1.0 / times),
            Place::Inside => None,
        });
        let mend = times.and_then(|times| self.ground.changed(cell, |now| now * times));
        self.put(cell, Slip::Habit(habit, other), mend);
    }

    pub(super) fn note(&mut self, subject: Subject, finding: Finding) {
        self.found.add(subject, finding);
    }

    /// What the answers do with an entry at another value: the one that moves most, and which others move.
    pub(super) fn mended(&self, cell: CellId, value: Number) -> Option<Mended> {
        let mut varied = Varied::new(self.ground.sheet, cell);
        let copy = varied.at(value);
        let each = self.answers.iter().filter_map(|answer| {
            let before = super::number(self.ground.sheet, *answer)?;
            let after = super::number(copy, *answer)?;
            let others = Vec::new();
            let answer = *answer;
            Some(Mended {
                answer,
                before,
                after,
                others,
            })
        });
        let moved: Vec<Mended> = each.filter(|mended| mended.size() > 1e-9).collect();
        // of those that differ in the last digits alone the first
        let most = moved
            .iter()
            .cloned()
            .reduce(|most, other| match other.size() > most.size() * (1.0 + 1e-6) {
                true => other,
                false => most,
            })?;
        let others = moved
            .iter()
            .filter(|mended| mended.answer != most.answer && mended.size() > SEEN);
        let others = others
            .map(|mended| (mended.answer, mended.before, mended.after))
            .collect();
        Some(Mended { others, ..most })
    }

    /// Whether a cell was found to tell a function that nothing is burnt without load.
    pub(super) fn burns_without_load(&self, cell: CellId) -> bool {
        let told = |finding: &Finding| matches!(finding, Finding::NoLoadShare(_));
        self.found.has(Subject::Cell(cell), told)
    }

    /// Whether something of this kind was found about what a cell rests on, itself among it.
    pub(super) fn said_of_its_needs(&self, cell: CellId, wanted: fn(&Finding) -> bool) -> bool {
        let mut needs = self.ground.needs(cell);
        needs.any(|need| self.found.has(Subject::Cell(need), wanted))
    }

    /// Whether a cell rests on one that is accused already.
    pub(super) fn inherits(&self, cell: CellId) -> bool {
        self.ground.needs(cell).any(|need| self.accused.contains(&need))
    }
}
