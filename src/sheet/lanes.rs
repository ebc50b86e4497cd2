//! Blocks of draws: the program over many draws of the uncertain inputs at once.
//!
//! A [`Lanes`] is the plan for some cells: which inputs are uncertain, and which
//! cells change with them. Whatever doesn't change is taken from the record as it
//! stands. Cells of single values run one step at a time over a whole block
//! ([`vector`]); those with columns, tables or fits, and draws that part at a
//! condition or meet a problem, run draw by draw in plain binary numbers. Both
//! keep the rules of the record. Who draws is not known here: a [`worker::Worker`]
//! takes deviates. Start reading at [`Sheet::lanes`].

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::number::Number;
use crate::syntax::tree::{Node, Tolerance, ToleranceForm};
use crate::trade::{Body, Fit};

use super::appraise::uncertainty_unit;
use super::binary::Known;
use super::column::TableColumn;
use super::fit_spread::FitNoted;
use super::limits::Limited;
use super::names::CellId;
use super::program::{CellCode, Operand, Operation, Step};
use super::source::{SourceOf, UncertaintySource};
use super::table::standard_uncertainty;
use super::values::Values;
use super::{HeldValue, Sheet, Status, tolerance_of};

pub(crate) mod spread;
pub mod vector;
pub(crate) mod worker;

pub use spread::{BeyondReadings, Chance, DrawnSource, Scattered, Spread};
use vector::Tape;

/// The sources of a line: what it keeps to itself, and one more reading.
#[derive(Clone, Copy, Debug, Default)]
struct LineSources {
    beyond: Option<usize>,
    next: Option<usize>,
}

/// A reading of a table that is drawn.
#[derive(Clone, Copy, Debug)]
struct DrawnReading {
    row: usize,
    source: usize,
    standard: f64,
}

/// How a cell is worked out over a block.
#[derive(Clone, Debug)]
enum How {
    /// A value and so much times the deviates of a source.
    Source(f64, usize, f64),
    /// Steps over a whole block.
    Block(Tape),
    /// Draw by draw.
    Single,
}

/// A cell that changes with what is drawn.
#[derive(Clone, Debug)]
struct Planned {
    cell: u32,
    code: CellCode,
    how: How,
    /// The cells it needs that change too, by their place in the plan.
    needs: Vec<usize>,
    /// Columns of tables with drawn readings that it reads, by their place in the plan.
    readings: Vec<usize>,
    /// Where its value is kept; its columns, for a cell that holds some.
    kept: usize,
}

/// A plan: which cells change with what is drawn, and how each is worked out.
pub struct Lanes<'a> {
    sheet: &'a Sheet,
    sources: Vec<DrawnSource>,
    readings: Vec<(u32, Vec<DrawnReading>)>,
    cells: Vec<Planned>,
    asked: Vec<Asked>,
    base: Values<f64>,
    known: Arc<Known>,
    /// For each line, by the number of its fit, its sources.
    lines: Vec<LineSources>,
    /// Whether functions make tables anew in every draw.
    makes: bool,
    lanes: usize,
    columns: usize,
    registers: usize,
    block: usize,
}

/// A cell asked for.
#[derive(Clone, Copy, Debug)]
enum Asked {
    /// It changes: its place in the plan.
    Planned(usize),
    /// It changes, and is a column.
    Column(usize),
    /// It is always this.
    Constant(f64),
    /// It is a column, and always what stands in that slot.
    Still(u32),
    /// It has no single value.
    None,
}

/// What the columns of a block may take, in cells.
const MOST_CELLS: usize = 1_000_000;

impl Sheet {
    /// The plan for these cells. They should have values, single ones.
    pub fn lanes(&self, asked: &[CellId]) -> Lanes<'_> {
        let needed = self.needed(&asked.iter().map(|cell| cell.0).collect());
        let known = self.known_of(asked);
        let mut planning = Planning::new(self, None);
        for (site, fit) in &known.fits {
            planning.add_line(*site, fit);
        }
        for cell in &needed {
            planning.add(*cell);
        }
        planning.finish(asked, &needed, known)
    }

    /// The plan for these cells with one input varied and everything else as it stands. Its
    /// one source is the input; what is taken for deviates are its values themselves. The
    /// input should be held exactly. A function that asks for the tolerances of its arguments,
    /// which change with the input, has no value here.
    pub(crate) fn lanes_over(&self, input: CellId, asked: &[CellId]) -> Lanes<'_> {
        let needed = self.needed(&asked.iter().map(|cell| cell.0).collect());
        let mut planning = Planning::new(self, Some(input.0));
        for cell in &needed {
            planning.add(*cell);
        }
        let known = Known {
            declared: self.alongside.declared.clone(),
            ..Known::default()
        };
        planning.finish(asked, &needed, known)
    }

    /// What calls are to know.
    fn known_of(&self, asked: &[CellId]) -> Known {
        let sources = self.appraise_calls(asked);
        Known {
            expanded: sources.expanded.unwrap_or_default(),
            fits: sources.noted,
            orders: sources.orders,
            declared: self.alongside.declared.clone(),
        }
    }

    /// The name of a column of a table: `log.gross`.
    pub(super) fn column_name(&self, slot: u32) -> String {
        let table = self.tables.iter().find(|table| table.columns.contains(&slot));
        let item = table.and_then(|table| self.tree.item(table.item));
        let table = match item.map(|item| &item.node) {
            Some(Node::Table(table)) => &*table.name.text,
            _ => "",
        };
        let column = self.table_columns.get(slot as usize).map_or("", |column| &column.name);
        format!("{table}.{column}")
    }
}

