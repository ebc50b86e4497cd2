//! What is said of a reading that was put in: the answers that moved, what it is to the line
//! through those before it, and how to mend it; never more than a dozen lines.
//!
//! The line is the worksheet's own where it says what is attached at which reading; else one
//! through the readings with the same words beside them, since a hose that hangs on one and
//! not on another is in their difference. Start reading at [`Session::tell_reading`].

use crate::calendar;
use crate::number::Number;
use crate::report::change::{Change, Flip};
use crate::report::model::verdict;
use crate::report::shown::Shown;
use crate::report::visible::{columns, sentence};
use crate::sheet::Reading;
use crate::sheet::appraisal::Doubt;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::order::expressions_of;
use crate::sheet::scratch::Evaluated;
use crate::syntax::tree::{Argument, Call, ExpressionNode, Node, Typed};
use crate::trade::Body;
use crate::trade::line::{MOST_HUNG, one_sided_k};
use crate::trade::questions::RISE;
use crate::trade::registry::function;
use crate::unit::{Kind, Unit, conversion};

use super::reading::{NewRow, time_of, weight_of};
use super::rows::WrittenColumn;
use super::trial::quoted;
use super::{Outcome, Session};

/// So many answers that moved are told.
const MOST_ANSWERS: usize = 5;
/// So many checks that came out otherwise are told.
const MOST_FLIPS: usize = 2;
/// So many of the last rows are compared with.
const MOST_COMPARED: usize = 100;
/// A line below the first is so wide at most.
const WIDEST: usize = 76;

/// How often a sound reading lies no further to either side than what is expected of it: each of
/// a run is looked at as it comes, and a run of ten is to be accused in one of a hundred.
const EXPECTED: f64 = 0.9995;

/// A bound that is more than this part of the weight itself tells nothing.
const MOST_TOLD: f64 = 0.1;

/// A line through readings, as the worksheet has it.
pub(super) struct WrittenLine {
    time: String,
    weight: String,
    /// What is attached at which reading.
    pub(super) attached: Option<String>,
}

fn written_line(call: &Call, text: &str) -> Option<WrittenLine> {
    let Body::Fit(fit) = function(&call.name.text)?.body else {
        return None;
    };
    let written = |argument: &Argument| argument.value.span.of(text).trim().to_owned();
    let labeled = |argument: &&Argument| {
        let label = argument.label.as_ref();
        label.is_some_and(|label| &*label.text == "attached")
    };
    let by_place = call.arguments.get(fit.attached()).filter(|one| one.label.is_none());
    let attached = call.arguments.iter().find(labeled).or(by_place);
    Some(WrittenLine {
        time: written(call.arguments.first()?),
        weight: written(call.arguments.get(1)?),
        attached: attached.map(written),
    })
}

/// The loads of a run at more than one.
struct Loads {
    /// Their column.
    column: String,
    /// The one until now.
    last: String,
}

/// What was known of a reading before it was put in.
pub(super) struct Expected {
    /// The weights before it with the same words beside them, in order.
    alike: Vec<Number>,
    /// The column of words that parts the weights before, and what it says here.
    parted: Option<(String, String)>,
    /// What the line through them says of one more, and how far it may be off.
    line: Option<(Number, f64)>,
    /// The load until now, where none before it was weighed through.
    new_load: Option<String>,
    /// The column that tells what hung there, the word it doesn't say, and by how much the
    /// weight would be another with that.
    other_word: Option<(String, String, Number)>,
}

