//! Every function of the trade as it is agreed: parameters, units, defaults, closed lists, results, standing.
//!
//! The list below is written by hand and apart from the declarations: a change
//! of either must be a change of both. The walk also asks of each declaration
//! what a reader needs. Start reading at [`AGREED`].
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use tarebook::trade::caution::caution;
use tarebook::trade::registry::{function, functions};
use tarebook::trade::{Body, Chapter, Function, Parameter, ParameterKind, ResultKind, Shape, Standing};

/// `name(parameters) -> result`, the cautions that go with every use, and the standing its sources have at least.
/// `[unit]` is the unit worked in, `{…}` a closed list, `column` a column as a whole, `course` a value that may be
/// `steps(…)` or `ramps(…)`, `= x` a default.
const AGREED: [(&str, &[&str], &[Standing]); 67] = [
    // cylinder
    (
        "net_contents(gross [lb], tare [lb], attached [lb] = 0 lb) -> [lb]",
        &["cylinder-place"],
        &[COMPUTED],
    ),
    (
        "fill_limit(water_capacity [lb], filling_density [%] = 42 %) -> [lb]",
        &["cylinder-place"],
        &[PUBLISHED],
    ),
    (
        "liquid_level(contents [lb], water_capacity [lb], temperature [°F]) -> [%]",
        &["cylinder-place"],
        &[COMPUTED],
    ),
    (
        "usable_contents(contents [lb], water_capacity [lb], least_pressure [psig]) -> [lb]",
        &["cylinder-place", "gauge-shows-temperature"],
        &[COMPUTED],
    ),
    (
        "requalification_date(made [date], last_test [date] = made, method {volumetric|proof pressure|external visual}) -> date",
        &["not-filled"],
        &[PUBLISHED, MEMORY],
    ),
    // propane, saturated
    (
        "propane_pressure(temperature [°F]) -> [psig]",
        &["gauge-shows-temperature", "pure-propane"],
        &[COMPUTED],
    ),
    (
        "propane_boiling(pressure [psig]) -> [°F]",
        &["gauge-shows-temperature", "pure-propane"],
        &[COMPUTED],
    ),
    ("propane_latent_heat(temperature [°F]) -> [BTU/lb]", &[], &[COMPUTED]),
    ("propane_density(temperature [°F]) -> [lb/gal]", &[], &[COMPUTED]),
    ("propane_vapor_density(temperature [°F]) -> [lb/ft3]", &[], &[COMPUTED]),
    (
        "propane_liquid_heat(temperature [°F]) -> [BTU/(lb·F°)]",
        &[],
        &[COMPUTED],
    ),
    (
        "gauge_at(pressure [psig], altitude [ft]) -> [psi]",
        &["gauge-shows-temperature"],
        &[PUBLISHED],
    ),
    // fuels
    (
        "heat_per_pound(fuel {propane|gasoline E10|gasoline E0|diesel|natural gas}, basis {gross|net} = \"gross\") -> [BTU/lb]",
        &[],
        &[PUBLISHED, COMPUTED],
    ),
    (
        "heat_per_gallon(fuel {propane|gasoline E10|gasoline E0|diesel|natural gas}, basis {gross|net} = \"gross\") -> [BTU/gal]",
        &[],
        &[PUBLISHED, MEMORY],
    ),
    (
        "heat_per_cubic_foot(fuel {propane|gasoline E10|gasoline E0|diesel|natural gas}, basis {gross|net} = \"gross\") -> [BTU/ft3]",
        &[],
        &[PUBLISHED],
    ),
    (
        "heat_input(rate [lb/h], fuel {propane|gasoline E10|gasoline E0|diesel|natural gas} = \"propane\", basis {gross|net} = \"gross\") -> [BTU/h]",
        &[],
        &[PUBLISHED],
    ),
    (
        "carbon_dioxide(fuel {propane|gasoline E10|gasoline E0|diesel|natural gas}, heat [MMBTU]) -> [kg]",
        &[],
        &[PUBLISHED],
    ),
    // burn and engine
    (
        "burn_rate(time column times, weight column [lb], attached column truth = false) -> [lb/h]",
        &["carbon-monoxide"],
        &[PUBLISHED, COMPUTED],
    ),
    (
        "attached_weight(time column times, weight column [lb], attached column truth) -> [lb]",
        &["carbon-monoxide"],
        &[PUBLISHED, COMPUTED],
    ),
    (
        "rate_at_load(time column times, weight column [lb], load column [W], at_load [W], attached column truth = false) -> [lb/h]",
        &["carbon-monoxide"],
        &[PUBLISHED, COMPUTED, PRACTICE],
    ),
    (
        "reaches(time column times, weight column [lb], target [lb], attached column truth = false) -> along x",
        &["carbon-monoxide"],
        &[PUBLISHED, COMPUTED],
    ),
    (
        "slope(x column any, y column any, attached column truth = false) -> y over x",
        &[],
        &[PUBLISHED],
    ),
    (
        "intercept(x column any, y column any, attached column truth = false) -> like y",
        &[],
        &[PUBLISHED],
    ),
    (
        "fitted_at(x column any, y column any, at like x, attached column truth = false) -> like y",
        &[],
        &[PUBLISHED],
    ),
    (
        "next_reading(x column any, y column any, at like x, attached column truth = false) -> like y",
        &[],
        &[PUBLISHED],
    ),
    (
        "rescale_rate(rate [lb/h], at_load [W], rated_load [W], to_load [W], no_load_share [%]) -> [lb/h]",
        &["carbon-monoxide"],
        &[PRACTICE],
    ),
    (
        "fuel_needed(hours column [h], load column [W], rated_load [W], rated_rate [lb/h], no_load_share [%], duty column [%] = 100 %) -> [lb]",
        &["carbon-monoxide"],
        &[],
    ),
    (
        "swap_plan(hours column [h], rate column [lb/h], usable column [lb], reserve [lb] = 0 lb, joined [each] = 1 each, names column = none, air course [°F] = none, diameter column [in] = none, steel column [lb] = none, least_pressure [psig] = none, film [W/(m2·C°)] = none, wind course [mph] = none, height column [in] = none, humidity course [%] = none, bottom [%] = 100 %) -> table cylinder, starts [h], ends [h], left [lb]",
        &["carbon-monoxide", "cylinder-place"],
        &[COMPUTED],
    ),
    (
        "electrical_efficiency(load [W], heat_input [BTU/h]) -> [%]",
        &["carbon-monoxide"],
        &[PRACTICE],
    ),
    (
        "derated(rated [W], altitude [ft], air [°F], rule {3.5 % per 1000 ft|3 % per 1000 ft|3 % per 500 m above 1000 m}) -> [W]",
        &["carbon-monoxide"],
        &[PRACTICE],
    ),
    ("air_pressure(altitude [ft]) -> [kPa]", &[], &[PUBLISHED]),
    ("sae_j1349(dry_pressure [kPa], air [°C]) -> plain", &[], &[]),
    (
        "shortest_weighing(rate [lb/h], step [lb], wanted [%], readings = 2) -> [h]",
        &[],
        &[],
    ),
    ("average(results like x several) -> like x", &[], &[PUBLISHED]),
    ("at_least(value anything, sure [%]) -> like x", &[], &[PUBLISHED]),
    ("at_most(value anything, sure [%]) -> like x", &[], &[PUBLISHED]),
    ("normalized_error(a any, b like x) -> plain", &[], &[MEMORY]),
    // vaporizing and icing
    (
        "vaporization_capacity(diameter [in], length [in], liquid [%], air [°F]) -> [BTU/h]",
        &["calm-air", "upright-extrapolation"],
        &[MEMORY],
    ),
    (
        "hundred_pound_capacity(contents [lb], air [°F]) -> [BTU/h]",
        &["calm-air"],
        &[PRACTICE],
    ),
    ("icing_margin(supply [BTU/h], demand [BTU/h]) -> [%]", &[], &[]),
    (
        "cylinders_together(demand [BTU/h], supply_each [BTU/h], margin [%]) -> [each]",
        &["side-by-side"],
        &[PRACTICE],
    ),
    ("boiling_heat(rate [lb/h], liquid [°F]) -> [W]", &[], &[COMPUTED]),
    (
        "wetted_area(contents [lb], diameter [in], temperature [°F], wall_reach [in] = 0 in) -> [ft2]",
        &[],
        &[COMPUTED],
    ),
    (
        "wall_reach(wall [in], film [W/(m2·C°)], metal {steel|aluminum}) -> [in]",
        &[],
        &[MEMORY],
    ),
    (
        "continuous_rate(contents [lb], diameter [in], air [°F], film [W/(m2·C°)], least_pressure [psig], wall_reach [in] = 0 in) -> [lb/h]",
        &["gauge-shows-temperature"],
        &[COMPUTED],
    ),
    (
        "equilibrium_temperature(rate [lb/h], contents [lb], diameter [in], air [°F], film [W/(m2·C°)], extra_heat [W] = 0 W, wall_reach [in] = 0 in) -> [°F]",
        &[],
        &[COMPUTED],
    ),
    (
        "draw_down(contents [lb], diameter [in], steel [lb], air course [°F], rate course [lb/h], film [W/(m2·C°)] = none, least_pressure [psig], extra_heat [W] = 0 W, start [°F] = air, limit [h] = 168 h, every [min] = 10 min, steel_heat [J/(kg·C°)] = 490 J/(kg·C°), wall_reach [in] = fin, wind course [mph] = none, height [in] = none, humidity course [%] = none, bottom [%] = 100 %, wall [in] = 0.1 in, convection [%] = 100 %, emissivity [%] = 90 %, frost [W/(m·C°)] = 0.15 W/(m·C°)) -> table time [h], contents [lb], temperature [°F], pressure [psig], rate [lb/h]",
        &["gauge-shows-temperature"],
        &[COMPUTED],
    ),
    (
        "draw_down_time(contents [lb], diameter [in], steel [lb], air course [°F], rate course [lb/h], film [W/(m2·C°)] = none, least_pressure [psig], extra_heat [W] = 0 W, start [°F] = air, limit [h] = 168 h, every [min] = 10 min, steel_heat [J/(kg·C°)] = 490 J/(kg·C°), wall_reach [in] = fin, wind course [mph] = none, height [in] = none, humidity course [%] = none, bottom [%] = 100 %, wall [in] = 0.1 in, convection [%] = 100 %, emissivity [%] = 90 %, frost [W/(m·C°)] = 0.15 W/(m·C°)) -> [h]",
        &["gauge-shows-temperature"],
        &[COMPUTED],
    ),
    (
        "draw_down_end(contents [lb], diameter [in], steel [lb], air course [°F], rate course [lb/h], film [W/(m2·C°)] = none, least_pressure [psig], extra_heat [W] = 0 W, start [°F] = air, limit [h] = 168 h, every [min] = 10 min, steel_heat [J/(kg·C°)] = 490 J/(kg·C°), wall_reach [in] = fin, wind course [mph] = none, height [in] = none, humidity course [%] = none, bottom [%] = 100 %, wall [in] = 0.1 in, convection [%] = 100 %, emissivity [%] = 90 %, frost [W/(m·C°)] = 0.15 W/(m·C°)) -> text",
        &["gauge-shows-temperature"],
        &[COMPUTED],
    ),
    (
        "heat_parts(night draw_down) -> table time [h], convection [W], radiation [W], moisture [W], dry_wall [W], bottom [W], film [W/(m2·C°)], frost [mm]",
        &["carbon-monoxide", "gauge-shows-temperature", "pure-propane"],
        &[COMPUTED],
    ),
    (
        "film_from_run(contents [lb], diameter [in], steel [lb], air [°F], rate [lb/h], ran [h], least_pressure [psig], wall_read [°F] = none, stalled truth = false, extra_heat [W] = 0 W, start [°F] = air, steel_heat [J/(kg·C°)] = 490 J/(kg·C°), wall_reach [in] = fin, height [in] = none, humidity [%] = none, bottom [%] = 100 %, wall [in] = 0.1 in, emissivity [%] = 90 %, frost [W/(m·C°)] = 0.15 W/(m·C°)) -> [W/(m2·C°)]",
        &[],
        &[COMPUTED],
    ),
    ("dew_point(air [°F], humidity [%]) -> [°F]", &[], &[PUBLISHED]),
    ("frost_point(air [°F], humidity [%]) -> [°F]", &[], &[PUBLISHED]),
    ("vapor_pressure(air [°F], humidity [%]) -> [kPa]", &[], &[PUBLISHED]),
    (
        "film_in_air(diameter [in], height [in], air [°F], wall [°F], wind [mph], emissivity [%] = 90 %) -> [W/(m2·C°)]",
        &[],
        &[MEMORY, COMPUTED],
    ),
    // load, cords, gas line, sound, upkeep
    (
        "starting_peak(running column [W], starting column [W]) -> [W]",
        &["backfeed"],
        &[PRACTICE],
    ),
    (
        "locked_rotor(code {A|B|C|D|E|F|G|H|J|K|L|M|N|P|R|S|T|U|V}, power [hp]) -> [kVA]",
        &[],
        &[PUBLISHED],
    ),
    (
        "plug_limit(plug {5-15|5-20|TT-30|L5-30|L14-20|L14-30|L6-30|14-50}, continuous truth = false) -> [W]",
        &["cord-heat", "backfeed"],
        &[MEMORY],
    ),
    (
        "wire_resistance(awg {1/0|2/0} or number, length [ft], conductor [°C] = 20 °C) -> [ohm]",
        &["cord-heat"],
        &[PUBLISHED],
    ),
    (
        "voltage_drop(current [A], awg {1/0|2/0} or number, one_way [ft]) -> [V]",
        &["cord-heat"],
        &[PUBLISHED],
    ),
    (
        "cord_ampacity(awg {1/0|2/0} or number, conductors = 2) -> [A]",
        &["cord-heat"],
        &[PUBLISHED],
    ),
    (
        "gas_line_capacity(inside_diameter [in], length [ft], drop [inH2O], supply [inH2O] = 11 inH2O) -> [BTU/h]",
        &[],
        &[MEMORY],
    ),
    (
        "sound_at(level [dB], measured_at [ft], heard_at [ft]) -> [dB]",
        &[],
        &[],
    ),
    ("sound_sum(levels [dB] several) -> [dB]", &[], &[]),
    (
        "allowed_exposure(level [dB], rule {OSHA|NIOSH}) -> [h]",
        &[],
        &[PUBLISHED],
    ),
    (
        "services_due(run [h], every [h], since_last [h]) -> [each]",
        &[],
        &[PRACTICE],
    ),
    (
        "service_date(last [date], every [d], run [h/d], every_hours [h], since_last [h]) -> date",
        &[],
        &[PRACTICE],
    ),
];

