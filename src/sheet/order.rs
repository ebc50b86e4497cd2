//! Who needs whom, and in which order cells are computed.
//!
//! Flat arrays: the needs of each cell and, turned round, its dependents. A loop
//! is found once, as a path. Start reading at [`Order::of`].

use std::collections::BTreeMap;

use crate::syntax::tree::{Expression, ExpressionNode, Node, TableContent, Value, Worksheet};

use super::names::Names;
use super::worked_calls::named_beside;

/// Lists of cells, one for each cell, in one array.
#[derive(Clone, Debug, Default)]
struct Lists {
    starts: Vec<u32>,
    cells: Vec<u32>,
    changed: BTreeMap<u32, Vec<u32>>,
}

impl Lists {
    fn of(&self, cell: u32) -> &[u32] {
        if !self.changed.is_empty()
            && let Some(list) = self.changed.get(&cell)
        {
            return list;
        }
        let start = self.starts.get(cell as usize).copied().unwrap_or(0) as usize;
        let end = self.starts.get(cell as usize + 1).copied().unwrap_or(0) as usize;
        self.cells.get(start..end).unwrap_or(&[])
    }
}

/// The order of the cells.
#[derive(Clone, Debug, Default)]
pub struct Order {
    needs: Lists,
    dependents: Lists,
    /// The cells, each behind what it needs.
    pub cells: Vec<u32>,
    /// The place of each cell in that order.
    pub rank: Vec<u32>,
    /// The loops: each cell needs the next, the last the first.
    pub loops: Vec<Vec<u32>>,
}

/// So many cells are worth a second thread.
const STRETCH: usize = 16 * 1024;

/// The room for the calls of a second thread, as the first has it.
const STACK: usize = 8 * 1024 * 1024;

/// What some cells need, one after the other, and how many each.
type Stretch = (Vec<u32>, Vec<u32>);

fn needs_of_stretch(sheet: &Worksheet, names: &Names, items: &[u32]) -> Stretch {
    let mut needs = Vec::new();
    let counts = items.iter().map(|item| {
        let from = needs.len();
        if let Some(item) = sheet.item(*item) {
            needs_of(&item.node, names, &mut needs);
        }
        tidy_tail(&mut needs, from);
        u32::try_from(needs.len() - from).unwrap_or(u32::MAX)
    });
    let counts = counts.collect();
    (needs, counts)
}

fn joined(stretches: Vec<Stretch>, count: usize) -> Lists {
    let mut lists = Lists::default();
    lists.starts.reserve(count + 1);
    lists.starts.push(0);
    let mut end = 0u32;
    for (mut needs, counts) in stretches {
        lists.cells.append(&mut needs);
        for count in counts {
            end = end.saturating_add(count);
            lists.starts.push(end);
        }
    }
    lists
}

impl Order {
    /// The order of a worksheet's cells.
    pub fn of(sheet: &Worksheet, names: &Names) -> Order {
        let cells = names.cell_items.as_slice();
        let (first, rest) = cells.split_at(if cells.len() < STRETCH { 0 } else { cells.len() / 2 });
        let of_first = || needs_of_stretch(sheet, names, first);
        let stretches = std::thread::scope(|scope| {
            let thread = std::thread::Builder::new().stack_size(STACK);
            let begun = if first.is_empty() {
                None
            } else {
                thread.spawn_scoped(scope, of_first).ok()
            };
            let rest = needs_of_stretch(sheet, names, rest);
            let read = begun.and_then(|thread| thread.join().ok());
            vec![read.unwrap_or_else(of_first), rest]
        });
        let mut order = Order {
            needs: joined(stretches, cells.len()),
            ..Order::default()
        };
        order.dependents = turned(&order.needs, names.cell_items.len());
        order.sort(names.cell_items.len());
        order
    }

    /// What a cell needs.
    pub fn needs(&self, cell: u32) -> &[u32] {
        self.needs.of(cell)
    }

    /// What needs a cell.
    pub(crate) fn dependents(&self, cell: u32) -> &[u32] {
        self.dependents.of(cell)
    }

    /// The place of a cell in the order.
    pub(crate) fn rank_of(&self, cell: u32) -> u32 {
        self.rank.get(cell as usize).copied().unwrap_or(0)
    }

