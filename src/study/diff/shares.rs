//! How much of an answer's difference each change accounts for.
//!
//! Over all orders in which the changes could be made, one after another, what
//! each adds when its turn comes is averaged; the parts then make up the whole,
//! whatever they do in company. Beyond eight changes, or where a mixture has no
//! value, they are made in the order of the file. Start reading at [`shares`].

use std::collections::{BTreeMap, BTreeSet};

use crate::number::{Checked, Number, Trouble};

use super::apart::Difference;
use super::graph::{Change, Graph, node};
use super::mixed::{Asked, Mixer, Outcome};
use crate::study::Watch;
use crate::time_limit;

/// So many changes are made in all orders.
pub(crate) const MOST: usize = 8;

/// So many changes are made one after another; more are not shared out.
pub(crate) const MOST_IN_ORDER: usize = 200;

/// Digits kept of the largest number when parts are rounded, so that their sums stay exact.
const DIGITS: i32 = 23;

/// How an answer's difference is shared out.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Shares {
    /// The part of each change, in the unit of the answer (of points in intervals).
    pub parts: Vec<(usize, Number)>,
    /// What no change accounts for; `None` where there is no difference to share.
    pub rest: Option<Number>,
    /// How the parts were found.
    pub way: Way,
}

/// How parts were found, or why there are none.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) enum Way {
    /// There is nothing to share out.
    #[default]
    Nothing,
    /// The average over all orders.
    Average,
    /// One after another in the order of the file, since there are so many.
    Many(usize),
    /// Not at all, since there are so many.
    TooMany(usize),
    /// One after another in the order of the file, since a mixture has no value.
    Unmixed(Missing),
    /// Not at all, since a mixture on that way has no value either.
    Not(Missing),
    /// Not at all, since somebody stopped it.
    Stopped,
}

/// A mixture without a value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Missing {
    /// The changes that were made in it.
    pub made: Vec<usize>,
    /// What is wrong with it.
    pub problem: Option<String>,
}

/// An answer's value in the first and in the second, in the unit of the first.
pub(crate) type Ends = Option<(Number, Number)>;

/// What is exchanged for an answer, in the order of the file, with its two values.
struct Task {
    relevant: Vec<usize>,
    /// How many there are; of too many the first are kept.
    count: usize,
    ends: Ends,
}

/// Shares out every answer's difference. `watch` hears how many mixtures are done, of
/// how many, and says whether to go on.
pub(crate) fn shares(
    mixer: &mut Mixer<'_>,
    graph: &Graph,
    (differences, changes): (&[Difference], &[Change]),
    asked: &[(Asked, Ends)],
    watch: &dyn Watch,
) -> Vec<Shares> {
    let mut outcomes_of = |tasks: &[Task]| outcomes(mixer, changes, tasks, watch);
    let tasks = tasks(graph, (differences, changes), asked);
    match tasks.and_then(|tasks| Some((outcomes_of(&tasks)?, tasks))) {
        Some((outcomes, tasks)) => {
            let shared = tasks.iter().enumerate();
            shared.map(|(place, task)| share(task, place, &outcomes)).collect()
        }
        None => asked.iter().map(|(_, ends)| stopped(*ends)).collect(),
    }
}

/// What there is no time to share out.
pub(crate) fn stopped(ends: Ends) -> Shares {
    Shares {
        parts: Vec::new(),
        rest: difference(ends),
        way: Way::Stopped,
    }
}

fn difference(ends: Ends) -> Option<Number> {
    ends.and_then(|(a, b)| b.sub(a).ok())
}

/// What is exchanged for each answer: the changes that it depends on, in either worksheet or in a
/// mixture; `None` where there is no time for all.
fn tasks(
    graph: &Graph,
    (differences, changes): (&[Difference], &[Change]),
    asked: &[(Asked, Ends)],
) -> Option<Vec<Task>> {
    let nodes = |change: &Change| -> Vec<Option<u32>> {
        let members = change.members.iter().filter_map(|member| differences.get(*member));
        members.map(|difference| graph.node(&node(difference))).collect()
    };
    let nodes: Vec<Vec<Option<u32>>> = changes.iter().map(nodes).collect();
    let task = |(asked, ends): &(Asked, Ends)| {
        if time_limit::is_up() {
            return None;
        }
        let reached = graph.reach(graph.node(&asked.name));
        let touched = |members: &Vec<Option<u32>>| members.iter().any(|member| reached.holds(*member));
        let relevant = || nodes.iter().enumerate().filter(|(_, members)| touched(members));
        let kept = relevant().take(MOST_IN_ORDER + 1).map(|(place, _)| place).collect();
        Some(Task {
            relevant: kept,
            count: relevant().count(),
            ends: *ends,
        })
    };
    asked.iter().map(task).collect()
}

