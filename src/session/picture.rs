//! How answers, checks, problems and cautions stood when they were told last, and what is new.
//!
//! A picture is taken before something changes, so that who only looks takes none. Start
//! reading at [`LastTold`].

use crate::number::Number;
use crate::problem::Problem;
use crate::report::change::{Change, Changes, Flip, Gap};
use crate::report::compose::{self, Options};
use crate::report::model::Check;
use crate::report::shown::Shown;
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet};
use crate::study::marks::Tables;
use crate::trade::Caution;
use crate::unit::Kind;

use super::Outcome;

/// What a person was told last.
#[derive(Default)]
pub(super) struct LastTold {
    picture: Option<Picture>,
    /// The cautions that were told in this session, by their codes.
    cautions: Vec<&'static str>,
}

impl LastTold {
    /// Takes all that shows as told, unless something was looked at before.
    pub(super) fn look(&mut self, sheet: &Sheet, tables: Tables, options: Options) {
        if self.picture.is_none() {
            let picture = Picture::of(sheet, tables, options);
            self.cautions = picture.cautions.iter().map(|(caution, _)| caution.code).collect();
            self.picture = Some(picture);
        }
    }

    /// Tells what answers, checks and cautions show now that they didn't before; gives back the
    /// problems that are new.
    pub(super) fn tell(
        &mut self,
        sheet: &Sheet,
        tables: Tables,
        options: Options,
        outcome: &mut Outcome,
    ) -> Vec<Problem> {
        let now = Picture::of(sheet, tables, options);
        let before = self.picture.take().unwrap_or_default();
        let changes = Changes {
            answers: now.answers.iter().filter_map(|seen| changed(&before, seen)).collect(),
            checks: flips(&before.checks, &now.checks),
        };
        let nothing = changes.answers.is_empty() && changes.checks.is_empty();
        outcome.changes = Some(changes).filter(|_| !nothing || !outcome.quiet);
        outcome.mended = missing_from(&now.problems, &before.problems).len();
        for (caution, text) in &now.cautions {
            if !self.cautions.contains(&caution.code) {
                self.cautions.push(caution.code);
                outcome.cautions.push((*caution, text.clone()));
            }
        }
        let new = missing_from(&before.problems, &now.problems);
        self.picture = Some(now);
        new
    }

    /// What was told last with what draws say of it by now.
    pub(super) fn look_again(&mut self, sheet: &Sheet, tables: Tables, options: Options) {
        if let Some(picture) = &mut self.picture {
            *picture = Picture::of(sheet, tables, options);
        }
    }

    /// The checks that don't hold, as they were told last.
    pub(super) fn failing(&self) -> Vec<Check> {
        let checks = self.picture.iter().flat_map(|picture| &picture.checks);
        checks.filter(|check| check.holds == Some(false)).cloned().collect()
    }
}

