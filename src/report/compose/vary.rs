//! From a sweep or an aim to what a reader gets: values as the report shows them.
//!
//! Each row is worked out, and its uncertainty looked at, with the input held
//! there, so that it shows the digits that `show` would. Start reading at
//! [`sweep`] and `aim`.

use crate::number::Number;
use crate::problem::Problem;
use crate::sheet::appraisal::Doubt;
use crate::sheet::aside::PartOf;
use crate::sheet::names::CellId;
use crate::sheet::source::Uncertainty as Combined;
use crate::sheet::{Reading, Sheet};
use crate::study::Watch;
use crate::study::aim::problem_of;
use crate::study::below_zero;
use crate::study::bounds::{bounds, in_kind, rests_on};
use crate::study::root::Found;
use crate::study::sweep::{DENSE, over_blocks, turns};
use crate::study::vary::{Input, Varied, number_of};
use crate::syntax::tree::{Expression, ExpressionNode};
use crate::text::Span;
use crate::time_limit;
use crate::unit::Kind;

use super::super::chart::{Bound, Chart, Course, Line, Measure, Sample, Trace};
use super::super::model::Value;
use super::super::place;
use super::super::shown::Shown;
use super::super::sweep::{Answer, Crossing, Named, Row, Sweep, is_shown, trouble};
use super::chart::{half_width, level, limit_text, measure};
use super::{Options, answers, check, machine_value, number_shown, one_entry, scalar, unit_text, verdict};

/// The significant digits of a varied input, where fewer are asked for.
const INPUT_DIGITS: u32 = 6;
/// The most points of a chart.
const MOST_SAMPLES: usize = 400;
/// The digits a refined place is good to.
pub(super) const REFINED_DIGITS: u32 = 12;
/// Ends of a stretch that differ by less than this part are one.
pub(super) const SAME: f64 = 1e-10;

pub(super) fn kind_of(sheet: &Sheet, of: impl Into<Input>) -> Kind {
    of.into().kind(sheet).unwrap_or(Kind::Truth)
}

/// A value of an entry as shown.
pub(super) fn shown_number(sheet: &Sheet, of: impl Into<Input>, value: Number, options: Options) -> String {
    let of = of.into();
    number_shown(sheet, value, kind_of(sheet, of), clock_of(sheet, of), None, options).value
}

/// A value of the input as shown.
pub(super) fn shown_input(sheet: &Sheet, input: Input, value: Number, options: Options) -> String {
    let digits = options.digits.max(INPUT_DIGITS);
    shown_number(sheet, input, value, Options { digits })
}

pub(super) fn unit_of(sheet: &Sheet, of: impl Into<Input>) -> Option<String> {
    Some(unit_text(kind_of(sheet, of))).filter(|unit| !unit.is_empty())
}

pub(super) fn name_of(sheet: &Sheet, of: impl Into<Input>) -> String {
    of.into().name(sheet)
}

pub(super) fn is_number(kind: Kind) -> bool {
    !matches!(kind, Kind::Text | Kind::Truth)
}

/// What a reader is told of each cell as it stands, and its uncertainty; the codes of
/// cautions are gathered.
pub(super) fn told(
    sheet: &Sheet,
    cells: &[CellId],
    options: Options,
    cautions: &mut Vec<String>,
) -> Vec<(Shown, Option<Combined>)> {
    let appraisal = sheet.appraise(cells.iter().copied());
    for found in &below_zero::cautions(sheet, &appraisal, cells) {
        if !cautions.iter().any(|code| code == found.caution.code) {
            cautions.push(found.caution.code.to_owned());
        }
    }
    let one = |cell: &CellId| match sheet.reading(*cell) {
        Reading::None(_) if problem_of(sheet, *cell).is_some() => Shown::text("problem"),
        Reading::None(_) => Shown::text("not known"),
        _ => one_entry(sheet, *cell, options, &appraisal, None).map_or_else(Shown::default, |entry| entry.shown),
    };
    let doubt = |cell: &CellId| match appraisal.doubts.get(cell) {
        Some(Doubt::One(doubt)) => Some(*doubt),
        _ => None,
    };
    cells.iter().map(|cell| (one(cell), doubt(cell))).collect()
}

