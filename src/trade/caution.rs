//! The cautions: code, what must be said, and the source.
//!
//! A function or entry carries them; a report prints each once. Those of the
//! first group are about life and property, those of the second about what a
//! rule can and cannot say. Start reading at [`CAUTIONS`].

use super::declare::{computed, practice, published, remembered};
use super::{Caution, Source, Standing, Weight};

/// What stands below the cautions of a report.
pub(crate) const CLOSING: &str = "Local code and a licensed person decide.";

/// Every caution, in the order a report prints them.
pub static CAUTIONS: [&Caution; 49] = [
    &CARBON_MONOXIDE,
    &CYLINDER_HEAT,
    &CYLINDER_HEATER,
    &STALLS_FIRST,
    &RUN_SAYS_OTHERWISE,
    &TIME_LIMIT,
    &BY_WEIGHT,
    &FROSTS,
    &OVERFILL,
    &CYLINDER_PLACE,
    &SIDE_BY_SIDE,
    &NOT_FILLED,
    &BACKFEED,
    &CORD_HEAT,
    &HEARING,
    &CALM_AIR,
    &GAUGE_SHOWS_TEMPERATURE,
    &GROSS_NET,
    &STAMP_OR_SCALE,
    &NO_LIQUID,
    &PURE_PROPANE,
    &UPRIGHT_EXTRAPOLATION,
    &DISHED_BOTTOM,
    &OUTSIDE_TABLE,
    &OFF_THE_LINE,
    &WEIGHT_RISES,
    &BENDS,
    &HOSE_MIXED,
    &TWO_READINGS,
    &LOAD_UNCLEAR,
    &RUNS_DISAGREE,
    &TWO_RUNS,
    &BEYOND_READINGS,
    &BELOW_ZERO,
    &ALL_AT_ONCE,
    &FUEL_LINE,
    &ODD_EFFICIENCY,
    &CORRECTION_RANGE,
    &NEAR_FIELD,
    &NO_FROST,
    &BARE_FILM,
    &FILM_AT_LEAST,
    &HEAT_COMES,
    &LEFT_OUT,
    &BY_DRAWS,
    &ONE_SIDED,
    &MISSING_CELLS,
    &TWO_TABLES,
    &CLOCK_CHANGE,
];

/// The caution of that code.
pub fn caution(code: &str) -> Option<&'static Caution> {
    CAUTIONS.into_iter().find(|caution| caution.code == code)
}

/// Anything that runs a generator.
pub(crate) static CARBON_MONOXIDE: Caution = Caution {
    code: "carbon-monoxide",
    weight: Weight::Danger,
    brief: "Set outdoors, 20 ft from the house; carbon monoxide alarms on.",
    text: "Run the set outdoors only, never in a garage even with the door open, at least 20 ft from the house, with the exhaust pointing away and the windows in its path shut. Carbon monoxide alarms belong on every level and outside the bedrooms. A cord too short is no reason to move the set nearer.",
    source: published("US CPSC, portable generator safety"),
};

/// Icing, extra heat, a negative margin.
pub(crate) static CYLINDER_HEAT: Caution = Caution {
    code: "cylinder-heat",
    weight: Weight::Danger,
    brief: "No flame, heater or exhaust on a cylinder; don't wrap it.",
    text: "Never put a flame, torch, heater blast or engine exhaust on a cylinder, and keep it under 120 °F. Don't wrap, box or bury it: the liquid is colder than the air, and moving air feeds it. Stand it on open ground, dry, off the snow; share the draw, start full, run less, or change to gasoline.",
    source: practice("trade safety guidance"),
};

