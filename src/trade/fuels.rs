//! Heat and carbon dioxide of the fuels, gross and net.
//!
//! Every value says its basis: gross counts the heat of the steam in the
//! exhaust, net does not. A fuel and a basis without a value are a problem that
//! names what there is. Start reading at [`heat_per_pound`].

use crate::number::Real;

use super::caution::GROSS_NET;
use super::declare::{PLAIN, computed, decimal, example, published, remembered, rule, whole};
use super::{Arguments, Chapter, Complaint, Fact, Function, Outcome, Parameter, Remark, ResultKind};

/// The fuels that have values.
pub(crate) const FUELS: [&str; 5] = ["propane", "gasoline E10", "gasoline E0", "diesel", "natural gas"];
/// The bases of heat.
pub(crate) const BASES: [&str; 2] = ["gross", "net"];

/// A heat value: fuel, basis, BTU per unit.
type Heat = (&'static str, &'static str, i64);

/// BTU/lb: NFPA 58 property table (gross, after vaporization); ISO 6976 molar
/// net heat 2043.11 kJ/mol, computed (net).
const PER_POUND: [Heat; 2] = [("propane", "gross", 21_548), ("propane", "net", 19_920)];

/// The net heat of propane as a part of its gross heat, by the pound.
pub(crate) const NET_OF_GROSS: f64 = 19_920.0 / 21_548.0;

/// BTU/gal: NFPA 58 property table; US DOE AFDC; EIA. Gasoline E10, gasoline E0
/// gross and diesel net from memory.
const PER_GALLON: [Heat; 8] = [
    ("propane", "gross", 91_502),
    ("propane", "net", 84_250),
    ("gasoline E10", "gross", 120_214),
    ("gasoline E10", "net", 112_114),
    ("gasoline E0", "gross", 124_340),
    ("gasoline E0", "net", 116_090),
    ("diesel", "gross", 137_381),
    ("diesel", "net", 128_488),
];

/// BTU/ft³: EIA, 2020; NFPA 58 property table.
const PER_CUBIC_FOOT: [Heat; 2] = [("natural gas", "gross", 1_037), ("propane", "gross", 2_488)];

/// Hundredths of a kg of carbon dioxide per MMBTU of gross heat: 40 CFR 98 Table C-1.
const CARBON_DIOXIDE: [(&str, i64); 5] = [
    ("propane", 6_287),
    ("gasoline E10", 7_022),
    ("gasoline E0", 7_022),
    ("diesel", 7_396),
    ("natural gas", 5_306),
];

/// The word at `index`, which must be a fuel.
fn fuel<'a, R: Real>(a: &Arguments<'a, R>, index: usize) -> Result<&'a str, Complaint> {
    let word = a.word(index)?;
    if FUELS.contains(&word) {
        return Ok(word);
    }
    if word == "gasoline" {
        let message = "\"gasoline\" alone is two fuels with two heat values";
        return Err(Complaint::word(index, message)
            .help("write \"gasoline E10\" (with ethanol, most pumps) or \"gasoline E0\" (without)"));
    }
    Err(Complaint::unlisted(index, "fuel", word, &FUELS))
}

/// The value of a fuel and a basis in one table.
fn heat<R: Real>(table: &[Heat], per: &str, a: &Arguments<'_, R>, at: usize) -> Outcome<R> {
    let fuel = fuel(a, at)?;
    let basis = a.word(at + 1)?;
    if !BASES.contains(&basis) {
        return Err(Complaint::unlisted(at + 1, "basis", basis, &BASES));
    }
    match table.iter().find(|row| row.0 == fuel && row.1 == basis) {
        Some(row) => Ok(whole(row.2)),
        None => Err(no_value(table, per, (fuel, basis), at)),
    }
}

fn no_value(table: &[Heat], per: &str, pair: (&str, &str), at: usize) -> Complaint {
    let there: Vec<String> = table.iter().map(|row| format!("{} {}", row.0, row.1)).collect();
    let message = format!("there is no {} heat per {per} for {}", pair.1, pair.0);
    Complaint::word(at, message).help(format!("per {per} there are {}", there.join(", ")))
}

fn heat_per_pound<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    heat(&PER_POUND, "pound", a, 0)
}

fn heat_per_gallon<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    heat(&PER_GALLON, "gallon", a, 0)
}

fn heat_per_cubic_foot<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    heat(&PER_CUBIC_FOOT, "cubic foot", a, 0)
}

fn heat_input<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rate = a.not_negative(0, "rate")?;
    Ok(rate.times(heat(&PER_POUND, "pound", a, 1)?)?)
}

fn carbon_dioxide<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let fuel = fuel(a, 0)?;
    let heat = a.not_negative(1, "heat")?;
    match CARBON_DIOXIDE.iter().find(|row| row.0 == fuel) {
        Some(row) => Ok(heat.times(decimal(row.1, 100)?)?),
        None => Err(Complaint::unlisted(0, "fuel", fuel, &FUELS)),
    }
}

fn net_remark(a: &Arguments<'_, f64>, basis: usize, fuel: usize) -> Vec<Remark> {
    match (a.word(basis), a.word(fuel)) {
        (Ok("net"), Ok(fuel)) => {
            let text = format!(
                "The net heat of {fuel} is used here. Demand against a capacity rule, fuel prices per heat and emission factors are gross: don't compare the two."
            );
            vec![Remark::new(&GROSS_NET, text)]
        }
        _ => Vec::new(),
    }
}

fn appraise_heat(a: &Arguments<'_, f64>) -> Vec<Remark> {
    net_remark(a, 1, 0)
}

