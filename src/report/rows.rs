//! A column in plain text: a line a row, behind what tells the rows apart.
//!
//! Start reading at [`row_lines`].

use super::model::Rows;
use super::visible::{columns, visible};

/// The columns between a row's name and its value.
const GAP: usize = 3;

/// The rows of a column, one a line, behind what tells them apart.
pub(super) fn row_lines(rows: &Rows) -> Vec<String> {
    let name = |row: usize| visible(rows.name(row)).into_owned();
    let widest = (0..rows.cells.len()).map(|row| columns(&name(row))).max().unwrap_or(0);
    let line = |row: usize| {
        let (name, told) = (name(row), rows.told(row));
        let told = visible(&told);
        match widest {
            0 => told.into_owned(),
            _ => format!("{name}{}{told}", " ".repeat(widest - columns(&name) + GAP)),
        }
    };
    (0..rows.cells.len()).map(line).collect()
}
