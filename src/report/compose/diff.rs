//! From two worksheets' differences to what a reader gets: what each writes, shares in digits.
//!
//! Start reading at [`diff`]; every part of a difference is shown to the last
//! digit that the answers themselves have.

use crate::number::Number;
use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::Watch;
use crate::study::diff::apart::{CaseApart, CheckPair, Difference, What};
use crate::study::diff::graph::Change;
use crate::study::diff::shares::{MOST, Missing, Way};
use crate::study::diff::side::{Side, Thing};
use crate::study::diff::{self as study};
use crate::study::marks::Tables;
use crate::syntax::tree::EntryKind;
use crate::unit::{Kind, Unit};

use super::super::change::Flip;
use super::super::diff::{Answer, Apart, Diff, Renamed, Sort};
use super::super::model::Value;
use super::super::shown::Shown;
use super::super::sweep::Named;
use super::super::visible::sentence;
use super::in_hand::in_hand;
use super::marks::appraised_with_draws;
use super::{Options, all_cells, check, machine_value, one_entry, scalar};

mod cut;
mod measure;
mod written;

use cut::{in_time, named};
use measure::{Measure, unit_of_parts};
use written::{cell_told, condition, joined, moved_told, place, rows_of, rows_told, source, written_both};

/// A part of a difference smaller than this share of the answer is rounding.
const ROUNDING: f64 = 1e-12;

/// Two worksheets as they stand, the second with the name of its file. `watch` hears how many
/// mixtures are done, of how many, and says whether to go on.
pub fn diff(a: &Sheet, (b, file_b): (&Sheet, &str), options: Options, watch: &dyn Watch) -> Diff {
    let found = study::diff(a, b, watch);
    let builder = Builder::new(a, b, &found, options);
    let (inputs, formulas) = builder.lists();
    let answers: Vec<Answer> = in_time(&found.answers).map(|answer| builder.answer(answer)).collect();
    let checks = builder.checks();
    let cases = cases_told(&found.cases);
    let cut = cut::told(&found, (inputs.len() + formulas.len(), answers.len()));
    let remarks = builder.remarks();
    let told = checks
        .iter()
        .map(check_told)
        .chain(cases.iter().map(|told| sentence(told)));
    let notes = cut.iter().cloned().chain(told).chain(remarks.iter().cloned()).collect();
    Diff {
        other: in_hand(b, file_b, options),
        inputs,
        formulas,
        answers,
        renamed: found
            .renamed
            .iter()
            .map(|(a, b)| Renamed {
                a: a.clone(),
                b: b.clone(),
            })
            .collect(),
        notes,
        checks,
        cases,
        flips: builder.flips(),
        remarks,
        cut,
    }
}

/// One look at the answers and the checks of a worksheet.
fn appraised(sheet: &Sheet, found: &study::Diff, of: impl Fn(&study::Answer) -> CellId) -> Appraisal {
    let checks = all_cells(sheet).filter(|cell| sheet.entry(*cell).is_none());
    let cells: Vec<CellId> = found.answers.iter().map(of).chain(checks).collect();
    appraised_with_draws(sheet, &cells, Tables::Drawn)
}

/// Two worksheets and what they differ in, being put into words.
pub(super) struct Builder<'a> {
    pub(super) a: Side<'a>,
    pub(super) b: Side<'a>,
    appraisals: (Appraisal, Appraisal),
    pub(super) found: &'a study::Diff,
    options: Options,
}

impl<'a> Builder<'a> {
    pub(super) fn new(a: &'a Sheet, b: &'a Sheet, found: &'a study::Diff, options: Options) -> Builder<'a> {
        Builder {
            a: Side::new(a),
            b: Side::new(b),
            appraisals: (
                appraised(a, found, |answer| answer.a),
                appraised(b, found, |answer| answer.b),
            ),
            found,
            options,
        }
    }
}

impl Builder<'_> {
    // ---- what differs ----

    /// Inputs with tables, and formulas with rules.
    fn lists(&self) -> (Vec<Apart>, Vec<Apart>) {
        let all = in_time(&self.found.differences).map(|difference| self.apart(difference));
        all.partition(|apart| matches!(apart.sort, Sort::Input | Sort::Table))
    }

