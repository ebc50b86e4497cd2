//! What must run: peaks at start, motors, plugs, and hours between services.
//!
//! A starting figure here is the total at start, not the extra over running:
//! printed tables confuse the two. Start reading at [`starting_peak`].

use crate::number::Real;

use super::caution::{ALL_AT_ONCE, BACKFEED, CARBON_MONOXIDE, CORD_HEAT};
use super::declare::{ARITHMETIC, PLAIN, decimal, example, practice, published, remembered, rows, rule, shown, whole};
use super::{
    Argument, Arguments, Chapter, Complaint, Fact, Function, Outcome, Parameter, ParameterKind, Remark, ResultKind,
};

/// Everything runs, and the hardest motor starts.
fn starting_peak<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let mut running = R::zero();
    let mut extra = R::zero();
    for load in loads(a)? {
        running = running.plus(load.running)?;
        let more = load.starting.minus(load.running)?;
        if more > extra {
            extra = more;
        }
    }
    Ok(running.plus(extra)?)
}

/// One row of loads; a missing start counts as running.
struct Load<R> {
    running: R,
    starting: R,
}

fn loads<R: Real>(a: &Arguments<'_, R>) -> Result<Vec<Load<R>>, Complaint> {
    let (running, starting) = (cells(a, 0)?, cells(a, 1)?);
    if running.len() != starting.len() {
        let message = format!(
            "`running` has {} and `starting` has {}",
            rows(running.len()),
            starting.len()
        );
        return Err(Complaint::lengths(1, message));
    }
    let mut found = Vec::new();
    for (row, pair) in running.into_iter().zip(starting).enumerate() {
        found.extend(load(row + 1, pair)?);
    }
    if found.is_empty() {
        return Err(Complaint::empty(0, "there is no load in `running`"));
    }
    Ok(found)
}

/// A column, or one value as a column of one row.
fn cells<R: Real>(a: &Arguments<'_, R>, index: usize) -> Result<Vec<Option<R>>, Complaint> {
    match a.values.get(index) {
        Some(Argument::Number(value)) => Ok(vec![Some(*value)]),
        _ => Ok(a.column(index)?.to_vec()),
    }
}

fn load<R: Real>(row: usize, pair: (Option<R>, Option<R>)) -> Outcome<Option<Load<R>>> {
    let running = match pair {
        (None, None) => return Ok(None),
        (None, Some(_)) => {
            let message = format!("row {row} has a start and no `running`");
            return Err(Complaint::outside(0, message));
        }
        (Some(running), _) => running,
    };
    let starting = pair.1.unwrap_or(running);
    if running < R::zero() {
        let message = format!("row {row}: `running` can't be below zero");
        return Err(Complaint::outside(0, message));
    }
    if starting < running {
        let message = format!(
            "row {row}: `starting` {} W is below `running` {} W",
            shown(starting.to_binary()),
            shown(running.to_binary())
        );
        return Err(Complaint::outside(1, message).help("`starting` is the total at start, not the extra: add the two"));
    }
    Ok(Some(Load { running, starting }))
}

fn appraise_peak(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let Ok(loads) = loads(a) else {
        return Vec::new();
    };
    let all: f64 = loads.iter().map(|load| load.starting).sum();
    let text = format!(
        "The peak takes one motor starting at a time. After an outage everything may start at once, which takes {} W: switch loads in one by one.",
        shown(all)
    );
    vec![Remark::new(&ALL_AT_ONCE, text)]
}

/// Code letters and the upper end of their bands, in hundredths of a kVA per
/// horsepower: NEMA MG-1, NEC Table 430.7(B).
const CODE_LETTERS: [(&str, i64); 18] = [
    ("A", 314),
    ("B", 354),
    ("C", 399),
    ("D", 449),
    ("E", 499),
    ("F", 559),
    ("G", 629),
    ("H", 709),
    ("J", 799),
    ("K", 899),
    ("L", 999),
    ("M", 1119),
    ("N", 1249),
    ("P", 1399),
    ("R", 1599),
    ("S", 1799),
    ("T", 1999),
    ("U", 2239),
];

const LETTERS: [&str; 19] = [
    "A", "B", "C", "D", "E", "F", "G", "H", "J", "K", "L", "M", "N", "P", "R", "S", "T", "U", "V",
];

fn locked_rotor<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let letter = a.word(0)?;
    let power = a.positive(1, "power")?;
    if letter == "V" {
        let message = "code letter V has no upper end: 22.4 kVA per horsepower and up (NEC Table 430.7(B))";
        return Err(Complaint::word(0, message).help("take the locked-rotor amps from the motor's own plate"));
    }
    match CODE_LETTERS.iter().find(|row| row.0 == letter) {
        Some(row) => Ok(power.times(decimal(row.1, 100)?)?),
        None => Err(Complaint::unlisted(0, "code", letter, &LETTERS)),
    }
}

/// Plugs with volts and amps: NEMA WD 6, from memory.
const PLUGS: [(&str, i64, i64); 8] = [
    ("5-15", 120, 15),
    ("5-20", 120, 20),
    ("TT-30", 120, 30),
    ("L5-30", 120, 30),
    ("L14-20", 240, 20),
    ("L14-30", 240, 30),
    ("L6-30", 240, 30),
    ("14-50", 240, 50),
];

