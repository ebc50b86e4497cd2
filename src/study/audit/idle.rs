//! What is known and counts in no answer, and whether it looks forgotten.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::EntryKind;
use crate::trade::habits::{NOT_USED, SWAP_NOT_TAKEN};
use crate::trade::{Function, Parameter, ParameterKind, ResultKind, Shape};
use crate::unit::{Kind, conversion};

use super::ground::{Ground, cell_of, is_plain, parts, terms};
use super::quantities::quantities;
use super::slips::Slips;
use super::weighed::CAPACITY;
use super::{Subject, all_cells};

/// What a line says that is there for no reckoning.
const FOR_THE_RECORD: &[&str] = &[
    "record",
    "not used",
    "unused",
    "used nowhere",
    "no line uses it",
    "traceability",
    "refundable",
    "refunded",
    "only to know",
    "wrote it down",
    "for information",
    "kept apart",
    "for comparison",
    "awg",
];

/// No more than so many that nothing uses are each a slip.
const FEW_UNUSED: usize = 2;

/// What belongs into a sum or a product by its words, and that no answer uses.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let ends: Vec<CellId> = all_cells(sheet)
        .filter(|cell| sheet.entry(*cell).is_none_or(|entry| entry.kind == EntryKind::Answer))
        .collect();
    if ends.is_empty() {
        return;
    }
    swap_not_taken(slips, &ends);
    let reaches = |cell: CellId| ends.iter().any(|end| *end != cell && ground.rests_on(*end, cell));
    // what a table was read at, by the line that has what it says there
    let read_at = |cell: CellId| {
        let value = super::number(sheet, cell).map(|value| value.to_f64());
        let mut lines = all_cells(sheet)
            .filter(|line| *line != cell && ground.is_input(*line) && ground.says(*line, &["table", "card", "chart"]));
        lines.any(|line| {
            quantities(ground.raw(line))
                .iter()
                .any(|named| Some(named.number) == value)
        })
    };
    let idle: Vec<CellId> = all_cells(sheet)
        .filter(|cell| !read_at(*cell))
        .filter(|cell| ground.is_input(*cell) && super::is_number(sheet, *cell) && !reaches(*cell))
        .filter(|cell| !ground.worked().any(|(user, _)| ground.rests_on(user, *cell)))
        .filter(|cell| super::is_sourced(sheet, Subject::Cell(*cell)) && !ground.says(*cell, FOR_THE_RECORD))
        .filter(|cell| !(ground.is_load(*cell) && ground.says(*cell, &["plate", "carton", "rated", "rating", "lpg"])))
        .collect();
    // many that nothing uses are another matter: a list, or the rest of a larger worksheet
    let others = idle.iter().filter(|cell| !ground.is_load(**cell)).count();
    for cell in idle {
        if ground.is_load(cell) {
            super::added::load_left_out(slips, cell);
        } else if others <= FEW_UNUSED && (!sheet.is_time(cell) || ground.is(cell, "h")) {
            let kind = |cell: CellId| ground.shape(cell).map(|shape| shape.kind);
            let like = |other: &CellId| *other != cell && kind(*other) == kind(cell) && reaches(*other);
            let used: Vec<CellId> = all_cells(sheet)
                .filter(|other| ground.is_input(*other) && like(other))
                .collect();
            if !is_known_otherwise(ground, cell, &used) && !is_no_amount(ground, cell) {
                slips.habit(cell, &NOT_USED, used.first().copied(), None);
            }
        }
    }
}

/// Values within so much of each other are two of one thing: as parts, in decibels, in Fahrenheit degrees.
const ALIKE: (f64, f64, f64) = (2.0, 12.0, 40.0);

/// Whether what nothing uses stands beside others of its kind and size that count, of which none is
/// added to another; or beside what is worked out.
fn is_known_otherwise(ground: &Ground<'_>, idle: CellId, used: &[CellId]) -> bool {
    let kind = |cell: CellId| ground.shape(cell).map(|shape| shape.kind);
    let added = |input: &CellId| ground.worked().any(|(_, formula)| is_added(ground, formula, *input));
    let made = || {
        let like = ground.worked().filter(|(cell, _)| kind(*cell) == kind(idle));
        like.map(|(cell, _)| cell).collect::<Vec<CellId>>()
    };
    let beside = if used.is_empty() { made() } else { used.to_vec() };
    !used.iter().any(added) && beside.into_iter().any(|other| stands_for(ground, idle, other))
}

