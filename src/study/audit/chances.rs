//! What goes wrong with chances, shares and counts: independence that nobody has, years
//! added up, points taken for parts.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::trade::habits::{
    CHANCES_ADDED, COMMON_CAUSE, COUNTED_IN_BOTH, MEAN_OF_CUSTOMERS, PARTS_PER_MILLION, POINTS_AS_PARTS, PRICE_TWICE,
    RATIO_OF_SCALES, RESIDENT_ANSWERS,
};
use crate::unit::Kind;

use super::ground::{above, bare, cell_of, factors, is_plain, parts, terms};
use super::shapes::flat;
use super::slips::Slips;

const FAILS: &[&str] = &["fail", "fails", "failure", "dead", "down", "both", "starts"];
const CHANCE: &[&str] = &[
    "chance",
    "probability",
    "likely",
    "at least one",
    "at least once",
    "odds",
];

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        common_cause(slips, cell, formula);
        years_added(slips, cell, formula);
        points(slips, cell, formula);
        counted_in_both(slips, cell, formula);
        millionths(slips, cell, formula);
        price_twice(slips, cell, formula);
        of_customers(slips, cell, formula);
        who_answers(slips, cell, formula);
        for part in parts(formula) {
            ratio_of_scales(slips, cell, part);
        }
    }
}

fn share(slips: &Slips<'_>, cell: CellId) -> Option<f64> {
    let value = slips.ground.value(cell, "")?;
    (value > 0.0 && value < 1.0).then_some(value)
}

/// The chance that one fails, by itself, for two of a kind.
fn common_cause(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let cells: Vec<CellId> = above(formula).collect();
    let twice = match cells.as_slice() {
        [one, other] if one == other => share(slips, *one).map(|_| *one),
        _ => None,
    };
    if let Some(one) = twice.filter(|one| slips.ground.says(cell, FAILS) || slips.ground.says(*one, FAILS)) {
        slips.habit(cell, &COMMON_CAUSE, Some(one), None);
    }
}

/// So many years times the chance of one, as the chance of at least one.
fn years_added(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let cells: Vec<CellId> = above(formula).collect();
    let [one, other] = cells.as_slice() else { return };
    let counts = |cell: CellId| {
        ground
            .value(cell, "")
            .filter(|count| *count >= 2.0 && ground.is(cell, ""))
    };
    let pairs = [(*one, *other), (*other, *one)];
    let found = pairs
        .into_iter()
        .find_map(|(chance, count)| Some((share(slips, chance)?, counts(count)?)));
    let told = is_plain(formula.kind) && ground.says(cell, CHANCE) && !ground.says(cell, &["expected", "mean"]);
    if let Some((chance, count)) = found.filter(|_| told && factors(formula).len() == 2) {
        let right = (1.0 - (1.0 - chance).powf(count)) / (chance * count);
        slips.habit(cell, &CHANCES_ADDED, None, Some(right));
    }
}

/// So many points of efficiency less, as so many parts more fuel.
fn points(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let is_efficiency = |part: &Typed| {
        cell_of(part).is_some_and(|cell| {
            share(slips, cell).is_some() && ground.says(cell, &["eff", "efficiency", "heat into power"])
        })
    };
    let difference = |part: &Typed| {
        let made = cell_of(part)
            .and_then(|cell| ground.formulas.get(&cell))
            .unwrap_or(part);
        let sum = terms(made);
        matches!(sum.as_slice(), [(true, one), (false, other)] if is_efficiency(one) && is_efficiency(other))
    };
    let grows = |part: &Typed| {
        let sum = terms(part);
        let one = |part: &Typed| {
            let bare = bare(part);
            bare.is_some_and(|bare| (bare - 1.0).abs() < 1e-9)
        };
        matches!(sum.as_slice(), [(true, whole), (_, more)] if one(whole) && difference(more))
    };
    if factors(formula).iter().any(|(_, part)| grows(part)) {
        slips.habit(cell, &POINTS_AS_PARTS, None, None);
    }
}

