//! Long work on a terminal: how far it is, and Ctrl-C to stop it with what it has.
//!
//! A bar appears on standard error once the work has taken a moment, and only
//! where that and standard output are terminals. Ctrl-C while work is watched asks it to stop; a
//! second one, or one at any other time, ends the program as usual.
//! Start reading at [`Progress::begin`].

use std::io::{self, IsTerminal};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, Once};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::study::Watch;

/// How many pieces of work are watched.
static WATCHED: AtomicUsize = AtomicUsize::new(0);
/// Whether they are to stop.
static STOPPED: AtomicBool = AtomicBool::new(false);
static HEARING: Once = Once::new();

/// What a program ends with that Ctrl-C has ended, by custom.
const INTERRUPTED: i32 = 130;
/// What is done sooner shows no bar.
const A_MOMENT: Duration = Duration::from_millis(400);

/// The progress of one piece of work.
pub(super) struct Progress {
    began: Instant,
    shown: bool,
    bar: Mutex<Option<ProgressBar>>,
}

impl Progress {
    /// Begins to watch.
    pub(super) fn begin() -> Progress {
        HEARING.call_once(|| {
            // where no handler can be had, Ctrl-C ends the program
            let _ = ctrlc::set_handler(interrupted);
        });
        STOPPED.store(false, Ordering::Relaxed);
        WATCHED.fetch_add(1, Ordering::Relaxed);
        Progress {
            began: Instant::now(),
            shown: io::stderr().is_terminal() && io::stdout().is_terminal(),
            bar: Mutex::new(None),
        }
    }

    fn show(&self, done: usize, of: usize) {
        if !self.shown || self.began.elapsed() < A_MOMENT {
            return;
        }
        // another thread that shows it already shows as much
        if let Ok(mut bar) = self.bar.try_lock() {
            let bar = bar.get_or_insert_with(new_bar);
            bar.set_length(u64::try_from(of).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
        }
    }
}

fn new_bar() -> ProgressBar {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{pos} of {len} done, about {eta} left; Ctrl-C stops here") {
        bar.set_style(style);
    }
    bar
}

impl Watch for Progress {
    fn goes_on(&self, done: usize, of: usize) -> bool {
        self.show(done, of);
        !STOPPED.load(Ordering::Relaxed)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        WATCHED.fetch_sub(1, Ordering::Relaxed);
        if let Ok(mut bar) = self.bar.lock()
            && let Some(bar) = bar.take()
        {
            bar.finish_and_clear();
        }
    }
}

fn interrupted() {
    if WATCHED.load(Ordering::Relaxed) == 0 || STOPPED.swap(true, Ordering::Relaxed) {
        std::process::exit(INTERRUPTED);
    }
}
