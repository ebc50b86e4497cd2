//! The record runs in exact decimals: how the machine works with them, and what goes along.
//!
//! A decimal carries no uncertainty, so that what calls ask of it (the ± of their
//! arguments, the weights of readings) is worked out before and goes along with the run,
//! as the tables that functions made do. Start reading at [`Alongside`].

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::{Checked, Number, Real, Trouble};
use crate::trade::line::{Counting, ExactLine, burns, falls, fit as fit_line, fit_exact, one_cylinder};
use crate::trade::{Argument, Arguments, Body, Complaint, Fit, Function, Make};
use crate::unit::Conversion;

use super::made::MadeTables;
use super::scalar::{
    CallArgument, CallPlace, DeclaredColumns, FitColumns, MadeFor, Rounding, Scalar, Tolerances, needs_weights,
};

/// What calls asked for, by call site, since decimals don't carry it.
#[derive(Clone, Debug, Default)]
pub struct AskedFor {
    /// The expanded uncertainties of their arguments.
    pub tolerances: Tolerances,
    /// How the readings of their lines count, `None` where all count alike; or why that
    /// doesn't settle.
    pub counting: BTreeMap<u32, Result<Option<Arc<Counting>>, Complaint>>,
}

/// What goes along with a run in exact decimals.
#[derive(Clone, Debug, Default)]
pub struct Alongside {
    /// What calls asked for.
    pub asked: AskedFor,
    /// How the readings of tables were declared.
    pub declared: DeclaredColumns,
    /// The tables that functions made.
    pub made: MadeTables<Number>,
}

impl Scalar for Number {
    type Context = Alongside;
    type Tabled = Number;
    const KEEPS_ROWS: bool = true;

    fn exact(value: Number) -> Self {
        value
    }
    #[inline]
    fn add(&self, other: &Self) -> Checked<Self> {
        Number::add(*self, *other)
    }
    #[inline]
    fn subtract(&self, other: &Self) -> Checked<Self> {
        Number::sub(*self, *other)
    }
    #[inline]
    fn multiply(&self, other: &Self) -> Checked<Self> {
        Number::mul(*self, *other)
    }
    #[inline]
    fn divide(&self, other: &Self) -> Checked<Self> {
        Number::div(*self, *other)
    }
    fn power(&self, other: &Self) -> Checked<Self> {
        Number::pow(*self, *other)
    }
    fn negate(&self) -> Self {
        self.neg()
    }
    fn convert(&self, conversion: &Conversion) -> Checked<Self> {
        conversion.apply(*self)
    }
    fn compare(&self, other: &Self) -> Ordering {
        if self.agrees_with(*other) {
            Ordering::Equal
        } else {
            Number::compare(*self, *other)
        }
    }
    fn order(&self, other: &Self) -> Ordering {
        Number::compare(*self, *other)
    }
    fn square_root(&self) -> Checked<Self> {
        self.sqrt()
    }
    fn exponential(&self) -> Checked<Self> {
        self.exp()
    }
    fn natural_logarithm(&self) -> Checked<Self> {
        self.ln()
    }
    fn decimal_logarithm(&self) -> Checked<Self> {
        self.log10()
    }
    fn whole(&self, way: Rounding) -> Self {
        match way {
            Rounding::Nearest => self.round(),
            Rounding::Up => self.round_up(),
            Rounding::Down => self.round_down(),
        }
    }
    fn plain(&self) -> Number {
        *self
    }
    fn is_true(&self) -> bool {
        !self.is_zero()
    }

    fn call(
        site: CallPlace,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<Self, Complaint> {
        let Body::Rule { exact, .. } = function.body else {
            return Err(Trouble::TooLarge.into());
        };
        let values: Vec<Argument<'_, Number>> = arguments.iter().map(CallArgument::argument).collect();
        let expanded = context.asked.tolerances.get(&site).map_or(&[][..], |expanded| expanded);
        exact(&Arguments {
            values: &values,
            expanded,
        })
    }

    fn made(
        _: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<MadeFor<Number>, Complaint> {
        let made = context.made.get(function, arguments)?;
        Ok(MadeFor { made, doubt: None })
    }

    fn maker(exact: Make<Number>, _: Make<f64>) -> Make<Number> {
        exact
    }

    fn tabled(&self) -> Checked<Number> {
        Ok(self.plain())
    }

    fn doubted(value: Number, _: Option<u32>) -> Self {
        value
    }

    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint> {
        if columns.fit == Fit::Average {
            return columns.mean();
        }
        let rows = columns.rows()?;
        if columns.fit.burns_down() {
            one_cylinder(&rows.readings(columns.fit))?;
        }
        let asked = context.asked.counting.get(&columns.site);
        if asked.is_none() && rows.x.len() > 2 && context.declared.may_weigh(columns) {
            return Err(needs_weights());
        }
        let counting = match asked {
            Some(Err(complaint)) => return Err(complaint.clone()),
            Some(Ok(counting)) => counting.as_deref(),
            None => None,
        };
        let counting = counting.filter(|counting| counting.weights.len() == rows.x.len());
        let at = columns.at.unwrap_or_default();
        let in_binary = rows.energy.is_some() || counting.is_some_and(Counting::shifts);
        if rows.attached.is_some() || in_binary {
            let line = fit_line(&rows.readings(columns.fit), counting)?;
            if in_binary {
                if matches!(columns.fit, Fit::BurnRate | Fit::Reaches) {
                    burns(&rows.readings(columns.fit))?;
                }
                return Ok(Number::from_binary(line.asked(columns.fit, at.to_f64())?)?);
            }
        }
        let weights: Option<Vec<Number>> = counting.map(|counting| {
            let weights = counting.weights.iter();
            weights
                .map(|weight| Number::from_f64(*weight).unwrap_or_default())
                .collect()
        });
        let line = fit_exact(&rows.x, &rows.y, rows.attached.as_deref(), weights.as_deref())?;
        if matches!(columns.fit, Fit::BurnRate | Fit::Reaches) {
            burns(&rows.readings(columns.fit))?;
        }
        asked_of(&line, columns.fit, at)
    }
}

/// What is asked of a line in decimals.
fn asked_of(line: &ExactLine, fit: Fit, at: Number) -> Result<Number, Complaint> {
    Ok(match fit {
        Fit::BurnRate => line.slope.neg(),
        Fit::Slope => line.slope,
        Fit::Intercept => line.intercept,
        Fit::LineAt | Fit::ReadingAt => line.intercept.add(line.slope.mul(at)?)?,
        Fit::Attached => line.hung,
        Fit::Reaches => {
            falls(line.slope.neg().to_f64())?;
            line.intercept.sub(at)?.div(line.slope.neg())?
        }
        // worked out in binary numbers
        Fit::RateAtLoad | Fit::Average => return Err(Trouble::TooLarge.into()),
    })
}