    pub(super) fn apart(&self, difference: &Difference) -> Apart {
        let one = difference.a.and_then(|place| self.a.thing(place));
        let other = difference.b.and_then(|place| self.b.thing(place));
        match &difference.what {
            What::Column(column) => self.column(difference, (one, other), column),
            What::Table => self.table(difference, (one, other)),
            what => {
                let (a, b) = written_both((&self.a, one), (&self.b, other));
                Apart {
                    name: difference.name.clone(),
                    a,
                    b,
                    sort: if *what == What::Input {
                        Sort::Input
                    } else {
                        Sort::Formula
                    },
                    more: self.sources((one, other)),
                    idle: difference.idle,
                }
            }
        }
    }

    fn column(&self, difference: &Difference, (one, other): (Option<&Thing>, Option<&Thing>), column: &str) -> Apart {
        let rows = difference.rows.clone();
        let first = rows.as_ref().and_then(|rows| rows.first);
        let told = |side: &Side<'_>, thing: Option<&Thing>| cell_told(side, thing?, column, first, self.options);
        let more = rows.map(|rows| match rows.apart {
            0 => "the readings are the same, how far they may be off differs".to_owned(),
            apart => rows_told(apart, rows.a),
        });
        Apart {
            name: difference.share_name(),
            a: told(&self.a, one),
            b: told(&self.b, other),
            sort: Sort::Table,
            more: joined(more, self.sources((one, other))),
            idle: difference.idle,
        }
    }

