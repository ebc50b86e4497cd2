//! How many problems of one kind are told, and how many more there are.
//!
//! A file that is of another kind has a problem in each of its lines, and nobody reads
//! a million of them. Start reading at [`Kinds::tells`].

use std::collections::BTreeMap;

use super::{Code, Place, Problem, Severity};

/// So many problems of one kind are told of each file.
pub const MOST_OF_A_KIND: usize = 1_000;

/// The problems met so far, by their kind and file.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kinds {
    met: BTreeMap<(Code, Option<String>), Met>,
}

#[derive(Clone, Debug, Default)]
struct Met {
    told: usize,
    more: usize,
    /// Where the first stands that isn't told.
    place: Place,
}

impl Met {
    fn count(&mut self, more: usize, place: Place) {
        if self.more == 0 {
            self.place = place;
        }
        self.more += more;
    }
}

impl Kinds {
    /// Whether one more of its kind is told.
    pub(crate) fn tells(&mut self, problem: &Problem) -> bool {
        let file = problem.file.as_ref().map(|place| place.file.clone());
        let met = self.met.entry((problem.code, file)).or_default();
        if met.told < MOST_OF_A_KIND {
            met.told += 1;
            return true;
        }
        met.count(1, problem.place);
        false
    }

    /// Whether some aren't told that weigh more than a lint.
    pub(crate) fn leaves_problems(&self) -> bool {
        let mut left = self.met.iter().filter(|(_, met)| met.more > 0);
        left.any(|((code, _), _)| code.severity() == Severity::Problem)
    }

    /// Counts those that weren't even kept.
    pub(crate) fn count_untold(&mut self, others: &Kinds) {
        for (kind, met) in others.met.iter().filter(|(_, met)| met.more > 0) {
            self.met.entry(kind.clone()).or_default().count(met.more, met.place);
        }
    }

    /// One problem for all of a kind that aren't told, where the first of them stands.
    pub(crate) fn more(self) -> impl Iterator<Item = Problem> {
        let untold = self.met.into_iter().filter(|(_, met)| met.more > 0);
        untold.map(|((code, file), met)| {
            let of_file = file.map_or(String::new(), |file| format!(" in `{file}`"));
            let (are, place) = if met.more == 1 {
                ("is", "place")
            } else {
                ("are", "places")
            };
            let message = format!("the same{of_file} {are} in {} more {place}", met.more);
            Problem::new(code, message, met.place).help("mend the first ones, and look again")
        })
    }
}
