//! What readings say against a line, in the words of their table.
//!
//! The line is questioned where it is fitted; who is accused is a row of a table there,
//! which has a clock time, and whose other columns may say what hung on the scale. Start
//! reading at [`Sheet::objection`].

use crate::calendar::{clock, counted, moment};
use crate::number::Number;
use crate::trade::agreement::disagree;
use crate::trade::caution::{BENDS, HOSE_MIXED, OFF_THE_LINE, RUNS_DISAGREE, TWO_READINGS, TWO_RUNS, WEIGHT_RISES};
use crate::trade::line::{Line, Readings, student_k};
use crate::trade::questions::{Objection, objections, parted};
use crate::trade::{Body, Remark};
use crate::unit::Kind;

use super::Sheet;
use super::program::{CallSite, Operand};
use super::scalar::MANY_READINGS;

/// A column of a table that has two words, and which of them stands in each row.
#[derive(Clone, Debug)]
pub(super) struct TwoWords {
    slot: u32,
    words: [Number; 2],
    /// Whether the words are such as say that something is on or off.
    on_off: bool,
    second: Vec<Option<bool>>,
}

/// What there is to say of a line, and which rows its readings are.
#[derive(Clone, Debug)]
pub(super) struct Questioned {
    rows: Vec<usize>,
    what: Question,
}

#[derive(Clone, Debug)]
enum Question {
    Line(Objection),
    /// Two kinds of weighings taken for one: the column, how many of each, and by how much
    /// the second stand apart where that is no chance.
    Mixed(TwoWords, [usize; 2], Option<(f64, f64)>),
    /// Nothing is left to check it: how many readings, and what 0.1 lb of swing would make of the rate.
    Unchecked(usize, f64),
}

/// What a hanging cylinder may swing by, in lb.
const SWING: f64 = 0.1;

/// What readings say against their line, and whether nothing does. `declared` is the
/// variance of a reading of weight 1, `rows` where in their table they stand.
pub(super) fn questioned(
    (readings, line): (&Readings, &Line),
    declared: f64,
    rows: &[usize],
    beside: &[TwoWords],
) -> (Vec<Questioned>, bool) {
    let mut found: Vec<Question> = objections(readings, line, declared)
        .into_iter()
        .map(Question::Line)
        .collect();
    found.extend(
        beside
            .iter()
            .filter_map(|words| mixed((readings, line), declared, rows, words)),
    );
    let sound = found.is_empty();
    if line.fitted.degrees_of_freedom() == 0 {
        let swung = f64::sqrt((declared + SWING * SWING) * line.fitted.covariance(1, 1));
        let swung = student_k(f64::INFINITY) * swung;
        found.push(Question::Unchecked(readings.x.len(), swung));
    }
    let told = found.into_iter().map(|what| Questioned {
        rows: rows.to_vec(),
        what,
    });
    match readings.of.burns_down() {
        true => (told.collect(), sound),
        false => (Vec::new(), sound),
    }
}

/// What to say of results that should agree.
pub(super) fn agreement(site: u32, results: &[(f64, f64, f64)]) -> Vec<(u32, Remark)> {
    let two = (results.len() == 2).then(|| Remark::plain(&TWO_RUNS));
    let apart = disagree(results).filter(|chance| *chance < 0.01).map(|chance| Remark::new(&RUNS_DISAGREE, format!(
            "These results lie further apart than each of them is known: chance alone shows that in {}. Something differed between the runs; their average takes its ± from how far they spread.",
            odds(chance)
        )));
    two.into_iter().chain(apart).map(|remark| (site, remark)).collect()
}

