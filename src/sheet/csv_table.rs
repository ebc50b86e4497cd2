//! Tables read from CSV files (RFC 4180), inside the worksheet's folder only.
//!
//! The only file that reads with `csv`. A path is relative to the worksheet and
//! must not lead out of its folder, through links or `..` either. What can't be
//! read is a problem at the table's line that names file, row and column.
//! Start reading at [`read_csv`].

use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Component, Path, PathBuf};

use crate::problem::{Code, FilePlace, Place, Problem};
use crate::syntax::Worksheet;
use crate::syntax::cell::{Cell, read_cell};
use crate::syntax::heading::read_heading;
use crate::syntax::tree::{BEYOND, CsvLayout, Node, Quoted, TableContent};
use crate::text::Span;
use crate::unit::Kind;

use super::Enclosed;
use super::column::{CellPlace, CellRead};
use super::csv_layout::{DateOrder, chosen_columns, kept_rows};
use super::csv_quotes::look_at_quotes;
use super::table::{ColumnShape, ReadTable, read_column, reads_in, too_large};
use super::text_pool::TextPool;
use super::time_cells::{Left, as_left, reads_as_time, time_kind};

/// The largest file that is read, in bytes.
pub(crate) const LARGEST_FILE: u64 = 32 * 1024 * 1024;

/// Texts in hand of files, by the paths that the worksheet names.
pub(crate) type HeldFiles = BTreeMap<String, String>;

/// Where files are looked for: among those enclosed, then in the worksheet's folder.
#[derive(Clone, Copy)]
pub(super) struct Files<'a> {
    /// The worksheet's folder.
    pub(super) folder: Option<&'a Path>,
    /// Files that stand in no folder.
    pub(super) enclosed: Enclosed,
    /// Files whose text is in hand.
    pub(super) held: &'a HeldFiles,
}

/// The text of a file: in hand, enclosed, or in the folder.
pub(super) fn text_of(files: Files<'_>, path: &str) -> Result<String, Box<Problem>> {
    if let Some(text) = files.held.get(path) {
        return Ok(text.clone());
    }
    if let Some((_, text)) = files.enclosed.iter().find(|(name, _)| *name == path) {
        return Ok((*text).to_owned());
    }
    load(files.folder, path, Place::new(0, Span::default()))
}

/// Where files are looked for that a worksheet in that folder names, on which another rests.
pub(super) fn files_in<'a>(folder: Option<&'a Path>, own: Files<'_>) -> Files<'a> {
    static NONE: HeldFiles = HeldFiles::new();
    Files {
        folder,
        enclosed: own.enclosed,
        held: &NONE,
    }
}

/// Where files are looked for that an item names.
pub(super) fn files_of<'a>(tree: &'a Worksheet, item: u32, own: Files<'a>) -> Files<'a> {
    match tree.used.file_of(item) {
        Some(file) => files_in(file.folder.as_deref(), own),
        None => own,
    }
}

/// Where a file stands: in the folder, or among those that stand in none.
pub(super) fn located(files: Files<'_>, path: &str, place: Place) -> Result<PathBuf, Box<Problem>> {
    let enclosed = files.held.contains_key(path) || files.enclosed.iter().any(|(name, _)| *name == path);
    // a worksheet has one name here
    let turns = Path::new(path).components().any(|part| part == Component::ParentDir);
    match enclosed {
        true => Ok(PathBuf::from(path)),
        false if turns => Err(goes_up(path, place)),
        false => find(files.folder, path, place),
    }
}

/// The bytes of each record below the headings, line end included.
pub(crate) fn record_spans(text: &str) -> Vec<Span> {
    let begins = text.len() - text.strip_prefix('\u{feff}').unwrap_or(text).len();
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(text.get(begins..).unwrap_or("").as_bytes());
    let starts = reader.records().map_while(Result::ok);
    let starts = starts.filter_map(|record| usize::try_from(record.position()?.byte()).ok());
    let starts: Vec<usize> = starts.map(|start| start + begins).collect();
    let ends = starts.iter().copied().skip(1).chain([text.len()]);
    starts
        .iter()
        .zip(ends)
        .map(|(start, end)| Span::new(*start, end))
        .collect()
}

