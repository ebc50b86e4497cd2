//! Straight lines through readings: rate, what hung on the scale, what a load adds.
//!
//! The arithmetic of the line is here in both number kinds, so that shown digits are the
//! same on every machine; the evaluator puts columns into it. Besides the slope a line may
//! have what is attached at some readings, the same each time, and what the energy used
//! until each takes. Uncertainty follows JCGM 100: the scatter about the line or the step
//! of the display, whichever is larger, with Student's k for its degrees of freedom. Start
//! reading at [`fit`] and [`fit_exact`].

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use crate::number::{Checked, Number, Trouble};

use super::declare::shown;
use super::least_squares::{self, Fitted};
use super::{Complaint, Fit, Outcome};

/// Readings that a line goes through.
#[derive(Clone, PartialEq, Debug)]
pub struct Readings {
    /// What is asked of the line.
    pub of: Fit,
    /// Where they stand along.
    pub x: Vec<f64>,
    /// What was read.
    pub y: Vec<f64>,
    /// At which of them something else hung on the scale.
    pub attached: Option<Vec<bool>>,
    /// The energy used until each, in kWh.
    pub energy: Option<Vec<f64>>,
}

impl Readings {
    /// Of two columns alone.
    pub fn plain(x: &[f64], y: &[f64]) -> Readings {
        Readings {
            of: Fit::Slope,
            x: x.to_vec(),
            y: y.to_vec(),
            attached: None,
            energy: None,
        }
    }

    /// The unknowns that are fitted besides the value in the middle.
    pub(super) fn factors(&self, mean_x: f64) -> Vec<Vec<f64>> {
        let along = self.x.iter().map(|x| x - mean_x).collect();
        let hung = |attached: &Vec<bool>| attached.iter().map(|on| f64::from(u8::from(*on))).collect();
        let others = [self.energy.clone(), self.attached.as_ref().map(hung)];
        std::iter::once(along).chain(others.into_iter().flatten()).collect()
    }

    /// How much each reading moves with its place along.
    pub(crate) fn steepness(&self, line: &Line) -> Vec<f64> {
        let slope = line.slope();
        let Some((energy, by_energy)) = self.energy.as_ref().zip(line.by_energy()) else {
            return vec![slope; self.x.len()];
        };
        let load = |row: usize| {
            let at = |values: &[f64], row: usize| values.get(row).copied().unwrap_or(0.0);
            let (from, to) = (row.saturating_sub(1), row.max(1));
            let span = at(&self.x, to) - at(&self.x, from);
            if span > 0.0 {
                (at(energy, to) - at(energy, from)) / span
            } else {
                0.0
            }
        };
        (0..self.x.len()).map(|row| slope + by_energy * load(row)).collect()
    }

    /// What was fitted at each, as it was read.
    fn fitted(&self, line: &Line) -> Vec<f64> {
        let factors = self.factors(line.mean_x);
        let unknowns = line.fitted.unknowns.iter().skip(1);
        let middle = line.fitted.unknowns.first().copied().unwrap_or(0.0);
        let mut all = vec![middle; self.x.len()];
        for (unknown, factor) in unknowns.zip(&factors) {
            all.iter_mut()
                .zip(factor)
                .for_each(|(at, factor)| *at += unknown * factor);
        }
        all
    }

    /// The same with each put along by its shift times what it lies off the line, and as much
    /// up as the line then goes, so that it stays as far off: where the line says that it was.
    pub(crate) fn shifted(&self, line: &Line, shifts: &[f64]) -> Readings {
        let mut shifted = self.clone();
        let (fitted, steepness) = (self.fitted(line), self.steepness(line));
        for (row, shift) in shifts.iter().enumerate() {
            let at = |values: &[f64]| values.get(row).copied().unwrap_or(0.0);
            let along = shift * (at(&self.y) - at(&fitted));
            let used = line.by_energy().filter(|by| *by != 0.0);
            let energy = used.map_or(0.0, |by| (at(&steepness) - line.slope()) / by);
            let add = |values: &mut [f64], more: f64| values.get_mut(row).iter_mut().for_each(|value| **value += more);
            add(&mut shifted.x, along);
            add(&mut shifted.y, along * at(&steepness));
            shifted.energy.iter_mut().for_each(|values| add(values, along * energy));
        }
        shifted
    }

