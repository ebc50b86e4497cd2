//! What goes wrong with levels of sound in plain arithmetic.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::trade::Built;
use crate::trade::habits::{LEVEL_BY_TEN, LEVEL_NATURAL, LEVELS_ADDED, LEVELS_AVERAGED};
use crate::unit::Kind;

use super::ground::{call, cell_of, constant, factors, is_of, is_plain, parts, terms};
use super::slips::Slips;

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.worked() {
        for part in parts(formula) {
            by_logarithm(slips, cell, part);
        }
        averaged(slips, cell, formula);
        softer_together(slips, cell);
    }
}

/// 10 dB for a ratio of distances, or the natural logarithm.
fn by_logarithm(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let pieces = factors(part);
    let (true, true) = (pieces.len() == 2, matches!(part.node, Node::Arithmetic(..))) else {
        return;
    };
    let level = |wanted: f64| {
        pieces.iter().any(|(above, piece)| {
            let number = constant(piece).filter(|(kind, _)| !is_of(*kind, "ft"));
            *above && number.is_some_and(|(_, number)| (number.to_f64() - wanted).abs() < 1e-9)
        })
    };
    let argument = |wanted: Built| pieces.iter().find_map(|(_, piece)| call(piece, wanted)?.first());
    let distances = |argument: &Typed| {
        parts(argument)
            .into_iter()
            .any(|part| is_of(part.kind, "ft") || is_distance(slips, part))
    };
    if level(10.0) && argument(Built::DecimalLogarithm).is_some_and(distances) {
        slips.habit(cell, &LEVEL_BY_TEN, None, None);
    }
    if (level(10.0) || level(20.0)) && argument(Built::NaturalLogarithm).is_some() && is_level(slips, cell) {
        slips.habit(cell, &LEVEL_NATURAL, None, None);
    }
}

fn is_distance(slips: &Slips<'_>, part: &Typed) -> bool {
    let says = |cell| slips.ground.says(cell, &["distance", "meters", "feet", "away", "far"]);
    is_plain(part.kind) && cell_of(part).is_some_and(says)
}

fn is_db(kind: Kind) -> bool {
    kind == Kind::Level || matches!(kind, Kind::Quantity(of) if of.to_string() == "dB")
}

/// Whether a cell is a level: by its kind, or a plain number that its line calls one.
fn is_level(slips: &Slips<'_>, cell: CellId) -> bool {
    let Some(shape) = slips.ground.sheet.shape(cell) else {
        return false;
    };
    let said = slips
        .ground
        .says(cell, &["db", "dba", "decibel", "leq", "sound level", "loud"]);
    is_db(shape.kind) || is_plain(shape.kind) && said
}

/// Levels added as numbers, or their plain mean.
fn averaged(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    if parts(formula)
        .into_iter()
        .any(|part| call(part, Built::DecimalLogarithm).is_some())
    {
        return;
    }
    let of_rows = parts(formula).into_iter().any(|part| {
        call(part, Built::Mean)
            .and_then(<[Typed]>::first)
            .is_some_and(|of| is_db(of.kind))
    });
    let pieces = factors(formula);
    let sums = pieces.iter().filter(|(above, _)| *above).map(|(_, piece)| terms(piece));
    let levels = |sum: &Vec<(bool, &Typed)>| {
        let leveled = |(up, term): &&(bool, &Typed)| {
            *up && factors(term)
                .iter()
                .any(|(above, part)| *above && cell_of(part).is_some_and(|part| is_level(slips, part)))
        };
        // 70 dB and a correction of some dB is one level
        let large = |(_, term): &&(bool, &Typed)| {
            factors(term).iter().filter_map(|(_, part)| cell_of(part)).all(|part| {
                !is_level(slips, part)
                    || super::number(slips.ground.sheet, part).is_some_and(|number| number.to_f64() > 25.0)
            })
        };
        sum.iter().filter(leveled).filter(large).count()
    };
    let counted = sums.map(|sum| levels(&sum)).max().unwrap_or(0);
    let divided = pieces.iter().any(|(above, _)| !*above);
    if of_rows || counted > 1 && divided {
        slips.habit(cell, &LEVELS_AVERAGED, None, None);
    } else if counted > 1 && is_level(slips, cell) {
        slips.habit(cell, &LEVELS_ADDED, None, None);
    }
}

/// Several at once, at less than the loudest of them.
fn softer_together(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    if !ground.is_level(cell)
        || !ground.says(cell, &["both", "together", "all running", "all of them"])
        || slips.inherits(cell)
    {
        return;
    }
    let level = |need: CellId| super::number(ground.sheet, need).map(|number| number.to_f64());
    // a function may well carry them farther off
    let calls = |made: &Typed| parts(made).into_iter().any(|part| matches!(part.node, Node::Call(..)));
    if ground
        .needs(cell)
        .any(|need| ground.formulas.get(&need).is_some_and(calls))
    {
        return;
    }
    let levels = ground
        .needs(cell)
        .filter(|need| *need != cell && ground.is_level(*need) && ground.is_input(*need));
    let levels: Vec<f64> = levels.filter_map(level).collect();
    let loudest = levels.iter().copied().fold(f64::MIN, f64::max);
    if levels.len() > 1 && level(cell).is_some_and(|own| own < loudest) {
        slips.habit(cell, &LEVELS_AVERAGED, None, None);
    }
}
