//! Canonical spacing.
//!
//! Each item is written again from the grammar's tokens with one space where
//! words meet, none where they cling, and the bars of a table under each other.
//! One-line entries that follow each other are then written under each other, by
//! [`align`]. Line ends, remarks and the breaks inside an entry stay. An item with
//! a problem is left exactly as it is. Start reading at [`tidy`].

mod align;

use unicode_width::UnicodeWidthStr;

use crate::problem::Severity;
use crate::text::Span;

use self::align::{Line, Stops, aligned};
use super::block::{cells, is_rule_row};
use super::grammar::{Rule, leaves};
use super::lines::{Piece, Shape, case_line_len, first_line, next_piece};
use super::parse::parse;
use super::words::{Opening, first_word, is_blank, opens_remark};

/// The worksheet with canonical spacing; its meaning is the same, and tidying
/// again changes nothing. Items with problems are left untouched.
pub fn tidy(text: &str) -> String {
    let sheet = parse(text.to_owned());
    let mut tidied = String::with_capacity(text.len());
    let mut block = Vec::new();
    for (index, item) in sheet.items.iter().enumerate() {
        let written = sheet.text_of(index);
        let sound = item.problems.iter().all(|problem| problem.severity == Severity::Lint);
        match tidy_item(written).filter(|_| sound) {
            Some(item) if item.goes_on => block.push(item.line),
            other => {
                tidied.push_str(&aligned(&std::mem::take(&mut block)));
                tidied.push_str(other.as_ref().map_or(written, |item| &item.line.text));
            }
        }
    }
    tidied.push_str(&aligned(&block));
    tidied
}

/// An item with canonical spacing.
struct Tidied {
    line: Line,
    /// Whether it belongs to a block of one-line entries.
    goes_on: bool,
}

fn tidy_item(text: &str) -> Option<Tidied> {
    let piece = next_piece(text);
    let mut out = String::with_capacity(text.len() + 8);
    if text.starts_with('\u{FEFF}') {
        out.push('\u{FEFF}');
    }
    let mut stops = None;
    match piece.shape {
        Shape::Blank => out.push_str(line_end(text)),
        Shape::Heading => marked(&mut out, text, piece.content, '#'),
        Shape::Prose => marked(&mut out, text, piece.content, '>'),
        Shape::Remark => remark_line(&mut out, text.trim_start_matches('\u{FEFF}')),
        Shape::Opened(opening, scan) => {
            let found = entry(&mut out, text, opening, &piece, scan.len)?;
            stops = Some(found).filter(|_| is_aligned(opening) && is_one_line(&out));
        }
        Shape::Row | Shape::Indented | Shape::Other => return None,
    }
    let goes_on = stops.is_some() || matches!(piece.shape, Shape::Remark);
    let line = Line { text: out, stops };
    Some(Tidied { line, goes_on })
}

/// Whether such entries are written under each other.
fn is_aligned(opening: Opening) -> bool {
    matches!(opening, Opening::Entry(_) | Opening::Expect | Opening::Table)
}

fn is_one_line(text: &str) -> bool {
    !without_end(text).contains('\n')
}

/// The line end that `line` closes with; none at the end of a file.
fn line_end(line: &str) -> &str {
    if line.ends_with("\r\n") {
        "\r\n"
    } else if line.ends_with('\n') {
        "\n"
    } else {
        ""
    }
}

fn without_end(line: &str) -> &str {
    line.trim_end_matches('\n').trim_end_matches(is_blank)
}

/// `## text`, `> text`
fn marked(out: &mut String, text: &str, content: usize, mark: char) {
    let line = text.get(content..).unwrap_or("");
    let words = line.trim_start_matches(mark);
    let words = if mark == '>' {
        line.get(1..).unwrap_or("")
    } else {
        words
    };
    let marks = line.len() - words.len();
    out.push_str(line.get(..marks).unwrap_or(""));
    let words = without_end(words).trim_start_matches(is_blank);
    if !words.is_empty() {
        out.push(' ');
        out.push_str(words);
    }
    out.push_str(line_end(text));
}

/// A remark, or an empty line inside a block: nothing but its end changes.
fn remark_line(out: &mut String, line: &str) {
    out.push_str(without_end(line));
    out.push_str(line_end(line));
}

fn entry(out: &mut String, text: &str, opening: Opening, piece: &Piece, head: usize) -> Option<Stops> {
    let rest = text.get(piece.content..)?;
    let word = first_word(rest);
    out.push_str(word);
    let stretch = text.get(piece.content + word.len()..head)?;
    let rule = match opening {
        Opening::Entry(_) => Rule::entry,
        Opening::Expect => Rule::expect,
        Opening::Rule => Rule::rule_line,
        Opening::Table => Rule::table,
        Opening::Case => Rule::case,
        Opening::Plot => Rule::plot,
        Opening::Use => Rule::used,
    };
    let stops = respaced(out, rule, stretch, Glue::Plain)?;
    let below = text.get(head..)?;
    match opening {
        Opening::Table => rows(out, below),
        Opening::Case => indented_lines(out, below, Rule::case_line)?,
        Opening::Expect => indented_lines(out, below, Rule::slip)?,
        _ => {}
    }
    Some(stops)
}

