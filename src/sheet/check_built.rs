//! Checking calls of the functions that the evaluator works itself.
//!
//! Their results take after what they are given: a reduction has the unit of
//! its column, a root half the powers, a distance from absolute zero its own
//! scale. Arguments are bound in `check_call`. Start reading at
//! [`Checker::built`].

use crate::problem::Code;
use crate::text::Span;
use crate::trade::registry;
use crate::trade::{Built, Function};
use crate::unit::{Conversion, Exponent, Kind, Unit, conversion_to_absolute, power};

use super::checker::{Checker, Taker, describe, is_pointlike};
use super::day::Meeting;
use super::meet::unit_named;
use super::typed::{At, Node, Typed};

impl<'a> Checker<'a> {
    pub(super) fn built(
        &mut self,
        function: &'static Function,
        built: Built,
        values: Vec<Typed>,
        span: Span,
    ) -> Option<Typed> {
        let mut values: Vec<Typed> = values.into_iter().map(|value| self.settle(value)).collect();
        self.allowed(function, built, &values)?;
        match built {
            Built::SquareRoot => return self.square_root(function, values.pop()?, span),
            Built::Exponential | Built::NaturalLogarithm | Built::DecimalLogarithm => {
                return self.plain_function(function, values.pop()?, span);
            }
            Built::Absolute => return self.absolute(function, values.pop()?, span),
            Built::Elapsed => {
                let times = values.pop()?;
                let parameter = function.parameters.first()?;
                return self
                    .times(Taker { function, parameter }, times.clone(), Some(&times))
                    .map(|value| Typed { span, ..value });
            }
            Built::Clock | Built::Date | Built::Weekday | Built::Month | Built::At | Built::NextTime => {
                return self.time_function(function, built, values, span);
            }
            Built::Percentile => return self.percentile(function, values, span),
            Built::Changes => return self.changes(values.pop()?, span),
            Built::First | Built::Last | Built::Min | Built::Max | Built::Mean => {
                if let [column] = values.as_slice() {
                    self.alone(column)?;
                }
            }
            // they were taken as arguments, or refused, before
            Built::Steps | Built::Trend => return None,
            Built::Interpolate => return self.interpolate(function, values, span),
            _ => {}
        }
        let values = self.like_first(function, built, values, span)?;
        self.finish_built(function, built, values, span)
    }

    /// Whether the kinds are ones that the function takes at all.
    fn allowed(&mut self, function: &'static Function, built: Built, values: &[Typed]) -> Option<()> {
        let share = usize::from(built == Built::Percentile);
        for value in values.iter().take(values.len() - share.min(values.len())) {
            let orders = !matches!(value.kind, Kind::Text | Kind::Truth);
            let adds = matches!(value.kind, Kind::Quantity(unit) if !unit.is_point());
            let averages = matches!(value.kind, Kind::Quantity(_)) || value.kind.is_time();
            let fine = match built {
                Built::Min | Built::Max | Built::Interpolate => orders,
                Built::Sum | Built::RunningTotal | Built::Abs => adds,
                Built::Mean | Built::Median | Built::Percentile => averages,
                Built::Deviation => adds,
                Built::Round | Built::RoundUp | Built::RoundDown => {
                    matches!(value.kind, Kind::Quantity(_) | Kind::Level)
                }
                _ => true,
            };
            if !fine {
                return self.not_allowed(function, value);
            }
        }
        Some(())
    }

    pub(super) fn not_allowed(&mut self, function: &'static Function, value: &Typed) -> Option<()> {
        let message = format!("`{}` can't be taken of {}", function.name, describe(value.kind));
        let (code, help) = match value.kind {
            Kind::Level => (
                Code::LevelArithmetic,
                Some("levels are added by energy: `sound_sum(…)`".to_owned()),
            ),
            kind if is_pointlike(kind) => (
                Code::PointArithmetic,
                Some("take `mean(…)` of points, or the difference of two".to_owned()),
            ),
            _ => (Code::KindClash, None),
        };
        self.problem(code, message, value.span, help)
    }

