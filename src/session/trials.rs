//! The trials in hand: which there are, what they hold, and how they are written.
//!
//! A look at the sheet, which changes nothing; values are tried, kept and dropped in
//! [`super::trial`] and [`super::cell_trial`]. Start reading at [`Trials`].

use crate::number::Number;
use crate::report::change::Change;
use crate::report::compose::{self, Options};
use crate::report::model::Entry;
use crate::report::shown::Shown;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::held_cells::HeldCell;
use crate::sheet::names::CellId;
use crate::sheet::{HeldValue, Sheet};
use crate::syntax::tree::Value;
use crate::unit::{Kind, Unit};

use super::trial::{lost, quoted, typed_tolerance};
use super::{Refusal, Session};

/// The trials in hand, of entries and of cells of tables.
#[derive(Clone, Copy)]
pub struct Trials<'s> {
    sheet: &'s Sheet,
    options: Options,
}

impl Session {
    /// The trials in hand.
    pub fn trials(&self) -> Trials<'_> {
        Trials {
            sheet: &self.sheet,
            options: self.options,
        }
    }
}

impl Trials<'_> {
    /// So many there are.
    pub(super) fn count(self) -> usize {
        self.sheet.trials().count() + self.sheet.held_cells().count()
    }

    /// The names on trial, in the worksheet's order.
    pub fn names(self) -> Vec<String> {
        let name = |cell| Some(self.sheet.entry(cell)?.name.text.to_string());
        let cells = self.sheet.held_cells().map(|(_, held)| held.name.clone());
        self.sheet.trials().filter_map(name).chain(cells).collect()
    }

    /// The names on trial that stand in place of a `?`.
    pub fn filled(self) -> Vec<String> {
        let name = |cell| {
            let entry = self.sheet.entry(cell)?;
            matches!(entry.value, Some(Value::Blank(_))).then(|| entry.name.text.to_string())
        };
        self.sheet.trials().filter_map(name).collect()
    }

    /// The entries on trial, each with what the record says.
    pub(super) fn entries(self) -> Vec<(Entry, Shown)> {
        let with_record = |cell: CellId| {
            let mut record = self.sheet.clone();
            record.release(cell);
            let tried = compose::entry(self.sheet, cell, self.options)?;
            Some((tried, compose::entry(&record, cell, self.options)?.shown))
        };
        self.sheet.trials().filter_map(with_record).collect()
    }

    /// What they put in place of the record: entries, then cells.
    pub fn changes(self) -> Vec<Change> {
        let change = |name, before, now| Change {
            name,
            before,
            now,
            difference: None,
            short: None,
        };
        let entries = self.entries().into_iter();
        let entries = entries.map(|(tried, record)| change(tried.name, record, tried.shown));
        let cells = self.sheet.held_cells();
        let cells = cells.filter_map(|(place, held): (CellPlace, &HeldCell)| {
            let kind = self.sheet.table_column(place.slot)?.kind;
            let own = self.sheet.own_cell(place).map(|own| self.typed(own, kind));
            let own = Shown::text(own.unwrap_or_else(|| "missing".to_owned()));
            Some(change(held.name.clone(), own, Shown::text(held.written.clone())))
        });
        entries.chain(cells).collect()
    }

    /// The cell of a table that is on trial under that name.
    pub(super) fn cell(self, name: &str) -> Option<CellPlace> {
        let mut held = self.sheet.held_cells();
        held.find(|(_, held)| held.name == name).map(|(place, _)| place)
    }

    /// The entries on trial, as they can be typed.
    pub(super) fn all_written(self) -> Vec<String> {
        let written = |name: String| {
            let cell = self.sheet.cell(&name)?;
            let value = self.of_entry(cell, &name).ok()?;
            Some(format!("`{name} = {value}`"))
        };
        self.names().into_iter().filter_map(written).collect()
    }

    /// What is on trial under that name, as it can be typed.
    pub(super) fn written(self, name: &str) -> Result<String, Refusal> {
        let mut cells = self.sheet.held_cells();
        match cells.find(|(_, held)| held.name == name) {
            Some((_, held)) => Ok(held.written.clone()),
            None => self.of_entry(self.sheet.cell(name).ok_or_else(|| lost(name))?, name),
        }
    }

    /// The value of an entry on trial as it can be typed.
    pub(super) fn of_entry(self, cell: CellId, name: &str) -> Result<String, Refusal> {
        let held = self.sheet.held(cell).ok_or_else(|| lost(name))?;
        if !held.written.is_empty() {
            return Ok(held.written.clone());
        }
        let HeldValue::Number(number) = &held.value else {
            let message =
                format!("`{name}` holds a column on trial, and a line holds a single value; nothing was kept");
            return Err(Refusal::new(message).help(format!("`drop {name}`")));
        };
        let kind = self
            .sheet
            .shape(cell)
            .map(|shape| shape.kind)
            .ok_or_else(|| lost(name))?;
        let value = self.typed(*number, kind);
        Ok(match &held.tolerance {
            Some(tolerance) => format!("{value} {}", typed_tolerance(tolerance)),
            None => value,
        })
    }

    pub(super) fn typed(self, number: Number, kind: Kind) -> String {
        match kind {
            Kind::Quantity(unit) if unit == Unit::ONE => number.to_plain(),
            Kind::Quantity(unit) => format!("{} {unit}", number.to_plain()),
            Kind::Level | Kind::Decibels => format!("{} dB", number.to_plain()),
            // to the second, as times can be typed
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => kind.typed_time(number).unwrap_or_default(),
            Kind::Text => quoted(self.sheet.texts().text(number)),
            Kind::Truth => if number.is_zero() { "false" } else { "true" }.to_owned(),
        }
    }
}
