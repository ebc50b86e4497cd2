//! Units: reading and writing, exact conversions, the unit of a result.
//!
//! Check values are worked by hand from the definitions in NIST SP 811 (2008),
//! appendix B, or stand in `tests/data/unit_conversions.csv`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::HashSet;

use proptest::prelude::*;

use tarebook::number::Number;
use tarebook::unit::symbol::{self, symbols};
use tarebook::unit::{
    Conversion, Exponent, Mismatch, Unit, conversion, conversion_to_absolute, mismatch, power, product, quotient,
};

fn unit(text: &str) -> Unit {
    if text.is_empty() {
        return Unit::ONE;
    }
    Unit::parse(text).unwrap_or_else(|trouble| panic!("{text}: {trouble:?}"))
}

/// A signed decimal.
fn number(text: &str) -> Number {
    match text.strip_prefix('-') {
        Some(plain) => Number::parse(plain).unwrap().neg(),
        None => Number::parse(text).unwrap(),
    }
}

fn close(got: Number, expected: Number, tolerance: f64) -> bool {
    let (got, expected) = (got.to_f64(), expected.to_f64());
    (got - expected).abs() <= tolerance * expected.abs()
}

// ---- conversions ----

/// Spellings of the data file that are not ours.
const SPELLED: &[(&str, &str)] = &[
    ("BTU/(lb*delta_degF)", "BTU/(lb·F°)"),
    ("BTU/(h*ft2*delta_degF)", "BTU/(h·ft2·F°)"),
    ("kJ/(kg*K)", "kJ/(kg·K)"),
    ("W/(m2*K)", "W/(m2·K)"),
    ("delta_degF", "F°"),
    ("delta_degC", "C°"),
    ("delta_K", "K"),
    ("degF", "°F"),
    ("degC", "°C"),
    ("ton_short", "ton"),
    ("kPa_abs", "kPa"),
];

/// Units of the data file that a worksheet does not know.
const UNKNOWN: &[&str] = &["inH2O_60F", "BTU_th"];

fn ours(name: &str) -> &str {
    let spelled = SPELLED.iter().find(|(theirs, _)| *theirs == name);
    spelled.map_or(name, |(_, ours)| *ours)
}

fn any_conversion(from: Unit, to: Unit) -> Option<Conversion> {
    conversion(from, to).or_else(|| conversion_to_absolute(from, to))
}

#[test]
fn every_row_of_the_conversion_data() {
    let mut reader = csv::Reader::from_path("tests/data/unit_conversions.csv").unwrap();
    let (mut checked, mut unknown) = (0, 0);
    for row in reader.records().map(Result::unwrap) {
        if UNKNOWN.contains(&&row[0]) {
            assert!(Unit::parse(&row[0]).unwrap_err().unknown, "{}", &row[0]);
            unknown += 1;
            continue;
        }
        checked += 1;
        let found = any_conversion(unit(ours(&row[0])), unit(ours(&row[1])));
        let found = found.unwrap_or_else(|| panic!("{row:?}"));
        for value in ["1", "7.3", "-40", "1250"].map(number) {
            let expected = value.mul(number(&row[3])).unwrap().add(number(&row[4])).unwrap();
            let got = found.apply(value).unwrap();
            let holds = if &row[5] == "exact" {
                got == expected
            } else {
                close(got, expected, 1e-14)
            };
            assert!(holds, "{row:?}: {got} for {expected}");
            let binary = found.apply_f64(value.to_f64());
            assert!((binary - expected.to_f64()).abs() <= 1e-12 * expected.to_f64().abs().max(1.0));
        }
    }
    assert_eq!((checked, unknown), (45, 2));
}

#[track_caller]
fn check_conversion(value: &str, from: &str, expected: &str, to: &str) {
    let found = conversion(unit(from), unit(to)).unwrap_or_else(|| panic!("{from} to {to}"));
    let got = found.apply(number(value)).unwrap();
    assert_eq!(got.to_plain(), expected, "{value} {from} in {to}");
}

