//! From tree to program: everything an edit can't patch is done here anew.
//!
//! Start reading at [`Model::rebuild`].

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::problem::{Code, Place, Problem, Severity};
use crate::syntax::tree::{
    BEYOND, Entry, Expect, Expression, ExpressionNode, Name, Node, Plot, Table as TreeTable, TableContent, Value,
};
use crate::text::{SmallText, Span, moved};
use crate::time_limit;
use crate::trade::{Built, Function, ParameterKind, ResultKind};
use crate::unit::{Beginning, Kind, Unit};

use super::check_made::{MadeCall, table_function};
use super::check_worked::worked_by;
use super::checker::{Checker, Known, MadeShape, Shape, TableShape, describe, is_decibel};
use super::column::TableColumn;
use super::csv_table::{Files, NoRoom, csv_path, files_of, read_csv};
use super::lower::{Beside, Lowering};
use super::meet::unit_named;
use super::model::Model;
use super::names::{CellId, ColumnId, Named, Names};
use super::order::Order;
use super::program::{COLUMN_REGISTERS, CellCode, Program, REGISTERS};
use super::scalar::Declared;
use super::table::{MOST_CELLS, ReadTable, read_rows};
use super::typed::{Grid, Typed, Worked};
use super::worked_calls::{grid_columns, sorted_table};
use super::{Status, Table};

/// How many times the nearest name is looked for in one load.
pub(super) const SUGGESTIONS: usize = 50;

/// A sorted table may be sorted again, so many times.
const MOST_SORTED: usize = 100;

/// What checking a cell came to.
pub(super) enum Found {
    Value(Typed),
    Table(MadeCall),
    Blank(Kind),
    Broken,
    Waits,
}

impl Model {
    /// Does everything behind the tree anew.
    pub(super) fn rebuild(&mut self) {
        self.suggestions = SUGGESTIONS;
        self.lines = self.tree.line_numbers();
        self.read_uses();
        let mut names = Names::collect(&self.tree);
        names.call_also(&self.lead_to);
        self.static_problems = std::mem::take(&mut names.problems);
        self.untold = std::mem::take(&mut names.untold);
        self.names = Arc::new(names);
        self.read_tables();
        self.refuse_headed();
        self.order = Order::of(&self.tree, &self.names);
        self.reset();
        self.check_rules();
        self.check_all();
        self.read_cases();
        self.check_plots();
        self.keep_back();
    }

    fn reset(&mut self) {
        let count = self.cell_count();
        self.shapes = vec![None; count];
        self.fixed = vec![None; count];
        self.cell_problems.clear();
        self.by_weight.clear();
        self.row_tables.clear();
        self.side_by_side.clear();
        self.between_moments.clear();
        self.cases.clear();
        self.garbage = 0;
        self.unchecked = false;
        self.checked_until = time_limit::from_now();
        self.straight = true;
        let tables = u32::try_from(self.table_columns.len()).unwrap_or(u32::MAX);
        self.program = Program {
            slots: REGISTERS,
            columns: tables + COLUMN_REGISTERS,
            cells: vec![CellCode::default(); count],
            ..Program::default()
        };
    }

    fn read_tables(&mut self) {
        self.tables.clear();
        self.table_shapes.clear();
        self.table_columns.clear();
        let mut room = MOST_CELLS;
        let items = self.names.table_items.clone();
        let mut reads = Vec::new();
        let mut no_room = NoRoom::default();
        for item in &items {
            let path = csv_path(&self.tree, *item);
            let known = path.and_then(|path| no_room.refuse(path, *item));
            let read = known.or_else(|| self.read_table(*item, room));
            if let (Some(path), Some(read)) = (csv_path(&self.tree, *item), &read) {
                no_room.note(path, read);
            }
            room = room.saturating_sub(read.as_ref().map_or(0, ReadTable::cell_count));
            reads.push(read);
        }
        for place in 0..items.len() {
            let columns = self.sorted_columns(place, &reads, 0);
            if let (Some(columns), Some(Some(read))) = (columns, reads.get_mut(place)) {
                read.columns = columns
                    .iter()
                    .map(|name| made_column(name, Kind::Quantity(Unit::ONE)))
                    .collect();
            }
        }
        for (item, read) in items.into_iter().zip(reads) {
            self.add_table(item, read);
        }
    }

