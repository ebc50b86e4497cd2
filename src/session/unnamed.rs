//! Lines without a name: checks and plots, called by their place or by what they say.
//!
//! `check 2` is the second in the order of the worksheet, `check runtime` the one
//! whose condition begins so; a plot is called in the same way. Whether a word is
//! a name after all is left to [`super::edit`]. Start reading at [`Session::line_called`].

use crate::syntax::tree::{Item, Node};
use crate::text::in_one_line;

use super::{Refusal, Session};

/// What stands in a worksheet without a name.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Unnamed {
    /// An `expect` line.
    Check,
    /// A `plot` line.
    Plot,
}

impl Unnamed {
    /// Which of them a word begins to call.
    pub(crate) fn of(word: &str) -> Option<Unnamed> {
        match word {
            "check" | "expect" => Some(Unnamed::Check),
            "plot" => Some(Unnamed::Plot),
            _ => None,
        }
    }

    /// As it is called.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Unnamed::Check => "check",
            Unnamed::Plot => "plot",
        }
    }

    /// The word that its line opens with.
    fn opening(self) -> &'static str {
        match self {
            Unnamed::Check => "expect",
            Unnamed::Plot => "plot",
        }
    }

    fn is(self, node: &Node) -> bool {
        match self {
            Unnamed::Check => matches!(node, Node::Expect(_)),
            Unnamed::Plot => matches!(node, Node::Plot(_)),
        }
    }

    /// What a line says behind its opening word, in one line.
    pub(super) fn said(self, node: &Node, line: &str) -> String {
        if let Node::Expect(expect) = node
            && (expect.condition.is_some() || expect.closeness.is_some())
        {
            return in_one_line(&expect.said(line));
        }
        let line = line.trim();
        in_one_line(line.strip_prefix(self.opening()).unwrap_or(line))
    }
}

/// A line without a name, and what it says.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Standing {
    pub(super) item: u32,
    pub(super) said: String,
}

impl Session {
    /// All lines of a sort, in the order of the worksheet.
    pub(super) fn all_unnamed(&self, sort: Unnamed) -> Vec<Standing> {
        let tree = self.sheet.tree();
        let standing = |(index, item): (usize, &Item)| {
            let place = sort.is(&item.node).then(|| u32::try_from(index).ok()).flatten()?;
            let said = sort.said(&item.node, tree.text_of(index));
            Some(Standing { item: place, said })
        };
        tree.items.iter().enumerate().filter_map(standing).collect()
    }

    /// The place by which the check on a line is called.
    pub(crate) fn place_of_check(&self, line: u32) -> Option<usize> {
        let all = self.all_unnamed(Unnamed::Check);
        let place = all.iter().position(|one| self.sheet.line(one.item) == line)?;
        Some(place + 1)
    }

    /// The line that is called so: `check 2`, `expect runtime >= 24 h`, or `check` where
    /// there is one. `None` where it calls no such line.
    ///
    /// # Errors
    /// That there is none, or that several are called so.
    pub(super) fn line_called(&self, called: &str) -> Option<Result<Standing, Refusal>> {
        let called = called.trim();
        let (word, which) = called.split_once(char::is_whitespace).unwrap_or((called, ""));
        let sort = Unnamed::of(word)?;
        let all = self.all_unnamed(sort);
        let found: Vec<&Standing> = match which.trim().parse::<usize>() {
            Ok(place) => place
                .checked_sub(1)
                .and_then(|place| all.get(place))
                .into_iter()
                .collect(),
            Err(_) => said_so(&all, &in_one_line(which)),
        };
        Some(match found.as_slice() {
            [one] => Ok((*one).clone()),
            _ => Err(unclear(sort, which.trim(), &all)),
        })
    }
}

/// The one of that name, those that say just this, or else those that begin so.
fn said_so<'a>(all: &'a [Standing], wanted: &str) -> Vec<&'a Standing> {
    let named = |one: &&Standing| one.said.strip_prefix(wanted).is_some_and(|rest| rest.starts_with(": "));
    let same: Vec<&Standing> = all.iter().filter(|one| one.said == wanted || named(one)).collect();
    match same.is_empty() {
        true => all.iter().filter(|one| one.said.starts_with(wanted)).collect(),
        false => same,
    }
}

/// So many are listed.
const MOST_LISTED: usize = 8;

fn unclear(sort: Unnamed, which: &str, all: &[Standing]) -> Refusal {
    let word = sort.word();
    if all.is_empty() {
        return Refusal::new(format!("this worksheet has no {word}"));
    }
    let message = match which {
        "" => format!("this worksheet has several {word}s"),
        _ => format!("no one {word} is called `{which}`"),
    };
    let listed = all.iter().take(MOST_LISTED).enumerate();
    let listed: Vec<String> = listed
        .map(|(place, one)| format!("`{word} {}` for `{}`", place + 1, one.said))
        .collect();
    let more = if all.len() > MOST_LISTED { " and so on" } else { "" };
    Refusal::new(message).help(format!("call it by its place: {}{more}", listed.join(", ")))
}
