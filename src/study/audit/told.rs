//! Inputs whose own line tells another quantity than the one that stands there.
//!
//! Start reading at [`look`].

use crate::sheet::names::CellId;
use crate::sheet::tolerance_of;
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::syntax::tree::{EntryKind, ToleranceOf};
use crate::trade::habits::{
    BEST_OF, BETWEEN_WEIGHINGS, CLOCK_TIMES, DEPOSIT, DIFFERENCE_PLUS_32, ENERGY_AS_POWER, FINER_THAN_STEP,
    FOR_EACH_THOUSAND, GIRTH, HEARSAY, HIGH_FOR_LOW, Habit, ICE_ON_IT, MINUTES_AS_HUNDREDTHS, NOMINAL_FOR_NET,
    PAUSE_COUNTED, SEA_LEVEL, WATER_GALLON,
};
use crate::trade::{Body, Built};
use crate::unit::{Unit, conversion};

use super::formula::price_over;
use super::ground::{cell_of, constant, factors, has_word, is_of, parts, plain, terms};
use super::quantities::{Named, clock_times, hours_between, least_step, quantities};
use super::said::DAYS;
use super::slip::Slip;
use super::slips::Slips;
use super::{Subject, all_cells, number, source_of};

/// Looks at every input's own words.
pub(super) fn look(slips: &mut Slips<'_>) {
    let inputs = all_cells(slips.ground.sheet).filter(|cell| slips.ground.is_input(*cell));
    for cell in inputs.collect::<Vec<CellId>>() {
        let said = quantities(slips.ground.raw(cell));
        hundredths(slips, cell, &said);
        plus_32(slips, cell, &said);
        nominal_for_net(slips, cell);
        water_and_girth(slips, cell);
        metered(slips, cell, &said);
        energy_as_power(slips, cell, &said);
        finer_than_step(slips, cell);
        of_others(slips, cell);
        ice(slips, cell);
        sea_level(slips, cell);
        pause(slips, cell, &said);
        clock_span(slips, cell);
    }
    let formulas: Vec<(CellId, &Typed)> = slips
        .ground
        .formulas
        .iter()
        .map(|(cell, formula)| (*cell, formula))
        .collect();
    for (cell, formula) in formulas {
        between_weighings(slips, cell, formula);
        standstill(slips, cell, formula);
        nominal_in_formula(slips, cell, formula);
        feet_as_meters(slips, cell, formula);
    }
}

pub(super) fn habit(slips: &mut Slips<'_>, cell: CellId, habit: &'static Habit, times: Option<f64>) {
    slips.habit(cell, habit, None, times);
}

/// The number of a quantity in another unit.
pub(super) fn in_unit(said: &Named, unit: &str) -> Option<f64> {
    Some(conversion(said.unit, Unit::parse(unit).ok()?)?.apply_f64(said.number))
}

/// Units with the next smaller one, and how many of that they have.
const PARTED: [(&str, &str, f64); 3] = [("h", "min", 60.0), ("lb", "oz", 16.0), ("ft", "in", 12.0)];

/// `2.40 h` for 2 h 40 min, `28.14 lb` for 28 lb 14 oz.
fn hundredths(slips: &mut Slips<'_>, cell: CellId, said: &[Named]) {
    let ground = slips.ground;
    for (unit, small, many) in PARTED {
        let Some(value) = ground.value(cell, unit).filter(|_| ground.is(cell, unit)) else {
            continue;
        };
        let spoken = said.windows(2).filter_map(|pair| match pair {
            [whole, part] if whole.sign == unit && part.sign == small => Some((whole.number, part.number)),
            _ => None,
        });
        let clocks = clock_times(ground.raw(cell));
        let between = match clocks[..] {
            [from, to] if unit == "h" => {
                let minutes = ((to - from) * 60.0).round().rem_euclid(1440.0);
                Some(((minutes / 60.0).floor(), minutes.rem_euclid(60.0)))
            }
            _ => None,
        };
        let read = |(whole, part): &(f64, f64)| {
            let like = |point: f64| (value - (whole + part / point)).abs() < 1e-6;
            // of twelve and sixteen one digit may stand behind the point alone
            *part > 0.0 && (like(100.0) || *part < 10.0 && small != "min" && like(10.0))
        };
        let short = (unit == "h").then(|| hours_and(ground.raw(cell))).flatten();
        if let Some((whole, part)) = spoken.chain(between).chain(short).find(read) {
            habit(slips, cell, &MINUTES_AS_HUNDREDTHS, Some((whole + part / many) / value));
        }
    }
}

