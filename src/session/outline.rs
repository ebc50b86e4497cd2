//! The outline of a worksheet: its sections with what stands in them, and what
//! can be folded away.
//!
//! Start reading at [`Session::outline`].

use crate::syntax::tree::{Entry, EntryKind, Node, TableContent};
use crate::text::Span;

use super::Session;

/// What a piece of the outline is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PieceSort {
    /// A heading with what follows it.
    Section,
    /// `measured`, `quoted`, `assumed`
    Input,
    /// `worked`
    Worked,
    /// `answer`
    Answer,
    /// `table`
    Table,
    /// A column of a table.
    Column,
    /// `rule`
    Rule,
    /// `case`
    Case,
}

/// A piece of the outline.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Piece {
    /// Its name, or the heading.
    pub name: String,
    /// A word on it; may be empty.
    pub detail: String,
    /// What it is.
    pub sort: PieceSort,
    /// All of it.
    pub span: Span,
    /// Its name, or the heading.
    pub own: Span,
    /// What stands in it.
    pub inner: Vec<Piece>,
}

/// A section that is still open.
struct Open {
    level: u8,
    piece: Piece,
}

impl Session {
    /// The worksheet by its headings.
    pub fn outline(&self) -> Vec<Piece> {
        let tree = self.sheet.tree();
        let mut open: Vec<Open> = Vec::new();
        let mut done = Vec::new();
        for (index, item) in tree.items.iter().enumerate() {
            let text = tree.text_of(index);
            let start = item.start as usize;
            let end = start + text.trim_end().len();
            if let Node::Heading(heading) = &item.node {
                close(&mut open, &mut done, heading.level);
                let own = heading.title.shifted(start);
                open.push(Open {
                    level: heading.level,
                    piece: Piece {
                        name: heading.title.of(text).to_owned(),
                        detail: String::new(),
                        sort: PieceSort::Section,
                        span: Span::new(start, end),
                        own,
                        inner: Vec::new(),
                    },
                });
                continue;
            }
            let written = !matches!(item.node, Node::Blank);
            for section in open.iter_mut().filter(|_| written) {
                section.piece.span.end = section.piece.span.end.max(Span::at(end).end);
            }
            if let Some(piece) = piece(&item.node, Span::new(start, end)) {
                match open.last_mut() {
                    Some(section) => section.piece.inner.push(piece),
                    None => done.push(piece),
                }
            }
        }
        close(&mut open, &mut done, 0);
        done
    }

    /// What can be folded, of more than one line: sections, tables, cases, entries that
    /// go on, and prose.
    pub fn folds(&self) -> Vec<Span> {
        let tree = self.sheet.tree();
        let mut folds = Vec::new();
        sections(&self.outline(), &mut folds);
        let mut prose: Option<Span> = None;
        for (index, item) in tree.items.iter().enumerate() {
            let start = item.start as usize;
            let span = Span::new(start, start + tree.text_of(index).trim_end().len());
            match &item.node {
                Node::Prose(_) | Node::Remark => prose = Some(prose.map_or(span, |before| before.to(span))),
                other => {
                    folds.extend(prose.take());
                    if !matches!(other, Node::Heading(_) | Node::Blank) {
                        folds.push(span);
                    }
                }
            }
        }
        folds.extend(prose);
        folds.retain(|span| span.of(&tree.text).contains('\n'));
        folds.sort_unstable();
        folds.dedup();
        folds
    }
}

fn sections(pieces: &[Piece], folds: &mut Vec<Span>) {
    for piece in pieces.iter().filter(|piece| piece.sort == PieceSort::Section) {
        folds.push(piece.span);
        sections(&piece.inner, folds);
    }
}

/// Closes the sections at a level or below it; 0 closes all.
fn close(open: &mut Vec<Open>, done: &mut Vec<Piece>, level: u8) {
    while open.last().is_some_and(|section| section.level >= level) {
        let Some(section) = open.pop() else { return };
        match open.last_mut() {
            Some(above) => above.piece.inner.push(section.piece),
            None => done.push(section.piece),
        }
    }
}

fn piece(node: &Node, span: Span) -> Option<Piece> {
    let (name, sort, detail) = match node {
        Node::Entry(entry) => (&entry.name, sort_of(entry), label(entry)),
        Node::Table(table) => {
            let label = table.label.as_ref().map(|label| label.text.to_string());
            (&table.name, PieceSort::Table, label.unwrap_or_default())
        }
        Node::Rule(rule) => (&rule.name, PieceSort::Rule, "rule".to_owned()),
        Node::Case(case) => {
            let title = case.title.as_ref().map(|title| title.text.to_string());
            (&case.name, PieceSort::Case, title.unwrap_or_default())
        }
        _ => return None,
    };
    let start = span.start as usize;
    Some(Piece {
        name: name.text.to_string(),
        detail,
        sort,
        span,
        own: name.span.shifted(start),
        inner: columns(node, start),
    })
}

fn columns(node: &Node, start: usize) -> Vec<Piece> {
    let Node::Table(table) = node else {
        return Vec::new();
    };
    let Some(TableContent::Rows(rows)) = &table.content else {
        return Vec::new();
    };
    let named = rows
        .headings
        .iter()
        .filter_map(|heading| Some((heading, heading.name.as_ref()?)));
    named
        .map(|(heading, name)| Piece {
            name: name.text.to_string(),
            detail: heading.unit.map_or(String::new(), |unit| unit.unit.to_string()),
            sort: PieceSort::Column,
            span: heading.span.to(name.span).shifted(start),
            own: name.span.shifted(start),
            inner: Vec::new(),
        })
        .collect()
}

fn sort_of(entry: &Entry) -> PieceSort {
    match entry.kind {
        EntryKind::Worked => PieceSort::Worked,
        EntryKind::Answer => PieceSort::Answer,
        _ => PieceSort::Input,
    }
}

fn label(entry: &Entry) -> String {
    let label = entry.label.as_ref().map(|label| format!(" \"{}\"", label.text));
    format!("{}{}", entry.kind.word(), label.unwrap_or_default())
}
