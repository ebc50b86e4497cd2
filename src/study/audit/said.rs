//! Lines whose value isn't what their own words say.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::tolerance_of;
use crate::sheet::typed::Node;
use crate::syntax::tree::ToleranceOf;
use crate::trade::ResultKind;
use crate::trade::habits::{
    ABSOLUTE_TYPED, AVERAGED_OUT, DAYS_COUNTED, FULL_SCALE, Habit, METERS, OTHER_BASIS, PLATE_ENERGY, SCATTER_OF_ONE,
    SOUND_IN_BACKGROUND, SOUND_POWER, STAMP, WIND_CHILL, WIND_ELSEWHERE,
};
use crate::unit::Kind;

use super::ground::{cell_of, has_word, parts, plain};
use super::slip::Slip;
use super::slips::Slips;
use super::{Subject, all_cells, number, source_of};

pub(super) const DAYS: [&str; 7] = [
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
];
const PARTS_OF_DAY: &[&str] = &[
    "morning",
    "evening",
    "noon",
    "night",
    "afternoon",
    "midnight",
    "dusk",
    "dawn",
];
const PLACED: &[&str] = &[
    "set on the",
    "sets on the",
    "set on a",
    "sets on a",
    "set off",
    "sets off",
];
const RUNNING: &[&str] = &[
    "set on",
    "sets on",
    "set running",
    "sets running",
    "engine on",
    "engine running",
    "generator on",
    "generator running",
];

/// Looks at every input's words.
pub(super) fn look(slips: &mut Slips<'_>) {
    let inputs = all_cells(slips.ground.sheet).filter(|cell| slips.ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        coverage(slips, cell);
        stamp(slips, cell);
        days(slips, cell);
        other_quantity(slips, cell);
        meters(slips, cell);
    }
    sounds(slips);
}

fn habit(slips: &mut Slips<'_>, cell: CellId, habit: &'static Habit, mend: Option<f64>) {
    let mend = mend.and_then(|value| slips.ground.changed(cell, |_| value));
    slips.add(cell, Slip::Habit(habit, None), mend);
}

/// What a line says as its number, where a word comes before it: `tw 17 8` is 17.8.
fn number_behind(words: &[&str], word: &str) -> Option<f64> {
    let place = words.iter().position(|known| *known == word)?;
    let digits = |place: usize| words.get(place).filter(|word| word.chars().all(|c| c.is_ascii_digit()));
    let whole = digits(place + 1)?;
    match digits(place + 2) {
        Some(part) => format!("{whole}.{part}").parse().ok(),
        None => whole.parse().ok(),
    }
}

/// Numbers with a word behind them: `2 % of full scale`.
fn numbers_before<'a>(words: &'a [&'a str], next: &'a str) -> impl Iterator<Item = f64> + 'a {
    let pairs = words.windows(2).enumerate();
    let found = pairs.filter(move |(_, pair)| matches!(pair, [_, after] if *after == next));
    found.filter_map(|(place, pair)| {
        let last = pair.first().filter(|word| word.chars().all(|c| c.is_ascii_digit()))?;
        let before = place.checked_sub(1).and_then(|place| words.get(place));
        let whole = before.filter(|word| word.chars().all(|c| c.is_ascii_digit()));
        match whole {
            Some(whole) => format!("{whole}.{last}").parse().ok(),
            None => last.parse().ok(),
        }
    })
}

/// How far it may be off against how its line puts that.
fn coverage(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let (Some(tolerance), Some(value)) = (sheet.entry(cell).and_then(tolerance_of), number(sheet, cell)) else {
        return;
    };
    let amount = tolerance.amount.to_f64();
    let words = ground.words(cell);
    let of_reading = matches!(tolerance.of, ToleranceOf::Percent);
    let part = if of_reading {
        amount
    } else {
        (amount / value.to_f64()).abs() * 100.0
    };
    let of_scale = ["full scale", "fs", "of range", "of its range", "whole scale"];
    let is_part = |told: f64| (part / told - 1.0).abs() < 0.05 && (of_reading || (amount / told - 1.0).abs() > 0.2);
    if ground.says(cell, &of_scale) && numbers_before(&words, "%").any(is_part) {
        return habit(slips, cell, &FULL_SCALE, None);
    }
    let root = ground.says(cell, &["root", "square root", "averaged out", "averages out"]);
    let own = [
        "never checked",
        "good to",
        "calibration",
        "calibrated",
        "accuracy",
        "off for all",
        "systematic",
        "maker",
        "zero",
        "offset",
        "stand off",
    ];
    if root && ground.says(cell, &own) {
        return habit(slips, cell, &AVERAGED_OUT, None);
    }
    let scatters = ground.says(cell, &["scatter", "scatters", "spread", "single readings"]);
    let same = ground.says(cell, &[&tolerance.amount.to_plain().replace('.', " ")]);
    if scatters && same && !root && tolerance.degrees_of_freedom.is_some() {
        habit(slips, cell, &SCATTER_OF_ONE, None);
    }
}

