//! Exact decimals: literals, checked arithmetic, and what must never vanish.
//!
//! Check values are worked by hand, taken from mathematical tables as
//! remembered, or stand in `tests/data/decimal.csv`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

use proptest::prelude::*;

use tarebook::number::{Checked, Number, Real, Trouble, Unreadable};

/// A signed literal.
fn number(text: &str) -> Number {
    match text.strip_prefix('-') {
        Some(plain) => Number::parse(plain).unwrap().neg(),
        None => Number::parse(text).unwrap_or_else(|trouble| panic!("{text}: {trouble:?}")),
    }
}

// ---- decimal arithmetic against the data file ----

/// `+ - * /` and parentheses over literals, left to right.
struct Evaluator<'a> {
    left: &'a str,
}

impl Evaluator<'_> {
    fn peek(&mut self) -> Option<char> {
        self.left = self.left.trim_start();
        self.left.chars().next()
    }

    fn sum(&mut self) -> Number {
        let mut value = self.product();
        while let Some(sign @ ('+' | '-')) = self.peek() {
            self.left = &self.left[1..];
            let next = self.product();
            value = if sign == '+' { value.add(next) } else { value.sub(next) }.unwrap();
        }
        value
    }

    fn product(&mut self) -> Number {
        let mut value = self.factor();
        while let Some(sign @ ('*' | '/')) = self.peek() {
            self.left = &self.left[1..];
            let next = self.factor();
            value = if sign == '*' { value.mul(next) } else { value.div(next) }.unwrap();
        }
        value
    }

    fn factor(&mut self) -> Number {
        if self.peek() == Some('(') {
            self.left = &self.left[1..];
            let value = self.sum();
            assert_eq!(self.peek(), Some(')'));
            self.left = &self.left[1..];
            return value;
        }
        let end = self.left.find(|c: char| !(c.is_ascii_digit() || c == '.'));
        let (digits, rest) = self.left.split_at(end.unwrap_or(self.left.len()));
        self.left = rest;
        number(digits)
    }
}

#[test]
fn every_row_of_the_decimal_data() {
    let mut reader = csv::Reader::from_path("tests/data/decimal.csv").unwrap();
    let mut checked = 0;
    for row in reader.records().map(Result::unwrap) {
        let got = Evaluator { left: &row[1] }.sum();
        let expected = number(&row[2]);
        if &row[3] == "yes" {
            assert_eq!(got, expected, "{row:?}");
        } else {
            let (got, expected) = (got.round_significant(27), expected.round_significant(27));
            assert_eq!(got, expected, "{row:?}");
        }
        checked += 1;
    }
    assert_eq!(checked, 20);
}

// ---- literals ----

#[track_caller]
fn check_literal(text: &str, plain: &str, decimals: u32) {
    let got = Number::parse(text).expect(text);
    assert_eq!((got.to_plain().as_str(), got.decimals()), (plain, decimals), "{text}");
}

#[test]
fn literals_are_read_exactly() {
    check_literal("0", "0", 0);
    check_literal("12", "12", 0);
    check_literal("0.25", "0.25", 2);
    check_literal("16.40", "16.4", 2);
    check_literal("1_250", "1250", 0);
    check_literal("1_250.50", "1250.5", 2);
    check_literal("6.2e3", "6200", 0);
    check_literal("6.2E+3", "6200", 0);
    check_literal("11.5e-6", "0.0000115", 7);
    check_literal("1e28", "10000000000000000000000000000", 0);
    check_literal("7.9e28", "79000000000000000000000000000", 0);
    check_literal("1e-28", "0.0000000000000000000000000001", 28);
    check_literal("1234567890123456789012345678", "1234567890123456789012345678", 0);
    check_literal("0.1234567890123456789012345678", "0.1234567890123456789012345678", 28);
    check_literal("000000000000000000000000000000001.5", "1.5", 1);
    check_literal("1.5000000000000000000000000000000000", "1.5", 1);
    check_literal("1230000000000000000000000000e-26", "12.3", 26);
    check_literal("0e99", "0", 0);
}

#[track_caller]
fn check_unreadable(text: &str, expected: Unreadable) {
    assert_eq!(Number::parse(text), Err(expected), "{text}");
}

