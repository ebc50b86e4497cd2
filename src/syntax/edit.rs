//! Edits of the text: a span replaced, with only the items touched parsed again.
//!
//! Parsing begins at the item touched, or at the block before it that might reach
//! further now, and stops where an old item begins again. The tree is the one that
//! a fresh parse of the new text would give. Start reading at [`Worksheet::replace`].

use crate::problem::Code;
use crate::text::{Span, moved};

use super::lines::next_piece;
use super::parse::{LONGEST_TEXT, next_item, parse};
use super::tree::{Item, Node, Worksheet};
use super::used::{settle, uses_of};

/// What an edit took away, and what it touched.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// The text that stood there before.
    pub removed: String,
    /// Which items are new.
    pub touched: Touched,
    /// Whether what went and what came is empty lines, remarks, prose and headings only,
    /// which give nothing a value or a name.
    pub silent: bool,
}

/// Which items an edit touched; all others are as they were, save where they start.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Touched {
    /// Exactly this one.
    One(usize),
    /// From the item `from` on, `gone` items gave way to `come` others.
    Some {
        /// The first of them.
        from: usize,
        /// How many there were.
        gone: usize,
        /// How many there are.
        come: usize,
    },
}

/// A longer text put in is read as a whole, by several at once.
const LONG: usize = 128 * 1024;

impl Worksheet {
    /// Replaces a span of the text and brings the items up to date. A span that
    /// falls between the bytes of a character, or beyond the end, is drawn in to
    /// the nearest place before it.
    pub fn replace(&mut self, span: Span, with: &str) -> Change {
        let start = floor(&self.text, span.start as usize);
        let end = floor(&self.text, span.end as usize).max(start);
        let removed = self.text.get(start..end).unwrap_or("").to_owned();
        self.text.replace_range(start..end, with);
        let old = std::mem::take(&mut self.items);
        let (touched, silent) = if with.len() > LONG || self.is_unread(&old) {
            self.read_whole(old)
        } else {
            self.read_again(old, (start, end), start + with.len())
        };
        Change {
            removed,
            touched,
            silent,
        }
    }

    /// The line end the worksheet uses, by its first line.
    pub(crate) fn line_end(&self) -> &'static str {
        match self.text.split_once('\n') {
            Some((first, _)) if first.ends_with('\r') => "\r\n",
            _ => "\n",
        }
    }

    /// Whether the text is too long to be read, or was.
    fn is_unread(&self, old: &[Item]) -> bool {
        let was = old.first().and_then(|item| item.problems.first());
        self.text.len() > LONGEST_TEXT || was.is_some_and(|problem| problem.code == Code::FileTooLong)
    }

    fn read_whole(&mut self, old: Vec<Item>) -> (Touched, bool) {
        let used = std::mem::take(&mut self.used);
        *self = parse(std::mem::take(&mut self.text));
        self.used = used;
        let (gone, come) = (old.len(), self.items.len());
        (Touched::Some { from: 0, gone, come }, false)
    }

    /// Parses again what an edit of the bytes `start` to `end`, which end at `new_end`
    /// now, may have changed of the items that stood there.
    fn read_again(&mut self, mut old: Vec<Item>, (start, end): (usize, usize), new_end: usize) -> (Touched, bool) {
        let from = self.first_changed(&old, start);
        let mut fresh = Vec::new();
        let mut at = old.get(from).map_or(start, |item| item.start as usize);
        let behind = loop {
            if let Some(behind) = at.checked_sub(new_end).and_then(|on| begins_at(&old, end + on)) {
                break behind;
            }
            let Some(rest) = self.text.get(at..).filter(|rest| !rest.is_empty()) else {
                break old.len();
            };
            let item = next_item(rest, at, from + fresh.len());
            at += item.len as usize;
            fresh.push(item);
        };
        let (gone, come) = (behind - from, fresh.len());
        let before = old.get(from..behind).unwrap_or_default();
        if uses_of(before).ne(uses_of(&fresh)) {
            return self.read_whole(old);
        }
        fresh.iter_mut().for_each(|item| settle(item, &self.uses));
        move_items(
            old.iter_mut().skip(behind),
            new_end as i64 - end as i64,
            come as i64 - gone as i64,
        );
        let mut silent = fresh.iter().all(is_silent);
        silent &= old.splice(from..behind, fresh).all(|item| is_silent(&item));
        self.items = old;
        let touched = match (gone, come) {
            (1, 1) => Touched::One(from),
            _ => Touched::Some { from, gone, come },
        };
        (touched, silent)
    }

    /// The first item that isn't as it was after an edit of the text at `start`.
    fn first_changed(&self, old: &[Item], start: usize) -> usize {
        let behind = old.partition_point(|item| item.start as usize <= start);
        let index = behind.saturating_sub(1);
        let mut from = decisive_item_before(old, index);
        let stays = |item: &Item| {
            let rest = self.text.get(item.start as usize..).unwrap_or("");
            item_span(item).end as usize <= start && next_piece(rest).len == item.len as usize
        };
        while old.get(from).is_some_and(stays) {
            from += 1;
        }
        from
    }
}

/// The item before `index` whose end may depend on what stands at `index`:
/// a block looks past remarks and empty lines for lines of its own.
fn decisive_item_before(items: &[Item], index: usize) -> usize {
    let before = items.get(..index).unwrap_or_default();
    let ends_blocks = |item: &Item| !matches!(item.node, Node::Blank | Node::Remark);
    before.iter().rposition(ends_blocks).unwrap_or(0)
}

/// The item that begins at that byte; the number of items at their end.
fn begins_at(items: &[Item], at: usize) -> Option<usize> {
    let index = items.partition_point(|item| (item.start as usize) < at);
    match items.get(index) {
        Some(item) => (item.start as usize == at).then_some(index),
        None => {
            let end = items.last().map_or(0, |item| item_span(item).end as usize);
            (end == at).then_some(index)
        }
    }
}

/// Items that stand elsewhere now: by so many bytes, and so many places.
fn move_items<'a>(items: impl Iterator<Item = &'a mut Item>, bytes: i64, places: i64) {
    for item in items {
        item.start = moved(item.start, bytes);
        if places != 0 {
            item.problems.iter_mut().for_each(|problem| problem.move_by(places));
        }
    }
}

fn is_silent(item: &Item) -> bool {
    let silent = matches!(
        item.node,
        Node::Blank | Node::Remark | Node::Heading(_) | Node::Prose(_)
    );
    silent && item.problems.is_empty()
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
