//! One input varied over a copy of the record.
//!
//! Each value is held as a trial would be, an entry's exactly, a cell's with the cell's own `±`,
//! so that a case and other trials stay in hand. Start reading at [`Varied`]; [`limits`] finds what an
//! expectation compares.

use crate::calendar::DAY;
use crate::number::Number;
use crate::sheet::cell_of::CellPlace;
use crate::sheet::held_cells::HeldCell;
use crate::sheet::names::CellId;
use crate::sheet::order::expressions_of;
use crate::sheet::{Held, HeldValue, Reading, Sheet};
use crate::syntax::tree::{BinaryOperator, ComparisonOperator, Expression, ExpressionNode, Node, UnaryOperator};
use crate::trade::registry::function;
use crate::trade::{Parameter, ParameterKind};
use crate::unit::convert::conversion;
use crate::unit::{Kind, Unit};

/// What is varied.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Input {
    /// The value of an entry.
    Entry(CellId),
    /// A cell of a written table.
    Cell(CellPlace),
}

impl From<CellId> for Input {
    fn from(cell: CellId) -> Input {
        Input::Entry(cell)
    }
}

impl Input {
    /// What it is called: `air`, `loads.hours of "lamp"`.
    pub fn name(self, sheet: &Sheet) -> String {
        match self {
            Input::Entry(cell) => sheet.name_of(cell).unwrap_or("").to_owned(),
            Input::Cell(place) => sheet.cell_name(place),
        }
    }

    /// Its kind; none of one that has a problem.
    pub fn kind(self, sheet: &Sheet) -> Option<Kind> {
        match self {
            Input::Entry(cell) => sheet.shape(cell).map(|shape| shape.kind),
            Input::Cell(place) => sheet.table_column(place.slot).map(|column| column.kind),
        }
    }

    /// The single number it holds.
    pub fn number(self, sheet: &Sheet) -> Option<Number> {
        match self {
            Input::Entry(cell) => number_of(sheet, cell),
            Input::Cell(place) => sheet
                .column_cells(place.slot)
                .get(place.row as usize)
                .copied()
                .flatten(),
        }
    }

    /// Whether a cell changes with it.
    pub fn moves(self, sheet: &Sheet, cell: CellId) -> bool {
        match self {
            Input::Entry(input) => sheet.needed_by(cell).contains(&input),
            Input::Cell(place) => sheet.reads_column(cell, place.slot),
        }
    }

    /// The entry that it is.
    pub fn entry(self) -> Option<CellId> {
        match self {
            Input::Entry(cell) => Some(cell),
            Input::Cell(_) => None,
        }
    }
}

/// An input that is being varied, in a copy of the worksheet.
pub struct Varied {
    sheet: Sheet,
    input: Input,
}

impl Varied {
    /// Begins to vary an input.
    pub fn new(sheet: &Sheet, input: impl Into<Input>) -> Varied {
        Varied {
            sheet: sheet.clone(),
            input: input.into(),
        }
    }

    /// The sheet with the input at this value, exactly.
    pub fn at(&mut self, value: Number) -> &Sheet {
        match self.input {
            Input::Entry(cell) => {
                self.sheet.hold(cell, Held::exactly(HeldValue::Number(value)));
            }
            Input::Cell(place) => self.sheet.hold_cell(place, HeldCell::number(value)),
        }
        &self.sheet
    }

    /// The input.
    pub fn input(&self) -> Input {
        self.input
    }

    /// The sheet as it stands.
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    /// The same at a binary number, to 15 digits; `None` where it is none that can be held.
    pub fn near(&mut self, value: f64) -> Option<&Sheet> {
        let value = Number::from_f64(value).ok()?;
        Some(self.at(value))
    }

