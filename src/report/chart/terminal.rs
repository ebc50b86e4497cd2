//! A chart drawn with letters, for a terminal of any width.
//!
//! Lines in dots, blocks for columns and bars, limits dashed and named beside
//! the line where there is room, in the key below where there is none. With
//! plain letters everything the chart itself draws is from a typewriter.
//! Nothing is ever wider than the style says. Start reading at [`write()`].

use super::super::style::{Letters, Style, Tone};
use super::super::visible::{columns, visible, wrapped};
use super::canvas::{Canvas, Layer, cut};
use super::{Axis, Bar, Body, Cells, Chart, Course, Limit, Plane, Point, Series, Trace};

/// The columns between the margin and the drawing.
const INDENT: usize = 2;
/// The least and the most columns of a plane.
const WIDTHS: (usize, usize) = (4, 100);
/// The least and the most rows of a plane.
const HEIGHTS: (usize, usize) = (8, 14);
/// So many columns to a row, about.
const SHAPE: usize = 5;
/// Points that stand closer than this get no mark of their own.
const MARK_EVERY: usize = 4;
/// How many marks a line gets that has too many points.
const FEW_MARKS: usize = 6;
/// A band that is nowhere higher than so many rows is left out.
const LEAST_BAND: usize = 2;
/// The columns between two texts below the axis.
const GAP: usize = 2;

/// The letters that the parts of a chart are drawn with.
struct Alphabet {
    side: char,
    side_tick: char,
    corner: char,
    floor: char,
    floor_tick: char,
    level: char,
    upright: char,
    band: char,
    fitted: &'static str,
    shades: [char; 5],
    marks: [char; 5],
    /// Parts of a cell filled from below, an eighth after another.
    rising: &'static [char],
    /// Parts of a cell filled from the left.
    growing: &'static [char],
    full: char,
}

const DRAWN: Alphabet = Alphabet {
    side: '│',
    side_tick: '┤',
    corner: '└',
    floor: '─',
    floor_tick: '┬',
    level: '╌',
    upright: '╎',
    band: '░',
    fitted: "⠤⠤",
    shades: [' ', '░', '▒', '▓', '█'],
    marks: ['●', '○', '▲', '△', '■'],
    rising: &['▁', '▂', '▃', '▄', '▅', '▆', '▇'],
    growing: &['▏', '▎', '▍', '▌', '▋', '▊', '▉'],
    full: '█',
};

const PLAIN: Alphabet = Alphabet {
    side: '|',
    side_tick: '+',
    corner: '+',
    floor: '-',
    floor_tick: '+',
    level: '-',
    upright: ':',
    band: '~',
    fitted: "..",
    shades: [' ', '.', '-', '+', '#'],
    marks: ['*', 'o', 'x', '#', '%'],
    rising: &['.'],
    growing: &[],
    full: '#',
};

fn alphabet(style: Style) -> &'static Alphabet {
    match style.letters {
        Letters::Drawn => &DRAWN,
        Letters::Plain => &PLAIN,
    }
}

/// The chart with its title.
pub fn write(chart: &Chart, style: Style) -> String {
    let mut text = String::new();
    say(&mut text, Some(Tone::Strong), &chart.title, style);
    match &chart.body {
        Body::Plane(plane) => Drawing::new(plane, style).write(&mut text),
        Body::Bars(bars) => write_bars(&mut text, bars, style),
        Body::Cells(cells) => write_cells(&mut text, cells, style),
        Body::Nothing(_) => say(&mut text, Some(Tone::Faint), &chart.told, style),
    }
    text
}

fn say(text: &mut String, tone: Option<Tone>, said: &str, style: Style) {
    for line in wrapped(&visible(said), style.columns().saturating_sub(INDENT)) {
        let line = tone.map_or(line.clone(), |tone| style.paint(tone, &line));
        text.push_str(&format!("{}{line}\n", " ".repeat(INDENT)));
    }
}

// ---- planes ----

struct Drawing<'a> {
    plane: &'a Plane,
    style: Style,
    alphabet: &'static Alphabet,
    /// The columns left of the axis.
    margin: usize,
    canvas: Canvas,
    key: Vec<String>,
}

