//! What a limit has cut short, and what that leaves open: a pass over the cells that rest on it.
//!
//! A table that was followed to its limit without an end has a last row that is only
//! passed. The cells that need it are run once more in numbers that know what they can be
//! ([`super::ranged`]); the record stays as it is, and whoever reads it is told the range
//! in its place. Start reading at [`Sheet::find_limits`].

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Deref;

use crate::number::Number;
use crate::syntax::tree::Expression;
use crate::trade::Body;

use super::exact::Alongside;
use super::machine::Machine;
use super::names::CellId;
use super::order::gather;
use super::program::{CellCode, Operand, Operation};
use super::range::Range;
use super::ranged::{Course, MOST_WAYS, Ranged};
use super::scalar::Scalar;
use super::values::Values;
use super::{Reading, Sheet, Status};

/// What a cell is, where a limit has cut short what it rests on.
#[derive(Clone, PartialEq, Debug)]
pub enum Limited {
    /// One value, which can be this.
    One(Range),
    /// A column.
    Rows(Cut),
    /// Columns of a table that is worked out, by their slots.
    Columns(BTreeMap<u32, Cut>),
    /// A table of which nothing is known, since it was made or ordered by what isn't.
    Table,
}

/// A column of which some cells are cut short: those that are known, and what the others can be.
#[derive(Clone, PartialEq, Debug)]
pub struct Cut {
    known: Vec<Option<Number>>,
    open: Vec<Option<Range>>,
}

impl Cut {
    pub(super) fn rows(&self) -> Rows<'_> {
        Rows {
            known: &self.known,
            open: &self.open,
        }
    }

    /// In binary numbers; what is open is none.
    pub(super) fn binary(&self) -> Vec<Option<f64>> {
        let cells = self
            .known
            .iter()
            .zip(&self.open)
            .map(|(cell, open)| match (cell, open) {
                (Some(cell), _) => Some(cell.to_f64()),
                (None, Some(_)) => Some(f64::NAN),
                (None, None) => None,
            });
        cells.collect()
    }

    /// With the record in the place of what is open.
    fn over(&self, record: &[Option<Number>]) -> Vec<Option<Ranged>> {
        let cells = record.iter().zip(&self.open).map(|(cell, open)| {
            let cell = (*cell)?;
            Some(open.map_or(Ranged::exact(cell), |range| Ranged::with(cell, range)))
        });
        cells.collect()
    }
}

/// The cells of a column, those missing of which only a range is known.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Rows<'a> {
    known: &'a [Option<Number>],
    open: &'a [Option<Range>],
}

impl<'a> Rows<'a> {
    /// Cells that are known or missing.
    pub fn of(known: &'a [Option<Number>]) -> Rows<'a> {
        Rows { known, open: &[] }
    }

    /// What the cell of that row can be, where only that is known.
    pub fn open(&self, row: usize) -> Option<Range> {
        self.open
            .get(row)
            .copied()
            .flatten()
            .filter(|range| range.only().is_none())
    }

    /// How many rows there are of which only that is known.
    pub(crate) fn count_open(&self) -> usize {
        (0..self.open.len()).filter(|row| self.open(*row).is_some()).count()
    }

    /// The first row of which only that is known.
    pub(crate) fn first_open(&self) -> Option<usize> {
        (0..self.open.len()).find(|row| self.open(*row).is_some())
    }
}

impl<'a> Deref for Rows<'a> {
    type Target = &'a [Option<Number>];

    fn deref(&self) -> &Self::Target {
        &self.known
    }
}

impl Limited {
    /// As a reader of the cell meets it; `None` for a table, which is read by its columns.
    pub fn reading(&self) -> Option<Reading<'_>> {
        match self {
            Limited::One(range) => Some(range.only().map_or(Reading::Within(*range), Reading::Number)),
            Limited::Rows(cut) => Some(Reading::Column(cut.rows())),
            Limited::Columns(_) | Limited::Table => None,
        }
    }

    /// The cells of a column.
    pub(super) fn rows(&self) -> Option<Rows<'_>> {
        match self {
            Limited::Rows(cut) => Some(cut.rows()),
            _ => None,
        }
    }
}

