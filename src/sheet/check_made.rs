//! Checking what belongs to tables that functions make.
//!
//! The table itself, which stands on a line of its own; one thing of it, such as
//! `draw_down_time(night)`; and the values that change with time, `steps(…)` and
//! `ramps(…)`, which are arguments only. Start reading at [`Checker::made_table`].

use crate::problem::Code;
use crate::syntax::tree::{Call, Expression, ExpressionNode};
use crate::text::Span;
use crate::trade::registry::function;
use crate::trade::{Body, Built, Function, OfTable, Parameter, ParameterKind, Part, ResultKind, ScheduleForm};
use crate::unit::Kind;

use super::checker::{Checker, MadeShape, TableShape, Taker, describe};

use super::meet::unit_named;
use super::names::Named;
use super::typed::{Arithmetic, Node, Typed, Worked};
use super::wall_range::same;

/// The call behind a table, checked.
pub(crate) struct MadeCall {
    /// The function that makes it.
    pub function: &'static Function,
    /// One argument for each parameter.
    pub arguments: Vec<Typed>,
    /// What its columns are worked out from, where the evaluator does it.
    pub worked: Option<Worked>,
    /// Where the call stands.
    pub span: Span,
}

/// The function that an expression calls, if it gives a table.
pub(crate) fn table_function(expression: &Expression) -> Option<&'static Function> {
    let ExpressionNode::Call(call) = &expression.node else {
        return None;
    };
    function(&call.name.text).filter(|function| matches!(function.result, ResultKind::Table(_)))
}

impl<'a> Checker<'a> {
    /// Checks the call that makes a table.
    pub(crate) fn made_table(&mut self, expression: &'a Expression) -> Option<MadeCall> {
        let function = table_function(expression)?;
        let ExpressionNode::Call(call) = &expression.node else {
            return None;
        };
        let span = expression.span;
        if let Body::Built(built) = function.body {
            return self.worked_table(function, built, call, span);
        }
        if let Some(of) = made_of(function) {
            return self.table_of_table(function, of, call, span);
        }
        let given = self.bind(function, call, span)?;
        let mut bound = self.checked_arguments(function, given)?;
        self.add_defaults(function, &mut bound, span)?;
        let arguments = begun_together(self.fitted_arguments(function, bound)?);
        let by_row =
            |(value, parameter): &(&Typed, &Parameter)| value.column && parameter.shape == crate::trade::Shape::Single;
        if let Some((value, parameter)) = arguments.iter().zip(function.parameters).find(by_row) {
            let taker = Taker { function, parameter };
            let message = format!("{taker} takes a single value here, and this is a column");
            let help = match parameter.kind {
                ParameterKind::Schedule(_) => format!("write `{}: steps(times, values)`", parameter.name),
                _ => "write one table a row, or take a single value".to_owned(),
            };
            let span = value.span;
            return self.problem(Code::ColumnOrValue, message, span, Some(help));
        }
        self.intern_ends(function);
        Some(MadeCall {
            function,
            arguments,
            worked: None,
            span,
        })
    }

    /// A table made of another one: with its end, on which it waits, and its arguments.
    fn table_of_table(
        &mut self,
        function: &'static Function,
        of: &'static str,
        call: &'a Call,
        span: Span,
    ) -> Option<MadeCall> {
        let wrong = |found: String| Misused {
            message: format!("`{}` takes a table that `{of}` made, {found}", function.name),
            place: call.arguments.first().map_or(span, |first| first.value.span),
            help: format!("name it alone: `{}(NAME)`, with `table NAME = {of}(…)`", function.name),
        };
        let Some((name, place)) = self.only_name(call) else {
            return self.misuse(wrong("by its bare name".to_owned()));
        };
        let table = match self.known.names.get(name) {
            Some(Named::Table(table)) => table,
            Some(_) => return self.misuse(wrong(format!("and `{name}` is none"))),
            None => {
                self.unknown_name(name, place);
                return None;
            }
        };
        let shape = self.table(name)?;
        let Some(made) = shape.made.filter(|made| made.function == of) else {
            return self.misuse(wrong(format!("and `{name}` is another")));
        };
        if self.waits_for(made.cell) {
            return None;
        }
        let made_by = self.made_table(self.known.made_by(table)?)?;
        let end = Typed::new(Kind::Text, true, place, Node::Column(made.end));
        Some(MadeCall {
            function,
            arguments: std::iter::once(end).chain(made_by.arguments).collect(),
            worked: None,
            span,
        })
    }

    /// A table where a value is wanted.
    pub(super) fn table_as_value(&mut self, function: &'static Function, span: Span) -> Option<Typed> {
        let message = format!("`{}` gives a table, not a value", function.name);
        let help = format!("write `table NAME = {}(…)` and name one of its columns", function.name);
        self.problem(Code::KindClash, message, span, Some(help))
    }

