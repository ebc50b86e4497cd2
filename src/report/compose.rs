//! From the sheet to the report: numbers, units, digits and order are settled here.
//!
//! The only part of the report layer that looks at the sheet. Start reading at
//! [`report`]; [`shown_value`] serves single values.

use std::collections::BTreeSet;

use crate::number::Number;
use crate::problem::Problem;
use crate::sheet::appraisal::{Appraisal, Cautioned, Doubt, Mark};
use crate::sheet::checker::Shape;
use crate::sheet::limits::Rows;
use crate::sheet::names::CellId;
use crate::sheet::scratch::Evaluated;
use crate::sheet::source::Uncertainty as Combined;
use crate::sheet::{Holder as SheetHolder, Reading, Sheet, Status};
use crate::study::Watch;
use crate::study::below_zero;
use crate::study::marks::{Tables, draw_for, to_draw};
use crate::syntax::tree::{Entry as TreeEntry, EntryKind as TreeKind, ExpressionNode, Node, Value as TreeValue};
use crate::text::Span;
use crate::trade::line::student_k;
use crate::trade::{Function, Weight};
use crate::unit::{Kind, Unit, conversion};

use super::change::{self, Gap, Manner, Stand};
use super::digits::{self, Expanded, Form, Quantity};
use super::model::{
    Basis, Case, Caution, Check, Entry, EntryKind, Holder, Report, Scalar, Table, Uncertainty, Value, ValueType,
};
use super::moment;
use super::place;
use super::shown::Shown;
pub(crate) use build::Extent;
pub use checks::{check, check_with_values, verdict};
use column::Column;
use marks::appraised_with_draws;
use rows::RowNames;
use waits::{awaited, waiting};

pub(crate) mod against;
pub(crate) mod aim;
pub(crate) mod audit;
mod build;
mod cautions;
pub(crate) mod chart;
pub(crate) mod checks;
pub(crate) mod class;
mod column;
pub(crate) mod compare;
mod derived;
pub mod diff;
pub mod doubt;
pub(crate) mod handout;
pub mod in_hand;
pub(crate) mod leeway;
mod line_told;
pub(crate) mod live;
pub(crate) mod marks;
mod math;
mod rests_on;
mod rows;
mod slips;
pub(crate) mod sweep_by_two;
mod table;
mod tolerance;
pub mod vary;
mod waits;
pub mod why;
mod within;

/// How numbers are shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Options {
    /// Significant digits of calculated numbers.
    pub digits: u32,
}

impl Default for Options {
    fn default() -> Options {
        Options { digits: 4 }
    }
}

/// Everything a report of the sheet, as it stands, says.
pub fn report(sheet: &Sheet, options: Options) -> Report {
    report_and_problems(sheet, Extent::Whole, Tables::Drawn, options).0
}

/// The same, with its problems as they can be drawn against the text.
pub(crate) fn report_and_problems(
    sheet: &Sheet,
    extent: Extent,
    tables: Tables,
    options: Options,
) -> (Report, Vec<Problem>) {
    let failing = failing_beyond(sheet);
    let cells: Vec<CellId> = all_cells(sheet).chain(failing.iter().copied()).collect();
    let appraisal = appraised_with_draws(sheet, &cells, tables);
    let mut report = build::parts(sheet, extent, &appraisal, options);
    let beyond = failing
        .iter()
        .filter_map(|cell| check_with_values(sheet, *cell, &appraisal, options));
    report.checks.extend(beyond);
    report.case = case(sheet);
    report.trials = in_hand::trials(sheet, options);
    let mut found = below_zero::cautions(sheet, &appraisal, &cells);
    found.extend(dangers_beyond(sheet));
    report.cautions = cautions::cautions(sheet, &found, &answers(sheet));
    with_problems(sheet, report, &appraisal)
}

