//! Checks: whether each holds, and what it compares where it doesn't.
//!
//! A reader of a check that doesn't hold wants the values behind it: of each side that
//! isn't plain to see, and of what a longer side is made of. Start reading at [`check`].

use std::collections::BTreeMap;

use crate::number::Number;
use crate::sheet::appraisal::{Appraisal, Doubt};
use crate::sheet::limits::Rows;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::each_part;
use crate::sheet::source::Uncertainty;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::bounds::{in_kind, is_miss};
use crate::study::nearness::{Nearness, closeness, hint, nearness};
use crate::syntax::tree::{BinaryOperator, Expression, ExpressionNode, Node, UnaryOperator};
use crate::text::{in_one_line, listed};
use crate::unit::Kind;

use super::super::model::Check;
use super::rows::{RowNames, row_told, rows_told};
use super::waits::waiting_in_full;
use super::{Options, number_shown, unit_text, within};

/// A check with its verdict, its message and its remark.
pub fn check(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> Option<Check> {
    let (item, expect) = sheet.expectation(cell)?;
    let text = sheet.tree().text_of(item as usize);
    let (holds, found) = verdict(sheet, cell);
    let near = nearness(sheet, cell);
    let close = expect.closeness.as_deref().zip(near);
    let otherwise = match close {
        Some((close, near)) => hint(expect, close, near).map(str::to_owned),
        None => expect.otherwise.as_ref().map(|otherwise| otherwise.text.to_string()),
    };
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
        file: sheet.file_of(item).map(|file| file.name.clone()),
        name: expect.name.as_ref().map(|name| name.text.to_string()),
        text: in_one_line(&expect.said(text)),
        holds,
        close: near == Some(Nearness::Near),
        marks: expect.closeness.is_some(),
        message,
        compared: None,
        either_way: could_turn(sheet, cell, appraisal),
        waits: matches!(sheet.reading(cell), Reading::None(Status::Waits)),
        in_hundred: in_hundred(sheet, cell, appraisal),
        remark: remark(sheet, cell, appraisal),
    })
}

/// The same, and where it doesn't hold the values behind it.
pub fn check_with_values(sheet: &Sheet, cell: CellId, appraisal: &Appraisal, options: Options) -> Option<Check> {
    let found = check(sheet, cell, appraisal)?;
    let item = sheet.item_of(cell);
    let compared = match sheet.tree().node(item) {
        Some(Node::Expect(expect)) if found.holds == Some(false) => {
            let text = sheet.tree().text_of(item as usize);
            let condition = expect.condition.as_ref();
            condition.and_then(|condition| {
                compared(
                    (sheet, appraisal),
                    (item, text, condition),
                    failing_row(sheet, cell),
                    options,
                )
            })
        }
        _ => None,
    };
    Some(Check { compared, ..found })
}

