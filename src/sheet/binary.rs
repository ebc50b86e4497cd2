//! Plain binary numbers: one draw of the uncertain inputs, run through the program.
//!
//! The rules and limits are those of exact decimals, so that a draw that the
//! record would refuse is refused here. A fit adds its own scatter, drawn, to
//! the line through the readings: what the readings err by on their own shows
//! in that scatter already, so it isn't drawn into them a second time. What a limit has
//! cut short is no number, and a draw that comes of it has no value.
//! Start reading at [`Draw`]; blocks of draws are run by [`super::lanes`].

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::{Checked, Number, Real, Trouble, agree};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::burn::{burns, fit as fit_line};
use crate::trade::{Argument, Arguments, Body, Complaint, Fit, Function};
use crate::unit::Conversion;

use super::dual::LineNoted;
use super::made::MadeTables;
use super::scalar::{CallArgument, FitColumns, MadeFor, Rounding, Scalar, Tolerances, holds, paired, truth};

/// The largest magnitude a value may have, as for exact decimals.
pub const LARGEST: f64 = 7.9e28;
/// The smallest magnitude a value other than zero may have.
const SMALLEST: f64 = 1e-28;

/// What goes along with the run of one draw.
#[derive(Clone, Default)]
pub struct Draw {
    /// What the calls of the program are to know.
    pub known: Arc<Known>,
    /// The tables that functions made.
    pub made: MadeTables,
    /// The deviates of each line, in standard deviations: of the mean, the slope, one more reading.
    pub deviates: Vec<[f64; 3]>,
    /// Which readings fits take.
    pub pass: Pass,
    /// Readings kept for fits, by call site, in the order of the calls.
    pub readings: BTreeMap<u32, Vec<Vec<Option<f64>>>>,
    /// How many fits each call site has made in this cell.
    pub fits: BTreeMap<u32, usize>,
    /// Whether a function was followed to its limit without an end.
    pub passed: bool,
    /// Whether a condition of this cell rested on that.
    pub undecided: bool,
}

/// What the calls of a program are to know, whatever is drawn.
#[derive(Debug, Default)]
pub struct Known {
    /// The expanded uncertainties of the arguments of calls, by call site.
    pub expanded: Tolerances,
    /// The lines through readings, by call site.
    pub lines: BTreeMap<u32, LineNoted>,
}

/// Which readings a fit takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Pass {
    /// Those that are there.
    #[default]
    Only,
    /// Those that are there, which have no error of their own; they are kept.
    Quiet,
    /// Those kept before.
    Noisy,
}

/// A value that exact decimals could hold too.
#[inline]
fn held(value: f64) -> Checked<f64> {
    if value.abs() <= LARGEST {
        Ok(value)
    } else {
        Err(Trouble::TooLarge)
    }
}

/// A product or quotient of numbers that aren't zero.
#[inline]
fn not_lost(value: f64, of_zero: bool) -> Checked<f64> {
    if !of_zero && value.abs() < SMALLEST {
        return Err(Trouble::TooSmall);
    }
    held(value)
}

impl Scalar for f64 {
    type Context = Draw;

    fn exact(value: Number) -> Self {
        value.to_f64()
    }
    #[inline]
    fn add(&self, other: &Self) -> Checked<Self> {
        held(self + other)
    }
    #[inline]
    fn subtract(&self, other: &Self) -> Checked<Self> {
        held(self - other)
    }
    #[inline]
    fn multiply(&self, other: &Self) -> Checked<Self> {
        not_lost(self * other, *self == 0.0 || *other == 0.0)
    }
    #[inline]
    fn divide(&self, other: &Self) -> Checked<Self> {
        if *other == 0.0 {
            return Err(Trouble::DivisionByZero);
        }
        not_lost(self / other, *self == 0.0)
    }
    fn power(&self, other: &Self) -> Checked<Self> {
        if *self == 0.0 && *other < 0.0 {
            return Err(Trouble::DivisionByZero);
        }
        let value = libm::pow(*self, *other);
        if value.is_nan() && *self < 0.0 {
            return Err(Trouble::RootOfNegative);
        }
        not_lost(value, *self == 0.0)
    }
    fn negate(&self) -> Self {
        -self
    }
    fn convert(&self, conversion: &Conversion) -> Checked<Self> {
        held(conversion.apply_f64(*self))
    }
    fn compare(&self, other: &Self) -> Ordering {
        if agree(self - other, self.abs().max(other.abs())) {
            Ordering::Equal
        } else {
            self.total_cmp(other)
        }
    }
    fn order(&self, other: &Self) -> Ordering {
        // no zero below zero
        (self + 0.0).total_cmp(&(other + 0.0))
    }
    fn square_root(&self) -> Checked<Self> {
        if *self < 0.0 {
            return Err(Trouble::RootOfNegative);
        }
        Ok(libm::sqrt(*self))
    }
    fn exponential(&self) -> Checked<Self> {
        not_lost(libm::exp(*self), false)
    }
    fn natural_logarithm(&self) -> Checked<Self> {
        above_zero(*self).map(libm::log)
    }
    fn decimal_logarithm(&self) -> Checked<Self> {
        above_zero(*self).map(libm::log10)
    }
    fn whole(&self, way: Rounding) -> Self {
        match way {
            Rounding::Nearest => self.round(),
            Rounding::Up => self.round_up(),
            Rounding::Down => self.round_down(),
        }
    }
    fn plain(&self) -> Number {
        Number::from_f64(*self).unwrap_or_default()
    }
    fn is_true(&self) -> bool {
        *self != 0.0
    }
    fn least(&self, other: &Self) -> Self {
        unless_unknown(*self, *other, if other < self { *other } else { *self })
    }
    fn greatest(&self, other: &Self) -> Self {
        unless_unknown(*self, *other, if other > self { *other } else { *self })
    }
    fn compared(&self, operator: ComparisonOperator, other: &Self) -> Self {
        unless_unknown(*self, *other, truth(holds(operator, Scalar::compare(self, other))))
    }
    fn contrary(&self) -> Self {
        unless_unknown(*self, *self, truth(!self.is_true()))
    }
    fn decided(&mut self, draw: &mut Draw) -> bool {
        draw.undecided |= self.is_nan();
        self.is_true()
    }
    fn passed(self) -> Self {
        f64::NAN
    }

