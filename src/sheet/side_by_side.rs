//! Whose rows a column goes by, and two tables side by side by the order of their rows.
//!
//! Columns of two tables meet row by row: the first with the first, whatever stands there.
//! Where the first texts of both tables differ that is refused; where nothing tells, it is a
//! caution. The rows of a table also name those of a column that a reader is shown.
//! Start reading at [`Rows::of`].

use crate::number::Number;
use crate::problem::Code;
use crate::syntax::tree::{Name, Node as TreeNode};
use crate::text::Span;
use crate::trade::Function;
use crate::trade::caution::TWO_TABLES;
use crate::unit::Kind;

use super::Sheet;
use super::appraisal::Cautioned;
use super::check_made::MadeCall;
use super::checker::{Checker, Known, RowTables, RowsOf};
use super::column::TableColumn;
use super::lower::takes_column;
use super::model::Model;
use super::names::{CellId, Named};
use super::typed::{Node, Typed};

/// Columns of two tables that meet row by row, each where it stands.
#[derive(Clone, Copy, Debug)]
struct Meeting {
    one: (RowsOf, Span),
    other: (RowsOf, Span),
}

/// A look at what an expression does with the rows of tables.
struct Rows<'a> {
    columns: &'a [TableColumn],
    row_tables: &'a RowTables,
    /// The tables of values that a rule was given.
    shared: Vec<(u32, Vec<RowsOf>)>,
    met: Vec<Meeting>,
}

impl Rows<'_> {
    /// The tables whose rows a value goes by; none for a single value.
    fn of(&mut self, value: &Typed) -> Vec<RowsOf> {
        match &value.node {
            Node::Constant(_) => Vec::new(),
            Node::Cell(cell) => self.row_tables.get(&cell.0).cloned().unwrap_or_default(),
            Node::Column(column) => {
                let column = self.columns.get(column.0 as usize);
                let rows = |column: &TableColumn| RowsOf {
                    table: column.table,
                    filtered: false,
                };
                column.map(rows).into_iter().collect()
            }
            Node::Shared(number) => {
                let given = self.shared.iter().rev().find(|(given, _)| given == number);
                given.map_or(Vec::new(), |(_, rows)| rows.clone())
            }
            Node::Convert(inner, _) | Node::Negate(inner) | Node::Not(inner) | Node::OneOf(inner, _) => self.of(inner),
            Node::Arithmetic(_, _, sides) | Node::Compare(_, sides) | Node::And(sides) | Node::Or(sides) => {
                self.joined([&sides.0, &sides.1])
            }
            Node::If(parts) => self.joined([&parts.0, &parts.1, &parts.2]),
            Node::Where(sides) => {
                let rows = self.joined([&sides.0, &sides.1]).into_iter();
                rows.map(|rows| RowsOf { filtered: true, ..rows }).collect()
            }
            Node::Schedule(_, sides) => {
                self.joined([&sides.0, &sides.1]);
                Vec::new()
            }
            Node::Call(function, arguments) => self.of_call(function, arguments, value.column),
            Node::Let(shared, body) => {
                for (number, value) in shared {
                    let rows = self.of(value);
                    self.shared.push((*number, rows));
                }
                self.of(body)
            }
        }
    }

    /// The columns that a call takes whole meet each other, and so do those that it goes
    /// through row by row.
    fn of_call(&mut self, function: &Function, arguments: &[Typed], is_column: bool) -> Vec<RowsOf> {
        let (mut whole, mut by_row) = (Vec::new(), Vec::new());
        for (index, argument) in arguments.iter().enumerate() {
            let parameter = function.parameters.get(index);
            match takes_column(function, index, arguments) {
                true if parameter.is_some_and(|parameter| parameter.own_rows) => drop(self.of(argument)),
                true => whole.push(argument),
                false => by_row.push(argument),
            }
        }
        let (whole, by_row) = (self.joined(whole), self.joined(by_row));
        match (is_column, by_row.is_empty()) {
            (false, _) => Vec::new(),
            (true, true) => whole,
            (true, false) => by_row,
        }
    }

    /// The tables of values that are worked out together row by row.
    fn joined<'v>(&mut self, values: impl IntoIterator<Item = &'v Typed>) -> Vec<RowsOf> {
        let mut all: Vec<(RowsOf, Span)> = Vec::new();
        for value in values {
            let before = all.first().copied();
            for rows in self.of(value) {
                match all.iter_mut().find(|(known, _)| known.table == rows.table) {
                    Some((known, _)) => known.filtered |= rows.filtered,
                    None => {
                        let other = (rows, value.span);
                        self.met.extend(before.map(|one| Meeting { one, other }));
                        all.push(other);
                    }
                }
            }
        }
        all.into_iter().map(|(rows, _)| rows).collect()
    }
}

