//! How a line through weighings was found, put so that it can be done by hand.
//!
//! Means, distances from them, two sums, and their quotient: the normal equations in words.
//! Start reading at [`told`].

use crate::number::Number;
use crate::sheet::fit_spread::FitNoted;
use crate::trade::Fit;
use crate::trade::line::{Line, Readings};

/// Step by step how a line through few weighings was found; nothing of other lines.
pub(super) fn line_sentences(noted: &FitNoted) -> Vec<String> {
    let Some((readings, line)) = noted.drawn.as_deref().filter(|(readings, _)| is_told(readings)) else {
        return Vec::new();
    };
    let weights = &line.fitted.weights;
    let by_weight = noted.counting.is_some();
    let mut told = Vec::new();
    if line.shifted {
        told.push(
            "the times are so unsure that each weighing is first put along, by their share in what it lies off \
the line, and along the line as much up or down; what follows is of these places"
                .to_owned(),
        );
    }
    told.push(format!("hours from the first row: {}", listed(&readings.x)));
    if by_weight {
        told.push(format!(
            "the surer weighings count for more, 1/u² each: {}",
            listed(weights)
        ));
    }
    let kinds = kinds(readings, weights);
    told.extend(kinds.iter().map(Kind::means));
    let own = if kinds.len() > 1 { " of its own kind" } else { "" };
    let (both, along): (f64, f64) = kinds
        .iter()
        .fold((0.0, 0.0), |sum, kind| (sum.0 + kind.both, sum.1 + kind.along));
    let times = if by_weight { ", times its weight" } else { "" };
    told.push(format!(
        "each weighing's hours less the mean{own}, squared{times}, summed: Sxx = {} h²",
        short(along)
    ));
    told.push(format!(
        "the same hours times its pounds less the mean{own}{times}, summed: Sxy = {} lb·h",
        short(both)
    ));
    told.push(format!(
        "slope Sxy/Sxx = {} lb/h, so the rate is {} lb/h",
        short(both / along),
        short(-both / along)
    ));
    if let Some(first) = kinds.first() {
        told.push(format!(
            "the line at the first row: {} − slope × {} = {} lb",
            short(first.mean_y),
            short(first.mean_x),
            short(first.mean_y - first.mean_x * both / along)
        ));
    }
    if let [off, on] = kinds.as_slice() {
        told.push(format!(
            "hung there: how far the two lines lie apart, ({} − slope × {}) − ({} − slope × {}) = {} lb",
            short(on.mean_y),
            short(on.mean_x),
            short(off.mean_y),
            short(off.mean_x),
            short(on.mean_y - off.mean_y - (on.mean_x - off.mean_x) * both / along)
        ));
    }
    told.push(sureness(noted, line, along));
    told
}

fn is_told(readings: &Readings) -> bool {
    readings.of.burns_down() && readings.of != Fit::RateAtLoad
}

/// What the weighings lie off the line, and what that makes of the rate.
fn sureness(noted: &FitNoted, line: &Line, along: f64) -> String {
    let (freedom, spread) = (line.fitted.degrees_of_freedom(), noted.spread);
    let unknowns = line.fitted.unknowns.len();
    let u = short(f64::sqrt(spread.scatter.max(spread.nominal)));
    let off = format!("off the line: {} lb", listed(&line.fitted.residuals));
    let count = line.fitted.residuals.len();
    let larger = match spread.scatter > spread.nominal {
        true => format!("more than was declared, so it is u = {u} lb"),
        false => format!("no more than was declared, so that is u = {u} lb"),
    };
    let scatter = match freedom {
        0 => format!("nothing is left to scatter, so u of a weighing is what was declared, {u} lb"),
        _ => format!(
            "s = √(their squares, summed, over {count} − {unknowns}) = {} lb, {larger}",
            short(f64::sqrt(spread.scatter))
        ),
    };
    let of_rate = f64::sqrt(spread.scatter.max(spread.nominal) / along);
    format!("{off}; {scatter}; u of the rate is u/√Sxx = {} lb/h", short(of_rate))
}

/// The weighings of one kind.
struct Kind {
    name: &'static str,
    count: usize,
    mean_x: f64,
    mean_y: f64,
    along: f64,
    both: f64,
}

impl Kind {
    fn of(name: &'static str, readings: &Readings, weight: impl Fn(usize) -> f64) -> Kind {
        let rows = || readings.x.iter().zip(&readings.y).enumerate();
        let all: f64 = (0..readings.x.len()).map(&weight).sum();
        let mean_x = rows().map(|(row, (x, _))| weight(row) * x).sum::<f64>() / all;
        let mean_y = rows().map(|(row, (_, y))| weight(row) * y).sum::<f64>() / all;
        Kind {
            name,
            count: (0..readings.x.len()).filter(|row| weight(*row) > 0.0).count(),
            mean_x,
            mean_y,
            along: rows().map(|(row, (x, _))| weight(row) * (x - mean_x).powi(2)).sum(),
            both: rows()
                .map(|(row, (x, y))| weight(row) * (x - mean_x) * (y - mean_y))
                .sum(),
        }
    }

    fn means(&self) -> String {
        format!(
            "{} {}: means {} h and {} lb",
            self.count,
            self.name,
            short(self.mean_x),
            short(self.mean_y)
        )
    }
}

/// All weighings, or those without and those with something attached.
fn kinds(readings: &Readings, weights: &[f64]) -> Vec<Kind> {
    let weight = |row: usize| weights.get(row).copied().unwrap_or(1.0);
    let Some(attached) = &readings.attached else {
        return vec![Kind::of("weighings", readings, weight)];
    };
    let of = |on: bool| {
        move |row: usize| {
            if attached.get(row) == Some(&on) {
                weight(row)
            } else {
                0.0
            }
        }
    };
    vec![
        Kind::of("weighings with nothing attached", readings, of(false)),
        Kind::of("weighings with it attached", readings, of(true)),
    ]
}

fn listed(values: &[f64]) -> String {
    values.iter().map(|value| short(*value)).collect::<Vec<_>>().join(", ")
}

/// Five digits, so that what is done by hand comes to the same.
fn short(value: f64) -> String {
    let tiny = value.abs() < 1e-9;
    let number = Number::from_f64(if tiny { 0.0 } else { value });
    number.map_or_else(|_| value.to_string(), |number| number.round_significant(5).to_plain())
}
