//! Straight lines with uncertainty: how sure each reading is, and whose error it is.
//!
//! A reading is as sure as the larger of what was declared and of what the readings
//! scatter by about the line; what they scatter by beyond the declared belongs to the
//! readings of the column ([`super::weighed`]), and what a worse fit has beyond that stays
//! in the fit, as independent parts shared by all that is asked of it. Readings that were
//! declared differently count by their weight, their times by effective variance: the
//! variance up, and that along times the square of the slope. Where that isn't enough the
//! line is York's. Start reading at [`fit`].

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::number::Checked;
use crate::trade::line::{
    Counting, Line, MOST_TURNS, MOST_UNKNOWNS, Readings, by_turns, falls, fit as fit_line, step_uncertainty, unsettled,
};
use crate::trade::questions::remark_on_reading;
use crate::trade::{Complaint, Fit};

use super::dual::{Dual, Sources};
use super::edges;
use super::fit_spread::{FOLLOWED, FitNoted, FitShape, FitSpread};
use super::gradient::summed;
use super::objections::{agreement, questioned};
use super::scalar::{FitColumns, FitRows, MANY_READINGS, Scalar};
use super::source::{Group, SourceOf, Uncertainty, UncertaintySource};

impl Sources {
    /// The number of a fit, new or known.
    fn fit_number(&mut self, shape: FitShape) -> u32 {
        let known = self.fits.iter().position(|fit| fit.is(&shape));
        let number = known.unwrap_or(self.fits.len());
        if known.is_none() {
            self.fits.push(shape);
        }
        u32::try_from(number).unwrap_or(u32::MAX)
    }

    /// The call in which a fit was first met, and how sure its readings are in the unit of
    /// that call.
    pub(crate) fn fit_met(&self, fit: u32) -> Option<(u32, FitSpread)> {
        self.fits.get(fit as usize).map(|shape| shape.met)
    }

    /// The degrees of freedom that the readings of a column have from their scatter.
    fn of_column(&self, column: Option<u32>) -> f64 {
        let known = column.and_then(|column| self.scattered.get(&column));
        known.copied().unwrap_or(f64::INFINITY)
    }
}

/// What the readings of one column of a fit err by on their own.
struct Own {
    /// The variance of each that was declared.
    declared: Vec<f64>,
    /// What each has beyond that.
    excess: Vec<f64>,
    /// The source of each; none for an exact one.
    sources: Vec<Option<u32>>,
}

impl Own {
    /// Errors that all readings share move a line without bending it, so that they are left
    /// out; what the first row puts into all others, as an hour counted from it, is its own.
    fn of(cells: &[Dual], sources: &Sources) -> Own {
        let count = cells.len();
        let mut own = Own {
            declared: vec![0.0; count],
            excess: vec![0.0; count],
            sources: vec![None; count],
        };
        let rows = cells.iter().enumerate();
        let mut parts: Vec<(u32, usize, f64)> = rows
            .flat_map(|(row, cell)| {
                let parts = cell.gradient.parts().into_iter();
                parts.map(move |(number, slope)| (number, row, slope))
            })
            .filter(|(number, ..)| sources.is_reading(*number))
            .collect();
        parts.sort_by_key(|(number, row, _)| (*number, *row));
        for group in parts.chunk_by(|one, other| one.0 == other.0) {
            if let Some((row, slope)) = alone(group, count)
                && let Some((number, ..)) = group.first()
            {
                own.add(row, *number, slope, sources);
            }
        }
        own
    }

    fn add(&mut self, row: usize, number: u32, slope: f64, sources: &Sources) {
        let Some(source) = sources.source(number) else { return };
        let (declared, standard) = (source.declared.powi(2), source.standard.powi(2));
        let add = |places: &mut Vec<f64>, variance: f64| {
            if let Some(place) = places.get_mut(row) {
                *place += slope * slope * variance;
            }
        };
        add(&mut self.declared, declared);
        add(&mut self.excess, standard - declared);
        if let Some(place @ None) = self.sources.get_mut(row) {
            *place = Some(number);
        }
    }

    /// The columns that they are written in.
    fn columns(&self, sources: &Sources) -> Vec<u32> {
        let mut found: Vec<u32> = Vec::new();
        for row in 0..self.sources.len() {
            if let Some(SourceOf::Reading(slot, _)) = self.source_of(row, sources)
                && !found.contains(&slot)
            {
                found.push(slot);
            }
        }
        found
    }

