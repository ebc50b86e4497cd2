//! Units: what they measure, how they convert, and which one a result keeps.
//!
//! A [`Unit`] is a short ordered list of symbols with powers, as a person would
//! write it. Conversions are exact ratios, applied once where units meet. Points
//! on a scale (°F, psig), sound levels and times are kept apart by [`Kind`].
//! Start reading at [`Unit::parse`] and [`product`].

pub(crate) mod combine;
pub(crate) mod convert;
mod currency;
pub(crate) mod dimension;
mod fraction;
pub(crate) mod kind;
pub(crate) mod measure;
mod naming;
pub(crate) mod parse;
pub(crate) mod ratio;
pub(crate) mod show;
pub mod symbol;

use symbol::{Role, Symbol};

pub use combine::{Combined, Exponent, power, product, quotient};
pub use convert::{Conversion, Mismatch, conversion, conversion_to_absolute, mismatch};
pub use dimension::Dimension;
pub use kind::{Beginning, Kind};
pub use parse::UnitTrouble;
pub use ratio::Ratio;

/// A unit as written: symbols with powers, in order; [`Unit::ONE`] has none.
///
/// Sixteen bytes and `Copy`: each of at most eight terms packs a symbol number
/// (10 bits) and a power (6 bits, signed).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Unit {
    pub(crate) terms: [u16; 8],
}

/// A symbol by number, and its power: below zero stands below the stroke.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Term {
    pub(crate) symbol: u16,
    pub(crate) power: i32,
}

impl Term {
    pub(crate) fn new(symbol: u16, power: i32) -> Term {
        Term { symbol, power }
    }

    fn unpacked(packed: u16) -> Term {
        let power = i32::from(packed & 63);
        Term {
            symbol: packed >> 6,
            power: if power > 31 { power - 64 } else { power },
        }
    }

    fn packed(self) -> Option<u16> {
        if self.power == 0 || self.power.unsigned_abs() > 31 || self.symbol > 1023 {
            return None;
        }
        let power = u16::try_from(self.power & 63).ok()?;
        Some((self.symbol << 6) | power)
    }

    /// What stands in the table for it.
    pub(crate) fn known(self) -> Option<&'static Symbol> {
        symbol::by_number(self.symbol)
    }

    /// What it does in a product.
    fn role(self) -> Role {
        self.known().map_or(Role::Plain, |symbol| symbol.role)
    }

    /// On the other side of the stroke.
    pub(crate) fn turned(self) -> Term {
        Term::new(self.symbol, -self.power)
    }

    /// Whether it is above the stroke.
    pub(crate) fn is_above(self) -> bool {
        self.power > 0
    }
}

impl Unit {
    /// No unit: a plain number.
    pub const ONE: Unit = Unit { terms: [0; 8] };

    pub(crate) fn terms(self) -> impl Iterator<Item = Term> + Clone {
        let filled = self.terms.into_iter().take_while(|packed| *packed != 0);
        filled.map(Term::unpacked)
    }

    /// With one more term, or a power raised; `None` where it doesn't fit.
    pub(crate) fn with(mut self, term: Term) -> Option<Unit> {
        let same = |packed: &u16| {
            let mine = Term::unpacked(*packed);
            *packed == 0 || (mine.symbol == term.symbol && mine.is_above() == term.is_above())
        };
        let slot = self.terms.iter_mut().find(|packed| same(packed))?;
        let power = Term::unpacked(*slot).power.checked_add(term.power)?;
        *slot = Term::new(term.symbol, power).packed()?;
        Some(self)
    }

    pub(crate) fn of_terms(terms: impl IntoIterator<Item = Term>) -> Option<Unit> {
        terms.into_iter().try_fold(Unit::ONE, Unit::with)
    }

    /// The only symbol, where it stands alone and to the first power.
    pub(crate) fn only(self) -> Option<u16> {
        let mut terms = self.terms();
        let first = terms.next().filter(|term| term.power == 1)?;
        terms.next().is_none().then_some(first.symbol)
    }
}
