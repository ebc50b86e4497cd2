//! How fast worksheets load, compute, change and fail.
//!
//! `cargo bench --bench speed` prints every figure beside the bound it has to keep;
//! ratios compare two things timed in the same run, so that they hold on other
//! machines. `cargo bench --bench speed -- load` runs one group only, and a group
//! that misses a bound ends the run with exit code 1. Without `--bench` (as under
//! `cargo test --benches`) everything runs once on small worksheets.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::print_stderr,
    missing_docs
)]

mod audit;
mod clock;
mod draw_down;
mod draws;
mod edit;
mod handout;
mod hostile;
mod keystroke;
mod load;
mod program;
mod recompute;
mod season;
mod sheets;
mod studies;

use std::process::ExitCode;

use clock::Bounds;

/// How much is asked of a run.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// Everything, in full size.
    Full,
    /// Everything once, on small worksheets.
    Glance,
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let Some(at) = arguments.iter().position(|argument| argument == load::MEMORY) {
        load::memory_child(&arguments[at + 1..]);
        return ExitCode::SUCCESS;
    }
    if arguments.iter().any(|argument| argument == draws::MEMORY) {
        draws::memory_child();
        return ExitCode::SUCCESS;
    }
    let extent = if arguments.iter().any(|argument| argument == "--bench") {
        Extent::Full
    } else {
        Extent::Glance
    };
    let asked: Vec<&String> = arguments.iter().filter(|argument| !argument.starts_with('-')).collect();
    let mut bounds = Bounds::default();
    if extent == Extent::Full {
        clock::warm_up();
    }
    for (name, run) in [
        ("recompute", recompute::run as fn(Extent, &mut Bounds)),
        ("edit", edit::run),
        ("load", load::run),
        ("program", program::run),
        ("hostile", hostile::run),
        ("keystroke", keystroke::run),
        ("draws", draws::run),
        ("studies", studies::run),
        ("draw_down", draw_down::run),
        ("season", season::run),
        ("audit", audit::run),
        ("handout", handout::run),
    ] {
        if asked.is_empty() || asked.iter().any(|word| *word == name) {
            println!("\n{name}");
            run(extent, &mut bounds);
        }
    }
    bounds.verdict(extent)
}
