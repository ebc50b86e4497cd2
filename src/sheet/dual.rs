//! Binary numbers with their derivatives to the sources of uncertainty.
//!
//! First-order propagation to the *inputs* (JCGM 100:2008, 5.1.2): every value
//! carries its sensitivity to each source, so `x - x` has none. A fit's scatter
//! is a source of its own, shared by all results from the same columns: the mean
//! of the readings and the slope of the line are uncorrelated, so two sources
//! hold all of it. Start reading at [`Dual`] and [`Sources`].

use std::cmp::Ordering;
use std::collections::BTreeMap;

use crate::number::{Checked, Number, Trouble, agree};
use crate::trade::burn::{Line, fit as fit_line, remark_on_reading, remarks_on_run};
use crate::trade::{Argument, Arguments, Body, Built, Complaint, Fit, Function, Parameter, Remark};
use crate::unit::Conversion;

use super::edges::{self, over_the_edge};
use super::made::MadeTables;
use super::scalar::{CallArgument, FitColumns, MadeFor, Rounding, Scalar, paired};

/// A binary number with its sensitivity to each source, sorted by source.
#[derive(Clone, Debug, Default)]
pub struct Dual {
    /// The value.
    pub value: f64,
    /// The derivative to each source that matters.
    pub gradient: Vec<(u32, f64)>,
}

/// Who a source of uncertainty is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum SourceOf {
    /// The tolerance of an entry.
    Cell(u32),
    /// The tolerance of a reading: column slot and row.
    Reading(u32, u32),
    /// The mean of the readings about a line: the line's number, and the slot of its readings.
    ScatterMean(u32, u32),
    /// The slope of a line, likewise.
    ScatterSlope(u32, u32),
    /// One more reading about a line, likewise.
    NextReading(u32, u32),
    /// Many readings, where keeping them apart would take too much room.
    Together(u32),
    /// What only draws can tell: what made the value can change its course inside a tolerance.
    ByDraws,
}

/// A source of uncertainty.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct UncertaintySource {
    /// Who it is.
    pub of: SourceOf,
    /// Its standard uncertainty, in the unit of what it belongs to.
    pub standard: f64,
    /// Its degrees of freedom; infinite where nothing is said.
    pub degrees_of_freedom: f64,
}

/// The sources met in a run, and what was remarked on the way.
#[derive(Default)]
pub struct Sources {
    /// Every source, by number.
    pub list: Vec<UncertaintySource>,
    numbers: BTreeMap<SourceOf, u32>,
    /// The step of the instrument behind the readings of a call, told by their written digits.
    pub steps: BTreeMap<u32, f64>,
    lines: Vec<LineShape>,
    /// Which line each call site has met, and what its readings err by.
    pub noted: BTreeMap<u32, LineNoted>,
    /// Cautions that the values gave rise to: call site, remark.
    pub remarks: Vec<(u32, Remark)>,
    /// The expanded uncertainties of the arguments of each call, where they are asked for.
    pub expanded: Option<BTreeMap<u32, Vec<f64>>>,
    /// The tables that functions made.
    pub made: MadeTables,
}

/// A line through readings, as a call site has met it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LineNoted {
    /// Its number: lines through the same readings have one.
    pub line: u32,
    /// The column slot of its readings.
    pub slot: u32,
    /// The standard uncertainty of one reading that the instrument gives, in the unit of the readings.
    pub instrument: f64,
    /// The degrees of freedom of its scatter; infinite where only the instrument is known.
    pub degrees_of_freedom: f64,
}

impl LineNoted {
    /// The standard deviation of the readings about the line: what they scatter by, or
    /// the instrument, whichever is larger; the instrument's where two readings can't tell.
    pub fn scatter(&self, line: &Line) -> f64 {
        if self.degrees_of_freedom.is_finite() {
            line.residual_sd.max(self.instrument)
        } else {
            self.instrument
        }
    }
}

/// The shape of the readings about a line, free of unit and zero: two lines
/// through the same readings share their scatter, whatever unit they are in.
struct LineShape {
    x: Vec<f64>,
    y: Vec<f64>,
    slots: (u32, u32),
    /// The call it was first met in, and the scatter of one reading in the unit of that call.
    met: (u32, f64),
}

