//! Which thing of one worksheet is which of the other.
//!
//! What has one name in both is the same. Of the rest, two are the same under
//! another name where value or formula and uses agree and no third thing is
//! like them; where it is asked for, inputs also where they measure the same in the same place and
//! no third does, whatever they come to. Each is given a colour by what it is and what uses it, and
//! colours are refined by those of the neighbours until they settle, so that
//! chains of renamed entries are found too. Start reading at [`Pairing::of`].

use std::collections::BTreeMap;

use crate::syntax::tree::{Expression, Node};
use crate::time_limit;

use super::canon::{Canon, Namer};
use super::side::{Known, Side, Sort, Thing, meets};

/// So often colours are refined: as long a chain of renamed entries is followed.
const ROUNDS: usize = 24;

/// The things of two worksheets, one beside the other.
#[derive(Clone, Debug, Default)]
pub(crate) struct Pairing {
    /// For each thing of the first its counterpart.
    pub of_a: Vec<Option<usize>>,
    /// For each thing of the second its counterpart.
    pub of_b: Vec<Option<usize>>,
    /// The pairs with different names, in the order of the first.
    pub renamed: Vec<(usize, usize)>,
    /// Whether not all of those were looked for.
    pub cut: bool,
    /// The names under which things of the second go.
    names: BTreeMap<String, String>,
}

/// Among no more than so many in each of the two what has another name is looked for: every one of
/// them is held against all others.
const MOST_OPEN: usize = 3000;

/// The names of the first worksheet as they are.
pub(crate) struct Own<'a>(pub &'a Side<'a>);

impl Namer for Own<'_> {
    fn name(&self, name: &str) -> String {
        name.to_owned()
    }

    fn parameters(&self, rule: &str) -> Option<Vec<String>> {
        self.0.parameters(rule)
    }
}

/// The names of the second worksheet as those of the first.
pub(crate) struct Mapped<'a>(pub &'a Side<'a>, pub &'a Pairing);

impl Namer for Mapped<'_> {
    fn name(&self, name: &str) -> String {
        self.1.name_of_b(name)
    }

    fn parameters(&self, rule: &str) -> Option<Vec<String>> {
        self.0.parameters(rule)
    }
}

impl Pairing {
    /// Pairs the things of two worksheets; inputs of other names by what they are as well, where `likely`.
    pub(crate) fn of(a: &Side<'_>, b: &Side<'_>, likely: bool) -> Pairing {
        let mut pairing = Pairing {
            of_a: vec![None; a.things.len()],
            of_b: vec![None; b.things.len()],
            ..Pairing::default()
        };
        for (place, thing) in a.things.iter().enumerate() {
            let other = b.place(&thing.name);
            let same = |other: &usize| b.thing(*other).map(|other| other.sort.family()) == Some(thing.sort.family());
            if let Some(other) = other.filter(same) {
                pairing.join(place, other);
            }
        }
        pairing.find_renamed(a, b);
        if likely && !pairing.cut {
            pairing.find_likely(a, b);
        }
        pairing.settle_names(a, b);
        pairing.verify(a, b);
        pairing
    }

    /// The name under which a thing of the second worksheet goes.
    pub(crate) fn name_of_b(&self, name: &str) -> String {
        self.names.get(name).cloned().unwrap_or_else(|| name.to_owned())
    }

    fn join(&mut self, a: usize, b: usize) {
        if let (Some(of_a), Some(of_b)) = (self.of_a.get_mut(a), self.of_b.get_mut(b)) {
            *of_a = Some(b);
            *of_b = Some(a);
        }
    }

    fn part(&mut self, a: usize, b: usize) {
        if let (Some(of_a), Some(of_b)) = (self.of_a.get_mut(a), self.of_b.get_mut(b)) {
            *of_a = None;
            *of_b = None;
        }
    }

    fn find_renamed(&mut self, a: &Side<'_>, b: &Side<'_>) {
        let open = |of: &[Option<usize>]| of.iter().filter(|counterpart| counterpart.is_none()).count();
        let (open_a, open_b) = (open(&self.of_a), open(&self.of_b));
        if open_a == 0 || open_b == 0 {
            return;
        }
        if open_a.max(open_b) > MOST_OPEN {
            self.cut = true;
            return;
        }
        self.cut = self.find_alike(a, b, By::Value).is_none();
        self.renamed.sort_unstable();
    }

    /// Joins inputs that measure the same and are used alike, of which each worksheet has one, then
    /// what rests on them.
    fn find_likely(&mut self, a: &Side<'_>, b: &Side<'_>) {
        let found = self.find_alike(a, b, By::Kind);
        self.cut = found.and_then(|()| self.find_alike(a, b, By::Value)).is_none();
        self.renamed.sort_unstable();
    }

