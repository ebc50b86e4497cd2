//! Slips that people of the trade make in good faith, each in a sentence or two.
//!
//! An audit says when it sees one. What tells it stands in `src/study/audit/`; here is what
//! is said of it. Figures without a source are common practice. Start reading at [`Habit`].

/// A slip that people make in good faith.
#[derive(Debug)]
pub struct Habit {
    /// The code word under which it is remarked.
    pub code: &'static str,
    /// What is the matter, in whole sentences.
    pub told: &'static str,
}

const fn habit(code: &'static str, told: &'static str) -> Habit {
    Habit { code, told }
}

/// A part of full scale, put as a part of the reading.
pub(crate) static FULL_SCALE: Habit = habit(
    "other-coverage",
    "Its source tells a part of full scale, and the ± is that part of the reading: it is the same amount all over the scale.",
);
/// An error of the instrument, divided by the root of the readings.
pub(crate) static AVERAGED_OUT: Habit = habit(
    "other-coverage",
    "What an instrument is off by itself is the same at every reading: it doesn't go down with the root of their number.",
);
/// The scatter of single readings for the doubt of their mean.
pub(crate) static SCATTER_OF_ONE: Habit = habit(
    "other-coverage",
    "This is how far single readings scatter; their mean is surer by the root of their number.",
);
/// A duration that its clock times contradict.
pub(crate) static CLOCK_TIMES: Habit = habit(
    "other-than-said",
    "It isn't the time between the clock times that its line names: 4 h 36 min are 4.6 h.",
);
/// Another number than the stamp that is named.
pub(crate) static STAMP: Habit = habit(
    "other-than-said",
    "Its line names another number for the same stamp: what stands there is the stamp and something else.",
);
/// Days counted by name, both ends.
pub(crate) static DAYS_COUNTED: Habit = habit(
    "other-than-said",
    "The days from the one to the other were counted by their names, both ends among them: there is one less between.",
);
/// An absolute pressure as gauge.
pub(crate) static ABSOLUTE_TYPED: Habit = habit(
    "other-unit",
    "Its line speaks of an absolute pressure, and it is written as gauge: 14.7 psi less at sea level.",
);
/// Meters typed as feet.
pub(crate) static METERS: Habit = habit(
    "other-unit",
    "The same number stands in meters in another line, and in feet here: 1 m is 3.28 ft.",
);
/// A felt temperature for that of the air.
pub(crate) static WIND_CHILL: Habit = habit(
    "other-quantity",
    "A felt temperature is for skin: a cylinder takes the temperature of the air, and the wind by its film.",
);
/// Wind at a mast for that at the cylinder.
pub(crate) static WIND_ELSEWHERE: Habit = habit(
    "other-quantity",
    "Wind at a mast, 33 ft up in the open, isn't the wind at a cylinder in a yard, which is often still.",
);
/// A sound power for a level at a distance.
pub(crate) static SOUND_POWER: Habit = habit(
    "other-quantity",
    "A sound power is no level at a distance: outdoors on the ground the level at 23 ft (7 m) is some 25 dB lower (ISO 3744, \
     half a sphere: 8 dB and 20 log of the meters).",
);
/// A plate's watts times hours for energy made.
pub(crate) static PLATE_ENERGY: Habit = habit(
    "other-quantity",
    "A plate's watts times hours is the most that it could make, and not what was made: a meter tells that.",
);
/// 20 dB for the number of sources.
pub(crate) static LEVELS_SQUARED: Habit = habit(
    "level-sum",
    "So many alike add 10 dB times the logarithm of their number, 3 dB for two: they add by energy. 20 is for distances.",
);
/// A background with the source in it.
pub(crate) static SOUND_IN_BACKGROUND: Habit = habit(
    "level-sum",
    "By its line it was read with the set on, so the set is in it already, and is added once more.",
);
/// There and back, doubled.
pub(crate) static LOOP_TWICE: Habit = habit(
    "there-and-back",
    "By its line this is for there and back already, and it is doubled once more.",
);
/// The fill limit on top of a dial.
pub(crate) static SHARE_OF_FILL: Habit = habit(
    "counted-twice",
    "80 % is how far it may be filled; a dial tells per cent of the whole, so nothing is multiplied by 80 % to use it.",
);
/// Multiplied by an efficiency in place of divided.
pub(crate) static EFFICIENCY_ABOVE: Habit = habit(
    "turned-over",
    "Fuel is what is needed over the efficiency times the heating value; here the efficiency is multiplied in.",
);
/// Divided by an efficiency in place of multiplied.
pub(crate) static EFFICIENCY_BELOW: Habit = habit(
    "turned-over",
    "What comes out is fuel times its heat times the efficiency; here the efficiency is divided by.",
);
/// A margin of the price, put on the cost.
pub(crate) static MARGIN_AS_MARKUP: Habit = habit(
    "turned-over",
    "A margin of the selling price is taken as 1 - margin below the stroke; 1 + margin makes it a part of the cost.",
);
/// A share of the other part in place of the whole.
pub(crate) static SHARE_OF_PART: Habit = habit(
    "turned-over",
    "A share is a part of the whole; this divides by the other part, so the shares don't add up to all.",
);
/// Electricity at the price of heat.
pub(crate) static NO_EFFICIENCY: Habit = habit(
    "heat-as-power",
    "By its line it is electricity, and it is worked out with the heat alone: a set makes 8 to 25 % of that (common practice).",
);
/// What is left in each, taken off once.
pub(crate) static EACH_ONCE: Habit = habit(
    "other-share",
    "By its line this is for each of them, and it is taken off once from the sum of several.",
);
/// All of the fuel over one cylinder's share.
pub(crate) static SUM_OVER_SHARE: Habit = habit(
    "other-share",
    "What all of them hold is divided by the share of the draw that one gives: it is counted so many times.",
);
/// Imperial gallons for US ones.
pub(crate) static IMPERIAL: Habit = habit(
    "odd-conversion",
    "4.546 liters are an imperial gallon; the gallon here is the US one, 3.785 liters.",
);
/// A number without its unit, given another.
pub(crate) static NOT_CONVERTED: Habit = habit(
    "odd-conversion",
    "By its line the number is in another unit than the one that is put to it here, and nothing converts it.",
);
/// 32 added to a difference.
pub(crate) static DIFFERENCE_PLUS_32: Habit = habit(
    "odd-conversion",
    "A difference of two temperatures takes the factor 1.8 alone: 32 belongs to a temperature itself.",
);
/// Rounded to the nearest what must be there.
pub(crate) static ROUNDED_OFF: Habit = habit(
    "one-short",
    "Rounded to the nearest, what must be there may be one short: round up.",
);
/// Day with night.
pub(crate) static CROSSED: Habit = habit(
    "crossed-over",
    "By their names the two are crossed: what is by day goes with the hours of the night, and the other way round.",
);
/// The oldest row for the latest.
pub(crate) static FIRST_FOR_LAST: Habit = habit(
    "other-row",
    "By its line it is today's, and it takes the first row of a table that goes by date: the last is the latest.",
);
/// A mean of ratios for a ratio of sums.
pub(crate) static MEAN_OF_RATIOS: Habit = habit(
    "mean-of-ratios",
    "A plain mean of ratios counts a small row like a large one: the sum of the one over the sum of the other is what was \
     paid, or burned, in all.",
);
/// A night's energy over a day.
pub(crate) static OTHER_HOURS: Habit = habit(
    "other-hours",
    "The hours of use are those of a shorter time, and they are spread over 24 h: the mean while it runs is larger.",
);
/// Said to be gross, and net, or the other way round.
pub(crate) static OTHER_BASIS: Habit = habit(
    "mixed-heat",
    "By its line it is of the one heat, gross or net, and the heating value is the other: 8 % apart for propane.",
);
