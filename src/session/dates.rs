//! Dates as they stand on a collar or a calendar, and the form that a table takes.
//!
//! Start reading at [`date_meant`].

use crate::syntax::cell::{Cell, read_cell};
use crate::text::first_word;

/// The date that is meant where month and year alone are written, as collars have them, or month,
/// day and year, perhaps with a clock time: as it can be typed.
pub(super) fn date_meant(cell: &str) -> Option<String> {
    let (date, time) = first_word(cell.trim());
    let parts: Option<Vec<i64>> = date.split(['-', '/']).map(|part| part.parse().ok()).collect();
    let century = |year: i64| if year < 100 { 2000 + year } else { year };
    let (year, month, day) = match parts?.as_slice() {
        [year @ 1900..=2100, month] => (*year, *month, 1),
        [month, year @ (0..=99 | 1900..=2100)] => (century(*year), *month, 1),
        [month, day, year @ (0..=99 | 1900..=2100)] => (century(*year), *month, *day),
        [year @ 1900..=2100, month, day] => (*year, *month, *day),
        _ => return None,
    };
    let meant = format!(
        "{year}-{month:02}-{day:02}{}{time}",
        if time.is_empty() { "" } else { " " }
    );
    (date != meant.get(..10)? && matches!(read_cell(&meant), Cell::Dated(_))).then_some(meant)
}