    /// What was read, less what hung there.
    pub fn bare(&self, line: &Line) -> Vec<f64> {
        let hung = line.hung().unwrap_or(0.0);
        let on = |row: usize| self.attached.as_ref().and_then(|attached| attached.get(row)) == Some(&true);
        let rows = self.y.iter().enumerate();
        rows.map(|(row, y)| if on(row) { y - hung } else { *y }).collect()
    }

    fn checked(&self) -> Outcome<()> {
        enough(self.x.len(), self.y.len())?;
        let Some(attached) = &self.attached else { return Ok(()) };
        let awaited = match (attached.contains(&true), attached.contains(&false)) {
            (false, _) => "a weighing with it attached",
            (true, false) => "a weighing with nothing attached",
            // a slope, what hung there and a value in the middle
            (true, true) if self.x.len() < 3 => "a third reading",
            (true, true) => return Ok(()),
        };
        Err(Complaint::awaits(self.of.attached(), awaited))
    }

    /// Why the unknowns can't be told apart.
    fn alike(&self) -> Complaint {
        let first = self.x.first();
        if self.x.iter().all(|x| Some(x) == first) {
            return at_one_place();
        }
        if let Some(load) = self.of.load().filter(|_| self.loads_are_alike()) {
            return Complaint::awaits(load, "a stretch at another load");
        }
        let message = "these weighings don't tell the slope and what is attached apart";
        Complaint::outside(self.of.attached(), message)
            .help("weigh twice in the same way, with time between, and once in the other")
    }

    fn loads_are_alike(&self) -> bool {
        let Some(energy) = &self.energy else { return false };
        let mut alone = Readings::plain(&self.x, &self.y);
        alone.energy = Some(energy.clone());
        fit(&alone, None).is_err()
    }
}

/// A line fitted by least squares.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// The unknowns: the value in the middle, the slope, what a kilowatt-hour adds, and what
    /// hung there; those that were asked for.
    pub fitted: Fitted,
    /// The middle: the mean of x, by weight.
    pub mean_x: f64,
    /// Whether energy is among the unknowns.
    with_energy: bool,
    /// Whether what hung there is.
    with_hung: bool,
    /// Whether the readings were put along first, since their places are unsure.
    pub(crate) shifted: bool,
}

/// How the readings of a line count.
#[derive(Clone, PartialEq, Debug)]
pub struct Counting {
    /// The weight of each.
    pub weights: Vec<f64>,
    /// How far each is put along for what it lies off the line; none where the readings stand
    /// where they were said to.
    pub shifts: Vec<f64>,
}

impl Counting {
    /// Whether readings are put along.
    pub(crate) fn shifts(&self) -> bool {
        !self.shifts.is_empty()
    }
}

/// A line has no more unknowns.
pub(crate) const MOST_UNKNOWNS: usize = 4;

impl Line {
    /// The slope, y over x.
    pub fn slope(&self) -> f64 {
        self.fitted.unknowns.get(1).copied().unwrap_or(0.0)
    }

    /// The place among the unknowns of what a kilowatt-hour adds.
    pub(crate) fn energy_at(&self) -> Option<usize> {
        self.with_energy.then_some(2)
    }

    /// The place among the unknowns of what hung there.
    pub(crate) fn hung_at(&self) -> Option<usize> {
        self.with_hung.then_some(if self.with_energy { 3 } else { 2 })
    }

