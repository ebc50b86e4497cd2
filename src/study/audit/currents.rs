//! What goes wrong with amperes and volts, and with meters that read them.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::Built;
use crate::trade::habits::{
    CLAMP_AROUND_CORD, CONTINUOUS_LOAD, CONTINUOUS_TWICE, DAYS_OF_METER, DERATED_TWICE, EACH_ALONE, EXTRA_LESS_RUNNING,
    FURNACE_INPUT, HALF_THE_AMPERES, MEAN_FOR_ALL, MEAN_FOR_START, MOTORS_APPARENT, OTHER_GAUGE, OUTLET_FOR_LEG,
    PART_OF_WHOLE, POWER_FACTOR, ROOT_OF_THREE, SHARE_OF_PANEL, START_ALONE, WHILE_ON,
};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    Place, above, bare, call, cell_of, column_of, constant, factors, has_word, is_all_day, is_load, is_of, is_plain,
    parts, plain, terms,
};
use super::legs::{held_against, made_of};
use super::quantities::{hours_between, quantities};
use super::shapes::flat;
use super::slip::Slip;
use super::slips::Slips;

pub(super) const MOTORS: &[&str] = &[
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
        let gauges = gauges(ground.raw(cell));
        let name = plain(&ground.sheet.name_of(cell).unwrap_or_default().replace('_', " "));
        let value = ground.value(cell, "").filter(|_| has_word(&name, &["gauge", "awg"]));
        if value.is_some_and(|value| !gauges.is_empty() && !gauges.contains(&value)) {
            slips.habit(cell, &OTHER_GAUGE, None, None);
        }
        if ground.is(cell, "A") && ground.says(cell, &around) {
            slips.habit(cell, &CLAMP_AROUND_CORD, None, None);
        }
    }
    rated_on_gasoline(slips);
    each_alone(slips);
    for (cell, formula) in ground.works() {
        root_of_three(slips, cell, formula);
        half_the_amperes(slips, cell, formula);
        motors_apparent(slips, cell, formula);
        continuous_twice(slips, cell, formula);
        power_factor(slips, cell, formula);
        mean_for_start(slips, cell, formula);
        furnace_input(slips, cell, formula);
        while_on(slips, cell, formula);
        largest_alone(slips, cell, formula);
        share_of_panel(slips, cell, formula);
        extra_less_running(slips, cell, formula);
        other_gauge(slips, cell, formula);
        mean_times_hours(slips, cell, formula);
        days_of_meter(slips, cell, formula);
        not_for_hours(slips, cell, formula);
        in_the_whole(slips, cell, formula);
        height_twice(slips, cell, formula);
        for part in parts(formula) {
            outlet_for_leg(slips, cell, part);
            mean_for_all(slips, cell, part);
        }
    }
}

