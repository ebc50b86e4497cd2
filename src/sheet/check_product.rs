//! Checking products, quotients and powers, and the units they give.
//!
//! Points, levels and mixed exponents can't be multiplied; what can is joined by
//! the rule for the unit of a result. Sums and comparisons are in `meet`. Start
//! reading at [`Checker::multiply`] and [`Checker::power`].

use super::checker::{Checker, decibel, describe};
use super::meet::{arithmetic_on, is_loud};
use super::typed::{Arithmetic, At, Typed};
use crate::number::Number;
use crate::problem::Code;
use crate::syntax::tree::{BinaryOperator, Expression, ExpressionNode, UnaryOperator};
use crate::text::Span;
use crate::unit::{Combined, Conversion, Exponent, Kind, Unit, power, product, quotient};

impl<'a> Checker<'a> {
    pub(super) fn multiply(&mut self, how: Arithmetic, left: Typed, right: Typed, at: At) -> Option<Typed> {
        let one = self.factor_unit(&left, at.place, how)?;
        let other = self.factor_unit(&right, at.place, how)?;
        let combined = match how {
            Arithmetic::Divide => quotient(one, other),
            _ => product(one, other),
        };
        let Some(Combined { unit, scale }) = combined else {
            let message = format!("`{one}` and `{other}` make a unit that is too long");
            return self.problem(Code::PowerUnit, message, at.place, None);
        };
        let kind = Kind::Quantity(unit);
        let value = arithmetic_on(how, left, right, kind, at);
        Some(value.converted(Conversion::by(scale), kind))
    }

    fn factor_unit(&mut self, value: &Typed, place: Span, arithmetic: Arithmetic) -> Option<Unit> {
        let verb = if arithmetic == Arithmetic::Divide {
            "divided"
        } else {
            "multiplied"
        };
        match value.kind {
            Kind::Quantity(unit) if !unit.is_point() => Some(unit),
            Kind::Quantity(unit) => {
                let message = format!("a point on a scale, in `{unit}`, can't be {verb}");
                let help = format!(
                    "subtract another point first (that gives `{}`), or use `absolute(…)`",
                    unit.interval()
                );
                self.reported(
                    self.two_sided(Code::PointArithmetic, message, place, &[value])
                        .help(help),
                )
            }
            Kind::Decibels if is_loud(value) => {
                let text = self.written(value.span).to_owned();
                let message = format!("`{text}` can be a level or a difference, and a level can't be {verb}");
                let help = format!(
                    "two such levels are `sound_sum({text}, {text})`; a difference so large is `({text} - 0 dB)`"
                );
                self.reported(
                    self.two_sided(Code::LevelArithmetic, message, place, &[value])
                        .help(help),
                )
            }
            Kind::Decibels => Some(decibel()),
            Kind::Level => {
                let message = format!("a sound level can't be {verb}; levels are added by energy with `sound_sum`");
                self.reported(self.two_sided(Code::LevelArithmetic, message, place, &[value]))
            }
            kind => {
                let message = format!("{} can't be {verb}", describe(kind));
                self.reported(self.two_sided(Code::KindClash, message, place, &[value]))
            }
        }
    }

    pub(super) fn power(&mut self, sides: &'a (Expression, Expression), at: At) -> Option<Typed> {
        let base = self.expression(&sides.0);
        let exponent = self.expression(&sides.1);
        let (base, exponent) = (base?, exponent?);
        let unit = self.factor_unit(&base, at.place, Arithmetic::Multiply)?;
        let exponent_plain = matches!(exponent.kind, Kind::Quantity(unit) if unit.is_dimensionless());
        if !exponent_plain {
            let message = format!("an exponent is a plain number, and this is {}", describe(exponent.kind));
            return self.problem(Code::PowerUnit, message, exponent.span, None);
        }
        let exponent = self.plain(exponent);
        if unit.is_dimensionless() {
            let (base, kind) = (self.plain(base), Kind::Quantity(Unit::ONE));
            return Some(arithmetic_on(Arithmetic::Power, base, exponent, kind, at));
        }
        let combined = written_exponent(&sides.1).and_then(|exponent| power(unit, exponent));
        let Some(combined) = combined else {
            let message = format!("`{unit}` to this power has no unit");
            let help =
                "a power of a unit is a whole number that leaves whole powers; divide by the unit first".to_owned();
            return self.problem(Code::PowerUnit, message, exponent.span, Some(help));
        };
        let kind = Kind::Quantity(combined.unit);
        let value = arithmetic_on(Arithmetic::Power, base, exponent, kind, at);
        Some(value.converted(Conversion::by(combined.scale), kind))
    }
}

/// The exponent as it is written: a whole number, a decimal, or a fraction in parentheses.
fn written_exponent(expression: &Expression) -> Option<Exponent> {
    match &expression.node {
        ExpressionNode::Number(value) => decimal_exponent(*value),
        ExpressionNode::Unary(UnaryOperator::Negate, inner) => {
            let inner = written_exponent(inner)?;
            Some(Exponent {
                numerator: inner.numerator.checked_neg()?,
                ..inner
            })
        }
        ExpressionNode::Binary(BinaryOperator::Divide, _, sides) => {
            let (above, below) = (written_exponent(&sides.0)?, written_exponent(&sides.1)?);
            let numerator = above.numerator.checked_mul(below.denominator)?;
            let denominator = above.denominator.checked_mul(below.numerator)?;
            match denominator.signum() {
                0 => None,
                1 => Some(Exponent { numerator, denominator }),
                _ => Some(Exponent {
                    numerator: numerator.checked_neg()?,
                    denominator: denominator.checked_neg()?,
                }),
            }
        }
        _ => None,
    }
}

fn decimal_exponent(value: Number) -> Option<Exponent> {
    let mut scaled = value;
    let mut denominator = 1i32;
    while !scaled.is_whole() {
        scaled = scaled.mul(Number::from_integer(10)).ok()?;
        denominator = denominator.checked_mul(10)?;
    }
    Some(Exponent {
        numerator: i32::try_from(scaled.to_integer()?).ok()?,
        denominator,
    })
}
