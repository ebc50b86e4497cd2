//! Binary numbers with their derivatives to the sources of uncertainty.
//!
//! First-order propagation to the *inputs* (JCGM 100:2008, 5.1.2): every value
//! carries its sensitivity to each source, so `x - x` has none. Each reading of a
//! table is a source of its own, whoever uses it. What the sources of a fit are is
//! settled in [`super::fits`]. Start reading at [`Dual`] and [`Sources`].

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::{Checked, Number, Trouble, agree};
use crate::trade::line::student_k;
use crate::trade::{Argument, Arguments, Body, Built, Complaint, Function, Made, Parameter, Remark, Told};
use crate::unit::Conversion;

use super::crossing::Crossing;
use super::edges::{self, over_the_edge};
use super::fits::{FitNoted, FitShape, fit};
use super::made::MadeTables;
use super::objections::{Questioned, TwoWords};
use super::scalar::{CallArgument, FitColumns, MadeFor, Rounding, Scalar};

/// A binary number with its sensitivity to each source, sorted by source.
#[derive(Clone, Debug, Default)]
pub struct Dual {
    /// The value.
    pub value: f64,
    /// The derivative to each source that matters.
    pub gradient: Vec<(u32, f64)>,
    /// Where it comes of a line that comes down to a value: what tells its uneven limits.
    pub(super) crossing: Option<Arc<Crossing>>,
}

/// Who a source of uncertainty is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum SourceOf {
    /// The tolerance of an entry.
    Cell(u32),
    /// The tolerance of a reading: column slot and row.
    Reading(u32, u32),
    /// One more reading about a line, by the number of the fit.
    NextReading(u32),
    /// What a fit scatters by beyond its readings: the number of the fit, and which of its
    /// independent parts.
    Beyond(u32, u32),
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
    /// What of that was declared or is the step of the display; the rest is scatter.
    pub declared: f64,
    /// Whether it was declared by limits, which it doesn't leave.
    pub limits: bool,
    /// Its degrees of freedom; infinite where nothing is said.
    pub degrees_of_freedom: f64,
    /// With whom it shares them.
    pub group: Group,
}

impl UncertaintySource {
    /// The uncertainty of what it belongs to, where it is used by itself.
    pub fn alone(&self) -> Uncertainty {
        Uncertainty {
            standard: self.standard,
            degrees_of_freedom: self.degrees_of_freedom,
            most: match self.limits {
                true => libm::sqrt(3.0) * self.standard,
                false => f64::INFINITY,
            },
        }
    }
}

/// Who knows its spread from the same scatter, and so shares its degrees of freedom.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    /// Nobody else.
    Alone,
    /// The readings of a column, by its slot.
    Column(u32),
    /// What a fit has beyond its readings, by its number.
    Fit(u32),
}

/// The sources met in a run, and what was remarked on the way.
#[derive(Default)]
pub struct Sources {
    /// Every source, by number.
    pub list: Vec<UncertaintySource>,
    numbers: BTreeMap<SourceOf, u32>,
    /// The step of the instrument behind the readings of a call, told by their written digits.
    pub steps: BTreeMap<u32, f64>,
    /// The columns whose readings scatter by more than was declared, with the degrees of
    /// freedom of that scatter.
    pub scattered: BTreeMap<u32, f64>,
    /// The fits met, by number.
    pub(super) fits: Vec<FitShape>,
    /// What each call site that draws a line has met.
    pub noted: BTreeMap<u32, FitNoted>,
    /// The columns of two words beside the readings of each call that wasn't told what hung there.
    pub(super) beside: BTreeMap<u32, Vec<TwoWords>>,
    /// What readings say against their line: call site, question.
    pub(super) questioned: Vec<(u32, Questioned)>,
    /// Cautions that the values gave rise to: call site, remark.
    pub remarks: Vec<(u32, Remark)>,
    /// The expanded uncertainties of the arguments of each call, where they are asked for.
    pub expanded: Option<BTreeMap<u32, Vec<f64>>>,
    /// The tables that functions made.
    pub made: MadeTables,
    /// Whether one of them was made of what isn't sure.
    pub made_of_unsure: bool,
    /// Those that were, each once: a draw makes them anew.
    pub to_draw: Vec<Arc<Made>>,
}

/// A result's uncertainty.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Uncertainty {
    /// The combined standard uncertainty.
    pub standard: f64,
    /// Effective degrees of freedom (Welch–Satterthwaite); infinite where none are given.
    pub degrees_of_freedom: f64,
    /// How far it is off at most, where all it rests on has limits; else infinite.
    pub most: f64,
}

impl Uncertainty {
    /// None at all.
    pub const NONE: Uncertainty = Uncertainty {
        standard: 0.0,
        degrees_of_freedom: f64::INFINITY,
        most: 0.0,
    };

    /// A standard uncertainty of which nothing else is known.
    pub fn of(standard: f64) -> Uncertainty {
        Uncertainty {
            standard,
            degrees_of_freedom: f64::INFINITY,
            most: f64::INFINITY,
        }
    }

