//! Quantities: a number with its unit, compounds, money, and what follows `±`.
//!
//! Decides what a person could read in two ways and says so rather than guess.
//! Start reading at [`Reader::measure`] and [`Reader::tolerance`].

use std::cmp::Ordering;

use crate::number::Number;
use crate::problem::{Code, Problem};
use crate::text::Span;
use crate::unit::symbol::nearest;
use crate::unit::{Ratio, Unit, UnitTrouble, conversion};

use super::grammar::{Rule, Token};
use super::literal::{self, Fault};
use super::reader::{Reader, parse_unit};
use super::tree::{Expression, ExpressionNode, Tolerance, ToleranceForm, ToleranceOf, UnaryOperator};
use super::words::is_blank;

/// A number and the unit written after it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measured {
    pub(super) value: Number,
    /// `None`: a plain number.
    pub(super) unit: Option<Unit>,
    pub(super) span: Span,
}

/// What a tolerance stands beside.
#[derive(Clone, Copy, Debug)]
pub(super) enum Beside {
    /// One plain number
    Number(Number),
    /// A quantity, or arithmetic on quantities of one unit
    Quantity(Unit),
    /// The unit of a column's heading
    Heading(Unit),
    /// Arithmetic on plain numbers alone
    Plain,
    /// Anything else
    Other,
}

/// One piece of a compound.
struct Part {
    value: Number,
    unit: Unit,
    span: Span,
}

