//! Values moved to both ends of how far they may be off, and what the answers do.
//!
//! Each is moved in a copy of the worksheet. Start reading at [`Moving::line`].

use crate::number::Number;
use crate::problem::Problem;
use crate::sheet::appraise::uncertainty_unit;
use crate::sheet::names::CellId;
use crate::sheet::table::limit_of;
use crate::sheet::{Sheet, tolerance_of};
use crate::unit::{Kind, conversion, conversion_to_absolute};

use super::super::aim::problem_of;
use super::super::vary::{Varied, is_pressure_point, step_of};
use super::finding::{Claim, Finding, Findings};
use super::uses::Uses;
use super::{Line, Rests, Subject, Weight, kind_of, number, rests_on, unit};

/// How far a value is moved.
#[derive(Clone, PartialEq, Debug)]
pub struct Reach {
    /// By what rule.
    pub how: How,
    /// How far up and down, in the unit in which such values differ; `None` for a column
    /// whose rows differ in it.
    pub by: Option<Number>,
}

/// By what rule a value is moved.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum How {
    /// Over its own tolerance.
    Tolerance,
    /// By 10 % of itself.
    TenPercent,
    /// By 9 F°.
    Degrees,
    /// By 10 % of the absolute pressure.
    AbsolutePressure,
    /// By an hour.
    Hour,
    /// By 3 dB.
    Decibels,
}

/// What a move did to an answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Move {
    /// The larger of the changes at the two ends, without sign, in the unit in which such answers differ.
    pub change: Number,
    /// The same as a part of the answer; `None` where the answer is 0, or has no true zero.
    pub relative: Option<Number>,
}

/// The worksheet while its values are moved.
pub(super) struct Moving<'a> {
    sheet: &'a Sheet,
    answers: &'a [CellId],
    uses: &'a Uses,
    rests: Rests,
    /// The answers as they stand.
    before: Vec<Option<Number>>,
}

/// What the answers are at one end.
struct End {
    at: Vec<Option<Number>>,
    problem: Option<Problem>,
}

