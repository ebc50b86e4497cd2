//! Edits of the record: a whole entry put in, a name or a check taken out.
//!
//! An entry whose name is there already takes the place of the old line; a new
//! one goes behind the last of its kind. Start reading at [`Session::enter`].

use crate::problem::Severity;
use crate::report::compose;
use crate::syntax::parse;
use crate::syntax::tree::{Expect, Item, Node};
use crate::text::{Span, in_one_line};

use super::journal::Act;
use super::unnamed::Unnamed;
use super::{Outcome, Refusal, Session};

/// What a typed entry is, as far as finding its place goes.
pub(super) enum Opened {
    Named(String),
    /// A case; one without lines only changes the title of the old one.
    Case {
        name: String,
        empty: bool,
    },
    Check(String),
    Other,
}

/// An item that was called by its name, or by its place where it has none.
struct Called {
    item: u32,
    /// As people are told of it.
    shown: String,
    /// Whether formulas may name it.
    is_used: bool,
}

impl Session {
    /// Puts a whole entry into the record: in place of the one of that name, or as a
    /// new line. What was typed may have several lines, and be a block of several entries.
    ///
    /// # Errors
    /// What keeps one of them from being read, drawn against it.
    pub fn enter(&mut self, text: &str) -> Result<Outcome, Refusal> {
        let block = parse(text.trim_end().to_owned());
        let title = title_of(&block.items, text);
        self.act(title, Act::Enter(text.to_owned()), |session| match block.items.len() {
            0 | 1 => session.put_entry(text),
            _ => session.put_block(&block),
        })
    }

    /// Puts an edited entry in place of the one of that name, whatever its name is now.
    ///
    /// # Errors
    /// What keeps the entry from being read, drawn against it.
    pub fn enter_over(&mut self, name: &str, text: &str) -> Result<Outcome, Refusal> {
        let old = match self.item_called(name) {
            Ok(called) => Some(called.item),
            Err(_) => None,
        };
        let act = Act::Edit {
            name: name.to_owned(),
            text: text.to_owned(),
        };
        self.act(format!("edit {name}"), act, |session| session.put_entry_at(text, old))
    }

    /// Puts an entry in as part of the step at work.
    pub(super) fn put_entry(&mut self, text: &str) -> Result<Outcome, Refusal> {
        self.put_entry_at(text, None)
    }

    fn put_entry_at(&mut self, text: &str, place: Option<u32>) -> Result<Outcome, Refusal> {
        let text = text.trim_end();
        let item = self.read_entry(text)?;
        let mut opened = opened(&item, text);
        if let (Opened::Case { empty, .. }, Some(_)) = (&mut opened, place) {
            *empty = false;
        }
        let edited = place.is_some();
        let place = place.or_else(|| self.place_of(&opened));
        let mut outcome = match place {
            Some(old) => self.change_item(old, text, &opened),
            None => self.add_item(&item.node, text),
        };
        if let Opened::Check(condition) = &opened
            && (edited || place.is_none())
        {
            outcome.told.extend(self.verdict_on(condition));
        }
        self.tell_entry(&opened, &mut outcome);
        Ok(outcome)
    }

    /// The one entry that was typed; refused where it can't be read.
    pub(super) fn read_entry(&self, text: &str) -> Result<Item, Refusal> {
        let parsed = parse(text.to_owned());
        let mut items = parsed.items.into_iter();
        let (Some(item), None) = (items.next(), items.next()) else {
            return Err(Refusal::new("this is more than one entry").help("put the others in at the prompt `>`"));
        };
        let weighs = |severity: Severity| severity == Severity::Problem;
        if item.problems.iter().any(|problem| weighs(problem.severity)) {
            return Err(self.refused(text, &item.problems));
        }
        Ok(item)
    }

