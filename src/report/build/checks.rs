//! Checks: whether each holds, and what it compares where it doesn't.
//!
//! A reader of a check that doesn't hold wants the values behind it: of each side that
//! isn't plain to see, and of what a longer side is made of. Start reading at [`check`].

use crate::number::Number;
use crate::sheet::appraise::Appraisal;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::each_part;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::bounds::in_kind;
use crate::syntax::tree::{BinaryOperator, Expression, ExpressionNode, Node, UnaryOperator};
use crate::unit::Kind;

use super::super::model::Check;
use super::waits::waiting_in_full;
use super::{Options, in_one_line, number_shown, unit_text};

/// A check with its verdict, its message and its remark.
pub fn check(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> Option<Check> {
    let item = sheet.item_of(cell);
    let Some(Node::Expect(expect)) = sheet.tree().items.get(item as usize).map(|item| &item.node) else {
        return None;
    };
    let text = sheet.tree().text_of(item as usize);
    let condition = expect.condition.as_ref();
    let (holds, found) = verdict(sheet, cell);
    let otherwise = expect.otherwise.as_ref().map(|otherwise| otherwise.text.to_string());
    let message = match holds {
        Some(true) => None,
        Some(false) => match (otherwise, found) {
            (Some(otherwise), Some(row)) => Some(format!("{otherwise} ({row})")),
            (otherwise, row) => otherwise.or(row),
        },
        None => found,
    };
    Some(Check {
        line: sheet.line(item),
        text: in_one_line(condition.map_or(text.trim(), |condition| condition.span.of(text))),
        holds,
        message,
        compared: None,
        remark: remark(cell, appraisal),
    })
}

/// The same, and where it doesn't hold the values behind it.
pub fn check_with_values(sheet: &Sheet, cell: CellId, appraisal: &Appraisal, options: Options) -> Option<Check> {
    let found = check(sheet, cell, appraisal)?;
    let item = sheet.item_of(cell);
    let compared = match sheet.tree().items.get(item as usize).map(|item| &item.node) {
        Some(Node::Expect(expect)) if found.holds == Some(false) => {
            let text = sheet.tree().text_of(item as usize);
            let condition = expect.condition.as_ref();
            condition.and_then(|condition| compared(sheet, (item, text, condition), failing_row(sheet, cell), options))
        }
        _ => None,
    };
    Some(Check { compared, ..found })
}

fn remark(cell: CellId, appraisal: &Appraisal) -> Option<String> {
    if appraisal.close.contains(&cell) {
        Some("the limit lies within the uncertainty: it could go either way".to_owned())
    } else if appraisal.by_draws.contains(&cell) {
        Some("the inputs have tolerances: try their ends to see whether that changes".to_owned())
    } else {
        None
    }
}

/// Whether a check holds; the row where it first doesn't, or why it can't be told.
pub fn verdict(sheet: &Sheet, cell: CellId) -> (Option<bool>, Option<String>) {
    match sheet.reading(cell) {
        Reading::Number(truth) => (Some(!truth.is_zero()), None),
        Reading::Column(rows) => match first_failing(rows) {
            Some(row) => (Some(false), Some(format!("first in row {}", row + 1))),
            None => (Some(true), None),
        },
        Reading::None(Status::Waits) => (None, Some(waiting_in_full(sheet, cell))),
        Reading::None(_) => (None, Some("it has a problem".to_owned())),
    }
}

fn first_failing(rows: &[Option<Number>]) -> Option<usize> {
    rows.iter().position(|row| row.is_some_and(Number::is_zero))
}

/// The row in which a check of columns first fails.
fn failing_row(sheet: &Sheet, cell: CellId) -> Option<usize> {
    match sheet.reading(cell) {
        Reading::Column(rows) => first_failing(rows),
        _ => None,
    }
}

// ---- what is compared ----

/// So many values are told of one check.
const MOST_TOLD: usize = 6;

/// A condition: the item it stands in, the item's text, and what was read of it.
type Condition<'a> = (u32, &'a str, &'a Expression);

/// `as it stands, runtime is 1 h 4 min`: the sides that no reader sees from the condition
/// alone, and the entries that a longer side is made of. `None` where there is nothing to add.
fn compared(
    sheet: &Sheet,
    (item, text, condition): Condition<'_>,
    row: Option<usize>,
    options: Options,
) -> Option<String> {
    let mut sides = Vec::new();
    gather(condition, &mut sides);
    let long = |side: &Side<'_>| is_long(side.expression) && row.is_none();
    let parts: Vec<(u32, &str, &Expression)> = sides
        .iter()
        .filter(|side| long(side))
        .map(|side| (item, text, side.expression))
        .collect();
    let mut values = match parts.is_empty() {
        true => Vec::new(),
        false => sheet.values_aside(&parts),
    }
    .into_iter();
    for side in &mut sides {
        side.value = match long(side) {
            true => values.next().flatten(),
            false => value_of(sheet, side.expression, row),
        };
    }
    let close = sides.iter().any(|side| {
        side.first
            .and_then(|first| sides.get(first))
            .is_some_and(|first| is_close(first, side))
    });
    let options = if close {
        Options { digits: MOST_DIGITS }
    } else {
        options
    };
    let mut told: Vec<String> = Vec::new();
    let teller = Teller { sheet, options, row };
    let at_sides = sides
        .iter()
        .filter_map(|side| teller.side(side, side.first.and_then(|first| sides.get(first))));
    let mut inside = Vec::new();
    for side in sides.iter().filter(|side| is_long(side.expression)) {
        each_part(side.expression, &mut |part| inside.extend(teller.named(part)));
    }
    for one in at_sides.chain(inside) {
        if told.len() < MOST_TOLD && !told.contains(&one) {
            told.push(one);
        }
    }
    (!told.is_empty()).then(|| format!("as it stands, {}", listed(&told)))
}

/// As many digits as two values need that are all but the same.
const MOST_DIGITS: u32 = 12;

/// Whether two values would look the same at the digits usually shown.
fn is_close(one: &Side<'_>, other: &Side<'_>) -> bool {
    let (Some((kind, one)), Some((from, other))) = (one.value, other.value) else {
        return false;
    };
    let other = in_kind(from, other, kind);
    other.is_some_and(|other| one != other && one.round_significant(4) == other.round_significant(4))
}

fn listed(told: &[String]) -> String {
    match told.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// One side of a comparison.
struct Side<'a> {
    expression: &'a Expression,
    /// How it is called where it has no name.
    word: &'static str,
    /// The side whose unit counts, by its place among all sides; none for that side itself.
    first: Option<usize>,
    value: Option<(Kind, Number)>,
}

/// The sides of every comparison in a condition; what is compared with nothing is a side too.
fn gather<'a>(condition: &'a Expression, sides: &mut Vec<Side<'a>>) {
    let begins = sides.len();
    let mut side = |expression, word, first| {
        sides.push(Side {
            expression,
            word,
            first,
            value: None,
        });
    };
    match &condition.node {
        ExpressionNode::Comparison(comparison) => {
            let links = comparison.links.len();
            side(&comparison.first, "the left side", None);
            for (place, (_, _, operand)) in comparison.links.iter().enumerate() {
                let word = if place + 1 < links {
                    "the middle"
                } else {
                    "the right side"
                };
                side(operand, word, Some(begins));
            }
        }
        ExpressionNode::Binary(BinaryOperator::And | BinaryOperator::Or, _, both) => {
            gather(&both.0, sides);
            gather(&both.1, sides);
        }
        ExpressionNode::Unary(UnaryOperator::Not, inner) => gather(inner, sides),
        _ => side(condition, "it", None),
    }
}

