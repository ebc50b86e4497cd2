//! The worksheet's file: read as it is, replaced whole or not at all.
//!
//! What was read is kept, so that a file somebody else changed meanwhile is
//! noticed before it is replaced. How a file is read and put in place is left to
//! [`super::disk`]. Start reading at [`Source`].

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::{fs, io};

use crate::problem::Code;
use crate::sheet::Enclosed;
use crate::syntax::tree::{Node, TableContent};
use crate::text::Span;

use super::disk::{
    folder_of, followed, held, put_new, read_text, refuse_link, refuse_no_file, shown_name, unwritten, write_whole,
};
use super::journal::Act;
use super::{Outcome, Refusal, Session};

/// Where the worksheet came from, and what stood there.
#[derive(Clone)]
pub(super) struct Source {
    path: Option<PathBuf>,
    name: String,
    text: String,
    enclosed: Enclosed,
}

/// Whether saving may replace what it didn't read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Replacing {
    /// Only the file as it was read.
    Known,
    /// Whatever is there.
    Anything,
}

impl Source {
    /// Takes one text for what is in the file in place of another, if that is the one known.
    pub(super) fn know(&mut self, known: &str, instead: &str) {
        if self.text == known {
            instead.clone_into(&mut self.text);
        }
    }

    /// Reads a worksheet's file.
    pub(super) fn read(path: &Path) -> Result<(Source, String), Refusal> {
        let text = read_text(path)?;
        let source = Source {
            path: Some(path.to_owned()),
            name: shown_name(path),
            text: text.clone(),
            enclosed: &[],
        };
        Ok((source, text))
    }

    /// A worksheet that is begun under a name where no file is yet.
    pub(super) fn begun(path: &Path) -> Source {
        Source::typed(path, "")
    }

    /// A file whose text an editor holds.
    pub(super) fn typed(path: &Path, text: &str) -> Source {
        Source {
            path: Some(path.to_owned()),
            ..Source::nowhere(&shown_name(path), text, &[])
        }
    }

    /// A worksheet that stands in no file.
    pub(super) fn nowhere(name: &str, text: &str, enclosed: Enclosed) -> Source {
        Source {
            path: None,
            name: name.to_owned(),
            text: text.to_owned(),
            enclosed,
        }
    }

    /// The folder that its tables are read from.
    pub(super) fn folder(&self) -> Option<PathBuf> {
        match &self.path {
            Some(path) => Some(folder_of(path)),
            None => Some(PathBuf::from(".")),
        }
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// The name with the folder it stands in.
    pub(super) fn whole_name(&self) -> String {
        let path = self.path.as_ref();
        path.map_or_else(|| self.name.clone(), |path| path.to_string_lossy().into_owned())
    }

    /// Its file, where it has one.
    pub(super) fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The files enclosed with it.
    pub(super) fn enclosed(&self) -> Enclosed {
        self.enclosed
    }

    /// The text in the file, as it was read or saved last.
    pub(super) fn text(&self) -> &str {
        &self.text
    }
}

impl Session {
    /// Saves to the file it came from.
    ///
    /// # Errors
    /// Why nothing was written; the text in hand stays as it is.
    pub fn save(&mut self, replacing: Replacing) -> Result<Outcome, Refusal> {
        let Some(path) = self.source.path.clone() else {
            let message = format!("{} stands in no file yet", self.source.name);
            return Err(Refusal::new(message).help("`save as FILE` gives it one"));
        };
        if replacing == Replacing::Known && !self.unsaved() && path.exists() {
            return Ok(Outcome::said(format!(
                "Nothing to save: {} is up to date",
                self.source.name
            )));
        }
        let held = held(&followed(&path));
        if replacing == Replacing::Known {
            self.check_unchanged(&path)?;
        }
        let mut outcome = Outcome::default();
        // the rows of files first, so that what is told of them stands there
        outcome.told.extend(self.save_files(replacing)?);
        if self.source.text != self.sheet.text() || outcome.told.is_empty() {
            write_whole(&path, self.sheet.text(), "save as FILE")?;
            outcome.told.push(format!("Saved {}", path.display()));
        }
        drop(held);
        self.source.text = self.sheet.text().to_owned();
        outcome.told.extend(self.note_file());
        Ok(outcome)
    }

