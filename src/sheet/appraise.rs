//! How sure: uncertainties of results, and the cautions their values raise.
//!
//! The same program runs once more over the cells asked for and what they need,
//! in binary numbers with derivatives. Values stay those of the exact run.
//! Start reading at [`Sheet::appraise`].

use std::collections::{BTreeMap, BTreeSet};

use crate::number::Number;
use crate::syntax::tree::{ComparisonOperator, Tolerance, ToleranceForm};
use crate::time_limit;
use crate::trade::caution::MISSING_CELLS;
use crate::trade::line::student_below;
use crate::trade::{Body, Built, Caution, Fact, Function, Remark};
use crate::unit::{Kind, Unit};

use super::appraisal::{Appraisal, Cautioned, Doubt, HeatBasis, Mark, ReadingsOf};
use super::checker::decibel;
use super::dual::{Dual, Sources};
use super::exact::AskedFor;
use super::fit_spread::FitNoted;
use super::limits::{Limited, Rows};
use super::machine::Machine;
use super::meet::unit_named;
use super::names::CellId;
use super::program::{CallSite, CellCode, Operand, Operation, REGISTERS};
use super::reach::Reach;
use super::scalar::Scalar;
use super::source::{SourceOf, Uncertainty};
use super::table::standard_uncertainty;
use super::values::Values;
use super::weighed::Weighed;
use super::{HeldValue, Sheet, Status, tolerance_of};

impl Sheet {
    /// Uncertainties of these cells, and the cautions of what they rest on.
    pub fn appraise(&self, cells: impl IntoIterator<Item = CellId>) -> Appraisal {
        let _run = time_limit::begin();
        let asked: BTreeSet<u32> = cells.into_iter().map(|cell| cell.0).collect();
        let needed = self.needed(&asked);
        let mut appraisal = Appraisal::default();
        let mut machine = self.dual_machine(&needed, &self.weighed());
        for cell in needed {
            machine.context.made_of_unsure = false;
            let known = machine.context.to_draw.len();
            self.appraise_cell(cell, &mut machine, &mut appraisal);
            let new = machine.context.to_draw.iter().skip(known);
            match new.map(|table| table.steps).sum() {
                0 => {}
                steps => drop(appraisal.making.insert(CellId(cell), steps)),
            }
            appraisal.cautions.extend(self.two_tables(cell));
            self.caution_clock_change(cell, &mut appraisal);
            if machine.is_out_of_time() {
                appraisal.cut = Some(CellId(cell));
                break;
            }
            let rests = self
                .order
                .needs(cell)
                .iter()
                .any(|need| appraisal.unsure.contains(need));
            if self.adds_up(cell) && self.order.needs(cell).iter().all(|need| appraisal.sums.contains(need)) {
                appraisal.sums.insert(cell);
            }
            let held = self.overlay.held.contains_key(&cell);
            if !held && (rests || machine.context.made_of_unsure) {
                appraisal.unsure.insert(cell);
            }
            if asked.contains(&cell) {
                self.note_doubt(cell, &machine, &mut appraisal);
            }
        }
        (_, appraisal.sources) = machine.into_parts();
        appraisal.note_mixed_bases();
        self.caution_by_weight(asked.into_iter().map(CellId), &mut appraisal);
        self.caution_runs(&mut appraisal);
        appraisal
    }

    /// Whether a cell does nothing but add and subtract.
    fn adds_up(&self, cell: u32) -> bool {
        let adds = |operation: Operation| {
            use Operation::{Add, Convert, Copy, Negate, Subtract};
            matches!(operation, Copy | Add | Subtract | Negate | Convert)
        };
        let code = self.program.cells.get(cell as usize).filter(|code| !code.column);
        code.is_some_and(|code| self.program.steps_of(*code).iter().all(|step| adds(step.operation)))
            && self.program.grid_of(cell).is_none()
    }

    /// What the calls that these cells rest on meet: expanded uncertainties of arguments,
    /// lines through readings.
    pub(super) fn appraise_calls(&self, cells: &[CellId]) -> Sources {
        let needed = self.needed(&cells.iter().map(|cell| cell.0).collect());
        let mut machine = self.dual_machine(&needed, &self.weighed());
        machine.context.expanded = Some(BTreeMap::new());
        let mut aside = Appraisal::default();
        for need in needed {
            self.appraise_cell(need, &mut machine, &mut aside);
        }
        machine.into_parts().1
    }

