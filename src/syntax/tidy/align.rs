//! Entries that follow each other, written under each other.
//!
//! In a block of one-line entries the names, the `=` and the sources begin in
//! one column each. An entry that is much wider than the rest sticks out instead
//! of pushing all others aside. Only space is added, never taken.
//! Start reading at [`aligned`].

use unicode_width::UnicodeWidthStr;

/// A name with its label and unit that reaches beyond this column sticks out.
const WIDEST_HEAD: usize = 40;

/// A value that reaches beyond this column sticks out.
const WIDEST_VALUE: usize = 60;

/// A line that is longer than so many bytes is left alone.
const LONGEST_LINE: usize = 1024;

/// Where a line may be moved to the right, in bytes from its start.
#[derive(Clone, Copy, Default, Debug)]
pub(super) struct Stops {
    /// The end of the opening word; the indentation where there is none.
    pub(super) word: usize,
    /// The `=`.
    pub(super) equals: Option<usize>,
    /// The first of `from`, `note` and `else`.
    pub(super) tail: Option<usize>,
}

/// A line written with single spaces; one without stops stays as it is.
#[derive(Debug)]
pub(super) struct Line {
    pub(super) text: String,
    pub(super) stops: Option<Stops>,
}

/// A line cut at its stops, each part without the space behind it.
struct Parts<'a> {
    word: &'a str,
    head: &'a str,
    value: &'a str,
    tail: &'a str,
}

/// The columns of a block.
struct Columns {
    name: usize,
    equals: usize,
    tail: usize,
}

/// The lines of a block under each other.
pub(super) fn aligned(lines: &[Line]) -> String {
    let columns = columns(lines);
    lines.iter().map(|line| moved(line, &columns)).collect()
}

fn columns(lines: &[Line]) -> Columns {
    let parts: Vec<Parts> = lines.iter().filter_map(parts).collect();
    let widest = |widths: &mut dyn Iterator<Item = usize>, most: usize| {
        widths
            .map(|width| width + 1)
            .filter(|column| *column <= most)
            .max()
            .unwrap_or(0)
    };
    let mut columns = Columns {
        name: 0,
        equals: 0,
        tail: 0,
    };
    columns.name = widest(&mut parts.iter().map(|line| line.word.width()), WIDEST_HEAD);
    let heads = parts.iter().filter(|line| !line.value.is_empty());
    columns.equals = widest(&mut heads.map(|line| head(line, &columns).width()), WIDEST_HEAD);
    let sourced = parts.iter().filter(|line| !line.tail.is_empty());
    columns.tail = widest(&mut sourced.map(|line| body(line, &columns).width()), WIDEST_VALUE);
    columns
}

fn parts(line: &Line) -> Option<Parts<'_>> {
    let stops = line.stops.filter(|_| line.text.len() <= LONGEST_LINE)?;
    let tail = stops.tail.unwrap_or(line.text.len());
    let equals = stops.equals.unwrap_or(tail);
    Some(Parts {
        word: line.text.get(..stops.word)?,
        head: line.text.get(stops.word..equals)?.trim_matches(' '),
        value: line.text.get(equals..tail)?.trim_end_matches(' '),
        tail: line.text.get(tail..)?,
    })
}

/// The opening word with the name behind it.
fn head(line: &Parts, columns: &Columns) -> String {
    joined(line.word.to_owned(), columns.name, line.head)
}

/// All up to the source.
fn body(line: &Parts, columns: &Columns) -> String {
    joined(head(line, columns), columns.equals, line.value)
}

fn moved(line: &Line, columns: &Columns) -> String {
    match parts(line) {
        Some(line) => joined(body(&line, columns), columns.tail, line.tail),
        None => line.text.clone(),
    }
}

/// `right` at a column behind `left`, or one space behind where `left` is too wide.
fn joined(mut left: String, column: usize, right: &str) -> String {
    if right.is_empty() {
        return left;
    }
    let at_start = left.trim_matches([' ', '\u{FEFF}']).is_empty();
    let least = usize::from(!at_start);
    let missing = if at_start {
        0
    } else {
        column.saturating_sub(left.width())
    };
    left.extend(std::iter::repeat_n(' ', missing.max(least)));
    left.push_str(right);
    left
}
