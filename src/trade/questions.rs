//! What readings say against the line through them.
//!
//! Each question fits one unknown more and asks whether it is anything: a bend, a reading
//! that is off, two kinds of readings that were taken for one. An objection takes two
//! tests, each at 1 in 80: Student's t by what the readings scatter by without the suspect,
//! and a normal one by what was declared of them. It takes three readings more than the
//! line has unknowns. Start reading at [`objections`].

use statrs::distribution::{ContinuousCDF, StudentsT};

use super::Remark;
use super::caution::BEYOND_READINGS;
use super::declare::shown;
use super::least_squares::{self, Fitted};
use super::line::{Line, Readings};

/// What speaks against a line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Objection {
    /// It bends.
    Bends {
        /// The slope in the middle of its first third.
        first: f64,
        /// That in the middle of its last.
        last: f64,
        /// How often chance alone shows as much.
        chance: f64,
    },
    /// A reading is off the line through the others.
    Off {
        /// Which.
        reading: usize,
        /// How far above the line.
        by: f64,
        /// How often chance alone puts one so far off.
        chance: f64,
    },
    /// A reading is more than the one before.
    Rises {
        /// Which.
        reading: usize,
        /// By how much.
        by: f64,
    },
}

/// How often chance alone may raise one of these: so often that of sound runs of any length, with
/// any swing up to 0.12 lb that nobody declared, fewer than 4 in 100 are accused of anything.
const CHANCE: f64 = 0.0125;
/// So many variances, 2.57², chance alone gives more often than that.
const LEAST: f64 = 6.6;
/// With so many degrees of freedom Student's distribution is a normal one.
const NORMAL: f64 = 1e6;
/// A rise of so many standard uncertainties of a difference is none of chance.
pub(crate) const RISE: f64 = 3.0 * std::f64::consts::SQRT_2;

/// What the readings say against the line through them. `declared` is the variance of a
/// reading of weight 1, its time's part in it.
pub fn objections(readings: &Readings, line: &Line, declared: f64) -> Vec<Objection> {
    let bends = bends(readings, line, declared);
    let off = off(line, declared);
    bends
        .into_iter()
        .chain(off)
        .chain(rises(readings, line, declared))
        .collect()
}

/// How often chance alone parts two kinds of readings as these are parted, and by how much
/// the second kind stands above the line of the first; `None` where that tells nothing.
pub fn parted(readings: &Readings, line: &Line, declared: f64, second: &[bool]) -> Option<(f64, f64)> {
    let kind = second.iter().map(|second| f64::from(u8::from(*second))).collect();
    let (fitted, chance) = with_one_more(readings, line, declared, kind)?;
    (chance < CHANCE).then_some((chance, fitted.unknowns.last().copied()?))
}

/// The readings fitted with one factor more, and how often chance alone gives as much.
fn with_one_more(readings: &Readings, line: &Line, declared: f64, factor: Vec<f64>) -> Option<(Fitted, f64)> {
    if line.fitted.degrees_of_freedom() < 3 {
        return None;
    }
    let mut factors = readings.factors(line.mean_x);
    factors.push(factor);
    let fitted = least_squares::fit(&factors, &readings.y, &line.fitted.weights)?;
    let place = fitted.unknowns.len() - 1;
    let found = fitted.unknowns.last()?.abs();
    let error = f64::sqrt(fitted.covariance(place, place));
    let freedom = fitted.degrees_of_freedom() as f64;
    let chance = by_chance(found / error, (fitted.scatter(), freedom), declared);
    Some((fitted, chance))
}

/// How often chance alone gives so much, for a reading of variance 1, by scatter and by
/// what was declared: the more often of the two.
fn by_chance(found: f64, (scatter, freedom): (f64, f64), declared: f64) -> f64 {
    let beyond = |variance: f64, freedom: f64| match StudentsT::new(0.0, 1.0, freedom) {
        Ok(student) if variance > 0.0 => 2.0 * student.sf(found / f64::sqrt(variance)),
        _ => 0.0,
    };
    beyond(scatter, freedom).max(beyond(declared, NORMAL))
}

