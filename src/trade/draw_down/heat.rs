//! The heat that air hands to a cylinder, part by part, at one moment.
//!
//! The wetted wall takes convection and radiation, and in moist air what settles
//! on it; frost lies between its face and the steel. The dry wall above the
//! liquid is a fin with the film of the wetted one: within 3 % of a fin with dew
//! and frost of its own, integrated apart. Start reading at [`Shell::heat`].

use std::cell::Cell;
use std::f64::consts::PI;

use super::super::wall::{FREEZING, Film, Setting, radiative, settles, vapor_in_air};
use super::step::falls_to_zero;
use super::{FilmBy, Input, WallReach};

/// Frost's conductivity in W/(m·K) over its density in kg/m³, as a polynomial: Yonko and
/// Sepsy, ASHRAE Transactions 73 (1967), from memory.
const CONDUCTS: [f64; 3] = [0.02422, 7.214e-4, 1.1797e-6];
/// Of ice, in kg/m³.
const ICE: f64 = 917.0;

/// The density of frost that conducts so well, in kg/m³; none where it conducts no more than air.
pub(super) fn frost_density(conductivity: f64) -> Option<f64> {
    let [a, b, c] = CONDUCTS;
    let density = (f64::sqrt(b * b + 4.0 * c * (conductivity - a)) - b) / (2.0 * c);
    (density > 0.0).then_some(density.min(ICE))
}

/// How thick so much frost in kg/m² lies that conducts so well, in m.
pub fn frost_thickness(frost: f64, conductivity: f64) -> f64 {
    frost / frost_density(conductivity).unwrap_or(ICE)
}

/// The air at a moment.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Weather {
    /// In K.
    pub air: f64,
    /// In m/s.
    pub wind: f64,
    /// Relative to liquid water, as a share; none where moisture is left out.
    pub humidity: Option<f64>,
}

impl Weather {
    /// Whether it is the same but for rounding.
    pub(super) fn is_like(&self, other: &Weather) -> bool {
        let near = |one: f64, other: f64| (one - other).abs() <= 1e-12 * one.abs();
        let [one, two] = [self, other].map(|weather| weather.humidity.unwrap_or(-1.0));
        near(self.air, other.air) && near(self.wind, other.wind) && near(one, two)
    }
}

/// The heat that flows into a cylinder from the air, in W.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Heat {
    /// Through the wetted wall, by convection.
    pub convection: f64,
    /// Through the wetted wall, by radiation.
    pub radiation: f64,
    /// Through the wetted wall, from what settles on it.
    pub moisture: f64,
    /// Down the dry wall.
    pub dry_wall: f64,
    /// Through the bottom.
    pub bottom: f64,
    /// All of it for each square meter of wetted wall and kelvin between air and steel; none where
    /// they are equally warm.
    pub film: Option<f64>,
    /// What freezes on the wall, in kg/(m²·s).
    pub frosting: f64,
}

impl Heat {
    /// All of it.
    pub fn sum(&self) -> f64 {
        self.convection + self.radiation + self.moisture + self.dry_wall + self.bottom
    }
}

/// What a square meter of wall takes, in W/m².
#[derive(Clone, Copy)]
struct Face {
    convection: f64,
    radiation: f64,
    moisture: f64,
    frosting: f64,
    /// Convection and radiation together, in W/(m²·K).
    dry: f64,
}

impl Face {
    fn sum(&self) -> f64 {
        self.convection + self.radiation + self.moisture
    }

    /// The same on the straight line from another, so many times as far on.
    fn beyond(&self, other: &Face, times: f64) -> Face {
        let on = |part: fn(&Face) -> f64| part(self) + times * (part(self) - part(other));
        Face {
            convection: on(|face| face.convection),
            radiation: on(|face| face.radiation),
            moisture: on(|face| face.moisture),
            frosting: on(|face| face.frosting).max(0.0),
            dry: on(|face| face.dry),
        }
    }
}

/// Within so many kelvin what the face of the frost takes is a straight line.
const STRAIGHT: f64 = 2e-3;

/// A shell as the air meets it.
pub(super) struct Shell {
    setting: Setting,
    /// The film in W/(m²·K) where it doesn't follow from the wind.
    film: Option<f64>,
    convection: f64,
    bottom: f64,
    wall_reach: WallReach,
    /// Conductivity times density of the frost.
    frost: f64,
    /// Where the face of the frost last stood between steel (0) and air (1), and how much
    /// less it took for each kelvin that it was warmer, in W/(m²·K).
    stood: Cell<(f64, f64)>,
}

