//! The command line's arguments, read into a [`Request`].
//!
//! Verbs, usage and help come from the list of
//! verbs; what is wrong with a call is said in our own words. Start reading at
//! [`read`].

use std::ffi::OsString;
use std::io;
use std::path::PathBuf;
use std::time::Duration;

use clap::builder::PossibleValuesParser;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, ArgAction, ArgMatches, Command};

use crate::report::compose::Options;
use crate::report::handout::Form;
use crate::report::pages::{help_overview, verb_page};
use crate::report::study::Format;
use crate::report::style::{Letters, Style};
use crate::session::asked::{ALL, Asked, RENAMED, StudyVerb};
use crate::session::studies::study_verb;
use crate::session::verbs::{VERBS, command_help};

use super::output::Output;
use super::page::PageAsked;
use super::{USAGE, WELL};

/// The command shells that completions are written for.
const SHELLS: [&str; 5] = ["bash", "elvish", "fish", "powershell", "zsh"];

/// What the program is asked to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Request {
    /// `tarebook`
    BuiltIn,
    /// `tarebook open FILE`
    Open(PathBuf),
    /// `tarebook page FILE`
    Page(PageAsked),
    /// `tarebook show FILE [SECTION]`
    Show(On, String),
    /// `tarebook check FILE...`
    Check {
        /// The worksheets.
        files: Vec<PathBuf>,
        /// `--case`
        case: Option<String>,
        /// `--format`
        format: Format,
    },
    /// A study by its verb: `tarebook doubt FILE NAME`
    Study(On, &'static str, Asked),
    /// `tarebook handout FILE`
    Handout(On, HandoutAsked),
    /// `tarebook diff FILE FILE`: the first, and the second
    Diff(On, PathBuf),
    /// `tarebook new [KIND [FILE]]`
    New {
        /// What sort of worksheet; none lists them.
        kind: Option<String>,
        /// Where it is written; none prints it.
        file: Option<PathBuf>,
    },
    /// `tarebook tidy FILE`
    Tidy {
        /// The worksheet.
        file: PathBuf,
        /// `--check`
        check: bool,
    },
    /// `tarebook add FILE [TABLE] [COLUMN] CELL…`
    Add {
        /// The worksheet.
        file: PathBuf,
        /// Table, columns and cells, as they were typed.
        words: Vec<String>,
    },
    /// `tarebook serve`
    Serve,
    /// `tarebook completions SHELL`
    Completions(String),
    /// `tarebook manual FOLDER`
    Manual(PathBuf),
    /// `tarebook functions [WORD | UNIT UNIT]`
    Functions(Vec<String>),
    /// `tarebook units [WORD]`
    Units(Option<String>),
    /// `tarebook help [WORD]`
    Help(Option<String>),
}

/// The worksheet a study works on, in hand as asked, and how the result is written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct On {
    /// The worksheet.
    pub file: PathBuf,
    /// `--case`
    pub case: Option<String>,
    /// `--set`, in order.
    pub set: Vec<String>,
    /// `--format`
    pub format: Format,
    /// `--digits`
    pub options: Options,
}

/// The page that is asked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct HandoutAsked {
    /// `-o`; none is standard output.
    pub file: Option<PathBuf>,
    /// `--blank`
    pub form: Form,
}

/// Why there is no request.
pub(crate) enum Stop {
    /// Help or the version was asked for; this is it.
    Told(String),
    /// The call is wrong, and what to try.
    Wrong(String, Option<String>),
}

/// What is asked for whatever the verb.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Manner {
    /// `--plain`: the letters of charts.
    pub letters: Option<Letters>,
    /// `--time-limit`: how long a run may take.
    pub time: Option<Duration>,
}

/// Reads the arguments, the first being the program's own name.
///
/// # Errors
/// What to print in place of running.
pub(crate) fn read(arguments: impl IntoIterator<Item = OsString>) -> Result<(Request, Manner), Stop> {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let named = arguments.get(1).and_then(|word| word.to_str()).unwrap_or("").to_owned();
    let helps = arguments.iter().any(|word| word == "-h" || word == "--help");
    let matches = program(helps).try_get_matches_from(with_options(arguments, &named));
    let matches = matches.map_err(|trouble| stopped(&trouble, &named))?;
    let manner = Manner {
        letters: letters(&matches),
        time: time(&matches),
    };
    Ok((request(&matches).unwrap_or(Request::BuiltIn), manner))
}