impl Drawing<'_> {
    fn new(plane: &Plane, style: Style) -> Drawing<'_> {
        let texts = plane.up.ticks.iter().map(|tick| columns(&tick.text));
        let margin = INDENT + texts.max().unwrap_or(0);
        let room = style.columns().saturating_sub(margin + 2);
        let width = room.clamp(WIDTHS.0, WIDTHS.1);
        let height = (width / SHAPE).clamp(HEIGHTS.0, HEIGHTS.1);
        Drawing {
            plane,
            style,
            alphabet: alphabet(style),
            margin,
            canvas: Canvas::new(width, height, style.letters),
            key: Vec::new(),
        }
    }

    fn write(mut self, text: &mut String) {
        self.bins();
        for (place, series) in self.plane.series.iter().enumerate() {
            self.series(place, series);
        }
        self.limits();
        self.bands();
        self.name_series();
        say(text, Some(Tone::Faint), &self.plane.up.label, self.style);
        self.rows(text);
        self.floor(text);
        for line in std::mem::take(&mut self.key) {
            say(text, Some(Tone::Faint), &line, self.style);
        }
    }

    // ---- what is drawn ----

    fn series(&mut self, place: usize, series: &Series) {
        let up = |point: &Point| Some((point.across, point.up?));
        if series.joined {
            for pair in series.points.windows(2) {
                if let [Some(from), Some(to)] = [pair.first().and_then(up), pair.last().and_then(up)] {
                    self.canvas.line(from, to);
                }
            }
        }
        if series.trace == Trace::Fitted {
            return;
        }
        let points: Vec<(f64, f64)> = series.points.iter().filter_map(up).collect();
        let crowded = series.joined && points.len() * MARK_EVERY > self.canvas.width;
        let alone = self.plane.series.len() == 1;
        let step = if crowded { points.len().div_ceil(FEW_MARKS) } else { 1 };
        let mark = self.mark(place);
        for (index, (across, up)) in points.iter().enumerate() {
            let is_marked = !crowded || (!alone && index % step == step / 2);
            if is_marked {
                let (column, row) = (self.canvas.column(*across), self.canvas.row(*up));
                self.canvas.put(column, row, mark, Layer::Mark);
            }
        }
    }

    fn mark(&self, place: usize) -> char {
        let marks = &self.alphabet.marks;
        marks.get(place % marks.len()).copied().unwrap_or('*')
    }

    /// The light stretch in which the values may lie, where it can be seen beside the line.
    fn bands(&mut self) {
        let plane = self.plane;
        let columns = plane
            .series
            .iter()
            .flat_map(|series| band_columns(series, &self.canvas));
        let place = |(column, low, high)| (column, self.canvas.row(high), self.canvas.row(low));
        let stretches: Vec<(usize, usize, usize)> = columns.map(place).collect();
        if stretches.iter().all(|(_, top, bottom)| bottom - top < LEAST_BAND) {
            return;
        }
        for (column, top, bottom) in stretches {
            for row in top..=bottom {
                self.canvas.put(column, row, self.alphabet.band, Layer::Band);
            }
        }
        self.key
            .push(format!("{} how far it may be off, ±", self.alphabet.band));
    }

    fn bins(&mut self) {
        let plane = self.plane;
        let columns = self.canvas.width;
        for column in 0..columns {
            let middle = (column as f64 + 0.5) / columns as f64;
            let over = plane.bins.iter().find(|bin| bin.from <= middle && middle < bin.to);
            if let Some(bin) = over {
                self.column_of_blocks(column, bin.height);
            }
        }
    }

    /// A column filled to a part of its height, to an eighth of a row where there are letters.
    fn column_of_blocks(&mut self, column: usize, height: f64) {
        let parts = self.alphabet.rising.len() + 1;
        let filled = (height * (self.canvas.height * parts) as f64).round() as usize;
        let filled = if height > 0.0 { filled.max(1) } else { filled };
        for row in 0..self.canvas.height {
            let below = (self.canvas.height - 1 - row) * parts;
            let letter = match filled.saturating_sub(below) {
                0 => continue,
                part if part >= parts => Some(self.alphabet.full),
                part => self.alphabet.rising.get(part - 1).copied(),
            };
            self.canvas
                .put(column, row, letter.unwrap_or(self.alphabet.full), Layer::Block);
        }
    }

    fn limits(&mut self) {
        let plane = self.plane;
        for limit in &plane.limits {
            match limit.course {
                Course::Level => {
                    let row = self.canvas.row(limit.at);
                    for column in 0..self.canvas.width {
                        self.canvas.put(column, row, self.alphabet.level, Layer::Level);
                    }
                }
                Course::Upright => {
                    let column = self.canvas.column(limit.at);
                    for row in 0..self.canvas.height {
                        self.canvas.put(column, row, self.alphabet.upright, Layer::Upright);
                    }
                }
            }
        }
        for limit in &plane.limits {
            self.name_limit(limit);
        }
    }

    /// The text of a limit beside it, or in the key.
    fn name_limit(&mut self, limit: &Limit) {
        let text = visible(&limit.text).into_owned();
        let long = columns(&text) + 2;
        let place = match limit.course {
            Course::Level => self.beside_level(self.canvas.row(limit.at), long),
            Course::Upright => self.beside_upright(self.canvas.column(limit.at), long),
        };
        match place {
            Some((column, row)) => self.canvas.write(column, row, &format!(" {text} ")),
            None => {
                let letter = match limit.course {
                    Course::Level => self.alphabet.level.to_string().repeat(2),
                    Course::Upright => self.alphabet.upright.to_string(),
                };
                self.key.push(format!("{letter} {text}"));
            }
        }
    }

    /// A free place in the row, or in the one above or below it, as far right as there is one.
    fn beside_level(&self, row: usize, long: usize) -> Option<(usize, usize)> {
        let last = self.canvas.width.checked_sub(long)?;
        let rows = [Some(row), row.checked_sub(1), Some(row + 1)];
        let mut places = rows
            .into_iter()
            .flatten()
            .flat_map(|row| (0..=last).rev().map(move |column| (column, row)));
        places.find(|(column, row)| *row < self.canvas.height && self.canvas.is_free(*column, *row, long))
    }

    /// A free place right of a column, or left of it, as far up as there is one.
    fn beside_upright(&self, column: usize, long: usize) -> Option<(usize, usize)> {
        let sides = [Some(column + 1), column.checked_sub(long)];
        let mut places = (0..self.canvas.height).flat_map(|row| sides.iter().flatten().map(move |side| (*side, row)));
        places.find(|(side, row)| self.canvas.is_free(*side, *row, long))
    }

    fn name_series(&mut self) {
        if self.plane.series.len() < 2 {
            return;
        }
        let named = self.plane.series.iter().enumerate();
        let named: Vec<String> = named
            .map(|(place, one)| match one.trace {
                Trace::Fitted => format!("{} {}", self.alphabet.fitted, one.label),
                _ => format!("{} {}", self.mark(place), one.label),
            })
            .collect();
        self.key.splice(0..0, named);
    }

    // ---- what is printed ----

    fn rows(&self, text: &mut String) {
        let ticks = self.side_ticks();
        for row in 0..self.canvas.height {
            let tick = ticks.iter().find(|(at, _)| *at == row);
            let label = tick.map_or("", |(_, label)| label);
            let pad = " ".repeat(self.margin - columns(label));
            let side = if tick.is_some() {
                self.alphabet.side_tick
            } else {
                self.alphabet.side
            };
            let drawn = self.canvas.printed(row, self.style);
            let axis = self.style.paint(Tone::Faint, &side.to_string());
            text.push_str(&format!("{pad}{label} {axis}{drawn}\n"));
        }
    }

    /// The ticks of the side by row, no two in neighbouring rows.
    fn side_ticks(&self) -> Vec<(usize, &str)> {
        let rows: Vec<(usize, &str)> = self
            .plane
            .up
            .ticks
            .iter()
            .map(|tick| (self.canvas.row(tick.at), tick.text.as_str()))
            .collect();
        thinned(&rows, |one, other| one.0.abs_diff(other.0) >= 2)
    }

    fn floor(&self, text: &mut String) {
        let mut floor: Vec<char> = vec![self.alphabet.floor; self.canvas.width];
        for tick in &self.plane.across.ticks {
            if let Some(place) = floor.get_mut(self.canvas.column(tick.at)) {
                *place = self.alphabet.floor_tick;
            }
        }
        let floor: String = std::iter::once(self.alphabet.corner).chain(floor).collect();
        let start = " ".repeat(self.margin + 1);
        text.push_str(&format!("{start}{}\n", self.style.paint(Tone::Faint, &floor)));
        text.push_str(&self.floor_texts());
        let label = cut(
            &visible(&self.plane.across.label),
            self.style.columns() - INDENT,
            self.style.letters,
        );
        let middle = self.margin + 2 + self.canvas.width / 2;
        let most = self.style.columns().saturating_sub(columns(&label));
        let pad = middle.saturating_sub(columns(&label) / 2).min(most);
        text.push_str(&format!(
            "{}{}\n",
            " ".repeat(pad),
            self.style.paint(Tone::Faint, &label)
        ));
    }

    /// The texts below the axis: all, or every second, third, … so that they keep apart.
    fn floor_texts(&self) -> String {
        let left = self.margin + 2;
        let placed: Vec<(usize, &str)> = placed_below(&self.plane.across, &self.canvas, left, self.style.columns());
        let apart = |one: &(usize, &str), other: &(usize, &str)| one.0 + columns(one.1) + GAP <= other.0;
        let mut line = String::new();
        for (start, label) in thinned(&placed, apart) {
            line.push_str(&" ".repeat(start.saturating_sub(columns(&line))));
            line.push_str(label);
        }
        format!("{line}\n")
    }
}

