//! The two nights of a year in which the clocks of the United States are changed.
//!
//! Moments have no zone, so that the hours between two of them that lie on either side of
//! such a change are an hour more than passed, or one less, if both were read off a clock
//! that follows it. That is said beside the result. Start reading at
//! [`Sheet::caution_clock_change`].

use crate::calendar::{ClockChange, DAY, clock_changes, moment, year};
use crate::number::Number;
use crate::trade::caution::CLOCK_CHANGE;
use crate::unit::Kind;

use super::appraisal::{Appraisal, Cautioned};
use super::model::Model;
use super::names::CellId;
use super::typed::{Arithmetic, Node, Typed};
use super::{Reading, Sheet};

/// Over more days than this an hour is of no matter.
const LONGEST: i64 = 7 * DAY;

impl Model {
    /// Remembers which cells take one moment from another, with the moments written in them.
    pub(super) fn note_moments(&mut self, cell: u32, value: &Typed) {
        let mut written = Vec::new();
        if takes_moments(value, &mut written) {
            self.between_moments.insert(cell, written);
        } else if !self.between_moments.is_empty() {
            self.between_moments.remove(&cell);
        }
    }
}

impl Sheet {
    /// The caution of a cell that takes one moment from another over a change of the clocks.
    pub(super) fn caution_clock_change(&self, cell: u32, appraisal: &mut Appraisal) {
        let Some(written) = self.between_moments.get(&cell) else {
            return;
        };
        let id = CellId(cell);
        let behind = self.moments_behind(id);
        let seconds = written
            .iter()
            .chain(&behind)
            .filter_map(|time| time.floor().to_integer());
        let Some((first, last)) = bounds(seconds) else { return };
        if last - first > LONGEST {
            return;
        }
        let years = [year(first), year(last)].into_iter().flatten();
        let changes = years.flat_map(clock_changes);
        let Some(change) = changes.into_iter().find(|change| first < change.at && change.at < last) else {
            return;
        };
        appraisal
            .cautions
            .push(Cautioned::new(id, &CLOCK_CHANGE, told(first, last, &change)));
    }

    /// The moments that a cell looks at: entries, and columns with the clock times beside them.
    fn moments_behind(&self, cell: CellId) -> Vec<Number> {
        let mut found = Vec::new();
        for need in self.order.needs(cell.0) {
            let need = CellId(*need);
            if self.shape(need).is_some_and(|shape| shape.kind == Kind::Moment) {
                match self.reading(need) {
                    Reading::Number(number) => found.push(number),
                    Reading::Column(cells) => found.extend(cells.iter().flatten()),
                    Reading::Within(_) | Reading::None(_) => {}
                }
            }
        }
        for table in self.tables_of(cell) {
            let slots = self.tables.get(table as usize).map_or(&[][..], |table| &table.columns);
            for (place, slot) in slots.iter().enumerate() {
                if self
                    .table_column(*slot)
                    .is_some_and(|column| column.kind == Kind::Moment)
                {
                    self.dated(*slot, slots.get(place + 1).copied(), &mut found);
                }
            }
        }
        found
    }

    /// A column of moments; of dates with the clock times on their right.
    fn dated(&self, slot: u32, right: Option<u32>, found: &mut Vec<Number>) {
        let clock = right.filter(|right| {
            self.table_column(*right)
                .is_some_and(|column| column.kind == Kind::TimeOfDay)
        });
        let clocks = clock.map_or(&[][..], |clock| self.column_cells(clock));
        for (row, day) in self.column_cells(slot).iter().enumerate() {
            let clock = clocks.get(row).copied().flatten().unwrap_or_default();
            found.extend(day.and_then(|day| day.add(clock).ok()));
        }
    }
}

fn bounds(mut seconds: impl Iterator<Item = i64>) -> Option<(i64, i64)> {
    let first = seconds.next()?;
    Some(seconds.fold((first, first), |(low, high), next| (low.min(next), high.max(next))))
}

fn told(first: i64, last: i64, change: &ClockChange) -> String {
    let shown = |seconds| moment(seconds).unwrap_or_default();
    let (way, less) = if change.forward {
        ("forward", "less")
    } else {
        ("back", "more")
    };
    format!(
        "Between {} and {} most clocks in the United States go {way} an hour, at {}. Dates have no time zone here: if they \
         were read off such a clock, an hour {less} has passed than is counted. Write the times after the change as the \
         clock stood before it.",
        shown(first),
        shown(last),
        shown(change.at)
    )
}

/// Whether one moment is taken from another anywhere, and the moments that are written.
fn takes_moments(value: &Typed, written: &mut Vec<Number>) -> bool {
    if let (Node::Constant(number), Kind::Moment) = (&value.node, value.kind) {
        written.push(*number);
        return false;
    }
    let mut of = |value: &Typed| takes_moments(value, written);
    match &value.node {
        Node::Arithmetic(arithmetic, _, sides) => {
            let both = sides.0.kind == Kind::Moment && sides.1.kind == Kind::Moment;
            of(&sides.0) | of(&sides.1) | (*arithmetic == Arithmetic::Subtract && both)
        }
        Node::Where(sides)
        | Node::And(sides)
        | Node::Or(sides)
        | Node::Compare(_, sides)
        | Node::Schedule(_, sides) => of(&sides.0) | of(&sides.1),
        Node::Convert(inner, _) | Node::Negate(inner) | Node::Not(inner) => of(inner),
        Node::If(parts) => of(&parts.0) | of(&parts.1) | of(&parts.2),
        Node::Call(_, arguments) => arguments.iter().fold(false, |found, argument| of(argument) | found),
        Node::Let(shared, body) => shared.iter().fold(of(body), |found, (_, value)| of(value) | found),
        _ => false,
    }
}
