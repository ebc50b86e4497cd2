//! What stands twice: an allowance, a share, a tolerance; and shares that don't go with counts.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::tolerance_of;
use crate::sheet::typed::{Node, Typed};
use crate::syntax::tree::ToleranceForm;
use crate::trade::Told;
use crate::unit::Kind;

use super::all_cells;
use super::ground::{bare, cell_of, constant, factors, in_unit, is_of, is_plain, outermost_sums, parts, terms};
use super::slip::Slip;
use super::slips::Slips;

/// Looks through every formula and every tolerance.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for (cell, formula) in ground.all_works() {
        taken_twice(slips, cell, formula);
        multiplied_twice(slips, cell, formula);
        added_twice(slips, cell, formula);
        there_and_back(slips, cell, formula);
        on_top(slips, cell, formula);
        other_share(slips, cell, formula);
        agreement(slips, cell, formula);
    }
    for cell in all_cells(ground.sheet) {
        coverage(slips, cell);
    }
}

/// An entry, or a number that is one's value, taken off where it is off already.
fn taken_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    for part in outermost_sums(formula) {
        let terms = terms(part);
        for (up, term) in terms
            .iter()
            .filter(|(_, term)| is_of(term.kind, "lb") || is_of(term.kind, "h") || is_of(term.kind, "W"))
        {
            let others = terms.iter().filter(|(_, other)| !std::ptr::eq(*other, *term));
            let twice = others
                .filter_map(|(way, other)| Some((*way, cell_of(other)?)))
                .find_map(|(way, other)| {
                    let same = |inner: &Typed, upward: bool| match (upward == way) == *up {
                        true => is_same(slips, term, inner),
                        false => None,
                    };
                    inside(slips, other, &same).map(|what| (what, other))
                });
            if let Some((what, first)) = twice.filter(|_| !up || cell_of(term).is_some()) {
                let whole = std::ptr::eq(part, formula) || self::terms(formula).len() == terms.len();
                let off = super::number(ground.sheet, what).map(Number::to_f64).filter(|_| whole);
                let back = off.and_then(|off| ground.changed(cell, |now| if *up { now - off } else { now + off }));
                // taken off twice at half of it is once
                let half = ground.changed(what, |off| off / 2.0);
                slips.add(cell, Slip::Twice(what, first), back.or(half));
            }
        }
    }
}

/// Goes down the sums that an entry is made of; what the look finds in one of them.
fn inside(slips: &Slips<'_>, cell: CellId, look: &dyn Fn(&Typed, bool) -> Option<CellId>) -> Option<CellId> {
    let formula = slips.ground.formulas.get(&cell)?;
    if slips.ground.is_input(cell) {
        return None;
    }
    let terms = terms(formula);
    let here = terms
        .iter()
        .filter(|_| terms.len() > 1)
        .find_map(|(up, term)| look(term, *up));
    here.or_else(|| {
        let deeper = terms.iter().filter(|(up, _)| *up).filter_map(|(_, term)| cell_of(term));
        deeper
            .filter(|deeper| *deeper != cell)
            .find_map(|deeper| inside(slips, deeper, look))
    })
}

/// The entry that both parts stand for, or of which one has the value.
fn is_same(slips: &Slips<'_>, known: &Typed, term: &Typed) -> Option<CellId> {
    match (cell_of(known), cell_of(term)) {
        (Some(one), Some(other)) => (one == other).then_some(one),
        (Some(one), None) => has_value(slips, one, term).then_some(one),
        (None, Some(other)) => has_value(slips, other, known).then_some(other),
        (None, None) => None,
    }
}

fn has_value(slips: &Slips<'_>, cell: CellId, part: &Typed) -> bool {
    let written = constant(part).and_then(|(kind, number)| in_unit(kind, number, "lb"));
    let value = slips.ground.value(cell, "lb");
    written
        .zip(value)
        .is_some_and(|(one, other)| one != 0.0 && (one - other).abs() < 1e-9)
}