/// The cells that rest on what a limit has cut short.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Limits {
    /// What they are.
    pub cells: BTreeMap<u32, Limited>,
    /// Those in which a function was followed to its limit.
    pub passed: BTreeSet<u32>,
    /// Columns with rows that were only passed, and what their ends can be.
    going_on: BTreeMap<u32, Vec<Option<Range>>>,
}

impl Sheet {
    /// Looks for what limits have cut short. Gives back the cells for which that is another
    /// than before.
    pub(super) fn find_limits(&mut self) -> Vec<u32> {
        if !self.alongside.made.went_on() && self.limits == Limits::default() {
            return Vec::new();
        }
        let before = std::mem::take(&mut self.limits);
        let mut found = Limits::default();
        let alongside = std::mem::take(&mut self.alongside);
        let mut machine = self.ranged_machine(alongside);
        for cell in &self.order.cells {
            if self.rests_on_limits(*cell, &found) {
                self.look_for_limits(*cell, &mut machine, &mut found);
            }
        }
        self.alongside = machine.into_parts().1.alongside;
        self.limits = found;
        let cells = before.cells.keys().chain(self.limits.cells.keys());
        let mut changed: Vec<u32> = cells.copied().collect();
        changed.retain(|cell| before.cells.get(cell) != self.limits.cells.get(cell));
        changed
    }

    /// The same of one cell that stands behind all others.
    pub(super) fn limited_alone(&mut self, cell: u32) -> Option<Limited> {
        if !self.alongside.made.went_on() && self.limits == Limits::default() {
            return None;
        }
        let mut found = self.limits.clone();
        if self.rests_on_limits(cell, &found) {
            let alongside = std::mem::take(&mut self.alongside);
            let mut machine = self.ranged_machine(alongside);
            self.look_for_limits(cell, &mut machine, &mut found);
            self.alongside = machine.into_parts().1.alongside;
        }
        found.cells.remove(&cell)
    }

    /// What a cell can be, row by row for a column; `None` where it is known.
    pub(crate) fn limited(&self, cell: CellId) -> Option<&Limited> {
        self.limits.cells.get(&cell.0)
    }

    /// Whether an expression names what a limit has cut short.
    pub(super) fn rests_on_open_cells(&self, expression: &Expression) -> bool {
        let mut needs = Vec::new();
        gather(expression, &self.names, &mut needs);
        needs.iter().any(|need| self.is_open(*need, &self.limits))
    }

