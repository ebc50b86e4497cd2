//! Against: which lines of a worksheet another one of the same thing would question.
//!
//! Two people who work one thing out apart differ in values, in formulas and in what they
//! take into account. Each line of the first that the second has otherwise is put in order by
//! how much of the answers' difference it makes; values are held against each other with the
//! ± of both. Start reading at [`against`].

use std::collections::BTreeSet;

use crate::sheet::Sheet;

use super::Watch;
use super::audit::{self, Weight, place_of};
use super::diff::apart::{Difference, What};
use super::diff::side::{Known, Side, Thing, as_kind};
use super::diff::{self, Diff};

/// What the second worksheet says to a line of the first.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum Verdict {
    /// Another value, further off than the ± of both allow; so many times as far.
    BeyondBoth(f64),
    /// Another value, that the ± of both allow.
    WithinBoth,
    /// Another value, and neither has a ±.
    NoTolerance,
    /// The same value, known otherwise or with another ±.
    KnownOtherwise,
    /// Another formula or rule.
    OtherFormula,
    /// Other readings.
    OtherReadings,
    /// The second has nothing like it.
    Alone,
}

/// A line that the second would question.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Questioned {
    /// Which difference it is, by its place.
    pub difference: usize,
    /// In which change it is taken over, by its place.
    pub change: Option<usize>,
    /// What the second says to it.
    pub verdict: Verdict,
    /// What an audit of the first alone finds likely to be a slip there.
    pub slips: Vec<&'static str>,
    /// The largest part that it makes of an answer's difference.
    pub size: f64,
}

/// Two worksheets of one thing.
pub(crate) struct Against {
    /// What they differ in.
    pub diff: Diff,
    /// The lines of the first that the second would question, the largest part first.
    pub lines: Vec<Questioned>,
    /// Lines likely to have a slip that both have alike.
    pub shared: Vec<(u32, &'static str)>,
}

/// Holds a worksheet against another of the same thing. `watch` hears how far the mixtures of
/// the two are, and says whether to go on.
pub(crate) fn against(a: &Sheet, b: &Sheet, watch: &dyn Watch) -> Against {
    let diff = diff::by_two_hands(a, b, watch);
    let (side_a, side_b) = (Side::new(a), Side::new(b));
    let slips = slips(a);
    let mut lines: Vec<Questioned> = Vec::new();
    for (place, difference) in diff.differences.iter().enumerate() {
        let Some(mine) = difference.a.and_then(|place| side_a.thing(place)) else {
            continue;
        };
        let theirs = difference.b.and_then(|place| side_b.thing(place));
        let change = diff.changes.iter().position(|change| change.members.contains(&place));
        let own = slips.iter().filter(|(item, _)| *item == mine.item);
        lines.push(Questioned {
            difference: place,
            change,
            verdict: verdict(difference, (&side_a, mine), (&side_b, theirs)),
            slips: own.map(|(_, code)| *code).collect(),
            size: change.map_or(0.0, |change| part(&diff, change)),
        });
    }
    lines.sort_by(|one, other| {
        let size = other.size.total_cmp(&one.size);
        size.then(one.difference.cmp(&other.difference))
    });
    let questioned = |item: u32| {
        let mut things = lines.iter().filter_map(|line| diff.differences.get(line.difference)?.a);
        things.any(|place| side_a.thing(place).is_some_and(|thing| thing.item == item))
    };
    let theirs: BTreeSet<&str> = self::slips(b).into_iter().map(|(_, code)| code).collect();
    let alike = |(item, code): &(u32, &'static str)| !questioned(*item) && theirs.contains(code);
    let shared = slips.iter().copied().filter(alike).collect();
    Against { diff, lines, shared }
}

/// The items of the first that are likely to have a slip, with its code.
fn slips(sheet: &Sheet) -> Vec<(u32, &'static str)> {
    let found = audit::likely_slips(sheet).into_iter();
    let slips = found.filter(|(_, finding)| finding.weight() == Weight::Slip);
    slips
        .map(|(subject, finding)| (place_of(sheet, subject).0, finding.code()))
        .collect()
}

/// The largest part of an answer's difference that a change makes.
fn part(diff: &Diff, change: usize) -> f64 {
    let parts = diff.answers.iter().filter_map(|answer| {
        let (a, b) = answer.ends?;
        let whole = a.to_f64().abs().max(b.to_f64().abs());
        let (_, part) = answer.shares.parts.iter().find(|(one, _)| *one == change)?;
        (whole > 0.0).then(|| part.to_f64().abs() / whole)
    });
    parts.fold(0.0, f64::max)
}

fn verdict(
    difference: &Difference,
    (a, mine): (&Side<'_>, &Thing),
    (b, theirs): (&Side<'_>, Option<&Thing>),
) -> Verdict {
    let Some(theirs) = theirs else { return Verdict::Alone };
    match &difference.what {
        What::Table | What::Column(_) => Verdict::OtherReadings,
        What::Formula | What::Rule => Verdict::OtherFormula,
        What::Input if !difference.moves => Verdict::KnownOtherwise,
        What::Input => match (a.known(mine), b.known(theirs)) {
            (Some(mine), Some(theirs)) => apart(&mine, &theirs),
            _ => Verdict::NoTolerance,
        },
    }
}

/// Two values against the ± of both, at k=2: that of the difference is the root of the sum of
/// squares (JCGM 100, 5.1.2, for values that are independent).
fn apart(mine: &Known, theirs: &Known) -> Verdict {
    let one = |known: &Known| known.numbers.first().copied().flatten();
    let Some((mine_at, theirs_at)) = one(mine).zip(one(theirs)) else {
        return Verdict::NoTolerance;
    };
    let Some(theirs_here) = as_kind(theirs_at, theirs.kind, mine.kind) else {
        return Verdict::NoTolerance;
    };
    let doubt = |known: &Known| known.doubt.map_or(0.0, |(_, doubt, _)| doubt);
    // the ± of the second, in the unit of the first
    let theirs_doubt = theirs.doubt_as(mine.kind).unwrap_or(0.0);
    let both = 2.0 * doubt(mine).hypot(theirs_doubt);
    if both <= 0.0 {
        return Verdict::NoTolerance;
    }
    let times = (mine_at.to_f64() - theirs_here.to_f64()).abs() / both;
    match times > 1.0 {
        true => Verdict::BeyondBoth(times),
        false => Verdict::WithinBoth,
    }
}
