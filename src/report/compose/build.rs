//! The parts of a report in the order of the worksheet, as far as they are printed.
//!
//! Start reading at [`parts`].

use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::CellId;
use crate::sheet::{Sheet, Status};
use crate::syntax::tree::{EntryKind as TreeKind, Node, Plot, TableContent};
use crate::text::in_one_line;

use super::super::model::{Open, Part, Report, Section};
use super::{Options, chart, check_with_values, one_entry, rests_on, table, table_name};

/// How much of a worksheet a report is built of; what it says beside that is always there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Extent {
    /// All of it.
    Whole,
    /// What the first screen prints: answers and checks, or, where there are none, the first lines.
    Screen,
}

impl Extent {
    /// Of the part of a worksheet that somebody wants to see, as it is typed.
    pub(crate) fn of(part: &str) -> Extent {
        match part.to_lowercase().as_str() {
            "" | "answers" | "checks" | "cautions" => Extent::Screen,
            _ => Extent::Whole,
        }
    }
}

/// So many entries, tables and charts of a worksheet without answers and checks stand on the first screen.
const FIRST_PARTS: usize = 1000;

/// What a report is built of, in sections.
pub(super) fn parts(sheet: &Sheet, extent: Extent, appraisal: &Appraisal, options: Options) -> Report {
    let with = |built: Built| {
        let builder = Builder {
            sheet,
            options,
            appraisal,
            built,
            report: Report::default(),
            sections: Sections::default(),
        };
        builder.whole()
    };
    let decided = match extent {
        Extent::Whole => return with(Built::All),
        Extent::Screen => with(Built::AnswersAndChecks),
    };
    match decided.entries.is_empty() && decided.checks.is_empty() {
        true => with(Built::First(FIRST_PARTS)),
        false => decided,
    }
}

/// Which parts are built.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Built {
    All,
    AnswersAndChecks,
    /// So many more.
    First(usize),
}

impl Built {
    /// Whether one more part that is neither answer nor check is built.
    fn takes_one(&mut self) -> bool {
        match self {
            Built::All => true,
            Built::AnswersAndChecks => false,
            Built::First(more) => {
                let takes = *more > 0;
                *more = more.saturating_sub(1);
                takes
            }
        }
    }
}

struct Builder<'a> {
    sheet: &'a Sheet,
    options: Options,
    appraisal: &'a Appraisal,
    built: Built,
    report: Report,
    sections: Sections,
}

impl Builder<'_> {
    fn whole(mut self) -> Report {
        self.items();
        let mut report = self.report;
        report.title = self.sections.title.clone();
        report.sections = self.sections.into_list();
        report
    }

    fn items(&mut self) {
        if self.built == Built::All {
            self.report.entries.reserve_exact(self.sheet.own_cells().count());
        }
        let mut cells = self.sheet.own_cells();
        let mut tables = 0usize;
        let mut in_prose = false;
        for (index, item) in self.sheet.tree().items.iter().enumerate() {
            let text = self.sheet.tree().text_of(index);
            match &item.node {
                Node::Heading(heading) => self.sections.heading(heading.level, heading.title.of(text).to_owned()),
                Node::Prose(span) => self.prose(span.of(text), in_prose),
                Node::Entry(_) => self.add_entry(cells.next()),
                Node::Expect(_) => self.add_check(cells.next()),
                Node::Table(table) => {
                    if matches!(table.content, Some(TableContent::Function(_))) {
                        cells.next();
                    }
                    self.add_table(tables);
                    tables += 1;
                }
                Node::Plot(plot) => self.add_chart(text, plot),
                Node::Rule(_) => self.sections.open.parts.push(Part::Rule(in_one_line(text))),
                Node::Use(line) => {
                    let told = rests_on::told(self.sheet, line, self.options);
                    self.sections.open.parts.push(Part::RestsOn(told));
                }
                _ => {}
            }
            in_prose = matches!(&item.node, Node::Prose(span) if !span.of(text).trim().is_empty());
        }
    }

    /// Lines of prose that follow each other are one paragraph.
    fn prose(&mut self, text: &str, goes_on: bool) {
        let text = text.trim();
        match self.sections.open.parts.last_mut() {
            Some(Part::Prose(paragraph)) if goes_on && !text.is_empty() && !paragraph.is_empty() => {
                paragraph.push(' ');
                paragraph.push_str(text);
            }
            _ if text.is_empty() => {}
            _ => self.sections.open.parts.push(Part::Prose(text.to_owned())),
        }
    }

    fn add_entry(&mut self, cell: Option<CellId>) {
        let Some(cell) = cell.filter(|cell| !self.sheet.is_kept_back(*cell)) else {
            return;
        };
        let Some(tree) = self.sheet.entry(cell) else { return };
        if self.sheet.status(cell) == Status::Blank {
            self.left_open(&tree.name.text, self.sheet.item_of(cell), false);
        }
        if tree.kind != TreeKind::Answer && !self.built.takes_one() {
            self.report.left_out += 1;
            return;
        }
        let open = &self.sections.open;
        let section = (open.level > 0).then(|| open.title.clone());
        let told = one_entry(self.sheet, cell, self.options, self.appraisal, section);
        if let Some(entry) = told {
            self.sections.open.parts.push(Part::Entry(self.report.entries.len()));
            self.report.entries.push(entry);
        }
    }

    fn add_check(&mut self, cell: Option<CellId>) {
        let found = cell.and_then(|cell| check_with_values(self.sheet, cell, self.appraisal, self.options));
        if let Some(check) = found {
            self.sections.open.parts.push(Part::Check(self.report.checks.len()));
            self.report.checks.push(check);
        }
    }

    fn add_table(&mut self, index: usize) {
        let place = u32::try_from(index).unwrap_or(u32::MAX);
        let (name, item) = (table_name(self.sheet, place), self.sheet.tables().get(index));
        if let Some(table) = item.filter(|_| self.sheet.awaits_rows(name)) {
            self.left_open(name, table.item, true);
        }
        if !self.built.takes_one() {
            self.report.left_out += 1;
            return;
        }
        if let Some(table) = table::table(self.sheet, index, self.appraisal, self.options) {
            self.sections.open.parts.push(Part::Table(self.report.tables.len()));
            self.report.tables.push(table);
        }
    }

    fn left_open(&mut self, name: &str, item: u32, table: bool) {
        let (name, line) = (name.to_owned(), self.sheet.line(item));
        self.report.open.push(Open { name, line, table });
    }

    fn add_chart(&mut self, text: &str, plot: &Plot) {
        if !self.built.takes_one() {
            self.report.left_out += 1;
            return;
        }
        let drawn = chart::plot(self.sheet, (text, plot), self.appraisal, self.options);
        self.sections.open.parts.push(Part::Chart(self.report.charts.len()));
        self.report.charts.push(drawn);
    }
}

/// Gathers headings and what stands under each.
#[derive(Default)]
struct Sections {
    title: Option<String>,
    done: Vec<Section>,
    open: Section,
}

impl Sections {
    fn heading(&mut self, level: u8, title: String) {
        if level == 1 && self.title.is_none() {
            self.title = Some(title);
            return;
        }
        let open = std::mem::replace(
            &mut self.open,
            Section {
                level,
                title,
                parts: Vec::new(),
            },
        );
        self.close(open);
    }

    fn close(&mut self, section: Section) {
        if section.level > 0 || !section.parts.is_empty() {
            self.done.push(section);
        }
    }

    fn into_list(mut self) -> Vec<Section> {
        let open = std::mem::take(&mut self.open);
        self.close(open);
        self.done
    }
}
