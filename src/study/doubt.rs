//! Doubt: the uncertainty budget of a value, after JCGM 100:2008.
//!
//! One part for each source of uncertainty: how sure it is, how far the value
//! moves with it, what it puts into the combined standard uncertainty. The
//! sensitivities are those of the appraisal; nothing is propagated a second
//! time. What has no tolerance is named too, for a guess without one is a hole
//! in any budget. Start reading at [`doubt`].

use std::collections::{BTreeMap, BTreeSet};

use crate::sheet::appraisal::{Appraisal, Doubt as Appraised, ReadingsOf};
use crate::sheet::gradient::Gradient;
use crate::sheet::names::CellId;
use crate::sheet::source::{SourceOf, Uncertainty, UncertaintySource};
use crate::sheet::{Sheet, Status};
use crate::trade::caution::BY_DRAWS;
use crate::unit::Kind;

use super::why::{Thing, why};

/// The budget of a cell.
pub struct Budget {
    /// How sure the value is.
    pub standing: Standing,
    /// Each source, the one that puts most into it first.
    pub parts: Vec<Part>,
    /// The numbers it rests on that are taken as exact.
    pub exact: Vec<Thing>,
    /// The appraisal it is taken from.
    pub appraisal: Appraisal,
}

/// How sure a value is.
#[derive(Clone, PartialEq, Debug)]
pub enum Standing {
    /// Nothing makes it doubtful.
    Exact,
    /// One value, by the straight line through its inputs.
    Straight(Uncertainty),
    /// A column, row by row.
    Rows(Vec<Uncertainty>),
    /// No straight line tells: only draws can.
    ByDraws,
    /// Nothing tells, since a limit has cut short what it rests on.
    CutShort,
}

/// What one source puts into the uncertainty of a value.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    /// Who it is.
    pub of: PartOf,
    /// Its standard uncertainty, in the unit of what it is; `None` where that has none.
    pub standard: Option<f64>,
    /// Its degrees of freedom; infinite where nothing is said.
    pub degrees_of_freedom: f64,
    /// How far the value moves for one unit of it; `None` where no single number says so.
    pub sensitivity: Option<f64>,
    /// The size of sensitivity times standard uncertainty, in the unit of the value.
    pub contribution: Option<f64>,
    /// Its share of the variance, from 0 to 1.
    pub share: Option<f64>,
}

/// Who a source is.
#[derive(Clone, PartialEq, Debug)]
pub enum PartOf {
    /// An entry.
    Entry(CellId),
    /// A reading: the slot of its column, and its row from 0.
    Reading(u32, u32),
    /// What a line scatters by beyond its readings.
    Scatter(ReadingsOf),
    /// One more reading about the line through these.
    NextReading(ReadingsOf),
}

/// What was drawn, in the unit of the answer.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct DrawnFigures {
    /// How many draws were made.
    pub count: usize,
    /// How many were asked for: more, where they were stopped.
    pub asked: usize,
    /// How many met a problem and don't count.
    pub left_out: usize,
    /// The seed they began with.
    pub seed: u64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: f64,
    /// The low end of the interval that holds 95 % of them.
    pub low: f64,
    /// Its high end.
    pub high: f64,
    /// The same interval of the straight line through the inputs, where there is one.
    pub straight: Option<(f64, f64)>,
    /// The values inside that interval, rising, where they are few.
    pub few: Vec<f64>,
    /// How many lie between two values, from the lowest on.
    pub bins: Vec<(f64, f64, usize)>,
    /// The problem that more than 1 in 1000 of them met.
    pub withheld: Option<String>,
    /// Whether the straight line's interval differs from theirs by more than a tenth.
    pub curved: bool,
}

/// The uncertainty budget of a cell.
pub fn doubt(sheet: &Sheet, cell: CellId) -> Budget {
    let appraisal = sheet.appraise([cell]);
    let standing = match sheet.limited(cell) {
        Some(_) => Standing::CutShort,
        None => standing(cell, &appraisal),
    };
    let rests_on: Vec<Thing> = why(sheet, cell, usize::MAX).iter().map(|step| step.thing).collect();
    let gatherer = Gatherer {
        sheet,
        appraisal: &appraisal,
        rests_on: &rests_on,
    };
    let parts = match &standing {
        Standing::Straight(combined) => gatherer.parts(cell, combined.standard),
        Standing::Exact if sheet.status(cell) != Status::Known => gatherer.without_sensitivity(),
        Standing::Exact => gatherer.parts(cell, 0.0),
        Standing::ByDraws | Standing::CutShort => gatherer.without_sensitivity(),
        Standing::Rows(_) => Vec::new(),
    };
    let exact = gatherer.exact(cell);
    Budget {
        standing,
        parts,
        exact,
        appraisal,
    }
}

fn standing(cell: CellId, appraisal: &Appraisal) -> Standing {
    let drawn = |known: &crate::sheet::appraisal::Cautioned| known.cell == cell && known.caution.code == BY_DRAWS.code;
    match appraisal.doubts.get(&cell) {
        // infinitely steep here
        Some(Appraised::One(combined)) if !combined.standard.is_finite() => Standing::ByDraws,
        Some(Appraised::One(combined)) => Standing::Straight(*combined),
        Some(Appraised::Rows(rows)) => Standing::Rows(rows.clone()),
        None if appraisal.cautions.iter().any(drawn) => Standing::ByDraws,
        None => Standing::Exact,
    }
}

struct Gatherer<'a> {
    sheet: &'a Sheet,
    appraisal: &'a Appraisal,
    rests_on: &'a [Thing],
}

