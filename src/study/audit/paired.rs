//! Two values of a formula that don't go together: two rows, two pressures, two fuels, a
//! figure of another load.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::names::{CellId, ColumnId};
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::syntax::tree::ComparisonOperator;
use crate::trade::habits::{
    BEST_OF, BY_THE_GALLON, CARBON_FOR_DIOXIDE, CHECK_TURNED, GROSS_FOR_NET, KEY_OF_OTHER, LEVELS_SQUARED, LOWER_BOUND,
    MEAN_OF_PRICES, OF_LAWFUL_FILL, OTHER_ROW, SAME_EACH_TIME, SIGN_TURNED, STALE, UNCERTAINTY_LESS, UPPER_BOUND,
    ZERO_ADDED,
};
use crate::trade::{Built, Fact};
use crate::unit::Kind;

use super::ground::{
    above, argument, bare, call, cell_of, column_of, constant, factors, has_word, is_load, is_of, is_plain, is_rate,
    parts, plain, terms,
};
use super::nature::{pressures, unlike_pressures};
use super::slip::Slip;
use super::slips::Slips;
use super::twice::has_tolerance;

/// Looks through every formula and every check.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.works() {
        for part in parts(formula) {
            differences(slips, cell, part);
            comparison(slips, cell, part);
            lawful_fill(slips, cell, part);
            signs(slips, cell, part);
            mean_of_prices(slips, cell, part);
            bound(slips, cell, part);
        }
        corrections(slips, cell, formula);
        gross_for_net(slips, cell, formula);
        two_alike(slips, cell, formula);
        best_of(slips, cell, formula);
        stale(slips, cell, formula);
        same_each_time(slips, cell, formula);
        carbon(slips, cell, formula);
    }
    keys_apart(slips);
}

pub(super) fn called(part: &Typed, fact: Fact) -> Option<&[Typed]> {
    match &part.node {
        Node::Call(function, arguments) if function.tells(fact) => Some(arguments),
        Node::Convert(inner, _) => called(inner, fact),
        _ => None,
    }
}

/// The cells of a difference of two values.
fn two_sides(part: &Typed) -> Option<(CellId, CellId)> {
    match terms(part).as_slice() {
        [(true, over), (false, under)] => Some((cell_of(over)?, cell_of(under)?)),
        _ => None,
    }
}

/// A column's cell that is taken by its row: the column, and the row counted from 1.
pub(super) fn row_of(part: &Typed) -> Option<(u32, usize)> {
    let [column, row] = call(part, Built::CellInRow)? else {
        return None;
    };
    let Node::Column(ColumnId(slot)) = column.node else {
        return None;
    };
    Some((slot, usize::try_from(constant(row)?.1.to_f64() as i64).ok()?))
}

/// What the first column of texts calls a row.
fn key_of(slips: &Slips<'_>, (slot, row): (u32, usize)) -> Option<Number> {
    let sheet = slips.ground.sheet;
    let table = sheet.tables().get(sheet.table_column(slot)?.table as usize)?;
    let mut texts = table.columns.iter().filter(|slot| {
        sheet
            .table_column(**slot)
            .is_some_and(|column| column.kind == Kind::Text)
    });
    *sheet.column_cells(*texts.next()?).get(row.checked_sub(1)?)?
}