    fn like_first(
        &mut self,
        function: &'static Function,
        built: Built,
        values: Vec<Typed>,
        span: Span,
    ) -> Option<Vec<Typed>> {
        if values.first().is_some_and(|first| first.kind.is_time()) {
            return self.times_together(function, values, span);
        }
        let mut values = values.into_iter();
        let first = values.next()?;
        let rounding = matches!(built, Built::Round | Built::RoundUp | Built::RoundDown);
        let wanted = match first.kind {
            Kind::Quantity(unit) if rounding => Kind::Quantity(unit.interval()),
            Kind::Level if rounding => Kind::Quantity(super::checker::decibel()),
            kind => kind,
        };
        if rounding && values.len() == 0 {
            return self.whole_step(function, first, wanted);
        }
        let mut fitted = vec![first];
        for value in values {
            match self.fit(value, wanted) {
                Ok(value) => fitted.push(value),
                Err(value) => {
                    let first = fitted.first()?;
                    let what = format!("the arguments of `{}` don't go together", function.name);
                    let problem = self.clash(first, &value, value.span, &what);
                    return self.reported(problem);
                }
            }
        }
        Some(fitted)
    }

    /// What is rounded to whole ones, which takes a plain number or a count.
    fn whole_step(&mut self, function: &'static Function, value: Typed, step: Kind) -> Option<Vec<Typed>> {
        let counts = |unit: Unit| unit == Unit::ONE || Unit::parse("each").is_ok_and(|each| each == unit);
        if matches!(value.kind, Kind::Quantity(unit) if counts(unit)) {
            return Some(vec![value]);
        }
        let unit = match step {
            Kind::Quantity(unit) => unit.to_string(),
            _ => String::new(),
        };
        let message = format!("`{}` of {} also needs `to`", function.name, describe(value.kind));
        let help = format!("add the step, such as `to: 1 {unit}`");
        self.problem(Code::ArgumentCount, message, value.span, Some(help))
    }

    fn finish_built(
        &mut self,
        function: &'static Function,
        built: Built,
        values: Vec<Typed>,
        span: Span,
    ) -> Option<Typed> {
        let kind = match built {
            Built::Count => Kind::Quantity(Unit::ONE),
            _ => values.first()?.kind,
        };
        let any_column = values.iter().any(|value| value.column);
        let column = match built {
            Built::RunningTotal | Built::Previous => true,
            Built::Count | Built::First | Built::Last => false,
            Built::Min | Built::Max | Built::Sum | Built::Mean | Built::Deviation | Built::Median => {
                values.len() > 1 && any_column
            }
            Built::Percentile => false,
            _ => any_column,
        };
        let whole = matches!(
            built,
            Built::RunningTotal
                | Built::Previous
                | Built::Changes
                | Built::Count
                | Built::First
                | Built::Last
                | Built::Percentile
        );
        if whole && !any_column {
            let message = format!("`{}` takes a column, and this is a single value", function.name);
            return self.problem(
                Code::ColumnOrValue,
                message,
                span,
                Some("name a column, such as `log.gross`".to_owned()),
            );
        }
        Some(Typed::new(kind, column, span, Node::Call(function, values)))
    }

    /// Each row less the one before.
    fn changes(&mut self, column: Typed, span: Span) -> Option<Typed> {
        let (previous, own) = (registry::function("previous")?, registry::function("changes")?);
        if matches!(column.kind, Kind::Text | Kind::Truth) {
            return self.not_allowed(own, &column).and(None);
        }
        self.finish_built(own, Built::Changes, vec![column.clone()], span)?;
        let before = self.finish_built(previous, Built::Previous, vec![column.clone()], span)?;
        self.subtract(column, before, At { place: span, span })
    }

    /// A column and a share of its rows.
    fn percentile(&mut self, function: &'static Function, mut values: Vec<Typed>, span: Span) -> Option<Typed> {
        let share = values.pop()?;
        let message = format!(
            "`share` of `{}` takes a percentage, and this is {}",
            function.name,
            describe(share.kind)
        );
        let place = share.span;
        match self.fit(share, Kind::Quantity(unit_named("%"))) {
            Ok(share) if !share.column => values.push(share),
            _ => return self.problem(Code::KindClash, message, place, Some("write `90 %`".to_owned())),
        }
        self.alone(values.first()?)?;
        self.finish_built(function, Built::Percentile, values, span)
    }

