//! What the steps of cells reach: the slots and columns that have to be at hand.
//!
//! Start reading at [`Reach::add`].

use std::collections::BTreeSet;

use crate::number::Number;

use super::program::{Operand, Operation, Program, REGISTERS, Step};

/// What some cells look at besides other cells.
#[derive(Default)]
pub(super) struct Reach {
    pub(super) constants: Vec<(u32, Number)>,
    pub(super) columns: BTreeSet<u32>,
    pub(super) calls: Vec<u32>,
}

impl Reach {
    /// Adds what a step looks at.
    pub(super) fn add(&mut self, step: &Step, program: &Program) {
        match step.operation {
            Operation::Call | Operation::CallColumn | Operation::CallTable => {
                self.calls.push(step.a);
                let site = program.calls.get(step.a as usize);
                for operand in site.into_iter().flat_map(|site| &site.arguments) {
                    match operand {
                        Operand::Slot(slot) | Operand::Text(slot) => self.add_slot(*slot, program),
                        Operand::Column(column) => self.add_column(*column),
                        Operand::Schedule(_, hours, values) => {
                            self.add_column(*hours);
                            self.add_column(*values);
                        }
                    }
                }
            }
            Operation::Grid => {
                let over = program
                    .grids
                    .get(step.a as usize)
                    .into_iter()
                    .flat_map(|grid| &grid.over);
                over.for_each(|(_, column)| self.add_column(*column));
            }
            Operation::Loop => {
                let row_loop = program.loops.get(step.a as usize);
                let columns = row_loop.into_iter().flat_map(|row_loop| &row_loop.columns);
                columns.for_each(|(column, _)| self.add_column(*column));
            }
            Operation::Row | Operation::CopyColumn => self.add_column(step.a),
            Operation::OneOf => {
                self.add_slot(step.a, program);
                self.add_column(step.b);
            }
            _ => {
                self.add_slot(step.a, program);
                self.add_slot(step.b, program);
            }
        }
    }

    pub(super) fn add_column(&mut self, column: u32) {
        self.columns.insert(column);
    }

    /// Constants stand in the order of their slots.
    pub(super) fn add_slot(&mut self, slot: u32, program: &Program) {
        if slot >= REGISTERS
            && let Ok(place) = program.constants.binary_search_by_key(&slot, |(slot, _)| *slot)
        {
            self.constants.extend(program.constants.get(place));
        }
    }
}
