//! What depends on what, in either of the two worksheets or a mixture of them.
//!
//! Nodes are names of the first worksheet; a column is `table.column`. Start
//! reading at [`Graph::of`]; [`changes`] joins what can only be exchanged together.

use std::collections::{BTreeMap, BTreeSet};

use super::apart::{Difference, What};
use super::canon::Namer;
use super::pairing::{Mapped, Own, Pairing};
use super::side::{Side, Thing};
use crate::syntax::tree::EntryKind;

/// Who needs whom in any mixture.
#[derive(Clone, Debug, Default)]
pub(crate) struct Graph {
    needs: BTreeMap<String, BTreeSet<String>>,
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
    /// The needs of both worksheets, joined.
    pub(crate) fn of(a: &Side<'_>, b: &Side<'_>, pairing: &Pairing) -> Graph {
        let mut graph = Graph::default();
        graph.add(a, &Own(a));
        graph.add(b, &Mapped(b, pairing));
        graph
    }

    fn add(&mut self, side: &Side<'_>, namer: &dyn Namer) {
        for thing in &side.things {
            let mut needs = BTreeSet::new();
            for (name, column) in side.needs(thing) {
                let name = namer.name(&name);
                match column {
                    Some(column) => {
                        let node = format!("{name}.{column}");
                        self.needs.entry(node.clone()).or_default().insert(name);
                        needs.insert(node);
                    }
                    None => {
                        needs.insert(name);
                    }
                }
            }
            self.needs.entry(namer.name(&thing.name)).or_default().extend(needs);
        }
    }

    /// Everything that a node needs, itself among it.
    pub(crate) fn reach(&self, from: &str) -> BTreeSet<String> {
        let mut found = BTreeSet::from([from.to_owned()]);
        let mut open = vec![from.to_owned()];
        while let Some(node) = open.pop() {
            for need in self.needs.get(&node).into_iter().flatten() {
                if found.insert(need.clone()) {
                    open.push(need.clone());
                }
            }
        }
        found
    }

    /// Everything that the answers and the checks of a worksheet need.
    pub(crate) fn asked(&self, side: &Side<'_>, namer: &dyn Namer) -> BTreeSet<String> {
        let is_answer = |thing: &&Thing| side.entry(thing).is_some_and(|entry| entry.kind == EntryKind::Answer);
        let answers = side
            .things
            .iter()
            .filter(is_answer)
            .map(|thing| (thing.name.clone(), None));
        let named = answers.chain(side.needs_of_checks());
        let nodes = named.map(|(name, column)| match column {
            Some(column) => format!("{}.{column}", namer.name(&name)),
            None => namer.name(&name),
        });
        nodes.flat_map(|node| self.reach(&node)).collect()
    }

    /// Which nodes need each other, all the way round: those have one number.
    fn rounds(&self) -> BTreeMap<&str, usize> {
        let mut users: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for (user, needs) in &self.needs {
            for need in needs {
                users.entry(need).or_default().push(user);
            }
        }
        let needs =
            |node: &str| -> Vec<&str> { self.needs.get(node).into_iter().flatten().map(String::as_str).collect() };
        let users = |node: &str| -> Vec<&str> { users.get(node).cloned().unwrap_or_default() };
        let mut done = BTreeSet::new();
        let mut order = Vec::new();
        for node in self.needs.keys() {
            order.extend(visited(node, needs, &mut done));
        }
        let mut done = BTreeSet::new();
        let mut rounds = BTreeMap::new();
        for (number, node) in order.iter().rev().enumerate() {
            rounds.extend(visited(node, users, &mut done).into_iter().map(|node| (node, number)));
        }
        rounds
    }

    /// The nodes that need one directly.
    fn users(&self, node: &str) -> impl Iterator<Item = &String> {
        let needs = self.needs.iter();
        needs
            .filter(move |(_, needs)| needs.contains(node))
            .map(|(user, _)| user)
    }
}

/// The nodes found from one that weren't before, each behind all that was found from it
/// (S. R. Kosaraju's way to find rounds in two passes).
fn visited<'g>(from: &'g str, next: impl Fn(&str) -> Vec<&'g str>, done: &mut BTreeSet<&'g str>) -> Vec<&'g str> {
    let mut order = Vec::new();
    let mut open = Vec::new();
    if done.insert(from) {
        open.push((from, next(from)));
    }
    while let Some((node, left)) = open.last_mut() {
        match left.pop() {
            Some(neighbour) if done.insert(neighbour) => open.push((neighbour, next(neighbour))),
            Some(_) => {}
            None => {
                order.push(*node);
                open.pop();
            }
        }
    }
    order
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
    let nodes: BTreeMap<String, usize> = moving
        .iter()
        .map(|(place, difference)| (node(difference), *place))
        .collect();
    let mut joined = Joined::default();
    let rounds = graph.rounds();
    let mut in_round: BTreeMap<usize, usize> = BTreeMap::new();
    for (node, place) in &nodes {
        if let Some(round) = rounds.get(node.as_str()) {
            let first = *in_round.entry(*round).or_insert(*place);
            joined.join(first, *place);
        }
    }
    let mut at_user: BTreeMap<&String, usize> = BTreeMap::new();
    for (place, difference) in moving.iter().filter(|(_, difference)| difference.other_kind) {
        for user in graph.users(&node(difference)) {
            let first = *at_user.entry(user).or_insert(*place);
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
