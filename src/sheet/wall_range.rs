//! Ranges of hours on the wall: `22:00 <= clock(x) < 06:00` holds for no time at all.
//!
//! A clock time that lies between two others, in a chain of comparisons or in two that are
//! joined by `and`, is looked at: where both ends are written out the range is refused when
//! the worksheet is checked, else as soon as the ends are known. Start reading at
//! [`Checker::both`].

use crate::problem::Code;
use crate::syntax::tree::ComparisonOperator;
use crate::text::Span;
use crate::unit::Kind;

use super::checker::Checker;
use super::typed::{Arithmetic, Node, Typed};

/// So many comparisons before the last one are looked at for its other end.
const LOOKED_AT: usize = 8;

/// One end of a range, and the comparison that it stands in.
struct End<'a> {
    bound: &'a Typed,
    subject: &'a Typed,
    is_low: bool,
    span: Span,
}

impl Checker<'_> {
    /// `a and b`, which may be a range of hours.
    pub(super) fn both(&mut self, left: Typed, right: Typed, span: Span) -> Option<Typed> {
        let whole = self.joined(left, right, span, Node::And)?;
        self.in_one_day(whole)
    }

    /// A condition whose last comparison may end a range of hours: as it is, with the ends
    /// looked at when they are known, or refused.
    pub(super) fn in_one_day(&mut self, whole: Typed) -> Option<Typed> {
        let Some((low, high, span)) = range_of(&whole) else {
            return Some(whole);
        };
        if let (Node::Constant(first), Node::Constant(last)) = (&low.node, &high.node) {
            if first <= last {
                return Some(whole);
            }
            let mend = self.turned(&whole).map(|meant| (span, meant));
            let help = mend.as_ref().map(|(_, meant)| format!("write `{meant}`"));
            let message = "this range of hours ends before it begins, so no time lies in it".to_owned();
            return self.mendable(Code::TimeOrder, message, span, help, mend);
        }
        let guard = Typed::new(
            Kind::Truth,
            low.column || high.column,
            span,
            Node::Arithmetic(Arithmetic::Ascending, span, Box::new((low.clone(), high.clone()))),
        );
        let (column, span) = (whole.column, whole.span);
        Some(Typed::new(
            Kind::Truth,
            column,
            span,
            Node::And(Box::new((guard, whole))),
        ))
    }

    /// `(clock(x) >= 22:00 or clock(x) < 06:00)`
    fn turned(&self, whole: &Typed) -> Option<String> {
        let (one, other) = pair(whole)?;
        let (low, high) = if one.is_low { (one, other) } else { (other, one) };
        let side = |end: &End<'_>, signs: (&str, &str)| {
            let strict = matches!(
                operator(whole, end.span),
                Some(ComparisonOperator::Less | ComparisonOperator::Greater)
            );
            let sign = if strict { signs.0 } else { signs.1 };
            let (subject, bound) = (self.as_written(end.subject)?, self.as_written(end.bound)?);
            Some(format!("{subject} {sign} {bound}"))
        };
        Some(format!(
            "({} or {})",
            side(&low, (">", ">="))?,
            side(&high, ("<", "<="))?
        ))
    }
}

/// The ends of the range that a condition ends with, and where it stands.
fn range_of(whole: &Typed) -> Option<(&Typed, &Typed, Span)> {
    let (one, other) = pair(whole)?;
    let span = one.span.to(other.span);
    match one.is_low {
        true => Some((one.bound, other.bound, span)),
        false => Some((other.bound, one.bound, span)),
    }
}

/// The last comparison and the one before it that is the other end of its range.
fn pair(whole: &Typed) -> Option<(End<'_>, End<'_>)> {
    let Node::And(sides) = &whole.node else { return None };
    let last = last_comparison(&sides.1)?;
    let mut before = &sides.0;
    for _ in 0..LOOKED_AT {
        let comparison = last_comparison(before);
        let found = comparison.and_then(|first| ends(first, last));
        match (found, &before.node) {
            (Some(found), _) => return Some(found),
            (None, Node::And(sides)) => before = &sides.0,
            (None, _) => return None,
        }
    }
    None
}

/// The last of comparisons that are joined by `and`.
fn last_comparison(condition: &Typed) -> Option<&Typed> {
    match &condition.node {
        Node::Compare(..) => Some(condition),
        Node::And(sides) => last_comparison(&sides.1),
        _ => None,
    }
}

/// Two comparisons as the ends of one range.
fn ends<'a>(first: &'a Typed, last: &'a Typed) -> Option<(End<'a>, End<'a>)> {
    let turns = [(false, false), (false, true), (true, false), (true, true)];
    turns.into_iter().find_map(|(one, other)| {
        let (one, other) = (end(first, one)?, end(last, other)?);
        (one.is_low != other.is_low && same(one.subject, other.subject)).then_some((one, other))
    })
}

/// A comparison of clock times with its left, or its right, as the one that is bounded.
fn end(comparison: &Typed, right: bool) -> Option<End<'_>> {
    let Node::Compare(operator, sides) = &comparison.node else {
        return None;
    };
    if sides.0.kind != Kind::TimeOfDay {
        return None;
    }
    let below = match operator {
        ComparisonOperator::Less | ComparisonOperator::AtMost => true,
        ComparisonOperator::Greater | ComparisonOperator::AtLeast => false,
        ComparisonOperator::Equal | ComparisonOperator::Unequal => return None,
    };
    let (subject, bound) = if right {
        (&sides.1, &sides.0)
    } else {
        (&sides.0, &sides.1)
    };
    Some(End {
        bound,
        subject,
        is_low: below == right,
        span: comparison.span,
    })
}

fn operator(whole: &Typed, at: Span) -> Option<ComparisonOperator> {
    match &whole.node {
        Node::Compare(operator, _) if whole.span == at => Some(*operator),
        Node::And(sides) => operator(&sides.1, at).or_else(|| operator(&sides.0, at)),
        _ => None,
    }
}

/// Whether two values are the same for certain.
pub(super) fn same(one: &Typed, other: &Typed) -> bool {
    match (&one.node, &other.node) {
        (Node::Cell(one), Node::Cell(other)) => one == other,
        (Node::Column(one), Node::Column(other)) => one == other,
        (Node::Shared(one), Node::Shared(other)) => one == other,
        (Node::Call(one, first), Node::Call(other, second)) => {
            one.name == other.name
                && first.len() == second.len()
                && first.iter().zip(second).all(|(one, other)| same(one, other))
        }
        (Node::Arithmetic(one, _, first), Node::Arithmetic(other, _, second)) => {
            one == other && same(&first.0, &second.0) && same(&first.1, &second.1)
        }
        (Node::Constant(one), Node::Constant(other)) => one == other,
        _ => false,
    }
}
