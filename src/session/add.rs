//! A row put into a table, or taken out of it, as one step.
//!
//! It goes in whole or not at all. How it is read is in [`super::reading`], where it is
//! written in [`super::rows`], and what is said of it in [`super::told_reading`]. Start
//! reading at [`Session::add`].

use std::path::Path;

use crate::calendar;
use crate::number::Number;
use crate::problem::{Problem, Severity};
use crate::report::digits::compound;
use crate::report::visible::visible;
use crate::sheet::names::Named;
use crate::syntax::cell::{Cell, read_cell};
use crate::syntax::parse_typed;
use crate::syntax::tree::Typed;
use crate::unit::Kind;

use super::disk::sweep_parts;
use super::file::Replacing;
use super::journal::{Act, InFile, Mark};
use super::reading::{NewRow, in_line, is_half, time_of};
use super::rows::WrittenTable;
use super::{Outcome, Refusal, Session};

impl Session {
    /// Puts a row into a table: what is typed behind `add`.
    ///
    /// # Errors
    /// What keeps it from being put in; then nothing has changed.
    pub fn add(&mut self, line: &str) -> Result<Outcome, Refusal> {
        self.put_reading(line, "then `keep`; or `undo`")
    }

    /// The same; `mending` says how a trial of another weight gets into the record.
    fn put_reading(&mut self, line: &str, mending: &str) -> Result<Outcome, Refusal> {
        let row = self.read_reading(line)?;
        let expected = self.expected(&row);
        let known = self.sheet.problems();
        let act = Act::Add {
            line: row.typed(),
            in_file: self.in_file(row.table.file.as_deref())?,
        };
        let mut outcome = self.act(format!("add {}", row.typed()), act, |session| {
            session.put_row(&row.table, row.at, &row.cells)?;
            session.is_sound(&row, &known)?;
            Ok(Outcome::said(session.told_row(&row)).quietly())
        })?;
        self.tell_reading(&row, expected.as_ref(), mending, &mut outcome);
        self.look_at_files();
        Ok(outcome)
    }

    /// Puts a row in and saves it: what a command shell hands over, each argument a cell, or
    /// the name of a table or a column. `state` is where journals may stand.
    ///
    /// # Errors
    /// Why nothing was written; also that a session has the worksheet in hand.
    pub(crate) fn add_at_once(&mut self, words: &[String], state: Option<&Path>) -> Result<Outcome, Refusal> {
        self.nobody_has_it(state)?;
        self.source.folder().iter().for_each(|folder| sweep_parts(folder));
        let line = self.line_of(words)?;
        // nothing can be undone once the command has ended
        let outcome = self.put_reading(&line, "`keep`, `save` in the session")?;
        self.save(Replacing::Known)?;
        Ok(outcome)
    }

    /// Arguments as they would be typed in a session.
    fn line_of(&self, words: &[String]) -> Result<String, Refusal> {
        if let Some(odd) = words.iter().find(|word| word.contains(['\n', '\r'])) {
            let shown: String = odd.chars().take(20).collect();
            return Err(Refusal::new(format!(
                "`{shown}…` has a line end in it, and a cell is one line"
            )));
        }
        let is_table = |word: &&String| matches!(self.sheet.names().get(word), Some(Named::Table(_)));
        let (table, cells) = match words.split_first() {
            Some((first, rest)) if is_table(&first) => (Some(first), rest),
            _ => (None, words),
        };
        let joined = |cells: String| match table {
            Some(table) => format!("{table} {cells}"),
            None => cells,
        };
        // somebody typed it as in a session
        if cells
            .iter()
            .any(|cell| cell.ends_with(',') || cell.contains(", ") && !cell.starts_with('"'))
        {
            return Ok(joined(cells.join(" ")));
        }
        let columns: Vec<String> = match table {
            Some(table) => self
                .written_table(table)?
                .named()
                .map(|(_, column)| column.name.clone())
                .collect(),
            None => self.every_column(),
        };
        let by_name = cells.first().is_some_and(|cell| columns.contains(cell));
        if !by_name {
            let mut parts: Vec<String> = Vec::new();
            for cell in cells {
                match parts.last_mut() {
                    Some(last) if is_half(cell) && matches!(read_cell(last), Cell::Clock(_)) => {
                        last.push_str(&format!(" {cell}"));
                    }
                    _ => parts.push(in_line(cell)),
                }
            }
            let cells = parts;
            return Ok(joined(cells.join(", ")));
        }
        let mut parts: Vec<Vec<String>> = Vec::new();
        for cell in cells {
            let is_value = parts.last().is_some_and(|part| part.len() == 1);
            match parts.last_mut() {
                Some(part) if is_value || !columns.contains(cell) => part.push(cell.clone()),
                _ => parts.push(vec![cell.clone()]),
            }
        }
        let parts = parts.iter().map(|part| match part.split_first() {
            Some((name, rest)) => format!("{name} {}", in_line(&rest.join(" "))),
            None => String::new(),
        });
        Ok(joined(parts.collect::<Vec<_>>().join(", ")))
    }

