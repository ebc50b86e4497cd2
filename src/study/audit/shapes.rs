//! Formulas of a shape that arithmetic or the trade doesn't have: an efficiency on the wrong
//! side of the stroke, what is left in each taken off once, a mean of ratios.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::typed::{Node, Typed};
use crate::trade::Built;
use crate::trade::habits::{
    CROSSED, DIFFERENCE_PLUS_32, EACH_ONCE, EFFICIENCY_ABOVE, EFFICIENCY_BELOW, FIRST_FOR_LAST, IMPERIAL,
    LEVELS_SQUARED, LOOP_TWICE, MARGIN_AS_MARKUP, MEAN_OF_RATIOS, NO_EFFICIENCY, NOT_CONVERTED, OTHER_HOURS,
    ROUNDED_OFF, SHARE_OF_FILL, SHARE_OF_PART, SUM_OVER_SHARE,
};
use crate::unit::Kind;

use super::all_cells;
use super::ground::{
    bare, call, cell_of, column_of, constant, factors, has_word, is_all_day, is_bare, is_heating_value, is_of,
    is_plain, parts, plain, terms,
};
use super::quantities::quantities;
use super::slip::Slip;
use super::slips::Slips;

/// Looks through every formula.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        for part in parts(formula) {
            levels_squared(slips, cell, part);
            each_once(slips, cell, part);
            imperial(slips, cell, part);
            plus_32(slips, cell, part);
            mean_of_ratios(slips, cell, part);
            crossed(slips, cell, part);
            share_of_fill(slips, cell, part);
        }
        rounded_off(slips, cell, formula);
        first_for_last(slips, cell, formula);
        other_side(slips, cell, formula);
        markup(slips, cell, formula);
        share_of_part(slips, cell, formula);
        loop_twice(slips, cell, formula);
        no_efficiency(slips, cell, formula);
        sum_over_share(slips, cell, formula);
        other_hours(slips, cell, formula);
        by_hand(slips, cell, formula);
        difference_less_32(slips, cell, formula);
    }
}

/// `20 dB * log10(sets)`, where the number of sources counts.
fn levels_squared(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let pieces = factors(part);
    if pieces.len() != 2 || !matches!(part.node, Node::Arithmetic(..)) {
        return;
    }
    let twenty = pieces.iter().any(|(above, piece)| {
        let level = constant(piece)
            .filter(|(kind, _)| !is_plain(*kind) || matches!(kind, Kind::Quantity(of) if of.to_string() == "dB"));
        *above && level.is_some_and(|(_, number)| (number.to_f64() - 20.0).abs() < 1e-9)
    });
    let number = pieces
        .iter()
        .find_map(|(_, piece)| call(piece, Built::DecimalLogarithm)?.first());
    let Some(number) = number.filter(|_| twenty) else {
        return;
    };
    let counts = [
        "set", "sets", "number", "how many", "alike", "count", "several", "two", "three",
    ];
    let counted = |count: CellId| {
        let number = ground.value(count, "").filter(|_| ground.is_input(count));
        number.is_some_and(|number| number.fract() == 0.0 && (2.0..=12.0).contains(&number))
    };
    let count = cell_of(number).filter(|count| ground.says(*count, &counts) || counted(*count));
    let whole = bare(number).is_some_and(|number| number.fract() == 0.0 && (2.0..=12.0).contains(&number));
    if count.is_some() || whole {
        slips.habit(cell, &LEVELS_SQUARED, count, None);
    }
}

