//! The answers of a class: each pupil's, marked by the lesson's own checks and givens.
//!
//! Of a pupil's worksheet only the answers are taken, and held in the lesson in place of its
//! blanks. So nothing that was changed beside them counts; what was changed is found. Start
//! reading at [`class`].

use std::cmp::Ordering;
use std::collections::BTreeMap;

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::order::each_part;
use crate::sheet::{Held, HeldValue, Holder, Reading, Sheet, Status};
use crate::syntax::parse;
use crate::syntax::tree::{Entry, Expression, ExpressionNode, Node, Value, Worksheet};
use crate::text::in_one_line;

use super::Watch;
use super::advice::{Scratch, advice, in_its_unit};
use super::blanks::{self, Exercise, asked_alone, rests_on};
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
    /// Whether an answer may follow from an earlier one.
    pub goes_on: bool,
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
    /// The pupil's own earlier answers that it is right or close by, where it isn't by the true ones.
    pub follows: Vec<String>,
    /// With its unit, where it was written without.
    pub read_as: Option<String>,
    /// What to do, where it can't be read.
    pub advice: Option<String>,
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
    let goes_on = blanks::goes_on(sheet, &blanks::exercises(sheet));
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
        let class = by_lesson(lesson, |marking, scratch| {
            let mut pupils = Vec::with_capacity(of_case.len());
            for (_, paper) in &of_case {
                if !watch.goes_on(done + pupils.len(), papers.len()) {
                    break;
                }
                pupils.push(marking.pupil(scratch, paper));
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
        goes_on,
        pupils: found.into_iter().map(|(_, pupil)| pupil).collect(),
    }
}

/// The same of a pupil who answers by trials on the lesson, as they are `written`.
pub(crate) fn on_trial(sheet: &Sheet, name: &str, written: &dyn Fn(CellId) -> String) -> Class {
    by_lesson(&as_given(sheet, name), |marking, scratch| {
        vec![marking.on_trial(scratch, sheet, name, written)]
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

fn by_lesson(sheet: &Sheet, mark: impl FnOnce(&Marking<'_>, &mut Scratch) -> Vec<Pupil>) -> Class {
    let exercises = blanks::exercises(sheet);
    let (key, _) = blanks::solve(sheet, &exercises);
    let asked: Vec<Exercise> = exercises.iter().map(|one| asked_alone(one, &exercises)).collect();
    let rests_on: Vec<Vec<usize>> = asked.iter().map(|one| rests_on(sheet, one, &asked)).collect();
    let marking = Marking {
        sheet,
        key: &key,
        asked: &asked,
        rests_on: &rests_on,
        lines: lines(sheet, sheet.tree()),
    };
    let mut scratch = Scratch {
        sheet: sheet.clone(),
        truth: key.clone(),
    };
    Class {
        pupils: mark(&marking, &mut scratch),
        goes_on: rests_on.iter().any(|others| !others.is_empty()),
        exercises: asked.iter().map(|one| one.cell).collect(),
    }
}

struct Marking<'a> {
    sheet: &'a Sheet,
    /// The lesson with every answer that can be told.
    key: &'a Sheet,
    asked: &'a [Exercise],
    rests_on: &'a [Vec<usize>],
    lines: BTreeMap<String, Line>,
}

/// What was filled in.
enum Taken {
    Blank,
    Unread(String, Option<String>),
    Value(Filled),
}

/// An answer that can be read.
struct Filled {
    written: String,
    value: HeldValue,
    /// With its unit, where it was written without.
    read_as: Option<String>,
}

impl Taken {
    fn value(written: String, value: HeldValue) -> Taken {
        Taken::Value(Filled {
            written,
            value,
            read_as: None,
        })
    }

    /// The only answer of several lines that ask for it; none counts where they differ.
    fn only(all: Vec<Taken>) -> Taken {
        let mut all = all.into_iter().filter(|one| !matches!(one, Taken::Blank));
        let Some(first) = all.next() else { return Taken::Blank };
        let others: Vec<Taken> = all.filter(|other| !first.is_same(other)).collect();
        if others.is_empty() {
            return first;
        }
        let each: Vec<&str> = std::iter::once(&first).chain(&others).map(Taken::written).collect();
        let told = "answered more than once, so none of it counts".to_owned();
        Taken::Unread(each.join(" and "), Some(told))
    }

    fn written(&self) -> &str {
        match self {
            Taken::Blank => "",
            Taken::Unread(written, _) | Taken::Value(Filled { written, .. }) => written,
        }
    }

    fn is_same(&self, other: &Taken) -> bool {
        match (self, other) {
            (Taken::Value(one), Taken::Value(other)) => one.value == other.value,
            _ => self.written() == other.written(),
        }
    }
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
        let places = |one: &Exercise| entries.get(self.sheet.name_of(one.cell).unwrap_or(""));
        let named = |one: &Exercise| places(one).is_some();
        if !self.asked.iter().any(named) {
            return unread("none of the exercises of this lesson stands in it", Mark::Blank);
        }
        let mut own = None;
        let mut taken = Vec::with_capacity(self.asked.len());
        for one in self.asked {
            let each = places(one).into_iter().flatten();
            let each = each.map(|place| self.taken(scratch, &mut own, (&tree, *place), one.cell));
            let found = Taken::only(each.collect());
            if let Taken::Value(filled) = &found {
                // a later sum may go on from it
                scratch.sheet.hold(one.cell, Held::exactly(filled.value.clone()));
            }
            taken.push(found);
        }
        self.asked.iter().for_each(|one| drop(scratch.sheet.release(one.cell)));
        let missing = self.asked.iter().filter(|one| !named(one));
        let mut changes: Vec<Change> = missing.map(|one| self.missing(one, &tree)).collect();
        changes.extend(self.changes(&tree));
        Pupil {
            name: paper.name.clone(),
            case: None,
            answers: self.marked(scratch, &taken, &changes),
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

    fn on_trial(&self, scratch: &mut Scratch, tried: &Sheet, name: &str, written: &dyn Fn(CellId) -> String) -> Pupil {
        let taken = self.asked.iter().map(|one| match tried.held(one.cell) {
            Some(held) if held.by == Holder::Trial => Taken::value(written(one.cell), held.value.clone()),
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
        let taken: Vec<Taken> = taken.collect();
        Pupil {
            name: name.to_owned(),
            case: self.sheet.case().map(|case| case.name.clone()),
            answers: self.marked(scratch, &taken, &changes),
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
                let problem = item.and_then(|item| item.problems.first());
                return match behind_equals(text) {
                    "" => Taken::Blank,
                    written => {
                        let told = problem.map(|problem| advice(scratch, cell, text, problem));
                        Taken::Unread(written.to_owned(), told)
                    }
                };
            }
        };
        let written = in_one_line(expression.span_with(tolerance).of(text));
        let problem = match scratch.sheet.trial_value(cell, text, expression, tolerance.copied()) {
            Ok(found) => return Taken::value(written, found.value),
            Err(problems) => problems.into_iter().next(),
        };
        if let Some(value) = self.by_own_steps(own, tree, entry, cell, expression) {
            return Taken::value(written, value);
        }
        let bare = problem
            .as_ref()
            .and_then(|problem| in_its_unit(scratch, cell, text, problem));
        match bare {
            Some((read_as, value)) => Taken::Value(Filled {
                written,
                value,
                read_as: Some(read_as),
            }),
            None => Taken::Unread(written, problem.map(|problem| advice(scratch, cell, text, &problem))),
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

    /// Each answer as the lesson's checks have it, by the true answers before it and by the pupil's
    /// own: the better counts. What rests on an own one that isn't there is judged by the true one.
    fn marked(&self, scratch: &mut Scratch, taken: &[Taken], changes: &[Change]) -> Vec<Answer> {
        // from other givens, what comes to a usual slip may be none
        let slips = !changes.iter().any(|change| matches!(change, Change::Given(..)));
        let mut judge = self.sheet.clone();
        for (one, taken) in self.asked.iter().zip(taken) {
            let Taken::Value(filled) = taken else { continue };
            judge.hold(one.cell, Held::exactly(filled.value.clone()));
            if self.key.held(one.cell).is_none() {
                scratch.truth.hold(one.cell, Held::exactly(filled.value.clone()));
            }
        }
        let mut with_key = None;
        let answers = self.asked.iter().zip(self.rests_on).zip(taken);
        let answers = answers.map(|((one, others), given)| match given {
            Taken::Blank => (Answer::without(Mark::Blank, String::new(), None), false),
            Taken::Unread(written, told) => {
                let told = told.clone();
                (Answer::without(Mark::NotReadable, written.clone(), told), false)
            }
            Taken::Value(filled) => {
                let waits = |check: &CellId| judge.status(*check) == Status::Waits;
                let judge = match one.checks.iter().any(waits) {
                    false => &judge,
                    true => with_key.get_or_insert_with(|| self.filled_up(&judge)),
                };
                let own = answer(judge, &one.checks, filled, slips);
                match others.is_empty() {
                    true => (own, false),
                    false => better(self.by_truth(scratch, one, filled, slips), own),
                }
            }
        });
        let (mut answers, follow): (Vec<Answer>, Vec<bool>) = answers.unzip();
        self.asked.iter().for_each(|one| self.as_in_key(scratch, one.cell));
        for (place, others) in self.rests_on.iter().enumerate() {
            let told = match follow.get(place) {
                Some(true) => followed(&answers, others),
                _ => Vec::new(),
            };
            answers
                .get_mut(place)
                .into_iter()
                .for_each(|answer| answer.follows.clone_from(&told));
        }
        answers
    }

    /// An answer where all the others are the true ones.
    fn by_truth(&self, scratch: &mut Scratch, one: &Exercise, filled: &Filled, slips: bool) -> Answer {
        scratch.truth.hold(one.cell, Held::exactly(filled.value.clone()));
        let found = answer(&scratch.truth, &one.checks, filled, slips);
        if self.key.held(one.cell).is_some() {
            self.as_in_key(scratch, one.cell);
        }
        found
    }

    fn as_in_key(&self, scratch: &mut Scratch, cell: CellId) {
        match self.key.held(cell) {
            Some(right) => drop(scratch.truth.hold(cell, right.clone())),
            None => drop(scratch.truth.release(cell)),
        }
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
    fn without(mark: Mark, written: String, advice: Option<String>) -> Answer {
        Answer {
            mark,
            written,
            value: None,
            said: None,
            slip: false,
            follows: Vec::new(),
            read_as: None,
            advice,
        }
    }
}

/// The better of two marks of an answer, and whether that is the one by the pupil's own answers; of
/// two wrong ones the one that is a usual slip.
fn better(by_truth: Answer, by_own: Answer) -> (Answer, bool) {
    match by_own.mark.cmp(&by_truth.mark) {
        Ordering::Less => (by_own, true),
        Ordering::Equal if by_own.slip && !by_truth.slip => (by_own, false),
        _ => (by_truth, false),
    }
}

/// The earlier answers that another follows from: those that are off, or all where none is.
fn followed(answers: &[Answer], others: &[usize]) -> Vec<String> {
    let others = others.iter().filter_map(|place| answers.get(*place));
    let given: Vec<&Answer> = others.filter(|other| other.value.is_some()).collect();
    let off: Vec<&Answer> = given
        .iter()
        .copied()
        .filter(|other| other.mark != Mark::Right)
        .collect();
    let named = if off.is_empty() { given } else { off };
    named.iter().map(|other| other.written.clone()).collect()
}

/// An answer by its checks: close where none says that it is more than nearly right.
fn answer(judge: &Sheet, checks: &[CellId], filled: &Filled, slips: bool) -> Answer {
    let value = match &filled.value {
        HeldValue::Number(number) => Some(*number),
        HeldValue::Column(_) => None,
    };
    let mut found = Answer {
        value,
        read_as: filled.read_as.clone(),
        ..Answer::without(Mark::Right, filled.written.clone(), None)
    };
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

/// The entries of each name, by their places among the items.
fn entries(tree: &Worksheet) -> BTreeMap<String, Vec<usize>> {
    let mut found: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (place, item) in tree.items.iter().enumerate() {
        if let Node::Entry(entry) = &item.node {
            found.entry(entry.name.text.to_string()).or_default().push(place);
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
