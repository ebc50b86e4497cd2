//! A reading as it is typed: which table, which column each cell goes into, and the clock.
//!
//! `add run gross 30.7 lb, hose on`: cells by name, or in order, parted by commas. What is
//! left out is missing, but for the time that leads a table, which takes the clock. Each cell
//! is looked at before anything is put in; doing it is [`super::add`]. Start reading at
//! [`Session::read_reading`].

use crate::calendar::{self, DAY, clock};
use crate::number::Number;
use crate::sheet::names::Named;
use crate::syntax::cell::{Cell, read_cell};
use crate::syntax::tree::Node;
use crate::text::first_word;
use crate::unit::{Kind, Unit};

use super::dates::date_meant;
use super::rows::{WrittenColumn, WrittenTable};
use super::trial::quoted;
use super::{Refusal, Session};

/// A row that is to be put in.
pub(super) struct NewRow {
    pub(super) table: WrittenTable,
    /// Its cells as they are written, one for each heading.
    pub(super) cells: Vec<String>,
    /// Where it goes, counted from 0.
    pub(super) at: usize,
    /// The columns that took the clock.
    pub(super) by_clock: Vec<usize>,
    /// The columns whose words came in quotes: they are meant so.
    in_quotes: Vec<usize>,
    /// When it was read, in seconds, as the leading columns count.
    pub(super) when: Option<i64>,
    /// How the time is written if it is of the day after the row that it was put before.
    pub(super) other_day: Option<String>,
}

impl NewRow {
    /// The row as it would be typed, every cell by its name.
    pub(super) fn typed(&self) -> String {
        let cells = self.table.named().filter_map(|(place, column)| {
            let cell = self.cells.get(place).filter(|cell| !cell.is_empty())?;
            Some(match self.in_quotes.contains(&place) && !cell.starts_with('"') {
                true => format!("{} {}", column.name, quoted(cell)),
                false => format!("{} {}", column.name, in_line(cell)),
            })
        });
        let cells: Vec<String> = cells.collect();
        format!("{} {}", self.table.name, cells.join(", "))
    }

    /// Whether it stands behind all others.
    pub(super) fn is_last(&self) -> bool {
        self.at >= self.table.rows
    }
}

/// A cell in a line whose commas part cells.
pub(super) fn in_line(cell: &str) -> String {
    match cell.contains(',') && !cell.starts_with('"') {
        true => quoted(cell),
        false => cell.to_owned(),
    }
}

/// A number whose unit the heading says already: `30.7 lb`. `$4` and `2 h 10 min` stay.
pub(super) fn without_unit(cell: &str, unit: &str) -> Option<String> {
    let bare = cell.strip_suffix(unit)?.trim_end();
    let is_number = matches!(
        read_cell(bare),
        Cell::Quantity {
            unit: None,
            tolerance: None,
            ..
        }
    );
    is_number.then(|| bare.to_owned())
}

/// A text as a cell between bars holds it.
pub(super) fn between_bars(said: &str) -> String {
    let plain = said.replace('|', "\\|");
    match read_cell(&plain) {
        Cell::Text(read) if *read == *said && !plain.contains('\n') => plain,
        _ => quoted(said).replace('|', "\\u{7c}"),
    }
}

/// So many rows tell how a column writes its times.
const MOST_LOOKED_AT: usize = 20;

/// What leads a table and tells when each row was read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Leading {
    /// A column of clock times that are counted on, or of moments.
    One(usize),
    /// A column of dates, and one of clock times beside it.
    DayAndClock(usize, usize),
}

impl Session {
    /// The time on the wall is that from here on, in seconds from 1970-01-01 00:00.
    pub fn set_clock(&mut self, moment: i64) {
        self.clock = Some(moment);
    }

    pub(super) fn now(&self) -> i64 {
        self.clock.unwrap_or_else(calendar::now)
    }

