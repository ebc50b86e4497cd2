//! How many digits are shown, and how a shown number can be typed back.
//!
//! Inputs are shown as written ([`as_written`]). Calculated numbers get as many
//! significant digits as asked for, rounded half away from zero; whole numbers
//! stay whole, money totals have two decimals, money per unit at least three
//! digits, and nothing shows more digits than its uncertainty supports
//! ([`calculated`]). An uncertainty has two digits if it begins with 1 or 2,
//! else one (within the two that JCGM 100:2008, 7.2.6 allows), and never less
//! than one step of the last digit shown. Start reading at [`calculated`].

use crate::number::Number;

use super::shown::{Awaited, Shown, Standing};

/// The digits of a calculated number where nobody asks for others.
pub(crate) const DEFAULT_DIGITS: u32 = 4;

/// The least power of ten shown without an exponent.
const LEAST_PLAIN: i32 = -4;
/// The greatest power of ten shown without an exponent.
const MOST_PLAIN: i32 = 11;

/// What kind of number it is, as far as its digits go.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Form {
    /// A quantity or a plain number.
    #[default]
    Plain,
    /// A number of things, in `each`.
    Count,
    /// An amount of money.
    Money,
    /// Money per something.
    MoneyPerUnit,
    /// Hours, shown as hours and minutes.
    HoursAndMinutes,
}

/// An expanded uncertainty.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Expanded {
    /// The half width, in the unit of the value.
    pub half_width: Number,
    /// The coverage factor k.
    pub factor: Number,
    /// The degrees of freedom, where they decided the factor.
    pub degrees_of_freedom: Option<Number>,
}

/// A calculated number with all there is to know about how to show it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Quantity<'a> {
    /// The value in the unit.
    pub value: Number,
    /// The unit as shown; empty for a plain number.
    pub unit: &'a str,
    /// What kind of number it is.
    pub form: Form,
    /// Its uncertainty; `None` if it is exact.
    pub expanded: Option<Expanded>,
}

