//! The cautions: code, what must be said, and the source.
//!
//! A function or entry carries them; a report prints each once. Those of the
//! first group are about life and property, those of the second about what a
//! rule can and cannot say. Start reading at [`CAUTIONS`].

use super::declare::{computed, practice, published, remembered};
use super::{Caution, Weight};

/// What stands below the cautions of a report.
pub(crate) const CLOSING: &str = "Local code and a licensed person decide.";

/// The caution of that code.
pub fn caution(code: &str) -> Option<&'static Caution> {
    CAUTIONS.iter().copied().find(|caution| caution.code == code)
}

macro_rules! cautions {
    ($($(#[$meta:meta])* $name:ident = $code:literal, $weight:ident, $standing:ident($($from:literal),*) {
        brief: $brief:literal;
        text: $text:literal;
    })*) => {
        /// Every caution, in the order a report prints them.
        pub static CAUTIONS: &[&Caution] = &[$(&$name,)*];

        $($(#[$meta])* pub(crate) static $name: Caution = Caution {
            code: $code,
            weight: Weight::$weight,
            brief: $brief,
            text: $text,
            source: $standing($($from),*),
        };)*
    };
}

cautions! {
    /// Anything that runs a generator.
    CARBON_MONOXIDE = "carbon-monoxide", Danger, published("US CPSC, portable generator safety") {
        brief: "Set outdoors, 20 ft from the house; carbon monoxide alarms on.";
        text: "Run the set outdoors only, never in a garage even with the door open, at least 20 ft from the house, with the exhaust pointing away and the windows in its path shut. Carbon monoxide alarms belong on every level and outside the bedrooms. A cord too short is no reason to move the set nearer.";
    }
    /// Icing, extra heat, a negative margin.
    CYLINDER_HEAT = "cylinder-heat", Danger, practice("trade safety guidance") {
        brief: "No flame, heater or exhaust on a cylinder; don't wrap it.";
        text: "Never put a flame, torch, heater blast or engine exhaust on a cylinder, and keep it under 120 °F. Don't wrap, box or bury it: the liquid is colder than the air, and moving air feeds it. Stand it on open ground, dry, off the snow; share the draw, start full, run less, or change to gasoline.";
    }
    /// Heat that is put into a cylinder.
    CYLINDER_HEATER = "cylinder-heater", Danger, practice("trade safety guidance") {
        brief: "Only a heater listed for propane cylinders, if code allows.";
        text: "`extra_heat` is for one thing alone: a heater listed for propane cylinders, that its own thermostat keeps below 120 °F, dry, unharmed, put on and fed as its maker says. A heat lamp, heat tape, hot pad or blanket, warm water and a heater meant for something else are none. Local code or the supplier may forbid it; ask them first, and count its watts as a load of the set.";
    }
    /// A runtime by weight that the cylinder can't keep up with, or a negative margin.
    STALLS_FIRST = "stalls-first", Plan, computed("energy balance of the boiling liquid") {
        brief: "the cylinder stalls before it is empty";
        text: "The cylinder loses its pressure before it is empty: the engine stalls with fuel left, and the runtime by weight does not hold.";
    }
    /// A draw-down that stalls before a weighed run of the same worksheet did.
    RUN_SAYS_OTHERWISE = "run-says-otherwise", Plan, computed("the scale against the heat balance of the cylinder") {
        brief: "a weighed run outlasted this draw-down";
        text: "A weighed run gave more gas, for longer, than this draw-down allows: if the air was no warmer then, the film here is too low. `film_from_run` gives the one that the run showed.";
    }
    /// A draw-down that was followed to its time limit without an end.
    TIME_LIMIT = "time-limit", Plan, computed("energy balance of the boiling liquid") {
        brief: "lasts beyond the `limit` of the draw-down";
        text: "The draw-down had not ended at its `limit`: it lasts longer; a longer `limit` tells how long.";
    }
    /// A runtime by weight, and nothing that says whether the cylinder keeps up.
    BY_WEIGHT = "by-weight", Plan, computed("energy balance of the boiling liquid") {
        brief: "by weight alone: in the cold it may stall long before";
        text: "A runtime by weight says when the cylinder is empty. In the cold it may lose its pressure long before, and the engine stalls with fuel left: set the `draw_down_time` of the same cylinder beside it, and plan by the shorter.";
    }
    /// A wall below freezing, which is not yet a stall.
    FROSTS = "frosts", Note, computed("WMO-No. 8 and the heat balance of the cylinder") {
        brief: "the wall frosts";
        text: "It frosts only where it is also below the frost point of the air. Frost shows a cold wall and insulates it a little; what stops the engine is pressure, which is a question of its own.";
    }
    /// Contents above the limit.
    OVERFILL = "overfill", Plan, published("49 CFR 173.304a(d)(1)") {
        brief: "more than the fill limit: have the supplier bleed it";
        text: "The cylinder holds more than its fill limit. Stand clear, keep it cool and outdoors, and have the supplier bleed it; never bleed it yourself.";
    }
    /// Contents, storage, swaps.
    CYLINDER_PLACE = "cylinder-place", Danger, published("NFPA 58, and state regulators' guidance") {
        brief: "Cylinders upright and outdoors; leak test with soap at each swap.";
        text: "Keep cylinders upright always (a tipped one sends liquid through a vapor regulator) and outdoors, never in a house, garage or closed car. Leak test with soap at each swap, with the engine stopped and cool.";
    }
    /// Cylinders together.
    SIDE_BY_SIDE = "side-by-side", Plan, practice("trade practice with portable cylinders") {
        brief: "join cylinders only through a manifold with check valves";
        text: "Join cylinders only through a manifold with check valves: unequal temperature or fill moves liquid into the colder one and can overfill it. An automatic changeover does not share the draw.";
    }
    /// A cylinder past its date.
    NOT_FILLED = "not-filled", Plan, published("49 CFR 180.209") {
        brief: "past its date a cylinder is not filled";
        text: "Past this date the cylinder will not be filled until it has been examined again; an exchange rack passes such cylinders on, so look at the stamp.";
    }
    /// Loads on house circuits.
    BACKFEED = "backfeed", Danger, published("NEC article 702") {
        brief: "Into house circuits only through a transfer switch or interlock.";
        text: "House circuits take a generator only through a transfer switch or interlock fitted by a licensed electrician. A set plugged into an outlet feeds the street and can kill a line worker.";
    }
    /// Cords and plugs.
    CORD_HEAT = "cord-heat", Plan, published("NEC article 400") {
        brief: "uncoil the whole cord; load it less in heat";
        text: "Ampacity is not voltage drop: a cord that passes one can fail the other. Uncoil the whole cord, keep it uncovered, and load it less in heat.";
    }
    /// Levels of 85 dB and above.
    HEARING = "hearing", Plan, published("NIOSH 98-126") {
        brief: "85 dB or more: keep away, or wear protection";
        text: "At 85 dB and above hearing is lost in a working day: keep away, or wear protection.";
    }
    /// A capacity rule is used.
    CALM_AIR = "calm-air", Plan, computed("heat transfer of a cylinder in still and in moving air") {
        brief: "in still air expect a third to a half of it";
        text: "The capacity rule assumes wind of about 10 mph. In still air expect a third to a half of it.";
    }
    /// A pressure is used.
    GAUGE_SHOWS_TEMPERATURE = "gauge-shows-temperature", Note, computed("propane reference equation of state, J. Chem. Eng. Data 54 (2009) 3141") {
        brief: "a gauge shows temperature, not contents";
        text: "A gauge on propane shows its temperature, not how much is left: while any liquid remains the pressure stays that of its temperature.";
    }
    /// Bases of heat mixed, or net where gross is due.
    GROSS_NET = "gross-net", Plan, published("NFPA 58 property table; US DOE AFDC") {
        brief: "gross and net heat differ by 8 %";
        text: "Gross and net heat of propane differ by 8 %. Compare like with like: capacity rules, fuel prices per heat and emission factors are gross.";
    }
    /// Contents below zero within what a stamp and a scale may be out.
    STAMP_OR_SCALE = "stamp-or-scale", Plan, published("49 CFR 178.35: a stamped tare may be off by 3 % of itself") {
        brief: "stamp or scale is off: weigh the empty shell once";
        text: "stamp or scale is off: weigh this shell once when it is empty";
    }
    /// Nothing left to boil.
    NO_LIQUID = "no-liquid", Plan, computed("propane reference equation of state, J. Chem. Eng. Data 54 (2009) 3141") {
        brief: "no liquid is left";
        text: "No liquid is left: the pressure no longer follows the temperature, and falls as gas is drawn.";
    }
    /// Commercial propane is not pure.
    PURE_PROPANE = "pure-propane", Note, practice("suppliers' charts against the equation of state") {
        brief: "figures are for pure propane";
        text: "The figures are for pure propane. Commercial propane starts 3 to 20 psi higher because its light ends leave first; what is left near the end may lie below the pure curve, so pure is not the safe side for the last quarter of a cylinder.";
    }
    /// The capacity rule on a portable upright cylinder.
    UPRIGHT_EXTRAPOLATION = "upright-extrapolation", Note, remembered("handbook rule of thumb for above-ground containers") {
        brief: "a rule for tanks lying down, carried to an upright cylinder";
        text: "The D × L × K × M rule is for stationary tanks lying above ground. On a portable upright cylinder it is an extrapolation and may be off by a factor of two.";
    }
    /// More liquid than a shell of that shape takes.
    DOES_NOT_FIT = "does-not-fit", Plan, computed("geometry") {
        brief: "the liquid doesn't fit in this shell: is it a circumference?";
        text: "The liquid would stand higher in this shell than the shell does: look at contents, diameter and height.";
    }
    /// Very little liquid in a dished bottom.
    DISHED_BOTTOM = "dished-bottom", Note, computed("geometry") {
        brief: "the last liquid lies in the dish";
        text: "With so little left, the liquid lies in the dish of the bottom: a flat bottom overstates its area, and so what follows from it.";
    }
    /// A value beyond the rows that are printed.
    OUTSIDE_TABLE = "outside-table", Note, remembered("handbook rule of thumb for above-ground containers") {
        brief: "beyond the printed table";
        text: "The value lies beyond the rows that the source prints, on the rule's own line.";
    }
    /// One reading stands apart from the others.
    OFF_THE_LINE = "off-the-line", Plan, published("R. D. Cook, S. Weisberg, Residuals and Influence in Regression (1982), 2.2.2: studentized deleted residuals, Bonferroni") {
        brief: "a reading stands off the line";
        text: "A reading stands off the line through the others by more than chance would put it: check it, its time, and what hung on the scale.";
    }
    /// A cylinder can't gain weight.
    WEIGHT_RISES = "weight-rises", Plan, computed("three standard uncertainties of the difference of two readings (JCGM 100, 5.1.2)") {
        brief: "a weight rises during the run";
        text: "A weight rises during the run by more than two readings differ by chance, and a cylinder in use only gets lighter.";
    }
    /// The weight falls along a bent line.
    BENDS = "bends", Plan, published("N. R. Draper, H. Smith, Applied Regression Analysis (3rd ed. 1998), 6.1: extra sum of squares") {
        brief: "the weight doesn't fall along a straight line";
        text: "The weight doesn't fall along a straight line: the load changed, or the set burned more at one end of the run.";
    }
    /// Weighings with and without the hose taken for one kind.
    HOSE_MIXED = "hose-mixed", Plan, published("N. R. Draper, H. Smith, Applied Regression Analysis (3rd ed. 1998), 14: dummy variables") {
        brief: "weighings with and without the hose are mixed";
        text: "Weighings of two kinds are treated as one: what hung on the scale at some of them makes the rate wrong, however sure it looks.";
    }
    /// As many unknowns as readings.
    TWO_READINGS = "two-readings", Note, published("JCGM 100, 4.3: type B, from what was declared") {
        brief: "nothing checks the line";
        text: "As many weighings as unknowns leave nothing that checks the line: its ± rests on what was declared alone.";
    }
    /// What a kilowatt adds may be nothing.
    LOAD_UNCLEAR = "load-unclear", Plan, published("N. R. Draper, H. Smith, Applied Regression Analysis (3rd ed. 1998), 1.4: the t test of a coefficient") {
        brief: "the run doesn't tell what a kilowatt adds";
        text: "By these weighings (95 %) a kilowatt may add nothing, which no engine does: weigh longer, more often, or with loads further apart.";
    }
    /// Results that lie further apart than they are known.
    RUNS_DISAGREE = "runs-disagree", Plan, published("B. L. Welch, Biometrika 38 (1951) 330") {
        brief: "the runs disagree by more than they are known";
        text: "Results that should agree lie further apart than each of them is known: something differed between the runs.";
    }
    /// Two results alone.
    TWO_RUNS = "two-runs", Note, published("JCGM 100, E.4.3: how badly a standard deviation of two is known") {
        brief: "two results hardly tell their spread";
        text: "Two results alone hardly tell how far such results spread: a third does more for their average than anything else.";
    }
    /// A straight line read outside the readings it was fitted to.
    BEYOND_READINGS = "beyond-readings", Plan, computed("a fitted line holds between its readings") {
        brief: "read outside the readings";
        text: "The straight line is read outside the readings it was fitted to: nothing shows that it stays straight there.";
    }
    /// A time to run that comes out below zero.
    BELOW_ZERO = "below-zero", Plan, computed("no run lasts less than no time") {
        brief: "a time below zero";
        text: "A time comes out below zero, which can't be: more is taken off than there is, or two values are the wrong way around.";
    }
    /// After an outage everything starts together.
    ALL_AT_ONCE = "all-at-once", Plan, practice("trade practice with portable sets") {
        brief: "everything may start at once: switch loads in one by one";
        text: "The peak takes one motor starting at a time. After an outage everything may start at once: switch loads in one by one.";
    }
    /// The straight fuel line stretched far.
    FUEL_LINE = "fuel-line", Plan, practice("straight fuel line (Willans); shares of 30 to 60 % published for small sets") {
        brief: "carried far from the load that was weighed";
        text: "The rate is carried along a straight fuel line to a load outside half to twice the one weighed. Inverter sets that change speed don't follow a straight line: weigh a run near the load.";
    }
    /// An efficiency that small sets don't have.
    ODD_EFFICIENCY = "odd-efficiency", Plan, practice("fuel tables of portable sets") {
        brief: "an efficiency that such sets don't reach";
        text: "The efficiency is outside what such sets reach: check weights, load and basis.";
    }
    /// A power correction outside what its standard allows.
    CORRECTION_RANGE = "correction-range", Note, remembered("SAE J1349") {
        brief: "a correction beyond what its standard allows";
        text: "The correction factor is outside 0.93 to 1.07, the range the standard allows: beyond it the number is an extrapolation.";
    }
    /// A sound level close to the set.
    NEAR_FIELD = "near-field", Plan, practice("point source beyond three times its size") {
        brief: "too close for a level by distance";
        text: "A distance is below three times the size of a portable set: so close the level does not follow the distance.";
    }
    /// Dew rather than frost.
    NO_FROST = "no-frost", Note, published("WMO-No. 8, Annex 4.B") {
        brief: "dew rather than frost";
        text: "The frost point comes out above freezing: it is dew that forms; see dew_point.";
    }
    /// A film without what moisture adds.
    BARE_FILM = "bare-film", Note, remembered("correlations good to about 20 %; wind near the ground") {
        brief: "the film is for a dry, bare wall at one temperature";
        text: "The film is for a dry, bare wall at this temperature; the wind is that at the cylinder, often half of the forecast near the ground. Its parts:";
    }
    /// A film that a run shows.
    FILM_AT_LEAST = "film-of-a-run", Note, computed("the heat balance of draw_down, solved for its film") {
        brief: "the film that a run showed, or at least";
        text: "A run that didn't stall shows the least film there was; it holds for the same shell alone.";
    }
    /// What brings a cylinder its heat.
    HEAT_COMES = "heat-comes", Note, computed("one temperature for liquid and shell, heat through wall and bottom") {
        brief: "what brings the cylinder its heat";
        text: "The heat comes through the wetted wall, down the dry one and through the bottom: `heat_parts` tells how much.";
    }
    /// What the plain heat balance of a cylinder leaves out.
    LEFT_OUT = "left-out", Note, computed("one temperature for liquid and shell, heat through the wetted wall") {
        brief: "what the heat balance leaves out";
        text: "The heat balance leaves out the vapor in the cylinder, frost and condensation, the sun, and what valve and regulator let through. In mild damp weather it is a low estimate, in the cold about right.";
    }
    /// Values whose uncertainty first order can't tell.
    BY_DRAWS = "by-draws", Note, computed("JCGM 101, where first order does not hold") {
        brief: "no ± but by draws";
        text: "No ± stands beside what comes from a table that a function made, though the inputs have one: inside a tolerance the outcome can switch, from empty to stalled or from one cylinder to the next. Draws tell where 95 % of it lies: beside the value where they are quick, by `doubt` everywhere. The same holds where a value rests on more readings than can be kept apart.";
    }
    /// A ± that counts one side alone.
    ONE_SIDED = "one-sided", Note, computed("JCGM 100, which takes the slope to be the same on both sides") {
        brief: "a slope on one side alone";
        text: "A value is read at the edge of what is known, or right where a line bends: the ± of the result takes the slope on one side alone.";
    }
    /// Cells without a reading, left out of a reduction.
    MISSING_CELLS = "missing-cells", Plan, computed("what is not in a table can't be counted") {
        brief: "missing cells are left out";
        text: "Missing cells are left out.";
    }
    /// Columns of two tables, row by row.
    TWO_TABLES = "two-tables", Plan, practice("a row belongs to its own table") {
        brief: "two tables paired by the order of rows";
        text: "Columns of two tables are paired by the order of their rows.";
    }
    /// A cylinder that counts twice.
    NAMED_TWICE = "named-twice", Plan, practice("a name is one cylinder's") {
        brief: "two cylinders have one name: does one count twice?";
        text: "Two of these cylinders have one name: if they are one, it counts twice.";
    }
    /// Hours counted over the night in which clocks are changed.
    CLOCK_CHANGE = "clock-change", Plan, remembered("15 USC 260a: second Sunday of March and first Sunday of November, at 2 in the morning") {
        brief: "clocks change by an hour in between";
        text: "Clocks change by an hour between these dates, and dates have no time zone here.";
    }
}
