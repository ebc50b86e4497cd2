//! Reading a table's cell, from rows between bars and from CSV alike.
//!
//! A cell is a literal, or it is text; nothing in it is calculated. Start reading
//! at [`read_cell`].

use crate::number::Number;
use crate::problem::Code;
use crate::unit::Unit;

use super::grammar::{Rule, Token, tokens};
use super::literal::{self, ClockTime, DatedTime};
use super::parse::parse_typed;
use super::quantity::{Beside, Measured};
use super::reader::Reader;
use super::tree::Tolerance;
use super::words::is_blank;

/// What one cell says.
#[derive(Clone, PartialEq, Debug)]
pub enum Cell {
    /// Nothing.
    Missing,
    /// `12`, `37.4 lb ± 0.2 lb`; no unit: a plain number
    Quantity {
        /// The number.
        value: Number,
        /// The unit, if one is written.
        unit: Option<Unit>,
        /// What follows `±`.
        tolerance: Option<Tolerance>,
    },
    /// `21:40`, `9:04 pm`, `06:00 (+1 d)`
    Clock(ClockTime),
    /// `2026-01-11`, `2026-01-11 21:40`
    Dated(DatedTime),
    /// `true`, `false`
    Truth(bool),
    /// Anything else, or anything in quotes
    Text(Box<str>),
}

/// No literal is longer.
const LONGEST_LITERAL: usize = 256;

/// Reads a cell. Never fails: what can't be read as anything else is text.
/// The caller decides whether a text there is a problem.
pub fn read_cell(text: &str) -> Cell {
    let text = text.trim_matches(is_blank);
    if text.is_empty() {
        return Cell::Missing;
    }
    if let Some(value) = plain_number(text) {
        return Cell::Quantity {
            value,
            unit: None,
            tolerance: None,
        };
    }
    if let Some(clock) = plain_clock(text) {
        return Cell::Clock(clock);
    }
    if let Some(said) = quoted(text) {
        return Cell::Text(said);
    }
    match literal(&mut Reader::new(text, 0)) {
        Some(cell) => cell,
        None => Cell::Text(unescaped(text)),
    }
}

/// What may be meant by a cell that can't be read as a number of a unit: each as it would be
/// written, the likeliest first. Whether one of them reads is for the caller to see.
pub(crate) fn cell_guesses(text: &str) -> Vec<String> {
    let text = text.trim_matches(is_blank);
    let mut guesses = Vec::new();
    if text.len() > LONGEST_LITERAL {
        return guesses;
    }
    let tight = text.replace(" / ", "/").replace("/ ", "/").replace(" /", "/");
    guesses.push(tight.clone());
    if tight.contains('±') {
        guesses.push(format!("{tight} min"));
    }
    guesses.extend(with_point(&tight));
    guesses.extend(without_gaps(&tight));
    guesses.extend(with_zero(&tight));
    guesses.extend(with_colon(&tight));
    if let Some(hours) = tight.strip_suffix(":00").map(|hours| hours.trim_start_matches('0')) {
        guesses.push(format!("{hours} h"));
    }
    // What is said of it as a line of its own.
    if let Err(problems) = parse_typed(&format!("x = {tight}")) {
        // what there is of clock times says nothing of the one that is meant
        let telling = problems.iter().filter(|problem| problem.code != Code::TimeFormat);
        let meant = telling.filter_map(|problem| problem.help.as_deref());
        guesses.extend(meant.filter_map(|help| Some(help.split('`').nth(1)?.to_owned())));
    }
    guesses.retain(|guess| guess != text && !guess.is_empty());
    guesses
}

/// `3.3 lb` for `3,3 lb`; a comma before three digits may part thousands, and is left.
fn with_point(text: &str) -> Option<String> {
    let (whole, rest) = text.split_once(',')?;
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let whole_ends = whole.ends_with(|c: char| c.is_ascii_digit());
    (whole_ends && digits > 0 && digits != 3 && !rest.contains(',')).then(|| format!("{whole}.{rest}"))
}

/// `21548 BTU` for `21 548 BTU` and `21,548 BTU`
fn without_gaps(text: &str) -> Option<String> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, ' ' | ',' | '.' | '\u{A0}' | '\u{202F}' | '-')));
    let (number, rest) = text.split_at_checked(end.unwrap_or(text.len()))?;
    let mut groups = number.trim_end().split([' ', ',', '\u{A0}', '\u{202F}']);
    let first = groups.next()?;
    let groups: Vec<&str> = groups.collect();
    let whole = |group: &str| group.split('.').next().is_some_and(|whole| whole.len() == 3);
    let grouped = !groups.is_empty() && (1..=3).contains(&first.trim_start_matches('-').len());
    let rest = rest.trim_start();
    let gap = if rest.is_empty() { "" } else { " " };
    (grouped && groups.iter().all(|group| whole(group))).then(|| format!("{first}{}{gap}{rest}", groups.concat()))
}

/// `16:58` for `16.58` and `16h58`
fn with_colon(text: &str) -> Option<String> {
    let (hours, minutes) = text.split_once(['.', ',', 'h', 'H'])?;
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let is_clock = matches!(hours.len(), 1 | 2) && minutes.len() == 2 && digits(hours) && digits(minutes);
    is_clock.then(|| format!("{hours}:{minutes}"))
}