impl LineShape {
    fn of(x: &[f64], y: &[f64], slots: (u32, u32), met: (u32, f64)) -> LineShape {
        LineShape {
            x: without_scale(x),
            y: without_scale(y),
            slots,
            met,
        }
    }

    fn is(&self, other: &LineShape) -> bool {
        let level = self.y.iter().all(|y| *y == 0.0);
        same_shape(&self.x, &other.x) && same_shape(&self.y, &other.y) && (!level || self.slots == other.slots)
    }
}

fn without_scale(values: &[f64]) -> Vec<f64> {
    let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
    let widest = values.iter().map(|value| (value - mean).abs()).fold(0.0, f64::max);
    let largest = values.iter().map(|value| value.abs()).fold(0.0, f64::max);
    let scale = if widest > largest * 1e-12 {
        widest
    } else {
        f64::INFINITY
    };
    values.iter().map(|value| (value - mean) / scale).collect()
}

fn same_shape(one: &[f64], other: &[f64]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(one, other)| (one - other).abs() < 1e-9)
}

/// A result's uncertainty.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Uncertainty {
    /// The combined standard uncertainty.
    pub standard: f64,
    /// Effective degrees of freedom (Welch–Satterthwaite); infinite where none are given.
    pub degrees_of_freedom: f64,
}

impl Sources {
    /// Without sources, but with the tables that functions made before.
    pub fn with_made(made: MadeTables) -> Sources {
        Sources {
            made,
            ..Sources::default()
        }
    }

    /// The number of a source, new or known.
    pub fn number(&mut self, of: SourceOf, standard: f64, degrees_of_freedom: f64) -> u32 {
        if let Some(number) = self.numbers.get(&of) {
            return *number;
        }
        let number = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
        self.list.push(UncertaintySource {
            of,
            standard,
            degrees_of_freedom,
        });
        self.numbers.insert(of, number);
        number
    }

    /// The line through these readings, by number and the slot it was first met with.
    fn line(&mut self, shape: LineShape) -> (u32, u32) {
        let known = self.lines.iter().position(|line| line.is(&shape));
        let number = known.unwrap_or(self.lines.len());
        let slot = self.lines.get(number).unwrap_or(&shape).slots.1;
        if known.is_none() {
            self.lines.push(shape);
        }
        (u32::try_from(number).unwrap_or(u32::MAX), slot)
    }

    /// The call in which a line was first met, and the standard deviation of one reading
    /// about it in the unit of that call.
    pub fn line_met(&self, line: u32) -> Option<(u32, f64)> {
        self.lines.get(line as usize).map(|shape| shape.met)
    }

    /// A part of a line's scatter, which may be known already in another unit.
    fn scatter(&mut self, of: SourceOf, standard: f64, freedom: f64) -> Dual {
        let number = self.number(of, standard, freedom);
        let known = self
            .list
            .get(number as usize)
            .map_or(standard, |source| source.standard);
        let sensitivity = if known > 0.0 { standard / known } else { 1.0 };
        Dual {
            value: 0.0,
            gradient: vec![(number, sensitivity)],
        }
    }

    /// The combined uncertainty of a value (JCGM 100:2008, 5.1.2 and G.4.1).
    pub fn combined(&self, dual: &Dual) -> Uncertainty {
        let mut variance = 0.0;
        let mut by_group: BTreeMap<SourceOf, (f64, f64)> = BTreeMap::new();
        for (number, sensitivity) in &dual.gradient {
            let Some(source) = self.list.get(*number as usize) else {
                continue;
            };
            let share = (sensitivity * source.standard).powi(2);
            variance += share;
            if source.degrees_of_freedom.is_finite() {
                by_group
                    .entry(group(source.of))
                    .or_insert((0.0, source.degrees_of_freedom))
                    .0 += share;
            }
        }
        let below: f64 = by_group.values().map(|(share, freedom)| share * share / freedom).sum();
        let degrees_of_freedom = if below > 0.0 {
            variance * variance / below
        } else {
            f64::INFINITY
        };
        Uncertainty {
            standard: libm::sqrt(variance),
            degrees_of_freedom,
        }
    }

