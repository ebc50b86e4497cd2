//! The marks of a class in words: the class, each pupil, and a pupil's own note.
//!
//! Start reading at [`class`].

use std::collections::BTreeMap;

use serde::Serialize;

use crate::number::Number;
use crate::problem::Severity;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::study::Watch;
use crate::study::blanks;
use crate::study::class::{self as study, Change, Mark, Paper};
use crate::syntax::tree::{ExpressionNode, Node};
use crate::text::nearest;

use super::super::document::{Block, Column, Document, Narrow, Sentence, Table};
use super::super::in_hand::InHand;
use super::super::live::class::Tally;
use super::super::study::{Records, Study};
use super::super::style::Tone;
use super::super::visible::sentence;
use super::{Options, number_shown};

/// The marks of a class.
#[derive(Serialize)]
pub(crate) struct Class {
    /// What is wrong with the lesson, so that nothing could be marked by it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    lesson: Vec<String>,
    exercises: Vec<Exercise>,
    pupils: Vec<Pupil>,
}

/// An exercise, and how the class did in it.
#[derive(Serialize)]
struct Exercise {
    name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    question: Option<String>,
    right: usize,
    close: usize,
    wrong: usize,
    blank: usize,
    #[serde(rename = "not readable")]
    not_readable: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    commonest: Option<Commonest>,
}

/// What most of those have who have it wrong.
#[derive(Serialize)]
struct Commonest {
    /// What is said of the slip; of one that the lesson doesn't list what they wrote.
    slip: String,
    count: usize,
    #[serde(skip)]
    listed: bool,
}

#[derive(Clone, Serialize)]
struct Pupil {
    name: String,
    /// The case by whose numbers the answers are marked, called like the pupil.
    #[serde(skip_serializing_if = "Option::is_none")]
    case: Option<String>,
    right: usize,
    answers: Vec<Answer>,
    /// What stands otherwise than in the lesson, beside the answers.
    changed: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    trouble: Option<String>,
}

#[derive(Clone, Serialize)]
struct Answer {
    exercise: String,
    mark: &'static str,
    #[serde(skip_serializing_if = "String::is_empty")]
    answer: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    said: Option<String>,
    #[serde(skip)]
    kind: Mark,
}

/// A pupil's own note.
#[derive(Serialize)]
pub(crate) struct Note {
    pupil: Pupil,
    #[serde(skip)]
    questions: Vec<Option<String>>,
}

/// The notes of all pupils, one behind the other.
#[derive(Serialize)]
pub(crate) struct Notes {
    notes: Vec<Note>,
}

/// The marks of these papers by the lesson in hand.
pub(crate) fn class(sheet: &Sheet, papers: &[Paper], watch: &dyn Watch, options: Options) -> Class {
    told(sheet, study::class(sheet, papers, watch), options)
}

/// The same, once they are marked.
pub(crate) fn told(sheet: &Sheet, found: study::Class, options: Options) -> Class {
    let names: Vec<String> = found
        .exercises
        .iter()
        .map(|cell| sheet.name_of(*cell).unwrap_or("").to_owned())
        .collect();
    let exercises = found.exercises.iter().zip(&names).enumerate();
    let exercises = exercises.map(|(place, (cell, name))| {
        let answers: Vec<&study::Answer> = found
            .pupils
            .iter()
            .filter_map(|pupil| pupil.answers.get(place))
            .collect();
        let count = |mark| answers.iter().filter(|answer| answer.mark == mark).count();
        let label = sheet.entry(*cell).and_then(|entry| entry.label.as_ref());
        Exercise {
            name: name.clone(),
            question: label.map(|label| label.text.to_string()),
            right: count(Mark::Right),
            close: count(Mark::Close),
            wrong: count(Mark::Wrong),
            blank: count(Mark::Blank),
            not_readable: count(Mark::NotReadable),
            commonest: commonest(sheet, *cell, &answers, options),
        }
    });
    let exercises = exercises.collect();
    let pupils = found.pupils.into_iter().map(|pupil| told_pupil(pupil, &names));
    Class {
        lesson: wrong_in_lesson(sheet),
        exercises,
        pupils: pupils.collect(),
    }
}