/// The cells of the headings, as they are written.
pub(crate) fn heading_cells(text: &str) -> Vec<String> {
    cells_of(text.strip_prefix('\u{feff}').unwrap_or(text))
}

/// The cells of the first record of a text.
pub(crate) fn cells_of(record: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(record.as_bytes());
    let first = reader.records().next().and_then(Result::ok);
    first.map_or_else(Vec::new, |record| {
        record.iter().map(|cell| cell.trim().to_owned()).collect()
    })
}

/// A record as it is written, without its line end.
pub(crate) fn written_record(cells: &[String]) -> String {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    // into memory, which takes everything
    let _ = writer.write_record(cells);
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).trim_end_matches('\n').to_owned()
}

/// The file that a table of this worksheet itself is read from.
pub(super) fn csv_path(tree: &Worksheet, item: u32) -> Option<&Quoted> {
    match tree.node(item).filter(|_| item < BEYOND)? {
        Node::Table(table) => match table.content.as_ref()? {
            TableContent::Csv { path, .. } => Some(path),
            _ => None,
        },
        _ => None,
    }
}

/// Files for which there was no room. There is never more than before, so they aren't read again.
#[derive(Default)]
pub(super) struct NoRoom(BTreeMap<Box<str>, Problem>);

impl NoRoom {
    /// The table of an item, where its file was refused before.
    pub(super) fn refuse(&self, path: &Quoted, item: u32) -> Option<ReadTable> {
        let problem = self.0.get(&path.text)?.clone();
        let place = Place::new(item, path.span);
        Some(ReadTable::refused(Problem { place, ..problem }))
    }

    /// Notes a file that was refused.
    pub(super) fn note(&mut self, path: &Quoted, read: &ReadTable) {
        let refused = read.problems.iter().find(|problem| problem.code == Code::TableSize);
        if let Some(problem) = refused.filter(|_| read.columns.is_empty()) {
            self.0.entry(path.text.clone()).or_insert_with(|| problem.clone());
        }
    }
}

/// Reads the table that `csv(path)` names, for the table at `item`, if there is room for
/// so many cells.
pub(super) fn read_csv(
    files: Files<'_>,
    (path, layout): (&Quoted, &CsvLayout),
    skip_unread: bool,
    (item, room): (u32, usize),
    pool: &mut TextPool,
) -> ReadTable {
    let place = Place::new(item, path.span);
    let read = |text: &str, pool: &mut TextPool| read_text(text, (path, layout), skip_unread, (item, room), pool);
    if let Some(text) = files.held.get(&*path.text) {
        return read(text, pool);
    }
    if let Some((_, text)) = files.enclosed.iter().find(|(name, _)| *name == &*path.text) {
        return read(text, pool);
    }
    match load(files.folder, &path.text, place) {
        Ok(text) => read(&text, pool),
        Err(problem) => ReadTable::refused(*problem),
    }
}

fn load(folder: Option<&Path>, path: &str, place: Place) -> Result<String, Box<Problem>> {
    let file = find(folder, path, place)?;
    let size = file.metadata().map_or(0, |about| about.len());
    if size > LARGEST_FILE {
        return Err(too_long(path, place));
    }
    let mut bytes = Vec::new();
    let read = File::open(&file).and_then(|file| file.take(LARGEST_FILE + 1).read_to_end(&mut bytes));
    if let Err(trouble) = read {
        let message = format!("`{path}` can't be read: {}", plain(&trouble));
        return Err(Box::new(Problem::new(Code::FileMissing, message, place)));
    }
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(too_long(path, place));
    }
    String::from_utf8(bytes).map_err(|trouble| {
        let offset = trouble.utf8_error().valid_up_to();
        let message = format!("`{path}` isn't UTF-8 text: byte {offset} can't be read");
        Box::new(Problem::new(Code::NotUtf8, message, place).help("save the file as UTF-8"))
    })
}

