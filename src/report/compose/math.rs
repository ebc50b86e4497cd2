//! From a written expression to a formula as it is laid out on paper.
//!
//! Parentheses stand where the layout needs them: a fraction needs none inside,
//! and what binds weaker than its place gets them. What stands in the place of a
//! piece, such as a value for a name, is the caller's. Start reading at [`formula`].

use crate::syntax::tree::{
    BinaryOperator, Call, Comparison, ComparisonOperator, Expression, ExpressionNode, UnaryOperator,
};
use crate::text::{in_one_line, without_parentheses};

use super::super::handout::math::{Argument, Math};

/// How tightly something binds, the loosest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Strength {
    Any,
    Where,
    Or,
    And,
    Not,
    Comparison,
    Sum,
    Product,
    Negation,
    Power,
    Atom,
}

/// The formula of an expression that stands in `text`, with what is put in the place of a piece.
pub(super) fn formula(expression: &Expression, text: &str, put: &dyn Fn(&Expression) -> Option<Math>) -> Math {
    Layout { text, put }.part(expression, Strength::Any)
}

struct Layout<'a> {
    text: &'a str,
    put: &'a dyn Fn(&Expression) -> Option<Math>,
}

impl Layout<'_> {
    /// A piece where at least that strength is needed.
    fn part(&self, expression: &Expression, needed: Strength) -> Math {
        let math = self.bare(expression);
        match needed > strength(expression, &math) {
            true => Math::Parentheses(Box::new(math)),
            false => math,
        }
    }

    fn bare(&self, expression: &Expression) -> Math {
        if let Some(put) = (self.put)(expression) {
            return put;
        }
        match &expression.node {
            ExpressionNode::Name(name) => Math::Name(name.to_string()),
            ExpressionNode::Column(names) => Math::Name(format!("{}.{}", names.0.text, names.1.text)),
            ExpressionNode::RowNumber(row) => Math::Row(vec![Math::Word("row"), Math::Number(row.to_string())]),
            ExpressionNode::Text(text) => Math::Text(format!("\"{text}\"")),
            ExpressionNode::Truth(truth) => Math::Word(if *truth { "true" } else { "false" }),
            ExpressionNode::Unary(operator, inner) => self.unary(*operator, inner),
            ExpressionNode::Binary(operator, _, sides) => self.binary(*operator, &sides.0, &sides.1),
            ExpressionNode::Comparison(comparison) => self.comparison(comparison),
            ExpressionNode::Call(call) => self.call(call),
            ExpressionNode::If(_) => self.choice(expression),
            ExpressionNode::Number(_)
            | ExpressionNode::Quantity { .. }
            | ExpressionNode::TimeOfDay(_)
            | ExpressionNode::CountedTime(_)
            | ExpressionNode::Moment(_) => self.literal(expression),
        }
    }

    /// A number or a quantity as it is written, without parentheses of its own.
    fn literal(&self, expression: &Expression) -> Math {
        let written = in_one_line(expression.span.of(self.text));
        Math::of_value(without_parentheses(&written))
    }

    fn unary(&self, operator: UnaryOperator, inner: &Expression) -> Math {
        match operator {
            UnaryOperator::Negate => Math::Row(vec![Math::Operator("−"), self.part(inner, Strength::Negation)]),
            UnaryOperator::Not => Math::Row(vec![Math::Word("not"), self.part(inner, Strength::Not)]),
        }
    }

    fn binary(&self, operator: BinaryOperator, left: &Expression, right: &Expression) -> Math {
        let chain = |sign: Math, own: Strength, right_side: Strength| {
            let mut row = flat(self.part(left, own));
            row.push(sign);
            row.push(match self.part(right, right_side) {
                right if begins_with_minus(&right) => Math::Parentheses(Box::new(right)),
                right => right,
            });
            Math::Row(row)
        };
        match operator {
            BinaryOperator::Add => chain(Math::Operator("+"), Strength::Sum, Strength::Product),
            BinaryOperator::Subtract => chain(Math::Operator("−"), Strength::Sum, Strength::Product),
            BinaryOperator::Multiply => chain(Math::Operator("×"), Strength::Product, Strength::Negation),
            BinaryOperator::And => chain(Math::Word("and"), Strength::And, Strength::Not),
            BinaryOperator::Or => chain(Math::Word("or"), Strength::Or, Strength::And),
            BinaryOperator::Where => chain(Math::Word("where"), Strength::Or, Strength::Or),
            BinaryOperator::Of => chain(Math::Word("of"), Strength::Atom, Strength::Atom),
            BinaryOperator::Divide => self.fraction(left, right),
            BinaryOperator::Power => {
                let base = match self.part(left, Strength::Atom) {
                    quantity @ (Math::Quantity(..) | Math::Text(_)) => Math::Parentheses(Box::new(quantity)),
                    base => base,
                };
                Math::Power(Box::new((base, self.part(right, Strength::Any))))
            }
        }
    }

    /// `a / b / c` is a over b times c.
    fn fraction(&self, left: &Expression, right: &Expression) -> Math {
        let (over, under) = match (&left.node, self.is_enclosed(left)) {
            (ExpressionNode::Binary(BinaryOperator::Divide, _, sides), false) => {
                let mut row = flat(self.part(&sides.1, Strength::Product));
                row.push(Math::Operator("×"));
                row.push(self.part(right, Strength::Negation));
                (self.bare(&sides.0), Math::Row(row))
            }
            _ => (self.bare(left), self.bare(right)),
        };
        Math::Fraction(Box::new((over, under)))
    }

    fn is_enclosed(&self, expression: &Expression) -> bool {
        expression.span.of(self.text).starts_with('(') && expression.span.of(self.text).ends_with(')')
    }

    fn comparison(&self, comparison: &Comparison) -> Math {
        let mut row = flat(self.part(&comparison.first, Strength::Sum));
        for (operator, _, side) in &comparison.links {
            row.push(Math::Operator(match operator {
                ComparisonOperator::Less => "<",
                ComparisonOperator::AtMost => "≤",
                ComparisonOperator::Equal => "=",
                ComparisonOperator::AtLeast => "≥",
                ComparisonOperator::Greater => ">",
                ComparisonOperator::Unequal => "≠",
            }));
            row.push(self.part(side, Strength::Sum));
        }
        Math::Row(row)
    }

    fn call(&self, call: &Call) -> Math {
        let one = match call.arguments.as_slice() {
            [one] => Some(&one.value),
            _ => None,
        };
        match (&*call.name.text, one) {
            ("sqrt", Some(inner)) => return Math::Root(Box::new(self.bare(inner))),
            ("abs", Some(inner)) => return Math::Size(Box::new(self.bare(inner))),
            _ => {}
        }
        let arguments = call.arguments.iter().map(|argument| Argument {
            label: argument.label.as_ref().map(|label| label.text.to_string()),
            value: self.bare(&argument.value),
        });
        Math::Call(call.name.text.to_string(), arguments.collect())
    }

    /// `if a then b else if c then d else e`, row by row.
    fn choice(&self, expression: &Expression) -> Math {
        let mut rows = Vec::new();
        let mut rest = expression;
        while let ExpressionNode::If(parts) = &rest.node {
            rows.push((self.bare(&parts.1), Some(self.bare(&parts.0))));
            rest = &parts.2;
        }
        rows.push((self.bare(rest), None));
        Math::Choice(rows)
    }
}

