//! What there is to ask about a line, and how much it weighs.
//!
//! Each finding has a code word; its explanation is the report's. Start reading
//! at [`Finding`].

use std::collections::{BTreeMap, BTreeSet};

use crate::problem::{Problem, Severity};
use crate::sheet::appraisal::{Appraisal, Cautioned};
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::below_zero;
use crate::study::vary::step_of;
use crate::syntax::tree::EntryKind;
use crate::trade::{Function, Parameter};

use super::proportion::Proportion;
use super::slip::{Mended, Suspicion};
use super::{Subject, all_cells, cells_by_item, is_number};

/// What there is to ask about a line.
#[derive(Clone, Debug)]
pub enum Finding {
    /// It can't be read or worked out.
    Problem(Problem),
    /// It waits on others.
    Waits,
    /// It is left open.
    Blank,
    /// An expectation that doesn't hold.
    Fails,
    /// An expectation that can't be told.
    Untold,
    /// An expectation whose limit lies within the uncertainty.
    Close,
    /// An expectation on values whose uncertainty only draws can tell.
    ByDraws,
    /// Gross heat here and net heat there: the fuel, the basis here, and the other place.
    MixedHeat {
        /// The fuel.
        fuel: String,
        /// The basis here.
        basis: String,
        /// Who takes the other.
        other: CellId,
    },
    /// Heat by the pound here and by the gallon there, of this fuel.
    TwoHeats {
        /// The fuel.
        fuel: String,
        /// Whether it is by the pound here.
        by_pound: bool,
        /// Who takes the other.
        other: CellId,
    },
    /// A call with a no-load share of 0.
    NoLoadShare(&'static str),
    /// Fuel in plain proportion with the load, and what a line through no load would give for
    /// a set of so many rated watts.
    Proportion(Proportion, Option<(f64, Mended)>),
    /// A slip.
    Slip(Suspicion),
    /// A runtime by weight alone.
    NoDrawDown,
    /// A cylinder taken for as full as it is named.
    TakenAsFull(Option<Mended>),
    /// A value without a source.
    NoSource,
    /// A value without ± that moves an answer by more than a few per cent.
    NoTolerance,
    /// A ± that claims more than can be known.
    ClaimsExact(Claim),
    /// An expectation that comes out the same whatever the values are.
    Idle(Idle),
    /// A value whose ± these answers don't carry.
    ToleranceLost(Vec<CellId>),
    /// One of several readings of an instrument that an answer rests on.
    OneInstrument {
        /// What it is called.
        instrument: String,
        /// The other readings.
        others: Vec<CellId>,
    },
    /// Outside what is usual.
    Unusual(Unusual),
    /// Bare numbers in a formula, as written.
    Bare(Vec<String>),
    /// Nothing uses it; whether what it is says that it belongs.
    Unused(bool),
    /// At one end something has a problem.
    OneEnd {
        /// Whether at the upper end.
        up: bool,
        /// What is wrong there.
        problem: Problem,
    },
    /// At both ends something has a problem.
    NoEnd(Problem),
    /// A value of 0 without a tolerance.
    ZeroValue,
    /// An answer of 0, which has no relative change.
    ZeroAnswer,
    /// An answer on a scale without a true zero.
    NoTrueZero,
    /// An answer that is no single number.
    NoNumber,
    /// Rules of thumb that an answer rests on.
    RuleOfThumb(Vec<&'static Function>),
    /// A caution.
    Caution(Caution),
    /// Not tried.
    NotTried,
}

/// What a ± claims.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Claim {
    /// It is zero.
    Zero,
    /// It is under 0.1 % of the value.
    Tiny,
}

/// Why an expectation comes out the same whatever the values are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Idle {
    /// All its sides are the same text.
    SameSides,
    /// It names nothing of the worksheet.
    Constants,
}

/// A value outside what is usual for what it is given to.
#[derive(Clone, Debug)]
pub struct Unusual {
    /// The value as written, where it stands in the call; `None`: the line's own.
    pub literal: Option<String>,
    /// The function.
    pub function: &'static str,
    /// The parameter.
    pub parameter: &'static Parameter,
}

