//! Exact decimals with their guards: the only file that names `rust_decimal`.
//!
//! A [`Number`] keeps up to 28 significant digits, so sums of what a person
//! writes are exact. Every operation is checked: what can't be held is a
//! [`Trouble`] without a place, and whoever knows the place adds it. Nothing
//! here panics, rounds a literal silently or lets a product vanish to zero.
//! [`Real`] is what trade functions are written against, so that one body
//! serves the exact run ([`Number`]) and the drawn one (`f64`).
//! Start reading at [`Number::parse`].

use std::cmp::Ordering;
use std::fmt;

use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use rust_decimal::{Decimal, MathematicalOps, RoundingStrategy};

/// An exact decimal number of at most 28 significant digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Number(Decimal);

/// Why an operation on numbers has no result; it knows no place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Trouble {
    /// The right side of a division is zero.
    DivisionByZero,
    /// The result is beyond 7.9e28.
    TooLarge,
    /// The result is not zero, yet has fewer than 12 digits left above 1e-28.
    TooSmall,
    /// An even root, or a fractional power, of a negative number.
    RootOfNegative,
    /// The logarithm of zero or of a negative number.
    LogarithmOfNonPositive,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Trouble::DivisionByZero => "this divides by zero",
            Trouble::TooLarge => "the result is too large to hold (beyond 7.9e28)",
            Trouble::TooSmall => "the result is too small to hold; use a smaller unit",
            Trouble::RootOfNegative => "a negative number has no such root",
            Trouble::LogarithmOfNonPositive => "only a number above zero has a logarithm",
        })
    }
}

/// The result of checked arithmetic.
pub type Checked<T> = Result<T, Trouble>;

/// Why a piece of text is no number.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unreadable {
    /// It isn't written like a number.
    NotANumber,
    /// It has more than 28 significant digits, or more decimals than 28.
    TooManyDigits,
    /// Its magnitude is outside 1e-28 … 7.9e28.
    OutOfRange,
}

impl Number {
    /// Nothing at all.
    pub const ZERO: Number = Number(Decimal::ZERO);
    /// One.
    pub const ONE: Number = Number(Decimal::ONE);

    /// Reads a plain decimal literal: digits, an optional point with a digit on
    /// each side, underscores between digits, an optional exponent. No sign.
    pub fn parse(text: &str) -> Result<Number, Unreadable> {
        let clean: String = text.chars().filter(|c| *c != '_').collect();
        let (mantissa, exponent) = match clean.split_once(['e', 'E']) {
            Some((m, e)) => (m, e.parse::<i64>().map_err(|_| Unreadable::OutOfRange)?),
            None => (clean.as_str(), 0),
        };
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        if whole.is_empty() || !(whole.bytes().chain(fraction.bytes())).all(|b| b.is_ascii_digit())
        {
            return Err(Unreadable::NotANumber);
        }
        Self::from_digits(whole, fraction, exponent)
    }

    fn from_digits(whole: &str, fraction: &str, exponent: i64) -> Result<Number, Unreadable> {
        let digits = format!("{whole}{fraction}");
        let significant = digits.trim_start_matches('0').trim_end_matches('0');
        if significant.is_empty() {
            return Ok(Number::ZERO);
        }
        if significant.len() > 28 {
            return Err(Unreadable::TooManyDigits);
        }
        let trailing = digits.len() - digits.trim_end_matches('0').len();
        let power = exponent - fraction.len() as i64 + trailing as i64;
        let mantissa: i128 = significant.parse().map_err(|_| Unreadable::NotANumber)?;
        Self::scaled(mantissa, power)
    }

