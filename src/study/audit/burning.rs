//! What is burnt against the load it is burnt for, found by moving the load.
//!
//! However a burn was put together, the share of the fuel's heat that comes out as
//! electricity can be told, and whether the burn goes to nothing when its load does.
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::study::vary::Varied;
use crate::syntax::tree::EntryKind;
use crate::trade::{Body, Built, Fact};
use crate::unit::conversion;

use super::Subject;
use super::all_cells;
use super::finding::Finding;
use super::ground::{cell_of, constant, in_unit, is_plain, is_rate, parts, terms};
use super::proportion::{Products, Proportion};
use super::quantities::{Named, quantities};
use super::slip::{Slip, Suspicion};
use super::slips::Slips;

/// The net heat of propane in BTU/lb and a kilowatt-hour in BTU, for what a burn gives.
const NET_HEAT: f64 = 19_900.0;
const KILOWATT_HOUR: f64 = 3412.14;
/// Small sets give between these shares of the net heat (common practice, fuel tables).
const GIVEN: (f64, f64) = (0.015, 0.3);
/// What a good one gives at a good load.
const GOOD: f64 = 0.2;
/// A share of the rated burn that goes without load, in the middle of what is published.
pub(crate) const NO_LOAD: f64 = 0.4;
/// What propane leaves of a rating on gasoline, and running of starting (common practice: 85 to 90 %).
pub(crate) const LESS: f64 = 0.87;
const PEAK: &[&str] = &["peak", "max", "maximum", "starting", "surge", "worst", "highest"];
const BURNERS: &[&str] = &[
    "gas heater",
    "propane heater",
    "gas stove",
    "burner",
    "gas furnace",
    "gas range",
];
const RATED: &[&str] = &["rated", "nameplate", "rating"];

/// Looks at every burn and every runtime of the worksheet.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let mut products = Products::default();
    for cell in ground.sheet.cells_in_order() {
        let symbolic = products.add(ground, cell);
        let Some(entry) = ground.sheet.entry(cell) else {
            continue;
        };
        if entry.kind.is_input() || ground.sheet.held(cell).is_some() {
            continue;
        }
        let symbolic = symbolic.filter(|found| !is_share_of_one(slips, cell, found) && !is_count(slips, cell, found));
        if !is_difference(slips, cell) {
            burn(slips, cell, symbolic);
        }
        weighed_pair(slips, cell);
    }
    ratings(slips);
    without_draw_down(slips);
}

fn proportional(slips: &mut Slips<'_>, cell: CellId, proportion: Proportion, mend: Option<Level>) {
    let mended = mend.and_then(
        |Level {
             rated,
             mend: (cell, value),
         }| Some((rated, slips.mended(cell, value)?)),
    );
    slips.accused.insert(cell);
    slips.note(Subject::Cell(cell), Finding::Proportion(proportion, mended));
}

/// A load that is within so much of another is that one.
const SAME_LOAD: f64 = 0.2;

/// Whether what the burn goes by was found at this very load, as a line of it says: a share of
/// the heat or a burn for a kilowatt-hour is right there.
fn is_found_here(slips: &Slips<'_>, cell: CellId, load: CellId) -> bool {
    let ground = slips.ground;
    let Some(watts) = ground.value(load, "W") else {
        return false;
    };
    let by = |need: &CellId| {
        let share = ground.shape(*need).is_some_and(|shape| is_plain(shape.kind));
        ground.is_input(*need) && (share || ground.is(*need, "lb/kWh") || ground.is(*need, "gal/kWh"))
    };
    let near = |text: &str, unit: &str| {
        let scale = if unit == "kw" { 1000.0 } else { 1.0 };
        let number = text
            .parse::<f64>()
            .ok()
            .filter(|_| ["w", "watt", "watts", "kw"].contains(&unit));
        number.is_some_and(|number| (number * scale / watts - 1.0).abs() <= SAME_LOAD)
    };
    let said = [
        "this load",
        "same load",
        "that load",
        "such a load",
        "about this load",
        "these loads",
        "such days",
        "such running",
        "whole days",
        "whole day",
        "same running",
        "même charge",
        "gleicher last",
    ];
    let mut found_by = ground.needs(cell).filter(by);
    found_by.any(|need| {
        let words = ground.words(need);
        let mut pairs = words.iter().zip(words.iter().skip(1));
        ground.says(need, &said) || pairs.any(|(number, unit)| near(number, unit))
    })
}

