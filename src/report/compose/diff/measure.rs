//! How the parts of an answer's difference are shown: their unit, form and last digit.
//!
//! Start reading at [`Measure::new`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::study::diff::{self as study};
use crate::unit::Kind;

use super::super::super::change::signed_part;
use super::super::super::digits::{Form, round_to};
use super::super::super::shown::Shown;
use super::super::{form, gap, stands, true_gap, unit_text};

/// How the parts of one answer are shown.
pub(super) struct Measure {
    pub(super) unit: String,
    pub(super) form: Form,
    pub(super) place: Option<i32>,
    /// What the numbers are divided by for a reader.
    pub(super) scale: Number,
    /// The whole difference in words.
    pub(super) words: Option<String>,
}

impl Measure {
    pub(super) fn new(
        (a_sheet, b_sheet): (&Sheet, &Sheet),
        answer: &study::Answer,
        kind: Kind,
        shown: (&Shown, &Shown),
    ) -> Option<Measure> {
        let (a, b) = answer.ends?;
        let clock = a_sheet.asks_for_clock(answer.a);
        let theirs = b_sheet.shape(answer.b).map(|shape| shape.kind);
        let same_form = theirs == Some(kind);
        let other = Shown {
            place: shown.1.place.filter(|_| same_form),
            ..shown.1.clone()
        };
        let form = form(kind, clock);
        let (one, two) = stands((a, shown.0), (b, &other), form);
        let exact = shown.0.uncertainty.is_none() && shown.1.uncertainty.is_none();
        let coarse = one.place.max(two.place);
        let alike = same_form && b_sheet.asks_for_clock(answer.b) == clock;
        let (place, words) = match fine_place(answer, (a, b), form).filter(|_| !exact || !alike) {
            // a ± rounds the answers, not their difference; nor does the form of one side
            Some(fine) => {
                let place = Some(coarse.filter(|_| alike).map_or(fine, |coarse| coarse.min(fine)));
                (place, true_gap(kind, clock, (a, b), place))
            }
            None => (
                coarse.filter(|place| !exact || !cuts(answer, (a, b), *place)),
                gap(kind, clock, (a, shown.0), (b, &other)),
            ),
        };
        let words = words
            .or_else(|| gap(kind, clock, (a, shown.0), (b, &other)))
            .map(|gap| gap.words());
        Some(match kind {
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Measure {
                unit: "h".to_owned(),
                form: Form::HoursAndMinutes,
                place: Some(0),
                scale: Number::from_integer(3600),
                words,
            },
            Kind::Quantity(unit) => Measure {
                unit: unit.interval().to_string(),
                form,
                place,
                scale: Number::ONE,
                words,
            },
            _ => Measure {
                unit: unit_text(kind),
                form,
                place,
                scale: Number::ONE,
                words,
            },
        })
    }

    pub(super) fn part(&self, part: Number) -> String {
        let scaled = part.div(self.scale).unwrap_or(part);
        signed_part(scaled, self.place, &self.unit, self.form)
    }
}

/// Three digits of an answer's difference, or of its largest part where that is larger; in
/// minutes no finer than one.
fn fine_place(answer: &study::Answer, (a, b): (Number, Number), form: Form) -> Option<i32> {
    if form == Form::HoursAndMinutes {
        return Some(0);
    }
    let whole = b.sub(a).ok()?.abs();
    let parts = answer.shares.parts.iter().map(|(_, part)| part.abs());
    let largest = parts.fold(whole, |most, part| if part.compare(most).is_gt() { part } else { most });
    let money = matches!(form, Form::Money | Form::MoneyPerUnit);
    (!largest.is_zero() && !money).then(|| largest.magnitude() - 2)
}

/// Whether a place that shows both answers to their last digit, as of 5 and 8, would round
/// their difference's parts of 1.5 each.
fn cuts(answer: &study::Answer, (a, b): (Number, Number), place: i32) -> bool {
    let cut = |value: Number| round_to(value, place) != value;
    !cut(a) && !cut(b) && answer.shares.parts.iter().any(|(_, part)| cut(*part))
}

/// The unit in which an answer's parts stand: times differ in seconds.
pub(super) fn unit_of_parts(kind: Kind) -> Option<String> {
    match kind {
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Some("s".to_owned()),
        kind => Some(unit_text(kind)).filter(|unit| !unit.is_empty()),
    }
}
