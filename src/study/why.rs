//! Why: how a value was worked out, from the answer down to the inputs.
//!
//! One step an entry or table, the answer first, then what it used, then what
//! that used; each once. A formula is cut into its own text and the names in it,
//! so that the same can be written with values put in. Conversions are those the
//! checker put in, in the order in which they happen. Start reading at [`why`].

use std::collections::{BTreeSet, VecDeque};

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::each_part;
use crate::sheet::typed::{Arithmetic, Node as TypedNode, Typed};
use crate::syntax::tree::{Call, Expression, ExpressionNode, Node, TableContent, Value};
use crate::text::{Span, in_one_line};
use crate::trade::Function;
use crate::trade::registry::function;
use crate::unit::{Conversion, Kind, Unit, conversion};

/// A thing that has a value: an entry, a table made by a function, or a written column.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Thing {
    /// An entry.
    Entry(CellId),
    /// A table, by its place among the sheet's tables.
    Table(u32),
    /// A column of a written table: the table, and the column's slot.
    Column(u32, u32),
}

/// One step of a derivation.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Step {
    /// What it is about.
    pub thing: Thing,
    /// How far from the answer: 0 is the answer itself.
    pub depth: usize,
    /// The formula, cut at its names; empty for what was written down.
    pub pieces: Vec<Piece>,
    /// The conversions in it.
    pub conversions: Vec<Converted>,
    /// The trade functions in it, each with its arguments as written.
    pub calls: Vec<Called>,
    /// The worksheet's own rules in it, by their items.
    pub rules: Vec<u32>,
    /// What it uses, in the order of the formula.
    pub uses: Vec<Thing>,
}

/// A piece of a formula.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Piece {
    /// As written.
    Text(String),
    /// A name, as written, and what stands behind it.
    Name(String, Thing),
}

/// A conversion that happens in a step.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Converted {
    /// One of a unit, or of a product of units as it reads, in another.
    Unit {
        /// From what.
        from: String,
        /// To what.
        to: Unit,
        /// How: multiplied and moved.
        conversion: Conversion,
    },
    /// A written quantity in another unit.
    Quantity {
        /// The number as written.
        written: Number,
        /// Its unit.
        from: Unit,
        /// The number it becomes.
        becomes: Number,
        /// In this unit.
        to: Unit,
    },
}

/// A call of a trade function, with an expression for each parameter that was given.
#[derive(Clone, Debug)]
pub(crate) struct Called {
    /// The function.
    pub function: &'static Function,
    /// The text of each argument; `None` where the default serves.
    pub arguments: Vec<Option<String>>,
}

impl PartialEq for Called {
    fn eq(&self, other: &Called) -> bool {
        self.function.name == other.function.name && self.arguments == other.arguments
    }
}

/// The derivation of an entry, at most `depth` levels deep; 0 is the answer alone.
pub(crate) fn why(sheet: &Sheet, cell: CellId, depth: usize) -> Vec<Step> {
    let first = match sheet.entry(cell) {
        Some(_) => Thing::Entry(cell),
        None => table_of(sheet, cell).map_or(Thing::Entry(cell), Thing::Table),
    };
    let mut seen = BTreeSet::from([first]);
    let mut open = VecDeque::from([(first, 0)]);
    let mut steps = Vec::new();
    while let Some((thing, level)) = open.pop_front() {
        let step = step(sheet, thing, level);
        if level < depth {
            for used in &step.uses {
                if seen.insert(*used) {
                    open.push_back((*used, level + 1));
                }
            }
        }
        steps.push(step);
    }
    steps
}

/// One step each of several things, whatever they use.
pub(crate) fn steps(sheet: &Sheet, things: &[Thing]) -> Vec<Step> {
    things.iter().map(|thing| step(sheet, *thing, 0)).collect()
}

/// The table that a cell makes.
pub(crate) fn table_of(sheet: &Sheet, cell: CellId) -> Option<u32> {
    let place = sheet.tables().iter().position(|table| table.cell == Some(cell))?;
    u32::try_from(place).ok()
}

fn step(sheet: &Sheet, thing: Thing, depth: usize) -> Step {
    let mut step = Step {
        thing,
        depth,
        pieces: Vec::new(),
        conversions: Vec::new(),
        calls: Vec::new(),
        rules: Vec::new(),
        uses: Vec::new(),
    };
    let cell = match thing {
        Thing::Entry(cell) if sheet.held(cell).is_none() => cell,
        Thing::Table(table) => match sheet.tables().get(table as usize).and_then(|table| table.cell) {
            Some(cell) => cell,
            None => return step,
        },
        _ => return step,
    };
    let item = sheet.item_of(cell);
    let Some((expression, calculated)) = formula_of(sheet, item) else {
        return step;
    };
    let typed = sheet.typed(cell);
    let found = Gathered::of(sheet, item, &expression);
    if calculated {
        step.pieces = pieces(sheet, item, &expression, &found.names);
        step.calls = found.calls;
        step.rules = found.rules;
        for (_, used) in found.names {
            if !step.uses.contains(&used) {
                step.uses.push(used);
            }
        }
    }
    step.conversions = conversions(&typed, &found.quantities);
    step
}

