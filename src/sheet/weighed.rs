//! What the lines of a worksheet tell of the columns that they go through.
//!
//! A reading that a line goes through has an error, whoever uses it: what was declared, or
//! the step of the display it was written from; and what the readings scatter by about the
//! line beyond that. Of several lines through one column the one that leaves the least
//! counts, for a worse one shows what is wrong with the line. So all lines are drawn once
//! before anything is asked. Start reading at [`Sheet::weighed`].

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::number::Number;
use crate::time_limit;
use crate::trade::Body;
use crate::trade::line::{digit_step, step_uncertainty};
use crate::unit::Kind;

use super::Sheet;
use super::appraisal::Appraisal;
use super::column::TableColumn;
use super::fit_spread::FitNoted;
use super::program::{COLUMN_REGISTERS, CallSite, Operand, Operation, Step};
use super::source::{Group, SourceOf, UncertaintySource};

/// What is known of the readings of tables' columns, by slot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weighed {
    /// What a reading without a ± of its own errs by: the step of the display.
    steps: BTreeMap<u32, f64>,
    scatter: BTreeMap<u32, Scatter>,
    /// Columns of times, with the column of readings whose scatter they share.
    times: BTreeMap<u32, u32>,
}

/// What the readings of a column scatter by about a line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Scatter {
    /// Their variance about it over what was declared, of readings and times together.
    pub ratio: f64,
    /// What of it is beyond the declared, over the declared variance of a reading.
    pub excess: f64,
    /// The degrees of freedom of that.
    pub degrees_of_freedom: f64,
}

impl Weighed {
    /// The standard uncertainty of a reading that was declared, or is the step of its display.
    pub fn declared(&self, slot: u32, column: &TableColumn, row: usize) -> f64 {
        let own = column.uncertainty.get(row).copied().unwrap_or(0.0);
        let step = self.steps.get(&slot).copied().unwrap_or(0.0);
        if own > 0.0 { own } else { step }
    }

    /// Whether the error of a reading has limits: so declared, or the step of a display.
    pub(crate) fn has_limits(&self, column: &TableColumn, row: usize) -> bool {
        let own = column.uncertainty.get(row).copied().unwrap_or(0.0);
        own <= 0.0 || column.limits.get(row).copied().unwrap_or(false)
    }

    /// What the readings of a column scatter by beyond the declared.
    pub fn scatter(&self, slot: u32) -> Option<Scatter> {
        self.scatter.get(&slot).copied()
    }

    /// The source that a reading is; `None` where it is exact.
    pub fn source(&self, slot: u32, column: &TableColumn, row: u32) -> Option<UncertaintySource> {
        let declared = self.declared(slot, column, row as usize);
        let scatter = self.scatter(slot);
        let excess = scatter.map_or(0.0, |scatter| scatter.excess * declared * declared);
        let own = column.degrees_of_freedom.unwrap_or(f64::INFINITY);
        let shared = scatter.map(|_| slot).or_else(|| self.times.get(&slot).copied());
        let of_group = shared.and_then(|shared| self.scatter(shared));
        let standard = f64::sqrt(declared * declared + excess);
        (standard > 0.0).then(|| UncertaintySource {
            of: SourceOf::Reading(slot, row),
            standard,
            declared,
            limits: excess <= 0.0 && self.has_limits(column, row as usize),
            degrees_of_freedom: of_group.map_or(own, |scatter| scatter.degrees_of_freedom),
            group: shared.map_or(Group::Alone, Group::Column),
        })
    }

    /// The columns that scatter, with the degrees of freedom.
    pub fn scattered(&self) -> BTreeMap<u32, f64> {
        let all = self.scatter.iter();
        all.map(|(slot, scatter)| (*slot, scatter.degrees_of_freedom)).collect()
    }

    /// Of the lines through each column the one that leaves the least.
    fn note(&mut self, fits: &BTreeMap<u32, FitNoted>, sheet: &Sheet) {
        let mut least: BTreeMap<u32, (f64, Scatter, &FitNoted)> = BTreeMap::new();
        for fit in fits.values().filter(|fit| tells(fit)) {
            let scatter = Scatter {
                ratio: (fit.spread.scatter / fit.spread.nominal).max(1.0),
                excess: fit.spread.excess() / fit.spread.declared,
                degrees_of_freedom: fit.spread.degrees_of_freedom(),
            };
            for slot in &fit.columns {
                let excess = scatter.excess * self.mean_declared(*slot, sheet);
                if least.get(slot).is_none_or(|(known, ..)| excess < *known) {
                    least.insert(*slot, (excess, scatter, fit));
                }
            }
        }
        for (slot, (_, scatter, fit)) in least {
            if scatter.ratio > 1.0 {
                self.scatter.insert(slot, scatter);
                self.times.extend(fit.times.iter().map(|time| (*time, slot)));
            }
        }
    }