/// Heat that is put into a cylinder.
pub(crate) static CYLINDER_HEATER: Caution = Caution {
    code: "cylinder-heater",
    weight: Weight::Danger,
    brief: "Only a heater listed for propane cylinders, if code allows.",
    text: "`extra_heat` is for one thing alone: a heater listed for propane cylinders, that its own thermostat keeps below 120 °F, dry, unharmed, put on and fed as its maker says. A heat lamp, heat tape, hot pad or blanket, warm water and a heater meant for something else are none. Local code or the supplier may forbid it; ask them first, and count its watts as a load of the set.",
    source: practice("trade safety guidance"),
};

/// A runtime by weight that the cylinder can't keep up with, or a negative margin.
pub(crate) static STALLS_FIRST: Caution = Caution {
    code: "stalls-first",
    weight: Weight::Plan,
    brief: "the cylinder stalls before it is empty",
    text: "The cylinder loses its pressure before it is empty: the engine stalls with fuel left, and the runtime by weight does not hold.",
    source: computed("energy balance of the boiling liquid"),
};

/// A draw-down that was followed to its time limit without an end.
pub(crate) static TIME_LIMIT: Caution = Caution {
    code: "time-limit",
    weight: Weight::Plan,
    brief: "lasts beyond the `limit` of the draw-down",
    text: "The draw-down had not ended at its `limit`: it lasts longer; a longer `limit` tells how long.",
    source: computed("energy balance of the boiling liquid"),
};

/// A runtime by weight, and nothing that says whether the cylinder keeps up.
pub(crate) static BY_WEIGHT: Caution = Caution {
    code: "by-weight",
    weight: Weight::Plan,
    brief: "by weight alone: in the cold it may stall long before",
    text: "A runtime by weight says when the cylinder is empty. In the cold it may lose its pressure long before, and the engine stalls with fuel left: set the `draw_down_time` of the same cylinder beside it, and plan by the shorter.",
    source: computed("energy balance of the boiling liquid"),
};

/// A capacity rule is used.
pub(crate) static CALM_AIR: Caution = Caution {
    code: "calm-air",
    weight: Weight::Plan,
    brief: "in still air expect a third to a half of it",
    text: "The capacity rule assumes wind of about 10 mph. In still air expect a third to a half of it.",
    source: computed("heat transfer of a cylinder in still and in moving air"),
};

/// Contents above the limit.
pub(crate) static OVERFILL: Caution = Caution {
    code: "overfill",
    weight: Weight::Plan,
    brief: "more than the fill limit: have the supplier bleed it",
    text: "The cylinder holds more than its fill limit. Stand clear, keep it cool and outdoors, and have the supplier bleed it; never bleed it yourself.",
    source: published("49 CFR 173.304a(d)(1)"),
};

/// Cylinders together.
pub(crate) static SIDE_BY_SIDE: Caution = Caution {
    code: "side-by-side",
    weight: Weight::Plan,
    brief: "join cylinders only through a manifold with check valves",
    text: "Join cylinders only through a manifold with check valves: unequal temperature or fill moves liquid into the colder one and can overfill it. An automatic changeover does not share the draw.",
    source: practice("trade practice with portable cylinders"),
};

/// Contents, storage, swaps.
pub(crate) static CYLINDER_PLACE: Caution = Caution {
    code: "cylinder-place",
    weight: Weight::Danger,
    brief: "Cylinders upright and outdoors; leak test with soap at each swap.",
    text: "Keep cylinders upright always (a tipped one sends liquid through a vapor regulator) and outdoors, never in a house, garage or closed car. Leak test with soap at each swap, with the engine stopped and cool.",
    source: published("NFPA 58, and state regulators' guidance"),
};

/// A pressure is used.
pub(crate) static GAUGE_SHOWS_TEMPERATURE: Caution = Caution {
    code: "gauge-shows-temperature",
    weight: Weight::Note,
    brief: "a gauge shows temperature, not contents",
    text: "A gauge on propane shows its temperature, not how much is left: while any liquid remains the pressure stays that of its temperature.",
    source: computed("propane reference equation of state, J. Chem. Eng. Data 54 (2009) 3141"),
};

