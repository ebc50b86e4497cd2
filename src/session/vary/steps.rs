//! The values of a sweep: from one to another in steps, or so many evenly.
//!
//! Start reading at [`stepped`] and [`spread`].

use std::cmp::Ordering;

use crate::number::Number;
use crate::unit::Kind;

use super::super::Refusal;
use super::MOST_VALUES;

/// Clock times are of one day: from 22:00 to 02:00 there are two stretches.
pub(super) fn in_one_day(kind: Kind, from: (Number, &str), to: (Number, &str)) -> Result<(), Refusal> {
    if kind != Kind::TimeOfDay || from.0.compare(to.0).is_le() {
        return Ok(());
    }
    let message = format!(
        "from `{}` to `{}` a midnight is passed, and a clock time is of one day",
        from.1, to.1
    );
    let help = format!("vary it up to `23:59:59` first, then from `00:00` to `{}`", to.1);
    Err(Refusal::new(message).help(help))
}

pub(super) fn no_range(input: &str) -> Refusal {
    let refusal = Refusal::new(format!("nobody says between which values `{input}` usually lies"));
    refusal.help("say it with `between A and B`")
}

/// The two ends, the lower first.
pub(super) fn in_order((one, other): (Number, Number)) -> Result<(Number, Number), Refusal> {
    match one.compare(other) {
        Ordering::Less => Ok((one, other)),
        Ordering::Greater => Ok((other, one)),
        Ordering::Equal => {
            let refusal = Refusal::new("both ends of the interval are the same");
            Err(refusal.help("give two different values after `between`"))
        }
    }
}

/// From one value to another by a step; the last lies inside.
pub(super) fn stepped(from: Number, to: Number, by: Number, text: &str) -> Result<Vec<Number>, Refusal> {
    let too_many = || {
        let refusal = Refusal::new(format!("the step `{text}` makes more than {MOST_VALUES} values"));
        refusal.help("take a larger step, or `values 101`")
    };
    if by.is_zero() {
        return Err(Refusal::new("the step is nothing, so the sweep would never end").help("give a step that isn't 0"));
    }
    let span = to.sub(from).map_err(|_| too_many())?;
    if by.is_negative() != span.is_negative() {
        let refusal = Refusal::new(format!("the step `{text}` leads away from the last value"));
        return Err(refusal.help("turn the sign of the step, or swap the two ends"));
    }
    let parts = span.div(by).map_err(|_| too_many())?;
    let whole = parts.round();
    let whole = if parts.agrees_with(whole) { whole } else { parts.floor() };
    let count = whole
        .to_integer()
        .filter(|count| *count < MOST_VALUES)
        .ok_or_else(too_many)?;
    let mut values = Vec::new();
    for index in 0..=count {
        let value = by.mul(Number::from_integer(index)).and_then(|along| from.add(along));
        let value = value.map_err(|_| too_many())?;
        values.push(if value.agrees_with(to) { to } else { typed_back(value) });
    }
    Ok(values)
}

/// So many values, evenly spaced, both ends included.
pub(super) fn spread(from: Number, to: Number, text: &str) -> Result<Vec<Number>, Refusal> {
    let wrong = || {
        let refusal = Refusal::new(format!(
            "`values` takes a whole number from 2 to {MOST_VALUES}, and this is `{text}`"
        ));
        refusal.help("for example `values 9`")
    };
    let many: i64 = text.parse().map_err(|_| wrong())?;
    if !(2..=MOST_VALUES).contains(&many) {
        return Err(wrong());
    }
    let parts = Number::from_integer(many - 1);
    let value = |index: i64| -> Result<Number, crate::number::Trouble> {
        let span = to.sub(from)?;
        let along = span.mul(Number::from_integer(index))?.div(parts)?;
        Ok(typed_back(from.add(along)?))
    };
    let mut values = Vec::new();
    for index in 0..many - 1 {
        values.push(value(index).map_err(|trouble| {
            Refusal::new(format!("the values between can't be counted: {trouble}"))
                .help("take ends that are nearer to each other")
        })?);
    }
    values.push(to);
    Ok(values)
}

/// With no more digits than can be typed, so that a trial of what is shown is the same.
fn typed_back(value: Number) -> Number {
    value.round_significant(28)
}
