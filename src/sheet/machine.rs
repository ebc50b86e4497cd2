//! The machine: runs the steps of cells in order, in any number kind.
//!
//! A cell that fails has a problem at the step; a cell that needs one without a
//! value waits. Neither stops the others. Start reading at [`Machine::cell`].

mod called;
mod grid;

use std::cmp::Ordering;
use std::collections::BTreeMap;

use crate::calendar::DAY;
use crate::number::{Number, Real, Trouble};
use crate::time_limit::{self, Deadline};
use crate::trade::registry::function;
use crate::trade::{Body, Built, ColumnDeclared, Fit, Made, OfTable, Part, ResultKind};
use crate::unit::Kind;

use super::Held;
use super::built::{BuiltResult, reduce};
use super::known_text::{no_such_day, no_such_text};
use super::program::{CallSite, CellCode, NO_COLUMN, NO_STEP, Operand, Operation, Program, REGISTERS, RowLoop, Step};
use super::scalar::{CallPlace, FitColumns, MadeFor, Scalar, truth};
use super::text_pool::TextPool;
use super::values::{Failure, Values};

/// How a stretch of steps ended.
enum Flow {
    Through,
    RowMissing,
    RowLeftOut,
}

/// A run of a program.
pub(crate) struct Machine<'a, N: Scalar> {
    program: &'a Program,
    texts: &'a TextPool,
    /// The values so far.
    pub values: Values<N>,
    /// What goes along.
    pub context: N::Context,
    clock: Clock,
    full: bool,
    /// What is held in place of cells' own values.
    held: Option<&'a BTreeMap<u32, Held>>,
    /// What rows are called, of the call that looked one up last.
    called: Option<called::Called>,
    /// Which place of a grid is being run, counted from 1; 0 outside of one.
    of_grid: u32,
}

/// The most cells that all the columns come to that one worksheet works out.
pub(crate) const MOST_WORKED_CELLS: usize = 4_000_000;

/// The time that a run has, looked at once for many cells or rows.
struct Clock {
    deadline: Deadline,
    asked: u32,
    up: bool,
}

/// So many cells or rows are done between two looks at the clock.
const A_LOOK: u32 = 1024;

impl Clock {
    fn is_up(&mut self) -> bool {
        self.asked = self.asked.wrapping_add(1);
        self.asked.is_multiple_of(A_LOOK) && self.look()
    }

    /// So many cells are gone through at once; the clock is looked at as soon as if it were one by one.
    fn spend(&mut self, cells: usize) {
        let left = A_LOOK - 1 - self.asked % A_LOOK;
        let spent = u32::try_from(cells).map_or(left, |cells| cells.min(left));
        self.asked = self.asked.wrapping_add(spent);
    }

    #[cold]
    fn look(&mut self) -> bool {
        self.up |= self.deadline.is_past();
        self.up
    }
}

impl<'a, N: Scalar> Machine<'a, N> {
    /// A machine over values kept from before.
    pub(crate) fn new(program: &'a Program, texts: &'a TextPool, values: Values<N>, context: N::Context) -> Self {
        Machine {
            program,
            texts,
            values,
            context,
            clock: Clock {
                deadline: time_limit::deadline(),
                // the first one looks, so that a run whose time is up does nothing more
                asked: u32::MAX,
                up: false,
            },
            full: false,
            held: None,
            called: None,
            of_grid: 0,
        }
    }

    /// With what is held in place of cells' own values, which a grid leaves alone.
    pub(super) fn holding(mut self, held: &'a BTreeMap<u32, Held>) -> Self {
        self.held = Some(held);
        self
    }

    /// Whether columns were refused since there were too many cells.
    pub(crate) fn is_full(&self) -> bool {
        self.full
    }

    /// Whether the time of the run was found to be up.
    pub(crate) fn is_out_of_time(&self) -> bool {
        self.clock.up
    }

