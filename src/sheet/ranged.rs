//! Numbers of which only a range may be known: one run of the program with what limits cut short.
//!
//! Each carries the value of the record and, where that isn't all, what it can be
//! ([`Range`]). Sums, the smaller and larger of two, products by what has a sign and
//! whatever rises or falls all the way carry the range on; a trade function of such a
//! number can be anything. Where a condition isn't decided, the cell is run both ways
//! ([`Course`]). Start reading at [`Ranged`].

use std::cmp::Ordering;

use crate::number::{Checked, Number};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::{Complaint, Function, Make};
use crate::unit::Conversion;

use super::exact::Alongside;
use super::range::Range;
use super::scalar::{CallArgument, CallPlace, FitColumns, MadeFor, Rounding, Scalar, truth};

/// A number, and what it can be where it is not known to be that alone.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub(crate) struct Ranged {
    /// What the record says.
    pub value: Number,
    /// What it can be; `None` where it is the value.
    pub range: Option<Range>,
    /// For a row up to which something was followed that goes on: what the end of its column
    /// can be.
    pub beyond: Option<Range>,
}

/// What goes along: which way undecided conditions are taken, and what was met.
#[derive(Default)]
pub(crate) struct Course {
    /// What goes along with the record.
    pub alongside: Alongside,
    /// Whether a function was followed only part of the way.
    pub passed: bool,
    /// Whether a table was made of what isn't known.
    pub unsure: bool,
    ways: Ways,
    around: Vec<Ways>,
}

/// The way through a cell: how each undecided condition is taken, and how many were met.
#[derive(Default)]
struct Ways {
    taken: Vec<bool>,
    asked: usize,
    gone: usize,
}

/// So many ways through one cell are looked at; beyond them its value can be anything.
pub(crate) const MOST_WAYS: usize = 64;

impl Course {
    /// For a run with these.
    pub(crate) fn with(alongside: Alongside) -> Course {
        Course {
            alongside,
            ..Course::default()
        }
    }

    /// Another cell begins.
    pub(crate) fn begin(&mut self) {
        (self.passed, self.unsure) = (false, false);
        self.ways = Ways::default();
    }

    /// Goes on to the next way through the same cell; `None` after the last.
    pub(crate) fn turn(&mut self) -> Option<()> {
        self.ways.turn()
    }
}

impl Ways {
    fn turn(&mut self) -> Option<()> {
        self.taken.truncate(self.asked);
        while self.taken.last() == Some(&false) {
            self.taken.pop();
        }
        *self.taken.last_mut()? = false;
        (self.asked, self.gone) = (0, self.gone + 1);
        Some(())
    }

    /// Whether another undecided condition can still be taken both ways.
    fn way(&mut self) -> bool {
        if self.asked == self.taken.len() {
            self.taken.push(true);
        }
        self.asked += 1;
        self.taken.get(self.asked - 1).copied().unwrap_or(true)
    }
}

impl Ranged {
    /// All that it can be.
    pub(crate) fn whole_range(&self) -> Range {
        self.range.unwrap_or_else(|| Range::exactly(self.value))
    }

    /// With what it can be; where that is one value, it is that one.
    pub(crate) fn with(value: Number, range: Range) -> Ranged {
        match range.only() {
            Some(only) => Ranged::exact(only),
            None => Ranged {
                range: Some(range),
                ..Ranged::exact(value)
            },
        }
    }

    fn one(&self, value: Number, through: impl Fn(Range) -> Range) -> Ranged {
        let found = self
            .range
            .map_or(Ranged::exact(value), |range| Ranged::with(value, through(range)));
        found.going_on(self.beyond.map(through))
    }

    fn two(&self, other: &Self, value: Number, through: impl Fn(Range, Range) -> Range) -> Ranged {
        let found = match (self.range, other.range) {
            (None, None) => Ranged::exact(value),
            _ => Ranged::with(value, through(self.whole_range(), other.whole_range())),
        };
        let end = |one: &Ranged| one.beyond.unwrap_or_else(|| one.whole_range());
        let beyond = (self.beyond.is_some() || other.beyond.is_some()).then(|| through(end(self), end(other)));
        found.going_on(beyond)
    }