/// Where each text below the axis begins: under its tick, inside the width.
fn placed_below<'a>(axis: &'a Axis, canvas: &Canvas, left: usize, width: usize) -> Vec<(usize, &'a str)> {
    let place = |at: f64, text: &str| {
        let middle = left + canvas.column(at);
        let most = width.saturating_sub(columns(text));
        middle.saturating_sub(columns(text) / 2).min(most)
    };
    axis.ticks
        .iter()
        .map(|tick| (place(tick.at, &tick.text), tick.text.as_str()))
        .collect()
}

/// Every one, or every second, third, …, so that neighbours are apart.
fn thinned<T: Clone>(all: &[T], apart: impl Fn(&T, &T) -> bool) -> Vec<T> {
    for step in 1..=all.len() {
        let kept: Vec<T> = all.iter().step_by(step).cloned().collect();
        if kept
            .windows(2)
            .all(|pair| matches!(pair, [one, other] if apart(one, other)))
        {
            return kept;
        }
    }
    Vec::new()
}

/// Cells with their shade in front, or the shade alone where the values have no room.
fn write_cells(text: &mut String, cells: &Cells, style: Style) {
    let shades = &alphabet(style).shades;
    let shade = |part: &Option<f64>| {
        let place = part.map_or(0, |part| (part * 3.999) as usize + 1);
        shades.get(place).copied().unwrap_or(' ')
    };
    let widest = |texts: &mut dyn Iterator<Item = &String>| texts.map(|text| columns(text)).max().unwrap_or(0);
    let left = widest(&mut cells.up.1.iter());
    let shown = widest(
        &mut cells
            .rows
            .iter()
            .flatten()
            .map(|(_, shown)| shown)
            .chain(&cells.across.1),
    ) + 1;
    let room = style.columns().saturating_sub(INDENT + left);
    let narrow = (shown + GAP) * cells.across.1.len() > room;
    say(text, Some(Tone::Faint), &cells.up.0, style);
    for (named, row) in cells.up.1.iter().zip(&cells.rows).rev() {
        let mut line = format!("{}{}{named}", " ".repeat(INDENT), " ".repeat(left - columns(named)));
        for (part, told) in row {
            let shade = shade(part);
            match narrow {
                true => line.push_str(&format!(" {shade}")),
                false => line.push_str(&format!("{}{shade}{told}", " ".repeat(GAP + shown - 1 - columns(told)))),
            }
        }
        text.push_str(cut(line.trim_end(), style.columns(), style.letters).as_str());
        text.push('\n');
    }
    if !narrow {
        let mut line = " ".repeat(INDENT + left);
        for named in &cells.across.1 {
            line.push_str(&format!("{}{named}", " ".repeat(GAP + shown - columns(named))));
        }
        text.push_str(&format!("{}\n", line.trim_end()));
    }
    let ends = cells.across.1.first().zip(cells.across.1.last()).filter(|_| narrow);
    let ends = ends.map_or(String::new(), |(first, last)| format!(", {first} to {last}"));
    say(text, Some(Tone::Faint), &format!("{}{ends}", cells.across.0), style);
}

