//! Lowering: from checked expressions to steps of the program.
//!
//! A tree whose value is one number becomes steps over registers. A tree that
//! works row by row becomes one loop; what isn't row by row inside it (a
//! reduction, a filtered column) is computed before the loop, or inside it where
//! only some rows may need it. Start reading at [`Lowering::cell`].

use std::collections::BTreeSet;

use crate::number::Number;
use crate::text::Span;
use crate::trade::{Body, Built, Fit, Shape};
use crate::unit::{Conversion, Kind};

use super::check_made::MadeCall;

use super::program::{
    COLUMN_REGISTERS, CallSite, CellCode, GridSite, NO_COLUMN, NO_STEP, Operand, Operation, Program, REGISTERS,
    ReadFrom, ReadOf, RowLoop, Step,
};
use super::typed::{Arithmetic, Grid, Node, Typed, Worked};

mod leaves;

use leaves::{Leaves, ReadyLeaf, address};

/// The expression needs more registers or steps than there are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct TooMuch;

/// How many constants are looked through for one of the same value.
const RECENT_CONSTANTS: usize = 16;

/// The cells behind what a grid looks at: those that change with what is varied, in order, and all.
#[derive(Default)]
pub(crate) struct Beside {
    /// Those that change with what is varied.
    pub between: Vec<u32>,
    /// All, and what is looked at.
    pub watched: BTreeSet<u32>,
}

/// Puts the steps of one cell at the end of a program.
pub(crate) struct Lowering<'a> {
    program: &'a mut Program,
    next: u32,
    next_column: u32,
    column_base: u32,
    /// The first constant of this cell among the program's.
    own_constants: usize,
    /// The shared values so far, by their numbers, and the slots or columns they are in.
    shared: Vec<(u32, u32)>,
    ready: Vec<(usize, ReadyLeaf)>,
    full: bool,
}

impl<'a> Lowering<'a> {
    /// For a program whose tables have `table_columns` columns.
    pub(crate) fn new(program: &'a mut Program, table_columns: u32) -> Self {
        Lowering {
            own_constants: program.constants.len(),
            program,
            next: 0,
            next_column: table_columns,
            column_base: table_columns,
            shared: Vec::new(),
            ready: Vec::new(),
            full: false,
        }
    }

    /// Lowers a cell's expression into its slot.
    pub(crate) fn cell(mut self, cell: usize, value: &Typed) -> Result<(), TooMuch> {
        let slot = self.program.cells.get(cell).map_or(0, |code| code.slot);
        let start = self.here();
        if value.column {
            let from = self.column(value);
            self.retarget_column(from, slot, value.span);
        } else {
            // a constant is copied too: a trial may take the place of the value, and be let go
            let from = self.scalar(value);
            self.retarget(start, from, slot, value.span);
        }
        let end = self.here();
        if let Some(code) = self.program.cells.get_mut(cell) {
            *code = CellCode {
                start,
                end,
                slot,
                column: value.column,
                width: 1,
            };
        }
        self.note_readings(cell, value);
        if self.full { Err(TooMuch) } else { Ok(()) }
    }

    fn note_readings(&mut self, cell: usize, value: &Typed) {
        let readings = &mut self.program.readings;
        readings.resize(readings.len().max(cell + 1), None);
        if let Some(place) = readings.get_mut(cell) {
            *place = if value.column { read_from(value) } else { None };
        }
    }

    /// Lowers the call that makes a table into the columns from `first` on.
    pub(crate) fn table(
        mut self,
        cell: usize,
        made: &MadeCall,
        (first, width): (u32, u16),
        beside: Beside,
    ) -> Result<(), TooMuch> {
        let start = self.here();
        match &made.worked {
            None => {
                let site = self.call_site(made.function, &made.arguments);
                self.step(Operation::CallTable, first, site, 0, made.span);
            }
            Some(Worked::Columns(columns)) => {
                for (slot, column) in (first..).zip(columns) {
                    let from = self.column(column);
                    self.retarget_column(from, slot, made.span);
                }
            }
            Some(Worked::Grid(grid)) => self.grid(cell, grid, beside, (first, made.span)),
        }
        let end = self.here();
        if let Some(code) = self.program.cells.get_mut(cell) {
            *code = CellCode {
                start,
                end,
                slot: first,
                column: true,
                width,
            };
        }
        if self.full { Err(TooMuch) } else { Ok(()) }
    }

