//! Writing units: spelled as shown and as they can be typed back.
//!
//! Symbols above the stroke come first, in their order; a product below it gets
//! parentheses; with nothing above it stands `each`. Start reading at the
//! `Display` of [`Unit`].

use std::fmt;

use super::{Term, Unit};

/// A plain number shows nothing.
impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let above = self.terms().filter(|term| term.is_above());
        let below = self.terms().filter(|term| !term.is_above());
        let pieces: u32 = below.clone().map(count).sum();
        if above.clone().next().is_none() && pieces > 0 {
            f.write_str("each")?;
        }
        write_side(f, above)?;
        match pieces {
            0 => Ok(()),
            1 => {
                f.write_str("/")?;
                write_side(f, below)
            }
            _ => {
                f.write_str("/(")?;
                write_side(f, below)?;
                f.write_str(")")
            }
        }
    }
}

impl fmt::Debug for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "[{self}]")
    }
}

/// How often the symbol is written: a power has one digit.
fn count(term: Term) -> u32 {
    term.power.unsigned_abs().div_ceil(9)
}

fn write_side(f: &mut fmt::Formatter<'_>, terms: impl Iterator<Item = Term>) -> fmt::Result {
    let mut separator = "";
    for term in terms {
        let mut left = term.power.unsigned_abs();
        while left > 0 {
            f.write_str(separator)?;
            write_power(f, term, left.min(9))?;
            left = left.saturating_sub(9);
            separator = "·";
        }
    }
    Ok(())
}

fn write_power(f: &mut fmt::Formatter<'_>, term: Term, power: u32) -> fmt::Result {
    f.write_str(term.known().map_or("", |symbol| symbol.shown()))?;
    if power > 1 { write!(f, "{power}") } else { Ok(()) }
}