/// `sum(net) - left`, where so much is left in each.
fn each_once(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let terms = terms(part);
    let of_rows = terms.iter().any(|(up, term)| *up && call(term, Built::Sum).is_some());
    let weights = |(up, term): &&(bool, &Typed)| *up && is_of(term.kind, "lb");
    if terms.len() < 2 || !of_rows && terms.iter().filter(weights).count() < 2 {
        return;
    }
    let each = [
        "in each",
        "in one",
        "each one",
        "in every",
        "per cylinder",
        "per bottle",
        "of each",
        "each cylinder",
        "each bottle",
    ];
    let off = terms
        .iter()
        .filter(|(up, _)| !*up)
        .filter_map(|(_, term)| cell_of(term));
    let told_near = |off: CellId| {
        let pounds = ground.value(off, "lb");
        let mut named = quantities(ground.prose(cell)).into_iter();
        let same = named.any(|named| named.sign == "lb" && pounds.is_some_and(|own| (own - named.number).abs() < 1e-6));
        same && has_word(ground.near(cell), &each)
            && ground.says(off, &["reserve", "left", "leave", "heel", "stays", "swap"])
    };
    if let Some(off) = off.into_iter().find(|off| ground.says(*off, &each) || told_near(*off)) {
        slips.habit(cell, &EACH_ONCE, Some(off), None);
    }
}

fn imperial(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let said = slips.ground.says_near(cell, &["imperial", "uk"]);
    if bare(part).is_some_and(is_imperial) && !said {
        slips.habit(cell, &IMPERIAL, None, Some(4.546_09 / 3.785_41));
    }
}

fn is_imperial(number: f64) -> bool {
    (number / 4.546_09 - 1.0).abs() < 1e-3
}

/// 32 added to a difference of temperatures.
fn plus_32(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let terms = terms(part);
    let plus = terms.iter().any(|(up, term)| *up && is_bare(term, 32.0));
    let scaled = terms.iter().any(|(_, term)| {
        let pieces = factors(term);
        let by =
            pieces.iter().any(|(_, piece)| is_bare(piece, 1.8)) || pieces.iter().any(|(_, piece)| is_bare(piece, 9.0));
        let apart = [
            "fall",
            "falls",
            "drop",
            "rise",
            "rises",
            "difference",
            "colder",
            "warmer",
            "lower",
            "apart",
        ];
        let named = |piece: &Typed| cell_of(piece).is_some_and(|cell| slips.ground.says(cell, &apart));
        by && pieces
            .iter()
            .any(|(_, piece)| self::terms(piece).iter().any(|(up, _)| !up) || named(piece))
    });
    if plus && scaled {
        let mend = slips.ground.changed(cell, |now| now - 32.0);
        slips.add(cell, Slip::Habit(&DIFFERENCE_PLUS_32, None), mend);
    }
}

/// `(apart - 32) * 5 / 9`, where apart is a difference of two temperatures.
fn difference_less_32(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let less = factors(formula)
        .into_iter()
        .filter(|(above, _)| *above)
        .find_map(|(_, part)| match terms(part)[..] {
            [(true, apart), (false, number)] if is_bare(number, 32.0) => cell_of(apart),
            _ => None,
        });
    let difference = |apart: &CellId| {
        let made = ground.formulas.get(apart).map(terms);
        made.is_some_and(|terms| {
            matches!(terms[..], [(true, _), (false, _)]) && terms.iter().all(|(_, term)| cell_of(term).is_some())
        })
    };
    if let Some(apart) = less.filter(difference) {
        let mend = super::number(ground.sheet, apart).map(|apart| apart.to_f64() / 1.8);
        let mend = mend.and_then(|right| ground.changed(cell, |_| right));
        slips.add(cell, Slip::Habit(&DIFFERENCE_PLUS_32, Some(apart)), mend);
    }
}

