//! Plain numbers with their units in their names, `eur_per_litre`, followed through formulas.
//!
//! What a worksheet of bare numbers loses is found again here: products have to come out in
//! the unit of their own name, sums and comparisons have to be of one unit, and a factor
//! between two units has to be the right way round. With [`dress`] the other rooms see such
//! numbers as what they measure. Start reading at [`look`].

use std::collections::BTreeMap;

use crate::sheet::names::CellId;
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::trade::habits::{FACTOR_OF_NAMES, SUM_OF_NAMES, UNITS_OF_NAMES};
use crate::trade::yardsticks::RATIOS;
use crate::trade::{Body, Built};
use crate::unit::{Kind, Unit, conversion, product, quotient, symbol};

use super::all_cells;
use super::ground::{Ground, inner_of, is_plain, parts};
use super::slips::Slips;

/// What a part is by the names in it.
#[derive(Clone, Copy)]
struct Told {
    unit: Unit,
    /// What the bare number is multiplied by to be in that unit.
    times: f64,
    /// The bare numbers in it, multiplied.
    constant: f64,
    /// Whether days are counted in it, which stand for 24 h as often as for one of them.
    days: bool,
}

const PURE: Told = Told {
    unit: Unit::ONE,
    times: 1.0,
    constant: 1.0,
    days: false,
};

/// Words of a name that tell a plain share or a count.
const COUNTS: [&str; 24] = [
    "efficiency",
    "eff",
    "share",
    "fraction",
    "factor",
    "ratio",
    "duty",
    "count",
    "number",
    "cylinders",
    "bottles",
    "tanks",
    "cans",
    "percent",
    "pct",
    "cop",
    "households",
    "people",
    "lamps",
    "margin",
    "times",
    "units",
    "loads",
    "cells",
];
/// Words that stand for money.
const MONEY: [&str; 11] = [
    "usd", "eur", "gbp", "dollar", "dollars", "euro", "euros", "cost", "costs", "price", "fee",
];
/// Stretches of time that are counted rather than measured.
const DAYS: [&str; 12] = [
    "day", "days", "daily", "night", "nights", "nightly", "week", "weeks", "month", "months", "year", "years",
];
/// Symbols in the small letters of names, and a few that a name may end with.
const SMALL: [(&str, &str); 16] = [
    ("v", "V"),
    ("ohms", "ohm"),
    ("psia", "psi"),
    ("psig", "psi"),
    ("kw", "kW"),
    ("kwh", "kWh"),
    ("wh", "Wh"),
    ("btu", "BTU"),
    ("mj", "MJ"),
    ("kj", "kJ"),
    ("va", "VA"),
    ("kpa", "kPa"),
    ("kva", "kVA"),
    ("w", "W"),
    ("h", "h"),
    ("ml", "mL"),
];
/// Lengths, behind which `m` and `in` are meters and inches.
const LENGTHS: [&str; 13] = [
    "altitude",
    "elevation",
    "site",
    "cord",
    "length",
    "run",
    "distance",
    "height",
    "width",
    "diameter",
    "depth",
    "wall",
    "hose",
];

/// The unit that a word of a name is.
fn unit_of(word: &str) -> Option<Unit> {
    if MONEY.contains(&word) {
        return Unit::parse("$").ok();
    }
    let small = SMALL.iter().find(|(written, _)| *written == word);
    if let Some((_, sign)) = small {
        return Unit::parse(sign).ok();
    }
    // one letter may stand for anything, and `min` for the least
    if word.len() < 2 || matches!(word, "min" | "in" | "at" | "wc" | "mi") || DAYS.contains(&word) {
        return None;
    }
    let known = symbol::by_word(word).or_else(|| symbol::symbol(word).map(|_| word));
    let unit = Unit::parse(known?).ok()?;
    (!unit.is_point() && unit != Unit::ONE && !unit.is_dimensionless()).then_some(unit)
}

