//! What goes wrong with amperes and volts, and with meters that read them.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::Built;
use crate::trade::habits::{
    CLAMP_AROUND_CORD, CONTINUOUS_LOAD, CONTINUOUS_TWICE, DERATED_TWICE, FURNACE_INPUT, HALF_THE_AMPERES, MEAN_FOR_ALL,
    MEAN_FOR_START, MOTORS_APPARENT, OUTLET_FOR_LEG, OUTLET_VOLTS, PART_OF_WHOLE, ROOT_OF_THREE, START_ALONE, WHILE_ON,
};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    above, call, cell_of, column_of, constant, factors, has_word, in_unit, is_load, is_of, parts, plain, terms,
};
use super::legs::made_of;
use super::quantities::{hours_between, quantities};
use super::shapes::flat;
use super::slips::Slips;

const MOTORS: &[&str] = &[
    "motor",
    "motors",
    "pump",
    "pumps",
    "compressor",
    "refrigerator",
    "refrigerators",
    "freezer",
    "fridge",
    "blower",
    "fan",
    "fans",
];

/// Looks through every input and every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let inputs = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        let around = [
            "round the cord",
            "around the cord",
            "round the whole cord",
            "around the whole cord",
            "both conductors",
            "all three wires",
        ];
        if ground.is(cell, "A") && ground.says(cell, &around) {
            slips.habit(cell, &CLAMP_AROUND_CORD, None, None);
        }
    }
    for (cell, formula) in ground.worked() {
        root_of_three(slips, cell, formula);
        half_the_amperes(slips, cell, formula);
        motors_apparent(slips, cell, formula);
        continuous_twice(slips, cell, formula);
        volts_of_motor(slips, cell, formula);
        mean_for_start(slips, cell, formula);
        furnace_input(slips, cell, formula);
        while_on(slips, cell, formula);
        largest_alone(slips, cell, formula);
        not_for_hours(slips, cell, formula);
        in_the_whole(slips, cell, formula);
        for part in parts(formula) {
            outlet_for_leg(slips, cell, part);
            mean_for_all(slips, cell, part);
        }
    }
}

fn bare(part: &Typed) -> Option<f64> {
    constant(part).and_then(|(kind, number)| in_unit(kind, number, ""))
}

/// 1.732 where the worksheet tells of one phase.
fn root_of_three(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let root = |part: &Typed| {
        let of_three = call(part, Built::SquareRoot).and_then(<[Typed]>::first).and_then(bare) == Some(3.0);
        of_three || bare(part).is_some_and(|value| (value - 1.732).abs() < 2e-3)
    };
    let has = parts(formula).into_iter().any(root) && is_of(formula.kind, "A");
    let one = ["single phase", "one phase", "1 phase"];
    if has && (slips.ground.says_near(cell, &one) || slips.ground.needs(cell).any(|need| slips.ground.says(need, &one)))
    {
        slips.habit(cell, &ROOT_OF_THREE, None, Some(f64::sqrt(3.0)));
    }
}

/// Half the amperes of what lies across both legs.
fn half_the_amperes(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let half = factors(formula).iter().any(|(above, part)| {
        bare(part).is_some_and(|value| (if *above { value } else { 1.0 / value } - 0.5).abs() < 1e-9)
    });
    let amps = above(formula).find(|amps| ground.is(*amps, "A"));
    let across = ["both legs", "240 v", "across both", "each leg", "both hots"];
    if let Some(amps) = amps.filter(|amps| {
        half && is_of(formula.kind, "A") && (ground.says(*amps, &across) || ground.says_near(cell, &across))
    }) {
        slips.habit(cell, &HALF_THE_AMPERES, Some(amps), Some(2.0));
    }
}

/// Volts times amperes of motors, made watts.
fn motors_apparent(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let forced = pieces.iter().any(|(_, part)| {
        constant(part).is_some_and(|(kind, _)| matches!(kind, Kind::Quantity(of) if of.to_string() == "W/VA"))
    });
    let told = pieces
        .iter()
        .any(|(_, part)| cell_of(part).is_some_and(|cell| ground.says(cell, &["power factor", "pf", "cos phi"])));
    let clamp = pieces.iter().any(|(_, part)| {
        let read = cell_of(part).is_some_and(|amps| {
            ground.is(amps, "A") && ground.is_input(amps) && ground.says(amps, &["clamp", "meter", "ammeter"])
        });
        read || column_of(part).is_some() && is_of(part.kind, "A")
    });
    let drops = pieces.iter().any(|(_, part)| {
        let told = |volts: CellId| ground.says(volts, &["drop", "lost"]);
        is_of(part.kind, "V") && cell_of(part).is_none_or(told)
    });
    let forced = forced && !drops;
    let hot = [
        "heater",
        "heaters",
        "kettle",
        "toaster",
        "resistance",
        "resistive",
        "oven",
        "breaker",
    ];
    let text = ground.near(cell);
    if forced
        && clamp
        && !told
        && (has_word(text, MOTORS) || ground.says(cell, MOTORS))
        && !has_word(text, &hot)
        && !ground.says(cell, &hot)
    {
        slips.habit(cell, &MOTORS_APPARENT, None, Some(0.7));
    }
}

