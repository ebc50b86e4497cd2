//! Blanks that a check asks for, and what the check makes of them.
//!
//! An assumed value that is left open and named in an expectation is an exercise.
//! Where the expectation sets it beside an expression, it is turned round until the
//! blank stands alone, and what is left is worked out; how many of something there
//! are is found by trying. An answer counts only where every check that it turns
//! holds. Start reading at [`exercises`] and [`solve`].

use std::collections::BTreeSet;

use crate::number::Number;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::{each_part, expressions_of, gather};
use crate::sheet::scratch::Evaluated;
use crate::sheet::{Held, HeldValue, Sheet, Status};
use crate::syntax::tree::{
    BinaryOperator, Call, Comparison, ComparisonOperator, EntryKind, Expect, Expression, ExpressionNode, Typed,
    UnaryOperator, Value,
};
use crate::text::in_one_line;
use crate::trade::registry::{function, name_of};
use crate::trade::{Body, Built, Fact};
use crate::unit::{Kind, Unit};

/// Whole numbers up to this one are tried for what is counted.
pub(crate) const MOST_COUNTED: i64 = 100;

/// A blank with the checks that name it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Exercise {
    /// The blank.
    pub cell: CellId,
    /// The checks, in file order.
    pub checks: Vec<CellId>,
}

/// What the checks make of a blank.
#[derive(Clone, Debug)]
pub(crate) enum Solution {
    /// It equals this, as a check has it
    Formula {
        /// The expression, written out
        text: String,
        /// The same, read
        expression: Expression,
        /// What it comes to, in the blank's unit
        value: Evaluated,
    },
    /// The only whole number, up to [`MOST_COUNTED`], that meets every check
    Counted(Evaluated),
    /// It can't be told from the checks
    Untold,
}

/// The exercises of the worksheet as it stands, in file order.
pub(crate) fn exercises(sheet: &Sheet) -> Vec<Exercise> {
    let mut found: Vec<Exercise> = cells(sheet)
        .filter(|cell| sheet.status(*cell) == Status::Blank)
        .filter(|cell| sheet.entry(*cell).is_some_and(|entry| entry.kind == EntryKind::Assumed))
        .map(|cell| Exercise {
            cell,
            checks: Vec::new(),
        })
        .collect();
    for check in cells(sheet) {
        let named = named_in(sheet, check);
        let asked = found.iter_mut().filter(|exercise| named.contains(&exercise.cell));
        asked.for_each(|exercise| exercise.checks.push(check));
    }
    found.retain(|exercise| !exercise.checks.is_empty());
    found
}

/// Questions that no check asks for, in file order: open, with words that ask, or worked out by the
/// reader.
pub(crate) fn unchecked(sheet: &Sheet) -> impl Iterator<Item = CellId> {
    let asked: BTreeSet<CellId> = cells(sheet).flat_map(|check| named_in(sheet, check)).collect();
    let asks = |cell: &CellId| {
        let assumed = sheet.entry(*cell).filter(|entry| entry.kind == EntryKind::Assumed);
        assumed.is_some_and(|entry| {
            let words = entry
                .label
                .as_ref()
                .is_some_and(|label| label.text.trim_end().ends_with('?'));
            words
                || entry
                    .source
                    .as_ref()
                    .is_some_and(|source| source.text.starts_with("your work"))
        })
    };
    let open = cells(sheet).filter(|cell| sheet.status(*cell) == Status::Blank);
    open.filter(move |cell| !asked.contains(cell)).filter(asks)
}

/// The names of what the checks of exercises rest on, entries and tables; without what is still to be
/// filled in.
pub(crate) fn rested_on(sheet: &Sheet) -> BTreeSet<String> {
    let exercises = exercises(sheet);
    let checks = exercises.iter().flat_map(|one| one.checks.iter().copied());
    let cells: BTreeSet<CellId> = checks.flat_map(|check| sheet.needed_by(check)).collect();
    let mut names = BTreeSet::new();
    for node in cells.iter().filter_map(|cell| sheet.tree().node(sheet.item_of(*cell))) {
        expressions_of(node, &mut |part| {
            if let ExpressionNode::Column(column) = &part.node {
                names.insert(column.0.text.to_string());
            }
        });
    }
    let rests = |named: Named| match named {
        Named::Cell(cell) => cells.contains(&cell) && sheet.status(cell) != Status::Blank,
        _ => false,
    };
    let entries = sheet.names().all().filter(|(_, named)| rests(*named));
    names.extend(entries.map(|(name, _)| name.to_owned()));
    names
}

