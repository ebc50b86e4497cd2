//! The cell in the row that is called so: `shells.tare of stock.shell`.
//!
//! What rows are called is gathered once for all rows that look one up. Start reading at
//! [`Machine::cell_called`].

use std::collections::HashMap;

use foldhash::fast::RandomState;

use crate::calendar::DAY;
use crate::number::Number;
use crate::unit::Kind;

use super::super::built::cell_in_row;
use super::super::cell_of::Rows;
use super::super::program::Operand;
use super::super::scalar::Scalar;
use super::{Failure, Machine};

/// The rows of a column, counted from 1, by what they are called; 0 for several.
pub(super) struct Called {
    /// The call that looks them up.
    site: u32,
    rows: HashMap<Number, u32, RandomState>,
}

/// What a row is called by: of a time perhaps only what the wall shows.
fn name(cell: Number, on_the_wall: bool) -> Number {
    let wall = on_the_wall.then(|| cell.round().to_integer()).flatten();
    wall.map_or(cell, |seconds| Number::from_integer(seconds.rem_euclid(DAY)))
}

impl<N: Scalar> Machine<'_, N> {
    /// The cell in the one row that is called so.
    pub(super) fn cell_called(&mut self, number: u32, on_the_wall: bool, at: u32) -> Result<N, Failure> {
        let site = self.program.calls.get(number as usize).ok_or(Failure::Waits)?;
        let [Operand::Column(column), Operand::Column(keys), Operand::Slot(key)] = site.arguments.as_slice() else {
            return Err(Failure::Waits);
        };
        let key = self.values.get(*key)?.clone();
        if self.called.as_ref().is_none_or(|called| called.site != number) {
            let keys = (1u32..).zip(self.values.column(*keys)?);
            let mut rows = HashMap::default();
            for (row, cell) in keys.filter_map(|(row, cell)| Some((row, cell.as_ref()?.plain()))) {
                rows.entry(name(cell, on_the_wall))
                    .and_modify(|row| *row = 0)
                    .or_insert(row);
            }
            self.called = Some(Called { site: number, rows });
        }
        let wanted = key.plain();
        let found = self
            .called
            .as_ref()
            .and_then(|called| called.rows.get(&name(wanted, on_the_wall)));
        let complaint = Failure::complained(at);
        if let Some(row) = found.filter(|row| **row > 0) {
            let cell = cell_in_row(self.values.column(*column)?, *row as usize).map_err(complaint)?;
            return Ok(cell.chosen_by(&key).kept(&mut self.context));
        }
        let cells = self.values.column(*keys)?.iter();
        let cells: Vec<Option<Number>> = cells.map(|cell| cell.as_ref().map(N::plain)).collect();
        let rows = Rows {
            kind: site.kinds.get(1).copied().unwrap_or(Kind::Text),
            cells: &cells,
            on_the_wall,
            texts: self.texts,
        };
        Err(complaint(rows.complaint(wanted, true)))
    }
}
