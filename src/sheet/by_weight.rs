//! Runtimes by weight alone: what is in a cylinder over what is burnt in an hour.
//!
//! Such a time says when a cylinder is empty, not whether it keeps up its pressure until
//! then. Start reading at [`Sheet::is_by_weight`].

use std::sync::LazyLock;

use crate::syntax::tree::{EntryKind, ExpressionNode};
use crate::trade::Fact;
use crate::trade::caution::BY_WEIGHT;
use crate::trade::registry::function;
use crate::unit::{Dimension, Kind, Unit};

use super::Sheet;
use super::appraisal::{Appraisal, Cautioned};
use super::model::Model;
use super::names::CellId;
use super::order::expressions_of;
use super::typed::{Arithmetic, Node, Typed};

/// What weights, weights an hour and times measure.
struct Measures {
    weight: Dimension,
    rate: Dimension,
    time: Dimension,
}

static MEASURES: LazyLock<Measures> = LazyLock::new(|| {
    let of = |unit: &str| Unit::parse(unit).unwrap_or(Unit::ONE).dimension();
    Measures {
        weight: of("lb"),
        rate: of("lb/h"),
        time: of("h"),
    }
});

impl Model {
    /// Whether the worksheet looks anywhere at how long a cylinder keeps up its pressure.
    pub(crate) fn draws_down(&self) -> bool {
        let mut found = false;
        for (_, item) in self.tree.every_item() {
            expressions_of(&item.node, &mut |part| {
                if let ExpressionNode::Call(call) = &part.node {
                    found |= function(&call.name.text).is_some_and(|function| function.tells(Fact::DrawsDown));
                }
            });
        }
        found
    }

    /// Remembers whether a cell is a weight over a weight an hour, or a time at which such is burned.
    pub(super) fn note_by_weight(&mut self, cell: u32, value: &Typed) {
        // a look at the strokes is quicker than one at the unit
        if divides_weight(value) && (value.kind.is_time() || measures(value.kind, MEASURES.time)) {
            self.by_weight.insert(cell);
        } else if !self.by_weight.is_empty() {
            self.by_weight.remove(&cell);
        }
    }
}

impl Sheet {
    /// Whether a time comes from a weight over a weight an hour, in this entry or in the
    /// times it is made of.
    pub fn is_by_weight(&self, cell: CellId) -> bool {
        let on_calendar = self.shape(cell).is_some_and(|shape| shape.kind.is_time());
        if self.by_weight.is_empty() || !(on_calendar || self.is_time(cell)) {
            return false;
        }
        let counts = |needed: &CellId| self.by_weight.contains(&needed.0) && self.held(*needed).is_none();
        self.needed_by(cell).iter().any(counts)
    }

    /// Whether a cell is a length of time.
    pub(crate) fn is_time(&self, cell: CellId) -> bool {
        self.shape(cell)
            .is_some_and(|shape| measures(shape.kind, MEASURES.time))
    }

    /// The caution of answers that are runtimes by weight, where nothing is drawn down.
    pub(super) fn caution_by_weight(&self, asked: impl Iterator<Item = CellId>, appraisal: &mut Appraisal) {
        if self.by_weight.is_empty() {
            return;
        }
        let is_answer = |cell: &CellId| self.entry(*cell).is_some_and(|entry| entry.kind == EntryKind::Answer);
        let mut answers = asked
            .filter(|cell| is_answer(cell) && self.is_by_weight(*cell))
            .peekable();
        if answers.peek().is_none() || self.draws_down() {
            return;
        }
        appraisal
            .cautions
            .extend(answers.map(|cell| Cautioned::new(cell, &BY_WEIGHT, String::new())));
    }
}

fn measures(kind: Kind, what: Dimension) -> bool {
    matches!(kind, Kind::Quantity(of) if of.dimension() == what)
}

fn divides_weight(value: &Typed) -> bool {
    let either = |sides: &(Typed, Typed)| divides_weight(&sides.0) || divides_weight(&sides.1);
    match &value.node {
        Node::Arithmetic(Arithmetic::Divide, _, sides) => {
            let weights = measures(sides.0.kind, MEASURES.weight) && measures(sides.1.kind, MEASURES.rate);
            weights || either(sides)
        }
        Node::Arithmetic(_, _, sides) | Node::Where(sides) => either(sides),
        Node::Convert(inner, _) | Node::Negate(inner) => divides_weight(inner),
        Node::If(parts) => divides_weight(&parts.1) || divides_weight(&parts.2),
        Node::Call(function, arguments) => function.tells(Fact::ByWeight) || arguments.iter().any(divides_weight),
        Node::Let(_, body) => divides_weight(body),
        _ => false,
    }
}
