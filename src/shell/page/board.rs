//! What pages see: the pieces as they stand, their version, and what was said to all.
//!
//! The session's thread shows, each page waits for a version that it hasn't seen. Start reading
//! at [`Board`].

use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use serde::Serialize;

use crate::report::live::{Live, Pieces, pieces};

/// What is on the board.
#[derive(Clone, Default)]
struct Seen {
    version: u64,
    /// How often something was asked for that changed what is seen.
    step: u64,
    title: String,
    pieces: Pieces,
    class: String,
    notice: String,
    /// The version with which that was said.
    noticed: u64,
}

/// The board, seen from every thread.
#[derive(Default)]
pub(super) struct Board {
    seen: Mutex<Seen>,
    moved: Condvar,
}

/// What a line came to.
#[derive(Default)]
pub(super) struct Answer {
    /// In words, as a session says it.
    pub(super) told: String,
    /// As a piece of a page.
    pub(super) page: String,
}

impl Answer {
    /// In words.
    pub(super) fn told(told: String) -> Answer {
        Answer {
            told,
            ..Answer::default()
        }
    }

    /// As a piece of a page.
    pub(super) fn page(page: String) -> Answer {
        Answer {
            page,
            ..Answer::default()
        }
    }
}

/// What is sent.
#[derive(Serialize)]
struct Sent<'a> {
    version: u64,
    step: u64,
    answers: &'a str,
    worksheet: &'a str,
    class: &'a str,
    told: &'a str,
    page: &'a str,
}

impl Board {
    fn seen(&self) -> MutexGuard<'_, Seen> {
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Shows how a worksheet stands now.
    pub(super) fn show(&self, name: &str, live: &Live) {
        let pieces = pieces(live);
        let mut seen = self.seen();
        if seen.pieces != pieces || seen.version == 0 {
            seen.step += 1;
            live.report.title.as_deref().unwrap_or(name).clone_into(&mut seen.title);
            self.put(seen, pieces);
        }
    }

    /// Shows what draws say of it: nothing has moved.
    pub(super) fn show_drawn(&self, live: &Live) {
        let pieces = pieces(live);
        let seen = self.seen();
        if seen.pieces != pieces {
            self.put(seen, pieces);
        }
    }

    fn put(&self, mut seen: MutexGuard<'_, Seen>, pieces: Pieces) {
        seen.version += 1;
        seen.pieces = pieces;
        self.moved.notify_all();
    }

    /// Shows how a class stands now.
    pub(super) fn show_class(&self, class: String) {
        let mut seen = self.seen();
        if seen.class != class {
            // before anything is shown there is no version of it
            seen.version += u64::from(seen.version > 0);
            seen.class = class;
            self.moved.notify_all();
        }
    }

    /// Says something to all pages that nobody asked for.
    pub(super) fn notice(&self, told: String) {
        if told.is_empty() {
            return;
        }
        let mut seen = self.seen();
        seen.version += 1;
        seen.noticed = seen.version;
        seen.notice = told;
        self.moved.notify_all();
    }

    /// The title and the pieces, once there are some.
    pub(super) fn whole(&self, patience: Duration) -> (String, Pieces) {
        let seen = self.after(0, patience);
        (seen.title, seen.pieces)
    }

    /// What stands there after a version, or when patience ends.
    pub(super) fn since(&self, version: u64, patience: Duration) -> Vec<u8> {
        let seen = self.after(version, patience);
        let told = if seen.noticed > version { &seen.notice } else { "" };
        sent(&seen, told, "")
    }

    /// What stands there now, with an answer.
    pub(super) fn with(&self, answer: &Answer) -> Vec<u8> {
        sent(&self.seen(), &answer.told, &answer.page)
    }

    fn after(&self, version: u64, patience: Duration) -> Seen {
        let seen = self.seen();
        let waited = self
            .moved
            .wait_timeout_while(seen, patience, |seen| seen.version == version);
        match waited {
            Ok((seen, _)) => seen.clone(),
            Err(poisoned) => poisoned.into_inner().0.clone(),
        }
    }
}

fn sent(seen: &Seen, told: &str, page: &str) -> Vec<u8> {
    let sent = Sent {
        version: seen.version,
        step: seen.step,
        answers: &seen.pieces.answers,
        worksheet: &seen.pieces.worksheet,
        class: &seen.class,
        told,
        page,
    };
    serde_json::to_vec(&sent).unwrap_or_default()
}