/// `3 hours 20`, its minutes without their unit.
fn hours_and(text: &str) -> Option<(f64, f64)> {
    let words: Vec<&str> = text.split([' ', ',', ';']).collect();
    let number = |word: &&str| word.trim_end_matches('.').parse::<f64>().ok();
    words.windows(3).find_map(|three| match three {
        [hours, "hours" | "hour" | "h", minutes] => Some((number(hours)?, number(minutes)?)),
        _ => None,
    })
}

/// A power that its line tells as an energy, or a current as a charge: 1.4 kWh in a day as 1.4 kW.
fn energy_as_power(slips: &mut Slips<'_>, cell: CellId, said: &[Named]) {
    let ground = slips.ground;
    let counts = ["energy meter", "kwh meter", "kilowatt hour meter"];
    let counted = ["set to zero", "reset", "it stood at", "counted"];
    if ground.is_load(cell) && ground.says(cell, &counts) && ground.says(cell, &counted) {
        habit(slips, cell, &ENERGY_AS_POWER, None);
        return;
    }
    for (own, energy) in [("W", "Wh"), ("A", "A·h")] {
        let Some(value) = ground.value(cell, own).filter(|_| ground.is(cell, own)) else {
            continue;
        };
        let own_said = said
            .iter()
            .any(|named| in_unit(named, own).is_some_and(|told| (told / value - 1.0).abs() < 1e-6));
        let told = said
            .iter()
            .find(|named| in_unit(named, energy).is_some_and(|told| (told / value - 1.0).abs() < 1e-6));
        if told.is_some() && !own_said {
            let hours = said
                .iter()
                .find_map(|named| in_unit(named, "h").filter(|hours| *hours > 1.0));
            let day = ground.says(cell, &["day", "daily"]).then_some(24.0);
            habit(slips, cell, &ENERGY_AS_POWER, hours.or(day).map(|hours| 1.0 / hours));
        }
    }
}

/// A ± below what the display can show.
fn finer_than_step(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let sheet = ground.sheet;
    let Some(tolerance) = sheet.entry(cell).and_then(tolerance_of) else {
        return;
    };
    let same_scale = ground.is(cell, "lb") && ground.says(cell, &["scale"]) && has_word(ground.near(cell), &["scale"]);
    let step = least_step(ground.raw(cell)).or_else(|| least_step(ground.prose(cell)).filter(|_| same_scale));
    let (Some(step), Some(value)) = (step, number(sheet, cell)) else {
        return;
    };
    let (part, unit) = match tolerance.of {
        ToleranceOf::Percent => (tolerance.amount.to_f64() / 100.0 * value.to_f64().abs(), None),
        ToleranceOf::Unit(unit) => (tolerance.amount.to_f64(), Some(unit)),
    };
    let own = unit.or_else(|| match sheet.shape(cell)?.kind {
        crate::unit::Kind::Quantity(of) => Some(of),
        _ => None,
    });
    let step = own.and_then(|own| Some(conversion(step.unit, own)?.apply_f64(step.number)));
    if step.is_some_and(|step| part < 0.25 * step) {
        habit(slips, cell, &FINER_THAN_STEP, None);
    }
}

