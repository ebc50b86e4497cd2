//! Running: the whole program, or what depends on a change, as far as values change.
//!
//! Start reading at [`Sheet::run_all`] and [`Sheet::run_from`]; the steps
//! themselves are run by [`super::machine`].

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};
use std::sync::Arc;

use crate::number::Number;
use crate::time_limit;

use super::exact::AskedFor;
use super::kept_marks::KeptMarks;
use super::machine::Machine;
use super::program::{self, Program};
use super::scalar::{Declared, DeclaredColumns};
use super::values::{Failure, Values};
use super::{Held, HeldValue, Sheet, Status};

impl Sheet {
    /// Computes every cell again from the program as it stands. Values come out as
    /// they were; it is there to be timed, and to be sure of.
    pub fn recompute(&mut self) {
        self.run_all();
    }

    /// Whether something has no value since the time was up, or there were too many cells:
    /// then nothing but a whole run tells what the rest comes to.
    pub fn is_cut_short(&self) -> bool {
        self.cut_short
    }

    /// What is worked out only when it is asked for is worked out anew.
    fn forget_what_was_asked(&mut self) {
        self.weighed.take();
        self.marks = KeptMarks::default();
    }

    pub(super) fn run_all(&mut self) {
        let _run = time_limit::begin();
        let model = Arc::clone(&self.model);
        self.failures.clear();
        if self.values.held > 0 {
            model.program.cells.iter().for_each(|code| self.values.empty(*code));
        }
        self.alongside.asked = AskedFor::default();
        self.alongside.declared = self.declared_columns();
        self.alongside.made.begin();
        self.forget_what_was_asked();
        self.tolerant.clear();
        let mut machine = Machine::new(
            &model.program,
            &model.texts,
            std::mem::take(&mut self.values),
            std::mem::take(&mut self.alongside),
        )
        .holding(&self.overlay.held);
        machine.values.well.fill(true);
        for (cell, fixed) in (0u32..).zip(&model.fixed) {
            if fixed.is_some() {
                machine.leave(cell);
            }
        }
        self.status.fill(Status::Known);
        let mut standing = Standing {
            cells: &model.program.cells,
            fixed: &model.fixed,
            held: &self.overlay.held,
            failures: &mut self.failures,
            status: &mut self.status,
        };
        if model.straight && self.overlay.held.is_empty() {
            standing.run_straight(&mut machine, &model.order.cells);
        } else {
            let cells = model.order.cells.iter();
            cells.for_each(|cell| standing.run(&mut machine, *cell));
        }
        self.cut_short = machine.is_out_of_time() || machine.is_full();
        (self.values, self.alongside) = machine.into_parts();
        self.ask_tolerances();
        self.find_limits();
    }

    /// Recomputes these cells and what depends on them, as far as values change.
    /// Gives back the cells whose value or standing changed.
    pub(super) fn run_from(&mut self, start: impl IntoIterator<Item = u32>) -> Vec<u32> {
        let _run = time_limit::begin();
        self.forget_what_was_asked();
        if self.cut_short {
            return self.run_all_telling();
        }
        let mut start: Vec<u32> = start.into_iter().collect();
        if !self.tolerant.is_empty() {
            start.extend(std::mem::take(&mut self.tolerant));
            self.alongside.asked = AskedFor::default();
        }
        let mut changed = self.run_cone(start);
        changed.extend(self.ask_tolerances());
        if self.cut_short && !time_limit::is_up() {
            // which of the columns have room goes by their order
            changed.extend(self.run_all_telling());
        }
        changed.extend(self.find_limits());
        changed.sort_unstable();
        changed.dedup();
        changed
    }

    /// Runs everything; gives back the cells whose value or standing changed.
    pub(super) fn run_all_telling(&mut self) -> Vec<u32> {
        let cells = 0..u32::try_from(self.program.cells.len()).unwrap_or(u32::MAX);
        if time_limit::is_up() {
            self.run_all();
            return cells.collect();
        }
        let seen = |sheet: &Sheet, cell: u32| {
            let status = sheet.status.get(cell as usize).copied();
            (status, kept(&sheet.values, &sheet.program, cell))
        };
        let before: Vec<_> = cells.clone().map(|cell| seen(self, cell)).collect();
        self.run_all();
        let differs = |(cell, before): (u32, _)| (seen(self, cell) != before).then_some(cell);
        cells.zip(before).filter_map(differs).collect()
    }

    pub(super) fn run_cone(&mut self, start: Vec<u32>) -> Vec<u32> {
        let mut queue: BinaryHeap<Reverse<(u32, u32)>> = BinaryHeap::new();
        let model = Arc::clone(&self.model);
        queue.extend(start.into_iter().map(|cell| Reverse((model.order.rank_of(cell), cell))));
        let alongside = std::mem::take(&mut self.alongside);
        let mut machine = Machine::new(
            &model.program,
            &model.texts,
            std::mem::take(&mut self.values),
            alongside,
        )
        .holding(&self.overlay.held);
        let mut changed = Vec::new();
        let mut last = None;
        while let Some(Reverse((_, cell))) = queue.pop() {
            if last.replace(cell) == Some(cell) {
                continue;
            }
            let before = (
                self.status.get(cell as usize).copied(),
                kept(&machine.values, &model.program, cell),
            );
            self.failures.remove(&cell);
            let status = run_cell(&mut machine, cell, &model.fixed, &self.overlay.held, &mut self.failures);
            if let Some(place) = self.status.get_mut(cell as usize) {
                *place = status;
            }
            if before != (Some(status), kept(&machine.values, &model.program, cell)) {
                changed.push(cell);
                let grids = model.program.grids.iter().filter(|grid| grid.watched.contains(&cell));
                queue.extend(grids.map(|grid| Reverse((model.order.rank_of(grid.cell), grid.cell))));
                queue.extend(
                    model
                        .order
                        .dependents(cell)
                        .iter()
                        .map(|next| Reverse((model.order.rank_of(*next), *next))),
                );
            }
        }
        self.cut_short |= machine.is_out_of_time() || machine.is_full();
        (self.values, self.alongside) = machine.into_parts();
        changed
    }

