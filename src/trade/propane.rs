//! Pure propane where liquid and vapor meet, from −45 to 50 °C.
//!
//! Compact fits to the reference equation of state (J. Chem. Eng. Data 54
//! (2009) 3141); the largest error of each fit stands beside it, and the
//! equation's own 0.01–0.03 % in density, 0.02 % in pressure and 0.5 % in heat
//! capacity come on top. The plain functions work in K, Pa, kg, m³ and J and do
//! not look at the range; [`kelvin_in_range`] does. Start reading at
//! [`saturation_pressure`].

use std::sync::LazyLock;

use crate::number::Real;

use super::caution::{GAUGE_SHOWS_TEMPERATURE, PURE_PROPANE};
use super::declare::{PLAIN, binary, computed, example, published, rule, shown};
use super::fitted::Fitted;
use super::{Arguments, Chapter, Complaint, Fact, Function, Outcome, Parameter, ResultKind, Source};

/// The lowest temperature of the fits, in K (−45 °C).
pub const COLDEST: f64 = 228.15;
/// The highest temperature of the fits, in K (50 °C).
pub const HOTTEST: f64 = 323.15;
/// One standard atmosphere, in Pa, from which psig counts.
pub(crate) const ATMOSPHERE: f64 = 101_325.0;
/// One psi, in Pa.
pub(crate) const PSI: f64 = 6_894.757_293_168_361;
/// One pound, in kg.
pub const POUND: f64 = 0.453_592_37;
/// One inch, in m.
pub const INCH: f64 = 0.0254;
/// One pound a US gallon, in kg/m³.
pub(crate) const POUND_PER_GALLON: f64 = POUND / (231.0 * INCH * INCH * INCH);
/// One pound a cubic foot, in kg/m³.
pub(crate) const POUND_PER_CUBIC_FOOT: f64 = POUND / (1728.0 * INCH * INCH * INCH);
/// One BTU (International Table) a pound, in J/kg.
pub(crate) const BTU_PER_POUND: f64 = 2326.0;

const CRITICAL_TEMPERATURE: f64 = 369.89;
const CRITICAL_PRESSURE: f64 = 4_251_200.0;
const CRITICAL_DENSITY: f64 = 220.4781;

/// Where the fits come from.
pub(super) const EQUATION_OF_STATE: Source =
    computed("compact fits to the propane reference equation of state, J. Chem. Eng. Data 54 (2009) 3141");

/// The saturation pressure in Pa at a temperature in K; within 0.001 % of the
/// equation of state.
pub fn saturation_pressure(kelvin: f64) -> f64 {
    CRITICAL_PRESSURE * libm::exp(pressure_exponent(kelvin).0)
}

/// The logarithm of p/pc, and its slope over temperature.
fn pressure_exponent(kelvin: f64) -> (f64, f64) {
    let [a, b, c, d] = [-6.745027689, 1.485693828, -1.458512217, -2.370905852];
    let t = 1.0 - kelvin / CRITICAL_TEMPERATURE;
    let root = f64::sqrt(t);
    let sum = a * t + b * t * root + c * t * t * root + d * t * t * t * t * t;
    let slope = a + 1.5 * b * root + 2.5 * c * t * root + 5.0 * d * t * t * t * t;
    let stretch = CRITICAL_TEMPERATURE / kelvin;
    (stretch * sum, -(stretch * sum + slope) / kelvin)
}

/// The temperature in K at which propane boils under a pressure in Pa: the
/// inverse of [`saturation_pressure`], to about 1e-12, inside −45 … 50 °C.
pub fn boiling_point(pascals: f64) -> f64 {
    let wanted = libm::log(pascals / CRITICAL_PRESSURE);
    let (mut low, mut high) = (COLDEST - 0.01, HOTTEST + 0.01);
    let mut at = 0.5 * (low + high);
    for _ in 0..80 {
        let (exponent, slope) = pressure_exponent(at);
        if exponent > wanted {
            high = at;
        } else {
            low = at;
        }
        let newton = at - (exponent - wanted) / slope;
        let next = if newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - at).abs() <= 1e-13 * at {
            return next;
        }
        at = next;
    }
    at
}

