//! Edits: what an edit of the text leaves as it was stays, and the rest is done anew.
//!
//! One inside an entry that leaves it its name and kind is taken up at that entry alone.
//! Start reading at [`Sheet::replace`].

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use crate::number::Number;
use crate::syntax::edit::{Change, Touched};
use crate::syntax::tree::Node;
use crate::text::Span;
use crate::unit::Kind;

use super::checker::Shape;
use super::load::Found;
use super::lower::Lowering;
use super::model::Model;
use super::names::{CellId, Named};
use super::order::needs_of;
use super::program::CellCode;
use super::typed::Typed;
use super::values::Values;
use super::{Held, Overlay, Sheet, Status};

/// What a model makes of an edit of its text.
enum TakenUp {
    /// Nothing means anything else.
    Silently,
    /// One cell has other steps; there were so many constants before.
    By { cell: u32, constants: usize },
    /// It has to be read anew.
    Not,
}

impl Sheet {
    /// Replaces a span of the text and brings everything up to date.
    pub fn replace(&mut self, span: Span, with: &str) -> Change {
        let model = Arc::make_mut(&mut self.model);
        let change = Arc::make_mut(&mut model.tree).replace(span, with);
        match model.take_up(&change, with) {
            TakenUp::Silently => {}
            TakenUp::By { cell, constants } => {
                self.grow_values(constants);
                self.run_from([cell]);
            }
            TakenUp::Not => self.refresh(),
        }
        change
    }

    /// Moves the worksheet to another folder and reads its tables there; trials stay.
    pub(crate) fn move_to(&mut self, folder: Option<PathBuf>) {
        let model = Arc::make_mut(&mut self.model);
        model.folder = folder;
        model.enclosed = &[];
        self.refresh();
    }

    /// Reads the tables' files again and computes everything afresh; trials stay.
    pub fn refresh(&mut self) {
        let kept: Vec<(String, Option<Shape>, Held)> = self
            .trials()
            .filter_map(|cell| {
                Some((
                    self.names.name_of(cell)?.to_owned(),
                    self.shape(cell),
                    self.held(cell)?.clone(),
                ))
            })
            .collect();
        let case = self.case().map(|case| case.name.clone());
        let cells = self.named_cells();
        self.rebuild();
        self.overlay.case = case.and_then(|name| self.cases.iter().position(|case| case.name == name));
        for (name, shape, held) in kept {
            if let Some(cell) = self.cell(&name).filter(|cell| {
                self.shape(*cell)
                    .zip(shape)
                    .is_some_and(|(now, before)| now.is_like(before))
            }) {
                self.overlay.held.insert(cell.0, held);
            }
        }
        self.hold_case();
        if self.hold_cells_of_case() || !self.overlay.held.is_empty() {
            self.run_all();
        }
        cells.iter().for_each(|cell| self.hold_named_cell(cell));
    }

    /// Reads the text anew and computes it, with nothing held.
    pub(super) fn rebuild(&mut self) {
        Arc::make_mut(&mut self.model).rebuild();
        self.overlay = Overlay::default();
        self.status = vec![Status::Broken; self.cell_count()];
        self.failures.clear();
        self.values = self.model.first_values();
        self.run_all();
    }

    /// Makes room for slots and constants that came after the first run.
    pub(super) fn grow_values(&mut self, constants: usize) {
        let (values, program) = (&mut self.values, &self.model.program);
        let slots = program.slots as usize;
        values.slots.resize(slots, Number::ZERO);
        values.well.resize(slots, true);
        values.columns.resize(program.columns as usize, Vec::new());
        values.columns_well.resize(program.columns as usize, false);
        for (slot, value) in program.constants.get(constants..).unwrap_or(&[]) {
            values.set_known(*slot, *value);
        }
    }
}