impl Shell {
    pub(super) fn new(input: &Input) -> Shell {
        Shell {
            setting: Setting {
                diameter: input.diameter,
                height: input.height,
                emissivity: input.emissivity,
            },
            film: match input.film {
                FilmBy::Value(film) => Some(film),
                FilmBy::Wind(_) => None,
            },
            convection: input.convection,
            bottom: input.bottom,
            wall_reach: input.wall_reach,
            frost: input.frost * frost_density(input.frost).unwrap_or(ICE),
            stood: Cell::new((0.0, 10.0)),
        }
    }

    /// The heat into a cylinder with so much `liquid` in m³ at a temperature in K, and so much
    /// frost on its wall in kg/m².
    pub(super) fn heat(&self, liquid: f64, kelvin: f64, frost: f64, weather: &Weather) -> Heat {
        let diameter = self.setting.diameter;
        let base = PI * diameter * diameter / 4.0;
        // the last of the liquid still wets the bottom
        let depth = liquid.max(f64::MIN_POSITIVE) / base;
        let resistance = frost / self.frost;
        let face = self.face(kelvin, resistance, weather);
        let apart = weather.air - kelvin;
        let film = (apart != 0.0).then(|| face.sum() / apart);
        let reach = self.reach(depth, film, face.dry, resistance);
        let around = PI * diameter;
        Heat {
            convection: face.convection * around * depth,
            radiation: face.radiation * around * depth,
            moisture: face.moisture * around * depth,
            dry_wall: face.sum() * around * reach,
            bottom: face.sum() * base * self.bottom,
            film,
            frosting: face.frosting,
        }
    }

    /// How much dry wall counts as wetted, in m.
    fn reach(&self, depth: f64, film: Option<f64>, dry: f64, resistance: f64) -> f64 {
        let conducts = match self.wall_reach {
            WallReach::Length(reach) => return reach,
            WallReach::Fin(conducts) => conducts,
        };
        let least = dry / (1.0 + dry * resistance);
        // where the steel is warmer than the air nothing settles
        let film = film.map_or(least, |film| film.max(least));
        let reach = f64::sqrt(conducts / film);
        let dry = (self.setting.height - depth).max(0.0);
        // the hyperbolic tangent, of what isn't small
        reach * (1.0 - 2.0 / (libm::exp(2.0 * dry / reach) + 1.0))
    }

    /// What the wall takes, through frost that lets 1/`resistance` W/(m²·K) pass.
    fn face(&self, kelvin: f64, resistance: f64, weather: &Weather) -> Face {
        let vapor = weather.humidity.map(|humidity| vapor_in_air(weather.air, humidity));
        let frozen = (FREEZING - kelvin).clamp(0.0, 1.0);
        let takes = |surface: f64| self.takes(surface, weather, vapor, frozen);
        if resistance <= 0.0 {
            return takes(kelvin);
        }
        let apart = weather.air - kelvin;
        let (share, less) = self.stood.get();
        let guess = kelvin + share * apart;
        let first = takes(guess);
        // what passes through the frost is what the air hands to its face
        let off = |face: &Face, surface: f64| kelvin + resistance * face.sum() - surface;
        let near = guess + off(&first, guess) / (1.0 + resistance * less);
        let mut face = takes(near);
        let slope = (first.sum() - face.sum()) / (near - guess);
        let less = if slope > 0.0 { slope } else { face.dry };
        let moved = off(&face, near) / (1.0 + resistance * less);
        let surface = if moved.abs() < STRAIGHT && slope > 0.0 {
            face = face.beyond(&first, moved / (near - guess));
            near + moved
        } else {
            falls_to_zero(
                |surface| {
                    face = takes(surface);
                    off(&face, surface)
                },
                (kelvin.min(weather.air), kelvin.max(weather.air) + 20.0),
                (near, -1.0 - resistance * less),
                1e-8,
            )
        };
        if apart.abs() > 1e-3 {
            self.stood.set((((surface - kelvin) / apart).clamp(0.0, 1.0), less));
        }
        face
    }

    fn takes(&self, surface: f64, weather: &Weather, vapor: Option<f64>, frozen: f64) -> Face {
        let (convective, radiative, carries) = match self.film {
            Some(film) => {
                let radiative = radiative(self.setting.emissivity, weather.air, surface).min(film);
                (film - radiative, radiative, None)
            }
            None => {
                let film = Film::new(&self.setting, weather.air, surface, weather.wind);
                let convective = self.convection * film.convective();
                (convective, film.radiative, Some(film.carries))
            }
        };
        let apart = weather.air - surface;
        let settled = vapor.map(|vapor| settles((convective, carries), weather.air, surface, (vapor, frozen)));
        // frost grows no more where its face comes to freezing
        let growing = frozen * (FREEZING - surface).clamp(0.0, 1.0);
        Face {
            convection: convective * apart,
            radiation: radiative * apart,
            moisture: settled.map_or(0.0, |settled| settled.heat),
            frosting: settled.map_or(0.0, |settled| settled.vapor * growing),
            dry: convective + radiative,
        }
    }
}
