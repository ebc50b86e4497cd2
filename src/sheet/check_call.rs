//! Checking calls: arguments against a function's declaration.
//!
//! A function of single values given a column works row by row. Functions that
//! the evaluator works itself are in `check_built`, rules in `check_rule`. Start
//! reading at [`Checker::call`].

use crate::number::Number;
use crate::problem::{Code, Problem};
use crate::syntax::tree::{Call, Name};
use crate::text::{Span, nearest};
use crate::trade::registry::{function, function as registry_function, functions};
use crate::trade::{Body, Built, Fit, Function, ParameterKind, ResultKind, Shape, Told};
use crate::unit::{Conversion, Kind, Ratio, Unit, quotient};

use super::check_arguments::{Bound, signature};
use super::check_made::{Scheduled, begun_together, first_row};
use super::checker::{Checker, TableShape, Taker, describe, gauge_help};
use super::day::Meeting;
use super::meet::unit_named;
use super::names::Named;
use super::typed::{Arithmetic, Node, Typed};

impl<'a> Checker<'a> {
    pub(super) fn call(&mut self, call: &'a Call, span: Span) -> Option<Typed> {
        if self.constant_only {
            let message = format!("an input takes a constant, and `{}(…)` is worked out", call.name.text);
            return self.problem(
                Code::NotConstant,
                message,
                span,
                Some("begin this line with `worked`".to_owned()),
            );
        }
        if let Some(function) = function(&call.name.text) {
            return self.function_call(function, call, span);
        }
        match self.known.names.get(&call.name.text) {
            Some(Named::Rule(item)) => self.rule_call(item, call, span),
            Some(_) => {
                let message = format!("`{}` is no function, so it takes no arguments", call.name.text);
                self.problem(
                    Code::UnknownFunction,
                    message,
                    call.name.span,
                    Some("multiply with `*`".to_owned()),
                )
            }
            None => self.unknown_function(&call.name),
        }
    }

    fn unknown_function(&mut self, name: &Name) -> Option<Typed> {
        if !self.frames.is_empty() {
            self.blocked = true;
            return None;
        }
        if self.not_in_used(&name.text, "rule", name.span).is_some() {
            return None;
        }
        let near = nearest(&name.text, functions().map(|function| function.name));
        let help = match near {
            _ if &*name.text == "csv" => "a file is read by a line of its own: `table NAME = csv(\"…\")`".to_owned(),
            Some(near) => format!("write `{near}(…)`, if that is meant"),
            None => "`tarebook functions` lists them".to_owned(),
        };
        let mend = near
            .filter(|_| &*name.text != "csv")
            .map(|near| (name.span, near.to_owned()));
        let message = format!("there is no function or rule `{}`", name.text);
        self.mendable(Code::UnknownFunction, message, name.span, Some(help), mend)
    }

    fn function_call(&mut self, function: &'static Function, call: &'a Call, span: Span) -> Option<Typed> {
        match function.body {
            Body::Table { .. } | Body::Built(Built::Totals | Built::Sorted | Built::Grid) => {
                return self.table_as_value(function, span);
            }
            Body::Built(Built::Steps | Built::Trend) => return self.schedule_as_value(function, span),
            Body::OfTable(of) => {
                if let Some(named) = self.only_name(call) {
                    return self.part_of_named(of, named, span);
                }
                if let Some(misused) = self.misused_table(function, of, call) {
                    return self.misuse(misused);
                }
                if let Some(table) = registry_function(of.table) {
                    self.intern_ends(table);
                }
            }
            _ => {}
        }
        let given = self.bind(function, call, span)?;
        let mut bound = self.checked_arguments(function, given)?;
        if let Body::Built(built) = function.body {
            let values = bound.into_iter().map(|bound| bound.value).collect();
            return self.built(function, built, values, span);
        }
        self.add_defaults(function, &mut bound, span)?;
        let bound = begun_together(self.fitted_arguments(function, bound)?);
        self.finish_call(function, bound, span)
    }