/// The table of a column as plain words.
fn said_by_table(slips: &Slips<'_>, slot: u32) -> Option<String> {
    let sheet = slips.ground.sheet;
    let table = sheet.tables().get(sheet.table_column(slot)?.table as usize)?;
    Some(plain(sheet.tree().text_of(table.item as usize)))
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

/// Amperes times the volts of both legs, against what hangs on one.
fn outlet_for_leg(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Some((one, other)) = held_against(part) else { return };
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
    let table = |slot: u32| said_by_table(slips, slot);
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
    let carried = ground.worked().find(|(other, made)| {
        let pieces = factors(made);
        ground.rests_on(*other, cell) && pieces.iter().any(|(above, part)| *above && is_all_day(part))
    });
    if let Some((other, _)) = carried {
        slips.habit(cell, &WHILE_ON, Some(other), Some(hours / 24.0));
    }
}

/// The largest of several loads, a start among them, as if the others stopped for it.
fn largest_alone(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let Some(loads) = call(formula, Built::Max) else { return };
    let of_column = loads
        .first()
        .and_then(column_of)
        .and_then(|slot| ground.sheet.table_column(slot));
    let named = of_column
        .filter(|_| loads.len() == 1)
        .map(|column| plain(&column.name.replace('_', " ")));
    // with what else runs beside it in a sum it isn't alone
    let whole = ground.place.get() == Place::Whole;
    let of_starts = whole && named.is_some_and(|name| has_word(&name, &["start", "starting", "starts"]));
    let compared = ground.worked().any(|(_, made)| match &made.node {
        Node::Compare(_, sides) => cell_of(&sides.0) == Some(cell),
        _ => false,
    });
    if of_starts && compared && is_load(formula.kind) {
        slips.habit(cell, &START_ALONE, None, None);
        return;
    }
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

/// What a text calls three hours or more.
const LONG_HOURS: &[&str] = &[
    "all night",
    "all evening",
    "around the clock",
    "all day",
    "overnight",
    "four hours",
    "five hours",
    "six hours",
    "seven hours",
    "eight hours",
    "nine hours",
    "ten hours",
    "eleven hours",
    "twelve hours",
];

/// A drop on a cord from an outlet of half the volts that it is held against.
fn share_of_panel(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let under = pieces
        .iter()
        .find_map(|(above, part)| cell_of(part).filter(|cell| !above && ground.is(*cell, "V")));
    let over = pieces.iter().any(|(above, part)| *above && is_of(part.kind, "V"));
    let volts = under
        .and_then(|under| ground.value(under, "V"))
        .filter(|volts| over && *volts > 200.0);
    let (Some(under), Some(volts)) = (under, volts) else {
        return;
    };
    let half = |told: f64| (volts / told - 2.0).abs() < 0.1;
    let outlet = ["outlet", "duplex", "receptacle"];
    let mut others =
        all_cells(ground.sheet).filter(|other| *other != under && ground.is(*other, "V") && ground.is_input(*other));
    let known = others.any(|other| ground.value(other, "V").is_some_and(half) && ground.says(other, &outlet));
    let near = quantities(ground.prose(cell))
        .into_iter()
        .any(|named| named.sign == "V" && half(named.number));
    let own = ground
        .needs(cell)
        .filter(|need| *need != under)
        .flat_map(|need| quantities(ground.raw(need)));
    let own = own.into_iter().any(|named| named.sign == "V" && half(named.number));
    if known || own || near && has_word(ground.near(cell), &["outlet", "outlets"]) {
        slips.habit(cell, &SHARE_OF_PANEL, Some(under), Some(2.0));
    }
}

/// What a set gives on gasoline, where another line has what it gives on propane and nothing uses it.
fn rated_on_gasoline(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let ratings = |fuel: &'static [&'static str]| {
        let loads = all_cells(ground.sheet).filter(|cell| ground.is_load(*cell) && ground.is_input(*cell));
        loads.filter(|cell| ground.says(*cell, fuel)).collect::<Vec<CellId>>()
    };
    let used = |cell: CellId| all_cells(ground.sheet).any(|other| other != cell && ground.rests_on(other, cell));
    let gasoline = ratings(&["gasoline", "petrol"]).into_iter().find(|cell| used(*cell));
    let propane = ratings(&["propane", "lpg"]).into_iter().find(|cell| !used(*cell));
    if let Some((gasoline, propane)) = gasoline.zip(propane).filter(|(one, other)| one != other) {
        let right = ground
            .value(propane, "W")
            .and_then(|watts| ground.at(gasoline, watts, "W"));
        slips.add(gasoline, Slip::OtherRating("gasoline"), right);
    }
}

/// A meter's kilowatt-hours of several days over one of them.
fn days_of_meter(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let one_day = pieces.iter().any(|(above, part)| !*above && is_all_day(part));
    let counted = above(formula).find(|cell| {
        ground.is(*cell, "Wh") && ground.is_input(*cell) && ground.says(*cell, &["meter", "counted", "counter"])
    });
    let days = ["a day", "per day", "daily", "24 h", "24 hours", "one day"];
    let Some(counted) = counted.filter(|counted| one_day && !ground.says(*counted, &days)) else {
        return;
    };
    let idle = |other: &CellId| {
        let long = ground
            .value(*other, "h")
            .filter(|hours| *hours > 30.0 && ground.is(*other, "h") && !ground.is_input(*other))?;
        let used = all_cells(ground.sheet).any(|user| user != *other && ground.rests_on(user, *other));
        (!used).then_some(24.0 / long)
    };
    if let Some(times) = all_cells(ground.sheet).find_map(|other| idle(&other)) {
        slips.habit(cell, &DAYS_OF_METER, Some(counted), Some(times));
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
    let named = quantities(near)
        .into_iter()
        .any(|named| named.sign == "h" && named.number >= 3.0);
    let long =
        named || hours_between(near).is_some_and(|hours| hours >= 3.0) || has_word(ground.near(cell), LONG_HOURS);
    if long && parts(formula).into_iter().any(short) {
        slips.habit(cell, &CONTINUOUS_LOAD, None, Some(0.8));
    }
}

/// The efficiency of a part beside that of the whole.
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
    let inherits = ground
        .needs(cell)
        .any(|need| need != cell && slips.accused.contains(&need));
    if let (Some(_), Some(part), false) = (whole, share(&["alternator", "generator end", "engine"]), inherits)
        && whole != Some(part)
    {
        slips.habit(cell, &PART_OF_WHOLE, Some(part), ground.value(part, ""));
    }
}

/// A height that two factors of a power take off, each by a rule of its own.
fn height_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let height = |cell: CellId| {
        ground
            .needs(cell)
            .find(|need| ground.is(*need, "ft") && ground.value(*need, "ft").is_some_and(|feet| feet > 1000.0))
    };
    let cells = factors(formula).into_iter().filter_map(|(_, part)| cell_of(part));
    let high: Vec<(CellId, CellId)> = cells.filter_map(|part| Some((part, height(part)?))).collect();
    if let [(_, one), (other, two)] = high.as_slice()
        && one == two
        && is_load(formula.kind)
    {
        slips.habit(cell, &DERATED_TWICE, Some(*other), None);
    }
}