    /// `steps(…)` where it is no argument.
    pub(super) fn schedule_as_value(&mut self, function: &'static Function, span: Span) -> Option<Typed> {
        let message = format!(
            "`{}` stands only as an argument that may change with time",
            function.name
        );
        let help = "give it as `air` or `rate` of `draw_down`".to_owned();
        self.problem(Code::KindClash, message, span, Some(help))
    }

    /// An argument; where the parameter may change with time, also `steps(…)` or `ramps(…)`.
    pub(super) fn argument(
        &mut self,
        function: &'static Function,
        parameter: usize,
        argument: &'a Expression,
    ) -> Option<Typed> {
        let changes = matches!(
            function.parameters.get(parameter).map(|parameter| parameter.kind),
            Some(ParameterKind::Schedule(_))
        );
        match &argument.node {
            ExpressionNode::Call(call) if changes => match schedule_function(call) {
                Some((schedule, form)) => self.schedule(schedule, form, call, argument.span),
                None => self.expression(argument),
            },
            _ => self.expression(argument),
        }
    }

    fn schedule(
        &mut self,
        schedule: &'static Function,
        form: ScheduleForm,
        call: &'a Call,
        span: Span,
    ) -> Option<Typed> {
        let given = self.bind(schedule, call, span)?;
        let bound = self.checked_arguments(schedule, given)?;
        let values = self.fitted_arguments(schedule, bound)?;
        let [hours, values] = <[Typed; 2]>::try_from(values).ok()?;
        let span = self.here(span);
        let values = self.settle(values);
        Some(Typed::new(
            values.kind,
            false,
            span,
            Node::Schedule(form, Box::new((hours, values))),
        ))
    }

    /// The values of a schedule in the unit that the parameter wants.
    pub(super) fn fitted_schedule(&mut self, taker: Taker, schedule: Scheduled, span: Span) -> Option<Typed> {
        let (ParameterKind::Schedule(unit) | ParameterKind::Quantity(unit)) = taker.parameter.kind else {
            return None;
        };
        let kind = Kind::Quantity(unit_named(unit));
        match self.fit(schedule.values, kind) {
            Ok(values) => {
                let node = Node::Schedule(schedule.form, Box::new((schedule.hours, values)));
                Some(Typed::new(kind, false, span, node))
            }
            // where one parameter stands for another, the other has said it
            Err(_) if !schedule.given => None,
            Err(values) => {
                let (code, help) = self.clash_code(values.kind, kind);
                let message = format!(
                    "{taker} takes {}, and these are {}",
                    describe(kind),
                    describe(values.kind)
                );
                self.problem(code, message, values.span, help)
            }
        }
    }

    /// The name that is the only argument of a call, and where it stands.
    pub(super) fn only_name(&self, call: &'a Call) -> Option<(&'a str, Span)> {
        let [only] = call.arguments.as_slice() else {
            return None;
        };
        match &only.value.node {
            ExpressionNode::Name(name) if only.label.is_none() && self.frames.is_empty() => {
                Some((name, only.value.span))
            }
            _ => None,
        }
    }

    /// What is wrong where a table is named, but not alone, or where nothing is.
    pub(super) fn misused_table(&self, function: &Function, of: OfTable, call: &'a Call) -> Option<Misused> {
        if !self.frames.is_empty() {
            return None;
        }
        if call.arguments.is_empty() {
            return Some(Misused {
                message: format!("`{}` needs a table, or the arguments of `{}`", function.name, of.table),
                place: call.name.span,
                help: name_a_table(of.table),
            });
        }
        let mut named = call.arguments.iter().enumerate();
        let (at, name) = named.find_map(|(at, argument)| Some((at, self.table_in(&argument.value, call)?)))?;
        let others = call.arguments.iter().enumerate().find(|(other, _)| *other != at);
        let one = format!("`{}({name})`", function.name);
        Some(match (others, call.arguments.get(at)) {
            (Some((_, other)), _) => Misused {
                message: format!(
                    "`{}` takes a table alone, and this is given beside `{name}`",
                    function.name
                ),
                place: other.value.span,
                help: format!("write {one}, and give the rest where `{name}` is made"),
            },
            (None, argument) => Misused {
                message: format!("`{}` takes a table by its bare name", function.name),
                place: argument.map_or(call.name.span, |argument| argument.value.span),
                help: format!("write {one}"),
            },
        })
    }

