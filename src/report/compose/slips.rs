//! Slips in words: what stands there, what the trade has instead, and what mending it would do.
//!
//! Start reading at [`told`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::study::audit::{LESS, Mended, OutBy, Slip};
use crate::text::listed;
use crate::trade::yardsticks::Yardstick;

use super::Options;
use super::vary::shown_number;

/// What a slip is, in a sentence or two.
pub(super) fn told(sheet: &Sheet, slip: &Slip) -> String {
    let at = |cell: CellId| place(sheet, cell);
    match slip {
        Slip::Outside(known, value, out) => {
            let what = match known.what.starts_with("what ") {
                true => known.what.to_owned(),
                false => format!("what {} comes to", known.what),
            };
            let head = format!(
                "{} is outside {}, {what} ({}, {}).",
                shown(*value, known.unit),
                ranges(known),
                known.source.title,
                known.source.standing.word()
            );
            match out {
                Some(OutBy::Ratio(ratio)) => format!("{head} It is out by {}, {}.", digits(ratio.of, 4), ratio.what),
                Some(OutBy::TurnedOver(right)) => {
                    format!(
                        "{head} It looks upside down: turned over it is {}.",
                        shown(*right, known.unit)
                    )
                }
                None => head,
            }
        }
        Slip::Conversion(unit, right) => {
            format!("A conversion that isn't one: it takes {} {unit}.", digits(*right, 6))
        }
        Slip::Bare(number, ratio) => format!(
            "{} is about the {} or one over it; units convert by themselves, so it counts once too often.",
            digits(*number, 5),
            ratio.what
        ),
        Slip::Efficiency(share, load) => format!(
            "At {} this gives {} % of the net heat as electricity; small sets give 3 to 30 %, and 20 % at a good load \
             (common practice).",
            at(*load),
            digits(share * 100.0, 3)
        ),
        Slip::FillByVolume(capacity) => format!(
            "About 80 % of {} is by weight of water; 80 % is the fill by volume. By weight the law allows 42 % (49 CFR \
             173.304a).",
            at(*capacity)
        ),
        Slip::Overfull(share, capacity) => format!(
            "It is {} % of {}, where the law allows 42 %: overfilled, or something else hung on the scale.",
            digits(share * 100.0, 3),
            at(*capacity)
        ),
        Slip::CapacityAsFuel(capacity) => format!(
            "{} is the weight of water that the cylinder holds; of propane the law allows 42 % of that.",
            at(*capacity)
        ),
        Slip::Shell(times, tare) => format!(
            "It is {} times {}; of portable cylinders it is 1.4 to 5 times (stamps of 5- to 420-lb shells, from memory). \
             One of the two may be another cylinder's, or in another unit.",
            digits(*times, 2),
            at(*tare)
        ),
        Slip::Habit(habit, Some(other)) => format!("{} See {}.", habit.told, at(*other)),
        Slip::Habit(habit, None) => habit.told.to_owned(),
        Slip::OtherCylinder(weighed, tare) => format!(
            "{} and {} are of two cylinders, by what their lines say.",
            at(*weighed),
            at(*tare)
        ),
        Slip::HoseMixed(on, off) => format!(
            "By their lines, hose and regulator hung on the scale at {} and not at {}: they weigh 1 to 3 lb (common \
             practice), which counts as fuel here.",
            at(*on),
            at(*off)
        ),
        Slip::HoseAsFuel(tare) => format!(
            "It was weighed with hose and regulator on, and {} has neither: they weigh 1 to 3 lb (common practice), \
             which counts as fuel here. 2 lb were taken off to see.",
            at(*tare)
        ),
        Slip::Twice(what, first) => format!("{} is counted here, and already in {}.", at(*what), at(*first)),
        Slip::FactorTwice(factor, first) => format!(
            "A factor of {} is multiplied in here, and already in {}.",
            digits(*factor, 5),
            at(*first)
        ),
        Slip::TaxedAlready(price) => format!("By its line {} has the tax in it, which is added here.", at(*price)),
        Slip::BothWays(function) => {
            format!("{function} counts the cord there and back by itself; here its length is doubled before.")
        }
        Slip::OneWay => "Current flows there and back: volts are lost on both wires, so the length counts twice, see \
                         voltage_drop."
            .to_owned(),
        Slip::OnTop(factor) => format!(
            "A margin of {} on top of values that have a ±: what they may be out by counts twice. Keep one of them.",
            digits(*factor, 3)
        ),
        Slip::Coverage(says, taken) => format!("The source tells {says}, and the ± is taken for {taken}."),
        Slip::OtherShare(share, count) => format!(
            "It takes {} of the whole, and {} says how many share it.",
            digits(*share, 3),
            at(*count)
        ),
        Slip::PeakCarried(peak, mean) => match mean {
            Some(mean) => format!(
                "{} is the most that is drawn, and goes on as if it lasted; {} is there.",
                at(*peak),
                at(*mean)
            ),
            None => format!("{} is the most that is drawn, and goes on as if it lasted.", at(*peak)),
        },
        Slip::StartOnTop => "Starting watts are all that a motor takes while it starts, and what it takes running is \
                             already in the sum: see starting_peak."
            .to_owned(),
        Slip::StartsLeftOut(step, surge) => format!(
            "Its table has what each load takes at the start, and no line uses it: with all running and the hardest one \
             starting it comes to {} W, and {} is what the set gives for that.",
            digits(*step, 4),
            at(*surge)
        ),
        Slip::RestsTwice => "Its watts are said to be a mean, which knows of the hours it rests, and are multiplied \
                             by hours of use: it rests twice. A mean goes with 24 hours."
            .to_owned(),
        Slip::SharedReadings(table) => {
            let table = sheet.tables().get(*table as usize);
            let place = table.map_or_else(String::new, |table| sheet.standing_at(table.item));
            format!("Both sides are made of the readings of {place}, so they agree in them whatever they are.")
        }
        Slip::SharedAgreement(input) => format!(
            "Both sides rest on {}, so they agree in it whatever it is: agreement says nothing of that.",
            at(*input)
        ),
        Slip::OtherUnit(said, unit) => format!("Its source speaks of {said}, and it is written in {unit}."),
        Slip::Swapped(from, to) => format!(
            "The rate was weighed at {}, and is carried to {}: the two loads look swapped.",
            at(*to),
            at(*from)
        ),
        Slip::LeftOut(sibling) => format!(
            "No answer rests on it, and one does on {}: is a cylinder left out?",
            at(*sibling)
        ),
        Slip::OneForAll(fuel, share) => format!(
            "{} is in several cylinders, and {} is what one of them gives: both for one, or both for all.",
            at(*fuel),
            at(*share)
        ),
        Slip::OtherRating(said) => {
            format!(
                "Its line speaks of {said}; what counts is the running rating on propane, 85 to 90 % of that (common \
                 practice). {:.0} % of it was taken to see.",
                100.0 * LESS
            )
        }
        Slip::RoundedDown => "Rounded down, what must be there is one short: round up.".to_owned(),
        Slip::HeatAsPower(heat) => format!(
            "Pounds times {} are heat; of that a set gives 8 to 25 % as electricity (common practice).",
            at(*heat)
        ),
        Slip::OtherGallon => {
            "Propane is sold by the gallon at 60 °F; this takes the density of another temperature.".to_owned()
        }
    }
}