// ---- sweep ----

/// The answers at each value of an input, which are in its unit and differ.
/// `watch` hears of the values done; stopped, the sweep ends there.
pub fn sweep(sheet: &Sheet, input: Input, values: &[Number], watch: &dyn Watch, options: Options) -> Sweep {
    let cells: Vec<CellId> = answers(sheet)
        .into_iter()
        .filter(|cell| Some(*cell) != input.entry())
        .collect();
    let mut swept = Sweep {
        input: name_of(sheet, input),
        unit: unit_of(sheet, input),
        units: Named(
            cells
                .iter()
                .map(|cell| (name_of(sheet, *cell), unit_of(sheet, *cell)))
                .collect(),
        ),
        rows: Vec::with_capacity(values.len()),
        crossings: Vec::new(),
        answers: cells.iter().map(|cell| answer(sheet, input, *cell)).collect(),
        charts: Vec::new(),
        troubles: Vec::new(),
        cautions: Vec::new(),
        plotted: None,
        asked: values.len(),
    };
    let mut varied = Varied::new(sheet, input);
    let mut over_blocks = OverBlocks::of(&mut varied, &cells, values, &swept.answers, watch);
    let mut troubles = Troubles::default();
    let mut seen = vec![Seen::default(); cells.len()];
    for (done, value) in values.iter().enumerate() {
        if !watch.goes_on(done, values.len()) {
            break;
        }
        let known = over_blocks.as_ref().filter(|_| !is_shown(done, values.len()));
        if let Some(numbers) = known.and_then(|known| known.row(done)) {
            let (row, heights) = dense_row(varied.sheet(), input, *value, &cells, (&numbers, swept.rows.first()));
            for (seen, height) in seen.iter_mut().zip(heights) {
                seen.heights.push(height);
                seen.half_widths.push(None);
            }
            swept.rows.push(row);
            continue;
        }
        let sheet = varied.at(*value);
        let (row, doubts) = row(sheet, input, *value, &cells, options, &mut swept.cautions);
        if time_limit::is_up() {
            // what lacks a value may lack it for want of time alone
            break;
        }
        over_blocks = over_blocks.filter(|known| known.agrees(sheet, &cells, done));
        for ((cell, seen), doubt) in cells.iter().zip(&mut seen).zip(doubts) {
            seen.heights.push(number_of(sheet, *cell));
            seen.half_widths.push(half_width(doubt));
            let without = matches!(sheet.reading(*cell), Reading::None(_) | Reading::Within(_));
            if let Some(problem) = problem_of(sheet, *cell).filter(|_| without) {
                troubles.add(sheet, &problem, &row.shown_input);
            }
        }
        swept.rows.push(row);
    }
    swept.troubles = troubles.sentences();
    let values = values.get(..swept.rows.len()).unwrap_or(values);
    swept.crossings = crossings(sheet, &mut varied, values, watch, options);
    for ((cell, answer), seen) in cells.iter().zip(&mut swept.answers).zip(&seen) {
        if answer.moved && answer.number {
            let drawn = chart(sheet, (input, *cell), answer, values, seen, &swept.crossings, options);
            answer.chart = drawn.is_some().then_some(swept.charts.len());
            swept.charts.extend(drawn);
        }
    }
    swept
}

/// The answers over very many values, in binary numbers.
struct OverBlocks {
    /// For each answer its values; `None` for one that doesn't move.
    answers: Vec<Option<Vec<Option<f64>>>>,
}

impl OverBlocks {
    /// `None` where there are few values, an answer is a column, or blocks gain nothing.
    fn of(
        varied: &mut Varied,
        cells: &[CellId],
        values: &[Number],
        answers: &[Answer],
        watch: &dyn Watch,
    ) -> Option<OverBlocks> {
        let column = |cell: &CellId| varied.sheet().shape(*cell).is_some_and(|shape| shape.column);
        if values.len() <= DENSE || cells.iter().any(column) {
            return None;
        }
        let moved = cells.iter().zip(answers).filter(|(_, answer)| answer.moved);
        let moved: Vec<CellId> = moved.map(|(cell, _)| *cell).collect();
        let mut found = over_blocks(varied, values, &moved, watch)?.into_iter();
        let answers = answers
            .iter()
            .map(|answer| if answer.moved { found.next() } else { None });
        Some(OverBlocks {
            answers: answers.collect(),
        })
    }

