//! Trials of one cell of a table, kept into its row with its `±`.
//!
//! `run.gross of 12:10 = 30.6 lb` at the head of a line tries a value there; `keep` writes it
//! into the worksheet or, with `save`, into the table's file. Trials of entries are in
//! [`super::trial`]. Start reading at [`Session::try_cell`].

use crate::calendar;
use crate::sheet::Holder;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::held_cells::HeldCell;
use crate::sheet::names::CellId;
use crate::sheet::order::each_part;
use crate::syntax::tree::{Expression, ExpressionNode, Node, Value};
use crate::text::in_one_line;
use crate::unit::Kind;

use super::journal::Act;
use super::reading::{between_bars, without_unit};
use super::rows::WrittenTable;
use super::trial::{is_literal, typed_tolerance};
use super::{Outcome, Refusal, Session};

impl Session {
    /// Tries a value in a cell.
    pub(super) fn try_cell(&mut self, line: &str, cell: &Expression, value: &Value) -> Result<Outcome, Refusal> {
        let Value::Given { expression, tolerance } = value else {
            return Err(Refusal::new("a trial puts a value in place, and `?` is none"));
        };
        let place = self.sheet.cell_called(line, cell);
        let place = place.map_err(|problems| self.refused(line, &problems))?;
        let known = self.sheet.cell_name(place);
        self.may_be_tried(known.split_once('.').map_or("", |(table, _)| table))?;
        let name = in_one_line(cell.span.of(line));
        let act = Act::Try {
            line: line.to_owned(),
            value: None,
        };
        self.act(line.trim(), act, |session| {
            let found = session
                .sheet
                .cell_value(place, line, expression, tolerance.as_deref().copied());
            let number = found.map_err(|problems| session.refused(line, &problems))?.number();
            let number = number.ok_or_else(|| Refusal::new("only a range is known of this"))?;
            let before = session.cell_shown(place);
            let kind = session
                .sheet
                .table_column(place.slot)
                .map_or(Kind::Text, |column| column.kind);
            let written = match (is_literal(expression), tolerance) {
                (true, Some(tolerance)) => expression.span.to(tolerance.span).of(line).trim().to_owned(),
                (true, None) => expression.span.of(line).trim().to_owned(),
                (false, Some(tolerance)) => {
                    format!(
                        "{} {}",
                        session.trials().typed(number, kind),
                        typed_tolerance(tolerance)
                    )
                }
                (false, None) => session.trials().typed(number, kind),
            };
            let told = format!("Trying `{name} = {written}`; before: {before}");
            session.sheet.hold_cell(
                place,
                HeldCell {
                    name,
                    value: number,
                    tolerance: tolerance.as_deref().copied(),
                    written,
                    by: Holder::Trial,
                    source: None,
                },
            );
            let mut outcome = Outcome::said(told);
            outcome.told.extend(session.trials_over(place));
            Ok(outcome)
        })
    }

    /// That trials of entries which rest on a cell's column stand over what is tried in it.
    fn trials_over(&self, place: CellPlace) -> Option<String> {
        let column = self.sheet.table_column(place.slot)?;
        let table = self.sheet.tables().get(column.table as usize)?;
        let Some(Node::Table(tree)) = self.sheet.tree().node(table.item) else {
            return None;
        };
        let is_it = |node: &ExpressionNode| match node {
            ExpressionNode::Name(name) => *name == tree.name.text,
            ExpressionNode::Column(named) => named.0.text == tree.name.text && named.1.text == column.name,
            _ => false,
        };
        let mut record = self.sheet.clone();
        self.sheet.trials().for_each(|cell| drop(record.release(cell)));
        let names_it = |cell: &CellId| {
            let mut found = false;
            if let Some(Value::Given { expression, .. }) = record.entry(*cell).and_then(|entry| entry.value.as_ref()) {
                each_part(expression, &mut |part| found |= is_it(&part.node));
            }
            found
        };
        let rests = |cell: &CellId| record.needed_by(*cell).iter().any(names_it);
        let over = self
            .sheet
            .trials()
            .filter(rests)
            .filter_map(|cell| self.sheet.name_of(cell));
        let over: Vec<String> = over.map(|name| format!("`{name}`")).collect();
        match over.as_slice() {
            [] => None,
            [one] => Some(format!("{one} is on trial too, and that stands over this cell")),
            several => Some(format!(
                "{} are on trial too, and that stands over this cell",
                several.join(", ")
            )),
        }
    }

    /// A cell as it stands, with its unit.
    fn cell_shown(&self, place: CellPlace) -> String {
        let kind = self.sheet.table_column(place.slot).map(|column| column.kind);
        let cell = self
            .sheet
            .column_cells(place.slot)
            .get(place.row as usize)
            .copied()
            .flatten();
        match (kind, cell) {
            (Some(kind), Some(cell)) => self.trials().typed(cell, kind),
            _ => "missing".to_owned(),
        }
    }

    /// Puts a cell's trial into its row.
    pub(super) fn keep_cell(&mut self, place: CellPlace) -> Result<String, Refusal> {
        let lost = || Refusal::new("the cell on trial is no longer there");
        let found = self.sheet.held_cells().find(|(known, _)| *known == place);
        let held = found.map(|(_, held)| held.clone()).ok_or_else(lost)?;
        let table = self.table_of(place).ok_or_else(lost)??;
        let (at, column) = table
            .named()
            .find(|(_, column)| column.slot == place.slot)
            .ok_or_else(lost)?;
        let row = place.row as usize;
        let old = self
            .row_as_written(&table, row)
            .and_then(|cells| cells.get(at).cloned());
        let old = old.ok_or_else(lost)?;
        let mut with = held.written.clone();
        if let Kind::Quantity(unit) = column.kind
            && column.has_unit
            && let Some(bare) = without_unit(&with, &unit.to_string())
        {
            with = bare;
        }
        match column.kind {
            Kind::Text => {
                let said = self.sheet.texts().text(held.value);
                with = match table.file {
                    Some(_) => said.to_owned(),
                    None => between_bars(said),
                };
            }
            Kind::Counted(_) => {
                let time = held.value.round().to_integer().unwrap_or_default();
                with = match old.contains('(') {
                    true => calendar::counted(time),
                    false => calendar::clock(time),
                };
            }
            _ => {}
        }
        // its own tolerance stays
        if let (None, Some((_, own))) = (held.tolerance, old.split_once(['±'])) {
            with = format!("{with} ±{own}");
        }
        self.sheet.release_cell(place);
        self.put_cell(&table, row, at, &with)?;
        let old = if old.is_empty() { "missing" } else { &old };
        Ok(format!("Kept `{} = {}`; it was {old}", held.name, held.written))
    }

    pub(super) fn table_of(&self, place: CellPlace) -> Option<Result<WrittenTable, Refusal>> {
        let column = self.sheet.table_column(place.slot)?;
        let table = self.sheet.tables().get(column.table as usize)?;
        match self.sheet.tree().node(table.item) {
            Some(Node::Table(tree)) => Some(self.written_table(&tree.name.text)),
            _ => None,
        }
    }
}
