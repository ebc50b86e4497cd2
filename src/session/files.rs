//! Files of tables in hand: rows that are added or taken out, and not yet written.
//!
//! What is known to stand in such a file is kept, so that one that grew meanwhile is noticed
//! before it is replaced, and at the next line that is typed. The rows themselves are in
//! [`super::rows`]. Start reading at [`Session::replace_in_file`].

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::time::SystemTime;

use crate::problem::Code;
use crate::sheet::Table;
use crate::syntax::tree::{Node, TableContent};
use crate::text::Span;

use super::disk::write_whole;
use super::file::Replacing;
use super::history::Replacement;
use super::{Outcome, Refusal, Session};

/// The files that tables are read from, by their paths as the worksheet names them.
#[derive(Default)]
pub(super) struct TableFiles {
    /// The text that is known to be in each that is in hand.
    known: BTreeMap<String, String>,
    /// How each stood on the disk when it was read.
    stamps: BTreeMap<String, Option<Stamp>>,
}

/// How long a file is and when it was written.
type Stamp = (u64, Option<SystemTime>);

impl TableFiles {
    /// Takes a text that is changed in hand: with what is known to be in the file, or nothing
    /// where it says the same again.
    fn changed(&mut self, path: &str, before: &str, now: String) -> Option<String> {
        let known = self.known.entry(path.to_owned()).or_insert_with(|| before.to_owned());
        let held = (*known != now).then_some(now);
        if held.is_none() {
            self.known.remove(path);
        }
        held
    }

    /// Whether a file stands otherwise than when it was read.
    fn is_other(&self, path: &str, stamp: Option<Stamp>) -> bool {
        self.stamps.get(path).is_some_and(|before| *before != stamp)
    }
}

impl Session {
    /// Replaces a stretch of a table's file, in hand, as part of the step at work.
    pub(super) fn replace_in_file(&mut self, path: &str, span: Span, with: &str) -> Result<(), Refusal> {
        let text = self.file_text(path)?;
        let removed = span.of(&text).to_owned();
        let replaced = Replacement {
            file: Some(path.to_owned()),
            start: span.start as usize,
            removed,
            inserted: with.to_owned(),
        };
        self.exchange(&replaced, replaced.removed.len(), with);
        self.history.add(replaced);
        Ok(())
    }

    /// The text of a table's file, as it is in hand.
    pub(super) fn file_text(&self, path: &str) -> Result<String, Refusal> {
        self.sheet.file_text(path).map_err(|problem| {
            let refusal = Refusal::of_file(path, problem.code, problem.message.clone());
            match &problem.help {
                Some(help) => refusal.help(help.clone()),
                None => refusal,
            }
        })
    }

    /// Puts a text in the place of a stretch of so many bytes, in the worksheet or a file.
    pub(super) fn exchange(&mut self, place: &Replacement, length: usize, with: &str) {
        let stretch = place.start..place.start + length;
        let Some(path) = &place.file else {
            self.sheet.replace(Span::new(stretch.start, stretch.end), with);
            return;
        };
        let Ok(text) = self.file_text(path) else { return };
        let mut now = text.clone();
        if now.get(stretch.clone()).is_some() {
            now.replace_range(stretch, with);
            let held = self.table_files.changed(path, &text, now);
            self.sheet.hold_file(path, held);
        }
    }

    /// The files of tables whose text in hand isn't the one known to stand there.
    pub(super) fn unsaved_files(&self) -> impl Iterator<Item = (&String, &str)> {
        let known = self.table_files.known.iter();
        let held = known.filter_map(|(path, known)| Some((path, known, self.sheet.held_file(path)?)));
        held.filter(|(_, known, held)| known.as_str() != *held)
            .map(|(path, _, held)| (path, held))
    }

    /// Writes the files of tables that were changed, each whole or not at all.
    ///
    /// # Errors
    /// Why one can't be written, or that somebody changed it meanwhile.
    pub(super) fn save_files(&mut self, replacing: Replacing) -> Result<Vec<String>, Refusal> {
        let open: Vec<(String, String)> = self
            .unsaved_files()
            .map(|(path, text)| (path.clone(), text.to_owned()))
            .collect();
        if replacing == Replacing::Known {
            open.iter().try_for_each(|(path, _)| self.check_file(path))?;
        }
        let mut told = Vec::new();
        for (path, text) in open {
            let place = self.file_path(&path);
            write_whole(&place, &text, "save as FILE")?;
            self.table_files.known.insert(path.clone(), text);
            self.sheet.hold_file(&path, None);
            told.push(format!("Saved {}", place.display()));
        }
        self.look_at_files();
        Ok(told)
    }

    pub(super) fn file_path(&self, path: &str) -> PathBuf {
        self.source.folder().unwrap_or_default().join(path)
    }

    fn check_file(&self, path: &str) -> Result<(), Refusal> {
        let known = self.table_files.known.get(path);
        if self.sheet.file_on_disk(path).ok().as_ref() == known {
            return Ok(());
        }
        let message = format!("somebody changed `{path}` on disk since it was read; nothing was saved");
        let refusal = Refusal::of_file(path, Code::ChangedOnDisk, message);
        Err(refusal.help("`undo` takes your rows out again, to `add` them anew; `save over` replaces the file"))
    }

