//! Units: what they measure, how they convert, and which one a result keeps.
//!
//! A [`Unit`] is a short ordered list of symbols with powers, as a person would
//! write it. Conversions are exact ratios, applied once where units meet. Points
//! on a scale (°F, psig), sound levels and times are kept apart by [`Kind`].
//! Start reading at [`Unit::parse`] and [`product`].

pub mod combine;
pub mod convert;
pub mod dimension;
pub mod kind;
pub mod parse;
pub mod symbol;

pub use combine::{Combined, Exponent, power, product, quotient};
pub use convert::{Conversion, Ratio, conversion};
pub use dimension::Dimension;
pub use kind::Kind;
pub use parse::UnitTrouble;

/// A unit as written: symbols with powers, in order; [`Unit::ONE`] has none.
///
/// Sixteen bytes and `Copy`: each of at most eight terms packs a symbol number
/// (10 bits) and a power (6 bits, signed).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Unit {
    pub(crate) terms: [u16; 8],
}

impl Unit {
    /// No unit: a plain number.
    pub const ONE: Unit = Unit { terms: [0; 8] };
}
