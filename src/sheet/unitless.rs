//! Entries that lack a unit, told where a unit is missed.
//!
//! `load = 1200` is sound by itself, and a problem only where it meets watts or
//! is to be shown in kilowatt hours. The help there leads back to the entry, by
//! name and line. It rests on shapes and lines alone, which is all that a line
//! is checked anew for. Start reading at [`Checker::unitless`].

use crate::unit::combine::quotient;
use crate::unit::{Kind, Unit, conversion};

use super::checker::Checker;
use super::names::CellId;
use super::typed::{Arithmetic, Node, Typed};

/// An entry that is a plain number, as a factor of what was asked for.
struct Factor {
    cell: CellId,
    turned: bool,
}

impl Checker<'_> {
    /// What to do where an entry alone is a plain number and this unit is wanted.
    pub(super) fn unitless(&self, value: &Typed, wanted: Unit) -> Option<String> {
        let is_bare = value.kind == Kind::Quantity(Unit::ONE) && wanted != Unit::ONE;
        match value.node {
            Node::Cell(cell) if is_bare && self.frames.is_empty() => {
                Some(format!("give {} a unit there, such as `{wanted}`", self.called(cell)?))
            }
            _ => None,
        }
    }

    /// What may be meant where a product has one factor without a unit, and would be of
    /// the wanted kind with it.
    pub(super) fn unitless_factor(&self, value: &Typed, found: Kind, wanted: Unit) -> Option<String> {
        if let Some(help) = self.unitless(value, wanted) {
            return Some(help);
        }
        let Kind::Quantity(found) = found else { return None };
        let mut factors = Vec::new();
        bare_factors(value, false, &mut factors);
        let [factor] = factors.as_slice() else { return None };
        let missing = match factor.turned {
            false => quotient(wanted, found)?.unit,
            true => quotient(found, wanted)?.unit,
        };
        let measures = missing.measures();
        let is_usual = ["a ", "an ", "money"].iter().any(|start| measures.starts_with(start));
        if missing == Unit::ONE || !is_usual || !self.frames.is_empty() {
            return None;
        }
        let called = self.called(factor.cell)?;
        Some(format!(
            "{called} is a plain number: if it is {measures}, give it a unit there, such as `{}`",
            usual(missing)
        ))
    }

    /// `4 h` where `h/d` is asked for.
    pub(super) fn per_help(&self, value: &Typed, wanted: Unit) -> Option<String> {
        let (Node::Constant(number), Kind::Quantity(found)) = (&value.node, value.kind) else {
            return None;
        };
        let wanted = wanted.to_string();
        let (above, below) = wanted.split_once('/')?;
        conversion(found, Unit::parse(above).ok()?)?;
        let number = number.to_plain();
        let is_typed = found != Unit::ONE && self.written(value.span).starts_with(&number);
        is_typed.then(|| format!("write `{number} {found}/{below}`"))
    }

    /// `load` (line 8)
    fn called(&self, cell: CellId) -> Option<String> {
        let item = *self.known.names.cell_items.get(cell.0 as usize)?;
        let entry = self.known.sheet.item(item)?;
        let name = match &entry.node {
            crate::syntax::tree::Node::Entry(entry) => &entry.name.text,
            _ => return None,
        };
        Some(format!("`{name}` ({})", self.standing_at(item)))
    }
}

/// The entries that are plain numbers among the factors of a product.
fn bare_factors(value: &Typed, turned: bool, found: &mut Vec<Factor>) {
    match &value.node {
        Node::Cell(cell) if value.kind == Kind::Quantity(Unit::ONE) => found.push(Factor { cell: *cell, turned }),
        Node::Convert(inner, _) | Node::Negate(inner) => bare_factors(inner, turned, found),
        Node::Arithmetic(operator @ (Arithmetic::Multiply | Arithmetic::Divide), _, sides) => {
            bare_factors(&sides.0, turned, found);
            bare_factors(&sides.1, turned != (*operator == Arithmetic::Divide), found);
        }
        _ => {}
    }
}

/// Loads are written in watts, whatever their energy is shown in.
fn usual(unit: Unit) -> Unit {
    match Unit::parse("kW") == Ok(unit) {
        true => Unit::parse("W").unwrap_or(unit),
        false => unit,
    }
}
