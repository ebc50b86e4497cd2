//! From an uncertainty budget to what a reader gets: numbers in units, names, sentences.
//!
//! Spreads of hours and minutes and of times are told in minutes, all
//! others in the unit of the answer. Readings of one column stand together for a
//! reader, and each on its own in the machine format. Start reading at [`doubt`].

use crate::number::Number;
use crate::sheet::appraisal::{Mark, MarkKind};
use crate::sheet::appraise::uncertainty_unit;
use crate::sheet::names::CellId;
use crate::sheet::source::Uncertainty;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::Watch;
use crate::study::aim::problem_of;
use crate::study::doubt::{self as study, Budget, DrawnFigures, PartOf, Standing};
use crate::study::draws::{Asked, Draws, Target, draw, draw_all};
use crate::study::marks::{ENOUGH, OF_TABLES, SEED};
use crate::trade::line::student_k;
use crate::unit::{Kind, Unit};

use super::super::chart::Chart;
use super::super::digits::{self, Expanded, Form, Quantity, with_unit};
use super::super::doubt::{ColumnRows, Doubt, Drawn, DrawnShown, Line};
use super::super::model::Scalar;
use super::super::place;
use super::super::shown::Shown;
use super::super::visible::closed;
use super::super::why::Value;
use super::chart::measure;
use super::marks;
use super::why::value;
use super::{Options, expanded, number_shown, out_by, scalar, shown_entry, unit_text, within};

mod sources;

/// The digits of a spread and of a sensitivity for a reader.
const SPREAD_DIGITS: u32 = 2;
const SENSITIVITY_DIGITS: u32 = 3;
/// The most sources that have a bar of their own.
const MOST_BARS: usize = 8;
/// How many rows of a column are shown, and drawn.
const ROWS: usize = 24;

/// The draws that a reader asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Drawing {
    /// How many; `None`: as many as it takes to tell whether the worksheet bends.
    pub count: Option<usize>,
    /// Where the streams begin.
    pub seed: Option<u64>,
}

/// The uncertainty budget of a cell that holds numbers, with draws where they are asked
/// for, where nothing else tells, or where they tell something else.
pub fn doubt(sheet: &Sheet, cell: CellId, drawing: Drawing, watch: &dyn Watch, options: Options) -> Doubt {
    let budget = study::doubt(sheet, cell);
    let drawn = drawn(sheet, cell, &budget, drawing, watch);
    let of_rows = drawn_rows(sheet, cell, drawing, watch);
    let mut told = told(sheet, cell, &budget, drawn.as_ref(), options);
    if let Some(rows) = told.rows.as_mut().filter(|_| !of_rows.is_empty()) {
        let teller = Teller::new(sheet, cell, &budget, options);
        rows.drawn = of_rows
            .iter()
            .map(|one| one.as_ref().map(|one| teller.drawn(one)))
            .collect();
    }
    told
}

/// The rows of a column, drawn together, where draws are asked for; those that are missing aren't.
fn drawn_rows(sheet: &Sheet, cell: CellId, drawing: Drawing, watch: &dyn Watch) -> Vec<Option<DrawnFigures>> {
    let (Some(count), Reading::Column(cells)) = (drawing.count, sheet.reading(cell)) else {
        return Vec::new();
    };
    let seed = drawing.seed.unwrap_or(SEED);
    let rows = (0u32..).zip(cells.iter().take(ROWS));
    let filled = rows.clone().filter(|(_, cell)| cell.is_some());
    let targets: Vec<Target> = filled.map(|(row, _)| Target { cell, row: Some(row) }).collect();
    let asked = Asked { count, seed };
    let drawn = draw_all(sheet, &sheet.appraise([cell]), &targets, asked, watch);
    let mut drawn = drawn.iter().map(|draws| figures(sheet, draws, asked));
    rows.map(|(_, cell)| cell.and_then(|_| drawn.next())).collect()
}

