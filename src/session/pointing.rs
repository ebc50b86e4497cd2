//! What stands at a place of the text, where it is defined, and where else it stands.
//!
//! Names are found in the tree, so that texts and remarks are left alone; units,
//! words of the language, and whatever stands in a line that can't be read are
//! told by their letters. Renaming rests on the same walk.
//! Start reading at [`Session::pointed`].

use std::path::PathBuf;

use crate::report::language::term;
use crate::sheet::names::Named;
use crate::syntax::tree::{
    BinaryOperator, Call, Case, Expression, ExpressionNode, Item, Name, Node, Rule, Table, TableContent, Value,
};
use crate::syntax::{inner_words, openings, parse};
use crate::text::Span;
use crate::trade::registry::function;
use crate::unit::Unit;

use super::Session;
use super::completion::{expects_unit, is_silent};

/// What is pointed at.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Target {
    /// An entry, a table or a rule.
    Name(String),
    /// A column of a table.
    Column(String, String),
    /// What calls a row, with its column: `loads.hours of "lamp"`.
    Cell(String),
    /// A case.
    Case(String),
    /// A parameter of a rule or a function, called so.
    Parameter(String, String),
    /// A function of the trade.
    Function(String),
    /// A unit.
    Unit(String),
    /// A word of the language.
    Word(String),
}

/// Something pointed at, and where it stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mark {
    /// What it is.
    pub target: Target,
    /// The bytes of the text.
    pub span: Span,
    /// Whether it is defined here.
    pub defines: bool,
}

impl Session {
    /// What stands at a byte of the text, or ends there.
    pub fn pointed(&self, at: usize) -> Option<Mark> {
        let tree = self.sheet.tree();
        let behind = tree.items.partition_point(|item| item.start as usize <= at);
        let index = behind.checked_sub(1)?;
        let found = self.marks_of(index).into_iter();
        let around = |mark: &Mark| mark.span.start as usize <= at && at <= mark.span.end as usize;
        let mut found: Vec<Mark> = found.filter(around).collect();
        // Of two that meet at the place, the one that begins there.
        found.sort_by_key(|mark| mark.span.start);
        found.pop().or_else(|| self.lettered(index, at))
    }

    /// Where it is defined: nowhere for functions, units and words.
    pub fn definitions(&self, target: &Target) -> Vec<Span> {
        let marks = self.marks(target).into_iter().filter(|mark| mark.defines);
        let found: Vec<Span> = marks.map(|mark| mark.span).collect();
        match target {
            Target::Column(table, _) if found.is_empty() => self.definitions(&Target::Name(table.clone())),
            _ => found,
        }
    }

    /// Where it is defined in another worksheet that this one rests on: the file, its text, and
    /// the place in it; of a `use` the file itself.
    pub(crate) fn defined_beyond(&self, target: &Target) -> Option<(PathBuf, &str, Span)> {
        let name = match target {
            Target::Name(name) | Target::Column(name, _) => name,
            _ => return None,
        };
        let names = self.sheet.names();
        let item = match names.get(name)? {
            Named::Use(_) => {
                let file = self
                    .sheet
                    .used_files()
                    .iter()
                    .find(|file| file.prefix == format!("{name}."))?;
                return Some((self.file_path(&file.name), &file.sheet.text, Span::default()));
            }
            named => names.item_of(named),
        };
        let file = self.sheet.file_of(item)?;
        let item = self.sheet.tree().item(item)?;
        let span = match &item.node {
            Node::Entry(entry) => entry.name.span,
            Node::Table(table) => table.name.span,
            Node::Rule(rule) => rule.name.span,
            _ => return None,
        };
        Some((
            self.file_path(&file.name),
            &file.sheet.text,
            span.shifted(item.start as usize),
        ))
    }

    /// Everywhere it stands in the tree, its definition among them.
    pub fn marks(&self, target: &Target) -> Vec<Mark> {
        let items = 0..self.sheet.tree().items.len();
        let all = items.flat_map(|index| self.marks_of(index));
        all.filter(|mark| mark.target == *target).collect()
    }

    /// All names in one item.
    pub(super) fn marks_of(&self, index: usize) -> Vec<Mark> {
        let tree = self.sheet.tree();
        let Some(item) = tree.items.get(index) else {
            return Vec::new();
        };
        let mut walk = Walk {
            text: tree.text_of(index),
            start: item.start as usize,
            rule: None,
            found: Vec::new(),
        };
        walk.item(item);
        walk.found
    }

