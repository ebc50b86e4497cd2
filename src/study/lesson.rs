//! Remarks on a lesson's exercises: what its author can't have meant.
//!
//! Start reading at [`remarks`].

use crate::problem::{Code, Place, Problem};
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::syntax::tree::ExpressionNode;

use super::blanks;
use super::nearness::{closeness, distance, reach};

/// Questions without a check, a `nearly` within what is right, and slips that are right; the last
/// two while every exercise is open, since a wrong answer moves what rests on it.
pub(crate) fn remarks(sheet: &Sheet) -> Vec<Problem> {
    let mut found: Vec<Problem> = blanks::unchecked(sheet)
        .filter_map(|cell| {
            let entry = sheet.entry(cell)?;
            let message = format!("no check asks for `{}`, so nobody is marked by it", entry.name.text);
            let problem = Problem::new(
                Code::Exercise,
                message,
                Place::new(sheet.item_of(cell), entry.name.span),
            );
            Some(problem.help(format!("`expect {} close to …` below it", entry.name.text)))
        })
        .collect();
    let marking: Vec<CellId> = sheet
        .own_cells()
        .filter(|cell| closeness(sheet, *cell).is_some())
        .collect();
    let exercises = blanks::exercises(sheet);
    let is_open = |check: &CellId| {
        let answer = closeness(sheet, *check).map(|(_, _, close)| &close.answer.node);
        match answer {
            Some(ExpressionNode::Name(name)) => exercises.iter().any(|one| sheet.cell(name) == Some(one.cell)),
            _ => false,
        }
    };
    if !marking.is_empty() && marking.iter().all(is_open) {
        let (key, _) = blanks::solve(sheet, &exercises);
        found.extend(marking.into_iter().flat_map(|check| of_check(&key, check)));
    }
    found
}

/// What a check calls nearly right or wrong, and has as right.
fn of_check(key: &Sheet, check: CellId) -> Vec<Problem> {
    let Some((item, _, close)) = closeness(key, check) else {
        return Vec::new();
    };
    let text = key.tree().text_of(item as usize);
    let mut beside = key.with_everything();
    let mut value = |part| beside.value_of(text, part);
    let (Some(wanted), Some(within)) = (value(&close.wanted), value(&close.within)) else {
        return Vec::new();
    };
    let Some(right) = reach(wanted, wanted, within) else {
        return Vec::new();
    };
    let nearly = close.nearly.iter().filter_map(|(nearly, _)| {
        let near = reach(wanted, wanted, value(nearly)?)?;
        near.compare(right).is_le().then(|| {
            let message = "what is nearly right is no wider than what is right, so nobody is told that it is close";
            let problem = Problem::new(Code::Exercise, message, Place::new(item, nearly.span));
            problem.help("give `nearly` more than `within`")
        })
    });
    let mut found: Vec<Problem> = nearly.collect();
    found.extend(close.slips.iter().filter_map(|slip| {
        let off = distance(wanted, value(&slip.value)?)?;
        off.compare(right).is_le().then(|| {
            let message = "what this slip comes to counts as right, so nobody is told of it";
            let problem = Problem::new(Code::Exercise, message, Place::new(item, slip.value.span));
            problem.help("leave the slip out, or give `within` less")
        })
    }));
    found
}