/// What a factor adds on: the share of `1 + share`, or the number of `1.07`.
fn added_on(slips: &Slips<'_>, factor: &Typed) -> Option<(Option<CellId>, f64)> {
    let written = |part: &Typed| bare(part);
    if let Some(number) = written(factor) {
        return ((1.01..=1.35).contains(&number)).then_some((None, number));
    }
    let parts = terms(factor);
    let [(true, one), (true, other)] = parts.as_slice() else {
        return None;
    };
    let pair = [(one, other), (other, one)];
    pair.into_iter().find_map(|(whole, share)| {
        let share = cell_of(share).filter(|_| written(whole) == Some(1.0) && is_plain(share.kind))?;
        Some((Some(share), 1.0 + slips.ground.value(share, "")?))
    })
}

const WITH_TAX: &[&str] = &[
    "with tax",
    "incl tax",
    "including tax",
    "tax included",
    "taxes included",
    "after tax",
    "tax in",
    "taxed",
    "with sales tax",
    "including sales tax",
    "incl sales tax",
    "total incl",
    "tax is in",
    "all in",
    "out the door",
];

/// A tax, or another part on top, that what it is put on has already.
fn added_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let here = factors(formula);
    for (above, factor) in &here {
        let Some((share, number)) = added_on(slips, factor).filter(|_| *above) else {
            continue;
        };
        let others = here.iter().filter(|(up, other)| *up && !std::ptr::eq(*other, *factor));
        let others: Vec<CellId> = others.filter_map(|(_, other)| cell_of(other)).collect();
        let has_it = |other: &CellId| {
            let formula = ground.formulas.get(other).filter(|_| !ground.is_input(*other));
            formula.is_some_and(|formula| {
                let inner = factors(formula);
                let mut inner = inner.iter().filter(|(up, _)| *up);
                inner.any(|(_, part)| added_on(slips, part) == Some((share, number)))
            })
        };
        let mend = ground.changed(cell, |now| now / number);
        if let Some(first) = others.iter().find(|other| has_it(other)) {
            let slip = share.map_or(Slip::FactorTwice(number, *first), |share| Slip::Twice(share, *first));
            slips.add(cell, slip, mend);
            continue;
        }
        let is_tax =
            share.is_some_and(|share| ground.says(share, &["tax", "vat", "levy"])) || ground.says(cell, &["tax"]);
        let priced = others.iter().flat_map(|other| ground.needs(*other));
        let taxed = priced.filter(|_| is_tax).find(|other| ground.says(*other, WITH_TAX));
        if let Some(price) = taxed {
            slips.add(cell, Slip::TaxedAlready(price), mend);
        }
    }
}

/// A cord's length both ways where it counts there and back anyway, or one way where it doesn't.
fn there_and_back(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let two = |part: &Typed| bare(part) == Some(2.0);
    for part in parts(formula) {
        let Node::Call(function, arguments) = &part.node else {
            continue;
        };
        let place = function
            .parameters
            .iter()
            .position(|parameter| parameter.name == "one_way");
        let Some(length) = place.and_then(|place| arguments.get(place)) else {
            continue;
        };
        let made = cell_of(length).and_then(|length| ground.formulas.get(&length));
        let doubled = [Some(length), made].into_iter().flatten();
        let doubled = doubled
            .into_iter()
            .any(|length| factors(length).iter().any(|(above, part)| *above && two(part)));
        let said =
            cell_of(length).is_some_and(|length| ground.says(length, &["both ways", "there and back", "round trip"]));
        if doubled || said {
            slips.add(
                cell,
                Slip::BothWays(function.name),
                ground.changed(cell, |now| now / 2.0),
            );
        }
    }
    one_way(slips, cell, formula);
}

const BOTH_WIRES: &[&str] = &[
    "both ways",
    "there and back",
    "round trip",
    "loop",
    "two wires",
    "both wires",
    "both conductors",
    "out and back",
    "twice",
    "return",
];

