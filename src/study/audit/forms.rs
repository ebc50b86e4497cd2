//! A quantity that has two forms, of which the words want the one and the formula takes the other.
//!
//! All and each, gross and difference, surge and running, the dial and the filling, the worst
//! and the best case. Start reading at [`look`].

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::trade::Built;
use crate::trade::forms::{
    ABOVE_HEIGHT, BOTH_OVER_ONE, DIAL_OF_FILLING, PART_OF_GROSS, RATE_AS_TIME, ROW_OF_OTHER_FUEL, ROW_OF_OTHER_KEY,
    SURGE_FOR_RUNNING, TARE_FORGOTTEN, TOTAL_IN_SUM, WORST_IS_BEST, YEARS_OF_NEW,
};
use crate::trade::habits::{FOR_EACH_THOUSAND, Habit};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    argument, bare, cell_of, column_of, factors, has_word, is_bare, is_of, is_rate, parts, plain, terms,
};
use super::legs::held_against;
use super::paired::{key_in, keys_of, row_of};
use super::quantities::quantities;
use super::shapes::{Piece, flat};
use super::slip::Slip;
use super::slips::Slips;

/// How people say how far a value may be off.
pub(super) const OFF: &[&str] = &[
    "off",
    "uncertainty",
    "unsure",
    "error",
    "doubt",
    "tolerance",
    "either way",
    "plus or minus",
    "may be wrong",
    "wrong by",
    "swing",
    "accuracy",
];

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        let pieces = flat(slips, formula);
        both_over_one(slips, cell, formula, &pieces);
        part_of_gross(slips, cell, &pieces);
        dial_of_filling(slips, cell, &pieces);
        above_height(slips, cell, &pieces);
        for_each_foot(slips, cell, &pieces);
        tare_forgotten(slips, cell, formula);
        rate_as_time(slips, cell, formula);
        worst_is_best(slips, cell, formula);
        years_of_new(slips, cell, formula);
        for part in parts(formula) {
            other_row(slips, cell, part);
            total_in_sum(slips, cell, formula, part);
            surge_for_running(slips, cell, part);
        }
    }
    twice_through_lines(slips);
}

/// The number behind a part that is a plain number or counts things.
fn count_of(slips: &Slips<'_>, part: &Typed) -> Option<f64> {
    let each = |cell: &CellId| slips.ground.is(*cell, "") || slips.ground.is(*cell, "each");
    let known = || super::number(slips.ground.sheet, cell_of(part).filter(each)?);
    bare(part).or_else(|| known().map(Number::to_f64))
}

/// What is in several cylinders, over what is drawn from one.
fn both_over_one(slips: &mut Slips<'_>, cell: CellId, formula: &Typed, pieces: &[Piece<'_>]) {
    let ground = slips.ground;
    let drawn = pieces.iter().any(|piece| !piece.above && is_rate(piece.part.kind));
    if !is_of(formula.kind, "h") || !drawn {
        return;
    }
    let held = |part: &Typed| {
        let made = cell_of(part)
            .and_then(|cell| ground.formulas.get(&cell))
            .unwrap_or(part);
        let rows = argument(made, Built::Sum).and_then(|rows| parts(rows).into_iter().find_map(column_of));
        let up = terms(made)
            .into_iter()
            .filter(|(up, term)| *up && is_of(term.kind, "lb"));
        rows.map_or(up.count(), |rows| ground.sheet.column_cells(rows).len())
    };
    let above = pieces.iter().filter(|piece| piece.above);
    let several = above
        .clone()
        .filter(|piece| is_of(piece.part.kind, "lb"))
        .map(|piece| held(piece.part));
    let several = several.max().filter(|several| *several > 1);
    let shared = above.filter_map(|piece| count_of(slips, piece.part));
    let shared = shared
        .into_iter()
        .find(|count| Some(*count) == several.map(|several| several as f64));
    if let Some(count) = shared {
        slips.habit(cell, &BOTH_OVER_ONE, None, Some(1.0 / count));
    }
}