    fn grid(&mut self, cell: usize, grid: &Grid, beside: Beside, (first, span): (u32, Span)) {
        let over = grid.over.iter();
        let over = over.map(|(input, column)| (self.cell_slot(input.0), self.column(column)));
        let site = GridSite {
            cell: u32::try_from(cell).unwrap_or(u32::MAX),
            over: over.collect(),
            of: self.cell_slot(grid.of.0),
            cells: beside.between,
            watched: beside.watched,
        };
        self.program.grids.push(site);
        let number = u32::try_from(self.program.grids.len() - 1).unwrap_or(u32::MAX);
        self.step(Operation::Grid, first, number, 0, span);
    }

    /// Lets the last step write straight into the cell's slot where it can.
    fn retarget(&mut self, start: u32, from: u32, slot: u32, span: Span) {
        let here = self.here();
        if here > start
            && let Some(last) = self.program.steps.last_mut()
            && last.to == from
            && from < REGISTERS
            && is_plain(last.operation)
        {
            last.to = slot;
            return;
        }
        self.step(Operation::Copy, slot, from, 0, span);
    }

    fn set_late(&mut self, column: u32, rows: u32) {
        match rows {
            0 => self.program.late.remove(&column),
            rows => self.program.late.insert(column, rows),
        };
    }

    fn retarget_column(&mut self, from: u32, slot: u32, span: Span) {
        self.set_late(slot, self.program.late(from));
        self.step(Operation::CopyColumn, slot, from, 0, span);
    }

    fn here(&self) -> u32 {
        u32::try_from(self.program.steps.len()).unwrap_or(u32::MAX)
    }

    fn step(&mut self, operation: Operation, to: u32, a: u32, b: u32, span: Span) -> usize {
        self.program.steps.push(Step { operation, to, a, b });
        self.program.spans.push(span);
        self.program.steps.len() - 1
    }

    fn register(&mut self) -> u32 {
        if self.next + 1 >= REGISTERS {
            self.full = true;
            return self.next;
        }
        self.next += 1;
        self.next - 1
    }

    fn column_register(&mut self) -> u32 {
        if self.next_column + 1 >= self.column_base + COLUMN_REGISTERS {
            self.full = true;
            return self.next_column;
        }
        self.next_column += 1;
        self.next_column - 1
    }

    fn constant(&mut self, value: Number) -> u32 {
        let own = self.program.constants.get(self.own_constants..).unwrap_or(&[]);
        let recent = own.iter().rev().take(RECENT_CONSTANTS);
        if let Some((slot, _)) = recent.into_iter().find(|(_, known)| *known == value) {
            return *slot;
        }
        let slot = self.program.slots;
        self.program.slots += 1;
        self.program.constants.push((slot, value));
        slot
    }

    fn shared(&self, number: u32) -> u32 {
        match self.shared.binary_search_by_key(&number, |(known, _)| *known) {
            Ok(place) => self.shared.get(place).map_or(0, |(_, slot)| *slot),
            Err(_) => 0,
        }
    }

    fn share(&mut self, number: u32, slot: u32) {
        match self.shared.binary_search_by_key(&number, |(known, _)| *known) {
            Ok(place) => {
                if let Some(known) = self.shared.get_mut(place) {
                    known.1 = slot;
                }
            }
            Err(place) => self.shared.insert(place, (number, slot)),
        }
    }

    fn cell_slot(&self, cell: u32) -> u32 {
        self.program.cells.get(cell as usize).map_or(0, |code| code.slot)
    }

