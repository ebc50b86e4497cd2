//! Ranges and ticks: where an axis begins and ends, and what stands along it.
//!
//! Ticks stand at 1, 2 or 5 times a power of ten, on a clock at the steps of a
//! clock, at exact decimals, so that no text is longer than it needs to be.
//! Where numbers are too large or too small for that, the two ends are the
//! ticks. Start reading at [`axis()`].

use crate::number::Number;

use super::super::digits::{self, Form, Quantity};
use super::super::moment;
use super::{Axis, Measure, Scale, Tick};

/// From one number to another, as counted along an axis.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Range {
    /// The lower end.
    pub low: Number,
    /// The upper end.
    pub high: Number,
}

/// What becomes of the ends of a range.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ends {
    /// They stay, unless they are the same.
    Kept,
    /// They move outward to a tick.
    Rounded,
}

/// The most ticks of an axis.
const MOST: usize = 10;
/// The digits of an end that is no tick.
const END_DIGITS: u32 = 6;
/// A day in seconds, and in minutes.
const DAY: (i64, i64) = (86_400, 1_440);
/// The steps of a clock below a day, in seconds.
const CLOCK: [i64; 18] = [
    1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 14_400, 21_600, 43_200,
];

impl Range {
    /// From the least to the greatest; `None` of nothing.
    pub fn of(values: impl IntoIterator<Item = Number>) -> Option<Range> {
        let mut range: Option<Range> = None;
        for value in values {
            let held = range.get_or_insert(Range {
                low: value,
                high: value,
            });
            if value.compare(held.low).is_lt() {
                held.low = value;
            }
            if value.compare(held.high).is_gt() {
                held.high = value;
            }
        }
        range
    }

    /// How far along a value lies: 0 at the lower end, 1 at the upper.
    pub fn part(&self, value: Number) -> f64 {
        let exact = value.sub(self.low).ok().zip(self.span());
        let (over, span) = exact.map_or_else(
            || {
                (
                    value.to_f64() - self.low.to_f64(),
                    self.high.to_f64() - self.low.to_f64(),
                )
            },
            |(over, span)| (over.to_f64(), span.to_f64()),
        );
        if span > 0.0 { (over / span).clamp(0.0, 1.0) } else { 0.5 }
    }

    /// The value at a part of the way.
    pub fn value(&self, part: f64) -> Option<Number> {
        let (low, high) = (self.low.to_f64(), self.high.to_f64());
        Number::from_f64(low + (high - low) * part).ok()
    }

    /// Whether a value lies inside or at an end.
    pub fn holds(&self, value: Number) -> bool {
        value.compare(self.low).is_ge() && value.compare(self.high).is_le()
    }

    /// Whether a value lies no further away than the range is wide.
    pub(crate) fn is_near(&self, value: Number) -> bool {
        let wide = self.widened();
        let near = || {
            let span = wide.span()?;
            let (low, high) = (wide.low.sub(span).ok()?, wide.high.add(span).ok()?);
            Some(Range { low, high }.holds(value))
        };
        near().unwrap_or(false)
    }

    fn span(&self) -> Option<Number> {
        self.high.sub(self.low).ok()
    }

    /// A range of one value made wider by a tenth each way, or by one at zero.
    fn widened(&self) -> Range {
        if self.low != self.high {
            return *self;
        }
        let by = match self.low.is_zero() {
            true => Number::ONE,
            false => Number::from_parts(1, 1)
                .and_then(|tenth| self.low.abs().mul(tenth).ok())
                .unwrap_or(Number::ONE),
        };
        let wide = self.low.sub(by).ok().zip(self.high.add(by).ok());
        wide.map_or(*self, |(low, high)| Range { low, high })
    }
}

/// An axis over a range, with the range it has in the end.
pub fn axis(measure: &Measure, range: Range, ends: Ends, most: u32) -> (Axis, Range) {
    let mut range = range.widened();
    let step = step(measure.scale, &range, most);
    if let (Ends::Rounded, Some(step)) = (ends, step) {
        range = rounded(&range, step.0);
    }
    let mut ticks = step.map_or(Vec::new(), |step| ticks(measure.scale, &range, step));
    if ticks.is_empty() {
        ticks = [range.low, range.high].map(|end| (end, measure.end_text(end))).to_vec();
    }
    let mut told: Vec<Tick> = Vec::new();
    for (value, text) in ticks {
        if told.iter().all(|tick| tick.text != text) {
            let at = range.part(value);
            told.push(Tick { at, text });
        }
    }
    let axis = Axis {
        label: measure.label(&range),
        ticks: told,
    };
    (axis, range)
}

/// A step between ticks, and the power of ten of its digit.
type Step = (Number, i32);

fn step(scale: Scale, range: &Range, most: u32) -> Option<Step> {
    let rough = range.span()?.div(Number::from_integer(i64::from(most))).ok()?;
    match scale {
        Scale::Plain => nice(rough),
        Scale::HoursAndMinutes => on_a_clock(rough, 60, DAY.1),
        Scale::TimeOfDay | Scale::Moment => on_a_clock(rough, 1, DAY.0),
    }
}

/// The least of 1, 2 and 5 times a power of ten that is no less.
fn nice(rough: Number) -> Option<Step> {
    let power = rough.magnitude();
    let steps = [(1, power), (2, power), (5, power), (1, power + 1)];
    let mut steps = steps.iter().filter_map(|(digit, power)| {
        let step = Number::parse(&format!("{digit}e{power}")).ok()?;
        (step.compare(rough).is_ge()).then_some((step, *power))
    });
    steps.next()
}