    fn source_of(&self, row: usize, sources: &Sources) -> Option<SourceOf> {
        let number = self.sources.get(row).copied().flatten()?;
        sources.source(number).map(|source| source.of)
    }
}

/// The one row that a source moves against all others.
fn alone(group: &[(u32, usize, f64)], count: usize) -> Option<(usize, f64)> {
    if let [(_, row, slope)] = group {
        return Some((*row, *slope));
    }
    let (_, _, common) = group.first()?;
    let same = |slope: f64| (slope - common).abs() <= 1e-9 * common.abs();
    if group.len() + 1 != count || !group.iter().all(|(.., slope)| same(*slope)) {
        return None;
    }
    let missing = (0..count).find(|row| group.iter().all(|(_, other, _)| other != row))?;
    Some((missing, -common))
}

/// How the readings of a fit count, and how sure one is.
struct Weighting {
    /// `None` where all count alike.
    counting: Option<Arc<Counting>>,
    /// The variance of a reading of weight 1.
    nominal: f64,
}

impl Weighting {
    /// By the variance of each; all alike where they are so, or where one of them is exact.
    fn by(variances: &[f64]) -> Weighting {
        let least = variances.iter().copied().fold(f64::INFINITY, f64::min);
        let most = variances.iter().copied().fold(0.0, f64::max);
        if least <= 0.0 || most - least <= 1e-9 * most {
            return Weighting {
                counting: None,
                nominal: variances.iter().sum::<f64>() / variances.len().max(1) as f64,
            };
        }
        let counting = Counting {
            weights: variances.iter().map(|variance| least / variance).collect(),
            shifts: Vec::new(),
        };
        Weighting {
            counting: Some(Arc::new(counting)),
            nominal: least,
        }
    }

    /// The mean of variances, each taken to a reading of weight 1.
    fn mean(&self, variances: &[f64]) -> f64 {
        let weight = |row: usize| {
            let counting = self.counting.as_ref();
            let weight = counting.and_then(|counting| counting.weights.get(row));
            weight.copied().unwrap_or(1.0)
        };
        let all = variances.iter().enumerate();
        let sum: f64 = all.map(|(row, variance)| weight(row) * variance).sum();
        sum / variances.len().max(1) as f64
    }
}

/// The variances of readings up, with what those along add by the slope there.
fn effective(readings: &Readings, line: &Line, along: &Own, up: &Own) -> Vec<f64> {
    let both = up.declared.iter().zip(&along.declared);
    let both = both.zip(readings.steepness(line));
    both.map(|((up, along), slope)| up + slope * slope * along).collect()
}

/// The line with weights by effective variance, the readings standing where they were said to.
fn in_place(readings: &Readings, along: &Own, up: &Own) -> Result<(Line, Weighting), Complaint> {
    let mut line = fit_line(readings, None)?;
    for _ in 0..MOST_TURNS {
        let steepness = readings.steepness(&line);
        let weighting = Weighting::by(&effective(readings, &line, along, up));
        if weighting.counting.is_none() {
            return Ok((line, weighting));
        }
        line = fit_line(readings, weighting.counting.as_deref())?;
        let fixed = along.declared.iter().all(|variance| *variance == 0.0);
        let moved = steepness.iter().zip(readings.steepness(&line));
        let mut moved = moved.map(|(before, after)| (after - before).abs() <= 1e-13 * before.abs());
        if fixed || moved.all(|settled| settled) {
            return Ok((line, weighting));
        }
    }
    Err(unsettled())
}

/// The line with errors in both axes, for which the sum of squares over the effective
/// variances is the least: York's. Each reading is put along by the share that its place has
/// in what it lies off the line.
fn with_both_errors(readings: &Readings, from: Line, along: &Own, up: &Own) -> Result<(Line, Weighting), Complaint> {
    let (line, counting) = by_turns(readings, from, |line| {
        let variances = effective(readings, line, along, up);
        let least = variances.iter().copied().fold(f64::INFINITY, f64::min);
        let shifts = variances.iter().zip(&along.declared).zip(readings.steepness(line));
        Ok(Counting {
            weights: variances.iter().map(|variance| least / variance).collect(),
            shifts: shifts.map(|((both, along), slope)| slope * along / both).collect(),
        })
    })?;
    let nominal = effective(readings, &line, along, up)
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    let weighting = Weighting {
        counting: Some(Arc::new(counting)),
        nominal,
    };
    Ok((line, weighting))
}

