//! What goes wrong at the scale: hose and regulator, another cylinder's tare, a fill by
//! volume taken by weight, more than a cylinder holds.
//!
//! Start reading at [`look`]: it goes through differences of weights.

use std::collections::BTreeSet;

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::typed::Typed;
use crate::syntax::tree::EntryKind;
use crate::trade::habits::HOSE_TWICE;

use super::all_cells;
use super::ground::Ground;
use super::ground::{bare, cell_of, constant, factors, in_unit, is_of, is_plain, outermost_sums, parts, terms};
use super::hung::{self, HUNG, OFF};
use super::slip::Slip;
use super::slips::Slips;

const HOSE: &[&str] = &["hose", "regulator", "attached", "pigtail", "hung", "hook"];
const TARE: &[&str] = &["tare", "tw", "empty", "stamp", "collar"];
/// What calls a weight that of the water a cylinder holds.
pub(super) const CAPACITY: &[&str] = &["capacity", "wc"];
const COLORS: &[&str] = &[
    "red", "blue", "green", "white", "black", "gray", "grey", "yellow", "orange", "silver",
];
const PLACES: &[&str] = &[
    "first", "second", "third", "fourth", "left", "right", "old", "new", "spare", "north", "south",
];

/// Hose and regulator together weigh no more, in pounds.
const MOST_HOSE: f64 = 6.0;
/// What the law allows of the weight of water (49 CFR 173.304a, from memory), and what is past reading it wrong.
const LAWFUL: f64 = 0.42;
const OVERFULL: f64 = 0.426;

/// Water capacity over tare, of steel, aluminum and composite shells of 5 to 420 lb (from memory).
const SHELL: (f64, f64) = (1.4, 5.0);

/// Looks through every formula for weights taken from each other or shares of a capacity.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    hung::look(slips);
    for (cell, formula) in &ground.formulas {
        for part in parts(formula).into_iter().filter(|part| is_of(part.kind, "lb")) {
            fill(slips, *cell, formula, part);
        }
        for sum in outermost_sums(formula).into_iter().filter(|sum| is_of(sum.kind, "lb")) {
            difference(slips, *cell, sum);
        }
        capacity_as_fuel(slips, *cell, formula);
    }
    shells(slips);
}

/// A capacity over a rate, or less a reserve or a tare: the weight of water taken for propane.
fn capacity_as_fuel(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let is_capacity = |part: &Typed| {
        let named = cell_of(part)?;
        let says = ground.is(named, "lb") && ground.is_input(named) && ground.says(named, CAPACITY);
        says.then_some(named)
    };
    let weight_in = |part: &Typed| {
        let terms = terms(part);
        terms.iter().find_map(|(up, term)| is_capacity(term).filter(|_| *up))
    };
    let capacity = if is_of(formula.kind, "h") {
        let factors = factors(formula);
        let burnt = factors.iter().any(|(above, part)| !*above && is_of(part.kind, "lb/h"));
        let fuel = factors.iter().filter(|(above, part)| *above && is_of(part.kind, "lb"));
        let shared = factors.iter().any(|(_, part)| is_plain(part.kind));
        fuel.filter(|_| burnt && !shared).find_map(|(_, part)| weight_in(part))
    } else {
        let taken = terms(formula);
        let off = taken
            .iter()
            .filter(|(up, _)| !*up)
            .filter_map(|(_, term)| cell_of(term));
        let reserve = off
            .into_iter()
            .any(|cell| ground.says(cell, &["reserve", "left", "swap", "tare", "tw"]));
        weight_in(formula).filter(|_| is_of(formula.kind, "lb") && reserve)
    };
    let plainly =
        is_capacity(formula).filter(|_| !ground.is_input(cell) && !ground.says(cell, &["water", "capacity", "wc"]));
    if let Some(capacity) = capacity.or(plainly) {
        let mend = ground.changed(capacity, |water| water * LAWFUL);
        slips.add(cell, Slip::CapacityAsFuel(capacity), mend);
    }
}