/// How the rows of two tables that meet go together.
enum Together {
    /// Row by row their first texts are the same.
    Same,
    /// In that row they differ: the texts' numbers.
    Differ(usize, Number, Number),
    /// Nothing tells.
    Untold,
}

/// The first column of a table that holds texts.
fn first_texts(columns: &[TableColumn], table: u32) -> Option<&TableColumn> {
    let is_it = |column: &&TableColumn| column.table == table && column.kind == Kind::Text && !column.made;
    // its columns stand together, and those of the tables in their order
    let begins = columns.partition_point(|column| column.table < table);
    columns
        .get(begins..)?
        .iter()
        .take_while(|column| column.table == table)
        .find(is_it)
}

fn together(columns: &[TableColumn], meeting: &Meeting) -> Together {
    let texts = |rows: RowsOf| first_texts(columns, rows.table).map(|column| column.cells.as_slice());
    let (Some(one), Some(other)) = (texts(meeting.one.0), texts(meeting.other.0)) else {
        return Together::Untold;
    };
    let pairs = one.iter().zip(other).enumerate();
    for (row, pair) in pairs {
        if let (Some(one), Some(other)) = pair
            && one != other
        {
            return Together::Differ(row, *one, *other);
        }
    }
    match meeting.one.0.filtered || meeting.other.0.filtered {
        true => Together::Untold,
        false => Together::Same,
    }
}

/// Where tables meet in what a look goes over.
fn met(known: &Known<'_>, look: impl FnOnce(&mut Rows<'_>)) -> Vec<Meeting> {
    let mut rows = Rows {
        columns: known.columns,
        row_tables: known.row_tables,
        shared: Vec::new(),
        met: Vec::new(),
    };
    if !known.tables.is_empty() {
        look(&mut rows);
    }
    rows.met
}