    /// Joins what is alike and like nothing else; `None` where there is no time for all.
    fn find_alike(&mut self, a: &Side<'_>, b: &Side<'_>, by: By) -> Option<()> {
        let alike = Alike::of(self, (a, b), by)?;
        let (users_a, users_b) = (Users::of(a)?, Users::of(b)?);
        let open = |of: &[Option<usize>]| of.iter().any(Option::is_none);
        while open(&self.of_a) && open(&self.of_b) {
            let mut found = Vec::new();
            // what isn't known by its value has to stand in the same place
            let all = [Uses::InPlace, Uses::ByWhom];
            for uses in all.into_iter().filter(|uses| by == By::Value || *uses == Uses::InPlace) {
                let mut colours = Colours::new(self, &alike, uses, self.counterparts(a, b));
                colours.settle((a, &users_a), (b, &users_b))?;
                found = colours.unique(self);
                // what nothing uses has no place by which it could be known
                found.retain(|(one, _)| by == By::Value || users_a.any(*one));
                if !found.is_empty() {
                    break;
                }
            }
            if found.is_empty() {
                break;
            }
            for (one, other) in found {
                self.join(one, other);
                self.renamed.push((one, other));
            }
        }
        Some(())
    }

    /// The names in the first of what has a counterpart of another name there.
    fn counterparts(&self, a: &Side<'_>, b: &Side<'_>) -> BTreeMap<String, String> {
        let things = b.things.iter().zip(&self.of_b);
        let named = things.filter_map(|(thing, other)| Some((&thing.name, &a.thing((*other)?)?.name)));
        let named = named.filter(|(mine, theirs)| mine != theirs);
        named.map(|(mine, theirs)| (mine.clone(), theirs.clone())).collect()
    }

    /// Names for the things of the second: those of their counterparts, or, where theirs
    /// is taken in the first, one of their own.
    fn settle_names(&mut self, a: &Side<'_>, b: &Side<'_>) {
        let mut names = BTreeMap::new();
        for (place, thing) in b.things.iter().enumerate() {
            let counterpart = self.of_b.get(place).copied().flatten();
            let name = match counterpart.and_then(|other| a.thing(other)) {
                Some(other) if other.name == thing.name => continue,
                Some(other) => other.name.clone(),
                None => free_name(&thing.name, a, b),
            };
            names.insert(thing.name.clone(), name);
        }
        self.names = names;
    }

    /// Takes back all that wasn't seen to mean the same.
    fn forget_renamed(&mut self, a: &Side<'_>, b: &Side<'_>) {
        let renamed = std::mem::take(&mut self.renamed);
        self.cut |= !renamed.is_empty();
        renamed.into_iter().for_each(|(one, other)| self.part(one, other));
        self.settle_names(a, b);
    }

    /// Takes back what doesn't mean the same once all names are settled.
    fn verify(&mut self, a: &Side<'_>, b: &Side<'_>) {
        loop {
            if time_limit::is_up() {
                self.forget_renamed(a, b);
                break;
            }
            let wrong = self.renamed.iter().position(|(one, other)| {
                let (Some(one), Some(other)) = (a.thing(*one), b.thing(*other)) else {
                    return true;
                };
                let mine = a.definition(one, &Own(a));
                let theirs = b.definition(other, &Mapped(b, self));
                one.sort != Sort::Input && mine != theirs
            });
            let Some(wrong) = wrong else { break };
            let (one, other) = self.renamed.remove(wrong);
            self.part(one, other);
            self.settle_names(a, b);
        }
    }
}

fn free_name(name: &str, a: &Side<'_>, b: &Side<'_>) -> String {
    let taken = |name: &str| a.place(name).is_some();
    if !taken(name) {
        return name.to_owned();
    }
    let mut other = format!("{name}_b");
    while taken(&other) || b.place(&other).is_some() {
        other.push('b');
    }
    other
}

// ---- inputs and tables that are alike ----

/// By what inputs are held for one.
#[derive(Clone, Copy, PartialEq, Eq)]
enum By {
    /// The same value, known alike.
    Value,
    /// What they measure, whatever they come to.
    Kind,
}

/// Classes of values: the same number, whatever the unit, the same word, the same columns.
struct Alike {
    a: Vec<usize>,
    b: Vec<usize>,
}

/// What an input or a table says, to be held against others.
struct Said {
    by: By,
    word: &'static str,
    values: Vec<(String, Known)>,
}