/// Whether a line is a tare by its name, whatever its source tells beside.
fn is_called_tare(ground: &Ground<'_>, cell: CellId) -> bool {
    let name = ground.sheet.name_of(cell).unwrap_or_default().to_lowercase();
    name.contains("tare") || name == "tw"
}

/// A capacity against the tares of the worksheet: shells of a size weigh alike.
fn shells(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let stamped = |words: &'static [&'static str]| {
        let cells = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell) && ground.says(*cell, words));
        let cells = cells.filter_map(|cell| Some((cell, ground.value(cell, "lb").filter(|pounds| *pounds > 0.0)?)));
        cells.collect::<Vec<(CellId, f64)>>()
    };
    let tares = stamped(&["tare", "tw"]);
    let capacities = stamped(CAPACITY)
        .into_iter()
        .filter(|(cell, _)| !is_called_tare(ground, *cell));
    for (capacity, water) in capacities.collect::<Vec<(CellId, f64)>>() {
        let fits = |(_, tare): &&(CellId, f64)| (SHELL.0..=SHELL.1).contains(&(water / tare));
        if let (Some((tare, pounds)), None) = (tares.first(), tares.iter().find(fits)) {
            slips.add(capacity, Slip::Shell(water / pounds, *tare), None);
        }
    }
}

fn difference(slips: &mut Slips<'_>, cell: CellId, part: &Typed) {
    let ground = slips.ground;
    let terms = terms(part);
    let side = |wanted: bool| {
        let cells = terms.iter().filter(|(up, _)| *up == wanted);
        cells.filter_map(|(_, term)| cell_of(term)).collect::<Vec<CellId>>()
    };
    let (over, under) = (side(true), side(false));
    slips.met.extend(over.iter().chain(&under));
    // what a scale shows with nothing on it
    let zero = |cell: CellId| ground.says(cell, &["hook empty", "empty hook", "nothing on", "zero"]);
    let is_tare = |cell: &&CellId| ground.says(**cell, TARE) && !hangs(ground, **cell) && !zero(**cell);
    let light = |cell: CellId| ground.value(cell, "lb").is_some_and(|pounds| pounds <= MOST_HOSE);
    let is_hose = |cell: &CellId| ground.says(*cell, HOSE) && light(*cell) && !zero(*cell);
    let typed = |(up, term): &(bool, &Typed)| {
        let pounds = constant(term).and_then(|(kind, value)| in_unit(kind, value, "lb"));
        !up && pounds.is_some_and(|pounds| pounds > 0.0 && pounds <= MOST_HOSE)
    };
    let called_hose = under.iter().any(|cell| is_hose(cell) && !is_called_tare(ground, *cell));
    // a number without a name may be the hose's, or what is left in it
    let hose_taken_off = called_hose || terms.iter().any(typed);
    let tares: Vec<CellId> = under.iter().filter(is_tare).copied().collect();
    let in_rows = |(up, term): &(bool, &Typed)| *up && hung::in_rows(ground, term);
    if let Some(tare) = tares.first().filter(|tare| !ground.says(**tare, HOSE))
        && !hose_taken_off
        && terms.iter().any(in_rows)
    {
        let less = less_hose(ground, cell).filter(|_| terms.len() == 2);
        slips.add(cell, Slip::HoseAsFuel(*tare), less);
    }
    for weighed in over.iter().filter(|cell| is_weighing(ground, **cell)) {
        let own = tares.iter().find(|tare| !of_two(ground, *weighed, **tare));
        let bare = ground.says(*weighed, OFF) && ground.says(*weighed, HUNG) && !ground.says(*weighed, &["on"]);
        let bare = bare || ground.says(*weighed, &["zeroed", "tared"]) && ground.says(*weighed, HUNG);
        if called_hose && bare {
            slips.habit(cell, &HOSE_TWICE, Some(*weighed), None);
        }
        if let Some(tare) = own.or(tares.first()) {
            of_another(slips, cell, *weighed, *tare);
            let said_near = ground.says_near(*weighed, &["hose and all", "regulator and all", "just as it stands"]);
            let on = hangs(ground, *weighed) || said_near && !ground.says(*weighed, OFF);
            // the tare of a cylinder that hung there with its hose is one too
            if on && !hose_taken_off && !ground.says(*tare, HOSE) {
                let alone = over.len() == 1 && under.len() == 1;
                let less = less_hose(ground, cell).filter(|_| alone);
                slips.add(*weighed, Slip::HoseAsFuel(*tare), less);
            }
            overfull(slips, cell, terms.len());
        } else if !hose_taken_off {
            for other in under.iter().filter(|other| is_weighing(ground, **other)) {
                hose(slips, *weighed, *other);
            }
        }
    }
}

