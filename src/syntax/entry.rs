//! From a piece of text to a node: one function a kind of line.
//!
//! What they carry besides their values is gathered in [`super::head`].
//! Start reading at [`node`].

use crate::problem::Code;
use crate::text::Span;

use super::grammar::{Rule, Token};
use super::head::{broken_entry, entry_name, head, notes_nothing, parts};
use super::lines::{Piece, Scan, Shape, scan_entry};
use super::quantity::beside;
use super::reader::Reader;
use super::tree::{
    Entry, EntryKind, Expression, ExpressionNode, Heading, Node, Plot, Rule as UserRule, RuleParameter, Typed, UnitBox,
    Use, Value,
};
use super::words::{self, Opening, cell_head, first_path, first_word, is_blank, is_name_char};
use super::{block, check, explain};

/// The node of an item, its problems noted with the reader.
pub(super) fn node(reader: &mut Reader<'_>, piece: &Piece) -> Node {
    match piece.shape {
        Shape::Blank => Node::Blank,
        Shape::Remark => Node::Remark,
        Shape::Heading => heading(reader, piece.content),
        Shape::Prose => Node::Prose(trimmed(reader.text, piece.content + 1)),
        Shape::Row => stray_row(reader, piece.content),
        Shape::Indented => stray_line(reader, piece.content),
        Shape::Other => explain::unknown_opening(reader, piece.content),
        Shape::Opened(opening, scan) => opened(reader, opening, piece.content, scan),
    }
}

/// The stretch of the first line from `start` on, without spaces around it.
fn trimmed(text: &str, start: usize) -> Span {
    let rest = text.get(start..).unwrap_or("");
    let line = rest.trim_end_matches('\n').trim_end_matches(is_blank);
    let inner = line.trim_start_matches(is_blank);
    Span::new(start + line.len() - inner.len(), start + line.len())
}

/// `## text`
fn heading(reader: &mut Reader<'_>, content: usize) -> Node {
    let text = reader.text.get(content..).unwrap_or("");
    let marks = text.len() - text.trim_start_matches('#').len();
    if marks > 3 {
        let span = Span::new(content, content + marks);
        let problem = reader
            .problem(Code::Unreadable, "headings go three deep", span)
            .help("write `###`")
            .mend(span, "###");
        reader.note(problem);
        return Node::Broken;
    }
    Node::Heading(Heading {
        level: u8::try_from(marks).unwrap_or(3),
        title: trimmed(reader.text, content + marks),
    })
}

/// A row below no table.
fn stray_row(reader: &mut Reader<'_>, content: usize) -> Node {
    let span = trimmed(reader.text, content);
    let problem = reader
        .problem(Code::StrayRow, "this row belongs to no table", span)
        .help("put it below a line such as `table loads`");
    reader.note(problem);
    Node::Broken
}

/// An indented line below no case.
fn stray_line(reader: &mut Reader<'_>, content: usize) -> Node {
    let span = trimmed(reader.text, content);
    let problem = reader
        .problem(Code::StrayLine, "this indented line belongs to no case", span)
        .help("put it below a line such as `case cold`, or begin it with a word such as `assumed`");
    reader.note(problem);
    Node::Broken
}

fn opened(reader: &mut Reader<'_>, opening: Opening, content: usize, scan: Scan) -> Node {
    let word = first_word(reader.text.get(content..).unwrap_or("")).len();
    let stretch = Span::new(content + word, scan.len);
    let sound = notes_nothing(reader, scan);
    match opening {
        Opening::Entry(kind) => entry(reader, kind, stretch, sound),
        Opening::Expect => check::expect(reader, stretch, sound),
        Opening::Rule => rule(reader, stretch, sound),
        Opening::Plot => plot(reader, stretch, sound),
        Opening::Table => block::table(reader, stretch, sound),
        Opening::Case => block::case(reader, stretch, sound),
        Opening::Use => used(reader, stretch, sound),
    }
}

/// `gross "label" [lb] = 51.9 lb ± 0.05 lb from "hanging scale" note "hose off"`
fn entry(reader: &mut Reader<'_>, kind: EntryKind, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::entry, stretch)
    } else {
        None
    };
    let Some(tokens) = tokens else {
        return broken_entry(reader, kind, stretch);
    };
    let parts = parts(reader, tokens);
    let Some(name) = entry_name(reader, &parts.names) else {
        return Node::Broken;
    };
    let value = parts.value.and_then(|value| reader.value(value, kind.is_input()));
    let value = value.and_then(|value| reader.blank_fits(value, kind, parts.unit.as_ref()));
    Node::Entry(Box::new(Entry {
        kind,
        name,
        label: parts.label,
        unit: parts.unit,
        value: value.filter(|_| parts.sound),
        source: parts.source,
        note: parts.note,
    }))
}

