//! The unit of a product, a quotient and a power, as a person would keep it.
//!
//! The symbols of the two sides are set against each other: equal ones on
//! opposite sides of the stroke cancel, then those of one dimension; what
//! remains of the right side joins the left. The exact ratio is worked out from
//! the symbols before and after. Start reading at [`product`].

use crate::number::Number;

use super::fraction::Fraction;
use super::measure::{dimension_of, size_of};
use super::naming;
use super::symbol::Role;
use super::{Ratio, Term, Unit};

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

impl Combined {
    fn unscaled(unit: Unit) -> Combined {
        Combined {
            unit,
            scale: Ratio::ONE,
        }
    }
}

/// The unit of `left * right`. Points count as their intervals here; the
/// checker refuses them before. `None`: more than eight symbols, or a power beyond ±31.
pub fn product(left: Unit, right: Unit) -> Option<Combined> {
    if left == Unit::ONE {
        return Some(Combined::unscaled(right.interval()));
    }
    if right == Unit::ONE {
        return Some(Combined::unscaled(left.interval()));
    }
    combined(left.interval_terms(), right.interval_terms())
}

/// The unit of `left / right`.
pub fn quotient(left: Unit, right: Unit) -> Option<Combined> {
    if right == Unit::ONE {
        return Some(Combined::unscaled(left.interval()));
    }
    let turned = right.interval_terms().into_iter().map(Term::turned);
    combined(left.interval_terms(), turned.collect())
}

fn combined(left: Vec<Term>, right: Vec<Term>) -> Option<Combined> {
    let before: Vec<Term> = left.iter().chain(&right).copied().collect();
    let mut left = expanded(left);
    let mut right = expanded(right);
    cancel_equal(&mut left, &mut right);
    cancel_alike(&mut left, &mut right);
    join(&mut left, &right);
    kept(before, naming::named(without_counts(left)))
}

/// The terms after, and the ratio of the sizes before and after.
fn kept(before: Vec<Term>, after: Vec<Term>) -> Option<Combined> {
    let unit = Unit::of_terms(after)?;
    let turned = unit.terms().map(Term::turned);
    let scale = size_of(before.into_iter().chain(turned))?.ratio();
    Some(Combined { unit, scale })
}

/// `Wh` as `W·h`.
fn expanded(terms: Vec<Term>) -> Vec<Term> {
    let mut all = Vec::new();
    for term in terms {
        match term.role() {
            Role::Joined { power, hour } => {
                add(&mut all, Term::new(power, term.power));
                add(&mut all, Term::new(hour, term.power));
            }
            _ => add(&mut all, term),
        }
    }
    all
}

/// Raises the power of the symbol on that side of the stroke, or adds it.
fn add(terms: &mut Vec<Term>, term: Term) {
    let same = |known: &&mut Term| known.symbol == term.symbol && known.is_above() == term.is_above();
    match terms.iter_mut().find(same) {
        Some(known) => known.power += term.power,
        None => terms.push(term),
    }
}

fn cancel_equal(left: &mut Vec<Term>, right: &mut Vec<Term>) {
    for mine in left.iter_mut() {
        for theirs in right.iter_mut() {
            if mine.symbol == theirs.symbol && mine.is_above() != theirs.is_above() {
                take(mine, theirs, 1, 1);
            }
        }
    }
    drop_empty(left, right);
}

/// Symbols of one dimension; what is left of the right one takes the left one's symbol.
fn cancel_alike(left: &mut Vec<Term>, right: &mut Vec<Term>) {
    for mine in left.iter_mut() {
        for theirs in right.iter_mut() {
            let Some((i, j)) = parallel(*mine, *theirs) else {
                continue;
            };
            let opposite = (mine.power * theirs.power).signum() == -j.signum();
            if opposite && take(mine, theirs, i, j.abs()) && (i, j) == (1, 1) {
                theirs.symbol = mine.symbol;
            }
        }
    }
    drop_empty(left, right);
}

/// Takes as many as both have of `i` powers from one and `j` from the other.
fn take(mine: &mut Term, theirs: &mut Term, i: i32, j: i32) -> bool {
    let times = (mine.power.abs() / i).min(theirs.power.abs() / j);
    mine.power -= mine.power.signum() * times * i;
    theirs.power -= theirs.power.signum() * times * j;
    times > 0
}

