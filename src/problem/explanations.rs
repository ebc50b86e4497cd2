//! The long explanation of every problem code, with a wrong and a mended example.
//!
//! They are read from `explanations.txt` beside this file. Start reading at [`EXPLANATIONS`].

use std::sync::LazyLock;

use crate::text::{Record, records};

use super::Code;

/// What `help CODE` tells.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// The code explained.
    pub code: Code,
    /// Why this is a problem, in whole sentences; an empty line parts paragraphs.
    pub text: &'static str,
    /// A small worksheet that has the problem; empty where files or sheer size are needed.
    pub wrong: String,
    /// The same, mended.
    pub mended: String,
}

/// Every explanation, in the order of [`Code::ALL`].
pub static EXPLANATIONS: LazyLock<Vec<Explanation>> = LazyLock::new(|| {
    let explained = |record: Record| {
        Some(Explanation {
            code: Code::named(record.name)?,
            text: record.text(),
            wrong: worksheet(record.part("wrong")),
            mended: worksheet(record.part("fixed")),
        })
    };
    records(include_str!("explanations.txt"))
        .filter_map(explained)
        .collect()
});

/// The explanation of a code.
pub fn explanation(code: Code) -> Option<&'static Explanation> {
    EXPLANATIONS.iter().find(|explanation| explanation.code == code)
}

/// A worksheet with its signs that can't be seen.
fn worksheet(written: Option<&str>) -> String {
    let Some(written) = written else {
        return String::new();
    };
    let mut pieces = written.split("\\u{");
    let mut text = pieces.next().unwrap_or("").to_owned();
    for piece in pieces {
        let (code, rest) = piece.split_once('}').unwrap_or((piece, ""));
        text.extend(u32::from_str_radix(code, 16).ok().and_then(char::from_u32));
        text.push_str(rest);
    }
    text + "\n"
}
