//! Text by byte: spans, the line index, and edits that replace a span.
//!
//! The text of a worksheet is the truth; everything else is a view of it.
//! Spans are bytes, half open. Lines and columns count from 1 and are worked
//! out only where a person is told a place. Start reading at [`Span`].

use std::borrow::Borrow;
use std::fmt::{self, Debug, Display, Formatter};
use std::hash::{Hash, Hasher};
use std::ops::Deref;

/// A half-open range of bytes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// The byte behind the last.
    pub end: u32,
}

/// A text that is kept in place where it is no longer than [`SHORT`] bytes: names mostly are,
/// and a worksheet has many.
#[derive(Clone)]
pub struct SmallText(Kept);

/// The longest text that is kept in place.
const SHORT: usize = 22;

#[derive(Clone)]
enum Kept {
    Short(u8, [u8; SHORT]),
    Long(Box<str>),
}

impl SmallText {
    pub(crate) fn bytes(&self) -> &[u8] {
        match &self.0 {
            Kept::Short(len, bytes) => bytes.get(..usize::from(*len)).unwrap_or(&[]),
            Kept::Long(text) => text.as_bytes(),
        }
    }
}

impl From<&str> for SmallText {
    fn from(text: &str) -> SmallText {
        let mut bytes = [0; SHORT];
        SmallText(match (bytes.get_mut(..text.len()), u8::try_from(text.len())) {
            (Some(place), Ok(len)) => {
                place.copy_from_slice(text.as_bytes());
                Kept::Short(len, bytes)
            }
            _ => Kept::Long(text.into()),
        })
    }
}

impl From<String> for SmallText {
    fn from(text: String) -> SmallText {
        SmallText::from(text.as_str())
    }
}

impl Deref for SmallText {
    type Target = str;
    fn deref(&self) -> &str {
        match &self.0 {
            Kept::Short(..) => std::str::from_utf8(self.bytes()).unwrap_or(""),
            Kept::Long(text) => text,
        }
    }
}

/// Looked up by its bytes, which need no look at what they say.
impl Borrow<[u8]> for SmallText {
    fn borrow(&self) -> &[u8] {
        self.bytes()
    }
}

impl PartialEq for SmallText {
    fn eq(&self, other: &SmallText) -> bool {
        self.bytes() == other.bytes()
    }
}

impl Eq for SmallText {}

impl PartialEq<str> for SmallText {
    fn eq(&self, other: &str) -> bool {
        self.bytes() == other.as_bytes()
    }
}

impl Hash for SmallText {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.bytes().hash(state);
    }
}

impl Display for SmallText {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        Display::fmt(&**self, f)
    }
}

impl Debug for SmallText {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        Debug::fmt(&**self, f)
    }
}

/// A place so many further on, or further back where that is negative.
pub fn moved(place: u32, by: i64) -> u32 {
    u32::try_from(i64::from(place) + by).unwrap_or(u32::MAX)
}

impl Span {
    /// From `start` up to, not including, `end`.
    pub fn new(start: usize, end: usize) -> Span {
        Span {
            start: clamp(start),
            end: clamp(end),
        }
    }

    /// An empty span.
    pub fn at(place: usize) -> Span {
        Span::new(place, place)
    }

    /// The number of bytes.
    pub fn len(self) -> usize {
        self.end.saturating_sub(self.start) as usize
    }

    /// Whether it covers nothing.
    pub fn is_empty(self) -> bool {
        self.len() == 0
    }

    /// The same stretch, `by` bytes further on.
    pub fn shifted(self, by: usize) -> Span {
        Span::new(self.start as usize + by, self.end as usize + by)
    }

    /// From the start of this one to the end of the other.
    pub fn to(self, other: Span) -> Span {
        Span {
            start: self.start.min(other.start),
            end: self.end.max(other.end),
        }
    }

    /// The piece of `text` it covers; empty where it doesn't fit.
    pub fn of(self, text: &str) -> &str {
        text.get(self.start as usize..self.end as usize).unwrap_or("")
    }
}

fn clamp(place: usize) -> u32 {
    u32::try_from(place).unwrap_or(u32::MAX)
}

/// A line and a column, both from 1; the column counts characters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Position {
    /// The line, from 1.
    pub line: u32,
    /// The column in characters, from 1.
    pub column: u32,
}

/// Where the byte `offset` of `text` stands.
pub fn position(text: &str, offset: usize) -> Position {
    let before = text.get(..offset).unwrap_or(text);
    let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let column = before.get(start..).unwrap_or("").chars().count() + 1;
    Position {
        line: clamp(line),
        column: clamp(column),
    }
}