/// A plan being made.
struct Planning<'a> {
    sheet: &'a Sheet,
    /// The one input that is varied, where it is one; else all that is uncertain is drawn.
    varied: Option<u32>,
    sources: Vec<DrawnSource>,
    readings: Vec<(u32, Vec<DrawnReading>)>,
    cells: Vec<Planned>,
    /// The place in the plan of each cell that changes.
    places: BTreeMap<u32, usize>,
    lines: Vec<LineSources>,
    makes: bool,
    lanes: usize,
    columns: usize,
}

/// What the steps of a cell do that matters to a plan.
#[derive(Default)]
struct Steps {
    /// The columns of tables that they read.
    columns: BTreeSet<u32>,
    /// The cells that a grid runs anew, and what they rest on.
    watched: BTreeSet<u32>,
    fits: bool,
    makes: bool,
}

impl<'a> Planning<'a> {
    fn new(sheet: &'a Sheet, varied: Option<u32>) -> Planning<'a> {
        Planning {
            sheet,
            varied,
            sources: Vec::new(),
            readings: Vec::new(),
            cells: Vec::new(),
            places: BTreeMap::new(),
            lines: Vec::new(),
            makes: false,
            lanes: 0,
            columns: 0,
        }
    }

    fn add_line(&mut self, site: u32, fit: &FitNoted) {
        let site = self.sheet.program.calls.get(site as usize);
        let next = site.is_some_and(|site| matches!(site.function.body, Body::Fit(Fit::ReadingAt)));
        let place = fit.fit as usize;
        self.lines
            .resize(self.lines.len().max(place + 1), LineSources::default());
        let mut line = self.lines.get(place).copied().unwrap_or_default();
        if line.beyond.is_none() && fit.spread.beyond() > 0.0 {
            line.beyond = Some(self.add_beyond(fit));
        }
        if line.next.is_none() && next && fit.spread.of_reading() > 0.0 {
            line.next = Some(self.add_next(fit));
        }
        if let Some(known) = self.lines.get_mut(place) {
            *known = line;
        }
    }

    /// What a fit keeps to itself.
    fn add_beyond(&mut self, fit: &FitNoted) -> usize {
        let column = fit.spread.column.map(|slot| self.sheet.column_name(slot));
        let stream = format!("{} line", column.unwrap_or_default());
        let known = |source: &&DrawnSource| source.stream.starts_with(&stream);
        let stream = format!("{stream} {}", self.sources.iter().filter(known).count());
        let own = Chance {
            stream: format!("{stream} scatter"),
            ratio: fit.spread.scatter / fit.spread.nominal,
            degrees_of_freedom: fit.spread.degrees_of_freedom(),
        };
        self.push_source(DrawnSource {
            of: SourceOf::Beyond(fit.fit, 0),
            stream,
            standard: f64::sqrt(fit.spread.beyond()),
            spread: Spread::Beyond(Box::new(BeyondReadings {
                spread: fit.spread,
                own,
                of_column: fit.spread.column.and_then(|slot| self.chance(slot)),
            })),
        })
    }

    /// What one more reading errs by on its own.
    fn add_next(&mut self, fit: &FitNoted) -> usize {
        let spread = fit.spread;
        let column = spread.column.map(|slot| self.sheet.column_name(slot));
        let chance = spread.column.and_then(|slot| self.chance(slot));
        self.push_source(DrawnSource {
            of: SourceOf::NextReading(fit.fit),
            stream: format!("{} next {}", column.unwrap_or_default(), fit.fit),
            standard: f64::sqrt(spread.of_reading()),
            spread: scattered(Spread::Normal, (spread.nominal, spread.shared), chance),
        })
    }

    /// How badly the scatter of a column is known, where it has one.
    fn chance(&self, slot: u32) -> Option<Chance> {
        let scatter = self.sheet.weighed().scatter(slot)?;
        Some(Chance {
            stream: format!("{} scatter", self.sheet.column_name(slot)),
            ratio: scatter.ratio,
            degrees_of_freedom: scatter.degrees_of_freedom,
        })
    }

    fn push_source(&mut self, source: DrawnSource) -> usize {
        self.sources.push(source);
        self.sources.len() - 1
    }

    /// Adds a cell, if it changes with what is drawn. Cells come in order.
    fn add(&mut self, cell: u32) {
        let Some(code) = self.sheet.program.cells.get(cell as usize).copied() else {
            return;
        };
        if self.varied == Some(cell) {
            return self.add_varied(cell, code);
        }
        if let Some(held) = self.sheet.overlay.held.get(&cell) {
            if let (HeldValue::Number(value), Some(tolerance)) = (&held.value, held.tolerance) {
                self.add_source(cell, code, value.to_f64(), tolerance);
            }
            return;
        }
        if self.sheet.fixed.get(cell as usize) != Some(&None) {
            return;
        }
        let own = self.sheet.entry(CellId(cell)).and_then(tolerance_of);
        if let Some(tolerance) = own {
            if let Ok(value) = self.sheet.values.get(code.slot) {
                self.add_source(cell, code, value.to_f64(), tolerance);
            }
            return;
        }
        self.add_worked(cell, code);
    }

    fn add_varied(&mut self, cell: u32, code: CellCode) {
        let how = How::Source(0.0, self.sources.len(), 1.0);
        self.sources.push(DrawnSource {
            of: SourceOf::Cell(cell),
            stream: String::new(),
            standard: 1.0,
            spread: Spread::Normal,
        });
        self.push(cell, code, how, Vec::new(), Vec::new());
    }

    /// A source of uncertainty, where those are drawn.
    fn add_source(&mut self, cell: u32, code: CellCode, value: f64, tolerance: Tolerance) {
        let Some(shape) = self.sheet.shape(CellId(cell)) else {
            return;
        };
        let standard = standard_uncertainty(tolerance, uncertainty_unit(shape.kind), value);
        if standard <= 0.0 || self.varied.is_some() {
            return;
        }
        let freedom = tolerance.degrees_of_freedom.map_or(f64::INFINITY, Number::to_f64);
        let stream = self.sheet.name_of(CellId(cell)).unwrap_or("").to_owned();
        let how = How::Source(value, self.sources.len(), standard);
        self.sources.push(DrawnSource {
            of: SourceOf::Cell(cell),
            stream,
            standard,
            spread: spread(tolerance.form == ToleranceForm::Limits, freedom),
        });
        self.push(cell, code, how, Vec::new(), Vec::new());
    }

    fn add_worked(&mut self, cell: u32, code: CellCode) {
        let steps = self.steps(code);
        let needs: Vec<usize> = self
            .sheet
            .order
            .needs(cell)
            .iter()
            .chain(&steps.watched)
            .collect::<BTreeSet<_>>()
            .into_iter()
            .filter_map(|need| self.places.get(need).copied())
            .collect();
        let columns = steps.columns.iter().filter_map(|slot| self.drawn_column(*slot));
        let readings: Vec<usize> = columns.collect::<Vec<_>>();
        let scattered = steps.fits && self.varied.is_none();
        if needs.is_empty() && readings.is_empty() && !scattered {
            return;
        }
        self.makes |= steps.makes;
        self.push(cell, code, How::Single, needs, readings);
    }

    fn push(&mut self, cell: u32, code: CellCode, how: How, needs: Vec<usize>, readings: Vec<usize>) {
        let kept = if code.column { self.columns } else { self.lanes };
        if code.column {
            self.columns += usize::from(code.width);
        } else {
            self.lanes += 1;
        }
        self.places.insert(cell, self.cells.len());
        self.cells.push(Planned {
            cell,
            code,
            how,
            needs,
            readings,
            kept,
        });
    }

    fn steps(&self, code: CellCode) -> Steps {
        let mut found = Steps::default();
        let steps = self.sheet.program.steps_of(code).iter();
        steps.for_each(|step| self.note_step(step, &mut found));
        found
    }

    fn note_step(&self, step: &Step, found: &mut Steps) {
        let program = &self.sheet.program;
        match step.operation {
            Operation::Call | Operation::CallColumn | Operation::CallTable => {
                let Some(site) = program.calls.get(step.a as usize) else {
                    return;
                };
                found.fits |= matches!(site.function.body, Body::Fit(_));
                found.makes |= matches!(site.function.body, Body::Table { .. } | Body::OfTable(_));
                for operand in &site.arguments {
                    match operand {
                        Operand::Column(column) => drop(found.columns.insert(*column)),
                        Operand::Schedule(_, hours, values) => found.columns.extend([*hours, *values]),
                        Operand::Slot(_) | Operand::Text(_) => {}
                    }
                }
            }
            Operation::Grid => {
                let Some(grid) = program.grids.get(step.a as usize) else {
                    return;
                };
                found.columns.extend(grid.over.iter().map(|(_, column)| *column));
                found.watched.extend(&grid.watched);
                let steps = grid.cells.iter().flat_map(|cell| program.steps_of_cell(*cell));
                steps.for_each(|step| self.note_step(step, found));
            }
            Operation::Loop => {
                let row_loop = program.loops.get(step.a as usize);
                let columns = row_loop.into_iter().flat_map(|row_loop| &row_loop.columns);
                found.columns.extend(columns.map(|(column, _)| *column));
            }
            Operation::Row | Operation::CopyColumn => drop(found.columns.insert(step.a)),
            Operation::OneOf => drop(found.columns.insert(step.b)),
            _ => {}
        }
    }

    /// The place of a table's column whose readings are drawn; `None` where they aren't.
    fn drawn_column(&mut self, slot: u32) -> Option<usize> {
        if self.varied.is_some() {
            return None;
        }
        if let Some(place) = self.readings.iter().position(|(known, _)| *known == slot) {
            return Some(place);
        }
        let sheet = self.sheet;
        let column = sheet.table_columns.get(slot as usize).filter(|column| !column.made)?;
        let filled = (0u32..).zip(&column.cells).filter(|(_, cell)| cell.is_some());
        let sources = filled.filter_map(|(row, _)| Some((row, sheet.weighed().source(slot, column, row)?)));
        let sources: Vec<(u32, UncertaintySource)> = sources.collect();
        if sources.is_empty() {
            return None;
        }
        let name = sheet.column_name(slot);
        let chance = self.chance(slot);
        let drawn = sources
            .into_iter()
            .map(|(row, source)| self.add_reading(row, &source, (column, &name), chance.clone()))
            .collect();
        self.readings.push((slot, drawn));
        Some(self.readings.len() - 1)
    }

    fn add_reading(
        &mut self,
        row: u32,
        reading: &UncertaintySource,
        (column, name): (&TableColumn, &str),
        chance: Option<Chance>,
    ) -> DrawnReading {
        let row = row as usize;
        let limits = self.sheet.weighed().has_limits(column, row);
        let own = spread(limits, column.degrees_of_freedom.unwrap_or(f64::INFINITY));
        let (declared, standard) = (reading.declared.powi(2), reading.standard);
        let source = self.push_source(DrawnSource {
            of: reading.of,
            stream: format!("{name} row {}", row + 1),
            standard,
            spread: scattered(own, (declared, standard * standard - declared), chance),
        });
        DrawnReading { row, source, standard }
    }

    fn finish(mut self, asked: &[CellId], needed: &[u32], known: Known) -> Lanes<'a> {
        let base = self.base(needed);
        let registers = self.compile(&base);
        let asked = asked.iter().map(|cell| self.asked(*cell, &base)).collect();
        let block = (MOST_CELLS / self.cells_of_a_draw().max(1)).clamp(1, vector::WIDTH);
        Lanes {
            sheet: self.sheet,
            sources: self.sources,
            readings: self.readings,
            cells: self.cells,
            asked,
            base,
            known: Arc::new(known),
            lines: self.lines,
            makes: self.makes,
            lanes: self.lanes,
            columns: self.columns,
            registers,
            block,
        }
    }

