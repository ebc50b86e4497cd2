//! The names of a worksheet on which another rests, as they are called there.
//!
//! Their names begin with what the file is called here: `yard.price`. Which files these are is
//! settled where they are read. Start reading at [`Scope`].

use std::collections::{BTreeMap, BTreeSet};

use crate::text::SmallText;

use super::tree::{Call, Expression, ExpressionNode, Item, Name, Node, Rule, TableContent, Value, Worksheet};

impl Worksheet {
    /// Gathers what it calls the worksheets that it uses, and tells values of theirs from
    /// columns of tables.
    pub(super) fn settle_uses(&mut self) {
        self.uses = uses_of(&self.items).collect();
        if !self.uses.is_empty() {
            self.items.iter_mut().for_each(|item| settle(item, &self.uses));
        }
    }
}

pub(super) fn uses_of(items: &[Item]) -> impl Iterator<Item = Box<str>> {
    items.iter().filter_map(|item| match &item.node {
        Node::Use(used) => Some((*used.name.text).into()),
        _ => None,
    })
}

/// `yard.price` is read as a column first.
pub(super) fn settle(item: &mut Item, uses: &BTreeSet<Box<str>>) {
    expressions_mut(&mut item.node, &mut |part| settle_part(part, uses));
}

pub(super) fn settle_part(part: &mut Expression, uses: &BTreeSet<Box<str>>) {
    if let ExpressionNode::Column(names) = &part.node
        && uses.contains(&*names.0.text)
    {
        part.node = ExpressionNode::Name(format!("{}.{}", names.0.text, names.1.text).into());
    }
}

/// Looks at every part of every expression of an item, rules and cases too.
fn expressions_mut(node: &mut Node, look: &mut impl FnMut(&mut Expression)) {
    match node {
        Node::Entry(entry) => value_mut(entry.value.as_mut(), look),
        Node::Expect(expect) => {
            let close = expect.closeness.iter_mut().flat_map(|close| close.each_mut());
            expect
                .condition
                .iter_mut()
                .chain(close)
                .for_each(|part| each_part_mut(part, look));
        }
        Node::Rule(rule) => {
            let defaults = rule.parameters.iter_mut().filter_map(|one| one.default.as_mut());
            defaults
                .chain(&mut rule.body)
                .for_each(|part| each_part_mut(part, look));
        }
        Node::Table(table) => {
            if let Some(TableContent::Function(expression)) = &mut table.content {
                each_part_mut(expression, look);
            }
        }
        Node::Case(case) => case.lines.iter_mut().for_each(|line| {
            line.cell.iter_mut().for_each(|cell| each_part_mut(cell, look));
            value_mut(line.value.as_mut(), look);
        }),
        Node::Plot(plot) => [&mut plot.vertical, &mut plot.horizontal]
            .into_iter()
            .for_each(|side| each_part_mut(side, look)),
        _ => {}
    }
}

fn value_mut(value: Option<&mut Value>, look: &mut impl FnMut(&mut Expression)) {
    if let Some(Value::Given { expression, .. }) = value {
        each_part_mut(expression, look);
    }
}

pub(super) fn each_part_mut(expression: &mut Expression, look: &mut impl FnMut(&mut Expression)) {
    look(expression);
    match &mut expression.node {
        ExpressionNode::Unary(_, inner) => each_part_mut(inner, look),
        ExpressionNode::Binary(_, _, sides) => {
            each_part_mut(&mut sides.0, look);
            each_part_mut(&mut sides.1, look);
        }
        ExpressionNode::Comparison(comparison) => {
            each_part_mut(&mut comparison.first, look);
            comparison
                .links
                .iter_mut()
                .for_each(|(_, _, side)| each_part_mut(side, look));
        }
        ExpressionNode::Call(call) => call
            .arguments
            .iter_mut()
            .for_each(|argument| each_part_mut(&mut argument.value, look)),
        ExpressionNode::If(parts) => {
            each_part_mut(&mut parts.0, look);
            each_part_mut(&mut parts.1, look);
            each_part_mut(&mut parts.2, look);
        }
        _ => {}
    }
}

/// How names of a worksheet are called where another rests on it.
pub(crate) struct Scope<'a> {
    /// What its own names begin with.
    pub prefix: &'a str,
    /// What the names of the worksheets that it uses itself begin with, by what it calls them.
    pub uses: &'a BTreeMap<Box<str>, String>,
}

impl Scope<'_> {
    /// Gives every name in the tree of a worksheet the form it has where another rests on it.
    /// Cases and plots stay behind.
    pub(crate) fn qualify(&self, sheet: &mut Worksheet) {
        let rules = sheet.items.iter().filter_map(|item| match &item.node {
            Node::Rule(rule) => Some((*rule.name.text).into()),
            _ => None,
        });
        let rules: BTreeSet<Box<str>> = rules.collect();
        sheet.items.iter_mut().for_each(|item| self.qualify_item(item, &rules));
    }

    fn qualify_item(&self, item: &mut Item, rules: &BTreeSet<Box<str>>) {
        if matches!(item.node, Node::Case(_) | Node::Plot(_)) {
            item.node = Node::Blank;
        }
        let parameters = match &item.node {
            Node::Rule(rule) => parameters_of(rule),
            _ => Vec::new(),
        };
        expressions_mut(&mut item.node, &mut |part| self.part(part, &parameters, rules));
        if let Some(name) = name_mut(&mut item.node) {
            name.text = format!("{}{}", self.prefix, name.text).into();
            name.through = u16::try_from(self.prefix.len()).unwrap_or(u16::MAX);
        }
    }

    pub(super) fn part(&self, part: &mut Expression, parameters: &[Box<str>], rules: &BTreeSet<Box<str>>) {
        match &mut part.node {
            ExpressionNode::Name(name) if !parameters.iter().any(|one| **one == **name) => *name = self.name(name),
            ExpressionNode::Column(names) => names.0.text = self.name(&names.0.text),
            ExpressionNode::Call(call) => self.call(call, rules),
            _ => {}
        }
    }

    fn call(&self, call: &mut Call, rules: &BTreeSet<Box<str>>) {
        if call.name.text.contains('.') || rules.contains(&*call.name.text) {
            call.name.text = self.name(&call.name.text);
        } else if &*call.name.text == "grid" {
            // its labels are names
            let labels = call.arguments.iter_mut().filter_map(|argument| argument.label.as_mut());
            labels.for_each(|label| label.text = self.name(&label.text));
        }
    }

    fn name(&self, name: &str) -> SmallText {
        let through = name
            .split_once('.')
            .and_then(|(used, rest)| Some((self.uses.get(used)?, rest)));
        match through {
            Some((prefix, rest)) => format!("{prefix}{rest}").into(),
            None => format!("{}{name}", self.prefix).into(),
        }
    }
}

fn parameters_of(rule: &Rule) -> Vec<Box<str>> {
    rule.parameters
        .iter()
        .map(|parameter| (*parameter.name.text).into())
        .collect()
}

fn name_mut(node: &mut Node) -> Option<&mut Name> {
    match node {
        Node::Entry(entry) => Some(&mut entry.name),
        Node::Table(table) => Some(&mut table.name),
        Node::Rule(rule) => Some(&mut rule.name),
        Node::Use(line) => Some(&mut line.name),
        _ => None,
    }
}
