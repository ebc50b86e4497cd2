//! Columns as readers see them: each cell in its form, with its ±, and what names it.
//!
//! Start reading at [`shown`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::dual::Uncertainty;
use crate::unit::Kind;

use super::super::digits;
use super::super::model::{self, Rows, Shown};
use super::super::moment;
use super::rows::RowNames;
use super::{Options, number_shown};

/// A column: its cells, what sort of values they are, whether they are told in hours and
/// minutes, and the uncertainty of each, where they have any.
#[derive(Clone, Copy)]
pub(super) struct Column<'a> {
    pub(super) cells: &'a [Option<Number>],
    pub(super) kind: Kind,
    pub(super) clock: bool,
    pub(super) doubts: Option<&'a [Uncertainty]>,
}

impl<'a> Column<'a> {
    /// Cells without uncertainty.
    pub(super) fn exact(cells: &'a [Option<Number>], kind: Kind) -> Column<'a> {
        Column {
            cells,
            kind,
            clock: false,
            doubts: None,
        }
    }
}

/// A column with its cells, and in one line.
pub(super) fn shown(sheet: &Sheet, column: Column<'_>, names: Option<&RowNames<'_>>, options: Options) -> Shown {
    let cells = cells(sheet, column, options);
    let names = names.filter(|names| !names.are(column.cells));
    let names = names.and_then(|names| {
        Some(model::RowNames {
            column: names.heading(),
            names: names.shown(cells.len(), options)?,
        })
    });
    Shown {
        rows: Some(Box::new(Rows { names, cells })),
        ..in_one_line(sheet, column, options)
    }
}

/// A short column with all of its cells, of a longer one how many there are, the first and the last.
pub(super) fn in_one_line(sheet: &Sheet, column: Column<'_>, options: Options) -> Shown {
    let shown = |cell: &Number| number_shown(sheet, *cell, column.kind, column.clock, None, options).value;
    if column.cells.len() <= model::IN_ONE_LINE {
        return digits::listed(column.cells.iter().map(|cell| cell.as_ref().map(shown)));
    }
    let mut filled = column.cells.iter().flatten();
    let first = filled.next().map(shown);
    let last = filled.next_back().map(shown);
    let missing = column.cells.iter().filter(|cell| cell.is_none()).count();
    digits::column(column.cells.len() - missing, missing, first.as_deref(), last.as_deref())
}

/// The cells of a column; `None` where missing.
pub(super) fn cells(sheet: &Sheet, column: Column<'_>, options: Options) -> Vec<Option<Shown>> {
    let has_clock = column.kind == Kind::Moment && moment::has_clock(column.cells.iter().flatten());
    let one = |(row, cell): (usize, &Option<Number>)| {
        let doubt = column.doubts.and_then(|doubts| doubts.get(row)).copied();
        let shown = number_shown(sheet, (*cell)?, column.kind, column.clock, doubt, options);
        Some(match has_clock {
            true => moment::beside_clocks(shown),
            false => shown,
        })
    };
    column.cells.iter().enumerate().map(one).collect()
}
