//! Audit: a worksheet line by line, worst first.
//!
//! Each value is moved to both ends of how far it may be off, with the exact
//! program; the larger move of each answer counts. What a reader
//! of somebody else's worksheet should ask about a line is a [`Finding`]. The
//! words are the report's. Start reading at [`audit`]; `swing.rs` moves values,
//! `formula.rs` reads formulas, `fuel.rs` looks for what goes wrong with fuel.

use std::collections::{BTreeMap, BTreeSet};

use super::Watch;
use super::marks::{Tables, mark};
use super::nearness::closeness;
use super::vary::step_of;
use crate::number::Number;
use crate::sheet::appraisal::Appraisal;
use crate::sheet::gradient::Gradient;
use crate::sheet::names::CellId;
use crate::sheet::source::SourceOf;
use crate::sheet::{Reading, Sheet, Status};
use crate::syntax::tree::EntryKind;
use crate::time_limit;
use crate::unit::{Kind, Unit};

mod added;
mod burning;
mod carried;
mod chances;
mod clocks;
mod counted;
mod currents;
mod electric;
mod finding;
mod forms;
mod formula;
mod fuel;
mod ground;
mod held_against;
mod hung;
mod idle;
mod instrument;
mod legs;
mod loud;
mod names;
mod nature;
mod paired;
mod proportion;
mod quantities;
mod said;
mod shapes;
mod slip;
mod slips;
mod starts;
mod swing;
mod told;
mod twice;
mod uses;
mod weighed;
mod written;

pub(crate) use burning::{LESS, NO_LOAD};
pub use finding::{Caution, Claim, Finding, Idle, Unusual, Weight};
pub use proportion::Proportion;
pub use slip::{Mended, OutBy, Slip, Suspicion};
pub(crate) use swing::only_row_out;
pub use swing::{How, Move, Reach};

use finding::Findings;
use ground::Ground;
use slips::Slips;
use swing::Moving;
use uses::Uses;

/// What a line of an audit is about.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Subject {
    /// An entry or an expectation.
    Cell(CellId),
    /// A column of a written table: the table, and the column's slot.
    Column(u32, u32),
    /// Another item: a table, a rule, a case, a line that can't be read.
    Item(u32),
}

/// One line of an audit.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// What it is about.
    pub subject: Subject,
    /// How far it was moved; `None` where it isn't a value that can be moved.
    pub reach: Option<Reach>,
    /// What that did to each answer.
    pub moves: Vec<Option<Move>>,
    /// What there is to ask.
    pub findings: Vec<Finding>,
    /// Whether its value is a guess, or has no source.
    pub doubtful: bool,
    /// Whether numbers in its formula reach an answer, though nothing moves them.
    pub hidden: bool,
    /// How much it weighs.
    pub weight: Weight,
}

/// What an audit came to.
#[derive(Default)]
pub struct Audited {
    /// The answers that are single numbers.
    pub answers: Vec<CellId>,
    /// The lines, worst first.
    pub lines: Vec<Line>,
    /// Values that weren't tried, because somebody stopped it.
    pub untried: Vec<Subject>,
    /// Values that nothing could be held against.
    pub unseen: Vec<CellId>,
    /// Uncertainties and cautions.
    pub appraisal: Appraisal,
}

/// A swing below this part of an answer isn't worth a tolerance.
const WORTH_A_TOLERANCE: f64 = 0.03;

