//! The unit of a product, a quotient and a power, as a person would keep it.

use super::{Ratio, Unit};

/// The unit of a result, and the exact ratio the bare result is multiplied by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Combined {
    /// The unit a person would keep.
    pub unit: Unit,
    /// What the product or quotient of the two bare numbers is multiplied by.
    pub scale: Ratio,
}

/// A power: a whole number or a fraction, such as 1/2.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Exponent {
    /// Above the stroke.
    pub numerator: i32,
    /// Below the stroke, above zero.
    pub denominator: i32,
}

/// The unit of `left * right`. Points count as their intervals here; the
/// checker refuses them before. `None`: more than eight symbols, or a power beyond ±31.
pub fn product(left: Unit, right: Unit) -> Option<Combined> {
    let _ = (left, right);
    None
}

/// The unit of `left / right`.
pub fn quotient(left: Unit, right: Unit) -> Option<Combined> {
    let _ = (left, right);
    None
}

/// The unit of `base ^ exponent`; `None` where there is no such unit (ft^(1/2)).
pub fn power(base: Unit, exponent: Exponent) -> Option<Combined> {
    let _ = (base, exponent);
    None
}