    /// The columns of a table that is another one in order; `None` for any other table.
    fn sorted_columns(&self, place: usize, reads: &[Option<ReadTable>], depth: usize) -> Option<Vec<SmallText>> {
        let call = self.known().made_by(u32::try_from(place).ok()?).and_then(worked_by);
        let (Built::Sorted, call) = call.filter(|_| depth < MOST_SORTED)? else {
            return None;
        };
        let table = sorted_table(call)?;
        let Named::Table(of) = self.names.get(table)? else {
            return None;
        };
        let own = self.sorted_columns(of as usize, reads, depth + 1).or_else(|| {
            let read = reads.get(of as usize)?.as_ref()?;
            Some(read.columns.iter().map(|column| column.name.clone()).collect())
        })?;
        Some(
            own.into_iter()
                .chain(self.names.worked_columns(table).map(SmallText::from))
                .collect(),
        )
    }

    /// Worked columns by the name of a column that their table has already.
    fn refuse_headed(&mut self) {
        let names = Arc::clone(&self.names);
        let is_taken = |table: &str, column: &str| {
            let Some(Named::Table(table)) = names.get(table) else {
                return false;
            };
            let shape = self.table_shapes.get(table as usize);
            let headed = shape
                .into_iter()
                .flat_map(|shape| shape.columns.iter().map(|known| &known.0).chain(&shape.broken));
            headed.into_iter().any(|known| **known == *column)
        };
        for cell in Arc::make_mut(&mut self.names).part_with(is_taken) {
            let Some(name) = self.entry(cell).map(|entry| entry.name.clone()) else {
                continue;
            };
            let (table, column) = name.of_table().unwrap_or_default();
            let message = format!("table `{table}` has a column `{column}` already");
            let problem = Problem::new(Code::RepeatedColumn, message, Place::new(self.item_of(cell), name.span));
            self.static_problems
                .push(problem.help("give the worked one a name of its own"));
        }
    }

    fn read_table(&mut self, item: u32, room: usize) -> Option<ReadTable> {
        let Some(Node::Table(table)) = self.tree.node(item) else {
            return None;
        };
        let own = Files {
            folder: self.folder.as_deref(),
            enclosed: self.enclosed,
            held: &self.held_files,
        };
        match table.content.as_ref()? {
            TableContent::Rows(rows) => {
                let text = self.tree.text_of(item as usize);
                Some(read_rows(rows, item, text, room, &mut self.texts))
            }
            TableContent::Csv {
                path,
                skip_unread,
                layout,
            } => Some(read_csv(
                files_of(&self.tree, item, own),
                (path, layout),
                *skip_unread,
                (item, room),
                &mut self.texts,
            )),
            TableContent::Function(expression) => {
                let Some(function) = table_function(expression) else {
                    return Some(no_table(item, expression));
                };
                let mut read = made_columns(function, expression);
                if let Some((Built::Grid, call)) = worked_by(expression) {
                    let columns = grid_columns(call).into_iter();
                    read.columns = columns
                        .map(|name| made_column(name, Kind::Quantity(Unit::ONE)))
                        .collect();
                }
                Some(read)
            }
        }
    }

    fn add_table(&mut self, item: u32, read: Option<ReadTable>) {
        let unreadable = read.as_ref().is_none_or(|read| read.columns.is_empty());
        let mut read = read.unwrap_or_default();
        let cell = self.names.table_cells.get(self.tables.len()).copied().flatten();
        let hidden = read.ends.take();
        let mut shape = TableShape {
            awaits_rows: !unreadable
                && read
                    .columns
                    .iter()
                    .all(|column| !column.made && column.cells.is_empty()),
            broken: read.broken,
            unreadable,
            ..TableShape::default()
        };
        let mut columns = Vec::new();
        let table = u32::try_from(self.tables.len()).unwrap_or(u32::MAX);
        for column in read.columns {
            let mut column = TableColumn { table, ..column };
            let slot = u32::try_from(self.table_columns.len()).unwrap_or(u32::MAX);
            if matches!(column.kind, Kind::Counted(_)) {
                column.kind = Kind::Counted(Beginning::Column(slot));
            }
            if column.is_blank() {
                shape.blank.push(column.name.clone());
            }
            shape.columns.push((column.name.clone(), ColumnId(slot), column.kind));
            columns.push(slot);
            self.table_columns.push(column);
        }
        if let (Some(cell), Some((function, column))) = (cell, hidden) {
            let end = ColumnId(u32::try_from(self.table_columns.len()).unwrap_or(u32::MAX));
            self.table_columns.push(TableColumn { table, ..column });
            shape.made = Some(MadeShape { function, cell, end });
        }
        self.static_problems.extend(read.problems);
        self.table_shapes.push(shape);
        self.tables.push(Table { item, columns, cell });
    }

