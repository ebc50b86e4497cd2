//! How near an answer is to what it should be: right, nearly right, a usual slip, or off.
//!
//! A slip counts where the answer is as near to it as it has to be to what is right, or, as
//! people round, nearly so; the nearest of several. Start reading at [`nearness`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::CellId;
use crate::syntax::tree::{Closeness, Expect, Expression, Quoted};
use crate::unit::{Kind, Unit};

use super::bounds::in_kind;

/// How near an answer is to what it should be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Nearness {
    /// As near as it has to be.
    Right,
    /// Nearly.
    Near,
    /// The slip at that place among those of its check.
    Slip(usize),
    /// None of them.
    Off,
}

/// What marks an answer, of a check that does.
pub(crate) fn closeness(sheet: &Sheet, check: CellId) -> Option<(u32, &Expect, &Closeness)> {
    let (item, expect) = sheet.expectation(check)?;
    Some((item, expect, expect.closeness.as_deref()?))
}

/// How near the answer is that a check marks; `None` where it marks none, or nothing is known yet.
pub(crate) fn nearness(sheet: &Sheet, check: CellId) -> Option<Nearness> {
    let (item, _, close) = closeness(sheet, check)?;
    if sheet.holds(check)? {
        return Some(Nearness::Right);
    }
    let text = sheet.tree().text_of(item as usize);
    let mut beside = sheet.with_everything();
    let mut values = close.each().map(|part| beside.value_of(text, part));
    let mut next = || values.next().flatten();
    let (answer, wanted, within) = (next()?, next()?, next()?);
    let nearly = close.nearly.as_ref().and_then(|_| next());
    let slips: Vec<Option<(Kind, Number)>> = close.slips.iter().map(|_| next()).collect();
    let slip = |width: (Kind, Number)| {
        let off = slips.iter().enumerate().filter_map(|(place, slip)| {
            let off = distance(answer, (*slip)?)?;
            let near = off.compare(reach(answer, (*slip)?, width)?).is_le();
            near.then_some((place, off))
        });
        off.min_by(|(_, one), (_, other)| one.compare(*other))
            .map(|(place, _)| place)
    };
    let is_near = |width| Some(distance(answer, wanted)?.compare(reach(answer, wanted, width)?).is_le());
    Some(match slip(within) {
        Some(place) => Nearness::Slip(place),
        None if nearly.and_then(is_near) == Some(true) => Nearness::Near,
        None => nearly.and_then(slip).map_or(Nearness::Off, Nearness::Slip),
    })
}

/// What each usual slip of a check comes to, in the kind of the answer it marks; nothing where it is right.
pub(crate) fn slips(sheet: &Sheet, check: CellId) -> Vec<Option<(Kind, Number)>> {
    let Some((item, _, close)) = closeness(sheet, check) else {
        return Vec::new();
    };
    let text = sheet.tree().text_of(item as usize);
    let mut beside = sheet.with_everything();
    let mut value = |part| beside.value_of(text, part);
    let answer = value(&close.answer);
    let (wanted, within) = (value(&close.wanted), value(&close.within));
    let wrong = |slip: &Value| {
        let right = || {
            Some(
                distance(*slip, wanted?)?
                    .compare(reach(*slip, wanted?, within?)?)
                    .is_le(),
            )
        };
        right() != Some(true)
    };
    let in_answers = |(kind, number): Value| {
        let (wanted, _) = answer?;
        Some((wanted, in_kind(kind, number, wanted)?)).filter(wrong)
    };
    let values = close.slips.iter().map(|slip| value(&slip.value).and_then(in_answers));
    values.collect()
}

/// What a check says to an answer of such nearness.
pub(crate) fn hint<'a>(expect: &'a Expect, close: &'a Closeness, nearness: Nearness) -> Option<&'a str> {
    let otherwise = expect.otherwise.as_ref();
    let said: Option<&Quoted> = match nearness {
        Nearness::Right => None,
        Nearness::Near => close.nearly.as_ref().and_then(|(_, hint)| hint.as_ref()).or(otherwise),
        Nearness::Slip(place) => close.slips.get(place).map(|slip| &slip.hint),
        Nearness::Off => otherwise,
    };
    said.map(|said| &*said.text)
}

type Value = (Kind, Number);

/// How far two values lie apart, in the kind of the first.
pub(super) fn distance(one: Value, other: Value) -> Option<Number> {
    Some(one.1.sub(in_kind(other.0, other.1, one.0)?).ok()?.abs())
}

/// How far from a value counts, in the kind of the answer; a share is one of the value, unless
/// the answer is a share itself.
pub(super) fn reach(answer: Value, from: Value, width: Value) -> Option<Number> {
    if is_share(width.0) && !is_share(answer.0) {
        let share = in_kind(width.0, width.1, Kind::Quantity(Unit::ONE))?;
        return in_kind(from.0, from.1, answer.0)?.abs().mul(share).ok();
    }
    let gap = match answer.0 {
        Kind::Quantity(unit) => Kind::Quantity(unit.interval()),
        time if time.is_time() => Kind::Quantity(Unit::parse("s").ok()?),
        other => other,
    };
    in_kind(width.0, width.1, gap)
}

/// Whether a width is a part of what the answer should be.
pub(crate) fn is_part(sheet: &Sheet, text: &str, close: &Closeness, width: &Expression) -> bool {
    let mut beside = sheet.with_everything();
    let mut share = |part| beside.value_of(text, part).is_some_and(|(kind, _)| is_share(kind));
    share(width) && !share(&close.answer)
}

fn is_share(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(unit) if Unit::parse("%").is_ok_and(|share| share == unit))
}