/// Whether a rate says by how much others differ or scatter, and is no burn itself.
fn is_difference(slips: &Slips<'_>, cell: CellId) -> bool {
    let Some(formula) = slips.ground.formulas.get(&cell).filter(|formula| is_rate(formula.kind)) else {
        return false;
    };
    let less = terms(formula).iter().any(|(up, term)| !up && is_rate(term.kind));
    let scatter = |part: &&Typed| matches!(&part.node, Node::Call(function, _) if matches!(function.body, Body::Built(Built::Deviation)));
    less || parts(formula).iter().any(scatter)
}

/// Holds a burn, or a runtime by weight, against the load it goes with.
fn burn(slips: &mut Slips<'_>, cell: CellId, symbolic: Option<Proportion>) {
    let load = load_of(slips, cell);
    load.into_iter().for_each(|load| peak(slips, cell, load));
    let inherited = slips.inherits(cell);
    let by_trial = || {
        load.filter(|load| !inherited && goes_to_nothing(slips, cell, *load))
            .map(Proportion::ByTrial)
    };
    let found = symbolic.or_else(by_trial);
    if let Some(proportion) = found.filter(|_| !load.is_some_and(|load| is_found_here(slips, cell, load))) {
        let mend = load.and_then(|load| level(slips, cell, load));
        proportional(slips, cell, proportion, mend);
    }
    if let Some(load) = load.filter(|_| !inherited) {
        given(slips, cell, load);
    }
}

/// Whether a rate is parted among so many that draw from it, by what the line says.
fn is_share_of_one(slips: &Slips<'_>, cell: CellId, found: &Proportion) -> bool {
    let Proportion::Share(_, part) = found else {
        return false;
    };
    let parts = 1.0 / part.to_f64();
    let whole = (parts - parts.round()).abs() < 1e-9 && parts > 1.5;
    whole
        && slips.ground.says(
            cell,
            &[
                "each", "one", "share", "cylinder", "bottle", "tank", "apiece", "joined", "both",
            ],
        )
}

/// A factor of safety goes up to here.
const SAFETY: f64 = 1.5;
/// No more are counted than these.
const MOST_COUNTED: f64 = 12.0;

/// Whether a rate is taken several times, or with something to spare: a small whole count or a
/// factor of safety is no share of a load, unless two loads that are told have that ratio. What a
/// cylinder gives is no burn at all.
fn is_count(slips: &Slips<'_>, cell: CellId, found: &Proportion) -> bool {
    let Proportion::Share(rate, times) = found else {
        return false;
    };
    let (ground, times) = (slips.ground, times.to_f64());
    let gives = ["cylinder", "tank", "bottle", "vapor", "vapour"];
    if ground.is(*rate, "BTU/h") && ground.says(*rate, &gives) {
        return true;
    }
    let whole = (times - times.round()).abs() < 1e-9 && (1.5..MOST_COUNTED + 0.5).contains(&times);
    let counted = ["both", "two", "three", "four", "each", "set", "burner", "together"];
    if whole && ground.says(cell, &counted) {
        return true;
    }
    (whole || (times - SAFETY).abs() < 1e-9) && !is_ratio_told(slips, *rate, times)
}

/// A load that a text names.
fn in_watts(named: &Named) -> Option<f64> {
    conversion(named.unit, super::unit("W")).map(|way| way.apply_f64(named.number))
}

/// Whether the load that a rate was found at and that of the house are told, and are so many times apart.
fn is_ratio_told(slips: &Slips<'_>, rate: CellId, times: f64) -> bool {
    let ground = slips.ground;
    let named = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell) && ground.is_load(*cell));
    let named: Vec<f64> = named.filter_map(|cell| ground.value(cell, "W")).collect();
    let said = quantities(ground.raw(rate)).into_iter();
    let mut said: Vec<f64> = said.filter_map(|said| in_watts(&said)).collect();
    if let ([], [one, other]) = (said.as_slice(), named.as_slice()) {
        said.extend([*one, *other]);
    }
    let parts = [("half", 2.0), ("third", 3.0), ("quarter", 4.0)];
    let mut parts = parts.iter().filter(|(_, of)| *of == times);
    let part = parts.any(|(word, _)| ground.says(rate, &[word]) && ground.says(rate, &["load"]));
    let apart = |low: f64, high: f64| (high / low / times - 1.0).abs() < 1e-3;
    part || said.iter().any(|low| named.iter().any(|high| apart(*low, *high)))
}

/// Whether next to nothing is burnt at a hundredth of a load.
fn goes_to_nothing(slips: &Slips<'_>, cell: CellId, load: CellId) -> bool {
    let ground = slips.ground;
    let is_burn = is_burn(slips, cell);
    if !is_burn && fuel_inputs(slips, cell).is_empty() || slips.burns_without_load(cell) {
        return false;
    }
    let values = ground.with(load, 0.01, cell).zip(super::number(ground.sheet, cell));
    let falls_to = values.map(|(small, now)| small / now.to_f64());
    falls_to.is_some_and(|part| if is_burn { part < 0.02 } else { part > 50.0 })
}