/// The mean of one column over another.
fn mean_of_ratios(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    if let Some(several) = call(part, Built::Mean).filter(|several| several.len() > 1) {
        let ground = slips.ground;
        let pair = |rate: &Typed| {
            let made = cell_of(rate).and_then(|cell| ground.formulas.get(&cell))?;
            match factors(made).as_slice() {
                [(true, over), (false, under)] => Some((number_of(slips, over)?, number_of(slips, under)?)),
                _ => None,
            }
        };
        let pairs: Option<Vec<(f64, f64)>> = several.iter().map(pair).collect();
        let unders = pairs.iter().flatten().map(|(_, under)| *under);
        let (least, most) = (unders.clone().fold(f64::MAX, f64::min), unders.fold(0.0, f64::max));
        if pairs.is_some() && most > 3.0 * least {
            slips.habit(cell, &MEAN_OF_RATIOS, None, None);
        }
        return;
    }
    let Some(inner) = call(part, Built::Mean).and_then(<[Typed]>::first) else {
        return;
    };
    let made = cell_of(inner).and_then(|cell| slips.ground.formulas.get(&cell));
    let pieces = factors(made.unwrap_or(inner));
    let [(true, over), (false, under)] = pieces.as_slice() else {
        return;
    };
    // runs that are repeated count alike, unless one is far shorter; what is paid counts by the pound
    let money = matches!(over.kind, Kind::Quantity(of) if of.is_money());
    let uneven = if money { 1.1 } else { 3.0 };
    let (Some(over), Some(under)) = (column_of(over), column_of(under)) else {
        return;
    };
    let cells = |slot: u32| {
        let cells = slips.ground.sheet.column_cells(slot).iter().flatten();
        cells.map(|number| number.to_f64()).collect::<Vec<f64>>()
    };
    let (over, under) = (cells(over), cells(under));
    let (least, most) = under.iter().fold((f64::MAX, 0.0_f64), |(least, most), each| {
        (least.min(*each), most.max(*each))
    });
    let ratios = over.iter().zip(&under).map(|(over, under)| over / under);
    let mean = ratios.sum::<f64>() / under.len().max(1) as f64;
    let right = over.iter().sum::<f64>() / under.iter().sum::<f64>();
    if over.len() == under.len() && most > least * uneven && mean > 0.0 && right > 0.0 {
        slips.habit(cell, &MEAN_OF_RATIOS, None, Some(right / mean));
    }
}

/// `by_day * night_hours + at_night * day_hours`, by their names.
fn crossed(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let terms = terms(part);
    let [(true, one), (true, other)] = terms.as_slice() else {
        return;
    };
    let side = |part: &Typed| {
        let named = cell_of(part).and_then(|cell| slips.ground.sheet.name_of(cell));
        let words = plain(named?);
        match (has_word(&words, &["day"]), has_word(&words, &["night"])) {
            (true, false) => Some(true),
            (false, true) => Some(false),
            _ => None,
        }
    };
    let crosses = |term: &Typed| {
        let sides: Vec<bool> = factors(term).iter().filter_map(|(_, part)| side(part)).collect();
        matches!(sides.as_slice(), [one, other] if one != other)
    };
    if crosses(one) && crosses(other) {
        slips.habit(cell, &CROSSED, None, None);
    }
}

const DIALS: &[&str] = &[
    "gauge",
    "dial",
    "per cent of the whole",
    "percent of the whole",
    "float",
];

/// 80 % times what a dial tells of the whole.
fn share_of_fill(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let pieces = factors(part);
    if pieces.len() < 2 || !matches!(part.node, Node::Arithmetic(..)) {
        return;
    }
    let fill = pieces.iter().any(|(above, piece)| *above && is_bare(piece, 0.8));
    let dial = pieces.iter().any(|(above, piece)| {
        let tells = |part: &Typed| cell_of(part).is_some_and(|cell| is_plain(part.kind) && ground.says(cell, DIALS));
        let of_sum = terms(piece).len() == 1 || terms(piece).iter().all(|(_, term)| bare(term).is_none());
        *above && of_sum && parts(piece).into_iter().any(tells)
    });
    if fill && dial {
        slips.habit(cell, &SHARE_OF_FILL, None, Some(1.25));
    }
}

/// What must be there, rounded to the nearest.
fn rounded_off(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let needed = [
        "refill", "bottle", "cylinder", "tank", "buy", "fetch", "fetched", "bring", "stock", "needed", "swap",
    ];
    let each = matches!(formula.kind, Kind::Quantity(of) if of.to_string() == "each");
    let rounds = parts(formula)
        .into_iter()
        .any(|part| call(part, Built::Round).is_some());
    if each && rounds && slips.ground.says(cell, &needed) {
        slips.habit(cell, &ROUNDED_OFF, None, None);
    }
}