// ---------------------------------------------------------------- one entry

/// How a token stands beside its neighbours.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Glue {
    /// The start of a line: what follows needs no space
    Start,
    /// A space on each side
    Plain,
    /// A name, to which a parenthesis clings
    Name,
    /// `(`: clings to what follows
    Open,
    /// `[`: clings to what follows
    OpenBox,
    /// `)`, `]`, `,`, `:`: clings to what stands before
    Close,
    /// `.`, `^`, the `=` of `k=2`: clings on both sides
    Tight,
    /// A sign or a currency: clings to what follows
    Prefix,
}

fn wants_space(before: Glue, next: Glue) -> bool {
    match (before, next) {
        (Glue::Start | Glue::Open | Glue::OpenBox | Glue::Tight, _) => false,
        (_, Glue::Close | Glue::Tight) => false,
        (Glue::Name, Glue::Open) => false,
        (Glue::Prefix, next) => next == Glue::Prefix,
        _ => true,
    }
}

/// An entry being written again.
struct Writer<'a> {
    out: &'a mut String,
    before: Glue,
    stops: Stops,
}

/// Writes the tokens of `rule` over `stretch` again; `None` if it doesn't fit.
fn respaced(out: &mut String, rule: Rule, stretch: &str, before: Glue) -> Option<Stops> {
    let leaves = leaves(rule, stretch)?;
    let stops = Stops {
        word: out.len(),
        ..Stops::default()
    };
    let mut writer = Writer { out, before, stops };
    let mut at = 0;
    for (rule, span) in leaves {
        writer.between(stretch.get(at..span.start as usize)?);
        writer.leaf(rule, span.of(stretch));
        at = span.end as usize;
    }
    writer.between(stretch.get(at..)?);
    Some(writer.stops)
}

impl Writer<'_> {
    fn put(&mut self, text: &str, glue: Glue) {
        if wants_space(self.before, glue) {
            self.out.push(' ');
        }
        self.out.push_str(text);
        self.before = glue;
    }

    /// What stands between two tokens: space, line ends, remarks, punctuation.
    fn between(&mut self, gap: &str) {
        let mut rest = gap;
        while let Some(c) = rest.chars().next() {
            if opens_remark(rest) {
                let line = rest.find('\n').unwrap_or(rest.len());
                let remark = rest.get(..line).unwrap_or("");
                self.put(without_end(remark), Glue::Plain);
                let kept = without_end(remark).len();
                rest = rest.get(kept..).unwrap_or("");
                continue;
            }
            if rest.starts_with('\n') || rest.starts_with("\r\n") {
                rest = self.line_break(rest);
                continue;
            }
            rest = rest.get(c.len_utf8()..).unwrap_or("");
            if !is_blank(c) {
                self.put(c.encode_utf8(&mut [0; 4]), punctuation(c));
            }
        }
    }

    /// A line end with the indentation behind it, both as they are.
    fn line_break<'t>(&mut self, rest: &'t str) -> &'t str {
        let end = rest.find('\n').map_or(rest.len(), |at| at + 1);
        let below = rest.get(end..).unwrap_or("");
        let content = below.trim_start_matches(|c| is_blank(c) && c != '\r');
        let indent = below.len() - content.len();
        self.out.push_str(rest.get(..end + indent).unwrap_or(""));
        self.before = Glue::Start;
        content
    }

    /// A token at which lines are written under each other; the first counts.
    fn stop(&mut self, rule: Rule, text: &str) {
        self.put(text, Glue::Plain);
        let at = Some(self.out.len() - text.len());
        match rule {
            Rule::assign => self.stops.equals = self.stops.equals.or(at),
            _ => self.stops.tail = self.stops.tail.or(at),
        }
    }

    fn leaf(&mut self, rule: Rule, text: &str) {
        match rule {
            Rule::EOI => {}
            Rule::assign | Rule::from | Rule::note | Rule::otherwise => self.stop(rule, text),
            Rule::name => self.put(text, Glue::Name),
            Rule::open => self.put(text, Glue::Open),
            Rule::close | Rule::close_box | Rule::comma => self.put(text, Glue::Close),
            Rule::per => self.put(text, Glue::Tight),
            Rule::currency => self.put(text, Glue::Prefix),
            Rule::minus => self.put("-", Glue::Prefix),
            Rule::plus_minus => self.put("±", Glue::Plain),
            Rule::infix if text == "^" => self.put("^", Glue::Tight),
            Rule::infix => self.put(operator(text), Glue::Plain),
            Rule::quoted => self.quoted(text),
            Rule::close_to => self.put("close to", Glue::Plain),
            Rule::unit | Rule::box_unit => self.put(&unit(text), Glue::Plain),
            Rule::moment => self.put(&text.replace(is_blank, " "), Glue::Plain),
            _ => self.put(text, Glue::Plain),
        }
    }

    /// A text in straight quotes.
    fn quoted(&mut self, text: &str) {
        let inner = text.trim_start_matches(['"', '“', '”', '„']);
        let straight = text.starts_with('"') || inner.is_empty();
        if straight {
            return self.put(text, Glue::Plain);
        }
        let mut chars = text.chars();
        chars.next();
        chars.next_back();
        self.put(&format!("\"{}\"", chars.as_str()), Glue::Plain);
    }
}

