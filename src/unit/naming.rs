//! The name a product of symbols goes by: `W·h` is Wh, `A·ohm` V, `J/s` W.
//!
//! A whole unit, or its part above or below the stroke, takes the name of a
//! listed unit that is exactly the same size. Single symbols keep theirs. Start reading at [`named`].

use super::Dimension;
use super::Term;
use super::fraction::Fraction;
use super::measure::{dimension_of, size_of};
use super::symbol::{Role, Symbol, by_number, naming, naming_number, number};

/// The terms, with names for what has one.
pub(super) fn named(terms: Vec<Term>) -> Vec<Term> {
    let terms = joined(terms);
    if let Some(whole) = whole_name(&terms) {
        return whole;
    }
    let (above, below): (Vec<Term>, Vec<Term>) = terms.iter().partition(|term| term.is_above());
    let turned: Vec<Term> = below.iter().copied().map(Term::turned).collect();
    let above = name(&above).map_or(above, |term| vec![term]);
    let below = name(&turned).map_or(below, |term| vec![term.turned()]);
    above.into_iter().chain(below).collect()
}

/// `W·h` as Wh, also where other symbols stand beside them.
fn joined(mut terms: Vec<Term>) -> Vec<Term> {
    while let Some((watt, hour, name)) = pair_to_join(&terms) {
        let sign = watt.power.signum();
        let times = watt.power.abs().min(hour.power.abs());
        let at = terms.iter().position(|term| *term == watt).unwrap_or(0);
        terms.insert(at, Term::new(name, sign * times));
        for term in &mut terms {
            if term.symbol == watt.symbol && term.power.signum() == sign
                || term.symbol == hour.symbol && term.power.signum() == sign
            {
                term.power -= sign * times;
            }
        }
        terms.retain(|term| term.power != 0);
    }
    terms
}

/// Watts and hours on one side of the stroke, and the symbol of their product.
fn pair_to_join(terms: &[Term]) -> Option<(Term, Term, u16)> {
    if terms.len() < 2 {
        return None;
    }
    let h = number("h")?;
    let hours = terms.iter().filter(|term| term.symbol == h);
    hours.into_iter().find_map(|hour| {
        let same_side = terms.iter().filter(|t| t.is_above() == hour.is_above());
        same_side
            .filter_map(|watt| Some((*watt, *hour, watt_hour(watt.symbol)?)))
            .next()
    })
}

fn watt_hour(watt: u16) -> Option<u16> {
    let dimension = by_number(number("W")?)?.dimension;
    by_number(watt).filter(|symbol| symbol.dimension == dimension)?;
    let mut all = naming();
    let of = |symbol: &Symbol| matches!(symbol.role, Role::Joined { power, .. } if power == watt);
    all.find(|(_, symbol)| of(symbol)).map(|(name, _)| name)
}

/// The name of the whole: none at all for a plain number, `each/min` for `cfm/ft3`.
fn whole_name(terms: &[Term]) -> Option<Vec<Term>> {
    if let Some(term) = name(terms) {
        return Some(vec![term]);
    }
    if terms.len() < 2 {
        return None;
    }
    let (dimension, size) = (dimension_of(terms.iter().copied()), size_of(terms.iter().copied())?);
    if dimension.is_none() && size == Fraction::ONE {
        return Some(Vec::new());
    }
    let second = by_number(number("s")?)?.dimension;
    let is_rate = Dimension::NONE.times(second, -1) == dimension;
    let time = symbol_of(second, size.inverted()).filter(|_| is_rate)?;
    Some(vec![Term::new(time, -1)])
}

/// The listed unit that equals a product of two symbols or more.
fn name(terms: &[Term]) -> Option<Term> {
    if terms.len() < 2 {
        return None;
    }
    let dimension = dimension_of(terms.iter().copied());
    if dimension.is_none() || dimension.has_money() {
        return None;
    }
    let size = size_of(terms.iter().copied())?;
    root_named(dimension, size, 1).or_else(|| length_power(dimension, size))
}

/// The listed unit whose power this is.
pub(super) fn root_named(dimension: Dimension, size: Fraction, power: i16) -> Option<Term> {
    if power == 1 {
        return naming_number(dimension, size).map(|number| Term::new(number, 1));
    }
    let raised = |symbol: &Symbol| {
        Dimension::NONE.times(symbol.dimension, power) == dimension && symbol.size.power(i32::from(power)) == Some(size)
    };
    let found = naming().find(|(_, symbol)| raised(symbol));
    found.map(|(number, _)| Term::new(number, 1))
}

fn symbol_of(dimension: Dimension, size: Fraction) -> Option<u16> {
    root_named(dimension, size, 1).map(|term| term.symbol)
}

/// ft2, m3 and the like.
fn length_power(dimension: Dimension, size: Fraction) -> Option<Term> {
    let metre = by_number(number("m")?)?.dimension;
    let power = [2, 3]
        .into_iter()
        .find(|power| Dimension::NONE.times(metre, *power) == dimension)?;
    let length = |symbol: &Symbol| {
        symbol.dimension == metre && symbol.is_listed() && symbol.size.power(i32::from(power)) == Some(size)
    };
    let found = naming().find(|(_, symbol)| length(symbol));
    found.map(|(number, _)| Term::new(number, i32::from(power)))
}