/// What a name tells.
fn by_name(name: &str) -> Option<Told> {
    let words: Vec<&str> = name.split('_').collect();
    // thousands of feet are counted in something else than feet
    if words
        .iter()
        .any(|word| matches!(*word, "thousand" | "thousands" | "hundred" | "hundreds"))
    {
        return None;
    }
    let days = words.iter().any(|word| DAYS.contains(word));
    let told = |unit: Unit| Some(Told { unit, days, ..PURE });
    let place = words.iter().position(|word| *word == "per");
    let (front, back) = words.split_at(place.unwrap_or(words.len()));
    let last = front.last().copied().unwrap_or_default();
    let length = front.iter().any(|word| LENGTHS.contains(word));
    let meters = match last {
        "m" if length => Unit::parse("m").ok(),
        "in" if length => Unit::parse("in").ok(),
        _ => None,
    };
    let joined = front.windows(2).find_map(|two| match two {
        ["btu" | "lb" | "gal" | "kg", "h"] => {
            quotient(unit_of(two.first()?)?, Unit::parse("h").ok()?).map(|made| made.unit)
        }
        ["watt" | "watts", "hours" | "hour"] => Unit::parse("Wh").ok(),
        ["amp" | "amps", "hours" | "hour"] => Unit::parse("A·h").ok(),
        _ => None,
    });
    let named = || {
        let mut all = front.iter().filter_map(|word| unit_of(word));
        let first = all.next()?;
        let more = all.next();
        (more.is_none() || place.is_some()).then(|| more.unwrap_or(first))
    };
    let above = meters.or(joined).or_else(named);
    let Some((_, below)) = back.split_first() else {
        let counted = front.iter().any(|word| COUNTS.contains(word) || DAYS.contains(word));
        return above.map_or_else(|| counted.then_some(Told { days, ..PURE }), told);
    };
    // `ohm_per_1000_ft`
    let many = below.first().and_then(|many| many.parse::<f64>().ok());
    let below = below.get(usize::from(many.is_some())..)?;
    let below_unit = below.first().copied().unwrap_or_default();
    // by weight and by degree
    let more = below.iter().skip(1);
    if more.into_iter().any(|word| word.len() == 1 || unit_of(word).is_some()) {
        return None;
    }
    match (unit_of(below_unit), many) {
        (Some(below), many) => Some(Told {
            times: 1.0 / many.unwrap_or(1.0),
            ..told(quotient(above?, below)?.unit)?
        }),
        (None, None) => told(above?),
        (None, Some(_)) => None,
    }
}

/// The unit that a name tells a plain number to be in; none where it tells a count or nothing.
pub(super) fn unit_told(name: &str) -> Option<Unit> {
    if name.ends_with("_percent") || name.ends_with("_pct") {
        return Unit::parse("%").ok();
    }
    by_name(name).map(|told| told.unit).filter(|unit| *unit != Unit::ONE)
}

/// The worksheet's names, each looked up once.
struct Names<'a> {
    ground: &'a Ground<'a>,
    known: BTreeMap<CellId, Option<Told>>,
    sums: bool,
}

