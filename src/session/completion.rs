//! What may stand at a place: words to complete, and the call that is open there.
//!
//! Both the line editor of a terminal and an editor of whole worksheets ask here.
//! Units stand behind numbers and in brackets, those of the kind wanted first;
//! in a call, names that fit the parameter come before the rest, and parameters
//! that have been given are not offered again. Where nothing but a new name, a text
//! or a constant may stand, no name is offered. Start reading at [`offers`].

use crate::syntax::openings;
use crate::trade::registry::functions;
use crate::trade::{Function, ParameterKind, ResultKind};
use crate::unit::symbol::{Symbol, symbols};
use crate::unit::{Kind, Unit};

use super::verbs::VERBS;

mod calls;
mod fitting;
mod spot;
mod standing;
mod vocabulary;

pub use calls::{Signature, open_signature};
pub use standing::{OpenCall, expects_unit, is_open, is_silent, word_start};
pub use vocabulary::Vocabulary;

use calls::Callee;
use fitting::{Wanted, wanted};
use spot::Spot;
use standing::{Standing, behind_number, continues_unit};

/// What a word that is offered is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sort {
    /// A verb of the interactive session.
    Verb,
    /// A word of the language.
    Word,
    /// An entry.
    Entry,
    /// A table.
    Table,
    /// A column of a table.
    Column,
    /// A case.
    Case,
    /// A heading.
    Section,
    /// A rule of the worksheet.
    Rule,
    /// A function of the trade.
    Function,
    /// A parameter of the function that is called.
    Parameter,
    /// A unit.
    Unit,
    /// A word of a closed list, in quotes.
    Choice,
}

/// A word that may stand there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offer {
    /// As it is listed.
    pub shown: String,
    /// What is put in place of the word being typed.
    pub put: String,
    /// What it is.
    pub sort: Sort,
    /// A word on it; may be empty.
    pub detail: String,
    /// How well it fits: 0 is best.
    pub rank: u8,
}

/// What is being typed into.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Typing {
    /// A line of the interactive session.
    Line,
    /// A worksheet.
    Worksheet,
}

/// The words that may stand behind `before`, which begins where the line or the item
/// does, in place of `word`, the last piece of it.
pub fn offers(known: &Vocabulary, typing: Typing, before: &str, word: &str) -> Vec<Offer> {
    let mut found = match Standing::of(before) {
        standing if standing.text.is_some() => choices(known, &standing, before),
        standing if standing.silent => Vec::new(),
        standing if standing.boxed => units(boxed_kind(known, before), word),
        _ if continues_unit(before) => units(None, word),
        standing if behind_number(before) => units(wanted(known, &standing, before), word),
        standing => words(known, typing, &standing, before),
    };
    let lower = word.to_lowercase();
    found.retain(|offer| offer.shown.to_lowercase().starts_with(&lower));
    if found.iter().any(|offer| offer.sort == Sort::Unit) {
        // `m` is not `M`, where both would do.
        let exact = found.iter().any(|offer| offer.shown.starts_with(word));
        found.retain(|offer| !exact || offer.shown.starts_with(word));
    }
    found.sort_by_key(|offer| offer.rank);
    found.dedup_by(|one, other| one.put == other.put);
    found
}

fn offer(shown: &str, put: String, sort: Sort, detail: String, rank: u8) -> Offer {
    Offer {
        shown: shown.to_owned(),
        put,
        sort,
        detail,
        rank,
    }
}

// ---- units ----

/// The units, those of the kind wanted first.
fn units(wanted: Option<Wanted>, word: &str) -> Vec<Offer> {
    // There are many currencies, and few are meant.
    let offered = |unit: &&Symbol| !unit.is_currency() || word.chars().count() > 1;
    let offers = symbols().filter(offered).map(|unit| {
        let kind = Unit::parse(unit.shown()).ok().map(Kind::Quantity);
        let fits = wanted
            .as_ref()
            .zip(kind)
            .is_some_and(|(wanted, kind)| wanted.fits(kind));
        let detail = format!("{}, {}", unit.words(), unit.measures());
        offer(
            unit.shown(),
            unit.shown().to_owned(),
            Sort::Unit,
            detail,
            u8::from(!fits),
        )
    });
    offers.collect()
}