    /// The cells of a table's column as a limit has left them; `None` where it has left them alone.
    pub(super) fn cut(&self, slot: u32) -> Option<Rows<'_>> {
        let mut cells = self.limits.cells.iter();
        cells.find_map(|(cell, limited)| match limited {
            Limited::Columns(columns) => columns.get(&slot).map(Cut::rows),
            Limited::Table => {
                let code = self.program.cells.get(*cell as usize)?;
                code.columns().contains(&slot).then_some(Rows::of(&[]))
            }
            Limited::One(_) | Limited::Rows(_) => None,
        })
    }

    /// Whether nothing is known of a table, for a limit.
    pub(crate) fn is_unknown_table(&self, cell: CellId) -> bool {
        self.limited(cell) == Some(&Limited::Table)
    }

    /// The cells in which a function was followed to its limit, among these and what they need.
    pub fn limits_met(&self, cells: &[CellId]) -> Vec<CellId> {
        match self.limits.passed.is_empty() {
            true => Vec::new(),
            false => {
                let needed = self.needed_by_all(cells).into_iter();
                needed.filter(|cell| self.limits.passed.contains(&cell.0)).collect()
            }
        }
    }

    /// The record, with what is known of each cell so far.
    fn ranged_values(&self) -> Values<Ranged> {
        let column = |cells: &Vec<Option<Number>>| cells.iter().map(|cell| cell.map(Ranged::exact)).collect();
        let mut values = Values {
            slots: self.values.slots.iter().copied().map(Ranged::exact).collect(),
            well: self.values.well.clone(),
            columns: self.values.columns.iter().map(column).collect(),
            columns_well: self.values.columns_well.clone(),
            held: 0,
            rows: self.values.rows.clone(),
        };
        for (cell, limited) in &self.limits.cells {
            let code = self.program.cells.get(*cell as usize).copied();
            if let Some(code) = code {
                self.put(code, limited, &mut values);
            }
        }
        for (slot, beyond) in &self.limits.going_on {
            let cells = values.columns.get_mut(*slot as usize).into_iter().flatten();
            for (cell, beyond) in cells.zip(beyond) {
                cell.iter_mut().for_each(|cell| cell.beyond = *beyond);
            }
        }
        values
    }

    /// Puts what is known of a cell in the place of its value.
    fn put(&self, code: CellCode, limited: &Limited, values: &mut Values<Ranged>) {
        match limited {
            Limited::One(range) => {
                if let Ok(value) = self.values.get(code.slot) {
                    values.set(code.slot, Ranged::with(*value, *range));
                }
            }
            Limited::Rows(cut) => values.set_column(code.slot, cut.over(self.record(code.slot))),
            Limited::Columns(columns) => {
                for (slot, cut) in columns {
                    values.set_column(*slot, cut.over(self.record(*slot)));
                }
            }
            Limited::Table => values.mark(code, false),
        }
    }

    fn record(&self, slot: u32) -> &[Option<Number>] {
        self.values.column(slot).unwrap_or(&[])
    }

    pub(super) fn ranged_machine(&self, alongside: Alongside) -> Machine<'_, Ranged> {
        Machine::new(
            &self.program,
            &self.texts,
            self.ranged_values(),
            Course::with(alongside),
        )
        .holding(&self.overlay.held)
    }

    /// Whether a cell needs what a limit has cut short, or may itself meet one.
    fn rests_on_limits(&self, cell: u32, found: &Limits) -> bool {
        if self.status.get(cell as usize) != Some(&Status::Known) || self.overlay.held.contains_key(&cell) {
            return false;
        }
        let mut needs = self.order.needs(cell).iter();
        needs.any(|need| self.is_open(*need, found)) || self.makes_table(cell)
    }

    /// Whether of a cell no more than a range is known, or a column of it goes on.
    fn is_open(&self, cell: u32, found: &Limits) -> bool {
        let code = self.program.cells.get(cell as usize).filter(|code| code.column);
        let mut slots = code.into_iter().flat_map(|code| code.columns());
        found.cells.contains_key(&cell) || slots.any(|slot| found.going_on.contains_key(&slot))
    }

    fn makes_table(&self, cell: u32) -> bool {
        let grid = self.program.grid_of(cell);
        if grid.is_some_and(|grid| grid.cells.iter().any(|cell| self.makes_table(*cell))) {
            return true;
        }
        self.program.steps_of_cell(cell).iter().any(|step| {
            let calls = matches!(step.operation, Operation::Call | Operation::CallTable);
            let site = self.program.calls.get(step.a as usize).filter(|_| calls);
            site.is_some_and(|site| matches!(site.function.body, Body::Table { .. } | Body::OfTable(_)))
        })
    }

    /// Runs one cell, and keeps what it can be where that isn't the record.
    fn look_for_limits(&self, cell: u32, machine: &mut Machine<'_, Ranged>, found: &mut Limits) {
        let Some(code) = self.program.cells.get(cell as usize).copied() else {
            return;
        };
        let can_be = can_be(cell, code, machine);
        if machine.context.passed {
            found.passed.insert(cell);
        }
        for slot in code.columns().filter(|_| code.column) {
            let cells = machine.values.columns.get(slot as usize).into_iter().flatten();
            let beyond: Vec<Option<Range>> = cells.map(|cell| cell.and_then(|cell| cell.beyond)).collect();
            if beyond.iter().any(Option::is_some) {
                found.going_on.insert(slot, beyond);
            }
        }
        let limited = match code.width > 1 {
            true if self.is_ordered_by_open(code, machine) => Some(Limited::Table),
            true => self.limited_columns(code, can_be),
            false => self.limited_by(code, can_be),
        };
        machine.values.mark(code, true);
        if let Some(limited) = limited {
            self.put(code, &limited, &mut machine.values);
            found.cells.insert(cell, limited);
        }
    }

    /// What a cell is by what it can be, cell by cell of a column; `None` where that is the record.
    fn limited_by(&self, code: CellCode, can_be: Option<Vec<Option<Range>>>) -> Option<Limited> {
        if !code.column {
            let record = *self.values.get(code.slot).ok()?;
            let range = can_be.and_then(|ranges| ranges.first().copied().flatten());
            let range = range.unwrap_or(Range::ANY);
            return (range.only() != Some(record)).then_some(Limited::One(range));
        }
        let record = self.values.column(code.slot).ok()?;
        cut(record, can_be).map(Limited::Rows)
    }

    /// The same of a table, column by column; nothing is known of one that couldn't be followed.
    fn limited_columns(&self, code: CellCode, can_be: Option<Vec<Option<Range>>>) -> Option<Limited> {
        let Some(can_be) = can_be else {
            return Some(Limited::Table);
        };
        let mut ranges = can_be.into_iter();
        let found = code.columns().filter_map(|slot| {
            let record = self.record(slot);
            Some((slot, cut(record, Some(ranges.by_ref().take(record.len()).collect()))?))
        });
        let found: BTreeMap<u32, Cut> = found.collect();
        (!found.is_empty()).then_some(Limited::Columns(found))
    }

    /// Whether the rows of a table are put in order or together by what isn't known.
    fn is_ordered_by_open(&self, code: CellCode, machine: &Machine<'_, Ranged>) -> bool {
        let steps = self.program.steps_of(code).iter();
        let mut calls = steps.filter(|step| step.operation == Operation::CallColumn);
        calls.any(|step| {
            let site = self.program.calls.get(step.a as usize);
            let by = site.and_then(|site| site.arguments.get(1));
            let Some(Operand::Column(by)) = by else { return false };
            let mut cells = machine.values.column(*by).unwrap_or(&[]).iter().flatten();
            cells.any(|cell| cell.range.is_some())
        })
    }
}

