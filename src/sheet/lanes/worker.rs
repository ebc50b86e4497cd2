//! A worker: runs the plan over one block of draws after another.
//!
//! Each thread has its own, over the same plan. Cells run over the whole block
//! where they can; the rest, and the draws that a block can't settle, go through
//! the plain machine. A draw that meets a problem is left without that value, and
//! the first problem is kept. Start reading at [`Worker::run`].

use std::sync::Arc;

use super::super::binary::{Draw, Off};
use super::super::machine::Machine;
use super::super::names::CellId;
use super::super::values::Failure;
use super::vector::{self, Lane, Marks, Ran, Tape, WIDTH};
use super::{Asked, How, Lanes, Planned};
use crate::number::Trouble;
use crate::trade::Complaint;

type Cells = Vec<Option<f64>>;

/// A problem that a draw met.
#[derive(Clone, PartialEq, Debug)]
pub struct Met {
    /// The cell.
    pub cell: CellId,
    /// Why it has no value.
    pub failure: Failure,
}

/// Runs a plan over blocks of draws.
pub struct Worker<'a> {
    plan: &'a Lanes<'a>,
    lanes: vector::Lanes,
    /// For each cell of the plan, the draws in which it has no value.
    failed: Vec<Marks>,
    /// Whether any cell has none in any draw of this run.
    any_failed: bool,
    /// For each cell of the plan, the draws in which a limit cut short the table that it makes.
    cut_short: Vec<Marks>,
    /// For each column that cells hold, its cells draw by draw.
    columns: Vec<Vec<Cells>>,
    /// For each table column with drawn readings, its cells draw by draw.
    readings: Vec<Vec<Cells>>,
    machine: Machine<'a, f64>,
    met: Option<Met>,
}

impl<'a> Lanes<'a> {
    /// A worker over this plan.
    pub fn worker(&'a self) -> Worker<'a> {
        let context = Draw {
            known: Arc::clone(&self.known),
            off: vec![Off::default(); self.lines.len()],
            ..Draw::default()
        };
        let sheet = self.sheet;
        Worker {
            plan: self,
            lanes: vector::Lanes::new(self.lanes + self.registers),
            failed: vec![Marks::default(); self.cells.len()],
            any_failed: false,
            cut_short: vec![Marks::default(); self.cells.len()],
            columns: vec![vec![Vec::new(); self.block]; self.columns],
            readings: vec![vec![Vec::new(); self.block]; self.readings.len()],
            machine: Machine::new(&sheet.program, &sheet.texts, self.base.clone(), context)
                .holding(&sheet.overlay.held),
            met: None,
        }
    }

    /// How many draws a worker takes at once, at most.
    pub fn block(&self) -> usize {
        self.block
    }
}

/// The deviates of the sources of a plan, in order, each source by its parts.
pub(crate) type Deviates = [Vec<Vec<f64>>];

/// A stretch of draws.
#[derive(Clone, Copy)]
struct Stretch<'d> {
    deviates: &'d Deviates,
    from: usize,
    count: usize,
}

impl Stretch<'_> {
    fn deviate(&self, source: usize, part: usize, draw: usize) -> f64 {
        let parts = self.deviates.get(source).and_then(|parts| parts.get(part));
        parts
            .and_then(|part| part.get(self.from + draw))
            .copied()
            .unwrap_or(0.0)
    }

    fn parts(&self, source: usize) -> usize {
        self.deviates.get(source).map_or(0, Vec::len)
    }

    fn deviates(&self, source: usize) -> &[f64] {
        let part = self.deviates.get(source).and_then(|parts| parts.first());
        part.and_then(|part| part.get(self.from..self.from + self.count))
            .unwrap_or(&[])
    }
}

