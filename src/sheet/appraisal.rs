//! What an appraisal finds: how sure each cell is, and what to be careful of.
//!
//! How it is found is in [`super::appraise`]. Start reading at [`Appraisal`].

use std::collections::{BTreeMap, BTreeSet};

use crate::trade::caution::{BY_DRAWS, GROSS_NET};
use crate::trade::{Caution, Function};

use super::dual::{Dual, Sources};
use super::gradient::Gradient;
use super::names::CellId;
use super::source::Uncertainty;

/// The uncertainty of a cell.
#[derive(Clone, PartialEq, Debug)]
pub enum Doubt {
    /// Of one value.
    One(Uncertainty),
    /// Of each row.
    Rows(Vec<Uncertainty>),
}

/// A caution, with the cell it belongs to.
#[derive(Clone, PartialEq, Debug)]
pub struct Cautioned {
    /// The cell.
    pub cell: CellId,
    /// The function it came from.
    pub function: &'static str,
    /// The caution.
    pub caution: &'static Caution,
    /// What it says here; empty: the caution's own text.
    pub text: String,
}

impl Cautioned {
    /// Of a cell that no function stands for.
    pub(crate) fn new(cell: CellId, caution: &'static Caution, text: String) -> Cautioned {
        Cautioned {
            cell,
            function: "",
            caution,
            text,
        }
    }
}

/// Where a cell takes the heat of a fuel on a basis.
#[derive(Clone)]
pub struct HeatBasis {
    /// The cell.
    pub cell: CellId,
    /// The function that takes it.
    pub function: &'static Function,
    /// The fuel.
    pub fuel: String,
    /// "gross" or "net".
    pub basis: String,
}

/// What draws say of a value beside what the straight line says.
#[derive(Clone, PartialEq, Debug)]
pub struct Mark {
    /// Why the straight line doesn't do.
    pub kind: MarkKind,
    /// The values that it takes, where they are few: the most frequent of texts first.
    pub few: Vec<f64>,
    /// The ends of the interval that holds 95 % of them.
    pub ends: (f64, f64),
    /// Their mean; of a check how many of them hold.
    pub mean: f64,
}

/// Why a straight line doesn't tell how sure a value is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum MarkKind {
    /// It moves by jumps, and the line says that it doesn't move.
    Hides,
    /// It bends inside the tolerances.
    Bends,
    /// It comes from a table that a function made.
    ByDraws,
    /// Inside the tolerances there are places where it has no value.
    Gaps,
    /// A check that comes out the same in every draw.
    Steady,
    /// A line comes down to it so flat that its limits are uneven; one that is infinite
    /// can't be told.
    Uneven,
}

impl Mark {
    /// Between two ends, and nothing else known.
    pub(crate) fn new(kind: MarkKind, ends: (f64, f64)) -> Mark {
        Mark {
            kind,
            few: Vec::new(),
            ends,
            mean: f64::NAN,
        }
    }

    /// Whether one of its ends can't be told, so that no ± holds.
    pub(crate) fn is_open(&self) -> bool {
        self.kind == MarkKind::Uneven && !(self.ends.0.is_finite() && self.ends.1.is_finite())
    }

    /// Of a check that comes out the same in every draw.
    pub(crate) fn steady() -> Mark {
        Mark::new(MarkKind::Steady, (f64::NAN, f64::NAN))
    }

    pub(super) fn uneven(ends: (f64, f64)) -> Mark {
        Mark::new(MarkKind::Uneven, ends)
    }
}

/// What an appraisal found.
#[derive(Default)]
pub struct Appraisal {
    /// The uncertainty of each cell asked for that has any.
    pub doubts: BTreeMap<CellId, Doubt>,
    /// Cautions, in the order of the cells.
    pub cautions: Vec<Cautioned>,
    /// The basis of heat that each cell names, fuel by fuel: "gross" or "net".
    pub bases: Vec<HeatBasis>,
    /// The rule that each cell chooses by name where several are published: function and word.
    pub choices: Vec<(CellId, &'static str, String)>,
    /// Functions used by each cell looked at, for their declared rule errors.
    pub functions: Vec<(CellId, &'static Function)>,
    /// The sources of uncertainty met.
    pub sources: Sources,
    /// Checks whose limit lies within the expanded uncertainty of what is compared.
    pub close: BTreeSet<CellId>,
    /// How likely each of those holds, where it is one comparison.
    pub likely: BTreeMap<CellId, f64>,
    /// Checks that compare what only draws can tell the uncertainty of.
    pub by_draws: BTreeSet<CellId>,
    /// The cells that rest on a table made of what isn't sure.
    pub(crate) unsure: BTreeSet<u32>,
    /// The cells that are sums of inputs, which a straight line tells all of.
    pub(super) sums: BTreeSet<u32>,
    /// How many steps a draw takes to make the tables of each cell anew.
    pub making: BTreeMap<CellId, usize>,
    /// The uncertainty of each row of the columns of tables that are worked out, by their slots.
    pub columns: BTreeMap<u32, Vec<Uncertainty>>,
    /// Where the straight line tells less than draws do.
    pub marks: BTreeMap<CellId, Mark>,
    /// The cell at which the time was up, where it was; nothing is known of those behind it.
    pub cut: Option<CellId>,
    /// The sensitivities of each cell asked for.
    pub gradients: BTreeMap<CellId, Gradient>,
    /// Those of each row of a column that isn't long.
    pub row_gradients: BTreeMap<(CellId, u32), Gradient>,
    /// Where the straight line tells less of a row than draws do.
    pub row_marks: BTreeMap<(CellId, u32), Mark>,
}

/// Whose readings a line goes through.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum ReadingsOf {
    /// A table's column, by its slot.
    Column(u32),
    /// An entry that holds a column.
    Entry(CellId),
    /// Something that has no name of its own.
    Unnamed,
}

/// The rows of a column of no more than so many are looked at one by one.
pub const MOST_ROWS: usize = 24;

impl Appraisal {
    /// Whether a cell is a sum of inputs alone: nothing bends, jumps or is left out there.
    pub(crate) fn is_sum(&self, cell: CellId) -> bool {
        self.sums.contains(&cell.0)
    }

    /// Keeps the sensitivities of the rows of a column, if they aren't too many.
    pub(super) fn note_rows(&mut self, cell: CellId, cells: &[Option<Dual>]) {
        let rows = (0u32..).zip(cells).filter(|_| cells.len() <= MOST_ROWS);
        let rows = rows.filter_map(|(row, dual)| Some(((cell, row), dual.as_ref()?.gradient.clone())));
        self.row_gradients.extend(rows);
    }

    /// Only draws can tell how sure this cell is.
    pub(super) fn note_draws(&mut self, cell: CellId) {
        self.cautions.push(Cautioned::new(cell, &BY_DRAWS, String::new()));
    }

    /// One fuel's heat taken gross here and net there.
    pub(super) fn note_mixed_bases(&mut self) {
        let mut mixed: Vec<Cautioned> = Vec::new();
        for one in &self.bases {
            let other = self
                .bases
                .iter()
                .find(|other| other.fuel == one.fuel && other.basis != one.basis);
            if let Some(other) = other {
                let text = format!(
                    "The heat of {} is gross in one place and net in another. {}",
                    other.fuel, GROSS_NET.text
                );
                let cautioned = Cautioned::new(one.cell, &GROSS_NET, text);
                if !mixed.contains(&cautioned) {
                    mixed.push(cautioned);
                }
            }
        }
        self.cautions.extend(mixed);
    }
}
