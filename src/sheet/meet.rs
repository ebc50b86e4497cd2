//! Where two values meet: sums, comparisons, branches, arguments.
//!
//! The unit of the first value is kept and the other is converted to it, once.
//! Points and intervals, levels and differences, times and durations, watts and
//! volt-amperes, currencies are each kept apart with a reason.
//! Start reading at [`Checker::alike`] and [`Checker::add`].

use crate::number::Number;
use crate::problem::{Code, Problem};
use crate::text::Span;
use crate::unit::{Combined, Conversion, Kind, Mismatch, Ratio, Unit, conversion, mismatch, product, quotient};

use super::checker::{Checker, decibel, describe, is_decibel};
use super::day::Meeting;
use super::typed::{Arithmetic, Node, Typed};

impl Checker<'_> {
    /// The value as that kind, converted if need be; given back where it doesn't fit.
    pub(super) fn fit(&self, value: Typed, target: Kind) -> Result<Typed, Typed> {
        let conversion = match (value.kind, target) {
            (found, target) if found == target => return Ok(value),
            (found, target) if found.is_time() && target.is_time() => match self.stands_in(&value, target) {
                true => return Ok(value.with_kind(target)),
                false => None,
            },
            (Kind::Decibels, Kind::Level) => return Ok(value.with_kind(target)),
            (Kind::Decibels, Kind::Quantity(unit)) if is_decibel(unit) => return Ok(value.with_kind(target)),
            (Kind::Quantity(from), Kind::Quantity(to)) => conversion(from, to),
            _ => None,
        };
        match conversion {
            Some(conversion) => Ok(value.converted(conversion, target)),
            None => Err(value),
        }
    }

    /// Two values as one kind, the second in the unit of the first.
    pub(super) fn alike(
        &mut self,
        left: Typed,
        right: Typed,
        place: Span,
        meeting: Meeting,
    ) -> Option<(Typed, Typed, Kind)> {
        if left.kind.is_time() && right.kind.is_time() {
            return self.times_alike(left, right, place, meeting);
        }
        let (left, right) = settled_decibels(left, right);
        let kind = left.kind;
        match self.fit(right, kind) {
            Ok(right) => Some((left, right, kind)),
            Err(right) => {
                let what = match meeting {
                    Meeting::Comparison => "the two sides don't go together",
                    _ => "the branches of `if` don't go together",
                };
                let problem = self.clash(&left, &right, place, what);
                self.reported(problem)
            }
        }
    }

    /// Two times as one kind, in which they stand in order.
    fn times_alike(
        &mut self,
        left: Typed,
        right: Typed,
        place: Span,
        meeting: Meeting,
    ) -> Option<(Typed, Typed, Kind)> {
        match self.in_order(&left, &right) {
            Some(kind) => Some((left.with_kind(kind), right.with_kind(kind), kind)),
            None => {
                let problem = self.which_day(&left, &right, place, meeting);
                self.reported(problem)
            }
        }
    }

    pub(super) fn add(&mut self, left: Typed, right: Typed, place: Span, span: Span) -> Option<Typed> {
        match (left.kind, right.kind) {
            (Kind::Quantity(one), Kind::Quantity(other)) => self.add_quantities(left, right, (one, other), place, span),
            (time, Kind::Quantity(_)) if time.is_time() => self.shift_time(left, right, place, span, false),
            (Kind::Quantity(_), time) if time.is_time() => self.shift_time(right, left, place, span, false),
            (one, other) if one.is_time() && other.is_time() => {
                let message = "two times can't be added".to_owned();
                let problem = self.two_sided(Code::PointArithmetic, message, place, &[&left, &right]);
                let hours = unit_named("h");
                let help = self.duration_help(right.span, right.kind, hours);
                self.reported(
                    problem.help(help.unwrap_or_else(|| "add a duration to a time, such as `21:40 + 2 h`".to_owned())),
                )
            }
            (one, other) if is_sound(one) && is_sound(other) => self.add_sound(left, right, place, span),
            _ => self.no_sum(&left, &right, place, "add"),
        }
    }

    fn add_quantities(
        &mut self,
        left: Typed,
        right: Typed,
        units: (Unit, Unit),
        place: Span,
        span: Span,
    ) -> Option<Typed> {
        let (one, other) = units;
        match (one.is_point(), other.is_point()) {
            (true, true) => {
                let message = format!("two points on a scale, in `{one}` and `{other}`, can't be added");
                let problem = self.two_sided(Code::PointArithmetic, message, place, &[&left, &right]);
                let help = format!(
                    "add an interval, such as `10 {}`, or take `mean(a, b)` of two points",
                    one.interval()
                );
                self.reported(problem.help(help))
            }
            (true, false) => self.shift_point(left, right, (one, other), place, span, Arithmetic::Add),
            (false, true) => {
                let kept = left.span;
                let moved = self.shift_point(right, left, (other, one), place, span, Arithmetic::Add)?;
                Some(Typed {
                    span: kept.to(span),
                    ..moved
                })
            }
            (false, false) => self.same_unit(left, right, place, span, Arithmetic::Add),
        }
    }

    fn shift_point(
        &mut self,
        point: Typed,
        step: Typed,
        units: (Unit, Unit),
        place: Span,
        span: Span,
        arithmetic: Arithmetic,
    ) -> Option<Typed> {
        let (scale, _) = units;
        match self.fit(step, Kind::Quantity(scale.interval())) {
            Ok(step) => Some(arithmetic_on(
                arithmetic,
                place,
                point,
                step,
                Kind::Quantity(scale),
                span,
            )),
            Err(step) => self.no_sum(&point, &step, place, verb(arithmetic)),
        }
    }

    fn same_unit(
        &mut self,
        left: Typed,
        right: Typed,
        place: Span,
        span: Span,
        arithmetic: Arithmetic,
    ) -> Option<Typed> {
        let kind = left.kind;
        match self.fit(right, kind) {
            Ok(right) => Some(arithmetic_on(arithmetic, place, left, right, kind, span)),
            Err(right) => self.no_sum(&left, &right, place, verb(arithmetic)),
        }
    }

    pub(super) fn subtract(&mut self, left: Typed, right: Typed, place: Span, span: Span) -> Option<Typed> {
        match (left.kind, right.kind) {
            (Kind::Quantity(one), Kind::Quantity(other)) => match (one.is_point(), other.is_point()) {
                (true, true) => self.point_difference(left, right, one, place, span),
                (true, false) => self.shift_point(left, right, (one, other), place, span, Arithmetic::Subtract),
                (false, true) => {
                    let message = format!("a point, in `{other}`, can't be taken from {}", describe(left.kind));
                    let problem = self.two_sided(Code::PointArithmetic, message, place, &[&left, &right]);
                    self.reported(problem)
                }
                (false, false) => self.same_unit(left, right, place, span, Arithmetic::Subtract),
            },
            (one, other) if one.is_time() && other.is_time() => self.since(left, right, place, span),
            (time, Kind::Quantity(_)) if time.is_time() => self.shift_time(left, right, place, span, true),
            (one, other) if is_sound(one) && is_sound(other) => Some(subtract_sound(left, right, place, span)),
            _ => self.no_sum(&left, &right, place, "subtract"),
        }
    }

    fn point_difference(&mut self, left: Typed, right: Typed, one: Unit, place: Span, span: Span) -> Option<Typed> {
        match self.fit(right, Kind::Quantity(one)) {
            Ok(right) => {
                let kind = Kind::Quantity(one.interval());
                Some(arithmetic_on(Arithmetic::Subtract, place, left, right, kind, span))
            }
            Err(right) => self.no_sum(&left, &right, place, "subtract"),
        }
    }

    /// One time less another. Of two clock times nobody knows the days: the later one can't
    /// be taken away.
    fn since(&mut self, left: Typed, right: Typed, place: Span, span: Span) -> Option<Typed> {
        let Some(kind) = self.in_order(&left, &right) else {
            let problem = self.which_day(&left, &right, place, Meeting::Difference);
            return self.reported(problem);
        };
        let arithmetic = match kind {
            Kind::TimeOfDay => Arithmetic::SubtractTime,
            _ => Arithmetic::Subtract,
        };
        Some(time_difference(left, right, place, span, arithmetic))
    }

    fn shift_time(&mut self, time: Typed, step: Typed, place: Span, span: Span, back: bool) -> Option<Typed> {
        let second = unit_named("s");
        match self.fit(step, Kind::Quantity(second)) {
            Ok(step) => {
                let step = if back { turned(step) } else { step };
                let kind = self.counted_on(&time, Some(&step))?;
                Some(arithmetic_on(Arithmetic::Add, place, time, step, kind, span))
            }
            Err(step) => self.no_sum(&time, &step, place, if back { "subtract" } else { "add" }),
        }
    }

    fn add_sound(&mut self, left: Typed, right: Typed, place: Span, span: Span) -> Option<Typed> {
        if let (Kind::Level, loud @ Kind::Decibels) | (loud @ Kind::Decibels, Kind::Level) = (left.kind, right.kind) {
            let (level, rise) = if right.kind == loud {
                (&left, &right)
            } else {
                (&right, &left)
            };
            self.is_rise(level, rise, place)?;
        }
        let difference = |kind| matches!(kind, Kind::Quantity(_));
        let kind = match (left.kind, right.kind) {
            (Kind::Level, Kind::Decibels) | (Kind::Decibels, Kind::Level) => Kind::Level,
            (Kind::Level, other) | (other, Kind::Level) if difference(other) => Kind::Level,
            (Kind::Decibels, other) | (other, Kind::Decibels) if difference(other) => Kind::Decibels,
            _ => {
                let message = "two sound levels can't be added like lengths".to_owned();
                let problem = self.two_sided(Code::LevelArithmetic, message, place, &[&left, &right]);
                return self.reported(problem.help("add levels by energy: `sound_sum(60 dB, 60 dB)` is 63 dB"));
            }
        };
        Some(arithmetic_on(Arithmetic::Add, place, left, right, kind, span))
    }

    /// Refuses a dB literal beside a level that nobody means as a rise.
    fn is_rise(&mut self, level: &Typed, rise: &Typed, place: Span) -> Option<()> {
        if !is_loud(rise) {
            return Some(());
        }
        let (level_text, rise_text) = (self.written(level.span).to_owned(), self.written(rise.span).to_owned());
        let message = format!("`{rise_text}` can be a second level or a rise, and levels can't be added like lengths");
        let help = format!(
            "both together are `sound_sum({level_text}, {rise_text})`; a rise so large is `{level_text} + ({rise_text} - 0 dB)`"
        );
        let problem = self.two_sided(Code::LevelArithmetic, message, place, &[level, rise]);
        self.reported(problem.help(help))
    }

    fn no_sum(&mut self, left: &Typed, right: &Typed, place: Span, verb: &str) -> Option<Typed> {
        let problem = self.clash(
            left,
            right,
            place,
            &format!("these two can't be {}ed", verb.trim_end_matches('e')),
        );
        self.reported(problem)
    }

    /// The problem of two kinds that don't meet, at the operator.
    pub(super) fn clash(&self, left: &Typed, right: &Typed, place: Span, what: &str) -> Problem {
        let (code, help) = self.clash_code(right.kind, left.kind);
        let message = format!("{what}: {} and {}", describe(left.kind), describe(right.kind));
        let mut problem = self.two_sided(code, message, place, &[left, right]);
        problem.help = help
            .or_else(|| self.bare_help(left, right))
            .or_else(|| self.clock_as_duration(left, right));
        match self.bare_mend(left, right).filter(|_| self.frames.is_empty()) {
            Some((span, text)) => problem.mend(span, text),
            None => problem,
        }
    }

    fn bare_help(&self, left: &Typed, right: &Typed) -> Option<String> {
        let (bare, unit) = match (left.kind, right.kind) {
            (Kind::Quantity(one), Kind::Quantity(unit)) if one == Unit::ONE => (left, unit),
            (Kind::Quantity(unit), Kind::Quantity(one)) if one == Unit::ONE => (right, unit),
            _ => return None,
        };
        match bare.node {
            Node::Constant(value) => Some(format!("write `{value} {unit}`")),
            Node::Cell(_) if self.unitless(bare, unit).is_some() => self.unitless(bare, unit),
            _ => Some(format!("give `{}` a unit where it is defined", self.written(bare.span))),
        }
    }

    /// `6:30` beside a length of time.
    fn clock_as_duration(&self, left: &Typed, right: &Typed) -> Option<String> {
        match (left.kind, right.kind) {
            (Kind::TimeOfDay, Kind::Quantity(unit)) => self.duration_help(left.span, left.kind, unit),
            (Kind::Quantity(unit), Kind::TimeOfDay) => self.duration_help(right.span, right.kind, unit),
            _ => None,
        }
    }

    /// A bare number that meets a quantity, with that unit behind it.
    fn bare_mend(&self, left: &Typed, right: &Typed) -> Option<(Span, String)> {
        match (left.kind, right.kind) {
            (Kind::Quantity(one), Kind::Quantity(unit)) if one == Unit::ONE && !unit.is_point() => {
                self.with_unit(left.span, unit)
            }
            (Kind::Quantity(unit), Kind::Quantity(one)) if one == Unit::ONE && !unit.is_point() => {
                self.with_unit(right.span, unit)
            }
            _ => None,
        }
    }

    /// Which problem it is when `found` stands where `wanted` is needed, and what would help.
    pub(super) fn clash_code(&self, found: Kind, wanted: Kind) -> (Code, Option<String>) {
        let (from, to) = match (found, wanted) {
            (Kind::Quantity(from), Kind::Quantity(to)) => (from, to),
            (Kind::Level | Kind::Decibels, Kind::Quantity(_)) | (Kind::Quantity(_), Kind::Level) => {
                return (Code::LevelArithmetic, None);
            }
            _ => return (Code::KindClash, None),
        };
        if from == Unit::ONE || to == Unit::ONE {
            return (Code::BareNumber, None);
        }
        if let Some(found) = point_clash(from, to) {
            return found;
        }
        let (one, other) = (from.to_string(), to.to_string());
        match mismatch(from, to) {
            Some(Mismatch::PowerAndApparent) => (Code::PowerFactor, Some(power_factor_help(from, to))),
            Some(Mismatch::Currencies) => {
                let help = format!("multiply by a rate of exchange, such as `1.10 {other}/{one}`");
                (Code::CurrencyClash, Some(help))
            }
            _ => (Code::UnitClash, liquid_help(from, to)),
        }
    }
}

