//! Tables: as they are written, or as functions made them.
//!
//! What was written keeps its digits; the cells of a made column share their
//! decimals. Its ± stands in its heading, or in the cells. Start reading at [`table`].

use crate::number::Number;
use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::{CellId, Named};
use crate::sheet::source::Uncertainty;
use crate::sheet::{Reading, Sheet, Status};
use crate::syntax::tree::{EntryKind, Node, TableContent};
use crate::text::in_one_line;
use crate::unit::Kind;

use super::super::digits;
use super::super::model::{Column, Table, TwoWays};
use super::super::shown::Shown;
use super::column::{self, Column as Cells};
use super::tolerance::{self, Spelled};
use super::{Options, machine_rows, marks, scalar, table_name, unit_text, value_type, waiting, within};

/// A table as the report has it.
pub(super) fn table(sheet: &Sheet, index: usize, appraisal: &Appraisal, options: Options) -> Option<Table> {
    let held = sheet.tables().get(index)?;
    let Some(Node::Table(tree)) = sheet.tree().node(held.item) else {
        return None;
    };
    let grid = held.cell.and_then(|cell| sheet.grid(cell));
    let is_worked = held.cell.is_some_and(|cell| sheet.is_worked_table(cell));
    let last = held.columns.last();
    let own = held.columns.iter().filter_map(|slot| match is_worked {
        true => {
            let of = grid.as_ref().filter(|_| last == Some(slot));
            let clock = of.is_some_and(|(of, _)| sheet.asks_for_clock(*of));
            worked_out(sheet, *slot, clock, appraisal, options)
        }
        false => column(sheet, *slot, options),
    });
    let mut columns: Vec<Column> = own.collect();
    let own = columns.len();
    columns.extend(worked_cells(sheet, index).filter_map(|cell| worked(sheet, cell, appraisal, options)));
    let wide = match grid {
        Some((_, 2)) if columns.len() == own => two_ways(&columns),
        _ => None,
    };
    Some(Table {
        name: tree.name.text.to_string(),
        label: tree.label.as_ref().map(|label| label.text.to_string()),
        line: sheet.line(held.item),
        source: tree.source.as_ref().map(|source| source.text.to_string()),
        columns,
        two_ways: wide,
        formula: match &tree.content {
            Some(TableContent::Function(call)) => {
                Some(in_one_line(call.span.of(sheet.tree().text_of(held.item as usize))))
            }
            _ => None,
        },
        made: held.cell.is_some() && !is_worked,
        standing: held.cell.and_then(|cell| table_standing(sheet, cell)),
    })
}

/// The cells of the worked columns of a table.
pub(super) fn worked_cells(sheet: &Sheet, index: usize) -> impl Iterator<Item = CellId> {
    sheet
        .names()
        .worked_cells(table_name(sheet, u32::try_from(index).unwrap_or(u32::MAX)))
}

/// The table in which a worked column is shown, unless it is an answer as well.
pub(super) fn shows(sheet: &Sheet, cell: CellId) -> Option<u32> {
    let entry = sheet.entry(cell).filter(|entry| entry.kind == EntryKind::Worked)?;
    let (table, _) = entry.name.of_table()?;
    match sheet.names().get(table) {
        Some(Named::Table(table)) if sheet.status(cell) == Status::Known => Some(table),
        _ => None,
    }
}

/// A worked column of a table, each cell with its ±.
fn worked(sheet: &Sheet, cell: CellId, appraisal: &Appraisal, options: Options) -> Option<Column> {
    let entry = sheet.entry(cell)?;
    let kind = sheet.shape(cell)?.kind;
    let Reading::Column(rows) = sheet.reading(cell) else {
        return None;
    };
    let clock = entry.unit.is_some_and(|unit| unit.clock);
    let told = Cells {
        clock,
        doubts: super::rows_doubted(appraisal.doubts.get(&cell)),
        late: sheet.late(cell),
        ..Cells::without_doubts(rows, kind)
    };
    let mark = |row: u32| appraisal.row_marks.get(&(cell, row));
    let marked = |row: u32| mark(row).map(|mark| marks::mark_words(sheet, mark, kind, clock, options));
    Some(told_column(sheet, entry.name.of_table()?.1, told, marked, options))
}

