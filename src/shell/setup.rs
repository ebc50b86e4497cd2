//! What a command shell and a reader of manuals get: completions and pages, made
//! from the one declaration of verbs and options.
//!
//! The only file that names `clap_complete` and `clap_mangen`. Kinds of starters,
//! codes and words of the language are completed from the lists that help reads.
//! Start reading at [`completions`] and [`manual`].

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use clap::builder::{PossibleValue, PossibleValuesParser, ValueParser};
use clap::{Arg, Command, ValueHint};
use clap_complete::{Shell, generate};
use clap_mangen::Man;

use crate::problem::Code;
use crate::report::language::TERMS;
use crate::report::pages::REMARKS;
use crate::session::starters;
use crate::session::verbs::{VERBS, command_help};
use crate::trade::caution::CAUTIONS;
use crate::trade::registry::functions;

use super::arguments::verb;

/// Writes what makes a command shell complete verbs, options and values.
///
/// # Errors
/// Those of the output; a shell that isn't known.
pub(super) fn completions(shell: &str, output: &mut impl Write) -> io::Result<()> {
    let shell: Shell = shell.parse().map_err(io::Error::other)?;
    let mut text = Vec::new();
    let mut program = declared();
    generate(shell, &mut program, "tarebook", &mut text);
    let text = String::from_utf8(text).map_err(io::Error::other)?;
    let text = match shell {
        Shell::Bash => options_behind_dashes(&text),
        Shell::Fish => text + &bare_values(&program),
        _ => text,
    };
    output.write_all(text.as_bytes())
}

/// In the script for `bash`: options are offered once a dash is typed, so that files are
/// where a file is wanted.
fn options_behind_dashes(script: &str) -> String {
    let fitting = "compgen -W \"$(_tarebook_fitting \"${cur}\" \"${opts}\")\" -- \"${cur}\"";
    let script = script.replace("compgen -W \"${opts}\" -- \"${cur}\"", fitting);
    format!(
        "_tarebook_fitting() {{\n    local word\n    for word in $2; do\n        \
         [[ \"$1\" == -* || \"${{word}}\" != -* ]] && printf '%s ' \"${{word}}\"\n    done\n}}\n\n{script}"
    )
}

/// For `fish`: what a bare argument may be, which the script leaves out.
fn bare_values(program: &Command) -> String {
    let mut text = String::new();
    for verb in program.get_subcommands() {
        let values = verb.get_positionals().flat_map(Arg::get_possible_values);
        let values: Vec<String> = values.map(|value| value.get_name().to_owned()).collect();
        if !values.is_empty() {
            let (name, values) = (verb.get_name(), values.join(" "));
            let asked = format!("__fish_tarebook_using_subcommand {name}");
            text.push_str(&format!("complete -c tarebook -n \"{asked}\" -f -a \"{values}\"\n"));
        }
    }
    text
}

/// Writes the manual into a folder, a page for the program and one for each verb; gives
/// back how many. The folder is made where it isn't there.
///
/// # Errors
/// Those of the folder.
pub(super) fn manual(folder: &Path) -> io::Result<usize> {
    fs::create_dir_all(folder)?;
    let mut program = declared().long_about(format!("{}\n\n{ALONE}", env!("CARGO_PKG_DESCRIPTION")));
    program.build();
    let verbs = command_help();
    for help in &verbs {
        if let Some(verb) = program.find_subcommand(help.name) {
            let page = page(verb, help.usage)?;
            fs::write(folder.join(format!("tarebook-{}.1", help.name)), page)?;
        }
    }
    fs::write(folder.join("tarebook.1"), page(&program, "tarebook [VERB …]")?)?;
    Ok(verbs.len() + 1)
}

/// What the program's own page says of it.
const ALONE: &str = "Alone, on a terminal, it opens the built-in worksheet in the interactive session; elsewhere it \
prints it. Each verb has a page of its own, and `tarebook help WORD` one for each word of the language, function, unit \
and problem.\n\n\
It ends with 0 where all is well, with 1 where a worksheet has problems, with 2 where something can't be read or was asked \
wrongly, and `check` with 3 where a check doesn't hold or is undecided.\n\n\
Carbon monoxide kills without a smell: a generator runs outdoors only. Local code and a licensed person decide; these \
figures only inform them.";

/// A page of the manual, whose synopsis is written as everywhere else.
fn page(command: &Command, usage: &str) -> io::Result<Vec<u8>> {
    let written = Man::new(command.clone()).source(concat!("tarebook ", env!("CARGO_PKG_VERSION")));
    let written = written.manual("Tarebook");
    let mut page = Vec::new();
    written.render_title(&mut page)?;
    written.render_name_section(&mut page)?;
    let usage = usage.replace('\\', "\\e").replace('-', "\\-");
    writeln!(page, ".SH SYNOPSIS\n{usage}")?;
    written.render_description_section(&mut page)?;
    written.render_options_section(&mut page)?;
    if command.has_subcommands() {
        written.render_subcommands_section(&mut page)?;
    }
    Ok(page)
}