impl<'a> Moving<'a> {
    pub(super) fn new(sheet: &'a Sheet, answers: &'a [CellId], uses: &'a Uses) -> Moving<'a> {
        Moving {
            rests: rests_on(sheet, answers),
            before: answers.iter().map(|answer| number(sheet, *answer)).collect(),
            sheet,
            answers,
            uses,
        }
    }

    /// How many answers there are.
    pub(super) fn answers(&self) -> usize {
        self.answers.len()
    }

    /// One value moved.
    pub(super) fn line(&mut self, subject: Subject, found: &mut Findings) -> Line {
        let concerned = self.concerned(subject);
        let moved = match subject {
            Subject::Cell(cell) => self.cell(cell, &concerned, found),
            Subject::Column(_, slot) => self.column(slot, &concerned),
            Subject::Item(_) => None,
        };
        let mut line = Line::still(subject, self.answers.len());
        line.weight = Weight::Value;
        let Some((reach, ends)) = moved else { return line };
        line.reach = Some(reach);
        line.moves = self.moves(&concerned, &ends);
        if let Some(finding) = at_ends(&ends) {
            found.add(subject, finding);
        }
        line
    }

    /// Whether each answer rests on it.
    fn concerned(&self, subject: Subject) -> Vec<bool> {
        let users = match subject {
            Subject::Cell(cell) => vec![cell],
            Subject::Column(_, slot) => {
                let mut users = self.uses.users(slot);
                users.retain(|user| self.sheet.held(*user).is_none());
                users
            }
            Subject::Item(_) => Vec::new(),
        };
        let rests = |answer: &CellId| self.rests.get(answer);
        let concerned = |answer| rests(answer).is_some_and(|needs| users.iter().any(|user| needs.contains(user)));
        self.answers.iter().map(concerned).collect()
    }

    /// How far an entry is moved, and the answers at both ends; none where no answer rests on it.
    fn cell(&mut self, cell: CellId, concerned: &[bool], found: &mut Findings) -> Option<(Reach, Vec<End>)> {
        let value = number(self.sheet, cell)?;
        let reach = reach(self.sheet, cell, value)?;
        let by = reach.by?;
        if by.is_zero() {
            found.add(Subject::Cell(cell), Finding::ZeroValue);
            return None;
        }
        let mut ends = Vec::new();
        if concerned.contains(&true) {
            let places = [value.sub(by).ok(), value.add(by).ok()];
            let mut varied = Varied::new(self.sheet, cell);
            for place in places {
                ends.push(match place {
                    Some(place) => end(varied.at(place), self.answers, concerned),
                    None => End {
                        at: vec![None; concerned.len()],
                        problem: None,
                    },
                });
            }
        }
        Some((reach, ends))
    }

    /// The same of a column, whose rows are moved together.
    fn column(&mut self, slot: u32, concerned: &[bool]) -> Option<(Reach, Vec<End>)> {
        let (reach, bys) = column_reach(self.sheet, slot)?;
        let mut ends = Vec::new();
        if concerned.contains(&true) {
            let users = self.uses.users(slot);
            let cells = self.sheet.column_cells(slot);
            let mut copy = self.sheet.clone();
            for up in [false, true] {
                let moved = cells.iter().zip(&bys).map(|(cell, by)| moved_cell(*cell, *by, up));
                let moved: Vec<Option<Number>> = moved.collect();
                copy.move_column(slot, moved, &users);
                ends.push(end(&copy, self.answers, concerned));
            }
        }
        Some((reach, ends))
    }

    fn moves(&self, concerned: &[bool], ends: &[End]) -> Vec<Option<Move>> {
        let each = self.answers.iter().zip(&self.before).zip(concerned).enumerate();
        let moves = each.map(|(place, ((answer, before), concerned))| {
            let before = (*before)?;
            let kind = self.sheet.shape(*answer)?.kind;
            if !concerned {
                return Some(moved_by(kind, before, Number::ZERO));
            }
            let changes = ends.iter().filter_map(|end| {
                let now = (*end.at.get(place)?)?;
                now.sub(before).ok().map(Number::abs)
            });
            let change = changes.max_by(|one, other| one.compare(*other))?;
            Some(moved_by(kind, before, change))
        });
        moves.collect()
    }
}

fn end(sheet: &Sheet, answers: &[CellId], concerned: &[bool]) -> End {
    let asked = answers.iter().zip(concerned);
    let at: Vec<Option<Number>> = asked
        .map(|(answer, concerned)| concerned.then(|| number(sheet, *answer)).flatten())
        .collect();
    let mut without = answers.iter().zip(concerned).zip(&at);
    let without = without.find(|((_, concerned), at)| **concerned && at.is_none());
    End {
        problem: without.and_then(|((answer, _), _)| problem_of(sheet, *answer)),
        at,
    }
}

/// What an end without value asks for.
fn at_ends(ends: &[End]) -> Option<Finding> {
    let problem = |end: &End| end.problem.clone();
    match ends {
        [low, high] => match (problem(low), problem(high)) {
            (None, None) => None,
            (Some(low), None) => Some(Finding::OneEnd {
                up: false,
                problem: low,
            }),
            (None, Some(high)) => Some(Finding::OneEnd {
                up: true,
                problem: high,
            }),
            (Some(low), Some(_)) => Some(Finding::NoEnd(low)),
        },
        _ => None,
    }
}

/// A move below this part of an answer is what rounding leaves.
const ROUNDING: f64 = 1e-12;

fn moved_by(kind: Kind, before: Number, change: Number) -> Move {
    let step = step_of(kind);
    let scale = step.unwrap_or(match before.is_zero() {
        true => Number::ONE,
        false => before.abs(),
    });
    let counts = change.to_f64() > ROUNDING * scale.to_f64();
    let change = if counts { change } else { Number::ZERO };
    let has_zero = step.is_none() && !before.is_zero();
    Move {
        change,
        relative: has_zero.then(|| change.div(before.abs()).ok()).flatten(),
    }
}

/// How far a value may be out, as it stands.
fn reach(sheet: &Sheet, cell: CellId, value: Number) -> Option<Reach> {
    let kind = sheet.shape(cell)?.kind;
    // a ± of zero moves nothing: it counts as none
    let stated = stated(sheet, cell, value).filter(|by| by.is_none_or(|by| !by.is_zero()));
    if let Some(by) = stated {
        return Some(Reach {
            how: How::Tolerance,
            by,
        });
    }
    let (how, by) = usual(kind, value)?;
    Some(Reach { how, by: Some(by) })
}

/// The limit that a line, or who holds it, states with ±; `None` where there is no ±, and
/// within it where no limit can be told.
fn stated(sheet: &Sheet, cell: CellId, value: Number) -> Option<Option<Number>> {
    let kind = sheet.shape(cell)?.kind;
    let tolerance = match sheet.held(cell) {
        Some(held) => held.tolerance,
        None => tolerance_of(sheet.entry(cell)?),
    };
    Some(limit_of(tolerance?, uncertainty_unit(kind), value))
}

/// A ± smaller than this part of its value is remarked on.
const TINY: f64 = 1e-3;

/// Whether the ± of a value is none at all, or so small that few instruments reach it.
pub(super) fn claim(sheet: &Sheet, subject: Subject) -> Option<Claim> {
    match subject {
        Subject::Cell(cell) => {
            let value = number(sheet, cell)?;
            let by = stated(sheet, cell, value)??.to_f64();
            let of = kind_of(sheet, subject)?;
            // half a step of the last digit shown is what a display leaves open
            let half_step = 0.5 * 10f64.powi(-i32::try_from(value.decimals()).unwrap_or(0));
            let tiny = is_measured_from_zero(of) && by < TINY * value.to_f64().abs() && by < half_step * 0.999;
            (by == 0.0).then_some(Claim::Zero).or(tiny.then_some(Claim::Tiny))
        }
        Subject::Column(_, slot) => says_zero(sheet, slot).then_some(Claim::Zero),
        Subject::Item(_) => None,
    }
}

/// Whether a part of a value says how good its ± is: not of points, of levels, and of times,
/// which clocks tell to the second.
fn is_measured_from_zero(kind: Kind) -> bool {
    let Kind::Quantity(of) = kind else { return false };
    !of.is_point() && conversion(of, unit("h")).is_none()
}

/// Whether a column has a ± and each of its limits is zero.
fn says_zero(sheet: &Sheet, slot: u32) -> bool {
    let Some(column) = sheet.table_column(slot).filter(|column| !column.made) else {
        return false;
    };
    let stated = column.tolerance.is_some() || !column.own_tolerances.is_empty();
    stated && column.uncertainty.iter().all(|u| *u == 0.0)
}

/// How far a value is moved where nothing is said.
fn usual(kind: Kind, value: Number) -> Option<(How, Number)> {
    let tenth = |value: Number| value.abs().div(Number::from_integer(10)).ok();
    match kind {
        Kind::Quantity(of) if is_pressure_point(of) => {
            let absolute = conversion_to_absolute(of, of.interval())?.apply(value).ok()?;
            Some((How::AbsolutePressure, tenth(absolute)?))
        }
        Kind::Quantity(of) if of.is_point() => Some((How::Degrees, step_of(kind)?)),
        Kind::Quantity(_) => Some((How::TenPercent, tenth(value)?)),
        Kind::Level | Kind::Decibels => Some((How::Decibels, step_of(kind)?)),
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Some((How::Hour, step_of(kind)?)),
        Kind::Text | Kind::Truth => None,
    }
}

/// How far the rows of a written column may be out, each in turn.
fn column_reach(sheet: &Sheet, slot: u32) -> Option<(Reach, Vec<Option<Number>>)> {
    let column = sheet.table_column(slot).filter(|column| !column.made)?;
    let kind = column.kind;
    if matches!(kind, Kind::Text | Kind::Truth) {
        return None;
    }
    if column.tolerance.is_none() && column.own_tolerances.is_empty() || says_zero(sheet, slot) {
        let usual = |cell: &Option<Number>| usual(kind, (*cell)?);
        let each: Vec<Option<(How, Number)>> = column.cells.iter().map(usual).collect();
        let how = each.iter().flatten().map(|(how, _)| *how).next()?;
        let bys: Vec<Option<Number>> = each.into_iter().map(|each| each.map(|(_, by)| by)).collect();
        return Some((together(how, &bys), bys));
    }
    let unit = uncertainty_unit(kind);
    let own = |row: usize| {
        let row = u32::try_from(row).unwrap_or(u32::MAX);
        let place = column.own_tolerances.binary_search_by_key(&row, |(row, _)| *row);
        let own = place.ok().and_then(|place| column.own_tolerances.get(place));
        own.map(|(_, tolerance)| *tolerance).or(column.tolerance)
    };
    let by = |(row, cell): (usize, &Option<Number>)| limit_of(own(row)?, unit, (*cell)?);
    let bys: Vec<Option<Number>> = column.cells.iter().enumerate().map(by).collect();
    Some((together(How::Tolerance, &bys), bys))
}

/// The one row of several of a written column that may be out.
pub(crate) fn only_row_out(sheet: &Sheet, slot: u32) -> Option<u32> {
    if sheet.column_cells(slot).iter().flatten().count() < 2 {
        return None;
    }
    let (_, bys) = column_reach(sheet, slot)?;
    let is_out = |(_, by): &(usize, Option<Number>)| by.is_some_and(|by| !by.is_zero());
    let mut out = bys.into_iter().enumerate().filter(is_out);
    match (out.next(), out.next()) {
        (Some((row, _)), None) => u32::try_from(row).ok(),
        _ => None,
    }
}

fn together(how: How, bys: &[Option<Number>]) -> Reach {
    let mut all = bys.iter().flatten();
    let first = all.next().copied();
    Reach {
        how,
        by: first.filter(|first| all.all(|by| by == first)),
    }
}

fn moved_cell(cell: Option<Number>, by: Option<Number>, up: bool) -> Option<Number> {
    let (cell, by) = (cell?, by.unwrap_or(Number::ZERO));
    let moved = if up { cell.add(by) } else { cell.sub(by) };
    Some(moved.unwrap_or(cell))
}