/// Audits the worksheet as it stands, with its case and trials. `watch` hears how many
/// values are done of how many, and ends the work by giving back false.
pub fn audit(sheet: &Sheet, watch: &dyn Watch) -> Audited {
    let uses = Uses::of(sheet);
    let mut appraisal = sheet.appraise(all_cells(sheet));
    let close: Vec<CellId> = appraisal.close.iter().copied().collect();
    mark(sheet, &close, &mut appraisal, Tables::Left);
    let answers = numeric_answers(sheet);
    let (mut found, unseen) = looked_through(sheet, &uses, (&answers, &appraisal));
    let inputs = inputs(sheet, &uses);
    let (mut lines, untried) = moved(Moving::new(sheet, &answers, &uses), &inputs, watch, &mut found);
    let yardsticks = yardsticks(sheet, &answers);
    for line in &mut lines {
        line.doubtful = is_doubtful(sheet, line.subject);
        known_how(sheet, line, &appraisal, (&answers, &yardsticks), &mut found);
    }
    let others = found.others(&inputs);
    lines.extend(others.into_iter().map(|subject| Line::still(subject, answers.len())));
    let reached = reached(sheet);
    for line in &mut lines {
        line.findings = found.take(line.subject);
        line.hidden = hides_numbers(sheet, line, &uses, &reached);
        line.weight = line.weighed();
    }
    lines.retain_mut(|line| is_told(sheet, line));
    lines.sort_by(|one, other| {
        let size = other.size(&yardsticks).total_cmp(&one.size(&yardsticks));
        let size = other.mended().total_cmp(&one.mended()).then(size);
        let place = place_of(sheet, one.subject).cmp(&place_of(sheet, other.subject));
        one.weight.cmp(&other.weight).then(size).then(place)
    });
    Audited {
        answers,
        lines,
        untried,
        unseen,
        appraisal,
    }
}

/// Whether a line is told: not what leads to the answer of an exercise, and of a check that
/// marks one only how it stands.
fn is_told(sheet: &Sheet, line: &mut Line) -> bool {
    let Subject::Cell(cell) = line.subject else { return true };
    if closeness(sheet, cell).is_some() {
        line.findings.retain(Finding::is_standing);
        return !line.findings.is_empty();
    }
    !sheet.is_kept_back(cell)
}

/// What is likely to be a slip, or is wrong: the same as in an audit, with nothing moved and nothing drawn.
pub fn likely_slips(sheet: &Sheet) -> Vec<(Subject, Finding)> {
    let appraisal = sheet.appraise(all_cells(sheet));
    let (found, _) = looked_through(sheet, &Uses::of(sheet), (&numeric_answers(sheet), &appraisal));
    let told = |(subject, _): &(Subject, Finding)| match subject {
        Subject::Cell(cell) => closeness(sheet, *cell).is_none() && !sheet.is_kept_back(*cell),
        _ => true,
    };
    found.heaviest(Weight::Wrong).into_iter().filter(told).collect()
}

/// What formulas, values and words give rise to, and the inputs that nothing could be held against.
fn looked_through(sheet: &Sheet, uses: &Uses, seen: (&[CellId], &Appraisal)) -> (Findings, Vec<CellId>) {
    let (answers, appraisal) = seen;
    let mut found = Findings::default();
    finding::of_standing(sheet, appraisal, &mut found);
    formula::look(sheet, uses, &mut found);
    fuel::look(sheet, appraisal, &mut found);
    instrument::look(sheet, answers, &mut found);
    let mut ground = Ground::of(sheet);
    names::dress(&mut ground);
    let unseen = slips(&ground, seen, &mut found);
    (found, unseen)
}

/// Looks for slips; the inputs that reach an answer and that nothing could be held against.
fn slips(ground: &Ground<'_>, (answers, appraisal): (&[CellId], &Appraisal), found: &mut Findings) -> Vec<CellId> {
    let mut slips = Slips::new(ground, answers, found);
    said::look(&mut slips);
    told::look(&mut slips);
    written::look(&mut slips);
    shapes::look(&mut slips);
    held_against::look(&mut slips, appraisal);
    weighed::look(&mut slips);
    burning::look(&mut slips);
    added::look(&mut slips);
    starts::look(&mut slips);
    twice::look(&mut slips);
    electric::look(&mut slips);
    idle::look(&mut slips);
    legs::look(&mut slips);
    loud::look(&mut slips);
    paired::look(&mut slips);
    carried::look(&mut slips);
    counted::look(&mut slips);
    names::look(&mut slips);
    chances::look(&mut slips);
    currents::look(&mut slips);
    nature::look(&mut slips);
    clocks::look(&mut slips);
    forms::look(&mut slips);
    formula::taken_as_full(&mut slips);
    let reached = reached(ground.sheet);
    let unseen = reached.into_iter().filter(|cell| {
        let counts = is_number(ground.sheet, *cell) && ground.is_input(*cell);
        counts && !slips.met.contains(cell) && !formula::has_usual_range(ground.sheet, *cell)
    });
    unseen.collect()
}

