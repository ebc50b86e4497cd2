//! What the machine asks of a number kind.
//!
//! Exact decimals run the record; binary numbers with their derivatives carry
//! uncertainties ([`super::dual`]), and ranges what a limit has cut short
//! ([`super::ranged`]). Nothing else knows how many kinds there are.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::{Checked, Number, Real, Trouble};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::burn::{burns, fit_exact};
use crate::trade::{Argument, Arguments, Body, Built, Complaint, Fit, Function, Made, Reason, Schedule};
use crate::unit::Conversion;

use super::made::MadeTables;

/// The columns of a straight-line fit, and who they are.
pub struct FitColumns<'a, N> {
    /// What is asked of the line.
    pub fit: Fit,
    /// The readings along, with the slot of their column.
    pub x: &'a [Option<N>],
    /// The readings up.
    pub y: &'a [Option<N>],
    /// Where the line is asked for.
    pub at: Option<N>,
    /// The column slots.
    pub slots: (u32, u32),
    /// The call.
    pub site: u32,
    /// Whether each column is one of a table, but for conversions, constants added and rows
    /// left out.
    pub plain: bool,
}

/// The weight one value may have: beyond it, what it rests on is taken together.
pub const HEAVIEST_VALUE: usize = 5_000;

/// The weight a column may have before each of its values is taken together.
pub const HEAVIEST_COLUMN: usize = 2_000_000;

/// The cells of a column being made, which are kept from growing without end.
pub struct Column<N> {
    /// The cells so far.
    pub cells: Vec<Option<N>>,
    weight: usize,
}

impl<N: Scalar> Column<N> {
    /// Without cells, with room for so many.
    pub fn with_capacity(rows: usize) -> Self {
        Column {
            cells: Vec::with_capacity(rows),
            weight: 0,
        }
    }

    /// The value as it may be kept in this column.
    pub fn fitted(&mut self, value: N, context: &mut N::Context) -> N {
        self.weight += value.weight();
        let most = if self.weight > HEAVIEST_COLUMN {
            2
        } else {
            HEAVIEST_VALUE
        };
        value.condensed(most, context)
    }
}

/// A number kind that programs run in.
pub trait Scalar: Clone + Default {
    /// What goes along with a run.
    type Context;

    /// Whether it is noted which rows of its table a column has: only what a reader sees
    /// is named by its row.
    const KEEPS_ROWS: bool = false;

