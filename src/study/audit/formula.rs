//! What formulas say: bare numbers, values outside what is usual, lines that nothing uses.
//!
//! Start reading at [`look`].

use crate::number::Number;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::{each_part, expressions_of};
use crate::sheet::{Reading, Sheet};
use crate::syntax::tree::{
    BinaryOperator, Call, EntryKind, Expression, ExpressionNode, Node, Table, TableContent, Value,
};
use crate::text::without_parentheses;
use crate::trade::Parameter;
use crate::trade::registry::function;
use crate::unit::{Kind, Unit};

use super::super::vary::usual_range;
use super::finding::{Finding, Findings, Idle, Unusual, subject_of};
use super::ground::{Ground, cell_of, factors, has_word, is_of, plain};
use super::slips::Slips;
use super::uses::{Uses, column_slot};
use super::{Subject, all_cells, cells_by_item, unit};

/// Looks at every line.
pub(super) fn look(sheet: &Sheet, uses: &Uses, found: &mut Findings) {
    let cells = cells_by_item(sheet);
    for (item, node) in (0u32..).zip(sheet.tree().items.iter().map(|item| &item.node)) {
        let subject = subject_of(sheet, item, &cells);
        let bare = bare_numbers(sheet, item, node);
        if !bare.is_empty() {
            found.add(subject, Finding::Bare(bare));
        }
        match node {
            Node::Rule(_) if !uses.rule(item) => found.add(subject, Finding::Unused(false)),
            Node::Table(table) => look_at_table(sheet, item, table, uses, found),
            Node::Expect(expect) => {
                let condition = expect.condition.as_ref();
                let idle = condition.and_then(|condition| idle(sheet, item, condition));
                idle.into_iter()
                    .for_each(|idle| found.add(subject, Finding::Idle(idle)));
            }
            _ => {}
        }
        expressions_of(node, &mut |part| {
            if let ExpressionNode::Call(call) = &part.node {
                look_at_call(sheet, subject, item, call, found);
            }
        });
    }
    for cell in all_cells(sheet) {
        let Some(entry) = sheet.entry(cell).filter(|entry| entry.kind != EntryKind::Answer) else {
            continue;
        };
        if !uses.entry(cell) {
            let belongs = entry.kind.is_input() && super::is_number(sheet, cell) || is_worked_load(sheet, cell);
            found.add(Subject::Cell(cell), Finding::Unused(belongs));
        }
    }
}

/// A table that nothing uses, or columns of it; texts only tell rows apart.
/// A load that was worked out: somebody wanted to carry it on.
fn is_worked_load(sheet: &Sheet, cell: CellId) -> bool {
    let is_power = sheet
        .shape(cell)
        .is_some_and(|shape| !shape.column && is_of(shape.kind, "W"));
    is_power
        && sheet
            .name_of(cell)
            .is_some_and(|name| name.contains("load") || name.contains("mean"))
}

fn look_at_table(sheet: &Sheet, item: u32, table: &Table, uses: &Uses, found: &mut Findings) {
    let place = sheet.tables().iter().position(|known| known.item == item);
    let Some(known) = place.and_then(|place| sheet.tables().get(place)) else {
        return;
    };
    let slots = &known.columns;
    if slots.iter().any(|slot| uses.column(*slot)) {
        let unused = slots.iter().filter(|slot| !uses.column(**slot) && known.cell.is_none());
        for slot in unused {
            let kind = sheet.table_column(*slot).map(|column| column.kind);
            if !matches!(kind, Some(Kind::Text) | None) {
                let place = u32::try_from(place.unwrap_or(0)).unwrap_or(u32::MAX);
                found.add(Subject::Column(place, *slot), Finding::Unused(false));
            }
        }
        return;
    }
    found.add(Subject::Item(item), Finding::Unused(false));
    let written = !matches!(table.content, Some(TableContent::Function(_)));
    if written && table.source.is_none() {
        found.add(Subject::Item(item), Finding::NoSource);
    }
}

// ---- checks that can't fail ----

