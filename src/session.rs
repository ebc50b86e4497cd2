//! The session: the one object a shell holds.
//!
//! It opens a worksheet, tries values, edits the record, keeps, undoes, shows
//! and saves. Each act gives back an [`Outcome`]: what a person should be told,
//! as plain data; or a [`Refusal`], and then nothing has changed. Every act is
//! one step that can be undone. Files are read and replaced in [`mod@file`], the
//! record is edited in [`edit`]. Start reading at [`Session`].

use std::io::ErrorKind;
use std::path::Path;

use crate::problem::{Code, Place, Problem};
use crate::report::compose::{self, Extent, Options};
use crate::report::drawing::DrawnProblem;
use crate::report::model::Report;
use crate::report::place;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::failure::MORE_TIME;
use crate::sheet::names::CellId;
use crate::sheet::{Enclosed, Sheet};
use crate::study::marks::Tables;
use crate::syntax::Worksheet;
use crate::syntax::tree::{Item, Node};
use crate::text::Span;
use crate::time_limit;

mod about;
mod add;
pub mod asked;
mod block;
mod cell_trial;
mod class;
pub mod completion;
mod dates;
pub mod disk;
pub mod doubt;
pub(crate) mod edit;
pub(crate) mod editor;
pub mod file;
mod files;
mod handout;
mod history;
mod journal;
mod lints;
mod live;
mod outcome;
pub(crate) mod outline;
mod picture;
mod plot;
pub(crate) mod pointing;
mod reading;
mod rename;
mod rows;
mod standing;
pub mod starters;
pub mod studies;
mod study;
mod told_reading;
pub mod trial;
pub(crate) mod trials;
pub(crate) mod unnamed;
pub mod unsaved;
pub mod vary;
pub mod verbs;
mod words;

use file::Source;
use files::TableFiles;
use history::{History, Replacement, Step};
use journal::Act;
use picture::LastTold;
use unsaved::Keeping;

pub use outcome::{Outcome, Refusal};

/// A worksheet in hand: its sheet, its file, and the steps that led here.
pub struct Session {
    sheet: Sheet,
    source: Source,
    options: Options,
    history: History,
    told: LastTold,
    drawn: Option<String>,
    overrun: Option<String>,
    keeping: Keeping,
    table_files: TableFiles,
    /// The time on the wall, where it isn't the system's.
    clock: Option<i64>,
    /// Whether what only draws can say is left for later.
    tables: Tables,
    /// Whose it is in a class.
    pupil: Option<String>,
}

impl Session {
    /// Opens a worksheet from a file.
    ///
    /// # Errors
    /// Why the file can't be read.
    pub fn open(path: &Path, options: Options) -> Result<Session, Refusal> {
        let (source, text) = Source::read(path)?;
        Ok(Session::with(source, text, &[], options))
    }

    /// Begins an empty worksheet under a name where no file is yet, in a folder that is there;
    /// nothing is written until it is saved. `None` where something is there.
    pub fn begin(path: &Path, options: Options) -> Option<Session> {
        let is_free = path
            .symlink_metadata()
            .is_err_and(|trouble| trouble.kind() == ErrorKind::NotFound);
        let source = Source::begun(path);
        let is_placed = is_free && path.file_name().is_some() && source.folder().is_some_and(|folder| folder.is_dir());
        is_placed.then(|| Session::with(source, String::new(), &[], options))
    }

    /// Holds a worksheet that stands in no file yet. Its tables are looked for in the
    /// files enclosed with it, then in the current folder.
    pub fn of_text(name: &str, text: String, enclosed: Enclosed, options: Options) -> Session {
        Session::with(Source::nowhere(name, &text, enclosed), text, enclosed, options)
    }

    fn with(source: Source, text: String, enclosed: Enclosed, options: Options) -> Session {
        let _run = time_limit::begin();
        let sheet = Sheet::load_with(text, source.folder(), enclosed);
        let mut session = Session {
            sheet,
            source,
            options,
            history: History::default(),
            told: LastTold::default(),
            drawn: None,
            overrun: None,
            keeping: Keeping::default(),
            table_files: TableFiles::default(),
            clock: None,
            tables: Tables::Drawn,
            pupil: None,
        };
        session.look_at_files();
        session
    }

    /// Looks how all stands, before something changes.
    fn look(&mut self) {
        if !self.keeping.replaying {
            let _run = time_limit::begin();
            self.told.look(&self.sheet, self.tables, self.options);
        }
    }

    /// The sheet.
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    /// The worksheet's name as people are told it.
    pub fn name(&self) -> &str {
        self.source.name()
    }

    /// Whether the text is another than that in the file, or a table's file is.
    pub fn unsaved(&self) -> bool {
        self.source.text() != self.sheet.text() || self.unsaved_files().next().is_some()
    }

    /// Everything a report says, remarks on names among its problems.
    pub fn report(&self) -> Report {
        self.reported().0
    }

