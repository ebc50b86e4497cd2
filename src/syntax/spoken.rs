//! Values as people write them on paper, and the form that works.
//!
//! `12 1/4 lb`, `about 11 lb`, `$2.03 per kWh`, `$19.50 each`, `15.6 deg C`, `78 ¢/lb`: none is taken, since
//! some can be read in two ways, but each is answered with what to type. Start reading at
//! [`meant`].

use crate::number::Number;
use crate::unit::Unit;

use super::reader::parse_unit;
use super::words::is_blank;

/// What stands before a value that is only nearly known.
const NEARLY: [&str; 8] = [
    "about",
    "approx.",
    "approx",
    "approximately",
    "roughly",
    "ca.",
    "~",
    "≈",
];

/// Numbers in words.
const WORDS: [&str; 21] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
];

/// The value that is meant, as it can be typed; `None` where that isn't clear. `asked` is the
/// unit that the entry asks for.
pub(super) fn meant(value: &str, asked: Option<Unit>) -> Option<String> {
    let plain = value.trim_matches(|c| is_blank(c) || c == '\n');
    let plain = NEARLY.iter().find_map(|word| plain.strip_prefix(word)).unwrap_or(plain);
    let plain = plain.trim_start_matches(is_blank);
    let plain = plain.strip_prefix("= ").unwrap_or(plain);
    let plain = plain.strip_suffix('.').unwrap_or(plain);
    let (currency, plain) = match plain.strip_prefix('$') {
        Some(rest) => ("$", rest),
        None => ("", plain),
    };
    let (number, rest) = number(plain)?;
    let written = format!("{currency}{number}");
    let rest = rest.trim_matches(is_blank);
    if let Some(per) = rest.strip_prefix('¢') {
        let dollars = exact(&number)?.div(Number::from_integer(100)).ok()?.to_plain();
        return fits(format!("${dollars}{}", per_unit(per, asked)?), asked);
    }
    if !currency.is_empty() {
        return fits(format!("{written}{}", per_unit(rest, asked)?), asked);
    }
    let unit = match (rest, asked) {
        ("", Some(asked)) if asked != Unit::ONE => asked.to_string(),
        (rest, asked) => unit(rest, asked)?,
    };
    match number.contains('/') {
        true => Some(format!("({number}) * 1 {unit}")),
        false if unit.is_empty() => Some(written),
        false => Some(format!("{written} {unit}")),
    }
}

/// A number in words as it is typed, `two` as `2 each` where that is asked for.
pub fn number_word(word: &str, asked: Option<Unit>) -> Option<String> {
    let place = WORDS.iter().position(|known| word.eq_ignore_ascii_case(known))?;
    Some(match asked.filter(|asked| *asked != Unit::ONE) {
        Some(asked) => format!("{place} {asked}"),
        None => place.to_string(),
    })
}

/// The number that a text begins with, `12 1/4` as `12.25` and `3 1/3` as `3 + 1/3`.
fn number(text: &str) -> Option<(String, &str)> {
    let word = text.split(is_blank).next().unwrap_or("");
    if let Some(place) = WORDS.iter().position(|known| word.eq_ignore_ascii_case(known)) {
        return Some((place.to_string(), text.get(word.len()..)?));
    }
    let (whole, rest) = digits(text)?;
    let after = rest.trim_start_matches(is_blank);
    match fraction(after).filter(|_| after.len() < rest.len()) {
        Some((above, below, rest)) => {
            let part = exact(above)?.div(exact(below)?).ok()?;
            let all = exact(whole)?.add(part).ok()?;
            let short = all.to_plain();
            let is_short = short.split_once('.').is_none_or(|(_, digits)| digits.len() <= 4);
            let told = if is_short {
                short
            } else {
                format!("{whole} + {above}/{below}")
            };
            Some((told, rest))
        }
        None => Some((whole.to_owned(), rest)),
    }
}

fn digits(text: &str) -> Option<(&str, &str)> {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at_checked(end)?;
    exact(number).map(|_| (number, rest))
}

/// `1/4`
fn fraction(text: &str) -> Option<(&str, &str, &str)> {
    let (above, rest) = digits(text)?;
    let (below, rest) = digits(rest.strip_prefix('/')?)?;
    Some((above, below, rest))
}

fn exact(text: &str) -> Option<Number> {
    Number::parse(text).ok()
}

/// `/kWh`, also of `per kWh`; nothing where nothing stands there.
fn per_unit(text: &str, asked: Option<Unit>) -> Option<String> {
    let text = text.trim_matches(is_blank);
    if text.is_empty() {
        return Some(String::new());
    }
    if matches!(text, "each" | "apiece") {
        return Some("/each".to_owned());
    }
    let heads = ["per ", "/", "a ", "an "];
    let below = heads.iter().find_map(|head| text.strip_prefix(head))?.trim();
    let counts = || below.chars().all(char::is_alphabetic).then(|| "each".to_owned());
    Some(format!("/{}", unit(below, asked).or_else(counts)?))
}

/// A unit by its symbol: `lb per h` is `lb/h`, `deg C` what the entry asks for.
fn unit(text: &str, asked: Option<Unit>) -> Option<String> {
    if text.is_empty() {
        return Some(String::new());
    }
    let (above, below) = match (text.split_once(" per "), text.strip_suffix(" each")) {
        (Some((above, below)), _) => (above, Some(below)),
        (None, Some(above)) => (above, Some("each")),
        (None, None) => (text, None),
    };
    let above = match above
        .strip_prefix("degrees ")
        .or(above.strip_prefix("deg "))
        .map(str::trim)
    {
        Some(scale @ ("C" | "F")) => match asked.is_none_or(|asked| asked.is_point()) {
            true => format!("°{scale}"),
            false => format!("{scale}°"),
        },
        Some(_) => return None,
        None => symbol(above.trim())?,
    };
    match below {
        Some(below) => Some(format!("{above}/{}", symbol(below.trim())?)),
        None => Some(above),
    }
}

/// A symbol, or the one that a word stands for.
fn symbol(text: &str) -> Option<String> {
    match parse_unit(text) {
        Ok(_) => Some(text.to_owned()),
        Err(trouble) => match trouble.mends.as_slice() {
            [(span, meant)] if span.of(text) == text => Some(meant.clone()),
            _ => None,
        },
    }
}

/// An amount of money where the entry asks for one.
fn fits(written: String, asked: Option<Unit>) -> Option<String> {
    let is_money = |asked: Unit| asked.to_string().contains('$');
    asked.is_none_or(is_money).then_some(written)
}