/// Differences of what doesn't go together.
fn differences(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    if let [(true, over), (false, under)] = terms(part).as_slice()
        && let (Some(over), Some(under)) = (row_of(over), row_of(under))
        && is_of(part.kind, "lb")
    {
        let (one, other) = (key_of(slips, over), key_of(slips, under));
        let name = ground.sheet.table_column(under.0).map(|column| plain(&column.name));
        let tare = name.is_some_and(|name| has_word(&name, &["tare", "tw", "empty"]));
        if let (Some(one), Some(other), true) = (one, other, tare)
            && one != other
        {
            slips.habit(cell, &OTHER_ROW, None, None);
        }
    }
    tare_of_another_row(slips, cell, part);
    pressures(slips, cell, part);
    let Some((over, under)) = two_sides(part) else { return };
    let uncertain = [
        "uncertainty",
        "k 2",
        "k 1",
        "tolerance",
        "plus or minus",
        "limit of error",
        "may be off",
        "standard deviation",
    ];
    // an uncertainty has none itself
    let bare = !has_tolerance(slips, over) && !has_tolerance(slips, under);
    let both = bare && ground.says(over, &uncertain) && ground.says(under, &uncertain);
    if both && ground.is_input(over) && ground.is_input(under) {
        let values = super::number(ground.sheet, over).zip(super::number(ground.sheet, under));
        let right = values.map(|(one, other)| one.to_f64().hypot(other.to_f64()));
        let mend = right.and_then(|right| ground.changed(cell, |_| right));
        slips.add(cell, Slip::Habit(&UNCERTAINTY_LESS, None), mend);
    }
    let by_volume = |cell| ground.is(cell, "$/gal");
    let (propane, gasoline): (&[&str], &[&str]) = (&["propane", "lp"], &["gasoline", "diesel", "petrol", "e10"]);
    let one = |cell, words, others| ground.says(cell, words) && !ground.says(cell, others);
    let unlike = one(over, propane, gasoline) && one(under, gasoline, propane)
        || one(over, gasoline, propane) && one(under, propane, gasoline);
    if by_volume(over) && by_volume(under) && unlike {
        slips.habit(cell, &BY_THE_GALLON, None, None);
    }
}

/// `blue_gross - shells.tare of "red"`
fn tare_of_another_row(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let [(true, over), (false, under)] = terms(part)[..] else {
        return;
    };
    let (Some(over), Some(under)) = (cell_of(over), row_of(under)) else {
        return;
    };
    let sheet = ground.sheet;
    let table = sheet
        .table_column(under.0)
        .and_then(|column| sheet.tables().get(column.table as usize));
    let is_text = |slot: &u32| {
        sheet
            .table_column(*slot)
            .is_some_and(|column| column.kind == Kind::Text)
    };
    let Some(keys) = table.and_then(|table| table.columns.iter().copied().find(is_text)) else {
        return;
    };
    let said = |key: &Number| {
        let key = plain(sheet.texts().text(*key));
        key.trim().len() > 2 && ground.says(over, &[key.trim()])
    };
    let named = sheet
        .column_cells(keys)
        .iter()
        .position(|key| key.as_ref().is_some_and(said));
    let Some(row) = named.filter(|row| row + 1 != under.1) else {
        return;
    };
    let of = |row: usize| {
        sheet
            .column_cells(under.0)
            .get(row)
            .copied()
            .flatten()
            .map(|number| number.to_f64())
    };
    let less = under.1.checked_sub(1).and_then(of).zip(of(row));
    let mend = less.and_then(|(taken, own)| ground.changed(cell, |now| now + taken - own));
    slips.add(cell, Slip::Habit(&OTHER_ROW, Some(over)), mend);
}

/// The key that a cell of a table is taken by, with its column.
pub(super) fn key_in<'a>(slips: &Slips<'a>, part: &Typed) -> Option<(u32, &'a str)> {
    let place = row_of(part)?;
    Some((place.0, slips.ground.sheet.texts().text(key_of(slips, place)?)))
}

/// The texts that a table has.
pub(super) fn keys_of<'a>(slips: &Slips<'a>, slot: u32) -> Vec<&'a str> {
    let sheet: &'a crate::sheet::Sheet = slips.ground.sheet;
    let table = sheet
        .table_column(slot)
        .and_then(|column| sheet.tables().get(column.table as usize));
    let texts = table
        .into_iter()
        .flat_map(|table| &table.columns)
        .filter_map(|slot| sheet.table_column(*slot));
    let texts = texts
        .filter(|column| column.kind == Kind::Text)
        .flat_map(|column| column.cells.iter().flatten());
    texts.map(|cell| sheet.texts().text(*cell)).collect()
}