    /// One source of the same uncertainty as these sensitivities have together.
    fn together(&mut self, readings: Vec<(u32, f64)>) -> u32 {
        let gradient = readings;
        let combined = self.combined(&Dual { value: 0.0, gradient });
        let number = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
        self.list.push(UncertaintySource {
            of: SourceOf::Together(number),
            standard: combined.standard,
            degrees_of_freedom: combined.degrees_of_freedom,
        });
        number
    }

    fn is_reading(&self, number: u32) -> bool {
        matches!(
            self.list.get(number as usize).map(|source| source.of),
            Some(SourceOf::Reading(..) | SourceOf::Together(_))
        )
    }

    /// The uncertainty of one reading that its own tolerance gives.
    fn own_reading(&self, cell: &Dual) -> f64 {
        let own = cell.gradient.iter().filter(|(number, _)| self.is_reading(*number));
        let squares = own.map(|(number, slope)| {
            let standard = self.list.get(*number as usize).map_or(0.0, |source| source.standard);
            (slope * standard).powi(2)
        });
        libm::sqrt(squares.sum())
    }
}

/// The two parts of a fit's scatter share their degrees of freedom.
fn group(of: SourceOf) -> SourceOf {
    match of {
        SourceOf::ScatterSlope(x, y) | SourceOf::NextReading(x, y) => SourceOf::ScatterMean(x, y),
        other => other,
    }
}

impl Dual {
    /// A value without uncertainty.
    pub fn constant(value: f64) -> Dual {
        Dual {
            value,
            gradient: Vec::new(),
        }
    }

    /// A value that is a source itself.
    pub fn source(value: f64, number: u32) -> Dual {
        Dual {
            value,
            gradient: vec![(number, 1.0)],
        }
    }

    fn scaled(&self, value: f64, slope: f64) -> Checked<Dual> {
        let gradient = self
            .gradient
            .iter()
            .map(|(number, part)| (*number, part * slope))
            .collect();
        Dual { value, gradient }.finite()
    }

    fn joined(&self, other: &Dual, value: f64, slopes: (f64, f64)) -> Checked<Dual> {
        Dual {
            value,
            gradient: merged(&self.gradient, &other.gradient, slopes),
        }
        .finite()
    }

    fn finite(self) -> Checked<Dual> {
        if self.value.is_finite() {
            Ok(self)
        } else {
            Err(Trouble::TooLarge)
        }
    }
}

/// The sum of two sensitivities; what is left of two that cancel but for rounding is none.
fn together(one: f64, other: f64) -> f64 {
    let sum = one + other;
    if sum.abs() <= 1e-13 * (one.abs() + other.abs()) {
        0.0
    } else {
        sum
    }
}

fn merged(left: &[(u32, f64)], right: &[(u32, f64)], slopes: (f64, f64)) -> Vec<(u32, f64)> {
    let mut all = Vec::with_capacity(left.len() + right.len());
    let (mut i, mut j) = (0, 0);
    loop {
        let next = match (left.get(i), right.get(j)) {
            (Some(a), Some(b)) if a.0 == b.0 => {
                (i, j) = (i + 1, j + 1);
                (a.0, together(a.1 * slopes.0, b.1 * slopes.1))
            }
            (Some(a), Some(b)) if a.0 > b.0 => {
                j += 1;
                (b.0, b.1 * slopes.1)
            }
            (Some(a), _) => {
                i += 1;
                (a.0, a.1 * slopes.0)
            }
            (None, Some(b)) => {
                j += 1;
                (b.0, b.1 * slopes.1)
            }
            (None, None) => return all,
        };
        if next.1 != 0.0 {
            all.push(next);
        }
    }
}

impl Scalar for Dual {
    type Context = Sources;