impl Session {
    /// What the readings that are there say of one more; nothing where the rows aren't the
    /// readings of one cylinder.
    pub(super) fn expected(&mut self, row: &NewRow) -> Option<Expected> {
        let weight = row.table.columns.get(weight_of(&row.table)?)?.as_ref()?.clone();
        let time = row.table.columns.get(time_of(&row.table)?)?.as_ref()?;
        let time_column = format!("{}.{}", row.table.name, time.name);
        let is_through = |written: &str| {
            written.starts_with(&format!("{}.{}", row.table.name, weight.name))
                || written.starts_with(&format!("{}.{}", row.table.name, time.name))
        };
        let is_register = row
            .table
            .named()
            .any(|(_, column)| column.kind == Kind::Text && !self.is_of_two_words(column));
        if is_register && !self.lines().any(|line| is_through(&line.weight)) {
            return None;
        }
        let words = self.parting_words(row);
        let alike = self.weights_alike(&weight, &words);
        let all = self.sheet.column_cells(weight.slot).iter().flatten().count();
        let parted = words.iter().find(|_| alike.len() < all);
        let loads = self.loads_until(row);
        let line = match &loads {
            Some(loads) => self.line_by_loads(row, &weight, loads),
            None => self
                .own_line(row, &weight, &words)
                .or_else(|| self.line_at(row, &weight, &words).filter(|_| alike.len() > 1)),
        };
        let other_word = self.other_word_of(row, &(time_column, format!("{}.{}", row.table.name, weight.name)));
        Some(Expected {
            other_word,
            new_load: loads.filter(|_| line.is_none()).map(|loads| loads.last),
            line,
            parted: parted.map(|(column, word)| (column.name.clone(), word.clone())),
            alike,
        })
    }

    /// The columns of two words or fewer, with what the new row says there.
    fn parting_words(&self, row: &NewRow) -> Vec<(WrittenColumn, String)> {
        let parts = |(place, column): (usize, &WrittenColumn)| {
            let word = row.cells.get(place).filter(|word| !word.is_empty())?;
            // a column of notes has gaps
            let cells: Option<Vec<Number>> = self.sheet.column_cells(column.slot).iter().copied().collect();
            let cells = cells.filter(|_| column.kind == Kind::Text)?;
            let mut words: Vec<&str> = cells.iter().map(|cell| self.sheet.texts().text(*cell)).collect();
            words.push(word.trim_matches('"'));
            words.sort_unstable();
            words.dedup();
            let is_plain = |word: &&str| word.len() <= 12 && word.chars().all(|c| c.is_alphanumeric() || c == '-');
            (words.len() == 2 && words.iter().all(is_plain))
                .then(|| (column.clone(), word.trim_matches('"').to_owned()))
        };
        row.table.named().filter_map(parts).collect()
    }

    /// Whether a column of texts has two words at most, such as `on` and `off`.
    fn is_of_two_words(&self, column: &WrittenColumn) -> bool {
        let mut words: Vec<Number> = self.sheet.column_cells(column.slot).iter().flatten().copied().collect();
        words.sort_unstable();
        words.dedup();
        words.len() <= 2
    }

    fn weights_alike(&self, weight: &WrittenColumn, words: &[(WrittenColumn, String)]) -> Vec<Number> {
        let says = |row: usize, column: &WrittenColumn, word: &str| {
            let cell = self.sheet.column_cells(column.slot).get(row).copied().flatten();
            cell.is_some_and(|cell| self.sheet.texts().text(cell) == word)
        };
        let cells = self.sheet.column_cells(weight.slot).iter().enumerate();
        let alike = cells.filter(|(row, _)| words.iter().all(|(column, word)| says(*row, column, word)));
        alike.filter_map(|(_, cell)| *cell).collect()
    }