    fn check_all(&mut self) {
        self.report_loops();
        let cells = std::mem::take(&mut self.order.cells);
        for cell in &cells {
            if self.fixed.get(*cell as usize).copied().flatten().is_none() {
                let found = match self.is_cut(self.item_of(CellId(*cell))) {
                    true => Found::Waits,
                    false => self.check_cell(*cell),
                };
                self.settle_cell(*cell, found);
            }
        }
        self.order.cells = cells;
    }

    fn report_loops(&mut self) {
        let loops = std::mem::take(&mut self.order.loops);
        for path in &loops {
            for cell in path {
                self.fix(*cell, Status::Broken);
            }
            let problem = self.loop_problem(path);
            self.static_problems.push(problem);
        }
        self.order.loops = loops;
    }

    fn loop_problem(&self, path: &[u32]) -> Problem {
        let first = path.iter().copied().min().unwrap_or(0);
        let turn = path.iter().position(|cell| *cell == first).unwrap_or(0);
        let turned = path.iter().cycle().skip(turn).take(path.len() + 1);
        let named = turned.map(|cell| {
            let cell = CellId(*cell);
            let name = self.name_of(cell).unwrap_or("this check");
            format!("`{name}` ({})", self.standing_at(self.item_of(cell)))
        });
        let shown: Vec<String> = named.collect();
        let listed = if shown.len() > 12 {
            format!(
                "{} → … → {}",
                shown.get(..10).unwrap_or(&[]).join(" → "),
                shown.last().map_or("", |last| last)
            )
        } else {
            shown.join(" → ")
        };
        let named = |cell: &u32| self.entry(CellId(*cell)).map(|entry| entry.name.of_table());
        let column = path.iter().any(|cell| named(cell).flatten().is_some());
        let item = self.item_of(CellId(first));
        let span = match self.tree.node(item) {
            Some(Node::Entry(entry)) => entry.name.span,
            Some(Node::Table(table)) => table.name.span,
            _ => Span::default(),
        };
        Problem::new(
            Code::Loop,
            format!("these need each other: {listed}"),
            Place::new(item, span),
        )
        .label("the loop comes back here")
        .help(match column {
            true => "a row can't rest on its own column: add up down the rows with `running_total(…)`",
            false => "make one of them an input, or work it out from something else",
        })
    }

    fn fix(&mut self, cell: u32, status: Status) {
        if let Some(place) = self.fixed.get_mut(cell as usize) {
            *place = Some(status);
        }
    }