/// Why a condition comes out the same whatever the values are, if it does.
fn idle(sheet: &Sheet, item: u32, condition: &Expression) -> Option<Idle> {
    if !rests_on_something(sheet, condition) {
        return Some(Idle::Constants);
    }
    let ExpressionNode::Comparison(comparison) = &condition.node else {
        return None;
    };
    let text = sheet.tree().text_of(item as usize);
    let written = |side: &Expression| {
        let words: Vec<&str> = side.span.of(text).split_whitespace().collect();
        words.join(" ")
    };
    let first = written(&comparison.first);
    let mut others = comparison.links.iter().map(|(_, _, side)| written(side));
    others.all(|side| side == first).then_some(Idle::SameSides)
}

/// Whether a condition names anything of the worksheet, its own rules among them.
fn rests_on_something(sheet: &Sheet, condition: &Expression) -> bool {
    let mut rests = false;
    each_part(condition, &mut |part| {
        rests |= match &part.node {
            ExpressionNode::Name(_) | ExpressionNode::Column(_) => true,
            ExpressionNode::Call(call) => matches!(sheet.names().get(&call.name.text), Some(Named::Rule(_))),
            _ => false,
        };
    });
    rests
}

// ---- bare numbers ----

/// The numbers and quantities in the formulas of an item, as written.
fn bare_numbers(sheet: &Sheet, item: u32, node: &Node) -> Vec<String> {
    let mut found = Vec::new();
    match node {
        Node::Entry(entry) if !entry.kind.is_input() => {
            if let Some(Value::Given { expression, .. }) = &entry.value {
                bare(expression, &mut found);
            }
        }
        Node::Table(table) => {
            if let Some(TableContent::Function(expression)) = &table.content {
                bare(expression, &mut found);
            }
        }
        Node::Rule(rule) => {
            let defaults = rule
                .parameters
                .iter()
                .filter_map(|parameter| parameter.default.as_ref());
            defaults.chain(rule.body.iter()).for_each(|part| bare(part, &mut found));
        }
        _ => {}
    }
    let text = sheet.tree().text_of(item as usize);
    let mut written: Vec<String> = Vec::new();
    for part in found {
        let inner = without_parentheses(part.span.of(text));
        let words: Vec<&str> = inner.split_whitespace().collect();
        let one = words.join(" ");
        if !written.contains(&one) {
            written.push(one);
        }
    }
    written
}

fn bare<'a>(expression: &'a Expression, found: &mut Vec<&'a Expression>) {
    match &expression.node {
        ExpressionNode::Number(number) if is_plain(*number) || *number == Number::from_integer(2) => {}
        ExpressionNode::Quantity { value, unit, .. } if is_plain(*value) || is_a_whole(*value, *unit) => {}
        ExpressionNode::Number(_)
        | ExpressionNode::Quantity { .. }
        | ExpressionNode::TimeOfDay(_)
        | ExpressionNode::CountedTime(_)
        | ExpressionNode::Moment(_) => found.push(expression),
        // an exponent belongs to the formula, and what names a row is no value
        ExpressionNode::Binary(BinaryOperator::Power | BinaryOperator::Of, _, sides) => bare(&sides.0, found),
        ExpressionNode::Binary(_, _, sides) => {
            bare(&sides.0, found);
            bare(&sides.1, found);
        }
        ExpressionNode::Unary(_, inner) => bare(inner, found),
        ExpressionNode::Comparison(comparison) => {
            bare(&comparison.first, found);
            comparison.links.iter().for_each(|(_, _, side)| bare(side, found));
        }
        ExpressionNode::If(parts) => {
            bare(&parts.0, found);
            bare(&parts.1, found);
            bare(&parts.2, found);
        }
        ExpressionNode::Call(call) => {
            for (place, argument) in call.arguments.iter().enumerate() {
                if !is_of_form(call, place) {
                    bare(&argument.value, found);
                }
            }
        }
        _ => {}
    }
}

/// 0 and 1 hide nothing, and neither does a bare 2.
fn is_plain(number: Number) -> bool {
    number.is_zero() || number.abs() == Number::ONE
}

/// The hours of a day, the minutes of an hour, all of something.
fn is_a_whole(value: Number, of: Unit) -> bool {
    let wholes = [(24, "h"), (60, "min"), (60, "s"), (7, "d"), (100, "%")];
    wholes
        .iter()
        .any(|(number, name)| value == Number::from_integer(*number) && of == unit(name))
}