fn mixed((readings, line): (&Readings, &Line), declared: f64, rows: &[usize], words: &TwoWords) -> Option<Question> {
    let second = rows.iter().map(|row| words.second.get(*row).copied().flatten());
    let second: Vec<bool> = second.collect::<Option<_>>()?;
    let many = second.iter().filter(|second| **second).count();
    let counts = [second.len() - many, many];
    if counts.contains(&0) {
        return None;
    }
    let apart = parted(readings, line, declared, &second);
    (words.on_off || apart.is_some()).then(|| Question::Mixed(words.clone(), counts, apart))
}

fn differs(conditions: &[Option<Number>]) -> bool {
    let mut known = conditions.iter().flatten();
    let first = known.next();
    known.any(|one| Some(one) != first)
}

/// Words that say whether something is on or off.
pub(crate) const ON_OFF: [[&str; 2]; 3] = [["off", "on"], ["no", "yes"], ["false", "true"]];

impl Sheet {
    /// The columns of two words beside the readings of a call that wasn't told what hung there.
    pub(super) fn two_words_beside(&self, site: &CallSite) -> Vec<TwoWords> {
        let Body::Fit(fit) = site.function.body else {
            return Vec::new();
        };
        // a condition that is the same at all of them tells nothing, and may be misspelled
        let told = match site.arguments.get(fit.attached()) {
            Some(Operand::Column(slot)) => self.values.column(*slot).is_ok_and(differs),
            _ => false,
        };
        let Some((slot, _)) = self
            .program
            .written_in(site.readings[1])
            .filter(|_| !told && fit.burns_down())
        else {
            return Vec::new();
        };
        let table = self.tables.iter().find(|table| table.columns.contains(&slot));
        let columns = table.into_iter().flat_map(|table| &table.columns);
        columns.filter_map(|slot| self.two_words(*slot)).collect()
    }

    fn two_words(&self, slot: u32) -> Option<TwoWords> {
        let column = self.table_columns.get(slot as usize)?;
        if !matches!(column.kind, Kind::Text | Kind::Truth) || column.cells.len() > MANY_READINGS {
            return None;
        }
        let mut words: Vec<Number> = Vec::new();
        for cell in column.cells.iter().flatten() {
            if !words.contains(cell) {
                words.push(*cell);
            }
            if words.len() > 2 {
                return None;
            }
        }
        let told = |word: Number| self.word_told(column.kind, word).to_lowercase();
        let [mut off, mut on] = <[Number; 2]>::try_from(words).ok()?;
        let is_pair = |off: Number, on: Number| ON_OFF.contains(&[told(off).as_str(), told(on).as_str()]);
        if is_pair(on, off) {
            std::mem::swap(&mut off, &mut on);
        }
        let second = column.cells.iter().map(|cell| cell.map(|cell| cell == on));
        Some(TwoWords {
            slot,
            words: [off, on],
            on_off: is_pair(off, on),
            second: second.collect(),
        })
    }

    fn word_told(&self, kind: Kind, word: Number) -> &str {
        match kind {
            Kind::Text => self.texts.text(word),
            _ if word.is_zero() => "false",
            _ => "true",
        }
    }

    /// What there is to say of a line, in the words of its table.
    pub(super) fn objection(&self, site: u32, questioned: &Questioned) -> Option<Remark> {
        let site = self.program.calls.get(site as usize)?;
        let row = |reading: usize| self.row_of(site, questioned.rows.get(reading).copied().unwrap_or(reading));
        Some(match &questioned.what {
            Question::Line(Objection::Bends { first, last, chance }) => Remark::new(
                &BENDS,
                format!(
                    "The weight doesn't fall along a straight line: {} lb/h in the first third of these weighings, {} lb/h in the last. Chance alone shows as much in {}. Look for a load that changed; `rate_at_load` takes loads that change, `where` a part of the run.",
                    three(-first),
                    three(-last),
                    odds(*chance)
                ),
            ),
            Question::Line(Objection::Off { reading, by, chance }) => Remark::new(
                &OFF_THE_LINE,
                format!(
                    "{} is {} lb {} the line through the others. Chance alone puts one so far off in {}. Look again at that reading, its time, and what hung on the scale.",
                    capital(&row(*reading)),
                    three(by.abs()),
                    if *by > 0.0 { "above" } else { "below" },
                    odds(*chance)
                ),
            ),
            Question::Line(Objection::Rises { reading, by }) => Remark::new(
                &WEIGHT_RISES,
                format!(
                    "{} is {} lb more than the one before. What burns takes weight away: look at a reading, the order of the rows, a cylinder that was changed, or something that hung on the scale.",
                    capital(&row(*reading)),
                    three(*by)
                ),
            ),
            Question::Mixed(words, counts, apart) => self.mixed(words, *counts, *apart),
            Question::Unchecked(count, swung) => Remark::new(
                &TWO_READINGS,
                format!(
                    "Nothing checks the line through these {count} weighings. Had the cylinder swung by 0.1 lb at each, the rate would be ± {} lb/h. One more weighing, at a time of its own, shows it.",
                    two(*swung)
                ),
            ),
        })
    }