impl Reader<'_> {
    /// `12`, `37.4 lb`, `2 h 40 min`
    pub(super) fn measure(&mut self, token: Token<'_>) -> Option<Measured> {
        let span = self.span(&token);
        let mut inner = token.into_inner();
        let number = inner.next()?;
        let Some(unit) = inner.next() else {
            return Some(Measured {
                value: self.number(&number)?,
                unit: None,
                span,
            });
        };
        let first = self.part(&number, &unit)?;
        let mut rest: Vec<Part> = Vec::new();
        while let (Some(number), Some(unit)) = (inner.next(), inner.next()) {
            rest.push(self.part(&number, &unit)?);
        }
        self.compound(&first, &rest, span)
    }

    fn part(&mut self, number: &Token<'_>, unit: &Token<'_>) -> Option<Part> {
        let value = self.number(number)?;
        Some(Part {
            value,
            unit: self.unit(unit, value)?,
            span: self.span(number).to(self.span(unit)),
        })
    }

    /// `$3.89/gal`
    pub(super) fn money(&mut self, token: Token<'_>) -> Option<Measured> {
        let span = self.span(&token);
        let mut inner = token.into_inner();
        let currency = inner.next()?;
        let value = self.number(&inner.next()?)?;
        let mut written = currency.as_str().to_owned();
        let mut shift = span.start as usize;
        if let (Some(_), Some(unit)) = (inner.next(), inner.next()) {
            let joined = written.len() + 1;
            written.push('/');
            written.push_str(unit.as_str());
            shift = (self.span(&unit).start as usize).saturating_sub(joined);
        }
        match parse_unit(&written) {
            Ok(unit) => Some(Measured {
                value,
                unit: Some(unit),
                span,
            }),
            Err(trouble) => {
                let problem = self.two_readings_of_unit(trouble, &written, shift, value);
                self.note(problem);
                None
            }
        }
    }

    pub(super) fn number(&mut self, token: &Token<'_>) -> Option<Number> {
        match literal::number(token.as_str()) {
            Ok(number) => Some(number),
            Err(fault) => {
                let span = self.span(token);
                self.fault(fault, span)
            }
        }
    }

    /// Notes what is wrong with a literal.
    pub(super) fn fault<T>(&mut self, fault: Fault, span: Span) -> Option<T> {
        let mut problem = self.problem(fault.code, fault.message, span);
        problem.help = fault.help;
        self.note(problem);
        None
    }

    fn unit(&mut self, token: &Token<'_>, value: Number) -> Option<Unit> {
        match parse_unit(token.as_str()) {
            Ok(unit) => Some(unit),
            Err(trouble) => {
                let start = self.span(token).start as usize;
                let problem = self.two_readings_of_unit(trouble, token.as_str(), start, value);
                self.note(problem);
                None
            }
        }
    }

    /// A unit that isn't one: perhaps a name was meant, and `*` or `/` before it.
    fn two_readings_of_unit(&self, trouble: UnitTrouble, written: &str, start: usize, value: Number) -> Problem {
        let symbol = trouble.span.of(written).to_owned();
        if let Some(problem) = self.cents(&trouble, written, start, value) {
            return problem;
        }
        if !trouble.unknown || symbol.is_empty() || nearest(&symbol).is_some() {
            return self.unit_problem(trouble, start);
        }
        let place = trouble.span.shifted(start);
        let before = written.get(..trouble.span.start as usize).unwrap_or("");
        let after = written.get(trouble.span.start as usize..).unwrap_or("");
        if before.is_empty() {
            return self.counted(trouble, written, start, value);
        }
        let product = before.trim_end_matches('(').ends_with('·');
        let (sign, word) = if product { ('·', '*') } else { ('/', '/') };
        let known = before.trim_end_matches(['/', '·', '(']);
        let opened = before.get(known.len()..).unwrap_or("");
        let opened = opened.trim_start_matches(['/', '·']);
        let shown = with_unit(value, known);
        let message = format!("`{symbol}` is no unit, and a `{sign}` without spaces belongs to the unit");
        let calculated = format!("to calculate with it, write `{shown} {word} {opened}{after}`");
        let for_each = format!("{before}each");
        let fits = |unit| self.asked_unit().is_none_or(|asked| conversion(asked, unit).is_some());
        let is_price = known.starts_with(['$', '€', '£']);
        let is_count = is_price && sign == '/' && after == symbol && Unit::parse(&for_each).is_ok_and(fits);
        let help = match is_count {
            true if self.calculates() => format!("{calculated}; for one of them, `{}`", with_unit(value, &for_each)),
            true => format!(
                "for one of them, write `{}`; to calculate with it, `{shown} {word} {opened}{after}`",
                with_unit(value, &for_each)
            ),
            false => calculated,
        };
        self.problem(Code::TwoReadings, message, place)
            .label("no unit")
            .help(help)
            .mend(
                Span::new(start + known.len(), start + written.len()),
                format!(" {word} {opened}{after}"),
            )
    }

    /// Whether names may stand on the line, as they may not in an input.
    fn calculates(&self) -> bool {
        let opening = self.text.split_whitespace().next().unwrap_or("");
        !matches!(opening, "measured" | "quoted" | "assumed")
    }

    /// `2 cylinders`: a count, or a name to multiply by.
    fn counted(&self, trouble: UnitTrouble, written: &str, start: usize, value: Number) -> Problem {
        let apart = match self.text.get(..start) {
            Some(before) if before.ends_with(is_blank) => "* ",
            _ => " * ",
        };
        let is_word = trouble.span == Span::new(0, written.len()) && written.chars().count() > 2;
        let asked = self.asked_unit();
        let is_each = asked.is_some() && asked == Unit::parse("each").ok();
        let may_count = is_word && (is_each || asked.is_none());
        let whole = Span::new(start, start + written.len());
        let problem = self.unit_problem(trouble, start);
        match (may_count, is_each) {
            (true, true) => problem
                .help(format!("a count is written `{value} each`"))
                .mend(whole, "each"),
            (true, false) if !self.calculates() => problem
                .help(format!(
                    "a count is written `{value} each`; to multiply by an entry of that name, `{value} * {written}`"
                ))
                .mend(whole, "each"),
            (true, false) => problem
                .help(format!(
                    "to multiply, write `{value} * {written}`; a count is `{value} each`"
                ))
                .mend(Span::at(start), apart),
            _ => problem
                .help(format!("to multiply, write `{value} * {written}`"))
                .mend(Span::at(start), apart),
        }
    }

    /// `78 cents/lb`, `10¢`
    fn cents(&self, trouble: &UnitTrouble, written: &str, start: usize, value: Number) -> Option<Problem> {
        let symbol = trouble.span.of(written);
        let before = self.text.get(..start).unwrap_or("");
        let after_money = before.contains('$') && !before.ends_with(is_blank);
        let per_unit = written.get(symbol.len()..).is_some_and(|of| of.starts_with('/'));
        let is_cents =
            matches!(symbol, "cents" | "cent" | "ct" | "cts") || (symbol == "c" && (after_money || per_unit));
        if !trouble.unknown || !is_cents || trouble.span.start != 0 {
            return None;
        }
        let dollars = value.div(Number::from_integer(100)).ok()?.to_plain();
        let cents = dollars.split_once('.').map_or(0, |(_, cents)| cents.len());
        let zero = if cents == 1 { "0" } else { "" };
        let asked = self.asked_unit().map(|asked| asked.to_string()).unwrap_or_default();
        let of = match written.get(symbol.len()..).unwrap_or("") {
            "" => asked.strip_prefix('$').unwrap_or(""),
            of => of,
        };
        let number = before.trim_end_matches(is_blank);
        let digits = number.trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '_'));
        let meant = format!("${dollars}{zero}{of}");
        let problem = self
            .problem(
                Code::UnknownUnit,
                format!("there is no unit `{symbol}`; cents are parts of a dollar"),
                trouble.span.shifted(start),
            )
            .help(format!("write `{meant}`"));
        let is_unit = of.is_empty() || Unit::parse(&format!("${of}")).is_ok();
        let place = Span::new(digits.len(), start + written.len());
        Some(if is_unit { problem.mend(place, meant) } else { problem })
    }

    /// `2 h 40 min`: one kind, falling size, all but the last whole. A quantity
    /// with one unit is one without a rest.
    fn compound(&mut self, first: &Part, rest: &[Part], span: Span) -> Option<Measured> {
        let mut total = first.value;
        let mut before = first;
        for part in rest {
            let ratio = match step(before, part) {
                Ok(ratio) => ratio,
                Err((message, help)) => {
                    let mut problem = self.problem(Code::CompoundFormat, message, before.span.to(part.span));
                    problem.help = help;
                    self.note(problem);
                    return None;
                }
            };
            let sum = ratio.apply(total).and_then(|smaller| smaller.add(part.value));
            match sum {
                Ok(sum) => total = sum,
                Err(trouble) => {
                    let problem = self.problem(Code::NumberSize, trouble.to_string(), span);
                    self.note(problem);
                    return None;
                }
            }
            before = part;
        }
        Some(Measured {
            value: total,
            unit: Some(before.unit),
            span,
        })
    }

    /// `± 0.2 lb sd df=18`. Gives with it the unit that a plain number beside it takes.
    pub(super) fn tolerance(&mut self, token: Token<'_>, beside: Beside) -> Option<(Tolerance, Option<Unit>)> {
        let span = self.span(&token);
        let mut amount = None;
        let mut form = ToleranceForm::Limits;
        let mut degrees_of_freedom = None;
        for part in token.into_inner() {
            match part.as_rule() {
                Rule::measure => amount = Some(self.measure(part)?),
                Rule::money => amount = Some(self.money(part)?),
                Rule::odd_unit => return self.odd_unit(&part, amount?, beside),
                Rule::standard => form = ToleranceForm::Standard,
                Rule::coverage => form = ToleranceForm::Expanded(self.above_zero(part)?),
                Rule::freedom => degrees_of_freedom = Some(self.above_zero(part)?),
                _ => {}
            }
        }
        let amount = amount?;
        let (of, shared) = self.tolerance_of(amount, beside)?;
        let tolerance = Tolerance {
            amount: amount.value,
            of,
            form,
            degrees_of_freedom,
            span,
        };
        Some((tolerance, shared))
    }

    /// `k=2`, `df=18`
    fn above_zero(&mut self, token: Token<'_>) -> Option<Number> {
        let span = self.span(&token);
        let number = self.number(&token.into_inner().next()?)?;
        if !number.is_zero() {
            return Some(number);
        }
        let written = span.of(self.text);
        let problem = self.problem(Code::ToleranceFormat, format!("`{written}` has to be above zero"), span);
        self.note(problem);
        None
    }

    fn tolerance_of(&mut self, amount: Measured, beside: Beside) -> Option<(ToleranceOf, Option<Unit>)> {
        let Some(unit) = amount.unit else {
            return self.bare_tolerance(amount, beside).map(|of| (of, None));
        };
        let is_percent = Unit::parse("%") == Ok(unit);
        match beside {
            Beside::Number(value) if is_percent => self.percent_of_number(amount, value),
            Beside::Number(_) => Some((ToleranceOf::Unit(unit.interval()), Some(unit))),
            Beside::Plain => self.plain_value(amount),
            Beside::Quantity(of) | Beside::Heading(of) if is_percent && of == unit => {
                Some((ToleranceOf::Unit(unit), None))
            }
            Beside::Quantity(of) | Beside::Heading(of) if is_percent => self.percent_of_quantity(amount, of),
            Beside::Other if is_percent => Some((ToleranceOf::Percent, None)),
            _ => Some((ToleranceOf::Unit(unit.interval()), None)),
        }
    }

    /// A tolerance without unit.
    fn bare_tolerance(&mut self, amount: Measured, beside: Beside) -> Option<ToleranceOf> {
        match beside {
            Beside::Heading(unit) => Some(ToleranceOf::Unit(unit.interval())),
            Beside::Quantity(unit) => {
                let written = amount.span.of(self.text).to_owned();
                let unit = unit.interval();
                let problem = self
                    .problem(Code::BareNumber, "this tolerance has no unit", amount.span)
                    .help(format!("write `± {written} {unit}`"))
                    .mend(amount.span, format!("{written} {unit}"));
                self.note(problem);
                None
            }
            Beside::Number(_) | Beside::Plain | Beside::Other => Some(ToleranceOf::Unit(Unit::ONE)),
        }
    }

    /// `40 ± 5 %`
    fn percent_of_number<T>(&mut self, amount: Measured, value: Number) -> Option<T> {
        let percent = amount.value;
        let share = of_hundred(value, percent);
        let problem = self
            .problem(
                Code::ToleranceFormat,
                "this can be read as percent of the value or as percentage points",
                amount.span,
            )
            .help(format!(
                "write `{value} % ± {percent} %` for percentage points, or `{value} ± {share}` for {percent} % of {value}"
            ));
        self.note(problem);
        None
    }

    /// `2 ± 4 % lb`
    fn odd_unit<T>(&mut self, token: &Token<'_>, amount: Measured, beside: Beside) -> Option<T> {
        let span = self.span(token);
        let unit = token.as_str();
        let is_percent = amount.unit.is_some() && amount.unit == Unit::parse("%").ok();
        let problem = match beside {
            Beside::Number(value) if is_percent => {
                let percent = amount.value;
                let share = of_hundred(value, percent);
                self.problem(
                    Code::ToleranceFormat,
                    "this can be read in two ways",
                    amount.span.to(span),
                )
                .help(format!(
                    "write `{value} {unit} ± {percent} %` for percent of the value, or `{value} {unit} ± {share} {unit}`"
                ))
            }
            _ => self
                .problem(Code::ToleranceFormat, "a tolerance has one unit", span)
                .help("after the unit only `sd`, `k=2` or `df=18` may follow"),
        };
        self.note(problem);
        None
    }

    /// `2 * 3.1 ± 0.1 lb`
    fn plain_value<T>(&mut self, amount: Measured) -> Option<T> {
        let problem = self
            .problem(
                Code::ToleranceFormat,
                "the tolerance has a unit and the value has none",
                amount.span,
            )
            .help("give the value its unit");
        self.note(problem);
        None
    }

    /// `24 °F ± 5 %` has no meaning; `37.4 lb ± 2 %` has.
    fn percent_of_quantity<T>(&mut self, amount: Measured, of: Unit) -> Option<(ToleranceOf, Option<T>)> {
        let is_level = Unit::parse("dB") == Ok(of) && of != Unit::ONE;
        if !of.is_point() && !is_level {
            return Some((ToleranceOf::Percent, None));
        }
        let what = if is_level {
            "a sound level"
        } else {
            "a point on a scale"
        };
        let interval = of.interval();
        let problem = self
            .problem(
                Code::PercentOfPoint,
                format!("a percentage of {what} has no meaning"),
                amount.span,
            )
            .help(format!("write the tolerance in `{interval}`"));
        self.note(problem);
        None
    }
}

