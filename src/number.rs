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

/// For every number of decimals.
const POWERS_OF_TEN: [f64; 29] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22, 1e23, 1e24, 1e25, 1e26, 1e27, 1e28,
];

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

#[expect(clippy::should_implement_trait, reason = "the operators can't fail, and these can")]
impl Number {
    /// Nothing at all.
    pub const ZERO: Number = Number(Decimal::ZERO);
    /// One.
    pub const ONE: Number = Number(Decimal::ONE);

    /// Reads a plain decimal literal: digits, an optional point with a digit on
    /// each side, underscores between digits, an optional exponent. No sign.
    pub fn parse(text: &str) -> Result<Number, Unreadable> {
        if let Some(number) = Self::short(text) {
            return Ok(number);
        }
        if !has_digits_around(text, '_') || !has_digits_around(text, '.') {
            return Err(Unreadable::NotANumber);
        }
        let clean: String = text.chars().filter(|c| *c != '_').collect();
        let (mantissa, exponent) = match clean.split_once(['e', 'E']) {
            Some((mantissa, exponent)) => (mantissa, read_exponent(exponent)?),
            None => (clean.as_str(), 0),
        };
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        if whole.is_empty() || !(whole.bytes().chain(fraction.bytes())).all(|b| b.is_ascii_digit()) {
            return Err(Unreadable::NotANumber);
        }
        Self::from_digits(whole, fraction, exponent)
    }

    /// Up to 18 digits with one point inside at most: what most literals are.
    fn short(text: &str) -> Option<Number> {
        let (mut mantissa, mut point) = (0i64, None);
        if text.is_empty() || text.len() > 18 || text.starts_with('.') || text.ends_with('.') {
            return None;
        }
        for (at, byte) in text.bytes().enumerate() {
            match byte {
                b'0'..=b'9' => mantissa = mantissa * 10 + i64::from(byte - b'0'),
                b'.' if point.is_none() => point = Some(at),
                _ => return None,
            }
        }
        let decimals = point.map_or(0, |at| text.len() - at - 1);
        Self::from_parts(i128::from(mantissa), u32::try_from(decimals).ok()?)
    }

    fn from_digits(whole: &str, fraction: &str, exponent: i64) -> Result<Number, Unreadable> {
        let digits = format!("{whole}{fraction}");
        let significant = digits.trim_start_matches('0').trim_end_matches('0');
        if significant.is_empty() {
            return Ok(Number::ZERO);
        }
        let trailing = digits.len() - digits.trim_end_matches('0').len();
        let decimals = i64::try_from(fraction.len()).unwrap_or(i64::MAX);
        let trailing = i64::try_from(trailing).unwrap_or(i64::MAX);
        let power = exponent.saturating_sub(decimals);
        if significant.len() > 28 {
            return Err(Unreadable::TooManyDigits);
        }
        let mantissa: i128 = significant.parse().map_err(|_| Unreadable::NotANumber)?;
        let exact = Self::scaled(mantissa, power.saturating_add(trailing))?;
        Ok(exact.with_decimals(power))
    }

    /// The same with the trailing zeros it was written with, where they fit.
    fn with_decimals(self, power: i64) -> Number {
        let mut padded = self.0;
        match u32::try_from(power.saturating_neg()) {
            Ok(decimals) if (1..=28).contains(&decimals) => padded.rescale(decimals),
            _ => return self,
        }
        Number(padded)
    }

    /// `mantissa × 10^power`, if that can be held exactly.
    fn scaled(mantissa: i128, power: i64) -> Result<Number, Unreadable> {
        let first_digit = power.saturating_add(i64::from(mantissa.checked_ilog10().unwrap_or(0)));
        if !(-28..=28).contains(&first_digit) {
            return Err(Unreadable::OutOfRange);
        }
        if power < -28 {
            return Err(Unreadable::TooManyDigits);
        }
        let size = u32::try_from(power.abs()).map_err(|_| Unreadable::OutOfRange)?;
        if power <= 0 {
            return Self::from_parts(mantissa, size).ok_or(Unreadable::OutOfRange);
        }
        let whole = 10i128.checked_pow(size).and_then(|factor| mantissa.checked_mul(factor));
        whole
            .and_then(|whole| Self::from_parts(whole, 0))
            .ok_or(Unreadable::OutOfRange)
    }

    /// A whole number.
    pub fn from_integer(value: i64) -> Number {
        Number(Decimal::from(value))
    }

    /// `mantissa ÷ 10^decimals`; `None` beyond 96 bits or 28 decimals.
    pub fn from_parts(mantissa: i128, decimals: u32) -> Option<Number> {
        Decimal::try_from_i128_with_scale(mantissa, decimals).ok().map(Number)
    }