    /// Gives a cell other needs, if all of them stand before it; the order stays.
    pub(crate) fn change_needs(&mut self, cell: u32, needs: Vec<u32>) -> bool {
        if needs == self.needs(cell) {
            return true;
        }
        let rank = self.rank_of(cell);
        if needs.iter().any(|need| self.rank_of(*need) >= rank) {
            return false;
        }
        for need in &needs {
            if !self.dependents(*need).contains(&cell) {
                let mut list = self.dependents(*need).to_vec();
                list.push(cell);
                self.dependents.changed.insert(*need, list);
            }
        }
        self.needs.changed.insert(cell, needs);
        true
    }

    /// A cell behind all others, for a moment.
    pub(crate) fn push_scratch(&mut self, cell: u32, needs: Vec<u32>) {
        self.needs.changed.insert(cell, needs);
        self.rank.push(u32::MAX);
    }

    /// Takes the scratch cell away again.
    pub(crate) fn pop_scratch(&mut self, cell: u32) {
        self.needs.changed.remove(&cell);
        self.rank.pop();
    }

    fn sort(&mut self, count: usize) {
        let starts = self.needs.starts.iter().zip(self.needs.starts.iter().skip(1));
        let mut open: Vec<u32> = starts.map(|(start, end)| end - start).collect();
        let mut done = vec![false; count];
        self.cells.reserve(count);
        for (cell, open) in (0u32..).zip(&open) {
            if *open == 0 {
                mark(cell, &mut self.cells, &mut done);
            }
        }
        self.follow(0, &mut open, &mut done);
        let mut way = Way {
            start: 0,
            path: Vec::new(),
            places: vec![0; if self.cells.len() < count { count } else { 0 }],
        };
        while self.cells.len() < count {
            let Some(path) = self.find_loop(&done, &mut way) else {
                break;
            };
            let from = self.cells.len();
            for cell in &path {
                mark(*cell, &mut self.cells, &mut done);
            }
            self.loops.push(path);
            self.follow(from, &mut open, &mut done);
        }
        self.rank = vec![0; count];
        for (place, cell) in (0u32..).zip(&self.cells) {
            if let Some(rank) = self.rank.get_mut(*cell as usize) {
                *rank = place;
            }
        }
    }

    /// Puts behind the cells in order those that need nothing more than them.
    fn follow(&mut self, from: usize, open: &mut [u32], done: &mut [bool]) {
        let mut at = from;
        while let Some(cell) = self.cells.get(at).copied() {
            at += 1;
            for dependent in self.dependents.of(cell) {
                let Some(open) = open.get_mut(*dependent as usize) else {
                    continue;
                };
                *open = open.saturating_sub(1);
                if *open == 0 && !done.get(*dependent as usize).copied().unwrap_or(true) {
                    mark(*dependent, &mut self.cells, done);
                }
            }
        }
    }

    /// Follows needs among what is left until a cell comes up again. The way there
    /// is kept, since the next search would take it again.
    fn find_loop(&self, done: &[bool], way: &mut Way) -> Option<Vec<u32>> {
        let left = |cell: u32| !done.get(cell as usize).copied().unwrap_or(true);
        while way.path.last().is_some_and(|last| !left(*last)) {
            way.path.pop();
        }
        let mut at = match way.path.pop() {
            Some(last) => last,
            None => {
                way.start += done.get(way.start..)?.iter().position(|done| !*done)?;
                u32::try_from(way.start).ok()?
            }
        };
        loop {
            let place = way.places.get_mut(at as usize)?;
            if way.path.get(*place as usize) == Some(&at) {
                return Some(way.path.split_off(*place as usize));
            }
            *place = u32::try_from(way.path.len()).ok()?;
            way.path.push(at);
            at = self.needs.of(at).iter().copied().find(|need| left(*need))?;
        }
    }
}

/// How far the search for loops has come.
struct Way {
    /// All cells before this one are done.
    start: usize,
    /// Each needs the next.
    path: Vec<u32>,
    /// Where each cell stands in the path, if it does.
    places: Vec<u32>,
}

