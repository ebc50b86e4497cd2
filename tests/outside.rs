//! Data from outside the project, file by file, against the function each belongs to.
//!
//! Tables are read by the language itself and worked there; what is expected is
//! taken from the files or from arithmetic written down beside the check. The
//! files' sources stand in tests/data/README.md. Start reading at [`load`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::fs;
use std::path::PathBuf;

use tarebook::number::Number;
use tarebook::problem::Severity;
use tarebook::report::compose::{Options, report};
use tarebook::sheet::{Reading, Sheet};
use tarebook::trade::propane::{self, INCH, kelvin};
use tarebook::trade::wall::{
    Air, FREEZING, Film, MILE_PER_HOUR, Setting, cross_flow_nusselt, natural_nusselt, settling, vapor_in_air,
};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data")
}

/// A worksheet beside the data, without a problem.
fn load(text: &str) -> Sheet {
    let sheet = Sheet::load(text.to_owned(), Some(folder()));
    let mut problems = sheet.problems();
    problems.retain(|problem| problem.severity == Severity::Problem);
    assert!(problems.is_empty(), "{text}\n{problems:?}");
    sheet
}

fn number(sheet: &Sheet, name: &str) -> Number {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Number(number) => number,
        other => panic!("{name}: {other:?}"),
    }
}

fn value(sheet: &Sheet, name: &str) -> f64 {
    number(sheet, name).to_f64()
}

fn column(sheet: &Sheet, name: &str) -> Vec<f64> {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Column(cells) => cells.iter().map(|cell| cell.unwrap().to_f64()).collect(),
        other => panic!("{name}: {other:?}"),
    }
}

/// To the 12 digits that `=` compares.
fn check_exact(sheet: &Sheet, name: &str, expected: &str) {
    let found = number(sheet, name);
    let expected_number = Number::parse(expected).unwrap();
    assert!(
        found.agrees_with(expected_number),
        "{name}: {}, expected {expected}",
        found.to_plain()
    );
}

fn check_near(what: &str, found: f64, expected: f64, within: f64) {
    let off = (found - expected).abs();
    assert!(off <= within, "{what}: {found}, expected {expected} ± {within}");
}

fn records(name: &str) -> Vec<csv::StringRecord> {
    let mut reader = csv::Reader::from_path(folder().join(name)).unwrap();
    reader.records().map(Result::unwrap).collect()
}

fn float(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text}"))
}

#[test]
fn every_file_has_its_source_beside_it() {
    let readme = fs::read_to_string(folder().join("README.md")).unwrap();
    for file in fs::read_dir(folder()).unwrap().map(Result::unwrap) {
        let name = file.file_name().into_string().unwrap();
        let told = !name.ends_with(".csv") || readme.contains(&name);
        assert!(told, "{name}");
    }
}

// ---- fuel lines ----

/// Slope and intercept of one set of the fuel tables, and the line at its loads.
fn fuel_line(set: &str, unit: &str, loads: &[&str]) -> Sheet {
    let only = format!("where lines.set = \"{set}\"");
    let x = format!("lines.load_kW * 1 kW {only}");
    let y = format!("lines.fuel * 1 {unit} {only}");
    let mut text = format!(
        "table lines = csv(\"fuel_lines.csv\")\nworked rise = slope({x}, {y})\nworked idle = intercept({x}, {y})\n"
    );
    for (row, load) in loads.iter().enumerate() {
        text.push_str(&format!("worked at_{row} = fitted_at({x}, {y}, {load} kW)\n"));
    }
    load(&text)
}

/// The 25 kW propane set is straight: 138 000 BTU/h and 9 960 more for each kW (common practice, no source).
#[test]
fn the_propane_fuel_line_is_exactly_straight() {
    let sheet = fuel_line("25 kW stationary, propane", "BTU/h", &["0", "12.5", "25"]);
    check_exact(&sheet, "rise", "9960");
    check_exact(&sheet, "idle", "138000");
    for (name, expected) in [("at_0", "138000"), ("at_1", "262500"), ("at_2", "387000")] {
        check_exact(&sheet, name, expected);
    }
}