    pub(super) fn fitted_arguments(&mut self, function: &'static Function, bound: Vec<Bound>) -> Option<Vec<Typed>> {
        let is_fit = matches!(function.body, Body::Fit(_));
        let origin = bound
            .first()
            .filter(|first| is_fit && first.value.kind.is_time())
            .map(|first| first.value.clone());
        let first_kind = bound.first().map(|bound| bound.value.kind);
        let mut values = Vec::with_capacity(bound.len());
        let mut failed = false;
        for argument in bound {
            let Some(parameter) = function.parameters.get(argument.parameter) else {
                continue;
            };
            // a default may be another argument, of which that has been said
            if failed && !argument.given {
                continue;
            }
            match self.fitted(Taker { function, parameter }, argument, origin.as_ref(), first_kind) {
                Some(value) => values.push(value),
                None => failed = true,
            }
        }
        if failed { None } else { Some(values) }
    }

    fn fitted(&mut self, taker: Taker, argument: Bound, origin: Option<&Typed>, first: Option<Kind>) -> Option<Typed> {
        let Taker { function, parameter } = taker;
        let Bound { value, given, .. } = argument;
        if self.waits_for_cells(&value, parameter.kind) {
            self.blocked = true;
            return None;
        }
        // one value serves all rows where the function says so; a condition goes row by row
        let serves_all = parameter.default.is_some() && parameter.kind != ParameterKind::Truth;
        if parameter.shape == Shape::Column && !value.column && given && !serves_all {
            let message = format!("{taker} takes a column, and this is a single value");
            let help = match parameter.kind {
                ParameterKind::Truth => "write a condition on a column, such as `run.hose = \"on\"`",
                _ => "name a column, such as `log.time`",
            };
            let help = help.to_owned();
            return self.problem(Code::ColumnOrValue, message, value.span, Some(help));
        }
        if let Node::Schedule(form, sides) = value.node {
            let schedule = Scheduled {
                form,
                hours: sides.0,
                values: sides.1,
                given,
            };
            return self.fitted_schedule(taker, schedule, value.span);
        }
        let wanted = match parameter.kind {
            ParameterKind::Quantity(_) | ParameterKind::Schedule(_) if !given && value.kind == Kind::Text => {
                return Some(value);
            }
            ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) => Kind::Quantity(unit_named(unit)),
            ParameterKind::Word(words) => return self.word(taker, value, words),
            ParameterKind::NumberOrWord(_) if value.kind == Kind::Text => return Some(value),
            ParameterKind::NumberOrWord(_) => Kind::Quantity(Unit::ONE),
            ParameterKind::Truth => Kind::Truth,
            ParameterKind::Names => Kind::Text,
            ParameterKind::Level => Kind::Level,
            ParameterKind::Times => return self.times(taker, value, origin),
            ParameterKind::AnyQuantity if value.kind.is_time() => {
                return self.times(taker, value, origin);
            }
            ParameterKind::AnyQuantity => return self.any_quantity(taker, value),
            ParameterKind::LikeFirst if value.kind.is_time() && function.body_is(Fit::Average) => {
                let message = format!("`average` can't be taken of {}", describe(value.kind));
                let help = Some("take durations, such as the time since the first".to_owned());
                return self.problem(Code::KindClash, message, value.span, help);
            }
            ParameterKind::LikeFirst if value.kind.is_time() => return self.times(taker, value, origin),
            ParameterKind::LikeFirst => first.unwrap_or(value.kind),
            ParameterKind::Moment => Kind::Moment,
            ParameterKind::Clock => Kind::TimeOfDay,
            ParameterKind::Time | ParameterKind::Anything | ParameterKind::Table(_) => return Some(value),
        };
        match self.fit(value, wanted) {
            Ok(value) => Some(value),
            Err(value) => {
                let problem = self.argument_clash(taker, &value, wanted, given);
                self.reported(problem)
            }
        }
    }

    /// Whether it is a column that is still to be filled in, with what is no text.
    fn waits_for_cells(&self, value: &Typed, wanted: ParameterKind) -> bool {
        let takes_text = matches!(
            wanted,
            ParameterKind::Word(_)
                | ParameterKind::NumberOrWord(_)
                | ParameterKind::Names
                | ParameterKind::Anything
                | ParameterKind::Table(_)
        );
        let Node::Column(id) = value.node else { return false };
        let blank = |shape: &TableShape| {
            let column = shape.columns.iter().find(|known| known.1 == id);
            column.is_some_and(|known| shape.blank.contains(&known.0))
        };
        !takes_text && self.known.tables.iter().any(blank)
    }

    fn argument_clash(&self, taker: Taker, value: &Typed, wanted: Kind, given: bool) -> Problem {
        let (code, help) = self.clash_code(value.kind, wanted);
        let message = taker.takes(&describe(wanted), value.kind);
        let mut problem = self
            .two_sided(code, message, value.span, &[])
            .label(describe(value.kind));
        problem.help = match (code, wanted) {
            (_, Kind::Quantity(unit)) if gauge_help(value).is_some() && unit.is_dimensionless() => gauge_help(value),
            (Code::BareNumber, Kind::Quantity(unit)) if given && unit == Unit::ONE => {
                Some(format!("it is `{}`", signature(taker.function)))
            }
            (Code::BareNumber, Kind::Quantity(unit)) if given && self.unitless(value, unit).is_some() => {
                self.unitless(value, unit)
            }
            (Code::BareNumber, Kind::Quantity(unit)) if given => {
                Some(format!("write `{} {unit}`", self.written(value.span)))
            }
            (Code::KindClash, Kind::Quantity(unit)) => self.duration_help(value.span, value.kind, unit).or(help),
            _ => help,
        };
        if let (Code::BareNumber, Kind::Quantity(unit), true) = (code, wanted, given && self.frames.is_empty())
            && let Some((span, text)) = self.with_unit(value.span, unit).filter(|_| unit != Unit::ONE)
        {
            problem = problem.mend(span, text);
        }
        if let Node::Cell(cell) = value.node
            && self.frames.is_empty()
        {
            let item = self.known.names.cell_items.get(cell.0 as usize).copied().unwrap_or(0);
            problem.label = format!("{} ({})", describe(value.kind), self.standing_at(item));
        }
        problem
    }

    fn word(&mut self, taker: Taker, value: Typed, words: &'static [&'static str]) -> Option<Typed> {
        if value.kind == Kind::Text {
            return Some(value);
        }
        let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
        let help = format!("write one of {}", quoted.join(", "));
        let message = taker.takes("a word in quotes", value.kind);
        self.problem(Code::ArgumentWord, message, value.span, Some(help))
    }

    fn any_quantity(&mut self, taker: Taker, value: Typed) -> Option<Typed> {
        let value = self.settle(value);
        if matches!(value.kind, Kind::Quantity(_)) {
            return Some(value);
        }
        let message = taker.takes("a quantity", value.kind);
        self.problem(Code::KindClash, message, value.span, None)
    }

    /// Times as hours from the first row; durations in hours as they are.
    pub(super) fn times(&mut self, taker: Taker, value: Typed, origin: Option<&Typed>) -> Option<Typed> {
        let hours = Kind::Quantity(unit_named("h"));
        if value.kind.is_time() {
            return self.since_first_row(taker, value, origin);
        }
        match self.fit(value, hours) {
            Ok(value) => Some(value),
            Err(value) => {
                let message = taker.takes("times", value.kind);
                let help = "give clock times, dates with times, or durations".to_owned();
                self.problem(Code::KindClash, message, value.span, Some(help))
            }
        }
    }

    /// A time as hours from the first row of its column, or of the column that it is a place in.
    fn since_first_row(&mut self, taker: Taker, value: Typed, origin: Option<&Typed>) -> Option<Typed> {
        let origin = origin.filter(|origin| origin.column);
        let Some(origin) = origin.or(Some(&value).filter(|value| value.column)).cloned() else {
            let message = format!("{taker} is {}, and the column isn't", describe(value.kind));
            return self.problem(Code::KindClash, message, value.span, None);
        };
        if origin.kind == Kind::TimeOfDay {
            return self.dayless(&origin);
        }
        let Some(kind) = self.in_order(&origin, &value) else {
            let problem = self.which_day(&origin, &value, value.span, Meeting::Place);
            return self.reported(problem);
        };
        hours_from(value.with_kind(kind), origin.with_kind(kind))
    }

    fn finish_call(&mut self, function: &'static Function, values: Vec<Typed>, span: Span) -> Option<Typed> {
        let kind = self.result_kind(function, &values, span)?;
        let by_row = values
            .iter()
            .zip(function.parameters)
            .any(|(value, parameter)| parameter.shape == Shape::Single && value.column);
        let whole = function
            .parameters
            .iter()
            .any(|parameter| parameter.shape == Shape::Column);
        // a line is read at each row of a column as well
        if by_row && whole && !function.body_is(Fit::LineAt) {
            let message = format!(
                "`{}` takes whole columns, so its other arguments are single values",
                function.name
            );
            return self.problem(Code::ColumnOrValue, message, span, None);
        }
        let several = several_by_row(function, &values);
        if function.told == Told::Bounds || function.body_is(Fit::Average) {
            self.of_one_result(function, &values, by_row || several)?;
        }
        let origin = values.first().cloned().filter(|_| function.result == ResultKind::Along);
        let value = Typed::new(kind, by_row || several, span, Node::Call(function, values));
        Some(match origin.and_then(|mut hours| first_row(&mut hours).cloned()) {
            Some(start) => hours_after(value, start),
            None => value,
        })
    }

    /// A bound or an average is asked of numbers, an average once in a call.
    fn of_one_result(&mut self, function: &'static Function, values: &[Typed], by_row: bool) -> Option<()> {
        let first = values.first()?;
        let average = function.told != Told::Bounds;
        let number = matches!(first.kind, Kind::Quantity(_) | Kind::Level) || first.kind.is_time() && !average;
        if number && !(average && by_row) {
            return Some(());
        }
        let (code, message) = match number {
            false => (
                Code::KindClash,
                format!("`{}` can't be taken of {}", function.name, describe(first.kind)),
            ),
            true => (
                Code::ColumnOrValue,
                format!("`{}` takes one column, or single values", function.name),
            ),
        };
        self.problem(code, message, first.span, None)
    }

    fn result_kind(&mut self, function: &'static Function, values: &[Typed], span: Span) -> Option<Kind> {
        let unit_of = |index: usize| match values.get(index).map(|value| value.kind) {
            Some(Kind::Quantity(unit)) => Some(unit),
            _ => None,
        };
        Some(match function.result {
            ResultKind::Quantity(unit) => Kind::Quantity(unit_named(unit)),
            ResultKind::Text => Kind::Text,
            ResultKind::Level => Kind::Level,
            ResultKind::Moment => Kind::Moment,
            ResultKind::Clock => Kind::TimeOfDay,
            ResultKind::LikeFirst | ResultKind::Time | ResultKind::Table(_) | ResultKind::Special => {
                values.first()?.kind
            }
            ResultKind::LikeSecond => values.get(1)?.kind,
            ResultKind::Along => Kind::Quantity(unit_named("h")),
            ResultKind::SecondOverFirst => {
                let (x, y) = (unit_of(0)?.interval(), unit_of(1)?.interval());
                match quotient(y, x) {
                    Some(combined) => Kind::Quantity(combined.unit),
                    None => {
                        return self.problem(
                            Code::PowerUnit,
                            format!("`{y}` over `{x}` makes a unit that is too long"),
                            span,
                            None,
                        );
                    }
                }
            }
        })
    }
}

