//! Expressions that are not in the worksheet: typed, worked out once, forgotten.
//!
//! Start reading at [`Sheet::evaluate`] and [`Sheet::trial_value`].

use std::sync::{Arc, OnceLock};

use crate::number::Number;
use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{Expression, ExpressionNode, Tolerance, UnitBox};
use crate::time_limit;
use crate::unit::Kind;

use super::appraisal::Doubt;
use super::checker::{Checker, Shape};
use super::failure::running_problem;
use super::limits::{Limited, Rows};
use super::lower::Lowering;
use super::names::CellId;
use super::order::{each_part, gather};
use super::program::CellCode;
use super::side_by_side::RowTable;
use super::typed::Typed;
use super::values::Failure;
use super::{HeldValue, Reading, Sheet, Status};

/// A value worked out beside the worksheet.
#[derive(Clone, PartialEq, Debug)]
pub struct Evaluated {
    /// Kind and unit.
    pub shape: Shape,
    /// The value.
    pub value: HeldValue,
    /// Its uncertainty, where it has one.
    pub doubt: Option<Doubt>,
    /// What it can be, where a limit has cut short what it rests on.
    pub limited: Option<Limited>,
    /// How many first rows of a column are no rows, since nothing came before them.
    pub late: usize,
    /// The rows that it goes by, where it is a column.
    pub rows: Option<RowTable>,
    /// What to be careful of where columns of two tables meet.
    pub met: Vec<String>,
}

impl Evaluated {
    /// The value as a reader meets it.
    pub fn reading(&self) -> Reading<'_> {
        let limited = self.limited.as_ref().and_then(Limited::reading);
        limited.unwrap_or(match &self.value {
            HeldValue::Number(number) => Reading::Number(*number),
            HeldValue::Column(cells) => Reading::Column(Rows::of(cells)),
        })
    }

    /// The single number that it is; `None` for a column, and where only a range is known.
    pub fn number(&self) -> Option<Number> {
        match self.reading() {
            Reading::Number(number) => Some(number),
            _ => None,
        }
    }
}

/// Whether the uncertainty is looked at too.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Doubts {
    Asked,
    Left,
}

impl Sheet {
    /// Works out a typed expression; `text` is what it was read from.
    ///
    /// # Errors
    /// Its problems; places count from the start of `text`.
    pub fn evaluate(
        &mut self,
        text: &str,
        expression: &Expression,
        unit: Option<&UnitBox>,
    ) -> Result<Evaluated, Vec<Problem>> {
        let value = self.check_typed(text, expression, |checker, value| match unit {
            Some(unit) => checker.shown_in(value, unit),
            None => Some(checker.settle(value)),
        })?;
        self.work_out(expression, &value, Doubts::Asked)
    }

    /// The single value of an expression as things stand, without its uncertainty;
    /// `None` where it has a problem, waits, or is a column.
    pub(crate) fn value_of(&mut self, text: &str, expression: &Expression) -> Option<(Kind, Number)> {
        let value = self.check_typed(text, expression, |checker, value| Some(checker.settle(value)));
        let found = self.work_out(expression, &value.ok()?, Doubts::Left).ok()?;
        Some((found.shape.kind, found.number()?))
    }

    /// Works out the value of a trial on a cell, in that cell's unit.
    ///
    /// # Errors
    /// Its problems; places count from the start of `text`.
    pub fn trial_value(
        &mut self,
        cell: CellId,
        text: &str,
        expression: &Expression,
        tolerance: Option<Tolerance>,
    ) -> Result<Evaluated, Vec<Problem>> {
        let Some(shape) = self.shape(cell) else {
            let message = "this entry has no kind yet, so no value can be tried for it; mend its line first";
            return Err(vec![Problem::new(
                Code::KindClash,
                message,
                Place::new(0, expression.span),
            )]);
        };
        let value = self.check_typed(text, expression, |checker, value| {
            let value = checker.fit_cell(value, shape.kind)?;
            let fits = tolerance.is_none_or(|tolerance| checker.tolerance_fits(&value, &tolerance));
            fits.then_some(value)
        })?;
        if value.column != shape.column {
            let message = if shape.column {
                "this entry holds a column, and this is a single value"
            } else {
                "this entry holds a single value, and this is a column"
            };
            return Err(vec![Problem::new(
                Code::ColumnOrValue,
                message,
                Place::new(0, expression.span),
            )]);
        }
        let found = self.work_out(expression, &value, Doubts::Asked)?;
        if found.limited.is_none() {
            return Ok(found);
        }
        let message = "only a range is known of this: a draw-down that it rests on had not ended at its `limit`";
        let problem = Problem::new(Code::OutsideRange, message, Place::new(0, expression.span));
        Err(vec![problem.help("set a longer `limit` there, or write the value")])
    }