/// Draws for all that a report tells, so that the next one has it; whether it came to its end.
pub(crate) fn draw_for_report(sheet: &Sheet, watch: &dyn Watch) -> bool {
    let cells: Vec<CellId> = all_cells(sheet).chain(failing_beyond(sheet)).collect();
    draw_for(sheet, &cells, watch)
}

/// The answers of which draws may still say something, by name.
pub(crate) fn answers_to_draw(sheet: &Sheet) -> Vec<String> {
    let open = to_draw(sheet, &answers(sheet)).into_iter();
    open.filter_map(|cell| sheet.name_of(cell).map(str::to_owned)).collect()
}

/// A report of the checks alone, with the problems of all.
pub(crate) fn checks_and_problems(sheet: &Sheet, tables: Tables, options: Options) -> (Report, Vec<Problem>) {
    let (mut checks, appraisal) = appraised_checks(sheet, options, tables);
    // of other worksheets those that fail
    checks.retain(|check| check.file.is_none() || check.holds == Some(false));
    let report = Report {
        title: in_hand::title(sheet),
        case: case(sheet),
        trials: in_hand::trials(sheet, options),
        checks,
        ..Report::default()
    };
    with_problems(sheet, report, &appraisal)
}

fn with_problems(sheet: &Sheet, mut report: Report, appraisal: &Appraisal) -> (Report, Vec<Problem>) {
    let mut problems = sheet.problems();
    problems.extend(sheet.unfinished(appraisal));
    problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
    report.problems = problems
        .iter()
        .map(|problem| place::machine(problem, sheet.tree(), sheet.line(problem.place.item)))
        .collect();
    (report, problems)
}

fn case(sheet: &Sheet) -> Option<Case> {
    sheet.case().map(|case| Case {
        name: case.name.clone(),
        title: case.title.clone(),
    })
}

/// The checks of the worksheets that this one rests on.
fn checks_beyond(sheet: &Sheet) -> impl Iterator<Item = CellId> {
    let is_check = |cell: &CellId| matches!(sheet.tree().node(sheet.item_of(*cell)), Some(Node::Expect(_)));
    sheet.cells_beyond().filter(is_check)
}

fn failing_beyond(sheet: &Sheet) -> Vec<CellId> {
    let failing = checks_beyond(sheet).filter(|cell| verdict(sheet, *cell).0 == Some(false));
    failing.collect()
}

/// The dangers that the worksheets tell that this one rests on.
fn dangers_beyond(sheet: &Sheet) -> Vec<Cautioned> {
    let cautions = sheet.appraise(sheet.cells_beyond()).cautions.into_iter();
    cautions
        .filter(|found| found.caution.weight == Weight::Danger)
        .collect()
}

/// The checks alone, those of worksheets that this one rests on too.
pub fn checks(sheet: &Sheet, options: Options) -> Vec<Check> {
    checks_told(sheet, Tables::Left, options)
}

/// The same, drawn or not.
pub(crate) fn checks_told(sheet: &Sheet, tables: Tables, options: Options) -> Vec<Check> {
    appraised_checks(sheet, options, tables).0
}

fn appraised_checks(sheet: &Sheet, options: Options, tables: Tables) -> (Vec<Check>, Appraisal) {
    let own = all_cells(sheet).filter(|cell| sheet.entry(*cell).is_none());
    let cells: Vec<CellId> = own.chain(checks_beyond(sheet)).collect();
    let failing: Vec<CellId> = cells
        .iter()
        .copied()
        .filter(|cell| verdict(sheet, *cell).0 == Some(false))
        .collect();
    // the values behind those that fail are told, with no more digits than are sure
    let behind = sheet.needed_by_all(&failing);
    let behind: Vec<CellId> = cells.iter().copied().chain(behind).collect();
    let appraisal = appraised_with_draws(sheet, &behind, tables);
    let checks = cells
        .iter()
        .filter_map(|cell| check_with_values(sheet, *cell, &appraisal, options));
    (checks.collect(), appraisal)
}