impl<'a> Quantity<'a> {
    /// Without uncertainty.
    pub(super) fn exact(value: Number, unit: &'a str, form: Form) -> Quantity<'a> {
        Quantity {
            value,
            unit,
            form,
            expanded: None,
        }
    }
}

/// A calculated number as shown, to `digits` significant digits.
pub fn calculated(quantity: &Quantity<'_>, digits: u32) -> Shown {
    let digits = digits.clamp(1, 28) as i32;
    if quantity.form == Form::HoursAndMinutes {
        return hours_and_minutes(quantity, digits);
    }
    let place = last_place(quantity, digits);
    let decimals = match quantity.form {
        Form::Money if place == -1 => 2,
        _ => decimals_at(place),
    };
    let number = |value: Number| number_text(round_to(value, place), place, decimals);
    let uncertainty = real_uncertainty(quantity).map(|expanded| {
        let width = at_least_one_step(round_to(expanded.half_width, place), place);
        let width = number_text(width, place, decimals);
        uncertainty_text(&with_unit(&width, quantity.unit), expanded)
    });
    Shown {
        value: with_unit(&number(quantity.value), quantity.unit),
        uncertainty,
        mark: None,
        place: Some(place),
        rows: None,
    }
}

/// A number beside its unit, as it can be typed: `8.6 h`, `$0.92/h`, `-$3.00`.
pub(crate) fn with_unit(number: &str, unit: &str) -> String {
    let Some(symbol) = unit.chars().next() else {
        return number.to_owned();
    };
    if !matches!(symbol, '$' | '€' | '£') {
        return format!("{number} {unit}");
    }
    let per = unit.get(symbol.len_utf8()..).unwrap_or("");
    match number.strip_prefix('-') {
        Some(amount) => format!("-{symbol}{amount}{per}"),
        None => format!("{symbol}{number}{per}"),
    }
}

/// An input as its writer wrote it, with `±` for the plain-keyboard form and
/// one space where lines or spacing broke it; texts in quotes stay as they are.
pub fn as_written(text: &str) -> Shown {
    let (value, tolerance) = spaced_once(text);
    Shown {
        value,
        uncertainty: tolerance,
        ..Shown::default()
    }
}

/// What is shown in place of a value that waits: `waits for gross (line 9)`, and what of
/// it has a problem.
pub fn waiting(awaited: &[Awaited]) -> Shown {
    if awaited.is_empty() {
        return Shown::text("not yet known");
    }
    let named = |broken: bool| {
        let some = awaited
            .iter()
            .filter(|one| (one.standing == Standing::Problem) == broken);
        some.map(Awaited::told).collect::<Vec<String>>()
    };
    let (open, broken) = (named(false), named(true));
    let matter = match broken.len() {
        1 => "which has a problem",
        _ => "which have problems",
    };
    let open = (!open.is_empty()).then(|| format!("for {}", open.join(", ")));
    let broken = (!broken.is_empty()).then(|| format!("for {}, {matter}", broken.join(", ")));
    let told: Vec<String> = open.into_iter().chain(broken).collect();
    Shown::text(format!("waits {}", told.join("; ")))
}

/// What is shown of an entry that holds a short column: `15.4 lb, missing, 12 lb`.
pub fn listed(cells: impl Iterator<Item = Option<String>>) -> Shown {
    let cells: Vec<String> = cells.map(|cell| cell.unwrap_or_else(|| "missing".to_owned())).collect();
    match cells.is_empty() {
        true => Shown::text("0 values"),
        false => Shown::text(cells.join(", ")),
    }
}

/// What is shown of an entry that holds a longer column: `12 values, 51.9 lb … 44.1 lb`,
/// or `11 values, 1 missing, 51.9 lb … 44.1 lb`.
pub fn column(count: usize, missing: usize, first: Option<&str>, last: Option<&str>) -> Shown {
    let values = if count == 1 { "value" } else { "values" };
    let mut text = format!("{count} {values}");
    if missing > 0 {
        text.push_str(&format!(", {missing} missing"));
    }
    match (first, last) {
        (Some(first), Some(last)) => text.push_str(&format!(", {first} … {last}")),
        (Some(first), None) => text.push_str(&format!(", {first}")),
        _ => {}
    }
    Shown::text(text)
}

/// A plain number at `place`, the power of ten of its last digit.
pub(crate) fn rounded_text(value: Number, place: i32) -> String {
    number_text(round_to(value, place), place, decimals_at(place))
}

/// The decimals that the cells of a calculated column share: enough for so many
/// digits of the largest, none where all are whole.
pub(crate) fn places_together(cells: &[Option<Number>], digits: u32) -> i32 {
    let filled = || cells.iter().flatten();
    if filled().all(|value| value.is_whole()) {
        return 0;
    }
    let sizes = filled().filter(|value| !value.is_zero()).map(|value| value.magnitude());
    let largest = sizes.max().unwrap_or(0);
    let digits = i32::try_from(digits).unwrap_or(i32::MAX);
    (digits - 1 - largest).clamp(0, 28)
}

fn real_uncertainty<'a>(quantity: &'a Quantity<'_>) -> Option<&'a Expanded> {
    let known = quantity.expanded.as_ref();
    known.filter(|expanded| !expanded.half_width.is_zero())
}

/// The power of ten of the last digit to show.
fn last_place(quantity: &Quantity<'_>, digits: i32) -> i32 {
    let own = own_place(quantity, digits);
    match real_uncertainty(quantity) {
        Some(expanded) => own.max(uncertainty_place(expanded.half_width)),
        None => without_uncertainty(quantity, own),
    }
}

/// The last digit that the number itself asks for.
fn own_place(quantity: &Quantity<'_>, digits: i32) -> i32 {
    let value = quantity.value;
    let whole = is_whole(quantity);
    match quantity.form {
        Form::Money if value.is_zero() || value.magnitude() >= -2 => -2,
        Form::Money => significant_place(value, 3),
        Form::MoneyPerUnit => significant_place(value, digits.max(3)),
        _ if whole => significant_place(value, digits).min(0),
        _ => significant_place(value, digits),
    }
}

/// A count that misses a whole number only by its last calculated digits is whole.
fn is_whole(quantity: &Quantity<'_>) -> bool {
    let value = quantity.value;
    value.is_whole() || (quantity.form == Form::Count && value.agrees_with(value.round()))
}

/// A number that is exact at fewer digits shows only those.
fn without_uncertainty(quantity: &Quantity<'_>, own: i32) -> i32 {
    let value = quantity.value;
    match quantity.form {
        Form::Money => own,
        Form::MoneyPerUnit if round_to(value, own) == value => exact_place(value).min(significant_place(value, 3)),
        Form::MoneyPerUnit => own,
        _ if is_whole(quantity) => 0,
        _ if round_to(value, own) == value => exact_place(value),
        _ => own,
    }
}

/// The place of the last digit when `digits` significant ones are shown.
fn significant_place(value: Number, digits: i32) -> i32 {
    let place = (value.magnitude() - digits + 1).max(-28);
    let carried = round_to(value, place).magnitude();
    (carried - digits + 1).max(place)
}

/// The place of the last digit that isn't zero, at most 0.
fn exact_place(value: Number) -> i32 {
    let plain = value.to_plain();
    match plain.split_once('.') {
        Some((_, fraction)) => -(fraction.len() as i32),
        None => 0,
    }
}

/// Two digits where it begins with 1 or 2, else one.
fn uncertainty_place(half_width: Number) -> i32 {
    let second = i32::from(matches!(leading_digit(half_width), '1' | '2'));
    (half_width.magnitude() - second).max(-28)
}

fn leading_digit(value: Number) -> char {
    let plain = value.to_plain();
    plain.chars().find(|c| ('1'..='9').contains(c)).unwrap_or('0')
}

/// Rounded to the power of ten `place`, half away from zero.
pub(crate) fn round_to(value: Number, place: i32) -> Number {
    if place <= 0 {
        return value.round_places(place.unsigned_abs());
    }
    match value.magnitude() - place + 1 {
        kept if kept >= 1 => value.round_significant(kept.unsigned_abs()),
        0 if leading_digit(value) >= '5' && value.is_negative() => step(place).neg(),
        0 if leading_digit(value) >= '5' => step(place),
        _ => Number::ZERO,
    }
}

fn at_least_one_step(width: Number, place: i32) -> Number {
    if width.is_zero() { step(place) } else { width }
}

/// Ten to the power `place`.
pub fn step(place: i32) -> Number {
    Number::parse(&format!("1e{place}")).unwrap_or(Number::ONE)
}

fn decimals_at(place: i32) -> usize {
    if place < 0 { place.unsigned_abs() as usize } else { 0 }
}

/// A number already rounded to `place`; with an exponent where zeros would drown it.
fn number_text(value: Number, place: i32, decimals: usize) -> String {
    if value.is_zero() {
        return padded("0", decimals.min(12));
    }
    let magnitude = value.magnitude();
    if (LEAST_PLAIN..=MOST_PLAIN).contains(&magnitude) {
        return padded(&value.to_plain(), decimals);
    }
    with_exponent(value, magnitude, place)
}

/// Zeros behind the point up to `decimals`.
fn padded(plain: &str, decimals: usize) -> String {
    let present = plain.split_once('.').map_or(0, |(_, fraction)| fraction.len());
    let mut text = plain.to_owned();
    if present == 0 && decimals > 0 {
        text.push('.');
    }
    text.extend(std::iter::repeat_n('0', decimals.saturating_sub(present)));
    text
}

/// `6.2e15`; a whole number too long for that keeps all its digits.
fn with_exponent(value: Number, magnitude: i32, place: i32) -> String {
    let plain = value.abs().to_plain();
    let figures: String = plain.chars().filter(char::is_ascii_digit).collect();
    let figures = figures.trim_start_matches('0').trim_end_matches('0');
    if magnitude > 0 && figures.len() as i32 > MOST_PLAIN {
        return value.to_plain();
    }
    let wanted = if place == 0 { 1 } else { magnitude - place + 1 };
    let wanted = usize::try_from(wanted).unwrap_or(1);
    let (first, rest) = figures.split_at_checked(1).unwrap_or((figures, ""));
    let mantissa = if rest.is_empty() {
        first.to_owned()
    } else {
        format!("{first}.{rest}")
    };
    let sign = if value.is_negative() { "-" } else { "" };
    format!("{sign}{}e{magnitude}", padded(&mantissa, wanted.saturating_sub(1)))
}

/// `0.3 h k=2`, `0.3 lb/h k=3.31 df=3`
pub(super) fn uncertainty_text(width: &str, expanded: &Expanded) -> String {
    let factor = expanded.factor.round_significant(3).to_plain();
    match expanded.degrees_of_freedom {
        Some(freedom) if freedom >= Number::ONE => {
            format!("{width} k={factor} df={}", freedom.floor().to_plain())
        }
        Some(freedom) => {
            let freedom = freedom.round_significant(3).to_plain();
            format!("{width} k={factor} df={freedom}")
        }
        None => format!("{width} k={factor}"),
    }
}

/// `8 h 36 min ± 18 min k=2`: to the minute, to ten or to the hour where no more is known.
fn hours_and_minutes(quantity: &Quantity<'_>, digits: i32) -> Shown {
    let Some(minutes) = in_minutes(quantity) else {
        let plain = Quantity {
            form: Form::Plain,
            ..*quantity
        };
        return calculated(&plain, digits.unsigned_abs());
    };
    let real = real_uncertainty(&minutes);
    let place = real.map_or(0, |expanded| uncertainty_place(expanded.half_width).clamp(0, 1));
    let coarse = real.is_some_and(|expanded| expanded.half_width >= Number::from_integer(IN_HOURS));
    let value = match coarse {
        true => whole_hours(minutes.value),
        false => round_to(minutes.value, place),
    };
    if value.is_zero() && !minutes.value.is_zero() {
        return calculated(&minutes, digits.unsigned_abs());
    }
    let uncertainty = real.map(|expanded| uncertainty_text(&minutes_width(expanded.half_width), expanded));
    Shown {
        value: if coarse { hours_alone(value) } else { compound(value) },
        uncertainty,
        mark: None,
        place: Some(place),
        rows: None,
    }
}

/// From so many minutes up what a time may be off by is told in hours and tens of minutes.
const IN_TENS: i64 = 100;
/// From so many minutes up it is told in hours alone, and the time itself too.
const IN_HOURS: i64 = 600;

/// How far off a time may be, of so many minutes: `18 min`, `2 h 10 min`, `28 h`.
pub(super) fn minutes_width(minutes: Number) -> String {
    if minutes >= Number::from_integer(IN_HOURS) {
        return hours_alone(whole_hours(minutes));
    }
    let place = uncertainty_place(minutes).clamp(0, 1);
    let width = at_least_one_step(round_to(minutes, place), place);
    match width >= Number::from_integer(IN_TENS) {
        true => compound(width),
        false => format!("{} min", width.to_plain()),
    }
}

fn whole_hours(minutes: Number) -> Number {
    let sixty = Number::from_integer(60);
    let hours = minutes.div(sixty).map(Number::round);
    hours.and_then(|hours| hours.mul(sixty)).unwrap_or(minutes)
}

/// Whole hours, given in minutes: `28 h`.
fn hours_alone(minutes: Number) -> String {
    compound(minutes).trim_end_matches(" 0 min").to_owned()
}

fn in_minutes(quantity: &Quantity<'_>) -> Option<Quantity<'static>> {
    let sixty = Number::from_integer(60);
    let expanded = match quantity.expanded {
        Some(expanded) => Some(Expanded {
            half_width: expanded.half_width.mul(sixty).ok()?,
            ..expanded
        }),
        None => None,
    };
    let value = quantity.value.mul(sixty).ok()?;
    let minutes = Quantity {
        value,
        unit: "min",
        form: Form::Plain,
        expanded,
    };
    Some(minutes)
}

/// Whole minutes as hours and minutes.
pub fn compound(minutes: Number) -> String {
    let sign = if minutes.is_negative() { "-" } else { "" };
    let Some(total) = minutes.abs().to_integer() else {
        return format!("{} min", minutes.to_plain());
    };
    match (total / 60, total % 60) {
        (0, rest) if total > 0 => format!("{sign}{rest} min"),
        (hours, rest) => format!("{sign}{hours} h {rest} min"),
    }
}

/// The value and the tolerance of an input's text, with single spaces.
fn spaced_once(text: &str) -> (String, Option<String>) {
    let mut value = String::with_capacity(text.len());
    let mut tolerance: Option<String> = None;
    for piece in pieces(text) {
        if matches!(piece, "±" | "+/-") && tolerance.is_none() {
            tolerance = Some(String::new());
            continue;
        }
        let into = tolerance.as_mut().unwrap_or(&mut value);
        if piece == " " {
            if !into.is_empty() && !into.ends_with(' ') {
                into.push(' ');
            }
        } else {
            into.push_str(piece);
        }
    }
    let tolerance = tolerance.map(|text| text.trim_end().to_owned());
    (value.trim_end().to_owned(), tolerance)
}

/// Cuts a value's text into quoted texts, spaces, `±` and everything else.
/// Remarks are left out.
fn pieces(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let (piece, length) = next_piece(rest, found.last().is_none_or(|last| *last == " "));
        if !piece.is_empty() {
            found.push(piece);
        }
        rest = rest.get(length..).unwrap_or("");
    }
    found
}

/// The next piece and how many bytes it takes.
fn next_piece(rest: &str, after_space: bool) -> (&str, usize) {
    let first = rest.chars().next().unwrap_or(' ');
    if first.is_whitespace() {
        let spaces = rest.len() - rest.trim_start().len();
        return (" ", spaces);
    }
    if after_space && is_remark(rest) {
        return ("", rest.find('\n').unwrap_or(rest.len()));
    }
    let length = match first {
        '"' => quoted_length(rest),
        _ if rest.starts_with("+/-") => 3,
        _ => first.len_utf8(),
    };
    (rest.get(..length).unwrap_or(rest), length)
}

fn is_remark(rest: &str) -> bool {
    let behind = rest.strip_prefix("--");
    behind.is_some_and(|text| text.is_empty() || text.starts_with(char::is_whitespace))
}

fn quoted_length(rest: &str) -> usize {
    let mut escaped = false;
    for (at, c) in rest.char_indices().skip(1) {
        if c == '"' && !escaped {
            return at + 1;
        }
        escaped = c == '\\' && !escaped;
    }
    rest.len()
}
