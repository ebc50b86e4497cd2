//! `doubt`: what was asked read, what has no uncertainty refused.
//!
//! Both shells ask with the same words. Start reading at [`Session::doubt`].

use crate::report::compose;
use crate::report::compose::doubt::Drawing;
use crate::report::doubt::Doubt;
use crate::report::study::Found;
use crate::sheet::names::{CellId, Named};
use crate::study::why::{Thing, why};
use crate::study::{Timed, Watch};
use crate::unit::Kind;

use super::asked::{Asked, StudyVerb, Word, whole};
use super::vary::no_entry;
use super::{Refusal, Session};

/// A doubt as it was asked for.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct DoubtAsked {
    /// The entry.
    pub name: String,
    /// How many draws.
    pub draws: Option<u64>,
    /// The seed they begin with.
    pub seed: Option<u64>,
}

/// The fewest and the most draws.
const DRAWS: (u64, u64) = (100, 10_000_000);
const SEEDS: (u64, u64) = (0, u64::MAX);

/// `doubt`, as a verb.
pub(crate) const DOUBT: StudyVerb = StudyVerb {
    about: Some("NAME"),
    words: &[
        Word::new("draws", "N").refusing(|text| whole(text, DRAWS).err()),
        Word::new("seed", "S").refusing(|text| whole(text, SEEDS).err()),
    ],
    draws: true,
    brief: true,
    ..StudyVerb::new("doubt", |session, asked, watch| {
        Ok(Box::new(session.doubt(&DoubtAsked::of(asked), watch)?))
    })
};

impl DoubtAsked {
    /// Reads `runtime draws 100000 seed 7`.
    ///
    /// # Errors
    /// A name or a number is missing, can't be read, or stands twice.
    pub fn typed(line: &str) -> Result<DoubtAsked, Refusal> {
        DOUBT.typed(line).map(|asked| DoubtAsked::of(&asked))
    }

    fn of(asked: &Asked) -> DoubtAsked {
        let number = |word, range| asked.get(word).and_then(|text| whole(text, range).ok());
        DoubtAsked {
            name: asked.about.clone(),
            draws: number("draws", DRAWS),
            seed: number("seed", SEEDS),
        }
    }
}

impl Session {
    /// How sure an entry is and what makes it unsure, on the case and trials in hand. Draws
    /// stop with what there is when `watch` says so.
    ///
    /// # Errors
    /// There is no such entry, or it is nothing that has an uncertainty.
    pub fn doubt(&mut self, asked: &DoubtAsked, watch: &dyn Watch) -> Result<Found<Doubt>, Refusal> {
        if asked.seed.is_some() && asked.draws.is_none() {
            let refusal = Refusal::new("a seed says how draws begin, and none are asked for");
            return Err(refusal.help("say how many: `draws 100000`"));
        }
        let cell = self.doubted(&asked.name)?;
        let drawing = Drawing {
            count: asked.draws.map(|count| usize::try_from(count).unwrap_or(usize::MAX)),
            seed: asked.seed,
        };
        let what = format!("`doubt {}`", asked.name);
        let found = self.timed(&what, |session| {
            compose::doubt::doubt(&session.sheet, cell, drawing, &Timed::new(watch), session.options)
        });
        Ok(self.with_in_hand(found))
    }

    /// An entry that can have an uncertainty.
    fn doubted(&mut self, name: &str) -> Result<CellId, Refusal> {
        self.told(name)?;
        let cell = match self.sheet.names().get(name) {
            Some(Named::Cell(cell)) => cell,
            Some(other @ Named::Table(_)) => {
                return Err(no_entry(name, other).help("name an entry that takes a value from it"));
            }
            Some(other) => return Err(no_entry(name, other).help("name an entry")),
            None => return Err(self.unnamed(name)),
        };
        match self.sheet.shape(cell).map(|shape| shape.kind) {
            Some(Kind::Text) => {
                let refusal = Refusal::new(format!("`{name}` is a text, and only numbers have an uncertainty"));
                Err(refusal.help(match self.numbers_of(cell) {
                    numbers if numbers.is_empty() => "name an entry that is a number".to_owned(),
                    numbers => format!("ask about a number it rests on: {}", numbers.join(", ")),
                }))
            }
            Some(Kind::Truth) => {
                let refusal = Refusal::new(format!(
                    "`{name}` is true or false, and only numbers have an uncertainty"
                ));
                Err(refusal.help(match self.numbers_of(cell) {
                    numbers if numbers.is_empty() => "give what it compares a name, and ask about that".to_owned(),
                    numbers => format!("ask about what it compares: {}", numbers.join(", ")),
                }))
            }
            _ => Ok(cell),
        }
    }

    /// The numbers that an entry names itself.
    fn numbers_of(&mut self, cell: CellId) -> Vec<String> {
        let steps = why(&self.sheet, cell, 0);
        let used = steps.iter().flat_map(|step| &step.uses);
        let numbers = used.filter_map(|thing| match thing {
            Thing::Entry(cell) => {
                let kind = self.sheet.shape(*cell)?.kind;
                let name = self.sheet.name_of(*cell)?.to_owned();
                (!matches!(kind, Kind::Text | Kind::Truth)).then_some(name)
            }
            _ => None,
        });
        numbers.collect()
    }
}