/// The entry of a cell as the report has it; none of what is kept back.
pub fn entry(sheet: &Sheet, cell: CellId, options: Options) -> Option<Entry> {
    if sheet.is_kept_back(cell) {
        return None;
    }
    let appraisal = appraised_with_draws(sheet, &[cell], Tables::Drawn);
    one_entry(sheet, cell, options, &appraisal, None)
}

/// A table as the report has it, by its place among the sheet's tables.
pub fn table(sheet: &Sheet, index: usize, options: Options) -> Option<Table> {
    let worked: Vec<CellId> = table::worked_cells(sheet, index).collect();
    table::table(
        sheet,
        index,
        &appraised_with_draws(sheet, &worked, Tables::Left),
        options,
    )
}

/// The cautions that these cells give rise to, each once.
pub(crate) fn cautions_of(sheet: &Sheet, cells: &[CellId]) -> Vec<Caution> {
    let appraisal = sheet.appraise(cells.iter().copied());
    cautions::cautions(sheet, &below_zero::cautions(sheet, &appraisal, cells), &[])
}

/// What may be tried: the first blank, or else the first value that was assumed, or the first that
/// waits on nothing; its name and unit.
pub(crate) fn triable(sheet: &Sheet) -> Option<(&str, String)> {
    let in_unit = |cell: CellId| {
        let entry = sheet.entry(cell)?;
        let unit = unit_text(sheet.shape(cell)?.kind);
        (!unit.is_empty()).then_some((cell, entry, unit))
    };
    let is_open = |cell: CellId| matches!(sheet.reading(cell), Reading::None(_));
    let first = |wanted: &dyn Fn(CellId, &TreeEntry) -> bool| {
        all_cells(sheet)
            .filter_map(in_unit)
            .find(|(cell, entry, _)| wanted(*cell, entry))
    };
    let blank = first(&|cell, entry| is_open(cell) && entry.kind.is_input());
    let assumed = || first(&|cell, entry| entry.kind == TreeKind::Assumed && !is_open(cell));
    let any = || first(&|cell, _| awaited(sheet, cell).is_empty());
    let (_, entry, unit) = blank.or_else(assumed).or_else(any)?;
    Some((&entry.name.text, unit))
}

/// The answers in file order.
pub fn answers(sheet: &Sheet) -> Vec<CellId> {
    let is_answer = |cell: &CellId| sheet.entry(*cell).is_some_and(|entry| entry.kind == TreeKind::Answer);
    all_cells(sheet).filter(is_answer).collect()
}

/// The values of these cells as shown, looked at together.
pub(crate) fn shown_values(sheet: &Sheet, cells: &[CellId], tables: Tables, options: Options) -> Vec<Shown> {
    let appraisal = appraised_with_draws(sheet, cells, tables);
    let told = cells
        .iter()
        .filter_map(|cell| one_entry(sheet, *cell, options, &appraisal, None));
    told.map(|entry| entry.shown).collect()
}

/// A value that was typed and worked out, as shown.
pub fn shown_value(sheet: &Sheet, evaluated: &Evaluated, clock: bool, options: Options) -> Shown {
    let kind = evaluated.shape.kind;
    match (evaluated.reading(), &evaluated.doubt) {
        (Reading::Number(number), Some(Doubt::One(doubt))) => {
            number_shown(sheet, number, kind, clock, Some(*doubt), options)
        }
        (Reading::Number(number), _) => number_shown(sheet, number, kind, clock, None, options),
        (Reading::Column(cells), doubt) => {
            let names = evaluated.rows.clone().and_then(|rows| RowNames::by(sheet, rows));
            let column = Column {
                cells,
                kind,
                clock,
                doubts: rows_doubted(doubt.as_ref()),
                late: evaluated.late,
            };
            rows::column_shown(sheet, column, names.as_ref(), options)
        }
        (Reading::Within(range), _) => within::range_shown(sheet, range, kind, clock, options),
        (Reading::None(_), _) => Shown::text("has a problem"),
    }
}