/// How far a reading may be off, as a part of the gross, where a difference counts.
fn part_of_gross(slips: &mut Slips<'_>, cell: CellId, pieces: &[Piece<'_>]) {
    let ground = slips.ground;
    let weight =
        |piece: &&Piece<'_>| cell_of(piece.part).filter(|cell| ground.is(*cell, "lb") && ground.is_input(*cell));
    let off = pieces
        .iter()
        .filter(|piece| piece.above)
        .find_map(|piece| weight(&piece).filter(|off| ground.says(*off, OFF)));
    let whole = pieces
        .iter()
        .filter(|piece| !piece.above)
        .find_map(|piece| weight(&piece));
    let Some((off, whole)) = off.zip(whole) else { return };
    let [Some(small), Some(gross)] = [off, whole].map(|cell| ground.value(cell, "lb")) else {
        return;
    };
    let differences = ground
        .worked()
        .flat_map(|(less, made)| parts(made).into_iter().map(move |part| (less, part)));
    let less = differences.into_iter().find_map(|(less, made)| match terms(made)[..] {
        [(true, over), (false, under)] if cell_of(over) == Some(whole) => {
            Some((less, gross - ground.value(cell_of(under)?, "lb")?))
        }
        _ => None,
    });
    let Some((less, left)) = less else { return };
    if small < 0.05 * gross && left > 0.0 && !slips.inherits(cell) {
        slips.habit(cell, &PART_OF_GROSS, Some(less), Some(f64::sqrt(2.0) * gross / left));
    }
}

/// What a dial shows of the whole volume, times the pounds of a filling.
fn dial_of_filling(slips: &mut Slips<'_>, cell: CellId, pieces: &[Piece<'_>]) {
    let ground = slips.ground;
    let above = |piece: &&Piece<'_>| cell_of(piece.part).filter(|_| piece.above);
    let dial = pieces.iter().find_map(|piece| {
        above(&piece).filter(|dial| ground.is(*dial, "") && ground.says(*dial, &["dial", "float", "gauge"]))
    });
    let filled = pieces.iter().find_map(|piece| {
        let full = ["filled", "when full", "filling", "lawful", "a full one"];
        above(&piece).filter(|holds| ground.is(*holds, "lb") && ground.says(*holds, &full))
    });
    let others = pieces.iter().filter(|piece| !is_of(piece.part.kind, "lb"));
    if filled.is_some() && dial.is_some() && others.count() == 1 {
        slips.habit(cell, &DIAL_OF_FILLING, dial, Some(1.25));
    }
}

/// `3 % for each 500 m above 1000 m`, counted from sea level.
fn above_height(slips: &mut Slips<'_>, cell: CellId, pieces: &[Piece<'_>]) {
    let ground = slips.ground;
    let cells = || {
        pieces
            .iter()
            .filter_map(|piece| Some((piece.above, cell_of(piece.part)?)))
    };
    let from = cells().find_map(|(_, rule)| {
        let said = ground.raw(rule).to_lowercase();
        let (before, behind) = said.split_once(" above ")?;
        let counts =
            has_word(&plain(before), &["each", "every", "per"]) && behind.starts_with(|c: char| c.is_ascii_digit());
        quantities(behind).into_iter().next().filter(|_| counts)
    });
    let Some(from) = from else { return };
    let height = cells().filter(|(above, height)| *above && ground.is_input(*height));
    let height = height.into_iter().find_map(|(_, height)| {
        let value = ground
            .value(height, &from.sign)
            .filter(|value| ground.is(height, "ft") && *value > from.number)?;
        Some((height, value))
    });
    if let Some((height, value)) = height.filter(|_| !slips.inherits(cell)) {
        slips.habit(cell, &ABOVE_HEIGHT, Some(height), Some((value - from.number) / value));
    }
}

/// `altitude_m / 1000` with what a line tells for each 1000 ft.
fn for_each_foot(slips: &mut Slips<'_>, cell: CellId, pieces: &[Piece<'_>]) {
    let ground = slips.ground;
    let unit = |cell: CellId| match ground.named.get(&cell)? {
        Kind::Quantity(of) => Some(of.to_string()),
        _ => None,
    };
    let height = pieces
        .iter()
        .find_map(|piece| unit(cell_of(piece.part).filter(|_| piece.above)?));
    let by = pieces
        .iter()
        .filter(|piece| !piece.above)
        .find_map(|piece| bare(piece.part));
    let (Some(own), Some(by)) = (height, by.filter(|by| *by >= 100.0)) else {
        return;
    };
    let (other, times) = match &*own {
        "m" => ("ft", 3.280_84),
        "ft" => ("m", 1.0 / 3.280_84),
        _ => return,
    };
    let inputs = all_cells(ground.sheet).filter(|input| ground.is_input(*input));
    let said: Vec<_> = inputs.flat_map(|input| quantities(ground.raw(input))).collect();
    let tells = |sign: &str| {
        said.iter()
            .any(|named| named.sign == sign && (named.number - by).abs() < 1e-9)
    };
    if tells(other) && !tells(&own) && !slips.inherits(cell) {
        slips.habit(cell, &FOR_EACH_THOUSAND, None, Some(times));
    }
}

