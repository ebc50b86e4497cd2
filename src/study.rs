//! Studies: what a worksheet says beyond its values, one file a study.
//!
//! A study looks at the sheet and its tree and gives back what it found, with
//! cells and numbers; the report makes words and digits of it. Start reading at
//! [`why::why`]; what varies one input stands on [`vary::Varied`], what draws all
//! of them on [`draws::draw`].

pub(crate) mod against;
pub(crate) mod aim;
pub mod audit;
pub(crate) mod below_zero;
pub(crate) mod blanks;
pub(crate) mod bounds;
pub(crate) mod class;
pub(crate) mod compare;
pub(crate) mod diff;
pub mod doubt;
pub mod draws;
pub(crate) mod leeway;
pub(crate) mod lesson;
pub(crate) mod marks;
pub(crate) mod nearness;
pub(crate) mod root;
pub(crate) mod straight;
mod streams;
pub(crate) mod sweep;
pub mod vary;
pub(crate) mod why;

use crate::time_limit::{self, Deadline};

/// Watches long work, and may stop it.
pub trait Watch: Sync {
    /// So much of it is done; whether it goes on.
    fn goes_on(&self, done: usize, of: usize) -> bool;
}

impl<F: Fn(usize, usize) -> bool + Sync> Watch for F {
    fn goes_on(&self, done: usize, of: usize) -> bool {
        self(done, of)
    }
}

/// Somebody watches, and the time of the run that is going on counts too.
pub(crate) struct Timed<'a> {
    watch: &'a dyn Watch,
    deadline: Deadline,
}

impl<'a> Timed<'a> {
    /// Watches as another does, until the run's time is up.
    pub(crate) fn new(watch: &'a dyn Watch) -> Timed<'a> {
        Timed {
            watch,
            deadline: time_limit::deadline(),
        }
    }
}

impl Watch for Timed<'_> {
    fn goes_on(&self, done: usize, of: usize) -> bool {
        self.watch.goes_on(done, of) && !self.deadline.is_past()
    }
}

/// Nobody watches: the work goes on to its end.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn goes_on(&self, _: usize, _: usize) -> bool {
        true
    }
}
