//! The words of the worksheet language, each explained with a short example.
//!
//! What `help measured` or `help ±` tells. An example is a worksheet that runs
//! as it stands. Start reading at [`TERMS`].

/// A word of the language.
#[derive(Clone, Copy, Debug)]
pub struct Term {
    /// The word and others that lead to the same page; the first heads it.
    pub words: &'static [&'static str],
    /// What it does, in one line.
    pub summary: &'static str,
    /// The whole story, in sentences; an empty line parts paragraphs.
    pub text: &'static str,
    /// A worksheet that shows it.
    pub example: &'static str,
}

/// The term of a word, whatever its capitals.
pub fn term(word: &str) -> Option<&'static Term> {
    let lower = word.to_lowercase();
    TERMS.iter().find(|term| term.words.contains(&lower.as_str()))
}

/// Every word of the language, in the order a learner meets them.
pub const TERMS: &[Term] = &[
    Term {
        words: &["measured"],
        summary: "an input read off an instrument",
        text: "Opens a line whose value whoever wrote the worksheet read off an instrument: a scale, a meter, a clock. \
Say which with `from`, and how far it may be off with `±`. The value is a constant; what is calculated is `worked`.",
        example: "measured gross = 37.3 lb ± 0.05 lb from \"hanging scale, hose off\"\n",
    },
    Term {
        words: &["quoted"],
        summary: "an input stated by a nameplate, stamp, manual or price board",
        text: "Opens a line whose value somebody else states: a nameplate, a collar stamp, a manual, a handbook, a \
supplier. Nobody here has checked it, and every answer counts it apart from what was measured.",
        example: "quoted tare = 17.9 lb ± 0.2 lb from \"collar stamp, TW\"\n",
    },
    Term {
        words: &["assumed"],
        summary: "an input that is a guess, a forecast or a rule of thumb",
        text: "Opens a line whose value is taken for now: a forecast, a habit, a rule of thumb. Every answer tells how \
many guesses it rests on; a trial shows which of them matter.",
        example: "assumed air = 24 °F ± 4 °F from \"forecast low\"\n",
    },
    Term {
        words: &["worked"],
        summary: "a calculated entry",
        text: "Opens a line whose value is calculated from other entries. Order does not matter: it may use names that \
are defined further down. A unit in brackets after the name checks the result and chooses how it is shown.",
        example: "measured gross = 37.3 lb\nquoted tare = 17.9 lb\nworked fuel [lb] = net_contents(gross, tare)\n",
    },
    Term {
        words: &["answer", "answers"],
        summary: "a calculated entry that the worksheet is for",
        text: "As `worked`, but the worksheet is there for it: answers are shown first, and every study follows them.",
        example: "assumed fuel = 12 lb\nassumed rate = 1.3 lb/h\nanswer runtime \"by weight\" [h:min] = fuel / rate\n",
    },
    Term {
        words: &["expect", "check", "hint"],
        summary: "a check that holds, does not hold, or is undecided",
        text: "Opens a condition that should be true, with what to say after `else` where it is not: the hint of an exercise. \
A check in which \
something has no value is undecided. On columns it holds if it holds in every row; where a cell is missing and no row \
fails, it is undecided and names the rows. Where the limit lies within \
the uncertainty the report says so.",
        example: "assumed fuel = 19.2 lb\nexpect fuel <= fill_limit(47.6 lb) else \"overfilled: have the supplier bleed it\"\n",
    },
    Term {
        words: &["rule"],
        summary: "a function of your own",
        text: "Opens a function of your own. It sees its parameters, functions and other rules, nothing else, and never \
itself. Its units are checked at every call.",
        example: "rule longest(drop [V], current [A], per_foot [ohm/ft]) [ft] = drop / (2 * current * per_foot)\n\
worked cord = longest(3.6 V, 12 A, 0.0016 ohm/ft)\n",
    },
    Term {
        words: &["table", "column", "columns", "row", "rows", "|"],
        summary: "columns of values, in rows between bars, from a file or a function",
        text: "Opens a table: rows between bars, the headings first. A heading is a name, perhaps with a unit, perhaps \
with the tolerance of every reading. A column is used as `table.column`, row by row, or as a whole by `sum`, \
`mean`, `burn_rate` and the like. An empty cell is missing. Columns of two tables meet in the order of their \
rows; where both tables have texts and these differ, that is a problem, and where nothing tells, a caution. `csv(\"file\")` reads the rows from a file beside the \
worksheet. Some functions give a table: `table night = draw_down(…)`, `table plan = swap_plan(…)`; it is worked out once, \
its columns are used like any others, and it carries no `±`.",
        example: "table loads\n  | item | running [W] | hours [h/d] |\n  | fan  | 560         | 14          |\n  | lamp | 80          | 8           |\n\
worked energy [Wh/d] = sum(loads.running * loads.hours)\n",
    },
    Term {
        words: &["csv"],
        summary: "a table read from a file",
        text: "Reads a table's rows from a comma-separated file, by a path from the worksheet's folder and inside it. \
Headings are written as in a table: `time,gross [lb ± 0.05]`. A cell that can't be read is a problem that names \
file, row and column; with `skip_unread: true` the other rows count. Of a meter's file `columns: \"gross [lb] = Weight (lb)\"` names headings, \
`dates: \"month/day/year\"` the order of its dates, and `every: 5 min` thins its rows.\n\n    table log = csv(\"log.csv\")",
        example: "",
    },
    Term {
        words: &["use", "as", "import", "include"],
        summary: "rests on another worksheet: its values with their ±",
        text: "`use \"cylinders.tare\" as yard` takes another worksheet in, from the same folder or one below. Its values are \
`yard.price` and `yard.shells.tare of \"red\"` here, with their `±`, their sources, and what they share with each other: two \
worksheets that use the same third share it. `yard.price = $4/gal` tries another value, and a case may replace it; the other \
file is never written. It stands in its base; a check of it that fails and its dangers are told here too.\n\n\
    use \"cylinders.tare\" as yard\n    answer cost = fuel * yard.price",
        example: "",
    },
    Term {
        words: &["case", "cases", "base"],
        summary: "a scenario: the worksheet with some inputs replaced",
        text: "Opens a scenario, with the inputs it replaces set in below it. Formulas, tables and checks stay. A \
replacement may be in any unit of the same kind and carries its own `±`, `from` and `note`; without `±` it is \
exact. `base` is the worksheet without a case; `case NAME` in the session shows what the switch does to the answers.",
        example: "assumed air = 32 °F ± 4 °F\ncase deep_cold \"Clear night at 0 °F\"\n  air = 0 °F ± 4 °F\n",
    },
    Term {
        words: &["plot", "chart"],
        summary: "a chart of one column over another",
        text: "Opens a chart, with a title. A column is `table.column`, an entry that holds one, or what is worked out of \
columns; all have as many rows. `by COLUMN` parts the rows into sets, `from zero` begins both axes there. \
It is drawn for the case in hand, with a band where the readings carry `±` and with the limits that checks set \
the column, and with the straight line that an entry fits through both. Readings that don't go one way along are drawn as points; over a column of texts there is a bar for each.",
        example: "table log\n  | time  | gross [lb] |\n  | 17:30 | 33.9       |\n  | 18:30 | 32.6       |\nplot log.gross over log.time \"Weight\"\n",
    },
    Term {
        words: &["over"],
        summary: "parts the two columns of a plot",
        text: "In a `plot` the column before it goes up the page, the column after it along.",
        example: "table log\n  | time  | gross [lb] |\n  | 17:30 | 33.9       |\n  | 18:30 | 32.6       |\nplot log.gross over log.time\n",
    },
    Term {
        words: &["from", "source"],
        summary: "says where a value comes from",
        text: "After a value, the source in quotes: who measured it with what, or which label or page states it. An \
input may go without, but then nobody can follow it back.",
        example: "quoted price = $3.89/gal from \"supplier's board, December\"\n",
    },
    Term {
        words: &["note"],
        summary: "a note on a value",
        text: "After a value and its source, whatever else a reader should know.",
        example: "measured gross = 37.3 lb from \"hanging scale\" note \"frost on the shell, wiped\"\n",
    },
    Term {
        words: &["[unit]", "[", "brackets", "[]", "[h:min]"],
        summary: "checks the unit of a value and chooses how it is shown",
        text: "A unit in brackets after a name says of what kind the value must be; it is converted to that unit, once, \
and keeps it from there on. `[h:min]` shows a time as hours and minutes. In the session an expression may end \
with it. There is no other way to convert, and none is needed: units meet where they are used.",
        example: "assumed fuel = 12 lb\nworked in_kilograms [kg] = fuel\n",
    },
    Term {
        words: &["±", "+/-", "tolerance", "uncertainty", "sd"],
        summary: "how far a value may be off",
        text:
            "Stands once, at the end of the value of an input, a case line, a trial or a cell. Plain `±` gives limits: \
anywhere between is as likely. `sd` after it makes it a standard uncertainty, `k=2` an expanded one, and `df=18` \
adds degrees of freedom. A percentage is of the value, but on a value in `%` the tolerance is in percentage \
points. A display that steps by 0.1 lb is ± 0.05 lb. The plain keyboard types `+/-`.

The ± that is printed behind a worked value is another: its expanded uncertainty. The true value lies within it \
about 19 times in 20, if the inputs are as their ± say; `help k` tells how it is found.",
        example: "measured gross = 37.3 lb ± 0.05 lb\nquoted rate = 1.3 lb/h ± 4 %\nquoted weight = 9.81 kg ± 0.02 kg k=2\n",
    },
    Term {
        words: &["k", "k=2", "df", "coverage", "expanded", "95", "95.45"],
        summary: "how often a ± covers the true value",
        text: "Behind a result, `± 0.4 lb k=2` is an expanded uncertainty: k times the standard uncertainty, that is, \
twice it. It covers the true value about 95 % of the time, 19 times in 20, as far as the ± of the inputs tell; to be \
exact, 95.45 % where the spread is normal. Intervals that are drawn hold 95 %: `help draws`. What \
has no ± counts as exact, and an error in the method is not in it.

`k` is 2 where many degrees of freedom stand behind the standard uncertainty, and larger where there are few, by \
Student's t for 95.45 %. Degrees of freedom say how well an uncertainty is itself known: from 18 readings about \
their mean they are 17. Limits that are taken as certain have infinitely many.

Behind an input, `k=2` says that its ± is such an expanded one, as on a calibration sheet, and `df=18` how many \
degrees of freedom it has.",
        example: "quoted weight = 9.81 kg ± 0.02 kg k=2\nmeasured rate = 1.3 lb/h ± 0.05 lb/h sd df=3\nworked hours [h] = weight / rate\n",
    },
    Term {
        words: &["draws", "draw", "seed"],
        summary: "how sure a value is, by trying many values inside the ±",
        text: "`doubt NAME --draws 10000` works the worksheet out so many times, each time with other values drawn inside \
the ± of its inputs. It holds where a formula bends and where a cause switches, of which a ± by k = 2 knows nothing; \
a draw that meets a problem is left out. The interval that it gives holds 95 % of the draws, with as many below as above; \
a ± with k = 2 holds 95.45 % where the spread is normal, so it is wider by a fiftieth.

`--seed` begins other draws; the same seed gives the same ones again. In a session it is typed `doubt NAME draws 10000 \
seed 7`.",
        example: "measured fuel = 20 lb ± 0.2 lb\nquoted rate = 1.3 lb/h ± 4 %\nanswer hours [h] = fuel / rate\n",
    },
    Term {
        words: &["close to", "close", "within", "nearly", "slip"],
        summary: "marks an answer, and tells nobody what it should be",
        text: "`expect ANSWER close to VALUE within T` holds where the answer is that near. `nearly T2 else \"…\"` before \
the last `else` is for those who round too far. An indented `slip VALUE \"…\"` below it is a usual wrong answer, with what \
to say of it. What the answer should be is told in the key of a handout alone; `worked` entries that only such checks use \
are kept back with it.",
        example: "assumed net [lb] = 14.1 lb\nexpect net close to 12.3 lb within 0.05 lb nearly 0.5 lb else \"keep the \
tenths\" else \"take off steel and hose\"\n  slip 14.1 lb \"the hose is still in it\"\n",
    },
    Term {
        words: &["?", "blank", "exercise", "exercises"],
        summary: "a value not yet known",
        text: "In place of a value, for one that will be read off later; it needs its unit in brackets. What depends on \
it waits, without complaint. An exercise is a blank with an `expect … close to …` behind it, which marks what is filled in.",
        example: "measured gross [lb] = ?\nworked fuel [lb] = gross - 17.6 lb\n",
    },
    Term {
        words: &["#", "##", "###", "heading"],
        summary: "a heading; the first is the title",
        text: "One to three signs and a space open a heading. The first with one sign is the worksheet's title.",
        example: "# Ridge house\n## Cylinder\nmeasured gross = 37.3 lb\n",
    },
    Term {
        words: &[">", "prose"],
        summary: "prose, printed in reports",
        text: "Opens a line of text for whoever reads the report.",
        example: "> Weighed with the hose off.\nmeasured gross = 37.3 lb\n",
    },
    Term {
        words: &["--", "comment"],
        summary: "a comment for whoever edits the file",
        text: "Two dashes and a space open a comment, at the start of a line or after an entry. It is not printed.",
        example: "measured gross = 37.3 lb -- weigh again on Sunday\n",
    },
    Term {
        words: &["if", "then", "else"],
        summary: "chooses between two values",
        text: "`if condition then value else value`: both values are of one kind, and both are needed. Only the branch \
that is taken can raise a problem; on columns this holds row by row. After `expect`, `else` is what to say where the check fails.",
        example: "assumed hours = 0 h\nworked rate = if hours > 0 h then 6 lb / hours else 0 lb/h\n",
    },
    Term {
        words: &["and", "or", "not", "true", "false", "truth"],
        summary: "join and turn conditions",
        text: "`not` binds more tightly than `and`, and `and` more tightly than `or`. `true` and `false` are the truth \
values. In a row a missing side leaves the result missing, unless the other side decides it: `false and` what is missing \
is false, `true or` what is missing is true.",
        example: "assumed night = true\nassumed air = 12 °F\nexpect not night or air >= 0 °F\n",
    },
    Term {
        words: &["where"],
        summary: "keeps the rows of a column that fulfil a condition",
        text: "Filters everything to its left, back to the parenthesis or comma. Where nothing is left `sum` and `count` \
are zero, and the others are a problem.",
        example: "table loads\n  | running [W] | leg |\n  | 560         | A   |\n  | 900         | B   |\n\
worked on_a = sum(loads.running where loads.leg = \"A\")\n",
    },
    Term {
        words: &["of", "cell", "cells", "lookup"],
        summary: "one cell of a column",
        text: "`log.gross of 12:10` is the cell in the row of that time, `loads.hours of \"pump\"` in the row of that text, \
`log.gross of row 3` in the third. A text calls a row by the first column of texts, anything else by the first column. \
No such row, or two, is a problem. With a column behind it each of its rows is looked up: `shells.tare of stock.shell`. \
It binds more tightly than every operator.",
        example: "table shells\n  | id  | tare [lb] |\n  | red | 17.9      |\n\
worked net [lb] = 37.3 lb - shells.tare of \"red\"\n",
    },
    Term {
        words: &["=", "<", "<=", ">=", "<>", "comparison"],
        summary: "compares, or gives a value to a name",
        text: "After a name at the head of a line `=` gives the value. Inside an expression it compares, after conversion, to 12 \
significant digits. Comparisons chain in one direction. `<>` is unequal.",
        example: "assumed margin = 120 %\nexpect 100 % <= margin <= 300 %\n",
    },
    Term {
        words: &["^", "power", "root"],
        summary: "raises to a power",
        text: "Binds most tightly. The exponent is a whole number, a decimal or a fraction in parentheses: `x^(1/2)`. A \
power of a power needs parentheses.",
        example: "worked area = (12.2 in)^2\nworked side = area^(1/2)\n",
    },
    Term {
        words: &["name", "names"],
        summary: "what an entry is called",
        text: "Letters of any script, digits and underscores, not beginning with a digit. Capitals count. Entries, \
tables and rules share one set of names; words that open lines can't be names.",
        example: "measured gross_2 = 37.3 lb\nworked again = gross_2\n",
    },
    Term {
        words: &["number", "numbers"],
        summary: "digits, one point, underscores between digits",
        text: "A point with a digit on each side, underscores between digits to group them, an exponent such as `6.2e3`. \
Numbers are exact to 28 digits: 0.1 lb + 0.2 lb is 0.3 lb.",
        example: "assumed heat = 21_548 BTU/lb\n",
    },
    Term {
        words: &["unit", "quantity"],
        summary: "stands right after a number, or in brackets",
        text: "A unit binds to its number more tightly than any sign: `6 lb / 2 h` is 3 lb/h. Inside a unit there is at \
most one `/`, products are joined by `·` or `*`, powers are a digit. A value stays in the unit it was written in \
until it meets another; then it is converted once, by an exact ratio. `tarebook units` lists them.",
        example: "assumed loss = 14 BTU/(h·ft2·F°)\nworked rate = 6 lb / 2 h\n",
    },
    Term {
        words: &["compound"],
        summary: "a value in two units: `2 h 40 min`",
        text: "From the larger unit to the smaller, all but the last number whole, each less than one of the unit \
before. It is kept exactly and shown as written.",
        example: "measured run = 2 h 40 min\nquoted weight = 12 lb 6 oz\n",
    },
    Term {
        words: &["time", "moment", "times"],
        summary: "a clock time, a counted one or a moment, no zone",
        text: "`21:40` and `9:40 pm` are clock times, of whichever day; `2026-01-11 21:40` is a moment, `2026-01-11` its \
midnight. A clock time with a duration added or taken away, and a column of clock times without its dates, is counted \
from there on and knows how many midnights have passed: `05:00 (+1 d)`. In a column a step back of more than 12 h is \
midnight.\n\n\
Times that were counted from one beginning stand in order, and so does the beginning. What else meets a counted time is \
asked for its day: `next_time(06:00, after: start)` is the first such hour after a time, `06:00 (+1 d)` says the \
midnights, `clock(x)` is the hour on the wall. `at`, `date`, `weekday` and `month` join and tell dates.",
        example: "measured start = 21:40\nworked dead = start + 8 h 15 min\nworked run [h:min] = dead - start\n\
expect dead <= next_time(06:00, after: start)\n",
    },
    Term {
        words: &["text"],
        summary: "words in double quotes",
        text: "A text ends on its line. It knows the escapes `\\\"` `\\\\` `\\n` and `\\u{2212}`.",
        example: "assumed room = \"kitchen\"\n",
    },
    Term {
        words: &["point", "interval", "absolute", "scale"],
        summary: "degrees on a scale and differences are kept apart",
        text: "`°F`, `°C`, `psig` and `kPag` are points on a scale; `F°`, `C°`, `K`, `psi` and `kPa` are differences, or \
count from nothing. Point minus point is a difference, point plus difference a point; a sum of two points has no \
meaning. `mean(a, b)` is the middle of two points, `absolute(x)` the distance from absolute zero.",
        example: "assumed night = 20 °F\nassumed day = 34 °F\nworked rise = day - night\nworked middle = mean(night, day)\n",
    },
    Term {
        words: &["level", "decibel", "sound"],
        summary: "sound levels in dB add by energy only",
        text: "Level minus level is a difference, level plus difference a level. Levels are added by `sound_sum`. An \
input with a sign, such as `-8 dB`, is a difference, and so is a number of up to 20 dB beside a level.",
        example: "quoted set = 64 dB\nassumed fence = -8 dB\nworked behind = set + fence\n",
    },
    Term {
        words: &["money", "currency"],
        summary: "amounts in a currency, exact to the cent",
        text: "Any ISO 4217 code is a currency; `$`, `€` and `£` stand for USD, EUR and GBP. Different currencies don't \
mix.",
        example: "quoted price = $3.89/gal\nworked bill = price * 20 gal\n",
    },
    Term {
        words: &["trial", "trials"],
        summary: "a value tried in the session, the record unchanged",
        text: "In the session `air = 5 °F` tries a value: everything that depends on it follows, and the record stays \
as it is until `keep`. `drop` lets the trial go. On the command line `--set NAME=VALUE` does the same.",
        example: "",
    },
];
