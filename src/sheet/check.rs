//! Checking: every expression gets its kind and unit before anything runs.
//!
//! A clash is reported at the operator or argument, both sides named. Where two
//! units meet, one conversion is put in. Something that waits on a broken entry
//! raises no problem of its own. Who checks is a [`Checker`]; calls are in
//! [`super::check_call`], meeting units in [`super::meet`]. Start reading at [`Checker::expression`].

use crate::number::Number;
use crate::problem::{Code, Problem};
use crate::syntax::number_word;
use crate::syntax::tree::Node as TreeNode;
use crate::syntax::tree::{
    BinaryOperator, Comparison, ComparisonOperator, Expression, ExpressionNode, Name, Tolerance, ToleranceOf,
    UnaryOperator, UnitBox,
};
use crate::text::{Span, in_backticks};
use crate::trade::registry::function;
use crate::unit::{Beginning, Kind, Unit, conversion};

use super::checker::{Checker, TableShape, decibel, describe, gauge_help, is_decibel, is_pointlike};
use super::day::Meeting;
use super::names::{CellId, Named};
use super::typed::{Arithmetic, At, Node, Typed};

impl<'a> Checker<'a> {
    /// Checks an expression; `None` where it has a problem or waits.
    pub(crate) fn expression(&mut self, expression: &'a Expression) -> Option<Typed> {
        let span = self.here(expression.span);
        match &expression.node {
            ExpressionNode::Number(value) => Some(Typed::constant(*value, Kind::Quantity(Unit::ONE), span)),
            ExpressionNode::Quantity { value, unit, signed } => Some(quantity(*value, *unit, *signed, span)),
            ExpressionNode::TimeOfDay(value) => Some(Typed::constant(*value, Kind::TimeOfDay, span)),
            ExpressionNode::CountedTime(value) => {
                Some(Typed::constant(*value, Kind::Counted(Beginning::Written), span))
            }
            ExpressionNode::Moment(value) => Some(Typed::constant(*value, Kind::Moment, span)),
            ExpressionNode::Text(text) => Some(Typed::constant(self.pool.intern(text), Kind::Text, span)),
            ExpressionNode::Truth(truth) => Some(Typed::constant(
                Number::from_integer(i64::from(*truth)),
                Kind::Truth,
                span,
            )),
            ExpressionNode::Name(name) => self.name(name, span),
            ExpressionNode::Column(names) => self.column(&names.0, &names.1, span),
            // it calls a row and is no value; reading refuses it anywhere else
            ExpressionNode::RowNumber(_) => None,
            ExpressionNode::Unary(UnaryOperator::Negate, inner) => self.negate(inner, span),
            ExpressionNode::Unary(UnaryOperator::Not, inner) => self.not(inner, span),
            ExpressionNode::Binary(operator, place, sides) => {
                let place = self.here(*place);
                self.binary(*operator, sides, At { place, span })
            }
            ExpressionNode::Comparison(comparison) => self.comparison(comparison, span),
            ExpressionNode::Call(call) => self.call(call, span),
            ExpressionNode::If(parts) => self.choice(parts, span),
        }
    }

    /// Converts a checked value to the unit in brackets.
    pub(crate) fn shown_in(&mut self, value: Typed, wanted: &UnitBox) -> Option<Typed> {
        let target = if is_decibel(wanted.unit) {
            self.decibels_for(&value)
        } else {
            Kind::Quantity(wanted.unit)
        };
        let value = self.settle(value);
        let found = value.kind;
        match self.fit(value, target) {
            Ok(value) => Some(value),
            Err(value) => {
                let problem = self.box_clash(&value, found, wanted);
                self.report(problem);
                None
            }
        }
    }

    fn decibels_for(&self, value: &Typed) -> Kind {
        match value.kind {
            Kind::Level | Kind::Decibels => Kind::Level,
            other => other,
        }
    }

