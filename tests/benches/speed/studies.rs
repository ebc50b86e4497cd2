//! Studies of larger worksheets: a budget of 1 000 entries, a sweep of 10 000 points.

use std::fmt::Write as _;

use tarebook::report::compose::doubt::{Drawing, doubt};
use tarebook::report::compose::{Options, vary};
use tarebook::sheet::Sheet;
use tarebook::study::Unwatched;
use tarebook::study::vary::{Varied, number_of};

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits, Random};

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (entries, points, repeats) = match extent {
        Extent::Full => (1_000, 10_000, 15),
        Extent::Glance => (200, 50, 1),
    };
    budget(entries, repeats, bounds);
    sweep(points, repeats, bounds);
}

/// Every input with a tolerance; the answer rests on all of them.
fn budget(entries: usize, repeats: usize, bounds: &mut Bounds) {
    let mut text = String::new();
    for line in Chain::new(Digits::Long, entries).text().lines() {
        let given = line.starts_with("assumed i") && !line.contains('±');
        let tolerance = if line.ends_with("lb") { " ± 1 %" } else { " ± 0.01" };
        let _ = writeln!(text, "{line}{}", if given { tolerance } else { "" });
    }
    let _ = writeln!(text, "answer last = c{}", entries - 101);
    let reading = Measure::reading(&text, repeats);
    let sheet = Sheet::load(text, None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems().first());
    let cell = sheet.cell("last").unwrap();
    let time = median(repeats, || {
        doubt(&sheet, cell, Drawing::default(), &Unwatched, Options::default())
    });
    let what = format!("a doubt of {entries} entries with 100 inputs, drawn too");
    bounds.hold_to(&what, time, reading, 20.0);
}

/// 200 entries, all of which move with the input.
fn sweep(points: usize, repeats: usize, bounds: &mut Bounds) {
    let mut random = Random::new(3);
    let mut text = String::from("assumed x = 5 lb\n");
    let mut before = "x".to_owned();
    let kinds: Vec<usize> = (0..198).map(|_| random.below(4)).collect();
    for (place, kind) in kinds.iter().enumerate() {
        let formula = match kind {
            0 => format!("{before} + x"),
            1 => format!("{before} - 0.5 * x"),
            2 => format!("{before} * 0.99"),
            _ => format!("{before} / 1.01"),
        };
        let _ = writeln!(text, "worked c{place} = {formula}");
        before = format!("c{place}");
    }
    let _ = writeln!(text, "answer y = {before} + 1 lb");
    let sheet = Sheet::load(text, None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems().first());
    let (input, cell) = (sheet.cell("x").unwrap(), sheet.cell("y").unwrap());
    let values: Vec<_> = (0..i64::try_from(points).unwrap())
        .map(|point| tarebook::number::Number::from_parts(i128::from(point), 3).unwrap())
        .collect();
    let time = median(repeats, || {
        let mut varied = Varied::new(&sheet, input);
        let found: Vec<_> = values.iter().map(|value| number_of(varied.at(*value), cell)).collect();
        found
    });
    bounds.tell(
        &format!("{points} points of 200 entries, exactly, values alone"),
        time.as_secs_f64() * 1e3,
        "ms",
    );
    let time = median(repeats.min(5), || {
        vary::sweep(&sheet, input.into(), &values, &Unwatched, Options::default())
    });
    let hand = Measure {
        what: "the same by hand in binary numbers",
        time: median(repeats, || by_hand(&kinds, points)),
    };
    bounds.hold_to(&format!("a sweep of {points} points, 200 entries"), time, hand, 10.0);
}

/// Point after point, as anybody would write it first.
fn by_hand(kinds: &[usize], points: usize) -> Vec<f64> {
    let worked = |point: usize| {
        let x = point as f64 / 1000.0;
        let step = |before: f64, kind: &usize| match kind {
            0 => before + x,
            1 => before - 0.5 * x,
            2 => before * 0.99,
            _ => before / 1.01,
        };
        kinds.iter().fold(x, step) + 1.0
    };
    (0..points).map(worked).collect()
}