// ---- mixtures ----

type Outcomes = BTreeMap<BTreeSet<usize>, Outcome>;

/// Every mixture that any answer asks for; `None` where it was stopped.
fn outcomes(mixer: &mut Mixer<'_>, changes: &[Change], tasks: &[Task], watch: &dyn Watch) -> Option<Outcomes> {
    let mut wanted: BTreeSet<BTreeSet<usize>> = BTreeSet::new();
    for task in tasks
        .iter()
        .filter(|task| task.ends.is_some() && !task.relevant.is_empty())
    {
        wanted.extend(asked_for(&task.relevant));
    }
    let members = |made: &BTreeSet<usize>| -> BTreeSet<usize> {
        let made = made.iter().filter_map(|change| changes.get(*change));
        made.flat_map(|change| change.members.iter().copied()).collect()
    };
    let mut order: Vec<(Vec<usize>, BTreeSet<usize>, BTreeSet<usize>)> = wanted
        .into_iter()
        .map(|made| {
            let members = members(&made);
            let lines = members.iter().copied().filter(|one| mixer.is_line(*one)).collect();
            (lines, members, made)
        })
        .collect();
    // those that need the same lines follow each other, so that each is loaded once
    order.sort();
    let of = order.len();
    let mut outcomes = Outcomes::new();
    for (done, (_, members, made)) in order.into_iter().enumerate() {
        if !watch.goes_on(done, of) {
            return None;
        }
        outcomes.insert(made, mixer.outcome(&members)?);
    }
    if time_limit::is_up() {
        return None;
    }
    Some(outcomes)
}

/// The mixtures that sharing out among these changes takes.
fn asked_for(relevant: &[usize]) -> Vec<BTreeSet<usize>> {
    match relevant.len() {
        count if count <= MOST => (0..1usize << count).map(|mask| made(relevant, mask)).collect(),
        count if count <= MOST_IN_ORDER => in_file_order(relevant).collect(),
        _ => Vec::new(),
    }
}

fn in_file_order(relevant: &[usize]) -> impl Iterator<Item = BTreeSet<usize>> {
    (0..=relevant.len()).map(|count| relevant.iter().take(count).copied().collect())
}

/// The changes whose bits are set.
fn made(relevant: &[usize], mask: usize) -> BTreeSet<usize> {
    let bits = relevant.iter().enumerate();
    let set = bits.filter(|(bit, _)| mask & (1 << bit) != 0);
    set.map(|(_, change)| *change).collect()
}

// ---- one answer ----

fn share(task: &Task, place: usize, outcomes: &Outcomes) -> Shares {
    let Some((a, b)) = task.ends else {
        return Shares::default();
    };
    let whole = b.sub(a).ok();
    if task.relevant.is_empty() {
        return Shares {
            parts: Vec::new(),
            rest: whole,
            way: Way::Nothing,
        };
    }
    if task.relevant.len() > MOST_IN_ORDER {
        return Shares {
            parts: Vec::new(),
            rest: whole,
            way: Way::TooMany(task.count),
        };
    }
    let value = |made: &BTreeSet<usize>| -> Result<Number, Missing> {
        let outcome = outcomes.get(made);
        let value = outcome.and_then(|outcome| outcome.values.get(place).copied().flatten());
        value.ok_or_else(|| Missing {
            made: made.iter().copied().collect(),
            problem: outcome.and_then(|outcome| outcome.problem.clone()),
        })
    };
    let (parts, way) = match task.relevant.len() <= MOST {
        true => match average(task, a, value) {
            Ok(parts) => (Ok(parts), Way::Average),
            Err(missing) => (one_by_one(task, a, value), Way::Unmixed(missing)),
        },
        false => (one_by_one(task, a, value), Way::Many(task.relevant.len())),
    };
    match parts {
        Ok(parts) => accounted(task, (a, b), whole, parts, way),
        Err(missing) => Shares {
            parts: Vec::new(),
            rest: whole,
            way: Way::Not(missing),
        },
    }
}

