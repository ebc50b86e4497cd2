//! The answers of a class: each pupil's, marked by the lesson's own checks and givens.
//!
//! Of a pupil's worksheet only the answers are taken, and held in the lesson in place of its
//! blanks. So nothing that was changed beside them counts; what was changed is found. Start
//! reading at [`class`].

use std::collections::{BTreeMap, BTreeSet};

use crate::number::Number;
use crate::problem::Problem;
use crate::sheet::names::CellId;
use crate::sheet::order::each_part;
use crate::sheet::{Held, HeldValue, Holder, Reading, Sheet, Status};
use crate::syntax::parse;
use crate::syntax::tree::{Entry, Expression, ExpressionNode, Node, Value, Worksheet};
use crate::text::in_one_line;

use super::Watch;
use super::blanks::{self, Exercise};
use super::bounds::in_kind;
use super::nearness::{Nearness, closeness, hint, nearness};

/// A pupil's worksheet, or why it can't be read.
pub(crate) struct Paper {
    /// What the pupil is called.
    pub name: String,
    /// Its text.
    pub text: Result<String, String>,
}

/// What a class has answered.
#[derive(Clone)]
pub(crate) struct Class {
    /// The exercises, in the order of the lesson.
    pub exercises: Vec<CellId>,
    /// The pupils, in the order of their names.
    pub pupils: Vec<Pupil>,
}

/// What one pupil has answered.
#[derive(Clone)]
pub(crate) struct Pupil {
    /// What the pupil is called.
    pub name: String,
    /// The case that is called so, by whose numbers the answers are marked.
    pub case: Option<String>,
    /// An answer to each exercise.
    pub answers: Vec<Answer>,
    /// What else stands otherwise than in the lesson.
    pub changes: Vec<Change>,
    /// Why there is nothing to mark.
    pub trouble: Option<String>,
}

/// How an answer is marked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Mark {
    /// All its checks hold.
    Right,
    /// Nearly right.
    Close,
    /// Wrong.
    Wrong,
    /// Nothing was filled in.
    Blank,
    /// What was filled in can't be read.
    NotReadable,
}

/// One answer.
#[derive(Clone)]
pub(crate) struct Answer {
    /// How it is marked.
    pub mark: Mark,
    /// As the pupil wrote it.
    pub written: String,
    /// Its value in the unit of the exercise.
    pub value: Option<Number>,
    /// The hint of its check, or of its slip.
    pub said: Option<String>,
    /// Whether that is a usual slip.
    pub slip: bool,
    /// Why it can't be read.
    pub problem: Option<Problem>,
}

/// What stands otherwise than in the lesson, beside the answers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Change {
    /// A given: its name, in the lesson, and here.
    Given(String, String, String),
    /// A line of that name.
    Line(String),
    /// A line that isn't there.
    Gone(String),
    /// A question whose line isn't there, and the line that has its words.
    Renamed(String, String),
    /// A check, by what it says of itself.
    Check(String),
    /// A check that isn't there.
    CheckGone(String),
}

/// Marks the papers of a class. `watch` hears how many are done of how many, and ends the work by
/// giving back false; then the rest is left out.
pub(crate) fn class(sheet: &Sheet, papers: &[Paper], watch: &dyn Watch) -> Class {
    let asked = |sheet: &Sheet| -> Vec<CellId> { blanks::exercises(sheet).iter().map(|one| one.cell).collect() };
    let exercises = asked(sheet);
    // those of one case together, since the key is worked out once for each
    let mut groups: BTreeMap<Option<&str>, Vec<(usize, &Paper)>> = BTreeMap::new();
    for (place, paper) in papers.iter().enumerate() {
        let case = sheet.case_called(&paper.name);
        groups.entry(case).or_default().push((place, paper));
    }
    let mut found: Vec<(usize, Pupil)> = Vec::with_capacity(papers.len());
    for (case, of_case) in groups {
        let own = case.and_then(|case| sheet.in_case(Some(case)));
        let own = own.filter(|own| asked(own) == exercises);
        let case = case.filter(|_| own.is_some()).map(str::to_owned);
        let lesson = own.as_ref().unwrap_or(sheet);
        let done = found.len();
        let class = by_lesson(lesson, |marking| {
            let mut scratch = Scratch { sheet: lesson.clone() };
            let mut pupils = Vec::with_capacity(of_case.len());
            for (_, paper) in &of_case {
                if !watch.goes_on(done + pupils.len(), papers.len()) {
                    break;
                }
                pupils.push(marking.pupil(&mut scratch, paper));
            }
            pupils
        });
        let pupils = class.pupils.into_iter().map(|pupil| Pupil {
            case: case.clone(),
            ..pupil
        });
        found.extend(of_case.iter().map(|(place, _)| *place).zip(pupils));
    }
    found.sort_by_key(|(place, _)| *place);
    Class {
        exercises,
        pupils: found.into_iter().map(|(_, pupil)| pupil).collect(),
    }
}

