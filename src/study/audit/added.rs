//! What goes wrong where loads and prices are put together.
//!
//! Start reading at [`look`].

use std::collections::BTreeSet;

use crate::sheet::names::{CellId, ColumnId};
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::{EntryKind, Node as Line};
use crate::trade::habits::{LOAD_LEFT_OUT, START_LEFT_OUT};
use crate::trade::{Built, ParameterKind, ResultKind};
use crate::unit::Kind;

use super::currents::MOTORS;
use super::ground::{
    argument, cell_of, constant, factors, has_word, in_unit, is_all_day, is_bare, is_load, is_of, is_plain, parts,
    plain, terms,
};
use super::slip::Slip;
use super::slips::Slips;
use super::{Subject, all_cells};

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.all_works() {
        for part in parts(formula) {
            start_on_top(slips, cell, part);
            own_start_on_top(slips, cell, part);
            rests_twice(slips, cell, part);
            rounded_down(slips, cell, part);
        }
        gallons(slips, cell, formula);
        one_for_all(slips, cell, formula);
        heat_as_power(slips, cell, formula);
    }
    left_out(slips);
    typed_gallons(slips);
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
        up.find_map(|(_, term)| {
            let made = cell_of(term).and_then(|cell| slips.ground.formulas.get(&cell));
            let term = made.unwrap_or(term);
            let row = |part| {
                (wanted == Built::Max)
                    .then(|| argument(part, Built::CellInRow))
                    .flatten()
            };
            column(slips, argument(term, wanted).or_else(|| row(term))?)
        })
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
    slips.add(cell, Slip::StartOnTop, slips.ground.changed(cell, |_| all + extra));
}

/// `all_on + pump_start`, with `pump_run` in the first.
fn own_start_on_top(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    if !is_of(part.kind, "W") || !matches!(part.node, Node::Arithmetic(..)) {
        return;
    }
    let up: Vec<CellId> = terms(part)
        .into_iter()
        .filter_map(|(up, term)| cell_of(term).filter(|_| up))
        .collect();
    let start = up
        .iter()
        .copied()
        .find(|start| ground.is_input(*start) && ground.says(*start, &STARTS));
    let Some(start) = start.filter(|_| up.len() == 2) else {
        return;
    };
    let mut others = up.iter().filter(|other| **other != start);
    let runs = others.find_map(|other| running(slips, start, *other));
    if let Some(run) = runs.filter(|_| !ground.says(start, &ON_TOP)) {
        let mend = ground.value(run, "W").zip(ground.value(cell, "W"));
        let mend = mend.and_then(|(run, now)| ground.at(cell, now - run, "W"));
        slips.add(cell, Slip::StartOnTop, mend);
    }
}

/// What says that something starts, and what says that its watts come on top of those it runs on.
const STARTS: [&str; 6] = ["start", "starts", "starting", "inrush", "surge", "locked rotor"];
const ON_TOP: [&str; 7] = [
    "extra",
    "on top",
    "above running",
    "over running",
    "more than running",
    "additional",
    "beyond running",
];

/// What a name or a source has of how something is on, and not of what it is.
const STATES: [&str; 22] = [
    "start", "starts", "starting", "inrush", "surge", "locked", "rotor", "peak", "run", "runs", "running", "on",
    "steady", "w", "watt", "watts", "kw", "power", "load", "draw", "max", "extra",
];

/// What is never on with the rest.
const APART: [&str; 16] = [
    "never with",
    "never together",
    "never at once",
    "never at the same time",
    "never while",
    "never runs with",
    "never runs while",
    "never on with",
    "not with",
    "not together",
    "not at once",
    "not at the same time",
    "not while",
    "runs alone",
    "only alone",
    "one at a time",
];

/// A load that no sum has. What the same thing takes running gives way to what it takes starting.
pub(super) fn load_left_out(slips: &mut Slips<'_>, load: CellId) {
    let ground = slips.ground;
    let loads = |formula: &Typed| {
        let up = terms(formula)
            .into_iter()
            .filter_map(|(up, term)| cell_of(term).filter(|_| up));
        up.filter(|cell| ground.is_load(*cell)).count()
    };
    let sums = ground.formulas.iter().filter(|(user, formula)| {
        let worked = !ground.is_input(**user);
        worked && is_load(formula.kind) && loads(formula) > 1
    });
    let sums: Vec<CellId> = sums.map(|(sum, _)| *sum).collect();
    let starts = ground.says(load, &STARTS);
    let mut running = sums.iter().filter_map(|sum| Some((*sum, running(slips, load, *sum)?)));
    let running = running.next().filter(|_| starts);
    let Some(sum) = running.map(|(sum, _)| sum).or_else(|| sums.first().copied()) else {
        return;
    };
    // a rating of the set itself is no load
    let of_set = starts && running.is_none() && ground.says(load, &["nameplate", "set", "generator", "inverter"]);
    if of_set || ground.says(load, &APART) {
        return;
    }
    let run = running.filter(|_| !ground.says(load, &ON_TOP)).map(|(_, run)| run);
    let habit = if run.is_some() { &START_LEFT_OUT } else { &LOAD_LEFT_OUT };
    let less = run.map_or(Some(0.0), |run| ground.value(run, "W"));
    let values = ground.value(sum, "W").zip(ground.value(load, "W")).zip(less);
    // a start lasts for seconds: it isn't carried on into a burn
    let lasts = starts && answers_on(slips, sum).any(|answer| !ground.is_load(answer));
    let mend = values.filter(|_| !lasts);
    let mend = mend.and_then(|((now, more), less)| ground.at(sum, now + more - less, "W"));
    slips.add(load, Slip::Habit(habit, Some(sum)), mend);
}