/// The natural gas rows are not: 9 276 a kW, and 16.7, −33.3 and 16.7 BTU/h between line and table, by hand:
/// the mean is 756 500/3, the slope (368 100 − 136 200)/25.
#[test]
fn the_natural_gas_fuel_line_is_nearly_straight() {
    let sheet = fuel_line("25 kW stationary, natural gas", "BTU/h", &["0", "12.5", "25"]);
    check_exact(&sheet, "rise", "9276");
    check_exact(&sheet, "idle", "136216.666666666667");
    for (name, table, residual) in [
        ("at_0", 136_200.0, 16.67),
        ("at_1", 252_200.0, -33.33),
        ("at_2", 368_100.0, 16.67),
    ] {
        check_near(name, value(&sheet, name) - table, residual, 0.005);
    }
}

/// 1 gal lasts 8 h at 0.5 kW and 5.5 h at 1 kW: 2 × (1/5.5 − 1/8) = 5/44 gal/kWh, and 3/44 gal/h at no load.
#[test]
fn a_small_two_stroke_set_burns_three_eighths_at_no_load() {
    let sheet = fuel_line("nominal 1 kW two-stroke, gasoline", "gal/h", &["0.5", "1"]);
    check_exact(&sheet, "rise", "0.113636363636");
    check_exact(&sheet, "idle", "0.0681818181818");
    check_exact(&sheet, "at_0", "0.125");
    check_exact(&sheet, "at_1", "0.181818181818");
    check_near("share", value(&sheet, "idle") / value(&sheet, "at_1"), 0.375, 1e-12);
}

/// One weighed point and the share of the no-load burn give the same line as three rows do.
#[test]
fn a_rescaled_rate_stays_on_the_published_line() {
    let sheet = load(
        "worked from_half [lb/h] = rescale_rate(262.5 lb/h, at_load: 12.5 kW, rated_load: 25 kW, to_load: 25 kW, no_load_share: 100 % * 138 / 387)\n\
         worked down = rescale_rate(387 lb/h, at_load: 25 kW, rated_load: 25 kW, to_load: 0 kW, no_load_share: 100 % * 138 / 387)\n",
    );
    check_exact(&sheet, "from_half", "387");
    check_exact(&sheet, "down", "138");
}

// ---- the handbook's rule ----

/// Each row of the two tables, with a length that makes the rest of the product one.
#[test]
fn the_handbook_rule_has_the_rows_of_its_tables() {
    let (liquids, airs) = (
        records("handbook_vaporization.csv"),
        records("handbook_temperature.csv"),
    );
    assert_eq!((liquids.len(), airs.len()), (6, 8));
    for liquid in &liquids {
        for air in &airs {
            let text = format!(
                "worked x = vaporization_capacity(10 in, 10 in, {} %, {} °F)\n",
                &liquid[0], &air[0]
            );
            let expected = Number::parse(&liquid[1]).unwrap();
            let expected = expected.mul(Number::parse(&air[1]).unwrap()).unwrap();
            let expected = expected.mul(Number::from_integer(100)).unwrap();
            let sheet = load(&text);
            assert_eq!(number(&sheet, "x"), expected, "{text}");
        }
    }
}

// ---- cylinders ----

/// The low end of a range such as `12.2-12.5`.
fn least(text: &str) -> f64 {
    float(text.split('-').next().unwrap())
}

/// The fill limit of each stamp is the nominal size, within half the last digit of the stamp.
#[test]
fn stamps_give_their_nominal_sizes() {
    for row in records("typical_cylinders.csv") {
        let stamp = if row[1].contains('.') { 0.05 } else { 0.5 };
        let sheet = load(&format!("worked limit = fill_limit({} lb)\n", &row[1]));
        check_near(&row[0], value(&sheet, "limit"), float(&row[0]), 0.42 * stamp);
    }
}

