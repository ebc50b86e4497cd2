//! The tree: one node a line kind, the written form above each variant.
//!
//! All spans inside an item are bytes from the start of that item.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;

use crate::number::Number;
use crate::problem::Problem;
use crate::text::{SmallText, Span};
use crate::unit::Unit;

/// A worksheet: its text, and the items that tile it.
#[derive(Clone, Debug, Default)]
pub struct Worksheet {
    /// The whole text, byte for byte as read.
    pub text: String,
    /// The items in order; joined, their texts are the text.
    pub items: Vec<Item>,
    /// What the worksheets that it uses are called here.
    pub uses: BTreeSet<Box<str>>,
    /// The worksheets that it rests on.
    pub used: Arc<Used>,
}

/// One item: an entry with its continuation lines, a table with its rows, a
/// case with its lines, or a single heading, prose, remark or blank line,
/// with the line end that closes it.
#[derive(Clone, Debug)]
pub struct Item {
    /// The first byte in the text.
    pub start: u32,
    /// The number of bytes.
    pub len: u32,
    /// What it is.
    pub node: Node,
    /// What is wrong with it. The `item` of each place is this item's index.
    pub problems: Vec<Problem>,
}

/// What an item is.
#[derive(Clone, Debug)]
pub enum Node {
    /// An empty line, also a stray or unreadable one that names nothing
    Blank,
    /// `-- text`
    Remark,
    /// `# text`, `## text`, `### text`
    Heading(Heading),
    /// `> text`
    Prose(Span),
    /// `measured NAME = value` and its kin
    Entry(Box<Entry>),
    /// `expect condition else "text"`
    Expect(Box<Expect>),
    /// `rule NAME(p [unit], q [unit] = default) [unit] = expression`
    Rule(Box<Rule>),
    /// `table NAME "label" from "source"` with rows
    Table(Box<Table>),
    /// `case NAME "title"` with indented lines
    Case(Box<Case>),
    /// `plot COLUMN over COLUMN "title"`
    Plot(Box<Plot>),
    /// `use "cylinders.tare" as yard`
    Use(Box<Use>),
    /// A line that can't be read and names nothing; its problems say why
    Broken,
}

/// A heading and its level, 1 to 3.
#[derive(Clone, Debug)]
pub struct Heading {
    /// 1 for `#`.
    pub level: u8,
    /// The text without marks and surrounding spaces.
    pub title: Span,
}

/// A name with its place, in Unicode form NFC.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Name {
    /// The name.
    pub text: SmallText,
    /// Where it stands.
    pub span: Span,
    /// So many bytes of it tell through which worksheet it goes.
    pub through: u16,
}

impl Name {
    /// Of a worked column the name of its table and its own: of `log.net` `log` and `net`.
    pub(crate) fn of_table(&self) -> Option<(&str, &str)> {
        let through = usize::from(self.through);
        let dot = through + self.text.get(through..)?.find('.')?;
        Some((self.text.get(..dot)?, self.text.get(dot + 1..)?))
    }

    /// Where the two stand in the text of the item, the table's name only of a worked column.
    pub fn spans(&self, text: &str) -> (Option<Span>, Span) {
        match self.span.of(text).find('.') {
            None => (None, self.span),
            Some(dot) => {
                let (start, end) = (self.span.start as usize, self.span.end as usize);
                (Some(Span::new(start, start + dot)), Span::new(start + dot + 1, end))
            }
        }
    }
}

/// A text literal with its place (quotes included), escapes resolved.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Quoted {
    /// What it says.
    pub text: Box<str>,
    /// Where it stands.
    pub span: Span,
}

/// How an entry's value is known.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum EntryKind {
    /// `measured`
    Measured,
    /// `quoted`
    Quoted,
    /// `assumed`
    Assumed,
    /// `worked`
    Worked,
    /// `answer`
    Answer,
}