/// The answers that rest on an entry.
fn answers_on<'a>(slips: &'a Slips<'_>, on: CellId) -> impl Iterator<Item = CellId> + 'a {
    let ground = slips.ground;
    let answers = all_cells(ground.sheet).filter(move |cell| ground.rests_on(*cell, on));
    answers.filter(|cell| {
        ground
            .sheet
            .entry(*cell)
            .is_some_and(|entry| entry.kind == EntryKind::Answer)
    })
}

/// What the thing that a line has the start of takes running, of what a sum rests on: by the names,
/// or by what the sources begin with.
fn running(slips: &Slips<'_>, start: CellId, sum: CellId) -> Option<CellId> {
    let ground = slips.ground;
    let thing = |words: String| -> BTreeSet<String> {
        let words = words.split_whitespace().map(str::to_owned);
        words.filter(|word| !STATES.contains(&&**word)).collect()
    };
    let named = |cell: CellId| thing(plain(ground.sheet.name_of(cell).unwrap_or("")));
    let said = |cell: CellId| {
        let source = super::source_of(ground.sheet, Subject::Cell(cell)).unwrap_or_default();
        thing(plain(source.split([',', ';', ':']).next().unwrap_or("")))
    };
    let (name, source) = (named(start), said(start));
    let runs = |cell: &CellId| *cell != start && ground.is_input(*cell) && ground.is_load(*cell);
    let runs: Vec<CellId> = ground.needs(sum).filter(runs).collect();
    let alike = |other: &BTreeSet<String>| !other.is_empty() && (other.is_subset(&name) || name.is_subset(other));
    let by_name = runs.iter().find(|run| named(**run) == name && !name.is_empty());
    let by_name = by_name.or_else(|| runs.iter().find(|run| alike(&named(**run)) && !name.is_empty()));
    let is_motor = MOTORS.iter().any(|motor| source.contains(*motor));
    by_name
        .or_else(|| runs.iter().find(|run| is_motor && said(**run) == source))
        .copied()
}