/// Cubic inches inside a shell of this outside diameter and length, 0.1 in thick, between 2:1 heads: the straight
/// part π/4·d²·(l − d/2), and two half-ellipsoids of depth d/4, π/24·d³ each.
fn volume(diameter: f64, length: f64) -> f64 {
    let (d, l) = (diameter - 0.2, length - 0.2);
    PI / 4.0 * d * d * (l - d / 2.0) + 2.0 * PI / 24.0 * d * d * d
}

/// The water that shell holds is the stamped capacity: 0.33 % more for 20 lb, and within 0.11 % for the others.
/// The lengths belong to the least of the diameters given; 14.5 in with the 40-lb length would hold 40 % more.
#[test]
fn shell_lengths_belong_to_the_stamped_capacities() {
    let mut checked = 0;
    for row in records("typical_cylinders.csv").iter().filter(|row| !row[4].is_empty()) {
        let inches = volume(least(&row[2]), float(&row[4]));
        // water at 60 °F: 0.99902 kg/L; 1 in3 = 0.016387064 L, 1 lb = 0.45359237 kg
        let water = inches * 0.016_387_064 * 0.999_02 / 0.453_592_37;
        check_near(&row[0], water / float(&row[1]), 1.0, 0.0035);
        // and what lies in it as liquid_level counts it: 42 % of that water at 60 °F
        let text = format!(
            "worked level = liquid_level(0.42 * {water} lb, {} lb, 60 °F)\n",
            &row[1]
        );
        check_near(&row[0], value(&load(&text), "level"), 82.28, 0.35);
        checked += 1;
    }
    assert_eq!(checked, 4);
}

// ---- loads ----

/// Ranges such as `750-1100` leave the column text; the starts are numbers, and missing where none is printed.
#[test]
fn the_appliance_table_is_read_as_it_stands() {
    let sheet = load(
        "table printed = csv(\"appliances_published.csv\")\n\
         worked rows = count(printed.appliance)\n\
         worked starts = count(printed.starting_total_W)\n\
         worked largest = max(printed.starting_total_W)\n\
         worked first_start = first(printed.starting_total_W where printed.appliance = \"furnace fan\")\n\
         worked microwave = first(printed.running_W where printed.appliance = \"microwave\")\n",
    );
    check_exact(&sheet, "rows", "14");
    check_exact(&sheet, "starts", "5");
    check_exact(&sheet, "largest", "2000");
    check_exact(&sheet, "first_start", "1400");
    assert_eq!(sheet.texts().text(number(&sheet, "microwave")), "750-1100");
}

/// By hand: 800 + 800 + 700 + 750 + 750 = 3 800 W running, the freezer starts with 1 200 W more, all starts
/// together 1 500 + 2 000 + 1 400 + 1 400 + 1 500 = 7 800 W.
#[test]
fn printed_starts_make_a_peak() {
    let mut text = "table loads\n  | item | running [W] | starting [W] |\n".to_owned();
    for row in records("appliances_published.csv")
        .iter()
        .filter(|row| !row[2].is_empty())
    {
        text.push_str(&format!("  | {} | {} | {} |\n", &row[0], &row[1], &row[2]));
    }
    text.push_str("worked peak = starting_peak(loads.running, loads.starting)\n");
    let sheet = load(&text);
    check_exact(&sheet, "peak", "5000");
    let cautions = report(&sheet, Options::default()).cautions;
    let all = cautions.iter().find(|caution| caution.code == "all-at-once").unwrap();
    assert!(all.text.contains("7800 W"), "{}", all.text);
}

// ---- propane ----

const TC: f64 = 369.89;
const PC: f64 = 4_251_200.0;
const RHO: f64 = 220.4781;

