//! Values held against what the trade knows, in whatever form they are written.
//!
//! Start reading at [`look`]; the ranges are in [`YARDSTICKS`].

use super::ground::{cells_in, constant, in_unit, is_of, is_plain, parts, plain};
use crate::number::Number;
use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::CellId;
use crate::sheet::typed::Typed;
use crate::trade::yardsticks::{RATIOS, YARDSTICKS, Yardstick};
use crate::unit::{Kind, Unit, conversion};

use super::finding::Finding;
use super::ground::has_word;
use super::slip::{OutBy, Slip};
use super::slips::Slips;
use super::{Subject, all_cells};

/// A value this much outside a range still counts as in it: rounding.
const ROUNDED: f64 = 0.01;

/// Holds entries, numbers inside formulas and columns against the yardsticks.
pub(super) fn look(slips: &mut Slips<'_>, appraisal: &Appraisal) {
    let mut bases: Vec<(CellId, &str)> = Vec::new();
    for cell in all_cells(slips.ground.sheet) {
        typed_conversion(slips, cell);
        other_unit(slips, cell);
        bases.extend(entry(slips, cell).map(|basis| (cell, basis)));
        let inside = inside(slips, cell);
        bases.extend(inside.into_iter().map(|basis| (cell, basis)));
    }
    columns(slips);
    super::said::bases(slips, &bases);
    super::counted::bases_of_shares(slips, appraisal, &bases);
    mixed(slips, appraisal, &bases);
}

