//! Rows of a table as they are written: put in, taken out, a cell replaced.
//!
//! A table stands in the worksheet, between bars, or in its CSV; either is edited so that
//! every byte that nobody touched stays. Start reading at [`Session::written_table`].

use crate::sheet::Table;
use crate::sheet::csv_table::{cells_of, heading_cells, record_spans, written_record};
use crate::sheet::names::Named;
use crate::syntax::heading::read_heading;
use crate::syntax::tree::{ColumnHeading, Node, Rows, TableContent};
use crate::text::Span;
use crate::unit::Kind;

use super::{Refusal, Session};

/// A table whose rows are written, in the worksheet or in its file.
#[derive(Clone, Debug)]
pub(super) struct WrittenTable {
    /// Its name.
    pub(super) name: String,
    /// Its item.
    pub(super) item: u32,
    /// The path of its file, where it has one.
    pub(super) file: Option<String>,
    /// Its columns in the order of the headings; `None` for one whose heading is no name.
    pub(super) columns: Vec<Option<WrittenColumn>>,
    /// How many rows it has.
    pub(super) rows: usize,
}

/// A column of such a table.
#[derive(Clone, Debug)]
pub(super) struct WrittenColumn {
    pub(super) name: String,
    pub(super) slot: u32,
    pub(super) kind: Kind,
    /// Whether its heading says a unit.
    pub(super) has_unit: bool,
}

impl WrittenTable {
    /// The columns that have a name, with their places among the headings.
    pub(super) fn named(&self) -> impl Iterator<Item = (usize, &WrittenColumn)> {
        let columns = self.columns.iter().enumerate();
        columns.filter_map(|(place, column)| Some((place, column.as_ref()?)))
    }

    /// The place of a column of that name.
    pub(super) fn place_of(&self, name: &str) -> Option<usize> {
        self.named()
            .find(|(_, column)| column.name == name)
            .map(|(place, _)| place)
    }
}

impl Session {
    /// A table by its name, if rows can be put into it.
    ///
    /// # Errors
    /// Why they can't.
    pub(super) fn written_table(&self, name: &str) -> Result<WrittenTable, Refusal> {
        let Some(Named::Table(place)) = self.sheet.names().get(name) else {
            return Err(match self.sheet.names().get(name) {
                Some(_) => Refusal::new(format!("`{name}` is no table")),
                None => self.no_name(name),
            });
        };
        let table = self
            .sheet
            .tables()
            .get(place as usize)
            .ok_or_else(|| self.no_name(name))?;
        let node = self.sheet.tree().node(table.item);
        let Some(Node::Table(tree)) = node else {
            return Err(self.no_name(name));
        };
        self.is_own(name, table.item)?;
        let (file, headings) = match &tree.content {
            Some(TableContent::Rows(rows)) => (None, names_between_bars(rows)),
            Some(TableContent::Csv { path, layout, .. }) => {
                if let Some(option) = layout.option() {
                    let message = format!("`{name}` is read with `{option}`, so its file isn't written into");
                    let help = format!("add the row to `{}` with the program that writes it", path.text);
                    return Err(Refusal::new(message).help(help));
                }
                let text = self.file_text(&path.text)?;
                (Some(path.text.to_string()), names_in_file(&text))
            }
            Some(TableContent::Function(_)) => {
                let message = format!("`{name}` is made by a function, so it has no rows of its own");
                return Err(Refusal::new(message).help("try a value that it is made of"));
            }
            None => return Err(broken(name)),
        };
        let columns: Vec<_> = headings
            .iter()
            .map(|heading| self.written_column(table, heading.as_ref()?))
            .collect();
        // each named heading has its column, or the table has a problem
        let is_whole = headings
            .iter()
            .zip(&columns)
            .all(|(heading, column)| heading.is_some() == column.is_some());
        match is_whole && !columns.is_empty() {
            true => Ok(WrittenTable {
                name: name.to_owned(),
                item: table.item,
                file,
                rows: columns
                    .iter()
                    .flatten()
                    .next()
                    .map_or(0, |column| self.sheet.column_cells(column.slot).len()),
                columns,
            }),
            false => Err(broken(name)),
        }
    }