/// The same with figures that were drawn elsewhere.
pub fn with_figures(sheet: &Sheet, cell: CellId, drawn: Option<&DrawnFigures>, options: Options) -> Doubt {
    let budget = study::doubt(sheet, cell);
    told(sheet, cell, &budget, drawn, options)
}

fn told(sheet: &Sheet, cell: CellId, budget: &Budget, drawn: Option<&DrawnFigures>, options: Options) -> Doubt {
    Teller::new(sheet, cell, budget, options).doubt(drawn)
}

fn drawn(sheet: &Sheet, cell: CellId, budget: &Budget, drawing: Drawing, watch: &dyn Watch) -> Option<DrawnFigures> {
    if !matches!(sheet.reading(cell), Reading::Number(_)) {
        return None;
    }
    let quick = match &budget.standing {
        Standing::Straight(_) => ENOUGH,
        // a rounding or a count has no slope, and may move all the same
        Standing::Exact if !budget.parts.is_empty() => ENOUGH,
        Standing::ByDraws => OF_TABLES,
        Standing::Exact | Standing::Rows(_) | Standing::CutShort => drawing.count?,
    };
    let asked = Asked {
        count: drawing.count.unwrap_or(quick),
        seed: drawing.seed.unwrap_or(SEED),
    };
    let draws = draw(sheet, cell, asked, watch);
    let told =
        drawing.count.is_some() || budget.standing == Standing::ByDraws || draws.curved() || steps(budget, &draws);
    told.then(|| figures(sheet, &draws, asked))
}

/// Whether draws move a value of which its slopes say that nothing moves it.
fn steps(budget: &Budget, draws: &Draws) -> bool {
    let moves = draws.figures.as_ref().is_some_and(|figures| figures.high > figures.low);
    budget.standing == Standing::Exact && moves
}

fn figures(sheet: &Sheet, draws: &Draws, asked: Asked) -> DrawnFigures {
    let found = draws.figures.clone().unwrap_or_default();
    DrawnFigures {
        count: draws.count,
        asked: asked.count,
        left_out: draws.left_out,
        seed: draws.seed,
        mean: found.mean,
        sd: found.sd,
        low: found.low,
        high: found.high,
        straight: draws.straight.filter(|(low, high)| high > low),
        few: draws.few.clone(),
        bins: found.bins,
        withheld: draws.withheld().then(|| met(sheet, draws)),
        curved: draws.curved(),
    }
}

/// The problem that draws met.
fn met(sheet: &Sheet, draws: &Draws) -> String {
    let Some(met) = &draws.met else {
        return "there is none left".to_owned();
    };
    let problem = sheet.problem_of(met.cell, &met.failure);
    let line = place::machine(&problem, sheet.tree(), sheet.line(problem.place.item)).line;
    format!("line {line}, {}", problem.message)
}

/// Percentage points, of which one is a [`POINT`].
const POINTS: &str = "points";
const POINT: &str = "point";

/// How a spread about a value is told: in which unit, and times what.
struct Measure {
    unit: String,
    times: f64,
}

impl Measure {
    fn of(kind: Kind, clock: bool) -> Measure {
        let minutes = |times| Measure {
            unit: "min".to_owned(),
            times,
        };
        match kind {
            _ if clock => minutes(60.0),
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => minutes(1.0 / 60.0),
            _ => Measure {
                unit: match unit_text(Kind::Quantity(uncertainty_unit(kind))) {
                    // lest a difference of shares be read as a share
                    unit if unit == "%" => POINTS.to_owned(),
                    unit => unit,
                },
                times: 1.0,
            },
        }
    }

    fn spread(&self, size: f64) -> String {
        self.with_unit(&significant(size * self.times, SPREAD_DIGITS))
    }

    fn with_unit(&self, number: &str) -> String {
        match self.unit.as_str() {
            POINTS if matches!(number, "1" | "-1") => format!("{number} {POINT}"),
            unit => with_unit(number, unit),
        }
    }

