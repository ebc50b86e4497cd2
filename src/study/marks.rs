//! Marks: where the straight line tells less of a value than draws do.
//!
//! A square or a quotient can bend inside its tolerances, a rounding or a choice moves by
//! jumps that no slope tells, and what comes from a table has no slope at all. A few draws
//! look whether anything of the kind is there, and only then are as many made as `doubt`
//! makes, so that both say the same. Start reading at [`mark`].

use std::collections::BTreeSet;

use crate::sheet::appraise::{Appraisal, Mark, MarkKind};
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet, Status};
use crate::trade::caution::BY_DRAWS;
use crate::trade::registry::function;
use crate::trade::{Body, Function};

use super::Unwatched;
use super::draws::{Asked, Draws, Figures, draw_all};

/// How many draws tell whether a worksheet bends.
pub const QUICK: usize = 10_000;
/// Where streams begin, where nobody says.
pub const SEED: u64 = 1;
/// How many draws look whether there is anything to tell.
const LOOK: usize = 256;
/// So many sources are drawn at most to look, and so many to tell.
const MOST_LOOKED_AT: usize = 4_000_000;
const MOST_DRAWN: usize = 20_000_000;
/// No fewer draws than these tell anything.
const LEAST: usize = 200;
/// How many are made of what comes from a table.
const OF_TABLES: usize = 500;
/// The looks are fewer, so that they have to see less.
const SUSPECT: f64 = 0.4;

/// Marks the cells that were asked of an appraisal, as far as draws say something else.
pub fn mark(sheet: &Sheet, cells: &[CellId], appraisal: &mut Appraisal) {
    let single = cells.iter().copied().filter(|cell| is_single(sheet, *cell));
    let (of_tables, plain): (Vec<CellId>, Vec<CellId>) = single.partition(|cell| by_draws(appraisal, *cell));
    let suspects = suspects(sheet, appraisal, &plain);
    note(sheet, appraisal, &suspects, QUICK);
    let quick = of_tables.into_iter().filter(|cell| is_quick(sheet, appraisal, *cell));
    let of_tables: Vec<CellId> = quick.collect();
    note(sheet, appraisal, &of_tables, OF_TABLES);
}

/// Whether a cell has one value that something can move.
fn is_single(sheet: &Sheet, cell: CellId) -> bool {
    let worked = sheet.held(cell).is_none() && sheet.entry(cell).is_none_or(|entry| !entry.kind.is_input());
    let known = sheet.status(cell) == Status::Known && matches!(sheet.reading(cell), Reading::Number(_));
    worked && known
}

/// Whether only draws can tell how sure a cell is, since it comes from a table.
fn by_draws(appraisal: &Appraisal, cell: CellId) -> bool {
    let mut cautions = appraisal.cautions.iter();
    appraisal.by_draws.contains(&cell)
        || cautions.any(|caution| caution.cell == cell && caution.caution.code == BY_DRAWS.code)
}

/// Whether the tables that a cell comes from are made quickly.
fn is_quick(sheet: &Sheet, appraisal: &Appraisal, cell: CellId) -> bool {
    let needed: BTreeSet<CellId> = sheet.needed_by(cell).into_iter().collect();
    let functions = appraisal.functions.iter().filter(|(user, _)| needed.contains(user));
    let tables = functions.filter_map(|(_, asked)| match asked.body {
        Body::OfTable(of) => function(of.table),
        Body::Table { .. } => Some(asked),
        _ => None,
    });
    let quick = |table: &Function| matches!(table.body, Body::Table { quick: true, .. });
    let mut tables = tables.map(quick).peekable();
    tables.peek().is_some() && tables.all(|quick| quick)
}

/// The cells of which a few draws say something else than the straight line, or might.
fn suspects(sheet: &Sheet, appraisal: &Appraisal, cells: &[CellId]) -> Vec<CellId> {
    let sources = appraisal.sources.list.len();
    if sources == 0 || cells.is_empty() {
        return Vec::new();
    }
    let count = (MOST_LOOKED_AT / sources).clamp(2, LOOK);
    let asked = Asked { count, seed: SEED };
    let draws = draw_all(sheet, appraisal, cells, asked, &Unwatched);
    let told = cells.iter().zip(draws);
    told.filter(|(_, draws)| is_suspect(draws))
        .map(|(cell, _)| *cell)
        .collect()
}

fn is_suspect(draws: &Draws) -> bool {
    let moves = draws.figures.as_ref().is_some_and(moves);
    match (&draws.figures, draws.straight) {
        _ if draws.left_out > 0 => true,
        (Some(figures), Some((low, high))) if high > low => {
            let off = (figures.low - low).abs().max((figures.high - high).abs());
            off > SUSPECT * super::draws::CURVED * 0.5 * (high - low)
        }
        _ => moves,
    }
}

/// Whether draws move a value by more than its last digits.
fn moves(figures: &Figures) -> bool {
    let size = figures.low.abs().max(figures.high.abs());
    figures.high - figures.low > 1e-9 * size
}

/// Draws cells and keeps what the straight line doesn't say of them.
fn note(sheet: &Sheet, appraisal: &mut Appraisal, cells: &[CellId], count: usize) {
    if cells.is_empty() {
        return;
    }
    let affordable = (MOST_DRAWN / appraisal.sources.list.len().max(1)).max(LEAST);
    let asked = Asked {
        count: count.min(affordable),
        seed: SEED,
    };
    let drawn = draw_all(sheet, appraisal, cells, asked, &Unwatched);
    for (cell, draws) in cells.iter().zip(drawn) {
        let check = sheet.entry(*cell).is_none();
        match marked(sheet, *cell, by_draws(appraisal, *cell), &draws) {
            Some(mark) if check && mark.kind != MarkKind::Gaps => {
                appraisal.by_draws.remove(cell);
                appraisal.close.insert(*cell);
            }
            Some(mark) if !check => drop(appraisal.marks.insert(*cell, mark)),
            _ => {}
        }
    }
}

/// What draws say beside the straight line, if that is something else.
fn marked(sheet: &Sheet, cell: CellId, by_draws: bool, draws: &Draws) -> Option<Mark> {
    let Reading::Number(value) = sheet.reading(cell) else {
        return None;
    };
    if draws.withheld() {
        return Some(Mark {
            kind: MarkKind::Gaps,
            few: Vec::new(),
            ends: (f64::NAN, f64::NAN),
        });
    }
    let figures = draws.figures.as_ref()?;
    let kind = match draws.straight {
        _ if by_draws => MarkKind::ByDraws,
        Some((low, high)) if high > low => MarkKind::Bends,
        _ => MarkKind::Hides,
    };
    let few = with_record(&draws.few, value.to_f64());
    let told = match kind {
        MarkKind::Bends => draws.curved(),
        _ => moves(figures) || few.len() > 1,
    };
    told.then_some(Mark {
        kind,
        few,
        ends: (figures.low, figures.high),
    })
}

/// A few values, that of the record among them.
fn with_record(few: &[f64], record: f64) -> Vec<f64> {
    let mut all = few.to_vec();
    if !all.is_empty() && !all.contains(&record) {
        all.push(record);
        all.sort_by(f64::total_cmp);
    }
    all
}