    /// By how much the left side of a limit is above the right, in the unit of the left; 0
    /// where they are the same, `None` where it can't be told.
    pub fn distance(&mut self, limit: &Limit) -> Option<f64> {
        let left = self.sheet.value_of(&limit.text, &limit.left)?;
        let right = self.sheet.value_of(&limit.text, &limit.right)?;
        let right = match (left.0, right.0) {
            (Kind::Quantity(to), Kind::Quantity(from)) => conversion(from, to)?.apply(right.1).ok()?,
            (Kind::Text | Kind::Truth, _) | (_, Kind::Text | Kind::Truth) => return None,
            _ => right.1,
        };
        distance(left.1, right)
    }

    /// The same with the input at a binary number.
    pub(crate) fn distance_at(&mut self, place: f64, limit: &Limit) -> Option<f64> {
        self.near(place)?;
        self.distance(limit)
    }
}

/// Two sides that an expectation compares.
#[derive(Clone, Debug)]
pub struct Limit {
    /// The expectation.
    pub check: CellId,
    text: String,
    left: Expression,
    right: Expression,
}

/// The comparisons of every expectation that depends on an input; `=` and `<>` have no limit to cross.
pub fn limits(sheet: &Sheet, input: Input) -> Vec<Limit> {
    let cells = sheet.own_cells();
    let mut found = Vec::new();
    for check in cells.filter(|cell| sheet.entry(*cell).is_none() && input.moves(sheet, *cell)) {
        let item = sheet.item_of(check) as usize;
        if let Some(Node::Expect(expect)) = sheet.tree().items.get(item).map(|item| &item.node)
            && let Some(condition) = &expect.condition
        {
            let text = sheet.tree().text_of(item);
            comparisons(condition, &mut |left, right| {
                found.push(Limit {
                    check,
                    text: text.to_owned(),
                    left: left.clone(),
                    right: right.clone(),
                });
            });
        }
    }
    found
}

/// Each pair of sides in a condition, through `and`, `or` and `not`.
pub(super) fn comparisons<'a>(condition: &'a Expression, found: &mut impl FnMut(&'a Expression, &'a Expression)) {
    match &condition.node {
        ExpressionNode::Comparison(comparison) => {
            let mut left = &comparison.first;
            for (operator, _, right) in &comparison.links {
                if !matches!(operator, ComparisonOperator::Equal | ComparisonOperator::Unequal) {
                    found(left, right);
                }
                left = right;
            }
        }
        ExpressionNode::Binary(BinaryOperator::And | BinaryOperator::Or, _, sides) => {
            comparisons(&sides.0, found);
            comparisons(&sides.1, found);
        }
        ExpressionNode::Unary(UnaryOperator::Not, inner) => comparisons(inner, found),
        _ => {}
    }
}

/// One number less another; 0 where they differ only by their last calculated digits.
pub fn distance(one: Number, other: Number) -> Option<f64> {
    let gap = one.sub(other).ok()?.to_f64();
    let larger = one.to_f64().abs().max(other.to_f64().abs());
    Some(if gap.abs() <= NOTHING * larger { 0.0 } else { gap })
}

/// A difference this small a part of what is compared is none.
const NOTHING: f64 = 1e-13;

/// The single number a cell holds.
pub fn number_of(sheet: &Sheet, cell: CellId) -> Option<Number> {
    match sheet.reading(cell) {
        Reading::Number(number) => Some(number),
        _ => None,
    }
}

/// The first parameter of a trade function with a usual range that an input feeds on the
/// way to an answer, with the name of that function.
pub(crate) fn fed(sheet: &Sheet, input: Input, answer: CellId) -> Option<(&'static str, &'static Parameter)> {
    let name = sheet.name_of(input.entry()?)?;
    let mut items: Vec<u32> = sheet
        .needed_by(answer)
        .into_iter()
        .map(|cell| sheet.item_of(cell))
        .collect();
    items.sort_unstable();
    let mut found = None;
    for item in items {
        let node = sheet.tree().node(item)?;
        expressions_of(node, &mut |part| {
            if let (None, ExpressionNode::Call(call)) = (&found, &part.node) {
                found = fed_by_call(call, name);
            }
        });
    }
    found
}