/// Words of a study that stand bare, `against FILE`, as the options that they are.
fn with_options(arguments: Vec<OsString>, named: &str) -> Vec<OsString> {
    let words = study_verb(named).map_or(&[][..], |known| known.words);
    let is_bare = |text: &OsString| words.iter().any(|word| word.bare && *text == *word.word);
    let each = arguments.into_iter().enumerate();
    // the verb and the worksheet come first
    let each = each.map(|(place, text)| match place > 2 && is_bare(&text) {
        true => OsString::from(format!("--{}", text.to_string_lossy())),
        false => text,
    });
    each.collect()
}

/// The letters that `--plain` asks for, where it is given.
fn letters(matches: &ArgMatches) -> Option<Letters> {
    let (_, matches) = matches.subcommand()?;
    let plain = matches.try_get_one::<bool>("plain").ok().flatten();
    plain.is_some_and(|plain| *plain).then_some(Letters::Plain)
}

/// The time that `--time-limit` gives, where it stands.
fn time(matches: &ArgMatches) -> Option<Duration> {
    let (_, matches) = matches.subcommand()?;
    let seconds = matches.try_get_one::<u64>("time-limit").ok().flatten();
    seconds.map(|seconds| Duration::from_secs(*seconds))
}

/// Prints why there is no request; gives back the exit code.
///
/// # Errors
/// Those of standard output.
pub(crate) fn stop(stop: &Stop, output: &mut Output) -> io::Result<u8> {
    match stop {
        Stop::Told(text) => {
            output.print(text)?;
            Ok(WELL)
        }
        Stop::Wrong(message, help) => {
            output.complain(message, help.as_deref())?;
            Ok(USAGE)
        }
    }
}

/// The program's verbs, with their pages where somebody asks for help.
fn program(helps: bool) -> Command {
    let mut program = Command::new("tarebook")
        .version(env!("CARGO_PKG_VERSION"))
        .disable_help_subcommand(true);
    for help in command_help() {
        let command = verb(help.name);
        program = program.subcommand(match helps {
            true => command.override_help(verb_page(&help, Style::default())),
            false => command,
        });
    }
    match helps {
        true => program.override_help(help_overview(&command_help(), Style::default())),
        false => program,
    }
}

/// A verb with its arguments, without a word on them.
pub(super) fn verb(name: &'static str) -> Command {
    let command = Command::new(name);
    match name {
        "open" => command.args([file(), seconds(), plain()]),
        "page" => command.args([
            file().required(false),
            value("port", "N").value_parser(port),
            Arg::new("class").long("class").action(ArgAction::SetTrue),
            seconds(),
        ]),
        "show" => command.args([
            file(),
            Arg::new("SECTION").num_args(0..),
            case(),
            set(),
            format(&["text", "markdown", "html", "json", "csv"]),
            digits(),
            seconds(),
            plain(),
        ]),
        "handout" => command.args([
            file(),
            Arg::new("o")
                .short('o')
                .value_name("OUT")
                .value_parser(clap::value_parser!(PathBuf)),
            flag("card"),
            flag("pupil"),
            flag("key"),
            case(),
            set(),
            digits(),
            seconds(),
        ]),
        "diff" => command.args(study(vec![other_file()])),
        "check" => command.args([
            file().action(ArgAction::Append).num_args(1..),
            case(),
            format(&["text", "json"]),
            seconds(),
        ]),
        "new" => command.args([Arg::new("KIND"), file().required(false)]),
        "tidy" => command.args([file(), Arg::new("check").long("check").action(ArgAction::SetTrue)]),
        "add" => command.args([
            file(),
            Arg::new("CELL").num_args(1..).required(true).allow_hyphen_values(true),
        ]),
        "serve" => command,
        "completions" => command.arg(
            Arg::new("SHELL")
                .required(true)
                .value_parser(PossibleValuesParser::new(SHELLS)),
        ),
        "manual" => command.arg(
            Arg::new("FOLDER")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf)),
        ),
        "functions" | "help" => command.arg(words(0..=4)),
        _ => match study_verb(name) {
            Some(known) => command.args(study(own_arguments(known))),
            None => command.arg(words(0..=1)),
        },
    }
}

/// Of this several may stand behind a study's verb, and `all` at their end.
const MANY: &str = "FOLDER";