/// What somebody else said, or the best of several, as if it had been measured.
fn of_others(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let entry = ground.sheet.entry(cell);
    let hearsay = [
        "forum",
        "somebody",
        "someone",
        "heard",
        "guessed",
        "a guess",
        "hearsay",
        "remembered",
        "from memory",
        "much like ours",
        "similar to ours",
        "a similar set",
        "of the same kind",
        "says the neighbor",
        "eyeballed",
        "by eye",
        "they say",
        "told us",
        "video",
        "an acquaintance",
        "a friend",
    ];
    if entry.is_some_and(|entry| entry.kind == EntryKind::Measured) && ground.says(cell, &hearsay) {
        habit(slips, cell, &HEARSAY, None);
    }
    let best = [
        "best of",
        "the best run",
        "best run",
        "the lowest of",
        "lowest of",
        "longest of",
        "the longest run",
        "highest of the",
        "most favorable",
    ];
    if !ground.is_load(cell) && ground.says(cell, &best) {
        habit(slips, cell, &BEST_OF, None);
    }
    let money = entry.is_some() && (ground.is(cell, "$") || ground.is(cell, "$/lb") || ground.is(cell, "$/gal"));
    let deposit = [
        "deposit included",
        "for the steel",
        "which we keep",
        "of this",
        "with the deposit",
        "with deposit",
        "including deposit",
        "including the deposit",
        "and deposit",
        "shell deposit",
        "cylinder deposit",
        "bottle deposit",
    ];
    let used = ground.formulas.iter().any(|(user, formula)| {
        let pieces = factors(formula);
        *user != cell && pieces.iter().any(|(above, part)| *above && cell_of(part) == Some(cell))
    });
    if money
        && used
        && ground.says(cell, &deposit)
        && !ground.says(
            cell,
            &[
                "without",
                "less the deposit",
                "deposit taken off",
                "years ago",
                "was paid",
                "paid before",
            ],
        )
    {
        habit(slips, cell, &DEPOSIT, None);
    }
    let high = [
        "high",
        "forecast high",
        "daytime high",
        "day s high",
        "afternoon high",
        "high of",
        "high for",
        "warmest",
        "midday",
        "at noon",
        "noon reading",
        "mean of the month",
        "monthly mean",
        "average of the month",
    ];
    let at_night = ["overnight", "night", "low", "dawn", "coldest"];
    let cold = ground.value(cell, "°F").is_some_and(|degrees| degrees < 60.0) && ground.is(cell, "°F");
    if cold && ground.says(cell, &high) && !ground.says(cell, &at_night) {
        let mut users = all_cells(ground.sheet).filter(|user| ground.rests_on(*user, cell));
        if users.any(|user| {
            ground.says(
                user,
                &["night", "overnight", "icing", "margin", "stalls", "ice", "till morning"],
            )
        }) {
            habit(slips, cell, &HIGH_FOR_LOW, None);
        }
    }
}

/// Weighed with ice or water on it.
fn ice(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let source = plain(&source_of(ground.sheet, Subject::Cell(cell)).unwrap_or_default());
    let on = [
        "ice", "iced", "frost", "frosted", "snow", "rime", "wet", "dripping", "icy", "frosty", "soaked",
    ];
    let off = [
        "no ice",
        "no frost",
        "dry",
        "dried",
        "wiped",
        "brushed off",
        "thawed",
        "scraped",
        "free of",
        "without ice",
        "knocked off",
        "no snow",
        "brushed",
    ];
    let on_scale = has_word(&source, &["scale", "weighed", "shell", "cylinder", "on it"]);
    if ground.is(cell, "lb") && on_scale && has_word(&source, &on) && !has_word(&source, &off) {
        habit(slips, cell, &ICE_ON_IT, None);
    }
}

/// A barometer that was reduced to sea level, at a place far above it.
fn sea_level(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let reduced = ["sea level", "reduced", "altimeter setting", "qnh"];
    let pressure = ground.is(cell, "inHg") && ground.says(cell, &reduced);
    let station = ["station pressure", "not reduced", "absolute", "gauge"];
    if !pressure || ground.says(cell, &station) {
        return;
    }
    let height = |other: CellId| {
        let high = ground.says(other, &["altitude", "elevation", "height", "above sea"]);
        ground.value(other, "ft").filter(|feet| high && *feet > 1000.0)
    };
    let told = quantities(ground.prose(cell))
        .into_iter()
        .find(|named| named.sign == "ft" && named.number > 1500.0);
    let told = told.map(|named| named.number);
    if let Some(feet) = all_cells(ground.sheet).find_map(height).or(told) {
        // standard atmosphere, ISO 2533
        habit(slips, cell, &SEA_LEVEL, Some((1.0 - 6.8756e-6 * feet).powf(5.2559)));
    }
}

