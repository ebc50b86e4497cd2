//! Studies on the worksheet in hand, with its case and trials.
//!
//! Start reading at [`Session::why`].

use std::path::Path;

use crate::report::audit::Audit;
use crate::report::build;
use crate::report::compare::Compare;
use crate::report::diff::Diff;
use crate::report::drawing::DrawnProblem;
use crate::report::why::Why;
use crate::sheet::names::CellId;
use crate::study::{Timed, Watch};
use crate::text::nearest;

use super::{Refusal, Session, lints};

impl Session {
    /// How an entry or a table was worked out, at most `depth` levels deep.
    ///
    /// # Errors
    /// There is nothing of that name that is worked out.
    pub fn why(&mut self, name: &str, depth: Option<usize>) -> Result<Why, Refusal> {
        let cell = self.cell_of(name)?;
        self.whole(&format!("`why {name}`"), |session| {
            Ok(build::why::why(&mut session.sheet, cell, depth, session.options))
        })
    }

    /// The base and every case side by side, with the problems and remarks of all of
    /// them. Case and trials in hand stay as they are.
    pub fn compare(&mut self) -> (Compare, Vec<DrawnProblem>) {
        let (found, mut problems) = self.timed("`compare`", |session| {
            build::compare::compare(&mut session.sheet, session.options)
        });
        problems.extend(lints::lints(&self.sheet));
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        let drawn = self.draw(&problems);
        (found, drawn)
    }

    /// What is in hand, with its case and trials, against another worksheet as it stands.
    /// `watch` hears how many mixtures of the two are done, of how many, and says whether
    /// to go on.
    pub fn diff(&mut self, other: &Session, watch: &dyn Watch) -> Diff {
        let (mine, theirs) = told_apart(self, other);
        self.diff_as(&mine, (other, &theirs), watch)
    }

    /// What is in hand against a worksheet's file, which is looked at in the same case;
    /// with the worksheet of that file.
    ///
    /// # Errors
    /// The file can't be read, or doesn't have the case in hand.
    pub fn diff_file(&mut self, path: &Path, watch: &dyn Watch) -> Result<(Diff, Session), Refusal> {
        let mut other = Session::open(path, self.options)?;
        if let Some(case) = self.sheet.case() {
            other.put_in_case(&case.name)?;
        }
        let mine = format!("{} in hand", self.name());
        let found = self.diff_as(&mine, (&other, other.name()), watch);
        Ok((found, other))
    }

    fn diff_as(&mut self, name: &str, other: (&Session, &str), watch: &dyn Watch) -> Diff {
        self.timed("`diff`", |session| {
            let (mine, theirs) = ((&session.sheet, name), (&other.0.sheet, other.1));
            build::diff::diff(mine, theirs, session.options, &Timed::new(watch))
        })
    }

    /// Takes up the case in which another worksheet is looked at.
    ///
    /// # Errors
    /// There is none of that name here.
    pub fn put_in_case(&mut self, name: &str) -> Result<(), Refusal> {
        match self.set_case(name) {
            Ok(_) => Ok(()),
            Err(_) => {
                let refusal = Refusal::new(format!("there is no case `{name}` in {}", self.name()));
                Err(refusal.help("look at both in the base, or in a case that both have"))
            }
        }
    }

    /// The worksheet line by line, worst first. `watch` hears how many values were moved
    /// of how many, and may end the work with what there is.
    pub fn audit(&mut self, watch: &dyn Watch) -> Audit {
        self.timed("`audit`", |session| {
            build::audit::audit(&mut session.sheet, &Timed::new(watch), session.options)
        })
    }

    fn cell_of(&self, name: &str) -> Result<CellId, Refusal> {
        let names = self.sheet.names();
        if let Some(cell) = names.cell_of(name) {
            return Ok(cell);
        }
        if names.get(name).is_some() {
            let refusal = Refusal::new(format!("`{name}` is written down, not worked out"));
            return Err(refusal.help("ask about an entry, or a table that a function makes"));
        }
        Err(self.unnamed(name))
    }

    /// A refusal of a name that nothing has, with what may be meant.
    pub(super) fn unnamed(&self, name: &str) -> Refusal {
        let names = self.sheet.names();
        let refusal = Refusal::new(format!("nothing here is named `{name}`"));
        let answers: Vec<String> = build::answers(&self.sheet)
            .into_iter()
            .filter_map(|cell| self.sheet.name_of(cell).map(str::to_owned))
            .collect();
        let near = names
            .nearest(name)
            .or_else(|| nearest(name, answers.iter().map(String::as_str)));
        match near {
            Some(near) => refusal.help(format!("write `{near}`, if that is meant")),
            None if answers.is_empty() => refusal,
            None => refusal.help(format!("the answers are {}", answers.join(", "))),
        }
    }
}

/// The names of two files; where they are the same, each with its folder.
fn told_apart(one: &Session, other: &Session) -> (String, String) {
    match one.name() == other.name() {
        false => (one.name().to_owned(), other.name().to_owned()),
        true => (one.source.whole_name(), other.source.whole_name()),
    }
}
