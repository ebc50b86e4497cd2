//! Renaming: a name and every use of it, in one step.
//!
//! Uses are found in the tree, so that texts and remarks stay as they are. What
//! can't be read can't be renamed; those lines are told. Start reading at
//! [`Session::rename`].

use crate::problem::Severity;
use crate::sheet::names::Named;
use crate::syntax::tree::Node;
use crate::syntax::{is_reserved, parse};
use crate::text::Span;
use crate::trade::registry::function;

use super::journal::Act;
use super::pointing::{Mark, Target};
use super::{Outcome, Refusal, Session};

/// What is renamed, which decides where it may stand.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Renamed {
    Entry,
    /// A worked column, by its name in its table.
    Column,
    Table,
    Rule,
    Use,
    Case,
}

impl Session {
    /// Renames an entry, a table, a rule or a case with every use of it.
    ///
    /// # Errors
    /// Where there is no such name, or the new one can't be taken.
    pub fn rename(&mut self, old: &str, new: &str) -> Result<Outcome, Refusal> {
        let (renamed, item) = self.renamed(old)?;
        let new = &self.new_name(old, new, renamed)?;
        let act = Act::Rename {
            old: old.to_owned(),
            new: new.clone(),
        };
        let mut outcome = self.act(format!("rename {old} {new}"), act, |session| {
            let uses = session.uses(old, renamed);
            let standing = session.standing();
            session.replace_all(item, new, &uses);
            session.follow(standing, old, new, renamed);
            let now = match old.split_once('.') {
                Some((table, _)) => format!("{table}.{new}"),
                None => new.clone(),
            };
            let told = match uses.len() {
                0 => format!("`{old}` is now `{now}`; nothing used it"),
                1 => format!("`{old}` is now `{now}`, and so is its one use"),
                many => format!("`{old}` is now `{now}`, and so are its {many} uses"),
            };
            let mut outcome = Outcome::said(told).quietly();
            let left = session.unread_lines(old);
            if !left.is_empty() {
                let told = format!(
                    "These lines can't be read and may still say `{old}`: {}",
                    left.join(", ")
                );
                outcome.told.push(told);
            }
            Ok(outcome)
        })?;
        // A problem that says another name now is the same problem.
        if outcome.mended == outcome.problems.len() {
            outcome.mended = 0;
            outcome.problems.clear();
        }
        Ok(outcome)
    }

    fn renamed(&self, old: &str) -> Result<(Renamed, u32), Refusal> {
        let case = self.sheet.names().case(old).map(|item| (Renamed::Case, item));
        let named = self.sheet.names().get(old).map(|named| match named {
            Named::Cell(_) if old.contains('.') => Renamed::Column,
            Named::Cell(_) => Renamed::Entry,
            Named::Table(_) => Renamed::Table,
            Named::Rule(_) => Renamed::Rule,
            Named::Use(_) => Renamed::Use,
        });
        let found = named.zip(self.item_named(old));
        found.or(case).ok_or_else(|| self.no_name(old))
    }

    /// The new name as the sheet writes it, where it may be taken.
    fn new_name(&self, old: &str, new: &str, renamed: Renamed) -> Result<String, Refusal> {
        if let (Renamed::Column, Some((table, _))) = (renamed, old.split_once('.')) {
            let new = new.strip_prefix(&format!("{table}.")).unwrap_or(new);
            let siblings = self.names_like(|other| matches!(other, Target::Column(of, _) if of == table));
            let new = sound_heading(new)?;
            return free(new.clone(), siblings.contains(&new));
        }
        let new = sound_name(new)?;
        let is_taken = match renamed {
            Renamed::Case => self.sheet.names().case(&new).is_some() || new == "base",
            Renamed::Rule => self.sheet.names().get(&new).is_some() || function(&new).is_some(),
            _ => self.sheet.names().get(&new).is_some(),
        };
        free(new, is_taken)
    }

    /// Every place that a renaming touches, the name itself among them: what an
    /// editor of the whole text replaces by itself. Of two entries of one name, the later
    /// one is renamed where it stands, and what uses the name stays with the first.
    ///
    /// # Errors
    /// Where there is no such name, or the new one can't be taken.
    pub(crate) fn rename_places(&self, mark: &Mark, new: &str) -> Result<Vec<Span>, Refusal> {
        match &mark.target {
            target if is_named(target, new) => Ok(Vec::new()),
            Target::Column(table, _) if self.can_be_renamed(&mark.target).is_ok() => {
                let siblings = self.names_like(|other| matches!(other, Target::Column(of, _) if of == table));
                let new = sound_heading(new)?;
                free(new.clone(), siblings.contains(&new))?;
                Ok(self.spans(&mark.target))
            }
            Target::Parameter(rule, _) if self.can_be_renamed(&mark.target).is_ok() => {
                let siblings = self.names_like(|other| matches!(other, Target::Parameter(of, _) if of == rule));
                let new = sound_name(new)?;
                free(new.clone(), siblings.contains(&new))?;
                Ok(self.spans(&mark.target))
            }
            target => {
                let (renamed, item, old) = self.renamed_target(target)?;
                self.new_name(old, new, renamed)?;
                let is_later = mark.defines && self.own_place(item) != Some(mark.span);
                Ok(match is_later {
                    true => vec![mark.span],
                    false => self.places(item, &self.uses(old, renamed)),
                })
            }
        }
    }