    fn box_clash(&mut self, value: &Typed, found: Kind, wanted: &UnitBox) -> Problem {
        let target = Kind::Quantity(wanted.unit);
        let (code, help) = self.clash_code(found, target);
        let scales = self.on_the_other_scale(value, found, wanted.unit);
        let help = self
            .quotient_help(value.span, found, wanted.unit)
            .or_else(|| self.duration_help(value.span, found, wanted.unit))
            .or_else(|| scales.as_ref().map(|(help, _)| help.clone()))
            .or_else(|| self.unitless(value, wanted.unit))
            .or_else(|| box_help(value, found, wanted.unit))
            .or_else(|| self.unitless_factor(value, found, wanted.unit))
            .or(help);
        let message = format!("this is {}, which can't be shown in `{}`", describe(found), wanted.unit);
        let place = self.place(wanted.span);
        let mut problem = Problem::new(code, message, place)
            .label(format!("asks for {}", describe(target)))
            .also(self.place(value.span), format!("is {}", describe(found)));
        problem.help = help;
        let bare = found == Kind::Quantity(Unit::ONE) && self.frames.is_empty();
        let mend = self.with_unit(value.span, wanted.unit).filter(|_| bare);
        let scale = scales.map(|(_, meant)| (value.span, meant));
        match mend.or(scale.filter(|_| self.frames.is_empty())) {
            Some((span, text)) => problem.mend(span, text),
            None => problem,
        }
    }

    /// A literal of one number in degrees: a point where a difference is asked for, or
    /// the reverse, with the help and how it is written instead.
    fn on_the_other_scale(&self, value: &Typed, found: Kind, wanted: Unit) -> Option<(String, String)> {
        let (Kind::Quantity(unit), Node::Constant(number)) = (found, &value.node) else {
            return None;
        };
        let written = number.to_plain();
        let is_literal = self.written(value.span).starts_with(&written);
        if unit.is_point() && is_literal && matches!(wanted.to_string().as_str(), "C°" | "F°") {
            let meant = format!("{written} {}", unit.interval());
            return Some((format!("a difference of two temperatures is written `{meant}`"), meant));
        }
        let letter = unit.to_string();
        let point = Unit::parse(&format!("°{}", letter.strip_suffix('°')?)).ok()?;
        let asks_for_point = wanted.is_point() && point.is_point() && is_literal;
        let meant = format!("{written} {point}");
        asks_for_point.then(|| (format!("a temperature is written `{meant}`"), meant))
    }

    /// What is written instead, where a value's own form tells it.
    pub(super) fn cell_help(&self, value: &Typed, wanted: Kind) -> Option<String> {
        let Kind::Quantity(unit) = wanted else { return None };
        let other = || self.on_the_other_scale(value, value.kind, unit).map(|(help, _)| help);
        self.quotient_help(value.span, value.kind, unit)
            .or_else(|| self.duration_help(value.span, value.kind, unit))
            .or_else(other)
            .or_else(|| self.per_help(value, unit))
            .or_else(|| gauge_help(value).filter(|_| unit.is_dimensionless()))
    }

    /// `06:30` where hours are asked for.
    pub(super) fn duration_help(&self, span: Span, found: Kind, wanted: Unit) -> Option<String> {
        let hours = Unit::parse("h").ok()?;
        conversion(wanted, hours).filter(|_| found == Kind::TimeOfDay)?;
        let duration = crate::syntax::duration(self.written(span))?;
        Some(format!("a length of time is written `{duration}`"))
    }

    /// `13.5/1.5` where a unit is asked for.
    fn quotient_help(&self, span: Span, found: Kind, wanted: Unit) -> Option<String> {
        let written = self.written(span);
        let is_sum = written.starts_with(|c: char| c.is_ascii_digit())
            && written.contains(['/', '*', '+', '-'])
            && written.chars().all(|c| c.is_ascii_digit() || " ./*+-_()".contains(c));
        let meant = || format!("write `({written}) * 1 {wanted}`, or give its parts their units");
        (found == Kind::Quantity(Unit::ONE) && is_sum && wanted != Unit::ONE).then(meant)
    }

    /// A dB literal that nothing asked to be a difference is a level.
    pub(crate) fn settle(&self, value: Typed) -> Typed {
        if value.kind == Kind::Decibels {
            value.with_kind(Kind::Level)
        } else {
            value
        }
    }

