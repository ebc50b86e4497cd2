//! Slips that people of the trade make in good faith, each in a sentence or two.
//!
//! An audit says when it sees one. What tells it stands in `src/study/audit/`; here is what
//! is said of it, below the code word under which it is remarked. Figures without a source are
//! common practice. Start reading at [`Habit`].

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

macro_rules! habits {
    ($($code:literal { $($(#[$meta:meta])* $name:ident: $told:literal;)* })*) => {
        $($($(#[$meta])* pub(crate) static $name: Habit = habit($code, $told);)*)*
    };
}

habits! {
    "other-coverage" {
        /// A part of full scale, put as a part of the reading.
        FULL_SCALE: "Its source tells a part of full scale, and the ± is that part of the reading: it is the same amount all over the scale.";
        /// An error of the instrument, divided by the root of the readings.
        AVERAGED_OUT: "What an instrument is off by itself is the same at every reading: it doesn't go down with the root of their number.";
        /// The scatter of single readings for the doubt of their mean.
        SCATTER_OF_ONE: "This is how far single readings scatter; their mean is surer by the root of their number.";
        /// A ± below what a display shows.
        FINER_THAN_STEP: "By its line the display or dial shows steps of several times this ±: a reading is no surer than half a step.";
        /// A common error with the root of the number.
        SAME_EACH_TIME: "What is the same at every reading adds up in full, and doesn't average out: the root of their number is for what scatters.";
        /// Uncertainties subtracted.
        UNCERTAINTY_LESS: "Two uncertainties are taken from each other: what is off on the one side doesn't know of the other. They combine as the root of the sum of their squares (GUM 5.1.2).";
        /// k = 2 for few readings.
        TWO_FOR_FEW: "With few readings the factor for 95 % is larger than 2: Student's t, 4.3 for three and 3.2 for four (GUM, Table G.2).";
        /// A part of a reading, of a difference.
        PART_OF_DIFFERENCE: "It is a part of each reading, and here it is taken of their small difference: what is off at each weighing counts by itself.";
        /// A row's scale without its sd.
        ROOT_OF_TWELVE: "A step over the root of 12 is a standard uncertainty: write it with `sd`. As limits half a step is meant, and its root of 3 comes by itself.";
        /// A scatter over the number of readings.
        OVER_THEIR_NUMBER: "By its line the scatter is divided by the number of readings: the uncertainty of a mean is the scatter over the root of their number (GUM 4.2.3).";
        /// One error in all rows.
        SAME_IN_ROWS: "By the prose the error is the same in each row: in a sum it adds up in full, and a ± in each row counts it as independent. Give it one line of its own.";
        /// Surer than its readings scatter.
        SURER_THAN_SCATTER: "It is the mean of other lines here, and they scatter by more than its ± allows: s over the root of their number.";
        /// The error of a mean for one of them.
        ERROR_OF_MEAN: "A mean is surer than one of them by the root of their number; what the next one may be scatters as they did.";
    }
    "other-than-said" {
        /// A duration that its clock times contradict.
        CLOCK_TIMES: "It isn't the time between the clock times that its line names: 4 h 36 min are 4.6 h.";
        /// Another number than the stamp that is named.
        STAMP: "Its line names another number for the same stamp: what stands there is the stamp and something else.";
        /// Days counted by name, both ends.
        DAYS_COUNTED: "The days from the one to the other were counted by their names, both ends among them: there is one less between.";
        /// Minutes behind the point as hundredths.
        MINUTES_AS_HUNDREDTHS: "Its line tells hours and minutes, and the minutes stand behind the point: 2 h 40 min are 2.67 h.";
        /// Clock times of two weighings, and another time between them.
        BETWEEN_WEIGHINGS: "The two weighings that this time goes with have their clock times in their lines, and they are another time apart.";
        /// A pause counted as run.
        PAUSE_COUNTED: "Its line tells a pause, and the time goes from the first clock time to the last with the pause in it.";
        /// As many hours as readings.
        FENCE_POSTS: "So many readings an hour apart span one hour less: take the last clock time less the first.";
        /// Other than in the table.
        OTHER_THAN_TABLE: "A table of this worksheet has another number for the same thing.";
        /// Near a source, by the law of distance.
        NEAR_FIELD: "So near the set the level doesn't follow 6 dB for twice as far yet: measure at 20 ft or so, at least three times its size away.";
        /// Another gauge than the cord's.
        OTHER_GAUGE: "It is worked out for another gauge of wire than a line of this worksheet tells.";
    }
    "other-unit" {
        /// An absolute pressure as gauge.
        ABSOLUTE_TYPED: "Its line speaks of an absolute pressure, and it is written as gauge: 14.7 psi less at sea level.";
        /// Meters typed as feet.
        METERS: "The same number stands in meters in another line, and in feet here: 1 m is 3.28 ft.";
        /// An energy for a power.
        ENERGY_AS_POWER: "Its line has this number as an energy, or a charge: over the time that it was counted in, it is the mean power.";
        /// Another unit in the words, turned the other way.
        TURNED_UNIT: "Its line has it in another unit, and the factor between them went the wrong way.";
        /// Feet for meters below a stroke.
        FOR_EACH_THOUSAND: "Its line tells it for each so many feet, or meters, and here the same number stands with the other unit.";
    }
    "other-quantity" {
        /// A felt temperature for that of the air.
        WIND_CHILL: "A felt temperature is for skin: a cylinder takes the temperature of the air, and the wind by its film.";
        /// Wind at a mast for that at the cylinder.
        WIND_ELSEWHERE: "Wind at a mast, 33 ft up in the open, isn't the wind at a cylinder in a yard, which is often still.";
        /// A sound power for a level at a distance.
        SOUND_POWER: "A sound power is no level at a distance: outdoors on the ground the level at 23 ft (7 m) is some 25 dB lower (ISO 3744, \
     half a sphere: 8 dB and 20 log of the meters).";
        /// A plate's watts times hours for energy made.
        PLATE_ENERGY: "A plate's watts times hours is the most that it could make, and not what was made: a meter tells that.";
        /// What others said as a measurement.
        HEARSAY: "It is marked as measured, and its line tells that somebody else said or guessed it: that is a guess, with a ± to fit.";
        /// The best of several for what is usual.
        BEST_OF: "The best of several is taken, and the next one is like their mean.";
        /// A deposit counted as fuel.
        DEPOSIT: "A deposit is in this price, and it comes back: fuel costs what is left.";
        /// A day's high for the night.
        HIGH_FOR_LOW: "By its line this is the air of the day, or a mean, and what rests on it is about a night: the low counts there.";
        /// Weighed with ice on it.
        ICE_ON_IT: "By its line there was ice, snow or water on it: that weighs too, and counts as fuel that isn't there. Dry it and weigh again.";
        /// A barometer reduced to sea level.
        SEA_LEVEL: "A barometer in a weather report is reduced to sea level: at a height the air has less, by some 3.5 % for each 1000 ft.";
        /// Ampere-hours of one voltage over amperes of another.
        OTHER_VOLTS: "The ampere-hours are at one voltage and the amperes at another: compare watt-hours with watts.";
        /// Absolute against gauge.
        ABSOLUTE_TO_GAUGE: "The one is absolute by its line and the other is gauge: 14.7 psi apart at sea level.";
        /// Carbon for carbon dioxide.
        CARBON_FOR_DIOXIDE: "A pound of propane gives some 3 lb of carbon dioxide (40 CFR 98, Table C-1): 44 parts for each 12 of carbon.";
        /// A rate at one load from rows of two.
        TWO_LOADS: "By its line it is the rate at one load, and in the midst of the rows between the two weighings another load begins.";
        /// A margin of a full cylinder.
        FULL_FOR_LEAST: "The margin is worked out at this level, and the worksheet swaps at less: the least level wets the least wall.";
        /// A figure for a part of the load.
        OTHER_LOAD: "Its line tells the load that it is for, and the load here is another: carry it over, with what goes without load.";
        /// Fuels by the gallon.
        BY_THE_GALLON: "Two fuels are compared by the gallon, and a gallon of gasoline has some 30 % more heat than one of propane: compare by heat.";
        /// Apparent power for power.
        POWER_FACTOR: "Volts times amperes is apparent power: the watts are that times the power factor, which a line of this worksheet tells.";
        /// A mean over all customers as the length of one outage.
        MEAN_OF_CUSTOMERS: "Minutes for each customer and year are a mean over all of them, most without an outage: how long one lasts is that over the interruptions for each customer (IEEE 1366: CAIDI is SAIDI over SAIFI).";
        /// Those who chose to answer, for all.
        RESIDENT_ANSWERS: "By its line this is the share of those who chose to answer: of the others it says nothing.";
        /// A pressure over another as how full it is.
        PRESSURE_FOR_CONTENTS: "As long as there is liquid its pressure tells how warm it is and not how much there is: weigh it.";
        /// Water's density for propane.
        WATER_FOR_PROPANE: "One is of water and the other of propane: a gallon of water weighs 8.34 lb, one of propane 4.2 lb.";
        /// Amperes of motors times volts.
        MOTORS_APPARENT: "Volts times amperes of motors are volt-amperes: their watts are that times a power factor, 0.5 to 0.9 (common practice), which no line tells. A wattmeter reads watts.";
        /// A meter around both wires.
        CLAMP_AROUND_CORD: "A clamp meter around a whole cord reads next to nothing, for what goes comes back beside it: around one wire alone.";
        /// Fuel bought by the gallon of one, at the gallons of another.
        GALLONS_OF_OTHER: "By their lines the gallons are of one fuel, and they are taken for another: a gallon of propane has some three quarters of the heat of one of gasoline.";
        /// The heat of another fuel than its name.
        OTHER_FUELS_ROW: "Its name tells one fuel and its source another: it may be of the wrong row.";
        /// A drop against the volts of the other outlet.
        SHARE_OF_PANEL: "By its lines the cord is on an outlet of half these volts: the share that is lost is twice this.";
        /// Heat of burning for that of boiling.
        HEAT_OF_BURNING: "What comes through a wall boils propane, some 150 to 185 BTU/lb; this is the heat of burning it.";
        /// A circumference for a diameter.
        GIRTH: "By its line the tape went around: what it is across is that over 3.14.";
        /// The wrong outlet voltage.
        OUTLET_VOLTS: "By their lines these are at half the volts that the amperes are worked out with: the amperes are twice that.";
    }
    "level-sum" {
        /// 20 dB for the number of sources.
        LEVELS_SQUARED: "So many alike add 10 dB times the logarithm of their number, 3 dB for two: they add by energy. 20 is for distances.";
        /// A background with the source in it.
        SOUND_IN_BACKGROUND: "By its line it was read with the set on, so the set is in it already, and is added once more.";
        /// 10 dB for distances.
        LEVEL_BY_TEN: "A small source outdoors falls by 20 dB times the logarithm of the ratio of distances, 6 dB for twice as far (ISO 9613-2). 10 is for how many there are.";
        /// The natural logarithm for levels.
        LEVEL_NATURAL: "Levels go by the logarithm to the base of 10: `log10`.";
        /// Levels added as numbers.
        LEVELS_ADDED: "Levels are added as numbers here: they add by energy, and two alike are 3 dB more.";
        /// Levels averaged as numbers.
        LEVELS_AVERAGED: "This is a plain mean of levels: an equivalent level is the mean of the energies, 10 log10 of the mean of 10^(L/10) (ISO 1996-1), and the loud hours count most.";
    }
    "there-and-back" {
        /// There and back, doubled.
        LOOP_TWICE: "By its line this is for there and back already, and it is doubled once more.";
    }
    "counted-twice" {
        /// The fill limit on top of a dial.
        SHARE_OF_FILL: "80 % is how far it may be filled; a dial tells per cent of the whole, so nothing is multiplied by 80 % to use it.";
        /// A lawful fill multiplied by 80 %.
        OF_LAWFUL_FILL: "So many pounds are what a cylinder holds when it is filled as the law has it: 80 % of the volume is in that already.";
        /// Years times the chance of one.
        CHANCES_ADDED: "Chances of several years don't add up: of at least once it is 1 - (1 - p)^n. What adds up is how often it is to be expected.";
        /// A count in two factors.
        COUNTED_IN_BOTH: "The same count is in two factors of this product: in series volts add and ampere-hours stay, side by side it is the other way round.";
        /// A price spread, and lost besides.
        PRICE_TWICE: "The price is in this sum twice: spread over its years, and as the part of it that each year takes.";
        /// What propane takes off, taken off a rating on propane.
        NO_PROPANE_FACTOR: "By its line the rating is on propane already, and what propane takes off the rating on gasoline is taken off once more.";
        /// 80 % of what is for hours already.
        CONTINUOUS_TWICE: "What the outlet carries for hours has the 80 % in it already, and they are taken once more.";
        /// The efficiency of a part, beside that of the whole.
        PART_OF_WHOLE: "By their lines the one is the efficiency of the whole, from fuel to outlet, and the other that of a part of it, which is in it already.";
        /// A row on top of the sum.
        ROW_AND_SUM: "The sum of the column has this row in it already, and it is added once more.";
        /// A gauge's share of the whole, times the share that is filled.
        GAUGE_OF_WHOLE: "By its line the gauge tells a share of the whole volume: the 80 % that it is filled to are in that already.";
        /// Derated twice.
        DERATED_TWICE: "By its line the rating is of that height already, and the height is taken off once more.";
    }
    "turned-over" {
        /// Multiplied by an efficiency in place of divided.
        EFFICIENCY_ABOVE: "Fuel is what is needed over the efficiency times the heating value; here the efficiency is multiplied in.";
        /// Divided by an efficiency in place of multiplied.
        EFFICIENCY_BELOW: "What comes out is fuel times its heat times the efficiency; here the efficiency is divided by.";
        /// A margin of the price, put on the cost.
        MARGIN_AS_MARKUP: "A margin of the selling price is taken as 1 - margin below the stroke; 1 + margin makes it a part of the cost.";
        /// A share of the other part in place of the whole.
        SHARE_OF_PART: "A share is a part of the whole; this divides by the other part, so the shares don't add up to all.";
        /// An efficiency multiplied in where it is divided by.
        GOES_IN: "What goes in is more than what comes out: divide by the efficiency between them.";
        /// A check turned round.
        CHECK_TURNED: "By its line this is the most, or the least, that may be, and the check asks for the other side of it.";
        /// A discount added, a tax taken off.
        SIGN_TURNED: "By its line it goes the other way: a discount or a loss makes less, a tax or a fee more.";
        /// The lower bound of a need.
        LOWER_BOUND: "What must be enough is at the upper end of what may be needed: `at_most`.";
        /// The upper bound of what lasts.
        UPPER_BOUND: "What can be counted on is at the lower end of what may be: `at_least`.";
        /// Points of an efficiency as parts of the fuel.
        POINTS_AS_PARTS: "A difference of two efficiencies is taken for that part of the fuel: fuel goes with one over the efficiency, 20 % over 15 % is a third more.";
        /// A wire's watts with its volts, once.
        SQUARE_OF_VOLTS: "What a heater or a lamp gives goes with the square of its volts: 8 % less are 16 % less watts.";
        /// Wrapped, so that less warmth comes in.
        BLANKET: "The liquid is colder than the air and takes its heat from it: what wraps a cylinder keeps warmth out, so it gives less.";
        /// Zero that isn't taken off.
        ZERO_ADDED: "What a scale shows too much is taken off its reading, and not added.";
        /// A rate made smaller, as if that were safe.
        UNSAFE_SIDE: "The safe side of a burn is the higher one: what may be off is added to it, and taken off what it lasts.";
    }
    "heat-as-power" {
        /// Electricity at the price of heat.
        NO_EFFICIENCY: "By its line it is electricity, and it is worked out with the heat alone: a set makes 8 to 25 % of that (common practice).";
        /// Heat moved for electric load.
        HEAT_MOVED: "By its line it is heat that is moved, or a rating in BTU/h: the electric load is that over the EER or COP.";
        /// The heat that a furnace burns, as electricity.
        FURNACE_INPUT: "By its line this is the heat of the fuel that it burns: from a set it takes what its blower and controls do.";
    }
    "other-share" {
        /// What is left in each, taken off once.
        EACH_ONCE: "By its line this is for each of them, and it is taken off once from the sum of several.";
        /// All of the fuel over one cylinder's share.
        SUM_OVER_SHARE: "What all of them hold is divided by the share of the draw that one gives: it is counted so many times.";
        /// One after the other, as if together.
        CHANGEOVER: "By its line they are drawn one after the other, so one of them gives all at any time: they don't share the draw.";
        /// Legs as if alike.
        BOTH_LEGS_ALIKE: "Half of the sum is taken for each leg, and the table puts them unevenly: the fuller leg counts.";
        /// One tare for two cylinders.
        TARE_ONCE: "Several stand on the scale by its line, and the tare of one is taken off.";
        /// Half the amperes of a load across both legs.
        HALF_THE_AMPERES: "A load across both legs takes all its amperes on each of them; halved are its watts.";
        /// The rating of both legs for one of them.
        OUTLET_FOR_LEG: "Amperes times 240 V are what both legs give together; one leg has 120 V, half of it.";
    }
    "odd-conversion" {
        /// Imperial gallons for US ones.
        IMPERIAL: "4.546 liters are an imperial gallon; the gallon here is the US one, 3.785 liters.";
        /// A number without its unit, given another.
        NOT_CONVERTED: "By its line the number is in another unit than the one that is put to it here, and nothing converts it.";
        /// 32 added to a difference.
        DIFFERENCE_PLUS_32: "A difference of two temperatures takes the factor 1.8 alone: 32 belongs to a temperature itself.";
        /// Units in names that don't multiply out.
        UNITS_OF_NAMES: "By the units in their names, what is multiplied here comes out in other units than the name of the result tells.";
        /// A sum or a comparison of plain numbers whose names tell other units.
        SUM_OF_NAMES: "By the units in their names, numbers of other units are added or compared here as if they were of one.";
        /// A factor between the units of names that is missing, turned around or another.
        FACTOR_OF_NAMES: "By the units in their names, the factor between what is multiplied here and the result is missing, another one, or turned around.";
        /// Per cent times a thousand.
        PARTS_PER_MILLION: "One per cent is 10 000 parts per million.";
        /// Degrees over degrees.
        RATIO_OF_SCALES: "One temperature over another says nothing: °F and °C begin where their scale does. Heat goes with the difference between inside and outside.";
        /// 3.14 times the square of a diameter.
        DIAMETER_SQUARED: "A circle is 3.14 times the square of its radius; this is the square of what it is across, four times that.";
        /// 1.732 with one phase.
        ROOT_OF_THREE: "1.732 belongs to three phases; with one phase the amperes are the volt-amperes over the volts.";
        /// A step of halving that belongs to another rule.
        EXCHANGE_RATE: "NIOSH halves the time for each 3 dB above 85 dB (98-126); 5 dB above 90 dB is the rule of OSHA (29 CFR 1910.95).";
    }
    "one-short" {
        /// Rounded to the nearest what must be there.
        ROUNDED_OFF: "Rounded to the nearest, what must be there may be one short: round up.";
    }
    "crossed-over" {
        /// Day with night.
        CROSSED: "By their names the two are crossed: what is by day goes with the hours of the night, and the other way round.";
    }
    "other-row" {
        /// The oldest row for the latest.
        FIRST_FOR_LAST: "By its line it is today's, and it takes the first row of a table that goes by date: the last is the latest.";
        /// Readings left out for their values.
        LEFT_OUT_BY_VALUE: "Readings are left out for what they came to: without a cause that was noted at the time they count like the others.";
        /// First reading, last time.
        STALE: "What was in it at the first reading is counted on from the time of the last: what burned between is forgotten.";
        /// A cell of another row than its line is about.
        KEY_OF_OTHER: "It takes one row of the table, by its words or by what is taken beside it another is meant.";
    }
    "mean-of-ratios" {
        /// A mean of ratios for a ratio of sums.
        MEAN_OF_RATIOS: "A plain mean of ratios counts a small row like a large one: the sum of the one over the sum of the other is what was \
     paid, or burned, in all.";
        /// A plain mean of prices.
        MEAN_OF_PRICES: "A plain mean of prices counts a small purchase like a large one: all that was paid over all that was bought is what it cost.";
    }
    "other-hours" {
        /// A night's energy over a day.
        OTHER_HOURS: "The hours of use are those of a shorter time, and they are spread over 24 h: the mean while it runs is larger.";
        /// Hours of use that nothing uses.
        HOURS_UNUSED: "The table has hours of use, and this takes all watts as if they ran all the time.";
        /// Days for hours of use.
        HOURS_OF_DAY: "What is burned in an hour goes with whole days here, 24 h each, and a line tells so many hours of use in a day.";
        /// A duty that is told and left out.
        DUTY_LEFT_OUT: "By the prose some of these run a part of the time, and all their watts are taken for 24 h.";
        /// What something takes while it is on, through the day.
        WHILE_ON: "Worked out over the hours that it runs this is what it takes while it is on, and it is carried through all 24 h: over 24 h it is the mean.";
        /// A meter's reading of several days, over one.
        DAYS_OF_METER: "The meter counted for longer than the one day that it is divided by, as another line tells that nothing uses.";
    }
    "mixed-heat" {
        /// Said to be gross, and net, or the other way round.
        OTHER_BASIS: "By its line it is of the one heat, gross or net, and the heating value is the other: 8 % apart for propane.";
        /// An efficiency on the other heat.
        BASIS_OF_SHARE: "By its line the efficiency is on the one heat of the fuel, net or gross, and it meets the other: 19 920 and 21 548 BTU/lb for propane.";
    }
    "other-rating" {
        /// Power at a shaft for electric load.
        SHAFT_POWER: "Horsepower on a motor's plate is what its shaft gives: it takes a third or so more from the line (common practice).";
        /// Both legs' rating for one.
        WHOLE_FOR_LEG: "A leg of a 120/240 V set gives half of its rating, and the loads of one leg are held against the whole.";
        /// Another fuel's burn.
        OTHER_FUEL: "By its line this is the burn of another fuel: a gallon of gasoline has some 30 % more heat than one of propane.";
    }
    "rests-twice" {
        /// A duty on a mean.
        DUTY_TWICE: "By its line this is a mean already, pauses counted in, and it is multiplied by the share of the time that it runs.";
    }
    "left-out-of-sum" {
        /// A load in no sum.
        LOAD_LEFT_OUT: "It is a load like those of the sum, and no answer has it in.";
        /// A start in no sum, of what runs in one.
        START_LEFT_OUT: "It is what a load of the sum takes while it starts, and no answer has it in. To see, it was put in place of what that takes running.";
        /// An input that nothing uses.
        NOT_USED: "It is known, and nothing uses it: it may belong into the reckoning.";
        /// A load in the prose alone.
        LOAD_IN_PROSE: "The prose tells of a load that this sum doesn't have.";
        /// Each by itself, on one cord.
        EACH_ALONE: "By the prose they hang on one cord or outlet together: it carries their sum, and each is held against it alone.";
        /// A start with nothing else on.
        START_ALONE: "The start alone is held against what the set starts: what else runs then counts too.";
        /// What stays in it, in no runtime.
        SWAP_NOT_TAKEN: "So much is left when it is swapped, and no answer takes it off.";
        /// A battery's usable part left out.
        USABLE_LEFT_OUT: "Its line tells how much of it is to be used, and all of it is counted on.";
    }
    "other-cylinder" {
        /// Another row's tare.
        OTHER_ROW: "The weight is of one row and the tare of another: each cylinder has its own.";
    }
    "outside-usual" {
        /// Beyond the loads weighed.
        BEYOND_WEIGHED: "By its line it was found at loads up to that, and it is carried to a load far beyond them.";
        /// All of a rating for hours.
        CONTINUOUS_LOAD: "For three hours and longer a load may take 80 % of what a circuit is rated for (NFPA 70, 210.20(A)): ask a licensed electrician.";
        /// A gallon of water.
        WATER_GALLON: "8.34 lb is a gallon of water: a gallon of propane weighs 4.2 lb at 60 °F.";
    }
    "shared-input" {
        /// Copies of one figure.
        ONE_SOURCE: "By their lines they are copies of one figure: that they agree says nothing, and their mean is no surer than one of them.";
        /// The chance of one, for two that fail of the same.
        COMMON_CAUSE: "Multiplied as if each failed by itself: what stands in one shed, on one fuel, in one cold, fails together, as often as the common cause comes.";
    }
    "taken-as-full" {
        /// The size for what is in it.
        NOMINAL_FOR_NET: "The worksheet tells the net weight that is in it, and this is the size that it is called by.";
    }
    "hose-at-one" {
        /// A hose taken off where none hung.
        HOSE_TWICE: "By its line the cylinder was weighed without hose and regulator, and they are taken off all the same.";
    }
    "fill-by-volume" {
        /// A tank filled to the top.
        FULL_TO_THE_TOP: "By its line this is all the volume there is: a tank is filled to 80 % of it.";
    }
    "peak-for-mean" {
        /// Means of minutes for starts.
        MEAN_FOR_START: "By its line these are means over minutes, and a start is over in a second: it isn't in them. A peak hold or the locked rotor amperes tell it.";
        /// A mean over the day for what is on at once.
        MEAN_FOR_ALL: "By its line this is a mean over the day: what a set is rated for has to carry all that is on at once, and the start.";
        /// A mean by the name of a peak.
        MEAN_FOR_PEAK: "By its name this is all at once, and each load is taken with the share of the time that it runs: that is a mean.";
        /// The plate's watts for what was metered.
        PLATE_FOR_MEAN: "What an hour takes belongs to the load that was on, which a line tells: over the plate's watts it comes out too small.";
    }
    "start-on-top" {
        /// Extra watts at the start, less what runs.
        EXTRA_LESS_RUNNING: "By the table these are extra to what runs already, and what runs is taken off them: running watts plus the largest extra is the peak.";
    }
    "hose-as-fuel" {
        /// The gross weight for the net.
        GROSS_FOR_NET: "All that was weighed is divided by the rate, steel and propane; the net is in another line.";
    }
}
