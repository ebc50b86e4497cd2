//! What is in a cylinder: by weight, by volume, and what of it can be used.
//!
//! A scale weighs liquid and vapor together; a level counts the liquid alone,
//! so the vapor above it is part of every rule here. Capacities are stamped as
//! pounds of water at 60 °F. Start reading at [`net_contents`].

use crate::number::Real;

use super::caution::{CYLINDER_PLACE, GAUGE_SHOWS_TEMPERATURE, NO_LIQUID, OVERFILL, STAMP_OR_SCALE};
use super::declare::{ARITHMETIC, PLAIN, binary, decimal, example, practice, published, rule, shown, whole};
use super::propane::{EQUATION_OF_STATE, POUND, boiling_in_range, kelvin_in_range, liquid_density, vapor_density};
use super::{Arguments, Chapter, Complaint, Fact, Function, Outcome, Parameter, Reason, Remark, ResultKind};

/// The density of water at 60 °F, in kg/m³, by which capacities are stamped.
pub(crate) const WATER_DENSITY: f64 = 999.02;

/// The inner volume in m³ of a cylinder that holds this many pounds of water at 60 °F.
pub(crate) fn inner_volume(water_capacity: f64) -> f64 {
    water_capacity * POUND / WATER_DENSITY
}

/// Gross less tare less what is attached; a little below zero counts as empty.
fn net_contents<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let gross = a.not_negative(0, "gross")?;
    let tare = a.positive(1, "tare")?;
    let attached = a.not_negative(2, "attached")?;
    let net = gross.minus(tare)?.minus(attached)?;
    if net >= R::zero() {
        return Ok(net);
    }
    let missing = R::zero().minus(net)?;
    let allowed = tare.times(decimal(3, 100)?)?;
    if missing <= allowed {
        return Ok(R::zero());
    }
    below_zero(a, missing.to_binary(), allowed.to_binary())
}

/// Further below zero than a stamp may be off: the tolerances decide.
fn below_zero<R: Real>(a: &Arguments<'_, R>, missing: f64, allowed: f64) -> Outcome<R> {
    let message = format!(
        "`gross` is {} lb less than `tare` and `attached` together, more than the {} lb (3 % of the tare) a stamp may be off",
        shown(missing),
        shown(allowed)
    );
    if a.expanded.is_empty() {
        return Err(Complaint {
            argument: Some(0),
            reason: Reason::NeedsTolerances(message),
            help: None,
        });
    }
    let squares = (0..3).map(|index| a.expanded(index) * a.expanded(index));
    if missing <= allowed + f64::sqrt(squares.sum()) {
        return Ok(R::zero());
    }
    Err(Complaint::outside(0, message)
        .help("check that `gross` and `tare` are of the same cylinder and in the right order"))
}

fn appraise_net(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let numbers = (a.number(0), a.number(1), a.number(2));
    let (Ok(gross), Ok(tare), Ok(attached)) = numbers else {
        return Vec::new();
    };
    // An empty cylinder weighed in binary comes out a hair below zero.
    if gross - tare - attached >= -1e-9 * gross {
        return Vec::new();
    }
    vec![Remark::plain(&STAMP_OR_SCALE)]
}

fn fill_limit<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let capacity = a.positive(0, "water_capacity")?;
    let density = a.percentage(1, "filling_density")?;
    if density.to_binary() <= 0.0 {
        return Err(Complaint::outside(1, "`filling_density` must be above zero"));
    }
    Ok(capacity.times(density)?.over(whole(100))?)
}

fn appraise_limit(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match a.number(1) {
        Ok(density) if density > 42.0 + 1e-9 => {
            let text = format!(
                "A filling density of {} % is more than the 42 % that propane may have: 42 % is by weight, and 80 % a share of the volume.",
                shown(density)
            );
            vec![Remark::new(&OVERFILL, text)]
        }
        _ => Vec::new(),
    }
}