/// A cell of the row of one thing, in a line of another; one column by one key, and the other by another.
fn keys_apart(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let mut by_column: Vec<(u32, u32, &str, CellId)> = Vec::new();
    for (cell, formula) in ground.worked() {
        let keyed: Vec<(u32, &str)> = parts(formula)
            .into_iter()
            .filter_map(|part| key_in(slips, part))
            .collect();
        for (slot, key) in &keyed {
            let name = plain(&ground.sheet.name_of(cell).unwrap_or_default().replace('_', " "));
            let named = keys_of(slips, *slot)
                .into_iter()
                .find(|other| other.len() > 2 && has_word(&name, &[&*other.to_lowercase()]));
            let own = has_word(&name, &[&*key.to_lowercase()]) || keyed.iter().any(|(_, other)| Some(*other) == named);
            if named.is_some() && !own {
                slips.habit(cell, &KEY_OF_OTHER, None, None);
            }
            let table = ground.sheet.table_column(*slot).map_or(0, |column| column.table);
            by_column.push((table, *slot, key, cell));
        }
    }
    let only = |slot: u32| {
        let mut keys = by_column
            .iter()
            .filter(|(_, other, ..)| *other == slot)
            .map(|(_, _, key, _)| *key);
        let first = keys.next()?;
        keys.all(|key| key == first).then_some(first)
    };
    let apart = by_column.iter().find(|(table, slot, key, _)| {
        let mut others = by_column
            .iter()
            .filter(|(other, column, ..)| other == table && column != slot);
        only(*slot) == Some(*key)
            && others.any(|(_, column, other, _)| only(*column).is_some_and(|only| only == *other && only != *key))
    });
    if let Some((.., cell)) = apart.copied() {
        slips.habit(cell, &KEY_OF_OTHER, None, None);
    }
}

const CEILING: &[&str] = &[
    "limit",
    "allowed",
    "at most",
    "no more than",
    "maximum",
    "ordinance",
    "town rule",
    "not above",
];
const FLOOR: &[&str] = &["at least", "minimum", "no less than", "not below"];

/// A check the other way round, or of two pressures that don't compare.
fn comparison(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let Node::Compare(operator, sides) = &part.node else {
        return;
    };
    let ground = slips.ground;
    let (Some(one), Some(other)) = (cell_of(&sides.0), cell_of(&sides.1)) else {
        return;
    };
    if ground.sheet.entry(cell).is_some() {
        return;
    }
    unlike_pressures(slips, cell, one, other);
    let up = match operator {
        ComparisonOperator::AtLeast | ComparisonOperator::Greater => true,
        ComparisonOperator::AtMost | ComparisonOperator::Less => false,
        _ => return,
    };
    let tells = |cell: CellId| ground.says(cell, CEILING) || ground.says(cell, FLOOR);
    let lawful = |cell: CellId| {
        let made = ground.formulas.get(&cell);
        made.is_some_and(|formula| called(formula, Fact::MostLawful).is_some())
    };
    let (limit, up) = match (tells(one) || lawful(one), tells(other) || lawful(other)) {
        (false, true) => (other, up),
        (true, false) => (one, !up),
        _ => return,
    };
    let ceiling = lawful(limit) || ground.says(limit, CEILING) && !ground.says(limit, FLOOR);
    let floor = ground.says(limit, FLOOR) && !ground.says(limit, CEILING);
    if ceiling && up || floor && !up {
        slips.habit(cell, &CHECK_TURNED, Some(limit), None);
    }
}

/// 80 % of what is a lawful fill already.
fn lawful_fill(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let pieces = factors(part);
    if pieces.len() < 2 || !matches!(part.node, Node::Arithmetic(..)) {
        return;
    }
    let fill = pieces.iter().find(|(above, piece)| {
        let share = bare(piece);
        let share = share.or_else(|| ground.value(cell_of(piece)?, ""));
        *above && is_plain(piece.kind) && share.is_some_and(|share| (share - 0.8).abs() < 1e-9)
    });
    let said = |cell: CellId| ground.says(cell, &["80 %", "fill", "filled", "full", "opd", "stop valve"]);
    let known = fill.is_some_and(|(_, piece)| cell_of(piece).is_none_or(said));
    let full = [
        "net",
        "filled by weight",
        "lawful",
        "nominal",
        "propane",
        "20 lb",
        "30 lb",
        "40 lb",
        "100 lb",
        "refilled",
        "size",
        "to the stop",
    ];
    let not = ["capacity", "wc", "water", "volume", "exchange"];
    let weight = pieces
        .iter()
        .filter(|(above, piece)| *above && is_of(piece.kind, "lb"))
        .find_map(|(_, piece)| cell_of(piece));
    let weight =
        weight.filter(|weight| ground.is_input(*weight) && ground.says(*weight, &full) && !ground.says(*weight, &not));
    if let Some(weight) = weight.filter(|_| known) {
        slips.habit(cell, &OF_LAWFUL_FILL, Some(weight), Some(1.25));
    }
}