/// The form in which a value of this kind is shown.
pub fn form(kind: Kind, clock: bool) -> Form {
    match kind {
        _ if clock => Form::HoursAndMinutes,
        Kind::Quantity(unit) if unit.is_money_alone() => Form::Money,
        Kind::Quantity(unit) if unit.is_money() => Form::MoneyPerUnit,
        Kind::Quantity(unit) if unit.to_string() == "each" => Form::Count,
        _ => Form::Plain,
    }
}

/// The unit of a kind as shown; empty where there is none.
pub fn unit_text(kind: Kind) -> String {
    match kind {
        Kind::Quantity(unit) => unit.to_string(),
        Kind::Level | Kind::Decibels => "dB".to_owned(),
        _ => String::new(),
    }
}

/// The difference of two values of a kind, each with how it is shown; `None` where the
/// digits shown don't differ.
pub fn gap(kind: Kind, clock: bool, before: (Number, &Shown), now: (Number, &Shown)) -> Option<Gap> {
    let form = form(kind, clock);
    let (before, now) = stands(before, now, form);
    match kind {
        Kind::Quantity(unit) => {
            let interval = unit.interval().to_string();
            change::gap(before, now, &interval, form, manner(unit))
        }
        Kind::Level | Kind::Decibels => change::gap(before, now, "dB", Form::Plain, Manner::Level),
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => {
            let (before, now) = (on_the_clock(before)?, on_the_clock(now)?);
            change::gap(before, now, "h", Form::HoursAndMinutes, Manner::Clock)
        }
        Kind::Text | Kind::Truth => None,
    }
}

/// The difference of two values of a kind to a place of its own, however they are shown.
fn true_gap(kind: Kind, clock: bool, ends: (Number, Number), place: Option<i32>) -> Option<Gap> {
    match kind {
        Kind::Quantity(unit) => {
            let interval = unit.interval().to_string();
            change::true_gap(ends, place, &interval, form(kind, clock), manner(unit))
        }
        Kind::Level | Kind::Decibels => change::true_gap(ends, place, "dB", Form::Plain, Manner::Level),
        // to the minute as they are shown
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment | Kind::Text | Kind::Truth => None,
    }
}

/// Two values to be set against each other. One that is shown whole, as `10` beside
/// `6.667`, doesn't limit the digits of the difference.
fn stands(before: (Number, &Shown), now: (Number, &Shown), form: Form) -> (Stand, Stand) {
    let is_whole = |(value, shown): (Number, &Shown)| {
        let cut = |place: i32| digits::round_to(value, place) != value;
        form != Form::HoursAndMinutes && shown.uncertainty.is_none() && shown.place.is_some_and(|place| !cut(place))
    };
    let (first, second) = (before.1.place, now.1.place);
    let (first, second) = match (is_whole(before), is_whole(now)) {
        (true, true) => (first.min(second), first.min(second)),
        (true, false) => (second, second),
        (false, true) => (first, first),
        (false, false) => (first, second),
    };
    let stand = |value, place| Stand { value, place };
    (stand(before.0, first), stand(now.0, second))
}

/// Seconds as hours, to the minute.
fn on_the_clock(stand: Stand) -> Option<Stand> {
    Some(Stand {
        value: stand.value.div(Number::from_integer(3600)).ok()?,
        place: Some(0),
    })
}

fn manner(unit: Unit) -> Manner {
    let is_like = |name: &str| Unit::parse(name).is_ok_and(|like| conversion(unit, like).is_some());
    if unit.is_money() {
        Manner::Money
    } else if unit.is_point() || is_like("%") && unit != Unit::ONE {
        Manner::Level
    } else if is_like("h") {
        Manner::Time
    } else {
        Manner::Amount
    }
}

