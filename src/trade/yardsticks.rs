//! What quantities of the trade come to, in whatever unit and form they are written.
//!
//! An auditor holds other people's numbers against these. A yardstick fits what its unit
//! measures, and where that says too little what the line says of itself. Start
//! reading at [`YARDSTICKS`]; [`RATIOS`] are what a slip of units is out by.

use super::Source;
use super::declare::{USUAL, practice, published, remembered};

/// A range that a quantity of the trade lies in, and where that comes from.
pub struct Yardstick {
    /// What is measured, as it stands in a sentence.
    pub what: &'static str,
    /// The unit of the ranges; empty for a plain number or a share.
    pub unit: &'static str,
    /// The ranges, each with the word that tells it from the others.
    pub ranges: &'static [(f64, f64, &'static str)],
    /// One of these words has to be said; none where the unit alone tells.
    pub words: &'static [&'static str],
    /// None of these may be said.
    pub not: &'static [&'static str],
    /// Whether numbers inside formulas are held against it too.
    pub inside: bool,
    /// Where the ranges come from.
    pub source: Source,
}

impl Yardstick {
    /// Whether it is how much a liquid weighs for its volume.
    pub(crate) fn of_liquid(&self) -> bool {
        matches!(self.unit, "lb/gal" | "gal/lb")
    }
}

impl std::fmt::Debug for Yardstick {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.what)
    }
}

/// Fuels whose heat is another's.
const OTHER_FUELS: &[&str] = &[
    "gasoline", "petrol", "diesel", "natural", "methane", "butane", "wood", "pellet", "oil", "kerosene", "coal",
    "ethanol", "e10", "e0", "e85", "unleaded",
];

/// Heats that aren't propane's heat of burning: those fuels', and that of boiling.
const NO_BURNING: &[&str] = &[
    "gasoline",
    "petrol",
    "diesel",
    "natural",
    "methane",
    "butane",
    "wood",
    "pellet",
    "oil",
    "kerosene",
    "coal",
    "ethanol",
    "e10",
    "e0",
    "e85",
    "unleaded",
    "boil",
    "boils",
    "boiling",
    "latent",
    "vaporizing",
    "vaporization",
    "vaporize",
    "evaporating",
    "evaporation",
];

/// What a density of liquid propane is told by.
const LIQUID: &[&str] = &["propane", "liquid", "density", "lp"];

/// What else has a density, and what propane is as vapor.
const OTHER_LIQUIDS: &[&str] = &[
    "water", "vapor", "vapour", "carbon", "co2", "dioxide", "gasoline", "petrol", "diesel", "butane", "oil",
    "kerosene", "ethanol", "e10", "e0", "e85", "unleaded",
];

const DENSITIES: Source = published("tables of propane: 4.2 lb/gal at 60 °F, 4.7 at −40 °F, 3.8 at 120 °F");

const fn of(what: &'static str, unit: &'static str, ranges: &'static [(f64, f64, &'static str)]) -> Yardstick {
    Yardstick {
        what,
        unit,
        ranges,
        words: &[],
        not: &[],
        inside: false,
        source: USUAL,
    }
}

