//! Checked expressions: every node with its kind, conversions put in.
//!
//! The checker makes these from the tree, the lowering turns them into
//! operations; they don't outlive that.

use crate::number::Number;
use crate::syntax::tree::ComparisonOperator;
use crate::text::Span;
use crate::trade::{Function, ScheduleForm};
use crate::unit::{Conversion, Kind};

use super::names::{CellId, ColumnId};

/// A checked expression.
#[derive(Clone, Debug)]
pub struct Typed {
    /// What kind its value is, and in which unit.
    pub kind: Kind,
    /// Whether it is a column.
    pub column: bool,
    /// Where it stands in its item.
    pub span: Span,
    /// What it is.
    pub node: Node,
}

/// Where an operation stands in its item.
#[derive(Clone, Copy)]
pub(super) struct At {
    /// Its operator.
    pub(super) place: Span,
    /// All of it.
    pub(super) span: Span,
}

/// Arithmetic on two bare numbers.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Arithmetic {
    /// `a + b`
    Add,
    /// `a - b`
    Subtract,
    /// `a * b`
    Multiply,
    /// `a / b`
    Divide,
    /// `a ^ b`
    Power,
    /// one clock time minus another, not later one
    SubtractTime,
    /// true, where one clock time isn't later than another
    Ascending,
    /// a time, where it is the same as another, or shows the same on the clock
    Together {
        /// Whether the clock is enough.
        on_the_clock: bool,
    },
}

/// What a checked expression is.
#[derive(Clone, Debug)]
pub enum Node {
    /// A number, a text's number, or a truth value.
    Constant(Number),
    /// The value of an entry.
    Cell(CellId),
    /// A column of a table.
    Column(ColumnId),
    /// A value computed once and used in several places (a rule's argument).
    Shared(u32),
    /// The value converted to another unit.
    Convert(Box<Typed>, Conversion),
    /// Arithmetic; the span is the operator's.
    Arithmetic(Arithmetic, Span, Box<(Typed, Typed)>),
    /// `-x`
    Negate(Box<Typed>),
    /// `not x`
    Not(Box<Typed>),
    /// `a < b`
    Compare(ComparisonOperator, Box<(Typed, Typed)>),
    /// `a and b`
    And(Box<(Typed, Typed)>),
    /// `a or b`
    Or(Box<(Typed, Typed)>),
    /// `if a then b else c`
    If(Box<(Typed, Typed, Typed)>),
    /// `a where b`
    Where(Box<(Typed, Typed)>),
    /// A function with one argument for each parameter (or more, where several are taken).
    Call(&'static Function, Vec<Typed>),
    /// A text that a column has, or that is the name of a day.
    OneOf(Box<Typed>, Option<Box<Typed>>),
    /// Values that change with time: their hours, and the values; only as an argument.
    Schedule(ScheduleForm, Box<(Typed, Typed)>),
    /// A rule put in place: the arguments, shared from the number given on, then the body.
    Let(Vec<(u32, Typed)>, Box<Typed>),
}

impl std::fmt::Debug for Function {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

impl Typed {
    pub(super) fn new(kind: Kind, column: bool, span: Span, node: Node) -> Typed {
        Typed {
            kind,
            column,
            span,
            node,
        }
    }

    /// A constant.
    pub fn constant(value: Number, kind: Kind, span: Span) -> Typed {
        Typed::new(kind, false, span, Node::Constant(value))
    }

    /// The same value as another kind, with nothing to compute.
    pub(crate) fn with_kind(mut self, kind: Kind) -> Typed {
        self.kind = kind;
        self
    }

    /// Converted to another unit; a constant is converted on the spot where that is exact.
    pub fn converted(self, conversion: Conversion, kind: Kind) -> Typed {
        if conversion.is_identity() {
            return self.with_kind(kind);
        }
        if let Node::Constant(value) = self.node
            && let Ok(value) = conversion.apply(value)
        {
            return Typed {
                node: Node::Constant(value),
                kind,
                ..self
            };
        }
        let (column, span) = (self.column, self.span);
        Typed::new(kind, column, span, Node::Convert(Box::new(self), conversion))
    }
}

/// What a table is worked out from.
pub(crate) enum Worked {
    /// One expression for each of its columns.
    Columns(Vec<Typed>),
    /// An entry over the values of others.
    Grid(Grid),
}

/// `grid(runtime, load: loads.watts, air: nights.low)`
pub(crate) struct Grid {
    /// What is looked at.
    pub of: CellId,
    /// What is varied, each over a column.
    pub over: Vec<(CellId, Typed)>,
    /// The kinds of its columns.
    pub kinds: Vec<Kind>,
}
