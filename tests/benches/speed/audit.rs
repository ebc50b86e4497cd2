//! A whole audit: every input of a worksheet of 1 000 entries moved both ways.

use std::fmt::Write as _;
use std::sync::atomic::{AtomicUsize, Ordering};

use tarebook::sheet::Sheet;
use tarebook::study::Unwatched;
use tarebook::study::audit::audit;

use crate::Extent;
use crate::clock::{Bounds, median};
use crate::sheets::{Chain, Digits, household};

pub fn run(extent: Extent, bounds: &mut Bounds) {
    let (entries, repeats) = match extent {
        Extent::Full => (1_000, 51),
        Extent::Glance => (200, 1),
    };
    // answers along the chain, so that every input reaches some
    let mut text = Chain::new(Digits::Short, entries).text();
    for place in (50..entries - 100).step_by(entries / 10) {
        let _ = writeln!(text, "answer a{place} = c{place}");
    }
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
    bounds.hold_millis("an audit of 1 000 entries with 100 inputs, all connected", time, 50.0);
    let sheet = Sheet::load(household(entries), None);
    let time = median(repeats, || audit(&sheet, &Unwatched));
    bounds.hold_millis("an audit of a household's 1 000 lines", time, 50.0);
}