fn too_long(path: &str, place: Place) -> Box<Problem> {
    let message = format!(
        "`{path}` is longer than the {} MiB that are read of a file",
        LARGEST_FILE >> 20
    );
    Box::new(Problem::new(Code::FileTooLong, message, place).help("split the file, or keep one row a minute"))
}

/// The words of the system without its error number.
fn plain(trouble: &std::io::Error) -> String {
    let words = trouble.to_string();
    words.split(" (os error").next().unwrap_or(&words).to_lowercase()
}

fn goes_up(path: &str, place: Place) -> Box<Problem> {
    let message = format!("`{path}` goes up a folder, and a worksheet reads from its own folder and those below it");
    let help = "keep the file beside the worksheet, and name it without `..`";
    Box::new(Problem::new(Code::FileOutside, message, place).help(help))
}

/// Whether a path goes up more folders than it went down, wherever its links lead.
fn leads_out(path: &Path) -> bool {
    let mut depth = 0_usize;
    path.components().any(|part| {
        match part {
            Component::ParentDir if depth == 0 => return true,
            Component::ParentDir => depth -= 1,
            Component::Normal(_) => depth += 1,
            _ => {}
        }
        false
    })
}

fn find(folder: Option<&Path>, path: &str, place: Place) -> Result<PathBuf, Box<Problem>> {
    let outside = || {
        let message = format!("`{path}` lies outside the worksheet's folder");
        let help = "keep the file beside the worksheet, or in a folder below it";
        Box::new(Problem::new(Code::FileOutside, message, place).help(help))
    };
    let Some(folder) = folder else {
        let message = format!("`{path}` can't be read: this worksheet stands in no folder");
        return Err(Box::new(Problem::new(Code::FileMissing, message, place)));
    };
    let relative = Path::new(path);
    if relative.is_absolute() {
        return Err(outside());
    }
    if leads_out(relative) {
        return Err(goes_up(path, place));
    }
    let missing = |trouble: &std::io::Error| {
        let message = match std::fs::read_link(folder.join(relative)) {
            Ok(target) => format!("`{path}` is a link to `{}`, which can't be read", target.display()),
            Err(_) => format!("`{path}` can't be read: {}", plain(trouble)),
        };
        Box::new(Problem::new(Code::FileMissing, message, place).help("the path counts from the worksheet's folder"))
    };
    let home = folder.canonicalize().map_err(|trouble| missing(&trouble))?;
    let file = home
        .join(relative)
        .canonicalize()
        .map_err(|trouble| missing(&trouble))?;
    if !file.starts_with(&home) {
        return Err(outside());
    }
    if !file.is_file() {
        return Err(Box::new(Problem::new(
            Code::FileMissing,
            format!("`{path}` is no file"),
            place,
        )));
    }
    Ok(file)
}