/// Holds the share of the heat that comes out as electricity against what sets give.
fn given(slips: &mut Slips<'_>, cell: CellId, load: CellId) {
    let (ground, is_burn) = (slips.ground, is_burn(slips, cell));
    let Some(rate) = rate(slips, cell) else { return };
    let Some(watts) = ground.value(load, "W").filter(|watts| *watts > 0.0 && rate > 0.0) else {
        return;
    };
    slips.met.extend([cell, load]);
    let share = watts / 1000.0 * KILOWATT_HOUR / (rate * NET_HEAT);
    if !(GIVEN.0..=GIVEN.1).contains(&share) {
        let times = if is_burn { share / GOOD } else { GOOD / share };
        slips.add(
            cell,
            Slip::Efficiency(share, load),
            ground.changed(cell, |now| now * times),
        );
    }
}

/// The load that a burn rises with, or a runtime falls with: the one nearest to it.
fn load_of(slips: &Slips<'_>, cell: CellId) -> Option<CellId> {
    let ground = slips.ground;
    let up = is_burn(slips, cell);
    if !up && !ground.sheet.is_time(cell) && !ground.is(cell, "h") {
        return None;
    }
    let now = super::number(ground.sheet, cell)?.to_f64();
    let mut loads: Vec<CellId> = ground
        .needs(cell)
        .filter(|need| *need != cell && ground.is_load(*need))
        .collect();
    // hours by a name alone are those of a set where a load is put in
    let plain = !up && !ground.sheet.is_time(cell);
    let put_in = |load: CellId| ground.is_input(load) && ground.says(load, &["load", "draw", "running", "drawn"]);
    // what burns the gas itself is no electric load
    loads.retain(|load| !ground.says(*load, BURNERS) && !ground.says(*load, RATED) && (!plain || put_in(*load)));
    loads.sort_by_key(|load| std::cmp::Reverse(ground.needs(*load).count()));
    loads.into_iter().find(|load| {
        let moved = ground.with(*load, 1.01, cell);
        moved.is_some_and(|moved| {
            if up {
                moved > now * (1.0 + 1e-6)
            } else {
                moved < now * (1.0 - 1e-6)
            }
        })
    })
}

fn is_burn(slips: &Slips<'_>, cell: CellId) -> bool {
    let by_volume =
        slips.ground.is(cell, "gal/h") && slips.ground.says(cell, &["burn", "fuel", "propane", "rate", "gas"]);
    slips.ground.is(cell, "lb/h") || by_volume || is_heat(slips, cell)
}

/// Heat burnt in an hour, as BTU tell it.
fn is_heat(slips: &Slips<'_>, cell: CellId) -> bool {
    slips.ground.is(cell, "W") && !slips.ground.is_load(cell)
}

/// Pounds an hour: of a burn itself, of a runtime what an ounce more of fuel is worth.
fn rate(slips: &Slips<'_>, cell: CellId) -> Option<f64> {
    let ground = slips.ground;
    if ground.is(cell, "lb/h") {
        return ground.value(cell, "lb/h");
    }
    if is_heat(slips, cell) {
        return Some(ground.value(cell, "BTU/h")? / NET_HEAT);
    }
    if is_burn(slips, cell) {
        return Some(4.2 * ground.value(cell, "gal/h")?);
    }
    // a burn of its own on the way is looked at itself
    if ground
        .needs(cell)
        .any(|need| ground.is(need, "lb/h") && load_of(slips, need).is_some())
    {
        return None;
    }
    let rates = fuel_inputs(slips, cell).into_iter().map(|(_, rate)| rate);
    rates.max_by(f64::total_cmp)
}

/// The weights that lengthen a runtime, and the pounds an hour that each tells.
fn fuel_inputs(slips: &Slips<'_>, cell: CellId) -> Vec<(CellId, f64)> {
    let ground = slips.ground;
    let hours = |sheet: &Sheet| ground.value_in(sheet, cell, "h");
    let mut found = Vec::new();
    for weight in ground
        .needs(cell)
        .filter(|need| ground.is_input(*need) && ground.is(*need, "lb"))
    {
        let value = super::number(ground.sheet, weight);
        let Some((value, now)) = value.zip(hours(ground.sheet)) else {
            continue;
        };
        let mut varied = Varied::new(ground.sheet, weight);
        let longer = varied.near(value.to_f64() * 1.001).and_then(hours);
        let Some(longer) = longer.filter(|longer| *longer > now) else {
            continue;
        };
        let pounds = ground.value(weight, "lb").unwrap_or(0.0) * 0.001;
        found.push((weight, pounds / (longer - now)));
    }
    found
}

