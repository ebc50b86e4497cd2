//! Splitting a worksheet into items, and a first look at each entry.
//!
//! Works by first words and first characters alone, in one pass. An entry is
//! followed over its lines while a parenthesis is open; what would overflow a
//! stack or has no end is noticed here, before the grammar is asked.
//! Start reading at [`next_piece`].

use crate::problem::Code;
use crate::text::Span;

use super::reader::Reader;
use super::words::{self, Opening, first_word, is_blank, opens_remark};

/// An entry may be this many bytes long.
pub(super) const LONGEST_ENTRY: usize = 64 * 1024;

/// Parentheses, signs, `not` and `if` may nest this deep.
pub(super) const DEEPEST_NESTING: usize = 64;

/// A stretch of text that is one item, before it is parsed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    /// What it is.
    pub(super) shape: Shape,
    /// The first byte that is no space, from the start of the piece.
    pub(super) content: usize,
    /// The number of bytes, with the closing line end.
    pub(super) len: usize,
}

/// What a piece of text is, by its first word.
#[derive(Clone, Copy, Debug)]
pub(super) enum Shape {
    /// Nothing but space
    Blank,
    /// `-- text`
    Remark,
    /// `# text`
    Heading,
    /// `> text`
    Prose,
    /// A line that begins with a word of the language, and what was seen of it.
    Opened(Opening, Scan),
    /// `| … |` below no table
    Row,
    /// An indented line below no case
    Indented,
    /// A line that begins with anything else
    Other,
}

/// What a first look at an entry found.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scan {
    /// The bytes of the entry with its continuation lines and the last line end.
    pub(super) len: usize,
    /// What the grammar must not be asked about.
    pub(super) trouble: Option<(ScanTrouble, Span)>,
}

/// Why an entry can't be handed to the grammar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum ScanTrouble {
    /// A parenthesis stays open.
    OpenParenthesis,
    /// A text has no closing quote on its line.
    OpenText,
    /// Nested beyond [`DEEPEST_NESTING`].
    TooDeep,
    /// Longer than [`LONGEST_ENTRY`].
    TooLong,
}

/// The item that `rest`, which begins at the start of a line, begins with.
pub(super) fn next_piece(rest: &str) -> Piece {
    let line = first_line(rest);
    let text = line.strip_prefix('\u{FEFF}').unwrap_or(line);
    let trimmed = text.trim_start_matches(is_blank);
    let content = line.len() - trimmed.len();
    let shape = shape_of(rest, content, text.len() != trimmed.len());
    let len = match shape {
        Shape::Opened(Opening::Table, scan) => block(rest, scan.len, row_len),
        Shape::Opened(Opening::Case, scan) => block(rest, scan.len, case_line_len),
        Shape::Opened(Opening::Expect, scan) => block(rest, scan.len, slip_len),
        Shape::Opened(_, scan) => scan.len,
        _ => line.len(),
    };
    Piece { shape, content, len }
}

fn shape_of(rest: &str, content: usize, indented: bool) -> Shape {
    let text = rest.get(content..).unwrap_or("");
    match text.bytes().next() {
        None | Some(b'\n') => return Shape::Blank,
        Some(b'#') => return Shape::Heading,
        Some(b'>') => return Shape::Prose,
        Some(b'|') => return Shape::Row,
        Some(b'-') if opens_remark(text) => return Shape::Remark,
        _ => {}
    }
    match words::opening(first_word(text)) {
        Some(opening) => Shape::Opened(opening, shifted(scan_entry(text), content)),
        None if indented => Shape::Indented,
        None => Shape::Other,
    }
}

fn shifted(scan: Scan, by: usize) -> Scan {
    Scan {
        len: scan.len + by,
        trouble: scan.trouble.map(|(what, span)| (what, span.shifted(by))),
    }
}

/// The first line of `text` with its line end.
pub(super) fn first_line(text: &str) -> &str {
    let end = text.find('\n').map_or(text.len(), |at| at + 1);
    text.get(..end).unwrap_or("")
}

/// The first sign in an item that ends a line elsewhere, and none here, as a problem: what
/// stands behind it is read as one line with what stands before it.
pub(super) fn strange_ends(reader: &mut Reader<'_>) {
    let text = reader.text.trim_end_matches(['\r', '\n']);
    // the first bytes of all of them
    if !text.bytes().any(|byte| matches!(byte, b'\r' | 0xC2 | 0xE2)) {
        return;
    }
    let ends_line = |(at, c): &(usize, char)| match c {
        '\r' => text.as_bytes().get(at + 1) != Some(&b'\n'),
        c => matches!(c, '\u{85}' | '\u{2028}' | '\u{2029}'),
    };
    let Some((at, c)) = text.char_indices().find(ends_line) else {
        return;
    };
    let message = format!(
        "the sign U+{:04X} ends no line here, so what stands behind it is read as one line with what stands before it",
        u32::from(c)
    );
    let problem = reader.problem(Code::LineEnd, message, Span::new(at, at + c.len_utf8()));
    // what else is wrong may come of it
    reader.problems = vec![problem.help("save the file with LF or CRLF as line ends")];
}

