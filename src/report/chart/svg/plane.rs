//! A plane as SVG: axes, lines with their bands, limits and their names, the key.
//!
//! Texts keep off what is drawn already, as far as there is room. Start reading at
//! [`Drawing::write`].

use super::super::super::style::Letters;
use super::super::super::visible::{visible, wrapped};
use super::super::canvas::cut;
use super::super::{Course, Limit, Plane, Point, Series, Trace};
use super::{
    APART, Anchor, COLOURS, DASHES, EDGE, FEW_MARKS, HEIGHT, LEADING, LEAST_BAND, LEAST_STROKE, LIMIT, MARK_EVERY,
    MOST_POINTS, Page, SIZE, WIDTH, at, room, wide,
};

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

pub(super) struct Drawing<'a> {
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
    pub(super) fn new(plane: &Plane, y: f64) -> Drawing<'_> {
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

    pub(super) fn write(mut self, page: &mut Page) {
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
