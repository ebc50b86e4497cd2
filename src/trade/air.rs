//! The air: its pressure at a height, and its moisture.
//!
//! Station pressure is what an engine and a regulator feel; a weather report's
//! is reduced to sea level. Humidity is relative to liquid water throughout,
//! as hygrometers and reports give it. Start reading at [`station_pressure`].

use crate::number::Real;

use super::caution::NO_FROST;
use super::declare::{PLAIN, binary, computed, example, published, rule, shown};
use super::propane::{ATMOSPHERE, PSI, fahrenheit};
use super::{Arguments, Chapter, Complaint, Function, Outcome, Parameter, Remark, ResultKind, Source};

/// The air pressure in Pa of the U.S. Standard Atmosphere 1976 at a geometric
/// altitude in m, below 11 km.
pub(crate) fn station_pressure(altitude: f64) -> f64 {
    let geopotential = EARTH * altitude / (EARTH + altitude);
    let power = 9.80665 * 28.9644 / (8314.32 * 0.0065);
    ATMOSPHERE * libm::pow(1.0 - 0.0065 * geopotential / 288.15, power)
}

/// The radius of the earth in that atmosphere, in m.
const EARTH: f64 = 6_356_766.0;

/// The lowest and the highest altitude in ft; 36 152 ft is 11 km of geopotential height.
const ALTITUDES: (f64, f64) = (-16_000.0, 36_152.0);

/// The least and the most pressure in kPa that the air has at these altitudes.
pub(super) fn pressures() -> (f64, f64) {
    let at = |feet: f64| station_pressure(feet * 0.3048) / 1000.0;
    (at(ALTITUDES.1), at(ALTITUDES.0))
}

fn altitude_in_range(feet: f64, argument: usize) -> Result<f64, Complaint> {
    if (ALTITUDES.0..=ALTITUDES.1).contains(&feet) {
        return Ok(feet * 0.3048);
    }
    let message = format!(
        "an altitude of {} ft is outside −16000 … 36152 ft, which the lowest layer of the U.S. Standard Atmosphere 1976 covers",
        shown(feet)
    );
    Err(Complaint::outside(argument, message))
}

fn air_pressure<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let altitude = altitude_in_range(a.number(0)?.to_binary(), 0)?;
    binary(station_pressure(altitude) / 1000.0)
}

fn gauge_at<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let pressure = a.number(0)?.to_binary();
    if pressure * PSI + ATMOSPHERE < 0.0 {
        let message = format!("a pressure of {} psig is less than none at all", shown(pressure));
        return Err(Complaint::outside(0, message));
    }
    let altitude = altitude_in_range(a.number(1)?.to_binary(), 1)?;
    binary(pressure + (ATMOSPHERE - station_pressure(altitude)) / PSI)
}

/// Over water: WMO-No. 8, Annex 4.B.
const WATER: (f64, f64) = (17.62, 243.12);
/// Over ice: WMO-No. 8, Annex 4.B.
const ICE: (f64, f64) = (22.46, 272.62);

/// The saturation vapor pressure in hPa over a surface, at °C.
fn saturation(surface: (f64, f64), celsius: f64) -> f64 {
    6.112 * libm::exp(surface.0 * celsius / (surface.1 + celsius))
}

/// The saturation vapor pressure over water, in Pa, at K.
pub(super) fn over_water(kelvin: f64) -> f64 {
    100.0 * saturation(WATER, kelvin - 273.15)
}

/// The saturation vapor pressure over ice, in Pa, at K.
pub(super) fn over_ice(kelvin: f64) -> f64 {
    100.0 * saturation(ICE, kelvin - 273.15)
}

/// The temperature in °C at which a vapor pressure in hPa saturates over a surface.
fn saturated_at(surface: (f64, f64), vapor: f64) -> f64 {
    let logarithm = libm::log(vapor / 6.112);
    surface.1 * logarithm / (surface.0 - logarithm)
}

/// The vapor pressure in hPa of air at °F (argument 0) and a humidity (argument 1).
fn moisture<R: Real>(a: &Arguments<'_, R>) -> Outcome<f64> {
    let air = a.number(0)?.to_binary();
    let celsius = (air - 32.0) / 1.8;
    if !(-45.0 - 1e-9..=60.0 + 1e-9).contains(&celsius) {
        let message = format!(
            "air of {} °F is outside −49 … 140 °F (−45 … 60 °C), which the formula of WMO-No. 8 covers",
            shown(air)
        );
        return Err(Complaint::outside(0, message));
    }
    let humidity = a.percentage(1, "humidity")?.to_binary();
    Ok(humidity / 100.0 * saturation(WATER, celsius))
}

fn moist<R: Real>(a: &Arguments<'_, R>) -> Outcome<f64> {
    let vapor = moisture(a)?;
    if vapor > 0.0 {
        return Ok(vapor);
    }
    Err(Complaint::outside(1, "air without any moisture has no dew point"))
}

fn dew_point<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    binary(to_fahrenheit(saturated_at(WATER, moist(a)?)))
}