/// What a study takes beside the options of every study.
fn own_arguments(known: &StudyVerb) -> Vec<Arg> {
    let about = known.about.map(|about| match about {
        MANY => Arg::new(about).required(true).num_args(1..),
        _ => Arg::new(about).required(true),
    });
    let words = known.words.iter().map(|word| {
        let refuse = word.refuse;
        let read = move |text: &str| refuse(text).map_or(Ok(text.to_owned()), Err);
        let value = value(word.word, word.value).required(word.needed).value_parser(read);
        if word.and.is_some() { value.num_args(2) } else { value }
    });
    let all = (known.brief && known.about != Some(MANY)).then(|| Arg::new(ALL).value_parser([ALL]));
    let all = about.into_iter().chain(all).chain(words);
    all.chain(known.draws.then(plain)).collect()
}

fn file() -> Arg {
    Arg::new("FILE")
        .required(true)
        .value_parser(clap::value_parser!(PathBuf))
}

/// A second worksheet.
fn other_file() -> Arg {
    let other = Arg::new("OTHER").value_name("FILE").required(true);
    other.value_parser(clap::value_parser!(PathBuf))
}

fn case() -> Arg {
    Arg::new("case")
        .long("case")
        .value_name("NAME")
        .allow_hyphen_values(true)
}

fn set() -> Arg {
    let set = Arg::new("set").long("set").value_name("NAME=VALUE");
    set.action(ArgAction::Append).allow_hyphen_values(true)
}

fn format(known: &'static [&'static str]) -> Arg {
    let format = Arg::new("format")
        .long("format")
        .value_name("FORMAT")
        .default_value("text");
    format.value_parser(PossibleValuesParser::new(known))
}

/// An option that takes a value as the worksheet does.
fn value(name: &'static str, shown: &'static str) -> Arg {
    let value = Arg::new(name).long(name).value_name(shown);
    value.allow_hyphen_values(true)
}

/// The worksheet, a study's own arguments, and the options of every study.
fn study(own: Vec<Arg>) -> Vec<Arg> {
    let mut all = vec![file()];
    all.extend(own);
    all.extend([
        case(),
        set(),
        format(&["text", "markdown", "html", "json", "csv"]),
        digits(),
        seconds(),
    ]);
    all
}

/// For what draws charts.
fn plain() -> Arg {
    Arg::new("plain").long("plain").action(ArgAction::SetTrue)
}

/// How long a run may take.
fn seconds() -> Arg {
    let seconds = Arg::new("time-limit").long("time-limit").value_name("N");
    seconds.allow_hyphen_values(true).value_parser(whole_seconds)
}

/// The longest that a run may be given, in s: a day.
const LONGEST_RUN: u64 = 86_400;

/// Whole seconds, from 1 to a day of them.
fn whole_seconds(text: &str) -> Result<u64, String> {
    let seconds = text.parse().ok().filter(|seconds| (1..=LONGEST_RUN).contains(seconds));
    seconds.ok_or_else(|| format!("it takes a whole number from 1 to {LONGEST_RUN}"))
}

fn digits() -> Arg {
    let digits = Arg::new("digits").long("digits").value_name("N").default_value("4");
    digits.allow_hyphen_values(true).value_parser(significant)
}

fn words(count: std::ops::RangeInclusive<usize>) -> Arg {
    Arg::new("WORD").num_args(count).allow_hyphen_values(true)
}

/// A port that needs no rights of its own.
fn port(text: &str) -> Result<u16, String> {
    let port = text.parse().ok().filter(|port| *port >= 1024);
    port.ok_or_else(|| "it takes a whole number from 1024 to 65535".to_owned())
}

/// Significant digits, from 1 to 28.
fn significant(text: &str) -> Result<u32, String> {
    let digits = text.parse().ok().filter(|digits| (1..=28).contains(digits));
    digits.ok_or_else(|| "it takes a whole number from 1 to 28".to_owned())
}

fn flag(name: &'static str) -> Arg {
    let others = Form::ALL
        .iter()
        .map(|(_, word)| *word)
        .filter(|word| !matches!(*word, "full") && *word != name);
    Arg::new(name)
        .long(name)
        .action(ArgAction::SetTrue)
        .conflicts_with_all(others)
}

/// The form of a handout that is asked for.
fn form(matches: &ArgMatches) -> Form {
    let asked = Form::ALL.iter().skip(1).find(|(_, word)| matches.get_flag(word));
    asked.map_or(Form::Full, |(form, _)| *form)
}

