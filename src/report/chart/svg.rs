//! A chart as SVG, to stand in a page or by itself.
//!
//! Written here rather than by a plotting library: the page's own text colour,
//! a description for those who hear it, bands, dashes and the same bytes every
//! time are most of the work, and a library has none of them. It names no font
//! and runs no script; colours are custom properties with fallbacks that can be
//! told from black and from white, and dashes and marks do without any. Text
//! from a worksheet is escaped. Start reading at [`write()`].

use super::super::style::Letters;
use super::super::visible::{columns, visible, wrapped};
use super::canvas::cut;
use super::{Bar, Body, Cells, Chart, Course, Limit, Plane, Point, Series, Trace};

/// The width of the drawing; on paper and on a telephone it fits the column.
const WIDTH: f64 = 440.0;
/// The height of a plane.
const HEIGHT: f64 = 220.0;
/// The space around everything.
const EDGE: f64 = 10.0;
/// The size of the text, and of the title.
const SIZE: f64 = 14.0;
const TITLE_SIZE: f64 = 16.0;
/// A column of text in sizes: wider than most letters are.
const ADVANCE: f64 = 0.64;
/// From one line of text to the next.
const LEADING: f64 = 18.0;
/// The space between two texts.
const APART: f64 = 8.0;
/// The height of a bar with the space below it.
const BAR: f64 = 26.0;
/// The most points of a line; more are drawn by their extremes.
const MOST_POINTS: usize = 600;
/// Points that stand closer get no mark of their own.
const MARK_EVERY: f64 = 12.0;
/// How many marks a line gets that has too many points.
const FEW_MARKS: usize = 6;
/// A band that is nowhere higher than this can't be seen beside a line, nor beside marks.
const LEAST_BAND: f64 = 3.0;
const LEAST_STROKE: f64 = 9.0;
/// The height of a shaded cell.
const CELL: f64 = 24.0;

/// Teal, ochre, plum and slate by turns; tests/colors.rs holds what tells them apart.
const COLOURS: [&str; 4] = [
    "var(--chart-1, #1f675c)",
    "var(--chart-2, #ae8c45)",
    "var(--chart-3, #a04fa3)",
    "var(--chart-4, #8b94a2)",
];
const DASHES: [&str; 4] = ["none", "8 4", "2 4", "10 3 2 3"];
const LIMIT: &str = "var(--chart-limit, #c8402f)";

/// The chart as one `svg` element, by a name that other charts don't have.
pub fn write(chart: &Chart) -> String {
    let page = drawn(chart);
    let name = name(chart, &page.text);
    page.into_svg(chart, &name)
}

/// The chart as one `svg` element by a name of the page that it stands in.
pub(crate) fn write_named(chart: &Chart, name: &str) -> String {
    drawn(chart).into_svg(chart, &escaped(name))
}

fn drawn(chart: &Chart) -> Page {
    let mut page = Page::default();
    page.heading(&chart.title);
    match &chart.body {
        Body::Plane(plane) => Drawing::new(plane, page.y).write(&mut page),
        Body::Bars(bars) => page.bars(bars),
        Body::Cells(cells) => page.cells(cells),
        Body::Nothing(_) => page.paragraph(&chart.told),
    }
    page
}

/// Text that stays text.
fn escaped(text: &str) -> String {
    let mut shown = String::with_capacity(text.len() + 8);
    for letter in visible(text).chars() {
        match letter {
            '&' => shown.push_str("&amp;"),
            '<' => shown.push_str("&lt;"),
            '>' => shown.push_str("&gt;"),
            '"' => shown.push_str("&quot;"),
            '\'' => shown.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => shown.push('\u{fffd}'),
            _ => shown.push(letter),
        }
    }
    shown
}

/// A length to a tenth, without a zero behind the point.
fn at(length: f64) -> String {
    let tenths = (length * 10.0).round() / 10.0;
    // so that there is no -0
    let tenths = if tenths == 0.0 { 0.0 } else { tenths };
    format!("{tenths}")
}

/// How wide a text is, about.
fn wide(text: &str, size: f64) -> f64 {
    columns(text) as f64 * size * ADVANCE
}

