//! Lines and columns as an editor counts them, and bytes of the text.
//!
//! Lines count from 0; columns count bytes or, where the editor offers nothing
//! else, units of UTF-16: `°` is one, a letter beyond the basic plane two. A line
//! ends with a line feed, a return, or both. Start reading at [`Lines::position`].

use lsp_types::{Position, PositionEncodingKind, Range};

use crate::text::Span;

/// In what columns are counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Counting {
    /// Bytes.
    Utf8,
    /// Units of UTF-16.
    #[default]
    Utf16,
}

impl Counting {
    /// Bytes, where the editor offers them.
    pub(super) fn of(offered: &[PositionEncodingKind]) -> Counting {
        match offered.contains(&PositionEncodingKind::UTF8) {
            true => Counting::Utf8,
            false => Counting::Utf16,
        }
    }

    /// As the protocol calls it.
    pub(super) fn kind(self) -> PositionEncodingKind {
        match self {
            Counting::Utf8 => PositionEncodingKind::UTF8,
            Counting::Utf16 => PositionEncodingKind::UTF16,
        }
    }

    fn width(self, letter: char) -> usize {
        match self {
            Counting::Utf8 => letter.len_utf8(),
            Counting::Utf16 => letter.len_utf16(),
        }
    }
}

/// Where the lines of a text begin.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    starts: Vec<usize>,
    counting: Counting,
}

impl Lines {
    /// Finds them.
    pub(super) fn of(text: &str, counting: Counting) -> Lines {
        let bytes = text.as_bytes();
        let mut starts = vec![0];
        for (at, byte) in bytes.iter().enumerate() {
            let ends = match byte {
                b'\n' => true,
                b'\r' => bytes.get(at + 1) != Some(&b'\n'),
                _ => false,
            };
            if ends {
                starts.push(at + 1);
            }
        }
        Lines { starts, counting }
    }

    /// The place of a byte.
    pub(super) fn position(&self, text: &str, at: usize) -> Position {
        let at = at.min(text.len());
        let line = self.starts.partition_point(|start| *start <= at).saturating_sub(1);
        let start = self.starts.get(line).copied().unwrap_or(0);
        let before = text.get(start..at).unwrap_or("");
        let column: usize = before.chars().map(|letter| self.counting.width(letter)).sum();
        Position::new(small(line), small(column))
    }

    /// The places of both ends.
    pub(super) fn range(&self, text: &str, span: Span) -> Range {
        let (start, end) = (span.start as usize, span.end as usize);
        Range::new(self.position(text, start), self.position(text, end.max(start)))
    }

    /// The byte at a place; a place beyond its line's end is that end, one inside a letter
    /// its beginning.
    pub(super) fn offset(&self, text: &str, place: Position) -> usize {
        let line = place.line as usize;
        let Some(start) = self.starts.get(line).copied() else {
            return text.len();
        };
        let end = self.starts.get(line + 1).copied().unwrap_or(text.len());
        let written = text.get(start..end).unwrap_or("");
        let written = written.trim_end_matches(['\n', '\r']);
        let mut column = 0;
        for (at, letter) in written.char_indices() {
            column += self.counting.width(letter);
            if column > place.character as usize {
                return start + at;
            }
        }
        start + written.len()
    }

    /// The bytes between two places, whichever comes first.
    pub(super) fn span(&self, text: &str, range: Range) -> Span {
        let (one, other) = (self.offset(text, range.start), self.offset(text, range.end));
        Span::new(one.min(other), one.max(other))
    }
}

fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