/// A time minus the first of the column, in hours.
fn hours_from(value: Typed, origin: Typed) -> Option<Typed> {
    let first = function("first")?;
    let (span, column, time) = (value.span, value.column, value.kind);
    let (second, hour) = (Kind::Quantity(unit_named("s")), Kind::Quantity(unit_named("h")));
    let typed = |kind: Kind, column: bool, node: Node| Typed::new(kind, column, span, node);
    let start = typed(time, false, Node::Call(first, vec![origin]));
    let sides = Box::new((value, start));
    let since = typed(second, column, Node::Arithmetic(Arithmetic::Subtract, span, sides));
    let ratio = Ratio::new(Number::ONE, Number::from_integer(3600));
    Some(since.converted(Conversion::by(ratio), hour))
}

/// So many hours after the first of a column.
fn hours_after(hours: Typed, start: Typed) -> Typed {
    let (kind, span) = (start.kind, hours.span);
    let conversion = Conversion::by(Ratio::new(Number::from_integer(3600), Number::ONE));
    let seconds = hours.converted(conversion, Kind::Quantity(unit_named("s")));
    let node = Node::Arithmetic(Arithmetic::Add, span, Box::new((start, seconds)));
    Typed::new(kind, false, span, node)
}

fn several_by_row(function: &Function, values: &[Typed]) -> bool {
    let several = function
        .parameters
        .last()
        .is_some_and(|last| last.shape == Shape::Several);
    several && values.len() > 1 && values.iter().any(|value| value.column)
}
