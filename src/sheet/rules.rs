//! Rules looked at in themselves: what they name, and whether they come back to themselves.
//!
//! Kinds and units of a rule are checked where it is called; what is wrong
//! wherever it is called from is reported here, once, at the rule, and calls of
//! it wait. Start reading at [`Sheet::check_rules`].

use std::collections::BTreeSet;

use crate::problem::{Code, Place, Problem, Severity};
use crate::syntax::tree::{Expression, ExpressionNode, Name, Node, Rule};
use crate::text::nearest;
use crate::trade::registry::{function, functions};

use super::Sheet;
use super::names::{Named, Names};
use super::order::each_part;

impl Sheet {
    /// Reports names, functions and loops that no call could mend.
    pub(super) fn check_rules(&mut self) {
        let mut problems = Vec::new();
        let mut looping = BTreeSet::new();
        for (index, item) in (0u32..).zip(&self.tree.items) {
            let Node::Rule(rule) = &item.node else { continue };
            let parameters: Vec<&str> = rule.parameters.iter().map(|parameter| &*parameter.name.text).collect();
            let of_rule = InRule {
                rule,
                item: index,
                names: &self.names,
            };
            if let Some(body) = &rule.body {
                of_rule.check(body, &parameters, &mut problems);
            }
            for default in rule
                .parameters
                .iter()
                .filter_map(|parameter| parameter.default.as_ref())
            {
                of_rule.check(default, &[], &mut problems);
            }
            if !looping.contains(&index)
                && self.names.get(&rule.name.text) == Some(Named::Rule(index))
                && let Some(path) = self.way_back(index)
            {
                problems.push(self.rule_loop(rule, index, &path));
                looping.extend(path);
            }
        }
        self.static_problems.extend(problems);
    }

    fn rule_at(&self, item: u32) -> Option<&Rule> {
        match self.tree.items.get(item as usize).map(|item| &item.node) {
            Some(Node::Rule(rule)) => Some(rule),
            _ => None,
        }
    }

    /// Whether a rule, or one that it calls, has a problem of its own.
    pub(super) fn rule_is_broken(&self, item: u32) -> bool {
        let mut seen = BTreeSet::from([item]);
        let mut open = vec![item];
        while let Some(item) = open.pop() {
            let broken = |problem: &Problem| problem.place.item == item && problem.severity == Severity::Problem;
            let bodiless = self.rule_at(item).is_none_or(|rule| rule.body.is_none());
            if bodiless || self.static_problems.iter().any(broken) {
                return true;
            }
            open.extend(self.called_by(item).into_iter().filter(|next| seen.insert(*next)));
        }
        false
    }

    /// The rules that a rule calls, in the order of its body.
    fn called_by(&self, item: u32) -> Vec<u32> {
        let mut called = Vec::new();
        let rule = self.rule_at(item);
        let defaults = rule
            .into_iter()
            .flat_map(|rule| &rule.parameters)
            .filter_map(|parameter| parameter.default.as_ref());
        for part in rule.and_then(|rule| rule.body.as_ref()).into_iter().chain(defaults) {
            each_part(part, &mut |part| {
                if let ExpressionNode::Call(call) = &part.node
                    && let Some(Named::Rule(other)) = self.names.get(&call.name.text)
                {
                    called.push(other);
                }
            });
        }
        called
    }

    /// The shortest way from a rule back to itself.
    fn way_back(&self, start: u32) -> Option<Vec<u32>> {
        let mut seen = BTreeSet::new();
        let mut paths = std::collections::VecDeque::from([vec![start]]);
        while let Some(path) = paths.pop_front() {
            let last = path.last().copied().unwrap_or(start);
            for next in self.called_by(last) {
                if next == start {
                    return Some(path);
                }
                if seen.insert(next) {
                    paths.push_back(path.iter().copied().chain([next]).collect());
                }
            }
        }
        None
    }

    fn rule_loop(&self, rule: &Rule, item: u32, path: &[u32]) -> Problem {
        let place = Place::new(item, rule.name.span);
        let help = "work the steps out in entries of their own";
        if path.len() == 1 {
            let message = format!("rule `{}` calls itself", rule.name.text);
            return Problem::new(Code::RuleLoop, message, place).help(help);
        }
        let turned = path.iter().chain(path.first());
        let named = turned.filter_map(|item| {
            Some(format!(
                "`{}` (line {})",
                self.rule_at(*item)?.name.text,
                self.line(*item)
            ))
        });
        let named: Vec<String> = named.collect();
        let message = format!("these rules call each other: {}", named.join(" → "));
        Problem::new(Code::RuleLoop, message, place).help(help)
    }
}

/// A rule whose parts are looked at.
#[derive(Clone, Copy)]
struct InRule<'a> {
    rule: &'a Rule,
    item: u32,
    names: &'a Names,
}

impl InRule<'_> {
    fn check(self, expression: &Expression, parameters: &[&str], problems: &mut Vec<Problem>) {
        each_part(expression, &mut |part| {
            problems.extend(match &part.node {
                ExpressionNode::Name(name) => self.no_parameter(name, part, parameters),
                ExpressionNode::Column(_) => Some(self.no_column(part)),
                ExpressionNode::Call(call) => self.no_function(&call.name),
                _ => None,
            });
        });
    }

    fn no_parameter(self, name: &str, part: &Expression, parameters: &[&str]) -> Option<Problem> {
        if parameters.contains(&name) {
            return None;
        }
        let message = if parameters.is_empty() && !self.rule.parameters.is_empty() {
            format!("the default of a parameter is a constant, and `{name}` is none")
        } else if self.names.get(name).is_some() {
            format!("a rule sees only its parameters, and `{name}` is none of them")
        } else {
            format!("rule `{}` has no parameter `{name}`", self.rule.name.text)
        };
        let help = match nearest(name, parameters.iter().copied()) {
            Some(near) => format!("write `{near}`, if that is meant"),
            None => format!("add `{name}` to its parameters"),
        };
        Some(Problem::new(Code::UnknownName, message, Place::new(self.item, part.span)).help(help))
    }

    fn no_column(self, part: &Expression) -> Problem {
        let message = "a rule sees only its parameters, not the columns of a table";
        Problem::new(Code::UnknownName, message, Place::new(self.item, part.span)).help("make the column a parameter")
    }

    fn no_function(self, name: &Name) -> Option<Problem> {
        if function(&name.text).is_some() || self.names.get(&name.text).is_some() {
            return None;
        }
        let message = format!("there is no function or rule `{}`", name.text);
        let problem = Problem::new(Code::UnknownFunction, message, Place::new(self.item, name.span));
        Some(match nearest(&name.text, functions().map(|function| function.name)) {
            Some(near) => problem.help(format!("write `{near}(…)`, if that is meant")),
            None => problem,
        })
    }
}