    fn exact(value: Number) -> Self {
        Dual::constant(value.to_f64())
    }
    fn weight(&self) -> usize {
        self.gradient.len()
    }
    /// Its readings count as one source; what it shares with other values stays apart.
    fn condensed(self, most: usize, sources: &mut Sources) -> Self {
        if self.gradient.len() <= most {
            return self;
        }
        let (readings, mut gradient): (Vec<_>, Vec<_>) = self
            .gradient
            .iter()
            .partition(|(number, _)| sources.is_reading(*number));
        if readings.len() > 1 {
            gradient.push((sources.together(readings), 1.0));
            return Dual { gradient, ..self };
        }
        self
    }
    fn add(&self, other: &Self) -> Checked<Self> {
        self.joined(other, self.value + other.value, (1.0, 1.0))
    }
    fn sum(values: &[Self]) -> Checked<Self> {
        let parts = values.iter().flat_map(|value| &value.gradient).copied().collect();
        Dual {
            value: values.iter().map(|value| value.value).sum(),
            gradient: summed(parts),
        }
        .finite()
    }
    fn subtract(&self, other: &Self) -> Checked<Self> {
        self.joined(other, self.value - other.value, (1.0, -1.0))
    }
    fn multiply(&self, other: &Self) -> Checked<Self> {
        self.joined(other, self.value * other.value, (other.value, self.value))
    }
    fn divide(&self, other: &Self) -> Checked<Self> {
        if other.value == 0.0 {
            return Err(Trouble::DivisionByZero);
        }
        let quotient = self.value / other.value;
        self.joined(other, quotient, (1.0 / other.value, -quotient / other.value))
    }
    fn power(&self, other: &Self) -> Checked<Self> {
        let value = libm::pow(self.value, other.value);
        let to_base = other.value * libm::pow(self.value, other.value - 1.0);
        let to_exponent = if other.gradient.is_empty() {
            0.0
        } else {
            value * libm::log(self.value)
        };
        self.joined(other, value, (to_base, to_exponent))
    }
    fn negate(&self) -> Self {
        let gradient = self.gradient.iter().map(|(number, part)| (*number, -part)).collect();
        Dual {
            value: -self.value,
            gradient,
        }
    }
    fn convert(&self, conversion: &Conversion) -> Checked<Self> {
        self.scaled(conversion.apply_f64(self.value), conversion.ratio.to_f64())
    }
    fn compare(&self, other: &Self) -> Ordering {
        let larger = self.value.abs().max(other.value.abs());
        if agree(self.value - other.value, larger) {
            Ordering::Equal
        } else {
            self.order(other)
        }
    }
    fn order(&self, other: &Self) -> Ordering {
        self.value.total_cmp(&other.value)
    }
    fn square_root(&self) -> Checked<Self> {
        if self.value < 0.0 {
            return Err(Trouble::RootOfNegative);
        }
        let root = libm::sqrt(self.value);
        if self.gradient.is_empty() {
            return Ok(Dual::constant(root));
        }
        self.scaled(root, 0.5 / root)
    }
    fn exponential(&self) -> Checked<Self> {
        let value = libm::exp(self.value);
        self.scaled(value, value)
    }
    fn natural_logarithm(&self) -> Checked<Self> {
        self.scaled(libm::log(self.value), 1.0 / self.value)
    }
    fn decimal_logarithm(&self) -> Checked<Self> {
        self.scaled(libm::log10(self.value), std::f64::consts::LOG10_E / self.value)
    }
    fn whole(&self, way: Rounding) -> Self {
        Dual::constant(self.value.whole(way))
    }
    fn plain(&self) -> Number {
        Number::from_f64(self.value).unwrap_or_default()
    }
    fn is_true(&self) -> bool {
        self.value != 0.0
    }