    /// The decimal nearest to `value`, rounded to 15 significant digits.
    pub fn from_f64(value: f64) -> Checked<Number> {
        if value == 0.0 {
            return Ok(Number::ZERO);
        }
        if !value.is_finite() || value.abs() > 7.9e28 {
            return Err(Trouble::TooLarge);
        }
        let nearest = Number(Decimal::from_f64(value).ok_or(Trouble::TooLarge)?);
        guard(nearest.round_significant(15).0, |number| {
            (Number(number).to_f64() - value).abs() <= 1e-12 * value.abs()
        })
    }

    /// The binary number of this value, to the last digit or the one before;
    /// the same on every machine.
    pub fn to_f64(self) -> f64 {
        let whole = self.0.mantissa() as f64;
        let scale = usize::try_from(self.0.scale()).unwrap_or(0);
        whole / POWERS_OF_TEN.get(scale).copied().unwrap_or(1e28)
    }

    /// The value as a whole number of type `i64`, if it is one.
    pub fn to_integer(self) -> Option<i64> {
        if self.is_whole() { self.0.to_i64() } else { None }
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
        self.0.checked_add(other.0).map(Number).ok_or(Trouble::TooLarge)
    }

    /// The difference.
    #[inline]
    pub fn sub(self, other: Number) -> Checked<Number> {
        self.0.checked_sub(other.0).map(Number).ok_or(Trouble::TooLarge)
    }

    /// The product; a product that would vanish is a trouble.
    #[inline]
    pub fn mul(self, other: Number) -> Checked<Number> {
        let product = self.0.checked_mul(other.0).ok_or(Trouble::TooLarge)?;
        guard(product, |_| is_exact_product(self.0, other.0))
    }

    /// The quotient.
    #[inline]
    pub fn div(self, other: Number) -> Checked<Number> {
        if other.0.is_zero() {
            return Err(Trouble::DivisionByZero);
        }
        let quotient = self.0.checked_div(other.0).ok_or(Trouble::TooLarge)?;
        guard(quotient, |quotient| {
            is_exact_product(quotient, other.0) && quotient.checked_mul(other.0) == Some(self.0)
        })
    }

    /// The value with its sign turned.
    #[inline]
    pub fn neg(self) -> Number {
        if self.is_zero() {
            return Number::ZERO;
        }
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
        if digits == 0 {
            return Number::ZERO;
        }
        let decimals = i64::from(digits) - 1 - i64::from(self.magnitude());
        if decimals >= i64::from(self.0.scale()) {
            return self; // the package would add decimals beyond 28
        }
        match u32::try_from(decimals) {
            Ok(decimals) => self.round_places(decimals),
            Err(_) => self.round_whole_digits(digits),
        }
    }

