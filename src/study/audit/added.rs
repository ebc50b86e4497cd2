//! What goes wrong where loads and prices are put together.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::names::{CellId, ColumnId};
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::Node as Line;
use crate::trade::{Body, Built, ParameterKind, ResultKind};

use super::ground::{cell_of, constant, factors, has_word, in_unit, is_of, parts, plain, terms};
use super::slip::Slip;
use super::slips::Slips;

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in &ground.formulas {
        for part in parts(formula) {
            start_on_top(slips, *cell, part);
            rests_twice(slips, *cell, part);
        }
        gallons(slips, *cell, formula);
    }
}

fn call(part: &Typed, wanted: Built) -> Option<&Typed> {
    match &part.node {
        Node::Call(function, arguments) if matches!(function.body, Body::Built(built) if built == wanted) => {
            arguments.first()
        }
        Node::Convert(inner, _) => call(inner, wanted),
        _ => None,
    }
}

fn column(slips: &Slips<'_>, part: &Typed) -> Option<u32> {
    match &part.node {
        Node::Convert(inner, _) => column(slips, inner),
        Node::Column(ColumnId(slot)) => slips.ground.sheet.table_column(*slot).map(|_| *slot),
        _ => None,
    }
}

/// All that runs and the largest start: what starts already runs in the sum.
fn start_on_top(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    if !is_of(part.kind, "W") || !matches!(part.node, Node::Arithmetic(..)) {
        return;
    }
    let terms = terms(part);
    let find = |wanted: Built| {
        let mut up = terms.iter().filter(|(up, _)| *up);
        up.find_map(|(_, term)| column(slips, call(term, wanted)?))
    };
    let (Some(running), Some(starting)) = (find(Built::Sum), find(Built::Max)) else {
        return;
    };
    let name = slips
        .ground
        .sheet
        .table_column(starting)
        .map(|column| plain(&column.name));
    let starts = ["start", "starting", "surge", "inrush", "locked"];
    if !name.is_some_and(|name| has_word(&name.replace('_', " "), &starts)) || terms.len() != 2 || running == starting {
        return;
    }
    let cells = |slot: u32| slips.ground.sheet.column_cells(slot);
    let watts = cells(running).iter().zip(cells(starting));
    let watts: Vec<(f64, f64)> = watts
        .filter_map(|(run, start)| Some((run.as_ref()?.to_f64(), start.as_ref()?.to_f64())))
        .collect();
    let all: f64 = watts.iter().map(|(run, _)| run).sum();
    let extra = watts.iter().map(|(run, start)| start - run).fold(0.0, f64::max);
    let mend = Number::from_f64(all + extra).ok().map(|value| (cell, value));
    slips.add(cell, Slip::StartOnTop, mend);
}

/// Watts that are a mean over the day, times hours of use.
fn rests_twice(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let Some(inner) = call(part, Built::Sum) else { return };
    let columns: Vec<u32> = factors(inner)
        .iter()
        .filter_map(|(_, factor)| column(slips, factor))
        .collect();
    let sheet = slips.ground.sheet;
    let of = |unit: &str| {
        let mut slots = columns.iter().copied();
        slots.find(|slot| {
            sheet
                .table_column(*slot)
                .is_some_and(|column| is_of(column.kind, unit) && (unit == "W") == is_of(column.kind, "W"))
        })
    };
    let (Some(watts), Some(hours)) = (of("W"), of("h/d").or_else(|| of("h"))) else {
        return;
    };
    let known = |slot: u32| sheet.table_column(slot).map(|column| column.name.replace('_', " "));
    let table = sheet
        .table_column(watts)
        .and_then(|column| sheet.tables().get(column.table as usize));
    let Some(said) = table.map(|table| said(slips, table.item)) else {
        return;
    };
    let said = format!("{said}{}", plain(&known(watts).unwrap_or_default()));
    let rests = sheet
        .column_cells(hours)
        .iter()
        .flatten()
        .any(|hours| hours.to_f64() < 24.0 && !hours.is_zero());
    let mean = [
        "mean",
        "an average",
        "averaged",
        "over a day",
        "for a day",
        "24 h",
        "day s average",
    ];
    if rests && has_word(&said, &mean) {
        slips.add(cell, Slip::RestsTwice, None);
    }
}

/// What a table says, and the prose before it in its section.
fn said(slips: &Slips<'_>, item: u32) -> String {
    let tree = slips.ground.sheet.tree();
    let before = tree.items.iter().enumerate().take(item as usize + 1).rev();
    let section = before.take_while(|(_, line)| !matches!(line.node, Line::Heading(_)));
    let texts = section.filter(|(place, line)| *place == item as usize || matches!(line.node, Line::Prose(_)));
    // what is said last comes first: order doesn't matter to words
    texts
        .map(|(place, _)| plain(tree.text_of(place).lines().next().unwrap_or("")))
        .collect()
}

/// A price by the gallon with a density of another temperature than 60 °F.
fn gallons(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let by_temperature = parts(formula).into_iter().find_map(|part| match &part.node {
        Node::Call(function, arguments) if function.result == ResultKind::Quantity("lb/gal") => {
            let first = function.parameters.first()?;
            matches!(first.kind, ParameterKind::Quantity("°F" | "°C")).then_some(arguments.first()?)
        }
        _ => None,
    });
    let Some(at) = by_temperature else { return };
    let written = constant(at).and_then(|(kind, number)| in_unit(kind, number, "°F"));
    let named = cell_of(at).and_then(|cell| ground.value(cell, "°F"));
    if written.or(named).is_some_and(|degrees| (degrees - 60.0).abs() < 2.0) {
        return;
    }
    let prices = |cell: CellId| ground.is(cell, "$/gal");
    let mut users = ground
        .sheet
        .cells_in_order()
        .into_iter()
        .filter(|user| ground.rests_on(*user, cell));
    let priced = users.find(|user| {
        ground.needs(*user).any(prices)
            && (ground.is(*user, "$")
                || ground.is(*user, "$/h")
                || ground.is(*user, "$/kWh")
                || ground.is(*user, "$/lb"))
    });
    if priced.is_some() {
        let right = ground.own(cell, 4.23, "lb/gal");
        slips.add(cell, Slip::OtherGallon, right.map(|right| (cell, right)));
    }
}
