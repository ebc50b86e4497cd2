//! Long work on a terminal: how far it is, and Ctrl-C to stop it with what it has.
//!
//! A line appears on standard error once the work has taken a moment, and only
//! where that and standard output are terminals. Ctrl-C while work is watched asks it to stop; a
//! second one, or one at any other time, ends the program as usual.
//! Start reading at [`Progress::begin`].

use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, Once};
use std::time::{Duration, Instant};

use crate::study::Watch;

/// How many pieces of work are watched.
static WATCHED: AtomicUsize = AtomicUsize::new(0);
/// Whether they are to stop.
static STOPPED: AtomicBool = AtomicBool::new(false);
static HEARING: Once = Once::new();

/// What a program ends with that Ctrl-C has ended, by custom.
const INTERRUPTED: i32 = 130;
/// What is done sooner shows no line.
const A_MOMENT: Duration = Duration::from_millis(400);
/// How often the line is written anew, at most.
const OFTEN: Duration = Duration::from_millis(100);
/// To the first column, with nothing behind it.
const CLEAR: &str = "\r\u{1b}[K";

/// The progress of one piece of work.
pub(super) struct Progress {
    began: Instant,
    shown: bool,
    /// When the line was written last.
    written: Mutex<Option<Instant>>,
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
            written: Mutex::new(None),
        }
    }

    fn show(&self, done: usize, of: usize) {
        let past = self.began.elapsed();
        if !self.shown || past < A_MOMENT || done == 0 {
            return;
        }
        // another thread that shows it already shows as much
        if let Ok(mut written) = self.written.try_lock()
            && written.is_none_or(|written| written.elapsed() > OFTEN)
        {
            *written = Some(Instant::now());
            let left = past.as_secs_f64() * of.saturating_sub(done) as f64 / done as f64;
            let line = format!("{done} of {of} done, about {left:.0} s left; Ctrl-C stops here");
            let width = terminal_size::terminal_size().map_or(80, |(width, _)| usize::from(width.0));
            let line: String = line.chars().take(width.saturating_sub(1)).collect();
            put(&format!("{CLEAR}{line}"));
        }
    }
}

/// Where it can't be written nobody misses it.
fn put(line: &str) {
    let mut error = io::stderr();
    let _ = error.write_all(line.as_bytes()).and_then(|()| error.flush());
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
        if self.written.lock().is_ok_and(|written| written.is_some()) {
            put(CLEAR);
        }
    }
}

fn interrupted() {
    if WATCHED.load(Ordering::Relaxed) == 0 || STOPPED.swap(true, Ordering::Relaxed) {
        std::process::exit(INTERRUPTED);
    }
}
