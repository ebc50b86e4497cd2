//! Exact fractions for the sizes of units.
//!
//! A product is reduced crosswise before it is multiplied, so that it stays
//! exact as long as the result can be. What outgrows 128 bits loses its last
//! binary digits above and below the stroke alike, and is no fraction any more if
//! fewer than [`KEPT_BITS`] would be left. Start reading at [`Fraction`].

use crate::number::Number;

use super::ratio::Ratio;

/// The largest part of a ratio is scaled to this many digits before the point,
/// so that a value can be multiplied by it and still be held.
const WHOLE_DIGITS: u32 = 15;

/// Fewer would be a ratio with less than 18 digits.
const KEPT_BITS: u32 = 60;

/// The largest whole number a decimal holds.
const LARGEST: u128 = (1 << 96) - 1;

/// A fraction above zero, reduced.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(super) struct Fraction {
    above: u128,
    below: u128,
}

impl Fraction {
    /// One.
    pub(super) const ONE: Fraction = Fraction { above: 1, below: 1 };

    /// `above ÷ below`, both above zero.
    pub(super) fn new(above: u128, below: u128) -> Fraction {
        let shared = common(above, below).max(1);
        Fraction {
            above: above / shared,
            below: below / shared,
        }
    }

    pub(super) fn above(self) -> u128 {
        self.above
    }

    pub(super) fn below(self) -> u128 {
        self.below
    }

    /// The product; `None` where it is too large or small to be told exactly enough.
    pub(super) fn times(self, other: Fraction) -> Option<Fraction> {
        let left = Fraction::new(self.above, other.below);
        let right = Fraction::new(other.above, self.below);
        let exact = left
            .above
            .checked_mul(right.above)
            .zip(left.below.checked_mul(right.below));
        match exact {
            Some((above, below)) => Some(Fraction { above, below }),
            None => rounded(wide(left.above, right.above), wide(left.below, right.below)),
        }
    }

    /// One over it.
    pub(super) fn inverted(self) -> Fraction {
        Fraction {
            above: self.below,
            below: self.above,
        }
    }

    /// A whole power.
    pub(super) fn power(self, power: i32) -> Option<Fraction> {
        let base = if power < 0 { self.inverted() } else { self };
        (0..power.unsigned_abs()).try_fold(Fraction::ONE, |product, _| product.times(base))
    }

    /// The product of all, in such an order that it stays near one on the way.
    pub(super) fn product(factors: Vec<Fraction>) -> Option<Fraction> {
        let (mut large, mut small): (Vec<Fraction>, Vec<Fraction>) =
            factors.into_iter().partition(|factor| factor.above > factor.below);
        let mut product = Fraction::ONE;
        loop {
            let (first, second) = if product.above > product.below {
                (&mut small, &mut large)
            } else {
                (&mut large, &mut small)
            };
            let Some(factor) = first.pop().or_else(|| second.pop()) else {
                return Some(product);
            };
            product = product.times(factor)?;
        }
    }

    /// As two decimals, neither of them large.
    pub(super) fn ratio(self) -> Ratio {
        let places = spare_digits(self.above.max(self.below));
        Ratio::new(decimal(self.above, places), decimal(self.below, places))
    }
}

/// How many decimals make a whole number of at most [`WHOLE_DIGITS`] digits.
pub(super) fn spare_digits(largest: u128) -> u32 {
    let digits = largest.checked_ilog10().unwrap_or(0) + 1;
    digits.saturating_sub(WHOLE_DIGITS)
}

/// `value ÷ 10^places`, rounded to 28 digits where it has more.
pub(super) fn decimal(mut value: u128, mut places: u32) -> Number {
    while (value > LARGEST || places > 28) && places > 0 {
        value = (value + 5) / 10;
        places -= 1;
    }
    i128::try_from(value)
        .ok()
        .and_then(|whole| Number::from_parts(whole, places))
        .unwrap_or(Number::ZERO)
}

/// The greatest common divisor.
pub(super) fn common(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// A product of up to 256 bits: the upper and the lower half.
fn wide(a: u128, b: u128) -> (u128, u128) {
    const LOW: u128 = u64::MAX as u128;
    let (a_high, a_low, b_high, b_low) = (a >> 64, a & LOW, b >> 64, b & LOW);
    let lowest = a_low * b_low;
    let one = a_high * b_low + (lowest >> 64);
    let other = a_low * b_high + (one & LOW);
    let upper = a_high * b_high + (one >> 64) + (other >> 64);
    (upper, (other << 64) | (lowest & LOW))
}

/// The fraction of two wide numbers, both cut to the bits that fit.
fn rounded(above: (u128, u128), below: (u128, u128)) -> Option<Fraction> {
    let bits = 128 - above.0.max(below.0).leading_zeros();
    let (above, below) = (shifted(above, bits), shifted(below, bits));
    let kept = 128 - above.min(below).leading_zeros();
    (kept >= KEPT_BITS).then(|| Fraction::new(above, below))
}

fn shifted((upper, lower): (u128, u128), bits: u32) -> u128 {
    let kept = upper.checked_shl(128 - bits).unwrap_or(0);
    kept | lower.checked_shr(bits).unwrap_or(0)
}
