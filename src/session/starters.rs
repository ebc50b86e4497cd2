//! Starter worksheets: the blanks of a usual question, with units, checks and
//! what to weigh or read written beside each.
//!
//! The texts are worksheets like any other, in the folder of this name; what is
//! listed here is what they are called and what each is for. A starter gives no
//! value that its user should find, so nothing in it can be told until it is
//! filled in. Start reading at [`STARTERS`].

use std::fs;
use std::path::Path;

use crate::text::nearest;

use super::Refusal;
use super::disk::write_new;

/// A worksheet to begin with.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Starter {
    /// The word it is asked for by.
    pub name: &'static str,
    /// What it is for, in one line.
    pub summary: &'static str,
    /// The worksheet.
    pub text: &'static str,
}

macro_rules! starters {
    ($($name:literal: $summary:literal;)*) => {
        /// Every starter, the one to begin with first.
        pub const STARTERS: &[Starter] = &[$(Starter {
            name: $name,
            summary: $summary,
            text: include_str!(concat!("starters/", $name, ".tare")),
        },)*];
    };
}

starters! {
    "weighed-run": "what the set burns: weigh, run, weigh again; and at another load";
    "outage-plan": "how long on the cylinders at hand, at what cost, and whether they keep up";
    "cold-night": "will a cylinder frost, and will it starve before dawn?";
    "what-starts": "what can run at once, what will start, and over which cord";
    "which-fuel": "what a kilowatt-hour costs from each fuel, by your own prices";
    "class-exercise": "two groups weigh one cylinder and see whether they agree; no gas flows";
    "claim-audit": "somebody's \"so many hours\", taken apart against what is weighed";
}

/// Worksheets that rest on each other, to begin with: what a household keeps in one folder.
pub const HOUSEHOLD: Set = Set {
    name: "household",
    summary: "a folder of four: the cylinders, a weighed run, prices, and tonight's swaps",
    files: &[
        ("tonight.tare", include_str!("starters/household/tonight.tare")),
        ("cylinders.tare", include_str!("starters/household/cylinders.tare")),
        ("weighed-run.tare", include_str!("starters/household/weighed-run.tare")),
        ("prices.tare", include_str!("starters/household/prices.tare")),
    ],
};

/// Worksheets of one folder, the first resting on the others.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Set {
    /// The word it is asked for by.
    pub name: &'static str,
    /// What it is for, in one line.
    pub summary: &'static str,
    /// Each by its name and text.
    pub files: &'static [(&'static str, &'static str)],
}

impl Set {
    /// Writes them into a folder, which is made where there is none; none over another file.
    ///
    /// # Errors
    /// Why they can't be written.
    pub fn write(&self, folder: &Path) -> Result<(), Refusal> {
        let there = self.files.iter().map(|(name, _)| folder.join(name));
        if let Some(path) = there.into_iter().find(|path| path.symlink_metadata().is_ok()) {
            let message = format!("`{}` is there already; nothing was written", path.display());
            return Err(Refusal::new(message).help("choose another folder"));
        }
        fs::create_dir_all(folder).map_err(|trouble| {
            let message = format!("`{}` can't be made: {trouble}", folder.display());
            Refusal::new(message)
        })?;
        self.files
            .iter()
            .try_for_each(|(name, text)| write_new(&folder.join(name), text))
    }
}

/// What can be asked for, each with what it is for.
pub fn kinds() -> impl Iterator<Item = (&'static str, &'static str)> {
    let single = STARTERS.iter().map(|known| (known.name, known.summary));
    single.chain([(HOUSEHOLD.name, HOUSEHOLD.summary)])
}

/// The starter of that name.
///
/// # Errors
/// That there is none, with the nearest name where one is near.
pub fn starter(word: &str) -> Result<&'static Starter, Refusal> {
    let found = STARTERS.iter().find(|known| known.name == word);
    found.ok_or_else(|| unknown(word))
}

fn unknown(word: &str) -> Refusal {
    let refusal = Refusal::new(format!("`{word}` is no kind of starter worksheet"));
    if let near @ Some(_) = nearest(word, kinds().map(|(name, _)| name)) {
        return refusal.near(near);
    }
    refusal.help(match word.ends_with(".tare") {
        true => format!("the kind comes first, as in `tarebook new weighed-run {word}`"),
        false => "`tarebook new` lists the kinds".to_owned(),
    })
}
