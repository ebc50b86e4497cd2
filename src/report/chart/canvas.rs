//! A sheet of character cells that a chart is drawn on for a terminal.
//!
//! Each cell holds one letter and what it belongs to; what matters more stays
//! on top. Lines are drawn in dots, eight to a cell, or in the letters of a
//! typewriter. Start reading at [`Canvas`].

use super::super::style::{Letters, Style, Tone};
use super::super::visible::{character_columns, columns};

/// What a letter belongs to, the least first: what is greater covers it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Layer {
    Blank,
    Band,
    Level,
    Block,
    Upright,
    Line,
    Mark,
    Text,
}

#[derive(Clone, Copy)]
struct Cell {
    letter: char,
    layer: Layer,
    dots: u8,
}

const BLANK: Cell = Cell {
    letter: ' ',
    layer: Layer::Blank,
    dots: 0,
};

/// Cells in rows.
pub(super) struct Canvas {
    cells: Vec<Cell>,
    pub(super) width: usize,
    pub(super) height: usize,
    letters: Letters,
}

/// The dots of a cell: two across, four down.
const DOTS: [[u8; 2]; 4] = [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]];
const NO_DOTS: u32 = 0x2800;

impl Canvas {
    pub(super) fn new(width: usize, height: usize, letters: Letters) -> Canvas {
        Canvas {
            cells: vec![BLANK; width * height],
            width,
            height,
            letters,
        }
    }

    /// How many dots a cell has, across and down.
    fn fineness(&self) -> (usize, usize) {
        match self.letters {
            Letters::Drawn => (2, 4),
            Letters::Plain => (1, 1),
        }
    }

    /// The dot at a part of the way along and up.
    fn dot(&self, across: f64, up: f64) -> (usize, usize) {
        let (wide, high) = self.fineness();
        let along = across * (self.width * wide - 1) as f64;
        let down = (1.0 - up) * (self.height * high - 1) as f64;
        (along.round() as usize, down.round() as usize)
    }

    /// The column at a part of the way along.
    pub(super) fn column(&self, across: f64) -> usize {
        self.dot(across, 0.0).0 / self.fineness().0
    }

    /// The row at a part of the way up.
    pub(super) fn row(&self, up: f64) -> usize {
        self.dot(0.0, up).1 / self.fineness().1
    }

    fn cell(&mut self, column: usize, row: usize) -> Option<&mut Cell> {
        let inside = column < self.width && row < self.height;
        inside.then(|| self.cells.get_mut(row * self.width + column)).flatten()
    }

    fn layer(&self, column: usize, row: usize) -> Layer {
        let inside = column < self.width && row < self.height;
        let cell = inside.then(|| self.cells.get(row * self.width + column)).flatten();
        cell.map_or(Layer::Text, |cell| cell.layer)
    }

    /// Puts a letter where nothing that matters as much stands.
    pub(super) fn put(&mut self, column: usize, row: usize, letter: char, layer: Layer) {
        if let Some(cell) = self.cell(column, row).filter(|cell| cell.layer < layer) {
            *cell = Cell { letter, layer, dots: 0 };
        }
    }

    /// A straight line between two places, each as parts along and up.
    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64)) {
        let (from, to) = (self.dot(from.0, from.1), self.dot(to.0, to.1));
        let steps = from.0.abs_diff(to.0).max(from.1.abs_diff(to.1)).max(1);
        let between = |one: usize, other: usize, step: usize| {
            let part = step as f64 / steps as f64;
            (one as f64 + (other as f64 - one as f64) * part).round() as usize
        };
        for step in 0..=steps {
            self.set(between(from.0, to.0, step), between(from.1, to.1, step));
        }
    }

    fn set(&mut self, across: usize, down: usize) {
        let (wide, high) = self.fineness();
        let plain = self.letters == Letters::Plain;
        let dot = DOTS.get(down % high).and_then(|row| row.get(across % wide)).copied();
        let Some(cell) = self
            .cell(across / wide, down / high)
            .filter(|cell| cell.layer <= Layer::Line)
        else {
            return;
        };
        cell.layer = Layer::Line;
        cell.dots |= dot.unwrap_or(0);
        cell.letter = match plain {
            true => '.',
            false => char::from_u32(NO_DOTS + u32::from(cell.dots)).unwrap_or('.'),
        };
    }

    /// Whether so many cells from a place on hold nothing that a text may not cover.
    pub(super) fn is_free(&self, column: usize, row: usize, length: usize) -> bool {
        column + length <= self.width && (column..column + length).all(|at| self.layer(at, row) <= Layer::Level)
    }

    /// Writes a text; where a letter takes two cells, the second holds nothing.
    pub(super) fn write(&mut self, column: usize, row: usize, text: &str) {
        let mut at = column;
        for letter in text.chars() {
            let taken = character_columns(letter);
            if taken == 0 || at + taken > self.width {
                continue;
            }
            self.put(at, row, letter, Layer::Text);
            if taken == 2 {
                self.put(at + 1, row, '\0', Layer::Text);
            }
            at += taken;
        }
    }

    /// A row as it is printed, each piece in its tone.
    pub(super) fn printed(&self, row: usize, style: Style) -> String {
        let cells = self.cells.get(row * self.width..(row + 1) * self.width).unwrap_or(&[]);
        let used = cells
            .iter()
            .rposition(|cell| cell.letter != ' ')
            .map_or(0, |last| last + 1);
        let mut text = String::new();
        for piece in cells
            .get(..used)
            .unwrap_or(&[])
            .chunk_by(|one, other| tone(one) == tone(other))
        {
            let letters: String = piece
                .iter()
                .map(|cell| cell.letter)
                .filter(|letter| *letter != '\0')
                .collect();
            match piece.first().and_then(tone) {
                Some(tone) => text.push_str(&style.paint(tone, &letters)),
                None => text.push_str(&letters),
            }
        }
        text
    }
}

fn tone(cell: &Cell) -> Option<Tone> {
    match cell.layer {
        Layer::Band => Some(Tone::Faint),
        Layer::Level | Layer::Upright | Layer::Text => Some(Tone::Care),
        Layer::Mark => Some(Tone::Strong),
        Layer::Blank | Layer::Block | Layer::Line => None,
    }
}

/// A text cut to so many columns, with an ellipsis where something is lost.
pub(super) fn cut(text: &str, width: usize, letters: Letters) -> String {
    if columns(text) <= width {
        return text.to_owned();
    }
    let ellipsis = match letters {
        Letters::Drawn => "…",
        Letters::Plain => "...",
    };
    let room = width.saturating_sub(columns(ellipsis));
    let mut kept = String::new();
    let mut used = 0;
    for letter in text.chars() {
        used += character_columns(letter);
        if used > room {
            break;
        }
        kept.push(letter);
    }
    format!("{}{ellipsis}", kept.trim_end())
}