    fn spans(&self, target: &Target) -> Vec<Span> {
        self.marks(target).into_iter().map(|mark| mark.span).collect()
    }

    /// The names of columns or parameters that stand in the text.
    fn names_like(&self, which: impl Fn(&Target) -> bool) -> Vec<String> {
        let all = (0..self.sheet.tree().items.len()).flat_map(|index| self.marks_of(index));
        let all = all.filter(|mark| which(&mark.target));
        all.filter_map(|mark| match mark.target {
            Target::Column(_, name) | Target::Parameter(_, name) => Some(name),
            _ => None,
        })
        .collect()
    }

    /// Whether what is pointed at can be renamed.
    ///
    /// # Errors
    /// Why it can't.
    pub(crate) fn can_be_renamed(&self, target: &Target) -> Result<(), Refusal> {
        let is_written = |target: &Target| self.marks(target).iter().any(|mark| mark.defines);
        match target {
            Target::Column(..) if is_written(target) => Ok(()),
            Target::Column(..) => {
                let message = "a column is renamed at its heading, where its table is kept";
                Err(Refusal::new(message))
            }
            Target::Parameter(..) if is_written(target) => Ok(()),
            Target::Parameter(function, name) => {
                let message = format!("`{name}` is a parameter of `{function}`, a function of the trade");
                Err(Refusal::new(message))
            }
            _ => self.renamed_target(target).map(|_| ()),
        }
    }

