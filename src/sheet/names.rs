//! The names of a worksheet: which entry, table, rule or case stands behind each.
//!
//! Entries, tables and rules share one set of names, cases have their own. Of
//! two with one name the first counts and the second is the problem.
//! Start reading at [`Names::collect`].

use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap};

use foldhash::fast::RandomState;

use crate::problem::kinds::Kinds;
use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{BEYOND, Expect, Expression, ExpressionNode, Name, Node, TableContent, Worksheet};
use crate::text::{MOST_ALIKE, SmallText, Wanted, moved, nearest};
use crate::trade::registry::function;
use crate::unit::symbol::symbol;

/// An entry, a check, a plot's column or a table made by a function: one thing that is computed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct CellId(pub u32);

/// A column that tables hold.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ColumnId(pub u32);

/// What a name stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Named {
    /// An entry.
    Cell(CellId),
    /// The table at that index of the sheet's tables.
    Table(u32),
    /// The rule at that item.
    Rule(u32),
    /// The worksheet that is used by that item.
    Use(u32),
}

/// Every name, and the cells in the order of the file.
#[derive(Clone, Debug, Default)]
pub struct Names {
    by_name: HashMap<SmallText, Named, RandomState>,
    cases: HashMap<SmallText, u32, RandomState>,
    /// The named checks, by their items: a space of their own.
    checks: HashMap<SmallText, u32, RandomState>,
    /// Whether a check marks an answer.
    pub(super) marks: bool,
    /// How many cells stand in the worksheet itself, before those of worksheets that it uses.
    pub own_cells: u32,
    /// The item of each cell.
    pub cell_items: Vec<u32>,
    /// Whether each cell is an input.
    pub inputs: Vec<bool>,
    /// Whether the name of each cell counts, and isn't the second of two.
    counts: Vec<bool>,
    /// The item of each table.
    pub table_items: Vec<u32>,
    /// The cell of each table that a function makes.
    pub table_cells: Vec<Option<CellId>>,
    /// The items of cases whose name counts, in file order.
    pub case_items: Vec<u32>,
    /// The worked columns of tables, `log.net`, in the order of the file.
    columns: Vec<(SmallText, SmallText, CellId)>,
    /// Repeated names.
    pub problems: Vec<Problem>,
    /// Those of which there are too many.
    pub(super) untold: Kinds,
}

impl Names {
    /// Gathers the names of a worksheet.
    pub fn collect(sheet: &Worksheet) -> Names {
        let mut names = Names::default();
        names.by_name.reserve(sheet.items.len());
        names.cell_items.reserve(sheet.items.len());
        names.inputs.reserve(sheet.items.len());
        names.counts.reserve(sheet.items.len());
        for (index, item) in (0u32..).zip(&sheet.items) {
            names.add(sheet, index, &item.node);
        }
        names.own_cells = u32::try_from(names.cell_items.len()).unwrap_or(u32::MAX);
        for (index, item) in sheet.used.items() {
            names.add(sheet, index, &item.node);
        }
        names
    }

    /// A file that is used by two names here can be called by both.
    pub(super) fn call_also(&mut self, lead_to: &BTreeMap<Box<str>, String>) {
        for (used, prefix) in lead_to {
            if prefix.split('.').next() == Some(&**used) {
                continue;
            }
            let known = self.by_name.iter().filter_map(|(name, named)| {
                let rest = name.strip_prefix(prefix.as_str())?;
                Some((SmallText::from(format!("{used}.{rest}").as_str()), *named))
            });
            let known: Vec<_> = known.collect();
            self.by_name.extend(known);
        }
    }

    fn add(&mut self, sheet: &Worksheet, item: u32, node: &Node) {
        match node {
            Node::Entry(entry) => {
                let cell = self.add_cell(item, entry.kind.is_input());
                let counts = self.add_name(sheet, item, &entry.name, Named::Cell(cell));
                if let Some((table, column)) = entry.name.of_table().filter(|_| counts) {
                    self.columns.push((table.into(), column.into(), cell));
                }
                if let Some(place) = self.counts.last_mut() {
                    *place = counts;
                }
            }
            Node::Expect(expect) => {
                self.add_cell(item, false);
                self.marks |= expect.closeness.is_some();
                if let Some(name) = expect.name.as_ref().filter(|_| item < BEYOND) {
                    self.add_check(sheet, item, name);
                }
            }
            Node::Table(table) => {
                let place = u32::try_from(self.table_items.len()).unwrap_or(u32::MAX);
                self.table_items.push(item);
                let made = matches!(table.content, Some(TableContent::Function(_)));
                let cell = made.then(|| self.add_cell(item, false));
                self.table_cells.push(cell);
                self.add_name(sheet, item, &table.name, Named::Table(place));
            }
            Node::Rule(rule) => {
                if let Some(function) = function(&rule.name.text) {
                    let name = &rule.name.text;
                    let message = match function.name == &**name {
                        true => format!("`{name}` is a function already"),
                        false => format!("`{name}` is a function already, called `{}` now", function.name),
                    };
                    let place = Place::new(item, rule.name.span);
                    self.problems
                        .push(Problem::new(Code::RepeatedName, message, place).help("give the rule a name of its own"));
                } else {
                    self.add_name(sheet, item, &rule.name, Named::Rule(item));
                }
            }
            Node::Case(case) => self.add_case(sheet, item, &case.name),
            Node::Use(line) => {
                self.add_name(sheet, item, &line.name, Named::Use(item));
            }
            _ => {}
        }
    }