/// A piece without the parentheses, and the space, that stand around all of it:
/// `(7 W/(m2·C°))` keeps those of its unit.
pub(crate) fn without_parentheses(piece: &str) -> &str {
    let piece = piece.trim();
    let inside = piece.strip_prefix('(').and_then(|rest| rest.strip_suffix(')'));
    inside.map_or(piece, without_parentheses)
}

/// The first word of a line, where a space or the end follows it, and the rest.
pub(crate) fn first_word(line: &str) -> (&str, &str) {
    match line.split_once(char::is_whitespace) {
        Some((word, rest)) => (word, rest.trim()),
        None => (line, ""),
    }
}

/// Words longer than this have no nearest: that takes time by the square of their length.
const LONGEST_SOUGHT: usize = 64;

/// So many candidates of much the same letters are compared with a word.
pub(crate) const MOST_ALIKE: usize = 10_000;

/// The candidate nearest to a word that isn't among them: the same but for
/// capitals, or else a slip or two away. `None` where nothing is near.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = Wanted::new(word);
    let near = candidates
        .into_iter()
        .filter(|candidate| wanted.may_be(candidate.as_bytes()));
    let slips = near.take(MOST_ALIKE).map(|candidate| {
        let known = candidate.to_lowercase();
        (strsim::osa_distance(&wanted.lower, &known), candidate)
    });
    let best = slips.min_by_key(|(distance, _)| *distance);
    best.filter(|(distance, _)| *distance <= wanted.allowed)
        .map(|(_, candidate)| candidate)
}

/// A word looked for among many, with what tells at a glance that another is far from it.
pub(crate) struct Wanted {
    lower: String,
    length: usize,
    letters: u64,
    allowed: usize,
}

impl Wanted {
    /// Looks at the word.
    pub(crate) fn new(word: &str) -> Wanted {
        let lower = word.to_lowercase();
        let length = lower.chars().count();
        Wanted {
            letters: letters(lower.as_bytes()),
            allowed: match length {
                0..=2 => 0,
                3 | 4 => 1,
                5..=8 => 2,
                _ => 3,
            },
            length,
            lower,
        }
    }

    /// Whether a candidate could be near. A slip changes the length by one at most,
    /// and brings in or takes away one letter at most.
    pub(crate) fn may_be(&self, candidate: &[u8]) -> bool {
        // a letter takes four bytes at most
        let longest = self.length + self.allowed;
        if self.length > LONGEST_SOUGHT
            || candidate.len() + self.allowed < self.length
            || candidate.len() > 4 * longest
            || candidate.is_ascii() && candidate.len() > longest
        {
            return false;
        }
        let theirs = letters(candidate);
        let (missing, added) = (self.letters & !theirs, theirs & !self.letters);
        missing.count_ones() as usize <= self.allowed && added.count_ones() as usize <= self.allowed
    }
}

/// The letters of a word as a set, capitals as small ones.
fn letters(word: &[u8]) -> u64 {
    let with = |set: u64, letter: u32| set | 1 << (letter & 63);
    if word.is_ascii() {
        let small = word.iter().map(u8::to_ascii_lowercase);
        return small.fold(0, |set, byte| with(set, byte.into()));
    }
    let word = std::str::from_utf8(word).unwrap_or("");
    word.chars().flat_map(char::to_lowercase).map(u32::from).fold(0, with)
}

/// One of the records that a text lists.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Record {
    /// What it is of.
    pub name: &'static str,
    body: &'static str,
}

/// The records of a text: each opens with a line `@ NAME`, a part of it that has a name of its own
/// with a line `@@ PART`. What stands above the first one is about the text.
pub fn records(text: &'static str) -> impl Iterator<Item = Record> {
    text.split("\n@ ").skip(1).map(|record| {
        let (name, body) = record.split_once('\n').unwrap_or((record, ""));
        Record { name, body }
    })
}

impl Record {
    /// What stands before its named parts.
    pub fn text(&self) -> &'static str {
        self.body.split("\n@@ ").next().unwrap_or("").trim_end()
    }

    /// The first line of that.
    pub fn summary(&self) -> &'static str {
        self.text().lines().next().unwrap_or("")
    }

    /// What stands below its first line and an empty one.
    pub fn detail(&self) -> &'static str {
        self.text().split_once("\n\n").map_or("", |(_, detail)| detail)
    }

    /// A named part, without the end of its last line.
    pub fn part(&self, name: &str) -> Option<&'static str> {
        let parts = self
            .body
            .split("\n@@ ")
            .skip(1)
            .filter_map(|part| part.split_once('\n'));
        let mut named = parts.filter(|(known, _)| *known == name);
        named.next().map(|(_, said)| said.trim_end_matches('\n'))
    }
}