    fn table(&self, difference: &Difference, (one, other): (Option<&Thing>, Option<&Thing>)) -> Apart {
        let told = |side: &Side<'_>, thing: Option<&Thing>| {
            let thing = thing?;
            let columns = side.columns(thing);
            Some(
                columns
                    .first()
                    .map_or_else(|| side.text(thing), |column| rows_of(column.cells.len())),
            )
        };
        let more = difference.rows.as_ref().map(moved_told);
        Apart {
            name: difference.name.clone(),
            a: told(&self.a, one),
            b: told(&self.b, other),
            sort: Sort::Table,
            more: joined(more, self.sources((one, other))),
            idle: difference.idle,
        }
    }

    /// Where both have it from, if the sources differ or one of them stands alone.
    fn sources(&self, (one, other): (Option<&Thing>, Option<&Thing>)) -> Option<String> {
        let of = |side: &Side<'_>, thing: Option<&Thing>| thing.and_then(|thing| source(side, thing));
        let stands = place(&self.a, one).or_else(|| place(&self.b, other));
        let told = match (one, other, of(&self.a, one), of(&self.b, other)) {
            (Some(_), Some(_), Some(a), Some(b)) if a == b => None,
            (Some(_), Some(_), Some(a), Some(b)) => Some(format!("A from \"{a}\"; B from \"{b}\"")),
            (Some(_), Some(_), Some(a), None) => Some(format!("A from \"{a}\"; B gives no source")),
            (Some(_), Some(_), None, Some(b)) => Some(format!("A gives no source; B from \"{b}\"")),
            (_, _, Some(source), None) | (_, _, None, Some(source)) => Some(format!("from \"{source}\"")),
            _ => None,
        };
        joined(stands, told)
    }

    // ---- checks ----

    fn checks(&self) -> Vec<Apart> {
        let apart = self.found.checks.iter().filter(|pair| !pair.same);
        apart.map(|pair| self.check(pair)).collect()
    }

    fn check(&self, pair: &CheckPair) -> Apart {
        let told = |side: &Side<'_>, cell: Option<CellId>| condition(side.sheet, cell?);
        Apart {
            name: String::new(),
            a: told(&self.a, pair.a),
            b: told(&self.b, pair.b),
            sort: Sort::Check,
            more: None,
            idle: false,
        }
    }

    /// The expectations that both have and that come out otherwise.
    fn flips(&self) -> Vec<Flip> {
        let both = in_time(&self.found.checks).filter(|pair| pair.same);
        let flips = both.filter_map(|pair| {
            let before = check(self.a.sheet, pair.a?, &self.appraisals.0)?;
            let now = check(self.b.sheet, pair.b?, &self.appraisals.1)?;
            (before.holds != now.holds).then_some(Flip {
                place: before.place(),
                text: before.text,
                before: before.holds,
                now: now.holds,
                close: now.close,
                message: now.message,
                compared: now.compared,
            })
        });
        flips.collect()
    }

    // ---- answers ----

    pub(super) fn answer(&self, answer: &study::Answer) -> Answer {
        let kind = self.kind(answer);
        let (one, other) = self.entries(answer);
        let (shown_a, shown_b) = (shown(&one), shown(&other));
        let measure = Measure::new((self.a.sheet, self.b.sheet), answer, kind, (&shown_a, &shown_b));
        let difference = answer.ends.and_then(|(a, b)| b.sub(a).ok());
        let rows = self.rows(answer);
        let same = match answer.ends {
            Some((a, b)) => a == b || (shown_a == shown_b && a.agrees_with(b)),
            None => {
                rows.is_none() && one.as_ref().map(|entry| &entry.value) == other.as_ref().map(|entry| &entry.value)
            }
        };
        Answer {
            name: answer.name.clone(),
            unit: unit_of_parts(kind),
            a: machine_value(self.a.sheet, answer.a, kind),
            b: self.second_value(answer, kind),
            shares: self.shares(answer),
            rest: answer.shares.rest.map(Number::to_plain),
            label: one.as_ref().and_then(|entry| entry.label.clone()),
            difference: difference.map(Number::to_plain),
            words: measure.as_ref().and_then(|measure| measure.words.clone()).or(rows),
            same,
            other_doubt: doubt_differs(&shown_a, &shown_b, self.is_alike(answer)),
            parts: measure.map_or_else(Vec::new, |measure| self.parts(answer, &measure)),
            shown_a,
            shown_b,
        }
    }

    fn kind(&self, answer: &study::Answer) -> Kind {
        let shape = self.a.sheet.shape(answer.a);
        shape.map_or(Kind::Quantity(Unit::ONE), |shape| shape.kind)
    }

    fn entries(&self, answer: &study::Answer) -> (Option<super::Entry>, Option<super::Entry>) {
        let one = one_entry(self.a.sheet, answer.a, self.options, &self.appraisals.0, None);
        let other = one_entry(self.b.sheet, answer.b, self.options, &self.appraisals.1, None);
        (one, other)
    }

    /// A part of an answer's difference for a reader.
    pub(super) fn part(&self, answer: &study::Answer, part: Number) -> String {
        let (one, other) = self.entries(answer);
        let shown = (&shown(&one), &shown(&other));
        let measure = Measure::new((self.a.sheet, self.b.sheet), answer, self.kind(answer), shown);
        measure.map_or_else(|| part.to_plain(), |measure| measure.part(part))
    }

    /// The value in the second, in the unit of the first where it is a number.
    fn second_value(&self, answer: &study::Answer, kind: Kind) -> Value {
        if let Some((_, b)) = answer.ends {
            return Value::One(scalar(self.b.sheet, b, kind));
        }
        let theirs = self.b.sheet.shape(answer.b).map_or(kind, |shape| shape.kind);
        let same = theirs == kind || matches!(theirs, Kind::Text | Kind::Truth);
        match same {
            true => machine_value(self.b.sheet, answer.b, theirs),
            false => Value::Nothing,
        }
    }

    /// The rows of two columns that differ, in words.
    fn rows(&self, answer: &study::Answer) -> Option<String> {
        let column = |sheet: &Sheet, cell: CellId| match sheet.reading(cell) {
            Reading::Column(cells) => Some(cells.len()),
            _ => None,
        };
        let (of_a, of_b) = (column(self.a.sheet, answer.a)?, column(self.b.sheet, answer.b)?);
        let one = self.a.read(answer.a)?;
        let other = self.b.read(answer.b)?;
        match one.apart(&other).len() {
            0 => None,
            apart => Some(rows_told(apart, of_a.max(of_b))),
        }
    }

    /// Every change with its part, those that can't reach the answer with none.
    fn shares(&self, answer: &study::Answer) -> Named<String> {
        let parts = &answer.shares.parts;
        let named = !parts.is_empty() || (answer.ends.is_some() && answer.shares.way == Way::Nothing);
        if !named {
            return Named::default();
        }
        let part = |change: usize| parts.iter().find(|(one, _)| *one == change).map(|(_, part)| *part);
        let changes = self.found.changes.iter().enumerate();
        let mut told: Vec<(String, String)> = changes
            .map(|(place, change)| (change.name.clone(), part(place).unwrap_or(Number::ZERO).to_plain()))
            .collect();
        let still = self.found.differences.iter();
        let still = still.filter(|difference| !difference.moves && difference.a.is_some() && difference.b.is_some());
        told.extend(still.map(|difference| (difference.share_name(), "0".to_owned())));
        Named(told)
    }

    /// The parts that are something, the largest first, and what is left over.
    fn parts(&self, answer: &study::Answer, measure: &Measure) -> Vec<(String, String)> {
        let mut parts: Vec<(usize, Number)> = answer.shares.parts.clone();
        parts.retain(|(_, part)| !part.is_zero());
        parts.sort_by(|one, other| other.1.abs().compare(one.1.abs()).then(one.0.cmp(&other.0)));
        let told = parts
            .iter()
            .map(|(change, part)| (self.change_told(*change), measure.part(*part)));
        let mut told: Vec<(String, String)> = told.collect();
        if let Some(rest) = left_over(answer).filter(|_| !answer.shares.parts.is_empty()) {
            told.push(("what is left over".to_owned(), measure.part(rest)));
        }
        told
    }

    /// `formula of rate`, `input gross`
    fn change_told(&self, change: usize) -> String {
        let members = self.found.changes.get(change).map(|change| change.members.as_slice());
        let differences = members.into_iter().flatten();
        let told: Vec<String> = differences
            .filter_map(|member| {
                let difference = self.found.differences.get(*member)?;
                let word = match &difference.what {
                    What::Input => "input",
                    What::Formula => "formula of",
                    What::Rule => "rule",
                    What::Table => "table",
                    What::Column(_) => "column",
                };
                Some(format!("{word} {}", difference.share_name()))
            })
            .collect();
        told.join(" with ")
    }

    // ---- remarks ----

    fn remarks(&self) -> Vec<String> {
        let mut told = Vec::new();
        let answers = &self.found.answers;
        let several = |answer: &&study::Answer| {
            let parts = answer.shares.parts.iter().filter(|(_, part)| !part.is_zero());
            answer.shares.way == Way::Average && parts.count() > 1
        };
        told.extend(answers.iter().filter_map(|answer| self.doubts(answer)));
        told.extend(self.firmness());
        if answers.iter().any(|answer| several(&answer)) {
            told.push(AVERAGED.to_owned());
        }
        told.extend(self.found.changes.iter().filter_map(together));
        if answers.iter().any(|answer| answer.shares.way == Way::Stopped) {
            told.push("Stopped before working out what each difference does to the answers.".to_owned());
        }
        told.extend(answers.iter().filter_map(|answer| self.way(answer)));
        told.extend(self.roles());
        told.extend(self.left_out());
        if self.a.sheet.case().is_some() {
            told.push("What the case replaces is compared as replaced.".to_owned());
        }
        let wording = &self.found.wording;
        if !wording.sources.is_empty() {
            told.push(format!(
                "The same value, from another source: {}.",
                named(wording.sources.iter().cloned())
            ));
        }
        match wording.places {
            0 => {}
            1 => told.push("Wording differs in 1 place.".to_owned()),
            places => told.push(format!("Wording differs in {places} places.")),
        }
        told
    }

    /// Whether both sides show an answer in one unit and one form.
    fn is_alike(&self, answer: &study::Answer) -> bool {
        let kind = |sheet: &Sheet, cell: CellId| sheet.shape(cell).map(|shape| shape.kind);
        let (a, b) = (self.a.sheet, self.b.sheet);
        kind(a, answer.a) == kind(b, answer.b) && a.asks_for_clock(answer.a) == b.asks_for_clock(answer.b)
    }

    /// Both ± of an answer with the same value in both, where they differ as shown or one has none.
    fn doubts(&self, answer: &study::Answer) -> Option<String> {
        let shown = |sheet: &Sheet, cell: CellId, appraisal: &Appraisal| {
            one_entry(sheet, cell, self.options, appraisal, None).map(|entry| entry.shown)
        };
        answer.ends.filter(|(a, b)| a == b)?;
        let a = shown(self.a.sheet, answer.a, &self.appraisals.0)?;
        let b = shown(self.b.sheet, answer.b, &self.appraisals.1)?;
        if !doubt_differs(&a, &b, self.is_alike(answer)) {
            return None;
        }
        let told = |shown: &Shown| {
            shown
                .uncertainty
                .as_ref()
                .map_or("none".to_owned(), |u| format!("± {u}"))
        };
        Some(format!(
            "{} is the same in both except for its ±: {} in A, {} in B.",
            answer.name,
            told(&a),
            told(&b)
        ))
    }

    /// The expectations that come out the same in both, but not as firmly.
    fn firmness(&self) -> Vec<String> {
        let both = in_time(&self.found.checks).filter(|pair| pair.same);
        let told = both.filter_map(|pair| {
            let (one, other) = (pair.a?, pair.b?);
            let before = check(self.a.sheet, one, &self.appraisals.0)?;
            let now = check(self.b.sheet, other, &self.appraisals.1)?;
            let (a, b) = (firm(one, &self.appraisals.0), firm(other, &self.appraisals.1));
            let differs = before.holds.is_some() && before.holds == now.holds && a != b;
            differs.then(|| {
                format!(
                    "`{}` {} in both, but in A {a}, in B {b}.",
                    before.text,
                    before.verdict()
                )
            })
        });
        told.collect()
    }

    /// How the parts of the answers were found, where not as usual, and what is taken over together.
    pub(super) fn ways(&self) -> Vec<String> {
        let together = self.found.changes.iter().filter_map(together);
        together
            .chain(self.found.answers.iter().filter_map(|answer| self.way(answer)))
            .collect()
    }

    /// How the parts of an answer were found, where not as usual.
    fn way(&self, answer: &study::Answer) -> Option<String> {
        let name = &answer.name;
        match &answer.shares.way {
            Way::Many(changes) => Some(format!(
                "{name} depends on {changes} differences. Beyond {MOST} they are taken over one after another, in the \
                 order of the file, so each part is what it adds to those before it."
            )),
            Way::TooMany(changes) => Some(format!(
                "{name} depends on {changes} differences, too many to share out."
            )),
            Way::Unmixed(missing) => Some(format!(
                "For {name} the differences are taken over one after another, in the order of the file: {}.",
                self.missing(missing)
            )),
            Way::Not(missing) => Some(format!(
                "What {name} differs by can't be shared out: {}.",
                self.missing(missing)
            )),
            Way::Nothing if answer.ends.is_none() => self.unlike(answer),
            Way::Nothing | Way::Average => left_over(answer).map(|_| {
                format!(
                    "What is left over of {name} comes from no difference above: an amount may be rounded in the unit \
                     it is kept in, or a file or a kept value may differ."
                )
            }),
            Way::Stopped => None,
        }
    }

    /// Answers whose values can't be subtracted.
    fn unlike(&self, answer: &study::Answer) -> Option<String> {
        let (one, other) = (self.a.sheet.shape(answer.a)?, self.b.sheet.shape(answer.b)?);
        let known = self.a.sheet.status(answer.a) == Status::Known && self.b.sheet.status(answer.b) == Status::Known;
        let number = |kind: Kind| !matches!(kind, Kind::Text | Kind::Truth);
        let alike = one.column || other.column || !(number(one.kind) && number(other.kind));
        let meets = crate::study::diff::side::meets(one.kind, other.kind);
        (known && !alike && !meets).then(|| {
            format!(
                "{} is {} in A and {} in B, so there is no difference to share out.",
                answer.name,
                crate::sheet::checker::describe(one.kind),
                crate::sheet::checker::describe(other.kind)
            )
        })
    }

    fn missing(&self, missing: &Missing) -> String {
        let names = missing.made.iter().filter_map(|change| self.found.changes.get(*change));
        let names: Vec<&str> = names.map(|change| change.name.as_str()).collect();
        let why = missing.problem.as_deref().unwrap_or("there is no value");
        match names.is_empty() {
            true => format!("A itself can't be written again ({why})"),
            false => format!("with the {} of B alone in A, {why}", names.join(" and ")),
        }
    }

    /// What is an answer in one of them only.
    fn roles(&self) -> Vec<String> {
        let kind = |sheet: &Sheet, cell: CellId| sheet.entry(cell).map(|entry| entry.kind);
        let roles = self.found.answers.iter().filter_map(|answer| {
            let a = kind(self.a.sheet, answer.a) == Some(EntryKind::Answer);
            let b = kind(self.b.sheet, answer.b) == Some(EntryKind::Answer);
            let only = if a { "A" } else { "B" };
            (a != b).then(|| format!("{} is an answer in {only} only.", answer.name))
        });
        roles.collect()
    }

    /// What has no value, with its line.
    fn left_out(&self) -> Option<String> {
        let lists = [("A", &self.a), ("B", &self.b)];
        let lists = lists.iter().filter_map(|(letter, side)| {
            let without = side.things.iter().filter(|thing| {
                let status = thing.cell.map(|cell| side.sheet.status(cell));
                matches!(status, Some(Status::Broken | Status::Waits | Status::Blank))
            });
            let names = named(without.map(|thing| format!("{} ({})", thing.name, side.sheet.standing_at(thing.item))));
            (!names.is_empty()).then(|| format!("in {letter} {names}"))
        });
        let lists: Vec<String> = lists.collect();
        (!lists.is_empty()).then(|| format!("Without a value, and so left out: {}.", lists.join("; ")))
    }
}