    /// How a check stands.
    pub(super) fn verdict_on(&self, condition: &str) -> Option<String> {
        let checks = compose::checks(&self.sheet, self.options);
        let check = checks.into_iter().find(|check| check.text == condition)?;
        let told = format!("`{condition}` {}", check.verdict());
        Some(match check.message {
            Some(message) => format!("{told}: {message}"),
            None => told,
        })
    }

    /// The item whose place a typed entry takes.
    pub(super) fn place_of(&self, opened: &Opened) -> Option<u32> {
        match opened {
            Opened::Named(name) => self.item_named(name),
            Opened::Case { name, .. } => self.sheet.names().case(name),
            Opened::Check(condition) => {
                let tree = self.sheet.tree();
                let same = |(index, item): (usize, &Item)| match &item.node {
                    Node::Expect(expect) => condition_of(expect, tree.text_of(index)) == *condition,
                    _ => false,
                };
                let place = tree.items.iter().enumerate().position(same)?;
                u32::try_from(place).ok()
            }
            Opened::Other => None,
        }
    }

    /// The item of an entry, a table or a rule.
    pub(super) fn item_named(&self, name: &str) -> Option<u32> {
        let names = self.sheet.names();
        let item = names.get(name).map(|named| names.item_of(named));
        item.filter(|item| self.sheet.file_of(*item).is_none())
    }

    pub(super) fn change_item(&mut self, item: u32, text: &str, opened: &Opened) -> Outcome {
        let tree = self.sheet.tree();
        let start = tree.start_of(item);
        let old = tree.text_of(item as usize).to_owned();
        let span = match opened {
            Opened::Case { empty: true, .. } => written_span(old.split('\n').next().unwrap_or("")),
            _ => written_span(&old),
        };
        let mut with = self.line_ended(text);
        if let (None, Some(remark)) = (remark(text), remark(span.of(&old))) {
            with.push_str(remark);
        }
        let line = self.sheet.line(item);
        if span.of(&old) == with {
            return Outcome::said(format!("Line {line} already says so"));
        }
        self.replace(span.shifted(start), &with);
        let mut outcome = Outcome::said(format!("Changed line {line}"));
        if let Opened::Named(name) = opened
            && self.trials().names().contains(name)
        {
            outcome.told.push(format!("The trial of `{name}` is dropped"));
            if let Some(cell) = self.sheet.cell(name) {
                self.sheet.release(cell);
            }
        }
        outcome
    }

    fn add_item(&mut self, node: &Node, text: &str) -> Outcome {
        let tree = self.sheet.tree();
        let line_end = tree.line_end();
        let behind = self.last_of_kind(node);
        let end = behind
            .and_then(|index| tree.items.get(index))
            .map_or(tree.text.len(), |item| item.start as usize + item.len as usize);
        let before = tree.text.get(..end).unwrap_or("");
        let mut lines = String::new();
        if !before.is_empty() && !before.ends_with('\n') {
            lines.push_str(line_end);
        }
        if matches!(node, Node::Case(_)) && !before.trim_end().is_empty() {
            lines.push_str(line_end);
        }
        let gap = lines.matches('\n').count();
        lines.push_str(&self.line_ended(text));
        lines.push_str(line_end);
        let line = before.matches('\n').count() + gap + 1;
        let under = heading_above(self, end).filter(|_| !matches!(node, Node::Case(_)));
        self.replace(Span::at(end), &lines);
        let told = match under {
            Some(heading) => format!("Added as line {line}, under “{heading}”"),
            None => format!("Added as line {line}"),
        };
        Outcome::said(told).quietly()
    }

