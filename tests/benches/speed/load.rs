//! Loading: parse, check, lower and run, in time and memory a line.

use std::collections::HashMap;
use std::process::Command;

use tarebook::sheet::Sheet;

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits, household};

/// Asks this program, started again, how much memory a worksheet of so many lines takes.
pub(crate) const MEMORY: &str = "--memory";

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let sizes: &[(usize, usize)] = match extent {
        Extent::Full => &[(1_000, 21), (10_000, 11), (100_000, 5), (1_000_000, 3)],
        Extent::Glance => &[(1_000, 1)],
    };
    for (lines, repeats) in sizes {
        for (what, text) in [
            ("household", household(*lines)),
            ("chain", Chain::new(Digits::Short, *lines).text()),
        ] {
            let counting = Measure {
                what: "counting its words by hand",
                time: median(*repeats, || words(&text)),
            };
            let reading = Measure::reading(&text, *repeats);
            let loading = median(*repeats, || Sheet::load(text.clone(), None));
            bounds.hold_to(
                &format!("{what} of {lines} lines: reading alone"),
                reading.time,
                counting,
                20.0,
            );
            bounds.hold_to(&format!("{what} of {lines} lines: loading"), loading, reading, 3.0);
            let each = loading.as_secs_f64() * 1e6 / *lines as f64;
            bounds.tell(&format!("{what} of {lines} lines: loading, a line"), each, "µs");
        }
    }
    let lines = sizes.last().map_or(1_000, |(lines, _)| *lines);
    let sheet = Sheet::load(household(lines), None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems().first());
    let start = std::time::Instant::now();
    drop(sheet);
    bounds.tell(
        &format!("household of {lines} lines: drop, a line"),
        start.elapsed().as_secs_f64() * 1e6 / lines as f64,
        "µs",
    );
    if let Some(bytes) = memory_of(lines) {
        bounds.hold(
            &format!("household of {lines} lines: memory, a line"),
            bytes / lines as f64,
            "bytes",
            1000.0,
        );
    }
}

/// How often each word stands in a text.
fn words(text: &str) -> HashMap<&str, u32> {
    let mut counts = HashMap::new();
    let words = text.split(|c: char| !c.is_alphanumeric() && c != '_');
    words.for_each(|word| *counts.entry(word).or_default() += 1);
    counts
}

/// Bytes that a worksheet takes in a fresh process; `None` where the system doesn't tell.
fn memory_of(lines: usize) -> Option<f64> {
    let program = std::env::current_exe().ok()?;
    let output = Command::new(program).arg(MEMORY).arg(lines.to_string()).output().ok()?;
    String::from_utf8(output.stdout).ok()?.trim().parse().ok()
}

/// Loads a worksheet and prints how many bytes more the process has after it than before.
pub(crate) fn memory_child(arguments: &[String]) {
    let lines = arguments.first().and_then(|lines| lines.parse().ok()).unwrap_or(1_000);
    let text = household(lines);
    let before = resident();
    let sheet = Sheet::load(text, None);
    if let (Some(before), Some(after)) = (before, resident()) {
        println!("{}", after.saturating_sub(before));
    }
    drop(sheet);
}

/// The pages of this process in memory, in bytes of 4096 a page.
fn resident() -> Option<u64> {
    let pages = std::fs::read_to_string("/proc/self/statm").ok()?;
    pages
        .split_whitespace()
        .nth(1)?
        .parse::<u64>()
        .ok()
        .map(|pages| pages * 4096)
}