    /// What the worksheet's own line says of one more, where it takes what is attached into
    /// account and a reading before had the same words.
    fn own_line(
        &mut self,
        row: &NewRow,
        weight: &WrittenColumn,
        words: &[(WrittenColumn, String)],
    ) -> Option<(Number, f64)> {
        let time = row.table.columns.get(time_of(&row.table)?)?.as_ref()?;
        if row.table.rows > MOST_COMPARED {
            return None;
        }
        let columns = (
            format!("{}.{}", row.table.name, time.name),
            format!("{}.{}", row.table.name, weight.name),
        );
        let attached = self.attached_in(&columns)?;
        let found = self.valued(&format!("not ({attached})"))?;
        let says = |row: usize| {
            words.iter().all(|(column, word)| {
                let cell = self.sheet.column_cells(column.slot).get(row).copied().flatten();
                cell.is_some_and(|cell| self.sheet.texts().text(cell) == word)
            })
        };
        let Reading::Column(rows) = found.reading() else {
            return None;
        };
        let off = rows
            .iter()
            .enumerate()
            .find(|(row, cell)| cell.is_some() && says(*row))?;
        let hung = match off.1.is_some_and(|off| off.is_zero()) {
            true => format!(" + attached_weight({}, {}, {attached})", columns.0, columns.1),
            false => String::new(),
        };
        let at = self.typed_when(row, time)?;
        self.next_by(&format!(
            "next_reading({}, {}, {at}, attached: {attached}){hung}",
            columns.0, columns.1
        ))
    }

    /// What hangs there at other readings, with the word that says so.
    fn other_word_of(&mut self, row: &NewRow, columns: &(String, String)) -> Option<(String, String, Number)> {
        let attached = self.attached_in(columns)?;
        let hung = self.valued(&format!("attached_weight({}, {}, {attached})", columns.0, columns.1))?;
        self.other_word(&row.table, &row.cells, &attached, hung.number()?)
    }

    /// What is attached at which reading, as the first line of the worksheet through these
    /// columns has it.
    fn attached_in(&self, columns: &(String, String)) -> Option<String> {
        let mut through = self
            .lines()
            .filter(|line| line.time == columns.0 && line.weight == columns.1);
        through.find_map(|line| line.attached)
    }

    /// The lines of the worksheet through readings, as they are written.
    pub(super) fn lines(&self) -> impl Iterator<Item = WrittenLine> {
        let tree = self.sheet.tree();
        let mut found = Vec::new();
        for (index, item) in tree.items.iter().enumerate() {
            let text = tree.text_of(index);
            expressions_of(&item.node, &mut |part| {
                if let ExpressionNode::Call(call) = &part.node {
                    found.extend(written_line(call, text));
                }
            });
        }
        found.into_iter()
    }

    /// The loads until a new last reading, where a column has them and they differ.
    fn loads_until(&self, row: &NewRow) -> Option<Loads> {
        let is_load = |column: &WrittenColumn| match column.kind {
            Kind::Quantity(unit) => conversion(unit, Unit::parse("W").ok()?).map(|_| ()),
            _ => None,
        };
        let (_, column) = row.table.named().find(|(_, column)| is_load(column).is_some())?;
        let Kind::Quantity(unit) = column.kind else { return None };
        let cells = self.sheet.column_cells(column.slot);
        let last = cells.last().copied().flatten().filter(|_| row.is_last())?;
        cells.iter().flatten().any(|cell| *cell != last).then(|| Loads {
            column: format!("{}.{}", row.table.name, column.name),
            last: format!("{} {unit}", last.to_plain()),
        })
    }

    /// What a line that knows the loads says of one more reading.
    fn line_by_loads(&mut self, row: &NewRow, weight: &WrittenColumn, loads: &Loads) -> Option<(Number, f64)> {
        let time = row.table.columns.get(time_of(&row.table)?)?.as_ref()?.clone();
        let columns = (
            format!("{}.{}", row.table.name, time.name),
            format!("{}.{}", row.table.name, weight.name),
        );
        let before = self.sheet.column_cells(time.slot).last().copied().flatten()?;
        let passed = row.when? - before.round().to_integer()?;
        let attached = self.attached_in(&columns);
        let attached = attached.map_or(String::new(), |attached| format!(", attached: {attached}"));
        let found = self.valued(&format!(
            "last({1}) - rate_at_load({0}, {1}, {2}, {3}{attached}) * ({passed} s)",
            columns.0, columns.1, loads.column, loads.last
        ))?;
        let Some(Doubt::One(doubt)) = &found.doubt else {
            return None;
        };
        // the new reading errs as those before it do
        let column = self.sheet.table_column(weight.slot);
        let own = column
            .and_then(|column| column.uncertainty.last().copied())
            .unwrap_or(0.0);
        let standard = f64::sqrt(doubt.standard * doubt.standard + own * own);
        Some((
            found.number()?,
            one_sided_k(doubt.degrees_of_freedom, EXPECTED) * standard,
        ))
    }

