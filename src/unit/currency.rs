//! The currencies: three-letter codes with their names.
//!
//! Source: ISO 4217, the codes in use (funds and metals too; not the code for
//! tests and the code for no currency), in `currencies.txt` beside this file. No exchange rate is
//! known here: each currency is a base quantity of its own. Start reading at [`currencies`].

/// Code and name, by code.
pub(super) fn currencies() -> impl Iterator<Item = (&'static str, &'static str)> {
    let lines = include_str!("currencies.txt").lines();
    lines.filter_map(|line| line.split_once(' '))
}
