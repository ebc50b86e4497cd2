//! Cases, trials and edits come and go: what is left is what a fresh load gives.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use tarebook::number::Number;
use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet};
use tarebook::text::Span;

const WORKSHEET: &str = "assumed fuel = 12 lb\nassumed rate = 2 lb/h\nworked hours [h] = fuel / rate\n\
case thirsty\n  rate = 3 lb/h\ncase full\n  fuel = 18 lb\n";

fn load(text: &str) -> Sheet {
    Sheet::load(text.to_owned(), None)
}

fn hours(sheet: &Sheet) -> String {
    match sheet.reading(sheet.cell("hours").unwrap()) {
        Reading::Number(number) => number.to_plain(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_case_leaves_nothing_behind() {
    let mut sheet = load(WORKSHEET);
    let steps = [
        (Some("thirsty"), "4"),
        (Some("full"), "9"),
        (None, "6"),
        (Some("thirsty"), "4"),
        (Some("base"), "6"),
    ];
    for (case, wanted) in steps {
        sheet.set_case(case).unwrap();
        assert_eq!(hours(&sheet), wanted, "{case:?}");
    }
}

#[test]
fn a_trial_leaves_nothing_behind() {
    let mut sheet = load(WORKSHEET);
    let rate = sheet.cell("rate").unwrap();
    let held = Held {
        value: HeldValue::Number(Number::from_integer(1)),
        tolerance: None,
        by: Holder::Trial,
        written: "1 lb/h".to_owned(),
        source: None,
        note: None,
    };
    sheet.hold(rate, held.clone());
    assert_eq!(hours(&sheet), "12");
    sheet.release(rate);
    assert_eq!(hours(&sheet), "6");
    sheet.set_case(Some("thirsty")).unwrap();
    sheet.hold(rate, held);
    assert_eq!(hours(&sheet), "12");
    sheet.release(rate);
    assert_eq!(hours(&sheet), "4");
}

#[test]
fn an_edited_input_is_followed() {
    let mut sheet = load(WORKSHEET);
    let at = sheet.text().find("12 lb").unwrap();
    sheet.replace(Span::new(at, at + 2), "16");
    assert_eq!(hours(&sheet), "8");
    sheet.set_case(Some("full")).unwrap();
    sheet.set_case(None).unwrap();
    assert_eq!(hours(&sheet), "8");
}
