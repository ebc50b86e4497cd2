//! The quotes of a CSV file, looked at before its cells are read.
//!
//! Whoever reads cells takes everything up to the next quote for one of them, so that a
//! stray quote swallows rows without a word. Here each quoted cell must end where a cell
//! can end (RFC 4180, 2.5 to 2.7), and one that holds line ends is remarked on.
//! Start reading at [`look_at_quotes`].

use crate::problem::{Code, FilePlace, Place, Problem};
use crate::syntax::tree::Quoted;

/// What keeps a file from being read as it looks, and its line.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Stray {
    /// A quoted cell is open at the end of the file.
    Open(u32),
    /// Text stands behind the closing quote of a cell that begins on that line.
    Behind(u32),
    /// A sign that ends lines elsewhere.
    LineEnd(u32, char),
}

/// A quoted cell that holds line ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct QuotedLines {
    /// The line on which it begins.
    from: u32,
    /// The line on which it ends.
    to: u32,
    /// How many others there are.
    more: usize,
}

/// The first cell whose quotes hold line ends, where there is one.
pub(super) fn look_at_quotes(text: &str) -> Result<Option<QuotedLines>, Stray> {
    let mut found: Option<QuotedLines> = None;
    if text.is_ascii() && !text.contains('"') {
        return Ok(found);
    }
    let mut eyes = Eyes { rest: text, line: 1 };
    let mut at_cell = true;
    while let Some(c) = eyes.next() {
        match c {
            '"' if at_cell => {
                let from = eyes.line;
                eyes.pass_quoted(from)?;
                match &mut found {
                    _ if eyes.line == from => {}
                    Some(found) => found.more += 1,
                    None => {
                        let to = eyes.line;
                        found = Some(QuotedLines { from, to, more: 0 });
                    }
                }
            }
            '\u{85}' | '\u{2028}' | '\u{2029}' => return Err(Stray::LineEnd(eyes.line, c)),
            _ => at_cell = matches!(c, ',' | '\r' | '\n'),
        }
    }
    Ok(found)
}

/// What is not looked at yet, and the line it begins on.
struct Eyes<'a> {
    rest: &'a str,
    line: u32,
}

impl Eyes<'_> {
    fn next(&mut self) -> Option<char> {
        let c = self.rest.chars().next()?;
        self.rest = self.rest.get(c.len_utf8()..).unwrap_or("");
        let ends_line = c == '\n' || c == '\r' && !self.rest.starts_with('\n');
        self.line += u32::from(ends_line);
        Some(c)
    }

    /// Passes what stands between quotes, and the closing one.
    fn pass_quoted(&mut self, from: u32) -> Result<(), Stray> {
        while let Some(c) = self.next() {
            if c != '"' {
                continue;
            }
            let behind = self.rest.trim_start_matches([' ', '\t']);
            match behind.chars().next() {
                Some('"') if self.rest.starts_with('"') => {
                    self.next();
                }
                None | Some(',' | '\r' | '\n') => return Ok(()),
                Some(_) => return Err(Stray::Behind(from)),
            }
        }
        Err(Stray::Open(from))
    }
}

impl Stray {
    /// As a problem of the table that reads the file.
    pub(super) fn problem(self, path: &Quoted, place: Place) -> Problem {
        let file = &path.text;
        let (row, message, help) = match self {
            Stray::Open(row) => (
                row,
                format!("the quotes of a cell on line {row} of `{file}` are never closed"),
                "close them, or take the quote away",
            ),
            Stray::Behind(row) => (
                row,
                format!("text stands behind the closing quote of a cell on line {row} of `{file}`"),
                "take a stray quote away; a quote inside a quoted cell is written twice, `\"\"`",
            ),
            Stray::LineEnd(row, sign) => (
                row,
                format!(
                    "the sign U+{:04X} on line {row} of `{file}` ends no line here",
                    u32::from(sign)
                ),
                "save the file with LF or CRLF as line ends",
            ),
        };
        let problem = Problem::new(Code::FileMalformed, message, place).help(help);
        problem.in_file(cell_of(path, row))
    }
}

impl QuotedLines {
    /// As a remark on the table that reads the file.
    pub(super) fn lint(self, path: &Quoted, place: Place) -> Problem {
        let more = match self.more {
            0 => String::new(),
            1 => ", and another cell does so too".to_owned(),
            more => format!(", and {more} other cells do so too"),
        };
        let message = format!(
            "one cell of `{}` goes from line {} to line {} between its quotes{more}",
            path.text, self.from, self.to
        );
        Problem::new(Code::QuotedLines, message, place)
            .help("look whether a stray quote swallows rows there")
            .in_file(cell_of(path, self.from))
    }
}

fn cell_of(path: &Quoted, row: u32) -> FilePlace {
    FilePlace::new(path.text.to_string(), row, String::new())
}
