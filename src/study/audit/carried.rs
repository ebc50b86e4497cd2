//! Figures carried to another load, or to another level, than they were found at.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::trade::Fact;
use crate::trade::habits::{BEYOND_WEIGHED, FULL_FOR_LEAST, OTHER_LOAD, TWO_LOADS};

use super::all_cells;
use super::ground::{cell_of, constant, factors, in_unit, is_rate, parts, terms};
use super::paired::{called, row_of};
use super::quantities::quantities;
use super::slips::Slips;

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        beyond_weighed(slips, cell, formula);
        two_loads(slips, cell, formula);
        full_for_least(slips, cell, formula);
    }
    other_load(slips);
    weighed_at_less(slips);
}

/// A rate from weighings whose line names the load, where the load that counts is another and nothing
/// uses it.
fn weighed_at_less(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let used = |cell: CellId| all_cells(ground.sheet).any(|other| other != cell && ground.rests_on(other, cell));
    let mut idle =
        all_cells(ground.sheet).filter(|load| ground.is_load(*load) && ground.is_input(*load) && !used(*load));
    let Some((load, watts)) = idle.find_map(|load| Some((load, ground.value(load, "W")?))) else {
        return;
    };
    let rates = ground
        .worked()
        .filter(|(cell, formula)| is_rate(formula.kind) && !slips.accused.contains(cell));
    let told = |cell: CellId| {
        let named = ground
            .needs(cell)
            .flat_map(|need| quantities(ground.raw(need)))
            .filter(|named| named.sign == "W");
        named
            .map(|named| named.number)
            .find(|named| !(0.7..1.4).contains(&(watts / named)))
    };
    let found = rates
        .map(|(cell, _)| cell)
        .find(|cell| told(*cell).is_some() && !ground.says(load, &["rated", "plate", "surge", "peak"]));
    if let Some(rate) = found {
        slips.habit(rate, &OTHER_LOAD, Some(load), None);
    }
}

/// A line through weighed loads, carried far beyond them.
fn beyond_weighed(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !is_rate(formula.kind) {
        return;
    }
    for (_, term) in terms(formula) {
        let pieces = factors(term);
        let slope = pieces
            .iter()
            .filter_map(|(_, part)| cell_of(part))
            .find(|slope| ground.is(*slope, "lb/kWh") && ground.is_input(*slope));
        let load = pieces
            .iter()
            .filter_map(|(_, part)| cell_of(part))
            .find(|load| ground.is_load(*load));
        let Some((slope, load)) = slope.zip(load) else { continue };
        let watts = quantities(ground.raw(slope)).into_iter().filter_map(|named| {
            let way = crate::unit::conversion(named.unit, super::unit("W"))?;
            Some(way.apply_f64(named.number))
        });
        let most = watts.fold(0.0, f64::max);
        if most > 0.0 && ground.value(load, "W").is_some_and(|load| load > 1.3 * most) {
            slips.habit(cell, &BEYOND_WEIGHED, Some(slope), None);
        }
    }
}

/// The watts that a row of a written table names.
fn watts_by_row(slips: &Slips<'_>, table: usize) -> Vec<Vec<f64>> {
    let sheet = slips.ground.sheet;
    let Some(item) = sheet.tables().get(table).map(|table| table.item) else {
        return Vec::new();
    };
    let text = sheet.tree().text_of(item as usize);
    let rows = text.lines().filter(|line| line.trim_start().starts_with('|')).skip(1);
    let watts = |line: &str| {
        let named = quantities(line)
            .into_iter()
            .filter(|named| matches!(&*named.sign, "W" | "kW"));
        named
            .map(|named| named.number * if named.sign == "kW" { 1000.0 } else { 1.0 })
            .collect()
    };
    rows.map(watts).collect()
}

/// A rate at one load, by its line, from rows in the midst of which another load began.
fn two_loads(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !is_rate(formula.kind) {
        return;
    }
    let named = quantities(ground.raw(cell))
        .into_iter()
        .find(|named| matches!(&*named.sign, "W" | "kW"));
    let Some(own) = named.map(|named| named.number * if named.sign == "kW" { 1000.0 } else { 1.0 }) else {
        return;
    };
    let picked: Vec<(u32, usize)> = parts(formula).into_iter().filter_map(row_of).collect();
    let (Some((slot, first)), Some((_, last))) = (
        picked.iter().min_by_key(|(_, row)| *row),
        picked.iter().max_by_key(|(_, row)| *row),
    ) else {
        return;
    };
    let Some(table) = ground.sheet.table_column(*slot).map(|column| column.table) else {
        return;
    };
    let between = watts_by_row(slips, table as usize)
        .into_iter()
        .skip(*first)
        .take(last.saturating_sub(*first + 1));
    if between.flatten().any(|watts| (watts / own - 1.0).abs() > 0.2) {
        slips.habit(cell, &TWO_LOADS, None, None);
    }
}

