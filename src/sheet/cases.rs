//! Cases: what each puts in place of inputs, worked out once.
//!
//! A replacement may be in any unit of the same kind; it is converted once to
//! the input's unit. Start reading at [`Model::read_cases`].

use crate::number::Number;
use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{CaseLine, Expression, Node, Tolerance, Value};
use crate::text::Span;
use crate::unit::{Kind, Unit, conversion};

use super::cell_of::CellPlace;
use super::checker::{Checker, describe};
use super::exact::Alongside;
use super::failure::running_problem;
use super::held_cells::{HeldCell, of_cell};
use super::load::SUGGESTIONS;
use super::lower::Lowering;
use super::machine::Machine;
use super::model::Model;
use super::names::{CellId, Named};
use super::program::{COLUMN_REGISTERS, CellCode, Program, REGISTERS};
use super::typed::{Node as TypedNode, Typed};
use super::values::{Failure, Values};
use super::{Case, Held, HeldValue, Holder};

impl Model {
    pub(super) fn read_cases(&mut self) {
        let mut problems = Vec::new();
        let mut cases = Vec::new();
        for item in self.names.case_items.clone() {
            let Some(Node::Case(case)) = self.tree.node(item) else {
                continue;
            };
            let (name, title) = (
                case.name.text.to_string(),
                case.title.as_ref().map(|title| title.text.to_string()),
            );
            let lines = case.lines.clone();
            let mut case = Case {
                name,
                title,
                item,
                held: Vec::new(),
                cells: Vec::new(),
            };
            for line in &lines {
                if self.is_cut(item) {
                    break;
                }
                let is_new = match &line.cell {
                    Some(cell) => self
                        .read_cell_line(item, line, cell, &mut problems)
                        .is_none_or(|found| add_new(&mut case.cells, found)),
                    None => self
                        .read_case_line(item, line, &mut problems)
                        .is_none_or(|found| add_new(&mut case.held, found)),
                };
                if !is_new {
                    let message = format!("this case replaces `{}` twice; the first counts", line.name.text);
                    let place = Place::new(item, line.name.span);
                    problems.push(Problem::new(Code::RepeatedName, message, place));
                }
            }
            cases.push(case);
        }
        self.cases = cases;
        self.static_problems.extend(problems);
    }

    fn read_case_line(&mut self, item: u32, line: &CaseLine, problems: &mut Vec<Problem>) -> Option<(CellId, Held)> {
        if matches!(self.use_of(&line.name.text), Some((_, true))) {
            return None;
        }
        let cell = match self.case_target((item, line), problems.len()) {
            Ok(cell) => cell,
            Err(problem) => {
                problems.push(*problem);
                return None;
            }
        };
        let (expression, tolerance) = given(line, item, problems)?;
        self.shape(cell)?;
        match self.constant_for(cell, expression, tolerance, item) {
            Ok(value) => {
                let written = self.written_value(item, expression, tolerance);
                let held = Held {
                    value: HeldValue::Number(value),
                    tolerance,
                    by: Holder::Case,
                    written,
                    source: line.source.as_ref().map(|source| source.text.to_string()),
                    note: line.note.as_ref().map(|note| note.text.to_string()),
                };
                Some((cell, held))
            }
            Err(found) => {
                problems.extend(found);
                None
            }
        }
    }

    /// `loads.hours of "lamp" = 7 h`
    fn read_cell_line(
        &mut self,
        item: u32,
        line: &CaseLine,
        cell: &Expression,
        problems: &mut Vec<Problem>,
    ) -> Option<(CellPlace, HeldCell)> {
        if matches!(self.use_of(&line.name.text), Some((_, true))) {
            return None;
        }
        let mut checker = self.checker(item);
        let called = checker.expression(cell);
        problems.extend(checker.into_problems());
        let place = match self.place_called(&called?, Place::new(item, cell.span)) {
            Ok(place) => place,
            Err(problem) => {
                problems.push(*problem);
                return None;
            }
        };
        let (expression, tolerance) = given(line, item, problems)?;
        let column = self.table_column(place.slot)?;
        let own = column.cells.get(place.row as usize).copied().flatten();
        let kind = column.kind;
        match self.constant_as(expression, item, |checker, value| {
            checker.fit_column(value, kind, own, tolerance)
        }) {
            Ok(value) => {
                let held = HeldCell {
                    name: line.name.text.to_string(),
                    value,
                    tolerance,
                    written: self.written_value(item, expression, tolerance),
                    by: Holder::Case,
                    source: line.source.as_ref().map(|source| source.text.to_string()),
                };
                Some((place, held))
            }
            Err(found) => {
                problems.extend(found.into_iter().map(of_cell));
                None
            }
        }
    }