    /// What a word is by its letters: a unit, a word of the language, or a name.
    fn lettered(&self, index: usize, at: usize) -> Option<Mark> {
        let tree = self.sheet.tree();
        let text = tree.text_of(index);
        let start = tree.items.get(index)?.start as usize;
        let inside = at.checked_sub(start)?;
        let span = word_around(text, inside)?;
        let before = text.get(..span.start as usize)?;
        if is_silent(before) {
            return None;
        }
        let word = span.of(text);
        let target = self.target_of(word, before)?;
        Some(Mark {
            target,
            span: span.shifted(start),
            defines: false,
        })
    }

    fn target_of(&self, word: &str, before: &str) -> Option<Target> {
        let names = self.sheet.names();
        let owned = word.to_owned();
        if is_word_of_language(word, before) && term(word).is_some() {
            return Some(Target::Word(owned));
        }
        let is_sign = matches!(word, "$" | "€" | "£");
        if (is_sign || expects_unit(before)) && Unit::parse(word).is_ok() {
            return Some(Target::Unit(owned));
        }
        if names.get(word).is_some() {
            return Some(Target::Name(owned));
        }
        if function(word).is_some() {
            return Some(Target::Function(owned));
        }
        None
    }
}

fn is_word_of_language(word: &str, before: &str) -> bool {
    let line = before.rsplit('\n').next().unwrap_or(before);
    match word {
        "±" | "?" => true,
        "csv" => before.trim_end().ends_with('='),
        "sd" | "k" | "df" => line.contains('±') || line.contains("+/-"),
        _ => openings().chain(inner_words()).any(|known| known == word),
    }
}

/// The word around a byte: letters of a name or a unit, or one sign.
fn word_around(text: &str, at: usize) -> Option<Span> {
    let is_word = |c: &char| c.is_alphanumeric() || matches!(c, '_' | '°' | '%' | '$' | '€' | '£');
    let (before, behind) = text.split_at_checked(at)?;
    let back: usize = before.chars().rev().take_while(is_word).map(char::len_utf8).sum();
    let ahead: usize = behind.chars().take_while(is_word).map(char::len_utf8).sum();
    if back + ahead == 0 {
        let sign = behind.chars().next().filter(|c| matches!(c, '±' | '?'))?;
        return Some(Span::new(at, at + sign.len_utf8()));
    }
    let word = text.get(at - back..at + ahead)?;
    // `$3.89`: the sign stands before its number.
    let sign = word.chars().next().filter(|c| matches!(c, '$' | '€' | '£'));
    if let Some(sign) = sign.filter(|sign| word.get(sign.len_utf8()..).is_some_and(opens_number)) {
        let end = at - back + sign.len_utf8();
        return Some(Span::new(at - back, end)).filter(|_| at <= end);
    }
    // `20lb`: the unit begins behind the digits.
    let digits = word.len() - word.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    Some(Span::new(at - back + digits, at + ahead)).filter(|span| !span.is_empty())
}

fn opens_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// Finds the names in one item.
struct Walk<'a> {
    text: &'a str,
    start: usize,
    rule: Option<&'a Rule>,
    found: Vec<Mark>,
}

impl<'a> Walk<'a> {
    fn item(&mut self, item: &'a Item) {
        match &item.node {
            Node::Entry(entry) => {
                self.entry_name(&entry.name);
                self.value(entry.value.as_ref());
            }
            Node::Expect(expect) => expect.expressions().for_each(|part| self.expression(part)),
            Node::Table(table) => self.table(table),
            Node::Case(case) => self.case(case),
            Node::Plot(plot) => {
                plot.columns().for_each(|column| self.expression(column));
            }
            Node::Rule(rule) => self.rule(rule),
            Node::Use(line) => self.define(&line.name, Target::Name(line.name.text.to_string())),
            _ => {}
        }
    }

    /// A worked column names its table and defines its own name there.
    fn entry_name(&mut self, name: &Name) {
        match (name.of_table(), name.spans(self.text)) {
            (Some((table, column)), (Some(of), own)) => {
                self.mark(of, Target::Name(table.to_owned()), false);
                self.mark(own, Target::Column(table.to_owned(), column.to_owned()), true);
            }
            _ => self.define(name, Target::Name(name.text.to_string())),
        }
    }

    fn table(&mut self, table: &'a Table) {
        self.define(&table.name, Target::Name(table.name.text.to_string()));
        match &table.content {
            Some(TableContent::Function(call)) => self.expression(call),
            Some(TableContent::Rows(rows)) => {
                for name in rows.headings.iter().filter_map(|heading| heading.name.as_ref()) {
                    let target = Target::Column(table.name.text.to_string(), name.text.to_string());
                    self.define(name, target);
                }
            }
            _ => {}
        }
    }

    fn case(&mut self, case: &'a Case) {
        self.define(&case.name, Target::Case(case.name.text.to_string()));
        for line in &case.lines {
            match &line.cell {
                Some(cell) => self.expression(cell),
                None => self.path(line.name.span, Target::Name(line.name.text.to_string())),
            }
            self.value(line.value.as_ref());
        }
    }