    fn check_unchanged(&self, path: &Path) -> Result<(), Refusal> {
        match fs::read(path) {
            Ok(bytes) if bytes == self.source.text.as_bytes() => Ok(()),
            Err(trouble) if trouble.kind() == io::ErrorKind::NotFound => Ok(()),
            _ => {
                let message = "somebody changed this file on disk since it was read; nothing was saved";
                let refusal = Refusal::of_file(&self.source.name, Code::ChangedOnDisk, message);
                Err(refusal.help(
                    "`save as FILE` to keep both, `reload` to take the file as it is, or `save over` to replace it",
                ))
            }
        }
    }

    /// Saves to another file, and goes on with that one.
    ///
    /// # Errors
    /// Why nothing was written; the text in hand stays as it is.
    pub fn save_as(&mut self, path: &Path, replacing: Replacing) -> Result<Outcome, Refusal> {
        let same = self.source.path.as_deref() == Some(path);
        if same {
            return self.save(replacing);
        }
        if let Some((file, _)) = self.unsaved_files().next() {
            let message = format!("rows put into `{file}` are not saved, and it stays where it is");
            return Err(Refusal::new(message).help("`save` first, then `save as`"));
        }
        match replacing {
            Replacing::Known => self.save_new(path)?,
            Replacing::Anything => {
                refuse_link(path)?;
                write_whole(path, self.sheet.text(), "save as FILE")?;
            }
        }
        self.look();
        let mut outcome = Outcome::said(format!("Saved {}", path.display())).quietly();
        outcome.told.extend(self.save_enclosed(&folder_of(path))?);
        let folder = folder_of(path);
        if self.source.path.is_some() && self.source.folder() != Some(folder.clone()) && self.reads_files() {
            let told = format!(
                "The tables it reads from files are looked for in {} now",
                folder.display()
            );
            outcome.told.push(told);
        }
        self.source.path = Some(path.to_owned());
        self.source.name = shown_name(path);
        self.source.text = self.sheet.text().to_owned();
        self.source.enclosed = &[];
        self.sheet.move_to(self.source.folder());
        self.tell_changes(&mut outcome);
        outcome.told.extend(self.move_journal());
        outcome.told.extend(self.note_file());
        Ok(outcome)
    }

    fn save_new(&self, path: &Path) -> Result<(), Refusal> {
        let there = || {
            let message = format!("`{}` is there already; nothing was saved", path.display());
            Refusal::new(message).help(format!("`save over {}` replaces it", path.display()))
        };
        if fs::symlink_metadata(path).is_ok() {
            refuse_link(path)?;
            refuse_no_file(path, path, "save as FILE")?;
            return Err(there());
        }
        put_new(path, self.sheet.text()).map_err(|trouble| match trouble.kind() {
            io::ErrorKind::AlreadyExists => there(),
            _ => unwritten(path, &trouble, "save as FILE"),
        })
    }

    fn reads_files(&self) -> bool {
        let reads = |node: &Node| match node {
            Node::Table(table) => matches!(table.content, Some(TableContent::Csv { .. })),
            Node::Use(_) => true,
            _ => false,
        };
        self.sheet.tree().items.iter().any(|item| reads(&item.node))
    }

    /// Puts the enclosed files beside the worksheet, where there are none of their names.
    fn save_enclosed(&self, folder: &Path) -> Result<Vec<String>, Refusal> {
        let mut told = Vec::new();
        for (name, text) in self.source.enclosed {
            let path = folder.join(name);
            if fs::symlink_metadata(&path).is_err() {
                write_whole(&path, text, "save as FILE")?;
                told.push(format!("Put {name} beside it, which it reads"));
            }
        }
        Ok(told)
    }