impl Checker<'_> {
    /// Whether no two tables meet whose rows don't go together; reports where they do.
    pub(super) fn rows_agree(&mut self, value: &Typed) -> bool {
        let found = met(&self.known, |rows| drop(rows.of(value)));
        self.agree(&found)
    }

    /// A value as what its entry is named for: a worked column of a table has that table's rows.
    pub(super) fn as_column(&mut self, name: &Name, value: Typed) -> Option<Typed> {
        let Some((table, column)) = name.of_table() else {
            return Some(value);
        };
        let Some(Named::Table(place)) = self.known.names.get(table) else {
            let span = name.spans(self.text).0.unwrap_or(name.span);
            if matches!(self.known.names.get(table), Some(Named::Use(_))) {
                let message = format!("`{table}` is another worksheet, and its lines stand there");
                let help = format!("give it a name here, such as `{column}`");
                return self.problem(Code::UnknownName, message, span, Some(help));
            }
            return self.no_table(&Name {
                text: table.into(),
                span,
                through: 0,
            });
        };
        let shape = self.known.tables.get(place as usize)?;
        if shape.unreadable || shape.awaits_rows {
            self.blocked = true;
            return None;
        }
        let mut rows = Vec::new();
        met(&self.known, |look| rows = look.of(&value));
        let (code, message, help) = match rows.iter().find(|rows| rows.table == place).or(rows.first()) {
            _ if !value.column => (
                Code::ColumnOrValue,
                format!("`{}` is a column, and this is a single value", name.text),
                format!(
                    "give it a line of its own, such as `worked {column} = …`, or rest it on a column of `{table}`"
                ),
            ),
            Some(rows) if rows.table == place && !rows.filtered => return Some(value),
            Some(rows) if rows.table == place => (
                Code::RowsDiffer,
                format!(
                    "rows of `{table}` are left out here, and `{}` needs all of them",
                    name.text
                ),
                format!("write `if … then … else …` in place of `where`, or a name that isn't of `{table}`"),
            ),
            Some(rows) => {
                let other = table_name(&self.known, rows.table);
                (
                    Code::RowsDiffer,
                    format!("this has the rows of `{other}`, and `{}` those of `{table}`", name.text),
                    format!("look each row up, such as `{other}.… of {table}.…`, or write `{other}.{column}`"),
                )
            }
            None => (
                Code::RowsDiffer,
                format!("this has rows of its own, and `{}` those of `{table}`", name.text),
                format!("work it out from columns of `{table}`"),
            ),
        };
        self.problem(code, message, value.span, Some(help))
    }

    /// The same for a call that makes a table.
    pub(super) fn call_rows_agree(&mut self, made: &MadeCall) -> bool {
        let found = met(&self.known, |rows| {
            drop(rows.of_call(made.function, &made.arguments, false))
        });
        self.agree(&found)
    }

    /// The same for columns that are drawn one over the other.
    pub(super) fn together_agree(&mut self, values: &[Typed]) -> bool {
        let found = met(&self.known, |rows| drop(rows.joined(values)));
        self.agree(&found)
    }

    fn agree(&mut self, found: &[Meeting]) -> bool {
        let differs = |meeting: &Meeting| match together(self.known.columns, meeting) {
            Together::Differ(row, one, other) => Some((*meeting, row, one, other)),
            Together::Same | Together::Untold => None,
        };
        let Some((meeting, row, one, other)) = found.iter().find_map(differs) else {
            return true;
        };
        let name = |rows: RowsOf| table_name(&self.known, rows.table);
        let (first, second) = (name(meeting.one.0), name(meeting.other.0));
        let message = format!(
            "the rows of `{first}` and `{second}` are paired by their order, and row {} is \"{}\" in one and \"{}\" in the other",
            row + 1,
            self.pool.text(one),
            self.pool.text(other)
        );
        let help = format!("put both columns into one table, or the rows of `{second}` in the order of `{first}`");
        self.problem::<()>(Code::RowsDiffer, message, meeting.other.1, Some(help))
            .is_some()
    }
}

fn table_name<'a>(known: &Known<'a>, table: u32) -> &'a str {
    let item = known.names.table_items.get(table as usize).copied().unwrap_or(u32::MAX);
    match known.sheet.node(item) {
        Some(TreeNode::Table(table)) => &table.name.text,
        _ => "",
    }
}

impl Model {
    /// Remembers whose rows a cell goes by, and which tables meet in it; gives back whether
    /// that is as it was.
    pub(super) fn note_rows(&mut self, cell: u32, value: &Typed) -> bool {
        if self.tables.is_empty() {
            return true;
        }
        let mut rows = Vec::new();
        let found = met(&self.known(), |look| rows = look.of(value));
        self.note_meetings(cell, &found);
        let before = match rows.is_empty() {
            true => self.row_tables.remove(&cell),
            false => self.row_tables.insert(cell, rows.clone()),
        };
        before.unwrap_or_default() == rows
    }

