//! Studies on the worksheet in hand, with its case and trials.
//!
//! Start reading at [`Session::why`].

use std::path::Path;

use crate::report::against::Against;
use crate::report::audit::Audit;
use crate::report::compare::Compare;
use crate::report::compose;
use crate::report::diff::Diff;
use crate::report::study::Found;
use crate::report::why::Why;
use crate::sheet::kept_back::kept_back_told;
use crate::sheet::names::CellId;
use crate::study::{Timed, Watch};

use super::asked::{StudyVerb, Word, whole};
use super::disk::typed_path;
use super::{Refusal, Session, lints};

/// The deepest derivation that can be asked for.
const LEVELS: (u64, u64) = (0, 1000);

/// `why`, as a verb.
pub(crate) const WHY: StudyVerb = StudyVerb {
    about: Some("NAME"),
    words: &[Word::new("depth", "N").refusing(|text| whole(text, LEVELS).err())],
    brief: true,
    ..StudyVerb::new("why", |session, asked, _| {
        let depth = asked.get("depth").and_then(|text| whole(text, LEVELS).ok());
        let depth = depth.and_then(|depth| usize::try_from(depth).ok());
        Ok(Box::new(session.why(&asked.about, depth)?))
    })
};

/// `compare`, as a verb.
pub(crate) const COMPARE: StudyVerb = StudyVerb {
    brief: true,
    ..StudyVerb::new("compare", |session, _, _| Ok(Box::new(session.compare())))
};

/// `audit`, as a verb.
pub(crate) const AUDIT: StudyVerb = StudyVerb {
    words: &[Word::new("against", "FILE").bare()],
    brief: true,
    ..StudyVerb::new("audit", |session, asked, watch| match asked.get("against") {
        Some(file) => Ok(Box::new(
            session.audit_against(&typed_path(file.trim_matches('"')), watch)?,
        )),
        None => Ok(Box::new(session.audit(watch))),
    })
};

/// `leeway`, as a verb.
pub(crate) const LEEWAY: StudyVerb = StudyVerb::new("leeway", |session, _, _| {
    let found = session.timed("`leeway`", |session| {
        compose::leeway::leeway(&session.sheet, session.options)
    });
    Ok(Box::new(session.with_in_hand(found)))
});

/// `diff`, as a verb of the session.
pub(crate) const DIFF: StudyVerb = StudyVerb {
    about: Some("FILE"),
    ..StudyVerb::new("diff", |session, asked, watch| {
        let file = typed_path(asked.about.trim_matches('"'));
        Ok(Box::new(session.diff_file(&file, watch)?))
    })
};

impl Session {
    /// How an entry or a table was worked out, at most `depth` levels deep.
    ///
    /// # Errors
    /// There is nothing of that name that is worked out.
    pub fn why(&mut self, name: &str, depth: Option<usize>) -> Result<Found<Why>, Refusal> {
        let cell = self.cell_of(name)?;
        let found = self.whole(&format!("`why {name}`"), |session| {
            Ok(compose::why::why(&session.sheet, cell, depth, session.options))
        })?;
        Ok(self.with_in_hand(found))
    }

    /// The base and every case side by side, with the problems and remarks of all of
    /// them. Case and trials in hand stay as they are.
    pub fn compare(&mut self) -> Found<Compare> {
        let (found, mut problems) = self.timed("`compare`", |session| {
            compose::compare::compare(&session.sheet, session.options)
        });
        problems.extend(lints::lints(&self.sheet));
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        let own = self.problems();
        let beyond = self
            .draw(&problems)
            .into_iter()
            .filter(|problem| !own.contains(problem));
        Found {
            beyond: beyond.collect(),
            ..self.with_in_hand(found)
        }
    }

    /// What is in hand, with its case and trials, against another worksheet as it stands.
    /// `watch` hears how many mixtures of the two are done, of how many, and says whether
    /// to go on.
    pub fn diff(&mut self, other: &Session, watch: &dyn Watch) -> Found<Diff> {
        let (mine, theirs) = told_apart(self, other);
        self.diff_as(&mine, (other, &theirs), watch)
    }

