//! What no output tells: entries that only checks use which mark an answer.
//!
//! An exercise may work its answer out in steps of its own. They have values, by which answers
//! are marked, and are shown, drawn, swept and asked for nowhere. Start reading at
//! [`Model::is_kept_back`].

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::problem::{Code, Place, Problem};
use crate::syntax::tree::{EntryKind, Expression, Node};

use super::Sheet;
use super::model::Model;
use super::names::CellId;
use super::order::{gather, needs_of};

impl Model {
    /// Whether nothing but the marking of answers uses an entry that is worked out.
    pub fn is_kept_back(&self, cell: CellId) -> bool {
        !self.kept_back.is_empty() && self.kept_back.contains(&cell.0)
    }

    /// Finds what is kept back: worked entries, first those that marking names, then without
    /// those that anything else uses.
    pub(super) fn keep_back(&mut self) {
        self.kept_back.clear();
        if !self.names.marks {
            return;
        }
        let mut kept = BTreeSet::new();
        let mut uses: Vec<(Option<u32>, Vec<u32>)> = Vec::new();
        let mut cells = (0u32..).zip(&self.names.cell_items).peekable();
        for (item, node) in (0u32..).zip(self.tree.items.iter().map(|item| &item.node)) {
            let cell = cells.next_if(|(_, of)| **of == item).map(|(cell, _)| cell);
            let mut needs = Vec::new();
            match node {
                Node::Expect(expect) if expect.closeness.is_some() => {
                    let close = expect.closeness.iter();
                    close.for_each(|close| gather(&close.answer, &self.names, &mut needs));
                    uses.push((None, needs));
                    continue;
                }
                Node::Plot(plot) => plot.columns().for_each(|side| gather(side, &self.names, &mut needs)),
                node => needs_of(node, &self.names, &mut needs),
            }
            let worked = matches!(node, Node::Entry(entry) if entry.kind == EntryKind::Worked);
            kept.extend(cell.filter(|_| worked));
            uses.push((cell, needs));
        }
        let named: BTreeSet<u32> = self.named_in_marking();
        while let Some(let_go) = uses.iter().find_map(|(user, needs)| {
            let told = user.is_none_or(|user| !kept.contains(&user));
            needs.iter().find(|need| told && kept.contains(need)).copied()
        }) {
            kept.remove(&let_go);
        }
        // what nothing uses is meant to be seen
        let mut used: BTreeSet<u32> = named;
        for (user, needs) in uses.iter().rev() {
            if user.is_some_and(|user| used.contains(&user)) {
                used.extend(needs);
            }
        }
        kept.retain(|cell| used.contains(cell));
        self.kept_back = kept;
    }

    /// What the marking of answers names, besides the answers.
    fn named_in_marking(&self) -> BTreeSet<u32> {
        let mut named = Vec::new();
        for item in &self.tree.items {
            if let Node::Expect(expect) = &item.node {
                let close = expect.closeness.iter().flat_map(|close| close.kept_back());
                close.for_each(|part| gather(part, &self.names, &mut named));
            }
        }
        named.into_iter().collect()
    }

    /// That an expression typed by somebody names what is kept back.
    pub(super) fn refuse_kept_back(&self, expression: &Expression) -> Result<(), Vec<Problem>> {
        let mut named = Vec::new();
        if !self.kept_back.is_empty() {
            gather(expression, &self.names, &mut named);
        }
        let kept = named.into_iter().map(CellId).find(|cell| self.is_kept_back(*cell));
        let Some(name) = kept.and_then(|cell| self.name_of(cell)) else {
            return Ok(());
        };
        let message = kept_back_told(name);
        Err(vec![Problem::new(
            Code::UnknownName,
            message,
            Place::new(0, expression.span),
        )])
    }
}

/// Why a name isn't told.
pub(crate) fn kept_back_told(name: &str) -> String {
    format!("`{name}` leads to the answer of an exercise, and isn't told")
}

impl Sheet {
    /// With what was kept back where another sheet of the same text has it.
    pub(crate) fn keep_back_as(&mut self, other: &Sheet) {
        if !other.model.kept_back.is_empty() {
            Arc::make_mut(&mut self.model).kept_back = other.model.kept_back.clone();
        }
    }

    /// The same with nothing kept back, for whoever holds the key.
    pub(crate) fn with_everything(&self) -> Sheet {
        let mut sheet = self.clone();
        if !sheet.model.kept_back.is_empty() {
            Arc::make_mut(&mut sheet.model).kept_back.clear();
        }
        sheet
    }
}
