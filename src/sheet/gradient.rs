//! Sensitivities of a value to the sources of its uncertainty.
//!
//! Few are a list. Many are a tree of which values share what they have in common:
//! a running sum adds one source to those it had, and keeps no list of its own.
//! The tree is a treap (Seidel and Aragon, Algorithmica 16 (1996) 464), so that its
//! shape depends on the sources alone; what a branch comes to is worked out once.
//! Start reading at [`Gradient`].

use std::sync::{Arc, OnceLock};

use super::source::{Group, UncertaintySource};

/// The sensitivities of a value, each source once, sorted by source.
#[derive(Clone, Debug, Default)]
pub struct Gradient(Kept);

#[derive(Clone, Debug)]
enum Kept {
    Few(Vec<(u32, f64)>),
    Many(Scaled),
}

/// A list of no more than so many sensitivities costs less than a tree.
const FEW: usize = 32;

impl Default for Kept {
    fn default() -> Kept {
        Kept::Few(Vec::new())
    }
}

/// Sensitivities that are each `by` times those of a tree.
#[derive(Clone, Debug)]
struct Scaled {
    tree: Arc<Tree>,
    by: f64,
}

type Branch = Option<Scaled>;

/// A source, its sensitivity, and the sources below and above it.
#[derive(Debug)]
struct Tree {
    number: u32,
    count: u32,
    part: f64,
    below: Branch,
    above: Branch,
    comes_to: OnceLock<Shares>,
}

/// What sensitivities come to, together with their sources.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Shares {
    /// The sum of the variances.
    pub variance: f64,
    /// How far they are off at most together; infinite where one has no limits.
    pub most: f64,
    /// The squares of the variances of sources that stand alone, over their degrees of freedom.
    pub over_freedom: f64,
    /// Whether one of the others shares its degrees of freedom.
    pub grouped: bool,
}

impl From<Vec<(u32, f64)>> for Gradient {
    fn from(parts: Vec<(u32, f64)>) -> Gradient {
        match parts.len() <= FEW {
            true => Gradient(Kept::Few(parts)),
            false => of_branch(tree_of(&parts)),
        }
    }
}

impl Gradient {
    /// Whether it has none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many sources it has.
    pub(super) fn len(&self) -> usize {
        match &self.0 {
            Kept::Few(parts) => parts.len(),
            Kept::Many(many) => many.tree.count as usize,
        }
    }

    /// How many of a tree's it shares with no other value; a list shares none, and is small.
    pub(super) fn own(&self) -> usize {
        match &self.0 {
            Kept::Few(parts) => parts.len() / 8,
            // the value stands in a register too
            Kept::Many(many) if Arc::strong_count(&many.tree) > 2 => 0,
            Kept::Many(many) => many.tree.own(),
        }
    }

    /// Every source with its sensitivity.
    pub fn parts(&self) -> Vec<(u32, f64)> {
        match &self.0 {
            Kept::Few(parts) => parts.clone(),
            Kept::Many(many) => {
                let mut parts = Vec::with_capacity(self.len());
                many.gather(1.0, &mut parts);
                parts
            }
        }
    }

    /// The sensitivities of so many times the value.
    pub(super) fn scaled(&self, slope: f64) -> Gradient {
        match &self.0 {
            Kept::Few(parts) => {
                let parts = parts.iter().map(|(number, part)| (*number, part * slope));
                Gradient(Kept::Few(parts.collect()))
            }
            Kept::Many(many) => Gradient(Kept::Many(many.scaled(slope))),
        }
    }

    /// Those of a sum of two values, each so many times.
    pub(super) fn merged(&self, other: &Gradient, slopes: (f64, f64)) -> Gradient {
        match (&self.0, &other.0) {
            (Kept::Few(left), Kept::Few(right)) => merged(left, right, slopes).into(),
            _ => of_branch(union(self.branch(slopes.0), other.branch(slopes.1))),
        }
    }

    fn branch(&self, slope: f64) -> Branch {
        match &self.0 {
            Kept::Few(parts) => tree_of(parts).map(|tree| tree.scaled(slope)),
            Kept::Many(many) => Some(many.scaled(slope)),
        }
    }

    /// What they come to; `source` says whose each is.
    pub(super) fn shares<'a>(&self, source: &impl Fn(u32) -> Option<&'a UncertaintySource>) -> Shares {
        match &self.0 {
            Kept::Few(parts) => parts.iter().fold(Shares::default(), |sum, (number, part)| {
                source(*number).map_or(sum, |source| sum.and(Shares::of(*part, source)))
            }),
            Kept::Many(many) => many.shares(source),
        }
    }

    /// Those with a source that shares its degrees of freedom.
    pub(super) fn grouped<'a>(&self, source: &impl Fn(u32) -> Option<&'a UncertaintySource>) -> Vec<(u32, f64)> {
        match &self.0 {
            Kept::Few(parts) => parts.clone(),
            Kept::Many(many) => {
                let mut found = Vec::new();
                many.gather_grouped(1.0, source, &mut found);
                found
            }
        }
    }
}