    /// The table that an argument names, or whose column is the only argument.
    fn table_in(&self, argument: &'a Expression, call: &Call) -> Option<&'a str> {
        let name = match &argument.node {
            ExpressionNode::Name(name) => &**name,
            ExpressionNode::Column(column) if call.arguments.len() == 1 => &*column.0.text,
            _ => return None,
        };
        matches!(self.known.names.get(name), Some(Named::Table(_))).then_some(name)
    }

    /// Says it.
    pub(super) fn misuse<T>(&mut self, misused: Misused) -> Option<T> {
        self.problem(Code::ArgumentCount, misused.message, misused.place, Some(misused.help))
    }

    /// One thing of the table of that name.
    pub(super) fn part_of_named(&mut self, of: OfTable, named: (&'a str, Span), span: Span) -> Option<Typed> {
        let (name, place) = named;
        match self.known.names.get(name) {
            Some(Named::Table(_)) => {
                let shape = self.table(name)?;
                self.part_of_table(of, (name, place, shape), span)
            }
            Some(_) => {
                let message = format!("`{name}` is not a table that `{}` made", of.table);
                self.problem(Code::KindClash, message, place, Some(name_a_table(of.table)))
            }
            None => self.unknown_name(name, place),
        }
    }

    /// One thing of a table of the worksheet: the last of a column, or how it ended.
    fn part_of_table(&mut self, of: OfTable, table: (&str, Span, &TableShape), span: Span) -> Option<Typed> {
        let (name, place, shape) = table;
        let Some(made) = shape.made.filter(|made| made.function == of.table) else {
            let message = format!("`{name}` is not a table that `{}` made", of.table);
            return self.problem(Code::KindClash, message, place, Some(name_a_table(of.table)));
        };
        if self.waits_for(made.cell) {
            return None;
        }
        self.last_of(shape, made, of.part, span)
    }

    fn last_of(&mut self, shape: &TableShape, made: MadeShape, part: Part, span: Span) -> Option<Typed> {
        let last = function("last")?;
        let (id, kind) = match part {
            Part::End => (made.end, Kind::Text),
            Part::Last(name) => {
                let column = shape.columns.iter().find(|column| &*column.0 == name)?;
                (column.1, column.2)
            }
        };
        let span = self.here(span);
        let column = Typed::new(kind, true, span, Node::Column(id));
        Some(Typed::new(kind, false, span, Node::Call(last, vec![column])))
    }

    /// The words that a table may end with, so that a value can be one.
    pub(super) fn intern_ends(&mut self, function: &'static Function) {
        if let Body::Table { ends, .. } = function.body {
            for word in ends {
                self.pool.intern(word);
            }
        }
    }
}

/// A table given to a function as it can't be.
pub(super) struct Misused {
    message: String,
    place: Span,
    help: String,
}

/// Values that change with time, as an argument.
pub(super) struct Scheduled {
    /// What holds between two rows.
    pub form: ScheduleForm,
    /// The hours from the start.
    pub hours: Typed,
    /// The values.
    pub values: Typed,
    /// Whether it was given for this parameter.
    pub given: bool,
}

/// The arguments, of which all that change with time begin together: each counts its hours
/// from a first row of its own.
pub(super) fn begun_together(mut arguments: Vec<Typed>) -> Vec<Typed> {
    let mut begun: Option<Typed> = None;
    for argument in &mut arguments {
        let Node::Schedule(_, sides) = &mut argument.node else {
            continue;
        };
        let Some(first) = first_row(&mut sides.0) else { continue };
        match &begun {
            None => begun = Some(first.clone()),
            Some(begun) if same(begun, first) => {}
            Some(begun) => {
                let on_the_clock = begun.kind != Kind::Moment || first.kind != Kind::Moment;
                let (kind, span) = (first.kind, first.span);
                let both = Box::new((first.clone(), begun.clone()));
                *first = Typed::new(
                    kind,
                    false,
                    span,
                    Node::Arithmetic(Arithmetic::Together { on_the_clock }, span, both),
                );
            }
        }
    }
    arguments
}

/// The function whose table another function takes.
fn made_of(function: &Function) -> Option<&'static str> {
    match function.parameters.first()?.kind {
        ParameterKind::Table(of) => Some(of),
        _ => None,
    }
}

fn name_a_table(function: &str) -> String {
    format!("name a table written as `table NAME = {function}(…)`, or give its arguments here")
}

fn schedule_function(call: &Call) -> Option<(&'static Function, ScheduleForm)> {
    let function = function(&call.name.text)?;
    match function.body {
        Body::Built(Built::Steps) => Some((function, ScheduleForm::Steps)),
        Body::Built(Built::Trend) => Some((function, ScheduleForm::Trend)),
        _ => None,
    }
}

/// The first row that hours are counted from, as the checker put it in.
pub(super) fn first_row(hours: &mut Typed) -> Option<&mut Typed> {
    let Node::Convert(since, _) = &mut hours.node else {
        return None;
    };
    match &mut since.node {
        Node::Arithmetic(Arithmetic::Subtract, _, sides) if sides.0.kind.is_time() => Some(&mut sides.1),
        _ => None,
    }
}