    fn written_column(&self, table: &Table, (heading, has_unit): &(String, bool)) -> Option<WrittenColumn> {
        let slots = table.columns.iter();
        let columns = slots.filter_map(|slot| Some((*slot, self.sheet.table_column(*slot)?)));
        let mut named = columns.filter(|(_, column)| *column.name == **heading);
        named.next().map(|(slot, column)| WrittenColumn {
            name: heading.clone(),
            slot,
            kind: column.kind,
            has_unit: *has_unit,
        })
    }

    /// The rows of a table as they are written, each cell trimmed.
    pub(super) fn row_as_written(&self, table: &WrittenTable, row: usize) -> Option<Vec<String>> {
        match &table.file {
            Some(path) => {
                let text = self.file_text(path).ok()?;
                let span = record_spans(&text).get(row).copied()?;
                Some(cells_of(span.of(&text)))
            }
            None => {
                let text = self.sheet.tree().text_of(table.item as usize);
                let cells = self.rows_between_bars(table)?.rows.get(row)?.cells.iter();
                Some(cells.map(|cell| cell.of(text).to_owned()).collect())
            }
        }
    }

    fn rows_between_bars(&self, table: &WrittenTable) -> Option<&Rows> {
        match self.sheet.tree().node(table.item) {
            Some(Node::Table(tree)) => match &tree.content {
                Some(TableContent::Rows(rows)) => Some(rows),
                _ => None,
            },
            _ => None,
        }
    }

    /// Puts a row in, before the one that is at that place now, or behind the last.
    pub(super) fn put_row(&mut self, table: &WrittenTable, at: usize, cells: &[String]) -> Result<(), Refusal> {
        match &table.file {
            Some(path) => self.put_record(path, at, cells),
            None => {
                let (place, line) = self.line_for(table, at, cells).ok_or_else(|| broken(&table.name))?;
                self.replace(Span::at(place), &line);
                Ok(())
            }
        }
    }

    fn put_record(&mut self, path: &str, at: usize, cells: &[String]) -> Result<(), Refusal> {
        let text = self.file_text(path)?;
        let line_end = line_end_of(&text);
        let record = written_record(cells);
        let (place, with) = match record_spans(&text).get(at) {
            Some(next) => (next.start as usize, format!("{record}{line_end}")),
            None if text.is_empty() || text.ends_with('\n') => (text.len(), format!("{record}{line_end}")),
            None => (text.len(), format!("{line_end}{record}{line_end}")),
        };
        self.replace_in_file(path, Span::at(place), &with)
    }

    /// Where a row goes between bars, and its line, set as the rows around it are.
    fn line_for(&self, table: &WrittenTable, at: usize, cells: &[String]) -> Option<(usize, String)> {
        let start = self.sheet.tree().start_of(table.item);
        let text = self.sheet.tree().text_of(table.item as usize);
        let rows = self.rows_between_bars(table)?;
        let heading = rows.headings.first()?.span.start as usize;
        let like = match rows.rows.get(at).or(rows.rows.last()) {
            Some(row) => row.cells.first()?.start as usize,
            None => heading,
        };
        let like = line_around(text, like);
        let line = set_as(like.of(text), cells);
        let line_end = self.sheet.tree().line_end();
        let place = match rows.rows.get(at) {
            Some(_) => like.start as usize,
            None => last_row_end(text),
        };
        let begins_line = place == 0 || text.get(..place).is_some_and(|before| before.ends_with('\n'));
        let line = match begins_line {
            true => format!("{line}{line_end}"),
            false => format!("{line_end}{line}"),
        };
        Some((start + place, line))
    }

    /// Takes a row out.
    pub(super) fn take_row(&mut self, table: &WrittenTable, row: usize) -> Result<(), Refusal> {
        let gone = || Refusal::new(format!("`{}` has no row {}", table.name, row + 1));
        match &table.file {
            Some(path) => {
                let text = self.file_text(path)?;
                let span = record_spans(&text).get(row).copied().ok_or_else(gone)?;
                self.replace_in_file(path, span, "")
            }
            None => {
                let text = self.sheet.tree().text_of(table.item as usize);
                let cell = self
                    .rows_between_bars(table)
                    .and_then(|rows| rows.rows.get(row)?.cells.first().copied());
                let line = line_around(text, cell.ok_or_else(gone)?.start as usize);
                let start = self.sheet.tree().start_of(table.item);
                self.replace(line.shifted(start), "");
                Ok(())
            }
        }
    }

