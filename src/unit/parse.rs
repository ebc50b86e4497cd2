//! Reading units.
//!
//! The quick way reads what is well formed without setting anything aside; only
//! where it fails is the text looked at again, to say what is wrong with it.
//! Start reading at [`Unit::parse`].

use crate::text::Span;

use super::symbol::{self, by_number};
use super::{Term, Unit};

/// Why a piece of text is no unit: where in it, what, and what to write.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UnitTrouble {
    /// The piece of the unit text.
    pub span: Span,
    /// In the manner of problems: one line, lower case, no full stop.
    pub message: String,
    /// One thing to do.
    pub help: Option<String>,
    /// Replacements that mend it, each for a piece of the unit text.
    pub mends: Vec<(Span, String)>,
    /// Whether the symbol is unknown, rather than the form wrong.
    pub unknown: bool,
}

/// What joins symbols of a product.
const DOTS: [char; 3] = ['·', '\u{22C5}', '*'];

impl Unit {
    /// Reads a unit such as `lb/h` or `BTU/(h·ft2·F°)`.
    ///
    /// A point unit alone is a point; inside a compound it counts as its interval.
    pub fn parse(text: &str) -> Result<Unit, UnitTrouble> {
        let alone = (!text.contains('/')).then(|| symbol::number(text));
        if let Some(number) = alone.flatten() {
            let alone = Unit::ONE.with(Term::new(number, 1));
            return alone.ok_or_else(|| too_much(text));
        }
        compound(text).ok_or_else(|| trouble(text))
    }
}

/// A compound, if it is well formed.
fn compound(text: &str) -> Option<Unit> {
    let (above, below) = match text.split_once('/') {
        Some((above, below)) => (above, Some(below)),
        None => (text, None),
    };
    let unit = side(Unit::ONE, above, 1)?;
    let Some(below) = below else {
        return Some(unit);
    };
    let inside = below.strip_prefix('(').and_then(|b| b.strip_suffix(')'));
    let below = match inside {
        Some(inside) => inside,
        None if below.contains(DOTS) => return None,
        None => below,
    };
    side(without_each(unit), below, -1)
}

/// The symbols of one side of the stroke, joined to `unit`.
fn side(unit: Unit, text: &str, sign: i32) -> Option<Unit> {
    let mut pieces = text.split(DOTS);
    pieces.try_fold(unit, |unit, piece| {
        let (symbol, power) = factor(piece)?;
        unit.with(Term::new(symbol, sign * power))
    })
}

/// A symbol and its power, a digit from 2 to 9; points count as intervals.
fn factor(piece: &str) -> Option<(u16, i32)> {
    if !piece.ends_with(|c: char| c.is_ascii_digit()) {
        return Some((as_interval(symbol::number(piece)?), 1));
    }
    let (name, digit) = piece.split_at_checked(piece.len().checked_sub(1)?)?;
    let power = i32::try_from(digit.chars().next()?.to_digit(10)?).ok()?;
    let number = symbol::number(name).filter(|_| power > 1)?;
    Some((as_interval(number), power))
}

pub(super) fn as_interval(number: u16) -> u16 {
    let point = by_number(number).and_then(|symbol| symbol.point);
    point.map_or(number, |point| point.interval)
}

/// `each` alone above the stroke says only that nothing else is there.
fn without_each(unit: Unit) -> Unit {
    let is_each = unit.only().is_some_and(|only| symbol::number("each") == Some(only));
    if is_each { Unit::ONE } else { unit }
}

/// What is wrong with a text that is no unit: unknown symbols first, then form.
fn trouble(text: &str) -> UnitTrouble {
    empty(text)
        .or_else(|| spaced(text))
        .or_else(|| raised(text))
        .or_else(|| reciprocal(text))
        .or_else(|| run_together(text))
        .or_else(|| unknown(text))
        .or_else(|| parentheses(text))
        .or_else(|| two_strokes(text))
        .or_else(|| two_readings(text))
        .unwrap_or_else(|| too_much(text))
}

fn malformed(span: Span, message: String, help: Option<String>) -> UnitTrouble {
    UnitTrouble {
        span,
        message,
        help,
        mends: Vec::new(),
        unknown: false,
    }
}

