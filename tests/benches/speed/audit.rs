//! A whole audit: every input of a worksheet of 1 000 entries moved both ways.

use std::fmt::Write as _;
use std::sync::atomic::{AtomicUsize, Ordering};

use tarebook::sheet::Sheet;
use tarebook::study::Unwatched;
use tarebook::study::audit::{audit, likely_slips};

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits, household};

/// The worksheet that slips are put into.
const SOUND: &str = include_str!("../../data/audit_sound.tare");

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (entries, repeats) = match extent {
        Extent::Full => (1_000, 51),
        Extent::Glance => (200, 1),
    };
    // answers along the chain, so that every input reaches some
    let mut text = Chain::new(Digits::Short, entries).text();
    for place in (50..entries - 100).step_by(entries / 10) {
        let _ = writeln!(text, "answer a{place} = c{place}");
    }
    let loading = loading(&text, repeats);
    let sheet = Sheet::load(text, None);
    assert!(!sheet.has_problems());
    let heard = AtomicUsize::new(0);
    let time = median(repeats, || {
        audit(&sheet, &|_: usize, of: usize| {
            heard.store(of, Ordering::Relaxed);
            true
        })
    });
    assert_eq!(heard.into_inner(), 101);
    bounds.hold_to(
        "an audit of 1 000 entries with 100 inputs, all connected",
        time,
        loading,
        20.0,
    );
    for lines in [entries, 200] {
        let text = household(lines);
        let sheet = Sheet::load(text.clone(), None);
        let time = median(repeats, || audit(&sheet, &Unwatched));
        let what = format!("an audit of a household's {lines} lines");
        bounds.hold_to(&what, time, self::loading(&text, repeats), 20.0);
    }
    with_a_draw_down(repeats, bounds);
}

fn loading(text: &str, repeats: usize) -> Measure {
    Measure {
        what: "loading it",
        time: median(repeats, || Sheet::load(text.to_owned(), None)),
    }
}

/// A sound worksheet of a household.
fn with_a_draw_down(repeats: usize, bounds: &mut Bounds) {
    let sheet = Sheet::load(SOUND.to_owned(), None);
    let time = median(repeats, || audit(&sheet, &Unwatched));
    let slips = median(repeats, || likely_slips(&sheet));
    bounds.tell("an audit of 60 lines with a draw-down", time.as_secs_f64() * 1e3, "ms");
    bounds.tell("  of which looking for slips", slips.as_secs_f64() * 1e3, "ms");
}