/// Errors along move a line by this part of its standard uncertainties before they count for
/// more than weights: an interval for 95 in 100 that is off by a tenth of one still holds 94.9.
const VISIBLE: f64 = 0.1;

/// Whether two lines through the same readings lie apart by so much that it shows.
fn are_apart(one: &Line, other: &Line, nominal: f64) -> bool {
    let variance = nominal.max(one.fitted.scatter());
    let values = one.fitted.unknowns.iter().zip(&other.fitted.unknowns).enumerate();
    let mut apart = values.map(|(place, (here, there))| {
        let there = if place == 0 { other.value_at(one.mean_x) } else { *there };
        let standard = f64::sqrt(variance * one.fitted.covariance(place, place));
        (here - there).abs() > VISIBLE * standard
    });
    apart.any(|apart| apart)
}

/// The line through readings by what was declared of them, and how they count.
fn settled(readings: &Readings, along: &Own, up: &Own) -> Result<(Line, Weighting), Complaint> {
    let plain = in_place(readings, along, up);
    let from = match &plain {
        Ok((line, _)) => line.clone(),
        Err(_) => fit_line(readings, None)?,
    };
    let unsure = along.declared.iter().any(|variance| *variance > 0.0);
    let all = effective(readings, &from, along, up)
        .iter()
        .all(|variance| *variance > 0.0);
    if !unsure || !all || from.fitted.degrees_of_freedom() == 0 {
        return plain;
    }
    let both = with_both_errors(readings, from, along, up)?;
    match plain {
        Ok((line, weighting)) if !are_apart(&line, &both.0, weighting.nominal) => Ok((line, weighting)),
        _ => Ok(both),
    }
}

/// A line through columns, with the sensitivities of what is asked of it.
pub(super) fn fit(columns: &FitColumns<'_, Dual>, sources: &mut Sources) -> Result<Dual, Complaint> {
    if columns.fit == Fit::Average {
        return average(columns, sources);
    }
    let rows = columns.rows()?;
    let readings = rows.readings(columns.fit);
    let (along, up) = (Own::of(&rows.x, sources), Own::of(&rows.y, sources));
    let (line, mut weighting) = settled(&readings, &along, &up).inspect_err(|complaint| {
        sources.unsettled.insert(columns.site, complaint.clone());
    })?;
    let readings = match weighting.counting.as_ref().filter(|counting| counting.shifts()) {
        Some(counting) => readings.shifted(&line, &counting.shifts),
        None => readings,
    };
    let step = sources.steps.get(&columns.site).copied().unwrap_or(0.0);
    let by_reading = weighting.nominal > 0.0;
    if weighting.nominal <= 0.0 {
        weighting.nominal = step_uncertainty(step).powi(2);
    }
    let written = up.columns(sources);
    let first = written.first().copied();
    let spread = FitSpread {
        nominal: weighting.nominal,
        declared: weighting.mean(&up.declared),
        scatter: line.fitted.scatter(),
        freedom: line.fitted.degrees_of_freedom() as f64,
        shared: weighting.mean(&up.excess),
        column: first,
        by_reading,
        heavy: readings.x.len() > MANY_READINGS,
    };
    let sound = remark(columns, (&readings, &line), (weighting.nominal, &rows.rows), sources);
    let fit = sources.fit_number(FitShape {
        count: readings.x.len(),
        unknowns: line.fitted.unknowns.len(),
        first: up.source_of(0, sources),
        last: up.source_of(readings.x.len().saturating_sub(1), sources),
        slot: first.is_none().then_some(columns.slots.1),
        ratio: ratio(&spread, &readings.y),
        met: (columns.site, spread),
    });
    let noted = FitNoted {
        fit,
        counting: weighting.counting.clone(),
        spread,
        columns: written,
        times: along.columns(sources),
        sound,
        drawn: (readings.x.len() <= FOLLOWED).then(|| Arc::new((readings, line.clone()))),
    };
    sources.noted.insert(columns.site, noted);
    let fitted = FittedLine {
        line,
        unknowns: Vec::new(),
        fit,
        spread,
    };
    fitted.with(&rows, sources).asked(columns, sources)
}