    /// Steps that leave one number in the slot given back.
    fn scalar(&mut self, value: &Typed) -> u32 {
        let span = value.span;
        match &value.node {
            Node::Constant(number) => self.constant(*number),
            Node::Cell(cell) => self.cell_slot(cell.0),
            Node::Shared(number) => self.shared(*number),
            Node::Column(_) => 0,
            Node::Convert(inner, conversion) => self.convert(inner, conversion, span),
            Node::Arithmetic(arithmetic, place, sides) => self.two(operation(*arithmetic), &sides.0, &sides.1, *place),
            Node::Negate(inner) => self.one(Operation::Negate, inner, span),
            Node::Not(inner) => self.one(Operation::Not, inner, span),
            Node::Compare(operator, sides) => self.two(Operation::Compare(*operator), &sides.0, &sides.1, span),
            Node::And(sides) => self.lazy(sides, Operation::JumpUnless, span),
            Node::Or(sides) => self.lazy(sides, Operation::JumpIf, span),
            Node::If(parts) => self.choice(parts, span),
            // only an argument, which the call site takes
            Node::Where(_) | Node::Schedule(..) => 0,
            Node::Call(function, arguments) => match (function.body, arguments.as_slice()) {
                (Body::Built(Built::Min), [a, b]) => self.two(Operation::Least, a, b, span),
                (Body::Built(Built::Max), [a, b]) => self.two(Operation::Greatest, a, b, span),
                _ => self.scalar_call(function, arguments, span),
            },
            Node::OneOf(text, column) => self.leaving(span, |lowering| {
                let column = column.as_ref().map_or(NO_COLUMN, |column| lowering.column(column));
                (Operation::OneOf, lowering.operand(text), column)
            }),
            Node::Let(shared, body) => {
                self.bind(shared);
                self.operand(body)
            }
        }
    }

    /// A value as an operand; in a loop, the row of a column or what was made ready before.
    fn operand(&mut self, value: &Typed) -> u32 {
        match self.leaf(value) {
            Some(ReadyLeaf::Column(column)) => return self.row(column, value.span),
            Some(ReadyLeaf::Slot(slot)) => return slot,
            None => {}
        }
        if value.column && !self.by_row(value) {
            let column = self.column(value);
            return self.row(column, value.span);
        }
        self.scalar(value)
    }

    fn leaf(&self, value: &Typed) -> Option<ReadyLeaf> {
        let is_leaf = if value.column {
            !self.by_row(value)
        } else {
            is_reduction(value)
        };
        if !is_leaf {
            return None;
        }
        self.ready
            .iter()
            .find(|(node, _)| *node == address(value))
            .map(|(_, leaf)| *leaf)
    }

    fn row(&mut self, column: u32, span: Span) -> u32 {
        let to = self.register();
        self.step(Operation::Row, to, column, NO_STEP, span);
        to
    }

    /// A register with what a step gives; the registers that its operands took are free again.
    fn leaving(&mut self, span: Span, operands: impl FnOnce(&mut Self) -> (Operation, u32, u32)) -> u32 {
        let kept = self.next;
        let (operation, a, b) = operands(self);
        self.next = kept;
        let to = self.register();
        self.step(operation, to, a, b, span);
        to
    }

    fn two(&mut self, operation: Operation, a: &Typed, b: &Typed, span: Span) -> u32 {
        self.leaving(span, |lowering| (operation, lowering.operand(a), lowering.operand(b)))
    }

    fn scalar_call(&mut self, function: &'static crate::trade::Function, arguments: &[Typed], span: Span) -> u32 {
        self.leaving(span, |lowering| {
            (Operation::Call, lowering.call_site(function, arguments), 0)
        })
    }

    fn one(&mut self, operation: Operation, inner: &Typed, span: Span) -> u32 {
        self.leaving(span, |lowering| (operation, lowering.operand(inner), 0))
    }