    /// The moved answers in one row, if they all have a value that can be kept.
    fn row(&self, place: usize) -> Option<Vec<Option<Number>>> {
        let one = |values: &Option<Vec<Option<f64>>>| match values {
            None => Some(None),
            Some(values) => {
                let value = values.get(place).copied().flatten()?;
                Number::from_f64(value).ok().map(Some)
            }
        };
        self.answers.iter().map(one).collect()
    }

    /// Whether a row worked out exactly says the same; it may lie beside a jump that no
    /// value of the input crosses.
    fn agrees(&self, sheet: &Sheet, cells: &[CellId], place: usize) -> bool {
        let mut pairs = cells.iter().zip(&self.answers);
        pairs.all(|(cell, values)| {
            let value = values.as_ref().and_then(|values| values.get(place).copied().flatten());
            match (value.map(Number::from_f64), number_of(sheet, *cell)) {
                (Some(Ok(number)), Some(exact)) => number.agrees_with(exact),
                _ => true,
            }
        })
    }
}

/// A row that a reader isn't shown; answers that don't move are those of the first row.
fn dense_row(
    sheet: &Sheet,
    input: Input,
    value: Number,
    cells: &[CellId],
    (numbers, first): (&[Option<Number>], Option<&Row>),
) -> (Row, Vec<Option<Number>>) {
    let answer = |((place, cell), number): ((usize, &CellId), &Option<Number>)| {
        let name = name_of(sheet, *cell);
        let still = || {
            first
                .and_then(|first| first.answers.0.get(place))
                .map(|(_, value)| value.clone())
        };
        let value = match number {
            Some(number) => Value::One(scalar(sheet, *number, kind_of(sheet, *cell))),
            None => still().unwrap_or(Value::Nothing),
        };
        (name, value)
    };
    let answers = cells.iter().enumerate().zip(numbers).map(answer);
    let row = Row {
        value: scalar(sheet, value, kind_of(sheet, input)),
        answers: Named(answers.collect()),
        shown_input: String::new(),
        shown: Vec::new(),
    };
    (row, numbers.to_vec())
}

pub(super) fn answer(sheet: &Sheet, input: Input, cell: CellId) -> Answer {
    let label = sheet.entry(cell).and_then(|entry| entry.label.as_ref());
    let column = sheet.shape(cell).is_some_and(|shape| shape.column);
    Answer {
        name: name_of(sheet, cell),
        label: label.map(|label| label.text.to_string()),
        number: is_number(kind_of(sheet, cell)) && !column,
        moved: input.moves(sheet, cell),
        chart: None,
    }
}

pub(super) fn row(
    sheet: &Sheet,
    input: Input,
    value: Number,
    cells: &[CellId],
    options: Options,
    cautions: &mut Vec<String>,
) -> (Row, Vec<Option<Combined>>) {
    let machine = |cell: &CellId| {
        (
            name_of(sheet, *cell),
            machine_value(sheet, *cell, kind_of(sheet, *cell)),
        )
    };
    let told = told(sheet, cells, options, cautions).into_iter();
    let (shown, doubts) = told.map(|(shown, doubt)| (shown.value, doubt)).unzip();
    let row = Row {
        value: scalar(sheet, value, kind_of(sheet, input)),
        answers: Named(cells.iter().map(machine).collect()),
        shown_input: shown_input(sheet, input, value, options),
        shown,
    };
    (row, doubts)
}

/// Problems met on the way, each once, with where it was met.
#[derive(Default)]
pub(super) struct Troubles(Vec<Trouble>);

struct Trouble {
    code: &'static str,
    line: u32,
    message: String,
    first: String,
    last: String,
}