/// Starts that are extra to what runs, less what runs.
fn extra_less_running(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let extra = [
        "additional",
        "extra",
        "over running",
        "on top of running",
        "above running",
    ];
    let table = |slot: u32| said_by_table(slips, slot);
    let less = parts(formula).into_iter().any(|part| {
        let sum = terms(part);
        let column = |wanted: bool| {
            sum.iter()
                .filter(move |(up, _)| *up == wanted)
                .find_map(|(_, term)| column_of(term))
        };
        let one = column(true).filter(|_| column(false).is_some() && is_load(part.kind));
        one.and_then(table).is_some_and(|said| has_word(&said, &extra))
    });
    if less {
        slips.habit(cell, &EXTRA_LESS_RUNNING, None, None);
    }
}

/// A gauge of wire in a formula, where the cord's own line has another.
fn other_gauge(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let taken = parts(formula).into_iter().find_map(|part| match &part.node {
        Node::Call(function, arguments) => {
            let mut named = function.parameters.iter().zip(arguments);
            let (_, argument) = named.find(|(parameter, _)| parameter.name == "awg")?;
            Some(constant(argument)?.1.to_f64())
        }
        _ => None,
    });
    let inputs = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell));
    let told: Vec<f64> = inputs.flat_map(|cell| gauges(ground.written(cell))).collect();
    if taken.is_some_and(|taken| !told.is_empty() && !told.contains(&taken)) {
        slips.habit(cell, &OTHER_GAUGE, None, None);
    }
}

/// The gauges that a line has: `16/3`, `16 AWG`.
fn gauges(text: &str) -> Vec<f64> {
    let words: Vec<&str> = text.split([' ', '"', ',', ';', ':']).collect();
    let known = |gauge: &f64| (4.0..=20.0).contains(gauge) && gauge % 2.0 == 0.0;
    let joined = words.iter().filter_map(|word| {
        let (gauge, wires) = word.split_once('/')?;
        gauge.parse::<f64>().ok().filter(|_| matches!(wires, "2" | "3" | "4"))
    });
    let named = words
        .windows(2)
        .filter(|two| two.get(1).is_some_and(|word| word.eq_ignore_ascii_case("awg")));
    let named = named.filter_map(|two| two.first()?.parse::<f64>().ok());
    joined.chain(named).filter(known).collect()
}

