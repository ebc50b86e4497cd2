//! What everything is worked out for: the worksheet, its case, its trials.
//!
//! Start reading at [`in_hand`].

use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::syntax::tree::Node;

use super::super::in_hand::InHand;
use super::{Options, one_entry};

/// The worksheet of that file, with its case and its trials.
pub fn in_hand(sheet: &Sheet, file: &str, options: Options) -> InHand {
    InHand {
        title: title(sheet),
        file: file.to_owned(),
        case: sheet.case().map(|case| case.name.clone()),
        case_title: sheet.case().and_then(|case| case.title.clone()),
        trials: trials(sheet, options),
    }
}

/// The worksheet's title.
pub(super) fn title(sheet: &Sheet) -> Option<String> {
    let items = sheet.tree().items.iter().enumerate();
    let mut headings = items.filter_map(|(index, item)| match &item.node {
        Node::Heading(heading) if heading.level == 1 => Some(heading.title.of(sheet.tree().text_of(index)).to_owned()),
        _ => None,
    });
    headings.next()
}

/// The trials as they could be typed.
pub(super) fn trials(sheet: &Sheet, options: Options) -> Vec<String> {
    let cells: Vec<CellId> = sheet.trials().collect();
    let in_tables = sheet
        .held_cells()
        .map(|(_, held)| format!("{} = {}", held.name, held.written));
    if cells.is_empty() {
        return in_tables.collect();
    }
    let appraisal = sheet.appraise(cells.iter().copied());
    let entries = cells
        .iter()
        .filter_map(|cell| one_entry(sheet, *cell, options, &appraisal, None));
    entries
        .map(|entry| format!("{} = {}", entry.name, entry.shown.display()))
        .chain(in_tables)
        .collect()
}
