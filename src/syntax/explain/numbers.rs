//! Numbers written in the ways of others: grouped, with a comma, half a number, a unit left out.
//!
//! Start reading at [`Stop::number`].

use crate::problem::Code;
use crate::text::Span;

use super::super::grammar::Rule;
use super::super::words::{is_blank, is_name_char};
use super::{Slip, Stop};

impl Stop<'_> {
    /// Numbers written in other ways.
    pub(super) fn number(&self) -> Option<Slip> {
        self.grouped()
            .or_else(|| self.decimal_comma())
            .or_else(|| self.half_a_number())
            .or_else(|| self.compound())
    }

    /// `3,000`, `3 000`
    fn grouped(&self) -> Option<Slip> {
        let before = self.before.trim_end_matches(is_blank);
        let space = self.before.len() - before.len();
        let group = match self.rest.strip_prefix(',') {
            Some(group) if space == 0 => group,
            Some(_) => return None,
            None if space == 1 || (space > 0 && !self.before.ends_with(' ')) => self.rest,
            None => return None,
        };
        let whole = last_digits(before);
        let three = leading_digits(group).len() == 3 && !whole.starts_with('0');
        if !(1..=3).contains(&whole.len()) || !three {
            return None;
        }
        let numeric = |c: char| c.is_ascii_digit() || matches!(c, ',' | '.' | '_' | '\u{A0}' | '\u{202F}');
        let tail = self.rest.find(|c| !numeric(c)).unwrap_or(self.rest.len());
        let written = self.rest.get(..tail)?.trim_end_matches(|c: char| !c.is_ascii_digit());
        let groups: Vec<&str> = written
            .split(|c: char| !(c.is_ascii_digit() || c == '.'))
            .filter(|part| !part.is_empty())
            .collect();
        let start = self.at - space - whole.len();
        let meant = format!("{whole}_{}", groups.join("_"));
        let slip = Slip::new(
            Code::NumberFormat,
            "digits are grouped with underscores, since a comma or a space is read in two ways",
            Span::new(start, self.at + written.len()),
            format!("write `{meant}`"),
        );
        Some(slip.mend(meant))
    }

    /// `3,3 lb`
    fn decimal_comma(&self) -> Option<Slip> {
        let whole = last_digits(self.before);
        let fraction = leading_digits(self.rest.strip_prefix(',')?);
        let is_plain = whole.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || fraction.is_empty() || !is_plain || !self.expects_operator() {
            return None;
        }
        let meant = format!("{whole}.{fraction}");
        let place = Span::new(self.at - whole.len(), self.at + 1 + fraction.len());
        let message = "a number has a point before its fraction, not a comma";
        Some(Slip::new(Code::NumberFormat, message, place, format!("write `{meant}`")).mend(meant))
    }

    /// `.5`, `5.`, `1__000`
    fn half_a_number(&self) -> Option<Slip> {
        let whole = last_digits(self.before);
        let start = self.at - whole.len();
        if let Some(fraction) = self.rest.strip_prefix('.') {
            let digits = leading_digits(fraction);
            let help = match (whole.is_empty(), digits.is_empty()) {
                (true, true) => return None,
                (true, false) => format!("write `{}`", self.with_a_zero(digits)),
                (false, true) => format!("write `{whole}.0`, or `{whole}`"),
                (false, false) => "remove one point".to_owned(),
            };
            let slip = Slip::new(
                Code::NumberFormat,
                "a number has one point, with a digit on each side",
                Span::new(start, self.at + 1 + digits.len()),
                help,
            );
            return Some(match (whole.is_empty(), digits.is_empty()) {
                (true, _) => slip.mend(format!("0.{digits}")),
                (_, true) => slip.mend(whole),
                _ => slip,
            });
        }
        let underscored = self.rest.starts_with('_') && !whole.is_empty();
        underscored.then(|| {
            Slip::new(
                Code::NumberFormat,
                "an underscore in a number stands between two digits",
                Span::new(start, self.at + 1),
                "write it as in `1_250`",
            )
        })
    }

    /// `0.78` for `.78`, with the currency before it and the unit that touches it.
    fn with_a_zero(&self, digits: &str) -> String {
        let currency: String = self
            .before
            .chars()
            .last()
            .filter(|c| matches!(c, '$' | '€' | '£'))
            .into_iter()
            .collect();
        let after = self.rest.get(1 + digits.len()..).unwrap_or("");
        let ends = after
            .find(|c: char| is_blank(c) || matches!(c, ',' | ')' | '\n'))
            .unwrap_or(after.len());
        let unit = after
            .get(..ends)
            .filter(|unit| unit.starts_with('/') && !currency.is_empty());
        format!("{currency}0.{digits}{}", unit.unwrap_or(""))
    }

    /// `2 h 40`
    fn compound(&self) -> Option<Slip> {
        let before = self.before.trim_end();
        let digits = before.trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '_'));
        let number = before.get(digits.len()..).unwrap_or("");
        let only_unit = self.expected.iter().all(|rule| *rule == Rule::unit);
        if number.is_empty() || !only_unit {
            return None;
        }
        let span = Span::new(self.at - self.before.len() + digits.len(), self.at)
            .to(Span::at(self.at - (self.before.len() - before.len())));
        let span = Span::new(span.start as usize, span.start as usize + number.len());
        Some(Slip::new(
            Code::CompoundFormat,
            format!("`{number}` has no unit"),
            span,
            "give it its unit, as in `2 h 40 min`, or put an operator before it",
        ))
    }
}

pub(super) fn last_digits(text: &str) -> &str {
    let start = text
        .trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, '_' | '.'))
        .len();
    let before = text.get(..start).unwrap_or("");
    if before.ends_with(is_name_char) {
        return "";
    }
    text.get(start..).unwrap_or("")
}

fn leading_digits(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    text.get(..end).unwrap_or("")
}