/// How many columns have room in a width.
fn room(width: f64, size: f64) -> usize {
    (width / (size * ADVANCE)).floor().max(1.0) as usize
}

/// Where a text stands to its place.
#[derive(Clone, Copy)]
enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// What has been written, and how far down it goes.
struct Page {
    text: String,
    y: f64,
}

impl Default for Page {
    fn default() -> Page {
        Page {
            text: String::new(),
            y: EDGE,
        }
    }
}

impl Page {
    fn push(&mut self, element: &str) {
        self.text.push_str("  ");
        self.text.push_str(element);
        self.text.push('\n');
    }

    fn heading(&mut self, title: &str) {
        for line in wrapped(&visible(title), room(WIDTH - 2.0 * EDGE, TITLE_SIZE)) {
            self.y += 20.0;
            let (x, y) = (at(EDGE), at(self.y - 5.0));
            let line = escaped(&line);
            self.push(&format!(
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{TITLE_SIZE}\" font-weight=\"600\">{line}</text>"
            ));
        }
    }

    fn paragraph(&mut self, said: &str) {
        for line in wrapped(&visible(said), room(WIDTH - 2.0 * EDGE, SIZE)) {
            self.y += LEADING;
            let y = self.y - 4.0;
            self.written((EDGE, y), Anchor::Start, &line);
        }
    }

    fn written(&mut self, (x, y): (f64, f64), anchor: Anchor, text: &str) {
        let (x, y, anchor) = (at(x), at(y), anchor.word());
        let text = escaped(text);
        self.push(&format!(
            "<text x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\">{text}</text>"
        ));
    }

    fn rule(&mut self, from: (f64, f64), to: (f64, f64), look: &str) {
        let [x1, y1, x2, y2] = [from.0, from.1, to.0, to.1].map(at);
        self.push(&format!(
            "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" {look}/>"
        ));
    }

    fn bars(&mut self, bars: &[Bar]) {
        let widest = |text: fn(&Bar) -> &str, part: f64| {
            let widths = bars.iter().map(|bar| wide(&visible(text(bar)), SIZE));
            widths.fold(0.0, f64::max).min(WIDTH * part)
        };
        let (labels, values) = (widest(|bar| &bar.label, 0.36), widest(|bar| &bar.shown, 0.3));
        let left = EDGE + labels + APART;
        let length = WIDTH - EDGE - values - APART - left;
        self.y += 6.0;
        let top = self.y;
        for bar in bars {
            self.bar(bar, (left, length), (labels, values));
            self.y += BAR;
        }
        let zero = bars.first().map_or(left, |bar| left + length * bar.zero);
        let bottom = self.y - 4.0;
        self.rule((zero, top), (zero, bottom), "stroke=\"currentColor\"");
    }

    fn bar(&mut self, bar: &Bar, (left, length): (f64, f64), (labels, values): (f64, f64)) {
        let base = self.y + BAR / 2.0 + 2.0;
        let text = |text: &str, width: f64| cut(&visible(text), room(width + 1.0, SIZE), Letters::Drawn);
        self.written((EDGE, base), Anchor::Start, &text(&bar.label, labels));
        let mut shown_at = left + length * bar.zero;
        if let Some(end) = bar.end {
            let (from, to) = (bar.zero.min(end), bar.zero.max(end));
            let [x, y, width] = [left + length * from, self.y, length * (to - from)].map(at);
            let colour = COLOURS[0];
            self.push(&format!(
                "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"18\" style=\"fill:{colour}\"/>"
            ));
            shown_at = left + length * to;
        }
        self.written((shown_at + APART, base), Anchor::Start, &text(&bar.shown, values));
    }

