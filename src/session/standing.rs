//! Case and trials in hand: as they stood, put back, and written down.
//!
//! A step knows how they stood before and after it. A journal in short form
//! begins with them, in lines that a person can read and from which every digit
//! comes back. Start reading at [`Standing`] and [`Session::short_form`].

use crate::number::Number;
use crate::sheet::checker::Shape;
use crate::sheet::held_cells::NamedCell;
use crate::sheet::names::CellId;
use crate::sheet::{Held, HeldValue};
use crate::syntax::parse::parse_typed;
use crate::syntax::tree::{Typed, Value};
use crate::unit::Kind;

use super::journal::{Act, Event, Mark, Record, Stood};
use super::trial::{quoted, typed_tolerance};
use super::{Outcome, Refusal, Session};

/// The case and the trials in hand, by name.
#[derive(Clone, PartialEq, Default)]
pub(super) struct Standing {
    pub(super) case: Option<String>,
    pub(super) trials: Vec<(String, Option<Shape>, Held)>,
    pub(super) cells: Vec<NamedCell>,
}

impl Standing {
    /// About so many bytes.
    pub(super) fn size(&self) -> usize {
        let trials = self.trials.iter();
        let size = |held: &Held| match &held.value {
            HeldValue::Number(_) => 0,
            HeldValue::Column(cells) => std::mem::size_of_val(cells.as_slice()),
        };
        trials.map(|(_, _, held)| size(held)).sum()
    }
}

impl Session {
    pub(super) fn standing(&self) -> Standing {
        let name = |cell: CellId| self.sheet.entry(cell).map(|entry| entry.name.text.to_string());
        let trials = self
            .sheet
            .trials()
            .filter_map(|cell| Some((name(cell)?, self.sheet.shape(cell), self.sheet.held(cell)?.clone())));
        Standing {
            case: self.sheet.case().map(|case| case.name.clone()),
            trials: trials.collect(),
            cells: self.sheet.named_cells(),
        }
    }

    /// Puts case and trials back as they stood.
    pub(super) fn stand(&mut self, standing: &Standing) {
        if *standing == self.standing() {
            return;
        }
        self.release_all();
        if self.sheet.set_case(standing.case.as_deref()).is_err() {
            let _ = self.sheet.set_case(None);
        }
        for (name, shape, held) in &standing.trials {
            let cell = self.sheet.cell(name);
            let same = |cell: &CellId| match (self.sheet.shape(*cell), shape) {
                (Some(now), Some(before)) => now.is_like(*before),
                (now, before) => now == *before,
            };
            if let Some(cell) = cell.filter(same) {
                self.sheet.hold(cell, held.clone());
            }
        }
        standing.cells.iter().for_each(|cell| self.sheet.hold_named_cell(cell));
    }

    // ---- the short form of a journal ----

    /// The text before the first step that is kept, and what tells of all since: how the
    /// session stood then, the steps, and those that were undone. `changes` aren't saved,
    /// the first of them made at `first`.
    pub(super) fn short_form(&self, changes: usize, first: Option<String>) -> (String, Vec<Record>) {
        let mut text = self.sheet.text().to_owned();
        let replaced = self.history.replaced_in(None);
        replaced.for_each(|replaced| replaced.take_back(&mut text));
        let standing = self.history.at_first().cloned().unwrap_or_else(|| self.standing());
        let forgotten = self.history.forgotten();
        let (mark, trials) = (Mark::of(&text), standing.trials.len() + standing.cells.len());
        let told = self.told_steps((mark, trials));
        let files = self.lines_of_files();
        let plain = forgotten == 0 && changes == told.len() && standing == Standing::default() && files.is_empty();
        let stood = Stood {
            changes,
            first,
            records: told.len(),
            forgotten,
            lines: files.into_iter().chain(self.lines_of(&standing)).collect(),
        };
        let stood = Record::now(Event::Stood {
            stood,
            text: mark,
            trials,
        });
        (text, (!plain).then_some(stood).into_iter().chain(told).collect())
    }

    /// The steps done, those to do again, and as many steps back; `at_first` is what a
    /// record would say before them all.
    fn told_steps(&self, at_first: (Mark, usize)) -> Vec<Record> {
        let (mut told, done) = self.history.records();
        let left: Vec<(Mark, usize)> = std::iter::once(at_first)
            .chain(told.iter().filter_map(Record::left))
            .collect();
        let back = left.iter().take(told.len()).skip(done).rev();
        let back = back.map(|(text, trials)| {
            Record::now(Event::Act {
                act: Act::Undo,
                text: *text,
                trials: *trials,
            })
        });
        told.extend(back.collect::<Vec<_>>());
        told
    }

