//! Charts as plain data: ranges, ticks, places and words are settled here.
//!
//! A chart is built from exact numbers and what they measure, by
//! [`Chart::of_lines`], [`Chart::bars`] or [`Chart::histogram`]. What comes of
//! it says where everything stands as parts of the drawing, from 0 to 1, and
//! what it shows in words, so that [`terminal`] and [`svg`] only lay it out.
//! Where ticks stand is decided in [`axis`], the words in `told`.
//! Start reading at [`Chart`].

pub mod axis;
mod canvas;
pub mod svg;
pub mod terminal;
mod told;

use crate::number::Number;

use axis::{Ends, Range};
use told::Teller;

/// A chart, ready to be laid out.
#[derive(Clone, PartialEq, Debug)]
pub struct Chart {
    /// What it is called.
    pub title: String,
    /// What is drawn.
    pub body: Body,
    /// What it shows, in a sentence or more.
    pub told: String,
}

/// What a chart draws.
#[derive(Clone, PartialEq, Debug)]
pub enum Body {
    /// Lines, points or columns between two axes.
    Plane(Plane),
    /// A bar for each of several things.
    Bars(Vec<Bar>),
    /// A shaded cell for each pair of two values.
    Cells(Cells),
    /// Nothing, for this reason.
    Nothing(String),
}

/// Two axes and what stands between them.
#[derive(Clone, PartialEq, Debug)]
pub struct Plane {
    /// The axis along the bottom.
    pub across: Axis,
    /// The axis up the side.
    pub up: Axis,
    /// Lines or points.
    pub series: Vec<Series>,
    /// Columns side by side.
    pub bins: Vec<Bin>,
    /// Lines right across, each with a text.
    pub limits: Vec<Limit>,
}

/// One side of a plane.
#[derive(Clone, PartialEq, Debug)]
pub struct Axis {
    /// What it measures, with the unit: `gross [lb]`.
    pub label: String,
    /// Its marks in rising order, with different texts.
    pub ticks: Vec<Tick>,
}

/// A mark on an axis.
#[derive(Clone, PartialEq, Debug)]
pub struct Tick {
    /// Where, from 0 to 1.
    pub at: f64,
    /// What stands there.
    pub text: String,
}

/// Points that belong together.
#[derive(Clone, PartialEq, Debug)]
pub struct Series {
    /// What they are called.
    pub label: String,
    /// The points in their order.
    pub points: Vec<Point>,
    /// Whether a line joins them: they go one way along.
    pub joined: bool,
    /// What they are.
    pub trace: Trace,
}

/// What points are of.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Trace {
    /// Values, joined where they go one way along.
    #[default]
    Values,
    /// Readings beside a line that is fitted to them: marks alone.
    Readings,
    /// That line, without marks.
    Fitted,
}

/// Values of two ways, as cells that are the darker the greater they are.
#[derive(Clone, PartialEq, Debug)]
pub struct Cells {
    /// What changes along, with its unit, and its values.
    pub across: (String, Vec<String>),
    /// What changes upward, with its unit, and its values from the bottom up.
    pub up: (String, Vec<String>),
    /// For each value upward, for each along: how dark, from 0 to 1, and what is shown.
    pub rows: Vec<Vec<(Option<f64>, String)>>,
}

/// A point; each part from 0 to 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Point {
    /// How far along.
    pub across: f64,
    /// How far up; `None` is a gap.
    pub up: Option<f64>,
    /// From where to where it may lie.
    pub band: Option<(f64, f64)>,
}

/// A column of a histogram; each part from 0 to 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bin {
    /// Its left side.
    pub from: f64,
    /// Its right side.
    pub to: f64,
    /// How high it is.
    pub height: f64,
}

/// A line right across the plane.
#[derive(Clone, PartialEq, Debug)]
pub struct Limit {
    /// Which way it runs.
    pub course: Course,
    /// Where it stands, from 0 to 1.
    pub at: f64,
    /// What it is.
    pub text: String,
}

/// Which way a limit runs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Course {
    /// From left to right, at a place of the upright axis.
    Level,
    /// From bottom to top, at a place along.
    Upright,
}

/// A bar; its parts from 0 to 1.
#[derive(Clone, PartialEq, Debug)]
pub struct Bar {
    /// What it is of.
    pub label: String,
    /// Where zero stands.
    pub zero: f64,
    /// Where it ends; `None` where it has no value.
    pub end: Option<f64>,
    /// Its value as shown.
    pub shown: String,
}