    /// What covers about 95 %: k times the standard uncertainty, and no more than can be.
    pub fn expanded(&self) -> f64 {
        self.expanded_by_k().min(self.most)
    }

    /// Student's k times the standard uncertainty, whatever its limits.
    pub(crate) fn expanded_by_k(&self) -> f64 {
        student_k(self.degrees_of_freedom) * self.standard
    }
}

impl Sources {
    /// Without sources, but with the tables that functions made before.
    pub(crate) fn with_made(made: MadeTables) -> Sources {
        Sources {
            made,
            ..Sources::default()
        }
    }

    /// The number of a source that was declared, new or known.
    pub fn number(&mut self, of: SourceOf, standard: f64, (limits, degrees_of_freedom): (bool, f64)) -> u32 {
        self.number_of(UncertaintySource {
            of,
            standard,
            declared: standard,
            limits,
            degrees_of_freedom,
            group: Group::Alone,
        })
    }

    /// The number of a source, new or known.
    pub fn number_of(&mut self, source: UncertaintySource) -> u32 {
        if let Some(number) = self.numbers.get(&source.of) {
            return *number;
        }
        let number = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
        self.list.push(source);
        self.numbers.insert(source.of, number);
        number
    }

    /// A source, which may be known already in another unit, as a value that is zero.
    pub(super) fn deviation(&mut self, source: UncertaintySource) -> Dual {
        let number = self.number_of(source);
        let known = self.source(number).map_or(source.standard, |known| known.standard);
        let sensitivity = if known > 0.0 { source.standard / known } else { 1.0 };
        Dual::of(0.0, vec![(number, sensitivity)])
    }

    /// A source by its number.
    pub fn source(&self, number: u32) -> Option<&UncertaintySource> {
        self.list.get(number as usize)
    }

    /// The combined uncertainty of a value (JCGM 100:2008, 5.1.2 and G.4.1).
    pub fn combined(&self, dual: &Dual) -> Uncertainty {
        let (mut variance, mut most) = (0.0, 0.0);
        let mut by_group: BTreeMap<(Group, u32), (f64, f64)> = BTreeMap::new();
        for (number, sensitivity) in &dual.gradient {
            let Some(source) = self.source(*number) else {
                continue;
            };
            let share = (sensitivity * source.standard).powi(2);
            variance += share;
            most += match source.limits {
                true => libm::sqrt(3.0 * share),
                false if share > 0.0 => f64::INFINITY,
                false => 0.0,
            };
            if source.degrees_of_freedom.is_finite() {
                let own = if source.group == Group::Alone { *number } else { 0 };
                by_group
                    .entry((source.group, own))
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
            most,
        }
    }

    /// One source of the same uncertainty as these sensitivities have together.
    fn together(&mut self, readings: Vec<(u32, f64)>) -> u32 {
        let gradient = readings;
        let combined = self.combined(&Dual::of(0.0, gradient));
        let number = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
        self.list.push(UncertaintySource {
            of: SourceOf::Together(number),
            standard: combined.standard,
            declared: combined.standard,
            limits: false,
            degrees_of_freedom: combined.degrees_of_freedom,
            group: Group::Alone,
        });
        number
    }

    pub(super) fn is_reading(&self, number: u32) -> bool {
        matches!(
            self.list.get(number as usize).map(|source| source.of),
            Some(SourceOf::Reading(..) | SourceOf::Together(_))
        )
    }
}

impl Dual {
    /// A value without uncertainty.
    pub fn constant(value: f64) -> Dual {
        Dual::of(value, Vec::new())
    }

    /// A value that is a source itself.
    pub fn source(value: f64, number: u32) -> Dual {
        Dual::of(value, vec![(number, 1.0)])
    }

    /// A value with its sensitivities, sorted by source.
    pub(super) fn of(value: f64, gradient: Vec<(u32, f64)>) -> Dual {
        Dual {
            value,
            gradient,
            crossing: None,
        }
    }

    fn scaled(&self, value: f64, slope: f64) -> Checked<Dual> {
        let gradient = self
            .gradient
            .iter()
            .map(|(number, part)| (*number, part * slope))
            .collect();
        Dual::of(value, gradient).finite()
    }