impl Reader<'_> {
    /// What stands right of an `=`; `tolerant` where a `±` may end it.
    pub(super) fn value(&mut self, token: Token<'_>, tolerant: bool) -> Option<Value> {
        let span = self.span(&token);
        let mut inner = token.into_inner();
        let first = inner.next()?;
        if first.as_rule() == Rule::unknown {
            return Some(Value::Blank(span));
        }
        let mut expression = self.expression(first)?;
        let Some(tolerance) = inner.next() else {
            return Some(Value::Given {
                expression,
                tolerance: None,
            });
        };
        if !tolerant {
            let place = self.span(&tolerance);
            return self.tolerance_in_formula(place);
        }
        let (tolerance, shared) = self.tolerance(tolerance, beside(&expression))?;
        if let Some(unit) = shared {
            give_unit(&mut expression, unit);
        }
        Some(Value::Given {
            expression,
            tolerance: Some(Box::new(tolerance)),
        })
    }

    fn tolerance_in_formula<T>(&mut self, place: Span) -> Option<T> {
        let problem = explain::tolerance_in_formula(self, place);
        self.note(problem);
        None
    }

    /// `?` stands for an input's value, with its unit in brackets.
    fn blank_fits(&mut self, value: Value, kind: EntryKind, unit: Option<&UnitBox>) -> Option<Value> {
        let Value::Blank(span) = value else {
            return Some(value);
        };
        if !kind.is_input() {
            let message = format!("a `{}` entry needs something to calculate", kind.word());
            let problem = self
                .problem(Code::Unreadable, message, span)
                .help("a value not yet known is `measured`, `quoted` or `assumed`");
            self.note(problem);
            return None;
        }
        if unit.is_some() {
            return Some(Value::Blank(span));
        }
        let problem = self
            .problem(Code::BlankNeedsUnit, "a value not yet known needs its unit", span)
            .help("put the unit in brackets after the name, such as `[lb] = ?`");
        self.note(problem);
        None
    }
}

/// `37.4 ± 0.2 lb`: the value takes the unit of its tolerance.
fn give_unit(expression: &mut Expression, unit: crate::unit::Unit) {
    let (value, signed) = match &expression.node {
        ExpressionNode::Number(value) => (*value, false),
        ExpressionNode::Unary(_, inner) => match inner.node {
            ExpressionNode::Number(value) => (value.neg(), true),
            _ => return,
        },
        _ => return,
    };
    expression.node = ExpressionNode::Quantity { value, unit, signed };
}

/// A rule looks through its parameters for every name.
const MOST_PARAMETERS: usize = 64;

/// `longest(drop [V], current [A] = 12 A) [ft] = …`
fn rule(reader: &mut Reader<'_>, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::rule_line, stretch)
    } else {
        None
    };
    let Some(tokens) = tokens else {
        return broken_rule(reader, stretch);
    };
    let mut parameters = Vec::new();
    let mut readable = true;
    for token in tokens.clone() {
        if token.as_rule() != Rule::parameter {
            continue;
        }
        if parameters.len() == MOST_PARAMETERS {
            too_many_parameters(reader, stretch, &token);
            readable = false;
            break;
        }
        match parameter(reader, token, &parameters) {
            Some(parameter) => parameters.push(parameter),
            None => readable = false,
        }
    }
    let parts = parts(reader, tokens);
    let Some(name) = parts.names.first().and_then(|name| reader.own_name(name)) else {
        return Node::Broken;
    };
    let body = parts.value.and_then(|value| reader.expression(value));
    Node::Rule(Box::new(UserRule {
        name,
        parameters,
        unit: parts.unit,
        body: body.filter(|_| readable && parts.sound),
    }))
}

fn too_many_parameters(reader: &mut Reader<'_>, stretch: Span, token: &Token<'_>) {
    let span = token.as_span();
    let base = stretch.start as usize;
    let place = Span::new(base + span.start(), base + span.end());
    let message = format!("a rule takes at most {MOST_PARAMETERS} parameters, and this is one more");
    let problem = reader.problem(Code::TooLong, message, place);
    reader.note(problem.help("put the numbers into a table, or make two rules of it"));
}

fn broken_rule(reader: &mut Reader<'_>, stretch: Span) -> Node {
    match head(reader, stretch) {
        None => Node::Broken,
        Some(head) => Node::Rule(Box::new(UserRule {
            name: head.name,
            parameters: Vec::new(),
            unit: None,
            body: None,
        })),
    }
}

/// `current [A] = 12 A`
fn parameter(reader: &mut Reader<'_>, token: Token<'_>, before: &[RuleParameter]) -> Option<RuleParameter> {
    let parts = parts(reader, token.into_inner());
    let name = reader.own_name(parts.names.first()?)?;
    if let Some(first) = before.iter().find(|other| other.name.text == name.text) {
        let message = format!("the rule has two parameters `{}`", name.text);
        let problem = reader
            .problem(Code::RepeatedName, message, name.span)
            .also(reader.place(first.name.span), "the first")
            .help("give one of them another name");
        reader.note(problem);
        return None;
    }
    let had_default = parts.value.is_some();
    let default = parts.value.and_then(|value| reader.expression(value));
    if !parts.sound || (had_default && default.is_none()) {
        return None;
    }
    Some(RuleParameter {
        name,
        unit: parts.unit,
        default,
    })
}