/// Steps of rounding and of tables say how a result looks, not what it is.
fn is_of_form(call: &Call, place: usize) -> bool {
    parameter_at(call, place).is_some_and(|(_, parameter)| matches!(parameter.name, "to" | "every"))
}

/// The function of a call, and its parameter that an argument is for.
fn parameter_at(call: &Call, place: usize) -> Option<(&'static str, &'static Parameter)> {
    let function = function(&call.name.text)?;
    let parameter = match &call.arguments.get(place)?.label {
        Some(label) => function.parameters.iter().find(|known| known.name == &*label.text),
        None => function.parameters.get(place),
    };
    Some((function.name, parameter?))
}

// ---- what is usual ----

fn look_at_call(sheet: &Sheet, subject: Subject, item: u32, call: &Call, found: &mut Findings) {
    for (place, argument) in call.arguments.iter().enumerate() {
        let Some((function, parameter)) = parameter_at(call, place) else {
            continue;
        };
        let outside = |kind, value| is_outside(parameter, kind, value);
        let unusual = |literal| {
            Finding::Unusual(Unusual {
                literal,
                function,
                parameter,
            })
        };
        match &argument.value.node {
            ExpressionNode::Name(name) => {
                let cell = sheet.cell(name);
                if let Some(cell) = cell.filter(|cell| values_of(sheet, *cell, &outside)) {
                    found.add(Subject::Cell(cell), unusual(None));
                }
            }
            ExpressionNode::Column(names) => {
                let column = column_at(sheet, &names.0.text, &names.1.text);
                if let Some((place, slot)) = column
                    && any_outside(sheet, slot, &outside)
                {
                    found.add(Subject::Column(place, slot), unusual(None));
                }
            }
            ExpressionNode::Quantity { value, unit, .. } if outside(Kind::Quantity(*unit), *value) => {
                let text = argument.value.span.of(sheet.tree().text_of(item as usize));
                found.add(subject, unusual(Some(text.to_owned())));
            }
            ExpressionNode::Number(value) if outside(Kind::Quantity(Unit::ONE), *value) => {
                let text = argument.value.span.of(sheet.tree().text_of(item as usize));
                found.add(subject, unusual(Some(text.to_owned())));
            }
            _ => {}
        }
    }
}

fn is_outside(parameter: &Parameter, kind: Kind, value: Number) -> bool {
    let range = usual_range(parameter, kind);
    range.is_some_and(|(low, high)| value.compare(low).is_lt() || value.compare(high).is_gt())
}

fn values_of(sheet: &Sheet, cell: CellId, outside: &impl Fn(Kind, Number) -> bool) -> bool {
    let Some(shape) = sheet.shape(cell) else { return false };
    match sheet.reading(cell) {
        Reading::Number(value) => outside(shape.kind, value),
        Reading::Column(cells) => cells.iter().flatten().any(|value| outside(shape.kind, *value)),
        Reading::Within(_) | Reading::None(_) => false,
    }
}

/// A column of a written table: the table's place, and the column's slot.
fn column_at(sheet: &Sheet, table: &str, column: &str) -> Option<(u32, u32)> {
    let Some(Named::Table(place)) = sheet.names().get(table) else {
        return None;
    };
    let slot = column_slot(sheet, table, column)?;
    let written = sheet.tables().get(place as usize)?.cell.is_none();
    written.then_some((place, slot))
}

fn any_outside(sheet: &Sheet, slot: u32, outside: &impl Fn(Kind, Number) -> bool) -> bool {
    let Some(column) = sheet.table_column(slot) else {
        return false;
    };
    column.cells.iter().flatten().any(|value| outside(column.kind, *value))
}

// ---- exchange cylinders ----

