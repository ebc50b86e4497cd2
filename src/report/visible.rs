//! Text from a worksheet made safe to send to a terminal.
//!
//! Control characters are never sent raw: the old ones show as their pictures
//! (`␛`), newer ones and those that turn the direction of writing as the escape
//! one would type (`\u{202e}`). Width is counted as a terminal does.
//! Start reading at [`visible`].

use std::borrow::Cow;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The text with every control character made visible; a tab becomes spaces.
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '\t' => shown.push(' '),
            _ if is_hidden(c) => shown.push_str(&visible_character(c)),
            _ => shown.push(c),
        }
    }
    Cow::Owned(shown)
}

/// Whether a character would act on a terminal in place of being shown.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{61c}' | '\u{180e}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{feff}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e007f}')
}

/// What is shown for a hidden character.
pub(crate) fn visible_character(c: char) -> String {
    let code = u32::from(c);
    let picture = match code {
        0..=0x1f => char::from_u32(0x2400 + code),
        0x7f => Some('\u{2421}'),
        _ => None,
    };
    match picture {
        Some(picture) => picture.to_string(),
        None => format!("\\u{{{code:x}}}"),
    }
}

/// The columns a text takes.
pub fn columns(text: &str) -> usize {
    text.width()
}

/// The columns a character takes.
pub(crate) fn character_columns(c: char) -> usize {
    c.width().unwrap_or(0)
}

/// The text broken at spaces into lines of at most `width` columns; a word that
/// is longer is broken inside.
pub(crate) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0;
    for word in text.split_whitespace() {
        let taken = columns(word);
        if used > 0 && used + 1 + taken > width {
            lines.push(std::mem::take(&mut line));
            used = 0;
        }
        if used > 0 {
            line.push(' ');
            used += 1;
        }
        used = push_word(&mut lines, &mut line, used, word, width);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

fn push_word(lines: &mut Vec<String>, line: &mut String, mut used: usize, word: &str, width: usize) -> usize {
    for c in word.chars() {
        let taken = character_columns(c);
        if used + taken > width && used > 0 {
            lines.push(std::mem::take(line));
            used = 0;
        }
        line.push(c);
        used += taken;
    }
    used
}

/// A message as a sentence: a capital where it begins with a small letter, and
/// a full stop where nothing closes it.
pub fn sentence(message: &str) -> String {
    let message = message.trim();
    let mut characters = message.chars();
    let Some(first) = characters.next() else {
        return String::new();
    };
    // a sign such as `kW` stays as it is
    if characters.clone().next().is_some_and(char::is_uppercase) {
        return closed(message);
    }
    let mut text: String = first.to_uppercase().collect();
    text.push_str(characters.as_str());
    closed(&text)
}

/// A text with a full stop where nothing closes it.
pub fn closed(text: &str) -> String {
    let text = text.trim();
    match text.ends_with(['.', '?', '!', '…']) {
        true => text.to_owned(),
        false => format!("{text}."),
    }
}