fn liquid_level<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let mass = a.not_negative(0, "contents")?.to_binary() * POUND;
    let volume = inner_volume(a.positive(1, "water_capacity")?.to_binary());
    let at = kelvin_in_range(a.number(2)?.to_binary(), 2)?;
    let (liquid, vapor) = (liquid_density(at), vapor_density(at));
    let level = (mass - vapor * volume) / ((liquid - vapor) * volume);
    if level >= 1.0 {
        return Err(liquid_full(liquid * volume / POUND));
    }
    binary(100.0 * level.max(0.0))
}

fn liquid_full(most: f64) -> Complaint {
    let message = format!(
        "`contents` fill this cylinder with liquid completely: at that temperature it holds {} lb",
        shown(most)
    );
    Complaint::outside(0, message)
        .help("check the weighing and the stamp; if they are right, stand clear, keep it cool, and have the supplier bleed it")
}

fn appraise_level(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let mut remarks = overfilled(a);
    let numbers = (a.number(0), a.number(1), a.number(2));
    let (Ok(contents), Ok(capacity), Ok(temperature)) = numbers else {
        return remarks;
    };
    let Ok(at) = kelvin_in_range(temperature, 2) else {
        return remarks;
    };
    if contents * POUND <= vapor_density(at) * inner_volume(capacity) {
        remarks.push(Remark::plain(&NO_LIQUID));
    }
    remarks
}

/// Contents (argument 0) above 42 % of the water capacity (argument 1) by more
/// than the weighing may be out.
fn overfilled(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let (Ok(contents), Ok(capacity)) = (a.number(0), a.number(1)) else {
        return Vec::new();
    };
    let doubt = a.expanded(0);
    let doubt = if doubt > 0.0 { doubt } else { 0.1 };
    let limit = 0.42 * capacity;
    if contents <= limit + doubt {
        return Vec::new();
    }
    let text = format!(
        "The cylinder holds {} lb, and its fill limit is {} lb. Stand clear, keep it cool and outdoors, and have the supplier bleed it; never bleed it yourself.",
        shown(contents),
        shown(limit)
    );
    vec![Remark::new(&OVERFILL, text)]
}

fn usable_contents<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let contents = a.not_negative(0, "contents")?.to_binary();
    let volume = inner_volume(a.positive(1, "water_capacity")?.to_binary());
    let at = boiling_in_range(a.number(2)?.to_binary(), 2)?;
    let held_back = vapor_density(at) * volume / POUND;
    binary((contents - held_back).max(0.0))
}

fn appraise_usable(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let mut remarks = overfilled(a);
    if matches!(usable_contents(a), Ok(left) if left <= 0.0) {
        remarks.push(Remark::plain(&NO_LIQUID));
    }
    remarks
}

const CONTENTS: Parameter =
    Parameter::quantity("contents", "lb", "propane in the cylinder, liquid and vapor").usually(0.0, 100.0);

const WATER_CAPACITY: Parameter = Parameter::quantity(
    "water_capacity",
    "lb",
    "the water it would hold, stamped WC on the collar",
)
.usually(10.0, 240.0);

