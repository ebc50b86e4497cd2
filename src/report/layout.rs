//! Laying out a page of plain text to a width: headings, prose, lists, samples.
//!
//! What reference pages are made of. Everything keeps to the width but samples,
//! which are to be copied and therefore never broken. Start reading at [`Layout`].

use super::style::{Style, Tone};
use super::visible::{columns, wrapped};

/// The columns between the margin and what stands under a heading.
const INDENT: usize = 2;
/// The columns between a list's two sides.
const GAP: usize = 2;
/// A left side wider than this has a line of its own.
const WIDEST_LEFT: usize = 26;

/// A page being written.
pub(super) struct Layout {
    text: String,
    style: Style,
    width: usize,
}

impl Layout {
    pub(super) fn new(style: Style) -> Layout {
        Layout {
            text: String::new(),
            style,
            width: style.columns(),
        }
    }

    pub(super) fn into_text(self) -> String {
        self.text
    }

    /// A heading at the margin, an empty line above it.
    pub(super) fn heading(&mut self, text: &str) {
        self.gap();
        self.lines(0, Some(Tone::Strong), text);
    }

    /// Prose under a heading; an empty line parts paragraphs, and what is set in
    /// by four spaces is a sample.
    pub(super) fn prose(&mut self, text: &str) {
        for (index, paragraph) in text.split("\n\n").enumerate() {
            if index > 0 {
                self.gap();
            }
            match paragraph.starts_with("    ") {
                true => self.sample(paragraph),
                false => self.lines(INDENT, None, paragraph),
            }
        }
    }

    /// A remark under a heading, fainter than prose.
    pub(super) fn faint(&mut self, text: &str) {
        self.lines(INDENT, Some(Tone::Faint), text);
    }

    /// A call to care.
    pub(super) fn care(&mut self, text: &str) {
        self.lines(INDENT, Some(Tone::Care), text);
    }

    /// Lines to be copied, unbroken.
    pub(super) fn sample(&mut self, text: &str) {
        for line in text.lines() {
            let line = line.strip_prefix("    ").unwrap_or(line);
            if !line.is_empty() {
                self.text.push_str(&" ".repeat(INDENT + 2));
                self.text.push_str(line);
            }
            self.text.push('\n');
        }
    }

    /// Rows of a name and what is said about it, the second side beside the first.
    pub(super) fn list(&mut self, rows: &[(String, String)]) {
        let fitting = rows.iter().map(|(left, _)| columns(left));
        let left = fitting.filter(|width| *width <= WIDEST_LEFT).max().unwrap_or(0);
        for row in rows {
            self.row(row, left);
        }
    }

    fn row(&mut self, (name, said): &(String, String), left: usize) {
        let start = INDENT + left + GAP;
        let said = wrapped(said, self.width.saturating_sub(start));
        let beside = columns(name) <= left;
        self.text.push_str(&" ".repeat(INDENT));
        self.text.push_str(&self.style.paint(Tone::Strong, name));
        let mut free = if beside { Some(left - columns(name) + GAP) } else { None };
        for line in &said {
            match free.take() {
                Some(pad) => self.text.push_str(&" ".repeat(pad)),
                None => {
                    self.text.push('\n');
                    self.text.push_str(&" ".repeat(start));
                }
            }
            self.text.push_str(line);
        }
        self.text.push('\n');
    }

    /// An empty line, unless one stands there or nothing is above.
    pub(super) fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    fn lines(&mut self, indent: usize, tone: Option<Tone>, text: &str) {
        for line in wrapped(text, self.width.saturating_sub(indent)) {
            self.text.push_str(&" ".repeat(indent));
            match tone {
                Some(tone) => self.text.push_str(&self.style.paint(tone, &line)),
                None => self.text.push_str(&line),
            }
            self.text.push('\n');
        }
    }
}