/// Whether the limit of a check lies within its uncertainty, of which the marking of an answer
/// knows nothing.
fn could_turn(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> bool {
    appraisal.close.contains(&cell) && closeness(sheet, cell).is_none()
}

/// In how many of 100 a close check holds.
fn in_hundred(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> Option<u32> {
    let told = closeness(sheet, cell).is_none();
    let likely = appraisal
        .likely
        .get(&cell)
        .filter(|_| told)
        .filter(|likely| likely.is_finite())?;
    Some((100.0 * likely).round().clamp(1.0, 99.0) as u32)
}

fn remark(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> Option<String> {
    if could_turn(sheet, cell, appraisal) {
        Some(match in_hundred(sheet, cell, appraisal) {
            Some(likely) => format!("it could go either way: it holds in about {likely} of 100"),
            None => "what is unsure here could turn it: it could go either way".to_owned(),
        })
    } else if appraisal.by_draws.contains(&cell) && closeness(sheet, cell).is_none() {
        Some("no draws were made of it: try the ends of the inputs to see whether it turns".to_owned())
    } else {
        None
    }
}

/// Whether a check holds; the row where it first doesn't, or why it is undecided.
pub fn verdict(sheet: &Sheet, cell: CellId) -> (Option<bool>, Option<String>) {
    let told = match sheet.reading(cell) {
        Reading::Number(_) => None,
        Reading::Column(rows) => of_rows(sheet, cell, rows),
        Reading::Within(_) => Some(within::undecided_words(sheet, cell)),
        Reading::None(Status::Waits) => Some(waiting_in_full(sheet, cell)),
        Reading::None(_) => Some("it has a problem".to_owned()),
    };
    (sheet.holds(cell), told)
}

/// The row where a check of columns first fails, or else those where it is undecided.
fn of_rows(sheet: &Sheet, cell: CellId, rows: Rows<'_>) -> Option<String> {
    if let Some(row) = first_failing(&rows) {
        return Some(format!("first in {}", row_told(sheet, cell, row)));
    }
    if let Some(row) = rows.first_open() {
        return Some(format!(
            "{}: {}",
            row_told(sheet, cell, row),
            within::undecided_words(sheet, cell)
        ));
    }
    let late = sheet.late(cell);
    let missing = (0usize..)
        .zip(rows.iter())
        .filter_map(|(row, truth)| truth.is_none().then_some(row))
        .filter(|row| *row >= late);
    match missing.collect::<Vec<usize>>().as_slice() {
        [] if rows.len() <= late => Some("it has no rows".to_owned()),
        [] => None,
        missing => Some(format!("a cell is missing in {}", rows_told(sheet, cell, missing))),
    }
}

fn first_failing(rows: &[Option<Number>]) -> Option<usize> {
    rows.iter().position(|row| row.is_some_and(Number::is_zero))
}

/// The row in which a check of columns first fails, as its table counts it.
fn failing_row(sheet: &Sheet, cell: CellId) -> Option<usize> {
    let Reading::Column(rows) = sheet.reading(cell) else {
        return None;
    };
    let index = first_failing(&rows)?;
    let names = RowNames::of(sheet, cell);
    Some(names.and_then(|names| names.row(index)).unwrap_or(index))
}

// ---- what is compared ----

/// So many values are told of one check.
const MOST_TOLD: usize = 6;

/// A condition: the item it stands in, the item's text, and what was read of it.
type Condition<'a> = (u32, &'a str, &'a Expression);

/// `as it stands, runtime is 1 h 4 min`: the sides that no reader sees from the condition
/// alone, and the entries that a longer side is made of. `None` where there is nothing to add.
fn compared(
    (sheet, appraisal): (&Sheet, &Appraisal),
    (item, text, condition): Condition<'_>,
    row: Option<usize>,
    options: Options,
) -> Option<String> {
    let mut sides = Vec::new();
    gather(condition, &mut sides);
    work_out(sheet, &mut sides, (item, text), row);
    let mut teller = Teller {
        sheet,
        doubts: Some(&appraisal.doubts),
        options,
        row,
        text,
        clock: false,
    };
    teller.clock = sides.iter().any(|side| teller.of_name(side.expression).0);
    let teller = teller.that_tells_apart(&sides);
    let inside = |side: &Side<'_>| {
        let mut named = Vec::new();
        each_part(side.expression, &mut |part| named.extend(teller.named(part)));
        named
    };
    let long = sides.iter().filter(|side| is_long(side.expression));
    let inside: Vec<Vec<String>> = long.map(inside).collect();
    let mut next = inside.iter();
    let at_sides = sides.iter().filter_map(|side| {
        let named = is_long(side.expression).then(|| next.next()).flatten();
        // what is told of its names tells it too
        let hidden = is_miss(side.expression)
            && named.is_some_and(|named| !named.is_empty() && named.len() < names_in(side.expression));
        let first = side.first.and_then(|first| sides.get(first));
        teller.side(side, first).filter(|_| !hidden)
    });
    let mut told: Vec<String> = Vec::new();
    for one in at_sides.collect::<Vec<_>>().iter().chain(inside.iter().flatten()) {
        if told.len() < MOST_TOLD && !told.contains(one) {
            told.push(one.clone());
        }
    }
    (!told.is_empty()).then(|| format!("as it stands, {}", listed(&told)))
}

/// How many names a side is made of.
fn names_in(side: &Expression) -> usize {
    let mut count = 0;
    each_part(side, &mut |part| {
        let is_name = matches!(part.node, ExpressionNode::Name(_) | ExpressionNode::Column(_));
        count += usize::from(is_name);
    });
    count
}

/// Works the sides out; where a row is looked at, those that are names alone.
fn work_out(sheet: &Sheet, sides: &mut [Side<'_>], (item, text): (u32, &str), row: Option<usize>) {
    let apart = |side: &Side<'_>| is_long(side.expression) && row.is_none();
    let parts = sides.iter().filter(|side| apart(side));
    let parts: Vec<(u32, &str, &Expression)> = parts.map(|side| (item, text, side.expression)).collect();
    let values = match parts.is_empty() {
        true => Vec::new(),
        false => sheet.values_aside(&parts),
    };
    let mut values = values.into_iter();
    for side in sides {
        side.value = match apart(side) {
            true => values.next().flatten(),
            false => value_of(sheet, side.expression, row),
        };
    }
}

/// As many digits as two values need at most that are all but the same.
const MOST_DIGITS: u32 = 12;

/// Whether two values are the same once they are rounded to so many digits.
fn alike(one: Number, other: Number, digits: u32) -> bool {
    one != other && one.round_significant(digits) == other.round_significant(digits)
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
    use ExpressionNode::{Column, CountedTime, Moment, Name, Number, Quantity, Text, TimeOfDay, Truth};
    !matches!(
        side.node,
        Name(_)
            | Column(_)
            | Number(_)
            | Quantity { .. }
            | TimeOfDay(_)
            | CountedTime(_)
            | Moment(_)
            | Text(_)
            | Truth(_)
    )
}

/// The value of a name or of a quantity as written, in a row where it is a column.
fn value_of(sheet: &Sheet, side: &Expression, row: Option<usize>) -> Option<(Kind, Number)> {
    let in_row = |cells: &[Option<Number>], row: usize| cells.get(row).copied().flatten();
    match &side.node {
        ExpressionNode::Quantity { value, unit, .. } => Some((Kind::Quantity(*unit), *value)),
        _ if sheet.names().entry_in(side).is_some() => {
            let cell = sheet.names().entry_in(side)?;
            let kind = sheet.shape(cell)?.kind;
            match sheet.reading(cell) {
                Reading::Number(number) => Some((kind, number)),
                Reading::Column(cells) => {
                    let rows = sheet.row_table(cell);
                    let index = rows.map_or(row, |rows| rows.index(row?));
                    Some((kind, in_row(&cells, index?)?))
                }
                Reading::Within(_) | Reading::None(_) => None,
            }
        }
        ExpressionNode::Column(names) => {
            let (slot, kind) = column_named(sheet, &names.0.text, &names.1.text)?;
            Some((kind, in_row(sheet.column_cells(slot), row?)?))
        }
        _ => None,
    }
}

struct Teller<'a> {
    sheet: &'a Sheet,
    /// What limits the digits of a value; nothing where two would look the same.
    doubts: Option<&'a BTreeMap<CellId, Doubt>>,
    options: Options,
    row: Option<usize>,
    /// The text of the check.
    text: &'a str,
    /// Whether what it compares is told in hours and minutes.
    clock: bool,
}

/// A side of so many letters is called as it is written.
const AS_WRITTEN: usize = 40;

impl Teller<'_> {
    /// With the digits that it takes to tell what is compared apart.
    fn that_tells_apart(self, sides: &[Side<'_>]) -> Self {
        let pairs: Vec<(&Side<'_>, &Side<'_>, Number, Number)> = sides
            .iter()
            .filter_map(|side| {
                let first = sides.get(side.first?)?;
                let ((kind, one), (from, other)) = (first.value?, side.value?);
                Some((first, side, one, in_kind(from, other, kind)?))
            })
            .collect();
        let looks = |side: &Side<'_>, kind: Kind, number: Number| {
            let (clock, doubt) = self.of_name(side.expression);
            self.value(number, kind, clock, doubt)
        };
        let same = pairs.iter().any(|(first, side, one, other)| {
            let kind = first.value.map(|(kind, _)| kind);
            let look_alike = |kind: Kind| looks(first, kind, *one) == looks(side, kind, *other);
            one != other && kind.is_some_and(look_alike) || alike(*one, *other, self.options.digits)
        });
        if !same {
            return self;
        }
        let apart = |digits: &u32| !pairs.iter().any(|(_, _, one, other)| alike(*one, *other, *digits));
        let digits = (self.options.digits..MOST_DIGITS).find(apart).unwrap_or(MOST_DIGITS);
        Teller {
            doubts: None,
            options: Options { digits },
            ..self
        }
    }

    /// Whether an entry is told in hours and minutes, and its uncertainty.
    fn of_name(&self, part: &Expression) -> (bool, Option<Uncertainty>) {
        let Some(cell) = self.sheet.names().entry_in(part) else {
            return (false, None);
        };
        let unit = self.sheet.entry(cell).and_then(|entry| entry.unit);
        let doubt = match self.doubts.and_then(|doubts| doubts.get(&cell)) {
            Some(Doubt::One(doubt)) => Some(*doubt),
            _ => None,
        };
        (unit.is_some_and(|unit| unit.clock), doubt)
    }

    /// What a side comes to, and in the unit of the first side where that is another.
    fn side(&self, side: &Side<'_>, first: Option<&Side<'_>>) -> Option<String> {
        let Some((kind, number)) = side.value else {
            return self.open(side.expression);
        };
        let counted = first.and_then(|first| {
            let (wanted, _) = first.value?;
            let differs = unit_text(wanted) != unit_text(kind) && matches!(kind, Kind::Quantity(_));
            let counted = in_kind(kind, number, wanted).filter(|_| differs)?;
            Some(self.value(counted, wanted, false, None))
        });
        let told = match is_long(side.expression) {
            true => Some(self.long(side, &self.value(number, kind, self.clock && is_time(kind), None))),
            false => self.named(side.expression),
        };
        match (told, counted) {
            (Some(told), Some(counted)) => Some(format!("{told} = {counted}")),
            (None, Some(counted)) => Some(format!("{} is {counted}", self.value(number, kind, false, None))),
            (told, None) => told,
        }
    }

    /// `min(plan.left) is -8.3 lb`, `said and rate are 0.19 lb/h apart`
    fn long(&self, side: &Side<'_>, value: &str) -> String {
        let written = |part: &Expression| in_one_line(part.span.of(self.text));
        if let ExpressionNode::Call(call) = &side.expression.node
            && let (true, [only]) = (is_miss(side.expression), call.arguments.as_slice())
            && let ExpressionNode::Binary(BinaryOperator::Subtract, _, both) = &only.value.node
            && !is_long(&both.0)
            && !is_long(&both.1)
        {
            return format!("{} and {} are {value} apart", written(&both.0), written(&both.1));
        }
        let called = written(side.expression);
        match called.chars().count() <= AS_WRITTEN {
            true => format!("{called} is {value}"),
            false => format!("{} is {value}", side.word),
        }
    }

    /// `net_1 is 22 lb`, `log.gross is 43.7 lb in row 4`; `None` for what is no name.
    fn named(&self, part: &Expression) -> Option<String> {
        if let Some(told) = self.open(part) {
            return Some(told);
        }
        let (kind, number) = value_of(self.sheet, part, self.row)?;
        match &part.node {
            _ if self.sheet.names().entry_in(part).is_some() => {
                let cell = self.sheet.names().entry_in(part)?;
                let name = self.sheet.name_of(cell)?;
                let (clock, doubt) = self.of_name(part);
                let column = matches!(self.sheet.reading(cell), Reading::Column(_));
                let shown = self.value(number, kind, clock, doubt.filter(|_| !column));
                Some(format!("{name} is {shown}{}", self.place(column)))
            }
            ExpressionNode::Column(names) => {
                let name = format!("{}.{}", names.0.text, names.1.text);
                let shown = self.value(number, kind, false, None);
                Some(format!("{name} is {shown}{}", self.place(true)))
            }
            _ => None,
        }
    }

    /// `stalls is more than 48 h 0 min`; `None` for what is known.
    fn open(&self, part: &Expression) -> Option<String> {
        let cell = self.sheet.names().entry_in(part)?;
        let name = self.sheet.name_of(cell)?;
        let kind = self.sheet.shape(cell)?.kind;
        let (range, place) = match self.sheet.reading(cell) {
            Reading::Within(range) => (range, self.place(false)),
            Reading::Column(rows) => (rows.open(self.row?)?, self.place(true)),
            Reading::Number(_) | Reading::None(_) => return None,
        };
        let (clock, _) = self.of_name(part);
        let shown = within::range_shown(self.sheet, range, kind, clock, self.options).value;
        Some(format!("{name} is {shown}{place}"))
    }

    fn place(&self, column: bool) -> String {
        let row = self.row.filter(|_| column);
        row.map_or(String::new(), |row| format!(" in row {}", row + 1))
    }

    fn value(&self, number: Number, kind: Kind, clock: bool, doubt: Option<Uncertainty>) -> String {
        let shown = number_shown(self.sheet, number, kind, clock, doubt, self.options).value;
        match kind {
            Kind::Text => format!("\"{shown}\""),
            _ => shown,
        }
    }
}

fn is_time(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(unit) if unit.measures() == "a time")
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