/// The mean of results that should agree: what each has by itself, or what they spread by.
fn average(columns: &FitColumns<'_, Dual>, sources: &mut Sources) -> Result<Dual, Complaint> {
    let mean = columns.mean()?;
    let results: Vec<&Dual> = columns.y.iter().flatten().collect();
    let count = results.len() as f64;
    let own: Vec<Uncertainty> = by_themselves(&results)
        .iter()
        .map(|own| sources.combined(own))
        .collect();
    let squares: f64 = results.iter().map(|result| (result.value - mean.value).powi(2)).sum();
    let nominal = own.iter().map(|own| own.standard.powi(2)).sum::<f64>() / count;
    let spread = FitSpread {
        nominal,
        declared: 0.0,
        scatter: squares / (count - 1.0),
        freedom: count - 1.0,
        shared: 0.0,
        column: None,
        by_reading: true,
        heavy: false,
    };
    let told: Vec<(f64, f64, f64)> = results
        .iter()
        .zip(&own)
        .map(|(result, own)| (result.value, own.standard.powi(2), own.degrees_of_freedom))
        .collect();
    sources.remarks.extend(agreement(columns.site, &told));
    let fit = sources.fit_number(FitShape {
        count: results.len(),
        unknowns: 1,
        first: None,
        last: None,
        slot: Some(u32::MAX - columns.site),
        ratio: ratio(&spread, &[]),
        met: (columns.site, spread),
    });
    sources.noted.insert(columns.site, FitNoted::of_results(fit, spread));
    let beyond = spread.beyond();
    if beyond <= 0.0 {
        return Ok(mean);
    }
    let own = sources.deviation(UncertaintySource {
        of: SourceOf::Beyond(fit, 0),
        standard: f64::sqrt(beyond / count),
        declared: 0.0,
        limits: false,
        degrees_of_freedom: spread.own_degrees_of_freedom(f64::INFINITY),
        group: Group::Fit(fit),
    });
    Ok(mean.add(&own)?)
}

/// What each result rests on that no other does.
fn by_themselves(results: &[&Dual]) -> Vec<Dual> {
    let mut users: BTreeMap<u32, usize> = BTreeMap::new();
    for (number, _) in results.iter().flat_map(|result| result.gradient.parts()) {
        *users.entry(number).or_default() += 1;
    }
    let alone = |(number, _): &(u32, f64)| users.get(number) == Some(&1);
    let own = |result: &&Dual| result.gradient.parts().into_iter().filter(alone).collect::<Vec<_>>();
    results.iter().map(|result| Dual::of(0.0, own(result))).collect()
}

/// How much the readings scatter, free of unit.
fn ratio(spread: &FitSpread, readings: &[f64]) -> f64 {
    let count = readings.len().max(1) as f64;
    let mean = readings.iter().sum::<f64>() / count;
    let about = readings.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count;
    let ratio = spread.scatter / if spread.nominal > 0.0 { spread.nominal } else { about };
    if ratio.is_finite() { ratio } else { 0.0 }
}

/// A line whose unknowns carry their sensitivities.
struct FittedLine {
    line: Line,
    unknowns: Vec<Dual>,
    fit: u32,
    spread: FitSpread,
}

impl FittedLine {
    fn with(mut self, rows: &FitRows<Dual>, sources: &mut Sources) -> FittedLine {
        let fitted = &self.line.fitted;
        let mut parts: Vec<Vec<(u32, f64)>> = vec![Vec::new(); fitted.unknowns.len()];
        // many readings: each by itself would take too much room, and is of no weight
        let kept = |number: u32| !self.spread.heavy || !sources.is_reading(number);
        let energy = self.line.energy_at().zip(rows.energy.as_ref());
        for (row, (x, y)) in rows.x.iter().zip(&rows.y).enumerate() {
            let used = energy.and_then(|(place, energy)| Some((energy.get(row)?, self.line.by_factor(place, row))));
            let by = [(y, fitted.by_reading(row)), (x, self.line.by_factor(1, row))];
            for (cell, moved) in by.into_iter().chain(used) {
                for (parts, moved) in parts.iter_mut().zip(&moved) {
                    let gradient = cell.gradient.parts().into_iter().filter(|(number, _)| kept(*number));
                    parts.extend(gradient.map(|(number, slope)| (number, slope * moved)));
                }
            }
        }
        for part in 0..fitted.unknowns.len() {
            let Some(own) = self.beyond(part, sources) else { break };
            for (parts, moved) in parts.iter_mut().zip(fitted.part(part)) {
                parts.extend(own.gradient.scaled(*moved).parts());
            }
        }
        let values = fitted.unknowns.iter().copied();
        let unknowns = values.zip(parts).map(|(value, parts)| Dual::of(value, summed(parts)));
        self.unknowns = unknowns.collect();
        self
    }

