//! Fuel in plain proportion with load: one load over another, a bare share of a rate,
//! one efficiency for all loads.
//!
//! A product is followed through entries, rules and units down to its factors, so that
//! it is seen however many lines it is spread over. Start reading at [`Products::add`].

use std::collections::BTreeMap;

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::sheet::{Reading, Sheet};
use crate::trade::Fact;
use crate::unit::{Kind, Unit, conversion};

use super::ground::{Ground, is_fuel, is_load, is_rate};

/// In which way fuel goes in plain proportion with the load.
#[derive(Clone, PartialEq, Debug)]
pub enum Proportion {
    /// One load over another, by their entries; `None` for a load written as a number.
    Loads(Option<CellId>, Option<CellId>),
    /// A rate times the share that an entry has.
    ShareOf(CellId, CellId),
    /// A rate times a bare number, which may be the share of the load.
    Share(CellId, Number),
    /// A load over the efficiency that an entry has; `None` for one written as a number.
    Efficiency(Option<CellId>),
    /// The burn goes to nothing when this load does.
    ByTrial(CellId),
}

/// A factor of a product.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Factor {
    /// The entry it is the value of.
    cell: Option<CellId>,
    /// Its value, where it is written as a number.
    number: Option<Number>,
    kind: Kind,
    /// Whether it stands above the stroke.
    above: bool,
}

/// No product is followed further than this.
const MOST_FACTORS: usize = 24;

/// An engine and its alternator give less of the heat than the second, and more than the
/// first even close to no load (common practice: 5 to 30 %).
const EFFICIENCIES: (f64, f64) = (0.02, 0.6);

/// A rate times a number between these is taken for a margin, not for another load.
const MARGINS: (f64, f64) = (0.9, 1.5);

/// The entries that are products, down to their factors.
#[derive(Default)]
pub(super) struct Products {
    factors: BTreeMap<CellId, Vec<Factor>>,
    /// Entries in which fuel was found in proportion with load; those further on inherit it.
    flagged: Vec<CellId>,
}

/// One product being followed.
struct Walk<'a> {
    known: &'a BTreeMap<CellId, Vec<Factor>>,
    /// The arguments of the rules it goes through.
    shared: BTreeMap<u32, &'a Typed>,
    factors: Vec<Factor>,
    /// The entries with factors of their own that it goes through.
    met: Vec<CellId>,
}

impl Products {
    /// Takes an entry in; tells if fuel goes with the load in proportion here.
    pub(super) fn add(&mut self, ground: &Ground<'_>, cell: CellId) -> Option<Proportion> {
        let sheet = ground.sheet;
        if sheet.entry(cell).is_none_or(|entry| entry.kind.is_input()) || sheet.held(cell).is_some() {
            return None;
        }
        let typed = ground.formulas.get(&cell)?;
        let mut walk = Walk {
            known: &self.factors,
            shared: BTreeMap::new(),
            factors: Vec::new(),
            met: Vec::new(),
        };
        walk.follow(typed, true);
        if !is_product(typed) || walk.factors.len() > MOST_FACTORS {
            return None;
        }
        let Walk { factors, met, .. } = walk;
        let inherited = met.iter().any(|cell| self.flagged.contains(cell));
        let found = in_proportion(sheet, typed.kind, &factors).or_else(|| self.inside(sheet, typed));
        if inherited || found.is_some() {
            self.flagged.push(cell);
        }
        self.factors.insert(cell, factors);
        found.filter(|_| !inherited)
    }
}

impl Products {
    /// A rate inside a formula that goes by a bare share: the time in `fuel / (rate / 2)`.
    fn inside(&self, sheet: &Sheet, value: &Typed) -> Option<Proportion> {
        let within = |part: &Typed| self.inside(sheet, part);
        match &value.node {
            Node::Arithmetic(operator, _, sides) => {
                let is_rate = matches!(operator, Arithmetic::Multiply | Arithmetic::Divide) && is_rate(value.kind);
                let here = is_rate.then(|| {
                    let mut walk = Walk {
                        known: &self.factors,
                        shared: BTreeMap::new(),
                        factors: Vec::new(),
                        met: Vec::new(),
                    };
                    walk.follow(value, true);
                    in_proportion(sheet, value.kind, &walk.factors)
                });
                here.flatten().or_else(|| within(&sides.0)).or_else(|| within(&sides.1))
            }
            Node::Convert(inner, _) | Node::Negate(inner) => within(inner),
            _ => None,
        }
    }
}

impl<'a> Walk<'a> {
    fn follow(&mut self, value: &'a Typed, above: bool) {
        if self.factors.len() > MOST_FACTORS {
            return;
        }
        match &value.node {
            Node::Convert(inner, _) | Node::Negate(inner) => self.follow(inner, above),
            Node::Arithmetic(Arithmetic::Multiply, _, sides) => {
                self.follow(&sides.0, above);
                self.follow(&sides.1, above);
            }
            Node::Arithmetic(Arithmetic::Divide, _, sides) => {
                self.follow(&sides.0, above);
                self.follow(&sides.1, !above);
            }
            Node::Let(arguments, body) => {
                let shared = arguments.iter().map(|(number, value)| (*number, value));
                self.shared.extend(shared);
                self.follow(body, above);
            }
            Node::Shared(number) => match self.shared.get(number) {
                Some(argument) => self.follow(argument, above),
                None => self.leaf(None, value, above),
            },
            Node::Call(function, arguments) => match arguments.as_slice() {
                [first, ..] if function.tells(Fact::GoesWithFirst) => self.follow(first, above),
                [first, second] if function.tells(Fact::FirstOverSecond) => {
                    self.follow(first, above);
                    self.follow(second, !above);
                }
                _ => self.leaf(None, value, above),
            },
            Node::Cell(cell) => self.cell(*cell, value, above),
            _ => self.leaf(None, value, above),
        }
    }