#[test]
fn conversions_are_exact() {
    // definitions: NIST SP 811, appendix B.8
    check_conversion("12", "in", "1", "ft");
    check_conversion("231", "in3", "1", "gal");
    check_conversion("4", "qt", "1", "gal");
    check_conversion("2000", "lb", "1", "ton");
    check_conversion("1", "wk", "168", "h");
    check_conversion("1", "lb", "0.45359237", "kg");
    check_conversion("1", "m", "1000", "mm");
    check_conversion("1", "mi", "5280", "ft");
    check_conversion("1", "kWh", "3600000", "J");
    check_conversion("1", "MWh", "1000", "kWh");
    check_conversion("91000", "BTU", "0.091", "MMBTU");
    check_conversion("1", "mph", "1.609344", "km/h");
    check_conversion("1", "cfm", "60", "ft3/h");
    check_conversion("3600", "rpm", "60", "Hz");
    check_conversion("60", "Hz", "60", "each/s");
    check_conversion("85", "%", "0.85", "");
    check_conversion("0.85", "", "85", "%");
    check_conversion("3", "each", "3", "");
    check_conversion("12", "h/d", "50", "%");
    check_conversion("3", "$/MMBTU", "3", "USD/MMBTU");
    check_conversion("100", "$/MWh", "0.1", "$/kWh");
    check_conversion("1", "lb·h", "1", "h·lb");
    check_conversion("5", "F°", "5", "F°");
    check_conversion("9", "F°", "5", "K");
    check_conversion("1", "BTU/(h·ft2·°F)", "1", "BTU/(h·ft2·F°)");
    check_conversion("47", "µm", "0.047", "mm");
}

#[test]
fn points_convert_with_their_offset() {
    // fixed points: ice, steam, the crossing of the scales
    check_conversion("32", "°F", "0", "°C");
    check_conversion("212", "°F", "100", "°C");
    check_conversion("-40", "°F", "-40", "°C");
    check_conversion("0", "°C", "32", "°F");
    check_conversion("0", "psig", "0", "kPag");
    check_conversion("0", "kPag", "0", "psig");
}

#[track_caller]
fn check_absolute(value: &str, point: &str, expected: &str, absolute: &str) {
    let there = conversion_to_absolute(unit(point), unit(absolute)).expect(point);
    assert_eq!(there.apply(number(value)).unwrap().to_plain(), expected);
}

#[test]
fn points_have_a_distance_from_absolute_zero() {
    check_absolute("-459.67", "°F", "0", "K");
    check_absolute("25", "°C", "298.15", "K");
    check_absolute("80.33", "°F", "300", "K");
    check_absolute("0", "kPag", "101.325", "kPa");
    check_absolute("-101.325", "kPag", "0", "kPa");
    check_absolute("0", "psig", "1", "atm");
    assert_eq!(unit("°F").absolute(), Some(unit("K")));
    assert_eq!(unit("psig").absolute(), Some(unit("psi")));
    assert_eq!(unit("kPag").absolute(), Some(unit("kPa")));
    assert_eq!(unit("psi").absolute(), None);
    assert!(conversion_to_absolute(unit("psi"), unit("kPa")).is_none());
    assert!(conversion_to_absolute(unit("°F"), unit("°C")).is_none());
}

#[track_caller]
fn check_apart(left: &str, right: &str, expected: Mismatch) {
    for (from, to) in [(left, right), (right, left)] {
        assert!(conversion(unit(from), unit(to)).is_none(), "{from} {to}");
        assert_eq!(mismatch(unit(from), unit(to)), Some(expected), "{from} {to}");
    }
}

#[test]
fn units_that_do_not_meet() {
    check_apart("lb", "gal", Mismatch::Dimensions);
    check_apart("lb", "", Mismatch::UnitAndNumber);
    check_apart("dB", "%", Mismatch::UnitAndNumber);
    check_apart("°F", "F°", Mismatch::PointAndInterval);
    check_apart("°F", "K", Mismatch::PointAndInterval);
    check_apart("psig", "psi", Mismatch::PointAndInterval);
    check_apart("kPag", "inH2O", Mismatch::PointAndInterval);
    check_apart("W", "VA", Mismatch::PowerAndApparent);
    check_apart("W/VA", "%", Mismatch::PowerAndApparent);
    check_apart("kW·h", "kVA·h", Mismatch::PowerAndApparent);
    check_apart("V·A", "W", Mismatch::PowerAndApparent);
    check_apart("W/V", "A", Mismatch::PowerAndApparent);
    check_apart("W/A", "V", Mismatch::PowerAndApparent);
    check_apart("A2·ohm", "W", Mismatch::PowerAndApparent);
    check_apart("V·A·h", "Wh", Mismatch::PowerAndApparent);
    check_apart("$", "€", Mismatch::Currencies);
    check_apart("$/h", "CAD/h", Mismatch::Currencies);
    check_apart("$/€", "%", Mismatch::UnitAndNumber);
    check_apart("ft", "ft2", Mismatch::Dimensions);
    check_apart("Hz", "s", Mismatch::Dimensions);
}

