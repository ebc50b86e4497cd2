//! What goes wrong with heat: on two bases or by two paths, and engines told to burn
//! nothing without load.
//!
//! Start reading at [`look`].

use crate::sheet::Sheet;
use crate::sheet::appraisal::{Appraisal, HeatBasis};
use crate::sheet::names::CellId;
use crate::sheet::order::expressions_of;
use crate::syntax::tree::{Argument, Expression, ExpressionNode};
use crate::trade::registry::function;
use crate::trade::{Fact, Function};

use super::finding::{Finding, Findings};
use super::ground::{cell_of, has_word, parts, plain};
use super::{Subject, all_cells};

/// Looks at the worksheet as it stands.
pub(super) fn look(sheet: &Sheet, appraisal: &Appraisal, found: &mut Findings) {
    heats(sheet, appraisal, found);
    no_load_shares(sheet, found);
}

// ---- heat ----

fn heats(sheet: &Sheet, appraisal: &Appraisal, found: &mut Findings) {
    for here in &appraisal.bases {
        let same_fuel = || appraisal.bases.iter().filter(|there| there.fuel == here.fuel);
        let subject = Subject::Cell(here.cell);
        let other = same_fuel()
            .find(|there| there.basis != here.basis && there.cell != here.cell && meet(sheet, here.cell, there.cell));
        // led back from the one to the other, whatever the lines say of themselves
        let led = |there: &HeatBasis| {
            let line = sheet.tree().text_of(sheet.item_of(there.cell) as usize);
            let named = plain(line.split_once('=').map_or("", |(named, _)| named));
            sheet.needed_by(there.cell).contains(&here.cell) && !has_word(&named, &[&*there.basis])
        };
        let other = other.filter(|there| led(there) || !(says_its_basis(sheet, here) && says_its_basis(sheet, there)));
        if let Some(there) = other {
            let finding = Finding::MixedHeat {
                fuel: here.fuel.clone(),
                basis: here.basis.clone(),
                other: there.cell,
            };
            found.add(subject, finding);
        }
        let Some(by_pound) = is_by_pound(here) else { continue };
        if let Some(there) = same_fuel().find(|there| is_by_pound(there) == Some(!by_pound)) {
            let finding = Finding::TwoHeats {
                fuel: here.fuel.clone(),
                by_pound,
                other: there.cell,
            };
            found.add(subject, finding);
        }
    }
}

/// Whether its own line tells this basis and not the other, or where it tells neither the lines
/// that it takes.
fn says_its_basis(sheet: &Sheet, heat: &HeatBasis) -> bool {
    let line = |cell: CellId| {
        let text = sheet.tree().text_of(sheet.item_of(cell) as usize);
        // what a scale shows is gross too
        plain(&text.replace(".gross", ""))
    };
    let told = |said: &str| {
        let (net, gross) = (
            has_word(said, &["net", "lhv", "lower"]),
            has_word(said, &["gross", "hhv", "higher"]),
        );
        (net || gross).then_some((net, gross))
    };
    let formula = sheet.typed(heat.cell).into_iter().next();
    let taken = || {
        formula.as_ref().map(|formula| {
            parts(formula)
                .into_iter()
                .filter_map(cell_of)
                .map(line)
                .collect::<String>()
        })
    };
    let found = told(&line(heat.cell)).or_else(|| told(&taken()?));
    found.is_some_and(|(net, gross)| net != gross && net == (heat.basis == "net"))
}

/// Whether anything rests on both: one that only stands beside the other is no mixture.
fn meet(sheet: &Sheet, here: CellId, there: CellId) -> bool {
    all_cells(sheet).any(|cell| {
        let needed = sheet.needed_by(cell);
        needed.contains(&here) && needed.contains(&there)
    })
}

/// Whether heat is counted by weight; `None` where it is counted by the cubic foot.
fn is_by_pound(heat: &HeatBasis) -> Option<bool> {
    let by_volume = heat.function.tells(Fact::HeatByVolume);
    (by_volume || heat.function.tells(Fact::HeatByWeight)).then_some(!by_volume)
}

// ---- fuel and load ----

/// Calls that are told that the engine burns nothing without load.
fn no_load_shares(sheet: &Sheet, found: &mut Findings) {
    for cell in all_cells(sheet) {
        let item = sheet.item_of(cell) as usize;
        let Some(node) = sheet.tree().items.get(item).map(|item| &item.node) else {
            continue;
        };
        expressions_of(node, &mut |part| {
            if let ExpressionNode::Call(call) = &part.node
                && let Some(function) = function(&call.name.text)
                && let Some(given) = argument(function, &call.arguments, "no_load_share")
            {
                let share = sheet.values_aside(&[(sheet.item_of(cell), sheet.tree().text_of(item), given)]);
                if sheet.held(cell).is_none() && share.iter().flatten().any(|(_, share)| share.is_zero()) {
                    found.add(Subject::Cell(cell), Finding::NoLoadShare(function.name));
                }
            }
        });
    }
}

fn argument<'a>(function: &'static Function, given: &'a [Argument], name: &str) -> Option<&'a Expression> {
    let place = function
        .parameters
        .iter()
        .position(|parameter| parameter.name == name)?;
    let labelled = |argument: &&Argument| argument.label.as_ref().is_some_and(|label| &*label.text == name);
    let by_place = given.get(place).filter(|argument| argument.label.is_none());
    given.iter().find(labelled).or(by_place).map(|argument| &argument.value)
}