impl EntryKind {
    /// The word that opens the line.
    pub fn word(self) -> &'static str {
        match self {
            EntryKind::Measured => "measured",
            EntryKind::Quoted => "quoted",
            EntryKind::Assumed => "assumed",
            EntryKind::Worked => "worked",
            EntryKind::Answer => "answer",
        }
    }

    /// Whether it takes a constant: measured, quoted or assumed.
    pub fn is_input(self) -> bool {
        matches!(self, EntryKind::Measured | EntryKind::Quoted | EntryKind::Assumed)
    }
}

/// `worked fuel "net" [lb] = net_contents(gross, tare) from "…" note "…"`, `worked log.net = …`
#[derive(Clone, Debug)]
pub struct Entry {
    /// How it is known.
    pub kind: EntryKind,
    /// Its name.
    pub name: Name,
    /// The label in quotes.
    pub label: Option<Quoted>,
    /// The unit in brackets.
    pub unit: Option<UnitBox>,
    /// The value; `None` where it can't be read (a problem says why).
    pub value: Option<Value>,
    /// What follows `from`.
    pub source: Option<Quoted>,
    /// What follows `note`.
    pub note: Option<Quoted>,
}

/// `[lb]`, `[h:min]`
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct UnitBox {
    /// The unit; h for `[h:min]`.
    pub unit: Unit,
    /// Whether it is `[h:min]`.
    pub clock: bool,
    /// Brackets included.
    pub span: Span,
}

/// What stands right of the `=` of an entry, a case line or a trial.
#[derive(Clone, Debug)]
pub enum Value {
    /// `?`
    Blank(Span),
    /// `37.4 lb ± 0.2 lb`, or an expression with no tolerance
    Given {
        /// The value.
        expression: Expression,
        /// What follows `±`; only at the end of an input, a case line or a trial.
        tolerance: Option<Box<Tolerance>>,
    },
}

/// `± 0.2 lb sd df=18`
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tolerance {
    /// The number as written, above or equal zero.
    pub amount: Number,
    /// In what it is given.
    pub of: ToleranceOf,
    /// Limits, standard or expanded.
    pub form: ToleranceForm,
    /// `df=18`
    pub degrees_of_freedom: Option<Number>,
    /// From the `±` on.
    pub span: Span,
}

/// In what a tolerance is given.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum ToleranceOf {
    /// `± 0.2 lb`: a unit, already an interval for points; `Unit::ONE` beside a plain
    /// number, `%` of a value in `%` (percentage points)
    Unit(Unit),
    /// `± 2 %` of a value that isn't itself in `%`
    Percent,
}

/// How a tolerance is meant.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum ToleranceForm {
    /// Limits: rectangular, u = a/√3
    Limits,
    /// `sd`: a standard uncertainty
    Standard,
    /// `k=2`: an expanded one
    Expanded(Number),
}

/// `expect margin >= 100 % else "run less"`, `expect night: runtime >= 12 h`
#[derive(Clone, Debug)]
pub struct Expect {
    /// What it is called.
    pub name: Option<Name>,
    /// The condition; `None` where it can't be read, and of a check that marks an answer.
    pub condition: Option<Expression>,
    /// What marks an answer, apart from conditions, so that nothing tells it by the way.
    pub closeness: Option<Box<Closeness>>,
    /// What follows `else`.
    pub otherwise: Option<Quoted>,
}

impl Expect {
    /// Every expression of it, from left to right.
    pub fn expressions(&self) -> impl Iterator<Item = &Expression> {
        let close = self.closeness.iter().flat_map(|close| close.each());
        self.condition.iter().chain(close)
    }

    /// What it says of itself, with its name; of an answer only which one it marks.
    pub fn said<'a>(&self, text: &'a str) -> Cow<'a, str> {
        let condition = match (&self.closeness, &self.condition) {
            (Some(close), _) => Cow::Owned(format!("{} close to …", close.answer.span.of(text))),
            (None, Some(condition)) => Cow::Borrowed(condition.span.of(text)),
            (None, None) => Cow::Borrowed(text.trim()),
        };
        match &self.name {
            Some(name) => Cow::Owned(format!("{}: {condition}", name.text)),
            None => condition,
        }
    }
}

