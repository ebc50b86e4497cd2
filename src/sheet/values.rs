//! The values of a run, slot by slot, and why one is missing.
//!
//! [`super::machine`] fills them; whoever reads them asks here. Start reading at [`Values`].

use std::collections::BTreeMap;

use crate::number::{Number, Trouble};
use crate::trade::{Complaint, Reason, Schedule};

use super::program::{CallSite, CellCode, Operand};
use super::scalar::{CallArgument, Scalar};
use super::text_pool::TextPool;

/// Why a cell has no value.
#[derive(Clone, PartialEq, Debug)]
pub enum Failure {
    /// It needs a cell that has none.
    Waits,
    /// Arithmetic at that step met these two numbers.
    Trouble(Trouble, u32, Number, Number),
    /// One clock time is later than the one it is taken from.
    TimeOrder(u32),
    /// A range of hours ends before it begins.
    RangeTurned(u32),
    /// Two times that must be the same aren't, or not on the clock.
    Apart(u32, Number, Number),
    /// A function refused its arguments.
    Complaint(Box<Complaint>, u32),
    /// Columns of different lengths met in the loop at that step.
    Lengths(u32, usize, usize),
    /// The time of the run was up while it was worked out.
    OutOfTime,
    /// With it the columns that were worked out come to more cells than a worksheet may have.
    TooManyCells,
    /// Of a column, in the row of that number of its table, from 1.
    InRow(Box<Failure>, u32),
}

impl Failure {
    /// A complaint of the call at a step.
    pub(super) fn complained(at: u32) -> impl Fn(Complaint) -> Failure {
        move |complaint| Failure::Complaint(Box::new(complaint), at)
    }

    /// The same, where it is a row that has no value.
    pub(super) fn in_row(self, row: u32) -> Failure {
        let of_one_row = match &self {
            Failure::Trouble(..) | Failure::TimeOrder(_) | Failure::RangeTurned(_) => true,
            Failure::Complaint(complaint, _) => {
                !matches!(complaint.reason, Reason::NeedsTolerances(_) | Reason::OutOfTime)
            }
            _ => false,
        };
        match of_one_row {
            true => Failure::InRow(Box::new(self), row),
            false => self,
        }
    }
}

impl Failure {
    /// What it waits for, where a column has too few readings so far.
    pub(super) fn awaits(&self) -> Option<&str> {
        match self {
            Failure::Complaint(complaint, _) => match &complaint.reason {
                Reason::Awaits(what) => Some(what),
                _ => None,
            },
            _ => None,
        }
    }

    /// Whether a function has to know the tolerances of its arguments to decide.
    pub(super) fn asks(&self) -> bool {
        match self {
            Failure::Complaint(complaint, _) => matches!(complaint.reason, Reason::NeedsTolerances(_)),
            _ => false,
        }
    }
}

/// The values of a run, apart from its program.
#[derive(Clone, Debug, Default)]
pub struct Values<N> {
    /// The numbers.
    pub slots: Vec<N>,
    /// The columns.
    pub columns: Vec<Vec<Option<N>>>,
    /// Which slots have a value.
    pub well: Vec<bool>,
    /// Which columns have one.
    pub columns_well: Vec<bool>,
    /// How many cells the columns have that were worked out.
    pub held: usize,
    /// For each column that a filter has made shorter, the rows of its table that are left;
    /// only where a reader will see them.
    pub rows: BTreeMap<u32, Vec<u32>>,
}

impl<N: Scalar> Values<N> {
    /// The number in a slot, if it has one.
    #[inline]
    pub fn get(&self, slot: u32) -> Result<&N, Failure> {
        match (self.slots.get(slot as usize), self.well.get(slot as usize)) {
            (Some(value), Some(true)) => Ok(value),
            _ => Err(Failure::Waits),
        }
    }

    /// The column in a slot, if it has one.
    pub fn column(&self, slot: u32) -> Result<&[Option<N>], Failure> {
        match (self.columns.get(slot as usize), self.columns_well.get(slot as usize)) {
            (Some(cells), Some(true)) => Ok(cells),
            _ => Err(Failure::Waits),
        }
    }

    /// Puts a number into a slot.
    #[inline]
    pub fn set(&mut self, slot: u32, value: N) {
        if let Some(place) = self.slots.get_mut(slot as usize) {
            *place = value;
        }
    }

    /// Puts a number into a slot and marks it as having one.
    pub(crate) fn set_known(&mut self, slot: u32, value: N) {
        self.set(slot, value);
        if let Some(well) = self.well.get_mut(slot as usize) {
            *well = true;
        }
    }

    /// Lets a column have the rows that another has.
    pub(super) fn share_rows(&mut self, from: u32, to: u32) {
        if let Some(rows) = self.rows.get(&from).cloned() {
            self.rows.insert(to, rows);
        }
    }

    /// Puts a column into a slot.
    pub(crate) fn set_column(&mut self, slot: u32, cells: Vec<Option<N>>) {
        self.rows.remove(&slot);
        if let Some(place) = self.columns.get_mut(slot as usize) {
            *place = cells;
        }
        if let Some(well) = self.columns_well.get_mut(slot as usize) {
            *well = true;
        }
    }

    /// How many cells the columns of a cell have.
    pub(super) fn length(&self, code: CellCode) -> usize {
        let length = |slot: u32| self.columns.get(slot as usize).map_or(0, Vec::len);
        code.columns().map(length).sum()
    }

    /// Takes the cells of a column out.
    pub fn empty(&mut self, code: CellCode) {
        for slot in code.columns().filter(|_| code.column) {
            if let Some(place) = self.columns.get_mut(slot as usize) {
                self.held = self.held.saturating_sub(place.len());
                *place = Vec::new();
            }
        }
    }

    /// Marks a cell as having a value or not.
    pub fn mark(&mut self, code: CellCode, has: bool) {
        if !code.column {
            if let Some(well) = self.well.get_mut(code.slot as usize) {
                *well = has;
            }
            return;
        }
        for slot in code.columns() {
            if let Some(well) = self.columns_well.get_mut(slot as usize) {
                *well = has;
            }
        }
    }

    pub(super) fn arguments<'v>(
        &'v self,
        texts: &'v TextPool,
        site: &CallSite,
    ) -> Result<Vec<CallArgument<'v, N>>, Failure> {
        let mut arguments = Vec::with_capacity(site.arguments.len());
        for operand in &site.arguments {
            arguments.push(match operand {
                Operand::Slot(slot) => CallArgument::Number(self.get(*slot)?.clone()),
                Operand::Text(slot) => CallArgument::Text(texts.text(self.get(*slot)?.plain())),
                Operand::Column(slot) => CallArgument::Column(self.column(*slot)?),
                Operand::Schedule(form, hours, values) => CallArgument::Schedule(Schedule {
                    form: *form,
                    hours: self.column(*hours)?,
                    values: self.column(*values)?,
                }),
            });
        }
        Ok(arguments)
    }
}