    /// What is in hand against a worksheet's file, which is looked at in the same case.
    ///
    /// # Errors
    /// The file can't be read, or doesn't have the case in hand.
    pub(crate) fn diff_file(&mut self, path: &Path, watch: &dyn Watch) -> Result<Found<Diff>, Refusal> {
        let other = self.other(path)?;
        let mine = format!("{} in hand", self.name());
        let found = self.diff_as(&mine, (&other, other.name()), watch);
        Ok(Found {
            beyond: other.problems(),
            ..found
        })
    }

    /// Which lines of what is in hand a worksheet's file, looked at in the same case, would question.
    ///
    /// # Errors
    /// The file can't be read, or doesn't have the case in hand.
    pub fn audit_against(&mut self, path: &Path, watch: &dyn Watch) -> Result<Found<Against>, Refusal> {
        let other = self.other(path)?;
        let found = self.timed("`audit`", |session| {
            let theirs = (&other.sheet, other.name());
            compose::against::against(&session.sheet, theirs, session.options, &Timed::new(watch))
        });
        Ok(Found {
            beyond: other.problems(),
            ..self.with_in_hand(found)
        })
    }

    /// A worksheet's file in the case in hand.
    fn other(&self, path: &Path) -> Result<Session, Refusal> {
        let mut other = Session::open(path, self.options)?;
        if let Some(case) = self.sheet.case() {
            other.put_in_case(&case.name)?;
        }
        Ok(other)
    }

    fn diff_as(&mut self, name: &str, other: (&Session, &str), watch: &dyn Watch) -> Found<Diff> {
        let study = self.timed("`diff`", |session| {
            let theirs = (&other.0.sheet, other.1);
            compose::diff::diff(&session.sheet, theirs, session.options, &Timed::new(watch))
        });
        Found {
            in_hand: compose::in_hand::in_hand(&self.sheet, name, self.options),
            study,
            beyond: Vec::new(),
        }
    }

    /// Takes up the case in which another worksheet is looked at.
    ///
    /// # Errors
    /// There is none of that name here.
    pub(crate) fn put_in_case(&mut self, name: &str) -> Result<(), Refusal> {
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
    pub fn audit(&mut self, watch: &dyn Watch) -> Found<Audit> {
        let found = self.timed("`audit`", |session| {
            compose::audit::audit(&session.sheet, &Timed::new(watch), session.options)
        });
        self.with_in_hand(found)
    }

    /// What was found, with what it was worked out for.
    pub(super) fn with_in_hand<T>(&self, study: T) -> Found<T> {
        Found {
            in_hand: compose::in_hand::in_hand(&self.sheet, self.name(), self.options),
            study,
            beyond: Vec::new(),
        }
    }

    fn cell_of(&self, name: &str) -> Result<CellId, Refusal> {
        self.told(name)?;
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

    /// Refuses a name that leads to the answer of an exercise.
    pub(super) fn told(&self, name: &str) -> Result<(), Refusal> {
        let kept = self.sheet.cell(name).filter(|cell| self.sheet.is_kept_back(*cell));
        kept.map_or(Ok(()), |_| Err(Refusal::new(kept_back_told(name))))
    }

    /// A refusal of a name that nothing has, with what may be meant.
    pub(super) fn unnamed(&self, name: &str) -> Refusal {
        let refusal = Refusal::new(format!("nothing here is named `{name}`"));
        let answers = self.answers();
        match self.sheet.names().nearest(name) {
            None if !answers.is_empty() => refusal.help(format!("the answers are {}", answers.join(", "))),
            near => refusal.near(near),
        }
    }

    /// The answers by name.
    pub(super) fn answers(&self) -> Vec<&str> {
        let cells = compose::answers(&self.sheet).into_iter();
        cells.filter_map(|cell| self.sheet.name_of(cell)).collect()
    }
}

/// The names of two files; where they are the same, each with its folder.
fn told_apart(one: &Session, other: &Session) -> (String, String) {
    match one.name() == other.name() {
        false => (one.name().to_owned(), other.name().to_owned()),
        true => (one.source.whole_name(), other.source.whole_name()),
    }
}
