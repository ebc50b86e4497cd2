//! The program: flat operations over numbered slots, one stretch a cell.
//!
//! A slot holds one bare number (a text or truth value is a number too); its
//! unit was settled before. Columns have slots of their own. Work on rows is a
//! loop whose body is the same kind of operations. The program knows nothing of
//! number kinds; [`super::machine`] runs it. Start reading at [`Operation`].

use std::collections::{BTreeMap, BTreeSet};

use crate::number::Number;
use crate::syntax::tree::ComparisonOperator;
use crate::text::Span;
use crate::trade::{Function, ScheduleForm};
use crate::unit::{Conversion, Kind};

/// What an operation does; the written form stands above each.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Operation {
    /// to ← a
    Copy,
    /// to ← a + b
    Add,
    /// to ← a − b
    Subtract,
    /// to ← a × b
    Multiply,
    /// to ← a ÷ b
    Divide,
    /// to ← a ^ b
    Power,
    /// to ← a − b, where a must not be earlier (seconds)
    SubtractTime,
    /// to ← true, where a isn't later than b (seconds)
    Ascending,
    /// to ← a, where it is the same time as b, or shows the same on the clock (seconds)
    Together {
        /// Whether the clock is enough.
        on_the_clock: bool,
    },
    /// to ← a, a text that column b has; of no column, the name of a day
    OneOf,
    /// to ← the smaller of a and b; a where they are equal
    Least,
    /// to ← the larger of a and b; a where they are equal
    Greatest,
    /// to ← −a
    Negate,
    /// to ← a through the conversion numbered b
    Convert,
    /// to ← not a
    Not,
    /// to ← a compared with b
    Compare(ComparisonOperator),
    /// go on at operation a
    Jump,
    /// go on at operation b where a is true
    JumpIf,
    /// go on at operation b where a is false
    JumpUnless,
    /// to ← the call numbered a
    Call,
    /// column to ← the call numbered a
    CallColumn,
    /// column to ← the loop numbered a, whose body follows
    Loop,
    /// to ← this row of column a; where it is missing, go on at operation b, or the row is
    /// missing where b is none
    Row,
    /// the row is missing, or go on at operation b where b is one
    Missing,
    /// leaves the row out where a is false
    Keep,
    /// column to ← column a
    CopyColumn,
    /// columns to, to + 1, … ← the table that the call numbered a makes
    CallTable,
    /// columns to, to + 1, … ← the grid numbered a
    Grid,
}

/// No column.
pub(crate) const NO_COLUMN: u32 = u32::MAX;

/// One step of the program.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Step {
    /// What to do.
    pub operation: Operation,
    /// The slot written.
    pub to: u32,
    /// The first operand.
    pub a: u32,
    /// The second operand.
    pub b: u32,
}

/// An argument of a call.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Operand {
    /// A number in a slot.
    Slot(u32),
    /// A text, whose number is in a slot.
    Text(u32),
    /// A column as a whole.
    Column(u32),
    /// Values that change with time: the columns of their hours and of themselves.
    Schedule(ScheduleForm, u32, u32),
}

/// A call of a function, with where its arguments stand.
#[derive(Clone, Debug)]
pub(crate) struct CallSite {
    /// The function.
    pub function: &'static Function,
    /// Its arguments in order.
    pub arguments: Vec<Operand>,
    /// Where each argument stands in the text.
    pub spans: Vec<Span>,
    /// What each argument is.
    pub kinds: Vec<Kind>,
    /// How many first rows of a column are no rows, since nothing came before them.
    pub late: u32,
    /// For a line through readings: what the column along and the one up were read from.
    pub readings: [Option<ReadFrom>; 2],
}

/// What a column was read from, through conversions, constants added and rows left out.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct ReadFrom {
    /// A table's column, or a cell that holds one.
    pub of: ReadOf,
    /// What its readings were multiplied by since.
    pub scale: f64,
}

/// A table's column, by its slot, or the cell that holds a column.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum ReadOf {
    /// By its slot.
    Column(u32),
    /// By its number.
    Cell(u32),
}

/// A loop over the rows of columns.
#[derive(Clone, Debug)]
pub(crate) struct RowLoop {
    /// The columns, which must be of one length, with where they stand.
    pub columns: Vec<(u32, Span)>,
    /// The first operation of the body.
    pub start: u32,
    /// The operation behind the body.
    pub end: u32,
    /// The slot that holds the row's result.
    pub result: u32,
    /// Whether rows may be left out.
    pub filter: bool,
    /// How many first rows are no rows.
    pub late: u32,
}

