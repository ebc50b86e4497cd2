//! What a unit measures: exponents over base quantities, money by currency.

/// Exponents of the base quantities; two units convert only if these agree.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Dimension {
    // to be laid out by the unit layer
}
