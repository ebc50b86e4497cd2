//! Vaporizing and icing: how much gas a cylinder gives before it goes too cold.
//!
//! Two questions are kept apart: will it frost, and will it starve (pressure
//! below what the regulator needs). The liquid is colder than the air, so
//! moving air feeds it. Two printed rules of capacity stand beside the plain
//! energy balance; they differ, and a margin must name the rule it used.
//! Start reading at [`vaporization_capacity`] and [`continuous_rate`].

use crate::number::Real;

use super::caution::{
    CALM_AIR, CYLINDER_HEAT, CYLINDER_HEATER, DISHED_BOTTOM, FROSTS, GAUGE_SHOWS_TEMPERATURE, LEFT_OUT, OUTSIDE_TABLE,
    SIDE_BY_SIDE, STALLS_FIRST, UPRIGHT_EXTRAPOLATION,
};
use super::declare::{ARITHMETIC, PLAIN, binary, computed, decimal, example, practice, remembered, rule, shown, whole};
use super::draw_down::TOO_HOT;
use super::propane::{
    EQUATION_OF_STATE, INCH, POUND, boiling_in_range, fahrenheit, kelvin, kelvin_in_range, latent_heat,
};
use super::settling::{Balance, Settled, in_the_dish, settled, wetted};
use super::table::{between, on_line};
use super::{Arguments, Chapter, Complaint, Fact, Function, Outcome, Parameter, Reason, Remark, ResultKind};

/// K by per cent of liquid: handbook rule of thumb, from memory.
const BY_LIQUID: [(i64, i64); 6] = [(10, 45), (20, 60), (30, 70), (40, 80), (50, 90), (60, 100)];

/// D × L × K × M.
fn vaporization_capacity<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let diameter = a.positive(0, "diameter")?;
    let length = a.positive(1, "length")?;
    let liquid = a.percentage(2, "liquid")?;
    let air = a.number(3)?;
    let warmth = air.plus(whole(20))?;
    if warmth <= R::zero() {
        return Ok(R::zero());
    }
    let by_air = warmth.over(whole(20))?;
    let size = diameter.times(length)?;
    Ok(size.times(by_liquid(liquid)?)?.times(by_air)?)
}

fn by_liquid<R: Real>(liquid: R) -> Outcome<R> {
    if liquid >= whole(60) {
        return Ok(whole(100));
    }
    match between(&BY_LIQUID, liquid)? {
        Some(factor) => Ok(factor),
        None => Ok(liquid.times(decimal(9, 2)?)?),
    }
}

fn appraise_capacity(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let (Ok(liquid), Ok(air)) = (a.number(2), a.number(3)) else {
        return Vec::new();
    };
    let mut remarks = Vec::new();
    if air <= -20.0 {
        let text =
            "At −20 °F or below the rule gives nothing: it lets the liquid cool to −20 °F, and no heat flows in.";
        remarks.push(Remark::new(&OUTSIDE_TABLE, text));
    } else if !(-15.0 - 1e-9..=20.0 + 1e-9).contains(&air) {
        let text = format!(
            "Air of {} °F is outside the printed −15 … 20 °F; the rule's own line is extended.",
            shown(air)
        );
        remarks.push(Remark::new(&OUTSIDE_TABLE, text));
    }
    if liquid < 10.0 - 1e-9 {
        let text = format!(
            "Liquid of {} % is below the printed 10 %; K is taken as 4.5 times the percentage.",
            shown(liquid)
        );
        remarks.push(Remark::new(&OUTSIDE_TABLE, text));
    }
    remarks
}

/// Air temperatures of the 100-lb table, in °F.
const AIR: [i64; 5] = [0, 20, 40, 60, 70];

/// Published trade table, maximum continuous draw: contents in lb, and BTU/h at
/// each of [`AIR`].
const HUNDRED_POUND: [(i64, [i64; 5]); 10] = [
    (10, [28_000, 38_000, 49_000, 60_000, 66_000]),
    (20, [36_000, 51_000, 68_000, 83_000, 92_000]),
    (30, [45_000, 66_000, 85_000, 107_000, 118_000]),
    (40, [55_000, 79_000, 105_000, 131_000, 141_000]),
    (50, [64_000, 94_000, 125_000, 154_000, 167_000]),
    (60, [75_000, 109_000, 140_000, 176_000, 192_000]),
    (70, [83_000, 122_000, 160_000, 199_000, 214_000]),
    (80, [94_000, 137_000, 180_000, 214_000, 236_000]),
    (90, [104_000, 152_000, 200_000, 247_000, 277_000]),
    (100, [113_000, 167_000, 214_000, 277_000, 300_000]),
];