    /// What the record says, for whatever isn't drawn.
    fn base(&self, needed: &[u32]) -> Values<f64> {
        let sheet = self.sheet;
        let mut base = Values {
            slots: vec![0.0; sheet.program.slots as usize],
            well: sheet.values.well.clone(),
            columns: vec![Vec::new(); sheet.program.columns as usize],
            columns_well: sheet.values.columns_well.clone(),
            held: 0,
            rows: BTreeMap::new(),
        };
        for (slot, value) in &sheet.program.constants {
            base.set(*slot, value.to_f64());
        }
        let binary = |cells: &[Option<Number>]| cells.iter().map(|cell| cell.map(Number::to_f64)).collect();
        for code in needed.iter().filter_map(|cell| sheet.program.cells.get(*cell as usize)) {
            if code.column {
                for slot in code.columns() {
                    if let Ok(cells) = sheet.values.column(slot) {
                        base.set_column(slot, binary(cells));
                    }
                }
            } else if let Ok(value) = sheet.values.get(code.slot) {
                base.set(code.slot, value.to_f64());
            }
        }
        for cell in needed {
            self.leave_open(CellId(*cell), &mut base);
        }
        for planned in &self.cells {
            for slot in self.steps(planned.code).columns {
                if let Ok(cells) = sheet.values.column(slot)
                    && base.columns.get(slot as usize).is_some_and(Vec::is_empty)
                {
                    base.set_column(slot, binary(cells));
                }
            }
        }
        base
    }