    /// From an exact decimal.
    fn exact(value: Number) -> Self;
    /// How much it takes besides its value.
    fn weight(&self) -> usize {
        0
    }
    /// As good a value that takes little room, where it weighs more than `most`.
    fn condensed(self, _most: usize, _context: &mut Self::Context) -> Self {
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
    /// A trade function of these arguments, called at that site of the program.
    fn call(
        site: u32,
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
    ) -> Result<MadeFor, Complaint>;
    /// A value of such a table, with the source of its uncertainty.
    fn doubted(value: Number, doubt: Option<u32>) -> Self;
    /// A straight line through columns.
    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint>;
    /// What there is to remark of a general function that was worked out at a call site.
    fn remark_built(_site: u32, _built: Built, _arguments: &[CallArgument<'_, Self>], _context: &mut Self::Context) {}
}

/// A truth value as a number.
pub fn truth<N: Scalar>(holds: bool) -> N {
    N::exact(if holds { Number::ONE } else { Number::ZERO })
}

/// Whether two things in that order are as the operator says.
pub fn holds(operator: ComparisonOperator, order: Ordering) -> bool {
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

/// The expanded uncertainties of the arguments of calls that asked for them, by call site.
pub type Tolerances = BTreeMap<u32, Vec<f64>>;

/// What calls asked for, by call site, since decimals don't carry it.
#[derive(Clone, Debug, Default)]
pub struct AskedFor {
    /// The expanded uncertainties of their arguments.
    pub tolerances: Tolerances,
    /// The weights of their readings; none where all count alike.
    pub weights: BTreeMap<u32, Vec<Number>>,
}

/// What goes along with a run in exact decimals.
#[derive(Clone, Debug, Default)]
pub struct Alongside {
    /// What calls asked for.
    pub asked: AskedFor,
    /// How the readings of tables were declared.
    pub declared: Declared,
    /// The tables that functions made.
    pub made: MadeTables,
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

impl Declared {
    /// Whether the readings of a fit may be of different weight.
    pub fn may_weigh<N>(self, columns: &FitColumns<'_, N>) -> bool {
        self == Declared::Unevenly || self == Declared::Evenly && !columns.plain
    }
}

/// The complaint of a fit that needs the weights of its readings.
pub fn needs_weights() -> Complaint {
    Complaint {
        argument: None,
        reason: Reason::NeedsTolerances("the readings of a line are weighed by their tolerances".to_owned()),
        help: None,
    }
}

/// A table as a function made it, and whether its arguments are uncertain.
pub struct MadeFor {
    /// The table.
    pub made: Arc<Made>,
    /// The source of uncertainty that its values have, where they have any.
    pub doubt: Option<u32>,
}

impl Scalar for Number {
    type Context = Alongside;
    const KEEPS_ROWS: bool = true;

    fn exact(value: Number) -> Self {
        value
    }
    #[inline]
    fn add(&self, other: &Self) -> Checked<Self> {
        Number::add(*self, *other)
    }
    #[inline]
    fn subtract(&self, other: &Self) -> Checked<Self> {
        Number::sub(*self, *other)
    }
    #[inline]
    fn multiply(&self, other: &Self) -> Checked<Self> {
        Number::mul(*self, *other)
    }
    #[inline]
    fn divide(&self, other: &Self) -> Checked<Self> {
        Number::div(*self, *other)
    }
    fn power(&self, other: &Self) -> Checked<Self> {
        Number::pow(*self, *other)
    }
    fn negate(&self) -> Self {
        self.neg()
    }
    fn convert(&self, conversion: &Conversion) -> Checked<Self> {
        conversion.apply(*self)
    }
    fn compare(&self, other: &Self) -> Ordering {
        if self.agrees_with(*other) {
            Ordering::Equal
        } else {
            Number::compare(*self, *other)
        }
    }
    fn order(&self, other: &Self) -> Ordering {
        Number::compare(*self, *other)
    }
    fn square_root(&self) -> Checked<Self> {
        self.sqrt()
    }
    fn exponential(&self) -> Checked<Self> {
        self.exp()
    }
    fn natural_logarithm(&self) -> Checked<Self> {
        self.ln()
    }
    fn decimal_logarithm(&self) -> Checked<Self> {
        self.log10()
    }
    fn whole(&self, way: Rounding) -> Self {
        match way {
            Rounding::Nearest => self.round(),
            Rounding::Up => self.round_up(),
            Rounding::Down => self.round_down(),
        }
    }
    fn plain(&self) -> Number {
        *self
    }
    fn is_true(&self) -> bool {
        !self.is_zero()
    }

    fn call(
        site: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<Self, Complaint> {
        let Body::Rule { exact, .. } = function.body else {
            return Err(Trouble::TooLarge.into());
        };
        let values: Vec<Argument<'_, Number>> = arguments
            .iter()
            .map(|argument| match argument {
                CallArgument::Number(number) => Argument::Number(*number),
                CallArgument::Text(text) => Argument::Text(text),
                CallArgument::Column(cells) => Argument::Column(cells),
                CallArgument::Schedule(schedule) => Argument::Schedule(*schedule),
            })
            .collect();
        let expanded = context.asked.tolerances.get(&site).map_or(&[][..], |expanded| expanded);
        exact(&Arguments {
            values: &values,
            expanded,
        })
    }

    fn made(
        _: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        context: &mut Self::Context,
    ) -> Result<MadeFor, Complaint> {
        let made = context.made.get(function, arguments)?;
        Ok(MadeFor { made, doubt: None })
    }

    fn doubted(value: Number, _: Option<u32>) -> Self {
        value
    }

    fn fit(columns: &FitColumns<'_, Self>, context: &mut Self::Context) -> Result<Self, Complaint> {
        let (x, y) = paired(columns.x, columns.y)?;
        let weights = context.asked.weights.get(&columns.site);
        if weights.is_none() && x.len() > 2 && context.declared.may_weigh(columns) {
            return Err(needs_weights());
        }
        let weights = weights.filter(|weights| weights.len() == x.len());
        let (slope, intercept) = fit_exact(&x, &y, weights.map(Vec::as_slice))?;
        if columns.fit == Fit::BurnRate {
            let binary = |cells: &[Number]| cells.iter().map(|cell| cell.to_f64()).collect::<Vec<f64>>();
            burns(&binary(&x), &binary(&y))?;
        }
        Ok(match columns.fit {
            Fit::BurnRate => slope.neg(),
            Fit::Slope => slope,
            Fit::Intercept => intercept,
            Fit::LineAt | Fit::ReadingAt => intercept.add(slope.mul(columns.at.unwrap_or_default())?)?,
        })
    }
}

/// The rows in which both columns have a reading.
pub fn paired<N: Clone>(x: &[Option<N>], y: &[Option<N>]) -> Result<(Vec<N>, Vec<N>), Complaint> {
    if x.len() != y.len() {
        let message = format!("the columns have different lengths, {} and {} rows", x.len(), y.len());
        return Err(Complaint::lengths(1, message));
    }
    let pairs = x.iter().zip(y).filter_map(|(x, y)| Some((x.clone()?, y.clone()?)));
    Ok(pairs.unzip())
}
