//! The model of a worksheet: its text parsed, checked and lowered.
//!
//! It holds no value that a case or a trial could change, so that any number of sheets may
//! share one. [`super::load`] makes it from the text. Start reading at [`Model`].

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::PathBuf;
use std::sync::Arc;

use crate::number::Number;
use crate::problem::Problem;
use crate::problem::kinds::Kinds;
use crate::syntax::tree::{BEYOND, Entry, Expect, Expression, ExpressionNode, Node, Worksheet};
use crate::time_limit::Deadline;

use super::checker::RowTables;
use super::checker::{Known, Shape, TableShape};
use super::column::TableColumn;
use super::csv_table::{Files, HeldFiles};
use super::names::{CellId, Named, Names};
use super::order::{self, Order};
use super::program::Program;
use super::text_pool::TextPool;
use super::{Case, Enclosed, Status, Table};

/// Trees of files as they were read, by where the files stand.
pub(super) type ReadBefore = HashMap<PathBuf, Arc<Worksheet>>;

/// A worksheet's text, parsed, checked and lowered.
#[derive(Clone, Debug, Default)]
pub struct Model {
    pub(super) tree: Arc<Worksheet>,
    pub(super) folder: Option<PathBuf>,
    pub(super) enclosed: Enclosed,
    /// Files of tables whose text is in hand.
    pub(super) held_files: HeldFiles,
    pub(super) lines: Vec<u32>,
    pub(super) names: Arc<Names>,
    pub(super) texts: TextPool,
    pub(super) tables: Vec<Table>,
    pub(super) table_shapes: Vec<TableShape>,
    pub(super) table_columns: Vec<TableColumn>,
    pub(super) shapes: Vec<Option<Shape>>,
    pub(super) order: Order,
    pub(super) program: Program,
    /// Whether the steps of the program stand in the order of the cells.
    pub(super) straight: bool,
    pub(super) garbage: usize,
    /// How a cell stands whatever is held elsewhere.
    pub(super) fixed: Vec<Option<Status>>,
    pub(super) static_problems: Vec<Problem>,
    pub(super) broken_rules: BTreeSet<u32>,
    pub(super) cell_problems: BTreeMap<u32, Vec<Problem>>,
    /// Of names and cells the problems of kinds of which there are too many: no more than their number is kept.
    pub(super) untold: Kinds,
    pub(super) cases: Vec<Case>,
    /// What the names of the worksheets that are used begin with, by what they are called here.
    pub(super) lead_to: BTreeMap<Box<str>, String>,
    /// The items of `use` lines behind which nothing can be read.
    pub(super) broken_uses: BTreeSet<u32>,
    /// Why.
    pub(super) used_problems: Vec<Problem>,
    /// The files as they were read last.
    pub(super) read_before: ReadBefore,
    pub(super) suggestions: usize,
    /// When all must be checked.
    pub(super) checked_until: Deadline,
    /// Whether the time was up before all was checked.
    pub(super) unchecked: bool,
    /// The cells that only the marking of answers uses.
    pub(super) kept_back: BTreeSet<u32>,
    /// The cells that are a weight over a weight an hour.
    pub(super) by_weight: BTreeSet<u32>,
    /// The tables whose rows the cells go by that hold columns.
    pub(super) row_tables: RowTables,
    /// The cells in which columns of two tables meet, and nothing tells whether they belong together.
    pub(super) side_by_side: BTreeMap<u32, Vec<String>>,
    /// The cells that take one moment from another, with the moments written in them.
    pub(super) between_moments: BTreeMap<u32, Vec<Number>>,
}

impl Model {
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

    /// A column of a table.
    pub(crate) fn table_column(&self, slot: u32) -> Option<&TableColumn> {
        self.table_columns.get(slot as usize)
    }

    /// Where the case of that name stands among the cases.
    pub(super) fn place_of_case(&self, name: &str) -> Option<usize> {
        let item = self.names.case(name)?;
        self.cases.binary_search_by_key(&item, |case| case.item).ok()
    }

    /// The case that is called like a person, in small letters or large, `_` for a space.
    pub(crate) fn case_called(&self, person: &str) -> Option<&str> {
        let plain = |name: &str| name.trim().to_lowercase().replace([' ', '-'], "_");
        let found = self.cases.iter().find(|case| plain(&case.name) == plain(person));
        found.map(|case| case.name.as_str())
    }

    /// The cases in file order.
    pub fn cases(&self) -> &[Case] {
        &self.cases
    }

    /// The cells of the worksheet itself, in the order of the file.
    pub fn own_cells(&self) -> impl Iterator<Item = CellId> + use<> {
        (0..self.names.own_cells).map(CellId)
    }

    /// The cells of the worksheets that it rests on.
    pub(crate) fn cells_beyond(&self) -> impl Iterator<Item = CellId> + use<> {
        let all = u32::try_from(self.cell_count()).unwrap_or(u32::MAX);
        (self.names.own_cells..all).map(CellId)
    }

    /// The number of cells: entries and checks, those of worksheets that are used too.
    pub fn cell_count(&self) -> usize {
        self.names.cell_items.len()
    }