    /// Puts another text into a cell.
    pub(super) fn put_cell(
        &mut self,
        table: &WrittenTable,
        row: usize,
        column: usize,
        with: &str,
    ) -> Result<(), Refusal> {
        let gone = || Refusal::new(format!("`{}` has no row {}", table.name, row + 1));
        match &table.file {
            Some(path) => {
                let text = self.file_text(path)?;
                let span = record_spans(&text).get(row).copied().ok_or_else(gone)?;
                let old = span.of(&text);
                let mut cells = cells_of(old);
                with.clone_into(cells.get_mut(column).ok_or_else(gone)?);
                let end = old.len() - old.trim_end_matches(['\r', '\n']).len();
                let end = old.get(old.len() - end..).unwrap_or("").to_owned();
                self.replace_in_file(path, span, &format!("{}{end}", written_record(&cells)))
            }
            None => {
                let rows = self.rows_between_bars(table);
                let cell = rows.and_then(|rows| rows.rows.get(row)?.cells.get(column).copied());
                let cell = cell.ok_or_else(gone)?;
                let start = self.sheet.tree().start_of(table.item);
                let text = self.sheet.tree().text_of(table.item as usize);
                let behind = text.get(cell.end as usize..).unwrap_or("");
                let room = behind.len() - behind.trim_start_matches(' ').len();
                // an empty one begins right behind its bar
                let with = if cell.is_empty() {
                    format!(" {with}")
                } else {
                    with.to_owned()
                };
                let (old, new) = (cell.of(text).chars().count(), with.chars().count());
                // a longer one takes of the spaces behind it, a shorter one leaves some
                let spare = room.saturating_sub(1).min(new.saturating_sub(old));
                let pad = " ".repeat(old.saturating_sub(new));
                let span = Span::new(cell.start as usize, cell.end as usize + spare);
                self.replace(span.shifted(start), &format!("{with}{pad}"));
                Ok(())
            }
        }
    }
}

fn broken(name: &str) -> Refusal {
    Refusal::new(format!("table `{name}` has a problem, so no row can be put into it"))
        .help("`check` draws it; mend it first")
}

/// The name of a heading, and whether it says a unit.
fn named(heading: &ColumnHeading) -> Option<(String, bool)> {
    Some((heading.name.as_ref()?.text.to_string(), heading.unit.is_some()))
}

fn names_between_bars(rows: &Rows) -> Vec<Option<(String, bool)>> {
    rows.headings.iter().map(named).collect()
}

fn names_in_file(text: &str) -> Vec<Option<(String, bool)>> {
    let name = |heading: &String| named(&read_heading(heading).ok()?);
    heading_cells(text).iter().map(name).collect()
}

/// The line end that a text uses.
fn line_end_of(text: &str) -> &'static str {
    match text.find('\n').and_then(|at| text.get(..at)) {
        Some(first) if first.ends_with('\r') => "\r\n",
        _ => "\n",
    }
}

/// The line in which a byte stands, with its end.
fn line_around(text: &str, at: usize) -> Span {
    let start = text
        .get(..at)
        .and_then(|before| before.rfind('\n'))
        .map_or(0, |end| end + 1);
    let end = text
        .get(at..)
        .and_then(|rest| rest.find('\n'))
        .map_or(text.len(), |end| at + end + 1);
    Span::new(start, end)
}

/// The end of the last line that is a row.
fn last_row_end(text: &str) -> usize {
    let mut end = 0;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        at += line.len();
        if line.trim_start().starts_with('|') {
            end = at;
        }
    }
    end
}

/// The cells between bars, as wide as those of another row.
fn set_as(like: &str, cells: &[String]) -> String {
    let inner = like.trim_start();
    let indent = like.get(..like.len() - inner.len()).unwrap_or("");
    let widths = widths_of(inner);
    let mut line = format!("{indent}|");
    for (place, cell) in cells.iter().enumerate() {
        let width = widths.get(place).map_or(0, |width| width.saturating_sub(2));
        let pad = " ".repeat(width.saturating_sub(cell.chars().count()));
        line.push_str(&format!(" {cell}{pad} |"));
    }
    line
}

/// How many characters stand between the bars of a row.
fn widths_of(row: &str) -> Vec<usize> {
    let mut widths = Vec::new();
    let (mut width, mut escaped) = (0, false);
    for c in row.chars().skip(1) {
        match c {
            '|' if !escaped => {
                widths.push(width);
                width = 0;
            }
            _ => width += 1,
        }
        escaped = c == '\\';
    }
    widths
}
