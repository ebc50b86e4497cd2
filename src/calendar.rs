//! Clock times and dates as they are typed, and the calendar behind them.
//!
//! A clock time counts seconds from midnight, a counted time from the midnight of the day
//! of its beginning, a moment from 1970-01-01 00:00; there are no zones. What is shown to a
//! reader, with its uncertainty, is settled by the report. Start reading at [`counted`].

use jiff::civil::{Date, DateTime, date};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, ZonedDateTime};

/// The seconds of a day.
pub const DAY: i64 = 86_400;

/// The names of the days, from Monday on.
pub(crate) const DAY_NAMES: [&str; 7] = [
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
];

/// The moment that the clock on the wall shows, to the minute.
pub fn now() -> i64 {
    let now = ZonedDateTime::now().datetime();
    let origin: DateTime = date(1970, 1, 1).at(0, 0, 0, 0);
    let seconds = now.duration_since(origin).as_secs();
    seconds - seconds.rem_euclid(60)
}

/// Whether the zone of that clock is known; without it, it shows UTC.
pub(crate) fn zone_is_known() -> bool {
    !TimeZone::system().is_unknown()
}

/// The hour on the wall: `21:40`, `21:40:30`.
pub fn clock(seconds: i64) -> String {
    let second = seconds.rem_euclid(DAY);
    let clock = format!("{:02}:{:02}", second / 3600, second / 60 % 60);
    match second % 60 {
        0 => clock,
        rest => format!("{clock}:{rest:02}"),
    }
}

/// The hour on the wall, with the midnights since the day that it is counted from:
/// `22:00 (+0 d)`, `06:00 (+1 d)`.
pub fn counted(seconds: i64) -> String {
    format!("{} ({:+} d)", clock(seconds), seconds.div_euclid(DAY))
}

/// A date, with its clock time where that isn't midnight.
pub fn moment(seconds: i64) -> Option<String> {
    let day = date_of(seconds)?;
    match seconds.rem_euclid(DAY) {
        0 => Some(day),
        _ => Some(format!("{day} {}", clock(seconds))),
    }
}

/// The date of a moment: `2026-01-11`; `None` beyond year 9999.
pub fn date_of(seconds: i64) -> Option<String> {
    Some(civil(seconds)?.date().to_string())
}

/// The month of a moment, from 1 to 12.
pub fn month(seconds: i64) -> Option<i64> {
    Some(i64::from(civil(seconds)?.month()))
}

/// The day of the week of a moment, from 0 for Monday on.
pub fn weekday(seconds: i64) -> usize {
    // 1970-01-01 was a Thursday
    usize::try_from((seconds.div_euclid(DAY) + 3).rem_euclid(7)).unwrap_or(0)
}

/// The year of a moment.
pub fn year(seconds: i64) -> Option<i16> {
    Some(civil(seconds)?.year())
}

/// A change of the clocks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ClockChange {
    /// When the clock that is changed shows it: 02:00 of that night, from 1970-01-01 00:00.
    pub at: i64,
    /// Whether it goes forward.
    pub forward: bool,
}

/// The changes of a year in most of the United States: at 02:00 on the second Sunday of
/// March and on the first of November (15 USC 260a, since 2007).
pub fn clock_changes(year: i16) -> Vec<ClockChange> {
    let sunday = |month: i8, from: i8, forward: bool| {
        let begins = Date::new(year, month, from).ok()?;
        let days = begins.since(date(1970, 1, 1)).ok()?.get_days();
        let midnight = i64::from(days) * DAY;
        let wait = (6 - weekday(midnight) as i64).rem_euclid(7);
        Some(ClockChange {
            at: midnight + wait * DAY + 2 * 3600,
            forward,
        })
    };
    [sunday(3, 8, true), sunday(11, 1, false)]
        .into_iter()
        .flatten()
        .collect()
}

fn civil(seconds: i64) -> Option<DateTime> {
    let origin: DateTime = date(1970, 1, 1).at(0, 0, 0, 0);
    origin.checked_add(SignedDuration::from_secs(seconds)).ok()
}
