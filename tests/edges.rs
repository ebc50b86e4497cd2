//! Bounds of the trade functions at their edges: just inside, and just outside.
//!
//! A bound that is tested only far off can move unseen. Every function has its rows
//! here, or stands among those that take whatever their types let through.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::BTreeSet;

use tarebook::problem::Severity;
use tarebook::report::compose::{Options, report};
use tarebook::sheet::Sheet;
use tarebook::trade::registry::functions;

/// What a call comes to: the messages of its problems, and the codes of its cautions.
fn seen(call: &str) -> (Vec<String>, Vec<String>) {
    let sheet = Sheet::load(format!("{TABLES}worked x = {call}\n"), None);
    let problems = sheet.problems();
    let weighs = problems.iter().filter(|problem| problem.severity == Severity::Problem);
    let cautions = report(&sheet, Options::default()).cautions;
    (
        weighs.map(|problem| problem.message.clone()).collect(),
        cautions.into_iter().map(|caution| caution.code).collect(),
    )
}

const TABLES: &str = "\
table day
  | hours [h] | load [W] | over [W] | duty [%] | most [%] | back [h] | ok [W] |
  | 8         | 900      | 900.1    | 100      | 100.1    | -0.1     | 900    |
table cans
  | usable [lb] | none [lb] |
  | 20          | -0.1      |
table run
  | hours [h] | falls [lb] | level [lb] | rises [lb] |
  | 0         | 40         | 40         | 40         |
  | 4         | 28         | 40.4       | 40.5       |
table climbs
  | gross [lb] |
  | 28         |
  | 40         |
table chance
  | gross [lb] |
  | 40.1       |
  | 40.08      |
  | 40.26      |
  | 40.64      |
table certain
  | gross [lb] |
  | 40.1       |
  | 40.1       |
  | 40.3       |
  | 40.7       |
table noisy
  | hours [h] | gross [lb] |
  | 0         | 40.0       |
  | 1         | 40.9       |
  | 2         | 39.8       |
  | 3         | 41.0       |
";