#[test]
fn volts_times_amperes_are_apparent_power() {
    check_conversion("1200", "V·A", "1.2", "kVA");
    check_conversion("1", "kVA", "1000", "V·A");
    check_conversion("1", "kVA/V", "1000", "A");
    check_conversion("1", "V2/ohm", "1", "VA");
    assert!(conversion(unit("V"), unit("VA")).is_none());
}

// ---- the unit of a result ----

/// `left op right`, each as value and unit.
#[track_caller]
fn check_result(left: (&str, &str), sign: char, right: (&str, &str), expected: (&str, &str)) {
    let (a, b) = (number(left.0), number(right.0));
    let (bare, combined) = if sign == '*' {
        (a.mul(b), product(unit(left.1), unit(right.1)))
    } else {
        (a.div(b), quotient(unit(left.1), unit(right.1)))
    };
    let combined = combined.expect("a unit");
    let value = combined.scale.apply(bare.unwrap()).unwrap();
    let got = (value.round_significant(15).to_plain(), combined.unit.to_string());
    assert_eq!((got.0.as_str(), got.1.as_str()), expected, "{left:?} {sign} {right:?}");
}

#[test]
fn examples_of_the_language() {
    check_result(("0.8", "lb/h"), '*', ("2", "d"), ("38.4", "lb"));
    check_result(("10", "ft"), '*', ("6", "in"), ("5", "ft2"));
    check_result(("30", "ft"), '/', ("6", "in"), ("60", ""));
    check_result(("540", "W"), '*', ("11", "h/d"), ("5940", "Wh/d"));
    check_result(("3", "kW"), '*', ("20000", "BTU/kWh"), ("60000", "BTU/h"));
    check_result(("85", "%"), '*', ("20", "lb"), ("17", "lb"));
    check_result(("20", "lb"), '*', ("85", "%"), ("17", "lb"));
    check_result(("6", "lb"), '/', ("2", "h"), ("3", "lb/h"));
    check_result(("394", "kWh"), '*', ("0.11", "$/kWh"), ("43.34", "$"));
    check_result(("1500", "VA"), '*', ("0.8", "W/VA"), ("1200", "W"));
    check_result(("20", "lb"), '/', ("4", "lb/gal"), ("5", "gal"));
    check_result(("100", "gal"), '*', ("91333", "BTU/gal"), ("9133300", "BTU"));
}

#[test]
fn money_per_heat_from_a_gas_bill() {
    check_result(("4.1", "$"), '/', ("1000", "ft3"), ("0.0041", "$/ft3"));
    check_result(("0.0041", "$/ft3"), '/', ("1025", "BTU/ft3"), ("0.000004", "$/BTU"));
    check_conversion("0.000004", "$/BTU", "4", "$/MMBTU");
}

#[test]
fn energy_over_many_days_costs_money() {
    check_result(("200", "W"), '*', ("4", "h/d"), ("800", "Wh/d"));
    check_result(("800", "Wh/d"), '*', ("120", "d"), ("96000", "Wh"));
    check_result(("96000", "Wh"), '*', ("0.11", "$/kWh"), ("10.56", "$"));
}

#[test]
fn a_manual_fuel_rate_becomes_money_per_energy() {
    check_result(("274506", "BTU/h"), '/', ("91502", "BTU/gal"), ("3", "gal/h"));
    check_result(("3", "gal/h"), '*', ("3", "$/gal"), ("9", "$/h"));
    check_result(("9", "$/h"), '/', ("12.5", "kW"), ("0.72", "$/kWh"));
    check_result(("430270", "BTU"), '/', ("40000", "BTU/h"), ("10.75675", "h"));
    check_result(
        ("0.091", "MMBTU/gal"),
        '*',
        ("62.87", "kg/MMBTU"),
        ("5.72117", "kg/gal"),
    );
    check_result(("5", "gal"), '*', ("3", "h/gal"), ("15", "h"));
}

