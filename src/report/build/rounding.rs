//! Where a step of rounding hides a tolerance.
//!
//! To first order a step has no slope, so that what is rounded shows no ±, however
//! far its argument may be off. Start reading at [`rounded_away`].

use crate::sheet::Sheet;
use crate::sheet::appraise::Doubt;
use crate::sheet::names::CellId;
use crate::sheet::order::{each_part, gather};
use crate::syntax::tree::{ExpressionNode, Value};

/// The function with which a cell rounds what has a ±.
pub(super) fn rounded_away(sheet: &Sheet, cell: CellId) -> Option<&'static str> {
    const ROUNDING: [&str; 3] = ["round", "round_up", "round_down"];
    let Some(Value::Given { expression, .. }) = &sheet.entry(cell)?.value else {
        return None;
    };
    let mut calls = Vec::new();
    each_part(expression, &mut |part| {
        if let ExpressionNode::Call(call) = &part.node
            && let Some(function) = ROUNDING.into_iter().find(|name| **name == *call.name.text)
        {
            let mut needs = Vec::new();
            gather(part, sheet.names(), &mut needs);
            calls.push((function, needs));
        }
    });
    let uncertain = |needs: &[u32]| {
        let doubts = sheet.appraise(needs.iter().map(|need| CellId(*need))).doubts;
        doubts.values().any(|doubt| match doubt {
            Doubt::One(one) => one.standard > 0.0,
            Doubt::Rows(rows) => rows.iter().any(|row| row.standard > 0.0),
        })
    };
    let found = calls.into_iter().find(|(_, needs)| uncertain(needs));
    found.map(|(function, _)| function)
}