fn drop_empty(left: &mut Vec<Term>, right: &mut Vec<Term>) {
    left.retain(|term| term.power != 0);
    right.retain(|term| term.power != 0);
}

fn parallel(mine: Term, theirs: Term) -> Option<(i32, i32)> {
    let (mine, theirs) = (mine.known()?, theirs.known()?);
    let (i, j) = mine.dimension.parallel(theirs.dimension)?;
    Some((i32::from(i), i32::from(j)))
}

/// What remains of the right side joins a unit of the same dimension on its
/// side of the stroke, or is added.
fn join(left: &mut Vec<Term>, right: &[Term]) {
    for theirs in right {
        let equal = left
            .iter()
            .any(|mine| mine.symbol == theirs.symbol && mine.is_above() == theirs.is_above());
        let place = if equal {
            None
        } else {
            left.iter_mut()
                .find_map(|mine| joined_power(*mine, *theirs).map(|power| (mine, power)))
        };
        match place {
            Some((mine, power)) => mine.power += power,
            None => add(left, *theirs),
        }
    }
}

/// The power by which `theirs` raises `mine`, where it can be converted to it.
fn joined_power(mine: Term, theirs: Term) -> Option<i32> {
    let (i, j) = parallel(mine, theirs)?;
    let fits = j > 0 && mine.is_above() == theirs.is_above() && mine.power.abs() >= i && theirs.power % j == 0;
    fits.then(|| theirs.power / j * i)
}

/// `%` and `each` go into the number beside any other unit or each other.
fn without_counts(terms: Vec<Term>) -> Vec<Term> {
    let alone = matches!(terms.as_slice(), [only] if only.power == 1);
    if alone {
        return terms;
    }
    let is_unit = |term: &Term| term.role() != Role::Count;
    terms.into_iter().filter(is_unit).collect()
}

/// The unit of `base ^ exponent`; `None` where there is no such unit (ft^(1/2)).
pub fn power(base: Unit, exponent: Exponent) -> Option<Combined> {
    if exponent.denominator < 1 {
        return None;
    }
    if exponent.numerator == exponent.denominator {
        return Some(Combined::unscaled(base.interval()));
    }
    let terms = base.interval_terms();
    let (counts, units): (Vec<Term>, Vec<Term>) = terms.into_iter().partition(|term| term.role() == Role::Count);
    let scale = counts_scale(&counts, exponent)?;
    let raised = raised(&units, exponent).or_else(|| rooted(&units, exponent))?;
    let unit = Unit::of_terms(without_counts(raised))?;
    Some(Combined { unit, scale })
}

fn raised(units: &[Term], exponent: Exponent) -> Option<Vec<Term>> {
    let terms = units.iter().map(|term| {
        let power = term.power.checked_mul(exponent.numerator)?;
        let whole = power.checked_rem(exponent.denominator)? == 0;
        let power = power.checked_div(exponent.denominator).filter(|_| whole)?;
        Some(Term::new(term.symbol, power))
    });
    let terms: Option<Vec<Term>> = terms.collect();
    terms.map(|terms| terms.into_iter().filter(|term| term.power != 0).collect())
}

/// The root of a unit that is the power of a listed one: `VA·ohm` of V.
fn rooted(units: &[Term], exponent: Exponent) -> Option<Vec<Term>> {
    let root = i16::try_from(exponent.denominator).ok().filter(|root| *root <= 4)?;
    let dimension = dimension_of(units.iter().copied());
    let found = naming::root_named(dimension, size_of(units.iter().copied())?, root)?;
    Some(vec![Term::new(found.symbol, exponent.numerator)])
}

/// What `%` gives the number, raised with it.
fn counts_scale(counts: &[Term], exponent: Exponent) -> Option<Ratio> {
    let size = size_of(counts.iter().copied())?;
    if size == Fraction::ONE {
        return Some(Ratio::ONE);
    }
    let ratio = size.ratio();
    let power =
        Number::from_integer(i64::from(exponent.numerator)).div(Number::from_integer(i64::from(exponent.denominator)));
    let value = ratio.numerator.div(ratio.denominator).ok()?.pow(power.ok()?).ok()?;
    Some(Ratio::new(value, Number::ONE))
}
