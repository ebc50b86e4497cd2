//! Checks: a condition, or an answer that is marked, with the usual slips below it.
//!
//! What a `closeness` is made of is kept apart from conditions, so that whoever tells the
//! sides of a condition tells no answer. Start reading at [`expect`].

use crate::problem::Code;
use crate::text::Span;

use super::block::{indented, scan_at};
use super::grammar::{Rule, Token};
use super::head::{notes_nothing, parts};
use super::reader::Reader;
use super::tree::{Closeness, Expect, Expression, Node, UsualSlip};

/// `night: runtime >= 12 h else "too short"`, `net close to 12 lb within 0.1 lb else "…"`
pub(super) fn expect(reader: &mut Reader<'_>, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::expect, stretch)
    } else {
        None
    };
    let mut expect = Expect {
        name: None,
        condition: None,
        closeness: None,
        otherwise: None,
    };
    let (mut close, mut sound) = (None, true);
    for token in tokens.into_iter().flatten() {
        match token.as_rule() {
            Rule::check_name => {
                let name = token.into_inner().next();
                expect.name = name.and_then(|name| reader.own_name(&name));
                sound &= expect.name.is_some();
            }
            Rule::expression => expect.condition = reader.expression(token),
            Rule::closeness => close = Some(token),
            Rule::quoted => expect.otherwise = reader.quoted(&token),
            _ => {}
        }
    }
    let marks = close.is_some();
    if let (Some(token), Some(answer)) = (close, expect.condition.take_if(|_| marks)) {
        let read = closeness(reader, token, answer, expect.otherwise.is_some());
        expect.closeness = read.map(Box::new);
    }
    let slips = slips(reader, stretch.end as usize);
    match (&mut expect.closeness, slips.first()) {
        (Some(close), _) => close.slips = slips,
        (None, Some(slip)) if !marks && expect.condition.is_some() => {
            stray(reader, slip.value.span);
            sound = false;
        }
        _ => {}
    }
    if !sound {
        (expect.condition, expect.closeness) = (None, None);
    }
    Node::Expect(Box::new(expect))
}

/// `close to full - tare within 0.05 lb nearly 0.3 lb else "keep the tenths"`
fn closeness(reader: &mut Reader<'_>, token: Token<'_>, answer: Expression, otherwise: bool) -> Option<Closeness> {
    let whole = reader.span(&token);
    let mut sides = Vec::new();
    let mut hint = None;
    for part in token.into_inner() {
        match part.as_rule() {
            Rule::expression => sides.push(reader.expression(part)?),
            Rule::quoted => hint = reader.quoted(&part),
            _ => {}
        }
    }
    let mut sides = sides.into_iter();
    let (wanted, within, nearly) = (sides.next()?, sides.next()?, sides.next());
    if nearly.is_some() && hint.is_some() && !otherwise {
        let problem = reader
            .problem(
                Code::Unreadable,
                "it isn't said what is told to those who are nearly right",
                whole,
            )
            .help("write both: `nearly 0.3 lb else \"keep the tenths\" else \"take the tare off\"`");
        reader.note(problem);
        return None;
    }
    Some(Closeness {
        answer,
        wanted,
        within,
        nearly: nearly.map(|nearly| (nearly, hint)),
        slips: Vec::new(),
    })
}

/// The usual slips below a check.
fn slips(reader: &mut Reader<'_>, from: usize) -> Vec<UsualSlip> {
    indented(reader, from, |reader, stretch| {
        let scan = scan_at(stretch.of(reader.text), stretch);
        let tokens = notes_nothing(reader, scan).then(|| reader.tokens(Rule::slip, stretch));
        let parts = parts(reader, tokens.flatten()?);
        let value = parts.value.and_then(|value| reader.expression(value))?;
        Some(UsualSlip {
            value,
            hint: parts.label?,
        })
    })
}

/// A usual slip below a check that marks no answer.
fn stray(reader: &mut Reader<'_>, place: Span) {
    let problem = reader
        .problem(
            Code::StrayLine,
            "a slip is a wrong answer, and this check marks none",
            place,
        )
        .help("a check that marks an answer is `expect NAME close to … within …`");
    reader.note(problem);
}
