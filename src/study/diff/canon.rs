//! Expressions in one canonical spelling, with names mapped.
//!
//! Two expressions with the same spelling mean the same: spacing, remarks and
//! parentheses that don't matter are gone, named arguments stand in order, the
//! parameters of a worksheet's own rules go by their place. The spelling can be
//! read back, so that worksheets can be mixed from it. Start reading at [`Canon`].

use crate::number::Number;
use crate::syntax::tree::{BinaryOperator, Call, ComparisonOperator, Expression, ExpressionNode, Rule, UnaryOperator};
use crate::syntax::tree::{RuleParameter, UnitBox};
use crate::unit::{Beginning, Kind, Unit};

/// Gives names to what an expression speaks of.
pub(crate) trait Namer {
    /// The name under which an entry, a table or a rule goes.
    fn name(&self, name: &str) -> String;

    /// The parameters of a rule of the worksheet's own; `None` for a function of the trade.
    fn parameters(&self, rule: &str) -> Option<Vec<String>>;
}

/// Spells expressions.
pub(crate) struct Canon<'a> {
    namer: &'a dyn Namer,
    parameters: &'a [RuleParameter],
}

impl<'a> Canon<'a> {
    /// Spells with these names.
    pub(crate) fn new(namer: &'a dyn Namer) -> Canon<'a> {
        Canon { namer, parameters: &[] }
    }

    /// An expression.
    pub(crate) fn expression(&self, expression: &Expression) -> String {
        match &expression.node {
            ExpressionNode::Number(number) => number.to_plain(),
            ExpressionNode::Quantity { value, unit, signed } => quantity(*value, *unit, *signed),
            ExpressionNode::TimeOfDay(seconds) => timed(Kind::TimeOfDay, *seconds),
            ExpressionNode::CountedTime(seconds) => timed(Kind::Counted(Beginning::Written), *seconds),
            ExpressionNode::Moment(seconds) => timed(Kind::Moment, *seconds),
            ExpressionNode::Text(text) => quoted(text),
            ExpressionNode::Truth(truth) => truth.to_string(),
            ExpressionNode::Name(name) => self.name(name),
            ExpressionNode::Column(names) => format!("{}.{}", self.namer.name(&names.0.text), names.1.text),
            ExpressionNode::RowNumber(row) => format!("row {row}"),
            ExpressionNode::Unary(UnaryOperator::Negate, inner) => format!("-({})", self.expression(inner)),
            ExpressionNode::Unary(UnaryOperator::Not, inner) => format!("not ({})", self.expression(inner)),
            ExpressionNode::Binary(operator, _, sides) => self.binary(*operator, &sides.0, &sides.1),
            ExpressionNode::Comparison(comparison) => {
                let mut told = self.operand(&comparison.first);
                for (operator, _, side) in &comparison.links {
                    told.push_str(&format!(" {} {}", comparing(*operator), self.operand(side)));
                }
                told
            }
            ExpressionNode::Call(call) => self.call(call),
            ExpressionNode::If(parts) => format!(
                "if {} then {} else {}",
                self.operand(&parts.0),
                self.operand(&parts.1),
                self.operand(&parts.2)
            ),
        }
    }

    /// What stands behind the name of a rule.
    pub(crate) fn rule(&self, rule: &Rule) -> Option<String> {
        let inside = Canon {
            namer: self.namer,
            parameters: &rule.parameters,
        };
        let parameters = rule.parameters.iter().enumerate().map(|(place, parameter)| {
            let unit = unit_box(parameter.unit.as_ref());
            let default = parameter.default.as_ref();
            let default = default.map_or(String::new(), |default| format!(" = {}", self.expression(default)));
            format!("p{place}{unit}{default}")
        });
        let parameters: Vec<String> = parameters.collect();
        let body = inside.expression(rule.body.as_ref()?);
        Some(format!(
            "({}){} = {body}",
            parameters.join(", "),
            unit_box(rule.unit.as_ref())
        ))
    }

    fn name(&self, name: &str) -> String {
        let own = self
            .parameters
            .iter()
            .position(|parameter| &*parameter.name.text == name);
        match own {
            Some(place) => format!("p{place}"),
            None => self.namer.name(name),
        }
    }

    /// A part, in parentheses where it is more than one value.
    fn operand(&self, expression: &Expression) -> String {
        let told = self.expression(expression);
        match &expression.node {
            ExpressionNode::Unary(..)
            | ExpressionNode::Binary(..)
            | ExpressionNode::Comparison(_)
            | ExpressionNode::If(_) => format!("({told})"),
            _ => told,
        }
    }

    fn binary(&self, operator: BinaryOperator, left: &Expression, right: &Expression) -> String {
        let (first, second) = (self.operand(left), self.operand(right));
        let is_quantity = matches!(left.node, ExpressionNode::Quantity { .. });
        match operator {
            BinaryOperator::Power if is_quantity => format!("({first})^{second}"),
            BinaryOperator::Power => format!("{first}^{second}"),
            _ => format!("{first} {} {second}", joining(operator)),
        }
    }

    fn call(&self, call: &Call) -> String {
        let own = self.namer.parameters(&call.name.text);
        let name = match &own {
            Some(_) => self.namer.name(&call.name.text),
            None => call.name.text.to_string(),
        };
        let mut placed = Vec::new();
        let mut labelled = Vec::new();
        for argument in &call.arguments {
            let value = self.expression(&argument.value);
            match &argument.label {
                None => placed.push(value),
                Some(label) => labelled.push(format!("{}: {value}", label_of(&label.text, own.as_deref()))),
            }
        }
        labelled.sort();
        placed.extend(labelled);
        format!("{name}({})", placed.join(", "))
    }
}

/// A label of a rule goes by its parameter's place.
fn label_of(label: &str, parameters: Option<&[String]>) -> String {
    let place = parameters.and_then(|parameters| parameters.iter().position(|parameter| parameter == label));
    place.map_or_else(|| label.to_owned(), |place| format!("p{place}"))
}

/// ` [lb]`, or nothing; hours and minutes count as hours.
pub(crate) fn unit_box(unit: Option<&UnitBox>) -> String {
    unit.map_or(String::new(), |unit| format!(" [{}]", unit.unit))
}

fn quantity(value: Number, unit: Unit, signed: bool) -> String {
    let sign = if signed { "-" } else { "" };
    let amount = value.abs().to_plain();
    match unit.to_string() {
        none if none.is_empty() => format!("{sign}{amount}"),
        unit => format!("{sign}{amount} {unit}"),
    }
}

fn joining(operator: BinaryOperator) -> &'static str {
    match operator {
        BinaryOperator::Add => "+",
        BinaryOperator::Subtract => "-",
        BinaryOperator::Multiply => "*",
        BinaryOperator::Divide => "/",
        BinaryOperator::Power => "^",
        BinaryOperator::And => "and",
        BinaryOperator::Or => "or",
        BinaryOperator::Where => "where",
        BinaryOperator::Of => "of",
    }
}

/// A comparing operator as it is typed.
pub(crate) fn comparing(operator: ComparisonOperator) -> &'static str {
    match operator {
        ComparisonOperator::Less => "<",
        ComparisonOperator::AtMost => "<=",
        ComparisonOperator::Equal => "=",
        ComparisonOperator::AtLeast => ">=",
        ComparisonOperator::Greater => ">",
        ComparisonOperator::Unequal => "<>",
    }
}

/// A text as it is typed, in quotes; a bar as its escape, so that a cell can hold it.
pub(crate) fn quoted(text: &str) -> String {
    let mut told = String::with_capacity(text.len() + 2);
    told.push('"');
    for c in text.chars() {
        match c {
            '"' => told.push_str("\\\""),
            '\\' => told.push_str("\\\\"),
            '\n' => told.push_str("\\n"),
            '|' | '“' | '”' | '„' => told.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            c if c.is_control() => told.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            c => told.push(c),
        }
    }
    told.push('"');
    told
}

/// A time as it is typed.
pub(crate) fn timed(kind: Kind, seconds: Number) -> String {
    kind.typed_time(seconds).unwrap_or_else(|| seconds.to_plain())
}
