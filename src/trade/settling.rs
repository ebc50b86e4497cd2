//! Where a cylinder settles: the temperature at which as much heat flows in as boiling takes.
//!
//! For contents that stay as they are; how they fall, and the temperature with them, is
//! walked through by [`super::draw_down`]. In SI units. Start reading at [`settled`].

use super::draw_down::step::crossing;
use super::propane::{COLDEST, HOTTEST, latent_heat, liquid_density};

/// The wetted area in m² of an upright cylinder with a flat bottom: contents in
/// kg, inner diameter in m, temperature in K, dry wall that still conducts in m.
pub(crate) fn wetted(contents: f64, diameter: f64, kelvin: f64, reach: f64) -> f64 {
    if contents <= 0.0 {
        return 0.0;
    }
    let bottom = std::f64::consts::PI * diameter * diameter / 4.0;
    let height = contents / (liquid_density(kelvin) * bottom);
    bottom + std::f64::consts::PI * diameter * (height + reach)
}

/// Whether so little liquid lies in the dish of the bottom, in kg, m and K.
pub(crate) fn in_the_dish(contents: f64, diameter: f64, kelvin: f64) -> bool {
    let dish = std::f64::consts::PI * diameter * diameter * diameter / 24.0;
    contents > 0.0 && contents < dish * liquid_density(kelvin)
}

/// The heat that a cylinder takes in and gives off.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Balance {
    /// Inner diameter, in m.
    pub diameter: f64,
    /// How well the air gives heat to the wall, in W/(m²·K).
    pub film: f64,
    /// How far up the dry wall conducts, in m.
    pub wall_reach: f64,
    /// Heat from elsewhere, in W.
    pub extra_heat: f64,
}

impl Balance {
    /// Heat that flows in less what boiling takes, in W: contents in kg, temperatures of
    /// the liquid and the air in K, gas drawn in kg/s. The properties of propane are taken
    /// at the nearest temperature inside −45 … 50 °C.
    pub fn surplus(&self, contents: f64, kelvin: f64, air: f64, rate: f64) -> f64 {
        let inside = kelvin.clamp(COLDEST, HOTTEST);
        // the last of the liquid still wets the bottom
        let area = wetted(contents.max(f64::MIN_POSITIVE), self.diameter, inside, self.wall_reach);
        self.film * area * (air - kelvin) + self.extra_heat - rate * latent_heat(inside)
    }
}

/// Where a cylinder would settle if its contents stayed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Settled {
    /// At this temperature in K.
    At(f64),
    /// Nowhere: even at −45 °C more heat leaves than flows in.
    Deficit,
    /// Nowhere: up to 50 °C more heat flows in than leaves.
    Surplus,
}

/// The highest temperature from −45 to 50 °C at which the balance falls through zero as
/// the liquid warms: contents in kg, air in K, rate in kg/s.
pub fn settled(balance: &Balance, contents: f64, air: f64, rate: f64) -> Settled {
    let surplus = |kelvin: f64| balance.surplus(contents, kelvin, air, rate);
    let places = (0..=CELLS).rev();
    let places = places.map(|cell| COLDEST + (HOTTEST - COLDEST) * f64::from(cell) / f64::from(CELLS));
    let mut above: Option<(f64, f64)> = None;
    let mut here: Option<(f64, f64)> = None;
    for place in places {
        let below = (place, surplus(place));
        if let Some(here) = here
            && let Some(zero) = falling(&surplus, below, here, above)
        {
            return Settled::At(zero);
        }
        (above, here) = (here, Some(below));
    }
    match here {
        Some((_, coldest)) if coldest < 0.0 => Settled::Deficit,
        _ => Settled::Surplus,
    }
}

/// How many pieces of 1 K are looked at.
const CELLS: u32 = 95;

/// Where the surplus falls through zero between two neighboring places, or dips below
/// it about the second without showing at either.
fn falling(
    surplus: &impl Fn(f64) -> f64,
    below: (f64, f64),
    here: (f64, f64),
    above: Option<(f64, f64)>,
) -> Option<f64> {
    if below.1 >= 0.0 && here.1 < 0.0 {
        return Some(crossing(surplus, below.0, here.0));
    }
    let above = above.filter(|above| below.1 >= here.1 && here.1 >= 0.0 && above.1 >= here.1)?;
    let bottom = lowest(surplus, below.0, above.0);
    (surplus(bottom) < 0.0).then(|| crossing(surplus, below.0, bottom))
}

/// The lowest place of a dip, by the golden section.
fn lowest(of: &impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    const SHARE: f64 = 0.618_033_988_749_894_8;
    let (mut low, mut high) = (from, to);
    for _ in 0..48 {
        let (one, other) = (high - SHARE * (high - low), low + SHARE * (high - low));
        if of(one) < of(other) {
            high = other;
        } else {
            low = one;
        }
    }
    0.5 * (low + high)
}