/// A caution of a line.
#[derive(Clone, Debug)]
pub struct Caution {
    /// The code word.
    pub code: &'static str,
    /// What it says here.
    pub text: String,
    /// Whether it says that a number can't be trusted, and not only what goes with it.
    pub weighs: bool,
}

/// How much a line weighs, the heaviest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Weight {
    /// Most likely a slip.
    Slip,
    /// It is wrong, or can't be told.
    Wrong,
    /// What the trade would question.
    Unsound,
    /// It is a guess or has no source, and moves an answer.
    Guess,
    /// It moves an answer.
    Value,
    /// It is only remarked.
    Remark,
}

impl PartialEq for Finding {
    fn eq(&self, other: &Finding) -> bool {
        format!("{self:?}") == format!("{other:?}")
    }
}

impl Finding {
    /// The code word; a caution has its own.
    pub fn code(&self) -> &'static str {
        match self {
            Finding::Problem(_) => "has-problem",
            Finding::Waits => "without-value",
            Finding::Blank => "left-blank",
            Finding::Fails => "check-fails",
            Finding::Untold => "check-undecided",
            Finding::Close => "check-close",
            Finding::ByDraws => "check-untested",
            Finding::MixedHeat { .. } => "mixed-heat",
            Finding::TwoHeats { .. } => "two-heats",
            Finding::NoLoadShare(_) | Finding::Proportion(..) => "in-proportion",
            Finding::Slip(suspicion) => suspicion.slip.code(),
            Finding::NoDrawDown => "no-draw-down",
            Finding::TakenAsFull(_) => "taken-as-full",
            Finding::NoSource => "no-source",
            Finding::NoTolerance => "no-tolerance",
            Finding::ClaimsExact(_) => "claims-exact",
            Finding::Idle(_) => "check-idle",
            Finding::ToleranceLost(_) => "tolerance-lost",
            Finding::OneInstrument { .. } => "one-instrument",
            Finding::Unusual(_) => "unusual-value",
            Finding::Bare(_) => "number-in-formula",
            Finding::Unused(_) => "unused",
            Finding::OneEnd { .. } => "one-end",
            Finding::NoEnd(_) => "no-end",
            Finding::ZeroValue => "zero-value",
            Finding::ZeroAnswer => "zero-answer",
            Finding::NoTrueZero => "no-true-zero",
            Finding::NoNumber => "no-number",
            Finding::RuleOfThumb(_) => "rule-of-thumb",
            Finding::Caution(caution) => caution.code,
            Finding::NotTried => "not-tried",
        }
    }

    /// What mending it would do.
    pub fn mended(&self) -> Option<&Mended> {
        match self {
            Finding::Slip(Suspicion { mended, .. }) | Finding::TakenAsFull(mended) => mended.as_ref(),
            Finding::Proportion(_, mended) => mended.as_ref().map(|(_, mended)| mended),
            _ => None,
        }
    }

    /// How much it weighs.
    pub fn weight(&self) -> Weight {
        match self {
            Finding::Problem(_) | Finding::Waits | Finding::Blank | Finding::Fails | Finding::Untold => Weight::Wrong,
            Finding::Slip(_) | Finding::Proportion(..) | Finding::TakenAsFull(_) | Finding::MixedHeat { .. } => {
                Weight::Slip
            }
            Finding::Close
            | Finding::ByDraws
            | Finding::TwoHeats { .. }
            | Finding::NoLoadShare(_)
            | Finding::NoDrawDown
            | Finding::Unused(true)
            | Finding::Idle(_)
            | Finding::RuleOfThumb(_)
            | Finding::Unusual(_) => Weight::Unsound,
            Finding::Caution(caution) if caution.weighs => Weight::Unsound,
            _ => Weight::Remark,
        }
    }
}

/// What was found, line by line.
#[derive(Default)]
pub(super) struct Findings(BTreeMap<Subject, Vec<Finding>>);