/// How many of the smaller unit make one of the larger; or why the two make no compound.
fn step(larger: &Part, smaller: &Part) -> Result<Ratio, (String, Option<String>)> {
    let (big, small) = (larger.unit, smaller.unit);
    let turn = conversion(big, small).filter(|_| !big.is_point() && !small.is_point());
    let Some(turn) = turn else {
        let message = format!("`{big}` and `{small}` don't make one quantity");
        return Err((message, Some("put an operator between them".to_owned())));
    };
    let falls = turn.ratio.numerator.compare(turn.ratio.denominator) == Ordering::Greater;
    if !falls {
        let message = format!("a compound goes from the larger unit to the smaller, not `{big}` to `{small}`");
        return Err((message, Some("write the larger unit first".to_owned())));
    }
    if !larger.value.is_whole() {
        let message = "only the last number of a compound may have a fraction".to_owned();
        return Err((message, Some(format!("write it in one unit, `{big}` or `{small}`"))));
    }
    let fits = turn
        .ratio
        .apply(Number::ONE)
        .is_ok_and(|one| smaller.value.compare(one) == Ordering::Less);
    if !fits {
        let message = format!("the `{small}` of a compound must be less than 1 `{big}`");
        return Err((message, Some(format!("carry it over into the `{big}`"))));
    }
    Ok(turn.ratio)
}

