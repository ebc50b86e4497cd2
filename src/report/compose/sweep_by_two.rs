//! From a sweep over two inputs to what a reader gets.
//!
//! Each pair is worked out, and its uncertainty looked at, with both inputs held there.
//! Start reading at [`sweep_by_two`].

use crate::number::Number;
use crate::sheet::names::CellId;
use crate::sheet::source::Uncertainty;
use crate::sheet::{Reading, Sheet};
use crate::study::Watch;
use crate::study::aim::problem_of;
use crate::study::vary::{Input, Varied};
use crate::time_limit;

use super::super::shown::Shown;
use super::super::sweep::Named;
use super::super::sweep_by_two::{Pair, SweepByTwo, TwoWays};
use super::table::coverage;
use super::vary::{Troubles, is_number, kind_of, name_of, shown_input, told, unit_of};
use super::{Options, answers, machine_value, scalar};

/// The answers at each pair of values of two inputs. `watch` hears of the pairs done.
pub(crate) fn sweep_by_two(
    sheet: &Sheet,
    (input, values): (Input, &[Number]),
    (by, others): (Input, &[Number]),
    watch: &dyn Watch,
    options: Options,
) -> SweepByTwo {
    let asked = values.len() * others.len();
    let varied = [input.entry(), by.entry()];
    let cells = answers(sheet).into_iter().filter(|cell| !varied.contains(&Some(*cell)));
    let cells: Vec<CellId> = cells.collect();
    let moves = |cell: &CellId| input.moves(sheet, *cell) || by.moves(sheet, *cell);
    let moved: Vec<CellId> = cells.iter().copied().filter(moves).collect();
    let mut found = SweepByTwo {
        input: name_of(sheet, input),
        unit: unit_of(sheet, input),
        by: name_of(sheet, by),
        by_unit: unit_of(sheet, by),
        units: Named(
            moved
                .iter()
                .map(|cell| (name_of(sheet, *cell), unit_of(sheet, *cell)))
                .collect(),
        ),
        rows: Vec::with_capacity(asked),
        shown: (
            values
                .iter()
                .map(|value| shown_input(sheet, input, *value, options))
                .collect(),
            others
                .iter()
                .map(|value| shown_input(sheet, by, *value, options))
                .collect(),
        ),
        tables: Vec::new(),
        still: Vec::new(),
        troubles: Vec::new(),
        cautions: Vec::new(),
        asked,
    };
    let mut troubles = Troubles::default();
    let mut shown: Vec<Vec<Shown>> = vec![Vec::with_capacity(asked); moved.len()];
    let mut down = Varied::new(sheet, input);
    'values: for (value, value_shown) in values.iter().zip(&found.shown.0) {
        let mut across = Varied::new(down.at(*value), by);
        for (other, other_shown) in others.iter().zip(&found.shown.1) {
            if !watch.goes_on(found.rows.len(), asked) {
                break 'values;
            }
            let sheet = across.at(*other);
            let told = told(sheet, &moved, options, &mut found.cautions);
            if time_limit::is_up() {
                // what lacks a value may lack it for want of time alone
                break 'values;
            }
            for cell in &moved {
                let without = matches!(sheet.reading(*cell), Reading::None(_) | Reading::Within(_));
                if let Some(problem) = problem_of(sheet, *cell).filter(|_| without) {
                    let names = (name_of(sheet, input), name_of(sheet, by));
                    troubles.add(
                        sheet,
                        &problem,
                        &format!("{} {value_shown}, {} {other_shown}", names.0, names.1),
                    );
                }
            }
            let machine = |cell: &CellId| machine_value(sheet, *cell, kind_of(sheet, *cell));
            let doubt = |doubt: &Option<Uncertainty>| {
                let standard = Number::from_f64(doubt.as_ref()?.standard).ok()?;
                (!standard.is_zero()).then(|| standard.to_plain())
            };
            let names = || moved.iter().map(|cell| name_of(sheet, *cell));
            found.rows.push(Pair {
                value: scalar(sheet, *value, kind_of(sheet, input)),
                by: scalar(sheet, *other, kind_of(sheet, by)),
                answers: Named(names().zip(moved.iter().map(machine)).collect()),
                uncertainty: Named(names().zip(told.iter().map(|(_, one)| doubt(one))).collect()),
            });
            for (shown, (one, _)) in shown.iter_mut().zip(told) {
                shown.push(one);
            }
        }
    }
    found.troubles = troubles.sentences();
    for (cell, shown) in moved.iter().zip(shown) {
        match shown.first() {
            Some(first) if shown.len() > 1 && shown.iter().all(|one| one == first) => {
                found
                    .still
                    .push(format!("{} = {}", name_of(sheet, *cell), first.display()));
            }
            _ => found.tables.push(two_ways(sheet, *cell, &shown)),
        }
    }
    let still: Vec<CellId> = cells.into_iter().filter(|cell| !moves(cell)).collect();
    let told = told(sheet, &still, options, &mut Vec::new());
    let told = still
        .iter()
        .zip(told)
        .map(|(cell, (shown, _))| format!("{} = {}", name_of(sheet, *cell), shown.value));
    found.still.extend(told);
    found
}

/// An answer with its cells; the factor that all have behind their ± stands in its title.
fn two_ways(sheet: &Sheet, cell: CellId, shown: &[Shown]) -> TwoWays {
    let coverage = coverage(shown);
    let label = sheet.entry(cell).and_then(|entry| entry.label.as_ref());
    let label = label.map_or(String::new(), |label| format!(": {}", label.text));
    let factor = coverage
        .as_ref()
        .map_or(String::new(), |coverage| format!(" ({coverage})"));
    let told = |shown: &Shown| match (&coverage, &shown.uncertainty) {
        (Some(coverage), Some(doubt)) => {
            let doubt = doubt.trim_end_matches(coverage.as_str()).trim_end();
            format!("{} ± {doubt}", shown.value)
        }
        _ => shown.in_full(),
    };
    TwoWays {
        title: format!("{}{label}{factor}", name_of(sheet, cell)),
        number: is_number(kind_of(sheet, cell)) && !sheet.shape(cell).is_some_and(|shape| shape.column),
        cells: shown.iter().map(told).collect(),
    }
}