/// Volts lost as amperes times the ohms of one wire.
fn one_way(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = super::shapes::flat(slips, formula);
    let has = |unit: &str| pieces.iter().any(|piece| piece.above && is_of(piece.part.kind, unit));
    let powers = |part: &Typed| bare(part).is_some_and(|number| [100.0, 1000.0].contains(&number));
    let doubled = pieces
        .iter()
        .any(|piece| is_plain(piece.part.kind) && !powers(piece.part));
    let said = ground.needs(cell).any(|need| ground.says(need, BOTH_WIRES));
    let one = [
        "one conductor",
        "per conductor",
        "single conductor",
        "each conductor",
        "one wire",
    ];
    let told =
        ground.says(cell, &["volts lost", "drop", "lost"]) && ground.needs(cell).any(|need| ground.says(need, &one));
    let two = |piece: &super::shapes::Piece<'_>| {
        constant(piece.part).is_some_and(|(_, number)| (number.to_f64() - 2.0).abs() < 1e-9)
    };
    let plain = is_plain(formula.kind) && told && pieces.iter().filter(|piece| piece.above).count() == 3;
    if plain && !said && !pieces.iter().any(two) && !slips.inherits(cell) {
        slips.add(cell, Slip::OneWay, ground.changed(cell, |now| now * 2.0));
        return;
    }
    let below = |unit: &str| pieces.iter().any(|piece| !piece.above && is_of(piece.part.kind, unit));
    let per_foot = has("ohm/ft") || has("ohm") && below("ft");
    let wire = has("A") && per_foot && has("ft") && !has("V");
    if is_of(formula.kind, "V") && wire && !doubled && !said && !slips.inherits(cell) {
        slips.add(cell, Slip::OneWay, ground.changed(cell, |now| now * 2.0));
    }
}

/// A share or an efficiency multiplied in where it is in already.
fn multiplied_twice(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let here = factors(formula);
    let shares = here
        .iter()
        .filter_map(|(above, factor)| Some((*above, cell_of(factor)?)));
    let shares = shares.filter(|(_, share)| {
        ground
            .shape(*share)
            .is_some_and(|shape| !shape.column && is_plain(shape.kind))
    });
    for (above, share) in shares {
        let value = ground.value(share, "").unwrap_or(1.0);
        let others = here.iter().filter_map(|(way, factor)| Some((*way, cell_of(factor)?)));
        let mut others = others.filter(|(_, other)| *other != share);
        let first = others.find(|(way, other)| {
            let Some(inner) = ground.formulas.get(other) else {
                return false;
            };
            let mut inner = factors(inner).into_iter();
            inner.any(|(inside, factor)| cell_of(factor) == Some(share) && (inside == *way) == above)
        });
        // a count may well stand in two numbers that are multiplied
        if let Some((_, first)) = first.filter(|_| value > 0.0 && value < 1.0) {
            let mend = ground.changed(cell, |now| if above { now / value } else { now * value });
            slips.add(cell, Slip::Twice(share, first), mend);
        }
    }
}

const MARGIN: &[&str] = &[
    "margin",
    "safety",
    "allowance",
    "cushion",
    "contingency",
    "to be safe",
    "safe side",
];
const CODE: &[&str] = &[
    "code",
    "nec",
    "continuous",
    "cord",
    "breaker",
    "ampacity",
    "circuit",
    "power factor",
    "inverter",
    "charger",
];

/// A bare factor about one, or one that calls itself a margin, on what has a ± already.
fn on_top(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    if ground.says(cell, CODE) || !has_tolerance(slips, cell) {
        return;
    }
    for part in parts(formula)
        .into_iter()
        .filter(|part| matches!(part.node, Node::Arithmetic(..)))
    {
        for (_, factor) in factors(part) {
            let written = constant(factor)
                .filter(|_| is_plain(factor.kind))
                .and_then(|(kind, number)| in_unit(kind, number, ""));
            let bare = written.filter(|number| (1.01..=1.35).contains(number) && (*number - 1.25).abs() > 1e-9);
            let named = cell_of(factor)
                .filter(|named| ground.says(*named, MARGIN))
                .and_then(|named| ground.value(named, ""));
            let named = named.filter(|number| (0.6..=1.6).contains(number) && *number != 1.0);
            if let Some(number) = bare.or(named) {
                let whole = factors(formula);
                let place = whole.iter().find(|(_, other)| std::ptr::eq(*other, factor));
                let mend = place.and_then(|(above, _)| {
                    ground.changed(cell, |now| if *above { now / number } else { now * number })
                });
                slips.add(cell, Slip::OnTop(number), mend);
            }
        }
    }
}

pub(super) fn has_tolerance(slips: &Slips<'_>, cell: CellId) -> bool {
    let sheet = slips.ground.sheet;
    slips
        .ground
        .needs(cell)
        .any(|need| sheet.entry(need).and_then(tolerance_of).is_some())
}

