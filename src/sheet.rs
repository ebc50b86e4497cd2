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
use std::ops::Deref;
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

use crate::number::Number;
use crate::problem::kinds::Kinds;
use crate::problem::{Code, Place, Problem};
use crate::syntax::parse;
use crate::syntax::tree::{BEYOND, Entry, Name, Node, TableContent, Tolerance, Value};
use crate::trade::Reason;
use crate::unit::Kind;

pub mod appraisal;
pub(crate) mod appraise;
pub(crate) mod aside;
pub(crate) mod binary;
pub(crate) mod built;
mod by_weight;
pub(crate) mod cases;
pub(crate) mod cell_of;
pub(crate) mod check;
mod check_arguments;
mod check_built;
mod check_call;
mod check_close;
mod check_made;
mod check_product;
mod check_rule;
mod check_time;
mod check_worked;
pub(crate) mod checker;
mod clock_change;
pub(crate) mod column;
mod crossing;
mod csv_layout;
mod csv_quotes;
pub(crate) mod csv_table;
mod day;
pub(crate) mod dual;
mod edges;
mod edit;
pub(crate) mod exact;
pub(crate) mod failure;
mod first_order;
pub(crate) mod fit_spread;
mod fits;
pub mod gradient;
pub(crate) mod held_cells;
pub(crate) mod held_files;
pub(crate) mod kept_back;
pub(crate) mod kept_marks;
mod known_text;
pub mod lanes;
pub(crate) mod limits;
pub(crate) mod load;
pub(crate) mod lower;
pub(crate) mod machine;
pub(crate) mod made;
pub(crate) mod meet;
pub(crate) mod model;
pub mod names;
mod objections;
pub mod order;
pub(crate) mod over;
pub(crate) mod program;
pub mod range;
pub(crate) mod ranged;
mod reach;
mod rules;
mod run;
mod run_says;
pub(crate) mod scalar;
pub(crate) mod scratch;
pub(crate) mod side_by_side;
pub mod source;
pub mod table;
pub(crate) mod text_pool;
mod time_cells;
pub(crate) mod typed;
mod unchecked;
mod unitless;
mod uses;
pub(crate) mod values;
mod wall_range;
pub(crate) mod weighed;
mod worked_calls;

use cell_of::CellPlace;
use exact::Alongside;
use held_cells::{HeldCell, Own};
use kept_marks::KeptMarks;
use limits::{Limited, Limits, Rows};
use model::Model;
use names::{CellId, Names};
pub(crate) use objections::ON_OFF;
use range::Range;
use values::{Failure, Values};
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

impl Held {
    /// A value that was worked out, exactly, as if on trial.
    pub(crate) fn exactly(value: HeldValue) -> Held {
        Held {
            value,
            tolerance: None,
            by: Holder::Trial,
            written: String::new(),
            source: None,
            note: None,
        }
    }
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
    /// Its columns, by their slots in the columns of all tables.
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
    /// The entries it holds values over.
    pub held: Vec<(CellId, Held)>,
    /// The cells of tables that it does.
    pub cells: Vec<(CellPlace, HeldCell)>,
}

/// Files that come with a worksheet and stand in no folder: each by its path and text.
pub type Enclosed = &'static [(&'static str, &'static str)];

/// What is held over the record: the values of the case in hand, and of trials.
#[derive(Clone, Debug, Default)]
struct Overlay {
    case: Option<usize>,
    held: BTreeMap<u32, Held>,
    /// Cells of tables, each with what it has of its own.
    cells: BTreeMap<CellPlace, Own>,
}

/// A worksheet that computes: a model under what is held over it. A copy shares the model,
/// so that whoever wants to see another case or another value takes one.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    model: Arc<Model>,
    overlay: Overlay,
    values: Values<Number>,
    status: Vec<Status>,
    failures: BTreeMap<u32, Failure>,
    alongside: Alongside,
    tolerant: BTreeSet<u32>,
    /// What limits have cut short.
    limits: Limits,
    /// Whether a run stopped before its end.
    cut_short: bool,
    /// What lines tell of the columns that they go through, once it was asked for.
    weighed: OnceLock<Arc<Weighed>>,
    /// What draws told of the values, once it was asked for.
    marks: KeptMarks,
}