/// What is wrong with the lesson itself, with the answer that it marks nobody by.
fn wrong_in_lesson(sheet: &Sheet) -> Vec<String> {
    let problems = sheet.problems().into_iter();
    let wrong = problems.filter(|problem| problem.severity == Severity::Problem);
    let told = wrong.map(|problem| {
        let item = problem.place.item;
        let marks = match sheet.tree().node(item) {
            Some(Node::Expect(expect)) => expect.closeness.as_ref().map(|close| &close.answer.node),
            _ => None,
        };
        let what = match marks {
            Some(ExpressionNode::Name(name)) => format!("`{name}` was not marked"),
            _ => "what rests on it was not marked".to_owned(),
        };
        format!("the lesson has a problem in line {}: {what}", sheet.line(item))
    });
    let mut told: Vec<String> = told.collect();
    told.dedup();
    let unchecked = blanks::unchecked(sheet).filter_map(|cell| sheet.name_of(cell));
    told.extend(unchecked.map(|name| format!("`{name}` is not checked: no check of the lesson asks for it")));
    told
}

/// The slip that most have made, or else the wrong answer that several have.
fn commonest(sheet: &Sheet, cell: CellId, answers: &[&study::Answer], options: Options) -> Option<Commonest> {
    let shape = sheet.shape(cell)?;
    let clock = sheet.asks_for_clock(cell);
    let digits = options.digits.min(3);
    let shown = |number: Number| number_shown(sheet, number, shape.kind, clock, None, Options { digits }).value;
    let mut groups: BTreeMap<(bool, String), usize> = BTreeMap::new();
    for answer in answers.iter().filter(|answer| answer.mark == Mark::Wrong) {
        let group = match (&answer.said, answer.value) {
            (Some(said), _) if answer.slip => (true, said.clone()),
            (_, Some(value)) => (false, shown(value)),
            _ => continue,
        };
        *groups.entry(group).or_default() += 1;
    }
    let groups = groups.into_iter().filter(|((listed, _), count)| *listed || *count > 1);
    let most = groups.max_by_key(|((listed, _), count)| (*count, *listed));
    most.map(|((listed, slip), count)| Commonest { slip, count, listed })
}

fn told_pupil(pupil: study::Pupil, names: &[String]) -> Pupil {
    let answers: Vec<Answer> = pupil
        .answers
        .into_iter()
        .zip(names)
        .map(|(one, name)| told_answer(one, name))
        .collect();
    Pupil {
        name: pupil.name,
        case: pupil.case,
        right: answers.iter().filter(|answer| answer.kind == Mark::Right).count(),
        answers,
        changed: pupil.changes.iter().map(told_change).collect(),
        trouble: pupil.trouble,
    }
}

fn told_answer(answer: study::Answer, name: &str) -> Answer {
    let problem = answer.problem.map(|problem| match problem.help {
        Some(help) => help,
        None => problem.message,
    });
    Answer {
        exercise: name.to_owned(),
        mark: word(answer.mark),
        answer: answer.written,
        said: answer.said.or(problem),
        kind: answer.mark,
    }
}

fn word(mark: Mark) -> &'static str {
    match mark {
        Mark::Right => "right",
        Mark::Close => "close",
        Mark::Wrong => "wrong",
        Mark::Blank => "blank",
        Mark::NotReadable => "not readable",
    }
}

fn told_change(change: &Change) -> String {
    match change {
        Change::Given(name, lesson, here) if here.is_empty() => {
            format!("`{name}` has no value in place of `{lesson}`")
        }
        Change::Given(name, lesson, here) => format!("`{name}` is `{here}` in place of `{lesson}`"),
        Change::Line(name) => format!("the line of `{name}` was changed"),
        Change::Renamed(name, other) => format!("`{name}` is gone, and `{other}` asks its question"),
        Change::Gone(name) => format!("the line of `{name}` is gone"),
        Change::Check(said) => format!("the check `{said}` was changed"),
        Change::CheckGone(said) => format!("the check `{said}` is gone"),
    }
}