/// The functions of this chapter.
pub(super) static FUNCTIONS: [Function; 4] = [
    Function {
        name: "net_contents",
        chapter: Chapter::Cylinder,
        summary: "propane in a cylinder: what the scale shows less the shell and what hangs on it",
        parameters: &[
            Parameter::quantity("gross", "lb", "what the scale shows").usually(5.0, 180.0),
            Parameter::quantity("tare", "lb", "the empty shell with its valve, stamped TW on the collar")
                .usually(4.0, 80.0),
            Parameter::quantity("attached", "lb", "hose, regulator or hook left on the scale")
                .or("0 lb")
                .usually_by(0.0, 3.0, practice("hose and regulator weigh 1–3 lb")),
        ],
        result: ResultKind::Quantity("lb"),
        formula: "gross − tare − attached",
        sources: &[
            ARITHMETIC,
            published("49 CFR 178.35: a stamped tare may be off by −3 % or +1 %"),
        ],
        range: "below zero by no more than 3 % of the tare plus the tolerances counts as 0 lb; further below is a problem",
        notes: "Hose and regulator left on weigh 1–3 lb and pull on the scale: take them off, or enter them with a tolerance.",
        cautions: &[&CYLINDER_PLACE],
        examples: &[
            example("net_contents(20.6 lb, 17 lb)", "3.6 lb"),
            example("net_contents(51.9 lb, 24.6 lb, attached: 2.1 lb)", "25.2 lb"),
        ],
        body: rule!(net_contents),
        appraise: Some(appraise_net),
        tells: &[Fact::FirstLessOthers],
        ..PLAIN
    },
    Function {
        name: "fill_limit",
        tells: &[Fact::MostLawful],
        chapter: Chapter::Cylinder,
        summary: "most propane a cylinder may lawfully hold, by weight",
        parameters: &[
            WATER_CAPACITY,
            Parameter::quantity(
                "filling_density",
                "%",
                "propane allowed, as a share of the water capacity by weight",
            )
            .or("42 %")
            .usually_by(40.0, 42.0, published("49 CFR 173.304a(d)(1)")),
        ],
        result: ResultKind::Quantity("lb"),
        formula: "water_capacity × filling_density",
        sources: &[published(
            "49 CFR 173.304a(d)(1), propane of specific gravity 0.504–0.510",
        )],
        range: "propane in steel or aluminum cylinders; the filling density is above 0 and up to 100 %",
        notes: "42 % by weight is not 80 % by volume: a lawful fill stands at 80 % at 41 °F, 82.3 % at 60 °F and 92.4 % at 120 °F.",
        cautions: &[&CYLINDER_PLACE],
        examples: &[
            example("fill_limit(47.6 lb)", "19.99 lb"),
            example("fill_limit(71.4 lb)", "29.99 lb"),
        ],
        body: rule!(fill_limit),
        appraise: Some(appraise_limit),
        ..PLAIN
    },
    Function {
        name: "liquid_level",
        tells: &[Fact::LevelOfWeight],
        chapter: Chapter::Cylinder,
        summary: "share of the inner volume that is liquid",
        parameters: &[
            CONTENTS,
            WATER_CAPACITY,
            Parameter::quantity("temperature", "°F", "the temperature of the liquid").usually(-40.0, 120.0),
        ],
        result: ResultKind::Quantity("%"),
        formula: "(m − ρv·V)/((ρl − ρv)·V), V = water capacity/(0.99902 kg/L)",
        sources: &[EQUATION_OF_STATE],
        range: "pure propane, −45 … 50 °C; a cylinder full of liquid is a problem",
        notes: "More than 80 % is not wrong by itself: a lawful fill stands at 80 % at 41 °F, 82.3 % at 60 °F and 92.4 % at 120 °F. No liquid left gives 0 %.",
        cautions: &[&CYLINDER_PLACE],
        examples: &[
            example("liquid_level(20 lb, 47.6 lb, 60 °F)", "82.28 %"),
            example("liquid_level(20 lb, 47.6 lb, 120 °F)", "92.44 %"),
        ],
        body: rule!(liquid_level),
        appraise: Some(appraise_level),
        ..PLAIN
    },
    Function {
        name: "usable_contents",
        chapter: Chapter::Cylinder,
        summary: "propane that can be drawn before only vapor at the least pressure is left",
        parameters: &[
            CONTENTS,
            WATER_CAPACITY,
            Parameter::quantity("least_pressure", "psig", "the least pressure the regulator needs").usually(0.0, 30.0),
        ],
        result: ResultKind::Quantity("lb"),
        formula: "contents − ρv·V at the boiling point of least_pressure, not below 0",
        sources: &[EQUATION_OF_STATE],
        range: "pure propane, least pressure −1.78 … 233.8 psig (−45 … 50 °C); outside is a problem",
        notes: "By weight alone: a cylinder that ices over stops earlier.",
        cautions: &[&CYLINDER_PLACE, &GAUGE_SHOWS_TEMPERATURE],
        examples: &[example("usable_contents(20 lb, 47.6 lb, 10 psig)", "19.81 lb")],
        body: rule!(usable_contents),
        appraise: Some(appraise_usable),
        ..PLAIN
    },
];
