//! Marks: where the straight line tells less of a value than draws do.
//!
//! A square or a quotient can bend inside its tolerances, a rounding or a choice moves by
//! jumps that no slope tells, and what comes from a table has no slope at all. A few draws
//! look whether anything of the kind is there, and only then are enough made to tell about
//! where a value lies; `doubt` makes more. Start reading at [`mark`].

use std::collections::BTreeSet;

use crate::sheet::appraisal::{Appraisal, MOST_ROWS, Mark, MarkKind};
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet, Status};
use crate::syntax::tree::{ExpressionNode, Value};
use crate::trade::caution::BY_DRAWS;
use crate::trade::registry::function;
use crate::trade::{Body, Function, Part, Told};

use super::draws::{Asked, Draws, Figures, Target, draw_all, value_of};
use super::{Unwatched, Watch};

/// Where streams begin, where nobody says.
pub(crate) const SEED: u64 = 1;
/// How many draws look whether there is anything to tell.
const LOOK: usize = 256;
/// So many sources are drawn at most to look, and so many to tell.
const MOST_LOOKED_AT: usize = 4_000_000;
const MOST_DRAWN: usize = 20_000_000;
/// No fewer draws than these tell anything.
const LEAST: usize = 200;
/// How many tell about where a value lies.
pub(crate) const ENOUGH: usize = 2_000;
/// How many are made of what comes from a table.
pub(crate) const OF_TABLES: usize = 400;
/// So many steps they may take at most, in all the tables that a draw makes: by count, since
/// the clock would tell one machine more than another.
const MOST_STEPS: usize = 200_000;
/// The looks are fewer, so that they have to see less.
const SUSPECT: f64 = 0.4;

/// Whether what rests on tables that functions make is drawn too: each draw makes them anew.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Tables {
    /// It is.
    Drawn,
    /// It isn't, unless it was drawn before.
    Left,
    /// It isn't, and isn't told either: two states are compared as they stand.
    Untold,
    /// Nothing is drawn, neither of tables nor else: what was drawn before is told, the rest comes
    /// later.
    Later,
}

/// Marks the cells that were asked of an appraisal, as far as draws say something else. What
/// was drawn is kept with the values, so that they are drawn once.
pub(crate) fn mark(sheet: &Sheet, cells: &[CellId], appraisal: &mut Appraisal, tables: Tables) {
    mark_watched(sheet, cells, appraisal, tables, &Unwatched);
}

/// Draws for these cells whatever nothing is known of yet, so that it is kept; whether that was
/// gone on with to its end.
pub(crate) fn draw_for(sheet: &Sheet, cells: &[CellId], watch: &dyn Watch) -> bool {
    let mut appraisal = sheet.appraise(cells.iter().copied());
    mark_watched(sheet, cells, &mut appraisal, Tables::Drawn, watch);
    watch.goes_on(0, 1)
}

/// Those of these uncertain cells of which draws may still say something.
pub(crate) fn to_draw(sheet: &Sheet, cells: &[CellId]) -> Vec<CellId> {
    let unknown = |target: Target| sheet.kept_marks().of(target.cell, target.row).is_none();
    let appraisal = sheet.appraise(cells.iter().copied());
    let open = |cell: &CellId| {
        let is_uncertain = appraisal.doubts.contains_key(cell) || by_draws(&appraisal, *cell);
        is_uncertain && !is_bound(&appraisal, *cell) && targets(sheet, *cell).into_iter().any(unknown)
    };
    cells.iter().copied().filter(open).collect()
}

fn mark_watched(sheet: &Sheet, cells: &[CellId], appraisal: &mut Appraisal, tables: Tables, watch: &dyn Watch) {
    let told = |cell: &&CellId| !appraisal.marks.contains_key(cell) && !is_bound(appraisal, **cell);
    let mut targets: Vec<Target> = cells
        .iter()
        .filter(told)
        .flat_map(|cell| targets(sheet, *cell))
        .collect();
    let making: BTreeSet<CellId> = makers(appraisal).collect();
    let makes = |target: &Target| !making.is_empty() && rests_on(sheet, target.cell, &making);
    if tables == Tables::Untold {
        targets.retain(|target| !makes(target));
    }
    let unknown = |target: &&Target| sheet.kept_marks().of(target.cell, target.row).is_none();
    let unknown: Vec<Target> = targets.iter().filter(unknown).copied().collect();
    let (made, plain) = unknown.into_iter().partition(makes);
    if tables != Tables::Later {
        look(sheet, appraisal, (made, plain), tables, watch);
    }
    for target in targets {
        if let Some(Some(mark)) = sheet.kept_marks().of(target.cell, target.row) {
            tell(sheet, appraisal, target, mark);
        }
    }
}

