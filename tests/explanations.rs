//! The long explanations: one for each code, each with examples that run.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::problem::explanations::{EXPLANATIONS, explanation};
use tarebook::problem::{Code, Severity};
use tarebook::sheet::Sheet;

/// The codes of a worksheet's problems, each once.
fn codes(worksheet: &str) -> Vec<&'static str> {
    let sheet = Sheet::load(worksheet.to_owned(), None);
    let mut codes: Vec<&'static str> = sheet.problems().iter().map(|problem| problem.code.word()).collect();
    codes.dedup();
    codes
}

#[test]
fn every_code_is_explained_in_order() {
    let explained: Vec<Code> = EXPLANATIONS.iter().map(|explanation| explanation.code).collect();
    assert_eq!(explained, Code::ALL);
    for code in Code::ALL {
        assert_eq!(explanation(*code).map(|found| found.code), Some(*code));
    }
}

#[test]
fn explanations_are_whole_sentences() {
    for explanation in EXPLANATIONS.iter() {
        let word = explanation.code.word();
        for paragraph in explanation.text.split("\n\n") {
            let first = paragraph.chars().next().expect(word);
            let closed = paragraph.ends_with(['.', ':', '?']) || paragraph.starts_with("    ");
            assert!(closed, "{word}: `{paragraph}` is not closed");
            let opens = first.is_uppercase() || first == '`' || first == ' ';
            assert!(opens, "{word}: `{paragraph}` begins with a small letter");
            assert!(
                !paragraph.contains("  ") || first == ' ',
                "{word}: two spaces in `{paragraph}`"
            );
        }
        assert!(explanation.text.len() > 150, "{word} is explained in too few words");
        assert_eq!(explanation.wrong.is_empty(), explanation.mended.is_empty(), "{word}");
    }
}

/// A lint may be raised where more is known than the sheet, such as the session's
/// words; a problem must show here.
#[test]
fn wrong_examples_have_their_problem_alone_and_mended_ones_none() {
    let mut strays = Vec::new();
    for explanation in EXPLANATIONS.iter().filter(|explanation| !explanation.wrong.is_empty()) {
        let word = explanation.code.word();
        let (wrong, mended) = (codes(&explanation.wrong), codes(&explanation.mended));
        let lint = explanation.code.severity() == Severity::Lint;
        let only_its_own = wrong == [word] || (lint && wrong.is_empty());
        if !only_its_own || !mended.is_empty() {
            strays.push(format!(
                "{word}: the wrong example has {wrong:?}, the mended one {mended:?}"
            ));
        }
    }
    assert!(strays.is_empty(), "{}", strays.join("\n"));
}