    /// The same, with its problems drawn against the text.
    pub(crate) fn reported(&self) -> (Report, Vec<DrawnProblem>) {
        self.reported_to(Extent::Whole)
    }

    /// As much of it as the part takes that somebody wants to see.
    pub(crate) fn reported_for(&self, part: &str) -> (Report, Vec<DrawnProblem>) {
        self.reported_to(Extent::of(part))
    }

    fn reported_to(&self, extent: Extent) -> (Report, Vec<DrawnProblem>) {
        self.with_lints(compose::report_and_problems(
            &self.sheet,
            extent,
            self.tables,
            self.options,
        ))
    }

    /// A report of the checks alone, with every problem drawn against the text.
    pub(crate) fn checked(&self) -> (Report, Vec<DrawnProblem>) {
        self.with_lints(compose::checks_and_problems(&self.sheet, self.tables, self.options))
    }

    fn with_lints(&self, (mut report, mut problems): (Report, Vec<Problem>)) -> (Report, Vec<DrawnProblem>) {
        report.file = self.name().to_owned();
        let tree = self.sheet.tree();
        let lints = lints::lints(&self.sheet);
        let told = lints
            .iter()
            .map(|lint| place::machine(lint, tree, self.sheet.line(lint.place.item)));
        report.problems.extend(told);
        report.problems.sort_by_key(|problem| (problem.line, problem.column));
        problems.extend(lints);
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        (report, self.draw(&problems))
    }

    /// Every problem and remark, drawn against the text.
    pub fn problems(&self) -> Vec<DrawnProblem> {
        let mut problems = self.sheet.problems();
        problems.extend(lints::lints(&self.sheet));
        problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
        self.draw(&problems)
    }

    fn draw(&self, problems: &[Problem]) -> Vec<DrawnProblem> {
        let drawn = problems.iter().map(|problem| {
            place::drawn(problem, self.sheet.tree(), self.source.name(), |item| {
                self.sheet.line(item)
            })
        });
        drawn.collect()
    }

    /// The problems of a line that was typed, drawn against it.
    fn refused(&self, line: &str, problems: &[Problem]) -> Refusal {
        let drawn = problems.iter().map(|problem| self.drawn_typed(line, problem));
        Refusal {
            problems: drawn.collect(),
        }
    }

    fn drawn_typed(&self, line: &str, problem: &Problem) -> DrawnProblem {
        let typed = typed_tree(line);
        let is_typed = |place: &Place| place.item == 0;
        let mut own = problem.clone();
        let (mine, others) = own.labels.into_iter().partition(|label| is_typed(&label.place));
        own.labels = mine;
        let mut drawn = place::drawn(&own, &typed, "your line", |_| 1);
        let main = drawn.line;
        for label in drawn.labels.iter_mut().filter(|label| label.line == main) {
            label.line = 0;
        }
        drawn.line = 0;
        let elsewhere = Problem {
            labels: others,
            ..problem.clone()
        };
        let other = place::drawn(&elsewhere, self.sheet.tree(), "", |item| self.sheet.line(item));
        drawn.labels.extend(other.labels);
        drawn
    }

    // ---- time ----

    /// Does a study as one run. Where its time is up, [`Session::overran`] tells it.
    fn timed<T>(&mut self, what: &str, work: impl FnOnce(&Session) -> T) -> T {
        let run = time_limit::begin();
        let found = work(self);
        let over = run.is_over();
        drop(run);
        self.overrun = over.then(|| what.to_owned());
        found
    }

    /// That the time of the study done last was up, where it was.
    pub fn overran(&self) -> Option<Refusal> {
        let what = self.overrun.as_ref()?;
        let message = format!(
            "the {} that a run may take were up before {what} was done",
            time_limit::in_words()
        );
        Some(Refusal::of_file(self.source.name(), Code::OutOfTime, message).help(MORE_TIME))
    }

    /// The same for what makes no sense unless it is whole.
    fn whole<T>(&mut self, what: &str, work: impl FnOnce(&Session) -> Result<T, Refusal>) -> Result<T, Refusal> {
        let found = self.timed(what, work);
        match self.overran() {
            Some(refusal) => {
                self.overrun = None;
                Err(refusal)
            }
            None => found,
        }
    }

    // ---- steps ----

    /// Does something as one step: all of it, or, where it is refused, nothing.
    fn act(
        &mut self,
        title: impl Into<String>,
        typed: Act,
        act: impl FnOnce(&mut Session) -> Result<Outcome, Refusal>,
    ) -> Result<Outcome, Refusal> {
        self.look();
        let _run = time_limit::begin();
        let before = self.standing();
        self.history.begin();
        let result = act(self);
        let texts = self.history.end();
        match result {
            Ok(mut outcome) => {
                let after = self.standing();
                if !texts.is_empty() || before != after {
                    let record = self.record_of(typed);
                    self.history
                        .remember(Step::new(title.into(), texts, (before, after), record.clone()));
                    self.tell_changes(&mut outcome);
                    outcome.told.extend(self.note(&record));
                }
                Ok(outcome)
            }
            Err(refusal) => {
                self.take_back(&texts);
                self.stand(&before);
                Err(refusal)
            }
        }
    }

