//! A study in all its written forms.
//!
//! A study says what it found as a document and as rows; what it was worked out for,
//! the worksheet with its case and its trials, goes with it into every form. Shells need to know no more than [`Written`]. Start
//! reading at [`Found`].

use std::io::{self, Write};
use std::ops::Deref;

use serde::Serialize;

use super::csv::cell_text;
use super::document::frame::harmless;
use super::document::page::Frame;
use super::document::{Block, Document, markdown, page, terminal};
use super::drawing::DrawnProblem;
use super::in_hand::{InHand, USUAL, Words};
use super::json;
use super::style::Style;

/// A form that a study is written in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    /// For a terminal, all of it.
    Text,
    /// For a terminal, what decides, on one screen.
    Screen,
    /// For a code host or a notebook.
    Markdown,
    /// A page.
    Html,
    /// For machines.
    Json,
    /// Comma-separated rows.
    Csv,
}

impl Format {
    /// The form of that name.
    pub fn of(word: &str) -> Option<Format> {
        let known = Format::WORDS.iter().find(|(name, _)| *name == word);
        known.map(|(_, format)| *format)
    }

    /// Every form with its name.
    pub const WORDS: [(&str, Format); 5] = [
        ("text", Format::Text),
        ("markdown", Format::Markdown),
        ("html", Format::Html),
        ("json", Format::Json),
        ("csv", Format::Csv),
    ];
}

/// What a study finds: serialized, it is the machine format, below what was in hand.
pub trait Study: Serialize {
    /// What it is called, as a heading.
    const NAME: &'static str;

    /// How case and trials are introduced.
    const IN_HAND: Words = USUAL;

    /// The same, as this one tells it.
    fn in_hand_words(&self) -> Words {
        Self::IN_HAND
    }

    /// What a reader is told.
    fn document(&self, in_hand: &InHand) -> Document;

    /// What decides alone, on one screen, and how to ask for the rest; all of it where that is short.
    fn screen(&self, in_hand: &InHand) -> Document {
        self.document(in_hand)
    }

    /// What else was in hand, where two worksheets are looked at.
    fn other(&self) -> Option<&InHand> {
        None
    }

    /// What a spreadsheet gets.
    fn rows(&self) -> Records;
}

/// Records under headings; texts are made harmless when they are written.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Records {
    /// What stands above the columns.
    pub headings: Vec<String>,
    /// The rows, each with as many cells.
    pub rows: Vec<Vec<String>>,
}

impl Records {
    /// A row a record, under the names of its fields; none where there is no record.
    pub(crate) fn from_each<T: Serialize>(records: &[T]) -> Records {
        let mut written = csv::Writer::from_writer(Vec::new());
        let all = records.iter().try_for_each(|record| written.serialize(record));
        let text = all.ok().and_then(|()| written.into_inner().ok()).unwrap_or_default();
        let mut rows = csv::Reader::from_reader(text.as_slice());
        let cells = |row: &csv::StringRecord| row.iter().map(str::to_owned).collect::<Vec<String>>();
        Records {
            headings: rows.headers().map(cells).unwrap_or_default(),
            rows: rows.records().flatten().map(|row| cells(&row)).collect(),
        }
    }

    /// Records under these headings.
    pub fn of<const N: usize>(headings: [&str; N], rows: impl IntoIterator<Item = Vec<String>>) -> Records {
        Records {
            headings: headings.map(str::to_owned).to_vec(),
            rows: rows.into_iter().collect(),
        }
    }
}

/// What was found, and what it was worked out for.
#[derive(Clone, PartialEq, Debug)]
pub struct Found<T> {
    /// The worksheet, its case and its trials.
    pub in_hand: InHand,
    /// What was found.
    pub study: T,
    /// Problems met beyond those of the worksheet as it stands: in another, in other cases.
    pub beyond: Vec<DrawnProblem>,
}

/// What a shell needs to know of a study that was done.
pub trait Written {
    /// Writes it in a form; the style is for a terminal.
    ///
    /// # Errors
    /// Those of the output.
    fn write(&self, format: Format, style: Style, output: &mut dyn Write) -> io::Result<()>;

    /// A piece of a page: what decides alone, or all of it.
    fn fragment(&self, all: bool) -> String;

    /// Problems met beyond those of the worksheet as it stands.
    fn beyond(&self) -> &[DrawnProblem];
}

impl<T: Study> Found<T> {
    /// What a reader is told, with what was in hand below its title.
    pub fn document(&self) -> Document {
        self.with_hand(self.study.document(&self.in_hand))
    }

    fn with_hand(&self, mut document: Document) -> Document {
        let titles = document.0.iter().take_while(|block| matches!(block, Block::Title(_)));
        let place = titles.count();
        let told = self.in_hand.sentences(self.study.in_hand_words(), self.study.other());
        let told = told.into_iter().map(Block::Hand);
        document.0.splice(place..place, told);
        document
    }

    /// For a terminal.
    pub fn text(&self, style: Style) -> String {
        terminal::write(&self.document(), style)
    }

    /// For a terminal, what decides alone.
    pub fn screen(&self, style: Style) -> String {
        terminal::write(&self.with_hand(self.study.screen(&self.in_hand)), style)
    }

    /// For a code host or a notebook.
    pub fn markdown(&self) -> String {
        markdown::write(&self.document(), self.title())
    }

    /// As a page.
    pub fn html(&self) -> String {
        let frame = Frame {
            study: T::NAME,
            title: self.title(),
            file: &self.in_hand.file,
        };
        page::write(&self.document(), &frame)
    }

    /// For machines.
    ///
    /// # Errors
    /// Those of the output.
    pub fn json(&self, output: &mut dyn Write) -> io::Result<()> {
        json::write_study(&self.in_hand, &self.study, output)
    }

    /// As comma-separated rows, behind each what was in hand.
    ///
    /// # Errors
    /// Those of the output.
    pub fn csv(&self, output: &mut dyn Write) -> io::Result<()> {
        let rows = self.study.rows();
        let behind = self.in_hand.cells();
        let mut written = csv::Writer::from_writer(output);
        let names = InHand::HEADINGS.map(str::to_owned);
        for (row, behind) in std::iter::once((&rows.headings, &names)).chain(rows.rows.iter().map(|row| (row, &behind)))
        {
            written.write_record(row.iter().chain(behind).map(|cell| cell_text(cell).into_owned()))?;
        }
        written.flush()
    }

    fn title(&self) -> &str {
        self.in_hand.title.as_deref().unwrap_or("Worksheet")
    }
}

impl<T: Study> Written for Found<T> {
    fn write(&self, format: Format, style: Style, output: &mut dyn Write) -> io::Result<()> {
        match format {
            Format::Text => output.write_all(self.text(style).as_bytes()),
            Format::Screen => output.write_all(self.screen(style).as_bytes()),
            Format::Markdown => output.write_all(self.markdown().as_bytes()),
            Format::Html => output.write_all(self.html().as_bytes()),
            Format::Json => self.json(output),
            Format::Csv => self.csv(output),
        }
    }

    fn fragment(&self, all: bool) -> String {
        let document = match all {
            true => self.document(),
            false => self.with_hand(self.study.screen(&self.in_hand)),
        };
        harmless(&page::fragment(&document).into_string())
    }

    fn beyond(&self) -> &[DrawnProblem] {
        &self.beyond
    }
}

impl<T> Deref for Found<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.study
    }
}
