//! From the base and the cases to what a reader gets: values, differences, flips.
//!
//! One appraisal a case serves its answers, its checks and its cautions. Start
//! reading at [`compare`].

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use crate::number::Number;
use crate::problem::kinds::MOST_OF_A_KIND;
use crate::problem::{Code, Place, Problem, Severity};
use crate::sheet::appraisal::{Appraisal, Cautioned};
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet};
use crate::study::below_zero;
use crate::study::compare::{self as study, MOST_CASES, Replaced, ReplacedOf, rows_apart};
use crate::study::marks::Tables;
use crate::syntax::tree::Node;
use crate::text::Span;
use crate::time_limit;
use crate::unit::Kind;

use super::super::change::Flip;
use super::super::compare::{Answer, Compare, InPlace, ON_TRIAL, Scene, Verdict};
use super::super::model::{Check, Entry, Scalar, Value};
use super::super::place;
use super::marks::appraised_with_draws;
use super::{Options, all_cells, answers, check, number_shown, one_entry};

/// Base and cases side by side, of a worksheet without cases what is on trial, and every problem that any of them has.
pub(crate) fn compare(sheet: &Sheet, options: Options) -> (Compare, Vec<Problem>) {
    let scenes = match study::is_tried_alone(sheet) {
        true => {
            let trials: Vec<CellId> = sheet.trials().collect();
            study::beside_trials(sheet, ON_TRIAL, |sheet| look(sheet, &trials, options))
        }
        false => {
            let inputs = replaced_inputs(sheet);
            study::compare(sheet, |sheet| look(sheet, &inputs, options))
        }
    };
    let mut problems = all_problems(&scenes);
    problems.extend(left_out(sheet, scenes.len()));
    problems.sort_by_key(|problem| (problem.place.item, problem.place.span.start));
    let base = scenes.first().map(|scene| (&scene.seen, known_problems(&scene.seen)));
    let told = scenes.iter().map(|scene| told(sheet, scene, base.as_ref()));
    let compare = Compare { cases: told.collect() };
    (compare, problems)
}

/// Each problem once; of a kind that the base doesn't have no more than are read.
fn all_problems(scenes: &[study::Scene<Seen>]) -> Vec<Problem> {
    let (base, cases) = scenes
        .split_first()
        .map_or((None, scenes), |(base, cases)| (Some(base), cases));
    let mut problems: Vec<Problem> = base.map_or_else(Vec::new, |base| base.seen.problems.clone());
    let mut seen = base.map_or_else(BTreeSet::new, |base| known_problems(&base.seen));
    let mut counts: BTreeMap<Code, usize> = BTreeMap::new();
    for problem in cases.iter().flat_map(|scene| &scene.seen.problems) {
        if !seen.insert(told_apart(problem)) {
            continue;
        }
        let count = counts.entry(problem.code).or_default();
        *count += 1;
        match (*count).cmp(&(MOST_OF_A_KIND + 1)) {
            Ordering::Less => problems.push(problem.clone()),
            Ordering::Equal => {
                let message = "from here on the same is in more places or in more cases";
                let more = Problem::new(problem.code, message, problem.place);
                problems.push(more.help("mend the first ones, and look again"));
            }
            Ordering::Greater => {}
        }
    }
    problems
}

/// What tells a problem from others.
type ToldApart<'a> = (Place, Code, &'a str, Option<(u32, &'a str)>);

fn told_apart(problem: &Problem) -> ToldApart<'_> {
    let cell = problem.file.as_ref().map(|place| (place.row, &*place.column));
    (problem.place, problem.code, &problem.message, cell)
}

fn known_problems(seen: &Seen) -> BTreeSet<ToldApart<'_>> {
    seen.problems.iter().map(told_apart).collect()
}

/// The cases for which there was no time or no room, where so many were looked at, the base among them.
fn left_out(sheet: &Sheet, looked_at: usize) -> Option<Problem> {
    let left = sheet.cases().get(looked_at.checked_sub(1)?..)?;
    let first = left.first()?;
    let span = match sheet.tree().node(first.item) {
        Some(Node::Case(case)) => case.name.span,
        _ => Span::default(),
    };
    let (code, why, help) = match looked_at > MOST_CASES {
        true => (
            Code::TableSize,
            format!("{MOST_CASES} cases are compared at most"),
            "split the worksheet",
        ),
        false => (
            Code::OutOfTime,
            format!("the {} that a run may take were up", time_limit::in_words()),
            "allow more with `--time-limit`, or split the worksheet",
        ),
    };
    let are = if left.len() == 1 { "is" } else { "are" };
    let message = format!("{why}: of the cases {} from here on {are} left out", left.len());
    Some(Problem::new(code, message, Place::new(first.item, span)).help(help))
}

