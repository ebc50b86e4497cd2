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
use super::{Bar, Body, Cells, Chart};

mod plane;

use plane::Drawing;

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

/// The chart as one `svg` element, by a name that no other of its page has.
pub fn write(chart: &Chart, name: &str) -> String {
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