    /// `-14.6 min per lb`
    fn slope(&self, slope: f64, input: &Measure) -> String {
        let slope = significant(slope * self.times / input.times, SENSITIVITY_DIGITS);
        match input.unit.as_str() {
            "" => self.with_unit(&slope),
            unit => {
                let per = if unit == POINTS { POINT } else { unit };
                // the legend says of what: a table has no room for it in every line
                let moved = if self.unit == POINTS {
                    slope
                } else {
                    self.with_unit(&slope)
                };
                format!("{moved} per {per}")
            }
        }
    }
}

fn significant(value: f64, digits: u32) -> String {
    let Ok(value) = Number::from_f64(value) else {
        return format!("{value:.1e}");
    };
    let quantity = Quantity::exact(
        if value.is_whole() {
            value.round_significant(digits)
        } else {
            value
        },
        "",
        Form::Plain,
    );
    digits::calculated(&quantity, digits).value
}

/// All digits as decimal text; nothing for what is no number.
fn decimal(value: f64) -> Option<String> {
    match Number::from_f64(value) {
        Ok(number) => Some(number.to_plain()),
        // too small for 28 decimals, or too large
        Err(_) => value.is_finite().then(|| format!("{value}")),
    }
}

fn decimal_value(value: f64) -> Value {
    decimal(value).map_or(Value::Nothing, |text| Value::One(Scalar::Text(text)))
}

/// The factor of an expanded uncertainty with all its digits.
fn coverage(doubt: Uncertainty, expanded: &Expanded) -> f64 {
    let k = match expanded.degrees_of_freedom {
        Some(_) => student_k(doubt.degrees_of_freedom),
        None => 2.0,
    };
    k.min(doubt.most / doubt.standard)
}

struct Teller<'a> {
    sheet: &'a Sheet,
    cell: CellId,
    kind: Kind,
    clock: bool,
    budget: &'a Budget,
    options: Options,
}

/// So many sources of other worksheets are told by their places.
const MOST_PLACES: usize = 8;