fn frost_point<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    binary(to_fahrenheit(saturated_at(ICE, moist(a)?)))
}

fn vapor_pressure<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    binary(moisture(a)? / 10.0)
}

fn to_fahrenheit(celsius: f64) -> f64 {
    fahrenheit(celsius + 273.15)
}

fn appraise_frost(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match frost_point(a) {
        Ok(point) if point > 32.0 + 1e-9 => vec![Remark::plain(&NO_FROST)],
        _ => Vec::new(),
    }
}

const ATMOSPHERE_1976: Source = published("U.S. Standard Atmosphere 1976");
const ANNEX: Source = published("WMO-No. 8, Annex 4.B");
const ALTITUDE: Parameter = Parameter::quantity("altitude", "ft", "the height above the sea").usually(0.0, 10_000.0);
const MOISTURE: [Parameter; 2] = [
    Parameter::quantity("air", "°F", "the temperature of the air").usually(-40.0, 110.0),
    Parameter::quantity("humidity", "%", "the relative humidity, over liquid water").usually(10.0, 100.0),
];
const MOIST_RANGE: &str = "air of −45 … 60 °C (−49 … 140 °F), humidity up to 100 %; outside is a problem";

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 5] = [
    Function {
        name: "gauge_at",
        chapter: Chapter::Propane,
        summary: "what a gauge shows at an altitude, where psig counts from one standard atmosphere",
        parameters: &[
            Parameter::quantity("pressure", "psig", "the pressure above one standard atmosphere").usually(0.0, 200.0),
            ALTITUDE,
        ],
        result: ResultKind::Quantity("psi"),
        formula: "pressure + one atmosphere − air pressure at the altitude",
        sources: &[ATMOSPHERE_1976],
        range: "below 11 km, and a pressure above none at all; outside is a problem",
        notes: "A gauge, and a regulator's spring, count from the local air.",
        cautions: &[&super::caution::GAUGE_SHOWS_TEMPERATURE],
        examples: &[example("gauge_at(93.019 psig, 5000 ft)", "95.49 psi")],
        body: rule!(gauge_at),
        ..PLAIN
    },
    Function {
        name: "air_pressure",
        chapter: Chapter::Burn,
        summary: "pressure of the air at an altitude",
        parameters: &[ALTITUDE],
        result: ResultKind::Quantity("kPa"),
        formula: "101.325 kPa × (1 − 0.0065·h/288.15)^5.2559, h the geopotential height",
        sources: &[ATMOSPHERE_1976],
        range: "below 11 km, geometric altitude; outside is a problem",
        notes: "Station pressure; a weather report's is reduced to sea level.",
        examples: &[
            example("air_pressure(5000 ft)", "84.31 kPa"),
            example("air_pressure(0 ft)", "101.3 kPa"),
        ],
        body: rule!(air_pressure),
        ..PLAIN
    },
    Function {
        name: "dew_point",
        chapter: Chapter::Vaporizing,
        summary: "temperature at which the moisture of the air begins to form dew",
        parameters: &MOISTURE,
        result: ResultKind::Quantity("°F"),
        formula: "the t where 6.112 hPa·exp(17.62·t/(243.12 + t)) is the vapor pressure of the air",
        sources: &[ANNEX],
        range: MOIST_RANGE,
        notes: "Below freezing frost forms first: see frost_point.",
        examples: &[example("dew_point(70 °F, 50 %)", "50.50 °F")],
        body: rule!(dew_point),
        ..PLAIN
    },
    Function {
        name: "frost_point",
        chapter: Chapter::Vaporizing,
        summary: "temperature at which the moisture of the air begins to form frost",
        parameters: &MOISTURE,
        result: ResultKind::Quantity("°F"),
        formula: "the t where 6.112 hPa·exp(22.46·t/(272.62 + t)) is the vapor pressure of the air",
        sources: &[ANNEX],
        range: MOIST_RANGE,
        notes: "A wall below it and below freezing frosts. Above freezing it is dew that forms. When a cylinder begins to frost is asked of its draw-down: first(night.time where night.temperature < white_below), with white_below = min(frost_point(air, humidity), 32 °F).",
        examples: &[example("frost_point(24 °F, 80 %)", "20.24 °F")],
        body: rule!(frost_point),
        appraise: Some(appraise_frost),
        ..PLAIN
    },
    Function {
        name: "vapor_pressure",
        chapter: Chapter::Vaporizing,
        summary: "pressure of the water vapor in the air",
        parameters: &MOISTURE,
        result: ResultKind::Quantity("kPa"),
        formula: "humidity × 6.112 hPa·exp(17.62·t/(243.12 + t))",
        sources: &[ANNEX, computed("humidity relative to liquid water")],
        range: MOIST_RANGE,
        notes: "The formula itself may be off by 0.6 % (from memory). Station pressure less this is the dry pressure that sae_j1349 takes.",
        examples: &[example("vapor_pressure(86 °F, 50 %)", "2.117 kPa")],
        body: rule!(vapor_pressure),
        ..PLAIN
    },
];
