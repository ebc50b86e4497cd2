//! Binary numbers with their derivatives to the sources of uncertainty.
//!
//! First-order propagation to the *inputs* (JCGM 100:2008, 5.1.2): every value
//! carries its sensitivity to each source, so `x - x` has none. Each reading of a
//! table is a source of its own, whoever uses it. What the sources of a fit are is
//! settled in [`super::fits`], how the machine runs in them in [`super::first_order`].
//! Start reading at [`Dual`] and [`Sources`].

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::{Checked, Number, Trouble};
use crate::trade::{Complaint, Made, Remark};

use super::fit_spread::{FitNoted, FitShape};
use super::gradient::Gradient;
use super::made::MadeTables;
use super::objections::{Questioned, TwoWords};
use super::scalar::Tolerances;
use super::source::{Group, SourceOf, Uncertainty, UncertaintySource};

/// A binary number with its sensitivity to each source.
#[derive(Clone, Debug, Default)]
pub struct Dual {
    /// The value.
    pub value: f64,
    /// The derivative to each source that matters.
    pub gradient: Gradient,
    /// Where it comes of a line that comes down to a value: what tells its uneven limits.
    pub(super) crossing: Option<Arc<Crossing>>,
}

/// A value that is a quotient and something more, each with its sensitivities.
#[derive(Clone, Debug)]
pub(super) struct Crossing {
    pub(super) over: Dual,
    pub(super) by: Dual,
    pub(super) rest: Dual,
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
    /// Why the lines of calls don't settle.
    pub unsettled: BTreeMap<u32, Complaint>,
    /// The columns of two words beside the readings of each call that wasn't told what hung there.
    pub(super) beside: BTreeMap<u32, Vec<TwoWords>>,
    /// What readings say against their line: call site, question.
    pub(super) questioned: Vec<(u32, Questioned)>,
    /// Cautions that the values gave rise to: call site, remark.
    pub remarks: Vec<(u32, Remark)>,
    /// The expanded uncertainties of the arguments of each call, where they are asked for.
    pub expanded: Option<Tolerances>,
    /// In which order each call that sorts has put its rows.
    pub orders: BTreeMap<u32, Vec<u32>>,
    /// The tables that functions made.
    pub made: MadeTables<Number>,
    /// Whether one of them was made of what isn't sure.
    pub made_of_unsure: bool,
    /// How many sensitivities the values of this run keep.
    pub(super) kept: usize,
    /// Those that were, each once: a draw makes them anew.
    pub to_draw: Vec<Arc<Made<Number>>>,
}

impl Sources {
    /// Without sources, but with the tables that functions made before.
    pub(crate) fn with_made(made: MadeTables<Number>) -> Sources {
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
        let source = |number: u32| self.source(number);
        let shares = dual.gradient.shares(&source);
        let mut by_group: BTreeMap<Group, (f64, f64)> = BTreeMap::new();
        let grouped = shares.grouped.then(|| dual.gradient.grouped(&source));
        for (number, sensitivity) in grouped.into_iter().flatten() {
            let Some(source) = self.source(number) else { continue };
            if source.degrees_of_freedom.is_finite() && source.group != Group::Alone {
                by_group
                    .entry(source.group)
                    .or_insert((0.0, source.degrees_of_freedom))
                    .0 += (sensitivity * source.standard).powi(2);
            }
        }
        let of_groups: f64 = by_group.values().map(|(share, freedom)| share * share / freedom).sum();
        let below = shares.over_freedom + of_groups;
        let degrees_of_freedom = if below > 0.0 {
            shares.variance * shares.variance / below
        } else {
            f64::INFINITY
        };
        Uncertainty {
            standard: f64::sqrt(shares.variance),
            degrees_of_freedom,
            most: shares.most,
        }
    }

    /// What stands for sensitivities that only draws can tell.
    pub(super) fn by_draws(&mut self) -> u32 {
        self.number(SourceOf::ByDraws, f64::NAN, (false, f64::INFINITY))
    }

    pub(super) fn is_reading(&self, number: u32) -> bool {
        matches!(self.source(number), Some(source) if matches!(source.of, SourceOf::Reading(..)))
    }
}

impl Dual {
    /// A value without uncertainty.
    pub fn constant(value: f64) -> Dual {
        Dual::of(value, Gradient::default())
    }

    /// A value whose uncertainty only draws can tell.
    pub(super) fn by_draws(value: f64, sources: &mut Sources) -> Dual {
        Dual::of(value, vec![(sources.by_draws(), f64::NAN)])
    }

    /// A value that is a source itself.
    pub fn source(value: f64, number: u32) -> Dual {
        Dual::of(value, vec![(number, 1.0)])
    }

    /// A value with its sensitivities, sorted by source.
    pub(super) fn of(value: f64, gradient: impl Into<Gradient>) -> Dual {
        Dual {
            value,
            gradient: gradient.into(),
            crossing: None,
        }
    }

    pub(super) fn scaled(&self, value: f64, slope: f64) -> Checked<Dual> {
        Dual::of(value, self.gradient.scaled(slope)).finite()
    }

    pub(super) fn joined(&self, other: &Dual, value: f64, slopes: (f64, f64)) -> Checked<Dual> {
        Dual::of(value, self.gradient.merged(&other.gradient, slopes)).finite()
    }

    pub(super) fn finite(self) -> Checked<Dual> {
        if self.value.is_finite() {
            Ok(self)
        } else {
            Err(Trouble::TooLarge)
        }
    }
}