    fn valued(&mut self, line: &str) -> Option<Evaluated> {
        match self.sheet.tree().read_typed(line) {
            Ok(Typed::Expression { expression, .. }) => self.sheet.evaluate(line, &expression, None).ok(),
            _ => None,
        }
    }

    /// What a line says of one more reading, and how far it may be off.
    fn next_by(&mut self, line: &str) -> Option<(Number, f64)> {
        let found = self.valued(line)?;
        match &found.doubt {
            Some(Doubt::One(doubt)) => {
                let times = one_sided_k(doubt.degrees_of_freedom, EXPECTED);
                Some((found.number()?, times * doubt.standard))
            }
            _ => None,
        }
    }

    fn typed_when(&self, row: &NewRow, time: &WrittenColumn) -> Option<String> {
        Some(match time.kind {
            Kind::Moment => calendar::moment(row.when?)?,
            _ => calendar::counted(row.when?),
        })
    }

    /// What a line through the readings with these words says of one more, at the new time.
    fn line_at(
        &mut self,
        row: &NewRow,
        weight: &WrittenColumn,
        words: &[(WrittenColumn, String)],
    ) -> Option<(Number, f64)> {
        let table = &row.table.name;
        let time = row.table.columns.get(time_of(&row.table)?)?.as_ref()?;
        let at = self.typed_when(row, time)?;
        let conditions = words
            .iter()
            .map(|(column, word)| format!("{table}.{} = {}", column.name, quoted(word)));
        let mut conditions: Vec<String> = conditions.collect();
        // of a long table the last stretch says it, and quicker
        if row.table.rows > MOST_COMPARED {
            let from = row.table.rows - MOST_COMPARED;
            let since = self.sheet.column_cells(time.slot).get(from).copied().flatten()?;
            conditions.push(format!("{table}.{} >= {}", time.name, time.kind.typed_time(since)?));
        }
        let kept = match conditions.is_empty() {
            true => String::new(),
            false => format!(" where {}", conditions.join(" and ")),
        };
        self.next_by(&format!(
            "next_reading({table}.{}{kept}, {table}.{}{kept}, {at})",
            time.name, weight.name
        ))
    }

    /// Tells what came of a reading, in lines: answers and checks, the line, how to mend it, which ends
    /// with `mending`.
    pub(super) fn tell_reading(&self, row: &NewRow, expected: Option<&Expected>, mending: &str, outcome: &mut Outcome) {
        let changes = outcome.changes.take().unwrap_or_default();
        outcome.mended = 0;
        outcome.listed.extend(
            row.other_day
                .iter()
                .map(|day| format!("if it is of the next day: `undo`, then `add` it with the time `{day}`")),
        );
        let (failing, moved): (Vec<Change>, Vec<Change>) = changes.answers.into_iter().partition(|change| {
            let fails = |shown: &Shown| shown.value.ends_with("has a problem");
            fails(&change.now) && !fails(&change.before)
        });
        let told = told_failing(&failing, outcome);
        outcome.listed.extend(told);
        outcome.listed.extend(told_answers(&moved));
        outcome.listed.extend(self.told_third_word(row));
        outcome.listed.extend(self.told_awaited(row));
        let told = changes
            .checks
            .iter()
            .filter(|flip| failing.is_empty() || flip.now.is_some());
        outcome.listed.extend(told_flips(&told.cloned().collect::<Vec<_>>()));
        if let Some(expected) = expected {
            outcome.listed.extend(self.told_line(row, expected, mending));
        }
        if !outcome.problems.is_empty() {
            let many = match outcome.problems.len() {
                1 => "one more problem".to_owned(),
                many => format!("{many} more problems"),
            };
            outcome.listed.push(format!("{many}; `check` draws them"));
            outcome.problems.clear();
        }
        let codes: Vec<&str> = outcome.cautions.iter().map(|(caution, _)| caution.code).collect();
        if !codes.is_empty() {
            outcome.listed.push(shortened(&format!(
                "new cautions: {}; `show cautions`",
                codes.join(", ")
            )));
            outcome.cautions.clear();
        }
    }