/// With a replacement of a piece.
fn mended(mut trouble: UnitTrouble, span: Span, text: impl Into<String>) -> UnitTrouble {
    trouble.mends.push((span, text.into()));
    trouble
}

/// A piece marked, and the whole written otherwise where that is a unit.
fn rewritten_as(text: &str, span: Span, message: String, plain: &str) -> UnitTrouble {
    let help = Unit::parse(plain).ok().map(|_| format!("write `{plain}`"));
    let is_unit = help.is_some();
    let trouble = malformed(span, message, help);
    match is_unit {
        true => mended(trouble, whole(text), plain),
        false => trouble,
    }
}

fn whole(text: &str) -> Span {
    Span::new(0, text.len())
}

fn empty(text: &str) -> Option<UnitTrouble> {
    let message = || "a unit is missing here".to_owned();
    text.trim().is_empty().then(|| malformed(whole(text), message(), None))
}

fn spaced(text: &str) -> Option<UnitTrouble> {
    let at = text.find(char::is_whitespace)?;
    let closed: String = text.split_whitespace().collect();
    let message = "a unit has no spaces in it".to_owned();
    Some(rewritten_as(text, Span::new(at, text.len()), message, &closed))
}

/// `ft^2`, `ft²`.
fn raised(text: &str) -> Option<UnitTrouble> {
    let at = text.find(['^', '²', '³'])?;
    let plain = text.replace('^', "").replace('²', "2").replace('³', "3");
    let message = "a power in a unit is a plain digit".to_owned();
    Some(rewritten_as(text, Span::new(at, text.len()), message, &plain))
}

/// `1/h`, `/h`.
fn reciprocal(text: &str) -> Option<UnitTrouble> {
    let (above, below) = text.split_once('/')?;
    if !(above.is_empty() || above == "1") || below.is_empty() {
        return None;
    }
    let help = format!("write `each/{below}`");
    let message = "nothing stands above the slash of this unit".to_owned();
    let trouble = malformed(whole(text), message, Some(help));
    let meant = format!("each/{below}");
    Some(match Unit::parse(&meant) {
        Ok(_) => mended(trouble, whole(text), meant),
        Err(_) => trouble,
    })
}

/// The pieces between strokes, dots and parentheses, with their places.
fn pieces(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let is_mark = |c: char| DOTS.contains(&c) || ['/', '(', ')'].contains(&c);
    let mut at = 0;
    text.split_inclusive(is_mark).map(move |piece| {
        let start = at;
        at += piece.len();
        (start, piece.trim_end_matches(is_mark))
    })
}

/// `W/m2C`, `W/m2K`: a power and a degree without a dot between them.
fn run_together(text: &str) -> Option<UnitTrouble> {
    const DEGREES: [(&str, &str); 5] = [("°C", "C°"), ("°F", "F°"), ("C", "C°"), ("F", "F°"), ("K", "K")];
    let (above, below) = text.split_once('/')?;
    let written = below.trim_matches(['(', ')']);
    let (area, degree) = DEGREES
        .iter()
        .find_map(|(ending, degree)| written.strip_suffix(ending).zip(Some(degree)))?;
    let area = area.trim_end_matches(DOTS);
    let is_power = area.ends_with(|c: char| c.is_ascii_digit()) && factor(area).is_some();
    if !is_power || factor(written).is_some() {
        return None;
    }
    let message = "below the slash of a unit a product has dots and parentheses".to_owned();
    let span = Span::new(above.len() + 1, text.len());
    Some(rewritten_as(text, span, message, &format!("{above}/({area}·{degree})")))
}

/// `C`, `F`: a point on the scale, or a difference, which is another unit.
fn degree(text: &str, span: Span, piece: &str) -> Option<UnitTrouble> {
    let letter = match piece {
        "C" | "c" => 'C',
        "F" | "f" => 'F',
        _ => return None,
    };
    let (point, difference) = (format!("°{letter}"), format!("{letter}°"));
    let is_alone = text == piece;
    let help = match is_alone {
        true => format!("write `{point}` for a temperature, or `{difference}` for a difference of two"),
        false => format!("write `{difference}`"),
    };
    let points = is_alone.then_some((span, point));
    Some(UnitTrouble {
        span,
        message: format!("there is no unit `{piece}`"),
        help: Some(help),
        mends: points.into_iter().chain([(span, difference)]).collect(),
        unknown: true,
    })
}