fn request(matches: &ArgMatches) -> Option<Request> {
    let (name, matches) = matches.subcommand()?;
    let path = || matches.get_one::<PathBuf>("FILE").cloned().unwrap_or_default();
    Some(match name {
        "open" => Request::Open(path()),
        "page" => Request::Page(PageAsked {
            file: matches.get_one::<PathBuf>("FILE").cloned(),
            port: matches.get_one::<u16>("port").copied(),
            class: matches.get_flag("class"),
        }),
        "show" => Request::Show(chosen_on(matches), texts(matches, "SECTION").join(" ")),
        "handout" => Request::Handout(
            On {
                file: path(),
                case: text(matches, "case"),
                set: texts(matches, "set"),
                format: Format::Text,
                options: chosen_digits(matches),
            },
            HandoutAsked {
                file: matches.get_one::<PathBuf>("o").cloned(),
                form: form(matches),
            },
        ),
        "diff" => Request::Diff(
            chosen_on(matches),
            matches.get_one::<PathBuf>("OTHER").cloned().unwrap_or_default(),
        ),
        "check" => Request::Check {
            files: matches
                .get_many::<PathBuf>("FILE")
                .into_iter()
                .flatten()
                .cloned()
                .collect(),
            case: text(matches, "case"),
            format: chosen_format(matches),
        },
        "new" => Request::New {
            kind: text(matches, "KIND"),
            file: matches.get_one::<PathBuf>("FILE").cloned(),
        },
        "tidy" => Request::Tidy {
            file: path(),
            check: matches.get_flag("check"),
        },
        "add" => Request::Add {
            file: path(),
            words: texts(matches, "CELL"),
        },
        "serve" => Request::Serve,
        "completions" => Request::Completions(text(matches, "SHELL").unwrap_or_default()),
        "manual" => Request::Manual(matches.get_one::<PathBuf>("FOLDER").cloned().unwrap_or_default()),
        "functions" => Request::Functions(texts(matches, "WORD")),
        "units" => Request::Units(texts(matches, "WORD").into_iter().next()),
        name if study_verb(name).is_some() => {
            let known = study_verb(name)?;
            Request::Study(chosen_on(matches), known.name, chosen_asked(known, matches))
        }
        _ => Request::Help(Some(texts(matches, "WORD").join(" ")).filter(|words| !words.is_empty())),
    })
}

fn chosen_asked(known: &StudyVerb, matches: &ArgMatches) -> Asked {
    let words = known.words.iter().flat_map(|word| {
        let names = [Some(word.word), word.and].into_iter().flatten();
        names.zip(texts(matches, word.word))
    });
    let mut about = known.about.map(|about| texts(matches, about)).unwrap_or_default();
    let last = known.about == Some(MANY) && about.len() > 1;
    let all = match known.about {
        Some(MANY) => about.pop_if(|word| last && word == ALL).is_some(),
        _ => known.brief && text(matches, ALL).is_some(),
    };
    Asked {
        about: about.join("\n"),
        words: words.collect(),
        all,
    }
}

fn text(matches: &ArgMatches, name: &str) -> Option<String> {
    matches.get_one::<String>(name).cloned()
}

fn texts(matches: &ArgMatches, name: &str) -> Vec<String> {
    matches
        .get_many::<String>(name)
        .into_iter()
        .flatten()
        .cloned()
        .collect()
}

fn chosen_on(matches: &ArgMatches) -> On {
    On {
        file: matches.get_one::<PathBuf>("FILE").cloned().unwrap_or_default(),
        case: text(matches, "case"),
        set: texts(matches, "set"),
        format: chosen_format(matches),
        options: chosen_digits(matches),
    }
}

fn chosen_digits(matches: &ArgMatches) -> Options {
    Options {
        digits: matches.get_one::<u32>("digits").copied().unwrap_or(4),
    }
}

fn chosen_format(matches: &ArgMatches) -> Format {
    let word = matches.get_one::<String>("format");
    word.and_then(|word| Format::of(word)).unwrap_or(Format::Text)
}

// ---- what is wrong with a call ----

