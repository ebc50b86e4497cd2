//! The worksheets of a class: which files they are, and what their pupils are called.
//!
//! A folder holds a file for each pupil, or a folder for each. Start reading at [`handed_in`].

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::report::compose;
use crate::report::compose::class::NotMarked;
use crate::report::study::Found;
use crate::study::Timed;
use crate::study::blanks;
use crate::study::class::{self, Class as Marked, Paper};
use crate::time_limit;

use super::asked::{StudyVerb, Word};
use super::disk::{plain, read_text, typed_path};
use super::{Refusal, Session};

/// `mark`, as a verb.
pub(crate) const MARK: StudyVerb = StudyVerb {
    about: Some("FOLDER"),
    words: &[Word::new("pupil", "PUPIL")],
    brief: true,
    ..StudyVerb::new("mark", |session, asked, watch| {
        let places: Vec<PathBuf> = asked
            .about
            .lines()
            .map(|place| typed_path(place.trim_matches('"')))
            .collect();
        let handed = handed_in(session, &places)?;
        let class = session.timed("`mark`", |session| {
            compose::class::class(&session.sheet, &handed.papers, &Timed::new(watch), session.options)
        });
        let class = class.leaving_out(handed.not_marked);
        if class.is_without_exercises() {
            let refusal = Refusal::new(format!("{} has no exercises to mark", session.name()));
            let help = match class.about_lesson() {
                [] => "an exercise is `assumed NAME \"question\" [unit] = ?`, and a check that names it".to_owned(),
                told => told.join("; "),
            };
            return Err(refusal.help(help));
        }
        match asked.get("pupil") {
            None => Ok(Box::new(session.with_in_hand(class))),
            Some("each") => Ok(Box::new(session.with_in_hand(class.notes()))),
            Some(name) => {
                let note = class
                    .note(name)
                    .map_err(|near| Refusal::new(format!("there is no pupil `{name}`")).near(near.as_deref()))?;
                Ok(Box::new(session.with_in_hand(note)))
            }
        }
    })
};

impl Session {
    /// Hands the worksheet to a pupil of a class, in the case that is called so, if there is one.
    pub(crate) fn hand_to(&mut self, pupil: &str) {
        if let Some(case) = self.sheet.case_called(pupil).map(str::to_owned) {
            // it is there
            let _ = self.sheet.set_case(Some(&case));
        }
        self.pupil = Some(pupil.to_owned());
    }

    /// Whether a pupil of a class has it.
    pub(crate) fn is_a_pupils(&self) -> bool {
        self.pupil.is_some()
    }

    /// What a pupil can't change: the numbers by which the answers are marked.
    pub(crate) fn given(&self) -> BTreeSet<String> {
        let lesson = |pupil: &String| blanks::rested_on(&class::as_given(&self.sheet, pupil));
        self.pupil.as_ref().map(lesson).unwrap_or_default()
    }

    /// Refuses what a pupil can't change.
    ///
    /// # Errors
    /// That it is given.
    pub(super) fn may_be_tried(&self, name: &str) -> Result<(), Refusal> {
        match self.given().contains(name) {
            false => Ok(()),
            true => Err(Refusal::new(format!(
                "`{name}` is given: answers are marked by it, so in a class it stays as it is"
            ))),
        }
    }

    /// How a pupil stands who answers by trials.
    pub(crate) fn marked(&self, name: &str) -> Marked {
        let _run = time_limit::begin();
        let written = |cell| {
            let name = self.sheet.name_of(cell).unwrap_or_default();
            self.trials().of_entry(cell, name).unwrap_or_default()
        };
        class::on_trial(&self.sheet, name, &written)
    }

    /// What isn't asked though a check marks it, since it is filled in.
    pub(crate) fn not_asked(&self) -> Vec<String> {
        compose::class::not_asked(&self.sheet)
    }

    /// The marks of pupils who answer so, as `mark` tells them; `None` where there are no exercises.
    pub(crate) fn class_of(&self, pupils: Vec<Marked>) -> Option<Found<compose::class::Class>> {
        let marked = match pupils.first() {
            Some(one) => Marked {
                exercises: one.exercises.clone(),
                goes_on: one.goes_on,
                pupils: Vec::new(),
            },
            None => self.marked(""),
        };
        let marked = Marked {
            pupils: pupils.into_iter().flat_map(|one| one.pupils).collect(),
            ..marked
        };
        let class = compose::class::told(&self.sheet, marked, self.options);
        let mut found = self.with_in_hand(class);
        // of the lesson itself, not of what one of them tries
        found.in_hand.case = None;
        found.in_hand.case_title = None;
        found.in_hand.trials.clear();
        (!found.study.is_without_exercises()).then_some(found)
    }
}

