//! Clock times, lengths of time, and the hours of a day, in entries and in the rows of tables.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::sheet::typed::Typed;
use crate::trade::Built;
use crate::trade::forms::{CLOCK_AS_NUMBER, OTHER_SPANS, OVER_MIDNIGHT, READINGS_APART, ROWS_OF_DAY, UNIT_OF_ROW};
use crate::trade::habits::{FINER_THAN_STEP, HOURS_OF_DAY, Habit, MINUTES_AS_HUNDREDTHS};
use crate::unit::{Kind, Unit, conversion};

use super::finding::Finding;
use super::ground::{
    argument, cell_of, column_of, factors, has_word, is_all_day, is_bare, is_daily, is_hourly, is_of, plain, terms,
};
use super::names::unit_told;
use super::quantities::{clock_times, hours_between, least_step, quantities};
use super::shapes::flat;
use super::slip::{Slip, Suspicion};
use super::slips::Slips;
use super::{Subject, all_cells};

/// Looks through inputs, formulas and the rows of tables.
pub(super) fn look(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let inputs = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell));
    inputs.for_each(|cell| readings_apart(slips, cell));
    for (cell, formula) in ground.works() {
        over_midnight(slips, cell, formula);
        as_numbers(slips, cell, formula);
        other_spans(slips, cell, formula);
        whole_days(slips, cell, formula);
    }
    rows(slips);
}

// ---- entries ----

/// `8 h 40 min` for the tenths of an hour meter, `112.3 to 120.7`.
fn readings_apart(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let words: Vec<&str> = ground.raw(cell).split([' ', ',', ';']).collect();
    let number = |word: &str| {
        Some(word)
            .filter(|word| word.contains('.'))
            .and_then(|word| word.parse::<f64>().ok())
    };
    let apart = words.windows(3).find_map(|three| match three {
        [from, "to" | "until" | "till", to] => Some((number(from)?, number(to)?)),
        _ => None,
    });
    let value = ground.value(cell, "h").filter(|_| ground.is(cell, "h"));
    let Some(((from, to), value)) = apart.zip(value) else {
        return;
    };
    let right = to - from;
    if right > 0.0
        && !(from..=to).contains(&value)
        && (0.5..2.0).contains(&(value / right))
        && (value / right - 1.0).abs() > 5e-3
    {
        slips.habit(cell, &READINGS_APART, None, Some(right / value));
    }
}

/// The inputs that a length of time is the difference of, in hours.
fn clocks_of(slips: &Slips<'_>, formula: &Typed) -> Option<[(CellId, f64); 2]> {
    let ground = slips.ground;
    let [(true, to), (false, from)] = terms(formula)[..] else {
        return None;
    };
    let hour = |part: &Typed| {
        let cell = cell_of(part).filter(|cell| ground.is_input(*cell))?;
        let hour = super::number(ground.sheet, cell)?.to_f64();
        let plain = ground.is(cell, "h") || ground.is(cell, "");
        (plain && (0.0..=24.0).contains(&hour)).then_some((cell, hour))
    };
    Some([hour(to)?, hour(from)?])
}

/// The evening's clock time less the morning's, or the morning's less the evening's.
fn over_midnight(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let Some([(one, late), (other, early)]) = clocks_of(slips, formula) else {
        return;
    };
    let evening = [
        "evening", "pm", "p m", "night", "dusk", "on", "start", "started", "begin", "from",
    ];
    let morning = [
        "morning",
        "am",
        "a m",
        "dawn",
        "breakfast",
        "off",
        "stop",
        "stopped",
        "end",
        "to",
    ];
    let clock = |cell: CellId| ground.says(cell, &["clock", "o clock", "time", "evening", "morning", "am", "pm"]);
    let turned = late > early && ground.says(one, &evening) && ground.says(other, &morning);
    let begins = |cell: CellId| ground.says(cell, &["on", "start", "started", "begin", "began", "from", "before"]);
    let wrong = turned && begins(one) && !begins(other) || late < early;
    if wrong && clock(one) && clock(other) && (late - early).abs() > 1.0 {
        let right = if late > early {
            24.0 - late + early
        } else {
            24.0 + late - early
        };
        slips.habit(cell, &OVER_MIDNIGHT, None, Some(right / (late - early)));
    }
}

