//! One item being read: its text, its problems, and the small pieces every kind
//! of entry is made of: names, texts, units in brackets.
//!
//! Methods that build a piece of the tree give `None` after they have noted a
//! problem, so one cause is noted once. Literals are in [`super::literal`] and
//! [`super::quantity`], expressions in [`super::expression`].

use unicode_normalization::{IsNormalized, UnicodeNormalization, is_nfc_quick};

use crate::problem::{Code, Place, Problem};
use crate::text::{SmallText, Span};
use crate::unit::{Unit, UnitTrouble};

use super::grammar::Token;
use super::literal;
use super::tree::{Name, Quoted, UnitBox};
use super::words::is_reserved;

/// An item being read.
pub(super) struct Reader<'a> {
    /// The text of the item.
    pub(super) text: &'a str,
    /// The item's index in the worksheet.
    pub(super) index: u32,
    /// Where in the item the piece being read begins.
    pub(super) base: usize,
    /// What is wrong so far.
    pub(super) problems: Vec<Problem>,
    /// How many operators the entry has so far.
    pub(super) operators: usize,
    /// How problems are told.
    pub(super) told: Told,
}

/// How a problem is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Told {
    /// With what may be meant.
    Whole,
    /// As one of very many.
    Briefly,
}

impl<'a> Reader<'a> {
    /// Nothing read yet.
    pub(super) fn new(text: &'a str, index: u32) -> Reader<'a> {
        Reader {
            text,
            index,
            base: 0,
            problems: Vec::new(),
            operators: 0,
            told: Told::Whole,
        }
    }

    /// The place of a span of this item.
    pub(super) fn place(&self, span: Span) -> Place {
        Place::new(self.index, span)
    }

    /// A problem of this item, not yet noted.
    pub(super) fn problem(&self, code: Code, message: impl Into<String>, span: Span) -> Problem {
        Problem::new(code, message, self.place(span))
    }

    /// Notes a problem.
    pub(super) fn note(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Where a token stands in the item.
    pub(super) fn span(&self, token: &Token<'_>) -> Span {
        let span = token.as_span();
        Span::new(span.start(), span.end()).shifted(self.base)
    }

    /// A name of the writer's own: not a word of the language.
    pub(super) fn own_name(&mut self, token: &Token<'_>) -> Option<Name> {
        let name = self.name(token);
        if !is_reserved(&name.text) {
            return Some(name);
        }
        let message = format!("`{}` is a word of the language, so it can't be a name", name.text);
        let problem = self
            .problem(Code::ReservedWord, message, name.span)
            .help(format!("pick another name, such as `{}_1`", name.text))
            .mend(name.span, format!("{}_1", name.text));
        self.note(problem);
        None
    }

    /// Any name, words of the language too.
    pub(super) fn name(&self, token: &Token<'_>) -> Name {
        Name {
            text: normal(token.as_str()),
            span: self.span(token),
            through: 0,
        }
    }

    /// A text in quotes, its escapes resolved.
    pub(super) fn quoted(&mut self, token: &Token<'_>) -> Option<Quoted> {
        let span = self.span(token);
        match literal::text(token.as_str()) {
            Ok(text) => Some(Quoted { text, span }),
            Err(escape) => {
                let place = escape.shifted(span.start as usize);
                let written = place.of(self.text);
                let problem = self
                    .problem(Code::BadEscape, format!("`{written}` is no escape"), place)
                    .help("a text knows `\\\"`, `\\\\`, `\\n` and `\\u{2212}`; write `\\\\` for a backslash");
                self.note(problem);
                None
            }
        }
    }

    /// `[lb]`, `[h:min]`
    pub(super) fn unit_box(&mut self, token: Token<'_>) -> Option<UnitBox> {
        let span = self.span(&token);
        let inside = token.into_inner().next()?;
        let clock = inside.as_str().trim() == "h:min";
        let unit = if clock {
            self.known_unit("h", span)?
        } else {
            self.boxed_unit(&inside, span)?
        };
        Some(UnitBox { unit, clock, span })
    }

    /// The unit between brackets that stand at `span`.
    pub(super) fn boxed_unit(&mut self, inside: &Token<'_>, span: Span) -> Option<Unit> {
        let written = inside.as_str();
        let text = written.trim();
        if text.is_empty() {
            let problem = self
                .problem(Code::UnitFormat, "there is no unit in the brackets", span)
                .help("write one, such as `[lb]`, or leave the brackets out");
            self.note(problem);
            return None;
        }
        let start = self.span(inside).start as usize + (written.len() - written.trim_start().len());
        match parse_unit(text) {
            Ok(unit) => Some(unit),
            Err(trouble) => {
                let problem = self.unit_problem(trouble, start);
                self.note(problem);
                None
            }
        }
    }

    /// The unit in brackets that the entry asks for, if it has one.
    pub(super) fn asked_unit(&self) -> Option<Unit> {
        let head = self.text.get(..assign_at(self.text)?)?;
        let inside = head.get(head.rfind('[')? + 1..head.rfind(']')?)?.trim();
        parse_unit(if inside == "h:min" { "h" } else { inside }).ok()
    }

    /// A unit this program itself names; noted at `span` if the table lacks it.
    fn known_unit(&mut self, text: &str, span: Span) -> Option<Unit> {
        match Unit::parse(text) {
            Ok(unit) => Some(unit),
            Err(trouble) => {
                let problem = self.problem(Code::UnknownUnit, trouble.message, span);
                self.note(problem);
                None
            }
        }
    }

    /// Whether the entry is a number and this piece alone, which is no part of a longer unit.
    fn is_whole_unit(&self, piece: Span) -> bool {
        let (before, after) = (
            self.text.get(..piece.start as usize),
            self.text.get(piece.end as usize..),
        );
        let number = before
            .and_then(|before| before.split_once('='))
            .map(|(_, number)| number.trim());
        let is_number =
            number.is_some_and(|text| text.chars().all(|sign| sign.is_ascii_digit() || "._-−".contains(sign)));
        let goes_on = after.is_some_and(|after| after.trim_start().starts_with(['/', '*', '·', '^']));
        is_number && !goes_on
    }

    /// What the unit table says about a unit that begins at `start`, as a problem.
    pub(super) fn unit_problem(&self, trouble: UnitTrouble, start: usize) -> Problem {
        let code = if trouble.unknown {
            Code::UnknownUnit
        } else {
            Code::UnitFormat
        };
        let mut problem = self.problem(code, trouble.message, trouble.span.shifted(start));
        problem.help = trouble.help;
        let asked = self.asked_unit();
        let fits = |text: &str| {
            let meant = Unit::parse(text).ok();
            asked.zip(meant).is_none_or(|(asked, meant)| {
                asked.is_point() == meant.is_point() && asked.dimension() == meant.dimension()
            })
        };
        let (mends, others): (Vec<_>, Vec<_>) = trouble.mends.into_iter().partition(|(_, text)| fits(text));
        let mends = match (mends.as_slice(), others.is_empty(), asked) {
            // of a point and a difference the one that the entry asks for
            ([(_, meant)], false, _) => {
                problem.help = Some(format!("write `{meant}`, as this entry asks for"));
                mends
            }
            ([], false, Some(asked)) if self.is_whole_unit(problem.place.span) => {
                problem.help = Some(format!(
                    "write {} in `{asked}`, as this entry asks for",
                    asked.measures()
                ));
                mends
            }
            _ => mends.into_iter().chain(others).collect(),
        };
        for (span, text) in mends {
            problem = problem.mend(span.shifted(start), text);
        }
        problem
    }
}

/// Where the first `=` stands outside a text in quotes.
pub(super) fn assign_at(text: &str) -> Option<usize> {
    let mut in_text = false;
    text.find(|c: char| {
        in_text ^= matches!(c, '"' | '“' | '”');
        c == '=' && !in_text
    })
}

/// Reads a unit as typed, with the signs people type for a degree.
pub(super) fn parse_unit(text: &str) -> Result<Unit, UnitTrouble> {
    if text.contains('º') {
        // `º` and `°` have the same length, so places stay right
        return Unit::parse(&text.replace('º', "°"));
    }
    Unit::parse(text)
}

/// A name in Unicode form NFC.
pub(super) fn normal(text: &str) -> SmallText {
    if text.is_ascii() || is_nfc_quick(text.chars()) == IsNormalized::Yes {
        return text.into();
    }
    text.nfc().collect::<String>().as_str().into()
}
