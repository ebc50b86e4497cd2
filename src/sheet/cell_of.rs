//! One cell of a column: `run.gross of 12:10`, `loads.hours of row 3`.
//!
//! A text calls a row by the first column of texts, anything else by the first column.
//! What calls a written table's row by a constant is looked for when the worksheet is
//! checked, anything else when it runs; a bare clock time calls the row that shows it on the
//! wall. Start reading at [`Checker::one_cell`].

use crate::calendar::{DAY, clock};
use crate::number::Number;
use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{Expression, ExpressionNode, Node as TreeNode};
use crate::text::{Span, nearest};
use crate::trade::general::{CELL_IN_ROW, CELL_OF, CELL_ON_THE_WALL};
use crate::trade::{Complaint, Reason};
use crate::unit::{Kind, Unit};

use super::Sheet;
use super::checker::{Checker, describe};
use super::checker::{RowsOf, telling};
use super::model::Model;
use super::names::ColumnId;
use super::text_pool::TextPool;
use super::typed::{Node, Typed};

impl<'a> Checker<'a> {
    /// `column of key`, `column of row 3`
    pub(super) fn one_cell(&mut self, sides: &'a (Expression, Expression), place: Span, span: Span) -> Option<Typed> {
        let column = self.expression(&sides.0)?;
        if !column.column {
            let message = "`of` takes one cell out of a column, and what stands to its left is a single value";
            let help = "name a column there, such as `log.gross of row 3`".to_owned();
            return self.problem(Code::ColumnOrValue, message.to_owned(), place, Some(help));
        }
        if let ExpressionNode::RowNumber(row) = sides.1.node {
            return self.cell_in_row(column, row, span);
        }
        let key = self.expression(&sides.1);
        let keys = self.keys_of(&column, key.as_ref().map(|key| key.kind))?;
        let key = key?;
        let (key, on_the_wall) = self.key_for(key, &keys)?;
        match self.written_row(&keys, &key, on_the_wall) {
            Written::Row(row) => Some(cell_in_row(column, row, span)),
            Written::No(complaint) => self.no_such_row(&key, *complaint),
            Written::WhenRun => {
                let (kind, is_column) = (column.kind, key.column);
                let function = if on_the_wall { &CELL_ON_THE_WALL } else { &CELL_OF };
                Some(Typed {
                    kind,
                    column: is_column,
                    span,
                    node: Node::Call(function, vec![column, keys, key]),
                })
            }
        }
    }

    fn cell_in_row(&mut self, column: Typed, row: u32, span: Span) -> Option<Typed> {
        let rows = match column.node {
            Node::Column(id) => self.known.columns.get(id.0 as usize).filter(|known| !known.made),
            _ => None,
        };
        match rows.map(|known| known.cells.len()) {
            Some(rows) if row as usize > rows => {
                let complaint = too_few_rows(rows);
                let Reason::NoSuchRow(message) = complaint.reason else {
                    return None;
                };
                self.problem(Code::NoSuchRow, message, span, complaint.help)
            }
            _ => Some(cell_in_row(column, row, span)),
        }
    }

    /// The column by which something of a kind calls the rows of the one given.
    fn keys_of(&mut self, column: &Typed, kind: Option<Kind>) -> Option<Typed> {
        let table = match column.node {
            Node::Column(id) => self.known.columns.get(id.0 as usize).map(|column| column.table),
            Node::Cell(cell) => self.known.row_tables.get(&cell.0).and_then(|tables| match tables[..] {
                [RowsOf { table, filtered: false }] => Some(table),
                _ => None,
            }),
            _ => None,
        };
        let Some(shape) = table.and_then(|table| self.known.tables.get(table as usize)) else {
            let message = "the rows of this column have no names of their own, since it is worked out";
            let help = "take a table's column there, or the row by its number, such as `… of row 3`";
            return self.problem(
                Code::ColumnOrValue,
                message.to_owned(),
                column.span,
                Some(help.to_owned()),
            );
        };
        if shape.unreadable || shape.awaits_rows || !shape.broken.is_empty() {
            self.blocked = true;
            return None;
        }
        let (_, id, kind) = match kind {
            Some(Kind::Text) | None => telling(&shape.columns)?,
            Some(_) => shape.columns.first()?,
        };
        Some(Typed {
            kind: *kind,
            column: true,
            span: column.span,
            node: Node::Column(*id),
        })
    }

