//! What may stand at a place of a worksheet, by the line it is in and what stands
//! before it.
//!
//! Start reading at [`Spot::of`].

use crate::trade::ResultKind;
use crate::trade::registry::functions;

use super::fitting::{named, wanted};
use super::standing::{Standing, behind_value, last_word};
use super::{Offer, Sort, Vocabulary, arguments, called, calls_that_fit, inputs, names, offer, said};

/// What may stand at a place of a worksheet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Spot {
    /// A new name, a text, or nothing that has a name.
    Nothing,
    /// A constant.
    Constant,
    /// The name of an input that a case replaces.
    Replaced,
    /// What a table is made by.
    Maker,
    /// A word that goes on behind a value.
    Further(&'static [&'static str]),
    /// A column, for a plot.
    Column,
    /// An expression of a rule.
    Body,
    /// An expression.
    Expression,
}

impl Spot {
    pub(super) fn of(standing: &Standing, before: &str) -> Spot {
        let opening = before.split_whitespace().next().unwrap_or("");
        let line = before.rsplit('\n').next().unwrap_or(before);
        let in_lines = line.len() < before.len() && standing.calls.is_empty();
        let is_given = standing.equals.is_some() || matches!(opening, "expect" | "plot");
        match opening {
            "case" if in_lines => Spot::of_replacement(line),
            "case" => Spot::Nothing,
            "table" if in_lines => Spot::Nothing,
            _ if !is_given || takes_text(opening, before) => Spot::Nothing,
            _ if behind_value(before) && !standing.calls.is_empty() => Spot::Further(further("rule")),
            _ if behind_value(before) => Spot::Further(further(opening)),
            "measured" | "quoted" | "assumed" => Spot::Constant,
            "table" if standing.calls.is_empty() => Spot::Maker,
            "table" if standing.call().is_some_and(|call| call.name == "csv") => Spot::Nothing,
            "plot" if standing.calls.is_empty() => Spot::Column,
            "rule" => Spot::Body,
            _ => Spot::Expression,
        }
    }

    /// A line of a case.
    fn of_replacement(line: &str) -> Spot {
        match line.trim().is_empty() {
            true => Spot::Replaced,
            false if !line.contains('=') || takes_text("case", line) => Spot::Nothing,
            false if behind_value(line) => Spot::Further(further("case")),
            false => Spot::Constant,
        }
    }

    pub(super) fn offers(self, known: &Vocabulary, standing: &Standing, before: &str) -> Vec<Offer> {
        let wanted = wanted(known, standing, before);
        let wanted = wanted.as_ref();
        let begins = ["if", "not", "true", "false"];
        match self {
            Spot::Nothing => Vec::new(),
            Spot::Constant => inner(&["true", "false"], 0),
            Spot::Replaced => inputs(known),
            Spot::Maker => makers(),
            Spot::Further(words) => {
                let of: &[&str] = if known.keys_of(before.trim_end()).is_some() {
                    &["of"]
                } else {
                    &[]
                };
                joined([inner(words, 0), inner(of, 0)])
            }
            Spot::Column => columns(known),
            Spot::Body | Spot::Expression => {
                let visible = match self {
                    Spot::Body => own(before),
                    _ => names(known, wanted),
                };
                let others = [
                    arguments(known, standing),
                    calls_that_fit(known, wanted),
                    inner(&begins, 5),
                ];
                without_itself(joined([visible, joined(others)]), before)
            }
        }
    }
}

/// What is offered, without the entry or rule that is being written.
fn without_itself(mut found: Vec<Offer>, before: &str) -> Vec<Offer> {
    let is_check = matches!(before.split_whitespace().next(), Some("expect" | "plot"));
    if let Some(name) = named(before).filter(|_| !is_check) {
        found.retain(|offer| !matches!(offer.sort, Sort::Entry | Sort::Rule) || offer.shown != name);
    }
    found
}

/// Whether only a text may follow, or the number of a tolerance.
fn takes_text(opening: &str, before: &str) -> bool {
    let said = before.trim_end();
    match last_word(said) {
        "from" | "note" => true,
        "else" => opening == "expect" && !before.contains(" if "),
        _ => said.ends_with(['±']) || said.ends_with("+/-"),
    }
}

fn joined<const N: usize>(offers: [Vec<Offer>; N]) -> Vec<Offer> {
    offers.into_iter().flatten().collect()
}

/// The words that go on behind a value, by what opens the line.
fn further(opening: &str) -> &'static [&'static str] {
    match opening {
        "measured" | "quoted" | "assumed" | "table" | "case" => &["from", "note"],
        "plot" => &["over", "by", "from"],
        "worked" | "answer" => &["where", "then", "else", "and", "or", "from", "note"],
        _ => &["where", "then", "else", "and", "or"],
    }
}

fn inner(words: &[&str], rank: u8) -> Vec<Offer> {
    let words = words.iter();
    words
        .map(|word| offer(word, (*word).to_owned(), Sort::Word, said(word), rank))
        .collect()
}

/// What a table is made by: a file, or a function that gives one.
fn makers() -> Vec<Offer> {
    let file = offer("csv", "csv(\"".to_owned(), Sort::Word, said("csv"), 0);
    let makers = functions().filter(|function| matches!(function.result, ResultKind::Table(_)));
    let made = makers.map(|function| called(function, 1));
    [file].into_iter().chain(made).collect()
}

/// The columns, and the entries that hold one.
fn columns(known: &Vocabulary) -> Vec<Offer> {
    let columns = known.names.iter().filter(|one| one.column && one.sort != Sort::Table);
    columns
        .map(|one| offer(&one.name, one.name.clone(), one.sort, one.detail.clone(), 0))
        .collect()
}

/// The parameters of the rule that is being written, which sees no other names.
fn own(before: &str) -> Vec<Offer> {
    let inside = before.split_once('(').map_or("", |(_, inside)| inside);
    let mut depth = 0usize;
    let end = inside.find(|c: char| {
        match c {
            '(' => depth += 1,
            ')' if depth == 0 => return true,
            ')' => depth -= 1,
            _ => {}
        }
        false
    });
    let parameters = inside.get(..end.unwrap_or(inside.len())).unwrap_or("").split(',');
    let is_name = |c: char| c.is_alphanumeric() || c == '_';
    let names = parameters.map(|one| one.trim().split(|c: char| !is_name(c)).next().unwrap_or(""));
    names
        .filter(|name| !name.is_empty())
        .map(|name| {
            offer(
                name,
                name.to_owned(),
                Sort::Parameter,
                "a parameter of this rule".to_owned(),
                1,
            )
        })
        .collect()
}