/// So many worksheets are marked at once.
const MOST_PAPERS: usize = 5_000;

/// The longest worksheet of a pupil, in bytes.
const LONGEST_PAPER: u64 = 1024 * 1024;

/// What was handed in.
struct HandedIn {
    papers: Vec<Paper>,
    not_marked: Vec<NotMarked>,
}

/// The worksheets in these places, in the order of their pupils' names, and what else is there.
///
/// # Errors
/// A place can't be read, or there are none.
fn handed_in(session: &Session, places: &[PathBuf]) -> Result<HandedIn, Refusal> {
    let lesson = session.source.path().map(Path::to_owned);
    let mut found = Finding {
        lesson: lesson.as_deref(),
        // of several, each file is told with its own
        from: PathBuf::new(),
        files: Vec::new(),
        not_marked: Vec::new(),
    };
    if let [only] = places
        && only.is_dir()
    {
        found.from.clone_from(only);
    }
    for place in places {
        found.look_at(place)?;
        if found.files.len() > MOST_PAPERS {
            return Err(Refusal::new(format!("these are more than {MOST_PAPERS} worksheets")));
        }
    }
    let Finding {
        mut files, not_marked, ..
    } = found;
    let mut met: BTreeSet<PathBuf> = lesson
        .iter()
        .filter_map(|lesson| fs::canonicalize(lesson).ok())
        .collect();
    files.retain(|file| match file.path().map(fs::canonicalize) {
        Some(Ok(path)) => met.insert(path),
        _ => true,
    });
    if files.is_empty() {
        let shown: Vec<String> = places.iter().map(|place| format!("`{}`", place.display())).collect();
        let refusal = Refusal::new(format!("there is no worksheet in {}", shown.join(", ")));
        let help = "a folder holds a `.tare` file for each pupil, or a folder for each";
        let help = match not_marked.first() {
            None => help.to_owned(),
            Some(one) => format!("{help}; {}: {}", one.file, one.why),
        };
        return Err(refusal.help(help));
    }
    tell_apart(&mut files);
    files.sort_by_key(|one| one.name.to_lowercase());
    let paper = |found: File| Paper {
        name: found.name,
        text: found.file.and_then(|file| text_of(&file)),
    };
    Ok(HandedIn {
        papers: files.into_iter().map(paper).collect(),
        not_marked,
    })
}

/// A pupil's worksheet, or why there is none.
struct File {
    name: String,
    /// Where it lies, from the place that was named.
    at: PathBuf,
    file: Result<PathBuf, String>,
}

impl File {
    fn path(&self) -> Option<&Path> {
        self.file.as_deref().ok()
    }
}

/// The text of a pupil's worksheet.
fn text_of(file: &Path) -> Result<String, String> {
    match fs::metadata(file) {
        Ok(about) if about.len() > LONGEST_PAPER => Err(format!("it is longer than {} MiB", LONGEST_PAPER >> 20)),
        Ok(_) => read_text(file).map_err(|refusal| {
            let told = refusal.problems.first().map(|problem| problem.message.clone());
            told.unwrap_or_default()
        }),
        Err(trouble) => Err(plain(&trouble)),
    }
}

/// The files of a class, while they are looked for.
struct Finding<'a> {
    lesson: Option<&'a Path>,
    /// The folder that was named, where it is the only place.
    from: PathBuf,
    files: Vec<File>,
    not_marked: Vec<NotMarked>,
}