/// A time that has a pause in it which its line tells.
fn pause(slips: &mut Slips<'_>, cell: CellId, said: &[Named]) {
    let ground = slips.ground;
    let paused = [
        "pause",
        "paused",
        "stood still",
        "was off",
        "stopped for",
        "off for",
        "shut down for",
        "standing for",
        "stalled for",
        "break of",
        "refueled for",
    ];
    let without = [
        "less",
        "without",
        "not counting",
        "taken off",
        "minus",
        "net of",
        "less the",
    ];
    let clocks = clock_times(ground.raw(cell));
    let ([from, to], Some(hours)) = (clocks.as_slice(), ground.value(cell, "h")) else {
        return;
    };
    let whole = (to - from).rem_euclid(24.0);
    if !ground.is(cell, "h")
        || !ground.says(cell, &paused)
        || ground.says(cell, &without)
        || (hours - whole).abs() > 0.01
    {
        return;
    }
    let off = said
        .iter()
        .filter_map(|named| in_unit(named, "h"))
        .find(|off| *off < whole);
    habit(slips, cell, &PAUSE_COUNTED, off.map(|off| (whole - off) / whole));
}

/// What was burned between two weighings whose lines have their clock times, over another time.
fn between_weighings(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let time = pieces.iter().filter(|(above, part)| !*above && is_of(part.kind, "h"));
    let Some(time) = time
        .filter_map(|(_, part)| cell_of(part))
        .find(|time| ground.is_input(*time))
    else {
        return;
    };
    let burned = pieces.iter().find(|(above, part)| *above && is_of(part.kind, "lb"));
    let sides = burned.and_then(|(_, part)| {
        let made = cell_of(part).and_then(|cell| ground.formulas.get(&cell));
        let terms = terms(made.unwrap_or(part));
        match terms.as_slice() {
            [(true, from), (false, to)] => Some((cell_of(from)?, cell_of(to)?)),
            _ => None,
        }
    });
    let (Some((from, to)), Some(hours)) = (sides, ground.value(time, "h")) else {
        return;
    };
    let (from, to) = (clock_times(ground.raw(from)), clock_times(ground.raw(to)));
    let ([from], [to]) = (from.as_slice(), to.as_slice()) else {
        return;
    };
    let between = (to - from).rem_euclid(24.0);
    let own = clock_times(ground.raw(time)).len() > 1;
    let off = (hours - between).abs();
    if !own && between > 0.0 && hours < 24.0 && off > 0.05 && off / between > 0.02 && !slips.accused.contains(&time) {
        let mend = ground.changed(time, |now| now * between / hours);
        slips.add(time, Slip::Habit(&BETWEEN_WEIGHINGS, Some(cell)), mend);
    }
}

/// A duration that isn't the one between the clock times that its line names.
fn clock_span(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let source = source_of(ground.sheet, Subject::Cell(cell)).unwrap_or_default();
    // two clock times alone may be of two days
    let sums = ["day", "each", "every", "nightly", "less", "pause", "sum"];
    let two = || match clock_times(&source)[..] {
        [from, to] if ground.is(cell, "h") && !ground.says(cell, &sums) => Some((to - from).rem_euclid(24.0)),
        _ => None,
    };
    // the later less the earlier, where it is the earlier of the next day
    let turned = clock_times(&source);
    if let [from, to] = turned[..]
        && from > to
        && let Some(hours) = ground.value(cell, "h")
        && (hours - (from - to)).abs() < 0.01
    {
        habit(slips, cell, &CLOCK_TIMES, Some((24.0 - hours) / hours));
        return;
    }
    let said = hours_between(&source)
        .or_else(two)
        .filter(|_| !ground.says(cell, &DAYS));
    let hours = ground.value(cell, "h").or_else(|| ground.value(cell, "h/d"));
    let Some((hours, said)) = hours.zip(said).filter(|(hours, said)| *hours > 0.0 && *said > 0.0) else {
        return;
    };
    // several days of it, or a part of it, is another matter
    let near = (0.5..2.0).contains(&(hours / said));
    if near && (hours / said - 1.0).abs() > 0.01 && !slips.accused.contains(&cell) {
        habit(slips, cell, &CLOCK_TIMES, Some(said / hours));
    }
}

/// How a standstill is told.
const PAUSES: &[&str] = &[
    "stopped",
    "shut it off",
    "switched off",
    "switched it off",
    "stood still",
    "paused",
    "was off",
    "engine off",
    "set off",
    "stood",
];

