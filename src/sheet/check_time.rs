//! Checking calls of the functions that tell and join days: `clock`, `date`, `weekday`,
//! `month`, `at` and `next_time`.
//!
//! What they give is settled here, so that nothing asks for a day at run time. Which times
//! stand in order is in [`super::day`]. Start reading at [`Checker::time_function`].

use crate::calendar::DAY_NAMES;
use crate::problem::Code;
use crate::text::Span;
use crate::trade::{Built, Function};
use crate::unit::{Kind, Unit};

use super::checker::{Checker, describe};
use super::typed::{Arithmetic, Node, Typed};

impl Checker<'_> {
    /// A call of a function of times.
    pub(super) fn time_function(
        &mut self,
        function: &'static Function,
        built: Built,
        values: Vec<Typed>,
        span: Span,
    ) -> Option<Typed> {
        match (built, values.as_slice()) {
            (Built::Clock, [time]) if time.kind.is_time() => Some(call(function, values, Kind::TimeOfDay, span)),
            (Built::Clock, [other]) => self.no_time(function, other, "a time"),
            (Built::Date, [day]) => {
                self.dated(function, day)?;
                Some(call(function, values, Kind::Moment, span))
            }
            (Built::Month, [day]) => {
                self.dated(function, day)?;
                Some(call(function, values, Kind::Quantity(Unit::ONE), span))
            }
            (Built::Weekday, [day]) => {
                self.dated(function, day)?;
                Some(self.weekday(function, day.clone(), span))
            }
            (Built::NextTime, [clock, after]) => self.next_time(function, clock, after, span),
            (Built::At, [day, clock]) => self.at(function, day, clock, None, span),
            (Built::At, [day, clock, after]) => self.at(function, day, clock, Some(after), span),
            _ => None,
        }
    }

    /// The names of the days stand behind the moment, as numbers of texts.
    fn weekday(&mut self, function: &'static Function, day: Typed, span: Span) -> Typed {
        let names = DAY_NAMES.map(|name| Typed::constant(self.pool.intern(name), Kind::Quantity(Unit::ONE), span));
        let values = std::iter::once(day).chain(names).collect();
        call(function, values, Kind::Text, span)
    }

    /// Counted as what it comes after is; of a moment a moment.
    fn next_time(&mut self, function: &'static Function, clock: &Typed, after: &Typed, span: Span) -> Option<Typed> {
        self.on_a_clock(function, clock)?;
        if !after.kind.is_time() {
            return self.no_time(function, after, "a time to come after");
        }
        let kind = self.counted_on(after, None)?;
        Some(call(function, vec![clock.clone(), after.clone()], kind, span))
    }

    /// A date and a clock time; what it comes after is taken as a moment of that day.
    fn at(
        &mut self,
        function: &'static Function,
        day: &Typed,
        clock: &Typed,
        after: Option<&Typed>,
        span: Span,
    ) -> Option<Typed> {
        self.dated(function, day)?;
        let mut values = vec![day.clone(), clock.clone()];
        match (clock.kind, after) {
            (Kind::TimeOfDay | Kind::Counted(_), None) => {}
            (Kind::TimeOfDay, Some(after)) if after.kind == Kind::Moment => values.push(after.clone()),
            (Kind::TimeOfDay, Some(after)) if after.kind.is_time() => {
                let sides = Box::new((day.clone(), after.clone()));
                values.push(Typed::new(
                    Kind::Moment,
                    day.column || after.column,
                    after.span,
                    Node::Arithmetic(Arithmetic::Add, after.span, sides),
                ));
            }
            (Kind::TimeOfDay, Some(after)) => return self.no_time(function, after, "a time to come after"),
            (Kind::Counted(_), Some(_)) => {
                let message = "a counted time knows its day, so `after` says it twice".to_owned();
                let written = self.as_written(clock);
                let help = written.map(|written| format!("leave `after` out, or write `clock({written})`"));
                return self.problem(Code::WhichDay, message, clock.span, help);
            }
            _ => return self.no_time(function, clock, "a clock time"),
        }
        Some(call(function, values, Kind::Moment, span))
    }

    /// Whether it is a date or a moment.
    fn dated(&mut self, function: &'static Function, day: &Typed) -> Option<()> {
        match day.kind {
            Kind::Moment => Some(()),
            kind if kind.is_time() => {
                let message = format!("`{}` takes a date, and this is {}", function.name, describe(kind));
                let meant = self.with_a_date(day);
                let help = meant
                    .as_ref()
                    .map(|meant| format!("give it its date, such as `{meant}`"));
                let mend = meant.map(|meant| (day.span, meant));
                self.mendable(Code::WhichDay, message, day.span, help, mend)
            }
            _ => self.no_time(function, day, "a date"),
        }
    }

    /// Whether it is a clock time, of whichever day.
    fn on_a_clock(&mut self, function: &'static Function, clock: &Typed) -> Option<()> {
        match clock.kind {
            Kind::TimeOfDay => Some(()),
            kind if kind.is_time() => {
                let message = format!("`{}` takes a clock time, and this is {}", function.name, describe(kind));
                let meant = self.as_written(clock).map(|written| format!("clock({written})"));
                let help = meant
                    .as_ref()
                    .map(|meant| format!("write `{meant}` for the hour on the wall"));
                let mend = meant.map(|meant| (clock.span, meant));
                self.mendable(Code::WhichDay, message, clock.span, help, mend)
            }
            _ => self.no_time(function, clock, "a clock time"),
        }
    }

    fn no_time<T>(&mut self, function: &'static Function, value: &Typed, wanted: &str) -> Option<T> {
        let message = format!(
            "`{}` takes {wanted}, and this is {}",
            function.name,
            describe(value.kind)
        );
        self.problem(Code::KindClash, message, value.span, None)
    }
}

fn call(function: &'static Function, values: Vec<Typed>, kind: Kind, span: Span) -> Typed {
    Typed::new(
        kind,
        values.iter().any(|value| value.column),
        span,
        Node::Call(function, values),
    )
}