/// For each column of the canvas that a band covers, from where to where it goes.
fn band_columns(series: &Series, canvas: &Canvas) -> Vec<(usize, f64, f64)> {
    let band = |point: &Point| {
        let up = point.up?;
        Some(point.band.unwrap_or((up, up)))
    };
    let mut found = Vec::new();
    if !series.points.iter().any(|point| point.band.is_some()) {
        return found;
    }
    for point in &series.points {
        found.extend(band(point).map(|(low, high)| (canvas.column(point.across), low, high)));
    }
    for pair in series.points.windows(2).filter(|_| series.joined) {
        let [one, other] = pair else { continue };
        if let (Some(from), Some(to)) = (band(one), band(other)) {
            found.extend(between(canvas, (one.across, from), (other.across, to)));
        }
    }
    found
}

/// The columns strictly between two points, with the band there.
fn between(canvas: &Canvas, one: (f64, (f64, f64)), other: (f64, (f64, f64))) -> Vec<(usize, f64, f64)> {
    let (one, other) = if one.0 <= other.0 { (one, other) } else { (other, one) };
    let (from, to) = (canvas.column(one.0), canvas.column(other.0));
    let at = |column: usize| {
        let part = (column - from) as f64 / (to - from) as f64;
        let mixed = |low: f64, high: f64| low + (high - low) * part;
        (column, mixed(one.1.0, other.1.0), mixed(one.1.1, other.1.1))
    };
    (from + 1..to).map(at).collect()
}

