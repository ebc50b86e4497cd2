//! What comes of a call beside its value: why it has none, or what is to be remarked of it.
//!
//! Whoever knows where an argument stands makes a problem of a complaint. Start reading at
//! [`Complaint`] and [`Remark`].

use crate::number::{Number, Trouble};

use super::Source;

/// What a body gives.
pub type Outcome<R> = Result<R, Complaint>;

/// Why a function has no result: the argument at fault, where there is one, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Complaint {
    /// The parameter at fault.
    pub argument: Option<usize>,
    /// What is wrong.
    pub reason: Reason,
    /// One thing to do.
    pub help: Option<String>,
}

/// What is wrong with a call's values.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reason {
    /// Arithmetic has no result.
    Trouble(Trouble),
    /// Arithmetic has no result for this one number.
    Met(Trouble, Number),
    /// Outside what the source covers or what can be, in one line that names the limit and its source.
    Outside(String),
    /// Would be fine within the tolerances: ask again with `expanded` filled in.
    NeedsTolerances(String),
    /// A word that isn't on the list, or a pair of words without a value.
    Word(String),
    /// A column with too few readings, or none.
    Empty(String),
    /// A column with too few readings so far, in words for what is still to come: nothing is
    /// wrong, it waits.
    Awaits(String),
    /// A cell that is missing in a row, counted from 0, and what can't be told without it.
    MissingCell(String, usize),
    /// Columns of different lengths, both named.
    Lengths(String),
    /// Times that run backwards.
    Order(String),
    /// A place outside a column, which runs from the first of these to the last.
    Beyond {
        /// The place.
        at: Number,
        /// Where the column begins.
        first: Number,
        /// Where it ends.
        last: Number,
    },
    /// A text that a column doesn't have, and what may be meant.
    NoSuchText {
        /// What is wrong.
        message: String,
        /// What may be meant.
        meant: Option<String>,
    },
    /// A row that a table doesn't have, or has twice.
    NoSuchRow(String),
    /// A cylinder that settles at no temperature, since more heat leaves than flows in.
    CannotSettle(String),
    /// A cylinder that takes in more heat than it may or can give off.
    Overheats(String),
    /// The time of the run was up before it was worked out.
    OutOfTime,
}

impl Complaint {
    /// Of one argument.
    pub(crate) fn of(argument: usize, reason: Reason) -> Complaint {
        Complaint {
            argument: Some(argument),
            ..Complaint::whole(reason)
        }
    }

    /// Of the call as a whole.
    pub(crate) fn whole(reason: Reason) -> Complaint {
        Complaint {
            argument: None,
            reason,
            help: None,
        }
    }

    /// Outside the range, with the argument at fault.
    pub fn outside(argument: usize, message: impl Into<String>) -> Complaint {
        Complaint::of(argument, Reason::Outside(message.into()))
    }

    /// What is still to come.
    pub(crate) fn awaits(argument: usize, what: &str) -> Complaint {
        Complaint::of(argument, Reason::Awaits(what.to_owned()))
    }

    /// Columns of different lengths, the later one at fault.
    pub fn lengths(argument: usize, message: impl Into<String>) -> Complaint {
        Complaint::of(argument, Reason::Lengths(message.into())).help("take both columns from one table")
    }

    /// With the one thing to do.
    pub fn help(mut self, text: impl Into<String>) -> Complaint {
        self.help = Some(text.into());
        self
    }

    pub(super) fn misdeclared() -> Complaint {
        let message = "this function was declared with other parameters than it reads; please report it";
        Complaint::whole(Reason::Outside(message.to_owned()))
    }
}

impl From<Trouble> for Complaint {
    fn from(trouble: Trouble) -> Complaint {
        Complaint::whole(Reason::Trouble(trouble))
    }
}

/// A caution, printed once a report.
#[derive(PartialEq, Debug)]
pub struct Caution {
    /// The code word.
    pub code: &'static str,
    /// How much it weighs.
    pub weight: Weight,
    /// The same in half a line.
    pub brief: &'static str,
    /// What it must say.
    pub text: &'static str,
    /// Where it comes from.
    pub source: Source,
}

impl Caution {
    /// Whether it speaks against readings that answers rest on, which then stand for nothing.
    pub(crate) fn accuses_readings(&self) -> bool {
        ["off-the-line", "weight-rises", "bends", "hose-mixed"].contains(&self.code)
    }
}

/// How much a caution weighs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Weight {
    /// It is about life.
    Danger,
    /// A plan may fail by it.
    Plan,
    /// It says what a rule or a model leaves out.
    Note,
}

/// A caution that a function raises for the values it was given.
#[derive(Clone, PartialEq, Debug)]
pub struct Remark {
    /// The caution; its code and source are shown with the text.
    pub caution: &'static Caution,
    /// What it says here, with the numbers; empty: the caution's own text.
    pub text: String,
}

impl Remark {
    /// A caution with the numbers of this call.
    pub(crate) fn new(caution: &'static Caution, text: impl Into<String>) -> Remark {
        Remark {
            caution,
            text: text.into(),
        }
    }

    /// A caution in its own words.
    pub(crate) fn plain(caution: &'static Caution) -> Remark {
        Remark::new(caution, "")
    }
}
