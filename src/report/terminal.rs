//! The report as read on a terminal: answers first, then what they rest on.
//!
//! Answers and checks come first, then the worksheet's sections with their
//! prose, inputs, worked values and tables, and the cautions in full. Everything keeps to the width
//! it is given; a narrow terminal gets the same with less beside each other.
//! Start reading at [`write()`].

use tabled::builder::Builder;
use tabled::settings::object::{Cell, Columns};
use tabled::settings::style::{HorizontalLine, Style as Ruling};
use tabled::settings::{Alignment, Color, Modify, Padding, Width};

use super::chart::{self, Chart};
use super::model::{Caution, Check, Column, Entry, EntryKind, Holder, Part, Report, Section};
use super::model::{MADE_ROWS, Table, ValueType};
use super::rows::row_lines;
use super::shown::Shown;
use super::style::{Style, Tone};
use super::visible::{columns, sentence, visible, wrapped};

/// The columns between the margin and what stands under a heading.
const INDENT: usize = 2;
/// The columns between two columns of a layout.
const GAP: usize = 3;
/// A flexible column narrower than this moves to a line of its own.
const LEAST_FLEXIBLE: usize = 24;
/// The rows shown of a table.
const TABLE_ROWS: usize = 24;

/// The whole report.
pub fn write(report: &Report, style: Style) -> String {
    let mut page = Page::new(style);
    page.title(report);
    page.answers(report);
    page.checks(report);
    page.caution_codes(report);
    for section in &report.sections {
        page.section(report, section, Answers::Formula);
    }
    page.cautions(report);
    page.text
}

/// The head of the report alone: title, answers, checks, and which cautions there are.
pub fn write_head(report: &Report, style: Style) -> String {
    let mut page = Page::new(style);
    page.title(report);
    page.answers(report);
    page.checks(report);
    page.caution_codes(report);
    page.text
}

/// One section alone, with its answers.
pub fn write_section(report: &Report, section: &Section, style: Style) -> String {
    let mut page = Page::new(style);
    page.section(report, section, Answers::Whole);
    page.text
}

/// The checks alone, without their heading.
pub(crate) fn write_checks(checks: &[Check], style: Style) -> String {
    let mut page = Page::new(style);
    checks.iter().for_each(|check| page.check(check));
    page.text
}

/// The cautions alone.
pub(crate) fn write_cautions(report: &Report, style: Style) -> String {
    let mut page = Page::new(style);
    page.cautions(report);
    page.text
}

/// Entries one under another: name, value, how known, source or formula.
pub(crate) fn write_entries(entries: &[&Entry], style: Style) -> String {
    let mut page = Page::new(style);
    page.entries(entries, Answers::Whole);
    page.text
}

/// One entry that was asked for by its name: a column has its rows.
pub(crate) fn write_entry(entry: &Entry, style: Style) -> String {
    let mut page = Page::new(style);
    page.entries(&[entry], Answers::Alone);
    page.text
}

/// A value by itself: of a column that is listed a line a row.
pub(crate) fn write_value(shown: &Shown, style: Style) -> String {
    let lines = match shown.listed() {
        Some(rows) => row_lines(rows),
        None => vec![visible(&shown.display()).into_owned()],
    };
    let painted = lines
        .iter()
        .map(|line| format!("  {}\n", style.paint(Tone::Strong, line)));
    painted.collect()
}

/// How a section shows its answers.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Answers {
    /// As any other entry.
    Whole,
    /// With what they were worked out from: the rest stands at the top.
    Formula,
    /// An entry by itself, which is told whole whatever it is.
    Alone,
}

/// What has been written so far.
struct Page {
    text: String,
    style: Style,
    width: usize,
    /// Where the last heading ends.
    headed: usize,
}

impl Page {
    fn new(style: Style) -> Page {
        Page {
            text: String::new(),
            style,
            width: style.columns(),
            headed: 0,
        }
    }

    fn line(&mut self, indent: usize, tone: Option<Tone>, text: &str) {
        for line in wrapped(text, self.width.saturating_sub(indent)) {
            self.text.push_str(&" ".repeat(indent));
            match tone {
                Some(tone) => self.text.push_str(&self.style.paint(tone, &line)),
                None => self.text.push_str(&line),
            }
            self.text.push('\n');
        }
    }