impl Names<'_> {
    fn cell(&mut self, cell: CellId) -> Option<Told> {
        if let Some(known) = self.known.get(&cell) {
            return *known;
        }
        self.known.insert(cell, None);
        let ground = self.ground;
        let named = ground.sheet.name_of(cell).and_then(by_name);
        let told = named.or_else(|| {
            let written = ground.plain.get(&cell).or_else(|| ground.formulas.get(&cell));
            let formula = written.filter(|_| !ground.is_input(cell))?;
            // its own constant is in its value already
            self.part(formula).filter(|told| told.constant == 1.0)
        });
        self.known.insert(cell, told);
        told
    }

    fn part(&mut self, part: &Typed) -> Option<Told> {
        if !is_plain(part.kind) {
            return None;
        }
        match &part.node {
            Node::Constant(number) => Some(Told {
                constant: number.to_f64(),
                ..PURE
            }),
            Node::Cell(cell) => self.cell(*cell),
            Node::Column(column) => by_name(&self.ground.sheet.table_column(column.0)?.name),
            Node::Convert(inner, _) | Node::Negate(inner) => self.part(inner),
            Node::Call(function, arguments) => match function.body {
                Body::Built(Built::Sum | Built::Max | Built::Min | Built::Mean | Built::First | Built::Last) => {
                    let all: Vec<Told> = arguments.iter().filter_map(|argument| self.part(argument)).collect();
                    let first = all.first().copied()?;
                    (all.len() == arguments.len() && all.iter().all(|told| told.unit == first.unit)).then_some(first)
                }
                Body::Built(Built::Round | Built::RoundUp | Built::RoundDown | Built::Abs) => {
                    self.part(arguments.first()?)
                }
                _ => None,
            },
            Node::Arithmetic(operator, _, sides) => {
                let (left, right) = (self.part(&sides.0), self.part(&sides.1));
                match operator {
                    Arithmetic::Multiply => joined(left?, right?, true),
                    Arithmetic::Divide => joined(left?, right?, false),
                    Arithmetic::Add | Arithmetic::Subtract => self.summed(left, right),
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// A sum is of one unit; a bare number in it is of the same.
    fn summed(&mut self, left: Option<Told>, right: Option<Told>) -> Option<Told> {
        let (left, right) = (left?, right?);
        if left.unit == Unit::ONE || right.unit == Unit::ONE {
            return None;
        }
        self.sums |= differ(&left, &right);
        Some(left).filter(|left| left.constant == 1.0)
    }
}

fn joined(left: Told, right: Told, above: bool) -> Option<Told> {
    let made = if above {
        product(left.unit, right.unit)?
    } else {
        quotient(left.unit, right.unit)?
    };
    let with = |one: f64, other: f64| if above { one * other } else { one / other };
    Some(Told {
        unit: made.unit,
        times: with(left.times, right.times) * made.scale.to_f64(),
        constant: with(left.constant, right.constant),
        days: left.days || right.days,
    })
}

/// What the bare number of one is multiplied by to be in the unit of the other.
fn factor(from: &Told, to: &Told) -> Option<f64> {
    Some(from.times * conversion(from.unit, to.unit)?.apply_f64(1.0) / to.times)
}

/// Whether two units are apart by lengths of time alone, which days in a name stand for.
fn is_of_times(one: Unit, other: Unit) -> bool {
    let power = |power: i32| {
        let hour = Unit::parse("h").ok()?;
        let grown = (0..power.abs()).try_fold(one, |unit, _| match power > 0 {
            true => product(unit, hour).map(|made| made.unit),
            false => quotient(unit, hour).map(|made| made.unit),
        });
        conversion(grown?, other)
    };
    (-2..=2).any(|times| power(times).is_some())
}

/// Whether two values without bare numbers in them are of other units.
fn differ(left: &Told, right: &Told) -> bool {
    let bare = left.constant == 1.0 && right.constant == 1.0 && !left.days && !right.days;
    bare && factor(left, right).is_none_or(|factor| !is_near(factor, 1.0))
}

fn is_near(value: f64, other: f64) -> bool {
    (value / other - 1.0).abs() < 0.012
}

/// Whether a bare number turns one unit into another, and is meant for nothing else.
fn converts(constant: f64) -> bool {
    let known = RATIOS.iter().filter(|ratio| ratio.plain).map(|ratio| ratio.of);
    let mut all = known.chain([3.6, 3.280_84, 1.609_344, 453.592, 28.3495]);
    all.any(|ratio| is_near(constant, ratio) || is_near(1.0 / constant, ratio))
}

/// Whether a bare number may turn one unit into another of the same kind, whatever else it may be.
fn is_conversion(constant: f64) -> bool {
    let powers = [1.0, 60.0, 3600.0, 1000.0, 100.0, 16.0, 12.0];
    converts(constant)
        || powers
            .into_iter()
            .any(|ratio| is_near(constant, ratio) || is_near(1.0 / constant, ratio))
}

/// Gives plain numbers the units that their names tell, in what the rooms look at.
pub(super) fn dress(ground: &mut Ground<'_>) {
    let mut names = Names {
        ground,
        known: BTreeMap::new(),
        sums: false,
    };
    let mut named = BTreeMap::new();
    for cell in all_cells(ground.sheet) {
        let plain = ground
            .sheet
            .shape(cell)
            .filter(|shape| is_bare(shape.kind) && !shape.column);
        let told = plain.and_then(|_| {
            let by_name = ground.sheet.name_of(cell).and_then(unit_told);
            by_name.or_else(|| names.cell(cell).map(|told| told.unit))
        });
        let told = told.filter(|unit| *unit != Unit::ONE);
        named.extend(told.map(|unit| (cell, Kind::Quantity(unit))));
    }
    let mut formulas = BTreeMap::new();
    for (cell, formula) in &ground.formulas {
        let mut formula = formula.clone();
        if put_on(&mut names, &named, &mut formula) {
            if let Some(kind) = named.get(cell) {
                formula.kind = *kind;
            }
            formulas.insert(*cell, formula);
        }
    }
    ground.named = named;
    for (cell, formula) in formulas {
        let written = ground.formulas.insert(cell, formula);
        ground.plain.extend(written.map(|written| (cell, written)));
    }
}

fn is_bare(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(of) if of == Unit::ONE)
}

/// Puts the units on a formula and its parts; whether any has one.
fn put_on(names: &mut Names<'_>, named: &BTreeMap<CellId, Kind>, part: &mut Typed) -> bool {
    let mut found = false;
    if is_bare(part.kind) {
        let kind = match &part.node {
            Node::Cell(cell) => named.get(cell).copied(),
            Node::Column(column) => {
                let column = names.ground.sheet.table_column(column.0);
                column.and_then(|column| unit_told(&column.name)).map(Kind::Quantity)
            }
            _ => names.part(part).map(|told| Kind::Quantity(told.unit)),
        };
        found = kind.is_some_and(|kind| !is_bare(kind));
        part.kind = kind.unwrap_or(part.kind);
    }
    for inner in inner_of(part) {
        found |= put_on(names, named, inner);
    }
    found
}

/// Formulas of plain numbers whose names contradict each other.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let mut names = Names {
        ground,
        known: BTreeMap::new(),
        sums: false,
    };
    for (cell, formula) in ground.worked() {
        let formula = ground.plain.get(&cell).unwrap_or(formula);
        names.sums = false;
        let compared = parts(formula).into_iter().any(|part| match &part.node {
            Node::Compare(_, sides) => {
                let (left, right) = (names.part(&sides.0), names.part(&sides.1));
                left.zip(right).is_some_and(|(left, right)| {
                    left.unit != Unit::ONE && right.unit != Unit::ONE && differ(&left, &right)
                })
            }
            _ => false,
        });
        let own = ground.sheet.name_of(cell).and_then(by_name);
        let told = names.part(formula);
        if compared || names.sums {
            slips.habit(cell, &SUM_OF_NAMES, None, None);
            continue;
        }
        let Some((own, told)) = own.zip(told) else { continue };
        let days = own.days || told.days;
        match factor(&told, &own) {
            // volts times amperes are watts here
            None if told.unit.dimension().without_apparent() == own.unit.dimension().without_apparent() => {}
            None if told.unit == Unit::ONE || !is_conversion(told.constant) => {}
            None if days && is_of_times(told.unit, own.unit) => {}
            None => slips.habit(cell, &UNITS_OF_NAMES, None, None),
            Some(_) if days => {}
            Some(right) if is_near(told.constant, right) => {}
            Some(right) => {
                let missing = told.constant == 1.0;
                let turned = is_near(told.constant, 1.0 / right);
                if missing || turned || converts(told.constant) {
                    slips.habit(cell, &FACTOR_OF_NAMES, None, Some(right / told.constant));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_their_units() {
        let told = |name: &str| by_name(name).map(|told| told.unit.to_string());
        let each = [
            ("burn_lb_per_h", Some("lb/h")),
            ("kg_per_hour", Some("kg/h")),
            ("eur_per_litre", Some("$/L")),
            ("price_per_gal", Some("$/gal")),
            ("run_hours", Some("h")),
            ("hours_run", Some("h")),
            ("cord_m", Some("m")),
            ("load_kw", Some("kW")),
            ("used_watt_hours", Some("Wh")),
            ("efficiency", Some("")),
            ("tare_a", None),
            ("least_min", None),
            ("hours_on_20_lb", None),
            ("ohm_per_1000_ft", Some("ohm/ft")),
        ];
        for (name, unit) in each {
            assert_eq!(told(name).as_deref(), unit, "{name}");
        }
    }
}
