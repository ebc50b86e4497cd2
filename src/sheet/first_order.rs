//! How the machine runs in binary numbers that carry their derivatives.
//!
//! A function of the trade is differentiated by moving one argument at a time; what is
//! remarked on the way, such as a ± that reaches over an edge, goes to the [`Sources`].
//! Start reading at `Scalar for Dual`, then [`BinaryCall`].

use std::cmp::Ordering;
use std::sync::Arc;

use crate::number::{Checked, Number, Trouble, agree};
use crate::trade::{Argument, Arguments, Body, Built, Complaint, Function, Make, Parameter, Told};
use crate::unit::Conversion;

use super::dual::{Dual, Sources};
use super::edges::{self, over_the_edge};
use super::fits::fit;
use super::gradient::summed;
use super::scalar::{CallArgument, CallPlace, FitColumns, MadeFor, Rounding, Scalar, rising};

impl Scalar for Dual {
    type Context = Sources;
    type Tabled = Number;
    /// A reading that is accused is named by its row.
    const KEEPS_ROWS: bool = true;

    fn exact(value: Number) -> Self {
        Dual::constant(value.to_f64())
    }
    /// Where a run has too many sensitivities to keep them apart, only draws tell: taken
    /// together, they would no longer cancel or add up with those of other values.
    fn kept(self, sources: &mut Sources) -> Self {
        let kept = sources.kept.saturating_add(self.gradient.own());
        if kept > MOST_KEPT {
            return Dual::by_draws(self.value, sources);
        }
        sources.kept = kept;
        self
    }
    fn add(&self, other: &Self) -> Checked<Self> {
        let sum = self.joined(other, self.value + other.value, (1.0, 1.0))?;
        Ok(sum.crossed_with(self, other))
    }
    fn sum(values: &[Self]) -> Checked<Self> {
        let parts = values.iter().flat_map(|value| value.gradient.parts()).collect();
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
        Dual::of(-self.value, self.gradient.scaled(-1.0)).crossed_from(self, -1.0)
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
        let root = f64::sqrt(self.value);
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
        site: CallPlace,
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
            context
                .remarks
                .extend(remarks.into_iter().map(|remark| (site.site, remark)));
        }
        let value = match call.most_cells_moved() > MOST_CELLS_MOVED {
            true => Dual::by_draws(call.with(call.drawn)?, context),
            false => call.value()?,
        };
        let of_each = function.told == Told::OfEach;
        let edges = call
            .edges()
            .filter(|_| of_each)
            .map(|argument| (site.site, over_the_edge(function.name, argument)));
        context.remarks.extend(edges);
        Ok(value)
    }

    fn made(
        site: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<MadeFor<Number>, Complaint> {
        let made = context.made.get(function, arguments)?;
        let remarks = made.remarks.iter().cloned();
        context.remarks.extend(remarks.map(|remark| (site, remark)));
        let uncertain = arguments
            .iter()
            .any(|argument| argument.any(|dual| !dual.gradient.is_empty()));
        context.made_of_unsure |= uncertain;
        if uncertain && !context.to_draw.iter().any(|known| Arc::ptr_eq(known, &made)) {
            context.to_draw.push(Arc::clone(&made));
        }
        let doubt = uncertain.then(|| context.by_draws());
        Ok(MadeFor { made, doubt })
    }

    fn maker(exact: Make<Number>, _: Make<f64>) -> Make<Number> {
        exact
    }

    fn tabled(&self) -> Checked<Number> {
        Ok(self.plain())
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

    fn sorted(site: u32, by: &[Option<Self>], context: &mut Self::Context) -> Vec<u32> {
        let rows = rising(by);
        context.orders.insert(site, rows.clone());
        rows
    }
    fn remark_built(site: u32, built: Built, arguments: &[CallArgument<'_, Self>], context: &mut Self::Context) {
        let found = edges::of_built(built, arguments, context);
        context.remarks.extend(found.into_iter().map(|remark| (site, remark)));
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

    /// How many cells are looked at while the rows of a column are moved in turn.
    fn most_cells_moved(&self) -> usize {
        let each = self.numbers.iter().map(|argument| match argument {
            BinaryArgument::Column(cells, duals) => {
                let uncertain = duals.iter().flatten().filter(|dual| !dual.gradient.is_empty());
                uncertain.count().saturating_mul(cells.len())
            }
            _ => 0,
        });
        each.max().unwrap_or(0)
    }

    /// What the toleranced rows of a column bring in.
    fn column_parts(
        &self,
        index: usize,
        cells: &[Option<f64>],
        duals: &[Option<Dual>],
        result: Dual,
    ) -> Result<Dual, Complaint> {
        let value = result.value;
        let uncertain = (0..).zip(duals).filter_map(|(row, dual)| Some((row, dual.as_ref()?)));
        let mut parts = Vec::new();
        for (row, dual) in uncertain.filter(|(_, dual)| !dual.gradient.is_empty()) {
            let slope = slope(dual.value, value, |x| self.row_moved(index, cells, row, x));
            parts.extend(dual.gradient.scaled(slope).parts());
        }
        let gradient = summed(parts);
        Ok(result.joined(&Dual::of(0.0, gradient), value, (1.0, 1.0))?)
    }

    /// The value with one row of a column moved.
    fn row_moved(&self, index: usize, cells: &[Option<f64>], row: usize, x: f64) -> Option<f64> {
        let mut cells = cells.to_vec();
        if let Some(cell) = cells.get_mut(row) {
            *cell = Some(x);
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

/// How many sensitivities the values of a run may keep, some 100 bytes each.
const MOST_KEPT: usize = 1_000_000;

/// How many cells may be looked at while the rows of a column are moved in turn.
const MOST_CELLS_MOVED: usize = 2_000_000;

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