/// A count in two factors of a product: volts and ampere-hours of a row of batteries.
fn counted_in_both(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let terms = terms(formula);
    let Some((_, product)) = terms.iter().find(|(_, term)| factors(term).len() > 1) else {
        return;
    };
    let formula: &Typed = product;
    let pieces = flat(slips, formula);
    let counts = pieces.iter().filter(|piece| piece.above);
    let counts = counts.filter_map(|piece| cell_of(piece.part));
    let counts: Vec<CellId> = counts
        .filter(|cell| ground.is(*cell, "") || ground.is(*cell, "each"))
        .collect();
    let twice = counts.iter().enumerate().find_map(|(place, count)| {
        let again = counts.iter().skip(place + 1).any(|other| other == count);
        let whole = super::number(ground.sheet, *count)?.to_f64();
        let whole = Some(whole).filter(|value| *value >= 2.0 && value.fract() == 0.0)?;
        (again && ground.is_input(*count)).then_some((*count, whole))
    });
    let inner = |part: &Typed| cell_of(part).is_some_and(|cell| !ground.is_input(cell));
    let joined = factors(formula).iter().filter(|(_, part)| inner(part)).count() > 1;
    if let Some((count, many)) = twice.filter(|_| joined) {
        slips.habit(cell, &COUNTED_IN_BOTH, Some(count), Some(1.0 / many));
    }
}

/// Per cent to parts per million by a thousand.
fn millionths(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let thousand = pieces.iter().any(|(above, part)| {
        let bare = bare(part);
        *above && bare.is_some_and(|bare| (bare - 1000.0).abs() < 1e-6)
    });
    let percent = above(formula).any(|part| ground.says(part, &["percent", "per cent", "%"]));
    if thousand && percent && ground.says(cell, &["ppm", "parts per million"]) {
        slips.habit(cell, &PARTS_PER_MILLION, None, Some(10.0));
    }
}

fn is_money(slips: &Slips<'_>, cell: CellId) -> bool {
    let shape = slips.ground.shape(cell);
    let money = shape.is_some_and(|shape| matches!(shape.kind, Kind::Quantity(of) if of.is_money_alone()));
    money && slips.ground.is_input(cell)
}

/// A price spread over its years, and a part of it as what it loses, in one sum.
fn price_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let made = |part: &'_ Typed| cell_of(part).and_then(|cell| ground.formulas.get(&cell)).map(factors);
    let price = |up: bool, part: &Typed, spread: bool| {
        let pieces = made(part).filter(|pieces| up && pieces.len() == 2)?;
        let cells: Vec<(bool, CellId)> = pieces
            .iter()
            .filter_map(|(above, part)| Some((*above, cell_of(part)?)))
            .collect();
        let price = cells.iter().find(|(above, cell)| *above && is_money(slips, *cell))?.1;
        let divided = pieces.iter().any(|(above, _)| !*above);
        (divided == spread).then_some(price)
    };
    let sum = terms(formula);
    let of = |spread: bool| {
        sum.iter()
            .filter_map(|(up, part)| price(*up, part, spread))
            .collect::<Vec<CellId>>()
    };
    let (spread, lost) = (of(true), of(false));
    if let Some(price) = spread.iter().find(|price| lost.contains(price)) {
        slips.habit(cell, &PRICE_TWICE, Some(*price), None);
    }
}

/// Minutes without power for each customer and year, as how long one outage lasts.
fn of_customers(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let index = cell_of(formula)
        .filter(|index| ground.says(*index, &["saidi", "per customer and year", "minutes per customer"]));
    let length = ground.says(cell, &["one outage", "length", "an outage", "outage lasts", "long"]);
    if let Some(index) = index.filter(|_| length) {
        slips.habit(cell, &MEAN_OF_CUSTOMERS, Some(index), None);
    }
}

/// The share of those who chose to answer, for all.
fn who_answers(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let answers = [
        "answers",
        "post cards",
        "replies",
        "responses",
        "who wrote",
        "wrote back",
        "answered",
    ];
    let share = above(formula)
        .chain(parts(formula).into_iter().filter_map(cell_of))
        .find(|share| {
            let made = ground.formulas.get(share).map(factors).unwrap_or_default();
            made.iter()
                .any(|(above, part)| !*above && cell_of(part).is_some_and(|of| ground.says(of, &answers)))
        });
    let all = parts(formula)
        .into_iter()
        .filter_map(cell_of)
        .any(|all| ground.says(all, &["household", "residents", "customers", "members"]));
    if let Some(share) = share.filter(|share| all && *share != cell) {
        slips.habit(cell, &RESIDENT_ANSWERS, Some(share), None);
    }
}

/// One temperature over another, each counted from where its scale begins.
fn ratio_of_scales(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let Node::Arithmetic(Arithmetic::Divide, _, sides) = &part.node else {
        return;
    };
    let degrees = |part: &Typed| {
        cell_of(part).is_some_and(|cell| {
            let raw = ground.raw(cell);
            is_plain(part.kind) && ground.is_input(cell) && (raw.contains("°F") || raw.contains("°C"))
        })
    };
    if degrees(&sides.0) && degrees(&sides.1) {
        slips.habit(cell, &RATIO_OF_SCALES, None, None);
    }
}