/// General functions, which follow their arguments.
const GENERAL: [&str; 35] = [
    "abs",
    "min",
    "max",
    "sum",
    "mean",
    "deviation",
    "median",
    "percentile",
    "count",
    "first",
    "last",
    "running_total",
    "changes",
    "previous",
    "totals",
    "sorted",
    "grid",
    "round",
    "round_up",
    "round_down",
    "sqrt",
    "exp",
    "ln",
    "log10",
    "interpolate",
    "absolute",
    "elapsed",
    "clock",
    "date",
    "weekday",
    "month",
    "at",
    "next_time",
    "steps",
    "ramps",
];

const PUBLISHED: Standing = Standing::Published;
const COMPUTED: Standing = Standing::Computed;
const PRACTICE: Standing = Standing::CommonPractice;
const MEMORY: Standing = Standing::FromMemory;

fn name_of(line: &str) -> &str {
    line.split('(').next().unwrap()
}

fn parameter(parameter: &Parameter) -> String {
    let shape = match (parameter.shape, parameter.kind) {
        (Shape::Column, _) => " column",
        (_, ParameterKind::Schedule(_)) => " course",
        _ => "",
    };
    let kind = match parameter.kind {
        ParameterKind::Quantity("") => String::new(),
        ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) => format!(" [{unit}]"),
        ParameterKind::Word(words) => format!(" {{{}}}", words.join("|")),
        ParameterKind::NumberOrWord(words) => format!(" {{{}}} or number", words.join("|")),
        ParameterKind::Truth => " truth".to_owned(),
        ParameterKind::Level => " [dB]".to_owned(),
        ParameterKind::Times => " times".to_owned(),
        ParameterKind::Moment => " [date]".to_owned(),
        ParameterKind::Clock => " [clock time]".to_owned(),
        ParameterKind::Time => " [time]".to_owned(),
        ParameterKind::AnyQuantity => " any".to_owned(),
        ParameterKind::LikeFirst => " like x".to_owned(),
        ParameterKind::Anything => " anything".to_owned(),
        ParameterKind::Names => String::new(),
        ParameterKind::Table(of) => format!(" {of}"),
    };
    let several = if parameter.shape == Shape::Several {
        " several"
    } else {
        ""
    };
    let default = parameter
        .default
        .map_or(String::new(), |default| format!(" = {default}"));
    format!("{}{shape}{kind}{several}{default}", parameter.name)
}

