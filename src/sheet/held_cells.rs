//! Cells of written tables held over the record, by a trial or the case in hand.
//!
//! The table's own cell is kept beside, and comes back when the trial is let go. Its `±` stays
//! where the trial or the case says none. Start reading at [`Sheet::hold_cell`].

use std::sync::Arc;

use crate::calendar::DAY;
use crate::number::Number;
use crate::problem::Problem;
use crate::syntax::tree::{Expression, Node, Tolerance, ToleranceForm};
use crate::unit::Kind;

use super::cell_of::CellPlace;
use super::checker::Checker;
use super::column::TableColumn;
use super::scratch::Evaluated;
use super::table::{declared, uncertainty_of};
use super::typed::{Node as TypedNode, Typed};
use super::{Holder, Sheet};

/// A value held in a cell.
#[derive(Clone, PartialEq, Debug)]
pub struct HeldCell {
    /// How the cell was called: `run.gross of 12:10`.
    pub name: String,
    /// The number in the column's unit.
    pub value: Number,
    /// Its tolerance; without one it has that of the cell.
    pub tolerance: Option<Tolerance>,
    /// As it can be typed.
    pub written: String,
    /// Who holds it.
    pub by: Holder,
    /// Its own `from`.
    pub source: Option<String>,
}

impl HeldCell {
    /// A number on trial for those who look at it, with the tolerance of the cell.
    pub fn number(value: Number) -> HeldCell {
        HeldCell {
            name: String::new(),
            value,
            tolerance: None,
            written: String::new(),
            by: Holder::Trial,
            source: None,
        }
    }
}

/// A cell by the names of its table and column, which an edit leaves.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct NamedCell {
    /// The table.
    pub table: String,
    /// The column.
    pub column: String,
    /// The row, counted from 0.
    pub row: u32,
    /// What is held there.
    pub held: HeldCell,
}

/// What a cell held over has of its own.
#[derive(Clone, Debug)]
pub(super) struct Own {
    held: HeldCell,
    cell: Option<Number>,
    uncertainty: Option<f64>,
    limits: Option<bool>,
}

impl Sheet {
    /// The value of a trial in a cell, in its column's unit.
    ///
    /// # Errors
    /// Its problems; places count from the start of `text`.
    pub(crate) fn cell_value(
        &mut self,
        place: CellPlace,
        text: &str,
        expression: &Expression,
        tolerance: Option<Tolerance>,
    ) -> Result<Evaluated, Vec<Problem>> {
        let column = self.table_column(place.slot);
        let kind = column.map(|column| column.kind);
        let own = column.and_then(|column| column.cells.get(place.row as usize).copied().flatten());
        let value = self.check_typed(text, expression, |checker, value| {
            checker.fit_column(value, kind?, own, tolerance)
        });
        let value = value.map_err(|problems| problems.into_iter().map(of_cell).collect::<Vec<_>>())?;
        self.worked_out_alone(expression, &value)
    }

    /// Holds a value over a cell.
    pub fn hold_cell(&mut self, place: CellPlace, held: HeldCell) {
        self.put_in_cell(place, held);
        self.recompute();
    }

    fn put_in_cell(&mut self, place: CellPlace, held: HeldCell) {
        self.put_back_cell(place);
        let model = Arc::make_mut(&mut self.model);
        let Some(column) = model.table_columns.get_mut(place.slot as usize) else {
            return;
        };
        let row = place.row as usize;
        let Some(cell) = column.cells.get_mut(row) else { return };
        let own = Own {
            cell: cell.replace(held.value),
            uncertainty: column.uncertainty.get(row).copied(),
            limits: column.limits.get(row).copied(),
            held: held.clone(),
        };
        if let Some(tolerance) = held.tolerance {
            let standard = uncertainty_of(tolerance, column.kind, held.value);
            put(&mut column.uncertainty, row, standard.unwrap_or(0.0));
            put(&mut column.limits, row, tolerance.form == ToleranceForm::Limits);
        }
        column.declared = declared(column);
        self.overlay.cells.insert(place, own);
        self.note_column(place.slot);
    }

    /// Lets go of a trial in a cell; what the case in hand has there stands again.
    pub(crate) fn release_cell(&mut self, place: CellPlace) {
        if self.put_back_cell(place) {
            self.hold_cells_of_case();
            self.recompute();
        }
    }

    /// Puts what the case in hand has for cells in place, where no trial stands. Whether there
    /// is any.
    pub(super) fn hold_cells_of_case(&mut self) -> bool {
        let cells = self.case().map_or(Vec::new(), |case| case.cells.clone());
        let free = cells
            .into_iter()
            .filter(|(place, _)| !self.overlay.cells.contains_key(place));
        let free: Vec<(CellPlace, HeldCell)> = free.collect();
        let any = !free.is_empty();
        free.into_iter().for_each(|(place, held)| self.put_in_cell(place, held));
        any
    }