/// What is left of a column, by what its cells can be; `None` where that is the record.
fn cut(record: &[Option<Number>], can_be: Option<Vec<Option<Range>>>) -> Option<Cut> {
    let fits = can_be.filter(|ranges| ranges.len() == record.len());
    let ranges = fits.unwrap_or_else(|| vec![Some(Range::ANY); record.len()]);
    let open = record.iter().zip(ranges).map(|(cell, range)| {
        let cell = (*cell)?;
        range.or(Some(Range::ANY)).filter(|range| range.only() != Some(cell))
    });
    let open: Vec<Option<Range>> = open.collect();
    let known = record.iter().zip(&open).map(|(cell, open)| match open {
        Some(range) => range.only(),
        None => *cell,
    });
    let known = known.collect();
    open.iter().any(Option::is_some).then_some(Cut { known, open })
}

/// Runs one cell, every way that undecided conditions leave open: what it can be, cell by
/// cell of its columns; `None` where that can't be told.
pub(super) fn can_be(cell: u32, code: CellCode, machine: &mut Machine<'_, Ranged>) -> Option<Vec<Option<Range>>> {
    machine.context.begin();
    let mut can_be: Option<Vec<Option<Range>>> = None;
    for _ in 0..MOST_WAYS {
        machine.cell(cell as usize).ok()?;
        let seen = seen(code, &machine.values)?;
        can_be = Some(match can_be {
            Some(known) => either(known, seen)?,
            None => seen,
        });
        if machine.context.turn().is_none() {
            return can_be;
        }
    }
    None
}

/// What a cell was found to be on one way, cell by cell of its columns.
fn seen(code: CellCode, values: &Values<Ranged>) -> Option<Vec<Option<Range>>> {
    if !code.column {
        return values.get(code.slot).ok().map(|value| vec![Some(value.whole_range())]);
    }
    let mut seen = Vec::new();
    for slot in code.columns() {
        let cells = values.column(slot).ok()?.iter();
        seen.extend(cells.map(|cell| cell.map(|cell| cell.whole_range())));
    }
    Some(seen)
}

/// What can be either; `None` where the two have another number of cells.
fn either(one: Vec<Option<Range>>, other: Vec<Option<Range>>) -> Option<Vec<Option<Range>>> {
    let rows = one.iter().zip(&other).map(|(one, other)| match (one, other) {
        (Some(one), Some(other)) => Some(one.or(*other)),
        _ => None,
    });
    (one.len() == other.len()).then(|| rows.collect())
}