fn result(kind: ResultKind) -> String {
    match kind {
        ResultKind::Quantity("") => "plain".to_owned(),
        ResultKind::Quantity(unit) => format!("[{unit}]"),
        ResultKind::Text => "text".to_owned(),
        ResultKind::Level => "[dB]".to_owned(),
        ResultKind::Moment => "date".to_owned(),
        ResultKind::Clock => "clock time".to_owned(),
        ResultKind::Time => "time".to_owned(),
        ResultKind::Along => "along x".to_owned(),
        ResultKind::LikeFirst => "like x".to_owned(),
        ResultKind::SecondOverFirst => "y over x".to_owned(),
        ResultKind::LikeSecond => "like y".to_owned(),
        ResultKind::Special => "special".to_owned(),
        ResultKind::Table(columns) => {
            let columns: Vec<String> = columns
                .iter()
                .map(|column| match column.unit {
                    "" => column.name.to_owned(),
                    unit => format!("{} [{unit}]", column.name),
                })
                .collect();
            format!("table {}", columns.join(", "))
        }
    }
}

fn declared(function: &Function) -> String {
    let parameters: Vec<String> = function.parameters.iter().map(parameter).collect();
    format!(
        "{}({}) -> {}",
        function.name,
        parameters.join(", "),
        result(function.result)
    )
}

