//! What kind of thing a value is, before it has a value.

use super::Unit;

/// The kind of a value: settled for every name before anything runs.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Kind {
    /// A number in a unit; a point on a scale where the unit is °F, °C, psig or kPag alone.
    Quantity(Unit),
    /// A sound level in dB.
    Level,
    /// A dB literal, or something minus one: a level or a difference as its place asks.
    /// (A plain difference of levels is `Quantity` in dB.)
    Decibels,
    /// A time of day; the number counts seconds from midnight.
    TimeOfDay,
    /// A date and time without zone; the number counts seconds from 1970-01-01 00:00.
    Moment,
    /// A text; the number is its place in the table of texts.
    Text,
    /// True (1) or false (0).
    Truth,
}
