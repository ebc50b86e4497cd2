//! What goes wrong with pressure, boiling, cold and heat from a wire.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::syntax::tree::Node as Line;
use crate::trade::habits::{
    ABSOLUTE_TO_GAUGE, BEYOND_WEIGHED, BLANKET, DIAMETER_SQUARED, FULL_TO_THE_TOP, GALLONS_OF_OTHER, GAUGE_OF_WHOLE,
    HEAT_OF_BURNING, NO_PROPANE_FACTOR, PRESSURE_FOR_CONTENTS, SQUARE_OF_VOLTS, UNSAFE_SIDE, WATER_FOR_PROPANE,
};
use crate::trade::{Built, Fit};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    above, bare, call, cell_of, column_of, factors, has_word, in_unit, is_heating_value, is_of, is_rate, parts, plain,
    terms,
};
use super::shapes::flat;
use super::slip::Slip;
use super::slips::Slips;

const GAUGE: &[&str] = &["gauge", "psig", "dial", "rests at 0", "reads 0", "zero when nothing"];

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        let pieces = flat(slips, formula);
        let units: Vec<(bool, &Typed)> = pieces.iter().map(|piece| (piece.above, piece.part)).collect();
        square_of_volts(slips, cell, formula, &units);
        by_pressure(slips, cell, formula, &units);
        boiled_by_burning(slips, cell, formula);
        blanket(slips, cell, formula);
        to_the_top(slips, cell, formula);
        of_water(slips, cell, formula);
        gauge_of_whole(slips, cell, formula);
        unsafe_side(slips, cell, formula);
        propane_factor(slips, cell, formula);
        gallons_of_other(slips, cell, formula);
        beyond_rows(slips, cell, formula);
        for part in parts(formula) {
            gauge_in_absolute(slips, cell, part);
            diameter_squared(slips, cell, part);
        }
    }
}

fn of<'a>(units: &'a [(bool, &'a Typed)], wanted: bool, unit: &'a str) -> impl Iterator<Item = &'a Typed> {
    let all = units
        .iter()
        .filter(move |(above, part)| *above == wanted && is_of(part.kind, unit));
    all.map(|(_, part)| *part)
}

/// Watts of a wire with the volts over its own, once.
fn square_of_volts(slips: &mut Slips<'_>, cell: CellId, formula: &Typed, units: &[(bool, &Typed)]) {
    let watts = of(units, true, "W").next().is_some() && is_of(formula.kind, "W");
    let (over, under) = (of(units, true, "V").count(), of(units, false, "V").collect::<Vec<_>>());
    let plate = under.iter().find_map(|part| cell_of(part));
    if let Some(plate) = plate.filter(|_| watts && over == 1 && under.len() == 1) {
        let volts = of(units, true, "V").find_map(cell_of);
        let [one, other] = [volts, Some(plate)].map(|cell| cell.and_then(|cell| slips.ground.value(cell, "V")));
        let times = one.zip(other).map(|(one, other)| one / other);
        slips.habit(cell, &SQUARE_OF_VOLTS, Some(plate), times);
    }
}

/// A pressure over another as how full a cylinder is; one of a gauge in the law of gases.
fn by_pressure(slips: &mut Slips<'_>, cell: CellId, formula: &Typed, units: &[(bool, &Typed)]) {
    let ground = slips.ground;
    let weight = is_of(formula.kind, "lb");
    let (over, under) = (
        of(units, true, "psi").find_map(cell_of),
        of(units, false, "psi").find_map(cell_of),
    );
    if over.is_some() && under.is_some() && weight && of(units, true, "lb").next().is_some() {
        slips.habit(cell, &PRESSURE_FOR_CONTENTS, over, None);
    }
    let gas =
        of(units, true, "L").next().is_some() && units.iter().any(|(above, part)| !*above && is_of(part.kind, "K"));
    let gauge = over.filter(|over| ground.says(*over, GAUGE) && !ground.says(*over, &["absolute", "psia"]));
    if let Some(gauge) = gauge.filter(|_| weight && gas && under.is_none()) {
        let times = ground.value(gauge, "psi").map(|pounds| (pounds + 14.696) / pounds);
        slips.habit(cell, &ABSOLUTE_TO_GAUGE, Some(gauge), times);
    }
}

/// A pressure read on a gauge, looked up in a table of absolute ones.
fn gauge_in_absolute(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Some([rows, _, at, ..]) = call(part, Built::Interpolate) else {
        return;
    };
    let table = column_of(rows).and_then(|slot| ground.sheet.table_column(slot));
    let Some(table) = table.and_then(|column| ground.sheet.tables().get(column.table as usize)) else {
        return;
    };
    let said = super::ground::plain(ground.sheet.tree().text_of(table.item as usize));
    let one = cell_of(at).filter(|at| ground.is(*at, "psi") && ground.says(*at, GAUGE));
    if let Some(one) = one.filter(|_| has_word(&said, &["absolute", "psia"])) {
        slips.habit(cell, &ABSOLUTE_TO_GAUGE, Some(one), None);
    }
}

