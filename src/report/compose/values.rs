//! Values as machines read them, and as readers do.
//!
//! Start reading at [`scalar`] and [`shown_entry`].

use crate::number::Number;
use crate::sheet::appraisal::{Appraisal, Doubt, Mark};
use crate::sheet::checker::Shape;
use crate::sheet::limits::Rows;
use crate::sheet::names::CellId;
use crate::sheet::source::Uncertainty as Combined;
use crate::sheet::{Reading, Sheet, Status};
use crate::syntax::tree::{Entry as TreeEntry, EntryKind, ExpressionNode, Value as TreeValue};
use crate::text::Span;
use crate::trade::line::student_k;
use crate::unit::{Kind, Unit};

use super::super::digits::{Expanded, Quantity};
use super::super::model::{Scalar, Uncertainty, Value};
use super::super::shown::Shown;
use super::super::{digits, moment};
use super::column::Column;
use super::rows::RowNames;
use super::waits::waiting;
use super::{Options, column, form, marks, rows, unit_text, within};

pub(super) fn scalar(sheet: &Sheet, number: Number, kind: Kind) -> Scalar {
    match kind {
        Kind::Text => Scalar::Text(sheet.texts().text(number).to_owned()),
        Kind::Truth => Scalar::Truth(!number.is_zero()),
        Kind::TimeOfDay => Scalar::Text(moment::machine_time(number).unwrap_or_else(|| number.to_plain())),
        Kind::Counted(_) => Scalar::Text(moment::machine_counted(number).unwrap_or_else(|| number.to_plain())),
        Kind::Moment => Scalar::Text(moment::machine_moment(number).unwrap_or_else(|| number.to_plain())),
        _ => Scalar::Text(number.to_plain()),
    }
}

pub(super) fn machine_value(sheet: &Sheet, cell: CellId, kind: Kind) -> Value {
    match sheet.reading(cell) {
        Reading::Number(number) => Value::One(scalar(sheet, number, kind)),
        Reading::Column(rows) => Value::Column(machine_rows(sheet, rows, kind).collect()),
        Reading::Within(range) => Value::One(within::machine(sheet, range, kind)),
        Reading::None(_) => Value::Nothing,
    }
}

/// The cells of a column for machines, with what those can be of which only that is known.
pub(super) fn machine_rows<'a>(
    sheet: &'a Sheet,
    rows: Rows<'a>,
    kind: Kind,
) -> impl Iterator<Item = Option<Scalar>> + 'a {
    rows.iter()
        .enumerate()
        .map(move |(row, cell)| match (cell, rows.open(row)) {
            (Some(number), _) => Some(scalar(sheet, *number, kind)),
            (None, Some(range)) => Some(within::machine(sheet, range, kind)),
            (None, None) => None,
        })
}

pub(super) fn machine_uncertainty(cell: CellId, appraisal: &Appraisal) -> Uncertainty {
    let told = |standard: f64| {
        Number::from_f64(standard)
            .ok()
            .filter(|u| !u.is_zero())
            .map(Number::to_plain)
    };
    match appraisal.doubts.get(&cell) {
        Some(Doubt::One(doubt)) => told(doubt.standard).map_or(Uncertainty::Nothing, Uncertainty::One),
        Some(Doubt::Rows(rows)) => Uncertainty::Column(rows.iter().map(|row| told(row.standard)).collect()),
        None => Uncertainty::Nothing,
    }
}

// ---- values for readers ----

/// A column that is no answer is told cell by cell where it has at most so many.
const MOST_CELLS: usize = 1000;

pub(super) fn shown_entry(
    sheet: &Sheet,
    cell: CellId,
    tree: &TreeEntry,
    shape: Option<Shape>,
    options: Options,
    appraisal: &Appraisal,
) -> Shown {
    match sheet.status(cell) {
        Status::Known => {}
        Status::Blank => return Shown::text("not yet known"),
        Status::Waits => return waiting(sheet, cell),
        Status::Broken => return Shown::text("has a problem"),
    }
    if let Some(shown) = written(sheet, cell, tree, shape) {
        return shown;
    }
    let kind = shape.map_or(Kind::Quantity(Unit::ONE), |shape| shape.kind);
    let clock = tree.unit.is_some_and(|unit| unit.clock);
    let shown = match (sheet.reading(cell), appraisal.doubts.get(&cell)) {
        (Reading::Number(number), Some(Doubt::One(doubt))) => {
            let open = appraisal.marks.get(&cell).is_some_and(Mark::is_open);
            number_shown(sheet, number, kind, clock, Some(*doubt).filter(|_| !open), options)
        }
        (Reading::Number(number), _) => number_shown(sheet, number, kind, clock, None, options),
        (Reading::Column(cells), doubt) => {
            let column = Column {
                cells,
                kind,
                clock,
                doubts: rows_doubted(doubt),
                late: sheet.late(cell),
            };
            match tree.kind == EntryKind::Answer || cells.len() <= MOST_CELLS {
                true => rows::column_shown(sheet, column, RowNames::of(sheet, cell).as_ref(), options),
                false => column::in_one_line(sheet, column, options),
            }
        }
        (Reading::Within(range), _) => within::range_shown(sheet, range, kind, clock, options),
        (Reading::None(_), _) => Shown::text("has a problem"),
    };
    let mut shown = shown;
    for ((_, row), mark) in appraisal.row_marks.range((cell, 0)..=(cell, u32::MAX)) {
        let cells = shown.rows.as_mut().map(|rows| &mut rows.cells);
        if let Some(Some(one)) = cells.and_then(|cells| cells.get_mut(*row as usize)) {
            one.mark = Some(marks::mark_words(sheet, mark, kind, clock, options));
        }
    }
    let mark = appraisal.marks.get(&cell);
    Shown {
        mark: mark.map(|mark| marks::mark_words(sheet, mark, kind, clock, options)),
        ..shown
    }
}

