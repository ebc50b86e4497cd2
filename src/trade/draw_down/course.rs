//! What changes in the course of a draw-down: the air, and the gas drawn.
//!
//! A course is constant, holds in steps, or follows straight lines; so between
//! two neighboring breakpoints it is one straight [`Line`], which is all the
//! integration ever sees. Start reading at [`Course::line`].

use super::Refusal;

/// A quantity over the seconds of a run.
#[derive(Clone, PartialEq, Debug)]
pub enum Course {
    /// The same from beginning to end.
    Constant(f64),
    /// Seconds and values: each holds until the next row, the last holds on.
    Steps(Vec<(f64, f64)>),
    /// Seconds and values: linear between rows, the last value holds on.
    Trend(Vec<(f64, f64)>),
}

/// A straight piece of a course, counted from the start of the piece.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Line {
    /// The value at the start.
    pub start: f64,
    /// How much it rises in a second.
    pub slope: f64,
}

impl Line {
    fn level(start: f64) -> Line {
        Line { start, slope: 0.0 }
    }

    /// The value after some seconds.
    pub(super) fn at(self, elapsed: f64) -> f64 {
        self.start + self.slope * elapsed
    }

    /// The sum of the values over some seconds.
    pub(super) fn sum(self, elapsed: f64) -> f64 {
        elapsed * (self.start + 0.5 * self.slope * elapsed)
    }

    /// The seconds in which the sum reaches `amount`; infinite or not a number where it never does.
    pub(crate) fn seconds_for(self, amount: f64) -> f64 {
        2.0 * amount / (self.start + f64::sqrt(self.start * self.start + 2.0 * self.slope * amount))
    }
}

impl Course {
    /// Its rows; a constant has none.
    fn rows(&self) -> &[(f64, f64)] {
        match self {
            Course::Constant(_) => &[],
            Course::Steps(rows) | Course::Trend(rows) => rows,
        }
    }

    /// The value at some second; before the first row the first value.
    pub fn value_at(&self, seconds: f64) -> f64 {
        self.line(seconds).start
    }

    /// The same counted from some second on.
    pub(in crate::trade) fn after(&self, since: f64) -> Course {
        let counted = |rows: &[(f64, f64)]| rows.iter().map(|(second, value)| (second - since, *value)).collect();
        match self {
            Course::Constant(value) => Course::Constant(*value),
            Course::Steps(rows) => Course::Steps(counted(rows)),
            Course::Trend(rows) => Course::Trend(counted(rows)),
        }
    }

    /// The seconds at which it may bend or jump.
    pub(in crate::trade) fn breakpoints(&self) -> impl Iterator<Item = f64> {
        self.rows().iter().map(|(seconds, _)| *seconds)
    }

    /// The straight piece that begins at some second; as far as the next breakpoint.
    pub(super) fn line(&self, from: f64) -> Line {
        if let Course::Constant(value) = self {
            return Line::level(*value);
        }
        let rows = self.rows();
        let next = rows.partition_point(|(seconds, _)| *seconds <= from);
        let here = next.checked_sub(1).and_then(|at| rows.get(at));
        let (start, value) = here.or(rows.first()).copied().unwrap_or_default();
        match (self, rows.get(next)) {
            (Course::Trend(_), Some((end, then))) if *end > start => {
                let slope = (then - value) / (end - start);
                Line {
                    start: value + slope * (from - start),
                    slope,
                }
            }
            _ => Line::level(value),
        }
    }

    /// Refuses a course without a value at 0 s, with times that don't rise, or with a value
    /// that `can_be` refuses.
    pub(super) fn checked(&self, name: &'static str, can_be: fn(f64) -> bool) -> Result<(), Refusal> {
        if let Course::Constant(value) = self {
            return can_be(*value)
                .then_some(())
                .ok_or(Refusal::CourseValue { name, row: None });
        }
        let rows = self.rows();
        let Some((first, _)) = rows.first() else {
            return Err(Refusal::CourseEmpty { name });
        };
        let mut before = f64::NEG_INFINITY;
        for (row, (seconds, value)) in (1..).zip(rows) {
            if !seconds.is_finite() || *seconds <= before {
                return Err(Refusal::CourseOrder { name, row });
            }
            if !can_be(*value) {
                return Err(Refusal::CourseValue { name, row: Some(row) });
            }
            before = *seconds;
        }
        if *first > 0.0 {
            return Err(Refusal::CourseStartsLate { name, seconds: *first });
        }
        Ok(())
    }
}