fn unknown(text: &str) -> Option<UnitTrouble> {
    let named = pieces(text).filter(|(_, piece)| !piece.is_empty());
    let (start, piece) = named.into_iter().find(|(_, piece)| factor(piece).is_none())?;
    let span = Span::new(start, start + piece.len());
    let name = piece.trim_end_matches(|c: char| c.is_ascii_digit());
    if symbol::number(name).is_some() {
        let message = format!("`{piece}` has no power from 2 to 9");
        return Some(malformed(span, message, Some(format!("write `{name}` or `{name}2`"))));
    }
    if let Some(trouble) = degree(text, span, piece) {
        return Some(trouble);
    }
    let near = symbol::nearest(piece);
    Some(UnitTrouble {
        span,
        message: format!("there is no unit `{piece}`"),
        help: Some(match near {
            Some(near) => format!("write `{near}`, if that is meant"),
            None => "`tarebook units` lists them all".to_owned(),
        }),
        mends: near.map(|near| (span, near.to_owned())).into_iter().collect(),
        unknown: true,
    })
}

/// Parentheses are for a product below the stroke, and for nothing else.
fn parentheses(text: &str) -> Option<UnitTrouble> {
    let at = text.find(['(', ')'])?;
    let below = text.split_once('/').map_or("", |(_, below)| below);
    let inside = below.strip_prefix('(').and_then(|b| b.strip_suffix(')'));
    let proper = inside.is_some_and(|inside| !inside.contains(['(', ')', '/']));
    if proper && !text.starts_with('(') && !text.contains(")/") {
        return None;
    }
    let message = "parentheses in a unit stand around a product below the slash".to_owned();
    Some(rewritten_as(
        text,
        Span::new(at, text.len()),
        message,
        &below_one_stroke(text),
    ))
}

fn two_strokes(text: &str) -> Option<UnitTrouble> {
    let at = text.match_indices('/').nth(1)?.0;
    let message = "a unit has one slash at most".to_owned();
    Some(rewritten_as(
        text,
        Span::new(at, text.len()),
        message,
        &below_one_stroke(text),
    ))
}

/// With everything behind the first stroke below it: `BTU/(h·ft2)`.
fn below_one_stroke(text: &str) -> String {
    let (above, below) = text.split_once('/').unwrap_or((text, ""));
    let named = |side| {
        let named = pieces(side).map(|(_, piece)| piece).filter(|p| !p.is_empty());
        named.collect::<Vec<_>>().join("·")
    };
    let (above, below) = (named(above), named(below));
    match below.contains('·') {
        _ if below.is_empty() => above,
        true => format!("{above}/({below})"),
        false => format!("{above}/{below}"),
    }
}

/// `lb/h·ft2`.
fn two_readings(text: &str) -> Option<UnitTrouble> {
    let (above, below) = text.split_once('/')?;
    let (first, others) = below.split_once(DOTS)?;
    if first.is_empty() || first.starts_with('(') {
        return None;
    }
    let message = format!("`{text}` can be read in two ways");
    let (under, over) = (
        format!("{above}/({first}·{others})"),
        format!("{above}·{others}/{first}"),
    );
    let help = format!("write `{under}` or `{over}`");
    let parses = Unit::parse(&under).is_ok();
    let trouble = malformed(whole(text), message, parses.then_some(help));
    let meant = [under, over].into_iter().filter(|unit| Unit::parse(unit).is_ok());
    Some(meant.fold(trouble, |trouble, unit| mended(trouble, whole(text), unit)))
}

fn too_much(text: &str) -> UnitTrouble {
    let dangling = pieces(text).any(|(_, piece)| piece.is_empty());
    let message = if dangling || text.ends_with(['/', '(']) || text.ends_with(DOTS) {
        "a symbol is missing in this unit"
    } else {
        "a unit has eight symbols at most, and powers up to 31"
    };
    malformed(whole(text), message.to_owned(), None)
}
