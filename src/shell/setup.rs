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
use clap_mangen::generate_to;

use crate::problem::Code;
use crate::report::language::TERMS;
use crate::report::pages::REMARKS;
use crate::session::starters::STARTERS;
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
    generate(shell, &mut declared(), "tarebook", &mut text);
    output.write_all(&text)
}

/// Writes the manual into a folder, a page for the program and one for each verb; gives
/// back how many. The folder is made where it isn't there.
///
/// # Errors
/// Those of the folder.
pub(super) fn manual(folder: &Path) -> io::Result<usize> {
    fs::create_dir_all(folder)?;
    generate_to(declared(), folder)?;
    Ok(command_help().len() + 1)
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
            .long_about(format!("{}\n\n{}", help.usage, help.detail))
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
        (_, "from") => "the first value of the input",
        (_, "to") => "the last value of the input",
        (_, "step") => "how far apart the values are",
        (_, "points") => "how many values",
        (_, "varying") => "the input that is varied",
        (_, "between") => "the interval that is searched",
        (_, "seconds") => "how many seconds a run may take, 10 where nothing is said",
        (_, "plain") => "draws charts with the letters of a typewriter",
        (_, "o") => "where the page is written; without it, it goes to standard output",
        (_, "blank") => "leaves what is worked out to the reader, with an answer key at the end",
        ("tidy", "check") => "writes nothing, and ends with 1 where something would change",
        _ => "",
    }
}

fn kinds() -> ValueParser {
    let kinds = STARTERS
        .iter()
        .map(|starter| PossibleValue::new(starter.name).help(starter.summary));
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
