//! A problem drawn against the worksheet: the line, the pieces, what they are.
//!
//! A heading names file, line and code. The line follows as written, and under
//! each piece that matters a cup with what the piece is. The message closes in
//! a whole sentence, and where one thing would mend it a line says `Try:`.
//! Lines longer than the terminal are cut around the pieces; control characters
//! are never sent raw. Start reading at [`draw`].

use std::ops::Range;

use super::model::Severity;
use super::style::{Style, Tone};
use super::visible::{character_columns, closed, columns, is_hidden, sentence, visible, visible_character, wrapped};

/// Where the worksheet's lines begin.
const INDENT: usize = 4;
/// Tabs stop at every so many columns.
const TAB: usize = 4;
/// The least room in which a label stands beside its piece.
const LABEL_ROOM: usize = 24;

/// A problem with the text it is drawn against.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnProblem {
    /// The worksheet's file name; may be empty where there is no line either.
    pub file: String,
    /// The code word; empty where it has none.
    pub code: String,
    /// Problem or lint.
    pub severity: Severity,
    /// What is wrong, in one line.
    pub message: String,
    /// The line, from 1; 0 for what stands in no file. Without a text too, no line is drawn.
    pub line: u32,
    /// The column in characters, from 1.
    pub column: u32,
    /// The text of the line, without its end.
    pub text: String,
    /// The piece marked, in bytes of `text`.
    pub mark: Range<usize>,
    /// What the piece is; may be empty.
    pub label: String,
    /// Other pieces that matter.
    pub labels: Vec<DrawnLabel>,
    /// The one thing to do.
    pub help: Option<String>,
    /// The cell of another file, where the trouble is there.
    pub cell: Option<DrawnCell>,
}

/// Another piece that matters, with the text of its line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnLabel {
    /// The line, from 1.
    pub line: u32,
    /// The text of that line, without its end.
    pub text: String,
    /// The piece, in bytes of `text`.
    pub mark: Range<usize>,
    /// What it is.
    pub label: String,
}

/// A cell of a file that the worksheet reads.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnCell {
    /// The file as the worksheet names it.
    pub file: String,
    /// The line of the file, from 1.
    pub row: u32,
    /// The column's heading, or its number.
    pub column: String,
}

/// Draws a problem; the text ends with a line end.
pub fn draw(problem: &DrawnProblem, style: Style) -> String {
    let width = style.columns();
    let mut drawing = heading(problem, style);
    if problem.line > 0 || !problem.text.is_empty() {
        draw_lines(&mut drawing, problem, style);
    }
    for line in wrapped(&sentence(&visible(&problem.message)), width) {
        drawing.push_str(&line);
        drawing.push('\n');
    }
    if let Some(help) = &problem.help {
        drawing.push_str(&advice(help, style));
    }
    drawing
}

fn draw_lines(drawing: &mut String, problem: &DrawnProblem, style: Style) {
    for (line, text, marks) in lines(problem) {
        if line != problem.line {
            let place = style.paint(Tone::Faint, &format!("line {line}"));
            drawing.push_str(&format!("  {place}\n"));
        }
        draw_line(drawing, text, &marks, style);
    }
    drawing.push('\n');
}

/// A piece of a line.
struct Mark<'a> {
    bytes: Range<usize>,
    label: &'a str,
    main: bool,
}

fn heading(problem: &DrawnProblem, style: Style) -> String {
    let place = match problem.line {
        0 => visible(&problem.file).into_owned(),
        line => format!("{}, line {line}", visible(&problem.file)),
    };
    let tone = match problem.severity {
        Severity::Problem => Tone::Bad,
        Severity::Lint => Tone::Care,
    };
    let code = style.paint(tone, &problem.code);
    let weight = match problem.severity {
        Severity::Problem => "",
        Severity::Lint => " · lint",
    };
    if place.is_empty() && code.is_empty() {
        return String::new();
    }
    let gap = if place.is_empty() || code.is_empty() {
        ""
    } else {
        " · "
    };
    let mut text = format!("{}{gap}{code}{weight}\n", style.paint(Tone::Strong, &place));
    if let Some(cell) = &problem.cell {
        let (file, column) = (visible(&cell.file), visible(&cell.column));
        let column = if column.is_empty() {
            String::new()
        } else {
            format!(", column {column}")
        };
        text.push_str(&format!("in {file}, row {}{column}\n", cell.row));
    }
    text.push('\n');
    text
}

/// The lines to show, the problem's own first, with their pieces left to right.
fn lines(problem: &DrawnProblem) -> Vec<(u32, &str, Vec<Mark<'_>>)> {
    let main = Mark {
        bytes: problem.mark.clone(),
        label: &problem.label,
        main: true,
    };
    let mut lines = vec![(problem.line, problem.text.as_str(), vec![main])];
    for label in &problem.labels {
        let mark = Mark {
            bytes: label.mark.clone(),
            label: &label.label,
            main: false,
        };
        match lines.iter_mut().find(|(line, _, _)| *line == label.line) {
            Some((_, _, marks)) => marks.push(mark),
            None => lines.push((label.line, &label.text, vec![mark])),
        }
    }
    for (_, _, marks) in &mut lines {
        marks.sort_by_key(|mark| (mark.bytes.start, std::cmp::Reverse(mark.bytes.end)));
    }
    lines
}

