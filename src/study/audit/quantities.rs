//! Quantities that a text names: `2 h 40 min`, `a 12-V battery`, `steps by half a pound`.
//!
//! Start reading at [`quantities`].

use crate::unit::Unit;

/// A number and the unit behind it, as a text has them.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Named {
    /// The number as it is written.
    pub(super) number: f64,
    /// The unit.
    pub(super) unit: Unit,
    /// Its sign, as the program knows it.
    pub(super) sign: String,
}

/// Units in words, with the sign that the program knows.
const WORDS: [(&str, &str); 26] = [
    ("pound", "lb"),
    ("pounds", "lb"),
    ("lbs", "lb"),
    ("kilogram", "kg"),
    ("kilograms", "kg"),
    ("kilo", "kg"),
    ("kilos", "kg"),
    ("ounces", "oz"),
    ("hour", "h"),
    ("hours", "h"),
    ("minute", "min"),
    ("minutes", "min"),
    ("watt", "W"),
    ("watts", "W"),
    ("volt", "V"),
    ("volts", "V"),
    ("amp", "A"),
    ("amps", "A"),
    ("Ah", "A·h"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("meter", "m"),
    ("meters", "m"),
    ("gallon", "gal"),
    ("gallons", "gal"),
    ("percent", "%"),
];

fn sign_of(word: &str) -> Option<(Unit, String)> {
    let known = WORDS.iter().find(|(written, _)| *written == word);
    let sign = known.map_or(word, |(_, sign)| sign);
    let letters = sign.chars().any(|c| c.is_alphabetic() || c == '%');
    let small = sign.to_lowercase();
    let known = [sign, &small]
        .into_iter()
        .find_map(|sign| Some((Unit::parse(sign).ok()?, sign.to_owned())));
    known.filter(|_| letters && !sign.is_empty())
}

/// The quantities of a text, in their order; clock times and dates are none.
pub(super) fn quantities(text: &str) -> Vec<Named> {
    let words: Vec<&str> = text.split([' ', '\n', '\t', '(', ')', ';']).collect();
    let mut found = Vec::new();
    for (place, word) in words.iter().enumerate() {
        let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '−');
        let word = word
            .trim_matches(['"', '\''])
            .trim_end_matches([',', '.', ':', '!', '?', '"', '\'']);
        let end = word.find(|c| !digits(c)).unwrap_or(word.len());
        let (number, glued) = word.split_at_checked(end).unwrap_or((word, ""));
        let number = number.trim_end_matches('-').replace(',', "").replace('−', "-");
        let Ok(number) = number.parse::<f64>() else { continue };
        let behind = words.get(place + 1).copied().unwrap_or_default();
        let behind = behind
            .trim_matches(['"', '\''])
            .trim_end_matches([',', '.', ':', '!', '?', '"', '\'']);
        let named = sign_of(if glued.is_empty() { behind } else { glued });
        found.extend(named.map(|(unit, sign)| Named { number, unit, sign }));
    }
    found
}

fn clock(word: &str) -> Option<f64> {
    let word = word.trim_matches(|c: char| !c.is_ascii_digit());
    let (hours, minutes) = word.split_once(':')?;
    let (hours, minutes) = (hours.parse::<f64>().ok()?, minutes.parse::<f64>().ok()?);
    (hours < 24.0 && minutes < 60.0).then_some(hours + minutes / 60.0)
}

/// The clock times of a text, in hours: `22:45` is 22.75.
pub(super) fn clock_times(text: &str) -> Vec<f64> {
    let words = text.split([' ', '\n', '(', ')', ';', '–', '—', ',']);
    words.filter_map(clock).collect()
}

/// The hours of the spans that a text names, `17:20 to 21:56`, all of them together.
pub(super) fn hours_between(text: &str) -> Option<f64> {
    let text = text
        .replace(['–', '—'], " to ")
        .replace(" - ", " to ")
        .replace(" until ", " to ")
        .replace(" till ", " to ");
    let words: Vec<&str> = text.split_whitespace().collect();
    let spans = words.windows(3).filter_map(|three| match three {
        [from, "to", to] => Some((clock(to)? - clock(from)?).rem_euclid(24.0)),
        _ => None,
    });
    let spans: Vec<f64> = spans.collect();
    (!spans.is_empty()).then(|| spans.iter().sum())
}

