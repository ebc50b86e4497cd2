//! The worksheets that a worksheet rests on, as part of its tree.
//!
//! Their items are numbered from [`BEYOND`] on, so that no edit moves them, and their names
//! begin with what the file is called here: `yard.price`. A file is one, whatever it is called
//! elsewhere. Which files these are is settled where they are read. Start reading at [`Used`].

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use crate::problem::Problem;

use super::parse::parse_typed;
use super::tree::{Call, Expression, ExpressionNode, Item, Name, Node, Rule, TableContent, Typed, Value, Worksheet};

/// The number of the first item of the first worksheet that is used.
pub const BEYOND: u32 = 1 << 31;

/// The worksheets that one rests on, each once.
#[derive(Clone, Debug, Default)]
pub struct Used {
    /// The files, in the order in which they are met.
    pub files: Vec<UsedFile>,
}

/// A worksheet that another rests on.
#[derive(Clone, Debug, Default)]
pub struct UsedFile {
    /// Its path from the folder of the worksheet that rests on it.
    pub name: String,
    /// What its names begin with there: `yard.`
    pub prefix: String,
    /// The folder that its tables are read from.
    pub folder: Option<PathBuf>,
    /// The number of its first item.
    pub first: u32,
    /// Its tree, with its names as they are there.
    pub sheet: Worksheet,
    /// The line of each item.
    pub lines: Vec<u32>,
    /// What the names of the worksheets that it uses begin with, by what it calls them.
    pub uses: BTreeMap<Box<str>, String>,
}

impl UsedFile {
    /// The `use` by which it is reached, by its name.
    pub fn by(&self) -> &str {
        self.prefix.split('.').next().unwrap_or("")
    }

    /// What a name of it is called in itself.
    pub fn own_name<'a>(&self, name: &'a str) -> &'a str {
        name.strip_prefix(&self.prefix).unwrap_or(name)
    }
}

impl Used {
    /// The file of an item, and the item's place in it.
    fn place(&self, item: u32) -> Option<(&UsedFile, usize)> {
        let item = item.checked_sub(BEYOND)?;
        let behind = self.files.partition_point(|file| file.first - BEYOND <= item);
        let file = self.files.get(behind.checked_sub(1)?)?;
        Some((file, (item + BEYOND - file.first) as usize))
    }

    /// The file that an item stands in; none where it is the worksheet's own.
    pub fn file_of(&self, item: u32) -> Option<&UsedFile> {
        self.place(item).map(|(file, _)| file)
    }

    /// The line of an item in its file; 0 where there is none.
    pub fn line(&self, item: u32) -> u32 {
        let line = self.place(item).and_then(|(file, place)| file.lines.get(place));
        line.copied().unwrap_or(0)
    }

    pub(super) fn item(&self, item: u32) -> Option<&Item> {
        let (file, place) = self.place(item)?;
        file.sheet.items.get(place)
    }

    pub(super) fn text_of(&self, item: u32) -> &str {
        self.place(item).map_or("", |(file, place)| file.sheet.text_of(place))
    }

    /// Every item with its number.
    pub fn items(&self) -> impl Iterator<Item = (u32, &Item)> {
        self.files.iter().flat_map(|file| (file.first..).zip(&file.sheet.items))
    }
}

impl Worksheet {
    /// Gathers what it calls the worksheets that it uses, and tells values of theirs from
    /// columns of tables.
    pub(super) fn settle_uses(&mut self) {
        self.uses = uses_of(&self.items).collect();
        if !self.uses.is_empty() {
            self.items.iter_mut().for_each(|item| settle(item, &self.uses));
        }
    }

    /// Parses a line that is typed for it, as a trial or an expression.
    ///
    /// # Errors
    /// The problems that keep it from being either.
    pub fn read_typed(&self, line: &str) -> Result<Typed, Vec<Problem>> {
        let mut typed = parse_typed(line)?;
        let part = |part: &mut Expression| settle_part(part, &self.uses);
        typed_mut(&mut typed, part);
        Ok(typed)
    }

