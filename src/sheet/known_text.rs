//! Texts that are compared with a column, which must have them.
//!
//! A comparison with a text that no row has, or with other capitals, holds for no row, and
//! a sum over those rows is a silent zero. A text that is written is looked for when the
//! worksheet is checked, any other when it runs. Start reading at [`Checker::known_text`].

use crate::calendar::DAY_NAMES;
use crate::number::Number;
use crate::problem::Code;
use crate::syntax::tree::Node as TreeNode;
use crate::text::nearest;
use crate::trade::registry::functions;
use crate::trade::{Body, Built, Complaint, Reason};
use crate::unit::Kind;

use super::checker::Checker;
use super::objections::ON_OFF;
use super::typed::{Node, Typed};

/// Where a text may come from.
enum Texts<'a> {
    /// A column.
    Column(&'a Typed),
    /// The names of the days.
    Days,
}

/// What came of looking for a text.
enum Looked {
    Found,
    Missing(Complaint),
    /// It is known only when the worksheet runs.
    WhenRun,
}

impl<'a> Checker<'a> {
    /// A word that is a column of one table, or stands in a cell.
    pub(super) fn meant_elsewhere(&mut self, name: &str) -> Option<(String, &'static str)> {
        if !self.may_suggest() {
            return None;
        }
        let items = self.known.sheet.items.iter();
        let mut tables = items.filter_map(|item| match &item.node {
            TreeNode::Table(table) => Some(&*table.name.text).filter(|table| self.has_column(table, name)),
            _ => None,
        });
        if let (Some(table), None) = (tables.next(), tables.next()) {
            return Some((format!("{table}.{name}"), ""));
        }
        drop(tables);
        // the pool has texts too that stand nowhere any more
        let number = Some(self.pool.number(name)?);
        let mut texts = self.known.columns.iter().filter(|column| column.kind == Kind::Text);
        let stands = texts.any(|column| column.cells.contains(&number));
        stands.then(|| (format!("\"{name}\""), ", if that text is meant"))
    }

    fn has_column(&self, table: &str, name: &str) -> bool {
        let shape = self.table(table);
        shape.is_some_and(|shape| shape.columns.iter().any(|column| *column.0 == *name))
            || self.known.names.worked_columns(table).any(|column| column == name)
    }

    /// The sides of a comparison of texts; the one that stands alone is one that the other may be.
    pub(super) fn known_text(&mut self, left: Typed, right: Typed) -> Option<(Typed, Typed)> {
        if left.kind != Kind::Text {
            return Some((left, right));
        }
        if let Some(texts) = texts_of(&left) {
            let right = self.one_of(right, texts)?;
            return Some((left, right));
        }
        if let Some(texts) = texts_of(&right) {
            let left = self.one_of(left, texts)?;
            return Some((left, right));
        }
        Some((left, right))
    }

    fn one_of(&mut self, text: Typed, texts: Texts<'_>) -> Option<Typed> {
        if text.column || texts_of(&text).is_some() {
            return Some(text);
        }
        match self.looked_for(&text, &texts) {
            Looked::Found => Some(text),
            Looked::Missing(complaint) => self.no_such_text(&text, complaint),
            Looked::WhenRun => Some(Typed::new(
                Kind::Text,
                false,
                text.span,
                Node::OneOf(
                    Box::new(text),
                    match texts {
                        Texts::Days => None,
                        Texts::Column(column) => Some(Box::new(column.clone())),
                    },
                ),
            )),
        }
    }

    fn looked_for(&mut self, text: &Typed, texts: &Texts<'_>) -> Looked {
        let Node::Constant(number) = text.node else {
            return Looked::WhenRun;
        };
        let missing = match texts {
            Texts::Days => no_such_day(self.pool.text(number)),
            Texts::Column(column) => match self.written_cells(column) {
                Some(cells) if cells.contains(&Some(number)) => None,
                Some(cells) => {
                    let sought = if self.may_suggest() { cells.len() } else { 0 };
                    let rows = cells.iter().flatten().map(|cell| self.pool.text(*cell));
                    no_such_text(self.pool.text(number), rows, sought)
                }
                // that none has ended so this time says nothing against asking
                None if is_end(self.pool.text(number)) => None,
                None => return Looked::WhenRun,
            },
        };
        missing.map_or(Looked::Found, Looked::Missing)
    }

