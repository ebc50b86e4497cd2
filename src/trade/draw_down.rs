//! The draw-down of a cylinder: how cold it gets while gas is drawn, and when that ends.
//!
//! One temperature for liquid and shell, heat only through the wetted wall and a
//! flat bottom: dm/dt = −r; (m·cp + steel·c)·dT/dt = U·A·(T_air − T) + Q − r·h.
//! Left out: the vapor's share, frost and condensation, the sun, limits of valve
//! and regulator. In SI units; who calls converts. The contents follow from the
//! rate in closed form; the temperature is integrated with error control, anew
//! from every breakpoint of the courses. Start reading at [`draw_down`]; where
//! the temperature would settle is [`settled`].

mod course;
mod refusal;
mod step;

pub use course::Course;
pub use refusal::Refusal;

use course::Line;
use step::{Stepped, crossing, step};

use super::propane::{COLDEST, HOTTEST, boiling_point, latent_heat, liquid_heat, saturation_pressure};
use super::vaporizing::wetted;
use crate::time_limit;

/// The temperature in K that a cylinder must stay under: 120 °F.
pub(crate) const TOO_HOT: f64 = (120.0 + 459.67) / 1.8;
/// The most rows that a run may ask for.
pub const MOST_ROWS: f64 = 20_000.0;

/// The longest step, in s: within it the path is still a good quartic.
const LONGEST_STEP: f64 = 900.0;
/// The error in K that one step may bring in.
const TOLERANCE: f64 = 1e-9;
/// How many steps may be tried, beside those that the breakpoints ask for.
const MOST_STEPS: usize = 200_000;
/// After so many steps it is looked whether the time of the run is up.
const STEPS_A_LOOK: usize = 1_000;

/// What a draw-down starts from, in SI units.
#[derive(Clone, PartialEq, Debug)]
pub struct Input {
    /// Propane in the cylinder, in kg; 0 is empty at once.
    pub contents: f64,
    /// Inner diameter, in m.
    pub diameter: f64,
    /// The shell, in kg; above zero.
    pub steel: f64,
    /// Specific heat of the shell, in J/(kg·K).
    pub steel_heat: f64,
    /// How well the air gives heat to the wall, in W/(m²·K).
    pub film: f64,
    /// How far up the dry wall conducts, in m; 0 leaves it out.
    pub wall_reach: f64,
    /// Heat from elsewhere, in W.
    pub extra_heat: f64,
    /// Temperature at the start, in K: from −45 °C to below 120 °F.
    pub start: f64,
    /// When to stop at the latest, in s.
    pub limit: f64,
    /// The time between two rows, in s.
    pub every: f64,
    /// The least pressure while gas is drawn, absolute, in Pa.
    pub least_pressure: f64,
    /// Temperature of the air, in K.
    pub air: Course,
    /// Gas drawn, in kg/s.
    pub rate: Course,
}

/// The cylinder at a moment.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Row {
    /// Seconds from the start.
    pub seconds: f64,
    /// Propane left, in kg.
    pub contents: f64,
    /// Temperature of liquid and shell, in K.
    pub kelvin: f64,
    /// Its saturation pressure, absolute, in Pa.
    pub pascals: f64,
    /// Gas drawn from then on, in kg/s; in the last row, up to then.
    pub rate: f64,
}

/// Why a run ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    /// Nothing is left.
    Empty,
    /// The pressure fell to the least, or was below it when drawing began.
    Pressure,
    /// The cylinder reached 120 °F.
    Hot,
    /// The cylinder cooled to −45 °C, below which the fits end.
    TooCold,
    /// The time was up.
    TimeLimit,
}

impl End {
    /// Every end, in the order of this list.
    pub const ALL: [End; 5] = [End::Empty, End::Pressure, End::Hot, End::TooCold, End::TimeLimit];

    /// As shown.
    pub fn word(self) -> &'static str {
        match self {
            End::Empty => "empty",
            End::Pressure => "pressure",
            End::Hot => "hot",
            End::TooCold => "too cold",
            End::TimeLimit => "time limit",
        }
    }
}

/// A run from start to end.
#[derive(Clone, PartialEq, Debug)]
pub struct Drawn {
    /// A row every so often, and the end; never empty.
    pub rows: Vec<Row>,
    /// Why it ended.
    pub end: End,
}