    fn going_on(self, beyond: Option<Range>) -> Ranged {
        let beyond = beyond.filter(|beyond| beyond.only() != Some(self.value));
        Ranged { beyond, ..self }
    }
}

impl Scalar for Ranged {
    type Context = Course;
    type Tabled = Number;

    fn exact(value: Number) -> Self {
        Ranged {
            value,
            ..Ranged::default()
        }
    }
    fn add(&self, other: &Self) -> Checked<Self> {
        Ok(self.two(other, self.value.add(other.value)?, Range::plus))
    }
    fn subtract(&self, other: &Self) -> Checked<Self> {
        let value = self.value.sub(other.value)?;
        Ok(self.two(other, value, |one, other| one.plus(other.turned())))
    }
    fn multiply(&self, other: &Self) -> Checked<Self> {
        Ok(self.two(other, self.value.mul(other.value)?, Range::times))
    }
    fn divide(&self, other: &Self) -> Checked<Self> {
        Ok(self.two(other, self.value.div(other.value)?, Range::over))
    }
    fn power(&self, other: &Self) -> Checked<Self> {
        Ok(self.two(other, self.value.pow(other.value)?, Range::power))
    }
    fn negate(&self) -> Self {
        self.one(self.value.neg(), Range::turned)
    }
    fn convert(&self, conversion: &Conversion) -> Checked<Self> {
        let value = conversion.apply(self.value)?;
        Ok(self.one(value, |range| range.rising(|at| conversion.apply(at))))
    }
    fn compare(&self, other: &Self) -> Ordering {
        Scalar::compare(&self.value, &other.value)
    }
    fn order(&self, other: &Self) -> Ordering {
        self.value.compare(other.value)
    }
    fn square_root(&self) -> Checked<Self> {
        Ok(self.one(self.value.sqrt()?, |range| range.rising(Number::sqrt)))
    }
    fn exponential(&self) -> Checked<Self> {
        Ok(self.one(self.value.exp()?, |range| range.rising(Number::exp)))
    }
    fn natural_logarithm(&self) -> Checked<Self> {
        Ok(self.one(self.value.ln()?, |range| range.rising(Number::ln)))
    }
    fn decimal_logarithm(&self) -> Checked<Self> {
        Ok(self.one(self.value.log10()?, |range| range.rising(Number::log10)))
    }
    fn whole(&self, way: Rounding) -> Self {
        self.one(self.value.whole(way), |range| range.stepped(|at| at.whole(way)))
    }
    fn plain(&self) -> Number {
        self.value
    }
    fn is_true(&self) -> bool {
        !self.value.is_zero()
    }
    fn least(&self, other: &Self) -> Self {
        self.two(other, self.value.least(&other.value), Range::least)
    }
    fn greatest(&self, other: &Self) -> Self {
        self.two(other, self.value.greatest(&other.value), Range::greatest)
    }
    fn magnitude(&self) -> Self {
        self.one(self.value.abs(), Range::magnitude)
    }
    fn compared(&self, operator: ComparisonOperator, other: &Self) -> Self {
        let value: Number = self.value.compared(operator, &other.value);
        let compared = self.two(other, value, |one, other| match one.compared(operator, other) {
            Some(so) => Range::exactly(truth(so)),
            None => Range::undecided(),
        });
        compared.going_on(None)
    }
    fn contrary(&self) -> Self {
        self.one(self.value.contrary(), |_| Range::undecided())
    }
    fn decided(&mut self, course: &mut Course) -> bool {
        if self.range.is_some() {
            *self = Ranged::exact(truth(course.ways.way()));
        }
        self.is_true()
    }
    fn chosen_by(self, by: &Self) -> Self {
        match by.range {
            Some(_) => Ranged::with(self.value, Range::ANY),
            None => self,
        }
    }
    fn begin_within(course: &mut Course) {
        let around = std::mem::take(&mut course.ways);
        course.around.push(around);
    }
    fn turn_within(course: &mut Course) -> Option<bool> {
        let again = course.ways.turn().is_some();
        (course.ways.gone < MOST_WAYS).then_some(again)
    }
    fn end_within(course: &mut Course) -> Option<Self> {
        course.ways = course.around.pop().unwrap_or_default();
        None
    }
    fn or(&self, other: &Self) -> Self {
        let found = Ranged::with(self.value, self.whole_range().or(other.whole_range()));
        let end = |one: &Ranged| one.beyond.unwrap_or_else(|| one.whole_range());
        let goes_on = self.beyond.is_some() || other.beyond.is_some();
        found.going_on(goes_on.then(|| end(self).or(end(other))))
    }
    fn passed(self) -> Self {
        self.going_on(Some(Range::more_than(self.value)))
    }
    fn at_end(self) -> Self {
        match self.beyond {
            Some(range) => Ranged::with(self.value, range),
            None => self,
        }
    }

