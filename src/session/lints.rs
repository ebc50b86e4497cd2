//! Remarks on names that are also verbs of the session.
//!
//! The sheet doesn't know the verbs, so the session adds these to its problems.
//! Start reading at [`lints`].

use crate::problem::{Code, Place, Problem};
use crate::syntax::Worksheet;
use crate::syntax::tree::{Name, Node};

use super::verbs::typed_verb;

/// The remarks on every name of the worksheet, in its order.
pub(super) fn lints(worksheet: &Worksheet) -> Vec<Problem> {
    let mut found = Vec::new();
    for (index, item) in worksheet.items.iter().enumerate() {
        let name = match &item.node {
            Node::Entry(entry) => &entry.name,
            Node::Table(table) => &table.name,
            Node::Rule(rule) => &rule.name,
            _ => continue,
        };
        let item = u32::try_from(index).unwrap_or(u32::MAX);
        found.extend(lint(name, Place::new(item, name.span)));
    }
    found
}

fn lint(name: &Name, place: Place) -> Option<Problem> {
    let word = typed_verb(&name.text)?.name;
    let message = format!("`{word}` is also a word of the interactive session");
    let help = format!("type `({word})` there to see its value");
    Some(Problem::new(Code::NameIsVerb, message, place).help(help))
}
