//! Draws: the program over blocks, against the same loop written by hand over arrays.

use std::fmt::Write as _;
use std::time::Duration;

use tarebook::sheet::Sheet;
use tarebook::sheet::lanes::vector::WIDTH;
use tarebook::study::Unwatched;
use tarebook::study::draws::{Asked, draw};

use crate::Extent;
use crate::clock::{Bounds, Measure, median, medians_in_turn};
use crate::sheets::Random;

/// How much longer than the hand-written loop the blocks may take.
const BOUND: f64 = 1.5;
const INPUTS: usize = 30;
const ENTRIES: usize = 200;

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (draws, many, repeats) = match extent {
        Extent::Full => (10_000, 1_000_000, 41),
        Extent::Glance => (500, 2_000, 1),
    };
    let worked = Worked::new(ENTRIES - INPUTS);
    let sheet = Sheet::load(worked.text(), None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems().first());
    let by_hand = against_hand(&worked, &sheet, draws, repeats, bounds);
    let hand = by_hand.times(many as f64 / draws as f64);
    with_drawing(&sheet, (draws, many), repeats, hand, bounds);
    if extent == Extent::Full {
        memory(bounds);
    }
}

/// Entries of one operation each over toleranced inputs.
struct Worked {
    links: Vec<(usize, usize)>,
}

const KINDS: usize = 5;

impl Worked {
    fn new(count: usize) -> Worked {
        let mut random = Random::new(23);
        let links = (0..count).map(|_| (random.below(KINDS), random.below(INPUTS)));
        Worked { links: links.collect() }
    }

    fn text(&self) -> String {
        let mut text = String::new();
        for input in 0..INPUTS {
            let _ = writeln!(text, "assumed i{input} = {}.{} ± 0.2 sd", 1 + input % 3, input % 10);
        }
        let mut before = "i0".to_owned();
        for (place, (kind, input)) in self.links.iter().enumerate() {
            let formula = match kind {
                0 => format!("{before} + i{input}"),
                1 => format!("{before} - i{input}"),
                2 => format!("{before} * 0.99"),
                3 => format!("{before} / 1.01"),
                _ => format!("max({before}, i{input})"),
            };
            let kind = if place + 1 == self.links.len() {
                "answer"
            } else {
                "worked"
            };
            let _ = writeln!(text, "{kind} c{place} = {formula}");
            before = format!("c{place}");
        }
        text
    }

    /// One block by hand: arrays of the same width, each entry once over all of it.
    fn by_hand(&self, inputs: &[[f64; WIDTH]], values: &mut [[f64; WIDTH]]) {
        for (place, (kind, input)) in self.links.iter().enumerate() {
            let (done, open) = values.split_at_mut(place);
            let before = done.last().unwrap_or(&inputs[0]);
            let (input, out) = (&inputs[*input], &mut open[0]);
            let all = out.iter_mut().zip(before).zip(input);
            match kind {
                0 => all.for_each(|((out, before), input)| *out = before + input),
                1 => all.for_each(|((out, before), input)| *out = before - input),
                2 => all.for_each(|((out, before), _)| *out = before * 0.99),
                3 => all.for_each(|((out, before), _)| *out = before / 1.01),
                _ => all.for_each(|((out, before), input)| *out = if input > before { *input } else { *before }),
            }
        }
    }
}

