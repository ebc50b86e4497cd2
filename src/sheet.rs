//! The sheet: a worksheet that computes.
//!
//! [`Sheet::load`] takes text to values: names, tables, order, checking,
//! lowering, running. An edit starts again at the text; where it leaves every
//! name its kind, only the entry touched is checked again and only what depends
//! on it recomputed, and that stops where values come out unchanged. Cases and
//! trials hold values over the record without changing it.
//! Start reading at [`Sheet::load`]; then [`check`], [`lower`], [`machine`].

use std::collections::btree_map::Entry as HeldPlace;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::number::Number;
use crate::problem::{Code, Place, Problem};
use crate::syntax::edit::Change;
use crate::syntax::parse;
use crate::syntax::tree::{Entry, Expression, ExpressionNode, Name, Node, Tolerance, Value, Worksheet};
use crate::text::Span;
use crate::unit::Kind;

pub mod appraise;
pub mod aside;
pub mod binary;
pub mod built;
mod by_weight;
pub mod cases;
pub mod cell_of;
pub mod check;
mod check_built;
mod check_call;
mod check_made;
mod check_product;
mod check_rule;
mod check_time;
mod clock_change;
mod csv_quotes;
pub mod csv_table;
mod day;
pub mod dual;
mod edges;
pub mod failure;
pub mod fits;
pub mod held_files;
pub mod kept_marks;
mod known_text;
pub mod lanes;
pub mod limits;
pub mod load;
pub mod lower;
pub mod machine;
pub mod made;
pub mod meet;
pub mod names;
pub mod order;
pub mod over;
pub mod program;
pub mod range;
pub mod ranged;
mod rules;
mod run;
pub mod scalar;
pub mod scratch;
pub mod side_by_side;
pub mod table;
pub mod text_pool;
mod time_cells;
pub mod typed;
mod unitless;
mod wall_range;
pub mod weighed;

use check::{Shape, TableShape};
use held_files::HeldFiles;
use kept_marks::KeptMarks;
use limits::{Limited, Limits, Rows};
use machine::{Failure, Values};
use names::{CellId, Named, Names};
use order::Order;
use program::Program;
use range::Range;
use scalar::Alongside;
use side_by_side::RowTables;
use table::TableColumn;
use text_pool::TextPool;
use weighed::Weighed;

/// How a cell stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Status {
    /// It has a value.
    Known,
    /// It is blank: `= ?`.
    Blank,
    /// It has a problem.
    Broken,
    /// It waits on another.
    Waits,
}

/// Who holds a value over the record.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Holder {
    /// The case in hand.
    Case,
    /// A trial.
    Trial,
}

/// A value held over an entry's own.
#[derive(Clone, PartialEq, Debug)]
pub struct Held {
    /// The number in the entry's unit, or a column of them.
    pub value: HeldValue,
    /// Its tolerance; without one it is exact.
    pub tolerance: Option<Tolerance>,
    /// Who holds it.
    pub by: Holder,
    /// As written, for display; empty where it was worked out.
    pub written: String,
    /// Its own `from`.
    pub source: Option<String>,
    /// Its own `note`.
    pub note: Option<String>,
}

/// What is held.
#[derive(Clone, PartialEq, Debug)]
pub enum HeldValue {
    /// One value.
    Number(Number),
    /// A column.
    Column(Vec<Option<Number>>),
}

/// A table of the worksheet.
#[derive(Clone, Debug)]
pub struct Table {
    /// Its item.
    pub item: u32,
    /// Its columns, by their slots in [`Sheet::table_columns`].
    pub columns: Vec<u32>,
    /// The cell that makes it, where a function does.
    pub cell: Option<CellId>,
}

/// A case, with what it puts in place of inputs.
#[derive(Clone, Debug)]
pub struct Case {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: Option<String>,
    /// Its item.
    pub item: u32,
    /// The cells it holds.
    pub held: Vec<(CellId, Held)>,
}

/// Files that come with a worksheet and stand in no folder: each by its path and text.
pub type Enclosed = &'static [(&'static str, &'static str)];