fn hundred_pound_capacity<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let (contents, air) = (a.number(0)?, a.number(1)?);
    for (low, high) in HUNDRED_POUND.iter().zip(HUNDRED_POUND.iter().skip(1)) {
        if contents >= whole(low.0) && contents <= whole(high.0) {
            let less = (whole(low.0), at_air(&low.1, air)?);
            let more = (whole(high.0), at_air(&high.1, air)?);
            return Ok(on_line((less, more), contents)?);
        }
    }
    let message = format!(
        "contents of {} lb are outside 10 … 100 lb, which the table of a 100-lb cylinder covers",
        shown(contents.to_binary())
    );
    Err(Complaint::outside(0, message).help(BALANCE_INSTEAD))
}

const BALANCE_INSTEAD: &str = "use `draw_down`, which balances the heat of the cylinder itself";

fn at_air<R: Real>(capacities: &[i64; 5], air: R) -> Outcome<R> {
    let mut rows = [(0, 0); 5];
    for (row, pair) in rows.iter_mut().zip(AIR.into_iter().zip(*capacities)) {
        *row = pair;
    }
    if let Some(capacity) = between(&rows, air)? {
        return Ok(capacity);
    }
    let message = format!(
        "air of {} °F is outside 0 … 70 °F, which the table of a 100-lb cylinder covers",
        shown(air.to_binary())
    );
    Err(Complaint::outside(1, message).help(BALANCE_INSTEAD))
}

fn icing_margin<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let supply = a.not_negative(0, "supply")?;
    let demand = a.positive(1, "demand")?;
    Ok(supply.times(whole(100))?.over(demand)?.minus(whole(100))?)
}

fn appraise_margin(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let Ok(margin) = icing_margin(a) else {
        return Vec::new();
    };
    if margin >= 0.0 {
        return Vec::new();
    }
    let stalls = format!(
        "By the rule behind this supply, the cylinder gives {} % less gas than the set burns: if that goes on, it loses its pressure and the engine stalls before it is empty. `draw_down` tells when.",
        shown((-margin * 10.0).round() / 10.0)
    );
    let ways = "What to do, best first: run less; burn gasoline in the coldest hours on a dual-fuel set; join more cylinders; take a bigger one. Never a flame, torch, heater blast or engine exhaust on a cylinder; keep it under 120 °F, and don't wrap, box or bury it: moving air feeds it.";
    vec![Remark::new(&STALLS_FIRST, stalls), Remark::new(&CYLINDER_HEAT, ways)]
}

fn cylinders_together<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let demand = a.not_negative(0, "demand")?;
    let each = a.positive(1, "supply_each")?;
    let margin = a.not_negative(2, "margin")?;
    let wanted = demand.times(whole::<R>(100).plus(margin)?)?;
    Ok(wanted.over(each.times(whole(100))?)?.round_up())
}

fn boiling_heat<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rate = a.not_negative(0, "rate")?.to_binary();
    let at = kelvin_in_range(a.number(1)?.to_binary(), 1)?;
    binary(rate * POUND / 3600.0 * latent_heat(at))
}

fn wetted_area<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let contents = a.not_negative(0, "contents")?.to_binary() * POUND;
    let diameter = a.positive(1, "diameter")?.to_binary() * INCH;
    let at = kelvin_in_range(a.number(2)?.to_binary(), 2)?;
    let reach = a.not_negative(3, "wall_reach")?.to_binary() * INCH;
    binary(wetted(contents, diameter, at, reach) / (144.0 * INCH * INCH))
}

fn appraise_area(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match a.number(2).and_then(|at| kelvin_in_range(at, 2)) {
        Ok(at) => dished(a, 0, at),
        Err(_) => Vec::new(),
    }
}

/// Contents (an argument) and diameter (the next one) with liquid in the dish alone.
fn dished(a: &Arguments<'_, f64>, contents: usize, kelvin: f64) -> Vec<Remark> {
    match (a.number(contents), a.number(contents + 1)) {
        (Ok(contents), Ok(diameter)) if in_the_dish(contents * POUND, diameter * INCH, kelvin) => {
            vec![Remark::plain(&DISHED_BOTTOM)]
        }
        _ => Vec::new(),
    }
}