impl Troubles {
    pub(super) fn add(&mut self, sheet: &Sheet, problem: &Problem, at: &str) {
        let line = place::machine(problem, sheet.tree(), sheet.line(problem.place.item)).line;
        let code = problem.code.word();
        match self.0.iter_mut().find(|known| known.code == code && known.line == line) {
            Some(known) => known.last = at.to_owned(),
            None => self.0.push(Trouble {
                code,
                line,
                message: problem.message.clone(),
                first: at.to_owned(),
                last: at.to_owned(),
            }),
        }
    }

    pub(super) fn sentences(self) -> Vec<String> {
        let told = self.0.into_iter().map(|one| {
            let place = match one.first == one.last {
                true => format!("At {}", one.first),
                false => format!("Between {} and {}", one.first, one.last),
            };
            trouble(&place, one.line, &one.message)
        });
        told.collect()
    }
}

/// The least and the greatest of some numbers.
fn extent(values: impl Iterator<Item = Number>) -> Option<(Number, Number)> {
    let mut ends: Option<(Number, Number)> = None;
    for value in values {
        let (low, high) = ends.unwrap_or((value, value));
        let low = if value.compare(low).is_lt() { value } else { low };
        let high = if value.compare(high).is_gt() { value } else { high };
        ends = Some((low, high));
    }
    ends
}

/// What a sweep saw of one answer.
#[derive(Clone, Default)]
struct Seen {
    heights: Vec<Option<Number>>,
    half_widths: Vec<Option<Number>>,
}

/// The chart of an answer over the input, with what expectations set it against and where
/// they turn.
fn chart(
    sheet: &Sheet,
    (input, cell): (Input, CellId),
    answer: &Answer,
    values: &[Number],
    seen: &Seen,
    crossings: &[Crossing],
    options: Options,
) -> Option<Chart> {
    if seen.heights.iter().flatten().count() < 2 {
        return None;
    }
    let step = values.len().div_ceil(MOST_SAMPLES).max(1);
    let half_widths = between(&seen.half_widths);
    let rows = values.iter().zip(&seen.heights).zip(&half_widths).enumerate();
    let kept = rows.filter(|(place, _)| place.is_multiple_of(step) || *place + 1 == values.len());
    let samples = kept.map(|(_, ((value, height), half_width))| Sample {
        across: Some(*value),
        up: *height,
        half_width: *half_width,
    });
    let line = Line {
        label: answer.name.clone(),
        samples: samples.collect(),
        trace: Trace::Values,
    };
    let title = match &answer.label {
        Some(label) => format!("{}: {label}", answer.name),
        None => answer.name.clone(),
    };
    let mut limits = turning(sheet, &answer.name, crossings);
    limits.extend(still_sides(sheet, (input, cell), &answer.name, options));
    let (across, up) = (measured(sheet, input), measured(sheet, cell));
    Some(Chart::of_lines(&title, (&across, &up), &[line], &limits))
}

/// Half widths of a band, those of a dense sweep in a straight line between the rows that have one.
fn between(half_widths: &[Option<Number>]) -> Vec<Option<Number>> {
    let known = half_widths.iter().enumerate();
    let known: Vec<(usize, f64)> = known
        .filter_map(|(place, half)| Some((place, (*half)?.to_f64())))
        .collect();
    let mut filled = half_widths.to_vec();
    if half_widths.len() <= DENSE {
        return filled;
    }
    for pair in known.windows(2) {
        let [(from, low), (to, high)] = pair else { continue };
        let span = (to - from) as f64;
        for (step, place) in (from + 1..*to).enumerate() {
            let half = low + (high - low) * (step + 1) as f64 / span;
            if let Some(filled) = filled.get_mut(place) {
                *filled = Number::from_f64(half).ok();
            }
        }
    }
    filled
}

fn measured(sheet: &Sheet, of: impl Into<Input>) -> Measure {
    let of = of.into();
    measure(&name_of(sheet, of), kind_of(sheet, of), clock_of(sheet, of))
}

fn clock_of(sheet: &Sheet, of: Input) -> bool {
    of.entry().is_some_and(|cell| sheet.asks_for_clock(cell))
}