/// A column that was worked out, each cell in its form, and with its ± where it has any.
fn told_column(
    sheet: &Sheet,
    name: &str,
    column: Cells<'_>,
    marked: impl Fn(u32) -> Option<String>,
    options: Options,
) -> Column {
    let kind = column.kind;
    let unit = Some(unit_text(kind)).filter(|unit| !unit.is_empty() && !column.clock);
    let bare = |text: &str| match &unit {
        Some(unit) => without_unit(text, unit),
        None => text.to_owned(),
    };
    let cells = column::cells(sheet, column, options);
    let coverage = coverage(cells.iter().flatten());
    let shown = |(row, cell): (u32, &Option<Shown>)| {
        let Some(cell) = cell else { return String::new() };
        let doubt = cell.uncertainty.as_deref().map(|doubt| match &coverage {
            Some(coverage) => doubt.trim_end_matches(coverage.as_str()).trim_end(),
            None => doubt,
        });
        let value = bare(&cell.value);
        let value = doubt.map_or(value.clone(), |doubt| format!("{value} ± {}", bare(doubt)));
        match marked(row) {
            Some(mark) => format!("{value} ({mark})"),
            None => value,
        }
    };
    let plain = |doubt: &Uncertainty| Number::from_f64(doubt.standard).ok().filter(|u| !u.is_zero());
    Column {
        name: name.to_owned(),
        value_type: value_type(kind),
        values: machine_rows(sheet, column.cells, kind).collect(),
        uncertainty: column
            .doubts
            .map(|doubts| doubts.iter().map(|doubt| plain(doubt).map(Number::to_plain)).collect()),
        shown: (0u32..).zip(&cells).map(shown).collect(),
        unit,
        tolerance: None,
        coverage,
    }
}

/// A value, or both ends of a range, without the unit that stands in the heading.
fn without_unit(text: &str, unit: &str) -> String {
    let (behind, between) = (format!(" {unit}"), format!(" {unit} "));
    let text = text.strip_suffix(&behind).unwrap_or(text);
    text.replacen(&between, " ", 1)
}

/// A column of a table that is worked out from columns.
fn worked_out(sheet: &Sheet, slot: u32, clock: bool, appraisal: &Appraisal, options: Options) -> Option<Column> {
    let column = sheet.table_column(slot)?;
    let told = Cells {
        doubts: appraisal.columns.get(&slot).map(Vec::as_slice),
        clock,
        ..Cells::without_doubts(sheet.column_rows(slot), column.kind)
    };
    Some(told_column(sheet, &column.name, told, |_| None, options))
}

/// A grid of two ways as a reader sees it: a row for each value of what is varied first, a
/// column for each of so many values of the second.
fn two_ways(columns: &[Column]) -> Option<TwoWays> {
    let [down, other, of] = columns else { return None };
    let across = across(down, other)?;
    let every = |column: &Column, first: usize| Column {
        values: column.values.iter().skip(first).step_by(across).cloned().collect(),
        uncertainty: None,
        shown: column.shown.iter().skip(first).step_by(across).cloned().collect(),
        ..column.clone()
    };
    let heading = |value: &String| match &other.unit {
        Some(unit) => format!("{value} {unit}"),
        None => value.clone(),
    };
    let wide = other
        .shown
        .iter()
        .take(across)
        .enumerate()
        .map(|(place, value)| Column {
            name: heading(value),
            unit: None,
            coverage: None,
            ..every(of, place)
        });
    let bracket = of.beside_name().map_or(String::new(), |unit| format!(" {unit}"));
    Some(TwoWays {
        told: format!(
            "{}{bracket}: a row for each {}, a column for each {}",
            of.name, down.name, other.name
        ),
        columns: std::iter::once(every(down, 0)).chain(wide).collect(),
    })
}