/// `1 + discount`, `1 - tax`.
fn signs(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let parts = terms(part);
    let [(true, whole), (up, share)] = parts.as_slice() else {
        return;
    };
    let whole = bare(whole);
    let Some(share) = cell_of(share).filter(|share| ground.is_input(*share) && ground.is(*share, "")) else {
        return;
    };
    let off = ["discount", "rebate", "derate", "derating", "loss", "losses", "unusable"];
    let on = ["tax", "surcharge", "markup", "vat", "fee"];
    let turned = *up && ground.says(share, &off) && !ground.says(share, on.as_slice())
        || !*up && ground.says(share, &on) && !ground.says(share, &["before tax", "without"]);
    if turned
        && whole.is_some_and(|whole| (whole - 1.0).abs() < 1e-9)
        && ground.value(share, "").is_some_and(|share| share > 0.0)
    {
        slips.habit(cell, &SIGN_TURNED, Some(share), None);
    }
}

/// A plain mean of prices, where the table has how much was bought at each.
fn mean_of_prices(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let sheet = slips.ground.sheet;
    let inner = call(part, Built::Mean).and_then(<[Typed]>::first);
    let Some(Node::Column(ColumnId(slot))) = inner.map(|inner| &inner.node) else {
        return;
    };
    let Some(column) = sheet.table_column(*slot) else {
        return;
    };
    let Kind::Quantity(of) = column.kind else { return };
    let sign = of.to_string();
    let hourly = is_rate(column.kind) && sign.ends_with("/h");
    let Some((_, by)) = sign.rsplit_once('/').filter(|_| of.is_money() || hourly) else {
        return;
    };
    let table = sheet
        .tables()
        .get(column.table as usize)
        .filter(|table| table.cell.is_none());
    let amount = table.and_then(|table| {
        table
            .columns
            .iter()
            .copied()
            .find(|other| sheet.table_column(*other).is_some_and(|other| is_of(other.kind, by)))
    });
    let Some(amount) = amount else { return };
    let pairs = sheet.column_cells(*slot).iter().zip(sheet.column_cells(amount));
    let pairs: Vec<(f64, f64)> = pairs
        .filter_map(|(price, amount)| Some((price.as_ref()?.to_f64(), amount.as_ref()?.to_f64())))
        .collect();
    let (paid, bought) = pairs.iter().fold((0.0, 0.0), |(paid, bought), (price, amount)| {
        (paid + price * amount, bought + amount)
    });
    let mean = pairs.iter().map(|(price, _)| price).sum::<f64>() / pairs.len().max(1) as f64;
    let right = paid / bought;
    if bought > 0.0 && mean > 0.0 && (right / mean - 1.0).abs() > 0.02 {
        slips.habit(cell, &MEAN_OF_PRICES, None, Some(right / mean));
    }
}

/// A lower bound for what must be there, an upper one for what can be counted on.
fn bound(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let needs = [
        "enough", "buy", "to stock", "order", "fetch", "to bring", "need", "needed",
    ];
    let lasts = [
        "lasts",
        "runtime",
        "at the least",
        "surely",
        "hours on",
        "counted on",
        "for sure",
    ];
    let burnt = |part: &Typed| is_rate(part.kind) || is_of(part.kind, "lb/kWh") || is_load(part.kind);
    let of_burn = called(part, Fact::LowerBound)
        .and_then(<[Typed]>::first)
        .is_some_and(burnt);
    if of_burn || called(part, Fact::LowerBound).is_some() && ground.says(cell, &needs) && !ground.says(cell, &lasts) {
        slips.habit(cell, &LOWER_BOUND, None, None);
    }
    if called(part, Fact::UpperBound).is_some() && ground.says(cell, &lasts) && !ground.says(cell, &needs) {
        slips.habit(cell, &UPPER_BOUND, None, None);
    }
}

/// What stands under a square root, however that is written.
fn under_root(part: &Typed) -> Option<&Typed> {
    match &part.node {
        Node::Arithmetic(Arithmetic::Power, _, sides) => {
            let number = |part: &Typed| constant(part).map(|(_, number)| number.to_f64());
            let power = match factors(&sides.1)[..] {
                [(true, one), (false, other)] => number(one).zip(number(other)).map(|(one, other)| one / other),
                _ => number(&sides.1),
            };
            let half = power.is_some_and(|power| (power - 0.5).abs() < 1e-9);
            half.then_some(&sides.0)
        }
        _ => call(part, Built::SquareRoot)?.first(),
    }
}