fn mark(cell: u32, cells: &mut Vec<u32>, done: &mut [bool]) {
    if let Some(done) = done.get_mut(cell as usize) {
        *done = true;
    }
    cells.push(cell);
}

/// Sorts what stands from `from` on, and leaves each once.
fn tidy_tail(cells: &mut Vec<u32>, from: usize) {
    let Some(tail) = cells.get_mut(from..).filter(|tail| tail.len() > 1) else {
        return;
    };
    tail.sort_unstable();
    let mut kept = from + 1;
    for at in from + 1..cells.len() {
        let (Some(cell), Some(before)) = (cells.get(at).copied(), cells.get(kept - 1).copied()) else {
            break;
        };
        if cell != before {
            if let Some(place) = cells.get_mut(kept) {
                *place = cell;
            }
            kept += 1;
        }
    }
    cells.truncate(kept);
}

fn turned(needs: &Lists, count: usize) -> Lists {
    let mut starts = vec![0u32; count + 1];
    for need in &needs.cells {
        if let Some(start) = starts.get_mut(*need as usize + 1) {
            *start += 1;
        }
    }
    for cell in 1..starts.len() {
        let before = starts.get(cell - 1).copied().unwrap_or(0);
        if let Some(start) = starts.get_mut(cell) {
            *start += before;
        }
    }
    let mut next = starts.clone();
    let mut cells = vec![0u32; needs.cells.len()];
    for cell in 0..u32::try_from(count).unwrap_or(u32::MAX) {
        for need in needs.of(cell) {
            let Some(place) = next.get_mut(*need as usize) else {
                continue;
            };
            if let Some(slot) = cells.get_mut(*place as usize) {
                *slot = cell;
            }
            *place += 1;
        }
    }
    Lists {
        starts,
        cells,
        changed: BTreeMap::new(),
    }
}

/// The cells that an item names.
pub(crate) fn needs_of(node: &Node, names: &Names, needs: &mut Vec<u32>) {
    expressions_of(node, &mut |expression| need_of(expression, names, needs));
}

/// The cells that an expression names.
pub(crate) fn gather(expression: &Expression, names: &Names, needs: &mut Vec<u32>) {
    each_part(expression, &mut |part| need_of(part, names, needs));
}

fn need_of(part: &Expression, names: &Names, needs: &mut Vec<u32>) {
    let cell = match &part.node {
        ExpressionNode::Name(name) => names.cell_of(name),
        ExpressionNode::Column(column) => {
            needs.extend(names.entry_in(part).map(|cell| cell.0));
            names.cell_of(&column.0.text)
        }
        ExpressionNode::Call(call) => {
            needs.extend(named_beside(call, names));
            None
        }
        _ => None,
    };
    needs.extend(cell.map(|cell| cell.0));
}

/// Looks at every part of every expression of an item, but not into rules.
pub(crate) fn expressions_of(node: &Node, look: &mut impl FnMut(&Expression)) {
    match node {
        Node::Entry(entry) => {
            if let Some(Value::Given { expression, .. }) = &entry.value {
                each_part(expression, look);
            }
        }
        Node::Expect(expect) => expect.expressions().for_each(|part| each_part(part, look)),
        Node::Table(table) => {
            if let Some(TableContent::Function(expression)) = &table.content {
                each_part(expression, look);
            }
        }
        _ => {}
    }
}

/// Looks at an expression and everything in it, from left to right.
pub fn each_part(expression: &Expression, look: &mut impl FnMut(&Expression)) {
    look(expression);
    match &expression.node {
        ExpressionNode::Unary(_, inner) => each_part(inner, look),
        ExpressionNode::Binary(_, _, sides) => {
            each_part(&sides.0, look);
            each_part(&sides.1, look);
        }
        ExpressionNode::Comparison(comparison) => {
            each_part(&comparison.first, look);
            comparison.links.iter().for_each(|(_, _, side)| each_part(side, look));
        }
        ExpressionNode::Call(call) => call
            .arguments
            .iter()
            .for_each(|argument| each_part(&argument.value, look)),
        ExpressionNode::If(parts) => {
            each_part(&parts.0, look);
            each_part(&parts.1, look);
            each_part(&parts.2, look);
        }
        _ => {}
    }
}