    fn call(
        site: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<Self, Complaint> {
        let Body::Rule { drawn, .. } = function.body else {
            return Err(Trouble::TooLarge.into());
        };
        let values: Vec<Argument<'_, f64>> = arguments.iter().map(argument).collect();
        let expanded = context.known.expanded.get(&site).map_or(&[][..], |expanded| expanded);
        let value = drawn(&Arguments {
            values: &values,
            expanded,
        })?;
        Ok(held(value)?)
    }

    fn made(
        _: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<MadeFor, Complaint> {
        let made = context.made.get(function, arguments)?;
        context.passed |= made.goes_on.is_some();
        Ok(MadeFor { made, doubt: None })
    }

    fn doubted(value: Number, _: Option<u32>) -> Self {
        value.to_f64()
    }

    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint> {
        let kept = context.kept(columns);
        let (x, y) = paired(columns.x, kept.as_deref().unwrap_or(columns.y))?;
        let line = fit_line(&x, &y)?;
        if columns.fit == Fit::BurnRate {
            burns(&x, &y)?;
        }
        let noted = context.known.lines.get(&columns.site);
        let scatter = noted.map_or(0.0, |noted| noted.scatter(&line));
        let deviates = noted.and_then(|noted| context.deviates.get(noted.line as usize));
        let [of_mean, of_slope, of_reading] = deviates.copied().unwrap_or_default();
        let slope = line.slope + of_slope * scatter / libm::sqrt(line.sxx);
        let middle = line.mean_y + of_mean * scatter / libm::sqrt(x.len() as f64);
        let on_line = |at: f64| middle + slope * (at - line.mean_x);
        let at = columns.at.unwrap_or_default();
        Ok(held(match columns.fit {
            Fit::BurnRate => -slope,
            Fit::Slope => slope,
            Fit::Intercept => on_line(0.0),
            Fit::LineAt => on_line(at),
            Fit::ReadingAt => on_line(at) + of_reading * scatter,
        })?)
    }
}

impl Draw {
    /// Another cell begins.
    pub fn begin(&mut self) {
        self.fits.clear();
        self.undecided = false;
    }

    /// The readings up that were kept for this fit; keeps them on a quiet pass.
    fn kept(&mut self, columns: &FitColumns<'_, f64>) -> Option<Vec<Option<f64>>> {
        if self.pass == Pass::Only {
            return None;
        }
        let count = self.fits.entry(columns.site).or_default();
        *count += 1;
        let place = *count - 1;
        let kept = self.readings.entry(columns.site).or_default();
        if self.pass == Pass::Quiet {
            kept.truncate(place);
            kept.push(columns.y.to_vec());
        }
        kept.get(place).cloned()
    }
}

fn argument<'a>(argument: &CallArgument<'a, f64>) -> Argument<'a, f64> {
    match argument {
        CallArgument::Number(number) => Argument::Number(*number),
        CallArgument::Text(text) => Argument::Text(text),
        CallArgument::Column(cells) => Argument::Column(cells),
        CallArgument::Schedule(schedule) => Argument::Schedule(*schedule),
    }
}

/// A value that came of two; of what isn't known comes nothing that is.
#[inline]
fn unless_unknown(one: f64, other: f64, value: f64) -> f64 {
    match one.is_nan() || other.is_nan() {
        true => f64::NAN,
        false => value,
    }
}

fn above_zero(value: f64) -> Checked<f64> {
    if value > 0.0 {
        Ok(value)
    } else {
        Err(Trouble::LogarithmOfNonPositive)
    }
}