/// What people call the least step that a display or a dial shows.
const STEPS: [&str; 14] = [
    "steps by ",
    "steps of ",
    "step of ",
    "to the nearest ",
    "reads to ",
    "shows whole ",
    "shows full ",
    "resolution ",
    "resolution of ",
    "divisions of ",
    "division of ",
    "graduated in ",
    "marked every ",
    "increments of ",
];

/// The step of numbers that a text says a display goes through: `29.0, 29.5, 30.0 lb`.
fn stepping(text: &str) -> Option<Named> {
    let words: Vec<&str> = text
        .split_whitespace()
        .map(|word| word.trim_end_matches([',', '.', ';']))
        .collect();
    words.windows(4).find_map(|four| match four {
        [one, two, three, unit] => {
            let (one, two, three) = (
                one.parse::<f64>().ok()?,
                two.parse::<f64>().ok()?,
                three.parse::<f64>().ok()?,
            );
            let step = two - one;
            let even = step > 0.0 && (three - two - step).abs() < 1e-9;
            let (unit, sign) = sign_of(unit).filter(|_| even)?;
            Some(Named {
                number: step,
                unit,
                sign,
            })
        }
        _ => None,
    })
}

/// The least step that a text says a display or a dial shows.
pub(super) fn least_step(text: &str) -> Option<Named> {
    let text = text.to_lowercase();
    if let Some(step) = stepping(&text) {
        return Some(step);
    }
    let behind = STEPS
        .iter()
        .filter_map(|step| Some((text.find(step)? + step.len(), step)));
    let (place, step) = behind.max_by_key(|(place, _)| *place)?;
    let behind = text.get(place..)?;
    let mut words = behind
        .split([' ', ',', ';', ':'])
        .filter(|word| !matches!(*word, "a" | "an" | "one" | ""));
    let first = words.next()?;
    let part = match first {
        "half" => 0.5,
        "quarter" => 0.25,
        "tenth" | "tenths" => 0.1,
        "whole" | "full" => 1.0,
        _ if first.starts_with(|c: char| c.is_ascii_digit()) => return quantities(behind).into_iter().next(),
        _ if step.ends_with("whole ") || step.ends_with("full ") || sign_of(first).is_some() => {
            return sign_of(first).map(|(unit, sign)| Named {
                number: 1.0,
                unit,
                sign,
            });
        }
        _ => return None,
    };
    let (unit, sign) = words.find(|word| !matches!(*word, "of" | "the")).and_then(sign_of)?;
    Some(Named {
        number: part,
        unit,
        sign,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_found_in_words() {
        let told = |text: &str| {
            let found = quantities(text).into_iter();
            found
                .map(|named| format!("{} {}", named.number, named.sign))
                .collect::<Vec<String>>()
        };
        assert_eq!(told("stopwatch, 13:10 to 15:50: 2 h 40 min"), ["2 h", "40 min"]);
        assert_eq!(told("label of the 12-V battery, 100 Ah"), ["12 V", "100 A·h"]);
        assert_eq!(told("meter, read after 24 h: 1.4 kWh"), ["24 h", "1.4 kWh"]);
        assert_eq!(told("on 2026-01-11, 1,450 W at 25 % load."), ["1450 W", "25 %"]);
    }

    #[test]
    fn steps_are_found_in_words() {
        let told = |text: &str| least_step(text).map(|named| format!("{} {}", named.number, named.sign));
        assert_eq!(
            told("display steps by half a pound; hose off").as_deref(),
            Some("0.5 lb")
        );
        assert_eq!(told("reads to 0.2 lb").as_deref(), Some("0.2 lb"));
        assert_eq!(told("to the nearest pound").as_deref(), Some("1 lb"));
        assert_eq!(told("shows whole pounds").as_deref(), Some("1 lb"));
        assert_eq!(told("kitchen scale"), None);
    }
}
