//! Least squares: readings as a sum of factors times unknowns, each reading with its weight.
//!
//! Any number of unknowns, the first of which stands alone (its factor is 1). The factors
//! are made perpendicular to each other, one after another, so that what the unknowns owe
//! to the readings falls into as many independent parts as there are unknowns; slope,
//! value on the line and whatever follows share one covariance. Arithmetic alone: what a
//! reading may be out is for whoever asks. Start reading at [`fit`].

/// Unknowns fitted to readings.
#[derive(Clone, PartialEq, Debug)]
pub struct Fitted {
    /// The unknowns, the one that stands alone first.
    pub unknowns: Vec<f64>,
    /// How far each reading stands above what was fitted.
    pub residuals: Vec<f64>,
    /// The weight of each reading.
    pub weights: Vec<f64>,
    /// For each independent part, how far one unit of it moves each unknown. A part has
    /// the variance of a reading of weight 1.
    parts: Vec<Vec<f64>>,
    /// For each independent part, what each reading puts into it.
    pulls: Vec<Vec<f64>>,
}

/// A factor that is the sum of others but for so much of its size adds no unknown.
const DEPENDENT: f64 = 1e-11;

/// The unknowns for which the sum of squares is the least. `factors` are those of the
/// second unknown on, each with a number for every reading; `None` where the readings
/// can't tell the unknowns apart.
pub(crate) fn fit(factors: &[Vec<f64>], readings: &[f64], weights: &[f64]) -> Option<Fitted> {
    let roots: Vec<f64> = weights.iter().map(|weight| f64::sqrt(*weight)).collect();
    let alone = vec![1.0; readings.len()];
    let mut pulls: Vec<Vec<f64>> = Vec::with_capacity(factors.len() + 1);
    let mut parts: Vec<Vec<f64>> = Vec::with_capacity(factors.len() + 1);
    for (unknown, factor) in std::iter::once(&alone).chain(factors).enumerate() {
        let mut across: Vec<f64> = factor.iter().zip(&roots).map(|(factor, root)| factor * root).collect();
        let size = length(&across);
        let mut part = vec![0.0; factors.len() + 1];
        *part.get_mut(unknown)? = 1.0;
        // once more, for what rounding left of the first time
        for _ in 0..2 {
            for (pull, before) in pulls.iter().zip(&parts) {
                let along = product(&across, pull);
                subtract(&mut across, pull, along);
                subtract(&mut part, before, along);
            }
        }
        let rest = length(&across);
        if rest <= DEPENDENT * size || !rest.is_finite() {
            return None;
        }
        across.iter_mut().chain(&mut part).for_each(|value| *value /= rest);
        pulls.push(across);
        parts.push(part);
    }
    let wanted: Vec<f64> = readings.iter().zip(&roots).map(|(value, root)| value * root).collect();
    Some(Fitted::solved(&wanted, &roots, weights, pulls, parts))
}

impl Fitted {
    fn solved(wanted: &[f64], roots: &[f64], weights: &[f64], pulls: Vec<Vec<f64>>, parts: Vec<Vec<f64>>) -> Fitted {
        let mut rest = wanted.to_vec();
        let mut unknowns = vec![0.0; parts.len()];
        // the second time takes up what the first lost to rounding
        for _ in 0..2 {
            for (pull, part) in pulls.iter().zip(&parts) {
                let along = product(&rest, pull);
                subtract(&mut rest, pull, along);
                subtract(&mut unknowns, part, -along);
            }
        }
        Fitted {
            unknowns,
            residuals: rest.iter().zip(roots).map(|(rest, root)| rest / root).collect(),
            weights: weights.to_vec(),
            parts,
            pulls,
        }
    }

    /// Readings less unknowns.
    pub fn degrees_of_freedom(&self) -> usize {
        self.residuals.len().saturating_sub(self.unknowns.len())
    }

    /// The variance that the residuals show for a reading of weight 1; zero where as many
    /// unknowns as readings leave none.
    pub fn scatter(&self) -> f64 {
        let squares = self.weights.iter().zip(&self.residuals);
        let squares: f64 = squares.map(|(weight, residual)| weight * residual * residual).sum();
        match self.degrees_of_freedom() {
            0 => 0.0,
            freedom => squares / freedom as f64,
        }
    }

    /// How far the independent part of that number moves each unknown, for one standard
    /// uncertainty of a reading of weight 1.
    pub fn part(&self, part: usize) -> &[f64] {
        self.parts.get(part).map_or(&[], Vec::as_slice)
    }

    /// How far each unknown moves with a reading.
    pub(crate) fn by_reading(&self, reading: usize) -> Vec<f64> {
        let root = f64::sqrt(self.weights.get(reading).copied().unwrap_or(0.0));
        let mut moved = vec![0.0; self.unknowns.len()];
        for (pull, part) in self.pulls.iter().zip(&self.parts) {
            let pull = pull.get(reading).copied().unwrap_or(0.0);
            subtract(&mut moved, part, -root * pull);
        }
        moved
    }

    /// How far each unknown moves with the factor of one of them at a reading.
    pub(crate) fn by_factor(&self, unknown: usize, reading: usize) -> Vec<f64> {
        let at = |values: &[f64]| values.get(reading).copied().unwrap_or(0.0);
        let slope = self.unknowns.get(unknown).copied().unwrap_or(0.0);
        let mut moved: Vec<f64> = self.by_reading(reading).iter().map(|by| -slope * by).collect();
        let off = at(&self.weights) * at(&self.residuals);
        for part in &self.parts {
            let along = part.get(unknown).copied().unwrap_or(0.0);
            subtract(&mut moved, part, -off * along);
        }
        moved
    }

    /// The covariance of two unknowns, for readings whose variance at weight 1 is 1.
    pub fn covariance(&self, one: usize, other: usize) -> f64 {
        let both = self
            .parts
            .iter()
            .filter_map(|part| Some(part.get(one)? * part.get(other)?));
        both.sum()
    }

    /// How much of a reading its own value settles, from 0 to 1.
    pub(crate) fn leverage(&self, reading: usize) -> f64 {
        let pulls = self.pulls.iter().filter_map(|pull| pull.get(reading));
        pulls.map(|pull| pull * pull).sum()
    }
}

fn product(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

fn length(values: &[f64]) -> f64 {
    f64::sqrt(product(values, values))
}

fn subtract(from: &mut [f64], other: &[f64], times: f64) {
    from.iter_mut()
        .zip(other)
        .for_each(|(from, other)| *from -= times * other);
}
