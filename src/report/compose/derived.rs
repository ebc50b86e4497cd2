//! Derivations as a page shows them: the formula, the same with values, what comes of it.
//!
//! To who learns a sum it is told as it is done by hand: a rule of the trade that is plain
//! arithmetic stands in the place of its call, and what can only be looked up is a value.
//! Start reading at [`derivations`].

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::sheet::names::CellId;
use crate::sheet::order::each_part;
use crate::sheet::{Reading, Sheet};
use crate::study::why::{self as study, Called, Converted, Thing};
use crate::syntax::tree::{BinaryOperator, Call, Expression, ExpressionNode, Typed};
use crate::text::{Span, without_parentheses};
use crate::trade::registry::{name_of, name_of_fit};
use crate::trade::{Built, Chapter, Fit, Function};

use super::super::handout::math::Math;
use super::super::handout::{Derivation, Rule};
use super::super::model::{Entry, Scalar, Value};
use super::super::why::RuleUsed;
use super::why::{Builder, names_all, own_rule, put_values, typed_back};
use super::{Options, math};

/// Rules within rules are opened this deep.
const DEEPEST: usize = 8;

/// How derivations are told.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Told {
    /// In the worksheet's own words.
    AsWritten,
    /// As it is done on paper.
    ByHand,
}

/// How each entry and each made table is worked out.
pub(super) fn derivations(
    sheet: &Sheet,
    entries: &[CellId],
    tables: &[Option<CellId>],
    told: Told,
    options: Options,
) -> BTreeMap<CellId, Derivation> {
    let places: Vec<(Thing, CellId)> = tables
        .iter()
        .flatten()
        .filter_map(|cell| Some((Thing::Table(study::table_of(sheet, *cell)?), *cell)))
        .collect();
    let things = entries.iter().map(|cell| (Thing::Entry(*cell), *cell));
    let cells: Vec<(Thing, CellId)> = things.chain(places).collect();
    let things: Vec<Thing> = cells.iter().map(|(thing, _)| *thing).collect();
    let steps = study::steps(sheet, &things);
    let mut builder = Builder::new(sheet, options);
    builder.prepare(&steps);
    let mut derived = BTreeMap::new();
    for (step, (_, cell)) in steps.iter().zip(&cells) {
        if let Some(derivation) = builder.derivation(step, *cell, told) {
            derived.insert(*cell, derivation);
        }
    }
    derived
}