    /// How far each unknown moves with the factor of one of them at a reading. One that was
    /// put along stands as far off the line as before, so that only its place moves it.
    pub(crate) fn by_factor(&self, unknown: usize, reading: usize) -> Vec<f64> {
        if !self.shifted {
            return self.fitted.by_factor(unknown, reading);
        }
        let by = self.fitted.unknowns.get(unknown).copied().unwrap_or(0.0);
        self.fitted
            .by_reading(reading)
            .iter()
            .map(|moved| -by * moved)
            .collect()
    }

    fn by_energy(&self) -> Option<f64> {
        self.fitted.unknowns.get(self.energy_at()?).copied()
    }

    fn hung(&self) -> Option<f64> {
        self.fitted.unknowns.get(self.hung_at()?).copied()
    }

    /// The value on the line at `x`, without what hung there.
    pub fn value_at(&self, x: f64) -> f64 {
        let middle = self.fitted.unknowns.first().copied().unwrap_or(0.0);
        middle + self.slope() * (x - self.mean_x)
    }

    /// What is asked of it, at that place or load, or of that weight.
    ///
    /// # Errors
    /// A weight that it never comes down to.
    pub fn asked(&self, of: Fit, at: f64) -> Outcome<f64> {
        Ok(match of {
            Fit::BurnRate | Fit::Average => -self.slope(),
            Fit::Slope => self.slope(),
            Fit::Intercept => self.value_at(0.0),
            Fit::LineAt | Fit::ReadingAt => self.value_at(at),
            Fit::Attached => self.hung().unwrap_or(0.0),
            Fit::Reaches => self.mean_x + (self.value_at(self.mean_x) - at) / falls(-self.slope())?,
            Fit::RateAtLoad => -self.slope() - self.by_energy().unwrap_or(0.0) * at / 1_000.0,
        })
    }
}

/// A rate above zero.
///
/// # Errors
/// Without it no weight is ever reached.
pub fn falls(rate: f64) -> Outcome<f64> {
    if rate > 0.0 {
        return Ok(rate);
    }
    let message = "the weight doesn't fall along this line, so it never comes down to the target";
    Err(Complaint::outside(1, message).help("weigh over a longer time"))
}

/// So often a line and what rests on it are settled by turns at most.
pub(crate) const MOST_TURNS: usize = 100;

/// The line through readings, by least squares about their means; where they are put along,
/// through where they then stand, by turns until that is settled. Without a counting all
/// count alike.
///
/// # Errors
/// Too few readings, columns of different length, or unknowns that they don't tell apart;
/// places too unsure to settle.
pub fn fit(readings: &Readings, counting: Option<&Counting>) -> Result<Line, Complaint> {
    let line = straight(readings, counting.map(|counting| counting.weights.as_slice()))?;
    match counting.filter(|counting| counting.shifts()) {
        Some(counting) => by_turns(readings, line, |_| Ok(counting.clone())).map(|(line, _)| line),
        None => Ok(line),
    }
}

/// The line that is settled by turns with how its readings count, which rests on it.
///
/// # Errors
/// As [`fit`].
pub(crate) fn by_turns(
    readings: &Readings,
    mut line: Line,
    counted: impl Fn(&Line) -> Result<Counting, Complaint>,
) -> Result<(Line, Counting), Complaint> {
    let most = readings.y.iter().fold(0.0, |most: f64, y| most.max(y.abs()));
    for _ in 0..MOST_TURNS {
        let counting = counted(&line)?;
        let mut next = straight(&readings.shifted(&line, &counting.shifts), Some(&counting.weights))?;
        next.shifted = true;
        let moved = readings.fitted(&line).into_iter().zip(readings.fitted(&next));
        let mut moved = moved.map(|(before, after)| (after - before).abs() <= SETTLED * most);
        let settled = moved.all(|settled| settled);
        line = next;
        if settled {
            return Ok((line, counting));
        }
    }
    Err(unsettled())
}

/// A line that moves by less than this part of the largest reading is settled.
const SETTLED: f64 = 1e-13;

/// That a line doesn't settle.
pub(crate) fn unsettled() -> Complaint {
    let message = "the line doesn't settle: where its readings stand along is too unsure for it";
    Complaint::outside(0, message).help("give the places along smaller tolerances, or readings further apart")
}