impl Said {
    fn of(side: &Side<'_>, thing: &Thing, by: By) -> Said {
        let values = match thing.sort {
            Sort::Written => side
                .columns(thing)
                .into_iter()
                .map(|column| (column.name.to_string(), side.column(column)))
                .collect(),
            _ => side
                .known(thing)
                .map(|known| (String::new(), known))
                .into_iter()
                .collect(),
        };
        let word = side.entry(thing).map_or("table", |entry| entry.kind.word());
        Said { by, word, values }
    }

    fn like(&self, other: &Said) -> bool {
        if self.by == By::Kind {
            let one = |said: &Said| said.values.first().map(|(_, known)| (known.kind, known.column));
            let tables = self.word == "table" || other.word == "table";
            return !tables
                && matches!((one(self), one(other)), (Some(mine), Some(theirs)) if mine.1 == theirs.1 && meets(mine.0, theirs.0));
        }
        let mut pairs = self.values.iter().zip(&other.values);
        self.word == other.word
            && !self.values.is_empty()
            && self.values.len() == other.values.len()
            && pairs.all(|(one, two)| one.0 == two.0 && one.1.same_value(&two.1) && one.1.same_doubt(&two.1))
    }
}

impl Alike {
    /// `None` where there is no time for all.
    fn of(pairing: &Pairing, (a, b): (&Side<'_>, &Side<'_>), by: By) -> Option<Alike> {
        let mut classes: Vec<Said> = Vec::new();
        let mut class = |side: &Side<'_>, of: &[Option<usize>]| -> Option<Vec<usize>> {
            let things = side.things.iter().zip(of);
            let classes = things.map(|(thing, counterpart)| {
                let compared = matches!(thing.sort, Sort::Input | Sort::Written);
                if counterpart.is_some() || !compared {
                    return Some(usize::MAX);
                }
                let said = Said::of(side, thing, by);
                let known = classes.iter().position(|class| class.like(&said));
                let class = known.unwrap_or_else(|| {
                    classes.push(said);
                    classes.len() - 1
                });
                (!time_limit::is_up()).then_some(class)
            });
            classes.collect()
        };
        let of_a = class(a, &pairing.of_a)?;
        let of_b = class(b, &pairing.of_b)?;
        Some(Alike { a: of_a, b: of_b })
    }
}

// ---- who uses what ----

/// What uses each thing: other things, and the conditions of checks.
struct Users<'a> {
    things: Vec<Vec<usize>>,
    checks: Vec<Vec<&'a Expression>>,
}

impl<'a> Users<'a> {
    /// Whether anything uses it.
    fn any(&self, place: usize) -> bool {
        let things = self.things.get(place).is_some_and(|users| !users.is_empty());
        things || self.checks.get(place).is_some_and(|checks| !checks.is_empty())
    }

    /// `None` where there is no time for all.
    fn of(side: &Side<'a>) -> Option<Users<'a>> {
        let mut users = Users {
            things: vec![Vec::new(); side.things.len()],
            checks: vec![Vec::new(); side.things.len()],
        };
        for (place, thing) in side.things.iter().enumerate() {
            if time_limit::is_up() {
                return None;
            }
            let mut used: Vec<usize> = side
                .needs(thing)
                .iter()
                .filter_map(|(name, _)| side.place(name))
                .collect();
            used.dedup();
            for used in used {
                if let Some(users) = users.things.get_mut(used) {
                    users.push(place);
                }
            }
        }
        for item in &side.sheet.tree().items {
            let Node::Expect(expect) = &item.node else { continue };
            let Some(condition) = &expect.condition else { continue };
            for used in side.named_in(condition) {
                if let Some(users) = users.checks.get_mut(used) {
                    users.push(condition);
                }
            }
        }
        Some(users)
    }
}

// ---- colours ----

/// How uses are held against each other.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Uses {
    /// The same places in the same formulas.
    InPlace,
    /// The same users, whatever their formulas.
    ByWhom,
}

struct Colours<'a> {
    alike: &'a Alike,
    uses: Uses,
    a: Vec<Option<u32>>,
    b: Vec<Option<u32>>,
    names_b: BTreeMap<String, String>,
    known: BTreeMap<String, u32>,
}

/// Names under which colours are told: counterparts by name, the rest by colour.
struct Coloured<'a> {
    side: &'a Side<'a>,
    colours: &'a [Option<u32>],
    names: Option<&'a BTreeMap<String, String>>,
    here: Option<&'a str>,
}

impl Coloured<'_> {
    fn told(&self, place: usize) -> String {
        let name = self.side.thing(place).map_or("", |thing| &thing.name);
        match self.colours.get(place).copied().flatten() {
            Some(colour) => format!("#{colour}"),
            None => format!(
                "={}",
                self.names.and_then(|names| names.get(name)).map_or(name, |name| name)
            ),
        }
    }
}

