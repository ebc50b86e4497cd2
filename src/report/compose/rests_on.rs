//! What a worksheet takes from each that it uses: the values it names, and where they stand.
//!
//! Start reading at [`told`].

use std::collections::BTreeMap;

use crate::sheet::Sheet;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::expressions_of;
use crate::study::marks::Tables;
use crate::syntax::tree::{ExpressionNode, Use};

use super::{Options, shown_values};

/// `prices.tare, here store: per_lb = $0.88/lb ± $0.02/lb (line 6)`
pub(super) fn told(sheet: &Sheet, line: &Use, options: Options) -> String {
    let mut taken: BTreeMap<(u32, String), Option<CellId>> = BTreeMap::new();
    let begins = format!("{}.", line.name.text);
    let tree = sheet.tree();
    for item in &tree.items {
        expressions_of(&item.node, &mut |part| {
            let name = match &part.node {
                ExpressionNode::Name(name) => name.to_string(),
                ExpressionNode::Column(names) => format!("{}.{}", names.0.text, names.1.text),
                _ => return,
            };
            let Some(own) = name.strip_prefix(&begins) else { return };
            let cell = sheet.names().entry_in(part);
            let table = name
                .rsplit_once('.')
                .and_then(|(table, _)| match sheet.names().get(table) {
                    Some(Named::Table(table)) => sheet.tables().get(table as usize),
                    _ => None,
                });
            let place = cell.map(|cell| sheet.item_of(cell)).or(table.map(|table| table.item));
            if let Some(place) = place {
                taken.insert((place, own.to_owned()), cell);
            }
        });
    }
    let single = |cell: &CellId| sheet.shape(*cell).is_some_and(|shape| !shape.column);
    let cells: Vec<CellId> = taken.values().flatten().copied().filter(single).collect();
    let shown = cells.iter().zip(shown_values(sheet, &cells, Tables::Untold, options));
    let shown: BTreeMap<CellId, String> = shown.map(|(cell, shown)| (*cell, shown.display())).collect();
    let each = taken.iter().map(|((item, name), cell)| {
        let value = cell.and_then(|cell| shown.get(&cell));
        let value = value.map_or(String::new(), |value| format!(" = {value}"));
        format!("{name}{value} (line {})", sheet.line(*item))
    });
    let each: Vec<String> = each.collect();
    let taken = match each.is_empty() {
        true => String::new(),
        false => format!(": {}", each.join(", ")),
    };
    format!("{}, here {}{taken}", line.path.text, line.name.text)
}