fn all_cells(sheet: &Sheet) -> impl Iterator<Item = CellId> {
    sheet.own_cells().filter(|cell| !sheet.is_kept_back(*cell))
}

fn one_entry(
    sheet: &Sheet,
    cell: CellId,
    options: Options,
    appraisal: &Appraisal,
    section: Option<String>,
) -> Option<Entry> {
    let tree = sheet.entry(cell)?;
    let held = sheet.held(cell);
    let shape = sheet.shape(cell);
    let kind = shape.map_or(Kind::Quantity(Unit::ONE), |shape| shape.kind);
    let calculated = !tree.kind.is_input();
    let own = |quoted: &Option<crate::syntax::tree::Quoted>| quoted.as_ref().map(|text| text.text.to_string());
    let shown = shown_entry(sheet, cell, tree, shape, options, appraisal);
    Some(Entry {
        name: tree.name.text.to_string(),
        label: own(&tree.label),
        kind: entry_kind(tree.kind),
        line: sheet.line(sheet.item_of(cell)),
        section,
        held_by: held.map(|held| match held.by {
            SheetHolder::Case => Holder::Case,
            SheetHolder::Trial => Holder::Trial,
        }),
        value_type: value_type(kind),
        value: machine_value(sheet, cell, kind),
        unit: Some(unit_text(kind)).filter(|unit| !unit.is_empty()),
        uncertainty: machine_uncertainty(cell, appraisal),
        drawn: marks::of_cell(sheet, cell, appraisal, kind),
        rows: shown.rows.as_ref().and_then(|rows| rows.names.clone()),
        shown,
        source: held.map_or_else(|| own(&tree.source), |held| held.source.clone()),
        note: held.map_or_else(|| own(&tree.note), |held| held.note.clone()),
        waits_on: awaited(sheet, cell),
        formula: calculated.then(|| formula(sheet, cell, tree)).flatten(),
        in_table: table::shows(sheet, cell).map(|table| table_name(sheet, table).to_owned()),
        basis: if calculated {
            basis(sheet, cell, tree.kind)
        } else {
            Basis::default()
        },
        rule_errors: if tree.kind == TreeKind::Answer {
            rule_errors(sheet, cell, appraisal)
        } else {
            Vec::new()
        },
    })
}

fn entry_kind(kind: TreeKind) -> EntryKind {
    match kind {
        TreeKind::Measured => EntryKind::Measured,
        TreeKind::Quoted => EntryKind::Quoted,
        TreeKind::Assumed => EntryKind::Assumed,
        TreeKind::Worked => EntryKind::Worked,
        TreeKind::Answer => EntryKind::Answer,
    }
}

fn value_type(kind: Kind) -> ValueType {
    match kind {
        Kind::Quantity(_) | Kind::Level | Kind::Decibels => ValueType::Number,
        Kind::TimeOfDay => ValueType::Time,
        Kind::Counted(_) => ValueType::Counted,
        Kind::Moment => ValueType::Moment,
        Kind::Text => ValueType::Text,
        Kind::Truth => ValueType::Truth,
    }
}

fn formula(sheet: &Sheet, cell: CellId, tree: &TreeEntry) -> Option<String> {
    let Some(TreeValue::Given { expression, .. }) = &tree.value else {
        return None;
    };
    let text = expression.span.of(sheet.tree().text_of(sheet.item_of(cell) as usize));
    Some(in_one_line(text))
}

fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How many inputs of each kind an answer rests on.
fn basis(sheet: &Sheet, cell: CellId, kind: TreeKind) -> Basis {
    let mut basis = Basis::default();
    let mut tables = BTreeSet::new();
    if kind != TreeKind::Answer {
        return basis;
    }
    for need in sheet.needed_by(cell) {
        match sheet.entry(need).map(|entry| entry.kind) {
            Some(TreeKind::Measured) => basis.measured += 1,
            Some(TreeKind::Quoted) => basis.quoted += 1,
            Some(TreeKind::Assumed) => basis.assumed += 1,
            _ => tables.extend(
                sheet
                    .tables_of(need)
                    .into_iter()
                    .filter(|table| is_written(sheet, *table)),
            ),
        }
    }
    basis.tables = tables.len();
    basis
}

