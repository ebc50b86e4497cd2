//! What kind of value a place asks for, and what fits there.
//!
//! Start reading at [`wanted`].

use crate::syntax::openings;
use crate::trade::{ParameterKind, Shape};
use crate::unit::{Kind, Unit, conversion};

use super::Vocabulary;
use super::calls::Callee;
use super::standing::{OpenCall, Standing, last_word, without_number};

/// What kind of value is wanted at the end of `before`.
pub(super) fn wanted(known: &Vocabulary, standing: &Standing, before: &str) -> Option<Wanted> {
    if let Some(call) = standing.call() {
        let callee = Callee::of(known, &call.name)?;
        return callee.wanted(call);
    }
    compared(known, before).or_else(|| assigned(known, before))
}

/// The kind of value that a place asks for.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Wanted {
    /// What a parameter of a function takes.
    Parameter(ParameterKind, Shape),
    /// A value of the kind of another.
    Like(Kind),
}

impl Callee<'_> {
    fn wanted(&self, call: &OpenCall) -> Option<Wanted> {
        let place = self.place(call)?;
        match self {
            Callee::Function(function) => {
                let parameter = function.parameters.get(place)?;
                Some(Wanted::Parameter(parameter.kind, parameter.shape))
            }
            Callee::Rule(rule) => {
                let (_, unit) = rule.parameters.get(place)?;
                Some(Wanted::Like(Kind::Quantity((*unit)?)))
            }
        }
    }
}

impl Wanted {
    pub(super) fn fits(&self, kind: Kind) -> bool {
        let of_unit = |unit: &str| match (Unit::parse(unit), kind) {
            (Ok(wanted), Kind::Quantity(unit)) => conversion(unit, wanted).is_some(),
            _ => unit.is_empty() && kind == Kind::Quantity(Unit::ONE),
        };
        match self {
            Wanted::Like(Kind::Quantity(wanted)) => {
                matches!(kind, Kind::Quantity(unit) if conversion(unit, *wanted).is_some())
            }
            Wanted::Like(wanted) => wanted.is_like(kind),
            Wanted::Parameter(parameter, _) => match parameter {
                ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) => of_unit(unit),
                ParameterKind::Word(_) | ParameterKind::Names => kind == Kind::Text,
                ParameterKind::NumberOrWord(_) => kind == Kind::Text || of_unit(""),
                ParameterKind::Truth => kind == Kind::Truth,
                ParameterKind::Level => matches!(kind, Kind::Level | Kind::Decibels),
                ParameterKind::Times => matches!(kind, Kind::Counted(_) | Kind::Moment) || of_unit("h"),
                ParameterKind::Moment => kind == Kind::Moment,
                ParameterKind::Clock => kind == Kind::TimeOfDay,
                ParameterKind::Time => kind.is_time(),
                ParameterKind::AnyQuantity => matches!(kind, Kind::Quantity(_)),
                ParameterKind::LikeFirst | ParameterKind::Anything | ParameterKind::Table(_) => false,
            },
        }
    }

    pub(super) fn takes(&self, column: bool) -> bool {
        match self {
            Wanted::Parameter(_, Shape::Column) => column,
            _ => true,
        }
    }
}

/// The kind of the name that stands before an operator: `fuel <= 3 `.
fn compared(known: &Vocabulary, before: &str) -> Option<Wanted> {
    let head = without_number(before.trim_end()).trim_end();
    let operator = |c: char| matches!(c, '<' | '>' | '=' | '≤' | '≥' | '+' | '-' | '−');
    let left = head.trim_end_matches(operator);
    if left.len() == head.len() {
        return None;
    }
    known.kind_of(last_word(left.trim_end())).map(Wanted::Like)
}

/// The kind of the entry or input that is being given a value: `air = -5 `; what its
/// brackets say, or what it has.
fn assigned(known: &Vocabulary, before: &str) -> Option<Wanted> {
    let line = match before.starts_with("case") {
        true => before.rsplit('\n').next()?,
        false => before,
    };
    let head = line.get(..Standing::of(line).equals?)?;
    boxed_unit(head)
        .map(Kind::Quantity)
        .or_else(|| known.kind_of(named(head)?))
        .map(Wanted::Like)
}

/// The unit in the last brackets.
fn boxed_unit(head: &str) -> Option<Unit> {
    let (before, behind) = head.rsplit_once('[')?;
    let (unit, _) = behind.split_once(']')?;
    // Those of a parameter are not the entry's.
    let outside = Standing::of(before).calls.is_empty();
    Unit::parse(if unit.trim() == "h:min" { "h" } else { unit.trim() })
        .ok()
        .filter(|_| outside)
}

/// The name that a line is about: behind the word that opens it, or its first.
pub(super) fn named(head: &str) -> Option<&str> {
    let words = head.split(|c: char| c.is_whitespace() || matches!(c, '[' | '(' | '"' | '='));
    let mut words = words.filter(|word| !word.is_empty());
    let first = words.next()?;
    match openings().any(|word| word == first) {
        true => words.next(),
        false => Some(first),
    }
}