#[test]
fn what_cannot_be_held_is_not_rounded() {
    check_unreadable("12345678901234567890123456789", Unreadable::TooManyDigits);
    check_unreadable("0.12345678901234567890123456789", Unreadable::TooManyDigits);
    check_unreadable("1.5e-28", Unreadable::TooManyDigits);
    check_unreadable("8e28", Unreadable::OutOfRange);
    check_unreadable("1e29", Unreadable::OutOfRange);
    check_unreadable("1e-29", Unreadable::OutOfRange);
    check_unreadable("1e99999999999999999999999", Unreadable::OutOfRange);
    check_unreadable("1000e9223372036854775807", Unreadable::OutOfRange);
    check_unreadable("1000e-9223372036854775808", Unreadable::OutOfRange);
    for text in [
        "", ".", ".5", "5.", "1_", "_1", "1__0", "1_.5", "1.2.3", "1e", "1e+", "e5", "1,5", "-1", "+1", "NaN", "inf",
        "0x10", "1 000", "٣",
    ] {
        check_unreadable(text, Unreadable::NotANumber);
    }
}

// ---- guards ----

#[track_caller]
fn check(got: Checked<Number>, expected: Result<&str, Trouble>) {
    let got = got.map(Number::to_plain);
    assert_eq!(got.as_deref(), expected.as_ref().map(|plain| *plain));
}

#[test]
fn nothing_vanishes_and_nothing_overflows_silently() {
    let n = number;
    check(n("1e-15").mul(n("1e-14")), Err(Trouble::TooSmall));
    check(n("1.5e-15").mul(n("3.3e-14")), Err(Trouble::TooSmall));
    check(n("1e-14").mul(n("1e-14")), Ok("0.0000000000000000000000000001"));
    check(n("1e-28").mul(n("1")), Ok("0.0000000000000000000000000001"));
    check(n("1.03e-14").mul(n("1e-13")), Err(Trouble::TooSmall));
    check(n("1e-20").div(n("3")), Err(Trouble::TooSmall));
    check(n("1e-20").div(n("4")), Ok("0.0000000000000000000025"));
    check(n("1e-28").div(n("7")), Err(Trouble::TooSmall));
    check(n("0").mul(n("1e-28")), Ok("0"));
    check(n("0").div(n("3")), Ok("0"));
    check(n("1").div(n("0")), Err(Trouble::DivisionByZero));
    check(n("0").div(n("0")), Err(Trouble::DivisionByZero));
    check(n("7.9e28").add(n("7.9e28")), Err(Trouble::TooLarge));
    check(n("-7.9e28").sub(n("7.9e28")), Err(Trouble::TooLarge));
    check(n("1e15").mul(n("1e15")), Err(Trouble::TooLarge));
    check(n("1e15").div(n("1e-15")), Err(Trouble::TooLarge));
    check(n("0.1").add(n("0.2")), Ok("0.3"));
    check(n("20.0").mul(n("2.50")), Ok("50"));
}

#[test]
fn functions_keep_to_their_domain() {
    let n = number;
    check(
        n("2").sqrt().map(|x| x.round_significant(27)),
        Ok("1.41421356237309504880168872"),
    );
    check(n("0").sqrt(), Ok("0"));
    check(n("0").neg().sqrt(), Ok("0"));
    check(n("-4").sqrt(), Err(Trouble::RootOfNegative));
    check(
        n("1").exp().map(|x| x.round_significant(27)),
        Ok("2.71828182845904523536028747"),
    );
    check(n("67").exp(), Err(Trouble::TooLarge));
    check(n("-60").exp(), Err(Trouble::TooSmall));
    check(n("-1000").exp(), Err(Trouble::TooSmall));
    check(n("0").ln(), Err(Trouble::LogarithmOfNonPositive));
    check(n("-1").log10(), Err(Trouble::LogarithmOfNonPositive));
    check(n("1000").log10(), Ok("3"));
    check(
        n("10").ln().map(|x| x.round_significant(27)),
        Ok("2.30258509299404568401799145"),
    );
}