/// A bound behind which there is a problem: a call inside, one outside, and a word of what is said.
const REFUSED: &[(&str, &str, &str)] = &[
    // times
    (
        "at(2026-01-11 00:00, 22:00)",
        "at(2026-01-11 00:01, 22:00)",
        "has a clock time already",
    ),
    (
        "month(9999-12-31 23:59:59)",
        "month(9999-12-31 23:59:59 + 1 s)",
        "beyond the calendar",
    ),
    // cylinder
    (
        "net_contents(19.4 lb, 20 lb)",
        "net_contents(19.39 lb, 20 lb)",
        "3 % of the tare",
    ),
    (
        "net_contents(30 lb, 0.01 lb)",
        "net_contents(30 lb, 0 lb)",
        "`tare` must be above zero",
    ),
    (
        "net_contents(30 lb, 20 lb, attached: 0 lb)",
        "net_contents(30 lb, 20 lb, attached: -0.01 lb)",
        "`attached`",
    ),
    (
        "net_contents(0.1 lb, 0.1 lb)",
        "net_contents(-0.01 lb, 20 lb)",
        "`gross` can't be below zero",
    ),
    (
        "fill_limit(0.1 lb)",
        "fill_limit(0 lb)",
        "`water_capacity` must be above zero",
    ),
    (
        "fill_limit(47.6 lb, 100 %)",
        "fill_limit(47.6 lb, 100.1 %)",
        "above 100 %",
    ),
    (
        "fill_limit(47.6 lb, 0.01 %)",
        "fill_limit(47.6 lb, 0 %)",
        "`filling_density` must be above zero",
    ),
    (
        "liquid_level(24.1 lb, 47.6 lb, 60 °F)",
        "liquid_level(24.2 lb, 47.6 lb, 60 °F)",
        "with liquid completely",
    ),
    (
        "liquid_level(0 lb, 47.6 lb, 60 °F)",
        "liquid_level(-0.1 lb, 47.6 lb, 60 °F)",
        "`contents` can't be below zero",
    ),
    (
        "liquid_level(20 lb, 47.6 lb, 122 °F)",
        "liquid_level(20 lb, 47.6 lb, 122.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "liquid_level(20 lb, 47.6 lb, -49 °F)",
        "liquid_level(20 lb, 47.6 lb, -49.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "usable_contents(20 lb, 47.6 lb, -1.78 psig)",
        "usable_contents(20 lb, 47.6 lb, -1.79 psig)",
        "-1.78",
    ),
    (
        "usable_contents(20 lb, 47.6 lb, 233.8 psig)",
        "usable_contents(20 lb, 47.6 lb, 233.9 psig)",
        "233.8",
    ),
    (
        "requalification_date(2020-03-01, 2020-03-01, \"volumetric\")",
        "requalification_date(2020-03-01, 2020-02-29, \"volumetric\")",
        "before the cylinder was made",
    ),
    (
        "requalification_date(9980-03-01, 9987-03-01, \"volumetric\")",
        "requalification_date(9980-03-01, 9988-03-01, \"volumetric\")",
        "years 1 to 9999",
    ),
    // propane
    (
        "propane_pressure(122 °F)",
        "propane_pressure(122.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "propane_pressure(-49 °F)",
        "propane_pressure(-49.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "propane_latent_heat(122 °F)",
        "propane_latent_heat(122.01 °F)",
        "−49 … 122 °F",
    ),
    ("propane_density(-49 °F)", "propane_density(-49.01 °F)", "−49 … 122 °F"),
    (
        "propane_vapor_density(122 °F)",
        "propane_vapor_density(122.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "propane_liquid_heat(-49 °F)",
        "propane_liquid_heat(-49.01 °F)",
        "−49 … 122 °F",
    ),
    ("propane_boiling(-1.78 psig)", "propane_boiling(-1.79 psig)", "-1.78"),
    ("propane_boiling(233.8 psig)", "propane_boiling(233.9 psig)", "233.8"),
    (
        "gauge_at(-14.69 psig, 0 ft)",
        "gauge_at(-14.7 psig, 0 ft)",
        "less than none at all",
    ),
    ("gauge_at(10 psig, 36152 ft)", "gauge_at(10 psig, 36153 ft)", "36152 ft"),
    ("gauge_at(10 psig, -16000 ft)", "gauge_at(10 psig, -16001 ft)", "−16000"),
    ("absolute(-14.69 psig)", "absolute(-14.7 psig)", "below absolute zero"),
    ("absolute(-459.67 °F)", "absolute(-459.68 °F)", "below absolute zero"),
    ("absolute(-273.15 °C)", "absolute(-273.16 °C)", "below absolute zero"),
    (
        "absolute(-101.325 kPag)",
        "absolute(-101.326 kPag)",
        "below absolute zero",
    ),
    // fuels
    (
        "heat_input(0 lb/h)",
        "heat_input(-0.1 lb/h)",
        "`rate` can't be below zero",
    ),
    (
        "carbon_dioxide(\"propane\", 0 MMBTU)",
        "carbon_dioxide(\"propane\", -0.1 MMBTU)",
        "`heat` can't be below zero",
    ),
    // burn and engine
    (
        "burn_rate(run.hours, run.level)",
        "burn_rate(run.hours, run.rises)",
        "the weight rises through the run",
    ),
    (
        "burn_rate(noisy.hours, noisy.gross)",
        "burn_rate(run.hours, climbs.gross)",
        "the weight rises from 28 lb to 40 lb: a new cylinder?",
    ),
    // numpy: slopes of 2.85 and of 3.16 times their standard errors
    (
        "burn_rate(noisy.hours, chance.gross)",
        "burn_rate(noisy.hours, certain.gross)",
        "the weight rises through the run",
    ),
    (
        "attached_weight(noisy.hours, noisy.gross, noisy.hours > 1 h)",
        "attached_weight(noisy.hours, noisy.gross, run.hours > 1 h)",
        "the columns have different lengths",
    ),
    (
        "rate_at_load(noisy.hours, noisy.gross, noisy.hours * 100 W/h, 50 W)",
        "rate_at_load(noisy.hours, noisy.gross, run.hours * 100 W/h, 50 W)",
        "the columns have different lengths",
    ),
    (
        "shortest_weighing(3 lb/h, 0.1 lb, 2 %, 2)",
        "shortest_weighing(3 lb/h, 0.1 lb, 2 %, 1)",
        "`readings` is a whole number from 2 on",
    ),
    ("at_least(8 h, 50 %)", "at_least(8 h, 49.9 %)", "`sure` is from 50 %"),
    ("at_most(8 h, 99.9 %)", "at_most(8 h, 100 %)", "`sure` is from 50 %"),
    (
        "deviation(8 h, 9 h)",
        "deviation(8 h)",
        "`deviation` takes two values or more",
    ),
    (
        "average(8 h, 9 h)",
        "average(8 h)",
        "`average` takes two results or more",
    ),
    (
        "percentile(run.falls, 100 %)",
        "percentile(run.falls, 100.1 %)",
        "`share` is from 0 to 100 %",
    ),
    (
        "reaches(run.hours, run.falls, 20 lb)",
        "reaches(run.hours, run.level, 20 lb)",
        "never comes down to the target",
    ),
    (
        "rescale_rate(2 lb/h, 1500 W, 1500 W, 800 W, 40 %)",
        "rescale_rate(2 lb/h, 1500.1 W, 1500 W, 800 W, 40 %)",
        "`at_load`",
    ),
    (
        "rescale_rate(2 lb/h, 800 W, 1500 W, 1500 W, 40 %)",
        "rescale_rate(2 lb/h, 800 W, 1500 W, 1500.1 W, 40 %)",
        "`to_load`",
    ),
    (
        "rescale_rate(2 lb/h, 0 W, 1500 W, 800 W, 0.1 %)",
        "rescale_rate(2 lb/h, 0 W, 1500 W, 800 W, 0 %)",
        "weighed at no load",
    ),
    (
        "rescale_rate(2 lb/h, 800 W, 1500 W, 800 W, 100 %)",
        "rescale_rate(2 lb/h, 800 W, 1500 W, 800 W, 100.1 %)",
        "above 100 %",
    ),
    (
        "rescale_rate(0 lb/h, 800 W, 1500 W, 800 W, 40 %)",
        "rescale_rate(-0.1 lb/h, 800 W, 1500 W, 800 W, 40 %)",
        "`rate`",
    ),
    (
        "shortest_weighing(0.1 lb/h, 0.1 lb, 2 %)",
        "shortest_weighing(0 lb/h, 0.1 lb, 2 %)",
        "`rate` must be above zero",
    ),
    (
        "shortest_weighing(2 lb/h, 0.01 lb, 2 %)",
        "shortest_weighing(2 lb/h, 0 lb, 2 %)",
        "`step` must be above zero",
    ),
    (
        "shortest_weighing(2 lb/h, 0.1 lb, 0.1 %)",
        "shortest_weighing(2 lb/h, 0.1 lb, 0 %)",
        "`wanted` must be above zero",
    ),
    (
        "electrical_efficiency(3 kW, 10236.43 BTU/h)",
        "electrical_efficiency(3 kW, 10236.42 BTU/h)",
        "more comes out",
    ),
    (
        "electrical_efficiency(0 W, 10000 BTU/h)",
        "electrical_efficiency(-1 W, 10000 BTU/h)",
        "`load` can't be below zero",
    ),
    (
        "electrical_efficiency(0 W, 1 BTU/h)",
        "electrical_efficiency(0 W, 0 BTU/h)",
        "`heat_input` must be above zero",
    ),
    (
        "derated(10 kW, 28571 ft, 77 °F, rule: \"3.5 % per 1000 ft\")",
        "derated(10 kW, 28572 ft, 77 °F, rule: \"3.5 % per 1000 ft\")",
        "leaves no power",
    ),
    (
        "derated(10 kW, 33333 ft, 77 °F, rule: \"3 % per 1000 ft\")",
        "derated(10 kW, 33334 ft, 77 °F, rule: \"3 % per 1000 ft\")",
        "leaves no power",
    ),
    (
        "derated(10 kW, 57961 ft, 77 °F, rule: \"3 % per 500 m above 1000 m\")",
        "derated(10 kW, 57962 ft, 77 °F, rule: \"3 % per 500 m above 1000 m\")",
        "leaves no power",
    ),
    (
        "derated(10 kW, 0 ft, 1076 °F, rule: \"3 % per 1000 ft\")",
        "derated(10 kW, 0 ft, 1077 °F, rule: \"3 % per 1000 ft\")",
        "leaves no power",
    ),
    (
        "derated(1 W, 0 ft, 60 °F, rule: \"3 % per 1000 ft\")",
        "derated(0 W, 0 ft, 60 °F, rule: \"3 % per 1000 ft\")",
        "`rated`",
    ),
    (
        "sae_j1349(22.64 kPa, 25 °C)",
        "sae_j1349(22.63 kPa, 25 °C)",
        "22.63 … 175.4 kPa",
    ),
    (
        "sae_j1349(175.4 kPa, 25 °C)",
        "sae_j1349(175.5 kPa, 25 °C)",
        "22.63 … 175.4 kPa",
    ),
    (
        "sae_j1349(99 kPa, -272.9 °C)",
        "sae_j1349(99 kPa, -273 °C)",
        "below absolute zero",
    ),
    ("air_pressure(36152 ft)", "air_pressure(36153 ft)", "36152 ft"),
    ("air_pressure(-16000 ft)", "air_pressure(-16001 ft)", "−16000"),
    (
        "fuel_needed(day.hours, day.load, 900 W, 2 lb/h, 40 %)",
        "fuel_needed(day.hours, day.over, 900 W, 2 lb/h, 40 %)",
        "above `rated_load`",
    ),
    (
        "fuel_needed(day.hours, day.load, 900 W, 2 lb/h, 40 %, day.duty)",
        "fuel_needed(day.hours, day.load, 900 W, 2 lb/h, 40 %, day.most)",
        "`duty` can't be above 100 %",
    ),
    (
        "fuel_needed(day.hours, day.load, 900 W, 0 lb/h, 0 %)",
        "fuel_needed(day.hours, day.load, 900 W, -0.1 lb/h, 0 %)",
        "`rated_rate`",
    ),
    (
        "fuel_needed(day.hours, day.load, 900 W, 2 lb/h, 100 %)",
        "fuel_needed(day.hours, day.load, 900 W, 2 lb/h, 100.1 %)",
        "above 100 %",
    ),
    (
        "fuel_needed(day.hours, day.load, 900 W, 2 lb/h, 40 %)",
        "fuel_needed(day.back, day.load, 900 W, 2 lb/h, 40 %)",
        "`hours` can't be below zero",
    ),
    // vaporizing
    (
        "vaporization_capacity(12 in, 40 in, 100 %, 20 °F)",
        "vaporization_capacity(12 in, 40 in, 100.1 %, 20 °F)",
        "above 100 %",
    ),
    (
        "vaporization_capacity(0.1 in, 40 in, 0 %, 20 °F)",
        "vaporization_capacity(0 in, 40 in, 0 %, 20 °F)",
        "`diameter`",
    ),
    (
        "vaporization_capacity(12 in, 0.1 in, 0 %, 20 °F)",
        "vaporization_capacity(12 in, 0 in, 0 %, 20 °F)",
        "`length`",
    ),
    (
        "hundred_pound_capacity(10 lb, 20 °F)",
        "hundred_pound_capacity(9.99 lb, 20 °F)",
        "10 … 100 lb",
    ),
    (
        "hundred_pound_capacity(100 lb, 20 °F)",
        "hundred_pound_capacity(100.1 lb, 20 °F)",
        "10 … 100 lb",
    ),
    (
        "hundred_pound_capacity(50 lb, 0 °F)",
        "hundred_pound_capacity(50 lb, -0.1 °F)",
        "0 … 70 °F",
    ),
    (
        "hundred_pound_capacity(50 lb, 70 °F)",
        "hundred_pound_capacity(50 lb, 70.1 °F)",
        "0 … 70 °F",
    ),
    (
        "icing_margin(0 BTU/h, 1 BTU/h)",
        "icing_margin(0 BTU/h, 0 BTU/h)",
        "`demand` must be above zero",
    ),
    (
        "icing_margin(0 BTU/h, 1 BTU/h)",
        "icing_margin(-1 BTU/h, 1 BTU/h)",
        "`supply` can't be below zero",
    ),
    (
        "cylinders_together(0 BTU/h, 1 BTU/h, 0 %)",
        "cylinders_together(0 BTU/h, 0 BTU/h, 0 %)",
        "`supply_each`",
    ),
    (
        "cylinders_together(0 BTU/h, 1 BTU/h, 0 %)",
        "cylinders_together(0 BTU/h, 1 BTU/h, -0.1 %)",
        "`margin`",
    ),
    (
        "boiling_heat(1 lb/h, 122 °F)",
        "boiling_heat(1 lb/h, 122.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "boiling_heat(0 lb/h, -49 °F)",
        "boiling_heat(0 lb/h, -49.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "wetted_area(0 lb, 12 in, 122 °F)",
        "wetted_area(0 lb, 12 in, 122.01 °F)",
        "−49 … 122 °F",
    ),
    (
        "wetted_area(0 lb, 12 in, -49 °F)",
        "wetted_area(-0.1 lb, 12 in, -49 °F)",
        "`contents`",
    ),
    (
        "wall_reach(0.01 in, 10 W/(m2·C°), \"steel\")",
        "wall_reach(0 in, 10 W/(m2·C°), \"steel\")",
        "`wall`",
    ),
    (
        "wall_reach(0.1 in, 0.1 W/(m2·C°), \"steel\")",
        "wall_reach(0.1 in, 0 W/(m2·C°), \"steel\")",
        "`film`",
    ),
    (
        "continuous_rate(10 lb, 12 in, 40 °F, 10 W/(m2·C°), -1.78 psig)",
        "continuous_rate(10 lb, 12 in, 40 °F, 10 W/(m2·C°), -1.79 psig)",
        "-1.78",
    ),
    (
        "continuous_rate(10 lb, 12 in, 40 °F, 10 W/(m2·C°), 233.8 psig)",
        "continuous_rate(10 lb, 12 in, 40 °F, 10 W/(m2·C°), 233.9 psig)",
        "233.8",
    ),
    (
        "equilibrium_temperature(0 lb/h, 10 lb, 12 in, 119.9 °F, 10 W/(m2·C°))",
        "equilibrium_temperature(0 lb/h, 10 lb, 12 in, 120.1 °F, 10 W/(m2·C°))",
        "under 120 °F",
    ),
    (
        "equilibrium_temperature(0 lb/h, 10 lb, 12 in, -48.9 °F, 10 W/(m2·C°))",
        "equilibrium_temperature(0 lb/h, 10 lb, 12 in, -49.1 °F, 10 W/(m2·C°))",
        "more heat leaves",
    ),
    (
        "equilibrium_temperature(0 lb/h, 0.01 lb, 12 in, 40 °F, 10 W/(m2·C°))",
        "equilibrium_temperature(0 lb/h, 0 lb, 12 in, 40 °F, 10 W/(m2·C°))",
        "`contents` must be above zero",
    ),
    (
        "film_in_air(12 in, 14 in, 140 °F, -49 °F, 0 mph)",
        "film_in_air(12 in, 14 in, 140.1 °F, -49 °F, 0 mph)",
        "`air` of 140.1 °F",
    ),
    (
        "film_in_air(12 in, 14 in, 140 °F, -49 °F, 0 mph)",
        "film_in_air(12 in, 14 in, 140 °F, -49.1 °F, 0 mph)",
        "`wall` of -49.1 °F",
    ),
    (
        "film_in_air(12 in, 14 in, 40 °F, 20 °F, 0 mph)",
        "film_in_air(12 in, 14 in, 40 °F, 20 °F, -0.1 mph)",
        "`wind` can't be below zero",
    ),
    (
        "film_in_air(12 in, 0.1 in, 40 °F, 20 °F, 0 mph, emissivity: 100 %)",
        "film_in_air(12 in, 0.1 in, 40 °F, 20 °F, 0 mph, emissivity: 100.1 %)",
        "above 100 %",
    ),
    (
        "film_in_air(0.1 in, 14 in, 40 °F, 20 °F, 0 mph)",
        "film_in_air(0 in, 14 in, 40 °F, 20 °F, 0 mph)",
        "`diameter` must be above zero",
    ),
    (
        "film_in_air(12 in, 0.1 in, 40 °F, 20 °F, 0 mph)",
        "film_in_air(12 in, 0 in, 40 °F, 20 °F, 0 mph)",
        "`height` must be above zero",
    ),
    (
        "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, 8.2 h, 5 psig)",
        "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, 8.3 h, 5 psig)",
        "empty before the run",
    ),
    (
        "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, 3 h, 5 psig)",
        "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, 1 h, 5 psig)",
        "tells nothing of the film",
    ),
    (
        "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, 4 h, 5 psig, wall_read: 45 °F)",
        "film_from_run(19 lb, 12 in, 17.6 lb, 50 °F, 2.3 lb/h, 4 h, 5 psig, wall_read: 51 °F)",
        "no film keeps",
    ),
    ("dew_point(140 °F, 50 %)", "dew_point(140.1 °F, 50 %)", "−49 … 140 °F"),
    ("dew_point(-49 °F, 50 %)", "dew_point(-49.1 °F, 50 %)", "−49 … 140 °F"),
    ("dew_point(60 °F, 100 %)", "dew_point(60 °F, 100.1 %)", "above 100 %"),
    (
        "dew_point(60 °F, 0.1 %)",
        "dew_point(60 °F, 0 %)",
        "without any moisture",
    ),
    (
        "frost_point(-49 °F, 50 %)",
        "frost_point(-49.1 °F, 50 %)",
        "−49 … 140 °F",
    ),
    (
        "frost_point(20 °F, 0.1 %)",
        "frost_point(20 °F, 0 %)",
        "without any moisture",
    ),
    (
        "vapor_pressure(140 °F, 0 %)",
        "vapor_pressure(140.1 °F, 0 %)",
        "−49 … 140 °F",
    ),
    (
        "vapor_pressure(60 °F, 0 %)",
        "vapor_pressure(60 °F, -0.1 %)",
        "`humidity` can't be below zero",
    ),
    // load
    (
        "starting_peak(day.ok, day.load)",
        "starting_peak(day.over, day.load)",
        "is below `running`",
    ),
    (
        "locked_rotor(\"G\", 0.1 hp)",
        "locked_rotor(\"G\", 0 hp)",
        "`power` must be above zero",
    ),
    ("locked_rotor(\"U\", 1 hp)", "locked_rotor(\"V\", 1 hp)", "no upper end"),
    (
        "services_due(0 h, 0.1 h, 0 h)",
        "services_due(0 h, 0 h, 0 h)",
        "`every` must be above zero",
    ),
    (
        "services_due(0 h, 50 h, 0 h)",
        "services_due(-0.1 h, 50 h, 0 h)",
        "`run` can't be below zero",
    ),
    (
        "services_due(0 h, 50 h, 0 h)",
        "services_due(0 h, 50 h, -0.1 h)",
        "`since_last` can't be below zero",
    ),
    (
        "service_date(2026-01-10, every: 180 d, run: 24 h/d, every_hours: 50 h, since_last: 0 h)",
        "service_date(2026-01-10, every: 180 d, run: 24.1 h/d, every_hours: 50 h, since_last: 0 h)",
        "above 24 h/d",
    ),
    (
        "service_date(9999-12-30, every: 1 d, run: 0 h/d, every_hours: 50 h, since_last: 0 h)",
        "service_date(9999-12-30, every: 2 d, run: 0 h/d, every_hours: 50 h, since_last: 0 h)",
        "years 1 to 9999",
    ),
    (
        "wire_resistance(40, 1 ft)",
        "wire_resistance(41, 1 ft)",
        "no wire gauge",
    ),
    ("wire_resistance(0, 1 ft)", "wire_resistance(-1, 1 ft)", "no wire gauge"),
    (
        "wire_resistance(12, 1 ft)",
        "wire_resistance(12.5, 1 ft)",
        "no wire gauge",
    ),
    (
        "wire_resistance(12, 1 ft, 250 °C)",
        "wire_resistance(12, 1 ft, 250.1 °C)",
        "−200 … 250 °C",
    ),
    (
        "wire_resistance(12, 1 ft, -200 °C)",
        "wire_resistance(12, 1 ft, -200.1 °C)",
        "−200 … 250 °C",
    ),
    (
        "wire_resistance(12, 0 ft)",
        "wire_resistance(12, -0.1 ft)",
        "`length` can't be below zero",
    ),
    (
        "voltage_drop(10 A, 18, 50 ft)",
        "voltage_drop(10 A, 20, 50 ft)",
        "not in NEC Chapter 9 Table 8",
    ),
    (
        "voltage_drop(10 A, 6, 50 ft)",
        "voltage_drop(10 A, 4, 50 ft)",
        "not in NEC Chapter 9 Table 8",
    ),
    (
        "voltage_drop(0 A, 12, 0 ft)",
        "voltage_drop(-0.1 A, 12, 50 ft)",
        "`current` can't be below zero",
    ),
    ("cord_ampacity(18, 2)", "cord_ampacity(19, 2)", "not in NEC Table 400.5"),
    (
        "cord_ampacity(6, 3)",
        "cord_ampacity(6, 4)",
        "2 or 3 current-carrying conductors",
    ),
    (
        "cord_ampacity(17, 2)",
        "cord_ampacity(17, 3)",
        "no value for three conductors",
    ),
    (
        "gas_line_capacity(0.8 in, 60 ft, 11 inH2O)",
        "gas_line_capacity(0.8 in, 60 ft, 11.1 inH2O)",
        "more than the supply",
    ),
    (
        "gas_line_capacity(0.8 in, 60 ft, 0.5 inH2O, supply: 41.5 inH2O)",
        "gas_line_capacity(0.8 in, 60 ft, 0.5 inH2O, supply: 41.6 inH2O)",
        "not low pressure",
    ),
    (
        "gas_line_capacity(0.8 in, 60 ft, 0.01 inH2O)",
        "gas_line_capacity(0.8 in, 60 ft, 0 inH2O)",
        "`drop` must be above zero",
    ),
    (
        "sound_at(74 dB, 0.1 ft, 50 ft)",
        "sound_at(74 dB, 0 ft, 50 ft)",
        "`measured_at` must be above zero",
    ),
    (
        "sound_at(74 dB, 23 ft, 0.1 ft)",
        "sound_at(74 dB, 23 ft, 0 ft)",
        "`heard_at` must be above zero",
    ),
    (
        "allowed_exposure(115 dB, rule: \"OSHA\")",
        "allowed_exposure(115.1 dB, rule: \"OSHA\")",
        "115 dB",
    ),
    (
        "allowed_exposure(140 dB, rule: \"NIOSH\")",
        "allowed_exposure(140.1 dB, rule: \"NIOSH\")",
        "140 dB",
    ),
    // general
    ("sqrt(0)", "sqrt(-0.01)", "negative"),
    ("ln(0.01)", "ln(0)", "above zero"),
    ("log10(0.01)", "log10(0)", "above zero"),
    ("exp(-37)", "exp(-37.1)", "too small"),
    ("round(2 lb, 0.1 lb)", "round(2 lb, 0 lb)", "above zero"),
    ("round_up(2 lb, 0.1 lb)", "round_up(2 lb, 0 lb)", "above zero"),
    ("round_down(2 lb, 0.1 lb)", "round_down(2 lb, -1 lb)", "above zero"),
    (
        "interpolate(run.hours, run.falls, 0 h)",
        "interpolate(run.hours, run.falls, -0.1 h)",
        "outside the column",
    ),
    (
        "interpolate(run.hours, run.falls, 4 h)",
        "interpolate(run.hours, run.falls, 4.1 h)",
        "outside the column",
    ),
];