    /// The lines through readings that a cell draws itself.
    pub fn lines_of(&self, cell: CellId) -> Vec<FitNoted> {
        let steps = self.program.steps_of_cell(cell.0).iter();
        let calls = steps.filter(|step| step.operation == Operation::Call);
        let is_line = |number: &u32| {
            let site = self.program.calls.get(*number as usize);
            site.is_some_and(|site| matches!(site.function.body, Body::Fit(_)))
        };
        let sites: Vec<u32> = calls.map(|step| step.a).filter(is_line).collect();
        if sites.is_empty() {
            return Vec::new();
        }
        let noted = self.appraise_calls(&[cell]).noted;
        sites.iter().filter_map(|site| noted.get(site).cloned()).collect()
    }

    /// What the calls in a cell ask for: the expanded uncertainties of their arguments, the
    /// weights of their readings.
    pub(super) fn asked_of(&self, cell: u32) -> AskedFor {
        let needed = self.needed(&BTreeSet::from([cell]));
        let mut machine = self.dual_machine(&needed, &self.weighed());
        let mut aside = Appraisal::default();
        for need in needed {
            self.appraise_cell(need, &mut machine, &mut aside);
        }
        machine.context.expanded = Some(BTreeMap::new());
        machine.context.noted.clear();
        let _ = machine.cell(cell as usize);
        let sources = machine.into_parts().1;
        AskedFor {
            tolerances: sources.expanded.unwrap_or_default(),
            counting: sources
                .noted
                .iter()
                .map(|(site, noted)| (*site, Ok(noted.counting.clone())))
                .chain(
                    sources
                        .unsettled
                        .into_iter()
                        .map(|(site, complaint)| (site, Err(complaint))),
                )
                .collect(),
        }
    }

    /// A cell and all it needs, in the order they are computed.
    pub fn needed_by(&self, cell: CellId) -> Vec<CellId> {
        self.needed(&BTreeSet::from([cell.0])).into_iter().map(CellId).collect()
    }

    /// These cells and all they need, in order.
    pub(super) fn needed(&self, asked: &BTreeSet<u32>) -> Vec<u32> {
        let mut seen = vec![false; self.status.len()];
        let mut open: Vec<u32> = asked.iter().copied().collect();
        let mut needed = Vec::new();
        while let Some(cell) = open.pop() {
            let Some(seen) = seen.get_mut(cell as usize) else {
                continue;
            };
            if std::mem::replace(seen, true) {
                continue;
            }
            needed.push(cell);
            if !self.overlay.held.contains_key(&cell) {
                open.extend(self.order.needs(cell));
            }
        }
        needed.sort_unstable_by_key(|cell| self.order.rank_of(*cell));
        needed
    }

