//! Papers of a class that have the same answers to the letter: one that was handed in twice, or
//! copied.
//!
//! What is right is often written in one way by many, and no wonder. Start reading at [`alike`].

use std::collections::BTreeMap;

use super::class::{Mark, Pupil};

/// So many answers are no chance where one of them is off.
const NO_CHANCE: usize = 3;

/// Those who wrote the same to the letter, by their places: where some of it is off, or one is
/// called like the other and more.
pub(crate) fn alike(pupils: &[Pupil]) -> Vec<Vec<usize>> {
    let mut papers: BTreeMap<Vec<&str>, Vec<(usize, &Pupil)>> = BTreeMap::new();
    for (place, pupil) in pupils.iter().enumerate() {
        let written = pupil.answers.iter().map(|answer| answer.written.as_str());
        papers.entry(written.collect()).or_default().push((place, pupil));
    }
    let groups = papers.into_iter().filter_map(|(written, same)| {
        let count = written.iter().filter(|answer| !answer.is_empty()).count();
        let off = same.first().is_some_and(|(_, pupil)| is_off(pupil));
        let related = |name: &str| {
            let mut others = same.iter().filter(|(_, other)| other.name != name);
            others.any(|(_, other)| is_copy(name, &other.name) || is_copy(&other.name, name))
        };
        let told = same
            .iter()
            .filter(|(_, pupil)| off && count >= NO_CHANCE || related(&pupil.name));
        let places: Vec<usize> = told.map(|(place, _)| *place).collect();
        (count > 0 && places.len() > 1).then_some(places)
    });
    let mut groups: Vec<Vec<usize>> = groups.collect();
    groups.sort();
    groups
}

fn is_off(pupil: &Pupil) -> bool {
    let off = |mark| !matches!(mark, Mark::Right | Mark::Blank);
    pupil.answers.iter().any(|answer| off(answer.mark))
}

/// Whether a name is another one with something before or behind it, or the same but for its file.
fn is_copy(name: &str, other: &str) -> bool {
    let other = other.split(" (").next().unwrap_or(other);
    let apart = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
    let behind = name.strip_prefix(other).is_some_and(|rest| apart(rest.chars().next()));
    let before = name
        .strip_suffix(other)
        .is_some_and(|rest| apart(rest.chars().next_back()));
    !other.is_empty() && (behind || before)
}
