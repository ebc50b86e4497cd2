//! What the machine asks of a number kind.
//!
//! Exact decimals run the record; binary numbers with their derivatives carry
//! uncertainties ([`super::dual`]), and ranges what a limit has cut short
//! ([`super::ranged`]). Nothing else knows how many kinds there are.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::number::{Checked, Number, Real};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::line::Readings;
use crate::trade::{Argument, Built, Complaint, Fit, Function, Made, Make, Reason, Schedule};
use crate::unit::Conversion;

/// The columns of a straight-line fit, and who they are.
pub struct FitColumns<'a, N> {
    /// What is asked of the line.
    pub fit: Fit,
    /// The readings along, with the slot of their column.
    pub x: &'a [Option<N>],
    /// The readings up.
    pub y: &'a [Option<N>],
    /// At which of them something else hung on the scale.
    pub attached: Option<&'a [Option<N>]>,
    /// The load from each row to the next, in W.
    pub load: Option<&'a [Option<N>]>,
    /// Where the line is asked for.
    pub at: Option<N>,
    /// Which rows of their table the readings are, where some were left out.
    pub of_table: Option<&'a [u32]>,
    /// The column slots.
    pub slots: (u32, u32),
    /// The call.
    pub site: u32,
    /// Whether each column is one of a table, but for conversions, constants added and rows
    /// left out.
    pub plain: bool,
    /// The table's column that the readings along are written in, where they are.
    pub along: Option<u32>,
}

/// The rows of a fit that have a reading.
pub struct FitRows<N> {
    /// The readings along.
    pub x: Vec<N>,
    /// The readings up.
    pub y: Vec<N>,
    /// At which something else hung on the scale.
    pub attached: Option<Vec<bool>>,
    /// The energy used until each, in kWh.
    pub energy: Option<Vec<N>>,
    /// Which row of the columns each is.
    pub rows: Vec<usize>,
}

impl<N: Scalar> FitColumns<'_, N> {
    /// The rows that have a reading in both columns.
    ///
    /// # Errors
    /// Columns of different length; a row of which it isn't known what hung there, or which load was on.
    pub fn rows(&self) -> Result<FitRows<N>, Complaint> {
        same_length(self.x, self.y, 1)?;
        let both = |row: &usize| matches!((self.x.get(*row), self.y.get(*row)), (Some(Some(_)), Some(Some(_))));
        let rows: Vec<usize> = (0..self.x.len()).filter(both).collect();
        let energy = self.load.map(|load| self.energy(load)).transpose()?;
        let at = |cells: &[Option<N>]| {
            rows.iter()
                .filter_map(|row| cells.get(*row).cloned().flatten())
                .collect()
        };
        Ok(FitRows {
            x: at(self.x),
            y: at(self.y),
            attached: self.hung(&rows)?,
            energy: energy.map(|energy| at(&energy)),
            rows,
        })
    }

    /// The mean of results.
    ///
    /// # Errors
    /// Fewer than two.
    pub fn mean(&self) -> Result<N, Complaint> {
        let results: Vec<N> = self.y.iter().flatten().cloned().collect();
        if results.len() < 2 {
            let message = format!("`average` takes two results or more, and there are {}", results.len());
            return Err(Complaint::of(0, Reason::Empty(message)));
        }
        let count = Number::from_integer(i64::try_from(results.len()).unwrap_or(i64::MAX));
        Ok(N::sum(&results)?.divide(&N::exact(count))?)
    }

    /// What hung there, where it matters: a slope is the same with one hose on at all of them,
    /// and where it hung at none each reading is bare.
    fn hung(&self, rows: &[usize]) -> Result<Option<Vec<bool>>, Complaint> {
        let Some(attached) = self.attached else { return Ok(None) };
        let conditions = self.conditions(attached, rows)?;
        let (on, off) = (conditions.contains(&true), conditions.contains(&false));
        let matters = match self.fit {
            Fit::Attached => true,
            Fit::BurnRate | Fit::Slope | Fit::RateAtLoad | Fit::Average => on && off,
            Fit::Intercept | Fit::LineAt | Fit::ReadingAt | Fit::Reaches => on,
        };
        Ok(matters.then_some(conditions))
    }

    fn conditions(&self, attached: &[Option<N>], rows: &[usize]) -> Result<Vec<bool>, Complaint> {
        let argument = self.fit.attached();
        same_length(self.x, attached, argument)?;
        let known = |row: &usize| match attached.get(*row) {
            Some(Some(on)) => Ok(on.is_true()),
            _ => Err(missing(argument, *row, "`attached` can't be told")),
        };
        rows.iter().map(known).collect()
    }

    /// The energy used until each row that has a time; a load holds from its row to the next.
    fn energy(&self, load: &[Option<N>]) -> Result<Vec<Option<N>>, Complaint> {
        let argument = self.fit.load().unwrap_or_default();
        same_length(self.x, load, argument)?;
        let kilowatt = N::exact(Number::from_integer(1_000));
        let mut total = N::exact(Number::ZERO);
        let mut before: Option<(&N, &N)> = None;
        let last = self.x.iter().rposition(Option::is_some).unwrap_or(0);
        let mut energy = Vec::with_capacity(load.len());
        for (row, (x, load)) in self.x.iter().zip(load).enumerate() {
            let Some(x) = x else {
                energy.push(None);
                continue;
            };
            if let Some((from, watts)) = before {
                let span = x.subtract(from)?;
                if span.plain() < Number::ZERO {
                    return Err(Complaint::outside(
                        0,
                        format!(
                            "row {} is earlier than the one before, and a load holds from its row to the next",
                            row + 1
                        ),
                    ));
                }
                total = total.add(&watts.divide(&kilowatt)?.multiply(&span)?)?;
            }
            energy.push(Some(total.clone()));
            before = match load {
                Some(watts) => Some((x, watts)),
                None if row == last => None,
                None => return Err(missing(argument, row, "`load` is missing")),
            };
        }
        Ok(energy)
    }
}

