//! What a diff leaves out for want of time, and lists that nobody reads to their end.
//!
//! Start reading at [`told`].

use crate::study::diff as study;
use crate::time_limit;

/// So much of a list is told even where the time is up.
const ANYWAY: usize = 10_000;

/// Names in a sentence are told up to so many.
const MOST_NAMES: usize = 100;

/// A list as far as there is time for it.
pub(super) fn in_time<T>(all: &[T]) -> impl Iterator<Item = &T> {
    let told = all.iter().enumerate();
    told.take_while(|(place, _)| *place < ANYWAY || !time_limit::is_up())
        .map(|(_, one)| one)
}

/// `a, b, c and 3 more`
pub(super) fn named(names: impl Iterator<Item = String>) -> String {
    let mut names = names.peekable();
    let first: Vec<String> = names.by_ref().take(MOST_NAMES).collect();
    match names.count() {
        0 => first.join(", "),
        more => format!("{} and {more} more", first.join(", ")),
    }
}

/// What there was no time for, in sentences; `told` is how many differences and answers are put into words.
pub(super) fn told(found: &study::Diff, told: (usize, usize)) -> Vec<String> {
    let cut = &found.cut;
    let mut left = Vec::new();
    if cut.renamed {
        left.push("What has another name and means the same was not looked for to the end.".to_owned());
    }
    if let Some(name) = &cut.differences_from {
        left.push(format!("From {name} on nothing was compared."));
    }
    for (all, told, what) in [
        (found.differences.len(), told.0, "differences"),
        (found.answers.len(), told.1, "answers"),
    ] {
        if told < all {
            left.push(format!("Of {all} {what} the first {told} are told."));
        }
    }
    if cut.uses {
        left.push("What rests on which difference was not looked at.".to_owned());
    }
    let parts = [(cut.checks, "checks"), (cut.cases, "cases"), (cut.wording, "wording")];
    let parts: Vec<&str> = parts.iter().filter(|(cut, _)| *cut).map(|(_, part)| *part).collect();
    if !parts.is_empty() {
        left.push(format!("Not compared: {}.", parts.join(", ")));
    }
    left
}
