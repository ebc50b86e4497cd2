//! Marks that were drawn for, kept until a value changes.
//!
//! Draws cost more than all else that a report says, and one screen asks for several
//! reports. Who draws is [`crate::study::marks`]; any run forgets what was kept.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use crate::time_limit;

use super::Sheet;
use super::appraisal::Mark;
use super::names::CellId;

/// The marks of values as they stand, once they were drawn for: of a cell or one of its rows.
/// Copies of a worksheet keep them together until one of them runs.
#[derive(Clone, Default, Debug)]
pub(crate) struct KeptMarks(Arc<Mutex<BTreeMap<Place, Option<Mark>>>>);

type Place = (CellId, Option<u32>);

impl KeptMarks {
    /// What is known: that it has a mark, or that it has none.
    pub(crate) fn of(&self, cell: CellId, row: Option<u32>) -> Option<Option<Mark>> {
        let marks = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        marks.get(&(cell, row)).cloned()
    }

    /// Keeps what draws found, unless the time was up in the middle of them.
    pub(crate) fn keep(&self, cell: CellId, row: Option<u32>, mark: Option<Mark>) {
        if !time_limit::is_up() {
            let mut marks = self.0.lock().unwrap_or_else(PoisonError::into_inner);
            marks.insert((cell, row), mark);
        }
    }
}

impl Sheet {
    /// The marks of its values as they stand.
    pub(crate) fn kept_marks(&self) -> &KeptMarks {
        &self.marks
    }
}