/// An error that is the same at every reading, with the root of their number.
fn same_each_time(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let Some(count) = pieces.iter().find_map(|(_, part)| under_root(part)) else {
        return;
    };
    let bare = bare(count);
    let rows = || {
        Some(
            ground
                .sheet
                .column_cells(column_of(argument(count, Built::Count)?)?)
                .len() as f64,
        )
    };
    let known = || super::number(ground.sheet, cell_of(count)?).map(|number| number.to_f64());
    let count = bare.or_else(known).or_else(rows);
    let same = [
        "same at every",
        "same every time",
        "the same at each",
        "stamp",
        "scale s error",
        "calibration",
        "never checked",
        "zero",
        "offset",
        "systematic",
        "all readings alike",
        "same for all",
        "check weight",
        "same all",
        "reads high",
        "reads low",
        "may read",
        "steady error",
    ];
    let all_alike = [
        "same way",
        "same at every",
        "the same at each",
        "all of them alike",
        "same for all",
    ];
    let alike = has_word(ground.near(cell), &all_alike);
    let named = pieces
        .iter()
        .filter_map(|(_, part)| cell_of(part))
        .find(|named| ground.says(*named, &same) || alike && !ground.says(*named, &["scatter", "repeat", "deviation"]));
    let count = count.filter(|count| *count > 1.0 && count.fract() == 0.0);
    if let Some((named, count)) = named.zip(count) {
        slips.habit(cell, &SAME_EACH_TIME, Some(named), Some(count.sqrt()));
    }
}

/// Carbon for carbon dioxide: a pound of propane gives three (40 CFR 98, Table C-1).
fn carbon(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if !ground.says(cell, &["co2", "carbon dioxide"]) || !is_of(formula.kind, "lb") {
        return;
    }
    let fuel = factors(formula)
        .into_iter()
        .filter(|(above, part)| *above && is_of(part.kind, "lb"));
    let fuel = fuel
        .filter_map(|(_, part)| cell_of(part))
        .find(|fuel| !ground.says(*fuel, &["co2", "dioxide"]));
    let ratio = fuel.and_then(|fuel| Some(ground.value(cell, "lb")? / ground.value(fuel, "lb")?));
    if let Some(ratio) = ratio.filter(|ratio| ratio.is_finite() && !(2.6..3.4).contains(ratio)) {
        slips.habit(cell, &CARBON_FOR_DIOXIDE, fuel, Some(2.994 / ratio));
    }
}

/// The least of several burns, or the longest of several times, for what is usual.
fn best_of(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    // a count of days, say, has another kind
    let takes = |wanted: Built| {
        let mut parts = parts(formula).into_iter();
        parts.any(|part| part.kind == formula.kind && call(part, wanted).is_some())
    };
    let named = [
        "least", "lowest", "best", "smallest", "longest", "highest", "most", "worst",
    ];
    let burns = is_rate(formula.kind) || is_of(formula.kind, "lb/kWh");
    let best = burns && takes(Built::Min) || is_of(formula.kind, "h") && takes(Built::Max);
    let of_many = parts(formula)
        .into_iter()
        .any(|part| matches!(part.node, Node::Column(_)));
    if best && of_many && !ground.says(cell, &named) {
        slips.habit(cell, &BEST_OF, None, None);
    }
}

/// Counted on from the last reading with what was there at the first.
fn stale(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let table = |part: &Typed, wanted: Built| {
        let Node::Column(ColumnId(slot)) = call(part, wanted)?.first()?.node else {
            return None;
        };
        ground.sheet.table_column(slot).map(|column| column.table)
    };
    let last = parts(formula).into_iter().find_map(|part| table(part, Built::Last));
    let Some(last) = last.filter(|_| terms(formula).len() > 1) else {
        return;
    };
    let first = ground.needs(cell).find(|need| {
        let made = ground
            .formulas
            .get(need)
            .filter(|made| is_of(made.kind, "lb") && !made.column);
        made.is_some_and(|made| {
            let terms = terms(made);
            let up = terms
                .iter()
                .any(|(up, term)| *up && table(term, Built::First) == Some(last));
            up && !terms.iter().any(|(_, term)| table(term, Built::Last) == Some(last))
        })
    });
    if let Some(first) = first {
        slips.habit(cell, &STALE, Some(first), None);
    }
}