/// `log.gross over log.time "Weight through the run"`
fn plot(reader: &mut Reader<'_>, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::plot, stretch)
    } else {
        None
    };
    let Some(tokens) = tokens else {
        return Node::Broken;
    };
    let mut columns = Vec::new();
    let (mut from_zero, mut title) = (false, None);
    for token in tokens {
        match token.as_rule() {
            Rule::expression => columns.push(reader.expression(token)),
            Rule::zero => from_zero = true,
            Rule::quoted => title = reader.quoted(&token),
            _ => {}
        }
    }
    let Some(columns) = columns.into_iter().collect::<Option<Vec<Expression>>>() else {
        return Node::Broken;
    };
    let mut columns = columns.into_iter();
    match (columns.next(), columns.next()) {
        (Some(vertical), Some(horizontal)) => Node::Plot(Box::new(Plot {
            vertical,
            horizontal,
            parted: columns.next(),
            from_zero,
            title,
        })),
        _ => Node::Broken,
    }
}

/// `"cylinders.tare" as yard`
fn used(reader: &mut Reader<'_>, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::used, stretch)
    } else {
        None
    };
    let parts = tokens.map(|tokens| parts(reader, tokens)).unwrap_or_default();
    let name = parts.names.first().and_then(|name| reader.own_name(name));
    match (parts.label, name) {
        (Some(path), Some(name)) => Node::Use(Box::new(Use { path, name })),
        _ => Node::Broken,
    }
}

/// A line of the interactive session: a trial or an expression.
pub(super) fn typed(reader: &mut Reader<'_>) -> Option<Typed> {
    let whole = Span::new(0, reader.text.len());
    let scan = scan_entry(reader.text);
    if scan.len < reader.text.len() && scan.trouble.is_none() {
        let below = Span::new(scan.len, reader.text.len());
        let problem = reader.problem(Code::Unreadable, "this is more than one line", below);
        reader.note(problem);
        return None;
    }
    if !notes_nothing(reader, scan) {
        return None;
    }
    if is_trial(reader.text) {
        return trial(reader, whole);
    }
    if let Some(at) = cell_head(reader.text) {
        return cell_trial(reader, at);
    }
    if let Some(column) = column_head(reader.text) {
        let written = column.of(reader.text);
        let problem = reader
            .problem(Code::ColumnOrValue, "a whole column can't be tried", column)
            .help(format!(
                "write `{written} of row 1 = …` for one cell; a comparison stands in parentheses"
            ));
        reader.note(problem);
        return None;
    }
    let tokens = reader.tokens(Rule::question, whole)?;
    let parts = parts(reader, tokens);
    let expression = reader.expression(parts.value?)?;
    Some(Typed::Expression {
        expression,
        unit: parts.unit,
    })
}

/// A name followed by `=`.
fn is_trial(line: &str) -> bool {
    let line = line.trim_start_matches(is_blank);
    let name = first_path(line);
    let rest = line.get(name.len()..).unwrap_or("");
    let names = name.starts_with(|c: char| is_name_char(c) && !c.is_ascii_digit());
    names && words::opening(name).is_none() && rest.trim_start_matches(is_blank).starts_with('=')
}

/// A column at the head of a line with `=` behind it: `loads.hours = 4 h/d`.
fn column_head(line: &str) -> Option<Span> {
    let text = line.trim_start_matches(is_blank);
    let table = first_word(text);
    let column = text.get(table.len()..)?.strip_prefix('.').map(first_word)?;
    let behind = text.get(table.len() + 1 + column.len()..)?.trim_start_matches(is_blank);
    let named = !column.is_empty() && table.starts_with(|c: char| is_name_char(c) && !c.is_ascii_digit());
    let start = line.len() - text.len();
    (named && behind.starts_with('=')).then(|| Span::new(start, start + table.len() + 1 + column.len()))
}

/// `run.gross of 12:10 = 30.6 lb`
fn cell_trial(reader: &mut Reader<'_>, at: usize) -> Option<Typed> {
    let head = reader.tokens(Rule::question, Span::new(0, at))?;
    let head = parts(reader, head);
    let cell = reader.expression(head.value?)?;
    let rest = reader.tokens(Rule::cell_trial, Span::new(at, reader.text.len()))?;
    let rest = parts(reader, rest);
    let value = reader.value(rest.value?, true)?;
    Some(Typed::CellTrial { cell, value })
}

/// `air = 5 °F`
fn trial(reader: &mut Reader<'_>, whole: Span) -> Option<Typed> {
    let tokens = reader.tokens(Rule::trial, whole)?;
    let parts = parts(reader, tokens);
    let name = reader.own_name(parts.names.first()?)?;
    let value = reader.value(parts.value?, true)?;
    Some(Typed::Trial { name, value })
}