const PLUG_WORDS: [&str; 8] = ["5-15", "5-20", "TT-30", "L5-30", "L14-20", "L14-30", "L6-30", "14-50"];

fn plug_limit<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let word = a.word(0)?;
    let Some(plug) = PLUGS.iter().find(|row| row.0 == word) else {
        return Err(Complaint::unlisted(0, "plug", word, &PLUG_WORDS));
    };
    let limit = whole::<R>(plug.1 * plug.2);
    if a.number(1)?.to_binary() == 0.0 {
        return Ok(limit);
    }
    Ok(limit.times(decimal(8, 10)?)?)
}

fn services_due<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let run = a.not_negative(0, "run")?;
    let every = a.positive(1, "every")?;
    let since = a.not_negative(2, "since_last")?;
    Ok(since.plus(run)?.over(every)?.round_down())
}

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 4] = [
    Function {
        name: "starting_peak",
        chapter: Chapter::Load,
        summary: "watts at the worst moment: everything running, and the hardest motor starting",
        parameters: &[
            Parameter::column(
                "running",
                ParameterKind::Quantity("W"),
                "watts of each load while it runs",
            )
            .usually(5.0, 5_000.0),
            Parameter::column(
                "starting",
                ParameterKind::Quantity("W"),
                "watts of each load at start, the total, not the extra; missing counts as running",
            )
            .usually(5.0, 10_000.0),
        ],
        result: ResultKind::Quantity("W"),
        formula: "Σ running + largest (starting − running)",
        sources: &[practice("one motor starts at a time")],
        range: "a start below running is a problem that names the row",
        notes: "Printed tables confuse the total at start with the extra over running: check which one yours prints. The sum of all starts is shown beside it, for after an outage.",
        cautions: &[&BACKFEED, &CARBON_MONOXIDE],
        examples: &[example("starting_peak(loads.running, loads.starting)", "3240 W")],
        example_table: "table loads\n  | item | running [W] | starting [W] |\n  | furnace fan | 540 | 1300 |\n  | well pump | 900 | 2700 |\n",
        body: rule!(starting_peak),
        appraise: Some(appraise_peak),
        tells: &[Fact::TheMost],
        ..PLAIN
    },
    Function {
        name: "locked_rotor",
        chapter: Chapter::Load,
        summary: "apparent power a motor may draw at start, by its code letter",
        parameters: &[
            Parameter::word("code", &LETTERS, "the code letter on the motor's plate"),
            Parameter::quantity("power", "hp", "the power on the motor's plate").usually(0.1, 5.0),
        ],
        result: ResultKind::Quantity("kVA"),
        formula: "upper end of the letter's band × power",
        sources: &[published("NEMA MG-1, NEC Table 430.7(B)")],
        range: "letters A to U; V is open-ended, a problem",
        notes: "Divided by the volts it gives amps: compare those with the set's surge amps, not kVA with watts.",
        examples: &[
            example("locked_rotor(\"G\", 1 hp)", "6.29 kVA"),
            example("locked_rotor(\"L\", 0.5 hp)", "4.995 kVA"),
        ],
        body: rule!(locked_rotor),
        ..PLAIN
    },
    Function {
        name: "plug_limit",
        chapter: Chapter::Load,
        summary: "watts a plug carries",
        parameters: &[
            Parameter::word("plug", &PLUG_WORDS, "the configuration printed beside the outlet"),
            Parameter::new(
                "continuous",
                ParameterKind::Truth,
                super::Shape::Single,
                "whether the load lasts three hours or more",
            )
            .or("false"),
        ],
        result: ResultKind::Quantity("W"),
        formula: "volts × amps, × 80 % if continuous",
        sources: &[remembered("NEMA WD 6"), published("NEC 210.20(A)")],
        range: "the plugs listed",
        notes: "Four-wire plugs have two 120 V legs and carry half on each; the set's own breaker may be smaller.",
        cautions: &[&CORD_HEAT, &BACKFEED],
        examples: &[
            example("plug_limit(\"L14-30\")", "7200 W"),
            example("plug_limit(\"5-20\", continuous: true)", "1920 W"),
        ],
        body: rule!(plug_limit),
        ..PLAIN
    },
    Function {
        name: "services_due",
        chapter: Chapter::Load,
        summary: "services that fall due during a run",
        parameters: &[
            Parameter::quantity("run", "h", "the hours to come").usually(1.0, 2_000.0),
            Parameter::quantity("every", "h", "the hours between services").usually(20.0, 500.0),
            Parameter::quantity("since_last", "h", "the hours run since the last service").usually(0.0, 500.0),
        ],
        result: ResultKind::Quantity("each"),
        formula: "⌊(since_last + run)/every⌋",
        sources: &[practice("intervals in hours run"), ARITHMETIC],
        range: "an interval above zero",
        notes: "By hours alone; manuals also give months.",
        cautions: &[&CARBON_MONOXIDE],
        examples: &[example("services_due(120 h, 50 h, 40 h)", "3 each")],
        body: rule!(services_due),
        jumps: true,
        ..PLAIN
    },
];