    fn written_value(&self, item: u32, expression: &Expression, tolerance: Option<Tolerance>) -> String {
        let span = expression.span_with(tolerance.as_ref());
        span.of(self.tree.text_of(item as usize)).trim().to_owned()
    }

    /// The input that a line replaces; the name nearest to an unknown one is told of the first problems.
    fn case_target(&self, (item, line): (u32, &CaseLine), told: usize) -> Result<CellId, Box<Problem>> {
        let place = Place::new(item, line.name.span);
        match self.names.get(&line.name.text) {
            Some(Named::Cell(cell)) if self.names.is_input(cell) => Ok(cell),
            Some(_) => {
                let message = format!("a case replaces inputs only, and `{}` is worked out", line.name.text);
                let help = "replace the inputs it is worked out from";
                Err(Box::new(Problem::new(Code::CaseTarget, message, place).help(help)))
            }
            None => {
                let message = format!("nothing here is named `{}`", line.name.text);
                let problem = Problem::new(Code::UnknownName, message, place);
                let near = (told < SUGGESTIONS).then(|| self.names.nearest(&line.name.text));
                Err(Box::new(match near.flatten() {
                    Some(near) => {
                        let problem = problem.help(format!("write `{near}`, if that is meant"));
                        let input =
                            matches!(self.names.get(near), Some(Named::Cell(cell)) if self.names.is_input(cell));
                        match input {
                            true => problem.mend(line.name.span, near),
                            false => problem,
                        }
                    }
                    None => problem,
                }))
            }
        }
    }

    /// A constant as a number in the unit of a cell.
    pub(super) fn constant_for(
        &mut self,
        cell: CellId,
        expression: &Expression,
        tolerance: Option<Tolerance>,
        item: u32,
    ) -> Result<Number, Vec<Problem>> {
        let Some(shape) = self.shape(cell) else {
            return Err(Vec::new());
        };
        self.constant_as(expression, item, |checker, value| {
            let value = checker.fit_cell(value, shape.kind)?;
            let fits = tolerance.is_none_or(|tolerance| checker.tolerance_fits(&value, &tolerance));
            fits.then_some(value)
        })
    }

    /// A constant as whatever `fit` makes of it.
    fn constant_as(
        &mut self,
        expression: &Expression,
        item: u32,
        fit: impl Fn(&mut Checker<'_>, Typed) -> Option<Typed>,
    ) -> Result<Number, Vec<Problem>> {
        let mut checker = self.checker(item).constants_only();
        let value = checker.expression(expression);
        let value = value.and_then(|value| fit(&mut checker, value));
        let problems = checker.into_problems();
        match value {
            Some(value) if problems.is_empty() => self.constant_value(&value, item),
            _ => Err(problems),
        }
    }

    fn constant_value(&self, value: &Typed, item: u32) -> Result<Number, Vec<Problem>> {
        if let TypedNode::Constant(number) = value.node {
            return Ok(number);
        }
        let mut program = Program {
            slots: REGISTERS + 1,
            columns: COLUMN_REGISTERS,
            cells: vec![CellCode {
                slot: REGISTERS,
                ..CellCode::default()
            }],
            ..Program::default()
        };
        let too_long = || {
            vec![Problem::new(
                Code::TooLong,
                "this expression is too much for one line",
                Place::new(item, value.span),
            )]
        };
        Lowering::new(&mut program, 0).cell(0, value).map_err(|_| too_long())?;
        let mut values = Values {
            slots: vec![Number::ZERO; program.slots as usize],
            well: vec![true; program.slots as usize],
            ..Values::default()
        };
        for (slot, number) in &program.constants {
            values.set(*slot, *number);
        }
        let mut machine = Machine::new(&program, &self.texts, values, Alongside::default());
        match machine.cell(0) {
            Ok(()) => machine.values.get(REGISTERS).copied().map_err(|_| Vec::new()),
            Err(failure) => Err(vec![constant_problem(&program, item, value.span, &failure)]),
        }
    }
}

/// The value of a case line; a `?` is none.
fn given<'a>(
    line: &'a CaseLine,
    item: u32,
    problems: &mut Vec<Problem>,
) -> Option<(&'a Expression, Option<Tolerance>)> {
    match line.value.as_ref()? {
        Value::Given { expression, tolerance } => Some((expression, tolerance.as_deref().copied())),
        Value::Blank(span) => {
            let message = "a case puts a value in place, and `?` is none";
            problems.push(Problem::new(Code::CaseTarget, message, Place::new(item, *span)));
            None
        }
    }
}

