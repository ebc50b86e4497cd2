//! A column heading on its own, as a CSV file's first row has it.

use crate::problem::Problem;
use crate::text::Span;

use super::block;
use super::reader::Reader;
use super::tree::ColumnHeading;

/// Reads a heading such as `gross [lb ± 0.05]`; one that is no name has none.
///
/// # Errors
/// The problem with its unit; places count from the start of `text`.
pub(crate) fn read_heading(text: &str) -> Result<ColumnHeading, Box<Problem>> {
    let mut reader = Reader::new(text, 0);
    let trimmed = text.trim();
    let start = text.len() - text.trim_start().len();
    let span = Span::new(start, start + trimmed.len());
    let heading = block::heading(&mut reader, span);
    match (heading, reader.problems.into_iter().next()) {
        (Some(heading), None) => Ok(heading),
        (_, Some(problem)) if problem.code != crate::problem::Code::HeadingName => Err(Box::new(problem)),
        _ => Ok(ColumnHeading {
            name: None,
            unit: None,
            tolerance: None,
            span,
        }),
    }
}
