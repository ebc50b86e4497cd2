//! Inputs whose unit, ± or fuel isn't what their own words say.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::tolerance_of;
use crate::syntax::tree::ToleranceForm;
use crate::trade::habits::{OTHER_FUELS_ROW, OVER_THEIR_NUMBER, ROOT_OF_TWELVE, TURNED_UNIT};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{has_word, is_heating_value, plain};
use super::quantities::{Named, quantities};
use super::slips::Slips;
use super::told::{habit, in_unit};

/// Looks through every input.
pub(super) fn look(slips: &mut Slips<'_>) {
    let inputs = all_cells(slips.ground.sheet).filter(|cell| slips.ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        turned_unit(slips, cell, &quantities(slips.ground.raw(cell)));
        root_of_twelve(slips, cell);
        over_their_number(slips, cell);
        fuel_of_source(slips, cell);
    }
}

/// `1.60 kg` in the words, and 0.73 lb: divided where it should be multiplied.
fn turned_unit(slips: &mut Slips<'_>, cell: CellId, said: &[Named]) {
    let ground = slips.ground;
    for (unit, other) in [
        ("lb", "kg"),
        ("kg", "lb"),
        ("gal", "L"),
        ("L", "gal"),
        ("ft", "m"),
        ("m", "ft"),
    ] {
        let own =
            matches!(ground.shape(cell).map(|shape| shape.kind), Some(Kind::Quantity(of)) if of.to_string() == unit);
        let Some(value) = ground.value(cell, unit).filter(|_| own) else {
            continue;
        };
        for named in said.iter().filter(|named| named.sign == other) {
            let Some(right) = in_unit(named, unit) else { continue };
            let turned = named.number * named.number / right;
            if (value / turned - 1.0).abs() < 0.01 && (value / right - 1.0).abs() > 0.05 {
                habit(slips, cell, &TURNED_UNIT, Some(right / value));
            }
        }
    }
}

/// A step over the root of 12, written as a limit.
fn root_of_twelve(slips: &mut Slips<'_>, cell: CellId) {
    let tolerance = slips.ground.sheet.entry(cell).and_then(tolerance_of);
    let limits = tolerance.is_some_and(|tolerance| matches!(tolerance.form, ToleranceForm::Limits));
    let raw = slips.ground.raw(cell);
    let told = ["√12", "sqrt(12)", "root 12", "root of 12", "/3.46"]
        .iter()
        .any(|word| raw.contains(word));
    if limits && told {
        habit(slips, cell, &ROOT_OF_TWELVE, None);
    }
}

/// A scatter over the number of readings, and not over its root.
fn over_their_number(slips: &mut Slips<'_>, cell: CellId) {
    let tolerance = slips.ground.sheet.entry(cell).and_then(tolerance_of);
    let standard = tolerance.filter(|tolerance| matches!(tolerance.form, ToleranceForm::Standard));
    let words: Vec<&str> = slips.ground.raw(cell).split([' ', ';', ',', ':', '(', ')']).collect();
    let number = |word: &str| word.trim_end_matches('.').parse::<f64>().ok();
    let apart = words.windows(3).filter(|three| three.get(1) == Some(&"/"));
    let apart = apart.filter_map(|three| Some((number(three.first()?)?, number(three.get(2)?)?)));
    let joined = words
        .iter()
        .filter_map(|word| word.split_once('/'))
        .filter_map(|(over, under)| Some((number(over)?, number(under)?)));
    let counted = |(_, count): &(f64, f64)| count.fract() == 0.0 && (2.0..=50.0).contains(count);
    let Some(amount) = standard.map(|tolerance| tolerance.amount.to_f64()) else {
        return;
    };
    let found = apart
        .chain(joined)
        .filter(counted)
        .find(|(scatter, count)| (amount * count / scatter - 1.0).abs() < 0.02);
    if found.is_some() {
        habit(slips, cell, &OVER_THEIR_NUMBER, None);
    }
}

/// A name of one fuel, with a source of another.
fn fuel_of_source(slips: &mut Slips<'_>, cell: CellId) {
    const FUELS: [&[&str]; 4] = [
        &["propane", "lpg"],
        &["gasoline", "petrol"],
        &["diesel"],
        &["natural gas", "methane"],
    ];
    let ground = slips.ground;
    let name = plain(&ground.sheet.name_of(cell).unwrap_or_default().replace('_', " "));
    let raw = plain(ground.raw(cell));
    let Some(own) = FUELS.iter().find(|words| has_word(&name, words)) else {
        return;
    };
    let others = FUELS.iter().filter(|words| *words != own);
    let heat = ground.shape(cell).is_some_and(|shape| is_heating_value(shape.kind));
    if heat && !has_word(&raw, own) && others.into_iter().any(|words| has_word(&raw, words)) {
        habit(slips, cell, &OTHER_FUELS_ROW, None);
    }
}
