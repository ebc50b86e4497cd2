//! Edits of the text: a span replaced, with only the item touched parsed again.
//!
//! An edit that leaves the same items standing costs one item's parse; any other
//! has the worksheet parsed afresh. Both give the tree that a fresh parse of the
//! new text would give. Start reading at [`Worksheet::replace`].

use crate::text::Span;

use super::lines::next_piece;
use super::parse::{parse, parse_item};
use super::tree::{Item, Node, Worksheet};

/// What an edit took away, and what it touched.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// The text that stood there before.
    pub removed: String,
    /// Which items are new.
    pub touched: Touched,
}

/// Which items an edit touched.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Touched {
    /// Exactly this one; all others are as they were, save where they start.
    One(usize),
    /// Any number of them; indices may have moved.
    Many,
}

impl Worksheet {
    /// Replaces a span of the text and brings the items up to date. A span that
    /// falls between the bytes of a character, or beyond the end, is drawn in to
    /// the nearest place before it.
    pub fn replace(&mut self, span: Span, with: &str) -> Change {
        let start = floor(&self.text, span.start as usize);
        let end = floor(&self.text, span.end as usize).max(start);
        let removed = self.text.get(start..end).unwrap_or("").to_owned();
        let item = self.item_around(start, end);
        self.text.replace_range(start..end, with);
        let growth = with.len() as i64 - removed.len() as i64;
        let touched = match item.and_then(|index| self.update(index, growth)) {
            Some(index) => Touched::One(index),
            None => {
                *self = parse(std::mem::take(&mut self.text));
                Touched::Many
            }
        };
        Change { removed, touched }
    }

    /// Puts a line, or several, before the item `index`, or at the end where there is none.
    pub fn insert_item(&mut self, index: usize, text: &str) -> Change {
        let Some(item) = self.items.get(index) else {
            return self.append(text);
        };
        let start = match (item.start, self.text.starts_with('\u{FEFF}')) {
            (0, true) => '\u{FEFF}'.len_utf8(),
            (start, _) => start as usize,
        };
        let mut lines = text.to_owned();
        if !lines.ends_with('\n') {
            lines.push_str(self.line_end());
        }
        self.replace(Span::at(start), &lines)
    }

    /// Puts a line, or several, at the end.
    pub fn append(&mut self, text: &str) -> Change {
        let line_end = self.line_end();
        let mut lines = String::new();
        if !self.text.is_empty() && !self.text.ends_with('\n') {
            lines.push_str(line_end);
        }
        lines.push_str(text);
        if !lines.ends_with('\n') {
            lines.push_str(line_end);
        }
        self.replace(Span::at(self.text.len()), &lines)
    }

    /// Takes an item away with its lines; nothing happens where there is none.
    pub fn remove_item(&mut self, index: usize) -> Change {
        let span = self.items.get(index).map_or(Span::at(self.text.len()), item_span);
        self.replace(span, "")
    }

    /// The line end the worksheet uses, by its first line.
    pub fn line_end(&self) -> &'static str {
        match self.text.split_once('\n') {
            Some((first, _)) if first.ends_with('\r') => "\r\n",
            _ => "\n",
        }
    }

    /// The item that holds the whole of a stretch.
    fn item_around(&self, start: usize, end: usize) -> Option<usize> {
        let behind = self.items.partition_point(|item| item.start as usize <= start);
        let index = behind.checked_sub(1)?;
        let item = self.items.get(index)?;
        (end <= item_span(item).end as usize).then_some(index)
    }

    /// Parses item `index` again, if the text still falls into the same items.
    fn update(&mut self, index: usize, growth: i64) -> Option<usize> {
        let item = self.items.get(index)?;
        let start = item.start;
        let len = u32::try_from(i64::from(item.len) + growth).ok()?;
        let first = self.decisive_item_before(index);
        self.same_items(first, index, len)?;
        let text = self.text.get(start as usize..(start + len) as usize)?;
        let parsed = parse_item(text, start, u32::try_from(index).ok()?)?;
        *self.items.get_mut(index)? = parsed;
        for item in self.items.iter_mut().skip(index + 1) {
            item.start = u32::try_from(i64::from(item.start) + growth).unwrap_or(u32::MAX);
        }
        Some(index)
    }

    /// The item before `index` whose end may depend on what stands at `index`:
    /// a block looks past remarks and empty lines for lines of its own.
    fn decisive_item_before(&self, index: usize) -> usize {
        let before = self.items.get(..index).unwrap_or_default();
        let ends_blocks = |item: &Item| !matches!(item.node, Node::Blank | Node::Remark);
        before.iter().rposition(ends_blocks).unwrap_or(0)
    }

    /// Whether the items from `first` to `index`, the latter now `len` bytes long,
    /// are what the text falls into.
    fn same_items(&self, first: usize, index: usize, len: u32) -> Option<()> {
        let items = self.items.get(first..=index)?;
        for (offset, item) in items.iter().enumerate() {
            let wanted = if first + offset == index { len } else { item.len };
            let rest = self.text.get(item.start as usize..)?;
            if rest.is_empty() || next_piece(rest).len != wanted as usize {
                return None;
            }
        }
        Some(())
    }
}

fn item_span(item: &Item) -> Span {
    Span::new(item.start as usize, item.start as usize + item.len as usize)
}

/// The last place not behind `at` that is no place inside a character.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
