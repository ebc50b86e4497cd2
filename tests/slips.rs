//! Slips put one at a time into a sound worksheet: each is named with its reason among the
//! first three lines of an audit, and the sound one is accused of nothing. Constants of the
//! trade are those of `tests/data/README.md`; the worksheet is made up.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::report::audit::{Audit, Group};
use tarebook::report::compose::Options;
use tarebook::session::Session;

const SOUND: &str = include_str!("data/audit_sound.tare");

/// How a rate is carried to the load of the house, in the sound worksheet.
const CARRIED: &str =
    "rescale_rate(run_rate, at_load: run_load, rated_load: rated, to_load: load, no_load_share: no_load_share)";

fn audit_of(text: String) -> Audit {
    let mut session = Session::of_text("sheet.tare", text, &[], Options::default());
    session.audit(&|_, _| true).study
}

/// What is put in place of what, and which remarks name it.
type Slipped = (
    &'static str,
    &'static [(&'static str, &'static str)],
    &'static [&'static str],
);

const SLIPS: &[Slipped] = &[
    (
        "kg heat by division",
        &[(
            "worked rate [lb/h] = CARRIED",
            "quoted heat = 21548 BTU/kg from \"table, propane gross\"\nassumed efficiency = 20.5 % from \"leaflet\"\nworked rate [lb/h] = load / efficiency / heat",
        )],
        &["outside-usual"],
    ),
    (
        "net+gross typed",
        &[(
            "worked rate [lb/h] = CARRIED",
            "quoted net_heat = 19920 BTU/lb from \"table, net\"\nquoted gross_heat = 91502 BTU/gal from \"table\"\nworked efficiency [%] = run_load / (run_rate * net_heat)\nworked rate [lb/h] = load / efficiency / gross_heat * 4.23 lb/gal",
        )],
        &["mixed-heat"],
    ),
    (
        "0.8 WC expect",
        &[("expect net_a <= most", "expect net_a <= 0.8 * water_capacity")],
        &["fill-by-volume"],
    ),
    (
        "0.8 WC worked",
        &[("fill_limit(water_capacity)", "80 % * water_capacity")],
        &["fill-by-volume"],
    ),
    (
        "reserve twice",
        &[("= usable / rate", "= (usable - reserve) / rate")],
        &["counted-twice"],
    ),
    (
        "reserve twice literal",
        &[("= usable / rate", "= (usable - 2 lb) / rate")],
        &["counted-twice"],
    ),
    (
        "x1.1",
        &[("= usable / rate", "= usable / (rate * 1.1)")],
        &["on-top-of-tolerance"],
    ),
    (
        "U k=2 sd",
        &[(
            "36.9 lb ± 0.1 lb from \"hanging scale, cylinder A, hose off\"",
            "36.9 lb ± 0.05 lb sd from \"certificate: U = 0.05 lb, k=2, cylinder A\"",
        )],
        &["other-coverage"],
    ),
    (
        "to_load peak",
        &[("to_load: load", "to_load: peak"), ("= cost / load", "= cost / 300 W")],
        &["peak-for-mean"],
    ),
    (
        "sum+max",
        &[(
            "= starting_peak(loads.running, loads.starting)",
            "= sum(loads.running) + max(loads.starting)",
        )],
        &["start-on-top"],
    ),
    (
        "density(air)",
        &[("propane_density(60 °F)", "propane_density(air)")],
        &["other-gallon"],
    ),
    (
        "hose one",
        &[(
            "31.0 lb ± 0.1 lb from \"hanging scale, 18:00, hose off\"",
            "33.1 lb ± 0.1 lb from \"hanging scale, 18:00, hose on\"",
        )],
        &["hose-at-one"],
    ),
    (
        "hose net",
        &[(
            "\"hanging scale, cylinder A, hose off\"",
            "\"hanging scale, cylinder A, hose on\"",
        )],
        &["hose-as-fuel", "more-than-full"],
    ),
    (
        "tare b",
        &[("net_contents(gross_a, tare_a)", "net_contents(gross_a, tare_b)")],
        &["other-cylinder"],
    ),
    (
        "0.25 rate",
        &[
            ("rate / 2,", "0.25 * rate,"),
            (
                "quoted diameter",
                "quoted joined = 2 each from \"manifold, cylinders together\"\nquoted diameter",
            ),
        ],
        &["other-share"],
    ),
    (
        "proportion",
        &[(
            "worked rate [lb/h] = CARRIED",
            "worked rate [lb/h] = run_rate * load / run_load",
        )],
        &["in-proportion"],
    ),
    (
        "proportion disguised",
        &[(
            "worked rate [lb/h] = CARRIED",
            "worked per_watt [lb/Wh] = run_rate / run_load\nworked day [lb/d] = per_watt * load\nworked rate [lb/h] = day",
        )],
        &["in-proportion"],
    ),
    (
        "no-load 0",
        &[("40 % ± 10 %", "0 %")],
        &["in-proportion", "outside-usual"],
    ),
    (
        "exchange full",
        &[
            (
                "measured gross_b   = 33.4 lb ± 0.1 lb from \"hanging scale, cylinder B, hose off\"\n",
                "",
            ),
            (
                "quoted   tare_b    = 17.9 lb ± 0.2 lb from \"collar stamp TW, cylinder B\"\n",
                "",
            ),
            (
                "worked   net_b [lb] = net_contents(gross_b, tare_b)",
                "quoted net_b = 20 lb from \"grill bottle from the store, unopened\"",
            ),
        ],
        &["taken-as-full"],
    ),
    (
        "heat MJ/lb",
        &[(
            "worked rate [lb/h] = CARRIED",
            "quoted heat = 50 MJ/lb from \"table\"\nassumed efficiency = 18 % from \"leaflet\"\nworked rate [lb/h] = load / efficiency / heat",
        )],
        &["outside-usual"],
    ),
    (
        "eff 48",
        &[(
            "worked rate [lb/h] = CARRIED",
            "quoted heat = 21548 BTU/lb from \"table\"\nworked share [%] = 480 W / 1000 W\nworked rate [lb/h] = load / share / heat",
        )],
        &["odd-burn"],
    ),
    (
        "rests twice",
        &[("read while each runs", "mean over a day")],
        &["rests-twice"],
    ),
    (
        "agreement",
        &[(
            "answer runtime",
            "worked other [lb/h] = run_rate + 0.1 lb/h\nanswer agr = normalized_error(run_rate, other)\nanswer runtime",
        )],
        &["shared-input"],
    ),
    (
        "eff 31 brochure seller",
        &[(
            "worked rate [lb/h] = CARRIED",
            "quoted heat = 21548 BTU/lb from \"book\"\nquoted eff = 31 % from \"our brochure\"\nworked rate [lb/h] = load / eff / heat",
        )],
        &["odd-burn", "outside-usual", "in-proportion"],
    ),
    (
        "rate in kg",
        &[(
            "worked   run_rate [lb/h] = (before - after) / run",
            "worked   run_rate [lb/h] = (before - after) / run * 2.2046",
        )],
        &["odd-burn", "outside-usual", "number-in-formula"],
    ),
    (
        "run 4 min",
        &[("run       = 4 h ± 2 min", "run       = 4 min ± 2 s")],
        &["outside-usual", "odd-burn"],
    ),
    (
        "kW load",
        &[("run_load  = 860 W ± 20 W", "run_load  = 8600 W ± 20 W")],
        &["odd-burn"],
    ),
    (
        "3412 wrong",
        &[("cost / load", "cost / load * 1 + 0 * (3214 BTU/kWh)*0 $/kWh")],
        &["odd-conversion"],
    ),
    ("price", &[("$3.60/gal", "$36.0/gal")], &["outside-usual"]),
    ("wc kg", &[("47.7 lb from", "21.6 lb from")], &["more-than-full"]),
    (
        "gross kg",
        &[("gross_a   = 36.9 lb", "gross_a   = 36.9 kg")],
        &["more-than-full", "has-problem"],
    ),
    (
        "load unused",
        &[("to_load: load", "to_load: 300 W"), ("= cost / load", "= cost / 300 W")],
        &["unused"],
    ),
    (
        "eff squared",
        &[(
            "worked rate [lb/h] = CARRIED",
            "quoted heat = 21548 BTU/lb from \"table\"\nassumed eff = 18 % from \"leaflet\"\nworked shaft [BTU/h] = load / eff\nworked rate [lb/h] = shaft / eff / heat",
        )],
        &["counted-twice", "odd-burn"],
    ),
    (
        "nodrawdown",
        &[(
            "answer stalls [h:min] = draw_down_time",
            "worked unused_k [lb/h] = rate\n-- answer stalls [h:min] = draw_down_time",
        )],
        &["no-draw-down"],
    ),
    (
        "imperial gal",
        &[("= rate / density * price", "= rate / (5.08 lb/gal) * price")],
        &["outside-usual", "counted"],
    ),
    (
        "20-lb density",
        &[("propane_density(60 °F)", "3.4 lb/gal")],
        &["outside-usual"],
    ),
    (
        "water in C",
        &[("air = 25 °F", "air = 250 °F")],
        &["outside-usual", "has-problem"],
    ),
    (
        "hours 25",
        &[("| 24          |", "| 240         |")],
        &["outside-usual"],
    ),
];

#[test]
fn a_sound_worksheet_is_accused_of_nothing() {
    let audit = audit_of(SOUND.to_owned());
    let accused = audit.lines.iter().filter(|line| line.group == Group::Slip);
    let accused: Vec<_> = accused.map(|line| (&line.name, &line.remarks)).collect();
    assert!(accused.is_empty(), "{accused:#?}");
}

#[test]
fn each_slip_is_named_among_the_first_three_lines() {
    let mut missed = Vec::new();
    for (name, put, codes) in SLIPS {
        let mut text = SOUND.to_owned();
        for (sound, slipped) in *put {
            let sound = sound.replace("CARRIED", CARRIED);
            assert!(text.contains(&sound), "{name}: nothing reads {sound}");
            text = text.replace(&sound, slipped);
        }
        let audit = audit_of(text);
        let first = audit.lines.iter().take(3).flat_map(|line| &line.remarks);
        let first: Vec<&str> = first.map(|remark| remark.code.as_str()).collect();
        if !codes.iter().any(|code| first.contains(code)) {
            missed.push(format!("{name}: {first:?}"));
        }
    }
    assert!(missed.is_empty(), "{missed:#?}");
}