    /// The cells of a column that stands in a table.
    fn written_cells(&self, column: &Typed) -> Option<&'a [Option<Number>]> {
        let Node::Column(id) = column.node else { return None };
        let column = self.known.columns.get(id.0 as usize)?;
        (!column.made).then_some(column.cells.as_slice())
    }

    fn no_such_text<T>(&mut self, text: &Typed, complaint: Complaint) -> Option<T> {
        let Reason::NoSuchText { message, meant } = complaint.reason else {
            return None;
        };
        let is_literal = self.frames.is_empty() && self.written(text.span).starts_with(['"', '“', '„']);
        let mend = meant
            .filter(|_| is_literal)
            .map(|meant| (text.span, format!("\"{meant}\"")));
        self.mendable(Code::NoSuchText, message, text.span, complaint.help, mend)
    }
}

/// Whether a table that a function makes may end with this word.
fn is_end(text: &str) -> bool {
    let mut functions = functions();
    functions.any(|function| matches!(function.body, Body::Table { ends, .. } if ends.contains(&text)))
}

/// The texts that a value may be, where that is told.
fn texts_of(value: &Typed) -> Option<Texts<'_>> {
    match &value.node {
        Node::Call(function, _) if matches!(function.body, Body::Built(Built::Weekday)) => Some(Texts::Days),
        Node::Column(_) | Node::Cell(_) if value.column => Some(Texts::Column(value)),
        Node::Where(parts) => texts_of(&parts.0),
        _ => None,
    }
}

/// So many texts of a column are named.
const NAMED: usize = 6;

/// That no row of a column has a text, where any has one; what may be meant is sought among
/// the first rows.
pub(super) fn no_such_text<'a>(
    text: &str,
    rows: impl Iterator<Item = &'a str> + Clone,
    sought: usize,
) -> Option<Complaint> {
    rows.clone().next()?;
    if never_switched(text, rows.clone()) {
        return None;
    }
    let lower = text.to_lowercase();
    let candidates = rows.clone().take(sought);
    let capitals = candidates.clone().find(|row| row.to_lowercase() == lower);
    let meant = capitals.or_else(|| nearest(text, candidates));
    let help = match meant {
        Some(meant) => format!("write `\"{meant}\"`, if that is meant"),
        None => format!("it has {}", some_of(rows)),
    };
    Some(complaint(format!("no row of this column is `{text}`"), help, meant))
}

/// Whether every row has the other word of a pair, such as `off` where `on` is asked for: it
/// was never so, or not yet.
fn never_switched<'a>(text: &str, mut rows: impl Iterator<Item = &'a str>) -> bool {
    let pair = ON_OFF.iter().find(|pair| pair.contains(&text));
    pair.is_some_and(|pair| rows.all(|row| row != text && pair.contains(&row)))
}

/// That a day isn't called so.
pub(super) fn no_such_day(text: &str) -> Option<Complaint> {
    if DAY_NAMES.contains(&text) {
        return None;
    }
    let lower = text.to_lowercase();
    let begins = |name: &&&str| lower.len() > 1 && name.to_lowercase().starts_with(lower.trim_end_matches('.'));
    let meant = DAY_NAMES.iter().find(begins).copied();
    let meant = meant.or_else(|| nearest(text, DAY_NAMES));
    let help = match meant {
        Some(meant) => format!("write `\"{meant}\"`, if that is meant"),
        None => "write one of `\"Monday\"` to `\"Sunday\"`".to_owned(),
    };
    Some(complaint(format!("no day of the week is called `{text}`"), help, meant))
}

fn complaint(message: String, help: String, meant: Option<&str>) -> Complaint {
    Complaint::whole(Reason::NoSuchText {
        message,
        meant: meant.map(str::to_owned),
    })
    .help(help)
}

/// The first texts of a column, each once.
fn some_of<'a>(rows: impl Iterator<Item = &'a str>) -> String {
    let mut named: Vec<&str> = Vec::new();
    for row in rows {
        if named.contains(&row) {
            continue;
        }
        if named.len() == NAMED {
            named.push("…");
            break;
        }
        named.push(row);
    }
    let shown: Vec<String> = named
        .iter()
        .map(|row| {
            if *row == "…" {
                "…".to_owned()
            } else {
                format!("`{row}`")
            }
        })
        .collect();
    shown.join(", ")
}