#[test]
fn powers_keep_to_their_domain() {
    let n = number;
    check(n("2").pow(n("10")), Ok("1024"));
    check(n("1.1").pow(n("2")), Ok("1.21"));
    check(n("2").pow(n("-2")), Ok("0.25"));
    check(n("-2").pow(n("3")), Ok("-8"));
    check(n("0").pow(n("0")), Ok("1"));
    check(n("0").pow(n("-1")), Err(Trouble::DivisionByZero));
    check(n("0").pow(n("-0.5")), Err(Trouble::DivisionByZero));
    check(n("0").pow(n("0.3")), Ok("0"));
    check(n("4").pow(n("0.5")), Ok("2"));
    check(n("4").pow(n("-0.5")), Ok("0.5"));
    check(n("-4").pow(n("0.5")), Err(Trouble::RootOfNegative));
    check(
        n("-8").pow(n("0.3333333333333333333333333333")),
        Err(Trouble::RootOfNegative),
    );
    check(n("0.5").pow(n("-90")), Ok("1237940039285380274899124224"));
    check(n("10").pow(n("29")), Err(Trouble::TooLarge));
    check(n("0.1").pow(n("40")), Err(Trouble::TooSmall));
    check(n("1e20").pow(n("-2")), Err(Trouble::TooSmall));
    check(n("2").pow(n("1e18")), Err(Trouble::TooLarge));
    check(n("0.5").pow(n("1e18")), Err(Trouble::TooSmall));
    check(n("1").pow(n("1e18")), Ok("1"));
    check(n("0.001").pow(n("1000.5")), Err(Trouble::TooSmall));
    check(n("1000").pow(n("1000.5")), Err(Trouble::TooLarge));
    check(n("1000").pow(n("-1000.5")), Err(Trouble::TooSmall));
    check(n("100").pow(n("1.5")).map(|x| x.round_significant(15)), Ok("1000"));
}

#[test]
fn binary_numbers_come_in_at_15_digits() {
    check(Number::from_f64(0.1 + 0.2), Ok("0.3"));
    check(Number::from_f64(1.0 / 3.0), Ok("0.333333333333333"));
    check(Number::from_f64(0.0), Ok("0"));
    check(Number::from_f64(-0.0), Ok("0"));
    check(Number::from_f64(1e-20), Ok("0.00000000000000000001"));
    check(Number::from_f64(1e29), Err(Trouble::TooLarge));
    check(Number::from_f64(f64::NAN), Err(Trouble::TooLarge));
    check(Number::from_f64(f64::NEG_INFINITY), Err(Trouble::TooLarge));
    check(Number::from_f64(1e-30), Err(Trouble::TooSmall));
    check(Number::from_f64(1.23456789e-26), Err(Trouble::TooSmall));
}

// ---- rounding, comparing, showing ----

#[test]
fn halves_round_away_from_zero() {
    let places = |text, places| number(text).round_places(places).to_plain();
    assert_eq!(places("2.675", 2), "2.68");
    assert_eq!(places("-2.675", 2), "-2.68");
    assert_eq!(places("0.5", 0), "1");
    assert_eq!(places("1.25", 40), "1.25");
    let digits = |text, digits| number(text).round_significant(digits).to_plain();
    assert_eq!(digits("12345", 4), "12350");
    assert_eq!(digits("0.00123456", 3), "0.00123");
    assert_eq!(digits("7.9e28", 1), "79000000000000000000000000000");
    assert_eq!(digits("0", 4), "0");
    assert_eq!(digits("1.2e-26", 15), "0.000000000000000000000000012");
    assert_eq!(number("1.2e-26").round_significant(15).to_f64(), 1.2e-26);
    assert_eq!(digits("16.4", 15), "16.4");
    assert_eq!(digits("123456", 2), "120000");
    assert_eq!(digits("99.96", 3), "100");
    assert_eq!(digits("-0.00045", 1), "-0.0005");
    assert_eq!(number("-1.5").floor().to_plain(), "-2");
    assert_eq!(number("-1.5").ceil().to_plain(), "-1");
    assert_eq!(number("-1.5").round().to_plain(), "-2");
}

#[test]
fn agreement_is_at_12_significant_digits() {
    let agree = |a, b| number(a).agrees_with(number(b));
    assert!(agree("1.20", "1.2"));
    assert!(agree("0.9999999999999999999999999999", "1"));
    assert!(agree("123456789012.3", "123456789012.35"));
    assert!(agree("2000000000000000", "2000000000004999"));
    assert!(!agree("2000000000000000", "2000000000005001"));
    assert!(!agree("1.00000000001", "1"));
    assert!(!agree("0", "1e-28"));
    assert!(!agree("1", "-1"));
    assert!(!agree("7.9e28", "-7.9e28"));
}