fn draw_line(drawing: &mut String, text: &str, marks: &[Mark<'_>], style: Style) {
    let room = style.columns() - INDENT;
    let glyphs = glyphs(text);
    let total = glyphs.last().map_or(0, |last| last.columns.end);
    let spans: Vec<Range<usize>> = marks
        .iter()
        .map(|mark| columns_of(&glyphs, &mark.bytes, total))
        .collect();
    let window = window(marks, &spans, total, room);
    drawing.push_str(&" ".repeat(INDENT));
    drawing.push_str(windowed(&glyphs, &window, total).trim_end());
    drawing.push('\n');
    for (mark, span) in marks.iter().zip(&spans) {
        draw_mark(drawing, mark, &within(span, &window), style);
    }
}

/// One character of a line as it is shown, and where.
struct Glyph {
    byte: usize,
    shown: String,
    columns: Range<usize>,
}

fn glyphs(text: &str) -> Vec<Glyph> {
    let mut column = 0;
    let mut glyphs = Vec::with_capacity(text.len());
    for (byte, c) in text.char_indices() {
        let shown = match c {
            '\t' => " ".repeat(TAB - column % TAB),
            _ if is_hidden(c) => visible_character(c),
            _ => c.to_string(),
        };
        let taken = if is_hidden(c) {
            columns(&shown)
        } else {
            character_columns(c)
        };
        glyphs.push(Glyph {
            byte,
            shown,
            columns: column..column + taken,
        });
        column += taken;
    }
    glyphs
}

/// The columns that the bytes take; one column where they take none.
fn columns_of(glyphs: &[Glyph], bytes: &Range<usize>, total: usize) -> Range<usize> {
    let from = glyphs.partition_point(|glyph| glyph.byte < bytes.start);
    let to = glyphs.partition_point(|glyph| glyph.byte < bytes.end);
    let start = glyphs.get(from).map_or(total, |glyph| glyph.columns.start);
    let last = to.checked_sub(1).and_then(|last| glyphs.get(last));
    let end = last.map_or(start, |glyph| glyph.columns.end);
    start..end.max(start + 1)
}

/// The columns of the line that are shown: all, or a window around the pieces.
fn window(marks: &[Mark<'_>], spans: &[Range<usize>], total: usize, room: usize) -> Range<usize> {
    let low = spans.iter().map(|span| span.start).min().unwrap_or(0);
    let high = spans.iter().map(|span| span.end).max().unwrap_or(0);
    let total = total.max(high);
    if total <= room {
        return 0..total;
    }
    let main = marks.iter().position(|mark| mark.main).unwrap_or(0);
    let (low, high) = match spans.get(main) {
        Some(span) if high - low > room.saturating_sub(2) => (span.start, span.end),
        _ => (low, high),
    };
    if high < room {
        return 0..room;
    }
    let before = room.saturating_sub(high - low).max(2) / 2;
    let start = low.saturating_sub(before).min(total - room);
    start..start + room
}

fn windowed(glyphs: &[Glyph], window: &Range<usize>, total: usize) -> String {
    let (cut_left, cut_right) = (window.start > 0, window.end < total);
    let inner = window.start + usize::from(cut_left)..window.end - usize::from(cut_right);
    let mut text = String::new();
    let mut column = inner.start;
    if cut_left {
        text.push('…');
    }
    for glyph in glyphs {
        if glyph.columns.start < inner.start || glyph.columns.end > inner.end {
            continue;
        }
        text.push_str(&" ".repeat(glyph.columns.start.saturating_sub(column)));
        text.push_str(&glyph.shown);
        column = glyph.columns.end;
    }
    if cut_right {
        text.push_str(&" ".repeat(inner.end.saturating_sub(column)));
        text.push('…');
    }
    text
}

/// The part of a piece inside the window, counted from its start; empty if none.
fn within(span: &Range<usize>, window: &Range<usize>) -> Range<usize> {
    let start = span.start.max(window.start);
    let end = span.end.min(window.end).max(start);
    start - window.start..end - window.start
}

/// The cup under a piece, and beside or below it what the piece is.
fn draw_mark(drawing: &mut String, mark: &Mark<'_>, span: &Range<usize>, style: Style) {
    let label = sentence(&visible(mark.label));
    if label.is_empty() && !mark.main {
        return;
    }
    let cup = cup(span.len(), mark.main);
    let tone = if mark.main { Tone::Bad } else { Tone::Care };
    drawing.push_str(&" ".repeat(INDENT + span.start));
    drawing.push_str(&style.paint(tone, &cup));
    let width = style.columns();
    let beside = INDENT + span.end + 1;
    if beside + columns(&label).min(LABEL_ROOM) <= width {
        label_lines(drawing, &label, " ", beside, width);
    } else {
        let start = INDENT + 2;
        drawing.push('\n');
        label_lines(drawing, &label, &" ".repeat(start), start, width);
    }
}

fn label_lines(drawing: &mut String, label: &str, before: &str, start: usize, width: usize) {
    for (index, line) in wrapped(label, width.saturating_sub(start)).iter().enumerate() {
        if index == 0 {
            drawing.push_str(before);
        } else {
            drawing.push('\n');
            drawing.push_str(&" ".repeat(start));
        }
        drawing.push_str(line);
    }
    drawing.push('\n');
}

fn cup(width: usize, main: bool) -> String {
    let (one, left, bottom, right) = if main {
        ("╹", "┗", "━", "┛")
    } else {
        ("╵", "╰", "─", "╯")
    };
    match width {
        0 => "…".to_owned(),
        1 => one.to_owned(),
        _ => format!("{left}{}{right}", bottom.repeat(width - 2)),
    }
}

fn advice(help: &str, style: Style) -> String {
    const OPENING: &str = "Try: ";
    let lines = wrapped(&visible(&closed(help)), style.columns() - OPENING.len());
    let mut advice = style.paint(Tone::Good, OPENING.trim_end());
    for (index, line) in lines.iter().enumerate() {
        let before = if index == 0 { " " } else { "     " };
        advice.push_str(before);
        advice.push_str(line);
        advice.push('\n');
    }
    advice
}
