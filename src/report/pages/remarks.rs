//! The remarks of audits, explained by their codes.
//!
//! Cautions that an audit repeats are explained with the cautions. Start reading
//! at [`REMARKS`].

use super::super::layout::Layout;
use super::super::style::Style;

/// A remark of audits: its code, what it says in one line, and the whole story.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct RemarkHelp {
    /// The code word.
    pub code: &'static str,
    /// What it says, in one line.
    pub summary: &'static str,
    /// Why it is asked, what may be meant, what to do.
    pub text: &'static str,
}

const fn remark(code: &'static str, summary: &'static str, text: &'static str) -> RemarkHelp {
    RemarkHelp { code, summary, text }
}

/// Every remark of audits, the heaviest first.
pub static REMARKS: [RemarkHelp; 61] = [
    remark(
        "has-problem",
        "the line can't be read or worked out",
        "The text begins with the code of the problem, which `help` explains as well. What rests on the line has no \
value and is left out of the audit, so mend it and audit again: an audit of half a worksheet says nothing about the \
other half.",
    ),
    remark(
        "without-value",
        "an answer waits for something, so nothing moves it",
        "It isn't wrong in itself: what it waits for is named with its line. Until that has a value, nobody can say what \
the answer hangs on.",
    ),
    remark(
        "left-blank",
        "a value is left open with `?`",
        "A form that is to be filled in may have blanks; a claim may not. Fill it in, or try a value for it on trial.",
    ),
    remark(
        "outside-usual",
        "a value lies outside what such a quantity comes to",
        "What a line is, is read off its unit and its words, and held against the range that the trade has for it, \
whatever the unit it is written in. Where the value would lie inside once it is multiplied or divided by a known ratio, \
such as 2.2046 pounds in a kilogram, that is named: most slips of units are out by one of these.",
    ),
    remark(
        "odd-conversion",
        "a conversion is written as a number that isn't it, or where units convert by themselves",
        "Every number here has its unit, and units convert by themselves: a bare 2.2046 converts once too often, and a \
3214 BTU/kWh is no conversion. Write the quantity in the unit that it has.",
    ),
    remark(
        "odd-burn",
        "what is burnt gives more or less electricity than small sets do",
        "The load over the net heat of what is burnt for it, however the burn was put together. Small sets give 3 to \
30 %, 20 % at a good load (common practice). Above that look for a heat by the kilogram used by the pound, watts of \
another load, a claim from an advertisement; below it for a load far under the rating, or hours taken for minutes.",
    ),
    remark(
        "fill-by-volume",
        "about 80 % is taken of a weight of water",
        "80 % is the most that may be filled by volume, at a certain temperature. Water capacity is a weight, and the law \
allows 42 % of it in propane (49 CFR 173.304a, from memory). See fill_limit.",
    ),
    remark(
        "more-than-full",
        "there is more in the cylinder than it may hold",
        "More than 42 % of the water capacity: overfilled, or hose, regulator or another tare in the weighing. An \
overfilled cylinder has no room for the liquid to expand: stand clear and have the supplier bleed it.",
    ),
    remark(
        "other-cylinder",
        "a tare is taken off the weighing of another cylinder",
        "By the names and sources of both lines. Shells of one size differ by a pound and more.",
    ),
    remark(
        "hose-at-one",
        "hose and regulator hung on the scale at one of two weighings",
        "By what their sources say. What hung there at one of them alone counts as fuel: 1 to 3 lb (common practice). \
Weigh both alike, or say at which it hung: attached.",
    ),
    remark(
        "hose-as-fuel",
        "hose and regulator are counted as propane",
        "By the line or the text before it, the cylinder was weighed with hose and regulator on; the stamped tare is that \
of shell and valve. Weigh them apart, and take them off.",
    ),
    remark(
        "counted-twice",
        "something is taken off, or multiplied in, twice",
        "A reserve that is off already, an efficiency that is in already, one line further up. Keep one of them.",
    ),
    remark(
        "there-and-back",
        "the length of a cord counts one way, or twice over",
        "Current flows through both wires. A voltage drop takes the length twice; voltage_drop does so by itself.",
    ),
    remark(
        "other-than-said",
        "a value isn't what its own line says",
        "Its source names clock times, a stamp or days that come to another number. One of the two was read or typed wrong, \
or something else was put in with it.",
    ),
    remark(
        "other-quantity",
        "another quantity stands for the one that is meant",
        "A felt temperature for the air's, wind at a mast for that at the cylinder, a sound power for a level at a distance, \
what a plate would make for what was made.",
    ),
    remark(
        "level-sum",
        "sound levels are put together in another way than by energy",
        "Two alike are 3 dB louder than one. A background is read with the set off: see sound_sum.",
    ),
    remark(
        "turned-over",
        "a share stands on the wrong side of the stroke, or is a share of something else",
        "Fuel is what is needed over efficiency and heat; a margin of the price divides; a share is a part of the whole.",
    ),
    remark(
        "crossed-over",
        "two pairs of values are crossed, by their names",
        "What is by day goes with the hours of the day. Units agree either way, so nothing else tells.",
    ),
    remark(
        "other-row",
        "another row of a table is taken than the line says",
        "A table that goes by date has its oldest row first: see last.",
    ),
    remark(
        "mean-of-ratios",
        "a plain mean of ratios stands for the ratio of sums",
        "Four receipts count alike, though half of the pounds are on one of them. Divide the sum of what was paid by the sum \
of the pounds.",
    ),
    remark(
        "other-hours",
        "energy of a shorter time is spread over a day",
        "What runs in a night, over the hours of the night, is the mean load while it runs. Over 24 h it is less, and goes \
on to be multiplied by the night's hours.",
    ),
    remark(
        "on-top-of-tolerance",
        "a margin stands on top of values that have a ±",
        "What values may be out by is told by their ±, and carried to the answer. A factor on top counts it once more, \
and nobody can tell any longer how sure the answer is. Compare the answer less its ± with what is needed, or use at_least.",
    ),
    remark(
        "other-coverage",
        "a source tells another coverage than the ± is taken for",
        "An expanded uncertainty with k=2 is twice a standard one: write `k=2` or `sd` as the certificate has it.",
    ),
    remark(
        "other-share",
        "a share doesn't go with how many share",
        "Half of the draw goes from each of two cylinders, a quarter from each of four. Divide by the count, and both \
follow together.",
    ),
    remark(
        "peak-for-mean",
        "the most that is drawn is carried on as if it lasted",
        "What the set must start and carry is the peak; what fuel goes by is the mean over the hours.",
    ),
    remark(
        "start-on-top",
        "starting watts are added to all that runs",
        "Starting watts are all that a motor takes while it starts. What it takes running is in the sum already. See \
starting_peak.",
    ),
    remark(
        "rests-twice",
        "a mean over the day is multiplied by hours of use",
        "A plug-in meter left on for a day tells a mean, which knows of the hours of rest. Times the hours of use they \
count twice. Take the mean and 24 hours, or the watts while it runs and its hours.",
    ),
    remark(
        "shared-input",
        "two results that share an input are asked whether they agree",
        "They agree in what they share, whatever it is, so agreement says nothing about it.",
    ),
    remark(
        "other-unit",
        "the source has the number with another unit",
        "A forecast of minus 6 degrees Celsius typed as −6 °F, 36 kg typed as 36 lb. Write the unit that the source has: \
units convert by themselves.",
    ),
    remark(
        "loads-swapped",
        "a rate is said to be weighed at the load of the house and carried to that of the run",
        "rescale_rate takes the load that the rate was weighed at as at_load, and the one it is wanted for as to_load.",
    ),
    remark(
        "left-out-of-sum",
        "a cylinder was weighed and counts in no answer, beside one that does",
        "It may be a spare that is left out on purpose; then say so. Else a sum lacks it.",
    ),
    remark(
        "other-rating",
        "the rating is that of another fuel, or of starting",
        "Sets are rated lower on propane than on gasoline, and what they carry for hours is less than what they start. \
The nameplate has each; 13 % less was taken to see.",
    ),
    remark(
        "one-short",
        "a count of what must be there is rounded down",
        "Seven and a half cylinders are eight. What must be there is rounded up, or the last night is one short: see round_up.",
    ),
    remark(
        "heat-as-power",
        "the heat of the fuel is taken for electricity",
        "Pounds times a heating value are heat. Small sets give 8 to 25 % of it as electricity (common practice); a fifth \
was taken to see.",
    ),
    remark(
        "other-gallon",
        "a price by the gallon goes with the density of another temperature",
        "Propane is sold by the gallon at 60 °F, whatever the day is like. A cold gallon is heavier, and nobody is paid \
for that.",
    ),
    remark(
        "check-fails",
        "a check does not hold",
        "The writer said what has to be true, and it is not. Either a value is wrong, or the plan, or the \
check; the `else` text says what the writer would do.",
    ),
    remark(
        "check-undecided",
        "a check is undecided",
        "What it compares has no value, or only a range of it is known, since a draw-down had not ended at its `limit`. A check that is undecided protects nobody, so treat it as one that fails.",
    ),
    remark(
        "mixed-heat",
        "gross heat in one place and net heat in another, for one fuel",
        "Gross counts the heat of the steam in the exhaust, net does not. For propane they are 8 % apart, and efficiency \
from the one with fuel from the other makes those 8 % out of nothing. Either will do, in every place the same; \
capacity rules, prices per heat and emission factors are gross.",
    ),
    remark(
        "check-close",
        "a check holds, but could go either way",
        "Its limit lies within the uncertainty of what is compared. A plan shouldn't rest on it: measure better, or \
leave more room.",
    ),
    remark(
        "check-untested",
        "a check on values whose ± only draws can tell",
        "What comes from a table that a function made can change its course inside a tolerance, from empty to stalled, \
and no ± stands beside it. Try the ends of the tolerances as trials or cases and see whether the check still holds.",
    ),
    remark(
        "check-idle",
        "a check that comes out the same whatever the values are",
        "Both sides are the same text, as in `fuel = fuel`, or no side names anything of the worksheet, as in `2 > 1`. It \
passes however wrong a value is, and so protects nobody. Compare the value with a limit, or with a second way to work it \
out.",
    ),
    remark(
        "two-heats",
        "one fuel's heat counted by the pound here and by the gallon there",
        "The published heat per pound times any density of propane doesn't give the published heat per gallon: 21 548 \
BTU/lb at 4.20 lb/gal is 1.1 % below 91 502 BTU/gal, at 4.2285 lb/gal 0.4 %. Nothing is wrong with either; a \
comparison that takes both carries that difference. Go one way throughout.",
    ),
    remark(
        "in-proportion",
        "fuel scaled in plain proportion with the load",
        "Half the load does not burn half the fuel. The engine turns, cools itself and excites its field whatever hangs \
on it, and burns 30 to 60 % of its rated burn with no load at all (published for small sets). Scaled down in proportion, a runtime comes out too long, often by a third. One efficiency for all loads is the same slip. \
`rescale_rate` goes along the straight fuel line; better still, weigh a run near the load. Inverter sets that change \
speed follow no straight line.\n\n\
It is seen where a rate, an amount of fuel or a runtime has one load above the slash and another below it, over \
however many lines and rules; where a load is divided by an efficiency that was put in as one number; where a rate is \
multiplied by a bare number below 0.9 or from 1.5 up, or by an entry that calls itself a load; and where a call gets a \
`no_load_share` of 0.",
    ),
    remark(
        "no-draw-down",
        "a runtime by weight, with nothing that says whether the cylinder keeps up",
        "Weight over rate says when a cylinder is empty. It cools while it boils, and in the cold it may lose the \
pressure that the regulator needs with half its gas left. So every runtime by weight stands beside the \
`draw_down_time` of the same cylinder, and the shorter one counts.",
    ),
    remark(
        "taken-as-full",
        "a cylinder taken to be as full as its name says",
        "A 20-lb cylinder is named for what it may hold. Exchange racks commonly sell 15 lb in it, and the net weight \
stands in small print on the sleeve. Weigh it and take off the tare on the collar, or quote the sleeve.\n\n\
It is said of weights of exactly 20, 30, 40 or 100 lb that are quoted or assumed, with or without a ±, in a line that \
speaks of exchange or cylinders: a ± about the full weight still takes the cylinder to be full.",
    ),
    remark(
        "unusual-value",
        "a value outside what is usual for what it is given to",
        "It may be right: ranges say what portable sets, cylinders and households usually are, not what can be. But a \
slip in a digit, a unit or a column looks just like this, so look at it again. The source of the range stands with it.",
    ),
    remark(
        "rule-of-thumb",
        "an answer rests on a rule that may itself be off",
        "The ± beside an answer comes from its values alone. A rule of thumb has an error of its own that no weighing \
makes smaller. Leave room for it, or ask another way: `draw_down` is worked out from heat and wall.",
    ),
    remark(
        "no-source",
        "nothing says where a value comes from",
        "A reader can't ask the scale, the plate or the supplier if nobody says which it was. Write `from \"…\"` behind \
it; for a guess say what it is guessed from.",
    ),
    remark(
        "no-tolerance",
        "a value without ± that moves an answer by more than 3 %",
        "Without a ± it counts as exact, and the answer looks surer than it is. Say how far it may be off: half a step \
of the display, what the maker says, the range you would bet on. What is counted in `each` may do without.",
    ),
    remark(
        "claims-exact",
        "a ± of zero, or one under 0.1 % of the value",
        "A ± of zero says nothing and silences the question how far a value may be off; so the audit counts it as none. \
A very small one does much the same: portable scales, meters and gauges are good for 0.1 % at best. Say how far it may really be off, or name the instrument. It isn't said of counts, of whole numbers without a unit such as wire gauges, and \
a small one not of times.",
    ),
    remark(
        "one-instrument",
        "an answer rests on several readings of one instrument, each with a ± of its own",
        "Each ± counts as independent: that is right for how well a display is read and how steadily a cylinder hangs. \
What the instrument is off by as a whole, its zero and its adjustment, is the same in every reading. In a difference of \
two weights it cancels, so the ± of the difference is too wide; in a sum or a mean it stays, and the ± is too small. \
Give each reading the ± of reading alone, and put how far the instrument may be off into an entry of its own that is \
added to each: `assumed scale_out = 0 lb ± 0.3 lb`.\n\n\
It is said once for each instrument, at its last reading: of measured values with a ±, of one kind, whose sources are \
the same up to the first comma.",
    ),
    remark(
        "tolerance-lost",
        "a value has a ± and moves an answer, whose own ± takes no account of it",
        "Uncertainty goes through a formula by its slopes. A rounding, a count, a threshold in an `if` and a table that \
a function makes have steps in place of slopes, and there it ends. The answer's ± is then too small, or missing. Try \
both ends of the value as cases.",
    ),
    remark(
        "number-in-formula",
        "numbers inside a formula, with no name and no source",
        "A number that stands in a formula can't be varied, has no source and no ±, and is easily overlooked; half of \
all slips sit there. Give it a line of its own. 0, 1, a bare 2, exponents, steps of rounding, and the hours of a day, \
the minutes of an hour and all of 100 % aren't listed. Where an \
answer rests on the formula it stands among the guesses, by itself or by way of a rule, though nothing moves it.",
    ),
    remark(
        "unused",
        "nothing uses a line",
        "It may be left over, or a formula may use another where this one is meant. Look for what should use it, or \
take it out.",
    ),
    remark(
        "one-end",
        "moved one way the value meets a problem",
        "At that end something can't be worked out, so the move the other way alone counts. If the end is within what \
the value may be, the plan has no answer there.",
    ),
    remark(
        "no-end",
        "moved either way the value meets a problem",
        "So nobody can say how far it moves the answers. It is often a number that only takes certain values, such as a \
wire gauge. Try other values of it as cases.",
    ),
    remark(
        "zero-value",
        "a value of 0 without ±",
        "10 % of nothing is nothing, so it was not moved, and may hide the largest slip of all: what was left out. Give \
it a ±, such as `0 lb ± 1 lb`.",
    ),
    remark(
        "zero-answer",
        "an answer of 0",
        "No change can be told as a part of nothing. Its moves are told in its unit, and have no number in the machine \
formats.",
    ),
    remark(
        "no-true-zero",
        "an answer on a scale whose zero is only agreed on",
        "20 °F is not twice 10 °F, and a tenth of nine o'clock is nothing. Moves of temperatures, gauge pressures, \
levels, times and moments are told in their unit, and have no number in the machine formats. To put lines in \
order 9 F°, 10 kPa, 3 dB and 1 h count as a tenth.",
    ),
    remark(
        "no-number",
        "an answer that is no single number",
        "Columns, texts, truth values and what is only known within a range can't be moved by a part of themselves. They are left out of the moves; trials \
and cases show how they change.",
    ),
    remark(
        "not-tried",
        "the audit was stopped before this value",
        "Its moves aren't known, and what is said to decide the answers is said without it. Audit again and let it end.",
    ),
];

/// The remark of that code.
pub(super) fn remark_help(code: &str) -> Option<&'static RemarkHelp> {
    REMARKS.iter().find(|remark| remark.code == code)
}

/// A remark of audits: what it says, and the whole story.
pub(super) fn remark_page(remark: &RemarkHelp, style: Style) -> String {
    let mut page = Layout::new(style);
    page.heading(&format!("{}: a remark of audits", remark.code));
    page.prose(&super::sentence(remark.summary));
    page.gap();
    page.prose(remark.text);
    page.into_text()
}
