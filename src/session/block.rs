//! A block of lines that was pasted: entries, headings and prose, put in as one step.
//!
//! An entry whose name is there already takes the place of the old line, as one that is
//! typed does. What is new stays together, in its order, at the end of the worksheet.
//! Where one line can't be read, none is put in. Start reading at [`Session::put_block`].

use crate::problem::{Problem, Severity};
use crate::report::place;
use crate::syntax::parse;
use crate::syntax::tree::{Item, Node, Worksheet};
use crate::text::Span;

use super::edit::{Opened, heading_above, opened};
use super::verbs::typed_verb;
use super::{Outcome, Refusal, Session};

/// So many problems of a block are told.
const MOST_DRAWN: usize = 3;

impl Session {
    /// Whether lines belong into the worksheet together. Others, with a trial or a verb
    /// among them, mean what they would if they were typed one after the other.
    pub fn is_block(text: &str) -> bool {
        let parsed = parse(text.to_owned());
        let items = || parsed.items.iter().enumerate();
        items().any(|(_, item)| is_of_worksheet(&item.node))
            && !items().any(|(index, item)| is_typed_alone(item, parsed.text_of(index)))
    }

    /// Puts several items in as part of the step at work.
    pub(super) fn put_block(&mut self, block: &Worksheet) -> Result<Outcome, Refusal> {
        let problems = block.items.iter().flat_map(|item| &item.problems);
        let problems: Vec<&Problem> = problems.filter(|one| one.severity == Severity::Problem).collect();
        if !problems.is_empty() {
            return Err(drawn_in(block, &problems));
        }
        let mut outcome = Outcome::default().quietly();
        let (mut named, mut fresh) = (Vec::new(), String::new());
        for (index, item) in block.items.iter().enumerate() {
            let text = block.text_of(index);
            let opened = opened(item, text.trim_end());
            match self.place_of(&opened) {
                Some(old) => outcome
                    .told
                    .extend(self.change_item(old, text.trim_end(), &opened).told),
                None => fresh.push_str(text),
            }
            named.push(opened);
        }
        outcome.told.extend(self.add_lines(fresh.trim_matches(['\r', '\n'])));
        named.iter().for_each(|opened| self.tell_of_block(opened, &mut outcome));
        Ok(outcome)
    }

    /// Puts lines at the end of the worksheet, an empty one before them.
    fn add_lines(&mut self, lines: &str) -> Option<String> {
        let lines = self.line_ended(lines.trim_end());
        if lines.is_empty() {
            return None;
        }
        let tree = self.sheet.tree();
        let (line_end, text) = (tree.line_end(), tree.text.as_str());
        let gap = line_end.repeat(lines_to_an_empty_one(text));
        let first = text.matches('\n').count() + gap.matches('\n').count() + 1;
        let last = first + lines.matches('\n').count();
        let end = text.len();
        let under = heading_above(self, end).filter(|_| !lines.starts_with('#'));
        self.replace(Span::at(end), &format!("{gap}{lines}{line_end}"));
        let place = match first == last {
            true => format!("Added as line {first}"),
            false => format!("Added as lines {first} to {last}"),
        };
        Some(under.map_or(place.clone(), |heading| format!("{place}, under “{heading}”")))
    }

    /// What one of them came to.
    fn tell_of_block(&self, opened: &Opened, outcome: &mut Outcome) {
        if let Opened::Check(condition) = opened {
            outcome.told.extend(self.verdict_on(condition));
        }
        self.tell_entry(opened, outcome);
    }
}

/// So many line ends put an empty line behind a text; none behind nothing.
fn lines_to_an_empty_one(text: &str) -> usize {
    let written = text.trim_end_matches([' ', '\t', '\r', '\n']);
    let behind = text.get(written.len()..).unwrap_or("").matches('\n').count();
    match written {
        "" => 0,
        _ => 2usize.saturating_sub(behind),
    }
}

/// Problems drawn against the lines that were pasted.
fn drawn_in(block: &Worksheet, problems: &[&Problem]) -> Refusal {
    let line_of = |item: u32| {
        let start = block.start_of(item);
        let before = block.text.get(..start).unwrap_or("").matches('\n').count();
        u32::try_from(before + 1).unwrap_or(u32::MAX)
    };
    let first = problems.iter().take(MOST_DRAWN);
    let drawn = first.map(|problem| place::drawn(problem, block, "your lines", line_of));
    Refusal {
        problems: drawn.collect(),
    }
}

/// Whether it is a line of the worksheet that nobody could mean otherwise.
fn is_of_worksheet(node: &Node) -> bool {
    match node {
        Node::Heading(_) | Node::Prose(_) | Node::Entry(_) | Node::Expect(_) => true,
        Node::Rule(_) | Node::Table(_) | Node::Use(_) => true,
        Node::Case(case) => case.title.is_some() || !case.lines.is_empty(),
        Node::Blank | Node::Remark | Node::Plot(_) | Node::Broken => false,
    }
}

/// Whether it is typed by itself: a trial, or a verb with what follows it.
fn is_typed_alone(item: &Item, text: &str) -> bool {
    let word = text.split_whitespace().next().unwrap_or("");
    match &item.node {
        case @ Node::Case(_) => !is_of_worksheet(case),
        _ if item.problems.is_empty() => false,
        _ => Session::is_trial(text) || typed_verb(word).is_some(),
    }
}