/// An input as written, where it is a literal in the unit it is kept in.
pub(super) fn written(sheet: &Sheet, cell: CellId, tree: &TreeEntry, shape: Option<Shape>) -> Option<Shown> {
    if shape.is_some_and(|shape| shape.kind == Kind::Text) {
        return None;
    }
    if let Some(held) = sheet.held(cell) {
        let shown = || of_24_hours(sheet, cell, digits::as_written(&held.written));
        return (!held.written.is_empty()).then(shown);
    }
    if !tree.kind.is_input() {
        return None;
    }
    let TreeValue::Given { expression, tolerance } = tree.value.as_ref()? else {
        return None;
    };
    let unit = match &expression.node {
        ExpressionNode::Quantity { unit, .. } => *unit,
        ExpressionNode::Number(_) => Unit::ONE,
        ExpressionNode::TimeOfDay(_) | ExpressionNode::CountedTime(_) | ExpressionNode::Moment(_) => Unit::ONE,
        _ => return None,
    };
    if tree.unit.is_some_and(|wanted| wanted.unit != unit || wanted.clock) || shape.is_none() {
        return None;
    }
    let span: Span = tolerance
        .as_ref()
        .map_or(expression.span, |tolerance| expression.span.to(tolerance.span));
    let shown = digits::as_written(span.of(sheet.tree().text_of(sheet.item_of(cell) as usize)));
    Some(of_24_hours(sheet, cell, shown))
}

/// A time as it is typed with 24 hours, however it was written.
pub(super) fn of_24_hours(sheet: &Sheet, cell: CellId, shown: Shown) -> Shown {
    let typed = match (sheet.shape(cell), sheet.reading(cell)) {
        (Some(shape), Reading::Number(number)) => shape.kind.typed_time(number),
        _ => None,
    };
    Shown {
        value: typed.unwrap_or(shown.value),
        ..shown
    }
}

/// From so many degrees of freedom on, k is 2 within two digits.
const MANY_DEGREES: f64 = 100.0;

/// Degrees of freedom are told in whole ones, fewer than one as they are.
pub(super) fn whole_degrees(degrees: f64) -> f64 {
    match degrees < 1.0 {
        true => degrees,
        false => degrees.floor(),
    }
}

pub(super) fn expanded(doubt: Combined) -> Option<Expanded> {
    if doubt.standard <= 0.0 {
        return None;
    }
    let decided = doubt.degrees_of_freedom < MANY_DEGREES;
    let k = if decided {
        student_k(doubt.degrees_of_freedom)
    } else {
        2.0
    };
    // what has limits is off by no more than they are
    let limited = doubt.most < k * doubt.standard;
    let k = if limited { doubt.most / doubt.standard } else { k };
    let freedom = (decided && !limited)
        .then(|| Number::from_f64(whole_degrees(doubt.degrees_of_freedom)).ok())
        .flatten();
    let half_width = Number::from_f64(k * doubt.standard).ok()?;
    Some(Expanded {
        half_width,
        factor: Number::from_f64(k).ok()?.round_places(2),
        degrees_of_freedom: freedom,
    })
}

pub(super) fn number_shown(
    sheet: &Sheet,
    number: Number,
    kind: Kind,
    clock: bool,
    doubt: Option<Combined>,
    options: Options,
) -> Shown {
    let expanded = doubt.and_then(expanded);
    match kind {
        Kind::Text => return Shown::text(sheet.texts().text(number)),
        Kind::Truth => return Shown::text(if number.is_zero() { "false" } else { "true" }),
        Kind::TimeOfDay | Kind::Counted(_) => {
            return moment::shown_time(number, expanded.as_ref()).unwrap_or_else(|| Shown::text(number.to_plain()));
        }
        Kind::Moment => {
            return moment::shown_moment(number, expanded.as_ref()).unwrap_or_else(|| Shown::text(number.to_plain()));
        }
        _ => {}
    }
    let unit = unit_text(kind);
    digits::calculated(
        &Quantity {
            value: number,
            unit: &unit,
            form: form(kind, clock),
            expanded,
        },
        options.digits,
    )
}

/// The uncertainty of each cell of a column.
pub(super) fn rows_doubted(doubt: Option<&Doubt>) -> Option<&[Combined]> {
    match doubt {
        Some(Doubt::Rows(rows)) => Some(rows),
        _ => None,
    }
}
