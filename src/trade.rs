//! The trade: functions declared once as data, the cautions, and their tables.
//!
//! A [`Function`] is declared with everything anybody may ask of it; checking,
//! help, completion, footnotes and tests read that one declaration. One file a
//! chapter. Trade functions know nothing of worksheets: they get numbers in
//! their declared units and give one back. Start reading at [`Function`] and
//! [`registry::function`].

pub mod agreement;
pub(crate) mod air;
pub(crate) mod burn;
pub mod caution;
mod complaint;
pub(crate) mod cords;
pub(crate) mod cylinder;
mod cylinder_run;
mod declare;
pub mod draw_down;
pub(crate) mod engine;
mod film_seen;
mod fitted;
pub(crate) mod forms;
pub(crate) mod fuels;
pub(crate) mod general;
pub(crate) mod habits;
pub(crate) mod least_squares;
pub mod line;
pub(crate) mod load;
pub mod propane;
pub mod questions;
pub mod registry;
pub mod rivals;
pub mod settling;
pub(crate) mod sound;
mod stock;
mod swap_plan;
mod table;
mod upkeep;
pub(crate) mod vaporizing;
pub mod wall;
pub(crate) mod yardsticks;

use crate::number::Number;

pub use complaint::{Caution, Complaint, Outcome, Reason, Remark, Weight};

/// How good a source is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Standing {
    /// A standard, handbook or data set prints it.
    Published,
    /// Worked out from a published equation.
    Computed,
    /// The trade does it, without a source.
    CommonPractice,
    /// Written down without the publication at hand.
    FromMemory,
}

impl Standing {
    /// As shown.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Published => "published",
            Standing::Computed => "computed",
            Standing::CommonPractice => "common practice",
            Standing::FromMemory => "from memory",
        }
    }
}

/// Where a rule or a value comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Source {
    /// The publication, or what it is.
    pub title: &'static str,
    /// How good it is.
    pub standing: Standing,
}

/// The chapters of the function list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Chapter {
    /// Cylinder
    Cylinder,
    /// Propane, saturated
    Propane,
    /// Fuels
    Fuels,
    /// Burn and engine
    Burn,
    /// Vaporizing and icing
    Vaporizing,
    /// Load
    Load,
    /// General
    General,
}

impl Chapter {
    /// Every chapter, in the order of the reference.
    pub const ALL: [Chapter; 7] = [
        Chapter::Cylinder,
        Chapter::Propane,
        Chapter::Fuels,
        Chapter::Burn,
        Chapter::Vaporizing,
        Chapter::Load,
        Chapter::General,
    ];

    /// As it heads a list.
    pub fn title(self) -> &'static str {
        match self {
            Chapter::Cylinder => "Cylinder",
            Chapter::Propane => "Propane, saturated",
            Chapter::Fuels => "Fuels",
            Chapter::Burn => "Burn and engine",
            Chapter::Vaporizing => "Vaporizing and icing",
            Chapter::Load => "Load, cords, gas line, sound, upkeep",
            Chapter::General => "General",
        }
    }
}

/// What a parameter takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum ParameterKind {
    /// A quantity, converted to this unit before the function sees it; `""` is a plain number.
    Quantity(&'static str),
    /// One word of a closed list.
    Word(&'static [&'static str]),
    /// A plain number, or one word of a closed list (a wire gauge: 12, or "1/0").
    NumberOrWord(&'static [&'static str]),
    /// true or false.
    Truth,
    /// A sound level in dB.
    Level,
    /// A column of counted times or moments, or durations; the function sees hours from the first row.
    Times,
    /// A date or a moment; the function sees seconds from 1970-01-01.
    Moment,
    /// A clock time.
    Clock,
    /// A clock time, a counted time or a moment.
    Time,
    /// A table of the worksheet that the function of this name made, by its name; the body is
    /// given how it ended, and then the arguments that it was made of.
    Table(&'static str),
    /// A quantity in this unit that may change with time: one value, `steps(…)` or `ramps(…)`.
    Schedule(&'static str),
    /// Texts; where a function that gives a table is given them, they are its first column.
    Names,
    /// Any quantity, in its own unit.
    AnyQuantity,
    /// Any quantity, converted to the unit of the first argument.
    LikeFirst,
    /// Anything at all.
    Anything,
}

/// One value or a column of them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shape {
    /// One value; given a column, the function works row by row.
    Single,
    /// A column as a whole.
    Column,
    /// Either, as a whole: a column, or several single values.
    Several,
}

/// What a parameter usually is, for the audit and for searching.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct UsualRange {
    /// Low end, in the parameter's unit.
    pub low: f64,
    /// High end, in the parameter's unit.
    pub high: f64,
    /// Where the range comes from.
    pub source: Source,
}