/// The line through readings as they stand, by weight.
fn straight(readings: &Readings, weights: Option<&[f64]>) -> Result<Line, Complaint> {
    readings.checked()?;
    let alike = vec![1.0; readings.x.len()];
    let weights = weights
        .filter(|weights| weights.len() == readings.x.len())
        .unwrap_or(&alike);
    let mean_x = mean(&readings.x, weights);
    let fitted = least_squares::fit(&readings.factors(mean_x), &readings.y, weights);
    Ok(Line {
        fitted: fitted.ok_or_else(|| readings.alike())?,
        mean_x,
        with_energy: readings.energy.is_some(),
        with_hung: readings.attached.is_some(),
        shifted: false,
    })
}

/// The mean by weight, corrected once for the rounding of the sum.
fn mean(values: &[f64], weights: &[f64]) -> f64 {
    let count: f64 = weights.iter().sum();
    let about = |first: f64| {
        values
            .iter()
            .zip(weights)
            .map(move |(value, weight)| weight * (value - first))
    };
    let first = about(0.0).sum::<f64>() / count;
    first + about(first).sum::<f64>() / count
}

fn enough(x: usize, y: usize) -> Result<(), Complaint> {
    if x != y {
        let message = format!("the first column has {x} readings and the second {y}");
        return Err(Complaint::lengths(1, message));
    }
    if x == 1 {
        return Err(Complaint::awaits(0, "a second reading"));
    }
    if x == 0 {
        let message = format!("a straight line takes two readings or more, and there are {x}");
        return Err(Complaint::empty(0, message));
    }
    Ok(())
}

fn at_one_place() -> Complaint {
    Complaint::outside(
        0,
        "all readings stand at one place of the first column, so they have no slope",
    )
}

/// A line in decimals.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ExactLine {
    /// The slope.
    pub slope: Number,
    /// The value at zero, without what hung there.
    pub intercept: Number,
    /// What hung there.
    pub hung: Number,
}

/// The line in decimals: exact for what a person writes, but for the last division. Where
/// something hung at some readings, two lines of one slope. Without weights all readings
/// count alike.
///
/// # Errors
/// As [`fit`]; and what decimals can't hold.
pub fn fit_exact(
    x: &[Number],
    y: &[Number],
    attached: Option<&[bool]>,
    weights: Option<&[Number]>,
) -> Outcome<ExactLine> {
    enough(x.len(), y.len())?;
    let (Some(x0), Some(y0)) = (x.first(), y.first()) else {
        return Err(at_one_place());
    };
    let weight = |on: bool| {
        move |row: usize| match attached.is_some_and(|attached| attached.get(row) == Some(&true)) == on {
            true => weights
                .and_then(|weights| weights.get(row))
                .copied()
                .unwrap_or(Number::ONE),
            false => Number::ZERO,
        }
    };
    let off = Sums::of(x, y, (*x0, *y0), weight(false))?;
    let on = match attached {
        Some(_) => Sums::of(x, y, (*x0, *y0), weight(true))?,
        None => Sums::default(),
    };
    let slope = off
        .slope_with(&on)?
        .filter(|_| x.iter().any(|x| x != x0))
        .ok_or_else(at_one_place)?;
    let middle = off.middle(slope)?;
    let intercept = y0.add(middle)?.sub(product(slope, *x0)?)?;
    let hung = match attached {
        Some(_) => on.middle(slope)?.sub(middle)?,
        None => Number::ZERO,
    };
    Ok(ExactLine { slope, intercept, hung })
}

/// Sums over readings counted from the first, each by its weight.
#[derive(Default)]
struct Sums {
    count: Number,
    x: Number,
    y: Number,
    xx: Number,
    xy: Number,
}