#[test]
fn magnitude_and_whole_numbers() {
    let magnitudes = [
        ("5.2", 0),
        ("0.52", -1),
        ("1000", 3),
        ("999.9", 2),
        ("0", 0),
        ("1e-28", -28),
    ];
    for (text, expected) in magnitudes {
        assert_eq!(number(text).magnitude(), expected, "{text}");
    }
    assert_eq!(number("12.00").to_integer(), Some(12));
    assert_eq!(number("12.5").to_integer(), None);
    assert_eq!(number("1e20").to_integer(), None);
    assert_eq!(number("-3").to_integer(), Some(-3));
    assert!(!number("0").neg().is_negative());
    assert_eq!(number("0").neg().to_string(), "0");
    assert_eq!(number("-5").mul(Number::ZERO).unwrap().to_plain(), "0");
}

#[test]
fn trouble_reads_as_a_message() {
    let all = [
        Trouble::DivisionByZero,
        Trouble::TooLarge,
        Trouble::TooSmall,
        Trouble::RootOfNegative,
        Trouble::LogarithmOfNonPositive,
    ];
    for text in all.map(|trouble| trouble.to_string()) {
        assert!(!text.ends_with('.') && text.starts_with(char::is_lowercase));
    }
}

/// One body of arithmetic, in both kinds.
fn in_kind<T: Real>(a: f64, b: f64) -> Checked<f64> {
    let (a, b) = (T::from_binary(a)?, T::from_binary(b)?);
    let value = a.times(b)?.plus(a.over(b)?)?.minus(T::one())?;
    Ok(value.round_up().minus(value.round_down())?.plus(value)?.to_binary())
}

#[test]
fn both_number_kinds_agree() {
    let exact = in_kind::<Number>(7.3, 2.5).unwrap();
    let binary = in_kind::<f64>(7.3, 2.5).unwrap();
    assert!((exact - binary).abs() < 1e-12);
    assert_eq!(in_kind::<Number>(1.0, 0.0), Err(Trouble::DivisionByZero));
    assert_eq!(in_kind::<f64>(1.0, 0.0), Err(Trouble::DivisionByZero));
    assert_eq!(in_kind::<f64>(1e300, 1e300), Err(Trouble::TooLarge));
}

/// Any number that can be held.
fn any_number() -> impl Strategy<Value = Number> {
    let mantissa = -(1i128 << 96) + 1..(1i128 << 96);
    (mantissa, 0u32..=80, 0..=28u32)
        .prop_map(|(mantissa, shift, scale)| Number::from_parts(mantissa >> shift, scale).unwrap())
}

proptest! {
    #[test]
    fn what_is_shown_is_read_again(value in any_number()) {
        let plain = value.abs().to_plain();
        match Number::parse(&plain) {
            // 28 digits can be typed; a quotient may hold one more
            Ok(back) => prop_assert_eq!(back, value.abs().round_significant(28)),
            // 2^96 has 29 digits
            Err(trouble) => prop_assert_eq!(trouble, Unreadable::TooManyDigits),
        }
    }

    #[test]
    fn no_operation_panics(a in any_number(), b in any_number()) {
        let all = [a.add(b), a.sub(b), a.mul(b), a.div(b), a.pow(b), a.sqrt(), a.exp(), a.ln(), a.log10()];
        prop_assert!(all.iter().all(|got| got.is_ok() || got.is_err()));
        let rounded = [a.floor(), a.ceil(), a.round(), a.round_significant(0), a.round_places(99)];
        prop_assert!(rounded.iter().all(|got| !got.to_plain().is_empty()));
        prop_assert!(rounded.iter().all(|got| got.to_f64().is_finite() && got.decimals() <= 28));
        let _ = (a.agrees_with(b), a.magnitude(), a.compare(b), a.to_integer());
    }

    #[test]
    fn products_and_quotients_are_near_the_binary_ones(a in any_number(), b in any_number()) {
        let (x, y) = (a.to_f64(), b.to_f64());
        for (got, expected) in [(a.mul(b), x * y), (a.div(b), x / y)] {
            if let Ok(got) = got {
                prop_assert!((got.to_f64() - expected).abs() <= 1e-11 * expected.abs());
            }
        }
    }

    #[test]
    fn binary_there_and_back(value in -1e20f64..1e20, power in 0..20i32) {
        let value = value * 10f64.powi(-power);
        let back = Number::from_f64(value).map(Number::to_f64);
        if let Ok(back) = back {
            prop_assert!((back - value).abs() <= 1e-14 * value.abs().max(1e-13));
        }
    }

    #[test]
    fn no_text_makes_reading_panic(text in "[0-9._eE+-]{0,40}") {
        let _ = Number::parse(&text);
    }
}