    /// Shaded cells, the values upward at the left of their rows.
    fn cells(&mut self, cells: &Cells) {
        let widest = |texts: &[String]| texts.iter().map(|text| wide(text, SIZE)).fold(0.0, f64::max);
        let left = EDGE + widest(&cells.up.1) + APART;
        let step = (WIDTH - EDGE - left) / cells.across.1.len().max(1) as f64;
        let label = |text: &str| cut(&visible(text), room(WIDTH - 2.0 * EDGE, SIZE), Letters::Drawn);
        self.y += LEADING;
        let y = self.y - 4.0;
        self.written((EDGE, y), Anchor::Start, &label(&cells.up.0));
        for (named, row) in cells.up.1.iter().zip(&cells.rows).rev() {
            let base = self.y + CELL / 2.0 + 5.0;
            self.written((left - APART, base), Anchor::End, named);
            for (place, (shade, shown)) in row.iter().enumerate() {
                let x = left + step * place as f64;
                let [from, top, width, height] = [x, self.y, step - 1.0, CELL - 1.0].map(at);
                let look = match shade {
                    Some(shade) => format!("fill:{};fill-opacity:{}", COLOURS[0], at(0.1 + 0.5 * shade)),
                    None => "fill:none;stroke:currentColor;stroke-opacity:0.3".to_owned(),
                };
                self.push(&format!(
                    "<rect x=\"{from}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" style=\"{look}\"/>"
                ));
                if wide(shown, SIZE) + 2.0 <= step {
                    self.written((x + step / 2.0, base), Anchor::Middle, shown);
                }
            }
            self.y += CELL;
        }
        let every = (widest(&cells.across.1) + APART) / step;
        let every = every.ceil().max(1.0) as usize;
        self.y += LEADING;
        let y = self.y - 4.0;
        for (place, named) in cells.across.1.iter().enumerate().step_by(every) {
            let half = wide(named, SIZE) / 2.0;
            let x = (left + step * (place as f64 + 0.5)).min(WIDTH - half - 1.0);
            self.written((x, y), Anchor::Middle, named);
        }
        self.y += LEADING;
        let y = self.y - 4.0;
        self.written((left, y), Anchor::Start, &label(&cells.across.0));
    }

    fn into_svg(self, chart: &Chart, name: &str) -> String {
        let (title, told) = (escaped(&chart.title), escaped(&chart.told));
        let (width, height) = (at(WIDTH), at((self.y + EDGE).ceil()));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
             height=\"{height}\" role=\"img\" aria-labelledby=\"{name}-title {name}-told\" \
             style=\"max-width:100%;height:auto\" font-family=\"system-ui, sans-serif\" font-size=\"{SIZE}\" \
             fill=\"currentColor\">\n  <title id=\"{name}-title\">{title}</title>\n  \
             <desc id=\"{name}-told\">{told}</desc>\n{}</svg>\n",
            self.text
        )
    }
}

/// A name that other charts of a page don't have: the sum of what it shows (FNV-1a).
fn name(chart: &Chart, drawn: &str) -> String {
    let parts = [&chart.title, &chart.told, drawn];
    let bytes = parts.iter().flat_map(|part| part.bytes());
    let sum = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("chart-{sum:016x}")
}

// ---- planes ----

/// A stretch of the drawing that something stands on.
#[derive(Clone, Copy)]
struct Patch {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Patch {
    fn meets(&self, other: &Patch) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }
}

/// What a line of the key stands for.
enum Sign {
    Series(usize),
    Readings(usize),
    Fitted,
    Limit,
    Band,
    Stroke,
}

struct Drawing<'a> {
    plane: &'a Plane,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    /// What is taken: lines, columns, texts.
    taken: Vec<Patch>,
    key: Vec<(Sign, String)>,
}

