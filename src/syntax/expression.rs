//! Expressions: from a flat row of values and operators to a tree.
//!
//! The grammar gives values and operators as they stand; which of them binds
//! tighter is settled here, by precedence climbing. A sign right before a
//! quantity becomes part of it. Start reading at [`Reader::expression`].

use std::iter::Peekable;

use crate::problem::Code;
use crate::text::Span;
use crate::unit::{Unit, conversion};

use super::grammar::{Rule, Token, Tokens};
use super::literal::{self, Fault};
use super::quantity::Measured;
use super::reader::Reader;
use super::tree::{
    Argument, BinaryOperator, Call, Comparison, ComparisonOperator, Expression, ExpressionNode, Name, UnaryOperator,
};
use super::words::is_reserved;

/// An entry may have this many operators, so that no tree is too deep to walk.
const MOST_OPERATORS: usize = 500;

/// How tightly an operator binds, from `where` to `^`.
type Strength = u8;

const WHERE: Strength = 1;
const OR: Strength = 2;
const AND: Strength = 3;
const COMPARISON: Strength = 4;
const SUM: Strength = 5;
const PRODUCT: Strength = 6;
const SIGN: Strength = 7;
const POWER: Strength = 8;
const OF: Strength = 9;

/// An operator between two values.
#[derive(Clone, Copy)]
enum Infix {
    Binary(BinaryOperator, Strength),
    Compare(ComparisonOperator),
}

impl Infix {
    fn strength(self) -> Strength {
        match self {
            Infix::Binary(_, strength) => strength,
            Infix::Compare(_) => COMPARISON,
        }
    }
}

fn infix(written: &str) -> Infix {
    use ComparisonOperator as C;
    match written {
        "+" => Infix::Binary(BinaryOperator::Add, SUM),
        "*" | "×" | "·" => Infix::Binary(BinaryOperator::Multiply, PRODUCT),
        "/" | "÷" => Infix::Binary(BinaryOperator::Divide, PRODUCT),
        "^" => Infix::Binary(BinaryOperator::Power, POWER),
        "and" => Infix::Binary(BinaryOperator::And, AND),
        "or" => Infix::Binary(BinaryOperator::Or, OR),
        "where" => Infix::Binary(BinaryOperator::Where, WHERE),
        "of" => Infix::Binary(BinaryOperator::Of, OF),
        "<" => Infix::Compare(C::Less),
        "<=" | "≤" => Infix::Compare(C::AtMost),
        "=" => Infix::Compare(C::Equal),
        ">=" | "≥" => Infix::Compare(C::AtLeast),
        ">" => Infix::Compare(C::Greater),
        "<>" | "≠" => Infix::Compare(C::Unequal),
        _ => Infix::Binary(BinaryOperator::Subtract, SUM),
    }
}

/// The values and operators of one expression.
type Row<'t> = Peekable<Tokens<'t>>;

fn peeked(row: &mut Row<'_>) -> Option<Infix> {
    let token = row.peek()?;
    (token.as_rule() == Rule::infix).then(|| infix(token.as_str()))
}

fn expression(node: ExpressionNode, span: Span) -> Expression {
    Expression { node, span }
}

/// Names parted by points, as one.
fn joined(before: Vec<Name>, last: Name) -> Name {
    before.into_iter().rev().fold(last, |behind, name| Name {
        text: format!("{}.{}", name.text, behind.text).into(),
        span: name.span.to(behind.span),
        through: 0,
    })
}

