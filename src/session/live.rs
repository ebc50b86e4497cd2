//! The worksheet in hand for a page that is worked with, and whether its file went on without it.
//!
//! Start reading at [`Session::live`].

use std::fs;
use std::time::SystemTime;

use crate::report::compose;
use crate::report::live::Live;
use crate::study::Watch;
use crate::study::marks::Tables;
use crate::time_limit;

use super::Session;
use super::disk::read_text;

impl Session {
    /// What stands on the page now.
    pub fn live(&self) -> Live {
        let _run = time_limit::begin();
        let report = self.report();
        let given = self.given();
        let cases = self.sheet.cases().iter().filter(|_| given.is_empty());
        Live {
            sliders: compose::live::sliders(&self.sheet, &report),
            report,
            to_draw: match self.tables {
                Tables::Later => compose::answers_to_draw(&self.sheet),
                _ => Vec::new(),
            },
            cases: cases.map(|case| (case.name.clone(), case.title.clone())).collect(),
            unsaved: self.unsaved(),
            given,
            is_a_pupils: self.is_a_pupils(),
        }
    }

    /// From now on what only draws can say is told once [`Session::draw_what_shows`] was asked for.
    pub(crate) fn draw_later(&mut self) {
        self.tables = Tables::Later;
    }

    /// Draws for whatever shows, until `watch` ends it; whether it came to its end.
    pub(crate) fn draw_what_shows(&mut self, watch: &dyn Watch) -> bool {
        let _run = time_limit::begin();
        let done = compose::draw_for_report(&self.sheet, watch);
        if done {
            self.told.look_again(&self.sheet, self.tables, self.options);
        }
        done
    }

    /// How long the worksheet's file is and when it was written, where it is there.
    pub(crate) fn file_stamp(&self) -> Option<(u64, Option<SystemTime>)> {
        let about = fs::metadata(self.source.path()?).ok()?;
        Some((about.len(), about.modified().ok()))
    }

    /// Whether the worksheet's file has another text than was read from it or saved into it.
    pub(crate) fn file_went_on(&self) -> bool {
        let text = self.source.path().and_then(|path| read_text(path).ok());
        text.is_some_and(|text| text != self.source.text())
    }
}