/// `burned close to before - after within 0.05 lb nearly 0.3 lb else "keep the tenths"`
#[derive(Clone, Debug)]
pub struct Closeness {
    /// What is marked.
    pub answer: Expression,
    /// What it should be, which no output tells.
    pub wanted: Expression,
    /// How far off it may be.
    pub within: Expression,
    /// How far off is nearly right, and what is said then.
    pub nearly: Option<(Expression, Option<Quoted>)>,
    /// The usual wrong answers.
    pub slips: Vec<UsualSlip>,
}

/// `slip 50.4 C° "five ninths turned around"`
#[derive(Clone, Debug)]
pub struct UsualSlip {
    /// The wrong answer.
    pub value: Expression,
    /// What is said of it.
    pub hint: Quoted,
}

impl Closeness {
    /// All that the answer is measured by.
    pub(crate) fn kept_back(&self) -> impl Iterator<Item = &Expression> {
        let nearly = self.nearly.iter().map(|(nearly, _)| nearly);
        let slips = self.slips.iter().map(|slip| &slip.value);
        [&self.wanted, &self.within].into_iter().chain(nearly).chain(slips)
    }

    /// Every expression of it, from left to right.
    pub fn each(&self) -> impl Iterator<Item = &Expression> {
        std::iter::once(&self.answer).chain(self.kept_back())
    }

    /// The same, to be changed.
    pub(super) fn each_mut(&mut self) -> impl Iterator<Item = &mut Expression> {
        let nearly = self.nearly.iter_mut().map(|(nearly, _)| nearly);
        let slips = self.slips.iter_mut().map(|slip| &mut slip.value);
        [&mut self.answer, &mut self.wanted, &mut self.within]
            .into_iter()
            .chain(nearly)
            .chain(slips)
    }
}

/// `rule longest(drop [V], current [A] = 12 A) [ft] = …`
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its name.
    pub name: Name,
    /// Its parameters in order.
    pub parameters: Vec<RuleParameter>,
    /// The unit of the result.
    pub unit: Option<UnitBox>,
    /// The expression; `None` where it can't be read.
    pub body: Option<Expression>,
}

/// `current [A] = 12 A`
#[derive(Clone, Debug)]
pub struct RuleParameter {
    /// Its name.
    pub name: Name,
    /// Its unit; without one, an argument of any kind is taken as it is.
    pub unit: Option<UnitBox>,
    /// The value where the call gives none.
    pub default: Option<Expression>,
}

/// `table loads "What must run" from "nameplates"` and what follows
#[derive(Clone, Debug)]
pub struct Table {
    /// Its name.
    pub name: Name,
    /// The label in quotes.
    pub label: Option<Quoted>,
    /// Where its columns come from; `None` where that can't be read.
    pub content: Option<TableContent>,
    /// What follows `from`.
    pub source: Option<Quoted>,
    /// What follows `note`.
    pub note: Option<Quoted>,
}

/// Where the columns of a table come from.
#[derive(Clone, Debug)]
pub enum TableContent {
    /// Rows between bars
    Rows(Rows),
    /// `csv("path", skip_unread: true)`
    Csv {
        /// The path as written.
        path: Quoted,
        /// Whether rows with unreadable cells are left out.
        skip_unread: bool,
        /// How its columns, dates and rows are taken.
        layout: Box<CsvLayout>,
    },
    /// `draw_down(…)`: a function that gives a table
    Function(Expression),
}

/// How a file that another program wrote is taken.
#[derive(Clone, Debug, Default)]
pub struct CsvLayout {
    /// `columns: "gross [lb] = Weight (lb)"`
    pub columns: Option<Quoted>,
    /// `dates: "month/day/year"`
    pub dates: Option<Quoted>,
    /// `every: 5 min`, in seconds
    pub every: Option<(Number, Span)>,
}