/// Everything that an answer of any kind rests on, with the answers.
fn reached(sheet: &Sheet) -> BTreeSet<CellId> {
    let is_answer = |cell: &CellId| sheet.entry(*cell).is_some_and(|entry| entry.kind == EntryKind::Answer);
    let answers = all_cells(sheet).filter(is_answer);
    answers.flat_map(|answer| sheet.needed_by(answer)).collect()
}

/// Whether the bare numbers of a line reach an answer.
fn hides_numbers(sheet: &Sheet, line: &Line, uses: &Uses, reached: &BTreeSet<CellId>) -> bool {
    let mut findings = line.findings.iter();
    if !findings.any(|finding| matches!(finding, Finding::Bare(_))) {
        return false;
    }
    let users = match line.subject {
        Subject::Cell(cell) => BTreeSet::from([cell]),
        Subject::Item(item) => {
            let own = all_cells(sheet).filter(|cell| sheet.item_of(*cell) == item);
            own.chain(uses.rule_users(item)).collect()
        }
        Subject::Column(..) => return false,
    };
    let counts = |user: &CellId| reached.contains(user) && sheet.held(*user).is_none();
    users.iter().any(counts)
}

/// The lines of all values, each moved; those that weren't tried at the end once more.
fn moved(
    mut moving: Moving<'_>,
    inputs: &[Subject],
    watch: &dyn Watch,
    found: &mut Findings,
) -> (Vec<Line>, Vec<Subject>) {
    let mut lines = Vec::with_capacity(inputs.len());
    let mut untried = Vec::new();
    for (done, subject) in inputs.iter().enumerate() {
        if untried.is_empty() && watch.goes_on(done, inputs.len()) {
            let line = moving.line(*subject, found);
            if !time_limit::is_up() {
                lines.push(line);
                continue;
            }
        }
        untried.push(*subject);
        found.add(*subject, Finding::NotTried);
        lines.push(Line::still(*subject, moving.answers()));
    }
    (lines, untried)
}

/// The cell of each item that has one.
fn cells_by_item(sheet: &Sheet) -> BTreeMap<u32, CellId> {
    all_cells(sheet).map(|cell| (sheet.item_of(cell), cell)).collect()
}

fn all_cells(sheet: &Sheet) -> impl Iterator<Item = CellId> + use<> {
    sheet.own_cells()
}

/// The answers that hold one number, in the order of the file; of two with one name the first.
fn numeric_answers(sheet: &Sheet) -> Vec<CellId> {
    let counts = |cell: &CellId| {
        let is_answer = sheet.entry(*cell).is_some_and(|entry| entry.kind == EntryKind::Answer);
        let first = sheet.name_of(*cell).and_then(|name| sheet.cell(name)) == Some(*cell);
        is_answer && first && is_number(sheet, *cell) && matches!(sheet.reading(*cell), Reading::Number(_))
    };
    all_cells(sheet).filter(counts).collect()
}

fn is_number(sheet: &Sheet, cell: CellId) -> bool {
    let shape = sheet.shape(cell);
    shape.is_some_and(|shape| !shape.column && !matches!(shape.kind, Kind::Text | Kind::Truth))
}

