//! Timing: medians of repeats, and the bounds they are held against.

use std::process::ExitCode;
use std::time::{Duration, Instant};

use tarebook::syntax::parse;

use crate::Extent;

/// Keeps the processor busy for a second and a half, so that the first figures are not
/// those of a machine that was idle before.
pub(crate) fn warm_up() {
    let start = Instant::now();
    let mut sum = 1.0_f64;
    while start.elapsed() < Duration::from_millis(1500) {
        sum = std::hint::black_box(sum.sqrt() + 1.0);
    }
}

/// The median time of `repeats` runs of `work`; what it gives is dropped outside the clock.
pub(crate) fn median<T>(repeats: usize, mut work: impl FnMut() -> T) -> Duration {
    let mut times: Vec<Duration> = (0..repeats.max(1))
        .map(|_| {
            let start = Instant::now();
            let kept = std::hint::black_box(work());
            let taken = start.elapsed();
            drop(kept);
            taken
        })
        .collect();
    times.sort_unstable();
    times[times.len() / 2]
}

/// The median times of two pieces of work, taken in turn.
pub(crate) fn medians_in_turn(
    repeats: usize,
    first: &mut impl FnMut(),
    second: &mut impl FnMut(),
) -> (Duration, Duration) {
    let (mut ones, mut others) = (Vec::new(), Vec::new());
    for _ in 0..repeats.max(1) {
        ones.push(median(1, &mut *first));
        others.push(median(1, &mut *second));
    }
    ones.sort_unstable();
    others.sort_unstable();
    (ones[ones.len() / 2], others[others.len() / 2])
}

/// What a time is measured by.
#[derive(Clone, Copy)]
pub(crate) struct Measure {
    /// What it is.
    pub what: &'static str,
    /// How long it took, in this run.
    pub time: Duration,
}

impl Measure {
    /// Reading a worksheet, without checking or working anything out.
    pub(crate) fn reading(text: &str, repeats: usize) -> Measure {
        Measure {
            what: "reading it alone",
            time: median(repeats, || parse(text.to_owned())),
        }
    }

    /// Many times as much, or a share of it.
    pub(crate) fn times(self, factor: f64) -> Measure {
        Measure {
            time: self.time.mul_f64(factor),
            ..self
        }
    }
}

/// What was measured against bounds so far.
#[derive(Default)]
pub(crate) struct Bounds {
    missed: Vec<String>,
}

impl Bounds {
    /// Prints a figure with its bound and remembers whether it keeps it.
    pub(crate) fn hold(&mut self, what: &str, figure: f64, unit: &str, bound: f64) {
        let kept = figure <= bound;
        let mark = if kept { "" } else { "   MISSED" };
        println!("  {what:<62} {figure:>10.3} {unit:<6} (at most {bound}){mark}");
        if !kept {
            self.missed.push(what.to_owned());
        }
    }

    /// A time against another of the same run, so that a slower machine keeps the bound as well.
    pub(crate) fn hold_to(&mut self, what: &str, time: Duration, measure: Measure, bound: f64) {
        self.tell(what, time.as_secs_f64() * 1e3, "ms");
        let ratio = time.as_secs_f64() / measure.time.as_secs_f64();
        self.hold(&format!("  to {}", measure.what), ratio, "×", bound);
    }

    /// Prints a figure without a bound.
    pub(crate) fn tell(&mut self, what: &str, figure: f64, unit: &str) {
        println!("  {what:<62} {figure:>10.3} {unit}");
    }

    /// Exit code 1 where a bound was missed; a glance judges nothing.
    pub(crate) fn verdict(self, extent: Extent) -> ExitCode {
        if self.missed.is_empty() || extent == Extent::Glance {
            return ExitCode::SUCCESS;
        }
        println!("\nmissed: {}", self.missed.join("; "));
        ExitCode::FAILURE
    }
}