impl Drawing<'_> {
    fn new(plane: &Plane, y: f64) -> Drawing<'_> {
        let texts = plane.up.ticks.iter().map(|tick| wide(&tick.text, SIZE));
        let top = y + LEADING + APART + 4.0;
        Drawing {
            plane,
            left: EDGE + texts.fold(0.0, f64::max) + APART,
            right: WIDTH - EDGE - 4.0,
            top,
            bottom: top + HEIGHT,
            taken: Vec::new(),
            key: Vec::new(),
        }
    }

    fn x(&self, across: f64) -> f64 {
        self.left + (self.right - self.left) * across
    }

    fn y(&self, up: f64) -> f64 {
        self.bottom - (self.bottom - self.top) * up
    }

    fn write(mut self, page: &mut Page) {
        self.side(page);
        self.floor(page);
        self.bins(page);
        let plane = self.plane;
        for (place, series) in plane.series.iter().enumerate() {
            self.band(page, place, series);
        }
        for (place, series) in plane.series.iter().enumerate() {
            self.series(page, place, series);
            match series.trace {
                Trace::Fitted => self.key.push((Sign::Fitted, series.label.clone())),
                Trace::Readings => self.key.push((Sign::Readings(place), series.label.clone())),
                Trace::Values if plane.series.len() > 1 => self.key.push((Sign::Series(place), series.label.clone())),
                Trace::Values => {}
            }
        }
        self.limits(page);
        if self.shows_band() {
            let joined = plane
                .series
                .iter()
                .any(|series| series.joined && series.trace != Trace::Fitted);
            let sign = if joined { Sign::Band } else { Sign::Stroke };
            self.key.push((sign, "how far it may be off, ±".to_owned()));
        }
        page.y = self.bottom + 2.0 * LEADING + 6.0;
        for (sign, text) in &self.key {
            key_line(page, sign, text);
        }
    }

    // ---- axes ----

    fn side(&self, page: &mut Page) {
        let label = cut(
            &visible(&self.plane.up.label),
            room(WIDTH - 2.0 * EDGE, SIZE),
            Letters::Drawn,
        );
        page.written((EDGE, self.top - APART - 8.0), Anchor::Start, &label);
        for tick in &self.plane.up.ticks {
            let y = self.y(tick.at);
            let look = "stroke=\"currentColor\" stroke-opacity=\"0.18\"";
            page.rule((self.left, y), (self.right, y), look);
            page.written((self.left - APART, y + 4.5), Anchor::End, &tick.text);
        }
    }

    fn floor(&self, page: &mut Page) {
        let look = "stroke=\"currentColor\"";
        page.rule((self.left, self.bottom), (self.right, self.bottom), look);
        for tick in &self.plane.across.ticks {
            let x = self.x(tick.at);
            page.rule((x, self.bottom), (x, self.bottom + 5.0), look);
        }
        for (x, text) in self.floor_texts() {
            page.written((x, self.bottom + LEADING), Anchor::Middle, text);
        }
        let label = cut(
            &visible(&self.plane.across.label),
            room(WIDTH - 2.0 * EDGE, SIZE),
            Letters::Drawn,
        );
        let middle = (self.left + self.right) / 2.0;
        let half = wide(&label, SIZE) / 2.0;
        let middle = middle.min(WIDTH - EDGE - half).max(EDGE + half);
        page.written((middle, self.bottom + 2.0 * LEADING), Anchor::Middle, &label);
    }

    /// The texts below the axis: all, or every second, third, … so that they keep apart.
    fn floor_texts(&self) -> Vec<(f64, &str)> {
        let ticks = &self.plane.across.ticks;
        let place = |at: f64, text: &str| {
            let half = wide(text, SIZE) / 2.0;
            self.x(at).min(WIDTH - half - 1.0).max(half + 1.0)
        };
        let all: Vec<(f64, &str)> = ticks
            .iter()
            .map(|tick| (place(tick.at, &tick.text), tick.text.as_str()))
            .collect();
        let apart = |one: &(f64, &str), other: &(f64, &str)| {
            (wide(one.1, SIZE) + wide(other.1, SIZE)) / 2.0 + APART <= other.0 - one.0
        };
        for step in 1..=all.len() {
            let kept: Vec<(f64, &str)> = all.iter().step_by(step).copied().collect();
            if kept
                .windows(2)
                .all(|pair| matches!(pair, [one, other] if apart(one, other)))
            {
                return kept;
            }
        }
        Vec::new()
    }

    // ---- what is drawn ----

    fn bins(&mut self, page: &mut Page) {
        let colour = COLOURS[0];
        for bin in &self.plane.bins {
            let (left, right, top) = (self.x(bin.from), self.x(bin.to), self.y(bin.height));
            let gap = if right - left > 3.0 { 1.0 } else { 0.0 };
            let [x, y, width, height] = [left, top, right - left - gap, self.bottom - top].map(at);
            page.push(&format!(
                "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" style=\"fill:{colour};fill-opacity:0.75\"/>"
            ));
            self.taken.push(Patch {
                left,
                top,
                right,
                bottom: self.bottom,
            });
        }
    }

    fn place(&self, point: &Point) -> Option<(f64, f64)> {
        Some((self.x(point.across), self.y(point.up?)))
    }

    fn series(&mut self, page: &mut Page, place: usize, series: &Series) {
        let fitted = series.trace == Trace::Fitted;
        let colour = if fitted { "currentColor" } else { turn(&COLOURS, place) };
        if series.joined {
            let dashes = if fitted { "none" } else { turn(&DASHES, place) };
            let thick = if fitted { 1.5 } else { 2.0 };
            for stretch in stretches(series) {
                let places: Vec<(f64, f64)> = stretch.iter().filter_map(|point| self.place(point)).collect();
                self.taken.extend(along(&places));
                let path = path(&thinned(&places));
                page.push(&format!(
                    "<path d=\"{path}\" fill=\"none\" stroke-width=\"{thick}\" stroke-linejoin=\"round\" \
                     stroke-dasharray=\"{dashes}\" style=\"stroke:{colour}\"/>"
                ));
            }
        }
        for (x, y) in self.marked(series) {
            page.push(&mark(place, (x, y), colour));
            self.taken.push(around((x, y), 5.0));
        }
    }

    /// The points that get a mark: all where they have room, a few of those of a dense
    /// line among others.
    fn marked(&self, series: &Series) -> Vec<(f64, f64)> {
        if series.trace == Trace::Fitted {
            return Vec::new();
        }
        let points: Vec<(f64, f64)> = series.points.iter().filter_map(|point| self.place(point)).collect();
        let crowded = series.joined && points.len() as f64 * MARK_EVERY > self.right - self.left;
        if !crowded {
            return points;
        }
        if self.plane.series.len() == 1 {
            return Vec::new();
        }
        let step = points.len().div_ceil(FEW_MARKS).max(1);
        points.into_iter().skip(step / 2).step_by(step).collect()
    }

    /// Where the values may lie: a light stretch along a line, a stroke through a point.
    fn band(&mut self, page: &mut Page, place: usize, series: &Series) {
        let colour = turn(&COLOURS, place);
        for stretch in stretches(series).filter(|stretch| stretch.iter().any(|point| point.band.is_some())) {
            let ends: Vec<(f64, f64, f64)> = stretch.iter().filter_map(|point| self.ends(point)).collect();
            if !series.joined || ends.len() == 1 {
                let look = format!("stroke-width=\"1.5\" style=\"stroke:{colour}\"");
                for (x, low, high) in ends {
                    page.rule((x, low), (x, high), &look);
                    for end in [low, high].into_iter().filter(|_| low - high > LEAST_STROKE) {
                        page.rule((x - 4.0, end), (x + 4.0, end), &look);
                    }
                }
                continue;
            }
            let upper: Vec<(f64, f64)> = ends.iter().map(|(x, _, high)| (*x, *high)).collect();
            let lower: Vec<(f64, f64)> = ends.iter().rev().map(|(x, low, _)| (*x, *low)).collect();
            let around: Vec<(f64, f64)> = thinned(&upper).into_iter().chain(thinned(&lower)).collect();
            let path = path(&around);
            page.push(&format!(
                "<path d=\"{path}Z\" style=\"fill:{colour};fill-opacity:0.3;stroke:{colour};stroke-opacity:0.5\"/>"
            ));
        }
    }

    /// A point's place along, and from where to where it may lie.
    fn ends(&self, point: &Point) -> Option<(f64, f64, f64)> {
        let up = point.up?;
        let (low, high) = point.band.unwrap_or((up, up));
        Some((self.x(point.across), self.y(low), self.y(high)))
    }

    fn shows_band(&self) -> bool {
        self.plane.series.iter().any(|series| {
            let least = if self.marked(series).is_empty() {
                LEAST_BAND
            } else {
                LEAST_STROKE
            };
            let ends = series.points.iter().filter_map(|point| self.ends(point));
            ends.map(|(_, low, high)| low - high).fold(0.0, f64::max) > least
        })
    }

    // ---- limits ----

    fn limits(&mut self, page: &mut Page) {
        let plane = self.plane;
        for limit in &plane.limits {
            let (from, to) = match limit.course {
                Course::Level => ((self.left, self.y(limit.at)), (self.right, self.y(limit.at))),
                Course::Upright => ((self.x(limit.at), self.top), (self.x(limit.at), self.bottom)),
            };
            page.rule(from, to, &limit_look());
            self.taken.push(Patch {
                left: from.0 - 1.0,
                top: from.1.min(to.1) - 1.0,
                right: to.0 + 1.0,
                bottom: from.1.max(to.1) + 1.0,
            });
        }
        for limit in &plane.limits {
            self.name_limit(page, limit);
        }
    }

    /// The text of a limit beside it, where nothing else stands, or else in the key.
    fn name_limit(&mut self, page: &mut Page, limit: &Limit) {
        let text = visible(&limit.text).into_owned();
        let width = wide(&text, SIZE);
        let places = match limit.course {
            Course::Level => self.beside_level(self.y(limit.at), width),
            Course::Upright => self.beside_upright(self.x(limit.at), width),
        };
        let inside = |place: &Patch| {
            place.left >= self.left
                && place.right <= self.right
                && place.top >= self.top - 2.0
                && place.bottom <= self.bottom
        };
        let free = places
            .into_iter()
            .find(|place| inside(place) && !self.taken.iter().any(|taken| taken.meets(place)));
        match free {
            Some(place) => {
                page.written((place.left + 2.0, place.bottom - 4.0), Anchor::Start, &text);
                self.taken.push(place);
            }
            None => self.key.push((Sign::Limit, text)),
        }
    }

    /// Above a level line and below it, from right to left.
    fn beside_level(&self, y: f64, width: f64) -> Vec<Patch> {
        let steps = ((self.right - self.left - width) / APART).floor().max(0.0) as usize;
        let row = |top: f64| {
            (0..=steps).map(move |step| {
                let right = self.right - step as f64 * APART;
                Patch {
                    left: right - width - 4.0,
                    top,
                    right,
                    bottom: top + 16.0,
                }
            })
        };
        row(y - 17.5).chain(row(y + 1.5)).collect()
    }

    /// Right of an upright line and left of it, from the top down.
    fn beside_upright(&self, x: f64, width: f64) -> Vec<Patch> {
        let rows = (HEIGHT / 17.0).floor() as usize;
        let row = |row: usize| {
            let top = self.top + row as f64 * 17.0;
            [x + 3.0, x - width - 7.0].map(|left| Patch {
                left,
                top,
                right: left + width + 4.0,
                bottom: top + 16.0,
            })
        };
        (0..rows).flat_map(row).collect()
    }
}