fn bends(readings: &Readings, line: &Line, declared: f64) -> Option<Objection> {
    let square = readings.x.iter().map(|x| (x - line.mean_x).powi(2)).collect();
    let (fitted, chance) = with_one_more(readings, line, declared, square)?;
    let (slope, bend) = (*fitted.unknowns.get(1)?, *fitted.unknowns.last()?);
    let low = readings.x.iter().copied().reduce(f64::min)?;
    let sixth = (readings.x.iter().copied().reduce(f64::max)? - low) / 6.0;
    let at = |x: f64| slope + 2.0 * bend * (x - line.mean_x);
    (chance < CHANCE).then(|| Objection::Bends {
        first: at(low + sixth),
        last: at(low + 5.0 * sixth),
        chance,
    })
}

/// The reading that is farthest off, by its studentized deleted residual; that of any of
/// them counts, as often as there are readings.
fn off(line: &Line, declared: f64) -> Option<Objection> {
    let (count, freedom) = (line.fitted.residuals.len(), line.fitted.degrees_of_freedom() as f64);
    if freedom < 3.0 {
        return None;
    }
    let scatter = line.fitted.scatter();
    let tested = |reading: usize| {
        let (variance, left) = without(line, scatter, reading)?;
        let (weight, residual) = (line.fitted.weights.get(reading)?, line.fitted.residuals.get(reading)?);
        let found = residual.abs() * f64::sqrt(weight / left);
        if found * found < LEAST * variance.max(declared) {
            return None;
        }
        let chance = count as f64 * by_chance(found, (variance, freedom - 1.0), declared);
        let by = residual / left;
        Some(Objection::Off { reading, by, chance })
            .filter(|_| chance < CHANCE)
            .map(|off| (off, chance))
    };
    let found = (0..count).filter_map(tested);
    found.min_by(|one, other| one.1.total_cmp(&other.1)).map(|(off, _)| off)
}

/// What the others scatter by about their line, and what of a reading its own value leaves
/// to the others, of what all of them scatter by; `None` for one that alone carries an
/// unknown, which lies on the line wherever it is.
fn without(line: &Line, scatter: f64, reading: usize) -> Option<(f64, f64)> {
    let (weight, residual) = (line.fitted.weights.get(reading)?, line.fitted.residuals.get(reading)?);
    let left = Some(1.0 - line.fitted.leverage(reading)).filter(|left| *left > 1e-9)?;
    let freedom = line.fitted.degrees_of_freedom() as f64;
    let squares = scatter * freedom - weight * residual * residual / left;
    Some((squares.max(0.0) / (freedom - 1.0), left))
}

/// The rise that stands out most, by what was declared and by what the others scatter by
/// about their line: a reading that is off makes all of them scatter.
fn rises(readings: &Readings, line: &Line, declared: f64) -> Option<Objection> {
    let bare = readings.bare(line);
    let freedom = line.fitted.degrees_of_freedom() as f64;
    let scatter = line.fitted.scatter();
    let others = |reading: usize| match freedom > 1.0 {
        true => without(line, scatter, reading).map_or(f64::INFINITY, |(variance, _)| variance),
        false => scatter,
    };
    let weight = |reading: usize| line.fitted.weights.get(reading).copied().unwrap_or(1.0);
    let rise = |reading: usize| {
        let by = bare.get(reading)? - bare.get(reading.checked_sub(1)?)?;
        let least = weight(reading).min(weight(reading - 1));
        let most = others(reading).min(others(reading - 1)).max(declared);
        Some((reading, by)).filter(|_| by > RISE * f64::sqrt(most / least))
    };
    let found = (1..bare.len()).filter_map(rise);
    let (reading, by) = found.max_by(|one, other| one.1.total_cmp(&other.1))?;
    readings.of.burns_down().then_some(Objection::Rises { reading, by })
}

/// What to say of a line that is read at `at`, outside its readings.
pub fn remark_on_reading(x: &[f64], at: f64) -> Option<Remark> {
    let low = x.iter().copied().reduce(f64::min)?;
    let high = x.iter().copied().reduce(f64::max)?;
    let outside = at < low || at > high;
    outside.then(|| {
        let text = format!(
            "The straight line is read at {}, outside the readings from {} to {}: nothing shows that it stays straight there.",
            shown(at),
            shown(low),
            shown(high)
        );
        Remark::new(&BEYOND_READINGS, text)
    })
}