    fn name(&mut self, name: &str, span: Span) -> Option<Typed> {
        if !self.frames.is_empty() {
            return self.parameter(name);
        }
        match self.known.names.get(name) {
            Some(Named::Cell(cell)) if self.constant_only => self.not_constant(name, span, cell),
            Some(Named::Cell(cell)) => self.cell(cell, span),
            Some(Named::Table(_)) => {
                let help = format!("name one of its columns, such as `{name}.{}`", self.some_column(name));
                let message = format!("`{name}` is a table, not a value");
                self.problem(Code::KindClash, message, span, Some(help))
            }
            Some(Named::Rule(_)) => {
                let message = format!("`{name}` is a rule and needs its arguments in parentheses");
                self.problem(Code::KindClash, message, span, Some(format!("write `{name}(…)`")))
            }
            Some(Named::Use(_)) => {
                let message = format!("`{name}` is another worksheet, not a value");
                let help = format!("name one of its values, such as `{name}.price`");
                self.problem(Code::KindClash, message, span, Some(help))
            }
            None => self.unknown_name(name, span),
        }
    }

    /// What isn't found in a worksheet that is used; waits where that can't be read. `None`
    /// where no `use` is meant.
    pub(super) fn not_in_used(&mut self, name: &str, what: &str, span: Span) -> Option<()> {
        let (used, rest) = name.rsplit_once('.')?;
        let Some(Named::Use(item)) = self.known.names.get(used) else {
            return None;
        };
        self.blocked = true;
        if self.known.broken_uses.contains(&item) {
            return Some(());
        }
        let file = match self.known.sheet.node(item) {
            Some(crate::syntax::Node::Use(line)) => line.path.text.to_string(),
            _ => used.to_owned(),
        };
        if let Some(further) = self.used_by(&file, rest) {
            let message = format!("`{rest}` is a worksheet that `{file}` rests on; its names don't come along");
            let help = format!("add `use \"{further}\" as {rest}`, and go on with `{rest}.`");
            self.problem::<()>(Code::UnknownName, message, span, Some(help));
            return Some(());
        }
        let near = self.suggest(name);
        let mend = near.and_then(|near| self.instead(span, name, near));
        let message = format!("`{file}` has no {what} `{rest}`");
        let help = near.map(|near| format!("write `{near}`, if that is meant"));
        self.mendable::<()>(Code::UnknownName, message, span, help, mend);
        Some(())
    }