impl Finding<'_> {
    fn look_at(&mut self, place: &Path) -> Result<(), Refusal> {
        let unread =
            |trouble: &std::io::Error| Refusal::new(format!("`{}` can't be read: {}", place.display(), plain(trouble)));
        if fs::metadata(place).map_err(|trouble| unread(&trouble))?.is_file() {
            self.files.push(self.found(place));
            return Ok(());
        }
        let (folders, files) = listed(place).map_err(|trouble| unread(&trouble))?;
        for file in files {
            match is_worksheet(&file) {
                true => self.files.push(self.found(&file)),
                false => self.leave_out(&file, why_no_worksheet(&file)),
            }
        }
        folders.iter().for_each(|folder| self.look_into(folder));
        Ok(())
    }

    /// A pupil's folder: its worksheet is the one called like the lesson, or the only one.
    fn look_into(&mut self, folder: &Path) {
        let Ok((folders, files)) = listed(folder) else {
            return self.leave_out(folder, "it can't be read");
        };
        if folders.is_empty() && files.is_empty() {
            return self.leave_out(folder, "nothing is in it");
        }
        folders
            .iter()
            .for_each(|inner| self.leave_out(inner, "it lies too deep"));
        let (worksheets, others): (Vec<PathBuf>, Vec<PathBuf>) = files.into_iter().partition(|file| is_worksheet(file));
        others
            .iter()
            .for_each(|file| self.leave_out(file, why_no_worksheet(file)));
        let lesson = self.lesson.and_then(Path::file_name);
        let called = worksheets
            .iter()
            .find(|file| lesson.is_some() && file.file_name() == lesson);
        let file = match (called, worksheets.as_slice()) {
            (_, []) => return,
            (Some(called), all) => {
                let beside = all.iter().filter(|file| *file != called);
                beside.for_each(|file| self.leave_out(file, "another one of that folder is marked"));
                Ok(called.clone())
            }
            (None, [only]) => Ok(only.clone()),
            (None, _) => {
                Err("there are several worksheets in this folder, and none is called like the lesson".to_owned())
            }
        };
        self.files.push(File {
            name: last_part(folder),
            at: self.short(file.as_deref().unwrap_or(folder)),
            file,
        });
    }

    /// A file, called by what its own name has beside the lesson's, else by its folder where that is
    /// a pupil's own.
    fn found(&self, file: &Path) -> File {
        let stem = |path: &Path| path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
        let own = stem(file).unwrap_or_default();
        let lesson = self.lesson.and_then(stem).unwrap_or_default();
        let folder = file.parent().map(last_part).unwrap_or_default();
        let rest = beside(&own, &lesson);
        let name = match (rest.is_empty(), folder.is_empty()) {
            (true, false) => folder,
            (true, true) => own,
            (false, _) => rest,
        };
        File {
            name,
            at: self.short(file),
            file: Ok(file.to_owned()),
        }
    }

    fn leave_out(&mut self, path: &Path, why: &'static str) {
        let folder = if path.is_dir() { "/" } else { "" };
        self.not_marked.push(NotMarked {
            file: format!("{}{folder}", self.short(path).display()),
            why,
        });
    }

    fn short(&self, path: &Path) -> PathBuf {
        path.strip_prefix(&self.from).unwrap_or(path).to_owned()
    }
}

/// The folders and the files in a folder, in order, without what is hidden.
fn listed(folder: &Path) -> std::io::Result<(Vec<PathBuf>, Vec<PathBuf>)> {
    let inside = fs::read_dir(folder)?.take(MOST_PAPERS * 4);
    let seen = |path: &PathBuf| !last_part(path).starts_with('.');
    let mut inside: Vec<PathBuf> = inside.flatten().map(|entry| entry.path()).filter(seen).collect();
    inside.sort();
    Ok(inside.into_iter().partition(|path| path.is_dir()))
}

fn why_no_worksheet(file: &Path) -> &'static str {
    match last_part(file).to_lowercase().contains(".tare.") {
        true => "its name has to end with `.tare`",
        false => "no `.tare` file",
    }
}

fn is_worksheet(path: &Path) -> bool {
    path.extension()
        .is_some_and(|extension| extension.eq_ignore_ascii_case("tare"))
}

fn last_part(path: &Path) -> String {
    path.file_name()
        .map_or(String::new(), |name| name.to_string_lossy().into_owned())
}

/// What a file's name has beside the lesson's, where something stands between; the whole name where
/// nothing does.
fn beside(own: &str, lesson: &str) -> String {
    let apart = |c: char| c.is_whitespace() || "-_.,+()[]".contains(c);
    let mut places = own.match_indices(lesson).filter(|_| !lesson.is_empty());
    let alone = places.find(|(at, _)| {
        let (before, behind) = (own.get(..*at), own.get(at + lesson.len()..));
        before.is_some_and(|text| text.is_empty() || text.ends_with(apart))
            && behind.is_some_and(|text| text.is_empty() || text.starts_with(apart))
    });
    let Some((at, _)) = alone else {
        return own.trim_matches(apart).to_owned();
    };
    let (before, behind) = (own.get(..at).unwrap_or(""), own.get(at + lesson.len()..).unwrap_or(""));
    let parts = [before.trim_matches(apart), behind.trim_matches(apart)];
    let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    parts.join(" ")
}

/// Files of pupils who are called the same say which they are.
fn tell_apart(files: &mut [File]) {
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    for file in files.iter() {
        *met.entry(file.name.to_lowercase()).or_default() += 1;
    }
    for file in files {
        if met.get(&file.name.to_lowercase()).is_some_and(|count| *count > 1) {
            file.name = format!("{} ({})", file.name, file.at.display());
        }
    }
}
