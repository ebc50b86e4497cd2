//! What goes wrong with legs, outlets and starts.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::Built;
use crate::trade::habits::{BOTH_LEGS_ALIKE, CONTINUOUS_LOAD, OUTLET_VOLTS, START_ALONE, WHOLE_FOR_LEG};

use super::all_cells;
use super::electric::beside;
use super::ground::{
    argument, bare, cell_of, cells_in, column_of, constant, factors, has_word, in_unit, is_load, is_of, parts, plain,
    terms,
};
use super::quantities::quantities;
use super::slips::Slips;

/// Looks through every part of every formula and every check.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        volts_of_motor(slips, cell, formula);
        for part in parts(formula) {
            legs_alike(slips, cell, part);
            whole_for_leg(slips, cell, part);
            fuller_leg(slips, cell, part);
            start_alone(slips, cell, part);
            continuous(slips, cell, part);
        }
    }
}

/// The formula of an entry that a part is, or the part itself.
pub(super) fn made_of<'a>(slips: &Slips<'a>, part: &'a Typed) -> &'a Typed {
    let ground: &'a super::ground::Ground<'a> = slips.ground;
    cell_of(part)
        .and_then(|cell| ground.formulas.get(&cell))
        .unwrap_or(part)
}

/// Half of the sum for each leg, where a column tells the leg of each.
fn legs_alike(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let pieces = factors(part);
    let halves = pieces.iter().any(|(above, part)| {
        let bare = bare(part);
        bare.is_some_and(|bare| (if *above { bare } else { 1.0 / bare } - 0.5).abs() < 1e-9)
    });
    let sum = pieces
        .iter()
        .find_map(|(above, part)| column_of(argument(made_of(slips, part), Built::Sum)?).filter(|_| *above));
    let Some(slot) = sum.filter(|_| halves && matches!(part.node, Node::Arithmetic(..))) else {
        return;
    };
    let leg = beside(slips, slot)
        .into_iter()
        .find(|(_, name, _)| has_word(name, LEGS));
    let Some((leg, ..)) = leg else { return };
    let of_legs = of_legs(slips, slot, leg);
    let all: f64 = of_legs.iter().map(|(_, sum)| sum).sum();
    let most = of_legs.iter().map(|(_, sum)| *sum).fold(0.0, f64::max);
    if of_legs.len() == 2 && all > 0.0 && most / all > 0.55 {
        slips.habit(cell, &BOTH_LEGS_ALIKE, None, Some(2.0 * most / all));
    }
}

/// A continuous load on all of an outlet's or a breaker's rating.
fn continuous(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Node::Compare(ComparisonOperator::AtMost | ComparisonOperator::Less, sides) = &part.node else {
        return;
    };
    // of several the least counts
    let Some(rating) = parts(&sides.1).into_iter().find_map(cell_of) else {
        return;
    };
    let outlet = ground.is(rating, "A")
        && ground.is_input(rating)
        && ground.says(
            rating,
            &["outlet", "breaker", "circuit", "receptacle", "fuse", "plug", "inlet"],
        );
    let drawn = terms(&sides.0).into_iter().filter_map(|(up, term)| {
        let amps = ground.value(cell_of(term)?, "A")?;
        Some(if up { amps } else { -amps })
    });
    let drawn: f64 = drawn.sum();
    let above = ground.value(rating, "A").is_some_and(|rating| drawn > 0.8 * rating);
    let long = all_cells(ground.sheet).find(|hours| {
        ground.is_input(*hours) && ground.is(*hours, "h") && ground.value(*hours, "h").is_some_and(|hours| hours >= 3.0)
    });
    if let Some(long) = long.filter(|_| outlet && above) {
        slips.habit(cell, &CONTINUOUS_LOAD, Some(long), None);
    }
}

/// The entries of a comparison or of a difference.
pub(super) fn held_against(part: &Typed) -> Option<(CellId, CellId)> {
    match &part.node {
        Node::Compare(_, sides) => cell_of(&sides.0).zip(cell_of(&sides.1)),
        _ => match terms(part).as_slice() {
            [(true, one), (false, other)] => cell_of(one).zip(cell_of(other)),
            _ => None,
        },
    }
}

/// One leg of two against the rating of both.
fn whole_for_leg(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Some((one, other)) = held_against(part) else { return };
    let of_leg = |cell: CellId| {
        let formula = ground.formulas.get(&cell);
        formula.is_some_and(|formula| {
            parts(formula).into_iter().any(|part| {
                let Node::Where(sides) = &part.node else { return false };
                parts(&sides.1).into_iter().any(|part| {
                    column_of(part).is_some_and(|slot| {
                        let name = ground.sheet.table_column(slot).map(|column| plain(&column.name));
                        name.is_some_and(|name| has_word(&name, LEGS))
                    })
                })
            })
        })
    };
    let named = |cell: CellId| {
        let name = plain(&ground.sheet.name_of(cell).unwrap_or_default().replace('_', " "));
        let marks = [
            "leg a",
            "leg b",
            "leg 1",
            "leg 2",
            "one leg",
            "fuller leg",
            "side a",
            "side b",
        ];
        ground.is_load(cell) && !ground.is_input(cell) && has_word(&name, &marks)
    };
    let of_leg = |cell: CellId| of_leg(cell) || named(cell);
    let whole = |cell: CellId| {
        let rated =
            ground.is_input(cell) && ground.is_load(cell) && ground.says(cell, &["rated", "plate", "rating", "set"]);
        let one = ["each leg", "per leg", "a leg", "one leg", "leg"];
        rated && (!ground.says(cell, &one) || ground.says(cell, &["both legs"]))
    };
    if of_leg(one) && whole(other) || of_leg(other) && whole(one) {
        slips.habit(cell, &WHOLE_FOR_LEG, None, None);
    }
}