fn same_length<N>(x: &[Option<N>], other: &[Option<N>], argument: usize) -> Result<(), Complaint> {
    if x.len() == other.len() {
        return Ok(());
    }
    let message = format!(
        "the columns have different lengths, {} and {} rows",
        x.len(),
        other.len()
    );
    Err(Complaint::lengths(argument, message))
}

fn missing(argument: usize, row: usize, what: &str) -> Complaint {
    let reason = Reason::MissingCell(what.to_owned(), row);
    Complaint::of(argument, reason).help("fill the cell in, or leave the row out with `where`")
}

impl<N: Scalar> FitRows<N> {
    /// As plain numbers.
    pub fn readings(&self, of: Fit) -> Readings {
        let binary = |cells: &[N]| cells.iter().map(Scalar::binary).collect::<Vec<f64>>();
        Readings {
            of,
            x: binary(&self.x),
            y: binary(&self.y),
            attached: self.attached.clone(),
            energy: self.energy.as_deref().map(binary),
        }
    }
}

/// Readings so many that each by itself is of no weight, and costs much to look at.
pub(super) const MANY_READINGS: usize = 5_000;

/// A number kind that programs run in.
pub trait Scalar: Clone + Default {
    /// What goes along with a run.
    type Context;
    /// The number kind in which tables are made.
    type Tabled: Real;

    /// Whether it is noted which rows of its table a column has: only what a reader sees or
    /// hears of is named by its row.
    const KEEPS_ROWS: bool = false;