/// Whether a line says that hose or regulator hung on the scale.
fn hangs(ground: &Ground<'_>, cell: CellId) -> bool {
    hung::is_said(|words| ground.says(cell, words))
}

/// A weight without what hose and regulator usually weigh (common practice: 1 to 3 lb).
fn less_hose(ground: &Ground<'_>, cell: CellId) -> Option<(CellId, Number)> {
    ground.at(cell, ground.value(cell, "lb")? - 2.0, "lb")
}

fn is_weighing(ground: &Ground<'_>, cell: CellId) -> bool {
    let measured = ground
        .sheet
        .entry(cell)
        .is_some_and(|entry| entry.kind == EntryKind::Measured);
    ground.is(cell, "lb") && (measured || ground.says(cell, &["scale", "gross", "weighed", "before", "after"]))
}

fn hose(slips: &mut Slips<'_>, one: CellId, other: CellId) {
    let on = |cell| hangs(slips.ground, cell);
    let bare = [
        "bare cylinder",
        "not yet hooked up",
        "unhooked",
        "nothing on it",
        "bare shell",
        "and bare",
        "now bare",
        "bare",
        "unscrewed",
        "by itself",
    ];
    let off = |cell| {
        let said = slips.ground.says(cell, OFF) && slips.ground.says(cell, HUNG) || slips.ground.says(cell, &bare);
        said && !hangs(slips.ground, cell)
    };
    if on(one) && off(other) || off(one) && on(other) {
        let (on, off) = if on(one) { (one, other) } else { (other, one) };
        slips.add(on, Slip::HoseMixed(on, off), less_hose(slips.ground, on));
    }
}

// ---- whose tare ----

/// Whether two lines say that they are of two cylinders.
fn of_two(ground: &Ground<'_>, one: CellId, other: CellId) -> bool {
    differ(&marks(&ground.words(one)), &marks(&ground.words(other)))
}

fn of_another(slips: &mut Slips<'_>, cell: CellId, weighed: CellId, tare: CellId) {
    let ground = slips.ground;
    if !of_two(ground, weighed, tare) {
        return;
    }
    // the tare that goes with what was weighed, where there is one
    let mut others = all_cells(ground.sheet).filter(|other| *other != tare && ground.is(*other, "lb"));
    let own = others.find(|other| {
        let marks_of = marks(&ground.words(*other));
        ground.says(*other, TARE) && !marks_of.is_empty() && !differ(&marks_of, &marks(&ground.words(weighed)))
    });
    // another line may rest on that tare with good reason
    let weight = |cell| ground.value(cell, "lb").filter(|_| ground.is(cell, "lb"));
    let here = own.and_then(|own| ground.at(cell, weight(cell)? + weight(tare)? - weight(own)?, "lb"));
    let alone = ground
        .worked()
        .all(|(user, _)| user == cell || !ground.rests_on(user, tare));
    let right = own.and_then(|own| super::number(ground.sheet, own));
    let mended = here.or(right.filter(|_| alone).map(|right| (tare, right)));
    slips.add(cell, Slip::OtherCylinder(weighed, tare), mended);
}