/// A parameter of a function.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Parameter {
    /// Its name, which an argument may carry as a label.
    pub name: &'static str,
    /// What it was called in an earlier release; empty: nothing else.
    pub once: &'static str,
    /// What it takes.
    pub kind: ParameterKind,
    /// One value or a column.
    pub shape: Shape,
    /// The default as it would be typed, or a bare word for what the function makes of it
    /// where nothing is given; `None`: it must be given.
    pub default: Option<&'static str>,
    /// What it means.
    pub meaning: &'static str,
    /// What it usually is.
    pub usual: Option<UsualRange>,
    /// Whether a column has rows of its own, rather than those of the columns beside it.
    pub own_rows: bool,
}

/// The kind of a function's result.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ResultKind {
    /// A quantity in this unit; `""` is a plain number.
    Quantity(&'static str),
    /// A text.
    Text,
    /// A sound level.
    Level,
    /// A date or a moment, in seconds from 1970-01-01.
    Moment,
    /// A clock time.
    Clock,
    /// A counted time, or a moment after a moment.
    Time,
    /// A table of these columns.
    Table(&'static [ColumnDeclared]),
    /// The kind and unit of the first argument.
    LikeFirst,
    /// The unit of the second argument over that of the first (slope of y over x).
    SecondOverFirst,
    /// The kind and unit of the second argument.
    LikeSecond,
    /// A place along the first argument: a time of its kind, or hours.
    Along,
    /// Settled by the checker (general functions with a rule of their own).
    Special,
}

/// A column of a table that a function gives.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ColumnDeclared {
    /// Its name.
    pub name: &'static str,
    /// Its unit; `""` is a plain number.
    pub unit: &'static str,
    /// What it holds.
    pub meaning: &'static str,
    /// A value that matters to it, drawn in its chart.
    pub limit: Option<ColumnLimit>,
}

/// A value that matters to a column of a table.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ColumnLimit {
    /// That of a parameter of the function, in the column's unit.
    Parameter(&'static str),
    /// A whole number in the column's unit, and what it is.
    Value(i64, &'static str),
}

/// An example: a call as it would be typed, and what it gives as shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Example {
    /// The call.
    pub call: &'static str,
    /// The result at the default digits.
    pub result: &'static str,
}

/// A function of the trade, declared once.
pub struct Function {
    /// Its name.
    pub name: &'static str,
    /// What it was called in an earlier release, and is still read as; empty: nothing else.
    pub once: &'static str,
    /// The chapter it belongs to.
    pub chapter: Chapter,
    /// What it does, in one line.
    pub summary: &'static str,
    /// Its parameters in order. Where `shape` of the last is `Several`, more values may follow.
    pub parameters: &'static [Parameter],
    /// Two parameters of which one is given, and not both; and what to do where neither is.
    pub either: Option<(&'static str, &'static str, &'static str)>,
    /// A parameter that, where it is given, needs another one; and what to do where it isn't.
    pub needs: Option<(&'static str, &'static str, &'static str)>,
    /// The kind of its result.
    pub result: ResultKind,
    /// The rule, as a reader would write it.
    pub formula: &'static str,
    /// Where the rule comes from.
    pub sources: &'static [Source],
    /// What the source covers, and what happens outside.
    pub range: &'static str,
    /// How far the rule itself may be out, where it is a rule of thumb.
    pub rule_error: Option<&'static str>,
    /// How an answer that rests on it names its rule, where others answer the same
    /// question and it has no `rule_error` that names it.
    pub named: Option<&'static str>,
    /// More that a reader should know, one sentence or more.
    pub notes: &'static str,
    /// Cautions that go with every use.
    pub cautions: &'static [&'static Caution],
    /// Examples with results.
    pub examples: &'static [Example],
    /// A table that the examples read, as it would stand in a worksheet; empty: none.
    pub example_table: &'static str,
    /// How it is worked out.
    pub body: Body,
    /// Whether its value moves by jumps alone, so that no slope tells how it moves.
    pub jumps: bool,
    /// Which expanded uncertainties its body is told where it asks for them.
    pub told: Told,
    /// Further cautions that depend on the values; looked at when a report is made.
    pub appraise: Option<Appraisal>,
    /// What its use tells of a worksheet.
    pub tells: &'static [Fact],
}

impl Function {
    /// Where its parameter of that name stands, or that was called so once.
    pub fn place_of(&self, name: &str) -> Option<usize> {
        let is_called = |parameter: &Parameter| parameter.name == name || !name.is_empty() && parameter.once == name;
        self.parameters.iter().position(is_called)
    }