impl CsvLayout {
    /// The option that keeps a row from being put into the file, where there is one.
    pub fn option(&self) -> Option<&'static str> {
        let columns = self.columns.as_ref().map(|_| "columns:");
        let dates = self.dates.as_ref().map(|_| "dates:");
        columns.or(dates).or(self.every.map(|_| "every:"))
    }
}

/// Headings and rows between bars.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// The headings in order.
    pub headings: Vec<ColumnHeading>,
    /// The rows in order; every row has as many cells as there are headings
    /// (a ragged row is a problem and is left out).
    pub rows: Vec<Row>,
}

/// A column heading: `gross [lb ± 0.05]`
#[derive(Clone, Debug)]
pub struct ColumnHeading {
    /// The column's name; `None` where the heading is no name.
    pub name: Option<Name>,
    /// Its unit.
    pub unit: Option<UnitBox>,
    /// The tolerance of every reading.
    pub tolerance: Option<Tolerance>,
    /// The whole heading.
    pub span: Span,
}

/// One row.
#[derive(Clone, Debug)]
pub struct Row {
    /// The cells, each the span of its trimmed text (empty: missing).
    pub cells: Box<[Span]>,
}

/// `case deep_cold "Night at −5 °F"` and its lines
#[derive(Clone, Debug)]
pub struct Case {
    /// Its name.
    pub name: Name,
    /// The title in quotes.
    pub title: Option<Quoted>,
    /// The replacements in order.
    pub lines: Vec<CaseLine>,
}

/// `air = -5 °F ± 4 °F from "forecast"`, `loads.hours of "lamp" = 7 h`
#[derive(Clone, Debug)]
pub struct CaseLine {
    /// The input replaced; of a cell what calls it, with single spaces.
    pub name: Name,
    /// The cell of a table, where it is one.
    pub cell: Option<Box<Expression>>,
    /// Its value in this case; `None` where it can't be read.
    pub value: Option<Value>,
    /// What follows `from`.
    pub source: Option<Quoted>,
    /// What follows `note`.
    pub note: Option<Quoted>,
    /// The whole line.
    pub span: Span,
}

/// `plot log.gross over log.time by log.hose from zero "Weight through the run"`
#[derive(Clone, Debug)]
pub struct Plot {
    /// What is drawn upward.
    pub vertical: Expression,
    /// What is drawn along.
    pub horizontal: Expression,
    /// What parts the rows into sets.
    pub parted: Option<Expression>,
    /// Whether both axes begin at zero.
    pub from_zero: bool,
    /// The title in quotes.
    pub title: Option<Quoted>,
}

impl Plot {
    /// Every column that it names.
    pub fn columns(&self) -> impl Iterator<Item = &Expression> {
        [&self.vertical, &self.horizontal].into_iter().chain(&self.parted)
    }
}

/// `use "cylinders.tare" as yard`
#[derive(Clone, Debug)]
pub struct Use {
    /// The path as written.
    pub path: Quoted,
    /// What it is called here.
    pub name: Name,
}

/// An expression with its place.
#[derive(Clone, Debug)]
pub struct Expression {
    /// What it is.
    pub node: ExpressionNode,
    /// Where it stands.
    pub span: Span,
}

impl Expression {
    /// Where it stands with what follows `±`.
    pub(crate) fn span_with(&self, tolerance: Option<&Tolerance>) -> Span {
        tolerance.map_or(self.span, |tolerance| self.span.to(tolerance.span))
    }
}