/// Adds what isn't there yet; whether it wasn't.
fn add_new<K: PartialEq, V>(held: &mut Vec<(K, V)>, found: (K, V)) -> bool {
    let is_new = held.iter().all(|(known, _)| *known != found.0);
    if is_new {
        held.push(found);
    }
    is_new
}

fn constant_problem(program: &Program, item: u32, span: Span, failure: &Failure) -> Problem {
    running_problem(program, failure, Place::new(item, span), &|span| Place::new(item, span))
}

impl Checker<'_> {
    /// A value as the kind of a cell; reports a clash.
    pub(super) fn fit_cell(&mut self, value: Typed, wanted: Kind) -> Option<Typed> {
        if wanted.is_time() && value.kind.is_time() {
            return self.time_for(value, wanted);
        }
        if let Some(problem) = self.two_readings(&value, wanted) {
            return self.reported(problem);
        }
        match self.fit(value, wanted) {
            Ok(value) => Some(value),
            Err(value) => self.cell_clash(&value, wanted),
        }
    }

    fn cell_clash(&mut self, value: &Typed, wanted: Kind) -> Option<Typed> {
        let (code, help) = self.clash_code(value.kind, wanted);
        let cell = match wanted {
            Kind::Quantity(unit) if unit.is_dimensionless() && unit != Unit::ONE => format!("in `{unit}`"),
            _ => describe(wanted),
        };
        let message = format!("the entry is {cell}, and this is {}", describe(value.kind));
        let unit = match wanted {
            Kind::Quantity(unit) if code == Code::BareNumber && unit != Unit::ONE => Some(unit),
            _ => None,
        };
        let mend = unit.and_then(|unit| self.with_unit(value.span, unit));
        let help = self
            .cell_help(value, wanted)
            .or_else(|| Some(format!("write `{}`", mend.as_ref()?.1)))
            .or_else(|| Some(format!("write `{} {}`", self.written(value.span), unit?)))
            .or(help);
        self.mendable(code, message, value.span, help, mend)
    }

    /// A number typed without a unit, where a ratio has one that counts otherwise: `12` for a
    /// cell in `h/d` is 12 h/d to its reader, and 288 h/d as a plain number.
    fn two_readings(&self, value: &Typed, wanted: Kind) -> Option<Problem> {
        let (TypedNode::Constant(number), Kind::Quantity(unit)) = (&value.node, wanted) else {
            return None;
        };
        if value.kind != Kind::Quantity(Unit::ONE) {
            return None;
        }
        let (span, written) = self.with_unit(value.span, unit)?;
        let plain = conversion(Unit::ONE, unit)?.apply(*number).ok()?;
        if plain == *number {
            return None;
        }
        let plain = plain.to_string();
        let digits = if plain.contains('.') {
            plain.trim_end_matches('0').trim_end_matches('.')
        } else {
            &plain
        };
        let plain = format!("{digits} {unit}");
        let message = format!("the entry is in `{unit}`, and this has no unit");
        let problem = Problem::new(Code::BareNumber, message, self.place(value.span));
        // a share up to one is written as a fraction by most
        let is_share = Unit::parse("%").is_ok_and(|share| share == unit);
        let (one, other) = match is_share && number.abs().compare(Number::from_integer(1)).is_le() {
            true => (&plain, &written),
            false => (&written, &plain),
        };
        let bare = self.written(value.span);
        let help = format!("`{bare}` alone is {plain}: write `{one}`, or `{other}` if that is meant");
        Some(problem.help(help).mend(span, one.clone()).mend(span, other.clone()))
    }
}
