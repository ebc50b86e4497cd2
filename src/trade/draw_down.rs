//! The draw-down of a cylinder: how cold it gets while gas is drawn, and when that ends.
//!
//! One temperature for liquid and shell, heat through the wetted wall, the dry one
//! above it and a flat bottom: dm/dt = −r; (m·cp + steel·c)·dT/dt = heat of the
//! air + Q − r·h. Left out: the vapor's side, the sun and the sky, limits of valve
//! and regulator. In SI units; who calls converts. The contents follow from the
//! rate in closed form; temperature and frost are integrated with error control,
//! anew from every breakpoint of the courses. Start reading at [`draw_down`]; what
//! the air gives is in `heat`, where the temperature would settle is `settling`.

mod course;
mod heat;
mod refusal;
pub(super) mod step;

pub use course::Course;
pub use heat::{Heat, frost_thickness};
pub use refusal::Refusal;

use std::cell::Cell;

use course::Line;
use heat::{Shell, Weather};
use step::{State, Stepped, short_step, step};

use super::propane::{COLDEST, HOTTEST, boiling_point, of_liquid, saturation_pressure};
use super::wall::FREEZING;
use crate::time_limit;

/// The temperature in K that a cylinder must stay under: 120 °F.
pub(crate) const TOO_HOT: f64 = (120.0 + 459.67) / 1.8;
/// The most rows that a run may ask for.
pub const MOST_ROWS: f64 = 20_000.0;

/// The longest step, in s: within it the path is still a good quartic.
const LONGEST_STEP: f64 = 900.0;
/// The error in K that one step may bring in.
const TOLERANCE: f64 = 1e-8;
/// The same of what has frozen, in kg/m².
const FROST_TOLERANCE: f64 = 1e-7;
/// How many steps may be tried, beside those that the breakpoints ask for.
const MOST_STEPS: usize = 200_000;
/// So many seconds between two breakpoints, again and again, are one short step each.
const SHORT: f64 = 150.0;
/// So many of them are the work of one.
const SHORT_STEPS_A_STEP: usize = 3;
/// A short step is halved until it is this share of that.
const SHORTEST: f64 = 0.1;
/// What a short step is estimated to err by, in K and in kg/m²: it errs by far less.
const SHORT_TOLERANCE: State = [1e-4, 3e-6];
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
    /// How well the air gives heat to the wall.
    pub film: FilmBy,
    /// How much of convection by the correlations is taken, as a share.
    pub convection: f64,
    /// The share of a black wall's radiation.
    pub emissivity: f64,
    /// The length of the shell, in m.
    pub height: f64,
    /// How much of the dry wall counts.
    pub wall_reach: WallReach,
    /// How much of the bottom takes heat, as a share.
    pub bottom: f64,
    /// Relative humidity over liquid water, as a share; none leaves moisture out.
    pub humidity: Option<Course>,
    /// How well frost conducts, in W/(m·K).
    pub frost: f64,
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

/// How well the air gives heat to the wall.
#[derive(Clone, PartialEq, Debug)]
pub enum FilmBy {
    /// So well, in W/(m²·K).
    Value(f64),
    /// As the wind in m/s and the cold wall make it.
    Wind(Course),
}

/// How much of the dry wall counts.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum WallReach {
    /// As far up as this, in m; 0 leaves it out.
    Length(f64),
    /// As a fin, with conductivity times thickness in W/K.
    Fin(f64),
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
    /// What has frozen on the wall, in kg/m².
    pub frost: f64,
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
    /// How many steps were tried, short ones by their work: how much it was, on whatever machine.
    pub steps: usize,
}

/// Runs a cylinder down; within 1e-6 K and 1e-3 s of the exact solution. In weather that is told minute
/// by minute within 3e-5 K and 2e-2 s, and within 5e-4 K and 0.4 s where air leaps by 6 K and wind by
/// 3 mph from each to the next.
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