    /// The values and what went along, to be kept.
    pub(crate) fn into_parts(self) -> (Values<N>, N::Context) {
        (self.values, self.context)
    }

    /// Where a cell's steps and value are.
    pub(crate) fn code(&self, cell: u32) -> Option<CellCode> {
        self.program.cells.get(cell as usize).copied()
    }

    /// Computes one cell; its slot is marked as having a value or not.
    pub(crate) fn cell(&mut self, cell: usize) -> Result<(), Failure> {
        let Some(code) = self.program.cells.get(cell).copied() else {
            return Ok(());
        };
        self.called = None;
        let before = if code.column { self.values.length(code) } else { 0 };
        let mut result = self.timed(code);
        if code.column {
            result = self.housed(code, before, result);
        }
        self.values.mark(code, result.is_ok());
        result.map(|_| ())
    }

    /// The columns that were worked out may come to so many cells, and no more.
    fn housed(&mut self, code: CellCode, before: usize, result: Result<Flow, Failure>) -> Result<Flow, Failure> {
        let now = self.values.length(code);
        self.values.held = (self.values.held + now).saturating_sub(before);
        if self.values.held <= MOST_WORKED_CELLS {
            return result;
        }
        self.values.empty(code);
        self.full = true;
        result.and(Err(Failure::TooManyCells))
    }

    /// A cell is worked out as long as there is time. The one at which the time is found
    /// to be up has the problem; those behind it wait.
    fn timed(&mut self, code: CellCode) -> Result<Flow, Failure> {
        if self.clock.up {
            return Err(Failure::Waits);
        }
        if self.clock.is_up() {
            return Err(Failure::OutOfTime);
        }
        self.stretch(code.start, code.end, 0)
    }

    /// Takes steps from `start` on, over any number of cells, as long as they are
    /// plain arithmetic that succeeds; gives back the step it stopped at. Steps must
    /// stand in the order of the cells. It is much quicker than one cell at a time.
    pub(crate) fn plain_steps(&mut self, start: u32) -> u32 {
        let steps = self.program.steps.get(start as usize..).unwrap_or(&[]);
        let slots = self.values.slots.as_mut_slice();
        // of one length, so that a place in the one is a place in the other
        let Some(well) = self.values.well.get(..slots.len()) else {
            return start;
        };
        let mut at = start;
        for step in steps {
            let (Some(a), Some(b)) = (slots.get(step.a as usize), slots.get(step.b as usize)) else {
                break;
            };
            if well.get(step.a as usize) != Some(&true) || well.get(step.b as usize) != Some(&true) {
                break;
            }
            let value = match step.operation {
                Operation::Add => a.add(b),
                Operation::Subtract => a.subtract(b),
                Operation::Multiply => a.multiply(b),
                Operation::Divide => a.divide(b),
                Operation::Least => Ok(a.least(b)),
                Operation::Greatest => Ok(a.greatest(b)),
                Operation::Copy => Ok(a.clone()),
                _ => break,
            };
            let (Ok(value), Some(place)) = (value, slots.get_mut(step.to as usize)) else {
                break;
            };
            *place = value;
            at += 1;
        }
        at
    }

    /// Whether a step is behind the last.
    pub(crate) fn is_end(&self, step: u32) -> bool {
        step as usize >= self.program.steps.len()
    }

