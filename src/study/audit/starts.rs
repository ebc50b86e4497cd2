//! Starts that are known and held against nothing, that are all added up, or that nobody asked for.
//!
//! Start reading at [`look`].

use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::trade::Built;
use crate::trade::forms::{ALL_STARTS, NO_START_ASKED};

use super::all_cells;
use super::ground::{Ground, argument, column_of, has_word, in_unit, is_load, parts, plain};
use super::legs::held_against;
use super::slip::Slip;
use super::slips::Slips;

const STARTS: &[&str] = &["start", "starting", "surge", "inrush", "locked", "peak"];
/// What is counted over what runs already.
const EXTRA: &[&str] = &["extra", "additional", "over running", "above running", "on top"];
/// Words for what starts with a motor.
const MOTORS: &[&str] = &[
    "motor",
    "pump",
    "compressor",
    "refrigerator",
    "freezer",
    "fridge",
    "blower",
    "air conditioner",
];
/// A motor takes two to seven times as much while it starts (common practice); few take less than this.
const AT_START: f64 = 3.0;

/// A table with what its loads take running and at the start.
struct Loads {
    running: u32,
    starting: u32,
    /// All of them running.
    all: f64,
    /// All of them running, and the one that starts hardest starting.
    step: f64,
    /// Whether it says that starts are counted over what runs.
    extra: bool,
}

/// Looks at every table of loads, then at motors without a start.
pub(super) fn look(slips: &mut Slips<'_>) {
    for loads in tables(slips.ground.sheet) {
        all_added(slips, &loads);
        left_out(slips, &loads);
    }
    not_asked(slips);
}

fn tables(sheet: &Sheet) -> Vec<Loads> {
    let of_table = |columns: &[u32]| {
        let watts = |slot: &&u32| sheet.table_column(**slot).is_some_and(|column| is_load(column.kind));
        let named = |slot: &u32| {
            let column = sheet.table_column(*slot);
            column.is_some_and(|column| has_word(&plain(&column.name.replace('_', " ")), STARTS))
        };
        let watts: Vec<u32> = columns.iter().filter(watts).copied().collect();
        let (starting, running): (Vec<u32>, Vec<u32>) = watts.into_iter().partition(named);
        match (running.as_slice(), starting.as_slice()) {
            ([running], [starting]) => loads(sheet, *running, *starting),
            _ => None,
        }
    };
    let written = sheet.tables().iter().filter(|table| table.cell.is_none());
    written.filter_map(|table| of_table(&table.columns)).collect()
}

fn loads(sheet: &Sheet, running: u32, starting: u32) -> Option<Loads> {
    let table = sheet.table_column(starting)?.table as usize;
    let first = sheet
        .tree()
        .text_of(sheet.tables().get(table)?.item as usize)
        .lines()
        .next()?;
    let name = &sheet.table_column(starting)?.name;
    let extra = has_word(&plain(&format!("{} {first}", name.replace('_', " "))), EXTRA);
    let watts = |slot: u32| -> Vec<Option<f64>> {
        let kind = sheet.table_column(slot).map(|column| column.kind);
        let cells = sheet.column_cells(slot).iter();
        cells.map(|cell| in_unit(kind?, (*cell)?, "W")).collect()
    };
    let (all, mut hardest) = (watts(running), 0.0_f64);
    for (run, start) in all.iter().zip(watts(starting)) {
        let run = run.unwrap_or(0.0);
        hardest = hardest.max(start.map_or(0.0, |start| if extra { start } else { start - run }));
    }
    let all: f64 = all.into_iter().flatten().sum();
    Some(Loads {
        running,
        starting,
        all,
        step: all + hardest,
        extra,
    })
}

fn is_used(ground: &Ground<'_>, slot: u32) -> bool {
    let mut formulas = ground.formulas.values();
    formulas.any(|formula| parts(formula).into_iter().any(|part| column_of(part) == Some(slot)))
}