    fn cell(&mut self, cell: CellId, value: &Typed, above: bool) {
        let Some(known) = self.known.get(&cell) else {
            return self.leaf(Some(cell), value, above);
        };
        self.met.push(cell);
        let turned = known.iter().map(|factor| Factor {
            above: factor.above == above,
            ..*factor
        });
        self.factors.extend(turned);
    }

    fn leaf(&mut self, cell: Option<CellId>, value: &Typed, above: bool) {
        let number = match value.node {
            Node::Constant(number) => Some(number),
            _ => None,
        };
        self.factors.push(Factor {
            cell,
            number,
            kind: value.kind,
            above,
        });
    }
}

/// Whether a value is put together from factors.
fn is_product(value: &Typed) -> bool {
    match &value.node {
        Node::Convert(inner, _) | Node::Negate(inner) | Node::Let(_, inner) => is_product(inner),
        Node::Arithmetic(Arithmetic::Multiply | Arithmetic::Divide, ..) | Node::Cell(_) => true,
        Node::Call(function, _) => function.tells(Fact::GoesWithFirst) || function.tells(Fact::FirstOverSecond),
        _ => false,
    }
}

fn in_proportion(sheet: &Sheet, kind: Kind, factors: &[Factor]) -> Option<Proportion> {
    if !is_fuel(kind) {
        return None;
    }
    let (over, under) = loads(factors);
    match (over.as_slice(), under.as_slice()) {
        ([over], [under]) if factors.iter().any(|factor| is_fuel(factor.kind)) => {
            Some(Proportion::Loads(over.cell, under.cell))
        }
        ([_], []) if is_rate(kind) => efficiency(sheet, factors),
        ([], []) if is_rate(kind) => share(sheet, factors),
        _ => None,
    }
}

/// The loads above the stroke and those below it, once what stands on both sides is taken away.
fn loads(factors: &[Factor]) -> (Vec<Factor>, Vec<Factor>) {
    let side = |above: bool| {
        let loads = factors.iter().copied();
        let loads = loads.filter(|factor| factor.above == above && is_load(factor.kind));
        loads.collect::<Vec<Factor>>()
    };
    let (mut over, mut under) = (side(true), side(false));
    over.retain(|load| {
        let same = |other: &Factor| (load.cell, load.number) == (other.cell, other.number);
        let told = load.cell.is_some() || load.number.is_some();
        match under.iter().position(same).filter(|_| told) {
            Some(place) => {
                under.remove(place);
                false
            }
            None => true,
        }
    });
    (over, under)
}

/// The efficiency that a load is divided by, where it is the same for all loads.
fn efficiency(sheet: &Sheet, factors: &[Factor]) -> Option<Proportion> {
    let fits = |factor: &&Factor| {
        let share = share_of(sheet, factor).map(Number::to_f64);
        !factor.above && share.is_some_and(|share| (EFFICIENCIES.0..EFFICIENCIES.1).contains(&share))
    };
    let found = factors.iter().find(fits)?;
    Some(Proportion::Efficiency(found.cell))
}

/// The share that a rate alone is multiplied by.
fn share(sheet: &Sheet, factors: &[Factor]) -> Option<Proportion> {
    let mut rate = None;
    let mut named = None;
    let mut number = Number::ONE;
    for factor in factors {
        if is_rate(factor.kind) && factor.above && rate.is_none() {
            rate = Some(factor.cell?);
            continue;
        }
        let share = share_of(sheet, factor)?;
        match factor.cell {
            Some(cell) if says_load(sheet, cell) => named = Some(cell),
            Some(_) => return None,
            None if factor.above => number = number.mul(share).ok()?,
            None => number = number.div(share).ok()?,
        }
    }
    let rate = rate?;
    if let Some(share) = named {
        return Some(Proportion::ShareOf(rate, share));
    }
    let is_margin = (MARGINS.0..MARGINS.1).contains(&number.to_f64());
    (!is_margin).then_some(Proportion::Share(rate, number))
}

/// A written number or the value of an input, where it has no unit or is a share.
fn share_of(sheet: &Sheet, factor: &Factor) -> Option<Number> {
    let Kind::Quantity(of) = factor.kind else { return None };
    let to_plain = conversion(of, Unit::ONE)?;
    let value = match factor.cell {
        None => factor.number?,
        Some(cell) if sheet.entry(cell)?.kind.is_input() => match sheet.reading(cell) {
            Reading::Number(number) => number,
            _ => return None,
        },
        Some(_) => return None,
    };
    to_plain.apply(value).ok()
}

/// Whether an entry calls itself a load, and not the part of the fuel that goes without one.
fn says_load(sheet: &Sheet, cell: CellId) -> bool {
    let entry = sheet.entry(cell);
    let texts = entry.map(|entry| [&entry.label, &entry.source, &entry.note]);
    let texts = texts.into_iter().flatten().flatten();
    let label = texts
        .map(|text| text.text.to_lowercase())
        .collect::<Vec<String>>()
        .join(" ");
    let name = sheet.name_of(cell).unwrap_or("").to_lowercase();
    let words: Vec<&str> = name
        .split('_')
        .chain(label.split(|c: char| !c.is_alphanumeric()))
        .collect();
    words.iter().any(|word| *word == "load" || *word == "loads") && !words.contains(&"no")
}