impl Sums {
    fn of(x: &[Number], y: &[Number], first: (Number, Number), weight: impl Fn(usize) -> Number) -> Checked<Sums> {
        let mut sums = Sums::default();
        for (row, (x, y)) in x.iter().zip(y).enumerate() {
            let (x, y, weight) = (x.sub(first.0)?, y.sub(first.1)?, weight(row));
            let (along, up) = (product(weight, x)?, product(weight, y)?);
            sums.count = sums.count.add(weight)?;
            sums.x = sums.x.add(along)?;
            sums.y = sums.y.add(up)?;
            sums.xx = sums.xx.add(product(along, x)?)?;
            sums.xy = sums.xy.add(product(along, y)?)?;
        }
        Ok(sums)
    }

    /// The products about the means, times the count: along and up, along and along.
    fn about_means(&self) -> Checked<(Number, Number)> {
        let both = self.count.mul(self.xy)?.sub(product(self.x, self.y)?)?;
        let along = self.count.mul(self.xx)?.sub(product(self.x, self.x)?)?;
        Ok((both, along))
    }

    /// The slope that these share with others; none where nothing lies apart.
    fn slope_with(&self, other: &Sums) -> Checked<Option<Number>> {
        let (mut above, mut below) = self.about_means()?;
        if !other.count.is_zero() {
            let (both, along) = other.about_means()?;
            above = product(other.count, above)?.add(product(self.count, both)?)?;
            below = product(other.count, below)?.add(product(self.count, along)?)?;
        }
        match below.is_zero() {
            true => Ok(None),
            false => above.div(below).map(Some),
        }
    }

    /// The value at the first reading.
    fn middle(&self, slope: Number) -> Checked<Number> {
        in_a_sum(self.y.sub(product(slope, self.x)?)?.div(self.count))
    }
}

/// A product inside a sum: one too small to hold adds nothing to it.
fn product(left: Number, right: Number) -> Checked<Number> {
    in_a_sum(left.mul(right))
}

/// A part of a sum: one too small to hold adds nothing to it.
fn in_a_sum(part: Checked<Number>) -> Checked<Number> {
    match part {
        Err(Trouble::TooSmall) => Ok(Number::ZERO),
        other => other,
    }
}

/// A rise through a run of more than this part of its largest reading is no scatter.
const RISE: f64 = 0.01;
/// A slope this many times what the scatter makes of it isn't chance.
const CERTAIN: f64 = 3.0;

/// Whether no reading is above the one before of its kind, with or without what hung there: then
/// neither is the line through them, which needs no fit (P. L. Chebyshev's inequality of sums).
fn never_rises(readings: &Readings) -> bool {
    let hung = |row: usize| {
        let attached = readings.attached.as_ref().and_then(|attached| attached.get(row));
        attached.copied().unwrap_or(false)
    };
    let (mut with, mut without) = (None, None);
    let mut rows = readings.x.iter().zip(&readings.y).enumerate();
    readings.energy.is_none()
        && rows.all(|(row, (x, y))| {
            let last = if hung(row) { &mut with } else { &mut without };
            last.replace((*x, *y))
                .is_none_or(|(before, above)| before <= *x && *y <= above)
        })
}

/// No hose with its regulator weighs so much, and no household's scale is off by it, in lb
/// (judgement).
pub(crate) const MOST_HUNG: f64 = 5.0;

/// Refuses weighings of more than one cylinder: by their times one stands above the one before it,
/// or above the last of its kind, by more than anything that may hang there.
///
/// # Errors
/// From what to what the weight rises.
pub(crate) fn one_cylinder(readings: &Readings) -> Outcome<()> {
    if never_rises(readings) {
        return Ok(());
    }
    let hung = |row: usize| readings.attached.as_ref().and_then(|attached| attached.get(row)) == Some(&true);
    let rows = readings.x.iter().zip(&readings.y).enumerate();
    let mut rows: Vec<(f64, f64, bool)> = rows.map(|(row, (x, y))| (*x, *y, hung(row))).collect();
    rows.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (mut before, mut with, mut without) = (None, None, None);
    for (_, weight, on) in rows {
        let alike = if on { &mut with } else { &mut without };
        let last = [before.replace(weight), alike.replace(weight)];
        let least = last.into_iter().flatten().reduce(f64::min);
        if let Some(from) = least.filter(|from| weight - from > MOST_HUNG) {
            let told = |weight: f64| shown(libm::round(100.0 * weight) / 100.0);
            let (from, to) = (told(from), told(weight));
            let message = format!("the weight rises from {from} lb to {to} lb: a new cylinder?");
            return Err(Complaint::outside(1, message).help(
                "begin a table of its own for it, or leave rows out with `where`; mend the cell, if it was misread",
            ));
        }
    }
    Ok(())
}