/// How the weight of a gallon leads from a volume of propane to its weight, and back.
fn liquid_help(from: Unit, to: Unit) -> Option<String> {
    let density = Unit::parse("lb/gal").ok()?;
    let leads = |combined: Option<Combined>| combined.is_some_and(|one| one.unit.dimension() == to.dimension());
    let how = match (leads(product(from, density)), leads(quotient(from, density))) {
        (true, _) => "multiply",
        (_, true) => "divide",
        _ => return None,
    };
    Some(format!(
        "{how} by the weight of a gallon, `propane_density(60 °F)`, if that is liquid propane"
    ))
}

/// How a power factor leads from one unit to the other.
fn power_factor_help(from: Unit, to: Unit) -> String {
    let (how, motor, heater) = match from.dimension().apparent() > to.dimension().apparent() {
        true => ("multiply", "* 0.8 W/VA", "* 1 W/VA"),
        false => ("divide", "/ (0.8 W/VA)", "/ (1 W/VA)"),
    };
    format!("{how} by a power factor: `{motor}` for most motors, `{heater}` for a heater and for direct current")
}

fn point_clash(from: Unit, to: Unit) -> Option<(Code, Option<String>)> {
    if from.is_point() == to.is_point() {
        return None;
    }
    let (point, plain) = if from.is_point() { (from, to) } else { (to, from) };
    let meets = conversion(plain, point.interval()).is_some()
        || point
            .absolute()
            .is_some_and(|absolute| conversion(plain, absolute).is_some());
    if !meets {
        return None;
    }
    let help = if from.is_point() {
        let absolute = point.absolute().unwrap_or(plain);
        format!(
            "`absolute(…)` gives the distance from absolute zero in `{absolute}`; a difference of two points is in `{}`",
            point.interval()
        )
    } else {
        format!("write `{point}` for a point on the scale")
    };
    Some((Code::PointArithmetic, Some(help)))
}

