//! Putting rules in place where they are called.
//!
//! A rule is unfolded at its call, so units are checked per call; an argument
//! that it uses more than once is computed once. What is wrong with a rule
//! wherever it is called from is reported in `rules`. Start reading at
//! [`Checker::rule_call`].

use crate::problem::Code;
use crate::syntax::tree::{Argument, Call, Expression, ExpressionNode, Name, Node as TreeNode, Rule};
use crate::text::{Span, in_backticks};
use crate::unit::{Kind, Unit};

use super::check_arguments::plural;
use super::checker::{Checker, Frame, describe, is_decibel};
use super::order::each_part;
use super::typed::{Node, Typed};

/// Arguments that are computed once, by number, and what each parameter stands for.
type Shared<'a> = (Vec<(u32, Typed)>, Vec<(&'a str, Option<Typed>)>);

/// How deep rules may call rules.
const DEEPEST_RULE: usize = 32;
/// How many rules one entry may unfold into.
const MOST_UNFOLDED: usize = 2_000;

impl<'a> Checker<'a> {
    pub(super) fn rule_call(&mut self, item: u32, call: &'a Call, span: Span) -> Option<Typed> {
        let rule = match self.known.sheet.node(item) {
            Some(TreeNode::Rule(rule)) => rule,
            _ => return None,
        };
        if self.frames.iter().any(|frame| frame.item == item) {
            self.blocked = true;
            return None;
        }
        self.unfolded += 1;
        if self.frames.len() >= DEEPEST_RULE || self.unfolded > MOST_UNFOLDED {
            if self.known.broken_rules.contains(&item) {
                self.blocked = true;
                return None;
            }
            let message =
                format!("rules unfold into too much here (more than {MOST_UNFOLDED}, or {DEEPEST_RULE} deep)");
            return self.problem(
                Code::RuleSize,
                message,
                call.name.span,
                Some("name a step in an entry of its own".to_owned()),
            );
        }
        let Some(body) = &rule.body else {
            self.blocked = true;
            return None;
        };
        let arguments = self.rule_arguments(rule, item, call, span)?;
        let (shared, parameters) = self.share(rule, arguments);
        let call_span = self.frames.first().map_or(span, |frame| frame.call);
        self.frames.push(Frame {
            item,
            parameters,
            call: call_span,
        });
        let value = self.expression(body);
        let value = value.and_then(|value| match &rule.unit {
            Some(unit) => self.shown_in(value, unit),
            None => Some(value),
        });
        self.frames.pop();
        let value = value?;
        let (kind, column) = (value.kind, value.column);
        Some(Typed::new(kind, column, span, Node::Let(shared, Box::new(value))))
    }

    /// A default sees neither entries nor parameters.
    fn rule_default(&mut self, item: u32, default: &'a Expression, span: Span) -> Option<Typed> {
        let frame = Frame {
            item,
            parameters: Vec::new(),
            call: self.frames.first().map_or(span, |frame| frame.call),
        };
        self.frames.push(frame);
        let value = self.expression(default);
        self.frames.pop();
        value.map(|value| Typed { span, ..value })
    }