/// Steel's conductivity, in W/(m·K); from memory.
pub(super) const STEEL_CONDUCTS: f64 = 50.0;

const METALS: [&str; 2] = ["steel", "aluminum"];

fn wall_reach<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let wall = a.positive(0, "wall")?.to_binary() * INCH;
    let film = a.positive(1, "film")?.to_binary();
    let conductivity = match a.word(2)? {
        "steel" => STEEL_CONDUCTS,
        "aluminum" => 160.0,
        other => return Err(Complaint::unlisted(2, "metal", other, &METALS)),
    };
    binary(f64::sqrt(conductivity * wall / film) / INCH)
}

fn continuous_rate<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let contents = a.not_negative(0, "contents")?.to_binary() * POUND;
    let diameter = a.positive(1, "diameter")?.to_binary() * INCH;
    let air = kelvin(a.number(2)?.to_binary());
    let film = a.positive(3, "film")?.to_binary();
    let boiling = boiling_in_range(a.number(4)?.to_binary(), 4)?;
    let reach = a.not_negative(5, "wall_reach")?.to_binary() * INCH;
    let heat = film * wetted(contents, diameter, boiling, reach) * (air - boiling);
    binary((heat / latent_heat(boiling) * 3600.0 / POUND).max(0.0))
}

fn appraise_steady(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let Ok(pressure) = a.number(4) else {
        return Vec::new();
    };
    let Ok(boiling) = boiling_in_range(pressure, 4) else {
        return Vec::new();
    };
    let mut remarks = dished(a, 0, boiling);
    if matches!(a.number(2), Ok(air) if kelvin(air) <= boiling) {
        let text = format!(
            "The air is no warmer than the {} °F at which propane keeps {} psig: no heat flows in, and no gas comes off.",
            shown(fahrenheit(boiling)),
            shown(pressure)
        );
        remarks.push(Remark::new(&STALLS_FIRST, text));
    }
    remarks
}

fn equilibrium_temperature<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let rate = a.not_negative(0, "rate")?.to_binary() * POUND / 3600.0;
    let contents = a.positive(1, "contents")?.to_binary() * POUND;
    let diameter = a.positive(2, "diameter")?.to_binary() * INCH;
    let air = kelvin(a.number(3)?.to_binary());
    let film = a.positive(4, "film")?.to_binary();
    let balance = Balance {
        diameter,
        film,
        extra_heat: a.not_negative(5, "extra_heat")?.to_binary(),
        wall_reach: a.not_negative(6, "wall_reach")?.to_binary() * INCH,
    };
    match settled(&balance, contents, air, rate) {
        Settled::At(at) if at > TOO_HOT => Err(too_hot(at)),
        Settled::At(at) => binary(fahrenheit(at)),
        Settled::Deficit => Err(Complaint::whole(Reason::CannotSettle(DEFICIT.to_owned())).help(DRAW_DOWN_INSTEAD)),
        Settled::Surplus => Err(Complaint::whole(Reason::Overheats(SURPLUS.to_owned())).help(KEEP_HEAT_OFF)),
    }
}

const DEFICIT: &str = "this cylinder doesn't settle: even at −49 °F (−45 °C), where the fits to the equation of state end (J. Chem. Eng. Data 54 (2009) 3141), more heat leaves than flows in";
const SURPLUS: &str = "this cylinder doesn't settle: up to 122 °F (50 °C) more heat flows in than leaves, and a cylinder must stay under 120 °F";
const DRAW_DOWN_INSTEAD: &str = "use `draw_down`, which tells how long it lasts";
const KEEP_HEAT_OFF: &str =
    "give it less heat, and never put a flame, torch, heater blast or engine exhaust on a cylinder";

fn too_hot(at: f64) -> Complaint {
    let message = format!(
        "this cylinder settles at {} °F, and a cylinder must stay under 120 °F",
        shown(fahrenheit(at))
    );
    Complaint::whole(Reason::Overheats(message)).help(KEEP_HEAT_OFF)
}

/// Who warms a cylinder, or has one that freezes, must hear what not to do.
fn appraise_settled(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let (Ok(at), Ok(heat), Ok(reach)) = (equilibrium_temperature(a), a.number(5), a.number(6)) else {
        return Vec::new();
    };
    let mut remarks = dished(a, 1, kelvin(at));
    remarks.push(left_out(reach));
    if at < 32.0 {
        remarks.push(Remark::plain(&FROSTS));
    }
    if at < 32.0 || heat > 0.0 {
        remarks.push(Remark::plain(&CYLINDER_HEAT));
    }
    if heat > 0.0 {
        remarks.push(Remark::plain(&CYLINDER_HEATER));
    }
    remarks
}

