//! The session: the one object a shell holds.
//!
//! It opens a worksheet, tries values, edits the record, keeps, undoes, shows
//! and saves. Each act gives back an [`Outcome`]: what a person should be told,
//! as plain data; or a [`Refusal`], and then nothing has changed. Every act is
//! one step that can be undone. Files are read and replaced in [`mod@file`], the
//! record is edited in [`edit`]. Start reading at [`Session`].

use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use crate::problem::{Code, Place, Problem};
use crate::report::change::{Change, Changes, Flip};
use crate::report::compose::{self, Options};
use crate::report::drawing::DrawnProblem;
use crate::report::model::{Check, Entry, Report, Severity};
use crate::report::place;
use crate::report::shown::Shown;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::failure::MORE_TIME;
use crate::sheet::names::CellId;
use crate::sheet::{Enclosed, Reading, Sheet};
use crate::syntax::Worksheet;
use crate::syntax::tree::{Item, Node};
use crate::text::Span;
use crate::time_limit;
use crate::unit::Kind;

mod about;
mod add;
pub mod asked;
mod block;
mod cell_trial;
pub mod completion;
pub mod disk;
pub mod doubt;
pub mod edit;
pub mod editor;
pub mod file;
mod files;
mod handout;
mod journal;
mod lints;
pub mod outline;
mod plot;
pub mod pointing;
mod reading;
mod rename;
mod rows;
mod standing;
pub mod starters;
pub mod studies;
mod study;
mod told_reading;
pub mod trial;
pub mod unnamed;
pub mod unsaved;
pub mod vary;
pub mod verbs;

use file::Source;
use journal::{Act, Journal, Record};
use standing::Standing;

/// So many steps can be undone.
const MOST_STEPS: usize = 1000;

/// All steps together hold so many bytes.
const MOST_HELD: usize = 256 * 1024 * 1024;

/// A worksheet in hand: its sheet, its file, and the steps that led here.
pub struct Session {
    sheet: Sheet,
    source: Source,
    options: Options,
    done: Vec<Step>,
    undone: Vec<Step>,
    working: Vec<Replacement>,
    picture: Picture,
    cautioned: Vec<String>,
    drawn: Option<String>,
    overrun: Option<String>,
    forgotten: usize,
    journal: Option<Journal>,
    state: Option<PathBuf>,
    /// Whether its file is gone, and only a journal is left of it.
    lost: bool,
    /// Whether acts are done again that were told before.
    replaying: bool,
    /// The files of tables in hand, by path, with the text that is known to be in each.
    files: BTreeMap<String, String>,
    /// How the files of tables stood on the disk when they were read.
    stamps: BTreeMap<String, Option<files::Stamp>>,
    /// The time on the wall, where it isn't the system's.
    clock: Option<i64>,
}

/// One step: what it is called, which text it replaced, and what stood before and after.
struct Step {
    title: String,
    texts: Vec<Replacement>,
    before: Standing,
    after: Standing,
    record: Record,
    /// Of a file read again: what was known to be in it before, and what was read.
    reread: Option<(String, String)>,
    /// About so much is held.
    bytes: usize,
}

impl Step {
    fn new(title: String, texts: Vec<Replacement>, (before, after): (Standing, Standing), record: Record) -> Step {
        let replaced = texts.iter().map(|text| text.removed.len() + text.inserted.len());
        Step {
            bytes: replaced.sum::<usize>() + before.size() + after.size() + record.size(),
            title,
            texts,
            before,
            after,
            record,
            reread: None,
        }
    }
}

/// A stretch of text and what took its place.
#[derive(Clone)]
struct Replacement {
    /// The file of a table, by its path; none for the worksheet.
    file: Option<String>,
    start: usize,
    removed: String,
    inserted: String,
}

