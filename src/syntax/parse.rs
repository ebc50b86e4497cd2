//! Parsing: from a text to its tree.
//!
//! [`parse`] splits a text into items by their first words, hands the entries to
//! the [`super::grammar`] one at a time, and has the tree built
//! from its tokens. One broken line hides nothing. [`super::edit`] has items parsed
//! again, [`parse_typed`] does a line of the interactive session.

use std::collections::BTreeSet;

use crate::problem::{Code, Place, Problem};
use crate::text::Span;

use super::entry;
use super::lines;
use super::reader::{Reader, Told};
use super::tree::{Expression, Item, Node, Typed, Value, Worksheet};
use super::used::{Scope, each_part_mut, settle_part};

/// The tree of a worksheet; problems stand with their items. A large text is read in
/// several stretches at once, cut where an item begins, to the same tree.
///
/// A text longer than [`LONGEST_TEXT`] or with more than [`MOST_LINES`] is one broken item.
pub fn parse(text: String) -> Worksheet {
    if let Some(problem) = too_long(&text) {
        return unread(text, problem);
    }
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let count = cores.min(MOST_STRETCHES).min(text.len() / LEAST_STRETCH);
    let items = if count > 1 {
        side_by_side(&text, &cut(&text, count))
    } else {
        items(&text, Cut::default(), text.len())
    };
    let mut sheet = Worksheet {
        text,
        items,
        ..Worksheet::default()
    };
    sheet.settle_uses();
    sheet
}

/// The longest worksheet that is read, in bytes.
pub const LONGEST_TEXT: usize = 64 * 1024 * 1024;

/// The most lines that are read.
pub const MOST_LINES: usize = 2_000_000;

fn too_long(text: &str) -> Option<Problem> {
    let what = if text.len() > LONGEST_TEXT {
        format!("longer than {} MiB", LONGEST_TEXT >> 20)
    } else if text.len() > MOST_LINES && text.bytes().filter(|byte| *byte == b'\n').count() > MOST_LINES {
        format!("longer than {MOST_LINES} lines")
    } else {
        return None;
    };
    let first = text.find('\n').unwrap_or(text.len());
    let place = Place::new(0, Span::new(0, first));
    let problem = Problem::new(Code::FileTooLong, format!("this worksheet is {what}"), place);
    Some(problem.help("put long tables into files of their own, read with `csv(\"…\")`"))
}

/// A text that isn't read at all.
fn unread(text: String, problem: Problem) -> Worksheet {
    let item = Item {
        start: 0,
        len: Span::at(text.len()).start,
        node: Node::Broken,
        problems: vec![problem],
    };
    Worksheet {
        text,
        items: vec![item],
        ..Worksheet::default()
    }
}

/// The bytes of a stretch that is worth reading beside others.
const LEAST_STRETCH: usize = 8 * 1024;

/// How many stretches are read at once.
const MOST_STRETCHES: usize = 8;

/// The room for the calls of a thread that reads, as the first thread has it.
const STACK: usize = 8 * 1024 * 1024;

/// The first byte of an item, and how many items stand before it.
#[derive(Clone, Copy, Default)]
struct Cut {
    at: usize,
    before: usize,
}

/// The items between two cuts.
fn items(text: &str, from: Cut, end: usize) -> Vec<Item> {
    let mut items = Vec::new();
    let (mut at, mut found) = (from.at, 0);
    while let Some(rest) = text.get(at..).filter(|rest| at < end && !rest.is_empty()) {
        let told = if found < MOST_EXPLAINED {
            Told::Whole
        } else {
            Told::Briefly
        };
        let item = item_told(rest, (at, from.before + items.len()), told);
        found += item.problems.len();
        at += item.len as usize;
        items.push(item);
    }
    items
}

/// Where to cut a text into so many stretches of about one length.
fn cut(text: &str, count: usize) -> Vec<Cut> {
    let mut cuts = vec![Cut::default()];
    let mut here = Cut::default();
    while let Some(rest) = text.get(here.at..).filter(|rest| !rest.is_empty()) {
        if here.at > cuts.len() * (text.len() / count) && cuts.len() < count {
            cuts.push(here);
        }
        here.at += lines::next_piece(rest).len;
        here.before += 1;
    }
    cuts
}