impl Worker<'_> {
    /// Runs `count` draws, at most a block, whose deviates begin at `from`.
    pub fn run(&mut self, deviates: &Deviates, from: usize, count: usize) {
        let count = count.min(self.plan.block);
        let stretch = Stretch { deviates, from, count };
        let plan = self.plan;
        self.forget_failed();
        self.cut_short.fill(Marks::default());
        self.draw_readings(stretch);
        for (place, planned) in plan.cells.iter().enumerate() {
            self.cell(place, planned, stretch);
        }
    }

    fn forget_failed(&mut self) {
        if std::mem::take(&mut self.any_failed) {
            self.failed.fill(Marks::default());
        }
    }

    /// The values of the cell asked for in that place, and the draws without one, after a run;
    /// infinite stands there where a limit has cut it short. Of a column whether all of its
    /// rows are true.
    pub fn found(&self, asked: usize) -> (Lane, Marks) {
        match self.plan.asked.get(asked) {
            Some(Asked::Constant(value)) => ([*value; WIDTH], Marks::default()),
            Some(Asked::Planned(place)) => {
                let lane = self
                    .plan
                    .cells
                    .get(*place)
                    .and_then(|planned| self.lanes.all.get(planned.kept));
                lane.zip(self.failed.get(*place))
                    .map_or_else(none_found, |(lane, failed)| (**lane, *failed))
            }
            Some(Asked::Column(place)) => self.of_column(*place, |cells| {
                let failing = cells.iter().flatten().any(|cell| *cell == 0.0);
                Some(if failing { 0.0 } else { 1.0 })
            }),
            Some(Asked::Still(_) | Asked::None) | None => none_found(),
        }
    }

    /// The values of one row of the column asked for in that place, likewise.
    pub(crate) fn found_in_row(&self, asked: usize, row: usize) -> (Lane, Marks) {
        match self.plan.asked.get(asked) {
            Some(Asked::Column(place)) => self.of_column(*place, |cells| cells.get(row).copied().flatten()),
            Some(Asked::Still(slot)) => {
                let cells = self.plan.base.columns.get(*slot as usize);
                let cell = cells.and_then(|cells| cells.get(row)).copied().flatten();
                cell.map_or_else(none_found, |value| ([value; WIDTH], Marks::default()))
            }
            _ => none_found(),
        }
    }

    /// What is made of a column in each draw; a draw of which nothing is made counts as failed.
    fn of_column(&self, place: usize, one: impl Fn(&Cells) -> Option<f64>) -> (Lane, Marks) {
        let kept = self.plan.cells.get(place).map(|planned| planned.kept);
        let (Some(draws), Some(failed)) = (kept.and_then(|kept| self.columns.get(kept)), self.failed.get(place)) else {
            return none_found();
        };
        let (mut lane, mut marks) = ([f64::NAN; WIDTH], *failed);
        for (draw, number) in lane.iter_mut().enumerate() {
            match draws.get(draw).and_then(&one) {
                Some(value) => *number = value,
                None => marks.mark(draw),
            }
        }
        (lane, marks)
    }

    /// The first problem met since this was last asked.
    pub(crate) fn take_met(&mut self) -> Option<Met> {
        self.met.take()
    }

    /// Puts the errors of readings into the columns of tables.
    fn draw_readings(&mut self, stretch: Stretch<'_>) {
        for ((slot, drawn), columns) in self.plan.readings.iter().zip(&mut self.readings) {
            let Some(base) = self.plan.base.columns.get(*slot as usize) else {
                continue;
            };
            for (draw, cells) in columns.iter_mut().enumerate().take(stretch.count) {
                cells.clone_from(base);
                for reading in drawn {
                    if let Some(Some(cell)) = cells.get_mut(reading.row) {
                        *cell += reading.standard * stretch.deviate(reading.source, 0, draw);
                    }
                }
            }
        }
    }

    fn cell(&mut self, place: usize, planned: &Planned, stretch: Stretch<'_>) {
        let doubtful = match &planned.how {
            How::Source(value, source, standard) => {
                if !self.source(planned.kept, (*value, *standard), stretch.deviates(*source)) {
                    self.refuse_source(place, planned, stretch.count);
                }
                Doubtful::None
            }
            How::Block(tape) => self.block(tape, &planned.needs),
            How::Single => Doubtful::All,
        };
        match doubtful {
            Doubtful::None => {}
            Doubtful::All => (0..stretch.count).for_each(|draw| self.single(place, planned, stretch, draw)),
            Doubtful::Some(marks) => {
                let draws = (0..stretch.count).filter(|draw| marks.has(*draw));
                draws.for_each(|draw| self.single(place, planned, stretch, draw));
            }
        }
    }

    /// Puts a source's values into its lane; whether all of them can be held.
    fn source(&mut self, kept: usize, (value, standard): (f64, f64), deviates: &[f64]) -> bool {
        let mut unheld = 0;
        if let Some(lane) = self.lanes.all.get_mut(kept) {
            for (number, deviate) in lane.iter_mut().zip(deviates) {
                *number = value + standard * deviate;
                unheld |= u64::from(!vector::can_be_held(*number));
            }
        }
        unheld == 0
    }

    /// Leaves out the draws in which an input is beyond what can be held.
    #[cold]
    fn refuse_source(&mut self, place: usize, planned: &Planned, count: usize) {
        let lane = self
            .lanes
            .all
            .get(planned.kept)
            .into_iter()
            .flat_map(|lane| lane.iter());
        let beyond = lane.take(count).enumerate();
        for (draw, _) in beyond.filter(|(_, value)| !vector::can_be_held(**value)) {
            self.any_failed = true;
            if let Some(marks) = self.failed.get_mut(place) {
                marks.mark(draw);
            }
        }
        if self.met.is_none() {
            let cell = CellId(planned.cell);
            let failure = Failure::Complaint(Box::new(Trouble::TooLarge.into()), planned.code.start);
            self.met = Some(Met { cell, failure });
        }
    }

    /// Draws in which a cell it needs has no value are doubtful from the start.
    fn block(&mut self, tape: &Tape, needs: &[usize]) -> Doubtful {
        let mut doubtful = Marks::default();
        if self.any_failed {
            for marks in needs.iter().filter_map(|need| self.failed.get(*need)) {
                doubtful.join(marks);
            }
        }
        match tape.run(&mut self.lanes, &self.plan.known, &mut doubtful) {
            Ran::Sound => Doubtful::None,
            Ran::Doubtful => Doubtful::Some(doubtful),
            Ran::Parted => Doubtful::All,
        }
    }

    /// One cell of one draw, through the plain machine.
    fn single(&mut self, place: usize, planned: &Planned, stretch: Stretch<'_>, draw: usize) {
        self.bring(planned, draw);
        self.bring_lines(stretch, draw);
        self.exchange_columns(planned, draw);
        self.machine.context.passed = false;
        let result = self.machine.cell(planned.cell as usize);
        self.exchange_columns(planned, draw);
        let result = match std::mem::take(&mut self.machine.context.undecided) {
            true => Err(Failure::Waits),
            false => result.and_then(|()| self.keep(planned, draw)),
        };
        let goes_on = |need: &usize| self.cut_short.get(*need).is_some_and(|marks| marks.has(draw));
        let cut_short = self.machine.context.passed || planned.needs.iter().any(goes_on);
        if let Some(marks) = self.cut_short.get_mut(place).filter(|_| cut_short) {
            marks.mark(draw);
        }
        if let Err(failure) = result {
            self.any_failed = true;
            if let Some(marks) = self.failed.get_mut(place) {
                marks.mark(draw);
            }
            let lane = (!planned.code.column).then(|| self.lanes.all.get_mut(planned.kept));
            if let Some(value) = lane.flatten().and_then(|lane| lane.get_mut(draw)) {
                *value = match cut_short {
                    true => f64::INFINITY,
                    false => f64::NAN,
                };
            }
            self.meet(planned, failure);
        }
    }

    /// Keeps the first problem. What a limit has cut short shows as one of many, or as none.
    fn meet(&mut self, planned: &Planned, failure: Failure) {
        let failure = match std::mem::take(&mut self.machine.context.passed) {
            true => Failure::Complaint(Box::new(not_ended()), planned.code.start),
            false => failure,
        };
        if self.met.is_none() && failure != Failure::Waits {
            let cell = CellId(planned.cell);
            self.met = Some(Met { cell, failure });
        }
    }

    /// Puts the single values that a cell needs into the machine.
    fn bring(&mut self, planned: &Planned, draw: usize) {
        for need in &planned.needs {
            let (Some(other), Some(failed)) = (self.plan.cells.get(*need), self.failed.get(*need)) else {
                continue;
            };
            if !other.code.column {
                let lane = self.lanes.all.get(other.kept);
                let value = lane.and_then(|lane| lane.get(draw)).copied().unwrap_or(f64::NAN);
                self.machine.values.set(other.code.slot, value);
            }
            self.machine.values.mark(other.code, !failed.has(draw));
        }
    }

    /// Tells the machine how far each fit is off in this draw.
    fn bring_lines(&mut self, stretch: Stretch<'_>, draw: usize) {
        for (off, line) in self.machine.context.off.iter_mut().zip(&self.plan.lines) {
            off.beyond.clear();
            if let Some(source) = line.beyond {
                let parts = stretch.parts(source);
                off.beyond
                    .extend((0..parts).map(|part| stretch.deviate(source, part, draw)));
            }
            off.next = line.next.map_or(0.0, |source| stretch.deviate(source, 0, draw));
        }
    }

    /// Puts the columns that a cell needs into the machine, or takes them back.
    fn exchange_columns(&mut self, planned: &Planned, draw: usize) {
        let columns = &mut self.machine.values.columns;
        let mut exchange = |slot: u32, mine: Option<&mut Cells>| {
            if let (Some(theirs), Some(mine)) = (columns.get_mut(slot as usize), mine) {
                std::mem::swap(theirs, mine);
            }
        };
        for need in &planned.needs {
            let Some(other) = self.plan.cells.get(*need).filter(|other| other.code.column) else {
                continue;
            };
            for (offset, slot) in other.code.columns().enumerate() {
                let kept = self.columns.get_mut(other.kept + offset);
                exchange(slot, kept.and_then(|draws| draws.get_mut(draw)));
            }
        }
        for reading in &planned.readings {
            if let Some((slot, _)) = self.plan.readings.get(*reading) {
                let mine = self.readings.get_mut(*reading);
                exchange(*slot, mine.and_then(|draws| draws.get_mut(draw)));
            }
        }
    }

    /// Keeps what the machine found for a cell.
    fn keep(&mut self, planned: &Planned, draw: usize) -> Result<(), Failure> {
        if !planned.code.column {
            let value = *self.machine.values.get(planned.code.slot)?;
            if !vector::can_be_held(value) {
                return Err(Failure::Waits);
            }
            if let Some(number) = self.lanes.all.get_mut(planned.kept).and_then(|lane| lane.get_mut(draw)) {
                *number = value;
            }
            return Ok(());
        }
        for (offset, slot) in planned.code.columns().enumerate() {
            let found = self.machine.values.columns.get_mut(slot as usize);
            let kept = self.columns.get_mut(planned.kept + offset);
            if let (Some(found), Some(kept)) = (found, kept.and_then(|draws| draws.get_mut(draw))) {
                std::mem::swap(found, kept);
            }
        }
        Ok(())
    }
}

/// No draw has a value.
fn none_found() -> (Lane, Marks) {
    let mut marks = Marks::default();
    (0..WIDTH).for_each(|draw| marks.mark(draw));
    ([f64::NAN; WIDTH], marks)
}

fn not_ended() -> Complaint {
    let message = "what it rests on had not ended at its `limit`";
    Complaint::outside(0, message).help("set a longer `limit` there")
}

/// The draws of a cell that a block couldn't settle.
enum Doubtful {
    None,
    Some(Marks),
    All,
}
