//! The words of the worksheet language, each explained with a short example.
//!
//! What `help measured` or `help ±` tells. An example is a worksheet that runs
//! as it stands. They are read from `language.txt` beside this file. Start reading at [`TERMS`].

use std::sync::LazyLock;

use crate::text::{Record, records};

/// A word of the language.
#[derive(Clone, Debug)]
pub struct Term {
    /// The word and others that lead to the same page; the first heads it.
    pub words: Vec<&'static str>,
    /// What it does, in one line.
    pub summary: &'static str,
    /// The whole story, in sentences; an empty line parts paragraphs.
    pub text: &'static str,
    /// A worksheet that shows it.
    pub example: &'static str,
}

/// The term of a word, whatever its capitals.
pub fn term(word: &str) -> Option<&'static Term> {
    let lower = word.to_lowercase();
    TERMS.iter().find(|term| term.words.contains(&lower.as_str()))
}

/// Every word of the language, in the order a learner meets them.
pub static TERMS: LazyLock<Vec<Term>> = LazyLock::new(|| {
    let term = |record: Record| Term {
        words: record.name.split(", ").collect(),
        summary: record.summary(),
        text: record.detail(),
        example: record.part("example").unwrap_or(""),
    };
    records(include_str!("language.txt")).map(term).collect()
});
