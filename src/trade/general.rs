//! General functions: reductions, rounding, roots and logarithms.
//!
//! Their unit or shape follows their arguments, so the evaluator works them;
//! here they are declared, for checking, help and completion. Start reading at
//! [`FUNCTIONS`].

use super::declare::{ARITHMETIC, PLAIN, example, published};
use super::{Body, Built, Chapter, ColumnDeclared, Fact, Function, Parameter, ParameterKind, ResultKind, Shape};

const LOG: &str = "table log\n  | time | gross [lb] |\n  | 18:00 | 51.9 |\n  | 19:30 | 47.5 |\n  | 21:00 | 43.7 |\n";
const SKIPS: &str = "Missing cells are skipped, and the report says how many.";

const ONE: [Parameter; 1] = [Parameter::new(
    "value",
    ParameterKind::AnyQuantity,
    Shape::Single,
    "the value",
)];
const PLAIN_NUMBER: [Parameter; 1] = [Parameter::quantity("value", "", "a plain number")];
const SEVERAL: [Parameter; 1] = [Parameter::new(
    "values",
    ParameterKind::Anything,
    Shape::Several,
    "a column, or several values of one kind",
)];
const COLUMN: [Parameter; 1] = [Parameter::column("values", ParameterKind::Anything, "the column")];
const ROUNDED: [Parameter; 2] = [
    Parameter::new("value", ParameterKind::AnyQuantity, Shape::Single, "the value to round"),
    Parameter::new(
        "to",
        ParameterKind::LikeFirst,
        Shape::Single,
        "the step to round to; the result is a whole number of these. A plain number or a count may leave it out",
    )
    .or("1"),
];

/// A function that the evaluator works.
const fn built(name: &'static str, summary: &'static str, parameters: &'static [Parameter], what: Built) -> Function {
    Function {
        name,
        chapter: Chapter::General,
        summary,
        parameters,
        sources: &[ARITHMETIC],
        range: "any",
        result: ResultKind::LikeFirst,
        body: Body::Built(what),
        ..PLAIN
    }
}

const CELL: [Parameter; 3] = [
    Parameter::column("column", ParameterKind::Anything, "the column"),
    Parameter::column("names", ParameterKind::Anything, "what its rows are called"),
    Parameter::new("name", ParameterKind::Anything, Shape::Single, "what the row is called"),
];
const CELL_BY_NUMBER: [Parameter; 2] = [
    Parameter::column("column", ParameterKind::Anything, "the column"),
    Parameter::new("row", ParameterKind::Anything, Shape::Single, "the row, counted from 1"),
];

/// `column of name`, which is written with a word and has no name of its own.
pub(crate) static CELL_OF: Function = built("of", "one cell of a column", &CELL, Built::CellOf);
/// `column of 12:10`, by the hour on the wall.
pub(crate) static CELL_ON_THE_WALL: Function = built("of", "one cell of a column", &CELL, Built::CellOnTheWall);
/// `column of row 3`.
pub(crate) static CELL_IN_ROW: Function = built("of", "one cell of a column", &CELL_BY_NUMBER, Built::CellInRow);

const BY: [Parameter; 2] = [
    Parameter::column("values", ParameterKind::Anything, "the column"),
    Parameter::column("by", ParameterKind::Anything, "what its rows belong to, row by row"),
];
/// The columns of `totals`.
pub(crate) static TOTALS: [Function; 4] = [
    built("totals", "one column of totals", &BY, Built::KeyOf),
    built("totals", "one column of totals", &BY, Built::CountOf),
    built("totals", "one column of totals", &BY, Built::SumOf),
    built("totals", "one column of totals", &BY, Built::MeanOf),
];
/// A column of a table that is sorted.
pub(crate) static OF_SORTED: Function = built("sorted", "one column of a sorted table", &BY, Built::OfSorted);

const PER_LEG: &str = "table loads\n  | item | leg | running [W] |\n  | fan | A | 540 |\n  | pump | B | 900 |\n  | light | A | 60 |\n\ntable per_leg = totals(loads.running, by: loads.leg)\n";
const IN_ORDER: &str = "table loads\n  | item | leg | running [W] |\n  | fan | A | 540 |\n  | pump | B | 900 |\n  | light | A | 60 |\n\ntable small_first = sorted(loads, by: loads.running)\n";
const OVER_BOTH: &str = "assumed load = 1 kW\nassumed left = 18 lb\nworked runtime [h] = left / (0.5 lb/h + load * 0.9 lb/(kW·h))\n\ntable tried\n  | watts [W] | pounds [lb] |\n  | 500 | 10 |\n  | 1500 | 20 |\n\ntable hours = grid(runtime, load: tried.watts, left: tried.pounds)\n";

