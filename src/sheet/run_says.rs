//! A weighed run that outlasts the draw-down of its own worksheet.
//!
//! Where the scale shows that a cylinder gave more gas for longer than a draw-down lets
//! it, the draw-down stands too cold, or the run was warmer. Start reading at
//! [`Sheet::caution_runs`].

use crate::syntax::tree::{Call, ExpressionNode};
use crate::trade::caution::RUN_SAYS_OTHERWISE;
use crate::trade::registry::function;
use crate::trade::{Body, Fact, Fit};
use crate::unit::{Kind, conversion};

use super::Sheet;
use super::appraisal::{Appraisal, Cautioned};
use super::checker::MadeShape;
use super::meet::unit_named;
use super::names::{CellId, ColumnId, Named};
use super::order::expressions_of;

/// So much more than the run's rate still counts as no faster.
const NO_FASTER: f64 = 1.05;

/// Gas given over a time.
struct Given {
    hours: f64,
    pounds: f64,
}

impl Sheet {
    /// The caution of draw-downs that stall before a weighed run did.
    pub(super) fn caution_runs(&self, appraisal: &mut Appraisal) {
        let mut made: Vec<MadeShape> = self.table_shapes.iter().filter_map(|shape| shape.made).collect();
        made.retain(|made| appraisal.uses(made.cell, Fact::DrawsDown));
        made.retain(|made| self.ended(*made) == Some("pressure") && !self.knows_the_run(made.cell, appraisal));
        if made.is_empty() {
            return;
        }
        let runs = self.weighed_runs();
        for (drawn, made) in made.iter().filter_map(|made| Some((self.drawn(*made)?, made))) {
            let outlasts = |(_, run): &&(String, Given)| {
                let no_faster = drawn.pounds * run.hours <= NO_FASTER * run.pounds * drawn.hours;
                run.hours > drawn.hours && run.pounds > drawn.pounds && no_faster
            };
            let Some((table, run)) = runs.iter().find(outlasts) else {
                continue;
            };
            let text = format!(
                "In `{table}` a cylinder gave {:.1} lb in {:.1} h and did not stall; here it stalls after {:.1} h and {:.1} lb, drawn no faster. If the air was no warmer then, the film is too low here: `film_from_run` gives the one that the run showed.",
                run.pounds, run.hours, drawn.hours, drawn.pounds
            );
            appraisal.cautions.push(Cautioned {
                cell: made.cell,
                function: made.function,
                caution: &RUN_SAYS_OTHERWISE,
                text,
            });
        }
    }

    /// How a table ended, where it has.
    fn ended(&self, made: MadeShape) -> Option<&str> {
        let end = self.column_cells(made.end.0).last()?.as_ref()?;
        Some(self.texts().text(*end))
    }

    /// Whether what a table is made of comes from a run already.
    fn knows_the_run(&self, cell: CellId, appraisal: &Appraisal) -> bool {
        let mut needed = self.needed_by(cell).into_iter();
        needed.any(|needed| appraisal.uses(needed, Fact::ShowsARun))
    }

    /// What a draw-down gave until it ended.
    fn drawn(&self, made: MadeShape) -> Option<Given> {
        let shape = self.table_shapes.iter().find(|shape| {
            let other = shape.made.map(|made| made.cell);
            other == Some(made.cell)
        })?;
        let span = |name: &str, unit: &str| {
            let (_, column, kind) = shape.columns.iter().find(|column| &*column.0 == name)?;
            self.span(*column, *kind, unit)
        };
        Some(Given {
            hours: span("time", "h")?,
            pounds: -span("contents", "lb")?,
        })
    }

    /// The runs through whose weights the worksheet lays a line, with the names of their tables.
    fn weighed_runs(&self) -> Vec<(String, Given)> {
        let mut runs = Vec::new();
        for (_, item) in self.tree.every_item() {
            expressions_of(&item.node, &mut |part| {
                if let ExpressionNode::Call(call) = &part.node {
                    runs.extend(self.weighed_run(call));
                }
            });
        }
        runs
    }

    fn weighed_run(&self, call: &Call) -> Option<(String, Given)> {
        let burns = matches!(function(&call.name.text)?.body, Body::Fit(Fit::BurnRate));
        // with a hose now on, now off, the ends of the column don't tell what was given
        let plain = burns && call.arguments.len() == 2;
        let mut columns = call.arguments.iter().filter(|_| plain);
        let mut next = |unit: &str| {
            let ExpressionNode::Column(column) = &columns.next()?.value.node else {
                return None;
            };
            let Named::Table(table) = self.names().get(&column.0.text)? else {
                return None;
            };
            let shape = self.table_shapes.get(table as usize)?;
            let (_, id, kind) = shape.columns.iter().find(|known| known.0 == column.1.text)?;
            Some((column.0.text.to_string(), self.span(*id, *kind, unit)?))
        };
        let ((table, hours), (_, pounds)) = (next("h")?, next("lb")?);
        Some((table, Given { hours, pounds: -pounds }))
    }

    /// From the first filled cell of a column to the last, in a unit; times in hours.
    fn span(&self, column: ColumnId, kind: Kind, unit: &str) -> Option<f64> {
        let mut cells = self.column_cells(column.0).iter().flatten();
        let first = *cells.next()?;
        let span = cells.next_back()?.sub(first).ok()?;
        match kind {
            Kind::Quantity(from) => Some(
                conversion(from.interval(), unit_named(unit))?
                    .apply(span)
                    .ok()?
                    .to_f64(),
            ),
            _ if kind.is_time() && unit == "h" => Some(span.to_f64() / 3600.0),
            _ => None,
        }
    }
}

impl Appraisal {
    /// Whether a cell was seen to use a function that says so of itself.
    fn uses(&self, cell: CellId, fact: Fact) -> bool {
        let mut functions = self.functions.iter();
        functions.any(|(user, used)| *user == cell && used.tells(fact))
    }
}