    /// One of the independent parts of what the fit keeps to itself.
    fn beyond(&self, part: usize, sources: &mut Sources) -> Option<Dual> {
        let standard = f64::sqrt(self.spread.beyond());
        let part = u32::try_from(part).ok().filter(|_| standard > 0.0)?;
        let of_column = sources.of_column(self.spread.column);
        Some(sources.deviation(UncertaintySource {
            of: SourceOf::Beyond(self.fit, part),
            standard,
            declared: 0.0,
            limits: false,
            degrees_of_freedom: self.spread.own_degrees_of_freedom(of_column),
            group: Group::Fit(self.fit),
        }))
    }

    fn asked(&self, columns: &FitColumns<'_, Dual>, sources: &mut Sources) -> Result<Dual, Complaint> {
        let unknown = |place: Option<usize>| {
            place
                .and_then(|place| self.unknowns.get(place))
                .cloned()
                .unwrap_or_default()
        };
        let (middle, slope) = (unknown(Some(0)), unknown(Some(1)));
        let on_line = |at: &Dual| -> Checked<Dual> {
            let reach = at.subtract(&Dual::constant(self.line.mean_x))?;
            middle.add(&slope.multiply(&reach)?)
        };
        let at = columns.at.clone().unwrap_or_default();
        Ok(match columns.fit {
            Fit::BurnRate | Fit::Average => slope.negate(),
            Fit::Slope => slope,
            Fit::Intercept => on_line(&Dual::default())?,
            Fit::LineAt => on_line(&at)?,
            Fit::ReadingAt => on_line(&at)?.add(&self.next_reading(sources)?)?,
            Fit::Attached => unknown(self.line.hung_at()),
            Fit::Reaches => {
                falls(-slope.value)?;
                let past = Dual::crossing(middle.subtract(&at)?, slope.negate())?;
                past.add(&Dual::constant(self.line.mean_x))?
            }
            Fit::RateAtLoad => {
                let by_energy = unknown(self.line.energy_at());
                let unclear = by_energy.value.abs() <= sources.combined(&by_energy).expanded();
                sources.remarks.extend(edges::of_loads(columns, unclear));
                let kilowatts = at.divide(&Dual::constant(1_000.0))?;
                slope.add(&by_energy.multiply(&kilowatts)?)?.negate()
            }
        })
    }

    /// What one more reading errs by on its own.
    fn next_reading(&self, sources: &mut Sources) -> Checked<Dual> {
        let spread = self.spread;
        let own = self.beyond(MOST_UNKNOWNS, sources).unwrap_or_default();
        if !spread.by_reading || spread.heavy {
            return Ok(own);
        }
        let degrees_of_freedom = sources.of_column(spread.column);
        let group = spread.column.filter(|_| degrees_of_freedom.is_finite());
        let next = sources.deviation(UncertaintySource {
            of: SourceOf::NextReading(self.fit),
            standard: f64::sqrt(spread.of_reading()),
            declared: f64::sqrt(spread.nominal),
            limits: false,
            degrees_of_freedom,
            group: group.map_or(Group::Alone, Group::Column),
        });
        own.add(&next)
    }
}

/// Says what to be careful of in these readings; whether nothing speaks against the line.
fn remark(
    columns: &FitColumns<'_, Dual>,
    (readings, line): (&Readings, &Line),
    (declared, rows): (f64, &[usize]),
    sources: &mut Sources,
) -> bool {
    let of_table = |row: &usize| match columns.of_table {
        Some(rows) => rows.get(*row).map_or(*row, |row| *row as usize),
        None => *row,
    };
    let rows: Vec<usize> = rows.iter().map(of_table).collect();
    let beside = sources.beside.get(&columns.site).map_or(&[][..], Vec::as_slice);
    let (found, sound) = questioned((readings, line), declared, &rows, beside);
    sources
        .questioned
        .extend(found.into_iter().map(|found| (columns.site, found)));
    let place = columns
        .at
        .as_ref()
        .filter(|_| matches!(columns.fit, Fit::LineAt | Fit::ReadingAt));
    let outside = place.and_then(|at| remark_on_reading(&readings.x, at.value));
    let edges = edges::of_fit(columns, &readings.x, sources);
    let found = outside.into_iter().chain(edges).map(|remark| (columns.site, remark));
    sources.remarks.extend(found);
    sound
}