    /// What calls a row, as the kind of the column that it is looked for in; and whether only
    /// the hour on the wall counts.
    fn key_for(&mut self, key: Typed, keys: &Typed) -> Option<(Typed, bool)> {
        if keys.kind.is_time() && key.kind.is_time() {
            return match (key.kind, keys.kind) {
                (Kind::TimeOfDay, Kind::Counted(_) | Kind::Moment) => Some((key.with_kind(keys.kind), true)),
                _ => match self.in_order(keys, &key) {
                    Some(_) => Some((key.with_kind(keys.kind), false)),
                    None => self.other_days(keys, &key),
                },
            };
        }
        match self.fit(key, keys.kind) {
            Ok(key) => Some((key, false)),
            Err(key) => {
                let name = self.name_of_keys(keys);
                let message = format!(
                    "rows are called by `{name}`, {} each, and this is {}",
                    describe(keys.kind),
                    describe(key.kind)
                );
                let (code, help) = self.clash_code(key.kind, keys.kind);
                let help = match (code, keys.kind) {
                    (Code::BareNumber, Kind::Quantity(unit)) if unit != Unit::ONE => {
                        Some(format!("write `{} {unit}`", self.written(key.span)))
                    }
                    (_, Kind::Text) if matches!(key.node, Node::Constant(_)) => {
                        Some("write what the row is called in quotes, or `row 3` for its place".to_owned())
                    }
                    _ => help,
                };
                self.problem(code, message, key.span, help)
            }
        }
    }

    fn name_of_keys(&self, keys: &Typed) -> String {
        match keys.node {
            Node::Column(id) => self.column_name(id).unwrap_or_default(),
            _ => String::new(),
        }
    }

    /// A time that doesn't stand in order with those that call the rows.
    fn other_days<T>(&mut self, keys: &Typed, key: &Typed) -> Option<T> {
        let name = self.name_of_keys(keys);
        let message = format!("rows are called by `{name}`, and this is {}", self.described(key.kind));
        let wall = self.as_written(key).filter(|_| keys.kind != Kind::TimeOfDay);
        let meant = wall.map(|written| format!("clock({written})"));
        let help = meant
            .as_ref()
            .map(|meant| format!("write `{meant}` for the row that shows this hour"));
        let mend = meant.map(|meant| (key.span, meant));
        self.mendable(Code::WhichDay, message, key.span, help, mend)
    }

    /// The row that a constant calls in a table that is written.
    fn written_row(&mut self, keys: &Typed, key: &Typed, on_the_wall: bool) -> Written {
        let (Node::Column(ColumnId(id)), Node::Constant(wanted)) = (&keys.node, &key.node) else {
            return Written::WhenRun;
        };
        let Some(column) = self.known.columns.get(*id as usize).filter(|column| !column.made) else {
            return Written::WhenRun;
        };
        match only_row(column.cells.iter().copied(), *wanted, on_the_wall) {
            Ok(row) => Written::Row(row),
            Err(_) => {
                let sought = self.may_suggest();
                let rows = Rows {
                    kind: keys.kind,
                    cells: &column.cells,
                    on_the_wall,
                    texts: self.pool,
                };
                Written::No(Box::new(rows.complaint(*wanted, sought)))
            }
        }
    }

    fn no_such_row<T>(&mut self, key: &Typed, complaint: Complaint) -> Option<T> {
        let Reason::NoSuchRow(message) = complaint.reason else {
            return None;
        };
        self.problem(Code::NoSuchRow, message, key.span, complaint.help)
    }
}

/// What came of looking for a row before the worksheet runs.
enum Written {
    Row(u32),
    No(Box<Complaint>),
    WhenRun,
}

fn cell_in_row(column: Typed, row: u32, span: Span) -> Typed {
    let number = Typed::constant(Number::from_integer(i64::from(row)), Kind::Quantity(Unit::ONE), span);
    Typed {
        kind: column.kind,
        column: false,
        span,
        node: Node::Call(&CELL_IN_ROW, vec![column, number]),
    }
}

/// The one row, counted from 1, whose cell is that; else how many there are.
fn only_row(cells: impl Iterator<Item = Option<Number>>, wanted: Number, on_the_wall: bool) -> Result<u32, usize> {
    let is_it = |(_, cell): &(usize, Option<Number>)| cell.is_some_and(|cell| is_called(cell, wanted, on_the_wall));
    let mut found = cells.enumerate().filter(is_it);
    match (found.next(), found.count()) {
        (Some((row, _)), 0) => u32::try_from(row + 1).map_err(|_| 0),
        (Some(_), others) => Err(others + 1),
        (None, _) => Err(0),
    }
}