/// What numbers measure.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Measure {
    /// What it is: a column, an entry.
    pub name: String,
    /// The unit as shown; empty where there is none.
    pub unit: String,
    /// How the numbers are counted.
    pub scale: Scale,
    /// Whether an axis of it begins at zero; a clock has none.
    pub from_zero: bool,
}

/// How numbers are counted and told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Scale {
    /// In their unit.
    Plain,
    /// Hours, told as hours and minutes.
    HoursAndMinutes,
    /// Seconds from midnight.
    TimeOfDay,
    /// Seconds from 1970-01-01 00:00.
    Moment,
}

/// Points as they are measured.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// What they are called.
    pub label: String,
    /// The points in their order.
    pub samples: Vec<Sample>,
    /// What they are.
    pub trace: Trace,
}

/// A point as it is measured.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sample {
    /// How far along; `None` where that is missing.
    pub across: Option<Number>,
    /// How far up; `None` where that is missing.
    pub up: Option<Number>,
    /// By how much it may be out, each way.
    pub half_width: Option<Number>,
}

/// A limit as it is measured.
#[derive(Clone, PartialEq, Debug)]
pub struct Bound {
    /// Which way it runs.
    pub course: Course,
    /// The value at which it stands.
    pub value: Number,
    /// What it is.
    pub text: String,
}

/// The most ticks asked for along the bottom.
const TICKS_ACROSS: u32 = 7;
/// The most ticks asked for up the side.
const TICKS_UP: u32 = 6;

impl Chart {
    /// Lines, or points where they don't go one way along, with limits.
    ///
    /// A level limit is drawn where it lies no further from the values than they lie apart;
    /// an upright one where it lies among them. The others are told in words.
    pub fn of_lines(title: &str, (across, up): (&Measure, &Measure), lines: &[Line], bounds: &[Bound]) -> Chart {
        let lines: Vec<Line> = lines.iter().map(|line| counted(line, across, up)).collect();
        let bounds: Vec<Bound> = bounds.iter().map(|bound| counted_bound(bound, across, up)).collect();
        let samples = || {
            lines
                .iter()
                .flat_map(|line| &line.samples)
                .filter(|sample| sample.is_whole())
        };
        let along = Range::of(samples().filter_map(|sample| sample.across));
        let values = Range::of(samples().flat_map(Sample::ends));
        let (Some(along), Some(values)) = (along, values) else {
            return Chart::nothing(title, "there is no row with both values");
        };
        let (along, values) = (across.with_zero(along), up.with_zero(values));
        let level = bounds.iter().filter(|bound| bound.course == Course::Level);
        let near = level.map(|bound| bound.value).filter(|value| values.is_near(*value));
        let with_limits = Range::of(near.chain([values.low, values.high])).unwrap_or(values);
        // points by themselves stand clear of the sides
        let joined = lines.iter().all(is_joined);
        let sides = if joined { Ends::Kept } else { Ends::Rounded };
        let (across_axis, along) = axis::axis(across, along, sides, TICKS_ACROSS);
        let (up_axis, height) = axis::axis(up, with_limits, Ends::Rounded, TICKS_UP);
        let place = |line: &Line| placed(line, &along, &height);
        let limits = bounds.iter().filter_map(|bound| bound.placed(&along, &height));
        let teller = Teller { across, up };
        Chart {
            title: title.to_owned(),
            told: teller.lines(&lines, &bounds),
            body: Body::Plane(Plane {
                across: across_axis,
                up: up_axis,
                series: lines.iter().map(place).collect(),
                bins: Vec::new(),
                limits: limits.collect(),
            }),
        }
    }

    /// A bar for each of several things, in their order. Each label with a value in the
    /// unit of the measure, or none.
    pub fn bars(title: &str, measure: &Measure, labels: &[String], values: &[Option<Number>]) -> Chart {
        let counted: Vec<Option<Number>> = values.iter().map(|value| measure.scale.counted((*value)?)).collect();
        let Some(range) = Range::of(counted.iter().flatten().copied().chain([Number::ZERO])) else {
            return Chart::nothing(title, "there is no value");
        };
        if counted.iter().all(Option::is_none) {
            return Chart::nothing(title, "there is no value");
        }
        let bar = |(label, value): (&String, &Option<Number>)| Bar {
            label: label.clone(),
            zero: range.part(Number::ZERO),
            end: value.map(|value| range.part(value)),
            shown: value.map_or("no value".to_owned(), |value| measure.shown(value)),
        };
        Chart {
            title: title.to_owned(),
            told: told::bars(measure, labels, &counted),
            body: Body::Bars(labels.iter().zip(&counted).map(bar).collect()),
        }
    }