#[test]
fn every_function_is_declared_as_agreed() {
    let mut wrong = Vec::new();
    for (line, cautions, standings) in AGREED {
        let Some(function) = function(name_of(line)) else {
            wrong.push(format!("{line}: there is none"));
            continue;
        };
        if declared(function) != line {
            wrong.push(format!("agreed   {line}\ndeclared {}", declared(function)));
        }
        for code in cautions {
            assert!(caution(code).is_some(), "{code}");
            if !function.cautions.iter().any(|caution| caution.code == *code) {
                wrong.push(format!("{line}: without {code}"));
            }
        }
        for standing in standings {
            if !function.sources.iter().any(|source| source.standing == *standing) {
                wrong.push(format!("{line}: no source is {}", standing.word()));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn nothing_is_declared_that_is_not_agreed() {
    let agreed = AGREED.iter().map(|(line, ..)| name_of(line));
    let agreed: BTreeSet<&str> = agreed.chain(GENERAL).collect();
    let declared: BTreeSet<&str> = functions().map(|function| function.name).collect();
    assert_eq!(declared, agreed);
    for name in GENERAL {
        assert_eq!(function(name).unwrap().chapter, Chapter::General, "{name}");
    }
}

/// Formula, sources, range, an example, what each parameter means, and what it usually is where it is a number.
#[test]
fn every_function_says_what_a_reader_needs() {
    let mut wrong = Vec::new();
    for (line, ..) in AGREED {
        let function = function(name_of(line)).unwrap();
        let texts = [function.summary, function.formula, function.range, function.notes];
        let complete = texts.iter().all(|text| !text.is_empty())
            && function.sources.iter().all(|source| !source.title.is_empty())
            && !function.sources.is_empty()
            && !function.examples.is_empty();
        if !complete {
            wrong.push(format!("{line}: incomplete"));
        }
        for parameter in function.parameters {
            let number = matches!(
                parameter.kind,
                ParameterKind::Quantity(_) | ParameterKind::Schedule(_) | ParameterKind::Level
            );
            if parameter.meaning.is_empty() || number && parameter.usual.is_none() {
                wrong.push(format!("{}: `{}` says too little", function.name, parameter.name));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Only the rules of thumb say how far they may be out themselves, and every report of them prints it.
#[test]
fn rules_of_thumb_say_how_far_they_may_be_out() {
    let out: Vec<&str> = functions()
        .filter(|function| function.rule_error.is_some())
        .map(|function| function.name)
        .collect();
    assert_eq!(out, ["vaporization_capacity", "hundred_pound_capacity", "film_in_air"]);
}

/// A value that a user should decide has no default.
#[test]
fn nothing_that_a_user_should_decide_has_a_default() {
    for (name, parameters) in [
        ("derated", "rule"),
        ("allowed_exposure", "rule"),
        ("rescale_rate", "no_load_share"),
        ("fuel_needed", "no_load_share"),
        ("cylinders_together", "margin"),
        ("continuous_rate", "film least_pressure"),
        ("equilibrium_temperature", "film"),
        ("draw_down", "least_pressure air rate"),
        ("vaporization_capacity", "liquid air"),
        ("usable_contents", "least_pressure"),
        ("heat_per_gallon", "fuel"),
        ("wall_reach", "metal"),
        ("requalification_date", "method"),
    ] {
        for parameter in parameters.split(' ') {
            let found = function(name).unwrap().parameters.iter().find(|p| p.name == parameter);
            assert_eq!(found.unwrap().default, None, "{name}: {parameter}");
        }
    }
}

/// What the cautions about life and property must say.
#[test]
fn cautions_say_what_they_must() {
    for (code, source, words) in [
        (
            "carbon-monoxide",
            "CPSC",
            "outdoors only;never in a garage even with the door open;at least 20 ft;exhaust pointing away;windows in its path shut;every level;outside the bedrooms;no reason to move the set nearer",
        ),
        (
            "cylinder-heat",
            "trade safety",
            "flame, torch, heater blast or engine exhaust;under 120 °F;wrap, box or bury;colder than the air;moving air feeds it;off the snow;share the draw, start full, run less, or change to gasoline",
        ),
        (
            "cylinder-heater",
            "trade safety",
            "listed for propane cylinders;below 120 °F;as its maker says;heat lamp, heat tape, hot pad or blanket, warm water;Local code or the supplier may forbid it;load of the set",
        ),
        ("stalls-first", "energy balance", "before it is empty"),
        (
            "by-weight",
            "energy balance",
            "may lose its pressure long before;draw_down_time;plan by the shorter",
        ),
        ("calm-air", "still", "assumes wind;a third to a half"),
        ("overfill", "49 CFR 173.304a", "have the supplier bleed it"),
        (
            "side-by-side",
            "trade practice",
            "manifold with check valves;unequal temperature or fill moves liquid into the colder;changeover does not share the draw",
        ),
        (
            "cylinder-place",
            "NFPA 58",
            "upright always;liquid through a vapor regulator;outdoors, never in a house, garage or closed car;soap at each swap, with the engine stopped and cool",
        ),
        (
            "gauge-shows-temperature",
            "equation of state",
            "its temperature, not how much is left",
        ),
        ("backfeed", "NEC", "transfer switch;licensed electrician"),
        ("cord-heat", "NEC", "Ampacity is not voltage drop;Uncoil;less in heat"),
        ("hearing", "NIOSH", "85 dB and above"),
        ("gross-net", "NFPA 58", "differ by 8 %"),
    ] {
        let found = caution(code).unwrap();
        assert!(found.source.title.contains(source), "{code}: {}", found.source.title);
        for words in words.split(';') {
            assert!(
                found.text.contains(words.trim()),
                "{code} without `{words}`: {}",
                found.text
            );
        }
    }
}

/// Whoever wants to know something of a function asks its declaration. The help's lists of
/// what people call things are about names.
#[test]
fn nobody_else_knows_a_function_by_its_name() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut open = vec![source.clone()];
    let mut known = Vec::new();
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let place = path.strip_prefix(&source).unwrap().to_owned();
            if path.is_dir() && !["trade", "report/pages"].iter().any(|apart| place == Path::new(apart)) {
                open.push(path);
            } else if path.is_file() && place != Path::new("trade.rs") {
                let text = fs::read_to_string(&path).unwrap();
                let code = text.lines().map(|line| line.split("//").next().unwrap());
                let texts = code.flat_map(|line| line.split('"').skip(1).step_by(2));
                let named = texts.filter(|text| function(text).is_some_and(|f| !matches!(f.body, Body::Built(_))));
                known.extend(named.map(|name| format!("{}: {name}", place.display())));
            }
        }
    }
    assert!(known.is_empty(), "{known:#?}");
}
