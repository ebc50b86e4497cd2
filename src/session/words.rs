//! What a row that is put in says in words: what hung on the scale, and what it is called.
//!
//! A word that stands in its column already, written large or small, is that word; one that two
//! others leave no room for, or a name that stands there already, is refused unless it comes in
//! quotes. Start reading at [`Session::settle_word`].

use crate::number::Number;
use crate::sheet::ON_OFF;
use crate::syntax::cell::{Cell, read_cell};
use crate::unit::Kind;

use super::dates::date_meant;
use super::reading::{is_led_by_time, weight_of};
use super::rows::{WrittenColumn, WrittenTable};
use super::trial::quoted;
use super::{Refusal, Session};

impl Session {
    /// Writes a word as it stands in its column, or as what asks for it has it.
    ///
    /// # Errors
    /// A third word, where two say whether something is on or off.
    pub(super) fn settle_word(&self, column: &WrittenColumn, cell: &mut String) -> Result<(), Refusal> {
        if column.kind != Kind::Text || cell.is_empty() || cell.starts_with('"') {
            return Ok(());
        }
        if let Some(meant) = date_meant(cell) {
            let refusal = Refusal::new(format!(
                "`{cell}` looks like a date, written in part or the other way; nothing was added"
            ));
            return Err(refusal.help(format!("write `{meant}`; a text that is meant stands in quotes")));
        }
        let pair = self.pair_of(column);
        if let Some(word) = self.as_it_stands(column, pair, cell) {
            *cell = word;
        }
        match pair.filter(|pair| !pair.contains(&cell.to_lowercase().as_str())) {
            None => Ok(()),
            Some([off, on]) => {
                let refusal = Refusal::new(format!(
                    "`{}` says `{off}` or `{on}`, and `{cell}` is neither; nothing was added",
                    column.name
                ));
                Err(refusal.help("a third word that is meant stands in quotes"))
            }
        }
    }

    /// A word that differs from one of its column in large and small letters alone, as that one.
    fn as_it_stands(&self, column: &WrittenColumn, pair: Option<[&str; 2]>, said: &str) -> Option<String> {
        let small = said.to_lowercase();
        let words: Vec<&str> = self.words_of(column).collect();
        if words.contains(&said) {
            return None;
        }
        let same = words.iter().copied().find(|word| word.to_lowercase() == small);
        let of_pair = pair.filter(|pair| pair.contains(&small.as_str()));
        let plain = of_pair.filter(|_| words.iter().all(|word| *word == word.to_lowercase()));
        same.map(str::to_owned).or(plain.map(|_| small))
    }

    fn words_of(&self, column: &WrittenColumn) -> impl Iterator<Item = &str> {
        let cells = self.sheet.column_cells(column.slot).iter().flatten();
        cells.map(|cell| self.sheet.texts().text(*cell))
    }

    /// The two words of a column that says whether something is on or off, by its cells or by what
    /// asks for one of them.
    fn pair_of(&self, column: &WrittenColumn) -> Option<[&'static str; 2]> {
        let words: Vec<String> = self.words_of(column).map(str::to_lowercase).collect();
        let asked: Vec<String> = self.lines().filter_map(|line| line.attached).collect();
        let asks = |word: &str| {
            let wanted = format!(".{} = \"{word}\"", column.name);
            asked.iter().any(|attached| attached.contains(&wanted))
        };
        let fits = |pair: &[&str; 2]| match words.is_empty() {
            true => pair.iter().any(|word| asks(word)),
            false => words.iter().all(|word| pair.contains(&word.as_str())),
        };
        ON_OFF.into_iter().find(|pair| column.kind == Kind::Text && fits(pair))
    }

    /// Refuses a weight without the cell that tells what hung on the scale.
    pub(super) fn tells_what_hung(&self, table: &WrittenTable, cells: &[String]) -> Result<(), Refusal> {
        let is_empty = |place: usize| cells.get(place).is_none_or(String::is_empty);
        if weight_of(table).is_none_or(is_empty) {
            return Ok(());
        }
        for (_, column) in table.named().filter(|(place, _)| is_empty(*place)) {
            let written = format!("{}.{}", table.name, column.name);
            let asks = |attached: &String| attached.split(' ').any(|word| word == written);
            if let Some(attached) = self.lines().filter_map(|line| line.attached).find(asks) {
                let refusal = Refusal::new(format!(
                    "`{}` is missing, and `{attached}` tells what hung there; nothing was added",
                    column.name
                ));
                return Err(match self.pair_of(column) {
                    Some([off, on]) => refusal.help(format!("say `{on}` or `{off}` too")),
                    None => refusal,
                });
            }
        }
        Ok(())
    }

    /// Refuses a second row of one name, where each row had a name of its own until now.
    pub(super) fn is_named_once(&self, table: &WrittenTable, cells: &[String]) -> Result<(), Refusal> {
        let is_name = |(_, column): &(usize, &WrittenColumn)| column.kind == Kind::Text && !is_led_by_time(table);
        let Some((place, column)) = table.named().next().filter(is_name) else {
            return Ok(());
        };
        let cell = cells.get(place).map_or("", String::as_str);
        let Cell::Text(name) = read_cell(cell) else {
            return Ok(());
        };
        let known: Vec<&str> = self.words_of(column).collect();
        let mut once = known.clone();
        once.sort_unstable();
        once.dedup();
        let same = |known: &&&str| known.to_lowercase() == name.to_lowercase();
        let Some(name) = known
            .iter()
            .find(same)
            .filter(|_| once.len() == known.len() && !cell.starts_with('"'))
        else {
            return Ok(());
        };
        let row = known.iter().position(|known| known == name).unwrap_or_default() + 1;
        let refusal = Refusal::new(format!(
            "`{name}` stands there already, in row {row}; nothing was added"
        ));
        let given = table.named().skip(1).find_map(|(place, other)| {
            let cell = cells.get(place).filter(|cell| !cell.is_empty())?;
            let unit = match (other.kind, read_cell(cell)) {
                (Kind::Quantity(unit), Cell::Quantity { unit: None, .. }) if other.has_unit => format!(" {unit}"),
                (Kind::Text, _) => return Some((other, quoted(cell.trim_matches('"')))),
                _ => String::new(),
            };
            Some((other, format!("{cell}{unit}")))
        });
        Err(match given {
            Some((other, value)) => refusal.help(format!(
                "`{}.{} of {} = {value}` changes it; a second one that is meant stands in quotes",
                table.name,
                other.name,
                quoted(name)
            )),
            None => refusal,
        })
    }

    /// What a weight would be off by if the other word stood beside it, and how that is said: what
    /// hangs there, with its sign. `attached` is the condition that tells.
    pub(super) fn other_word(
        &self,
        table: &WrittenTable,
        cells: &[String],
        attached: &str,
        hung: Number,
    ) -> Option<(String, String, Number)> {
        let (place, column, on) = table.named().find_map(|(place, column)| {
            let written = format!("{}.{} = \"", table.name, column.name);
            let on = attached.strip_prefix(&written)?.strip_suffix('"')?;
            Some((place, column, on))
        })?;
        let said = cells.get(place)?.trim_matches('"');
        let other = match said == on {
            true => self.words_of(column).find(|word| *word != on)?,
            false => on,
        };
        let by = if said == on { hung.neg() } else { hung };
        Some((column.name.clone(), other.to_owned(), by))
    }
}
