//! Expressions worked out beside the worksheet, which stays as it is.
//!
//! [`super::scratch`] puts an expression behind the program and takes it away
//! again; here a small program of its own runs over a copy of the values, so that
//! whoever only reads a worksheet may ask for the value of a part of a formula.
//! Start reading at [`Sheet::values_aside`].

use std::collections::BTreeMap;

use crate::number::Number;
use crate::syntax::tree::Expression;
use crate::time_limit;
use crate::unit::Kind;

use super::Sheet;
use super::checker::Checker;
use super::exact::Alongside;
use super::lower::Lowering;
use super::machine::Machine;
use super::program::{CellCode, Program};
use super::text_pool::TextPool;
use super::values::Values;

/// A part of a formula: the item it stands in, its text, and what was read of it.
pub(crate) type PartOf<'a> = (u32, &'a str, &'a Expression);

/// So many cells of columns, and so many texts, are copied at most; what needs more has no
/// value here.
const MOST_CELLS: usize = 20_000;

impl Sheet {
    /// The single value of each part, as things stand; `None` where it has a problem,
    /// waits, is a column, asks for the tolerances of its arguments, or rests on what a limit
    /// has cut short.
    pub(crate) fn values_aside(&self, parts: &[PartOf<'_>]) -> Vec<Option<(Kind, Number)>> {
        let _run = time_limit::begin();
        if time_limit::is_up() || self.texts.count() > MOST_CELLS {
            return vec![None; parts.len()];
        }
        let mut texts = self.texts.clone();
        let mut program = Program {
            cells: self.program.cells.clone(),
            readings: self.program.readings.clone(),
            slots: self.program.slots,
            columns: self.program.columns,
            ..Program::default()
        };
        let asked: Vec<Option<(Kind, usize)>> = parts
            .iter()
            .map(|part| self.lowered_aside(*part, &mut texts, &mut program))
            .collect();
        let alongside = Alongside {
            made: self.alongside.made.clone(),
            declared: self.alongside.declared.clone(),
            ..Alongside::default()
        };
        let mut machine = Machine::new(&program, &texts, self.copied(&program), alongside);
        let mut value = |(kind, cell): (Kind, usize)| {
            machine.context.made.begin();
            machine.cell(cell).ok().filter(|()| !machine.context.made.went_on())?;
            let slot = program.cells.get(cell)?.slot;
            machine.values.get(slot).ok().map(|number| (kind, *number))
        };
        asked.into_iter().map(|asked| asked.and_then(&mut value)).collect()
    }

    /// Puts a part behind a program, as a cell of its own: its kind and that cell.
    fn lowered_aside(
        &self,
        (item, text, expression): PartOf<'_>,
        texts: &mut TextPool,
        program: &mut Program,
    ) -> Option<(Kind, usize)> {
        let mut suggestions = 0;
        let mut checker = Checker::new(self.known(), texts, &mut suggestions, item, text);
        let typed = checker.expression(expression).map(|value| checker.settle(value))?;
        if typed.column || !checker.into_problems().is_empty() || self.rests_on_open_cells(expression) {
            return None;
        }
        let cell = program.cells.len();
        program.cells.push(CellCode {
            slot: program.slots,
            ..CellCode::default()
        });
        program.slots += 1;
        let tables = u32::try_from(self.table_columns.len()).unwrap_or(u32::MAX);
        let lowered = Lowering::new(program, tables).cell(cell, &typed);
        lowered.ok().map(|()| (typed.kind, cell))
    }

    /// The values as they stand, with room for what a program adds. Columns are left out
    /// where they are very long.
    fn copied(&self, program: &Program) -> Values<Number> {
        let cells: usize = self.values.columns.iter().map(Vec::len).sum();
        let few = cells <= MOST_CELLS;
        let mut values = Values {
            slots: self.values.slots.clone(),
            well: self.values.well.clone(),
            columns: match few {
                true => self.values.columns.clone(),
                false => Vec::new(),
            },
            columns_well: match few {
                true => self.values.columns_well.clone(),
                false => Vec::new(),
            },
            held: self.values.held,
            rows: BTreeMap::new(),
        };
        values.slots.resize(program.slots as usize, Number::ZERO);
        values.well.resize(program.slots as usize, true);
        values.columns.resize(program.columns as usize, Vec::new());
        values.columns_well.resize(program.columns as usize, false);
        for (slot, value) in &program.constants {
            values.set_known(*slot, *value);
        }
        values
    }
}