fn side_by_side(text: &str, cuts: &[Cut]) -> Vec<Item> {
    let ends = cuts.iter().skip(1).map(|cut| cut.at).chain([text.len()]);
    std::thread::scope(|scope| {
        let begun: Vec<_> = cuts
            .iter()
            .zip(ends)
            .map(|(cut, end)| {
                let read = move || items(text, *cut, end);
                let thread = std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, read);
                (cut, end, thread)
            })
            .collect();
        let mut all = Vec::new();
        for (cut, end, thread) in begun {
            let read = thread.ok().and_then(|thread| thread.join().ok());
            all.append(&mut read.unwrap_or_else(|| items(text, *cut, end)));
        }
        all
    })
}

/// So many problems of a stretch are told with what may be meant; nobody reads those behind.
const MOST_EXPLAINED: usize = 10_000;

/// The item that `rest`, which stands at `start`, begins with.
pub(super) fn next_item(rest: &str, start: usize, index: usize) -> Item {
    item_told(rest, (start, index), Told::Whole)
}

fn item_told(rest: &str, (start, index): (usize, usize), told: Told) -> Item {
    let piece = lines::next_piece(rest);
    let text = rest.get(..piece.len).unwrap_or("");
    let mut reader = Reader::new(text, u32::try_from(index).unwrap_or(u32::MAX));
    reader.told = told;
    let node = entry::node(&mut reader, &piece);
    lines::strange_ends(&mut reader);
    // of millions of broken lines each has one
    reader.problems.shrink_to_fit();
    Item {
        start: Span::at(start).start,
        len: Span::at(text.len()).start,
        node,
        problems: reader.problems,
    }
}

/// Parses a line typed in the interactive session as a trial or an expression.
///
/// # Errors
/// The problems that keep it from being either; places count from the start of the line.
pub fn parse_typed(line: &str) -> Result<Typed, Vec<Problem>> {
    let mut reader = Reader::new(line, 0);
    match entry::typed(&mut reader) {
        Some(typed) if reader.problems.is_empty() => Ok(typed),
        _ => Err(reader.problems),
    }
}

impl Worksheet {
    /// Parses a line that is typed for it, as a trial or an expression.
    ///
    /// # Errors
    /// The problems that keep it from being either.
    pub(crate) fn read_typed(&self, line: &str) -> Result<Typed, Vec<Problem>> {
        let mut typed = parse_typed(line)?;
        let part = |part: &mut Expression| settle_part(part, &self.uses);
        typed_mut(&mut typed, part);
        Ok(typed)
    }

    /// Parses a piece of an item's own text again, with its names as they are here.
    ///
    /// # Errors
    /// The problems that keep it from being read.
    pub(crate) fn read_piece(&self, item: u32, piece: &str) -> Result<Typed, Vec<Problem>> {
        let Some(file) = self.used.file_of(item) else {
            return self.read_typed(piece);
        };
        let mut typed = parse_typed(piece)?;
        let scope = Scope {
            prefix: &file.prefix,
            uses: &file.uses,
        };
        let rules = file.sheet.items.iter().filter_map(|item| match &item.node {
            Node::Rule(rule) => Some(file.own_name(&rule.name.text).into()),
            _ => None,
        });
        let rules: BTreeSet<Box<str>> = rules.collect();
        typed_mut(&mut typed, |part| {
            settle_part(part, &file.sheet.uses);
            scope.part(part, &[], &rules);
        });
        Ok(typed)
    }
}

fn typed_mut(typed: &mut Typed, mut look: impl FnMut(&mut Expression)) {
    match typed {
        Typed::Expression { expression, .. }
        | Typed::CellTrial { cell: expression, .. }
        | Typed::Trial {
            value: Value::Given { expression, .. },
            ..
        } => each_part_mut(expression, &mut look),
        Typed::Trial { .. } => {}
    }
}