/// Draws what nothing is known of yet.
fn look(
    sheet: &Sheet,
    appraisal: &Appraisal,
    (made, plain): (Vec<Target>, Vec<Target>),
    tables: Tables,
    watch: &dyn Watch,
) {
    let (suspects, plain) = suspects(sheet, appraisal, plain, watch);
    draw(sheet, appraisal, &suspects, ENOUGH, watch);
    let slow = match tables {
        Tables::Drawn => {
            let (quick, slow, count) = affordable(sheet, appraisal, made);
            draw(sheet, appraisal, &quick, count, watch);
            slow
        }
        Tables::Left | Tables::Untold | Tables::Later => Vec::new(),
    };
    if !watch.goes_on(0, 1) {
        return;
    }
    for target in plain.into_iter().chain(slow) {
        sheet.kept_marks().keep(target.cell, target.row, None);
    }
}

/// Of the targets that rest on tables those that may be drawn, the rest, and how many draws they
/// may have: what is quickly made comes first, whatever else the worksheet makes.
fn affordable(sheet: &Sheet, appraisal: &Appraisal, targets: Vec<Target>) -> (Vec<Target>, Vec<Target>, usize) {
    let making =
        |cells: &BTreeSet<CellId>| -> usize { cells.iter().filter_map(|cell| appraisal.making.get(cell)).sum() };
    let needs = |target: &Target| -> BTreeSet<CellId> { sheet.needed_by(target.cell).into_iter().collect() };
    let mut order: Vec<(usize, Target)> = targets.iter().map(|target| (making(&needs(target)), *target)).collect();
    order.sort();
    let (mut all, mut steps) = (BTreeSet::new(), 0);
    let (mut quick, mut slow) = (BTreeSet::new(), BTreeSet::new());
    for (_, target) in order {
        let mut more = needs(&target);
        more.extend(&all);
        let with = making(&more);
        if with * LEAST > MOST_STEPS {
            slow.insert(target);
            continue;
        }
        (all, steps) = (more, with);
        quick.insert(target);
    }
    let count = OF_TABLES.min(MOST_STEPS / steps.max(1));
    (quick.into_iter().collect(), slow.into_iter().collect(), count)
}

/// The cells that make a table or read one that was made.
fn makers(appraisal: &Appraisal) -> impl Iterator<Item = CellId> {
    let makes = |asked: &Function| matches!(asked.body, Body::OfTable(_) | Body::Table { .. });
    let users = appraisal.functions.iter().filter(move |(_, asked)| makes(asked));
    users.map(|(user, _)| *user)
}

fn rests_on(sheet: &Sheet, cell: CellId, any: &BTreeSet<CellId>) -> bool {
    sheet.needed_by(cell).iter().any(|needed| any.contains(needed))
}

/// What of a cell may be marked: its value, the rows of a short column, or a verdict.
fn targets(sheet: &Sheet, cell: CellId) -> Vec<Target> {
    let check = sheet.entry(cell).is_none();
    let worked = sheet.held(cell).is_none() && sheet.entry(cell).is_none_or(|entry| !entry.kind.is_input());
    match sheet.reading(cell) {
        _ if !worked || sheet.status(cell) != Status::Known => Vec::new(),
        // a row that a limit has cut short takes the whole column out of a draw
        Reading::Column(cells) if !check && cells.first_open().is_some() => Vec::new(),
        Reading::Column(cells) if !check => {
            let rows = (0u32..)
                .zip(cells.iter())
                .filter(|(_, value)| value.is_some() && cells.len() <= MOST_ROWS);
            rows.map(|(row, _)| Target { cell, row: Some(row) }).collect()
        }
        Reading::Column(_) if sheet.name_of(cell).is_some() => Vec::new(),
        _ => vec![cell.into()],
    }
}

/// Whether a cell is a bound on what is uncertain, and not uncertain itself.
fn is_bound(appraisal: &Appraisal, cell: CellId) -> bool {
    let mut functions = appraisal.functions.iter().filter(|(user, _)| *user == cell);
    !appraisal.doubts.contains_key(&cell) && functions.any(|(_, function)| function.told == Told::Bounds)
}

/// Whether only draws can tell how sure a cell is, since it comes from a table.
fn by_draws(appraisal: &Appraisal, cell: CellId) -> bool {
    let mut cautions = appraisal.cautions.iter();
    appraisal.by_draws.contains(&cell)
        || cautions.any(|caution| caution.cell == cell && caution.caution.code == BY_DRAWS.code)
}