/// Loads on house circuits.
pub(crate) static BACKFEED: Caution = Caution {
    code: "backfeed",
    weight: Weight::Danger,
    brief: "Into house circuits only through a transfer switch or interlock.",
    text: "House circuits take a generator only through a transfer switch or interlock fitted by a licensed electrician. A set plugged into an outlet feeds the street and can kill a line worker.",
    source: published("NEC article 702"),
};

/// Cords and plugs.
pub(crate) static CORD_HEAT: Caution = Caution {
    code: "cord-heat",
    weight: Weight::Plan,
    brief: "uncoil the whole cord; load it less in heat",
    text: "Ampacity is not voltage drop: a cord that passes one can fail the other. Uncoil the whole cord, keep it uncovered, and load it less in heat.",
    source: published("NEC article 400"),
};

/// Levels of 85 dB and above.
pub(crate) static HEARING: Caution = Caution {
    code: "hearing",
    weight: Weight::Plan,
    brief: "85 dB or more: keep away, or wear protection",
    text: "At 85 dB and above hearing is lost in a working day: keep away, or wear protection.",
    source: published("NIOSH 98-126"),
};

/// Bases of heat mixed, or net where gross is due.
pub(crate) static GROSS_NET: Caution = Caution {
    code: "gross-net",
    weight: Weight::Plan,
    brief: "gross and net heat differ by 8 %",
    text: "Gross and net heat of propane differ by 8 %. Compare like with like: capacity rules, fuel prices per heat and emission factors are gross.",
    source: published("NFPA 58 property table; US DOE AFDC"),
};

/// Contents below zero within what a stamp and a scale may be out.
pub(crate) static STAMP_OR_SCALE: Caution = Caution {
    code: "stamp-or-scale",
    weight: Weight::Plan,
    brief: "stamp or scale is off: weigh the empty shell once",
    text: "stamp or scale is off: weigh this shell once when it is empty",
    source: published("49 CFR 178.35: a stamped tare may be off by 3 % of itself"),
};

/// Nothing left to boil.
pub(crate) static NO_LIQUID: Caution = Caution {
    code: "no-liquid",
    weight: Weight::Plan,
    brief: "no liquid is left",
    text: "No liquid is left: the pressure no longer follows the temperature, and falls as gas is drawn.",
    source: computed("propane reference equation of state, J. Chem. Eng. Data 54 (2009) 3141"),
};

/// Commercial propane is not pure.
pub(crate) static PURE_PROPANE: Caution = Caution {
    code: "pure-propane",
    weight: Weight::Note,
    brief: "figures are for pure propane",
    text: "The figures are for pure propane. Commercial propane starts 3 to 20 psi higher because its light ends leave first; what is left near the end may lie below the pure curve, so pure is not the safe side for the last quarter of a cylinder.",
    source: practice("suppliers' charts against the equation of state"),
};

/// The capacity rule on a portable upright cylinder.
pub(crate) static UPRIGHT_EXTRAPOLATION: Caution = Caution {
    code: "upright-extrapolation",
    weight: Weight::Note,
    brief: "a rule for tanks lying down, carried to an upright cylinder",
    text: "The D × L × K × M rule is for stationary tanks lying above ground. On a portable upright cylinder it is an extrapolation and may be off by a factor of two.",
    source: Source {
        title: "handbook rule of thumb for above-ground containers",
        standing: Standing::FromMemory,
    },
};

/// Very little liquid in a dished bottom.
pub(crate) static DISHED_BOTTOM: Caution = Caution {
    code: "dished-bottom",
    weight: Weight::Note,
    brief: "the last liquid lies in the dish",
    text: "With so little left, the liquid lies in the dish of the bottom: a flat bottom overstates its area, and so what follows from it.",
    source: computed("geometry"),
};