impl Model {
    /// Slots with the constants in them, and the tables' columns.
    fn first_values(&self) -> Values<Number> {
        let mut values = Values {
            slots: vec![Number::ZERO; self.program.slots as usize],
            well: vec![true; self.program.slots as usize],
            columns: vec![Vec::new(); self.program.columns as usize],
            columns_well: vec![false; self.program.columns as usize],
            held: 0,
            rows: BTreeMap::new(),
        };
        for (slot, value) in &self.program.constants {
            values.set(*slot, *value);
        }
        for (slot, column) in (0u32..).zip(&self.table_columns) {
            if !column.made {
                values.set_column(slot, column.cells.clone());
            }
        }
        values
    }

    /// Takes up an edit that leaves every other item its meaning: one of silent items, or
    /// one inside an entry.
    fn take_up(&mut self, change: &Change, with: &str) -> TakenUp {
        if self.unchecked {
            return TakenUp::Not;
        }
        let (from, places) = match change.touched {
            Touched::One(item) => (item, 0),
            Touched::Some { from, gone, come } if change.silent => (from, come as i64 - gone as i64),
            Touched::Some { .. } => return TakenUp::Not,
        };
        let same_lines = change.removed.matches('\n').count() == with.matches('\n').count();
        let stands = same_lines && places == 0;
        match stands || self.move_items(from, places) {
            false => TakenUp::Not,
            true if change.silent => TakenUp::Silently,
            true => self
                .patch(u32::try_from(from).unwrap_or(u32::MAX))
                .unwrap_or(TakenUp::Not),
        }
    }

    /// Takes up an edit inside one entry, if it leaves its name, kind and place in
    /// the order.
    fn patch(&mut self, item: u32) -> Option<TakenUp> {
        // what a grid runs anew was settled when it was read, and what is kept back
        if !self.program.grids.is_empty() || self.names.marks {
            return None;
        }
        let cell = self.names.cell_items.binary_search(&item).ok()?;
        let cell = u32::try_from(cell).unwrap_or(u32::MAX);
        let node = self.tree.item(item)?;
        let Node::Entry(entry) = &node.node else { return None };
        let same_name = self.names.get(&entry.name.text) == Some(Named::Cell(CellId(cell)));
        let was_fine = self.fixed.get(cell as usize) == Some(&None) && !self.cell_problems.contains_key(&cell);
        let was_input = self.names.is_input(CellId(cell));
        // what is counted from another name of a clock time would be counted anew
        let is_clock = !was_input
            && self
                .shape(CellId(cell))
                .is_some_and(|shape| shape.kind == Kind::TimeOfDay);
        if is_clock || !same_name || !was_fine || !node.problems.is_empty() || was_input != entry.kind.is_input() {
            return None;
        }
        let mut needs = Vec::new();
        needs_of(&node.node, &self.names, &mut needs);
        needs.sort_unstable();
        needs.dedup();
        let Found::Value(value) = self.check_cell(cell) else {
            return None;
        };
        let shape = Shape {
            kind: value.kind,
            column: value.column,
        };
        if self.cell_problems.contains_key(&cell) || self.shape(CellId(cell)) != Some(shape) {
            return None;
        }
        if !self.note_rows(cell, &value) || !self.order.change_needs(cell, needs) {
            return None;
        }
        self.relower(cell, &value)
    }

    fn relower(&mut self, cell: u32, value: &Typed) -> Option<TakenUp> {
        self.note_by_weight(cell, value);
        self.note_moments(cell, value);
        let old = self.program.cells.get(cell as usize).copied().unwrap_or_default();
        self.garbage += (old.end - old.start) as usize;
        self.straight = false;
        if self.garbage > 10_000 && self.garbage > self.program.steps.len() / 2 {
            return None;
        }
        let constants = self.program.constants.len();
        let tables = self.column_count();
        if let Some(code) = self.program.cells.get_mut(cell as usize) {
            *code = CellCode {
                start: 0,
                end: 0,
                ..old
            };
        }
        let lowered = Lowering::new(&mut self.program, tables).cell(cell as usize, value);
        lowered.ok().map(|()| TakenUp::By { cell, constants })
    }
}