    /// `mantissa × 10^power`, if that can be held exactly.
    fn scaled(mantissa: i128, power: i64) -> Result<Number, Unreadable> {
        if power < -28 || power > 28 {
            return Err(Unreadable::OutOfRange);
        }
        if power <= 0 {
            let scale = u32::try_from(-power).map_err(|_| Unreadable::OutOfRange)?;
            return Decimal::try_from_i128_with_scale(mantissa, scale)
                .map(Number)
                .map_err(|_| Unreadable::OutOfRange);
        }
        let factor = 10i128.checked_pow(u32::try_from(power).map_err(|_| Unreadable::OutOfRange)?);
        factor
            .and_then(|f| mantissa.checked_mul(f))
            .and_then(|m| Decimal::try_from_i128_with_scale(m, 0).ok())
            .map(Number)
            .ok_or(Unreadable::OutOfRange)
    }

    /// A whole number.
    pub fn from_integer(value: i64) -> Number {
        Number(Decimal::from(value))
    }

    /// `mantissa ÷ 10^decimals`; `None` beyond 96 bits or 28 decimals.
    pub fn from_parts(mantissa: i128, decimals: u32) -> Option<Number> {
        Decimal::try_from_i128_with_scale(mantissa, decimals)
            .ok()
            .map(Number)
    }

    /// The decimal nearest to `value`, rounded to 15 significant digits.
    pub fn from_f64(value: f64) -> Checked<Number> {
        if value == 0.0 {
            return Ok(Number::ZERO);
        }
        if !value.is_finite() || value.abs() > 7.9e28 {
            return Err(Trouble::TooLarge);
        }
        let number =
            Number(Decimal::from_f64(value).ok_or(Trouble::TooLarge)?).round_significant(15);
        if number.is_zero() {
            Err(Trouble::TooSmall)
        } else {
            Ok(number)
        }
    }

    /// The nearest binary number.
    pub fn to_f64(self) -> f64 {
        self.0.to_f64().unwrap_or(f64::NAN)
    }

    /// The value as a whole number of type `i64`, if it is one.
    pub fn to_integer(self) -> Option<i64> {
        if self.is_whole() {
            self.0.to_i64()
        } else {
            None
        }
    }

    /// Whether nothing stands behind the point.
    pub fn is_whole(self) -> bool {
        self.0.is_integer()
    }

    /// Whether it is zero.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// Whether it is below zero.
    pub fn is_negative(self) -> bool {
        self.0.is_sign_negative() && !self.0.is_zero()
    }

    /// The sum.
    #[inline]
    pub fn add(self, other: Number) -> Checked<Number> {
        self.0
            .checked_add(other.0)
            .map(Number)
            .ok_or(Trouble::TooLarge)
    }

    /// The difference.
    #[inline]
    pub fn sub(self, other: Number) -> Checked<Number> {
        self.0
            .checked_sub(other.0)
            .map(Number)
            .ok_or(Trouble::TooLarge)
    }

    /// The product; a product that would vanish is a trouble.
    #[inline]
    pub fn mul(self, other: Number) -> Checked<Number> {
        let product = self.0.checked_mul(other.0).ok_or(Trouble::TooLarge)?;
        guard(product, || self.0.is_zero() || other.0.is_zero())
    }

    /// The quotient.
    #[inline]
    pub fn div(self, other: Number) -> Checked<Number> {
        if other.0.is_zero() {
            return Err(Trouble::DivisionByZero);
        }
        let quotient = self.0.checked_div(other.0).ok_or(Trouble::TooLarge)?;
        guard(quotient, || self.0.is_zero())
    }

    /// The value with its sign turned.
    #[inline]
    pub fn neg(self) -> Number {
        Number(-self.0)
    }

    /// The distance from zero.
    pub fn abs(self) -> Number {
        Number(self.0.abs())
    }

    /// The largest whole number not above it.
    pub fn floor(self) -> Number {
        Number(self.0.floor())
    }

    /// The smallest whole number not below it.
    pub fn ceil(self) -> Number {
        Number(self.0.ceil())
    }

    /// Whole numbers, halves away from zero.
    pub fn round(self) -> Number {
        self.round_places(0)
    }

