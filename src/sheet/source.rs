//! Sources of uncertainty: who each is, how sure it is, and what a result's comes to.
//!
//! Which sources a value rests on is told by its [`super::dual::Dual`]; what readings scatter
//! by is settled in [`super::fits`]. Start reading at [`UncertaintySource`].

use crate::trade::line::student_k;

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
    /// What only draws can tell: what made the value can change its course inside a tolerance,
    /// or it rests on more than can be kept apart.
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
                true => f64::sqrt(3.0) * self.standard,
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