/// The kind of the entry whose brackets are open.
fn boxed_kind(known: &Vocabulary, before: &str) -> Option<Wanted> {
    let head = before.get(..before.rfind('[')?)?;
    known.kind_of(head.split_whitespace().nth(1)?).map(Wanted::Like)
}

// ---- words ----

fn words(known: &Vocabulary, typing: Typing, standing: &Standing, before: &str) -> Vec<Offer> {
    let mut found = Vec::new();
    let first = before.split_whitespace().next();
    match (typing, first) {
        (Typing::Line, None) => {
            found.extend(verbs(|verb| verb.typed.is_some()));
            let others = openings().filter(|word| !matches!(*word, "case" | "plot"));
            found.extend(others.map(|word| offer(word, format!("{word} "), Sort::Word, String::new(), 3)));
        }
        (Typing::Line, Some("case")) => {
            let cases = ["base"].into_iter().chain(known.cases.iter().map(String::as_str));
            return cases
                .map(|case| offer(case, case.to_owned(), Sort::Case, String::new(), 0))
                .collect();
        }
        (Typing::Line, Some("edit" | "remove")) => match before.split_whitespace().nth(1) {
            Some("check") => return checks(known),
            _ if known.checks.is_empty() => {}
            _ => found.push(offer("check", "check ".to_owned(), Sort::Word, String::new(), 3)),
        },
        (Typing::Line, Some("show")) => found.extend(sections(known)),
        (Typing::Line, Some("help")) => found.extend(verbs(|_| true)),
        (Typing::Worksheet, None) => {
            return openings()
                .map(|word| offer(word, format!("{word} "), Sort::Word, said(word), 0))
                .collect();
        }
        _ => {}
    }
    found.extend(keys(known, before));
    if typing == Typing::Worksheet {
        found.extend(Spot::of(standing, before).offers(known, standing, before));
        return found;
    }
    let wanted = wanted(known, standing, before);
    found.extend(arguments(known, standing));
    found.extend(names(known, wanted.as_ref()));
    found.extend(calls_that_fit(known, wanted.as_ref()));
    found
}

fn said(word: &str) -> String {
    let term = crate::report::language::term(word).filter(|_| !matches!(word, "true" | "false"));
    term.map_or(String::new(), |term| term.summary.to_owned())
}

fn verbs(which: impl Fn(&super::verbs::Verb) -> bool) -> Vec<Offer> {
    let verbs = VERBS.iter().filter(|verb| which(verb));
    verbs
        .map(|verb| offer(verb.name, verb.name.to_owned(), Sort::Verb, verb.summary.to_owned(), 3))
        .collect()
}

/// The checks by their places, each with what it says.
fn checks(known: &Vocabulary) -> Vec<Offer> {
    let places = known.checks.iter().enumerate().map(|(index, said)| {
        let place = (index + 1).to_string();
        offer(&format!("{place} {said}"), place.clone(), Sort::Choice, said.clone(), 0)
    });
    places.collect()
}

fn sections(known: &Vocabulary) -> Vec<Offer> {
    let titles = known.sections.iter();
    titles
        .map(|title| offer(title, title.clone(), Sort::Section, String::new(), 3))
        .collect()
}

/// The words that the parameter takes, inside their quotes.
fn choices(known: &Vocabulary, standing: &Standing, before: &str) -> Vec<Offer> {
    if let Some(keys) = standing.text.and_then(|at| keys_behind(known, before.get(..at)?)) {
        let texts = keys.iter().filter_map(|key| key.strip_prefix('"')?.strip_suffix('"'));
        return texts
            .map(|key| offer(key, key.to_owned(), Sort::Choice, String::new(), 0))
            .collect();
    }
    let call = standing.call();
    let callee = call.and_then(|call| Some((call, Callee::of(known, &call.name)?)));
    let words = match callee.and_then(|(call, callee)| callee.kind(call)) {
        Some(ParameterKind::Word(words) | ParameterKind::NumberOrWord(words)) => words,
        _ => &[],
    };
    let words = words.iter();
    words
        .map(|word| offer(word, (*word).to_owned(), Sort::Choice, String::new(), 0))
        .collect()
}