impl Builder<'_> {
    /// The derivation of a step that has a formula; by hand nothing is looked up whole.
    fn derivation(&mut self, step: &study::Step, cell: CellId, told: Told) -> Option<Derivation> {
        if step.pieces.is_empty() {
            return None;
        }
        let item = self.sheet.item_of(cell);
        let (written, _) = study::formula_of(self.sheet, item)?;
        let text = self.sheet.tree().text_of(item as usize);
        let (text, expression, known) = match told {
            Told::AsWritten => (Cow::Borrowed(text), written, Vec::new()),
            Told::ByHand => {
                let (text, expression) = opened(self.sheet, item, Cow::Borrowed(text), written);
                if is_looked_up(&expression, &text) {
                    return None;
                }
                let known = self.looked_up(&expression, &text, item);
                (text, expression, known)
            }
        };
        let formula = math::formula(&expression, &text, &|_| None);
        let values = math::formula(&expression, &text, &|part| match &part.node {
            ExpressionNode::Name(name) => value_of(self.sheet.cell(name).and_then(|cell| self.shown.get(&cell))),
            _ => known
                .iter()
                .find(|(span, _)| *span == part.span)
                .map(|(_, value)| value.clone()),
        });
        let rules: Vec<RuleUsed> = step.calls.iter().filter_map(|call| self.rule(call, item)).collect();
        let own = step.rules.iter().map(|item| own_rule(self.sheet, *item));
        let conversions = step.conversions.iter().filter(|one| !is_of_shares(one));
        Some(Derivation {
            values: (values != formula).then_some(values),
            result: self.result(cell),
            conversions: conversions.map(|one| self.conversion(one)).collect(),
            rules: rules.into_iter().chain(own).map(rule).collect(),
            formula,
        })
    }

    /// What stands within a formula and can't be worked out on paper, with its values.
    fn looked_up(&mut self, expression: &Expression, text: &str, item: u32) -> Vec<(Span, Math)> {
        let mut spans = Vec::new();
        each_part(expression, &mut |part| {
            if part.span != expression.span && is_looked_up(part, text) {
                spans.push(part.span);
            }
        });
        let value = |span: Span| {
            let value = self.worked_out(span.of(text), item)?;
            Some((span, Math::of_value(without_parentheses(&value))))
        };
        spans.into_iter().filter_map(value).collect()
    }

    /// A formula with its numbers put in: of names those that are known, of what is looked up within it
    /// the value, and of a call alone the function's own formula.
    pub(super) fn with_numbers(
        &mut self,
        expression: &Expression,
        text: &str,
        item: u32,
        known: &dyn Fn(&Expression) -> Option<Math>,
    ) -> Math {
        let step = match &expression.node {
            ExpressionNode::Call(call) if is_looked_up(expression, text) => {
                study::called(call, text).and_then(|called| self.step_of(&called, item))
            }
            _ => None,
        };
        if let Some(step) = step {
            return Math::Text(step);
        }
        let within = self.looked_up(expression, text, item);
        math::formula(expression, text, &|part| {
            let value = within.iter().find(|(span, _)| *span == part.span);
            value.map_or_else(|| known(part), |(_, value)| Some(value.clone()))
        })
    }

    /// The formula of a function with the numbers of a call; of a line through readings with the means
    /// of its columns, its slope and its intercept.
    fn step_of(&mut self, call: &Called, item: u32) -> Option<String> {
        if let Some(step) = self.with_values(call, item) {
            return Some(step);
        }
        let (formula, _) = call
            .function
            .formula
            .split_once(", with")
            .unwrap_or((call.function.formula, ""));
        let formula = formula.replace("x̄", "mean_x").replace("ȳ", "mean_y");
        let parameters = call.function.parameters.iter().zip(&call.arguments);
        let given: Vec<(&str, &str)> = parameters
            .filter_map(|(parameter, given)| Some((parameter.name, given.as_deref()?)))
            .collect();
        let [("x", x), ("y", y), rest @ ..] = given.as_slice() else {
            return None;
        };
        let (mean, slope, intercept) = (
            name_of(Built::Mean),
            name_of_fit(Fit::Slope),
            name_of_fit(Fit::Intercept),
        );
        let of_columns = [
            ("mean_x", format!("{mean}({x})")),
            ("mean_y", format!("{mean}({y})")),
            (slope, format!("{slope}({x}, {y})")),
            (intercept, format!("{intercept}({x}, {y})")),
        ];
        let rest = rest.iter().map(|(name, given)| (*name, (*given).to_owned()));
        let values: Vec<(&str, Option<String>)> = of_columns
            .into_iter()
            .chain(rest)
            .map(|(name, text)| (name, self.worked_out(&text, item)))
            .collect();
        put_values(&formula, &values)
    }

    fn result(&self, cell: CellId) -> Option<Math> {
        let entry = self.shown.get(&cell)?;
        match self.sheet.reading(cell) {
            Reading::Number(_) => Some(Math::of_result(&entry.shown)),
            Reading::Column(_) | Reading::Within(_) => Some(Math::Text(entry.shown.display())),
            Reading::None(_) => None,
        }
    }
}

/// Whether a conversion is only that of shares, as of `%` times `%`.
fn is_of_shares(converted: &Converted) -> bool {
    matches!(converted, Converted::Unit { from, .. } if !from.contains(char::is_alphabetic))
}

