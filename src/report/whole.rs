//! The whole report as a document: answers first, then what they rest on.
//!
//! Answers and checks come first, then the worksheet's sections with their
//! prose, inputs, worked values and tables, and the cautions in full. A code host gets the
//! cautions before the sections, the rows of a column in a table of their own, and the problems. Start
//! reading at [`text`] and [`markdown`].

use super::document::{self, Block, Column, Document, Narrow, Sentence, Term, terminal};
use super::in_hand::USUAL;
use super::model::{Caution, Check, Entry, EntryKind, Holder, Part, Report, Section};
use super::model::{MADE_ROWS, Table, ValueType};
use super::rows::{row_lines, rows_table};
use super::shown::Shown;
use super::style::{Style, Tone};
use super::visible::{closed, columns, sentence, visible};

/// The rows shown of a table on a terminal.
const TABLE_ROWS: usize = 24;

/// The whole report on a terminal.
pub fn text(report: &Report, style: Style) -> String {
    let mut page = Page::new(report, Medium::Terminal);
    page.head();
    page.sections();
    page.cautions();
    terminal::write(&page.document, style)
}

/// The whole report for a code host or a notebook.
pub fn markdown(report: &Report) -> String {
    let mut page = Page::new(report, Medium::Host);
    page.title();
    page.answers();
    page.checks();
    page.cautions_listed();
    page.sections();
    page.problems();
    document::markdown::write(&page.document, "Worksheet")
}

/// The head of the report alone: title, answers, checks, and which cautions there are.
pub fn head(report: &Report, style: Style) -> String {
    let mut page = Page::new(report, Medium::Terminal);
    page.head();
    terminal::write(&page.document, style)
}

/// One section alone, with its answers.
pub fn section(report: &Report, section: &Section, style: Style) -> String {
    let mut page = Page::new(report, Medium::Terminal);
    page.section(section, Answers::Whole);
    terminal::write(&page.document, style)
}

/// The checks alone, without their heading.
pub(crate) fn checks(checks: &[Check], style: Style) -> String {
    terminal::write(&Document(checks.iter().map(check).collect()), style)
}

/// The cautions alone.
pub(crate) fn cautions(report: &Report, style: Style) -> String {
    let mut page = Page::new(report, Medium::Terminal);
    page.cautions();
    terminal::write(&page.document, style)
}

/// Entries one under another: name, value, how known, source or formula.
pub(crate) fn entries(entries: &[&Entry], style: Style) -> String {
    terminal::write(&Document(vec![entries_table(entries, Answers::Whole)]), style)
}

/// One entry that was asked for by its name: a column has its rows.
pub(crate) fn entry(entry: &Entry, style: Style) -> String {
    terminal::write(&Document(vec![entries_table(&[entry], Answers::Alone)]), style)
}

/// A value by itself: of a column that is listed a line a row.
pub(crate) fn value(shown: &Shown, style: Style) -> String {
    let told = Block::Said(1, Some(Tone::Strong), value_lines(shown));
    terminal::write(&Document(vec![told]), style)
}

/// Words below what they are about.
pub(crate) fn said(words: &str, style: Style) -> String {
    terminal::write(&Document(vec![Block::Said(1, None, words.into())]), style)
}

/// Where a report is read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Medium {
    Terminal,
    Host,
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

/// What has been composed so far.
struct Page<'r> {
    report: &'r Report,
    medium: Medium,
    document: Document,
}

