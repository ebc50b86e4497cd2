//! From what two worksheets of one thing differ in to what the second would question in the first.
//!
//! Start reading at [`against`]; what both write and how shares are shown is the diff's.

use crate::number::Number;
use crate::sheet::Sheet;
use crate::study::Watch;
use crate::study::against::{self as study, Questioned, Verdict};
use crate::study::diff::apart::Difference;

use super::super::against::{Against, Both, Line};
use super::super::sweep::Named;
use super::Options;
use super::diff::Builder;
use super::in_hand::in_hand;

/// Which lines of `a` the worksheet `b`, with the name of its file, would question.
pub(crate) fn against(a: &Sheet, (b, file_b): (&Sheet, &str), options: Options, watch: &dyn Watch) -> Against {
    let found = study::against(a, b, watch);
    let builder = Builder::new(a, b, &found.diff, options);
    let answers = found.diff.answers.iter().map(|answer| {
        let told = builder.answer(answer);
        Both {
            name: told.name,
            a: told.shown_a.in_full(),
            b: told.shown_b.in_full(),
            difference: match told.words {
                _ if told.same => None,
                None => Some("which can't be compared".to_owned()),
                words => words,
            },
        }
    });
    let only_b = found
        .diff
        .differences
        .iter()
        .filter(|difference| difference.a.is_none());
    Against {
        other: in_hand(b, file_b, options),
        answers: answers.collect(),
        lines: found.lines.iter().filter_map(|line| told(&builder, a, line)).collect(),
        only_b: only_b.map(|difference| difference.share_name()).collect(),
        shared_slips: shared(a, &found.shared),
        remarks: builder.ways(),
    }
}

fn told(builder: &Builder<'_>, sheet: &Sheet, line: &Questioned) -> Option<Line> {
    let difference = builder.found.differences.get(line.difference)?;
    let item = builder.a.thing(difference.a?)?.item;
    let apart = builder.apart(difference);
    let answers = builder.found.answers.iter();
    let of = |shares: &[(usize, Number)]| {
        let mut shares = shares.iter();
        shares
            .find(|(change, _)| Some(*change) == line.change)
            .map(|(_, part)| *part)
    };
    let parts: Vec<(&crate::study::diff::Answer, Number)> = answers
        .filter_map(|answer| Some((answer, of(&answer.shares.parts)?)))
        .collect();
    let moving = parts.iter().filter(|(_, part)| !part.is_zero());
    let shown = moving.map(|(answer, part)| format!("{} of {}", builder.part(answer, *part), answer.name));
    let shown: Vec<String> = match taken_over_with(builder, line) {
        // told at the first of those that are taken over in one
        Some((true, with)) => vec![format!("with {with}")],
        Some((false, with)) => shown.chain([format!("with {with}")]).collect(),
        None => shown.collect(),
    };
    Some(Line {
        name: apart.name,
        line: sheet.line(item),
        file: sheet.file_of(item).map(|file| file.name.clone()),
        verdict: code(line.verdict),
        a: apart.a.unwrap_or_default(),
        b: apart.b,
        slips: line.slips.clone(),
        said: with_name(called(builder, difference), said(line.verdict)),
        more: apart.more,
        parts: shown,
        counts: line.size > 0.0 && line.verdict != Verdict::WithinBoth,
        shares: Named(
            parts
                .iter()
                .map(|(answer, part)| (answer.name.clone(), part.to_plain()))
                .collect(),
        ),
    })
}

/// What else is taken over in one with a line, and whether one of it comes first.
fn taken_over_with(builder: &Builder<'_>, line: &Questioned) -> Option<(bool, String)> {
    let members = &builder.found.changes.get(line.change?)?.members;
    let others = members.iter().copied().filter(|member| *member != line.difference);
    let mine = |place: &usize| {
        builder
            .found
            .differences
            .get(*place)
            .is_some_and(|difference| difference.a.is_some())
    };
    let later = others.clone().filter(mine).any(|other| other < line.difference);
    let names = others.filter_map(|other| Some(builder.found.differences.get(other)?.share_name()));
    let names: Vec<String> = names.collect();
    (!names.is_empty()).then(|| (later, names.join(" and ")))
}

fn code(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::BeyondBoth(_) => "beyond-both",
        Verdict::WithinBoth => "within-both",
        Verdict::NoTolerance => "other-value",
        Verdict::KnownOtherwise => "known-otherwise",
        Verdict::OtherFormula => "other-formula",
        Verdict::OtherReadings => "other-readings",
        Verdict::Alone => "only-in-a",
    }
}

fn with_name(name: Option<String>, said: Option<String>) -> Option<String> {
    match (name, said) {
        (Some(name), Some(said)) => Some(format!("{name} · {said}")),
        (name, said) => name.or(said),
    }
}

/// Under which other name the second has a line.
fn called(builder: &Builder<'_>, difference: &Difference) -> Option<String> {
    let (mine, theirs) = (builder.a.thing(difference.a?)?, builder.b.thing(difference.b?)?);
    (mine.name != theirs.name).then(|| format!("{} in B", theirs.name))
}

/// What a code doesn't say by what both write.
fn said(verdict: Verdict) -> Option<String> {
    match verdict {
        Verdict::BeyondBoth(times) => {
            let times =
                Number::from_f64(times).map_or_else(|_| String::new(), |times| times.round_significant(2).to_plain());
            Some(format!("{times} times as far apart as both ± allow"))
        }
        Verdict::WithinBoth => Some("within both ±".to_owned()),
        Verdict::NoTolerance => Some("neither has a ±".to_owned()),
        _ => None,
    }
}

/// `load (line 55)`, each line once.
fn shared(sheet: &Sheet, slips: &[(u32, &'static str)]) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for (item, code) in slips {
        let place = sheet.standing_at(*item);
        let one = format!("{code} ({place})");
        if !told.contains(&one) {
            told.push(one);
        }
    }
    told
}