    /// A machine with what these cells look at: constants, columns, and the steps of instruments.
    pub(super) fn dual_machine(&self, needed: &[u32], weighed: &Weighed) -> Machine<'_, Dual> {
        let reach = self.reach(needed);
        let mut sources = Sources::with_made(self.alongside.made.clone());
        sources.scattered = weighed.scattered();
        for number in &reach.calls {
            let site = self.program.calls.get(*number as usize);
            if let Some(site) = site.filter(|site| matches!(site.function.body, Body::Fit(_))) {
                sources.steps.insert(*number, self.reading_step(site));
                sources.beside.insert(*number, self.two_words_beside(site));
            }
        }
        let values = self.dual_values(&reach, weighed, &mut sources);
        Machine::new(&self.program, &self.texts, values, sources).holding(&self.overlay.held)
    }

    /// The calls of these cells.
    pub(super) fn calls_of(&self, cells: &[u32]) -> impl Iterator<Item = &CallSite> {
        let calls = self.reach(cells).calls.into_iter();
        calls.filter_map(|number| self.program.calls.get(number as usize))
    }

    /// The readings that a line goes through, and what its readings are divided by to be in
    /// the unit they are written in.
    pub(crate) fn line_through(&self, site: u32) -> (ReadingsOf, f64) {
        let Some(site) = self.program.calls.get(site as usize) else {
            return (ReadingsOf::Unnamed, 1.0);
        };
        let written = self.program.written_in(site.readings[1]);
        if let Some((column, scale)) = written.filter(|(_, scale)| *scale > 0.0) {
            return (ReadingsOf::Column(column), scale);
        }
        let Some(Operand::Column(slot)) = site.arguments.get(1) else {
            return (ReadingsOf::Unnamed, 1.0);
        };
        let holds = |code: &CellCode| code.column && code.columns().contains(slot);
        let cell = self.program.cells.iter().position(holds);
        let cell = cell.and_then(|cell| u32::try_from(cell).ok());
        let of = cell.map_or(ReadingsOf::Unnamed, |cell| ReadingsOf::Entry(CellId(cell)));
        (of, 1.0)
    }

    /// Whether a cell, or anything it needs, reads the column of a table.
    pub(crate) fn reads_column(&self, cell: CellId, slot: u32) -> bool {
        let needed = self.needed(&BTreeSet::from([cell.0]));
        self.reach(&needed).columns.contains(&slot)
    }

    /// What the steps of these cells look at.
    fn reach(&self, needed: &[u32]) -> Reach {
        let mut reach = Reach::default();
        let steps = needed.iter().flat_map(|cell| self.program.steps_of_cell(*cell));
        steps.for_each(|step| reach.add(step, &self.program));
        reach
    }

    fn dual_values(&self, reach: &Reach, weighed: &Weighed, sources: &mut Sources) -> Values<Dual> {
        let mut values = Values {
            slots: vec![Dual::default(); self.program.slots as usize],
            well: self.values.well.clone(),
            columns: vec![Vec::new(); self.program.columns as usize],
            columns_well: self.values.columns_well.clone(),
            held: 0,
            rows: BTreeMap::new(),
        };
        for (slot, value) in &reach.constants {
            values.set(*slot, Dual::constant(value.to_f64()));
        }
        for slot in &reach.columns {
            let slot = *slot;
            let Some(column) = self.table_columns.get(slot as usize).filter(|column| !column.made) else {
                continue;
            };
            let cells = (0u32..).zip(&column.cells).map(|(row, cell)| {
                let value = (*cell)?.to_f64();
                Some(match weighed.source(slot, column, row) {
                    Some(source) => Dual::source(value, sources.number_of(source)),
                    None => Dual::constant(value),
                })
            });
            let cells = cells.collect();
            values.set_column(slot, cells);
        }
        values
    }

    pub(super) fn appraise_cell(&self, cell: u32, machine: &mut Machine<'_, Dual>, appraisal: &mut Appraisal) {
        let Some(code) = self.program.cells.get(cell as usize).copied() else {
            return;
        };
        if self.status.get(cell as usize) != Some(&Status::Known) {
            return;
        }
        if let Some(held) = self.overlay.held.get(&cell) {
            self.set_held(cell, code, &held.value, held.tolerance, machine);
            return;
        }
        let remarks_before = machine.context.remarks.len();
        match self.program.grid_of(cell) {
            None => drop(machine.cell(cell as usize)),
            // what calls meet at other values of their inputs isn't what they meet as things stand
            Some(_) => {
                let kept = (machine.context.expanded.clone(), machine.context.noted.clone());
                drop(machine.cell(cell as usize));
                (machine.context.expanded, machine.context.noted) = kept;
                machine.context.remarks.truncate(remarks_before);
                machine.context.questioned.clear();
            }
        }
        self.restore_exact(code, machine);
        if let Some(entry) = self.entry(CellId(cell))
            && let Some(tolerance) = tolerance_of(entry)
        {
            self.add_tolerance(cell, code, tolerance, machine);
        }
        let mut remarks: Vec<(u32, Remark)> = machine.context.remarks.drain(remarks_before..).collect();
        let questioned = std::mem::take(&mut machine.context.questioned);
        let objections = questioned
            .iter()
            .filter_map(|(site, one)| Some((*site, self.objection(*site, one)?)));
        remarks.extend(objections);
        self.note_cautions(cell, code, remarks, &machine.values, appraisal);
    }

    fn set_held(
        &self,
        cell: u32,
        code: CellCode,
        value: &HeldValue,
        tolerance: Option<Tolerance>,
        machine: &mut Machine<'_, Dual>,
    ) {
        match value {
            HeldValue::Number(number) => {
                machine.values.set_known(code.slot, Dual::constant(number.to_f64()));
                if let Some(tolerance) = tolerance {
                    self.add_tolerance(cell, code, tolerance, machine);
                }
            }
            HeldValue::Column(cells) => {
                let cells = cells.iter().map(|cell| cell.map(|cell| Dual::constant(cell.to_f64())));
                machine.values.set_column(code.slot, cells.collect());
            }
        }
    }

    /// The values of the exact run, with the sensitivities of the binary one.
    fn restore_exact(&self, code: CellCode, machine: &mut Machine<'_, Dual>) {
        let slot = code.slot as usize;
        if !code.column {
            if let (Some(dual), Some(exact)) = (machine.values.slots.get_mut(slot), self.values.slots.get(slot)) {
                dual.value = exact.to_f64();
            }
            if let Some(well) = machine.values.well.get_mut(slot) {
                *well = true;
            }
            return;
        }
        for column in code.columns() {
            self.restore_column(column, machine);
        }
    }

    fn restore_column(&self, slot: u32, machine: &mut Machine<'_, Dual>) {
        let exact = self.values.columns.get(slot as usize).map_or(&[][..], |cells| cells);
        let duals = machine.values.columns.get(slot as usize).cloned().unwrap_or_default();
        let cells = exact.iter().enumerate().map(|(row, cell)| {
            let gradient = duals
                .get(row)
                .cloned()
                .flatten()
                .map(|dual| dual.gradient)
                .unwrap_or_default();
            cell.map(|cell| Dual::of(cell.to_f64(), gradient))
        });
        machine.values.set_column(slot, cells.collect());
    }

    fn add_tolerance(&self, cell: u32, code: CellCode, tolerance: Tolerance, machine: &mut Machine<'_, Dual>) {
        let Some(shape) = self.shape(CellId(cell)) else { return };
        let unit = uncertainty_unit(shape.kind);
        let Some(value) = machine.values.slots.get(code.slot as usize).map(|dual| dual.value) else {
            return;
        };
        let u = standard_uncertainty(tolerance, unit, value);
        if u > 0.0 {
            let freedom = tolerance.degrees_of_freedom.map_or(f64::INFINITY, Number::to_f64);
            let limits = tolerance.form == ToleranceForm::Limits;
            let number = machine.context.number(SourceOf::Cell(cell), u, (limits, freedom));
            machine.values.set_known(code.slot, Dual::source(value, number));
        }
    }

    fn note_doubt(&self, cell: u32, machine: &Machine<'_, Dual>, appraisal: &mut Appraisal) {
        let Some(code) = self.program.cells.get(cell as usize) else {
            return;
        };
        if self.status.get(cell as usize) != Some(&Status::Known) {
            return;
        }
        let id = CellId(cell);
        let limited = self.limited(id);
        let truth = self.shape(id).is_some_and(|shape| shape.kind == Kind::Truth);
        let left_out = match limited {
            Some(Limited::One(_) | Limited::Table) => true,
            Some(Limited::Rows(_) | Limited::Columns(_)) => truth || appraisal.unsure.contains(&cell),
            None => false,
        };
        if left_out {
            return;
        }
        if truth {
            if appraisal.unsure.contains(&cell) {
                appraisal.by_draws.insert(id);
                return;
            }
            match self.closeness(*code, machine) {
                Closeness::Clear => {}
                Closeness::Close(likely) => {
                    appraisal.close.insert(id);
                    let holds = self.holds(id);
                    let likely = likely
                        .zip(holds)
                        .map(|(likely, holds)| if holds { likely } else { 1.0 - likely });
                    appraisal.likely.extend(likely.map(|likely| (id, likely)));
                }
                Closeness::ByDraws => drop(appraisal.by_draws.insert(id)),
            }
            return;
        }
        if appraisal.unsure.contains(&cell) {
            return appraisal.note_draws(id);
        }
        if code.width > 1 {
            return self.note_columns(*code, machine, appraisal);
        }
        if code.column {
            let cut = limited.and_then(Limited::rows);
            let rows = combined_rows(code.slot, cut, machine);
            match (rows.iter().any(|row| row.standard.is_nan()), cut) {
                (true, Some(_)) => return,
                (true, None) => return appraisal.note_draws(id),
                (false, _) => {}
            }
            if rows.iter().any(|row| row.standard > 0.0) {
                appraisal.doubts.insert(id, Doubt::Rows(rows));
            }
            appraisal.note_rows(
                id,
                machine
                    .values
                    .columns
                    .get(code.slot as usize)
                    .map_or(&[], Vec::as_slice),
            );
            return;
        }
        let Some(dual) = machine.values.slots.get(code.slot as usize) else {
            return;
        };
        let combined = machine.context.combined(dual);
        if combined.standard.is_nan() {
            return appraisal.note_draws(id);
        }
        if combined.standard > 0.0 {
            if let Some(ends) = machine.context.uneven(dual) {
                appraisal.marks.insert(id, Mark::uneven(ends));
            }
            appraisal.doubts.insert(id, Doubt::One(combined));
            appraisal.gradients.insert(id, dual.gradient.clone());
        }
    }

    /// The uncertainties of the columns of a table that is worked out.
    fn note_columns(&self, code: CellCode, machine: &Machine<'_, Dual>, appraisal: &mut Appraisal) {
        for slot in code.columns() {
            let rows = combined_rows(slot, self.cut(slot), machine);
            let told = rows.iter().all(|row| !row.standard.is_nan()) && rows.iter().any(|row| row.standard > 0.0);
            if told {
                appraisal.columns.insert(slot, rows);
            }
        }
    }

    /// Whether a comparison in the cell could go either way within its uncertainty.
    fn closeness(&self, code: CellCode, machine: &Machine<'_, Dual>) -> Closeness {
        let steps = self.program.steps_of(code);
        let compares = steps
            .iter()
            .filter(|step| matches!(step.operation, Operation::Compare(_)));
        let only = compares.clone().count() == 1;
        let found = compares.into_iter().map(|step| {
            // registers may have been used again since, but for a single comparison
            if !only && step.a.min(step.b) < REGISTERS {
                return Closeness::Clear;
            }
            let (Ok(a), Ok(b)) = (machine.values.get(step.a), machine.values.get(step.b)) else {
                return Closeness::Clear;
            };
            let Ok(gap) = a.subtract(b) else {
                return Closeness::Clear;
            };
            let combined = machine.context.combined(&gap);
            match gap.value.abs() <= combined.expanded() {
                _ if combined.standard.is_nan() => Closeness::ByDraws,
                true if combined.standard > 0.0 => {
                    let ordered = !matches!(
                        step.operation,
                        Operation::Compare(ComparisonOperator::Equal | ComparisonOperator::Unequal)
                    );
                    let likely = student_below(gap.value.abs() / combined.standard, combined.degrees_of_freedom);
                    Closeness::Close(Some(likely).filter(|_| only && ordered))
                }
                _ => Closeness::Clear,
            }
        });
        let found: Vec<Closeness> = found.collect();
        let one_of = |wanted: fn(&Closeness) -> bool| found.iter().copied().find(wanted);
        one_of(|one| matches!(one, Closeness::Close(_)))
            .or_else(|| one_of(|one| matches!(one, Closeness::ByDraws)))
            .unwrap_or(Closeness::Clear)
    }

    fn note_cautions(
        &self,
        cell: u32,
        code: CellCode,
        remarks: Vec<(u32, Remark)>,
        values: &Values<Dual>,
        appraisal: &mut Appraisal,
    ) {
        let id = CellId(cell);
        let mut found: Vec<(&'static Function, Remark)> = Vec::new();
        for step in self.program.steps_of(code) {
            let calls = matches!(
                step.operation,
                Operation::Call | Operation::CallColumn | Operation::CallTable
            );
            if !calls {
                continue;
            }
            let Some(site) = self.program.calls.get(step.a as usize) else {
                continue;
            };
            appraisal.functions.push((id, site.function));
            appraisal.bases.extend(self.heat_basis(id, site));
            let choice = self.word_given(site, "rule");
            appraisal
                .choices
                .extend(choice.map(|rule| (id, site.function.name, rule)));
            found.extend(missing_cells(site, values).map(|remark| (site.function, remark)));
            for caution in site.function.cautions {
                found.push((site.function, Remark::plain(caution)));
            }
        }
        found.extend(self.told_remarks(remarks));
        for (function, Remark { caution, text }) in found {
            let cautioned = Cautioned {
                cell: id,
                function: function.name,
                caution,
                text,
            };
            if !appraisal.cautions.contains(&cautioned) {
                appraisal.cautions.push(cautioned);
            }
        }
    }

    /// The remarks of a cell's calls. A function that works row by row may have one for
    /// each row: the first ones are told, and how many more there are.
    fn told_remarks(&self, remarks: Vec<(u32, Remark)>) -> Vec<(&'static Function, Remark)> {
        let mut told: Vec<(&'static Function, Remark)> = Vec::new();
        let mut more: BTreeMap<(u32, &'static str), (usize, &'static Caution)> = BTreeMap::new();
        let mut counts: BTreeMap<(u32, &'static str), usize> = BTreeMap::new();
        for (site, remark) in remarks {
            let Some(function) = self.program.calls.get(site as usize).map(|site| site.function) else {
                continue;
            };
            let key = (site, remark.caution.code);
            if told
                .iter()
                .any(|(other, known)| other.name == function.name && *known == remark)
            {
                continue;
            }
            let count = counts.entry(key).or_default();
            *count += 1;
            if *count <= TOLD_REMARKS {
                told.push((function, remark));
            } else {
                more.entry(key).or_insert((0, remark.caution)).0 += 1;
            }
        }
        for ((site, _), (count, caution)) in more {
            if let Some(site) = self.program.calls.get(site as usize) {
                let text = format!(
                    "The same, with other figures, in {count} more rows of `{}`.",
                    site.function.name
                );
                told.push((site.function, Remark::new(caution, text)));
            }
        }
        told
    }

    /// The fuel and basis of a call, where the function has such parameters or knows one only.
    fn heat_basis(&self, cell: CellId, site: &CallSite) -> Option<HeatBasis> {
        let known = site.function.tells.iter().find_map(|fact| match fact {
            Fact::Heat(fuel, basis) => Some(((*fuel).to_owned(), (*basis).to_owned())),
            _ => None,
        });
        let given = || Some((self.word_given(site, "fuel")?, self.word_given(site, "basis")?));
        let (fuel, basis) = known.or_else(given)?;
        Some(HeatBasis {
            cell,
            function: site.function,
            fuel,
            basis,
        })
    }

    /// The word that a call gives to the parameter of that name.
    fn word_given(&self, site: &CallSite, name: &str) -> Option<String> {
        let parameters = site.function.parameters;
        let index = parameters.iter().position(|parameter| parameter.name == name)?;
        let Some(Operand::Text(slot)) = site.arguments.get(index) else {
            return None;
        };
        let number = self.values.slots.get(*slot as usize)?;
        Some(self.texts.text(*number).to_owned())
    }
}

/// How many cells a reduction had to leave out.
fn missing_cells(site: &CallSite, values: &Values<Dual>) -> Option<Remark> {
    let Body::Built(
        Built::Sum
        | Built::Mean
        | Built::Min
        | Built::Max
        | Built::Count
        | Built::First
        | Built::Last
        | Built::KeyOf
        | Built::CountOf,
    ) = site.function.body
    else {
        return None;
    };
    let Some(Operand::Column(slot)) = site.arguments.first() else {
        return None;
    };
    let cells = values.columns.get(*slot as usize)?;
    let late = cells
        .iter()
        .take(site.late as usize)
        .filter(|cell| cell.is_none())
        .count();
    let missing = cells.iter().filter(|cell| cell.is_none()).count() - late;
    let rows = cells.len() - late;
    let text = format!(
        "`{}` leaves out {missing} of {rows} cells, which are missing.",
        site.function.name
    );
    (missing > 0).then_some(Remark::new(&MISSING_CELLS, text))
}

/// The uncertainties of the cells of a column; none of one that a limit has cut short.
fn combined_rows(slot: u32, cut: Option<Rows<'_>>, machine: &Machine<'_, Dual>) -> Vec<Uncertainty> {
    let cells = machine.values.columns.get(slot as usize).into_iter().flatten();
    let of = |(row, dual): (usize, &Option<Dual>)| match dual {
        Some(dual) if cut.is_none_or(|cut| cut.open(row).is_none()) => machine.context.combined(dual),
        _ => Uncertainty::NONE,
    };
    cells.enumerate().map(of).collect()
}

/// How many remarks of one kind a call may make.
const TOLD_REMARKS: usize = 2;

/// How a comparison stands to its uncertainty.
#[derive(Clone, Copy)]
enum Closeness {
    /// It could not go the other way.
    Clear,
    /// Only draws can tell.
    ByDraws,
    /// It could go either way; how likely it goes as it does, of a single comparison.
    Close(Option<f64>),
}

/// The unit an uncertainty of this kind is counted in.
pub(crate) fn uncertainty_unit(kind: Kind) -> Unit {
    match kind {
        Kind::Quantity(unit) => unit.interval(),
        Kind::Level | Kind::Decibels => decibel(),
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => unit_named("s"),
        Kind::Text | Kind::Truth => Unit::ONE,
    }
}