    /// What a limit has cut short is no number.
    fn leave_open(&self, cell: CellId, base: &mut Values<f64>) {
        let Some(code) = self.sheet.program.cells.get(cell.0 as usize) else {
            return;
        };
        match self.sheet.limited(cell) {
            Some(Limited::One(range)) => base.set(code.slot, range.only().map_or(f64::NAN, Number::to_f64)),
            Some(Limited::Rows(cut)) => base.set_column(code.slot, cut.binary()),
            Some(Limited::Columns(columns)) => {
                for (slot, cut) in columns {
                    base.set_column(*slot, cut.binary());
                }
            }
            Some(Limited::Table) => base.mark(*code, false),
            None => {}
        }
    }

    /// Makes tapes for the cells that can run over a whole block; the registers they need.
    fn compile(&mut self, base: &Values<f64>) -> usize {
        let lane_of: BTreeMap<u32, usize> = self
            .cells
            .iter()
            .filter(|planned| !planned.code.column)
            .map(|planned| (planned.code.slot, planned.kept))
            .collect();
        let mut registers = 0;
        for planned in &mut self.cells {
            let single = matches!(planned.how, How::Single) && !planned.code.column && planned.readings.is_empty();
            if !single {
                continue;
            }
            let place = vector::Place {
                lane_of: &lane_of,
                base,
                lanes: self.lanes,
            };
            if let Some(tape) = Tape::of(self.sheet, planned.code, &place) {
                registers = registers.max(tape.registers());
                planned.how = How::Block(tape);
            }
        }
        registers
    }