    /// What is typed behind `add`, with its cells parted by commas.
    pub(super) fn read_reading(&self, line: &str) -> Result<NewRow, Refusal> {
        if line.contains(['\n', '\r']) {
            return Err(Refusal::new("a row is one line, and a cell in it has no line end"));
        }
        let (first, rest) = first_word(line.trim());
        let (table, rest) = match self.sheet.names().get(first) {
            Some(Named::Table(_)) => (self.written_table(first)?, rest),
            _ => (self.table_meant(first)?, line.trim()),
        };
        let parts = parted(rest)?;
        if parts.iter().all(|part| part.is_empty()) {
            return Err(nothing_to_add(&table));
        }
        let row = self.new_row(table, &parts);
        row.map_err(|refusal| match self.table_near(first) {
            Some(near) => refusal.help(format!("write `add {near} …`, if that table is meant")),
            None => refusal,
        })
    }

    /// Whether readings are typed into the worksheet itself.
    pub(crate) fn takes_readings(&self) -> bool {
        self.table_meant("").is_ok_and(|table| table.file.is_none())
    }

    /// The table whose name is near to a word that is none.
    fn table_near(&self, word: &str) -> Option<&str> {
        if self.sheet.names().get(word).is_some() {
            return None;
        }
        let names = self.sheet.tree().items.iter().filter_map(|item| match &item.node {
            Node::Table(table) => Some(&*table.name.text),
            _ => None,
        });
        crate::text::nearest(word, names)
    }

    /// The one table that has a time and a weight.
    fn table_meant(&self, first: &str) -> Result<WrittenTable, Refusal> {
        let names = self.sheet.tree().items.iter().filter_map(|item| match &item.node {
            Node::Table(table) => Some(&*table.name.text),
            _ => None,
        });
        let tables: Vec<WrittenTable> = names.filter_map(|name| self.written_table(name).ok()).collect();
        let weighs = |table: &&WrittenTable| leading(table).is_some() && weight_of(table).is_some();
        let found: Vec<&WrittenTable> = tables.iter().filter(weighs).collect();
        let has_it = |table: &&WrittenTable| table.place_of(first).is_some();
        match found.as_slice() {
            [only] => Ok((*only).clone()),
            [] if tables.is_empty() => {
                let refusal = Refusal::new("there is no table here to put a row into");
                Err(refusal.help("`table run` begins one, its headings and rows below it"))
            }
            [] => {
                let near = crate::text::nearest(first, tables.iter().map(|table| table.name.as_str()));
                let refusal = Refusal::new("no table here has a time and a weight, so say which one is meant");
                let name = near.unwrap_or(tables.first().map_or("TABLE", |table| &table.name));
                Err(refusal.help(format!("write `add {name} …`")))
            }
            several => {
                let with_column: Vec<&&WrittenTable> = several.iter().filter(|table| has_it(table)).collect();
                let listed: Vec<String> = several.iter().map(|table| format!("`add {} …`", table.name)).collect();
                let which = if with_column.is_empty() {
                    "tables have"
                } else {
                    "tables here have"
                };
                let message = format!("several {which} a time and a weight; which one is meant?");
                Err(Refusal::new(message).help(format!("write {}", listed.join(" or "))))
            }
        }
    }

    fn new_row(&self, table: WrittenTable, parts: &[String]) -> Result<NewRow, Refusal> {
        let by_name = parts
            .first()
            .is_some_and(|part| table.place_of(first_word(part).0).is_some());
        let mut cells = match by_name {
            true => named_cells(&table, parts)?,
            false => cells_in_order(&table, parts)?,
        };
        let in_quotes = (0..cells.len()).filter(|place| cells.get(*place).is_some_and(|cell| cell.starts_with('"')));
        let in_quotes: Vec<usize> = in_quotes.collect();
        self.is_named_once(&table, &cells)?;
        for (place, column) in table.named() {
            if let Some(cell) = cells.get_mut(place) {
                let whole = |refusal: Refusal| match run_together(&parts.join(" "), &table) {
                    Some((help, true)) if parts.len() < table.columns.len() => refusal.help(help),
                    _ => refusal,
                };
                self.settle_cell(&table, column, cell).map_err(whole)?;
            }
        }
        self.tells_what_hung(&table, &cells)?;
        let mut row = NewRow {
            at: table.rows,
            by_clock: Vec::new(),
            in_quotes,
            when: None,
            other_day: None,
            cells,
            table,
        };
        self.settle_time(&mut row)?;
        Ok(row)
    }

