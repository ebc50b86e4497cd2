//! What went wrong while running, as a problem at its place.

use crate::calendar::{DAY, counted};
use crate::number::{Number, Trouble};
use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{BinaryOperator, Comparison, Expression, ExpressionNode, Node};
use crate::text::Span;
use crate::time_limit;
use crate::trade::{Complaint, Reason};
use crate::unit::{Kind, Unit};

use super::Sheet;
use super::appraisal::Appraisal;
use super::machine::MOST_WORKED_CELLS;
use super::names::{CellId, Named};
use super::order::{each_part, expressions_of};
use super::program::{CallSite, Operation, Program};
use super::values::Failure;

impl Sheet {
    /// The problem of a cell that failed so, in the record or in a draw.
    pub fn problem_of(&self, cell: CellId, failure: &Failure) -> Problem {
        self.failure_problem(cell.0, failure)
    }

    /// That the time was up before every uncertainty was worked out, where it was.
    pub(crate) fn unfinished(&self, appraisal: &Appraisal) -> Option<Problem> {
        appraisal.cut.map(|cell| {
            let item = self.item_of(cell);
            let whole = self.tree.text_of(item as usize).trim_end().len();
            let message = format!(
                "the {} that a run may take were up while its uncertainty was worked out; the ± of what follows is left out",
                time_limit::in_words()
            );
            Problem::new(Code::OutOfTime, message, Place::new(item, Span::new(0, whole))).help(MORE_TIME)
        })
    }

    pub(super) fn failure_problem(&self, cell: u32, failure: &Failure) -> Problem {
        let item = self.item_of(CellId(cell));
        let whole = self.tree.text_of(item as usize).trim_end().len();
        let anywhere = Place::new(item, Span::new(0, whole));
        let problem = running_problem(&self.program, failure, anywhere, &|span| Place::new(item, span));
        let of_row = match failure {
            Failure::InRow(failure, _) => failure,
            failure => failure,
        };
        match of_row {
            Failure::TimeOrder(_) => self.later_taken_away(item, problem),
            Failure::RangeTurned(_) => self.range_turned(item, problem),
            Failure::Complaint(complaint, _) => match &complaint.reason {
                Reason::MissingCell(what, row) => self.missing_cell(item, what, *row, problem),
                _ => problem,
            },
            _ => problem,
        }
    }

    fn is_called(&self, slot: u32, name: &str) -> bool {
        self.table_column(slot).is_some_and(|column| *column.name == *name)
    }

    /// A missing cell by its column, where one alone of those that are asked lacks it.
    fn missing_cell(&self, item: u32, what: &str, row: usize, mut problem: Problem) -> Problem {
        let Some(node) = self.tree.node(item) else {
            return problem;
        };
        let mut lacking: Vec<String> = Vec::new();
        expressions_of(node, &mut |expression| {
            each_part(expression, &mut |part| {
                if let ExpressionNode::Column(names) = &part.node
                    && problem.place.span.start <= part.span.start
                    && part.span.end <= problem.place.span.end
                    && let Some(Named::Table(table)) = self.names.get(&names.0.text)
                    && let Some(table) = self.tables.get(table as usize)
                    && let Some(slot) = table.columns.iter().find(|slot| self.is_called(**slot, &names.1.text))
                    && self.column_cells(*slot).get(row) == Some(&None)
                {
                    lacking.push(names.1.text.to_string());
                }
            });
        });
        lacking.dedup();
        if let [column] = lacking.as_slice() {
            problem.message = format!("`{column}` is missing in row {}: {what} there", row + 1);
        }
        problem
    }

    /// The later of two clock times is taken away: how the day of the other is told.
    fn later_taken_away(&self, item: u32, mut problem: Problem) -> Problem {
        let Some(node) = self.tree.node(item) else {
            return problem;
        };
        let text = self.tree.text_of(item as usize);
        let mut found = None;
        expressions_of(node, &mut |expression| {
            each_part(expression, &mut |part| {
                if let ExpressionNode::Binary(BinaryOperator::Subtract, place, sides) = &part.node
                    && *place == problem.place.span
                {
                    // nothing is called in an input
                    let meant = match node {
                        Node::Entry(entry) if entry.kind.is_input() => both_written_out(sides),
                        _ => self.with_days(sides, text),
                    };
                    found = meant.map(|meant| (sides.0.span.to(sides.1.span), meant));
                }
            });
        });
        if let Some((span, meant)) = found {
            problem.help = Some(format!("write `{meant}`, if it is of the next day"));
            return problem.mend(span, meant);
        }
        problem
    }

    /// A range of hours that turned out to end before it begins: its two ends joined by `or`.
    fn range_turned(&self, item: u32, problem: Problem) -> Problem {
        let text = self.tree.text_of(item as usize);
        let mut found = None;
        if let Some(node) = self.tree.node(item) {
            expressions_of(node, &mut |expression| {
                each_part(expression, &mut |part| {
                    if let ExpressionNode::Comparison(comparison) = &part.node
                        && part.span == problem.place.span
                    {
                        found = joined_by_or(comparison, text);
                    }
                });
            });
        }
        match found {
            Some(meant) => {
                let span = problem.place.span;
                problem.help(format!("write `{meant}`")).mend(span, meant)
            }
            None => problem,
        }
    }