fn read_text(
    text: &str,
    (path, layout): (&Quoted, &CsvLayout),
    skip_unread: bool,
    (item, room): (u32, usize),
    pool: &mut TextPool,
) -> ReadTable {
    let place = Place::new(item, path.span);
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let quoted_lines = match look_at_quotes(text) {
        Ok(quoted) => quoted,
        Err(stray) => return ReadTable::refused(stray.problem(path, place)),
    };
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
    let mut table = ReadTable::default();
    let headings = match reader.headers() {
        Ok(headings) if !headings.is_empty() => headings.clone(),
        _ => {
            let message = format!("`{}` has no heading row", path.text);
            table.problems.push(Problem::new(Code::FileMalformed, message, place));
            return table;
        }
    };
    if let Some(problem) = too_large(headings.len(), 0, room, place) {
        return ReadTable::refused(problem);
    }
    if let Some(problem) = parted_otherwise(text, &headings, path, place) {
        return ReadTable::refused(problem);
    }
    let rows = match read_rows(&mut reader, &headings, room, path, place, &mut table) {
        Ok(rows) => rows,
        Err(problem) => return ReadTable::refused(*problem),
    };
    let (headings, rows) = match laid_out(layout, headings, rows, path, item) {
        Ok(laid_out) => laid_out,
        Err(problem) => return ReadTable::refused(*problem),
    };
    let shapes: Vec<_> = headings
        .iter()
        .map(|heading| shape(heading, path, place, &mut table))
        .collect();
    if table.problems.iter().any(|problem| problem.code == Code::FileMalformed) {
        table.broken.extend(
            shapes
                .iter()
                .flatten()
                .filter_map(|shape| shape.name.as_ref())
                .map(|name| name.text.clone()),
        );
        return table;
    }
    let rows = if skip_unread {
        let readable = readable_rows(&rows, &shapes);
        table.problems.extend(rows_left_out(&rows, &readable, path, place));
        readable
    } else {
        rows
    };
    table
        .problems
        .extend(quoted_lines.map(|quoted| quoted.lint(path, place)));
    for (index, shape) in shapes.into_iter().enumerate() {
        let Some(shape) = shape else {
            table.left = Left::Other;
            continue;
        };
        let cells = rows.iter().map(|(line, record)| {
            let written = record.get(index).unwrap_or("").trim();
            let place = CellPlace::File {
                item,
                span: path.span,
                file: &path.text,
                row: *line,
            };
            CellRead {
                cell: read_cell(written),
                written,
                place,
            }
        });
        read_column(&mut table, shape, cells.collect(), pool);
    }
    table
}

type Record = (u32, csv::StringRecord);

fn read_rows(
    reader: &mut csv::Reader<&[u8]>,
    headings: &csv::StringRecord,
    room: usize,
    path: &Quoted,
    place: Place,
    table: &mut ReadTable,
) -> Result<Vec<Record>, Box<Problem>> {
    let mut rows = Vec::new();
    for record in reader.records() {
        if let Some(problem) = too_large(headings.len(), rows.len() + 1, room, place) {
            return Err(Box::new(problem));
        }
        match record {
            Ok(record) => {
                let line = record
                    .position()
                    .map_or(0, |at| u32::try_from(at.line()).unwrap_or(u32::MAX));
                if record.len() != headings.len() {
                    table.tell(ragged(&record, headings.len(), line, path, place));
                }
                rows.push((line, record));
            }
            Err(trouble) => {
                let message = format!("`{}` can't be read as CSV: {trouble}", path.text);
                table.problems.push(Problem::new(Code::FileMalformed, message, place));
                break;
            }
        }
    }
    Ok(rows)
}

/// The columns, dates and rows that are asked for.
fn laid_out(
    layout: &CsvLayout,
    headings: csv::StringRecord,
    rows: Vec<Record>,
    path: &Quoted,
    item: u32,
) -> Result<(csv::StringRecord, Vec<Record>), Box<Problem>> {
    if layout.option().is_none() {
        return Ok((headings, rows));
    }
    let refuse = |span: Span, message: String, help: String| {
        Err(Box::new(
            Problem::new(Code::FileMalformed, message, Place::new(item, span)).help(help),
        ))
    };
    let columns = layout.columns.as_ref().map(|asked| {
        let known: Vec<&str> = headings.iter().collect();
        chosen_columns(&asked.text, &known).map_err(|(message, help)| (asked.span, message, help))
    });
    let columns = match columns.transpose() {
        Ok(columns) => columns,
        Err((span, message, help)) => return refuse(span, message, help),
    };
    let order = layout
        .dates
        .as_ref()
        .map(|asked| (DateOrder::of(&asked.text), asked.span));
    if let Some((None, span)) = order {
        let help = "name the three parts and what stands between, such as `month/day/year`".to_owned();
        return refuse(span, "this is no order of a date".to_owned(), help);
    }
    let order = order.and_then(|(order, _)| order);
    let headings = match &columns {
        Some(columns) => columns.iter().map(|(_, heading)| heading.as_str()).collect(),
        None => headings,
    };
    let taken = |record: &csv::StringRecord| -> csv::StringRecord {
        let cells: Vec<&str> = match &columns {
            Some(columns) => columns
                .iter()
                .map(|(place, _)| record.get(*place).unwrap_or(""))
                .collect(),
            None => record.iter().collect(),
        };
        match &order {
            Some(order) => cells.iter().map(|cell| order.turned(cell)).collect::<Vec<_>>().into(),
            None => cells.into(),
        }
    };
    let mut rows: Vec<Record> = rows.iter().map(|(line, record)| (*line, taken(record))).collect();
    if let Some((step, span)) = layout.every.filter(|_| !rows.is_empty()) {
        let cells = rows.iter().map(|(_, record)| record.iter().collect::<Vec<_>>());
        let Some(kept) = kept_rows(cells, step) else {
            let message = format!("no column of `{}` holds times to thin its rows by", path.text);
            return refuse(span, message, "leave `every` out".to_owned());
        };
        let mut kept = kept.into_iter();
        rows.retain(|_| kept.next().unwrap_or(true));
    }
    Ok((headings, rows))
}