/// The least step of a clock that is no less; from a day up, a nice number of days.
fn on_a_clock(rough: Number, seconds: i64, day: i64) -> Option<Step> {
    let steps = CLOCK
        .iter()
        .filter(|step| **step >= seconds)
        .map(|step| *step / seconds);
    let mut steps = steps
        .map(Number::from_integer)
        .filter(|step| step.compare(rough).is_ge());
    if let Some(step) = steps.next() {
        return Some((step, 0));
    }
    let day = Number::from_integer(day);
    let (days, _) = nice(rough.div(day).ok()?)?;
    let days = if days.compare(Number::ONE).is_lt() {
        Number::ONE
    } else {
        days
    };
    Some((days.mul(day).ok()?, 0))
}

/// The ends moved outward to multiples of the step.
fn rounded(range: &Range, step: Number) -> Range {
    let end = |value: Number, to: fn(Number) -> Number| to(value.div(step).ok()?).mul(step).ok();
    Range {
        low: end(range.low, Number::floor).unwrap_or(range.low),
        high: end(range.high, Number::ceil).unwrap_or(range.high),
    }
}

/// The multiples of the step inside the range, with their texts.
fn ticks(scale: Scale, range: &Range, (step, power): Step) -> Vec<(Number, String)> {
    let mut found = Vec::new();
    let first = range.low.div(step).ok().and_then(|steps| steps.ceil().mul(step).ok());
    let mut next = first;
    while let Some(value) = next.filter(|value| range.holds(*value) && found.len() <= MOST) {
        found.push(value);
        next = value.add(step).ok().filter(|after| *after != value);
    }
    if found.len() > MOST {
        return Vec::new();
    }
    let days = spans_days(range);
    let text = |value: Number| match scale {
        Scale::Plain => digits::rounded_text(value, power.min(0)),
        Scale::HoursAndMinutes => hours_and_minutes(value),
        Scale::TimeOfDay => moment::shown_time(value, None).map_or(value.to_plain(), |shown| shown.value),
        Scale::Moment => moment_text(value, days),
    };
    found.into_iter().map(|value| (value, text(value))).collect()
}

/// Whether it is a day long or longer, in seconds.
fn spans_days(range: &Range) -> bool {
    let day = Number::from_integer(DAY.0);
    range.span().is_some_and(|span| span.compare(day).is_ge())
}

/// `4:30`, `-0:05`
fn hours_and_minutes(minutes: Number) -> String {
    let Some(total) = minutes.abs().round().to_integer() else {
        return minutes.to_plain();
    };
    let sign = if minutes.is_negative() { "-" } else { "" };
    format!("{sign}{}:{:02}", total / 60, total % 60)
}

/// A date at midnight, else the clock, with month and day where the axis goes over days.
fn moment_text(value: Number, days: bool) -> String {
    let shown = moment::shown_moment(value, None).map_or(value.to_plain(), |shown| shown.value);
    match shown.split_once(' ') {
        None => shown,
        Some((_, clock)) if !days => clock.to_owned(),
        Some((date, clock)) => {
            let day = date.get(date.len().saturating_sub(5)..).unwrap_or(date);
            format!("{day} {clock}")
        }
    }
}

impl Scale {
    /// A number as it is counted along an axis: hours and minutes in minutes, the rest as it is.
    pub(super) fn counted(self, value: Number) -> Option<Number> {
        match self {
            Scale::HoursAndMinutes => value.mul(Number::from_integer(60)).ok(),
            _ => Some(value),
        }
    }
}

impl Measure {
    /// A counted number as a reader is told it, with its unit.
    pub(super) fn shown(&self, counted: Number) -> String {
        self.shown_to(counted, digits::DEFAULT_DIGITS)
    }

    fn shown_to(&self, counted: Number, significant: u32) -> String {
        let shown = match self.scale {
            Scale::Plain => None,
            Scale::HoursAndMinutes => return digits::compound(counted.round()),
            Scale::TimeOfDay => moment::shown_time(counted, None),
            Scale::Moment => moment::shown_moment(counted, None),
        };
        let number = || {
            let quantity = Quantity::exact(counted, &self.unit, Form::Plain);
            digits::calculated(&quantity, significant)
        };
        shown.unwrap_or_else(number).value
    }

    /// The text of an end that is no tick, without the unit.
    fn end_text(&self, counted: Number) -> String {
        self.without_unit().shown_to(counted, END_DIGITS)
    }

    /// A counted number as a reader is told it, without its unit.
    pub(super) fn bare(&self, counted: Number) -> String {
        self.without_unit().shown(counted)
    }

    fn without_unit(&self) -> Measure {
        Measure {
            unit: String::new(),
            ..self.clone()
        }
    }

    /// What stands beside the axis: the name and the unit, of moments the day.
    pub(super) fn label(&self, range: &Range) -> String {
        match self.scale {
            Scale::Plain if self.unit.is_empty() => self.name.clone(),
            Scale::Plain => format!("{} [{}]", self.name, self.unit),
            Scale::HoursAndMinutes => format!("{} [h:min]", self.name),
            Scale::TimeOfDay => self.name.clone(),
            Scale::Moment => format!("{}, {}", self.name, days_of(range)),
        }
    }
}

/// `2026-01-11`, or from one to another.
fn days_of(range: &Range) -> String {
    let day = |value: Number| {
        let shown = moment::shown_moment(value, None).map_or(value.to_plain(), |shown| shown.value);
        shown.split(' ').next().unwrap_or("").to_owned()
    };
    let (first, last) = (day(range.low), day(range.high));
    match first == last {
        true => first,
        false => format!("{first} to {last}"),
    }
}
