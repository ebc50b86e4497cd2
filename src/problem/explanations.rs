//! The long explanation of every problem code, with a wrong and a mended example.
//!
//! Each explanation says why the thing is a problem, what may have been meant
//! and what to do, in words that need no other page. `wrong` is the smallest
//! worksheet that has this problem and no other; `mended` is the same with
//! nothing wrong. Both run as tests. Start reading at [`EXPLANATIONS`].

use super::Code;

/// What `help CODE` tells.
#[derive(Clone, Copy, Debug)]
pub struct Explanation {
    /// The code explained.
    pub code: Code,
    /// Why this is a problem, in whole sentences; an empty line parts paragraphs.
    pub text: &'static str,
    /// A small worksheet that has the problem; empty where files or sheer size are needed.
    pub wrong: &'static str,
    /// The same, mended.
    pub mended: &'static str,
}

const fn explained(code: Code, text: &'static str, wrong: &'static str, mended: &'static str) -> Explanation {
    Explanation {
        code,
        text,
        wrong,
        mended,
    }
}

/// For what only files, a save or a very long line can show.
const fn told(code: Code, text: &'static str) -> Explanation {
    explained(code, text, "", "")
}

/// The explanation of a code.
pub fn explanation(code: Code) -> Option<&'static Explanation> {
    EXPLANATIONS.iter().find(|explanation| explanation.code == code)
}