/// `20 lb`, `$3`: a quantity as it is typed.
fn with_unit(value: Number, unit: &str) -> String {
    let sign = unit.chars().next().unwrap_or(' ');
    match unit.strip_prefix(['$', '€', '£']) {
        Some(rest) => format!("{sign}{value}{rest}"),
        None => format!("{value} {unit}"),
    }
}

/// `percent` per cent of `value`, as it can be typed.
fn of_hundred(value: Number, percent: Number) -> String {
    let share = value
        .abs()
        .mul(percent)
        .and_then(|product| product.div(Number::from_integer(100)));
    share.map_or_else(|_| "…".to_owned(), Number::to_plain)
}

/// What the expression before a `±` is, as far as the tolerance asks.
pub(super) fn beside(value: &Expression) -> Beside {
    match &value.node {
        ExpressionNode::Number(number) => return Beside::Number(*number),
        ExpressionNode::Unary(UnaryOperator::Negate, inner) => {
            if let ExpressionNode::Number(number) = inner.node {
                return Beside::Number(number.neg());
            }
        }
        _ => {}
    }
    let mut seen = Seen::default();
    seen.look(value);
    match (seen.other, seen.units) {
        (true, _) => Beside::Other,
        (false, Units::None) => Beside::Plain,
        (false, Units::One(unit)) => Beside::Quantity(unit),
        (false, Units::Several) => Beside::Other,
    }
}

/// What kinds of literals an expression holds.
#[derive(Default)]
struct Seen {
    other: bool,
    units: Units,
}

#[derive(Clone, Copy, Default)]
enum Units {
    #[default]
    None,
    One(Unit),
    Several,
}

impl Seen {
    fn look(&mut self, expression: &Expression) {
        match &expression.node {
            ExpressionNode::Number(_) => {}
            ExpressionNode::Quantity { unit, .. } => self.unit(*unit),
            ExpressionNode::Unary(UnaryOperator::Negate, inner) => self.look(inner),
            ExpressionNode::Binary(_, _, sides) => {
                self.look(&sides.0);
                self.look(&sides.1);
            }
            _ => self.other = true,
        }
    }

    fn unit(&mut self, unit: Unit) {
        self.units = match self.units {
            Units::None => Units::One(unit),
            Units::One(seen) if seen == unit => Units::One(unit),
            _ => Units::Several,
        };
    }
}