/// The yardstick for an entry.
fn yardstick(slips: &Slips<'_>, cell: CellId) -> Option<&'static Yardstick> {
    let kind = slips.ground.shape(cell).filter(|shape| !shape.column)?.kind;
    // a share of times or of money is no share of a fill
    let made = slips
        .ground
        .formulas
        .get(&cell)
        .filter(|_| !slips.ground.is_input(cell));
    let of_others = made.is_some_and(|made| {
        let mut parts = super::ground::factors(made).into_iter();
        parts.any(|(_, part)| is_of(part.kind, "h") || is_of(part.kind, "lb/h"))
    });
    YARDSTICKS.iter().find(|known| {
        let said = known.words.is_empty() || slips.ground.says(cell, known.words);
        let said = said && !(known.unit.is_empty() && of_others);
        fits(known, kind) && said && !slips.ground.says(cell, known.not)
    })
}

fn fits(known: &Yardstick, kind: Kind) -> bool {
    if kind == Kind::Level {
        return known.unit == "dB";
    }
    let Kind::Quantity(of) = kind else { return false };
    let written = of.to_string();
    let energies = ["BTU", "Wh", "J", "therm", "cal"];
    match known.unit {
        "" => is_plain(kind) && matches!(&*written, "" | "%"),
        "h/d" => matches!(&*written, "h/d" | "min/d"),
        // energy by volume is a pressure by its dimension
        "BTU/gal" => is_of(kind, known.unit) && energies.iter().any(|energy| written.contains(energy)),
        "W" => is_of(kind, known.unit) && !written.contains("BTU"),
        // by the cubic foot it is vapor
        "gal/lb" => is_of(kind, known.unit) && !written.contains("ft3") && !written.contains("m3"),
        "dB" => false,
        unit => is_of(kind, unit),
    }
}

/// Holds an entry against its yardstick; the basis of a heat that somebody put in.
fn entry(slips: &mut Slips<'_>, cell: CellId) -> Option<&'static str> {
    let known = yardstick(slips, cell)?;
    let value = slips.ground.value(cell, known.unit)?;
    slips.met.insert(cell);
    if let Some(basis) = range_of(known, value) {
        return slips.ground.is_input(cell).then_some(basis);
    }
    // what is worked out is how long it lasts
    if known.unit == "h" && !slips.ground.is_input(cell) || known.unit == "in" && value > 1200.0 {
        return None;
    }
    // what a battery has
    if known.unit == "V" && value < 60.0 {
        return None;
    }
    // what lies between two prices is no price
    let between = |formula: &Typed| is_of(formula.kind, "$/lb") || is_of(formula.kind, "$/gal");
    let less = |formula: &&Typed| between(formula) && super::ground::terms(formula).iter().any(|(up, _)| !up);
    if slips.ground.formulas.get(&cell).filter(less).is_some() {
        return None;
    }
    if value <= 0.0 && !matches!(known.unit, "°F" | "psig") || slips.inherits(cell) {
        return None;
    }
    let kind = slips.ground.shape(cell)?.kind;
    let out = out_by(
        known,
        value,
        turned_over(kind, super::number(slips.ground.sheet, cell)?, known),
    );
    let mended = out.and_then(|(_, right)| slips.ground.at(cell, right, known.unit));
    let slip = Slip::Outside(known, value, out.map(|(out, _)| out));
    slips.add(cell, slip, mended);
    None
}

/// A conversion put in as an entry that isn't it.
fn typed_conversion(slips: &mut Slips<'_>, cell: CellId) {
    let shape = slips.ground.shape(cell).filter(|_| slips.ground.is_input(cell));
    let Some(Kind::Quantity(unit)) = shape.map(|shape| shape.kind) else {
        return;
    };
    let part = conversion_of(unit).zip(super::number(slips.ground.sheet, cell));
    if let Some((right, value)) = part
        && is_near_miss(value.to_f64() / right)
    {
        slips.add(
            cell,
            Slip::Conversion(unit, right),
            slips.ground.changed(cell, |_| right),
        );
    }
}

/// Near enough to be meant for it, and too far to be it.
fn is_near_miss(part: f64) -> bool {
    (0.5..2.0).contains(&part) && !(0.995..1.005).contains(&part)
}

/// Units of one quantity in plain words, as sources name them, with the unit's own sign.
const SAID_UNITS: [(&[&str], &[&str]); 8] = [
    (&["celsius"], &["°C"]),
    (&["fahrenheit"], &["°F"]),
    (&["kg", "kilogram"], &["kg"]),
    (&["lb", "pound"], &["lb"]),
    (&["liter", "litre"], &["L"]),
    (&["gallon", "gal"], &["gal"]),
    (&["mj", "megajoule"], &["MJ"]),
    (&["btu"], &["BTU"]),
];

/// A source that has the number with another unit of the same quantity.
fn other_unit(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let kind = ground.shape(cell).filter(|shape| !shape.column).map(|shape| shape.kind);
    let (Some(Kind::Quantity(unit)), Some(value)) = (kind, super::number(ground.sheet, cell)) else {
        return;
    };
    let (written, own) = (value.abs().to_plain().replace('.', " "), unit.to_string());
    let set_to = ["on kg", "in kg", "set to kg", "shows kg", "reads kg", "display in kg"];
    let set_so = own == "lb" && ground.says(cell, &set_to);
    if !ground.is_input(cell) || !set_so && !ground.says(cell, &[&written]) {
        return;
    }
    let per = [
        ("$/lb", "gallon", ["per gallon", "a gallon", "the gallon"]),
        ("$/gal", "pound", ["per pound", "a pound", "the pound"]),
        ("$/lb", "kg", ["per kilo", "a kilo", "per kg"]),
    ];
    if let Some((_, word, _)) = per
        .iter()
        .find(|(sign, _, words)| own == *sign && ground.says(cell, words))
    {
        slips.add(cell, Slip::OtherUnit(word, unit), None);
        return;
    }
    let signs = |sign: &str| own.split(['/', '·', ' ']).any(|part| part == sign);
    let Some(place) = SAID_UNITS
        .iter()
        .position(|(_, sign)| sign.iter().any(|sign| signs(sign)))
    else {
        return;
    };
    let pair = SAID_UNITS.get(place ^ 1).filter(|(words, _)| ground.says(cell, words));
    let said_itself = SAID_UNITS.get(place).is_some_and(|(words, _)| ground.says(cell, words));
    if let Some((words, _)) = pair.filter(|_| !said_itself) {
        let slip = Slip::OtherUnit(words.first().copied().unwrap_or(""), unit);
        slips.add(cell, slip, None);
    }
}

/// The word of the range that a value lies in.
fn range_of(known: &Yardstick, value: f64) -> Option<&'static str> {
    let mut ranges = known.ranges.iter();
    let inside = ranges.find(|(low, high, _)| {
        let slack = ROUNDED * (high - low).min(high.abs());
        (low - slack..=high + slack).contains(&value)
    });
    inside.map(|(_, _, word)| *word)
}

/// Ranges wider than this tell nothing of ratios.
const NARROW: f64 = 1.35;

/// What would bring a value into a narrow range, and where to: a ratio of units, or one over it
/// where that comes nearer to the middle.
fn out_by(known: &Yardstick, value: f64, turned: Option<f64>) -> Option<(OutBy, f64)> {
    let narrow = known.ranges.iter().all(|(low, high, _)| high / low < NARROW);
    let tried = RATIOS.iter().filter(|_| narrow);
    let mut tried =
        tried.flat_map(|ratio| [value * ratio.of, value / ratio.of].map(|right| (OutBy::Ratio(ratio), right)));
    let by_ratio = tried.find(|(_, right)| range_of(known, *right).is_some());
    let turned = turned.filter(|turned| narrow && range_of(known, *turned).is_some());
    let off = |right: f64| {
        let middles = known
            .ranges
            .iter()
            .map(|(low, high, _)| (right / (low * high).sqrt()).ln().abs());
        middles.fold(f64::INFINITY, f64::min)
    };
    match (by_ratio, turned) {
        (Some((_, right)), Some(turned)) if off(turned) > off(right) => by_ratio,
        (_, Some(turned)) => Some((OutBy::TurnedOver(turned), turned)),
        _ => by_ratio,
    }
}

/// One over a number, in the unit of a yardstick.
fn turned_over(kind: Kind, number: Number, known: &Yardstick) -> Option<f64> {
    in_unit(kind, Number::ONE.div(number).ok()?, known.unit)
}

/// Numbers inside a formula: heats and densities, and conversions that aren't.
fn inside(slips: &mut Slips<'_>, cell: CellId) -> Vec<&'static str> {
    let ground = slips.ground;
    let Some(formula) = ground.formulas.get(&cell).filter(|_| !ground.is_input(cell)) else {
        return Vec::new();
    };
    let mut bases = Vec::new();
    for (kind, number) in parts(formula).into_iter().filter_map(constant) {
        if let Kind::Quantity(unit) = kind
            && let Some(right) = conversion_of(unit)
            && is_near_miss(number.to_f64() / right)
        {
            slips.add(
                cell,
                Slip::Conversion(unit, right),
                mend_by(slips, cell, right / number.to_f64()),
            );
        }
        bare_conversion(slips, cell, kind, number);
        let known = YARDSTICKS.iter().filter(|known| known.inside);
        let said = |known: &Yardstick| {
            let mut lines = std::iter::once(cell).chain(cells_in(formula).into_iter().filter(|_| known.of_liquid()));
            lines.any(|line| ground.says(line, known.not))
        };
        let mut known = known.filter(|known| fits(known, kind) && !said(known));
        let Some((known, value)) = known.find_map(|known| Some((known, in_unit(kind, number, known.unit)?))) else {
            continue;
        };
        // what another quantity of that unit comes to: heat that boils propane
        let other = |other: &Yardstick| other.unit == known.unit && range_of(other, value).is_some();
        match range_of(known, value) {
            Some(basis) => bases.push(basis),
            None if number.is_zero() || YARDSTICKS.iter().any(other) => {}
            None => {
                let out = out_by(known, value, turned_over(kind, number, known));
                let mend = out.and_then(|(_, right)| mend_by(slips, cell, right / value));
                slips.add(cell, Slip::Outside(known, value, out.map(|(out, _)| out)), mend);
            }
        }
    }
    bases
}

/// A bare number that is a ratio of two units, or one over it.
fn bare_conversion(slips: &mut Slips<'_>, cell: CellId, kind: Kind, number: Number) {
    let value = number.to_f64();
    let near = |ratio: f64| (value / ratio - 1.0).abs() < 2e-3 && number.decimals() > 0;
    // numbers without units, and the unit put on at the end: converted by hand
    let ground = slips.ground;
    let formula = ground.plain.get(&cell).or_else(|| ground.formulas.get(&cell));
    let by_hand = formula.is_some_and(|formula| {
        let factors = super::ground::factors(formula);
        let unit = |part: &Typed| constant(part).is_some_and(|(kind, number)| !is_plain(kind) && number == Number::ONE);
        factors.iter().any(|(_, part)| unit(part))
    });
    let united = formula.is_some_and(|formula| {
        parts(formula)
            .into_iter()
            .any(|part| matches!(part.kind, Kind::Quantity(_)) && !is_plain(part.kind))
    });
    let plain = matches!(kind, Kind::Quantity(of) if of == Unit::ONE) && !by_hand && united;
    let ratio = RATIOS
        .iter()
        .find(|ratio| ratio.plain && (near(ratio.of) || near(1.0 / ratio.of)));
    if let Some(ratio) = ratio.filter(|_| plain) {
        slips.add(cell, Slip::Bare(value, ratio), mend_by(slips, cell, 1.0 / value));
    }
}

/// A formula that a number is a factor of, with the number multiplied.
fn mend_by(slips: &Slips<'_>, cell: CellId, times: f64) -> Option<(CellId, Number)> {
    let formula = slips.ground.formulas.get(&cell)?;
    let mut factors = super::ground::factors(formula).into_iter();
    let (above, _) = factors.find(|(_, factor)| constant(factor).is_some())?;
    slips
        .ground
        .changed(cell, |now| if above { now * times } else { now / times })
}

/// What a unit of two of a kind is: `BTU/kWh` is 3412 of it in one.
fn conversion_of(unit: Unit) -> Option<f64> {
    let written = unit.to_string();
    let (above, below) = written.split_once('/')?;
    let measured = [
        "BTU", "kWh", "Wh", "MJ", "lb", "kg", "oz", "gal", "L", "ft3", "hp", "kW", "W", "BTU/h",
    ];
    let both = [above, below].iter().all(|part| measured.contains(&part.trim()));
    let one = conversion(unit, Unit::ONE).filter(|_| both && above != below)?;
    Some(1.0 / one.apply_f64(1.0))
}

/// Columns of written tables, by what they measure.
fn columns(slips: &mut Slips<'_>) {
    let sheet = slips.ground.sheet;
    for (place, table) in (0u32..).zip(sheet.tables()) {
        let slots = table.columns.iter().filter(|_| table.cell.is_none());
        for slot in slots {
            let Some(column) = sheet.table_column(*slot) else {
                continue;
            };
            let words = plain(&column.name);
            let known = YARDSTICKS.iter().find(|known| {
                let said = known.words.is_empty() || has_word(&words, known.words);
                fits(known, column.kind) && said && !has_word(&words, known.not)
            });
            let Some(known) = known else { continue };
            let values = column.cells.iter().flatten();
            let values = values.filter_map(|cell| in_unit(column.kind, *cell, known.unit));
            let outside = values.filter(|value| *value != 0.0 && range_of(known, *value).is_none());
            if let Some(value) = outside.max_by(|one, other| one.total_cmp(other)) {
                let slip = Slip::Outside(known, value, None);
                let finding = Finding::Slip(super::slip::Suspicion { slip, mended: None });
                slips.note(Subject::Column(place, *slot), finding);
            }
        }
    }
}

/// Gross heat typed here and net heat typed or taken there, in one answer.
fn mixed(slips: &mut Slips<'_>, appraisal: &Appraisal, typed: &[(CellId, &str)]) {
    let taken = appraisal.bases.iter().filter(|taken| taken.fuel == "propane");
    let taken = taken.map(|taken| (taken.cell, taken.basis.as_str()));
    let all: Vec<(CellId, &str)> = typed.iter().copied().chain(taken).collect();
    let sheet = slips.ground.sheet;
    for (here, basis) in typed.iter().filter(|(_, basis)| !basis.is_empty()) {
        let meets = |there: CellId| {
            let mut cells = all_cells(sheet).filter(|cell| sheet.entry(*cell).is_some());
            cells.any(|cell| slips.ground.rests_on(cell, *here) && slips.ground.rests_on(cell, there))
        };
        let other = all
            .iter()
            .find(|(there, other)| !other.is_empty() && other != basis && meets(*there));
        if let Some((other, _)) = other {
            let finding = Finding::MixedHeat {
                fuel: "propane".to_owned(),
                basis: (*basis).to_owned(),
                other: *other,
            };
            slips.note(Subject::Cell(*here), finding);
        }
    }
}
