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
        command: Some("tarebook open FILE"),
        typed: None,
        summary: "opens a worksheet in the interactive session",
        detail: "In the session an expression shows its value, `NAME = value` tries one without touching the record, and \
a whole entry changes the record. `help` there lists the verbs.\n\n\
With something else than a terminal as its input, the session reads its lines from there and prints no prompt. \
`tarebook` alone opens the built-in worksheet.",
    },
    Verb {
        name: "show",
        command: Some("tarebook show FILE [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N]"),
        typed: Some("show [SECTION]"),
        summary: "the worksheet worked out: answers, checks, then section by section",
        detail: "SECTION is a heading of the worksheet, or its beginning; `answers`, `checks` and `cautions` are \
sections too, and a name shows that entry.\n\n\
On the command line `--case` works a scenario out, and each `--set` holds a value over an entry, as a trial does. \
FORMAT is `text`, `markdown`, `json` or `csv`; `--digits` is how many significant digits calculated numbers get (4). \
Problems go to standard error. It ends with 0 where all is well, with 1 where the worksheet has problems, and with 2 \
where the file can't be read.\n\n    \
tarebook show ridge.tare --case deep_cold --set \"air=-5 °F\"",
    },
    Verb {
        name: "check",
        command: Some("tarebook check FILE... [--format FORMAT]"),
        typed: Some("check"),
        summary: "problems and expectations only",
        detail: "Every `expect` line with whether it holds, and every problem drawn at its line.\n\n\
On the command line it takes several files, and ends with 0 where all is well, with 1 where a worksheet has problems, \
with 2 where a file can't be read, and with 3 where there is no problem but an expectation doesn't hold or can't be \
told. FORMAT is `text` or `json`; `json` gives an array with one object a file.",
    },
    Verb {
        name: "why",
        command: Some(
            "tarebook why FILE NAME [--depth N] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N]",
        ),
        typed: Some("why NAME [depth N]"),
        summary: "how a value was worked out, down to the inputs and their sources",
        detail: "The formula, the same with values put in, what was converted on the way, the rules of the trade it \
rests on with their sources, and the result. Then the same for everything it used, each once. `depth 0` shows the \
value itself alone, `depth 1` also what it used. NAME is an entry, or a table that a function makes.\n\n\
FORMAT is `text`, `markdown`, `json` or `csv`. On the command line it ends with 2 where there is nothing of that \
name.\n\n    \
tarebook why ridge.tare runtime --depth 1",
    },
    Verb {
        name: "compare",
        command: Some("tarebook compare FILE [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N]"),
        typed: Some("compare"),
        summary: "the answers side by side over the cases, and which checks flip",
        detail: "Every answer in the base and in every case, each with its difference from the base in its unit and in \
per cent; which inputs a case replaces; the checks that come out otherwise, and the problems and cautions that come \
up in it alone. Trials stand in all of them, also where a case has a value of its own. The case in hand stays in \
hand. Where the terminal is too narrow for a table, each case gets a block of its own.\n\n\
On the command line each `--set` is worked out in the base, or in the case that `--case` names. FORMAT is `text`, \
`markdown`, `json` or `csv`. In `json` and `csv` a change is a number in the answer's unit; texts, truth values and \
times have none. It ends with 1 where the base or any case has problems.\n\n    \
tarebook compare ridge.tare --set \"rate=1.6 lb/h\"",
    },
    Verb {
        name: "sweep",
        command: Some(
            "tarebook sweep FILE INPUT --from A --to B (--step S | --points N) [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N]",
        ),
        typed: Some("sweep INPUT from A to B (step S | points N)"),
        summary: "the answers over the values of one input, and where checks turn",
        detail: "A, B and S are values as the input takes, in any unit of that kind; a step is an interval, so \
`step 5 °F` counts as 5 F°. `points 9` gives nine values, both ends among them; 10 000 are the most. Each value is held \
exactly, on the case and the trials in hand, and the worksheet stays as it is.\n\n\
Where the two sides of an expectation meet, the place is worked out to 12 digits, whatever the step. FORMAT is `text`, `markdown`, \
`json` or `csv`.\n\n    \
sweep air from -20 °F to 60 °F step 10 °F\n    \
tarebook sweep ridge.tare air --from \"-20 °F\" --to \"60 °F\" --points 9",
    },
    Verb {
        name: "aim",
        command: Some(
            "tarebook aim FILE ANSWER=VALUE --varying INPUT [--between A B] [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N]",
        ),
        typed: Some("aim ANSWER = VALUE varying INPUT [between A and B]"),
        summary: "the value of an input that gives an answer a wanted value",
        detail: "It looks all over the interval and finds none, one or several values, each to 12 digits, or that the answer \
is flat: the same whatever the input is. An answer that steps over the value without taking it, as a rounded count does, \
is told as a step. Where an answer stays at the value for a stretch, both ends of the stretch are told.\n\n\
Without `between` the interval is what is usual for the function that takes the input. FORMAT is `text`, `markdown`, \
`json` or `csv`.\n\n    \
aim margin = 100 % varying air between -20 °F and 60 °F\n    \
tarebook aim ridge.tare \"margin=100 %\" --varying air --between \"-20 °F\" \"60 °F\"",
    },
    Verb {
        name: "diff",
        command: Some("tarebook diff FILE FILE [--case NAME] [--set NAME=VALUE]... [--format FORMAT] [--digits N]"),
        typed: Some("diff FILE"),
        summary: "two worksheets by meaning, and what each difference does to the answers",
        detail: "Inputs, formulas, rules, tables, expectations and cases that differ; the order of lines, spacing, labels \
and prose don't count, nor do 20 lb and 9.07184740 kg. What has another name and otherwise means and is used for the \
same is told as renamed. Then each answer in both, its difference, and how much of it each of the things that differ \
accounts for.\n\n\
A part is what its difference adds when it is taken over into the first worksheet, averaged over all orders in which \
that can be done, so that the parts make up the whole. Beyond eight for one answer they are taken over one after \
another, in the order of the file.\n\n\
In the session what is in hand, with its case and its trials, is the first. On the command line `--case` and `--set` \
are of both worksheets; `-` for one of the two reads standard input. FORMAT is `text`, `markdown`, `json` or `csv`. \
It ends with 0 whether or not they differ, with 1 where either has problems.\n\n    \
tarebook diff claim.tare claim-corrected.tare",
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
        name: "trials",
        command: None,
        typed: Some("trials"),
        summary: "the values on trial, with what they were before",
        detail: "A trial is typed `NAME = value`. The right side is worked out once from what stands now, so \
`air = air - 10 F°` works. The entry holds that value, even where it is calculated, and the record stays as it is. \
A comparison goes in parentheses: `(fuel = 20 lb)`.",
    },
    Verb {
        name: "keep",
        command: None,
        typed: Some("keep | keep as case NAME \"title\""),
        summary: "puts the trials into the record, or into a new case",
        detail: "In the base `keep` writes an `assumed` line and leaves the old line above it as a remark. In a case it \
writes that case's line. `keep as case` makes a new case of the trials and what the case in hand holds, and switches \
to it. A case replaces inputs only, so a trial on a calculated entry can't go into one.",
    },
    Verb {
        name: "drop",
        command: None,
        typed: Some("drop [NAME]"),
        summary: "lets go of one trial, or of all",
        detail: "",
    },
    Verb {
        name: "undo",
        command: None,
        typed: Some("undo"),
        summary: "takes back the last step, whatever it was",
        detail: "Trials, edits, switches of the case, even `reload`: each is one step. Saving is none.",
    },
    Verb {
        name: "redo",
        command: None,
        typed: Some("redo"),
        summary: "does again what was undone",
        detail: "",
    },
    Verb {
        name: "edit",
        command: None,
        typed: Some("edit NAME"),
        summary: "brings an entry's line up to be changed",
        detail: "The line comes up in the input line; Enter puts it into the record, an empty line leaves it as it was. \
A whole entry typed at once, such as `measured gross = 44.1 lb ± 0.05 lb`, changes or adds that line too.",
    },
    Verb {
        name: "remove",
        command: None,
        typed: Some("remove NAME"),
        summary: "takes an entry, a table, a rule or a case out",
        detail: "What used it is listed; `undo` brings it back.",
    },
    Verb {
        name: "rename",
        command: None,
        typed: Some("rename OLD NEW"),
        summary: "renames an entry, a table, a rule or a case with every use of it",
        detail: "Texts and remarks stay as they are. Lines that can't be read are listed where they may still say the \
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
        detail: "What was not saved is put aside; `undo` brings it back.",
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
        detail: "",
    },
    Verb {
        name: "help",
        command: Some("tarebook help [WORD]"),
        typed: Some("help [WORD]"),
        summary: "what a verb, a word of the language, a function, a unit or a problem's code is",
        detail: "",
    },
    Verb {
        name: "quit",
        command: None,
        typed: Some("quit"),
        summary: "leaves the session; asks when something is unsaved",
        detail: "",
    },
];

/// The verb of the interactive session of that name.
pub fn typed_verb(word: &str) -> Option<&'static Verb> {
    VERBS.iter().find(|verb| verb.name == word && verb.typed.is_some())
}

/// The verbs of the interactive session, for help.
pub fn typed_help() -> Vec<VerbHelp> {
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
pub fn every_typed_help() -> Vec<VerbHelp> {
    let verbs = VERBS.iter();
    verbs
        .filter_map(|verb| Some(verb.help(verb.typed.or(verb.command)?)))
        .collect()
}

/// The verbs of the command line, for help.
pub fn command_help() -> Vec<VerbHelp> {
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
