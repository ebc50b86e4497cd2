//! Columns of times: what makes one, and which day each of its cells belongs to.
//!
//! A column of clock times without its day beside it is counted from its first row on:
//! a step back of more than 12 h is midnight, and a cell may say how many midnights have
//! passed. A clock column with dates to its left is not counted, since its day stands
//! there. Start reading at [`time_kind`] and [`settle_days`].

use crate::calendar::{DAY, counted};
use crate::number::Number;
use crate::problem::{Code, Problem};
use crate::syntax::cell::{Cell, looks_like_clock};
use crate::unit::{Beginning, Kind};

use super::column::{CellPlace, CellRead, TableColumn, at_cell, note};

/// What stands immediately to the left of a column.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub(super) enum Left {
    /// A column of dates, perhaps with clock times between that have their day there too.
    Dates,
    /// Anything else, or nothing.
    #[default]
    Other,
}

/// The kind of a column at least half of whose filled cells are times, or are written like
/// clock times. Its own first one is a column that a table will number.
pub(super) fn time_kind<'a>(cells: impl Iterator<Item = (&'a Cell, &'a str)>, left: Left) -> Option<Kind> {
    let (mut clocks, mut moments, mut filled) = (0usize, 0usize, 0usize);
    let mut first_is_moment = None;
    for (cell, written) in cells.filter(|(cell, _)| **cell != Cell::Missing) {
        filled += 1;
        match cell {
            Cell::Dated(_) => moments += 1,
            Cell::Clock(_) => clocks += 1,
            Cell::Text(_) if looks_like_clock(written) => clocks += 1,
            _ => continue,
        }
        first_is_moment.get_or_insert(moments > 0);
    }
    if (clocks + moments) * 2 < filled || filled == 0 {
        return None;
    }
    let is_moment = moments > clocks || moments == clocks && first_is_moment == Some(true);
    Some(match (is_moment, left) {
        (true, _) => Kind::Moment,
        (false, Left::Dates) => Kind::TimeOfDay,
        (false, Left::Other) => Kind::Counted(Beginning::Column(0)),
    })
}

/// What a column is to the one on its right.
pub(super) fn as_left<'a>(kind: Kind, mut cells: impl Iterator<Item = &'a Cell>) -> Left {
    let is_date =
        |cell: &Cell| matches!(cell, Cell::Missing) || matches!(cell, Cell::Dated(dated) if dated.clock.is_none());
    match kind {
        Kind::Moment if cells.all(is_date) => Left::Dates,
        Kind::TimeOfDay => Left::Dates,
        _ => Left::Other,
    }
}

/// Whether a cell can be read in a column of times of that kind.
pub(super) fn reads_as_time(cell: &Cell, kind: Kind) -> bool {
    match cell {
        Cell::Missing => true,
        Cell::Clock(time) => matches!(kind, Kind::Counted(_)) || kind == Kind::TimeOfDay && time.days.is_none(),
        Cell::Dated(_) => kind == Kind::Moment,
        _ => false,
    }
}

/// Whether a cell says am or pm.
fn is_halved(cell: &Cell) -> bool {
    match cell {
        Cell::Clock(time) => time.halved,
        Cell::Dated(dated) => dated.clock.is_some_and(|time| time.halved),
        _ => false,
    }
}

/// Where one cell says am or pm, those up to 12:59 that don't may be of either half.
pub(super) fn tell_halves(name: &str, cells: &[CellRead<'_>], problems: &mut Vec<Problem>) {
    if !cells.iter().any(|read| is_halved(&read.cell)) {
        return;
    }
    for read in cells {
        let time = match &read.cell {
            Cell::Clock(time) => Some(*time),
            Cell::Dated(dated) => dated.clock,
            _ => None,
        };
        if time.is_some_and(|time| !time.halved && time.seconds < 13 * 3600) {
            note(problems, || unhalved(read, name));
        }
    }
}

fn unhalved(read: &CellRead<'_>, column: &str) -> Problem {
    let written = read.written.trim();
    let message = format!("`{written}` of column `{column}` says neither am nor pm, and other cells do");
    let (morning, afternoon) = (format!("{written} am"), format!("{written} pm"));
    let help = format!("write `{morning}` or `{afternoon}`");
    let problem = at_cell(Code::UnreadableCell, message, &read.place, column).help(help);
    match read.place {
        CellPlace::Span(_, span) => problem.mend(span, morning).mend(span, afternoon),
        CellPlace::File { .. } => problem,
    }
}

const HALF_A_DAY: i64 = DAY / 2;

/// Counts the cells of a clock column on from its first row. A step back of up to 12 h, or
/// to a day that is written, is a problem naming the row.
pub(super) fn settle_days(column: &mut TableColumn, cells: &[CellRead<'_>], problems: &mut Vec<Problem>) {
    if !matches!(column.kind, Kind::Counted(_)) {
        return;
    }
    let mut day = 0;
    let mut before: Option<i64> = None;
    for (row, read) in cells.iter().enumerate() {
        let Cell::Clock(time) = &read.cell else { continue };
        day = time.days.map_or(day, |days| days * DAY);
        let mut now = day + time.seconds;
        if let Some(earlier) = before.filter(|earlier| now < *earlier) {
            if time.days.is_none() && earlier - now > HALF_A_DAY {
                day += DAY;
                now += DAY;
            } else {
                let next_day = earlier.div_euclid(DAY) * DAY + DAY + time.seconds;
                note(problems, || backwards(row, &column.name, read, next_day));
            }
        }
        before = Some(now);
        if let Some(cell) = column.cells.get_mut(row) {
            *cell = Some(Number::from_integer(now));
        }
    }
}

fn backwards(row: usize, column: &str, read: &CellRead<'_>, next_day: i64) -> Problem {
    let message = format!("row {} of column `{column}` is earlier than the row before it", row + 1);
    let meant = counted(next_day);
    let help = format!("write `{meant}` if it is of the next day, or put the rows in order of time");
    let problem = at_cell(Code::TimeOrder, message, &read.place, column).help(help);
    match read.place {
        CellPlace::Span(_, span) => problem.mend(span, meant),
        CellPlace::File { .. } => problem,
    }
}
