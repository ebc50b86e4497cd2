//! Worksheets to measure with, made from a seed so that every run has the same.

use std::fmt::Write as _;

/// A small random number generator (SplitMix64).
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Random {
        Random(seed)
    }

    /// A number below `bound`.
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % bound as u64) as usize
    }
}

/// How many digits the values of a chain get.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Digits {
    /// Up to nine or so.
    Short,
    /// All 28.
    Long,
}

/// One cell of a chain: two operations on the cell before, an earlier one and an input.
#[derive(Clone, Copy)]
pub(crate) struct Link {
    pub kind: usize,
    pub early: usize,
    pub input: usize,
    pub other: usize,
}

/// A long chain of cells over 100 inputs, bounded.
pub(crate) struct Chain {
    pub digits: Digits,
    /// The first 50 are weights, the others plain factors; both in tenths.
    pub inputs: Vec<i64>,
    pub links: Vec<Link>,
}

impl Chain {
    pub(crate) fn new(digits: Digits, entries: usize) -> Chain {
        let mut random = Random::new(11);
        let inputs = (0..100).map(|_| 5 + random.below(990) as i64).collect();
        let links = (0..entries.saturating_sub(100)).map(|place| Link {
            kind: random.below(5),
            early: random.below(place.max(1)),
            input: random.below(50),
            other: random.below(50),
        });
        Chain {
            digits,
            inputs,
            links: links.collect(),
        }
    }

    /// The chain as a worksheet, and ten entries that hang on the input `edge`.
    pub(crate) fn text(&self) -> String {
        let mut text = String::from("# A long chain\n");
        for (place, tenths) in self.inputs.iter().enumerate() {
            let unit = if place < 50 { " lb" } else { "" };
            let _ = writeln!(text, "assumed i{place} = {}.{}{unit}", tenths / 10, tenths % 10);
        }
        for (place, link) in self.links.iter().enumerate() {
            if place == self.links.len() / 2 {
                text.push_str("assumed edge = 37.4 lb ± 0.2 lb from \"hanging scale\"\n");
            }
            let before = match place {
                0 => "i0".to_owned(),
                _ => format!("c{}", place - 1),
            };
            let _ = writeln!(text, "worked c{place} = {}", self.formula(*link, &before, place));
        }
        text.push_str("worked e0 = edge + c0\n");
        for place in 1..10 {
            let _ = writeln!(text, "worked e{place} = e{} * 0.999 + i{place}", place - 1);
        }
        text
    }

    fn formula(&self, link: Link, before: &str, place: usize) -> String {
        let early = match place {
            0 => "i1".to_owned(),
            _ => format!("c{}", link.early),
        };
        let (input, other, factor) = (link.input, link.other, link.other + 50);
        match (self.digits, link.kind) {
            (Digits::Short, 0) => format!("{before} + i{input} - i{other}"),
            (Digits::Short, 1) => format!("max({before}, {early}) - i{input}"),
            (Digits::Short, 2) => format!("i{input} * i{factor} - {before}"),
            (Digits::Short, 3) => format!("i{input} / 8 + {early}"),
            (Digits::Short, _) => format!("{before} - i{input} + i{other}"),
            (Digits::Long, 0) => format!("{before} * 0.9999 + i{input}"),
            (Digits::Long, 1) => format!("{before} / 1.0001 - i{input}"),
            (Digits::Long, 2) => format!("max({before}, {early}) * 0.9999"),
            (Digits::Long, 3) => format!("({before} + {early}) / 2"),
            (Digits::Long, _) => format!("{before} - i{input} * 0.9999"),
        }
    }
}

/// A worksheet of `lines` lines as a household writes them: headings, prose,
/// readings with tolerances and sources, formulas, calls and checks.
pub(crate) fn household(lines: usize) -> String {
    let mut random = Random::new(7);
    let mut text = String::with_capacity(lines * 60);
    text.push_str("# Winter at the ridge house\n");
    let mut group = 0usize;
    let mut written = 1;
    while written + 12 <= lines {
        let from = random.below(group + 1);
        let tenths = random.below(100);
        let _ = write!(
            text,
            "## Night {group}\n\
             > Two nights on the small set; what the scale said.\n\
             measured gross_{group} = {}.{tenths:02} lb ± 0.05 lb from \"hanging scale, hose off\"\n\
             quoted tare_{group} \"stamp\" = 24.6 lb ± 0.2 lb from \"collar stamp\"\n\
             assumed price_{group} = $3.{tenths:02}/gal\n\
             assumed hours_{group} = 2 h {} min\n\
             \n\
             worked fuel_{group} [lb] = net_contents(gross_{group}, tare_{group})\n\
             worked rate_{group} [lb/h] = (fuel_{group} + fuel_{from}) / (hours_{group} * 6) -- slow\n\
             worked cost_{group} [$/h] = rate_{group} / propane_density(60 °F) * price_{group}\n\
             answer drop_{group} [V] = voltage_drop(12 A, awg: 12, one_way: {} ft)\n\
             expect fuel_{group} <= 60 lb and rate_{group} > 0 lb/h else \"weigh again\"\n",
            40 + random.below(20),
            random.below(60),
            20 + random.below(80),
        );
        written += 12;
        group += 1;
    }
    for line in written..lines {
        let _ = writeln!(text, "-- line {line}");
    }
    text
}