/// `first` of what goes by date, where the latest is meant.
fn first_for_last(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let takes = |wanted: Built| parts(formula).iter().any(|part| call(part, wanted).is_some());
    let latest = [
        "today",
        "today s",
        "latest",
        "newest",
        "current",
        "now",
        "this week s",
        "last receipt",
    ];
    let priced = matches!(formula.kind, Kind::Quantity(of) if of.is_money());
    if priced && takes(Built::First) && !takes(Built::Last) && slips.ground.says(cell, &latest) {
        slips.habit(cell, &FIRST_FOR_LAST, None, None);
    }
}

// ---- products through several lines ----

/// A factor of a product, with the entry it is.
pub(super) struct Piece<'a> {
    pub(super) above: bool,
    pub(super) part: &'a Typed,
}

fn number_of(slips: &Slips<'_>, part: &Typed) -> Option<f64> {
    Some(super::number(slips.ground.sheet, cell_of(part)?)?.to_f64())
}

/// The factors of a product, followed through entries that are products themselves.
pub(super) fn flat<'a>(slips: &Slips<'a>, formula: &'a Typed) -> Vec<Piece<'a>> {
    let mut found = Vec::new();
    let mut open: Vec<(bool, &'a Typed)> = factors(formula);
    let mut steps = 0;
    while let Some((above, part)) = open.pop() {
        steps += 1;
        let ground: &'a super::ground::Ground<'a> = slips.ground;
        let made = cell_of(part)
            .filter(|cell| !ground.is_input(*cell))
            .and_then(|cell| ground.formulas.get(&cell));
        let inner = made.map(factors).filter(|inner| inner.len() > 1 && steps < 40);
        match inner {
            Some(inner) => open.extend(inner.into_iter().map(|(own, part)| (own == above, part))),
            None => found.push(Piece { above, part }),
        }
    }
    found
}

const EFFICIENT: &[&str] = &["efficiency", "efficient", "afue", "output over input", "eff"];

fn efficiency_in<'a>(slips: &Slips<'_>, pieces: &'a [Piece<'_>]) -> Option<(&'a Piece<'a>, CellId)> {
    pieces.iter().find_map(|piece| {
        let cell = cell_of(piece.part).filter(|_| is_plain(piece.part.kind))?;
        let share = slips
            .ground
            .value(cell, "")
            .is_some_and(|share| (0.02..1.0).contains(&share));
        (share && slips.ground.says(cell, EFFICIENT)).then_some((piece, cell))
    })
}

/// An efficiency above the stroke with the heating value below it, or the other way round.
fn other_side(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    if slips.inherits(cell) {
        return;
    }
    let pieces = flat(slips, formula);
    let heat = pieces.iter().find(|piece| is_heating_value(piece.part.kind));
    let mut loads = pieces
        .iter()
        .filter(|piece| !is_plain(piece.part.kind) && !is_heating_value(piece.part.kind));
    let loaded = loads.any(|piece| piece.above);
    let Some((heat, (efficiency, named))) = heat.zip(efficiency_in(slips, &pieces)).filter(|_| loaded) else {
        return;
    };
    if efficiency.above == heat.above {
        return;
    }
    let share = slips.ground.value(named, "").unwrap_or(1.0);
    let (habit, times) = match efficiency.above {
        true => (&EFFICIENCY_ABOVE, 1.0 / share / share),
        false => (&EFFICIENCY_BELOW, share * share),
    };
    slips.habit(cell, habit, Some(named), Some(times));
}

