//! Published rules that answer one question and don't agree.
//!
//! Who asks about one of them should see the others beside it, and what tells
//! them apart. Start reading at [`beside`].

use super::Function;
use super::registry::function;

/// Functions for one question, and why their answers differ.
pub struct Rivals {
    /// Their names.
    pub functions: &'static [&'static str],
    /// What tells them apart, in whole sentences.
    pub difference: &'static str,
}

/// Every such group.
pub static RIVALS: [Rivals; 6] = [
    Rivals {
        functions: &[
            "vaporization_capacity",
            "hundred_pound_capacity",
            "continuous_rate",
            "equilibrium_temperature",
            "draw_down",
        ],
        difference: "For a nominal 100-lb cylinder at 0 °F the two printed rules differ by a factor of 1.6. Both assume wind; the energy balance in calm air gives less than either: what it gives continuously (`continuous_rate`), where it settles (`equilibrium_temperature`), and how long it lasts from what heat the liquid itself holds (`draw_down`). A margin must name its rule.",
    },
    Rivals {
        functions: &["derated", "sae_j1349"],
        difference: "Operators' manuals step down by height and heat, and they disagree among themselves: at 5000 ft and 77 °F the three leave 82.5 %, 85 % and 96.9 % of the rated power. SAE J1349 works from the density of dry air. Use one of them, never both on one set.",
    },
    Rivals {
        functions: &["heat_per_pound", "heat_per_gallon"],
        difference: "21 548 BTU/lb times a density of propane does not give the printed 91 502 BTU/gal: they are 0.4 % apart at 4.2285 lb/gal and 1.1 % at 4.20. Take one path for one fuel.",
    },
    Rivals {
        functions: &["fill_limit", "liquid_level"],
        difference: "The limit of 42 % by weight is not 80 % by volume: a lawful fill stands at 80 % at 41 °F, 82.3 % at 60 °F and 92.4 % at 120 °F. The weight is what the law counts.",
    },
    Rivals {
        functions: &["wire_resistance", "voltage_drop"],
        difference: "The formula is for solid copper, by default at 20 °C; the printed table behind the drop is for stranded copper at 75 °C, which resists more.",
    },
    Rivals {
        functions: &["dew_point", "frost_point"],
        difference: "Below freezing the two differ: vapor settles as frost at a higher temperature than as dew. On a cylinder colder than freezing the frost point counts.",
    },
];

/// What stands beside a function: each group's other functions, and the difference.
pub fn beside(name: &str) -> impl Iterator<Item = (Vec<&'static Function>, &'static str)> {
    let groups = RIVALS.iter().filter(move |rivals| rivals.functions.contains(&name));
    groups.map(move |rivals| {
        let others = rivals.functions.iter().filter(|other| **other != name);
        (others.filter_map(|other| function(other)).collect(), rivals.difference)
    })
}