    /// Reads the file again, with the tables it names.
    ///
    /// # Errors
    /// Why it can't be read; the text in hand stays as it is.
    pub fn reload(&mut self) -> Result<Outcome, Refusal> {
        let Some(path) = self.source.path.clone() else {
            let message = format!(
                "{} stands in no file, so there is nothing to read again",
                self.source.name
            );
            return Err(Refusal::new(message));
        };
        let text = read_text(&path)?;
        self.look();
        let failing = self.told.failing();
        let told = told_aside(&self.source.text, self.sheet.text(), &text);
        let known = std::mem::replace(&mut self.source.text, text.clone());
        let changes = self.sheet.text() != text;
        let mut outcome = self.take_text(&text)?;
        if changes
            && known != text
            && let Some(step) = self.history.last_mut()
        {
            step.has_reread(known, text);
        }
        outcome.told.extend(told);
        outcome.told.extend(self.note_file());
        if outcome.changes.is_none() {
            self.sheet.refresh();
            self.tell_changes(&mut outcome);
        }
        outcome.still = self.told.failing();
        outcome
            .still
            .retain(|check| failing.iter().any(|before| before.text == check.text));
        Ok(outcome)
    }

    /// Puts a text that was read again in place of the one in hand, as one step.
    pub(super) fn take_text(&mut self, text: &str) -> Result<Outcome, Refusal> {
        let name = self.source.name.clone();
        self.act(format!("reload {name}"), Act::Reload(text.to_owned()), |session| {
            if session.sheet.text() != text {
                let whole = Span::new(0, session.sheet.text().len());
                session.replace(whole, text);
            }
            Ok(Outcome::said(format!("Read {name} again")))
        })
    }
}

/// So many lines that are put aside are told, and so many letters of each.
const MOST_ASIDE: (usize, usize) = (3, 100);

/// What wasn't saved and gives way to the text that was read, with the way back: the lines
/// that were written since, or else those that were taken out since and are back.
fn told_aside(old: &str, mine: &str, read: &str) -> Option<String> {
    if mine == old || mine == read {
        return None;
    }
    let written = lines_beyond(mine, &[old, read]);
    let taken_out: Vec<&str> = lines_beyond(read, &[mine]);
    let taken_out: Vec<&str> = taken_out.into_iter().filter(|line| old.contains(line)).collect();
    let what = match (written.as_slice(), taken_out.as_slice()) {
        ([], []) => "What was not saved is put aside".to_owned(),
        ([], back) => format!("What was taken out and not saved is back: {}", told_lines(back)),
        ([one], _) => format!("One line that was not saved is put aside: {}", told_lines(&[one])),
        (many, _) => format!(
            "{} lines that were not saved are put aside: {}",
            many.len(),
            told_lines(many)
        ),
    };
    Some(format!("{what}; `undo` brings your own text back"))
}

/// The lines of a text that none of the others has, but for empty ones.
fn lines_beyond<'a>(text: &'a str, others: &[&str]) -> Vec<&'a str> {
    let known: HashSet<&str> = others
        .iter()
        .flat_map(|other| other.lines().map(str::trim_end))
        .collect();
    let lines = text.lines().map(str::trim_end);
    lines.filter(|line| !line.is_empty() && !known.contains(line)).collect()
}

fn told_lines(lines: &[&str]) -> String {
    let (most, longest) = MOST_ASIDE;
    let told = lines.iter().take(most).map(|line| {
        let start: String = line.trim().chars().take(longest).collect();
        let more = if start.len() < line.trim().len() { "…" } else { "" };
        format!("`{start}{more}`")
    });
    let told: Vec<String> = told.collect();
    match lines.len().saturating_sub(most) {
        0 => told.join(", "),
        more => format!("{} and {more} more", told.join(", ")),
    }
}
