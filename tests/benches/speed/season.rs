//! A season of hourly blocks in one worksheet, recomputed after a change of what the set burns.

use std::fmt::Write;

use tarebook::number::Number;
use tarebook::report::compose::{Options, report};
use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet};

use crate::Extent;
use crate::clock::{Bounds, Measure, median};

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (rows, repeats) = match extent {
        Extent::Full => (4_000, 51),
        Extent::Glance => (40, 2),
    };
    let text = season(rows);
    let reading = Measure::reading(&text, repeats.min(21));
    let mut sheet = Sheet::load(text, None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems());
    let mut turn = 0;
    let mut before = fuel(&sheet);
    // every turn another value, so that no table made before can serve again
    let recompute = median(repeats, || {
        turn += 1;
        hold(&mut sheet, 4_800_000 + turn);
        let now = fuel(&sheet);
        assert_ne!(now, before);
        before = now;
    });
    bounds.hold_to(
        &format!("{rows} hourly blocks, everything recomputed"),
        recompute,
        reading,
        5.0,
    );
    let whole = median(repeats, || sheet.recompute());
    bounds.hold_to(&format!("{rows} hourly blocks, the same again"), whole, reading, 5.0);
    let told = median(repeats.min(11), || report(&sheet, Options::default()));
    bounds.tell(
        &format!("{rows} hourly blocks, the whole report"),
        told.as_secs_f64() * 1e3,
        "ms",
    );
}

/// Loads of a season by the hour, what each takes, where it comes from and what it costs.
fn season(rows: usize) -> String {
    let mut text = String::from("table season\n  | hours [h] | load [W] | duty [%] | air [°F] |\n");
    for row in 0..rows {
        let load = 300 + (row * 37) % 1400;
        let duty = 40 + (row * 13) % 60;
        let air = (row * 7) % 60;
        let _ = writeln!(text, "  | 1 | {load} | {duty} | {air} |");
    }
    text.push_str("table stock\n  | usable [lb] |\n");
    for row in 0..rows / 4 {
        let _ = writeln!(text, "  | {}.5 |", 12 + row % 7);
    }
    text.push_str(
        "quoted rated = 1800 W
assumed rated_rate = 4.8 lb/h
assumed share = 40 %
assumed price = $3.89/gal
worked rate [lb/h] = rescale_rate(rated_rate, at_load: rated, rated_load: rated, to_load: season.load * season.duty, no_load_share: share)
worked burned [lb] = running_total(rate * season.hours)
worked gives [BTU/h] = vaporization_capacity(12 in, 19.7 in, 40 %, season.air)
worked margin [%] = icing_margin(gives, heat_input(rate))
answer fuel [lb] = fuel_needed(season.hours, season.load, rated, rated_rate, share, season.duty)
answer cost [$] = last(burned) / propane_density(60 °F) * price
answer short_hours = count(season.hours where margin < 0 %)
table plan = swap_plan(season.hours, rate, stock.usable, reserve: 2 lb)
answer swaps = count(plan.starts)
expect min(plan.left) >= 0 lb else \"more cylinders are needed\"
",
    );
    text
}

fn hold(sheet: &mut Sheet, millionths: i64) {
    let cell = sheet.cell("rated_rate").unwrap();
    let rate = Number::from_integer(millionths)
        .div(Number::from_integer(1_000_000))
        .unwrap();
    let held = Held {
        value: HeldValue::Number(rate),
        tolerance: None,
        by: Holder::Trial,
        written: String::new(),
        source: None,
        note: None,
    };
    assert!(sheet.hold(cell, held).len() >= 7);
}

fn fuel(sheet: &Sheet) -> f64 {
    match sheet.reading(sheet.cell("fuel").unwrap()) {
        Reading::Number(fuel) => fuel.to_f64(),
        other => panic!("{other:?}"),
    }
}