    /// The mean variance of the readings of a column, as declared.
    fn mean_declared(&self, slot: u32, sheet: &Sheet) -> f64 {
        let Some(column) = sheet.table_columns.get(slot as usize) else {
            return 0.0;
        };
        let filled = column.cells.iter().enumerate().filter(|(_, cell)| cell.is_some());
        let variances: Vec<f64> = filled
            .map(|(row, _)| self.declared(slot, column, row).powi(2))
            .collect();
        variances.iter().sum::<f64>() / variances.len().max(1) as f64
    }
}

/// Whether a fit tells of its readings: sound, with something left to tell by.
fn tells(fit: &FitNoted) -> bool {
    fit.sound && fit.spread.declared > 0.0 && fit.spread.freedom >= 1.0
}

/// Whether its last digits tell the step of a display: a clock's don't.
fn has_digits(column: &TableColumn) -> bool {
    matches!(column.kind, Kind::Quantity(_) | Kind::Level)
}

impl Sheet {
    /// What the lines of the worksheet tell of its columns, as things stand. It is kept, unless
    /// the time was up before all of it was known.
    pub fn weighed(&self) -> Arc<Weighed> {
        if let Some(known) = self.weighed.get() {
            return Arc::clone(known);
        }
        let weighed = Arc::new(self.weigh());
        match time_limit::is_up() {
            true => weighed,
            false => Arc::clone(self.weighed.get_or_init(|| weighed)),
        }
    }

    fn weigh(&self) -> Weighed {
        let cells = self.cells_with_lines();
        if cells.is_empty() {
            return Weighed::default();
        }
        let needed = self.needed(&cells);
        let mut weighed = Weighed {
            steps: self.display_steps(&needed),
            ..Weighed::default()
        };
        let mut machine = self.dual_machine(&needed, &weighed);
        let mut aside = Appraisal::default();
        for cell in needed {
            self.appraise_cell(cell, &mut machine, &mut aside);
            if machine.is_out_of_time() {
                break;
            }
        }
        weighed.note(&machine.into_parts().1.noted, self);
        weighed
    }

    /// The cells whose steps draw a line through readings.
    fn cells_with_lines(&self) -> BTreeSet<u32> {
        let is_line = |site: &CallSite| matches!(site.function.body, Body::Fit(_));
        if !self.program.calls.iter().any(is_line) {
            return BTreeSet::new();
        }
        let draws = |step: &Step| {
            let site = self.program.calls.get(step.a as usize);
            step.operation == Operation::Call && site.is_some_and(is_line)
        };
        let cells = (0u32..).zip(&self.program.cells);
        let with_lines = cells.filter(|(_, code)| self.program.steps_of(**code).iter().any(draws));
        with_lines.map(|(cell, _)| cell).collect()
    }

    /// What a reading of each column that a line goes through errs by, told by its written
    /// digits.
    fn display_steps(&self, cells: &[u32]) -> BTreeMap<u32, f64> {
        let sites = self.calls_of(cells);
        let columns = sites.filter_map(|site| self.program.written_in(site.readings[1]));
        let with_step = columns.filter_map(|(slot, _)| {
            let column = self.table_columns.get(slot as usize)?;
            let cells: Vec<Number> = column.cells.iter().flatten().copied().collect();
            (!column.made && has_digits(column)).then(|| (slot, step_uncertainty(digit_step(&cells))))
        });
        with_step.collect()
    }

    /// The step of the instrument behind the readings of a line, in the unit of the call.
    pub(super) fn reading_step(&self, site: &CallSite) -> f64 {
        let tables = u32::try_from(self.table_columns.len()).unwrap_or(u32::MAX);
        let (slot, scale) = match (self.program.written_in(site.readings[1]), site.arguments.get(1)) {
            (Some(written), _) => written,
            // a register holds whatever was computed last
            (None, Some(Operand::Column(slot))) if slot.wrapping_sub(tables) >= COLUMN_REGISTERS => (*slot, 1.0),
            _ => return 0.0,
        };
        let cells = self.values.columns.get(slot as usize).into_iter().flatten();
        let readings: Vec<Number> = cells.flatten().copied().collect();
        scale * digit_step(&readings)
    }
}