/// A worksheet that computes.
#[derive(Debug, Default)]
pub struct Sheet {
    tree: Worksheet,
    folder: Option<PathBuf>,
    enclosed: Enclosed,
    /// Files of tables whose text is in hand.
    held_files: HeldFiles,
    lines: Vec<u32>,
    names: Names,
    texts: TextPool,
    tables: Vec<Table>,
    table_shapes: Vec<TableShape>,
    table_columns: Vec<TableColumn>,
    shapes: Vec<Option<Shape>>,
    order: Order,
    program: Program,
    /// Whether the steps of the program stand in the order of the cells.
    straight: bool,
    garbage: usize,
    values: Values<Number>,
    status: Vec<Status>,
    fixed: Vec<Option<Status>>,
    failures: BTreeMap<u32, Failure>,
    static_problems: Vec<Problem>,
    broken_rules: BTreeSet<u32>,
    cell_problems: BTreeMap<u32, Vec<Problem>>,
    cases: Vec<Case>,
    case: Option<usize>,
    held: BTreeMap<u32, Held>,
    suggestions: usize,
    alongside: Alongside,
    tolerant: BTreeSet<u32>,
    /// What limits have cut short.
    limits: Limits,
    /// The cells that are a weight over a weight an hour.
    by_weight: BTreeSet<u32>,
    /// The tables whose rows the cells go by that hold columns.
    row_tables: RowTables,
    /// The cells in which columns of two tables meet, and nothing tells whether they belong together.
    side_by_side: BTreeMap<u32, Vec<String>>,
    /// The cells that take one moment from another, with the moments written in them.
    between_moments: BTreeMap<u32, Vec<Number>>,
    /// Whether a run stopped before its end.
    cut_short: bool,
    /// The cell at which the time was up while uncertainties were worked out, where it was.
    uncertainty_cut: AtomicU32,
    /// What lines tell of the columns that they go through, once it was asked for.
    weighed: OnceLock<Weighed>,
    /// What draws told of the values, once it was asked for.
    marks: KeptMarks,
}

/// No cell at which the time was up.
const NOTHING_CUT: u32 = u32::MAX;

/// The value of a cell as a reader meets it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Reading<'a> {
    /// One number in the cell's unit (a text's number, a truth value).
    Number(Number),
    /// A column.
    Column(Rows<'a>),
    /// Only what it can be is known, since a limit has cut short what it rests on.
    Within(Range),
    /// None, for this reason.
    None(Status),
}

impl Sheet {
    /// Loads a worksheet: parses, checks, lowers and runs it. Tables from files
    /// are read inside `folder` only.
    pub fn load(text: String, folder: Option<PathBuf>) -> Sheet {
        Sheet::load_with(text, folder, &[])
    }

    /// Loads a worksheet with files enclosed, which are looked at before the folder.
    pub fn load_with(text: String, folder: Option<PathBuf>, enclosed: Enclosed) -> Sheet {
        let mut sheet = Sheet {
            tree: parse(text),
            folder,
            enclosed,
            uncertainty_cut: AtomicU32::new(NOTHING_CUT),
            ..Sheet::default()
        };
        sheet.rebuild();
        sheet
    }

    /// Moves the worksheet to another folder and reads its tables there; trials stay.
    pub fn move_to(&mut self, folder: Option<PathBuf>) {
        self.folder = folder;
        self.enclosed = &[];
        self.refresh();
    }

    /// The tree and text.
    pub fn tree(&self) -> &Worksheet {
        &self.tree
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.tree.text
    }

    /// The folder that tables may be read from.
    pub fn folder(&self) -> Option<&PathBuf> {
        self.folder.as_ref()
    }

    /// The names.
    pub fn names(&self) -> &Names {
        &self.names
    }

    /// The texts behind text values.
    pub fn texts(&self) -> &TextPool {
        &self.texts
    }

    /// The tables in file order.
    pub fn tables(&self) -> &[Table] {
        &self.tables
    }

    /// The cells of a table's column; empty where the table has no value, or was made of
    /// what isn't known.
    pub fn column_cells(&self, slot: u32) -> &[Option<Number>] {
        match self.rests_on_open(slot) {
            true => &[],
            false => self.values.column(slot).unwrap_or(&[]),
        }
    }

    /// A column of a table.
    pub fn table_column(&self, slot: u32) -> Option<&TableColumn> {
        self.table_columns.get(slot as usize)
    }

    /// The cases in file order.
    pub fn cases(&self) -> &[Case] {
        &self.cases
    }

    /// The number of cells: entries and checks.
    pub fn cell_count(&self) -> usize {
        self.names.cell_items.len()
    }

    /// The line an item begins on, from 1.
    pub fn line(&self, item: u32) -> u32 {
        self.lines.get(item as usize).copied().unwrap_or(0)
    }