fn against_hand(worked: &Worked, sheet: &Sheet, draws: usize, repeats: usize, bounds: &mut Bounds) -> Measure {
    let cell = sheet.cell(&format!("c{}", worked.links.len() - 1)).unwrap();
    let plan = sheet.lanes(&[cell]);
    let mut worker = plan.worker();
    let mut random = Random::new(5);
    let mut deviate = || (random.below(2_000_001) as f64 / 1e6 - 1.0) * 1.7;
    let deviates: Vec<Vec<Vec<f64>>> = plan
        .sources()
        .iter()
        .map(|_| vec![(0..draws).map(|_| deviate()).collect()])
        .collect();
    let mut means = (0.0, 0.0);
    let mut over_blocks = || {
        let mut sum = 0.0;
        let mut from = 0;
        while from < draws {
            let count = plan.block().min(draws - from);
            worker.run(&deviates, from, count);
            let (lane, failed) = worker.found(0);
            assert!(!failed.any());
            sum += lane.iter().take(count).sum::<f64>();
            from += count;
        }
        means.0 = sum / draws as f64;
    };
    let mut inputs = vec![[0.0; WIDTH]; INPUTS];
    let mut values = vec![[0.0; WIDTH]; worked.links.len()];
    let nominal: Vec<f64> = (0..INPUTS)
        .map(|input| (1 + input % 3) as f64 + (input % 10) as f64 / 10.0)
        .collect();
    let order: Vec<usize> = (0..INPUTS)
        .map(|input| {
            let name = format!("i{input}");
            let place = plan.sources().iter().position(|source| source.stream == name);
            place.unwrap_or(usize::MAX)
        })
        .collect();
    let mut by_hand = || {
        let mut sum = 0.0;
        let mut from = 0;
        while from < draws {
            let count = WIDTH.min(draws - from);
            for (input, lane) in inputs.iter_mut().enumerate() {
                let Some(deviates) = deviates.get(order[input]) else {
                    continue;
                };
                for (value, deviate) in lane.iter_mut().zip(&deviates[0][from..from + count]) {
                    *value = nominal[input] + 0.2 * deviate;
                }
            }
            worked.by_hand(&inputs, &mut values);
            sum += values.last().unwrap().iter().take(count).sum::<f64>();
            from += count;
        }
        means.1 = sum / draws as f64;
    };
    let (blocks, hand) = medians_in_turn(repeats, &mut over_blocks, &mut by_hand);
    assert!((means.0 - means.1).abs() < 1e-9, "{means:?}");
    let each = |time: Duration| time.as_secs_f64() * 1e9 / (draws * ENTRIES) as f64;
    bounds.tell("an entry and draw, over blocks", each(blocks), "ns");
    bounds.tell("an entry and draw, by hand over arrays", each(hand), "ns");
    bounds.hold("blocks to hand-written", each(blocks) / each(hand), "×", BOUND);
    Measure {
        what: "as many by hand over arrays, one thread, drawn before",
        time: hand,
    }
}

fn with_drawing(sheet: &Sheet, (draws, many): (usize, usize), repeats: usize, hand: Measure, bounds: &mut Bounds) {
    let cell = sheet.cell(&format!("c{}", ENTRIES - INPUTS - 1)).unwrap();
    let drawn = |count: usize| draw(sheet, cell, Asked { count, seed: 1 }, &Unwatched);
    let few = median(repeats, || drawn(draws));
    bounds.tell(
        &format!("{draws} draws with drawing and figures"),
        few.as_secs_f64() * 1e3,
        "ms",
    );
    let all = median(repeats.min(5), || drawn(many));
    bounds.hold_to(&format!("{many} draws with drawing and figures"), all, hand, 4.0);
}

/// The word that makes this program draw in a process of its own, to see what it takes.
pub(crate) const MEMORY: &str = "--memory-of-draws";

/// Draws a million times and prints the most bytes that the process ever had.
pub(crate) fn memory_child() {
    let worked = Worked::new(ENTRIES - INPUTS);
    let sheet = Sheet::load(worked.text(), None);
    let cell = sheet.cell(&format!("c{}", ENTRIES - INPUTS - 1)).unwrap();
    let draws = draw(
        &sheet,
        cell,
        Asked {
            count: 1_000_000,
            seed: 1,
        },
        &Unwatched,
    );
    assert_eq!(draws.count, 1_000_000);
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    if let Some(kilobytes) = peak.and_then(|text| text.split_whitespace().next()) {
        println!("{kilobytes}");
    }
}

/// What a million draws take at most, where the system tells.
fn memory(bounds: &mut Bounds) {
    let program = std::env::current_exe().unwrap();
    let Ok(output) = std::process::Command::new(program).arg(MEMORY).output() else {
        return;
    };
    if let Ok(kilobytes) = String::from_utf8_lossy(&output.stdout).trim().parse::<f64>() {
        bounds.hold(
            "1000000 draws, the whole process at its largest",
            kilobytes / 1024.0,
            "MiB",
            200.0,
        );
    }
}
