//! Cautions: each once, with the entries it comes from.
//!
//! Start reading at [`cautions`].

use std::collections::{BTreeMap, BTreeSet};

use crate::sheet::Sheet;
use crate::sheet::appraisal::Cautioned;
use crate::sheet::names::CellId;
use crate::trade;
use crate::trade::caution::CAUTIONS;

use super::super::model::{Caution, Weight};

/// The cautions found, those of one kind and wording together, in the order of the trade;
/// and which of these answers rest on what raised them.
pub(super) fn cautions(sheet: &Sheet, found: &[Cautioned], answers: &[CellId]) -> Vec<Caution> {
    let mut grouped: BTreeMap<(usize, &str), (&Cautioned, BTreeSet<CellId>)> = BTreeMap::new();
    for cautioned in found {
        let place = CAUTIONS
            .iter()
            .position(|caution| caution.code == cautioned.caution.code)
            .unwrap_or(CAUTIONS.len());
        let key = (place, cautioned.text.as_str());
        grouped
            .entry(key)
            .or_insert_with(|| (cautioned, BTreeSet::new()))
            .1
            .insert(cautioned.cell);
    }
    let resting: Vec<(String, BTreeSet<CellId>)> = match grouped.is_empty() {
        true => Vec::new(),
        false => answers.iter().filter_map(|answer| resting(sheet, *answer)).collect(),
    };
    // of one code the first in the worksheet comes first
    let mut grouped: Vec<_> = grouped.into_iter().collect();
    grouped.sort_by_key(|((place, _), (_, cells))| (*place, cells.first().copied()));
    let told = grouped.into_iter().map(|(_, (cautioned, cells))| {
        let text = if cautioned.text.is_empty() {
            cautioned.caution.text
        } else {
            &cautioned.text
        };
        let source = cautioned.caution.source;
        let names = told_as(sheet, &cells);
        let rest = resting
            .iter()
            .filter(|(_, needed)| cells.iter().any(|cell| needed.contains(cell)));
        Caution {
            code: cautioned.caution.code.to_owned(),
            weight: weight(cautioned.caution.weight),
            brief: cautioned.caution.brief,
            answers: rest.map(|(name, _)| name.clone()).collect(),
            accuses: cautioned.caution.accuses_readings(),
            file: only_file(sheet, &cells),
            text: text.to_owned(),
            source: format!("{} ({})", source.title, source.standing.word()),
            names,
        }
    });
    told.collect()
}

fn weight(of: trade::Weight) -> Weight {
    match of {
        trade::Weight::Danger => Weight::Danger,
        trade::Weight::Plan => Weight::Plan,
        trade::Weight::Note => Weight::Note,
    }
}

/// An answer by name, and all that it rests on.
fn resting(sheet: &Sheet, answer: CellId) -> Option<(String, BTreeSet<CellId>)> {
    let needed = sheet.needed_by(answer).into_iter();
    Some((sheet.name_of(answer)?.to_owned(), needed.collect()))
}

/// The worksheet that all of these cells stand in, where it is another.
fn only_file(sheet: &Sheet, cells: &BTreeSet<CellId>) -> Option<String> {
    let mut files = cells.iter().map(|cell| sheet.file_of(sheet.item_of(*cell)));
    let first = files.next()??;
    files
        .all(|file| file.is_some_and(|file| file.first == first.first))
        .then(|| first.name.clone())
}

/// The entries by name; checks have none, and stand by their lines where they are alone.
fn told_as(sheet: &Sheet, cells: &BTreeSet<CellId>) -> Vec<String> {
    let named = |cell: &CellId| {
        let name = sheet.name_of(*cell)?;
        Some(match sheet.file_of(sheet.item_of(*cell)) {
            Some(file) => format!("{name} of {}", file.name),
            None => name.to_owned(),
        })
    };
    let names: Vec<String> = cells.iter().filter_map(named).collect();
    if !names.is_empty() {
        return names;
    }
    let places = cells.iter().map(|cell| sheet.standing_at(sheet.item_of(*cell)));
    places.map(|place| format!("the check in {place}")).collect()
}
