//! How long one run may take: a worksheet worked out, its uncertainties, a study.
//!
//! A worksheet from somebody else can ask for any amount of work. A run begins
//! with [`begin`] and whoever does the work asks every so often whether its time
//! is up; then it stops where it is and says so. How much time there is belongs to
//! the thread that the shell works in; another thread that helps is lent the
//! run's [`Deadline`]. Start reading at [`begin`].

use std::cell::Cell;
use std::marker::PhantomData;
use std::time::{Duration, Instant};

/// What a run may take where nobody says otherwise.
pub const USUAL: Duration = Duration::from_secs(10);

thread_local! {
    static ALLOWED: Cell<Duration> = const { Cell::new(USUAL) };
    static GOING_ON: Cell<Deadline> = const { Cell::new(Deadline(None)) };
}

/// When a run must be over; never where there is no run.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Deadline(Option<Instant>);

impl Deadline {
    /// Whether that is past. Once it is, it stays so.
    pub(crate) fn is_past(self) -> bool {
        self.0.is_some_and(|end| Instant::now() >= end)
    }

    /// Whether so much time is left.
    pub(crate) fn leaves(self, time: Duration) -> bool {
        self.0
            .is_none_or(|end| end.saturating_duration_since(Instant::now()) >= time)
    }
}

/// A run of this thread, which ends when this goes.
#[must_use]
#[derive(Debug)]
pub struct Run {
    before: Deadline,
    deadline: Deadline,
    /// It is the thread's own.
    own: PhantomData<*const ()>,
}

impl Run {
    /// Whether its time is up.
    pub(crate) fn is_over(&self) -> bool {
        self.deadline.is_past()
    }
}

impl Drop for Run {
    fn drop(&mut self) {
        GOING_ON.set(self.before);
    }
}

/// Allows every run of this thread that begins from now on so much time.
pub fn allow(time: Duration) {
    ALLOWED.set(time);
}

/// How much time a run of this thread has.
pub fn allowed() -> Duration {
    ALLOWED.get()
}

/// Begins a run; within another it is a part of that one, and shares its time.
pub fn begin() -> Run {
    match deadline() {
        Deadline(None) => part_of(from_now()),
        going_on => part_of(going_on),
    }
}

/// When something that begins now must be over that has as much time as a run.
pub(crate) fn from_now() -> Deadline {
    Deadline(Instant::now().checked_add(allowed()))
}

/// Does a part of a run that began in another thread.
pub(crate) fn part_of(deadline: Deadline) -> Run {
    Run {
        before: GOING_ON.replace(deadline),
        deadline,
        own: PhantomData,
    }
}

/// When the run that is going on in this thread must be over.
pub(crate) fn deadline() -> Deadline {
    GOING_ON.get()
}

/// Whether the time of the run that is going on is up.
pub(crate) fn is_up() -> bool {
    deadline().is_past()
}

/// The time that a run has, in words: `10 s`.
pub(crate) fn in_words() -> String {
    format!("{} s", allowed().as_secs())
}