/// Where the expectations that name an answer turn, each place once.
fn turning(sheet: &Sheet, name: &str, crossings: &[Crossing]) -> Vec<Bound> {
    let named = Expression {
        node: ExpressionNode::Name(name.into()),
        span: Span::at(0),
    };
    let lines: Vec<u32> = bounds(sheet, &named)
        .iter()
        .map(|bound| sheet.line(bound.item))
        .collect();
    let own = crossings.iter().filter(|crossing| lines.contains(&crossing.line));
    let marks = own.map(|crossing| Bound {
        course: Course::Upright,
        value: crossing.place,
        text: format!("{} (line {})", crossing.text, crossing.line),
    });
    marks.collect()
}

/// What expectations set an answer against, where that stays whatever the input is.
fn still_sides(sheet: &Sheet, (input, cell): (Input, CellId), name: &str, options: Options) -> Vec<Bound> {
    let named = Expression {
        node: ExpressionNode::Name(name.into()),
        span: Span::at(0),
    };
    let found = bounds(sheet, &named);
    let sides = found.iter().filter(|bound| !rests_on(sheet, bound.other, input));
    let sides: Vec<PartOf<'_>> = sides.map(|bound| (bound.item, bound.text, bound.other)).collect();
    let kind = kind_of(sheet, cell);
    let bound = |(side, found): (&PartOf<'_>, Option<(Kind, Number)>)| {
        let ((item, text, other), (from, value)) = (*side, found?);
        let value = in_kind(from, value, kind)?;
        let written = limit_text(sheet, other, other.span.of(text), (value, kind), options);
        Some(level(value, format!("{written} (line {})", sheet.line(item))))
    };
    sides.iter().zip(sheet.values_aside(&sides)).filter_map(bound).collect()
}

/// Just beside a crossing: this part of the interval away.
const BESIDE: f64 = 1e-7;

fn crossings(
    sheet: &Sheet,
    varied: &mut Varied,
    values: &[Number],
    watch: &dyn Watch,
    options: Options,
) -> Vec<Crossing> {
    let Some((low, high)) = extent(values.iter().copied()) else {
        return Vec::new();
    };
    let span = high.to_f64() - low.to_f64();
    let mut found = Vec::new();
    for (cell, met) in turns(varied, values, watch) {
        let step = matches!(met, Found::Step(..));
        let places = match met {
            Found::Zero(place) | Found::Step(place, ..) => vec![place],
            Found::Stretch(from, to) => vec![from, to],
        };
        for place in places {
            let mut holds = |place: f64| varied.near(place).and_then(|sheet| verdict(sheet, cell).0);
            let holds = (holds(place - BESIDE * span), holds(place + BESIDE * span));
            found.extend(crossing(
                sheet,
                varied.input(),
                cell,
                (place, span),
                step,
                holds,
                options,
            ));
        }
    }
    found
}

fn crossing(
    sheet: &Sheet,
    input: Input,
    cell: CellId,
    (place, span): (f64, f64),
    step: bool,
    holds: (Option<bool>, Option<bool>),
    options: Options,
) -> Option<Crossing> {
    let value = if step {
        step_at(place, span)?
    } else {
        refined(place, span)?
    };
    let told = check(sheet, cell, &crate::sheet::appraisal::Appraisal::default())?;
    Some(Crossing {
        line: told.line,
        value: scalar(sheet, value, kind_of(sheet, input)),
        place: value,
        text: told.text,
        shown: shown_input(sheet, input, value, options),
        step,
        holds,
    })
}

/// A refined place to the digits it is good to.
pub(super) fn refined(place: f64, span: f64) -> Option<Number> {
    if place.abs() < 1e-13 * span {
        return Some(Number::ZERO);
    }
    Some(Number::from_f64(place).ok()?.round_significant(REFINED_DIGITS))
}

/// The place of a step, which is as sharp as values that are equal at 12 digits.
pub(super) fn step_at(place: f64, span: f64) -> Option<Number> {
    Some(refined(place, span)?.round_significant(REFINED_DIGITS - 1))
}
