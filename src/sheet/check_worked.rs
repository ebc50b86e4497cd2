//! Checking tables that are worked out from columns: `totals`, `sorted` and `grid`.
//!
//! Their columns carry what the columns that they come from carry: units, ± and
//! correlations. Their kinds are known only here, not when tables are read.
//! Start reading at [`Checker::worked_table`].

use crate::problem::Code;
use crate::syntax::tree::{Argument, Call, Expression, ExpressionNode};
use crate::text::Span;
use crate::trade::general::{OF_SORTED, TOTALS};
use crate::trade::{Body, Built, Function};
use crate::unit::{Kind, Unit};

use super::check_made::{MadeCall, table_function};
use super::checker::{Checker, TableShape, describe};
use super::names::{CellId, Named};
use super::typed::{Grid, Node, Typed, Worked};
use super::worked_calls::sorted_table;

/// The function of the evaluator that makes a table of this call, where one does.
pub(super) fn worked_by(expression: &Expression) -> Option<(Built, &Call)> {
    let (Some(function), ExpressionNode::Call(call)) = (table_function(expression), &expression.node) else {
        return None;
    };
    match function.body {
        Body::Built(built) => Some((built, call)),
        _ => None,
    }
}

impl<'a> Checker<'a> {
    /// Checks a call that makes a table from columns.
    pub(super) fn worked_table(
        &mut self,
        function: &'static Function,
        built: Built,
        call: &'a Call,
        span: Span,
    ) -> Option<MadeCall> {
        let (arguments, worked) = match built {
            Built::Totals => self.totals(function, call, span)?,
            Built::Sorted => self.sorted(function, call, span)?,
            _ => (Vec::new(), Worked::Grid(self.grid(function, call, span)?)),
        };
        Some(MadeCall {
            function,
            arguments,
            worked: Some(worked),
            span,
        })
    }