    /// The item a new one goes behind: the last of its kind, or the last entry.
    fn last_of_kind(&self, node: &Node) -> Option<usize> {
        let items = &self.sheet.tree().items;
        let last = |test: &dyn Fn(&Node) -> bool| items.iter().rposition(|item| test(&item.node));
        match node {
            Node::Entry(new) => {
                last(&|node| matches!(node, Node::Entry(old) if old.kind == new.kind)).or_else(|| last(&is_entry))
            }
            Node::Expect(_) => last(&|node| matches!(node, Node::Expect(_))).or_else(|| last(&is_entry)),
            Node::Case(_) => last(&|node| matches!(node, Node::Case(_))),
            Node::Table(_) => last(&|node| matches!(node, Node::Table(_))).or_else(|| last(&is_entry)),
            Node::Rule(_) => last(&|node| matches!(node, Node::Rule(_))).or_else(|| last(&is_entry)),
            _ => last(&|node| matches!(node, Node::Plot(_))),
        }
    }

    /// The lines with the worksheet's own line ends.
    pub(super) fn line_ended(&self, text: &str) -> String {
        let lines: Vec<&str> = text.lines().collect();
        lines.join(self.sheet.tree().line_end())
    }

    /// What was put in, as it stands now.
    pub(super) fn tell_entry(&self, opened: &Opened, outcome: &mut Outcome) {
        let Opened::Named(name) = opened else { return };
        let Some(cell) = self.sheet.cell(name) else { return };
        outcome.entries.extend(compose::entry(&self.sheet, cell, self.options));
        if let (Some(case), Some(_)) = (self.sheet.case(), self.sheet.held(cell)) {
            let told = format!("Case `{}` holds a value of its own over it", case.name);
            outcome.told.push(told);
        } else if let (Some(case), true) = (self.sheet.case(), self.sheet.names().is_input(cell)) {
            let told = format!(
                "That holds for the base and every case; for case `{}` alone, try `{name} = …` and `keep`",
                case.name
            );
            outcome.told.push(told);
        }
    }

    /// The item that is called so: by its name, or as a check or a plot by its place.
    fn item_called(&self, called: &str) -> Result<Called, Refusal> {
        let is_name = self.item_named(called);
        if let Some(item) = is_name.or_else(|| self.sheet.names().case(called)) {
            return Ok(Called {
                item,
                shown: format!("`{called}`"),
                is_used: is_name.is_some(),
            });
        }
        let found = self.line_called(called).ok_or_else(|| self.no_name(called))??;
        let word = called.split_whitespace().next().and_then(Unnamed::of);
        Ok(Called {
            item: found.item,
            shown: format!("the {} `{}`", word.map_or("line", Unnamed::word), found.said),
            is_used: false,
        })
    }

    /// The text of an entry, or of a check or a plot, as it stands, to be changed.
    ///
    /// # Errors
    /// Where there is none of that name.
    pub fn written(&self, name: &str) -> Result<String, Refusal> {
        let item = self.item_called(name)?.item;
        let text = self.sheet.tree().text_of(item as usize);
        Ok(written_span(text).of(text).replace("\r\n", "\n"))
    }

    /// That there is nothing of a name, with the nearest.
    pub(super) fn no_name(&self, name: &str) -> Refusal {
        let names = self.sheet.names();
        let item = names.get(name).map(|named| names.item_of(named));
        if let Some(Err(beyond)) = item.map(|item| self.is_own(name, item)) {
            return beyond;
        }
        let near = names.nearest(name).or_else(|| names.nearest_case(name));
        Refusal::new(format!("nothing here is named `{name}`")).near(near)
    }

    /// Takes an entry, a table, a rule, a case, a check or a plot out of the record.
    ///
    /// # Errors
    /// Where there is none of that name.
    pub fn remove(&mut self, name: &str) -> Result<Outcome, Refusal> {
        let called = self.item_called(name)?;
        self.act(format!("remove {name}"), Act::Remove(name.to_owned()), |session| {
            let item = called.item;
            let line = session.sheet.line(item);
            let users = match called.is_used {
                true => session.users(name),
                false => Vec::new(),
            };
            let tree = session.sheet.tree();
            let start = tree.start_of(item);
            let len = tree.text_of(item as usize).len();
            let lines = tree.text_of(item as usize).matches('\n').count();
            session.replace(Span::new(start, start + len), "");
            let mut outcome = Outcome::said(format!("Removed {}, which stood on line {line}", called.shown)).quietly();
            if !users.is_empty() {
                let told: Vec<String> = users.iter().map(|user| told_user(user, line, lines)).collect();
                outcome.told.push(format!("It was used by {}", told.join(", ")));
            }
            Ok(outcome)
        })
    }
}