/// The same of arguments of `draw_down`, in place of those that are said last.
const DRAWN: &[(&str, &str, &str)] = &[
    ("contents: 0 lb", "contents: -0.1 lb", "`contents` can't be below zero"),
    ("diameter: 0.1 in", "diameter: 0 in", "`diameter` must be above zero"),
    ("steel: 0.1 lb", "steel: 0 lb", "`steel` must be above zero"),
    ("rate: 0 lb/h", "rate: -0.1 lb/h", "`rate` can't be below zero"),
    ("film: 0.1 W/(m2·C°)", "film: 0 W/(m2·C°)", "`film` must be above zero"),
    (
        "least_pressure: -14.69 psig",
        "least_pressure: -14.7 psig",
        "no pressure at all",
    ),
    (
        "extra_heat: 0 W",
        "extra_heat: -1 W",
        "`extra_heat` can't be below zero",
    ),
    ("start: 119.9 °F", "start: 120 °F", "starts at 120 °F or above"),
    ("start: -49 °F", "start: -49.1 °F", "starts below −49 °F"),
    ("limit: 0.1 h", "limit: 0 h", "`limit` must be above zero"),
    ("every: 0.51 min", "every: 0.5 min", "20160 rows"),
    (
        "steel_heat: 1 J/(kg·C°)",
        "steel_heat: 0 J/(kg·C°)",
        "`steel_heat` must be above zero",
    ),
    (
        "wall_reach: 0 in",
        "wall_reach: -0.1 in",
        "`wall_reach` can't be below zero",
    ),
];