    /// A line that is laid out already; one that is too wide is broken like any other.
    fn row_line(&mut self, line: &str) {
        let indent = INDENT + 2;
        match indent + columns(line) <= self.width {
            true => self.text.push_str(&format!("{}{line}\n", " ".repeat(indent))),
            false => self.line(indent, None, line),
        }
    }

    /// An empty line, unless nothing or a heading stands above it.
    fn rest(&mut self) {
        if self.text.len() > self.headed && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    fn heading(&mut self, text: &str) {
        self.rest();
        self.line(0, Some(Tone::Strong), &visible(text));
        self.headed = self.text.len();
    }

    fn title(&mut self, report: &Report) {
        if let Some(title) = &report.title {
            self.line(0, Some(Tone::Strong), &visible(title));
        }
        for told in report.in_hand().lines() {
            self.line(0, Some(Tone::Care), &told);
        }
        if let Some(line) = report.problem_line() {
            self.line(0, Some(Tone::Bad), &line);
        }
        self.rest();
        for prose in report.introduction() {
            self.rest();
            self.line(INDENT, Some(Tone::Faint), &visible(prose));
        }
    }

    fn answers(&mut self, report: &Report) {
        let answers: Vec<&Entry> = report.answers().collect();
        if answers.is_empty() {
            return;
        }
        self.heading("Answers");
        let labelled = answers.iter().any(|answer| answer.label.is_some()) && self.has_room(&answers);
        let rows = answers.iter().map(|answer| {
            let label = visible(answer.label.as_deref().unwrap_or("")).into_owned();
            let (name, value) = (visible(&answer.name).into_owned(), value_lines(answer));
            match (labelled, how_known(answer)) {
                (true, known) => vec![name, label, value, known],
                (false, known) if label.is_empty() => vec![name, value, known],
                (false, known) if known.is_empty() => vec![name, value, label],
                (false, known) => vec![name, value, format!("{label}; {known}")],
            }
        });
        let strong = if labelled { 2 } else { 1 };
        self.laid_out(rows.collect(), Some(strong));
    }

    /// Whether names, labels and values stand beside each other in the width.
    fn has_room(&self, answers: &[&Entry]) -> bool {
        let widest = |text: &dyn Fn(&Entry) -> usize| answers.iter().map(|answer| text(answer)).max().unwrap_or(0);
        let name = widest(&|answer| columns(&visible(&answer.name)));
        let label = widest(&|answer| columns(&visible(answer.label.as_deref().unwrap_or(""))));
        let value = widest(&|answer| block_columns(&value_lines(answer)));
        INDENT + name + GAP + label + GAP + value <= self.width
    }

    fn checks(&mut self, report: &Report) {
        if report.checks.is_empty() {
            return;
        }
        self.heading("Checks");
        for check in &report.checks {
            self.check(check);
        }
    }

    fn check(&mut self, check: &Check) {
        let tone = match check.holds {
            Some(true) => Tone::Good,
            Some(false) => Tone::Bad,
            None => Tone::Care,
        };
        let verdict = format!("{:<13}", check.verdict());
        let start = INDENT + verdict.len() + GAP;
        let told = check.told();
        let condition = wrapped(&visible(&check.placed()), self.width.saturating_sub(start));
        for (index, line) in condition.iter().enumerate() {
            let opening = if index == 0 {
                self.style.paint(tone, &verdict)
            } else {
                " ".repeat(verdict.len())
            };
            let (indent, gap) = (" ".repeat(INDENT), " ".repeat(GAP));
            self.text.push_str(&format!("{indent}{opening}{gap}{line}\n"));
        }
        for text in told {
            self.line(start, Some(Tone::Faint), &sentence(&visible(text)));
        }
    }

    /// Which cautions stand in full at the end.
    fn caution_codes(&mut self, report: &Report) {
        let mut codes: Vec<&str> = Vec::new();
        for caution in &report.cautions {
            if !codes.contains(&caution.code.as_str()) {
                codes.push(&caution.code);
            }
        }
        if !codes.is_empty() {
            self.rest();
            self.line(
                0,
                Some(Tone::Care),
                &visible(&format!("Cautions, in full at the end: {}", codes.join(", "))),
            );
        }
    }

    fn cautions(&mut self, report: &Report) {
        if report.cautions.is_empty() {
            return;
        }
        self.heading("Cautions");
        for same in report
            .cautions
            .chunk_by(|one, other| one.code == other.code && one.source == other.source)
        {
            self.caution(same);
        }
        for closing in report.closing() {
            self.line(INDENT, Some(Tone::Strong), closing);
        }
    }

    /// What is cautioned, once, with what it says of each that it is about.
    fn caution(&mut self, same: &[Caution]) {
        let Some(first) = same.first() else { return };
        let named = |caution: &Caution| match caution.names.join(", ") {
            names if names.is_empty() => String::new(),
            names => format!(" ({names})"),
        };
        if let [caution] = same {
            let heading = format!("{}{}", caution.code, named(caution));
            self.line(INDENT, Some(Tone::Care), &visible(&heading));
            self.line(INDENT + 2, None, &sentence(&visible(&caution.text)));
        } else {
            self.line(INDENT, Some(Tone::Care), &visible(&first.code));
            for caution in same {
                let text = format!("{}: {}", caution.names.join(", "), caution.text);
                self.line(INDENT + 2, None, &visible(&text));
            }
        }
        self.line(INDENT + 2, Some(Tone::Faint), &visible(&first.source));
    }

    fn section(&mut self, report: &Report, section: &Section, answers: Answers) {
        let (before, headed_before) = (self.text.len(), self.headed);
        if !report.is_title(section) && !section.title.is_empty() {
            self.heading(&section.title);
        } else {
            self.rest();
        }
        let headed = self.text.len();
        self.parts(report, report.body(section), answers);
        if self.text.len() == headed {
            self.text.truncate(before);
            self.headed = headed_before;
        }
    }

    fn parts(&mut self, report: &Report, parts: &[Part], answers: Answers) {
        let mut run: Vec<&Entry> = Vec::new();
        let mut after_prose = false;
        for part in parts {
            let prose = matches!(part, Part::Prose(_));
            match part {
                Part::Entry(index) => {
                    run.extend(report.entries.get(*index));
                }
                // With the whole report, checks stand together near the top.
                Part::Check(_) if answers == Answers::Formula => {}
                _ => {
                    let told = std::mem::take(&mut run);
                    self.entries(&told, answers);
                    if prose && (after_prose || !told.is_empty()) {
                        self.rest();
                    }
                    self.part(report, part);
                }
            }
            after_prose = prose;
        }
        self.entries(&run, answers);
    }

    fn part(&mut self, report: &Report, part: &Part) {
        match part {
            Part::Prose(text) => self.line(INDENT, Some(Tone::Faint), &visible(text)),
            Part::Table(index) => {
                if let Some(table) = report.tables.get(*index) {
                    self.table(table);
                }
            }
            Part::Check(index) => {
                if let Some(check) = report.checks.get(*index) {
                    self.check(check);
                }
            }
            Part::Chart(index) => {
                if let Some(chart) = report.charts.get(*index) {
                    self.chart(chart);
                }
            }
            Part::Rule(rule) => self.line(INDENT, None, &visible(rule)),
            Part::RestsOn(told) => self.line(INDENT, None, &visible(&format!("Rests on {told}."))),
            Part::Entry(_) => {}
        }
    }

    fn entries(&mut self, entries: &[&Entry], answers: Answers) {
        let rows = entries.iter().map(|entry| {
            let is_answer = entry.kind == EntryKind::Answer;
            let (value, detail) = match (answers, is_answer) {
                (Answers::Formula, true) => (
                    visible(&entry.shown.value).into_owned(),
                    entry.formula.clone().unwrap_or_default(),
                ),
                (Answers::Whole, true) | (Answers::Alone, _) => (value_lines(entry), detail(entry)),
                (_, false) => (in_passing(entry), detail(entry)),
            };
            vec![
                visible(&entry.name).into_owned(),
                value,
                kind(entry),
                visible(&detail).into_owned(),
            ]
        });
        self.laid_out(rows.collect(), None);
    }

    fn table(&mut self, table: &Table) {
        self.rest();
        let label = table.label.as_ref().map_or(String::new(), |label| format!(": {label}"));
        let source = table.source.as_ref().map_or(String::new(), |from| format!(" · {from}"));
        let heading = format!("{}{label}{source}", table.name);
        self.line(INDENT, None, &visible(&heading));
        for told in table.about() {
            self.line(INDENT + 2, Some(Tone::Faint), &visible(told));
        }
        if let Some(standing) = &table.standing {
            self.line(INDENT + 1, Some(Tone::Faint), &visible(standing));
        } else {
            self.rows(table);
        }
        self.rest();
    }

    fn chart(&mut self, chart: &Chart) {
        self.rest();
        self.text.push_str(&chart::terminal::write(chart, self.style));
        self.rest();
    }

    fn rows(&mut self, table: &Table) {
        let shown = table.rows_shown(most_rows(table));
        for (place, columns) in side_by_side_columns(table, &shown, self.width - INDENT)
            .iter()
            .enumerate()
        {
            if place > 0 {
                self.text.push('\n');
            }
            self.text.push_str(&grid(columns, &shown, self.width - INDENT));
        }
        let rows = table.rows();
        if shown.len() < rows {
            let told = if table.made {
                format!("… {} of {rows} rows; `--format json` has all", shown.len())
            } else {
                format!("… the first {} of {rows} rows", shown.len())
            };
            self.line(INDENT + 1, Some(Tone::Faint), &told);
        }
    }

    /// Rows in columns; the last column takes what is left of the width, or
    /// moves to lines of its own.
    fn laid_out(&mut self, rows: Vec<Vec<String>>, strong: Option<usize>) {
        let widths = widths(&rows);
        let Some((last, fixed)) = widths.split_last() else {
            return;
        };
        let taken = INDENT + fixed.iter().map(|width| width + GAP).sum::<usize>();
        let left = self.width.saturating_sub(taken);
        let fits = taken <= self.width + GAP;
        let unbroken = rows
            .iter()
            .filter_map(|row| row.last())
            .all(|cell| longest_word(cell) <= left);
        if (fits && *last <= left) || (left >= LEAST_FLEXIBLE && unbroken) {
            let text = side_by_side(rows, left, strong, self.style);
            self.text.push_str(&text);
        } else {
            self.beneath(rows, strong);
        }
    }

    /// The last cell of each row on lines of its own, and with it what else does
    /// not fit beside name and value.
    fn beneath(&mut self, mut rows: Vec<Vec<String>>, strong: Option<usize>) {
        let mut details: Vec<String> = rows.iter_mut().map(|row| row.pop().unwrap_or_default()).collect();
        let mut widths = widths(&rows);
        while widths.len() > 2 && INDENT + taken_by(&widths) > self.width + GAP {
            widths.pop();
            for (row, detail) in rows.iter_mut().zip(&mut details) {
                let moved = row.pop().filter(|moved| !moved.is_empty());
                let pieces = moved
                    .into_iter()
                    .chain(Some(std::mem::take(detail)).filter(|told| !told.is_empty()));
                *detail = pieces.collect::<Vec<_>>().join(" · ");
            }
        }
        let taken = taken_by(&widths);
        for (row, detail) in rows.iter().zip(&details) {
            if INDENT + taken <= self.width + GAP {
                self.aligned(row, &widths, strong);
            } else {
                let pieces = row.iter().flat_map(|cell| cell.lines());
                let (first, more) = (
                    row.first().map_or("", String::as_str),
                    pieces.skip(1).collect::<Vec<_>>(),
                );
                match row.iter().any(|cell| cell.contains('\n')) {
                    true => {
                        self.line(INDENT, None, first);
                        more.iter().for_each(|line| self.row_line(line));
                    }
                    false => self.line(INDENT, None, &row.join("   ")),
                }
            }
            if !detail.is_empty() {
                self.line(INDENT + 2, Some(Tone::Faint), detail);
            }
        }
    }

    /// Cells beside each other; one of several lines goes on below itself.
    fn aligned(&mut self, row: &[String], widths: &[usize], strong: Option<usize>) {
        let height = row.iter().map(|cell| cell.lines().count()).max().unwrap_or(0).max(1);
        for number in 0..height {
            let mut line = " ".repeat(INDENT);
            for (index, (cell, width)) in row.iter().zip(widths).enumerate() {
                let cell = cell.lines().nth(number).unwrap_or("");
                let padding = " ".repeat(width.saturating_sub(columns(cell)) + GAP);
                let tone = (strong == Some(index)).then_some(Tone::Strong);
                let cell = tone.map_or(cell.to_owned(), |tone| self.style.paint(tone, cell));
                line.push_str(&cell);
                line.push_str(&padding);
            }
            self.text.push_str(line.trim_end());
            self.text.push('\n');
        }
    }
}

/// A value as it stands in a layout: a column that is listed has a line for each row.
fn value_lines(entry: &Entry) -> String {
    match entry.shown.listed() {
        Some(rows) => row_lines(rows).join("\n"),
        None => visible(&entry.shown.display()).into_owned(),
    }
}

/// A column in one line takes so many columns at most, where it has few rows.
const WIDEST_COLUMN: usize = 40;

/// A value that nobody asked for: of a column its rows, where they are few, but in one line
/// where that is short.
fn in_passing(entry: &Entry) -> String {
    let told = visible(&entry.in_one_line()).into_owned();
    match &entry.shown.rows {
        _ if entry.in_table.is_some() => told,
        Some(rows) if rows.cells.len() > MADE_ROWS || columns(&told) <= WIDEST_COLUMN => told,
        Some(rows) => row_lines(rows).join("\n"),
        None => told,
    }
}

/// The columns that the widest line of a cell takes.
fn block_columns(cell: &str) -> usize {
    cell.lines().map(columns).max().unwrap_or(0)
}

fn how_known(answer: &Entry) -> String {
    let told = answer.how_known();
    let told = match answer.held_by {
        Some(Holder::Trial) => "on trial".to_owned(),
        _ if told.is_empty() => String::new(),
        _ => format!("from {told}"),
    };
    let told: Vec<String> = answer.shown.mark.iter().cloned().chain(Some(told)).collect();
    visible(&told.join("; ")).into_owned()
}

fn kind(entry: &Entry) -> String {
    match entry.held_by {
        Some(holder) => format!("{}, {}", entry.kind.word(), holder.word()),
        None => entry.kind.word().to_owned(),
    }
}

/// What draws say, label, source or formula, and note.
fn detail(entry: &Entry) -> String {
    let pieces = [
        &entry.shown.mark,
        &entry.label,
        &entry.source,
        &entry.formula,
        &entry.note,
    ];
    let some: Vec<&str> = pieces.iter().filter_map(|piece| piece.as_deref()).collect();
    some.join(" · ")
}

/// The columns that cells of these widths take, each with its gap.
fn taken_by(widths: &[usize]) -> usize {
    widths.iter().map(|width| width + GAP).sum()
}

/// The columns of the longest word.
fn longest_word(text: &str) -> usize {
    text.split_whitespace().map(columns).max().unwrap_or(0)
}

/// The widest cell of each column.
fn widths(rows: &[Vec<String>]) -> Vec<usize> {
    let mut widths: Vec<usize> = Vec::new();
    for row in rows {
        for (index, cell) in row.iter().enumerate() {
            let taken = block_columns(cell);
            match widths.get_mut(index) {
                Some(width) => *width = taken.max(*width),
                None => widths.push(taken),
            }
        }
    }
    widths
}

fn side_by_side(mut rows: Vec<Vec<String>>, left: usize, strong: Option<usize>, style: Style) -> String {
    for cell in rows.iter_mut().filter_map(|row| row.last_mut()) {
        if columns(cell) > left {
            *cell = wrapped(cell, left).join("\n");
        }
    }
    let mut table = Builder::from(rows).build();
    table.with(Ruling::empty()).with(Padding::new(0, GAP, 0, 0));
    table.with(Modify::new(Columns::first()).with(Padding::new(INDENT, GAP, 0, 0)));
    if let Some(index) = strong.filter(|_| style.colour) {
        table.with(Modify::new(Columns::one(index)).with(Color::BOLD));
    }
    without_trailing_spaces(&table.to_string())
}

/// How many rows of a table are shown.
fn most_rows(table: &Table) -> usize {
    if table.made { MADE_ROWS } else { TABLE_ROWS }
}

/// The columns of a table that stand side by side: where not all of them fit, those behind go
/// on below, each time behind the first.
fn side_by_side_columns<'t>(table: &'t Table, rows: &[usize], width: usize) -> Vec<Vec<&'t Column>> {
    let least = |column: &&Column| {
        let cells = rows.iter().map(|row| {
            let (value, tail) = column.cell(*row);
            longest_word(value) + columns(tail)
        });
        cells.chain([longest_word(&heading_of(column))]).max().unwrap_or(0) + 2
    };
    let Some((first, rest)) = table.columns_shown().split_first() else {
        return Vec::new();
    };
    let mut groups = vec![vec![first]];
    let mut taken = least(&first);
    for column in rest {
        let wide = least(&column);
        let alone = groups.last().is_none_or(|group| group.len() < 2);
        if taken + wide > width && !alone {
            groups.push(vec![first]);
            taken = least(&first);
        }
        taken += wide;
        groups.last_mut().into_iter().for_each(|group| group.push(column));
    }
    groups
}

