//! The engine: efficiency, and what height and heat take from its power.
//!
//! Two manuals derate by different steps and a standard by a formula; they
//! disagree, so there is no default, and they are never used together.
//! Start reading at [`derated`].

use crate::number::Real;

use super::air::pressures;
use super::caution::{CARBON_MONOXIDE, CORRECTION_RANGE, ODD_EFFICIENCY};
use super::declare::{ARITHMETIC, PLAIN, binary, decimal, example, practice, remembered, rule, shown, whole};
use super::{Arguments, Chapter, Complaint, Fact, Function, Outcome, Parameter, Remark, ResultKind};

/// Electric output over the heat of the fuel.
fn electrical_efficiency<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let load = a.not_negative(0, "load")?;
    let heat = a.positive(1, "heat_input")?;
    // One BTU/h is 1055.05585262/3600 W; times a hundred for per cent.
    let watts = heat.times(decimal(105_505_585_262, 100_000_000)?)?;
    let share = load.times(whole(360_000))?.over(watts)?;
    if share.to_binary() <= 100.0 + 1e-9 {
        return Ok(share);
    }
    let message = format!(
        "an efficiency of {} % can't be: more comes out than the fuel brings in",
        shown(share.to_binary())
    );
    Err(Complaint::outside(0, message).help("look at the load, the rate, and how the heat was worked out"))
}

fn appraise_efficiency(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let (Ok(per_cent), Ok(load)) = (electrical_efficiency(a), a.number(0)) else {
        return Vec::new();
    };
    let most = if load > 15_000.0 { 30.0 } else { 25.0 };
    let reading = if per_cent > most {
        "check weights, load, and whether the heat is gross"
    } else if per_cent < 5.0 && load <= 15_000.0 {
        "idling: most of the gas runs the engine"
    } else {
        return Vec::new();
    };
    let text = format!("An electrical efficiency of {} %: {reading}.", shown(per_cent));
    vec![Remark::new(&ODD_EFFICIENCY, text)]
}

const RULES: [&str; 3] = ["3.5 % per 1000 ft", "3 % per 1000 ft", "3 % per 500 m above 1000 m"];

/// Rated power less what height and heat take.
fn derated<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rated = a.positive(0, "rated")?;
    let (altitude, air) = (a.number(1)?, a.number(2)?);
    let (height, heat) = match a.word(3)? {
        "3.5 % per 1000 ft" => (by_feet(altitude, 35)?, by_fahrenheit(air)?),
        "3 % per 1000 ft" => (by_feet(altitude, 30)?, by_fahrenheit(air)?),
        "3 % per 500 m above 1000 m" => (by_metres(altitude)?, by_celsius(air)?),
        other => return Err(Complaint::unlisted(3, "rule", other, &RULES)),
    };
    if height <= R::zero() || heat <= R::zero() {
        let message = format!(
            "the rule leaves no power at {} ft and {} °F",
            shown(altitude.to_binary()),
            shown(air.to_binary())
        );
        return Err(Complaint::outside(1, message));
    }
    Ok(rated.times(height)?.times(heat)?)
}

/// `thousandths` lost for each 1000 ft.
fn by_feet<R: Real>(altitude: R, thousandths: i64) -> Outcome<R> {
    lost(altitude.times(whole(thousandths))?.over(whole(1_000_000))?)
}

/// 1 % lost for each 10 °F above 77 °F.
fn by_fahrenheit<R: Real>(air: R) -> Outcome<R> {
    lost(air.minus(whole(77))?.over(whole(1_000))?)
}

/// 3 % lost for each 500 m above 1000 m.
fn by_metres<R: Real>(altitude: R) -> Outcome<R> {
    let metres = altitude.times(decimal(3_048, 10_000)?)?;
    lost(metres.minus(whole(1_000))?.times(decimal(6, 100_000)?)?)
}

/// 3 % lost for each 5 °C above 40 °C, which is 9 °F above 104 °F.
fn by_celsius<R: Real>(air: R) -> Outcome<R> {
    lost(air.minus(whole(104))?.times(whole(3))?.over(whole(900))?)
}

/// What is left of one, where nothing is ever won.
fn lost<R: Real>(share: R) -> Outcome<R> {
    if share <= R::zero() {
        return Ok(R::one());
    }
    Ok(R::one().minus(share)?)
}