/// The heat of burning as what it takes to boil.
fn boiled_by_burning(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let boils = ground.says(
        cell,
        &["boil", "boils", "evaporate", "vaporize", "boil off", "through the wall"],
    );
    let heat = above(formula)
        .find(|heat| ground.is(*heat, "BTU/lb") && ground.value(*heat, "BTU/lb").is_some_and(|amount| amount > 5000.0));
    if let Some(heat) = heat.filter(|_| boils && is_of(formula.kind, "W")) {
        let times = ground.value(heat, "BTU/lb").map(|amount| 175.0 / amount);
        slips.habit(cell, &HEAT_OF_BURNING, Some(heat), times);
    }
}

/// What a cylinder is wrapped in, below the stroke: as if the warmth came from within.
fn blanket(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let wrapped = [
        "blanket",
        "quilt",
        "wrapped",
        "insulation",
        "insulated",
        "jacket",
        "foam",
    ];
    let films: Vec<(bool, CellId)> = factors(formula)
        .into_iter()
        .filter_map(|(above, part)| Some((above, cell_of(part)?)))
        .filter(|(_, film)| ground.is(*film, "W/(m2·C°)"))
        .collect();
    let turned = films
        .iter()
        .find(|(above, film)| !*above && ground.says(*film, &wrapped));
    let over = films.iter().any(|(above, _)| *above);
    if let Some((_, film)) = turned.filter(|_| over) {
        slips.habit(cell, &BLANKET, Some(*film), None);
    }
}

/// All of a tank's volume as propane.
fn to_the_top(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let origin = |cell: CellId| ground.formulas.get(&cell).and_then(cell_of).unwrap_or(cell);
    let tank = above(formula)
        .map(origin)
        .find(|tank| ground.is(*tank, "gal") && ground.says(*tank, &["water capacity", "wc", "tank"]));
    let dense = above(formula)
        .any(|heavy| ground.is(heavy, "lb/gal") && ground.value(heavy, "lb/gal").is_some_and(|heavy| heavy < 6.0));
    let shared = factors(formula).len() > 2;
    let said = tank.is_some_and(|tank| ground.says(tank, &["water capacity", "wc", "size", "data plate"]));
    if let Some(tank) = tank.filter(|_| dense && said && !shared && is_of(formula.kind, "lb")) {
        slips.habit(cell, &FULL_TO_THE_TOP, Some(tank), Some(0.8));
    }
}

/// What a gauge shows of the whole volume, times the share that is filled.
fn gauge_of_whole(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let shares: Vec<CellId> = above(formula).filter(|share| ground.is(*share, "")).collect();
    let gauge = shares
        .iter()
        .find(|share| ground.says(**share, &["gauge", "float"]) && ground.says(**share, &["volume", "tank", "whole"]));
    let filled = shares.iter().find(|share| {
        let eighty = ground
            .value(**share, "")
            .is_some_and(|share| (share - 0.8).abs() < 1e-9);
        eighty && Some(*share) != gauge
    });
    if let (Some(gauge), Some(_)) = (gauge, filled) {
        slips.habit(cell, &GAUGE_OF_WHOLE, Some(*gauge), Some(1.25));
    }
}

/// A rate made smaller to be on the safe side.
fn unsafe_side(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let off = [
        "may be off",
        "either way",
        "how far",
        "doubt",
        "uncertainty",
        "plus or minus",
        "error",
    ];
    let less = match terms(formula).as_slice() {
        [(true, rate), (false, less)] => cell_of(rate).zip(cell_of(less)),
        _ => None,
    };
    let safe = ground.says(cell, &["safe", "worst", "sure", "at least", "cautious", "careful"]);
    if let Some((_, less)) = less.filter(|(_, less)| is_rate(formula.kind) && safe && ground.says(*less, &off)) {
        slips.habit(cell, &UNSAFE_SIDE, Some(less), None);
    }
}

/// Whether what a line goes into, or what goes into that, is propane, or the worksheet is by its title.
fn is_of_propane(slips: &Slips<'_>, cell: CellId) -> bool {
    let ground = slips.ground;
    let words = ["propane", "lp", "lpg", "cylinder", "burn", "burned", "fuel", "refill"];
    let users = all_cells(ground.sheet).filter(|user| ground.rests_on(*user, cell));
    let mut lines = users.flat_map(|user| ground.needs(user));
    let told = |line: CellId| ground.says(line, &words) || ground.is(line, "lb/h") || ground.is(line, "$/gal");
    let headings = ground.sheet.tree().items.iter().enumerate();
    let mut headings = headings.filter(|(_, line)| matches!(line.node, Line::Heading(_)));
    lines.any(told)
        || has_word(ground.near(cell), &words)
        || headings.any(|(place, _)| has_word(&plain(ground.sheet.tree().text_of(place)), &words))
}