/// Every yardstick; of several that fit a line the first is taken.
pub(crate) static YARDSTICKS: [Yardstick; 29] = [
    Yardstick {
        words: &[
            "latent",
            "boil",
            "boils",
            "boiling",
            "vaporizing",
            "vaporization",
            "vaporize",
            "evaporating",
            "evaporation",
        ],
        not: &["water"],
        source: remembered("tables of propane: 184 BTU/lb at -44 °F, 147 at 70 °F, 110 at 130 °F"),
        ..of("the heat that boils propane", "BTU/lb", &[(100.0, 200.0, "")])
    },
    Yardstick {
        not: NO_BURNING,
        inside: true,
        source: published("tables of heating values: propane 21 500 to 21 600 BTU/lb gross, 19 770 to 19 950 net"),
        ..of(
            "the heat of a weight of propane",
            "BTU/lb",
            &[(19_600.0, 20_050.0, "net"), (21_300.0, 21_750.0, "gross")],
        )
    },
    Yardstick {
        not: OTHER_FUELS,
        inside: true,
        source: published("tables of heating values: propane 90 800 to 91 700 BTU/gal, 2490 to 2520 BTU/ft3 gross"),
        ..of(
            "the heat of a volume of propane",
            "BTU/gal",
            &[
                (300.0, 317.0, "net"),
                (325.0, 343.0, "gross"),
                (82_500.0, 85_300.0, "net"),
                (90_300.0, 92_500.0, "gross"),
            ],
        )
    },
    Yardstick {
        words: &["carbon", "co2", "dioxide"],
        not: OTHER_FUELS,
        source: published("40 CFR 98 Table C-1: 5.7 kg of carbon dioxide from a gallon of propane"),
        ..of(
            "the carbon dioxide from a volume of propane",
            "lb/gal",
            &[(12.1, 13.1, "")],
        )
    },
    Yardstick {
        words: LIQUID,
        not: OTHER_LIQUIDS,
        inside: true,
        source: DENSITIES,
        ..of("the density of liquid propane", "lb/gal", &[(3.7, 4.75, "")])
    },
    Yardstick {
        words: LIQUID,
        not: OTHER_LIQUIDS,
        inside: true,
        source: DENSITIES,
        ..of("the volume of liquid propane", "gal/lb", &[(0.21, 0.27, "")])
    },
    Yardstick {
        not: &[
            "each",
            "extra",
            "more",
            "adds",
            "slope",
            "marginal",
            "additional",
            "per kw",
        ],
        source: practice("fuel tables of portable sets: 3 to 30 % of the net heat"),
        ..of("the burn of a set for a kilowatt-hour", "lb/kWh", &[(0.57, 5.7, "")])
    },
    Yardstick {
        words: &["efficiency", "efficient"],
        not: &[
            "alternator",
            "motor",
            "charger",
            "heater",
            "inverter",
            "battery",
            "over that",
            "compared",
            "same efficiency",
            "both",
            "as good",
        ],
        source: practice("fuel tables of portable sets: 3 to 30 % of the net heat"),
        ..of("the efficiency of a whole set", "", &[(0.03, 0.3, "")])
    },
    Yardstick {
        words: &["no load", "idle", "no load share"],
        source: published("operators' manuals of small sets: 30 to 60 % of the rated burn"),
        ..of("the share of the rated burn without load", "", &[(0.15, 0.7, "")])
    },
    Yardstick {
        words: &["filling", "filling density", "by weight", "fill density"],
        not: &["volume"],
        source: remembered("49 CFR 173.304a: 42 % of the weight of water"),
        ..of("a lawful fill by weight of water", "", &[(0.38, 0.43, "")])
    },
    Yardstick {
        words: &["power factor", "pf"],
        ..of("a power factor", "", &[(0.4, 1.0, "")])
    },
    Yardstick {
        words: &["tare", "tw", "empty"],
        not: &[
            "limit",
            "u",
            "gross",
            "capacity",
            "hose",
            "reserve",
            "left",
            "swap",
            "runs",
            "uncertainty",
            "k 2",
            "wear",
            "paint",
            "off by",
        ],
        ..of("the tare of a portable cylinder", "lb", &[(7.0, 95.0, "")])
    },
    Yardstick {
        words: &["capacity", "wc"],
        not: &["vaporization", "load"],
        ..of("the water capacity of a portable cylinder", "lb", &[(2.0, 260.0, "")])
    },
    Yardstick {
        words: &["hose", "regulator", "attached", "pigtail"],
        not: &[
            "off",
            "without",
            "holds",
            "gross",
            "cylinder",
            "before",
            "after",
            "weighing",
            "weighed",
            "full",
            "net",
            "burned",
            "hours",
            "both times",
            "scale",
            "reading",
            "weight",
            "start",
            "stop",
            "first",
            "second",
            "at each",
            "all the time",
            "hose on",
            "hose off",
            "regulator on",
            "tare",
            "empty one",
        ],
        ..of("the weight of hose and regulator", "lb", &[(0.3, 6.0, "")])
    },
    Yardstick {
        words: &[
            "gross", "before", "after", "scale", "weighed", "exchange", "fill", "net",
        ],
        not: &[
            "hose",
            "regulator",
            "out and in",
            "winter",
            "season",
            "month",
            "total",
            "all",
            "uncertainty",
            "k 2",
            "off by",
            "burned",
        ],
        ..of("a weighing of a portable cylinder", "lb", &[(1.0, 450.0, "")])
    },
    Yardstick {
        words: &["rated", "nameplate", "surge", "peak"],
        ..of(
            "the power of a portable set or what it starts",
            "W",
            &[(200.0, 20_000.0, "")],
        )
    },
    of("electric load of a household", "W", &[(0.0, 20_000.0, "")]),
    Yardstick {
        not: &["heater", "furnace", "need", "heat"],
        ..of("what a portable set burns", "lb/h", &[(0.05, 15.0, "")])
    },
    Yardstick {
        words: &[
            "propane",
            "price",
            "fuel",
            "gallon",
            "filled",
            "delivered",
            "dealer",
            "refill",
        ],
        not: &["gasoline", "diesel", "deposit", "tax", "fee", "surcharge"],
        ..of("a price of propane", "$/gal", &[(0.8, 9.0, "")])
    },
    Yardstick {
        words: &["propane", "price", "fuel", "pound", "exchange", "refill"],
        not: &["gasoline", "diesel", "deposit", "tax", "fee", "surcharge"],
        ..of("a price of propane by weight", "$/lb", &[(0.2, 2.5, "")])
    },
    Yardstick {
        words: &[
            "air",
            "outdoor",
            "outside",
            "weather",
            "forecast",
            "night",
            "temperature",
        ],
        ..of("a temperature outdoors", "°F", &[(-60.0, 130.0, "")])
    },
    Yardstick {
        words: &["run", "clock", "watch", "test"],
        not: &["answer", "until", "runtime"],
        ..of("the length of a weighed run", "h", &[(0.2, 100.0, "")])
    },
    of("hours of use in a day", "h/d", &[(0.0, 24.0, "")]),
    Yardstick {
        words: &["volt", "voltage", "outlet", "supply"],
        not: &[
            "drop",
            "loss",
            "battery",
            "batteries",
            "charging",
            "charger",
            "series",
            "dc",
        ],
        ..of("the voltage of an outlet", "V", &[(100.0, 260.0, "")])
    },
    Yardstick {
        not: &["room", "quiet", "limit", "ordinance", "indoors"],
        source: practice(
            "leaflets of portable sets and what is heard outdoors: 45 to 80 dB at 23 ft, less farther off",
        ),
        ..of("a sound level of a set", "dB", &[(20.0, 115.0, "")])
    },
    Yardstick {
        words: &["diameter"],
        not: &["hose", "pipe", "wire", "line", "tube", "inner", "inside"],
        source: remembered("shells of 5 to 420 lb: 8 to 31 in"),
        ..of("the diameter of a portable cylinder", "in", &[(7.5, 32.0, "")])
    },
    Yardstick {
        words: &["height"],
        not: &["room", "pole", "wall", "wheel", "liquid", "snow", "altitude"],
        source: remembered("shells of 5 to 420 lb, with and without collar and foot: 8 to 60 in"),
        ..of("the height of a portable cylinder", "in", &[(7.5, 62.0, "")])
    },
    Yardstick {
        words: &["wind", "breeze"],
        ..of("a wind that a set is run in", "mph", &[(0.0, 60.0, "")])
    },
    Yardstick {
        words: &["least pressure", "lowest pressure", "inlet pressure", "least"],
        not: &["most", "relief"],
        source: practice("regulators and sets: 5 to 30 psig at the inlet"),
        ..of("the least pressure that a regulator takes", "psig", &[(1.0, 40.0, "")])
    },
];