/// A value beyond the rows that are printed.
pub(crate) static OUTSIDE_TABLE: Caution = Caution {
    code: "outside-table",
    weight: Weight::Note,
    brief: "beyond the printed table",
    text: "The value lies beyond the rows that the source prints, on the rule's own line.",
    source: Source {
        title: "handbook rule of thumb for above-ground containers",
        standing: Standing::FromMemory,
    },
};

/// One reading stands apart from the others.
pub(crate) static OFF_THE_LINE: Caution = Caution {
    code: "off-the-line",
    weight: Weight::Plan,
    brief: "a reading stands off the line",
    text: "A reading stands off the line through the others by more than chance would put it: check it, its time, and what hung on the scale.",
    source: published(
        "R. D. Cook, S. Weisberg, Residuals and Influence in Regression (1982), 2.2.2: studentized deleted residuals, Bonferroni",
    ),
};

/// A cylinder can't gain weight.
pub(crate) static WEIGHT_RISES: Caution = Caution {
    code: "weight-rises",
    weight: Weight::Plan,
    brief: "a weight rises during the run",
    text: "A weight rises during the run by more than two readings differ by chance, and a cylinder in use only gets lighter.",
    source: computed("three standard uncertainties of the difference of two readings (JCGM 100, 5.1.2)"),
};

/// The weight falls along a bent line.
pub static BENDS: Caution = Caution {
    code: "bends",
    weight: Weight::Plan,
    brief: "the weight doesn't fall along a straight line",
    text: "The weight doesn't fall along a straight line: the load changed, or the set burned more at one end of the run.",
    source: published("N. R. Draper, H. Smith, Applied Regression Analysis (3rd ed. 1998), 6.1: extra sum of squares"),
};

/// Weighings with and without the hose taken for one kind.
pub(crate) static HOSE_MIXED: Caution = Caution {
    code: "hose-mixed",
    weight: Weight::Plan,
    brief: "weighings with and without the hose are mixed",
    text: "Weighings of two kinds are treated as one: what hung on the scale at some of them makes the rate wrong, however sure it looks.",
    source: published("N. R. Draper, H. Smith, Applied Regression Analysis (3rd ed. 1998), 14: dummy variables"),
};

/// As many unknowns as readings.
pub(crate) static TWO_READINGS: Caution = Caution {
    code: "two-readings",
    weight: Weight::Note,
    brief: "nothing checks the line",
    text: "As many weighings as unknowns leave nothing that checks the line: its ± rests on what was declared alone.",
    source: published("JCGM 100, 4.3: type B, from what was declared"),
};

/// What a kilowatt adds may be nothing.
pub(crate) static LOAD_UNCLEAR: Caution = Caution {
    code: "load-unclear",
    weight: Weight::Plan,
    brief: "the run doesn't tell what a kilowatt adds",
    text: "By these weighings (95 %) a kilowatt may add nothing, which no engine does: weigh longer, more often, or with loads further apart.",
    source: published(
        "N. R. Draper, H. Smith, Applied Regression Analysis (3rd ed. 1998), 1.4: the t test of a coefficient",
    ),
};

/// Results that lie further apart than they are known.
pub(crate) static RUNS_DISAGREE: Caution = Caution {
    code: "runs-disagree",
    weight: Weight::Plan,
    brief: "the runs disagree by more than they are known",
    text: "Results that should agree lie further apart than each of them is known: something differed between the runs.",
    source: published("B. L. Welch, Biometrika 38 (1951) 330"),
};

/// Two results alone.
pub(crate) static TWO_RUNS: Caution = Caution {
    code: "two-runs",
    weight: Weight::Note,
    brief: "two results hardly tell their spread",
    text: "Two results alone hardly tell how far such results spread: a third does more for their average than anything else.",
    source: published("JCGM 100, E.4.3: how badly a standard deviation of two is known"),
};