#[test]
fn names_of_products() {
    check_result(("2", "W"), '*', ("3", "h"), ("6", "Wh"));
    check_result(("2", "kW"), '*', ("3", "h"), ("6", "kWh"));
    check_result(("6", "ft"), '/', ("2", "in2"), ("432", "each/ft"));
    check_result(("2", "W·ft"), '*', ("3", "h"), ("6", "Wh·ft"));
    check_result(("5", "A"), '*', ("3", "ohm"), ("15", "V"));
    check_result(("10", "J"), '/', ("2", "s"), ("5", "W"));
    check_result(("10", "kJ"), '/', ("2", "s"), ("5", "kW"));
    check_result(("10", "W"), '*', ("2", "s"), ("20", "J"));
    check_result(("1200", "VA"), '/', ("120", "V"), ("10", "A"));
    check_result(("1200", "VA"), '/', ("10", "A"), ("120", "V"));
    check_result(("120", "V"), '/', ("10", "A"), ("12", "ohm"));
    check_result(("120", "V"), '/', ("12", "ohm"), ("10", "A"));
    check_result(("144", "A2"), '*', ("0.5", "ohm"), ("72", "VA"));
    check_result(("14400", "V2"), '/', ("12", "ohm"), ("1200", "VA"));
    check_result(("10", "kWh"), '/', ("2", "h"), ("5", "kW"));
    check_result(("30", "mi"), '/', ("2", "h"), ("15", "mph"));
    check_result(("30", "ft3"), '/', ("2", "min"), ("15", "cfm"));
    check_result(("100", "cfm"), '*', ("10", "min"), ("1000", "ft3"));
    check_result(("100", "cfm"), '/', ("1000", "ft3"), ("0.1", "each/min"));
    check_result(("2", "kWh"), '/', ("4", "gal"), ("0.5", "kWh/gal"));
    check_result(("6", "$"), '/', ("2", "kWh"), ("3", "$/kWh"));
    check_result(("6", "$/h"), '/', ("2", "kW"), ("3", "$/kWh"));
}

#[test]
fn watts_and_volt_amperes_stay_apart_through_products() {
    check_result(("120", "V"), '*', ("10", "A"), ("1200", "VA"));
    check_result(("10", "A"), '*', ("0.12", "kV"), ("1.2", "kVA"));
    check_result(("1200", "VA"), '*', ("0.8", "W/VA"), ("960", "W"));
    check_result(("960", "W"), '/', ("1200", "VA"), ("0.8", "W/VA"));
    check_result(("960", "W"), '/', ("0.8", "W/VA"), ("1200", "VA"));
    check_result(("1200", "VA"), '*', ("5", "h"), ("6000", "VA·h"));
    check_result(("6000", "VA·h"), '*', ("1", "W/VA"), ("6000", "Wh"));
    check_result(("3", "kVA"), '/', ("1500", "VA"), ("2", ""));
    check_result(("1200", "W"), '/', ("120", "V"), ("10", "W/V"));
    check_result(("10", "W/V"), '*', ("120", "V"), ("1200", "W"));
    check_result(("10", "W/V"), '/', ("0.8", "W/VA"), ("12.5", "A"));
}

#[test]
fn equal_symbols_cancel_before_those_of_one_dimension() {
    check_result(("5940", "Wh/d"), '*', ("2", "d"), ("11880", "Wh"));
    check_result(("12", "h/d"), '*', ("3", "d"), ("36", "h"));
    check_result(("12", "h/d"), '*', ("48", "h"), ("24", "h"));
    check_result(("0.02", "lb/lb"), '*', ("50", "lb"), ("1", "lb"));
    check_result(("14", "BTU/(h·ft2·F°)"), '*', ("10", "ft2"), ("140", "BTU/(h·F°)"));
    check_result(("140", "BTU/(h·F°)"), '*', ("5", "C°"), ("1260", "BTU/h"));
    check_result(("462", "in3"), '/', ("1", "gal"), ("2", ""));
    check_result(("2", "gal"), '/', ("231", "in3"), ("2", ""));
    check_result(("10", "ft3"), '/', ("2", "ft2"), ("5", "ft"));
    check_result(("10", "ft2"), '*', ("6", "in"), ("5", "ft3"));
    check_result(("1", "gal"), '/', ("2", "ft2"), ("0.5", "gal/ft2"));
    check_result(("1", "gal"), '*', ("231", "in3"), ("1", "gal2"));
    check_result(("3600", "rpm"), '*', ("10", "s"), ("600", ""));
    check_result(("3600", "rpm"), '/', ("10", "s"), ("360", "rpm/s"));
    check_result(("5", "€"), '*', ("1.1", "USD/EUR"), ("5.5", "$"));
    check_result(("1.1", "USD"), '/', ("1", "EUR"), ("1.1", "$/€"));
    check_result(("5", "$"), '*', ("3", "EUR"), ("15", "$·€"));
}

