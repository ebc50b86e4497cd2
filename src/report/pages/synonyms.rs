//! Common words for what has a name of its own here: which verbs, words and functions
//! somebody may mean who asks for `runtime` or `refill`.
//!
//! The list is data; each target has a page of its own, which a test holds.
//! Start reading at [`SYNONYMS`] and [`meant`].

/// Words, and what they may mean, the likeliest first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Synonym {
    /// What somebody may ask for, in lower case; several words have one space between them.
    pub words: &'static [&'static str],
    /// The verbs, words of the language and functions meant.
    pub targets: &'static [&'static str],
}

/// Every common word that leads somewhere else.
pub const SYNONYMS: &[Synonym] = &[
    Synonym {
        words: &["sure", "certain", "certainty", "confidence", "confident", "how sure"],
        targets: &["doubt", "k", "±"],
    },
    Synonym {
        words: &[
            "accuracy",
            "accurate",
            "precision",
            "precise",
            "error",
            "margin of error",
        ],
        targets: &["±", "doubt", "k"],
    },
    Synonym {
        words: &["runtime", "run time", "how long", "hours left", "duration"],
        targets: &[
            "net_contents",
            "burn_rate",
            "usable_contents",
            "draw_down_time",
            "swap_plan",
            "time",
        ],
    },
    Synonym {
        words: &[
            "midnight",
            "past midnight",
            "overnight",
            "next day",
            "hour",
            "o'clock",
            "am",
            "pm",
        ],
        targets: &["time", "next_time", "clock", "at", "weekday"],
    },
    Synonym {
        words: &["refill", "refills", "filling", "refilling"],
        targets: &["fill_limit", "net_contents", "fuel_needed", "swap_plan"],
    },
    Synonym {
        words: &["swap", "swaps", "swapping", "change over", "changeover"],
        targets: &["swap_plan", "reaches", "usable_contents", "fuel_needed"],
    },
    Synonym {
        words: &["manifold", "side by side", "in parallel", "together"],
        targets: &["draw_down", "continuous_rate", "icing_margin", "swap_plan"],
    },
    Synonym {
        words: &["night", "nights", "dawn", "dusk", "dark"],
        targets: &["draw_down", "draw_down_time", "swap_plan", "next_time", "frost_point"],
    },
    Synonym {
        words: &["ice", "icing", "ices", "iced", "iced up", "icing up"],
        targets: &["icing_margin", "vaporization_capacity", "frost_point", "draw_down"],
    },
    Synonym {
        words: &["budget", "uncertainty budget", "sensitivity", "contribution"],
        targets: &["doubt", "audit", "sweep"],
    },
    Synonym {
        words: &["simulation", "simulate", "monte carlo", "random"],
        targets: &["draws", "doubt", "draw_down"],
    },
    Synonym {
        words: &["solve", "solver", "goal", "goal seek", "target", "backwards"],
        targets: &["aim", "sweep", "leeway"],
    },
    Synonym {
        words: &["circular", "circle", "cycle", "circular reference"],
        targets: &["loop", "rule-loop"],
    },
    Synonym {
        words: &["cost", "costs", "price", "prices", "dollars", "cents", "expense"],
        targets: &["money", "propane_density", "heat_per_gallon", "fuel_needed"],
    },
    Synonym {
        words: &["noise", "noisy", "loud", "loudness"],
        targets: &["sound_at", "sound_sum", "allowed_exposure", "level"],
    },
    Synonym {
        words: &["cord", "cords", "extension cord", "cable", "wire", "wiring"],
        targets: &["cord_ampacity", "voltage_drop", "wire_resistance", "plug_limit"],
    },
    Synonym {
        words: &["start", "starting", "surge", "inrush", "startup"],
        targets: &["starting_peak", "locked_rotor", "new"],
    },
    Synonym {
        words: &["begin", "beginning", "template", "templates", "example", "examples"],
        targets: &["new", "open"],
    },
    Synonym {
        words: &["scenario", "scenarios", "what if"],
        targets: &["case", "trial", "compare"],
    },
    Synonym {
        words: &[
            "append", "log", "weigh", "reading", "readings", "record", "insert", "new row",
        ],
        targets: &["add", "table", "burn_rate"],
    },
    Synonym {
        words: &["delete", "erase"],
        targets: &["remove", "drop", "undo"],
    },
    Synonym {
        words: &["print", "printout"],
        targets: &["handout", "show"],
    },
    Synonym {
        words: &["graph", "diagram"],
        targets: &["plot", "sweep"],
    },
];

/// What somebody may mean by these words; empty where they are no common ones.
pub fn meant(words: &str) -> &'static [&'static str] {
    let words = words.to_lowercase();
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let found = SYNONYMS.iter().find(|one| one.words.contains(&words.as_str()));
    found.map_or(&[], |one| one.targets)
}