/// What else parts columns in files that other programs write, in plain words.
const OTHER_SIGNS: [(char, &str); 3] = [(';', "`;`"), ('\t', "tabs"), ('|', "`|`")];

/// So many lines of a file are looked at for what parts its columns.
const LOOKED_AT: usize = 20;

/// A heading row without a comma that has a sign which parts columns elsewhere, in a file whose
/// lines have it too.
fn parted_otherwise(text: &str, headings: &csv::StringRecord, path: &Quoted, place: Place) -> Option<Problem> {
    let mut lines = text.lines().filter(|line| !line.trim().is_empty()).take(LOOKED_AT);
    let heading = lines.next().filter(|_| headings.len() == 1)?;
    let (sign, called) = OTHER_SIGNS.into_iter().find(|(sign, _)| heading.contains(*sign))?;
    let lines: Vec<&str> = lines.collect();
    if !lines.iter().all(|line| line.contains(sign)) {
        return None;
    }
    let message = format!(
        "the columns of `{}` seem to be parted by {called}, and a table from a file has commas between them",
        path.text
    );
    let cells = lines.iter().flat_map(|line| line.split(sign));
    let help = match cells.filter_map(|cell| pointed(cell.trim())).next() {
        Some((written, meant)) => {
            format!("save it with commas between the columns and points in its numbers, `{meant}` for `{written}`")
        }
        None => "save it as CSV with commas between the columns".to_owned(),
    };
    Some(Problem::new(Code::FileMalformed, message, place).help(help))
}

/// A number with a comma before its fraction, and as it is written here; not one whose comma
/// may part thousands.
fn pointed(cell: &str) -> Option<(&str, String)> {
    let (whole, fraction) = cell.split_once(',')?;
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let is_one = digits(whole.strip_prefix('-').unwrap_or(whole)) && digits(fraction);
    (is_one && fraction.len() != 3).then(|| (cell, format!("{whole}.{fraction}")))
}

/// Two cells that were one number with a comma in it: `51,9` as it stands, and how it may be
/// written.
fn torn_number(record: &csv::StringRecord, wanted: usize) -> Option<String> {
    let cells: Vec<&str> = record.iter().map(str::trim).collect();
    if cells.len() <= wanted {
        return None;
    }
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let torn = cells.windows(2).find_map(|pair| match pair {
        [whole, fraction] if digits(whole.strip_prefix('-').unwrap_or(whole)) && digits(fraction) => {
            Some((*whole, *fraction))
        }
        _ => None,
    });
    let (whole, fraction) = torn?;
    let joined = format!("`{whole},{fraction}`");
    Some(match fraction.len() {
        3 => format!(
            "a comma parts cells: where {joined} is one number, write `{whole}{fraction}`, or `{whole}.{fraction}`"
        ),
        _ => format!("a comma parts cells: where {joined} is one number, write `{whole}.{fraction}`"),
    })
}

