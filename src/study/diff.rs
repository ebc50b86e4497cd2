//! Diff: two worksheets by meaning, and what each difference does to the answers.
//!
//! Things of both are paired by name, or under another name where they mean the
//! same; what differs is gathered; the answers' differences are shared out over
//! it by mixing the two. Start reading at [`diff`].

pub(crate) mod apart;
pub(crate) mod canon;
pub(crate) mod graph;
pub(crate) mod mixed;
pub(crate) mod pairing;
pub(crate) mod shares;
pub(crate) mod side;

use super::Watch;
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet};
use crate::syntax::tree::EntryKind;
use crate::unit::Kind;

use apart::{CaseApart, CheckPair, Difference, Wording};
use graph::{Change, Graph};
use mixed::{Asked, Mixer};
use pairing::Pairing;
use shares::{Ends, Shares};
use side::{Side, as_kind};

/// What two worksheets differ in.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Diff {
    /// What has another name and means the same: the name in the first, and in the second.
    pub renamed: Vec<(String, String)>,
    /// What differs, in the order of the first worksheet.
    pub differences: Vec<Difference>,
    /// The changes over which answers are shared out.
    pub changes: Vec<Change>,
    /// The expectations, one beside the other.
    pub checks: Vec<CheckPair>,
    /// The cases that differ.
    pub cases: Vec<CaseApart>,
    /// What differs in words alone.
    pub wording: Wording,
    /// The answers that both have.
    pub answers: Vec<Answer>,
    /// What there was no time for.
    pub cut: Cut,
}

/// What there was no time for, or too much to look at.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Cut {
    /// Whether what has another name wasn't looked for to the end.
    pub renamed: bool,
    /// The first thing that wasn't compared.
    pub differences_from: Option<String>,
    /// Whether it isn't known what rests on a difference.
    pub uses: bool,
    /// Whether the expectations weren't compared.
    pub checks: bool,
    /// Whether the cases weren't.
    pub cases: bool,
    /// Whether the words weren't.
    pub wording: bool,
}

/// An answer of both worksheets.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Answer {
    /// Its name in the first.
    pub name: String,
    /// Its cell in the first.
    pub a: CellId,
    /// Its cell in the second.
    pub b: CellId,
    /// Its two numbers, in the unit of the first; `None` where one has none, where they
    /// don't meet, and for texts, truth values and columns.
    pub ends: Ends,
    /// How the difference is shared out.
    pub shares: Shares,
}

/// Compares two worksheets as they stand, with their cases and trials. `watch` hears how
/// many mixtures are done, of how many, and says whether to go on.
pub(crate) fn diff(a: &Sheet, b: &Sheet, watch: &dyn Watch) -> Diff {
    paired(a, b, false, watch)
}

/// The same of two worksheets by two hands: an input of another name and another value is taken for
/// the one that measures the same in the same place, where each has one.
pub(crate) fn by_two_hands(a: &Sheet, b: &Sheet, watch: &dyn Watch) -> Diff {
    paired(a, b, true, watch)
}

fn paired(a: &Sheet, b: &Sheet, likely: bool, watch: &dyn Watch) -> Diff {
    let (a, b) = (Side::new(a), Side::new(b));
    let pairing = Pairing::of(&a, &b, likely);
    let mut cut = Cut {
        renamed: pairing.cut,
        ..Cut::default()
    };
    let mut differences;
    (differences, cut.differences_from) = apart::differences(&a, &b, &pairing);
    let graph = Graph::of(&a, &b, &pairing);
    cut.uses = graph.is_none();
    let changes = graph.as_ref().map_or_else(Vec::new, |graph| {
        let rested_on = graph.asked(&a, &b, &pairing);
        for difference in &mut differences {
            difference.idle = !rested_on.holds(graph.node(&graph::node(difference)));
        }
        graph::changes(graph, &differences)
    });
    let asked = asked(&a, &b, &pairing);
    let shares = match &graph {
        Some(graph) => shared(&a, &b, &pairing, (&differences, &changes), graph, &asked, watch),
        None => asked.iter().map(|(_, ends)| shares::stopped(*ends)).collect(),
    };
    let answers = asked.into_iter().zip(shares).map(|((asked, ends), shares)| Answer {
        name: asked.name,
        a: asked.a,
        b: asked.b,
        ends,
        shares,
    });
    let name = |side: &Side<'_>, place: usize| side.thing(place).map_or(String::new(), |thing| thing.name.clone());
    let (checks, cases) = (apart::checks(&a, &b, &pairing), apart::cases(&a, &b, &pairing));
    let wording = apart::wording(&a, &b, &pairing, &differences);
    (cut.checks, cut.cases, cut.wording) = (checks.is_none(), cases.is_none(), wording.is_none());
    Diff {
        renamed: pairing
            .renamed
            .iter()
            .map(|(one, other)| (name(&a, *one), name(&b, *other)))
            .collect(),
        checks: checks.unwrap_or_default(),
        cases: cases.unwrap_or_default(),
        wording: wording.unwrap_or_default(),
        differences,
        changes,
        answers: answers.collect(),
        cut,
    }
}

fn shared<'a>(
    a: &'a Side<'a>,
    b: &'a Side<'a>,
    pairing: &'a Pairing,
    found: (&'a [Difference], &[Change]),
    graph: &'a Graph,
    asked: &[(Asked, Ends)],
    watch: &dyn Watch,
) -> Vec<Shares> {
    let answers: Vec<Asked> = asked.iter().map(|(asked, _)| asked.clone()).collect();
    let mut mixer = Mixer::new((a, b), pairing, found.0, &answers, graph);
    shares::shares(&mut mixer, graph, found, asked, watch)
}

/// The entries that both have and that are an answer in one of them.
fn asked(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> Vec<(Asked, Ends)> {
    let pairs = a.things.iter().zip(&pairing.of_a);
    let asked = pairs.filter_map(|(mine, other)| {
        let theirs = b.thing((*other)?)?;
        // of other worksheets those are answers there
        if a.sheet.file_of(mine.item).is_some() {
            return None;
        }
        let is_answer = |side: &Side<'_>, thing| side.entry(thing).map(|entry| entry.kind) == Some(EntryKind::Answer);
        if !is_answer(a, mine) && !is_answer(b, theirs) {
            return None;
        }
        let (one, other) = (mine.cell?, theirs.cell?);
        let asked = Asked {
            name: mine.name.clone(),
            a: one,
            b: other,
            kind: a.sheet.shape(one).map(|shape| shape.kind),
        };
        Some((asked, ends(a.sheet, b.sheet, one, other)))
    });
    asked.collect()
}

/// The digits of a number that machines are shown: differences are of these.
const SHOWN: u32 = 28;

fn ends(a: &Sheet, b: &Sheet, one: CellId, other: CellId) -> Ends {
    let (kind, theirs) = (a.shape(one)?.kind, b.shape(other)?.kind);
    if matches!(kind, Kind::Text | Kind::Truth) {
        return None;
    }
    match (a.reading(one), b.reading(other)) {
        (Reading::Number(one), Reading::Number(other)) => {
            let other = as_kind(other, theirs, kind)?;
            Some((one.round_significant(SHOWN), other.round_significant(SHOWN)))
        }
        _ => None,
    }
}