    /// Looks whether a cell goes into its column, and writes it as the column does.
    fn settle_cell(&self, table: &WrittenTable, column: &WrittenColumn, cell: &mut String) -> Result<(), Refusal> {
        if let Some(problem) = self.sheet.cell_misfit(column.slot, cell) {
            let refusal = Refusal::new(format!("{}; nothing was added", problem.message));
            let others = table
                .named()
                .find(|(_, other)| other.name != column.name && cell.split_whitespace().any(|word| word == other.name));
            let parted = others.map(|(_, other)| {
                let meant = cell.replacen(&format!(" {}", other.name), &format!(", {}", other.name), 1);
                format!("part cells by commas: `{} {meant}`", column.name)
            });
            let near = crate::text::nearest(
                first_word(cell).0,
                table.named().map(|(_, column)| column.name.as_str()),
            );
            let named = near.map(|near| format!("write `{near} {}`, if that is meant", first_word(cell).1));
            let comma = cell.trim_matches('"').split_once(',');
            if let Some(refusal) = comma.and_then(|(whole, part)| decimal_comma(whole, part)) {
                return Err(refusal);
            }
            let dated = date_meant(cell).filter(|_| column.kind == Kind::Moment);
            let help = dated.map(|meant| format!("write `{meant}`")).or(parted);
            let help = help
                .or_else(|| run_together(cell, table).map(|(help, _)| help))
                .or(named)
                .or(problem.help.filter(|help| !help.starts_with("mend the cell")));
            let help = help.unwrap_or_else(|| self.sample_of(table, column));
            return Err(refusal.help(help));
        }
        if let Kind::Quantity(unit) = column.kind
            && column.has_unit
            && let Some(bare) = without_unit(cell, &unit.to_string())
        {
            *cell = bare;
        }
        if let Some(counted) = self.as_column_counts(table, column, cell) {
            *cell = counted;
        }
        self.settle_word(column, cell)?;
        if let Cell::Text(said) = read_cell(cell) {
            *cell = match table.file {
                Some(_) => said.to_string(),
                None => between_bars(&said),
            };
        }
        Ok(())
    }

    /// A time with pm as a column writes it that counts to 24.
    fn as_column_counts(&self, table: &WrittenTable, column: &WrittenColumn, cell: &str) -> Option<String> {
        let time = match read_cell(cell) {
            Cell::Clock(time) if time.halved && time.days.is_none() && time.seconds % 60 == 0 => time,
            _ => return None,
        };
        let place = table.place_of(&column.name)?;
        let halved = |row: usize| {
            let before = self.row_as_written(table, row)?.get(place).cloned()?;
            Some(matches!(read_cell(&before), Cell::Clock(time) if time.halved))
        };
        let counts_on = table.rows > 0 && (0..table.rows.min(MOST_LOOKED_AT)).all(|row| halved(row) == Some(false));
        counts_on.then(|| clock(time.seconds))
    }

    fn sample_of(&self, table: &WrittenTable, column: &WrittenColumn) -> String {
        let last = self.row_as_written(table, table.rows.saturating_sub(1));
        let cell = table.place_of(&column.name).and_then(|place| last?.get(place).cloned());
        match cell.filter(|cell| !cell.is_empty()) {
            Some(cell) => format!("write it as the row before does, such as `{} {cell}`", column.name),
            None => "look at its digits and its unit".to_owned(),
        }
    }