/// `1 + margin`, where it is a margin of the selling price.
fn markup(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    for (above, factor) in factors(formula) {
        let parts = terms(factor);
        let [(true, one), (true, other)] = parts.as_slice() else {
            continue;
        };
        let share = [(one, other), (other, one)].into_iter();
        let share = share
            .filter(|(whole, _)| is_bare(whole, 1.0))
            .find_map(|(_, share)| cell_of(share));
        let of_price = [
            "of the selling price",
            "of the price",
            "of sales",
            "of the sale",
            "of what it sells for",
        ];
        if let Some(share) = share.filter(|share| above && ground.says(*share, &of_price)) {
            let part = ground.value(share, "").unwrap_or(0.0);
            let times = (part < 1.0).then(|| 1.0 / (1.0 - part) / (1.0 + part));
            slips.habit(cell, &MARGIN_AS_MARKUP, Some(share), times);
        }
    }
}

/// `all * (whole - part) / part`, where it is somebody's part.
fn share_of_part(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let under: Vec<CellId> = pieces
        .iter()
        .filter(|(above, _)| !*above)
        .filter_map(|(_, part)| cell_of(part))
        .collect();
    for (_, piece) in pieces.iter().filter(|(above, _)| *above) {
        let parts = terms(piece);
        let [(true, whole), (false, part)] = parts.as_slice() else {
            continue;
        };
        let (Some(whole), Some(part)) = (cell_of(whole), cell_of(part)) else {
            continue;
        };
        let shared = ground.says(cell, &["part", "share", "owes", "s half", "portion"]);
        if shared && under.contains(&part) {
            let values = super::number(ground.sheet, part).zip(super::number(ground.sheet, whole));
            let times = values.map(|(part, whole)| part.to_f64() / whole.to_f64());
            slips.habit(cell, &SHARE_OF_PART, Some(part), times);
        }
    }
}

/// Twice what is for there and back already.
fn loop_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let twice = pieces.iter().any(|(above, part)| *above && is_bare(part, 2.0));
    let wire = |part: &Typed| is_of(part.kind, "ohm") || is_of(part.kind, "ohm/ft") || is_of(part.kind, "ft");
    let both = [
        "there and back",
        "both ways",
        "loop",
        "round trip",
        "both conductors",
        "both wires",
        "out and back",
    ];
    let mut named = pieces
        .iter()
        .filter(|(above, part)| *above && wire(part))
        .filter_map(|(_, part)| cell_of(part));
    if let Some(named) = named.find(|named| twice && ground.says(*named, &both)) {
        slips.habit(cell, &LOOP_TWICE, Some(named), Some(0.5));
    }
}

/// Money for electricity, worked out with the heat of the fuel alone.
fn no_efficiency(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let Kind::Quantity(of) = formula.kind else { return };
    let written = of.to_string();
    let ground = slips.ground;
    let by_energy = of.is_money() && ["kWh", "MWh", "Wh"].iter().any(|unit| written.ends_with(unit));
    let electric = ["electricity", "electric", "current", "power", "kilowatt hour"];
    if !by_energy || !ground.says(cell, &electric) || ground.says(cell, &["heat", "thermal"]) {
        return;
    }
    let pieces = flat(slips, formula);
    let heat = pieces
        .iter()
        .find(|piece| !piece.above && is_heating_value(piece.part.kind));
    let shared = pieces
        .iter()
        .any(|piece| is_plain(piece.part.kind) || is_of(piece.part.kind, "kWh"));
    if let Some(heat) = heat.filter(|_| !shared) {
        let named = cell_of(heat.part);
        slips.habit(cell, &NO_EFFICIENCY, named, Some(5.0));
    }
}

/// What all of them hold, over what one of them gives.
fn sum_over_share(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    if !is_of(formula.kind, "h") {
        return;
    }
    let pieces = factors(formula);
    let all = pieces
        .iter()
        .any(|(above, part)| *above && is_of(part.kind, "lb") && call(part, Built::Sum).is_some());
    let burnt = pieces.iter().any(|(above, part)| !*above && is_of(part.kind, "lb/h"));
    let parted = pieces.iter().find_map(|(above, part)| {
        let number = bare(part).or_else(|| slips.ground.value(cell_of(part)?, "").filter(|_| is_count(part.kind)))?;
        (*above && number.fract() == 0.0 && (2.0..=12.0).contains(&number)).then_some(number)
    });
    if let Some(parted) = parted.filter(|_| all && burnt) {
        slips.accused.insert(cell);
        slips.habit(cell, &SUM_OVER_SHARE, None, Some(1.0 / parted));
    }
}