    fn call(
        site: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<Self, Complaint> {
        let call = BinaryCall::new(function, arguments, context)?;
        if let Some(expanded) = &mut context.expanded {
            expanded.insert(site, call.expanded.clone());
        }
        if let Some(appraise) = function.appraise {
            let remarks = call.with(appraise);
            context.remarks.extend(remarks.into_iter().map(|remark| (site, remark)));
        }
        let value = call.value()?;
        let edges = call
            .edges()
            .map(|argument| (site, over_the_edge(function.name, argument)));
        context.remarks.extend(edges);
        Ok(value)
    }

    fn made(
        site: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<MadeFor, Complaint> {
        let made = context.made.get(function, arguments)?;
        let remarks = made.remarks.iter().cloned();
        context.remarks.extend(remarks.map(|remark| (site, remark)));
        let uncertain = arguments.iter().any(is_uncertain);
        let doubt = uncertain.then(|| context.number(SourceOf::ByDraws, f64::NAN, f64::INFINITY));
        Ok(MadeFor { made, doubt })
    }

    fn doubted(value: Number, doubt: Option<u32>) -> Self {
        match doubt {
            // how the cells move together isn't known, so that nothing cancels
            Some(number) => Dual {
                value: value.to_f64(),
                gradient: vec![(number, f64::NAN)],
            },
            None => Dual::exact(value),
        }
    }

    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint> {
        fit_dual(columns, context)
    }

    fn remark_built(site: u32, built: Built, arguments: &[CallArgument<'_, Self>], context: &mut Self::Context) {
        let found = edges::of_built(built, arguments, context);
        context.remarks.extend(found.into_iter().map(|remark| (site, remark)));
    }
}

/// Whether an argument has any uncertainty.
fn is_uncertain(argument: &CallArgument<'_, Dual>) -> bool {
    let any = |cells: &[Option<Dual>]| cells.iter().flatten().any(|cell| !cell.gradient.is_empty());
    match argument {
        CallArgument::Number(dual) => !dual.gradient.is_empty(),
        CallArgument::Text(_) => false,
        CallArgument::Column(cells) => any(cells),
        CallArgument::Schedule(schedule) => any(schedule.hours) || any(schedule.values),
    }
}

/// A trade function in binary, with its arguments pulled apart.
struct BinaryCall<'a> {
    drawn: fn(&Arguments<'_, f64>) -> Result<f64, Complaint>,
    numbers: Vec<BinaryArgument<'a>>,
    expanded: Vec<f64>,
    parameters: &'static [Parameter],
}

enum BinaryArgument<'a> {
    Number(&'a Dual),
    Text(&'a str),
    Column(Vec<Option<f64>>, &'a [Option<Dual>]),
}

impl<'a> BinaryCall<'a> {
    fn new(
        function: &'static Function,
        arguments: &'a [CallArgument<'a, Dual>],
        sources: &Sources,
    ) -> Result<Self, Complaint> {
        let Body::Rule { drawn, .. } = function.body else {
            return Err(Trouble::TooLarge.into());
        };
        let numbers = arguments.iter().map(|argument| match argument {
            CallArgument::Number(dual) => BinaryArgument::Number(dual),
            CallArgument::Text(text) => BinaryArgument::Text(text),
            CallArgument::Column(cells) => BinaryArgument::Column(
                cells.iter().map(|cell| cell.as_ref().map(|dual| dual.value)).collect(),
                cells,
            ),
            // only tables are made of schedules
            CallArgument::Schedule(_) => BinaryArgument::Text(""),
        });
        let expanded = arguments.iter().map(|argument| match argument {
            CallArgument::Number(dual) => 2.0 * sources.combined(dual).standard,
            _ => 0.0,
        });
        let expanded = expanded.map(|tolerance| if tolerance.is_finite() { tolerance } else { 0.0 });
        Ok(BinaryCall {
            drawn,
            numbers: numbers.collect(),
            expanded: expanded.collect(),
            parameters: function.parameters,
        })
    }

    fn values(&self) -> Vec<Argument<'_, f64>> {
        let values = self.numbers.iter().map(|argument| match argument {
            BinaryArgument::Number(dual) => Argument::Number(dual.value),
            BinaryArgument::Text(text) => Argument::Text(text),
            BinaryArgument::Column(cells, _) => Argument::Column(cells),
        });
        values.collect()
    }

    fn with<T>(&self, look: impl Fn(&Arguments<'_, f64>) -> T) -> T {
        look(&Arguments {
            values: &self.values(),
            expanded: &self.expanded,
        })
    }

    fn value(&self) -> Result<Dual, Complaint> {
        let value = self.with(self.drawn)?;
        let mut result = Dual::constant(value);
        for (index, argument) in self.numbers.iter().enumerate() {
            match argument {
                BinaryArgument::Number(dual) if !dual.gradient.is_empty() => {
                    let slope = slope(dual.value, value, |x| self.moved(index, x));
                    result = result.joined(dual, value, (1.0, slope))?;
                }
                BinaryArgument::Column(cells, duals) => {
                    result = self.column_parts(index, cells, duals, result)?;
                }
                _ => {}
            }
        }
        Ok(result)
    }

    /// The parameters inside whose ± the function has no value on one side.
    fn edges(&self) -> impl Iterator<Item = &'static str> {
        let over = |(index, argument): (usize, &BinaryArgument<'_>)| {
            let BinaryArgument::Number(dual) = argument else {
                return None;
            };
            let reach = edges::reach_of(self.expanded.get(index)? / 2.0);
            let has_value = |x: f64| self.moved(index, x).is_some();
            let over = reach > 0.0 && !(has_value(dual.value + reach) && has_value(dual.value - reach));
            self.parameters
                .get(index)
                .filter(|_| over)
                .map(|parameter| parameter.name)
        };
        self.numbers
            .iter()
            .enumerate()
            .filter_map(over)
            .collect::<Vec<_>>()
            .into_iter()
    }

    fn moved(&self, index: usize, x: f64) -> Option<f64> {
        let mut values = self.values();
        if let Some(place) = values.get_mut(index) {
            *place = Argument::Number(x);
        }
        (self.drawn)(&Arguments {
            values: &values,
            expanded: &self.expanded,
        })
        .ok()
    }

    /// What the toleranced rows of a column bring in. Where there are very many, rows
    /// that follow each other are moved together, and share what comes of it.
    fn column_parts(
        &self,
        index: usize,
        cells: &[Option<f64>],
        duals: &[Option<Dual>],
        result: Dual,
    ) -> Result<Dual, Complaint> {
        let value = result.value;
        let uncertain = (0..).zip(duals).filter_map(|(row, dual)| Some((row, dual.as_ref()?)));
        let uncertain: Vec<(usize, &Dual)> = uncertain.filter(|(_, dual)| !dual.gradient.is_empty()).collect();
        let groups = (MOST_CELLS_MOVED / cells.len().max(1)).max(4);
        let mut parts = Vec::new();
        for group in uncertain.chunks(uncertain.len().div_ceil(groups).max(1)) {
            let largest = group.iter().map(|(_, dual)| dual.value.abs()).fold(0.0, f64::max);
            let moved = |x: f64| self.rows_moved(index, cells, group, x - largest);
            let slope = slope(largest, value, moved) / group.len() as f64;
            for (_, dual) in group {
                parts.extend(dual.gradient.iter().map(|(number, part)| (*number, part * slope)));
            }
        }
        let gradient = summed(parts);
        Ok(result.joined(&Dual { value: 0.0, gradient }, value, (1.0, 1.0))?)
    }

    /// The value with some rows of a column moved by as much.
    fn rows_moved(&self, index: usize, cells: &[Option<f64>], rows: &[(usize, &Dual)], by: f64) -> Option<f64> {
        let mut cells = cells.to_vec();
        for (row, dual) in rows {
            if let Some(cell) = cells.get_mut(*row) {
                *cell = Some(dual.value + by);
            }
        }
        let mut values = self.values();
        if let Some(place) = values.get_mut(index) {
            *place = Argument::Column(&cells);
        }
        (self.drawn)(&Arguments {
            values: &values,
            expanded: &self.expanded,
        })
        .ok()
    }
}

/// How many cells may be looked at while the rows of a column are moved in turn.
const MOST_CELLS_MOVED: usize = 2_000_000;

/// Sensitivities by source, each source once.
fn summed(mut parts: Vec<(u32, f64)>) -> Vec<(u32, f64)> {
    parts.sort_by_key(|(number, _)| *number);
    let mut all: Vec<(u32, f64)> = Vec::with_capacity(parts.len());
    for (number, part) in parts {
        match all.last_mut() {
            Some(last) if last.0 == number => last.1 += part,
            _ => all.push((number, part)),
        }
    }
    all.retain(|(_, part)| *part != 0.0);
    all
}

/// The derivative at `x`, by five points; by two where a side is out of range.
fn slope(x: f64, here: f64, f: impl Fn(f64) -> Option<f64>) -> f64 {
    let step = x.abs().max(1e-3) * 1e-3;
    let (up, down) = (f(x + step), f(x - step));
    match (up, down, f(x + 2.0 * step), f(x - 2.0 * step)) {
        (Some(up), Some(down), Some(far_up), Some(far_down)) => {
            (8.0 * (up - down) - (far_up - far_down)) / (12.0 * step)
        }
        (Some(up), Some(down), _, _) => (up - down) / (2.0 * step),
        (Some(up), None, _, _) => (up - here) / step,
        (None, Some(down), _, _) => (here - down) / step,
        _ => 0.0,
    }
}

fn fit_dual(columns: &FitColumns<'_, Dual>, sources: &mut Sources) -> Result<Dual, Complaint> {
    let (x, y) = paired(columns.x, columns.y)?;
    let (xs, ys): (Vec<f64>, Vec<f64>) = x.iter().zip(&y).map(|(x, y)| (x.value, y.value)).unzip();
    let line = fit_line(&xs, &ys)?;
    let count = xs.len() as f64;
    let step = sources.steps.get(&columns.site).copied().unwrap_or(0.0);
    let declared = y.iter().map(|cell| sources.own_reading(cell)).fold(0.0, f64::max);
    let instrument = if declared > 0.0 {
        declared
    } else {
        step / libm::sqrt(12.0)
    };
    let freedom = if xs.len() > 2 { count - 2.0 } else { f64::INFINITY };
    remark(columns, &xs, &ys, (instrument, step), sources);
    let mut noted = LineNoted {
        line: 0,
        slot: columns.slots.1,
        instrument,
        degrees_of_freedom: freedom,
    };
    let scatter = noted.scatter(&line);
    let (id, slot) = sources.line(LineShape::of(&xs, &ys, columns.slots, (columns.site, scatter)));
    (noted.line, noted.slot) = (id, slot);
    sources.noted.insert(columns.site, noted);
    let mean = sources.scatter(SourceOf::ScatterMean(id, slot), scatter / libm::sqrt(count), freedom);
    let tilt = sources.scatter(
        SourceOf::ScatterSlope(id, slot),
        scatter / libm::sqrt(line.sxx),
        freedom,
    );

    // systematic parts: what all readings share doesn't show in the scatter
    let mut slope = Dual::constant(line.slope);
    let mut middle = Dual::constant(line.mean_y);
    for ((x, y), (dx, dy)) in x.iter().zip(&y).zip(
        xs.iter()
            .map(|x| x - line.mean_x)
            .zip(ys.iter().map(|y| y - line.mean_y)),
    ) {
        let shared = Dual {
            value: y.value,
            gradient: y
                .gradient
                .iter()
                .filter(|part| !sources.is_reading(part.0))
                .copied()
                .collect(),
        };
        slope = slope.joined(&shared, line.slope, (1.0, dx / line.sxx))?;
        middle = middle.joined(&shared, line.mean_y, (1.0, 1.0 / count))?;
        slope = slope.joined(x, line.slope, (1.0, (dy - 2.0 * line.slope * dx) / line.sxx))?;
        // the middle is where mean_x was: a shift along moves the line under it
        middle = middle.joined(x, line.mean_y, (1.0, -line.slope / count))?;
    }
    slope = slope.joined(&tilt, line.slope, (1.0, 1.0))?;
    middle = middle.joined(&mean, line.mean_y, (1.0, 1.0))?;

    let on_line = |at: &Dual| -> Checked<Dual> {
        let reach = at.subtract(&Dual::constant(line.mean_x))?;
        middle.add(&slope.multiply(&reach)?)
    };
    Ok(match columns.fit {
        Fit::BurnRate => slope.negate(),
        Fit::Slope => slope,
        Fit::Intercept => on_line(&Dual::constant(0.0))?,
        Fit::LineAt => on_line(&columns.at.clone().unwrap_or_default())?,
        Fit::ReadingAt => {
            let next = sources.scatter(SourceOf::NextReading(id, slot), scatter, freedom);
            on_line(&columns.at.clone().unwrap_or_default())?.add(&next)?
        }
    })
}

/// What to be careful of in these readings.
fn remark(
    columns: &FitColumns<'_, Dual>,
    xs: &[f64],
    ys: &[f64],
    (of_reading, step): (f64, f64),
    sources: &mut Sources,
) {
    let found = match (columns.fit, &columns.at) {
        (Fit::BurnRate, _) => remarks_on_run(xs, ys, of_reading, step),
        (_, Some(at)) => remark_on_reading(xs, at.value).into_iter().collect(),
        _ => Vec::new(),
    };
    let found = found.into_iter().chain(edges::of_fit(columns, xs, sources));
    let found: Vec<(u32, Remark)> = found.map(|remark| (columns.site, remark)).collect();
    sources.remarks.extend(found);
}