    /// A checker for an item, which sees what is known so far.
    pub(super) fn checker(&mut self, item: u32) -> Checker<'_> {
        let text = self.tree.text_of(item as usize);
        let known = Known {
            sheet: &self.tree,
            names: &self.names,
            shapes: &self.shapes,
            tables: &self.table_shapes,
            lines: &self.lines,
            broken_uses: &self.broken_uses,
            columns: &self.table_columns,
            broken_rules: &self.broken_rules,
            row_tables: &self.row_tables,
        };
        Checker::new(known, &mut self.texts, &mut self.suggestions, item, text)
    }

    /// Checks one cell against what is known so far.
    pub(super) fn check_cell(&mut self, cell: u32) -> Found {
        let (found, mut problems) = checked(self.checker(self.item_of(CellId(cell))), cell);
        let untold = &mut self.untold;
        let is_kept = |problem: &Problem| problem.severity == Severity::Lint || problem.place.item >= BEYOND;
        problems.retain(|problem| is_kept(problem) || untold.tells(problem));
        if !problems.is_empty() {
            self.cell_problems.insert(cell, problems);
        }
        found
    }

    /// The checked expression of a cell, or the arguments of the call that makes a table;
    /// none where it has a problem or waits.
    pub fn typed(&self, cell: CellId) -> Vec<Typed> {
        if self.fixed.get(cell.0 as usize) != Some(&None) {
            return Vec::new();
        }
        let (mut texts, mut suggestions, item) = (self.texts.clone(), 0, self.item_of(cell));
        let text = self.tree.text_of(item as usize);
        let checker = Checker::new(self.known(), &mut texts, &mut suggestions, item, text);
        match checked(checker, cell.0).0 {
            Found::Value(value) => vec![value],
            Found::Table(made) => made.arguments,
            _ => Vec::new(),
        }
    }

    fn settle_cell(&mut self, cell: u32, found: Found) {
        match found {
            Found::Value(value) => self.lower_cell(cell, &value),
            Found::Table(made) => self.lower_table(cell, &made),
            Found::Blank(kind) => {
                self.place_cell(cell, Shape { kind, column: false });
                self.fix(cell, Status::Blank);
            }
            Found::Broken => self.fix(cell, Status::Broken),
            Found::Waits => self.fix(cell, Status::Waits),
        }
    }

    fn place_cell(&mut self, cell: u32, shape: Shape) {
        let program = &mut self.program;
        let next = if shape.column {
            &mut program.columns
        } else {
            &mut program.slots
        };
        let slot = *next;
        *next += 1;
        if let Some(code) = program.cells.get_mut(cell as usize) {
            *code = CellCode {
                slot,
                column: shape.column,
                ..CellCode::default()
            };
        }
        if let Some(place) = self.shapes.get_mut(cell as usize) {
            *place = Some(shape);
        }
    }

    fn lower_cell(&mut self, cell: u32, value: &Typed) {
        self.note_by_weight(cell, value);
        self.note_rows(cell, value);
        self.note_moments(cell, value);
        self.place_cell(
            cell,
            Shape {
                kind: value.kind,
                column: value.column,
            },
        );
        let tables = self.column_count();
        let lowered = Lowering::new(&mut self.program, tables).cell(cell as usize, value);
        if lowered.is_err() {
            self.refuse_as_too_much(cell, value.span);
        }
    }

    fn refuse_as_too_much(&mut self, cell: u32, span: Span) {
        let item = self.item_of(CellId(cell));
        let message = "this expression is too much for one entry";
        let problem = Problem::new(Code::TooLong, message, Place::new(item, span));
        self.cell_problems
            .entry(cell)
            .or_default()
            .push(problem.help("name a part of it in an entry of its own"));
        self.fix(cell, Status::Broken);
    }

    /// The columns of a table that a function makes stand among those of the tables.
    fn lower_table(&mut self, cell: u32, made: &MadeCall) {
        let shapes = self.table_shapes.iter();
        let found = shapes
            .filter_map(|shape| Some((shape.made?, shape.columns.first()?)))
            .find(|(shape, _)| shape.cell == CellId(cell))
            .map(|(shape, first)| (shape.end, first.1, first.2));
        let Some((end, first, kind)) = found else {
            return self.fix(cell, Status::Broken);
        };
        self.note_rows_of_call(cell, made);
        let width = u16::try_from(end.0 - first.0 + 1).unwrap_or(1);
        if let Some(place) = self.shapes.get_mut(cell as usize) {
            *place = Some(Shape { kind, column: true });
        }
        let beside = match &made.worked {
            Some(Worked::Columns(columns)) => {
                self.settle_columns(first.0, columns.iter().map(|column| column.kind));
                Beside::default()
            }
            Some(Worked::Grid(grid)) => {
                self.settle_columns(first.0, grid.kinds.iter().copied());
                self.behind(grid)
            }
            None => Beside::default(),
        };
        let tables = self.column_count();
        let lowered = Lowering::new(&mut self.program, tables).table(cell as usize, made, (first.0, width), beside);
        if lowered.is_err() {
            self.refuse_as_too_much(cell, made.span);
        }
    }

    /// Gives the columns of a table that is worked out their kinds.
    fn settle_columns(&mut self, first: u32, kinds: impl Iterator<Item = Kind>) {
        for (slot, kind) in (first..).zip(kinds) {
            // what a counted time was counted from stays another column
            if let Some(column) = self.table_columns.get_mut(slot as usize) {
                column.kind = kind;
                let shape = self.table_shapes.get_mut(column.table as usize);
                let known = shape.into_iter().flat_map(|shape| &mut shape.columns);
                known
                    .filter(|known| known.1 == ColumnId(slot))
                    .for_each(|known| known.2 = kind);
            }
        }
    }

    /// The cells behind what a grid looks at.
    fn behind(&self, grid: &Grid) -> Beside {
        let mut watched = BTreeSet::from([grid.of.0]);
        let mut open = vec![grid.of.0];
        while let Some(cell) = open.pop() {
            open.extend(
                self.order
                    .needs(cell)
                    .iter()
                    .copied()
                    .filter(|need| watched.insert(*need)),
            );
        }
        let mut changing: BTreeSet<u32> = grid.over.iter().map(|(cell, _)| cell.0).collect();
        let mut cells: Vec<u32> = watched
            .iter()
            .copied()
            .filter(|cell| !changing.contains(cell))
            .collect();
        cells.sort_unstable_by_key(|cell| self.order.rank_of(*cell));
        cells.retain(|cell| {
            let changes = self.order.needs(*cell).iter().any(|need| changing.contains(need));
            changes && changing.insert(*cell)
        });
        Beside {
            between: cells,
            watched,
        }
    }

    fn check_plots(&mut self) {
        let plots = (0u32..)
            .zip(&self.tree.items)
            .filter(|(_, item)| matches!(item.node, Node::Plot(_)));
        let plots: Vec<u32> = plots.map(|(index, _)| index).collect();
        let mut found = Vec::new();
        for item in plots {
            if self.is_cut(item) {
                break;
            }
            let checker = self.checker(item);
            if let Some(Node::Plot(plot)) = checker.known.sheet.node(item) {
                found.extend(plot_problems(checker, plot));
            }
        }
        self.static_problems.extend(found);
    }

    /// Counts lines and items anew where those from `from` on stand so many places further
    /// on. Messages name lines: where there are problems, it can't.
    pub(super) fn move_items(&mut self, from: usize, places: i64) -> bool {
        let problems =
            !self.static_problems.is_empty() || !self.cell_problems.is_empty() || self.untold.leaves_problems();
        if problems || !self.broken_rules.is_empty() {
            return false;
        }
        self.lines = self.tree.line_numbers();
        let from = u32::try_from(from).unwrap_or(u32::MAX);
        Arc::make_mut(&mut self.names).move_items(from, places);
        let tables = self.tables.iter_mut().map(|table| &mut table.item);
        let cases = self.cases.iter_mut().map(|case| &mut case.item);
        for item in tables.chain(cases).filter(|item| (from..BEYOND).contains(*item)) {
            *item = moved(*item, places);
        }
        true
    }
}