    fn mixed(&self, words: &TwoWords, counts: [usize; 2], apart: Option<(f64, f64)>) -> Remark {
        let column = self.table_columns.get(words.slot as usize);
        let kind = column.map_or(Kind::Text, |column| column.kind);
        let name = self.column_name(words.slot);
        let [first, second] = words.words.map(|word| self.word_told(kind, word).to_owned());
        let condition = match kind {
            Kind::Text => format!("{name} = \"{second}\""),
            _ => name.clone(),
        };
        let far = apart.map_or(String::new(), |(chance, by)| {
            format!(
                " Those stand {} lb {} the line of the others, which chance alone shows in {}.",
                three(by.abs()),
                if by > 0.0 { "above" } else { "below" },
                odds(chance)
            )
        });
        let text = format!(
            "`{name}` is {first} at {} of these weighings and {second} at {}, and they are taken for one kind.{far} Where something hung on the scale then, write `attached: {condition}`; else leave rows out with `where`.",
            counts[0], counts[1]
        );
        Remark::new(&HOSE_MIXED, text)
    }

    /// What tells a reading apart: `the weighing at 12:10`, or its row.
    fn row_of(&self, site: &CallSite, row: usize) -> String {
        let place = self.program.written_in(site.readings[0]);
        let column = place.and_then(|(slot, _)| self.table_columns.get(slot as usize));
        let cell = column.and_then(|column| column.cells.get(row).copied().flatten());
        let seconds = cell.and_then(|cell| cell.floor().to_integer());
        let told = match (column.map(|column| column.kind), seconds) {
            (Some(Kind::TimeOfDay), Some(seconds)) => Some(clock(seconds)),
            (Some(Kind::Counted(_)), Some(seconds)) if seconds < crate::calendar::DAY => Some(clock(seconds)),
            (Some(Kind::Counted(_)), Some(seconds)) => Some(counted(seconds)),
            (Some(Kind::Moment), Some(seconds)) => moment(seconds),
            _ => None,
        };
        told.map_or_else(
            || format!("the weighing in row {}", row + 1),
            |at| format!("the weighing at {at}"),
        )
    }
}

/// `1 run in 400`: at least as seldom.
fn odds(chance: f64) -> String {
    let runs = 1.0 / chance.max(1e-4);
    let digit = libm::pow(10.0, libm::floor(libm::log10(runs)));
    let runs = libm::floor(runs / digit) * digit;
    match chance < 1e-4 {
        true => "less than 1 run in 10 000".to_owned(),
        false => format!("1 run in {runs}"),
    }
}

fn three(value: f64) -> String {
    rounded(value, 3)
}

fn two(value: f64) -> String {
    rounded(value, 2)
}

fn rounded(value: f64, digits: u32) -> String {
    let number = Number::from_f64(value).map(|number| number.round_significant(digits).to_plain());
    number.unwrap_or_else(|_| value.to_string())
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}