    fn stretch(&mut self, start: u32, end: u32, row: usize) -> Result<Flow, Failure> {
        let program = self.program;
        let mut at = start;
        while at < end {
            let Some(step) = program.steps.get(at as usize) else {
                break;
            };
            at = match step.operation {
                Operation::Add => self.arithmetic(step, at, N::add)?,
                Operation::Subtract => self.arithmetic(step, at, N::subtract)?,
                Operation::Multiply => self.arithmetic(step, at, N::multiply)?,
                Operation::Divide => self.arithmetic(step, at, N::divide)?,
                Operation::Jump => step.a,
                Operation::JumpIf => self.jump(step, at, true)?,
                Operation::JumpUnless => self.jump(step, at, false)?,
                Operation::Loop => self.row_loop(step, at)?,
                Operation::Row if self.row_of(step, row)? => at + 1,
                Operation::Row | Operation::Missing if step.b == NO_STEP => return Ok(Flow::RowMissing),
                Operation::Row | Operation::Missing => step.b,
                Operation::Keep if !self.decides(step.a)? => return Ok(Flow::RowLeftOut),
                Operation::Keep => at + 1,
                _ => {
                    self.step(step, at, row)?;
                    at + 1
                }
            };
        }
        Ok(Flow::Through)
    }

    fn jump(&mut self, step: &Step, at: u32, when: bool) -> Result<u32, Failure> {
        Ok(if self.decides(step.a)? == when { step.b } else { at + 1 })
    }

    /// Which way a condition goes. A register is settled with it, a cell stays as it is.
    fn decides(&mut self, slot: u32) -> Result<bool, Failure> {
        self.values.get(slot)?;
        let context = &mut self.context;
        Ok(match self.values.slots.get_mut(slot as usize) {
            Some(register) if slot < REGISTERS => register.decided(context),
            Some(cell) => cell.clone().decided(context),
            None => false,
        })
    }

    fn step(&mut self, step: &Step, at: u32, row: usize) -> Result<(), Failure> {
        let value = match step.operation {
            Operation::Power => return self.arithmetic(step, at, N::power).map(drop),
            Operation::Copy => self.values.get(step.a)?.clone(),
            Operation::Least => self.values.get(step.a)?.least(self.values.get(step.b)?),
            Operation::Greatest => self.values.get(step.a)?.greatest(self.values.get(step.b)?),
            Operation::Negate => self.values.get(step.a)?.negate(),
            Operation::Convert => self.convert(step, at)?,
            Operation::Compare(operator) => self.values.get(step.a)?.compared(operator, self.values.get(step.b)?),
            Operation::Not => self.values.get(step.a)?.contrary(),
            Operation::SubtractTime => self.time_since(step, at)?,
            Operation::Ascending => match self.values.get(step.a)?.order(self.values.get(step.b)?) {
                Ordering::Greater => return Err(Failure::RangeTurned(at)),
                _ => truth(true),
            },
            Operation::Together { on_the_clock } => self.together(step, at, on_the_clock)?,
            Operation::OneOf => self.one_of(step, at)?,
            Operation::Call => self.call(step, at, row)?,
            Operation::CallColumn => return self.call_column(step, at),
            Operation::CopyColumn => return self.copy_column(step),
            Operation::CallTable => return self.call_table(step, at),
            Operation::Grid => return self.grid(step, at),
            _ => return Ok(()),
        };
        self.values.set(step.to, value);
        Ok(())
    }

    /// Arithmetic on two numbers, straight into its slot; gives back the next step.
    #[inline(always)]
    fn arithmetic(&mut self, step: &Step, at: u32, how: impl Fn(&N, &N) -> Result<N, Trouble>) -> Result<u32, Failure> {
        let (a, b) = (self.values.get(step.a)?, self.values.get(step.b)?);
        match how(a, b) {
            Ok(value) => self.values.set(step.to, value),
            Err(trouble) => return Err(trouble_at(trouble, at, a, b)),
        }
        Ok(at + 1)
    }

    fn convert(&self, step: &Step, at: u32) -> Result<N, Failure> {
        let a = self.values.get(step.a)?;
        let Some(conversion) = self.program.conversions.get(step.b as usize) else {
            return Ok(a.clone());
        };
        a.convert(conversion)
            .map_err(|trouble| Failure::Trouble(trouble, at, a.plain(), Number::ZERO))
    }