    /// Gives the time that leads a table the clock, where it isn't given, and finds where the
    /// row goes.
    fn settle_time(&self, row: &mut NewRow) -> Result<(), Refusal> {
        let Some(leading) = leading(&row.table) else {
            return Ok(());
        };
        let (time, day) = match leading {
            Leading::One(place) => (place, None),
            Leading::DayAndClock(day, clock) => (clock, Some(day)),
        };
        let is_empty = |place: usize| row.cells.get(place).is_none_or(String::is_empty);
        let now = self.now();
        let mut taken = Vec::new();
        if let Some(day) = day.filter(|day| is_empty(*day)) {
            taken.push((day, calendar::date_of(now).unwrap_or_default()));
        }
        if is_empty(time) {
            let is_moment = row.table.columns.get(time).and_then(Option::as_ref);
            let date = calendar::date_of(now).unwrap_or_default();
            let written = match (is_moment, day) {
                (Some(column), None) if wants_date(column) => match self.has_dates_alone(column) {
                    true => date,
                    false => format!("{date} {}", clock(now)),
                },
                _ => self.clock_as_written(&row.table, time, now),
            };
            taken.push((time, written));
        }
        for (place, written) in taken {
            row.by_clock.push(place);
            if let Some(cell) = row.cells.get_mut(place) {
                *cell = written;
            }
        }
        self.place_in_time(row, leading)
    }

    /// Whether a column has dates without a clock time.
    fn has_dates_alone(&self, column: &WrittenColumn) -> bool {
        let cells = self.sheet.column_cells(column.slot);
        let at_midnight = |cell: &Number| cell.to_integer().is_some_and(|at| at.rem_euclid(DAY) == 0);
        !cells.is_empty() && cells.iter().flatten().all(at_midnight)
    }

    /// The clock, with am or pm where the column says them.
    fn clock_as_written(&self, table: &WrittenTable, time: usize, now: i64) -> String {
        let last = self.row_as_written(table, table.rows.saturating_sub(1));
        let last = last.and_then(|cells| cells.get(time).cloned()).unwrap_or_default();
        let is_halved = last.to_lowercase().trim_end_matches('.').ends_with('m') && last.contains(':');
        if !is_halved {
            return clock(now);
        }
        let second = now.rem_euclid(DAY);
        let (hour, half) = (second / 3600, if second < DAY / 2 { "am" } else { "pm" });
        let hour = if hour % 12 == 0 { 12 } else { hour % 12 };
        format!("{hour}:{:02} {half}", second / 60 % 60)
    }

    /// A row goes where its time puts it: behind the last, or before the first that is later.
    fn place_in_time(&self, row: &mut NewRow, leading: Leading) -> Result<(), Refusal> {
        let seconds = |number: &Option<Number>| number.and_then(|number| number.round().to_integer());
        let times: Option<Vec<i64>> = match leading {
            Leading::One(place) => {
                let column = row.table.columns.get(place).and_then(Option::as_ref);
                let cells = column
                    .map(|column| self.sheet.column_cells(column.slot))
                    .unwrap_or_default();
                cells.iter().map(seconds).collect()
            }
            Leading::DayAndClock(day, clock) => {
                let cells = |place: usize| {
                    let column = row.table.columns.get(place).and_then(Option::as_ref);
                    column
                        .map(|column| self.sheet.column_cells(column.slot))
                        .unwrap_or_default()
                };
                let pairs = cells(day).iter().zip(cells(clock));
                pairs
                    .map(|(day, clock)| Some(seconds(day)? + seconds(clock)?))
                    .collect()
            }
        };
        let is_in_order = |times: &Vec<i64>| times.windows(2).all(|pair| matches!(pair, [one, next] if one <= next));
        let Some(times) = times.filter(is_in_order) else {
            return Ok(());
        };
        let cell = |place: usize| row.cells.get(place).map_or(Cell::Missing, |cell| read_cell(cell));
        let when = match leading {
            Leading::One(place) => match cell(place) {
                Cell::Clock(time) if row.by_clock.contains(&place) => Some(by_now(&times, time.seconds)?),
                Cell::Clock(time) => Some(counted_on(&times, time.seconds, time.days)),
                Cell::Dated(dated) => dated.moment().to_integer(),
                _ => None,
            },
            Leading::DayAndClock(day, clock) => match (cell(day), cell(clock)) {
                (Cell::Dated(day), Cell::Clock(time)) => day.moment().to_integer().map(|day| day + time.seconds),
                _ => None,
            },
        };
        if let (Leading::One(place), Some(at), Some(first)) = (leading, when, times.first())
            && let Cell::Clock(time) = cell(place)
            && time.days.is_none()
            && at < *first
        {
            return Err(before_all(time.seconds, *first, times.last().copied().unwrap_or(at)));
        }
        if let (Leading::One(place), Some(at)) = (leading, when)
            && let Cell::Clock(time) = cell(place)
            && time.days.is_none()
            && !row.by_clock.contains(&place)
            && may_be_earlier(&times, at)
        {
            return Err(of_which_day(at));
        }
        row.when = when;
        let Some(when) = when else { return Ok(()) };
        row.at = times.iter().position(|time| *time > when).unwrap_or(times.len());
        if let Leading::One(place) = leading
            && let Cell::Clock(time) = cell(place)
            && time.days.is_none()
        {
            let last = times.last().copied().unwrap_or(when);
            let is_plain = row.is_last() && counted_on(&times, time.seconds, None) == when;
            if let (false, Some(cell)) = (is_plain || when < DAY, row.cells.get_mut(place)) {
                *cell = calendar::counted(when);
            }
            row.other_day =
                (!row.is_last()).then(|| calendar::counted(last.div_euclid(DAY) * DAY + DAY + time.seconds));
        }
        Ok(())
    }
}