/// The value of an entry that has a single one.
pub(super) fn value_of(entry: Option<&Entry>) -> Option<Math> {
    let entry = entry.filter(|entry| matches!(entry.value, Value::One(Scalar::Text(_) | Scalar::Truth(_))))?;
    let typed = typed_back(&entry.shown, &entry.value_type);
    Some(Math::of_value(without_parentheses(&typed)))
}

fn rule(used: RuleUsed) -> Rule {
    Rule {
        name: used.name,
        formula: used.formula,
        with_values: used.with_values,
        sources: used.sources,
        is_first: true,
    }
}

// ---- by hand ----

/// A formula, and the text it stands in, with each rule that is plain arithmetic in the place of
/// its call: `gross − tare` for `net_contents(gross, tare)`.
fn opened<'a>(
    sheet: &Sheet,
    item: u32,
    mut text: Cow<'a, str>,
    mut expression: Expression,
) -> (Cow<'a, str>, Expression) {
    for _ in 0..DEEPEST {
        let mut found = None;
        each_part(&expression, &mut |part| {
            if let (None, ExpressionNode::Call(call)) = (&found, &part.node) {
                found = study::called(call, &text).and_then(|called| Some((part.span, by_rule(sheet, item, &called)?)));
            }
        });
        let Some((span, rule)) = found else { break };
        let Span { start, end } = expression.span;
        let before = Span { start, end: span.start };
        let after = Span { start: span.end, end };
        let whole = format!("{}({rule}){}", before.of(&text), after.of(&text));
        let Some(read) = read(sheet, item, &whole) else { break };
        (text, expression) = (Cow::Owned(whole), read);
    }
    (text, expression)
}

/// The rule of a call with its arguments, where it is plain arithmetic; what nobody gave and
/// counts as nothing is left out.
fn by_rule(sheet: &Sheet, item: u32, called: &Called) -> Option<String> {
    if !is_arithmetic(sheet, item, called.function) || !names_all(called) {
        return None;
    }
    let mut formula = called.function.formula.to_owned();
    let mut values = Vec::new();
    for (parameter, given) in called.function.parameters.iter().zip(&called.arguments) {
        match (given, parameter.default) {
            (None, Some(nothing)) if nothing.starts_with("0 ") => {
                formula = formula.replace(&format!(" − {}", parameter.name), "");
            }
            (given, default) => {
                let value = given.as_deref().or(default)?;
                values.push((parameter.name, Some(format!("({value})"))));
            }
        }
    }
    put_values(&formula, &values)
}

/// Whether the formula of a function can be read, and has nothing but its parameters.
fn is_arithmetic(sheet: &Sheet, item: u32, function: &Function) -> bool {
    let Some(formula) = read(sheet, item, function.formula) else {
        return false;
    };
    let mut own = true;
    each_part(&formula, &mut |part| match &part.node {
        ExpressionNode::Name(name) => own &= function.parameters.iter().any(|parameter| parameter.name == &**name),
        ExpressionNode::Binary(..) | ExpressionNode::Call(_) | ExpressionNode::Number(_) => {}
        _ => own = false,
    });
    own
}

fn read(sheet: &Sheet, item: u32, text: &str) -> Option<Expression> {
    match sheet.tree().read_piece(item, text) {
        Ok(Typed::Expression { expression, .. }) => Some(expression),
        _ => None,
    }
}

/// Whether a piece is looked up rather than worked out: a cell, or what a function of the trade, or of
/// a column, gives.
fn is_looked_up(part: &Expression, text: &str) -> bool {
    match &part.node {
        ExpressionNode::Binary(BinaryOperator::Of, ..) => true,
        ExpressionNode::Call(call) => {
            let general = study::called(call, text).is_none_or(|called| called.function.chapter == Chapter::General);
            !general || takes_column(call)
        }
        _ => false,
    }
}

fn takes_column(call: &Call) -> bool {
    let mut found = false;
    for argument in &call.arguments {
        each_part(&argument.value, &mut |part| {
            found |= matches!(part.node, ExpressionNode::Column(_))
        });
    }
    found
}
