//! A document for a terminal, kept to its width.
//!
//! The one place that lays out tables: columns beside each other where they have
//! room, narrower with broken cells where that helps, else as the table says. Start
//! reading at [`write()`].

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::style::Style as Ruling;
use tabled::settings::{Alignment, Modify, Padding};

use crate::text::in_one_line;

use super::super::chart;
use super::super::style::{Style, Tone};
use super::super::visible::{columns, visible, wrapped};
use super::{Block, Column, Document, Narrow, Piece, Sentence, Side, Table, Term};

mod detail;
mod grid;

/// The columns by which a level is set in.
const STEP: usize = 2;
/// The columns between two columns of a table, and where bars need the room.
const GAP: usize = 3;
const NARROW_GAP: usize = 2;
/// A column of words is broken to no fewer columns than this.
const LEAST_WORDS: usize = 12;
/// What is said stands below its names where it has fewer columns beside them.
const LEAST_BESIDE: usize = 24;
/// A name that is wider stands above what is said of it.
const WIDEST_NAME: usize = 24;
/// The columns of a verdict.
const VERDICT: usize = 13;
/// The least and the greatest length of a bar.
const BARS: (usize, usize) = (4, 20);

/// Where a line ends, and where one may end before any other place.
const LINE: char = '\n';
const BREAK: char = '\r';

/// The document, in a style.
pub(in crate::report) fn write(document: &Document, style: Style) -> String {
    let mut text = String::new();
    blocks(&mut text, &document.0, style);
    text.truncate(text.trim_end().len());
    if !text.is_empty() {
        text.push('\n');
    }
    text
}

fn blocks(text: &mut String, blocks: &[Block], style: Style) {
    for block in blocks {
        match block {
            Block::Title(said) | Block::Heading(_, said) => say(text, (0, 0), Some(Tone::Strong), said, style),
            Block::Hand(said) => say(text, (0, 0), Some(Tone::Care), said, style),
            Block::Said(level, tone, said) => say(text, (level * STEP, level * STEP), *tone, said, style),
            Block::Item(level, tone, said) => say(text, (level * STEP, (level + 1) * STEP), *tone, said, style),
            Block::Terms(terms) => self::terms(text, terms, (None, 0), style),
            Block::Check(tone, term) => self::terms(text, std::slice::from_ref(term), (Some(*tone), VERDICT), style),
            Block::Table(table) => self::table(text, table, style),
            Block::Chart(chart) => text.push_str(&chart::terminal::write(chart, style)),
            Block::Ways(ways) => {
                let way = ways.iter().find(|way| fits(way, style)).or(ways.last());
                way.into_iter().for_each(|way| self::blocks(text, &way.0, style));
            }
            Block::Gap if text.is_empty() || text.ends_with("\n\n") => {}
            Block::Gap => text.push('\n'),
        }
    }
}

/// The sentence as a terminal shows it: without marks but the backticks of what can be typed.
pub(in crate::report) fn plain(said: &Sentence) -> String {
    let pieces = said.0.iter().map(|piece| match piece {
        Piece::Typed(text) => format!("`{}`", visible(text)),
        Piece::Line => LINE.to_string(),
        Piece::Break => BREAK.to_string(),
        other => visible(other.text()).into_owned(),
    });
    pieces.collect()
}

/// Lines kept to the width, the first set in by `first`, the others by `rest`.
fn say(text: &mut String, (first, rest): (usize, usize), tone: Option<Tone>, said: &Sentence, style: Style) {
    let room = |indent: usize| style.columns().saturating_sub(indent);
    let said = plain(said);
    let mut lines = broken(&said, room(first));
    if lines.len() > 1 && first != rest && !said.contains([LINE, BREAK]) {
        let words = in_one_line(&said);
        lines.truncate(1);
        let taken = lines.first().map_or(0, String::len);
        lines.extend(wrapped(words.get(taken..).unwrap_or_default(), room(rest)));
    }
    for (place, line) in lines.iter().enumerate() {
        text.push_str(&" ".repeat(if place == 0 { first } else { rest }));
        text.push_str(&painted(line, tone, style));
        text.push('\n');
    }
}

fn painted(line: &str, tone: Option<Tone>, style: Style) -> String {
    tone.map_or_else(|| line.to_owned(), |tone| style.paint(tone, line))
}