/// What an act came to, for a person to be told.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    /// What was done, a line each.
    pub told: Vec<String>,
    /// Entries to show as they stand now.
    pub entries: Vec<Entry>,
    /// What changed in answers and checks; `None` where nothing should.
    pub changes: Option<Changes>,
    /// What stands a line each as it is, below what was done.
    pub listed: Vec<String>,
    /// Checks that go on failing, where somebody may take silence for success.
    pub still: Vec<Check>,
    /// Problems that were not there before.
    pub problems: Vec<DrawnProblem>,
    /// Cautions that were not told before in this session, in words.
    pub cautions: Vec<String>,
    /// How many problems have gone.
    pub mended: usize,
    /// How many problems have come back with a step undone or done again.
    pub back: usize,
    /// Whether it goes without saying that no answer changes.
    quiet: bool,
}

/// Why nothing was done.
#[derive(Clone, Debug)]
pub struct Refusal {
    /// The problems, drawn where there is a line to mark.
    pub problems: Vec<DrawnProblem>,
}

/// How answers, checks and problems stood, to tell what an act changed.
#[derive(Default)]
struct Picture {
    answers: Vec<Seen>,
    checks: Vec<Check>,
    problems: Vec<Problem>,
    cautions: Vec<(&'static str, String)>,
}

/// An answer as it stood.
struct Seen {
    name: String,
    shown: Shown,
    reading: Option<crate::number::Number>,
    kind: Option<Kind>,
    clock: bool,
}

impl Refusal {
    /// A refusal in words, with no line to mark.
    pub fn new(message: impl Into<String>) -> Refusal {
        Refusal {
            problems: vec![placeless("", "", message.into(), None)],
        }
    }

    /// With the one thing to do.
    pub fn help(mut self, help: impl Into<String>) -> Refusal {
        if let Some(problem) = self.problems.last_mut() {
            problem.help = Some(help.into());
        }
        self
    }

    /// A problem with a file, which has a code but no line.
    pub(crate) fn of_file(file: &str, code: Code, message: impl Into<String>) -> Refusal {
        Refusal {
            problems: vec![placeless(file, code.word(), message.into(), None)],
        }
    }

    /// With the nearest of what there is, where something is near.
    fn near(self, near: Option<&str>) -> Refusal {
        match near {
            Some(near) => self.help(format!("write `{near}`, if that is meant")),
            None => self,
        }
    }
}

fn placeless(file: &str, code: &str, message: String, help: Option<String>) -> DrawnProblem {
    DrawnProblem {
        file: file.to_owned(),
        code: code.to_owned(),
        severity: Severity::Problem,
        message,
        line: 0,
        column: 0,
        text: String::new(),
        mark: 0..0,
        label: String::new(),
        labels: Vec::new(),
        help,
        cell: None,
    }
}

impl Outcome {
    /// An outcome that says something, and what changed.
    fn said(text: impl Into<String>) -> Outcome {
        Outcome {
            told: vec![text.into()],
            ..Outcome::default()
        }
    }