/// The stretches of a series between its gaps.
fn stretches(series: &Series) -> impl Iterator<Item = &[Point]> {
    let stretches = series.points.split(|point| point.up.is_none());
    stretches.filter(|stretch| !stretch.is_empty())
}

fn limit_look() -> String {
    format!("stroke-width=\"1.5\" stroke-dasharray=\"6 4\" style=\"stroke:{LIMIT}\"")
}

fn turn<'a>(all: &[&'a str; 4], place: usize) -> &'a str {
    all.get(place % all.len()).copied().unwrap_or("none")
}

fn around((x, y): (f64, f64), by: f64) -> Patch {
    Patch {
        left: x - by,
        top: y - by,
        right: x + by,
        bottom: y + by,
    }
}

/// Patches along a line, close enough that no text slips between.
fn along(places: &[(f64, f64)]) -> Vec<Patch> {
    let mut found: Vec<Patch> = places.iter().take(1).map(|place| around(*place, 2.0)).collect();
    for pair in places.windows(2) {
        let [one, other] = pair else { continue };
        let length = (other.0 - one.0).abs().max((other.1 - one.1).abs());
        let steps = (length / 4.0).ceil().max(1.0) as usize;
        found.extend((1..=steps).map(|step| {
            let part = step as f64 / steps as f64;
            around(
                (one.0 + (other.0 - one.0) * part, one.1 + (other.1 - one.1) * part),
                2.0,
            )
        }));
    }
    found
}