#[test]
fn shares_and_counts_go_into_the_number() {
    check_result(("50", "%"), '*', ("50", "%"), ("0.25", ""));
    check_result(("50", "%"), '*', ("3", ""), ("150", "%"));
    check_result(("50", "%"), '*', ("3", "each"), ("1.5", ""));
    check_result(("5", "%"), '/', ("10", "%"), ("0.5", ""));
    check_result(("10", "lb"), '/', ("50", "%"), ("20", "lb"));
    check_result(("100", ""), '/', ("50", "%"), ("200", ""));
    check_result(("3", "each/d"), '*', ("5", "d"), ("15", ""));
    check_result(("4", "each"), '*', ("20", "lb"), ("80", "lb"));
    check_result(("12", "$"), '/', ("4", "each"), ("3", "$"));
    check_result(("12", "each"), '/', ("4", "h"), ("3", "each/h"));
    check_result(("3", "%/h"), '*', ("5", "h"), ("15", "%"));
    check_result(("3", "$/each"), '*', ("5", "each"), ("15", "$"));
    check_result(("6", "each"), '*', ("2", ""), ("12", "each"));
    check_result(("6", ""), '/', ("2", "h"), ("3", "each/h"));
}

#[track_caller]
fn check_power(value: &str, base: &str, exponent: (i32, i32), expected: Option<(&str, &str)>) {
    let (numerator, denominator) = exponent;
    let found = power(unit(base), Exponent { numerator, denominator });
    let got = found.map(|found| {
        let exponent = Number::from_integer(i64::from(numerator))
            .div(Number::from_integer(i64::from(denominator)))
            .unwrap();
        let bare = number(value).pow(exponent).unwrap();
        let value = found.scale.apply(bare).unwrap().round_significant(15);
        (value.to_plain(), found.unit.to_string())
    });
    let expected = expected.map(|(value, unit)| (value.to_owned(), unit.to_owned()));
    assert_eq!(got, expected, "({value} {base})^{exponent:?}");
}

#[test]
fn powers_and_roots() {
    check_power("3", "ft", (2, 1), Some(("9", "ft2")));
    check_power("9", "ft2", (1, 2), Some(("3", "ft")));
    check_power("9", "ft", (1, 2), None);
    check_power("8", "ft3", (1, 3), Some(("2", "ft")));
    check_power("4", "h", (-1, 1), Some(("0.25", "each/h")));
    check_power("4", "lb/h", (2, 1), Some(("16", "lb2/h2")));
    check_power("50", "%", (2, 1), Some(("0.25", "")));
    check_power("49", "%", (1, 2), Some(("0.7", "")));
    check_power("50", "%", (1, 1), Some(("50", "%")));
    check_power("7", "lb", (0, 1), Some(("1", "")));
    check_power("2", "ft", (32, 1), None);
    check_power("2", "°F", (2, 1), Some(("4", "F°2")));
    check_power("1200", "VA·ohm", (1, 2), Some(("34.6410161513775", "V")));
    assert!(
        power(
            unit("lb"),
            Exponent {
                numerator: 1,
                denominator: 0
            }
        )
        .is_none()
    );
    assert!(
        power(
            unit("lb"),
            Exponent {
                numerator: i32::MIN,
                denominator: 1
            }
        )
        .is_none()
    );
}

