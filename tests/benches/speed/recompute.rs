//! A whole worksheet computed again, against the same arithmetic written by hand.

use rust_decimal::Decimal;
use tarebook::number::{Checked, Number};
use tarebook::sheet::{Reading, Sheet};

use crate::Extent;
use crate::clock::{Bounds, medians_in_turn};
use crate::sheets::{Chain, Digits, Link};

/// How much longer than the hand-written loop the program may take.
const BOUND: f64 = 1.3;

pub(crate) fn run(extent: Extent, bounds: &mut Bounds) {
    let (entries, repeats) = match extent {
        Extent::Full => (100_000, 41),
        Extent::Glance => (2_000, 1),
    };
    for digits in [Digits::Short, Digits::Long] {
        against_hand(digits, entries, repeats, bounds);
    }
}

fn against_hand(digits: Digits, entries: usize, repeats: usize, bounds: &mut Bounds) {
    let chain = Chain::new(digits, entries);
    let mut sheet = Sheet::load(chain.text(), None);
    assert!(!sheet.has_problems(), "{:?}", sheet.problems().first());
    agree(&sheet, &chain);
    let inputs: Vec<Number> = chain
        .inputs
        .iter()
        .map(|tenths| Number::from_parts(i128::from(*tenths), 1).unwrap())
        .collect();
    let raw: Vec<Decimal> = chain.inputs.iter().map(|tenths| Decimal::new(*tenths, 1)).collect();
    let mut values = Vec::with_capacity(entries);
    let (program, hand) = medians_in_turn(repeats, &mut || sheet.recompute(), &mut || {
        by_number(&chain, &inputs, &mut values).unwrap();
    });
    let mut raw_values = Vec::with_capacity(entries);
    let (again, raw_hand) = medians_in_turn(repeats, &mut || sheet.recompute(), &mut || {
        by_decimal(&chain, &raw, &mut raw_values).unwrap();
    });
    let each = |time: std::time::Duration| time.as_secs_f64() * 1e9 / entries as f64;
    bounds.tell(&format!("{digits:?}: recompute, an entry"), each(program), "ns");
    bounds.tell(
        &format!("{digits:?}: by hand over `Number`, an entry"),
        each(hand),
        "ns",
    );
    bounds.tell(
        &format!("{digits:?}: by hand over decimals, checked, an entry"),
        each(raw_hand),
        "ns",
    );
    bounds.hold(
        &format!("{digits:?}: recompute to hand-written over `Number`"),
        each(program) / each(hand),
        "×",
        BOUND,
    );
    bounds.hold(
        &format!("{digits:?}: recompute to hand-written over decimals"),
        each(again) / each(raw_hand),
        "×",
        BOUND,
    );
}

/// The program and the hand-written loop must give the same values.
fn agree(sheet: &Sheet, chain: &Chain) {
    let inputs: Vec<Number> = chain
        .inputs
        .iter()
        .map(|tenths| Number::from_parts(i128::from(*tenths), 1).unwrap())
        .collect();
    let mut values = Vec::new();
    by_number(chain, &inputs, &mut values).unwrap();
    for (place, value) in values.iter().enumerate() {
        let cell = sheet.cell(&format!("c{place}")).unwrap();
        assert_eq!(sheet.reading(cell), Reading::Number(*value), "c{place}");
    }
}

fn by_number(chain: &Chain, inputs: &[Number], values: &mut Vec<Number>) -> Checked<()> {
    values.clear();
    let (near, far, eight, two) = (
        Number::from_parts(9999, 4).unwrap(),
        Number::from_parts(10_001, 4).unwrap(),
        Number::from_integer(8),
        Number::from_integer(2),
    );
    for (place, link) in chain.links.iter().enumerate() {
        let (before, early) = operands(place, *link, inputs, values);
        let (input, other, factor) = (inputs[link.input], inputs[link.other], inputs[link.other + 50]);
        let larger = || if early > before { early } else { before };
        values.push(match (chain.digits, link.kind) {
            (Digits::Short, 0) => before.add(input)?.sub(other)?,
            (Digits::Short, 1) => larger().sub(input)?,
            (Digits::Short, 2) => input.mul(factor)?.sub(before)?,
            (Digits::Short, 3) => input.div(eight)?.add(early)?,
            (Digits::Short, _) => before.sub(input)?.add(other)?,
            (Digits::Long, 0) => before.mul(near)?.add(input)?,
            (Digits::Long, 1) => before.div(far)?.sub(input)?,
            (Digits::Long, 2) => larger().mul(near)?,
            (Digits::Long, 3) => before.add(early)?.div(two)?,
            (Digits::Long, _) => before.sub(input.mul(near)?)?,
        });
    }
    std::hint::black_box(values.last());
    Ok(())
}

fn by_decimal(chain: &Chain, inputs: &[Decimal], values: &mut Vec<Decimal>) -> Option<()> {
    values.clear();
    let (near, far) = (Decimal::new(9999, 4), Decimal::new(10_001, 4));
    let (eight, two) = (Decimal::from(8), Decimal::from(2));
    for (place, link) in chain.links.iter().enumerate() {
        let (before, early) = operands(place, *link, inputs, values);
        let (input, other, factor) = (inputs[link.input], inputs[link.other], inputs[link.other + 50]);
        let larger = || if early > before { early } else { before };
        values.push(match (chain.digits, link.kind) {
            (Digits::Short, 0) => before.checked_add(input)?.checked_sub(other)?,
            (Digits::Short, 1) => larger().checked_sub(input)?,
            (Digits::Short, 2) => input.checked_mul(factor)?.checked_sub(before)?,
            (Digits::Short, 3) => input.checked_div(eight)?.checked_add(early)?,
            (Digits::Short, _) => before.checked_sub(input)?.checked_add(other)?,
            (Digits::Long, 0) => before.checked_mul(near)?.checked_add(input)?,
            (Digits::Long, 1) => before.checked_div(far)?.checked_sub(input)?,
            (Digits::Long, 2) => larger().checked_mul(near)?,
            (Digits::Long, 3) => before.checked_add(early)?.checked_div(two)?,
            (Digits::Long, _) => before.checked_sub(input.checked_mul(near)?)?,
        });
    }
    std::hint::black_box(values.last());
    Some(())
}

fn operands<N: Copy>(place: usize, link: Link, inputs: &[N], values: &[N]) -> (N, N) {
    match place {
        0 => (inputs[0], inputs[1]),
        _ => (values[place - 1], values[link.early]),
    }
}