fn path(places: &[(f64, f64)]) -> String {
    let mut path = String::new();
    for (index, (x, y)) in places.iter().enumerate() {
        let step = if index == 0 { 'M' } else { 'L' };
        path.push_str(&format!("{step}{} {}", at(*x), at(*y)));
    }
    path
}

/// Of very many places, for each half unit along, the highest and the lowest.
fn thinned(places: &[(f64, f64)]) -> Vec<(f64, f64)> {
    if places.len() <= MOST_POINTS {
        return places.to_vec();
    }
    let slot = |place: &(f64, f64)| (place.0 * 2.0).floor();
    let mut kept = Vec::new();
    for piece in places.chunk_by(|one, other| slot(one) == slot(other)) {
        let places = piece.iter().enumerate();
        let high = places.clone().min_by(|one, other| one.1.1.total_cmp(&other.1.1));
        let low = places.max_by(|one, other| one.1.1.total_cmp(&other.1.1));
        let mut ends: Vec<(usize, (f64, f64))> = high.into_iter().chain(low).map(|(at, place)| (at, *place)).collect();
        ends.push((0, piece.first().copied().unwrap_or_default()));
        ends.push((piece.len() - 1, piece.last().copied().unwrap_or_default()));
        ends.sort_by_key(|(at, _)| *at);
        ends.dedup_by_key(|(at, _)| *at);
        kept.extend(ends.into_iter().map(|(_, place)| place));
    }
    kept
}

