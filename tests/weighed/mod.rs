//! Worksheets of weighings as tests look at them, and made-up numbers to weigh.
#![allow(dead_code, reason = "each test program takes what it needs")]

use tarebook::problem::Severity;
use tarebook::sheet::appraisal::Doubt;
use tarebook::sheet::source::Uncertainty;
use tarebook::sheet::{Reading, Sheet};

/// A worksheet without a problem.
pub(crate) fn load(text: &str) -> Sheet {
    let sheet = Sheet::load(text.to_owned(), None);
    let problems = sheet.problems();
    let wrong: Vec<&str> = problems
        .iter()
        .filter(|problem| problem.severity == Severity::Problem)
        .map(|problem| problem.message.as_str())
        .collect();
    assert!(wrong.is_empty(), "{wrong:?} in\n{text}");
    sheet
}

/// The number of an entry.
pub(crate) fn value(sheet: &Sheet, name: &str) -> f64 {
    match sheet.reading(sheet.cell(name).unwrap()) {
        Reading::Number(number) => number.to_f64(),
        other => panic!("{name}: {other:?}"),
    }
}

/// How sure it is: zero, infinitely sure of it, where there is none.
pub(crate) fn doubt(sheet: &Sheet, name: &str) -> Uncertainty {
    let cell = sheet.cell(name).unwrap();
    match sheet.appraise([cell]).doubts.remove(&cell) {
        Some(Doubt::One(doubt)) => doubt,
        Some(Doubt::Rows(_)) => panic!("{name} is a column"),
        None => Uncertainty::NONE,
    }
}

/// Made-up numbers, evenly spread from 0 to 1.
pub(crate) struct Chance(pub u64);

impl Chance {
    /// From 0 to 1.
    pub(crate) fn even(&mut self) -> f64 {
        // Knuth's multiplier for 64 bits
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// From one to the other.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// Normal, by the sum of twelve.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}