/// The functions of this chapter.
pub(super) static FUNCTIONS: [Function; 35] = [
    Function {
        formula: "for each key in the order in which it first stands: how many values, their sum, their mean",
        notes: "The table has a row for each key. Rows without a key are left out; a missing cell counts for nothing, and that is said. Each total carries the ± of its rows and what they share.",
        result: ResultKind::Table(&[
            ColumnDeclared::new("key", "", "what the rows belong to"),
            ColumnDeclared::new("count", "", "how many values"),
            ColumnDeclared::new("sum", "", "their sum"),
            ColumnDeclared::new("mean", "", "their mean"),
        ]),
        examples: &[example("per_leg.sum of \"A\"", "600 W")],
        example_table: PER_LEG,
        ..built("totals", "table of sums by category", &BY, Built::Totals)
    },
    Function {
        formula: "the rows of the table, those with the least `by` first",
        notes: "All columns go along, those that are worked out too. Rows that are alike keep their order, and those without `by` come last. For the greatest first take `by: -loads.running`. In draws the rows keep the order of the record.",
        result: ResultKind::Table(&[]),
        examples: &[example("small_first.item of row 1", "\"light\"")],
        example_table: IN_ORDER,
        ..built(
            "sorted",
            "a table in another order",
            &[
                Parameter::column("table", ParameterKind::Table(""), "the table, by its bare name"),
                Parameter::column("by", ParameterKind::Anything, "what its rows are put in order by"),
            ],
            Built::Sorted,
        )
    },
    Function {
        formula: "the entry worked out again with each pair of values, held exactly, and everything else as it stands",
        range: "one entry varied, or two; 1000 values at most",
        notes: "Before each colon stands an entry that a trial may replace, behind it a column of values. The table has a column for each of them and one for what is worked out; a reader sees it as a table of two ways. Each value has its own ±; where there is none, the cell is missing.",
        result: ResultKind::Table(&[]),
        examples: &[example("hours.runtime of row 1", "10.53 h")],
        example_table: OVER_BOTH,
        ..built(
            "grid",
            "table of an entry over the values of two others",
            &[
                Parameter::new(
                    "value",
                    ParameterKind::Anything,
                    Shape::Single,
                    "what is worked out, by its name",
                ),
                Parameter::new(
                    "over",
                    ParameterKind::Anything,
                    Shape::Several,
                    "what is varied, each with a column of values: `load: loads.watts`",
                ),
            ],
            Built::Grid,
        )
    },
    Function {
        formula: "|value|",
        notes: "Of a temperature, gauge pressure, moment or sound level it is a problem.",
        examples: &[example("abs(-3.2 lb)", "3.2 lb")],
        ..built("abs", "distance from zero", &ONE, Built::Abs)
    },
    Function {
        formula: "the least of the values",
        range: "at least one value",
        notes: SKIPS,
        examples: &[example("min(3 lb, 40 oz)", "2.5 lb")],
        ..built(
            "min",
            "the least of a column or of several values",
            &SEVERAL,
            Built::Min,
        )
    },
    Function {
        formula: "the greatest of the values",
        range: "at least one value",
        notes: SKIPS,
        examples: &[example("max(3 lb, 40 oz)", "3 lb")],
        ..built(
            "max",
            "the greatest of a column or of several values",
            &SEVERAL,
            Built::Max,
        )
    },
    Function {
        formula: "Σ values",
        notes: "Missing cells are skipped, and the report says how many. Of nothing it is 0. Temperatures, gauge pressures and sound levels have no sum.",
        examples: &[example("sum(log.gross)", "143.1 lb")],
        example_table: LOG,
        ..built("sum", "the sum of a column or of several values", &SEVERAL, Built::Sum)
    },
    Function {
        formula: "Σ values/count",
        range: "at least one value",
        notes: "Missing cells are skipped, and the report says how many. Sound levels have no mean: see sound_sum. Clock times have none either, since their day isn't known; counted times and moments have one.",
        examples: &[
            example("mean(log.gross)", "47.7 lb"),
            example("mean(20 °F, 30 °F)", "25 °F"),
        ],
        example_table: LOG,
        ..built(
            "mean",
            "the mean of a column or of several values",
            &SEVERAL,
            Built::Mean,
        )
    },
    Function {
        formula: "√(Σ(x − x̄)²/(N − 1))",
        range: "two values or more",
        notes: SKIPS,
        sources: &[published("JCGM 100, 4.2.2")],
        examples: &[example("deviation(log.gross)", "4.104 lb")],
        example_table: LOG,
        ..built(
            "deviation",
            "how far values spread: their experimental standard deviation",
            &SEVERAL,
            Built::Deviation,
        )
    },
    Function {
        formula: "the value in the middle, or the mean of the two there",
        range: "at least one value",
        notes: SKIPS,
        sources: &[published("NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.1")],
        examples: &[example("median(log.gross)", "47.5 lb")],
        example_table: LOG,
        ..built(
            "median",
            "the value that as many lie below as above",
            &SEVERAL,
            Built::Median,
        )
    },
    Function {
        formula: "the value at place 1 + share·(N − 1) in rising order, between two on the straight line",
        range: "at least one value; from 0 to 100 %",
        notes: SKIPS,
        sources: &[published(
            "NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2: the second form",
        )],
        examples: &[example("percentile(log.gross, 90 %)", "51.02 lb")],
        example_table: LOG,
        ..built(
            "percentile",
            "the value that so many percent lie below",
            &[
                Parameter::column("values", ParameterKind::Anything, "the column"),
                Parameter::quantity("share", "%", "how many percent lie below"),
            ],
            Built::Percentile,
        )
    },
    Function {
        formula: "how many cells are filled",
        result: ResultKind::Quantity(""),
        notes: "Missing cells don't count.",
        examples: &[example("count(log.gross)", "3")],
        example_table: LOG,
        ..built("count", "how many values a column has", &SEVERAL, Built::Count)
    },
    Function {
        formula: "the first filled cell",
        range: "at least one value",
        notes: SKIPS,
        examples: &[example("first(log.gross)", "51.9 lb")],
        example_table: LOG,
        ..built("first", "the first value of a column", &COLUMN, Built::First)
    },
    Function {
        formula: "the last filled cell",
        range: "at least one value",
        notes: SKIPS,
        examples: &[example("last(log.gross)", "43.7 lb")],
        example_table: LOG,
        ..built("last", "the last value of a column", &COLUMN, Built::Last)
    },
    Function {
        formula: "in each row, the sum of the rows up to it",
        notes: "A missing cell stays missing and adds nothing. Temperatures, gauge pressures and sound levels have no sum.",
        examples: &[example("last(running_total(log.gross))", "143.1 lb")],
        example_table: LOG,
        ..built(
            "running_total",
            "sums down a column, row by row",
            &[Parameter::column("values", ParameterKind::AnyQuantity, "the column")],
            Built::RunningTotal,
        )
    },
    Function {
        formula: "in each row, the row less the one before",
        notes: "The first row has none before it and is no row: sums, counts and checks pass over it. Points on a scale and times give differences.",
        examples: &[example("sum(changes(log.gross))", "-8.2 lb")],
        example_table: LOG,
        ..built("changes", "from row to row of a column", &COLUMN, Built::Changes)
    },
    Function {
        formula: "in each row, the row before",
        notes: "The first row has none before it and is no row: sums, counts and checks pass over it.",
        examples: &[example("last(previous(log.gross))", "47.5 lb")],
        example_table: LOG,
        ..built("previous", "the row before, row by row", &COLUMN, Built::Previous)
    },
    Function {
        formula: "the multiple of `to` nearest to `value`, halves away from zero",
        range: "a step above zero",
        examples: &[example("round(17.26 lb, 0.5 lb)", "17.5 lb")],
        ..built("round", "rounded to the nearest step", &ROUNDED, Built::Round)
    },
    Function {
        formula: "the least multiple of `to` not below `value`",
        range: "a step above zero",
        examples: &[
            example("round_up(2.1)", "3"),
            example("round_up(17.1 lb, 0.5 lb)", "17.5 lb"),
        ],
        ..built("round_up", "rounded up to a step", &ROUNDED, Built::RoundUp)
    },
    Function {
        formula: "the greatest multiple of `to` not above `value`",
        range: "a step above zero",
        examples: &[example("round_down(100 min, 30 min)", "90 min")],
        ..built("round_down", "rounded down to a step", &ROUNDED, Built::RoundDown)
    },
    Function {
        formula: "√value",
        range: "zero or above; a unit needs even powers",
        result: ResultKind::Special,
        examples: &[example("sqrt(2)", "1.414"), example("sqrt(9 ft2)", "3 ft")],
        ..built("sqrt", "the square root", &ONE, Built::SquareRoot)
    },
    Function {
        formula: "e^value",
        range: "plain numbers up to about 66",
        result: ResultKind::Quantity(""),
        examples: &[example("exp(1)", "2.718")],
        tells: &[Fact::UndoneBy("ln")],
        ..built("exp", "e to a power", &PLAIN_NUMBER, Built::Exponential)
    },
    Function {
        formula: "the power of e that gives value",
        range: "plain numbers above zero",
        result: ResultKind::Quantity(""),
        examples: &[example("ln(10)", "2.303")],
        tells: &[Fact::UndoneBy("exp")],
        ..built("ln", "the natural logarithm", &PLAIN_NUMBER, Built::NaturalLogarithm)
    },
    Function {
        formula: "the power of ten that gives value",
        range: "plain numbers above zero",
        result: ResultKind::Quantity(""),
        examples: &[example("log10(1000)", "3")],
        ..built("log10", "the decimal logarithm", &PLAIN_NUMBER, Built::DecimalLogarithm)
    },
    Function {
        formula: "on the straight line between the two rows around `at`",
        range: "inside the x column, which rises or falls all the way; outside is a problem",
        result: ResultKind::LikeSecond,
        examples: &[example("interpolate(chart.air, chart.hours, 15 °F)", "3.5 h")],
        example_table: "table chart\n  | air [°F] | hours [h] |\n  | 0 | 2 |\n  | 10 | 3 |\n  | 20 | 4 |\n",
        ..built(
            "interpolate",
            "value between the rows of a table",
            &[
                Parameter::column("x", ParameterKind::AnyQuantity, "where the rows stand, in order"),
                Parameter::column("y", ParameterKind::AnyQuantity, "the values there"),
                Parameter::new("at", ParameterKind::LikeFirst, Shape::Single, "where to read"),
            ],
            Built::Interpolate,
        )
    },
    Function {
        formula: "K for a temperature; psi or kPa, with one standard atmosphere added, for a gauge pressure",
        range: "temperatures and gauge pressures, not below absolute zero",
        result: ResultKind::Special,
        examples: &[example("absolute(0 psig)", "14.70 psi")],
        ..built(
            "absolute",
            "distance from absolute zero of a temperature or a gauge pressure",
            &ONE,
            Built::Absolute,
        )
    },
    Function {
        formula: "time − first time",
        range: "clock times without their day beside them, moments or durations, in order; a step back of more than 12 h is midnight",
        result: ResultKind::Quantity("h"),
        examples: &[example("last(elapsed(log.time))", "3 h")],
        example_table: LOG,
        ..built(
            "elapsed",
            "hours since the first row of a column of times",
            &[Parameter::column("times", ParameterKind::Times, "the column of times")],
            Built::Elapsed,
        )
    },
    Function {
        formula: "the hour on the wall",
        result: ResultKind::Clock,
        range: "counted times and moments; of a clock time it is that itself",
        notes: "It gives up the day. With it rows are picked by the hour: `sum(log.watts * log.hours where clock(log.time) < 07:00)`, and of the hours around midnight `clock(log.time) >= 22:00 or clock(log.time) < 06:00`.",
        examples: &[
            example("clock(22:00 + 8 h)", "06:00"),
            example("clock(2026-01-11 21:40)", "21:40"),
        ],
        ..built(
            "clock",
            "hour on the wall of a counted time or a moment",
            &TIME,
            Built::Clock,
        )
    },
    Function {
        formula: "the moment without its clock time",
        result: ResultKind::Moment,
        range: "dates and moments",
        examples: &[example("date(2026-01-11 21:40)", "2026-01-11")],
        ..built("date", "day of a moment", &MOMENT, Built::Date)
    },
    Function {
        formula: "the day of the week, \"Monday\" to \"Sunday\"",
        result: ResultKind::Text,
        range: "dates and moments",
        notes: "The day begins at midnight: 00:30 on a Saturday is Saturday, whatever the evening before was called.",
        examples: &[example("weekday(2026-01-11 21:40)", "\"Sunday\"")],
        ..built("weekday", "day of the week of a moment", &MOMENT, Built::Weekday)
    },
    Function {
        formula: "the month, 1 to 12",
        result: ResultKind::Quantity(""),
        range: "dates and moments",
        examples: &[example("month(2026-01-11)", "1")],
        ..built("month", "month of a moment", &MOMENT, Built::Month)
    },
    Function {
        formula: "day + clock; with `after` on the first day on which it comes later than that",
        result: ResultKind::Moment,
        range: "a date without a clock time; a clock time, or a counted one, which carries its days",
        notes: "`at(run.day, run.stop, after: run.start)` passes midnight where it has to; at the same minute it is the next day's.",
        examples: &[
            example("at(2026-01-11, 21:40)", "2026-01-11 21:40"),
            example("at(2026-01-11, 06:15, after: 21:40)", "2026-01-12 06:15"),
        ],
        ..built(
            "at",
            "moment of a date and a clock time",
            &[
                Parameter::new("day", ParameterKind::Moment, Shape::Single, "the date"),
                Parameter::new(
                    "clock",
                    ParameterKind::Time,
                    Shape::Single,
                    "the time of that day, not a moment",
                ),
                Parameter::new(
                    "after",
                    ParameterKind::Time,
                    Shape::Single,
                    "what it comes after, on that day or as a moment",
                )
                .or("day"),
            ],
            Built::At,
        )
    },
    Function {
        formula: "clock on the first day on which it comes later than `after`",
        result: ResultKind::Time,
        range: "a clock time, after a clock time, a counted time or a moment",
        notes: "Counted as what it comes after is, so that the two stand in order: `next_time(stop, after: start) - start`. Of a moment it is a moment. At the same minute it is the next day's.",
        examples: &[
            example("next_time(06:00, after: 21:00)", "06:00 (+1 d)"),
            example("next_time(06:15, after: 2026-01-11 21:40)", "2026-01-12 06:15"),
        ],
        ..built(
            "next_time",
            "first such hour after a time",
            &[
                Parameter::new("clock", ParameterKind::Clock, Shape::Single, "the hour on the wall"),
                Parameter::new("after", ParameterKind::Time, Shape::Single, "what it comes after"),
            ],
            Built::NextTime,
        )
    },
    Function {
        formula: "each value from its time until the next; the last one holds on",
        range: "times in rising order, the first not after the start; only as an argument, and all that change in one draw-down begin together",
        result: ResultKind::LikeSecond,
        examples: &[example("draw_down_time(night)", "3.706 h")],
        example_table: STEPS,
        ..built(
            "steps",
            "values that hold from one time until the next, as an argument",
            &COURSE,
            Built::Steps,
        )
    },
    Function {
        once: "trend",
        formula: "the straight line from each value to the next; the last one holds on",
        range: "times in rising order, the first not after the start; only as an argument, and all that change in one draw-down begin together",
        result: ResultKind::LikeSecond,
        examples: &[example("draw_down_end(night)", "\"pressure\"")],
        example_table: TREND,
        ..built(
            "ramps",
            "values on straight lines between times, as an argument",
            &COURSE,
            Built::Trend,
        )
    },
];

const TIME: [Parameter; 1] = [Parameter::new("time", ParameterKind::Time, Shape::Single, "the time")];
const MOMENT: [Parameter; 1] = [Parameter::new(
    "day",
    ParameterKind::Moment,
    Shape::Single,
    "the date or moment",
)];

const COURSE: [Parameter; 2] = [
    Parameter::column(
        "time",
        ParameterKind::Times,
        "when each value begins; clock times and moments count from the first row",
    ),
    Parameter::column(
        "value",
        ParameterKind::AnyQuantity,
        "the values, of the kind the argument takes",
    ),
];

const STEPS: &str = "table draws\n  | time [h] | rate [lb/h] |\n  | 0 | 1.5 |\n  | 2 | 3 |\n\ntable night = draw_down(24 lb, 12 in, 24.6 lb, 24 °F, steps(draws.time, draws.rate), 14 W/(m2·C°), 10 psig)\n";
const TREND: &str = "table forecast\n  | time | air [°F] |\n  | 18:00 | 24 |\n  | 05:00 | 0 |\n\ntable night = draw_down(24 lb, 12 in, 24.6 lb, ramps(forecast.time, forecast.air), 3 lb/h, 14 W/(m2·C°), 10 psig)\n";