/// What an expression is. A parenthesised expression is the inner one, with the span widened.
#[derive(Clone, Debug)]
pub enum ExpressionNode {
    /// `12`
    Number(Number),
    /// `37.4 lb`, `-5 °F`; a compound such as `2 h 40 min` in its smallest unit
    Quantity {
        /// The number with its sign.
        value: Number,
        /// The unit.
        unit: Unit,
        /// Whether a sign was written: decides what a dB literal is.
        signed: bool,
    },
    /// `21:40`: seconds from midnight
    TimeOfDay(Number),
    /// `06:00 (+1 d)`: seconds from the midnight of the day that it is counted from
    CountedTime(Number),
    /// `2026-01-11 21:40`: seconds from 1970-01-01 00:00
    Moment(Number),
    /// `"kitchen"`
    Text(Box<str>),
    /// `true`, `false`
    Truth(bool),
    /// `gross`; `yard.price` where `yard` is a worksheet that is used
    Name(SmallText),
    /// `log.gross`, `yard.shells.tare`
    Column(Box<(Name, Name)>),
    /// `row 3`, to the right of `of`; counted from 1
    RowNumber(u32),
    /// `-x`, `not x`
    Unary(UnaryOperator, Box<Expression>),
    /// `a + b`; the span is the operator's
    Binary(BinaryOperator, Span, Box<(Expression, Expression)>),
    /// `a <= b < c`
    Comparison(Box<Comparison>),
    /// `name(a, b, label: c)`
    Call(Box<Call>),
    /// `if a then b else c`
    If(Box<(Expression, Expression, Expression)>),
}

/// Operators with one operand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum UnaryOperator {
    /// `-`
    Negate,
    /// `not`
    Not,
}

/// Operators with two operands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BinaryOperator {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
    /// `^`
    Power,
    /// `and`
    And,
    /// `or`
    Or,
    /// `where`
    Where,
    /// `of`: one cell of a column
    Of,
}

/// `a <= b < c`: links that hold together.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The first operand.
    pub first: Expression,
    /// Each further operand with its operator and the operator's place.
    pub links: Vec<(ComparisonOperator, Span, Expression)>,
}

/// Comparing operators.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ComparisonOperator {
    /// `<`
    Less,
    /// `<=`
    AtMost,
    /// `=`
    Equal,
    /// `>=`
    AtLeast,
    /// `>`
    Greater,
    /// `<>`
    Unequal,
}

/// `net_contents(gross, tare, attached: 1 lb)`
#[derive(Clone, Debug)]
pub struct Call {
    /// The function or rule.
    pub name: Name,
    /// Its arguments in order: positional first, then named.
    pub arguments: Vec<Argument>,
}

/// `attached: 1 lb`
#[derive(Clone, Debug)]
pub struct Argument {
    /// The label; `None` for a positional argument.
    pub label: Option<Name>,
    /// The value.
    pub value: Expression,
}

/// What a line typed in the interactive session turned out to be, where it isn't a verb.
#[derive(Clone, Debug)]
pub enum Typed {
    /// `air = 5 °F`
    Trial {
        /// The entry tried.
        name: Name,
        /// Its value.
        value: Value,
    },
    /// `run.gross of 12:10 = 30.6 lb`
    CellTrial {
        /// What calls the cell.
        cell: Expression,
        /// Its value.
        value: Value,
    },
    /// `rate * 24 h [lb]`
    Expression {
        /// The expression.
        expression: Expression,
        /// The unit to show it in.
        unit: Option<UnitBox>,
    },
}

impl Worksheet {
    /// The text of an item.
    pub fn text_of(&self, item: usize) -> &str {
        let of_this = |item: &Item| {
            let end = item.start as usize + item.len as usize;
            self.text.get(item.start as usize..end)
        };
        match u32::try_from(item).unwrap_or(u32::MAX) {
            item if item >= BEYOND => self.used.text_of(item),
            _ => self.items.get(item).and_then(of_this).unwrap_or(""),
        }
    }

    /// The byte at which one of its own items begins; 0 where there is none of that number.
    pub(crate) fn start_of(&self, item: u32) -> usize {
        self.items.get(item as usize).map_or(0, |item| item.start as usize)
    }

    /// The item of that number, here or in a worksheet that this one rests on.
    pub fn item(&self, item: u32) -> Option<&Item> {
        match item < BEYOND {
            true => self.items.get(item as usize),
            false => self.used.item(item),
        }
    }

