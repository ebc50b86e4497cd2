//! What a study tells, as blocks: composed once, laid out for each medium.
//!
//! A block says what a piece is, never how wide or with which marks; sentences are
//! finished before a writer sees them. There is one writer a medium: `terminal`,
//! `markdown` and `page`. Start reading at [`Document`].

use super::chart::Chart;
use super::style::Tone;

pub(super) mod frame;
pub mod markdown;
pub(super) mod page;
pub(super) mod terminal;

/// Blocks, one below the other.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Document(pub Vec<Block>);

/// One piece.
#[derive(Clone, PartialEq, Debug)]
pub enum Block {
    /// What the document is; it stands first, what is in hand below it.
    Title(Sentence),
    /// What is in hand: under which case and trials everything below was worked out.
    Hand(Sentence),
    /// What stands above a part, at its level: 2 for a part of the whole.
    Heading(usize, Sentence),
    /// A sentence or more, set in by so many levels.
    Said(usize, Option<Tone>, Sentence),
    /// One thing of a list, at its level; further lines are set in below it.
    Item(usize, Option<Tone>, Sentence),
    /// Names, each with what is said of it beside or below it.
    Terms(Vec<Term>),
    /// A verdict in its tone, with what it is passed on, and then what is said of that.
    Check(Tone, Term),
    /// Columns under headings.
    Table(Table),
    /// A drawing, or what it shows in words.
    Chart(Chart),
    /// The same said in several ways, the fullest first: the first whose tables have room.
    Ways(Vec<Document>),
    /// An empty line, unless one stands there.
    Gap,
}

/// Words, with what stands out among them.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Sentence(pub Vec<Piece>);

/// A piece of a sentence.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Piece {
    /// Plain words.
    Plain(String),
    /// What stands in the worksheet, as code where a medium has a letter for it.
    Code(String),
    /// What can be typed: in backticks where nothing else sets it off.
    Typed(String),
    /// A word that stands out.
    Strong(String),
    /// What follows stands on a line of its own.
    Line,
    /// The same where one line has no room for all.
    Break,
}

/// A name and what is said of it.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Term {
    /// The name.
    pub name: Sentence,
    /// What is said, a line or more each.
    pub said: Vec<(Option<Tone>, Sentence)>,
}

impl Term {
    pub(super) fn new(name: impl Into<Sentence>, said: Vec<(Option<Tone>, Sentence)>) -> Term {
        Term {
            name: name.into(),
            said,
        }
    }
}

/// Columns under headings.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Table {
    /// What it shows, for those who hear it.
    pub caption: String,
    /// The columns; the first says what a row is.
    pub columns: Vec<Column>,
    /// What becomes of it where the columns have no room beside each other.
    pub narrow: Narrow,
    /// How many levels it is set in.
    pub level: usize,
    /// A bar behind each row, from 0 to 1; nothing where there are none.
    pub bars: Vec<Option<f64>>,
    /// What is said below its rows, or in place of them.
    pub note: Sentence,
}

/// What becomes of a table that has no room.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Narrow {
    /// As many columns as fit, and the others below them under the first again.
    #[default]
    Columns,
    /// Each row has lines of its own, each cell behind its heading.
    Rows,
    /// The last columns stand below the others, each on lines of its own.
    Below,
    /// The last column takes what room is left, or stands below the others with what else has
    /// none; a terminal shows no headings.
    Detail,
    /// Ruled below its headings; headings and cells are broken between words, then as `Columns`.
    Grid,
}

/// One column.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Column {
    /// What stands above it.
    pub heading: Sentence,
    /// On which side its cells stand.
    pub side: Side,
    /// The most columns it takes, however much room there is; 0 for any.
    pub most: usize,
    /// The tone of its cells, where a terminal keeps to it.
    pub tone: Option<Tone>,
    /// A cell a row.
    pub cells: Vec<Sentence>,
}

/// Where the cells of a column stand.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Side {
    /// Words.
    #[default]
    Left,
    /// Numbers.
    Right,
}

impl Document {
    /// A document under that title.
    pub(crate) fn titled(title: impl Into<Sentence>) -> Document {
        Document(vec![Block::Title(title.into())])
    }

    /// One more sentence at the margin.
    pub fn say(&mut self, said: impl Into<Sentence>) {
        self.0.push(Block::Said(0, None, said.into()));
    }

    /// One more sentence at the margin, in a tone.
    pub fn tell(&mut self, tone: Tone, said: impl Into<Sentence>) {
        self.0.push(Block::Said(0, Some(tone), said.into()));
    }

    /// A sentence set in below what stands above it.
    pub fn note(&mut self, tone: Tone, said: impl Into<Sentence>) {
        self.0.push(Block::Said(1, Some(tone), said.into()));
    }

    /// One more thing of a list.
    pub fn item(&mut self, level: usize, tone: Option<Tone>, said: impl Into<Sentence>) {
        self.0.push(Block::Item(level, tone, said.into()));
    }

    /// Names with what is said of them, if there are any.
    pub fn terms(&mut self, terms: Vec<Term>) {
        if !terms.is_empty() {
            self.0.push(Block::Terms(terms));
        }
    }

    /// An empty line, unless one stands there.
    pub fn gap(&mut self) {
        self.0.push(Block::Gap);
    }

    /// A heading, an empty line above it.
    pub fn heading(&mut self, heading: impl Into<Sentence>) {
        self.gap();
        self.0.push(Block::Heading(2, heading.into()));
    }