    fn rule_arguments(&mut self, rule: &'a Rule, item: u32, call: &'a Call, span: Span) -> Option<Vec<Typed>> {
        let mut given: Vec<Option<&'a Argument>> = vec![None; rule.parameters.len()];
        for (position, argument) in call.arguments.iter().enumerate() {
            let index = match &argument.label {
                None => position,
                Some(label) => self.rule_label(rule, label)?,
            };
            let Some(place) = given.get_mut(index) else {
                let count = rule.parameters.len();
                let message = format!(
                    "rule `{}` takes {count} {}, and this is one more",
                    rule.name.text,
                    plural(count, "argument")
                );
                return self.problem(Code::ArgumentCount, message, argument.value.span, None);
            };
            if place.is_some() {
                let message = format!("this argument of rule `{}` is given twice", rule.name.text);
                return self.problem(Code::ArgumentName, message, argument.value.span, None);
            }
            *place = Some(argument);
        }
        let mut values = Vec::with_capacity(given.len());
        let mut failed = false;
        for (parameter, argument) in rule.parameters.iter().zip(given) {
            let value = match (argument, &parameter.default) {
                (Some(argument), _) => self.expression(&argument.value),
                (None, Some(default)) => self.rule_default(item, default, span),
                (None, None) => {
                    let message = format!("rule `{}` also needs `{}`", rule.name.text, parameter.name.text);
                    self.problem(Code::ArgumentCount, message, span, None)
                }
            };
            let value = value.map(|value| self.settle(value));
            let value = value.and_then(|value| self.rule_fit(rule, parameter, value));
            failed |= value.is_none();
            values.extend(value);
        }
        if failed { None } else { Some(values) }
    }

    fn rule_label(&mut self, rule: &Rule, label: &Name) -> Option<usize> {
        if let Some(index) = rule
            .parameters
            .iter()
            .position(|parameter| parameter.name.text == label.text)
        {
            return Some(index);
        }
        let names: Vec<&str> = rule.parameters.iter().map(|parameter| &*parameter.name.text).collect();
        let message = format!("rule `{}` has no parameter `{}`", rule.name.text, label.text);
        self.problem(
            Code::ArgumentName,
            message,
            label.span,
            Some(format!("its parameters are {}", in_backticks(&names))),
        )
    }

    fn rule_fit(&mut self, rule: &Rule, parameter: &crate::syntax::tree::RuleParameter, value: Typed) -> Option<Typed> {
        let Some(wanted) = &parameter.unit else {
            return Some(value);
        };
        let kind = if is_decibel(wanted.unit) {
            Kind::Level
        } else {
            Kind::Quantity(wanted.unit)
        };
        match self.fit(value, kind) {
            Ok(value) => Some(value),
            Err(value) => {
                let (code, help) = self.clash_code(value.kind, kind);
                let message = format!(
                    "`{}` of rule `{}` takes {}, and this is {}",
                    parameter.name.text,
                    rule.name.text,
                    describe(kind),
                    describe(value.kind)
                );
                let help = if code == Code::BareNumber {
                    let named = self.unitless(&value, wanted.unit);
                    named.or_else(|| Some(format!("write `{} {}`", self.written(value.span), wanted.unit)))
                } else {
                    help
                };
                let bare = code == Code::BareNumber && wanted.unit != Unit::ONE;
                let mend = self.with_unit(value.span, wanted.unit).filter(|_| bare);
                self.mendable(code, message, value.span, help, mend)
            }
        }
    }

    /// What is used once is put in as it is, and so computed only where it is
    /// needed; what is used more often is computed once.
    fn share(&mut self, rule: &'a Rule, arguments: Vec<Typed>) -> Shared<'a> {
        let mut shared = Vec::new();
        let mut parameters = Vec::with_capacity(arguments.len());
        for (parameter, value) in rule.parameters.iter().zip(arguments) {
            let stands_for = match value.node {
                _ if uses(rule, &parameter.name.text) <= 1 => value,
                Node::Constant(_) | Node::Cell(_) | Node::Column(_) | Node::Shared(_) => value,
                _ => {
                    let number = self.next_shared;
                    self.next_shared += 1;
                    let stand_in = Typed {
                        node: Node::Shared(number),
                        ..value.clone()
                    };
                    shared.push((number, value));
                    stand_in
                }
            };
            parameters.push((&*parameter.name.text, Some(stands_for)));
        }
        (shared, parameters)
    }
}

/// How often a rule's body names a parameter.
fn uses(rule: &Rule, parameter: &str) -> usize {
    let mut uses = 0;
    if let Some(body) = &rule.body {
        each_part(body, &mut |part| {
            uses += usize::from(matches!(&part.node, ExpressionNode::Name(name) if **name == *parameter));
        });
    }
    uses
}
