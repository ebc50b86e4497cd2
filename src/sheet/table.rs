//! Tables: from rows between bars, or from a CSV file, to typed columns.
//!
//! A column whose heading has a unit holds quantities in that unit; without one
//! a column is numbers, quantities, times or truth values only if every filled
//! cell is, else text; one of times is one where at least half of them are. A
//! cell that can't be read is a problem at the cell. Start reading at [`read_rows`].

use crate::calendar::clock;
use crate::number::Number;
use crate::problem::{Code, Place, Problem};
use crate::syntax::cell::{Cell, cell_guesses, read_cell, time_tolerance};
use crate::syntax::tree::{Name, Rows, Tolerance, ToleranceForm, ToleranceOf};
use crate::text::{SmallText, Span};
use crate::unit::{Beginning, Kind, Unit, conversion};

use super::column::{CellPlace, CellRead, MOST_TOLD, TableColumn, at_cell, note};
use super::scalar::Declared;
use super::text_pool::TextPool;
use super::time_cells::{Left, as_left, reads_as_time, settle_days, tell_halves, time_kind};

/// What a heading says, from either kind of table.
pub(super) struct ColumnShape {
    pub name: Option<Name>,
    pub unit: Option<Unit>,
    pub tolerance: Option<Tolerance>,
    pub place: Place,
}

/// The most columns of one table.
pub(crate) const MOST_COLUMNS: usize = 1_000;
/// The most rows of one table.
pub const MOST_ROWS: usize = 1_000_000;
/// The most cells that the tables of one worksheet come to.
pub(crate) const MOST_CELLS: usize = 5_000_000;

/// Why a table is too large: so many columns, so many rows, and the cells that the
/// worksheet has room for yet.
pub(super) fn too_large(columns: usize, rows: usize, room: usize, place: Place) -> Option<Problem> {
    let (message, help) = if columns > MOST_COLUMNS {
        let message = format!("this table has {columns} columns, and {MOST_COLUMNS} are the most");
        (message, "leave out columns that nothing uses")
    } else if rows > MOST_ROWS {
        let message = format!("this table has more than {MOST_ROWS} rows");
        (message, "split it, or keep one row a minute")
    } else if columns.saturating_mul(rows) > room {
        let message = format!("with this table the worksheet has more than {MOST_CELLS} cells in its tables");
        (message, "leave out columns that nothing uses, or keep one row a minute")
    } else {
        return None;
    };
    Some(Problem::new(Code::TableSize, message, place).help(help))
}

/// Columns, or what is wrong with them: a table with problems still has its good columns.
#[derive(Default)]
pub(super) struct ReadTable {
    pub columns: Vec<TableColumn>,
    /// Names of columns that can't be used because of a problem.
    pub broken: Vec<SmallText>,
    pub problems: Vec<Problem>,
    /// Where a function makes the table: its name, and the column for how it ends.
    pub ends: Option<(&'static str, TableColumn)>,
    /// What stands to the left of the next column.
    pub left: Left,
}

impl ReadTable {
    /// How many cells its columns hold.
    pub(super) fn cell_count(&self) -> usize {
        self.columns.iter().map(|column| column.cells.len()).sum()
    }

    /// Tells a problem, unless so many were told of this table that more would help nobody.
    pub(super) fn tell(&mut self, problem: Problem) {
        if self.problems.len() < MOST_TOLD {
            self.problems.push(problem);
        }
    }