    /// A cell for each pair of a value along and one upward; a pair that isn't there has no value.
    pub fn cells(title: &str, (across, up, value): (&Measure, &Measure, &Measure), samples: &[Triple]) -> Chart {
        let counted: Vec<Triple> = samples
            .iter()
            .filter_map(|(x, y, shown)| {
                let shown = shown.and_then(|shown| value.scale.counted(shown));
                Some((across.scale.counted(*x)?, up.scale.counted(*y)?, shown))
            })
            .collect();
        let Some(range) = Range::of(counted.iter().filter_map(|(_, _, value)| *value)) else {
            return Chart::nothing(title, "there is no value");
        };
        let in_order = |mut all: Vec<Number>| {
            all.sort_by(|one, other| one.compare(*other));
            all.dedup();
            all
        };
        let along = in_order(counted.iter().map(|(x, _, _)| *x).collect());
        let upward = in_order(counted.iter().map(|(_, y, _)| *y).collect());
        let cell = |x: &Number, y: &Number| {
            let at = counted.iter().find(|(along, up, _)| along == x && up == y);
            let found = at.and_then(|(_, _, value)| *value);
            (
                found.map(|found| range.part(found)),
                found.map_or(String::new(), |found| value.bare(found)),
            )
        };
        let rows = upward.iter().map(|y| along.iter().map(|x| cell(x, y)).collect());
        let named = |measure: &Measure, all: &[Number]| {
            let ends = Range::of(all.iter().copied()).unwrap_or(range);
            (measure.label(&ends), all.iter().map(|one| measure.bare(*one)).collect())
        };
        Chart {
            title: format!("{title} [{}]", value.unit).replace(" []", ""),
            told: told::cells((across, up, value), &counted),
            body: Body::Cells(Cells {
                across: named(across, &along),
                up: named(up, &upward),
                rows: rows.collect(),
            }),
        }
    }

    /// Columns side by side: from, to, how many; with markers, which are upright. The
    /// columns stand in rising order.
    pub fn histogram(
        title: &str,
        across: &Measure,
        bins: &[(Number, Number, u64)],
        markers: &[(Number, String)],
    ) -> Chart {
        let count = |value: Number| across.scale.counted(value);
        let bins: Vec<(Number, Number, u64)> = bins
            .iter()
            .filter_map(|(from, to, many)| Some((count(*from)?, count(*to)?, *many)))
            .collect();
        let most = bins.iter().map(|(_, _, many)| *many).max().unwrap_or(0);
        let Some(along) = Range::of(bins.iter().flat_map(|(from, to, _)| [*from, *to])).filter(|_| most > 0) else {
            return Chart::nothing(title, "there is nothing to count");
        };
        let number = Measure::plain("draws", "");
        let heights = Range::of([Number::ZERO, whole(most)]).unwrap_or(along);
        let (across_axis, along) = axis::axis(across, along, Ends::Kept, TICKS_ACROSS);
        let (up, heights) = axis::axis(&number, heights, Ends::Rounded, TICKS_UP);
        let bin = |(from, to, many): &(Number, Number, u64)| Bin {
            from: along.part(*from),
            to: along.part(*to),
            height: heights.part(whole(*many)),
        };
        let marker = |(value, text): &(Number, String)| Bound {
            course: Course::Upright,
            value: *value,
            text: text.clone(),
        };
        let markers: Vec<Bound> = markers.iter().map(marker).collect();
        let markers: Vec<Bound> = markers
            .iter()
            .map(|bound| counted_bound(bound, across, &number))
            .collect();
        Chart {
            title: title.to_owned(),
            told: told::histogram(across, &bins, &markers),
            body: Body::Plane(Plane {
                across: across_axis,
                up,
                series: Vec::new(),
                bins: bins.iter().map(bin).collect(),
                limits: markers
                    .iter()
                    .filter_map(|bound| bound.placed(&along, &heights))
                    .collect(),
            }),
        }
    }

    /// The same without a line that is fitted.
    pub(crate) fn without_fitted(mut self) -> Chart {
        if let Body::Plane(plane) = &mut self.body {
            plane.series.retain(|series| series.trace != Trace::Fitted);
        }
        let end = self.told.find(told::FITTED).unwrap_or(self.told.len());
        self.told.truncate(end);
        self
    }