fn checked(checker: Checker<'_>, cell: u32) -> (Found, Vec<Problem>) {
    let known = checker.known;
    let (found, problems) = match known.sheet.node(checker.item) {
        Some(Node::Entry(entry)) => check_entry(checker, entry, known.names, cell),
        Some(Node::Expect(expect)) if known.names.counts_as_check(checker.item, expect) => {
            check_expect(checker, expect)
        }
        Some(Node::Table(table)) => check_table(checker, table),
        _ => (Found::Broken, Vec::new()),
    };
    match found {
        Found::Value(value) => (Found::Value(begun_in(cell, value)), problems),
        other => (other, problems),
    }
}

fn plot_problems<'a>(mut checker: Checker<'a>, plot: &'a Plot) -> Vec<Problem> {
    let mut drawn = Vec::new();
    for side in plot.columns() {
        let value = checker.expression(side);
        drawn.extend(value.clone().filter(|value| value.column));
        if let Some(value) = value.filter(|value| !value.column) {
            let message = format!("a plot draws columns, and this is {}", describe(value.kind));
            let help = "name a column, such as `log.gross`".to_owned();
            checker.problem::<()>(Code::ColumnOrValue, message, side.span, Some(help));
        }
    }
    checker.together_agree(&drawn);
    checker.into_problems()
}

fn check_entry<'a>(checker: Checker<'a>, entry: &'a Entry, names: &Names, cell: u32) -> (Found, Vec<Problem>) {
    if !names.counts(CellId(cell)) {
        return (Found::Broken, Vec::new());
    }
    match &entry.value {
        None => (Found::Broken, Vec::new()),
        Some(Value::Blank(_)) => match &entry.unit {
            Some(unit) if is_decibel(unit.unit) => (Found::Blank(Kind::Level), Vec::new()),
            Some(unit) => (Found::Blank(Kind::Quantity(unit.unit)), Vec::new()),
            None => (Found::Broken, Vec::new()),
        },
        Some(Value::Given { expression, tolerance }) => {
            let mut checker = if entry.kind.is_input() {
                checker.constants_only()
            } else {
                checker
            };
            let value = checker.expression(expression);
            let value = value.and_then(|value| match &entry.unit {
                Some(unit) => checker.shown_in(value, unit),
                None => Some(checker.settle(value)),
            });
            let value = value.filter(|value| {
                tolerance
                    .as_deref()
                    .is_none_or(|tolerance| checker.tolerance_fits(value, tolerance))
            });
            let value = value.and_then(|value| checker.as_column(&entry.name, value));
            let (found, mut problems) = finish(checker, value);
            one_formula(&mut problems);
            (found, problems)
        }
    }
}