    fn convert(&mut self, inner: &Typed, conversion: &Conversion, span: Span) -> u32 {
        self.leaving(span, |lowering| {
            let a = lowering.operand(inner);
            let (numerator, denominator) = (conversion.ratio.numerator, conversion.ratio.denominator);
            let is_ratio = conversion.offset.is_zero();
            if is_ratio && denominator == Number::ONE {
                (Operation::Multiply, a, lowering.constant(numerator))
            } else if is_ratio && numerator == Number::ONE {
                (Operation::Divide, a, lowering.constant(denominator))
            } else {
                let conversions = &mut lowering.program.conversions;
                conversions.push(*conversion);
                (
                    Operation::Convert,
                    a,
                    u32::try_from(conversions.len() - 1).unwrap_or(u32::MAX),
                )
            }
        })
    }

    /// `and`, `or`: the right side only where the left doesn't decide.
    fn lazy(&mut self, sides: &(Typed, Typed), jump: Operation, span: Span) -> u32 {
        if sides.0.column {
            return self.lazy_row(sides, jump, span);
        }
        let to = self.register();
        let kept = self.next;
        let a = self.operand(&sides.0);
        self.step(Operation::Copy, to, a, 0, span);
        let over = self.step(jump, 0, to, 0, span);
        self.next = kept;
        let b = self.operand(&sides.1);
        self.step(Operation::Copy, to, b, 0, span);
        self.next = kept;
        self.land(over);
        to
    }

    /// `and`, `or` in a row: where the left side is missing, the right one may decide yet.
    fn lazy_row(&mut self, sides: &(Typed, Typed), jump: Operation, span: Span) -> u32 {
        let to = self.register();
        let missing = self.register();
        let kept = self.next;
        let (no, yes) = (self.constant(Number::ZERO), self.constant(Number::ONE));
        self.step(Operation::Copy, missing, no, 0, span);
        let left = self.here();
        let a = self.operand(&sides.0);
        self.step(Operation::Copy, to, a, 0, span);
        let over = self.step(jump, 0, to, 0, span);
        let past = self.step(Operation::Jump, 0, 0, 0, span);
        self.catch_missing(left);
        self.step(Operation::Copy, missing, yes, 0, span);
        self.land(past);
        self.next = kept;
        let b = self.operand(&sides.1);
        self.step(Operation::Copy, to, b, 0, span);
        let known = self.step(Operation::JumpUnless, 0, missing, 0, span);
        let decided = self.step(jump, 0, to, 0, span);
        self.step(Operation::Missing, 0, 0, NO_STEP, span);
        self.next = kept;
        [over, known, decided].into_iter().for_each(|jump| self.land(jump));
        to
    }

    /// Lets the rows that are missing from the step `from` on go on here; not those of a
    /// loop in between.
    fn catch_missing(&mut self, from: u32) {
        let here = self.here();
        let mut at = from;
        while let Some(step) = self.program.steps.get_mut(at as usize) {
            at += 1;
            match step.operation {
                Operation::Loop => at = self.program.loops.get(step.a as usize).map_or(at, |inner| inner.end),
                Operation::Row | Operation::Missing if step.b == NO_STEP => step.b = here,
                _ => {}
            }
        }
    }

    fn choice(&mut self, parts: &(Typed, Typed, Typed), span: Span) -> u32 {
        let to = self.register();
        let kept = self.next;
        let condition = self.operand(&parts.0);
        let to_second = self.step(Operation::JumpUnless, 0, condition, 0, span);
        self.next = kept;
        let first = self.operand(&parts.1);
        self.step(Operation::Copy, to, first, 0, span);
        let over = self.step(Operation::Jump, 0, 0, 0, span);
        self.land(to_second);
        self.next = kept;
        let second = self.operand(&parts.2);
        self.step(Operation::Copy, to, second, 0, span);
        self.land(over);
        self.next = kept;
        to
    }

    /// Lets a jump go on here.
    fn land(&mut self, jump: usize) {
        let here = self.here();
        if let Some(step) = self.program.steps.get_mut(jump) {
            match step.operation {
                Operation::Jump => step.a = here,
                _ => step.b = here,
            }
        }
    }

    fn bind(&mut self, shared: &[(u32, Typed)]) {
        for (number, value) in shared {
            if value.column {
                let column = self.column(value);
                self.share(*number, column);
            } else {
                let slot = self.operand(value);
                self.share(*number, slot);
            }
        }
    }