/// A text in lines of so many columns: at the ends of its lines, then where one may end, then
/// between words.
fn broken(text: &str, width: usize) -> Vec<String> {
    let lines = text
        .split(LINE)
        .flat_map(|line| match columns(&line.replace(BREAK, " ")) <= width {
            true => vec![line.replace(BREAK, " ")],
            false => line.split(BREAK).flat_map(|part| wrapped(part, width)).collect(),
        });
    lines.collect()
}

/// Names in a column of at least so many columns, with what is said beside them; a wide name
/// stands above it.
fn terms(text: &mut String, terms: &[Term], (tone, least): (Option<Tone>, usize), style: Style) {
    let names = || terms.iter().map(|term| plain(&term.name));
    let widths = names().map(|name| columns(&name)).filter(|width| *width <= WIDEST_NAME);
    let width = widths.max().unwrap_or(0).max(least);
    let left = STEP + width + if width > 0 { GAP } else { 0 };
    let (width, left) = match style.columns().saturating_sub(left) {
        room if room < LEAST_BESIDE => (0, 2 * STEP),
        _ => (width, left),
    };
    for (term, name) in terms.iter().zip(names()) {
        let mut said = term.said.iter().flat_map(|(tone, said)| {
            let lines = broken(&plain(said), style.columns().saturating_sub(left));
            lines.into_iter().map(move |line| painted(&line, *tone, style))
        });
        let fits = columns(&name) <= width;
        let beside = if fits {
            said.next().unwrap_or_default()
        } else {
            String::new()
        };
        let pad = " ".repeat(left.saturating_sub(STEP + columns(&name)));
        let name = painted(&name, tone, style);
        text.push_str(format!("{}{name}{pad}{beside}", " ".repeat(STEP)).trim_end());
        text.push('\n');
        said.for_each(|line| text.push_str(&format!("{}{line}\n", " ".repeat(left))));
    }
}

// ---- tables ----

/// A column with its cells as they are shown.
#[derive(Clone)]
struct Strip {
    heading: String,
    cells: Vec<String>,
    side: Side,
    most: usize,
    /// The columns that it gets.
    width: usize,
}

/// Columns beside each other, with what the bars behind them get.
struct Fitted {
    strips: Vec<Strip>,
    gap: usize,
    bar: usize,
}

impl Strip {
    fn of(column: &Column) -> Strip {
        let mut strip = Strip {
            heading: plain(&column.heading),
            cells: column.cells.iter().map(plain).collect(),
            side: column.side,
            most: column.most,
            width: 0,
        };
        strip.width = strip.widest(columns);
        if strip.most > 0 && strip.width > strip.most {
            strip.width = strip.most;
            strip.width = strip.widest(|line| widest(&broken(line, strip.most)));
        }
        strip
    }

    /// The widest piece of its lines.
    fn widest(&self, width: impl Fn(&str) -> usize) -> usize {
        let lines = self
            .cells
            .iter()
            .chain([&self.heading])
            .flat_map(|cell| cell.split('\n'));
        lines.map(width).max().unwrap_or(0)
    }

    /// The fewest columns that it can do with.
    fn least(&self) -> usize {
        let word = |line: &str| line.split_whitespace().map(columns).max().unwrap_or(0);
        match self.side {
            _ if self.most > 0 => self.width,
            Side::Left => self.widest(word).max(LEAST_WORDS).min(self.width),
            Side::Right => self.width,
        }
    }

    /// A cell broken to the width.
    fn broken(&self, cell: &str) -> String {
        broken(cell, self.width).join("\n")
    }
}

fn strips(table: &Table) -> Vec<Strip> {
    table.columns.iter().map(Strip::of).collect()
}

fn widest(lines: &[String]) -> usize {
    lines.iter().map(|line| columns(line)).max().unwrap_or(0)
}

/// Whether every table stands with its columns beside each other.
fn fits(document: &Document, style: Style) -> bool {
    document.0.iter().all(|block| match block {
        Block::Table(table) if table.narrow == Narrow::Detail => detail::fits(table, style),
        Block::Table(table) => fitted(strips(table), table, style).is_some(),
        _ => true,
    })
}