/// `23.15 - 18.45`, where the lines say that these are hours and minutes.
fn as_numbers(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let Some([(one, to), (other, from)]) = clocks_of(slips, formula) else {
        return;
    };
    let minutes = |cell: CellId| {
        ground.says(
            cell,
            &["hours and minutes", "hours minutes", "hour and minute", "h min"],
        )
    };
    let hours = |clock: f64| clock.trunc() + clock.fract() / 0.6;
    let right = (hours(to) - hours(from)).rem_euclid(24.0);
    let apart = to.fract() < 0.6 && from.fract() < 0.6 && (right - (to - from)).abs() > 1e-6;
    if minutes(one) && minutes(other) && apart {
        slips.habit(cell, &CLOCK_AS_NUMBER, None, Some(right / (to - from)));
    }
}

/// The one clock time that a line names.
fn told_at(slips: &Slips<'_>, part: &Typed) -> Option<f64> {
    match clock_times(slips.ground.raw(cell_of(part)?))[..] {
        [at] => Some(at),
        _ => None,
    }
}

/// Two differences over each other, counted between other clock times.
fn other_spans(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let span = |part: &Typed| {
        let made = cell_of(part)
            .and_then(|cell| ground.formulas.get(&cell))
            .unwrap_or(part);
        match terms(made)[..] {
            [(true, one), (false, other)] => {
                let (one, other) = (told_at(slips, one)?, told_at(slips, other)?);
                // what grows less by use is read before it is less
                let later = if is_of(made.kind, "lb") {
                    other - one
                } else {
                    one - other
                };
                Some(later.rem_euclid(24.0))
            }
            _ => None,
        }
    };
    let pieces = flat(slips, formula);
    let of = |above: bool| {
        pieces
            .iter()
            .filter(move |piece| piece.above == above)
            .find_map(|piece| span(piece.part))
    };
    let Some((over, under)) = of(true).zip(of(false)) else {
        return;
    };
    if (over - under).abs() > 0.05 && over > 0.0 && under > 0.0 && !slips.inherits(cell) {
        slips.habit(cell, &OTHER_SPANS, None, Some(under / over));
    }
}

/// Whole days of what runs for so many hours, by a line or a column of them that this doesn't use.
fn whole_days(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let day = pieces
        .iter()
        .find(|(_, part)| is_all_day(part) || is_bare(part, 24.0))
        .map(|(above, _)| *above);
    let hourly = |(above, part): &(bool, &Typed)| *above && is_hourly(part.kind);
    let below = |(above, part): &(bool, &Typed)| !above && is_of(part.kind, "lb/h");
    let time = |(above, part): &(bool, &Typed)| *above && is_of(part.kind, "h") && cell_of(part).is_some();
    let lasts = day == Some(false) && (pieces.iter().any(below) || pieces.iter().any(time));
    let runs = day == Some(true) && pieces.iter().any(hourly);
    if !(lasts || runs) || slips.accused.contains(&cell) {
        return;
    }
    let of_a_day = [
        "a day",
        "each day",
        "per day",
        "daily",
        "every day",
        "a night",
        "each night",
    ];
    let in_a_day = |hours: CellId| {
        let rows = ground
            .formulas
            .get(&hours)
            .and_then(|made| column_of(argument(made, Built::Sum)?));
        let of_rows = rows.is_some_and(|slot| has_word(&plain(table_text(ground.sheet, slot)), &of_a_day));
        ground.says(hours, &of_a_day) || of_rows
    };
    let daily = all_cells(ground.sheet).find_map(|hours| {
        let counts = ground.shape(hours).is_some_and(|shape| is_daily(shape.kind));
        let value = ground.value(hours, "h/d").filter(|_| counts);
        let plainly = ground
            .value(hours, "h")
            .filter(|_| ground.is(hours, "h") && in_a_day(hours));
        let value = value.or(plainly).filter(|value| *value > 0.0 && *value < 23.0)?;
        (!ground.rests_on(cell, hours)).then_some((hours, value))
    });
    if let Some((hours, value)) = daily {
        let times = if lasts { 24.0 / value } else { value / 24.0 };
        slips.habit(cell, &HOURS_OF_DAY, Some(hours), Some(times));
    }
}

