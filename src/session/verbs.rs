//! The verbs, declared once for the command line and the interactive session.
//!
//! Help, completion, the list of arguments and the remark on names that are also
//! verbs read this one list. Start reading at [`VERBS`].

use crate::report::pages::VerbHelp;

/// A verb: what it is called, how it is typed in each shell, what it does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Verb {
    /// The word.
    pub name: &'static str,
    /// How it is typed on the command line, where it is one there.
    pub command: Option<&'static str>,
    /// How it is typed in the interactive session, where it is one there.
    pub typed: Option<&'static str>,
    /// What it does, in one line.
    pub summary: &'static str,
    /// The whole story, in sentences; an empty line parts paragraphs, and what
    /// is set in by four spaces is a sample.
    pub detail: &'static str,
}

/// Every verb, in the order of help.
pub const VERBS: &[Verb] = &[
    Verb {
        name: "open",
        command: Some("tarebook open FILE [--time-limit N] [--plain]"),
        typed: None,
        summary: "opens a worksheet in the interactive session",
        detail: "In the session an expression shows its value, `NAME = value` tries one without touching the record, and \
a whole entry changes the record. `help` there lists the verbs. Of lines that are pasted, a block of entries, headings and \
prose is put in as one step, all of it or nothing; others are answered one by one. Where there is no FILE yet, it begins an empty worksheet of \
that name, and says so; nothing is written until `save`.\n\n\
What isn't saved is kept in a journal beside the worksheet, `.FILE.unsaved`, and is on the disk before it is answered. \
After a session that broke off `open` says what there is, and asks: `take up` goes on with all of it, `discard` removes \
it, `later` leaves it where it is. Where somebody changed the worksheet meanwhile, `write` puts what it would have become \
into a file beside it. Where the folder can't be written, the journal stands in the user's folder for state; where it can't \
stand there either, that is said.\n\n\
With something other than a terminal as its input, the session reads its lines from there, prints no prompt and takes \
nothing up; what it changed and didn't save is kept and offered like any other work. \
With `--plain` it draws charts with plain ASCII characters, as `plain` does in the session. \
`tarebook` alone opens the built-in worksheet.",
    },
    Verb {
        name: "page",
        command: Some("tarebook page FILE [--port N] [--class] [--time-limit N]"),
        typed: None,
        summary: "shows a worksheet in a browser, to work with: answers in sight, inputs as fields",
        detail: "It prints an address and answers there until Ctrl-C. On the page the answers stay in sight with checks \
and dangers; inputs are fields and sliders, and what is typed or slid is a trial, as in the session: what moved is marked, `keep` puts it into \
the record, `drop` lets it go, `save` writes the file. Cases are buttons, cells of tables are fields, a reading is put in below \
its table; at the bottom any line of the session can be typed. When an editor saves the file the page follows. With `?wall` \
behind the address it shows title, answers and the first chart, large enough for a wall.\n\n\
Only this machine is answered, and only who knows the address; nothing is fetched from elsewhere. With `--class` pupils in the \
same network come in at an address that ends in six letters: each says a name and has trials of their own, nothing that they do \
is written, and the page of its holder shows who tried what and which checks hold, with `marks.csv` to save. `--port` asks for a port, else a free \
one is taken. What is not saved is kept in a journal, as `open` does. It ends with 2 where the file can't be read or the port is taken.\n\n    \
tarebook page ridge.tare",
    },
    Verb {
        name: "show",
        command: Some(
            "tarebook show FILE [SECTION] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N] [--plain]",
        ),
        typed: Some("show [SECTION]"),
        summary: "the answers, the checks in doubt, and the dangers on one screen",
        detail: "`show all` is the whole worksheet, section by section, with every caution in full. \
SECTION is a heading of the worksheet, or its beginning; `answers`, `checks` and `cautions` are \
sections too, and a name shows that entry. In the session `show checks` numbers the checks, as `edit` and `remove` \
call them. The other formats have the whole worksheet always.\n\n\
On the command line `--case` works a scenario out, and each `--set` holds a value over an entry, as a trial does. \
FORMAT is `text`, `markdown`, `html`, `json` or `csv`; `--digits` is how many significant digits calculated numbers get (4), \
and `--plain` draws charts with plain ASCII characters. \
Problems go to standard error. It ends with 0 where all is well, with 1 where the worksheet has problems, and with 2 \
where the file can't be read.\n\n    \
tarebook show ridge.tare --case deep_cold --set \"air=-5 °F\"",
    },
    Verb {
        name: "check",
        command: Some("tarebook check FILE... [--format FORMAT] [--time-limit N]"),
        typed: Some("check"),
        summary: "problems and checks only",
        detail: "Every `expect` line with whether it holds, and every problem drawn at its line.\n\n\
On the command line it takes several files, and ends with 0 where all is well, with 1 where a worksheet has problems, \
with 2 where a file can't be read, and with 3 where there is no problem but a check doesn't hold or is \
undecided. FORMAT is `text` or `json`; `json` gives an array with one object a file.",
    },
    Verb {
        name: "why",
        command: Some(
            "tarebook why FILE NAME [all] [--depth N] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N]",
        ),
        typed: Some("why NAME [all | depth N]"),
        summary: "how a value was worked out, down to the inputs and their sources",
        detail: "The value, the formula, the same with values put in, what was converted on the way, the rules of the trade it \
rests on with their sources; and what it used, each in a line or two. `all` goes down to every input, each step whole, \
and shows how a line through weighings was found; `depth N` goes N levels down. NAME is an entry, or a table that a \
function makes.\n\n\
FORMAT is `text`, `markdown`, `html`, `json` or `csv`. On the command line it ends with 2 where there is nothing of that \
name.\n\n    \
tarebook why ridge.tare runtime all",
    },
    Verb {
        name: "doubt",
        command: Some(
            "tarebook doubt FILE NAME [all] [--draws N] [--seed S] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N] [--plain]",
        ),
        typed: Some("doubt NAME [draws N] [seed S] [all]"),
        summary: "how sure a value is, and which inputs make it unsure",
        detail: "The uncertainty budget after JCGM 100: for each input with a tolerance its standard uncertainty, how \
far the value moves for one unit of it, what that puts into the result, and its share of the variance, the greatest \
first. Then the combined uncertainty, with its degrees of freedom where there are few. The scatter of a weighed run \
about its line is one of the inputs. What has no tolerance is named too: it is taken as exact, and a guess without one \
is a hole in the budget. A rule of thumb that may itself be off is told beside the figures, not in them. On a terminal \
the greatest sources are told; `all` has every one, and a histogram of the draws.\n\n\
`draws` works the worksheet out so many times, from 100 to 10 000 000, with its inputs drawn (JCGM 101): plain limits \
evenly, `sd` and `k=2` normally, what has degrees of freedom and the scatter of a line like Student's t. It gives mean, \
standard deviation and the interval that holds 95 % of the draws. `seed`, a whole number, begins other draws; \
the same seed gives the same ones again, and each input has its own, whatever else changes. A draw that meets a problem \
is left out; above 1 in 1000 the figures are withheld. Unasked, some draws are made to see whether the worksheet bends \
too much for a straight line, and shown where it does, or where only draws can tell. The rows of a column, the first 24, are \
drawn together. On a terminal Ctrl-C stops long \
drawing with what it has; `--plain` draws the histogram with plain ASCII characters. FORMAT is `text`, `markdown`, `html`, `json` or `csv`. On the \
command line it ends with 2 where there is no such entry.\n\n    \
doubt runtime\n    \
tarebook doubt ridge.tare runtime --draws 100000 --seed 7",
    },
    Verb {
        name: "compare",
        command: Some(
            "tarebook compare FILE [all] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N]",
        ),
        typed: Some("compare [all]"),
        summary: "the answers side by side over the cases, and which checks flip",
        detail: "Every answer in the base and in every case, each with its difference from the base in its unit and in percent; which inputs a case replaces; the checks that come out otherwise, and the problems and cautions that come \
up in it alone. Trials stand in all of them, also where a case has a value of its own. The case in hand stays in \
hand. On a terminal a row for each case and the checks that flip come first; `all` tells everything.\n\n\
On the command line each `--set` is worked out in the base, or in the case that `--case` names. FORMAT is `text`, \
`markdown`, `html`, `json` or `csv`. In `json` and `csv` a change is a number in the answer's unit; texts, truth values and \
times have none. It ends with 1 where the base or any case has problems.\n\n    \
tarebook compare ridge.tare --set \"rate=1.6 lb/h\"",
    },
    Verb {
        name: "audit",
        command: Some(
            "tarebook audit FILE [against FILE] [all] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N]",
        ),
        typed: Some("audit [against FILE] [all]"),
        summary: "somebody else's worksheet line by line, worst first, and what decides each answer",
        detail: "Each value is moved up and down, alone, over its own ± (its limits, or k=2); where it has none by 10 %, \
temperatures by 9 F°, gauge pressures by 10 % of the absolute pressure, clock times and moments by 1 h, levels by 3 dB. \
The larger of the two moves of an answer counts, as a part of the answer. The rows of a column move together. Texts and \
truth values can't be moved.\n\n\
Beside that it says what an auditor would ask: values without a source or a ±, numbers hidden in formulas, lines that \
nothing uses, values outside what is usual, fuel in plain proportion with load, runtimes by weight alone, checks that \
fail or are undecided. Each remark has a code, and `help CODE` explains it. It works on the case and the trials in hand, \
and the worksheet stays as it is. On a terminal likely slips and what is wrong come first; `all` goes line by line.\n\n\
`against FILE` holds it against another worksheet of the same thing, made by somebody else: which of its lines the \
other would question, the one that makes most of the answers' difference first, with its part of it as `diff` shares it \
out. Values are apart where they differ by more than the ± of both allow.\n\n\
FORMAT is `text`, `markdown`, `html`, `json` or `csv`. It ends with 1 where the worksheet has problems, whatever the audit \
says.\n\n    \
tarebook audit claim.tare",
    },
    Verb {
        name: "leeway",
        command: Some(
            "tarebook leeway FILE [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N]",
        ),
        typed: Some("leeway"),
        summary: "which check is nearest to its limit, and how far each is from it",
        detail: "Of each check that compares two values by size, how far they are apart in the unit of the left side, and as a \
part of the limit, which is the right side; the least part first. Below zero the check is past its limit. Where it says so, \
the values may be off by more than that. Checks of columns, and those for being equal, have no one distance, and are named.\n\n\
FORMAT is `text`, `markdown`, `html`, `json` or `csv`. It ends with 1 where the worksheet has problems.\n\n    \
tarebook leeway ridge.tare --case deep_cold",
    },
    Verb {
        name: "sweep",
        command: Some(
            "tarebook sweep FILE INPUT [all] --from A --to B (--step S | --values N) [--by INPUT --by-from A --by-to B (--by-step S | --by-values N)] [--plot ANSWER] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N] [--plain]",
        ),
        typed: Some(
            "sweep INPUT from A to B (step S | values N) [by INPUT from A to B (step S | values N)] [plot ANSWER] [all]",
        ),
        summary: "the answers over the values of one input, and where checks turn",
        detail: "A, B and S are values as the input takes, in any unit of that kind; a step is an interval, so \
`step 5 °F` counts as 5 F°. `values 9` gives nine values, both ends among them; 10 000 are the most. Each value is held \
exactly, on the case and the trials in hand, and the worksheet stays as it is.\n\n\
What is worked out may be swept too: it is replaced as a trial does. With `by` and a second input each answer is a table of \
two ways, each value with its ±; 1000 pairs are the most.\n\n\
Where the two sides of a check meet, the place is worked out to 12 digits, whatever the step. `plot ANSWER` draws that answer \
with the limits of its checks, `all` draws every one; `--plain` draws with plain ASCII characters. FORMAT is `text`, `markdown`, `html`, \
`json` or `csv`.\n\n    \
sweep air from -20 °F to 60 °F step 10 °F plot margin\n    \
sweep load from 500 W to 2 kW step 500 W by air from 0 °F to 40 °F step 20 °F\n    \
tarebook sweep ridge.tare air --from \"-20 °F\" --to \"60 °F\" --values 9",
    },
    Verb {
        name: "aim",
        command: Some(
            "tarebook aim FILE ANSWER=VALUE --varying INPUT [--between A B] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N]",
        ),
        typed: Some("aim ANSWER = VALUE varying INPUT [between A and B]"),
        summary: "the value of an input that gives an answer a wanted value",
        detail: "It looks at 201 places of the interval and nearer to where the answer has no value or steps, and tells one or \
several values, each to 12 digits, or that the answer is flat: the same whatever the input is. An answer that steps over \
the value without taking it, as a rounded count does, is told as a step. Where an answer stays at the value for a stretch, \
both ends of the stretch are told. That no value gives it is said only where what the answer can be shows it; else none \
was found at the places looked at.\n\n\
Without `between` the interval is what is usual for the function that takes the input; where nothing is, it begins at \
the value in hand and widens, up to ten thousand times. FORMAT is `text`, `markdown`, `html`, `json` or `csv`.\n\n    \
aim margin = 100 % varying air between -20 °F and 60 °F\n    \
tarebook aim ridge.tare \"margin=100 %\" --varying air --between \"-20 °F\" \"60 °F\"",
    },
    Verb {
        name: "diff",
        command: Some(
            "tarebook diff FILE FILE [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N] [--time-limit N]",
        ),
        typed: Some("diff FILE"),
        summary: "two worksheets by meaning, and what each difference does to the answers",
        detail: "Inputs, formulas, rules, tables, checks and cases that differ; the order of lines, spacing, labels \
and prose don't count, nor do 20 lb and 9.07184740 kg. What has another name and otherwise means and is used for the \
same is told as renamed. Then each answer in both, its difference, and how much of it each of the things that differ \
accounts for.\n\n\
A part is what its difference adds when it is taken over into the first worksheet, averaged over all orders in which \
that can be done, so that the parts make up the whole. Beyond eight for one answer they are taken over one after \
another, in the order of the file.\n\n\
In the session what is in hand, with its case and its trials, is the first. On the command line `--case` and `--set` \
are of both worksheets; `-` for one of the two reads standard input. FORMAT is `text`, `markdown`, `html`, `json` or `csv`. \
It ends with 0 whether or not they differ, with 1 where either has problems.\n\n    \
tarebook diff claim.tare claim-corrected.tare",
    },
    Verb {
        name: "handout",
        command: Some(
            "tarebook handout FILE [-o OUT.html] [--card | --pupil | --key] [--case NAME] [--set NAME=VALUE]... [--digits N] [--time-limit N]",
        ),
        typed: Some("handout OUT.html [card | pupil | key]"),
        summary: "the worksheet as one page to print, read and hand on",
        detail: "One HTML file that loads nothing and runs nothing: the answers first, then the worksheet from top to bottom \
with its formulas laid out, values put in, tables, charts, the cases side by side, cautions in full, numbered sources, and \
what the numbers do not cover. It prints on Letter and A4. The page names the case and the trials that it was made with.\n\n\
`--card` is one page to hang on the set: answers, clock times to get up at, checks that fail or may, dangers, what to do \
when it stalls.\n\n\
`--pupil` is to be filled in: the example stands worked, and each exercise has its question, its label in quotes, with room \
to work. An exercise is an assumed blank that a check asks for; where there is none, all that is worked out is left open. \
`--key` is the rest, in a file of its own.\n\n\
OUT.html may be new, or a handout made before, which is replaced; nothing else is ever written over. On the command line the \
page goes to standard output without `-o`, unless that is a terminal. It ends with 1 where the worksheet has problems; the \
page is made all the same, and tells them.\n\n    \
tarebook handout ridge.tare -o ridge.html\n    \
tarebook handout ridge.tare --card -o card.html",
    },
    Verb {
        name: "plot",
        command: None,
        typed: Some("plot COLUMN over COLUMN [by COLUMN] [from zero] [\"TITLE\"]"),
        summary: "draws one column over another",
        detail: "A column is `table.column`, an entry that holds one, or what is worked out of columns. It is drawn for the \
case and the trials in hand, with a band where the readings carry `±`, with the limits that checks set it, and with the \
straight line that an entry fits through both. `by` parts the rows into sets. Over a column of texts it draws a bar for each.\n\n\
Nothing is recorded; `keep plot` adds the chart drawn last to the record.\n\n    \
plot night.temperature over night.time \"One cylinder through the night\"",
    },
    Verb {
        name: "plain",
        command: None,
        typed: Some("plain [off]"),
        summary: "draws charts with plain ASCII characters",
        detail: "For a terminal that has no dots and blocks, or for copying. `plain off` goes back. On the command line \
`open`, `show` and `sweep` take `--plain`.",
    },
    Verb {
        name: "case",
        command: None,
        typed: Some("case [NAME | base | NAME \"title\"]"),
        summary: "switches to a scenario, or opens a new one",
        detail: "`case deep_cold` works everything out with that case's values in place; `case base` goes back. \
`case` alone lists them. `case NAME \"title\"` opens a new case; its lines, `NAME = value`, are asked for up to an \
empty one.",
    },
    Verb {
        name: "add",
        command: Some("tarebook add FILE [TABLE] [COLUMN] CELL…"),
        typed: Some("add [TABLE] [COLUMN] CELL, CELL…"),
        summary: "puts a reading into a table, and says what it changes",
        detail: "Cells go by the names of their columns, `add run gross 30.7 lb, hose on`, or in their order, `add run 30.7, on`; \
commas part them, on the command line the arguments do. A time that leads the table takes the clock where it isn't given; \
what else is left out is missing. Units are those of the headings where none is typed. With one table that has a time and a \
weight its name may be left out. A row goes where its time puts it, whole or not at all, and `undo` takes it out.\n\n\
The reply says which row it is, which answers moved, and whether it lies on the line through the readings before it that \
have the same words beside them. One that was misread is mended with `run.gross of 12:10 = 30.6 lb` and `keep`, or taken \
out with `remove run of 12:10`.\n\n\
In the session the row is in the record at once, and in the file, also a CSV that the table is read from, with `save`; \
the command writes it at once, and is refused while a session has the worksheet in hand.\n\n    \
add run gross 30.7 lb, hose on\n    \
tarebook add my-run.tare run gross 30.7 hose on",
    },
    Verb {
        name: "trials",
        command: None,
        typed: Some("trials"),
        summary: "the values on trial, with what they were before",
        detail: "A trial is typed `NAME = value`. The right side is worked out once from what stands now, so \
`air = air - 10 F°` works. The entry holds that value, even where it is calculated, and the record stays as it is. \
A comparison goes in parentheses: `(fuel = 20 lb)`. One cell of a table is tried as `run.gross of 12:10 = 30.6 lb`, or by its \
row, `run.gross of row 2 = 30.6 lb`.",
    },
    Verb {
        name: "keep",
        command: None,
        typed: Some("keep | keep as case NAME \"title\" | keep plot"),
        summary: "puts the trials into the record, or into a new case; or the last plot",
        detail: "A cell of a table is put into its row, with the `±` that it had. In the base `keep` fills in what is `?`, which stays what it is, with its source; over a value it writes an \
`assumed` line and leaves the old line above it as a comment. In a case it writes that case's line. `keep as case` makes a new case of the trials and what the case in hand holds, and switches \
to it. A case replaces inputs only, so a trial on a calculated entry can't go into one. \
`keep plot` adds the chart drawn last, as a `plot` line.",
    },
    Verb {
        name: "drop",
        command: None,
        typed: Some("drop [NAME | CELL]"),
        summary: "lets go of one trial, or of all",
        detail: "What rests on it goes back to the record; `undo` brings it back.",
    },
    Verb {
        name: "undo",
        command: None,
        typed: Some("undo"),
        summary: "takes back the last step, whatever it was",
        detail: "Trials, edits, switches of the case, even `reload`: each is one step. Saving is none. The last 1000 steps \
are kept.",
    },
    Verb {
        name: "redo",
        command: None,
        typed: Some("redo"),
        summary: "does again what was undone",
        detail: "Only right after `undo`: with the next change there is nothing left to do again.",
    },
    Verb {
        name: "edit",
        command: None,
        typed: Some("edit NAME | edit check N"),
        summary: "brings an entry's line up to be changed",
        detail: "The line comes up in the input line; Enter puts it into the record, an empty line leaves it as it was. \
Alt-Enter begins a new line, in a table a new row; `add` puts a row in without bringing the table up. \
A whole entry typed at once, such as `measured gross = 44.1 lb ± 0.05 lb`, changes or adds that line too.\n\n\
A check has no name: `edit check 2` brings the second up, in the order in which `show checks` numbers them; \
`edit check runtime` the one whose condition begins so. A plot is called in the same way, `edit plot 1`. A check typed \
anew with the condition that one has already takes its place.",
    },
    Verb {
        name: "remove",
        command: None,
        typed: Some("remove NAME | remove TABLE of ROW | remove check N"),
        summary: "takes an entry, a table, a row, a rule, a case or a check out",
        detail: "What used it is listed; `undo` brings it back. `remove run of 12:10` takes the row of that time out of a \
table, `remove run of row 3` the third; out of a CSV too, with `save`. `remove check 2` takes out the second check, as `show checks` \
numbers them, `remove check runtime` the one whose condition begins so, and `remove plot 1` the first plot.",
    },
    Verb {
        name: "rename",
        command: None,
        typed: Some("rename OLD NEW"),
        summary: "renames an entry, a table, a rule or a case with every use of it",
        detail: "Texts and comments stay as they are. Lines that can't be read are listed where they may still say the \
old name.",
    },
    Verb {
        name: "save",
        command: None,
        typed: Some("save | save as FILE | save over [FILE]"),
        summary: "writes the record to its file",
        detail: "The file is replaced whole or not at all. Where somebody changed it on disk meanwhile, `save` refuses: \
`save as FILE` keeps both, `reload` takes the file as it is, and `save over` replaces it. Trials are no part of the \
record; `keep` them first.",
    },
    Verb {
        name: "reload",
        command: None,
        typed: Some("reload"),
        summary: "reads the file again, with the tables it names",
        detail: "What was not saved is put aside, and told: how many lines, and the first of them. `undo` brings it back.",
    },
    Verb {
        name: "new",
        command: Some("tarebook new [KIND [FILE]]"),
        typed: None,
        summary: "a starter worksheet with blanks to fill in; alone it lists the kinds",
        detail: "With FILE the starter is written there, never over a file that is there already; without FILE it is \
printed. Each `= ?` is a blank, and its note or the prose above it says what to read, and where. What rests on a blank \
waits for it, and a check that waits is undecided. `household` is a set of worksheets that rest on each other, written into a folder.\n\n    \
tarebook new weighed-run my-run.tare\n    \
tarebook check my-run.tare\n    \
tarebook new household yard",
    },
    Verb {
        name: "tidy",
        command: Some("tarebook tidy FILE [--check]"),
        typed: None,
        summary: "a worksheet with even spacing",
        detail: "The file is written again with one space where words meet, and entries that follow each other get their \
`=` and their sources under each other, as tables get their bars. Its meaning stays. Lines with problems are left as they are. With `--check` nothing is written, and it ends with 1 \
where something would change. `-` tidies standard input to standard output.",
    },
    Verb {
        name: "serve",
        command: Some("tarebook serve"),
        typed: None,
        summary: "answers an editor while a worksheet is written in it",
        detail: "For text editors that speak the language server protocol: they start it and talk to it over its standard \
input and output. It marks problems and failing checks as they are typed, offers mends, completes names, units, \
functions and their parameters, shows what stands behind a name, leads to where it is defined and used, renames, folds \
and tidies. `grammar/editors.md` says how an editor is told of it.\n\n\
The settings are `tarebook.case`, the case that is worked out, and `tarebook.values`, whether values stand behind the \
lines. It ends with 0 where the editor took leave in order, and else with 1.",
    },
    Verb {
        name: "completions",
        command: Some("tarebook completions SHELL"),
        typed: None,
        summary: "what makes a command shell complete verbs, options and their values",
        detail: "SHELL is `bash`, `elvish`, `fish`, `powershell` or `zsh`. It is printed, and goes where that shell looks for \
such files, into a folder that is there: kinds of starters, codes and files are completed too. It is in force in the next \
shell that is opened.\n\n    \
tarebook completions bash > ~/.local/share/bash-completion/completions/tarebook\n    \
tarebook completions fish > ~/.config/fish/completions/tarebook.fish\n    \
tarebook completions zsh > \"${fpath[1]}/_tarebook\"",
    },
    Verb {
        name: "manual",
        command: Some("tarebook manual FOLDER"),
        typed: None,
        summary: "writes the manual as pages for `man`, one for each verb",
        detail: "The folder is made where it isn't there; pages that are there are written anew.\n\n    \
tarebook manual ~/.local/share/man/man1\n    \
man tarebook-show",
    },
    Verb {
        name: "functions",
        command: Some("tarebook functions [WORD | UNIT UNIT]"),
        typed: Some("functions [WORD | UNIT UNIT]"),
        summary: "what the trade calculates",
        detail: "Alone it lists every function by chapter; with a word those that speak of it; with two units those that \
take the one and give the other.\n\n    functions ice\n    functions lb h",
    },
    Verb {
        name: "units",
        command: Some("tarebook units [WORD]"),
        typed: Some("units [WORD]"),
        summary: "the units, by what they measure",
        detail: "`units weight` lists what measures a weight; `units lb` says what a pound is in other units.",
    },
    Verb {
        name: "help",
        command: Some("tarebook help [WORD | all]"),
        typed: Some("help [WORD | all]"),
        summary: "what a verb, a word of the language, a function, a unit or a problem's code is",
        detail: "Alone it names the verbs and the words of the language on one screen; `help all` says of each what it is.",
    },
    Verb {
        name: "quit",
        command: None,
        typed: Some("quit"),
        summary: "leaves the session; asks when something is unsaved",
        detail: "`save`, `discard` or `stay` answers. Where the terminal ends without an answer, what was changed is kept, and \
the next `open` offers it. Trials alone are not kept.",
    },
];

