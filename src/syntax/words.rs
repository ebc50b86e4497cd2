//! The words of the language: what opens a line, and what can't be a name.
//!
//! Also the small tests on characters that splitting, hints and tidying share.
//! Start reading at [`Opening`].

use crate::text;

use super::tree::EntryKind;

/// What the first word of a line opens.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Opening {
    Entry(EntryKind),
    Expect,
    Rule,
    Table,
    Case,
    Plot,
    Use,
}

/// The words that open a line, each with what it opens.
const OPENINGS: [(&str, Opening); 11] = [
    ("measured", Opening::Entry(EntryKind::Measured)),
    ("quoted", Opening::Entry(EntryKind::Quoted)),
    ("assumed", Opening::Entry(EntryKind::Assumed)),
    ("worked", Opening::Entry(EntryKind::Worked)),
    ("answer", Opening::Entry(EntryKind::Answer)),
    ("expect", Opening::Expect),
    ("rule", Opening::Rule),
    ("table", Opening::Table),
    ("case", Opening::Case),
    ("plot", Opening::Plot),
    ("use", Opening::Use),
];

/// Words inside lines that can't be names either.
const INNER_WORDS: [&str; 13] = [
    "from", "note", "else", "over", "where", "of", "if", "then", "and", "or", "not", "true", "false",
];

/// The words that open a line.
pub fn openings() -> impl Iterator<Item = &'static str> {
    OPENINGS.iter().map(|(word, _)| *word)
}

/// The words inside lines that can't be names.
pub fn inner_words() -> impl Iterator<Item = &'static str> {
    INNER_WORDS.into_iter()
}

/// What `word` opens, if it opens a line.
pub(super) fn opening(word: &str) -> Option<Opening> {
    let found = OPENINGS.iter().find(|(known, _)| *known == word);
    found.map(|(_, opening)| *opening)
}

/// The opening word closest to `word`, if one is close.
pub(super) fn nearest_opening(word: &str) -> Option<(&'static str, Opening)> {
    let near = text::nearest(word, OPENINGS.iter().map(|(known, _)| *known))?;
    opening(near).map(|opening| (near, opening))
}

/// Whether `word` can't be a name of the writer's own.
pub fn is_reserved(word: &str) -> bool {
    INNER_WORDS.contains(&word) || opening(word).is_some()
}

/// A space that may stand between two words of a line.
pub(super) fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\r' | '\u{A0}' | '\u{202F}' | '\u{2009}' | '\u{2007}')
}

/// A character that a name may hold.
pub(super) fn is_name_char(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// The name-like word that `text` begins with; may be empty.
pub(super) fn first_word(text: &str) -> &str {
    let end = text.find(|c| !is_name_char(c)).unwrap_or(text.len());
    text.get(..end).unwrap_or("")
}

/// The names joined by points that `text` begins with; may be empty.
pub(super) fn first_path(text: &str) -> &str {
    let end = text.find(|c| !is_name_char(c) && c != '.').unwrap_or(text.len());
    text.get(..end).unwrap_or("").trim_end_matches('.')
}

/// Whether `text` begins with the mark of a remark: `--` before a space or the end.
pub(super) fn opens_remark(text: &str) -> bool {
    text.strip_prefix("--")
        .is_some_and(|rest| rest.chars().next().is_none_or(|c| is_blank(c) || c == '\n'))
}

/// Where the `=` stands behind a cell at the head of a line: `run.gross of 12:10 = 30.6 lb`.
pub fn cell_head(line: &str) -> Option<usize> {
    let text = line.trim_start_matches(is_blank);
    let column = first_path(text);
    let behind = text.get(column.len()..)?;
    let of = first_word(behind.trim_start_matches(is_blank));
    if !column.contains('.') || column.starts_with('.') || of != "of" {
        return None;
    }
    let (mut in_text, mut open, mut before) = (false, 0i32, ' ');
    for (at, c) in behind.char_indices() {
        match c {
            '"' => in_text = !in_text,
            '(' if !in_text => open += 1,
            ')' if !in_text => open -= 1,
            '=' if !in_text && open == 0 && !matches!(before, '<' | '>') => {
                return Some(line.len() - behind.len() + at);
            }
            '<' | '>' | '≤' | '≥' | '≠' if !in_text && open == 0 => return None,
            _ => {}
        }
        before = c;
    }
    None
}