    fn add_cell(&mut self, item: u32, input: bool) -> CellId {
        let cell = CellId(u32::try_from(self.cell_items.len()).unwrap_or(u32::MAX));
        self.cell_items.push(item);
        self.inputs.push(input);
        self.counts.push(false);
        cell
    }

    /// Whether the name is new, and so counts.
    fn add_name(&mut self, sheet: &Worksheet, item: u32, name: &Name, named: Named) -> bool {
        let first = match self.by_name.entry(name.text.clone()) {
            Entry::Vacant(place) => {
                place.insert(named);
                if let Some(lint) = lint(item, name) {
                    self.tell(lint);
                }
                return true;
            }
            Entry::Occupied(first) => *first.get(),
        };
        let problem = repeated(sheet, item, name, self.item_of(first));
        self.tell(problem);
        false
    }

    fn tell(&mut self, problem: Problem) {
        // those of another worksheet are counted by it
        if problem.place.item >= BEYOND || self.untold.tells(&problem) {
            self.problems.push(problem);
        }
    }

    fn add_case(&mut self, sheet: &Worksheet, item: u32, name: &Name) {
        if let Some(first) = self.cases.get(&name.text) {
            let problem = repeated(sheet, item, name, *first);
            self.tell(problem);
            return;
        }
        if &*name.text == "base" {
            let message = "`base` means no case, so a case can't have that name";
            self.problems
                .push(Problem::new(Code::ReservedWord, message, Place::new(item, name.span)));
            return;
        }
        self.cases.insert(name.text.clone(), item);
        self.case_items.push(item);
    }

    fn add_check(&mut self, sheet: &Worksheet, item: u32, name: &Name) {
        match self.checks.get(&name.text) {
            Some(first) => {
                let problem = repeated(sheet, item, name, *first);
                self.tell(problem);
            }
            None => drop(self.checks.insert(name.text.clone(), item)),
        }
    }

    /// Whether no earlier check has the name that a check has.
    pub(super) fn counts_as_check(&self, item: u32, expect: &Expect) -> bool {
        let name = expect.name.as_ref().filter(|_| item < BEYOND);
        name.is_none_or(|name| self.checks.get(&name.text) == Some(&item))
    }

    fn item_of(&self, named: Named) -> u32 {
        let found = match named {
            Named::Cell(cell) => self.cell_items.get(cell.0 as usize),
            Named::Table(table) => self.table_items.get(table as usize),
            Named::Rule(item) | Named::Use(item) => return item,
        };
        found.copied().unwrap_or(0)
    }

    /// The items from `from` on stand so many places further on. The problems don't move.
    pub(crate) fn move_items(&mut self, from: u32, places: i64) {
        let rules = self.by_name.values_mut().filter_map(|named| match named {
            Named::Rule(item) | Named::Use(item) => Some(item),
            _ => None,
        });
        let listed = [&mut self.cell_items, &mut self.table_items, &mut self.case_items];
        let named = self.cases.values_mut().chain(self.checks.values_mut());
        let all = listed.into_iter().flatten().chain(named).chain(rules);
        for item in all.filter(|item| (from..BEYOND).contains(*item)) {
            *item = moved(*item, places);
        }
    }

    /// The cell behind a name: an entry's, or that of a table that a function makes.
    pub(crate) fn cell_of(&self, name: &str) -> Option<CellId> {
        match self.get(name)? {
            Named::Cell(cell) => Some(cell),
            Named::Table(table) => self.table_cells.get(table as usize).copied().flatten(),
            Named::Rule(_) | Named::Use(_) => None,
        }
    }

    /// The cell of a worked column of a table.
    pub(crate) fn worked_column(&self, (table, column): (&Name, &Name)) -> Option<CellId> {
        if self.columns.is_empty() {
            return None;
        }
        match self.get(&format!("{}.{}", table.text, column.text))? {
            Named::Cell(cell) => Some(cell),
            _ => None,
        }
    }

    /// Lets worked columns go whose name a column of their table has; where each stands.
    pub(super) fn part_with(&mut self, is_taken: impl Fn(&str, &str) -> bool) -> Vec<CellId> {
        let (gone, kept) = std::mem::take(&mut self.columns)
            .into_iter()
            .partition(|(table, column, _)| is_taken(table, column));
        self.columns = kept;
        let gone: Vec<(SmallText, SmallText, CellId)> = gone;
        for (table, column, cell) in &gone {
            self.by_name.remove(format!("{table}.{column}").as_bytes());
            if let Some(counts) = self.counts.get_mut(cell.0 as usize) {
                *counts = false;
            }
        }
        gone.into_iter().map(|(_, _, cell)| cell).collect()
    }

