//! What goes wrong with loads, volts and legs.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::Typed;
use crate::trade::Built;
use crate::trade::habits::{
    CHANGEOVER, DERATED_TWICE, DUTY_LEFT_OUT, DUTY_TWICE, GOES_IN, HEAT_MOVED, HOURS_UNUSED, LOAD_IN_PROSE,
    MEAN_FOR_PEAK, OTHER_VOLTS, OUTLET_VOLTS, PLATE_FOR_MEAN, SHAFT_POWER, USABLE_LEFT_OUT,
};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    above, argument, bare, cell_of, column_of, constant, factors, has_word, in_unit, is_all_day, is_load, is_of,
    is_plain, parts, plain, terms,
};
use super::quantities::quantities;
use super::slip::Slip;
use super::slips::Slips;

/// Looks through every formula, then at what the prose tells.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        other_volts(slips, cell, formula);
        outlet_volts(slips, cell, formula);
        heat_moved(slips, cell, formula);
        duty_twice(slips, cell, formula);
        changeover(slips, cell, formula);
        goes_in(slips, cell, formula);
        hours_unused(slips, cell, formula);
        duty_left_out(slips, cell, formula);
        derated_twice(slips, cell, formula);
        cycles(slips, cell, formula);
        usable_left_out(slips, cell, formula);
        mean_for_peak(slips, cell, formula);
        plate_for_mean(slips, cell, formula);
    }
    load_in_prose(slips);
}

/// The volts that the lines behind a part name, or are.
fn volts(slips: &Slips<'_>, part: &Typed) -> Vec<f64> {
    let ground = slips.ground;
    let Some(cell) = cell_of(part) else { return Vec::new() };
    let said = ground.needs(cell).flat_map(|need| {
        let named = quantities(ground.raw(need))
            .into_iter()
            .filter(|named| named.sign == "V");
        let named: Vec<f64> = named.map(|named| named.number).collect();
        named
            .into_iter()
            .chain(ground.value(need, "V").filter(|_| ground.is(need, "V")))
    });
    said.collect()
}

/// Ampere-hours at one voltage over amperes at another.
fn other_volts(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let pieces = factors(formula);
    let find = |unit: &str, wanted: bool| {
        let mut pieces = pieces.iter().filter(|(above, _)| *above == wanted);
        pieces.find(|(_, part)| is_of(part.kind, unit)).map(|(_, part)| *part)
    };
    let (Some(charge), Some(current)) = (find("A·h", true), find("A", false)) else {
        return;
    };
    let (of_charge, of_current) = (volts(slips, charge), volts(slips, current));
    let apart = |one: f64, other: f64| !(0.67..1.5).contains(&(one / other));
    let converts = pieces.iter().any(|(_, part)| is_of(part.kind, "V"));
    let known = of_charge.first().zip(of_current.first());
    let Some((battery, mains)) = known.filter(|_| !converts) else {
        return;
    };
    if of_charge
        .iter()
        .all(|one| of_current.iter().all(|other| apart(*one, *other)))
    {
        slips.habit(cell, &OTHER_VOLTS, None, Some(battery / mains));
    }
}

/// Amperes of loads at one voltage, worked out with another.
fn outlet_volts(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let watts = pieces.iter().find(|(above, part)| *above && is_of(part.kind, "W"));
    let Some((_, watts)) = watts.filter(|_| is_of(formula.kind, "A")) else {
        return;
    };
    let inner = pieces
        .iter()
        .filter(|(above, _)| !*above)
        .flat_map(|(_, part)| factors(part));
    let by = inner
        .filter(|(above, part)| *above && is_of(part.kind, "V"))
        .find_map(|(_, part)| {
            let written = constant(part).and_then(|(kind, number)| in_unit(kind, number, "V"));
            written.or_else(|| ground.value(cell_of(part)?, "V"))
        });
    let said = volts(slips, watts);
    let Some(by) = by.filter(|_| !said.is_empty()) else {
        return;
    };
    if said.iter().all(|said| (by / said - 2.0).abs() < 0.2) {
        slips.habit(cell, &OUTLET_VOLTS, None, Some(2.0));
    }
}

