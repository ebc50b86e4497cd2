//! The call that is open, and what its parameters take.
//!
//! Start reading at [`open_signature`].

use crate::report::pages::{signature, signature_part};
use crate::text::Span;
use crate::trade::registry::function;
use crate::trade::{Function, ParameterKind, Shape};

use super::Vocabulary;
use super::standing::{OpenCall, Standing};
use super::vocabulary::KnownRule;

/// What is called: a function of the trade, or a rule of the worksheet.
pub(super) enum Callee<'a> {
    Function(&'static Function),
    Rule(&'a KnownRule),
}

impl<'a> Callee<'a> {
    pub(super) fn of(known: &'a Vocabulary, name: &str) -> Option<Callee<'a>> {
        let rule = || known.rules.iter().find(|rule| rule.name == name).map(Callee::Rule);
        function(name).map(Callee::Function).or_else(rule)
    }

    pub(super) fn names(&self) -> Vec<String> {
        match self {
            Callee::Function(function) => function.parameters.iter().map(|one| one.name.to_owned()).collect(),
            Callee::Rule(rule) => rule.parameters.iter().map(|(name, _)| name.clone()).collect(),
        }
    }

    pub(super) fn meaning(&self, index: usize) -> String {
        match self {
            Callee::Function(function) => function.parameters.get(index).map_or("", |one| one.meaning).to_owned(),
            Callee::Rule(_) => String::new(),
        }
    }

    /// The parameter that the argument at hand is for.
    pub(super) fn place(&self, call: &OpenCall) -> Option<usize> {
        let names = self.names();
        if let Some(label) = &call.label {
            return names.iter().position(|name| name == label);
        }
        let several = matches!(self, Callee::Function(function)
            if function.parameters.last().is_some_and(|last| last.shape == Shape::Several));
        match call.argument < names.len() {
            true => Some(call.argument),
            false if several => names.len().checked_sub(1),
            false => None,
        }
    }

    pub(super) fn kind(&self, call: &OpenCall) -> Option<ParameterKind> {
        match self {
            Callee::Function(function) => Some(function.parameters.get(self.place(call)?)?.kind),
            Callee::Rule(_) => None,
        }
    }
}

/// A call that is being typed, as it is declared.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Signature {
    /// The whole head, as it is typed.
    pub head: String,
    /// The parameters as they stand in it, by the bytes of the head.
    pub parameters: Vec<Span>,
    /// What each parameter means; may be empty.
    pub meanings: Vec<String>,
    /// What the function does; may be empty.
    pub summary: String,
    /// The parameter that is being given, by its place.
    pub active: Option<usize>,
}

/// The innermost call that is open at the end of `before`.
pub fn open_signature(known: &Vocabulary, before: &str) -> Option<Signature> {
    let standing = Standing::of(before);
    if standing.silent {
        return None;
    }
    let call = standing.calls.iter().rev().find(|call| !call.name.is_empty())?;
    let callee = Callee::of(known, &call.name)?;
    let active = callee.place(call);
    Some(match &callee {
        Callee::Function(function) => Signature {
            parameters: places(&signature(function), function.parameters.iter().map(signature_part)),
            head: signature(function),
            meanings: function.parameters.iter().map(|one| one.meaning.to_owned()).collect(),
            summary: function.summary.to_owned(),
            active,
        },
        Callee::Rule(rule) => Signature {
            parameters: places(&rule.head, callee.names().into_iter()),
            head: rule.head.clone(),
            meanings: vec![String::new(); rule.parameters.len()],
            summary: "a rule of this worksheet".to_owned(),
            active,
        },
    })
}

/// Where the parameters stand in a head, one behind the other.
fn places(head: &str, parameters: impl Iterator<Item = String>) -> Vec<Span> {
    let mut from = head.find('(').map_or(0, |open| open + 1);
    let mut places = Vec::new();
    for parameter in parameters {
        let rest = head.get(from..).unwrap_or("");
        let ahead = rest.match_indices(parameter.as_str());
        let mut ahead = ahead.filter(|(at, _)| rest.get(..*at).is_some_and(is_between));
        let start = from + ahead.next().map_or(0, |(at, _)| at);
        places.push(Span::new(start, start + parameter.len()));
        from = start + parameter.len();
    }
    places
}

/// Whether a parameter may begin behind `before`.
fn is_between(before: &str) -> bool {
    before.trim_end().is_empty() || before.trim_end().ends_with(',')
}