/// What the answers rest on: inputs, whatever a trial holds, and the columns of tables
/// that something uses.
fn inputs(sheet: &Sheet, uses: &Uses) -> Vec<Subject> {
    let is_input = |cell: &CellId| {
        let written = sheet.entry(*cell).is_some_and(|entry| entry.kind.is_input());
        written || sheet.entry(*cell).is_some() && sheet.held(*cell).is_some()
    };
    // of other worksheets, what an answer of this one rests on
    let reached = reached(sheet);
    let beyond = reached
        .iter()
        .copied()
        .filter(|cell| sheet.file_of(sheet.item_of(*cell)).is_some());
    let cells = all_cells(sheet).chain(beyond).filter(is_input);
    let mut found: Vec<Subject> = cells.map(Subject::Cell).collect();
    let written = (0u32..).zip(sheet.tables()).filter(|(_, table)| table.cell.is_none());
    for (place, table) in written {
        let is_own = sheet.file_of(table.item).is_none();
        let counts = |slot: &&u32| {
            let reaches = |user: &CellId| is_own || reached.contains(user);
            uses.column(**slot) && (is_own || uses.users(**slot).iter().any(reaches))
        };
        let used = table.columns.iter().filter(counts);
        found.extend(used.map(|slot| Subject::Column(place, *slot)));
    }
    found.sort_by_key(|subject| place_of(sheet, *subject));
    found
}

/// Where a line stands: its item, and its place in it.
pub fn place_of(sheet: &Sheet, subject: Subject) -> (u32, u32) {
    match subject {
        Subject::Cell(cell) => (sheet.item_of(cell), 0),
        Subject::Column(table, slot) => (
            sheet.tables().get(table as usize).map_or(0, |table| table.item),
            slot + 1,
        ),
        Subject::Item(item) => (item, 0),
    }
}

/// Whether somebody guessed it, or nobody says where it comes from.
fn is_doubtful(sheet: &Sheet, subject: Subject) -> bool {
    let guess = matches!(subject, Subject::Cell(cell) if is_guess(sheet, cell));
    guess || !is_sourced(sheet, subject)
}

/// Whether the value of an entry is assumed. What a trial holds is a guess whatever the line says.
pub(crate) fn is_guess(sheet: &Sheet, cell: CellId) -> bool {
    let assumed = sheet.entry(cell).is_some_and(|entry| entry.kind == EntryKind::Assumed);
    assumed || sheet.trials().any(|trial| trial == cell)
}

/// Whether a line says where its value comes from.
pub(crate) fn is_sourced(sheet: &Sheet, subject: Subject) -> bool {
    source_of(sheet, subject).is_some_and(|source| !source.trim().is_empty())
}

/// Where a line has its value from; of a held value, what the case or the trial says.
pub(crate) fn source_of(sheet: &Sheet, subject: Subject) -> Option<String> {
    use crate::syntax::tree::Node;
    if let Subject::Cell(cell) = subject
        && let Some(held) = sheet.held(cell)
    {
        return held.source.clone();
    }
    let (item, _) = place_of(sheet, subject);
    let source = match sheet.tree().node(item)? {
        Node::Entry(entry) => entry.source.as_ref(),
        Node::Table(table) => table.source.as_ref(),
        _ => None,
    };
    source.map(|source| source.text.to_string())
}

/// What there is to ask about how a value is known.
fn known_how(
    sheet: &Sheet,
    line: &Line,
    appraisal: &Appraisal,
    (answers, yardsticks): (&[CellId], &[Option<f64>]),
    found: &mut Findings,
) {
    if !is_sourced(sheet, line.subject) && has_value(sheet, line.subject) {
        found.add(line.subject, Finding::NoSource);
    }
    let Some(reach) = &line.reach else { return };
    let claim = swing::claim(sheet, line.subject).filter(|_| !is_nominal(sheet, line.subject));
    if let Some(claim) = claim {
        found.add(line.subject, Finding::ClaimsExact(claim));
    }
    if reach.how != How::Tolerance {
        if claim.is_none() && line.size(yardsticks) > WORTH_A_TOLERANCE && !is_count(sheet, line.subject) {
            found.add(line.subject, Finding::NoTolerance);
        }
        return;
    }
    let moved = line.moves.iter().zip(answers);
    let lost = moved.filter(|(moved, answer)| {
        let moves = moved.as_ref().is_some_and(|moved| !moved.change.is_zero());
        moves && !carries(appraisal, **answer, line.subject)
    });
    let lost: Vec<CellId> = lost.map(|(_, answer)| *answer).collect();
    if !lost.is_empty() {
        found.add(line.subject, Finding::ToleranceLost(lost));
    }
}