// ---- rows ----

/// All of a column's table as it is written.
fn table_text(sheet: &Sheet, slot: u32) -> &str {
    let table = sheet
        .table_column(slot)
        .and_then(|column| sheet.tables().get(column.table as usize));
    table.map_or("", |table| sheet.tree().text_of(table.item as usize))
}

/// What a column measures, by its unit or its name.
fn measured(sheet: &Sheet, slot: u32) -> Option<Unit> {
    let column = sheet.table_column(slot)?;
    match column.kind {
        Kind::Quantity(of) if of == Unit::ONE => unit_told(&column.name),
        Kind::Quantity(of) => Some(of),
        _ => None,
    }
}

fn is_like(unit: Unit, name: &str) -> bool {
    is_of(Kind::Quantity(unit), name)
}

/// Looks at every written table, row by row.
fn rows(slips: &mut Slips<'_>) {
    let sheet = slips.ground.sheet;
    for (place, table) in (0u32..).zip(sheet.tables()).filter(|(_, table)| table.cell.is_none()) {
        let texts = table
            .columns
            .iter()
            .filter_map(|slot| sheet.table_column(*slot))
            .filter(|column| column.kind == Kind::Text);
        let texts: Vec<Vec<&str>> = texts
            .map(|column| {
                column
                    .cells
                    .iter()
                    .map(|cell| cell.map_or("", |cell| sheet.texts().text(cell)))
                    .collect()
            })
            .collect();
        let heading = sheet.tree().text_of(table.item as usize);
        let said = heading.lines().next().unwrap_or("");
        let section = written_before(sheet, table.item);
        for slot in &table.columns {
            let (Some(unit), Some(column)) = (measured(sheet, *slot), sheet.table_column(*slot)) else {
                continue;
            };
            let values: Vec<Option<f64>> = column.cells.iter().map(|cell| cell.map(Number::to_f64)).collect();
            let found: Option<&'static Habit> = match () {
                () if is_like(unit, "h") && other_hours(&texts, &values, &section) => Some(&ROWS_OF_DAY),
                () if is_like(unit, "h") && hundredths(said, &values) => Some(&MINUTES_AS_HUNDREDTHS),
                () if other_unit(&texts, &values, unit) => Some(&UNIT_OF_ROW),
                () if is_like(unit, "lb")
                    && has_word(&plain(&column.name.replace('_', " ")), &["tare", "tw", "gross", "net"])
                    && one_in_kilograms(&values) =>
                {
                    Some(&UNIT_OF_ROW)
                }
                () if finer_than_step(column, unit, &section) => Some(&FINER_THAN_STEP),
                () => None,
            };
            if let Some(habit) = found {
                let slip = Slip::Habit(habit, None);
                let finding = Finding::Slip(Suspicion { slip, mended: None });
                slips.note(Subject::Column(place, *slot), finding);
            }
        }
    }
}