/// The punctuation that is no token of its own.
fn punctuation(c: char) -> Glue {
    match c {
        '(' => Glue::Open,
        '[' => Glue::OpenBox,
        ':' => Glue::Close,
        '.' | '=' => Glue::Tight,
        'd' => Glue::Plain,
        'f' => Glue::Tight,
        _ => Glue::Plain,
    }
}

/// The plain spelling of an operator.
fn operator(text: &str) -> &str {
    match text {
        "−" | "–" => "-",
        "×" | "·" => "*",
        "÷" => "/",
        "≤" => "<=",
        "≥" => ">=",
        "≠" => "<>",
        _ => text,
    }
}

/// The usual spelling of a unit's signs.
fn unit(text: &str) -> String {
    text.trim_matches(is_blank).replace('º', "°").replace('*', "·")
}

// ---------------------------------------------------------------- blocks

fn indented_lines(out: &mut String, below: &str, rule: Rule) -> Option<()> {
    let mut rest = below;
    let mut block = Vec::new();
    while !rest.is_empty() {
        let content = rest.trim_start_matches(is_blank);
        let line = if content.is_empty() || content.starts_with('\n') || opens_remark(content) {
            let line = first_line(rest);
            let mut text = String::new();
            remark_line(&mut text, line);
            rest = rest.get(line.len()..)?;
            Line { text, stops: None }
        } else {
            let len = case_line_len(rest);
            let line = indented_line(rest.get(rest.len() - content.len()..len)?, rule)?;
            rest = rest.get(len..)?;
            line
        };
        let ends = line.stops.is_none() && !opens_remark(line.text.trim_start_matches(is_blank));
        block.push(line);
        if ends {
            out.push_str(&aligned(&std::mem::take(&mut block)));
        }
    }
    out.push_str(&aligned(&block));
    Some(())
}

fn indented_line(content: &str, rule: Rule) -> Option<Line> {
    let mut text = "  ".to_owned();
    let stops = respaced(&mut text, rule, content, Glue::Start)?;
    let stops = Some(stops).filter(|_| is_one_line(&text));
    Some(Line { text, stops })
}

/// Rows with their bars under each other.
fn rows(out: &mut String, below: &str) {
    let lines: Vec<&str> = below.split_inclusive('\n').collect();
    let widths = widths(&lines);
    let mut ruled = 0;
    for line in lines {
        let content = without_end(line).trim_start_matches(is_blank);
        if !content.starts_with('|') {
            remark_line(out, line);
            continue;
        }
        out.push_str("  |");
        ruled += 1;
        let span = Span::new(0, content.len());
        let is_rule = ruled == 2 && is_rule_row(content, span);
        for (cell, width) in cells(content, span).iter().zip(&widths) {
            put_cell(out, cell.of(content), *width, is_rule);
        }
        trailing_remark(out, content);
        out.push_str(line_end(line));
    }
}

/// The widest cell of each column.
fn widths(lines: &[&str]) -> Vec<usize> {
    let mut widths: Vec<usize> = Vec::new();
    let mut ruled = 0;
    for line in lines {
        let content = without_end(line).trim_start_matches(is_blank);
        if !content.starts_with('|') {
            continue;
        }
        ruled += 1;
        let span = Span::new(0, content.len());
        if ruled == 2 && is_rule_row(content, span) {
            continue;
        }
        for (column, cell) in cells(content, span).iter().enumerate() {
            let width = cell.of(content).width();
            match widths.get_mut(column) {
                Some(widest) => *widest = width.max(*widest),
                None => widths.push(width),
            }
        }
    }
    widths
}

fn put_cell(out: &mut String, cell: &str, width: usize, is_rule: bool) {
    if is_rule {
        let (left, right) = (cell.starts_with(':'), cell.ends_with(':'));
        out.push(if left { ':' } else { '-' });
        out.extend(std::iter::repeat_n('-', width));
        out.push(if right { ':' } else { '-' });
        out.push('|');
        return;
    }
    out.push(' ');
    out.push_str(cell);
    let missing = width.saturating_sub(cell.width());
    out.extend(std::iter::repeat_n(' ', missing));
    out.push_str(" |");
}

/// `-- text` behind the last bar.
fn trailing_remark(out: &mut String, row: &str) {
    let Some((_, last)) = row.rsplit_once('|') else {
        return;
    };
    let last = last.trim_start_matches(is_blank);
    if opens_remark(last) && !row.trim_end_matches(last).ends_with("\\|") {
        out.push(' ');
        out.push_str(last);
    }
}
