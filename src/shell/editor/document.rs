//! A document that an editor has open: its session, and where its lines begin.
//!
//! Start reading at [`Document::change`].

use lsp_types::{Position, Range, TextDocumentContentChangeEvent, TextEdit};

use crate::report::compose::Options;
use crate::session::Session;
use crate::session::completion::is_open;
use crate::syntax::tree::{Item, Node};
use crate::text::Span;

use super::addresses::path_of;
use super::client::Client;
use super::places::Lines;

/// An open document.
pub(super) struct Document {
    pub(super) session: Session,
    lines: Lines,
    pub(super) client: Client,
    /// The editor's count of its changes, where it says it.
    pub(super) version: Option<i32>,
    /// Whether its diagnostics are still to be told.
    pub(super) stale: bool,
}

impl Document {
    /// Opens it. Its tables are read from its folder, where it has one.
    pub(super) fn open(address: &str, text: String, version: Option<i32>, client: &Client) -> Document {
        let lines = Lines::of(&text, client.counting);
        let session = match path_of(address) {
            Some(path) => Session::of_typed(&path, text, Options::default()),
            None => Session::of_text("this worksheet", text, &[], Options::default()),
        };
        Document {
            session,
            lines,
            client: client.clone(),
            version,
            stale: true,
        }
    }

    /// Takes over what was typed.
    pub(super) fn change(&mut self, change: &TextDocumentContentChangeEvent) {
        let span = match change.range {
            Some(range) => self.span(range),
            None => Span::new(0, self.text().len()),
        };
        let (span, with) = narrowed(self.text(), span, &change.text);
        self.session.type_over(span, with);
        self.lines = Lines::of(self.session.sheet().text(), self.client.counting);
        self.stale = true;
    }

    /// The whole text.
    pub(super) fn text(&self) -> &str {
        self.session.sheet().text()
    }

    /// The byte at a place.
    pub(super) fn offset(&self, place: Position) -> usize {
        self.lines.offset(self.text(), place)
    }

    /// The bytes between two places.
    pub(super) fn span(&self, range: Range) -> Span {
        self.lines.span(self.text(), range)
    }

    /// The place of a byte.
    pub(super) fn position(&self, at: usize) -> Position {
        self.lines.position(self.text(), at)
    }

    /// The places of both ends of a stretch.
    pub(super) fn range(&self, span: Span) -> Range {
        self.lines.range(self.text(), span)
    }

    /// The places of both ends of a stretch of another text.
    pub(super) fn range_in(&self, text: &str, span: Span) -> Range {
        Lines::of(text, self.client.counting).range(text, span)
    }

    /// What makes the text another one: nothing, or one edit of what differs.
    pub(super) fn edits_to(&self, wanted: &str) -> Vec<TextEdit> {
        let text = self.text();
        if text == wanted {
            return Vec::new();
        }
        let (span, with) = narrowed(text, Span::new(0, text.len()), wanted);
        vec![TextEdit::new(self.range(span), with.to_owned())]
    }

    /// What stands before a byte, from the beginning of its item; nothing at the
    /// beginning of a line that opens one.
    pub(super) fn before(&self, at: usize) -> &str {
        let (text, tree) = (self.text(), self.session.sheet().tree());
        let line_start = text.get(..at).and_then(|before| before.rfind('\n'));
        let line_start = line_start.map_or(0, |end| end + 1);
        let line = text.get(line_start..at).unwrap_or("");
        let behind = tree.items.partition_point(|item| item.start as usize <= at);
        let mut index = behind.checked_sub(1);
        let indented = !line.is_empty() && line.trim().is_empty();
        while indented && index.is_some_and(|index| is_between(tree.items.get(index))) {
            // An indented line below a case is to become a line of it.
            index = index.and_then(|index| index.checked_sub(1));
        }
        let item = index.and_then(|index| tree.items.get(index));
        let start = item.map_or(0, |item| item.start as usize);
        let in_case = item.is_some_and(|item| matches!(item.node, Node::Case(_)));
        let whole = text.get(start..at).unwrap_or("");
        let goes_on = start < line_start && (line_start < self.end_of(index) || is_open(whole));
        let before = match goes_on || in_case && indented {
            true => whole,
            false => line,
        };
        before.strip_prefix('\u{feff}').unwrap_or(before)
    }

    fn end_of(&self, index: Option<usize>) -> usize {
        let item = index.and_then(|index| self.session.sheet().tree().items.get(index));
        item.map_or(0, |item| item.start as usize + item.len as usize)
    }
}

/// Whether a block looks past such a line.
fn is_between(item: Option<&Item>) -> bool {
    item.is_some_and(|item| matches!(item.node, Node::Blank | Node::Remark | Node::Broken))
}

/// An edit without what stays as it is at both ends.
fn narrowed<'a>(text: &str, span: Span, with: &'a str) -> (Span, &'a str) {
    let old = span.of(text);
    let pairs = old.chars().zip(with.chars());
    let front: usize = pairs
        .take_while(|(one, other)| one == other)
        .map(|(letter, _)| letter.len_utf8())
        .sum();
    let (rest, new) = (old.get(front..).unwrap_or(""), with.get(front..).unwrap_or(""));
    let pairs = rest.chars().rev().zip(new.chars().rev());
    let back: usize = pairs
        .take_while(|(one, other)| one == other)
        .map(|(letter, _)| letter.len_utf8())
        .sum();
    let narrow = Span::new(span.start as usize + front, span.end as usize - back);
    (narrow, new.get(..new.len() - back).unwrap_or(""))
}