/// Every explanation, in the order of [`Code::ALL`].
pub const EXPLANATIONS: &[Explanation] = &[
    // reading a line
    explained(
        Code::Unreadable,
        "The line starts well and then something stands where the language expects something else: \
a second value without an operator, a sign that is not used here, a missing value after `+`. Only this line \
is left out; the rest of the worksheet is still worked out.\n\n\
Look at the marked place. Most often an operator or a quote is missing just before it, or a sign from another \
program was used: `=` compares here (not two of them), `<>` means unequal, `^` raises to a power.",
        "worked half = 6 lb ** 2\n",
        "worked half = 6 lb * 2\n",
    ),
    explained(
        Code::UnknownOpening,
        "Every line of a worksheet begins with a word that says what it is: `measured`, `quoted` and `assumed` for \
inputs, `worked` and `answer` for what is calculated, and `expect`, `table`, `case`, `rule`, `plot`, `use`. Notes for a \
reader begin with `>`, headings with `#`, comments with two dashes. This line begins with none of them.\n\n\
Put the word in front that tells how the value is known. A weight read off a scale is `measured`, a figure from a \
label is `quoted`, a guess is `assumed`.",
        "gross = 37.4 lb\n",
        "measured gross = 37.4 lb\n",
    ),
    explained(
        Code::LineEnd,
        "A sign stands inside a line that other programs take for the end of one: a carriage return alone (U+000D), \
U+0085, U+2028 or U+2029. A worksheet's lines end with LF or CRLF, so what stands behind the sign would be read as one line \
with what stands before it, and a check behind a heading would be a part of the heading.\n\n\
Save the file with LF or CRLF as line ends; each editor has a choice for that.",
        "# Ridge\rmeasured gross = 37 lb\n",
        "# Ridge\nmeasured gross = 37 lb\n",
    ),
    explained(
        Code::OpenParenthesis,
        "A parenthesis or bracket is opened and never closed. An entry goes on over the following lines while a \
parenthesis is open, so the reading stops at an empty line or at the next line that opens an entry, and the \
parenthesis itself is marked.\n\n\
Count the parentheses of the marked one's line and close it.",
        "worked fuel = (37.4 lb - 17.6 lb\n",
        "worked fuel = (37.4 lb - 17.6 lb)\n",
    ),
    explained(
        Code::OpenText,
        "A text begins with a double quote and its line ends before the closing quote. A text never goes on over a \
line's end, so that one forgotten quote can't swallow the lines below.\n\n\
Close it on the same line. A quote inside a text is written \\\".",
        "measured gross = 37.4 lb from \"hanging scale\n",
        "measured gross = 37.4 lb from \"hanging scale\"\n",
    ),
    explained(
        Code::BadEscape,
        "Inside a text a backslash announces a special character, and only four are known: \\\" for a quote, \\\\ for \
a backslash, \\n for a new line, and \\u{2212} for a character by its number.\n\n\
Write two backslashes where one was meant, as in the name of a folder.",
        "quoted manual = \"sheets\\page 4\"\n",
        "quoted manual = \"sheets\\\\page 4\"\n",
    ),
    explained(
        Code::NumberFormat,
        "The number is written in a way that people read in two ways. `3,000` is three thousand to one reader and \
three to another, and `.5` loses its point on a bad photocopy. A number here has a point with a digit on each \
side, and may have underscores between its digits.\n\n\
Write `3_000` for three thousand and `0.5` for a half.",
        "assumed bill = $3,000\n",
        "assumed bill = $3_000\n",
    ),
    explained(
        Code::NumberSize,
        "Numbers are kept exactly, with up to 28 digits, between 1e-28 and 7.9e28. This one has more digits or lies \
outside. It is never rounded silently.\n\n\
Use a larger or smaller unit, or round the number yourself.",
        "assumed odd = 1e29 lb\n",
        "assumed odd = 1e28 lb\n",
    ),
    explained(
        Code::UnknownUnit,
        "A word that stands right after a number, or inside brackets, is read as its unit, and there is no unit of \
this name. Capitals count: `kW` is a kilowatt. `tarebook units` lists them all.\n\n\
If the word is the name of an entry, put the sign for multiplying between: `2 * rate`.",
        "measured gross = 37.4 pounds\n",
        "measured gross = 37.4 lb\n",
    ),
    explained(
        Code::UnitFormat,
        "A unit made of others has at most one slash, so that nobody has to ask what is below it. A product below the slash stands in parentheses, joined by a raised dot or an asterisk.\n\n\
`60 BTU/h/ft2` is written `60 BTU/(h·ft2)`. Empty brackets are a unit that was forgotten.",
        "assumed flux = 60 BTU/h/ft2\n",
        "assumed flux = 60 BTU/(h·ft2)\n",
    ),
    explained(
        Code::TwoReadings,
        "People read this spelling in two ways. Is `1/2 h` half an hour, or one per two hours? Does `12 ft^2` mean \
twelve square feet, or twelve feet squared, which is 144? The worksheet asks instead of guessing.\n\n\
A unit binds to its number more tightly than any sign. Write `0.5 h`, or `1 / (2 h)`; write `12 ft2`, or \
`(12 ft)^2`. With a space on each side a slash always divides.",
        "assumed pause = 1/2 h\n",
        "assumed pause = 0.5 h\n",
    ),
    explained(
        Code::TolerancePlace,
        "A tolerance says how far an input may be off, so it stands once, at the end of the value of an input, a \
case line, a trial or a table cell, and belongs to the whole value. Inside a formula nobody could tell later \
what was uncertain, and it would have no name to be told by.\n\n\
Give the uncertain value a line of its own and use its name in the formula.",
        "worked fuel = 37.4 lb - 17.6 lb ± 0.2 lb\n",
        "assumed tare = 17.6 lb ± 0.2 lb\nworked fuel = 37.4 lb - tare\n",
    ),
    explained(
        Code::ToleranceFormat,
        "The tolerance can't be read, or it can be read in two ways. `40 ± 5 %` may mean 35 to 45 percent, or forty, \
give or take a twentieth. Beside a plain number neither is the obvious one.\n\n\
Write `40 % ± 5 %` for percentage points, `40 ± 2` for a twentieth of forty, `2 lb ± 4 %` for a share of a \
weight. `sd` after the tolerance makes it a standard uncertainty, `k=2` an expanded one.",
        "assumed share = 40 ± 5 %\n",
        "assumed share = 40 % ± 5 %\n",
    ),
    explained(
        Code::CompoundFormat,
        "A value in two units, such as `2 h 40 min` or `12 lb 6 oz`, goes from the larger unit to the smaller; all but \
the last number are whole, and each is less than one of the unit before it. Anything else is more likely a slip.\n\n\
Carry over what is too much: `2 h 90 min` is `3 h 30 min`. Or write it in one unit.",
        "measured run = 2 h 90 min\n",
        "measured run = 3 h 30 min\n",
    ),
    explained(
        Code::TimeFormat,
        "Digits, a colon and digits are always a clock time, from `00:00` to `23:59:59`, minutes and seconds with two \
digits, or of twelve hours with am or pm behind it; four digits, two and two with dashes and no spaces are always a date. \
There is no such time or date.\n\n\
A length of time is written with units: `24 h 10 min`.",
        "measured start = 13:40 pm\n",
        "measured start = 1:40 pm\n",
    ),
    explained(
        Code::NestedTooDeep,
        "Parentheses, signs and conditions stand inside one another more than 64 deep. No reader could check such a \
line, and no tool should have to.\n\n\
Give the inner part a line of its own with a name that says what it is, and use the name.",
        "worked deep = (((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((1 lb\
)))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))\n",
        "worked deep = 1 lb\n",
    ),
    told(
        Code::TooLong,
        "An entry or a row is longer than 64 KiB, or has more operators than anybody can check. Most often a closing \
parenthesis is missing and the entry has taken in the lines below, or a whole file was pasted into one line.\n\n\
Split the entry and name its parts. Many rows of readings belong in a table, best read from a file with \
`table log = csv(\"log.csv\")`.",
    ),
    explained(
        Code::DoubleDash,
        "Two dashes open a comment, but only at the start of a line or after a space, and before a space. Two dashes \
that touch a value can be meant as a remark or as two signs.\n\n\
Put a space after the dashes for a comment, or a space between them for two signs: `a - -b`.",
        "measured gross = 37.4 lb --hose off\n",
        "measured gross = 37.4 lb -- hose off\n",
    ),
    explained(
        Code::PowerChain,
        "A power of a power is read from the left by some people and from the right by others, and the results differ \
widely: 2 to the 3 to the 2 is 64 or 512.\n\n\
Say which with parentheses.",
        "worked grown = 2^3^2\n",
        "worked grown = 2^(3^2)\n",
    ),
    explained(
        Code::ComparisonChain,
        "Comparisons chain in one direction, as on a number line: `10 % <= margin <= 200 %`. A chain that turns back, \
or that says unequal twice, does not say how its ends compare.\n\n\
Split it in two, joined with `and`.",
        "assumed air = 24 °F\nexpect 0 °F < air > 10 °F\n",
        "assumed air = 24 °F\nexpect 0 °F < air and air > 10 °F\n",
    ),
    explained(
        Code::MissingElse,
        "An `if` chooses between two values, and here the second is missing. There is no silent zero: every case has \
to have a value of the same kind.\n\n\
Say what holds otherwise: `if … then … else …`.",
        "assumed night = true\nworked load = if night then 540 W\n",
        "assumed night = true\nworked load = if night then 540 W else 900 W\n",
    ),
    explained(
        Code::ReservedWord,
        "The words that lines begin with, and a few more such as `from`, `note`, `over`, `where`, `if` and `and`, \
belong to the language. An entry, table, case or rule can't have one of them as its name. As a column's heading or \
an argument's label they are fine.\n\n\
Pick another name, or add a word to it.",
        "measured case = 37.4 lb\n",
        "measured case_weight = 37.4 lb\n",
    ),
    explained(
        Code::BlankNeedsUnit,
        "A question mark stands for a value that is not yet known. So that everything that uses it can be checked \
today, it has to say its unit.\n\n\
Write the unit in brackets after the name. What depends on the value then waits for it without complaint.",
        "measured gross = ?\n",
        "measured gross [lb] = ?\n",
    ),
    explained(
        Code::RaggedRow,
        "A row of a table has more or fewer cells than the table has headings, so some cell would stand under the \
wrong heading.\n\n\
Count the bars. A missing value is an empty cell between its bars, and a bar inside a cell is written \\|.",
        "table loads\n  | item | running [W] |\n  | fan  | 540 | 11 |\n",
        "table loads\n  | item | running [W] |\n  | fan  | 540         |\n",
    ),
    explained(
        Code::StrayRow,
        "A line between bars is a row, and rows belong to the `table` line above them. Here there is none above, or \
something else stands in between, so nobody can tell which table the row is for.\n\n\
Put a `table NAME` line above the rows. Comments and empty lines may stand between rows, other entries not.",
        "  | item | running [W] |\n",
        "table loads\n  | item | running [W] |\n  | fan  | 540         |\n",
    ),
    explained(
        Code::StrayLine,
        "Lines that are set in from the margin belong to the `case` above them. This one has no case above it.\n\n\
Put the case's line above it, or, if it is an entry of its own, move it to the margin.",
        "assumed air = 24 °F\n  air = -5 °F\n",
        "assumed air = 24 °F\ncase cold\n  air = -5 °F\n",
    ),
    explained(
        Code::HeadingName,
        "A column is used by its heading, as in `loads.running`, so the heading has to be a name: letters, digits and \
underscores, not beginning with a digit, with its unit in brackets after it.\n\n\
Shorten the heading, or join its words with underscores.",
        "table loads\n  | item | running watts [W] |\n  | fan  | 540               |\n",
        "table loads\n  | item | running [W] |\n  | fan  | 540         |\n",
    ),
    explained(
        Code::UnreadableCell,
        "The heading of this column has a unit, so every cell below it is a quantity: a number, which takes the \
heading's unit, or a number with a unit of the same kind. This cell is neither. Leaving it out in silence would \
make every sum wrong.\n\n\
Mend the cell, or leave it empty if the value is missing.",
        "table loads\n  | item | running [W] |\n  | fan  | much        |\n",
        "table loads\n  | item | running [W] |\n  | fan  | 540         |\n",
    ),
    explained(
        Code::RepeatedColumn,
        "Two columns of the table have the same heading, so a formula that uses the heading could mean either. The \
first counts.\n\n\
Give one of them another heading.",
        "table loads\n  | item | running [W] | running [W] |\n  | fan  | 540         | 1300        |\n",
        "table loads\n  | item | running [W] | starting [W] |\n  | fan  | 540         | 1300         |\n",
    ),
    // names
    explained(
        Code::RepeatedName,
        "Two lines give a value to the same name. Entries, tables and rules share one set of names, cases have \
their own. The first counts and the second is the problem, so that a line added below never changes an answer in \
silence.\n\n\
Rename or remove one of them. For the same quantity under other conditions use a `case`.",
        "measured gross = 37.4 lb\nmeasured gross = 36.1 lb\n",
        "measured gross = 37.4 lb\nmeasured gross_later = 36.1 lb\n",
    ),
    explained(
        Code::UnknownName,
        "The formula uses a name that no line of this worksheet defines. Capitals count, and the line that defines a \
name may stand above or below. A rule sees only its own parameters.\n\n\
Check the spelling, or add the missing line. A unit without a number is read as a name too: write `1 lb`.",
        "measured gross = 37.4 lb\nworked fuel = gross - tare\n",
        "measured gross = 37.4 lb\nquoted tare = 17.9 lb\nworked fuel = gross - tare\n",
    ),
    explained(
        Code::UnknownColumn,
        "A point joins a table's name and the heading of one of its columns. The table is there, and it has no column \
of this heading.\n\n\
Check the heading in the table's first row. A heading that is no name leaves its column out.",
        "table log\n  | gross [lb] |\n  | 37.4       |\nworked least = min(log.weight)\n",
        "table log\n  | gross [lb] |\n  | 37.4       |\nworked least = min(log.gross)\n",
    ),
    explained(
        Code::UnknownFunction,
        "A name right before a parenthesis is a function's or a rule's, and there is none of this name. \
`tarebook functions` lists them all, `tarebook functions WORD` those that have to do with a word.\n\n\
Check the spelling. To multiply by a parenthesis, write the sign: `2 * (a + b)`.",
        "worked fuel = net_content(37.4 lb, 17.6 lb)\n",
        "worked fuel = net_contents(37.4 lb, 17.6 lb)\n",
    ),
    explained(
        Code::Loop,
        "These entries need each other: to know the first the worksheet needs the last, and to know the last it needs \
the first. Nothing can start.\n\n\
Make one of them an input, or work it out from something else. `aim` finds the input that gives a wanted \
answer: `aim hours = 8 h varying rate`.",
        "worked rate = fuel / 8 h\nworked fuel = rate * 8 h\n",
        "assumed fuel = 20 lb\nworked rate = fuel / 8 h\n",
    ),
    explained(
        Code::NotConstant,
        "A `measured`, `quoted` or `assumed` line is something known from outside: a constant, with at most some \
arithmetic on plain values. This one uses another entry or a function, so it is calculated, and an auditor who counts what was \
weighed and what was guessed would be misled.\n\n\
Make the line `worked`.",
        "measured gross = 37.4 lb\nmeasured fuel = gross - 17.6 lb\n",
        "measured gross = 37.4 lb\nworked fuel = gross - 17.6 lb\n",
    ),
    explained(
        Code::CaseTarget,
        "A case is the same worksheet with some inputs replaced. Formulas, tables and checks stay as they are, so that \
the case and the base can be compared line by line. This line of the case replaces something that is calculated, \
or puts no value in its place.\n\n\
Replace the inputs that the value is worked out from.",
        "assumed price = $4/gal\nworked week = price * 20 gal\ncase costly\n  week = $99\n",
        "assumed price = $4/gal\nworked week = price * 20 gal\ncase costly\n  price = $5/gal\n",
    ),
    // kinds and units
    explained(
        Code::UnitClash,
        "Two quantities meet whose units measure different things, such as pounds and hours. Adding or comparing them \
has no meaning, so no number is given. Both sides are named with their units and the lines they come from.\n\n\
Most often a rate stands where an amount was meant, or a multiplication by hours is missing. Follow the units: \
pounds per hour times hours are pounds.",
        "worked left = 20 lb - 1.4 lb/h\n",
        "worked left = 20 lb - 1.4 lb/h * 8 h\n",
    ),
    explained(
        Code::KindClash,
        "A text, a truth value, a time of day or a plain quantity stands where another kind is needed. A text has no \
sum, and a check needs something that is true or false.\n\n\
Look at what the marked piece is and at what the place wants. Digits with a colon are a time of day; a length of \
time is written with units, `9 h 40 min`.",
        "worked wait = 09:40 + \"later\"\n",
        "worked wait = 09:40 + 20 min\n",
    ),
    explained(
        Code::BareNumber,
        "A plain number stands where a quantity with a unit is needed. Nobody can tell whether 68 means degrees \
Fahrenheit or Celsius, or whether 20 means pounds, and a wrong guess would look just like a right answer.\n\n\
Write the unit after the number.",
        "worked fuel = net_contents(37.4, 17.6 lb)\n",
        "worked fuel = net_contents(37.4 lb, 17.6 lb)\n",
    ),
    explained(
        Code::PointArithmetic,
        "Degrees on a thermometer, pressures on a gauge and times of day are points on a scale whose zero is only a \
convention. The difference of two points has a meaning, and a point moves by a difference; a sum of two points, or \
twice a point, has none: twice 30 °F is not 60 °F in any sense that physics knows.\n\n\
For the middle of two points use `mean(a, b)`. A difference is written in `F°`, `C°` or `psi`. For the distance \
from absolute zero use `absolute(…)`.",
        "assumed night = 20 °F\nassumed day = 34 °F\nworked middle = (night + day) / 2\n",
        "assumed night = 20 °F\nassumed day = 34 °F\nworked middle = mean(night, day)\n",
    ),
    explained(
        Code::LevelArithmetic,
        "Sound levels in decibels are logarithms: two sets of 70 dB side by side give 73 dB, not 140. Adding, \
averaging or doubling levels as plain numbers has no meaning.\n\n\
Add levels by their energy with `sound_sum(…)`. A level may move by a difference, such as a fence's −8 dB, which \
is an input with a sign. A number of up to 20 dB beside a level is taken for a difference, `level + 3 dB`; a larger \
one could be a second level, so that it is asked for: `sound_sum(level, 60 dB)`, or `level + (60 dB - 0 dB)`.",
        "assumed ours = 70 dB\nassumed theirs = 70 dB\nworked both = ours + theirs\n",
        "assumed ours = 70 dB\nassumed theirs = 70 dB\nworked both = sound_sum(ours, theirs)\n",
    ),
    explained(
        Code::PowerFactor,
        "Watts tell the work that is done and the fuel that is burned; volt-amperes tell what the wires and the \
windings carry. They are equal only for heaters, old lamps and direct current. The ratio of the two, the power \
factor, has to be said. Volts times amperes are volt-amperes, and watts over volts are no amperes.\n\n\
Multiply the volt-amperes by a power factor in watts per volt-ampere: `1500 VA * 0.8 W/VA` is 1200 W, and of a \
heater `12.5 A * 120 V * 1 W/VA` is 1500 W.",
        "worked total = 540 W + 1500 VA\n",
        "worked total = 540 W + 1500 VA * 0.8 W/VA\n",
    ),
    explained(
        Code::CurrencyClash,
        "Two currencies meet, and the worksheet knows no rate of exchange: it changes by the day and depends on who \
changes the money.\n\n\
Put the rate in as an input of its own, with its source, and multiply by it.",
        "worked bill = $20 + €10\n",
        "assumed exchange = 1.1 $/€\nworked bill = $20 + €10 * exchange\n",
    ),
    explained(
        Code::PowerUnit,
        "A power or a root would give a unit that does not exist, or one that depends on a value, or one with too \
many parts to write. An exponent has no unit itself, and a quantity with a unit needs a plain number as exponent, so \
that its unit is known before anything is calculated.\n\n\
Take a root only where the unit has one, such as that of square feet; divide by a unit first to get a plain \
number.",
        "worked odd = (20 lb)^(2 h)\n",
        "worked odd = (20 lb)^2\n",
    ),
    explained(
        Code::PercentOfPoint,
        "A percentage is a share of something counted from nothing. A temperature in °F, a gauge pressure, a time of \
day and a sound level count from a zero that is only a convention, so a share of one has no meaning: 5 % of 40 °F is not 5 % of 4.4 °C.\n\n\
Give the tolerance in the scale's own degrees: `24 °F ± 3 °F`.",
        "assumed air = 24 °F ± 5 %\n",
        "assumed air = 24 °F ± 3 °F\n",
    ),
    explained(
        Code::ColumnOrValue,
        "A whole column stands where one value is needed, or one value where a column is needed. A formula \
with a column works row by row and gives a column again; only a reduction makes one value of it.\n\n\
Say which one is meant: `sum`, `mean`, `min`, `max`, `first`, `last` or `count` of the column.",
        "worked peak = starting_peak(540 W, 1300 W)\n",
        "table loads\n  | running [W] | starting [W] |\n  | 540         | 1300         |\n\
worked peak = starting_peak(loads.running, loads.starting)\n",
    ),
    explained(
        Code::ColumnLength,
        "Two columns work together row by row, and these have different numbers of rows. Which row belongs to which \
can't be told, so nothing is worked out. Both lengths are named.\n\n\
Use columns of one table. If rows were kept with `where`, keep the same rows on both sides.",
        "table a\n  | x |\n  | 1 |\n  | 2 |\ntable b\n  | y |\n  | 1 |\nworked both = a.x + b.y\n",
        "table a\n  | x | y |\n  | 1 | 1 |\n  | 2 | 3 |\nworked both = a.x + a.y\n",
    ),
    explained(
        Code::RowsDiffer,
        "Columns of two tables work together row by row: the first row of one with the first row of the other. Both tables \
have texts that tell their rows apart, and in one row the texts differ, so the weight of one cylinder would meet the tare \
of another. The row and both texts are named.\n\n\
Put the columns into one table, or the rows of both tables into one order. Where a table has no texts, nothing can tell, and a caution says so.",
        "table stock\n  | id | gross [lb] |\n  | A  | 38         |\n  | B  | 31         |\n\
table shells\n  | id | tare [lb] |\n  | B  | 17        |\n  | A  | 18        |\nworked net = stock.gross - shells.tare\n",
        "table stock\n  | id | gross [lb] |\n  | A  | 38         |\n  | B  | 31         |\n\
table shells\n  | id | tare [lb] |\n  | A  | 18        |\n  | B  | 17        |\nworked net = stock.gross - shells.tare\n",
    ),
    // calls
    explained(
        Code::ArgumentCount,
        "The function or rule is given more values than it takes, or one that it needs is missing. What a function \
takes, in which unit and what it takes by itself when nothing is said, `tarebook help NAME` tells.\n\n\
A value that a person should decide has no default: a hidden assumption is what a worksheet is there to avoid.",
        "worked fuel = net_contents(37.4 lb)\n",
        "worked fuel = net_contents(37.4 lb, 17.6 lb)\n",
    ),
    explained(
        Code::ArgumentName,
        "A label before a colon says which parameter a value is for. The function has no parameter of this name, or \
the value was given twice, or a value without a label stands after one with a label.\n\n\
`tarebook help NAME` lists the parameters. Values without labels come first, in the order of the list.",
        "worked fuel = net_contents(gross: 37.4 lb, empty: 17.6 lb)\n",
        "worked fuel = net_contents(gross: 37.4 lb, tare: 17.6 lb)\n",
    ),
    explained(
        Code::ArgumentWord,
        "The parameter takes one word of a short list, in quotes, and this word is not on it; or the two words given \
have no value together. The message shows what there is.\n\n\
Where a choice matters, such as gasoline with or without ethanol, the shorter word is not taken: pick one.",
        "worked heat = heat_per_gallon(\"gasoline\")\n",
        "worked heat = heat_per_gallon(\"gasoline E10\")\n",
    ),
    explained(
        Code::RuleLoop,
        "A rule calls itself, directly or through another rule. Rules are put in place where they are called, so one \
that calls itself would never end.\n\n\
Write the calculation in steps, or work on a column with `sum`, `running_total` or `interpolate`.",
        "rule twice(x [lb]) [lb] = twice(x)\nworked fuel = twice(20 lb)\n",
        "rule twice(x [lb]) [lb] = 2 * x\nworked fuel = twice(20 lb)\n",
    ),
    explained(
        Code::RuleSize,
        "Rules are put in place where they are called. Rules that call others several times each, many levels deep, \
grow into more than anybody could check, and here they grow beyond the limit.\n\n\
Give the steps between names of their own with `worked` lines: each is then worked out once.",
        "rule r1(x) = x + x\nrule r2(x) = r1(x) + r1(x)\nrule r3(x) = r2(x) + r2(x)\nrule r4(x) = r3(x) + r3(x)\n\
rule r5(x) = r4(x) + r4(x)\nrule r6(x) = r5(x) + r5(x)\nrule r7(x) = r6(x) + r6(x)\nrule r8(x) = r7(x) + r7(x)\n\
rule r9(x) = r8(x) + r8(x)\nrule r10(x) = r9(x) + r9(x)\nrule r11(x) = r10(x) + r10(x)\nrule r12(x) = r11(x) + r11(x)\n\
rule r13(x) = r12(x) + r12(x)\nrule r14(x) = r13(x) + r13(x)\nworked huge = r14(1)\n",
        "rule r1(x) = x + x\nrule r2(x) = r1(x) + r1(x)\nworked huge = r2(1)\n",
    ),
    // running
    explained(
        Code::DivisionByZero,
        "Something is divided by zero, or zero is raised to a power below zero, and that has no result. The values that met are shown. Often an input is still \
zero, or two readings that should differ are equal.\n\n\
Mend the input, or say what holds in that case: `if hours > 0 h then fuel / hours else 0 lb/h`.",
        "assumed hours = 0 h\nworked rate = 6 lb / hours\n",
        "assumed hours = 4 h\nworked rate = 6 lb / hours\n",
    ),
    explained(
        Code::TooLarge,
        "The result is beyond 7.9e28, the largest number that is kept. No quantity of a household is that large, so a \
factor or an exponent is likely wrong, or the unit is very small for the amount.\n\n\
Check the exponents, or use a larger unit.",
        "assumed base = 10\nworked far = base^40\n",
        "assumed base = 10\nworked far = base^20\n",
    ),
    explained(
        Code::TooSmall,
        "The result is not zero, but too small to be kept with enough digits. It is never turned into zero in \
silence.\n\n\
Use a smaller unit, so that the number itself is larger.",
        "assumed step = 1e-20 m\nworked area = step * step\n",
        "assumed step = 1e-11 nm\nworked area = step * step\n",
    ),
    explained(
        Code::NegativeRoot,
        "The root of a negative number has no value that could be measured. Most often two values were subtracted the wrong way around.\n\n\
Look at the value shown and at what it was worked out from.",
        "assumed drop = -4\nworked size = sqrt(drop)\n",
        "assumed drop = 4\nworked size = sqrt(drop)\n",
    ),
    explained(
        Code::LogarithmDomain,
        "A logarithm is there for numbers above zero only. The value shown is zero or less.\n\n\
Look at what it was worked out from: often a ratio was meant and a difference was taken.",
        "assumed ratio = 0\nworked bels = log10(ratio)\n",
        "assumed ratio = 100\nworked bels = log10(ratio)\n",
    ),
    explained(
        Code::OutsideRange,
        "A function of the trade rests on a source: a table, a standard, a measured line. The value lies outside of \
what the source covers, or it is one that can't be, such as a diameter of zero. The message names the limit and \
its source. A number beyond it would look as sure as the others and not be so.\n\n\
Check the value and its unit. Where another function covers it the help names it.",
        "worked pressure = propane_pressure(200 °F)\n",
        "worked pressure = propane_pressure(70 °F)\n",
    ),
    explained(
        Code::CannotSettle,
        "A cylinder settles at the temperature at which as much heat flows in through its wetted wall as the boiling \
takes. Here even at −49 °F (−45 °C), where the fits for propane end, more heat leaves than flows in: drawn at this \
rate the liquid cools on and on, and the pressure is gone long before the cylinder is empty.\n\n\
`draw_down` works out how long it lasts and what ends it. For a cylinder that holds out, draw less, share the draw \
between cylinders, start fuller, or stand it where air moves. Never put a flame, torch, heater blast or engine \
exhaust on a cylinder.",
        "worked liquid = equilibrium_temperature(5 lb/h, 8 lb, 12 in, 10 °F, 7 W/(m2·C°))\n",
        "worked liquid = equilibrium_temperature(0.5 lb/h, 8 lb, 12 in, 10 °F, 7 W/(m2·C°))\n",
    ),
    explained(
        Code::Overheats,
        "A cylinder must stay under 120 °F: its pressure rises with every degree, and a full one runs out of room for \
its liquid. Here so much heat flows in that it settles above that, or nowhere at all up to 122 °F (50 °C), where the \
fits for propane end.\n\n\
Check `extra_heat` and its unit, and the temperature of the air. Never put a flame, torch, heater blast or engine \
exhaust on a cylinder, and don't wrap, box or bury it; keep it in the shade. A cylinder that gets too cold needs moving air, a smaller draw or a second cylinder, not heat.",
        "worked liquid = equilibrium_temperature(1 lb/h, 8 lb, 12 in, 60 °F, 7 W/(m2·C°), extra_heat: 400 W)\n",
        "worked liquid = equilibrium_temperature(1 lb/h, 8 lb, 12 in, 60 °F, 7 W/(m2·C°), extra_heat: 40 W)\n",
    ),
    told(
        Code::OutOfTime,
        "A run, which is a worksheet worked out, its uncertainties, or a study, may take 10 seconds. Here they were up, so \
that what is marked has no value, and what comes behind it waits for it. Most often a table has far more rows than \
anybody will read, many tables are made, or very many draws or values are asked for. A worksheet that came from somebody \
else may also have been made to keep the program busy.\n\n\
Give it more time with `--time-limit 60` behind the verb on the command line, `tarebook open ridge.tare --time-limit 60` for a \
session; or let it work out less: a longer `every`, a shorter `limit`, fewer draws. Nothing that was typed is lost.",
    ),
    told(
        Code::TableSize,
        "A table is larger than a worksheet may hold. A table has at most 1000 columns and 1 000 000 rows, all tables that \
are written or read from files together at most 5 000 000 cells, and all columns that are worked out, those of made tables \
among them, at most 4 000 000 cells.\n\n\
Keep one row a minute in place of one a second, leave out columns that nothing uses, or give a table that a function makes \
a longer `every`.",
    ),
    explained(
        Code::EmptyColumn,
        "A mean, a least, a largest, a first or a last is asked of a column with nothing left in it, or a line is to \
be fitted to fewer readings than it needs. `sum` and `count` of nothing are zero; the others have no value.\n\n\
Check the condition after `where`, and whether the cells are filled.",
        "table loads\n  | running [W] | leg |\n  | 540         | A   |\nworked most = max(loads.running where loads.running > 2 kW)\n",
        "table loads\n  | running [W] | leg |\n  | 540         | A   |\nworked most = max(loads.running where loads.running > 500 W)\n",
    ),
    explained(
        Code::TimeOrder,
        "Times run backwards. A clock time minus a later one may be of the next day or a slip, and nobody can tell which. \
In a column of clock times a step back of more than twelve hours is taken as midnight; a smaller one is marked with its \
row. A range of hours that ends before it begins, `22:00 <= clock(x) < 06:00`, has no time in it. And what changes with \
time in one draw-down counts from its own first row, so that all of it has to begin together.\n\n\
Take the first such hour after the other, `next_time(stop, after: start) - start`, write dates with the times, \
`2026-01-11 21:40`, or put the rows in order. Hours around midnight are `clock(x) >= 22:00 or clock(x) < 06:00`.",
        "measured start = 21:40\nmeasured stop = 06:10\nworked run = stop - start\n",
        "measured start = 21:40\nmeasured stop = 06:10\nworked run = next_time(stop, after: start) - start\n",
    ),
    explained(
        Code::WhichDay,
        "A clock time on a wall is of any day, and what was counted on from another may be past midnight: 05:00 after a \
start at 21:00 is the next day's, and whether it comes before a bare `06:00` nobody can tell. Two times that were counted \
from one beginning, an entry or a column, stand in order, and so does that beginning. Everything else is asked for its \
day: a bare clock time, and one that was counted from elsewhere.\n\n\
`next_time(06:00, after: start)` is the first such hour after a time. `06:00 (+1 d)` says how many midnights lie between, \
counted from the day of the beginning. `clock(x)` gives the hour on the wall, for rows of a night: \
`where clock(log.time) < 07:00`. Beside a column of dates, `at(log.day, log.time)` joins the two.",
        "measured start = 21:00\nassumed lasts = 8 h\nworked dead = start + lasts\nexpect dead >= 06:00\n",
        "measured start = 21:00\nassumed lasts = 8 h\nworked dead = start + lasts\nexpect dead >= next_time(06:00, after: start)\n",
    ),
    explained(
        Code::NoSuchText,
        "A column is compared with a text that none of its rows has, or with other capitals, so that the comparison \
holds for no row, and a sum over such rows would be a silent zero. The days that `weekday` gives are \"Monday\" to \
\"Sunday\".\n\n\
Write the text as the column has it; capitals count.",
        "table loads\n  | running [W] | leg |\n  | 540         | A   |\nworked most = sum(loads.running where loads.leg = \"a\")\n",
        "table loads\n  | running [W] | leg |\n  | 540         | A   |\nworked most = sum(loads.running where loads.leg = \"A\")\n",
    ),
    explained(
        Code::NoSuchRow,
        "A cell is taken by what its row is called, `loads.hours of \"pump\"`, and no row of the table is called so, or \
two are, so that nobody can tell which is meant. Rows are called by the first column of texts, or where there is none by \
the first column of any kind; capitals count, and times and numbers are compared to the last digit. A bare clock time calls \
the row that shows it on the wall.\n\n\
Write it as the table has it, or take the row by its number: `loads.hours of row 2`.",
        "table loads\n  | item | hours [h] |\n  | pump | 4         |\nworked pumped = loads.hours of \"Pump\"\n",
        "table loads\n  | item | hours [h] |\n  | pump | 4         |\nworked pumped = loads.hours of \"pump\"\n",
    ),
    // files
    told(
        Code::FileMissing,
        "The worksheet reads a table from a file, and the file isn't there or can't be opened. A path counts from the \
folder that the worksheet is in; from standard input, from the folder that the command was given in.\n\n\
Check the name, its capitals and the folder: `table log = csv(\"ridge-run.csv\")`. What does not depend on the \
table is worked out all the same.",
    ),
    told(
        Code::FileOutside,
        "A worksheet reads files from its own folder and the folders inside it only, so that one which somebody sent \
you can't look at the rest of your files. Paths that begin with a slash or climb out with two dots are not \
followed.\n\n\
Copy the file beside the worksheet.",
    ),
    told(
        Code::FileMalformed,
        "The file isn't a table as expected: a row has more or fewer cells than the headings, or a cell can't be \
read. File, row and column are named. A good file looks like this:\n\n    time,gross [lb]\n    21:40,37.4\n    22:10,36.7\n\n\
A cell that can't be read would make every sum wrong, so the table is not used until it is mended. \
`csv(\"run.csv\", skip_unread: true)` still counts the other rows.",
    ),
    told(
        Code::FileTooLong,
        "The file is larger than what a worksheet reads. A household's log of a whole winter at one row a minute fits \
well below the limit, so this is likely another file, or one written every second.\n\n\
Split the file, or keep one row a minute.",
    ),
    told(
        Code::UseLoop,
        "A worksheet rests on another with `use`, and that one, by way of others or at once, on the first again. Then no \
value of theirs could be worked out before the other.\n\n\
Take one of the `use` lines out. What both need goes into a third worksheet that uses neither: a register of the \
cylinders, a list of prices.",
    ),
    told(
        Code::UsedFile,
        "A worksheet that this one rests on with `use` has problems of its own. They are told where they are: \
`tarebook check` with that file's name. Values that they touch have none here either, and what rests on such a value \
waits; all else is worked out.\n\n\
Mend the other worksheet; `reload` reads it again.",
    ),
    told(
        Code::NotUtf8,
        "The file is not written in UTF-8, the encoding that every current editor writes, so signs such as ° or ± would \
be read wrongly, and with them the numbers beside them.\n\n\
Open it in an editor or spreadsheet and save it as UTF-8.",
    ),
    told(
        Code::ChangedOnDisk,
        "Somebody, or another program, has changed the worksheet's file since it was read here. Saving now would \
overwrite that change.\n\n\
Type `reload` to take the file as it is now, which lets go of what was changed here, or `save as FILE` to keep both.",
    ),
    // lints
    told(
        Code::ColumnLeftOut,
        "A file has a column whose heading is no name, such as `gross (lb)`, so no formula can use the column. It is left out, and \
everything else works. A good heading is a name with its unit in brackets:\n\n    time,gross [lb],note\n\n\
Change the heading in the file if the column is needed.",
    ),
    told(
        Code::RowsLeftOut,
        "A table says `skip_unread: true`, and some rows of its file can't be read, such as `about 38`, `35,5` or a weight \
among hours. They are left out whole, and everything that is worked out goes without them. That may be meant; it may also \
hide the one reading that would have changed the answer, so it is always said, with the first such row.\n\n\
Look at the row in the file. Mend it there, or leave it out of the file and say so beside the table.",
    ),
    told(
        Code::QuotedLines,
        "A cell of a file begins with a quote, and its closing quote stands on a later line. That is allowed, and a long \
note may be written so. But a stray quote at the start of a cell takes everything up to the next quote for one cell, and \
the rows in between are gone: a run then has fewer readings, and nothing else shows it.\n\n\
Look at the lines named. Take a stray quote away; a quote that belongs to the text is written twice inside quotes.",
    ),
    explained(
        Code::NameIsUnit,
        "An entry has the name of a unit. Nothing is wrong with that: a unit only ever stands right after a number or \
inside brackets. But a reader who meets `h` in a formula may take it for hours.\n\n\
A longer name says more.",
        "assumed h = 14 h\n",
        "assumed night = 14 h\n",
    ),
    explained(
        Code::NameIsFunction,
        "An entry has the name of a function. Nothing is wrong with that: a function's name only ever stands before a \
parenthesis. But a reader may take one for the other.\n\n\
Another name says which one is meant.",
        "worked fill_limit = fill_limit(47.6 lb)\n",
        "worked most_fuel = fill_limit(47.6 lb)\n",
    ),
    explained(
        Code::NameIsVerb,
        "An entry has the name of a word of the interactive session, such as `keep`. There the word comes first, so \
`keep` keeps the trials and does not show the entry.\n\n\
Type the name in parentheses, `(keep)`, to see its value, or pick another name.",
        "assumed keep = 6 lb\n",
        "assumed kept_back = 6 lb\n",
    ),
    explained(
        Code::LookAlike,
        "Two names can't be told apart by looking: they differ by letters that are drawn alike, such as a Latin and a \
Cyrillic o, or `l`, `I` and `1`. They are two names all the same, and a formula uses one of them; whoever reads it may take it for the other.\n\n\
Give one of them another name. Which letters look alike is told by Unicode Technical Standard #39.",
        "measured t1 = 20 °F\nmeasured tl = 30 °F\n",
        "measured t_inside = 20 °F\nmeasured t_outside = 30 °F\n",
    ),
    explained(
        Code::MixedScripts,
        "A name has letters of several scripts, one of which is drawn like a letter of another: a Cyrillic о among Latin \
letters. Somebody who types the name as it looks types another one.\n\n\
Write the name with the letters of one script. The place of the letter is marked.",
        "measured gr\u{43e}ss = 37 lb\n",
        "measured gross = 37 lb\n",
    ),
    explained(
        Code::TurnedWriting,
        "A sign that doesn't show turns the direction of writing, so that what is read here need not be what stands here. \
Texts in Arabic or Hebrew can need such a sign; in any other it hides something.\n\n\
Take the sign out, or read the line in an editor that shows such signs.",
        "> Swap at 7 lb\u{202e}, not before.\n",
        "> Swap at 7 lb, not before.\n",
    ),
];