/// A block: the head, then lines that `own` claims. Remarks and empty lines
/// belong to it only where a claimed line follows.
fn block(rest: &str, head: usize, own: fn(&str) -> usize) -> usize {
    let mut end = head;
    let mut at = head;
    while let Some(below) = rest.get(at..).filter(|below| !below.is_empty()) {
        let line = first_line(below);
        let text = line.trim_start_matches(is_blank);
        if text.is_empty() || text == "\n" || opens_remark(text) {
            at += line.len();
            continue;
        }
        match own(below) {
            0 => break,
            len => {
                at += len;
                end = at;
            }
        }
    }
    end
}

/// The bytes of the table row that `below` begins with; 0 if it is none.
pub(super) fn row_len(below: &str) -> usize {
    let line = first_line(below);
    if line.trim_start_matches(is_blank).starts_with('|') {
        line.len()
    } else {
        0
    }
}

/// The bytes of the case line that `below` begins with; 0 if it is none.
pub(super) fn case_line_len(below: &str) -> usize {
    if below.starts_with(is_blank) {
        scan_entry(below).len
    } else {
        0
    }
}

/// The bytes of the line below a check that tells a usual slip; 0 if it is none.
pub(super) fn slip_len(below: &str) -> usize {
    match first_word(below.trim_start_matches(is_blank)) {
        "slip" => case_line_len(below),
        _ => 0,
    }
}

/// Follows an entry over its lines, counting what nests.
pub(super) fn scan_entry(text: &str) -> Scan {
    let mut scanner = Scanner {
        text,
        at: 0,
        nesting: Nesting::default(),
        trouble: None,
    };
    scanner.run();
    scanner.finish()
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
    nesting: Nesting,
    trouble: Option<(ScanTrouble, Span)>,
}

/// What is open at a place: parentheses with their places, `if`s, a run of signs.
struct Nesting {
    opened: [u32; DEEPEST_NESTING],
    conditions: [u8; DEEPEST_NESTING],
    depth: usize,
    ifs: u8,
    run: usize,
}

impl Default for Nesting {
    fn default() -> Nesting {
        Nesting {
            opened: [0; DEEPEST_NESTING],
            conditions: [0; DEEPEST_NESTING],
            depth: 0,
            ifs: 0,
            run: 0,
        }
    }
}

impl Nesting {
    fn open(&mut self, at: usize) {
        if let (Some(opened), Some(conditions)) = (self.opened.get_mut(self.depth), self.conditions.get_mut(self.depth))
        {
            *opened = Span::at(at).start;
            *conditions = self.ifs;
        }
        self.depth += 1;
    }

    fn close(&mut self) {
        self.ifs = self.conditions_here();
        self.depth = self.depth.saturating_sub(1);
    }

    /// The `if`s that were open when the innermost parenthesis opened.
    fn conditions_here(&self) -> u8 {
        let innermost = self.depth.checked_sub(1);
        innermost
            .and_then(|depth| self.conditions.get(depth))
            .copied()
            .unwrap_or(0)
    }

    fn innermost(&self) -> Option<usize> {
        let at = self.opened.get(self.depth.checked_sub(1)?)?;
        Some(*at as usize)
    }

    fn total(&self) -> usize {
        self.depth + usize::from(self.ifs) + self.run
    }
}