    /// Case and trials in lines: `case NAME`, and for each trial `trial NAME = VALUE`. Below
    /// one that was worked out stand its digits, or those of each cell of a column.
    fn lines_of(&self, standing: &Standing) -> Vec<String> {
        let case = standing.case.iter().map(|case| format!("case {case}"));
        let trials = standing.trials.iter();
        let trials =
            trials.flat_map(|(name, shape, held)| self.lines_of_trial(name, shape.map(|shape| shape.kind), held));
        let cells = standing.cells.iter().map(|cell| {
            let (table, column) = (&cell.table, &cell.column);
            format!("trial {table}.{column} of row {} = {}", cell.row + 1, cell.held.written)
        });
        case.chain(trials).chain(cells).collect()
    }

    fn lines_of_trial(&self, name: &str, kind: Option<Kind>, held: &Held) -> Vec<String> {
        if !held.written.is_empty() {
            return vec![format!("trial {name} = {}", held.written)];
        }
        let kind = kind.unwrap_or(Kind::Quantity(crate::unit::Unit::ONE));
        let tolerance = held
            .tolerance
            .as_ref()
            .map_or(String::new(), |tolerance| format!(" {}", typed_tolerance(tolerance)));
        match &held.value {
            HeldValue::Number(number) => {
                let shown = format!("trial {name} = {}{tolerance}", self.trials().typed(*number, kind));
                vec![shown, format!("exactly {}", self.digits(*number, kind))]
            }
            HeldValue::Column(cells) => {
                let cells = cells.iter().map(|cell| match cell {
                    Some(number) => format!("cell {}", self.digits(*number, kind)),
                    None => "cell".to_owned(),
                });
                std::iter::once(format!("trial {name} = column{tolerance}"))
                    .chain(cells)
                    .collect()
            }
        }
    }

    fn digits(&self, number: Number, kind: Kind) -> String {
        match kind {
            Kind::Text => quoted(self.sheet.texts().text(number)),
            _ => number.to_plain(),
        }
    }

    /// Puts case and trials back as they were written, without a step.
    pub(super) fn stand_as_written(&mut self, stood: &Stood) -> Result<Outcome, Refusal> {
        let mut lines = stood.lines.as_slice();
        while let Some((line, rest)) = lines.split_first() {
            let opens = |line: &String| {
                ["trial ", "case ", "in hand "]
                    .iter()
                    .any(|word| line.starts_with(word))
            };
            let below = rest.iter().take_while(|line| !opens(line)).count();
            let (below, rest) = rest.split_at_checked(below).unwrap_or((rest, &[]));
            if let Some(name) = line.strip_prefix("case ") {
                let switched = self.sheet.set_case(Some(name));
                switched.map_err(|_| Refusal::new(format!("there is no case `{name}`")))?;
            } else if let Some(path) = line.strip_prefix("in hand ") {
                self.hold_as_written(path, below)?;
            } else if let Some(trial) = line.strip_prefix("trial ") {
                self.put_trial(trial, below)?;
            }
            lines = rest;
        }
        self.history.begin_behind(stood.forgotten);
        Ok(Outcome::default())
    }

    fn put_trial(&mut self, line: &str, digits: &[String]) -> Result<(), Refusal> {
        if digits.is_empty() {
            return self.try_value(line).map(|_| ());
        }
        let Ok(Typed::Trial { name, value }) = parse_typed(line) else {
            return Err(unreadable(line));
        };
        let cell = self.tried_cell(line, &name)?;
        let number = |session: &mut Session, line: &str| session.read_digits(line).ok_or_else(|| unreadable(line));
        let value_of = match digits {
            [only] if only.starts_with("exactly ") => {
                HeldValue::Number(number(self, only.trim_start_matches("exactly "))?)
            }
            cells => {
                let cells = cells.iter().map(|line| match line.strip_prefix("cell ") {
                    Some(digits) => number(self, digits).map(Some),
                    None => Ok(None),
                });
                HeldValue::Column(cells.collect::<Result<_, _>>()?)
            }
        };
        let tolerance = match value {
            Value::Given { tolerance, .. } => tolerance.map(|tolerance| *tolerance),
            _ => None,
        };
        let held = Held {
            tolerance,
            ..Held::exactly(value_of)
        };
        self.sheet.hold(cell, held);
        Ok(())
    }

    /// A number from its digits, or the one that stands for a text in quotes.
    fn read_digits(&mut self, digits: &str) -> Option<Number> {
        if !digits.starts_with('"') {
            return Number::parse(digits).ok();
        }
        let line = format!("x = {digits}");
        let Ok(Typed::Trial {
            value: Value::Given { expression, .. },
            ..
        }) = parse_typed(&line)
        else {
            return None;
        };
        self.sheet.evaluate(&line, &expression, None).ok()?.number()
    }
}

fn unreadable(line: &str) -> Refusal {
    Refusal::new(format!("`{line}` can't be read"))
}
