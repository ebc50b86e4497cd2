//! How things stand where a word is typed: inside which call, text or brackets, and
//! behind what.
//!
//! Told by the letters alone, because what is being typed can't be read yet.
//! Start reading at [`Standing::of`].

use crate::syntax::{inner_words, openings};

/// A call whose parenthesis is open.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct OpenCall {
    /// The function or rule; empty for a parenthesis of its own.
    pub name: String,
    /// Which argument one stands in, from 0.
    pub argument: usize,
    /// The label of that argument.
    pub label: Option<String>,
    /// The labels given before.
    pub given: Vec<String>,
    /// Whether something stands in the argument already.
    pub(super) begun: bool,
}

/// How things stand at the end of a stretch of text.
#[derive(Default)]
pub(super) struct Standing {
    pub(super) calls: Vec<OpenCall>,
    /// Inside a text or a remark, a heading or prose.
    pub(super) silent: bool,
    /// Inside a text, and where it begins.
    pub(super) text: Option<usize>,
    /// Inside brackets.
    pub(super) boxed: bool,
    /// Behind the first `=` outside parentheses, brackets and texts: where it stands.
    pub(super) equals: Option<usize>,
}

impl Standing {
    /// Reads from the start of a line or an item.
    pub(super) fn of(before: &str) -> Standing {
        let mut standing = Standing::default();
        let mut remark = before.trim_start().starts_with(['#', '>']);
        let mut word = String::new();
        let mut last = '\n';
        let mut letters = before.char_indices().peekable();
        while let Some((at, letter)) = letters.next() {
            match letter {
                '\n' => (standing.text, remark) = (None, false),
                _ if remark => {}
                '\\' if standing.text.is_some() => {
                    letters.next();
                }
                '"' | '“' | '”' | '„' => {
                    standing.text = match standing.text {
                        Some(_) => None,
                        None => Some(at + letter.len_utf8()),
                    }
                }
                _ if standing.text.is_some() => {}
                '-' if last.is_whitespace() && opens_remark(before.get(at..)) => remark = true,
                _ => standing.read(at, letter, &word),
            }
            if letter.is_alphanumeric() || letter == '_' {
                word.push(letter);
            } else if letter != ' ' || !matches!(letters.peek(), Some((_, ':' | '('))) {
                word.clear();
            }
            last = letter;
        }
        standing.silent = remark || standing.text.is_some();
        standing
    }

    fn read(&mut self, at: usize, letter: char, word: &str) {
        match letter {
            '=' if self.equals.is_none() && self.calls.is_empty() && !self.boxed => self.equals = Some(at),
            '(' => self.calls.push(OpenCall {
                name: word.to_owned(),
                ..OpenCall::default()
            }),
            ')' => {
                self.calls.pop();
            }
            '[' => self.boxed = true,
            ']' => self.boxed = false,
            _ => {}
        }
        let Some(call) = self.calls.last_mut() else {
            return;
        };
        match letter {
            ',' => {
                call.argument += 1;
                call.label = None;
                call.begun = false;
            }
            ':' if word.starts_with(|first: char| first.is_alphabetic() || first == '_') => {
                call.label = Some(word.to_owned());
                call.given.push(word.to_owned());
                call.begun = false;
            }
            '(' => {}
            _ if letter.is_whitespace() => {}
            _ => call.begun = true,
        }
    }

    /// The innermost call; parentheses of their own don't hide it.
    pub(super) fn call(&self) -> Option<&OpenCall> {
        self.calls.last().filter(|call| !call.name.is_empty())
    }
}

/// Whether two dashes that open a remark stand here.
fn opens_remark(rest: Option<&str>) -> bool {
    let behind = rest.and_then(|rest| rest.strip_prefix("--"));
    behind.is_some_and(|behind| behind.chars().next().is_none_or(char::is_whitespace))
}