    /// The same of a call that makes a table.
    pub(super) fn note_rows_of_call(&mut self, cell: u32, made: &MadeCall) {
        let found = met(&self.known(), |look| {
            drop(look.of_call(made.function, &made.arguments, false))
        });
        self.note_meetings(cell, &found);
    }

    fn note_meetings(&mut self, cell: u32, met: &[Meeting]) {
        let pairs = self.untold(met);
        match pairs.is_empty() {
            true => self.side_by_side.remove(&cell),
            false => self.side_by_side.insert(cell, pairs),
        };
    }

    /// The tables that meet, and nothing tells whether their rows belong together.
    fn untold(&self, met: &[Meeting]) -> Vec<String> {
        let is_untold = |meeting: &&Meeting| matches!(together(&self.table_columns, meeting), Together::Untold);
        let known = self.known();
        let name = |rows: RowsOf| table_name(&known, rows.table);
        let pair = |meeting: &Meeting| {
            let (one, other) = (name(meeting.one.0), name(meeting.other.0));
            format!(
                "The rows of `{one}` and `{other}` are paired by their order, and nothing in them tells whether they \
belong together."
            )
        };
        let mut pairs: Vec<String> = met.iter().filter(is_untold).map(pair).collect();
        pairs.dedup();
        pairs
    }

    /// What to be careful of in a cell in which columns of two tables meet.
    pub(super) fn two_tables(&self, cell: u32) -> impl Iterator<Item = Cautioned> {
        let pairs = self.side_by_side.get(&cell).into_iter().flatten();
        pairs.map(move |pair| Cautioned::new(CellId(cell), &TWO_TABLES, pair.clone()))
    }

    /// The cells that tell the rows of a table apart: its first texts, else its first column.
    pub(crate) fn telling_column(&self, table: u32) -> Option<u32> {
        let columns = &self.tables.get(table as usize)?.columns;
        let is_text = |slot: &&u32| {
            self.table_column(**slot)
                .is_some_and(|column| column.kind == Kind::Text)
        };
        columns.iter().find(is_text).or(columns.first()).copied()
    }
}

impl Sheet {
    /// The rows that a cell's column goes by; where several tables have a part in it, those
    /// of the first that has texts to tell its rows by.
    pub(crate) fn row_table(&self, cell: CellId) -> Option<RowTable> {
        let tables = self.row_tables.get(&cell.0)?;
        let slot = self.program.cells.get(cell.0 as usize)?.slot;
        self.told_by(tables, slot)
    }

    /// The same of a value that is worked out beside the worksheet into that slot, and which
    /// tables meet in it untold.
    pub(super) fn rows_beside(&self, value: &Typed, slot: u32) -> (Option<RowTable>, Vec<String>) {
        let mut rows = Vec::new();
        let found = met(&self.known(), |look| rows = look.of(value));
        (self.told_by(&rows, slot), self.untold(&found))
    }

    fn told_by(&self, tables: &[RowsOf], slot: u32) -> Option<RowTable> {
        let texts = |rows: &&RowsOf| first_texts(&self.table_columns, rows.table).is_some();
        let rows = tables.iter().find(texts).or(tables.first())?;
        Some(RowTable {
            table: rows.table,
            left: self.values.rows.get(&slot).cloned(),
        })
    }
}

/// The rows of a table that a column has.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RowTable {
    /// The table.
    pub table: u32,
    /// Which of its rows, counted from 0; all of them where none were left out.
    pub left: Option<Vec<u32>>,
}

impl RowTable {
    /// Which row of its table a cell is, counted from 0.
    pub fn row(&self, index: usize) -> Option<usize> {
        match &self.left {
            Some(left) => left.get(index).map(|row| *row as usize),
            None => Some(index),
        }
    }

    /// Which cell is that row of its table.
    pub fn index(&self, row: usize) -> Option<usize> {
        match &self.left {
            Some(left) => left.iter().position(|left| *left as usize == row),
            None => Some(row),
        }
    }
}
