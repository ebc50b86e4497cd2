//! What is known of a line through readings: how sure they are, and where it was met.
//!
//! What readings have of their own and what only their fit has are kept apart, since whoever
//! else uses a reading shares the first. How it is found is in [`super::fits`]. Start reading
//! at [`FitSpread`].

use std::sync::Arc;

use crate::trade::line::{Counting, Line, Readings};

use super::source::SourceOf;

/// What a call site has met of the line that it draws.
#[derive(Clone, PartialEq, Debug)]
pub struct FitNoted {
    /// The number of the fit: fits of the same readings have one.
    pub fit: u32,
    /// How the readings count; `None` where all count alike.
    pub counting: Option<Arc<Counting>>,
    /// How sure its readings are.
    pub spread: FitSpread,
    /// The columns where the readings up are written.
    pub columns: Vec<u32>,
    /// Where their times are written.
    pub times: Vec<u32>,
    /// Whether nothing in the readings speaks against the line.
    pub sound: bool,
    /// The readings and their line, where a reader may follow them.
    pub drawn: Option<Arc<(Readings, Line)>>,
}

/// So many readings a reader may follow.
pub(super) const FOLLOWED: usize = 24;

impl FitNoted {
    /// Of results, which are no readings of a column.
    pub(super) fn of_results(fit: u32, spread: FitSpread) -> FitNoted {
        FitNoted {
            fit,
            counting: None,
            spread,
            columns: Vec::new(),
            times: Vec::new(),
            sound: false,
            drawn: None,
        }
    }
}

/// How sure the readings of a fit are, as variances of one of weight 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct FitSpread {
    /// What was declared, with what the error of its time adds.
    pub nominal: f64,
    /// What of that was declared of the reading itself.
    pub declared: f64,
    /// What they scatter by about the line; zero where nothing is left to tell.
    pub scatter: f64,
    /// Readings less unknowns.
    pub freedom: f64,
    /// What the readings have beyond the declared, whoever uses them.
    pub shared: f64,
    /// The column whose scatter that is.
    pub column: Option<u32>,
    /// Whether the readings are sources themselves; else the fit keeps all of it to itself.
    pub by_reading: bool,
    /// Whether they are so many that each of them is too much to carry along.
    pub heavy: bool,
}

impl FitSpread {
    /// What a reading errs by on its own, whoever uses it; nothing where the fit keeps it.
    pub(crate) fn of_reading(&self) -> f64 {
        match self.by_reading {
            true => self.nominal + self.shared,
            false => 0.0,
        }
    }

    /// The scatter beyond what was declared.
    pub fn excess(&self) -> f64 {
        (self.scatter - self.nominal).max(0.0)
    }

    /// What the fit keeps to itself.
    pub fn beyond(&self) -> f64 {
        if !self.by_reading || self.heavy {
            return self.scatter.max(self.nominal + self.shared);
        }
        let beyond = self.excess() - self.shared;
        // the fit that the excess of the readings comes from has nothing but rounding
        if beyond > 1e-9 * self.scatter { beyond } else { 0.0 }
    }

    /// What the degrees of freedom of a scatter come to. Where the declared is the larger
    /// they are infinite; a single one tells badly only of what is above the declared.
    pub fn degrees_of_freedom(&self) -> f64 {
        let excess = self.excess();
        if self.freedom < 1.0 || excess <= 0.0 {
            return f64::INFINITY;
        }
        match self.freedom < 2.0 {
            true => self.freedom * (self.scatter / excess).powi(2),
            false => self.freedom,
        }
    }

    /// The degrees of freedom of what the fit keeps to itself, so that together with those
    /// of its readings a result of the fit alone has the fit's own.
    pub(super) fn own_degrees_of_freedom(&self, of_column: f64) -> f64 {
        let (beyond, readings) = (self.beyond(), self.nominal + self.shared);
        if !self.by_reading || self.heavy {
            return self.degrees_of_freedom();
        }
        let all = (beyond + readings).powi(2) / self.degrees_of_freedom();
        let of_readings = if of_column.is_finite() {
            readings * readings / of_column
        } else {
            0.0
        };
        match all > of_readings {
            true => beyond * beyond / (all - of_readings),
            false => f64::INFINITY,
        }
    }
}

/// What a fit is known by: how many readings from which to which, and how they scatter,
/// free of unit and zero.
#[derive(Clone, Debug)]
pub(super) struct FitShape {
    pub(super) count: usize,
    pub(super) unknowns: usize,
    pub(super) first: Option<SourceOf>,
    pub(super) last: Option<SourceOf>,
    /// Readings that are no sources are known by where they stand.
    pub(super) slot: Option<u32>,
    pub(super) ratio: f64,
    /// The call it was first met in, and how sure its readings are in the unit of that call.
    pub(super) met: (u32, FitSpread),
}

impl FitShape {
    pub(super) fn is(&self, other: &FitShape) -> bool {
        let known = |shape: &FitShape| (shape.count, shape.unknowns, shape.first, shape.last, shape.slot);
        let gap = (self.ratio - other.ratio).abs();
        known(self) == known(other) && gap <= 1e-6 * self.ratio.abs().max(1e-6)
    }
}
