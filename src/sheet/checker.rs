//! The one who checks an item: what it looks at, what it remembers, and how it tells problems.
//!
//! What is checked stands elsewhere, one file a subject: expressions in [`super::check`],
//! calls in [`super::check_call`], meeting units in [`super::meet`]. Start reading at
//! [`Checker`].

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{Expression, Node as TreeNode, TableContent, Worksheet};
use crate::text::{SmallText, Span, in_one_line};
use crate::trade::{Function, Parameter};
use crate::unit::{Beginning, Kind, Unit};

use super::column::TableColumn;
use super::names::{CellId, ColumnId, Names};
use super::text_pool::TextPool;
use super::typed::{Node, Typed};

/// What a checked name is: its kind, and whether it holds a column.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shape {
    /// Kind and unit.
    pub kind: Kind,
    /// Whether it is a column.
    pub column: bool,
}

impl Shape {
    /// Whether it is the same, whatever its times were counted from.
    pub(crate) fn is_like(self, other: Shape) -> bool {
        self.kind.is_like(other.kind) && self.column == other.column
    }
}

/// A table as the checker sees it: its columns, and the names of those that can't be used.
#[derive(Clone, Debug, Default)]
pub(crate) struct TableShape {
    /// The columns that can be used, with their names.
    pub columns: Vec<(SmallText, ColumnId, Kind)>,
    /// The columns with problems.
    pub broken: Vec<SmallText>,
    /// The columns with rows of which no cell is filled, so that nobody knows what they hold.
    pub blank: Vec<SmallText>,
    /// Whether the table as a whole couldn't be read.
    pub unreadable: bool,
    /// Whether it has headings, and its rows are still to come.
    pub awaits_rows: bool,
    /// What makes it, where a function does.
    pub made: Option<MadeShape>,
}

impl TableShape {
    /// The column of dates that stands to the left of a clock column, with the days of its rows.
    pub(crate) fn day_beside(&self, column: &str) -> Option<&str> {
        let place = self.columns.iter().position(|known| &*known.0 == column)?;
        let before = self.columns.get(..place)?.iter().rev();
        let mut before = before.skip_while(|known| known.2 == Kind::TimeOfDay);
        before
            .next()
            .filter(|known| known.2 == Kind::Moment)
            .map(|known| &*known.0)
    }
}

/// A table that a function makes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MadeShape {
    /// The function's name.
    pub function: &'static str,
    /// The cell of the table.
    pub cell: CellId,
    /// The column that holds how it ended.
    pub end: ColumnId,
}

/// What the checker looks at, settled before.
#[derive(Clone, Copy)]
pub(crate) struct Known<'a> {
    /// The tree.
    pub sheet: &'a Worksheet,
    /// The names.
    pub names: &'a Names,
    /// The shapes of the cells checked so far; `None` is broken or waits.
    pub shapes: &'a [Option<Shape>],
    /// The tables.
    pub tables: &'a [TableShape],
    /// The line of each item.
    pub lines: &'a [u32],
    /// The columns of tables, with what is written in them.
    pub columns: &'a [TableColumn],
    /// `use` lines behind which nothing can be read.
    pub broken_uses: &'a BTreeSet<u32>,
    /// Rules that have a problem or call one that has.
    pub broken_rules: &'a BTreeSet<u32>,
    /// Whose rows the cells checked so far go by.
    pub row_tables: &'a RowTables,
}

impl<'a> Known<'a> {
    /// The call that makes a table, where a function does.
    pub(super) fn made_by(&self, table: u32) -> Option<&'a Expression> {
        let item = *self.names.table_items.get(table as usize)?;
        match self.sheet.node(item)? {
            TreeNode::Table(table) => match &table.content {
                Some(TableContent::Function(expression)) => Some(expression),
                _ => None,
            },
            _ => None,
        }
    }
}

/// Checks the expressions of one item.
pub(crate) struct Checker<'a> {
    pub(super) known: Known<'a>,
    pub(super) pool: &'a mut TextPool,
    pub(super) item: u32,
    pub(super) text: &'a str,
    pub(super) problems: Vec<Problem>,
    /// What the expression waits on.
    pub waits: Vec<CellId>,
    /// Whether it waits on a table, or on something broken that has no cell.
    pub blocked: bool,
    /// Whether rows may be looked at: false in inputs.
    pub(super) constant_only: bool,
    /// Whether it is a check.
    pub(super) is_check: bool,
    /// Whether it is the condition of a `where`.
    pub(super) in_where: bool,
    /// The clock times without a name that were counted from.
    pub(super) unnamed: Vec<Typed>,
    pub(super) frames: Vec<Frame<'a>>,
    pub(super) next_shared: u32,
    pub(super) unfolded: usize,
    pub(super) suggestions: &'a mut usize,
}