// ---- bars ----

fn write_bars(text: &mut String, bars: &[Bar], style: Style) {
    let width = style.columns();
    let widest = |texts: &mut dyn Iterator<Item = usize>| texts.max().unwrap_or(0);
    let shown = widest(&mut bars.iter().map(|bar| columns(&visible(&bar.shown)))).min(width / 3);
    let label = widest(&mut bars.iter().map(|bar| columns(&visible(&bar.label)))).min(width / 3);
    let room = width
        .saturating_sub(INDENT + label + 2 + shown + 1)
        .clamp(WIDTHS.0, WIDTHS.1);
    for bar in bars {
        let name = cut(&visible(&bar.label), label, style.letters);
        let pad = " ".repeat(label - columns(&name));
        let value = cut(&visible(&bar.shown), shown, style.letters);
        let drawn = bar.end.map_or(String::new(), |end| blocks(bar.zero, end, room, style));
        let line = format!("{}{name}{pad}  {drawn} {value}", " ".repeat(INDENT));
        text.push_str(line.trim_end());
        text.push('\n');
    }
}

/// A bar in so many cells, from zero to its end.
fn blocks(zero: f64, end: f64, room: usize, style: Style) -> String {
    let letters = alphabet(style);
    let parts = letters.growing.len() + 1;
    let place = |part: f64| (part * (room * parts) as f64).round() as usize;
    let (from, to) = (place(zero.min(end)), place(zero.max(end)));
    if end < zero {
        let from = from / parts;
        let full = (to / parts).saturating_sub(from);
        return format!("{}{}", " ".repeat(from), letters.full.to_string().repeat(full));
    }
    let first = from.div_ceil(parts);
    let full = (to / parts).saturating_sub(first);
    let rest = (to % parts).checked_sub(1).and_then(|part| letters.growing.get(part));
    let rest = rest.map_or(String::new(), char::to_string);
    format!("{}{}{rest}", " ".repeat(first), letters.full.to_string().repeat(full))
}