/// A mean that has its rests in it, times the hours that it runs.
fn mean_times_hours(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let means = [
        "its mean",
        "rests included",
        "pauses included",
        "mean over",
        "mean of 24 h",
        "mean over 24 h",
        "mean over a day",
        "mean of a day",
        "day s mean",
    ];
    let factors = factors(formula).into_iter().filter(|(above, _)| *above);
    let mut loads = factors
        .flat_map(|(_, part)| terms(part))
        .filter_map(|(_, term)| cell_of(term));
    let load = loads.find(|load| ground.is_load(*load) && ground.is_input(*load) && ground.says(*load, &means));
    let hours = above(formula).find(|hours| {
        let few = ground.value(*hours, "h").or_else(|| ground.value(*hours, "h/d"));
        let on = ["running", "runs", "compressor", "hums", "on time"];
        few.is_some_and(|hours| hours < 23.0) && ground.says(*hours, &on)
    });
    if load.is_some() && hours.is_some() {
        slips.add(cell, Slip::RestsTwice, None);
    }
}

/// Each of several against what one cord carries, which has them all.
fn each_alone(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let mut met: Vec<(CellId, CellId, CellId)> = Vec::new();
    for (cell, formula) in ground.worked() {
        if let Node::Compare(ComparisonOperator::AtMost | ComparisonOperator::Less, sides) = &formula.node
            && let (Some(load), Some(most)) = (cell_of(&sides.0), cell_of(&sides.1))
            && ground.says(most, &["cord", "outlet", "circuit", "breaker"])
            && ground.is(most, "A")
        {
            met.push((cell, load, most));
        }
    }
    let together = [
        "one cord",
        "same cord",
        "both heaters",
        "both on",
        "triple tap",
        "same outlet",
        "one outlet",
        "same circuit",
        "one circuit",
    ];
    let summed = |load: &CellId| ground.formulas.get(load).is_some_and(|made| terms(made).len() > 1);
    if let [(first, one, most), (_, other, also), ..] = met.as_slice()
        && most == also
        && one != other
        && ground.says_near(*one, &together)
        && !summed(one)
        && !summed(other)
    {
        slips.habit(*first, &EACH_ALONE, Some(*most), None);
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

/// The volts and amperes of a motor as its watts, where a line tells a power factor.
fn power_factor(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces: Vec<(bool, &Typed)> = flat(slips, formula)
        .iter()
        .map(|piece| (piece.above, piece.part))
        .collect();
    let has = |unit: &str| pieces.iter().any(|(above, part)| *above && is_of(part.kind, unit));
    let factor = |part: &Typed| cell_of(part).is_some() && is_of(part.kind, "W/VA");
    let shared = pieces.iter().any(|(_, part)| is_plain(part.kind) || factor(part));
    let apparent = pieces.iter().any(|(above, part)| *above && is_apparent(part));
    if !is_load(formula.kind) || shared || !(apparent || has("A") && has("V")) {
        return;
    }
    let forced =
        |part: &Typed| constant(part).is_some_and(|(kind, number)| number.to_f64() != 1.0 && is_of(kind, "W/VA"));
    if pieces.iter().any(|(_, part)| forced(part)) {
        return;
    }
    let told = |other: CellId| {
        let text = format!("{} {}", ground.raw(other), ground.written(other)).to_lowercase();
        let behind = ["power factor ", "pf ", "cos phi "]
            .iter()
            .find_map(|words| Some(text.split_once(words)?.1.to_owned()));
        let number = behind?
            .trim_start_matches(['=', ' '])
            .split([' ', ',', ';', '"'])
            .next()?
            .trim_end_matches('.')
            .parse::<f64>()
            .ok()?;
        let number = if number > 1.0 { number / 100.0 } else { number };
        (0.2..0.97).contains(&number).then_some((other, number))
    };
    if let Some((other, number)) = all_cells(ground.sheet).find_map(told) {
        slips.habit(cell, &POWER_FACTOR, Some(other), Some(number));
    }
}

/// Whether a part is written in volt-amperes.
fn is_apparent(part: &Typed) -> bool {
    let inner = match &part.node {
        Node::Convert(inner, _) => inner,
        _ => part,
    };
    matches!(inner.kind, Kind::Quantity(of) if of.to_string().ends_with("VA"))
}
