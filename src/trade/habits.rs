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

pub(super) const fn habit(code: &'static str, told: &'static str) -> Habit {
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
/// Minutes behind the point as hundredths.
pub(crate) static MINUTES_AS_HUNDREDTHS: Habit = habit(
    "other-than-said",
    "Its line tells hours and minutes, and the minutes stand behind the point: 2 h 40 min are 2.67 h.",
);
/// Clock times of two weighings, and another time between them.
pub(crate) static BETWEEN_WEIGHINGS: Habit = habit(
    "other-than-said",
    "The two weighings that this time goes with have their clock times in their lines, and they are another time apart.",
);
/// An energy for a power.
pub(crate) static ENERGY_AS_POWER: Habit = habit(
    "other-unit",
    "Its line has this number as an energy, or a charge: over the time that it was counted in, it is the mean power.",
);
/// A ± below what a display shows.
pub(crate) static FINER_THAN_STEP: Habit = habit(
    "other-coverage",
    "By its line the display or dial shows steps of several times this ±: a reading is no surer than half a step.",
);
/// What others said as a measurement.
pub(crate) static HEARSAY: Habit = habit(
    "other-quantity",
    "It is marked as measured, and its line tells that somebody else said or guessed it: that is a guess, with a ± to fit.",
);
/// The best of several for what is usual.
pub(crate) static BEST_OF: Habit = habit(
    "other-quantity",
    "The best of several is taken, and the next one is like their mean.",
);
/// A deposit counted as fuel.
pub(crate) static DEPOSIT: Habit = habit(
    "other-quantity",
    "A deposit is in this price, and it comes back: fuel costs what is left.",
);
/// A day's high for the night.
pub(crate) static HIGH_FOR_LOW: Habit = habit(
    "other-quantity",
    "By its line this is the air of the day, or a mean, and what rests on it is about a night: the low counts there.",
);
/// Weighed with ice on it.
pub(crate) static ICE_ON_IT: Habit = habit(
    "other-quantity",
    "By its line there was ice, snow or water on it: that weighs too, and counts as fuel that isn't there. Dry it and weigh again.",
);
/// A barometer reduced to sea level.
pub(crate) static SEA_LEVEL: Habit = habit(
    "other-quantity",
    "A barometer in a weather report is reduced to sea level: at a height the air has less, by some 3.5 % for each 1000 ft.",
);
/// A pause counted as run.
pub(crate) static PAUSE_COUNTED: Habit = habit(
    "other-than-said",
    "Its line tells a pause, and the time goes from the first clock time to the last with the pause in it.",
);
/// Ampere-hours of one voltage over amperes of another.
pub(crate) static OTHER_VOLTS: Habit = habit(
    "other-quantity",
    "The ampere-hours are at one voltage and the amperes at another: compare watt-hours with watts.",
);
/// Heat moved for electric load.
pub(crate) static HEAT_MOVED: Habit = habit(
    "heat-as-power",
    "By its line it is heat that is moved, or a rating in BTU/h: the electric load is that over the EER or COP.",
);
/// Power at a shaft for electric load.
pub(crate) static SHAFT_POWER: Habit = habit(
    "other-rating",
    "Horsepower on a motor's plate is what its shaft gives: it takes a third or so more from the line (common practice).",
);
/// A duty on a mean.
pub(crate) static DUTY_TWICE: Habit = habit(
    "rests-twice",
    "By its line this is a mean already, pauses counted in, and it is multiplied by the share of the time that it runs.",
);
/// One after the other, as if together.
pub(crate) static CHANGEOVER: Habit = habit(
    "other-share",
    "By its line they are drawn one after the other, so one of them gives all at any time: they don't share the draw.",
);
/// An efficiency multiplied in where it is divided by.
pub(crate) static GOES_IN: Habit = habit(
    "turned-over",
    "What goes in is more than what comes out: divide by the efficiency between them.",
);
/// Legs as if alike.
pub(crate) static BOTH_LEGS_ALIKE: Habit = habit(
    "other-share",
    "Half of the sum is taken for each leg, and the table puts them unevenly: the fuller leg counts.",
);
/// Hours of use that nothing uses.
pub(crate) static HOURS_UNUSED: Habit = habit(
    "other-hours",
    "The table has hours of use, and this takes all watts as if they ran all the time.",
);
/// A load in no sum.
pub(crate) static LOAD_LEFT_OUT: Habit = habit(
    "left-out-of-sum",
    "It is a load like those of the sum, and no answer has it in.",
);
/// An input that nothing uses.
pub(crate) static NOT_USED: Habit = habit(
    "left-out-of-sum",
    "It is known, and nothing uses it: it may belong into the reckoning.",
);
/// 10 dB for distances.
pub(crate) static LEVEL_BY_TEN: Habit = habit(
    "level-sum",
    "A small source outdoors falls by 20 dB times the logarithm of the ratio of distances, 6 dB for twice as far (ISO 9613-2). 10 is for how many there are.",
);
/// The natural logarithm for levels.
pub(crate) static LEVEL_NATURAL: Habit = habit("level-sum", "Levels go by the logarithm to the base of 10: `log10`.");
/// Levels added as numbers.
pub(crate) static LEVELS_ADDED: Habit = habit(
    "level-sum",
    "Levels are added as numbers here: they add by energy, and two alike are 3 dB more.",
);
/// Levels averaged as numbers.
pub(crate) static LEVELS_AVERAGED: Habit = habit(
    "level-sum",
    "This is a plain mean of levels: an equivalent level is the mean of the energies, 10 log10 of the mean of 10^(L/10) (ISO 1996-1), and the loud hours count most.",
);
/// Another row's tare.
pub(crate) static OTHER_ROW: Habit = habit(
    "other-cylinder",
    "The weight is of one row and the tare of another: each cylinder has its own.",
);
/// Absolute against gauge.
pub(crate) static ABSOLUTE_TO_GAUGE: Habit = habit(
    "other-quantity",
    "The one is absolute by its line and the other is gauge: 14.7 psi apart at sea level.",
);
/// A check turned round.
pub(crate) static CHECK_TURNED: Habit = habit(
    "turned-over",
    "By its line this is the most, or the least, that may be, and the check asks for the other side of it.",
);
/// A lawful fill multiplied by 80 %.
pub(crate) static OF_LAWFUL_FILL: Habit = habit(
    "counted-twice",
    "So many pounds are what a cylinder holds when it is filled as the law has it: 80 % of the volume is in that already.",
);
/// A discount added, a tax taken off.
pub(crate) static SIGN_TURNED: Habit = habit(
    "turned-over",
    "By its line it goes the other way: a discount or a loss makes less, a tax or a fee more.",
);
/// A plain mean of prices.
pub(crate) static MEAN_OF_PRICES: Habit = habit(
    "mean-of-ratios",
    "A plain mean of prices counts a small purchase like a large one: all that was paid over all that was bought is what it cost.",
);
/// The lower bound of a need.
pub(crate) static LOWER_BOUND: Habit = habit(
    "turned-over",
    "What must be enough is at the upper end of what may be needed: `at_most`.",
);
/// The upper bound of what lasts.
pub(crate) static UPPER_BOUND: Habit = habit(
    "turned-over",
    "What can be counted on is at the lower end of what may be: `at_least`.",
);
/// A common error with the root of the number.
pub(crate) static SAME_EACH_TIME: Habit = habit(
    "other-coverage",
    "What is the same at every reading adds up in full, and doesn't average out: the root of their number is for what scatters.",
);
/// Uncertainties subtracted.
pub(crate) static UNCERTAINTY_LESS: Habit = habit(
    "other-coverage",
    "Two uncertainties are taken from each other: what is off on the one side doesn't know of the other. They combine as the root of the sum of their squares (GUM 5.1.2).",
);
/// Carbon for carbon dioxide.
pub(crate) static CARBON_FOR_DIOXIDE: Habit = habit(
    "other-quantity",
    "A pound of propane gives some 3 lb of carbon dioxide (40 CFR 98, Table C-1): 44 parts for each 12 of carbon.",
);
/// An efficiency on the other heat.
pub(crate) static BASIS_OF_SHARE: Habit = habit(
    "mixed-heat",
    "By its line the efficiency is on the one heat of the fuel, net or gross, and it meets the other: 8 % apart for propane.",
);
/// Beyond the loads weighed.
pub(crate) static BEYOND_WEIGHED: Habit = habit(
    "outside-usual",
    "By its line it was found at loads up to that, and it is carried to a load far beyond them.",
);
/// A rate at one load from rows of two.
pub(crate) static TWO_LOADS: Habit = habit(
    "other-quantity",
    "By its line it is the rate at one load, and in the midst of the rows between the two weighings another load begins.",
);
/// A margin of a full cylinder.
pub(crate) static FULL_FOR_LEAST: Habit = habit(
    "other-quantity",
    "The margin is worked out at this level, and the worksheet swaps at less: the least level wets the least wall.",
);
/// A figure for a part of the load.
pub(crate) static OTHER_LOAD: Habit = habit(
    "other-quantity",
    "Its line tells the load that it is for, and the load here is another: carry it over, with what goes without load.",
);
/// Fuels by the gallon.
pub(crate) static BY_THE_GALLON: Habit = habit(
    "other-quantity",
    "Two fuels are compared by the gallon, and a gallon of gasoline has some 30 % more heat than one of propane: compare by heat.",
);
/// Apparent power for power.
pub(crate) static POWER_FACTOR: Habit = habit(
    "other-quantity",
    "Volts times amperes is apparent power: the watts are that times the power factor, which a line of this worksheet tells.",
);
/// All of a rating for hours.
pub(crate) static CONTINUOUS_LOAD: Habit = habit(
    "outside-usual",
    "For three hours and longer a load may take 80 % of what a circuit is rated for (NFPA 70, 210.20(A)): ask a licensed electrician.",
);
/// Both legs' rating for one.
pub(crate) static WHOLE_FOR_LEG: Habit = habit(
    "other-rating",
    "A leg of a 120/240 V set gives half of its rating, and the loads of one leg are held against the whole.",
);
/// Days for hours of use.
pub(crate) static HOURS_OF_DAY: Habit = habit(
    "other-hours",
    "What is burned in an hour goes with whole days here, 24 h each, and a line tells so many hours of use in a day.",
);
/// As many hours as readings.
pub(crate) static FENCE_POSTS: Habit = habit(
    "other-than-said",
    "So many readings an hour apart span one hour less: take the last clock time less the first.",
);
/// One tare for two cylinders.
pub(crate) static TARE_ONCE: Habit = habit(
    "other-share",
    "Several stand on the scale by its line, and the tare of one is taken off.",
);
/// k = 2 for few readings.
pub(crate) static TWO_FOR_FEW: Habit = habit(
    "other-coverage",
    "With few readings the factor for 95 % is larger than 2: Student's t, 4.3 for three and 3.2 for four (GUM, Table G.2).",
);
/// A part of a reading, of a difference.
pub(crate) static PART_OF_DIFFERENCE: Habit = habit(
    "other-coverage",
    "It is a part of each reading, and here it is taken of their small difference: what is off at each weighing counts by itself.",
);
/// Copies of one figure.
pub(crate) static ONE_SOURCE: Habit = habit(
    "shared-input",
    "By their lines they are copies of one figure: that they agree says nothing, and their mean is no surer than one of them.",
);
/// Readings left out for their values.
pub(crate) static LEFT_OUT_BY_VALUE: Habit = habit(
    "other-row",
    "Readings are left out for what they came to: without a cause that was noted at the time they count like the others.",
);
/// Other than in the table.
pub(crate) static OTHER_THAN_TABLE: Habit = habit(
    "other-than-said",
    "A table of this worksheet has another number for the same thing.",
);
/// Another fuel's burn.
pub(crate) static OTHER_FUEL: Habit = habit(
    "other-rating",
    "By its line this is the burn of another fuel: a gallon of gasoline has some 30 % more heat than one of propane.",
);
/// The size for what is in it.
pub(crate) static NOMINAL_FOR_NET: Habit = habit(
    "taken-as-full",
    "The worksheet tells the net weight that is in it, and this is the size that it is called by.",
);
/// A hose taken off where none hung.
pub(crate) static HOSE_TWICE: Habit = habit(
    "hose-at-one",
    "By its line the cylinder was weighed without hose and regulator, and they are taken off all the same.",
);
/// First reading, last time.
pub(crate) static STALE: Habit = habit(
    "other-row",
    "What was in it at the first reading is counted on from the time of the last: what burned between is forgotten.",
);
/// A duty that is told and left out.
pub(crate) static DUTY_LEFT_OUT: Habit = habit(
    "other-hours",
    "By the prose some of these run a part of the time, and all their watts are taken for 24 h.",
);
/// A load in the prose alone.
pub(crate) static LOAD_IN_PROSE: Habit = habit(
    "left-out-of-sum",
    "The prose tells of a load that this sum doesn't have.",
);
/// Units in names that don't multiply out.
pub(crate) static UNITS_OF_NAMES: Habit = habit(
    "odd-conversion",
    "By the units in their names, what is multiplied here comes out in other units than the name of the result tells.",
);
/// A sum or a comparison of plain numbers whose names tell other units.
pub(crate) static SUM_OF_NAMES: Habit = habit(
    "odd-conversion",
    "By the units in their names, numbers of other units are added or compared here as if they were of one.",
);
/// A factor between the units of names that is missing, turned around or another.
pub(crate) static FACTOR_OF_NAMES: Habit = habit(
    "odd-conversion",
    "By the units in their names, the factor between what is multiplied here and the result is missing, another one, or turned around.",
);
/// The chance of one, for two that fail of the same.
pub(crate) static COMMON_CAUSE: Habit = habit(
    "shared-input",
    "Multiplied as if each failed by itself: what stands in one shed, on one fuel, in one cold, fails together, as often as the common cause comes.",
);
/// Years times the chance of one.
pub(crate) static CHANCES_ADDED: Habit = habit(
    "counted-twice",
    "Chances of several years don't add up: of at least once it is 1 - (1 - p)^n. What adds up is how often it is to be expected.",
);
/// Points of an efficiency as parts of the fuel.
pub(crate) static POINTS_AS_PARTS: Habit = habit(
    "turned-over",
    "A difference of two efficiencies is taken for that part of the fuel: fuel goes with one over the efficiency, 20 % over 15 % is a third more.",
);
/// A count in two factors.
pub(crate) static COUNTED_IN_BOTH: Habit = habit(
    "counted-twice",
    "The same count is in two factors of this product: in series volts add and ampere-hours stay, side by side it is the other way round.",
);
/// Per cent times a thousand.
pub(crate) static PARTS_PER_MILLION: Habit = habit("odd-conversion", "One per cent is 10 000 parts per million.");
/// A price spread, and lost besides.
pub(crate) static PRICE_TWICE: Habit = habit(
    "counted-twice",
    "The price is in this sum twice: spread over its years, and as the part of it that each year takes.",
);
/// A mean over all customers as the length of one outage.
pub(crate) static MEAN_OF_CUSTOMERS: Habit = habit(
    "other-quantity",
    "Minutes for each customer and year are a mean over all of them, most without an outage: how long one lasts is that over the interruptions for each customer (IEEE 1366: CAIDI is SAIDI over SAIFI).",
);
/// Those who chose to answer, for all.
pub(crate) static RESIDENT_ANSWERS: Habit = habit(
    "other-quantity",
    "By its line this is the share of those who chose to answer: of the others it says nothing.",
);
/// Degrees over degrees.
pub(crate) static RATIO_OF_SCALES: Habit = habit(
    "odd-conversion",
    "One temperature over another says nothing: °F and °C begin where their scale does. Heat goes with the difference between inside and outside.",
);
/// A wire's watts with its volts, once.
pub(crate) static SQUARE_OF_VOLTS: Habit = habit(
    "turned-over",
    "What a heater or a lamp gives goes with the square of its volts: 8 % less are 16 % less watts.",
);
/// A pressure over another as how full it is.
pub(crate) static PRESSURE_FOR_CONTENTS: Habit = habit(
    "other-quantity",
    "As long as there is liquid its pressure tells how warm it is and not how much there is: weigh it.",
);
/// Wrapped, so that less warmth comes in.
pub(crate) static BLANKET: Habit = habit(
    "turned-over",
    "The liquid is colder than the air and takes its heat from it: what wraps a cylinder keeps warmth out, so it gives less.",
);
/// A tank filled to the top.
pub(crate) static FULL_TO_THE_TOP: Habit = habit(
    "fill-by-volume",
    "By its line this is all the volume there is: a tank is filled to 80 % of it.",
);
/// Water's density for propane.
pub(crate) static WATER_FOR_PROPANE: Habit = habit(
    "other-quantity",
    "One is of water and the other of propane: a gallon of water weighs 8.34 lb, one of propane 4.2 lb.",
);
/// What propane takes off, taken off a rating on propane.
pub(crate) static NO_PROPANE_FACTOR: Habit = habit(
    "counted-twice",
    "By its line the rating is on propane already, and what propane takes off the rating on gasoline is taken off once more.",
);
/// 3.14 times the square of a diameter.
pub(crate) static DIAMETER_SQUARED: Habit = habit(
    "odd-conversion",
    "A circle is 3.14 times the square of its radius; this is the square of what it is across, four times that.",
);
/// 1.732 with one phase.
pub(crate) static ROOT_OF_THREE: Habit = habit(
    "odd-conversion",
    "1.732 belongs to three phases; with one phase the amperes are the volt-amperes over the volts.",
);
/// Half the amperes of a load across both legs.
pub(crate) static HALF_THE_AMPERES: Habit = habit(
    "other-share",
    "A load across both legs takes all its amperes on each of them; halved are its watts.",
);
/// Amperes of motors times volts.
pub(crate) static MOTORS_APPARENT: Habit = habit(
    "other-quantity",
    "Volts times amperes of motors are volt-amperes: their watts are that times a power factor, 0.5 to 0.9 (common practice), which no line tells. A wattmeter reads watts.",
);
/// 80 % of what is for hours already.
pub(crate) static CONTINUOUS_TWICE: Habit = habit(
    "counted-twice",
    "What the outlet carries for hours has the 80 % in it already, and they are taken once more.",
);
/// The rating of both legs for one of them.
pub(crate) static OUTLET_FOR_LEG: Habit = habit(
    "other-share",
    "Amperes times 240 V are what both legs give together; one leg has 120 V, half of it.",
);
/// A meter around both wires.
pub(crate) static CLAMP_AROUND_CORD: Habit = habit(
    "other-quantity",
    "A clamp meter around a whole cord reads next to nothing, for what goes comes back beside it: around one wire alone.",
);
/// Means of minutes for starts.
pub(crate) static MEAN_FOR_START: Habit = habit(
    "peak-for-mean",
    "By its line these are means over minutes, and a start is over in a second: it isn't in them. A peak hold or the locked rotor amperes tell it.",
);
/// The heat that a furnace burns, as electricity.
pub(crate) static FURNACE_INPUT: Habit = habit(
    "heat-as-power",
    "By its line this is the heat of the fuel that it burns: from a set it takes what its blower and controls do.",
);
/// A mean over the day for what is on at once.
pub(crate) static MEAN_FOR_ALL: Habit = habit(
    "peak-for-mean",
    "By its line this is a mean over the day: what a set is rated for has to carry all that is on at once, and the start.",
);
/// Near a source, by the law of distance.
pub(crate) static NEAR_FIELD: Habit = habit(
    "other-than-said",
    "So near the set the level doesn't follow 6 dB for twice as far yet: measure at 20 ft or so, at least three times its size away.",
);
/// A step of halving that belongs to another rule.
pub(crate) static EXCHANGE_RATE: Habit = habit(
    "odd-conversion",
    "NIOSH halves the time for each 3 dB above 85 dB (98-126); 5 dB above 90 dB is the rule of OSHA (29 CFR 1910.95).",
);
/// Fuel bought by the gallon of one, at the gallons of another.
pub(crate) static GALLONS_OF_OTHER: Habit = habit(
    "other-quantity",
    "By their lines the gallons are of one fuel, and they are taken for another: a gallon of propane has some three quarters of the heat of one of gasoline.",
);
/// A row's scale without its sd.
pub(crate) static ROOT_OF_TWELVE: Habit = habit(
    "other-coverage",
    "A step over the root of 12 is a standard uncertainty: write it with `sd`. As limits half a step is meant, and its root of 3 comes by itself.",
);
/// Another unit in the words, turned the other way.
pub(crate) static TURNED_UNIT: Habit = habit(
    "other-unit",
    "Its line has it in another unit, and the factor between them went the wrong way.",
);
/// Zero that isn't taken off.
pub(crate) static ZERO_ADDED: Habit = habit(
    "turned-over",
    "What a scale shows too much is taken off its reading, and not added.",
);
/// What something takes while it is on, through the day.
pub(crate) static WHILE_ON: Habit = habit(
    "other-hours",
    "Worked out over the hours that it runs this is what it takes while it is on, and it is carried through all 24 h: over 24 h it is the mean.",
);
/// A scatter over the number of readings.
pub(crate) static OVER_THEIR_NUMBER: Habit = habit(
    "other-coverage",
    "By its line the scatter is divided by the number of readings: the uncertainty of a mean is the scatter over the root of their number (GUM 4.2.3).",
);
/// The heat of another fuel than its name.
pub(crate) static OTHER_FUELS_ROW: Habit = habit(
    "other-quantity",
    "Its name tells one fuel and its source another: it may be of the wrong row.",
);
/// The efficiency of a part, beside that of the whole.
pub(crate) static PART_OF_WHOLE: Habit = habit(
    "counted-twice",
    "By their lines the one is the efficiency of the whole, from fuel to outlet, and the other that of a part of it, which is in it already.",
);
/// A cell of another row than its line is about.
pub(crate) static KEY_OF_OTHER: Habit = habit(
    "other-row",
    "It takes one row of the table, by its words or by what is taken beside it another is meant.",
);
/// A drop against the volts of the other outlet.
pub(crate) static SHARE_OF_PANEL: Habit = habit(
    "other-quantity",
    "By its lines the cord is on an outlet of half these volts: the share that is lost is twice this.",
);
/// A meter's reading of several days, over one.
pub(crate) static DAYS_OF_METER: Habit = habit(
    "other-hours",
    "The meter counted for longer than the one day that it is divided by, as another line tells that nothing uses.",
);
/// A row on top of the sum.
pub(crate) static ROW_AND_SUM: Habit = habit(
    "counted-twice",
    "The sum of the column has this row in it already, and it is added once more.",
);
/// Extra watts at the start, less what runs.
pub(crate) static EXTRA_LESS_RUNNING: Habit = habit(
    "start-on-top",
    "By the table these are extra to what runs already, and what runs is taken off them: running watts plus the largest extra is the peak.",
);
/// Another gauge than the cord's.
pub(crate) static OTHER_GAUGE: Habit = habit(
    "other-than-said",
    "It is worked out for another gauge of wire than a line of this worksheet tells.",
);
/// Each by itself, on one cord.
pub(crate) static EACH_ALONE: Habit = habit(
    "left-out-of-sum",
    "By the prose they hang on one cord or outlet together: it carries their sum, and each is held against it alone.",
);
/// A gauge's share of the whole, times the share that is filled.
pub(crate) static GAUGE_OF_WHOLE: Habit = habit(
    "counted-twice",
    "By its line the gauge tells a share of the whole volume: the 80 % that it is filled to are in that already.",
);
/// A rate made smaller, as if that were safe.
pub(crate) static UNSAFE_SIDE: Habit = habit(
    "turned-over",
    "The safe side of a burn is the higher one: what may be off is added to it, and taken off what it lasts.",
);
/// A start with nothing else on.
pub(crate) static START_ALONE: Habit = habit(
    "left-out-of-sum",
    "The start alone is held against what the set starts: what else runs then counts too.",
);
/// Derated twice.
pub(crate) static DERATED_TWICE: Habit = habit(
    "counted-twice",
    "By its line the rating is of that height already, and the height is taken off once more.",
);
/// What stays in it, in no runtime.
pub(crate) static SWAP_NOT_TAKEN: Habit = habit(
    "left-out-of-sum",
    "So much is left when it is swapped, and no answer takes it off.",
);
/// One error in all rows.
pub(crate) static SAME_IN_ROWS: Habit = habit(
    "other-coverage",
    "By the prose the error is the same in each row: in a sum it adds up in full, and a ± in each row counts it as independent. Give it one line of its own.",
);
/// Surer than its readings scatter.
pub(crate) static SURER_THAN_SCATTER: Habit = habit(
    "other-coverage",
    "It is the mean of other lines here, and they scatter by more than its ± allows: s over the root of their number.",
);
/// A battery's usable part left out.
pub(crate) static USABLE_LEFT_OUT: Habit = habit(
    "left-out-of-sum",
    "Its line tells how much of it is to be used, and all of it is counted on.",
);
/// A mean by the name of a peak.
pub(crate) static MEAN_FOR_PEAK: Habit = habit(
    "peak-for-mean",
    "By its name this is all at once, and each load is taken with the share of the time that it runs: that is a mean.",
);
/// The plate's watts for what was metered.
pub(crate) static PLATE_FOR_MEAN: Habit = habit(
    "peak-for-mean",
    "What an hour takes belongs to the load that was on, which a line tells: over the plate's watts it comes out too small.",
);
/// The gross weight for the net.
pub(crate) static GROSS_FOR_NET: Habit = habit(
    "hose-as-fuel",
    "All that was weighed is divided by the rate, steel and propane; the net is in another line.",
);
/// Heat of burning for that of boiling.
pub(crate) static HEAT_OF_BURNING: Habit = habit(
    "other-quantity",
    "What comes through a wall boils propane, some 150 to 185 BTU/lb; this is the heat of burning it.",
);
/// A gallon of water.
pub(crate) static WATER_GALLON: Habit = habit(
    "outside-usual",
    "8.34 lb is a gallon of water: a gallon of propane weighs 4.2 lb at 60 °F.",
);
/// A circumference for a diameter.
pub(crate) static GIRTH: Habit = habit(
    "other-quantity",
    "By its line the tape went around: what it is across is that over 3.14.",
);
/// The error of a mean for one of them.
pub(crate) static ERROR_OF_MEAN: Habit = habit(
    "other-coverage",
    "A mean is surer than one of them by the root of their number; what the next one may be scatters as they did.",
);
/// The wrong outlet voltage.
pub(crate) static OUTLET_VOLTS: Habit = habit(
    "other-quantity",
    "By their lines these are at half the volts that the amperes are worked out with: the amperes are twice that.",
);
/// Feet for meters below a stroke.
pub(crate) static FOR_EACH_THOUSAND: Habit = habit(
    "other-unit",
    "Its line tells it for each so many feet, or meters, and here the same number stands with the other unit.",
);
