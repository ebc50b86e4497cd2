//! The worksheets of a class: which files they are, and what their pupils are called.
//!
//! A folder holds a file for each pupil, or a folder for each. Start reading at [`papers`].

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::report::compose;
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
        let papers = papers(session, &places)?;
        let class = session.timed("`mark`", |session| {
            compose::class::class(&session.sheet, &papers, &Timed::new(watch), session.options)
        });
        if class.is_without_exercises() {
            let refusal = Refusal::new(format!("{} has no exercises to mark", session.name()));
            return Err(
                refusal.help("an exercise is `assumed NAME \"question\" [unit] = ?`, and a check that names it")
            );
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

    /// The marks of pupils who answer so, as `mark` tells them; `None` where there are no exercises.
    pub(crate) fn class_of(&self, pupils: Vec<Marked>) -> Option<Found<compose::class::Class>> {
        let exercises = match pupils.first() {
            Some(one) => one.exercises.clone(),
            None => self.marked("").exercises,
        };
        let pupils = pupils.into_iter().flat_map(|one| one.pupils).collect();
        let class = compose::class::told(&self.sheet, Marked { exercises, pupils }, self.options);
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

/// The worksheets in these places, in the order of their pupils' names.
///
/// # Errors
/// A place can't be read, or there are none.
fn papers(session: &Session, places: &[PathBuf]) -> Result<Vec<Paper>, Refusal> {
    let lesson = session.source.path().map(Path::to_owned);
    let mut files = Vec::new();
    for place in places {
        files.extend(files_at(place, lesson.as_deref())?);
        if files.len() > MOST_PAPERS {
            return Err(Refusal::new(format!("these are more than {MOST_PAPERS} worksheets")));
        }
    }
    let itself = lesson.as_deref().and_then(|lesson| fs::canonicalize(lesson).ok());
    files.retain(|file| {
        file.file.is_err() || itself.is_none() || file.path().and_then(|path| fs::canonicalize(path).ok()) != itself
    });
    if files.is_empty() {
        let shown: Vec<String> = places.iter().map(|place| format!("`{}`", place.display())).collect();
        let refusal = Refusal::new(format!("there is no worksheet in {}", shown.join(", ")));
        return Err(refusal.help("a folder holds a `.tare` file for each pupil, or a folder for each"));
    }
    tell_apart(&mut files);
    files.sort_by_key(|one| one.name.to_lowercase());
    let paper = |found: File| Paper {
        name: found.name,
        text: found.file.and_then(|file| text_of(&file)),
    };
    Ok(files.into_iter().map(paper).collect())
}

/// A pupil's worksheet, or why there is none.
struct File {
    name: String,
    folder: String,
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

fn files_at(place: &Path, lesson: Option<&Path>) -> Result<Vec<File>, Refusal> {
    let unread =
        |trouble: &std::io::Error| Refusal::new(format!("`{}` can't be read: {}", place.display(), plain(trouble)));
    if fs::metadata(place).map_err(|trouble| unread(&trouble))?.is_file() {
        return Ok(vec![found(place, lesson)]);
    }
    let mut inside = listed(place).map_err(|trouble| unread(&trouble))?;
    inside.sort();
    let (folders, files): (Vec<PathBuf>, Vec<PathBuf>) = inside.into_iter().partition(|path| path.is_dir());
    let mut all: Vec<File> = files
        .iter()
        .filter(|file| is_worksheet(file))
        .map(|file| found(file, lesson))
        .collect();
    all.extend(folders.iter().filter_map(|folder| in_folder(folder, lesson)));
    Ok(all)
}

/// What is in a folder, without what is hidden.
fn listed(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let inside = fs::read_dir(folder)?.take(MOST_PAPERS * 4);
    let seen = |path: &PathBuf| !last_part(path).starts_with('.');
    Ok(inside.flatten().map(|entry| entry.path()).filter(seen).collect())
}

/// The worksheet in a pupil's folder: the one called like the lesson, or the only one.
fn in_folder(folder: &Path, lesson: Option<&Path>) -> Option<File> {
    let mut inside = listed(folder).unwrap_or_default();
    inside.retain(|file| is_worksheet(file));
    inside.sort();
    let called = inside
        .iter()
        .find(|file| lesson.is_some_and(|lesson| file.file_name() == lesson.file_name()));
    let file = match (called, inside.as_slice()) {
        (Some(file), _) => Ok(file.clone()),
        (None, []) => return None,
        (None, [only]) => Ok(only.clone()),
        (None, _) => Err("there are several worksheets in this folder, and none is called like the lesson".to_owned()),
    };
    Some(File {
        name: last_part(folder),
        folder: String::new(),
        file,
    })
}

fn is_worksheet(path: &Path) -> bool {
    path.extension()
        .is_some_and(|extension| extension.eq_ignore_ascii_case("tare"))
}

fn last_part(path: &Path) -> String {
    path.file_name()
        .map_or(String::new(), |name| name.to_string_lossy().into_owned())
}

/// A file, called by its folder where its own name is the lesson's, else by what its own name has
/// beside the lesson's.
fn found(file: &Path, lesson: Option<&Path>) -> File {
    let stem = |path: &Path| {
        path.file_stem()
            .map_or(String::new(), |stem| stem.to_string_lossy().into_owned())
    };
    let (own, lesson) = (stem(file), lesson.map(stem).unwrap_or_default());
    let folder = file.parent().map(last_part).unwrap_or_default();
    let rest = match lesson.is_empty() {
        true => own.clone(),
        false => own.replacen(&lesson, "", 1),
    };
    let rest = rest.trim_matches(|c: char| c.is_whitespace() || "-_.".contains(c));
    let name = match (rest.is_empty(), folder.is_empty()) {
        (true, false) => folder.clone(),
        (true, true) => own.clone(),
        _ => rest.to_owned(),
    };
    File {
        name,
        folder,
        file: Ok(file.to_owned()),
    }
}

/// Two pupils of one name have their folder or their number with it.
fn tell_apart(files: &mut [File]) {
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    for file in files.iter() {
        *met.entry(file.name.clone()).or_default() += 1;
    }
    let mut again: BTreeMap<String, usize> = BTreeMap::new();
    for file in files
        .iter_mut()
        .filter(|file| met.get(&file.name).is_some_and(|count| *count > 1))
    {
        if !file.folder.is_empty() && file.folder != file.name {
            file.name = format!("{} ({})", file.name, file.folder);
        }
        let count = again.entry(file.name.clone()).or_default();
        *count += 1;
        if *count > 1 {
            file.name = format!("{}, {count}", file.name);
        }
    }
}