impl Finding {
    /// Whether it tells no more than how its line stands.
    pub(super) fn is_standing(&self) -> bool {
        use Finding::{Fails, Problem, Untold, Waits};
        matches!(self, Problem(_) | Waits | Fails | Untold)
    }
}

impl Findings {
    pub(super) fn add(&mut self, subject: Subject, finding: Finding) {
        let found = self.0.entry(subject).or_default();
        if !found.contains(&finding) {
            found.push(finding);
        }
    }

    /// Whether anything of this kind was found about a line.
    pub(super) fn has(&self, subject: Subject, wanted: fn(&Finding) -> bool) -> bool {
        self.0.get(&subject).is_some_and(|found| found.iter().any(wanted))
    }

    /// Whether a slip of this code was found in a line.
    pub(super) fn has_slip(&self, cell: CellId, code: &str) -> bool {
        let mut found = self.0.get(&Subject::Cell(cell)).into_iter().flatten();
        found.any(|finding| matches!(finding, Finding::Slip(found) if found.slip.code() == code))
    }

    /// What weighs so much or more, line by line.
    pub(super) fn heaviest(self, least: Weight) -> Vec<(Subject, Finding)> {
        let all = self.0.into_iter();
        let all = all.flat_map(|(subject, found)| found.into_iter().map(move |finding| (subject, finding)));
        all.filter(|(_, finding)| finding.weight() <= least).collect()
    }

    /// The lines with findings that aren't among these.
    pub(super) fn others(&self, known: &[Subject]) -> Vec<Subject> {
        let known: BTreeSet<&Subject> = known.iter().collect();
        let subjects = self.0.keys().filter(|subject| !known.contains(subject));
        subjects.copied().collect()
    }

    /// What was found about a line, the heaviest first.
    pub(super) fn take(&mut self, subject: Subject) -> Vec<Finding> {
        let mut found = self.0.remove(&subject).unwrap_or_default();
        found.sort_by_key(Finding::weight);
        found
    }
}

/// The line of an item: of an entry or an expectation its cell.
pub(super) fn subject_of(sheet: &Sheet, item: u32, cells: &BTreeMap<u32, CellId>) -> Subject {
    match cells.get(&item) {
        Some(cell) if sheet.entry(*cell).is_some() || is_check(sheet, *cell) => Subject::Cell(*cell),
        _ => Subject::Item(item),
    }
}

fn is_check(sheet: &Sheet, cell: CellId) -> bool {
    use crate::syntax::tree::Node;
    let item = sheet.tree().item(sheet.item_of(cell));
    item.is_some_and(|item| matches!(item.node, Node::Expect(_)))
}

/// How lines stand: problems, what waits, checks, answers that can't be set in relation, cautions.
pub(super) fn of_standing(sheet: &Sheet, appraisal: &Appraisal, found: &mut Findings) {
    let cells = cells_by_item(sheet);
    for problem in sheet.problems().into_iter().chain(sheet.unfinished(appraisal)) {
        if problem.severity == Severity::Problem {
            let subject = subject_of(sheet, problem.place.item, &cells);
            found.add(subject, Finding::Problem(problem));
        }
    }
    for cell in all_cells(sheet) {
        if is_check(sheet, cell) {
            found_check(sheet, appraisal, cell, found);
        } else if let Some(entry) = sheet.entry(cell) {
            let is_answer = entry.kind == EntryKind::Answer;
            let finding = match sheet.status(cell) {
                Status::Blank => Some(Finding::Blank),
                Status::Waits if is_answer => Some(Finding::Waits),
                Status::Known if is_answer => unrelated(sheet, cell),
                _ => None,
            };
            if let Some(finding) = finding {
                found.add(Subject::Cell(cell), finding);
            }
        }
    }
    let cautions = below_zero::cautions(sheet, appraisal, &all_cells(sheet).collect::<Vec<_>>());
    of_cautions(sheet, &cautions, &cells, found);
    of_rules(sheet, appraisal, found);
}

