//! Slips in which one form of a quantity stands for the other, and clock times for lengths of
//! time: each in a sentence or two, as those in [`super::habits`].

use super::habits::{Habit, habit};

/// Pressures of two sources, added as if they were in step.
pub(crate) static PRESSURES_ADDED: Habit = habit(
    "level-sum",
    "Sources that know nothing of each other add by energy, 10 log10 of the sum of 10^(L/10): with 20 two alike come to 6 dB more, and it is 3.",
);
/// Several cylinders over the draw on one of them.
pub(crate) static BOTH_OVER_ONE: Habit = habit(
    "other-share",
    "What all of them hold is divided by what is drawn from one: sharing is counted twice. All goes with the whole draw, or one with its part.",
);
/// How far the gross may be off, carried to a difference.
pub(crate) static PART_OF_GROSS: Habit = habit(
    "other-coverage",
    "How far it may be off is taken as a part of a whole weight, and what counts is a difference of two weighings: both may be off, and of the difference that is a far larger part (GUM 5.1.2).",
);
/// The row of another fuel.
pub(crate) static ROW_OF_OTHER_FUEL: Habit = habit(
    "other-rating",
    "It takes the row of another fuel, and the table has one for propane, which is what is burnt here.",
);
/// A row by another key than a line tells.
pub(crate) static ROW_OF_OTHER_KEY: Habit = habit(
    "other-row",
    "A line of this worksheet that nothing uses tells another row of the table than the one that is taken.",
);
/// What a dial shows of the whole volume, as a part of the filling.
pub(crate) static DIAL_OF_FILLING: Habit = habit(
    "other-share",
    "A dial tells per cent of the whole volume and stands at 80 when it is lawfully full: of the pounds of a filling there is what it shows over 80.",
);
/// So much more an hour as so much less time.
pub(crate) static RATE_AS_TIME: Habit = habit(
    "turned-over",
    "So much more an hour goes below the stroke, as 1 + it: 25 % more an hour is 20 % less time.",
);
/// The best case by the name of the worst.
pub(crate) static WORST_IS_BEST: Habit = habit(
    "turned-over",
    "By its line it is the worst case, and what may be off is put on the side that makes it last longer: less fuel and a higher rate are the worst.",
);
/// A row of totals, in the total.
pub(crate) static TOTAL_IN_SUM: Habit = habit(
    "counted-twice",
    "One row of the table is the sum of the others, and it is added to them once more.",
);
/// The steel counted as fuel.
pub(crate) static TARE_FORGOTTEN: Habit = habit(
    "left-out-of-sum",
    "It is worked out from what the scale showed, and the tare is known and not taken off: the steel doesn't burn.",
);
/// A rule that counts from a height on.
pub(crate) static ABOVE_HEIGHT: Habit = habit(
    "other-quantity",
    "By its line the rule counts from that height on, and here it is counted from sea level.",
);
/// A row in another unit than its column.
pub(crate) static UNIT_OF_ROW: Habit = habit(
    "other-unit",
    "One row isn't in the unit of its column, by its own words or by what the rows beside it are: nothing converts it.",
);
/// Years of another examination.
pub(crate) static YEARS_OF_NEW: Habit = habit(
    "other-quantity",
    "Twelve years are from the date it was made; after an examination from outside, by eye, a cylinder may be filled for five (49 CFR 180.209).",
);
/// A rating for seconds against a load of an hour.
pub(crate) static SURGE_FOR_RUNNING: Habit = habit(
    "other-rating",
    "A load that stays is held against starting watts, which last for seconds: the running rating counts, and a line has it.",
);
/// The starts of all loads, added up.
pub(crate) static ALL_STARTS: Habit = habit(
    "start-on-top",
    "What each takes at the start is added up, as if all started in one second: where they are switched on in turn the worst is all running and the hardest one starting, see starting_peak. Where they do start at once, say so in the line.",
);
/// A motor whose start nobody asked for.
pub(crate) static NO_START_ASKED: Habit = habit(
    "left-out-of-sum",
    "A motor takes two to seven times its running watts while it starts (common practice). At three times this one is beyond the rating, and no line has its start: it stands on its plate, and on the set's what that gives for seconds.",
);
/// Weighed with hose and without, in one table.
pub(crate) static HOSE_IN_ROWS: Habit = habit(
    "hose-at-one",
    "By its table the one weighing has hose and regulator on the scale and the other hasn't: their weight is counted as propane.",
);
/// Counted between other clock times.
pub(crate) static OTHER_SPANS: Habit = habit(
    "other-hours",
    "What is divided here was counted between other clock times than what it is divided by: both have to be of the same hours.",
);
/// Clock times subtracted over midnight.
pub(crate) static OVER_MIDNIGHT: Habit = habit(
    "other-than-said",
    "By their lines the one is in the evening and the other in the morning after: the time between goes over midnight, 24 h less the one, and the other.",
);
/// Hours and minutes, subtracted as if they were hours.
pub(crate) static CLOCK_AS_NUMBER: Habit = habit(
    "other-than-said",
    "By their lines the digits behind the point are minutes, 60 to the hour: 18.45 is 18.75 h.",
);
/// Two readings whose difference is another.
pub(crate) static READINGS_APART: Habit = habit(
    "other-than-said",
    "Its line names two readings, and this isn't their difference: tenths of an hour are six minutes each.",
);
/// The hours of a day that are more or less than 24.
pub(crate) static ROWS_OF_DAY: Habit = habit(
    "other-than-said",
    "The hours of a row aren't those between the clock times that it names, or the hours of the day don't add up to 24.",
);