/// The columns beside each other, those of words narrower where that helps; `None` where
/// they have no room.
fn fitted(mut strips: Vec<Strip>, table: &Table, style: Style) -> Option<Fitted> {
    let gap = if table.bars.is_empty() { GAP } else { NARROW_GAP };
    let least_bar = if table.bars.is_empty() { 0 } else { gap + BARS.0 };
    let room = style.columns().checked_sub(STEP * table.level + least_bar)?;
    let taken = |strips: &[Strip]| {
        strips
            .iter()
            .map(|strip| strip.width + gap)
            .sum::<usize>()
            .saturating_sub(gap)
    };
    while taken(&strips) > room {
        let open = strips.iter_mut();
        let open = open.filter(|strip| table.narrow != Narrow::Below && strip.width > strip.least());
        open.max_by_key(|strip| strip.width)?.width -= 1;
    }
    let bar = match table.bars.is_empty() {
        true => 0,
        false => (room - taken(&strips) + BARS.0).min(BARS.1),
    };
    Some(Fitted { strips, gap, bar })
}

fn table(text: &mut String, table: &Table, style: Style) {
    match (fitted(strips(table), table, style), table.narrow) {
        (_, Narrow::Detail) => detail::write(text, table, style),
        (_, Narrow::Grid) => grid::write(text, table, style),
        (Some(fitted), _) => side_by_side(text, &fitted, table, style),
        (None, Narrow::Columns) => in_parts(text, table, style),
        (None, Narrow::Rows) => row_by_row(text, table, style),
        (None, Narrow::Below) => below(text, table, style),
    }
}

fn side_by_side(text: &mut String, fitted: &Fitted, table: &Table, style: Style) {
    let mut rows = Vec::new();
    if table.is_headed() {
        rows.push(fitted.strips.iter().map(|strip| strip.broken(&strip.heading)).collect());
    }
    for row in 0..table.rows() {
        let cells = fitted
            .strips
            .iter()
            .map(|strip| strip.broken(strip.cells.get(row).map_or("", String::as_str)));
        let mut cells: Vec<String> = cells.collect();
        cells.extend(table.bars.get(row).map(|share| bar(*share, fitted.bar)));
        rows.push(cells);
    }
    let headed = rows
        .first()
        .filter(|_| table.is_headed())
        .map_or(0, |cells| height(cells));
    for (place, line) in aligned(rows, fitted, table.level).iter().enumerate() {
        let tone = (place < headed).then_some(Tone::Strong);
        text.push_str(&painted(line, tone, style));
        text.push('\n');
    }
}

/// Rows as lines, set in, without what nobody sees at their ends.
fn aligned(rows: Vec<Vec<String>>, fitted: &Fitted, level: usize) -> Vec<String> {
    let mut grid = Builder::from(rows).build();
    grid.with(Ruling::empty()).with(Padding::new(0, fitted.gap, 0, 0));
    grid.with(Modify::new(Columns::first()).with(Padding::new(STEP * level, fitted.gap, 0, 0)));
    for (place, strip) in fitted.strips.iter().enumerate() {
        if strip.side == Side::Right {
            grid.with(Modify::new(Columns::one(place)).with(Alignment::right()));
        }
    }
    grid.to_string()
        .lines()
        .map(|line| line.trim_end().to_owned())
        .collect()
}

/// As many columns as have room behind the first, the others below under the first again.
fn in_parts(text: &mut String, table: &Table, style: Style) {
    let Some((first, others)) = table.columns.split_first() else {
        return;
    };
    let part = |columns: &[Column]| Table {
        columns: std::iter::once(first).chain(columns).cloned().collect(),
        ..table.clone()
    };
    let mut rest = others;
    while !rest.is_empty() {
        let fits = |count: &usize| {
            let part = part(rest.get(..*count).unwrap_or(rest));
            fitted(strips(&part), &part, style).is_some()
        };
        let count = (1..=rest.len()).take_while(fits).last().unwrap_or(1);
        let (taken, left) = rest.split_at_checked(count).unwrap_or((rest, &[]));
        let part = part(taken);
        let own = strips(&part);
        let whole = || Fitted {
            strips: own.clone(),
            gap: GAP,
            bar: 0,
        };
        side_by_side(
            text,
            &fitted(own.clone(), &part, style).unwrap_or_else(whole),
            &part,
            style,
        );
        if !left.is_empty() {
            text.push('\n');
        }
        rest = left;
    }
}