/// A tree that has become small is a list again.
fn of_branch(branch: Branch) -> Gradient {
    match branch {
        Some(many) if many.tree.count as usize > FEW => Gradient(Kept::Many(many)),
        few => {
            let mut parts = Vec::new();
            few.iter().for_each(|few| few.gather(1.0, &mut parts));
            Gradient(Kept::Few(parts))
        }
    }
}

impl Shares {
    fn of(sensitivity: f64, source: &UncertaintySource) -> Shares {
        let variance = (sensitivity * source.standard).powi(2);
        let (counts, alone) = (source.degrees_of_freedom.is_finite(), source.group == Group::Alone);
        Shares {
            variance,
            most: match source.limits {
                true => f64::sqrt(3.0 * variance),
                false if variance > 0.0 => f64::INFINITY,
                false => 0.0,
            },
            over_freedom: match counts && alone {
                true => variance * variance / source.degrees_of_freedom,
                false => 0.0,
            },
            grouped: counts && !alone,
        }
    }

    fn and(self, other: Shares) -> Shares {
        Shares {
            variance: self.variance + other.variance,
            most: self.most + other.most,
            over_freedom: self.over_freedom + other.over_freedom,
            grouped: self.grouped || other.grouped,
        }
    }

    /// Of sensitivities that are so many times as large.
    fn times(self, by: f64) -> Shares {
        let square = by * by;
        Shares {
            variance: self.variance * square,
            // what moves nothing has no limits to leave
            most: if square == 0.0 { 0.0 } else { self.most * by.abs() },
            over_freedom: self.over_freedom * square * square,
            grouped: self.grouped,
        }
    }
}

impl Scaled {
    fn scaled(&self, slope: f64) -> Scaled {
        Scaled {
            tree: Arc::clone(&self.tree),
            by: self.by * slope,
        }
    }

    fn part(&self) -> f64 {
        self.by * self.tree.part
    }

    fn below(&self) -> Branch {
        self.tree.below.as_ref().map(|below| below.scaled(self.by))
    }

    fn above(&self) -> Branch {
        self.tree.above.as_ref().map(|above| above.scaled(self.by))
    }

    fn gather(&self, by: f64, parts: &mut Vec<(u32, f64)>) {
        let by = by * self.by;
        self.tree.below.iter().for_each(|below| below.gather(by, parts));
        parts.push((self.tree.number, by * self.tree.part));
        self.tree.above.iter().for_each(|above| above.gather(by, parts));
    }

    fn shares<'a>(&self, source: &impl Fn(u32) -> Option<&'a UncertaintySource>) -> Shares {
        let tree = &*self.tree;
        let of = |branch: &Branch| {
            branch
                .as_ref()
                .map_or(Shares::default(), |branch| branch.shares(source))
        };
        let all = tree.comes_to.get_or_init(|| {
            let own = source(tree.number).map_or(Shares::default(), |source| Shares::of(tree.part, source));
            of(&tree.below).and(own).and(of(&tree.above))
        });
        all.times(self.by)
    }

    fn gather_grouped<'a>(
        &self,
        by: f64,
        source: &impl Fn(u32) -> Option<&'a UncertaintySource>,
        found: &mut Vec<(u32, f64)>,
    ) {
        if !self.shares(source).grouped {
            return;
        }
        let by = by * self.by;
        let tree = &*self.tree;
        tree.below
            .iter()
            .for_each(|below| below.gather_grouped(by, source, found));
        found.push((tree.number, by * tree.part));
        tree.above
            .iter()
            .for_each(|above| above.gather_grouped(by, source, found));
    }
}

impl Tree {
    fn own(&self) -> usize {
        let branches = [&self.below, &self.above].into_iter().flatten();
        let own = branches.filter(|branch| Arc::strong_count(&branch.tree) == 1);
        1 + own.map(|branch| branch.tree.own()).sum::<usize>()
    }
}

/// Which of two sources stands higher in a tree: as good as by chance, and always the same.
fn rank(number: u32) -> u32 {
    let mixed = (number ^ (number >> 16)).wrapping_mul(0x7feb_352d);
    let mixed = (mixed ^ (mixed >> 15)).wrapping_mul(0x846c_a68b);
    mixed ^ (mixed >> 16)
}

