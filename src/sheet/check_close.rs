//! A check that marks an answer: `net close to 12 lb within 0.1 lb`, with its slips.
//!
//! What it should be is never told, so nothing here ends up in a condition that is drawn or
//! explained. Start reading at [`Checker::closeness`].

use crate::problem::Code;
use crate::syntax::tree::{Closeness, ComparisonOperator, Expression};
use crate::text::Span;
use crate::trade::Built;
use crate::trade::registry::{function, name_of};
use crate::unit::{Kind, Unit, conversion};

use super::checker::{Checker, describe};
use super::typed::{Arithmetic, At, Node, Typed};

impl<'a> Checker<'a> {
    /// Whether the answer is as near as it has to be; slips and what is nearly right are checked too.
    pub(super) fn closeness(&mut self, close: &'a Closeness) -> Option<Typed> {
        let answer = self.single(&close.answer)?;
        let found = self.near(&answer, &close.wanted, &close.within);
        if let Some((nearly, _)) = &close.nearly {
            self.near(&answer, &close.wanted, nearly)?;
        }
        for slip in &close.slips {
            self.slip_fits(&answer, &slip.value)?;
            self.near(&answer, &slip.value, &close.within)?;
        }
        found
    }

    /// Reports a slip in another unit than the answer's: what a pupil gets by it is written there
    /// in the answer's, whatever it would measure.
    fn slip_fits(&mut self, answer: &Typed, slip: &'a Expression) -> Option<()> {
        let slip = self.single(slip)?;
        let (Kind::Quantity(found), Kind::Quantity(wanted)) = (slip.kind, answer.kind) else {
            return Some(());
        };
        if conversion(found, wanted).is_some() {
            return Some(());
        }
        let message = format!(
            "this slip is {}, and the answer is {}",
            describe(slip.kind),
            describe(answer.kind)
        );
        let help = format!("write the number that a pupil would get, with `{wanted}` behind it");
        let code = match found == Unit::ONE {
            true => Code::BareNumber,
            false => Code::UnitClash,
        };
        self.problem(code, message, slip.span, Some(help))
    }

    /// Whether an answer lies within a width of a value.
    fn near(&mut self, answer: &Typed, wanted: &'a Expression, width: &'a Expression) -> Option<Typed> {
        let wanted = self.single(wanted)?;
        let width = self.single(width)?;
        let span = wanted.span;
        let at = At { place: span, span };
        let width = match is_share(&width) && !is_share(answer) {
            true => {
                let size = size_of(wanted.clone())?;
                self.multiply(Arithmetic::Multiply, width, size, at)?
            }
            false => width,
        };
        let gap = self.subtract(answer.clone(), wanted, at)?;
        self.compared(ComparisonOperator::AtMost, size_of(gap)?, width, span)
    }

    fn single(&mut self, expression: &'a Expression) -> Option<Typed> {
        let value = self.expression(expression)?;
        if !value.column {
            return Some(value);
        }
        let message = "an answer is marked one value at a time, and this is a column".to_owned();
        let help = "name one cell, such as `log.gross of row 3`".to_owned();
        self.problem(Code::ColumnOrValue, message, expression.span, Some(help))
    }
}

/// Whether a value is given in `%`.
fn is_share(value: &Typed) -> bool {
    matches!(value.kind, Kind::Quantity(unit) if Unit::parse("%").is_ok_and(|share| share == unit))
}

/// A value without its sign.
fn size_of(value: Typed) -> Option<Typed> {
    let (kind, span): (Kind, Span) = (value.kind, value.span);
    let node = Node::Call(function(name_of(Built::Abs))?, vec![value]);
    Some(Typed::new(kind, false, span, node))
}