/// Answers the exercises one after another, each held as a trial would be in a copy of the
/// worksheet, which comes with the solutions.
pub(crate) fn solve(sheet: &Sheet, exercises: &[Exercise]) -> (Sheet, Vec<Solution>) {
    let mut answering = Answering {
        sheet: sheet.with_everything(),
        asked: sheet,
    };
    let mut solutions: Vec<Solution> = exercises.iter().map(|_| Solution::Untold).collect();
    loop {
        let mut gone_on = false;
        for (exercise, solution) in exercises.iter().zip(&mut solutions) {
            if matches!(solution, Solution::Untold) {
                *solution = answering.one(exercise);
                gone_on |= !matches!(solution, Solution::Untold);
            }
        }
        if !gone_on {
            answering.sheet.keep_back_as(sheet);
            return (answering.sheet, solutions);
        }
    }
}

fn cells(sheet: &Sheet) -> impl Iterator<Item = CellId> + use<> {
    sheet.own_cells()
}

/// A check, with the text that it stands in.
fn expected(sheet: &Sheet, check: CellId) -> Option<(&Expect, &str)> {
    let (item, expect) = sheet.expectation(check)?;
    Some((expect, sheet.tree().text_of(item as usize)))
}

fn named_in(sheet: &Sheet, check: CellId) -> Vec<CellId> {
    let mut named = Vec::new();
    if let Some((expect, _)) = expected(sheet, check) {
        let close = expect.closeness.iter().map(|close| &close.answer);
        let asked = expect.condition.iter().chain(close);
        asked.for_each(|part| gather(part, sheet.names(), &mut named));
    }
    named.into_iter().map(CellId).collect()
}

// ---- one exercise ----

/// The worksheet in which what was answered is held.
struct Answering<'a> {
    sheet: Sheet,
    /// As it is asked, with what is kept back.
    asked: &'a Sheet,
}

impl Answering<'_> {
    fn one(&mut self, exercise: &Exercise) -> Solution {
        self.by_formula(exercise)
            .or_else(|| self.by_counting(exercise))
            .unwrap_or(Solution::Untold)
    }

    fn by_formula(&mut self, exercise: &Exercise) -> Option<Solution> {
        let name = self.sheet.name_of(exercise.cell)?.to_owned();
        let told: Vec<String> = exercise
            .checks
            .iter()
            .filter_map(|check| expected(&self.sheet, *check))
            .flat_map(|(expect, text)| turned_round(expect, text, &name))
            .map(|text| self.in_place_of_what_is_kept(text))
            .collect();
        told.into_iter().find_map(|text| self.answered(exercise, text))
    }

    /// Of a name that is kept back what stands behind it.
    fn in_place_of_what_is_kept(&self, text: String) -> String {
        let kept = self.asked.cell(&text).filter(|cell| self.asked.is_kept_back(*cell));
        let behind = kept.and_then(|cell| {
            let entry = self.asked.entry(cell)?;
            let Some(Value::Given { expression, .. }) = &entry.value else {
                return None;
            };
            let item = self.asked.tree().text_of(self.asked.item_of(cell) as usize);
            Some(in_one_line(expression.span.of(item)))
        });
        behind.unwrap_or(text)
    }

    /// The expression worked out, where the checks agree to it.
    fn answered(&mut self, exercise: &Exercise, text: String) -> Option<Solution> {
        let Ok(Typed::Expression { expression, unit: None }) = self.sheet.tree().read_typed(&text) else {
            return None;
        };
        let value = self.sheet.trial_value(exercise.cell, &text, &expression, None).ok()?;
        self.holds_at(exercise, &value.value).then_some(Solution::Formula {
            text,
            expression,
            value,
        })
    }

    /// Holds the value where it meets the checks, else leaves the blank open.
    fn holds_at(&mut self, exercise: &Exercise, value: &HeldValue) -> bool {
        self.sheet.hold(exercise.cell, Held::exactly(value.clone()));
        let verdicts: Vec<Option<bool>> = exercise.checks.iter().map(|check| self.sheet.holds(*check)).collect();
        // a check that names a blank further down waits for it
        let agreed = !verdicts.contains(&Some(false)) && verdicts.contains(&Some(true));
        if !agreed {
            self.sheet.release(exercise.cell);
        }
        agreed
    }

    /// What is counted, by trying: an answer where one number alone meets every check.
    fn by_counting(&mut self, exercise: &Exercise) -> Option<Solution> {
        let shape = self.sheet.shape(exercise.cell)?;
        let counts = matches!(shape.kind, Kind::Quantity(unit) if Unit::parse("each").is_ok_and(|each| each == unit));
        if !counts || shape.column {
            return None;
        }
        let whole = |count: i64| HeldValue::Number(Number::from_integer(count));
        let mut meets = |count: i64| {
            let met = self.holds_at(exercise, &whole(count));
            met && exercise
                .checks
                .iter()
                .all(|check| self.sheet.holds(*check) == Some(true))
        };
        let met: Vec<i64> = (0..=MOST_COUNTED).filter(|count| meets(*count)).collect();
        self.sheet.release(exercise.cell);
        let [only] = met.as_slice() else { return None };
        self.holds_at(exercise, &whole(*only))
            .then_some(Solution::Counted(Evaluated {
                shape,
                value: whole(*only),
                doubt: None,
                limited: None,
                late: 0,
                rows: None,
                met: Vec::new(),
            }))
    }
}