fn found_check(sheet: &Sheet, appraisal: &Appraisal, cell: CellId, found: &mut Findings) {
    let finding = match sheet.holds(cell) {
        Some(false) => Finding::Fails,
        None if sheet.status(cell) == Status::Broken => return,
        None => Finding::Untold,
        Some(true) if appraisal.close.contains(&cell) => Finding::Close,
        Some(true) if appraisal.by_draws.contains(&cell) => Finding::ByDraws,
        Some(true) => return,
    };
    found.add(Subject::Cell(cell), finding);
}

/// Why an answer with a value has no relative change.
fn unrelated(sheet: &Sheet, cell: CellId) -> Option<Finding> {
    let kind = sheet.shape(cell)?.kind;
    if !is_number(sheet, cell) {
        return Some(Finding::NoNumber);
    }
    if step_of(kind).is_some() {
        return Some(Finding::NoTrueZero);
    }
    let Reading::Number(value) = sheet.reading(cell) else {
        return Some(Finding::NoNumber);
    };
    value.is_zero().then_some(Finding::ZeroAnswer)
}

fn of_cautions(sheet: &Sheet, cautions: &[Cautioned], cells: &BTreeMap<u32, CellId>, found: &mut Findings) {
    for cautioned in cautions {
        let code = cautioned.caution.code;
        // mixed bases and runtimes by weight are findings of their own
        if code == "by-weight" || code == "gross-net" && cautioned.function.is_empty() {
            continue;
        }
        let subject = subject_of(sheet, sheet.item_of(cautioned.cell), cells);
        let text = match cautioned.text.as_str() {
            "" => cautioned.caution.text,
            own => own,
        };
        let caution = Caution {
            code,
            text: text.to_owned(),
            weighs: !cautioned.text.is_empty() && WEIGHTY.contains(&code) && !is_allowed(sheet, cautioned),
        };
        found.add(subject, Finding::Caution(caution));
    }
}

/// Whether a check of the worksheet that holds looks at what is cautioned of itself: a stall
/// that comes later than the swap.
fn is_allowed(sheet: &Sheet, cautioned: &Cautioned) -> bool {
    let holds = |check: CellId| is_check(sheet, check) && sheet.holds(check) == Some(true);
    let stall = cautioned.caution.code == "stalls-first";
    stall && all_cells(sheet).any(|check| holds(check) && sheet.needed_by(check).contains(&cautioned.cell))
}

/// Cautions that, raised by the values, say that a number can't be trusted.
const WEIGHTY: [&str; 22] = [
    "stalls-first",
    "overfill",
    "not-filled",
    "stamp-or-scale",
    "no-liquid",
    "dished-bottom",
    "outside-table",
    "off-the-line",
    "weight-rises",
    "bends",
    "hose-mixed",
    "beyond-readings",
    "below-zero",
    "one-sided",
    "fuel-line",
    "odd-efficiency",
    "correction-range",
    "near-field",
    "no-frost",
    "missing-cells",
    "two-tables",
    "clock-change",
];

/// The rules of thumb that each answer rests on.
fn of_rules(sheet: &Sheet, appraisal: &Appraisal, found: &mut Findings) {
    let thumbs: Vec<&(CellId, &'static Function)> = appraisal
        .functions
        .iter()
        .filter(|(_, function)| function.rule_error.is_some())
        .collect();
    if thumbs.is_empty() {
        return;
    }
    let is_answer = |cell: &CellId| sheet.entry(*cell).is_some_and(|entry| entry.kind == EntryKind::Answer);
    for answer in all_cells(sheet).filter(is_answer) {
        let needed = sheet.needed_by(answer);
        let mut rests: Vec<&'static Function> = Vec::new();
        for (_, function) in thumbs.iter().filter(|(cell, _)| needed.contains(cell)) {
            if !rests.iter().any(|known| known.name == function.name) {
                rests.push(function);
            }
        }
        if !rests.is_empty() {
            found.add(Subject::Cell(answer), Finding::RuleOfThumb(rests));
        }
    }
}
