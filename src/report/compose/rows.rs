//! What names the rows of a column: the texts of its table, or its first column.
//!
//! A filtered column has some rows of its table; they are told as they are counted there.
//! Start reading at [`RowNames::of`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::side_by_side::RowTable;
use crate::unit::Kind;

use super::super::shown::{self, Shown};
use super::column::{self, Column};
use super::{Options, number_shown, table_name};

/// The rows of a column, and the column of their table that tells them apart.
pub(super) struct RowNames<'a> {
    sheet: &'a Sheet,
    rows: RowTable,
    slot: u32,
}

/// So many rows are named one by one.
const MOST_NAMED: usize = 6;

impl<'a> RowNames<'a> {
    /// What names the rows of a cell; `None` where no table does.
    pub(super) fn of(sheet: &'a Sheet, cell: CellId) -> Option<RowNames<'a>> {
        RowNames::by(sheet, sheet.row_table(cell)?)
    }

    /// The same for a column that goes by these rows.
    pub(super) fn by(sheet: &'a Sheet, rows: RowTable) -> Option<RowNames<'a>> {
        let slot = sheet.telling_column(rows.table)?;
        Some(RowNames { sheet, rows, slot })
    }

    /// The column that names them: `cyl.id`.
    pub(super) fn heading(&self) -> String {
        let column = self.sheet.table_column(self.slot).map_or("", |column| &column.name);
        format!("{}.{column}", table_name(self.sheet, self.rows.table))
    }

    /// Which row of its table a cell is, counted from 0.
    pub(super) fn row(&self, index: usize) -> Option<usize> {
        self.rows.row(index)
    }

    /// Whether the cells of a column are those that name its rows.
    pub(super) fn are(&self, cells: &[Option<Number>]) -> bool {
        self.cells(cells.len()).is_some_and(|names| names == cells)
    }

    /// The cells that name so many rows; `None` where there are not as many.
    fn cells(&self, count: usize) -> Option<Vec<Option<Number>>> {
        let cells = self.sheet.column_cells(self.slot);
        let of = |index: usize| self.row(index).and_then(|row| cells.get(row).copied());
        let known = self.rows.left.as_ref().map_or(cells.len(), Vec::len);
        (known == count).then(|| (0..count).map(|index| of(index).flatten()).collect())
    }

    /// Those cells as they are shown.
    pub(super) fn names_shown(&self, count: usize, options: Options) -> Option<Vec<String>> {
        let kind = self.sheet.table_column(self.slot)?.kind;
        let cells = self.cells(count)?;
        let shown = column::cells(self.sheet, Column::exact(&cells, kind), options).into_iter();
        Some(
            shown
                .map(|cell| cell.map_or(String::new(), |cell| cell.value))
                .collect(),
        )
    }

    /// What a row of the table goes by: `"C"`, `110 %`.
    fn name(&self, row: usize) -> Option<String> {
        let column = self.sheet.table_column(self.slot)?;
        let cell = self.sheet.column_cells(self.slot).get(row).copied().flatten()?;
        let told = number_shown(self.sheet, cell, column.kind, false, None, Options::default()).value;
        Some(match column.kind {
            Kind::Text => format!("\"{told}\""),
            _ => told,
        })
    }
}

/// A row of a column that a cell holds, as its table counts it, and what it goes by.
fn named(names: Option<&RowNames<'_>>, index: usize) -> (usize, Option<String>) {
    let row = names.and_then(|names| names.row(index)).unwrap_or(index);
    (row + 1, names.and_then(|names| names.name(row)))
}

/// `row 3, "C"`, of a column that a cell holds.
pub(super) fn row_told(sheet: &Sheet, cell: CellId, index: usize) -> String {
    match named(RowNames::of(sheet, cell).as_ref(), index) {
        (row, Some(name)) => format!("row {row}, {name}"),
        (row, None) => format!("row {row}"),
    }
}

/// `row 3 ("C")`, `rows 1 ("A"), 3 ("C") and 4 ("D")`, of a column that a cell holds.
pub(super) fn rows_told(sheet: &Sheet, cell: CellId, indices: &[usize]) -> String {
    let names = RowNames::of(sheet, cell);
    let told = indices.iter().take(MOST_NAMED);
    let told = told.map(|index| match named(names.as_ref(), *index) {
        (row, Some(name)) => format!("{row} ({name})"),
        (row, None) => row.to_string(),
    });
    let mut told: Vec<String> = told.collect();
    let word = if indices.len() == 1 { "row" } else { "rows" };
    let last = match indices.len().saturating_sub(MOST_NAMED) {
        0 => told.pop().unwrap_or_default(),
        more => format!("{more} more"),
    };
    match told.is_empty() {
        true => format!("{word} {last}"),
        false => format!("{word} {} and {last}", told.join(", ")),
    }
}

/// A column with its cells, and in one line.
pub(super) fn column_shown(sheet: &Sheet, column: Column<'_>, names: Option<&RowNames<'_>>, options: Options) -> Shown {
    let cells = column::cells(sheet, column, options);
    let names = names.filter(|names| !names.are(&column.cells));
    let names = names.and_then(|names| {
        Some(shown::RowNames {
            column: names.heading(),
            names: names.names_shown(cells.len(), options)?,
        })
    });
    Shown {
        rows: Some(Box::new(shown::Rows { names, cells })),
        ..column::in_one_line(sheet, column, options)
    }
}
