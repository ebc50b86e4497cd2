//! Smooth functions of a temperature, several at once and quickly.
//!
//! A draw-down asks for the same properties tens of thousands of times. Each is
//! worked out at a few places once, and is a Chebyshev series from then on. Start
//! reading at [`Fitted::at`].

use std::f64::consts::PI;

/// Functions of a temperature in K over a range.
pub(super) struct Fitted<const OF: usize, const TERMS: usize> {
    middle: f64,
    half: f64,
    /// Term by term, each of all functions: they are summed side by side.
    series: [[f64; OF]; TERMS],
}

impl<const OF: usize, const TERMS: usize> Fitted<OF, TERMS> {
    /// From what the functions are between two temperatures.
    pub(super) fn new((low, high): (f64, f64), of: impl Fn(f64) -> [f64; OF]) -> Fitted<OF, TERMS> {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let mut series = [[0.0; OF]; TERMS];
        for node in 0..TERMS {
            let angle = PI * (node as f64 + 0.5) / TERMS as f64;
            let values = of(middle + half * libm::cos(angle));
            for (order, terms) in series.iter_mut().enumerate() {
                let weight = if order == 0 { 1.0 } else { 2.0 } / TERMS as f64;
                for (term, value) in terms.iter_mut().zip(values) {
                    *term += weight * libm::cos(order as f64 * angle) * value;
                }
            }
        }
        Fitted { middle, half, series }
    }

    /// The values at a temperature, by Clenshaw's sum; outside the range those at its end.
    #[inline]
    pub(super) fn at(&self, kelvin: f64) -> [f64; OF] {
        let place = ((kelvin - self.middle) / self.half).clamp(-1.0, 1.0);
        let twice = 2.0 * place;
        let (mut ones, mut twos) = ([0.0; OF], [0.0; OF]);
        for terms in self.series.iter().rev() {
            for ((one, two), term) in ones.iter_mut().zip(&mut twos).zip(terms) {
                (*one, *two) = (term + twice * *one - *two, *one);
            }
        }
        for (one, two) in ones.iter_mut().zip(twos) {
            *one -= place * two;
        }
        ones
    }
}
