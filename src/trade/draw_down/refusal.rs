//! Why a draw-down can't be worked out, and which input is at fault.
//!
//! Inputs go by the names of the parameters of the function `draw_down`, so that
//! who calls finds the argument; rows count from 1. Start reading at [`Refusal`].

use std::fmt;

use super::super::propane::COLDEST;
use super::super::wall::{MILE_PER_HOUR, RANGE};
use super::heat::frost_density;
use super::{FilmBy, Input, MOST_ROWS, TOO_HOT, WallReach};

/// The most wind, in m/s: 200 mph.
const HURRICANE: f64 = 200.0 * MILE_PER_HOUR + 1e-9;

/// An input that can't be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Refusal {
    /// It must be above zero.
    NotAboveZero {
        /// The input.
        name: &'static str,
    },
    /// It can't be below zero.
    BelowZero {
        /// The input.
        name: &'static str,
    },
    /// It can't be above 100 %.
    AboveAll {
        /// The input.
        name: &'static str,
    },
    /// Frost that conducts no better than air.
    FrostOfAir,
    /// Air that the correlations of wind and moisture don't cover.
    AirOutside {
        /// The row; none where the course is constant.
        row: Option<usize>,
    },
    /// The start is below −45 °C, where the fits end.
    StartTooCold,
    /// The start is at or above 120 °F.
    StartTooHot,
    /// More rows than a table may have.
    TooManyRows {
        /// How many were asked for.
        rows: f64,
    },
    /// A course without rows.
    CourseEmpty {
        /// The input.
        name: &'static str,
    },
    /// A course whose first row comes after the start.
    CourseStartsLate {
        /// The input.
        name: &'static str,
        /// When its first row comes, in s from the start.
        seconds: f64,
    },
    /// A row that isn't later than the one before.
    CourseOrder {
        /// The input.
        name: &'static str,
        /// The later row of the two.
        row: usize,
    },
    /// A value that can't be: a rate below zero, air at or below absolute zero.
    CourseValue {
        /// The input.
        name: &'static str,
        /// The row; none where the course is constant.
        row: Option<usize>,
    },
    /// The cylinder is empty before the end of the run that was seen.
    EmptyBefore,
    /// What was seen is seen with any film.
    AnyFilm,
    /// What was seen is seen with no film.
    NoFilm,
    /// More steps than a run may take: it is very long, or the temperature changes very fast.
    TooManySteps,
    /// The time that the program has for one run was up.
    OutOfTime,
}

impl Refusal {
    /// The input at fault, by the name of its parameter; none where it is several together.
    pub fn input(&self) -> Option<&'static str> {
        match self {
            Refusal::NotAboveZero { name }
            | Refusal::BelowZero { name }
            | Refusal::AboveAll { name }
            | Refusal::CourseEmpty { name }
            | Refusal::CourseStartsLate { name, .. }
            | Refusal::CourseOrder { name, .. }
            | Refusal::CourseValue { name, .. } => Some(name),
            Refusal::FrostOfAir => Some("frost"),
            Refusal::AirOutside { .. } => Some("air"),
            Refusal::StartTooCold | Refusal::StartTooHot => Some("start"),
            Refusal::TooManyRows { .. } => Some("every"),
            Refusal::TooManySteps | Refusal::OutOfTime | Refusal::EmptyBefore | Refusal::AnyFilm | Refusal::NoFilm => {
                None
            }
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::NotAboveZero { name } => write!(f, "`{name}` must be above zero"),
            Refusal::BelowZero { name } => write!(f, "`{name}` can't be below zero"),
            Refusal::AboveAll { name } => write!(f, "`{name}` can't be above 100 %"),
            Refusal::FrostOfAir => f.write_str("`frost` must conduct better than air, 0.0243 W/(m·C°)"),
            Refusal::StartTooCold => f.write_str(
                "the cylinder starts below −49 °F (−45 °C), where the fits to the equation of state end (J. Chem. Eng. Data 54 (2009) 3141)",
            ),
            Refusal::StartTooHot => {
                f.write_str("the cylinder starts at 120 °F or above, which it must never reach (trade safety guidance)")
            }
            Refusal::TooManyRows { rows } => {
                write!(f, "this asks for {rows:.0} rows, and a table may have {MOST_ROWS:.0}")
            }
            Refusal::CourseEmpty { name } => write!(f, "`{name}` has no rows"),
            Refusal::CourseStartsLate { name, seconds } => {
                let hours = (seconds / 3.6).ceil() / 1000.0;
                write!(f, "`{name}` has no value before its first row, at {hours} h")
            }
            Refusal::CourseOrder { name, row } => {
                write!(f, "`{name}` has a time in row {row} that isn't after the one before")
            }
            Refusal::CourseValue { name, row } => {
                write!(f, "`{name}` {}", value_fault(name))?;
                in_row(f, *row)
            }
            Refusal::AirOutside { row } => {
                f.write_str("`air` with wind or humidity must be from −49 to 140 °F (−45 to 60 °C)")?;
                in_row(f, *row)
            }
            Refusal::EmptyBefore => f.write_str("at this `rate` the cylinder is empty before the run has `ran`"),
            Refusal::AnyFilm => f.write_str(
                "this run tells nothing of the film: the heat of liquid and steel alone carries it so far",
            ),
            Refusal::NoFilm => f.write_str(
                "no film keeps this cylinder so warm so long: even 500 W/(m2·C°) is too little",
            ),
            Refusal::TooManySteps => f.write_str(
                "the run takes too many steps: its temperature changes too fast for so long a `limit`",
            ),
            Refusal::OutOfTime => f.write_str("its time was up"),
        }
    }
}