impl Scanner<'_> {
    fn run(&mut self) {
        let bytes = self.text.as_bytes();
        while let Some(byte) = bytes.get(self.at).copied() {
            match byte {
                b'\n' => {
                    self.at += 1;
                    if !self.goes_on() {
                        return;
                    }
                }
                b' ' | b'\t' | b'\r' => self.at += 1,
                b'-' => self.dash(),
                b'"' => self.quote(1, &["\""]),
                0xE2 => self.perhaps_curly(),
                _ => self.plain(byte),
            }
        }
    }

    /// Whether the line that begins here still belongs to the entry.
    fn goes_on(&self) -> bool {
        let below = self.text.get(self.at..).unwrap_or("");
        if self.nesting.depth == 0 || below.starts_with(['#', '>']) {
            return false;
        }
        let content = below.trim_start_matches(is_blank);
        if content.is_empty() || content.starts_with('\n') {
            return false;
        }
        let word = first_word(below);
        let after = below.get(word.len()..).unwrap_or("");
        !(after.starts_with(is_blank) && words::opening(word).is_some())
    }

    fn dash(&mut self) {
        let before = self.text.get(..self.at).unwrap_or("");
        let rest = self.text.get(self.at..).unwrap_or("");
        if opens_remark(rest) && before.ends_with(|c| is_blank(c) || c == '\n') {
            self.at += rest.find('\n').unwrap_or(rest.len());
            return;
        }
        self.nesting.run += 1;
        self.at += 1;
        self.check(1);
    }

    fn perhaps_curly(&mut self) {
        let rest = self.text.get(self.at..).unwrap_or("");
        if rest.starts_with(['“', '”', '„']) {
            self.quote('“'.len_utf8(), &["\"", "“", "”"]);
        } else if rest.starts_with(['−', '–']) {
            self.nesting.run += 1;
            self.at += '−'.len_utf8();
            self.check('−'.len_utf8());
        } else {
            self.at += 1;
        }
    }

    /// Passes over a text literal.
    fn quote(&mut self, mark: usize, closing: &[&str]) {
        self.nesting.run = 0;
        let start = self.at;
        let from = start + mark;
        match text_end(self.text.get(from..).unwrap_or(""), closing) {
            Ok(len) => self.at = from + len,
            Err(len) => {
                let line = self.text.get(start..from + len).unwrap_or("");
                let shown = line.trim_end_matches(is_blank).len();
                self.note(ScanTrouble::OpenText, Span::new(start, start + shown));
                self.at = from + len;
            }
        }
    }

    fn plain(&mut self, byte: u8) {
        let start = self.at;
        self.at += 1;
        match byte {
            b'(' => {
                self.nesting.open(start);
                self.check(1);
            }
            b')' => self.nesting.close(),
            b',' => self.nesting.ifs = self.nesting.conditions_here(),
            b'a'..=b'z' | b'A'..=b'Z' | b'_' => return self.word(start),
            _ => {}
        }
        self.nesting.run = 0;
    }

    fn word(&mut self, start: usize) {
        let rest = self.text.as_bytes().get(start..).unwrap_or_default();
        let in_word = |b: &u8| b.is_ascii_alphanumeric() || *b == b'_' || *b >= 0x80;
        let len = rest.iter().position(|b| !in_word(b)).unwrap_or(rest.len());
        self.at = start + len;
        match rest.get(..len) {
            Some(b"not") => self.nesting.run += 1,
            Some(b"if") => {
                self.nesting.ifs = self.nesting.ifs.saturating_add(1);
                self.nesting.run = 0;
            }
            _ => {
                self.nesting.run = 0;
                return;
            }
        }
        self.check(len);
    }

    /// Notes nesting that has become too deep with the last `len` bytes.
    fn check(&mut self, len: usize) {
        if self.nesting.total() > DEEPEST_NESTING {
            let place = Span::new(self.at.saturating_sub(len), self.at);
            self.note(ScanTrouble::TooDeep, place);
        }
    }

    fn note(&mut self, what: ScanTrouble, span: Span) {
        self.trouble.get_or_insert((what, span));
    }

    fn finish(mut self) -> Scan {
        if let Some(at) = self.nesting.innermost() {
            self.note(ScanTrouble::OpenParenthesis, Span::new(at, at + 1));
        }
        if self.at > LONGEST_ENTRY {
            let line = first_line(self.text).trim_end();
            self.trouble = Some((ScanTrouble::TooLong, Span::new(0, line.len().min(self.at))));
        }
        Scan {
            len: self.at,
            trouble: self.trouble,
        }
    }
}

/// How far a text goes, its closing quote included; the error is how far its line goes.
fn text_end(text: &str, closing: &[&str]) -> Result<usize, usize> {
    let mut rest = text;
    loop {
        let stop = rest.find(['\\', '"', '“', '”', '\n']);
        let from = rest.get(stop.unwrap_or(rest.len())..).unwrap_or("");
        let before = text.len() - from.len();
        if from.is_empty() || from.starts_with('\n') {
            return Err(before);
        }
        if let Some(mark) = closing.iter().find(|mark| from.starts_with(**mark)) {
            return Ok(before + mark.len());
        }
        let mut passed = from.chars();
        if passed.next() == Some('\\') && !passed.as_str().starts_with('\n') {
            passed.next();
        }
        rest = passed.as_str();
    }
}
