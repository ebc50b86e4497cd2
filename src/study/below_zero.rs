//! Times to run that come out below zero.
//!
//! Where more is kept back than there is, what is left lasts for less than no time. No
//! function refuses that, since it is a formula of the worksheet's own; so it is cautioned.
//! Start reading at [`cautions`].

use std::collections::BTreeSet;

use crate::number::Number;
use crate::sheet::appraisal::{Appraisal, Cautioned};
use crate::sheet::names::{CellId, Named};
use crate::sheet::{Reading, Sheet};
use crate::syntax::tree::{BinaryOperator, Expression, ExpressionNode, Node, Value};
use crate::trade::caution::BELOW_ZERO;

/// The cautions of an appraisal of these cells, and of the times among them and what they
/// need that come out below zero.
pub(crate) fn cautions(sheet: &Sheet, appraisal: &Appraisal, cells: &[CellId]) -> Vec<Cautioned> {
    let all: BTreeSet<CellId> = sheet.needed_by_all(cells).into_iter().collect();
    let below = all.into_iter().filter_map(|cell| below_zero(sheet, cell));
    appraisal.cautions.iter().cloned().chain(below).collect()
}

/// What to say of a time that was divided or multiplied out and is below zero. A time that
/// is the difference of two may well be: then one of them is the longer.
fn below_zero(sheet: &Sheet, cell: CellId) -> Option<Cautioned> {
    let place = first_below(sheet, cell)?;
    let entry = sheet.entry(cell)?;
    let Some(Value::Given { expression, .. }) = &entry.value else {
        return None;
    };
    let calculated = !entry.kind.is_input() && sheet.held(cell).is_none();
    let told = calculated && sheet.is_time(cell) && is_worked_out(sheet, expression, 0);
    told.then(|| Cautioned::new(cell, &BELOW_ZERO, format!(
            "It comes out below zero{place}: more is taken off than there is, or two values are the wrong way around."
        )))
}

/// Where a value is below zero; `None` where it isn't.
fn first_below(sheet: &Sheet, cell: CellId) -> Option<String> {
    match sheet.reading(cell) {
        Reading::Number(number) => number.is_negative().then(String::new),
        Reading::Column(cells) => {
            let index = cells.iter().position(|cell| cell.is_some_and(Number::is_negative))?;
            let row = sheet.row_table(cell).and_then(|rows| rows.row(index)).unwrap_or(index);
            Some(format!(", first in row {}", row + 1))
        }
        Reading::Within(_) | Reading::None(_) => None,
    }
}

/// So many rules are looked through for what a value is worked out by.
const MOST_RULES: usize = 8;

/// Whether the last thing done for a value is a product or a quotient, also in a branch, in
/// a rule of the worksheet's own, or in what a function picks or rounds.
fn is_worked_out(sheet: &Sheet, expression: &Expression, rules: usize) -> bool {
    let inner = |part: &Expression| is_worked_out(sheet, part, rules);
    match &expression.node {
        ExpressionNode::Binary(BinaryOperator::Multiply | BinaryOperator::Divide, ..) => true,
        ExpressionNode::Binary(BinaryOperator::Where, _, sides) => inner(&sides.0),
        ExpressionNode::If(parts) => inner(&parts.1) || inner(&parts.2),
        ExpressionNode::Call(call) => match own_rule(sheet, &call.name.text) {
            Some(body) => rules < MOST_RULES && is_worked_out(sheet, body, rules + 1),
            None => call.arguments.iter().any(|argument| inner(&argument.value)),
        },
        _ => false,
    }
}

/// The body of a rule of the worksheet's own.
fn own_rule<'a>(sheet: &'a Sheet, name: &str) -> Option<&'a Expression> {
    let Some(Named::Rule(item)) = sheet.names().get(name) else {
        return None;
    };
    match sheet.tree().node(item)? {
        Node::Rule(rule) => rule.body.as_ref(),
        _ => None,
    }
}
