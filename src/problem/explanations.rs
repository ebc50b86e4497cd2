//! The long explanation of every problem code, with a wrong and a mended example.

use super::Code;

/// What `help CODE` tells.
#[derive(Clone, Copy, Debug)]
pub struct Explanation {
    /// The code explained.
    pub code: Code,
    /// Why this is a problem, in whole sentences.
    pub text: &'static str,
    /// A small worksheet that has the problem; empty where files are needed.
    pub wrong: &'static str,
    /// The same, mended.
    pub mended: &'static str,
}

/// Every explanation, in the order of [`Code::ALL`].
pub const EXPLANATIONS: &[Explanation] = &[];