    /// The worksheet that a used one calls so.
    fn used_by(&self, file: &str, name: &str) -> Option<&'a str> {
        let files = &self.known.sheet.used.files;
        let prefix = files.iter().find(|used| used.name == file)?.uses.get(name)?;
        let further = files.iter().find(|used| used.prefix == *prefix)?;
        Some(&further.name)
    }

    /// A name that is no parameter is a problem of the rule, and the call waits on it.
    fn parameter(&mut self, name: &str) -> Option<Typed> {
        let frame = self.frames.last()?;
        let found = frame.parameters.iter().find(|(parameter, _)| *parameter == name);
        let value = found.and_then(|(_, value)| value.clone());
        self.blocked |= value.is_none();
        value
    }

    fn cell(&mut self, cell: CellId, span: Span) -> Option<Typed> {
        match self.known.shapes.get(cell.0 as usize).copied().flatten() {
            Some(shape) => Some(Typed::new(shape.kind, shape.column, span, Node::Cell(cell))),
            None => {
                self.waits.push(cell);
                self.blocked = true;
                None
            }
        }
    }

    /// Whether a cell has no kind, so that what names it waits.
    pub(super) fn waits_for(&mut self, cell: CellId) -> bool {
        let waits = self.known.shapes.get(cell.0 as usize).copied().flatten().is_none();
        if waits {
            self.waits.push(cell);
            self.blocked = true;
        }
        waits
    }

    /// The unit that the entry asks for.
    fn asked(&self) -> Option<Unit> {
        match self.known.sheet.node(self.item)? {
            TreeNode::Entry(entry) => entry.unit.map(|unit| unit.unit),
            _ => None,
        }
    }

    fn not_constant(&mut self, name: &str, span: Span, cell: CellId) -> Option<Typed> {
        let item = self.known.names.cell_items.get(cell.0 as usize).copied().unwrap_or(0);
        let place = self.standing_at(item);
        let message = format!("an input takes a constant, and `{name}` ({place}) is another entry");
        let mend = self.worked_instead();
        let help = Some("begin this line with `worked`".to_owned());
        self.mendable(Code::NotConstant, message, span, help, mend)
    }

    pub(super) fn unknown_name(&mut self, name: &str, span: Span) -> Option<Typed> {
        if self.not_in_used(name, "value", span).is_some() {
            return None;
        }
        if let Some(digits) = number_word(name, self.asked()).filter(|_| self.constant_only) {
            let message = format!("a number is written in digits, and `{name}` is a name");
            let help = Some(format!("write `{digits}`"));
            return self.mendable(Code::UnknownName, message, span, help, Some((span, digits)));
        }
        if let Some(function) = function(name) {
            let message = format!("`{name}` is a function and needs its arguments in parentheses");
            let help = format!("write `{}(…)`", function.name);
            return self.problem(Code::UnknownName, message, span, Some(help));
        }
        if let Some((help, mend)) = self.unit_as_name(name, span) {
            let message = format!("`{name}` stands apart here, and nothing is named so");
            return self.mendable(Code::UnknownName, message, span, Some(help), mend);
        }
        if let Some((meant, why)) = self.meant_elsewhere(name) {
            let message = format!("nothing here is named `{name}`");
            return self.mendable(
                Code::UnknownName,
                message,
                span,
                Some(format!("write `{meant}`{why}")),
                Some((span, meant)),
            );
        }
        let near = self.suggest(name);
        let help = near.map(|near| format!("write `{near}`, if that is meant"));
        let mend = near.and_then(|near| self.instead(span, name, near));
        let message = format!("nothing here is named `{name}`");
        self.mendable(Code::UnknownName, message, span, help, mend)
    }

    /// `1.8 lb / h`, `net / h`: a unit after an operator, with how it is written and
    /// the piece that this replaces.
    fn unit_as_name(&self, name: &str, span: Span) -> Option<(String, Option<(Span, String)>)> {
        let before = self
            .text
            .get(..span.start as usize)
            .filter(|_| self.frames.is_empty())?;
        let left = before.trim_end().strip_suffix(['/', '*', '·', '×'])?.trim_end();
        if Unit::parse(name).is_err() {
            return None;
        }
        let is_product = !before.trim_end().ends_with('/');
        let unit = left.rsplit(char::is_whitespace).next()?;
        let number = left.get(..left.len() - unit.len())?.trim_end();
        let is_quantity = number.ends_with(|c: char| c.is_ascii_digit());
        let sign = if is_product { '·' } else { '/' };
        let joined = format!("{unit}{sign}{name}");
        if is_quantity && Unit::parse(&joined).is_ok() {
            let place = Span::new(left.len() - unit.len(), span.end as usize);
            return Some((
                format!("write the unit without spaces: `{joined}`"),
                Some((place, joined)),
            ));
        }
        let meant = match before.ends_with(char::is_whitespace) {
            true => format!("1 {name}"),
            false => format!("(1 {name})"),
        };
        Some((format!("a unit needs its number: write `{meant}`"), Some((span, meant))))
    }

    /// The nearest name; looked for only so often, since it walks over all of them.
    fn suggest(&mut self, name: &str) -> Option<&'a str> {
        self.may_suggest().then(|| self.known.names.nearest(name)).flatten()
    }

    /// Whether there is room for one more look at all that may be meant; it is then taken.
    pub(super) fn may_suggest(&mut self) -> bool {
        let is_left = *self.suggestions > 0;
        *self.suggestions = self.suggestions.saturating_sub(1);
        is_left
    }

    fn some_column(&self, table: &str) -> String {
        let shape = self.table(table);
        shape
            .and_then(|shape| shape.columns.first())
            .map_or_else(|| "column".to_owned(), |column| column.0.to_string())
    }

    pub(super) fn table(&self, name: &str) -> Option<&'a TableShape> {
        match self.known.names.get(name) {
            Some(Named::Table(table)) => self.known.tables.get(table as usize),
            _ => None,
        }
    }

    fn column(&mut self, table: &Name, column: &Name, span: Span) -> Option<Typed> {
        if self.constant_only {
            let message = format!(
                "an input takes a constant, and `{}.{}` is a column",
                table.text, column.text
            );
            return self.problem(
                Code::NotConstant,
                message,
                span,
                Some("begin this line with `worked`".to_owned()),
            );
        }
        if !self.frames.is_empty() {
            self.blocked = true;
            return None;
        }
        let Some(shape) = self.table(&table.text) else {
            return self.no_table(table);
        };
        if shape.made.is_some_and(|made| self.waits_for(made.cell)) {
            return None;
        }
        let found = shape.columns.iter().find(|known| known.0 == column.text);
        if let (None, Some(cell)) = (found, self.known.names.worked_column((table, column))) {
            return self.cell(cell, span);
        }
        if shape.awaits_rows && found.is_some() {
            self.blocked = true;
            return None;
        }
        if let Some((_, id, kind)) = found {
            return Some(Typed::new(*kind, true, span, Node::Column(*id)));
        }
        if shape.unreadable || shape.broken.contains(&column.text) {
            self.blocked = true;
            return None;
        }
        let message = format!("table `{}` has no column `{}`", table.text, column.text);
        if !self.may_suggest() {
            return self.problem(Code::UnknownColumn, message, column.span, None);
        }
        let broken = shape.broken.iter().map(|name| &**name);
        let worked = self.known.names.worked_columns(&table.text);
        let names: Vec<&str> = shape
            .columns
            .iter()
            .map(|known| &*known.0)
            .chain(broken)
            .chain(worked)
            .collect();
        let near = crate::text::nearest(&column.text, names.iter().copied());
        let mend = near.map(|near| (column.span, near.to_owned()));
        let help = match near {
            Some(near) => format!("write `{}.{near}`, if that is meant", table.text),
            None => format!("its columns are {}", in_backticks(&names)),
        };
        self.mendable(Code::UnknownColumn, message, column.span, Some(help), mend)
    }

    pub(super) fn no_table(&mut self, table: &Name) -> Option<Typed> {
        if self.not_in_used(&table.text, "table", table.span).is_some() {
            return None;
        }
        if self.known.names.get(&table.text).is_some() {
            let message = format!("`{}` is no table and has no columns", table.text);
            return self.problem(Code::UnknownColumn, message, table.span, None);
        }
        let near = self.suggest(&table.text);
        let help = near.map(|near| format!("write `{near}`, if that is meant"));
        let mend = near.map(|near| (table.span, near.to_owned()));
        let message = format!("no table here is named `{}`", table.text);
        self.mendable(Code::UnknownName, message, table.span, help, mend)
    }

    fn negate(&mut self, inner: &'a Expression, span: Span) -> Option<Typed> {
        let value = self.expression(inner)?;
        match value.kind {
            Kind::Quantity(unit) if !unit.is_point() => {}
            Kind::Decibels => return Some(negated(value.with_kind(Kind::Quantity(decibel())), span)),
            kind => {
                let message = format!("a minus sign can't turn {}", describe(kind));
                let code = if is_pointlike(kind) {
                    Code::PointArithmetic
                } else {
                    Code::KindClash
                };
                return self.problem(code, message, span, None);
            }
        }
        Some(negated(value, span))
    }

    fn not(&mut self, inner: &'a Expression, span: Span) -> Option<Typed> {
        let value = self.expression(inner)?;
        let value = self.truth(value)?;
        let column = value.column;
        Some(Typed::new(Kind::Truth, column, span, Node::Not(Box::new(value))))
    }

    pub(super) fn truth(&mut self, value: Typed) -> Option<Typed> {
        if value.kind == Kind::Truth {
            return Some(value);
        }
        let message = format!("this is {} where true or false is needed", describe(value.kind));
        let help = "compare it with something, such as `x > 0 lb`".to_owned();
        self.problem(Code::KindClash, message, value.span, Some(help))
    }

    fn binary(&mut self, operator: BinaryOperator, sides: &'a (Expression, Expression), at: At) -> Option<Typed> {
        match operator {
            BinaryOperator::Power => return self.power(sides, at),
            BinaryOperator::Of => return self.one_cell(sides, at.place, at.span),
            _ => {}
        }
        let left = self.expression(&sides.0);
        let outside = self.in_where;
        self.in_where |= operator == BinaryOperator::Where;
        let right = self.expression(&sides.1);
        self.in_where = outside;
        let (left, right) = (left?, right?);
        match operator {
            BinaryOperator::Add => self.add(left, right, at),
            BinaryOperator::Subtract => self.subtract(left, right, at),
            BinaryOperator::Multiply => self.multiply(Arithmetic::Multiply, left, right, at),
            BinaryOperator::Divide => self.multiply(Arithmetic::Divide, left, right, at),
            BinaryOperator::And => self.both(left, right, at.span),
            BinaryOperator::Or => self.joined(left, right, at.span, Node::Or),
            BinaryOperator::Where => self.filtered(left, right, at),
            BinaryOperator::Power | BinaryOperator::Of => None,
        }
    }

    pub(super) fn joined(
        &mut self,
        left: Typed,
        right: Typed,
        span: Span,
        node: fn(Box<(Typed, Typed)>) -> Node,
    ) -> Option<Typed> {
        let left = self.truth(left);
        let right = self.truth(right);
        let (left, right) = (left?, right?);
        let column = left.column || right.column;
        Some(Typed::new(Kind::Truth, column, span, node(Box::new((left, right)))))
    }

    fn filtered(&mut self, left: Typed, right: Typed, at: At) -> Option<Typed> {
        let right = self.truth(right)?;
        if !left.column || !right.column {
            let which = if left.column { "its right" } else { "its left" };
            let message = format!("`where` keeps rows of a column, and what stands to {which} is a single value");
            return self.problem(Code::ColumnOrValue, message, at.place, None);
        }
        let left = self.settle(left);
        let kind = left.kind;
        // `a where b where c` keeps the rows in which both hold
        let (kept, condition) = match left.node {
            Node::Where(inner) => {
                let (kept, first) = *inner;
                let joined = first.span.to(right.span);
                let node = Node::And(Box::new((first, right)));
                (kept, Typed::new(Kind::Truth, true, joined, node))
            }
            _ => (left, right),
        };
        Some(Typed::new(
            kind,
            true,
            at.span,
            Node::Where(Box::new((kept, condition))),
        ))
    }

    fn choice(&mut self, parts: &'a (Expression, Expression, Expression), span: Span) -> Option<Typed> {
        let condition = self.expression(&parts.0).and_then(|value| self.truth(value));
        let first = self.expression(&parts.1);
        let second = self.expression(&parts.2);
        let (condition, first, second) = (condition?, first?, second?);
        let (first, second, kind) = self.alike(first, second, parts.2.span, Meeting::Together)?;
        let column = condition.column || first.column || second.column;
        Some(Typed::new(
            kind,
            column,
            span,
            Node::If(Box::new((condition, first, second))),
        ))
    }

    fn comparison(&mut self, comparison: &'a Comparison, span: Span) -> Option<Typed> {
        let mut left = self.expression(&comparison.first);
        let mut whole: Option<Typed> = None;
        let mut failed = false;
        for (operator, place, right) in &comparison.links {
            let right = self.expression(right);
            let link = match (&left, &right) {
                (Some(left), Some(right)) => self.compared(*operator, left.clone(), right.clone(), self.here(*place)),
                _ => None,
            };
            failed |= link.is_none();
            whole = join_links(whole, link, span);
            if let Some(joined) = whole.take() {
                whole = self.in_one_day(joined);
                failed |= whole.is_none();
            }
            left = right;
        }
        if failed { None } else { whole }
    }

    pub(super) fn compared(
        &mut self,
        operator: ComparisonOperator,
        left: Typed,
        right: Typed,
        place: Span,
    ) -> Option<Typed> {
        let equality = matches!(operator, ComparisonOperator::Equal | ComparisonOperator::Unequal);
        if !equality && matches!(left.kind, Kind::Text | Kind::Truth) {
            let message = format!("{} has no order; only `=` and `<>` compare it", describe(left.kind));
            return self.problem(Code::KindClash, message, place, None);
        }
        let span = left.span.to(right.span);
        let (left, right, _) = self.alike(left, right, place, Meeting::Comparison)?;
        let (left, right) = self.known_text(left, right)?;
        let column = left.column || right.column;
        Some(Typed::new(
            Kind::Truth,
            column,
            span,
            Node::Compare(operator, Box::new((left, right))),
        ))
    }

    /// A dimensionless value as a plain number.
    pub(super) fn plain(&self, value: Typed) -> Typed {
        match self.fit(value, Kind::Quantity(Unit::ONE)) {
            Ok(value) | Err(value) => value,
        }
    }
}