impl Gatherer<'_> {
    /// Every source with what it puts in, the greatest first.
    fn parts(&self, cell: CellId, combined: f64) -> Vec<Part> {
        let gradient = self.appraisal.gradients.get(&cell);
        let gradient: BTreeMap<u32, f64> = gradient.into_iter().flat_map(Gradient::parts).collect();
        let mut parts = Vec::new();
        let mut scatter: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
        for (number, source) in (0u32..).zip(&self.appraisal.sources.list) {
            let sensitivity = gradient.get(&number).copied();
            if let (SourceOf::Beyond(fit, _), Some(slope)) = (source.of, sensitivity) {
                let known = scatter.entry(fit).or_insert((0.0, source.degrees_of_freedom));
                known.0 += (slope * source.standard).powi(2);
            }
            parts.extend(self.part(source, sensitivity));
        }
        parts.extend(scatter.into_iter().map(|(fit, met)| self.scatter(fit, met)));
        for part in &mut parts {
            let size = part.contribution.filter(|_| combined > 0.0);
            part.share = size.map(|size| (size / combined).powi(2));
        }
        let size = |part: &Part| part.contribution.unwrap_or(0.0);
        parts.sort_by(|one, other| size(other).total_cmp(&size(one)));
        parts
    }

    /// An entry that moves nothing has its place too; a reading that moves nothing has none.
    fn part(&self, source: &UncertaintySource, sensitivity: Option<f64>) -> Option<Part> {
        let (of, slope) = match source.of {
            SourceOf::Cell(cell) => (PartOf::Entry(CellId(cell)), sensitivity.unwrap_or(0.0)),
            SourceOf::Reading(slot, row) => (PartOf::Reading(slot, row), sensitivity?),
            SourceOf::NextReading(fit) => (PartOf::NextReading(self.readings_of(fit).0), sensitivity?),
            SourceOf::Beyond(..) | SourceOf::ByDraws => return None,
        };
        let alone = matches!(of, PartOf::Entry(_) | PartOf::Reading(..));
        Some(Part {
            of,
            standard: alone.then_some(source.standard),
            degrees_of_freedom: source.degrees_of_freedom,
            sensitivity: alone.then_some(slope),
            contribution: Some((slope * source.standard).abs()),
            share: None,
        })
    }

    /// The parts of one line's scatter as one: how far the value moves for the scatter of a reading.
    fn scatter(&self, fit: u32, (variance, degrees_of_freedom): (f64, f64)) -> Part {
        let (of, reading) = self.readings_of(fit);
        let contribution = f64::sqrt(variance);
        Part {
            of: PartOf::Scatter(of),
            standard: reading,
            degrees_of_freedom,
            sensitivity: reading.map(|reading| contribution / reading),
            contribution: Some(contribution),
            share: None,
        }
    }

    /// Whose readings a line goes through, and what it has of one beyond them, where its unit
    /// is known.
    fn readings_of(&self, fit: u32) -> (ReadingsOf, Option<f64>) {
        let Some((site, spread)) = self.appraisal.sources.fit_met(fit) else {
            return (ReadingsOf::Unnamed, None);
        };
        let (of, scale) = self.sheet.line_through(site);
        let beyond = f64::sqrt(spread.beyond()) / scale;
        (of, (beyond > 0.0 && of != ReadingsOf::Unnamed).then_some(beyond))
    }

    /// The sources that feed a value of which no straight line tells.
    fn without_sensitivity(&self) -> Vec<Part> {
        let mut told = BTreeSet::new();
        let sources = self.appraisal.sources.list.iter();
        let parts = sources.filter_map(|source| {
            let (of, standard) = match source.of {
                SourceOf::Cell(cell) => (PartOf::Entry(CellId(cell)), Some(source.standard)),
                SourceOf::Reading(slot, row) => (PartOf::Reading(slot, row), Some(source.standard)),
                SourceOf::NextReading(fit) => (PartOf::NextReading(self.readings_of(fit).0), None),
                SourceOf::Beyond(fit, _) if told.insert(fit) => {
                    let (of, reading) = self.readings_of(fit);
                    (PartOf::Scatter(of), reading)
                }
                SourceOf::Beyond(..) | SourceOf::ByDraws => return None,
            };
            Some(Part {
                of,
                standard,
                degrees_of_freedom: source.degrees_of_freedom,
                sensitivity: None,
                contribution: None,
                share: None,
            })
        });
        parts.collect()
    }

    fn has_tolerance(&self, slot: u32) -> bool {
        let mut sources = self.appraisal.sources.list.iter();
        sources.any(|source| matches!(source.of, SourceOf::Reading(of, _) if of == slot))
    }

    // ---- what is taken as exact ----

    fn exact(&self, cell: CellId) -> Vec<Thing> {
        let things = self.rests_on.iter().copied();
        let others = things.filter(|thing| *thing != Thing::Entry(cell));
        others.filter(|thing| self.is_exact(*thing)).collect()
    }

    fn is_exact(&self, thing: Thing) -> bool {
        match thing {
            Thing::Entry(cell) => {
                let given = self.sheet.names().is_input(cell) || self.sheet.held(cell).is_some();
                let known = self.sheet.status(cell) == Status::Known;
                let kind = self.sheet.shape(cell).map(|shape| shape.kind);
                given && known && kind.is_some_and(is_number) && !self.is_source(cell)
            }
            Thing::Column(_, slot) => {
                let kind = self.sheet.table_column(slot).map(|column| column.kind);
                kind.is_some_and(is_number) && !self.has_tolerance(slot)
            }
            Thing::Table(_) => false,
        }
    }

    fn is_source(&self, cell: CellId) -> bool {
        let mut sources = self.appraisal.sources.list.iter();
        sources.any(|source| source.of == SourceOf::Cell(cell.0))
    }
}

fn is_number(kind: Kind) -> bool {
    !matches!(kind, Kind::Text | Kind::Truth)
}