/// `0.78` for `.78`, `$0.78/lb` for `$.78/lb`
fn with_zero(text: &str) -> Option<String> {
    let begins = text.find('.')?;
    let (before, after) = text.split_at_checked(begins)?;
    matches!(before, "" | "-" | "$" | "€" | "£").then(|| format!("{before}0{after}"))
}

/// Whether it is written like a clock time, be there such a time or not: `61:58`.
pub(crate) fn looks_like_clock(text: &str) -> bool {
    let text = text.trim_matches(is_blank);
    if !text.starts_with(|c: char| c.is_ascii_digit()) || !text.contains(':') {
        return false;
    }
    let digits = text.trim_end_matches(|c: char| !c.is_ascii_digit());
    let mut parts = 0;
    let fits = digits.split(':').all(|part| {
        parts += 1;
        let length = part.len() == 2 || parts == 1 && part.len() == 1;
        length && part.bytes().all(|b| b.is_ascii_digit())
    });
    fits && matches!(parts, 2 | 3)
}

/// Digits with at most one point between them: the commonest cell by far.
fn plain_number(text: &str) -> Option<Number> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
    let numeric = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    if !numeric(whole) || !numeric(fraction) {
        return None;
    }
    let number = Number::parse(digits).ok()?;
    Some(if digits.len() < text.len() {
        number.neg()
    } else {
        number
    })
}

/// A time such as `18:05`, of which a long log has one in each row.
fn plain_clock(text: &str) -> Option<ClockTime> {
    match text.as_bytes() {
        [a, b, b':', c, d] if [a, b, c, d].iter().all(|digit| digit.is_ascii_digit()) => literal::clock(text).ok(),
        _ => None,
    }
}

/// A cell that is one text in quotes.
fn quoted(text: &str) -> Option<Box<str>> {
    if !text.starts_with(['"', '“', '”', '„']) {
        return None;
    }
    let token = tokens(Rule::quoted_cell, text).ok()?.next()?;
    let said = literal::text(token.as_str()).ok()?;
    Some(unescaped(&said))
}

/// `\|` is a bar.
fn unescaped(text: &str) -> Box<str> {
    if text.contains("\\|") {
        text.replace("\\|", "|").into()
    } else {
        text.into()
    }
}

fn may_be_literal(text: &str) -> bool {
    let first = text.chars().next().unwrap_or(' ');
    let begins = first.is_ascii_digit() || matches!(first, '-' | '−' | '–' | '.' | '$' | '€' | '£');
    text.len() <= LONGEST_LITERAL && (begins || matches!(text, "true" | "false"))
}

/// The literal a cell holds, if that is all it holds.
fn literal(reader: &mut Reader<'_>) -> Option<Cell> {
    if !may_be_literal(reader.text) {
        return None;
    }
    let mut inner = tokens(Rule::cell, reader.text).ok()?;
    let mut first = inner.next()?;
    let negative = first.as_rule() == Rule::minus;
    if negative {
        first = inner.next()?;
    }
    match first.as_rule() {
        Rule::truth => Some(Cell::Truth(first.as_str() == "true")),
        Rule::clock | Rule::moment => {
            if let Some(token) = inner.next().filter(|next| next.as_rule() == Rule::tolerance) {
                reader.tolerance(token, Beside::Quantity(minutes()))?;
            }
            time(reader, &first)
        }
        Rule::money => {
            let amount = reader.money(first)?;
            quantity(reader, amount, negative, inner.next())
        }
        _ => {
            let amount = reader.measure(first)?;
            quantity(reader, amount, negative, inner.next())
        }
    }
}

fn time(reader: &mut Reader<'_>, token: &Token<'_>) -> Option<Cell> {
    let read = match token.as_rule() {
        Rule::clock => literal::clock(token.as_str()).map(Cell::Clock),
        _ => literal::moment(token.as_str()).map(Cell::Dated),
    };
    match read {
        Ok(cell) => Some(cell),
        Err(fault) => reader.fault(fault, reader.span(token)),
    }
}

/// What a tolerance beside a time is usually in.
fn minutes() -> Unit {
    Unit::parse("min").unwrap_or(Unit::ONE)
}

/// The tolerance of a cell that holds a time: `10:29 ± 3 min`.
pub(crate) fn time_tolerance(text: &str) -> Option<Tolerance> {
    if !text.contains(['±', '/']) {
        return None;
    }
    let mut reader = Reader::new(text, 0);
    let mut inner = tokens(Rule::cell, text).ok()?;
    inner
        .next()
        .filter(|first| matches!(first.as_rule(), Rule::clock | Rule::moment))?;
    let token = inner.next().filter(|next| next.as_rule() == Rule::tolerance)?;
    reader
        .tolerance(token, Beside::Quantity(minutes()))
        .map(|(tolerance, _)| tolerance)
}

fn quantity(reader: &mut Reader<'_>, amount: Measured, negative: bool, next: Option<Token<'_>>) -> Option<Cell> {
    let value = if negative { amount.value.neg() } else { amount.value };
    let mut unit = amount.unit;
    let mut tolerance = None;
    if let Some(token) = next.filter(|next| next.as_rule() == Rule::tolerance) {
        let beside = unit.map_or(Beside::Number(value), Beside::Quantity);
        let (read, shared) = reader.tolerance(token, beside)?;
        tolerance = Some(read);
        unit = unit.or(shared);
    }
    Some(Cell::Quantity { value, unit, tolerance })
}
