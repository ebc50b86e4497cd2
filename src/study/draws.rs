//! Draws: an answer repeated with its inputs drawn (JCGM 101:2008).
//!
//! Pieces of draws run on as many threads as there are and come back in order,
//! so that the figures are the same on any number of them. A draw that meets a
//! problem is counted and left out. Start reading at [`draw`].

use rayon::iter::{IntoParallelIterator, ParallelIterator};
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::number::Number;
use crate::sheet::appraisal::{Appraisal, Cautioned};
use crate::sheet::gradient::Gradient;
use crate::sheet::lanes::worker::{Met, Worker};
use crate::sheet::lanes::{DrawnSource, Lanes, Spread};
use crate::sheet::names::CellId;
use crate::sheet::source::{SourceOf, UncertaintySource};
use crate::sheet::{Reading, Sheet};
use crate::time_limit::{self, Deadline};
use crate::trade::caution::BY_DRAWS;

use super::Watch;
use super::streams::{Streams, chunk_for};

/// What is asked of the draws.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Asked {
    /// How many.
    pub count: usize,
    /// Where the streams begin.
    pub seed: u64,
}

/// What draws found of one answer, in its unit.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Draws {
    /// How many were made: fewer than asked where they were stopped.
    pub count: usize,
    /// How many of them met a problem and were left out.
    pub left_out: usize,
    /// Where the streams began.
    pub seed: u64,
    /// How many of those were cut short by a limit, and no figures are of them.
    pub cut_short: usize,
    /// What 2.5 % of all are below, where those that were cut short are above the rest.
    pub least: Option<f64>,
    /// The first problem met.
    pub met: Option<Met>,
    /// What the values say; `None` where fewer than two are left.
    pub figures: Option<Figures>,
    /// The values inside the 95 % interval, rising, where they are few.
    pub few: Vec<f64>,
    /// The 95 % interval of the straight line that first-order propagation takes for the
    /// worksheet, from the same draws; `None` where there is no such line.
    pub straight: Option<(f64, f64)>,
}

/// Figures of drawn values.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Figures {
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: f64,
    /// The lower end of the 95 % interval: 2.5 % are below.
    pub low: f64,
    /// The upper end: 2.5 % are above.
    pub high: f64,
    /// A histogram: lower end, upper end, how many. The outer ones take in what lies beyond.
    pub bins: Vec<(f64, f64, usize)>,
}

/// The most left out, as a part of all: beyond it the figures are withheld.
pub(crate) const MOST_LEFT_OUT: f64 = 0.001;
/// Intervals that differ by more than this part of the straight one: the worksheet is curved.
pub(crate) const CURVED: f64 = 0.1;

impl Draws {
    /// Whether so many were left out that the figures would be of another worksheet.
    pub fn withheld(&self) -> bool {
        self.figures.is_none() || self.left_out as f64 > MOST_LEFT_OUT * self.count as f64
    }

    /// Whether the worksheet bends too much for a straight line: one end of the drawn interval
    /// is off that of the straight one by more than a tenth of half its width.
    pub fn curved(&self) -> bool {
        let (Some(figures), Some((low, high))) = (&self.figures, self.straight) else {
            return false;
        };
        let off = (figures.low - low).abs().max((figures.high - high).abs());
        // what doesn't move on the line moves by jumps, and doesn't bend
        !self.withheld() && high > low && off > CURVED * 0.5 * (high - low)
    }
}

/// What is drawn: a cell, or one row of a column.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Target {
    /// The cell.
    pub cell: CellId,
    /// The row, from 0.
    pub row: Option<u32>,
}

impl From<CellId> for Target {
    fn from(cell: CellId) -> Target {
        Target { cell, row: None }
    }
}

/// Draws an answer. Stops with what it has when `watch` says so.
pub fn draw(sheet: &Sheet, cell: CellId, asked: Asked, watch: &dyn Watch) -> Draws {
    let appraisal = sheet.appraise([cell]);
    let mut draws = draw_all(sheet, &appraisal, &[cell.into()], asked, watch);
    draws.pop().unwrap_or_default()
}

