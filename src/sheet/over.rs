//! What a cell can be while an input takes any value of an interval.
//!
//! The cells between the two are run in numbers that know what they can be
//! ([`super::ranged`]), so that whoever looks for a value may leave out the intervals in
//! which it can't be. Start reading at [`Sheet::over`].

use crate::number::Number;

use super::Sheet;
use super::limits::can_be;
use super::machine::Machine;
use super::names::CellId;
use super::program::CellCode;
use super::range::Range;
use super::ranged::Ranged;

/// A worksheet in which one input takes the values of intervals.
pub struct Over<'a> {
    machine: Machine<'a, Ranged>,
    input: CellCode,
    asked: CellCode,
    /// The cells that change with the input, in order.
    cells: Vec<(u32, CellCode)>,
}

impl Sheet {
    /// With an input that takes the values of intervals, and a cell of which is asked what it can be.
    pub fn over(&self, input: CellId, asked: CellId) -> Over<'_> {
        let code = |cell: u32| self.program.cells.get(cell as usize).copied().unwrap_or_default();
        let mut moved = vec![input.0];
        for cell in self.needed(&[asked.0].into()) {
            let moves = self.order.needs(cell).iter().any(|need| moved.contains(need));
            if moves && cell != input.0 && !self.overlay.held.contains_key(&cell) {
                moved.push(cell);
            }
        }
        Over {
            machine: self.ranged_machine(self.alongside.clone()),
            input: code(input.0),
            asked: code(asked.0),
            cells: moved.iter().skip(1).map(|cell| (*cell, code(*cell))).collect(),
        }
    }
}

impl Over<'_> {
    /// What the cell asked for can be while the input is anything between these.
    pub fn range(&mut self, low: Number, high: Number) -> Range {
        let range = Range::exactly(low).or(Range::exactly(high));
        let middle = low.add(high).and_then(|sum| sum.div(Number::from_integer(2)));
        let input = Ranged::with(middle.unwrap_or(low), range);
        self.machine.values.set_known(self.input.slot, input);
        for place in 0..self.cells.len() {
            if let Some((cell, code)) = self.cells.get(place).copied() {
                self.run(cell, code);
            }
        }
        let found = self.machine.values.get(self.asked.slot);
        found.map_or(Range::ANY, Ranged::whole_range)
    }

    /// Runs one cell; without a value for certain, it has none here.
    fn run(&mut self, cell: u32, code: CellCode) {
        let can_be = can_be(cell, code, &mut self.machine);
        self.machine.values.mark(code, can_be.is_some());
        let Some(ranges) = can_be.filter(|_| code.width == 1) else {
            return;
        };
        let values = &mut self.machine.values;
        let one = |known: &Ranged, range: &Option<Range>| range.map(|range| Ranged::with(known.value, range));
        if code.column {
            let cells = values.column(code.slot).unwrap_or(&[]).iter().zip(&ranges);
            let cells = cells.map(|(known, range)| one(known.as_ref()?, range)).collect();
            values.set_column(code.slot, cells);
        } else if let (Ok(known), Some(range)) = (values.get(code.slot), ranges.first())
            && let Some(found) = one(known, range)
        {
            values.set_known(code.slot, found);
        }
    }
}