/// What the scale showed, over a rate or less a reserve, where the tare is known and nothing uses it.
fn tare_forgotten(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let tares = all_cells(ground.sheet).filter(|tare| {
        let name = plain(&ground.sheet.name_of(*tare).unwrap_or_default().replace('_', " "));
        ground.is(*tare, "lb") && ground.is_input(*tare) && has_word(&name, &["tare", "tw"])
    });
    let tares: Vec<CellId> = tares.collect();
    let used = |tare: &CellId| {
        ground
            .formulas
            .keys()
            .any(|user| user != tare && ground.rests_on(*user, *tare))
    };
    let Some(tare) = tares.first().copied().filter(|_| !tares.iter().any(used)) else {
        return;
    };
    let gross = |part: &Typed| {
        cell_of(part).filter(|gross| {
            let shown =
                ground.says(*gross, &["gross", "scale", "weighed", "shows"]) && !ground.says(*gross, &["net", "tare"]);
            shown && ground.is(*gross, "lb") && ground.is_input(*gross)
        })
    };
    let sum = terms(formula);
    let less = sum.iter().find_map(|(up, term)| gross(term).filter(|_| *up));
    let two = sum.iter().filter(|(_, term)| gross(term).is_some()).count();
    let over = factors(formula)
        .into_iter()
        .find_map(|(above, part)| gross(part).filter(|_| above));
    let lasts = is_of(formula.kind, "h") && over.is_some();
    if is_of(formula.kind, "lb") && less.is_some() && two == 1 || lasts {
        let pounds = ground.value(tare, "lb").unwrap_or(0.0);
        let mend = match over.filter(|_| lasts).and_then(|over| ground.value(over, "lb")) {
            Some(whole) => ground.changed(cell, |now| now * (whole - pounds) / whole),
            None => ground
                .value(cell, "lb")
                .and_then(|now| ground.at(cell, now - pounds, "lb")),
        };
        slips.add(cell, Slip::Habit(&TARE_FORGOTTEN, Some(tare)), mend);
    }
}

/// `time * (1 - more)`, where so much more is burnt in an hour.
fn rate_as_time(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let more = pieces.iter().find_map(|(above, part)| match terms(part)[..] {
        [(true, one), (false, more)] if *above && is_bare(one, 1.0) => cell_of(more),
        _ => None,
    });
    let grows = ["more", "increase", "rise", "extra", "higher", "faster", "on top"];
    let share = more
        .filter(|more| ground.says(*more, &grows))
        .and_then(|more| ground.value(more, ""));
    if let Some(share) = share.filter(|share| is_of(formula.kind, "h") && *share < 1.0) {
        slips.habit(cell, &RATE_AS_TIME, more, Some(1.0 / (1.0 - share * share)));
    }
}

/// `(fuel + off) / (rate - off)` by the name of the worst case.
fn worst_is_best(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let safe = [
        "worst",
        "at the least",
        "at least",
        "sure",
        "surely",
        "safe",
        "cautious",
    ];
    if !is_of(formula.kind, "h") || !ground.says(cell, &safe) {
        return;
    }
    let value = |part: &Typed| super::number(ground.sheet, cell_of(part)?).map(Number::to_f64);
    let turned = factors(formula)
        .into_iter()
        .filter_map(|(above, part)| match terms(part)[..] {
            [(true, whole), (up, off)] if up == above && cell_of(off).is_some_and(|off| ground.says(off, OFF)) => {
                let (whole, off) = (value(whole)?, value(off)?);
                Some((whole - off) / (whole + off))
            }
            _ => None,
        });
    let turned: Vec<f64> = turned.collect();
    if !turned.is_empty() {
        slips.habit(cell, &WORST_IS_BEST, None, Some(turned.into_iter().product()));
    }
}