    /// A table that can't be used at all.
    pub(super) fn refused(problem: Problem) -> ReadTable {
        ReadTable {
            problems: vec![problem],
            ..ReadTable::default()
        }
    }
}

/// Reads the rows between bars of one item, if there is `room` for so many cells.
pub(super) fn read_rows(rows: &Rows, item: u32, text: &str, room: usize, pool: &mut TextPool) -> ReadTable {
    let first = rows.headings.first().map_or(Span::default(), |heading| heading.span);
    if let Some(problem) = too_large(rows.headings.len(), rows.rows.len(), room, Place::new(item, first)) {
        return ReadTable::refused(problem);
    }
    let mut table = ReadTable::default();
    for (index, heading) in rows.headings.iter().enumerate() {
        let shape = ColumnShape {
            name: heading.name.clone(),
            unit: heading.unit.map(|unit| unit.unit),
            tolerance: heading.tolerance,
            place: Place::new(item, heading.span),
        };
        let cells = rows.rows.iter().map(|row| {
            let span = row.cells.get(index).copied().unwrap_or_default();
            let written = span.of(text);
            CellRead {
                cell: read_cell(written),
                written,
                place: CellPlace::Span(item, span),
            }
        });
        read_column(&mut table, shape, cells.collect(), pool);
    }
    table
}

/// Reads one column and adds it, or its problems, to the table.
pub(super) fn read_column(table: &mut ReadTable, shape: ColumnShape, cells: Vec<CellRead<'_>>, pool: &mut TextPool) {
    let left = std::mem::take(&mut table.left);
    let Some(name) = shape.name.clone() else { return };
    if table.columns.iter().any(|column| column.name == name.text) || table.broken.contains(&name.text) {
        let message = format!("this table has a column `{}` already", name.text);
        table.tell(Problem::new(Code::RepeatedColumn, message, shape.place));
        return;
    }
    let mut found = Vec::new();
    let kind = column_kind(&shape, &cells, left);
    table.left = as_left(kind, cells.iter().map(|read| &read.cell));
    let mut column = TableColumn {
        name: name.text.clone(),
        kind,
        cells: Vec::with_capacity(cells.len()),
        uncertainty: Vec::new(),
        limits: Vec::new(),
        declared: Declared::Nowhere,
        degrees_of_freedom: None,
        tolerance: shape.tolerance,
        own_tolerances: Vec::new(),
        table: 0,
        made: false,
    };
    for (row, read) in cells.iter().enumerate() {
        let reading = read_as(read, kind, pool);
        if reading.is_none() && read.cell != Cell::Missing {
            note(&mut found, || unreadable(read, kind, &name.text));
        }
        column.cells.push(reading);
        if let Some(misfit) = own_tolerance(read).and_then(|tolerance| misfit(tolerance, kind)) {
            let message = format!("this cell of column `{}`: {}", name.text, misfit.message);
            note(&mut found, || {
                misfit.helped(at_cell(misfit.code, message, &read.place, &name.text))
            });
        }
        note_uncertainty(&mut column, row, read, shape.tolerance);
    }
    if let Some(misfit) = shape.tolerance.and_then(|tolerance| misfit(tolerance, kind)) {
        let message = format!("column `{}`: {}", name.text, misfit.message);
        found.push(misfit.helped(Problem::new(misfit.code, message, shape.place)));
    }
    tell_halves(&column.name, &cells, &mut found);
    let mut backwards = Vec::new();
    settle_days(&mut column, &cells, &mut backwards);
    column.declared = declared(&column);
    // in the order of which nobody can be sure before every cell reads
    if found.is_empty() {
        found = backwards;
    }
    if found.is_empty() {
        table.columns.push(column);
        return;
    }
    table.broken.push(column.name);
    found.into_iter().for_each(|problem| table.tell(problem));
}

fn column_kind(shape: &ColumnShape, cells: &[CellRead<'_>], left: Left) -> Kind {
    if let Some(unit) = shape.unit {
        return if is_decibel(unit) {
            Kind::Level
        } else {
            Kind::Quantity(unit)
        };
    }
    if let Some(kind) = time_kind(cells.iter().map(|read| (&read.cell, read.written)), left) {
        return kind;
    }
    let filled = || {
        cells
            .iter()
            .map(|read| &read.cell)
            .filter(|cell| **cell != Cell::Missing)
    };
    let Some(first) = filled().next() else {
        // what has a tolerance in minutes will be clock times
        let of_time = |tolerance: Tolerance| match (tolerance.of, interval_of(Kind::TimeOfDay)) {
            (ToleranceOf::Unit(given), Some(unit)) => conversion(given, unit).is_some(),
            _ => false,
        };
        return match shape.tolerance.is_some_and(of_time) && cells.is_empty() {
            true => Kind::Counted(Beginning::Column(0)),
            false => Kind::Text,
        };
    };
    let first_kind = cell_kind(first);
    let Kind::Quantity(unit) = first_kind else {
        return if filled().all(|cell| cell_kind(cell) == first_kind) {
            first_kind
        } else {
            Kind::Text
        };
    };
    let fits = |cell: &Cell| matches!(cell_kind(cell), Kind::Quantity(other) if conversion(other, unit).is_some());
    match filled().all(fits) {
        true if is_decibel(unit) => Kind::Level,
        true => first_kind,
        false => Kind::Text,
    }
}

fn is_decibel(unit: Unit) -> bool {
    Unit::parse("dB").is_ok_and(|decibel| decibel == unit)
}

/// Whether a cell can be read in a column of that unit.
pub(super) fn reads_in(cell: &Cell, wanted: Unit) -> bool {
    match cell {
        Cell::Missing | Cell::Quantity { unit: None, .. } => true,
        Cell::Quantity {
            unit: Some(unit),
            value,
            ..
        } => conversion(*unit, wanted).is_some_and(|step| step.apply(*value).is_ok()),
        _ => false,
    }
}

fn cell_kind(cell: &Cell) -> Kind {
    match cell {
        Cell::Quantity { unit, .. } => Kind::Quantity(unit.unwrap_or(Unit::ONE)),
        Cell::Truth(_) => Kind::Truth,
        Cell::Missing | Cell::Text(_) | Cell::Clock(_) | Cell::Dated(_) => Kind::Text,
    }
}

fn read_as(read: &CellRead<'_>, kind: Kind, pool: &mut TextPool) -> Option<Number> {
    match (&read.cell, kind) {
        (Cell::Missing, _) => None,
        (Cell::Quantity { value, unit: None, .. }, Kind::Quantity(_) | Kind::Level) => Some(*value),
        (
            Cell::Quantity {
                value,
                unit: Some(unit),
                ..
            },
            Kind::Quantity(wanted),
        ) => conversion(*unit, wanted)?.apply(*value).ok(),
        (
            Cell::Quantity {
                value,
                unit: Some(unit),
                ..
            },
            Kind::Level,
        ) => is_decibel(*unit).then_some(*value),
        (Cell::Clock(time), Kind::TimeOfDay | Kind::Counted(_)) if reads_as_time(&read.cell, kind) => {
            Some(time.counted())
        }
        (Cell::Dated(dated), Kind::Moment) => Some(dated.moment()),
        (Cell::Truth(truth), Kind::Truth) => Some(Number::from_integer(i64::from(*truth))),
        (Cell::Text(text), Kind::Text) => Some(pool.intern(text)),
        (_, Kind::Text) => Some(pool.intern(read.written)),
        _ => None,
    }
}

/// Why a cell isn't one of a column that is there.
pub(super) fn misfit_of(read: &CellRead<'_>, column: &TableColumn, pool: &mut TextPool) -> Option<Problem> {
    if read_as(read, column.kind, pool).is_none() {
        return Some(unreadable(read, column.kind, &column.name));
    }
    let misfit = own_tolerance(read).and_then(|tolerance| misfit(tolerance, column.kind))?;
    let message = format!("this cell of column `{}`: {}", column.name, misfit.message);
    Some(misfit.helped(at_cell(misfit.code, message, &read.place, &column.name)))
}

fn unreadable(read: &CellRead<'_>, kind: Kind, column: &str) -> Problem {
    let wanted = match kind {
        Kind::Quantity(unit) if unit == Unit::ONE => "a number".to_owned(),
        Kind::Quantity(unit) => format!("a number of `{unit}`"),
        Kind::Level => "a level in `dB`".to_owned(),
        Kind::TimeOfDay | Kind::Counted(_) => "a clock time".to_owned(),
        Kind::Moment => "a date".to_owned(),
        _ => "what the rest of the column holds".to_owned(),
    };
    let message = match &read.cell {
        Cell::Text(text) => format!("the cell `{text}` of column `{column}` can't be read as {wanted}"),
        _ if kind.is_time() => format!("the cell `{}` of column `{column}` isn't {wanted}", read.written.trim()),
        _ => format!("this cell of column `{column}` isn't {wanted}"),
    };
    if let Some(help) = day_help(&read.cell, kind) {
        return at_cell(Code::UnreadableCell, message, &read.place, column).help(help);
    }
    if let Some(meant) = meant(read, kind) {
        let help = format!("write `{meant}`, if that is meant");
        return at_cell(Code::UnreadableCell, message, &read.place, column).help(help);
    }
    let help = match read.place {
        CellPlace::Span(..) => "mend the cell, or leave it empty where there is no reading",
        CellPlace::File { .. } => "mend the cell, or add `skip_unread: true` to leave such rows out",
    };
    at_cell(Code::UnreadableCell, message, &read.place, column).help(help)
}

/// What to write where a clock time says its day and mustn't, or doesn't and must.
fn day_help(cell: &Cell, kind: Kind) -> Option<String> {
    let Cell::Clock(time) = cell else { return None };
    match kind {
        Kind::TimeOfDay => Some(format!(
            "write `{}` alone: its date stands to the left",
            clock(time.seconds)
        )),
        Kind::Moment => Some(format!(
            "write its date too, such as `2026-01-11 {}`",
            clock(time.seconds)
        )),
        _ => None,
    }
}

/// The first guess at a cell that reads in the column's unit.
fn meant(read: &CellRead<'_>, kind: Kind) -> Option<String> {
    let guesses = cell_guesses(read.written).into_iter();
    guesses.map(|guess| guess.replace('_', "")).find(|guess| {
        let cell = read_cell(guess);
        match kind {
            Kind::Quantity(unit) => matches!(cell, Cell::Quantity { .. }) && reads_in(&cell, unit),
            _ => kind.is_time() && reads_as_time(&cell, kind),
        }
    })
}

/// Why a tolerance doesn't go with values of a kind.
struct Misfit {
    code: Code,
    message: String,
    help: Option<String>,
}

impl Misfit {
    fn new(code: Code, message: impl Into<String>) -> Misfit {
        Misfit {
            code,
            message: message.into(),
            help: None,
        }
    }

    fn helped(&self, problem: Problem) -> Problem {
        match &self.help {
            Some(help) => problem.help(help),
            None => problem,
        }
    }
}

fn misfit(tolerance: Tolerance, kind: Kind) -> Option<Misfit> {
    let Some(unit) = interval_of(kind) else {
        let message = "what is no number and no time has no tolerance";
        return Some(Misfit::new(Code::TolerancePlace, message));
    };
    let point = !matches!(kind, Kind::Quantity(unit) if !unit.is_point());
    match tolerance.of {
        ToleranceOf::Percent if point => {
            let unit = if kind.is_time() {
                "min".to_owned()
            } else {
                unit.to_string()
            };
            let message = format!("a percentage of it has no meaning; its tolerance is in `{unit}`");
            Some(Misfit::new(Code::PercentOfPoint, message))
        }
        ToleranceOf::Unit(given) if kind.is_time() && given == Unit::ONE => Some(Misfit {
            help: Some(format!("write `± {} min`", tolerance.amount)),
            ..Misfit::new(Code::BareNumber, "its tolerance has no unit")
        }),
        // beside a bare number it is bare too, and takes the heading's unit
        ToleranceOf::Unit(given) if given != Unit::ONE && conversion(given, unit).is_none() => {
            let message = format!("the readings are in `{unit}`, and the tolerance is in `{given}`");
            Some(Misfit::new(Code::UnitClash, message))
        }
        _ => None,
    }
}

/// The unit in which values of this kind differ.
fn interval_of(kind: Kind) -> Option<Unit> {
    match kind {
        Kind::Quantity(unit) => Some(unit.interval()),
        Kind::Level => Unit::parse("dB").ok(),
        _ if kind.is_time() => Unit::parse("s").ok(),
        _ => None,
    }
}

/// The tolerance that a cell has of its own.
fn own_tolerance(read: &CellRead<'_>) -> Option<Tolerance> {
    match &read.cell {
        Cell::Quantity { tolerance, .. } => *tolerance,
        Cell::Clock(_) | Cell::Dated(_) => time_tolerance(read.written),
        Cell::Missing | Cell::Truth(_) | Cell::Text(_) => None,
    }
}

fn note_uncertainty(column: &mut TableColumn, row: usize, read: &CellRead<'_>, heading: Option<Tolerance>) {
    let own = own_tolerance(read);
    let Some(tolerance) = own.or(heading) else { return };
    if own.is_some() {
        let row = u32::try_from(row).unwrap_or(u32::MAX);
        column.own_tolerances.push((row, tolerance));
    }
    let Some(unit) = interval_of(column.kind) else { return };
    let value = column.cells.last().copied().flatten().map_or(0.0, Number::to_f64);
    let u = standard_uncertainty(tolerance, unit, value);
    column.uncertainty.resize(row, 0.0);
    column.uncertainty.push(u);
    column.limits.resize(row, false);
    column.limits.push(tolerance.form == ToleranceForm::Limits);
    column.degrees_of_freedom = column
        .degrees_of_freedom
        .or(tolerance.degrees_of_freedom.map(Number::to_f64));
}

/// How the readings of a column were declared.
pub(super) fn declared(column: &TableColumn) -> Declared {
    let rows = column.cells.iter().enumerate().filter(|(_, cell)| cell.is_some());
    let mut standards = rows.map(|(row, _)| column.uncertainty.get(row).copied().unwrap_or(0.0));
    let Some(first) = standards.next() else {
        return Declared::Nowhere;
    };
    match standards.all(|standard| (standard - first).abs() <= 1e-9 * first) {
        false => Declared::Unevenly,
        true if first > 0.0 => Declared::Evenly,
        true => Declared::Nowhere,
    }
}

/// The standard uncertainty that a tolerance states for a value of a kind.
pub(super) fn uncertainty_of(tolerance: Tolerance, kind: Kind, value: Number) -> Option<f64> {
    Some(standard_uncertainty(tolerance, interval_of(kind)?, value.to_f64()))
}

/// The standard uncertainty that a tolerance states for a value in `unit`.
///
/// Plain limits are a rectangular distribution, u = a/√3 (JCGM 100:2008 4.3.7).
pub(crate) fn standard_uncertainty(tolerance: Tolerance, unit: Unit, value: f64) -> f64 {
    let amount = tolerance.amount.to_f64();
    let half_width = match tolerance.of {
        ToleranceOf::Percent if is_percent(unit) => amount,
        ToleranceOf::Percent => amount / 100.0 * value.abs(),
        ToleranceOf::Unit(given) => match conversion(given, unit.interval()) {
            Some(step) => step.apply_f64(amount),
            None => amount,
        },
    };
    match tolerance.form {
        ToleranceForm::Limits => half_width / f64::sqrt(3.0),
        ToleranceForm::Standard => half_width,
        ToleranceForm::Expanded(k) => half_width / k.to_f64(),
    }
}

/// How far a value in `unit` may be out: the limits, or the expanded uncertainty with
/// k = 2; `None` where it is past counting.
pub(crate) fn limit_of(tolerance: Tolerance, unit: Unit, value: Number) -> Option<Number> {
    let half_width = match tolerance.of {
        ToleranceOf::Percent if is_percent(unit) => tolerance.amount,
        ToleranceOf::Percent => tolerance
            .amount
            .mul(value.abs())
            .ok()?
            .div(Number::from_integer(100))
            .ok()?,
        ToleranceOf::Unit(given) => match conversion(given, unit.interval()) {
            Some(step) => step.apply(tolerance.amount).ok()?,
            None => tolerance.amount,
        },
    };
    let two = Number::from_integer(2);
    match tolerance.form {
        ToleranceForm::Limits => Some(half_width),
        ToleranceForm::Standard => half_width.mul(two).ok(),
        ToleranceForm::Expanded(k) => half_width.mul(two).ok()?.div(k).ok(),
    }
}

/// On a value in `%` a tolerance in `%` is in percentage points.
fn is_percent(unit: Unit) -> bool {
    Unit::parse("%").is_ok_and(|percent| percent == unit)
}
