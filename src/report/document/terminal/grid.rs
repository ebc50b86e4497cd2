//! A table of many numbers: ruled below its headings, broken between words to a width.
//!
//! Start reading at [`write`].

use tabled::builder::Builder;
use tabled::settings::object::{Cell, Columns};
use tabled::settings::style::{HorizontalLine, Style as Ruling};
use tabled::settings::{Alignment, Modify, Width};

use super::super::super::style::{Style, Tone};
use super::super::super::visible::{columns, wrapped};
use super::super::{Column, Piece, Sentence, Side, Table};
use super::detail::{longest_word, widths};
use super::{STEP, plain, say};

/// A space at which no line is broken: a sign that has no meaning of its own.
const NO_BREAK: &str = "\u{f8f0}";

/// The columns that fit, then those behind them, each time behind the first; and the note.
pub(super) fn write(text: &mut String, table: &Table, style: Style) {
    let indent = STEP * table.level;
    let width = style.columns().saturating_sub(indent);
    for (place, columns) in groups(table, width).iter().enumerate() {
        if place > 0 {
            text.push('\n');
        }
        for line in ruled(columns, table.rows(), width).lines() {
            text.push_str(format!("{}{line}", " ".repeat(indent)).trim_end());
            text.push('\n');
        }
    }
    if !table.note.is_empty() {
        say(text, (indent + 1, indent + 1), Some(Tone::Faint), &table.note, style);
    }
}

/// The columns that stand side by side, by the least that each can do with.
fn groups(table: &Table, width: usize) -> Vec<Vec<&Column>> {
    let least = |column: &Column| {
        let cells = (0..table.rows()).map(|row| {
            let (value, tail) = parted(column, row);
            longest_word(&value) + columns(&tail)
        });
        cells.chain([longest_word(&heading(column))]).max().unwrap_or(0) + 2
    };
    let Some((first, rest)) = table.columns.split_first() else {
        return Vec::new();
    };
    let mut groups = vec![vec![first]];
    let mut taken = least(first);
    for column in rest {
        let wide = least(column);
        let alone = groups.last().is_none_or(|group| group.len() < 2);
        if taken + wide > width && !alone {
            groups.push(vec![first]);
            taken = least(first);
        }
        taken += wide;
        groups.last_mut().into_iter().for_each(|group| group.push(column));
    }
    groups
}

/// Columns beside each other; numbers stand to the right.
fn ruled(shown: &[&Column], rows: usize, width: usize) -> String {
    let tail = |column: &&Column| (0..rows).map(|row| columns(&parted(column, row).1)).max().unwrap_or(0);
    let tails: Vec<usize> = shown.iter().map(tail).collect();
    let mut cells = vec![shown.iter().map(|column| heading(column)).collect::<Vec<String>>()];
    cells.extend((0..rows).map(|row| {
        let shown = shown.iter().zip(&tails);
        shown.map(|(column, tail)| cell(parted(column, row), *tail)).collect()
    }));
    narrowed(&mut cells, width);
    let mut grid = Builder::from(cells).build();
    grid.with(Ruling::empty().horizontals([(1, HorizontalLine::new('─'))]));
    for (index, column) in shown.iter().enumerate() {
        if column.side == Side::Right {
            grid.with(Modify::new(Columns::one(index)).with(Alignment::right()));
            grid.with(Modify::new(Cell::new(0, index)).with(Alignment::right()));
        }
    }
    grid.with(Width::wrap(width).keep_words(true));
    grid.to_string().replace(NO_BREAK, " ")
}

/// A heading, in which a unit is not broken.
fn heading(column: &Column) -> String {
    let pieces = column.heading.0.iter().map(|piece| match piece {
        Piece::Code(_) => plain(&Sentence(vec![piece.clone()])).replace(' ', NO_BREAK),
        _ => plain(&Sentence(vec![piece.clone()])),
    });
    pieces.collect()
}

/// A cell's value, and the ± that follows it.
fn parted(column: &Column, row: usize) -> (String, String) {
    let mut value = plain(&column.cell(row));
    let tail = value.find(" ± ").map(|cut| value.split_off(cut));
    (value, tail.unwrap_or_default())
}

/// A cell whose value ends where the others' do: behind it so many columns for a ±. The
/// padding holds where it stands, since cells are broken at plain spaces alone.
fn cell((value, tail): (String, String), width: usize) -> String {
    let padding = NO_BREAK.repeat(width.saturating_sub(columns(&tail)));
    format!("{value}{}{padding}", tail.replace(' ', NO_BREAK))
}

/// Cells broken between words until the table fits: headings first, where they
/// are wider than what stands under them, then the widest columns. No column
/// gets narrower than its longest word.
fn narrowed(cells: &mut [Vec<String>], width: usize) {
    let mut widths = widths(cells);
    let words: Vec<Vec<String>> = cells
        .iter()
        .map(|row| row.iter().map(|cell| " ".repeat(longest_word(cell))).collect())
        .collect();
    let least = self::widths(&words);
    let under = self::widths(cells.get(1..).unwrap_or_default());
    let room = width.saturating_sub(2 * widths.len());
    for floors in [under, vec![0; widths.len()]] {
        while widths.iter().sum::<usize>() > room {
            let open = widths.iter_mut().zip(&least).zip(&floors);
            let wide = open.filter(|((width, least), floor)| **width > **(least.max(floor)));
            let Some(((widest, _), _)) = wide.max_by_key(|((width, _), _)| **width) else {
                break;
            };
            *widest -= 1;
        }
    }
    for row in cells {
        for (cell, width) in row.iter_mut().zip(&widths) {
            if columns(cell) > *width {
                *cell = wrapped(cell, *width).join("\n");
            }
        }
    }
}