    /// Runs again, with the tolerances of their arguments, the cells whose
    /// functions can't decide without them. Gives back the cells that changed.
    pub(super) fn ask_tolerances(&mut self) -> Vec<u32> {
        let mut changed = Vec::new();
        while let Some(cell) = self
            .failures
            .iter()
            .find(|(cell, failure)| failure.asks() && !self.tolerant.contains(cell))
            .map(|(cell, _)| *cell)
        {
            self.tolerant.insert(cell);
            let found = self.asked_of(cell);
            self.alongside.asked.tolerances.extend(found.tolerances);
            self.alongside.asked.counting.extend(found.counting);
            changed.extend(self.run_cone(vec![cell]));
            self.forget_what_was_asked();
        }
        changed
    }

    /// How the readings of its tables were declared.
    fn declared_columns(&self) -> DeclaredColumns {
        let columns = (0u32..).zip(&self.table_columns);
        let with = columns.filter(|(_, column)| column.declared != Declared::Nowhere);
        DeclaredColumns {
            how: self
                .table_columns
                .iter()
                .map(|column| column.declared)
                .max()
                .unwrap_or_default(),
            slots: Arc::new(with.map(|(slot, _)| slot).collect()),
        }
    }

    pub(super) fn machine(&mut self) -> Machine<'_, Number> {
        let (values, alongside) = (std::mem::take(&mut self.values), std::mem::take(&mut self.alongside));
        Machine::new(&self.model.program, &self.model.texts, values, alongside)
    }
}

/// How each cell stands while all of them are run.
struct Standing<'a> {
    cells: &'a [program::CellCode],
    fixed: &'a [Option<Status>],
    held: &'a BTreeMap<u32, Held>,
    failures: &'a mut BTreeMap<u32, Failure>,
    status: &'a mut [Status],
}

impl Standing<'_> {
    /// Runs one cell; those that aren't run stand as known.
    fn run(&mut self, machine: &mut Machine<'_, Number>, cell: u32) {
        let status = run_cell(machine, cell, self.fixed, self.held, self.failures);
        if let Some(place) = self.status.get_mut(cell as usize) {
            *place = status;
        }
    }

    /// Runs all cells, whose steps stand in their order: plain arithmetic in one go
    /// over many of them, whatever stops it a cell at a time.
    fn run_straight(&mut self, machine: &mut Machine<'_, Number>, cells: &[u32]) {
        let mut done = machine.plain_steps(0);
        if machine.is_end(done) && self.fixed.iter().all(Option::is_none) {
            return;
        }
        for cell in cells {
            let code = self.cells.get(*cell as usize).copied().unwrap_or_default();
            if code.column || self.fixed.get(*cell as usize) != Some(&None) {
                self.run(machine, *cell);
                continue;
            }
            if code.end > done {
                done = machine.plain_steps(done.max(code.start));
            }
            if code.end > done {
                self.run(machine, *cell);
            }
        }
    }
}

fn run_cell(
    machine: &mut Machine<'_, Number>,
    cell: u32,
    fixed: &[Option<Status>],
    held: &BTreeMap<u32, Held>,
    failures: &mut BTreeMap<u32, Failure>,
) -> Status {
    if let Some(held) = held.get(&cell) {
        machine.hold(cell, &held.value);
        return Status::Known;
    }
    if let Some(status) = fixed.get(cell as usize).copied().flatten() {
        machine.leave(cell);
        return status;
    }
    match machine.cell(cell as usize) {
        Ok(()) => Status::Known,
        Err(Failure::Waits) => Status::Waits,
        Err(failure) => {
            let status = match failure.awaits() {
                Some(_) => Status::Waits,
                None => Status::Broken,
            };
            failures.insert(cell, failure);
            status
        }
    }
}

impl Machine<'_, Number> {
    /// Puts a held value in place of the cell's own.
    fn hold(&mut self, cell: u32, value: &HeldValue) {
        let Some(code) = self.code(cell) else { return };
        match value {
            HeldValue::Number(number) => self.values.set_known(code.slot, *number),
            HeldValue::Column(cells) => self.values.set_column(code.slot, cells.clone()),
        }
    }

    /// Marks a cell as without value.
    fn leave(&mut self, cell: u32) {
        let Some(code) = self.code(cell) else { return };
        self.values.mark(code, false);
    }
}

/// A cell's value, to see whether it changed.
#[derive(PartialEq)]
enum Kept {
    Number(Number),
    Columns(Vec<Vec<Option<Number>>>, Option<Vec<u32>>),
}

fn kept(values: &Values<Number>, program: &Program, cell: u32) -> Option<Kept> {
    let code = program.cells.get(cell as usize)?;
    if code.column {
        let columns = code.columns().map(|slot| values.column(slot).ok().map(<[_]>::to_vec));
        let rows = values.rows.get(&code.slot).cloned();
        return columns
            .collect::<Option<Vec<_>>>()
            .map(|columns| Kept::Columns(columns, rows));
    }
    values.get(code.slot).ok().map(|value| Kept::Number(*value))
}