/// Whether a side is more than a name or a literal.
fn is_long(side: &Expression) -> bool {
    use ExpressionNode::{Column, Moment, Name, Number, Quantity, Text, TimeOfDay, Truth};
    !matches!(
        side.node,
        Name(_) | Column(_) | Number(_) | Quantity { .. } | TimeOfDay(_) | Moment(_) | Text(_) | Truth(_)
    )
}

/// The value of a name or of a quantity as written, in a row where it is a column.
fn value_of(sheet: &Sheet, side: &Expression, row: Option<usize>) -> Option<(Kind, Number)> {
    let in_row = |cells: &[Option<Number>]| cells.get(row?).copied().flatten();
    match &side.node {
        ExpressionNode::Quantity { value, unit, .. } => Some((Kind::Quantity(*unit), *value)),
        ExpressionNode::Name(name) => {
            let cell = sheet.cell(name)?;
            let kind = sheet.shape(cell)?.kind;
            match sheet.reading(cell) {
                Reading::Number(number) => Some((kind, number)),
                Reading::Column(cells) => Some((kind, in_row(cells)?)),
                Reading::None(_) => None,
            }
        }
        ExpressionNode::Column(names) => {
            let (slot, kind) = column_named(sheet, &names.0.text, &names.1.text)?;
            Some((kind, in_row(sheet.column_cells(slot))?))
        }
        _ => None,
    }
}