/// A fit as its row of propane_correlations.csv prints it.
fn by_form(name: &str, c: &[f64], kelvin: f64) -> f64 {
    let (t, r) = (1.0 - kelvin / TC, kelvin / TC);
    match name {
        "psat_1_1.5_2.5_5" => {
            PC * (TC / kelvin * (c[0] * t + c[1] * t.powf(1.5) + c[2] * t.powf(2.5) + c[3] * t.powi(5))).exp()
        }
        "hfg_power_poly" => c[0] * t.powf(c[1] + c[2] * r + c[3] * r * r),
        "rholiq_4term" => RHO + c[0] * t.powf(0.35) + c[1] * t.powf(2.0 / 3.0) + c[2] * t + c[3] * t.powf(4.0 / 3.0),
        "rhovap_4term" => {
            RHO * (TC / kelvin * (c[0] * t.powf(0.35) + c[1] * t.powf(0.8) + c[2] * t.powf(3.5) + c[3] * t.powi(5)))
                .exp()
        }
        "cpliq_pole" => c[0] / t + c[1] + c[2] * t + c[3] * t * t,
        other => panic!("{other}"),
    }
}

/// The fits in use: name, the function, the column of propane_saturation.csv and its size in SI.
type Fit = (&'static str, fn(f64) -> f64, usize, f64);

const FITS: [Fit; 5] = [
    ("psat_1_1.5_2.5_5", propane::saturation_pressure, 2, 1000.0),
    ("hfg_power_poly", propane::latent_heat, 4, 1000.0),
    ("rholiq_4term", propane::liquid_density, 6, 1.0),
    ("rhovap_4term", propane::vapor_density, 8, 1.0),
    ("cpliq_pole", propane::liquid_heat, 9, 1000.0),
];

/// Half a step of the last digit written.
fn half_step(text: &str) -> f64 {
    let decimals = text.split_once('.').map_or(0, |(_, after)| after.len());
    0.5 * 10f64.powi(-(decimals as i32))
}

#[test]
fn the_fits_are_those_of_the_file() {
    let rows: BTreeMap<String, csv::StringRecord> = records("propane_correlations.csv")
        .into_iter()
        .map(|row| (row[0].to_owned(), row))
        .collect();
    for (name, ours, column, size) in FITS {
        let row = &rows[name];
        let coefficients: Vec<f64> = row[3].split(';').map(float).collect();
        // the coefficients: our function is the printed form to the last digits, all over the range
        for step in 0..=950 {
            let kelvin = 228.15 + 0.1 * f64::from(step);
            let printed = by_form(name, &coefficients, kelvin);
            check_near(name, ours(kelvin) / printed, 1.0, 1e-13);
        }
        // the error: no more than stated, per cent, at each row from the equation of state
        let stated = float(&row[4]) + half_step(&row[4]);
        for state in records("propane_saturation.csv") {
            let kelvin = float(&state[0]);
            let off = (ours(kelvin) / (size * float(&state[column])) - 1.0) * 100.0;
            check_near(&format!("{name} at {kelvin} K"), off, 0.0, stated);
        }
    }
}

/// The trade's units of the same table: °F, psig, BTU/lb, lb/gal, lb/ft3 and BTU/(lb·F°), through the language.
#[test]
fn propane_in_the_units_of_the_trade() {
    let sheet = load(
        "table state = csv(\"propane_saturation.csv\")\n\
         worked at = 0 °F + state.T_degF * 1 F°\n\
         worked pressure = propane_pressure(at)\n\
         worked heat = propane_latent_heat(at)\n\
         worked liquid = propane_density(at)\n\
         worked vapor = propane_vapor_density(at)\n\
         worked warmth = propane_liquid_heat(at)\n\
         worked back = propane_boiling(pressure)\n",
    );
    let found: Vec<Vec<f64>> = ["pressure", "heat", "liquid", "vapor", "warmth", "back"]
        .into_iter()
        .map(|name| column(&sheet, name))
        .collect();
    for (index, row) in records("propane_saturation.csv").iter().enumerate() {
        let at = |what: usize| found[what][index];
        let of = |column: usize| float(&row[column]);
        // one psi is 6.894757293168361 kPa, one lb/ft3 16.018463373960138 kg/m3, one BTU/(lb·F°) 4.1868 kJ/(kg·K)
        check_near("psig", at(0), of(3), 0.95e-5 * of(2) / 6.894_757_293_168_361);
        check_near("BTU/lb", at(1) / of(5), 1.0, 3.1e-5);
        check_near("lb/gal", at(2) / of(7), 1.0, 1.27e-5);
        check_near("lb/ft3", at(3) * 16.018_463_373_960_138 / of(8), 1.0, 0.65e-5);
        check_near("BTU/(lb·F°)", at(4) * 4.1868 / of(9), 1.0, 2.42e-5);
        check_near("°F", at(5), of(1), 1e-9);
    }
}

// ---- sound and cords ----

/// What is worked with levels beside the functions: the distance for a level, means, levels over hours, a
/// background taken off, a level from a sound power.
fn by_sound(kind: &str, inputs: &[&str]) -> Option<String> {
    let n = inputs.len();
    Some(match kind {
        "distance_for" => format!("{} m * 10 ^ (({} dB - {} dB) / 20 dB)", inputs[1], inputs[0], inputs[2]),
        "mean" => format!("sound_sum({} dB) - 10 dB * log10({n})", inputs.join(" dB, ")),
        "leq" => format!(
            "sound_sum({0} dB + 10 dB * log10({1}), {2} dB + 10 dB * log10({3})) - 10 dB * log10({1} + {3})",
            inputs[0], inputs[1], inputs[2], inputs[3]
        ),
        "minus_background" => format!(
            "{0} dB + 10 dB * log10(1 - 10 ^ (({1} dB - {0} dB) / 10 dB))",
            inputs[0], inputs[1]
        ),
        "pressure_from_power" => {
            // 1 m is where 10·lg(2π) is the whole of it
            format!(
                "sound_at({} dB - 10 dB * log10({}), 1 m, {} m)",
                inputs[0],
                2.0 * PI,
                inputs[1]
            )
        }
        _ => return None,
    })
}

#[test]
fn the_rest_of_the_sound_rows_are_worked_in_the_language() {
    let mut checked = 0;
    for row in records("sound.csv") {
        let inputs: Vec<&str> = row[2].split(';').collect();
        let Some(expression) = by_sound(&row[1], &inputs) else {
            continue;
        };
        let sheet = load(&format!("worked x [{}] = {expression}\n", &row[4]));
        check_near(&row[0], value(&sheet, "x"), float(&row[3]), 1e-9);
        checked += 1;
    }
    assert_eq!(checked, 5);
}

/// Drops over there and back, by the resistance of solid wire, and what is lost in it.
#[test]
fn drops_follow_from_the_resistance() {
    for row in records("voltage_drop.csv") {
        let awg = if row[1].contains('/') {
            format!("\"{}\"", &row[1])
        } else {
            row[1].to_owned()
        };
        let (feet, current, celsius, supply) = (&row[2], &row[3], &row[4], &row[5]);
        let sheet = load(&format!(
            "worked cold [ohm] = wire_resistance({awg}, 1 km)\n\
             worked around [ohm] = 2 * wire_resistance({awg}, {feet} ft, conductor: {celsius} °C)\n\
             worked drop [V] = {current} A * around\n\
             worked lost [%] = drop / ({supply} V)\n\
             worked heat [ohm·A2] = around * ({current} A)^2\n"
        ));
        for (name, column) in [("cold", 8), ("around", 11), ("drop", 12), ("lost", 13), ("heat", 15)] {
            let expected = float(&row[column]);
            check_near(name, value(&sheet, name), expected, 1e-9 * expected);
        }
    }
}

/// Geometric altitude is not geopotential: the short formula differs, and isn't what the function gives.
#[test]
fn altitude_is_geometric() {
    for row in records("isa_pressure.csv")
        .iter()
        .filter(|row| float(&row[1]).abs() > 1.0)
    {
        let found = value(&load(&format!("worked p = air_pressure({} ft)\n", &row[0])), "p");
        let (right, short) = (float(&row[4]), float(&row[6]));
        check_near(&row[0], found, right, 1e-8 * right);
        assert!((found - short).abs() > 0.9 * (right - short).abs(), "{row:?}");
    }
}

// ---- heat from the air ----

fn check_share(what: &str, found: f64, expected: f64, share: f64) {
    check_near(what, found, expected, share * expected.abs());
}

/// Parts and sum; the air's own properties are fitted to 0.013 %.
#[test]
fn the_film_comes_out_part_by_part() {
    for row in records("film_in_air.csv") {
        let at = |column: usize| float(&row[column]);
        let setting = Setting {
            diameter: at(1) * INCH,
            height: at(2) * INCH,
            emissivity: at(6),
        };
        let (air, wall) = (kelvin(at(3)), kelvin(at(4)));
        let film = Film::new(&setting, air, wall, at(5) * MILE_PER_HOUR);
        let between = Air::at(0.5 * (air + wall));
        let of_air = [between.conductivity, between.prandtl, between.viscosity];
        for (found, column) in of_air.into_iter().zip(7..) {
            check_share(&row[0], found, at(column), 1.3e-4);
        }
        for (found, column) in [(film.natural, 12), (film.forced, 13), (film.radiative, 14)] {
            check_share(&row[0], found, at(column), 1.5e-4);
        }
        let (natural, forced, radiative) = (at(12), at(13), at(14));
        let sum = (natural.powi(4) + forced.powi(4)).powf(0.25) + radiative;
        let sheet = load(&format!(
            "worked x = film_in_air({} in, {} in, {} °F, {} °F, {} mph, emissivity: {})\n",
            &row[1], &row[2], &row[3], &row[4], &row[5], &row[6]
        ));
        check_share(&row[0], value(&sheet, "x"), sum, 1.5e-4);
    }
}

/// Worked examples as they are printed in Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, from memory:
/// a fire screen of glass, 0.71 m high (9.2), and a cylinder in a wind tunnel (7.4).
#[test]
fn printed_examples_of_heat_transfer_come_out() {
    check_near("fire screen", natural_nusselt(1.813e9, 0.690), 147.0, 0.5);
    check_near("wind tunnel", cross_flow_nusselt(6_071.0, 0.70), 40.6, 0.05);
}

/// Vapor pressures here are those of WMO-No. 8, the file's are another library's: 0.4 to 0.7 % apart. Below freezing
/// the file counts humidity over ice, and the program over water, so that it is told as much vapor.
#[test]
fn moisture_settles_on_a_cold_wall() {
    for row in records("moisture_on_wall.csv") {
        let at = |column: usize| float(&row[column]);
        let (air, wall) = (kelvin(at(1)), kelvin(at(2)));
        let told = vapor_in_air(air, at(3) / 100.0);
        if air >= FREEZING {
            check_share(&row[0], told, at(5), 0.008);
        }
        let frozen = if wall < FREEZING { 1.0 } else { 0.0 };
        let settled = settling(at(4), air, wall, at(5), frozen);
        // the wall's vapor is 0.6 % off, which weighs more where little settles
        let within = 0.006 * at(6) / (at(5) - at(6)).abs();
        check_near(&row[0], settled.heat, at(8), at(8) * (within + 0.002));
        check_near(&row[0], settled.heat / (air - wall), at(9), at(9) * (within + 0.002));
    }
}

/// Where it blows as hard as the cylinder is cold, where nothing moves, and where nothing radiates.
#[test]
fn the_film_at_its_ends() {
    let setting = Setting {
        diameter: 0.31,
        height: 0.35,
        emissivity: 0.0,
    };
    let still = Film::new(&setting, 280.0, 280.0, 0.0);
    assert_eq!((still.forced, still.radiative), (0.0, 0.0));
    check_near(
        "still",
        still.natural,
        0.825 * 0.825 * Air::at(280.0).conductivity / 0.35,
        1e-12,
    );
    let breath = Film::new(&setting, 280.0, 260.0, 1e-6);
    check_near("a breath", breath.convective(), breath.natural, 1e-5);
    let warmer = Film::new(&setting, 260.0, 280.0, 0.0);
    check_near("either way", warmer.natural, breath.natural, 1e-9);
}
