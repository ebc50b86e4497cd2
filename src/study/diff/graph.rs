//! What depends on what, in either of the two worksheets or a mixture of them.
//!
//! Nodes are names of the first worksheet; a column is `table.column`. Start
//! reading at [`Graph::of`]; [`changes`] joins what can only be exchanged together.

use std::collections::BTreeMap;

use foldhash::HashMap;

use super::apart::{Difference, What};
use super::canon::Namer;
use super::pairing::{Mapped, Own, Pairing};
use super::side::{Side, Thing};
use crate::syntax::tree::EntryKind;
use crate::time_limit;

/// Who needs whom in any mixture.
#[derive(Clone, Debug, Default)]
pub(crate) struct Graph {
    numbers: HashMap<String, u32>,
    needs: Vec<Vec<u32>>,
}

/// The nodes that some need, those among them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reached(Vec<bool>);

impl Reached {
    /// Whether a node is among them.
    pub(crate) fn holds(&self, node: Option<u32>) -> bool {
        node.is_some_and(|node| self.0.get(node as usize) == Some(&true))
    }

    /// Those of both.
    fn join(&mut self, other: &Reached) {
        self.0.resize(self.0.len().max(other.0.len()), false);
        self.0.iter_mut().zip(&other.0).for_each(|(own, more)| *own |= more);
    }
}

/// Differences that are exchanged together: most often one alone.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Change {
    /// The name, or the names, under which its share is told.
    pub name: String,
    /// Its differences, by their place.
    pub members: Vec<usize>,
}