/// The program with a word on each option, and the values that are known.
fn declared() -> Command {
    let mut program = Command::new("tarebook")
        .version(env!("CARGO_PKG_VERSION"))
        .about(env!("CARGO_PKG_DESCRIPTION"))
        .disable_help_subcommand(true);
    for help in command_help() {
        let name = help.name;
        let command = verb(name)
            .about(help.summary)
            .long_about(help.detail)
            .mut_args(|argument| spoken(name, argument));
        program = program.subcommand(command);
    }
    program
}

/// An argument with what it is, and what it may be.
fn spoken(verb: &str, argument: Arg) -> Arg {
    let id = argument.get_id().to_string();
    let argument = argument.help(said(verb, &id));
    match (verb, id.as_str()) {
        (_, "FILE" | "OTHER" | "o") => argument.value_hint(ValueHint::FilePath),
        (_, "FOLDER") => argument.value_hint(ValueHint::DirPath),
        ("new", "KIND") => argument.value_parser(kinds()),
        ("help", "WORD") => argument.value_parser(words()).hide_possible_values(true),
        ("functions", "WORD") => argument
            .value_parser(of(functions().map(|function| function.name)))
            .hide_possible_values(true),
        _ => argument,
    }
}

/// What an argument is, in one line.
fn said(verb: &str, id: &str) -> &'static str {
    match (verb, id) {
        ("manual", "FOLDER") => "the folder that the pages are written into",
        ("check", "FILE") => "the worksheets; `-` is standard input",
        ("new", "FILE") => "where the starter is written, never over a file that is there",
        ("add", "FILE") => "the worksheet, whose table it goes into",
        ("add", _) => "the table, then columns and cells, or cells in order",
        (_, "FILE") => "the worksheet; `-` is standard input",
        (_, "OTHER") => "the worksheet that it is compared with",
        ("new", "KIND") => "what sort of worksheet",
        ("completions", _) => "the command shell",
        ("help", _) => "a verb, a word of the language, a function, a unit, or a code",
        ("functions", _) => "a word, a name, or two units",
        ("units", _) => "a unit, or what it measures",
        (_, "NAME") => "the entry, or a table that a function makes",
        (_, "INPUT") => "the input that is varied",
        (_, "ANSWER=VALUE") => "the answer, and the value it is to have",
        (_, "case") => "the scenario that is worked out",
        (_, "set") => "a value held over an entry, as a trial does; may stand several times",
        (_, "format") => "how the result is written",
        (_, "digits") => "significant digits of calculated numbers, from 1 to 28",
        (_, "depth") => "how many levels of a derivation, from 0 to 1000",
        (_, "draws") => "how many draws of the inputs",
        (_, "seed") => "a whole number that gives the same draws again",
        (_, "all") => "tells all of it, in place of what decides alone",
        (_, "plot") => "the answer that is drawn",
        (_, "from") => "the first value of the input",
        (_, "to") => "the last value of the input",
        (_, "step") => "how far apart the values are",
        (_, "values") => "how many values",
        (_, "by") => "a second input, across the table",
        (_, "by-from") => "its first value",
        (_, "by-to") => "its last value",
        (_, "by-step") => "how far apart its values are",
        (_, "by-values") => "how many values of it",
        (_, "varying") => "the input that is varied",
        (_, "between") => "the interval that is searched",
        (_, "time-limit") => "how many seconds a run may take, 10 where nothing is said",
        (_, "plain") => "draws charts with plain ASCII characters",
        (_, "o") => "where the page is written; without it, it goes to standard output",
        ("page", "port") => "the port it is shown at; a free one where nothing is said",
        ("page", "class") => "lets pupils in the same network in, each with trials of their own",
        (_, "card") => "one page to hang on the set",
        (_, "pupil") => "a page to fill in, with room to write",
        (_, "key") => "the answers to the page to fill in",
        ("tidy", "check") => "writes nothing, and ends with 1 where something would change",
        _ => "",
    }
}

fn kinds() -> ValueParser {
    let kinds = starters::kinds().map(|(name, summary)| PossibleValue::new(name).help(summary));
    PossibleValuesParser::new(kinds).into()
}

/// What `help` has a page for and a command shell can take as it is.
fn words() -> ValueParser {
    let verbs = VERBS.iter().map(|verb| verb.name);
    let terms = TERMS.iter().flat_map(|term| term.words.iter().copied());
    let codes = Code::ALL.iter().map(|code| code.word());
    let cautions = CAUTIONS.iter().map(|caution| caution.code);
    let remarks = REMARKS.iter().map(|remark| remark.code);
    let names = functions().map(|function| function.name);
    of(verbs
        .chain(terms)
        .chain(codes)
        .chain(cautions)
        .chain(remarks)
        .chain(names))
}

fn of(words: impl Iterator<Item = &'static str>) -> ValueParser {
    let plain = |word: &&str| {
        word.chars()
            .all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'))
    };
    let mut words: Vec<&'static str> = words.filter(plain).collect();
    words.sort_unstable();
    words.dedup();
    PossibleValuesParser::new(words).into()
}
