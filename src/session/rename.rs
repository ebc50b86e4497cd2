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
use super::pointing::Target;
use super::{Outcome, Refusal, Session};

/// What is renamed, which decides where it may stand.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Renamed {
    Entry,
    Table,
    Rule,
    Case,
}

impl Session {
    /// Renames an entry, a table, a rule or a case with every use of it.
    ///
    /// # Errors
    /// Where there is no such name, or the new one can't be taken.
    pub fn rename(&mut self, old: &str, new: &str) -> Result<Outcome, Refusal> {
        let (renamed, item) = self.renamed(old)?;
        self.check_new_name(new, renamed)?;
        let act = Act::Rename {
            old: old.to_owned(),
            new: new.to_owned(),
        };
        let mut outcome = self.act(format!("rename {old} {new}"), act, |session| {
            let uses = session.uses(old, renamed);
            let standing = session.standing();
            session.replace_all(item, new, &uses);
            session.follow(standing, old, new, renamed);
            let told = match uses.len() {
                0 => format!("`{old}` is now `{new}`; nothing used it"),
                1 => format!("`{old}` is now `{new}`, and so is its one use"),
                many => format!("`{old}` is now `{new}`, and so are its {many} uses"),
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
            Named::Cell(_) => Renamed::Entry,
            Named::Table(_) => Renamed::Table,
            Named::Rule(_) => Renamed::Rule,
        });
        let found = named.zip(self.item_named(old));
        found.or(case).ok_or_else(|| self.no_name(old))
    }

    fn check_new_name(&self, new: &str, renamed: Renamed) -> Result<(), Refusal> {
        if is_reserved(new) || !is_name(new) {
            let message = format!("`{new}` can't be a name; nothing was renamed");
            let help =
                "a name has letters, digits and underscores, begins with no digit, and is no word of the language";
            return Err(Refusal::new(message).help(help));
        }
        let taken = match renamed {
            Renamed::Case => self.sheet.names().case(new).is_some() || new == "base",
            Renamed::Rule => self.sheet.names().get(new).is_some() || function(new).is_some(),
            _ => self.sheet.names().get(new).is_some(),
        };
        match taken {
            true => Err(Refusal::new(format!("there is a `{new}` already; nothing was renamed"))),
            false => Ok(()),
        }
    }

    /// Every place that a renaming touches, the name itself among them: what an
    /// editor of the whole text replaces by itself.
    ///
    /// # Errors
    /// Where there is no such name, or the new one can't be taken.
    pub fn rename_places(&self, target: &Target, new: &str) -> Result<Vec<Span>, Refusal> {
        let (renamed, item, old) = self.renamed_target(target)?;
        self.check_new_name(new, renamed)?;
        Ok(self.places(item, &self.uses(old, renamed)))
    }

    /// Whether what is pointed at can be renamed.
    ///
    /// # Errors
    /// Why it can't.
    pub fn can_be_renamed(&self, target: &Target) -> Result<(), Refusal> {
        self.renamed_target(target).map(|_| ())
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
            Target::Column(..) => {
                let message = "a column is renamed at its heading, where its table is kept";
                Err(Refusal::new(message))
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
        let item = self.sheet.tree().items.get(item as usize)?;
        let name = match &item.node {
            Node::Entry(entry) => &entry.name,
            Node::Table(table) => &table.name,
            Node::Rule(rule) => &rule.name,
            Node::Case(case) => &case.name,
            _ => return None,
        };
        Some(name.span.shifted(item.start as usize))
    }

    /// Trials and the case in hand go along with the new name.
    fn follow(&mut self, mut standing: super::Standing, old: &str, new: &str, renamed: Renamed) {
        if renamed == Renamed::Case && standing.case.as_deref() == Some(old) {
            standing.case = Some(new.to_owned());
        }
        for (name, _, _) in &mut standing.trials {
            if renamed == Renamed::Entry && name == old {
                *name = new.to_owned();
            }
        }
        self.stand(&standing);
    }

    /// Every use of a name, as places in the text; cases have none.
    fn uses(&self, name: &str, renamed: Renamed) -> Vec<Span> {
        if renamed == Renamed::Case {
            return Vec::new();
        }
        let uses = self.marks(&Target::Name(name.to_owned())).into_iter();
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

/// Whether a word is a name by its characters.
fn is_name(word: &str) -> bool {
    let parsed = parse(format!("assumed {word} = 1"));
    let sound = parsed.items.len() == 1 && parsed.items.iter().all(|item| item.problems.is_empty());
    sound && word.chars().all(|c| c.is_alphanumeric() || c == '_')
}

fn mentions(text: &str, name: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphanumeric() && c != '_');
    words.any(|word| word == name)
}