/// Watts that are a mean over the day, times hours of use.
fn rests_twice(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let Some(inner) = argument(part, Built::Sum) else {
        return;
    };
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
    let all_day = factors(inner).iter().any(|(_, factor)| is_all_day(factor));
    let shares = || of("").filter(|_| all_day);
    let (Some(watts), Some(hours)) = (of("W"), of("h/d").or_else(|| of("h")).or_else(shares)) else {
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
    // a mean goes in with all hours, and is made by them
    let all_hours = has_word(&said, &["24 hours"]) || over_a_day(slips, cell);
    if rests && has_word(&said, &mean) && !all_hours {
        slips.add(cell, Slip::RestsTwice, None);
    }
}

/// Whether a formula divides by the hours of a day.
fn over_a_day(slips: &Slips<'_>, cell: CellId) -> bool {
    let pieces = slips.ground.formulas.get(&cell).map(factors).unwrap_or_default();
    pieces
        .iter()
        .any(|(above, part)| !*above && (is_all_day(part) || is_bare(part, 24.0)))
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

/// Weighings less a tare, by their cells.
fn nets(slips: &Slips<'_>) -> Vec<CellId> {
    let ground = slips.ground;
    let is_net = |formula: &Typed| {
        let terms = terms(formula);
        let tare = |part: &Typed| cell_of(part).is_some_and(|cell| ground.says(cell, &["tare", "tw"]));
        is_of(formula.kind, "lb") && !formula.column && terms.iter().any(|(up, term)| !up && tare(term))
    };
    let nets = ground.formulas.iter().filter(|(_, formula)| is_net(formula));
    nets.map(|(cell, _)| *cell).collect()
}

/// A cylinder that was weighed and counts in no answer, beside one that does.
fn left_out(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let nets = nets(slips);
    let answer = |cell: &CellId| {
        ground
            .sheet
            .entry(*cell)
            .is_some_and(|entry| entry.kind == EntryKind::Answer)
    };
    let answers: Vec<CellId> = ground.sheet.cells_in_order().into_iter().filter(answer).collect();
    let checks = ground
        .sheet
        .cells_in_order()
        .into_iter()
        .filter(|cell| ground.sheet.entry(*cell).is_none());
    let ends: Vec<CellId> = answers.iter().copied().chain(checks).collect();
    let counts = |net: &CellId| ends.iter().any(|end| ground.rests_on(*end, *net));
    let Some(sibling) = nets.iter().copied().find(counts) else {
        return;
    };
    for net in nets.iter().copied().filter(|net| !counts(net) && !answer(net)) {
        slips.add(net, Slip::LeftOut(sibling), None);
    }
}

/// What is in several cylinders, over what one of them gives.
fn one_for_all(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !is_of(formula.kind, "h") {
        return;
    }
    let factors = factors(formula);
    let fuel = factors.iter().find(|(above, part)| *above && is_of(part.kind, "lb"));
    let rate = factors.iter().find(|(above, part)| !*above && is_of(part.kind, "lb/h"));
    let (Some(fuel), Some(rate)) = (
        fuel.and_then(|(_, part)| cell_of(part)),
        rate.and_then(|(_, part)| cell_of(part)),
    ) else {
        return;
    };
    let several = nets(slips)
        .iter()
        .filter(|net| **net != fuel && ground.rests_on(fuel, **net))
        .count()
        > 1;
    let summed = ground.formulas.get(&fuel).map(terms).unwrap_or_default();
    let several = several || summed.len() > 1 && summed.iter().all(|(up, term)| *up && is_of(term.kind, "lb"));
    let parted = ground.formulas.get(&rate).is_some_and(|formula| {
        let of_rate = super::ground::factors(formula);
        of_rate
            .iter()
            .any(|(above, part)| *above && cell_of(part).is_some() && is_of(part.kind, "lb/h"))
            && ground.says(rate, &["each", "one", "share", "apiece"])
    });
    if several && parted {
        let whole = ground.formulas.get(&rate).and_then(|formula| {
            let rates = super::ground::factors(formula);
            rates
                .iter()
                .filter_map(|(_, part)| cell_of(part))
                .find(|part| ground.is(*part, "lb/h"))
        });
        let whole = whole
            .and_then(|whole| ground.value(whole, "lb/h"))
            .zip(ground.value(rate, "lb/h"));
        let mend = whole.and_then(|(whole, one)| ground.changed(cell, |now| now * one / whole));
        slips.add(cell, Slip::OneForAll(fuel, rate), mend);
    }
}

/// Counts of what must be there, rounded down.
fn rounded_down(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let needed = [
        "refill", "bottle", "cylinder", "tank", "buy", "stock", "needed", "order", "fetch", "bring", "fill",
    ];
    if argument(part, Built::RoundDown).is_some() && slips.ground.says(cell, &needed) {
        slips.add(cell, Slip::RoundedDown, slips.ground.changed(cell, |now| now + 1.0));
    }
}

/// Pounds times heat, told in kilowatt-hours, with no efficiency between.
fn heat_as_power(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let told = matches!(formula.kind, Kind::Quantity(of) if of.to_string() == "kWh");
    let factors = factors(formula);
    let heat = factors
        .iter()
        .find(|(_, part)| is_of(part.kind, "BTU/lb"))
        .and_then(|(_, part)| cell_of(part));
    let shared = factors.iter().any(|(_, part)| is_plain(part.kind));
    let heats = slips.ground.says(cell, &["heat", "thermal", "fuel energy"]);
    if let Some(heat) = heat.filter(|_| told && !shared && !heats) {
        slips.add(
            cell,
            Slip::HeatAsPower(heat),
            slips.ground.changed(cell, |now| now * 0.2),
        );
    }
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
    if is_priced(slips, cell) {
        let right = ground.at(cell, GALLON, "lb/gal");
        slips.add(cell, Slip::OtherGallon, right);
    }
}

/// Pounds in a gallon of propane at 60 °F, and what tables have for it.
const GALLON: f64 = 4.23;
const GALLONS: (f64, f64) = (4.15, 4.3);

/// A density put in, of another temperature than 60 °F, on the way to a price by the gallon.
fn typed_gallons(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let inputs = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        let density = ground
            .value(cell, "lb/gal")
            .filter(|density| (3.7..4.75).contains(density));
        if density.is_some_and(|density| !(GALLONS.0..=GALLONS.1).contains(&density)) && is_priced(slips, cell) {
            let right = ground.at(cell, GALLON, "lb/gal");
            slips.add(cell, Slip::OtherGallon, right);
        }
    }
}

/// Whether money is worked out from a price by the gallon and this density.
fn is_priced(slips: &Slips<'_>, density: CellId) -> bool {
    let ground = slips.ground;
    let by_gallon = |cell: CellId| ground.is(cell, "$/gal") || ground.is(cell, "EUR/L");
    let is_money = |cell: CellId| {
        ground
            .shape(cell)
            .is_some_and(|shape| matches!(shape.kind, Kind::Quantity(of) if of.is_money()))
    };
    let mut users = ground
        .sheet
        .cells_in_order()
        .into_iter()
        .filter(|user| ground.rests_on(*user, density));
    users.any(|user| is_money(user) && ground.needs(user).any(by_gallon))
}