impl Class {
    /// Whether there is nothing to mark.
    pub(crate) fn is_without_exercises(&self) -> bool {
        self.exercises.is_empty()
    }

    /// The note of one pupil.
    ///
    /// # Errors
    /// The nearest name, where nobody is called so.
    pub(crate) fn note(&self, name: &str) -> Result<Note, Option<String>> {
        let found = self.pupils.iter().find(|pupil| pupil.name.eq_ignore_ascii_case(name));
        let Some(pupil) = found else {
            let names = self.pupils.iter().map(|pupil| pupil.name.as_str());
            return Err(nearest(name, names).map(str::to_owned));
        };
        Ok(self.note_of(pupil))
    }

    /// The notes of all.
    pub(crate) fn notes(&self) -> Notes {
        Notes {
            notes: self.pupils.iter().map(|pupil| self.note_of(pupil)).collect(),
        }
    }

    fn note_of(&self, pupil: &Pupil) -> Note {
        Note {
            pupil: pupil.clone(),
            questions: self.exercises.iter().map(|one| one.question.clone()).collect(),
        }
    }

    /// How many have what, without their names.
    pub(crate) fn tally(&self) -> Tally {
        let row = |one: &Exercise| {
            let counts = vec![one.right, one.close, one.wrong, one.blank + one.not_readable];
            (one.question.clone().unwrap_or_else(|| one.name.clone()), counts)
        };
        Tally {
            title: (!self.pupils.is_empty()).then(|| self.title()),
            heads: vec!["right", "close", "wrong", "open"],
            rows: self.exercises.iter().map(row).collect(),
            asks: true,
        }
    }

    fn title(&self) -> String {
        let (pupils, right) = (
            self.pupils.len(),
            self.pupils.iter().map(|pupil| pupil.right).sum::<usize>(),
        );
        let answers = pupils * self.exercises.len();
        format!("{}: {right} of {answers} answers right", counted(pupils, "pupil"))
    }

    fn tell_lesson(&self, document: &mut Document) {
        for told in &self.lesson {
            document.tell(Tone::Bad, sentence(told));
        }
        let own: Vec<&str> = self
            .pupils
            .iter()
            .filter(|pupil| pupil.case.is_some())
            .map(|pupil| pupil.name.as_str())
            .collect();
        match own.len() {
            0 => {}
            all if all == self.pupils.len() => {
                document.say("Each pupil is marked by the case that is called so.");
            }
            _ => document.say(format!("Marked by the case that is called so: {}.", own.join(", "))),
        }
    }

    fn tell_class(&self, document: &mut Document) {
        let count = |of: fn(&Exercise) -> usize| {
            let shown = move |count| if count == 0 { String::new() } else { format!("{count}") };
            self.exercises.iter().map(move |one| shown(of(one)))
        };
        let slips = self
            .exercises
            .iter()
            .map(|one| one.commonest.as_ref().map_or(Sentence::default(), Commonest::told));
        let columns = vec![
            Column::words(
                "exercise",
                self.exercises.iter().map(|one| Sentence::of_code(&one.name)),
            ),
            Column::numbers("right", count(|one| one.right)),
            Column::numbers("close", count(|one| one.close)),
            Column::numbers("wrong", count(|one| one.wrong)),
            Column::numbers("blank", count(|one| one.blank)),
            Column::numbers("unread", count(|one| one.not_readable)),
            Column::words("commonest slip", slips).at_most(28),
        ];
        document.table(Table::of("How the class did in each exercise", Narrow::Below, columns));
    }

