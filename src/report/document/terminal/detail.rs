//! A table whose last column takes what room the others leave, or stands below them.
//!
//! Start reading at [`write`].

use super::super::super::style::{Style, Tone};
use super::super::super::visible::{columns, wrapped};
use super::super::Table;
use super::{GAP, LEAST_BESIDE, STEP, broken, height, painted, plain};

/// Whether the columns before the last stand beside each other.
pub(super) fn fits(table: &Table, style: Style) -> bool {
    let widths = widths(&cells(table));
    let fixed = widths.split_last().map_or(&[][..], |(_, fixed)| fixed);
    taken_by(fixed) <= room(table, style) + GAP
}

/// Rows in columns.
pub(super) fn write(text: &mut String, table: &Table, style: Style) {
    let mut rows = cells(table);
    let widths = widths(&rows);
    let Some((last, fixed)) = widths.split_last() else {
        return;
    };
    let left = room(table, style).saturating_sub(taken_by(fixed));
    let details = || rows.iter().filter_map(|row| row.last());
    let unbroken = details().all(|detail| longest_word(detail) <= left);
    if fits(table, style) && *last <= left || left >= LEAST_BESIDE && unbroken {
        for detail in rows.iter_mut().filter_map(|row| row.last_mut()) {
            *detail = broken(detail, left).join("\n");
        }
        rows.iter().for_each(|row| aligned(text, row, &widths, table, style));
    } else {
        beneath(text, rows, table, style);
    }
}

/// The last cell of each row on lines of its own, and with it what else does not fit beside
/// the first two.
fn beneath(text: &mut String, mut rows: Vec<Vec<String>>, table: &Table, style: Style) {
    let indent = STEP * table.level;
    let mut details: Vec<String> = rows.iter_mut().map(|row| row.pop().unwrap_or_default()).collect();
    let mut widths = widths(&rows);
    let is_wide = |widths: &[usize]| taken_by(widths) > room(table, style) + GAP;
    while widths.len() > 2 && is_wide(&widths) {
        widths.pop();
        for (row, detail) in rows.iter_mut().zip(&mut details) {
            let both = [row.pop().unwrap_or_default(), std::mem::take(detail)];
            let told: Vec<String> = both.into_iter().filter(|told| !told.is_empty()).collect();
            *detail = told.join(" · ");
        }
    }
    for (row, detail) in rows.iter().zip(&details) {
        match (is_wide(&widths), row.split_first()) {
            (true, Some((first, more))) if row.iter().any(|cell| cell.contains('\n')) => {
                put(text, indent, None, wrapped(first, room(table, style)), style);
                for line in more.iter().flat_map(|cell| cell.lines()) {
                    let lines = broken(line, room(table, style).saturating_sub(STEP));
                    put(text, indent + STEP, None, lines, style);
                }
            }
            (true, _) => put(text, indent, None, wrapped(&row.join(" "), room(table, style)), style),
            (false, _) => aligned(text, row, &widths, table, style),
        }
        let detail = wrapped(detail, room(table, style).saturating_sub(STEP));
        put(text, indent + STEP, Some(Tone::Faint), detail, style);
    }
}

/// Cells beside each other; one of several lines goes on below itself.
fn aligned(text: &mut String, row: &[String], widths: &[usize], table: &Table, style: Style) {
    for number in 0..height(row) {
        let mut line = " ".repeat(STEP * table.level);
        for ((cell, width), column) in row.iter().zip(widths).zip(&table.columns) {
            let cell = cell.lines().nth(number).unwrap_or("");
            line.push_str(&painted(cell, column.tone, style));
            line.push_str(&" ".repeat(width.saturating_sub(columns(cell)) + GAP));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
}

fn put(text: &mut String, indent: usize, tone: Option<Tone>, lines: Vec<String>, style: Style) {
    for line in lines {
        text.push_str(&format!("{}{}\n", " ".repeat(indent), painted(&line, tone, style)));
    }
}

/// The columns that a table may take.
fn room(table: &Table, style: Style) -> usize {
    style.columns().saturating_sub(STEP * table.level)
}

fn cells(table: &Table) -> Vec<Vec<String>> {
    let row = |row| table.columns.iter().map(|column| plain(&column.cell(row))).collect();
    (0..table.rows()).map(row).collect()
}

/// The columns that cells of these widths take, each with its gap.
fn taken_by(widths: &[usize]) -> usize {
    widths.iter().map(|width| width + GAP).sum()
}

/// The columns of the longest word.
pub(super) fn longest_word(text: &str) -> usize {
    text.split_whitespace().map(columns).max().unwrap_or(0)
}

/// The widest line of each column.
pub(super) fn widths(rows: &[Vec<String>]) -> Vec<usize> {
    let wide = |cell: &String| cell.lines().map(columns).max().unwrap_or(0);
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let column = |index| rows.iter().filter_map(move |row: &Vec<String>| row.get(index));
    (0..count)
        .map(|index| column(index).map(wide).max().unwrap_or(0))
        .collect()
}