fn in_row(f: &mut fmt::Formatter<'_>, row: Option<usize>) -> fmt::Result {
    row.map_or(Ok(()), |row| write!(f, ", as in row {row}"))
}

fn value_fault(name: &str) -> &'static str {
    match name {
        "rate" => "can't be below zero",
        "wind" => "must be from 0 to 200 mph",
        "humidity" => "must be from 0 to 100 %",
        _ => "must be above absolute zero",
    }
}

impl Input {
    /// Refuses what can't be.
    pub(super) fn check(&self) -> Result<(), Refusal> {
        self.check_numbers()?;
        // the start may be the air's, so that the air comes first
        self.air.checked("air", |kelvin| kelvin.is_finite() && kelvin > 0.0)?;
        self.rate.checked("rate", |rate| rate.is_finite() && rate >= 0.0)?;
        self.check_weather()?;
        self.check_start()
    }

    fn check_numbers(&self) -> Result<(), Refusal> {
        let film = match self.film {
            FilmBy::Value(film) => film,
            FilmBy::Wind(_) => 1.0,
        };
        let (reach, conducts) = match self.wall_reach {
            WallReach::Length(reach) => (reach, 1.0),
            WallReach::Fin(conducts) => (0.0, conducts),
        };
        let above = [
            ("diameter", self.diameter),
            ("steel", self.steel),
            ("steel_heat", self.steel_heat),
            ("film", film),
            ("limit", self.limit),
            ("every", self.every),
            ("height", self.height),
            ("wall", conducts),
        ];
        for (name, value) in above {
            if !(value.is_finite() && value > 0.0) {
                return Err(Refusal::NotAboveZero { name });
            }
        }
        let not_below = [
            ("contents", self.contents),
            ("least_pressure", self.least_pressure),
            ("extra_heat", self.extra_heat),
            ("wall_reach", reach),
            ("bottom", self.bottom),
            ("convection", self.convection),
            ("emissivity", self.emissivity),
        ];
        for (name, value) in not_below {
            if !(value.is_finite() && value >= 0.0) {
                return Err(Refusal::BelowZero { name });
            }
        }
        let shares = [("bottom", self.bottom), ("emissivity", self.emissivity)];
        match shares.into_iter().find(|(_, share)| *share > 1.0) {
            Some((name, _)) => Err(Refusal::AboveAll { name }),
            None => Ok(()),
        }
    }

    fn check_weather(&self) -> Result<(), Refusal> {
        if let FilmBy::Wind(wind) = &self.film {
            wind.checked("wind", |wind| (0.0..=HURRICANE).contains(&wind))?;
        }
        if let Some(humidity) = &self.humidity {
            humidity.checked("humidity", |share| (0.0..=1.0).contains(&share))?;
            frost_density(self.frost).ok_or(Refusal::FrostOfAir)?;
        } else if matches!(self.film, FilmBy::Value(_)) {
            return Ok(());
        }
        let covered = |kelvin: f64| (RANGE.0 - 1e-9..=RANGE.1 + 1e-9).contains(&kelvin);
        self.air.checked("air", covered).map_err(|refusal| match refusal {
            Refusal::CourseValue { row, .. } => Refusal::AirOutside { row },
            other => other,
        })
    }

    fn check_start(&self) -> Result<(), Refusal> {
        let rows = self.limit / self.every;
        if rows > MOST_ROWS {
            return Err(Refusal::TooManyRows { rows });
        }
        if self.start >= TOO_HOT {
            return Err(Refusal::StartTooHot);
        }
        // a little is lost on the way from °F
        if self.start >= COLDEST - 1e-9 {
            return Ok(());
        }
        Err(Refusal::StartTooCold)
    }
}
