//! Common words for what has a name of its own here: which verbs, words and functions
//! somebody may mean who asks for `runtime` or `refill`.
//!
//! The list is `synonyms.txt` beside this file; each target has a page of its own, which a test holds.
//! Start reading at [`SYNONYMS`] and [`meant`].

use crate::text::in_one_line;

use std::sync::LazyLock;

/// Words, and what they may mean, the likeliest first.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Synonym {
    /// What somebody may ask for, in lower case; several words have one space between them.
    pub words: Vec<&'static str>,
    /// The verbs, words of the language and functions meant.
    pub targets: Vec<&'static str>,
}

/// Every common word that leads somewhere else: in each line words, then what they may mean.
pub static SYNONYMS: LazyLock<Vec<Synonym>> = LazyLock::new(|| {
    let lines = include_str!("synonyms.txt").lines();
    let parted = lines.filter_map(|line| line.split_once(": "));
    let synonym = |(words, targets): (&'static str, &'static str)| Synonym {
        words: words.split(", ").collect(),
        targets: targets.split(", ").collect(),
    };
    parted.map(synonym).collect()
});

/// What somebody may mean by these words; empty where they are no common ones.
pub(super) fn meant(words: &str) -> &'static [&'static str] {
    let words = words.to_lowercase();
    let words = in_one_line(&words);
    let found = SYNONYMS.iter().find(|one| one.words.contains(&words.as_str()));
    found.map_or(&[], |one| &one.targets)
}
