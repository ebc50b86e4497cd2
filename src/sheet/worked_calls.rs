//! What calls that make tables from columns name beside their arguments.
//!
//! `sorted` takes a table with all its columns, `grid` says before its colons what it varies.
//! Start reading at [`named_beside`].

use crate::syntax::tree::{Argument, Call, ExpressionNode};

use super::names::Names;

/// The table that `sorted` puts in another order.
pub(super) fn sorted_table(call: &Call) -> Option<&str> {
    let first = call.arguments.first().filter(|first| is_called(first, "table"))?;
    match &first.value.node {
        ExpressionNode::Name(name) => Some(name),
        _ => None,
    }
}

/// The columns of a grid: what is varied, and what is looked at.
pub(super) fn grid_columns(call: &Call) -> Vec<&str> {
    let of = call.arguments.first().and_then(|first| match &first.value.node {
        ExpressionNode::Name(name) => Some(&**name),
        _ => None,
    });
    let over = call
        .arguments
        .iter()
        .skip(1)
        .filter_map(|argument| argument.label.as_ref());
    let mut columns: Vec<&str> = Vec::new();
    for name in over.map(|label| &*label.text).chain(of) {
        // of another worksheet its own name
        let name = name.rsplit('.').next().unwrap_or(name);
        if !columns.contains(&name) {
            columns.push(name);
        }
    }
    columns
}

/// What such a call names beside its arguments: the columns that go along, the inputs that are varied.
pub(super) fn named_beside(call: &Call, names: &Names) -> Vec<u32> {
    match &*call.name.text {
        "sorted" => sorted_table(call).map_or(Vec::new(), |table| {
            names.worked_cells(table).map(|cell| cell.0).collect()
        }),
        "grid" => {
            let labels = call.arguments.iter().filter_map(|argument| argument.label.as_ref());
            labels.filter_map(|label| Some(names.cell_of(&label.text)?.0)).collect()
        }
        _ => Vec::new(),
    }
}

fn is_called(argument: &Argument, name: &str) -> bool {
    argument.label.as_ref().is_none_or(|label| &*label.text == name)
}