/// Parts rounded so far that their sum is exact, and what is left.
fn accounted(task: &Task, (a, b): (Number, Number), whole: Option<Number>, parts: Vec<Number>, way: Way) -> Shares {
    let sizes = parts.iter().chain([&a, &b]).filter(|number| !number.is_zero());
    let largest = sizes.map(|number| number.magnitude()).max().unwrap_or(0);
    let decimals = (DIGITS - 1 - largest).clamp(0, 28).unsigned_abs();
    let parts: Vec<Number> = parts.iter().map(|part| part.round_places(decimals)).collect();
    let sum = parts.iter().try_fold(Number::ZERO, |sum, part| sum.add(*part));
    let rest = whole.and_then(|whole| whole.sub(sum.ok()?).ok());
    Shares {
        parts: task.relevant.iter().copied().zip(parts).collect(),
        rest,
        way,
    }
}

/// What each change adds, averaged over all orders; `first` is the value without any.
fn average(
    task: &Task,
    first: Number,
    value: impl Fn(&BTreeSet<usize>) -> Result<Number, Missing>,
) -> Result<Vec<Number>, Missing> {
    let count = task.relevant.len();
    let mut values = Vec::with_capacity(1 << count);
    for mask in 0..1usize << count {
        values.push(value(&made(&task.relevant, mask))?);
    }
    starts_alike(&values, first)?;
    if let Some(start) = values.first_mut() {
        *start = first;
    }
    let parts = (0..count).map(|bit| averaged(&values, count, bit));
    parts.collect::<Checked<Vec<Number>>>().map_err(too_large)
}

/// The weighted mean of what one change adds: |S|! (n − |S| − 1)! ÷ n! for each set S
/// of changes made before it (L. S. Shapley, 1953).
fn averaged(values: &[Number], count: usize, bit: usize) -> Checked<Number> {
    let mut sum = Number::ZERO;
    for (mask, before) in values.iter().enumerate().filter(|(mask, _)| mask & (1 << bit) == 0) {
        let Some(after) = values.get(mask | (1 << bit)) else {
            continue;
        };
        let size = mask.count_ones() as usize;
        let weight = factorial(size) * factorial(count - size - 1);
        sum = sum.add(after.sub(*before)?.mul(Number::from_integer(weight))?)?;
    }
    shared_by(sum, factorial(count))
}

/// A quotient; what has no digits left above the least number is nothing, and stays in the rest.
fn shared_by(sum: Number, by: i64) -> Checked<Number> {
    match sum.div(Number::from_integer(by)) {
        Err(Trouble::TooSmall) => Ok(Number::ZERO),
        quotient => quotient,
    }
}

fn factorial(of: usize) -> i64 {
    (1..=i64::try_from(of).unwrap_or(i64::MAX)).product()
}

/// What each change adds in the order of the file.
fn one_by_one(
    task: &Task,
    first: Number,
    value: impl Fn(&BTreeSet<usize>) -> Result<Number, Missing>,
) -> Result<Vec<Number>, Missing> {
    let mut values = Vec::new();
    for made in in_file_order(&task.relevant) {
        values.push(value(&made)?);
    }
    starts_alike(&values, first)?;
    let mut before = first;
    let mut parts = Vec::new();
    for value in values.into_iter().skip(1) {
        parts.push(value.sub(before).map_err(too_large)?);
        before = value;
    }
    Ok(parts)
}

/// A mixture with nothing changed has to give the first worksheet's own value.
fn starts_alike(values: &[Number], first: Number) -> Result<(), Missing> {
    match values.first() {
        Some(start) if start.agrees_with(first) => Ok(()),
        _ => Err(Missing {
            made: Vec::new(),
            problem: None,
        }),
    }
}

fn too_large(trouble: Trouble) -> Missing {
    Missing {
        made: Vec::new(),
        problem: Some(trouble.to_string()),
    }
}