/// The time between two clock times, with a standstill in it that the prose tells.
fn standstill(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let sides = parts(formula)
        .into_iter()
        .find_map(|part| match (&part.node, terms(part).as_slice()) {
            (Node::Call(function, arguments), _) if matches!(function.body, Body::Built(Built::Elapsed)) => {
                match &arguments[..] {
                    [from, to] => cell_of(to).zip(cell_of(from)),
                    _ => None,
                }
            }
            (Node::Arithmetic(Arithmetic::SubtractTime, _, sides), _) => cell_of(&sides.0).zip(cell_of(&sides.1)),
            (_, [(true, to), (false, from)]) => cell_of(to).zip(cell_of(from)),
            _ => None,
        });
    let clock = |cell: CellId| clock_times(ground.written(cell)).first().copied();
    let times = sides.and_then(|(to, from)| Some((clock(to)?, clock(from)?)));
    let (Some((to, from)), Some(whole)) = (times, ground.value(cell, "h").filter(|hours| *hours > 0.0)) else {
        return;
    };
    let after = |time: f64| (time - from).rem_euclid(24.0);
    let notes = all_cells(ground.sheet).filter(|note| ground.is_input(*note));
    let notes = notes
        .map(|note| ground.raw(note))
        .filter(|note| clock_times(note).len() > 1);
    let texts = notes.chain([ground.prose(cell)]).map(|text| (text, plain(text)));
    let Some((text, near)) = texts.into_iter().find(|(_, words)| has_word(words, PAUSES)) else {
        return;
    };
    let within = clock_times(text).into_iter();
    let within: Vec<f64> = within
        .filter(|time| after(*time) > 0.01 && after(*time) < after(to) - 0.01)
        .collect();
    if let [off, on] = within[..]
        && has_word(
            &near,
            &["again", "restarted", "went on", "back on", "off from", "until", "to"],
        )
    {
        habit(
            slips,
            cell,
            &PAUSE_COUNTED,
            Some((whole - after(on) + after(off)) / whole),
        );
    }
}

/// A difference in Celsius degrees, converted as a temperature is.
fn plus_32(slips: &mut Slips<'_>, cell: CellId, said: &[Named]) {
    let ground = slips.ground;
    let Some(value) = ground.value(cell, "F°").filter(|_| ground.is(cell, "F°")) else {
        return;
    };
    let celsius = said.iter().filter(|named| matches!(&*named.sign, "°C" | "C°" | "C"));
    let read = celsius
        .map(|named| named.number)
        .find(|degrees| (degrees * 1.8 + 32.0 - value).abs() < 0.06);
    if let Some(degrees) = read {
        habit(slips, cell, &DIFFERENCE_PLUS_32, Some(degrees * 1.8 / value));
    }
}

/// The size that a cylinder is called by, where the worksheet tells what is in it.
fn nominal_for_net(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let Some(pounds) = ground.value(cell, "lb").filter(|pounds| (4.0..101.0).contains(pounds)) else {
        return;
    };
    let size = [
        "size",
        "nominal",
        "called",
        "20 lb cylinder",
        "holds",
        "exchange",
        "cage",
        "each",
    ];
    if !ground.is(cell, "lb") || !ground.says(cell, &size) {
        return;
    }
    let text = format!("{} {}", ground.prose(cell), ground.raw(cell)).to_lowercase();
    let behind = ["net weight", "net wt"].iter().find_map(|words| text.split_once(words));
    let behind = behind.map(|(_, behind)| quantities(behind));
    let net = behind
        .and_then(|named| named.into_iter().next())
        .filter(|named| named.sign == "lb");
    let told = net.map(|net| net.number).or_else(|| {
        let priced = price_over(ground, cell).is_some();
        all_cells(ground.sheet).find_map(|net| {
            // in a runtime alone it is no answer to what the price is parted over
            let apart = priced && price_over(ground, net).is_none();
            let elsewhere = |user: CellId| apart && !ground.rests_on(user, cell);
            let used = ground
                .formulas
                .keys()
                .any(|user| *user != net && ground.rests_on(*user, net) && !elsewhere(*user));
            let says =
                !used && ground.is_input(net) && ground.says(net, &["net weight", "net wt", "sleeve", "as sold"]);
            ground.value(net, "lb").filter(|_| says && ground.is(net, "lb"))
        })
    });
    if let Some(net) = told.filter(|net| *net < 0.9 * pounds) {
        habit(slips, cell, &NOMINAL_FOR_NET, Some(net / pounds));
    }
}

