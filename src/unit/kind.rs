//! What kind of thing a value is, before it has a value.

use crate::calendar;
use crate::number::Number;

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
    /// A clock time, of whichever day; the number counts seconds from midnight.
    TimeOfDay,
    /// A clock time that was counted on from another; the number counts seconds from the
    /// midnight of the day of its beginning.
    Counted(Beginning),
    /// A date and time without zone; the number counts seconds from 1970-01-01 00:00.
    Moment,
    /// A text; the number is its place in the table of texts.
    Text,
    /// True (1) or false (0).
    Truth,
}

/// What a counted time was counted from: two of one beginning stand in order.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Beginning {
    /// None of its own: it is written with its day, `06:00 (+1 d)`, and goes with any.
    Written,
    /// A clock time in the text, in seconds from midnight.
    Clock(u32),
    /// An entry, by its cell.
    Entry(u32),
    /// A column of a table, by its slot.
    Column(u32),
    /// Something without a name in the line that is being looked at, by where it stands there.
    Here(u32),
}

impl Kind {
    /// Whether it is the same, whatever counted times were counted from: a worksheet that
    /// is read again numbers its entries anew.
    pub(crate) fn is_like(self, other: Kind) -> bool {
        self.without_beginning() == other.without_beginning()
    }

    /// Whether it is a time: a clock time, a counted one or a moment.
    pub(crate) fn is_time(self) -> bool {
        matches!(self, Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment)
    }

    /// A time as it can be typed, to the second: `21:40`, `06:00 (+1 d)`, `2026-01-11 21:40`;
    /// `None` for what is no time, or beyond all calendars.
    pub(crate) fn typed_time(self, seconds: Number) -> Option<String> {
        let whole = seconds.round().to_integer()?;
        match self {
            Kind::TimeOfDay => Some(calendar::clock(whole)),
            Kind::Counted(_) => Some(calendar::counted(whole)),
            Kind::Moment => calendar::moment(whole),
            _ => None,
        }
    }

    fn without_beginning(self) -> Kind {
        match self {
            Kind::Counted(_) => Kind::Counted(Beginning::Written),
            other => other,
        }
    }
}