    /// Rounded to `places` decimals, halves away from zero.
    pub fn round_places(self, places: u32) -> Number {
        Number(
            self.0
                .round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero),
        )
    }

    /// Rounded to `digits` significant digits, halves away from zero.
    pub fn round_significant(self, digits: u32) -> Number {
        let rounded = self
            .0
            .round_sf_with_strategy(digits, RoundingStrategy::MidpointAwayFromZero);
        Number(rounded.unwrap_or(self.0))
    }

    /// The power of ten of the first significant digit: 0 for 5.2, −1 for 0.52.
    /// Zero gives 0.
    pub fn magnitude(self) -> i32 {
        let mantissa = self.0.mantissa().unsigned_abs();
        if mantissa == 0 {
            return 0;
        }
        let digits = mantissa.ilog10() as i32;
        digits - self.0.scale() as i32
    }

    /// How many decimals it was written with (trailing zeros count).
    pub fn decimals(self) -> u32 {
        self.0.scale()
    }

    /// The square root.
    pub fn sqrt(self) -> Checked<Number> {
        if self.is_negative() {
            return Err(Trouble::RootOfNegative);
        }
        self.0.sqrt().map(Number).ok_or(Trouble::RootOfNegative)
    }

    /// e to this power.
    pub fn exp(self) -> Checked<Number> {
        if self.0 < Decimal::from(-37) {
            return Err(Trouble::TooSmall);
        }
        self.0.checked_exp().map(Number).ok_or(Trouble::TooLarge)
    }

    /// The natural logarithm.
    pub fn ln(self) -> Checked<Number> {
        if self.0 <= Decimal::ZERO {
            return Err(Trouble::LogarithmOfNonPositive);
        }
        self.0
            .checked_ln()
            .map(Number)
            .ok_or(Trouble::LogarithmOfNonPositive)
    }

    /// The decimal logarithm.
    pub fn log10(self) -> Checked<Number> {
        if self.0 <= Decimal::ZERO {
            return Err(Trouble::LogarithmOfNonPositive);
        }
        self.0
            .checked_log10()
            .map(Number)
            .ok_or(Trouble::LogarithmOfNonPositive)
    }

    /// This number to a power; whole powers are exact as far as 28 digits go.
    pub fn pow(self, exponent: Number) -> Checked<Number> {
        if let Some(whole) = exponent.to_integer() {
            return self.powi(whole);
        }
        if self.is_negative() {
            return Err(Trouble::RootOfNegative);
        }
        if self.is_zero() {
            return if exponent.is_negative() {
                Err(Trouble::DivisionByZero)
            } else {
                Ok(Number::ZERO)
            };
        }
        if exponent.0 == Decimal::new(5, 1) {
            return self.sqrt();
        }
        let power = self.0.checked_powd(exponent.0).ok_or(Trouble::TooLarge)?;
        guard(power, || false)
    }

    fn powi(self, exponent: i64) -> Checked<Number> {
        let mut result = Number::ONE;
        let mut square = self;
        let mut left = exponent.unsigned_abs();
        while left > 0 {
            if left & 1 == 1 {
                result = result.mul(square)?;
            }
            left >>= 1;
            if left > 0 {
                square = square.mul(square)?;
            }
        }
        if exponent < 0 {
            Number::ONE.div(result)
        } else {
            Ok(result)
        }
    }

    /// Equal at 12 significant digits, which is what `=` means in a worksheet.
    pub fn agrees_with(self, other: Number) -> bool {
        if self.0 == other.0 {
            return true;
        }
        let larger = self.0.abs().max(other.0.abs());
        match self.0.checked_sub(other.0) {
            Some(gap) => gap.abs() <= larger * Decimal::new(5, 13),
            None => false,
        }
    }

    /// Order by value.
    #[inline]
    pub fn compare(self, other: Number) -> Ordering {
        self.0.cmp(&other.0)
    }

    /// All digits, no exponent, no trailing zeros.
    pub fn to_plain(self) -> String {
        let plain = self.0.normalize();
        if plain.is_zero() {
            "0".to_owned()
        } else {
            plain.to_string()
        }
    }
}