/// Draws several things of an appraisal together, each draw for all of them.
pub(crate) fn draw_all(
    sheet: &Sheet,
    appraisal: &Appraisal,
    targets: &[Target],
    asked: Asked,
    watch: &dyn Watch,
) -> Vec<Draws> {
    let mut cells: Vec<CellId> = targets.iter().map(|target| target.cell).collect();
    cells.dedup();
    let plan = sheet.lanes(&cells);
    let drawn = Places::of(&plan);
    let lines = targets
        .iter()
        .map(|target| Straight::of(sheet, *target, appraisal, &drawn));
    let mut place_of = BTreeMap::new();
    for (place, cell) in cells.iter().enumerate() {
        place_of.entry(*cell).or_insert(place);
    }
    let places = targets.iter().filter_map(|target| place_of.get(&target.cell).copied());
    let drawing = Drawing {
        lines: lines.collect(),
        targets: targets.iter().copied().zip(places).collect(),
        plan: &plan,
        asked,
        chunk: chunk_for(plan.sources().len()),
        watch,
        deadline: time_limit::deadline(),
        done: AtomicUsize::new(0),
        stopped: AtomicBool::new(false),
    };
    let pieces: Vec<Option<Drawn>> = drawing
        .pieces()
        .into_par_iter()
        .map_init(|| drawing.hand(), |hand, piece| drawing.piece(hand, piece))
        .collect();
    gathered(pieces.into_iter().flatten(), &drawing)
}

/// Where each source stands among those of a plan.
struct Places(BTreeMap<SourceOf, usize>);

impl Places {
    fn of(plan: &Lanes<'_>) -> Places {
        let mut places = BTreeMap::new();
        for (place, source) in plan.sources().iter().enumerate() {
            places.entry(source.of).or_insert(place);
        }
        Places(places)
    }
}

/// The straight line of first-order propagation, over the deviates that are drawn.
struct Straight {
    value: f64,
    /// Source of the plan, its part, and what one deviate adds.
    slopes: Vec<(usize, usize, f64)>,
    /// Sources that no stream of the plan has, with what one deviate adds.
    apart: Vec<(DrawnSource, f64)>,
}

impl Straight {
    /// `None` where an answer has no such line.
    fn of(sheet: &Sheet, target: Target, appraisal: &Appraisal, drawn: &Places) -> Option<Straight> {
        let by_draws = |found: &Cautioned| found.cell == target.cell && found.caution.code == BY_DRAWS.code;
        if appraisal.cautions.iter().any(by_draws) {
            return None;
        }
        let value = value_of(sheet, target)?;
        let gradient = match target.row {
            Some(row) => appraisal.row_gradients.get(&(target.cell, row)),
            None => appraisal.gradients.get(&target.cell),
        };
        let gradient = gradient.map(Gradient::parts).unwrap_or_default();
        let mut straight = Straight {
            value,
            slopes: Vec::new(),
            apart: Vec::new(),
        };
        for (number, sensitivity) in gradient {
            let source = appraisal.sources.list.get(number as usize)?;
            if !sensitivity.is_finite() {
                return None;
            }
            straight.add(source, sensitivity * source.standard, drawn);
        }
        Some(straight)
    }

    fn add(&mut self, source: &UncertaintySource, slope: f64, drawn: &Places) {
        let (of, part) = match source.of {
            SourceOf::Beyond(fit, part) => (SourceOf::Beyond(fit, 0), part as usize),
            other => (other, 0),
        };
        match drawn.0.get(&of) {
            Some(place) => self.slopes.push((*place, part, slope)),
            None => self.apart.push((
                DrawnSource {
                    of,
                    stream: format!("apart {}", self.apart.len()),
                    standard: source.standard,
                    spread: Spread::Normal,
                },
                slope,
            )),
        }
    }
}

/// What the record says; of a check of columns whether all of its rows hold.
pub(crate) fn value_of(sheet: &Sheet, target: Target) -> Option<f64> {
    match (sheet.reading(target.cell), target.row) {
        (Reading::Number(number), None) => Some(number.to_f64()),
        (Reading::Column(cells), Some(row)) => cells.get(row as usize).copied().flatten().map(Number::to_f64),
        (Reading::Column(cells), None) => {
            let failing = cells.iter().flatten().any(|cell| cell.is_zero());
            Some(if failing { 0.0 } else { 1.0 })
        }
        _ => None,
    }
}

/// What all threads share.
struct Drawing<'a> {
    plan: &'a Lanes<'a>,
    /// The straight line of each target.
    lines: Vec<Option<Straight>>,
    /// The targets, with the place of each cell among those asked for.
    targets: Vec<(Target, usize)>,
    asked: Asked,
    /// How many draws share the beginning of a stream.
    chunk: usize,
    watch: &'a dyn Watch,
    deadline: Deadline,
    done: AtomicUsize,
    stopped: AtomicBool,
}

/// What each thread has for itself.
struct Hand<'a> {
    worker: Worker<'a>,
    deviates: Vec<Vec<Vec<f64>>>,
    apart: Vec<Vec<f64>>,
}