fn tree(number: u32, part: f64, below: Branch, above: Branch) -> Branch {
    let count = |branch: &Branch| branch.as_ref().map_or(0, |branch| branch.tree.count);
    let tree = Tree {
        number,
        count: 1 + count(&below) + count(&above),
        part,
        below,
        above,
        comes_to: OnceLock::new(),
    };
    Some(Scaled {
        tree: Arc::new(tree),
        by: 1.0,
    })
}

fn tree_of(parts: &[(u32, f64)]) -> Branch {
    let highest = parts.iter().enumerate().max_by_key(|(_, (number, _))| rank(*number));
    let (place, (number, part)) = highest?;
    let (below, above) = parts.split_at_checked(place)?;
    tree(*number, *part, tree_of(below), tree_of(above.get(1..)?))
}

/// What is below a source, its own sensitivity, and what is above it.
fn split(branch: Branch, number: u32) -> (Branch, f64, Branch) {
    let Some(top) = branch else { return (None, 0.0, None) };
    let own = top.tree.number;
    if own == number {
        return (top.below(), top.part(), top.above());
    }
    if own < number {
        let (below, part, above) = split(top.above(), number);
        return (tree(own, top.part(), top.below(), below), part, above);
    }
    let (below, part, above) = split(top.below(), number);
    (below, part, tree(own, top.part(), above, top.above()))
}

/// The sources of both; a branch that both have in common isn't looked into.
fn union(one: Branch, other: Branch) -> Branch {
    let (one, other) = match (one, other) {
        (Some(one), Some(other)) => (one, other),
        (one, other) => return one.or(other),
    };
    if Arc::ptr_eq(&one.tree, &other.tree) {
        let by = together(one.by, other.by);
        return (by != 0.0).then(|| Scaled { by, ..one });
    }
    let (higher, lower) = match rank(one.tree.number) >= rank(other.tree.number) {
        true => (one, other),
        false => (other, one),
    };
    let (below, part, above) = split(Some(lower), higher.tree.number);
    let part = together(higher.part(), part);
    let (below, above) = (union(higher.below(), below), union(higher.above(), above));
    match part == 0.0 {
        true => joined(below, above),
        false => tree(higher.tree.number, part, below, above),
    }
}

/// Two trees of which one lies below the other.
fn joined(below: Branch, above: Branch) -> Branch {
    let (low, high) = match (below, above) {
        (Some(low), Some(high)) => (low, high),
        (low, high) => return low.or(high),
    };
    match rank(low.tree.number) >= rank(high.tree.number) {
        true => tree(
            low.tree.number,
            low.part(),
            low.below(),
            joined(low.above(), Some(high)),
        ),
        false => tree(
            high.tree.number,
            high.part(),
            joined(Some(low), high.below()),
            high.above(),
        ),
    }
}

/// The sum of two sensitivities; what is left of two that cancel but for rounding is none.
fn together(one: f64, other: f64) -> f64 {
    let sum = one + other;
    if sum.abs() <= CANCELLED * (one.abs() + other.abs()) {
        0.0
    } else {
        sum
    }
}

fn merged(left: &[(u32, f64)], right: &[(u32, f64)], slopes: (f64, f64)) -> Vec<(u32, f64)> {
    let mut all = Vec::with_capacity(left.len() + right.len());
    let (mut i, mut j) = (0, 0);
    loop {
        let next = match (left.get(i), right.get(j)) {
            (Some(a), Some(b)) if a.0 == b.0 => {
                (i, j) = (i + 1, j + 1);
                (a.0, together(a.1 * slopes.0, b.1 * slopes.1))
            }
            (Some(a), Some(b)) if a.0 > b.0 => {
                j += 1;
                (b.0, b.1 * slopes.1)
            }
            (Some(a), _) => {
                i += 1;
                (a.0, a.1 * slopes.0)
            }
            (None, Some(b)) => {
                j += 1;
                (b.0, b.1 * slopes.1)
            }
            (None, None) => return all,
        };
        if next.1 != 0.0 {
            all.push(next);
        }
    }
}

/// Sensitivities by source, each source once; what is left of parts that cancel but for
/// rounding is none.
pub(super) fn summed(mut parts: Vec<(u32, f64)>) -> Vec<(u32, f64)> {
    parts.sort_by_key(|(number, _)| *number);
    let same = |one: &(u32, f64), other: &(u32, f64)| one.0 == other.0;
    let sums = parts.chunk_by(same).filter_map(|group| {
        let sum: f64 = group.iter().map(|(_, part)| part).sum();
        let size: f64 = group.iter().map(|(_, part)| part.abs()).sum();
        let number = group.first()?.0;
        (sum.is_nan() || sum.abs() > CANCELLED * size).then_some((number, sum))
    });
    sums.collect()
}

/// What is left of so small a part of the summands is their rounding.
const CANCELLED: f64 = 1e-13;