/// Propane over the density of water, or the weight of water over that of propane.
fn of_water(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces: Vec<(bool, CellId)> = factors(formula)
        .into_iter()
        .filter_map(|(above, part)| Some((above, cell_of(part)?)))
        .collect();
    let filled = pieces.iter().any(|(above, cell)| *above && ground.is(*cell, "gal"));
    let dense = pieces.iter().find(|(above, cell)| *above && ground.is(*cell, "lb/gal"));
    let gallons = || {
        pieces
            .iter()
            .filter(|(_, cell)| ground.is(*cell, "gal"))
            .map(|(_, cell)| *cell)
    };
    if !pieces.iter().any(|(_, cell)| ground.is(*cell, "lb/gal")) {
        return;
    }
    // water in a jug, where nothing is of propane
    if gallons().any(|gallons| ground.says(gallons, &["water"])) || !is_of_propane(slips, cell) {
        return;
    }
    if let Some((_, heavy)) = dense
        .filter(|(_, heavy)| filled && ground.says(*heavy, &["water"]) && !ground.says(cell, &["water", "capacity"]))
    {
        let times = ground
            .value(*heavy, "lb/gal")
            .filter(|pounds| (8.2..8.5).contains(pounds))
            .map(|pounds| 4.2 / pounds);
        if times.is_some() {
            slips.habit(cell, &WATER_FOR_PROPANE, Some(*heavy), times);
        }
        return;
    }
    let weight = pieces.iter().find(|(above, cell)| *above && ground.is(*cell, "lb"));
    let heavy = pieces
        .iter()
        .find(|(above, cell)| !*above && ground.is(*cell, "lb/gal"));
    let (Some((_, weight)), Some((_, heavy))) = (weight, heavy) else {
        return;
    };
    let pounds = ground.value(*heavy, "lb/gal").unwrap_or(0.0);
    // a share of the water is what it may hold of propane
    let shared = pieces.iter().any(|(above, share)| *above && ground.is(*share, ""));
    let water = !shared && ground.says(*weight, &["water", "wc", "water capacity"]);
    if water && (4.0..4.5).contains(&pounds) || !water && (8.2..8.5).contains(&pounds) && !ground.says(cell, &["water"])
    {
        let times = if water { pounds / 8.34 } else { pounds / 4.2 };
        slips.habit(cell, &WATER_FOR_PROPANE, Some(*heavy), Some(times));
    }
}

/// Gallons of one fuel, priced or counted as another's.
fn gallons_of_other(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let (gasoline, propane): (&[&str], &[&str]) = (&["gasoline", "petrol"], &["propane", "lp"]);
    let fuel = |cell: CellId| match (ground.says(cell, gasoline), ground.says(cell, propane)) {
        (true, false) => Some(false),
        (false, true) => Some(true),
        _ => None,
    };
    let gallons = |unit: &str| ["gal", "gal/h", "gal/d"].contains(&unit);
    let counted = above(formula).find(|part| {
        matches!(ground.shape(*part).map(|shape| shape.kind), Some(Kind::Quantity(of)) if gallons(&of.to_string()))
    });
    let Some((counted, of)) = counted.and_then(|counted| Some((counted, fuel(counted)?))) else {
        return;
    };
    let others = above(formula).filter(|part| *part != counted).chain([cell]);
    let other = others.filter_map(fuel).any(|other| other != of);
    let heat = ground
        .needs(cell)
        .any(|need| ground.shape(need).is_some_and(|shape| is_heating_value(shape.kind)));
    let heat = heat || parts(formula).into_iter().any(|part| is_heating_value(part.kind));
    if other && !heat {
        slips.habit(cell, &GALLONS_OF_OTHER, Some(counted), None);
    }
}

/// What a slope goes along, whatever unit it is taken in.
fn along(made: &Typed) -> Option<&Typed> {
    match &made.node {
        Node::Convert(inner, _) => along(inner),
        Node::Call(function, arguments) if function.body_is(Fit::Slope) => arguments.first(),
        _ => None,
    }
}