    /// Whether its use tells this of a worksheet.
    pub fn tells(&self, fact: Fact) -> bool {
        self.tells.contains(&fact)
    }
}

/// What the use of a function tells of a worksheet, for cautions and studies.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fact {
    /// Somebody looks at how long a cylinder keeps up its pressure.
    DrawsDown,
    /// It shows what a run of the user's own says of the air.
    ShowsARun,
    /// The result says when so much is burned, whether the cylinder keeps up or not.
    ByWeight,
    /// Heat is counted by the weight of the fuel.
    HeatByWeight,
    /// Heat is counted by the volume of the liquid.
    HeatByVolume,
    /// Heat is that of a fuel on a basis, whatever the arguments are.
    Heat(&'static str, &'static str),
    /// The result goes with the first argument.
    GoesWithFirst,
    /// The result is the most that is drawn at once.
    TheMost,
    /// The result is the first argument less the others.
    FirstLessOthers,
    /// The result is the first argument over the second.
    FirstOverSecond,
    /// The result is small where the two arguments are alike.
    SmallWhereAlike,
    /// The result is what its first argument is at least.
    LowerBound,
    /// The result is what its first argument is at most.
    UpperBound,
    /// The result is how high so much liquid stands.
    LevelOfWeight,
    /// The result is how far a cylinder's heat is above what is drawn.
    HeatMargin,
    /// The result is the most that may be filled by law.
    MostLawful,
    /// The function of that name gives its argument back.
    UndoneBy(&'static str),
}

impl Function {
    /// Whether it is worked as this of a line.
    pub(crate) fn body_is(&self, fit: Fit) -> bool {
        matches!(self.body, Body::Fit(own) if own == fit)
    }
}

/// Which expanded uncertainties a function is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Told {
    /// That of each argument, k = 2.
    OfEach,
    /// That of the difference of the first two, with what they share taken out and the
    /// factor of its degrees of freedom.
    OfDifference,
    /// The bounds of the first argument, for as many percent as the second says: from below,
    /// from above; infinite where none can be told, no number where only draws tell.
    Bounds,
}

/// Looks at the values of a call and says what to be careful of.
pub type Appraisal = fn(&Arguments<'_, f64>) -> Vec<Remark>;

/// How a function is worked out.
#[derive(Clone, Copy)]
pub enum Body {
    /// A rule over its arguments, in both number kinds.
    Rule {
        /// In exact decimals.
        exact: fn(&Arguments<'_, Number>) -> Outcome<Number>,
        /// In binary numbers.
        drawn: fn(&Arguments<'_, f64>) -> Outcome<f64>,
    },
    /// A straight line through columns: slope, intercept, value on the line, one more reading.
    Fit(Fit),
    /// A table, in both number kinds.
    Table {
        /// In exact decimals, in one go.
        exact: Make<Number>,
        /// In binary numbers.
        drawn: Make<f64>,
        /// The words it may end with.
        ends: &'static [&'static str],
    },
    /// One thing of the table that another function makes of the same arguments, or of
    /// a table of the worksheet that it made.
    OfTable(OfTable),
    /// Worked by the evaluator itself.
    Built(Built),
}

/// What is taken from a table that a function makes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OfTable {
    /// The function that makes the table.
    pub table: &'static str,
    /// What is taken.
    pub part: Part,
}

/// A part of a table that a function makes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Part {
    /// The last value of the column of that name.
    Last(&'static str),
    /// How it ended, as a word.
    End,
}

/// How a table is made, in one number kind.
pub(crate) type Make<R> = fn(&Arguments<'_, R>) -> Outcome<Made<R>>;

/// A table as a function makes it.
#[derive(Clone, PartialEq, Debug)]
pub struct Made<R> {
    /// The columns as declared, all of one length.
    pub columns: Vec<Vec<Option<R>>>,
    /// How it ended, as a word.
    pub end: &'static str,
    /// The column that counts how far it was followed, by its place, where it goes on
    /// beyond the last row.
    pub goes_on: Option<usize>,
    /// Cautions that its values give rise to.
    pub remarks: Vec<Remark>,
    /// How many steps it took, the same on every machine.
    pub steps: usize,
}

/// What is asked of a straight line fitted to two columns.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fit {
    /// Minus the slope, per hour: `burn_rate`.
    BurnRate,
    /// The slope.
    Slope,
    /// The intercept.
    Intercept,
    /// The value on the line.
    LineAt,
    /// The value of one more reading.
    ReadingAt,
    /// What hung on the scale at some readings: `attached_weight`.
    Attached,
    /// When it comes down to a weight: `reaches`.
    Reaches,
    /// The rate at a load, over time and energy: `rate_at_load`.
    RateAtLoad,
    /// The mean of results that should agree, a line with one unknown: `average`.
    Average,
}

impl Fit {
    /// The argument that says at which readings something else hung on the scale.
    pub fn attached(self) -> usize {
        match self {
            Fit::BurnRate | Fit::Slope | Fit::Intercept | Fit::Attached => 2,
            Fit::LineAt | Fit::ReadingAt | Fit::Reaches => 3,
            Fit::RateAtLoad => 4,
            // it has none
            Fit::Average => usize::MAX,
        }
    }

    /// The argument that says where, or of which weight, or at which load.
    pub fn at(self) -> Option<usize> {
        match self {
            Fit::BurnRate | Fit::Slope | Fit::Intercept | Fit::Attached | Fit::Average => None,
            Fit::LineAt | Fit::ReadingAt | Fit::Reaches => Some(2),
            Fit::RateAtLoad => Some(3),
        }
    }

    /// The argument that holds the load from each row to the next.
    pub fn load(self) -> Option<usize> {
        (self == Fit::RateAtLoad).then_some(2)
    }

    /// Whether it goes through weighings of a cylinder that burns down.
    pub(crate) fn burns_down(self) -> bool {
        matches!(self, Fit::BurnRate | Fit::Attached | Fit::Reaches | Fit::RateAtLoad)
    }
}

/// Functions the evaluator works itself, since their unit or shape follows their arguments.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Built {
    Abs,
    Min,
    Max,
    Sum,
    Mean,
    Deviation,
    Median,
    Percentile,
    Count,
    First,
    Last,
    RunningTotal,
    Previous,
    Changes,
    Totals,
    KeyOf,
    CountOf,
    SumOf,
    MeanOf,
    Sorted,
    OfSorted,
    Grid,
    Round,
    RoundUp,
    RoundDown,
    SquareRoot,
    Exponential,
    NaturalLogarithm,
    DecimalLogarithm,
    Interpolate,
    CellOf,
    CellOnTheWall,
    CellInRow,
    Absolute,
    Elapsed,
    Clock,
    Date,
    Weekday,
    Month,
    At,
    NextTime,
    Steps,
    Trend,
}

