//! The straight line that a worksheet fits through two columns, for whoever draws them.
//!
//! Looked for among entries alone, not in checks, so that a chart tells nothing that only
//! the judging of an exercise works out. Start reading at [`straight`].

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::order::each_part;
use crate::syntax::parse_typed;
use crate::syntax::tree::{Call, Expression, ExpressionNode, Node, Typed, Value};
use crate::trade::registry::{function, name_of, name_of_fit};
use crate::trade::{Body, Built, Fit};
use crate::unit::Kind;

use super::bounds::{in_kind, same};

/// A fitted line by two of its places.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Straight {
    /// Whether the worksheet asks where it begins, at zero.
    pub about_zero: bool,
    /// Along and up, each in the unit of its column.
    pub ends: [(Number, Number); 2],
}

/// The line through two columns of those kinds, from the first row to the last or, where wanted or
/// asked for, from zero.
pub(crate) fn straight(
    sheet: &Sheet,
    (across, up): (&Expression, &Expression),
    kinds: (Kind, Kind),
    zero: bool,
) -> Option<Straight> {
    let calls = calls(sheet, across, up);
    calls.first()?;
    let about_zero = calls.contains(&Fit::Intercept);
    let (x, y) = (name(across)?, name(up)?);
    let quantity = matches!(kinds.0, Kind::Quantity(_));
    let of = |built| format!("{}({x})", name_of(built));
    let [low, high] = match (quantity, quantity && (zero || about_zero)) {
        (false, _) => [of(Built::First), of(Built::Last)],
        (true, false) => [of(Built::Min), of(Built::Max)],
        (true, true) => [format!("0 * {}", of(Built::Max)), of(Built::Max)],
    };
    let on_it = name_of_fit(Fit::LineAt);
    let end = |at: &str| {
        let along = worked(sheet, at, kinds.0)?;
        Some((along, worked(sheet, &format!("{on_it}({x}, {y}, {at})"), kinds.1)?))
    };
    Some(Straight {
        about_zero,
        ends: [end(&low)?, end(&high)?],
    })
}

/// What entries ask of a line through these columns, nothing else hanging on the scale.
fn calls(sheet: &Sheet, across: &Expression, up: &Expression) -> Vec<Fit> {
    let mut found = Vec::new();
    for item in &sheet.tree().items {
        let Node::Entry(entry) = &item.node else { continue };
        if let Some(Value::Given { expression, .. }) = &entry.value {
            each_part(expression, &mut |part| found.extend(fit_of(part, across, up)));
        }
    }
    found
}

fn fit_of(part: &Expression, across: &Expression, up: &Expression) -> Option<Fit> {
    let ExpressionNode::Call(call) = &part.node else {
        return None;
    };
    let Call { name, arguments, .. } = &**call;
    let Body::Fit(fit) = function(&name.text)?.body else {
        return None;
    };
    let alone = !matches!(fit, Fit::RateAtLoad | Fit::Average | Fit::Attached) && arguments.len() < fit.attached() + 1;
    let [one, other, ..] = arguments.as_slice() else {
        return None;
    };
    (alone && same(&one.value, across) && same(&other.value, up)).then_some(fit)
}

fn name(column: &Expression) -> Option<String> {
    match &column.node {
        ExpressionNode::Name(name) => Some(name.to_string()),
        ExpressionNode::Column(names) => Some(format!("{}.{}", names.0.text, names.1.text)),
        _ => None,
    }
}

/// A single value worked out beside the worksheet, in a kind.
fn worked(sheet: &Sheet, text: &str, wanted: Kind) -> Option<Number> {
    let Ok(Typed::Expression { expression, unit: None }) = parse_typed(text) else {
        return None;
    };
    let found = sheet.clone().evaluate(text, &expression, None).ok()?;
    in_kind(found.shape.kind, found.number()?, wanted)
}