    /// The line an item begins on, from 1.
    pub fn line(&self, item: u32) -> u32 {
        match item < BEYOND {
            true => self.lines.get(item as usize).copied().unwrap_or(0),
            false => self.tree.used.line(item),
        }
    }

    /// The item of a cell.
    pub fn item_of(&self, cell: CellId) -> u32 {
        self.names.cell_items.get(cell.0 as usize).copied().unwrap_or(0)
    }

    /// The entry of a cell; `None` for a check.
    pub fn entry(&self, cell: CellId) -> Option<&Entry> {
        match self.tree.node(self.item_of(cell)) {
            Some(Node::Entry(entry)) => Some(entry),
            _ => None,
        }
    }

    /// The check that a cell is, with the item that it stands in.
    pub(crate) fn expectation(&self, cell: CellId) -> Option<(u32, &Expect)> {
        let item = self.item_of(cell);
        match self.tree.node(item)? {
            Node::Expect(expect) => Some((item, expect)),
            _ => None,
        }
    }

    /// Whether an entry asks for hours and minutes: `[h:min]`.
    pub(crate) fn asks_for_clock(&self, cell: CellId) -> bool {
        let unit = self.entry(cell).and_then(|entry| entry.unit);
        unit.is_some_and(|unit| unit.clock)
    }

    /// The name of a cell: of an entry, or of a table that a function makes.
    pub fn name_of(&self, cell: CellId) -> Option<&str> {
        match self.tree.node(self.item_of(cell)) {
            Some(Node::Entry(entry)) => Some(&entry.name.text),
            Some(Node::Table(table)) => Some(&table.name.text),
            _ => None,
        }
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

    /// The tables that a cell names, by their index.
    pub(crate) fn tables_of(&self, cell: CellId) -> Vec<u32> {
        let mut found = Vec::new();
        if let Some(item) = self.tree.item(self.item_of(cell)) {
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

    /// Whether that is a table that has headings, and no rows yet.
    pub(crate) fn awaits_rows(&self, name: &str) -> bool {
        let Some(Named::Table(table)) = self.names.get(name) else {
            return false;
        };
        let shape = self.table_shapes.get(table as usize);
        shape.is_some_and(|shape| shape.awaits_rows)
    }

    /// Whether that is a column with rows of which no cell is filled: `shells.made`.
    pub(crate) fn awaits_cells(&self, name: &str) -> bool {
        let Some((table, column)) = name.rsplit_once('.') else {
            return false;
        };
        let Some(Named::Table(table)) = self.names.get(table) else {
            return false;
        };
        let shape = self.table_shapes.get(table as usize);
        shape.is_some_and(|shape| shape.blank.iter().any(|blank| &**blank == column))
    }

    /// Tables and rules that an expression uses and that have a problem, or no rows yet.
    pub(super) fn broken_names(&self, expression: &Expression, found: &mut Vec<(u32, String)>) {
        let mut through = |name: &str| {
            if let Some((item, true)) = self.use_of(name) {
                found.push((item, self.use_name(item)));
            }
        };
        match &expression.node {
            ExpressionNode::Name(name) => through(name),
            ExpressionNode::Column(names) => {
                let Some(Named::Table(table)) = self.names.get(&names.0.text) else {
                    return through(&names.0.text);
                };
                let shape = self.table_shapes.get(table as usize);
                let broken = shape
                    .is_some_and(|shape| shape.unreadable || shape.awaits_rows || shape.broken.contains(&names.1.text));
                let Some(table) = self.tables.get(table as usize) else {
                    return;
                };
                let column = format!("{}.{}", names.0.text, names.1.text);
                if broken {
                    found.push((table.item, names.0.text.to_string()));
                } else if self.awaits_cells(&column) {
                    found.push((table.item, column));
                }
            }
            ExpressionNode::Call(call) => {
                let Some(Named::Rule(item)) = self.names.get(&call.name.text) else {
                    return through(&call.name.text);
                };
                if self.rule_is_broken(item) {
                    found.push((item, call.name.text.to_string()));
                }
            }
            _ => {}
        }
    }

    fn use_name(&self, item: u32) -> String {
        match self.tree.node(item) {
            Some(Node::Use(line)) => line.name.text.to_string(),
            _ => String::new(),
        }
    }

    /// Every cell, each behind what it needs.
    pub(crate) fn cells_in_order(&self) -> Vec<CellId> {
        self.order.cells.iter().map(|cell| CellId(*cell)).collect()
    }

    /// How many columns the tables have.
    pub(super) fn column_count(&self) -> u32 {
        u32::try_from(self.table_columns.len()).unwrap_or(u32::MAX)
    }

    /// Where files that the worksheet names are looked for.
    pub(super) fn files(&self) -> Files<'_> {
        Files {
            folder: self.folder.as_deref(),
            enclosed: self.enclosed,
            held: &self.held_files,
        }
    }

    /// What a checker looks at.
    pub(super) fn known(&self) -> Known<'_> {
        Known {
            sheet: &self.tree,
            names: &self.names,
            shapes: &self.shapes,
            tables: &self.table_shapes,
            lines: &self.lines,
            broken_uses: &self.broken_uses,
            columns: &self.table_columns,
            broken_rules: &self.broken_rules,
            row_tables: &self.row_tables,
        }
    }
}