/// The inputs that any case replaces.
fn replaced_inputs(sheet: &Sheet) -> Vec<CellId> {
    let held = sheet.cases().iter().flat_map(|case| &case.held);
    let mut seen = BTreeSet::new();
    held.filter_map(|(cell, _)| seen.insert(*cell).then_some(*cell))
        .collect()
}

// ---- one case ----

/// What there is to see in the base or a case.
struct Seen {
    answers: Vec<Known>,
    checks: Vec<Check>,
    inputs: BTreeMap<CellId, Entry>,
    problems: Vec<Problem>,
    cautions: Vec<(&'static str, String)>,
}

/// An answer, with its number or column.
struct Known {
    entry: Entry,
    kind: Option<Kind>,
    clock: bool,
    reading: Held,
}

/// A reading that outlives the case it was read in.
enum Held {
    Nothing,
    Number(Number),
    Column(Vec<Option<Number>>),
}

fn look(sheet: &Sheet, inputs: &[CellId], options: Options) -> Seen {
    // of two with one name the first counts
    let counts = |cell: &CellId| sheet.name_of(*cell).and_then(|name| sheet.cell(name)) == Some(*cell);
    let asked: Vec<CellId> = answers(sheet).into_iter().filter(counts).collect();
    let checks: Vec<CellId> = all_cells(sheet).filter(|cell| sheet.entry(*cell).is_none()).collect();
    // of a case the inputs that it replaces itself
    let own = sheet
        .case()
        .map(|case| case.held.iter().map(|(cell, _)| *cell).collect::<Vec<CellId>>());
    let inputs = own.as_deref().unwrap_or(inputs);
    let cells = asked.iter().chain(&checks).chain(inputs);
    let cells: Vec<CellId> = cells.copied().collect();
    let appraisal = appraised_with_draws(sheet, &cells, Tables::Left);
    let entry = |cell: &CellId| Some((*cell, one_entry(sheet, *cell, options, &appraisal, None)?));
    Seen {
        answers: asked
            .iter()
            .filter_map(|cell| known(sheet, *cell, options, &appraisal))
            .collect(),
        checks: checks
            .iter()
            .filter_map(|cell| check(sheet, *cell, &appraisal))
            .collect(),
        inputs: inputs.iter().filter_map(entry).collect(),
        problems: match sheet.case() {
            None => sheet.problems(),
            Some(_) => sheet.problems_of_run(),
        }
        .into_iter()
        .chain(sheet.unfinished(&appraisal))
        .collect(),
        cautions: cautions(&below_zero::cautions(sheet, &appraisal, &asked)),
    }
}

fn known(sheet: &Sheet, cell: CellId, options: Options, appraisal: &Appraisal) -> Option<Known> {
    Some(Known {
        entry: one_entry(sheet, cell, options, appraisal, None)?,
        kind: sheet.shape(cell).map(|shape| shape.kind),
        clock: sheet.asks_for_clock(cell),
        reading: match sheet.reading(cell) {
            Reading::Number(number) => Held::Number(number),
            Reading::Column(cells) => Held::Column(cells.to_vec()),
            Reading::Within(_) | Reading::None(_) => Held::Nothing,
        },
    })
}

/// Each caution's code and words, once.
fn cautions(found: &[Cautioned]) -> Vec<(&'static str, String)> {
    let mut told: Vec<(&'static str, String)> = Vec::new();
    for found in found {
        let text = match found.text.as_str() {
            "" => found.caution.text,
            own => own,
        };
        if !told.iter().any(|(code, _)| *code == found.caution.code) {
            told.push((found.caution.code, text.to_owned()));
        }
    }
    told
}

// ---- beside the base ----

fn told(sheet: &Sheet, scene: &study::Scene<Seen>, base: Option<&(&Seen, BTreeSet<ToldApart<'_>>)>) -> Scene {
    let base = base.filter(|_| scene.name.is_some());
    let known = base.map(|(_, problems)| problems);
    let base = base.map(|(base, _)| *base);
    let before = |place: usize| base.and_then(|base| base.answers.get(place));
    let answers = scene.seen.answers.iter().enumerate();
    Scene {
        name: scene.name.clone(),
        title: scene.title.clone(),
        answers: answers.map(|(place, known)| answer(known, before(place))).collect(),
        checks: scene.seen.checks.iter().map(verdict).collect(),
        replaced: scene
            .replaced
            .iter()
            .filter_map(|replaced| in_place(sheet, replaced, scene, base))
            .collect(),
        flips: base.map_or_else(Vec::new, |base| flips(&base.checks, &scene.seen.checks)),
        problems: problems(sheet, &scene.seen, known),
        cautions: new_cautions(&scene.seen, base),
    }
}

fn answer(known: &Known, base: Option<&Known>) -> Answer {
    let gap = base.and_then(|base| {
        let (Held::Number(before), Held::Number(now)) = (&base.reading, &known.reading) else {
            return None;
        };
        let (before, now) = ((*before, &base.entry.shown), (*now, &known.entry.shown));
        super::gap(known.kind?, known.clock, before, now)
    });
    let column = base.and_then(|base| rows(base, known));
    Answer {
        name: known.entry.name.clone(),
        label: known.entry.label.clone(),
        value: known.entry.value.clone(),
        unit: known.entry.unit.clone(),
        change: base.map_or(Value::Nothing, |base| change(base, known)),
        shown: known.entry.shown.clone(),
        base: base.unwrap_or(known).entry.shown.clone(),
        as_in_base: base.is_none_or(|base| base.entry.shown == known.entry.shown && column.is_none()),
        short: gap
            .as_ref()
            .map_or_else(|| column.iter().cloned().collect(), |gap| gap.signed()),
        difference: gap.map(|gap| gap.words()).or(column),
    }
}

/// The rows of two columns that differ, in words; `None` where none does.
fn rows(base: &Known, known: &Known) -> Option<String> {
    let (Held::Column(before), Held::Column(now)) = (&base.reading, &known.reading) else {
        return None;
    };
    match rows_apart(before, now) {
        (0, _) => None,
        (1, rows) => Some(format!("1 of {rows} rows differs")),
        (apart, rows) => Some(format!("{apart} of {rows} rows differ")),
    }
}

/// The exact difference of numbers in their unit; of columns of one length, row by row.
fn change(base: &Known, known: &Known) -> Value {
    let is_number = |kind| matches!(kind, Kind::Quantity(_) | Kind::Level | Kind::Decibels);
    if !known.kind.is_some_and(is_number) {
        return Value::Nothing;
    }
    match (&base.reading, &known.reading) {
        (Held::Number(before), Held::Number(now)) => less(*now, *before).map_or(Value::Nothing, Value::One),
        (Held::Column(before), Held::Column(now)) if before.len() == now.len() => {
            let rows = now.iter().zip(before);
            Value::Column(rows.map(|(now, before)| less((*now)?, (*before)?)).collect())
        }
        _ => Value::Nothing,
    }
}

fn less(now: Number, before: Number) -> Option<Scalar> {
    now.sub(before).ok().map(|gap| Scalar::Text(gap.to_plain()))
}

fn verdict(check: &Check) -> Verdict {
    Verdict {
        line: check.line,
        holds: check.holds,
        text: check.text.clone(),
        message: check.message.clone(),
    }
}

fn flips(base: &[Check], now: &[Check]) -> Vec<Flip> {
    let pairs = base.iter().zip(now).filter(|(before, now)| before.holds != now.holds);
    let flips = pairs.map(|(before, now)| Flip {
        place: now.place(),
        text: now.text.clone(),
        before: before.holds,
        now: now.holds,
        close: now.close,
        message: now.message.clone(),
        compared: now.compared.clone(),
    });
    flips.collect()
}

fn in_place(sheet: &Sheet, replaced: &Replaced, scene: &study::Scene<Seen>, base: Option<&Seen>) -> Option<InPlace> {
    let cell = match &replaced.of {
        ReplacedOf::Entry(cell) => cell,
        ReplacedOf::Cell(name, kind, before) => {
            let shown = |before| number_shown(sheet, before, *kind, false, None, Options::default()).display();
            return Some(InPlace {
                name: name.clone(),
                value: replaced.written.clone(),
                base: before.map_or("missing".to_owned(), shown),
                source: replaced.source.clone(),
                set_aside: replaced.set_aside,
            });
        }
    };
    let now = scene.seen.inputs.get(cell)?;
    let before = base?.inputs.get(cell)?;
    let value = match replaced.set_aside {
        true => replaced.written.clone(),
        false => now.shown.display(),
    };
    Some(InPlace {
        name: now.name.clone(),
        value,
        base: before.shown.display(),
        source: replaced.source.clone(),
        set_aside: replaced.set_aside,
    })
}

/// The problems that the base doesn't have.
fn problems(sheet: &Sheet, seen: &Seen, base: Option<&BTreeSet<ToldApart<'_>>>) -> Vec<super::super::model::Problem> {
    let known = |problem: &&Problem| base.is_none_or(|base| !base.contains(&told_apart(problem)));
    let weighs = |problem: &&Problem| problem.severity == Severity::Problem;
    let new = seen.problems.iter().filter(weighs).filter(known);
    new.map(|problem| place::machine(problem, sheet.tree(), sheet.line(problem.place.item)))
        .collect()
}

/// The cautions that the base doesn't have; of the base all.
fn new_cautions(seen: &Seen, base: Option<&Seen>) -> Vec<(String, String)> {
    let known = |code: &str| base.is_some_and(|base| base.cautions.iter().any(|(other, _)| *other == code));
    let new = seen.cautions.iter().filter(|(code, _)| !known(code));
    new.map(|(code, text)| ((*code).to_owned(), text.clone())).collect()
}