    fn asked(&self, cell: CellId, base: &Values<f64>) -> Asked {
        let code = self.sheet.program.cells.get(cell.0 as usize);
        match (self.places.get(&cell.0), code) {
            (Some(place), Some(code)) if code.column && code.width == 1 => Asked::Column(*place),
            (None, Some(code)) if code.column && code.width == 1 => Asked::Still(code.slot),
            (_, Some(code)) if code.column => Asked::None,
            (Some(place), _) => Asked::Planned(*place),
            (None, Some(code)) if self.sheet.status(cell) == Status::Known => base
                .slots
                .get(code.slot as usize)
                .filter(|value| !value.is_nan())
                .map_or(Asked::None, |value| Asked::Constant(*value)),
            _ => Asked::None,
        }
    }

    /// How many cells of columns one draw takes.
    fn cells_of_a_draw(&self) -> usize {
        let rows = |slot: u32| self.sheet.values.columns.get(slot as usize).map_or(0, Vec::len);
        let worked = self.cells.iter().filter(|planned| planned.code.column);
        let worked: usize = worked.flat_map(|planned| planned.code.columns()).map(rows).sum();
        let drawn: usize = self.readings.iter().map(|(slot, _)| rows(*slot)).sum();
        worked + drawn
    }
}

fn spread(limits: bool, degrees_of_freedom: f64) -> Spread {
    match (limits, degrees_of_freedom.is_finite() && degrees_of_freedom > 0.0) {
        (true, _) => Spread::Rectangular,
        (false, true) => Spread::Student(degrees_of_freedom),
        (false, false) => Spread::Normal,
    }
}

/// As declared, and by what there is beyond that, both as variances.
fn scattered(spread: Spread, (declared, excess): (f64, f64), chance: Option<Chance>) -> Spread {
    match chance {
        Some(chance) if excess > 0.0 => Spread::Scattered(Box::new(Scattered {
            declared,
            spread,
            excess,
            chance,
        })),
        _ => spread,
    }
}

impl Lanes<'_> {
    /// What is drawn.
    pub fn sources(&self) -> &[DrawnSource] {
        &self.sources
    }

    /// Whether functions make tables anew in every draw, which takes as long as in the record.
    pub(crate) fn makes_tables(&self) -> bool {
        self.makes
    }
}