/// The clock that was taken: it is later than all rows that are there.
fn by_now(times: &[i64], clock: i64) -> Result<i64, Refusal> {
    let Some(last) = times.last() else { return Ok(clock) };
    let today = last.div_euclid(DAY) * DAY + clock;
    if *last - today > 0 && *last - today <= 3600 {
        let (now, before) = (calendar::clock(clock), calendar::clock(*last));
        let message = format!("the clock says {now}, and the last row is of {before}; which is right?");
        let next = calendar::counted(today + DAY);
        let help = format!("say the time: `time {now}`, or `time {next}` if a day lies between");
        return Err(Refusal::new(message).help(help));
    }
    Ok(if today < *last { today + DAY } else { today })
}

/// A clock time before the first row may as well be of the next day.
fn before_all(clock: i64, first: i64, last: i64) -> Refusal {
    let (typed, first) = (calendar::clock(clock), calendar::clock(first));
    let message = format!("{typed} is before the first row, {first}; which day is it of?");
    let next = calendar::counted(last.div_euclid(DAY) * DAY + DAY + clock);
    let same = calendar::counted(clock);
    Refusal::new(message).help(format!(
        "say its day: `time {next}`, or `time {same}` if the run began then"
    ))
}

/// Whether a last reading, by its clock, stands as well a day before, within the run, and far off the
/// others where it is put.
fn may_be_earlier(times: &[i64], at: i64) -> bool {
    let (Some(first), Some(last)) = (times.first(), times.last()) else {
        return false;
    };
    let gaps = times.windows(2).filter_map(|pair| match pair {
        [one, next] => Some(next - one),
        _ => None,
    });
    let longest = gaps.max().unwrap_or(0);
    at - last > (DAY / 2).max(2 * longest) && at - DAY >= *first
}

/// A clock time that is counted on by most of a day may as well have been entered late.
fn of_which_day(at: i64) -> Refusal {
    let typed = calendar::clock(at.rem_euclid(DAY));
    let (before, next) = (calendar::counted(at - DAY), calendar::counted(at));
    Refusal::new(format!(
        "{typed} lies within the run and a day later too; which day is it of?"
    ))
    .help(format!("say its day: `time {before}`, or `time {next}`"))
}

/// A clock time as it is counted on in a column: a step back of more than 12 h is midnight.
fn counted_on(times: &[i64], clock: i64, days: Option<i64>) -> i64 {
    let Some(last) = times.last() else { return clock };
    match days {
        Some(days) => days * DAY + clock,
        None => {
            let now = last.div_euclid(DAY) * DAY + clock;
            if *last - now > DAY / 2 { now + DAY } else { now }
        }
    }
}