    /// Rounded before the point.
    fn round_whole_digits(self, digits: u32) -> Number {
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
        if self.is_zero() {
            return Ok(Number::ZERO);
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
        self.0.checked_ln().map(Number).ok_or(Trouble::LogarithmOfNonPositive)
    }

    /// The decimal logarithm.
    pub fn log10(self) -> Checked<Number> {
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
        if exponent.abs().0 == Decimal::new(5, 1) {
            let root = self.sqrt()?;
            return if exponent.is_negative() {
                Number::ONE.div(root)
            } else {
                Ok(root)
            };
        }
        let shrinks = (self.0 < Decimal::ONE) != exponent.is_negative();
        let beyond = if shrinks { Trouble::TooSmall } else { Trouble::TooLarge };
        let power = self.0.checked_powd(exponent.0).ok_or(beyond)?;
        guard(power, |_| false)
    }

    fn powi(self, exponent: i64) -> Checked<Number> {
        let power = self.raised(exponent.unsigned_abs());
        if exponent >= 0 {
            return power;
        }
        match power {
            Ok(power) => Number::ONE.div(power),
            Err(_) => Number::ONE.div(self)?.raised(exponent.unsigned_abs()),
        }
    }

    fn raised(self, times: u64) -> Checked<Number> {
        let mut result = Number::ONE;
        let mut square = self;
        let mut left = times;
        while left > 0 {
            if left & 1 == 1 {
                result = result.mul(square)?;
            }
            left >>= 1;
            if left > 0 {
                square = square.mul(square)?;
            }
        }
        Ok(result)
    }

    /// Equal at 12 significant digits, which is what `=` means in a worksheet.
    pub fn agrees_with(self, other: Number) -> bool {
        if self.0 == other.0 {
            return true;
        }
        let larger = self.0.abs().max(other.0.abs());
        let Some(gap) = self.0.checked_sub(other.0) else {
            return false;
        };
        // half a unit in the 12th digit is 5e-13 of 9.99… and 5e-12 of 1.00…
        let within = |width| larger.checked_mul(width).is_some_and(|allowed| gap.abs() <= allowed);
        within(Decimal::new(5, 13)) || within(Decimal::new(5, 12)) && gap.abs() <= half_of_twelfth(larger)
    }

    /// Order by value.
    #[inline]
    pub fn compare(self, other: Number) -> Ordering {
        self.0.cmp(&other.0)
    }

    /// All digits that can be typed back (28), no exponent, no trailing zeros.
    pub fn to_plain(self) -> String {
        let typed = match self.0.scale() > 0 && self.0.mantissa().unsigned_abs() >= SHORTEST_BEYOND {
            true => self.round_significant(28).0,
            false => self.0,
        };
        let plain = typed.normalize();
        if plain.is_zero() {
            "0".to_owned()
        } else {
            plain.to_string()
        }
    }
}

/// A nonzero result must not have become zero, nor have lost all but a few
/// digits: below 1e-16 fewer than 12 are left of what isn't exact. (A quotient
/// drops its trailing zeros, so its scale alone tells nothing.)
#[inline]
fn guard(result: Decimal, is_exact: impl Fn(Decimal) -> bool) -> Checked<Number> {
    let short = result.scale() > 16 && result.mantissa().unsigned_abs() < 1_000_000_000_000;
    if result.is_zero() || short {
        return exact_or_too_small(result, is_exact);
    }
    Ok(Number(result))
}

#[cold]
fn exact_or_too_small(result: Decimal, is_exact: impl Fn(Decimal) -> bool) -> Checked<Number> {
    if result.abs() >= Decimal::new(1, 16) || is_exact(result) {
        Ok(Number(result))
    } else {
        Err(Trouble::TooSmall)
    }
}

/// Whether all decimals of a product can be held.
/// The least number of 29 digits, which a quotient may have.
const SHORTEST_BEYOND: u128 = 10_000_000_000_000_000_000_000_000_000;

/// Half a unit in the 12th significant digit.
fn half_of_twelfth(value: Decimal) -> Decimal {
    let place = Number(value).magnitude() - 12;
    match u32::try_from(-place) {
        Ok(scale) if scale <= Decimal::MAX_SCALE => Decimal::new(5, scale),
        Ok(_) => Decimal::ZERO,
        Err(_) => Decimal::from(5 * 10i64.pow(place.unsigned_abs())),
    }
}

fn is_exact_product(a: Decimal, b: Decimal) -> bool {
    a.is_zero() || b.is_zero() || a.normalize().scale() + b.normalize().scale() <= 28
}

/// Whether there is a digit on each side of every such mark.
fn has_digits_around(text: &str, mark: char) -> bool {
    text.match_indices(mark).all(|(at, mark)| {
        let before = text.get(..at).and_then(|before| before.chars().last());
        let behind = text.get(at + mark.len()..);
        let behind = behind.and_then(|behind| behind.chars().next());
        [before, behind]
            .iter()
            .all(|side| side.is_some_and(|c| c.is_ascii_digit()))
    })
}

/// A sign and digits; too many of them are a size out of range.
fn read_exponent(text: &str) -> Result<i64, Unreadable> {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return Err(Unreadable::NotANumber);
    }
    text.parse().map_err(|_| Unreadable::OutOfRange)
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

/// Whether a gap between two binary numbers, the larger of that size, is less than half a
/// unit in the 12th significant digit.
pub fn agree(gap: f64, larger: f64) -> bool {
    let gap = gap.abs();
    gap <= larger * 5e-13 || gap <= larger * 5e-12 && gap <= 5.0 * libm::exp10(libm::floor(libm::log10(larger)) - 12.0)
}

/// The arithmetic a trade function is written in, once for every number kind.
pub trait Real: Copy + PartialOrd {
    /// From a binary number, at 15 significant digits.
    fn from_binary(value: f64) -> Checked<Self>;
    /// To a binary number.
    fn to_binary(self) -> f64;
    /// From an exact decimal.
    fn from_number(value: Number) -> Self;
    /// To an exact decimal, of a binary number at 15 significant digits.
    fn to_number(self) -> Checked<Number>;
    /// The sum.
    fn plus(self, other: Self) -> Checked<Self>;
    /// The difference.
    fn minus(self, other: Self) -> Checked<Self>;
    /// The product.
    fn times(self, other: Self) -> Checked<Self>;
    /// The quotient.
    fn over(self, other: Self) -> Checked<Self>;
    /// The smallest whole number not below it; one that it equals at 12 digits.
    fn round_up(self) -> Self;
    /// The largest whole number not above it; one that it equals at 12 digits.
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
    fn to_number(self) -> Checked<Number> {
        Ok(self)
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
        let nearest = self.round();
        if self.agrees_with(nearest) {
            nearest
        } else {
            self.ceil()
        }
    }
    fn round_down(self) -> Self {
        let nearest = self.round();
        if self.agrees_with(nearest) {
            nearest
        } else {
            self.floor()
        }
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
    fn to_number(self) -> Checked<Number> {
        Number::from_f64(self)
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
        let nearest = self.round();
        if agree(self - nearest, self.abs()) {
            nearest
        } else {
            self.ceil()
        }
    }
    fn round_down(self) -> Self {
        let nearest = self.round();
        if agree(self - nearest, self.abs()) {
            nearest
        } else {
            self.floor()
        }
    }
}