/// A straight line read outside the readings it was fitted to.
pub(crate) static BEYOND_READINGS: Caution = Caution {
    code: "beyond-readings",
    weight: Weight::Plan,
    brief: "read outside the readings",
    text: "The straight line is read outside the readings it was fitted to: nothing shows that it stays straight there.",
    source: computed("a fitted line holds between its readings"),
};

/// A time to run that comes out below zero.
pub(crate) static BELOW_ZERO: Caution = Caution {
    code: "below-zero",
    weight: Weight::Plan,
    brief: "a time below zero",
    text: "A time comes out below zero, which can't be: more is taken off than there is, or two values are the wrong way around.",
    source: computed("no run lasts less than no time"),
};

/// After an outage everything starts together.
pub(crate) static ALL_AT_ONCE: Caution = Caution {
    code: "all-at-once",
    weight: Weight::Plan,
    brief: "everything may start at once: switch loads in one by one",
    text: "The peak takes one motor starting at a time. After an outage everything may start at once: switch loads in one by one.",
    source: practice("trade practice with portable sets"),
};

/// The straight fuel line stretched far.
pub(crate) static FUEL_LINE: Caution = Caution {
    code: "fuel-line",
    weight: Weight::Plan,
    brief: "carried far from the load that was weighed",
    text: "The rate is carried along a straight fuel line to a load outside half to twice the one weighed. Inverter sets that change speed don't follow a straight line: weigh a run near the load.",
    source: practice("straight fuel line (Willans); shares of 30 to 60 % published for small sets"),
};

/// An efficiency that small sets don't have.
pub(crate) static ODD_EFFICIENCY: Caution = Caution {
    code: "odd-efficiency",
    weight: Weight::Plan,
    brief: "an efficiency that such sets don't reach",
    text: "The efficiency is outside what such sets reach: check weights, load and basis.",
    source: practice("fuel tables of portable sets"),
};

/// A power correction outside what its standard allows.
pub(crate) static CORRECTION_RANGE: Caution = Caution {
    code: "correction-range",
    weight: Weight::Note,
    brief: "a correction beyond what its standard allows",
    text: "The correction factor is outside 0.93 to 1.07, the range the standard allows: beyond it the number is an extrapolation.",
    source: Source {
        title: "SAE J1349",
        standing: Standing::FromMemory,
    },
};

/// A sound level close to the set.
pub(crate) static NEAR_FIELD: Caution = Caution {
    code: "near-field",
    weight: Weight::Plan,
    brief: "too close for a level by distance",
    text: "A distance is below three times the size of a portable set: so close the level does not follow the distance.",
    source: practice("point source beyond three times its size"),
};

/// Dew rather than frost.
pub(crate) static NO_FROST: Caution = Caution {
    code: "no-frost",
    weight: Weight::Note,
    brief: "dew rather than frost",
    text: "The frost point comes out above freezing: it is dew that forms; see dew_point.",
    source: published("WMO-No. 8, Annex 4.B"),
};

/// A film without what moisture adds.
pub(crate) static BARE_FILM: Caution = Caution {
    code: "bare-film",
    weight: Weight::Note,
    brief: "the film is for a dry, bare wall at one temperature",
    text: "The film is for a dry, bare wall at this temperature; the wind is that at the cylinder, often half of the forecast near the ground. Its parts:",
    source: Source {
        title: "correlations good to about 20 %; wind near the ground",
        standing: Standing::FromMemory,
    },
};

/// A draw-down that stalls before a weighed run of the same worksheet did.
pub(crate) static RUN_SAYS_OTHERWISE: Caution = Caution {
    code: "run-says-otherwise",
    weight: Weight::Plan,
    brief: "a weighed run outlasted this draw-down",
    text: "A weighed run gave more gas, for longer, than this draw-down allows: if the air was no warmer then, the film here is too low. `film_from_run` gives the one that the run showed.",
    source: computed("the scale against the heat balance of the cylinder"),
};