/// What tells when each row of a table was read.
fn leading(table: &WrittenTable) -> Option<Leading> {
    let kind = |place: usize| table.columns.get(place).and_then(Option::as_ref);
    let first = kind(0)?;
    match (first.kind, kind(1).map(|column| column.kind)) {
        (Kind::Moment, Some(Kind::TimeOfDay)) => Some(Leading::DayAndClock(0, 1)),
        (Kind::Moment | Kind::Counted(_), _) => Some(Leading::One(0)),
        _ if table.rows == 0 && is_called_time(&first.name) => Some(Leading::One(0)),
        _ => None,
    }
}

/// Whether its rows were read one after another.
pub(super) fn is_led_by_time(table: &WrittenTable) -> bool {
    leading(table).is_some()
}

/// Whether a column of which nothing is known yet is one of times by its name.
fn is_called_time(name: &str) -> bool {
    matches!(name, "time" | "clock" | "when" | "moment")
}

fn wants_date(column: &WrittenColumn) -> bool {
    column.kind == Kind::Moment || matches!(column.name.as_str(), "when" | "moment")
}

/// The first column of weights.
pub(super) fn weight_of(table: &WrittenTable) -> Option<usize> {
    let weighs = |column: &WrittenColumn| matches!(column.kind, Kind::Quantity(unit) if unit.measures() == "a weight");
    table.named().find(|(_, column)| weighs(column)).map(|(place, _)| place)
}

/// The column that tells when each row was read, where one alone does.
pub(super) fn time_of(table: &WrittenTable) -> Option<usize> {
    match leading(table)? {
        Leading::One(place) => Some(place),
        Leading::DayAndClock(..) => None,
    }
}

/// Cells by name: `gross 30.7 lb`.
fn named_cells(table: &WrittenTable, parts: &[String]) -> Result<Vec<String>, Refusal> {
    let mut cells: Vec<Option<String>> = vec![None; table.columns.len()];
    for (number, part) in parts.iter().enumerate() {
        let (name, value) = first_word(part);
        let Some(place) = table.place_of(name) else {
            let before = number.checked_sub(1).and_then(|before| parts.get(before));
            return Err(match before.and_then(|before| decimal_comma(before, part)) {
                Some(refusal) => refusal,
                None => no_column(table, name),
            });
        };
        if value.is_empty() {
            let refusal = Refusal::new(format!("a value is missing behind `{name}`; nothing was added"));
            return Err(refusal.help("leave the column out where nothing was read"));
        }
        let cell = cells.get_mut(place);
        if cell.as_ref().is_some_and(|cell| cell.is_some()) {
            return Err(Refusal::new(format!("`{name}` is given twice; nothing was added")));
        }
        if let Some(cell) = cell {
            *cell = Some(value.to_owned());
        }
    }
    Ok(cells.into_iter().map(Option::unwrap_or_default).collect())
}

/// `gross 37,3 lb`: a comma that parts the digits of one number.
fn decimal_comma(before: &str, part: &str) -> Option<Refusal> {
    let whole = before.rsplit(char::is_whitespace).next()?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    (digits(whole) && digits(first_word(part).0)).then(|| {
        let refusal = Refusal::new("commas part cells; nothing was added");
        refusal.help(format!("write `{whole}.{part}`, if that is one number"))
    })
}

fn no_column(table: &WrittenTable, name: &str) -> Refusal {
    let names: Vec<&str> = table.named().map(|(_, column)| column.name.as_str()).collect();
    let refusal = Refusal::new(format!("`{}` has no column `{name}`; nothing was added", table.name));
    match crate::text::nearest(name, names.iter().copied()) {
        Some(near) => refusal.help(format!("write `{near}`, if that is meant")),
        None => refusal.help(format!("its columns are `{}`", names.join("`, `"))),
    }
}

