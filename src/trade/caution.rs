//! The cautions: code, when, what must be said, and the source.

use super::Source;

/// A caution, printed once a report.
#[derive(PartialEq, Debug)]
pub struct Caution {
    /// The code word.
    pub code: &'static str,
    /// What it must say.
    pub text: &'static str,
    /// Where it comes from.
    pub source: Source,
}