fn appraise_rate(a: &Arguments<'_, f64>) -> Vec<Remark> {
    net_remark(a, 2, 1)
}

const FUEL: Parameter = Parameter::word("fuel", &FUELS, "the fuel");
const BASIS: Parameter = Parameter::word("basis", &BASES, "gross, or net of the steam in the exhaust").or("\"gross\"");

const RANGE: &str = "the fuels and bases listed; a pair without a value is a problem that names what there is";

/// The functions of this chapter.
pub(super) static FUNCTIONS: [Function; 5] = [
    Function {
        name: "heat_per_pound",
        tells: &[Fact::HeatByWeight],
        chapter: Chapter::Fuels,
        summary: "heat in a pound of fuel",
        parameters: &[FUEL, BASIS],
        result: ResultKind::Quantity("BTU/lb"),
        formula: "propane 21 548 gross, after vaporization, and 19 920 net",
        sources: &[
            published("NFPA 58 property table"),
            computed("ISO 6976 molar net heat 2043.11 kJ/mol"),
        ],
        range: RANGE,
        notes: "21 548 times a density of propane does not give the 91 502 BTU a gallon of the same table: 0.4 % at 4.2285 lb/gal, 1.1 % at 4.20.",
        examples: &[
            example("heat_per_pound(\"propane\")", "21548 BTU/lb"),
            example("heat_per_pound(\"propane\", \"net\")", "19920 BTU/lb"),
        ],
        body: rule!(heat_per_pound),
        appraise: Some(appraise_heat),
        ..PLAIN
    },
    Function {
        name: "heat_per_gallon",
        tells: &[Fact::HeatByVolume],
        chapter: Chapter::Fuels,
        summary: "heat in a gallon of fuel",
        parameters: &[FUEL, BASIS],
        result: ResultKind::Quantity("BTU/gal"),
        formula: "propane 91 502 gross, 84 250 net; gasoline E10 120 214 and 112 114; gasoline E0 124 340 and 116 090; diesel 137 381 and 128 488",
        sources: &[
            published("NFPA 58 property table; US DOE AFDC; EIA"),
            remembered("gasoline E10, gasoline E0 gross and diesel net"),
        ],
        range: RANGE,
        notes: "At 60 °F. 21 548 BTU/lb times a density of propane does not give 91 502: 0.4 % at 4.2285 lb/gal, 1.1 % at 4.20.",
        examples: &[
            example("heat_per_gallon(\"propane\")", "91502 BTU/gal"),
            example("heat_per_gallon(\"gasoline E0\", \"net\")", "116090 BTU/gal"),
        ],
        body: rule!(heat_per_gallon),
        appraise: Some(appraise_heat),
        ..PLAIN
    },
    Function {
        name: "heat_per_cubic_foot",
        chapter: Chapter::Fuels,
        summary: "heat in a cubic foot of fuel gas",
        parameters: &[FUEL, BASIS],
        result: ResultKind::Quantity("BTU/ft3"),
        formula: "natural gas 1 037 gross, propane 2 488 gross",
        sources: &[published("EIA, 2020"), published("NFPA 58 property table")],
        range: RANGE,
        notes: "2 488 rests on 8.66 ft3/lb, close to an ideal gas; real propane vapor at 60 °F and one atmosphere carries 2 550.",
        examples: &[
            example("heat_per_cubic_foot(\"natural gas\")", "1037 BTU/ft3"),
            example("heat_per_cubic_foot(\"propane\")", "2488 BTU/ft3"),
        ],
        body: rule!(heat_per_cubic_foot),
        appraise: Some(appraise_heat),
        ..PLAIN
    },
    Function {
        name: "heat_input",
        once: "heat_rate",
        tells: &[Fact::HeatByWeight, Fact::GoesWithFirst],
        chapter: Chapter::Fuels,
        summary: "heat an hour in a fuel rate by weight",
        parameters: &[
            Parameter::quantity("rate", "lb/h", "fuel burned").usually(0.3, 15.0),
            FUEL.or("\"propane\""),
            BASIS,
        ],
        result: ResultKind::Quantity("BTU/h"),
        formula: "rate × heat_per_pound(fuel, basis)",
        sources: &[
            published("NFPA 58 property table"),
            computed("ISO 6976 molar net heat 2043.11 kJ/mol"),
        ],
        range: "propane; other fuels have no heat per pound and are a problem",
        notes: "Gross unless you say net; capacity rules for vaporizing are gross.",
        examples: &[
            example("heat_input(2.74 lb/h)", "59040 BTU/h"),
            example("heat_input(3.1 lb/h)", "66800 BTU/h"),
        ],
        body: rule!(heat_input),
        appraise: Some(appraise_rate),
        ..PLAIN
    },
    Function {
        name: "carbon_dioxide",
        chapter: Chapter::Fuels,
        summary: "carbon dioxide from burning an amount of gross heat",
        parameters: &[
            FUEL,
            Parameter::quantity("heat", "MMBTU", "the gross heat burned").usually(0.01, 100.0),
        ],
        result: ResultKind::Quantity("kg"),
        formula: "heat × 62.87 propane, 70.22 gasoline, 73.96 diesel, 53.06 natural gas (kg per MMBTU)",
        sources: &[published("40 CFR 98 Table C-1")],
        range: "the fuels listed; gross heat",
        notes: "The factors are per gross heat.",
        examples: &[example("carbon_dioxide(\"propane\", 1 MMBTU)", "62.87 kg")],
        body: rule!(carbon_dioxide),
        ..PLAIN
    },
];
