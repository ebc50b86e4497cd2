//! Feeds inputs found by coverage to one of the harness's targets, named in
//! `TARGET`. Start it with `tests/fuzz/run`; without the counters that the
//! script asks for it finds little.
#![no_main]

use std::env;
use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;

mod harness;
mod seeds;

static TARGET: OnceLock<fn(&[u8])> = OnceLock::new();

fuzz_target!(
    init: {
        let name = env::var("TARGET").unwrap_or_default();
        if name == "words" {
            print!("{}", harness::words());
            std::process::exit(0);
        }
        if let Some(folder) = name.strip_prefix("seeds:") {
            seeds::write(folder.as_ref()).unwrap();
            std::process::exit(0);
        }
        let target = harness::TARGETS.iter().find(|(known, _)| *known == name);
        let known: Vec<&str> = harness::TARGETS.iter().map(|(name, _)| *name).collect();
        let (_, run) = target.unwrap_or_else(|| panic!("TARGET is one of {}", known.join(", ")));
        let _ = TARGET.set(*run);
    },
    |data: &[u8]| {
        if let Some(run) = TARGET.get() {
            run(data);
        }
    }
);