/// The latent heat in J/kg at a temperature in K; within 0.0031 %.
pub fn latent_heat(kelvin: f64) -> f64 {
    let [a, b, c, d] = [630077.7867, 0.6422060064, -0.6158128205, 0.3662880012];
    let reduced = kelvin / CRITICAL_TEMPERATURE;
    a * libm::pow(1.0 - reduced, b + c * reduced + d * reduced * reduced)
}

/// The density of the liquid in kg/m³ at a temperature in K; within 0.0013 %.
pub fn liquid_density(kelvin: f64) -> f64 {
    let [a, b, c, d] = [378.1742501, 263.4267908, -279.1639646, 220.5645068];
    let t = 1.0 - kelvin / CRITICAL_TEMPERATURE;
    let third = libm::cbrt(t);
    CRITICAL_DENSITY + a * libm::pow(t, 0.35) + b * third * third + c * t + d * t * third
}

/// The density of the vapor above the liquid in kg/m³ at a temperature in K; within 0.0007 %.
pub fn vapor_density(kelvin: f64) -> f64 {
    let [a, b, c, d] = [-1.9928655, -2.898878044, -2.02811818, -2.067235958];
    let t = 1.0 - kelvin / CRITICAL_TEMPERATURE;
    let cube = t * t * t;
    let sum = a * libm::pow(t, 0.35) + b * libm::pow(t, 0.8) + c * cube * f64::sqrt(t) + d * cube * t * t;
    CRITICAL_DENSITY * libm::exp(CRITICAL_TEMPERATURE / kelvin * sum)
}

/// The specific heat of the liquid in J/(kg·K) at a temperature in K; within 0.0025 %.
pub fn liquid_heat(kelvin: f64) -> f64 {
    let [a, b, c, d] = [90.56571393, 2639.476465, -2326.865208, 1694.500274];
    let t = 1.0 - kelvin / CRITICAL_TEMPERATURE;
    a / t + b + c * t + d * t * t
}

/// Latent heat, density and specific heat of the liquid, together and quickly; within 2e-8 of
/// the plain functions from −45 to 50 °C, and outside as at the nearest of these.
pub(super) fn of_liquid(kelvin: f64) -> [f64; 3] {
    static LIQUID: LazyLock<Fitted<3, 13>> = LazyLock::new(|| {
        Fitted::new((COLDEST, HOTTEST), |kelvin| {
            [latent_heat(kelvin), liquid_density(kelvin), liquid_heat(kelvin)]
        })
    });
    LIQUID.at(kelvin)
}

/// K from °F.
pub fn kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit + 459.67) / 1.8
}

/// °F from K.
pub(crate) fn fahrenheit(kelvin: f64) -> f64 {
    kelvin * 1.8 - 459.67
}

/// psig from Pa.
pub fn gauge(pascals: f64) -> f64 {
    (pascals - ATMOSPHERE) / PSI
}

/// Pa from psig.
pub fn pascals(gauge: f64) -> f64 {
    gauge * PSI + ATMOSPHERE
}

/// K from °F, inside the range of the fits.
///
/// # Errors
/// A complaint about `argument` that names the range and the source.
pub(crate) fn kelvin_in_range(fahrenheit: f64, argument: usize) -> Result<f64, Complaint> {
    let within = (-49.0 - 1e-9..=122.0 + 1e-9).contains(&fahrenheit);
    if within {
        return Ok(kelvin(fahrenheit));
    }
    let message = format!(
        "propane at {} °F is outside −49 … 122 °F (−45 … 50 °C), which the fits to the equation of state cover (J. Chem. Eng. Data 54 (2009) 3141)",
        shown(fahrenheit)
    );
    Err(Complaint::outside(argument, message))
}