/// Runs a cylinder down; within 1e-6 K and 1e-3 s of the exact solution.
///
/// # Errors
/// What can't be worked out, and which input is at fault.
pub fn draw_down(input: &Input) -> Result<Drawn, Refusal> {
    input.check()?;
    let mut walk = Walk::new(input);
    let mut from = 0.0;
    for to in breakpoints(input) {
        if let Some(end) = walk.through(&walk.piece(from, to))? {
            return Ok(walk.drawn(end));
        }
        from = to;
    }
    Ok(walk.drawn(End::TimeLimit))
}

/// The ends of the pieces on which both courses are straight; the last is the limit.
fn breakpoints(input: &Input) -> Vec<f64> {
    let both = input.air.breakpoints().chain(input.rate.breakpoints());
    let mut seconds: Vec<f64> = both
        .filter(|seconds| *seconds > 0.0 && *seconds < input.limit)
        .collect();
    seconds.push(input.limit);
    seconds.sort_by(f64::total_cmp);
    seconds.dedup();
    seconds
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

/// A stretch of the run on which both courses are straight.
#[derive(Clone, Copy)]
struct Piece {
    from: f64,
    length: f64,
    air: Line,
    rate: Line,
    contents: f64,
}

impl Piece {
    fn rate(&self, elapsed: f64) -> f64 {
        self.rate.at(elapsed).max(0.0)
    }

    fn contents(&self, elapsed: f64) -> f64 {
        (self.contents - self.rate.sum(elapsed)).max(0.0)
    }

    /// Whether gas is drawn inside it.
    fn draws(&self) -> bool {
        self.rate.start > 0.0 || self.rate.slope > 0.0
    }

    /// When the contents run out, where they do.
    fn empty(&self) -> Option<f64> {
        let seconds = self.rate.seconds_for(self.contents);
        let within = seconds <= self.length * (1.0 + 1e-12);
        within.then(|| seconds.min(self.length))
    }
}

/// The state of a run.
struct Walk<'a> {
    input: &'a Input,
    balance: Balance,
    /// The boiling point under the least pressure, in K.
    least: f64,
    rows: Vec<Row>,
    kelvin: f64,
    contents: f64,
    /// The length that the next step may have, in s.
    stride: f64,
    steps_left: usize,
    steps: usize,
}

