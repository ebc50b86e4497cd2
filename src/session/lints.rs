//! Remarks on what a reader may take for something else: names and hidden signs.
//!
//! Names that are also verbs of the session, names that look alike, letters of another
//! script among those of a name, signs that turn the direction of writing; names of
//! functions and parameters that an earlier release had; and exercises that can't be meant so. None of it
//! changes a value, so the sheet doesn't look for it. Start reading at [`lints`].

use std::hash::{BuildHasher, Hash, Hasher};

use foldhash::HashMap;
use unicode_security::MixedScript;
use unicode_security::confusable_detection::skeleton;

use crate::problem::kinds::Kinds;
use crate::problem::{Code, Place, Problem};
use crate::sheet::Sheet;
use crate::sheet::order::{each_part, expressions_of};
use crate::study::lesson;
use crate::syntax::tree::{Expression, ExpressionNode, Name, Node, TableContent};
use crate::text::Span;
use crate::trade::registry::function;

use super::verbs::typed_verb;

/// The remarks on every line of the worksheet, in its order.
pub(super) fn lints(sheet: &Sheet) -> Vec<Problem> {
    let tree = sheet.tree();
    let mut found = Vec::new();
    let mut seen = Seen::default();
    for (index, item) in (0u32..).zip(&tree.items) {
        found.extend(turned(tree.text_of(index as usize), index));
        let mut look = |part: &Expression| renamed(part, index, &mut found);
        match &item.node {
            Node::Rule(rule) => rule.body.iter().for_each(|body| each_part(body, &mut look)),
            node => expressions_of(node, &mut look),
        }
        let (name, space) = match &item.node {
            Node::Entry(entry) => (&entry.name, Space::Names),
            Node::Table(table) => (&table.name, Space::Names),
            Node::Rule(rule) => (&rule.name, Space::Names),
            Node::Case(case) => (&case.name, Space::Cases),
            _ => continue,
        };
        let place = Place::new(index, name.span);
        found.extend(verb(name, place).filter(|_| space == Space::Names));
        found.extend(seen.alike((name, index), space, sheet));
        let columns = headings(&item.node);
        found.extend(columns.flat_map(|name| seen.alike((name, index), Space::Columns(index), sheet)));
    }
    found.extend(lesson::remarks(sheet));
    let mut kinds = Kinds::default();
    found.retain(|lint| kinds.tells(lint));
    found.extend(kinds.more());
    found
}

/// The headings of a table whose rows stand below it.
fn headings(node: &Node) -> impl Iterator<Item = &Name> {
    let rows = match node {
        Node::Table(table) => match &table.content {
            Some(TableContent::Rows(rows)) => Some(rows),
            _ => None,
        },
        _ => None,
    };
    let headings = rows.into_iter().flat_map(|rows| &rows.headings);
    headings.filter_map(|heading| heading.name.as_ref())
}

fn verb(name: &Name, place: Place) -> Option<Problem> {
    let word = typed_verb(&name.text)?.name;
    let message = format!("`{word}` is also a word of the interactive session");
    let help = format!("type `({word})` there to see its value");
    Some(Problem::new(Code::NameIsVerb, message, place).help(help))
}

/// What is called by the name that an earlier release had for it.
fn renamed(expression: &Expression, item: u32, found: &mut Vec<Problem>) {
    let ExpressionNode::Call(call) = &expression.node else {
        return;
    };
    let Some(function) = function(&call.name.text) else {
        return;
    };
    found.extend(once(&call.name, function.name, item));
    for label in call.arguments.iter().filter_map(|argument| argument.label.as_ref()) {
        let place = function.place_of(&label.text);
        let parameter = place.and_then(|place| function.parameters.get(place));
        found.extend(parameter.and_then(|parameter| once(label, parameter.name, item)));
    }
}

fn once(written: &Name, now: &str, item: u32) -> Option<Problem> {
    if &*written.text == now {
        return None;
    }
    let message = format!("`{}` is called `{now}` now", written.text);
    let problem = Problem::new(Code::Renamed, message, Place::new(item, written.span));
    Some(problem.help(format!("write `{now}`")).mend(written.span, now))
}