/// What brings a cylinder its heat.
pub(crate) static HEAT_COMES: Caution = Caution {
    code: "heat-comes",
    weight: Weight::Note,
    brief: "what brings the cylinder its heat",
    text: "The heat comes through the wetted wall, down the dry one and through the bottom: `heat_parts` tells how much.",
    source: computed("one temperature for liquid and shell, heat through wall and bottom"),
};

/// A film that a run shows.
pub(crate) static FILM_AT_LEAST: Caution = Caution {
    code: "film-of-a-run",
    weight: Weight::Note,
    brief: "the film that a run showed, or at least",
    text: "A run that didn't stall shows the least film there was; it holds for the same shell alone.",
    source: computed("the heat balance of draw_down, solved for its film"),
};

/// Cells without a reading, left out of a reduction.
pub(crate) static MISSING_CELLS: Caution = Caution {
    code: "missing-cells",
    weight: Weight::Plan,
    brief: "missing cells are left out",
    text: "Missing cells are left out.",
    source: computed("what is not in a table can't be counted"),
};

/// Columns of two tables, row by row.
pub(crate) static TWO_TABLES: Caution = Caution {
    code: "two-tables",
    weight: Weight::Plan,
    brief: "two tables paired by the order of rows",
    text: "Columns of two tables are paired by the order of their rows.",
    source: practice("a row belongs to its own table"),
};

/// Hours counted over the night in which clocks are changed.
pub(crate) static CLOCK_CHANGE: Caution = Caution {
    code: "clock-change",
    weight: Weight::Plan,
    brief: "clocks change by an hour in between",
    text: "Clocks change by an hour between these dates, and dates have no time zone here.",
    source: remembered("15 USC 260a: second Sunday of March and first Sunday of November, at 2 in the morning"),
};

/// A cylinder past its date.
pub(crate) static NOT_FILLED: Caution = Caution {
    code: "not-filled",
    weight: Weight::Plan,
    brief: "past its date a cylinder is not filled",
    text: "Past this date the cylinder will not be filled until it has been examined again; an exchange rack passes such cylinders on, so look at the stamp.",
    source: published("49 CFR 180.209"),
};

/// What the plain heat balance of a cylinder leaves out.
pub(crate) static LEFT_OUT: Caution = Caution {
    code: "left-out",
    weight: Weight::Note,
    brief: "what the heat balance leaves out",
    text: "The heat balance leaves out the vapor in the cylinder, frost and condensation, the sun, and what valve and regulator let through. In mild damp weather it is a low estimate, in the cold about right.",
    source: computed("one temperature for liquid and shell, heat through the wetted wall"),
};

/// Values whose uncertainty first order can't tell.
pub(crate) static BY_DRAWS: Caution = Caution {
    code: "by-draws",
    weight: Weight::Note,
    brief: "no ± from a made table but by draws",
    text: "No ± stands beside what comes from a table that a function made, though the inputs have one: inside a tolerance the outcome can switch, from empty to stalled or from one cylinder to the next. Draws tell where 95 % of it lies: beside the value where they are quick, by `doubt` everywhere.",
    source: computed("JCGM 101, where first order does not hold"),
};

/// A ± that counts one side alone.
pub(crate) static ONE_SIDED: Caution = Caution {
    code: "one-sided",
    weight: Weight::Note,
    brief: "a slope on one side alone",
    text: "A value is read at the edge of what is known, or right where a line bends: the ± of the result takes the slope on one side alone.",
    source: computed("JCGM 100, which takes the slope to be the same on both sides"),
};

/// A wall below freezing, which is not yet a stall.
pub(crate) static FROSTS: Caution = Caution {
    code: "frosts",
    weight: Weight::Note,
    brief: "the wall frosts",
    text: "It frosts only where it is also below the frost point of the air. Frost shows a cold wall and insulates it a little; what stops the engine is pressure, which is a question of its own.",
    source: computed("WMO-No. 8 and the heat balance of the cylinder"),
};