/// The expression behind an item, and whether it is calculated rather than written down.
pub(crate) fn formula_of(sheet: &Sheet, item: u32) -> Option<(Expression, bool)> {
    match sheet.tree().node(item)? {
        Node::Entry(entry) => match entry.value.as_ref()? {
            Value::Given { expression, .. } => Some((expression.clone(), !entry.kind.is_input())),
            Value::Blank(_) => None,
        },
        Node::Table(table) => match table.content.as_ref()? {
            TableContent::Function(expression) => Some((expression.clone(), true)),
            _ => None,
        },
        _ => None,
    }
}

/// What an expression names, calls and states.
#[derive(Default)]
struct Gathered {
    names: Vec<(Span, Thing)>,
    calls: Vec<Called>,
    rules: Vec<u32>,
    quantities: Vec<(Span, Number, Unit)>,
}

impl Gathered {
    fn of(sheet: &Sheet, item: u32, expression: &Expression) -> Gathered {
        let text = sheet.tree().text_of(item as usize);
        let mut found = Gathered::default();
        each_part(expression, &mut |part| match &part.node {
            ExpressionNode::Name(name) => {
                let thing = match sheet.names().get(name) {
                    Some(Named::Cell(cell)) => Some(Thing::Entry(cell)),
                    Some(Named::Table(table)) => Some(Thing::Table(table)),
                    _ => None,
                };
                found.names.extend(thing.map(|thing| (part.span, thing)));
            }
            ExpressionNode::Column(names) => {
                let worked = sheet.names().entry_in(part).map(Thing::Entry);
                let thing = worked.or_else(|| column_of(sheet, &names.0.text, &names.1.text));
                found.names.extend(thing.map(|thing| (part.span, thing)));
            }
            ExpressionNode::Call(call) => found.call(sheet, call, text),
            ExpressionNode::Quantity { value, unit, .. } => found.quantities.push((part.span, *value, *unit)),
            _ => {}
        });
        found
    }

    fn call(&mut self, sheet: &Sheet, call: &Call, text: &str) {
        if let Some(Named::Rule(item)) = sheet.names().get(&call.name.text) {
            if !self.rules.contains(&item) {
                self.rules.push(item);
            }
            return;
        }
        let called = called(call, text);
        self.calls.extend(called.filter(|called| !self.calls.contains(called)));
    }
}

/// A call of a trade function that stands in `text`, with what each parameter is given.
pub(crate) fn called(call: &Call, text: &str) -> Option<Called> {
    let function = function(&call.name.text)?;
    let mut arguments = vec![None; function.parameters.len()];
    for (position, argument) in call.arguments.iter().enumerate() {
        let place = match &argument.label {
            Some(label) => function
                .parameters
                .iter()
                .position(|parameter| parameter.name == &*label.text),
            None => Some(position),
        };
        if let Some(given) = place.and_then(|place| arguments.get_mut(place)) {
            *given = Some(argument.value.span.of(text).to_owned());
        }
    }
    Some(Called { function, arguments })
}

/// A column: of a table that a function makes, the table stands for it.
fn column_of(sheet: &Sheet, table: &str, column: &str) -> Option<Thing> {
    let Some(Named::Table(place)) = sheet.names().get(table) else {
        return None;
    };
    let held = sheet.tables().get(place as usize)?;
    if held.cell.is_some() {
        return Some(Thing::Table(place));
    }
    let slot = held
        .columns
        .iter()
        .find(|slot| sheet.table_column(**slot).is_some_and(|known| &*known.name == column))?;
    Some(Thing::Column(place, *slot))
}

/// The text of an expression, cut at the names in it.
fn pieces(sheet: &Sheet, item: u32, expression: &Expression, names: &[(Span, Thing)]) -> Vec<Piece> {
    let text = sheet.tree().text_of(item as usize);
    let mut names: Vec<&(Span, Thing)> = names.iter().collect();
    names.sort_by_key(|(span, _)| span.start);
    let mut pieces = Vec::new();
    let mut from = expression.span.start;
    for (span, thing) in names {
        pieces.push(Piece::Text(
            Span {
                start: from,
                end: span.start,
            }
            .of(text)
            .to_owned(),
        ));
        pieces.push(Piece::Name(span.of(text).to_owned(), *thing));
        from = span.end;
    }
    let rest = Span {
        start: from,
        end: expression.span.end,
    };
    pieces.push(Piece::Text(rest.of(text).to_owned()));
    pieces.retain(|piece| !matches!(piece, Piece::Text(text) if text.is_empty()));
    pieces
}

