//! What a loop over rows needs before its first row: columns, and values that are worked out once.
//!
//! Start reading at [`Leaves::gather`].

use crate::text::Span;

use super::super::typed::{Node, Typed};
use super::{Lowering, is_reduction, takes_column};

/// What a loop needs before its first row: the columns it reads, values computed once.
pub(super) struct Leaves<'b, 'a> {
    pub(super) lowering: &'b mut Lowering<'a>,
    pub(super) columns: Vec<(u32, Span)>,
    pub(super) ready: Vec<(usize, ReadyLeaf)>,
}

#[derive(Clone, Copy)]
pub(super) enum ReadyLeaf {
    Column(u32),
    Slot(u32),
}

impl Leaves<'_, '_> {
    /// A column that a call takes whole in each row: its own rows are none of the loop's.
    fn make_ready(&mut self, value: &Typed) {
        let column = self.lowering.column(value);
        self.ready.push((address(value), ReadyLeaf::Column(column)));
    }

    pub(super) fn gather(&mut self, value: &Typed, conditional: bool) {
        if value.column && !self.lowering.by_row(value) {
            let column = self.lowering.column(value);
            self.columns.push((column, value.span));
            self.ready.push((address(value), ReadyLeaf::Column(column)));
            return;
        }
        // a text is looked for once, in whichever row it is asked for
        let once = !conditional || matches!(value.node, Node::OneOf(..));
        if !value.column && is_reduction(value) && once {
            let slot = self.lowering.scalar(value);
            self.ready.push((address(value), ReadyLeaf::Slot(slot)));
            return;
        }
        match &value.node {
            Node::Convert(inner, _) | Node::Negate(inner) | Node::Not(inner) => self.gather(inner, conditional),
            Node::Arithmetic(_, _, sides) | Node::Compare(_, sides) => {
                self.gather(&sides.0, conditional);
                self.gather(&sides.1, conditional);
            }
            Node::And(sides) | Node::Or(sides) => {
                self.gather(&sides.0, conditional);
                self.gather(&sides.1, true);
            }
            Node::If(parts) => {
                self.gather(&parts.0, conditional);
                self.gather(&parts.1, true);
                self.gather(&parts.2, true);
            }
            Node::Call(function, arguments) if value.column => {
                for (index, argument) in arguments.iter().enumerate() {
                    match argument.column && takes_column(function, index, arguments) {
                        true => self.make_ready(argument),
                        false => self.gather(argument, conditional),
                    }
                }
            }
            _ => {}
        }
    }
}

/// Which node it is: trees stay where they are while they are lowered.
pub(super) fn address(value: &Typed) -> usize {
    std::ptr::from_ref(value).addr()
}