    /// The value of a checked expression, which must be one that is known.
    pub(super) fn worked_out_alone(
        &mut self,
        expression: &Expression,
        value: &Typed,
    ) -> Result<Evaluated, Vec<Problem>> {
        if value.column {
            let message = "a cell holds a single value, and this is a column";
            return Err(vec![Problem::new(
                Code::ColumnOrValue,
                message,
                Place::new(0, expression.span),
            )]);
        }
        self.work_out(expression, value, Doubts::Left)
    }

    pub(super) fn check_typed(
        &mut self,
        text: &str,
        expression: &Expression,
        finish: impl Fn(&mut Checker<'_>, Typed) -> Option<Typed>,
    ) -> Result<Typed, Vec<Problem>> {
        self.model.refuse_kept_back(expression)?;
        let model = Arc::make_mut(&mut self.model);
        model.suggestions = model.suggestions.max(8);
        let mut checker = model.checker(0).of_text(text);
        let value = checker
            .expression(expression)
            .and_then(|value| finish(&mut checker, value))
            .filter(|value| checker.rows_agree(value));
        let waits = checker.waits.clone();
        let problems = checker.into_problems();
        match value {
            Some(value) if problems.is_empty() => Ok(value),
            _ if problems.is_empty() => Err(vec![self.waiting_problem(expression, &waits)]),
            _ => Err(problems),
        }
    }

    fn waiting_problem(&self, expression: &Expression, waits: &[CellId]) -> Problem {
        let names: Vec<String> = waits
            .iter()
            .filter_map(|cell| {
                Some(format!(
                    "`{}` ({})",
                    self.name_of(*cell)?,
                    self.standing_at(self.item_of(*cell))
                ))
            })
            .collect();
        let message = if names.is_empty() {
            "this waits for something that has no value".to_owned()
        } else {
            format!("this waits for {}", names.join(", "))
        };
        Problem::new(Code::UnknownName, message, Place::new(0, expression.span))
    }

    fn work_out(&mut self, expression: &Expression, value: &Typed, doubts: Doubts) -> Result<Evaluated, Vec<Problem>> {
        let _run = time_limit::begin();
        let marks = Marks::of(self);
        let cell = u32::try_from(self.program.cells.len()).unwrap_or(u32::MAX);
        let shape = Shape {
            kind: value.kind,
            column: value.column,
        };
        let tables = self.column_count();
        let program = &mut Arc::make_mut(&mut self.model).program;
        let next = if shape.column {
            &mut program.columns
        } else {
            &mut program.slots
        };
        let slot = *next;
        *next += 1;
        program.cells.push(CellCode {
            slot,
            column: shape.column,
            ..CellCode::default()
        });
        let lowered = Lowering::new(program, tables).cell(cell as usize, value);
        self.grow_values(marks.constants);
        let result = match lowered {
            Ok(()) => self.run_scratch(cell, expression, value, doubts),
            Err(_) => Err(vec![Problem::new(
                Code::TooLong,
                "this expression is too much for one line",
                Place::new(0, expression.span),
            )]),
        };
        marks.restore(self);
        result
    }

    fn run_scratch(
        &mut self,
        cell: u32,
        expression: &Expression,
        typed: &Typed,
        doubts: Doubts,
    ) -> Result<Evaluated, Vec<Problem>> {
        let shape = Shape {
            kind: typed.kind,
            column: typed.column,
        };
        let mut result = self.run_once(cell);
        if matches!(&result, Err(failure) if failure.asks()) {
            result = self.run_with_tolerances(cell, expression);
        }
        match result {
            Ok(()) => {}
            Err(Failure::Waits) => {
                let mut needs = Vec::new();
                gather(expression, &self.names, &mut needs);
                let open: Vec<CellId> = needs
                    .into_iter()
                    .map(CellId)
                    .filter(|cell| self.status(*cell) != Status::Known)
                    .collect();
                return Err(vec![self.waiting_problem(expression, &open)]);
            }
            Err(failure) => {
                let anywhere = Place::new(0, expression.span);
                return Err(vec![running_problem(&self.program, &failure, anywhere, &|span| {
                    Place::new(0, span)
                })]);
            }
        }
        let slot = self.program.cells.get(cell as usize).map_or(0, |code| code.slot);
        let value = if shape.column {
            HeldValue::Column(self.values.columns.get(slot as usize).cloned().unwrap_or_default())
        } else {
            HeldValue::Number(self.values.slots.get(slot as usize).copied().unwrap_or(Number::ZERO))
        };
        let limited = self.as_cell(cell, expression, |sheet| sheet.limited_alone(cell));
        let (rows, met) = self.rows_beside(typed, slot);
        let doubt = match doubts {
            Doubts::Asked if limited.is_none() => self.scratch_doubt(cell, expression, shape.kind),
            _ => None,
        };
        Ok(Evaluated {
            shape,
            value,
            doubt,
            limited,
            late: self.program.late(slot) as usize,
            rows,
            met,
        })
    }

    fn run_once(&mut self, cell: u32) -> Result<(), Failure> {
        let mut machine = self.machine();
        let result = machine.cell(cell as usize);
        (self.values, self.alongside) = machine.into_parts();
        result
    }

    /// Once more with the tolerances of the arguments, which a function asks for.
    fn run_with_tolerances(&mut self, cell: u32, expression: &Expression) -> Result<(), Failure> {
        let found = self.as_cell(cell, expression, |sheet| sheet.asked_of(cell));
        let before = self.alongside.asked.clone();
        self.alongside.asked.tolerances.extend(found.tolerances);
        self.alongside.asked.counting.extend(found.counting);
        let result = self.run_once(cell);
        self.alongside.asked = before;
        result
    }

    /// Looks at the scratch cell as at any other, behind all of them.
    fn as_cell<T>(&mut self, cell: u32, expression: &Expression, look: impl FnOnce(&mut Sheet) -> T) -> T {
        let mut needs = Vec::new();
        gather(expression, &self.names, &mut needs);
        needs.sort_unstable();
        needs.dedup();
        self.status.push(Status::Known);
        Arc::make_mut(&mut self.model).order.push_scratch(cell, needs);
        // it may draw a line of its own
        let before = (self.weighed.take(), std::mem::take(&mut self.marks));
        let seen = look(self);
        self.weighed = before.0.map_or_else(OnceLock::new, OnceLock::from);
        self.marks = before.1;
        Arc::make_mut(&mut self.model).order.pop_scratch(cell);
        self.status.pop();
        seen
    }

    /// The uncertainty of the scratch cell, which stands behind all others.
    fn scratch_doubt(&mut self, cell: u32, expression: &Expression, kind: Kind) -> Option<Doubt> {
        if !super::can_be_uncertain(kind) || !names_something(expression) {
            return None;
        }
        let mut appraisal = self.as_cell(cell, expression, |sheet| sheet.appraise([CellId(cell)]));
        appraisal.doubts.remove(&CellId(cell))
    }
}

/// Whether an expression rests on an entry or a column; one that doesn't is exact.
fn names_something(expression: &Expression) -> bool {
    let mut named = false;
    each_part(expression, &mut |part| {
        named |= matches!(part.node, ExpressionNode::Name(_) | ExpressionNode::Column(_));
    });
    named
}

/// How far the program reached before scratch work.
struct Marks {
    steps: usize,
    calls: usize,
    loops: usize,
    conversions: usize,
    constants: usize,
    cells: usize,
    slots: u32,
    columns: u32,
    held: usize,
}

impl Marks {
    fn of(sheet: &Sheet) -> Marks {
        let program = &sheet.program;
        Marks {
            steps: program.steps.len(),
            calls: program.calls.len(),
            loops: program.loops.len(),
            conversions: program.conversions.len(),
            constants: program.constants.len(),
            cells: program.cells.len(),
            slots: program.slots,
            columns: program.columns,
            held: sheet.values.held,
        }
    }

    fn restore(&self, sheet: &mut Sheet) {
        let program = &mut Arc::make_mut(&mut sheet.model).program;
        program.steps.truncate(self.steps);
        program.spans.truncate(self.steps);
        program.calls.truncate(self.calls);
        program.loops.truncate(self.loops);
        program.conversions.truncate(self.conversions);
        program.constants.truncate(self.constants);
        program.cells.truncate(self.cells);
        program.readings.truncate(self.cells);
        program.slots = self.slots;
        program.columns = self.columns;
        sheet.values.slots.truncate(self.slots as usize);
        sheet.values.well.truncate(self.slots as usize);
        sheet.values.columns.truncate(self.columns as usize);
        sheet.values.columns_well.truncate(self.columns as usize);
        sheet.values.rows.split_off(&self.columns);
        sheet.values.held = self.held;
    }
}