/// Those of which a few draws say something else than the straight line, or might, and the rest.
fn suspects(
    sheet: &Sheet,
    appraisal: &Appraisal,
    targets: Vec<Target>,
    watch: &dyn Watch,
) -> (Vec<Target>, Vec<Target>) {
    let sources = appraisal.sources.list.len();
    let (straight, targets): (Vec<_>, Vec<_>) = targets.into_iter().partition(|target| appraisal.is_sum(target.cell));
    if sources == 0 || targets.is_empty() {
        return (Vec::new(), [straight, targets].concat());
    }
    let count = (MOST_LOOKED_AT / sources).clamp(2, LOOK);
    let asked = Asked { count, seed: SEED };
    let draws = draw_all(sheet, appraisal, &targets, asked, watch);
    let (suspects, plain): (Vec<_>, Vec<_>) = targets.into_iter().zip(draws).partition(|(_, draws)| is_suspect(draws));
    let only = |list: Vec<(Target, Draws)>| list.into_iter().map(|(target, _)| target).collect();
    (only(suspects), [straight, only(plain)].concat())
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

/// Draws targets and keeps what the straight line doesn't say of them, unless it was broken off.
fn draw(sheet: &Sheet, appraisal: &Appraisal, targets: &[Target], count: usize, watch: &dyn Watch) {
    if targets.is_empty() {
        return;
    }
    let affordable = (MOST_DRAWN / appraisal.sources.list.len().max(1)).max(LEAST);
    let asked = Asked {
        count: count.min(affordable),
        seed: SEED,
    };
    let drawn = draw_all(sheet, appraisal, targets, asked, watch);
    if !watch.goes_on(0, 1) {
        return;
    }
    for (target, draws) in targets.iter().zip(drawn) {
        let tabled = by_draws(appraisal, target.cell);
        let steady = tabled && sheet.entry(target.cell).is_none() && draws.left_out == 0;
        let mark = marked(sheet, *target, tabled, &draws).or(steady.then(Mark::steady));
        sheet.kept_marks().keep(target.cell, target.row, mark);
    }
}

/// A check could go either way; a value or a row has its mark.
fn tell(sheet: &Sheet, appraisal: &mut Appraisal, target: Target, mark: Mark) {
    let check = sheet.entry(target.cell).is_none();
    match target.row {
        _ if check && mark.kind == MarkKind::Gaps => {}
        _ if check && mark.kind == MarkKind::Steady => drop(appraisal.by_draws.remove(&target.cell)),
        _ if check => {
            appraisal.by_draws.remove(&target.cell);
            appraisal.close.insert(target.cell);
            appraisal.likely.insert(target.cell, mark.mean);
        }
        Some(row) => drop(appraisal.row_marks.insert((target.cell, row), mark)),
        None => drop(appraisal.marks.insert(target.cell, mark)),
    }
}

/// What draws say beside the straight line, if that is something else.
fn marked(sheet: &Sheet, target: Target, by_draws: bool, draws: &Draws) -> Option<Mark> {
    let value = value_of(sheet, target)?;
    if let Some(low) = draws
        .least
        .filter(|_| draws.withheld() && goes_on(sheet, target, draws))
    {
        return Some(Mark::new(MarkKind::ByDraws, (low, f64::INFINITY)));
    }
    if draws.withheld() {
        return Some(Mark::new(MarkKind::Gaps, (f64::NAN, f64::NAN)));
    }
    let figures = draws.figures.as_ref()?;
    let kind = match draws.straight {
        _ if by_draws => MarkKind::ByDraws,
        Some((low, high)) if high > low => MarkKind::Bends,
        _ => MarkKind::Hides,
    };
    let few = match kind {
        MarkKind::Bends => Vec::new(),
        _ => with_record(&draws.few, value),
    };
    let told = match kind {
        MarkKind::Bends => draws.curved(),
        _ => moves(figures) || few.len() > 1,
    };
    told.then_some(Mark {
        kind,
        few,
        ends: (figures.low, figures.high),
        mean: figures.mean,
    })
}

/// Whether all that draws left out is time that goes on beyond the limit of a table.
fn goes_on(sheet: &Sheet, target: Target, draws: &Draws) -> bool {
    let Some(Value::Given { expression, .. }) = sheet.entry(target.cell).and_then(|entry| entry.value.as_ref()) else {
        return false;
    };
    let is_time = match &expression.node {
        ExpressionNode::Call(call) => function(&call.name.text).is_some_and(|asked| match asked.body {
            Body::OfTable(of) => matches!(of.part, Part::Last(_)),
            _ => false,
        }),
        _ => false,
    };
    is_time && draws.cut_short == draws.left_out
}

/// Whether draws move a value by more than its last digits.
fn moves(figures: &Figures) -> bool {
    let size = figures.low.abs().max(figures.high.abs());
    figures.high - figures.low > 1e-9 * size
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
