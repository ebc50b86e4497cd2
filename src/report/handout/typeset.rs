//! Numbers and units as a book sets them: powers raised, digits in groups, a true minus.
//!
//! One grouping for all: from five digits on, threes parted by a narrow space that no
//! line breaks at. Values and formulas of rules go through [`set()`] and [`rule`]; of
//! prose, which may hold numbers that are names, only what was written in groups is.

use maud::{Markup, html};

/// The narrow space between groups of digits.
const NARROW: char = '\u{202f}';
/// Units that a 2 or a 3 behind raises.
const RAISED: [&str; 12] = ["m", "cm", "mm", "km", "in", "ft", "yd", "s", "h", "lb", "kg", "K"];

/// A value with its unit: `7 W/(m2·C°)`, `-59000 BTU/h`, `$28.3/d`, `1.2e-7`.
pub(super) fn set(text: &str) -> String {
    let mut told = String::with_capacity(text.len() + 8);
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let before = told.chars().next_back();
        let (taken, written) = match first {
            '0'..='9' if !before.is_some_and(is_of_name) => number(rest, before),
            '-' if is_sign(rest, before) => (1, "−".to_owned()),
            letter if letter.is_alphabetic() => word(rest),
            other => (other.len_utf8(), other.to_string()),
        };
        told.push_str(&written);
        rest = rest.get(taken..).unwrap_or("");
    }
    told
}

/// Prose: what was written in groups of digits is set in them.
pub(super) fn prose(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
    let grouped = letters.iter().enumerate().map(|(at, letter)| match letter {
        '_' if digit(at.checked_sub(1)) && (1..=3).all(|by| digit(Some(at + by))) => NARROW,
        letter => *letter,
    });
    grouped.collect()
}

/// The formula of a rule, its powers raised: `ρc + a·t^0.35 + b·t^(2/3)`.
pub(super) fn rule(text: &str) -> Markup {
    let text = text.replace('`', "");
    let mut parts = text.split('^');
    let first = parts.next().unwrap_or("");
    html! {
        (set(first))
        @for part in parts {
            @let (raised, rest) = exponent(part);
            sup { (set(raised)) } (set(rest))
        }
    }
}

/// What stands raised at the beginning, without its parentheses, and the rest.
fn exponent(text: &str) -> (&str, &str) {
    if let Some((inside, rest)) = text.strip_prefix('(').and_then(|text| text.split_once(')')) {
        return (inside, rest);
    }
    let ends = |(at, letter): &(usize, char)| {
        let sign = *at == 0 && matches!(letter, '-' | '−');
        !(letter.is_alphanumeric() || *letter == '.' || sign)
    };
    let end = text.char_indices().find(ends).map_or(text.len(), |(at, _)| at);
    let (raised, _) = text.split_at_checked(end).unwrap_or((text, ""));
    let raised = raised.trim_end_matches('.');
    (raised, text.get(raised.len()..).unwrap_or(""))
}

fn is_of_name(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '_' | '.')
}

/// Whether a hyphen is a sign in front of a number.
fn is_sign(rest: &str, before: Option<char>) -> bool {
    let number = rest
        .chars()
        .nth(1)
        .is_some_and(|next| next.is_ascii_digit() || next == '$');
    number && before.is_none_or(|before| before.is_whitespace() || matches!(before, '(' | '$' | '=' | '×'))
}

/// A number, of money to the cent, and how many letters of the text it takes.
fn number(text: &str, before: Option<char>) -> (usize, String) {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let whole = text.bytes().take_while(|c| c.is_ascii_digit() || *c == b'_').count();
    let rest = text.get(whole..).unwrap_or("");
    let part = rest.strip_prefix('.').map_or(0, digits);
    let part = if part > 0 { part + 1 } else { 0 };
    let mut told = grouped(text.get(..whole).unwrap_or(""));
    told.push_str(rest.get(..part).unwrap_or(""));
    if before == Some('$') && part == 2 {
        told.push('0');
    }
    let end = whole + part;
    let Some(power) = text.get(end..).and_then(|rest| rest.strip_prefix('e')) else {
        return (end, told);
    };
    let sign = usize::from(power.starts_with('-'));
    let count = power.get(sign..).map_or(0, digits);
    if count == 0 {
        return (end, told);
    }
    let raised: String = power.chars().take(sign + count).map(superscript).collect();
    (end + 1 + sign + count, format!("{told}\u{a0}×\u{a0}10{raised}"))
}

fn grouped(whole: &str) -> String {
    let digits: Vec<char> = whole.chars().filter(char::is_ascii_digit).collect();
    if digits.len() < 5 || digits.first() == Some(&'0') {
        return digits.into_iter().collect();
    }
    let mut told = String::with_capacity(digits.len() * 2);
    for (place, digit) in digits.iter().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            told.push(NARROW);
        }
        told.push(*digit);
    }
    told
}

/// A word, the power of a unit raised.
fn word(text: &str) -> (usize, String) {
    let end = |text: &str| text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
    let (word, rest) = text.split_at_checked(end(text)).unwrap_or((text, ""));
    let mut behind = rest.chars();
    let power = behind.next().filter(|power| matches!(power, '2' | '3'));
    let alone = behind.next().is_none_or(|next| !is_of_name(next));
    match power.filter(|_| alone && RAISED.contains(&word)) {
        Some(power) => (word.len() + 1, format!("{word}{}", superscript(power))),
        None => (word.len(), word.to_owned()),
    }
}

fn superscript(c: char) -> char {
    match c {
        '-' => '⁻',
        '0' => '⁰',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '4' => '⁴',
        '5' => '⁵',
        '6' => '⁶',
        '7' => '⁷',
        '8' => '⁸',
        '9' => '⁹',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::{prose, rule, set};

    #[test]
    fn values_are_set() {
        for (written, told) in [
            ("7 W/(m2·C°)", "7 W/(m²·C°)"),
            ("59000 BTU/h", "59\u{202f}000 BTU/h"),
            ("-5 °F", "−5 °F"),
            ("$28.3/d", "$28.30/d"),
            ("$28.3", "$28.30"),
            ("$1.180/h", "$1.180/h"),
            ("1.2e-7", "1.2\u{a0}×\u{a0}10⁻⁷"),
            ("2026-01-11 17:30", "2026-01-11 17:30"),
            ("4000 lb", "4000 lb"),
            ("0.123456", "0.123456"),
            ("CO2 of x2", "CO2 of x2"),
            ("3 lb2", "3 lb²"),
            ("run_12345", "run_12345"),
        ] {
            assert_eq!(set(written), told, "{written}");
        }
    }

    #[test]
    fn prose_keeps_its_numbers() {
        assert_eq!(prose("21_548 BTU, EN 50525, a_b"), "21\u{202f}548 BTU, EN 50525, a_b");
    }

    #[test]
    fn powers_of_rules_are_raised() {
        let told = rule("ρc + a·t^0.35 + b·t^(2/3), x^-1.").into_string();
        assert_eq!(told, "ρc + a·t<sup>0.35</sup> + b·t<sup>2/3</sup>, x<sup>−1</sup>.");
    }
}