fn is_called(cell: Number, wanted: Number, on_the_wall: bool) -> bool {
    if !on_the_wall {
        return cell == wanted;
    }
    let wall = |time: Number| time.round().to_integer().map(|seconds| seconds.rem_euclid(DAY));
    wall(cell) == wall(wanted)
}

/// That a table has fewer rows.
pub(super) fn too_few_rows(rows: usize) -> Complaint {
    let message = match rows {
        0 => "the table has no row".to_owned(),
        1 => "the table has one row only".to_owned(),
        rows => format!("the table has {rows} rows"),
    };
    Complaint {
        argument: Some(0),
        reason: Reason::NoSuchRow(message),
        help: (rows > 0).then(|| format!("its last is `row {rows}`")),
    }
}

/// So many rows are named.
const NAMED: usize = 6;

/// The rows of a table by what they are called.
pub(super) struct Rows<'a> {
    pub(super) kind: Kind,
    pub(super) cells: &'a [Option<Number>],
    pub(super) on_the_wall: bool,
    pub(super) texts: &'a TextPool,
}

impl Rows<'_> {
    /// That no row is called so, or several are; what may be meant is sought where there is time.
    pub(super) fn complaint(&self, wanted: Number, sought: bool) -> Complaint {
        let called = match self.on_the_wall {
            true => wanted
                .round()
                .to_integer()
                .map_or(String::new(), |at| clock(at.rem_euclid(DAY))),
            false => self.shown(wanted),
        };
        let found = only_row(self.cells.iter().copied(), wanted, self.on_the_wall).err();
        let (message, help) = match found {
            Some(many) if many > 1 => {
                let rows = self.rows_called(wanted);
                let first = rows
                    .split(" and ")
                    .next()
                    .and_then(|rows| rows.split(", ").next())
                    .unwrap_or("1");
                (
                    format!("{many} rows are called `{called}`: rows {rows}"),
                    format!("take one by its number, such as `of row {first}`"),
                )
            }
            _ if sought => (format!("no row is called `{called}`"), self.others(&called)),
            _ => {
                return Complaint::of(2, Reason::NoSuchRow(format!("no row is called `{called}`")));
            }
        };
        Complaint::of(2, Reason::NoSuchRow(message)).help(help)
    }

    /// The rows of that name, by their numbers.
    fn rows_called(&self, wanted: Number) -> String {
        let rows = self.cells.iter().enumerate();
        let rows = rows.filter(|(_, cell)| cell.is_some_and(|cell| is_called(cell, wanted, self.on_the_wall)));
        let mut rows: Vec<String> = rows.take(NAMED).map(|(row, _)| (row + 1).to_string()).collect();
        let last = rows.pop().unwrap_or_default();
        match rows.is_empty() {
            true => last,
            false => format!("{} and {last}", rows.join(", ")),
        }
    }

    /// What may be meant, else the rows that there are.
    fn others(&self, called: &str) -> String {
        let names: Vec<String> = self.cells.iter().flatten().map(|cell| self.shown(*cell)).collect();
        let lower = called.to_lowercase();
        let capitals = names
            .iter()
            .find(|name| name.to_lowercase() == lower)
            .map(String::as_str);
        let near = || nearest(called, names.iter().map(String::as_str)).filter(|_| self.kind == Kind::Text);
        if let Some(meant) = capitals.or_else(near) {
            return format!("write `{meant}`, if that is meant");
        }
        match names.len() {
            0 => "the table has no rows yet".to_owned(),
            many if many <= NAMED => format!("its rows are called `{}`", names.join("`, `")),
            many => {
                let (first, last) = (names.get(..NAMED - 1).unwrap_or(&[]), names.last());
                let last = last.map_or("", String::as_str);
                format!("its {many} rows are called `{}`, … `{last}`", first.join("`, `"))
            }
        }
    }

    fn shown(&self, cell: Number) -> String {
        match self.kind {
            Kind::Text => format!("\"{}\"", self.texts.text(cell)),
            Kind::Quantity(unit) if unit != Unit::ONE => format!("{} {unit}", cell.to_plain()),
            Kind::Truth => (!cell.is_zero()).to_string(),
            Kind::Counted(_) if cell < Number::from_integer(DAY) => {
                cell.round().to_integer().map_or(String::new(), clock)
            }
            kind => kind.typed_time(cell).unwrap_or_else(|| cell.to_plain()),
        }
    }
}