/// Heat that is moved, or power at a shaft, taken for the electric load as it is.
fn heat_moved(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !is_load(formula.kind) {
        return;
    }
    for (up, term) in terms(formula) {
        // converted by a number is converted all the same
        let rated: Vec<&Typed> = factors(term)
            .into_iter()
            .filter(|(_, part)| constant(part).is_none())
            .map(|(_, part)| part)
            .collect();
        let [rated] = rated[..] else { continue };
        let Some(named) = cell_of(rated).filter(|named| up && ground.is(*named, "W") && ground.is_input(*named)) else {
            continue;
        };
        let Some(Kind::Quantity(unit)) = ground.shape(named).map(|shape| shape.kind) else {
            continue;
        };
        let sign = unit.to_string();
        let cools = ground.says(
            named,
            &[
                "cooling",
                "cooling capacity",
                "heat pump",
                "air conditioner",
                "window unit",
                "heating output",
            ],
        );
        if sign.contains("BTU") && cools {
            let rating = ["eer", "seer", "cop"];
            let rated = all_cells(ground.sheet).find(|other| ground.is_input(*other) && ground.says(*other, &rating));
            slips.habit(cell, &HEAT_MOVED, rated, None);
        } else if sign == "hp"
            && !ground.says(cell, &["shaft"])
            && ground.says(named, &["motor", "pump", "compressor", "shaft", "blower"])
        {
            slips.habit(cell, &SHAFT_POWER, None, Some(1.35));
        }
    }
}

const DUTY: &[&str] = &[
    "duty",
    "duty cycle",
    "share of the time",
    "runs a part",
    "compressor s share",
    "part of the time",
    "of the hour",
];
const A_MEAN: &[&str] = &[
    "mean",
    "on average",
    "averaged",
    "over 24 h",
    "24 h",
    "energy meter",
    "divided by 24",
    "over a day",
    "kwh",
];

/// A mean, pauses included, times the share of the time that it runs.
fn duty_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    for (_, term) in terms(formula) {
        let duty = above(term).find(|duty| ground.is(*duty, "") && ground.says(*duty, DUTY));
        let mean = above(term).find(|mean| ground.is_load(*mean) && ground.says(*mean, A_MEAN));
        if let Some((duty, mean)) = duty.zip(mean) {
            let share = ground.value(duty, "").filter(|share| *share > 0.0);
            let more = share
                .zip(ground.value(mean, "W"))
                .map(|(share, mean)| mean * (1.0 - share));
            let whole = ground.value(cell, "W").filter(|whole| *whole > 0.0);
            let times = more.zip(whole).map(|(more, whole)| (whole + more) / whole);
            slips.habit(cell, &DUTY_TWICE, Some(duty), times);
        }
    }
}

/// Cylinders that are drawn one after the other, as if they shared the draw.
fn changeover(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let turns = [
        "changeover",
        "one after the other",
        "one after another",
        "opens when",
        "in turn",
        "when the first is empty",
        "one at a time",
        "takes over",
        "flips over",
        "clicks over",
        "switches over",
        "from one side till",
    ];
    let told_of_turns = all_cells(ground.sheet).any(|cell| {
        let text = ground.shape(cell).is_some_and(|shape| shape.kind == Kind::Text);
        text && plain(ground.written(cell)).contains("changeover")
    });
    let pieces = factors(formula);
    if !is_of(formula.kind, "W") && !is_of(formula.kind, "lb/h") {
        return;
    }
    let shared = pieces.iter().any(|(above, part)| {
        let bare = bare(part);
        !*above && bare.is_some_and(|bare| bare.fract() == 0.0 && (2.0..=6.0).contains(&bare))
    });
    if shared && pieces.len() == 2 && ground.says_near(cell, &turns) {
        slips.habit(cell, &CHANGEOVER, None, None);
        return;
    }
    let count = pieces.iter().find_map(|(above, count)| {
        let count = cell_of(count).filter(|count| ground.is(*count, "") || ground.is(*count, "each"))?;
        let several = super::number(ground.sheet, count)?.to_f64();
        let turned = ground.says_near(count, &turns) || told_of_turns;
        (several > 1.5 && turned).then_some((count, if *above { 1.0 / several } else { several }))
    });
    if let Some((count, times)) = count {
        slips.habit(cell, &CHANGEOVER, Some(count), Some(times));
    }
}