    fn tell_pupils(&self, document: &mut Document) {
        let mut columns = vec![Column::words(
            "pupil",
            self.pupils.iter().map(|pupil| pupil.name.clone()),
        )];
        for (place, exercise) in self.exercises.iter().enumerate() {
            let marks = self.pupils.iter().map(|pupil| {
                let mark = pupil.answers.get(place).map_or("", |answer| answer.mark);
                if mark == "not readable" { "not read" } else { mark }.to_owned()
            });
            columns.push(Column::words(Sentence::of_code(&exercise.name), marks));
        }
        columns.push(Column::numbers(
            "right",
            self.pupils.iter().map(|pupil| pupil.right.to_string()),
        ));
        document.table(Table::of(
            "The mark of each pupil in each exercise",
            Narrow::Rows,
            columns,
        ));
    }

    /// Those whose files want a look: changed, or not to be read.
    fn tell_looks(&self, document: &mut Document, most: usize) {
        let of_all = self.changed_by_all();
        let mut looks: Vec<(Tone, String)> = self.pupils.iter().flat_map(|pupil| pupil.looks(&of_all)).collect();
        if !of_all.is_empty() {
            let told = format!(
                "everybody: {}; the lesson may have been changed since",
                of_all.join("; ")
            );
            looks.insert(0, (Tone::Care, told));
        }
        if !looks.is_empty() {
            document.heading("To look at");
        }
        for (tone, told) in looks.iter().take(most) {
            document.item(1, Some(*tone), Sentence::marked(told));
        }
        if looks.len() > most {
            document.note(Tone::Faint, format!("and {} more", looks.len() - most));
        }
    }
}

impl Class {
    /// What stands otherwise in the file of everybody: then it is the lesson that has gone on.
    fn changed_by_all(&self) -> Vec<&str> {
        let read: Vec<&Pupil> = self.pupils.iter().filter(|pupil| pupil.trouble.is_none()).collect();
        let Some((first, others)) = read.split_first().filter(|(_, others)| !others.is_empty()) else {
            return Vec::new();
        };
        let changes = first.changed.iter();
        let of_all = changes.filter(|change| others.iter().all(|pupil| pupil.changed.contains(change)));
        of_all.map(String::as_str).collect()
    }
}

impl Commonest {
    fn told(&self) -> Sentence {
        match self.listed {
            true => Sentence::from(format!("{}: {}", counted(self.count, "pupil"), self.slip)),
            false => Sentence::from(format!("{} wrote ", self.count)).code(&self.slip),
        }
    }
}

impl Pupil {
    /// What is to be looked at, beside what everybody has.
    fn looks(&self, of_all: &[&str]) -> Vec<(Tone, String)> {
        let name = &self.name;
        let trouble = self
            .trouble
            .iter()
            .map(|trouble| (Tone::Bad, format!("{name}: {trouble}")));
        let unread = self
            .answers
            .iter()
            .filter(|answer| answer.kind == Mark::NotReadable && self.trouble.is_none());
        let unread = unread.map(|one| {
            let said = one.said.as_deref().unwrap_or("it can't be told");
            (
                Tone::Care,
                format!("{name}, `{}` = `{}`: {said}", one.exercise, one.answer),
            )
        });
        let own = self.changed.iter().map(String::as_str);
        let own: Vec<&str> = own.filter(|change| !of_all.contains(change)).collect();
        let changed = (!own.is_empty()).then(|| (Tone::Care, format!("{name}: {}", own.join("; "))));
        trouble.chain(changed).chain(unread).collect()
    }
}

fn counted(count: usize, what: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {what}{plural}")
}

/// So many remarks stand on a screen.
const MOST_LOOKS: usize = 6;

impl Study for Class {
    const NAME: &'static str = "Marks";

    fn document(&self, _: &InHand) -> Document {
        let mut document = Document::titled(self.title());
        self.tell_lesson(&mut document);
        document.gap();
        self.tell_class(&mut document);
        document.gap();
        self.tell_pupils(&mut document);
        self.tell_looks(&mut document, usize::MAX);
        document
    }

    fn screen(&self, _: &InHand) -> Document {
        let mut document = Document::titled(self.title());
        self.tell_lesson(&mut document);
        document.gap();
        self.tell_class(&mut document);
        self.tell_looks(&mut document, MOST_LOOKS);
        document.gap();
        let more = Sentence::from("With ").typed("all").plain(" each pupil's marks; with ");
        document.tell(Tone::Faint, more.typed("pupil NAME").plain(" what one pupil is told."));
        document
    }