// ---- turning a check round ----

/// How tightly a piece of an expression binds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binds {
    Loosely,
    Sum,
    Product,
    Tightly,
}

/// A written piece of an expression.
#[derive(Clone)]
struct Piece {
    text: String,
    binds: Binds,
}

impl Piece {
    fn call(function: &str, argument: &Piece) -> Piece {
        Piece {
            text: format!("{function}({})", argument.text),
            binds: Binds::Tightly,
        }
    }

    fn joined(left: &Piece, sign: &str, right: &Piece, binds: Binds) -> Piece {
        let (left, right) = match binds {
            Binds::Sum => (left.at_least(Binds::Sum), right.at_least(Binds::Product)),
            _ => (left.at_least(Binds::Product), right.at_least(Binds::Tightly)),
        };
        Piece {
            text: format!("{left} {sign} {right}"),
            binds,
        }
    }

    fn at_least(&self, needed: Binds) -> String {
        match self.binds >= needed {
            true => self.text.clone(),
            false => format!("({})", self.text),
        }
    }
}

/// What the blank equals, by each equation of a condition that has it once.
fn turned_round(expect: &Expect, text: &str, name: &str) -> Vec<String> {
    let turn = Turn { text, name };
    let close = expect.closeness.iter();
    let mut equations: Vec<Equation<'_>> = close
        .map(|close| Equation::Alike(&close.answer, &close.wanted))
        .collect();
    let condition = expect.condition.iter();
    condition.for_each(|condition| turn.equations(condition, &mut equations));
    let told = equations.into_iter().filter_map(|equation| turn.answer(&equation));
    told.map(|piece| piece.text).collect()
}

struct Turn<'a> {
    text: &'a str,
    name: &'a str,
}

/// What a condition wants.
enum Equation<'e> {
    /// Two sides that are alike
    Alike(&'e Expression, &'e Expression),
    /// Something that comes to nothing
    Nothing(&'e Expression),
}

