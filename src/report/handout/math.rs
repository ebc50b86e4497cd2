//! A formula as it is laid out on paper: fractions, powers, calls, units upright.
//!
//! A small tree without any format of its own; it is built from the syntax tree
//! and written by [`super::mathml`]. Names are the user's own. Start reading at
//! [`Math`].

use super::super::shown::Shown;

/// A formula, or a piece of one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Math {
    /// A plain number, a time: `12`, `21:40`
    Number(String),
    /// A number with its unit: `37.3 lb`
    Quantity(String, String),
    /// A name of the worksheet: `fuel`, `loads.running`
    Name(String),
    /// A text as it is read
    Text(String),
    /// A word of the language: `and`, `where`
    Word(&'static str),
    /// A sign between two operands
    Operator(&'static str),
    /// Pieces in a line
    Row(Vec<Math>),
    /// What stands over what
    Fraction(Box<(Math, Math)>),
    /// A base with its exponent
    Power(Box<(Math, Math)>),
    /// A square root
    Root(Box<Math>),
    /// A size without its sign: `|x|`
    Size(Box<Math>),
    /// Something in parentheses
    Parentheses(Box<Math>),
    /// A function with its arguments
    Call(String, Vec<Argument>),
    /// What holds when: values with their conditions, the last without one
    Choice(Vec<(Math, Option<Math>)>),
}

/// An argument of a call, with its label where it has one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Argument {
    /// The label: `attached`
    pub label: Option<String>,
    /// What is handed over.
    pub value: Math,
}

impl Math {
    /// A value as shown, without its uncertainty: `37.3 lb`, `-5 °F`, `$3.89/gal`, `9 h 20 min`.
    pub(crate) fn of_value(text: &str) -> Math {
        let (sign, rest) = match text.strip_prefix('-') {
            Some(rest) => ("−", rest),
            None => ("", text),
        };
        let symbol = rest.chars().next().filter(|first| matches!(first, '$' | '€' | '£'));
        let from = symbol.map_or(0, char::len_utf8);
        let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | ':' | '-');
        let end = rest.char_indices().find(|(at, c)| *at >= from && !is_digit(*c));
        let end = end.map_or(rest.len(), |(at, _)| at);
        let end = exponent(rest, end);
        let (number, unit) = rest.split_at_checked(end).unwrap_or((rest, ""));
        let number = format!("{sign}{number}");
        match unit.trim() {
            _ if !rest.chars().any(|c| c.is_ascii_digit()) || end == 0 => Math::Text(text.to_owned()),
            "" => Math::Number(number),
            unit if unit.chars().any(|c| c.is_ascii_digit()) && unit.contains(' ') => Math::Text(text.to_owned()),
            unit if symbol.is_some() => Math::Number(format!("{number}{unit}")),
            unit => Math::Quantity(number, unit.to_owned()),
        }
    }

    /// A result as shown, with what it may be off by.
    pub(crate) fn of_result(shown: &Shown) -> Math {
        let value = Math::of_value(&shown.value);
        let mark = |mark: &String| Math::Text(format!("\u{a0}\u{a0}({mark})"));
        let mark = shown.mark.as_ref().map(mark);
        let Some(uncertainty) = &shown.uncertainty else {
            return match mark {
                Some(mark) => Math::Row(vec![value, mark]),
                None => value,
            };
        };
        let (width, coverage) = match uncertainty.split_once(" k=") {
            Some((width, coverage)) => (width, coverage.replace(" df=", ", df = ")),
            None => (uncertainty.as_str(), String::new()),
        };
        let mut row = vec![value, Math::Operator("±"), Math::of_value(width)];
        if !coverage.is_empty() {
            row.push(Math::Text(format!("\u{a0}\u{a0}(k = {coverage})")));
        }
        row.extend(mark);
        Math::Row(row)
    }

    /// Whether it is higher than a line.
    pub(crate) fn is_high(&self) -> bool {
        match self {
            Math::Fraction(_) | Math::Choice(_) => true,
            Math::Row(parts) => parts.iter().any(Math::is_high),
            Math::Power(sides) => sides.0.is_high(),
            Math::Root(inner) | Math::Size(inner) | Math::Parentheses(inner) => inner.is_high(),
            Math::Call(_, arguments) => arguments.iter().any(|argument| argument.value.is_high()),
            _ => false,
        }
    }

    /// About how many letters wide it is in a line.
    pub fn width(&self) -> usize {
        match self {
            Math::Number(text) | Math::Name(text) | Math::Text(text) => text.chars().count(),
            Math::Quantity(number, unit) => number.chars().count() + 1 + unit.chars().count(),
            Math::Word(word) => word.len() + 2,
            Math::Operator(_) => 3,
            Math::Row(parts) => parts.iter().map(Math::width).sum(),
            Math::Fraction(sides) => sides.0.width().max(sides.1.width()) + 1,
            Math::Power(sides) => sides.0.width() + sides.1.width(),
            Math::Root(inner) | Math::Size(inner) | Math::Parentheses(inner) => inner.width() + 2,
            Math::Call(name, arguments) => {
                name.chars().count() + 2 + arguments.iter().map(Argument::width).sum::<usize>()
            }
            Math::Choice(rows) => {
                let width =
                    |(value, when): &(Math, Option<Math>)| value.width() + 4 + when.as_ref().map_or(9, Math::width);
                rows.iter().map(width).max().unwrap_or(0) + 1
            }
        }
    }
}

impl Argument {
    /// About how many letters wide it is, with the comma behind it.
    pub fn width(&self) -> usize {
        self.value.width() + 2 + self.label.as_ref().map_or(0, |label| label.chars().count() + 2)
    }
}

/// Where a number ends that may go on with `e12` or `e-7`.
fn exponent(text: &str, end: usize) -> usize {
    let rest = text.get(end..).unwrap_or("");
    let Some(power) = rest.strip_prefix('e') else {
        return end;
    };
    let digits = power.trim_start_matches('-');
    let count = digits.chars().take_while(char::is_ascii_digit).count();
    let whole = digits.chars().nth(count).is_none_or(|next| next == ' ');
    match count > 0 && whole {
        true => end + 1 + (power.len() - digits.len()) + count,
        false => end,
    }
}
