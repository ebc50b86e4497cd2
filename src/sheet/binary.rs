//! Plain binary numbers: one draw of the uncertain inputs, run through the program.
//!
//! The rules and limits are those of exact decimals, so that a draw that the
//! record would refuse is refused here. Readings come drawn; a line goes through
//! them with the weights they have in the record, and adds what it keeps to
//! itself. What a limit has cut short is no number, and a draw that comes of it has
//! no value. Start reading at [`Draw`]; blocks of draws are run by [`super::lanes`].

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::{Checked, Number, Real, Trouble, agree};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::line::{Line, burns, fit as fit_line};
use crate::trade::{Argument, Arguments, Body, Complaint, Fit, Function, Make};
use crate::unit::Conversion;

use super::fit_spread::{FitNoted, FitSpread};
use super::made::MadeTables;
use super::scalar::{
    CallArgument, CallPlace, DeclaredColumns, FitColumns, MadeFor, Rounding, Scalar, Tolerances, holds, needs_weights,
    rising, truth,
};

/// The largest magnitude a value may have, as for exact decimals.
pub(crate) const LARGEST: f64 = 7.9e28;
/// The smallest magnitude a value other than zero may have.
const SMALLEST: f64 = 1e-28;

/// What goes along with the run of one draw.
#[derive(Clone, Default)]
pub struct Draw {
    /// What the calls of the program are to know.
    pub known: Arc<Known>,
    /// The tables that functions made.
    pub made: MadeTables<f64>,
    /// How far each fit is off, by its number.
    pub off: Vec<Off>,
    /// Whether a function was followed to its limit without an end.
    pub passed: bool,
    /// Whether a condition of this cell rested on that.
    pub undecided: bool,
}

/// How far a fit is off in a draw, in standard uncertainties.
#[derive(Clone, Debug, Default)]
pub struct Off {
    /// What it keeps to itself: its independent parts, then one more reading.
    pub beyond: Vec<f64>,
    /// What one more reading errs by as the readings do.
    pub next: f64,
}

/// What the calls of a program are to know, whatever is drawn.
#[derive(Debug, Default)]
pub struct Known {
    /// The expanded uncertainties of the arguments of calls, by call site.
    pub expanded: Tolerances,
    /// The lines through readings, by call site.
    pub fits: BTreeMap<u32, FitNoted>,
    /// How the readings of tables were declared.
    pub declared: DeclaredColumns,
    /// In which order the record has the rows of each call that sorts.
    pub orders: BTreeMap<u32, Vec<u32>>,
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
    type Tabled = f64;

    /// In the order of the record, so that a row stays the same thing in every draw.
    fn sorted(site: u32, by: &[Option<Self>], context: &mut Self::Context) -> Vec<u32> {
        let known = context.known.orders.get(&site).filter(|rows| rows.len() == by.len());
        known.cloned().unwrap_or_else(|| rising(by))
    }

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
        Ok(f64::sqrt(*self))
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
    fn binary(&self) -> f64 {
        *self
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
    fn end_within(draw: &mut Draw) -> Option<Self> {
        std::mem::take(&mut draw.undecided).then_some(f64::NAN)
    }

    fn call(
        site: CallPlace,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<Self, Complaint> {
        let Body::Rule { drawn, .. } = function.body else {
            return Err(Trouble::TooLarge.into());
        };
        let values: Vec<Argument<'_, f64>> = arguments.iter().map(CallArgument::argument).collect();
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
    ) -> Result<MadeFor<f64>, Complaint> {
        let made = context.made.get(function, arguments)?;
        context.passed |= made.goes_on.is_some();
        Ok(MadeFor { made, doubt: None })
    }

    fn maker(_: Make<Number>, drawn: Make<f64>) -> Make<f64> {
        drawn
    }

    fn tabled(&self) -> Checked<f64> {
        held(*self)
    }

    fn doubted(value: f64, _: Option<u32>) -> Self {
        value
    }

    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint> {
        if columns.fit == Fit::Average {
            let noted = context.known.fits.get(&columns.site);
            let off = noted.and_then(|noted| Some((noted.spread, context.off.get(noted.fit as usize)?)));
            return Ok(held(
                columns.mean()? + off.map_or(0.0, |(spread, off)| of_average(&spread, off)),
            )?);
        }
        let readings = columns.rows()?.readings(columns.fit);
        let noted = context.known.fits.get(&columns.site);
        if noted.is_none() && readings.x.len() > 2 && context.known.declared.may_weigh(columns) {
            return Err(needs_weights());
        }
        let line = fit_line(&readings, noted.and_then(|noted| noted.counting.as_deref()))?;
        if matches!(columns.fit, Fit::BurnRate | Fit::Reaches) {
            burns(&readings)?;
        }
        let off = noted.and_then(|noted| Some((noted.spread, context.off.get(noted.fit as usize)?)));
        let line = match off {
            Some((spread, off)) => moved(line, spread.beyond(), off),
            None => line,
        };
        let asked = line.asked(columns.fit, columns.at.unwrap_or_default())?;
        let next = off.filter(|_| columns.fit == Fit::ReadingAt);
        Ok(held(
            asked + next.map_or(0.0, |(spread, off)| next_reading(&spread, off)),
        )?)
    }
}

/// A line, off by what it keeps to itself, whose variance that is.
fn moved(mut line: Line, beyond: f64, off: &Off) -> Line {
    let standard = f64::sqrt(beyond);
    for (part, deviate) in off.beyond.iter().enumerate() {
        let by: Vec<f64> = line
            .fitted
            .part(part)
            .iter()
            .map(|by| by * standard * deviate)
            .collect();
        line.fitted
            .unknowns
            .iter_mut()
            .zip(by)
            .for_each(|(unknown, by)| *unknown += by);
    }
    line
}

/// What an average is off by beyond its results.
fn of_average(spread: &FitSpread, off: &Off) -> f64 {
    let count = spread.freedom + 1.0;
    f64::sqrt(spread.beyond() / count) * off.beyond.first().copied().unwrap_or(0.0)
}

/// What one more reading errs by.
fn next_reading(spread: &FitSpread, off: &Off) -> f64 {
    let beyond = f64::sqrt(spread.beyond()) * off.beyond.last().copied().unwrap_or(0.0);
    beyond + f64::sqrt(spread.of_reading()) * off.next
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