/// An entry over the values of others.
#[derive(Clone, Debug)]
pub(crate) struct GridSite {
    /// The cell of the table.
    pub cell: u32,
    /// The slot of what is looked at.
    pub of: u32,
    /// The slots of what is varied, each with the column of its values.
    pub over: Vec<(u32, u32)>,
    /// The cells between the two, in order.
    pub cells: Vec<u32>,
    /// All that what is looked at rests on, and itself.
    pub watched: BTreeSet<u32>,
}

/// Where the steps and the value of a cell are.
#[derive(Clone, Copy, Debug)]
pub struct CellCode {
    /// Its first step.
    pub start: u32,
    /// The step behind its last.
    pub end: u32,
    /// Its slot, among the columns if it is one.
    pub slot: u32,
    /// Whether it holds a column.
    pub column: bool,
    /// How many columns: more than one for a table.
    pub width: u16,
}

impl CellCode {
    /// Its columns.
    pub fn columns(self) -> std::ops::Range<u32> {
        self.slot..self.slot.saturating_add(u32::from(self.width))
    }
}

/// Without steps, and without a slot.
impl Default for CellCode {
    fn default() -> CellCode {
        CellCode {
            start: 0,
            end: 0,
            slot: u32::MAX,
            column: false,
            width: 1,
        }
    }
}

/// The program of a worksheet.
#[derive(Clone, Debug, Default)]
pub(crate) struct Program {
    /// All steps.
    pub steps: Vec<Step>,
    /// Where each step comes from, in its item.
    pub spans: Vec<Span>,
    /// The calls.
    pub calls: Vec<CallSite>,
    /// The loops.
    pub loops: Vec<RowLoop>,
    /// The grids.
    pub grids: Vec<GridSite>,
    /// The conversions.
    pub conversions: Vec<Conversion>,
    /// The code of each cell.
    pub cells: Vec<CellCode>,
    /// What each cell that holds a column was read from.
    pub readings: Vec<Option<ReadFrom>>,
    /// How many first rows of a column are no rows, by its slot; of others none are.
    pub late: BTreeMap<u32, u32>,
    /// How many slots there are, registers first.
    pub slots: u32,
    /// How many column slots there are, tables' columns first.
    pub columns: u32,
    /// Constants to be put into slots before anything runs.
    pub constants: Vec<(u32, Number)>,
}

/// A column may be read from one that was read from another, so many times.
const MOST_READ: usize = 100;

impl Program {
    /// The steps from one up to another.
    pub(super) fn stretch(&self, start: u32, end: u32) -> &[Step] {
        self.steps.get(start as usize..end as usize).unwrap_or(&[])
    }

    /// The steps of a cell.
    pub(super) fn steps_of(&self, code: CellCode) -> &[Step] {
        self.stretch(code.start, code.end)
    }

    /// The steps of a cell by its number; none where there is no such cell.
    pub(super) fn steps_of_cell(&self, cell: u32) -> &[Step] {
        self.cells.get(cell as usize).map_or(&[], |code| self.steps_of(*code))
    }

    /// The grid that a cell is.
    pub(crate) fn grid_of(&self, cell: u32) -> Option<&GridSite> {
        self.grids.iter().find(|grid| grid.cell == cell)
    }

    /// How many first rows of a column are no rows, since `previous` had nothing before them.
    pub(crate) fn late(&self, slot: u32) -> u32 {
        self.late.get(&slot).copied().unwrap_or(0)
    }

    /// The table's column that readings were written in, and what they were multiplied by since.
    pub(crate) fn written_in(&self, readings: Option<ReadFrom>) -> Option<(u32, f64)> {
        let mut next = readings?;
        for _ in 0..MOST_READ {
            next = match next.of {
                ReadOf::Column(slot) => return Some((slot, next.scale)),
                ReadOf::Cell(cell) => {
                    let before = (*self.readings.get(cell as usize)?)?;
                    ReadFrom {
                        of: before.of,
                        scale: before.scale * next.scale,
                    }
                }
            };
        }
        None
    }
}

/// How many slots at the start serve as registers while a cell is computed.
pub(crate) const REGISTERS: u32 = 1024;
/// How many columns, behind the tables' own, serve so.
pub(crate) const COLUMN_REGISTERS: u32 = 256;

/// Where a missing row goes on that goes on nowhere: before the first step there is a loop.
pub(super) const NO_STEP: u32 = 0;