struct Teller<'a> {
    sheet: &'a Sheet,
    options: Options,
    row: Option<usize>,
}

impl Teller<'_> {
    /// What a side comes to, and in the unit of the first side where that is another.
    fn side(&self, side: &Side<'_>, first: Option<&Side<'_>>) -> Option<String> {
        let (kind, number) = side.value?;
        let counted = first.and_then(|first| {
            let (wanted, _) = first.value?;
            let differs = unit_text(wanted) != unit_text(kind) && matches!(kind, Kind::Quantity(_));
            let counted = in_kind(kind, number, wanted).filter(|_| differs)?;
            Some(self.value(counted, wanted, false))
        });
        let told = match is_long(side.expression) {
            true => Some(format!("{} is {}", side.word, self.value(number, kind, false))),
            false => self.named(side.expression),
        };
        match (told, counted) {
            (Some(told), Some(counted)) => Some(format!("{told} = {counted}")),
            (None, Some(counted)) => Some(format!("{} is {counted}", self.value(number, kind, false))),
            (told, None) => told,
        }
    }

    /// `net_1 is 22 lb`, `log.gross is 43.7 lb in row 4`; `None` for what is no name.
    fn named(&self, part: &Expression) -> Option<String> {
        let (kind, number) = value_of(self.sheet, part, self.row)?;
        match &part.node {
            ExpressionNode::Name(name) => {
                let cell = self.sheet.cell(name)?;
                let clock = self.sheet.entry(cell)?.unit.is_some_and(|unit| unit.clock);
                let column = matches!(self.sheet.reading(cell), Reading::Column(_));
                Some(format!(
                    "{name} is {}{}",
                    self.value(number, kind, clock),
                    self.place(column)
                ))
            }
            ExpressionNode::Column(names) => {
                let name = format!("{}.{}", names.0.text, names.1.text);
                Some(format!(
                    "{name} is {}{}",
                    self.value(number, kind, false),
                    self.place(true)
                ))
            }
            _ => None,
        }
    }

    fn place(&self, column: bool) -> String {
        let row = self.row.filter(|_| column);
        row.map_or(String::new(), |row| format!(" in row {}", row + 1))
    }

    fn value(&self, number: Number, kind: Kind, clock: bool) -> String {
        let shown = number_shown(self.sheet, number, kind, clock, None, self.options).value;
        match kind {
            Kind::Text => format!("\"{shown}\""),
            _ => shown,
        }
    }
}

/// A column of a table by its names: its slot and kind.
fn column_named(sheet: &Sheet, table: &str, column: &str) -> Option<(u32, Kind)> {
    let Some(Named::Table(place)) = sheet.names().get(table) else {
        return None;
    };
    let mut columns = sheet.tables().get(place as usize)?.columns.iter();
    let slot = columns.find(|slot| sheet.table_column(**slot).is_some_and(|known| &*known.name == column))?;
    Some((*slot, sheet.table_column(*slot)?.kind))
}