/// The conversions of checked expressions, each once, the innermost first.
fn conversions(typed: &[Typed], quantities: &[(Span, Number, Unit)]) -> Vec<Converted> {
    let mut found = Vec::new();
    for value in typed {
        walk(value, quantities, &mut found);
    }
    let mut once: Vec<Converted> = Vec::new();
    for one in found {
        if !once.contains(&one) {
            once.push(one);
        }
    }
    once
}

fn walk(value: &Typed, quantities: &[(Span, Number, Unit)], found: &mut Vec<Converted>) {
    match &value.node {
        TypedNode::Convert(inner, conversion) => {
            walk(inner, quantities, found);
            found.extend(converted(inner, value.kind, *conversion));
        }
        TypedNode::Arithmetic(_, _, sides) | TypedNode::Compare(_, sides) | TypedNode::Schedule(_, sides) => {
            walk(&sides.0, quantities, found);
            walk(&sides.1, quantities, found);
        }
        TypedNode::And(sides) | TypedNode::Or(sides) | TypedNode::Where(sides) => {
            walk(&sides.0, quantities, found);
            walk(&sides.1, quantities, found);
        }
        TypedNode::Negate(inner) | TypedNode::Not(inner) => walk(inner, quantities, found),
        TypedNode::If(parts) => {
            walk(&parts.0, quantities, found);
            walk(&parts.1, quantities, found);
            walk(&parts.2, quantities, found);
        }
        TypedNode::Call(_, arguments) => arguments.iter().for_each(|argument| walk(argument, quantities, found)),
        TypedNode::Let(shared, body) => {
            shared.iter().for_each(|(_, value)| walk(value, quantities, found));
            walk(body, quantities, found);
        }
        TypedNode::Constant(number) => found.extend(stated(*number, value, quantities)),
        TypedNode::OneOf(text, column) => {
            walk(text, quantities, found);
            column.iter().for_each(|column| walk(column, quantities, found));
        }
        TypedNode::Cell(_) | TypedNode::Column(_) | TypedNode::Shared(_) => {}
    }
}

fn converted(inner: &Typed, kind: Kind, conversion: Conversion) -> Option<Converted> {
    let (Kind::Quantity(from), Kind::Quantity(to)) = (inner.kind, kind) else {
        return None;
    };
    if let Some(alike) = alike(&inner.node) {
        return Some(alike);
    }
    let from = match &inner.node {
        TypedNode::Arithmetic(Arithmetic::Multiply | Arithmetic::Divide, _, sides) if from == to => {
            joined(&inner.node, sides)?
        }
        _ if from == to => return None,
        _ => from.to_string(),
    };
    Some(Converted::Unit { from, to, conversion })
}

/// Of a quotient of two that measure the same, the one in the unit of the other.
fn alike(node: &TypedNode) -> Option<Converted> {
    let TypedNode::Arithmetic(Arithmetic::Divide, _, sides) = node else {
        return None;
    };
    let (Kind::Quantity(left), Kind::Quantity(right)) = (sides.0.kind, sides.1.kind) else {
        return None;
    };
    let conversion = conversion(left, right).filter(|_| left != right && left != Unit::ONE)?;
    Some(Converted::Unit {
        from: left.to_string(),
        to: right,
        conversion,
    })
}

/// Two units as they meet in a product or a quotient.
fn joined(node: &TypedNode, sides: &(Typed, Typed)) -> Option<String> {
    let (Kind::Quantity(left), Kind::Quantity(right)) = (sides.0.kind, sides.1.kind) else {
        return None;
    };
    Some(match node {
        TypedNode::Arithmetic(Arithmetic::Divide, ..) => format!("{left} / 1 {right}"),
        _ => format!("{left} × 1 {right}"),
    })
}

/// A quantity that was converted where it is written.
fn stated(becomes: Number, value: &Typed, quantities: &[(Span, Number, Unit)]) -> Option<Converted> {
    let Kind::Quantity(to) = value.kind else { return None };
    let (_, written, from) = *quantities.iter().find(|(span, ..)| *span == value.span)?;
    (from != to && from != Unit::ONE).then_some(Converted::Quantity {
        written,
        from,
        becomes,
        to,
    })
}

/// The text of a rule of the worksheet, in one line.
pub(crate) fn rule_text(sheet: &Sheet, item: u32) -> String {
    in_one_line(sheet.tree().text_of(item as usize))
}
