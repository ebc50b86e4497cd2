//! A column in plain text: a line a row, behind what tells the rows apart.
//!
//! Start reading at [`row_lines`].

use super::document::{Column, Narrow, Sentence, Table};
use super::shown::Rows;
use super::visible::{columns, visible};

/// The same as a table, under the name of the column.
pub(super) fn rows_table(name: &str, rows: &Rows) -> Table {
    let all = 0..rows.cells.len();
    let heading = rows.names.as_ref().map_or("", |names| names.column.as_str());
    let columns = vec![
        Column::words(Sentence::of_code(heading), all.clone().map(|row| rows.row_word(row))),
        Column::numbers(Sentence::of_code(name), all.map(|row| rows.told(row))),
    ];
    Table::of(format!("{name} row by row"), Narrow::Below, columns)
}

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