/// Refuses a run of weighings in which the weight rises for certain.
///
/// # Errors
/// What to look at.
pub fn burns(readings: &Readings) -> Outcome<()> {
    if never_rises(readings) {
        return Ok(());
    }
    let line = fit(readings, None)?;
    let end = |of: fn(f64, f64) -> f64, all: &[f64]| all.iter().copied().reduce(of).unwrap_or(0.0);
    let rise = line.slope() * (end(f64::max, &readings.x) - end(f64::min, &readings.x));
    let largest = readings.y.iter().fold(0.0, |most: f64, y| most.max(y.abs()));
    let scatter = line.fitted.scatter() * line.fitted.covariance(1, 1);
    let by_chance = line.slope() <= CERTAIN * f64::sqrt(scatter);
    if rise <= RISE * largest || by_chance {
        return Ok(());
    }
    let message = format!(
        "the weight rises through the run, by {} % of its largest reading, and what burns takes weight away",
        shown(libm::round(1000.0 * rise / largest) / 10.0)
    );
    Err(Complaint::outside(1, message)
        .help("look at the order of the rows, and say by `attached` where something else hung on the scale; `slope` takes a weight that may rise"))
}

/// Student's k for 95.45 % on both sides: 13.97 for one degree of freedom, 2
/// for infinitely many. A fraction is cut off (JCGM 100 G.4.2).
pub fn student_k(degrees_of_freedom: f64) -> f64 {
    // Beyond this k is 2 to six digits.
    if degrees_of_freedom.is_nan() || degrees_of_freedom >= 1e6 {
        return 2.0;
    }
    let whole = degrees_of_freedom.floor().max(1.0);
    match StudentsT::new(0.0, 1.0, whole) {
        Ok(student) => student.inverse_cdf(0.5 + 0.5 * COVERAGE),
        Err(_) => 2.0,
    }
}

/// Student's k for a bound on one side that holds in that part of all cases.
pub(crate) fn one_sided_k(degrees_of_freedom: f64, sure: f64) -> f64 {
    if degrees_of_freedom >= 1e6 {
        return Normal::standard().inverse_cdf(sure);
    }
    let whole = degrees_of_freedom.floor().max(1.0);
    StudentsT::new(0.0, 1.0, whole).map_or(f64::NAN, |student| student.inverse_cdf(sure))
}

/// How much of Student's distribution lies below so many standard uncertainties.
pub(crate) fn student_below(times: f64, degrees_of_freedom: f64) -> f64 {
    match StudentsT::new(0.0, 1.0, degrees_of_freedom.max(1.0)) {
        Ok(student) if degrees_of_freedom < 1e6 => student.cdf(times),
        _ => Normal::standard().cdf(times),
    }
}

/// What two standard deviations of a normal distribution cover.
const COVERAGE: f64 = 0.954_499_736_103_641_6;

/// The step of the display that readings were written from: their last decimal.
pub fn digit_step(readings: &[Number]) -> f64 {
    let most = readings.iter().map(|reading| reading.decimals()).max();
    match most {
        Some(decimals) => libm::pow(10.0, -f64::from(decimals)),
        None => 0.0,
    }
}

/// The standard uncertainty of one reading of a display with this step.
pub(crate) fn step_uncertainty(step: f64) -> f64 {
    step / f64::sqrt(12.0)
}
