//! Files of tables whose text is held in hand, and not yet written.
//!
//! A row that is added to a table from a file stands in the text in hand at once; the file
//! itself is left alone here. Writing it is the session's. Start reading at
//! [`Sheet::file_text`].

use std::sync::Arc;

use crate::problem::Problem;
use crate::syntax::cell::{Cell, read_cell};
use crate::text::Span;
use crate::unit::Kind;

use super::Sheet;
use super::column::{CellPlace, CellRead};
use super::csv_table::{Files, HeldFiles, text_of};
use super::table::misfit_of;
use super::text_pool::TextPool;

impl Sheet {
    /// The text of a file that a table is read from: in hand, enclosed, or in the folder.
    ///
    /// # Errors
    /// Why it can't be read.
    pub fn file_text(&self, path: &str) -> Result<String, Box<Problem>> {
        text_of(self.files(), path)
    }

    /// The text of a file as it stands in the folder, whatever is in hand.
    ///
    /// # Errors
    /// Why it can't be read.
    pub(crate) fn file_on_disk(&self, path: &str) -> Result<String, Box<Problem>> {
        let none = HeldFiles::new();
        text_of(
            Files {
                held: &none,
                ..self.files()
            },
            path,
        )
    }

    /// The text in hand of a file.
    pub(crate) fn held_file(&self, path: &str) -> Option<&str> {
        self.held_files.get(path).map(String::as_str)
    }

    /// Takes a text in hand for a file, or with none lets go of it; tables are read anew.
    pub(crate) fn hold_file(&mut self, path: &str, text: Option<String>) {
        let files = &mut Arc::make_mut(&mut self.model).held_files;
        match text {
            Some(text) => files.insert(path.to_owned(), text),
            None => files.remove(path),
        };
        self.refresh();
    }

    /// Why a text can't be a cell of a column; `None` where it can. A column without a cell
    /// yet takes what its first one is.
    pub(crate) fn cell_misfit(&self, slot: u32, written: &str) -> Option<Problem> {
        let column = self.table_column(slot)?;
        let is_open = column.kind == Kind::Text && column.cells.iter().all(Option::is_none);
        let cell = read_cell(written);
        if is_open || cell == Cell::Missing {
            return None;
        }
        let place = CellPlace::Span(0, Span::new(0, written.len()));
        misfit_of(&CellRead { cell, written, place }, column, &mut TextPool::default())
    }
}