impl Walk<'_> {
    fn new(input: &Input) -> Walk<'_> {
        Walk {
            input,
            balance: Balance {
                diameter: input.diameter,
                film: input.film,
                wall_reach: input.wall_reach,
                extra_heat: input.extra_heat,
            },
            least: boiling_under(input.least_pressure),
            rows: Vec::new(),
            kelvin: input.start,
            contents: input.contents,
            stride: 60.0,
            steps_left: MOST_STEPS,
            steps: 0,
        }
    }

    fn drawn(self, end: End) -> Drawn {
        Drawn { rows: self.rows, end }
    }

    fn piece(&self, from: f64, to: f64) -> Piece {
        Piece {
            from,
            length: to - from,
            air: self.input.air.line(from),
            rate: self.input.rate.line(from),
            contents: self.contents,
        }
    }

    /// Goes through a piece; gives the end where the run ends in it.
    fn through(&mut self, piece: &Piece) -> Result<Option<End>, Refusal> {
        if piece.contents <= 0.0 {
            return Ok(Some(self.ended(piece, 0.0, End::Empty)));
        }
        if piece.draws() && self.kelvin <= self.least {
            return Ok(Some(self.ended(piece, 0.0, End::Pressure)));
        }
        let empty = piece.empty();
        let length = empty.unwrap_or(piece.length);
        if let Some((elapsed, end)) = self.integrate(piece, length)? {
            return Ok(Some(self.ended(piece, elapsed, end)));
        }
        self.contents = piece.contents(length);
        if empty.is_some() {
            return Ok(Some(self.ended(piece, length, End::Empty)));
        }
        let last = piece.from + piece.length >= self.input.limit;
        Ok(last.then(|| self.ended(piece, length, End::TimeLimit)))
    }

    /// Integrates over a stretch of a piece, writing rows; stops where the temperature ends the run.
    fn integrate(&mut self, piece: &Piece, length: f64) -> Result<Option<(f64, End)>, Refusal> {
        self.steps_left += 1;
        let mut elapsed = 0.0;
        let mut slope = self.slope(piece, 0.0, self.kelvin);
        while elapsed < length {
            self.count_step()?;
            let left = length - elapsed;
            let stride = self.stride.min(LONGEST_STEP);
            let last = stride >= left;
            let stride = if last {
                left
            } else {
                stride.min(0.5 * left).max(0.5 * stride)
            };
            let next = step(
                |after, kelvin| self.slope(piece, elapsed + after, kelvin),
                self.kelvin,
                slope,
                stride,
            );
            if !self.accepts(&next, stride, last) {
                continue;
            }
            let event = self.event(piece, &next);
            let until = event.map_or(stride, |(place, _)| place * stride);
            self.write(piece, (elapsed, stride), elapsed + until, &next);
            if let Some((place, end)) = event {
                self.kelvin = next.path.at(place);
                return Ok(Some((elapsed + until, end)));
            }
            elapsed = if last { length } else { elapsed + stride };
            (self.kelvin, slope) = (next.value, next.slope);
        }
        Ok(None)
    }

    /// One step fewer is left; the clock is looked at now and then.
    fn count_step(&mut self) -> Result<(), Refusal> {
        self.steps_left = self.steps_left.checked_sub(1).ok_or(Refusal::TooManySteps)?;
        self.steps += 1;
        match self.steps.is_multiple_of(STEPS_A_LOOK) && time_limit::is_up() {
            true => Err(Refusal::OutOfTime),
            false => Ok(()),
        }
    }

    /// How fast the temperature rises, in K/s.
    fn slope(&self, piece: &Piece, elapsed: f64, kelvin: f64) -> f64 {
        let contents = piece.contents(elapsed);
        let surplus = self
            .balance
            .surplus(contents, kelvin, piece.air.at(elapsed), piece.rate(elapsed));
        let liquid = contents * liquid_heat(kelvin.clamp(COLDEST, HOTTEST));
        surplus / (liquid + self.input.steel * self.input.steel_heat)
    }

    /// Whether a step is good enough; sets the length of the next one.
    fn accepts(&mut self, next: &Stepped, stride: f64, last: bool) -> bool {
        let good = next.error <= TOLERANCE;
        let factor = 0.9 * libm::pow(TOLERANCE / next.error.max(TOLERANCE * 1e-6), 0.2);
        let factor = if factor.is_nan() { 0.2 } else { factor.clamp(0.2, 5.0) };
        let wanted = stride * factor;
        // a step cut short by the end of a piece says nothing against a longer one
        self.stride = if good && last { wanted.max(self.stride) } else { wanted };
        good
    }

    /// The first place of a step at which the temperature ends the run.
    fn event(&self, piece: &Piece, next: &Stepped) -> Option<(f64, End)> {
        let (floor, cold) = if piece.draws() && self.least >= COLDEST {
            (self.least, End::Pressure)
        } else {
            (COLDEST, End::TooCold)
        };
        let low = next.path.first_down_to(floor).map(|place| (place, cold));
        let high = next.path.mirrored().first_down_to(-TOO_HOT);
        let high = high.map(|place| (place, End::Hot));
        match (low, high) {
            (Some(low), Some(high)) if high.0 < low.0 => Some(high),
            (low, high) => low.or(high),
        }
    }

    /// Writes the rows that are due in a step (its start and length) before a time, all
    /// counted from the start of the piece.
    fn write(&mut self, piece: &Piece, (start, stride): (f64, f64), until: f64, next: &Stepped) {
        let apart = self.input.every.min(0.1) * 1e-3;
        loop {
            let seconds = self.rows.len() as f64 * self.input.every;
            let elapsed = seconds - piece.from;
            if elapsed >= until - apart {
                return;
            }
            let kelvin = next.path.at((elapsed - start) / stride);
            self.push(piece, seconds, elapsed, kelvin);
        }
    }

    fn ended(&mut self, piece: &Piece, elapsed: f64, end: End) -> End {
        let seconds = match end {
            End::TimeLimit => self.input.limit,
            _ => piece.from + elapsed,
        };
        self.push(piece, seconds, elapsed, self.kelvin);
        if let (End::Empty, Some(row)) = (end, self.rows.last_mut()) {
            row.contents = 0.0;
        }
        end
    }

    fn push(&mut self, piece: &Piece, seconds: f64, elapsed: f64, kelvin: f64) {
        self.rows.push(Row {
            seconds,
            contents: piece.contents(elapsed),
            kelvin,
            pascals: saturation_pressure(kelvin.clamp(COLDEST, HOTTEST)),
            rate: piece.rate(elapsed),
        });
    }
}

/// The boiling point in K under a pressure in Pa; infinitely far where it lies outside the fits.
fn boiling_under(pascals: f64) -> f64 {
    if pascals < saturation_pressure(COLDEST) {
        f64::NEG_INFINITY
    } else if pascals > saturation_pressure(HOTTEST) {
        f64::INFINITY
    } else {
        boiling_point(pascals)
    }
}