/// What is asked of the text alone is asked of the model.
impl Deref for Sheet {
    type Target = Model;

    fn deref(&self) -> &Model {
        &self.model
    }
}

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

/// Of one cause so many places are told beside the first.
const MOST_PLACES: usize = 8;

impl Sheet {
    /// Loads a worksheet: parses, checks, lowers and runs it. Tables from files
    /// are read inside `folder` only.
    pub fn load(text: String, folder: Option<PathBuf>) -> Sheet {
        Sheet::load_with(text, folder, &[])
    }

    /// Loads a worksheet with files enclosed, which are looked at before the folder.
    pub(crate) fn load_with(text: String, folder: Option<PathBuf>, enclosed: Enclosed) -> Sheet {
        let model = Model {
            tree: Arc::new(parse(text)),
            folder,
            enclosed,
            ..Model::default()
        };
        let mut sheet = Sheet {
            model: Arc::new(model),
            ..Sheet::default()
        };
        sheet.rebuild();
        sheet
    }

    /// The cells of a table's column that are known; empty where the table has no value, or
    /// was made of what isn't known.
    pub fn column_cells(&self, slot: u32) -> &[Option<Number>] {
        *self.column_rows(slot)
    }

    /// The same, with what those can be that a limit has cut short.
    pub(crate) fn column_rows(&self, slot: u32) -> Rows<'_> {
        let known = || Rows::of(self.values.column(slot).unwrap_or(&[]));
        self.cut(slot).unwrap_or_else(known)
    }

    /// How many tables functions have made since the worksheet was loaded.
    pub fn tables_made(&self) -> usize {
        self.alongside.made.worked()
    }

    /// How a cell stands; what is kept back has no value for anybody who asks.
    pub fn status(&self, cell: CellId) -> Status {
        if self.is_kept_back(cell) {
            return Status::Waits;
        }
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
            Reading::Column(rows) => {
                let late = self.late(cell);
                let mut counted = rows
                    .iter()
                    .enumerate()
                    .filter(|(row, cell)| *row >= late || cell.is_some());
                (rows.len() > late && counted.all(|(_, cell)| cell.is_some())).then_some(true)
            }
            Reading::Within(_) | Reading::None(_) => None,
        }
    }

    /// How many first rows of a cell's column are no rows, since nothing came before them.
    pub(crate) fn late(&self, cell: CellId) -> usize {
        let code = self.program.cells.get(cell.0 as usize);
        code.filter(|code| code.column)
            .map_or(0, |code| self.program.late(code.slot) as usize)
    }

    /// Whether the table of a cell is worked out from columns.
    pub(crate) fn is_worked_table(&self, cell: CellId) -> bool {
        match self.tree.node(self.item_of(cell)) {
            Some(Node::Table(table)) => match &table.content {
                Some(TableContent::Function(call)) => check_worked::worked_by(call).is_some(),
                _ => false,
            },
            _ => false,
        }
    }

    /// What a grid looks at, and how many others it varies.
    pub(crate) fn grid(&self, cell: CellId) -> Option<(CellId, usize)> {
        let site = self.program.grid_of(cell.0)?;
        let of = self
            .program
            .cells
            .iter()
            .position(|code| !code.column && code.slot == site.of)?;
        Some((CellId(u32::try_from(of).ok()?), site.over.len()))
    }

    /// What is still to come before a line through readings has a value: `a second reading`.
    pub(crate) fn awaits(&self, cell: CellId) -> Option<&str> {
        self.failures.get(&cell.0).and_then(Failure::awaits)
    }

    /// What a cell without value waits on, directly: names with where they stand, in
    /// file order. Entries without value, and tables and rules with a problem.
    pub fn waits_on(&self, cell: CellId) -> Vec<(String, String)> {
        if self.status(cell) != Status::Waits {
            return Vec::new();
        }
        let needs = self.order.needs(cell.0).iter().map(|need| CellId(*need));
        let open = needs.filter(|need| self.status(*need) != Status::Known);
        let mut found: Vec<(u32, String)> = open
            .filter_map(|need| Some((self.item_of(need), self.name_of(need)?.to_owned())))
            .collect();
        if let Some(node) = self.tree.node(self.item_of(cell)) {
            order::expressions_of(node, &mut |expression| self.broken_names(expression, &mut found));
        }
        if found.is_empty() && self.cut_short {
            found.extend(self.out_of_time());
        }
        found.sort();
        found.dedup();
        found
            .into_iter()
            .map(|(item, name)| (name, self.standing_at(item)))
            .collect()
    }

    /// These cells and all they need, in the order they are computed.
    pub(crate) fn needed_by_all(&self, cells: &[CellId]) -> Vec<CellId> {
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

    /// What is held over a cell.
    pub fn held(&self, cell: CellId) -> Option<&Held> {
        self.overlay.held.get(&cell.0)
    }

    /// The cells on trial, in file order.
    pub fn trials(&self) -> impl Iterator<Item = CellId> {
        self.overlay
            .held
            .iter()
            .filter(|(_, held)| held.by == Holder::Trial)
            .map(|(cell, _)| CellId(*cell))
    }

    /// The case in hand.
    pub fn case(&self) -> Option<&Case> {
        self.overlay.case.and_then(|case| self.cases.get(case))
    }

    /// Every problem, in the order of the file; of a kind that is met very often the first ones, and how
    /// many more there are.
    pub fn problems(&self) -> Vec<Problem> {
        let mut kinds = Kinds::default();
        let own = self.tree.items.iter().flat_map(|item| &item.problems);
        let mut problems: Vec<Problem> = own.filter(|problem| kinds.tells(problem)).cloned().collect();
        for (number, item) in self.tree.used.items() {
            problems.extend(item.problems.iter().map(|problem| {
                let mut problem = problem.clone();
                problem.place.item = number;
                problem
            }));
        }
        let found = self.used_problems.iter().chain(&self.static_problems);
        let found = found.chain(self.cell_problems.values().flatten());
        // those of another worksheet are counted by it
        let mut told = |problem: &Problem| problem.place.item >= BEYOND || kinds.tells(problem);
        problems.extend(found.filter(|problem| told(problem)).cloned());
        problems.extend(self.failing().into_iter().filter(told));
        kinds.count_untold(&self.untold);
        problems.extend(kinds.more());
        let mut problems = self.gathered(problems);
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        problems
    }

    /// The problems that a copy in another case has beyond those of the text itself.
    pub(crate) fn problems_of_run(&self) -> Vec<Problem> {
        // those of another worksheet are told together
        if !self.used_files().is_empty() {
            return self.problems();
        }
        let mut kinds = Kinds::default();
        let mut problems = self.failing();
        problems.retain(|problem| kinds.tells(problem));
        problems.extend(kinds.more());
        problems
    }

    /// What went wrong as it was worked out, but for what waits on something else; what calls say
    /// alike of the same piece has one cause, and is told where it is met first.
    fn failing(&self) -> Vec<Problem> {
        let mut found: Vec<Problem> = Vec::new();
        let mut causes: BTreeMap<(String, &str), usize> = BTreeMap::new();
        for (cell, failure) in self.failures.iter().filter(|(_, failure)| failure.awaits().is_none()) {
            let problem = self.failure_problem(*cell, failure);
            let of_call = match failure {
                Failure::Complaint(complaint, _) => !matches!(complaint.reason, Reason::NoSuchText { .. }),
                _ => false,
            };
            if of_call && problem.place.item < BEYOND {
                let piece = problem.place.span.of(self.tree.text_of(problem.place.item as usize));
                let first = *causes.entry((problem.message.clone(), piece)).or_insert(found.len());
                if let Some(known) = found.get_mut(first) {
                    if known.labels.len() < MOST_PLACES {
                        *known = known.clone().also(problem.place, "and here");
                    }
                    continue;
                }
            }
            found.push(problem);
        }
        found
    }

    /// Whether anything is a problem, rather than a lint.
    pub fn has_problems(&self) -> bool {
        let weighs = |problem: &Problem| problem.severity == crate::problem::Severity::Problem;
        self.failures.values().any(|failure| failure.awaits().is_none())
            || self.static_problems.iter().any(weighs)
            || self.untold.leaves_problems()
            || self.cell_problems.values().flatten().any(weighs)
            || self.used_problems.iter().any(weighs)
            || self.tree.every_item().flat_map(|(_, item)| &item.problems).any(weighs)
    }

    // ---- cases and trials ----

    /// Switches to a case, or to the base. Gives back the cells that changed.
    ///
    /// # Errors
    /// The nearest case name, where there is none of this one.
    pub fn set_case(&mut self, name: Option<&str>) -> Result<Vec<CellId>, Option<String>> {
        let case = match name {
            None | Some("base") => None,
            Some(name) => match self.place_of_case(name) {
                Some(case) => Some(case),
                None => return Err(self.names.nearest_case(name).map(str::to_owned)),
            },
        };
        let mut touched: Vec<u32> = self
            .overlay
            .held
            .iter()
            .filter(|(_, held)| held.by == Holder::Case)
            .map(|(cell, _)| *cell)
            .collect();
        self.overlay.held.retain(|_, held| held.by == Holder::Trial);
        let put_back = self.put_back_cells_of_case();
        self.overlay.case = case;
        touched.extend(self.hold_case());
        if self.hold_cells_of_case() || put_back {
            return Ok(self.run_all_telling().into_iter().map(CellId).collect());
        }
        Ok(self.run_from(touched).into_iter().map(CellId).collect())
    }

    /// A copy in another case, or in the base; `None` where there is no such case.
    pub fn in_case(&self, name: Option<&str>) -> Option<Sheet> {
        let mut copy = self.clone();
        copy.set_case(name).is_ok().then_some(copy)
    }

    /// Puts the values of the case in hand in place, where no trial stands.
    fn hold_case(&mut self) -> Vec<u32> {
        let cases = &self.model.cases;
        let Some(case) = self.overlay.case.and_then(|case| cases.get(case)) else {
            return Vec::new();
        };
        let mut touched = Vec::new();
        for (cell, held) in &case.held {
            if let HeldPlace::Vacant(free) = self.overlay.held.entry(cell.0) {
                free.insert(held.clone());
                touched.push(cell.0);
            }
        }
        touched
    }

    /// Holds a value over an entry as a trial. Gives back the cells that changed.
    pub fn hold(&mut self, cell: CellId, held: Held) -> Vec<CellId> {
        self.overlay.held.insert(cell.0, held);
        self.run_from([cell.0]).into_iter().map(CellId).collect()
    }

    /// Lets go of a trial. Gives back the cells that changed.
    pub fn release(&mut self, cell: CellId) -> Vec<CellId> {
        if self
            .overlay
            .held
            .get(&cell.0)
            .is_some_and(|held| held.by == Holder::Trial)
        {
            self.overlay.held.remove(&cell.0);
            self.hold_case();
        }
        self.run_from([cell.0]).into_iter().map(CellId).collect()
    }

    /// Puts other cells in place of a written column's, and recomputes the cells that use
    /// it.
    pub(crate) fn move_column(&mut self, slot: u32, cells: Vec<Option<Number>>, users: &[CellId]) {
        self.values.set_column(slot, cells);
        self.run_from(users.iter().map(|cell| cell.0));
    }
}

/// The tolerance an entry's own line gives.
pub(crate) fn tolerance_of(entry: &Entry) -> Option<Tolerance> {
    match &entry.value {
        Some(Value::Given { tolerance, .. }) => tolerance.as_deref().copied(),
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
pub(crate) fn can_be_uncertain(kind: Kind) -> bool {
    !matches!(kind, Kind::Text | Kind::Truth)
}
