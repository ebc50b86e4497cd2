//! What a value can be, where it is known only between two ends.
//!
//! Arithmetic that rises or falls all the way carries the ends; where a direction isn't
//! known, nothing is. A result is never narrower than the truth. Start reading at [`Range`].

use std::cmp::Ordering;

use crate::number::{Checked, Number};
use crate::syntax::tree::ComparisonOperator;

/// One end of what a value can be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct End {
    /// Where it is.
    pub at: Number,
    /// Whether the value can't be the end itself.
    pub open: bool,
}

/// What a value can be: from one end to the other, as far as they are known.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Range {
    /// The least it can be; `None` where nothing is known below.
    pub low: Option<End>,
    /// The most it can be; `None` where nothing is known above.
    pub high: Option<End>,
}

impl End {
    fn closed(at: Number) -> End {
        End { at, open: false }
    }

    fn turned(self) -> End {
        End {
            at: self.at.neg(),
            ..self
        }
    }

    /// By what `f` gives; `None` where it gives nothing.
    fn mapped(self, f: impl Fn(Number) -> Checked<Number>) -> Option<End> {
        let at = f(self.at).ok()?;
        Some(End { at, ..self })
    }

    fn joined(self, other: End, f: impl Fn(Number, Number) -> Checked<Number>) -> Option<End> {
        let at = f(self.at, other.at).ok()?;
        Some(End {
            at,
            open: self.open || other.open,
        })
    }
}

impl Range {
    /// Nothing is known.
    pub const ANY: Range = Range::new(None, None);

    const fn new(low: Option<End>, high: Option<End>) -> Range {
        Range { low, high }
    }

    /// More than a value.
    pub(crate) fn more_than(at: Number) -> Range {
        Range::new(Some(End { at, open: true }), None)
    }

    /// This value and no other.
    pub fn exactly(at: Number) -> Range {
        let end = Some(End::closed(at));
        Range::new(end, end)
    }

    /// False or true.
    pub fn undecided() -> Range {
        Range::new(Some(End::closed(Number::ZERO)), Some(End::closed(Number::ONE)))
    }

    /// The one value that it can be; `None` where there are more.
    pub fn only(self) -> Option<Number> {
        match (self.low, self.high) {
            (Some(low), Some(high)) if low.at == high.at => Some(low.at),
            _ => None,
        }
    }

    /// Whether nothing is known.
    pub(crate) fn is_any(self) -> bool {
        self == Range::ANY
    }

    /// The sum.
    pub fn plus(self, other: Range) -> Range {
        let sum = |one: Option<End>, other: Option<End>| one?.joined(other?, Number::add);
        Range::new(sum(self.low, other.low), sum(self.high, other.high))
    }

    /// With its sign turned.
    pub fn turned(self) -> Range {
        Range::new(self.high.map(End::turned), self.low.map(End::turned))
    }

    /// The product; known where one side is one value, neither has both signs, or all ends are known.
    pub fn times(self, other: Range) -> Range {
        match (self.only(), other.only()) {
            (_, Some(by)) => self.scaled(by, |at| at.mul(by)),
            (Some(by), _) => other.scaled(by, |at| by.mul(at)),
            _ if self.turned().is_positive() => self.turned().times(other).turned(),
            _ if other.turned().is_positive() => self.times(other.turned()).turned(),
            _ if self.is_positive() && other.is_positive() => {
                let product = |one: Option<End>, other: Option<End>| one?.joined(other?, Number::mul);
                Range::new(product(self.low, other.low), product(self.high, other.high))
            }
            _ => self.of_corners(other).unwrap_or(Range::ANY),
        }
    }

    /// The product of two that have all their ends.
    fn of_corners(self, other: Range) -> Option<Range> {
        let (mine, theirs) = ([self.low?.at, self.high?.at], [other.low?.at, other.high?.at]);
        let corners = mine
            .iter()
            .flat_map(|one| theirs.iter().map(|other| one.mul(*other).ok().map(Range::exactly)));
        let corners: Option<Vec<Range>> = corners.collect();
        corners?.into_iter().reduce(Range::or)
    }

    /// The quotient; known where the other side is one value, or doesn't have both signs.
    pub fn over(self, other: Range) -> Range {
        match other.only() {
            Some(by) if by.is_zero() => Range::ANY,
            Some(by) => self.scaled(by, |at| at.div(by)),
            None if other.turned().is_positive() => self.over(other.turned()).turned(),
            None if other.is_positive() => self.over_positive(other),
            None => Range::ANY,
        }
    }

    /// By a factor of that sign.
    fn scaled(self, by: Number, f: impl Fn(Number) -> Checked<Number> + Copy) -> Range {
        match by.compare(Number::ZERO) {
            Ordering::Equal => Range::exactly(Number::ZERO),
            Ordering::Greater => self.rising(f),
            Ordering::Less => self.falling(f),
        }
    }