    /// What that item is.
    pub fn node(&self, item: u32) -> Option<&Node> {
        self.item(item).map(|item| &item.node)
    }

    /// Its items, and those of the worksheets that it rests on.
    pub(crate) fn every_item(&self) -> impl Iterator<Item = (u32, &Item)> {
        (0u32..).zip(&self.items).chain(self.used.items())
    }

    /// The line on which each item begins, from 1.
    pub(crate) fn line_numbers(&self) -> Vec<u32> {
        let mut lines = Vec::with_capacity(self.items.len());
        let mut line = 1u32;
        for index in 0..self.items.len() {
            lines.push(line);
            let breaks = self.text_of(index).bytes().filter(|byte| *byte == b'\n').count();
            line = line.saturating_add(u32::try_from(breaks).unwrap_or(u32::MAX));
        }
        lines
    }

    /// How people are told where an item stands, by the lines of its own items: `line 5`,
    /// `line 5 of cylinders.tare`.
    pub(crate) fn standing_at(&self, item: u32, lines: &[u32]) -> String {
        match self.used.file_of(item) {
            Some(file) => format!("line {} of {}", self.used.line(item), file.name),
            None => format!("line {}", lines.get(item as usize).copied().unwrap_or(0)),
        }
    }
}

/// The number of the first item of the first worksheet that is used.
pub(crate) const BEYOND: u32 = 1 << 31;

/// The worksheets that one rests on, each once.
#[derive(Clone, Debug, Default)]
pub struct Used {
    /// The files, in the order in which they are met.
    pub files: Vec<UsedFile>,
}

/// A worksheet that another rests on.
#[derive(Clone, Debug, Default)]
pub struct UsedFile {
    /// Its path from the folder of the worksheet that rests on it.
    pub name: String,
    /// What its names begin with there: `yard.`
    pub prefix: String,
    /// The folder that its tables are read from.
    pub folder: Option<PathBuf>,
    /// The number of its first item.
    pub first: u32,
    /// Its tree, with its names as they are there.
    pub sheet: Worksheet,
    /// The line of each item.
    pub lines: Vec<u32>,
    /// What the names of the worksheets that it uses begin with, by what it calls them.
    pub uses: BTreeMap<Box<str>, String>,
}

impl UsedFile {
    /// The `use` by which it is reached, by its name.
    pub fn by(&self) -> &str {
        self.prefix.split('.').next().unwrap_or("")
    }

    /// What a name of it is called in itself.
    pub(crate) fn own_name<'a>(&self, name: &'a str) -> &'a str {
        name.strip_prefix(&self.prefix).unwrap_or(name)
    }
}

impl Used {
    /// The file of an item, and the item's place in it.
    fn place(&self, item: u32) -> Option<(&UsedFile, usize)> {
        let item = item.checked_sub(BEYOND)?;
        let behind = self.files.partition_point(|file| file.first - BEYOND <= item);
        let file = self.files.get(behind.checked_sub(1)?)?;
        Some((file, (item + BEYOND - file.first) as usize))
    }

    /// The file that an item stands in; none where it is the worksheet's own.
    pub(crate) fn file_of(&self, item: u32) -> Option<&UsedFile> {
        self.place(item).map(|(file, _)| file)
    }

    /// The line of an item in its file; 0 where there is none.
    pub fn line(&self, item: u32) -> u32 {
        let line = self.place(item).and_then(|(file, place)| file.lines.get(place));
        line.copied().unwrap_or(0)
    }

    fn item(&self, item: u32) -> Option<&Item> {
        let (file, place) = self.place(item)?;
        file.sheet.items.get(place)
    }

    fn text_of(&self, item: u32) -> &str {
        self.place(item).map_or("", |(file, place)| file.sheet.text_of(place))
    }

    /// Every item with its number.
    pub fn items(&self) -> impl Iterator<Item = (u32, &Item)> {
        self.files.iter().flat_map(|file| (file.first..).zip(&file.sheet.items))
    }
}