/// The most that is taken for a difference where a level could be meant: no wall adds more,
/// and no night out of doors is more quiet (common practice, no source).
const MOST_RISE: i64 = 20;

/// Whether a dB literal is more than people mean by a difference.
pub(super) fn is_loud(value: &Typed) -> bool {
    match &value.node {
        Node::Constant(number) => {
            value.kind == Kind::Decibels && number.compare(Number::from_integer(MOST_RISE)).is_gt()
        }
        Node::If(parts) => is_loud(&parts.1) || is_loud(&parts.2),
        _ => false,
    }
}

fn is_sound(kind: Kind) -> bool {
    match kind {
        Kind::Level | Kind::Decibels => true,
        Kind::Quantity(unit) => is_decibel(unit),
        _ => false,
    }
}

/// A dB literal beside a difference is a difference, beside a level a level, beside another a level.
fn settled_decibels(left: Typed, right: Typed) -> (Typed, Typed) {
    let decide = |other: Kind| match other {
        Kind::Quantity(unit) if is_decibel(unit) => other,
        _ => Kind::Level,
    };
    match (left.kind, right.kind) {
        (Kind::Decibels, other) => (left.with_kind(decide(other)), right),
        _ => (left, right),
    }
}

fn subtract_sound(left: Typed, right: Typed, place: Span, span: Span) -> Typed {
    let kind = match (left.kind, right.kind) {
        (Kind::Level, Kind::Level) => Kind::Quantity(decibel()),
        (Kind::Level | Kind::Decibels, Kind::Decibels) => Kind::Decibels,
        (Kind::Decibels, Kind::Level) => Kind::Quantity(decibel()),
        (Kind::Level, _) => Kind::Level,
        (Kind::Decibels, _) => Kind::Decibels,
        _ => Kind::Quantity(decibel()),
    };
    arithmetic_on(Arithmetic::Subtract, place, left, right, kind, span)
}