fn shown(entry: &Option<super::Entry>) -> Shown {
    entry.as_ref().map_or(Shown::text(""), |entry| entry.shown.clone())
}

/// How firmly a check comes out.
fn firm(check: CellId, appraisal: &Appraisal) -> &'static str {
    if appraisal.close.contains(&check) {
        "it could go either way"
    } else if appraisal.by_draws.contains(&check) {
        "only draws can tell how firmly"
    } else {
        "firmly"
    }
}

/// Whether two answers have another ±; where they aren't shown alike only whether one has none.
fn doubt_differs(a: &Shown, b: &Shown, alike: bool) -> bool {
    match (&a.uncertainty, &b.uncertainty) {
        (Some(one), Some(other)) => alike && one != other,
        (one, other) => one.is_some() != other.is_some(),
    }
}

const AVERAGED: &str = "Each part is what its difference adds when it is taken over from B, averaged over all orders \
    in which that can be done; so the parts add up to the whole.";

/// Changes that are exchanged together.
fn together(change: &Change) -> Option<String> {
    (change.members.len() > 1).then(|| {
        format!(
            "Taken over together, since in A or in B one needs the other as it is there: {}.",
            change.name
        )
    })
}

/// What is left of an answer's difference beyond rounding.
fn left_over(answer: &study::Answer) -> Option<Number> {
    let (a, b) = answer.ends?;
    let rest = answer.shares.rest.filter(|_| {
        matches!(
            answer.shares.way,
            Way::Average | Way::Nothing | Way::Many(_) | Way::Unmixed(_)
        )
    })?;
    let scale = a.to_f64().abs().max(b.to_f64().abs());
    (rest.to_f64().abs() > ROUNDING * scale).then_some(rest)
}