/// The weights in pounds that portable cylinders are named for.
const NAMED_FOR: [f64; 5] = [11.0, 20.0, 30.0, 40.0, 100.0];
/// What is sold in one, as a share of what it is named for (common practice: 15 lb in a 20-lb cylinder).
const SOLD: f64 = 0.75;
const CYLINDERS: &[&str] = &[
    "exchange",
    "exchanged",
    "cylinder",
    "bottle",
    "tank",
    "barbecue",
    "bbq",
    "grill",
    "swap",
    "swapped",
    "trade in",
    "full",
    "new",
    "20 lb",
    "30 lb",
    "40 lb",
    "100 lb",
    "fill",
    "cage",
    "store",
];
const WEIGHED: &[&str] = &[
    "lawful weight",
    "by the slip",
    "slip",
    "station fills",
    "weigh",
    "weighed",
    "weighing",
    "scale",
    "tare",
    "empty",
    "capacity",
    "sleeve",
    "net weight",
    "small print",
    "receipt",
    "refilled",
    "metered",
    "dealer",
    "reserve",
    "size",
    "left",
    "gross",
    "hose",
    "rate",
];

/// Words for a cylinder that is given for another.
const EXCHANGED: &[&str] = &[
    "exchange",
    "exchanged",
    "swap",
    "swapped",
    "cage",
    "trade in",
    "bbq",
    "barbecue",
    "grill",
];

/// The price that a formula has over a weight: what the weight is taken to be sold for.
pub(super) fn price_over(ground: &Ground<'_>, weight: CellId) -> Option<CellId> {
    let is_price = |cell: &CellId| {
        let kind = ground.shape(*cell).map(|shape| shape.kind);
        ground.is_input(*cell) && matches!(kind, Some(Kind::Quantity(of)) if of.is_money())
    };
    ground.works().find_map(|(_, formula)| {
        let pieces = factors(formula);
        let below = pieces
            .iter()
            .any(|(above, part)| !*above && cell_of(part) == Some(weight));
        let mut prices = pieces
            .iter()
            .filter(|(above, _)| *above)
            .filter_map(|(_, part)| cell_of(part));
        prices.find(is_price).filter(|_| below)
    })
}

/// Weights, written down and not weighed, that are what a cylinder is named for, or several
/// of it, where the line speaks of cylinders. A ± about the full weight still takes it for full.
pub(super) fn taken_as_full(slips: &mut Slips<'_>) {
    let ground = slips.ground;
    for cell in all_cells(ground.sheet).filter(|cell| ground.is_input(*cell)) {
        let Some(pounds) = ground.value(cell, "lb").filter(|pounds| *pounds > 0.0) else {
            continue;
        };
        let written = ground
            .sheet
            .entry(cell)
            .is_some_and(|entry| entry.kind != EntryKind::Measured);
        let named = NAMED_FOR.iter().any(|known| {
            let several = pounds / known;
            (0.5..12.5).contains(&several) && (several - several.round()).abs() < 0.003
        });
        let sold = has_word(&plain(ground.raw(cell)), &["net"]);
        // a size is no more than a name, until an exchange's price is parted over it
        let priced =
            price_over(ground, cell).is_some_and(|price| ground.says(price, EXCHANGED) || ground.says(cell, EXCHANGED));
        let weighed = WEIGHED
            .iter()
            .any(|word| (*word != "size" || !priced) && ground.says(cell, &[word]));
        let is_full = named && !sold && !weighed && (priced || ground.says(cell, CYLINDERS));
        if written && is_full && !slips.accused.contains(&cell) {
            let less = ground.at(cell, pounds * SOLD, "lb");
            let less = less.and_then(|(cell, less)| slips.mended(cell, less));
            slips.met.insert(cell);
            slips.note(Subject::Cell(cell), Finding::TakenAsFull(less));
        }
    }
}

/// Whether an entry is given to a function that says what is usual.
pub(super) fn has_usual_range(sheet: &Sheet, cell: CellId) -> bool {
    let Some(name) = sheet.name_of(cell) else { return false };
    sheet.tree().items.iter().any(|item| {
        let mut found = false;
        expressions_of(&item.node, &mut |part| {
            if let ExpressionNode::Call(call) = &part.node {
                let mut each = call.arguments.iter().enumerate();
                found |= each.any(|(place, argument)| {
                    let named = matches!(&argument.value.node, ExpressionNode::Name(used) if **used == *name);
                    named && parameter_at(call, place).is_some_and(|(_, parameter)| parameter.usual.is_some())
                });
            }
        });
        found
    })
}