/// 80 % of what an outlet carries for hours.
fn continuous_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let eighty = factors(formula).iter().any(|(above, part)| {
        let share = bare(part).or_else(|| slips.ground.value(cell_of(part)?, ""));
        *above && share.is_some_and(|share| (share - 0.8).abs() < 1e-9)
    });
    let for_hours = |part: &Typed| match &made_of(slips, part).node {
        Node::Call(function, arguments) => function.parameters.iter().zip(arguments).any(|(parameter, argument)| {
            let on = constant(argument).is_some_and(|(_, number)| !number.is_zero());
            parameter.name == "continuous" && on
        }),
        _ => false,
    };
    if eighty && factors(formula).iter().any(|(above, part)| *above && for_hours(part)) {
        slips.habit(cell, &CONTINUOUS_TWICE, None, Some(1.25));
    }
}

/// Volt-amperes of a motor over half of its volts.
fn volts_of_motor(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let over = factors(formula)
        .into_iter()
        .find_map(|(above, part)| cell_of(part).filter(|cell| !above && ground.is(*cell, "V")));
    let volts = over.and_then(|over| ground.value(over, "V"));
    let Some(volts) = volts.filter(|_| is_of(formula.kind, "A")) else {
        return;
    };
    let told = above(formula)
        .flat_map(|part| ground.needs(part))
        .filter(|need| Some(*need) != over);
    let told = told
        .flat_map(|need| quantities(ground.raw(need)))
        .filter(|named| named.sign == "V");
    let told: Vec<f64> = told.map(|named| named.number).collect();
    if !told.is_empty() && told.iter().all(|told| (told / volts - 2.0).abs() < 0.1) {
        slips.habit(cell, &OUTLET_VOLTS, over, Some(0.5));
    }
}

/// Amperes times the volts of both legs, against what hangs on one.
fn outlet_for_leg(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let sides = match &part.node {
        Node::Compare(_, sides) => [cell_of(&sides.0), cell_of(&sides.1)],
        _ => match terms(part).as_slice() {
            [(true, one), (false, other)] => [cell_of(one), cell_of(other)],
            _ => return,
        },
    };
    let [Some(one), Some(other)] = sides else { return };
    let both = |cell: CellId| {
        let volts = ground.formulas.get(&cell).map(factors).unwrap_or_default();
        let wide = volts
            .iter()
            .filter_map(|(_, part)| cell_of(part))
            .any(|volts| ground.value(volts, "V").is_some_and(|volts| volts > 200.0));
        wide && !ground.says(cell, &["both legs", "together"])
    };
    let leg = |cell: CellId| ground.says(cell, &["leg", "leg a", "leg b", "side a", "side b"]) && ground.is_load(cell);
    if let Some(whole) = [(one, other), (other, one)]
        .into_iter()
        .find(|(of_leg, whole)| leg(*of_leg) && both(*whole))
        .map(|(_, whole)| whole)
    {
        slips.habit(cell, &OUTLET_FOR_LEG, Some(whole), None);
    }
}

/// The largest of means over minutes, as a start.
fn mean_for_start(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !is_load(formula.kind) || !ground.says(cell, &["start", "starts", "starting", "surge", "worst start"]) {
        return;
    }
    let over = [
        "mean of every",
        "means of",
        "average of every",
        "5 minutes",
        "minute means",
        "every 5 min",
        "every minute",
        "every 10 minutes",
    ];
    let table = |slot: u32| {
        let column = ground.sheet.table_column(slot)?;
        let table = ground.sheet.tables().get(column.table as usize)?;
        Some(plain(ground.sheet.tree().text_of(table.item as usize)))
    };
    let rows = parts(formula)
        .into_iter()
        .filter_map(column_of)
        .filter_map(table)
        .any(|said| has_word(&said, &over));
    let lines = parts(formula)
        .into_iter()
        .filter_map(cell_of)
        .any(|load| ground.is_load(load) && ground.says(load, &over));
    if rows || lines {
        slips.habit(cell, &MEAN_FOR_START, None, None);
    }
}

/// What a furnace burns, as electric load.
fn furnace_input(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let watts = matches!(formula.kind, Kind::Quantity(of) if matches!(&*of.to_string(), "W" | "kW"));
    let burns = |heat: CellId| {
        let heat_unit = ground
            .sheet
            .shape(heat)
            .is_some_and(|shape| matches!(shape.kind, Kind::Quantity(of) if of.to_string().contains("BTU")));
        heat_unit
            && ground.is(heat, "W")
            && ground.is_input(heat)
            && ground.says(heat, &["furnace", "boiler", "water heater", "input", "burner"])
    };
    let taken = terms(formula)
        .into_iter()
        .filter(|(up, _)| *up)
        .find_map(|(_, term)| cell_of(term).filter(|heat| burns(*heat)));
    if let Some(heat) = taken.filter(|_| watts && !ground.says(cell, &["heat", "loss", "thermal"])) {
        slips.habit(cell, &FURNACE_INPUT, Some(heat), Some(0.03));
    }
}