#[test]
fn too_much_is_no_unit() {
    let eight = unit("lb·ft·h·A·K·dB·$/€");
    assert!(product(eight, unit("CAD")).is_none());
    assert!(quotient(eight, unit("CAD")).is_none());
    let high = power(
        unit("ft"),
        Exponent {
            numerator: 31,
            denominator: 1,
        },
    )
    .unwrap();
    assert!(product(high.unit, unit("ft")).is_none());
    assert_eq!(high.unit.to_string(), "ft9·ft9·ft9·ft4");
}

#[track_caller]
fn check_long(from: &str, to: &str, expected: &str) {
    let ratio = conversion(unit(from), unit(to)).expect("a conversion").ratio;
    let got = ratio.apply(Number::ONE).unwrap();
    let gap = got.sub(number(expected)).unwrap().abs();
    assert!(gap.to_f64() < number(expected).to_f64() * 1e-25, "{got}");
}

/// Python's fractions module, from the definitions, rounded to 26 digits.
#[test]
fn ratios_too_long_to_be_exact_are_still_near() {
    check_long("psi6", "inHg6", "71.234947020572508840618377");
    check_long("hp4·kPa7", "BTU4·psi7/h4", "56588944.322508828075580225");
}

#[test]
fn ratios_too_large_to_be_held_are_none() {
    assert!(conversion(unit("GJ9"), unit("nJ9")).is_none());
    assert_eq!(mismatch(unit("GJ9"), unit("nJ9")), Some(Mismatch::TooFarApart));
}

// ---- reading and writing ----

#[track_caller]
fn check_shown(text: &str, expected: &str) {
    assert_eq!(unit(text).to_string(), expected, "{text}");
    assert_eq!(unit(expected), unit(text), "{text}");
}

#[test]
fn spellings_are_shown_in_one_way() {
    for text in ["lb", "lb/h", "BTU/(h·ft2·F°)", "each/h", "11.5", "%"]
        .iter()
        .filter(|t| **t != "11.5")
    {
        check_shown(text, text);
    }
    check_shown("degF", "°F");
    check_shown("ºF", "°F");
    check_shown("degC", "°C");
    check_shown("Fdeg", "F°");
    check_shown("Cdeg", "C°");
    check_shown("USD/gal", "$/gal");
    check_shown("EUR", "€");
    check_shown("GBP", "£");
    check_shown("CAD/L", "CAD/L");
    check_shown("Ω", "ohm");
    check_shown("kΩ", "kohm");
    check_shown("\u{3bc}m", "\u{b5}m");
    check_shown("\u{b5}m", "\u{b5}m");
    check_shown("BTU/(h*ft2*°F)", "BTU/(h·ft2·F°)");
    check_shown("kW*h", "kW·h");
    check_shown("W/(m2·C°)", "W/(m2·C°)");
    check_shown("ft·ft", "ft2");
    check_shown("each/C°", "each/C°");
    check_shown("lb/lb", "lb/lb");
    check_shown("lb/(h)", "lb/h");
    check_shown("h/d", "h/d");
    check_shown("each/°F", "each/F°");
    check_shown("psig/ft", "psi/ft");
}

#[test]
fn every_spelling_is_read_and_shown_in_one_way() {
    let mut seen = HashSet::new();
    for symbol in symbols() {
        assert!(seen.insert(symbol.shown().to_owned()), "{}", symbol.shown());
        assert!(!symbol.words().is_empty());
        assert!(!symbol.measures().is_empty());
        for spelling in symbol.spellings() {
            assert_eq!(unit(spelling).to_string(), symbol.shown());
        }
    }
}

#[test]
fn the_list_is_complete() {
    let list = "lb oz kg g ton gal qt L mL ft3 m3 in3 in ft yd mi mm cm m km in2 ft2 yd2 mi2 mm2 cm2 m2 km2 \
        s min h d wk psi psig Pa kPa kPag bar atm inH2O inHg BTU kBTU MMBTU therm J kJ MJ Wh kWh MWh \
        W kW hp BTU/h V A VA kVA ohm Hz rpm °F °C F° C° K cfm mph dB % each";
    for text in list.split_whitespace() {
        assert_eq!(unit(text).to_string(), text);
    }
    for base in "m g L s Pa J W Wh V A VA ohm Hz".split(' ') {
        for prefix in ["n", "µ", "m", "c", "k", "M", "G"] {
            let text = format!("{prefix}{base}");
            assert_eq!(unit(&text).to_string(), text);
        }
    }
}

