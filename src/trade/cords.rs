//! Cords and the gas line: what a wire drops and carries, what a pipe passes.
//!
//! Ampacity and voltage drop are two questions; a cord that passes one can
//! fail the other. Start reading at [`voltage_drop`].

use crate::number::Real;

use super::caution::CORD_HEAT;
use super::declare::{PLAIN, binary, decimal, example, published, remembered, rule, shown, whole};
use super::{Argument, Arguments, Chapter, Complaint, Function, Outcome, Parameter, ParameterKind, ResultKind, Shape};

/// Stranded uncoated copper at 75 °C, in micro-ohms a foot: NEC Chapter 9 Table 8.
const STRANDED: [(i64, i64); 7] = [
    (18, 7_950),
    (16, 4_990),
    (14, 3_140),
    (12, 1_980),
    (10, 1_240),
    (8, 778),
    (6, 491),
];

/// Amps of flexible cords with two and three current-carrying conductors at
/// 86 °F: NEC Table 400.5(A)(1); three conductors, and 10 AWG and larger, from memory.
const AMPACITY: [(i64, i64, Option<i64>); 8] = [
    (18, 10, Some(7)),
    (17, 12, None),
    (16, 13, Some(10)),
    (14, 18, Some(15)),
    (12, 25, Some(20)),
    (10, 30, Some(25)),
    (8, 40, Some(35)),
    (6, 55, Some(45)),
];

const LARGE: [&str; 2] = ["1/0", "2/0"];

/// The gauge at `index` as a whole number: 0 for 1/0, −1 for 2/0.
fn gauge<R: Real>(a: &Arguments<'_, R>, index: usize) -> Outcome<i64> {
    match a.values.get(index) {
        Some(Argument::Text("1/0")) => Ok(0),
        Some(Argument::Text("2/0")) => Ok(-1),
        Some(Argument::Text(word)) => {
            Err(Complaint::unlisted(index, "awg", word, &LARGE).help("write a gauge such as 12, or \"1/0\" or \"2/0\""))
        }
        _ => whole_gauge(a.number(index)?.to_binary(), index),
    }
}

fn whole_gauge(number: f64, index: usize) -> Outcome<i64> {
    if number == number.floor() && (0.0..=40.0).contains(&number) {
        return Ok(number as i64);
    }
    let message = format!("{} is no wire gauge", shown(number));
    Err(Complaint::outside(index, message).help("write a whole gauge from 0 to 40, or \"1/0\" or \"2/0\""))
}

fn wire_resistance<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let gauge = gauge(a, 0)? as f64;
    let metres = a.not_negative(1, "length")?.to_binary() * 0.3048;
    let conductor = a.number(2)?.to_binary();
    let warmth = 1.0 + 0.00393 * (conductor - 20.0);
    if !(-200.0..=250.0).contains(&conductor) {
        let message = format!("a copper conductor at {} °C is outside −200 … 250 °C", shown(conductor));
        return Err(Complaint::outside(2, message));
    }
    let millimetres = 0.127 * libm::pow(92.0, (36.0 - gauge) / 39.0);
    let area = std::f64::consts::PI * millimetres * millimetres / 4.0;
    binary(metres / (58.0 * area) * warmth)
}

/// Both ways of a two-wire cord.
fn voltage_drop<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let current = a.not_negative(0, "current")?;
    let gauge = gauge(a, 1)?;
    let length = a.not_negative(2, "one_way")?;
    let Some(row) = STRANDED.iter().find(|row| row.0 == gauge) else {
        let message = format!("{gauge} AWG is not in NEC Chapter 9 Table 8 as used here");
        return Err(Complaint::outside(1, message).help("write 18, 16, 14, 12, 10, 8 or 6"));
    };
    let both_ways = current.times(length)?.times(whole(2))?;
    Ok(both_ways.times(decimal(row.1, 1_000_000)?)?)
}

fn cord_ampacity<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let gauge = gauge(a, 0)?;
    let conductors = a.number(1)?.to_binary();
    let Some(row) = AMPACITY.iter().find(|row| row.0 == gauge) else {
        let message = format!("{gauge} AWG is not in NEC Table 400.5(A)(1) as used here");
        return Err(Complaint::outside(0, message).help("write 18, 17, 16, 14, 12, 10, 8 or 6"));
    };
    if conductors == 2.0 {
        return Ok(whole(row.1));
    }
    if conductors != 3.0 {
        let message = format!(
            "a cord has 2 or 3 current-carrying conductors, not {}",
            shown(conductors)
        );
        return Err(Complaint::outside(1, message).help("the grounding wire doesn't count"));
    }
    match row.2 {
        Some(amps) => Ok(whole(amps)),
        None => Err(Complaint::outside(
            1,
            format!("there is no value for three conductors of {gauge} AWG"),
        )),
    }
}

/// From so many inH2O on, 1.5 psi, a pipe is not of low pressure.
const LOW_PRESSURE: f64 = 1.5 * 6_894.757_293_168_361 / 249.088_91;