    /// What its lines still wait for: `rate and swap wait for a second reading`.
    fn told_awaited(&self, row: &NewRow) -> Vec<String> {
        let prefix = format!("{}.", row.table.name);
        let tree = self.sheet.tree();
        let mut awaited: Vec<(String, Vec<String>)> = Vec::new();
        for (index, item) in tree.items.iter().enumerate() {
            let Node::Entry(entry) = &item.node else { continue };
            let what = self
                .sheet
                .cell(&entry.name.text)
                .and_then(|cell| self.sheet.awaits(cell));
            let Some(what) = what.filter(|_| tree.text_of(index).contains(&prefix)) else {
                continue;
            };
            match awaited.iter_mut().find(|(known, _)| known == what) {
                Some((_, names)) => names.push(entry.name.text.to_string()),
                None => awaited.push((what.to_owned(), vec![entry.name.text.to_string()])),
            }
        }
        let told = awaited.into_iter().map(|(what, names)| {
            let wait = if names.len() == 1 { "waits" } else { "wait" };
            shortened(&format!("{} {wait} for {what}", and_listed(&names)))
        });
        told.collect()
    }

    /// What the reading is to the line through those before it, and how to mend it.
    fn told_line(&self, row: &NewRow, expected: &Expected, mending: &str) -> Vec<String> {
        let Some((weight, value)) = self.weight_read(row) else {
            return Vec::new();
        };
        let Kind::Quantity(unit) = weight.kind else {
            return Vec::new();
        };
        let said = |number: Number| format!("{} {unit}", number.round_significant(2).to_plain());
        if let Some(last) = expected
            .alike
            .last()
            .filter(|last| row.is_last() && self.rises(&weight, value, **last))
        {
            let risen = value.sub(*last).unwrap_or_default();
            let told = format!(
                "{} more than the reading before, and a cylinder in use gets lighter",
                said(risen)
            );
            let mut lines = vec![told];
            lines.extend(self.told_other_word(row, expected, value, mending));
            if risen.to_f64() > MOST_HUNG {
                let key = self.key_of(row, &weight);
                lines.push(format!(
                    "changed? `remove {} of {key}`, and begin a table of its own for it",
                    row.table.name
                ));
            }
            lines.push(self.told_mend(row, &weight, mending));
            return lines;
        }
        match (&expected.line, &expected.parted) {
            (Some((line, within)), _) => {
                let off = value.sub(*line).unwrap_or_default();
                let expects = Number::parse(&format!("{within:.6}")).map_or(String::new(), said);
                let side = if off.is_negative() { "below" } else { "above" };
                if off.abs().to_f64() > *within {
                    let other = self.told_other_word(row, expected, value, mending);
                    let hangs = if other.is_some() {
                        ", as much as hangs there"
                    } else {
                        ""
                    };
                    let mut lines = vec![format!(
                        "{} {side} the line{hangs}; up to {expects} is chance",
                        said(off.abs())
                    )];
                    lines.extend(other);
                    lines.push(self.told_mend(row, &weight, mending));
                    return lines;
                }
                let gap = match off.abs().to_f64() < 0.01 * within {
                    true => String::new(),
                    false => format!(": {} {side} it", said(off.abs())),
                };
                if *within > MOST_TOLD * value.abs().to_f64() {
                    return vec!["too few readings before it to tell whether it is on their line".to_owned()];
                }
                vec![format!("on the line{gap}; up to {expects} is chance")]
            }
            (None, _) if expected.new_load.is_some() => {
                let load = expected.new_load.as_deref().unwrap_or_default();
                vec![format!(
                    "the first stretch at {load}: nothing before tells what it burns there"
                )]
            }
            (None, Some((column, word))) => vec![format!(
                "too few readings with `{column}` {word} to tell whether it fits"
            )],
            (None, None) => match expected.alike.len() {
                1 => vec!["a third reading tells whether they lie on a line".to_owned()],
                _ => Vec::new(),
            },
        }
    }

