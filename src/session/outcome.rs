//! What an act came to: what a person should be told, or why nothing was done.
//!
//! Start reading at [`Outcome`] and [`Refusal`].

use crate::problem::Code;
use crate::report::change::Changes;
use crate::report::drawing::DrawnProblem;
use crate::report::model::{Check, Entry, Severity};
use crate::trade::Caution;

/// What an act came to, for a person to be told.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    /// What was done, a line each.
    pub told: Vec<String>,
    /// Entries to show as they stand now.
    pub entries: Vec<Entry>,
    /// What changed in answers and checks; `None` where nothing should.
    pub changes: Option<Changes>,
    /// What stands a line each as it is, below what was done.
    pub listed: Vec<String>,
    /// Checks that go on failing, where somebody may take silence for success.
    pub still: Vec<Check>,
    /// Problems that were not there before.
    pub problems: Vec<DrawnProblem>,
    /// Cautions that were not told before in this session, in the words of where they were found.
    pub cautions: Vec<(&'static Caution, String)>,
    /// How many problems have gone.
    pub mended: usize,
    /// How many problems have come back with a step undone or done again.
    pub back: usize,
    /// Whether it goes without saying that no answer changes.
    pub(super) quiet: bool,
}

impl Outcome {
    /// An outcome that says something, and what changed.
    pub(super) fn said(text: impl Into<String>) -> Outcome {
        Outcome {
            told: vec![text.into()],
            ..Outcome::default()
        }
    }

    /// Without a word where no answer changes.
    pub(super) fn quietly(mut self) -> Outcome {
        self.quiet = true;
        self
    }
}

/// Why nothing was done.
#[derive(Clone, Debug)]
pub struct Refusal {
    /// The problems, drawn where there is a line to mark.
    pub problems: Vec<DrawnProblem>,
}

impl Refusal {
    /// A refusal in words, with no line to mark.
    pub fn new(message: impl Into<String>) -> Refusal {
        Refusal {
            problems: vec![placeless("", "", message.into(), None)],
        }
    }

    /// With the one thing to do.
    pub fn help(mut self, help: impl Into<String>) -> Refusal {
        if let Some(problem) = self.problems.last_mut() {
            problem.help = Some(help.into());
        }
        self
    }

    /// A problem with a file, which has a code but no line.
    pub(crate) fn of_file(file: &str, code: Code, message: impl Into<String>) -> Refusal {
        Refusal {
            problems: vec![placeless(file, code.word(), message.into(), None)],
        }
    }

    /// With the nearest of what there is, where something is near.
    pub(super) fn near(self, near: Option<&str>) -> Refusal {
        match near {
            Some(near) => self.help(format!("write `{near}`, if that is meant")),
            None => self,
        }
    }
}

fn placeless(file: &str, code: &str, message: String, help: Option<String>) -> DrawnProblem {
    DrawnProblem {
        file: file.to_owned(),
        code: code.to_owned(),
        severity: Severity::Problem,
        message,
        line: 0,
        column: 0,
        text: String::new(),
        mark: 0..0,
        label: String::new(),
        labels: Vec::new(),
        help,
        cell: None,
    }
}