impl Namer for Coloured<'_> {
    fn name(&self, name: &str) -> String {
        match self.side.place(name) {
            _ if self.here == Some(name) => "#here".to_owned(),
            Some(place) => self.told(place),
            None => name.to_owned(),
        }
    }

    fn parameters(&self, rule: &str) -> Option<Vec<String>> {
        self.side.parameters(rule)
    }
}

impl<'a> Colours<'a> {
    fn new(pairing: &Pairing, alike: &'a Alike, uses: Uses, names_b: BTreeMap<String, String>) -> Colours<'a> {
        let open = |of: &[Option<usize>]| -> Vec<Option<u32>> {
            of.iter()
                .map(|counterpart| counterpart.is_none().then_some(0))
                .collect()
        };
        Colours {
            alike,
            uses,
            a: open(&pairing.of_a),
            b: open(&pairing.of_b),
            names_b,
            known: BTreeMap::new(),
        }
    }

    /// Refines until the number of colours stays; `None` where there is no time for that.
    fn settle(&mut self, a: (&Side<'_>, &Users<'_>), b: (&Side<'_>, &Users<'_>)) -> Option<()> {
        let mut count = 0;
        for _ in 0..ROUNDS {
            self.known.clear();
            let told_a = told(a, &self.a, None, &self.alike.a, self.uses)?;
            let told_b = told(b, &self.b, Some(&self.names_b), &self.alike.b, self.uses)?;
            self.a = self.interned(told_a);
            self.b = self.interned(told_b);
            if self.known.len() == count {
                break;
            }
            count = self.known.len();
        }
        Some(())
    }

    fn interned(&mut self, told: Vec<Option<String>>) -> Vec<Option<u32>> {
        let colours = told.into_iter().map(|told| {
            let next = u32::try_from(self.known.len()).unwrap_or(u32::MAX);
            told.map(|told| *self.known.entry(told).or_insert(next))
        });
        colours.collect()
    }

    /// The things that share a colour with exactly one of the other worksheet.
    fn unique(&self, pairing: &Pairing) -> Vec<(usize, usize)> {
        let places = |colours: &[Option<u32>]| {
            let mut places: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
            for (place, colour) in colours.iter().enumerate() {
                if let Some(colour) = colour {
                    places.entry(*colour).or_default().push(place);
                }
            }
            places
        };
        let (of_a, of_b) = (places(&self.a), places(&self.b));
        let pairs = of_a.iter().filter_map(|(colour, of_a)| {
            let ([one], [other]) = (of_a.as_slice(), of_b.get(colour)?.as_slice()) else {
                return None;
            };
            let free = |of: &[Option<usize>], place: usize| of.get(place) == Some(&None);
            let free = free(&pairing.of_a, *one) && free(&pairing.of_b, *other);
            free.then_some((*one, *other))
        });
        pairs.collect()
    }
}

/// What each thing without a counterpart is, and who uses it; `None` where there is no time for all.
fn told(
    (side, users): (&Side<'_>, &Users<'_>),
    colours: &[Option<u32>],
    names: Option<&BTreeMap<String, String>>,
    alike: &[usize],
    uses: Uses,
) -> Option<Vec<Option<String>>> {
    let namer = |here| Coloured {
        side,
        colours,
        names,
        here,
    };
    let mut all = Vec::with_capacity(side.things.len());
    for (place, thing) in side.things.iter().enumerate() {
        let Some(colour) = colours.get(place).copied().flatten() else {
            all.push(None);
            continue;
        };
        let own = match (thing.sort, alike.get(place)) {
            (Sort::Input | Sort::Written, Some(class)) => format!("{class}"),
            _ => side.definition(thing, &namer(None)).unwrap_or_else(|| side.text(thing)),
        };
        let mut used: Vec<String> = Vec::new();
        for user in users.things.get(place).into_iter().flatten() {
            if time_limit::is_up() {
                return None;
            }
            let by = namer(None).told(*user);
            let inside = side.thing(*user).filter(|_| uses == Uses::InPlace);
            let inside = inside.and_then(|user| side.definition(user, &namer(Some(&thing.name))));
            used.push(format!("{by}{}", inside.unwrap_or_default()));
        }
        for condition in users.checks.get(place).into_iter().flatten() {
            if time_limit::is_up() {
                return None;
            }
            let inside = match uses {
                Uses::InPlace => Canon::new(&namer(Some(&thing.name))).expression(condition),
                Uses::ByWhom => String::new(),
            };
            used.push(format!("expect {inside}"));
        }
        used.sort();
        all.push(Some(format!(
            "{colour} {:?} {own} | {}",
            thing.sort.family(),
            used.join(" | ")
        )));
    }
    Some(all)
}