impl<'r> Page<'r> {
    fn new(report: &'r Report, medium: Medium) -> Page<'r> {
        Page {
            report,
            medium,
            document: Document::default(),
        }
    }

    fn push(&mut self, block: Block) {
        self.document.0.push(block);
    }

    /// Something said under a heading, unless there is nothing.
    fn say(&mut self, level: usize, tone: Option<Tone>, said: Sentence) {
        if !said.is_empty() {
            self.push(Block::Said(level, tone, said));
        }
    }

    /// An empty line, unless a heading stands above it.
    fn rest(&mut self) {
        if !matches!(self.document.0.last(), Some(Block::Heading(..))) {
            self.document.gap();
        }
    }

    /// Title, answers, checks, and which cautions there are.
    fn head(&mut self) {
        self.title();
        self.answers();
        self.checks();
        let mut codes: Vec<&str> = Vec::new();
        for caution in &self.report.cautions {
            if !codes.contains(&caution.code.as_str()) {
                codes.push(&caution.code);
            }
        }
        if !codes.is_empty() {
            self.rest();
            let told = format!("Cautions, in full at the end: {}", codes.join(", "));
            self.say(0, Some(Tone::Care), told.into());
        }
    }

    fn title(&mut self) {
        let title = self.report.title.iter().map(|title| Block::Title(title.into()));
        self.document.0.extend(title);
        let told = self.report.in_hand().sentences(USUAL, None);
        self.document.0.extend(told.into_iter().map(Block::Hand));
        if let Some(line) = self.report.problem_line() {
            self.say(0, Some(Tone::Bad), Sentence::default().strong(line));
        }
        self.rest();
        for prose in self.report.introduction() {
            self.rest();
            self.say(1, Some(Tone::Faint), Sentence::marked(prose));
        }
    }

    fn answers(&mut self) {
        let answers: Vec<&Entry> = self.report.answers().collect();
        if answers.is_empty() {
            return;
        }
        self.document.heading("Answers");
        let labelled = answers.iter().any(|answer| answer.label.is_some());
        let ways = [true, false].into_iter().filter(|apart| labelled || !apart);
        let ways = ways.map(|apart| answers_table(&answers, apart, self.medium));
        self.push(Block::Ways(ways.collect()));
        for answer in answers.iter().filter(|_| self.medium == Medium::Host) {
            let rows = answer.shown.listed();
            let rows = rows.map(|rows| rows_table(&answer.name, rows));
            self.document.0.extend(rows.map(Block::Table));
        }
    }

    fn checks(&mut self) {
        if !self.report.checks.is_empty() {
            self.document.heading("Checks");
            self.document.0.extend(self.report.checks.iter().map(check));
        }
    }

    fn cautions(&mut self) {
        if self.report.cautions.is_empty() {
            return;
        }
        self.document.heading("Cautions");
        let alike = |one: &Caution, other: &Caution| one.code == other.code && one.source == other.source;
        for same in self.report.cautions.chunk_by(alike) {
            self.caution(same);
        }
        for closing in self.report.closing() {
            self.say(1, Some(Tone::Strong), closing.into());
        }
    }

    /// What is cautioned, once, with what it says of each that it is about.
    fn caution(&mut self, same: &[Caution]) {
        let Some(first) = same.first() else { return };
        if let [caution] = same {
            let named = match caution.names.join(", ") {
                names if names.is_empty() => String::new(),
                names => format!(" ({names})"),
            };
            self.say(1, Some(Tone::Care), format!("{}{named}", caution.code).into());
            self.say(2, None, Sentence::marked(&sentence(&caution.text)));
        } else {
            self.say(1, Some(Tone::Care), (&first.code).into());
            for caution in same {
                let text = format!("{}: {}", caution.names.join(", "), caution.text);
                self.say(2, None, Sentence::marked(&text));
            }
        }
        self.say(2, Some(Tone::Faint), (&first.source).into());
    }

    /// The cautions as a list, before what they are about.
    fn cautions_listed(&mut self) {
        if self.report.cautions.is_empty() {
            return;
        }
        self.document.heading("Cautions");
        for caution in &self.report.cautions {
            let code = Sentence::default().strong(&caution.code).plain(": ");
            let told = code.then(Sentence::marked(&sentence(&caution.text)));
            let told = told.plain(format!(" Source: {}", caution.source));
            self.document.item(1, None, told);
        }
        for closing in self.report.closing() {
            self.say(1, Some(Tone::Strong), closing.into());
        }
    }

    fn sections(&mut self) {
        for section in &self.report.sections {
            self.section(section, Answers::Formula);
        }
    }

    fn section(&mut self, section: &Section, answers: Answers) {
        let before = self.document.0.len();
        if !self.report.is_title(section) && !section.title.is_empty() {
            self.document.gap();
            let level = usize::from(section.level).clamp(2, 6);
            self.push(Block::Heading(level, (&section.title).into()));
        } else {
            self.rest();
        }
        let headed = self.document.0.len();
        self.parts(self.report.body(section), answers);
        if self.document.0.len() == headed {
            self.document.0.truncate(before);
        }
    }

    fn parts(&mut self, parts: &[Part], answers: Answers) {
        let mut run: Vec<&Entry> = Vec::new();
        let mut after_prose = false;
        for part in parts {
            let prose = matches!(part, Part::Prose(_));
            match part {
                Part::Entry(index) => {
                    run.extend(self.report.entries.get(*index));
                }
                // With the whole report, checks stand together near the top.
                Part::Check(_) if answers == Answers::Formula => {}
                _ => {
                    let told = std::mem::take(&mut run);
                    self.entries(&told, answers);
                    if prose && (after_prose || !told.is_empty()) {
                        self.rest();
                    }
                    self.part(part);
                }
            }
            after_prose = prose;
        }
        self.entries(&run, answers);
    }

    fn entries(&mut self, entries: &[&Entry], answers: Answers) {
        if !entries.is_empty() {
            self.push(entries_table(entries, answers));
        }
    }

    fn part(&mut self, part: &Part) {
        let report = self.report;
        match part {
            Part::Prose(text) => self.say(1, Some(Tone::Faint), Sentence::marked(text)),
            Part::Table(index) => report
                .tables
                .get(*index)
                .into_iter()
                .for_each(|table| self.table(table)),
            Part::Check(index) => self.document.0.extend(report.checks.get(*index).map(check)),
            Part::Chart(index) => {
                self.rest();
                self.document
                    .0
                    .extend(report.charts.get(*index).cloned().map(Block::Chart));
                self.rest();
            }
            Part::Rule(rule) => self.say(1, None, Sentence::of_code(rule)),
            Part::RestsOn(told) => self.say(1, None, format!("Rests on {told}.").into()),
            Part::Entry(_) => {}
        }
    }

    fn table(&mut self, table: &Table) {
        self.rest();
        let label = table.label.iter().map(|label| format!(": {label}"));
        let source = table.source.iter().map(|from| format!(" · {from}"));
        let about: String = label.chain(source).collect();
        self.say(1, None, Sentence::of_code(&table.name).plain(about));
        let formula = table.formula.iter().map(Sentence::of_code);
        let two_ways = table.two_ways.iter().map(|two_ways| (&two_ways.told).into());
        for told in formula.chain(two_ways) {
            self.say(2, Some(Tone::Faint), told);
        }
        self.push(Block::Table(grid(table, self.medium)));
        self.rest();
    }

    fn problems(&mut self) {
        if self.report.problems.is_empty() {
            return;
        }
        self.document.heading("Problems");
        for problem in &self.report.problems {
            let file = problem.file.iter().map(|file| format!("{file}, "));
            let help = problem.help.iter().map(|help| format!(" Try: {}", closed(help)));
            let help: String = help.collect();
            let place = format!("{}line {} · {}: ", file.collect::<String>(), problem.line, problem.code);
            let said = Sentence::marked(&format!("{}{help}", sentence(&problem.message)));
            self.document.item(1, None, Sentence::from(place).then(said));
        }
    }
}

/// Answers with how they are known: labels in a column of their own, or before that.
fn answers_table(answers: &[&Entry], labelled: bool, medium: Medium) -> Document {
    let names = answers.iter().map(|answer| Sentence::of_code(&answer.name));
    let label = |answer: &&Entry| answer.label.clone().unwrap_or_default();
    let values = answers.iter().map(|answer| match (medium, answer.shown.listed()) {
        (Medium::Host, Some(_)) => "below".into(),
        (Medium::Host, None) => Sentence::default().strong(answer.shown.display()),
        (Medium::Terminal, _) => value_lines(&answer.shown),
    });
    let known = answers.iter().map(|answer| match (how_known(answer), label(answer)) {
        (known, label) if labelled || label.is_empty() => known,
        (known, label) if known.is_empty() => label,
        (known, label) => format!("{label}; {known}"),
    });
    let mut columns = vec![Column::words("answer", names)];
    if labelled {
        columns.push(Column::words("", answers.iter().map(label)));
    }
    columns.push(Column::numbers("value", values).in_tone(Tone::Strong));
    columns.push(Column::words("how it is known", known));
    Document(vec![Block::Table(detailed("The answers", columns))])
}

/// Entries with how they are known, and how or from what.
fn entries_table(entries: &[&Entry], answers: Answers) -> Block {
    let told = entries.iter().map(|entry| match (answers, entry.kind) {
        (Answers::Formula, EntryKind::Answer) => {
            let formula = Sentence::of_code(entry.formula.as_deref().unwrap_or(""));
            (Sentence::from(&entry.shown.value), formula)
        }
        (Answers::Alone, _) | (_, EntryKind::Answer) => (value_lines(&entry.shown), detail(entry)),
        _ => (in_passing(entry), detail(entry)),
    });
    let (values, details): (Vec<Sentence>, Vec<Sentence>) = told.unzip();
    let columns = vec![
        Column::words("name", entries.iter().map(|entry| Sentence::of_code(&entry.name))),
        Column::numbers("value", values),
        Column::words("known as", entries.iter().map(|entry| kind(entry))),
        Column::words("how, and from what", details),
    ];
    Block::Table(detailed("Entries", columns))
}

/// Columns of which the last goes into detail; none is left out.
fn detailed(caption: &str, columns: Vec<Column>) -> document::Table {
    document::Table {
        caption: caption.to_owned(),
        columns,
        narrow: Narrow::Detail,
        level: 1,
        ..document::Table::default()
    }
}

/// The rows of a table that a reader gets, and which those are.
fn grid(table: &Table, medium: Medium) -> document::Table {
    let most = match medium {
        _ if table.made => MADE_ROWS,
        Medium::Terminal => TABLE_ROWS,
        Medium::Host => usize::MAX,
    };
    let rows = table.rows_shown(most);
    let columns = table.columns_shown().iter().map(|column| {
        let name = Sentence::from(&column.name);
        let heading = match column.beside_name() {
            Some(unit) => name.plain(" ").code(unit),
            None => name,
        };
        let cells = rows.iter().map(|row| column.shown.get(*row).map_or("", String::as_str));
        match column.value_type {
            ValueType::Number => Column::numbers(heading, cells),
            _ => Column::words(heading, cells),
        }
    });
    let (count, all) = (rows.len(), table.rows());
    let some = match table.made {
        _ if count == all => String::new(),
        true => format!("… {count} of {all} rows; `--format json` has all"),
        false => format!("… the first {count} of {all} rows"),
    };
    document::Table {
        caption: table.name.clone(),
        columns: columns.filter(|_| table.standing.is_none()).collect(),
        narrow: Narrow::Grid,
        level: 1,
        note: table
            .standing
            .as_ref()
            .map_or_else(|| Sentence::marked(&some), Sentence::from),
        ..document::Table::default()
    }
}

fn check(check: &Check) -> Block {
    let tone = match check.holds {
        Some(true) => Tone::Good,
        Some(false) => Tone::Bad,
        None => Tone::Care,
    };
    let place = match check.holds {
        Some(true) => String::new(),
        _ => format!(" ({})", check.place()),
    };
    let told = check
        .told()
        .map(|told| (Some(Tone::Faint), Sentence::marked(&sentence(told))));
    let judged = (None, Sentence::of_code(&check.text).plain(place));
    let term = Term::new(check.verdict(), std::iter::once(judged).chain(told).collect());
    Block::Check(tone, term)
}

/// A value as it stands in a layout: a column that is listed has a line for each row.
fn value_lines(shown: &Shown) -> Sentence {
    match shown.listed() {
        Some(rows) => Sentence::of_lines(row_lines(rows)),
        None => shown.display().into(),
    }
}

/// A column in one line takes so many columns at most, where it has few rows.
const WIDEST_COLUMN: usize = 40;

/// A value that nobody asked for: of a column its rows, where they are few, but in one line
/// where that is short.
fn in_passing(entry: &Entry) -> Sentence {
    let told = entry.in_one_line();
    match &entry.shown.rows {
        Some(rows)
            if entry.in_table.is_none()
                && rows.cells.len() <= MADE_ROWS
                && columns(&visible(&told)) > WIDEST_COLUMN =>
        {
            Sentence::of_lines(row_lines(rows))
        }
        _ => told.into(),
    }
}

fn how_known(answer: &Entry) -> String {
    let told = answer.how_known();
    let told = match answer.held_by {
        Some(Holder::Trial) => "on trial".to_owned(),
        _ if told.is_empty() => String::new(),
        _ => format!("from {told}"),
    };
    let told: Vec<String> = answer.shown.mark.iter().cloned().chain(Some(told)).collect();
    told.join("; ")
}

fn kind(entry: &Entry) -> String {
    match entry.held_by {
        Some(holder) => format!("{}, {}", entry.kind.word(), holder.word()),
        None => entry.kind.word().to_owned(),
    }
}

/// What draws say, label, source or formula, and note.
fn detail(entry: &Entry) -> Sentence {
    let before = [&entry.shown.mark, &entry.label, &entry.source].map(|told| told.as_ref().map(Sentence::from));
    let formula = entry.formula.as_ref().map(Sentence::of_code);
    let pieces = before
        .into_iter()
        .chain([formula, entry.note.as_ref().map(Sentence::from)]);
    let joined = |told: Sentence, more| {
        if told.is_empty() {
            more
        } else {
            told.plain(" · ").then(more)
        }
    };
    pieces.flatten().fold(Sentence::default(), joined)
}