/// A rule being put in place: its item, and what its parameters stand for.
pub(super) struct Frame<'a> {
    pub item: u32,
    pub parameters: Vec<(&'a str, Option<Typed>)>,
    pub call: Span,
}

/// A table whose rows a column goes by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct RowsOf {
    /// The table.
    pub(super) table: u32,
    /// Whether rows were left out.
    pub(super) filtered: bool,
}

/// The tables whose rows each cell goes by that holds a column.
pub(crate) type RowTables = BTreeMap<u32, Vec<RowsOf>>;

/// Of the columns of a table, the one that tells its rows apart: the first texts, else the first.
pub(super) fn telling<T>(columns: &[(T, ColumnId, Kind)]) -> Option<&(T, ColumnId, Kind)> {
    columns
        .iter()
        .find(|(_, _, kind)| *kind == Kind::Text)
        .or(columns.first())
}

impl<'a> Checker<'a> {
    /// A checker for the item at `item`, whose text is `text`.
    pub(crate) fn new(
        known: Known<'a>,
        pool: &'a mut TextPool,
        suggestions: &'a mut usize,
        item: u32,
        text: &'a str,
    ) -> Self {
        Checker {
            known,
            pool,
            item,
            text,
            problems: Vec::new(),
            waits: Vec::new(),
            blocked: false,
            constant_only: false,
            is_check: false,
            in_where: false,
            unnamed: Vec::new(),
            frames: Vec::new(),
            next_shared: 0,
            unfolded: 0,
            suggestions,
        }
    }

    /// For a text that is typed, not in the worksheet.
    pub(crate) fn of_text(mut self, text: &'a str) -> Self {
        self.text = text;
        self
    }

    /// For an input, which may not name entries.
    pub(crate) fn constants_only(mut self) -> Self {
        self.constant_only = true;
        self
    }

    /// For a check.
    pub(crate) fn of_check(mut self) -> Self {
        self.is_check = true;
        self
    }

    /// The problems found.
    pub(crate) fn into_problems(self) -> Vec<Problem> {
        self.problems
    }

    /// A span as the item has it: inside a rule, the call that put it in place.
    pub(super) fn here(&self, span: Span) -> Span {
        self.frames.first().map_or(span, |frame| frame.call)
    }

    /// The place of a span: inside a rule, the call that put it in place.
    pub(super) fn place(&self, span: Span) -> Place {
        match self.frames.first() {
            Some(frame) => Place::new(self.item, frame.call),
            None => Place::new(self.item, span),
        }
    }

    /// The text a span covers; inside a rule it has none of its own.
    pub(super) fn written(&self, span: Span) -> &'a str {
        if self.frames.is_empty() {
            span.of(self.text)
        } else {
            "…"
        }
    }

    pub(super) fn standing_at(&self, item: u32) -> String {
        self.known.sheet.standing_at(item, self.known.lines)
    }

    pub(super) fn report(&mut self, mut problem: Problem) {
        if let Some(frame) = self.frames.last() {
            let inside = Place::new(frame.item, Span::at(0));
            problem.labels.push(crate::problem::Label {
                place: inside,
                text: "in this rule".to_owned(),
            });
            // a rule that is put in place twice is wrong once
            let told = |known: &Problem| known.message == problem.message && known.place == problem.place;
            if self.problems.iter().any(told) {
                return;
            }
        }
        self.problems.push(problem);
    }

    pub(super) fn reported<T>(&mut self, problem: Problem) -> Option<T> {
        self.report(problem);
        None
    }

    pub(super) fn problem<T>(&mut self, code: Code, message: String, span: Span, help: Option<String>) -> Option<T> {
        let mut problem = Problem::new(code, message, self.place(span));
        problem.help = help;
        self.reported(problem)
    }

    /// The same, with a piece of this item's own text that a replacement mends.
    pub(super) fn mendable<T>(
        &mut self,
        code: Code,
        message: String,
        span: Span,
        help: Option<String>,
        mend: Option<(Span, String)>,
    ) -> Option<T> {
        let mut problem = Problem::new(code, message, self.place(span));
        problem.help = help;
        // Inside a rule the piece stands in another item.
        if let Some((span, text)) = mend.filter(|_| self.frames.is_empty()) {
            problem = problem.mend(span, text);
        }
        self.reported(problem)
    }

    /// A name in place of the one at a span, which parentheses may have widened.
    pub(super) fn instead(&self, span: Span, name: &str, meant: &str) -> Option<(Span, String)> {
        let at = span.start as usize + self.written(span).find(name)?;
        Some((Span::new(at, at + name.len()), meant.to_owned()))
    }

    /// A unit behind a number that is written as one, and as nothing more.
    pub(super) fn with_unit(&self, span: Span, unit: Unit) -> Option<(Span, String)> {
        let written = self.written(span);
        let digits = written.strip_prefix('-').unwrap_or(written);
        let is_number = digits.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'_'));
        let begins = digits.starts_with(|c: char| c.is_ascii_digit());
        let unit = unit.to_string();
        // money stands in front, where there is no sign before it
        let meant = match unit.strip_prefix('$').filter(|_| digits.len() == written.len()) {
            Some(rest) => format!("${written}{rest}"),
            None => format!("{written} {unit}"),
        };
        (is_number && begins).then_some((span, meant))
    }

    /// `worked` in place of the word that opens this line, where it opens an input
    /// without a tolerance.
    pub(super) fn worked_instead(&self) -> Option<(Span, String)> {
        let text = self.text.trim_start_matches('\u{feff}');
        let start = self.text.len() - text.len();
        let word = text.split_whitespace().next()?;
        let opens = matches!(word, "measured" | "quoted" | "assumed") && text.starts_with(word);
        let exact = !text.contains('±') && !text.contains("+/-");
        (opens && exact).then(|| (Span::new(start, start + word.len()), "worked".to_owned()))
    }

    /// A problem at an operator, with each side named and, for entries, its line.
    pub(super) fn two_sided(&self, code: Code, message: String, place: Span, sides: &[&Typed]) -> Problem {
        let mut problem = Problem::new(code, message, self.place(place));
        if !self.frames.is_empty() {
            return problem;
        }
        for side in sides {
            problem = problem.also(self.place(side.span), self.side(side));
        }
        problem
    }

    fn side(&self, side: &Typed) -> String {
        let written = shortened(self.written(side.span));
        let kind = match (&side.node, side.kind) {
            (Node::Column(id), Kind::Counted(from)) if from == Beginning::Column(id.0) => {
                "counted from its first row".to_owned()
            }
            _ => self.described(side.kind),
        };
        match side.node {
            Node::Cell(cell) => {
                let item = self.known.names.cell_items.get(cell.0 as usize).copied().unwrap_or(0);
                format!("`{written}` ({}) is {kind}", self.standing_at(item))
            }
            _ => format!("`{written}` is {kind}"),
        }
    }
}

