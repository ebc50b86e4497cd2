//! What a report or a study was worked out for: the worksheet, its case and its trials.
//!
//! It goes into every written form, and is put into words here alone. Start reading at
//! [`InHand`].

use serde::Serialize;

use super::document::{Sentence, terminal};
use super::model::Report;

/// What a study was worked out for.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize)]
pub struct InHand {
    /// The worksheet's title.
    pub title: Option<String>,
    /// The worksheet's file, as people are told it.
    pub file: String,
    /// The case in hand; nothing in the base.
    pub case: Option<String>,
    /// Its title.
    #[serde(skip)]
    pub case_title: Option<String>,
    /// The trials, as they could be typed.
    pub trials: Vec<String>,
}

/// How case and trials are introduced.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Words {
    /// Before the name of the case.
    pub case: &'static str,
    /// Before the trials.
    pub trials: &'static str,
}

/// What is worked out in the case and with the trials.
pub(super) const USUAL: Words = Words {
    case: "Case ",
    trials: "On trial",
};

impl InHand {
    /// What stands above it in a table.
    pub(super) const HEADINGS: [&'static str; 4] = ["title", "file", "case", "trials"];

    /// It as cells of a table.
    pub(super) fn cells(&self) -> [String; 4] {
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        [
            text(&self.title),
            self.file.clone(),
            text(&self.case),
            self.trials.join("; "),
        ]
    }

    /// Case and trials as lines for a terminal.
    pub fn lines(&self) -> Vec<String> {
        let told = self.sentences(USUAL, None);
        told.iter().map(terminal::plain).collect()
    }

    /// Case and trials, each behind the words that introduce it.
    pub(super) fn sentences(&self, words: Words, other: Option<&InHand>) -> Vec<Sentence> {
        let both = if other.is_some() { ", in both" } else { "" };
        let title = self.case_title.iter().filter(|_| other.is_none());
        let title: String = title.map(|title| format!(": {title}")).collect();
        let case = self.case.as_ref();
        let case = case.map(|case| Sentence::from(words.case).code(case).plain(format!("{title}{both}")));
        let trials = match other {
            None => vec![self.on_trial(words.trials)],
            Some(other) if other.trials == self.trials => vec![self.on_trial("On trial in both")],
            Some(other) => vec![self.on_trial("On trial in A"), other.on_trial("On trial in B")],
        };
        case.into_iter().chain(trials.into_iter().flatten()).collect()
    }

    fn on_trial(&self, introduced: &str) -> Option<Sentence> {
        let mut told = Sentence::from(format!("{introduced}: "));
        for (place, trial) in self.trials.iter().enumerate() {
            told = told.plain(if place > 0 { ", " } else { "" }).code(trial);
        }
        (!self.trials.is_empty()).then_some(told)
    }
}

impl Report {
    /// What all of it was worked out for.
    pub fn in_hand(&self) -> InHand {
        InHand {
            title: self.title.clone(),
            file: self.file.clone(),
            case: self.case.as_ref().map(|case| case.name.clone()),
            case_title: self.case.as_ref().and_then(|case| case.title.clone()),
            trials: self.trials.clone(),
        }
    }
}