impl Reader<'_> {
    /// The tree of an `expression` token; `None` after a problem was noted.
    pub(super) fn expression(&mut self, token: Token<'_>) -> Option<Expression> {
        let mut row = token.into_inner().peekable();
        if row.peek().map(Token::as_rule) == Some(Rule::conditional) {
            return row.next().and_then(|token| self.conditional(token));
        }
        self.climb(&mut row, WHERE)
    }

    /// `if a then b else c`
    fn conditional(&mut self, token: Token<'_>) -> Option<Expression> {
        let span = self.span(&token);
        let mut parts = token.into_inner().filter(|part| part.as_rule() == Rule::expression);
        let condition = self.expression(parts.next()?)?;
        let then = self.expression(parts.next()?)?;
        let otherwise = self.expression(parts.next()?)?;
        // the token goes on over the space behind it
        let span = Span {
            end: otherwise.span.end,
            ..span
        };
        let node = ExpressionNode::If(Box::new((condition, then, otherwise)));
        Some(expression(node, span))
    }

    /// Reads on while operators bind at least as tightly as `least`.
    fn climb(&mut self, row: &mut Row<'_>, least: Strength) -> Option<Expression> {
        let mut left = self.prefixed(row)?;
        while let Some(operator) = peeked(row).filter(|next| next.strength() >= least) {
            self.operators += 1;
            let mark = row.next()?;
            let place = self.span(&mark);
            if self.operators > MOST_OPERATORS {
                return self.too_many_operators(place);
            }
            left = match operator {
                Infix::Compare(first) => self.comparison(row, left, first, place)?,
                Infix::Binary(BinaryOperator::Power, _) => self.power(row, left, place)?,
                Infix::Binary(operator, strength) => {
                    let right = self.climb(row, strength + 1)?;
                    self.binary(operator, place, left, right)?
                }
            };
        }
        Some(left)
    }

    fn too_many_operators<T>(&mut self, place: Span) -> Option<T> {
        let message = format!("this entry has more than {MOST_OPERATORS} operators");
        let problem = self
            .problem(Code::TooLong, message, place)
            .help("split it into entries of their own, or sum a table's column");
        self.note(problem);
        None
    }

    fn binary(
        &mut self,
        operator: BinaryOperator,
        place: Span,
        left: Expression,
        right: Expression,
    ) -> Option<Expression> {
        if operator == BinaryOperator::Divide && place.end == right.span.start {
            self.division_apart(place, &left, &right)?;
        }
        let span = left.span.to(right.span);
        let node = ExpressionNode::Binary(operator, place, Box::new((left, right)));
        Some(expression(node, span))
    }

    /// Whether an expression is a quantity literal with no parenthesis around it.
    fn is_bare_quantity(&self, value: &Expression) -> bool {
        matches!(value.node, ExpressionNode::Quantity { .. }) && !value.span.of(self.text).starts_with('(')
    }

    /// `1/2 h` and `a/2 h` are read in two ways.
    fn division_apart(&mut self, place: Span, left: &Expression, right: &Expression) -> Option<()> {
        let written = right.span.of(self.text);
        let starts_with_number = written.starts_with(|c: char| c.is_ascii_digit());
        if !self.is_bare_quantity(right) || !starts_with_number {
            return Some(());
        }
        let over = left.span.of(self.text);
        let apart = format!("{over} / ({written})");
        let share = decimal_share(left, written).filter(|_| matches!(left.node, ExpressionNode::Number(_)));
        let quotient = quotient_in_unit(left, written);
        let help = match (&share, &quotient) {
            (Some(share), _) => format!("write `{share}`, or `{apart}`"),
            (None, Some(quotient)) => format!("write `{quotient}`, or `{apart}` to divide by all of it"),
            (None, None) => format!("write `{apart}` to divide by all of it"),
        };
        let both = left.span.to(right.span);
        let problem = self
            .problem(
                Code::TwoReadings,
                "a `/` that touches a quantity can be read in two ways",
                place.to(right.span),
            )
            .help(help);
        let mended = share.or(quotient).into_iter().chain([apart]);
        let problem = mended.fold(problem, |problem, text| problem.mend(both, text));
        self.note(problem);
        None
    }

    /// What is wrong with a clock time; where hours are asked for, how they are written.
    fn clock_fault<T>(&mut self, mut fault: Fault, written: &str, span: Span) -> Option<T> {
        let asked = self.asked_unit();
        let asks_for_time =
            asked.is_some_and(|asked| Unit::parse("h").is_ok_and(|hours| conversion(asked, hours).is_some()));
        if let Some(duration) = literal::duration(written).filter(|_| asks_for_time) {
            fault.help = Some(format!("a length of time is written `{duration}`"));
        }
        self.fault(fault, span)
    }

    /// `base ^ exponent`
    fn power(&mut self, row: &mut Row<'_>, base: Expression, place: Span) -> Option<Expression> {
        let exponent = self.exponent(row)?;
        if let Some(Infix::Binary(BinaryOperator::Power, _)) = peeked(row) {
            let again = row.next().map_or(place, |token| self.span(&token));
            return self.power_chain(&base, &exponent, again);
        }
        if self.is_bare_quantity(&base) {
            return self.power_of_quantity(&base, &exponent);
        }
        let span = base.span.to(exponent.span);
        let node = ExpressionNode::Binary(BinaryOperator::Power, place, Box::new((base, exponent)));
        Some(expression(node, span))
    }

    /// `a^b^c`
    fn power_chain<T>(&mut self, base: &Expression, exponent: &Expression, again: Span) -> Option<T> {
        let (a, b) = (base.span.of(self.text), exponent.span.of(self.text));
        let problem = self
            .problem(Code::PowerChain, "a power of a power can be read in two ways", again)
            .help(format!("write parentheses: `({a}^{b})^…` or `{a}^({b}^…)`"));
        self.note(problem);
        None
    }

    /// `12 ft^2`
    fn power_of_quantity<T>(&mut self, base: &Expression, exponent: &Expression) -> Option<T> {
        let written = base.span.of(self.text);
        let power = exponent.span.of(self.text);
        let as_unit = power.len() == 1 && power.bytes().all(|b| b.is_ascii_digit());
        let (unit, whole) = (format!("{written}{power}"), format!("({written})^{power}"));
        let unit = Some(unit).filter(|_| as_unit && !written.ends_with('%'));
        let help = match &unit {
            Some(unit) => format!("write `{unit}`, or `{whole}`"),
            None => format!("write `{whole}`"),
        };
        let both = base.span.to(exponent.span);
        let problem = self
            .problem(
                Code::TwoReadings,
                "is the unit raised to a power, or the whole quantity?",
                both,
            )
            .help(help);
        let mended = unit.into_iter().chain([whole]);
        let problem = mended.fold(problem, |problem, text| problem.mend(both, text));
        self.note(problem);
        None
    }

    /// The exponent of a power: signs and one value.
    fn exponent(&mut self, row: &mut Row<'_>) -> Option<Expression> {
        let token = row.next()?;
        match token.as_rule() {
            Rule::minus => {
                let sign = self.span(&token);
                let inner = self.exponent(row)?;
                Some(negated(sign, inner, self.text))
            }
            Rule::negation => self.misplaced_not(&token),
            _ => self.cell_or_value(token, row),
        }
    }

    /// A value, or one cell of it: `run.gross of 12:10`, `loads.hours of row 3`.
    fn cell_or_value(&mut self, token: Token<'_>, row: &mut Row<'_>) -> Option<Expression> {
        let column = self.value_of(token)?;
        let Some(Infix::Binary(BinaryOperator::Of, _)) = peeked(row) else {
            return match column.node {
                ExpressionNode::RowNumber(_) => self.stray_row_number(column.span),
                _ => Some(column),
            };
        };
        let place = row.next().map_or(column.span, |mark| self.span(&mark));
        let key = row.next()?;
        let key = match key.as_rule() {
            Rule::minus | Rule::negation => return self.signed_key(&key),
            _ => self.value_of(key)?,
        };
        let span = column.span.to(key.span);
        let node = ExpressionNode::Binary(BinaryOperator::Of, place, Box::new((column, key)));
        match peeked(row) {
            Some(Infix::Binary(BinaryOperator::Of, _)) => self.cell_of_cell(row, span),
            _ => Some(expression(node, span)),
        }
    }

    /// `row 3` with no `of` before it.
    fn stray_row_number<T>(&mut self, span: Span) -> Option<T> {
        let row = span.of(self.text);
        let problem = self
            .problem(
                Code::Unreadable,
                format!("`{row}` stands behind a column and `of`"),
                span,
            )
            .help(format!("write the column too, such as `log.gross of {row}`"));
        self.note(problem);
        None
    }

    fn signed_key<T>(&mut self, sign: &Token<'_>) -> Option<T> {
        let span = self.span(sign);
        let problem = self
            .problem(
                Code::Unreadable,
                "behind `of` stands what names the row, and it has no sign",
                span,
            )
            .help("put what is worked out into parentheses, such as `of (-5 °F)`");
        self.note(problem);
        None
    }

    /// `a of b of c`
    fn cell_of_cell<T>(&mut self, row: &mut Row<'_>, before: Span) -> Option<T> {
        let again = row.next().map_or(before, |token| self.span(&token));
        let problem = self
            .problem(Code::TwoReadings, "`of` behind `of` can be read in two ways", again)
            .help("put what names the row into parentheses");
        self.note(problem);
        None
    }

    fn misplaced_not<T>(&mut self, token: &Token<'_>) -> Option<T> {
        let span = self.span(token);
        let problem = self.problem(Code::Unreadable, "an exponent is a number, not a condition", span);
        self.note(problem);
        None
    }

    /// `a <= b < c`
    fn comparison(
        &mut self,
        row: &mut Row<'_>,
        first: Expression,
        operator: ComparisonOperator,
        place: Span,
    ) -> Option<Expression> {
        let right = self.climb(row, COMPARISON + 1)?;
        let mut span = first.span.to(right.span);
        let mut links = vec![(operator, place, right)];
        while let Some(Infix::Compare(next)) = peeked(row) {
            let again = row.next().map_or(place, |token| self.span(&token));
            self.operators += 1;
            if self.operators > MOST_OPERATORS {
                return self.too_many_operators(again);
            }
            if !links.iter().all(|(seen, ..)| chains(*seen, next)) {
                return self.comparison_chain(place, again);
            }
            let right = self.climb(row, COMPARISON + 1)?;
            span = span.to(right.span);
            links.push((next, again, right));
        }
        let node = ExpressionNode::Comparison(Box::new(Comparison { first, links }));
        Some(expression(node, span))
    }

    fn comparison_chain<T>(&mut self, first: Span, again: Span) -> Option<T> {
        let problem = self
            .problem(
                Code::ComparisonChain,
                "comparisons chain one way only, such as `10 % <= margin <= 200 %`",
                again,
            )
            .also(self.place(first), "the chain begins with this one")
            .help("split it in two with `and`");
        self.note(problem);
        None
    }

    /// A value with the signs and `not` before it.
    fn prefixed(&mut self, row: &mut Row<'_>) -> Option<Expression> {
        let token = row.next()?;
        let place = self.span(&token);
        match token.as_rule() {
            Rule::minus => {
                let inner = self.climb(row, SIGN)?;
                Some(negated(place, inner, self.text))
            }
            Rule::negation => {
                let inner = self.climb(row, COMPARISON)?;
                let span = place.to(inner.span);
                let node = ExpressionNode::Unary(UnaryOperator::Not, Box::new(inner));
                Some(expression(node, span))
            }
            _ => self.cell_or_value(token, row),
        }
    }

    fn value_of(&mut self, token: Token<'_>) -> Option<Expression> {
        let span = self.span(&token);
        match token.as_rule() {
            Rule::group => self.group(token),
            Rule::measure => self.measure(token).map(quantity),
            Rule::money => self.money(token).map(quantity),
            Rule::reference => self.reference(token),
            Rule::row_number => self.row_number(span),
            Rule::quoted => {
                let quoted = self.quoted(&token)?;
                Some(expression(ExpressionNode::Text(quoted.text), span))
            }
            Rule::clock => match literal::clock(token.as_str()) {
                Ok(time) if time.days.is_some() => Some(expression(ExpressionNode::CountedTime(time.counted()), span)),
                Ok(time) => Some(expression(ExpressionNode::TimeOfDay(time.counted()), span)),
                Err(fault) => self.clock_fault(fault, token.as_str(), span),
            },
            Rule::moment => match literal::moment(token.as_str()) {
                Ok(dated) => Some(expression(ExpressionNode::Moment(dated.moment()), span)),
                Err(fault) => self.fault(fault, span),
            },
            _ => None,
        }
    }

    /// `row 3`
    fn row_number(&mut self, span: Span) -> Option<Expression> {
        let digits = span.of(self.text).trim_start_matches(|c: char| !c.is_ascii_digit());
        match digits.parse() {
            Ok(row) if row > 0 => Some(expression(ExpressionNode::RowNumber(row), span)),
            _ => {
                let problem = self
                    .problem(
                        Code::Unreadable,
                        "rows are counted from 1, and no table has that many",
                        span,
                    )
                    .help("write a row that there is, such as `row 1`");
                self.note(problem);
                None
            }
        }
    }

    /// `(a + b)`: the inner expression, its span widened to the parentheses.
    fn group(&mut self, token: Token<'_>) -> Option<Expression> {
        let span = self.span(&token);
        let inner = token.into_inner().next()?;
        let inner = self.expression(inner)?;
        Some(expression(inner.node, span))
    }

    /// `gross`, `log.gross`, `yard.shells.tare`, `net_contents(gross, tare)`, `true`
    pub(super) fn reference(&mut self, token: Token<'_>) -> Option<Expression> {
        let span = self.span(&token);
        let (names, mut rest): (Vec<_>, Vec<_>) = token.into_inner().partition(|part| part.as_rule() == Rule::name);
        let (last, before) = names.split_last()?;
        let name = self.name(last);
        let node = match (before, rest.pop()) {
            (_, Some(arguments)) => {
                let name = self.unreserved(joined(self.names(before), name))?;
                let arguments = self.arguments(arguments)?;
                ExpressionNode::Call(Box::new(Call { name, arguments }))
            }
            ([], None) => match &*name.text {
                "true" => ExpressionNode::Truth(true),
                "false" => ExpressionNode::Truth(false),
                _ => ExpressionNode::Name(self.unreserved(name)?.text),
            },
            ([first], None) => {
                let table = self.unreserved(self.name(first))?;
                ExpressionNode::Column(Box::new((table, name)))
            }
            ([_, table], None) => {
                let table = joined(self.names(before.get(..1).unwrap_or_default()), self.name(table));
                ExpressionNode::Column(Box::new((table, name)))
            }
            _ => return self.too_many_names(span),
        };
        Some(expression(node, span))
    }

    fn names(&self, tokens: &[Token<'_>]) -> Vec<Name> {
        tokens.iter().map(|token| self.name(token)).collect()
    }

    /// `run7.yard.shells.tare`
    fn too_many_names<T>(&mut self, span: Span) -> Option<T> {
        let problem = self
            .problem(Code::Unreadable, "this goes through two worksheets at once", span)
            .help("`use` the farther one here too: both then rest on the same");
        self.note(problem);
        None
    }

    /// A name where a value is wanted; words of the language are none.
    fn unreserved(&mut self, name: Name) -> Option<Name> {
        if !is_reserved(&name.text) {
            return Some(name);
        }
        let message = format!("expected a value before the word `{}`", name.text);
        let mut problem = self.problem(Code::Unreadable, message, name.span);
        if &*name.text == "if" {
            problem.message = "an `if` inside a formula needs parentheses".to_owned();
            problem.help = Some("write `(if … then … else …)`".to_owned());
        }
        self.note(problem);
        None
    }

    fn arguments(&mut self, token: Token<'_>) -> Option<Vec<Argument>> {
        let mut arguments: Vec<Argument> = Vec::new();
        for token in token.into_inner() {
            if token.as_rule() != Rule::argument {
                continue;
            }
            let argument = self.argument(token)?;
            if let Some(before) = arguments.last() {
                self.argument_order(before, &argument)?;
                self.digits_apart(before, &argument)?;
            }
            arguments.push(argument);
        }
        Some(arguments)
    }

    fn argument(&mut self, token: Token<'_>) -> Option<Argument> {
        let mut label = None;
        for part in token.into_inner() {
            if part.as_rule() == Rule::label {
                label = part.into_inner().next().map(|name| self.name(&name));
            } else {
                let value = self.expression(part)?;
                return Some(Argument { label, value });
            }
        }
        None
    }

    /// Arguments without a label come first.
    fn argument_order(&mut self, before: &Argument, argument: &Argument) -> Option<()> {
        if argument.label.is_some() || before.label.is_none() {
            return Some(());
        }
        let problem = self
            .problem(
                Code::ArgumentName,
                "an argument without a label stands after one that has a label",
                argument.value.span,
            )
            .help("give it its label too, or move it to the front");
        self.note(problem);
        None
    }

    /// `f(3,000)`: one number or two?
    fn digits_apart(&mut self, before: &Argument, argument: &Argument) -> Option<()> {
        let span = before.value.span.to(argument.value.span);
        let written = span.of(self.text);
        if argument.label.is_some() || !is_grouped(written) {
            return Some(());
        }
        let (one, two) = (written.replace(',', "_"), written.replace(',', ", "));
        let problem = self
            .problem(Code::NumberFormat, "is this one number or two?", span)
            .help(format!("write `{one}` for one number, `{two}` for two"));
        self.note(problem);
        None
    }
}

