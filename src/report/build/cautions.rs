//! Cautions: each once, with the entries it comes from.
//!
//! What functions raise was found by the appraisal; here the times below zero come in.
//! Start reading at [`found`] and [`cautions`].

use std::collections::{BTreeMap, BTreeSet};

use crate::number::Number;
use crate::sheet::appraise::{Appraisal, Cautioned, Doubt};
use crate::sheet::names::{CellId, Named};
use crate::sheet::{Reading, Sheet};
use crate::syntax::tree::{BinaryOperator, Expression, ExpressionNode, Node, Value};
use crate::trade::caution::{BELOW_ZERO, CAUTIONS};
use crate::unit::{Kind, Unit, conversion};

use super::super::model::Caution;
use super::{Options, number_shown};

/// The cautions of an appraisal of these cells, and of the times among them and what they
/// need that come out below zero.
pub(super) fn found(sheet: &Sheet, appraisal: &Appraisal, cells: &[CellId]) -> Vec<Cautioned> {
    let all: BTreeSet<CellId> = sheet.needed_by_all(cells).into_iter().collect();
    let below = all.into_iter().filter_map(|cell| below_zero(sheet, appraisal, cell));
    appraisal.cautions.iter().cloned().chain(below).collect()
}

/// What to say of a time that was divided or multiplied out and is below zero. A time that
/// is the difference of two may well be: then one of them is the longer.
fn below_zero(sheet: &Sheet, appraisal: &Appraisal, cell: CellId) -> Option<Cautioned> {
    let entry = sheet.entry(cell)?;
    let kind = sheet.shape(cell)?.kind;
    let Some(Value::Given { expression, .. }) = &entry.value else {
        return None;
    };
    let calculated = !entry.kind.is_input() && sheet.held(cell).is_none();
    if !(calculated && is_time(kind) && is_worked_out(sheet, expression, 0)) {
        return None;
    }
    let (number, place) = match sheet.reading(cell) {
        Reading::Number(number) => (number, String::new()),
        Reading::Column(cells) => {
            let row = cells.iter().position(|cell| cell.is_some_and(Number::is_negative))?;
            (cells.get(row).copied().flatten()?, format!(" in row {}", row + 1))
        }
        Reading::None(_) => return None,
    };
    let clock = entry.unit.is_some_and(|unit| unit.clock);
    let doubt = match appraisal.doubts.get(&cell) {
        Some(Doubt::One(doubt)) => Some(*doubt),
        _ => None,
    };
    let shown = number_shown(sheet, number, kind, clock, doubt, Options::default()).value;
    number.is_negative().then(|| Cautioned {
        cell,
        function: "",
        caution: &BELOW_ZERO,
        text: format!(
            "It comes out below zero, at {shown}{place}: more is taken off than there is, by so long, or two values are the \
             wrong way round."
        ),
    })
}

/// Whether a value is a length of time.
fn is_time(kind: Kind) -> bool {
    let hours = Unit::parse("h").ok();
    match (kind, hours) {
        (Kind::Quantity(unit), Some(hours)) => !unit.is_point() && conversion(unit, hours).is_some(),
        _ => false,
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
    match &sheet.tree().items.get(item as usize)?.node {
        Node::Rule(rule) => rule.body.as_ref(),
        _ => None,
    }
}

/// The cautions found, those of one kind and wording together, in the order of the trade.
pub(super) fn cautions(sheet: &Sheet, found: &[Cautioned]) -> Vec<Caution> {
    let mut grouped: BTreeMap<(usize, &str), (&Cautioned, BTreeSet<CellId>)> = BTreeMap::new();
    for cautioned in found {
        let place = CAUTIONS
            .iter()
            .position(|caution| caution.code == cautioned.caution.code)
            .unwrap_or(CAUTIONS.len());
        let key = (place, cautioned.text.as_str());
        grouped
            .entry(key)
            .or_insert_with(|| (cautioned, BTreeSet::new()))
            .1
            .insert(cautioned.cell);
    }
    // of one code the first in the worksheet comes first
    let mut grouped: Vec<_> = grouped.into_iter().collect();
    grouped.sort_by_key(|((place, _), (_, cells))| (*place, cells.first().copied()));
    let told = grouped.into_iter().map(|(_, (cautioned, cells))| {
        let text = if cautioned.text.is_empty() {
            cautioned.caution.text
        } else {
            &cautioned.text
        };
        let source = cautioned.caution.source;
        let names = cells.iter().filter_map(|cell| sheet.name_of(*cell).map(str::to_owned));
        Caution {
            code: cautioned.caution.code.to_owned(),
            text: text.to_owned(),
            source: format!("{} ({})", source.title, source.standing.word()),
            names: names.collect(),
        }
    });
    told.collect()
}