/// The boiling point in K under a pressure in psig, inside the range of the fits.
///
/// # Errors
/// A complaint about `argument` that names the range and the source.
pub(crate) fn boiling_in_range(psig: f64, argument: usize) -> Result<f64, Complaint> {
    let (low, high) = (gauge(saturation_pressure(COLDEST)), gauge(saturation_pressure(HOTTEST)));
    if (low - 1e-9..=high + 1e-9).contains(&psig) {
        return Ok(boiling_point(pascals(psig)));
    }
    let message = format!(
        "propane under {} psig is outside {} … {} psig (−45 … 50 °C), which the fits to the equation of state cover (J. Chem. Eng. Data 54 (2009) 3141)",
        shown(psig),
        shown(low),
        shown(high)
    );
    Err(Complaint::outside(argument, message))
}

const RANGE: &str = "pure propane, −45 … 50 °C (−49 … 122 °F); outside is a problem";

const TEMPERATURE: [Parameter; 1] = [Parameter::quantity(
    "temperature",
    "°F",
    "the temperature of the liquid, which while gas is drawn is below that of the air",
)
.usually(-40.0, 120.0)];

/// A property at a temperature, scaled to the unit of its declaration.
fn property<R: Real>(a: &Arguments<'_, R>, of: fn(f64) -> f64, unit: f64) -> Outcome<R> {
    let at = kelvin_in_range(a.number(0)?.to_binary(), 0)?;
    binary(of(at) / unit)
}

fn propane_pressure<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    property(a, |at| gauge(saturation_pressure(at)), 1.0)
}

fn propane_boiling<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let at = boiling_in_range(a.number(0)?.to_binary(), 0)?;
    binary(fahrenheit(at))
}

fn propane_latent_heat<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    property(a, latent_heat, BTU_PER_POUND)
}

fn propane_density<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    property(a, liquid_density, POUND_PER_GALLON)
}

fn propane_vapor_density<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    property(a, vapor_density, POUND_PER_CUBIC_FOOT)
}

fn propane_liquid_heat<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    property(a, liquid_heat, 1.8 * BTU_PER_POUND)
}

const PURE: &str = "Commercial propane starts 3–20 psi higher because its light ends leave first; what is left near the end may lie below the pure curve, so pure is not the safe side for the last quarter of a cylinder.";