    /// `totals(loads.energy, by: loads.rank)`
    fn totals(&mut self, function: &'static Function, call: &'a Call, span: Span) -> Option<(Vec<Typed>, Worked)> {
        let given = self.bind(function, call, span)?;
        let mut values = given
            .into_iter()
            .map(|(_, argument)| self.expression(&argument.value))
            .collect::<Vec<_>>();
        let (by, column) = (self.as_rows(function, values.pop()??)?, values.pop()??);
        let column = self.as_rows(function, column)?;
        let column = self.settle(column);
        if !matches!(column.kind, Kind::Quantity(unit) if !unit.is_point()) {
            return self.not_allowed(function, &column).and(None);
        }
        let part = |function: &'static Function, kind: Kind| {
            Typed::new(kind, true, span, Node::Call(function, vec![column.clone(), by.clone()]))
        };
        let [key, count, sum, mean] = &TOTALS;
        let columns = vec![
            part(key, by.kind),
            part(count, Kind::Quantity(Unit::ONE)),
            part(sum, column.kind),
            part(mean, column.kind),
        ];
        Some((vec![column.clone(), by.clone()], Worked::Columns(columns)))
    }

    fn as_rows(&mut self, function: &Function, value: Typed) -> Option<Typed> {
        if value.column {
            return Some(value);
        }
        let message = format!("`{}` takes columns, and this is a single value", function.name);
        let help = "name a column, such as `loads.rank`".to_owned();
        self.problem(Code::ColumnOrValue, message, value.span, Some(help))
    }

    /// `sorted(loads, by: loads.rank)`
    fn sorted(&mut self, function: &'static Function, call: &'a Call, span: Span) -> Option<(Vec<Typed>, Worked)> {
        let given = self.bind(function, call, span)?;
        let [(_, first), (_, second)] = given.as_slice() else {
            return None;
        };
        let by = self.expression(&second.value);
        let place = first.value.span;
        let named = sorted_table(call).and_then(|name| Some((name, self.known.names.get(name)?)));
        let Some((name, Named::Table(_))) = named else {
            if let ExpressionNode::Name(name) = &first.value.node
                && self.known.names.get(name).is_none()
            {
                return self.unknown_name(name, place).and(None);
            }
            let message = "`sorted` takes a table, by its bare name".to_owned();
            let help = "write `sorted(loads, by: loads.rank)`, with the table's name alone".to_owned();
            return self.problem(Code::KindClash, message, place, Some(help));
        };
        let shape = self.table(name)?;
        if shape.made.is_some_and(|made| self.waits_for(made.cell)) {
            return None;
        }
        if shape.unreadable || shape.awaits_rows {
            self.blocked = true;
            return None;
        }
        let own = self.own_columns(shape, name, place)?;
        let by = self.as_rows(function, by?)?;
        let by = self.settle(by);
        if by.kind == Kind::Truth {
            return self.not_allowed(function, &by).and(None);
        }
        let arguments: Vec<Typed> = own.first().cloned().into_iter().chain([by.clone()]).collect();
        let in_order = own.into_iter().map(|column| Typed {
            node: Node::Call(&OF_SORTED, vec![column.clone(), by.clone()]),
            ..column
        });
        let columns = in_order.collect();
        Some((arguments, Worked::Columns(columns)))
    }

    /// The columns of a table, with those that are worked out, each as an expression.
    fn own_columns(&mut self, shape: &TableShape, table: &str, span: Span) -> Option<Vec<Typed>> {
        let written = shape
            .columns
            .iter()
            .map(|(_, id, kind)| Typed::new(*kind, true, span, Node::Column(*id)));
        let mut columns: Vec<Typed> = written.collect();
        let worked: Vec<CellId> = self.known.names.worked_cells(table).collect();
        for cell in worked {
            if self.waits_for(cell) {
                return None;
            }
            let shape = self.known.shapes.get(cell.0 as usize).copied().flatten()?;
            columns.push(Typed::new(shape.kind, true, span, Node::Cell(cell)));
        }
        Some(columns)
    }

    /// `grid(runtime, load: loads.watts, air: nights.low)`
    fn grid(&mut self, function: &'static Function, call: &'a Call, span: Span) -> Option<Grid> {
        let usage = || Some("write `grid(runtime, load: loads.watts, air: nights.low)`".to_owned());
        let (Some(first), over) = (call.arguments.first(), call.arguments.get(1..).unwrap_or(&[])) else {
            let message = "`grid` needs what is worked out, and what is varied".to_owned();
            return self.problem(Code::ArgumentCount, message, span, usage());
        };
        if !(1..=2).contains(&over.len()) {
            let message = format!(
                "`{}` varies one entry or two, and here are {}",
                function.name,
                over.len()
            );
            return self.problem(Code::ArgumentCount, message, span, usage());
        }
        let found = self.varied(
            first,
            first.value.span,
            match &first.value.node {
                ExpressionNode::Name(name) if first.label.is_none() => Some(name),
                _ => None,
            },
        );
        let mut inputs = Vec::new();
        for argument in over {
            let label = argument.label.as_ref();
            let place = label.map_or(argument.value.span, |label| label.span);
            let input = self.varied(argument, place, label.map(|label| &*label.text));
            let column = self
                .expression(&argument.value)
                .and_then(|value| self.as_rows(function, value));
            if let (Some((cell, kind)), Some(column)) = (input, column) {
                inputs.push((cell, self.fit_cell(column, kind)?));
            }
        }
        let (of, kind) = found?;
        if inputs.len() != over.len() {
            return None;
        }
        if let Some((_, argument)) = inputs.iter().zip(over).find(|((cell, _), _)| *cell == of) {
            let message = "what is worked out can't be varied at once".to_owned();
            return self.problem(Code::ArgumentName, message, argument.value.span, usage());
        }
        if let [(one, _), (other, column)] = inputs.as_slice()
            && one == other
        {
            let message = "both labels name the same entry".to_owned();
            return self.problem(Code::ArgumentName, message, column.span, usage());
        }
        let kinds = inputs.iter().map(|(_, column)| column.kind).chain([kind]).collect();
        Some(Grid {
            of,
            over: inputs,
            kinds,
        })
    }

    /// An entry that holds a single value, by its name.
    fn varied(&mut self, argument: &Argument, span: Span, name: Option<&'a str>) -> Option<(CellId, Kind)> {
        let named = name.map(|name| (name, self.known.names.get(name)));
        let (name, cell) = match named {
            Some((name, Some(Named::Cell(cell)))) => (name, cell),
            Some((name, None)) => return self.unknown_name(name, span).and(None),
            _ => {
                let message = "`grid` takes names here: of what is worked out, and before each colon of what is varied";
                let help = "write `grid(runtime, load: loads.watts)`".to_owned();
                return self.problem(Code::ArgumentName, message.to_owned(), argument.value.span, Some(help));
            }
        };
        if self.waits_for(cell) {
            return None;
        }
        let shape = self.known.shapes.get(cell.0 as usize).copied().flatten()?;
        if shape.column {
            let message = format!(
                "`{name}` is a column, and `grid` takes single values of {}",
                describe(shape.kind)
            );
            return self.problem(Code::ColumnOrValue, message, span, None);
        }
        Some((cell, shape.kind))
    }
}