    /// The worked columns of a table, by their names there, in the order of the file.
    pub(crate) fn worked_columns<'a>(&'a self, table: &'a str) -> impl Iterator<Item = &'a str> {
        let all = self.columns.iter().filter(move |(of, ..)| **of == *table);
        all.map(|(_, column, _)| &**column)
    }

    /// The cells of the worked columns of a table.
    pub(crate) fn worked_cells<'a>(&'a self, table: &'a str) -> impl Iterator<Item = CellId> {
        let of = self.columns.iter().filter(move |(of, ..)| **of == *table);
        of.map(|(_, _, cell)| *cell)
    }

    /// The entry that an expression names by itself: by its name, or as a worked column.
    pub(crate) fn entry_in(&self, part: &Expression) -> Option<CellId> {
        match &part.node {
            ExpressionNode::Name(name) => match self.get(name)? {
                Named::Cell(cell) => Some(cell),
                _ => None,
            },
            ExpressionNode::Column(names) => self.worked_column((&names.0, &names.1)),
            _ => None,
        }
    }

    /// What a name stands for.
    pub fn get(&self, name: &str) -> Option<Named> {
        self.by_name.get(name.as_bytes()).copied()
    }

    /// Whether the name of that cell is its own, and not that of an earlier one.
    pub fn counts(&self, cell: CellId) -> bool {
        self.counts.get(cell.0 as usize).copied().unwrap_or(false)
    }

    /// Whether a cell is an input.
    pub fn is_input(&self, cell: CellId) -> bool {
        self.inputs.get(cell.0 as usize).copied().unwrap_or(false)
    }

    /// The name of a cell; looks through all of them.
    pub fn name_of(&self, cell: CellId) -> Option<&str> {
        self.by_name
            .iter()
            .find(|(_, named)| **named == Named::Cell(cell))
            .map(|(name, _)| &**name)
    }

    /// Every name, in no order.
    pub fn all(&self) -> impl Iterator<Item = (&str, Named)> {
        self.by_name.iter().map(|(name, named)| (&**name, *named))
    }

    /// The item of the case of that name.
    pub fn case(&self, name: &str) -> Option<u32> {
        self.cases.get(name.as_bytes()).copied()
    }

    /// The known name nearest to one that isn't known.
    pub fn nearest(&self, name: &str) -> Option<&str> {
        let wanted = Wanted::new(name);
        let near = self.by_name.keys().filter(|known| wanted.may_be(known.bytes()));
        let mut known: Vec<&str> = near.take(MOST_ALIKE + 1).map(|name| &**name).collect();
        // of more than are compared it would be chance which
        if known.len() > MOST_ALIKE {
            return None;
        }
        known.sort_unstable();
        nearest(name, known)
    }

    /// The case nearest to a name that isn't known.
    pub(crate) fn nearest_case(&self, name: &str) -> Option<&str> {
        let mut known: Vec<&str> = self.cases.keys().map(|name| &**name).collect();
        known.sort_unstable();
        nearest(name, known)
    }
}

/// Names longer than any unit and function aren't looked up.
const LONGEST_LOOKED_UP: usize = 32;

/// A name that is a unit or a function too: it works, but reads badly.
fn lint(item: u32, name: &Name) -> Option<Problem> {
    let text = &*name.text;
    if text.len() > LONGEST_LOOKED_UP {
        return None;
    }
    let (code, what, wherever) = if symbol(text).is_some() {
        (Code::NameIsUnit, "unit", "right after a number")
    } else if function(text).is_some_and(|function| function.name == text) {
        (Code::NameIsFunction, "function", "before a parenthesis")
    } else {
        return None;
    };
    let message = format!("`{text}` is a {what} too; it is taken for the {what} only {wherever}");
    Some(Problem::new(code, message, Place::new(item, name.span)).help("rename it if a reader could mistake it"))
}

fn repeated(sheet: &Worksheet, item: u32, name: &Name, first: u32) -> Problem {
    let message = format!("`{}` is defined already; the first one counts", name.text);
    let problem = Problem::new(Code::RepeatedName, message, Place::new(item, name.span));
    let first_name = match sheet.node(first) {
        Some(Node::Entry(entry)) => Some(entry.name.span),
        Some(Node::Table(table)) => Some(table.name.span),
        Some(Node::Rule(rule)) => Some(rule.name.span),
        Some(Node::Case(case)) => Some(case.name.span),
        Some(Node::Use(line)) => Some(line.name.span),
        Some(Node::Expect(expect)) => expect.name.as_ref().map(|name| name.span),
        _ => None,
    };
    match first_name {
        Some(span) => problem
            .label("the second")
            .also(Place::new(first, span), "the first")
            .help("rename one of the two"),
        None => problem,
    }
}