/// `named` is the verb that was typed.
fn stopped(trouble: &clap::Error, named: &str) -> Stop {
    let text = |kind| match trouble.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(texts)) => Some(texts.join(", ")),
        _ => None,
    };
    let bare = |kind| text(kind).map(|text| bare_name(&text));
    match trouble.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => Stop::Told(trouble.render().to_string()),
        ErrorKind::InvalidSubcommand => {
            let word = bare(ContextKind::InvalidSubcommand).unwrap_or_default();
            unknown_verb(&word)
        }
        ErrorKind::UnknownArgument => {
            let word = bare(ContextKind::InvalidArg).unwrap_or_default();
            unknown_argument(&word, text(ContextKind::SuggestedArg), named)
        }
        ErrorKind::InvalidValue => {
            let argument = bare(ContextKind::InvalidArg).unwrap_or_default();
            let value = text(ContextKind::InvalidValue).unwrap_or_default();
            if argument == ALL {
                return unknown_argument(&value, None, named);
            }
            let known = text(ContextKind::ValidValue).filter(|known| !known.is_empty());
            invalid_value(&argument, &value, known)
        }
        ErrorKind::ValueValidation => {
            let argument = bare(ContextKind::InvalidArg).unwrap_or_default();
            let value = text(ContextKind::InvalidValue).unwrap_or_default();
            let reason = std::error::Error::source(trouble).map(ToString::to_string);
            Stop::Wrong(format!("`{argument}` can't be `{value}`"), reason)
        }
        ErrorKind::MissingRequiredArgument => {
            let missing = bare(ContextKind::InvalidArg).unwrap_or_default();
            Stop::Wrong(format!("`{named}` needs {missing}"), Some(usage_of(named)))
        }
        ErrorKind::ArgumentConflict => {
            let argument = bare(ContextKind::InvalidArg).unwrap_or_default();
            let other = bare(ContextKind::PriorArg).filter(|other| *other != argument);
            let told = match other {
                Some(other) => format!("`{argument}` and `{other}` don't go together"),
                None => format!("`{argument}` may stand only once"),
            };
            Stop::Wrong(told, None)
        }
        ErrorKind::WrongNumberOfValues => {
            let argument = bare(ContextKind::InvalidArg).unwrap_or_default();
            Stop::Wrong(format!("`{argument}` takes {} values", expected_values(trouble)), None)
        }
        ErrorKind::TooManyValues => {
            let value = text(ContextKind::InvalidValue).unwrap_or_default();
            Stop::Wrong(format!("`{value}` is one word too many"), Some(usage_of(named)))
        }
        ErrorKind::InvalidUtf8 => Stop::Wrong("an argument isn't UTF-8 text".to_owned(), None),
        _ => Stop::Wrong(first_line(trouble), None),
    }
}

fn expected_values(trouble: &clap::Error) -> String {
    match trouble.get(ContextKind::ExpectedNumValues) {
        Some(ContextValue::Number(2)) => "two".to_owned(),
        Some(ContextValue::Number(count)) => count.to_string(),
        _ => "other".to_owned(),
    }
}

/// `--digits` of `--digits <N>`, `FILE` of `<FILE>...`.
fn bare_name(argument: &str) -> String {
    let first = argument.split(' ').next().unwrap_or(argument);
    first
        .trim_matches(|c| matches!(c, '<' | '>' | '[' | ']' | '.' | ','))
        .to_owned()
}

fn unknown_verb(word: &str) -> Stop {
    let message = format!("`{word}` is no verb of tarebook");
    let verbs = VERBS.iter().filter(|verb| verb.command.is_some());
    if let Some(near) = crate::text::nearest(word, verbs.map(|verb| verb.name)) {
        return Stop::Wrong(message, Some(format!("write `{near}`, if that is meant")));
    }
    let help = match std::path::Path::new(word).exists() || word.ends_with(".tare") {
        true => format!("`tarebook open {word}` opens it, `tarebook show {word}` prints it"),
        false => "`tarebook help` lists the verbs".to_owned(),
    };
    Stop::Wrong(message, Some(help))
}

/// The line that says what goes with a verb.
fn usage_of(named: &str) -> String {
    let verb = VERBS.iter().find(|verb| verb.name == named);
    format!("`{}`", verb.and_then(|verb| verb.command).unwrap_or("tarebook help"))
}

fn unknown_argument(word: &str, near: Option<String>, named: &str) -> Stop {
    let message = match word.starts_with('-') {
        true => format!("there is no option `{word}` here"),
        false => format!("`{word}` is one word too many"),
    };
    let once = RENAMED.iter().find(|(once, _)| word.strip_prefix("--") == Some(once));
    let help = match (once, near) {
        (Some((_, now)), _) => format!("write `--{now}`, as it is called now"),
        (None, Some(near)) => format!("write `{}`, if that is meant", bare_name(&near)),
        (None, None) => usage_of(named),
    };
    Stop::Wrong(message, Some(help))
}

fn invalid_value(argument: &str, value: &str, known: Option<String>) -> Stop {
    if value.is_empty() {
        return Stop::Wrong(format!("`{argument}` needs a value behind it"), None);
    }
    let help = known.map(|known| format!("it takes one of: {known}"));
    Stop::Wrong(format!("`{argument}` can't be `{value}`"), help)
}

fn first_line(trouble: &clap::Error) -> String {
    let text = trouble.render().to_string();
    let line = text.lines().next().unwrap_or("");
    line.trim_start_matches("error: ").to_owned()
}