/// `3,000`: up to three digits, a comma, three digits.
fn is_grouped(written: &str) -> bool {
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    written.split_once(',').is_some_and(|(whole, rest)| {
        let three = rest.get(..3).unwrap_or("");
        let goes_on = rest
            .get(3..)
            .is_some_and(|after| after.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '_' | ':')));
        (1..=3).contains(&whole.len()) && digits(whole) && three.len() == 3 && digits(three) && !goes_on
    })
}

/// Whether one comparison may follow another in a chain.
fn chains(first: ComparisonOperator, next: ComparisonOperator) -> bool {
    use ComparisonOperator as C;
    let rises = |c| matches!(c, C::Less | C::AtMost | C::Equal);
    let falls = |c| matches!(c, C::Greater | C::AtLeast | C::Equal);
    (rises(first) && rises(next)) || (falls(first) && falls(next))
}

/// A literal as an expression.
fn quantity(measured: Measured) -> Expression {
    let node = match measured.unit {
        None => ExpressionNode::Number(measured.value),
        Some(unit) => ExpressionNode::Quantity {
            value: measured.value,
            unit,
            signed: false,
        },
    };
    expression(node, measured.span)
}

/// A minus before a value: the sign of a quantity literal, else the operator.
fn negated(sign: Span, inner: Expression, text: &str) -> Expression {
    let span = sign.to(inner.span);
    let parenthesised = inner.span.of(text).starts_with('(');
    match inner.node {
        ExpressionNode::Quantity {
            value,
            unit,
            signed: false,
        } if !parenthesised => expression(
            ExpressionNode::Quantity {
                value: value.neg(),
                unit,
                signed: true,
            },
            span,
        ),
        _ => expression(ExpressionNode::Unary(UnaryOperator::Negate, Box::new(inner)), span),
    }
}

/// `1/2 h` as `0.5 h`, where it comes out even.
/// `(1 / 3) * 1 h` for `1/3 h`, of two plain numbers.
fn quotient_in_unit(left: &Expression, right: &str) -> Option<String> {
    let ExpressionNode::Number(over) = left.node else {
        return None;
    };
    let digits = right.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '_')))?;
    let (number, unit) = right.split_at_checked(digits)?;
    Some(format!("({over} / {number}) * 1 {}", unit.trim_start()))
}

fn decimal_share(left: &Expression, right: &str) -> Option<String> {
    let ExpressionNode::Number(over) = left.node else {
        return None;
    };
    let digits = right.find(|c: char| !(c.is_ascii_digit() || c == '.'))?;
    let (number, unit) = right.split_at_checked(digits)?;
    let share = over.div(literal::number(number).ok()?).ok()?;
    let plain = share.to_plain();
    (plain.len() <= 8).then(|| format!("{plain} {}", unit.trim_start()))
}