/// What may call a row, where `before` ends behind a column and `of`, a mark that opens a text aside.
fn keys_behind<'k>(known: &'k Vocabulary, before: &str) -> Option<&'k [String]> {
    let behind = before.trim_end_matches(['"', '“', '”', '„']).trim_end();
    let column = behind.strip_suffix("of").filter(|_| behind.len() < before.len())?;
    known.keys_of(
        Some(column)
            .filter(|column| column.ends_with(char::is_whitespace))?
            .trim_end(),
    )
}

/// What may call a row, and a row by its number.
fn keys(known: &Vocabulary, before: &str) -> Vec<Offer> {
    let Some(keys) = keys_behind(known, before) else {
        return Vec::new();
    };
    let named = keys.iter().filter(|key| !key.starts_with("row "));
    let mut found: Vec<Offer> = named
        .map(|key| offer(key, key.clone(), Sort::Choice, String::new(), 0))
        .collect();
    found.push(offer("row", "row ".to_owned(), Sort::Word, String::new(), 1));
    found
}

/// The inputs, for the lines of a case.
fn inputs(known: &Vocabulary) -> Vec<Offer> {
    let inputs = known.names.iter().filter(|name| name.input);
    inputs
        .map(|one| offer(&one.name, format!("{} = ", one.name), one.sort, one.detail.clone(), 0))
        .collect()
}

/// Parameters that have not been given yet, and the words that the parameter takes.
fn arguments(known: &Vocabulary, standing: &Standing) -> Vec<Offer> {
    let Some(call) = standing.call() else {
        return Vec::new();
    };
    let Some(callee) = Callee::of(known, &call.name) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    if let Some(ParameterKind::Word(words) | ParameterKind::NumberOrWord(words)) = callee.kind(call) {
        let quoted = words.iter().map(|word| format!("\"{word}\""));
        found.extend(quoted.map(|word| offer(&word, word.clone(), Sort::Choice, String::new(), 0)));
    }
    if call.label.is_some() || call.begun {
        return found;
    }
    for (index, parameter) in callee.names().into_iter().enumerate() {
        if index >= call.argument && !call.given.contains(&parameter) {
            let detail = callee.meaning(index);
            found.push(offer(&parameter, format!("{parameter}: "), Sort::Parameter, detail, 2));
        }
    }
    found
}

/// Entries, tables and columns, those that fit first.
fn names(known: &Vocabulary, wanted: Option<&Wanted>) -> Vec<Offer> {
    let names = known.names.iter().map(|one| {
        let fits = wanted
            .zip(one.kind)
            .is_some_and(|(wanted, kind)| wanted.fits(kind) && wanted.takes(one.column));
        let rank = if fits { 1 } else { 4 };
        offer(&one.name, one.name.clone(), one.sort, one.detail.clone(), rank)
    });
    names.collect()
}

/// Rules and functions.
fn calls_that_fit(known: &Vocabulary, wanted: Option<&Wanted>) -> Vec<Offer> {
    let rules = known.rules.iter();
    let mut found: Vec<Offer> = rules
        .map(|rule| offer(&rule.name, format!("{}(", rule.name), Sort::Rule, rule.head.clone(), 4))
        .collect();
    found.extend(functions().map(|function| {
        let fits = wanted.is_some_and(|wanted| result_kind(function).is_some_and(|kind| wanted.fits(kind)));
        called(function, if fits { 3 } else { 5 })
    }));
    found
}

fn called(function: &Function, rank: u8) -> Offer {
    let (name, detail) = (function.name, function.summary.to_owned());
    offer(name, format!("{name}("), Sort::Function, detail, rank)
}

fn result_kind(function: &Function) -> Option<Kind> {
    match function.result {
        ResultKind::Quantity("") => Some(Kind::Quantity(Unit::ONE)),
        ResultKind::Quantity(unit) => Unit::parse(unit).ok().map(Kind::Quantity),
        ResultKind::Text => Some(Kind::Text),
        ResultKind::Level => Some(Kind::Level),
        ResultKind::Moment => Some(Kind::Moment),
        ResultKind::Clock => Some(Kind::TimeOfDay),
        _ => None,
    }
}