/// Whether the one may be known instead of the other: last year's price, the level at another load.
fn stands_for(ground: &Ground<'_>, idle: CellId, used: CellId) -> bool {
    let number = |cell: CellId| super::number(ground.sheet, cell).map(|number| number.to_f64());
    let (Some(kind), Some((one, other))) = (
        ground.shape(idle).map(|shape| shape.kind),
        number(idle).zip(number(used)),
    ) else {
        return false;
    };
    match kind {
        Kind::Level => (one - other).abs() <= ALIKE.1,
        Kind::Quantity(of) if of.is_point() => {
            let way = conversion(of, super::unit("°F"));
            way.is_some_and(|way| (way.apply_f64(one) - way.apply_f64(other)).abs() <= ALIKE.2)
        }
        Kind::Quantity(_) if is_plain(kind) => false,
        Kind::Quantity(_) => one * other > 0.0 && (one / other).ln().abs() <= ALIKE.0.ln(),
        _ => false,
    }
}

/// Whether a formula adds an input to another of its kind: a further one may belong into the sum.
fn is_added(ground: &Ground<'_>, formula: &Typed, input: CellId) -> bool {
    let kind = |cell: CellId| ground.shape(cell).map(|shape| shape.kind);
    let like = |cell: &CellId| ground.is_input(*cell) && kind(*cell) == kind(input);
    parts(formula).into_iter().any(|part| {
        let added: Vec<CellId> = match &part.node {
            Node::Call(function, levels) if adds_levels(function) => levels.iter().filter_map(cell_of).collect(),
            _ => {
                let up = terms(part).into_iter().filter(|(up, _)| *up);
                up.filter_map(|(_, term)| cell_of(term)).collect()
            }
        };
        added.contains(&input) && added.iter().filter(|cell| like(cell)).count() > 1
    })
}

/// Whether a function makes one level of several.
fn adds_levels(function: &Function) -> bool {
    let several = |parameter: &Parameter| parameter.shape == Shape::Several && parameter.kind == ParameterKind::Level;
    function.result == ResultKind::Level && function.parameters.first().is_some_and(several)
}

/// A plain whole number from here on is the name of something: of a dealer, a meter, a year.
const NO_COUNT: f64 = 1000.0;

/// Whether an input is nothing that a reckoning takes: what is stamped of water, a number that
/// only names.
fn is_no_amount(ground: &Ground<'_>, cell: CellId) -> bool {
    let names = ground.shape(cell).is_some_and(|shape| is_plain(shape.kind))
        && ground
            .value(cell, "")
            .is_some_and(|number| number >= NO_COUNT && number.fract() == 0.0);
    let holds = ground.is(cell, "lb") || ground.is(cell, "gal");
    names || holds && (ground.says(cell, CAPACITY) || ground.says(cell, &["water"]))
}

/// What is left at the swap, known and asked about, and in no runtime.
fn swap_not_taken(slips: &mut Slips<'_>, ends: &[CellId]) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let answers: Vec<CellId> = ends
        .iter()
        .copied()
        .filter(|cell| sheet.entry(*cell).is_some())
        .collect();
    let Some(lasts) = answers.iter().copied().find(|answer| ground.is(*answer, "h")) else {
        return;
    };
    let stays = ["swap", "swap at", "reserve", "heel", "stays in", "left in it", "leave"];
    let only_checked = |cell: &CellId| {
        let asked = ends.iter().any(|end| ground.rests_on(*end, *cell));
        asked && !answers.iter().any(|answer| ground.rests_on(*answer, *cell))
    };
    let known =
        all_cells(sheet).filter(|cell| ground.is_input(*cell) && ground.is(*cell, "lb") && ground.says(*cell, &stays));
    if let Some(left) = known.into_iter().find(only_checked) {
        slips.habit(left, &SWAP_NOT_TAKEN, Some(lasts), None);
    }
}
