//! What the lines of a worksheet use: entries, columns and rules.
//!
//! Case lines use nothing: they put something in place. Start reading at [`Uses::of`].

use std::collections::{BTreeMap, BTreeSet};

use crate::sheet::Sheet;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::{each_part, expressions_of};
use crate::syntax::tree::{Expression, ExpressionNode, Node};

/// Who uses what.
#[derive(Default)]
pub(super) struct Uses {
    entries: BTreeSet<CellId>,
    columns: BTreeMap<u32, BTreeSet<CellId>>,
    plotted: BTreeSet<u32>,
    /// The cells that call each rule themselves.
    rules: BTreeMap<u32, BTreeSet<CellId>>,
    /// The rules that call each rule.
    inner: BTreeMap<u32, BTreeSet<u32>>,
}

impl Uses {
    pub(super) fn of(sheet: &Sheet) -> Uses {
        let mut uses = Uses::default();
        for cell in sheet.cells_in_order() {
            if let Some(item) = sheet.tree().item(sheet.item_of(cell)) {
                expressions_of(&item.node, &mut |part| uses.note(sheet, part, Some(cell)));
            }
        }
        for (place, item) in sheet.tree().every_item() {
            match &item.node {
                Node::Plot(plot) => {
                    for column in plot.columns() {
                        each_part(column, &mut |part| uses.note(sheet, part, None));
                    }
                }
                Node::Rule(rule) => {
                    let body = rule.body.iter();
                    let parts = body.chain(
                        rule.parameters
                            .iter()
                            .filter_map(|parameter| parameter.default.as_ref()),
                    );
                    parts.for_each(|part| each_part(part, &mut |part| uses.note_inner(sheet, part, place)));
                }
                _ => {}
            }
        }
        uses
    }

    fn note(&mut self, sheet: &Sheet, part: &Expression, user: Option<CellId>) {
        match &part.node {
            ExpressionNode::Name(name) => match sheet.names().get(name) {
                Some(Named::Cell(cell)) => drop(self.entries.insert(cell)),
                // a whole table: all of its columns
                Some(Named::Table(table)) => {
                    let table = sheet.tables().get(table as usize);
                    let slots = table.map(|table| table.columns.clone()).unwrap_or_default();
                    slots.into_iter().for_each(|slot| self.note_column(slot, user));
                }
                _ => {}
            },
            ExpressionNode::Column(names) => {
                self.entries.extend(sheet.names().entry_in(part));
                let slot = column_slot(sheet, &names.0.text, &names.1.text);
                slot.into_iter().for_each(|slot| self.note_column(slot, user));
            }
            _ => self.note_rule(sheet, part, user),
        }
    }

    fn note_column(&mut self, slot: u32, user: Option<CellId>) {
        let users = self.columns.entry(slot).or_default();
        match user {
            Some(user) => users.extend([user]),
            None => drop(self.plotted.insert(slot)),
        }
    }

    fn note_rule(&mut self, sheet: &Sheet, part: &Expression, user: Option<CellId>) {
        if let Some(rule) = rule_called(sheet, part) {
            self.rules.entry(rule).or_default().extend(user);
        }
    }

    fn note_inner(&mut self, sheet: &Sheet, part: &Expression, user: u32) {
        if let Some(rule) = rule_called(sheet, part) {
            self.inner.entry(rule).or_default().insert(user);
        }
    }

    /// Whether anything uses an entry.
    pub(super) fn entry(&self, cell: CellId) -> bool {
        self.entries.contains(&cell)
    }

    /// Whether anything uses a column.
    pub(super) fn column(&self, slot: u32) -> bool {
        self.columns.contains_key(&slot)
    }

    /// The cells that use a column.
    pub(super) fn users(&self, slot: u32) -> Vec<CellId> {
        self.columns.get(&slot).into_iter().flatten().copied().collect()
    }

    /// Whether anything calls a rule.
    pub(super) fn rule(&self, item: u32) -> bool {
        self.rules.contains_key(&item) || self.inner.contains_key(&item)
    }

    /// The cells that call a rule, themselves or by way of other rules.
    pub(super) fn rule_users(&self, item: u32) -> BTreeSet<CellId> {
        let (mut open, mut seen) = (vec![item], BTreeSet::new());
        let mut users = BTreeSet::new();
        while let Some(rule) = open.pop() {
            if seen.insert(rule) {
                users.extend(self.rules.get(&rule).into_iter().flatten());
                open.extend(self.inner.get(&rule).into_iter().flatten());
            }
        }
        users
    }
}

/// The rule of the worksheet's own that a part calls.
fn rule_called(sheet: &Sheet, part: &Expression) -> Option<u32> {
    let ExpressionNode::Call(call) = &part.node else {
        return None;
    };
    match sheet.names().get(&call.name.text) {
        Some(Named::Rule(item)) => Some(item),
        _ => None,
    }
}

/// The slot of a column of a table.
pub(super) fn column_slot(sheet: &Sheet, table: &str, column: &str) -> Option<u32> {
    let Some(Named::Table(place)) = sheet.names().get(table) else {
        return None;
    };
    let slots = &sheet.tables().get(place as usize)?.columns;
    let named = |slot: &&u32| sheet.table_column(**slot).is_some_and(|known| &*known.name == column);
    slots.iter().find(named).copied()
}