/// Draws that a thread makes at once: a chunk that shares the beginning of a stream, or a part
/// of it.
#[derive(Clone, Copy)]
struct Piece {
    chunk: usize,
    /// The first of them, counted in the chunk, and how many.
    from: usize,
    count: usize,
}

/// So many draws are one piece where each makes tables, which takes long.
const WITH_TABLES: usize = 25;

/// What a piece of draws found.
struct Drawn {
    cells: Vec<Found>,
    count: usize,
    met: Option<Met>,
}

/// What draws found of one cell: its values, and those on the straight line.
#[derive(Default)]
struct Found {
    values: Vec<f64>,
    straight: Vec<f64>,
    cut_short: usize,
}

impl<'a> Drawing<'a> {
    fn pieces(&self) -> Vec<Piece> {
        let most = match self.plan.makes_tables() {
            true => WITH_TABLES.min(self.chunk),
            false => self.chunk,
        };
        let chunks = 0..self.asked.count.div_ceil(self.chunk);
        let of_chunk = |chunk: usize| {
            let end = self.chunk.min(self.asked.count - chunk * self.chunk);
            (0..end).step_by(most).map(move |from| Piece {
                chunk,
                from,
                count: most.min(end - from),
            })
        };
        chunks.flat_map(of_chunk).collect()
    }

    fn hand(&self) -> Hand<'a> {
        let _part = time_limit::part_of(self.deadline);
        let parts = |source: &DrawnSource| vec![Vec::new(); source.width()];
        Hand {
            worker: self.plan.worker(),
            deviates: self.plan.sources().iter().map(parts).collect(),
            apart: vec![Vec::new()],
        }
    }

    fn piece(&self, hand: &mut Hand<'a>, piece: Piece) -> Option<Drawn> {
        if self.stopped.load(Ordering::Relaxed) {
            return None;
        }
        let _part = time_limit::part_of(self.deadline);
        let mut streams = Streams::new(self.asked.seed, piece.chunk, self.chunk);
        for (source, parts) in self.plan.sources().iter().zip(&mut hand.deviates) {
            streams.deviates(source, parts);
        }
        let count = piece.count;
        let mut cells: Vec<Found> = Vec::with_capacity(self.lines.len());
        for line in &self.lines {
            if self.deadline.is_past() {
                self.stopped.store(true, Ordering::Relaxed);
                return None;
            }
            cells.push(Found {
                values: Vec::with_capacity(count),
                straight: self.straight(line.as_ref(), hand, &mut streams, piece),
                cut_short: 0,
            });
        }
        let mut done = 0;
        while done < count {
            let now = self.plan.block().min(count - done);
            hand.worker.run(&hand.deviates, piece.from + done, now);
            if self.deadline.is_past() {
                // some of these may lack a value for want of time alone
                self.stopped.store(true, Ordering::Relaxed);
                let _ = hand.worker.take_met();
                break;
            }
            for ((target, place), cell) in self.targets.iter().zip(&mut cells) {
                let (lane, failed) = match target.row {
                    Some(row) => hand.worker.found_in_row(*place, row as usize),
                    None => hand.worker.found(*place),
                };
                for (draw, value) in lane.iter().take(now).enumerate() {
                    match failed.has(draw) {
                        true => cell.cut_short += usize::from(*value == f64::INFINITY),
                        false => cell.values.push(*value),
                    }
                }
            }
            done += now;
            if !self.goes_on(now) {
                break;
            }
        }
        cells.iter_mut().for_each(|cell| cell.straight.truncate(done));
        Some(Drawn {
            cells,
            count: done,
            met: hand.worker.take_met(),
        })
    }

    fn goes_on(&self, more: usize) -> bool {
        let done = self.done.fetch_add(more, Ordering::Relaxed) + more;
        if !self.watch.goes_on(done, self.asked.count) {
            self.stopped.store(true, Ordering::Relaxed);
        }
        !self.stopped.load(Ordering::Relaxed)
    }

    fn straight(&self, line: Option<&Straight>, hand: &mut Hand<'a>, streams: &mut Streams, piece: Piece) -> Vec<f64> {
        let Some(straight) = line else {
            return Vec::new();
        };
        let mut values = vec![straight.value; piece.count];
        let mut add = |deviates: &[f64], slope: f64| {
            for (value, deviate) in values.iter_mut().zip(deviates.iter().skip(piece.from)) {
                *value += slope * deviate;
            }
        };
        for (source, part, slope) in &straight.slopes {
            if let Some(deviates) = hand.deviates.get(*source).and_then(|parts| parts.get(*part)) {
                add(deviates, *slope);
            }
        }
        for (source, slope) in &straight.apart {
            streams.deviates(source, &mut hand.apart);
            hand.apart.iter().for_each(|deviates| add(deviates, *slope));
        }
        values
    }
}