/// How answers, checks, problems and cautions stood.
#[derive(Default)]
struct Picture {
    answers: Vec<Seen>,
    checks: Vec<Check>,
    problems: Vec<Problem>,
    cautions: Vec<(&'static Caution, String)>,
}

impl Picture {
    fn of(sheet: &Sheet, tables: Tables, options: Options) -> Picture {
        // of checks what only tables say is left to whoever asks
        let of_checks = if tables == Tables::Drawn { Tables::Left } else { tables };
        let cells = compose::answers(sheet);
        let shown = compose::shown_values(sheet, &cells, tables, options);
        let answers = cells
            .iter()
            .zip(shown)
            .filter_map(|(cell, shown)| Seen::of(sheet, *cell, shown));
        Picture {
            answers: answers.collect(),
            checks: compose::checks_told(sheet, of_checks, options),
            problems: sheet.problems(),
            cautions: cautions(sheet, &cells),
        }
    }
}

/// Each caution and its words, once.
fn cautions(sheet: &Sheet, cells: &[CellId]) -> Vec<(&'static Caution, String)> {
    let mut told: Vec<(&'static Caution, String)> = Vec::new();
    for found in sheet.appraise(cells.iter().copied()).cautions {
        let text = match found.text.is_empty() {
            true => found.caution.text,
            false => &found.text,
        };
        if !told.iter().any(|(caution, _)| caution.code == found.caution.code) {
            told.push((found.caution, text.to_owned()));
        }
    }
    told
}

/// An answer as it stood.
struct Seen {
    name: String,
    shown: Shown,
    reading: Option<Number>,
    kind: Option<Kind>,
    clock: bool,
}

impl Seen {
    fn of(sheet: &Sheet, cell: CellId, shown: Shown) -> Option<Seen> {
        let entry = sheet.entry(cell)?;
        Some(Seen {
            name: entry.name.text.to_string(),
            shown,
            reading: match sheet.reading(cell) {
                Reading::Number(number) => Some(number),
                _ => None,
            },
            kind: sheet.shape(cell).map(|shape| shape.kind),
            clock: entry.unit.is_some_and(|unit| unit.clock),
        })
    }
}

fn changed(before: &Picture, now: &Seen) -> Option<Change> {
    let before = before.answers.iter().find(|seen| seen.name == now.name)?;
    let says_the_same = without_lines(&before.shown.value) == without_lines(&now.shown.value);
    let has_none = |seen: &Seen| seen.reading.is_none() && seen.shown.rows.is_none();
    let without_value = has_none(before) && has_none(now);
    // that draws say nothing beside it any more is nothing to tell
    let unmarked = Shown {
        mark: None,
        ..before.shown.clone()
    };
    let stays = before.shown == now.shown || unmarked == now.shown || without_value && says_the_same;
    if before.reading == now.reading && stays {
        return None;
    }
    let gap = gap(before, now);
    Some(Change {
        name: now.name.clone(),
        before: before.shown.clone(),
        now: now.shown.clone(),
        difference: gap.as_ref().map(Gap::words),
        short: gap.as_ref().map(Gap::in_short),
    })
}

/// What an answer waits on, wherever that stands by now.
fn without_lines(told: &str) -> String {
    let mut parts = told.split(" (line ");
    let first = parts.next().unwrap_or("").to_owned();
    parts.fold(first, |told, part| {
        told + part.split_once(')').map_or(part, |(_, rest)| rest)
    })
}

fn gap(before: &Seen, now: &Seen) -> Option<Gap> {
    let kind = now
        .kind
        .filter(|kind| before.kind.is_some_and(|before| before.is_like(*kind)))?;
    let (old, new) = ((before.reading?, &before.shown), (now.reading?, &now.shown));
    compose::gap(kind, now.clock, old, new)
}

/// The checks whose verdict is another; the same condition is the same check.
fn flips(before: &[Check], now: &[Check]) -> Vec<Flip> {
    let mut left: Vec<&Check> = before.iter().collect();
    let mut flips = Vec::new();
    for check in now {
        let Some(place) = left.iter().position(|old| old.text == check.text) else {
            continue;
        };
        let old = left.remove(place);
        let said_otherwise = check.marks && (old.close != check.close || old.message != check.message);
        if old.holds != check.holds || said_otherwise {
            flips.push(Flip {
                place: check.place(),
                text: check.text.clone(),
                before: old.holds,
                now: check.holds,
                close: check.close,
                message: check.message.clone(),
                compared: check.compared.clone(),
            });
        }
    }
    flips
}

/// The problems of `now` that `before` doesn't have, wherever their lines stand.
fn missing_from(before: &[Problem], now: &[Problem]) -> Vec<Problem> {
    let mut left: Vec<&Problem> = before.iter().collect();
    let mut new = Vec::new();
    for problem in now {
        let same = |old: &&Problem| old.code == problem.code && old.message == problem.message;
        match left.iter().position(same) {
            Some(place) => {
                left.remove(place);
            }
            None => new.push(problem.clone()),
        }
    }
    new
}