    /// The names of all columns, where nobody said which table is meant.
    fn every_column(&self) -> Vec<String> {
        let slots = self.sheet.tables().iter().flat_map(|table| &table.columns);
        let columns = slots.filter_map(|slot| self.sheet.table_column(*slot));
        columns.map(|column| column.name.to_string()).collect()
    }

    /// Takes a row out of a table: `run of 12:10`, `run of row 3`.
    ///
    /// # Errors
    /// Where there is no such row, or the table's rows aren't written.
    pub fn remove_row(&mut self, line: &str) -> Result<Outcome, Refusal> {
        let (name, _) = line.trim().split_once(char::is_whitespace).unwrap_or((line.trim(), ""));
        let table = self.written_table(name)?;
        let row = self.row_called(&table, line.trim())?;
        let cells = self.row_as_written(&table, row).unwrap_or_default();
        let act = Act::RemoveRow {
            line: format!("{name} of row {}", row + 1),
            in_file: self.in_file(table.file.as_deref())?,
        };
        let outcome = self.act(format!("remove {name} of row {}", row + 1), act, |session| {
            session.take_row(&table, row)?;
            let cells: Vec<&str> = cells
                .iter()
                .map(String::as_str)
                .filter(|cell| !cell.is_empty())
                .collect();
            Ok(Outcome::said(format!("Removed row {} of `{name}`: {}", row + 1, cells.join(", "))).quietly())
        })?;
        self.look_at_files();
        Ok(outcome)
    }

    /// The row of a table that a line such as `run of 12:10` calls, counted from 0.
    fn row_called(&mut self, table: &WrittenTable, line: &str) -> Result<usize, Refusal> {
        let key = line.get(table.name.len()..).unwrap_or("");
        let column = table.named().next().map_or("", |(_, column)| column.name.as_str());
        let line = format!("{}.{column}{key}", table.name);
        let typed = parse_typed(&line).map_err(|problems| self.refused(&line, &problems))?;
        let Typed::Expression { expression, .. } = typed else {
            return Err(Refusal::new("a row is called by its time, its text or its number"));
        };
        let place = self.sheet.cell_called(&line, &expression);
        let place = place.map_err(|problems| self.refused(&line, &problems))?;
        Ok(place.row as usize)
    }

    /// The file that an act is about to change, as it stands.
    fn in_file(&self, path: Option<&str>) -> Result<Option<InFile>, Refusal> {
        let Some(path) = path else { return Ok(None) };
        let before = Mark::of(&self.file_text(path)?);
        Ok(Some(InFile {
            path: path.to_owned(),
            before,
            after: before,
        }))
    }

    /// Whether the row brought no problem into its own table.
    fn is_sound(&self, row: &NewRow, known: &[Problem]) -> Result<(), Refusal> {
        let is_new = |problem: &&Problem| {
            let before = known
                .iter()
                .any(|old| old.code == problem.code && old.message == problem.message);
            problem.severity == Severity::Problem && problem.place.item == row.table.item && !before
        };
        match self.sheet.problems().iter().find(is_new) {
            None => Ok(()),
            Some(problem) => {
                let refusal = Refusal::new(format!("{}; nothing was added", problem.message));
                Err(match &problem.help {
                    Some(help) => refusal.help(help.clone()),
                    None => refusal,
                })
            }
        }
    }

    /// ``Row 2 of `run`: 12:10 by the clock, 30.7 lb, on``
    fn told_row(&self, row: &NewRow) -> String {
        let cells = row.table.named().filter_map(|(place, column)| {
            let cell = row.cells.get(place).filter(|cell| !cell.is_empty())?;
            let is_bare = column.has_unit && cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-'));
            let unit = match column.kind {
                Kind::Quantity(unit) if is_bare => format!(" {unit}"),
                _ => String::new(),
            };
            let by = if row.by_clock.contains(&place) {
                self.by_the_clock()
            } else {
                ""
            };
            Some(format!("{}{unit}{by}", visible(cell)))
        });
        let cells: Vec<String> = cells.collect();
        let since = self.told_since(row);
        format!(
            "Row {} of `{}`: {}{since}",
            row.at + 1,
            row.table.name,
            cells.join(", ")
        )
    }

    /// How long after the row before it.
    fn told_since(&self, row: &NewRow) -> String {
        let before = row.at.checked_sub(1).and_then(|before| self.time_in_row(row, before));
        let passed = match (row.when, before) {
            (Some(when), Some(before)) if when > before => when - before,
            _ => return String::new(),
        };
        let place = if row.is_last() { "" } else { ", between the others" };
        format!("; {} after row {}{place}", in_words(passed), row.at)
    }

    /// Where no time zone is known, the clock is that of no house.
    fn by_the_clock(&self) -> &'static str {
        match self.clock.is_some() || calendar::zone_is_known() {
            true => " by the clock",
            false => " by the clock of UTC, since no time zone is known here",
        }
    }

    fn time_in_row(&self, row: &NewRow, at: usize) -> Option<i64> {
        let column = row.table.columns.get(time_of(&row.table)?)?.as_ref()?;
        let cell = self.sheet.column_cells(column.slot).get(at).copied().flatten()?;
        cell.round().to_integer()
    }
}

/// A length of time in seconds, to the minute.
fn in_words(seconds: i64) -> String {
    compound(Number::from_integer((seconds + 30) / 60))
}