    /// The item of a cell.
    pub fn item_of(&self, cell: CellId) -> u32 {
        self.names.cell_items.get(cell.0 as usize).copied().unwrap_or(0)
    }

    /// The entry of a cell; `None` for a check.
    pub fn entry(&self, cell: CellId) -> Option<&Entry> {
        match self.tree.items.get(self.item_of(cell) as usize).map(|item| &item.node) {
            Some(Node::Entry(entry)) => Some(entry),
            _ => None,
        }
    }

    /// The name of a cell: of an entry, or of a table that a function makes.
    pub fn name_of(&self, cell: CellId) -> Option<&str> {
        match self.tree.items.get(self.item_of(cell) as usize).map(|item| &item.node) {
            Some(Node::Entry(entry)) => Some(&entry.name.text),
            Some(Node::Table(table)) => Some(&table.name.text),
            _ => None,
        }
    }

    /// How many tables functions have made since the worksheet was loaded.
    pub fn tables_made(&self) -> usize {
        self.alongside.made.worked()
    }

    /// The cell of that name.
    pub fn cell(&self, name: &str) -> Option<CellId> {
        match self.names.get(name) {
            Some(Named::Cell(cell)) => Some(cell),
            _ => None,
        }
    }

    /// Kind and unit of a cell, where it has one.
    pub fn shape(&self, cell: CellId) -> Option<Shape> {
        self.shapes.get(cell.0 as usize).copied().flatten()
    }

    /// How a cell stands.
    pub fn status(&self, cell: CellId) -> Status {
        self.status.get(cell.0 as usize).copied().unwrap_or(Status::Broken)
    }