/// The same of a pupil who answers by trials on the lesson, as they are `written`.
pub(crate) fn on_trial(sheet: &Sheet, name: &str, written: &dyn Fn(CellId) -> String) -> Class {
    by_lesson(&as_given(sheet, name), |marking| {
        vec![marking.on_trial(sheet, name, written)]
    })
}

/// The lesson as it is given to a pupil: nothing tried, in the case that is called so or the base.
pub(crate) fn as_given(sheet: &Sheet, name: &str) -> Sheet {
    let mut lesson = sheet.clone();
    sheet.trials().for_each(|cell| drop(lesson.release(cell)));
    sheet.held_cells().for_each(|(place, _)| lesson.release_cell(place));
    // whatever case is looked at; there always is a base
    let _ = lesson.set_case(sheet.case_called(name));
    lesson
}

fn by_lesson(sheet: &Sheet, mark: impl FnOnce(&Marking<'_>) -> Vec<Pupil>) -> Class {
    let exercises = blanks::exercises(sheet);
    let (key, _) = blanks::solve(sheet, &exercises);
    let asked: Vec<Exercise> = exercises.iter().map(|one| asked_alone(one, &exercises)).collect();
    let marking = Marking {
        sheet,
        key: &key,
        asked: &asked,
        lines: lines(sheet, sheet.tree()),
    };
    Class {
        pupils: mark(&marking),
        exercises: asked.iter().map(|one| one.cell).collect(),
    }
}

/// A copy of the lesson in which answers are worked out, and let go of again.
struct Scratch {
    sheet: Sheet,
}

/// An exercise with the checks that ask for it: those that name a later blank ask for that one.
fn asked_alone(one: &Exercise, all: &[Exercise]) -> Exercise {
    let later = all.iter().filter(|other| other.cell > one.cell);
    let taken: BTreeSet<CellId> = later.flat_map(|other| other.checks.iter().copied()).collect();
    let own = one.checks.iter().copied().filter(|check| !taken.contains(check));
    Exercise {
        cell: one.cell,
        checks: own.collect(),
    }
}

struct Marking<'a> {
    sheet: &'a Sheet,
    /// The lesson with every answer that can be told.
    key: &'a Sheet,
    asked: &'a [Exercise],
    lines: BTreeMap<String, Line>,
}

/// What was filled in.
enum Taken {
    Blank,
    Unread(String, Option<Problem>),
    Value(String, HeldValue),
}