/// A bound behind which there is a caution: a call inside, one outside, and its code.
const CAUTIONED: &[(&str, &str, &str)] = &[
    ("fill_limit(47.6 lb, 42 %)", "fill_limit(47.6 lb, 42.1 %)", "overfill"),
    (
        "liquid_level(20.09 lb, 47.6 lb, 60 °F)",
        "liquid_level(20.1 lb, 47.6 lb, 60 °F)",
        "overfill",
    ),
    (
        "usable_contents(20.09 lb, 47.6 lb, 10 psig)",
        "usable_contents(20.1 lb, 47.6 lb, 10 psig)",
        "overfill",
    ),
    (
        "liquid_level(0.77 lb, 47.6 lb, 60 °F)",
        "liquid_level(0.76 lb, 47.6 lb, 60 °F)",
        "no-liquid",
    ),
    (
        "usable_contents(0.2 lb, 47.6 lb, 10 psig)",
        "usable_contents(0.18 lb, 47.6 lb, 10 psig)",
        "no-liquid",
    ),
    (
        "net_contents(20 lb, 20 lb)",
        "net_contents(19.9 lb, 20 lb)",
        "stamp-or-scale",
    ),
    (
        "net_contents(21 lb, 20 lb, attached: 1 lb)",
        "net_contents(20.9 lb, 20 lb, attached: 1 lb)",
        "stamp-or-scale",
    ),
    (
        "draw_down_time(2 lb, 12 in, 17 lb, 60 °F, 1 lb/h, 9 W/(m2·C°), 5 psig)",
        "draw_down_time(2 lb, 12 in, 17 lb, 60 °F, 1 lb/h, 9 W/(m2·C°), 5 psig, 1 W)",
        "cylinder-heat",
    ),
    (
        "draw_down_time(2 lb, 12 in, 17 lb, 60 °F, 1 lb/h, 9 W/(m2·C°), 5 psig)",
        "draw_down_time(2 lb, 12 in, 17 lb, 60 °F, 1 lb/h, 9 W/(m2·C°), 5 psig, 1 W)",
        "cylinder-heater",
    ),
    (
        "rescale_rate(2 lb/h, 500 W, 1500 W, 1000 W, 40 %)",
        "rescale_rate(2 lb/h, 500 W, 1500 W, 1000.1 W, 40 %)",
        "fuel-line",
    ),
    (
        "rescale_rate(2 lb/h, 500 W, 1500 W, 250 W, 40 %)",
        "rescale_rate(2 lb/h, 500 W, 1500 W, 249.9 W, 40 %)",
        "fuel-line",
    ),
    (
        "electrical_efficiency(3 kW, 40946 BTU/h)",
        "electrical_efficiency(3 kW, 40945 BTU/h)",
        "odd-efficiency",
    ),
    (
        "electrical_efficiency(3 kW, 204728 BTU/h)",
        "electrical_efficiency(3 kW, 204729 BTU/h)",
        "odd-efficiency",
    ),
    (
        "electrical_efficiency(15.1 kW, 171745 BTU/h)",
        "electrical_efficiency(15.1 kW, 171744 BTU/h)",
        "odd-efficiency",
    ),
    (
        "electrical_efficiency(15.1 kW, 200000 BTU/h)",
        "electrical_efficiency(15 kW, 200000 BTU/h)",
        "odd-efficiency",
    ),
    // 1.18·99/p − 0.18 is 0.93 at 105.243… kPa and 1.07 at 93.456 kPa
    (
        "sae_j1349(105.24 kPa, 25 °C)",
        "sae_j1349(105.25 kPa, 25 °C)",
        "correction-range",
    ),
    (
        "sae_j1349(93.46 kPa, 25 °C)",
        "sae_j1349(93.45 kPa, 25 °C)",
        "correction-range",
    ),
    (
        "fitted_at(run.hours, run.falls, 4 h)",
        "fitted_at(run.hours, run.falls, 4.1 h)",
        "beyond-readings",
    ),
    (
        "next_reading(run.hours, run.falls, 0 h)",
        "next_reading(run.hours, run.falls, -0.1 h)",
        "beyond-readings",
    ),
    (
        "vaporization_capacity(12 in, 40 in, 50 %, 20 °F)",
        "vaporization_capacity(12 in, 40 in, 50 %, 20.1 °F)",
        "outside-table",
    ),
    (
        "vaporization_capacity(12 in, 40 in, 50 %, -15 °F)",
        "vaporization_capacity(12 in, 40 in, 50 %, -15.1 °F)",
        "outside-table",
    ),
    (
        "vaporization_capacity(12 in, 40 in, 10 %, 0 °F)",
        "vaporization_capacity(12 in, 40 in, 9.9 %, 0 °F)",
        "outside-table",
    ),
    (
        "icing_margin(100 BTU/h, 100 BTU/h)",
        "icing_margin(99.9 BTU/h, 100 BTU/h)",
        "stalls-first",
    ),
    (
        "wetted_area(4.15 lb, 12 in, 60 °F)",
        "wetted_area(4.13 lb, 12 in, 60 °F)",
        "dished-bottom",
    ),
    (
        "continuous_rate(20 lb, 12 in, -21.3 °F, 10 W/(m2·C°), 10 psig)",
        "continuous_rate(20 lb, 12 in, -21.4 °F, 10 W/(m2·C°), 10 psig)",
        "stalls-first",
    ),
    (
        "equilibrium_temperature(0 lb/h, 20 lb, 12 in, 32.1 °F, 10 W/(m2·C°))",
        "equilibrium_temperature(0 lb/h, 20 lb, 12 in, 31.9 °F, 10 W/(m2·C°))",
        "frosts",
    ),
    ("frost_point(34 °F, 92 %)", "frost_point(34 °F, 93 %)", "no-frost"),
    (
        "sound_at(84.99 dB, 23 ft, 23 ft)",
        "sound_at(85 dB, 23 ft, 23 ft)",
        "hearing",
    ),
    (
        "sound_sum(81.98 dB, 81.98 dB)",
        "sound_sum(81.99 dB, 81.99 dB)",
        "hearing",
    ),
    (
        "allowed_exposure(84.99 dB, rule: \"NIOSH\")",
        "allowed_exposure(85 dB, rule: \"NIOSH\")",
        "hearing",
    ),
    (
        "sound_at(60 dB, 8 ft, 50 ft)",
        "sound_at(60 dB, 7.99 ft, 50 ft)",
        "near-field",
    ),
    (
        "sound_at(60 dB, 23 ft, 8 ft)",
        "sound_at(60 dB, 23 ft, 7.99 ft)",
        "near-field",
    ),
];

