//! Which argument of a call belongs to which parameter, and what stands in for those left out.
//!
//! Whether each fits is settled in [`super::check_call`]. Start reading at [`Checker::bind`].

use crate::number::Number;
use crate::problem::Code;
use crate::syntax::tree::{Argument, Call, ComparisonOperator, ExpressionNode, Name};
use crate::text::{Span, in_backticks, nearest};
use crate::trade::{Function, Parameter, ParameterKind, Shape};
use crate::unit::{Kind, Unit};

use super::checker::Checker;
use super::typed::Typed;

/// An argument bound to a parameter.
pub(super) struct Bound {
    /// Which parameter.
    pub(super) parameter: usize,
    /// The value as checked.
    pub(super) value: Typed,
    /// Whether it was given, rather than a default.
    pub(super) given: bool,
}

/// The name before the `=` of an argument that is nothing but such a comparison.
fn assigned(argument: &Argument) -> Option<&str> {
    let ExpressionNode::Comparison(comparison) = &argument.value.node else {
        return None;
    };
    let [(ComparisonOperator::Equal, _, _)] = comparison.links.as_slice() else {
        return None;
    };
    match &comparison.first.node {
        ExpressionNode::Name(name) => Some(name),
        _ => None,
    }
}

impl<'a> Checker<'a> {
    /// Which argument goes to which parameter.
    pub(super) fn bind(
        &mut self,
        function: &'static Function,
        call: &'a Call,
        span: Span,
    ) -> Option<Vec<(usize, &'a Argument)>> {
        let parameters = function.parameters;
        let several = parameters.last().is_some_and(|last| last.shape == Shape::Several);
        let mut bound: Vec<(usize, &'a Argument)> = Vec::with_capacity(call.arguments.len());
        let mut given = vec![false; parameters.len()];
        for (position, argument) in call.arguments.iter().enumerate() {
            let parameter = match &argument.label {
                None if self.is_assigned(function, argument) => return self.label_by_colon(argument),
                None if position < parameters.len() => position,
                None if several => parameters.len() - 1,
                None => return self.too_many(function, call),
                Some(label) => self.labelled(function, label)?,
            };
            let twice = std::mem::replace(given.get_mut(parameter)?, true);
            if twice && !(several && parameter + 1 == parameters.len() && argument.label.is_none()) {
                let name = parameters.get(parameter).map_or("", |parameter| parameter.name);
                let message = format!("`{name}` of `{}` is given twice", function.name);
                return self.problem(Code::ArgumentName, message, argument.value.span, None);
            }
            bound.push((parameter, argument));
        }
        let missing = |index: &usize| !bound.iter().any(|(other, _)| other == index);
        let absent = (0..parameters.len()).filter(missing);
        let absent: Vec<&Parameter> = absent
            .filter_map(|index| parameters.get(index))
            .filter(|p| p.default.is_none())
            .collect();
        if !absent.is_empty() {
            return self.too_few(function, &absent, span);
        }
        self.belong_together(function, &bound, span)?;
        Some(bound)
    }

    /// Whether one of two was given that say the same, and with each what it needs.
    fn belong_together(
        &mut self,
        function: &'static Function,
        bound: &[(usize, &'a Argument)],
        span: Span,
    ) -> Option<()> {
        let given = |name: &str| {
            let named = |(index, _): &&(usize, &'a Argument)| {
                function
                    .parameters
                    .get(*index)
                    .is_some_and(|parameter| parameter.name == name)
            };
            bound.iter().find(named).map(|(_, argument)| argument.value.span)
        };
        let name = function.name;
        if let Some((one, other, help)) = function.either {
            let (message, help, place) = match (given(one), given(other)) {
                (None, None) => (format!("`{name}` needs `{one}` or `{other}`"), help.to_owned(), span),
                (Some(_), Some(place)) => (
                    format!("`{one}` and `{other}` of `{name}` say the same thing, and both are given"),
                    format!("leave `{one}` or `{other}` out"),
                    place,
                ),
                _ => return self.with_what_it_needs(function, &given),
            };
            return self.problem(Code::ArgumentCount, message, place, Some(help));
        }
        self.with_what_it_needs(function, &given)
    }

    fn with_what_it_needs(&mut self, function: &'static Function, given: &dyn Fn(&str) -> Option<Span>) -> Option<()> {
        let Some((one, needed, help)) = function.needs else {
            return Some(());
        };
        match (given(one), given(needed)) {
            (Some(place), None) => {
                let message = format!("with `{one}` `{}` also needs `{needed}`", function.name);
                self.problem(Code::ArgumentCount, message, place, Some(help.to_owned()))
            }
            _ => Some(()),
        }
    }

    /// `f(rate=x)`: a parameter's name before `=`, and no entry is named so.
    fn is_assigned(&self, function: &'static Function, argument: &Argument) -> bool {
        let Some(name) = assigned(argument) else { return false };
        let is_parameter = function.parameters.iter().any(|parameter| parameter.name == name);
        is_parameter && self.known.names.get(name).is_none()
    }

    fn label_by_colon<T>(&mut self, argument: &Argument) -> Option<T> {
        let name = assigned(argument)?;
        let span = argument.value.span;
        let message = format!("`{name} =` is a comparison here, and nothing is named `{name}`");
        let written = self.written(span);
        let value = written.split_once('=').map_or("…", |(_, value)| value.trim());
        let meant = format!("{name}: {value}");
        let help = Some(format!("write `{meant}`"));
        self.mendable(Code::ArgumentName, message, span, help, Some((span, meant)))
    }

    fn labelled(&mut self, function: &'static Function, label: &Name) -> Option<usize> {
        if let Some(index) = function.place_of(&label.text) {
            return Some(index);
        }
        let names: Vec<&str> = function.parameters.iter().map(|parameter| parameter.name).collect();
        let near = nearest(&label.text, names.iter().copied());
        let mend = near.map(|near| (label.span, near.to_owned()));
        let help = match near {
            Some(near) => format!("write `{near}:`, if that is meant"),
            None => format!("its parameters are {}", in_backticks(&names)),
        };
        let message = format!("`{}` has no parameter `{}`", function.name, label.text);
        self.mendable(Code::ArgumentName, message, label.span, Some(help), mend)
    }

    fn too_many<T>(&mut self, function: &'static Function, call: &Call) -> Option<T> {
        let extra = call
            .arguments
            .get(function.parameters.len())
            .map_or(call.name.span, |argument| argument.value.span);
        let count = function.parameters.len();
        let message = format!(
            "`{}` takes {count} {}, and this is one more",
            function.name,
            plural(count, "argument")
        );
        self.problem(
            Code::ArgumentCount,
            message,
            extra,
            Some(format!("it is `{}`", signature(function))),
        )
    }

    fn too_few<T>(&mut self, function: &'static Function, absent: &[&Parameter], span: Span) -> Option<T> {
        let names: Vec<&str> = absent.iter().map(|parameter| parameter.name).collect();
        let message = format!("`{}` also needs {}", function.name, in_backticks(&names));
        let help = match absent {
            [one] => format!("add {}", example_argument(one)),
            _ => format!("it is `{}`", signature(function)),
        };
        self.problem(Code::ArgumentCount, message, span, Some(help))
    }

    pub(super) fn checked_arguments(
        &mut self,
        function: &'static Function,
        given: Vec<(usize, &'a Argument)>,
    ) -> Option<Vec<Bound>> {
        let mut bound = Vec::with_capacity(function.parameters.len());
        let mut failed = false;
        for (parameter, argument) in given {
            match self.argument(function, parameter, &argument.value) {
                Some(value) => bound.push(Bound {
                    parameter,
                    value,
                    given: true,
                }),
                None => failed = true,
            }
        }
        bound.sort_by_key(|bound| bound.parameter);
        if failed { None } else { Some(bound) }
    }

    pub(super) fn add_defaults(
        &mut self,
        function: &'static Function,
        bound: &mut Vec<Bound>,
        span: Span,
    ) -> Option<()> {
        for (index, parameter) in function.parameters.iter().enumerate() {
            let Some(default) = parameter.default else { continue };
            if bound.iter().any(|bound| bound.parameter == index) {
                continue;
            }
            let value = match function.parameters.iter().position(|other| other.name == default) {
                Some(other) => bound
                    .iter()
                    .find(|bound| bound.parameter == other)
                    .map(|bound| bound.value.clone()),
                None => self.default_value(default, span),
            };
            bound.push(Bound {
                parameter: index,
                value: value?,
                given: false,
            });
        }
        bound.sort_by_key(|bound| bound.parameter);
        Some(())
    }

    /// A default as it would be typed: a word in quotes, a truth value, a number with or without
    /// unit; or a bare word, which the function knows.
    fn default_value(&mut self, default: &str, span: Span) -> Option<Typed> {
        if let Some(word) = default.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
            return Some(Typed::constant(self.pool.intern(word), Kind::Text, span));
        }
        if let Ok(truth) = default.parse::<bool>() {
            return Some(Typed::constant(
                Number::from_integer(i64::from(truth)),
                Kind::Truth,
                span,
            ));
        }
        let (number, unit) = default.split_once(' ').unwrap_or((default, ""));
        let digits = number.trim_start_matches('-');
        let Ok(value) = Number::parse(digits) else {
            return Some(Typed::constant(self.pool.intern(default), Kind::Text, span));
        };
        let value = if digits.len() < number.len() {
            value.neg()
        } else {
            value
        };
        let unit = if unit.is_empty() {
            Unit::ONE
        } else {
            Unit::parse(unit).ok()?
        };
        Some(Typed::constant(value, Kind::Quantity(unit), span))
    }
}

pub(super) fn plural(count: usize, word: &str) -> String {
    if count == 1 {
        word.to_owned()
    } else {
        format!("{word}s")
    }
}

fn example_argument(parameter: &Parameter) -> String {
    match parameter.kind {
        ParameterKind::Quantity("") => format!("`{}: …`, a plain number", parameter.name),
        ParameterKind::Quantity(unit) => format!("`{}: …`, in `{unit}` or any unit of that kind", parameter.name),
        ParameterKind::Word(words) => {
            let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
            format!("`{}: …`, one of {}", parameter.name, quoted.join(", "))
        }
        _ => format!("`{}: …`", parameter.name),
    }
}

/// A function with its parameters, as a reader would write it.
pub(super) fn signature(function: &Function) -> String {
    let parameters: Vec<String> = function
        .parameters
        .iter()
        .map(|parameter| match (parameter.kind, parameter.default) {
            (ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit), Some(default)) if !unit.is_empty() => {
                format!("{} [{unit}] = {default}", parameter.name)
            }
            (ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit), None) if !unit.is_empty() => {
                format!("{} [{unit}]", parameter.name)
            }
            (ParameterKind::Level, None) => format!("{} [dB]", parameter.name),
            (_, Some(default)) => format!("{} = {default}", parameter.name),
            (_, None) => parameter.name.to_owned(),
        })
        .collect();
    format!("{}({})", function.name, parameters.join(", "))
}