/// A ratio that a slip of units is out by.
#[derive(Debug)]
pub struct Ratio {
    /// The ratio.
    pub of: f64,
    /// What it is.
    pub what: &'static str,
    /// Whether nobody means anything else by a bare number of this size.
    pub plain: bool,
}

/// A ratio that nobody means anything else by.
const fn sure(of: f64, what: &'static str) -> Ratio {
    Ratio { of, what, plain: true }
}

/// A ratio that a bare number of its size may have by chance.
const fn unsure(of: f64, what: &'static str) -> Ratio {
    Ratio { of, what, plain: false }
}

/// The ratios, the likeliest first; exact ones by definition, the others to four digits.
pub(crate) static RATIOS: [Ratio; 13] = [
    sure(2.204_62, "pounds in a kilogram"),
    sure(3.785_41, "liters in a gallon"),
    sure(3.412_14, "BTU in a watt-hour"),
    sure(1.8, "Fahrenheit degrees in a Celsius degree"),
    unsure(1.200_95, "US gallons in an imperial gallon"),
    sure(1.341_02, "horsepower in a kilowatt"),
    unsure(4.2, "pounds in a gallon of propane"),
    unsure(24.0, "hours in a day"),
    unsure(60.0, "minutes in an hour"),
    unsure(1000.0, "a thousand, as of kilo"),
    unsure(16.0, "ounces in a pound"),
    unsure(100.0, "a hundred, as of per cent"),
    unsure(4.24, "pounds in a gallon of propane"),
];
