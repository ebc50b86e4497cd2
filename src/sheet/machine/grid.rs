//! A grid: an entry worked out again for each pair of values of two others.
//!
//! What lies between them is run anew in the number kind of the run, so that a grid has its
//! ± and its draws as any entry has; then everything is put back. Start reading at
//! [`Machine::grid`].

use std::collections::BTreeMap;

use crate::trade::{Complaint, Reason};

use super::super::program::{CellCode, GridSite, Step};
use super::super::scalar::Scalar;
use super::super::values::Values;
use super::{Failure, Machine};

/// The most values that a grid comes to.
const MOST_PLACES: usize = 1_000;

/// What a cell held before.
struct Kept<N> {
    code: CellCode,
    number: Option<N>,
    columns: Vec<Vec<Option<N>>>,
    well: bool,
}

/// What stood before a grid was worked out.
struct Before<N> {
    cells: Vec<Kept<N>>,
    held: usize,
    rows: BTreeMap<u32, Vec<u32>>,
}

impl<N: Scalar> Machine<'_, N> {
    /// Columns to, to + 1, …: what is varied, and what comes of it.
    pub(super) fn grid(&mut self, step: &Step, at: u32) -> Result<(), Failure> {
        let program = self.program;
        let Some(site) = program.grids.get(step.a as usize) else {
            return Ok(());
        };
        let complaint = |reason: Reason, help: Option<String>| {
            let argument = None;
            Failure::Complaint(Box::new(Complaint { argument, reason, help }), at)
        };
        let mut axes: Vec<Vec<N>> = Vec::new();
        for (_, column) in &site.over {
            axes.push(self.values.column(*column)?.iter().flatten().cloned().collect());
        }
        let places: usize = axes.iter().map(Vec::len).product();
        if places > MOST_PLACES {
            let message = format!("this grid has {places} values, and {MOST_PLACES} are the most");
            return Err(complaint(Reason::Outside(message), Some("leave values out".to_owned())));
        }
        let kept = self.kept(site);
        let found = self.places(site, &axes);
        self.of_grid = 0;
        self.put_back(kept);
        let (columns, failed) = found?;
        if failed.is_some() && columns.last().is_some_and(|cells| cells.iter().all(Option::is_none)) {
            let message = "what is worked out here has no value at any of these".to_owned();
            let help = "try one of the values by itself to see why".to_owned();
            return Err(complaint(Reason::Empty(message), Some(help)));
        }
        for (slot, cells) in (step.to..).zip(columns) {
            self.values.set_column(slot, cells);
        }
        Ok(())
    }

    /// The columns, row by row, and the first failure on the way.
    #[allow(clippy::type_complexity)]
    fn places(&mut self, site: &GridSite, axes: &[Vec<N>]) -> Result<(Vec<Vec<Option<N>>>, Option<Failure>), Failure> {
        let places: usize = axes.iter().map(Vec::len).product();
        let mut columns = vec![Vec::with_capacity(places); axes.len() + 1];
        let mut failed = None;
        for place in 0..places {
            self.of_grid = u32::try_from(place + 1).unwrap_or(u32::MAX);
            let mut behind = places;
            for ((axis, (slot, _)), column) in axes.iter().zip(&site.over).zip(&mut columns) {
                behind /= axis.len().max(1);
                let Some(value) = axis.get(place / behind.max(1) % axis.len().max(1)) else {
                    continue;
                };
                self.values.set_known(*slot, value.clone());
                column.push(Some(value.clone()));
            }
            let mut unknown = None;
            for cell in &site.cells {
                if self.held.is_some_and(|held| held.contains_key(cell)) {
                    continue;
                }
                match self.every_way(*cell, &mut unknown) {
                    Ok(()) | Err(Failure::Waits) => {}
                    Err(failure @ (Failure::OutOfTime | Failure::TooManyCells)) => return Err(failure),
                    Err(failure) if failure.asks() => return Err(failure),
                    Err(failure) => failed = failed.or(Some(failure)),
                }
            }
            if let Some(column) = columns.last_mut() {
                column.push(self.values.get(site.of).ok().cloned().or(unknown));
            }
        }
        Ok((columns, failed))
    }

    /// Runs a cell, every way that undecided conditions of its own leave open; `unknown` is what
    /// stands for one of which that can't be told.
    fn every_way(&mut self, cell: u32, unknown: &mut Option<N>) -> Result<(), Failure> {
        N::begin_within(&mut self.context);
        let mut result = self.cell(cell as usize);
        while result.is_ok() {
            match N::turn_within(&mut self.context) {
                Some(true) => result = self.another_way(cell),
                Some(false) => break,
                None => result = Err(Failure::Waits),
            }
        }
        if let Some(value) = N::end_within(&mut self.context) {
            *unknown = Some(value);
            result = result.and(Err(Failure::Waits));
        }
        let code = self.program.cells.get(cell as usize).copied();
        code.iter().for_each(|code| self.values.mark(*code, result.is_ok()));
        result
    }

    /// Runs a cell once more; it then is what it can be either way.
    fn another_way(&mut self, cell: u32) -> Result<(), Failure> {
        let code = self.program.cells.get(cell as usize).copied().unwrap_or_default();
        if !code.column {
            let before = self.values.get(code.slot)?.clone();
            self.cell(cell as usize)?;
            let either = before.or(self.values.get(code.slot)?);
            self.values.set(code.slot, either);
            return Ok(());
        }
        let cells = |slot: u32, values: &Values<N>| values.column(slot).map(<[_]>::to_vec);
        let before: Result<Vec<_>, Failure> = code.columns().map(|slot| cells(slot, &self.values)).collect();
        let before = before?;
        self.cell(cell as usize)?;
        for (slot, before) in code.columns().zip(before) {
            let now = self.values.column(slot)?;
            let either = before
                .iter()
                .zip(now)
                .map(|(one, other)| Some(one.as_ref()?.or(other.as_ref()?)));
            let either: Vec<Option<N>> = either.collect();
            if before.len() != now.len() {
                return Err(Failure::Waits);
            }
            self.values.set_column(slot, either);
        }
        Ok(())
    }

    fn kept(&self, site: &GridSite) -> Before<N> {
        let single = |slot: u32| CellCode {
            slot,
            ..CellCode::default()
        };
        let over = site.over.iter().map(|(slot, _)| single(*slot));
        let cells = site
            .cells
            .iter()
            .filter_map(|cell| self.program.cells.get(*cell as usize).copied());
        let keep = |code: CellCode| Kept {
            code,
            number: self
                .values
                .slots
                .get(code.slot as usize)
                .filter(|_| !code.column)
                .cloned(),
            columns: match code.column {
                true => code
                    .columns()
                    .filter_map(|slot| self.values.columns.get(slot as usize).cloned())
                    .collect(),
                false => Vec::new(),
            },
            well: match code.column {
                true => self.values.column(code.slot).is_ok(),
                false => self.values.get(code.slot).is_ok(),
            },
        };
        Before {
            cells: over.chain(cells).map(keep).collect(),
            held: self.values.held,
            rows: self.values.rows.clone(),
        }
    }

    fn put_back(&mut self, before: Before<N>) {
        for Kept {
            code,
            number,
            columns,
            well,
        } in before.cells
        {
            if let Some(number) = number {
                self.values.set(code.slot, number);
            }
            for (slot, cells) in code.columns().zip(columns) {
                if let Some(place) = self.values.columns.get_mut(slot as usize) {
                    *place = cells;
                }
            }
            self.values.mark(code, well);
        }
        (self.values.held, self.values.rows) = (before.held, before.rows);
    }
}