fn time_difference(left: Typed, right: Typed, place: Span, span: Span, arithmetic: Arithmetic) -> Typed {
    let seconds = arithmetic_on(arithmetic, place, left, right, Kind::Quantity(unit_named("s")), span);
    let hours = Conversion {
        ratio: Ratio {
            numerator: Number::ONE,
            denominator: Number::from_integer(3600),
        },
        offset: Number::ZERO,
    };
    seconds.converted(hours, Kind::Quantity(unit_named("h")))
}

fn turned(step: Typed) -> Typed {
    let (kind, column, span) = (step.kind, step.column, step.span);
    Typed {
        kind,
        column,
        span,
        node: Node::Negate(Box::new(step)),
    }
}

fn verb(arithmetic: Arithmetic) -> &'static str {
    if arithmetic == Arithmetic::Subtract {
        "subtract"
    } else {
        "add"
    }
}

/// A unit of the list by its name.
pub(super) fn unit_named(name: &str) -> Unit {
    Unit::parse(name).unwrap_or(Unit::ONE)
}

fn arithmetic_on(arithmetic: Arithmetic, place: Span, left: Typed, right: Typed, kind: Kind, span: Span) -> Typed {
    let column = left.column || right.column;
    Typed {
        kind,
        column,
        span,
        node: Node::Arithmetic(arithmetic, place, Box::new((left, right))),
    }
}