/// One part of so many, where the worksheet counts another number of cylinders.
fn other_share(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let counts = all_cells(ground.sheet).filter(|cell| {
        ground.is_input(*cell)
            && is_count(ground.sheet, *cell)
            && ground.says(
                *cell,
                &["cylinder", "joined", "manifold", "bottle", "together", "in use"],
            )
    });
    let counts: Vec<(CellId, f64)> = counts
        .filter_map(|cell| Some((cell, super::number(ground.sheet, cell)?.to_f64())))
        .collect();
    let [(count, joined)] = counts.as_slice() else { return };
    for part in parts(formula)
        .into_iter()
        .filter(|part| is_of(part.kind, "lb/h") && matches!(part.node, Node::Arithmetic(..)))
    {
        for (above, factor) in factors(part) {
            let Some(number) = bare(factor) else {
                continue;
            };
            let shared = if above { 1.0 / number } else { number };
            let whole = (2.0..=12.0).contains(&shared) && (shared - shared.round()).abs() < 1e-9;
            if whole && (shared - joined).abs() > 1e-9 {
                let mend = ground.changed(cell, |now| now * shared / joined);
                let mend = mend.filter(|_| is_of(formula.kind, "lb/h"));
                slips.add(cell, Slip::OtherShare(1.0 / shared, *count), mend);
            }
        }
    }
}

fn is_count(sheet: &Sheet, cell: CellId) -> bool {
    let whole = super::number(sheet, cell).is_some_and(|number| number.is_whole());
    whole
        && sheet
            .shape(cell)
            .is_some_and(|shape| matches!(shape.kind, Kind::Quantity(of) if matches!(&*of.to_string(), "" | "each")))
}

/// Two results that rest on one uncertain input can agree and both be wrong.
fn agreement(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    for part in parts(formula) {
        let Node::Call(function, arguments) = &part.node else {
            continue;
        };
        let (Told::OfDifference, [one, other, ..]) = (function.told, arguments.as_slice()) else {
            continue;
        };
        let (Some(one), Some(other)) = (cell_of(one), cell_of(other)) else {
            continue;
        };
        let sheet = ground.sheet;
        if let Some(table) = shared_table(slips, one, other) {
            slips.add(cell, Slip::SharedReadings(table), None);
            continue;
        }
        let mut shared = ground.needs(one).filter(|need| ground.rests_on(other, *need));
        let shared = shared.find(|need| sheet.entry(*need).and_then(tolerance_of).is_some() && ground.is_input(*need));
        if let Some(shared) = shared {
            slips.add(cell, Slip::SharedAgreement(shared), None);
        }
    }
}

/// A written table whose readings both results are made of.
fn shared_table(slips: &Slips<'_>, one: CellId, other: CellId) -> Option<u32> {
    let sheet = slips.ground.sheet;
    let of = |cell: CellId| {
        let tables = slips.ground.needs(cell).flat_map(|need| sheet.tables_of(need));
        tables.collect::<std::collections::BTreeSet<u32>>()
    };
    let written = |table: &u32| {
        sheet
            .tables()
            .get(*table as usize)
            .is_some_and(|table| table.cell.is_none())
    };
    let other = of(other);
    of(one)
        .into_iter()
        .find(|table| other.contains(table) && written(table))
}

/// A source that tells one coverage beside a ± that says another.
fn coverage(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let Some(tolerance) = ground
        .sheet
        .entry(cell)
        .and_then(tolerance_of)
        .filter(|_| ground.sheet.held(cell).is_none())
    else {
        return;
    };
    let expanded = ground.says(cell, &["k 2", "u", "expanded", "95 %", "k2"]);
    let standard = ground.says(
        cell,
        &["k 1", "standard uncertainty", "standard deviation", "sd", "one sigma"],
    );
    let (says, taken) = match tolerance.form {
        ToleranceForm::Standard if expanded && !standard => ("an expanded uncertainty, k=2", "a standard one"),
        ToleranceForm::Limits if standard && !expanded => ("a standard uncertainty", "limits"),
        ToleranceForm::Expanded(_) if standard && !expanded => ("a standard uncertainty", "an expanded one"),
        _ => return,
    };
    slips.add(cell, Slip::Coverage(says, taken), None);
}