/// A burn on the line that it has with a share of the rated burn without load.
struct Level {
    /// The rated load, in watts.
    rated: f64,
    mend: (CellId, Number),
}

/// A burn as it would be if the engine burned 40 % of its rated burn without load: on the
/// line through the load that it was weighed at.
fn level(slips: &Slips<'_>, cell: CellId, load: CellId) -> Option<Level> {
    let ground = slips.ground;
    let now = super::number(ground.sheet, cell)?.to_f64();
    let at = ground.value(load, "W")?;
    let up = is_burn(slips, cell);
    let mut others = ground.needs(cell).filter(|need| *need != load && ground.is_load(*need));
    let weighed = others.find(|other| {
        let moved = ground.with(*other, 1.01, cell);
        moved.is_some_and(|moved| {
            if up {
                moved < now * (1.0 - 1e-6)
            } else {
                moved > now * (1.0 + 1e-6)
            }
        })
    });
    let weighed = ground.value(weighed?, "W")?;
    let rated = rated_load(slips).map_or(at.max(weighed), |rated| rated.max(at).max(weighed));
    let line = |load: f64| NO_LOAD * rated + (1.0 - NO_LOAD) * load;
    let times = line(at) / line(weighed) * weighed / at;
    let mend = ground.changed(cell, |now| if up { now * times } else { now / times })?;
    Some(Level { rated, mend })
}

/// The most watts that are said to be rated, for what runs; on propane where any line says so.
fn rated_load(slips: &Slips<'_>) -> Option<f64> {
    let ground = slips.ground;
    let plates = all_cells(ground.sheet).filter(|cell| ground.is_load(*cell) && ground.says(*cell, RATED));
    let plates: Vec<CellId> = plates.filter(|plate| !is_of_starting(slips, *plate)).collect();
    let most = |wanted: &dyn Fn(CellId) -> bool| {
        let of_them = plates.iter().copied().filter(|plate| wanted(*plate));
        of_them.filter_map(|plate| ground.value(plate, "W")).reduce(f64::max)
    };
    let propane = |plate: CellId| ground.says(plate, &["propane", "lp", "lpg"]);
    let gasoline = |plate: CellId| ground.says(plate, &["gasoline", "petrol"]);
    most(&propane)
        .or_else(|| most(&|plate| !gasoline(plate)))
        .or_else(|| most(&|_| true))
}

/// Whether a rating is for the seconds of a start alone.
fn is_of_starting(slips: &Slips<'_>, plate: CellId) -> bool {
    let ground = slips.ground;
    let named = ground.sheet.name_of(plate).unwrap_or("");
    let starts = ["surge", "start", "peak"].iter().any(|word| named.contains(word));
    let says_so = ground.says(plate, &["starting", "surge", "peak", "few seconds"]);
    starts || says_so && !ground.says(plate, &["running", "continuous"])
}

/// What is carried on as the load, where it is the most that is drawn.
fn peak(slips: &mut Slips<'_>, cell: CellId, load: CellId) {
    let ground = slips.ground;
    let is_peak = |load: CellId| ground.says(load, PEAK) || takes_the_most(slips, load);
    let said = |finding: &Finding| {
        let slip = |found: &Suspicion| matches!(found.slip, Slip::PeakCarried(..));
        matches!(finding, Finding::Slip(found) if slip(found))
    };
    if !is_peak(load) || slips.said_of_its_needs(cell, said) {
        return;
    }
    let mean = all_cells(ground.sheet).find(|other| {
        let input = ground.is_input(*other) && ground.rests_on(load, *other);
        *other != load
            && !input
            && ground.is_load(*other)
            && !is_peak(*other)
            && !ground.says(*other, RATED)
            && ground.says(*other, &["load", "mean", "draw", "need"])
            && !ground.says(*other, &["test", "run", "weighed"])
    });
    let value = mean.and_then(|mean| ground.at(load, ground.value(mean, "W")?, "W"));
    slips.add(cell, Slip::PeakCarried(load, mean), value);
}

/// Whether a load is worked out with the largest of a column or with starting watts.
fn takes_the_most(slips: &Slips<'_>, load: CellId) -> bool {
    let Some(formula) = slips.ground.formulas.get(&load) else {
        return false;
    };
    parts(formula).iter().any(|part| match &part.node {
        Node::Call(function, _) => function.tells(Fact::TheMost) || matches!(function.body, Body::Built(Built::Max)),
        _ => false,
    })
}

