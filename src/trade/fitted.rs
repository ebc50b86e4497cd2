//! Smooth functions of a temperature, several at once and quickly.
//!
//! A draw-down asks for the same properties tens of thousands of times. Each is
//! worked out at a few places once, and is a Chebyshev series from then on;
//! `tests/outside.rs` and the tests here hold it to what it is made of. Start
//! reading at [`Fitted::at`].

use std::f64::consts::PI;

/// Functions of a temperature in K over a range.
pub(super) struct Fitted<const OF: usize, const TERMS: usize> {
    middle: f64,
    half: f64,
    terms: [[f64; OF]; TERMS],
}

impl<const OF: usize, const TERMS: usize> Fitted<OF, TERMS> {
    /// From what the functions are between two temperatures.
    pub fn new((low, high): (f64, f64), of: impl Fn(f64) -> [f64; OF]) -> Fitted<OF, TERMS> {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let mut terms = [[0.0; OF]; TERMS];
        for node in 0..TERMS {
            let angle = PI * (node as f64 + 0.5) / TERMS as f64;
            let values = of(middle + half * libm::cos(angle));
            for (order, term) in terms.iter_mut().enumerate() {
                let weight = if order == 0 { 1.0 } else { 2.0 } / TERMS as f64;
                let share = weight * libm::cos(order as f64 * angle);
                for (sum, value) in term.iter_mut().zip(values) {
                    *sum += share * value;
                }
            }
        }
        Fitted { middle, half, terms }
    }

    /// The values at a temperature; outside the range those at its end.
    #[inline]
    pub fn at(&self, kelvin: f64) -> [f64; OF] {
        let place = ((kelvin - self.middle) / self.half).clamp(-1.0, 1.0);
        let (mut one, mut two) = ([0.0; OF], [0.0; OF]);
        for term in self.terms.iter().rev() {
            let mut next = *term;
            for ((next, one), two) in next.iter_mut().zip(one).zip(two) {
                *next += 2.0 * place * one - two;
            }
            (two, one) = (one, next);
        }
        // the sum ends with half of its step
        for (one, two) in one.iter_mut().zip(two) {
            *one -= place * two;
        }
        one
    }
}