    fn with_days(&self, sides: &(Expression, Expression), text: &str) -> Option<String> {
        let (later, earlier) = (sides.0.span.of(text), sides.1.span.of(text));
        let is_short = [later, earlier]
            .iter()
            .all(|side| side.len() <= 60 && !side.contains('\n'));
        match (&sides.0.node, &sides.1.node) {
            (ExpressionNode::Column(names), ExpressionNode::Column(_)) => {
                let Some(Named::Table(table)) = self.names.get(&names.0.text) else {
                    return None;
                };
                let day = self.table_shapes.get(table as usize)?.day_beside(&names.1.text)?;
                let day = format!("{}.{day}", names.0.text);
                Some(format!("at({day}, {later}, after: {earlier}) - at({day}, {earlier})"))
            }
            _ => is_short.then(|| format!("next_time({later}, after: {earlier}) - {earlier}")),
        }
    }
}

/// `02:00 (+1 d) - 22:00 (+0 d)`
fn both_written_out(sides: &(Expression, Expression)) -> Option<String> {
    let seconds = |side: &Expression| match &side.node {
        ExpressionNode::TimeOfDay(seconds) => seconds.to_integer(),
        _ => None,
    };
    let (later, earlier) = (counted(seconds(&sides.0)? + DAY), counted(seconds(&sides.1)?));
    Some(format!("{later} - {earlier}"))
}

/// `(a <= x or x < b)` for `a <= x < b`
fn joined_by_or(comparison: &Comparison, text: &str) -> Option<String> {
    let [(_, one, middle), (_, other, last)] = comparison.links.as_slice() else {
        return None;
    };
    let written = |side: &Expression| side.span.of(text);
    let (first, middle, last) = (written(&comparison.first), written(middle), written(last));
    Some(format!(
        "({first} {} {middle} or {middle} {} {last})",
        one.of(text),
        other.of(text)
    ))
}

/// The problem of a failure; `anywhere` where no step is known.
pub(super) fn running_problem(
    program: &Program,
    failure: &Failure,
    anywhere: Place,
    at: &dyn Fn(Span) -> Place,
) -> Problem {
    let place = |step: u32| program.spans.get(step as usize).map_or(anywhere, |span| at(*span));
    match failure {
        Failure::Waits => Problem::new(Code::Unreadable, "this has no value", anywhere),
        Failure::Trouble(trouble, step, a, b) => arithmetic_problem(program, *trouble, *step, (*a, *b), place(*step)),
        Failure::OutOfTime => out_of_time(anywhere),
        Failure::TooManyCells => {
            let message =
                format!("with this one the columns that are worked out come to more than {MOST_WORKED_CELLS} cells");
            let help = "ask for fewer rows, such as with a longer `every`, or leave columns out";
            Problem::new(Code::TableSize, message, anywhere).help(help)
        }
        Failure::TimeOrder(step) => {
            let message = "the time taken away is the later one; which day does it belong to?";
            let help = "write `next_time(later, after: earlier) - earlier`, if it is of the next day";
            Problem::new(Code::TimeOrder, message, place(*step)).help(help)
        }
        Failure::RangeTurned(step) => {
            let message = "this range of hours ends before it begins, so no time lies in it";
            let help = "join its two ends by `or`: `clock(x) >= 22:00 or clock(x) < 06:00`";
            Problem::new(Code::TimeOrder, message, place(*step)).help(help)
        }
        Failure::Apart(step, own, other) => {
            let shown = |time| begun_at(program, *step, time);
            let (own, other) = (shown(*own), shown(*other));
            let message = format!("these values begin at `{own}`, and others of this draw-down at `{other}`");
            let help = format!("begin all `steps` and `ramps` of one draw-down together, such as at `{other}`");
            Problem::new(Code::TimeOrder, message, place(*step)).help(help)
        }
        Failure::InRow(failure, row) => {
            let mut problem = running_problem(program, failure, anywhere, at);
            problem.message = format!("row {row}: {}", problem.message);
            problem
        }
        Failure::Lengths(step, first, second) => {
            let message = format!("the columns have different lengths, {first} and {second} rows");
            let problem = lengths_labels(
                program,
                *step,
                Problem::new(Code::ColumnLength, message, place(*step)),
                at,
            );
            problem.help("take both columns from one table, and filter after combining them")
        }
        Failure::Complaint(complaint, step) => complaint_problem(program, complaint, *step, place(*step), at),
    }
}

/// A time as it is typed, on the clock where that is what was compared.
fn begun_at(program: &Program, step: u32, time: Number) -> String {
    let kind = match program.steps.get(step as usize).map(|step| step.operation) {
        Some(Operation::Together { on_the_clock: true }) => Kind::TimeOfDay,
        _ => Kind::Moment,
    };
    kind.typed_time(time).unwrap_or_else(|| shown(time))
}

/// What to do where the time was up.
pub(crate) const MORE_TIME: &str = "give it more with `--time-limit 60` on the command line, or let it work out less";