/// The factor of SAE J1349: power here is rated power over it.
fn sae_j1349<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let pressure = a.number(0)?.to_binary();
    let (least, most) = pressures();
    if !(least..=most).contains(&pressure) {
        let message = format!(
            "a dry pressure of {} kPa is outside {} … {} kPa, which the lowest layer of the U.S. Standard Atmosphere 1976 covers",
            shown(pressure),
            shown(least),
            shown(most)
        );
        return Err(Complaint::outside(0, message).help("`air_pressure` less `vapor_pressure` gives it"));
    }
    let air = a.number(1)?.to_binary();
    if air <= -273.0 {
        return Err(Complaint::outside(1, "`air` is below absolute zero"));
    }
    let warmth = f64::sqrt((air + 273.0) / 298.0);
    binary(1.18 * (99.0 / pressure) * warmth - 0.18)
}

fn appraise_sae(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match sae_j1349(a) {
        Ok(factor) if !(0.93..=1.07).contains(&factor) => {
            let text = format!(
                "The correction factor of {} is outside 0.93 to 1.07, the range the standard allows: the number is an extrapolation.",
                shown(factor)
            );
            vec![Remark::new(&CORRECTION_RANGE, text)]
        }
        _ => Vec::new(),
    }
}

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 3] = [
    Function {
        name: "electrical_efficiency",
        tells: &[Fact::FirstOverSecond],
        chapter: Chapter::Burn,
        summary: "share of the fuel's heat that comes out as electricity",
        parameters: &[
            Parameter::quantity("load", "W", "the electric load").usually(100.0, 25_000.0),
            Parameter::quantity("heat_input", "BTU/h", "the heat burned, gross unless you say otherwise")
                .once("heat_rate")
                .usually(10_000.0, 400_000.0),
        ],
        result: ResultKind::Quantity("%"),
        formula: "load/heat_input",
        sources: &[
            ARITHMETIC,
            practice("5–25 % gross for sets below 15 kW, up to 30 % above"),
        ],
        range: "below 5 % and above 25 % (30 % above 15 kW) a caution; above 100 % a problem",
        notes: "Gross and net differ by 8 %: an efficiency without its basis means nothing.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[
            example("electrical_efficiency(7 kW, 167600 BTU/h)", "14.25 %"),
            example("electrical_efficiency(14 kW, 243200 BTU/h)", "19.64 %"),
        ],
        body: rule!(electrical_efficiency),
        appraise: Some(appraise_efficiency),
        ..PLAIN
    },
    Function {
        name: "derated",
        chapter: Chapter::Burn,
        summary: "power a set has left at a height and an air temperature, by its manual's rule",
        parameters: &[
            Parameter::quantity("rated", "W", "the rated power on propane").usually(1_000.0, 25_000.0),
            Parameter::quantity("altitude", "ft", "the height above the sea").usually(0.0, 10_000.0),
            Parameter::quantity("air", "°F", "the temperature of the air").usually(-40.0, 110.0),
            Parameter::word("rule", &RULES, "the rule your operator's manual prints"),
        ],
        result: ResultKind::Quantity("W"),
        formula: "rated × (1 − height lost) × (1 − heat lost); 1 % per 10 °F above 77 °F, or 3 % per 5 °C above 40 °C with the metric rule",
        sources: &[practice(
            "what operators' manuals print; they disagree, so there is no default",
        )],
        range: "linear between steps, none raises power; where nothing is left, a problem",
        notes: "The rated figure is the one for propane, not gasoline. Don't use it together with sae_j1349.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[
            example("derated(10 kW, 5000 ft, 77 °F, rule: \"3.5 % per 1000 ft\")", "8250 W"),
            example("derated(10 kW, 6000 ft, 97 °F, rule: \"3 % per 1000 ft\")", "8036 W"),
        ],
        body: rule!(derated),
        ..PLAIN
    },
    Function {
        name: "sae_j1349",
        chapter: Chapter::Burn,
        summary: "power correction factor for air pressure and temperature: power here is rated over it",
        parameters: &[
            Parameter::quantity(
                "dry_pressure",
                "kPa",
                "station pressure less the vapor pressure of its moisture",
            )
            .usually(60.0, 104.0),
            Parameter::quantity("air", "°C", "the temperature of the air").usually(-40.0, 45.0),
        ],
        result: ResultKind::Quantity(""),
        formula: "1.18·(99 kPa/p)·√((t + 273)/298) − 0.18",
        sources: &[remembered(
            "SAE J1349, form of June 1990, spark ignition without charging",
        )],
        range: "outside 0.93 … 1.07 a caution; outside 22.6 … 175.4 kPa a problem",
        named: Some("power by SAE J1349"),
        notes: "A factor below 1 does not raise the power of a set held by its governor. Don't use it together with derated.",
        examples: &[
            example("sae_j1349(99 kPa, 25 °C)", "1"),
            example("sae_j1349(98 kPa, 35 °C)", "1.032"),
        ],
        body: rule!(sae_j1349),
        appraise: Some(appraise_sae),
        ..PLAIN
    },
];