impl Marking<'_> {
    fn pupil(&self, scratch: &mut Scratch, paper: &Paper) -> Pupil {
        let unread = |trouble: &str, mark| Pupil {
            name: paper.name.clone(),
            case: None,
            answers: self
                .asked
                .iter()
                .map(|_| Answer::without(mark, String::new(), None))
                .collect(),
            changes: Vec::new(),
            trouble: Some(trouble.to_owned()),
        };
        let text = match &paper.text {
            Ok(text) => text,
            Err(trouble) => return unread(trouble, Mark::NotReadable),
        };
        let tree = parse(text.clone());
        let entries = entries(&tree);
        let named = |one: &Exercise| entries.get(self.sheet.name_of(one.cell).unwrap_or(""));
        if !self.asked.iter().any(|one| named(one).is_some()) {
            return unread("none of the exercises of this lesson stands in it", Mark::Blank);
        }
        let mut own = None;
        let mut taken = Vec::with_capacity(self.asked.len());
        for one in self.asked {
            let found = match named(one) {
                Some(place) => self.taken(scratch, &mut own, (&tree, *place), one.cell),
                None => Taken::Blank,
            };
            if let Taken::Value(_, value) = &found {
                // a later sum may go on from it
                scratch.sheet.hold(one.cell, Held::exactly(value.clone()));
            }
            taken.push(found);
        }
        self.asked.iter().for_each(|one| drop(scratch.sheet.release(one.cell)));
        let missing = self.asked.iter().filter(|one| named(one).is_none());
        let mut changes: Vec<Change> = missing.map(|one| self.missing(one, &tree)).collect();
        changes.extend(self.changes(&tree));
        Pupil {
            name: paper.name.clone(),
            case: None,
            answers: self.marked(taken, &changes),
            changes,
            trouble: None,
        }
    }

    /// A question that isn't there by its name.
    fn missing(&self, one: &Exercise, tree: &Worksheet) -> Change {
        let name = self.sheet.name_of(one.cell).unwrap_or("").to_owned();
        let words = self.sheet.entry(one.cell).and_then(|entry| entry.label.as_ref());
        let mut others = tree.items.iter().filter_map(|item| match &item.node {
            Node::Entry(entry) => Some(&**entry),
            _ => None,
        });
        let has_them =
            |entry: &Entry| matches!((words, &entry.label), (Some(words), Some(label)) if words.text == label.text);
        match others.find(|entry| has_them(entry)) {
            Some(other) => Change::Renamed(name, other.name.text.to_string()),
            None => Change::Gone(name),
        }
    }

    fn on_trial(&self, tried: &Sheet, name: &str, written: &dyn Fn(CellId) -> String) -> Pupil {
        let taken = self.asked.iter().map(|one| match tried.held(one.cell) {
            Some(held) if held.by == Holder::Trial => Taken::Value(written(one.cell), held.value.clone()),
            _ => Taken::Blank,
        });
        let is_asked = |cell: &CellId| self.asked.iter().any(|one| one.cell == *cell);
        let given = |cell: CellId| {
            let name = tried.name_of(cell)?;
            let lesson = self.lines.get(name).and_then(|line| line.given.clone());
            Some(match lesson {
                Some(lesson) => Change::Given(name.to_owned(), lesson, written(cell)),
                None => Change::Line(name.to_owned()),
            })
        };
        let cells = tried.held_cells().map(|(_, held)| Change::Line(held.name.clone()));
        let others = tried.trials().filter(|cell| !is_asked(cell)).filter_map(given);
        let changes: Vec<Change> = others.chain(cells).collect();
        Pupil {
            name: name.to_owned(),
            case: self.sheet.case().map(|case| case.name.clone()),
            answers: self.marked(taken.collect(), &changes),
            changes,
            trouble: None,
        }
    }

    /// What stands behind the name of a blank in a pupil's worksheet.
    fn taken(
        &self,
        scratch: &mut Scratch,
        own: &mut Option<Sheet>,
        (tree, place): (&Worksheet, usize),
        cell: CellId,
    ) -> Taken {
        let text = tree.text_of(place);
        let item = tree.items.get(place);
        let Some(Node::Entry(entry)) = item.map(|item| &item.node) else {
            return Taken::Blank;
        };
        let (expression, tolerance) = match &entry.value {
            Some(Value::Blank(_)) => return Taken::Blank,
            Some(Value::Given { expression, tolerance }) => (expression, tolerance.as_deref()),
            None => {
                let problem = item.and_then(|item| item.problems.first()).cloned();
                return match behind_equals(text) {
                    "" => Taken::Blank,
                    written => Taken::Unread(written.to_owned(), problem),
                };
            }
        };
        let written = in_one_line(expression.span_with(tolerance).of(text));
        match scratch.sheet.trial_value(cell, text, expression, tolerance.copied()) {
            Ok(found) => Taken::Value(written, found.value),
            Err(problems) => match self.by_own_steps(own, tree, entry, cell, expression) {
                Some(value) => Taken::Value(written, value),
                None => Taken::Unread(written, problems.into_iter().next()),
            },
        }
    }

    /// The value of an answer that a pupil has worked out in lines of his own; not by what the
    /// lesson keeps back.
    fn by_own_steps(
        &self,
        own: &mut Option<Sheet>,
        tree: &Worksheet,
        entry: &Entry,
        cell: CellId,
        expression: &Expression,
    ) -> Option<HeldValue> {
        let mut steps = false;
        each_part(expression, &mut |part| {
            steps |= matches!(&part.node, ExpressionNode::Name(name) if self.sheet.cell(name).is_none());
        });
        if !steps {
            return None;
        }
        let own = own.get_or_insert_with(|| Sheet::load(tree.text.clone(), None));
        let theirs = own.cell(&entry.name.text)?;
        let kept = |need: &CellId| {
            let lesson = own.name_of(*need).and_then(|name| self.sheet.cell(name));
            own.is_kept_back(*need) || lesson.is_some_and(|lesson| self.sheet.is_kept_back(lesson))
        };
        if own.status(theirs) != Status::Known || own.needed_by(theirs).iter().any(kept) {
            return None;
        }
        let (kind, wanted) = (own.shape(theirs)?.kind, self.sheet.shape(cell)?.kind);
        match own.reading(theirs) {
            Reading::Number(number) => Some(HeldValue::Number(in_kind(kind, number, wanted)?)),
            _ => None,
        }
    }

    /// Each answer as the lesson's checks have it; what rests on an earlier one that isn't there is
    /// judged by the right one.
    fn marked(&self, taken: Vec<Taken>, changes: &[Change]) -> Vec<Answer> {
        let mut judge = self.sheet.clone();
        for (one, taken) in self.asked.iter().zip(&taken) {
            if let Taken::Value(_, value) = taken {
                judge.hold(one.cell, Held::exactly(value.clone()));
            }
        }
        let mut with_key = None;
        // from other givens, what comes to a usual slip may be none
        let slips = !changes.iter().any(|change| matches!(change, Change::Given(..)));
        let answers = self.asked.iter().zip(taken).map(|(one, given)| match given {
            Taken::Blank => Answer::without(Mark::Blank, String::new(), None),
            Taken::Unread(written, problem) => Answer::without(Mark::NotReadable, written, problem),
            Taken::Value(written, value) => {
                let waits = |check: &CellId| judge.status(*check) == Status::Waits;
                let judge = match one.checks.iter().any(waits) {
                    false => &judge,
                    true => with_key.get_or_insert_with(|| self.filled_up(&judge)),
                };
                Answer {
                    value: match value {
                        HeldValue::Number(number) => Some(number),
                        HeldValue::Column(_) => None,
                    },
                    ..answer(judge, &one.checks, written, slips)
                }
            }
        });
        answers.collect()
    }

    /// With the right answers where there are none.
    fn filled_up(&self, judge: &Sheet) -> Sheet {
        let mut filled = judge.clone();
        for one in self.asked {
            if let Some(right) = self.key.held(one.cell).filter(|_| judge.held(one.cell).is_none()) {
                filled.hold(one.cell, right.clone());
            }
        }
        filled
    }

    /// What stands otherwise than in the lesson.
    fn changes(&self, tree: &Worksheet) -> Vec<Change> {
        let theirs = lines(self.sheet, tree);
        let changed = self.lines.iter().filter_map(|(name, mine)| {
            let Some(other) = theirs.get(name) else {
                return Some((mine.place, mine.gone(name)));
            };
            let same = mine.stripped == other.stripped;
            (!same).then(|| (mine.place, mine.changed(name, other)))
        });
        let mut changed: Vec<(usize, Change)> = changed.collect();
        changed.sort_by_key(|(place, _)| *place);
        changed.into_iter().map(|(_, change)| change).collect()
    }
}