/// What would go into brackets, or before them.
fn box_help(value: &Typed, found: Kind, wanted: Unit) -> Option<String> {
    if let Some(help) = gauge_help(value).filter(|_| wanted.is_dimensionless()) {
        return Some(help);
    }
    match (found, &value.node) {
        (Kind::Quantity(unit), Node::Constant(number)) if unit == Unit::ONE => {
            Some(format!("write `{} {wanted}`", number.to_plain()))
        }
        (Kind::Quantity(unit), _) if unit == Unit::ONE => {
            Some(format!("multiply by `1 {wanted}`, or give its parts their units"))
        }
        // a point where its interval or the absolute scale was asked for
        (Kind::Quantity(unit), _) if unit.is_point() && conversion(unit.interval(), wanted).is_some() => Some(format!(
            "write `[{unit}]`, or `absolute(…)` for the distance from absolute zero in `{wanted}`"
        )),
        // a difference where the point was asked for
        (Kind::Quantity(unit), _) if wanted.is_point() && conversion(unit, wanted.interval()).is_some() => {
            Some(format!("show it in `{}`", wanted.interval()))
        }
        _ => None,
    }
}

fn negated(value: Typed, span: Span) -> Typed {
    let (kind, column) = (value.kind, value.column);
    let node = match value.node {
        Node::Constant(number) => Node::Constant(number.neg()),
        _ => Node::Negate(Box::new(value)),
    };
    Typed::new(kind, column, span, node)
}