pub(super) fn last_word(text: &str) -> &str {
    let start = text.char_indices().rev();
    let start = start
        .take_while(|(_, c)| c.is_alphanumeric() || *c == '_')
        .last()
        .map_or(text.len(), |(at, _)| at);
    text.get(start..).unwrap_or("")
}

/// The text without the number at its end.
pub(super) fn without_number(text: &str) -> &str {
    text.trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '_'))
}

/// Whether a number stands right before, so that a unit may follow.
pub(super) fn behind_number(before: &str) -> bool {
    let trimmed = before.trim_end_matches([' ', '\t']);
    let ahead = without_number(trimmed);
    let last = trimmed.get(ahead.len()..).unwrap_or("");
    last.starts_with(|c: char| c.is_ascii_digit()) && !ahead.ends_with(|c: char| c.is_alphanumeric() || c == '_')
}

/// Whether the end of `before` is inside a text, a remark, a heading or prose.
pub fn is_silent(before: &str) -> bool {
    Standing::of(before).silent
}

/// Whether a parenthesis is open at the end of `before`, so that its entry goes on.
pub fn is_open(before: &str) -> bool {
    !Standing::of(before).calls.is_empty()
}

/// Whether a unit may stand behind `before`, or a further symbol of one.
pub fn expects_unit(before: &str) -> bool {
    let inside =
        before.trim_end_matches(|c: char| c.is_alphanumeric() || matches!(c, '°' | '/' | '·' | '(' | '*' | '%'));
    Standing::of(before).boxed || behind_number(before) || inside.len() < before.len() && behind_number(inside) || {
        // `3.2 BTU/`, where the digits were taken for a part of the word.
        let start = word_start(before.trim_end_matches(['/', '·', '(', '*']));
        behind_number(before.get(..start).unwrap_or(""))
    }
}

/// Whether a unit has begun at the end of `before` and goes on: `3 lb/`, `$3.89/`.
pub(super) fn continues_unit(before: &str) -> bool {
    if !before.ends_with(['/', '·', '(']) {
        return false;
    }
    let is_unit = |c: char| c.is_alphanumeric() || matches!(c, '°' | '/' | '·' | '(' | '%' | '$' | '€' | '£' | '.');
    let stretch = before.get(before.trim_end_matches(is_unit).len()..).unwrap_or("");
    let unit = stretch.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    let head = before.get(..before.len() - unit.len()).unwrap_or("");
    let opened = unit.starts_with(|c: char| c.is_alphabetic() || matches!(c, '°' | '%' | '$' | '€' | '£'));
    opened && behind_number(head) || opens_money(stretch)
}

/// `$3.89/`
fn opens_money(stretch: &str) -> bool {
    let amount = stretch.strip_prefix(['$', '€', '£']);
    amount.is_some_and(|amount| amount.starts_with(|c: char| c.is_ascii_digit()))
}

/// Whether a value ends before the end of `before`, so that no other may follow.
pub(super) fn behind_value(before: &str) -> bool {
    let trimmed = before.trim_end();
    let word = last_word(trimmed);
    match word.is_empty() {
        true => trimmed.ends_with([')', ']', '"', '”', '°', '%', '?']),
        false => {
            let words = inner_words().filter(|known| !matches!(*known, "true" | "false"));
            let is_word = words.chain(openings()).any(|known| known == word);
            !is_word && trimmed.len() < before.len()
        }
    }
}

/// Where the word that ends at the end of `line` begins; inside a text, where that does.
pub fn word_start(line: &str) -> usize {
    if let Some(start) = Standing::of(line).text {
        return start;
    }
    let is_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '°' | '%' | '$');
    let letters = line.char_indices().rev();
    let start = letters
        .take_while(|(_, c)| is_word(*c))
        .last()
        .map_or(line.len(), |(at, _)| at);
    let word = line.get(start..).unwrap_or("");
    // `20lb`: the unit begins behind the digits.
    let digits = word.len() - word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').len();
    start + digits
}
