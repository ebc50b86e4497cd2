//! What expectations set a value against.
//!
//! `expect margin >= 100 %` sets `margin` against 100 %. A chart of it shows
//! that side as a line. Start reading at [`bounds`].

use crate::number::Number;
use crate::sheet::order::each_part;
use crate::sheet::{Reading, Sheet};
use crate::syntax::tree::{Expression, ExpressionNode, Node};
use crate::unit::{Beginning, Kind, Unit, conversion};

use super::vary::{Input, comparisons};

/// The other side of a comparison with a value.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bound<'a> {
    /// The item of the expectation.
    pub item: u32,
    /// Its text, in which the spans of `other` count.
    pub text: &'a str,
    /// What the value is set against.
    pub other: &'a Expression,
}

/// The other side of each comparison of an expectation, one side of which is this entry or
/// column alone.
pub(crate) fn bounds<'a>(sheet: &'a Sheet, value: &Expression) -> Vec<Bound<'a>> {
    let mut found = Vec::new();
    for (index, item) in sheet.tree().items.iter().enumerate() {
        let (Node::Expect(expect), Ok(item)) = (&item.node, u32::try_from(index)) else {
            continue;
        };
        let text = sheet.tree().text_of(index);
        let Some(condition) = &expect.condition else { continue };
        comparisons(condition, &mut |left, right| {
            let other = match (same(left, value), same(right, value)) {
                (true, false) => right,
                (false, true) => left,
                _ => return,
            };
            found.push(Bound { item, text, other });
        });
    }
    found
}

/// Whether two expressions are the same name or the same column.
pub(super) fn same(one: &Expression, other: &Expression) -> bool {
    match (&one.node, &other.node) {
        (ExpressionNode::Name(one), ExpressionNode::Name(other)) => one == other,
        (ExpressionNode::Column(one), ExpressionNode::Column(other)) => {
            one.0.text == other.0.text && one.1.text == other.1.text
        }
        _ => false,
    }
}

/// The single number that a literal or an entry gives as things stand, in a kind; `None`
/// where it has none, or is something else.
pub(crate) fn constant(sheet: &Sheet, expression: &Expression, wanted: Kind) -> Option<Number> {
    let (kind, value) = match &expression.node {
        ExpressionNode::Number(value) => (Kind::Quantity(Unit::ONE), *value),
        ExpressionNode::Quantity { value, unit, .. } => (Kind::Quantity(*unit), *value),
        ExpressionNode::TimeOfDay(value) => (Kind::TimeOfDay, *value),
        ExpressionNode::CountedTime(value) => (wanted, *value),
        ExpressionNode::Moment(value) => (Kind::Moment, *value),
        ExpressionNode::Name(name) => {
            let cell = sheet.cell(name)?;
            match (sheet.shape(cell), sheet.reading(cell)) {
                // where it was counted from
                (Some(_), Reading::Number(value)) if wanted == Kind::Counted(Beginning::Entry(cell.0)) => {
                    (wanted, value)
                }
                (Some(shape), Reading::Number(value)) => (shape.kind, value),
                _ => return None,
            }
        }
        _ => return None,
    };
    in_kind(kind, value, wanted)
}

/// A number of one kind as one of another, where the two can be compared.
pub(crate) fn in_kind(kind: Kind, value: Number, wanted: Kind) -> Option<Number> {
    let decibels = |kind: Kind| match kind {
        Kind::Level | Kind::Decibels => true,
        Kind::Quantity(unit) => Unit::parse("dB").is_ok_and(|decibel| decibel == unit),
        _ => false,
    };
    match (kind, wanted) {
        _ if decibels(kind) && decibels(wanted) => Some(value),
        (Kind::Quantity(from), Kind::Quantity(to)) => conversion(from, to)?.apply(value).ok(),
        (Kind::Text | Kind::Truth, _) => None,
        (kind, wanted) => kind.is_like(wanted).then_some(value),
    }
}

/// Whether an expression changes with an input.
pub(crate) fn rests_on(sheet: &Sheet, expression: &Expression, input: Input) -> bool {
    let mut found = false;
    each_part(expression, &mut |part| {
        let name = match &part.node {
            ExpressionNode::Name(name) => name,
            ExpressionNode::Column(names) => &names.0.text,
            _ => return,
        };
        let cell = sheet.names().entry_in(part).or(sheet.names().cell_of(name));
        found |= cell.is_some_and(|cell| Some(cell) == input.entry() || input.moves(sheet, cell));
    });
    found
}

/// Whether a side is by how much something misses. That isn't told beside the values
/// behind it: an exercise that leads an answer back would give it away.
pub(crate) fn is_miss(side: &Expression) -> bool {
    matches!(&side.node, ExpressionNode::Call(call) if &*call.name.text == "abs")
}