    /// The weight that was read, as it stands in the table now.
    fn weight_read(&self, row: &NewRow) -> Option<(WrittenColumn, Number)> {
        let column = row.table.columns.get(weight_of(&row.table)?)?.as_ref()?;
        let value = self.sheet.column_cells(column.slot).get(row.at).copied().flatten()?;
        Some((column.clone(), value))
    }

    /// Whether a weight lies above the one before by more than both may be off.
    fn rises(&self, weight: &WrittenColumn, value: Number, before: Number) -> bool {
        let standards = self
            .sheet
            .table_column(weight.slot)
            .map(|column| column.uncertainty.as_slice());
        let standard = standards.and_then(|standards| standards.last().copied()).unwrap_or(0.0);
        value.sub(before).is_ok_and(|more| more.to_f64() > RISE * standard)
    }

    /// A word that a column of two words never had, where a line takes one of them for attached.
    fn told_third_word(&self, row: &NewRow) -> Option<String> {
        let named = row.table.named();
        named
            .filter(|(_, column)| column.kind == Kind::Text)
            .find_map(|(place, column)| {
                let word = row.cells.get(place)?.trim_matches('"');
                let asked = format!(".{}", column.name);
                let attached = self
                    .lines()
                    .filter_map(|line| line.attached)
                    .find(|attached| attached.contains(&asked))?;
                let cells = self.sheet.column_cells(column.slot).iter().flatten();
                let words: Vec<&str> = cells.map(|cell| self.sheet.texts().text(*cell)).collect();
                let mut others: Vec<&str> = words.iter().copied().filter(|other| *other != word).collect();
                others.sort_unstable();
                others.dedup();
                let is_new = words.iter().filter(|other| **other == word).count() == 1;
                let quoted = attached.contains(&format!("\"{word}\""));
                (is_new && !quoted && others.len() > 1).then(|| {
                    format!(
                        "`{word}` is a new word for `{}`, where `{attached}` tells what hangs there",
                        column.name
                    )
                })
            })
    }

    /// What its row is called.
    fn key_of(&self, row: &NewRow, weight: &WrittenColumn) -> String {
        self.sheet.row_key(CellPlace {
            slot: weight.slot,
            row: u32::try_from(row.at).unwrap_or(u32::MAX),
        })
    }

    /// That a weight is off by what hangs there at other readings, and how that is mended.
    fn told_other_word(&self, row: &NewRow, expected: &Expected, value: Number, mending: &str) -> Option<String> {
        let ((line, within), (column, word, by)) = expected.line.as_ref().zip(expected.other_word.as_ref())?;
        let off = value.sub(*line).ok()?;
        let left = off.sub(*by).ok()?.abs().to_f64();
        let (weight, _) = self.weight_read(row)?;
        let key = self.key_of(row, &weight);
        (off.abs().to_f64() > *within && left <= *within).then(|| {
            format!(
                "{column} {word}? `{}.{column} of {key} = {}`, {mending}",
                row.table.name,
                quoted(word)
            )
        })
    }

    /// How a cell that was misread is mended.
    fn told_mend(&self, row: &NewRow, weight: &WrittenColumn, mending: &str) -> String {
        let key = self.key_of(row, weight);
        let unit = match weight.kind {
            Kind::Quantity(unit) => format!(" {unit}"),
            _ => String::new(),
        };
        format!(
            "misread? `{}.{} of {key} = …{unit}`, {mending}",
            row.table.name, weight.name
        )
    }
}

