//! What goes wrong with levels of sound in plain arithmetic.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::trade::Built;
use crate::trade::forms::PRESSURES_ADDED;
use crate::trade::habits::{EXCHANGE_RATE, LEVEL_BY_TEN, LEVEL_NATURAL, LEVELS_ADDED, LEVELS_AVERAGED, NEAR_FIELD};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{call, cell_of, column_of, constant, factors, has_word, is_of, is_plain, parts, plain, terms};
use super::legs::made_of;
use super::slips::Slips;

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        for part in parts(formula) {
            by_logarithm(slips, cell, part);
        }
        exchange_rate(slips, cell, formula);
        averaged(slips, cell, formula);
        pressures_added(slips, cell, formula);
        softer_together(slips, cell);
    }
}

/// 10 dB for a ratio of distances, or the natural logarithm.
fn by_logarithm(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let pieces = factors(part);
    let (true, true) = (pieces.len() == 2, matches!(part.node, Node::Arithmetic(..))) else {
        return;
    };
    if doublings(slips, &pieces) {
        slips.habit(cell, &LEVEL_BY_TEN, None, None);
        return;
    }
    let level = |wanted: f64| {
        pieces.iter().any(|(above, piece)| {
            let number = constant(piece).filter(|(kind, _)| !is_of(*kind, "ft"));
            *above && number.is_some_and(|(_, number)| (number.to_f64() - wanted).abs() < 1e-9)
        })
    };
    let argument = |wanted: Built| {
        let asked = pieces.iter().find_map(|(_, piece)| call(piece, wanted)?.first());
        asked.map(|asked| made_of(slips, asked))
    };
    let distances = |argument: &Typed| {
        parts(argument)
            .into_iter()
            .any(|part| is_of(part.kind, "ft") || is_distance(slips, part))
    };
    let near = |part: &Typed| {
        let feet = cell_of(part).and_then(|cell| ground_feet(slips, cell));
        feet.is_some_and(|feet| feet <= 3.0)
    };
    let decimal = argument(Built::DecimalLogarithm);
    let close = decimal.map(factors).unwrap_or_default();
    let natural = argument(Built::NaturalLogarithm).is_some() && is_level(slips, cell);
    let found = [
        (level(10.0) && decimal.is_some_and(distances), &LEVEL_BY_TEN),
        (
            level(20.0) && close.iter().any(|(above, part)| !*above && near(part)),
            &NEAR_FIELD,
        ),
        (natural && (level(10.0) || level(20.0)), &LEVEL_NATURAL),
    ];
    for (_, habit) in found.into_iter().filter(|(found, _)| *found) {
        slips.habit(cell, habit, None, None);
    }
}

/// 3 dB for each time that a distance doubles.
fn doublings(slips: &Slips<'_>, pieces: &[(bool, &Typed)]) -> bool {
    let three = pieces.iter().any(|(above, part)| {
        *above && constant(part).is_some_and(|(kind, number)| is_db(kind) && (number.to_f64() - 3.0).abs() < 1e-9)
    });
    let of_distance = |part: &Typed| {
        let logarithm = [Built::NaturalLogarithm, Built::DecimalLogarithm]
            .into_iter()
            .find_map(|wanted| call(part, wanted)?.first());
        logarithm.is_some_and(|of| parts(of).into_iter().any(|part| is_of(part.kind, "ft")))
    };
    three
        && pieces
            .iter()
            .any(|(_, part)| parts(made_of(slips, part)).into_iter().any(of_distance))
}

fn ground_feet(slips: &Slips<'_>, cell: CellId) -> Option<f64> {
    slips.ground.value(cell, "ft").filter(|_| slips.ground.is(cell, "ft"))
}

