//! Hose and regulator on the scale, by what lines and the rows of tables say.
//!
//! Start reading at [`look`] and [`in_rows`].

use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::typed::Typed;
use crate::trade::Built;
use crate::trade::forms::HOSE_IN_ROWS;
use crate::unit::Kind;

use super::all_cells;
use super::ground::{Ground, argument, cell_of, column_of, has_word, is_of, plain, terms};
use super::paired::row_of;
use super::slip::Slip;
use super::slips::Slips;

/// What hangs on a cylinder.
pub(super) const HUNG: &[&str] = &["hose", "regulator", "pigtail"];
/// That it hangs there.
const ON: &[&str] = &[
    "on",
    "with hose",
    "with the hose",
    "with regulator",
    "as it stood",
    "as it hung",
    "with the regulator",
    "and all",
    "hanging on",
    "hung on",
    "attached",
    "connected",
    "as it stands",
    "still on",
    "left on",
];
/// That it doesn't.
pub(super) const OFF: &[&str] = &[
    "off",
    "without",
    "no hose",
    "removed",
    "disconnected",
    "bare",
    "unscrewed",
    "alone",
    "apart",
    "afterwards",
    "ohne",
];

/// Looks for weighings of one table with the hose on here and off there.
pub(super) fn look(slips: &mut Slips<'_>) {
    for (cell, formula) in slips.ground.works() {
        apart(slips, cell, formula);
    }
}

/// Whether what is said tells that hose or regulator hung on the scale.
pub(super) fn is_said(says: impl Fn(&[&str]) -> bool) -> bool {
    let plainly = ["hose on", "regulator on", "hose and regulator on", "with the hose on"];
    says(&plainly) || says(HUNG) && says(ON) && !says(OFF)
}

/// Whether a part is what the scale showed in rows of a table, all with the hose on.
pub(super) fn in_rows(ground: &Ground<'_>, part: &Typed) -> bool {
    let Some((slot, rows)) = read_in(ground, part) else {
        return false;
    };
    !rows.is_empty() && rows.into_iter().all(|row| hung(ground.sheet, slot, row) == Some(true))
}

/// The column that a part is read in, and the rows of it, counted from 0.
fn read_in(ground: &Ground<'_>, part: &Typed) -> Option<(u32, Vec<usize>)> {
    // by a line of its own
    let part = cell_of(part)
        .and_then(|cell| ground.formulas.get(&cell))
        .unwrap_or(part);
    let of = |wanted: Built| argument(part, wanted).and_then(column_of);
    let rows = |slot: u32| ground.sheet.column_cells(slot).len();
    let at = row_of(part).map(|(slot, row)| (slot, vec![row.saturating_sub(1)]));
    of(Built::First)
        .map(|slot| (slot, vec![0]))
        .or_else(|| of(Built::Last).map(|slot| (slot, vec![rows(slot).saturating_sub(1)])))
        .or(at)
        .or_else(|| column_of(part).map(|slot| (slot, (0..rows(slot)).collect())))
}

/// Whether the hose is on in a row, by a column for it, or by what the table says of all rows.
fn hung(sheet: &Sheet, slot: u32, row: usize) -> Option<bool> {
    let table = sheet.tables().get(sheet.table_column(slot)?.table as usize)?;
    let told = |slot: &u32| {
        let column = sheet.table_column(*slot).filter(|column| column.kind == Kind::Text)?;
        let text = plain(sheet.texts().text((*column.cells.get(row)?)?));
        let hose = has_word(&plain(&column.name), HUNG) || has_word(&text, HUNG);
        match (
            has_word(&text, &["on", "with", "yes"]),
            has_word(&text, &["off", "without", "no"]),
        ) {
            (true, false) if hose => Some(true),
            (false, true) if hose => Some(false),
            _ => None,
        }
    };
    let by_table = || {
        let first = plain(sheet.tree().text_of(table.item as usize).lines().next()?);
        is_said(|words| has_word(&first, words)).then_some(true)
    };
    table.columns.iter().find_map(told).or_else(by_table)
}

/// The first weighing of a table less the last, one with the hose on and one without.
fn apart(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let [(true, one), (false, other)] = terms(formula)[..] else {
        return;
    };
    if !is_of(formula.kind, "lb") {
        return;
    }
    let end = |part: &Typed| match read_in(ground, part)? {
        (slot, rows) if rows.len() == 1 => Some((slot, hung(ground.sheet, slot, *rows.first()?)?)),
        _ => None,
    };
    let Some(((slot, first), (also, last))) = end(one).zip(end(other)) else {
        return;
    };
    if slot != also || first == last {
        return;
    }
    let hose = all_cells(ground.sheet).filter(|hose| ground.says(*hose, &["hose", "regulator"]));
    let pounds = hose
        .into_iter()
        .find_map(|hose| ground.value(hose, "lb").filter(|pounds| *pounds < 5.0));
    let mend = pounds.zip(ground.value(cell, "lb"));
    let mend = mend.and_then(|(pounds, now)| ground.at(cell, now - pounds, "lb"));
    slips.add(cell, Slip::Habit(&HOSE_IN_ROWS, None), mend);
}