    /// Over what isn't below zero; over zero there is nothing.
    fn over_positive(self, other: Range) -> Range {
        if self.turned().is_positive() {
            return self.turned().over_positive(other).turned();
        }
        let nothing = End {
            at: Number::ZERO,
            open: true,
        };
        let quotient = |one: Option<End>, by: Option<End>| one?.joined(by?, Number::div);
        Range {
            low: match self.is_positive() {
                true => quotient(self.low, other.high).or(Some(nothing)),
                false => quotient(self.low, other.low),
            },
            high: quotient(self.high, other.low),
        }
    }

    fn is_positive(self) -> bool {
        self.low.is_some_and(|low| !low.at.is_negative())
    }

    /// Through what rises all the way.
    pub fn rising(self, f: impl Fn(Number) -> Checked<Number> + Copy) -> Range {
        Range::new(
            self.low.and_then(|end| end.mapped(f)),
            self.high.and_then(|end| end.mapped(f)),
        )
    }

    /// Through what falls all the way.
    pub(crate) fn falling(self, f: impl Fn(Number) -> Checked<Number> + Copy) -> Range {
        let risen = self.rising(f);
        Range::new(risen.high, risen.low)
    }

    /// Through steps that rise: an end can be taken though it couldn't before.
    pub fn stepped(self, f: impl Fn(Number) -> Number + Copy) -> Range {
        let closed = |end: Option<End>| end.map(|end| End::closed(f(end.at)));
        Range::new(closed(self.low), closed(self.high))
    }

    /// To a power; known where the exponent is one value, and for one that is not whole or
    /// below zero where it is itself not below zero.
    pub fn power(self, exponent: Range) -> Range {
        let Some(exponent) = exponent.only() else {
            return Range::ANY;
        };
        let whole = exponent.to_integer().filter(|whole| *whole > 0);
        match whole {
            _ if exponent.is_negative() && self.is_positive() => self.falling(|at| at.pow(exponent)),
            Some(whole) if whole % 2 == 0 => self.magnitude().rising(|at| at.pow(exponent)),
            Some(_) => self.rising(|at| at.pow(exponent)),
            None if self.is_positive() && !exponent.is_negative() => self.rising(|at| at.pow(exponent)),
            None => Range::ANY,
        }
    }

    /// Its distance from zero.
    pub fn magnitude(self) -> Range {
        if self.is_positive() {
            return self;
        }
        let turned = self.turned();
        if turned.is_positive() {
            return turned;
        }
        Range {
            low: Some(End::closed(Number::ZERO)),
            ..self.greatest(turned)
        }
    }

    /// The smaller of two.
    pub fn least(self, other: Range) -> Range {
        self.turned().greatest(other.turned()).turned()
    }

    /// The larger of two.
    pub fn greatest(self, other: Range) -> Range {
        let larger = |one: End, other: End| if is_above(one, other, one.open) { one } else { other };
        Range {
            low: match (self.low, other.low) {
                (Some(one), Some(other)) => Some(larger(one, other)),
                (one, other) => one.or(other),
            },
            high: self
                .high
                .zip(other.high)
                .map(|(one, other)| match is_above(one, other, !one.open) {
                    true => one,
                    false => other,
                }),
        }
    }

    /// What can be either.
    pub fn or(self, other: Range) -> Range {
        let most = |one: Option<End>, other: Option<End>| {
            let (one, other) = (one?, other?);
            Some(if is_above(one, other, !one.open) { one } else { other })
        };
        let turned = |end: Option<End>| end.map(End::turned);
        Range::new(
            turned(most(turned(self.low), turned(other.low))),
            most(self.high, other.high),
        )
    }

    /// Whether two compare so, whatever they are; `None` where it isn't decided.
    pub fn compared(self, operator: ComparisonOperator, other: Range) -> Option<bool> {
        use ComparisonOperator::{AtLeast, AtMost, Equal, Greater, Less, Unequal};
        let either = |so: bool, not: bool| if so { Some(true) } else { not.then_some(false) };
        match operator {
            Less => either(self.is_below(other), other.is_at_most(self)),
            AtMost => either(self.is_at_most(other), other.is_below(self)),
            Greater => other.compared(Less, self),
            AtLeast => other.compared(AtMost, self),
            Equal => either(false, self.is_below(other) || other.is_below(self)),
            Unequal => either(self.is_below(other) || other.is_below(self), false),
        }
    }

    /// Whether all of it is below all of another.
    fn is_below(self, other: Range) -> bool {
        self.meets(other, |high, low| high.open || low.open)
    }

    fn is_at_most(self, other: Range) -> bool {
        self.meets(other, |_, _| true)
    }

    /// Whether its high end is below another's low one; `same` says so where they are equal.
    fn meets(self, other: Range, same: impl Fn(End, End) -> bool) -> bool {
        let (Some(high), Some(low)) = (self.high, other.low) else {
            return false;
        };
        match high.at.agrees_with(low.at) {
            true => same(high, low),
            false => high.at.compare(low.at).is_lt(),
        }
    }
}

/// Whether one end is above another; `same` where they are equal.
fn is_above(one: End, other: End, same: bool) -> bool {
    match one.at.compare(other.at) {
        Ordering::Equal => same,
        order => order.is_gt(),
    }
}
