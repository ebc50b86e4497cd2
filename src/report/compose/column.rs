//! Columns as readers see them: each cell in its form, with its ±, and what names it.
//!
//! Start reading at [`shown`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::limits::Rows;
use crate::sheet::source::Uncertainty;
use crate::unit::Kind;

use super::super::digits;
use super::super::moment;
use super::super::shown::{IN_ONE_LINE, Shown};
use super::{Options, number_shown, within};

/// A column: its cells, what sort of values they are, whether they are told in hours and
/// minutes, and the uncertainty of each, where they have any.
#[derive(Clone, Copy)]
pub(super) struct Column<'a> {
    pub(super) cells: Rows<'a>,
    pub(super) kind: Kind,
    pub(super) clock: bool,
    pub(super) doubts: Option<&'a [Uncertainty]>,
    /// How many first rows are no rows, since nothing came before them.
    pub(super) late: usize,
}

impl<'a> Column<'a> {
    /// Cells that are known or missing, without uncertainty.
    pub(super) fn exact(cells: &'a [Option<Number>], kind: Kind) -> Column<'a> {
        Column::without_doubts(Rows::of(cells), kind)
    }

    /// Cells without uncertainty.
    pub(super) fn without_doubts(cells: Rows<'a>, kind: Kind) -> Column<'a> {
        Column {
            cells,
            kind,
            clock: false,
            doubts: None,
            late: 0,
        }
    }

    /// Whether nothing at all is known of that cell.
    fn is_missing(&self, row: usize) -> bool {
        row >= self.late && self.cells.get(row).copied().flatten().is_none() && self.cells.open(row).is_none()
    }
}

/// A short column with all of its cells, of a longer one how many there are, the first and the last.
pub(super) fn in_one_line(sheet: &Sheet, column: Column<'_>, options: Options) -> Shown {
    let one = |row: usize| cell(sheet, column, row, None, options).map(|shown| shown.value);
    let count = column.cells.len();
    if count <= IN_ONE_LINE {
        return digits::listed((0..count).map(one));
    }
    let mut filled = (0..count).filter_map(one);
    let (first, last) = (filled.next(), filled.next_back());
    let missing = (0..count).filter(|row| column.is_missing(*row)).count();
    digits::column(count - missing, missing, first.as_deref(), last.as_deref())
}

/// The cells of a column; `None` where missing.
pub(super) fn cells(sheet: &Sheet, column: Column<'_>, options: Options) -> Vec<Option<Shown>> {
    let has_clock = column.kind == Kind::Moment && moment::has_clock(column.cells.iter().flatten());
    let one = |row: usize| {
        let doubt = column.doubts.and_then(|doubts| doubts.get(row)).copied();
        let shown = cell(sheet, column, row, doubt, options)?;
        Some(match has_clock {
            true => moment::beside_clocks(shown),
            false => shown,
        })
    };
    (0..column.cells.len()).map(one).collect()
}

/// A cell of a column; `None` where it is missing.
pub(super) fn cell(
    sheet: &Sheet,
    column: Column<'_>,
    row: usize,
    doubt: Option<Uncertainty>,
    options: Options,
) -> Option<Shown> {
    let (kind, clock) = (column.kind, column.clock);
    match (column.cells.get(row).copied().flatten(), column.cells.open(row)) {
        (Some(number), _) => Some(number_shown(sheet, number, kind, clock, doubt, options)),
        (None, Some(range)) => Some(within::range_shown(sheet, range, kind, clock, options)),
        (None, None) => (row < column.late).then(|| Shown::text("–")),
    }
}
