//! What air hands to the cold wall of an upright shell: convection, radiation, moisture.
//!
//! Published correlations for a vertical wall (Churchill and Chu) and for flow
//! across a cylinder (Churchill and Bernstein), a gray wall in surroundings at
//! the air's temperature, and water vapor by the likeness of heat and mass
//! transfer. Dry air at one atmosphere, taken at the mean of air and wall. In SI
//! units. Start reading at [`Film::new`]; who walks through time is `draw_down`.

use std::sync::LazyLock;

use crate::number::Real;

use super::air::{over_ice, over_water};
use super::declare::{PLAIN, binary, computed, example, remembered, rule, shown};
use super::fitted::Fitted;
use super::propane::{INCH, kelvin};
use super::{Arguments, Chapter, Complaint, Function, Outcome, Parameter, Remark, ResultKind, Source};

/// The lowest and the highest temperature of air and wall, in K: −45 and 60 °C.
pub(crate) const RANGE: (f64, f64) = (228.15, 333.15);
/// Freezing, in K.
pub const FREEZING: f64 = 273.15;
/// One mile an hour, in m/s.
pub const MILE_PER_HOUR: f64 = 0.447_04;

const GRAVITY: f64 = 9.80665;
const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
/// Of water vapor, in J/(kg·K).
const VAPOR_CONSTANT: f64 = 461.5;
/// Of water at freezing, in J/kg, and how it falls with each K above.
const EVAPORATION: (f64, f64) = (2.501e6, 2_361.0);
/// What freezing gives besides, in J/kg.
const FUSION: f64 = 3.335e5;

/// Dry air at one atmosphere.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Air {
    kelvin: f64,
    /// In W/(m·K); the fit is within 0.013 %.
    pub conductivity: f64,
    /// In m²/s; within 0.0012 %.
    pub viscosity: f64,
    /// Viscosity over thermal diffusivity; within 0.007 %.
    pub prandtl: f64,
}

impl Air {
    /// At a temperature in K, from −60 to 60 °C: fits to values of a reference equation
    /// of state.
    pub fn at(kelvin: f64) -> Air {
        let x = kelvin / 273.15;
        Air {
            kelvin,
            conductivity: 7.464988e-5 + x * (0.02762899 - x * 0.003342411),
            viscosity: -7.665248e-7 + x * (2.795774e-6 + x * (1.270991e-5 - x * 1.423333e-6)),
            prandtl: 0.7955059 - x * (0.1265506 - x * 0.041864),
        }
    }

    /// Rayleigh's number for a wall of 1 m that is 1 K off.
    fn rayleigh(&self) -> f64 {
        GRAVITY / self.kelvin / (self.viscosity * self.viscosity) * self.prandtl
    }

    /// How well it carries vapor to a wall, in m/s, for each W/(m²·K) of convection.
    fn carries(&self) -> f64 {
        let thermal = self.viscosity / self.prandtl;
        let lewis = thermal / diffusivity(self.kelvin);
        // conductivity over thermal diffusivity is density times specific heat
        thermal / self.conductivity / libm::cbrt(lewis * lewis)
    }
}

/// What the correlations take of air between −60 and 80 °C: conductivity, 1/viscosity, what
/// a wall of 1 m that is 1 K off adds to the root of Nusselt's number, what stands before the
/// root of Reynolds's, and how well vapor is carried. Within 3e-8 of what they are made of.
static TAKEN: LazyLock<Fitted<5, 10>> = LazyLock::new(|| {
    Fitted::new((213.15, 353.15), |kelvin| {
        let air = Air::at(kelvin);
        [
            air.conductivity,
            1.0 / air.viscosity,
            f64::sqrt(natural_nusselt(air.rayleigh(), air.prandtl)) - STILL,
            crosses(air.prandtl),
            air.carries(),
        ]
    })
});

/// The last of these alone, for a film that doesn't follow from them.
static CARRIES: LazyLock<Fitted<1, 10>> =
    LazyLock::new(|| Fitted::new((213.15, 353.15), |kelvin| [Air::at(kelvin).carries()]));

/// The root of Nusselt's number where air and wall are equally warm.
const STILL: f64 = 0.825;

/// Of water vapor in air, in m²/s.
fn diffusivity(kelvin: f64) -> f64 {
    2.26e-5 * libm::pow(kelvin / 273.15, 1.81)
}

/// Nusselt's number of natural convection on a vertical wall, by its length.
pub fn natural_nusselt(rayleigh: f64, prandtl: f64) -> f64 {
    let of_air = libm::pow(1.0 + libm::pow(0.492 / prandtl, 9.0 / 16.0), 8.0 / 27.0);
    let root = STILL + 0.387 * f64::sqrt(libm::cbrt(rayleigh)) / of_air;
    root * root
}