    fn time_since(&self, step: &Step, at: u32) -> Result<N, Failure> {
        let (later, earlier) = (self.values.get(step.a)?, self.values.get(step.b)?);
        if later.order(earlier) == Ordering::Less {
            return Err(Failure::TimeOrder(at));
        }
        later
            .subtract(earlier)
            .map_err(|trouble| trouble_at(trouble, at, later, earlier))
    }

    fn together(&self, step: &Step, at: u32, on_the_clock: bool) -> Result<N, Failure> {
        let (one, other) = (self.values.get(step.a)?, self.values.get(step.b)?);
        let (first, second) = (one.plain(), other.plain());
        let gap = first.sub(second).ok().and_then(|gap| gap.round().to_integer());
        match gap {
            Some(gap) if gap == 0 || on_the_clock && gap % DAY == 0 => Ok(one.clone().chosen_by(other)),
            _ => Err(Failure::Apart(at, first, second)),
        }
    }

    fn one_of(&self, step: &Step, at: u32) -> Result<N, Failure> {
        let text = self.values.get(step.a)?;
        let number = text.plain();
        let missing = match step.b {
            NO_COLUMN => no_such_day(self.texts.text(number)),
            column => {
                let cells = self.values.column(column)?.iter().flatten().map(N::plain);
                match cells.clone().any(|cell| cell == number) {
                    true => None,
                    false => {
                        let rows = cells.map(|cell| self.texts.text(cell));
                        no_such_text(self.texts.text(number), rows, usize::MAX)
                    }
                }
            }
        };
        match missing {
            Some(complaint) => Err(Failure::complained(at)(complaint)),
            None => Ok(text.clone()),
        }
    }

    // ---- rows ----

    fn row_of(&mut self, step: &Step, row: usize) -> Result<bool, Failure> {
        let cell = self.values.column(step.a)?.get(row).cloned().flatten();
        let Some(value) = cell else { return Ok(false) };
        self.values.set(step.to, value);
        Ok(true)
    }

    fn copy_column(&mut self, step: &Step) -> Result<(), Failure> {
        let cells = self.values.column(step.a)?.to_vec();
        self.values.set_column(step.to, cells);
        self.values.share_rows(step.a, step.to);
        Ok(())
    }

    fn row_loop(&mut self, step: &Step, at: u32) -> Result<u32, Failure> {
        let program = self.program;
        let Some(row_loop) = program.loops.get(step.a as usize) else {
            return Ok(at + 1);
        };
        let rows = self.rows(row_loop, at)?;
        let mut column = Vec::with_capacity(rows);
        let mut kept = Vec::new();
        for row in 0..rows {
            if self.clock.is_up() {
                return Err(Failure::OutOfTime);
            }
            let kept_row = self
                .loop_row(row_loop, row, &mut column)
                .map_err(|failure| self.in_row(failure, row_loop, row))?;
            if kept_row && row_loop.filter && N::KEEPS_ROWS {
                kept.push(u32::try_from(row).unwrap_or(u32::MAX));
            }
        }
        self.values.set_column(step.to, column);
        self.note_rows(row_loop, step.to, kept);
        Ok(row_loop.end)
    }

    /// The failure of a row, with its number in the table, where it is noted which rows there are.
    fn in_row(&self, failure: Failure, row_loop: &RowLoop, row: usize) -> Failure {
        if !N::KEEPS_ROWS {
            return failure;
        }
        let kept = row_loop.columns.iter().find_map(|(slot, _)| self.values.rows.get(slot));
        let row = kept.map_or(u32::try_from(row).ok(), |kept| kept.get(row).copied());
        match row {
            Some(row) => failure.in_row(row + 1),
            None => failure,
        }
    }

    /// Which rows of its table a column still has: those that a filter kept, of those that
    /// were there.
    fn note_rows(&mut self, row_loop: &RowLoop, to: u32, kept: Vec<u32>) {
        let from = row_loop.columns.iter().find_map(|(slot, _)| self.values.rows.get(slot));
        let rows = match (row_loop.filter, from) {
            (false, None) => return,
            (true, None) => kept,
            (false, Some(from)) => from.clone(),
            (true, Some(from)) => kept.iter().filter_map(|row| from.get(*row as usize).copied()).collect(),
        };
        if N::KEEPS_ROWS {
            self.values.rows.insert(to, rows);
        }
    }