/// A line through rows, followed far beyond the last of them.
fn beyond_rows(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    for (_, term) in terms(formula) {
        let cells: Vec<CellId> = factors(term)
            .into_iter()
            .filter_map(|(_, part)| cell_of(part))
            .collect();
        let [one, other] = cells.as_slice() else { continue };
        for (slope, at) in [(*one, *other), (*other, *one)] {
            let rows = ground.formulas.get(&slope).and_then(along);
            let Some(column) = rows
                .and_then(column_of)
                .and_then(|slot| ground.sheet.table_column(slot))
            else {
                continue;
            };
            let most = column
                .cells
                .iter()
                .flatten()
                .filter_map(|cell| in_unit(column.kind, *cell, "W"))
                .fold(0.0, f64::max);
            let asked = ground.value(at, "W").filter(|_| most > 0.0 && ground.is_input(at));
            if asked.is_some_and(|asked| asked > 2.0 * most) {
                slips.habit(cell, &BEYOND_WEIGHED, Some(slope), None);
            }
        }
    }
}

/// A rating on propane with what propane takes off the one on gasoline.
fn propane_factor(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let lpg = ["lpg", "propane", "lp"];
    let rating = above(formula).find(|rating| {
        ground.is_load(*rating)
            && ground.is_input(*rating)
            && ground.says(*rating, &lpg)
            && !ground.says(*rating, &["gasoline"])
    });
    let factor = above(formula).find(|factor| {
        let share = ground
            .value(*factor, "")
            .is_some_and(|share| (0.8..1.0).contains(&share));
        share
            && ground.says(*factor, &lpg)
            && ground.says(*factor, &["gasoline", "gas", "factor", "derate", "derating"])
    });
    if let Some((rating, factor)) = rating.zip(factor) {
        let times = ground.value(factor, "").map(|share| 1.0 / share);
        slips.habit(cell, &NO_PROPANE_FACTOR, Some(rating), times);
    }
}

/// 3.14 times the square of a diameter.
fn diameter_squared(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    if !is_of(part.kind, "in2") || !matches!(part.node, Node::Arithmetic(..)) {
        return;
    }
    let pieces = factors(part);
    let bare = |part: &Typed| bare(part);
    let numbers: f64 = pieces
        .iter()
        .filter_map(|(above, part)| Some(if *above { bare(part)? } else { 1.0 / bare(part)? }))
        .product();
    let across = |cell: CellId| {
        ground.is(cell, "in") && ground.says(cell, &["diameter", "across"]) && !ground.says(cell, &["radius"])
    };
    let squared = pieces.iter().find_map(|(_, part)| match &part.node {
        Node::Arithmetic(Arithmetic::Power, _, sides) => cell_of(&sides.0).filter(|cell| across(*cell)),
        _ => None,
    });
    let twice = pieces
        .iter()
        .filter_map(|(above, part)| cell_of(part).filter(|cell| *above && across(*cell)));
    let twice: Vec<CellId> = twice.collect();
    let squared = squared.or_else(|| match twice.as_slice() {
        [one, other] if one == other => Some(*one),
        _ => None,
    });
    if let Some(across) = squared.filter(|_| (numbers - std::f64::consts::PI).abs() < 0.01) {
        slips.habit(cell, &DIAMETER_SQUARED, Some(across), Some(0.25));
    }
}

/// Pressures of a sum of which one is above nothing and another above the air.
pub(super) fn pressures(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let sum: Vec<(bool, CellId)> = terms(part)
        .into_iter()
        .filter_map(|(up, term)| Some((up, cell_of(term)?)))
        .collect();
    let air = ["barometer", "atmosphere", "air pressure", "sea level"];
    if sum.iter().any(|(up, term)| !up && slips.ground.says(*term, &air)) {
        return;
    }
    for (_, over) in sum.iter().filter(|(up, _)| *up) {
        let others = sum.iter().filter(|(up, _)| !*up);
        others.for_each(|(_, under)| unlike_pressures(slips, cell, *over, *under));
    }
}

/// A pressure above nothing against one above the air.
pub(super) fn unlike_pressures(slips: &mut Slips<'_>, cell: CellId, one: CellId, other: CellId) {
    let ground = slips.ground;
    let told = |cell: CellId, own: &[&str], other: &[&str]| {
        let of_pressure = |need: CellId| ground.is(need, "psi") && ground.says(need, own);
        ground.needs(cell).any(of_pressure) && !ground.needs(cell).any(|need| ground.says(need, other))
    };
    let absolute = |cell| {
        let air = ["gauge", "psig", "atmosphere", "barometer"];
        told(cell, &["absolute", "psia", "psi a", "kpa a"], &air)
    };
    let gauge = |cell| {
        told(
            cell,
            &["gauge", "psig", "psi g", "above the air"],
            &["absolute", "psia"],
        )
    };
    let pressures = ground.is(one, "psi") && ground.is(other, "psi");
    if pressures && (absolute(one) && gauge(other) || gauge(one) && absolute(other)) {
        let less = ground
            .value(cell, "psi")
            .and_then(|now| ground.at(cell, now - 14.696, "psi"));
        slips.add(
            cell,
            Slip::Habit(&ABSOLUTE_TO_GAUGE, Some(one)),
            less.filter(|_| absolute(one)),
        );
    }
}