/// A margin at the level of a full cylinder, where somebody swaps at less.
fn full_for_least(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let level = parts(formula).into_iter().find_map(|part| match &part.node {
        _ if called(part, Fact::LevelOfWeight).is_some() => called(part, Fact::LevelOfWeight)?.first(),
        Node::Call(function, arguments) => {
            let place = function
                .parameters
                .iter()
                .position(|parameter| parameter.name == "level")?;
            arguments.get(place)
        }
        _ => None,
    });
    let written = level
        .and_then(constant)
        .and_then(|(kind, number)| in_unit(kind, number, "lb"));
    let named = level.and_then(cell_of).filter(|full| ground.is_input(*full));
    if named.is_none() && written.is_none() {
        return;
    }
    let least = [
        "swap",
        "swapped",
        "left",
        "least",
        "reserve",
        "change at",
        "down to",
        "drawn to",
        "changed",
    ];
    if named.is_some_and(|full| ground.says(full, &least)) {
        return;
    }
    let filled = named.is_some_and(|full| ground.says(full, &["filled", "full", "as filled", "float", "evening"]));
    let pounds = match written.or_else(|| ground.value(named?, "lb")) {
        Some(pounds) => pounds,
        None if filled => f64::MAX,
        None => return,
    };
    let lower = all_cells(ground.sheet).find(|other| {
        let lower = ground
            .value(*other, "lb")
            .is_some_and(|value| value > 0.0 && value < 0.8 * pounds);
        ground.is_input(*other)
            && ground.is(*other, "lb")
            && lower
            && ground.says(*other, &least)
            && !ground.says(*other, &["hose", "tare"])
    });
    let mut margins = all_cells(ground.sheet).filter(|user| ground.rests_on(*user, cell));
    let margin = margins.any(|user| {
        ground.formulas.get(&user).is_some_and(|formula| {
            parts(formula)
                .into_iter()
                .any(|part| called(part, Fact::HeatMargin).is_some())
        })
    });
    if let Some(lower) = lower.filter(|_| margin) {
        slips.habit(cell, &FULL_FOR_LEAST, Some(lower), None);
    }
}

/// Hours or a burn that are told for a part of the rating, taken for another load.
fn other_load(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let loads: Vec<CellId> = all_cells(ground.sheet).filter(|cell| ground.is_load(*cell)).collect();
    let plates = [
        "rated",
        "nameplate",
        "plate",
        "rating",
        "running watts",
        "leaflet",
        "capacity",
    ];
    let rated = loads
        .iter()
        .find(|cell| ground.is_input(**cell) && ground.says(**cell, &plates));
    let rated = rated.and_then(|cell| ground.value(*cell, "W"));
    let mine = loads
        .iter()
        .filter(|cell| !ground.says(**cell, &plates) && !ground.says(**cell, &["peak", "start", "surge", "most"]));
    let mine = mine.filter_map(|cell| ground.value(*cell, "W")).fold(0.0, f64::max);
    let known = rated.filter(|rated| *rated > 0.0).map(|rated| mine / rated);
    let Some(share) = known.or_else(|| share_in_prose(slips)).filter(|share| *share > 0.0) else {
        return;
    };
    let claims = all_cells(ground.sheet).filter(|cell| {
        ground.is_input(*cell)
            && (ground.is(*cell, "h")
                || ground.is(*cell, "lb/h")
                || ground.is(*cell, "gal/h")
                || ground.is_level(*cell))
    });
    let rates: Vec<CellId> = claims.collect();
    for claim in rates.iter().copied() {
        let words = ground.says(claim, &["load"]);
        let said = quantities(ground.raw(claim))
            .into_iter()
            .find(|named| named.sign == "%")
            .map(|named| named.number / 100.0);
        let part = match () {
            () if !words => None,
            () if ground.says(claim, &["half load", "half of the load", "half its load"]) => Some(0.5),
            () if ground.says(claim, &["quarter load", "quarter of the load", "quarter of its load"]) => Some(0.25),
            () if ground.says(claim, &["full load"]) => Some(1.0),
            () => said,
        };
        // two of them are a line to carry along
        let alone = || {
            rates
                .iter()
                .all(|rate| *rate == claim || watts_named(slips, *rate).is_none())
        };
        let whole = ground.says(claim, &["full", "rated", "most", "plate"]);
        let watts = watts_named(slips, claim).filter(|_| alone() && !whole);
        let part = part.or_else(|| watts.map(|watts| share * watts / mine));
        let Some(part) = part.filter(|part| *part > 0.0) else {
            continue;
        };
        // what carries it to another load knows the load
        let carried = ground.formulas.iter().any(|(user, formula)| {
            let direct = parts(formula).into_iter().any(|part| cell_of(part) == Some(claim));
            direct && ground.needs(*user).any(|need| need != claim && ground.is_load(need))
        });
        let used = all_cells(ground.sheet).any(|user| user != claim && ground.rests_on(user, claim));
        if used && !carried && !(0.7..1.4).contains(&(share / part)) {
            slips.habit(claim, &OTHER_LOAD, None, None);
        }
    }
}

/// The only watts that the line of a rate names.
fn watts_named(slips: &Slips<'_>, claim: CellId) -> Option<f64> {
    let rate = slips.ground.is(claim, "lb/h") || slips.ground.is(claim, "gal/h");
    let named = quantities(slips.ground.raw(claim)).into_iter().filter_map(|named| {
        let way = crate::unit::conversion(named.unit, super::unit("W"))?;
        Some(way.apply_f64(named.number))
    });
    match named.collect::<Vec<f64>>()[..] {
        [watts] if rate => Some(watts),
        _ => None,
    }
}

/// The load over the rating, where the prose alone names both.
fn share_in_prose(slips: &Slips<'_>) -> Option<f64> {
    let ground = slips.ground;
    let prose = all_cells(ground.sheet)
        .map(|cell| ground.prose(cell))
        .max_by_key(|prose| prose.len())?;
    let rated = ["plate says", "rated", "plate of"]
        .iter()
        .any(|word| prose.contains(word));
    let watts = quantities(prose)
        .into_iter()
        .filter(|named| named.sign == "W")
        .map(|named| named.number);
    match watts.collect::<Vec<f64>>()[..] {
        [one, other] if rated => Some(one.min(other) / one.max(other)),
        _ => None,
    }
}
