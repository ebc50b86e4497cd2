//! Plain numbers with their units in their names, `eur_per_litre`, multiplied out.
//!
//! Start reading at [`look`].

use std::collections::BTreeMap;

use crate::trade::habits::UNITS_OF_NAMES;

use super::ground::{cell_of, factors, is_plain};
use super::slips::Slips;

/// Units by their names, and how often each stands above the stroke.
type Powers = BTreeMap<String, i32>;

/// The units of a name such as `kg_per_hour`.
fn units(name: &str) -> Option<Powers> {
    let (above, below) = name.split_once("_per_")?;
    let one = |text: &str| {
        text.rsplit('_')
            .next()
            .map(|word| word.trim_end_matches('s').to_owned())
    };
    let below = below.split('_').next()?.trim_end_matches('s').to_owned();
    let mut powers = Powers::from([(one(above)?, 1)]);
    *powers.entry(below).or_default() -= 1;
    Some(powers)
}

/// Products of which every name tells its units, with a result that its own name contradicts.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.worked() {
        let own = ground.sheet.name_of(cell).and_then(units);
        let Some(own) = own.filter(|_| is_plain(formula.kind)) else {
            continue;
        };
        let pieces = factors(formula);
        let told = pieces.iter().map(|(above, part)| {
            let units = units(ground.sheet.name_of(cell_of(part)?)?)?;
            Some((*above, units))
        });
        let Some(told) = told
            .collect::<Option<Vec<(bool, Powers)>>>()
            .filter(|told| told.len() > 1)
        else {
            continue;
        };
        let mut sum = Powers::new();
        for (above, powers) in told {
            for (unit, power) in powers {
                *sum.entry(unit).or_default() += if above { power } else { -power };
            }
        }
        sum.retain(|_, power| *power != 0);
        if sum != own {
            slips.habit(cell, &UNITS_OF_NAMES, None, None);
        }
    }
}