fn has_value(sheet: &Sheet, subject: Subject) -> bool {
    !matches!(subject, Subject::Cell(cell) if matches!(sheet.status(cell), Status::Blank | Status::Broken))
}

/// What is counted is exact: cylinders, outlets.
fn is_count(sheet: &Sheet, subject: Subject) -> bool {
    let Some(Kind::Quantity(unit)) = kind_of(sheet, subject) else {
        return false;
    };
    let whole = match subject {
        Subject::Cell(cell) => matches!(sheet.reading(cell), Reading::Number(number) if number.is_whole()),
        _ => true,
    };
    whole && unit.to_string() == "each"
}

/// A count, or a whole number without a unit, such as a wire gauge.
fn is_nominal(sheet: &Sheet, subject: Subject) -> bool {
    let plain = kind_of(sheet, subject) == Some(Kind::Quantity(Unit::ONE));
    let whole = matches!(subject, Subject::Cell(cell) if number(sheet, cell).is_some_and(|number| number.is_whole()));
    is_count(sheet, subject) || plain && whole
}

/// Kind and unit of the value behind a line.
pub(crate) fn kind_of(sheet: &Sheet, subject: Subject) -> Option<Kind> {
    match subject {
        Subject::Cell(cell) => sheet.shape(cell).map(|shape| shape.kind),
        Subject::Column(_, slot) => sheet.table_column(slot).map(|column| column.kind),
        Subject::Item(_) => None,
    }
}

/// Whether the uncertainty of an answer has a part from this value.
fn carries(appraisal: &Appraisal, answer: CellId, subject: Subject) -> bool {
    let gradient = appraisal
        .gradients
        .get(&answer)
        .map(Gradient::parts)
        .unwrap_or_default();
    let sources = gradient.iter().filter(|(_, slope)| *slope != 0.0);
    let mut sources = sources.filter_map(|(number, _)| appraisal.sources.list.get(*number as usize));
    sources.any(|source| match (source.of, subject) {
        (SourceOf::Cell(cell), Subject::Cell(own)) => cell == own.0,
        (SourceOf::Reading(slot, _), Subject::Column(_, own)) => slot == own,
        // readings through a line, or gathered: the column may be among them
        (SourceOf::Cell(_) | SourceOf::Reading(..), _) | (SourceOf::ByDraws, _) => false,
        (_, subject) => matches!(subject, Subject::Column(..)),
    })
}

// ---- order ----

/// What counts as a tenth of each answer on a scale without a true zero, as it does for
/// the values that are moved; `None` where a tenth is a tenth.
fn yardsticks(sheet: &Sheet, answers: &[CellId]) -> Vec<Option<f64>> {
    let tenth = |answer: &CellId| step_of(sheet.shape(*answer)?.kind).map(|step| step.to_f64());
    answers.iter().map(tenth).collect()
}

impl Line {
    /// A line whose value wasn't moved.
    fn still(subject: Subject, answers: usize) -> Line {
        Line {
            subject,
            reach: None,
            moves: vec![None; answers],
            findings: Vec::new(),
            doubtful: false,
            hidden: false,
            weight: Weight::Remark,
        }
    }