/// What tells one cylinder from another in the words of a line, each with its class.
fn marks(words: &[&str]) -> BTreeSet<(u8, String)> {
    let mut found = BTreeSet::new();
    for (place, word) in words.iter().enumerate() {
        let before = place.checked_sub(1).and_then(|place| words.get(place));
        let follows = before.is_some_and(|word| ["cylinder", "bottle", "tank", "shell", "number", "no"].contains(word));
        let short = word.chars().count() == 1;
        let named = follows || before.is_some_and(|word| TARE.contains(word) || *word == "gross");
        let is_letter =
            short && word.chars().all(char::is_alphabetic) && (named || !["a", "s", "k", "d", "u"].contains(word));
        let is_number = word.chars().all(|c| c.is_ascii_digit()) && (follows || place == 1 && short);
        let class = match *word {
            color if COLORS.contains(&color) => Some(0),
            spot if PLACES.contains(&spot) => Some(1),
            _ if is_letter => Some(2),
            _ if is_number => Some(3),
            _ => None,
        };
        found.extend(class.map(|class| (class, (*word).to_owned())));
    }
    found
}

/// Whether both have marks of one class, and none of it in common; of letters and numbers, which
/// stand in names as well, whether they aren't the same.
fn differ(one: &BTreeSet<(u8, String)>, other: &BTreeSet<(u8, String)>) -> bool {
    let of = |marks: &BTreeSet<(u8, String)>, class: u8| {
        let marks = marks.iter().filter(|(known, _)| *known == class);
        marks.map(|(_, mark)| mark.clone()).collect::<BTreeSet<String>>()
    };
    (0..4).any(|class| {
        let (one, other) = (of(one, class), of(other, class));
        let both = !one.is_empty() && !other.is_empty();
        both && if class < 2 {
            one.is_disjoint(&other)
        } else {
            one != other
        }
    })
}

// ---- fills ----

/// More in a cylinder than its water capacity allows, where one capacity alone is known.
fn overfull(slips: &mut Slips<'_>, net: CellId, count: usize) {
    let ground = slips.ground;
    let mut capacities = all_cells(ground.sheet)
        .filter(|cell| ground.is(*cell, "lb") && ground.says(*cell, CAPACITY) && !is_called_tare(ground, *cell));
    let (Some(capacity), None) = (capacities.next(), capacities.next()) else {
        return;
    };
    let values = ground.value(net, "lb").zip(ground.value(capacity, "lb"));
    let Some((full, water)) = values.filter(|(_, water)| *water > 0.0 && count <= 3) else {
        return;
    };
    if full / water > OVERFULL {
        let lawful = ground.at(net, water * LAWFUL, "lb");
        slips.add(net, Slip::Overfull(full / water, capacity), lawful);
    }
}

/// A share of about 80 % and a weight of water, and nothing else: 80 % counts volume.
fn fill(slips: &mut Slips<'_>, cell: CellId, formula: &Typed, part: &Typed) {
    let ground = slips.ground;
    let factors = factors(part);
    let [(true, one), (true, other)] = factors.as_slice() else {
        return;
    };
    for (share, weight) in [(one, other), (other, one)] {
        let Some(capacity) = cell_of(weight).filter(|cell| ground.says(*cell, CAPACITY)) else {
            continue;
        };
        slips.met.insert(capacity);
        let written = bare(share);
        let named = cell_of(share).and_then(|cell| ground.value(cell, ""));
        let share = written.or(named).filter(|_| is_plain(share.kind));
        if share.is_some_and(|share| (0.7..=0.9).contains(&share)) {
            let lawful = ground.value(capacity, "lb").map(|water| water * LAWFUL);
            let whole = std::ptr::eq(formula, part) || terms(formula).len() == 1 && is_of(formula.kind, "lb");
            let lawful = lawful
                .filter(|_| whole)
                .and_then(|lawful| ground.at(cell, lawful, "lb"));
            slips.add(cell, Slip::FillByVolume(capacity), lawful);
        }
    }
}