/// The ends of the pieces on which all courses are straight; the last is the limit.
fn breakpoints(input: &Input) -> Vec<f64> {
    let wind = match &input.film {
        FilmBy::Wind(wind) => Some(wind),
        FilmBy::Value(_) => None,
    };
    let courses = [Some(&input.air), Some(&input.rate), wind, input.humidity.as_ref()];
    let mut seconds: Vec<f64> = courses
        .into_iter()
        .flatten()
        .flat_map(Course::breakpoints)
        .filter(|seconds| *seconds > 0.0 && *seconds < input.limit)
        .collect();
    seconds.push(input.limit);
    seconds.sort_by(f64::total_cmp);
    seconds.dedup();
    seconds
}

/// The film in W/(m²·K) with which a cylinder is at a temperature in K at the end of its
/// `limit`; whatever stands in `film`. Within 1e-8.
///
/// # Errors
/// What can't be worked out, or what is seen with no film.
pub(crate) fn film_seen(input: &Input, kelvin: f64) -> Result<f64, Refusal> {
    let mut input = Input {
        least_pressure: 0.0,
        every: input.limit,
        ..input.clone()
    };
    let mut colder = |logarithm: f64| -> Result<f64, Refusal> {
        input.film = FilmBy::Value(libm::exp(logarithm));
        let drawn = draw_down(&input)?;
        match (drawn.end, drawn.rows.last()) {
            (End::TimeLimit, Some(row)) => Ok(kelvin - row.kelvin),
            // the sooner it gets there, the less would be enough
            (End::TooCold, Some(row)) => Ok(kelvin - COLDEST + (input.limit - row.seconds) * 1e-3),
            (End::Hot, Some(row)) => Ok(kelvin - TOO_HOT - (input.limit - row.seconds) * 1e-3),
            _ => Err(Refusal::EmptyBefore),
        }
    };
    let within = (libm::log(LEAST_FILM), libm::log(MOST_FILM));
    let mut failed = None;
    let found = step::falls_to_zero(
        |logarithm| {
            colder(logarithm).unwrap_or_else(|refusal| {
                failed = Some(refusal);
                f64::NAN
            })
        },
        within,
        (libm::log(10.0), -10.0),
        1e-9,
    );
    match failed {
        Some(refusal) => Err(refusal),
        None if found - within.0 < 1e-6 => Err(Refusal::AnyFilm),
        None if within.1 - found < 1e-6 => Err(Refusal::NoFilm),
        None => Ok(libm::exp(found)),
    }
}

/// The films that are looked at, in W/(m²·K): in a vacuum flask, and in a stream of water.
const LEAST_FILM: f64 = 0.1;
const MOST_FILM: f64 = 500.0;

/// The heat that each row takes from the air.
pub fn heat_of(input: &Input, rows: &[Row]) -> Vec<Heat> {
    let shell = Shell::new(input);
    let heat = |row: &Row| {
        let weather = Piece::new(input, row.seconds, 0.0, row.contents).weather(0.0);
        let [_, density, _] = of_liquid(row.kelvin);
        shell.heat(row.contents / density, row.kelvin, row.frost, &weather)
    };
    rows.iter().map(heat).collect()
}

/// A stretch of the run on which all courses are straight.
#[derive(Clone, Copy)]
struct Piece {
    from: f64,
    length: f64,
    air: Line,
    rate: Line,
    wind: Line,
    humidity: Option<Line>,
    contents: f64,
}

impl Piece {
    fn new(input: &Input, from: f64, length: f64, contents: f64) -> Piece {
        Piece {
            from,
            length,
            air: input.air.line(from),
            rate: input.rate.line(from),
            wind: match &input.film {
                FilmBy::Wind(wind) => wind.line(from),
                FilmBy::Value(_) => Course::Constant(0.0).line(from),
            },
            humidity: input.humidity.as_ref().map(|humidity| humidity.line(from)),
            contents,
        }
    }