/// Whether a table is written down, rather than made by a function.
fn is_written(sheet: &Sheet, table: u32) -> bool {
    let found = sheet.tables().get(table as usize);
    found.is_some_and(|table| table.cell.is_none())
}

/// The rules an answer rests on: how far each may be out, which was chosen, and on which
/// basis heat is counted.
fn rule_errors(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> Vec<String> {
    let needed: BTreeSet<CellId> = sheet.needed_by(cell).into_iter().collect();
    let functions = appraisal.functions.iter().filter(|(user, _)| needed.contains(user));
    let rules = functions.filter_map(|(_, function)| rule_out_by(function).or(function.named.map(str::to_owned)));
    let choices = appraisal.choices.iter().filter(|(user, ..)| needed.contains(user));
    let choices = choices.map(|(_, function, word)| format!("{function} by \"{word}\""));
    let bases = appraisal.bases.iter().filter(|heat| needed.contains(&heat.cell));
    let bases = bases.map(|heat| format!("{} heat of {}", heat.basis, heat.fuel));
    let mut told: Vec<String> = Vec::new();
    for one in rules.chain(choices).chain(bases) {
        if !told.contains(&one) {
            told.push(one);
        }
    }
    told
}

fn rule_out_by(function: &Function) -> Option<String> {
    let error = function.rule_error?;
    Some(format!("the rule of {} may be off by {error}", function.name))
}

/// How far each rule of thumb that a cell rests on may itself be out.
fn out_by(sheet: &Sheet, cell: CellId, appraisal: &Appraisal) -> Vec<String> {
    let needed = sheet.needed_by(cell);
    let functions = appraisal.functions.iter().filter(|(user, _)| needed.contains(user));
    let mut told: Vec<String> = Vec::new();
    for one in functions.filter_map(|(_, function)| rule_out_by(function)) {
        if !told.contains(&one) {
            told.push(one);
        }
    }
    told
}

// ---- values for machines ----

fn scalar(sheet: &Sheet, number: Number, kind: Kind) -> Scalar {
    match kind {
        Kind::Text => Scalar::Text(sheet.texts().text(number).to_owned()),
        Kind::Truth => Scalar::Truth(!number.is_zero()),
        Kind::TimeOfDay => Scalar::Text(moment::machine_time(number).unwrap_or_else(|| number.to_plain())),
        Kind::Counted(_) => Scalar::Text(moment::machine_counted(number).unwrap_or_else(|| number.to_plain())),
        Kind::Moment => Scalar::Text(moment::machine_moment(number).unwrap_or_else(|| number.to_plain())),
        _ => Scalar::Text(number.to_plain()),
    }
}

fn machine_value(sheet: &Sheet, cell: CellId, kind: Kind) -> Value {
    match sheet.reading(cell) {
        Reading::Number(number) => Value::One(scalar(sheet, number, kind)),
        Reading::Column(rows) => Value::Column(machine_rows(sheet, rows, kind).collect()),
        Reading::Within(range) => Value::One(within::machine(sheet, range, kind)),
        Reading::None(_) => Value::Nothing,
    }
}

/// The cells of a column for machines, with what those can be of which only that is known.
fn machine_rows<'a>(sheet: &'a Sheet, rows: Rows<'a>, kind: Kind) -> impl Iterator<Item = Option<Scalar>> + 'a {
    rows.iter()
        .enumerate()
        .map(move |(row, cell)| match (cell, rows.open(row)) {
            (Some(number), _) => Some(scalar(sheet, *number, kind)),
            (None, Some(range)) => Some(within::machine(sheet, range, kind)),
            (None, None) => None,
        })
}

fn machine_uncertainty(cell: CellId, appraisal: &Appraisal) -> Uncertainty {
    let told = |standard: f64| {
        Number::from_f64(standard)
            .ok()
            .filter(|u| !u.is_zero())
            .map(Number::to_plain)
    };
    match appraisal.doubts.get(&cell) {
        Some(Doubt::One(doubt)) => told(doubt.standard).map_or(Uncertainty::Nothing, Uncertainty::One),
        Some(Doubt::Rows(rows)) => Uncertainty::Column(rows.iter().map(|row| told(row.standard)).collect()),
        None => Uncertainty::Nothing,
    }
}

// ---- values for readers ----

/// A column that is no answer is told cell by cell where it has at most so many.
const MOST_CELLS: usize = 1000;

fn shown_entry(
    sheet: &Sheet,
    cell: CellId,
    tree: &TreeEntry,
    shape: Option<Shape>,
    options: Options,
    appraisal: &Appraisal,
) -> Shown {
    match sheet.status(cell) {
        Status::Known => {}
        Status::Blank => return Shown::text("not yet known"),
        Status::Waits => return waiting(sheet, cell),
        Status::Broken => return Shown::text("has a problem"),
    }
    if let Some(shown) = written(sheet, cell, tree, shape) {
        return shown;
    }
    let kind = shape.map_or(Kind::Quantity(Unit::ONE), |shape| shape.kind);
    let clock = tree.unit.is_some_and(|unit| unit.clock);
    let shown = match (sheet.reading(cell), appraisal.doubts.get(&cell)) {
        (Reading::Number(number), Some(Doubt::One(doubt))) => {
            let open = appraisal.marks.get(&cell).is_some_and(Mark::is_open);
            number_shown(sheet, number, kind, clock, Some(*doubt).filter(|_| !open), options)
        }
        (Reading::Number(number), _) => number_shown(sheet, number, kind, clock, None, options),
        (Reading::Column(cells), doubt) => {
            let column = Column {
                cells,
                kind,
                clock,
                doubts: rows_doubted(doubt),
                late: sheet.late(cell),
            };
            match tree.kind == TreeKind::Answer || cells.len() <= MOST_CELLS {
                true => rows::column_shown(sheet, column, RowNames::of(sheet, cell).as_ref(), options),
                false => column::in_one_line(sheet, column, options),
            }
        }
        (Reading::Within(range), _) => within::range_shown(sheet, range, kind, clock, options),
        (Reading::None(_), _) => Shown::text("has a problem"),
    };
    let mut shown = shown;
    for ((_, row), mark) in appraisal.row_marks.range((cell, 0)..=(cell, u32::MAX)) {
        let cells = shown.rows.as_mut().map(|rows| &mut rows.cells);
        if let Some(Some(one)) = cells.and_then(|cells| cells.get_mut(*row as usize)) {
            one.mark = Some(marks::mark_words(sheet, mark, kind, clock, options));
        }
    }
    let mark = appraisal.marks.get(&cell);
    Shown {
        mark: mark.map(|mark| marks::mark_words(sheet, mark, kind, clock, options)),
        ..shown
    }
}

/// An input as written, where it is a literal in the unit it is kept in.
fn written(sheet: &Sheet, cell: CellId, tree: &TreeEntry, shape: Option<Shape>) -> Option<Shown> {
    if shape.is_some_and(|shape| shape.kind == Kind::Text) {
        return None;
    }
    if let Some(held) = sheet.held(cell) {
        let shown = || of_24_hours(sheet, cell, digits::as_written(&held.written));
        return (!held.written.is_empty()).then(shown);
    }
    if !tree.kind.is_input() {
        return None;
    }
    let TreeValue::Given { expression, tolerance } = tree.value.as_ref()? else {
        return None;
    };
    let unit = match &expression.node {
        ExpressionNode::Quantity { unit, .. } => *unit,
        ExpressionNode::Number(_) => Unit::ONE,
        ExpressionNode::TimeOfDay(_) | ExpressionNode::CountedTime(_) | ExpressionNode::Moment(_) => Unit::ONE,
        _ => return None,
    };
    if tree.unit.is_some_and(|wanted| wanted.unit != unit || wanted.clock) || shape.is_none() {
        return None;
    }
    let span: Span = tolerance
        .as_ref()
        .map_or(expression.span, |tolerance| expression.span.to(tolerance.span));
    let shown = digits::as_written(span.of(sheet.tree().text_of(sheet.item_of(cell) as usize)));
    Some(of_24_hours(sheet, cell, shown))
}

/// A time as it is typed with 24 hours, however it was written.
fn of_24_hours(sheet: &Sheet, cell: CellId, shown: Shown) -> Shown {
    let typed = match (sheet.shape(cell), sheet.reading(cell)) {
        (Some(shape), Reading::Number(number)) => shape.kind.typed_time(number),
        _ => None,
    };
    Shown {
        value: typed.unwrap_or(shown.value),
        ..shown
    }
}

/// From so many degrees of freedom on, k is 2 within two digits.
const MANY_DEGREES: f64 = 100.0;

/// Degrees of freedom are told in whole ones, fewer than one as they are.
fn whole_degrees(degrees: f64) -> f64 {
    match degrees < 1.0 {
        true => degrees,
        false => degrees.floor(),
    }
}

fn expanded(doubt: Combined) -> Option<Expanded> {
    if doubt.standard <= 0.0 {
        return None;
    }
    let decided = doubt.degrees_of_freedom < MANY_DEGREES;
    let k = if decided {
        student_k(doubt.degrees_of_freedom)
    } else {
        2.0
    };
    // what has limits is off by no more than they are
    let limited = doubt.most < k * doubt.standard;
    let k = if limited { doubt.most / doubt.standard } else { k };
    let freedom = (decided && !limited)
        .then(|| Number::from_f64(whole_degrees(doubt.degrees_of_freedom)).ok())
        .flatten();
    let half_width = Number::from_f64(k * doubt.standard).ok()?;
    Some(Expanded {
        half_width,
        factor: Number::from_f64(k).ok()?.round_places(2),
        degrees_of_freedom: freedom,
    })
}

fn number_shown(
    sheet: &Sheet,
    number: Number,
    kind: Kind,
    clock: bool,
    doubt: Option<Combined>,
    options: Options,
) -> Shown {
    let expanded = doubt.and_then(expanded);
    match kind {
        Kind::Text => return Shown::text(sheet.texts().text(number)),
        Kind::Truth => return Shown::text(if number.is_zero() { "false" } else { "true" }),
        Kind::TimeOfDay | Kind::Counted(_) => {
            return moment::shown_time(number, expanded.as_ref()).unwrap_or_else(|| Shown::text(number.to_plain()));
        }
        Kind::Moment => {
            return moment::shown_moment(number, expanded.as_ref()).unwrap_or_else(|| Shown::text(number.to_plain()));
        }
        _ => {}
    }
    let unit = unit_text(kind);
    digits::calculated(
        &Quantity {
            value: number,
            unit: &unit,
            form: form(kind, clock),
            expanded,
        },
        options.digits,
    )
}

/// The uncertainty of each cell of a column.
fn rows_doubted(doubt: Option<&Doubt>) -> Option<&[Combined]> {
    match doubt {
        Some(Doubt::Rows(rows)) => Some(rows),
        _ => None,
    }
}

/// The name of a table.
fn table_name(sheet: &Sheet, table: u32) -> &str {
    let item = sheet.tables().get(table as usize).map_or(u32::MAX, |table| table.item);
    match sheet.tree().node(item) {
        Some(Node::Table(table)) => &table.name.text,
        _ => "",
    }
}