    /// A chart in which nothing can be drawn, with the reason in words.
    pub fn nothing(title: &str, reason: &str) -> Chart {
        Chart {
            title: title.to_owned(),
            told: format!("Nothing can be drawn: {reason}."),
            body: Body::Nothing(reason.to_owned()),
        }
    }
}

/// A value along, one upward, and what is found there.
pub type Triple = (Number, Number, Option<Number>);

impl Sample {
    fn is_whole(&self) -> bool {
        self.across.is_some() && self.up.is_some()
    }

    /// From where to where it may lie; the value itself where it is exact.
    fn ends(&self) -> [Number; 2] {
        let Some(up) = self.up else {
            return [Number::ZERO; 2];
        };
        let spread = self
            .half_width
            .and_then(|by| Some([up.sub(by).ok()?, up.add(by).ok()?]));
        spread.unwrap_or([up; 2])
    }
}

impl Bound {
    /// Where it stands; `None` outside the ranges.
    fn placed(&self, along: &Range, height: &Range) -> Option<Limit> {
        let range = match self.course {
            Course::Level => height,
            Course::Upright => along,
        };
        range.holds(self.value).then(|| Limit {
            course: self.course,
            at: range.part(self.value),
            text: self.text.clone(),
        })
    }
}

impl Measure {
    /// Numbers in a unit.
    pub fn plain(name: &str, unit: &str) -> Measure {
        Measure {
            name: name.to_owned(),
            unit: unit.to_owned(),
            scale: Scale::Plain,
            from_zero: false,
        }
    }

    /// A range with zero in it, where the axis begins there.
    fn with_zero(&self, range: Range) -> Range {
        let counts = matches!(self.scale, Scale::Plain | Scale::HoursAndMinutes);
        let ends = (self.from_zero && counts).then(|| Range::of([range.low, range.high, Number::ZERO]));
        ends.flatten().unwrap_or(range)
    }
}

fn whole(many: u64) -> Number {
    Number::from_integer(i64::try_from(many).unwrap_or(i64::MAX))
}

/// The same points as they are counted along the axes.
fn counted(line: &Line, across: &Measure, up: &Measure) -> Line {
    let sample = |sample: &Sample| Sample {
        across: sample.across.and_then(|value| across.scale.counted(value)),
        up: sample.up.and_then(|value| up.scale.counted(value)),
        half_width: sample.half_width.and_then(|width| up.scale.counted(width)),
    };
    Line {
        label: line.label.clone(),
        samples: line.samples.iter().map(sample).collect(),
        trace: line.trace,
    }
}

fn counted_bound(bound: &Bound, across: &Measure, up: &Measure) -> Bound {
    let scale = match bound.course {
        Course::Level => up.scale,
        Course::Upright => across.scale,
    };
    Bound {
        value: scale.counted(bound.value).unwrap_or(bound.value),
        ..bound.clone()
    }
}

fn placed(line: &Line, along: &Range, height: &Range) -> Series {
    let mut points: Vec<Point> = Vec::with_capacity(line.samples.len());
    for sample in &line.samples {
        let Some(across) = sample.across else {
            // without a place along it is a gap where the last one stood
            let across = points.last().map_or(0.0, |point| point.across);
            points.push(Point {
                across,
                up: None,
                band: None,
            });
            continue;
        };
        let [low, high] = sample.ends();
        points.push(Point {
            across: along.part(across),
            up: sample.up.map(|up| height.part(up)),
            band: (low != high).then(|| (height.part(low), height.part(high))),
        });
    }
    Series {
        label: line.label.clone(),
        points,
        joined: is_joined(line),
        trace: line.trace,
    }
}

fn is_joined(line: &Line) -> bool {
    line.trace != Trace::Readings && one_way(&line.samples)
}

/// Whether the points go along one way, never back.
fn one_way(samples: &[Sample]) -> bool {
    let places: Vec<Number> = samples.iter().filter_map(|sample| sample.across).collect();
    let turns = |wrong: fn(std::cmp::Ordering) -> bool| {
        places
            .windows(2)
            .any(|pair| matches!(pair, [one, other] if wrong(one.compare(*other))))
    };
    !turns(std::cmp::Ordering::is_gt) || !turns(std::cmp::Ordering::is_lt)
}
