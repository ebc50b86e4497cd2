//! Literals that need nothing but their own text: numbers, times, dates, texts.
//!
//! Each function takes the text of one literal and says what it is worth, or what
//! is wrong with it and what to write. The caller knows the place.

use crate::number::{Number, Unreadable};
use crate::problem::Code;
use crate::text::Span;

use super::words::is_blank;

/// What is wrong with a literal, and what to write.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Fault {
    pub(super) code: Code,
    pub(super) message: String,
    pub(super) help: Option<String>,
}

impl Fault {
    fn new(code: Code, message: impl Into<String>, help: Option<String>) -> Fault {
        Fault {
            code,
            message: message.into(),
            help,
        }
    }
}

/// `1_250`, `6.2e3`
pub(super) fn number(text: &str) -> Result<Number, Fault> {
    Number::parse(text).map_err(|trouble| match trouble {
        Unreadable::NotANumber => Fault::new(
            Code::NumberFormat,
            format!("`{text}` is not written like a number"),
            None,
        ),
        Unreadable::TooManyDigits => Fault::new(
            Code::NumberSize,
            "this number has more than 28 digits",
            Some("round it yourself, so that it is seen".to_owned()),
        ),
        Unreadable::OutOfRange => Fault::new(
            Code::NumberSize,
            "this number is outside 1e-28 … 7.9e28",
            Some("use a larger or smaller unit".to_owned()),
        ),
    })
}

/// A clock time as it is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ClockTime {
    /// Seconds from midnight.
    pub seconds: i64,
    /// The midnights that are written beside it: `(+1 d)`.
    pub days: Option<i64>,
    /// Whether am or pm is said.
    pub halved: bool,
}

impl ClockTime {
    /// Seconds from the midnight of the day that it is counted from.
    pub fn counted(self) -> Number {
        Number::from_integer(self.days.unwrap_or(0) * 86_400 + self.seconds)
    }
}

/// `21:40`, `21:40:30`, `9:04 pm`, `06:00 (+1 d)`
pub(super) fn clock(text: &str) -> Result<ClockTime, Fault> {
    let (time, days) = match text.split_once('(') {
        Some((time, days)) => (time.trim_end_matches(is_blank), Some(days_on(text, days)?)),
        None => (text, None),
    };
    let (digits, half) = without_half(time);
    let seconds = clock_seconds(digits)?;
    Ok(ClockTime {
        seconds: match half {
            None => seconds,
            Some(half) => of_half(time, seconds, half)?,
        },
        days,
        halved: half.is_some(),
    })
}

/// The most days that can be written beside a clock time.
const MOST_DAYS: i64 = 9_999;

/// `+1 d)`
fn days_on(text: &str, written: &str) -> Result<i64, Fault> {
    let digits: String = written.chars().filter(char::is_ascii_digit).collect();
    let back = written.trim_start_matches(is_blank).starts_with(['-', '−', '–']);
    match digits.parse::<i64>().ok().filter(|days| *days <= MOST_DAYS) {
        Some(days) => Ok(if back { -days } else { days }),
        None => Err(Fault::new(
            Code::TimeFormat,
            format!("`{text}` is more than {MOST_DAYS} days on"),
            Some("write dates, such as `2026-01-11 21:40`".to_owned()),
        )),
    }
}

/// The two halves of a day, of twelve hours each.
#[derive(Clone, Copy)]
enum Half {
    Morning,
    Afternoon,
}

fn without_half(time: &str) -> (&str, Option<Half>) {
    let digits = time.trim_end_matches(|c: char| !c.is_ascii_digit());
    let half = time.get(digits.len()..).unwrap_or("").trim_start_matches(is_blank);
    match half.chars().next() {
        Some('a' | 'A') => (digits, Some(Half::Morning)),
        Some('p' | 'P') => (digits, Some(Half::Afternoon)),
        _ => (time, None),
    }
}

/// Of twelve hours the twelfth comes first.
fn of_half(time: &str, seconds: i64, half: Half) -> Result<i64, Fault> {
    let (hours, rest) = (seconds / 3600, seconds % 3600);
    let afternoon = if matches!(half, Half::Afternoon) { 12 } else { 0 };
    if (1..=12).contains(&hours) {
        return Ok((hours % 12 + afternoon) * 3600 + rest);
    }
    let plain = format!("{hours:02}:{:02}", rest / 60);
    Err(Fault::new(
        Code::TimeFormat,
        format!("there is no clock time `{time}`: am and pm count hours from 1 to 12"),
        Some(format!("write `{plain}`, of 24 hours")),
    ))
}

fn clock_seconds(text: &str) -> Result<i64, Fault> {
    let parts: Vec<&str> = text.split(':').collect();
    let mut lengths = parts.iter().map(|part| part.len());
    let hours_fit = lengths.next().is_some_and(|length| length <= 2);
    if parts.len() > 3 || !hours_fit || lengths.any(|length| length != 2) {
        return Err(Fault::new(
            Code::TimeFormat,
            format!("`{text}` is not written like a clock time"),
            Some(two_digits(&parts)),
        ));
    }
    let mut fields = parts.iter().map(|part| part.parse::<i64>().unwrap_or(99));
    let hours = fields.next().unwrap_or(99);
    let minutes = fields.next().unwrap_or(99);
    let seconds = fields.next().unwrap_or(0);
    if hours > 23 || minutes > 59 || seconds > 59 {
        return Err(Fault::new(
            Code::TimeFormat,
            format!("there is no clock time `{text}`"),
            Some("clock times run from `00:00` to `23:59:59`; a duration is written `24 h 10 min`".to_owned()),
        ));
    }
    Ok(hours * 3600 + minutes * 60 + seconds)
}