    fn rows(&self) -> Records {
        let mut headings = vec!["pupil".to_owned(), "right".to_owned(), "of".to_owned()];
        for exercise in &self.exercises {
            headings.extend([exercise.name.clone(), format!("{} answer", exercise.name)]);
        }
        headings.push("changed".to_owned());
        let rows = self.pupils.iter().map(|pupil| {
            let mut row = vec![
                pupil.name.clone(),
                pupil.right.to_string(),
                self.exercises.len().to_string(),
            ];
            for answer in &pupil.answers {
                row.extend([answer.mark.to_owned(), answer.answer.clone()]);
            }
            row.push(
                pupil
                    .trouble
                    .iter()
                    .chain(&pupil.changed)
                    .cloned()
                    .collect::<Vec<_>>()
                    .join("; "),
            );
            row
        });
        Records {
            headings,
            rows: rows.collect(),
        }
    }
}

impl Study for Note {
    const NAME: &'static str = "Note";

    fn document(&self, in_hand: &InHand) -> Document {
        let pupil = &self.pupil;
        let mut document = Document::titled(format!(
            "{}: {} of {} right",
            pupil.name,
            pupil.right,
            pupil.answers.len()
        ));
        let lesson = in_hand.title.clone().unwrap_or_else(|| in_hand.file.clone());
        document.say(lesson);
        if let Some(case) = &pupil.case {
            document.say(
                Sentence::from("Marked by the numbers of the case ")
                    .code(case)
                    .plain("."),
            );
        }
        for (place, (answer, question)) in pupil.answers.iter().zip(&self.questions).enumerate() {
            let asked = question.clone().unwrap_or_else(|| answer.exercise.clone());
            document.heading(format!("{}. {asked}", place + 1));
            let written = match answer.answer.as_str() {
                "" => Sentence::default(),
                written => Sentence::of_code(written).plain(": "),
            };
            document.item(
                1,
                Some(tone(answer.kind)),
                written.then(Sentence::default().strong(answer.mark)),
            );
            if let Some(said) = answer.said.as_ref().filter(|_| answer.kind != Mark::Right) {
                document.0.push(Block::Said(1, None, Sentence::marked(&sentence(said))));
            }
        }
        if let Some(trouble) = &pupil.trouble {
            document.gap();
            document.say(sentence(trouble));
        }
        if !pupil.changed.is_empty() {
            document.gap();
            let told = format!("Not as in the lesson: {}", pupil.changed.join("; "));
            document.say(Sentence::marked(&sentence(&told)));
        }
        document
    }

    fn rows(&self) -> Records {
        Records::of(
            ["exercise", "mark", "answer", "said"],
            self.pupil.answers.iter().map(|one| {
                let said = one.said.clone().unwrap_or_default();
                vec![one.exercise.clone(), one.mark.to_owned(), one.answer.clone(), said]
            }),
        )
    }
}

impl Study for Notes {
    const NAME: &'static str = "Notes";

    fn document(&self, in_hand: &InHand) -> Document {
        let mut document = Document::default();
        for note in &self.notes {
            if !document.0.is_empty() {
                document.gap();
            }
            document.0.extend(note.document(in_hand).0);
        }
        document
    }

    fn rows(&self) -> Records {
        let rows = self.notes.iter().flat_map(|note| {
            let of_pupil = |row: Vec<String>| [vec![note.pupil.name.clone()], row].concat();
            note.rows().rows.into_iter().map(of_pupil)
        });
        Records::of(["pupil", "exercise", "mark", "answer", "said"], rows)
    }
}

fn tone(mark: Mark) -> Tone {
    match mark {
        Mark::Right => Tone::Good,
        Mark::Close => Tone::Care,
        Mark::Wrong | Mark::NotReadable => Tone::Bad,
        Mark::Blank => Tone::Faint,
    }
}