fn ragged(record: &csv::StringRecord, wanted: usize, line: u32, path: &Quoted, place: Place) -> Problem {
    let message = format!(
        "line {line} of `{}` has {} {} where the heading has {wanted}",
        path.text,
        record.len(),
        if record.len() == 1 { "cell" } else { "cells" }
    );
    let cell = FilePlace::new(path.text.to_string(), line, String::new());
    let help = torn_number(record, wanted)
        .unwrap_or_else(|| "give every row a cell for each heading, empty where there is nothing".to_owned());
    Problem::new(Code::FileMalformed, message, place)
        .in_file(cell)
        .help(help)
}

fn shape(heading: &str, path: &Quoted, place: Place, table: &mut ReadTable) -> Option<ColumnShape> {
    match read_heading(heading) {
        Ok(read) if read.name.is_some() => Some(ColumnShape {
            name: read.name,
            unit: read.unit.map(|unit| unit.unit),
            tolerance: read.tolerance,
            place,
        }),
        Ok(_) => {
            let message = format!(
                "the heading `{}` of `{}` is no name; that column is left out",
                heading.trim(),
                path.text
            );
            table.problems.push(Problem::new(Code::ColumnLeftOut, message, place));
            None
        }
        Err(problem) => {
            let cell = FilePlace::new(path.text.to_string(), 1, heading.trim().to_owned());
            let problem = Problem {
                place,
                label: String::new(),
                labels: Vec::new(),
                ..*problem
            };
            table.problems.push(problem.in_file(cell));
            let name = heading.split('[').next().unwrap_or("").trim();
            table.broken.push(name.into());
            None
        }
    }
}

/// That rows were left out, and which came first.
fn rows_left_out(rows: &[Record], readable: &[Record], path: &Quoted, place: Place) -> Option<Problem> {
    let kept = readable.iter().map(|(line, _)| Some(*line)).chain([None]);
    let (first, _) = rows.iter().zip(kept).find(|((line, _), kept)| Some(*line) != *kept)?;
    let count = rows.len() - readable.len();
    let (rows, are) = if count == 1 { ("row", "is") } else { ("rows", "are") };
    let message = format!(
        "{count} {rows} of `{}` can't be read and {are} left out, line {} first",
        path.text, first.0
    );
    Some(
        Problem::new(Code::RowsLeftOut, message, place)
            .help("mend the row in the file, or say beside the table why it doesn't count"),
    )
}

fn readable_rows(rows: &[Record], shapes: &[Option<ColumnShape>]) -> Vec<Record> {
    let kinds = column_kinds(rows, shapes);
    let reads = |record: &csv::StringRecord| {
        kinds.iter().enumerate().all(|(index, kind)| {
            let cell = || read_cell(record.get(index).unwrap_or("").trim());
            match kind {
                Some(Kind::Quantity(unit)) => reads_in(&cell(), *unit),
                Some(kind) => reads_as_time(&cell(), *kind),
                None => true,
            }
        })
    };
    rows.iter().filter(|(_, record)| reads(record)).cloned().collect()
}

/// The kinds of the columns of which one cell may be unreadable: of a unit, or of times.
fn column_kinds(rows: &[Record], shapes: &[Option<ColumnShape>]) -> Vec<Option<Kind>> {
    let mut left = Left::Other;
    let kinds = shapes.iter().enumerate().map(|(index, shape)| {
        let before = std::mem::take(&mut left);
        let shape = shape.as_ref()?;
        if let Some(unit) = shape.unit {
            return Some(Kind::Quantity(unit));
        }
        let cells = rows
            .iter()
            .map(|(_, record)| read_cell(record.get(index).unwrap_or("").trim()));
        let cells: Vec<Cell> = cells.collect();
        let written = rows.iter().map(|(_, record)| record.get(index).unwrap_or(""));
        let kind = time_kind(cells.iter().zip(written), before)?;
        left = as_left(kind, cells.iter());
        Some(kind)
    });
    kinds.collect()
}
