//! Rules looked at in themselves: what they name, and whether they come back to themselves.
//!
//! Kinds and units of a rule are checked where it is called; what is wrong
//! wherever it is called from is reported here, once, at the rule, and calls of
//! it wait. Start reading at [`Model::check_rules`].

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::problem::{Code, Place, Problem, Severity};
use crate::syntax::tree::{Expression, ExpressionNode, Name, Node, Rule};
use crate::text::nearest;
use crate::trade::registry::{function, functions};

use super::model::Model;
use super::names::{Named, Names};
use super::order::each_part;

impl Model {
    /// Reports names, functions and loops that no call could mend.
    pub(super) fn check_rules(&mut self) {
        let mut problems = Vec::new();
        let mut looping = BTreeSet::new();
        let calls = self.calls();
        let near_loops = calls.near_loops();
        for (index, item) in self.tree.every_item() {
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
            if near_loops.contains(&index)
                && !looping.contains(&index)
                && self.names.get(&rule.name.text) == Some(Named::Rule(index))
                && let Some(path) = calls.way_back(index)
            {
                problems.push(self.rule_loop(rule, index, &path));
                looping.extend(path);
            }
        }
        self.static_problems.extend(problems);
        self.broken_rules = self.find_broken_rules(&calls);
    }

    fn rule_at(&self, item: u32) -> Option<&Rule> {
        match self.tree.node(item) {
            Some(Node::Rule(rule)) => Some(rule),
            _ => None,
        }
    }

    /// Whether a rule, or one that it calls, has a problem of its own.
    pub(super) fn rule_is_broken(&self, item: u32) -> bool {
        self.broken_rules.contains(&item)
    }

    /// The rules with a problem of their own, and all that call one of them.
    fn find_broken_rules(&self, calls: &Calls) -> BTreeSet<u32> {
        let troubled = self.static_problems.iter().filter_map(|problem| {
            let weighs = problem.severity == Severity::Problem && calls.called.contains_key(&problem.place.item);
            weighs.then_some(problem.place.item)
        });
        let bodiless = calls.called.keys().copied().filter(|item| {
            let rule = self.rule_at(*item);
            rule.is_none_or(|rule| rule.body.is_none())
        });
        let mut broken: BTreeSet<u32> = troubled.chain(bodiless).collect();
        let mut open: Vec<u32> = broken.iter().copied().collect();
        while let Some(item) = open.pop() {
            let callers = calls.callers.get(&item).into_iter().flatten();
            open.extend(callers.copied().filter(|caller| broken.insert(*caller)));
        }
        broken
    }

    /// Who calls whom among the rules.
    fn calls(&self) -> Calls {
        let mut calls = Calls::default();
        for (index, item) in self.tree.every_item() {
            if !matches!(item.node, Node::Rule(_)) {
                continue;
            }
            let called = self.called_by(index);
            for other in &called {
                calls.callers.entry(*other).or_default().push(index);
            }
            calls.called.insert(index, called);
        }
        calls
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
                "`{}` ({})",
                self.rule_at(*item)?.name.text,
                self.standing_at(*item)
            ))
        });
        let named: Vec<String> = named.collect();
        let message = format!("these rules call each other: {}", named.join(" → "));
        Problem::new(Code::RuleLoop, message, place).help(help)
    }
}

/// Who calls whom among the rules.
#[derive(Default)]
struct Calls {
    called: BTreeMap<u32, Vec<u32>>,
    callers: BTreeMap<u32, Vec<u32>>,
}

impl Calls {
    /// The rules from which a loop can be reached; most worksheets have none,
    /// so a long chain of rules isn't walked once for each of them.
    fn near_loops(&self) -> BTreeSet<u32> {
        let mut left: BTreeMap<u32, usize> = self.called.iter().map(|(item, called)| (*item, called.len())).collect();
        let mut open: Vec<u32> = left
            .iter()
            .filter(|(_, count)| **count == 0)
            .map(|(item, _)| *item)
            .collect();
        while let Some(item) = open.pop() {
            left.remove(&item);
            for caller in self.callers.get(&item).into_iter().flatten() {
                let Some(count) = left.get_mut(caller) else { continue };
                *count = count.saturating_sub(1);
                if *count == 0 {
                    open.push(*caller);
                }
            }
        }
        left.into_keys().collect()
    }

    /// The shortest way from a rule back to itself.
    fn way_back(&self, start: u32) -> Option<Vec<u32>> {
        let mut reached_from = BTreeMap::new();
        let mut open = VecDeque::from([start]);
        while let Some(item) = open.pop_front() {
            for next in self.called.get(&item).into_iter().flatten() {
                if *next == start {
                    return Some(path_to(item, start, &reached_from));
                }
                if let Entry::Vacant(place) = reached_from.entry(*next) {
                    place.insert(item);
                    open.push_back(*next);
                }
            }
        }
        None
    }
}

fn path_to(end: u32, start: u32, reached_from: &BTreeMap<u32, u32>) -> Vec<u32> {
    let mut path = vec![end];
    let mut at = end;
    while at != start
        && let Some(before) = reached_from.get(&at)
    {
        at = *before;
        path.push(at);
    }
    path.reverse();
    path
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
        let near = nearest(name, parameters.iter().copied());
        let help = match near {
            Some(near) => format!("write `{near}`, if that is meant"),
            None if matches!(self.names.get(name), Some(Named::Table(_))) => {
                "make what it needs of the table a parameter, such as its last time".to_owned()
            }
            None => format!("add `{name}` to its parameters"),
        };
        let problem = Problem::new(Code::UnknownName, message, Place::new(self.item, part.span)).help(help);
        // Parentheses may have widened the place of the name.
        Some(match near.filter(|_| part.span.len() == name.len()) {
            Some(near) => problem.mend(part.span, near),
            None => problem,
        })
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
            Some(near) => problem
                .help(format!("write `{near}(…)`, if that is meant"))
                .mend(name.span, near),
            None => problem,
        })
    }
}