/// What must go in, as what comes out times the efficiency between: what a load takes is more at
/// the battery and at the set, and not less.
fn goes_in(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !(is_of(formula.kind, "W") || is_of(formula.kind, "Wh")) || slips.inherits(cell) {
        return;
    }
    let between = ["inverter", "charger", "round trip", "charging", "battery s efficiency"];
    let source = [
        "battery",
        "charger",
        "panel",
        "solar",
        "set gives",
        "from the set",
        "bank",
    ];
    let pieces = super::shapes::flat(slips, formula);
    let named: Vec<(bool, CellId)> = pieces
        .iter()
        .filter_map(|piece| Some((piece.above, cell_of(piece.part)?)))
        .collect();
    let used = named.iter().any(|(above, part)| {
        *above && ground.is_load(*part) && !ground.says(*part, &source) && !ground.says(*part, RATED)
    });
    let share = |part: CellId| {
        ground
            .value(part, "")
            .filter(|share| (0.3..1.0).contains(share) && ground.is(part, ""))
    };
    let losses = named
        .iter()
        .filter(|(above, part)| *above && share(*part).is_some() && ground.says(*part, &between));
    let losses: Vec<CellId> = losses.map(|(_, part)| *part).collect();
    let times = losses
        .iter()
        .filter_map(|part| share(*part))
        .map(|share| 1.0 / share / share)
        .product();
    if let Some(first) = losses.first().copied().filter(|_| used) {
        slips.habit(cell, &GOES_IN, Some(first), Some(times));
    }
}

const RATED: &[&str] = &["rated", "plate", "rating", "nameplate"];

/// The names of the columns of a column's table.
pub(super) fn beside<'a>(slips: &Slips<'a>, slot: u32) -> Vec<(u32, String, Kind)> {
    let sheet = slips.ground.sheet;
    let table = sheet
        .table_column(slot)
        .and_then(|column| sheet.tables().get(column.table as usize));
    let slots = table
        .filter(|table| table.cell.is_none())
        .map(|table| table.columns.clone());
    let named = slots.into_iter().flatten().filter_map(|slot| {
        let column = sheet.table_column(slot)?;
        Some((slot, plain(&column.name.replace('_', " ")), column.kind))
    });
    named.collect()
}

/// All watts of a table carried on for hours, where a column that nothing uses has the hours of each.
fn hours_unused(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let slot = factors(formula)
        .into_iter()
        .find_map(|(above, part)| column_of(argument(part, Built::Sum)?).filter(|_| above));
    let Some(slot) = slot.filter(|slot| {
        ground
            .sheet
            .table_column(*slot)
            .is_some_and(|column| is_load(column.kind))
    }) else {
        return;
    };
    let hours = beside(slips, slot)
        .into_iter()
        .find(|(_, _, kind)| is_of(*kind, "h") || is_of(*kind, "h/d"));
    let Some((hours, ..)) = hours else { return };
    let sheet = ground.sheet;
    let used = ground
        .formulas
        .values()
        .any(|formula| parts(formula).into_iter().any(|part| column_of(part) == Some(hours)));
    let answers = all_cells(sheet).filter(|answer| ground.rests_on(*answer, cell));
    let burns = answers.into_iter().any(|answer| {
        ground.is(answer, "lb") || ground.is(answer, "lb/h") || ground.is(answer, "kWh") || ground.is(answer, "h")
    });
    let few = sheet
        .column_cells(hours)
        .iter()
        .flatten()
        .any(|hours| hours.to_f64() < 12.0);
    if !used && burns && few && !ground.says(cell, &["peak", "at once", "most", "start"]) {
        slips.habit(cell, &HOURS_UNUSED, None, None);
    }
}