    /// A table; one without rows, or with one column alone, is left out.
    pub fn table(&mut self, table: Table) {
        if table.columns.len() > 1 {
            self.0.push(Block::Table(table));
        }
    }

    /// Which cautions there are, by their codes.
    pub fn cautions(&mut self, which: &str, codes: &[impl AsRef<str>]) {
        if codes.is_empty() {
            return;
        }
        let codes: Vec<&str> = codes.iter().map(AsRef::as_ref).collect();
        let told = Sentence::from(format!("Cautions {which}: {}. ", codes.join(", ")));
        self.gap();
        self.tell(Tone::Care, told.typed("show cautions").plain(" tells them in full."));
    }
}

impl Sentence {
    /// Something of the worksheet alone.
    pub(crate) fn of_code(text: impl Into<String>) -> Sentence {
        Sentence::default().code(text)
    }

    /// A text in which what can be typed stands in backticks.
    pub fn marked(text: &str) -> Sentence {
        if text.matches('`').count() % 2 == 1 {
            return Sentence::from(text);
        }
        let pieces = text.split('`').enumerate();
        let pieces = pieces.filter(|(_, piece)| !piece.is_empty());
        let pieces = pieces.map(|(place, piece)| match place % 2 {
            1 => Piece::Typed(piece.to_owned()),
            _ => Piece::Plain(piece.to_owned()),
        });
        Sentence(pieces.collect())
    }

    /// Lines, one below the other.
    pub fn of_lines(lines: Vec<String>) -> Sentence {
        let lines = lines.into_iter().enumerate();
        lines.fold(Sentence::default(), |told, (place, line)| match place {
            0 => told.plain(line),
            _ => told.line().plain(line),
        })
    }

    /// Whether there is nothing to read.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|piece| piece.text().trim().is_empty())
    }

    /// Goes on with plain words.
    pub fn plain(self, text: impl Into<String>) -> Sentence {
        self.with(Piece::Plain(text.into()))
    }

    /// Goes on with something of the worksheet.
    pub fn code(self, text: impl Into<String>) -> Sentence {
        self.with(Piece::Code(text.into()))
    }

    /// Goes on with what can be typed.
    pub fn typed(self, text: impl Into<String>) -> Sentence {
        self.with(Piece::Typed(text.into()))
    }

    /// Goes on with a word that stands out.
    pub(crate) fn strong(self, text: impl Into<String>) -> Sentence {
        self.with(Piece::Strong(text.into()))
    }

    /// Goes on on a line of its own.
    pub fn line(self) -> Sentence {
        self.with(Piece::Line)
    }

    /// Goes on on a line of its own where one has no room for all.
    pub(crate) fn or_break(self) -> Sentence {
        self.with(Piece::Break)
    }

    /// Goes on with another sentence.
    pub fn then(mut self, more: Sentence) -> Sentence {
        self.0.extend(more.0);
        self
    }

    fn with(mut self, piece: Piece) -> Sentence {
        self.0.push(piece);
        self
    }
}

impl From<String> for Sentence {
    fn from(text: String) -> Sentence {
        Sentence(vec![Piece::Plain(text)])
    }
}

impl From<&str> for Sentence {
    fn from(text: &str) -> Sentence {
        Sentence::from(text.to_owned())
    }
}

impl From<&String> for Sentence {
    fn from(text: &String) -> Sentence {
        Sentence::from(text.clone())
    }
}

impl Piece {
    fn text(&self) -> &str {
        match self {
            Piece::Plain(text) | Piece::Code(text) | Piece::Typed(text) | Piece::Strong(text) => text,
            Piece::Line | Piece::Break => " ",
        }
    }
}

impl Table {
    /// Columns under headings, with words for those who hear it; what is empty from top to
    /// bottom is left out.
    pub fn of(caption: impl Into<String>, narrow: Narrow, columns: Vec<Column>) -> Table {
        let filled = |column: &Column| column.cells.iter().any(|cell| !cell.is_empty());
        Table {
            caption: caption.into(),
            columns: columns.into_iter().filter(filled).collect(),
            narrow,
            level: 1,
            ..Table::default()
        }
    }

    /// The same set in by so many levels.
    pub fn at(self, level: usize) -> Table {
        Table { level, ..self }
    }

    /// The same with a bar behind each row.
    pub(crate) fn with_bars(self, bars: Vec<Option<f64>>) -> Table {
        Table { bars, ..self }
    }

    fn rows(&self) -> usize {
        self.columns.first().map_or(0, |column| column.cells.len())
    }

    fn is_headed(&self) -> bool {
        self.columns.iter().any(|column| !column.heading.is_empty())
    }
}

impl Column {
    /// A column of words.
    pub fn words<T: Into<Sentence>>(heading: impl Into<Sentence>, cells: impl IntoIterator<Item = T>) -> Column {
        Column {
            heading: heading.into(),
            cells: cells.into_iter().map(Into::into).collect(),
            ..Column::default()
        }
    }

    /// The same, taking no more columns than that.
    pub(crate) fn at_most(self, most: usize) -> Column {
        Column { most, ..self }
    }

    /// The same in a tone.
    pub(crate) fn in_tone(self, tone: Tone) -> Column {
        Column {
            tone: Some(tone),
            ..self
        }
    }

    /// A column of numbers.
    pub fn numbers<T: Into<Sentence>>(heading: impl Into<Sentence>, cells: impl IntoIterator<Item = T>) -> Column {
        Column {
            side: Side::Right,
            ..Column::words(heading, cells)
        }
    }

    fn cell(&self, row: usize) -> Sentence {
        self.cells.get(row).cloned().unwrap_or_default()
    }
}