    /// Puts the cells back that a case holds. Whether there were any.
    pub(super) fn put_back_cells_of_case(&mut self) -> bool {
        let of_case = |(place, own): (&CellPlace, &Own)| (own.held.by == Holder::Case).then_some(*place);
        let places: Vec<CellPlace> = self.overlay.cells.iter().filter_map(of_case).collect();
        places.iter().for_each(|place| {
            self.put_back_cell(*place);
        });
        !places.is_empty()
    }

    fn put_back_cell(&mut self, place: CellPlace) -> bool {
        let Some(own) = self.overlay.cells.remove(&place) else {
            return false;
        };
        let model = Arc::make_mut(&mut self.model);
        if let Some(column) = model.table_columns.get_mut(place.slot as usize) {
            own.put_back(column, place.row as usize);
        }
        self.note_column(place.slot);
        true
    }

    fn note_column(&mut self, slot: u32) {
        let cells = self.table_column(slot).map(|column| column.cells.clone());
        self.values.set_column(slot, cells.unwrap_or_default());
    }

    /// The cells on trial, in the order of their tables.
    pub fn held_cells(&self) -> impl Iterator<Item = (CellPlace, &HeldCell)> {
        let held = self.overlay.cells.iter().map(|(place, own)| (*place, &own.held));
        held.filter(|(_, held)| held.by == Holder::Trial)
    }

    /// What a cell on trial has without it: of the case in hand, or of its own.
    pub(crate) fn own_cell(&self, place: CellPlace) -> Option<Number> {
        let of_case = self
            .case()
            .and_then(|case| case.cells.iter().find(|(cell, _)| *cell == place));
        match of_case {
            Some((_, held)) => Some(held.value),
            None => self.overlay.cells.get(&place).and_then(|own| own.cell),
        }
    }

    /// The cells on trial by the names of their tables and columns.
    pub(crate) fn named_cells(&self) -> Vec<NamedCell> {
        let named = self.held_cells().filter_map(|(place, held)| {
            let column = self.table_column(place.slot)?;
            let table = self.tables().get(column.table as usize)?;
            match self.tree().node(table.item) {
                Some(Node::Table(tree)) => Some(NamedCell {
                    table: tree.name.text.to_string(),
                    column: column.name.to_string(),
                    row: place.row,
                    held: held.clone(),
                }),
                _ => None,
            }
        });
        named.collect()
    }

    /// Holds a cell again where its table and column are still there and have such a row.
    pub(crate) fn hold_named_cell(&mut self, cell: &NamedCell) {
        let slots = self.tables().iter().enumerate().filter(|(_, table)| {
            let node = self.tree().node(table.item);
            matches!(node, Some(Node::Table(tree)) if *tree.name.text == *cell.table)
        });
        let mut slots = slots.flat_map(|(_, table)| table.columns.iter().copied());
        let is_it = |slot: &u32| {
            self.table_column(*slot).is_some_and(|column| {
                *column.name == *cell.column && !column.made && (cell.row as usize) < column.cells.len()
            })
        };
        if let Some(slot) = slots.find(is_it) {
            let place = CellPlace { slot, row: cell.row };
            self.hold_cell(place, cell.held.clone());
        }
    }
}

impl Own {
    fn put_back(self, column: &mut TableColumn, row: usize) {
        if let Some(cell) = column.cells.get_mut(row) {
            *cell = self.cell;
        }
        match self.uncertainty {
            Some(standard) => put(&mut column.uncertainty, row, standard),
            None => column.uncertainty.truncate(row),
        }
        match self.limits {
            Some(limits) => put(&mut column.limits, row, limits),
            None => column.limits.truncate(row),
        }
        column.declared = declared(column);
    }
}

impl Checker<'_> {
    /// A value as the kind of a column, for a cell that holds `own`; reports a clash.
    pub(super) fn fit_column(
        &mut self,
        value: Typed,
        kind: Kind,
        own: Option<Number>,
        tolerance: Option<Tolerance>,
    ) -> Option<Typed> {
        let value = match (&value.node, value.kind, kind) {
            // a clock time is of the day of the cell's own
            (TypedNode::Constant(clock), Kind::TimeOfDay, Kind::Counted(_)) => {
                let day = own
                    .and_then(|own| own.round().to_integer())
                    .map_or(0, |own| own.div_euclid(DAY) * DAY);
                let at = clock.add(Number::from_integer(day)).ok()?;
                Typed::constant(at, kind, value.span)
            }
            _ => self.fit_cell(value, kind)?,
        };
        let fits = tolerance.is_none_or(|tolerance| self.tolerance_fits(&value, &tolerance));
        fits.then_some(value)
    }
}

/// What is said of an entry, said of a cell.
pub(super) fn of_cell(mut problem: Problem) -> Problem {
    problem.message = problem.message.replace("the entry is", "the cell is");
    problem
}

/// Puts a value in a row, with nothing in those before it that have none.
fn put<T: Clone + Default>(values: &mut Vec<T>, row: usize, value: T) {
    if values.len() <= row {
        values.resize(row + 1, T::default());
    }
    if let Some(place) = values.get_mut(row) {
        *place = value;
    }
}