fn join_links(whole: Option<Typed>, link: Option<Typed>, span: Span) -> Option<Typed> {
    match (whole, link) {
        (Some(whole), Some(link)) => {
            let column = whole.column || link.column;
            Some(Typed::new(
                Kind::Truth,
                column,
                span,
                Node::And(Box::new((whole, link))),
            ))
        }
        (None, link) => link,
        (whole, None) => whole,
    }
}

fn quantity(value: Number, unit: Unit, signed: bool, span: Span) -> Typed {
    let kind = if is_decibel(unit) && !signed {
        Kind::Decibels
    } else {
        Kind::Quantity(unit)
    };
    Typed::constant(value, kind, span)
}

impl Checker<'_> {
    /// Whether a tolerance goes with its value; reports it where it doesn't.
    pub(super) fn tolerance_fits(&mut self, value: &Typed, tolerance: &Tolerance) -> bool {
        let unit = match value.kind {
            Kind::Quantity(unit) => unit,
            Kind::Level | Kind::Decibels => super::checker::decibel(),
            Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => super::meet::unit_named("s"),
            Kind::Text | Kind::Truth => {
                let message = format!("{} can't have a tolerance", describe(value.kind));
                return self
                    .problem::<()>(Code::TolerancePlace, message, tolerance.span, None)
                    .is_some();
            }
        };
        match tolerance.of {
            ToleranceOf::Percent if unit.is_point() || !matches!(value.kind, Kind::Quantity(_)) => {
                let message = format!("a percentage of {} means nothing", describe(value.kind));
                let help = format!("give it in `{}`", unit.interval());
                self.problem::<()>(Code::PercentOfPoint, message, tolerance.span, Some(help))
                    .is_some()
            }
            ToleranceOf::Percent => true,
            ToleranceOf::Unit(given) if conversion(given, unit.interval()).is_some() => true,
            ToleranceOf::Unit(given) => {
                let (found, wanted) = (Kind::Quantity(given), Kind::Quantity(unit.interval()));
                let (code, _) = self.clash_code(found, wanted);
                let message = format!(
                    "the value is {}, and its tolerance is {}",
                    describe(value.kind),
                    describe(found)
                );
                let help = (given == Unit::ONE).then(|| format!("write `± {} {}`", tolerance.amount, unit.interval()));
                self.problem::<()>(code, message, tolerance.span, help).is_some()
            }
        }
    }
}
