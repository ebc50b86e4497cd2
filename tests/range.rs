//! What a value can be, where it is known only between two ends.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

use tarebook::number::Number;
use tarebook::sheet::range::{End, Range};
use tarebook::syntax::tree::ComparisonOperator;

fn number(text: &str) -> Number {
    match text.strip_prefix('-') {
        Some(text) => Number::parse(text).unwrap().neg(),
        None => Number::parse(text).unwrap(),
    }
}

/// `(48, …`, `[0, 57]`, `…, 9)`, `5`
fn range(text: &str) -> Range {
    let Some((low, high)) = text.split_once(", ") else {
        return Range::exactly(number(text));
    };
    let low = low.strip_prefix(['(', '[']).map(|at| End {
        at: number(at),
        open: low.starts_with('('),
    });
    let high_at = high.strip_suffix([')', ']']);
    let high = high_at.map(|at| End {
        at: number(at),
        open: high.ends_with(')'),
    });
    Range { low, high }
}

#[track_caller]
fn check(found: Range, expected: &str) {
    assert_eq!(found, range(expected));
}

#[test]
fn sums_and_differences_carry_the_known_end() {
    check(range("(48, …").plus(range("2")), "(50, …");
    check(range("57").plus(range("(48, …").turned()), "…, 9)");
    check(range("(48, …").plus(range("(48, …").turned()), "…, …");
    check(range("[1, 2]").plus(range("[10, 20)")), "[11, 22)");
}

#[test]
fn products_and_quotients_carry_it_where_the_sign_is_known() {
    check(range("(48, …").times(range("2")), "(96, …");
    check(range("-2").times(range("(48, …")), "…, -96)");
    check(range("(48, …").times(range("0")), "0");
    check(range("(48, …").times(range("[2, 3]")), "(96, …");
    check(range("(48, …").times(range("[-2, 3]")), "…, …");
    check(range("[-1, 4]").times(range("[-2, 3]")), "[-8, 12]");
    check(range("[-4, -1]").times(range("(48, …")), "…, -48)");
    check(range("[-4, -1]").times(range("[-3, -2]")), "[2, 12]");
    check(range("96").over(range("[-48, -32]")), "[-3, -2]");
    check(range("(48, …").over(range("24")), "(2, …");
    check(range("96").over(range("(48, …")), "(0, 2)");
    check(range("-96").over(range("(48, …")), "(-2, 0)");
    check(range("96").over(range("[0, …")), "(0, …");
    check(range("96").over(range("[0, 4]")), "[24, …");
    check(range("96").over(range("[-1, 4]")), "…, …");
    check(range("96").over(range("(0, …")), "(0, …");
    check(range("96").over(range("0")), "…, …");
    check(range("96").over(range("[32, 48]")), "[2, 3]");
}

#[test]
fn the_smaller_and_the_larger_of_two() {
    check(range("(48, …").least(range("57")), "(48, 57]");
    check(range("(48, …").least(range("40")), "40");
    check(range("(48, …").greatest(range("57")), "[57, …");
    check(range("(48, …").greatest(range("48")), "(48, …");
    check(range("(48, …").least(range("48")), "48");
    check(range("…, 9)").greatest(range("0")), "[0, 9)");
}

#[test]
fn what_can_be_either_takes_in_both() {
    check(range("3").or(range("[1, 2)")), "[1, 3]");
    check(range("(48, …").or(range("48")), "[48, …");
    check(range("…, 9)").or(range("2")), "…, 9)");
}

#[test]
fn roots_powers_and_steps() {
    check(range("(4, …").rising(Number::sqrt), "(2, …");
    check(range("(4, 5]").power(range("2")), "(16, 25]");
    check(range("(4, 5]").power(range("-1")), "[0.2, 0.25)");
    check(range("[-4, 5]").power(range("2")), "[0, 25]");
    check(range("[-4, 5]").power(range("3")), "[-64, 125]");
    check(range("[-4, 5]").power(range("-1")), "…, …");
    check(range("[-4, 5]").power(range("0.5")), "…, …");
    check(range("(4.2, 5.9)").stepped(Number::floor), "[4, 5]");
    check(range("…, -3)").magnitude(), "(3, …");
    check(range("[-4, 3]").magnitude(), "[0, 4]");
}

#[test]
fn comparisons_are_decided_only_where_all_of_it_agrees() {
    use ComparisonOperator::{AtLeast, AtMost, Equal, Greater, Less, Unequal};
    let stalls = range("(48, …");
    assert_eq!(stalls.compared(AtLeast, range("40")), Some(true));
    assert_eq!(stalls.compared(AtLeast, range("48")), Some(true));
    assert_eq!(stalls.compared(Greater, range("48")), Some(true));
    assert_eq!(stalls.compared(AtMost, range("48")), Some(false));
    assert_eq!(stalls.compared(Less, range("40")), Some(false));
    assert_eq!(stalls.compared(AtLeast, range("48.1")), None);
    assert_eq!(stalls.compared(Equal, range("48")), Some(false));
    assert_eq!(stalls.compared(Equal, range("50")), None);
    assert_eq!(stalls.compared(Unequal, range("48")), Some(true));
    assert_eq!(range("57").compared(AtMost, stalls), None);
    assert_eq!(range("[2, 3]").compared(AtMost, range("3")), Some(true));
    assert_eq!(range("[2, 3]").compared(Less, range("3")), None);
}