impl Answer {
    fn without(mark: Mark, written: String, problem: Option<Problem>) -> Answer {
        Answer {
            mark,
            written,
            value: None,
            said: None,
            slip: false,
            problem,
        }
    }
}

/// An answer by its checks: close where none says that it is more than nearly right.
fn answer(judge: &Sheet, checks: &[CellId], written: String, slips: bool) -> Answer {
    let mut found = Answer::without(Mark::Right, written, None);
    for check in checks {
        let near = nearness(judge, *check).map(|near| match near {
            Nearness::Slip(_) if !slips => Nearness::Off,
            near => near,
        });
        let (mark, said, slip) = match (judge.holds(*check), near) {
            (Some(true), _) => continue,
            (Some(false), Some(near)) => (mark_of(near), of_closeness(judge, *check, near), near),
            (Some(false), None) => (Mark::Wrong, otherwise(judge, *check), Nearness::Off),
            (None, _) => (Mark::NotReadable, None, Nearness::Off),
        };
        if mark > found.mark {
            found.mark = mark;
            found.said = said;
            found.slip = matches!(slip, Nearness::Slip(_));
        }
    }
    found
}

fn mark_of(near: Nearness) -> Mark {
    match near {
        Nearness::Right => Mark::Right,
        Nearness::Near => Mark::Close,
        Nearness::Slip(_) | Nearness::Off => Mark::Wrong,
    }
}