fn is_count(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(of) if matches!(&*of.to_string(), "" | "each"))
}

/// Units that numbers without one are said to be in, and what they are turned into with.
const BY_HAND: [(&str, &[&str], f64); 8] = [
    ("gal", &["liter", "litre"], 3.785_41),
    ("gal", &["cubic feet", "cubic foot", "ft3"], 7.480_52),
    ("lb", &["kg", "kilogram", "kilo"], 2.204_62),
    ("F°", &["celsius", "centigrade"], 1.8),
    ("ft", &["meters", "metres"], 3.280_84),
    ("ft", &["inches"], 12.0),
    ("in", &["cm", "centimeter"], 2.54),
    ("mi", &["km", "kilometer"], 1.609_34),
];

/// A number that is said to be in another unit, and given this one without a conversion.
fn by_hand(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let put_on = pieces.iter().find_map(|(above, part)| {
        let (kind, number) = constant(part).filter(|(kind, _)| *above && !is_plain(*kind))?;
        (number == Number::ONE).then_some(kind)
    });
    let imperial = pieces.iter().any(|(_, part)| bare(part).is_some_and(is_imperial));
    let Some(Kind::Quantity(unit)) = put_on.filter(|_| !imperial) else {
        return;
    };
    let written = unit.to_string();
    let sign = written.split(['/', '·']).next().unwrap_or("").trim();
    for (_, part) in &pieces {
        let Some(named) = cell_of(part).filter(|named| is_plain(part.kind) && ground.is_input(*named)) else {
            continue;
        };
        let of_it = BY_HAND
            .iter()
            .filter(|(unit, words, _)| *unit == sign && ground.says(named, words));
        let close = |number: f64, ratio: f64| (number / ratio - 1.0).abs() < 0.005;
        for (_, _, ratio) in of_it {
            let mut numbers = pieces.iter().filter_map(|(_, part)| bare(part));
            if !numbers.any(|number| close(number, *ratio) || close(number, 1.0 / ratio)) {
                slips.habit(cell, &NOT_CONVERTED, Some(named), None);
            }
        }
    }
}

/// Watts times hours of a night, over the hours of a day.
fn other_hours(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let day = pieces.iter().any(|(above, part)| !*above && is_all_day(part));
    let used = pieces
        .iter()
        .any(|(above, part)| *above && is_of(part.kind, "kWh") && call(part, Built::Sum).is_some());
    if !day || !used || !is_of(formula.kind, "W") {
        return;
    }
    // a shorter time that what comes of it goes on for
    let shorter = all_cells(ground.sheet).find(|hours| {
        let short = ground
            .value(*hours, "h")
            .is_some_and(|value| (1.0..23.0).contains(&value));
        let goes_on = |user: &CellId| ground.rests_on(*user, cell) && ground.rests_on(*user, *hours);
        let multiplied = |user: &CellId| {
            ground.formulas.get(user).is_some_and(|formula| {
                let pieces = factors(formula);
                pieces.len() > 1
                    && pieces
                        .iter()
                        .any(|(above, part)| *above && cell_of(part) == Some(*hours))
            })
        };
        let named = ["night", "evening", "tonight", "weekend", "outage"];
        short
            && ground.is_input(*hours)
            && ground.says(*hours, &named)
            && all_cells(ground.sheet).any(|user| goes_on(&user) && multiplied(&user))
    });
    if let Some(hours) = shorter {
        let times = ground.value(hours, "h").map(|hours| 24.0 / hours);
        slips.habit(cell, &OTHER_HOURS, Some(hours), times);
    }
}