/// Whether a part adds up all of a column.
fn sums(part: &Typed, slot: u32) -> bool {
    argument(part, Built::Sum).and_then(column_of) == Some(slot)
}

/// What all take at the start, added up, where nothing says that they start at once.
fn all_added(slips: &mut Slips<'_>, loads: &Loads) {
    let ground = slips.ground;
    let at_once = [
        "at once",
        "together",
        "transfer",
        "simultaneously",
        "same moment",
        "all start",
    ];
    for (cell, formula) in ground.works() {
        if sums(formula, loads.starting) && !loads.extra && !ground.says_near(cell, &at_once) {
            let times = ground.value(cell, "W").map(|now| loads.step / now);
            slips.habit(cell, &ALL_STARTS, None, times);
        }
    }
}

/// Starts that no line uses, where what runs is held against what the set gives for seconds, or
/// where that is known and the hardest start goes beyond it.
fn left_out(slips: &mut Slips<'_>, loads: &Loads) {
    let ground = slips.ground;
    if is_used(ground, loads.starting) || loads.step <= loads.all {
        return;
    }
    let total = ground
        .worked()
        .find(|(_, formula)| parts(formula).iter().any(|part| sums(part, loads.running)));
    let Some((total, _)) = total else { return };
    let gives = ["surge", "starting", "peak", "seconds"];
    let surges = all_cells(ground.sheet)
        .filter(|cell| ground.is_input(*cell) && ground.is_load(*cell) && ground.says(*cell, &gives));
    for surge in surges.collect::<Vec<CellId>>() {
        let Some(watts) = ground.value(surge, "W") else {
            continue;
        };
        let mut users = ground.worked().filter(|(user, _)| ground.rests_on(*user, surge));
        let held = |(user, formula): &(CellId, &Typed)| {
            let all = *user == total || ground.rests_on(*user, total);
            all && parts(formula)
                .into_iter()
                .any(|part| is_load(part.kind) || matches!(part.node, Node::Compare(..)))
        };
        let slip = Slip::StartsLeftOut(loads.step, surge);
        if let Some((user, formula)) = users.find(held) {
            let less = held_against(formula).filter(|(one, other)| (*one, *other) == (surge, total));
            let mend = less.and_then(|_| ground.at(user, watts - loads.step, "W"));
            slips.add(user, slip, mend);
        } else if loads.step > watts && !ground.worked().any(|(user, _)| ground.rests_on(user, surge)) {
            slips.add(total, slip, None);
        }
    }
}

/// A motor alone against a rating, where the worksheet has no word of starts.
fn not_asked(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let tree = ground.sheet.tree();
    let mut lines = (0..tree.items.len()).map(|item| plain(&tree.text_of(item).replace('_', " ")));
    if lines
        .any(|line| has_word(&line, STARTS) || has_word(&line, &["starter", "started", "startup", "inverter drive"]))
    {
        return;
    }
    let rates = [
        "rated",
        "rating",
        "nameplate",
        "running",
        "continuous",
        "set",
        "generator",
    ];
    for (cell, formula) in ground.worked() {
        let Some((one, other)) = held_against(formula) else {
            continue;
        };
        let both = [(one, other), (other, one)];
        let found = both.into_iter().find(|(motor, rated)| {
            let plate = |cell: CellId| ground.is_input(cell) && ground.is_load(cell);
            let watts = ground.value(*motor, "W").zip(ground.value(*rated, "W"));
            let beyond = watts.is_some_and(|(motor, rated)| motor <= rated && AT_START * motor > rated);
            let named =
                ground.says(*motor, MOTORS) && !ground.says(*rated, MOTORS) && ground.says(*rated, rates.as_slice());
            plate(*motor) && plate(*rated) && named && beyond
        });
        if let Some((motor, _)) = found {
            slips.habit(cell, &NO_START_ASKED, Some(motor), None);
            return;
        }
    }
}