    fn rows(&self, row_loop: &RowLoop, at: u32) -> Result<usize, Failure> {
        let mut rows: Option<usize> = None;
        for (column, _) in &row_loop.columns {
            let length = self.values.column(*column)?.len();
            match rows {
                Some(first) if first != length => return Err(Failure::Lengths(at, first, length)),
                _ => rows = Some(length),
            }
        }
        Ok(rows.unwrap_or(0))
    }

    /// Works one row out; whether it is kept.
    fn loop_row(&mut self, row_loop: &RowLoop, row: usize, column: &mut Vec<Option<N>>) -> Result<bool, Failure> {
        let mut start = row_loop.start;
        if row_loop.filter {
            match self.condition(row_loop, row)? {
                Some(next) => start = next,
                None => return Ok(false),
            }
        }
        match self.stretch(start, row_loop.end, row)? {
            Flow::Through => {
                let value = self.values.get(row_loop.result)?.clone();
                column.push(Some(value.kept(&mut self.context)));
            }
            // a row that has none before it is no row
            Flow::RowMissing if row_loop.filter && row < row_loop.late as usize => return Ok(false),
            Flow::RowMissing => column.push(None),
            Flow::RowLeftOut => return Ok(false),
        }
        Ok(true)
    }

    /// Whether a filtered row is kept; the step behind its condition.
    fn condition(&mut self, row_loop: &RowLoop, row: usize) -> Result<Option<u32>, Failure> {
        let program = self.program;
        let Some(offset) = keep_of(program.stretch(row_loop.start, row_loop.end), program) else {
            return Ok(Some(row_loop.start));
        };
        let keep = row_loop.start + offset;
        match self.stretch(row_loop.start, keep + 1, row)? {
            Flow::Through => Ok(Some(keep + 1)),
            Flow::RowMissing | Flow::RowLeftOut => Ok(None),
        }
    }

    // ---- calls ----

