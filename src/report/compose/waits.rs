//! What waits: on what, and how that stands itself.
//!
//! Start reading at [`waiting`].

use std::collections::BTreeSet;

use crate::sheet::names::{CellId, Named};
use crate::sheet::{Sheet, Status};

use super::super::digits;
use super::super::shown::{Awaited, Shown, Standing};

/// What is shown in place of the value of a cell that waits.
pub(super) fn waiting(sheet: &Sheet, cell: CellId) -> Shown {
    match awaited(sheet, cell) {
        waits if waits.is_empty() => Shown::text("waits for something with a problem"),
        waits => digits::waiting(&waits),
    }
}

/// The same where there is room: what is left blank is said to be filled in.
pub(super) fn waiting_in_full(sheet: &Sheet, cell: CellId) -> String {
    let waits = awaited(sheet, cell);
    let blank = waits.iter().filter(|one| one.standing == Standing::Blank).count();
    let told = waiting(sheet, cell).value;
    match blank {
        0 => told,
        all if all == waits.len() => format!("{told}, to be filled in"),
        _ => told,
    }
}

/// What a cell waits on, directly; in place of what is kept back, what that waits on.
pub(super) fn awaited(sheet: &Sheet, cell: CellId) -> Vec<Awaited> {
    if let Some(what) = sheet.awaits(cell) {
        return vec![Awaited {
            name: what.to_owned(),
            place: String::new(),
            standing: Standing::Waits,
        }];
    }
    let told = sheet.waits_on(cell).into_iter().flat_map(|(name, place)| {
        match sheet.cell(&name).filter(|cell| sheet.is_kept_back(*cell)) {
            Some(kept) => awaited(sheet, kept),
            None => vec![Awaited {
                standing: standing(sheet, &name),
                name,
                place,
            }],
        }
    });
    told.collect()
}

/// Whether it has a problem, or waits for something that has one.
pub(super) fn rests_on_a_problem(sheet: &Sheet, cell: CellId) -> bool {
    let mut seen = BTreeSet::new();
    let mut open = vec![cell];
    while let Some(cell) = open.pop() {
        if !seen.insert(cell) {
            continue;
        }
        let waits = match sheet.status(cell) {
            Status::Broken => return true,
            Status::Waits => awaited(sheet, cell),
            Status::Blank | Status::Known => continue,
        };
        if waits.iter().any(|one| one.standing == Standing::Problem) {
            return true;
        }
        open.extend(waits.iter().filter_map(|one| sheet.cell(&one.name)));
    }
    false
}

/// How it stands: a table that a function makes as what it is made of does, a rule is waited on
/// only for its problem.
fn standing(sheet: &Sheet, name: &str) -> Standing {
    if sheet.awaits_rows(name) || sheet.awaits_cells(name) {
        return Standing::Blank;
    }
    let made = match sheet.names().get(name) {
        Some(Named::Table(table)) => sheet.tables().get(table as usize).and_then(|table| table.cell),
        _ => None,
    };
    match made.or(sheet.cell(name)).map(|cell| sheet.status(cell)) {
        Some(Status::Blank) => Standing::Blank,
        Some(Status::Waits) => Standing::Waits,
        Some(Status::Broken | Status::Known) | None => Standing::Problem,
    }
}