fn two_digits(parts: &[&str]) -> String {
    let short = parts.len() <= 3 && parts.iter().all(|part| part.len() <= 2);
    if !short {
        return "write two digits each, such as `09:40` or `09:40:30`".to_owned();
    }
    let padded: Vec<String> = parts.iter().map(|part| format!("{part:0>2}")).collect();
    format!("write two digits each: `{}`", padded.join(":"))
}

fn hours_and_minutes(parts: &[&str]) -> Option<String> {
    let [hours, minutes] = parts else { return None };
    let (hours, minutes) = (hours.parse::<u32>().ok()?, minutes.parse::<u32>().ok()?);
    match (hours, minutes) {
        (_, 60..) => None,
        (0, _) => Some(format!("{minutes} min")),
        (_, 0) => Some(format!("{hours} h")),
        _ => Some(format!("{hours} h {minutes} min")),
    }
}

/// The length of time that may be meant by what is written like a clock time:
/// `6 h 30 min` for `6:30`.
pub fn duration(clock: &str) -> Option<String> {
    hours_and_minutes(&clock.split(':').collect::<Vec<_>>())
}

/// A date, perhaps with a clock time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DatedTime {
    /// Seconds from 1970-01-01 00:00 to its day.
    pub day: i64,
    /// The clock time.
    pub clock: Option<ClockTime>,
}

impl DatedTime {
    /// Seconds from 1970-01-01 00:00.
    pub fn moment(self) -> Number {
        Number::from_integer(self.day + self.clock.map_or(0, |clock| clock.seconds))
    }
}

/// `2026-01-11`, `2026-01-11T21:40`, `2026-01-11 9:40 pm`
pub(super) fn moment(text: &str) -> Result<DatedTime, Fault> {
    let (date, rest) = text.split_at_checked(10).unwrap_or((text, ""));
    let days = days(date).ok_or_else(|| {
        Fault::new(
            Code::TimeFormat,
            format!("the calendar has no `{date}`"),
            Some("a date is year-month-day, such as `2026-01-11`".to_owned()),
        )
    })?;
    let written = rest.trim_start_matches(|c: char| !c.is_ascii_digit());
    Ok(DatedTime {
        day: days * 86_400,
        clock: match written.is_empty() {
            true => None,
            false => Some(clock(written)?),
        },
    })
}

/// Days from 1970-01-01, if the calendar has that date.
fn days(date: &str) -> Option<i64> {
    let mut fields = date.split('-').map(|field| field.parse::<i64>().ok());
    let (year, month, day) = (fields.next()??, fields.next()??, fields.next()??);
    if year < 1 || !(1..=12).contains(&month) || day < 1 || day > month_length(year, month) {
        return None;
    }
    let before = (1..month).map(|m| month_length(year, m)).sum::<i64>();
    let past = year - 1;
    let leap_days = past / 4 - past / 100 + past / 400;
    // 1970-01-01 is day 719 162 from 0001-01-01
    Some(past * 365 + leap_days + before + day - 1 - 719_162)
}

fn month_length(year: i64, month: i64) -> i64 {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// What a text literal, quotes included, says. The error is the bad escape's place in it.
pub(super) fn text(quoted: &str) -> Result<Box<str>, Span> {
    let inner = inside_quotes(quoted);
    if !inner.contains('\\') {
        return Ok(inner.into());
    }
    let opening = quoted.chars().next().map_or(0, char::len_utf8);
    let mut said = String::with_capacity(inner.len());
    let mut rest = inner;
    while let Some(at) = rest.find('\\') {
        said.push_str(rest.get(..at).unwrap_or(""));
        let escape = rest.get(at..).unwrap_or("");
        let (c, len) = escaped(escape).map_err(|len| {
            let start = opening + inner.len() - escape.len();
            Span::new(start, start + len)
        })?;
        said.push(c);
        rest = escape.get(len..).unwrap_or("");
    }
    said.push_str(rest);
    Ok(said.into())
}

fn inside_quotes(quoted: &str) -> &str {
    let mut chars = quoted.chars();
    chars.next();
    chars.next_back();
    chars.as_str()
}

/// The character an escape stands for, and its length; the error is the bad escape's length.
fn escaped(escape: &str) -> Result<(char, usize), usize> {
    let mut chars = escape.chars();
    chars.next();
    match chars.next() {
        Some('"') => Ok(('"', 2)),
        Some('\\') => Ok(('\\', 2)),
        Some('n') => Ok(('\n', 2)),
        Some('u') => unicode(escape),
        Some(other) => Err(1 + other.len_utf8()),
        None => Err(1),
    }
}

fn unicode(escape: &str) -> Result<(char, usize), usize> {
    let body = escape.strip_prefix("\\u{").ok_or(2usize)?;
    let end = body.find('}').filter(|end| *end <= 6).ok_or(2usize)?;
    let len = "\\u{}".len() + end;
    let digits = body.get(..end).unwrap_or("");
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Err(len);
    }
    let code = u32::from_str_radix(digits, 16).map_err(|_| len)?;
    char::from_u32(code).map(|c| (c, len)).ok_or(len)
}
