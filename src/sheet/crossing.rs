//! Where a line comes down to a value: limits that are uneven.
//!
//! A line that falls by a rate which isn't sure reaches a value later by more than it may
//! reach it earlier. E. C. Fieller's limits (J. Royal Stat. Soc. B 16, 1954, 175) are the
//! places at which the line may have that value yet: those where the distance from it is no
//! more than k times its own standard uncertainty. Up to 0.3 of the rate they are those of
//! the straight line; from the whole rate on there is no latest one. Start reading at
//! [`Sources::limits`].

use std::sync::Arc;

use crate::number::Checked;
use crate::trade::line::{one_sided_k, student_k};

use super::dual::{Crossing, Dual, Sources};
use super::scalar::Scalar;

/// A rate known worse than by this part of it makes limits uneven.
const UNEVEN: f64 = 0.3;

impl Dual {
    /// A quotient whose limits may be uneven.
    pub(super) fn crossing(over: Dual, by: Dual) -> Checked<Dual> {
        let rest = Dual::default();
        let quotient = over.divide(&by)?;
        Ok(quotient.with_crossing(Crossing { over, by, rest }))
    }

    fn with_crossing(mut self, crossing: Crossing) -> Dual {
        self.crossing = Some(Arc::new(crossing));
        self
    }

    /// The same for what was multiplied by a number and perhaps moved by another.
    pub(super) fn crossed_from(self, before: &Dual, times: f64) -> Dual {
        let Some(crossing) = &before.crossing else { return self };
        let scaled = |dual: &Dual| Dual::of(dual.value * times, dual.gradient.scaled(times));
        let (over, by, mut rest) = (scaled(&crossing.over), crossing.by.clone(), scaled(&crossing.rest));
        rest.value = self.value - over.value / by.value;
        self.with_crossing(Crossing { over, by, rest })
    }

    /// The same for a sum or a difference of two, one of which is such a quotient.
    pub(super) fn crossed_with(self, one: &Dual, other: &Dual) -> Dual {
        let (crossing, apart) = match (&one.crossing, &other.crossing) {
            (Some(crossing), None) => (crossing, one),
            (None, Some(crossing)) => (crossing, other),
            _ => return self,
        };
        let (over, by) = (crossing.over.clone(), crossing.by.clone());
        // whatever it has that the quotient itself hasn't
        let added = self.joined(apart, self.value - over.value / by.value, (1.0, -1.0));
        let Ok(added) = added.and_then(|added| added.joined(&crossing.rest, added.value, (1.0, 1.0))) else {
            return self;
        };
        self.with_crossing(Crossing { over, by, rest: added })
    }
}

impl Sources {
    /// The limits of a value at 95 %, where they are uneven.
    pub(super) fn uneven(&self, dual: &Dual) -> Option<(f64, f64)> {
        let k = student_k(self.combined(dual).degrees_of_freedom);
        self.limits(dual, k)
    }

    /// What a value is at least, and at most, each as often as is said.
    pub(super) fn bounds(&self, dual: &Dual, sure: f64) -> (f64, f64) {
        let combined = self.combined(dual);
        let k = one_sided_k(combined.degrees_of_freedom, sure);
        let reach = (k * combined.standard).min(combined.most);
        let straight = (dual.value - reach, dual.value + reach);
        self.limits(dual, k).unwrap_or(straight)
    }

    /// The limits of a value for that many standard uncertainties, where they are uneven;
    /// infinite where none can be told.
    pub(super) fn limits(&self, dual: &Dual, k: f64) -> Option<(f64, f64)> {
        let crossing = dual.crossing.as_ref()?;
        let (over, by, rest) = (&crossing.over, &crossing.by, &crossing.rest);
        let unsure = k * self.combined(by).standard / by.value;
        if unsure <= UNEVEN {
            return None;
        }
        let quotient = dual.value - rest.value;
        // how far the line is from the value, there, and what moves that
        let distance = over.joined(by, 0.0, (1.0, -quotient)).ok()?;
        let distance = distance.joined(rest, 0.0, (1.0, by.value)).ok()?;
        let variance = |slope: f64| -> Option<f64> {
            let moved = distance.joined(by, 0.0, (1.0, slope)).ok()?;
            Some(self.combined(&moved).standard.powi(2))
        };
        let own = variance(0.0)?;
        let both = (variance(1.0)? - variance(-1.0)?) / 4.0;
        let steep = by.value.powi(2) * (1.0 - unsure * unsure);
        Some(ends(dual.value, (steep, k * k * both, k * k * own)))
    }
}

/// The ends of where steep·δ² + 2·both·δ ≤ own.
fn ends(value: f64, (steep, both, own): (f64, f64, f64)) -> (f64, f64) {
    let root = f64::sqrt((both * both + steep * own).max(0.0));
    let (one, other) = ((-both - root) / steep, (-both + root) / steep);
    match steep > 0.0 {
        true => (value + one.min(other), value + one.max(other)),
        // only what lies between the two is ruled out
        false if both * both + steep * own > 0.0 && one.max(other) < 0.0 => (value + one.max(other), f64::INFINITY),
        false => (f64::NEG_INFINITY, f64::INFINITY),
    }
}