// ---- names that look alike ----

/// Within what names have to be told apart.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
enum Space {
    /// Entries, tables and rules.
    Names,
    Cases,
    /// The columns of one table.
    Columns(u32),
}

/// The first name of each look, with its item, by the sum of the look.
#[derive(Default)]
struct Seen<'a> {
    by_look: HashMap<u64, (&'a Name, u32)>,
}

impl<'a> Seen<'a> {
    /// What may be taken for another name, or typed as one.
    fn alike(&mut self, (name, item): (&'a Name, u32), space: Space, sheet: &Sheet) -> Option<Problem> {
        let sum = self.by_look.hasher().hash_one((space, Look(&name.text)));
        let (first, first_item) = *self.by_look.entry(sum).or_insert((name, item));
        let (place, first_place) = (Place::new(item, name.span), Place::new(first_item, first.span));
        let (name, first): (&str, &str) = (&name.text, &first.text);
        if first == name {
            return mixed(name, place);
        }
        // another look may have the same sum
        if !Look(name).letters().eq(Look(first).letters()) {
            return None;
        }
        let line = match first_item == item {
            true => String::new(),
            false => format!(" on line {}", sheet.line(first_item)),
        };
        let which = odd_letter(name).or_else(|| odd_letter(first));
        let which = which.map_or(String::new(), |(_, letter)| {
            format!("; the `{letter}` is {}", code_of(letter))
        });
        let message = format!("`{name}` looks like `{first}`{line}{which}");
        let problem = Problem::new(Code::LookAlike, message, place).also(first_place, "looks the same");
        Some(problem.help("give one of them a name that nobody takes for the other"))
    }
}

/// How a name looks: letters that are drawn alike are one.
struct Look<'a>(&'a str);

impl Look<'_> {
    fn letters(&self) -> impl Iterator<Item = char> {
        let drawn_alike = |byte: u8| matches!(byte, b'0' | b'1' | b'I' | b'm');
        let is_plain = self.0.is_ascii() && !self.0.bytes().any(drawn_alike);
        let plain = is_plain.then(|| self.0.chars());
        let others = (!is_plain).then(|| skeleton(self.0));
        plain.into_iter().flatten().chain(others.into_iter().flatten())
    }
}

impl Hash for Look<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.letters().for_each(|letter| letter.hash(state));
    }
}

/// A name with letters of several scripts, one of which is drawn like a letter of another.
fn mixed(name: &str, place: Place) -> Option<Problem> {
    if name.is_ascii() || name.is_single_script() {
        return None;
    }
    let (at, letter) = odd_letter(name)?;
    let start = place.span.start as usize + at;
    let place = Place::new(place.item, Span::new(start, start + letter.len_utf8()));
    let message = format!(
        "`{name}` has letters of several scripts, and `{letter}` ({}) is drawn like another one",
        code_of(letter)
    );
    Some(Problem::new(Code::MixedScripts, message, place).help("write it with the letters of one script"))
}

/// The first letter beyond ASCII that looks like one of its letters.
fn odd_letter(name: &str) -> Option<(usize, char)> {
    let looks_plain = |c: char| skeleton(c.encode_utf8(&mut [0; 4])).all(|c| c.is_ascii());
    name.char_indices().find(|(_, c)| !c.is_ascii() && looks_plain(*c))
}

fn code_of(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

// ---- signs that don't show ----

/// The first sign in a line that turns the direction of writing.
fn turned(text: &str, item: u32) -> Option<Problem> {
    if text.is_ascii() {
        return None;
    }
    let turns =
        |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let (at, sign) = text.char_indices().find(|(_, c)| turns(*c))?;
    let message = format!(
        "the sign {} turns the direction of writing, so that this line may not stand as it reads",
        code_of(sign)
    );
    let place = Place::new(item, Span::new(at, at + sign.len_utf8()));
    Some(Problem::new(Code::TurnedWriting, message, place).help("take the sign out"))
}