    pub(super) fn joined(&self, other: &Dual, value: f64, slopes: (f64, f64)) -> Checked<Dual> {
        Dual::of(value, merged(&self.gradient, &other.gradient, slopes)).finite()
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
    if sum.abs() <= CANCELLED * (one.abs() + other.abs()) {
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
    /// A reading that is accused is named by its row.
    const KEEPS_ROWS: bool = true;

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
        let sum = self.joined(other, self.value + other.value, (1.0, 1.0))?;
        Ok(sum.crossed_with(self, other))
    }
    fn sum(values: &[Self]) -> Checked<Self> {
        let parts = values.iter().flat_map(|value| &value.gradient).copied().collect();
        Dual::of(values.iter().map(|value| value.value).sum(), summed(parts)).finite()
    }
    fn subtract(&self, other: &Self) -> Checked<Self> {
        let gap = self.joined(other, self.value - other.value, (1.0, -1.0))?;
        Ok(match other.crossing {
            Some(_) => gap.crossed_with(self, &other.negate()),
            None => gap.crossed_with(self, other),
        })
    }
    fn multiply(&self, other: &Self) -> Checked<Self> {
        let product = self.joined(other, self.value * other.value, (other.value, self.value))?;
        Ok(match (self.gradient.is_empty(), other.gradient.is_empty()) {
            (false, true) => product.crossed_from(self, other.value),
            (true, false) => product.crossed_from(other, self.value),
            _ => product,
        })
    }
    fn divide(&self, other: &Self) -> Checked<Self> {
        if other.value == 0.0 {
            return Err(Trouble::DivisionByZero);
        }
        let quotient = self.value / other.value;
        let exact = other.gradient.is_empty();
        let quotient = self.joined(other, quotient, (1.0 / other.value, -quotient / other.value))?;
        Ok(match exact {
            true => quotient.crossed_from(self, 1.0 / other.value),
            false => quotient,
        })
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
        Dual::of(-self.value, gradient).crossed_from(self, -1.0)
    }
    fn convert(&self, conversion: &Conversion) -> Checked<Self> {
        let ratio = conversion.ratio.to_f64();
        let converted = self.scaled(conversion.apply_f64(self.value), ratio)?;
        Ok(converted.crossed_from(self, ratio))
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
    fn binary(&self) -> f64 {
        self.value
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
        let of_each = function.told == Told::OfEach;
        let edges = call
            .edges()
            .filter(|_| of_each)
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
        context.made_of_unsure |= uncertain;
        if uncertain && !context.to_draw.iter().any(|known| Arc::ptr_eq(known, &made)) {
            context.to_draw.push(Arc::clone(&made));
        }
        let doubt = uncertain.then(|| context.number(SourceOf::ByDraws, f64::NAN, (false, f64::INFINITY)));
        Ok(MadeFor { made, doubt })
    }

    fn doubted(value: Number, doubt: Option<u32>) -> Self {
        match doubt {
            // how the cells move together isn't known, so that nothing cancels
            Some(number) => Dual::of(value.to_f64(), vec![(number, f64::NAN)]),
            None => Dual::exact(value),
        }
    }

    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint> {
        fit(columns, context)
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

/// The expanded uncertainties that a function is told; what only draws can tell counts for none.
fn expanded_of(told: Told, arguments: &[CallArgument<'_, Dual>], sources: &Sources) -> Vec<f64> {
    let finite = |half_width: f64| if half_width.is_finite() { half_width } else { 0.0 };
    match (told, arguments) {
        (Told::OfDifference, [CallArgument::Number(one), CallArgument::Number(other), ..]) => {
            let gap = one.joined(other, 0.0, (1.0, -1.0)).unwrap_or_default();
            let combined = sources.combined(&gap);
            vec![finite(combined.expanded())]
        }
        (Told::Bounds, [CallArgument::Number(value), CallArgument::Number(sure), ..]) => {
            let (low, high) = sources.bounds(value, sure.value / 100.0);
            vec![low, high]
        }
        _ => {
            let each = arguments.iter().map(|argument| match argument {
                CallArgument::Number(dual) => finite(2.0 * sources.combined(dual).standard),
                _ => 0.0,
            });
            each.collect()
        }
    }
}

/// A trade function in binary, with its arguments pulled apart.
struct BinaryCall<'a> {
    drawn: fn(&Arguments<'_, f64>) -> Result<f64, Complaint>,
    numbers: Vec<BinaryArgument<'a>>,
    expanded: Vec<f64>,
    parameters: &'static [Parameter],
    jumps: bool,
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
        Ok(BinaryCall {
            drawn,
            numbers: numbers.collect(),
            expanded: expanded_of(function.told, arguments, sources),
            parameters: function.parameters,
            jumps: function.jumps,
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
        if self.jumps {
            return Ok(result);
        }
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
        Ok(result.joined(&Dual::of(0.0, gradient), value, (1.0, 1.0))?)
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

/// Sensitivities by source, each source once; what is left of parts that cancel but for
/// rounding is none.
pub(super) fn summed(mut parts: Vec<(u32, f64)>) -> Vec<(u32, f64)> {
    parts.sort_by_key(|(number, _)| *number);
    let same = |one: &(u32, f64), other: &(u32, f64)| one.0 == other.0;
    let sums = parts.chunk_by(same).filter_map(|group| {
        let sum: f64 = group.iter().map(|(_, part)| part).sum();
        let size: f64 = group.iter().map(|(_, part)| part.abs()).sum();
        let number = group.first()?.0;
        (sum.is_nan() || sum.abs() > CANCELLED * size).then_some((number, sum))
    });
    sums.collect()
}

/// What is left of so small a part of the summands is their rounding.
const CANCELLED: f64 = 1e-13;

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