/// One argument as a function sees it.
#[derive(Clone, Copy, Debug)]
pub enum Argument<'a, R> {
    /// A number in the parameter's unit; truth is 0 or 1.
    Number(R),
    /// A word or text.
    Text(&'a str),
    /// A column; `None` is a missing cell.
    Column(&'a [Option<R>]),
    /// Values that change with time.
    Schedule(Schedule<'a, R>),
}

/// Values that change with time: hours and values, row by row.
#[derive(Clone, Copy, Debug)]
pub struct Schedule<'a, R> {
    /// What holds between two rows.
    pub form: ScheduleForm,
    /// The hours from the start, in rising order where the worksheet is right.
    pub hours: &'a [Option<R>],
    /// The value at each.
    pub values: &'a [Option<R>],
}

/// What holds between two rows of a schedule.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ScheduleForm {
    /// Each value until the next: `steps(…)`.
    Steps,
    /// The straight line from one to the next: `ramps(…)`.
    Trend,
}

/// The arguments of one call, one for each parameter (defaults filled in).
pub struct Arguments<'a, R> {
    /// The arguments in the order of the parameters.
    pub values: &'a [Argument<'a, R>],
    /// The expanded uncertainties that it is told ([`Told`]), where known: 0 for exact, empty
    /// if not asked.
    pub expanded: &'a [f64],
}

impl<'a, R: Copy> Arguments<'a, R> {
    /// The number at `index`.
    ///
    /// # Errors
    /// Only if the declaration and the body disagree.
    pub fn number(&self, index: usize) -> Result<R, Complaint> {
        match self.values.get(index) {
            Some(Argument::Number(value)) => Ok(*value),
            _ => Err(Complaint::misdeclared()),
        }
    }

    /// The word at `index`.
    ///
    /// # Errors
    /// Only if the declaration and the body disagree.
    pub fn word(&self, index: usize) -> Result<&'a str, Complaint> {
        match self.values.get(index) {
            Some(Argument::Text(text)) => Ok(text),
            _ => Err(Complaint::misdeclared()),
        }
    }

    /// The column at `index`.
    ///
    /// # Errors
    /// Only if the declaration and the body disagree.
    pub fn column(&self, index: usize) -> Result<&'a [Option<R>], Complaint> {
        match self.values.get(index) {
            Some(Argument::Column(cells)) => Ok(cells),
            _ => Err(Complaint::misdeclared()),
        }
    }
}
