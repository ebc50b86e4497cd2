//! What isn't checked for want of time: lines that each look through a long table, or a case
//! of many lines, can take time by the square of a text that its size lets through.
//!
//! It has as much time as the run that works the worksheet out. Start reading at [`Model::is_cut`].

use crate::problem::{Code, Place, Problem};
use crate::text::Span;
use crate::time_limit;

use super::failure::MORE_TIME;
use super::model::Model;

impl Model {
    /// Whether the time is up, so that this item and what comes behind it isn't checked; told once.
    pub(super) fn is_cut(&mut self, item: u32) -> bool {
        if !self.checked_until.is_past() {
            return false;
        }
        if !self.unchecked {
            self.unchecked = true;
            let whole = self.tree.text_of(item as usize).lines().next().unwrap_or("").len();
            let message = format!(
                "the {} that checking a worksheet may take were up before this was checked, and what comes behind it",
                time_limit::in_words()
            );
            let problem = Problem::new(Code::OutOfTime, message, Place::new(item, Span::new(0, whole)));
            self.static_problems.push(problem.help(MORE_TIME));
        }
        true
    }
}