/// Answers that can't be told any more, and why: the first problem that the reading brought.
fn told_failing(answers: &[Change], outcome: &mut Outcome) -> Vec<String> {
    if answers.is_empty() || outcome.problems.is_empty() {
        return Vec::new();
    }
    let own = answers.iter().filter(|change| change.now.value == "has a problem");
    let names: Vec<String> = own.map(|change| change.name.clone()).collect();
    let problem = outcome.problems.remove(0);
    let mut told = vec![shortened(&format!("{} can't be told any more:", and_listed(&names)))];
    told.push(shortened(&format!("  {}", problem.message)));
    told
}

/// Answers that moved, one line each: `rate   2.2 lb/h ± 0.4 lb/h k=2   was 2.3 lb/h`.
fn told_answers(answers: &[Change]) -> Vec<String> {
    let waits = |shown: &Shown| shown.place.is_none() && shown.value.starts_with("waits ");
    let differs = |change: &&Change| {
        change.now.in_full() != change.before.in_full() && !(waits(&change.now) && waits(&change.before))
    };
    let answers: Vec<&Change> = answers.iter().filter(differs).collect();
    let width = answers
        .iter()
        .take(MOST_ANSWERS)
        .map(|change| columns(&change.name))
        .max()
        .unwrap_or(0);
    let line = |change: &&Change| {
        let pad = " ".repeat(width.saturating_sub(columns(&change.name)));
        let now = format!("{}{pad}   {}", change.name, change.now.in_full());
        let whole = format!("{now}   was {}", change.before.compact(&change.now));
        match !waits(&change.before)
            && columns(&whole) <= WIDEST
            && change.before.uncertainty.is_some() == change.now.uncertainty.is_some()
        {
            true => whole,
            false => shortened(&now),
        }
    };
    let mut told: Vec<String> = answers.iter().take(MOST_ANSWERS).map(line).collect();
    match answers.len().saturating_sub(MOST_ANSWERS) {
        0 => {}
        1 => told.push("one more answer moved; `show answers`".to_owned()),
        more => told.push(format!("{more} more answers moved; `show answers`")),
    }
    told
}

/// Checks that came out otherwise, one line each.
fn told_flips(flips: &[Flip]) -> Vec<String> {
    let line = |flip: &Flip| match &flip.message {
        Some(message) => shortened(&sentence(message)),
        None => shortened(&format!("now {}: `{}`", verdict(flip.now), flip.text)),
    };
    let mut told: Vec<String> = flips.iter().take(MOST_FLIPS).map(line).collect();
    match flips.len().saturating_sub(MOST_FLIPS) {
        0 => {}
        1 => told.push("and one more check; `show checks`".to_owned()),
        more => told.push(format!("and {more} more checks; `show checks`")),
    }
    told
}

/// `rate, swap and empty`
fn and_listed(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}

/// A line that is cut where it is too wide.
fn shortened(line: &str) -> String {
    if columns(line) <= WIDEST {
        return line.to_owned();
    }
    let end = line.char_indices().nth(WIDEST - 1).map_or(line.len(), |(end, _)| end);
    let mut depth = 0usize;
    let mut places: Vec<usize> = Vec::new();
    for (at, c) in line.char_indices().take_while(|(at, _)| *at <= end) {
        let before = line.get(..at).unwrap_or("").trim_end();
        let apart = before.len() < at && c != ' ' && depth == 0;
        // a day stays with its clock, a unit and a ± with their number
        let is_bracket = c == '(' && !line.get(at..).unwrap_or("").starts_with("(+");
        if apart && (is_bracket || before.ends_with([',', ';', ':', '.']) || before.len() + 2 < at) {
            places.push(before.len());
        }
        depth = match c {
            '(' => depth + 1,
            ')' => depth.saturating_sub(1),
            _ => depth,
        };
    }
    let words = || {
        line.get(..end)
            .and_then(|start| start.rsplit_once(' '))
            .map_or(end, |(start, _)| start.len())
    };
    let at = places.pop().filter(|at| *at > WIDEST / 2).unwrap_or_else(words);
    format!("{}…", line.get(..at).unwrap_or(line).trim_end())
}