/// What a scale reads too high, added; or what it reads too low, taken off.
fn corrections(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let terms = terms(formula);
    let wrong = terms
        .iter()
        .filter_map(|(up, term)| Some((*up, cell_of(term)?)))
        .find(|(up, term)| {
            let high = ground.says(
                *term,
                &["reads high", "high by", "too high", "shows too much", "too heavy"],
            ) || *up && reads_empty(slips, *term);
            let low = ground.says(
                *term,
                &["reads low", "low by", "too low", "shows too little", "too light"],
            );
            *up && high && !low || !*up && low && !high
        });
    let other = terms.iter().any(|(up, _)| *up);
    if let Some((up, term)) = wrong.filter(|_| terms.len() > 1 && other) {
        let amount = super::number(ground.sheet, term).map_or(0.0, |number| number.to_f64());
        // a correction that has its sign already
        if amount < 0.0 {
            return;
        }
        let mend = ground.changed(cell, |now| if up { now - 2.0 * amount } else { now + 2.0 * amount });
        let habit = if up && reads_empty(slips, term) {
            &ZERO_ADDED
        } else {
            &SIGN_TURNED
        };
        slips.add(cell, Slip::Habit(habit, Some(term)), mend);
    }
}

/// What a scale shows with nothing on it, or beyond a weight that is known, where that is above zero.
fn reads_empty(slips: &Slips<'_>, term: CellId) -> bool {
    let ground = slips.ground;
    let empty = [
        "hook empty",
        "empty hook",
        "nothing on",
        "no load on it",
        "unloaded",
        "empty pan",
    ];
    let shown =
        |part: &Typed| cell_of(part).is_some_and(|cell| ground.says(cell, &["shown", "shows", "reading", "with the"]));
    let known = |part: &Typed| {
        cell_of(part).is_some_and(|cell| {
            ground.says(
                cell,
                &["stamped", "certified", "brass", "known", "test weight", "standard"],
            )
        })
    };
    let made = ground.formulas.get(&term).map(terms).unwrap_or_default();
    let beyond = matches!(made.as_slice(), [(true, one), (false, other)] if shown(one) && known(other));
    let above = super::number(ground.sheet, term).is_some_and(|number| number.to_f64() > 0.0);
    above && (beyond || ground.is_input(term) && ground.says(term, &empty))
}

/// All that was weighed over the rate, shell and propane, where the worksheet has the net too.
fn gross_for_net(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let burnt = pieces.iter().any(|(above, part)| !*above && is_of(part.kind, "lb/h"));
    let weighed = above(formula).find(|part| ground.is(*part, "lb") && ground.is_input(*part));
    let Some(weighed) = weighed.filter(|_| burnt && is_of(formula.kind, "h")) else {
        return;
    };
    let tare = ground.formulas.values().flat_map(parts).find_map(|part| {
        let (over, under) = two_sides(part).filter(|_| is_of(part.kind, "lb"))?;
        (over == weighed && ground.is_input(under)).then_some(under)
    });
    let pounds = tare
        .and_then(|tare| ground.value(tare, "lb"))
        .zip(ground.value(weighed, "lb"));
    // a reserve is less than a shell
    if let Some((tare, gross)) = pounds.filter(|(tare, gross)| 2.5 * tare > *gross) {
        slips.habit(cell, &GROSS_FOR_NET, None, Some((gross - tare) / gross));
    }
}

/// 6 dB put on for a second set like the first.
fn two_alike(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let terms = terms(formula);
    let six = terms
        .iter()
        .any(|(up, term)| *up && constant(term).is_some_and(|(_, number)| (number.to_f64() - 6.0).abs() < 0.11));
    let level = terms
        .iter()
        .any(|(up, term)| *up && cell_of(term).is_some_and(|cell| ground.is_level(cell)));
    let two = ["both", "two", "pair", "parallel", "second set"];
    if six && level && ground.is_level(cell) && ground.says_near(cell, &two) {
        slips.habit(cell, &LEVELS_SQUARED, None, None);
    }
}