fn fed_by_call(call: &crate::syntax::tree::Call, name: &str) -> Option<(&'static str, &'static Parameter)> {
    let function = function(&call.name.text)?;
    let is_input = |node: &ExpressionNode| matches!(node, ExpressionNode::Name(used) if **used == *name);
    let given = call
        .arguments
        .iter()
        .enumerate()
        .filter(|(_, given)| is_input(&given.value.node));
    let mut parameters = given.filter_map(|(place, given)| match &given.label {
        Some(label) => function
            .parameters
            .iter()
            .find(|parameter| parameter.name == &*label.text),
        None => function.parameters.get(place),
    });
    let parameter = parameters.find(|parameter| parameter.usual.is_some())?;
    Some((function.name, parameter))
}

/// The usual range of a parameter in the unit of an input.
pub(crate) fn usual_range(parameter: &Parameter, kind: Kind) -> Option<(Number, Number)> {
    let usual = parameter.usual.as_ref()?;
    let (low, high) = (Number::from_f64(usual.low).ok()?, Number::from_f64(usual.high).ok()?);
    let (ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit), Kind::Quantity(to)) = (parameter.kind, kind)
    else {
        return (kind == Kind::Level).then_some((low, high));
    };
    let from = if unit.is_empty() {
        Unit::ONE
    } else {
        Unit::parse(unit).ok()?
    };
    let way = conversion(from, to)?;
    Some((way.apply(low).ok()?, way.apply(high).ok()?))
}

/// The step that stands for a tenth on a scale without a true zero, in the unit in which
/// its values differ: 9 F°, 1 h, 3 dB, and of a gauge pressure a tenth of an atmosphere.
pub(crate) fn step_of(kind: Kind) -> Option<Number> {
    let steps = |of: Unit, step: i64, name: &str| {
        conversion(Unit::parse(name).ok()?, of)?
            .apply(Number::from_integer(step))
            .ok()
    };
    match kind {
        Kind::Quantity(of) if is_pressure_point(of) => steps(of.interval(), 10, "kPa"),
        Kind::Quantity(of) if of.is_point() => steps(of.interval(), 9, "F°"),
        Kind::Level | Kind::Decibels => Some(Number::from_integer(3)),
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Some(Number::from_integer(3600)),
        _ => None,
    }
}

pub(super) fn is_pressure_point(of: Unit) -> bool {
    of.is_point() && Unit::parse("psi").is_ok_and(|psi| conversion(of.interval(), psi).is_some())
}

/// How far intervals about a value reach: in steps where it has no true zero, else so many
/// times as far from zero and as near.
const WIDER: [i64; 5] = [2, 10, 100, 1000, 10_000];

/// Intervals about the value of an input in hand, each wider than the one before; of a clock
/// time within its day.
pub fn widened(sheet: &Sheet, input: Input, value: Number) -> Vec<(Number, Number)> {
    let kind = input.kind(sheet);
    let step = kind.and_then(step_of);
    let step = step.or(value.is_zero().then_some(Number::ONE));
    let ends = |by: i64| {
        let by = Number::from_integer(by);
        Some(match step {
            Some(step) => {
                let reach = step.mul(by).ok()?;
                (value.sub(reach).ok()?, value.add(reach).ok()?)
            }
            None if value.is_negative() => (value.mul(by).ok()?, value.div(by).ok()?),
            None => (value.div(by).ok()?, value.mul(by).ok()?),
        })
    };
    let within_the_day = |(low, high): (Number, Number)| match kind {
        Some(Kind::TimeOfDay) => (low.max(Number::ZERO), high.min(Number::from_integer(DAY - 1))),
        _ => (low, high),
    };
    let mut all: Vec<(Number, Number)> = WIDER.into_iter().filter_map(ends).map(within_the_day).collect();
    all.dedup();
    all
}