/// Twelve years from an examination from outside.
fn years_of_new(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let sum = terms(formula);
    let seen = sum.iter().filter_map(|(_, term)| cell_of(term)).find(|seen| {
        ground.says(*seen, &["visual", "visually", "by eye", "examined", "inspected"])
            && super::number(ground.sheet, *seen).is_some_and(|year| year.to_f64() > 1900.0)
    });
    let twelve = sum
        .iter()
        .any(|(up, term)| *up && count_of(slips, term).is_some_and(|years| (10.0..=12.0).contains(&years)));
    if seen.is_some() && twelve && !slips.inherits(cell) {
        slips.habit(cell, &YEARS_OF_NEW, seen, None);
    }
}

/// The row of another fuel than is burnt, or of another key than a line tells that nothing uses.
fn other_row(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let Some((slot, row)) = row_of(part) else { return };
    let cells = sheet.column_cells(slot);
    let at = |row: usize| cells.get(row).copied().flatten().map(Number::to_f64);
    let ratio = |right: usize| Some(at(right)? / at(row.checked_sub(1)?)?);
    let (gasoline, propane): (&[&str], &[&str]) = (&["gasoline", "petrol"], &["propane", "lpg", "lp"]);
    if let Some((_, key)) = key_in(slips, part).filter(|(_, key)| has_word(&plain(key), gasoline)) {
        let keys = keys_of(slips, slot);
        let right = keys
            .iter()
            .position(|key| has_word(&plain(key), propane) && !has_word(&plain(key), gasoline));
        let same_table = |other: u32| {
            sheet.table_column(other).map(|column| column.table) == sheet.table_column(slot).map(|column| column.table)
        };
        let taken = |formula: &Typed| {
            parts(formula)
                .into_iter()
                .filter_map(|part| key_in(slips, part))
                .any(|(other, taken)| same_table(other) && taken != key)
        };
        let other = ground.worked().any(|(_, formula)| taken(formula));
        if let Some(right) = right.filter(|_| !other && !ground.says(cell, gasoline)) {
            row_instead(slips, cell, &ROW_OF_OTHER_FUEL, None, ratio(right));
        }
        return;
    }
    let table = sheet
        .table_column(slot)
        .and_then(|column| sheet.tables().get(column.table as usize));
    let Some(keys) = table
        .and_then(|table| table.columns.first())
        .filter(|keys| **keys != slot)
    else {
        return;
    };
    let Some(column) = sheet.table_column(*keys).filter(|column| column.kind != Kind::Text) else {
        return;
    };
    let used = |input: CellId| {
        ground
            .formulas
            .keys()
            .any(|user| *user != input && ground.rests_on(*user, input))
    };
    let inputs = all_cells(sheet).filter(|input| ground.is_input(*input) && !used(*input));
    let like = |input: &CellId| sheet.shape(*input).is_some_and(|shape| shape.kind == column.kind);
    let other = inputs.filter(like).find_map(|input| {
        let value = super::number(sheet, input)?;
        let right = column.cells.iter().position(|key| *key == Some(value))?;
        (right + 1 != row).then_some((input, right))
    });
    if let Some((input, right)) = other {
        row_instead(slips, cell, &ROW_OF_OTHER_KEY, Some(input), ratio(right));
    }
}

fn row_instead(slips: &mut Slips<'_>, cell: CellId, habit: &'static Habit, other: Option<CellId>, times: Option<f64>) {
    if !slips.accused.contains(&cell) {
        slips.habit(cell, habit, other, times);
    }
}

/// A column that is added up with a row of it that is the sum of the others.
fn total_in_sum(slips: &mut Slips<'_>, cell: CellId, formula: &Typed, part: &Typed) {
    let sheet = slips.ground.sheet;
    let Some(slot) = argument(part, Built::Sum).and_then(column_of) else {
        return;
    };
    let rows: Vec<f64> = sheet
        .column_cells(slot)
        .iter()
        .flatten()
        .map(|cell| cell.to_f64())
        .collect();
    let all: f64 = rows.iter().sum();
    let total = rows
        .last()
        .is_some_and(|last| *last > 0.0 && (all / last - 2.0).abs() < 1e-6);
    let keyed = keys_of(slips, slot);
    let named = keyed
        .iter()
        .any(|key| has_word(&plain(key), &["all", "total", "sum", "together", "everything"]));
    let odd = rows.len() > 4 && rows.iter().any(|row| row.fract() != 0.0);
    if total && (odd || named && rows.len() > 2) {
        slips.habit(cell, &TOTAL_IN_SUM, None, argument(formula, Built::Sum).map(|_| 0.5));
    }
}