#[track_caller]
fn check_trouble(text: &str, message: &str, help: Option<&str>) {
    let trouble = Unit::parse(text).expect_err(text);
    assert_eq!(trouble.message, message, "{text}");
    assert_eq!(trouble.help.as_deref(), help, "{text}");
}

/// Replaced piece by piece, a text becomes what its help says to write.
#[test]
fn what_is_mended_is_a_unit() {
    for (text, mended) in [
        ("ft^2", "ft2"),
        ("ft²", "ft2"),
        ("BTU/h/ft2", "BTU/(h·ft2)"),
        ("lb / h", "lb/h"),
        ("(lb·ft)/h", "lb·ft/h"),
        ("1/h", "each/h"),
        ("kwh", "kWh"),
    ] {
        let mut written = text.to_owned();
        for (span, piece) in Unit::parse(text).unwrap_err().mends.iter().rev() {
            written.replace_range(span.start as usize..span.end as usize, piece);
        }
        assert_eq!(written, mended, "{text}");
    }
}

#[test]
fn what_is_no_unit_says_why() {
    let stroke = "a unit has one slash at most";
    check_trouble("BTU/h/ft2", stroke, Some("write `BTU/(h·ft2)`"));
    check_trouble("W/m2/h·K", stroke, Some("write `W/(m2·h·K)`"));
    check_trouble(
        "lb/h·ft2",
        "`lb/h·ft2` can be read in two ways",
        Some("write `lb/(h·ft2)` or `lb·ft2/h`"),
    );
    let digit = "a power in a unit is a plain digit";
    check_trouble("ft^2", digit, Some("write `ft2`"));
    check_trouble("ft²", digit, Some("write `ft2`"));
    check_trouble("lb / h", "a unit has no spaces in it", Some("write `lb/h`"));
    let nothing = "nothing stands above the slash of this unit";
    check_trouble("1/h", nothing, Some("write `each/h`"));
    check_trouble("/h", nothing, Some("write `each/h`"));
    check_trouble("", "a unit is missing here", None);
    check_trouble("lb/", "a symbol is missing in this unit", None);
    check_trouble("lb·", "a symbol is missing in this unit", None);
    check_trouble("ft1", "`ft1` has no power from 2 to 9", Some("write `ft` or `ft2`"));
    check_trouble(
        "(lb·ft)/h",
        "parentheses in a unit stand around a product below the slash",
        Some("write `lb·ft/h`"),
    );
}

#[track_caller]
fn check_unknown(text: &str, help: &str) {
    let trouble = Unit::parse(text).expect_err(text);
    assert!(trouble.unknown, "{text}: {trouble:?}");
    assert_eq!(trouble.help.as_deref(), Some(help), "{text}");
}

#[test]
fn unknown_symbols_have_a_suggestion() {
    check_unknown("kwh", "write `kWh`, if that is meant");
    check_unknown("lbs/h", "write `lb`, if that is meant");
    check_unknown("BTU/hr", "write `h`, if that is meant");
    check_unknown("gallons", "write `gal`, if that is meant");
    check_unknown("btu", "write `BTU`, if that is meant");
    check_unknown("F", "write `°F` for a temperature, or `F°` for a difference of two");
    check_unknown("theerm", "write `therm`, if that is meant");
    check_unknown("smoot", "`tarebook units` lists them all");
    let trouble = Unit::parse("lb/rate").unwrap_err();
    assert_eq!(trouble.span.of("lb/rate"), "rate");
    assert_eq!(symbol::nearest("hours"), Some("h"));
}

#[test]
fn points_and_intervals() {
    for (point, interval) in [("°F", "F°"), ("°C", "C°"), ("psig", "psi"), ("kPag", "kPa")] {
        assert!(unit(point).is_point());
        assert!(!unit(interval).is_point());
        assert_eq!(unit(point).interval(), unit(interval));
        assert_eq!(unit(interval).on_scale(), Some(unit(point)));
        assert!(!unit(&format!("each/{point}")).is_point());
    }
    assert_eq!(unit("lb").interval(), unit("lb"));
    assert_eq!(unit("lb").on_scale(), None);
}

#[track_caller]
fn check_measures(text: &str, expected: &str) {
    assert_eq!(unit(text).measures(), expected, "{text}");
}

