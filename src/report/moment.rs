//! Clock times, counted times and moments, as shown and as machines read them.
//!
//! A clock time counts seconds from midnight, a moment seconds from
//! 1970-01-01 00:00, without a zone. Whole seconds are shown as they are; a
//! calculated time that isn't whole, or is known to no better than a minute,
//! is shown to the minute. Start reading at [`shown_time`].

use crate::calendar::{DAY, date_of};
use crate::number::Number;

use super::digits::{Expanded, Form, Quantity, calculated, minutes_width, uncertainty_text};
use super::shown::Shown;

/// A clock time as machines read it: `21:40:00`; `None` beyond all clocks.
pub fn machine_time(seconds: Number) -> Option<String> {
    let (whole, fraction) = split(seconds)?;
    let clock = clock_with_seconds(whole.rem_euclid(DAY));
    Some(format!("{clock}{fraction}"))
}

/// A counted time as machines read it, with the midnights since the day of its beginning:
/// `06:00:00 (+1 d)`; `None` beyond all clocks.
pub fn machine_counted(seconds: Number) -> Option<String> {
    let (whole, _) = split(seconds)?;
    Some(format!("{} ({:+} d)", machine_time(seconds)?, whole.div_euclid(DAY)))
}

/// A moment as machines read it: `2026-01-11T21:40:00`; `None` beyond year 9999.
pub fn machine_moment(seconds: Number) -> Option<String> {
    let (whole, fraction) = split(seconds)?;
    let day = date_of(whole)?;
    let clock = clock_with_seconds(whole.rem_euclid(DAY));
    Some(format!("{day}T{clock}{fraction}"))
}

/// A clock time or a counted one as shown: `21:40`, and `06:16 (+1 d)` past midnight. The
/// uncertainty is in seconds.
pub fn shown_time(seconds: Number, expanded: Option<&Expanded>) -> Option<Shown> {
    let whole = shown_seconds(seconds, expanded)?;
    let clock = shown_clock(whole.rem_euclid(DAY));
    let value = match whole.div_euclid(DAY) {
        0 => clock,
        days => format!("{clock} ({days:+} d)"),
    };
    Some(with_uncertainty(value, expanded))
}

/// A moment as shown: `2026-01-11 21:40`, at midnight the date alone. The uncertainty is in seconds.
pub fn shown_moment(seconds: Number, expanded: Option<&Expanded>) -> Option<Shown> {
    let whole = shown_seconds(seconds, expanded)?;
    let date = date_of(whole)?;
    let value = match (whole.rem_euclid(DAY), expanded) {
        (0, None) => date,
        (clock, _) => format!("{date} {}", shown_clock(clock)),
    };
    Some(with_uncertainty(value, expanded))
}

/// Whether any of these moments has a time of day beside its date.
pub(crate) fn has_clock<'a>(mut moments: impl Iterator<Item = &'a Number>) -> bool {
    let day = Number::from_integer(DAY);
    moments.any(|moment| !moment.div(day).is_ok_and(Number::is_whole))
}

/// A moment as shown among others that have a time of day: midnight has one too.
pub(crate) fn beside_clocks(shown: Shown) -> Shown {
    match shown.value.contains(' ') {
        true => shown,
        false => Shown {
            value: format!("{} 00:00", shown.value),
            ..shown
        },
    }
}

/// Whole seconds, and the rest as `.25` or nothing.
fn split(seconds: Number) -> Option<(i64, String)> {
    let whole = seconds.floor();
    let rest = seconds.sub(whole).ok()?.to_plain();
    let fraction = rest.strip_prefix('0').unwrap_or("").to_owned();
    Some((whole.to_integer()?, fraction))
}

/// Rounded to the minute unless seconds are exact and nothing blurs them.
fn shown_seconds(seconds: Number, expanded: Option<&Expanded>) -> Option<i64> {
    let minute = Number::from_integer(60);
    let blurred = expanded.is_some_and(|known| known.half_width >= minute);
    if seconds.is_whole() && !blurred {
        return seconds.to_integer();
    }
    let minutes = seconds.div(minute).ok()?.round().to_integer()?;
    minutes.checked_mul(60)
}

fn clock_with_seconds(second: i64) -> String {
    let (hours, minutes) = (second / 3600, second / 60 % 60);
    format!("{hours:02}:{minutes:02}:{:02}", second % 60)
}

fn shown_clock(second: i64) -> String {
    let clock = clock_with_seconds(second);
    match clock.strip_suffix(":00") {
        Some(short) => short.to_owned(),
        None => clock,
    }
}

/// In days from two days up, else in hours and minutes from 100 minutes up, else in minutes from one
/// minute up, else in seconds.
fn with_uncertainty(value: String, expanded: Option<&Expanded>) -> Shown {
    let uncertainty = expanded.and_then(|known| {
        let minute = Number::from_integer(60);
        let day = Number::from_integer(DAY);
        let hundred = Number::from_integer(6000);
        if (hundred..Number::from_integer(2 * DAY)).contains(&known.half_width) {
            let width = minutes_width(known.half_width.div(minute).ok()?);
            return Some(uncertainty_text(&width, known));
        }
        let (unit, half_width) = if known.half_width >= Number::from_integer(2 * DAY) {
            ("d", known.half_width.div(day).ok()?)
        } else if known.half_width >= minute {
            ("min", known.half_width.div(minute).ok()?)
        } else {
            ("s", known.half_width)
        };
        let expanded = Some(Expanded { half_width, ..*known });
        let quantity = Quantity {
            value: Number::ZERO,
            unit,
            form: Form::Plain,
            expanded,
        };
        calculated(&quantity, 4).uncertainty
    });
    Shown {
        value,
        uncertainty,
        ..Shown::default()
    }
}