    /// The largest move of any answer, as a part of it.
    fn size(&self, yardsticks: &[Option<f64>]) -> f64 {
        let sizes = self.moves.iter().zip(yardsticks).filter_map(|(moved, yardstick)| {
            let moved = moved.as_ref()?;
            match (moved.relative, yardstick) {
                (Some(part), _) => Some(part.to_f64()),
                (None, Some(tenth)) => Some(moved.change.to_f64() / tenth / 10.0),
                (None, None) => Some(0.0),
            }
        });
        sizes.fold(0.0, f64::max)
    }

    /// How far mending what was found moves an answer.
    fn mended(&self) -> f64 {
        let mended = self.findings.iter().filter_map(Finding::mended);
        mended.map(Mended::size).fold(0.0, f64::max)
    }

    fn moves_something(&self) -> bool {
        let mut moves = self.moves.iter().flatten();
        moves.any(|moved| !moved.change.is_zero())
    }

    fn weighed(&self) -> Weight {
        let own = match (self.moves_something(), self.doubtful) {
            (true, true) => Weight::Guess,
            (true, false) => Weight::Value,
            (false, _) => Weight::Remark,
        };
        let found = self.findings.iter().map(Finding::weight);
        let own = if self.hidden { own.min(Weight::Guess) } else { own };
        found.min().map_or(own, |weight| weight.min(own))
    }
}

// ---- what decides ----

/// The lines that decide some answers.
#[derive(Clone, PartialEq, Debug)]
pub struct Deciding {
    /// The answers, by their places.
    pub answers: Vec<usize>,
    /// The lines, by their places; the largest move first. None: nothing moves them.
    pub lines: Vec<usize>,
    /// Their part of the sum of all squared moves: the least and the greatest of these answers.
    pub share: (f64, f64),
}

/// No more lines than this are named for an answer.
const MOST_DECIDING: usize = 3;
/// Lines are named until they have this part of the sum of squared moves.
const ENOUGH: f64 = 0.8;

/// Which lines decide each answer: those with the largest moves. Answers decided by the
/// same lines stand together.
pub fn deciding(audited: &Audited) -> Vec<Deciding> {
    let mut found: Vec<Deciding> = Vec::new();
    for answer in 0..audited.answers.len() {
        let (lines, share) = decided_by(&audited.lines, answer);
        match found.iter_mut().find(|known| known.lines == lines) {
            Some(known) => {
                known.answers.push(answer);
                known.share = (known.share.0.min(share), known.share.1.max(share));
            }
            None => found.push(Deciding {
                answers: vec![answer],
                lines,
                share: (share, share),
            }),
        }
    }
    found
}

fn decided_by(lines: &[Line], answer: usize) -> (Vec<usize>, f64) {
    let moves = lines.iter().enumerate().filter_map(|(place, line)| {
        let moved = line.moves.get(answer)?.as_ref()?;
        Some((place, moved.change.to_f64().powi(2)))
    });
    let mut moves: Vec<(usize, f64)> = moves.filter(|(_, square)| *square > 0.0).collect();
    moves.sort_by(|one, other| other.1.total_cmp(&one.1));
    let whole: f64 = moves.iter().map(|(_, square)| square).sum();
    let (mut named, mut part) = (Vec::new(), 0.0);
    for (place, square) in moves {
        if named.len() == MOST_DECIDING || part >= ENOUGH * whole {
            break;
        }
        named.push(place);
        part += square;
    }
    (named, if whole > 0.0 { part / whole } else { 0.0 })
}

/// The cells that each answer rests on.
type Rests = BTreeMap<CellId, BTreeSet<CellId>>;

fn rests_on(sheet: &Sheet, answers: &[CellId]) -> Rests {
    let needed = |answer: &CellId| (*answer, sheet.needed_by(*answer).into_iter().collect());
    answers.iter().map(needed).collect()
}

/// A unit by its name; a plain number where there is none of that name.
fn unit(name: &str) -> Unit {
    Unit::parse(name).unwrap_or(Unit::ONE)
}

/// The number behind a cell as things stand.
fn number(sheet: &Sheet, cell: CellId) -> Option<Number> {
    super::vary::number_of(sheet, cell)
}
