//! What an entry carries besides its value, and as much of a broken one as can be read.
//!
//! It is gathered in [`Parts`], since names, labels, units and sources stand in the same
//! order everywhere. An entry that can't be read keeps its name, so that what needs it can
//! wait on it. Start reading at [`parts`].

use crate::problem::Code;
use crate::text::Span;

use super::grammar::{Rule, Token, Tokens, tokens};
use super::lines::{Scan, ScanTrouble};
use super::reader::Reader;
use super::tree::{Entry, EntryKind, Name, Node, Quoted, UnitBox};

/// Notes what the first look at an entry found; true if that was nothing.
pub(super) fn notes_nothing(reader: &mut Reader<'_>, scan: Scan) -> bool {
    let Some((what, span)) = scan.trouble else {
        return true;
    };
    let problem = match what {
        ScanTrouble::OpenParenthesis => reader
            .problem(Code::OpenParenthesis, "this parenthesis is never closed", span)
            .help("close it with `)`"),
        ScanTrouble::OpenText => reader
            .problem(Code::OpenText, "this text has no closing quote on its line", span)
            .help("close it with `\"`; a quote inside a text is written `\\\"`"),
        ScanTrouble::TooDeep => reader
            .problem(
                Code::NestedTooDeep,
                "parentheses, signs and conditions are nested more than 64 deep here",
                span,
            )
            .help("give a part of it a line of its own"),
        ScanTrouble::TooLong => reader
            .problem(Code::TooLong, "this entry is longer than 64 KiB", span)
            .help("split it, or put the figures into a table"),
    };
    reader.note(problem);
    false
}

/// What an entry is made of, beside its opening word.
#[derive(Default)]
pub(super) struct Parts<'a> {
    pub(super) names: Vec<Token<'a>>,
    pub(super) label: Option<Quoted>,
    pub(super) unit: Option<UnitBox>,
    pub(super) value: Option<Token<'a>>,
    pub(super) source: Option<Quoted>,
    pub(super) note: Option<Quoted>,
    pub(super) otherwise: Option<Quoted>,
    /// Whether each of them could be read.
    pub(super) sound: bool,
}

/// Gathers what an entry is made of.
pub(super) fn parts<'a>(reader: &mut Reader<'_>, tokens: Tokens<'a>) -> Parts<'a> {
    let mut parts = Parts::default();
    let before = reader.problems.len();
    let mut word = Rule::name;
    for token in tokens {
        match token.as_rule() {
            Rule::name | Rule::reference | Rule::target => parts.names.push(token),
            Rule::from | Rule::note | Rule::otherwise => word = token.as_rule(),
            Rule::unit_box => parts.unit = reader.unit_box(token),
            Rule::value | Rule::expression => parts.value = Some(token),
            Rule::quoted => {
                let quoted = reader.quoted(&token);
                match word {
                    Rule::from => parts.source = quoted,
                    Rule::note => parts.note = quoted,
                    Rule::otherwise => parts.otherwise = quoted,
                    _ => parts.label = quoted,
                }
            }
            _ => {}
        }
    }
    parts.sound = reader.problems.len() == before;
    parts
}

/// Name, label and unit of an entry that breaks off behind them.
pub(super) struct Head {
    pub(super) name: Name,
    /// Of a worked column its own name, behind that of its table.
    column: Option<Name>,
    pub(super) label: Option<Quoted>,
    pub(super) unit: Option<UnitBox>,
}

/// As much of a broken entry as its beginning tells. Notes nothing: why it is broken is noted.
pub(super) fn head(reader: &mut Reader<'_>, stretch: Span) -> Option<Head> {
    let text = stretch.of(reader.text);
    let end = (0..=text.len().min(1024)).rev().find(|at| text.is_char_boundary(*at))?;
    let begin = text.get(..end)?;
    reader.base = stretch.start as usize;
    let inner = tokens(Rule::head, begin).ok()?;
    let noted = reader.problems.len();
    let parts = parts(reader, inner);
    let name = parts.names.first().and_then(|name| reader.own_name(name));
    reader.problems.truncate(noted);
    Some(Head {
        name: name?,
        column: parts.names.get(1).map(|column| reader.name(column)),
        label: parts.label,
        unit: parts.unit,
    })
}

/// The name of an entry; of a worked column the table's and its own, `log.net`.
pub(super) fn entry_name(reader: &mut Reader<'_>, names: &[Token<'_>]) -> Option<Name> {
    let name = reader.own_name(names.first()?)?;
    Some(of_table(name, names.get(1).map(|column| reader.name(column))))
}

fn of_table(table: Name, column: Option<Name>) -> Name {
    match column {
        None => table,
        Some(column) => Name {
            text: format!("{}.{}", table.text, column.text).as_str().into(),
            span: table.span.to(column.span),
            through: 0,
        },
    }
}

/// An entry without a value, where at least its name can be read.
pub(super) fn broken_entry(reader: &mut Reader<'_>, kind: EntryKind, stretch: Span) -> Node {
    match head(reader, stretch) {
        None => Node::Broken,
        Some(head) => Node::Entry(Box::new(Entry {
            kind,
            name: of_table(head.name, head.column),
            label: head.label,
            unit: head.unit,
            value: None,
            source: None,
            note: None,
        })),
    }
}