/// Watts times 24 h of what runs a part of the time, as the prose tells.
fn duty_left_out(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let part_of_time = [
        "third of the time",
        "half of the time",
        "half the time",
        "quarter of the time",
        "part of the time",
        "duty",
        "cycles",
    ];
    let on = ["compressor", "compressors", "refrigerator", "freezer", "fridge", "pump"];
    let near = ground.near(cell);
    let columns: Vec<u32> = factors(formula)
        .into_iter()
        .filter_map(|(above, part)| column_of(part).filter(|_| above))
        .collect();
    let of = |unit: &str| {
        columns.iter().copied().find(|slot| {
            ground
                .sheet
                .table_column(*slot)
                .is_some_and(|column| is_of(column.kind, unit))
        })
    };
    let all_day = of("h/d").or_else(|| of("h")).is_some_and(|hours| {
        ground
            .sheet
            .column_cells(hours)
            .iter()
            .flatten()
            .filter(|hours| (hours.to_f64() - 24.0).abs() < 1e-9)
            .count()
            > 1
    });
    if all_day && of("W").is_some() && has_word(near, &part_of_time) && has_word(near, &on) {
        slips.habit(cell, &DUTY_LEFT_OUT, None, None);
    }
}

/// A load that the prose tells and no sum has.
fn load_in_prose(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let summed = ground.formulas.iter().find(|(cell, formula)| {
        let columns = parts(formula).into_iter().filter_map(|part| argument(part, Built::Sum));
        let of_loads = columns
            .into_iter()
            .flat_map(parts)
            .any(|part| column_of(part).is_some() && is_load(part.kind));
        of_loads && !ground.is_input(**cell)
    });
    let Some((cell, _)) = summed else { return };
    let known = |watts: f64| {
        let same = |number: f64| (number / watts - 1.0).abs() < 0.005;
        let cells = all_cells(sheet).any(|cell| ground.is_load(cell) && ground.value(cell, "W").is_some_and(same));
        let columns = sheet.tables().iter().flat_map(|table| &table.columns);
        let rows = columns.into_iter().any(|slot| {
            let load = sheet.table_column(*slot).is_some_and(|column| is_load(column.kind));
            load && sheet
                .column_cells(*slot)
                .iter()
                .flatten()
                .any(|number| same(number.to_f64()))
        });
        cells || rows
    };
    let devices = [
        "pump",
        "heater",
        "kettle",
        "microwave",
        "stove",
        "range",
        "blower",
        "dryer",
        "saw",
        "oven",
    ];
    let prose = ground.prose(*cell);
    let near = ground.near(*cell);
    let not = [
        "not on",
        "stays off",
        "without the",
        "instead",
        "is off",
        "set runs at",
        "lamps each time",
    ];
    let told = quantities(prose)
        .into_iter()
        .filter(|named| named.sign == "W" && named.number >= 100.0);
    if told.into_iter().any(|named| !known(named.number)) && has_word(near, &devices) && !has_word(near, &not) {
        slips.habit(*cell, &LOAD_IN_PROSE, None, None);
    }
}

/// A rating of a height, with that height taken off once more.
fn derated_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !is_load(formula.kind) {
        return;
    }
    let pieces = factors(formula);
    let height = |cell: CellId| {
        ground
            .value(cell, "ft")
            .filter(|feet| *feet > 1000.0 && ground.is(cell, "ft"))
    };
    let less = pieces.iter().find_map(|(above, part)| {
        let terms = terms(part);
        let share = terms.iter().find(|(up, _)| !up).and_then(|(_, term)| cell_of(term));
        let share = share.filter(|_| *above && terms.len() == 2)?;
        ground.needs(share).find_map(height)
    });
    let rated = above(formula).find(|part| ground.is_load(*part));
    let (Some(feet), Some(rated)) = (less, rated) else {
        return;
    };
    let said = quantities(ground.raw(rated))
        .into_iter()
        .any(|named| named.sign == "ft" && (named.number / feet - 1.0).abs() < 0.25);
    if said {
        slips.add(
            cell,
            Slip::Habit(&DERATED_TWICE, Some(rated)),
            ground.value(rated, "W").and_then(|watts| ground.at(cell, watts, "W")),
        );
    }
}