/// These rows of columns, ruled under the headings; numbers stand to the right.
fn grid(shown: &[&Column], rows: &[usize], width: usize) -> String {
    let mut cells = vec![shown.iter().map(|column| heading_of(column)).collect::<Vec<String>>()];
    let tail = |column: &&Column| rows.iter().map(|row| columns(column.cell(*row).1)).max().unwrap_or(0);
    let tails: Vec<usize> = shown.iter().map(tail).collect();
    for row in rows {
        let shown = shown.iter().zip(&tails);
        cells.push(
            shown
                .map(|(column, tail)| aligned_cell(column.cell(*row), *tail))
                .collect(),
        );
    }
    narrowed(&mut cells, width);
    let mut grid = Builder::from(cells).build();
    let rule = HorizontalLine::new('─');
    grid.with(Ruling::empty().horizontals([(1, rule)]));
    for (index, column) in shown.iter().enumerate() {
        if column.value_type == ValueType::Number {
            grid.with(Modify::new(Columns::one(index)).with(Alignment::right()));
            grid.with(Modify::new(Cell::new(0, index)).with(Alignment::right()));
        }
    }
    grid.with(Width::wrap(width).keep_words(true));
    indented(&grid.to_string().replace(NO_BREAK, " "))
}

/// A cell whose value ends where the others' do: behind it so many columns for a ±. The
/// padding holds where it stands, since cells are broken at plain spaces alone.
fn aligned_cell((value, tail): (&str, &str), width: usize) -> String {
    let padding = NO_BREAK.repeat(width.saturating_sub(columns(tail)));
    format!("{}{}{padding}", visible(value), tail.replace(' ', NO_BREAK))
}