    fn weather(&self, elapsed: f64) -> Weather {
        Weather {
            air: self.air.at(elapsed),
            wind: self.wind.at(elapsed).max(0.0),
            humidity: self.humidity.map(|humidity| humidity.at(elapsed)),
        }
    }

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

/// What is seen where the slope is asked for.
#[derive(Clone, Copy, Default)]
struct Seen {
    /// About how much steeper the temperature rises where it is 1 K higher, in 1/s.
    steeper: f64,
    /// Whether moisture settles, and freezes.
    settles: [bool; 2],
    /// Whether steel is cold enough for frost to begin, and for nothing else to form.
    freezes: [bool; 2],
}

impl Seen {
    /// Whether the slope may have a kink in between.
    fn is_apart(&self, other: &Seen) -> bool {
        (self.settles, self.freezes) != (other.settles, other.freezes)
    }
}

/// The state of a run.
struct Walk<'a> {
    input: &'a Input,
    shell: Shell,
    /// The boiling point under the least pressure, in K.
    least: f64,
    rows: Vec<Row>,
    kelvin: f64,
    /// What has frozen on the wall, in kg/m².
    frost: f64,
    contents: f64,
    /// The length that the next step may have, in s.
    stride: f64,
    /// How fast both rose at the end of the last step, in what weather and at what rate.
    slope: Option<(State, Weather, f64)>,
    /// Whether the piece before was short.
    follows: bool,
    /// How the slopes of both rose over the last step, for each second.
    bend: State,
    /// What was seen where the slope was asked for last.
    seen: Cell<Seen>,
    steps_left: usize,
    steps: usize,
    /// How many of them were short.
    short_steps: usize,
}