/// The verb of the interactive session of that name.
pub(crate) fn typed_verb(word: &str) -> Option<&'static Verb> {
    VERBS.iter().find(|verb| verb.name == word && verb.typed.is_some())
}

/// The verbs of the interactive session, for help.
pub(crate) fn typed_help() -> Vec<VerbHelp> {
    VERBS.iter().filter_map(|verb| Some(verb.help(verb.typed?))).collect()
}

/// Every verb as it is typed on the command line, or else in the session.
pub fn every_help() -> Vec<VerbHelp> {
    let verbs = VERBS.iter();
    verbs
        .filter_map(|verb| Some(verb.help(verb.command.or(verb.typed)?)))
        .collect()
}

/// Every verb as it is typed in the session, or else on the command line.
pub(crate) fn every_typed_help() -> Vec<VerbHelp> {
    let verbs = VERBS.iter();
    verbs
        .filter_map(|verb| Some(verb.help(verb.typed.or(verb.command)?)))
        .collect()
}

/// The verbs of the command line, for help.
pub(crate) fn command_help() -> Vec<VerbHelp> {
    VERBS.iter().filter_map(|verb| Some(verb.help(verb.command?))).collect()
}

impl Verb {
    fn help(&self, usage: &'static str) -> VerbHelp {
        VerbHelp {
            name: self.name,
            usage,
            summary: self.summary,
            detail: self.detail,
        }
    }
}