/// Energy over the hours that something runs, carried through all 24 h.
fn while_on(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let energy = pieces.iter().any(|(above, part)| *above && is_of(part.kind, "Wh"));
    let hours = pieces.iter().find_map(|(above, part)| {
        let hours = cell_of(part).filter(|hours| !above && ground.is(*hours, "h/d"))?;
        ground.value(hours, "h/d").filter(|hours| *hours < 23.0)
    });
    let Some(hours) = hours.filter(|_| energy && is_load(formula.kind)) else {
        return;
    };
    let all_day = |part: &Typed| {
        constant(part)
            .is_some_and(|(kind, number)| in_unit(kind, number, "h").is_some_and(|hours| (hours - 24.0).abs() < 1e-9))
    };
    let carried = ground.worked().find(|(other, made)| {
        let pieces = factors(made);
        ground.rests_on(*other, cell) && pieces.iter().any(|(above, part)| *above && all_day(part))
    });
    if let Some((other, _)) = carried {
        slips.habit(cell, &WHILE_ON, Some(other), Some(hours / 24.0));
    }
}

/// The largest of several loads, a start among them, as if the others stopped for it.
fn largest_alone(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let Some(loads) = call(formula, Built::Max) else { return };
    let cells: Vec<CellId> = loads
        .iter()
        .filter_map(cell_of)
        .filter(|load| ground.is_load(*load))
        .collect();
    let starts = ["start", "starts", "starting", "peak hold", "locked rotor"];
    let start = cells.iter().filter(|load| ground.says(**load, &starts)).count();
    if start > 0 && cells.len() > start + 1 {
        slips.habit(cell, &START_ALONE, cells.first().copied(), None);
    }
}

/// All that an outlet carries, for a load that is on for three hours or more.
fn not_for_hours(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let short = |part: &Typed| match &part.node {
        Node::Call(function, arguments) => function.parameters.iter().zip(arguments).any(|(parameter, argument)| {
            let off = constant(argument).is_some_and(|(_, number)| number.is_zero());
            parameter.name == "continuous" && off
        }),
        _ => false,
    };
    let near = ground.prose(cell);
    let long = hours_between(near).is_some_and(|hours| hours >= 3.0)
        || has_word(
            ground.near(cell),
            &["all night", "all evening", "around the clock", "all day"],
        );
    if long && parts(formula).into_iter().any(short) {
        slips.habit(cell, &CONTINUOUS_LOAD, None, Some(0.8));
    }
}

/// The efficiency of a part beside that of the whole; a height taken off by two rules.
fn in_the_whole(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = flat(slips, formula);
    let share = |words: &'static [&'static str]| {
        let mut cells = pieces
            .iter()
            .filter(|piece| !piece.above)
            .filter_map(|piece| cell_of(piece.part));
        cells.find(|cell| ground.is(*cell, "") && ground.is_input(*cell) && ground.says(*cell, words))
    };
    let whole = share(&[
        "overall",
        "at the outlet",
        "whole set",
        "outlet over",
        "kilowatt hours at the outlet",
    ]);
    if slips.inherits(cell) {
        return;
    }
    if let (Some(_), Some(part)) = (whole, share(&["alternator", "generator end", "engine"]))
        && whole != Some(part)
    {
        slips.habit(cell, &PART_OF_WHOLE, Some(part), ground.value(part, ""));
        return;
    }
    let height = |cell: CellId| {
        ground
            .needs(cell)
            .find(|need| ground.is(*need, "ft") && ground.value(*need, "ft").is_some_and(|feet| feet > 1000.0))
    };
    let direct = factors(formula);
    let high: Vec<(CellId, CellId)> = direct
        .iter()
        .filter_map(|(_, part)| cell_of(part))
        .filter_map(|part| Some((part, height(part)?)))
        .collect();
    if let [(_, one), (other, two)] = high.as_slice()
        && one == two
        && is_load(formula.kind)
    {
        slips.habit(cell, &DERATED_TWICE, Some(*other), None);
    }
}

/// A mean over the day against what a set is rated for.
fn mean_for_all(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Node::Compare(ComparisonOperator::AtMost | ComparisonOperator::Less, sides) = &part.node else {
        return;
    };
    let (Some(load), Some(rated)) = (cell_of(&sides.0), cell_of(&sides.1)) else {
        return;
    };
    let is_mean =
        ground.says(load, &["mean", "mean of the day", "averaged"]) && ground.is_load(load) && !ground.is_input(load);
    let set = ground.is_load(rated)
        && ground.is_input(rated)
        && ground.says(rated, &["rated", "nameplate", "running", "set"]);
    // a fuel that goes with the mean is another matter
    let hours = ground.formulas.get(&load).is_some_and(|made| {
        parts(made)
            .into_iter()
            .any(|part| is_of(part.kind, "h/d") || is_of(part.kind, "h") || is_of(part.kind, "Wh"))
    });
    if is_mean && set && hours {
        slips.habit(cell, &MEAN_FOR_ALL, Some(load), None);
    }
}