/// A tare or a capacity that isn't the stamp that its line names.
fn stamp(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let source = source_of(ground.sheet, Subject::Cell(cell)).unwrap_or_default();
    let no_clock = source.split_whitespace().filter(|word| !word.contains(':'));
    let source = plain(&no_clock.collect::<Vec<&str>>().join(" "));
    let words: Vec<&str> = source.split_whitespace().collect();
    let said = ["tw", "wc"].into_iter().find_map(|word| number_behind(&words, word));
    let said = said.filter(|_| !has_word(&source, &["oz", "ounce"]));
    let value = ground.value(cell, "lb").zip(number(ground.sheet, cell));
    let Some((said, (_, value))) = said.zip(value) else {
        return;
    };
    let times = value.to_f64() / said;
    if (0.5..2.0).contains(&times) && (times - 1.0).abs() > 0.005 {
        habit(slips, cell, &STAMP, Some(said));
    }
}

/// Days counted by their names, from a part of the first to a part of the last.
fn days(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let counts = ["d", "each", ""].iter().any(|unit| ground.is(cell, unit));
    let Some(value) = number(ground.sheet, cell)
        .map(|value| value.to_f64())
        .filter(|_| counts)
    else {
        return;
    };
    let words = ground.words(cell);
    let day = |word: &&str| DAYS.iter().position(|day| day == word);
    let mut named = words
        .iter()
        .enumerate()
        .filter_map(|(place, word)| Some((place, day(word)?)));
    let (Some((from_at, from)), Some((to_at, to))) = (named.next(), named.next()) else {
        return;
    };
    let between = words.get(from_at..to_at).unwrap_or_default();
    let clock = |word: &&str| PARTS_OF_DAY.contains(word) || word.chars().all(|c| c.is_ascii_digit());
    let nights = (to + 7 - from) % 7;
    let parted = between.contains(&"to") && between.iter().any(clock) && words.get(to_at + 1).is_some_and(clock_word);
    let clocks = super::quantities::clock_times(ground.raw(cell));
    let same = matches!(clocks[..], [from, to] if (from - to).abs() < 0.01);
    if same && nights > 0 && ground.is(cell, "d") && (value - nights as f64).abs() > 0.5 && value < 7.0 {
        habit(slips, cell, &DAYS_COUNTED, Some(nights as f64 / value));
        return;
    }
    let whole = words.contains(&"whole") || ground.raw(cell).contains("24:00");
    if parted && !whole && nights > 0 && (value - nights as f64 - 1.0).abs() < 1e-9 {
        habit(slips, cell, &DAYS_COUNTED, Some(value - 1.0));
    }
}

fn clock_word(word: &&str) -> bool {
    PARTS_OF_DAY.contains(word) || word.chars().all(|c| c.is_ascii_digit())
}

/// Another quantity than the one that is meant.
fn other_quantity(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let chill = ["feels like", "wind chill", "felt", "windchill", "real feel"];
    let words = ground.words(cell);
    let felt = ["like", "chill", "felt"]
        .iter()
        .find_map(|word| number_behind(&words, word));
    let other = felt
        .zip(number(ground.sheet, cell))
        .is_some_and(|(felt, own)| (own.abs().to_f64() - felt).abs() > 0.5);
    let not = [
        "no wind chill",
        "not wind chill",
        "without wind chill",
        "not the wind chill",
        "not feels like",
    ];
    let used = all_cells(ground.sheet).any(|user| user != cell && ground.rests_on(user, cell));
    let other = other || ground.says(cell, &not) || !used && ground.is_input(cell);
    if ground.is(cell, "°F") && ground.says(cell, &chill) && !other {
        habit(slips, cell, &WIND_CHILL, None);
    }
    let wind = ground.is(cell, "mph") || ground.is(cell, "W/(m2·C°)");
    if wind && ground.says(cell, &["airport", "mast", "weather station"]) {
        habit(slips, cell, &WIND_ELSEWHERE, None);
    }
    let absolute = ["absolute", "psia", "psi a", "abs"];
    if ground.is(cell, "psig") && ground.says(cell, &absolute) && !ground.says(cell, &["less", "gauge", "minus"]) {
        let mend = ground.at(cell, ground.value(cell, "psig").unwrap_or(0.0) - 14.696, "psig");
        slips.add(cell, Slip::Habit(&ABSOLUTE_TYPED, None), mend);
    }
    let plate = ["plate", "plate s", "nameplate", "nameplate s", "rated"];
    if ground.is(cell, "kWh") && ground.says(cell, &plate) && ground.says(cell, &["h", "hour", "hours"]) {
        habit(slips, cell, &PLATE_ENERGY, None);
    }
}