    /// A column that is taken whole; in a loop, what was made ready before.
    fn whole(&mut self, value: &Typed) -> u32 {
        match self.leaf(value) {
            Some(ReadyLeaf::Column(column)) => column,
            _ => self.column(value),
        }
    }

    fn call_site(&mut self, function: &'static crate::trade::Function, arguments: &[Typed]) -> u32 {
        let mut operands = Vec::with_capacity(arguments.len());
        for (index, argument) in arguments.iter().enumerate() {
            let whole = takes_column(function, index, arguments);
            if let Node::Schedule(form, sides) = &argument.node {
                let (hours, values) = (self.column(&sides.0), self.column(&sides.1));
                operands.push(Operand::Schedule(*form, hours, values));
                continue;
            }
            operands.push(match argument.kind {
                _ if argument.column && whole => Operand::Column(self.whole(argument)),
                // what calls a row is compared by its number
                Kind::Text if !calls_row(function) => Operand::Text(self.operand(argument)),
                _ => Operand::Slot(self.operand(argument)),
            });
        }
        let spans = arguments.iter().map(|argument| argument.span).collect();
        let late = match operands.first() {
            Some(Operand::Column(column)) => self.program.late(*column),
            _ => 0,
        };
        self.program.calls.push(CallSite {
            late,
            function,
            arguments: operands,
            spans,
            kinds: arguments.iter().map(|argument| argument.kind).collect(),
            readings: match function.body {
                Body::Fit(fit) if fit != Fit::Average => [0, 1].map(|index| arguments.get(index).and_then(read_from)),
                _ => [None; 2],
            },
        });
        u32::try_from(self.program.calls.len() - 1).unwrap_or(u32::MAX)
    }

    // ---- columns ----

    /// Steps that leave a column in the column slot given back.
    fn column(&mut self, value: &Typed) -> u32 {
        match &value.node {
            Node::Column(column) => column.0,
            Node::Cell(cell) => self.cell_slot(cell.0),
            Node::Shared(number) => self.shared(*number),
            Node::Let(shared, body) => {
                self.bind(shared);
                self.column(body)
            }
            Node::Where(parts) => self.row_loop(&parts.0, Some(&parts.1), value.span),
            Node::Call(function, arguments) if !self.by_row(value) => {
                let kept = self.next;
                let site = self.call_site(function, arguments);
                self.next = kept;
                let to = self.column_register();
                let before = self.program.calls.get(site as usize).map_or(0, |site| site.late);
                let later = matches!(function.body, Body::Built(Built::Previous));
                self.set_late(to, before + u32::from(later));
                self.step(Operation::CallColumn, to, site, 0, value.span);
                to
            }
            _ => self.row_loop(value, None, value.span),
        }
    }

    /// Whether the node itself is worked row by row.
    fn by_row(&self, value: &Typed) -> bool {
        match &value.node {
            Node::Column(_)
            | Node::Cell(_)
            | Node::Shared(_)
            | Node::Where(_)
            | Node::Let(..)
            | Node::Schedule(..)
            | Node::Constant(_) => false,
            Node::Call(function, arguments) => {
                value.column
                    && arguments
                        .iter()
                        .enumerate()
                        .any(|(index, argument)| argument.column && !takes_column(function, index, arguments))
            }
            _ => value.column,
        }
    }