    /// Takes the last step back.
    ///
    /// # Errors
    /// Where there is none.
    pub fn undo(&mut self) -> Result<Outcome, Refusal> {
        self.files_fit(&self.history.last()?.texts, |place| &place.inserted)?;
        self.look();
        let step = self.history.step_back()?;
        self.take_back(&step.texts);
        self.stand(&step.before);
        // what somebody else put into the file isn't in the text any more, so saving has to ask again
        if let Some((before, read)) = &step.reread {
            self.source.know(read, before);
        }
        let outcome = Outcome::said(format!("Undone: `{}`", step.title));
        self.history.was_undone(step);
        Ok(self.stepped(outcome, Act::Undo))
    }

    /// Does again what was undone last.
    ///
    /// # Errors
    /// Where there is nothing.
    pub fn redo(&mut self) -> Result<Outcome, Refusal> {
        self.files_fit(&self.history.next()?.texts, |place| &place.removed)?;
        self.look();
        let step = self.history.step_forth()?;
        for text in &step.texts {
            self.exchange(text, text.removed.len(), &text.inserted);
        }
        self.stand(&step.after);
        if let Some((before, read)) = &step.reread {
            self.source.know(before, read);
        }
        let outcome = Outcome::said(format!("Done again: `{}`", step.title));
        self.history.was_redone(step);
        Ok(self.stepped(outcome, Act::Redo))
    }

    /// What a step back or forth changed; problems that were drawn before are counted.
    fn stepped(&mut self, mut outcome: Outcome, typed: Act) -> Outcome {
        self.tell_changes(&mut outcome);
        let record = self.record_of(typed);
        outcome.told.extend(self.note(&record));
        outcome.back = std::mem::take(&mut outcome.problems).len();
        outcome
    }

    fn take_back(&mut self, texts: &[Replacement]) {
        for text in texts.iter().rev() {
            self.exchange(text, text.inserted.len(), &text.removed);
        }
    }

    /// Replaces a stretch of the text as part of the step at work.
    fn replace(&mut self, span: Span, with: &str) {
        let change = self.sheet.replace(span, with);
        self.history.add(Replacement {
            file: None,
            start: span.start as usize,
            removed: change.removed,
            inserted: with.to_owned(),
        });
    }

    fn release_all(&mut self) {
        let trials: Vec<CellId> = self.sheet.trials().collect();
        for cell in trials {
            self.sheet.release(cell);
        }
        let cells: Vec<CellPlace> = self.sheet.held_cells().map(|(place, _)| place).collect();
        cells.into_iter().for_each(|place| self.sheet.release_cell(place));
    }

    // ---- cases ----

    /// Switches to a case, or with `base` to none.
    ///
    /// # Errors
    /// Where there is no such case.
    pub fn set_case(&mut self, name: &str) -> Result<Outcome, Refusal> {
        let title = format!("case {name}");
        self.act(title, Act::Case(name.to_owned()), |session| {
            let switched = session.sheet.set_case(Some(name));
            switched.map_err(|near| session.no_case(name, near.as_deref()))?;
            let told = match session.sheet.case() {
                Some(case) => match &case.title {
                    Some(title) => format!("Case `{name}`: {title}"),
                    None => format!("Case `{name}`"),
                },
                None => "The base, without a case".to_owned(),
            };
            Ok(Outcome::said(told))
        })
    }

    fn no_case(&self, name: &str, near: Option<&str>) -> Refusal {
        let refusal = Refusal::new(format!("there is no case `{name}`"));
        if near.is_some() {
            return refusal.near(near);
        }
        let names: Vec<String> = self
            .sheet
            .cases()
            .iter()
            .map(|case| format!("`{}`", case.name))
            .collect();
        match names.is_empty() {
            true => refusal.help("this worksheet has no cases; `case NAME \"title\"` opens one"),
            false => refusal.help(format!("its cases are {}", names.join(", "))),
        }
    }

    // ---- what changed ----

    /// Adds what answers, checks and problems show now that they didn't before.
    fn tell_changes(&mut self, outcome: &mut Outcome) {
        if self.keeping.replaying {
            return;
        }
        let new = self.told.tell(&self.sheet, self.tables, self.options, outcome);
        outcome.problems.extend(self.draw(&new));
    }
}

/// The tree of a typed line: one item, so that places count from its start.
fn typed_tree(line: &str) -> Worksheet {
    Worksheet {
        text: line.to_owned(),
        items: vec![Item {
            start: 0,
            len: Span::at(line.len()).start,
            node: Node::Blank,
            problems: Vec::new(),
        }],
        ..Worksheet::default()
    }
}
