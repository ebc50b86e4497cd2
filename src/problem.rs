//! Problems: what is wrong, where, and the one thing that would mend it.
//!
//! A problem belongs to an item of the worksheet and marks pieces of it.
//! Messages follow one manner: one line, lower case, no full stop, names in
//! backticks; labels say what a thing is; help says one thing to do. The shell
//! turns them into whole sentences when it draws them. Long explanations live
//! in [`explanations`]. Start reading at [`Problem`].

use std::fmt;

use crate::text::{Span, moved};

pub mod explanations;
pub mod kinds;

/// How much a problem weighs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// Something can't be read or computed.
    Problem,
    /// Everything computes, but somebody may trip over it.
    Lint,
}

/// A place in the worksheet: an item, and bytes counted from its start.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Place {
    /// The index of the item in the worksheet.
    pub item: u32,
    /// Bytes from the start of the item.
    pub span: Span,
}

impl Place {
    /// A place inside an item.
    pub fn new(item: u32, span: Span) -> Place {
        Place { item, span }
    }
}

/// A place in a file that the worksheet reads: row and column count from 1.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FilePlace {
    /// The file as the worksheet names it.
    pub file: String,
    /// The line of the file.
    pub row: u32,
    /// The column's heading, or its number.
    pub column: String,
}

impl FilePlace {
    /// A place in a file.
    pub(crate) fn new(file: String, row: u32, column: String) -> FilePlace {
        FilePlace { file, row, column }
    }
}

/// A second place that has to do with the problem, and what stands there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    /// Where.
    pub place: Place,
    /// What it is, such as "`gross` is in lb".
    pub text: String,
}

/// Something wrong at a place, with what a reader needs to mend it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Problem {
    /// The code word, with a long explanation.
    pub code: Code,
    /// Problem or lint.
    pub severity: Severity,
    /// What is wrong, in one line.
    pub message: String,
    /// The piece marked.
    pub place: Place,
    /// What that piece is; may be empty.
    pub label: String,
    /// Other pieces that matter.
    pub labels: Vec<Label>,
    /// One thing to do, where one thing would mend it.
    pub help: Option<String>,
    /// What would mend it by itself, where that is certain; several where it can be
    /// read in several ways.
    pub mends: Vec<Mend>,
    /// The cell of another file, where the trouble is there.
    pub file: Option<FilePlace>,
}

/// A replacement that mends a problem: with it the problem is gone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mend {
    /// What is replaced; empty where something is put in.
    pub place: Place,
    /// By what.
    pub text: String,
}

impl Problem {
    /// A problem with nothing but code, message and place.
    pub fn new(code: Code, message: impl Into<String>, place: Place) -> Problem {
        Problem {
            code,
            severity: code.severity(),
            message: message.into(),
            place,
            label: String::new(),
            labels: Vec::new(),
            help: None,
            mends: Vec::new(),
            file: None,
        }
    }

    /// With a word on what the marked piece is.
    pub fn label(mut self, text: impl Into<String>) -> Problem {
        self.label = text.into();
        self
    }

    /// With another piece marked.
    pub fn also(mut self, place: Place, text: impl Into<String>) -> Problem {
        self.labels.push(Label {
            place,
            text: text.into(),
        });
        self
    }

    /// Its item, and those of its labels and mends, stand so many places further on.
    pub fn move_by(&mut self, places: i64) {
        let labels = self.labels.iter_mut().map(|label| &mut label.place);
        let mends = self.mends.iter_mut().map(|mend| &mut mend.place);
        for place in labels.chain(mends).chain([&mut self.place]) {
            place.item = moved(place.item, places);
        }
    }

    /// With the one thing to do.
    pub fn help(mut self, text: impl Into<String>) -> Problem {
        self.help = Some(text.into());
        self
    }

    /// With a replacement that mends it, inside the item that it is about.
    pub fn mend(mut self, span: Span, text: impl Into<String>) -> Problem {
        self.mends.push(Mend {
            place: Place::new(self.place.item, span),
            text: text.into(),
        });
        self
    }

    /// At a cell of another file.
    pub(crate) fn in_file(mut self, file: FilePlace) -> Problem {
        self.file = Some(file);
        self
    }
}