/// Each row as a thing of a list, its cells behind their headings.
fn row_by_row(text: &mut String, table: &Table, style: Style) {
    let Some((first, others)) = table.columns.split_first() else {
        return;
    };
    for row in 0..table.rows() {
        let (left, deeper) = (STEP * table.level, STEP * (table.level + 1));
        say(text, (left, left), Some(Tone::Strong), &first.cell(row), style);
        let cells = others.iter().filter(|column| !column.cell(row).is_empty());
        let cells = cells.map(|column| format!("{} = {}", plain(&column.heading), plain(&column.cell(row))));
        let cells: Vec<String> = cells.collect();
        for line in in_pieces(&cells, style.columns().saturating_sub(deeper)) {
            say(text, (deeper, deeper), None, &Sentence::from(line), style);
        }
        let bar = bar(table.bars.get(row).copied().flatten(), BARS.1);
        if !bar.is_empty() {
            text.push_str(&format!("{}{bar}\n", " ".repeat(deeper)));
        }
    }
}

/// As many pieces in a line as have room, so that none is broken.
fn in_pieces(pieces: &[String], width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces {
        match lines.last_mut() {
            Some(line) if columns(line) + columns(piece) + 2 <= width => line.push_str(&format!(", {piece}")),
            _ => lines.push(piece.clone()),
        }
    }
    lines
}

/// The first columns beside each other, what has no room there on lines of its own.
fn below(text: &mut String, table: &Table, style: Style) {
    let all = strips(table);
    let some = |count: usize| fitted(all.get(..count).unwrap_or(&all).to_vec(), table, style);
    let beside = (2..all.len()).rev().find_map(some);
    let fitted = beside.unwrap_or_else(|| Fitted {
        strips: all.iter().take(1).cloned().collect(),
        gap: GAP,
        bar: 0,
    });
    let under = all.get(fitted.strips.len()..).unwrap_or_default();
    let left = match fitted.strips.as_slice() {
        [first, _, ..] => STEP * table.level + first.width + GAP,
        _ => STEP * (table.level + 1),
    };
    let cell = |strip: &Strip, row: usize| strip.cells.get(row).cloned().unwrap_or_default();
    let cells = |row: usize| -> Vec<String> {
        let beside = fitted.strips.iter();
        beside.map(|strip| strip.broken(&cell(strip, row))).collect()
    };
    // one or two beside the name tell themselves what they are
    let headed = table.is_headed() && fitted.strips.len() > 3;
    let headings = headed.then(|| fitted.strips.iter().map(|strip| strip.broken(&strip.heading)).collect());
    let rows: Vec<Vec<String>> = headings.into_iter().chain((0..table.rows()).map(cells)).collect();
    let heights: Vec<usize> = rows.iter().map(|cells| height(cells)).collect();
    let mut lines = aligned(rows, &fitted, table.level).into_iter();
    for (place, height) in heights.into_iter().enumerate() {
        let row = place.checked_sub(usize::from(headed));
        let tone = row.is_none().then_some(Tone::Strong);
        lines
            .by_ref()
            .take(height)
            .for_each(|line| text.push_str(&format!("{}\n", painted(&line, tone, style))));
        let Some(row) = row else { continue };
        for line in under
            .iter()
            .flat_map(|strip| broken(&cell(strip, row), style.columns().saturating_sub(left)))
        {
            if !line.is_empty() {
                text.push_str(&format!("{}{line}\n", " ".repeat(left)));
            }
        }
    }
}

/// The lines of the highest cell.
fn height(cells: &[String]) -> usize {
    let heights = cells.iter().map(|cell| cell.lines().count());
    heights.max().unwrap_or(0).max(1)
}

/// A share as a bar; what is there at all shows at least a dot.
fn bar(share: Option<f64>, length: usize) -> String {
    let share = share.unwrap_or(0.0).clamp(0.0, 1.0);
    match (share * length as f64).round() as usize {
        0 if share > 0.0 => ".".to_owned(),
        marks => "#".repeat(marks),
    }
}