/// Where a rule changes without a word: a value on each side.
const TURNS: &[(&str, &str)] = &[
    ("clock(22:00 + 119 min + 59 s)", "23:59:59"),
    ("clock(22:00 + 2 h)", "00:00"),
    ("clock(2026-01-12)", "00:00"),
    ("clock(2026-01-12 - 1 s)", "23:59:59"),
    ("date(2026-01-11 23:59:59)", "2026-01-11"),
    ("date(2026-01-12)", "2026-01-12"),
    ("weekday(2026-01-11 23:59:59)", "Sunday"),
    ("weekday(2026-01-12)", "Monday"),
    ("month(2026-01-31 23:59:59)", "1"),
    ("month(2026-02-01)", "2"),
    ("next_time(22:00:01, after: 22:00) - 22:00", "0.0002778"),
    ("next_time(22:00, after: 22:00) - 22:00", "24"),
    ("at(2026-01-11, 22:00, after: 21:59:59) - 2026-01-11 22:00", "0"),
    ("at(2026-01-11, 22:00, after: 22:00) - 2026-01-12 22:00", "0"),
    ("vaporization_capacity(12 in, 40 in, 50 %, -20 °F)", "0"),
    ("vaporization_capacity(12 in, 40 in, 50 %, -19 °F)", "2160"),
    ("vaporization_capacity(12 in, 40 in, 60 %, 0 °F)", "48000"),
    ("vaporization_capacity(12 in, 40 in, 61 %, 0 °F)", "48000"),
    ("vaporization_capacity(12 in, 40 in, 59 %, 0 °F)", "47520"),
    ("derated(10 kW, 0 ft, 77 °F, rule: \"3 % per 1000 ft\")", "10000"),
    ("derated(10 kW, 0 ft, 87 °F, rule: \"3 % per 1000 ft\")", "9900"),
    (
        "derated(10 kW, 0 ft, 104 °F, rule: \"3 % per 500 m above 1000 m\")",
        "10000",
    ),
    (
        "derated(10 kW, 0 ft, 113 °F, rule: \"3 % per 500 m above 1000 m\")",
        "9700",
    ),
    ("derated(10 kW, -100 ft, 60 °F, rule: \"3.5 % per 1000 ft\")", "10000"),
    ("allowed_exposure(80 dB, rule: \"OSHA\")", "24"),
    ("allowed_exposure(90 dB, rule: \"OSHA\")", "8"),
    ("allowed_exposure(95 dB, rule: \"OSHA\")", "4"),
    ("allowed_exposure(88 dB, rule: \"NIOSH\")", "4"),
    ("services_due(50 h, 50 h, 0 h)", "1"),
    ("services_due(49.9 h, 50 h, 0 h)", "0"),
    ("cylinders_together(30000 BTU/h, 10000 BTU/h, 0 %)", "3"),
    ("cylinders_together(30001 BTU/h, 10000 BTU/h, 0 %)", "4"),
    ("plug_limit(\"5-15\", true)", "1440"),
    ("plug_limit(\"5-15\", false)", "1800"),
    ("usable_contents(0.1 lb, 47.6 lb, 10 psig)", "0"),
    ("net_contents(19.5 lb, 20 lb)", "0"),
    ("round_up(2.000000000001)", "2"),
    ("round_up(2.00000000001)", "3"),
];