#[test]
fn measures_in_plain_words() {
    check_measures("", "a plain number");
    check_measures("BTU/gal", "energy per volume");
    check_measures("lb/ft2", "weight per area");
    check_measures("lb", "a weight");
    check_measures("ft2", "an area");
    check_measures("in3", "a volume");
    check_measures("gal", "a volume");
    check_measures("m3/h", "a volume flow");
    check_measures("lb/h", "a weight flow");
    check_measures("BTU/h", "a power");
    check_measures("kWh", "an energy");
    check_measures("°F", "a temperature");
    check_measures("F°", "a temperature difference");
    check_measures("psig", "a gauge pressure");
    check_measures("$", "money");
    check_measures("$/kWh", "money per energy");
    check_measures("BTU/lb", "energy per weight");
    check_measures("each/d", "a frequency");
    check_measures("kVA", "an apparent power");
    check_measures("W/VA", "a power factor");
    check_measures("lb·A/K2", "`lb·A/K2`");
}

#[test]
fn what_has_money_and_what_is_a_number() {
    assert!(unit("$/kWh").is_money());
    assert!(!unit("$/kWh").is_money_alone());
    assert!(unit("CAD").is_money_alone());
    assert!(!unit("lb").is_money());
    assert!(Unit::ONE.is_dimensionless());
    assert!(unit("%").is_dimensionless());
    assert!(unit("each").is_dimensionless());
    assert!(!unit("dB").is_dimensionless());
    assert!(!unit("W/VA").is_dimensionless());
    assert_eq!(std::mem::size_of::<Unit>(), 16);
}

/// A unit of up to three symbols from anywhere in the table.
fn any_unit() -> impl Strategy<Value = Unit> {
    let shown: Vec<String> = symbols().map(|s| s.shown().to_owned()).collect();
    let term = (proptest::sample::select(shown), 1..=3u32, any::<bool>());
    proptest::collection::vec(term, 1..=3).prop_map(|terms| {
        let side = |wanted: bool| {
            let of_side = terms.iter().filter(|(_, _, above)| *above == wanted);
            let pieces: Vec<String> = of_side
                .map(
                    |(s, power, _)| {
                        if *power > 1 { format!("{s}{power}") } else { s.clone() }
                    },
                )
                .collect();
            pieces.join("·")
        };
        match (side(true), side(false)) {
            (above, below) if below.is_empty() => unit(&above),
            (above, below) if above.is_empty() => unit(&format!("each/({below})")),
            (above, below) => unit(&format!("{above}/({below})")),
        }
    })
}

proptest! {
    #[test]
    fn every_unit_shown_can_be_typed_back(found in any_unit()) {
        prop_assert_eq!(Unit::parse(&found.to_string()), Ok(found));
    }

    #[test]
    fn every_result_can_be_typed_back(left in any_unit(), right in any_unit()) {
        for combined in [product(left, right), quotient(left, right)].into_iter().flatten() {
            let unit = combined.unit;
            if unit != Unit::ONE {
                prop_assert_eq!(Unit::parse(&unit.to_string()), Ok(unit));
            }
        }
    }

    /// Multiplying and dividing again gives the same size.
    #[test]
    fn a_product_over_one_side_is_the_other(left in any_unit(), right in any_unit()) {
        let back = product(left, right).and_then(|there| {
            let back = quotient(there.unit, right)?;
            let met = conversion(back.unit, left.interval())?;
            Some(there.scale.to_f64() * back.scale.to_f64() * met.ratio.to_f64())
        });
        if let Some(ratio) = back {
            prop_assert!((ratio - 1.0).abs() < 1e-9, "{} {} {}", left, right, ratio);
        }
    }

    /// There and back is the same value, for all that is held exactly enough.
    #[test]
    fn conversions_turn_round(from in any_unit(), to in any_unit()) {
        if let (Some(there), Some(back)) = (conversion(from, to), conversion(to, from)) {
            let value = back.apply_f64(there.apply_f64(7.25));
            prop_assert!((value - 7.25).abs() < 1e-6);
        }
    }

    #[test]
    fn no_text_makes_reading_panic(text in "[a-zA-Z°·*/()^0-9$%µ² ]{0,12}") {
        if let Ok(found) = Unit::parse(&text) {
            prop_assert_eq!(Unit::parse(&found.to_string()), Ok(found));
        }
    }
}
