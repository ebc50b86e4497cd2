//! The exact ratio of two units' sizes. Start reading at [`Ratio::apply`].

use crate::number::{Checked, Number, Trouble};

/// An exact ratio of two decimals: multiplied first, divided last.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ratio {
    /// What is multiplied by.
    pub numerator: Number,
    /// What is divided by.
    pub denominator: Number,
}

impl Ratio {
    /// One to one.
    pub const ONE: Ratio = Ratio::new(Number::ONE, Number::ONE);

    pub(crate) const fn new(numerator: Number, denominator: Number) -> Ratio {
        Ratio { numerator, denominator }
    }

    /// Whether nothing changes.
    pub(crate) fn is_one(self) -> bool {
        self.numerator == self.denominator
    }

    /// The value times the ratio; divided first only where the product would
    /// not fit.
    pub fn apply(self, value: Number) -> Checked<Number> {
        match value.mul(self.numerator) {
            Err(Trouble::TooLarge) => value.div(self.denominator)?.mul(self.numerator),
            product => product?.div(self.denominator),
        }
    }

    /// The ratio as a binary number.
    pub fn to_f64(self) -> f64 {
        self.numerator.to_f64() / self.denominator.to_f64()
    }
}