/// Cells in the order of the columns; the time that leads them may be left out.
fn cells_in_order(table: &WrittenTable, parts: &[String]) -> Result<Vec<String>, Refusal> {
    let led: usize = match leading(table) {
        Some(Leading::One(_)) => 1,
        Some(Leading::DayAndClock(..)) => 2,
        None => 0,
    };
    let first = parts.first().map_or(Cell::Missing, |part| read_cell(part));
    let from = match first {
        Cell::Dated(_) => 0,
        Cell::Clock(_) => led.saturating_sub(1),
        _ => led,
    };
    let room = table.columns.len() - from.min(table.columns.len());
    if parts.len() > room {
        let comma = parts.windows(2).find_map(|two| match two {
            [whole, part] => decimal_comma(whole, part),
            _ => None,
        });
        if let Some(refusal) = comma {
            return Err(refusal);
        }
        if let (Some(first), true) = (parts.first(), led == 1 && parts.len() == table.columns.len()) {
            let refusal = Refusal::new(format!("`{first}` is no time of day; nothing was added"));
            return Err(match date_meant(first) {
                Some(meant) => refusal.help(format!("write `{meant}`")),
                None => refusal.help("write it as `04:00` or `4:00 am`"),
            });
        }
        let refusal = Refusal::new(format!(
            "these are {} cells, and `{}` has room for {room} here; nothing was added",
            parts.len(),
            table.name
        ));
        return Err(refusal.help(by_name_help(table)));
    }
    let mut cells = vec![String::new(); table.columns.len()];
    for (place, part) in parts.iter().enumerate() {
        match table.columns.get(from + place) {
            Some(Some(_)) => {}
            _ if part.is_empty() => {}
            _ => return Err(Refusal::new("a cell would go into a column without a name").help(by_name_help(table))),
        }
        if let Some(cell) = cells.get_mut(from + place) {
            part.clone_into(cell);
        }
    }
    Ok(cells)
}

fn by_name_help(table: &WrittenTable) -> String {
    let names: Vec<String> = table
        .named()
        .skip(1)
        .take(2)
        .map(|(_, column)| format!("{} …", column.name))
        .collect();
    format!("give them by name: `add {} {}`", table.name, names.join(", "))
}

fn nothing_to_add(table: &WrittenTable) -> Refusal {
    Refusal::new("there is nothing to add").help(by_name_help(table))
}

/// Cells that were typed without commas, with those that they want, and whether they are a whole
/// row; a unit stays with its number, and a column's own name is not part of its cell.
fn run_together(cell: &str, table: &WrittenTable) -> Option<(String, bool)> {
    let mut parts: Vec<String> = Vec::new();
    for word in cell.split_whitespace() {
        match parts.last_mut() {
            Some(last) if Unit::parse(word).is_ok() => last.push_str(&format!(" {word}")),
            Some(last) if is_half(word) && matches!(read_cell(last), Cell::Clock(_)) => {
                last.push_str(&format!(" {word}"))
            }
            _ if table.place_of(word).is_some() => {}
            _ => parts.push(word.to_owned()),
        }
    }
    let columns = table.columns.len();
    let fits = (2..=columns).contains(&parts.len());
    let help = format!("part cells by commas: `{}`", parts.join(", "));
    fits.then_some((help, parts.len() == columns))
}

/// `am` or `pm` behind a clock time.
pub(super) fn is_half(word: &str) -> bool {
    matches!(word.to_lowercase().replace('.', "").as_str(), "am" | "pm")
}

/// What stands between commas, outside of texts in quotes.
fn parted(line: &str) -> Result<Vec<String>, Refusal> {
    let mut parts = vec![String::new()];
    let (mut in_text, mut escaped) = (false, false);
    for c in line.chars() {
        match c {
            ',' if !in_text => {
                parts.push(String::new());
                continue;
            }
            '"' if !escaped => in_text = !in_text,
            _ => {}
        }
        escaped = c == '\\' && !escaped;
        if let Some(part) = parts.last_mut() {
            part.push(c);
        }
    }
    if in_text {
        return Err(Refusal::new("a text in quotes is not closed; nothing was added").help("close it with `\"`"));
    }
    Ok(parts.iter().map(|part| part.trim().to_owned()).collect())
}