/// Nusselt's number of flow across a cylinder, by its diameter.
pub fn cross_flow_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    across(reynolds, crosses(prandtl))
}

fn crosses(prandtl: f64) -> f64 {
    let third = libm::cbrt(0.4 / prandtl);
    0.62 * libm::cbrt(prandtl) / f64::sqrt(f64::sqrt(1.0 + third * third))
}

fn across(reynolds: f64, crosses: f64) -> f64 {
    let half = f64::sqrt(reynolds / 282_000.0);
    let eighth = f64::sqrt(f64::sqrt(half));
    0.3 + crosses * f64::sqrt(reynolds) * libm::exp(0.8 * libm::log(1.0 + half * eighth))
}

/// A shell and the air along it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Setting {
    /// The outer diameter, in m.
    pub diameter: f64,
    /// The length of the shell, in m.
    pub height: f64,
    /// The share of a black wall's radiation.
    pub emissivity: f64,
}

/// What the air gives to each square meter and kelvin, by its parts, in W/(m²·K).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Film {
    /// By air that sinks along the cold wall.
    pub natural: f64,
    /// By wind.
    pub forced: f64,
    /// By radiation.
    pub radiative: f64,
    /// How well the air carries vapor, in m/s for each W/(m²·K) of convection.
    pub(super) carries: f64,
}

impl Film {
    /// Of air and wall in K and wind in m/s.
    pub fn new(setting: &Setting, air: f64, wall: f64, wind: f64) -> Film {
        let [conductivity, fluidity, rises, crosses, carries] = TAKEN.at(0.5 * (air + wall));
        let root = STILL + rises * f64::sqrt(libm::cbrt((air - wall).abs()) * setting.height);
        let forced = if wind > 0.0 {
            let reynolds = wind * setting.diameter * fluidity;
            conductivity / setting.diameter * across(reynolds, crosses)
        } else {
            0.0
        };
        Film {
            natural: conductivity / setting.height * root * root,
            forced,
            radiative: radiative(setting.emissivity, air, wall),
            carries,
        }
    }

    /// Natural and forced convection together: the fourth root of the sum of their fourth
    /// powers, as for streams that cross.
    pub fn convective(&self) -> f64 {
        let fourth = |part: f64| part * part * part * part;
        f64::sqrt(f64::sqrt(fourth(self.natural) + fourth(self.forced)))
    }
}

/// What radiation gives, in W/(m²·K).
pub fn radiative(emissivity: f64, air: f64, wall: f64) -> f64 {
    emissivity * STEFAN_BOLTZMANN * (air * air + wall * wall) * (air + wall)
}

/// Water vapor in the air, in kg/m³: K, and humidity relative to liquid water as a share.
pub fn vapor_in_air(air: f64, humidity: f64) -> f64 {
    humidity * over_water(air) / (VAPOR_CONSTANT * air)
}

/// What vapor settles on a cold surface.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Settling {
    /// In kg/(m²·s).
    pub vapor: f64,
    /// The heat it brings, in W/m².
    pub heat: f64,
}

/// What settles on a surface in K out of air with so much vapor in kg/m³, where convection
/// gives so much heat in W/(m²·K); `frozen` is the share that freezes. Nothing evaporates.
pub fn settling(convection: f64, air: f64, surface: f64, vapor: f64, frozen: f64) -> Settling {
    settles((convection, None), air, surface, (vapor, frozen))
}

/// The same, with how well the air carries vapor where that is known already.
pub(super) fn settles(
    (convection, carries): (f64, Option<f64>),
    air: f64,
    surface: f64,
    (vapor, frozen): (f64, f64),
) -> Settling {
    let over = if surface < FREEZING {
        over_ice(surface)
    } else {
        over_water(surface)
    };
    let more = vapor - over / (VAPOR_CONSTANT * surface);
    if more <= 0.0 {
        return Settling { vapor: 0.0, heat: 0.0 };
    }
    let carries = carries.unwrap_or_else(|| {
        let [carries] = CARRIES.at(0.5 * (air + surface));
        carries
    });
    let vapor = convection * carries * more;
    let latent = EVAPORATION.0 - EVAPORATION.1 * (surface - FREEZING).max(0.0) + FUSION * frozen;
    Settling {
        vapor,
        heat: vapor * latent,
    }
}