    /// Whether the steps that touched files can be taken back or done again as they are now.
    pub(super) fn files_fit(&self, texts: &[Replacement], is_there: fn(&Replacement) -> &str) -> Result<(), Refusal> {
        for place in texts {
            let Some(path) = &place.file else { continue };
            let text = self.file_text(path)?;
            let there = is_there(place);
            if text.get(place.start..).is_none_or(|rest| !rest.starts_with(there)) {
                let message = format!("`{path}` was changed since, so this step can't be gone back over");
                return Err(Refusal::new(message).help("`remove TABLE of row N` takes a row out"));
            }
        }
        Ok(())
    }

    // ---- the short form of a journal ----

    /// The files of tables as they stood before the first step that is kept, where rows were put
    /// in before it: `in hand PATH`, and below it a line each.
    pub(super) fn lines_of_files(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for (path, known) in &self.table_files.known {
            let mut text = self.sheet.file_text(path).unwrap_or_default();
            let replaced = self.history.replaced_in(Some(path));
            replaced.for_each(|replaced| replaced.take_back(&mut text));
            if text != *known && self.history.forgotten() > 0 {
                lines.push(format!("in hand {path}"));
                lines.extend(text.split('\n').map(|line| format!("= {line}")));
            }
        }
        lines
    }

    /// Takes a file in hand again as it was written down.
    pub(super) fn hold_as_written(&mut self, path: &str, lines: &[String]) -> Result<(), Refusal> {
        let lines = lines.iter().map(|line| line.strip_prefix("= ").unwrap_or(line));
        let text = lines.collect::<Vec<_>>().join("\n");
        let known = self.file_text(path)?;
        if known != text {
            self.table_files.known.entry(path.to_owned()).or_insert(known);
            self.sheet.hold_file(path, Some(text));
        }
        Ok(())
    }

    // ---- files that change on the disk ----

    /// The files that are read, by their paths from the worksheet's folder: of tables, and the
    /// worksheets that it rests on with theirs.
    fn files_read(&self) -> Vec<String> {
        let tree = self.sheet.tree();
        let paths = tree.every_item().filter_map(|(number, item)| {
            let path = match &item.node {
                Node::Use(line) if tree.used.file_of(number).is_none() => &line.path,
                Node::Table(table) => match &table.content {
                    Some(TableContent::Csv { path, .. }) => path,
                    _ => return None,
                },
                _ => return None,
            };
            let folder = tree.used.file_of(number).and_then(|file| file.name.rsplit_once('/'));
            Some(match folder {
                Some((folder, _)) => format!("{folder}/{}", path.text),
                None => path.text.to_string(),
            })
        });
        let mut paths: Vec<String> = paths
            .chain(tree.used.files.iter().map(|file| file.name.clone()))
            .collect();
        paths.sort_unstable();
        paths.dedup();
        paths
    }

    /// How each file stands on the disk, to see at the next line whether it changed.
    pub(super) fn look_at_files(&mut self) {
        let stamps = self.files_read().into_iter().map(|path| {
            let stamp = self.stamp_of(&path);
            (path, stamp)
        });
        self.table_files.stamps = stamps.collect();
    }

    fn stamp_of(&self, path: &str) -> Option<Stamp> {
        let about = fs::metadata(self.file_path(path)).ok()?;
        Some((about.len(), about.modified().ok()))
    }

    /// Takes up files of tables that grew or were changed since they were read; what is told.
    pub fn notice_files(&mut self) -> Option<Outcome> {
        let is_other = |path: &String| self.table_files.is_other(path, self.stamp_of(path));
        let changed: Vec<String> = self.files_read().into_iter().filter(is_other).collect();
        let before = self.row_counts();
        self.look_at_files();
        if changed.is_empty() {
            return None;
        }
        let (open, others): (Vec<String>, Vec<String>) = changed
            .into_iter()
            .partition(|path| self.unsaved_files().any(|(known, _)| known == path));
        for path in &others {
            self.table_files.known.remove(path);
        }
        self.look();
        self.sheet.refresh();
        let mut outcome = Outcome::default();
        outcome
            .told
            .extend(others.iter().map(|path| self.told_grown(path, &before)));
        outcome.told.extend(open.iter().map(|path| {
            format!("`{path}` was changed on disk, and rows put in here are not saved in it; `undo` them to read it")
        }));
        self.tell_changes(&mut outcome);
        Some(outcome.quietly())
    }

    fn row_counts(&self) -> BTreeMap<u32, usize> {
        let tables = self.sheet.tables().iter();
        let count = |table: &Table| {
            let slot = *table.columns.first()?;
            Some((table.item, self.sheet.column_cells(slot).len()))
        };
        tables.filter_map(count).collect()
    }

    fn told_grown(&self, path: &str, before: &BTreeMap<u32, usize>) -> String {
        let now = self.row_counts();
        let reads = |item: &u32| match self.sheet.tree().node(*item) {
            Some(Node::Table(table)) => {
                matches!(&table.content, Some(TableContent::Csv { path: read, .. }) if &*read.text == path)
            }
            _ => false,
        };
        let rows = |counts: &BTreeMap<u32, usize>| counts.iter().find(|(item, _)| reads(item)).map(|(_, rows)| *rows);
        match (rows(before), rows(&now)) {
            (Some(before), Some(now)) if now == before + 1 => format!("`{path}` has grown by a row"),
            (Some(before), Some(now)) if now > before => format!("`{path}` has grown by {} rows", now - before),
            _ => format!("`{path}` was changed on disk and is read again"),
        }
    }
}