/// A weighed rate and the load it was weighed at, given to a function together.
fn weighed_pair(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let Some(formula) = ground.formulas.get(&cell) else {
        return;
    };
    for part in parts(formula) {
        let Node::Call(function, arguments) = &part.node else {
            continue;
        };
        let of = |name: &str| {
            let place = function
                .parameters
                .iter()
                .position(|parameter| parameter.name == name)?;
            arguments.get(place)
        };
        let Some(load) = of("at_load").and_then(cell_of) else {
            continue;
        };
        let test = |cell: CellId| ground.says(cell, &["run", "test", "weighed", "weighing"]);
        if let Some(to) = of("to_load").and_then(cell_of)
            && test(to)
            && !test(load)
            && !ground.is_input(load)
        {
            slips.add(cell, Slip::Swapped(to, load), None);
        }
        let Some(burnt) = arguments.first().and_then(cell_of) else {
            continue;
        };
        let values = ground.value(load, "W").zip(ground.value(burnt, "lb/h"));
        let Some((watts, rate)) = values.filter(|(watts, rate)| *watts > 0.0 && *rate > 0.0) else {
            continue;
        };
        slips.met.extend([load, burnt]);
        let share = watts / 1000.0 * KILOWATT_HOUR / (rate * NET_HEAT);
        if !(GIVEN.0..=GIVEN.1).contains(&share) && !slips.inherits(burnt) {
            let mend = ground.at(burnt, rate * share / GOOD, "lb/h");
            slips.add(burnt, Slip::Efficiency(share, load), mend);
            continue;
        }
        let value = |name: &str, unit: &str| {
            let part = of(name)?;
            let written = constant(part).and_then(|(kind, number)| in_unit(kind, number, unit));
            written.or_else(|| ground.value(cell_of(part)?, unit))
        };
        let (Some(full), Some(idle)) = (value("rated_load", "W"), value("no_load_share", "")) else {
            continue;
        };
        let burnt_full = rate / (idle + (1.0 - idle) * watts / full);
        let share = full / 1000.0 * KILOWATT_HOUR / (burnt_full * NET_HEAT);
        if let Some(rated) = of("rated_load").and_then(cell_of)
            && share > GIVEN.1
            && !slips.inherits(rated)
        {
            slips.add(burnt, Slip::Efficiency(share, rated), None);
        }
    }
}

/// Ratings on another fuel, or of what is only started.
fn ratings(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let plates = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell) && ground.is_load(*cell));
    let rated =
        |cell: &CellId| ground.says(*cell, RATED) || ground.says(*cell, &["gasoline"]) && says_less(slips, *cell);
    for cell in plates.filter(rated).collect::<Vec<CellId>>() {
        let named = ground.sheet.name_of(cell).unwrap_or("");
        let starts = ["surge", "start", "peak", "gasoline"]
            .iter()
            .any(|word| named.contains(word));
        let other = match () {
            () if starts => None,
            () if ground.says(cell, &["gasoline"]) && (!ground.says(cell, &["propane"]) || says_less(slips, cell)) => {
                Some("gasoline")
            }
            () if ground.says(cell, &["starting", "surge"]) && !ground.says(cell, &["running"]) => {
                Some("starting watts")
            }
            () => None,
        };
        if let Some(other) = other {
            slips.add(cell, Slip::OtherRating(other), ground.changed(cell, |now| now * LESS));
        }
    }
}

/// Whether a line names other watts for propane than its own.
fn says_less(slips: &Slips<'_>, cell: CellId) -> bool {
    let own = slips.ground.value(cell, "W").unwrap_or(0.0);
    let other = |named: &Named| {
        let watts = in_watts(named);
        watts.is_some_and(|watts| (0.5..0.98).contains(&(watts / own)))
    };
    quantities(slips.ground.raw(cell)).iter().any(other)
}

/// Runtimes that a weight lengthens, where nothing is drawn down.
fn without_draw_down(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    if ground.sheet.draws_down() {
        return;
    }
    let is_answer = |cell: &CellId| {
        ground
            .sheet
            .entry(*cell)
            .is_some_and(|entry| entry.kind == EntryKind::Answer)
    };
    for answer in all_cells(ground.sheet).filter(is_answer) {
        let by_weight = ground.sheet.is_by_weight(answer);
        if by_weight || ground.sheet.is_time(answer) && !fuel_inputs(slips, answer).is_empty() {
            slips.note(Subject::Cell(answer), Finding::NoDrawDown);
        }
    }
}