    fn square_root(&mut self, function: &'static Function, value: Typed, span: Span) -> Option<Typed> {
        let Kind::Quantity(unit) = value.kind else {
            return self.no_plain(function, &value);
        };
        let half = Exponent {
            numerator: 1,
            denominator: 2,
        };
        let combined = if unit.is_point() { None } else { power(unit, half) };
        let Some(combined) = combined else {
            let message = format!("`{unit}` has no square root that is a unit");
            return self.problem(
                Code::PowerUnit,
                message,
                value.span,
                Some("divide by the unit first".to_owned()),
            );
        };
        let column = value.column;
        let plain = if unit.is_dimensionless() {
            self.plain(value)
        } else {
            value
        };
        let root = Typed::new(
            Kind::Quantity(combined.unit),
            column,
            span,
            Node::Call(function, vec![plain]),
        );
        let kind = if unit.is_dimensionless() {
            Kind::Quantity(Unit::ONE)
        } else {
            root.kind
        };
        Some(root.converted(Conversion::by(combined.scale), kind))
    }

    fn plain_function(&mut self, function: &'static Function, value: Typed, span: Span) -> Option<Typed> {
        match self.fit(value, Kind::Quantity(Unit::ONE)) {
            Ok(value) => {
                let column = value.column;
                Some(Typed::new(
                    Kind::Quantity(Unit::ONE),
                    column,
                    span,
                    Node::Call(function, vec![value]),
                ))
            }
            Err(value) => self.no_plain(function, &value),
        }
    }

    fn no_plain(&mut self, function: &'static Function, value: &Typed) -> Option<Typed> {
        let message = format!(
            "`{}` takes a plain number, and this is {}",
            function.name,
            describe(value.kind)
        );
        let help = match value.kind {
            Kind::Quantity(unit) => Some(format!("divide by a quantity in `{unit}` first")),
            _ => None,
        };
        self.problem(Code::UnitClash, message, value.span, help)
    }

    fn absolute(&mut self, function: &'static Function, value: Typed, span: Span) -> Option<Typed> {
        let unit = match value.kind {
            Kind::Quantity(unit) => unit,
            _ => return self.no_absolute(function, &value),
        };
        let absolute = unit.absolute();
        match (
            absolute.and_then(|absolute| conversion_to_absolute(unit, absolute)),
            absolute,
        ) {
            (Some(conversion), Some(absolute)) => {
                let kind = Kind::Quantity(absolute);
                let column = value.column;
                let node = Node::Call(function, vec![value.converted(conversion, kind)]);
                Some(Typed::new(kind, column, span, node))
            }
            _ => self.no_absolute(function, &value),
        }
    }

    fn no_absolute(&mut self, function: &'static Function, value: &Typed) -> Option<Typed> {
        let message = format!(
            "`{}` takes a point on a scale, such as `24 °F` or `10 psig`, and this is {}",
            function.name,
            describe(value.kind)
        );
        self.problem(self.clash_code_of(value.kind), message, value.span, None)
    }

    fn clash_code_of(&self, found: Kind) -> Code {
        match found {
            Kind::Quantity(unit) if unit == Unit::ONE => Code::BareNumber,
            Kind::Quantity(_) => Code::UnitClash,
            Kind::Level | Kind::Decibels => Code::LevelArithmetic,
            _ => Code::KindClash,
        }
    }

    fn interpolate(&mut self, function: &'static Function, values: Vec<Typed>, span: Span) -> Option<Typed> {
        let [x, y, at] = <[Typed; 3]>::try_from(values).ok()?;
        for column in [&x, &y] {
            if !column.column {
                let message = format!("`{}` takes two columns and the place between", function.name);
                return self.problem(Code::ColumnOrValue, message, column.span, None);
            }
        }
        if x.kind == Kind::TimeOfDay {
            return self.dayless(&x);
        }
        let kind = match x.kind.is_time() && at.kind.is_time() {
            true => match self.in_order(&x, &at) {
                Some(kind) => kind,
                None => {
                    let problem = self.which_day(&x, &at, at.span, Meeting::Place);
                    return self.reported(problem);
                }
            },
            false => x.kind,
        };
        match self.fit(at, kind) {
            Ok(at) => {
                let (kind, column) = (y.kind, at.column);
                Some(Typed::new(kind, column, span, Node::Call(function, vec![x, y, at])))
            }
            Err(at) => {
                let problem = self.clash(&x, &at, at.span, "the column and the place don't go together");
                self.reported(problem)
            }
        }
    }
}