fn gathered(pieces: impl Iterator<Item = Drawn>, drawing: &Drawing<'_>) -> Vec<Draws> {
    let mut cells: Vec<Found> = drawing.lines.iter().map(|_| Found::default()).collect();
    let (mut count, mut met) = (0, None);
    for piece in pieces {
        for (all, found) in cells.iter_mut().zip(&piece.cells) {
            all.values.extend_from_slice(&found.values);
            all.straight.extend_from_slice(&found.straight);
            all.cut_short += found.cut_short;
        }
        count += piece.count;
        met = met.or(piece.met);
    }
    let lines = drawing.lines.iter();
    let cells = cells.into_iter().zip(lines);
    cells
        .map(|(found, line)| of_cell(found, line.is_some(), (count, met.clone()), drawing.asked))
        .collect()
}

fn of_cell(mut found: Found, lined: bool, (count, met): (usize, Option<Met>), asked: Asked) -> Draws {
    let values = &mut found.values;
    let figures = figures(values);
    let ends = figures.as_ref().map(|figures| (figures.low, figures.high));
    let lined = lined && found.straight.len() >= 2;
    let least = (found.cut_short > 0).then(|| {
        let mut all = values.clone();
        all.resize(values.len() + found.cut_short, f64::INFINITY);
        quantile(&mut all, 0.025)
    });
    Draws {
        count,
        left_out: count - values.len(),
        cut_short: found.cut_short,
        least: least.filter(|least| least.is_finite()),
        seed: asked.seed,
        met: met.filter(|_| count > values.len()),
        few: ends.map_or(Vec::new(), |ends| few(values, ends)),
        figures,
        straight: lined
            .then(|| interval(&mut found.straight))
            .filter(|(low, high)| low.is_finite() && high.is_finite()),
    }
}

/// So many different values are few.
const FEW: usize = 4;

/// The values inside an interval, rising, if they are few.
fn few(values: &[f64], (low, high): (f64, f64)) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    for value in values.iter().filter(|value| low <= **value && **value <= high) {
        if found.contains(value) {
            continue;
        }
        if found.len() == FEW {
            return Vec::new();
        }
        found.push(*value);
    }
    found.sort_by(f64::total_cmp);
    found
}

fn figures(values: &mut [f64]) -> Option<Figures> {
    if values.len() < 2 {
        return None;
    }
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    let bins = bins(values);
    let (low, high) = interval(values);
    Some(Figures {
        mean,
        sd: f64::sqrt(squares / (count - 1.0)),
        low,
        high,
        bins,
    })
}

/// The symmetric 95 % interval (JCGM 101:2008, 7.7.2); the order of the values is lost.
fn interval(values: &mut [f64]) -> (f64, f64) {
    (quantile(values, 0.025), quantile(values, 0.975))
}

/// The value that a part of all values lie below.
fn quantile(values: &mut [f64], part: f64) -> f64 {
    let last = values.len().saturating_sub(1);
    let place = part * values.len() as f64 - 0.5;
    let place = place.clamp(0.0, last as f64);
    let below = place as usize;
    let (_, low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let low = *low;
    let high = above.iter().copied().fold(f64::INFINITY, f64::min);
    if high.is_finite() {
        low + (high - low) * (place - below as f64)
    } else {
        low
    }
}

/// How many bins a histogram has, about.
const BINS: f64 = 24.0;

/// A histogram in steps of 1, 2 or 5, over all but the outermost 1 in 1000 on each side.
fn bins(values: &mut [f64]) -> Vec<(f64, f64, usize)> {
    let (low, high) = (quantile(values, 0.001), quantile(values, 0.999));
    if high <= low {
        return vec![(low, high, values.len())];
    }
    let step = step_for((high - low) / BINS);
    let first = libm::floor(low / step);
    let count = (libm::ceil(high / step) - first).clamp(1.0, 4.0 * BINS) as usize;
    let mut bins: Vec<(f64, f64, usize)> = (0..count)
        .map(|bin| ((first + bin as f64) * step, (first + bin as f64 + 1.0) * step, 0))
        .collect();
    for value in values.iter() {
        let bin = (libm::floor(value / step) - first).clamp(0.0, count as f64 - 1.0) as usize;
        if let Some(bin) = bins.get_mut(bin) {
            bin.2 += 1;
        }
    }
    bins
}

/// 1, 2 or 5 times a power of ten, at least `least`.
fn step_for(least: f64) -> f64 {
    let power = libm::exp10(libm::floor(libm::log10(least)));
    let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    steps.into_iter().find(|step| *step >= least).unwrap_or(10.0 * power)
}