impl<'a> Teller<'a> {
    fn new(sheet: &'a Sheet, cell: CellId, budget: &'a Budget, options: Options) -> Teller<'a> {
        Teller {
            sheet,
            cell,
            kind: sheet.shape(cell).map_or(Kind::Quantity(Unit::ONE), |shape| shape.kind),
            clock: sheet.asks_for_clock(cell),
            budget,
            options,
        }
    }

    fn doubt(&self, drawn: Option<&DrawnFigures>) -> Doubt {
        let sheet = self.sheet;
        let known = sheet.status(self.cell) == Status::Known;
        let label = sheet.entry(self.cell).and_then(|entry| entry.label.as_ref());
        let mut told = Doubt {
            answer: self.name().to_owned(),
            value: self.value(),
            unit: text(unit_text(self.kind)),
            standard: Value::Nothing,
            expanded: Value::Nothing,
            k: Value::Nothing,
            degrees_of_freedom: Value::Nothing,
            curved: drawn.is_some_and(|drawn| drawn.curved),
            inputs: self.budget.parts.iter().map(|part| self.input(part)).collect(),
            draws: drawn.map(|drawn| self.drawn(drawn)),
            label: label.map(|label| label.text.to_string()),
            lines: self.lines(),
            rows: None,
            combined: String::new(),
            shown: self.shown(drawn),
            exact: self.budget.exact.iter().map(|thing| self.thing(*thing)).collect(),
            rule_errors: out_by(self.sheet, self.cell, &self.budget.appraisal),
            remarks: self.remarks(),
            chart: None,
        };
        told.chart = self.shares(&told.lines);
        if !known {
            return told;
        }
        match &self.budget.standing {
            Standing::Straight(combined) => self.straight(&mut told, *combined),
            Standing::Rows(rows) => self.rows(&mut told, rows),
            Standing::Exact | Standing::ByDraws | Standing::CutShort => {}
        }
        told
    }

    fn name(&self) -> &str {
        self.sheet.name_of(self.cell).unwrap_or("")
    }

    fn value(&self) -> Value {
        value(self.sheet, self.cell, self.kind)
    }

    fn number(&self, value: Number, doubt: Option<Uncertainty>) -> Shown {
        number_shown(self.sheet, value, self.kind, self.clock, doubt, self.options)
    }

    // ---- the answer ----

    fn straight(&self, told: &mut Doubt, combined: Uncertainty) {
        told.standard = decimal_value(combined.standard);
        told.degrees_of_freedom = decimal_value(combined.degrees_of_freedom);
        let Some(expanded) = expanded(combined) else { return };
        told.expanded = Value::One(Scalar::Text(expanded.half_width.to_plain()));
        told.k = decimal_value(coverage(combined, &expanded));
        let u = Measure::of(self.kind, self.clock).spread(combined.standard);
        let freedom = match expanded.degrees_of_freedom {
            Some(_) => format!(
                " with {} effective degrees of freedom",
                significant(combined.degrees_of_freedom, SENSITIVITY_DIGITS)
            ),
            None => String::new(),
        };
        let factor = expanded.factor.to_plain();
        let covers = match combined.most < combined.expanded_by_k() {
            true => format!("Its limits lie {factor} times as far: it leaves none."),
            false => format!("k = {factor} covers about 95 %."),
        };
        told.combined = format!("Combined standard uncertainty: u = {u}{freedom}. {covers}");
    }

    /// The answer as shown, or what is to be said in its place.
    fn shown(&self, drawn: Option<&DrawnFigures>) -> String {
        let name = self.name();
        match (self.sheet.reading(self.cell), &self.budget.standing) {
            (Reading::None(_), _) => closed(&format!("{name} {}", self.standing())),
            (Reading::Within(_), _) => format!("{name} is {}.", self.standing()),
            (Reading::Number(number), Standing::Straight(combined)) => {
                format!("{name} = {}", self.number(number, Some(*combined)).display())
            }
            (Reading::Number(number), standing) => {
                let value = self.number(number, None).value;
                match standing {
                    Standing::Exact if self.budget.parts.is_empty() => {
                        format!("{name} = {value}, taken as exact: nothing it rests on has a tolerance.")
                    }
                    Standing::Exact => match drawn.filter(|drawn| drawn.withheld.is_none() && drawn.high > drawn.low) {
                        Some(drawn) => format!("{name} = {value} ({})", self.hidden(drawn)),
                        None => format!(
                            "{name} = {value}, and on a straight line the tolerances of its inputs don't move it."
                        ),
                    },
                    _ => format!("{name} = {value}"),
                }
            }
            (Reading::Column(_), Standing::Exact) => {
                format!("{name} holds a column, taken as exact: nothing moves it.")
            }
            (Reading::Column(cells), _) => format!("{name} holds a column of {}.", counted(cells.len(), "value")),
        }
    }

    /// `could be 3 or 4 each`
    fn hidden(&self, drawn: &DrawnFigures) -> String {
        let mark = Mark {
            few: drawn.few.clone(),
            ..Mark::new(MarkKind::Hides, (drawn.low, drawn.high))
        };
        marks::mark_words(self.sheet, &mark, self.kind, self.clock, self.options)
    }

    /// `waits for gross (line 9)`, `has a problem`, `is not yet known`
    fn standing(&self) -> String {
        let Some(entry) = self.sheet.entry(self.cell) else {
            return "has no value".to_owned();
        };
        let shape = self.sheet.shape(self.cell);
        let appraisal = &self.budget.appraisal;
        let shown = shown_entry(self.sheet, self.cell, entry, shape, self.options, appraisal).value;
        match self.sheet.status(self.cell) {
            Status::Blank => format!("is {shown}"),
            _ => shown,
        }
    }

    fn remarks(&self) -> Vec<String> {
        let name = self.name();
        let mut told = Vec::new();
        match (self.sheet.reading(self.cell), &self.budget.standing) {
            (Reading::None(_), _) => {
                let problem = problem_of(self.sheet, self.cell);
                return problem.iter().map(|problem| self.problem(problem)).collect();
            }
            (_, Standing::CutShort) => {
                return vec![format!(
                    "No ± is told: {}.",
                    within::undecided_words(self.sheet, self.cell)
                )];
            }
            (Reading::Column(_), _) => told.push(format!(
                "A budget is of one value: give a row a name, such as `worked one = first({name})`, and ask about that."
            )),
            (_, Standing::ByDraws) => {
                let why = match self.budget.appraisal.unsure.contains(&self.cell.0) {
                    true => "what it rests on can change its course inside the tolerances",
                    false => "it rests on more readings than can be kept apart",
                };
                told.push(format!(
                    "No straight line tells how {name} moves: {why}. Only draws can tell."
                ));
            }
            _ => {}
        }
        told.extend(self.beyond());
        let rules = out_by(self.sheet, self.cell, &self.budget.appraisal);
        if !rules.is_empty() {
            told.push(format!("Besides, and not in these figures: {}.", rules.join("; ")));
        }
        told
    }

    /// Where the sources stand that are of other worksheets.
    fn beyond(&self) -> Option<String> {
        let item = |of: &PartOf| match of {
            PartOf::Entry(cell) => Some((self.sheet.item_of(*cell), self.sheet.name_of(*cell)?.to_owned())),
            PartOf::Reading(slot, _) => {
                let column = self.sheet.table_column(*slot)?;
                let item = self.sheet.tables().get(column.table as usize)?.item;
                Some((
                    item,
                    format!("{}.{}", super::table_name(self.sheet, column.table), column.name),
                ))
            }
            _ => None,
        };
        let mut told: Vec<String> = Vec::new();
        for (item, name) in self.budget.parts.iter().filter_map(|part| item(&part.of)) {
            let one = format!("{name}, {}", self.sheet.standing_at(item));
            if self.sheet.file_of(item).is_some() && !told.contains(&one) {
                told.push(one);
            }
        }
        let more = told.len().saturating_sub(MOST_PLACES);
        told.truncate(MOST_PLACES);
        let more = if more > 0 {
            format!("; and {more} more")
        } else {
            String::new()
        };
        (!told.is_empty()).then(|| format!("From other worksheets: {}{more}.", told.join("; ")))
    }

    /// `Line 3: …`
    fn problem(&self, problem: &crate::problem::Problem) -> String {
        let line = place::machine(problem, self.sheet.tree(), self.sheet.line(problem.place.item)).line;
        closed(&format!("Line {line}: {}", problem.message))
    }

    fn rows(&self, told: &mut Doubt, rows: &[Uncertainty]) {
        let Reading::Column(cells) = self.sheet.reading(self.cell) else {
            return;
        };
        let measure = Measure::of(self.kind, self.clock);
        let row = |(cell, doubt): (&Option<Number>, &Uncertainty)| match cell {
            Some(number) => {
                let shown = self.number(*number, Some(*doubt));
                let u = measure.spread(doubt.standard);
                [shown.value, u, shown.uncertainty.unwrap_or_default()]
            }
            None => ["missing".to_owned(), String::new(), String::new()],
        };
        let first = cells.iter().zip(rows).take(ROWS);
        told.rows = Some(ColumnRows {
            first: first.map(row).collect(),
            count: cells.len(),
            drawn: Vec::new(),
        });
        let column = |one: &dyn Fn(&Uncertainty) -> Option<f64>| Value::Column {
            first: rows
                .iter()
                .take(ROWS)
                .map(|row| one(row).and_then(decimal).map(Scalar::Text))
                .collect(),
            count: rows.len(),
        };
        let factor = |row: &Uncertainty| Some(coverage(*row, &expanded(*row)?));
        told.standard = column(&|row| Some(row.standard));
        told.expanded = column(&|row| Some(factor(row)? * row.standard));
        told.k = column(&factor);
        told.degrees_of_freedom = column(&|row| Some(row.degrees_of_freedom));
    }

    /// The greatest shares as bars, and what the rest come to.
    fn shares(&self, lines: &[Line]) -> Option<Chart> {
        let shared: Vec<(&str, f64)> = lines
            .iter()
            .filter_map(|line| Some((line.name.as_str(), line.share.filter(|share| *share > 0.0)?)))
            .collect();
        let (first, rest) = shared.split_at_checked(MOST_BARS).unwrap_or((&shared, &[]));
        let rest: f64 = rest.iter().map(|(_, share)| share).sum();
        let rest = (rest > 0.0).then_some(("all others", rest));
        let bars: Vec<(&str, f64)> = first.iter().copied().chain(rest).collect();
        if bars.is_empty() {
            return None;
        }
        let labels: Vec<String> = bars
            .iter()
            .map(|(name, _)| name.replace("scatter about the line of", "scatter of"))
            .collect();
        let values: Vec<Option<Number>> = bars
            .iter()
            .map(|(_, share)| {
                Number::from_f64(share * 100.0)
                    .ok()
                    .map(|share| share.round_significant(2))
            })
            .collect();
        let title = format!("What makes {} uncertain", self.name());
        let share = super::super::chart::Measure::plain("share of the variance", "%");
        Some(Chart::bars(&title, &share, &labels, &values))
    }

    // ---- what was drawn ----

    fn drawn(&self, figures: &DrawnFigures) -> Drawn {
        let kept = figures.withheld.is_none();
        let one = |value: f64| {
            let number = Number::from_f64(value).ok().filter(|_| kept)?;
            Some(scalar(self.sheet, number, self.kind))
        };
        Drawn {
            count: figures.count,
            left_out: figures.left_out,
            seed: figures.seed.to_string(),
            mean: one(figures.mean),
            sd: decimal(figures.sd).filter(|_| kept),
            low: one(figures.low),
            high: one(figures.high),
            asked: figures.asked,
            chart: kept.then(|| self.histogram(figures)),
            withheld: figures.withheld.clone().map(|problem| closed(&problem)),
            shown: self.drawn_shown(figures),
        }
    }

    fn drawn_shown(&self, figures: &DrawnFigures) -> DrawnShown {
        // two intervals are to be compared, which takes a digit more
        let straight = figures.straight.map(|(low, high)| (high - low).abs() / 4.0);
        let finer = straight.filter(|u| *u > 0.0).unwrap_or(figures.sd);
        let spread = Uncertainty::of(finer.min(figures.sd) / 10.0);
        let one = |value: f64, spread: Option<Uncertainty>| {
            let number = Number::from_f64(value);
            number.map_or(String::new(), |number| self.number(number, spread).value)
        };
        // a few values that it jumps between are told as they are
        let jumps = figures.straight.is_none() && !figures.few.is_empty();
        let of_end = (!jumps).then_some(spread);
        DrawnShown {
            mean: one(figures.mean, Some(spread)),
            sd: Measure::of(self.kind, self.clock).spread(figures.sd),
            interval: (one(figures.low, of_end), one(figures.high, of_end)),
            straight: figures
                .straight
                .map(|(low, high)| (one(low, Some(spread)), one(high, Some(spread)))),
        }
    }

    fn histogram(&self, figures: &DrawnFigures) -> Chart {
        let number = |value: f64| Number::from_f64(value).ok();
        let bins = figures.bins.iter().filter_map(|(from, to, count)| {
            let count = u64::try_from(*count).unwrap_or(u64::MAX);
            Some((number(*from)?, number(*to)?, count))
        });
        let bins: Vec<(Number, Number, u64)> = bins.collect();
        let ends = [(figures.low, "2.5 %"), (figures.high, "97.5 %")];
        let ends = ends
            .into_iter()
            .filter_map(|(end, text)| Some((number(end)?, text.to_owned())));
        let ends: Vec<(Number, String)> = ends.collect();
        let title = format!("{} draws of {}", figures.count - figures.left_out, self.name());
        let measure = measure(self.name(), self.kind, self.clock);
        Chart::histogram(&title, &measure, &bins, &ends)
    }
}

/// Readings are shown as they are.
const EXACT: Options = Options { digits: 28 };

fn text(text: String) -> Option<String> {
    Some(text).filter(|text| !text.is_empty())
}

fn counted(count: usize, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        many => format!("{many} {what}s"),
    }
}