/// A formula in place of a constant is one problem, whatever it names; others of its line stay.
fn one_formula(problems: &mut Vec<Problem>) {
    let mut met = false;
    problems.retain(|problem| problem.code != Code::NotConstant || !std::mem::replace(&mut met, true));
}

fn check_expect<'a>(checker: Checker<'a>, expect: &'a Expect) -> (Found, Vec<Problem>) {
    let mut checker = checker.of_check();
    let value = match (&expect.closeness, &expect.condition) {
        (Some(close), _) => checker.closeness(close),
        (None, Some(condition)) => checker.expression(condition).and_then(|value| checker.truth(value)),
        (None, None) => return (Found::Broken, Vec::new()),
    };
    finish(checker, value)
}

fn check_table<'a>(mut checker: Checker<'a>, table: &'a TreeTable) -> (Found, Vec<Problem>) {
    let Some(TableContent::Function(expression)) = &table.content else {
        return (Found::Broken, Vec::new());
    };
    let made = checker.made_table(expression);
    let made = made.filter(|made| checker.call_rows_agree(made));
    finish_as(checker, made.map(Found::Table))
}

/// The columns that a function will make, still without cells, and the one that
/// holds how it ended.
fn made_columns(function: &'static Function, expression: &Expression) -> ReadTable {
    let ResultKind::Table(declared) = function.result else {
        return ReadTable::default();
    };
    let columns = declared.iter();
    let columns = columns.map(|column| made_column(column.name, Kind::Quantity(unit_named(column.unit))));
    let mut columns: Vec<TableColumn> = columns.collect();
    if let Some(first) = columns.first_mut().filter(|_| gives_names(function, expression)) {
        first.kind = Kind::Text;
    }
    ReadTable {
        columns,
        ends: Some((function.name, made_column("", Kind::Text))),
        ..ReadTable::default()
    }
}

/// Whether a call gives the names of the rows that it makes.
fn gives_names(function: &'static Function, expression: &Expression) -> bool {
    let ExpressionNode::Call(call) = &expression.node else {
        return false;
    };
    let mut parameters = function.parameters.iter().enumerate();
    let names = parameters.find(|(_, parameter)| parameter.kind == ParameterKind::Names);
    names.is_some_and(|(place, names)| {
        let labelled = |label: &Name| *label.text == *names.name;
        let mut given = call.arguments.iter().enumerate();
        given.any(|(at, given)| given.label.as_ref().map_or(at == place, labelled))
    })
}

fn made_column(name: &str, kind: Kind) -> TableColumn {
    TableColumn {
        name: name.into(),
        kind,
        cells: Vec::new(),
        uncertainty: Vec::new(),
        limits: Vec::new(),
        declared: Declared::Nowhere,
        degrees_of_freedom: None,
        tolerance: None,
        own_tolerances: Vec::new(),
        table: 0,
        made: true,
    }
}

fn no_table(item: u32, expression: &Expression) -> ReadTable {
    let message = "this gives no table";
    let problem = Problem::new(Code::UnknownFunction, message, Place::new(item, expression.span));
    let help = "write rows between bars, `csv(\"path\")`, or a function that gives a table, such as `draw_down(…)`";
    ReadTable {
        problems: vec![problem.help(help)],
        ..ReadTable::default()
    }
}

/// What was counted from something without a name was counted from within its entry.
fn begun_in(cell: u32, value: Typed) -> Typed {
    match value.kind {
        Kind::Counted(Beginning::Here(_)) => value.with_kind(Kind::Counted(Beginning::Entry(cell))),
        _ => value,
    }
}

fn finish(mut checker: Checker<'_>, value: Option<Typed>) -> (Found, Vec<Problem>) {
    let value = value.filter(|value| checker.rows_agree(value));
    finish_as(checker, value.map(Found::Value))
}

fn finish_as(checker: Checker<'_>, found: Option<Found>) -> (Found, Vec<Problem>) {
    let waits = checker.blocked || !checker.waits.is_empty();
    let problems = checker.into_problems();
    let found = match found {
        Some(found) if problems.is_empty() => found,
        _ if problems.is_empty() && waits => Found::Waits,
        _ => Found::Broken,
    };
    (found, problems)
}
