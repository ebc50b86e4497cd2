//! Large worksheets: read in several stretches at once, to the tree that one
//! item after the other gives.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use std::fmt::Write as _;

use tarebook::syntax::parse;

/// Every item must be what it is alone, and all of them together the text.
fn check(text: String) {
    let sheet = parse(text.clone());
    let mut at = 0;
    for (index, item) in sheet.items.iter().enumerate() {
        assert_eq!(item.start, at, "item {index}");
        at += item.len;
        let mut alone = parse(sheet.text_of(index).to_owned()).items;
        alone.iter_mut().for_each(|alone| alone.start = item.start);
        let problems = alone.iter_mut().flat_map(|alone| &mut alone.problems);
        problems.for_each(|problem| problem.move_by(index as i64));
        assert_eq!(format!("{:?}", [item]), format!("{alone:?}"));
    }
    assert_eq!(at as usize, text.len());
    assert_eq!(sheet.text, text);
}

#[test]
fn many_items_of_every_kind() {
    let mut text = String::from("# A long winter\r\n");
    for night in 0..9_000 {
        let _ = write!(
            text,
            "> What the scale said in night {night}.\n\
             measured gross_{night} = 51.9 lb ± 0.05 lb from \"hanging scale\"\n\
             worked twice_{night} = (gross_{night} +\n    gross_{night})\n\
             mesured odd_{night} = 3 lb\n\
             table log_{night}\n| hours [h] | lb |\n|---|---|\n| 1 | 2 |\n\n-- a remark\n| 3 | 4 |\n"
        );
    }
    check(text);
}

#[test]
fn one_item_as_long_as_the_text() {
    let mut text = String::from("table log\n| hours [h] | gross [lb] |\n");
    for row in 0..60_000 {
        let _ = writeln!(text, "| {row} | {}.5 |", row % 50);
    }
    check(text);
}

#[test]
fn a_text_that_ends_within_a_stretch() {
    check("worked a = (1 lb +\n".repeat(60_000));
}