    /// From an exact decimal.
    fn exact(value: Number) -> Self;
    /// The value as it is kept in a run, which may not grow without end.
    fn kept(self, _context: &mut Self::Context) -> Self {
        self
    }
    /// `a + b`
    fn add(&self, other: &Self) -> Checked<Self>;
    /// `a + b + …`, from the first to the last
    fn sum(values: &[Self]) -> Checked<Self> {
        let mut total = Self::exact(Number::ZERO);
        for value in values {
            total = total.add(value)?;
        }
        Ok(total)
    }
    /// `a - b`
    fn subtract(&self, other: &Self) -> Checked<Self>;
    /// `a * b`
    fn multiply(&self, other: &Self) -> Checked<Self>;
    /// `a / b`
    fn divide(&self, other: &Self) -> Checked<Self>;
    /// `a ^ b`
    fn power(&self, other: &Self) -> Checked<Self>;
    /// `-a`
    fn negate(&self) -> Self;
    /// In another unit.
    fn convert(&self, conversion: &Conversion) -> Checked<Self>;
    /// By value; equal at 12 digits.
    fn compare(&self, other: &Self) -> Ordering;
    /// By value, to the last digit.
    fn order(&self, other: &Self) -> Ordering;
    /// The square root.
    fn square_root(&self) -> Checked<Self>;
    /// e to this.
    fn exponential(&self) -> Checked<Self>;
    /// The natural logarithm.
    fn natural_logarithm(&self) -> Checked<Self>;
    /// The decimal logarithm.
    fn decimal_logarithm(&self) -> Checked<Self>;
    /// The nearest, next lower or next higher whole number; one that it equals at 12 digits.
    fn whole(&self, way: Rounding) -> Self;
    /// The exact value, for texts and truth values.
    fn plain(&self) -> Number;
    /// As a binary number.
    fn binary(&self) -> f64 {
        self.plain().to_f64()
    }
    /// Whether it is not zero: the truth.
    fn is_true(&self) -> bool;
    /// The smaller of two; this one where they are equal.
    #[inline]
    fn least(&self, other: &Self) -> Self {
        if other.order(self) == Ordering::Less {
            other.clone()
        } else {
            self.clone()
        }
    }
    /// The larger of two; this one where they are equal.
    #[inline]
    fn greatest(&self, other: &Self) -> Self {
        if other.order(self) == Ordering::Greater {
            other.clone()
        } else {
            self.clone()
        }
    }
    /// The distance from zero.
    fn magnitude(&self) -> Self {
        match self.order(&Self::exact(Number::ZERO)) {
            Ordering::Less => self.negate(),
            _ => self.clone(),
        }
    }
    /// Whether the two compare so, as a truth value.
    fn compared(&self, operator: ComparisonOperator, other: &Self) -> Self {
        truth(holds(operator, self.compare(other)))
    }
    /// The other truth value.
    fn contrary(&self) -> Self {
        truth(!self.is_true())
    }
    /// Which way a condition goes. Where both ways are open it is settled for this run.
    fn decided(&mut self, _context: &mut Self::Context) -> bool {
        self.is_true()
    }
    /// The value that came of a place which `by` decided.
    fn chosen_by(self, _by: &Self) -> Self {
        self
    }
    /// The value of a row up to which something was followed that went on beyond it.
    fn passed(self) -> Self {
        self
    }
    /// What comes of a column that was followed to there, as its end or its sum.
    fn at_end(self) -> Self {
        self
    }
    /// A trade function of these arguments, called at that place.
    fn call(
        site: CallPlace,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<Self, Complaint>;
    /// The table that a function makes of these arguments, or that it asks for.
    fn made(
        site: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<MadeFor<Self::Tabled>, Complaint>;
    /// How such a table is made, of the two ways that there are.
    fn maker(exact: Make<Number>, drawn: Make<f64>) -> Make<Self::Tabled>;
    /// What tables are made of.
    fn tabled(&self) -> Checked<Self::Tabled>;
    /// A value of such a table, with the source of its uncertainty.
    fn doubted(value: Self::Tabled, doubt: Option<u32>) -> Self;
    /// A straight line through columns.
    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint>;
    /// A cell between those of a grid begins: conditions that aren't decided are its own.
    fn begin_within(_context: &mut Self::Context) {}
    /// Whether there is another way through that cell; `None` where there are too many.
    fn turn_within(_context: &mut Self::Context) -> Option<bool> {
        Some(false)
    }
    /// That cell ends; what it is where a condition in it couldn't be decided at all.
    fn end_within(_context: &mut Self::Context) -> Option<Self> {
        None
    }
    /// What can be either.
    fn or(&self, _other: &Self) -> Self {
        self.clone()
    }
    /// The rows of a column in rising order, for the call at that site; missing ones come last.
    fn sorted(_site: u32, by: &[Option<Self>], _context: &mut Self::Context) -> Vec<u32> {
        rising(by)
    }
    /// What there is to remark of a general function that was worked out at a call site.
    fn remark_built(_site: u32, _built: Built, _arguments: &[CallArgument<'_, Self>], _context: &mut Self::Context) {}
}

/// The rows of a column in rising order; those that are alike keep theirs, missing ones come last.
pub(super) fn rising<N: Scalar>(by: &[Option<N>]) -> Vec<u32> {
    let mut rows: Vec<(u32, &Option<N>)> = (0u32..).zip(by).collect();
    rows.sort_by(|(_, one), (_, other)| match (one, other) {
        (Some(one), Some(other)) => one.order(other),
        (one, other) => one.is_none().cmp(&other.is_none()),
    });
    rows.into_iter().map(|(row, _)| row).collect()
}

/// A truth value as a number.
pub(crate) fn truth<N: Scalar>(holds: bool) -> N {
    N::exact(if holds { Number::ONE } else { Number::ZERO })
}

/// Whether two things in that order are as the operator says.
pub(crate) fn holds(operator: ComparisonOperator, order: Ordering) -> bool {
    match operator {
        ComparisonOperator::Less => order == Ordering::Less,
        ComparisonOperator::AtMost => order != Ordering::Greater,
        ComparisonOperator::Equal => order == Ordering::Equal,
        ComparisonOperator::AtLeast => order != Ordering::Less,
        ComparisonOperator::Greater => order == Ordering::Greater,
        ComparisonOperator::Unequal => order != Ordering::Equal,
    }
}

/// Which way to round.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rounding {
    /// To the nearest, halves away from zero.
    Nearest,
    /// Upward.
    Up,
    /// Downward.
    Down,
}

/// An argument as the machine has it.
pub enum CallArgument<'a, N> {
    /// A number.
    Number(N),
    /// A text.
    Text(&'a str),
    /// A column.
    Column(&'a [Option<N>]),
    /// Values that change with time.
    Schedule(Schedule<'a, N>),
}

impl<'a, N: Copy> CallArgument<'a, N> {
    /// As a function takes it.
    pub(super) fn argument(&self) -> Argument<'a, N> {
        match self {
            CallArgument::Number(number) => Argument::Number(*number),
            CallArgument::Text(text) => Argument::Text(text),
            CallArgument::Column(cells) => Argument::Column(cells),
            CallArgument::Schedule(schedule) => Argument::Schedule(*schedule),
        }
    }
}

impl<N> CallArgument<'_, N> {
    /// Whether any of its numbers is so.
    pub(super) fn any(&self, is_so: impl Fn(&N) -> bool) -> bool {
        let any = |cells: &[Option<N>]| cells.iter().flatten().any(&is_so);
        match self {
            CallArgument::Number(number) => is_so(number),
            CallArgument::Text(_) => false,
            CallArgument::Column(cells) => any(cells),
            CallArgument::Schedule(schedule) => any(schedule.hours) || any(schedule.values),
        }
    }
}

/// How the readings of the tables of a worksheet were declared.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub enum Declared {
    /// None has a ±.
    #[default]
    Nowhere,
    /// In each column all alike.
    Evenly,
    /// In some column some are surer than others.
    Unevenly,
}

/// The same, with the columns in which any has a ±.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct DeclaredColumns {
    /// How the readings of all of them were.
    pub how: Declared,
    /// The slots of those with a ±.
    pub slots: Arc<BTreeSet<u32>>,
}

impl DeclaredColumns {
    /// Whether the readings of a fit may be of different weight, or their places unsure.
    pub(crate) fn may_weigh<N>(&self, columns: &FitColumns<'_, N>) -> bool {
        let along = || columns.along.is_some_and(|slot| self.slots.contains(&slot));
        self.how == Declared::Unevenly || self.how == Declared::Evenly && (!columns.plain || along())
    }
}

/// The complaint of a fit that needs the weights of its readings.
pub(crate) fn needs_weights() -> Complaint {
    Complaint::whole(Reason::NeedsTolerances(
        "the readings of a line are weighed by their tolerances".to_owned(),
    ))
}

/// A table as a function made it, and whether its arguments are uncertain.
pub struct MadeFor<R> {
    /// The table.
    pub made: Arc<Made<R>>,
    /// The source of uncertainty that its values have, where they have any.
    pub doubt: Option<u32>,
}

/// The rows in which both columns have a reading.
pub(crate) fn paired<N: Clone>(x: &[Option<N>], y: &[Option<N>]) -> Result<(Vec<N>, Vec<N>), Complaint> {
    same_length(x, y, 1)?;
    let pairs = x.iter().zip(y).filter_map(|(x, y)| Some((x.clone()?, y.clone()?)));
    Ok(pairs.unzip())
}

/// Where a function is called: the site of the program, and which time of several it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct CallPlace {
    /// The site.
    pub site: u32,
    /// The row of what is worked out row by row.
    pub row: u32,
    /// The place of a grid, counted from 1; 0 outside of one.
    pub of_grid: u32,
}

impl CallPlace {
    /// The only call of a site.
    pub fn single(site: u32) -> CallPlace {
        CallPlace {
            site,
            row: 0,
            of_grid: 0,
        }
    }
}

/// The expanded uncertainties of the arguments of calls that asked for them, by where those are.
pub(crate) type Tolerances = BTreeMap<CallPlace, Vec<f64>>;