fn of_closeness(judge: &Sheet, check: CellId, near: Nearness) -> Option<String> {
    let (_, expect, close) = closeness(judge, check)?;
    hint(expect, close, near).map(str::to_owned)
}

fn otherwise(judge: &Sheet, check: CellId) -> Option<String> {
    let (_, expect) = judge.expectation(check)?;
    expect.otherwise.as_ref().map(|otherwise| otherwise.text.to_string())
}

/// The first entry of each name, by its place among the items.
fn entries(tree: &Worksheet) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for (place, item) in tree.items.iter().enumerate() {
        if let Node::Entry(entry) = &item.node {
            found.entry(entry.name.text.to_string()).or_insert(place);
        }
    }
    found
}

/// What stands behind the `=` of an entry that can't be read.
fn behind_equals(text: &str) -> &str {
    let value = text.split_once('=').map_or("", |(_, value)| value);
    let value = value.split(" from \"").next().unwrap_or("");
    value.split(" -- ").next().unwrap_or("").trim()
}

// ---- what was changed ----

/// A line that is the lesson's own.
struct Line {
    place: usize,
    stripped: String,
    /// The value of a given.
    given: Option<String>,
    check: Option<String>,
}

impl Line {
    fn changed(&self, name: &str, other: &Line) -> Change {
        match (&self.check, &self.given, &other.given) {
            (Some(check), ..) => Change::Check(check.clone()),
            (None, Some(mine), Some(theirs)) if mine != theirs => {
                Change::Given(name.to_owned(), mine.clone(), theirs.clone())
            }
            _ => Change::Line(name.to_owned()),
        }
    }

    fn gone(&self, name: &str) -> Change {
        match &self.check {
            Some(check) => Change::CheckGone(check.clone()),
            None => Change::Gone(name.to_owned()),
        }
    }
}

/// The lines that say something, by their names, checks by what they say and how often before;
/// without the blanks that the lesson has.
fn lines(lesson: &Sheet, tree: &Worksheet) -> BTreeMap<String, Line> {
    let mut found = BTreeMap::new();
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    for (place, item) in tree.items.iter().enumerate() {
        let text = tree.text_of(place);
        let (name, given, check) = match &item.node {
            Node::Entry(entry) => {
                let blank = lesson.cell(&entry.name.text).map(|cell| lesson.status(cell)) == Some(Status::Blank);
                if blank {
                    continue;
                }
                let given = entry.kind.is_input().then(|| behind_equals(text).to_owned());
                (entry.name.text.to_string(), given, None)
            }
            Node::Expect(expect) => {
                let said = in_one_line(&expect.said(text));
                let before = met.entry(said.clone()).or_default();
                *before += 1;
                (format!("expect {said} {before}"), None, Some(said))
            }
            Node::Rule(rule) => (rule.name.text.to_string(), None, None),
            Node::Table(table) => (table.name.text.to_string(), None, None),
            Node::Case(case) => (format!("case {}", case.name.text), None, None),
            _ => continue,
        };
        let stripped = text.chars().filter(|c| !c.is_whitespace() && !"\"“”„".contains(*c));
        let line = Line {
            place,
            stripped: stripped.collect(),
            given,
            check,
        };
        found.entry(name).or_insert(line);
    }
    found
}
