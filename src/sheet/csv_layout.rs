//! Files that meters and loggers write: headings called otherwise, dates in another order,
//! rows thinned out.
//!
//! `csv("log.csv", columns: "time = Timestamp; gross [lb] = Weight (lb)",
//! dates: "month/day/year", every: 5 min)`. Nothing is averaged. Start reading at
//! [`chosen_columns`].

use crate::calendar::DAY;
use crate::number::Number;
use crate::syntax::cell::{Cell, read_cell};

/// The columns that are asked for: each by its place in the file, with the heading it gets.
///
/// # Errors
/// What is wrong with the list, and what to do.
pub(super) fn chosen_columns(asked: &str, headings: &[&str]) -> Result<Vec<(usize, String)>, (String, String)> {
    let parts = asked.split(';').map(str::trim).filter(|part| !part.is_empty());
    let columns = parts.map(|part| {
        let Some((heading, called)) = part.split_once('=') else {
            let message = format!("`{part}` doesn't say which column of the file it is");
            return Err((message, "write `gross [lb] = Weight (lb)`, parted by `;`".to_owned()));
        };
        let (heading, called) = (heading.trim(), called.trim());
        let found: Vec<usize> = (0..headings.len())
            .filter(|place| headings.get(*place).is_some_and(|known| known.trim() == called))
            .collect();
        match found.as_slice() {
            [place] => Ok((*place, heading.to_owned())),
            [] => {
                let message = format!("the file has no column headed `{called}`");
                Err((message, format!("its headings are `{}`", headings.join("`, `"))))
            }
            _ => Err((
                format!("the file has several columns headed `{called}`"),
                "give them different headings in the file".to_owned(),
            )),
        }
    });
    columns.collect()
}

/// The order of the parts of a date, and what stands between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct DateOrder {
    parts: [char; 3],
    between: char,
}

impl DateOrder {
    /// `month/day/year`, `day.month.year`
    pub(super) fn of(text: &str) -> Option<DateOrder> {
        let between = text.chars().find(|c| !c.is_alphabetic())?;
        let words: Vec<&str> = text.split(between).collect();
        let part = |word: &str| match word.trim() {
            "year" => Some('y'),
            "month" => Some('m'),
            "day" => Some('d'),
            _ => None,
        };
        match words.as_slice() {
            [one, two, three] => {
                let parts = [part(one)?, part(two)?, part(three)?];
                let has_all = ['y', 'm', 'd'].iter().all(|wanted| parts.contains(wanted));
                has_all.then_some(DateOrder { parts, between })
            }
            _ => None,
        }
    }

    /// A cell with its date as year-month-day; as it is where it begins with no such date.
    pub(super) fn turned(&self, cell: &str) -> String {
        self.date_in(cell).unwrap_or_else(|| cell.to_owned())
    }

    fn date_in(&self, cell: &str) -> Option<String> {
        let cell = cell.trim();
        let end = cell.find([' ', 'T', 't']).unwrap_or(cell.len());
        let (date, rest) = cell.split_at_checked(end)?;
        let fields: Vec<&str> = date.split(self.between).collect();
        let [one, two, three] = fields.as_slice() else {
            return None;
        };
        let (mut year, mut month, mut day) = ("", 0u32, 0u32);
        for (part, field) in self.parts.iter().zip([one, two, three]) {
            let is_number = !field.is_empty() && field.len() <= 4 && field.bytes().all(|b| b.is_ascii_digit());
            let number = || field.parse::<u32>().ok().filter(|_| is_number && field.len() <= 2);
            match part {
                'y' if is_number && field.len() == 4 => year = field,
                'm' => month = number()?,
                'd' => day = number()?,
                // a year of two digits may be of any century
                _ => return None,
            }
        }
        let turned = format!("{year}-{month:02}-{day:02}{rest}");
        matches!(read_cell(&turned), Cell::Dated(_)).then_some(turned)
    }
}

/// Which rows are kept so that each is the first at or after a whole step from the first.
/// `None` where no column tells the time. Rows whose time can't be read stay, to be told.
pub(super) fn kept_rows<'a>(rows: impl Iterator<Item = Vec<&'a str>> + Clone, step: Number) -> Option<Vec<bool>> {
    let first = rows.clone().next()?;
    let is_time = |cell: &&str| matches!(read_cell(cell), Cell::Clock(_) | Cell::Dated(_));
    let place = first.iter().position(is_time)?;
    let step = step.to_f64();
    let mut kept = Vec::new();
    let (mut began, mut next, mut before, mut midnights) = (None, f64::NEG_INFINITY, None, 0);
    for row in rows {
        let Some(read) = time_of(&row, place) else {
            kept.push(true);
            continue;
        };
        let mut now = read.seconds + midnights * DAY;
        if !read.is_dated {
            // a step back of more than 12 h is midnight, as in a table
            if before.is_some_and(|before| before - now > DAY / 2) {
                midnights += 1;
                now += DAY;
            }
            before = Some(now);
        }
        let origin = *began.get_or_insert(now);
        let passed = (now - origin) as f64;
        let keeps = passed >= next;
        if keeps {
            next = (libm::floor(passed / step) + 1.0) * step;
        }
        kept.push(keeps);
    }
    Some(kept)
}

/// A time in seconds, and whether it has its date.
struct Read {
    seconds: i64,
    is_dated: bool,
}

fn time_of(row: &[&str], place: usize) -> Option<Read> {
    let cell = |place: usize| row.get(place).map_or(Cell::Missing, |cell| read_cell(cell));
    match (cell(place), cell(place + 1)) {
        (Cell::Dated(day), Cell::Clock(time)) if day.clock.is_none() => Some(Read {
            seconds: day.moment().to_integer()? + time.seconds,
            is_dated: true,
        }),
        (Cell::Dated(moment), _) => Some(Read {
            seconds: moment.moment().to_integer()?,
            is_dated: true,
        }),
        (Cell::Clock(time), _) => Some(Read {
            seconds: time.counted().to_integer()?,
            is_dated: time.days.is_some(),
        }),
        _ => None,
    }
}
