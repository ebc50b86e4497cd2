//! Compare: the base and every case looked at one after another.
//!
//! Trials are held in every one of them. What is looked at is the caller's;
//! each is a copy of the worksheet. Start reading at [`compare`].

use std::cell::OnceCell;

use crate::number::Number;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::names::CellId;
use crate::sheet::{Case, Sheet};
use crate::time_limit;
use crate::unit::Kind;

/// The base or a case, with what was seen in it.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Scene<T> {
    /// The case's name; `None` for the base.
    pub name: Option<String>,
    /// Its title.
    pub title: Option<String>,
    /// What it puts in place of inputs, in the order of its lines.
    pub replaced: Vec<Replaced>,
    /// What was seen.
    pub seen: T,
}

/// An input that a case replaces.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Replaced {
    /// The input.
    pub of: ReplacedOf,
    /// The value as the case writes it.
    pub written: String,
    /// Where the case has it from.
    pub source: Option<String>,
    /// Whether a trial stands in its way.
    pub set_aside: bool,
}

/// What a case replaces.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum ReplacedOf {
    /// The value of an entry.
    Entry(CellId),
    /// A cell of a table, as it was called, with its kind and what it is in the base.
    Cell(String, Kind, Option<Number>),
}

/// So many cases are looked at, each of which is kept with what was seen in it.
pub(crate) const MOST_CASES: usize = 100_000;

/// Looks at the base, then at every case in file order, as long as there is time.
pub(crate) fn compare<T>(sheet: &Sheet, mut look: impl FnMut(&Sheet) -> T) -> Vec<Scene<T>> {
    let base = OnceCell::new();
    let scene = |case: Option<&Case>| {
        let copy = sheet.in_case(case.map(|case| case.name.as_str()))?;
        Some(Scene {
            name: case.map(|case| case.name.clone()),
            title: case.and_then(|case| case.title.clone()),
            replaced: case.map_or_else(Vec::new, |case| replaced((sheet, &base), case)),
            seen: look(&copy),
        })
    };
    let cases = std::iter::once(None).chain(sheet.cases().iter().take(MOST_CASES).map(Some));
    let mut scenes = Vec::new();
    for found in cases.filter_map(scene) {
        // what was looked at when the time ran out may lack a value for want of time alone
        if !scenes.is_empty() && time_limit::is_up() {
            break;
        }
        scenes.push(found);
    }
    scenes
}

/// Whether a worksheet has trials, and no case that they could stand in.
pub(crate) fn is_tried_alone(sheet: &Sheet) -> bool {
    sheet.cases().is_empty() && (sheet.trials().next().is_some() || sheet.held_cells().next().is_some())
}

/// Looks at the worksheet as it is written, then at it with its trials, by that name.
pub(crate) fn beside_trials<T>(sheet: &Sheet, name: &str, mut look: impl FnMut(&Sheet) -> T) -> Vec<Scene<T>> {
    let mut written = sheet.clone();
    let cells: Vec<CellPlace> = sheet.held_cells().map(|(place, _)| place).collect();
    sheet.trials().for_each(|trial| drop(written.release(trial)));
    cells.iter().for_each(|place| written.release_cell(*place));
    let entries = sheet.trials().filter_map(|cell| {
        let held = sheet.held(cell)?;
        Some((ReplacedOf::Entry(cell), &held.written, &held.source))
    });
    let cells = sheet.held_cells().filter_map(|(place, held)| {
        let kind = sheet.table_column(place.slot)?.kind;
        let before = written
            .column_cells(place.slot)
            .get(place.row as usize)
            .copied()
            .flatten();
        Some((
            ReplacedOf::Cell(held.name.clone(), kind, before),
            &held.written,
            &held.source,
        ))
    });
    let replaced = entries.chain(cells).map(|(of, written, source)| Replaced {
        of,
        written: written.clone(),
        source: source.clone(),
        set_aside: false,
    });
    let tried = Scene {
        name: Some(name.to_owned()),
        title: None,
        replaced: replaced.collect(),
        seen: look(sheet),
    };
    let base = Scene {
        name: None,
        title: None,
        replaced: Vec::new(),
        seen: look(&written),
    };
    vec![base, tried]
}

fn replaced((sheet, base): (&Sheet, &OnceCell<Option<Sheet>>), case: &Case) -> Vec<Replaced> {
    let on_trial = |cell: CellId| sheet.trials().any(|trial| trial == cell);
    let lines = case.held.iter().map(|(cell, held)| Replaced {
        of: ReplacedOf::Entry(*cell),
        written: held.written.clone(),
        source: held.source.clone(),
        set_aside: on_trial(*cell),
    });
    let in_base = |place: CellPlace| {
        let base = base.get_or_init(|| sheet.in_case(None));
        let column = base.as_ref()?.column_cells(place.slot);
        column.get(place.row as usize).copied().flatten()
    };
    let cells = case.cells.iter().filter_map(|(place, held)| {
        let kind = sheet.table_column(place.slot)?.kind;
        Some(Replaced {
            of: ReplacedOf::Cell(held.name.clone(), kind, in_base(*place)),
            written: held.written.clone(),
            source: held.source.clone(),
            set_aside: sheet.held_cells().any(|(tried, _)| tried == *place),
        })
    });
    lines.chain(cells).collect()
}

/// In how many rows two columns differ, and how many rows there are; a row that one
/// of them lacks counts as different.
pub(crate) fn rows_apart(one: &[Option<Number>], other: &[Option<Number>]) -> (usize, usize) {
    let rows = one.len().max(other.len());
    let apart = (0..rows).filter(|row| one.get(*row) != other.get(*row)).count();
    (apart, rows)
}