/// A load that stays, against starting watts, where a line that nothing uses has the running ones.
fn surge_for_running(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Some((one, other)) = held_against(part) else { return };
    let brief = ["starting", "surge", "peak", "seconds"];
    let plate = |cell: CellId| ground.is_load(cell) && ground.is_input(cell);
    let running = all_cells(ground.sheet).find(|run| {
        let used = ground
            .formulas
            .keys()
            .any(|user| user != run && ground.rests_on(*user, *run));
        let named = ground.says(*run, &["running", "continuous", "rated"]) && !ground.says(*run, &brief);
        plate(*run) && !used && named
    });
    let Some(running) = running else { return };
    let stays = |load: CellId| {
        let starts = ["start", "starts", "starting", "surge", "peak", "inrush"];
        ground.is_load(load) && !ground.needs(load).any(|need| ground.says(need, &starts))
    };
    let found = [(one, other), (other, one)]
        .into_iter()
        .find(|(load, rated)| plate(*rated) && ground.says(*rated, &brief) && stays(*load));
    if let Some((_, rated)) = found {
        let less = ground
            .value(rated, "W")
            .zip(ground.value(running, "W"))
            .map(|(rated, running)| rated - running);
        let now = ground.value(cell, "W").filter(|_| ground.is_load(cell));
        let mend = now.zip(less).and_then(|(now, less)| ground.at(cell, now - less, "W"));
        slips.add(cell, Slip::Habit(&SURGE_FOR_RUNNING, Some(running)), mend);
    }
}

/// What is taken off in one line and once more in another: it moves a result twice as much as
/// the weight that it is taken off.
fn twice_through_lines(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let stays = [
        "reserve", "left", "leave", "keep", "kept", "heel", "swap", "hose", "tare",
    ];
    let weights = all_cells(ground.sheet).filter(|cell| ground.is(*cell, "lb") && ground.is_input(*cell));
    let weights: Vec<CellId> = weights.collect();
    for (cell, formula) in ground
        .worked()
        .filter(|(cell, formula)| ground.sheet.is_time(*cell) || is_of(formula.kind, "h") || is_of(formula.kind, "lb"))
    {
        if slips.inherits(cell) || ground.sheet.entry(cell).is_none() || formula.column {
            continue;
        }
        let own = |weight: &&CellId| ground.rests_on(cell, **weight);
        let places = |weight: CellId| {
            let made = ground
                .needs(cell)
                .filter_map(|need| Some((need, ground.formulas.get(&need)?)));
            let made = made.flat_map(|(need, formula)| parts(formula).into_iter().map(move |part| (need, part)));
            let named = made.filter(|(_, part)| matches!(part.node, Node::Cell(named) if named == weight));
            named.map(|(need, _)| need).collect::<Vec<CellId>>()
        };
        let by_an_ounce = |weight: CellId| {
            let pounds = ground.value(weight, "lb").filter(|pounds| *pounds > 0.0)?;
            let now = super::number(ground.sheet, cell)?.to_f64();
            Some((ground.with(weight, 1.01, cell)? - now) / (0.01 * pounds))
        };
        let mut offs = weights
            .iter()
            .filter(own)
            .copied()
            .filter(|off| ground.says(*off, &stays) && places(*off).len() > 1);
        let twice = offs.find_map(|off| {
            let less = by_an_ounce(off).filter(|less| *less < 0.0)?;
            let mut wholes = weights.iter().filter(own).filter_map(|whole| by_an_ounce(*whole));
            wholes
                .any(|more| more > 0.0 && (less / more + 2.0).abs() < 0.01)
                .then_some((off, less))
        });
        if let Some((off, less)) = twice {
            let pounds = ground.value(off, "lb").unwrap_or(0.0);
            let first = places(off).first().copied().unwrap_or(cell);
            slips.add(
                cell,
                Slip::Twice(off, first),
                ground.changed(cell, |now| now - less * pounds),
            );
        }
    }
}