impl Walk<'_> {
    fn new(input: &Input) -> Walk<'_> {
        Walk {
            input,
            shell: Shell::new(input),
            least: boiling_under(input.least_pressure),
            rows: Vec::new(),
            kelvin: input.start,
            frost: 0.0,
            contents: input.contents,
            stride: 60.0,
            slope: None,
            follows: false,
            bend: [0.0; 2],
            seen: Cell::default(),
            steps_left: MOST_STEPS,
            steps: 0,
            short_steps: 0,
        }
    }

    fn drawn(self, end: End) -> Drawn {
        Drawn {
            rows: self.rows,
            end,
            steps: self.steps - self.short_steps + self.short_steps.div_ceil(SHORT_STEPS_A_STEP),
        }
    }

    fn piece(&self, from: f64, to: f64) -> Piece {
        Piece::new(self.input, from, to - from, self.contents)
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
        // one that stands alone isn't weather told minute by minute
        let follows = std::mem::replace(&mut self.follows, length <= SHORT);
        let mut short = if follows && length <= SHORT { length } else { 0.0 };
        let begins = (piece.weather(0.0), piece.rate(0.0));
        let mut slope = match self.slope.take() {
            // most breakpoints bend a course, and few break it
            Some((slope, weather, rate)) if weather.is_like(&begins.0) && (rate - begins.1).abs() <= 1e-12 * rate => {
                slope
            }
            _ => {
                self.bend = [0.0; 2];
                self.slope(piece, 0.0, [self.kelvin, self.frost])
            }
        };
        let mut seen = self.seen.get();
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
            self.short_steps += usize::from(short > 0.0);
            let state = [self.kelvin, self.frost];
            let at = |after: f64, state: State| self.slope(piece, elapsed + after, state);
            let close = (short > 0.0)
                .then(|| short.min(left))
                .map(|stride| (short_step(at, state, slope, stride, (self.bend, seen.steeper)), stride))
                .filter(|(next, _)| is_close(next, self.seen.get().is_apart(&seen)));
            let (next, stride, last) = match close {
                Some((next, stride)) => (next, stride, stride >= left),
                None if short > SHORTEST * length => {
                    short *= 0.5;
                    continue;
                }
                None => {
                    short = 0.0;
                    let next = step(at, state, slope, stride);
                    if !self.accepts(&next, stride, last) {
                        continue;
                    }
                    (next, stride, last)
                }
            };
            let event = self.event(piece, &next);
            let thaws = self.thaws(&next).filter(|_| event.is_none());
            let until = event
                .map(|(place, _)| place)
                .or(thaws)
                .map_or(stride, |place| place * stride);
            self.write(piece, (elapsed, stride), elapsed + until, &next);
            if let Some((place, end)) = event {
                [self.kelvin, self.frost] = next.paths.map(|path| path.at(place));
                return Ok(Some((elapsed + until, end)));
            }
            if let Some(place) = thaws {
                let [path, _] = next.paths;
                (self.kelvin, self.frost) = (path.at(place), 0.0);
                elapsed += until;
                slope = self.slope(piece, elapsed, [self.kelvin, self.frost]);
                seen = self.seen.get();
                continue;
            }
            elapsed = if last { length } else { elapsed + stride };
            let ([kelvin, frost], [before, frost_before]) = (next.slope, slope);
            self.bend = [(kelvin - before) / stride, (frost - frost_before) / stride];
            ([self.kelvin, self.frost], slope) = (next.value, next.slope);
            seen = self.seen.get();
        }
        self.slope = Some((slope, piece.weather(length), piece.rate(length)));
        Ok(None)
    }

    /// The place of a step at which the wall warms to freezing, and its frost falls off.
    fn thaws(&self, next: &Stepped) -> Option<f64> {
        let warms = self.frost > 0.0 && self.kelvin < FREEZING && next.value[0] >= FREEZING;
        let [path, _] = next.paths;
        warms.then(|| path.mirrored().first_down_to(-FREEZING)).flatten()
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

    /// How fast the temperature rises, in K/s, and the frost grows, in kg/(m²·s).
    fn slope(&self, piece: &Piece, elapsed: f64, [kelvin, frost]: State) -> State {
        let contents = piece.contents(elapsed);
        let [latent, density, specific] = of_liquid(kelvin);
        let weather = piece.weather(elapsed);
        let heat = self.shell.heat(contents / density, kelvin, frost.max(0.0), &weather);
        let surplus = heat.sum() + self.input.extra_heat - piece.rate(elapsed) * latent;
        let held = contents * specific + self.input.steel * self.input.steel_heat;
        let apart = weather.air - kelvin;
        self.seen.set(Seen {
            steeper: if apart.abs() > 1.0 {
                -heat.sum() / (apart * held)
            } else {
                0.0
            },
            settles: [heat.moisture > 0.0, heat.frosting > 0.0],
            freezes: [kelvin < FREEZING, kelvin < FREEZING - 1.0],
        });
        [surplus / held, heat.frosting]
    }

    /// Whether a step is good enough; sets the length of the next one.
    fn accepts(&mut self, next: &Stepped, stride: f64, last: bool) -> bool {
        let [kelvin, frost] = next.error;
        let (kelvin, frost) = (kelvin / TOLERANCE, frost / FROST_TOLERANCE);
        // what isn't a number is neither
        let good = kelvin <= 1.0 && frost <= 1.0;
        let error = kelvin.max(frost);
        let factor = 0.9 * libm::pow(1.0 / error.max(1e-6), 0.2);
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
        let [path, _] = next.paths;
        let low = path.first_down_to(floor).map(|place| (place, cold));
        let high = path.mirrored().first_down_to(-TOO_HOT);
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
            let state = next.paths.map(|path| path.at((elapsed - start) / stride));
            self.push(piece, seconds, elapsed, state);
        }
    }

    fn ended(&mut self, piece: &Piece, elapsed: f64, end: End) -> End {
        let seconds = match end {
            End::TimeLimit => self.input.limit,
            _ => piece.from + elapsed,
        };
        self.push(piece, seconds, elapsed, [self.kelvin, self.frost]);
        if let (End::Empty, Some(row)) = (end, self.rows.last_mut()) {
            row.contents = 0.0;
        }
        end
    }

    fn push(&mut self, piece: &Piece, seconds: f64, elapsed: f64, [kelvin, frost]: State) {
        self.rows.push(Row {
            seconds,
            contents: piece.contents(elapsed),
            kelvin,
            pascals: saturation_pressure(kelvin.clamp(COLDEST, HOTTEST)),
            rate: piece.rate(elapsed),
            // between the ends of a step the path may swing below
            frost: frost.max(0.0),
        });
    }
}

/// Whether a short step is good enough; over a kink Simpson's rule errs as it is estimated.
fn is_close(next: &Stepped, kinked: bool) -> bool {
    let [kelvin, frost] = next.error;
    let [most_kelvin, most_frost] = SHORT_TOLERANCE;
    let share = if kinked { 0.01 } else { 1.0 };
    kelvin <= share * most_kelvin && frost <= share * most_frost
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