/// What used an item on `removed`, with the line where it stands now that the
/// item's lines are gone.
fn told_user((user, line): &(String, u32), removed: u32, lines: usize) -> String {
    let lines = u32::try_from(lines).unwrap_or(0);
    let now = if *line > removed {
        line.saturating_sub(lines)
    } else {
        *line
    };
    format!("{user} (line {now})")
}

fn is_entry(node: &Node) -> bool {
    matches!(node, Node::Entry(_))
}

pub(super) fn opened(item: &Item, text: &str) -> Opened {
    match &item.node {
        Node::Entry(entry) => Opened::Named(entry.name.text.to_string()),
        Node::Table(table) => Opened::Named(table.name.text.to_string()),
        Node::Rule(rule) => Opened::Named(rule.name.text.to_string()),
        Node::Case(case) => Opened::Case {
            name: case.name.text.to_string(),
            empty: case.lines.is_empty(),
        },
        Node::Expect(expect) => Opened::Check(condition_of(expect, text)),
        _ => Opened::Other,
    }
}

fn condition_of(expect: &Expect, text: &str) -> String {
    in_one_line(&expect.said(text))
}

/// What is written in an item: without the byte-order mark before it, its indentation,
/// and the line end behind it.
fn written_span(text: &str) -> Span {
    let opening = |c: char| c.is_whitespace() || c == '\u{feff}';
    let start = text.len() - text.trim_start_matches(opening).len();
    Span::new(start, text.trim_end().len().max(start))
}

/// The remark at the end of a single line, with the spaces before it.
fn remark(line: &str) -> Option<&str> {
    if line.contains('\n') {
        return None;
    }
    let mut in_text = false;
    let mut escaped = false;
    for (at, c) in line.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if in_text => escaped = true,
            '"' => in_text = !in_text,
            ' ' | '\t' if !in_text => {
                let rest = line.get(at..).unwrap_or("").trim_start();
                let opens = rest
                    .strip_prefix("--")
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
                if opens {
                    return line.get(at..);
                }
            }
            _ => {}
        }
    }
    None
}

/// The heading over a place of the text.
pub(super) fn heading_above(session: &Session, end: usize) -> Option<String> {
    let tree = session.sheet.tree();
    let above = tree
        .items
        .iter()
        .enumerate()
        .take_while(|(_, item)| (item.start as usize) < end);
    let headings = above.filter_map(|(index, item)| match &item.node {
        Node::Heading(heading) if heading.level > 1 => Some(heading.title.of(tree.text_of(index)).to_owned()),
        _ => None,
    });
    headings.last()
}

/// Whether a typed entry goes on: a parenthesis is open, outside texts and remarks.
pub(crate) fn goes_on(text: &str) -> bool {
    let mut depth = 0i32;
    for line in text.lines() {
        let code = remark(line).map_or(line, |remark| line.get(..line.len() - remark.len()).unwrap_or(line));
        let mut in_text = false;
        let mut escaped = false;
        for c in code.chars() {
            match c {
                _ if escaped => escaped = false,
                '\\' if in_text => escaped = true,
                '"' => in_text = !in_text,
                '(' if !in_text => depth += 1,
                ')' if !in_text => depth -= 1,
                _ => {}
            }
        }
    }
    depth > 0
}

/// The first and the last of several lines, as the step that put them in is called.
fn title_of(block: &[Item], text: &str) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    match (lines.first(), lines.last()) {
        (Some(first), Some(last)) if block.len() > 1 => format!("{first} … {last}"),
        (first, _) => first.copied().unwrap_or("").to_owned(),
    }
}