macro_rules! codes {
    ($($(#[$meta:meta])* $name:ident = $word:literal, $severity:ident;)*) => {
        /// A code word: never reused, each with a long explanation.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum Code { $($(#[$meta])* $name,)* }

        impl Code {
            /// Every code, in the order of this list.
            pub const ALL: &'static [Code] = &[$(Code::$name,)*];

            /// The word shown and asked for.
            pub fn word(self) -> &'static str {
                match self { $(Code::$name => $word,)* }
            }

            /// How much problems of this code weigh.
            pub fn severity(self) -> Severity {
                match self { $(Code::$name => Severity::$severity,)* }
            }
        }
    };
}

codes! {
    // reading a line
    /// The line can't be read.
    Unreadable = "unreadable", Problem;
    /// A line begins with a word that opens nothing.
    UnknownOpening = "unknown-opening", Problem;
    /// A sign that ends a line elsewhere, and none here.
    LineEnd = "line-end", Problem;
    /// A parenthesis or bracket stays open.
    OpenParenthesis = "open-parenthesis", Problem;
    /// A text has no closing quote on its line.
    OpenText = "open-text", Problem;
    /// A backslash with something that is no escape.
    BadEscape = "bad-escape", Problem;
    /// A number written in a way people read in two ways.
    NumberFormat = "number-format", Problem;
    /// More digits or size than a number can hold.
    NumberSize = "number-size", Problem;
    /// No unit of that name.
    UnknownUnit = "unknown-unit", Problem;
    /// A unit put together in a way it can't be.
    UnitFormat = "unit-format", Problem;
    /// `1/2 h`, `20 lb/rate`: is it division or a unit?
    TwoReadings = "two-readings", Problem;
    /// A tolerance where none can stand.
    TolerancePlace = "tolerance-place", Problem;
    /// A tolerance that can't be read, or in two ways.
    ToleranceFormat = "tolerance-format", Problem;
    /// A compound such as `2 h 90 min`.
    CompoundFormat = "compound-format", Problem;
    /// A time or date that there isn't.
    TimeFormat = "time-format", Problem;
    /// Parentheses, signs or powers nested too deep.
    NestedTooDeep = "nested-too-deep", Problem;
    /// An entry or line too long.
    TooLong = "too-long", Problem;
    /// `a--b` or `a --b`.
    DoubleDash = "double-dash", Problem;
    /// `a^b^c`.
    PowerChain = "power-chain", Problem;
    /// Comparisons that chain in two directions.
    ComparisonChain = "comparison-chain", Problem;
    /// `if` without `else`.
    MissingElse = "missing-else", Problem;
    /// A word of the language used as a name.
    ReservedWord = "reserved-word", Problem;
    /// `= ?` without a unit.
    BlankNeedsUnit = "blank-needs-unit", Problem;
    /// A table row with more or fewer cells than headings.
    RaggedRow = "ragged-row", Problem;
    /// A row that belongs to no table.
    StrayRow = "stray-row", Problem;
    /// An indented line that belongs to no case.
    StrayLine = "stray-line", Problem;
    /// A column heading that is no name.
    HeadingName = "heading-name", Problem;
    /// A cell that can't be read.
    UnreadableCell = "unreadable-cell", Problem;
    /// The same column twice in a table.
    RepeatedColumn = "repeated-column", Problem;
    // names
    /// A second entry of the same name.
    RepeatedName = "repeated-name", Problem;
    /// No entry of that name.
    UnknownName = "unknown-name", Problem;
    /// No column of that name.
    UnknownColumn = "unknown-column", Problem;
    /// No function or rule of that name.
    UnknownFunction = "unknown-function", Problem;
    /// Entries that need each other.
    Loop = "loop", Problem;
    /// A `measured`, `quoted` or `assumed` line that names another entry.
    NotConstant = "not-constant", Problem;
    /// A case line for something that is no input.
    CaseTarget = "case-target", Problem;
    // kinds and units
    /// Two units that don't meet.
    UnitClash = "unit-clash", Problem;
    /// A text, truth value, time or number where another kind is needed.
    KindClash = "kind-clash", Problem;
    /// A plain number where a unit is needed.
    BareNumber = "bare-number", Problem;
    /// Points on a scale added, multiplied or divided.
    PointArithmetic = "point-arithmetic", Problem;
    /// Sound levels added, averaged or multiplied.
    LevelArithmetic = "level-arithmetic", Problem;
    /// Watts meet volt-amperes.
    PowerFactor = "power-factor", Problem;
    /// Two currencies meet.
    CurrencyClash = "currency-clash", Problem;
    /// A power whose unit there is none for.
    PowerUnit = "power-unit", Problem;
    /// A percentage of a point or a level.
    PercentOfPoint = "percent-of-point", Problem;
    /// A column where one value is needed, or the reverse.
    ColumnOrValue = "column-or-value", Problem;
    /// Columns of different lengths.
    ColumnLength = "column-length", Problem;
    /// Columns of two tables whose rows don't go together.
    RowsDiffer = "rows-differ", Problem;
    // calls
    /// Too many arguments, or one missing.
    ArgumentCount = "argument-count", Problem;
    /// No parameter of that name, or one given twice.
    ArgumentName = "argument-name", Problem;
    /// A word that isn't on the parameter's list.
    ArgumentWord = "argument-word", Problem;
    /// A rule that calls itself.
    RuleLoop = "rule-loop", Problem;
    /// Rules that unfold into too much.
    RuleSize = "rule-size", Problem;
    // running
    /// Division by zero.
    DivisionByZero = "division-by-zero", Problem;
    /// A result that is too large.
    TooLarge = "too-large", Problem;
    /// A result that is too small.
    TooSmall = "too-small", Problem;
    /// The root of a negative number.
    NegativeRoot = "negative-root", Problem;
    /// The logarithm of zero or less.
    LogarithmDomain = "logarithm-domain", Problem;
    /// A value outside what a function's source covers.
    OutsideRange = "outside-range", Problem;
    /// A cylinder that settles at no temperature, for want of heat.
    CannotSettle = "cannot-settle", Problem;
    /// A cylinder that gets too hot.
    Overheats = "overheats", Problem;
    /// The time that a run may take was up.
    OutOfTime = "out-of-time", Problem;
    /// More rows or columns than a worksheet may have.
    TableSize = "table-size", Problem;
    /// A reduction over nothing.
    EmptyColumn = "empty-column", Problem;
    /// Times that run backwards.
    TimeOrder = "time-order", Problem;
    /// A clock time whose day nobody knows beside one that is counted.
    WhichDay = "which-day", Problem;
    /// A text that no row of a column has.
    NoSuchText = "no-such-text", Problem;
    /// A row that a table doesn't have, or has twice.
    NoSuchRow = "no-such-row", Problem;
    // files
    /// A file that isn't there or can't be read.
    FileMissing = "file-missing", Problem;
    /// A file outside the worksheet's folder.
    FileOutside = "file-outside", Problem;
    /// A file that isn't what it should be.
    FileMalformed = "file-malformed", Problem;
    /// A file beyond the size limit.
    FileTooLong = "file-too-long", Problem;
    /// Worksheets that rest on each other.
    UseLoop = "use-loop", Problem;
    /// A worksheet that this one rests on has a problem.
    UsedFile = "used-file", Problem;
    /// Text that isn't UTF-8.
    NotUtf8 = "not-utf8", Problem;
    /// The file changed on disk since it was read.
    ChangedOnDisk = "changed-on-disk", Problem;
    // lints
    /// A column left out, since its heading is no name.
    ColumnLeftOut = "column-left-out", Lint;
    /// Rows left out, since they can't be read and the worksheet says to skip such.
    RowsLeftOut = "rows-left-out", Lint;
    /// A cell of a file holds line ends between its quotes.
    QuotedLines = "quoted-lines", Lint;
    /// A function, a parameter or a word by the name it had in an earlier release.
    Renamed = "renamed", Lint;
    /// A name that is also a unit.
    NameIsUnit = "name-is-unit", Lint;
    /// A name that is also a function.
    NameIsFunction = "name-is-function", Lint;
    /// A name that is also a word of the interactive session.
    NameIsVerb = "name-is-verb", Lint;
    /// Two names that can't be told apart by looking.
    LookAlike = "look-alike", Lint;
    /// A name with letters of several scripts.
    MixedScripts = "mixed-scripts", Lint;
    /// A sign that turns the direction of writing.
    TurnedWriting = "turned-writing", Lint;
    /// A question without a check, or a check that calls wrong or nearly right what is right.
    Exercise = "exercise", Lint;
}

impl Code {
    /// The code of that word.
    pub fn named(word: &str) -> Option<Code> {
        Code::ALL.iter().copied().find(|code| code.word() == word)
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