    /// Without a word where no answer changes.
    fn quietly(mut self) -> Outcome {
        self.quiet = true;
        self
    }
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
            done: Vec::new(),
            undone: Vec::new(),
            working: Vec::new(),
            picture: Picture::default(),
            cautioned: Vec::new(),
            drawn: None,
            overrun: None,
            forgotten: 0,
            journal: None,
            state: None,
            lost: false,
            replaying: false,
            files: BTreeMap::new(),
            stamps: BTreeMap::new(),
            clock: None,
        };
        session.see();
        session.look_at_files();
        session
    }

    /// Takes all that answers, checks, problems and cautions show as told.
    fn see(&mut self) {
        self.picture = self.take_picture();
        let told = self.picture.cautions.iter().map(|(code, _)| (*code).to_owned());
        self.cautioned = told.collect();
    }

    /// The sheet.
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    /// The worksheet's name as people are told it.
    pub fn name(&self) -> &str {
        self.source.name()
    }

    /// How numbers are shown.
    pub fn options(&self) -> Options {
        self.options
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
        let (mut report, mut problems) = compose::report_and_problems(&self.sheet, self.options);
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
        let _run = time_limit::begin();
        let before = self.standing();
        self.working.clear();
        let result = act(self);
        let texts = std::mem::take(&mut self.working);
        match result {
            Ok(mut outcome) => {
                let after = self.standing();
                if !texts.is_empty() || before != after {
                    let record = self.record_of(typed);
                    self.remember(Step::new(title.into(), texts, (before, after), record.clone()));
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

    fn remember(&mut self, step: Step) {
        self.undone.clear();
        self.done.push(step);
        let held = |steps: &[Step]| steps.iter().map(|step| step.bytes).sum::<usize>();
        while self.done.len() > 1 && (self.done.len() > MOST_STEPS || held(&self.done) > MOST_HELD) {
            self.done.remove(0);
            self.forgotten += 1;
        }
    }

    /// Takes the last step back.
    ///
    /// # Errors
    /// Where there is none.
    pub fn undo(&mut self) -> Result<Outcome, Refusal> {
        let last = self.done.last().ok_or_else(|| self.nothing_to_undo())?;
        self.files_fit(&last.texts, |place| &place.inserted)?;
        let step = self.done.pop().ok_or_else(|| self.nothing_to_undo())?;
        self.take_back(&step.texts);
        self.stand(&step.before);
        // what somebody else put into the file isn't in the text any more, so saving has to ask again
        if let Some((before, read)) = &step.reread {
            self.source.know(read, before);
        }
        let outcome = Outcome::said(format!("Undone: `{}`", step.title));
        self.undone.push(step);
        Ok(self.stepped(outcome, Act::Undo))
    }

    fn nothing_to_undo(&self) -> Refusal {
        match self.forgotten {
            0 => Refusal::new("there is nothing to undo"),
            many => Refusal::new(format!(
                "there is nothing more to undo: {many} earlier steps are no longer kept, which are the last {MOST_STEPS} at most"
            )),
        }
    }

    /// Does again what was undone last.
    ///
    /// # Errors
    /// Where there is nothing.
    pub fn redo(&mut self) -> Result<Outcome, Refusal> {
        if let Some(next) = self.undone.last() {
            self.files_fit(&next.texts, |place| &place.removed)?;
        }
        let step = self
            .undone
            .pop()
            .ok_or_else(|| Refusal::new("there is nothing to redo"))?;
        for text in &step.texts {
            self.exchange(text, text.removed.len(), &text.inserted);
        }
        self.stand(&step.after);
        if let Some((before, read)) = &step.reread {
            self.source.know(before, read);
        }
        let outcome = Outcome::said(format!("Done again: `{}`", step.title));
        self.done.push(step);
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
        self.working.push(Replacement {
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

    fn take_picture(&self) -> Picture {
        let cells = compose::answers(&self.sheet);
        let shown = compose::shown_values(&self.sheet, &cells, self.options);
        let answers = cells
            .iter()
            .zip(shown)
            .filter_map(|(cell, shown)| self.seen(*cell, shown));
        Picture {
            answers: answers.collect(),
            checks: compose::checks(&self.sheet, self.options),
            problems: self.sheet.problems(),
            cautions: self.cautions(&cells),
        }
    }

    /// Each caution's code and words, once.
    fn cautions(&self, cells: &[CellId]) -> Vec<(&'static str, String)> {
        let mut told: Vec<(&'static str, String)> = Vec::new();
        for found in self.sheet.appraise(cells.iter().copied()).cautions {
            let text = if found.text.is_empty() {
                found.caution.text
            } else {
                &found.text
            };
            if !told.iter().any(|(code, _)| *code == found.caution.code) {
                told.push((found.caution.code, text.to_owned()));
            }
        }
        told
    }

    fn seen(&self, cell: CellId, shown: Shown) -> Option<Seen> {
        let entry = self.sheet.entry(cell)?;
        Some(Seen {
            name: entry.name.text.to_string(),
            shown,
            reading: match self.sheet.reading(cell) {
                Reading::Number(number) => Some(number),
                _ => None,
            },
            kind: self.sheet.shape(cell).map(|shape| shape.kind),
            clock: entry.unit.is_some_and(|unit| unit.clock),
        })
    }

    /// Adds what answers, checks and problems show now that they didn't before.
    fn tell_changes(&mut self, outcome: &mut Outcome) {
        if self.replaying {
            return;
        }
        let now = self.take_picture();
        let before = std::mem::replace(&mut self.picture, now);
        let now = &self.picture;
        let changes = Changes {
            answers: now.answers.iter().filter_map(|seen| changed(&before, seen)).collect(),
            checks: flips(&before.checks, &now.checks),
        };
        let nothing = changes.answers.is_empty() && changes.checks.is_empty();
        outcome.changes = Some(changes).filter(|_| !nothing || !outcome.quiet);
        let new = missing_from(&before.problems, &now.problems);
        outcome.mended = missing_from(&now.problems, &before.problems).len();
        for (code, text) in &now.cautions {
            if !self.cautioned.iter().any(|told| told == code) {
                self.cautioned.push((*code).to_owned());
                outcome.cautions.push(format!("{code}: {text}"));
            }
        }
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
    }
}

fn changed(before: &Picture, now: &Seen) -> Option<Change> {
    let before = before.answers.iter().find(|seen| seen.name == now.name)?;
    let says_the_same = without_lines(&before.shown.value) == without_lines(&now.shown.value);
    let has_none = |seen: &Seen| seen.reading.is_none() && seen.shown.rows.is_none();
    let without_value = has_none(before) && has_none(now);
    if before.reading == now.reading && (before.shown == now.shown || without_value && says_the_same) {
        return None;
    }
    Some(Change {
        name: now.name.clone(),
        before: before.shown.clone(),
        now: now.shown.clone(),
        difference: told_difference(before, now),
    })
}

/// What an answer waits on, wherever that stands by now.
fn without_lines(told: &str) -> String {
    let mut parts = told.split(" (line ");
    let first = parts.next().unwrap_or("").to_owned();
    parts.fold(first, |told, part| {
        told + part.split_once(')').map_or(part, |(_, rest)| rest)
    })
}

fn told_difference(before: &Seen, now: &Seen) -> Option<String> {
    let kind = now
        .kind
        .filter(|kind| before.kind.is_some_and(|before| before.is_like(*kind)))?;
    let (old, new) = ((before.reading?, &before.shown), (now.reading?, &now.shown));
    compose::gap(kind, now.clock, old, new).map(|gap| gap.words())
}

/// The checks whose verdict is another; the same condition is the same check.
fn flips(before: &[Check], now: &[Check]) -> Vec<Flip> {
    let mut left: Vec<&Check> = before.iter().collect();
    let mut flips = Vec::new();
    for check in now {
        let Some(place) = left.iter().position(|old| old.text == check.text) else {
            continue;
        };
        let old = left.remove(place);
        if old.holds != check.holds {
            flips.push(Flip {
                line: check.line,
                text: check.text.clone(),
                before: old.holds,
                now: check.holds,
                message: check.message.clone(),
                compared: check.compared.clone(),
            });
        }
    }
    flips
}

/// The problems of `now` that `before` doesn't have, wherever their lines stand.
fn missing_from(before: &[Problem], now: &[Problem]) -> Vec<Problem> {
    let mut left: Vec<&Problem> = before.iter().collect();
    let mut new = Vec::new();
    for problem in now {
        let same = |old: &&Problem| old.code == problem.code && old.message == problem.message;
        match left.iter().position(same) {
            Some(place) => {
                left.remove(place);
            }
            None => new.push(problem.clone()),
        }
    }
    new
}