/// What the balance leaves out, the dry wall among it where its reach is 0.
fn left_out(wall_reach: f64) -> Remark {
    if wall_reach > 0.0 {
        return Remark::plain(&LEFT_OUT);
    }
    let wall = "The dry wall above the liquid is left out too, though steel conducts some inches up: `wall_reach` tells how far.";
    Remark::new(&LEFT_OUT, format!("{} {wall}", LEFT_OUT.text))
}

const CONTENTS: Parameter = Parameter::quantity("contents", "lb", "propane in the cylinder").usually(1.0, 100.0);
const DIAMETER: Parameter = Parameter::quantity("diameter", "in", "the diameter of the cylinder").usually(8.0, 15.0);
const AIR_TEMPERATURE: Parameter = Parameter::quantity("air", "°F", "the temperature of the air").usually(-40.0, 110.0);
const FILM: Parameter = Parameter::quantity(
    "film",
    "W/(m2·C°)",
    "how well the air gives heat to the wall: calm 6–9, 2 mph 10, 5 mph 14, 10 mph 20, 15 mph 26 (computed)",
)
.usually_by(6.0, 26.0, computed("natural convection or cross-flow, plus radiation"));
const WALL_REACH: Parameter =
    Parameter::quantity("wall_reach", "in", "how far up the dry wall conducts; see `wall_reach`")
        .or("0 in")
        .usually(0.0, 8.0);