/// Functions without a bound on their values, whose arguments are words, or whatever there is.
const WITHOUT: &[&str] = &[
    "heat_per_pound",
    "heat_per_gallon",
    "heat_per_cubic_foot",
    "slope",
    "intercept",
    "normalized_error",
    "swap_plan",
    "draw_down_time",
    "draw_down_end",
    "abs",
    "min",
    "max",
    "sum",
    "median",
    "mean",
    "count",
    "first",
    "last",
    "running_total",
    "changes",
    "previous",
    "totals",
    "sorted",
    "grid",
    "elapsed",
    "steps",
    "ramps",
];

fn check_refused((inside, outside, said): (&str, &str, &str), wrong: &mut Vec<String>) {
    let (problems, _) = seen(inside);
    if !problems.is_empty() {
        wrong.push(format!("{inside} is inside: {}", problems.join("; ")));
    }
    let (problems, _) = seen(outside);
    if !problems.iter().any(|problem| problem.contains(said)) {
        wrong.push(format!("{outside} is outside, `{said}`: {}", problems.join("; ")));
    }
}

#[test]
fn a_problem_begins_at_its_bound() {
    let mut wrong = Vec::new();
    REFUSED.iter().for_each(|row| check_refused(*row, &mut wrong));
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_draw_down_refuses_at_its_bounds() {
    const USUAL: [&str; 7] = [
        "contents: 10 lb",
        "diameter: 12 in",
        "steel: 20 lb",
        "air: 40 °F",
        "rate: 1 lb/h",
        "film: 10 W/(m2·C°)",
        "least_pressure: 5 psig",
    ];
    let call = |argument: &str| {
        let name = argument.split_once(':').unwrap().0;
        let mut all: Vec<&str> = USUAL
            .into_iter()
            .filter(|usual| usual.split_once(':').unwrap().0 != name)
            .collect();
        all.push(argument);
        format!("draw_down_time({})", all.join(", "))
    };
    let mut wrong = Vec::new();
    for (inside, outside, said) in DRAWN {
        check_refused((&call(inside), &call(outside), said), &mut wrong);
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_caution_begins_at_its_bound() {
    let mut wrong = Vec::new();
    for (inside, outside, code) in CAUTIONED {
        for (call, expected) in [(inside, false), (outside, true)] {
            let (problems, cautions) = seen(call);
            if cautions.iter().any(|caution| caution == code) != expected || !problems.is_empty() {
                wrong.push(format!(
                    "{call}, {code} {expected}: {} {}",
                    cautions.join(", "),
                    problems.join("; ")
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_rule_turns_where_it_says() {
    let mut wrong = Vec::new();
    for (call, expected) in TURNS {
        let sheet = Sheet::load(format!("worked x = {call}\n"), None);
        let report = report(&sheet, Options::default());
        let shown = &report.entries[0].shown.value;
        let number = shown.split(' ').next().unwrap();
        if number != *expected {
            wrong.push(format!("{call} is {expected}: {shown}"));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// A function that is new needs its rows.
#[test]
fn every_function_has_its_edges_here() {
    let name = |call: &str| call.split_once('(').map_or(call, |(name, _)| name).to_owned();
    let rows = REFUSED.iter().chain(CAUTIONED).map(|(inside, ..)| name(inside));
    let turns = TURNS.iter().map(|(call, _)| name(call));
    let mut tested: BTreeSet<String> = rows.chain(turns).collect();
    tested.extend(WITHOUT.iter().map(|name| (*name).to_owned()));
    tested.extend(["draw_down", "heat_parts"].map(str::to_owned));
    let all: BTreeSet<String> = functions().map(|function| function.name.to_owned()).collect();
    let missing: Vec<&String> = all.difference(&tested).collect();
    let unknown: Vec<&String> = tested.difference(&all).collect();
    assert!(
        missing.is_empty() && unknown.is_empty(),
        "missing {missing:?}, unknown {unknown:?}"
    );
}