fn check_told(apart: &Apart) -> String {
    match (&apart.a, &apart.b) {
        (Some(a), Some(b)) => format!("Expected in A: {a}; in B: {b}."),
        (Some(a), None) => format!("Expected only in A: {a}."),
        (None, Some(b)) => format!("Expected only in B: {b}."),
        (None, None) => String::new(),
    }
}

/// Those of both, a line each, and those that one has alone.
fn cases_told(cases: &[CaseApart]) -> Vec<String> {
    let both = cases.iter().filter(|case| case.in_a && case.in_b);
    let mut told: Vec<String> = both.map(case_told).collect();
    for (letter, in_a) in [("A", true), ("B", false)] {
        let alone = cases.iter().filter(|case| case.in_a == in_a && case.in_b != in_a);
        let names: Vec<&str> = alone.map(|case| case.name.as_str()).collect();
        match names.as_slice() {
            [] => {}
            [name] => told.push(format!("case {name} only in {letter}")),
            names => {
                let names = named(names.iter().map(|name| (*name).to_owned()));
                told.push(format!("cases only in {letter}: {names}"));
            }
        }
    }
    told
}

fn case_told(case: &CaseApart) -> String {
    let lines = case.lines.iter().map(|(input, a, b)| match (a, b) {
        (Some(a), Some(b)) => format!("{input} = {a} → {b}"),
        (Some(a), None) => format!("{input} = {a} only in A"),
        (_, b) => format!("{input} = {} only in B", b.as_deref().unwrap_or("")),
    });
    format!("case {}: {}", case.name, lines.collect::<Vec<_>>().join("; "))
}
