//! Tables: as they are written, or as functions made them.
//!
//! What was written keeps its digits; the cells of a made column share their
//! decimals. Its ± stands in its heading, or in the cells. Start reading at [`table`].

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::{Sheet, Status};
use crate::syntax::tree::{Node, TableContent};
use crate::unit::Kind;

use super::super::digits;
use super::super::model::{Column, Table};
use super::column::{self, Column as Cells};
use super::tolerance::{self, Spelled};
use super::{Options, in_one_line, scalar, unit_text, value_type, waiting};

/// A table as the report has it.
pub(super) fn table(sheet: &Sheet, index: usize, options: Options) -> Option<Table> {
    let held = sheet.tables().get(index)?;
    let Some(Node::Table(tree)) = sheet.tree().node(held.item) else {
        return None;
    };
    let columns = held.columns.iter().filter_map(|slot| column(sheet, *slot, options));
    Some(Table {
        name: tree.name.text.to_string(),
        label: tree.label.as_ref().map(|label| label.text.to_string()),
        line: sheet.line(held.item),
        source: tree.source.as_ref().map(|source| source.text.to_string()),
        columns: columns.collect(),
        formula: match &tree.content {
            Some(TableContent::Function(call)) => {
                Some(in_one_line(call.span.of(sheet.tree().text_of(held.item as usize))))
            }
            _ => None,
        },
        made: held.cell.is_some(),
        standing: held.cell.and_then(|cell| table_standing(sheet, cell)),
    })
}

/// Why a table that a function makes has no rows.
fn table_standing(sheet: &Sheet, cell: CellId) -> Option<String> {
    match sheet.status(cell) {
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
    })
}