    fn call(
        site: CallPlace,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        course: &mut Course,
    ) -> Result<Self, Complaint> {
        let columns: Vec<Vec<Option<Number>>> = arguments.iter().map(plain_column).collect();
        let plain = arguments.iter().zip(&columns).map(|(argument, column)| match argument {
            CallArgument::Number(number) => CallArgument::Number(number.value),
            CallArgument::Text(text) => CallArgument::Text(text),
            // only tables are made of schedules
            CallArgument::Column(_) | CallArgument::Schedule(_) => CallArgument::Column(column),
        });
        let plain: Vec<CallArgument<'_, Number>> = plain.collect();
        let value = Number::call(site, function, &plain, &mut course.alongside)?;
        Ok(unless_unsure(value, arguments.iter().any(is_unsure)))
    }

    fn made(
        _: u32,
        function: &'static Function,
        arguments: &[CallArgument<'_, Self>],
        course: &mut Course,
    ) -> Result<MadeFor<Number>, Complaint> {
        if arguments.iter().any(is_unsure) {
            course.unsure = true;
            return Err(Complaint::outside(0, "there is no table of what isn't known"));
        }
        let made = course.alongside.made.get(function, arguments)?;
        course.passed |= made.goes_on.is_some();
        Ok(MadeFor { made, doubt: None })
    }

    fn maker(exact: Make<Number>, _: Make<f64>) -> Make<Number> {
        exact
    }

    fn tabled(&self) -> Checked<Number> {
        Ok(self.plain())
    }

    fn doubted(value: Number, _: Option<u32>) -> Self {
        Ranged::exact(value)
    }

    fn fit(columns: &FitColumns<'_, Self>, course: &mut Course) -> Result<Self, Complaint> {
        let (x, y) = (plain_cells(columns.x), plain_cells(columns.y));
        let (attached, load) = (columns.attached.map(plain_cells), columns.load.map(plain_cells));
        let plain = FitColumns {
            fit: columns.fit,
            x: &x,
            y: &y,
            attached: attached.as_deref(),
            load: load.as_deref(),
            at: columns.at.map(|at| at.value),
            of_table: columns.of_table,
            slots: columns.slots,
            site: columns.site,
            plain: columns.plain,
            along: columns.along,
        };
        let value = Number::fit(&plain, &mut course.alongside)?;
        let others = columns.attached.into_iter().chain(columns.load).flatten();
        let mut cells = columns
            .x
            .iter()
            .chain(columns.y)
            .chain(others)
            .flatten()
            .chain(&columns.at);
        Ok(unless_unsure(value, cells.any(|cell| cell.range.is_some())))
    }
}

fn unless_unsure(value: Number, unsure: bool) -> Ranged {
    match unsure {
        true => Ranged::with(value, Range::ANY),
        false => Ranged::exact(value),
    }
}

fn plain_cells(cells: &[Option<Ranged>]) -> Vec<Option<Number>> {
    cells.iter().map(|cell| cell.map(|cell| cell.value)).collect()
}

fn plain_column(argument: &CallArgument<'_, Ranged>) -> Vec<Option<Number>> {
    match argument {
        CallArgument::Column(cells) => plain_cells(cells),
        _ => Vec::new(),
    }
}

fn is_unsure(argument: &CallArgument<'_, Ranged>) -> bool {
    argument.any(|number| number.range.is_some())
}