    fn rule(&mut self, rule: &'a Rule) {
        self.define(&rule.name, Target::Name(rule.name.text.to_string()));
        self.rule = Some(rule);
        for parameter in &rule.parameters {
            let target = Target::Parameter(rule.name.text.to_string(), parameter.name.text.to_string());
            self.define(&parameter.name, target);
            parameter.default.iter().for_each(|default| self.expression(default));
        }
        rule.body.iter().for_each(|body| self.expression(body));
    }

    fn value(&mut self, value: Option<&'a Value>) {
        if let Some(Value::Given { expression, .. }) = value {
            self.expression(expression);
        }
    }

    fn expression(&mut self, expression: &'a Expression) {
        match &expression.node {
            ExpressionNode::Name(name) => {
                let target = match self.rule {
                    Some(rule) => Target::Parameter(rule.name.text.to_string(), name.to_string()),
                    None => Target::Name(name.to_string()),
                };
                self.bare(expression.span, name, target);
            }
            ExpressionNode::Column(names) => {
                let (table, column) = (&names.0, &names.1);
                self.path(table.span, Target::Name(table.text.to_string()));
                let target = Target::Column(table.text.to_string(), column.text.to_string());
                self.mark(column.span, target, false);
            }
            ExpressionNode::Unary(_, inner) => self.expression(inner),
            ExpressionNode::Binary(operator, _, sides) => {
                self.expression(&sides.0);
                self.expression(&sides.1);
                if *operator == BinaryOperator::Of && is_literal(&sides.1) {
                    let called = sides.0.span.to(sides.1.span).of(self.text);
                    self.mark(sides.1.span, Target::Cell(called.to_owned()), false);
                }
            }
            ExpressionNode::Comparison(comparison) => {
                self.expression(&comparison.first);
                comparison.links.iter().for_each(|(_, _, side)| self.expression(side));
            }
            ExpressionNode::Call(call) => self.call(call),
            ExpressionNode::If(parts) => {
                for part in [&parts.0, &parts.1, &parts.2] {
                    self.expression(part);
                }
            }
            _ => {}
        }
    }

    fn call(&mut self, call: &'a Call) {
        let name = call.name.text.to_string();
        let target = match function(&name) {
            Some(_) => Target::Function(name.clone()),
            None => Target::Name(name.clone()),
        };
        self.path(call.name.span, target);
        for argument in &call.arguments {
            if let Some(label) = &argument.label {
                let target = Target::Parameter(name.clone(), label.text.to_string());
                self.mark(label.span, target, false);
            }
            self.expression(&argument.value);
        }
    }

    fn define(&mut self, name: &Name, target: Target) {
        self.mark(name.span, target, true);
    }

    fn mark(&mut self, span: Span, target: Target, defines: bool) {
        self.found.push(Mark {
            target,
            span: span.shifted(self.start),
            defines,
        });
    }

    /// A name, with what the worksheet is called before it that it goes through: `yard.price`.
    fn path(&mut self, span: Span, target: Target) {
        let written = span.of(self.text);
        let own = match written.split_once('.') {
            Some((used, _)) => {
                let used_span = Span::new(span.start as usize, span.start as usize + used.len());
                self.mark(used_span, Target::Name(used.to_owned()), false);
                Span::new(used_span.end as usize + 1, span.end as usize)
            }
            None => span,
        };
        self.mark(own, target, false);
    }

    /// Takes the name out of a span that parentheses may have widened.
    fn bare(&mut self, span: Span, name: &str, target: Target) {
        let text = span.of(self.text);
        let around = |c: char| c.is_whitespace() || matches!(c, '(' | ')');
        let start = text.len() - text.trim_start_matches(around).len();
        let word = text.trim_matches(around);
        if word == name || same_name(word, name) {
            let start = span.start as usize + start;
            self.path(Span::new(start, start + word.len()), target);
        }
    }
}

/// Whether it is written out and names nothing.
fn is_literal(expression: &Expression) -> bool {
    matches!(
        expression.node,
        ExpressionNode::Text(_)
            | ExpressionNode::RowNumber(_)
            | ExpressionNode::Number(_)
            | ExpressionNode::Quantity { .. }
            | ExpressionNode::TimeOfDay(_)
            | ExpressionNode::CountedTime(_)
            | ExpressionNode::Moment(_)
    )
}

/// Whether a word written in another Unicode form is the name.
fn same_name(word: &str, name: &str) -> bool {
    let parsed = parse(format!("assumed {word} = 1"));
    matches!(parsed.items.first().map(|item| &item.node), Some(Node::Entry(entry)) if &*entry.name.text == name)
}
