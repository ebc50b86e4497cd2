//! A column of a table, and where its cells stand in a worksheet or in a file.
//!
//! What is read into one is settled in [`super::table`], the days of times in
//! [`super::time_cells`]. Start reading at [`TableColumn`].

use crate::number::Number;
use crate::problem::{Code, FilePlace, Place, Problem};
use crate::syntax::cell::Cell;
use crate::syntax::tree::Tolerance;
use crate::text::{SmallText, Span};
use crate::unit::Kind;

use super::scalar::Declared;

/// A column of a table, with its cells as bare numbers in one unit.
#[derive(Clone, Debug)]
pub struct TableColumn {
    /// Its name.
    pub name: SmallText,
    /// Kind and unit.
    pub kind: Kind,
    /// The cells; `None` is missing.
    pub cells: Vec<Option<Number>>,
    /// The standard uncertainty of each reading, where any is given.
    pub uncertainty: Vec<f64>,
    /// Whether the tolerance of each reading states plain limits.
    pub limits: Vec<bool>,
    /// Whether it has tolerances, and all of them alike.
    pub declared: Declared,
    /// The degrees of freedom of the heading's tolerance.
    pub degrees_of_freedom: Option<f64>,
    /// The tolerance of its heading.
    pub tolerance: Option<Tolerance>,
    /// The tolerances that cells have of their own, by their rows.
    pub own_tolerances: Vec<(u32, Tolerance)>,
    /// The table it belongs to.
    pub table: u32,
    /// Whether a function makes it when the worksheet runs.
    pub made: bool,
}

impl TableColumn {
    /// Whether it has rows, and neither a filled cell nor a unit says what they hold.
    pub(super) fn is_blank(&self) -> bool {
        let unfilled = !self.made && self.kind == Kind::Text && !self.cells.is_empty();
        unfilled && self.cells.iter().all(Option::is_none)
    }
}

/// One cell as read, as written, and where it stands.
pub(super) struct CellRead<'a> {
    pub cell: Cell,
    pub written: &'a str,
    pub place: CellPlace<'a>,
}

/// Where the cells of a table stand, for problems.
pub(super) enum CellPlace<'a> {
    Span(u32, Span),
    File {
        item: u32,
        span: Span,
        file: &'a str,
        row: u32,
    },
}

/// So many problems of one table are told; a file that is of another kind has one a cell.
pub(super) const MOST_TOLD: usize = 100;

/// Keeps a problem of a cell, as long as another one helps anybody.
pub(super) fn note(found: &mut Vec<Problem>, problem: impl FnOnce() -> Problem) {
    if found.len() < MOST_TOLD {
        found.push(problem());
    }
}

pub(super) fn at_cell(code: Code, message: String, place: &CellPlace<'_>, column: &str) -> Problem {
    match place {
        CellPlace::Span(item, span) => Problem::new(code, message, Place::new(*item, *span)),
        CellPlace::File { item, span, file, row } => {
            let cell = FilePlace::new((*file).to_owned(), *row, column.to_owned());
            Problem::new(code, message, Place::new(*item, *span)).in_file(cell)
        }
    }
}
