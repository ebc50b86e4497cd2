//! What the readings say against the line.
//!
//! Start reading at [`remarks_on_run`].

use statrs::distribution::{ContinuousCDF, StudentsT};

use super::Remark;
use super::caution::{BEYOND_READINGS, OFF_THE_LINE, WEIGHT_RISES};
use super::declare::shown;
use super::least_squares::Fitted;

/// What is odd about a run of weighings: readings off the line through the
/// others, and weights that rise by more than the step. `of_reading` is the
/// standard uncertainty of each reading, `step` the step of the display.
pub fn remarks_on_run(fitted: &Fitted, y: &[f64], of_reading: &[f64], step: f64) -> Vec<Remark> {
    let mut remarks = Vec::new();
    remarks.extend(off_the_line(fitted, of_reading));
    remarks.extend(rising(y, step));
    remarks
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

/// How many readings a remark names at most.
const NAMED: usize = 5;

fn off_the_line(fitted: &Fitted, of_reading: &[f64]) -> Option<Remark> {
    let count = fitted.residuals.len();
    if count < 5 {
        return None;
    }
    let squares = fitted.scatter() * fitted.degrees_of_freedom() as f64;
    let off = |reading: usize| {
        let (off, spread) = without(fitted, squares, reading);
        let least = of_reading.get(reading).copied().unwrap_or(0.0);
        (off.abs() > 3.0 * spread.max(least)).then(|| format!("reading {} by {}", reading + 1, shown(off.abs())))
    };
    let found: Vec<String> = (0..count).filter_map(off).collect();
    if found.is_empty() {
        return None;
    }
    let text = format!(
        "Off the straight line through the others, by more than three times their scatter: {}. Look at it again before you trust the slope.",
        listed(&found)
    );
    Some(Remark::new(&OFF_THE_LINE, text))
}

/// Whether nothing in the readings speaks against the line: none stands off it by more than
/// chance would have it once in a hundred runs, and none rises by more than three times what
/// two readings differ by. `of_reading` is the standard uncertainty of each reading.
pub fn is_sound(fitted: &Fitted, y: &[f64], of_reading: &[f64]) -> bool {
    let scatter = libm::sqrt(fitted.scatter());
    let most = of_reading.iter().copied().fold(scatter, f64::max);
    let rises = y
        .windows(2)
        .any(|two| matches!(two, [before, after] if after - before > 3.0 * libm::sqrt(2.0) * most));
    !rises && !(0..y.len()).any(|reading| stands_off(fitted, of_reading, reading))
}

/// Whether a reading stands off the line through the others, by their scatter and by what
/// was declared. With fewer than two others to spare nothing can be told.
fn stands_off(fitted: &Fitted, of_reading: &[f64], reading: usize) -> bool {
    let (count, freedom) = (fitted.residuals.len() as f64, fitted.degrees_of_freedom() as f64);
    if freedom < 3.0 {
        return false;
    }
    let squares = fitted.scatter() * freedom;
    let (off, spread) = without(fitted, squares, reading);
    let error = libm::sqrt(1.0 / (1.0 - fitted.leverage(reading)));
    let declared = of_reading.get(reading).copied().unwrap_or(0.0);
    let beyond = |spread: f64, freedom: f64| match StudentsT::new(0.0, 1.0, freedom) {
        Ok(student) => off.abs() > spread * error * student.inverse_cdf(1.0 - CHANCE / (2.0 * count)),
        Err(_) => false,
    };
    beyond(spread, freedom - 1.0) && beyond(declared, NORMAL)
}

/// How often chance alone may accuse a reading of a sound run.
const CHANCE: f64 = 0.01;
/// With so many degrees of freedom Student's distribution is a normal one.
const NORMAL: f64 = 1e6;

/// How far a reading stands off the line fitted without it, and what a reading of its
/// weight scatters by about that line. `squares` is the sum of all squares about the line
/// through all of them.
fn without(fitted: &Fitted, squares: f64, reading: usize) -> (f64, f64) {
    let at = |values: &[f64]| values.get(reading).copied().unwrap_or(0.0);
    let (weight, residual) = (at(&fitted.weights), at(&fitted.residuals));
    let left = 1.0 - fitted.leverage(reading);
    if left <= 1e-12 {
        return (0.0, f64::INFINITY);
    }
    let freedom = fitted.degrees_of_freedom() as f64;
    let squares = squares - weight * residual * residual / left;
    let others = libm::sqrt((squares / (freedom - 1.0) / weight).max(0.0));
    (residual / left, others)
}

fn rising(y: &[f64], step: f64) -> Option<Remark> {
    let pairs = y.iter().zip(y.iter().skip(1)).enumerate();
    let found: Vec<String> = pairs
        .filter(|(_, (before, after))| *after - *before > step * (1.0 + 1e-9))
        .map(|(index, (before, after))| format!("reading {} by {}", index + 2, shown(after - before)))
        .collect();
    if found.is_empty() {
        return None;
    }
    let text = format!(
        "A weight rises by more than the scale's step: {}. A reading, the order of the rows, or something hung on the scale is wrong.",
        listed(&found)
    );
    Some(Remark::new(&WEIGHT_RISES, text))
}

fn listed(found: &[String]) -> String {
    let named: Vec<&str> = found.iter().take(NAMED).map(String::as_str).collect();
    match found.len().checked_sub(NAMED) {
        Some(more) if more > 0 => format!("{}, and {more} more", named.join(", ")),
        _ => named.join(", "),
    }
}