/// Halving at a step that belongs to another rule.
fn exchange_rate(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let by = |step: f64| {
        let pieces = parts(formula).into_iter().flat_map(factors);
        pieces.into_iter().any(|(above, part)| {
            !above
                && constant(part).is_some_and(|(kind, number)| {
                    (number.to_f64() - step).abs() < 1e-9 && (is_db(kind) || is_plain(kind))
                })
        })
    };
    let leveled = ground.needs(cell).any(|need| is_level(slips, need));
    let users: Vec<CellId> = all_cells(ground.sheet)
        .filter(|user| ground.rests_on(*user, cell))
        .collect();
    let says = |words: &[&str]| {
        let mut lines = ground.needs(cell).chain(users.iter().copied());
        ground.says_near(cell, words) || lines.any(|line| ground.says(line, words))
    };
    let (niosh, osha) = (says(&["niosh"]), says(&["osha"]));
    let less = |level: f64| {
        let is = |part: &Typed| constant(part).is_some_and(|(_, number)| (number.to_f64() - level).abs() < 1e-9);
        let mut sums = parts(formula).into_iter().map(terms);
        sums.any(|sum| sum.iter().any(|(up, part)| !up && is(part)))
    };
    let leveled = leveled || parts(formula).into_iter().any(|part| is_db(part.kind));
    let of_other = niosh && !osha && (by(5.0) || less(90.0)) || osha && !niosh && (by(3.0) || less(85.0));
    if leveled && of_other {
        slips.habit(cell, &EXCHANGE_RATE, None, None);
    }
}

fn is_distance(slips: &Slips<'_>, part: &Typed) -> bool {
    let says = |cell| slips.ground.says(cell, &["distance", "meters", "feet", "away", "far"]);
    is_plain(part.kind) && cell_of(part).is_some_and(says)
}

fn is_db(kind: Kind) -> bool {
    matches!(kind, Kind::Level | Kind::Decibels) || matches!(kind, Kind::Quantity(of) if of.to_string() == "dB")
}

/// Whether a cell is a level: by its kind, or a plain number that its line calls one.
fn is_level(slips: &Slips<'_>, cell: CellId) -> bool {
    let Some(shape) = slips.ground.shape(cell) else {
        return false;
    };
    let said = slips
        .ground
        .says(cell, &["db", "dba", "decibel", "leq", "sound level", "loud"]);
    is_db(shape.kind) || is_plain(shape.kind) && said
}

/// Whether a column of plain numbers has levels, by its name or by what its table says.
fn is_level_column(slips: &Slips<'_>, part: &Typed) -> bool {
    let sheet = slips.ground.sheet;
    let Some(column) = column_of(part).and_then(|slot| sheet.table_column(slot)) else {
        return false;
    };
    let name = plain(&column.name.replace('_', " "));
    let high = column
        .cells
        .iter()
        .flatten()
        .all(|level| (25.0..130.0).contains(&level.to_f64()));
    is_plain(column.kind) && high && has_word(&name, &["db", "dba", "level", "leq", "decibels"])
}

/// `20 * log10(10^(a / 20) + 10^(b / 20))`: pressures of two sources added as if they were in step.
fn pressures_added(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let twenty = |term: &Typed| match &term.node {
        Node::Arithmetic(Arithmetic::Power, _, sides) => factors(&sides.1).iter().any(|(above, part)| {
            !above && constant(part).is_some_and(|(_, number)| (number.to_f64() - 20.0).abs() < 1e-9)
        }),
        _ => false,
    };
    let of_pressures = |part: &&Typed| {
        let sum = call(part, Built::DecimalLogarithm)
            .and_then(<[Typed]>::first)
            .map(terms);
        sum.is_some_and(|sum| sum.len() > 1 && sum.iter().all(|(up, term)| *up && twenty(term)))
    };
    if parts(formula).iter().any(of_pressures) {
        slips.habit(cell, &PRESSURES_ADDED, None, None);
    }
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
            .is_some_and(|of| is_db(of.kind) || is_level_column(slips, of))
    });
    let weighed = parts(formula).into_iter().any(|part| {
        let inner = call(part, Built::Sum)
            .and_then(<[Typed]>::first)
            .map(factors)
            .unwrap_or_default();
        inner.len() > 1
            && inner
                .iter()
                .any(|(_, part)| is_db(part.kind) || is_level_column(slips, part))
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
    if of_rows || weighed && divided || counted > 1 && divided {
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