/// The functions of this chapter.
pub(super) static FUNCTIONS: [Function; 6] = [
    Function {
        name: "propane_pressure",
        tells: &[Fact::UndoneBy("propane_boiling")],
        chapter: Chapter::Propane,
        summary: "vapor pressure of pure propane at a temperature of the liquid",
        parameters: &TEMPERATURE,
        result: ResultKind::Quantity("psig"),
        formula: "pc·exp(Tc/T·(a·t + b·t^1.5 + c·t^2.5 + d·t^5)) − 1 atm, t = 1 − T/Tc",
        sources: &[EQUATION_OF_STATE],
        range: RANGE,
        notes: "Counts from one standard atmosphere; `gauge_at` gives what a gauge shows at altitude. Commercial propane starts 3–20 psi higher because its light ends leave first; what is left near the end may lie below the pure curve, so pure is not the safe side for the last quarter of a cylinder.",
        cautions: &[&GAUGE_SHOWS_TEMPERATURE, &PURE_PROPANE],
        examples: &[
            example("propane_pressure(60 °F)", "93.02 psig"),
            example("propane_pressure(0 °F)", "23.69 psig"),
        ],
        body: rule!(propane_pressure),
        ..PLAIN
    },
    Function {
        name: "propane_boiling",
        tells: &[Fact::UndoneBy("propane_pressure")],
        chapter: Chapter::Propane,
        summary: "temperature at which pure propane boils under a pressure",
        parameters: &[
            Parameter::quantity("pressure", "psig", "the pressure above one standard atmosphere").usually(0.0, 200.0),
        ],
        result: ResultKind::Quantity("°F"),
        formula: "the temperature at which propane_pressure gives this pressure",
        sources: &[EQUATION_OF_STATE],
        range: "pure propane, −1.78 … 233.8 psig (−45 … 50 °C); outside is a problem",
        notes: PURE,
        cautions: &[&GAUGE_SHOWS_TEMPERATURE, &PURE_PROPANE],
        examples: &[
            example("propane_boiling(10 psig)", "-21.34 °F"),
            example("propane_boiling(0 psig)", "-43.80 °F"),
        ],
        body: rule!(propane_boiling),
        ..PLAIN
    },
    Function {
        name: "propane_latent_heat",
        chapter: Chapter::Propane,
        summary: "heat it takes to boil a pound of pure propane at a temperature",
        parameters: &TEMPERATURE,
        result: ResultKind::Quantity("BTU/lb"),
        formula: "a·(1 − Tr)^(b + c·Tr + d·Tr²), Tr = T/Tc",
        sources: &[
            EQUATION_OF_STATE,
            published("NFPA 58 property table prints 184 BTU/lb at the boiling point"),
        ],
        range: RANGE,
        notes: "Per gallon it is 887 BTU at the boiling point and 639 at 60 °F: a printed 773 multiplies the one by the density of the other.",
        examples: &[example("propane_latent_heat(60 °F)", "151.2 BTU/lb")],
        body: rule!(propane_latent_heat),
        ..PLAIN
    },
    Function {
        name: "propane_density",
        chapter: Chapter::Propane,
        summary: "weight of a gallon of pure liquid propane at a temperature",
        parameters: &TEMPERATURE,
        result: ResultKind::Quantity("lb/gal"),
        formula: "ρc + a·t^0.35 + b·t^(2/3) + c·t + d·t^(4/3), t = 1 − T/Tc",
        sources: &[
            EQUATION_OF_STATE,
            published("NFPA 58 property table prints 4.20 lb/gal at 60 °F"),
        ],
        range: RANGE,
        notes: "Tables for commercial propane print 4.20 or 4.24 lb/gal at 60 °F.",
        examples: &[
            example("propane_density(60 °F)", "4.228 lb/gal"),
            example("propane_density(0 °F)", "4.604 lb/gal"),
        ],
        body: rule!(propane_density),
        ..PLAIN
    },
    Function {
        name: "propane_vapor_density",
        chapter: Chapter::Propane,
        summary: "weight of a cubic foot of the vapor above liquid propane",
        parameters: &TEMPERATURE,
        result: ResultKind::Quantity("lb/ft3"),
        formula: "ρc·exp(Tc/T·(a·t^0.35 + b·t^0.8 + c·t^3.5 + d·t^5)), t = 1 − T/Tc",
        sources: &[EQUATION_OF_STATE],
        range: RANGE,
        notes: "Under its own pressure, not at one atmosphere.",
        examples: &[example("propane_vapor_density(60 °F)", "1.002 lb/ft3")],
        body: rule!(propane_vapor_density),
        ..PLAIN
    },
    Function {
        name: "propane_liquid_heat",
        chapter: Chapter::Propane,
        summary: "heat it takes to warm a pound of liquid propane by one degree",
        parameters: &TEMPERATURE,
        result: ResultKind::Quantity("BTU/(lb·F°)"),
        formula: "a/t + b + c·t + d·t², t = 1 − T/Tc",
        sources: &[EQUATION_OF_STATE],
        range: RANGE,
        notes: "The equation of state itself may be off by 0.5 % in heat capacity.",
        examples: &[example("propane_liquid_heat(60 °F)", "0.6265 BTU/(lb·F°)")],
        body: rule!(propane_liquid_heat),
        ..PLAIN
    },
];