/// A nonzero result must not have become zero, nor have lost all but a few digits.
#[inline]
fn guard(result: Decimal, may_be_zero: impl Fn() -> bool) -> Checked<Number> {
    if result.is_zero() {
        return if may_be_zero() {
            Ok(Number(result))
        } else {
            Err(Trouble::TooSmall)
        };
    }
    if result.scale() == 28 && result.mantissa().unsigned_abs() < 1_000_000_000_000 {
        return exact_or_too_small(result);
    }
    Ok(Number(result))
}

/// A result at the last decimal is kept if trailing zeros show it to be exact.
#[cold]
fn exact_or_too_small(result: Decimal) -> Checked<Number> {
    let plain = result.normalize();
    if plain.scale() < 28 {
        Ok(Number(plain))
    } else {
        Err(Trouble::TooSmall)
    }
}

/// Shows every digit it was given, trailing zeros too.
impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

impl fmt::Debug for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// The arithmetic a trade function is written in, once for every number kind.
pub trait Real: Copy + PartialOrd {
    /// From a binary number, at 15 significant digits.
    fn from_binary(value: f64) -> Checked<Self>;
    /// To a binary number.
    fn to_binary(self) -> f64;
    /// From an exact decimal.
    fn from_number(value: Number) -> Self;
    /// The sum.
    fn plus(self, other: Self) -> Checked<Self>;
    /// The difference.
    fn minus(self, other: Self) -> Checked<Self>;
    /// The product.
    fn times(self, other: Self) -> Checked<Self>;
    /// The quotient.
    fn over(self, other: Self) -> Checked<Self>;
    /// The smallest whole number not below it.
    fn round_up(self) -> Self;
    /// The largest whole number not above it.
    fn round_down(self) -> Self;
    /// Zero.
    fn zero() -> Self {
        Self::from_number(Number::ZERO)
    }
    /// One.
    fn one() -> Self {
        Self::from_number(Number::ONE)
    }
}

impl Real for Number {
    fn from_binary(value: f64) -> Checked<Self> {
        Number::from_f64(value)
    }
    fn to_binary(self) -> f64 {
        self.to_f64()
    }
    fn from_number(value: Number) -> Self {
        value
    }
    fn plus(self, other: Self) -> Checked<Self> {
        self.add(other)
    }
    fn minus(self, other: Self) -> Checked<Self> {
        self.sub(other)
    }
    fn times(self, other: Self) -> Checked<Self> {
        self.mul(other)
    }
    fn over(self, other: Self) -> Checked<Self> {
        self.div(other)
    }
    fn round_up(self) -> Self {
        self.ceil()
    }
    fn round_down(self) -> Self {
        self.floor()
    }
}

impl Real for f64 {
    fn from_binary(value: f64) -> Checked<Self> {
        if value.is_finite() {
            Ok(value)
        } else {
            Err(Trouble::TooLarge)
        }
    }
    fn to_binary(self) -> f64 {
        self
    }
    fn from_number(value: Number) -> Self {
        value.to_f64()
    }
    fn plus(self, other: Self) -> Checked<Self> {
        Self::from_binary(self + other)
    }
    fn minus(self, other: Self) -> Checked<Self> {
        Self::from_binary(self - other)
    }
    fn times(self, other: Self) -> Checked<Self> {
        Self::from_binary(self * other)
    }
    fn over(self, other: Self) -> Checked<Self> {
        if other == 0.0 {
            return Err(Trouble::DivisionByZero);
        }
        Self::from_binary(self / other)
    }
    fn round_up(self) -> Self {
        self.ceil()
    }
    fn round_down(self) -> Self {
        self.floor()
    }
}
