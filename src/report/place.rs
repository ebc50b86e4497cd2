//! From a problem's place in the tree to the line that people are shown.
//!
//! Problems know an item and bytes from its start; a reader is told a line, a
//! column and the text of the line. Start reading at [`drawn`].

use std::ops::Range;

use crate::problem::{Place, Problem, Severity};
use crate::syntax::Worksheet;
use crate::text::{Position, position};

use super::drawing::{DrawnCell, DrawnLabel, DrawnProblem};
use super::model;

/// The problem with the lines it is drawn against; `file` is the worksheet's name,
/// `line_of` the line on which an item begins.
pub fn drawn(problem: &Problem, worksheet: &Worksheet, file: &str, line_of: impl Fn(u32) -> u32) -> DrawnProblem {
    let spot = Spot::of(problem.place, worksheet, &line_of);
    DrawnProblem {
        file: file.to_owned(),
        code: problem.code.word().to_owned(),
        severity: severity(problem.severity),
        message: problem.message.clone(),
        line: spot.line,
        column: spot.column,
        text: spot.text,
        mark: spot.mark,
        label: problem.label.clone(),
        labels: labels(problem, worksheet, &line_of),
        help: problem.help.clone(),
        cell: problem.file.as_ref().map(|place| DrawnCell {
            file: place.file.clone(),
            row: place.row,
            column: place.column.clone(),
        }),
    }
}

/// The problem as machines read it. In another file, line and column are those
/// of the file; a column known by its heading alone counts as 1.
/// `item_line` is the line on which the problem's item begins.
pub fn machine(problem: &Problem, worksheet: &Worksheet, item_line: u32) -> model::Problem {
    let place = problem.place;
    let inside = position(worksheet.text_of(place.item as usize), place.span.start as usize);
    let at = Position {
        line: item_line + inside.line - 1,
        column: inside.column,
    };
    let (line, column) = match &problem.file {
        Some(file) => (file.row, file.column.parse().unwrap_or(1)),
        None => (at.line, at.column),
    };
    model::Problem {
        code: problem.code.word().to_owned(),
        severity: severity(problem.severity),
        message: problem.message.clone(),
        file: problem.file.as_ref().map(|place| place.file.clone()),
        line,
        column,
        help: problem.help.clone(),
    }
}

/// A place as people are told it.
struct Spot {
    line: u32,
    column: u32,
    text: String,
    mark: Range<usize>,
}

impl Spot {
    /// Counted from the item on, so that many problems of a long worksheet don't each count all its lines.
    fn of(place: Place, worksheet: &Worksheet, line_of: &impl Fn(u32) -> u32) -> Spot {
        let text = worksheet.text.as_str();
        let start = offset(place, worksheet);
        let inside = position(worksheet.text_of(place.item as usize), place.span.start as usize);
        let line_start = text.get(..start).and_then(|before| before.rfind('\n'));
        let line_start = line_start.map_or(0, |end| end + 1);
        let rest = text.get(line_start..).unwrap_or("");
        let line = rest.lines().next().unwrap_or("");
        let from = (start - line_start).min(line.len());
        let to = (from + place.span.len()).min(line.len());
        let line = beginning(line, to + LONGEST_BEHIND);
        Spot {
            line: line_of(place.item) + inside.line - 1,
            column: inside.column,
            text: without_mark(line).to_owned(),
            mark: shifted(line, from)..shifted(line, to),
        }
    }
}

/// So many bytes of a line behind the piece marked are kept.
const LONGEST_BEHIND: usize = 4 * 1024;

/// The first bytes of a line, up to a whole letter.
fn beginning(line: &str, most: usize) -> &str {
    let end = (most.min(line.len())..).find(|at| line.is_char_boundary(*at));
    line.get(..end.unwrap_or(line.len())).unwrap_or(line)
}

/// The byte of the text where the place begins, at most its end.
fn offset(place: Place, worksheet: &Worksheet) -> usize {
    let item = worksheet.item(place.item);
    let start = item.map_or(0, |item| item.start as usize) + place.span.start as usize;
    let mut start = start.min(worksheet.text.len());
    while !worksheet.text.is_char_boundary(start) {
        start -= 1;
    }
    start
}

/// A byte-order mark is no part of the line.
fn without_mark(line: &str) -> &str {
    line.strip_prefix('\u{feff}').unwrap_or(line)
}

fn shifted(line: &str, byte: usize) -> usize {
    byte.saturating_sub(line.len() - without_mark(line).len())
}

fn labels(problem: &Problem, worksheet: &Worksheet, line_of: &impl Fn(u32) -> u32) -> Vec<DrawnLabel> {
    let drawn = problem.labels.iter().map(|label| {
        let spot = Spot::of(label.place, worksheet, line_of);
        DrawnLabel {
            line: spot.line,
            text: spot.text,
            mark: spot.mark,
            label: label.text.clone(),
        }
    });
    drawn.collect()
}

fn severity(severity: Severity) -> model::Severity {
    match severity {
        Severity::Problem => model::Severity::Problem,
        Severity::Lint => model::Severity::Lint,
    }
}