fn out_of_time(place: Place) -> Problem {
    let message = format!(
        "the {} that a run may take were up while this was worked out",
        time_limit::in_words()
    );
    Problem::new(Code::OutOfTime, message, place).help(MORE_TIME)
}

fn arithmetic_problem(program: &Program, trouble: Trouble, step: u32, met: (Number, Number), place: Place) -> Problem {
    let (a, b) = (shown(met.0), shown(met.1));
    let message = match (trouble, program.steps.get(step as usize).map(|step| step.operation)) {
        (Trouble::DivisionByZero, _) => format!("this divides {a} by zero"),
        (_, Some(Operation::Multiply)) => format!("{trouble}: {a} times {b}"),
        (_, Some(Operation::Divide)) => format!("{trouble}: {a} divided by {b}"),
        (_, Some(Operation::Add)) => format!("{trouble}: {a} plus {b}"),
        (_, Some(Operation::Subtract)) => format!("{trouble}: {a} minus {b}"),
        (_, Some(Operation::Power)) => format!("{trouble}: {a} to the power {b}"),
        _ => format!("{trouble}: {a}"),
    };
    let problem = Problem::new(trouble_code(trouble), message, place);
    match trouble {
        Trouble::DivisionByZero => problem.help("divide only where it isn't zero, with `if … then … else …`"),
        _ => problem,
    }
}

fn shown(value: Number) -> String {
    value.round_significant(12).to_plain()
}

/// A value with its unit, or as a time.
fn in_words(value: Number, kind: Option<Kind>) -> String {
    let number = value.round_significant(6).to_plain();
    match kind {
        Some(Kind::Quantity(unit)) if unit != Unit::ONE => format!("{number} {unit}"),
        Some(kind) => kind.typed_time(value).unwrap_or(number),
        None => number,
    }
}

fn trouble_code(trouble: Trouble) -> Code {
    match trouble {
        Trouble::DivisionByZero => Code::DivisionByZero,
        Trouble::TooLarge => Code::TooLarge,
        Trouble::TooSmall => Code::TooSmall,
        Trouble::RootOfNegative => Code::NegativeRoot,
        Trouble::LogarithmOfNonPositive => Code::LogarithmDomain,
    }
}

fn lengths_labels(program: &Program, step: u32, problem: Problem, at: &dyn Fn(Span) -> Place) -> Problem {
    let number = program.steps.get(step as usize).map_or(0, |step| step.a);
    let Some(row_loop) = program.loops.get(number as usize) else {
        return problem;
    };
    row_loop
        .columns
        .iter()
        .fold(problem, |problem, (_, span)| problem.also(at(*span), "a column"))
}

fn site(program: &Program, step: u32) -> Option<&CallSite> {
    let step = program.steps.get(step as usize)?;
    program.calls.get(step.a as usize)
}

fn complaint_problem(
    program: &Program,
    complaint: &Complaint,
    step: u32,
    call: Place,
    at: &dyn Fn(Span) -> Place,
) -> Problem {
    let site = site(program, step);
    if complaint.reason == Reason::OutOfTime {
        return out_of_time(call);
    }
    let argument = complaint
        .argument
        .and_then(|index| site.and_then(|site| site.spans.get(index)));
    let place = argument.map_or(call, |span| at(*span));
    let (code, message) = match &complaint.reason {
        Reason::Trouble(trouble) => (trouble_code(*trouble), trouble.to_string()),
        Reason::Met(trouble, value) => (trouble_code(*trouble), format!("{trouble}: {}", shown(*value))),
        Reason::Outside(message) | Reason::NeedsTolerances(message) => (Code::OutsideRange, message.clone()),
        Reason::Word(message) => (Code::ArgumentWord, message.clone()),
        Reason::Empty(message) => (Code::EmptyColumn, message.clone()),
        Reason::Awaits(what) => (Code::EmptyColumn, format!("this waits for {what}")),
        Reason::MissingCell(what, row) => {
            let message = format!("{what} in row {}: a cell is missing there", row + 1);
            (Code::OutsideRange, message)
        }
        Reason::Lengths(message) => (Code::ColumnLength, message.clone()),
        Reason::Order(message) => (Code::TimeOrder, message.clone()),
        Reason::Beyond { at, first, last } => {
            let kind = site.and_then(|site| site.kinds.first().copied());
            let shown = |value: &Number| in_words(*value, kind);
            let (at, first, last) = (shown(at), shown(first), shown(last));
            let message = format!("the place, {at}, is outside the column, which runs from {first} to {last}");
            (Code::OutsideRange, message)
        }
        Reason::NoSuchRow(message) => (Code::NoSuchRow, message.clone()),
        Reason::NoSuchText { message, .. } => (Code::NoSuchText, message.clone()),
        Reason::OutOfTime => (Code::OutOfTime, String::new()),
        Reason::CannotSettle(message) => (Code::CannotSettle, message.clone()),
        Reason::Overheats(message) => (Code::Overheats, message.clone()),
    };
    let mut problem = Problem::new(code, message, place);
    problem.help = complaint.help.clone();
    problem
}