/// Feet with the number that another line has in meters.
fn meters(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let feet = ground
        .shape(cell)
        .is_some_and(|shape| matches!(shape.kind, Kind::Quantity(of) if of.to_string() == "ft"));
    let Some(value) = number(ground.sheet, cell)
        .map(|value| value.to_f64())
        .filter(|value| feet && *value > 1.0)
    else {
        return;
    };
    let says = |other: &CellId| {
        let words = ground.words(*other);
        // its own line may round it
        let near = if *other == cell { 0.2 * value } else { 1e-9 };
        ["m", "meters", "meter", "metres"]
            .iter()
            .any(|unit| numbers_before(&words, unit).any(|told| (told - value).abs() <= near))
    };
    if let Some(other) = all_cells(ground.sheet).find(says) {
        let mend = ground.at(cell, value * 3.280_84, "ft");
        slips.add(cell, Slip::Habit(&METERS, (other != cell).then_some(other)), mend);
    }
}

/// Sound powers taken for levels, and backgrounds with the set in them.
fn sounds(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    let powers = all_cells(ground.sheet).filter(|cell| ground.is_input(*cell) && is_level(slips, *cell));
    for cell in powers.collect::<Vec<CellId>>() {
        if ground.says(cell, &["sound power", "lwa", "lw"]) {
            let mend = ground.changed(cell, |level| level - 25.0);
            slips.add(cell, Slip::Habit(&SOUND_POWER, None), mend);
        }
    }
    for formula in ground.formulas.values() {
        for part in parts(formula) {
            let Node::Call(function, arguments) = &part.node else {
                continue;
            };
            let sums = function.result == ResultKind::Level && arguments.len() > 1;
            let levels: Vec<CellId> = arguments
                .iter()
                .filter(|argument| argument.kind == Kind::Level)
                .filter_map(cell_of)
                .collect();
            if !sums || levels.len() < 2 || levels.len() != arguments.len() {
                continue;
            }
            let on = levels
                .iter()
                .find(|cell| ground.is_input(**cell) && ground.says(**cell, RUNNING) && !ground.says(**cell, PLACED));
            if let Some(on) = on {
                slips.habit(*on, &SOUND_IN_BACKGROUND, None, None);
            }
        }
    }
}

fn is_level(slips: &Slips<'_>, cell: CellId) -> bool {
    slips.ground.shape(cell).is_some_and(|shape| shape.kind == Kind::Level)
}

/// What calls itself of the one heat and rests on the other alone; `typed` has the basis of each
/// heat that was put in.
pub(super) fn bases(slips: &mut Slips<'_>, typed: &[(CellId, &str)]) {
    let ground = slips.ground;
    const SAYS: [(&str, &[&str]); 2] = [
        ("gross", &["gross heat", "of the gross", "gross heating", "hhv"]),
        ("net", &["net heat", "of the net", "net heating", "lhv"]),
    ];
    for (user, _) in ground.formulas.iter() {
        let rests: Vec<&(CellId, &str)> = typed
            .iter()
            .filter(|(here, basis)| !basis.is_empty() && ground.rests_on(*user, *here))
            .collect();
        let Some((here, basis)) = rests.first() else { continue };
        let says = |of: &str| {
            SAYS.iter()
                .any(|(known, words)| *known == of && ground.says(*user, words))
        };
        let other = if *basis == "gross" { "net" } else { "gross" };
        if rests.iter().all(|(_, one)| one == basis) && says(other) && !says(basis) {
            slips.habit(*user, &OTHER_BASIS, Some(*here), None);
        }
    }
}