impl Turn<'_> {
    /// The pairs of sides that a condition wants to be alike.
    fn equations<'e>(&self, condition: &'e Expression, found: &mut Vec<Equation<'e>>) {
        match &condition.node {
            ExpressionNode::Binary(BinaryOperator::And, _, sides) => {
                self.equations(&sides.0, found);
                self.equations(&sides.1, found);
            }
            ExpressionNode::Comparison(comparison) => found.extend(self.compared(comparison)),
            _ => {}
        }
    }

    fn compared<'e>(&self, comparison: &'e Comparison) -> Option<Equation<'e>> {
        let [(operator, _, right)] = comparison.links.as_slice() else {
            return None;
        };
        let (small, large) = match operator {
            ComparisonOperator::Equal => return Some(Equation::Alike(&comparison.first, right)),
            ComparisonOperator::Less | ComparisonOperator::AtMost => (&comparison.first, right),
            ComparisonOperator::Greater | ComparisonOperator::AtLeast => (right, &comparison.first),
            ComparisonOperator::Unequal => return None,
        };
        (self.count(large) == 0).then(|| self.gap(small)).flatten()
    }

    /// What is to be small.
    fn gap<'e>(&self, small: &'e Expression) -> Option<Equation<'e>> {
        match &small.node {
            ExpressionNode::Call(call) => match (function(&call.name.text)?, call.arguments.as_slice()) {
                (size, [only]) if matches!(size.body, Body::Built(Built::Abs)) => Some(Equation::Nothing(&only.value)),
                (gap, [one, other]) if gap.tells(Fact::SmallWhereAlike) => {
                    Some(Equation::Alike(&one.value, &other.value))
                }
                _ => None,
            },
            // a part of something else
            ExpressionNode::Binary(BinaryOperator::Divide, _, sides) if self.count(&sides.1) == 0 => self.gap(&sides.0),
            _ => None,
        }
    }

    fn answer(&self, equation: &Equation<'_>) -> Option<Piece> {
        match equation {
            Equation::Alike(left, right) => self.alike(left, right),
            Equation::Nothing(whole) => match &whole.node {
                ExpressionNode::Binary(BinaryOperator::Subtract, _, sides) => self.alike(&sides.0, &sides.1),
                ExpressionNode::Binary(BinaryOperator::Add, _, sides) => match self.counts(&sides.0, &sides.1) {
                    (1, 0) => self.alone(&sides.0, negative(&self.piece(&sides.1))),
                    (0, 1) => self.alone(&sides.1, negative(&self.piece(&sides.0))),
                    _ => None,
                },
                _ => None,
            },
        }
    }

    fn alike(&self, left: &Expression, right: &Expression) -> Option<Piece> {
        match self.counts(left, right) {
            (1, 0) => self.alone(left, self.piece(right)),
            (0, 1) => self.alone(right, self.piece(left)),
            _ => None,
        }
    }

    fn counts(&self, left: &Expression, right: &Expression) -> (usize, usize) {
        (self.count(left), self.count(right))
    }

    /// How often the blank stands in it.
    fn count(&self, expression: &Expression) -> usize {
        let mut count = 0;
        each_part(expression, &mut |part| {
            count += usize::from(matches!(&part.node, ExpressionNode::Name(name) if **name == *self.name));
        });
        count
    }

    fn piece(&self, expression: &Expression) -> Piece {
        let written: Vec<&str> = expression.span.of(self.text).split_whitespace().collect();
        let binds = match &expression.node {
            ExpressionNode::Name(_) | ExpressionNode::Column(_) | ExpressionNode::Call(_) => Binds::Tightly,
            _ if is_enclosed(expression.span.of(self.text)) => Binds::Tightly,
            ExpressionNode::Number(number) if !number.is_negative() => Binds::Tightly,
            ExpressionNode::Binary(BinaryOperator::Power, ..) => Binds::Product,
            ExpressionNode::Binary(BinaryOperator::Multiply | BinaryOperator::Divide, ..) => Binds::Product,
            ExpressionNode::Binary(BinaryOperator::Add | BinaryOperator::Subtract, ..) => Binds::Sum,
            _ => Binds::Loosely,
        };
        Piece {
            text: written.join(" "),
            binds,
        }
    }

    /// What the blank in `side` equals where `side` equals `other`.
    fn alone(&self, side: &Expression, other: Piece) -> Option<Piece> {
        match &side.node {
            ExpressionNode::Name(_) => Some(other),
            ExpressionNode::Unary(UnaryOperator::Negate, inner) => self.alone(inner, negative(&other)),
            ExpressionNode::Binary(operator, _, sides) => self.alone_in(*operator, &sides.0, &sides.1, &other),
            ExpressionNode::Call(call) => self.alone_in_call(call, &other),
            _ => None,
        }
    }

    fn alone_in(
        &self,
        operator: BinaryOperator,
        left: &Expression,
        right: &Expression,
        other: &Piece,
    ) -> Option<Piece> {
        let on_left = self.count(left) == 1;
        let rest = self.piece(if on_left { right } else { left });
        let sum = |one: &Piece, sign, two: &Piece| Piece::joined(one, sign, two, Binds::Sum);
        let product = |one: &Piece, sign, two: &Piece| Piece::joined(one, sign, two, Binds::Product);
        let inner = if on_left { left } else { right };
        let other = match (operator, on_left) {
            (BinaryOperator::Add, _) => sum(other, "-", &rest),
            (BinaryOperator::Subtract, true) => sum(other, "+", &rest),
            (BinaryOperator::Subtract, false) => sum(&rest, "-", other),
            (BinaryOperator::Multiply, _) => product(other, "/", &rest),
            (BinaryOperator::Divide, true) => product(other, "*", &rest),
            (BinaryOperator::Divide, false) => product(&rest, "/", other),
            (BinaryOperator::Power, true) if rest.text == "2" => Piece::call(name_of(Built::SquareRoot), other),
            _ => return None,
        };
        self.alone(inner, other)
    }

    fn alone_in_call(&self, call: &Call, other: &Piece) -> Option<Piece> {
        let [argument] = call.arguments.as_slice() else {
            return None;
        };
        let called = function(&call.name.text)?;
        let other = match called.body {
            Body::Built(Built::SquareRoot) => Piece {
                text: format!("{}^2", other.at_least(Binds::Tightly)),
                binds: Binds::Product,
            },
            Body::Built(Built::Abs) => other.clone(),
            _ => called.tells.iter().find_map(|fact| match fact {
                Fact::UndoneBy(name) => Some(Piece::call(name, other)),
                _ => None,
            })?,
        };
        self.alone(&argument.value, other)
    }
}

fn negative(piece: &Piece) -> Piece {
    Piece {
        text: format!("-{}", piece.at_least(Binds::Tightly)),
        binds: Binds::Loosely,
    }
}

/// Whether one pair of parentheses goes around all of it.
fn is_enclosed(text: &str) -> bool {
    let mut depth = 0_usize;
    let mut closed_before_the_end = false;
    for (at, c) in text.char_indices() {
        match c {
            '(' => depth += 1,
            ')' => {
                depth = depth.saturating_sub(1);
                closed_before_the_end |= depth == 0 && at + 1 < text.len();
            }
            _ => {}
        }
    }
    text.starts_with('(') && text.ends_with(')') && !closed_before_the_end
}
