//! Sound: levels over distance, levels together, and how long a level is allowed.
//!
//! Levels add by energy, never as numbers. Start reading at [`sound_at`].

use crate::number::Real;

use super::caution::{HEARING, NEAR_FIELD};
use super::declare::{PLAIN, binary, example, practice, published, remembered, rule, shown};
use super::{Arguments, Chapter, Complaint, Function, Outcome, Parameter, ParameterKind, Remark, ResultKind, Shape};

/// A level at another distance over open ground.
fn sound_at<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let level = a.number(0)?.to_binary();
    let measured = a.positive(1, "measured_at")?.to_binary();
    let heard = a.positive(2, "heard_at")?.to_binary();
    binary(level - 20.0 * libm::log10(heard / measured))
}

/// Three times a set about 2 ft 8 in across, in ft.
const NEAR: f64 = 8.0;

fn appraise_at(a: &Arguments<'_, f64>) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if let Ok(level) = sound_at(a) {
        remarks.extend(loud(level));
    }
    if let (Ok(measured), Ok(heard)) = (a.number(1), a.number(2)) {
        let nearest = measured.min(heard);
        if nearest < NEAR {
            let text = format!(
                "{} ft is below three times the size of a portable set: so close the level does not follow the distance.",
                shown(nearest)
            );
            remarks.push(Remark::new(&NEAR_FIELD, text));
        }
    }
    remarks
}

fn loud(level: f64) -> Option<Remark> {
    (level >= 85.0 - 1e-9).then(|| {
        let text = format!(
            "{} dB: at 85 dB and above hearing is lost in a working day. Keep away, or wear protection.",
            shown(level)
        );
        Remark::new(&HEARING, text)
    })
}

/// Levels together, by energy.
fn sound_sum<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let levels: Vec<f64> = a.all_from(0).into_iter().map(R::to_binary).collect();
    let Some(top) = levels.iter().copied().reduce(f64::max) else {
        return Err(Complaint::empty(0, "there is no level to add"));
    };
    let energy: f64 = levels.iter().map(|level| libm::pow(10.0, (level - top) / 10.0)).sum();
    binary(top + 10.0 * libm::log10(energy))
}

fn appraise_sum(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match sound_sum(a) {
        Ok(level) => loud(level).into_iter().collect(),
        Err(_) => Vec::new(),
    }
}

const RULES: [&str; 2] = ["OSHA", "NIOSH"];

/// Hours a day that a level is allowed.
fn allowed_exposure<R: Real>(a: &Arguments<'_, R>) -> Outcome<R> {
    let level = a.number(0)?.to_binary();
    let (at, step, most, source) = match a.word(1)? {
        "OSHA" => (90.0, 5.0, 115.0, "29 CFR 1910.95"),
        "NIOSH" => (85.0, 3.0, 140.0, "NIOSH 98-126"),
        other => return Err(Complaint::unlisted(1, "rule", other, &RULES)),
    };
    if level > most {
        let message = format!(
            "{} dB is not permitted at all: the limit is {most} dB ({source})",
            shown(level)
        );
        return Err(Complaint::outside(0, message));
    }
    let hours: f64 = 8.0 / libm::exp2((level - at) / step);
    binary(hours.min(ALL_DAY))
}

/// Hours of a whole day.
const ALL_DAY: f64 = 24.0;

fn appraise_exposure(a: &Arguments<'_, f64>) -> Vec<Remark> {
    match a.number(0) {
        Ok(level) => loud(level).into_iter().collect(),
        Err(_) => Vec::new(),
    }
}

const LEVEL: Parameter = Parameter::new(
    "level",
    ParameterKind::Level,
    Shape::Single,
    "the sound level, A-weighted",
)
.usually(40.0, 110.0);

/// The functions of this file.
pub(super) static FUNCTIONS: [Function; 3] = [
    Function {
        name: "sound_at",
        chapter: Chapter::Load,
        summary: "sound level at another distance over open ground",
        parameters: &[
            LEVEL,
            Parameter::quantity(
                "measured_at",
                "ft",
                "the distance the level was measured at, often 23 ft (7 m)",
            )
            .usually(8.0, 50.0),
            Parameter::quantity("heard_at", "ft", "the distance it is heard at").usually(8.0, 1_000.0),
        ],
        result: ResultKind::Level,
        formula: "level − 20·lg(heard_at/measured_at)",
        sources: &[remembered("ISO 9613-2, 7.1")],
        range: "open ground, no shielding; below three times the set's size a caution",
        notes: "A wall beside the set adds 3 dB, a corner of two walls 6 dB: their reflections count as more sets.",
        examples: &[
            example("sound_at(74 dB, measured_at: 23 ft, heard_at: 50 ft)", "67.26 dB"),
            example("sound_at(74 dB, measured_at: 23 ft, heard_at: 46 ft)", "67.98 dB"),
        ],
        body: rule!(sound_at),
        appraise: Some(appraise_at),
        ..PLAIN
    },
    Function {
        name: "sound_sum",
        chapter: Chapter::Load,
        summary: "sound levels together, added by energy",
        parameters: &[Parameter::new(
            "levels",
            ParameterKind::Level,
            Shape::Several,
            "a column of levels, or several",
        )
        .usually(40.0, 110.0)],
        result: ResultKind::Level,
        formula: "10·lg Σ 10^(L/10)",
        sources: &[remembered("ISO 1996-1")],
        range: "at least one level; sources that are independent of each other",
        notes: "Two equal levels make 3 dB more than one.",
        examples: &[
            example("sound_sum(60 dB, 60 dB)", "63.01 dB"),
            example("sound_sum(80 dB, 83 dB, 85 dB)", "87.89 dB"),
        ],
        body: rule!(sound_sum),
        appraise: Some(appraise_sum),
        ..PLAIN
    },
    Function {
        name: "allowed_exposure",
        chapter: Chapter::Load,
        summary: "hours a day that a sound level is allowed at work",
        parameters: &[
            LEVEL,
            Parameter::word("rule", &RULES, "the law (OSHA), or the advice (NIOSH)"),
        ],
        result: ResultKind::Quantity("h"),
        formula: "OSHA 8 h/2^((L − 90)/5), NIOSH 8 h/2^((L − 85)/3), at most 24 h",
        sources: &[
            published("29 CFR 1910.95 App. A"),
            published("NIOSH 98-126"),
            practice("24 h stands for all day"),
        ],
        range: "below 80 dB no limit, shown as 24 h; above 115 dB (OSHA) or 140 dB (NIOSH) a problem",
        notes: "24 h means all day.",
        examples: &[
            example("allowed_exposure(100 dB, rule: \"OSHA\")", "2 h"),
            example("allowed_exposure(88 dB, rule: \"NIOSH\")", "4 h"),
        ],
        body: rule!(allowed_exposure),
        appraise: Some(appraise_exposure),
        ..PLAIN
    },
];