    fn site(&self, number: u32) -> Result<&'a CallSite, Failure> {
        self.program.calls.get(number as usize).ok_or(Failure::Waits)
    }

    fn call(&mut self, step: &Step, at: u32, row: usize) -> Result<N, Failure> {
        let row = u32::try_from(row).unwrap_or(u32::MAX);
        let site = self.site(step.a)?;
        let columns = site.arguments.iter().filter_map(|argument| match argument {
            Operand::Column(slot) => self.values.columns.get(*slot as usize),
            _ => None,
        });
        self.clock.spend(columns.map(Vec::len).sum());
        let complaint = Failure::complained(at);
        match site.function.body {
            Body::Built(Built::CellOf) => self.cell_called(step.a, false, at),
            Body::Built(Built::CellOnTheWall) => self.cell_called(step.a, true, at),
            Body::Built(built) => {
                let arguments = self.values.arguments(self.texts, site)?;
                match reduce(built, &arguments, &mut self.context).map_err(complaint)? {
                    BuiltResult::Value(value) => {
                        N::remark_built(step.a, built, &arguments, &mut self.context);
                        Ok(value)
                    }
                    BuiltResult::Column(_) => Err(Failure::Waits),
                }
            }
            Body::Fit(fit) => self.fit(step.a, fit, at),
            Body::OfTable(of) => self.of_table(step.a, of, at),
            Body::Table { .. } => Err(Failure::Waits),
            Body::Rule { .. } => {
                let arguments = self.values.arguments(self.texts, site)?;
                let place = CallPlace {
                    site: step.a,
                    row,
                    of_grid: self.of_grid,
                };
                N::call(place, site.function, &arguments, &mut self.context).map_err(complaint)
            }
        }
    }

    fn fit(&mut self, number: u32, fit: Fit, step: u32) -> Result<N, Failure> {
        let site = self.site(number)?;
        if fit == Fit::Average {
            return self.average(number, step);
        }
        let slot = |index: usize| match site.arguments.get(index) {
            Some(Operand::Column(slot)) => Some(*slot),
            _ => None,
        };
        let cells = |index: usize| slot(index).map(|slot| self.values.column(slot)).transpose();
        let slots = (slot(0).ok_or(Failure::Waits)?, slot(1).ok_or(Failure::Waits)?);
        let at = match fit.at().and_then(|index| site.arguments.get(index)) {
            Some(Operand::Slot(slot)) => Some(self.values.get(*slot)?.clone()),
            _ => None,
        };
        let columns = FitColumns {
            fit,
            x: self.values.column(slots.0)?,
            y: self.values.column(slots.1)?,
            attached: cells(fit.attached())?,
            load: fit.load().map(cells).transpose()?.flatten(),
            at,
            of_table: self.values.rows.get(&slots.1).map(Vec::as_slice),
            slots,
            site: number,
            plain: site
                .readings
                .iter()
                .all(|readings| self.program.written_in(*readings).is_some()),
            along: self.program.written_in(site.readings[0]).map(|(slot, _)| slot),
        };
        N::fit(&columns, &mut self.context).map_err(Failure::complained(step))
    }

    /// The average of a column, or of single values.
    fn average(&mut self, number: u32, step: u32) -> Result<N, Failure> {
        let site = self.site(number)?;
        let mut results: Vec<Option<N>> = Vec::new();
        for argument in &site.arguments {
            match argument {
                Operand::Slot(slot) => results.push(Some(self.values.get(*slot)?.clone())),
                Operand::Column(slot) => results.extend_from_slice(self.values.column(*slot)?),
                Operand::Text(_) | Operand::Schedule(..) => return Err(Failure::Waits),
            }
        }
        let columns = FitColumns {
            fit: Fit::Average,
            x: &[],
            y: &results,
            attached: None,
            load: None,
            at: None,
            of_table: None,
            slots: (0, 0),
            site: number,
            plain: true,
            along: None,
        };
        N::fit(&columns, &mut self.context).map_err(Failure::complained(step))
    }

    /// The table that a call makes.
    fn made(&mut self, number: u32, at: u32) -> Result<MadeFor<N::Tabled>, Failure> {
        let site = self.site(number)?;
        let arguments = self.values.arguments(self.texts, site)?;
        let made = N::made(number, site.function, &arguments, &mut self.context);
        // a table is much work, and what took the time is the one to be named
        if self.clock.look() {
            return Err(Failure::OutOfTime);
        }
        made.map_err(Failure::complained(at))
    }

    fn call_table(&mut self, step: &Step, at: u32) -> Result<(), Failure> {
        let MadeFor { made, doubt } = self.made(step.a, at)?;
        let mut slot = step.to;
        for (place, column) in made.columns.iter().enumerate() {
            let cells = column.iter().map(|cell| cell.map(|cell| N::doubted(cell, doubt)));
            let mut cells: Vec<Option<N>> = cells.collect();
            if let Some(last) = cells.last_mut().filter(|_| made.goes_on == Some(place)) {
                *last = last.take().map(N::passed);
            }
            self.values.set_column(slot, cells);
            slot += 1;
        }
        let end = self.end_of(&made).map(|end| N::doubted(end, doubt));
        self.values.set_column(slot, vec![end]);
        Ok(())
    }

    /// One thing of a table that another function makes of the same arguments.
    fn of_table(&mut self, number: u32, of: OfTable, at: u32) -> Result<N, Failure> {
        let MadeFor { made, doubt } = self.made(number, at)?;
        let (value, passed) = match of.part {
            Part::End => (self.end_of(&made), false),
            Part::Last(name) => {
                let place = columns_of(of.table).iter().position(|column| column.name == name);
                let column = place.and_then(|place| made.columns.get(place));
                let last = column.and_then(|cells| cells.last().copied().flatten());
                (last, made.goes_on == place)
            }
        };
        let value = value.map(|value| N::doubted(value, doubt)).ok_or(Failure::Waits)?;
        Ok(if passed { value.passed().at_end() } else { value })
    }

    /// How a table ended, as the number of that text.
    fn end_of(&self, made: &Made<N::Tabled>) -> Option<N::Tabled> {
        self.texts.number(made.end).map(N::Tabled::from_number)
    }

    fn call_column(&mut self, step: &Step, at: u32) -> Result<(), Failure> {
        let site = self.site(step.a)?;
        let Body::Built(built) = site.function.body else {
            return Err(Failure::Waits);
        };
        if built == Built::OfSorted {
            let cells = self.in_order(step.a, at)?;
            self.values.set_column(step.to, cells);
            return Ok(());
        }
        let arguments = self.values.arguments(self.texts, site)?;
        let result = reduce(built, &arguments, &mut self.context);
        match result.map_err(Failure::complained(at))? {
            BuiltResult::Column(cells) => {
                self.values.set_column(step.to, cells);
                if let Some(Operand::Column(from)) = site.arguments.first() {
                    self.values.share_rows(*from, step.to);
                }
                Ok(())
            }
            BuiltResult::Value(_) => Err(Failure::Waits),
        }
    }

    /// A column in the order of another: texts by their letters.
    fn in_order(&mut self, number: u32, at: u32) -> Result<Vec<Option<N>>, Failure> {
        let site = self.site(number)?;
        let [Operand::Column(column), Operand::Column(by)] = site.arguments.as_slice() else {
            return Err(Failure::Waits);
        };
        let (cells, by) = (self.values.column(*column)?, self.values.column(*by)?);
        if cells.len() != by.len() {
            return Err(Failure::Lengths(at, cells.len(), by.len()));
        }
        let order = match site.kinds.get(1) {
            Some(Kind::Text) => {
                let text = |cell: &N| self.texts.text(cell.plain());
                let mut texts: Vec<&str> = by.iter().flatten().map(text).collect();
                texts.sort_unstable();
                texts.dedup();
                let rank = |cell: &N| {
                    texts
                        .binary_search(&text(cell))
                        .ok()
                        .and_then(|rank| i64::try_from(rank).ok())
                };
                let rank = |cell: &N| N::exact(Number::from_integer(rank(cell).unwrap_or(0)));
                let by: Vec<Option<N>> = by.iter().map(|cell| cell.as_ref().map(rank)).collect();
                N::sorted(number, &by, &mut self.context)
            }
            _ => N::sorted(number, by, &mut self.context),
        };
        let rows = order.into_iter();
        Ok(rows.map(|row| cells.get(row as usize).cloned().flatten()).collect())
    }
}

/// The columns of the table that the function of that name makes.
fn columns_of(name: &str) -> &'static [ColumnDeclared] {
    match function(name).map(|function| function.result) {
        Some(ResultKind::Table(columns)) => columns,
        _ => &[],
    }
}

/// Where the first `Keep` of a loop's own body is, not one of a loop inside it.
fn keep_of(stretch: &[Step], program: &Program) -> Option<u32> {
    let mut index = 0usize;
    while let Some(step) = stretch.get(index) {
        match step.operation {
            Operation::Keep => return u32::try_from(index).ok(),
            Operation::Loop => {
                let inner = program.loops.get(step.a as usize)?;
                index += 1 + (inner.end - inner.start) as usize;
            }
            _ => index += 1,
        }
    }
    None
}

#[cold]
fn trouble_at<N: Scalar>(trouble: Trouble, at: u32, a: &N, b: &N) -> Failure {
    Failure::Trouble(trouble, at, a.plain(), b.plain())
}