/// `14` for `14 AWG`, which is a currency's code.
pub(super) fn gauge_help(value: &Typed) -> Option<String> {
    let (Kind::Quantity(unit), Node::Constant(number)) = (value.kind, &value.node) else {
        return None;
    };
    let is_gauge = Unit::parse("AWG") == Ok(unit);
    is_gauge.then(|| format!("a wire gauge is a plain number: write `{}`", number.to_plain()))
}

/// The unit of a difference of sound levels.
pub(super) fn decibel() -> Unit {
    Unit::parse("dB").unwrap_or(Unit::ONE)
}

pub(super) fn is_decibel(unit: Unit) -> bool {
    unit != Unit::ONE && unit == decibel()
}

pub(super) fn is_pointlike(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(unit) if unit.is_point()) || kind.is_time()
}

/// A kind in words: "a weight in `lb`", "a plain number", "a text".
pub(crate) fn describe(kind: Kind) -> String {
    match kind {
        Kind::Quantity(unit) if unit == Unit::ONE => "a plain number".to_owned(),
        Kind::Quantity(unit) if is_decibel(unit) => "a difference of levels in `dB`".to_owned(),
        Kind::Quantity(unit) if unit.is_point() => format!("{} in `{unit}` (a point on a scale)", unit.measures()),
        Kind::Quantity(unit) => match unit.measures() {
            // no word for it, but the unit itself
            measure if measure.contains('`') => format!("a value in `{unit}`"),
            measure => format!("{measure} in `{unit}`"),
        },
        Kind::Level => "a sound level in `dB`".to_owned(),
        Kind::Decibels => "a level or a difference in `dB`".to_owned(),
        Kind::TimeOfDay => "a clock time".to_owned(),
        Kind::Counted(_) => "a counted time".to_owned(),
        Kind::Moment => "a date and time".to_owned(),
        Kind::Text => "a text".to_owned(),
        Kind::Truth => "true or false".to_owned(),
    }
}

fn shortened(written: &str) -> String {
    let line = in_one_line(written);
    if line.chars().count() <= 40 {
        return line;
    }
    line.chars().take(38).chain("…".chars()).collect()
}

/// A parameter of the function that is called.
#[derive(Clone, Copy)]
pub(super) struct Taker {
    pub(super) function: &'static Function,
    pub(super) parameter: &'static Parameter,
}

impl Taker {
    /// That it takes something else than what is given.
    pub(super) fn takes(self, what: &str, given: Kind) -> String {
        format!("{self} takes {what}, and this is {}", describe(given))
    }
}

impl fmt::Display for Taker {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` of `{}`", self.parameter.name, self.function.name)
    }
}