/// After how many rows the values of the second begin anew, with the next of the first.
fn across(down: &Column, other: &Column) -> Option<usize> {
    let rows = other.values.len();
    let begins_anew = |across: &usize| {
        let mut blocks = down.values.chunks(*across).zip(other.values.chunks(*across));
        let first = other.values.get(..*across);
        rows.is_multiple_of(*across)
            && blocks.all(|(down, other)| down.iter().all(|value| Some(value) == down.first()) && Some(other) == first)
    };
    (1..=rows).find(begins_anew)
}

/// `k=2`, where it stands behind the ± of each cell that has one.
pub(super) fn coverage<'a>(cells: impl IntoIterator<Item = &'a Shown>) -> Option<String> {
    let doubts = cells.into_iter().filter_map(|cell| cell.uncertainty.as_deref());
    let mut of_each = doubts.map(|doubt| doubt.find(" k=").and_then(|at| doubt.get(at + 1..)));
    let first = of_each.next()??;
    of_each.all(|next| next == Some(first)).then(|| first.to_owned())
}

/// Why a table that a function makes has no rows.
fn table_standing(sheet: &Sheet, cell: CellId) -> Option<String> {
    match sheet.status(cell) {
        Status::Known if sheet.is_unknown_table(cell) => {
            let why = within::undecided_words(sheet, cell).replace('`', "");
            Some(format!("not known: {why}"))
        }
        Status::Known => None,
        Status::Waits => Some(waiting(sheet, cell).value),
        Status::Blank | Status::Broken => Some("has a problem".to_owned()),
    }
}

/// So many digits a cell may have that stands as it was written.
const MOST_WRITTEN: u32 = 20;

fn column(sheet: &Sheet, slot: u32, options: Options) -> Option<Column> {
    let column = sheet.table_column(slot)?;
    let kind = column.kind;
    let plain = |u: &f64| Number::from_f64(*u).ok().filter(|u| !u.is_zero()).map(Number::to_plain);
    let at = |(row, cell): (usize, &Option<Number>)| cell.and(column.uncertainty.get(row)).and_then(plain);
    let cells = sheet.column_cells(slot);
    let uncertainty: Vec<Option<String>> = cells.iter().enumerate().map(at).collect();
    let places = column.made.then(|| digits::places_together(cells, options.digits));
    let told = match kind {
        Kind::Quantity(_) | Kind::Level => Vec::new(),
        _ => column::cells(sheet, Cells::exact(cells, kind), options),
    };
    let shown = |row: usize, cell: &Option<Number>| match (cell, kind) {
        (None, _) => String::new(),
        (Some(number), Kind::Quantity(_)) => {
            // more digits than anybody writes come of a cell in another unit
            let converted = number.round_significant(MOST_WRITTEN) != *number;
            let own = converted.then(|| digits::places_together(&[*cell], options.digits));
            let places = places.or(own);
            places.map_or_else(|| number.to_string(), |places| digits::rounded_text(*number, -places))
        }
        (Some(number), Kind::Level) => number.to_string(),
        (Some(_), _) => told
            .get(row)
            .cloned()
            .flatten()
            .map_or(String::new(), |cell| cell.value),
    };
    let tolerances = tolerance::of_column(column, cells, Spelled::Briefly);
    let own = |row: usize| tolerances.own.get(row).cloned().flatten();
    let with_own = |(row, cell): (usize, &Option<Number>)| match own(row) {
        Some(own) => format!("{} ± {own}", shown(row, cell)),
        None => shown(row, cell),
    };
    Some(Column {
        name: column.name.to_string(),
        value_type: value_type(kind),
        unit: Some(unit_text(kind)).filter(|unit| !unit.is_empty()),
        values: cells
            .iter()
            .map(|cell| cell.map(|cell| scalar(sheet, cell, kind)))
            .collect(),
        uncertainty: uncertainty.iter().any(Option::is_some).then_some(uncertainty),
        shown: cells.iter().enumerate().map(with_own).collect(),
        tolerance: tolerances.common,
        coverage: None,
    })
}
