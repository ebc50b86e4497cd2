//! Lines through readings, kept for the rest of a draw.
//!
//! A weighed run asks one line for its rate, for what hung there, for when a weight is
//! reached; in each draw it goes through the same readings. Start reading at
//! [`KeptLines::asked`].

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::trade::line::{Counting, Line, Readings, burns};
use crate::trade::{Complaint, Fit};

/// How far a fit is off in a draw, in standard uncertainties.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Off {
    /// What it keeps to itself: its independent parts, then one more reading.
    pub beyond: Vec<f64>,
    /// What one more reading errs by as the readings do.
    pub next: f64,
}

/// So many lines are kept of one draw.
const MOST: usize = 3;

/// The lines of each draw of a block.
#[derive(Clone, Default)]
pub struct KeptLines {
    /// The place of the draw in its block.
    pub(super) draw: usize,
    of_draws: BTreeMap<usize, Vec<KeptLine>>,
}

#[derive(Clone)]
struct KeptLine {
    readings: Readings,
    counting: Option<Arc<Counting>>,
    /// How far it is off, where it keeps something to itself.
    off: Option<Off>,
    line: Line,
    /// Whether it was looked whether the weight rises.
    falls: bool,
}

impl KeptLine {
    fn is_of(&self, readings: &Readings, counting: Option<&Arc<Counting>>, off: Option<&Off>) -> bool {
        let same = self.readings.x == readings.x && self.readings.y == readings.y;
        let same = same && self.readings.attached == readings.attached && self.readings.energy == readings.energy;
        same && self.counting.as_ref() == counting && self.off.as_ref() == off
    }
}

impl KeptLines {
    /// What is asked of the line through readings, which is worked out where it isn't kept.
    pub(super) fn asked(
        &mut self,
        readings: Readings,
        (counting, off): (Option<&Arc<Counting>>, Option<&Off>),
        at: f64,
        fit: impl FnOnce(&Readings) -> Result<Line, Complaint>,
    ) -> Result<f64, Complaint> {
        let of = readings.of;
        let kept = self.of_draws.entry(self.draw).or_default();
        let known = kept.iter().position(|line| line.is_of(&readings, counting, off));
        let mut kept_line = match known {
            Some(place) => kept.swap_remove(place),
            None => KeptLine {
                line: fit(&readings)?,
                readings,
                counting: counting.cloned(),
                off: off.cloned(),
                falls: false,
            },
        };
        if matches!(of, Fit::BurnRate | Fit::Reaches) && !kept_line.falls {
            burns(&kept_line.readings)?;
            kept_line.falls = true;
        }
        let asked = kept_line.line.asked(of, at);
        kept.truncate(MOST - 1);
        kept.insert(0, kept_line);
        asked
    }
}
