//! What a worksheet has names for, taken out of it once for many words typed.
//!
//! Start reading at [`Vocabulary::of`].

use std::collections::BTreeMap;

use crate::sheet::cell_of::CellPlace;
use crate::sheet::checker::describe;
use crate::sheet::{Sheet, Table};

use crate::sheet::names::Named;
use crate::syntax::tree::{Entry, Node, Rule};
use crate::unit::{Kind, Unit};

use super::super::unnamed::Unnamed;
use super::Sort;

/// What a worksheet has names for, as it stood.
#[derive(Clone, Debug, Default)]
pub struct Vocabulary {
    pub(super) names: Vec<KnownName>,
    pub(super) rules: Vec<KnownRule>,
    pub(super) cases: Vec<String>,
    pub(super) sections: Vec<String>,
    /// What each check says, which has no name.
    pub(super) checks: Vec<String>,
    /// What calls the rows of each table behind `of`.
    pub(super) keys: BTreeMap<String, Vec<String>>,
}

/// Keys are offered of tables with no more rows.
const MOST_KEYS: usize = 100;

/// An entry, a table or a column.
#[derive(Clone, Debug)]
pub(super) struct KnownName {
    pub(super) name: String,
    pub(super) sort: Sort,
    pub(super) kind: Option<Kind>,
    pub(super) column: bool,
    pub(super) input: bool,
    pub(super) detail: String,
}

/// A rule of the worksheet, as it is written, with the units of its parameters.
#[derive(Clone, Debug)]
pub(super) struct KnownRule {
    pub(super) name: String,
    pub(super) head: String,
    pub(super) parameters: Vec<(String, Option<Unit>)>,
}

impl Vocabulary {
    /// The names of a worksheet with their kinds.
    pub fn of(sheet: &Sheet) -> Vocabulary {
        let mut known = Vocabulary {
            cases: sheet.cases().iter().map(|case| case.name.clone()).collect(),
            ..Vocabulary::default()
        };
        // of worksheets that are used, what can be called here
        for (name, named) in sheet.names().all().filter(|(name, _)| name.matches('.').count() < 2) {
            known.add(sheet, name, named);
        }
        let tree = sheet.tree();
        for (index, item) in tree.items.iter().enumerate() {
            match &item.node {
                Node::Heading(heading) => {
                    let title = heading.title.of(tree.text_of(index));
                    known.sections.push(title.to_owned());
                }
                Node::Expect(_) => known.checks.push(Unnamed::Check.said(&item.node, tree.text_of(index))),
                Node::Rule(rule) => known.rules.extend(known_rule(rule, tree.text_of(index))),
                _ => {}
            }
        }
        known.names.sort_by(|one, other| one.name.cmp(&other.name));
        known.sections.sort_unstable();
        known
    }

    fn add(&mut self, sheet: &Sheet, name: &str, named: Named) {
        match named {
            Named::Cell(cell) => {
                let shape = sheet.shape(cell);
                let entry = sheet.entry(cell);
                self.names.push(KnownName {
                    name: name.to_owned(),
                    sort: Sort::Entry,
                    kind: shape.map(|shape| shape.kind),
                    column: shape.is_some_and(|shape| shape.column),
                    input: entry.is_some_and(|entry| entry.kind.is_input()),
                    detail: entry.map_or(String::new(), |entry| {
                        entry_detail(entry, shape.map(|shape| shape.kind))
                    }),
                });
            }
            Named::Table(place) => {
                let plain = |name: String, sort, kind: Option<Kind>, detail| KnownName {
                    name,
                    sort,
                    kind,
                    column: true,
                    input: false,
                    detail,
                };
                self.names
                    .push(plain(name.to_owned(), Sort::Table, None, "table".to_owned()));
                let table = sheet.tables().get(place as usize);
                let slots = table.into_iter().flat_map(|table| table.columns.iter());
                self.keys.insert(name.to_owned(), keys(sheet, table));
                let columns = slots.filter_map(|slot| sheet.table_column(*slot));
                self.names.extend(columns.map(|column| {
                    let whole = format!("{name}.{}", column.name);
                    plain(whole, Sort::Column, Some(column.kind), describe(column.kind))
                }));
            }
            Named::Rule(_) | Named::Use(_) => {}
        }
    }

    /// What may call a row of the column or the table at the end of `before`, where that is one.
    pub(super) fn keys_of(&self, before: &str) -> Option<&[String]> {
        let is_path = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.');
        let path = before.get(before.trim_end_matches(is_path).len()..)?;
        let known = |name: &str| self.keys.get(name).map(Vec::as_slice);
        let is_column = || self.names.iter().any(|one| one.column && one.name == path);
        known(path).or_else(|| known(path.rsplit_once('.')?.0).filter(|_| is_column()))
    }

    /// The kind that the entry of that name has.
    pub(super) fn kind_of(&self, name: &str) -> Option<Kind> {
        let place = self.names.binary_search_by(|one| one.name.as_str().cmp(name)).ok()?;
        self.names.get(place)?.kind
    }
}

/// What calls the rows of a table, as it is typed.
fn keys(sheet: &Sheet, table: Option<&Table>) -> Vec<String> {
    let Some(slot) = table.and_then(|table| table.columns.first().copied()) else {
        return Vec::new();
    };
    let rows = sheet.column_cells(slot).len();
    let rows = (0..u32::try_from(rows).unwrap_or(u32::MAX)).filter(|_| rows <= MOST_KEYS);
    rows.map(|row| sheet.row_key(CellPlace { slot, row })).collect()
}

fn entry_detail(entry: &Entry, kind: Option<Kind>) -> String {
    match kind {
        Some(kind) => format!("{}, {}", entry.kind.word(), describe(kind)),
        None => entry.kind.word().to_owned(),
    }
}

fn known_rule(rule: &Rule, text: &str) -> Option<KnownRule> {
    let parameters = rule.parameters.iter();
    Some(KnownRule {
        name: rule.name.text.to_string(),
        head: rule_head(text, &rule.name.text)?,
        parameters: parameters
            .map(|one| (one.name.text.to_string(), one.unit.map(|unit| unit.unit)))
            .collect(),
    })
}

/// A rule's name with its parameters as they are written.
fn rule_head(text: &str, name: &str) -> Option<String> {
    let from = text.find('(')?;
    let mut depth = 0usize;
    let close = text.char_indices().skip_while(|(at, _)| *at < from).find(|(_, c)| {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        depth == 0
    })?;
    Some(format!("{name}{}", text.get(from..=close.0)?))
}