    /// A case may share its name with an entry; what is pointed at tells them apart.
    fn renamed_target<'a>(&self, target: &'a Target) -> Result<(Renamed, u32, &'a str), Refusal> {
        match target {
            Target::Name(name) if self.sheet.names().get(name).is_some() => {
                let (renamed, item) = self.renamed(name)?;
                Ok((renamed, item, name))
            }
            Target::Case(name) => {
                let item = self.sheet.names().case(name).ok_or_else(|| self.no_name(name))?;
                Ok((Renamed::Case, item, name))
            }
            Target::Name(name) => Err(self.no_name(name)),
            Target::Column(..) | Target::Parameter(..) => {
                self.can_be_renamed(target)?;
                Err(Refusal::new("no name of this worksheet stands here"))
            }
            Target::Function(name) => Err(Refusal::new(format!("`{name}` is a function of the trade"))),
            _ => Err(Refusal::new("no name of this worksheet stands here")),
        }
    }

    /// The uses and the name itself, in the order of the text.
    fn places(&self, item: u32, uses: &[Span]) -> Vec<Span> {
        let mut places = uses.to_vec();
        places.extend(self.own_place(item));
        places.sort_unstable();
        places.dedup();
        places
    }

    /// One replacement from the first place to the last.
    fn replace_all(&mut self, item: u32, new: &str, uses: &[Span]) {
        let places = self.places(item, uses);
        let (Some(first), Some(last)) = (places.first(), places.last()) else {
            return;
        };
        let whole = Span::new(first.start as usize, last.end as usize);
        let text = self.sheet.text();
        let mut with = String::new();
        let mut at = whole.start;
        for place in &places {
            with.push_str(
                Span {
                    start: at,
                    end: place.start,
                }
                .of(text),
            );
            with.push_str(new);
            at = place.end;
        }
        self.replace(whole, &with);
    }

    /// Where the name itself stands.
    fn own_place(&self, item: u32) -> Option<Span> {
        let text = self.sheet.tree().text_of(item as usize);
        let item = self.sheet.tree().item(item)?;
        let name = match &item.node {
            Node::Entry(entry) => &entry.name,
            Node::Table(table) => &table.name,
            Node::Rule(rule) => &rule.name,
            Node::Case(case) => &case.name,
            Node::Use(line) => &line.name,
            _ => return None,
        };
        Some(name.spans(text).1.shifted(item.start as usize))
    }

    /// Trials and the case in hand go along with the new name.
    fn follow(&mut self, mut standing: super::standing::Standing, old: &str, new: &str, renamed: Renamed) {
        if renamed == Renamed::Case && standing.case.as_deref() == Some(old) {
            standing.case = Some(new.to_owned());
        }
        for (name, _, _) in &mut standing.trials {
            let through = name.strip_prefix(old).filter(|rest| rest.starts_with('.'));
            if renamed == Renamed::Entry && name == old {
                *name = new.to_owned();
            } else if let (Renamed::Use, Some(rest)) = (renamed, through) {
                *name = format!("{new}{rest}");
            }
        }
        self.stand(&standing);
    }

    /// Every use of a name, as places in the text; cases have none.
    fn uses(&self, name: &str, renamed: Renamed) -> Vec<Span> {
        if renamed == Renamed::Case {
            return Vec::new();
        }
        let target = match (renamed, name.split_once('.')) {
            (Renamed::Column, Some((table, column))) => Target::Column(table.to_owned(), column.to_owned()),
            _ => Target::Name(name.to_owned()),
        };
        let uses = self.marks(&target).into_iter();
        uses.filter(|mark| !mark.defines).map(|mark| mark.span).collect()
    }

    /// What uses a name, each with its line.
    pub(super) fn users(&self, name: &str) -> Vec<(String, u32)> {
        let renamed = match self.renamed(name) {
            Ok((renamed, _)) => renamed,
            Err(_) => return Vec::new(),
        };
        let places = self.uses(name, renamed);
        let mut users: Vec<(String, u32)> = Vec::new();
        for place in places {
            let items = &self.sheet.tree().items;
            let index = items
                .partition_point(|item| item.start <= place.start)
                .saturating_sub(1);
            let line = self.sheet.line(u32::try_from(index).unwrap_or(u32::MAX));
            let user = match items.get(index).map(|item| &item.node) {
                Some(Node::Entry(entry)) => entry.name.text.to_string(),
                Some(Node::Case(case)) => format!("case {}", case.name.text),
                Some(Node::Table(table)) => table.name.text.to_string(),
                Some(Node::Rule(rule)) => rule.name.text.to_string(),
                Some(Node::Expect(_)) => "a check".to_owned(),
                Some(Node::Plot(_)) => "a plot".to_owned(),
                _ => "another".to_owned(),
            };
            if !users.contains(&(user.clone(), line)) {
                users.push((user, line));
            }
        }
        users
    }

    /// Lines with problems in which the old name still stands.
    fn unread_lines(&self, old: &str) -> Vec<String> {
        let tree = self.sheet.tree();
        let mut lines = Vec::new();
        for (index, item) in tree.items.iter().enumerate() {
            let broken = item
                .problems
                .iter()
                .any(|problem| problem.severity == Severity::Problem);
            if broken && mentions(tree.text_of(index), old) {
                lines.push(format!(
                    "line {}",
                    self.sheet.line(u32::try_from(index).unwrap_or(u32::MAX))
                ));
            }
        }
        lines
    }
}

/// A word as the sheet writes it, where it can be a name.
fn sound_name(word: &str) -> Result<String, Refusal> {
    let found = name_of(word).filter(|_| !is_reserved(word));
    found.ok_or_else(|| {
        let message = format!("`{word}` can't be a name; nothing was renamed");
        let help = "a name has letters, digits and underscores, begins with no digit, and is no word of the language";
        Refusal::new(message).help(help)
    })
}

/// A word as a heading writes it, where it can be one. Words of the language can.
fn sound_heading(word: &str) -> Result<String, Refusal> {
    match is_reserved(word) {
        true => Ok(word.to_owned()),
        false => sound_name(word),
    }
}

fn free(new: String, is_taken: bool) -> Result<String, Refusal> {
    match is_taken {
        true => Err(Refusal::new(format!("there is a `{new}` already; nothing was renamed"))),
        false => Ok(new),
    }
}

/// A word as a name is kept, where it is one as a whole.
fn name_of(word: &str) -> Option<String> {
    let parsed = parse(format!("assumed {word} = 1"));
    let [item] = parsed.items.as_slice() else {
        return None;
    };
    match &item.node {
        Node::Entry(entry) if item.problems.is_empty() => {
            let whole = entry.name.span.of(&parsed.text) == word;
            Some(entry.name.text.to_string()).filter(|_| whole)
        }
        _ => None,
    }
}

/// Whether what is pointed at has that name already.
fn is_named(target: &Target, name: &str) -> bool {
    match target {
        Target::Name(own) | Target::Case(own) | Target::Column(_, own) | Target::Parameter(_, own) => own == name,
        _ => false,
    }
}

fn mentions(text: &str, name: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphanumeric() && c != '_');
    words.any(|word| word == name)
}
