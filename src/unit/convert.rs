//! Conversions: one exact ratio, with an offset for points on a scale.
//!
//! Two units meet if they measure the same and are both points or neither.
//! Ratios are worked out from the symbols that differ, as exact fractions.
//! Start reading at [`conversion`].

use crate::number::{Checked, Number};

use super::fraction::{self, Fraction};
use super::measure::size_of;
use super::ratio::Ratio;
use super::symbol::Point;
use super::{Term, Unit};

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
/// point against an interval).
pub fn conversion(from: Unit, to: Unit) -> Option<Conversion> {
    if from == to {
        return Some(Conversion::IDENTITY);
    }
    match (from.point(), to.point()) {
        (None, None) if from.dimension() == to.dimension() => Some(Conversion::by(between(from, to)?.ratio())),
        (Some(start), Some(end)) if from.dimension() == to.dimension() => {
            shifted(between(from, to)?, size_of(to.terms())?, start.zero, Some(end.zero))
        }
        _ => None,
    }
}

/// The conversion of a point to a distance from absolute zero in `to`: °F to K,
/// psig to psi or kPa; `None` where `from` is no point, or `to` no such unit.
pub fn conversion_to_absolute(from: Unit, to: Unit) -> Option<Conversion> {
    let point = absolute_pair(from, to)?;
    shifted(between(from, to)?, size_of(to.terms())?, point.zero, None)
}

fn absolute_pair(point: Unit, absolute: Unit) -> Option<Point> {
    let meets = !absolute.is_point() && point.dimension() == absolute.dimension();
    point.point().filter(|_| meets)
}

/// How many of `to` one `from` is.
fn between(from: Unit, to: Unit) -> Option<Fraction> {
    let turned = to.terms().map(Term::turned);
    size_of(from.terms().chain(turned))
}

/// `(value × n + (start − end) × …) ÷ d`, all over one denominator; `end` is
/// none where absolute zero is the zero of the other unit.
fn shifted(ratio: Fraction, to: Fraction, start: Fraction, end: Option<Fraction>) -> Option<Conversion> {
    let (gap, below_zero) = difference(start, end)?;
    let gap = match gap {
        Some(gap) => Some(gap.times(to.inverted())?),
        None => None,
    };
    let gap_below = gap.map_or(1, Fraction::below);
    let shared = fraction::common(ratio.below(), gap_below);
    let (for_ratio, for_gap) = (gap_below / shared, ratio.below() / shared);
    let above = ratio.above().checked_mul(for_ratio)?;
    let below = ratio.below().checked_mul(for_ratio)?;
    let offset = gap.map_or(Some(0), |gap| gap.above().checked_mul(for_gap))?;
    let places = fraction::spare_digits(above.max(below).max(offset));
    let offset = fraction::decimal(offset, places);
    Some(Conversion {
        ratio: Ratio::new(fraction::decimal(above, places), fraction::decimal(below, places)),
        offset: if below_zero { offset.neg() } else { offset },
    })
}

/// `start − end` as a fraction above zero, none if they are the same, and
/// whether the difference is below zero.
fn difference(start: Fraction, end: Option<Fraction>) -> Option<(Option<Fraction>, bool)> {
    let Some(end) = end else {
        return Some((Some(start), false));
    };
    let one = start.above().checked_mul(end.below())?;
    let other = end.above().checked_mul(start.below())?;
    let below = start.below().checked_mul(end.below())?;
    let gap = one.abs_diff(other);
    let gap = (gap != 0).then(|| Fraction::new(gap, below));
    Some((gap, one < other))
}

impl Conversion {
    /// By a ratio alone.
    pub(crate) const fn by(ratio: Ratio) -> Conversion {
        Conversion {
            ratio,
            offset: Number::ZERO,
        }
    }

    /// From a unit to itself.
    pub(crate) const IDENTITY: Conversion = Conversion::by(Ratio::ONE);

    /// Whether nothing changes.
    pub(crate) fn is_identity(self) -> bool {
        self.ratio.is_one() && self.offset.is_zero()
    }

    /// The value in the other unit.
    pub fn apply(self, value: Number) -> Checked<Number> {
        if self.offset.is_zero() {
            return self.ratio.apply(value);
        }
        value
            .mul(self.ratio.numerator)?
            .add(self.offset)?
            .div(self.ratio.denominator)
    }

    /// The same in binary.
    pub fn apply_f64(self, value: f64) -> f64 {
        (value * self.ratio.numerator.to_f64() + self.offset.to_f64()) / self.ratio.denominator.to_f64()
    }
}

/// In which way two units don't meet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Mismatch {
    /// They measure the same, but the ratio is beyond what a number holds.
    TooFarApart,
    /// A point on a scale and an interval or absolute value of the same kind.
    PointAndInterval,
    /// W and VA.
    PowerAndApparent,
    /// The same but for the currency.
    Currencies,
    /// A unit and a plain number.
    UnitAndNumber,
    /// They measure different things.
    Dimensions,
}

/// Why there is no conversion between two units; `None` where there is one.
pub fn mismatch(left: Unit, right: Unit) -> Option<Mismatch> {
    if conversion(left, right).is_some() {
        return None;
    }
    let (one, other) = (left.dimension(), right.dimension());
    Some(if one == other && left.is_point() == right.is_point() {
        Mismatch::TooFarApart
    } else if one == other {
        Mismatch::PointAndInterval
    } else if one.without_apparent() == other.without_apparent() {
        Mismatch::PowerAndApparent
    } else if one.has_money() && other.has_money() && one.without_money() == other.without_money() {
        Mismatch::Currencies
    } else if one.is_none() || other.is_none() {
        Mismatch::UnitAndNumber
    } else {
        Mismatch::Dimensions
    })
}
