//! The leeway of every check, and what is told of it: the nearest to its limit first.
//!
//! Start reading at [`leeway`].

use serde::Serialize;

use crate::sheet::Sheet;
use crate::study::leeway::leeways;

use super::super::document::{Column, Document, Narrow, Sentence, Table};
use super::super::in_hand::InHand;
use super::super::model::{Scalar, verdict};
use super::super::study::{Records, Study};
use super::super::style::Tone;
use super::{Options, check, number_shown, scalar, unit_text};

/// The digits of a distance, where not fewer are asked for.
const DIGITS: u32 = 3;

/// How far each check is from its limit, and the conditions of those that have no distance.
#[derive(Serialize)]
pub(crate) struct Leeway {
    checks: Vec<Distance>,
    without: Vec<String>,
}

/// How far one check is from its limit, with all digits and as shown.
#[derive(Serialize)]
struct Distance {
    line: u32,
    condition: String,
    holds: Option<bool>,
    gap: Scalar,
    unit: String,
    share: Option<String>,
    close: bool,
    #[serde(skip)]
    shown: [String; 2],
}

/// The checks of a worksheet as it stands.
pub(crate) fn leeway(sheet: &Sheet, options: Options) -> Leeway {
    let (found, without) = leeways(sheet);
    let appraisal = sheet.appraise(found.iter().map(|one| one.check).chain(without.iter().copied()));
    let digits = options.digits.min(DIGITS);
    let checks = found.iter().filter_map(|one| {
        let told = check(sheet, one.check, &appraisal)?;
        let clock = one.entry.is_some_and(|cell| sheet.asks_for_clock(cell));
        let gap = number_shown(sheet, one.gap, one.kind, clock, None, Options { digits }).value;
        let per_cent = one.share.map(|share| format!("{:.0} %", share.to_f64() * 100.0));
        Some(Distance {
            line: told.line,
            condition: told.text,
            holds: told.holds,
            gap: scalar(sheet, one.gap, one.kind),
            unit: unit_text(one.kind),
            share: one.share.map(|share| share.to_plain()),
            close: appraisal.close.contains(&one.check),
            // lest a difference of shares be read as a share
            shown: [gap.replace(" %", " points"), per_cent.unwrap_or_default()],
        })
    });
    let without = without.iter().filter_map(|cell| check(sheet, *cell, &appraisal));
    Leeway {
        checks: checks.collect(),
        without: without.map(|check| check.text).collect(),
    }
}

impl Study for Leeway {
    const NAME: &'static str = "Leeway";

    fn document(&self, _: &InHand) -> Document {
        let mut document = Document::titled("How far each check is from its limit, the nearest first");
        document.gap();
        let shown = |place: usize| self.checks.iter().filter_map(move |check| check.shown.get(place));
        let told = self.checks.iter().map(|check| match check.close {
            true => format!("{}, but within the uncertainty", verdict(check.holds)),
            false => verdict(check.holds).to_owned(),
        });
        let conditions = self.checks.iter().map(|check| Sentence::of_code(&check.condition));
        let columns = vec![
            Column::words("check", conditions),
            Column::numbers("leeway", shown(0)),
            Column::numbers("of the limit", shown(1)),
            Column::words("", told),
        ];
        document.table(Table::of("How far each check is from its limit", Narrow::Rows, columns));
        document.gap();
        document.tell(
            Tone::Faint,
            match self.checks.is_empty() {
                true => "No check here sets a limit for one value.",
                false => {
                    "Below zero a check is past its limit. At a limit of 0, and on a scale without a true zero, \
                      no part can be told."
                }
            },
        );
        for condition in &self.without {
            document.tell(
                Tone::Faint,
                Sentence::of_code(condition).plain(": no distance from one limit."),
            );
        }
        document
    }

    fn rows(&self) -> Records {
        Records::from_each(&self.checks)
    }
}