impl Graph {
    /// The needs of both worksheets, joined; `None` where there is no time for all.
    pub(crate) fn of(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> Option<Graph> {
        let mut graph = Graph::default();
        graph.add(a, &Own(a))?;
        graph.add(b, &Mapped(b, pairing))?;
        for needs in &mut graph.needs {
            needs.sort_unstable();
            needs.dedup();
        }
        Some(graph)
    }

    fn add(&mut self, side: &Side<'_>, namer: &dyn Namer) -> Option<()> {
        for thing in &side.things {
            if time_limit::is_up() {
                return None;
            }
            let user = self.number(namer.name(&thing.name));
            for (name, column) in side.needs(thing) {
                let name = namer.name(&name);
                let need = match column {
                    Some(column) => {
                        let node = self.number(format!("{name}.{column}"));
                        let table = self.number(name);
                        self.add_need(node, table);
                        node
                    }
                    None => self.number(name),
                };
                self.add_need(user, need);
            }
        }
        Some(())
    }

    fn number(&mut self, node: String) -> u32 {
        let next = u32::try_from(self.needs.len()).unwrap_or(u32::MAX);
        let number = *self.numbers.entry(node).or_insert(next);
        if number == next {
            self.needs.push(Vec::new());
        }
        number
    }

    fn add_need(&mut self, user: u32, need: u32) {
        if let Some(needs) = self.needs.get_mut(user as usize) {
            needs.push(need);
        }
    }

    /// The node of that name.
    pub(crate) fn node(&self, name: &str) -> Option<u32> {
        self.numbers.get(name).copied()
    }

    fn needs(&self, node: u32) -> &[u32] {
        self.needs.get(node as usize).map_or(&[], Vec::as_slice)
    }

    /// Everything that nodes need, themselves among it.
    pub(crate) fn reach(&self, from: impl IntoIterator<Item = u32>) -> Reached {
        let mut found = vec![false; self.needs.len()];
        let mut open: Vec<u32> = from.into_iter().collect();
        while let Some(node) = open.pop() {
            let new = found.get_mut(node as usize).filter(|found| !**found);
            if let Some(new) = new {
                *new = true;
                open.extend(self.needs(node));
            }
        }
        Reached(found)
    }

    /// Everything that the answers and the checks of both worksheets need.
    pub(crate) fn asked(&self, a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> Reached {
        let mut reached = self.asked_of(a, &Own(a));
        reached.join(&self.asked_of(b, &Mapped(b, pairing)));
        reached
    }

    fn asked_of(&self, side: &Side<'_>, namer: &dyn Namer) -> Reached {
        let is_answer = |thing: &&Thing| side.entry(thing).is_some_and(|entry| entry.kind == EntryKind::Answer);
        let answers = side
            .things
            .iter()
            .filter(is_answer)
            .map(|thing| (thing.name.clone(), None));
        let named = answers.chain(side.needs_of_checks());
        let nodes = named.filter_map(|(name, column)| match column {
            Some(column) => self.node(&format!("{}.{column}", namer.name(&name))),
            None => self.node(&namer.name(&name)),
        });
        self.reach(nodes)
    }

    /// Who needs each node directly.
    fn users(&self) -> Vec<Vec<u32>> {
        let mut users = vec![Vec::new(); self.needs.len()];
        for (user, needs) in (0u32..).zip(&self.needs) {
            for need in needs {
                if let Some(users) = users.get_mut(*need as usize) {
                    users.push(user);
                }
            }
        }
        users
    }

    /// Which nodes need each other, all the way round: those have one number.
    fn rounds(&self, users: &[Vec<u32>]) -> Vec<usize> {
        let mut done = vec![false; self.needs.len()];
        let mut order = Vec::with_capacity(self.needs.len());
        for node in (0u32..).take(self.needs.len()) {
            visit(node, &self.needs, &mut done, &mut |node| order.push(node));
        }
        done.fill(false);
        let mut rounds = vec![0; self.needs.len()];
        for (number, node) in order.iter().rev().enumerate() {
            visit(*node, users, &mut done, &mut |node| {
                if let Some(round) = rounds.get_mut(node as usize) {
                    *round = number;
                }
            });
        }
        rounds
    }
}

/// Tells the nodes found from one that weren't before, each behind all that was found from it
/// (S. R. Kosaraju's way to find rounds in two passes).
fn visit(from: u32, next: &[Vec<u32>], done: &mut [bool], tell: &mut dyn FnMut(u32)) {
    let mut is_new = |node: u32| {
        done.get_mut(node as usize)
            .is_some_and(|done| !std::mem::replace(done, true))
    };
    let next = |node: u32| next.get(node as usize).into_iter().flatten();
    let mut open = Vec::new();
    if is_new(from) {
        open.push((from, next(from)));
    }
    while let Some((node, left)) = open.last_mut() {
        match left.next() {
            Some(neighbour) if is_new(*neighbour) => open.push((*neighbour, next(*neighbour))),
            Some(_) => {}
            None => {
                tell(*node);
                open.pop();
            }
        }
    }
}

/// The node of a difference.
pub(crate) fn node(difference: &Difference) -> String {
    match &difference.what {
        What::Column(column) => format!("{}.{column}", difference.name),
        _ => difference.name.clone(),
    }
}

/// What can move a value, in pieces that can be exchanged one by one. Two formulas of
/// which each needs the other in a mixture go together, so do a value of another kind
/// and the formulas that use it.
pub(crate) fn changes(graph: &Graph, differences: &[Difference]) -> Vec<Change> {
    let moving = differences.iter().enumerate();
    let moving = moving.filter(|(_, difference)| difference.moves && difference.a.is_some() && difference.b.is_some());
    let moving: Vec<(usize, &Difference)> = moving.collect();
    let places = moving
        .iter()
        .filter_map(|(place, difference)| Some((graph.node(&node(difference))?, *place)));
    let nodes: BTreeMap<u32, usize> = places.collect();
    let mut joined = Joined::default();
    let users = graph.users();
    let rounds = graph.rounds(&users);
    let mut in_round: BTreeMap<usize, usize> = BTreeMap::new();
    for (node, place) in &nodes {
        if let Some(round) = rounds.get(*node as usize) {
            let first = *in_round.entry(*round).or_insert(*place);
            joined.join(first, *place);
        }
    }
    let mut at_user: BTreeMap<u32, usize> = BTreeMap::new();
    for (place, difference) in moving.iter().filter(|(_, difference)| difference.other_kind) {
        let users = graph.node(&node(difference)).and_then(|node| users.get(node as usize));
        for user in users.into_iter().flatten() {
            let first = *at_user.entry(*user).or_insert(*place);
            joined.join(first, *place);
            if let Some(user) = nodes.get(user) {
                joined.join(*user, *place);
            }
        }
    }
    let mut changes: Vec<Change> = Vec::new();
    let mut places: BTreeMap<usize, usize> = BTreeMap::new();
    for (place, difference) in &moving {
        let root = joined.root(*place);
        let at = *places.entry(root).or_insert(changes.len());
        match changes.get_mut(at) {
            Some(change) => {
                change.name.push_str(&format!(", {}", difference.share_name()));
                change.members.push(*place);
            }
            None => changes.push(Change {
                name: difference.share_name(),
                members: vec![*place],
            }),
        }
    }
    changes
}

/// Sets that grow together.
#[derive(Default)]
struct Joined(BTreeMap<usize, usize>);

impl Joined {
    fn root(&self, place: usize) -> usize {
        let mut at = place;
        while let Some(up) = self.0.get(&at).filter(|up| **up != at) {
            at = *up;
        }
        at
    }

    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.root(one), self.root(other));
        self.0.insert(one.max(other), one.min(other));
    }
}