fn gas_line_capacity<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let diameter = a.positive(0, "inside_diameter")?.to_binary();
    let length = a.positive(1, "length")?.to_binary();
    let drop = a.positive(2, "drop")?.to_binary();
    let supply = a.positive(3, "supply")?.to_binary();
    if supply >= LOW_PRESSURE {
        let message = format!(
            "a supply of {} inH2O is not low pressure: the equation is for less than 1.5 psi (NFPA 54, from memory)",
            shown(supply)
        );
        return Err(Complaint::outside(3, message));
    }
    if drop > supply {
        let message = format!(
            "a drop of {} inH2O is more than the supply of {} inH2O",
            shown(drop),
            shown(supply)
        );
        return Err(Complaint::outside(2, message).help("allow 0.5 inH2O, as is usual, or give the `supply`"));
    }
    let grade = libm::pow(drop / (1.2462 * length), 0.206);
    binary(libm::pow(19.17 * diameter * grade, 1.0 / 0.381) * 2_488.0)
}

const AWG: Parameter = Parameter::new(
    "awg",
    ParameterKind::NumberOrWord(&LARGE),
    Shape::Single,
    "the wire gauge: a number, or \"1/0\" or \"2/0\"",
);

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 4] = [
    Function {
        name: "wire_resistance",
        chapter: Chapter::Load,
        summary: "resistance of one solid copper conductor",
        parameters: &[
            AWG,
            Parameter::quantity("length", "ft", "the length of the conductor").usually(5.0, 1_000.0),
            Parameter::quantity("conductor", "°C", "the temperature of the copper")
                .or("20 °C")
                .usually(-30.0, 90.0),
        ],
        result: ResultKind::Quantity("ohm"),
        formula: "ρ·L/A, d = 0.005 in × 92^((36 − n)/39), ρ20 = 1/58 Ω·mm²/m, α = 0.00393",
        sources: &[published("ASTM B258"), remembered("IEC 60028, 100 % IACS")],
        range: "solid round copper, 2/0 to 40 AWG, −200 … 250 °C",
        notes: "One conductor, one way. Stranded wire has about 2 % more.",
        cautions: &[&CORD_HEAT],
        examples: &[example(
            "wire_resistance(awg: 12, length: 1000 ft, conductor: 75 °C)",
            "1.932 ohm",
        )],
        body: rule!(wire_resistance),
        ..PLAIN
    },
    Function {
        name: "voltage_drop",
        chapter: Chapter::Load,
        summary: "volts lost in a two-wire cord, there and back",
        parameters: &[
            Parameter::quantity("current", "A", "the current").usually(0.5, 50.0),
            AWG,
            Parameter::quantity("one_way", "ft", "the length of the cord, one way").usually(5.0, 300.0),
        ],
        result: ResultKind::Quantity("V"),
        formula: "2 × one_way × current × resistance, stranded copper at 75 °C",
        sources: &[published("NEC Chapter 9 Table 8")],
        range: "18, 16, 14, 12, 10, 8 and 6 AWG; another gauge is a problem; resistive load",
        notes: "3 % and 5 % of the supply are what informational notes of the NEC recommend. A motor at start draws several times its running current.",
        cautions: &[&CORD_HEAT],
        examples: &[
            example("voltage_drop(20 A, awg: 12, one_way: 100 ft)", "7.92 V"),
            example("voltage_drop(12 A, awg: 14, one_way: 100 ft)", "7.536 V"),
        ],
        body: rule!(voltage_drop),
        ..PLAIN
    },
    Function {
        name: "cord_ampacity",
        chapter: Chapter::Load,
        summary: "amps a flexible cord carries without overheating",
        parameters: &[
            AWG,
            Parameter::quantity("conductors", "", "current-carrying conductors, 2 or 3")
                .or("2")
                .usually(2.0, 3.0),
        ],
        result: ResultKind::Quantity("A"),
        formula: "the printed table",
        sources: &[
            published("NEC Table 400.5(A)(1)"),
            remembered("three conductors, and 10 AWG and larger"),
        ],
        range: "18, 17, 16, 14, 12, 10, 8 and 6 AWG at 86 °F, uncoiled; another gauge is a problem",
        notes: "In hotter air it carries less. Check the voltage drop beside it.",
        cautions: &[&CORD_HEAT],
        examples: &[
            example("cord_ampacity(12, conductors: 2)", "25 A"),
            example("cord_ampacity(16, conductors: 3)", "10 A"),
        ],
        body: rule!(cord_ampacity),
        ..PLAIN
    },
    Function {
        name: "gas_line_capacity",
        chapter: Chapter::Load,
        summary: "propane heat a rigid low-pressure pipe passes",
        parameters: &[
            Parameter::quantity("inside_diameter", "in", "the inside diameter, not the nominal size").usually(0.3, 2.1),
            Parameter::quantity("length", "ft", "the length, with fittings as their equivalent").usually(5.0, 300.0),
            Parameter::quantity("drop", "inH2O", "the pressure drop allowed").usually(0.1, 1.0),
            Parameter::quantity("supply", "inH2O", "the pressure that comes in")
                .or("11 inH2O")
                .usually(4.0, 14.0),
        ],
        result: ResultKind::Quantity("BTU/h"),
        formula: "(19.17·D·(ΔH/(1.2462·L))^0.206)^(1/0.381) ft³/h × 2 488 BTU/ft³",
        sources: &[remembered("NFPA 54 low-pressure equation")],
        range: "rigid pipe, supply about 11 inH2O; within 1 % of the printed table there. A drop above the supply, and a supply of 1.5 psi and above, are a problem",
        notes: "Gross heat. Hoses and the regulator have limits of their own.",
        examples: &[example("gas_line_capacity(0.824 in, 60 ft, 0.5 inH2O)", "232200 BTU/h")],
        body: rule!(gas_line_capacity),
        ..PLAIN
    },
];