/// A row opened, so that a chain stays one row.
fn flat(math: Math) -> Vec<Math> {
    match math {
        Math::Row(parts) => parts,
        other => vec![other],
    }
}

/// Whether a sign would stand right behind another: `24 − −4`.
fn begins_with_minus(math: &Math) -> bool {
    match math {
        Math::Number(number) | Math::Quantity(number, _) => number.starts_with('−'),
        Math::Text(text) => text.starts_with('-'),
        Math::Operator(sign) => *sign == "−",
        Math::Row(row) => row.first().is_some_and(begins_with_minus),
        _ => false,
    }
}

/// How tightly an expression binds as it is laid out; a negative value binds like a sign.
fn strength(expression: &Expression, math: &Math) -> Strength {
    match math {
        Math::Number(number) | Math::Quantity(number, _) if number.starts_with('−') => return Strength::Negation,
        Math::Text(text) if text.starts_with('-') => return Strength::Negation,
        _ => {}
    }
    match &expression.node {
        ExpressionNode::Unary(UnaryOperator::Negate, _) => Strength::Negation,
        ExpressionNode::Unary(UnaryOperator::Not, _) => Strength::Not,
        ExpressionNode::Comparison(_) => Strength::Comparison,
        ExpressionNode::If(_) => Strength::Any,
        ExpressionNode::Binary(operator, ..) => match operator {
            BinaryOperator::Add | BinaryOperator::Subtract => Strength::Sum,
            BinaryOperator::Multiply | BinaryOperator::Divide => Strength::Product,
            BinaryOperator::Power => Strength::Power,
            BinaryOperator::And => Strength::And,
            BinaryOperator::Or => Strength::Or,
            BinaryOperator::Where => Strength::Where,
            BinaryOperator::Of => Strength::Atom,
        },
        _ => Strength::Atom,
    }
}