/// A mark whose shape tells the series without its colour.
fn mark(place: usize, (x, y): (f64, f64), colour: &str) -> String {
    let look = format!("style=\"fill:{colour}\"");
    let moved = |corners: &[(f64, f64)]| {
        let places: Vec<(f64, f64)> = corners.iter().map(|(across, down)| (x + across, y + down)).collect();
        format!("<path d=\"{}Z\" {look}/>", path(&places))
    };
    match place % 4 {
        0 => format!("<circle cx=\"{}\" cy=\"{}\" r=\"3.5\" {look}/>", at(x), at(y)),
        1 => moved(&[(-3.5, -3.5), (3.5, -3.5), (3.5, 3.5), (-3.5, 3.5)]),
        2 => moved(&[(0.0, -4.5), (4.5, 3.5), (-4.5, 3.5)]),
        _ => moved(&[(0.0, -5.0), (5.0, 0.0), (0.0, 5.0), (-5.0, 0.0)]),
    }
}

/// A line of the key: a sign and what it stands for.
fn key_line(page: &mut Page, sign: &Sign, text: &str) {
    let (from, to) = (EDGE, EDGE + 30.0);
    for (index, line) in wrapped(&visible(text), room(WIDTH - 2.0 * EDGE - 38.0, SIZE))
        .iter()
        .enumerate()
    {
        page.y += LEADING;
        let y = page.y - 8.0;
        match sign {
            _ if index > 0 => {}
            Sign::Series(place) => {
                let (colour, dashes) = (turn(&COLOURS, *place), turn(&DASHES, *place));
                let look = format!("stroke-width=\"2\" stroke-dasharray=\"{dashes}\" style=\"stroke:{colour}\"");
                page.rule((from, y), (to, y), &look);
                page.push(&mark(*place, ((from + to) / 2.0, y), colour));
            }
            Sign::Readings(place) => page.push(&mark(*place, ((from + to) / 2.0, y), turn(&COLOURS, *place))),
            Sign::Fitted => page.rule((from, y), (to, y), "stroke-width=\"1.5\" stroke=\"currentColor\""),
            Sign::Limit => page.rule((from, y), (to, y), &limit_look()),
            Sign::Stroke => {
                let (x, look) = (
                    (from + to) / 2.0,
                    format!("stroke-width=\"1.5\" style=\"stroke:{}\"", COLOURS[0]),
                );
                page.rule((x, y - 7.0), (x, y + 7.0), &look);
            }
            Sign::Band => {
                let (colour, x, y) = (COLOURS[0], at(from), at(y - 6.0));
                page.push(&format!(
                    "<rect x=\"{x}\" y=\"{y}\" width=\"30\" height=\"12\" style=\"fill:{colour};fill-opacity:0.3\"/>"
                ));
            }
        }
        page.written((to + APART, y + 4.5), Anchor::Start, line);
    }
}