    /// Parses a piece of an item's own text again, with its names as they are here.
    ///
    /// # Errors
    /// The problems that keep it from being read.
    pub fn read_piece(&self, item: u32, piece: &str) -> Result<Typed, Vec<Problem>> {
        let Some(file) = self.used.file_of(item) else {
            return self.read_typed(piece);
        };
        let mut typed = parse_typed(piece)?;
        let scope = Scope {
            prefix: &file.prefix,
            uses: &file.uses,
        };
        let rules = file.sheet.items.iter().filter_map(|item| match &item.node {
            Node::Rule(rule) => Some(file.own_name(&rule.name.text).into()),
            _ => None,
        });
        let rules: BTreeSet<Box<str>> = rules.collect();
        typed_mut(&mut typed, |part| {
            settle_part(part, &file.sheet.uses);
            scope.part(part, &[], &rules);
        });
        Ok(typed)
    }
}

fn typed_mut(typed: &mut Typed, mut look: impl FnMut(&mut Expression)) {
    match typed {
        Typed::Expression { expression, .. }
        | Typed::CellTrial { cell: expression, .. }
        | Typed::Trial {
            value: Value::Given { expression, .. },
            ..
        } => each_part_mut(expression, &mut look),
        Typed::Trial { .. } => {}
    }
}

pub(super) fn uses_of(items: &[Item]) -> impl Iterator<Item = Box<str>> {
    items.iter().filter_map(|item| match &item.node {
        Node::Use(used) => Some(used.name.text.clone()),
        _ => None,
    })
}

/// `yard.price` is read as a column first.
pub(super) fn settle(item: &mut Item, uses: &BTreeSet<Box<str>>) {
    expressions_mut(&mut item.node, &mut |part| settle_part(part, uses));
}

fn settle_part(part: &mut Expression, uses: &BTreeSet<Box<str>>) {
    if let ExpressionNode::Column(names) = &part.node
        && uses.contains(&names.0.text)
    {
        part.node = ExpressionNode::Name(format!("{}.{}", names.0.text, names.1.text).into());
    }
}

/// Looks at every part of every expression of an item, rules and cases too.
fn expressions_mut(node: &mut Node, look: &mut impl FnMut(&mut Expression)) {
    match node {
        Node::Entry(entry) => value_mut(entry.value.as_mut(), look),
        Node::Expect(expect) => expect.condition.iter_mut().for_each(|part| each_part_mut(part, look)),
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
        Node::Case(case) => case
            .lines
            .iter_mut()
            .for_each(|line| value_mut(line.value.as_mut(), look)),
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

fn each_part_mut(expression: &mut Expression, look: &mut impl FnMut(&mut Expression)) {
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
pub struct Scope<'a> {
    /// What its own names begin with.
    pub prefix: &'a str,
    /// What the names of the worksheets that it uses itself begin with, by what it calls them.
    pub uses: &'a BTreeMap<Box<str>, String>,
}

impl Scope<'_> {
    /// Gives every name in the tree of a worksheet the form it has where another rests on it.
    /// Cases and plots stay behind.
    pub fn qualify(&self, sheet: &mut Worksheet) {
        let rules = sheet.items.iter().filter_map(|item| match &item.node {
            Node::Rule(rule) => Some(rule.name.text.clone()),
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
            name.text = self.name(&name.text);
        }
    }

    fn part(&self, part: &mut Expression, parameters: &[Box<str>], rules: &BTreeSet<Box<str>>) {
        match &mut part.node {
            ExpressionNode::Name(name) if !parameters.contains(name) => *name = self.name(name),
            ExpressionNode::Column(names) => names.0.text = self.name(&names.0.text),
            ExpressionNode::Call(call) => self.call(call, rules),
            _ => {}
        }
    }

    fn call(&self, call: &mut Call, rules: &BTreeSet<Box<str>>) {
        if call.name.text.contains('.') || rules.contains(&call.name.text) {
            call.name.text = self.name(&call.name.text);
        }
    }

    fn name(&self, name: &str) -> Box<str> {
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
        .map(|parameter| parameter.name.text.clone())
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
