//! The handout of the worksheet in hand, and its file.
//!
//! A handout is made again whenever one likes, so its file may be replaced: but
//! only by another handout. Whatever else is there stays. Start reading at
//! [`Session::write_handout`].

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

use crate::calendar;
use crate::report::compose;
use crate::report::handout::{self, Form, Handout, MADE, Tried};
use crate::report::model::EntryKind;

use super::disk::write_whole;
use super::{Outcome, Refusal, Session};

/// A handout says what it is within so many bytes.
const OPENING: u64 = 4096;

impl Session {
    /// The worksheet as a page, in the case in hand and with the trials.
    pub fn handout(&mut self, form: Form) -> Handout {
        self.timed("the handout", |session| session.made_handout(form))
    }

    fn made_handout(&self, form: Form) -> Handout {
        let report = self.report();
        let trials = self.trials().entries().into_iter().map(|(tried, record)| Tried {
            name: tried.name,
            value: tried.shown.display(),
            record: record.display(),
            worked: matches!(tried.kind, EntryKind::Worked | EntryKind::Answer),
        });
        let trials = trials.collect();
        let made = calendar::date_of(self.now()).unwrap_or_default();
        compose::handout::handout(&self.sheet, report, trials, (self.name(), made, form), self.options)
    }

    /// Writes the worksheet as a page into a file of its own: a new one, or one that holds a
    /// handout already.
    ///
    /// # Errors
    /// Why nothing was written.
    pub(crate) fn write_handout(&mut self, path: &Path, form: Form) -> Result<Outcome, Refusal> {
        let made = self.handout(form);
        if let Some(refusal) = self.overran() {
            return Err(refusal);
        }
        let page = handout::write(&made);
        may_be_replaced(path)?;
        write_whole(path, &page, "handout OTHER.html")?;
        Ok(Outcome::said(format!("Wrote {}", path.display())).quietly())
    }
}

/// That nothing but a handout would be lost.
fn may_be_replaced(path: &Path) -> Result<(), Refusal> {
    let shown = path.display();
    let extension = path.extension().map(|extension| extension.to_ascii_lowercase());
    if extension.is_some_and(|extension| extension == "tare") {
        let message = format!("`{shown}` is a worksheet's name, and a handout is a page; nothing was written");
        return Err(Refusal::new(message).help("give it a name that ends with `.html`"));
    }
    let Ok(about) = fs::metadata(path) else {
        return Ok(());
    };
    if about.is_file() && (about.len() == 0 || is_handout(path)) {
        return Ok(());
    }
    let message = format!("`{shown}` is there already and is no handout; nothing was written");
    Err(Refusal::new(message).help("give it another name"))
}

fn is_handout(path: &Path) -> bool {
    let mut opening = Vec::new();
    let read = File::open(path).and_then(|file| file.take(OPENING).read_to_end(&mut opening));
    read.is_ok() && String::from_utf8_lossy(&opening).contains(MADE)
}