/// A space at which no line is broken: a sign that has no meaning of its own.
const NO_BREAK: &str = "\u{f8f0}";

/// Cells broken between words until the table fits: headings first, where they
/// are wider than what stands under them, then the widest columns. No column
/// gets narrower than its longest word.
fn narrowed(cells: &mut [Vec<String>], width: usize) {
    let mut widths = widths(cells);
    let words: Vec<Vec<String>> = cells
        .iter()
        .map(|row| row.iter().map(|cell| " ".repeat(longest_word(cell))).collect())
        .collect();
    let least = self::widths(&words);
    let under = self::widths(cells.get(1..).unwrap_or_default());
    let room = width.saturating_sub(2 * widths.len());
    for floors in [under, vec![0; widths.len()]] {
        while widths.iter().sum::<usize>() > room {
            let open = widths.iter_mut().zip(&least).zip(&floors);
            let wide = open.filter(|((width, least), floor)| **width > **(least.max(floor)));
            let Some(((widest, _), _)) = wide.max_by_key(|((width, _), _)| **width) else {
                break;
            };
            *widest -= 1;
        }
    }
    for row in cells {
        for (cell, width) in row.iter_mut().zip(&widths) {
            if columns(cell) > *width {
                *cell = wrapped(cell, *width).join("\n");
            }
        }
    }
}

fn indented(text: &str) -> String {
    let lines = text.lines().map(|line| format!("  {}\n", line.trim_end()));
    lines.collect()
}

fn heading_of(column: &Column) -> String {
    let name = visible(&column.name);
    match column.beside_name() {
        Some(unit) => format!("{name} {}", unit.replace(' ', NO_BREAK)),
        None => name.into_owned(),
    }
}

fn without_trailing_spaces(text: &str) -> String {
    let mut trimmed = String::with_capacity(text.len());
    for line in text.lines() {
        trimmed.push_str(line.trim_end());
        trimmed.push('\n');
    }
    trimmed
}
