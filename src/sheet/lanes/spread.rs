//! What is drawn, and how it is spread.
//!
//! Declared tolerances by their kind; readings also by what they scatter by about a line,
//! and a line by what it scatters by beyond its readings. How badly a scatter is known is
//! drawn once for all it belongs to, and the scatter itself is never estimated anew. Who
//! draws is not known here. Start reading at [`DrawnSource`].

use super::super::fit_spread::FitSpread;
use super::super::source::SourceOf;
use crate::trade::line::MOST_UNKNOWNS;

/// How the deviates of a source are spread, in its standard uncertainties.
#[derive(Clone, PartialEq, Debug)]
pub enum Spread {
    /// Evenly between limits: JCGM 101:2008, 6.4.2.
    Rectangular,
    /// Normally: 6.4.7.
    Normal,
    /// Like Student's t with so many degrees of freedom: 6.4.9.
    Student(f64),
    /// As declared, and by what the readings of the column scatter by beyond that.
    Scattered(Box<Scattered>),
    /// By what a fit scatters by beyond its readings.
    Beyond(Box<BeyondReadings>),
}

/// A reading of a column that scatters, in variances.
#[derive(Clone, PartialEq, Debug)]
pub struct Scattered {
    /// What was declared.
    pub declared: f64,
    /// How that is spread.
    pub spread: Spread,
    /// What it has beyond the declared.
    pub excess: f64,
    /// The scatter that this comes from.
    pub chance: Chance,
}

/// What a fit has beyond its readings, in variances of a reading of weight 1.
#[derive(Clone, PartialEq, Debug)]
pub struct BeyondReadings {
    /// How sure its readings are.
    pub spread: FitSpread,
    /// How badly its scatter is known.
    pub own: Chance,
    /// How badly that of the column is known.
    pub of_column: Option<Chance>,
}

/// How badly a scatter is known: once in each draw, whoever it belongs to.
#[derive(Clone, PartialEq, Debug)]
pub struct Chance {
    /// The name of its stream.
    pub stream: String,
    /// Its variance over what was declared.
    pub ratio: f64,
    /// Its degrees of freedom.
    pub degrees_of_freedom: f64,
}

impl Chance {
    /// What an excess of this scatter is taken times where its variance is `times` as large.
    pub(crate) fn of_excess(&self, times: f64) -> f64 {
        (self.ratio * times - 1.0).max(0.0) / (self.ratio - 1.0)
    }
}

impl BeyondReadings {
    /// The variance where that of the fit is `own` and that of the column `column` times as large.
    pub fn variance(&self, own: f64, column: f64) -> f64 {
        let spread = &self.spread;
        let all = (spread.scatter * own).max(spread.nominal);
        let of_column = self.of_column.as_ref().map_or(0.0, |chance| chance.of_excess(column));
        let of_readings = match spread.by_reading {
            true => spread.nominal + spread.shared * of_column,
            false => 0.0,
        };
        (all - of_readings).max(0.0)
    }
}

/// What is drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct DrawnSource {
    /// Who it is; the parts of a fit are one, its first.
    pub of: SourceOf,
    /// The name of its stream: it stays when others come and go.
    pub stream: String,
    /// Its standard uncertainty, in the unit of what it belongs to.
    pub standard: f64,
    /// How it is spread.
    pub spread: Spread,
}

impl DrawnSource {
    /// How many deviates it takes: one for each part of a fit, and one for the next reading.
    pub fn width(&self) -> usize {
        match self.of {
            SourceOf::Beyond(..) => MOST_UNKNOWNS + 1,
            _ => 1,
        }
    }
}
