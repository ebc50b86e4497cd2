//! The verbs, declared once for the command line and the interactive session.
//!
//! Help, completion, the list of arguments and the remark on names that are also
//! verbs read this one list, which is `verbs.txt` beside this file. Start reading at [`VERBS`].

use std::sync::LazyLock;

use crate::report::pages::VerbHelp;
use crate::text::{Record, records};

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
pub static VERBS: LazyLock<Vec<Verb>> = LazyLock::new(|| {
    let verb = |record: Record| Verb {
        name: record.name,
        command: record.part("command"),
        typed: record.part("typed"),
        summary: record.summary(),
        detail: record.detail(),
    };
    records(include_str!("verbs.txt")).map(verb).collect()
});

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