/// The functions of this chapter.
pub(super) static FUNCTIONS: [Function; 9] = [
    Function {
        name: "vaporization_capacity",
        chapter: Chapter::Vaporizing,
        summary: "gas a cylinder or tank gives continuously, by the D × L × K × M rule",
        parameters: &[
            Parameter::quantity("diameter", "in", "the outside diameter of the shell").usually(8.0, 41.0),
            Parameter::quantity(
                "length",
                "in",
                "the pressure shell head to head, without collar, foot ring or legs",
            )
            .usually(10.0, 200.0),
            Parameter::quantity(
                "liquid",
                "%",
                "the share of the volume that is liquid, at the lowest contents planned",
            )
            .usually(10.0, 80.0),
            Parameter::quantity("air", "°F", "the temperature of the air").usually(-15.0, 20.0),
        ],
        result: ResultKind::Quantity("BTU/h"),
        formula: "diameter × length × K(liquid) × M; K 100 from 60 % up, 50:90 40:80 30:70 20:60 10:45, linear between; M = (air + 20)/20",
        sources: &[remembered(
            "handbook rule of thumb for above-ground stationary tanks, liquid let down to −20 °F",
        )],
        range: "printed for 10–60 % liquid and −15 … 20 °F; outside a caution, below 10 % K = 4.5 × percent, at or below −20 °F nothing",
        rule_error: Some("a factor of 2"),
        notes: "Gross heat. The height with collar and foot ring overstates it by 9 to 30 %. The 100-lb table differs from it by a factor of 1.6 at 0 °F for the same cylinder: a margin must name its rule.",
        cautions: &[&CALM_AIR, &UPRIGHT_EXTRAPOLATION],
        examples: &[
            example(
                "vaporization_capacity(diameter: 37 in, length: 120 in, liquid: 20 %, air: 0 °F)",
                "266400 BTU/h",
            ),
            example(
                "vaporization_capacity(diameter: 12 in, length: 18 in, liquid: 60 %, air: 0 °F)",
                "21600 BTU/h",
            ),
        ],
        body: rule!(vaporization_capacity),
        appraise: Some(appraise_capacity),
        ..PLAIN
    },
    Function {
        name: "hundred_pound_capacity",
        chapter: Chapter::Vaporizing,
        summary: "gas an upright 100-lb cylinder gives continuously, by the trade table",
        parameters: &[
            Parameter::quantity("contents", "lb", "propane in the cylinder").usually(10.0, 100.0),
            Parameter::quantity("air", "°F", "the temperature of the air").usually(0.0, 70.0),
        ],
        result: ResultKind::Quantity("BTU/h"),
        formula: "the printed table, linear between its rows and columns",
        sources: &[practice("table of a 100-lb cylinder, maximum continuous draw")],
        range: "10–100 lb and 0 … 70 °F; outside is a problem",
        rule_error: Some("a factor of 2"),
        notes: "The nominal 100-lb shell only. The table's footnote speaks of the liquid's temperature.",
        cautions: &[&CALM_AIR],
        examples: &[
            example("hundred_pound_capacity(100 lb, 0 °F)", "113000 BTU/h"),
            example("hundred_pound_capacity(75 lb, 20 °F)", "129500 BTU/h"),
        ],
        body: rule!(hundred_pound_capacity),
        ..PLAIN
    },
    Function {
        name: "icing_margin",
        tells: &[Fact::Heat("propane", "gross"), Fact::HeatMargin],
        chapter: Chapter::Vaporizing,
        summary: "how much more gas the cylinder gives than the set burns",
        parameters: &[
            Parameter::quantity("supply", "BTU/h", "gas the cylinder gives, gross, by the rule you name")
                .once("capacity")
                .usually(5_000.0, 600_000.0),
            Parameter::quantity("demand", "BTU/h", "gas the set burns, gross").usually(10_000.0, 400_000.0),
        ],
        result: ResultKind::Quantity("%"),
        formula: "supply/demand − 1",
        sources: &[ARITHMETIC],
        range: "demand above zero, both gross; below zero is a margin short",
        notes: "Name the rule the supply came from: the two printed rules differ by a factor of 1.6, and still air gives less than either.",
        examples: &[
            example("icing_margin(63745 BTU/h, 66799 BTU/h)", "-4.572 %"),
            example("icing_margin(supply: 113000 BTU/h, demand: 56500 BTU/h)", "100 %"),
        ],
        body: rule!(icing_margin),
        appraise: Some(appraise_margin),
        ..PLAIN
    },
    Function {
        name: "cylinders_together",
        chapter: Chapter::Vaporizing,
        summary: "cylinders to join so that together they give the gas with a margin",
        parameters: &[
            Parameter::quantity("demand", "BTU/h", "gas the set burns, gross").usually(10_000.0, 400_000.0),
            Parameter::quantity("supply_each", "BTU/h", "gas one cylinder gives, gross")
                .once("capacity_each")
                .usually(5_000.0, 300_000.0),
            Parameter::quantity("margin", "%", "how much more than the demand they should give").usually(0.0, 200.0),
        ],
        result: ResultKind::Quantity("each"),
        formula: "demand × (1 + margin)/supply_each, rounded up",
        sources: &[practice("trade practice with portable cylinders")],
        range: "supply above zero",
        notes: "Holds while all of them are drawn at once and stand at about one temperature and fill.",
        cautions: &[&SIDE_BY_SIDE],
        examples: &[example("cylinders_together(129288 BTU/h, 30338 BTU/h, 10 %)", "5 each")],
        body: rule!(cylinders_together),
        jumps: true,
        ..PLAIN
    },
    Function {
        name: "boiling_heat",
        chapter: Chapter::Vaporizing,
        summary: "heat the liquid takes in to give gas at a rate",
        parameters: &[
            Parameter::quantity("rate", "lb/h", "gas drawn").usually(0.3, 15.0),
            Parameter::quantity("liquid", "°F", "the temperature of the liquid").usually(-40.0, 110.0),
        ],
        result: ResultKind::Quantity("W"),
        formula: "rate × propane_latent_heat(liquid)",
        sources: &[EQUATION_OF_STATE],
        range: "pure propane, −45 … 50 °C; outside is a problem",
        notes: "At first the liquid and the shell give it and grow colder; continuously, only the air does.",
        examples: &[
            example("boiling_heat(3.1 lb/h, 24 °F)", "148.8 W"),
            example("boiling_heat(1 lb/h, 0 °F)", "50.16 W"),
        ],
        body: rule!(boiling_heat),
        ..PLAIN
    },
    Function {
        name: "wetted_area",
        chapter: Chapter::Vaporizing,
        summary: "wall and bottom that the liquid wets in an upright cylinder",
        parameters: &[
            CONTENTS,
            DIAMETER,
            Parameter::quantity("temperature", "°F", "the temperature of the liquid").usually(-40.0, 110.0),
            WALL_REACH,
        ],
        result: ResultKind::Quantity("ft2"),
        formula: "π·D²/4 + π·D·(h + reach), h = m/(ρl·π·D²/4); no liquid, 0",
        sources: &[
            computed("geometry of an upright cylinder with a flat bottom"),
            EQUATION_OF_STATE,
        ],
        range: "pure propane, −45 … 50 °C; below π·D³/24 of liquid the dished bottom makes it too large, a caution",
        notes: "Where `wall_reach` is 0 the dry wall is left out.",
        examples: &[example("wetted_area(24 lb, 12 in, 24 °F)", "3.662 ft2")],
        body: rule!(wetted_area),
        appraise: Some(appraise_area),
        ..PLAIN
    },
    Function {
        name: "wall_reach",
        chapter: Chapter::Vaporizing,
        summary: "how far up the dry wall conducts heat down to the liquid",
        parameters: &[
            Parameter::quantity("wall", "in", "the thickness of the wall").usually(0.08, 0.25),
            FILM,
            Parameter::word("metal", &METALS, "the metal of the shell"),
        ],
        result: ResultKind::Quantity("in"),
        formula: "√(k·wall/film), k 50 W/(m·C°) for steel, 160 for aluminum",
        sources: &[
            computed("fin equation"),
            remembered("conductivity of steel 50 and aluminum 160 W/(m·C°)"),
        ],
        range: "a wall long against the reach",
        notes: "Only as much as there is dry wall above the liquid counts.",
        examples: &[example("wall_reach(0.1 in, 14 W/(m2·C°), \"steel\")", "3.750 in")],
        body: rule!(wall_reach),
        ..PLAIN
    },
    Function {
        name: "continuous_rate",
        once: "steady_rate",
        chapter: Chapter::Vaporizing,
        summary: "gas a cylinder can give continuously without falling below a pressure",
        parameters: &[
            CONTENTS,
            DIAMETER,
            AIR_TEMPERATURE,
            FILM,
            Parameter::quantity("least_pressure", "psig", "the least pressure the regulator needs").usually(0.0, 30.0),
            WALL_REACH,
        ],
        result: ResultKind::Quantity("lb/h"),
        formula: "film × wetted_area × (air − T)/latent heat, at the boiling point T of least_pressure",
        sources: &[
            computed("energy balance at the boiling point of least_pressure"),
            EQUATION_OF_STATE,
        ],
        range: "pure propane, least pressure −1.78 … 233.8 psig (−45 … 50 °C); with air no warmer than that boiling point nothing, and a caution",
        named: Some("the heat balance of continuous_rate"),
        notes: "For the contents given: as they fall it falls. Left out: the dry wall unless given, frost and condensation, sun, limits of valve and regulator.",
        cautions: &[&GAUGE_SHOWS_TEMPERATURE],
        examples: &[example(
            "continuous_rate(24 lb, 12 in, 24 °F, 14 W/(m2·C°), 10 psig)",
            "2.210 lb/h",
        )],
        body: rule!(continuous_rate),
        appraise: Some(appraise_steady),
        ..PLAIN
    },
    Function {
        name: "equilibrium_temperature",
        once: "settled_temperature",
        chapter: Chapter::Vaporizing,
        summary: "temperature at which a cylinder would settle if its contents stayed",
        parameters: &[
            Parameter::quantity("rate", "lb/h", "gas drawn").usually(0.3, 15.0),
            CONTENTS,
            DIAMETER,
            AIR_TEMPERATURE,
            FILM,
            Parameter::quantity("extra_heat", "W", "what a heater listed for propane cylinders puts in")
                .or("0 W")
                .usually(0.0, 200.0),
            WALL_REACH,
        ],
        result: ResultKind::Quantity("°F"),
        formula: "the highest T at which film × wetted_area(T) × (air − T) + extra_heat − rate × latent heat(T) falls through zero",
        sources: &[computed("energy balance of the boiling liquid"), EQUATION_OF_STATE],
        range: "pure propane, −45 … 50 °C (−49 … 122 °F); settling nowhere in it, or above 120 °F, is a problem",
        named: Some("the heat balance of equilibrium_temperature"),
        notes: "For the contents given: as they fall it falls, and how soon it is reached is for `draw_down` to say. Of two temperatures in balance the stable one is given; started far above the other the cylinder would overheat. Left out: the dry wall unless given, frost and condensation, sun.",
        examples: &[
            example(
                "equilibrium_temperature(3.1 lb/h, 24 lb, 12 in, 24 °F, 20 W/(m2·C°))",
                "-20.43 °F",
            ),
            example(
                "equilibrium_temperature(1 lb/h, 8 lb, 12 in, 40 °F, 14 W/(m2·C°))",
                "-0.5378 °F",
            ),
        ],
        body: rule!(equilibrium_temperature),
        appraise: Some(appraise_settled),
        ..PLAIN
    },
];