/// A table's heading and the prose before it in its section, as they are written.
fn written_before(sheet: &Sheet, item: u32) -> String {
    use crate::syntax::tree::Node as Line;
    let tree = sheet.tree();
    let before = tree.items.iter().enumerate().take(item as usize + 1).rev();
    let section = before.take_while(|(_, line)| !matches!(line.node, Line::Heading(_)));
    let texts = section.filter(|(place, line)| *place == item as usize || matches!(line.node, Line::Prose(_)));
    texts
        .map(|(place, _)| format!("{} ", tree.text_of(place).lines().next().unwrap_or("")))
        .collect()
}

/// Whether the hours of a row aren't those between its clock times, or those of a day are more than it has.
fn other_hours(texts: &[Vec<&str>], hours: &[Option<f64>], said: &str) -> bool {
    let mut spans = texts
        .iter()
        .flat_map(|texts| texts.iter().map(|text| hours_between(text)).zip(hours));
    let apart = spans.any(|(span, hours)| {
        span.zip(*hours)
            .is_some_and(|(span, hours)| span > 0.0 && (hours - span).abs() > 0.02)
    });
    let all: f64 = hours.iter().flatten().sum();
    let round = [
        "round the clock",
        "one day and night",
        "day and night",
        "the hours of a day",
        "all 24",
        "24 hours",
    ];
    apart || has_word(&plain(said), &round) && all > 20.0 && (all - 24.0).abs() > 0.05
}

/// Whether a table tells that the minutes stand behind the point.
fn hundredths(said: &str, hours: &[Option<f64>]) -> bool {
    let sixty = hours.iter().flatten().all(|hours| hours.fract() < 0.595);
    let spoken = quantities(said);
    let mut pairs = spoken
        .windows(2)
        .filter(|pair| matches!(pair, [whole, part] if whole.sign == "h" && part.sign == "min"));
    let read = |whole: f64, part: f64| {
        hours
            .iter()
            .flatten()
            .any(|hours| (hours - whole - part / 100.0).abs() < 1e-6)
    };
    let shown = pairs.any(|pair| matches!(pair, [whole, part] if part.number > 0.0 && read(whole.number, part.number)));
    sixty && (shown || has_word(&plain(said), &["hours minutes"]))
}

/// Whether a row's own words have its number with another unit of the same kind.
fn other_unit(texts: &[Vec<&str>], values: &[Option<f64>], unit: Unit) -> bool {
    let told = |text: &str, value: f64| {
        let named = quantities(text);
        let same = |of: Unit| conversion(of, unit).map(|way| way.apply_f64(1.0));
        let other = named.iter().any(|named| {
            (named.number - value).abs() < 1e-9 && same(named.unit).is_some_and(|times| (times - 1.0).abs() > 0.05)
        });
        other && value != 0.0
    };
    let mut rows = texts.iter().flat_map(|texts| texts.iter().zip(values));
    rows.any(|(text, value)| value.is_some_and(|value| told(text, value)))
}

/// Whether one row is what the others would be in kilograms.
fn one_in_kilograms(values: &[Option<f64>]) -> bool {
    let mut known: Vec<f64> = values.iter().flatten().copied().collect();
    known.sort_by(f64::total_cmp);
    let [least, second, .., most] = known[..] else {
        return false;
    };
    let middle = (second + most) / 2.0;
    most / second < 1.15 && (least * 2.204_62 / middle - 1.0).abs() < 0.12
}

/// Whether the ± of a column is below what the display can show.
fn finer_than_step(column: &crate::sheet::column::TableColumn, unit: Unit, said: &str) -> bool {
    use crate::syntax::tree::ToleranceOf;
    let Some(tolerance) = column.tolerance else {
        return false;
    };
    let own = match tolerance.of {
        ToleranceOf::Percent => return false,
        ToleranceOf::Unit(of) => conversion(of, unit).map(|way| way.apply_f64(tolerance.amount.to_f64())),
    };
    let step = least_step(said).and_then(|step| Some(conversion(step.unit, unit)?.apply_f64(step.number)));
    own.zip(step).is_some_and(|(own, step)| own < 0.25 * step)
}