/// A cell of a written table.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct CellPlace {
    /// The column's slot.
    pub slot: u32,
    /// The row, counted from 0.
    pub row: u32,
}

impl Sheet {
    /// The cell that an expression such as `run.gross of 12:10` calls, in a table that is
    /// written in the worksheet or its file.
    ///
    /// # Errors
    /// Why there is none; places count from the start of `line`.
    pub fn cell_called(&mut self, line: &str, expression: &Expression) -> Result<CellPlace, Vec<Problem>> {
        let value = self.check_typed(line, expression, |_, value| Some(value))?;
        let place = self.place_called(&value, Place::new(0, expression.span));
        place.map_err(|problem| vec![*problem])
    }
}

impl Sheet {
    /// What a cell is called: `run.gross of 12:10`, `loads.hours of "lamp"`.
    pub(crate) fn cell_name(&self, place: CellPlace) -> String {
        let column = self.table_column(place.slot);
        let table = column.and_then(|column| self.tables().get(column.table as usize));
        let name = match table.and_then(|table| self.tree().node(table.item)) {
            Some(TreeNode::Table(table)) => &*table.name.text,
            _ => "",
        };
        let column = column.map_or("", |column| &*column.name);
        format!("{name}.{column} of {}", self.row_key(place))
    }

    /// What calls the row of a cell behind `of`: its time or its text where no other row has
    /// it, else its number.
    pub(crate) fn row_key(&self, place: CellPlace) -> String {
        let own = || self.own_key(place);
        own().unwrap_or_else(|| format!("row {}", place.row + 1))
    }

    fn own_key(&self, place: CellPlace) -> Option<String> {
        let table = self.table_column(place.slot)?.table as usize;
        let columns = &self.tables().get(table)?.columns;
        let known = |slot: &&u32| self.table_column(**slot).map(|column| column.kind);
        let first = columns
            .first()
            .filter(|slot| known(slot).is_some_and(|kind| kind.is_time()));
        let keys = *first.or_else(|| columns.iter().find(|slot| known(slot) == Some(Kind::Text)))?;
        let (kind, cells) = (known(&&keys)?, self.column_cells(keys));
        let cell = cells.get(place.row as usize).copied().flatten()?;
        let on_the_wall = matches!(kind, Kind::Counted(_));
        only_row(cells.iter().copied(), cell, on_the_wall).ok()?;
        let texts = self.texts();
        match kind {
            Kind::Counted(_) => Some(clock(cell.round().to_integer()?.rem_euclid(DAY))),
            Kind::Text if texts.text(cell).contains(['"', '\\', '\n']) => None,
            kind => Some(
                Rows {
                    kind,
                    cells,
                    on_the_wall,
                    texts,
                }
                .shown(cell),
            ),
        }
    }
}

impl Model {
    /// The cell of a written table that a checked `of` calls; `at` is where it stands.
    pub(super) fn place_called(&self, value: &Typed, at: Place) -> Result<CellPlace, Box<Problem>> {
        let not_one = |message: &str, help: &str| Err(Box::new(Problem::new(Code::KindClash, message, at).help(help)));
        let Node::Call(_, arguments) = &value.node else {
            return not_one("this is no cell of a table", "name it so: `log.gross of row 3`");
        };
        match arguments.as_slice() {
            [column, row] => match (&column.node, &row.node) {
                (Node::Column(id), Node::Constant(row)) if self.is_written(*id) => Ok(CellPlace {
                    slot: id.0,
                    row: row
                        .to_integer()
                        .and_then(|row| u32::try_from(row - 1).ok())
                        .unwrap_or(0),
                }),
                (Node::Column(_), _) => not_one("a function makes this table", "try a value that it is made of"),
                _ => not_one(
                    "this column is worked out",
                    "try a cell of the table that it is worked out from",
                ),
            },
            _ => not_one(
                "what calls the row is worked out here",
                "write what the row is called, or its number, such as `of row 3`",
            ),
        }
    }

    fn is_written(&self, id: ColumnId) -> bool {
        self.table_columns.get(id.0 as usize).is_some_and(|column| !column.made)
    }
}
