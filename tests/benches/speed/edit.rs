//! From typed text to changed answers, in a worksheet of 100 000 entries.

use tarebook::sheet::{Held, HeldValue, Holder, Reading, Sheet};
use tarebook::syntax::edit::Touched;
use tarebook::syntax::parse_typed;
use tarebook::syntax::tree::{Typed, Value};
use tarebook::text::Span;

use crate::Extent;
use crate::clock::{Bounds, Measure, median};
use crate::sheets::{Chain, Digits};

/// How much of reading the whole worksheet an edit may take.
const EDIT: f64 = 0.005;

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (entries, repeats) = match extent {
        Extent::Full => (100_000, 101),
        Extent::Glance => (2_000, 3),
    };
    let text = Chain::new(Digits::Long, entries).text();
    let reading = Measure::reading(&text, repeats.min(5));
    let mut sheet = Sheet::load(text, None);
    assert!(!sheet.has_problems());
    let mut turn = 0;
    let trial = median(repeats, || {
        turn += 1;
        let changed = try_line(&mut sheet, &format!("edge = {}.5 lb ± 0.1 lb", 20 + turn % 9));
        assert_eq!(changed, 11);
    });
    bounds.hold_to("a trial typed, parsed, held, ten entries changed", trial, reading, EDIT);
    let cell = sheet.cell("edge").unwrap();
    sheet.release(cell);
    let edit = median(repeats, || {
        turn += 1;
        let before = answer(&sheet);
        let amount = if turn % 2 == 0 { "41" } else { "38.25" };
        replace_amount(&mut sheet, amount);
        assert_ne!(answer(&sheet), before);
    });
    bounds.hold_to("an entry edited in the text, ten entries changed", edit, reading, EDIT);
    let doubt = median(repeats, || sheet.appraise([sheet.cell("e9").unwrap()]));
    bounds.hold_to("the uncertainty of one answer of it", doubt, reading, EDIT);
    let question = median(repeats, || ask(&mut sheet, "e9 * 2 + edge"));
    bounds.hold_to(
        "an expression typed, worked out with its uncertainty",
        question,
        reading,
        EDIT,
    );
}

fn try_line(sheet: &mut Sheet, line: &str) -> usize {
    let Ok(Typed::Trial {
        name,
        value: Value::Given { expression, tolerance },
    }) = parse_typed(line)
    else {
        panic!("no trial: {line}");
    };
    let cell = sheet.cell(&name.text).unwrap();
    let tolerance = tolerance.map(|tolerance| *tolerance);
    let found = sheet.trial_value(cell, line, &expression, tolerance).unwrap();
    let held = Held {
        value: found.value,
        tolerance,
        by: Holder::Trial,
        written: line.to_owned(),
        source: None,
        note: None,
    };
    sheet.hold(cell, held).len()
}

fn ask(sheet: &mut Sheet, line: &str) -> HeldValue {
    let Ok(Typed::Expression { expression, unit }) = parse_typed(line) else {
        panic!("no expression: {line}");
    };
    sheet.evaluate(line, &expression, unit.as_ref()).unwrap().value
}

fn answer(sheet: &Sheet) -> tarebook::number::Number {
    match sheet.reading(sheet.cell("e9").unwrap()) {
        Reading::Number(number) => number,
        other => panic!("{other:?}"),
    }
}

fn replace_amount(sheet: &mut Sheet, amount: &str) {
    let item = sheet.item_of(sheet.cell("edge").unwrap()) as usize;
    let start = sheet.tree().items[item].start as usize;
    let line = sheet.tree().text_of(item);
    let from = start + line.find("= ").unwrap() + 2;
    let to = start + line.find(" lb").unwrap();
    let change = sheet.replace(Span::new(from, to), amount);
    assert_eq!(change.touched, Touched::One(item));
}