const LEGS: &[&str] = &["leg", "side", "phase", "pole", "half"];

/// All loads against all that a set gives, where one leg alone has more than its half.
fn fuller_leg(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Node::Compare(_, sides) = &part.node else { return };
    let (Some(one), Some(other)) = (cell_of(&sides.0), cell_of(&sides.1)) else {
        return;
    };
    let summed = |cell: CellId| column_of(argument(ground.formulas.get(&cell)?, Built::Sum)?);
    let found = summed(one).zip(Some(other)).or_else(|| summed(other).zip(Some(one)));
    let Some((slot, rated)) = found.filter(|(_, rated)| ground.is_load(*rated) && ground.is_input(*rated)) else {
        return;
    };
    let legs = beside(slips, slot)
        .into_iter()
        .find(|(_, name, _)| has_word(name, LEGS));
    let Some((leg, ..)) = legs else { return };
    let used = ground
        .formulas
        .values()
        .any(|formula| parts(formula).into_iter().any(|part| column_of(part) == Some(leg)));
    let (of_legs, half) = (of_legs(slips, slot, leg), ground.value(rated, "W").unwrap_or(0.0) / 2.0);
    if !used && of_legs.len() == 2 && of_legs.iter().any(|(_, watts)| *watts > half) {
        slips.habit(cell, &BOTH_LEGS_ALIKE, None, None);
    }
}

/// What the loads of each leg come to.
fn of_legs(slips: &Slips<'_>, watts: u32, leg: u32) -> Vec<(f64, f64)> {
    let sheet = slips.ground.sheet;
    let rows = sheet.column_cells(watts).iter().zip(sheet.column_cells(leg));
    let mut of_legs: Vec<(f64, f64)> = Vec::new();
    for (watts, leg) in rows.filter_map(|(watts, leg)| Some((watts.as_ref()?.to_f64(), leg.as_ref()?.to_f64()))) {
        match of_legs.iter_mut().find(|(known, _)| (*known - leg).abs() < 0.5) {
            Some((_, sum)) => *sum += watts,
            None => of_legs.push((leg, watts)),
        }
    }
    of_legs
}

/// The start of a motor alone against what a set starts, where others run.
fn start_alone(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Node::Compare(ComparisonOperator::AtMost | ComparisonOperator::Less, sides) = &part.node else {
        return;
    };
    let (Some(start), Some(surge)) = (cell_of(&sides.0), cell_of(&sides.1)) else {
        return;
    };
    let starts = ["starts", "starting", "start", "peak hold", "inrush", "locked rotor"];
    let gives = ["surge", "seconds", "starting", "peak"];
    let both = ground.is_load(start) && ground.is_load(surge) && ground.is_input(start) && ground.is_input(surge);
    let others = ground
        .formulas
        .values()
        .filter(|formula| is_load(formula.kind))
        .map(|formula| {
            terms(formula)
                .iter()
                .filter_map(|(up, term)| cell_of(term).filter(|_| *up))
                .filter(|load| ground.is_input(*load))
                .count()
        });
    if both && ground.says(start, &starts) && ground.says(surge, &gives) && others.max().unwrap_or(0) > 1 {
        slips.habit(cell, &START_ALONE, Some(start), None);
    }
}

/// Amperes of a motor by half or twice its volts, or its watts.
fn volts_of_motor(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let amps = is_of(formula.kind, "A");
    let watts = is_load(formula.kind) && pieces.iter().any(|(above, part)| *above && is_of(part.kind, "A"));
    let by = pieces
        .iter()
        .find(|(above, part)| *above == watts && is_of(part.kind, "V"));
    let Some((_, by)) = by.filter(|_| amps || watts) else {
        return;
    };
    let over = cell_of(by);
    let written = constant(by).and_then(|(kind, number)| in_unit(kind, number, "V"));
    let Some(volts) = over.and_then(|over| ground.value(over, "V")).or(written) else {
        return;
    };
    let rated = pieces
        .iter()
        .filter(|(above, _)| *above)
        .flat_map(|(_, part)| cells_in(part));
    let told = rated
        .flat_map(|part| ground.needs(part))
        .filter(|need| Some(*need) != over);
    let told = told
        .flat_map(|need| quantities(ground.raw(need)))
        .filter(|named| named.sign == "V");
    let told: Vec<f64> = told.map(|named| named.number).collect();
    let apart = |told: &f64| (told / volts - 2.0).abs() < 0.1 || watts && (told / volts - 0.5).abs() < 0.05;
    if let Some(first) = told.first().filter(|_| told.iter().all(apart)) {
        let times = if watts { first / volts } else { volts / first };
        slips.habit(cell, &OUTLET_VOLTS, over, Some(times));
    }
}
