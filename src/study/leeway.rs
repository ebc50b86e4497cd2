//! How far each expectation is from its limit, the nearest first.
//!
//! Of comparisons joined by `and` the least counts. Start reading at [`leeways`].

use std::cmp::Ordering;

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::syntax::tree::{BinaryOperator, ComparisonOperator, Expression, ExpressionNode};
use crate::unit::{Kind, Unit};

use super::bounds::{in_kind, is_miss};

/// How far an expectation is from its limit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Leeway {
    /// The expectation.
    pub check: CellId,
    /// The entry on its left, where it is one.
    pub entry: Option<CellId>,
    /// How far the left side may still move; below zero it is past the limit.
    pub gap: Number,
    /// The kind of the gap.
    pub kind: Kind,
    /// The gap as a part of the limit; `None` without a true zero, or at a limit of 0.
    pub share: Option<Number>,
}

/// The expectations that have a distance, those past their limit first, then the least part of a
/// limit, those without a part last; and those that have none: of columns, for being equal, or by how much something misses.
pub(crate) fn leeways(sheet: &Sheet) -> (Vec<Leeway>, Vec<CellId>) {
    let cells = sheet.own_cells();
    let (mut found, mut without) = (Vec::new(), Vec::new());
    for check in cells.filter(|cell| condition(sheet, *cell).is_some()) {
        match leeway(sheet, check) {
            Some(leeway) => found.push(leeway),
            None => without.push(check),
        }
    }
    found.sort_by(before);
    (found, without)
}

fn before(one: &Leeway, other: &Leeway) -> Ordering {
    match (one.share, other.share) {
        _ if one.gap.is_negative() != other.gap.is_negative() => other.gap.is_negative().cmp(&one.gap.is_negative()),
        (Some(one), Some(other)) => one.compare(other),
        (one, other) => other.is_some().cmp(&one.is_some()),
    }
}

/// The condition of an expectation, with the item that it stands in.
fn condition(sheet: &Sheet, cell: CellId) -> Option<(u32, &Expression)> {
    let (item, expect) = sheet.expectation(cell)?;
    Some((item, expect.condition.as_ref()?))
}

type Pair<'a> = (&'a Expression, ComparisonOperator, &'a Expression);

fn leeway(sheet: &Sheet, check: CellId) -> Option<Leeway> {
    let (item, condition) = condition(sheet, check)?;
    let mut pairs = Vec::new();
    gather(condition, &mut pairs)?;
    let text = sheet.tree().text_of(item as usize);
    let sides = pairs
        .iter()
        .flat_map(|(left, _, right)| [(item, text, *left), (item, text, *right)]);
    let values = sheet.values_aside(&sides.collect::<Vec<_>>());
    let each = values.chunks(2).zip(&pairs).map(|(values, pair)| match values {
        [Some(left), Some(right)] => between(sheet, check, pair, *left, *right),
        _ => None,
    });
    each.collect::<Option<Vec<Leeway>>>()?.into_iter().min_by(before)
}

/// Every comparison by size; `None` where there is something else.
fn gather<'a>(condition: &'a Expression, pairs: &mut Vec<Pair<'a>>) -> Option<()> {
    match &condition.node {
        ExpressionNode::Comparison(comparison) => {
            let mut left = &comparison.first;
            for (operator, _, right) in &comparison.links {
                pairs.push((left, *operator, right));
                left = right;
            }
            Some(())
        }
        ExpressionNode::Binary(BinaryOperator::And, _, both) => gather(&both.0, pairs).and(gather(&both.1, pairs)),
        _ => None,
    }
}

fn between(
    sheet: &Sheet,
    check: CellId,
    pair: &Pair<'_>,
    left: (Kind, Number),
    right: (Kind, Number),
) -> Option<Leeway> {
    let limit = in_kind(right.0, right.1, left.0)?;
    let gap = match pair.1 {
        _ if is_miss(pair.0) => return None,
        ComparisonOperator::Less | ComparisonOperator::AtMost => limit.sub(left.1).ok()?,
        ComparisonOperator::Greater | ComparisonOperator::AtLeast => left.1.sub(limit).ok()?,
        ComparisonOperator::Equal | ComparisonOperator::Unequal => return None,
    };
    let gap = match left.0 {
        time if time.is_time() => gap.div(Number::from_integer(60)).ok()?,
        _ => gap,
    };
    let from_zero = matches!(left.0, Kind::Quantity(unit) if unit == unit.interval());
    Some(Leeway {
        check,
        entry: sheet.names().entry_in(pair.0),
        gap,
        kind: match left.0 {
            Kind::Quantity(unit) => Kind::Quantity(unit.interval()),
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Kind::Quantity(Unit::parse("min").ok()?),
            Kind::Level | Kind::Decibels => Kind::Decibels,
            Kind::Text | Kind::Truth => return None,
        },
        share: from_zero.then(|| gap.div(limit.abs()).ok()).flatten(),
    })
}