/// Running watts for all 24 h of what its line says runs a part of the time.
fn cycles(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let whole = pieces.iter().any(|(above, part)| *above && is_all_day(part));
    let part_of_time = [
        "of the hour",
        "of each hour",
        "of every hour",
        "of the time",
        "while the compressor runs",
        "when it runs",
        "while it runs",
        "cycles",
    ];
    let load = above(formula).find(|load| ground.is_load(*load) && ground.says(*load, &part_of_time));
    let shared = pieces.iter().any(|(_, part)| is_plain(part.kind));
    if let Some(load) = load.filter(|load| whole && !shared && !ground.says(*load, A_MEAN)) {
        slips.habit(cell, &DUTY_LEFT_OUT, Some(load), None);
    }
}

/// All of a battery's label over a load, where a line tells how much of it is to be used.
fn usable_left_out(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let shared = pieces.iter().any(|(_, part)| is_plain(part.kind));
    let holds = above(formula).find(|part| ground.is(*part, "Wh") && ground.is_input(*part));
    let Some(holds) = holds.filter(|_| is_of(formula.kind, "h") && !shared) else {
        return;
    };
    let share = quantities(ground.raw(holds))
        .into_iter()
        .find(|named| named.sign == "%")
        .map(|named| named.number / 100.0);
    let told = ground.says(holds, &["no more than", "usable", "depth", "down to", "at most"]);
    if let Some(share) = share.filter(|share| told && (0.3..0.97).contains(share)) {
        slips.habit(cell, &USABLE_LEFT_OUT, Some(holds), Some(share));
    }
}

/// A mean over the day by the name of a peak.
fn mean_for_peak(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let Some(inner) = argument(formula, Built::Sum).filter(|_| is_load(formula.kind)) else {
        return;
    };
    let columns: Vec<u32> = factors(inner)
        .into_iter()
        .filter_map(|(above, part)| column_of(part).filter(|_| above))
        .collect();
    let duty = columns.iter().any(|slot| {
        let name = ground.sheet.table_column(*slot).map(|column| plain(&column.name));
        name.is_some_and(|name| has_word(&name, &["duty", "share", "part"]))
    });
    if duty && columns.len() > 1 && ground.says(cell, &["peak", "at once", "most", "together"]) {
        slips.habit(cell, &MEAN_FOR_PEAK, None, None);
    }
}

/// What an hour costs over the plate's watts, where the load of the run was metered.
fn plate_for_mean(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let by_energy = is_of(formula.kind, "$/kWh") || is_of(formula.kind, "lb/kWh");
    let made = is_of(formula.kind, "Wh") && ground.says(cell, &["made", "energy", "generated", "output", "kwh"]);
    let pieces = factors(formula);
    let plate = pieces
        .iter()
        .filter_map(|(above, part)| cell_of(part).filter(|_| *above == made))
        .find(|part| ground.is_load(*part));
    let Some(plate) = plate.filter(|plate| (by_energy || made) && ground.says(*plate, RATED)) else {
        return;
    };
    let metered = all_cells(ground.sheet).find(|load| {
        *load != plate
            && ground.is_load(*load)
            && ground.is_input(*load)
            && ground.says(*load, &["meter", "metered", "on average", "mean"])
    });
    if let Some(metered) = metered {
        let times = ground
            .value(plate, "W")
            .zip(ground.value(metered, "W"))
            .map(|(plate, metered)| if made { metered / plate } else { plate / metered });
        slips.habit(cell, &PLATE_FOR_MEAN, Some(metered), times);
    }
}
