//! What a session that broke off has left: told, and asked about.
//!
//! Piped lines are never taken for an answer; what was left is told and stays
//! where it is. Start reading at [`Conversation::begin_journal`].

use std::io::{self, Write};

use crate::session::unsaved::{Left, Offer};

use super::{Conversation, Lines, Reply};

/// What a person wants done.
enum Wanted {
    Do,
    Discard,
    Later,
}

impl<L: Lines, W: Write> Conversation<'_, L, W> {
    /// Looks for what was left, asks about it, and keeps a journal from here on.
    pub(super) fn begin_journal(&mut self) -> io::Result<()> {
        let Some(state) = self.journal.take() else {
            return Ok(());
        };
        let found = self.session.look_for_unsaved(state.as_deref());
        let mut anything = !found.told.is_empty() || !found.left.is_empty();
        for told in &found.told {
            self.say(told)?;
        }
        for left in found.left {
            self.offer(left)?;
        }
        if self.session.is_lost() {
            return Ok(());
        }
        for told in self.session.keep_journal(state.as_deref()) {
            self.say(&told)?;
            anything = true;
        }
        match anything {
            true => self.print("\n"),
            false => Ok(()),
        }
    }

    fn offer(&mut self, left: Left) -> io::Result<()> {
        for told in left.told(&self.session) {
            self.say(&told)?;
        }
        let offer = left.offer(&self.session);
        if !self.lines.is_terminal() {
            let told = "It stays as it is; `open` at a terminal asks what to do with it";
            return self.aside(told);
        }
        match self.wanted(offer)? {
            Wanted::Later => self.say("Left for later"),
            Wanted::Discard => self.tell(left.discard()).map(|_| ()),
            Wanted::Do if offer == Offer::TakeUp => {
                let result = self.session.take_up(left);
                self.tell(result).map(|_| ())
            }
            Wanted::Do => match self.session.write_beside(left) {
                Ok(outcome) => self.tell(Ok(outcome)).map(|_| ()),
                Err((refusal, left)) => {
                    self.tell(Err(refusal))?;
                    self.say(&format!("It stays in {}", left.path().display()))
                }
            },
        }
    }

    fn wanted(&mut self, offer: Offer) -> io::Result<Wanted> {
        let (prompt, words): (_, &[&str]) = match offer {
            Offer::TakeUp => (
                "take up, discard or later? ",
                &["take up", "take it up", "take", "t", "yes", "y"],
            ),
            Offer::WriteBeside => ("write, discard or later? ", &["write", "write it", "w", "yes", "y"]),
        };
        loop {
            let Reply::Line(line) = self.read_one(prompt)? else {
                return Ok(Wanted::Later);
            };
            match line.trim().to_lowercase().as_str() {
                "discard" => return Ok(Wanted::Discard),
                "later" | "l" | "quit" | "q" | "exit" => return Ok(Wanted::Later),
                word if words.contains(&word) => return Ok(Wanted::Do),
                _ => self.say(&format!(
                    "Type `{}`, `discard` or `later`",
                    words.first().unwrap_or(&"later")
                ))?,
            }
        }
    }
}