    /// The value of a cell.
    pub fn reading(&self, cell: CellId) -> Reading<'_> {
        let status = self.status(cell);
        if status != Status::Known {
            return Reading::None(status);
        }
        if let Some(reading) = self.limited(cell).and_then(Limited::reading) {
            return reading;
        }
        let Some(code) = self.program.cells.get(cell.0 as usize) else {
            return Reading::None(status);
        };
        if code.column {
            return self
                .values
                .columns
                .get(code.slot as usize)
                .map_or(Reading::None(Status::Broken), |cells| Reading::Column(Rows::of(cells)));
        }
        self.values
            .slots
            .get(code.slot as usize)
            .map_or(Reading::None(Status::Broken), |value| Reading::Number(*value))
    }

    /// Whether a check holds, in every row where it has rows; `None` where that is undecided,
    /// since something is missing or a limit has cut it short.
    pub fn holds(&self, cell: CellId) -> Option<bool> {
        match self.reading(cell) {
            Reading::Number(truth) => Some(!truth.is_zero()),
            Reading::Column(rows) if rows.iter().any(|row| row.is_some_and(Number::is_zero)) => Some(false),
            Reading::Column(rows) => (!rows.is_empty() && rows.iter().all(Option::is_some)).then_some(true),
            Reading::Within(_) | Reading::None(_) => None,
        }
    }

    /// What a cell without value waits on, directly: names with their lines, in
    /// file order. Entries without value, and tables and rules with a problem.
    pub fn waits_on(&self, cell: CellId) -> Vec<(String, u32)> {
        if self.status(cell) != Status::Waits {
            return Vec::new();
        }
        let needs = self.order.needs(cell.0).iter().map(|need| CellId(*need));
        let open = needs.filter(|need| self.status(*need) != Status::Known);
        let mut found: Vec<(u32, String)> = open
            .filter_map(|need| Some((self.item_of(need), self.name_of(need)?.to_owned())))
            .collect();
        let item = self.item_of(cell) as usize;
        if let Some(node) = self.tree.items.get(item).map(|item| &item.node) {
            order::expressions_of(node, &mut |expression| self.broken_names(expression, &mut found));
        }
        if found.is_empty() && self.cut_short {
            found.extend(self.out_of_time());
        }
        found.sort();
        found.dedup();
        found.into_iter().map(|(item, name)| (name, self.line(item))).collect()
    }

    /// These cells and all they need, in the order they are computed.
    pub fn needed_by_all(&self, cells: &[CellId]) -> Vec<CellId> {
        let asked = cells.iter().map(|cell| cell.0).collect();
        self.needed(&asked).into_iter().map(CellId).collect()
    }

    /// What was being worked out when the time was up: all behind it waits for it.
    fn out_of_time(&self) -> impl Iterator<Item = (u32, String)> {
        let stopped = self
            .failures
            .iter()
            .filter(|(_, failure)| **failure == Failure::OutOfTime);
        stopped.filter_map(|(cell, _)| {
            let cell = CellId(*cell);
            Some((self.item_of(cell), self.name_of(cell)?.to_owned()))
        })
    }

    /// The tables that a cell names, by their index.
    pub fn tables_of(&self, cell: CellId) -> Vec<u32> {
        let mut found = Vec::new();
        if let Some(item) = self.tree.items.get(self.item_of(cell) as usize) {
            order::expressions_of(&item.node, &mut |part| {
                if let ExpressionNode::Column(names) = &part.node
                    && let Some(Named::Table(table)) = self.names.get(&names.0.text)
                {
                    found.push(table);
                }
            });
        }
        found
    }

    /// Tables and rules that an expression uses and that have a problem.
    fn broken_names(&self, expression: &Expression, found: &mut Vec<(u32, String)>) {
        match &expression.node {
            ExpressionNode::Column(names) => {
                let Some(Named::Table(table)) = self.names.get(&names.0.text) else {
                    return;
                };
                let shape = self.table_shapes.get(table as usize);
                let broken = shape.is_some_and(|shape| shape.unreadable || shape.broken.contains(&names.1.text));
                if let (true, Some(table)) = (broken, self.tables.get(table as usize)) {
                    found.push((table.item, names.0.text.to_string()));
                }
            }
            ExpressionNode::Call(call) => {
                let Some(Named::Rule(item)) = self.names.get(&call.name.text) else {
                    return;
                };
                if self.rule_is_broken(item) {
                    found.push((item, call.name.text.to_string()));
                }
            }
            _ => {}
        }
    }

    /// Every cell, each behind what it needs.
    pub fn cells_in_order(&self) -> Vec<CellId> {
        self.order.cells.iter().map(|cell| CellId(*cell)).collect()
    }

    /// What is held over a cell.
    pub fn held(&self, cell: CellId) -> Option<&Held> {
        self.held.get(&cell.0)
    }

    /// The cells on trial, in file order.
    pub fn trials(&self) -> impl Iterator<Item = CellId> {
        self.held
            .iter()
            .filter(|(_, held)| held.by == Holder::Trial)
            .map(|(cell, _)| CellId(*cell))
    }

    /// The case in hand.
    pub fn case(&self) -> Option<&Case> {
        self.case.and_then(|case| self.cases.get(case))
    }

    /// Every problem, in the order of the file.
    pub fn problems(&self) -> Vec<Problem> {
        let mut problems: Vec<Problem> = self
            .tree
            .items
            .iter()
            .flat_map(|item| item.problems.iter().cloned())
            .collect();
        problems.extend(self.static_problems.iter().cloned());
        problems.extend(self.cell_problems.values().flatten().cloned());
        problems.extend(
            self.failures
                .iter()
                .map(|(cell, failure)| self.failure_problem(*cell, failure)),
        );
        problems.extend(self.uncertainty_problem());
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        problems
    }

    /// Whether anything is a problem, rather than a lint.
    pub fn has_problems(&self) -> bool {
        let weighs = |problem: &Problem| problem.severity == crate::problem::Severity::Problem;
        !self.failures.is_empty()
            || self.uncertainty_cut.load(Ordering::Relaxed) != NOTHING_CUT
            || self.static_problems.iter().any(weighs)
            || self.cell_problems.values().flatten().any(weighs)
            || self.tree.items.iter().flat_map(|item| &item.problems).any(weighs)
    }

    // ---- cases and trials ----

    /// Switches to a case, or to the base. Gives back the cells that changed.
    ///
    /// # Errors
    /// The nearest case name, where there is none of this one.
    pub fn set_case(&mut self, name: Option<&str>) -> Result<Vec<CellId>, Option<String>> {
        let case = match name {
            None | Some("base") => None,
            Some(name) => match self.cases.iter().position(|case| case.name == name) {
                Some(case) => Some(case),
                None => return Err(self.names.nearest_case(name).map(str::to_owned)),
            },
        };
        let mut touched: Vec<u32> = self
            .held
            .iter()
            .filter(|(_, held)| held.by == Holder::Case)
            .map(|(cell, _)| *cell)
            .collect();
        self.held.retain(|_, held| held.by == Holder::Trial);
        self.case = case;
        touched.extend(self.hold_case());
        Ok(self.run_from(touched).into_iter().map(CellId).collect())
    }

    /// Puts the values of the case in hand in place, where no trial stands.
    fn hold_case(&mut self) -> Vec<u32> {
        let Some(case) = self.case.and_then(|case| self.cases.get(case)) else {
            return Vec::new();
        };
        let mut touched = Vec::new();
        for (cell, held) in &case.held {
            if let HeldPlace::Vacant(free) = self.held.entry(cell.0) {
                free.insert(held.clone());
                touched.push(cell.0);
            }
        }
        touched
    }

    /// Holds a value over an entry as a trial. Gives back the cells that changed.
    pub fn hold(&mut self, cell: CellId, held: Held) -> Vec<CellId> {
        self.held.insert(cell.0, held);
        self.run_from([cell.0]).into_iter().map(CellId).collect()
    }

    /// Lets go of a trial. Gives back the cells that changed.
    pub fn release(&mut self, cell: CellId) -> Vec<CellId> {
        if self.held.get(&cell.0).is_some_and(|held| held.by == Holder::Trial) {
            self.held.remove(&cell.0);
            self.hold_case();
        }
        self.run_from([cell.0]).into_iter().map(CellId).collect()
    }

    /// Puts other cells in place of a written column's, and recomputes the cells that use
    /// it. The record stays; [`Sheet::put_back_column`] puts its own cells back.
    pub fn move_column(&mut self, slot: u32, cells: Vec<Option<Number>>, users: &[CellId]) {
        self.values.set_column(slot, cells);
        self.run_from(users.iter().map(|cell| cell.0));
    }

    /// Puts a written column's own cells back in place.
    pub fn put_back_column(&mut self, slot: u32, users: &[CellId]) {
        let cells = self.table_columns.get(slot as usize).map(|column| column.cells.clone());
        self.move_column(slot, cells.unwrap_or_default(), users);
    }

    // ---- edits ----

    /// Replaces a span of the text and brings everything up to date.
    pub fn replace(&mut self, span: Span, with: &str) -> Change {
        let change = self.tree.replace(span, with);
        if !self.take_up(&change, with) {
            self.rebuild_keeping_trials();
        }
        change
    }

    fn rebuild_keeping_trials(&mut self) {
        let kept: Vec<(String, Option<Shape>, Held)> = self
            .held
            .iter()
            .filter(|(_, held)| held.by == Holder::Trial)
            .filter_map(|(cell, held)| Some((self.old_name(*cell)?, self.shape(CellId(*cell)), held.clone())))
            .collect();
        let case = self.case().map(|case| case.name.clone());
        self.rebuild();
        self.case = case.and_then(|name| self.cases.iter().position(|case| case.name == name));
        for (name, shape, held) in kept {
            if let Some(cell) = self.cell(&name).filter(|cell| {
                self.shape(*cell)
                    .zip(shape)
                    .is_some_and(|(now, before)| now.is_like(before))
            }) {
                self.held.insert(cell.0, held);
            }
        }
        self.hold_case();
        if !self.held.is_empty() {
            self.run_all();
        }
    }

    /// The name a cell had before the tree was replaced: names still know it.
    fn old_name(&self, cell: u32) -> Option<String> {
        self.names.name_of(CellId(cell)).map(str::to_owned)
    }

    /// Reads the tables' files again and computes everything afresh; trials stay.
    pub fn refresh(&mut self) {
        self.rebuild_keeping_trials();
    }
}

/// The tolerance an entry's own line gives.
pub fn tolerance_of(entry: &Entry) -> Option<Tolerance> {
    match &entry.value {
        Some(Value::Given { tolerance, .. }) => *tolerance,
        _ => None,
    }
}

/// The problem of a name that isn't known in the session, with the nearest.
pub fn unknown(names: &Names, name: &Name) -> Problem {
    let message = format!("nothing here is named `{}`", name.text);
    let problem = Problem::new(Code::UnknownName, message, Place::new(0, name.span));
    match names.nearest(&name.text) {
        Some(near) => problem.help(format!("write `{near}`, if that is meant")),
        None => problem,
    }
}

/// Whether a kind has numbers that can be uncertain.
pub fn can_be_uncertain(kind: Kind) -> bool {
    !matches!(kind, Kind::Text | Kind::Truth)
}