/// The size that a cylinder is called by, written into a formula, where the prose tells what is in it.
fn nominal_in_formula(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let lines = ground
        .needs(cell)
        .map(|need| ground.raw(need))
        .collect::<Vec<&str>>()
        .join(" ");
    let text = format!("{} {lines}", ground.prose(cell)).to_lowercase();
    let behind = ["net weight", "net wt"].iter().find_map(|words| text.split_once(words));
    let net = behind.and_then(|(_, behind)| quantities(behind).into_iter().next());
    let Some(net) = net.filter(|net| net.sign == "lb" && !ground.is_input(cell)) else {
        return;
    };
    let inner = |part| terms(part).into_iter().flat_map(|(_, term)| factors(term));
    let pieces = factors(formula).into_iter();
    let all = pieces.flat_map(|(above, part)| inner(part).map(move |(own, part)| (own == above, part)));
    let size = all.into_iter().find_map(|(above, part)| {
        let (kind, number) = constant(part)?;
        let pounds = ["lb", "lb/each"]
            .iter()
            .find_map(|unit| super::ground::in_unit(kind, number, unit))?;
        (net.number < 0.9 * pounds && pounds < 101.0).then_some((above, pounds))
    });
    if let Some((above, pounds)) = size {
        let times = if above {
            net.number / pounds
        } else {
            pounds / net.number
        };
        habit(slips, cell, &NOMINAL_FOR_NET, Some(times));
    }
}

/// A gallon of water for one of propane, and what a tape goes around for what it goes across.
fn water_and_girth(slips: &mut Slips<'_>, cell: CellId) {
    let ground = slips.ground;
    let water = ground
        .value(cell, "lb/gal")
        .filter(|density| ground.is(cell, "lb/gal") && (8.2..8.5).contains(density));
    if water.is_some() && !ground.says(cell, &["water"]) {
        habit(slips, cell, &WATER_GALLON, Some(4.24 / 8.34));
    }
    let around = [
        "tape around",
        "laid around",
        "around the shell",
        "circumference",
        "girth",
    ];
    let over = ["over pi", "over 3", "divided by", "3 14", "by pi"];
    let across = ground
        .value(cell, "in")
        .filter(|inches| ground.is(cell, "in") && *inches > 24.0);
    if across.is_some()
        && ground.says(cell, &around)
        && !ground.says(cell, &over)
        && ground.says(cell, &["across", "diameter", "width", "wide", "outside", "inside"])
    {
        habit(slips, cell, &GIRTH, Some(1.0 / std::f64::consts::PI));
    }
}

/// The energy between two readings of a meter, taken for the power.
fn metered(slips: &mut Slips<'_>, cell: CellId, said: &[Named]) {
    let ground = slips.ground;
    let readings: Vec<f64> = said
        .iter()
        .filter(|named| named.sign == "kWh")
        .map(|named| named.number)
        .collect();
    let clocks = clock_times(ground.raw(cell));
    let (Some(kilowatts), [first, last], [from, to]) = (
        ground.value(cell, "kW").filter(|_| ground.is(cell, "kW")),
        &readings[..],
        &clocks[..],
    ) else {
        return;
    };
    let hours = (to - from).rem_euclid(24.0);
    if hours > 0.2 && ((last - first) / kilowatts - 1.0).abs() < 0.01 && (hours - 1.0).abs() > 0.05 {
        habit(slips, cell, &ENERGY_AS_POWER, Some(1.0 / hours));
    }
}

/// `/ (1000 m)` for what its line tells for each 1000 ft.
fn feet_as_meters(slips: &mut Slips<'_>, cell: CellId, formula: &Typed) {
    let ground = slips.ground;
    let pieces = factors(formula);
    let by = pieces.iter().find_map(|(above, part)| {
        let (kind, number) = constant(part).filter(|(kind, _)| !*above && is_of(*kind, "ft"))?;
        let crate::unit::Kind::Quantity(of) = kind else {
            return None;
        };
        Some((of.to_string(), number.to_f64()))
    });
    let Some((own, number)) = by else { return };
    let named = pieces
        .iter()
        .filter_map(|(_, part)| cell_of(part))
        .flat_map(|part| quantities(ground.raw(part)));
    let other = named
        .into_iter()
        .find(|named| (named.number - number).abs() < 1e-9 && matches!(&*named.sign, "ft" | "m") && named.sign != own);
    if let Some(other) = other {
        let times = if other.sign == "ft" { 3.280_84 } else { 1.0 / 3.280_84 };
        habit(slips, cell, &FOR_EACH_THOUSAND, Some(times));
    }
}