/// A temperature in K inside the range of the air's fits.
fn in_range(fahrenheit: f64, argument: usize, name: &str) -> Outcome<f64> {
    let at = kelvin(fahrenheit);
    if (RANGE.0 - 1e-9..=RANGE.1 + 1e-9).contains(&at) {
        return Ok(at);
    }
    let message = format!(
        "`{name}` of {} °F is outside −49 … 140 °F (−45 … 60 °C), which the fits to air cover",
        shown(fahrenheit)
    );
    Err(Complaint::outside(argument, message))
}

fn film_parts<R: Real>(a: &Arguments<'_, R>) -> Outcome<Film> {
    let setting = Setting {
        diameter: a.positive(0, "diameter")?.to_binary() * INCH,
        height: a.positive(1, "height")?.to_binary() * INCH,
        emissivity: a.percentage(5, "emissivity")?.to_binary() / 100.0,
    };
    let air = in_range(a.number(2)?.to_binary(), 2, "air")?;
    let wall = in_range(a.number(3)?.to_binary(), 3, "wall")?;
    let wind = a.not_negative(4, "wind")?.to_binary() * MILE_PER_HOUR;
    Ok(Film::new(&setting, air, wall, wind))
}

fn film_in_air<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let film = film_parts(a)?;
    binary(film.convective() + film.radiative)
}

/// Its parts, so that a reader sees what wind would bring.
fn appraise_film(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let Ok(film) = film_parts(a) else {
        return Vec::new();
    };
    let text = format!(
        "{} {} by natural convection, {} by wind, {} by radiation, in W/(m2·C°).",
        super::caution::BARE_FILM.text,
        shown(film.natural),
        shown(film.forced),
        shown(film.radiative)
    );
    vec![Remark::new(&super::caution::BARE_FILM, text)]
}

/// Where the film of moving and still air comes from.
pub(super) const CORRELATIONS: [Source; 3] = [
    remembered("Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323: natural convection on a vertical wall"),
    remembered("Churchill and Bernstein, J. Heat Transfer 99 (1977) 300: flow across a cylinder"),
    computed("fits to dry air of CoolProp 8.0.0 at one atmosphere"),
];

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 1] = [Function {
    name: "film_in_air",
    chapter: Chapter::Vaporizing,
    summary: "how well air gives heat to the wall of an upright shell, still or in wind",
    parameters: &[
        Parameter::quantity("diameter", "in", "the outside diameter of the shell").usually(8.0, 15.0),
        Parameter::quantity(
            "height",
            "in",
            "the pressure shell head to head, not the height of the liquid",
        )
        .usually(9.0, 50.0),
        Parameter::quantity("air", "°F", "the temperature of the air").usually(-40.0, 110.0),
        Parameter::quantity("wall", "°F", "the temperature of the wall").usually(-40.0, 110.0),
        WIND,
        EMISSIVITY,
    ],
    result: ResultKind::Quantity("W/(m2·C°)"),
    formula: "(natural⁴ + forced⁴)^(1/4) + radiation; natural k/height·(0.825 + 0.387·Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))²; forced k/diameter·(0.3 + 0.62·Re^(1/2)·Pr^(1/3)/(1 + (0.4/Pr)^(2/3))^(1/4)·(1 + (Re/282 000)^(5/8))^(4/5)); radiation emissivity·σ·(air² + wall²)·(air + wall)",
    sources: &[
        CORRELATIONS[0],
        CORRELATIONS[1],
        CORRELATIONS[2],
        remembered("fourth powers for streams that cross, as heat transfer textbooks print"),
    ],
    range: "air and wall −49 … 140 °F (−45 … 60 °C), one atmosphere; outside is a problem",
    rule_error: Some("20 % in its convection"),
    notes: "A dry, bare wall. As the wall cools it changes: `draw_down` follows it with `wind:`. Surroundings are as warm as the air; a clear sky takes 0.2 to 0.4 h of a draw-down.",
    examples: &[
        example(
            "film_in_air(12.2 in, 13.9 in, 45 °F, 20 °F, wind: 0 mph)",
            "8.230 W/(m2·C°)",
        ),
        example(
            "film_in_air(12.2 in, 13.9 in, 45 °F, 20 °F, wind: 5 mph)",
            "15.31 W/(m2·C°)",
        ),
    ],
    body: rule!(film_in_air),
    appraise: Some(appraise_film),
    ..PLAIN
}];

const WIND: Parameter =
    Parameter::quantity("wind", "mph", "the wind at the cylinder; 0 mph is calm").usually(0.0, 25.0);
/// Of painted steel and of frost.
pub(super) const EMISSIVITY: Parameter = Parameter::quantity(
    "emissivity",
    "%",
    "the share of a black wall's radiation: paint and frost 90 %, bare aluminum 10 %",
)
.or("90 %")
.usually(5.0, 97.0);