    fn row_loop(&mut self, value: &Typed, condition: Option<&Typed>, span: Span) -> u32 {
        let kept = self.next;
        let mut leaves = Leaves {
            lowering: self,
            columns: Vec::new(),
            ready: Vec::new(),
        };
        leaves.gather(value, false);
        if let Some(condition) = condition {
            leaves.gather(condition, false);
        }
        let Leaves { columns, ready, .. } = leaves;
        let to = self.column_register();
        let number = u32::try_from(self.program.loops.len()).unwrap_or(u32::MAX);
        let late = columns
            .iter()
            .map(|(column, _)| self.program.late(*column))
            .max()
            .unwrap_or(0);
        self.set_late(to, if condition.is_some() { 0 } else { late });
        self.program.loops.push(RowLoop {
            late,
            columns,
            start: 0,
            end: 0,
            result: 0,
            filter: condition.is_some(),
        });
        self.step(Operation::Loop, to, number, 0, span);
        let start = self.here();
        let outer = std::mem::replace(&mut self.ready, ready);
        if let Some(condition) = condition {
            let a = self.operand(condition);
            self.step(Operation::Keep, 0, a, 0, condition.span);
        }
        let result = self.operand(value);
        self.ready = outer;
        let end = self.here();
        if let Some(row_loop) = self.program.loops.get_mut(number as usize) {
            (row_loop.start, row_loop.end, row_loop.result) = (start, end, result);
        }
        self.next = kept;
        to
    }
}

fn is_plain(operation: Operation) -> bool {
    !matches!(
        operation,
        Operation::Jump
            | Operation::JumpIf
            | Operation::JumpUnless
            | Operation::Loop
            | Operation::CallColumn
            | Operation::CopyColumn
            | Operation::CallTable
            | Operation::Grid
            | Operation::Keep
            | Operation::Missing
            | Operation::Copy
    )
}

/// A single value worked out of columns: worth computing once before a loop.
fn is_reduction(value: &Typed) -> bool {
    match &value.node {
        Node::Call(_, arguments) => arguments
            .iter()
            .any(|argument| argument.column || is_reduction(argument)),
        Node::Convert(inner, _) => is_reduction(inner),
        Node::Let(..) | Node::OneOf(..) => true,
        _ => false,
    }
}

pub(super) fn takes_column(function: &crate::trade::Function, index: usize, arguments: &[Typed]) -> bool {
    let shape = function
        .parameters
        .get(index)
        .or(function.parameters.last())
        .map(|parameter| parameter.shape);
    match (shape, function.body) {
        (_, Body::Built(Built::Interpolate | Built::CellOf | Built::CellOnTheWall)) => index < 2,
        (_, Body::Built(Built::CellInRow)) => index < 1,
        (_, Body::Built(Built::First | Built::Last | Built::Count | Built::RunningTotal | Built::Previous)) => true,
        (Some(Shape::Column), _) => true,
        (Some(Shape::Several), _) => arguments.len() == 1,
        _ => false,
    }
}

fn calls_row(function: &crate::trade::Function) -> bool {
    matches!(function.body, Body::Built(Built::CellOf | Built::CellOnTheWall))
}

fn operation(arithmetic: Arithmetic) -> Operation {
    match arithmetic {
        Arithmetic::Add => Operation::Add,
        Arithmetic::Subtract => Operation::Subtract,
        Arithmetic::Multiply => Operation::Multiply,
        Arithmetic::Divide => Operation::Divide,
        Arithmetic::Power => Operation::Power,
        Arithmetic::SubtractTime => Operation::SubtractTime,
        Arithmetic::Ascending => Operation::Ascending,
        Arithmetic::Together { on_the_clock } => Operation::Together { on_the_clock },
    }
}

/// What a column was read from, through conversions, constants added and rows left out.
fn read_from(value: &Typed) -> Option<ReadFrom> {
    match &value.node {
        Node::Column(column) => Some(ReadFrom {
            of: ReadOf::Column(column.0),
            scale: 1.0,
        }),
        Node::Cell(cell) if value.column => Some(ReadFrom {
            of: ReadOf::Cell(cell.0),
            scale: 1.0,
        }),
        Node::Convert(inner, conversion) => read_from(inner).map(|read| ReadFrom {
            scale: read.scale * conversion.ratio.to_f64().abs(),
            ..read
        }),
        Node::Arithmetic(Arithmetic::Add | Arithmetic::Subtract, _, sides) => match (sides.0.column, sides.1.column) {
            (true, false) => read_from(&sides.0),
            (false, true) => read_from(&sides.1),
            _ => None,
        },
        Node::Where(parts) => read_from(&parts.0),
        Node::Negate(inner) => read_from(inner),
        _ => None,
    }
}