/// More answers than these are counted.
const NAMED: usize = 3;

/// `Mended, runtime is 31 h and not 156 h, and cost is $1.40/h and not $1.12/h.`
pub(super) fn mended(sheet: &Sheet, mended: &Mended) -> String {
    let name = |answer| sheet.name_of(answer).unwrap_or("the answer");
    let is = |answer, before, after| {
        let said = |value| shown_number(sheet, answer, value, Options { digits: 3 });
        format!("{} is {} and not {}", name(answer), said(after), said(before))
    };
    let others = match mended.others.as_slice() {
        [] => String::new(),
        [(answer, before, after)] => format!(", and {}", is(*answer, *before, *after)),
        others if others.len() <= NAMED => {
            let names = others.iter().map(|(answer, ..)| name(*answer));
            format!("; it moves {} too", listed(&names.collect::<Vec<&str>>()))
        }
        others => format!("; it moves {} more answers", others.len()),
    };
    let most = is(mended.answer, mended.before, mended.after);
    format!("Mended, {most}{others}.")
}

/// `tare (line 12)`
pub(super) fn place(sheet: &Sheet, cell: CellId) -> String {
    let place = sheet.standing_at(sheet.item_of(cell));
    match sheet.name_of(cell) {
        Some(name) => format!("{name} ({place})"),
        None => place,
    }
}

fn digits(value: f64, significant: u32) -> String {
    let number = Number::from_f64(value).ok();
    number.map_or_else(
        || "?".to_owned(),
        |number| number.round_significant(significant).to_plain(),
    )
}

fn shown(value: f64, unit: &str) -> String {
    match unit {
        "" => format!("{} %", digits(value * 100.0, 3)),
        unit => format!("{} {unit}", digits(value, 4)),
    }
}

fn ranges(known: &Yardstick) -> String {
    let each = known.ranges.iter().map(|(low, high, word)| {
        let scale = if known.unit.is_empty() { 100.0 } else { 1.0 };
        let range = format!("{} to {}", digits(low * scale, 5), digits(high * scale, 5));
        if word.is_empty() {
            range
        } else {
            format!("{range} {word}")
        }
    });
    let unit = if known.unit.is_empty() { "%" } else { known.unit };
    let each: Vec<String> = each.collect();
    match each.as_slice() {
        // vapor and liquid
        [_, _, net, gross] => format!("{net} and {gross} {unit}"),
        each => format!("{} {unit}", each.join(" and ")),
    }
}
