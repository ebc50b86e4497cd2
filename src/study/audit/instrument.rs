//! Readings of one instrument, whose ± are taken as independent.
//!
//! A scale that is out by a steady amount shifts all its readings alike; nothing in a
//! worksheet tells how much of a ± is of that kind. Start reading at [`look`].

use std::collections::BTreeMap;

use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::syntax::tree::{Entry, EntryKind, Value};
use crate::unit::{Kind, conversion};

use super::finding::{Finding, Findings};
use super::{Rests, Subject, all_cells, rests_on};

/// Tells at the last reading of an instrument that an answer rests on others of it.
pub(super) fn look(sheet: &Sheet, answers: &[CellId], found: &mut Findings) {
    let mut readings: BTreeMap<String, Vec<CellId>> = BTreeMap::new();
    for cell in all_cells(sheet) {
        if let Some(instrument) = instrument_of(sheet, cell) {
            readings.entry(instrument.to_lowercase()).or_default().push(cell);
        }
    }
    readings.retain(|_, cells| cells.len() > 1);
    if readings.is_empty() {
        return;
    }
    let rests = rests_on(sheet, answers);
    for cells in readings.values() {
        let Some((last, before)) = cells.split_last() else {
            continue;
        };
        let met = |other: &&CellId| is_alike(sheet, **other, *last) && meet(&rests, **other, *last);
        let others: Vec<CellId> = before.iter().filter(met).copied().collect();
        if let (Some(instrument), false) = (instrument_of(sheet, *last), others.is_empty()) {
            let instrument = instrument.to_owned();
            found.add(Subject::Cell(*last), Finding::OneInstrument { instrument, others });
        }
    }
}

/// What a measured value with a ± was read off: its source up to the first comma.
fn instrument_of(sheet: &Sheet, cell: CellId) -> Option<&str> {
    let entry = sheet.entry(cell).filter(|entry| has_tolerance(entry))?;
    if entry.kind != EntryKind::Measured || sheet.held(cell).is_some() {
        return None;
    }
    let source = &entry.source.as_ref()?.text;
    let instrument = source.split([',', ';', ':', '(']).next()?.trim();
    (!instrument.is_empty()).then_some(instrument)
}

fn has_tolerance(entry: &Entry) -> bool {
    let value = entry.value.as_ref();
    matches!(value, Some(Value::Given { tolerance: Some(_), .. }))
}

/// Whether both are of one kind, so that one instrument can have told them on one scale.
fn is_alike(sheet: &Sheet, one: CellId, other: CellId) -> bool {
    let unit = |cell| match sheet.shape(cell)?.kind {
        Kind::Quantity(unit) => Some(unit),
        _ => None,
    };
    let units = unit(one).zip(unit(other));
    units.is_some_and(|(one, other)| conversion(one, other).is_some())
}

/// Whether an answer rests on both.
fn meet(rests: &Rests, one: CellId, other: CellId) -> bool {
    rests
        .values()
        .any(|needs| needs.contains(&one) && needs.contains(&other))
}
