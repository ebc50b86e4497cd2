//! From a derivation to what a reader gets: names, values put in, conversions in words.
//!
//! Values are shown as the report shows them, without their uncertainty where
//! they stand in a formula, so that the line could be typed. Start reading at [`why`].

use std::collections::BTreeMap;

use crate::number::Number;
use crate::sheet::column::TableColumn;
use crate::sheet::limits::Rows;
use crate::sheet::names::CellId;
use crate::sheet::{Holder as SheetHolder, Reading, Sheet};
use crate::study::marks::Tables;
use crate::study::why::{self as study, Called, Converted, Piece, Thing, rule_text};
use crate::syntax::tree::{ExpressionNode, Node, Typed};
use crate::text::in_one_line;
use crate::trade::Body;
use crate::unit::{Conversion, Kind, Unit};

use super::super::shown::Shown;
use super::super::why::{RuleUsed, SourceUsed, Step, Value, Why};
use super::column::{self, Column};
use super::line_told;
use super::marks::appraised_with_draws;
use super::tolerance::{self, Spelled};
use super::{Options, entry_kind, machine_rows, one_entry, scalar, shown_value, unit_text, within};

/// How many rows of a column are shown.
const ROWS: usize = 5;

/// The derivation of a cell, at most `depth` levels deep.
pub fn why(sheet: &Sheet, cell: CellId, depth: Option<usize>, options: Options) -> Why {
    let depth = depth.unwrap_or(usize::MAX);
    let steps = study::why(sheet, cell, depth);
    let cut = steps.iter().any(|step| step.depth == depth && !step.uses.is_empty());
    let mut builder = Builder::new(sheet, options);
    builder.prepare(&steps);
    let mut written: Vec<Step> = steps.iter().map(|step| builder.step(step)).collect();
    if let Some(asked) = written.first_mut() {
        builder.tell_whole(cell, asked);
    }
    Why { steps: written, cut }
}

/// What tells derivations: the sheet, and the entries as they are shown.
pub(super) struct Builder<'a> {
    pub(super) sheet: &'a Sheet,
    /// A copy, in which arguments are worked out.
    aside: Sheet,
    options: Options,
    /// The entries met, as the report shows them.
    pub(super) shown: BTreeMap<CellId, super::super::model::Entry>,
}

impl Builder<'_> {
    /// Nothing is met yet.
    pub(super) fn new(sheet: &Sheet, options: Options) -> Builder<'_> {
        Builder {
            sheet,
            aside: sheet.clone(),
            options,
            shown: BTreeMap::new(),
        }
    }

    /// Looks at all entries together, so that one appraisal serves.
    pub(super) fn prepare(&mut self, steps: &[study::Step]) {
        let used = steps
            .iter()
            .flat_map(|step| std::iter::once(&step.thing).chain(&step.uses));
        let cells: Vec<CellId> = used
            .filter_map(|thing| match thing {
                Thing::Entry(cell) => Some(*cell),
                _ => None,
            })
            .collect();
        let appraisal = appraised_with_draws(self.sheet, &cells, Tables::Drawn);
        for cell in cells {
            if let Some(entry) = one_entry(self.sheet, cell, self.options, &appraisal, None) {
                self.shown.insert(cell, entry);
            }
        }
    }

    fn step(&mut self, step: &study::Step) -> Step {
        let mut written = match step.thing {
            Thing::Entry(cell) => self.entry(cell),
            Thing::Table(table) => self.table(table),
            Thing::Column(table, slot) => self.column(table, slot),
        };
        if !step.pieces.is_empty() {
            written.formula = Some(self.formula(step));
            written.substituted = Some(self.substituted(step)).filter(|with| Some(with) != written.formula.as_ref());
        }
        written.uses = step.uses.iter().map(|thing| self.name(*thing)).collect();
        written.conversions = step
            .conversions
            .iter()
            .filter(|one| !is_plain(one))
            .map(|one| self.conversion(one))
            .collect();
        written.conversions.dedup();
        let item = match step.thing {
            Thing::Entry(cell) => self.sheet.item_of(cell),
            Thing::Table(table) | Thing::Column(table, _) => self.table_item(table),
        };
        written.rules = step.calls.iter().filter_map(|call| self.rule(call, item)).collect();
        let own = step.rules.iter().map(|item| own_rule(self.sheet, *item));
        written.rules.extend(own);
        written
    }

    // ---- what a step is about ----

    fn entry(&self, cell: CellId) -> Step {
        let Some(entry) = self.shown.get(&cell) else {
            return self.blank(self.name(Thing::Entry(cell)), String::new(), u32::MAX);
        };
        let kind = self.sheet.entry(cell).map_or("", |tree| entry_kind(tree.kind).word());
        let mut step = self.blank(entry.name.clone(), kind.to_owned(), self.sheet.item_of(cell));
        step.value = self.value(cell);
        step.unit = entry.unit.clone();
        step.source = entry.source.clone();
        step.label = entry.label.clone();
        step.shown = vec![entry.shown.in_full()];
        step.held = self.sheet.held(cell).map(|held| match held.by {
            SheetHolder::Case => "held by the case",
            SheetHolder::Trial => "on trial",
        });
        let mut found: Vec<Vec<String>> = self
            .sheet
            .lines_of(cell)
            .iter()
            .map(line_told::line_sentences)
            .collect();
        found.dedup();
        step.line_found = found.concat();
        step
    }

    /// Of what was asked for every row of a column is told.
    fn tell_whole(&self, cell: CellId, step: &mut Step) {
        let (Some(shape), Reading::Column(cells)) = (self.sheet.shape(cell), self.sheet.reading(cell)) else {
            return;
        };
        let rows = cells
            .iter()
            .map(|cell| cell.map(|cell| scalar(self.sheet, cell, shape.kind)));
        step.value = Value::Column {
            first: rows.collect(),
            count: cells.len(),
        };
        step.rows = self.shown.get(&cell).and_then(|entry| entry.shown.listed().cloned());
    }

    fn value(&self, cell: CellId) -> Value {
        let Some(shape) = self.sheet.shape(cell) else {
            return Value::Nothing;
        };
        self::value(self.sheet, cell, shape.kind)
    }

    fn table(&self, table: u32) -> Step {
        let item = self.table_item(table);
        let mut step = self.blank(self.name(Thing::Table(table)), "table".to_owned(), item);
        let Some(told) = super::table(self.sheet, table as usize, self.options) else {
            return step;
        };
        step.source = told.source.clone();
        step.label = told.label.clone();
        step.shown = match &told.standing {
            Some(standing) => vec![standing.clone()],
            None => told.columns.iter().map(|column| ends_of(column, told.rows())).collect(),
        };
        step
    }

    fn column(&self, table: u32, slot: u32) -> Step {
        let name = self.name(Thing::Column(table, slot));
        let item = self.table_item(table);
        let mut step = self.blank(name, "table".to_owned(), item);
        let Some(column) = self.sheet.table_column(slot) else {
            return step;
        };
        if let Some(Node::Table(tree)) = self.sheet.tree().node(item) {
            step.source = tree.source.as_ref().map(|source| source.text.to_string());
        }
        let cells = self.sheet.column_rows(slot);
        step.value = first_rows(self.sheet, cells, column.kind);
        step.unit = Some(unit_text(column.kind)).filter(|unit| !unit.is_empty());
        step.shown = vec![self.readings(column, cells)];
        step
    }

    /// The first rows of a table's column, with the ± of each or of all.
    fn readings(&self, column: &TableColumn, cells: Rows<'_>) -> String {
        if cells.is_empty() {
            return "no rows yet".to_owned();
        }
        let tolerances = tolerance::of_column(column, &cells, Spelled::InFull);
        let own = |row: usize| tolerances.own.get(row).cloned().flatten();
        let rows = self.rows_with(cells, column.kind, &own);
        match tolerances.common {
            Some(common) if tolerances.own.is_empty() => format!("{rows}, each ± {common}"),
            Some(common) => format!("{rows}, the others ± {common}"),
            None => rows,
        }
    }

    /// The first rows of a column and how many there are.
    fn rows(&self, rows: Rows<'_>, kind: Kind) -> String {
        self.rows_with(rows, kind, &|_| None)
    }

    /// The same, with what a row has behind its own ±.
    fn rows_with(&self, rows: Rows<'_>, kind: Kind, own: &dyn Fn(usize) -> Option<String>) -> String {
        let column = Column::without_doubts(rows, kind);
        let value = |row: usize| column::cell(self.sheet, column, row, None, self.options).map(|shown| shown.value);
        let one = |row: usize| match (value(row), own(row)) {
            (Some(value), Some(own)) => format!("{value} ± {own}"),
            (Some(value), None) => value,
            (None, _) => "missing".to_owned(),
        };
        let first: Vec<String> = (0..rows.len()).take(ROWS).map(one).collect();
        match rows.len() {
            count if count > ROWS => format!("{}, … ({count} rows)", first.join(", ")),
            _ => first.join(", "),
        }
    }

    fn table_item(&self, table: u32) -> u32 {
        self.sheet
            .tables()
            .get(table as usize)
            .map_or(u32::MAX, |table| table.item)
    }

    fn blank(&self, name: String, kind: String, item: u32) -> Step {
        Step {
            name,
            kind,
            formula: None,
            substituted: None,
            value: Value::Nothing,
            unit: None,
            uses: Vec::new(),
            source: None,
            line: self.sheet.line(item),
            file: self.sheet.file_of(item).map(|file| file.name.clone()),
            shown: Vec::new(),
            rows: None,
            label: None,
            held: None,
            conversions: Vec::new(),
            rules: Vec::new(),
            line_found: Vec::new(),
        }
    }

    fn name(&self, thing: Thing) -> String {
        let table_name = |table: u32| super::table_name(self.sheet, table).to_owned();
        match thing {
            Thing::Entry(cell) => self.sheet.name_of(cell).unwrap_or("").to_owned(),
            Thing::Table(table) => table_name(table),
            Thing::Column(table, slot) => {
                let column = self.sheet.table_column(slot).map_or("", |column| &column.name);
                format!("{}.{column}", table_name(table))
            }
        }
    }

    // ---- the formula ----

    fn formula(&self, step: &study::Step) -> String {
        let pieces = step.pieces.iter().map(|piece| match piece {
            Piece::Text(text) | Piece::Name(text, _) => text.as_str(),
        });
        in_one_line(&pieces.collect::<String>())
    }

    fn substituted(&self, step: &study::Step) -> String {
        let pieces = step.pieces.iter().map(|piece| match piece {
            Piece::Text(text) => text.clone(),
            Piece::Name(name, thing) => self.put_in(name, *thing),
        });
        in_one_line(&pieces.collect::<String>())
    }

    /// What stands in the place of a name; the name itself for what is no single value.
    fn put_in(&self, name: &str, thing: Thing) -> String {
        match thing {
            Thing::Entry(cell) => match (self.shown.get(&cell), self.sheet.reading(cell)) {
                (Some(_), Reading::Column(cells)) => {
                    let kind = self.sheet.shape(cell).map(|shape| shape.kind);
                    kind.map_or_else(|| name.to_owned(), |kind| format!("({})", self.rows(cells, kind)))
                }
                (Some(entry), Reading::Within(_)) => format!("({})", entry.shown.value),
                (Some(entry), Reading::Number(_)) => typed_back(&entry.shown, &entry.value_type),
                _ => name.to_owned(),
            },
            Thing::Column(_, slot) => match self.sheet.table_column(slot) {
                Some(column) => format!("({})", self.rows(self.sheet.column_rows(slot), column.kind)),
                None => name.to_owned(),
            },
            Thing::Table(_) => name.to_owned(),
        }
    }

    // ---- conversions and rules ----

    pub(super) fn conversion(&self, converted: &Converted) -> String {
        match converted {
            Converted::Quantity {
                written,
                from,
                becomes,
                to,
            } => format!("{written} {from} = {} {}", six(*becomes), word(*to)),
            Converted::Unit { from, to, conversion } if conversion.offset.is_zero() => one_of(from, *to, conversion),
            Converted::Unit { from, to, conversion } => moved(from, *to, conversion),
        }
    }

    /// A trade function's rule, with the values of this call where it takes single ones.
    pub(super) fn rule(&mut self, call: &Called, item: u32) -> Option<RuleUsed> {
        let function = call.function;
        // the table that it is asked of tells the rule
        let of_table = matches!(function.body, Body::OfTable(_)) && call.arguments.iter().flatten().count() == 1;
        if of_table || matches!(function.body, Body::Built(_)) {
            return None;
        }
        let sources = function.sources.iter().map(|source| SourceUsed {
            title: source.title,
            standing: source.standing.word(),
        });
        Some(RuleUsed {
            name: function.name.to_owned(),
            formula: function.formula.to_owned(),
            with_values: self.with_values(call, item),
            sources: sources.collect(),
        })
    }

    pub(super) fn with_values(&mut self, call: &Called, item: u32) -> Option<String> {
        if !names_all(call) {
            return None;
        }
        let mut values = Vec::new();
        for (parameter, given) in call.function.parameters.iter().zip(&call.arguments) {
            let text = given.as_deref().or(parameter.default)?;
            values.push((parameter.name, self.worked_out(text, item)));
        }
        put_values(call.function.formula, &values)
    }

    /// An argument as a value that could be typed; `None` where it isn't a single one.
    pub(super) fn worked_out(&mut self, text: &str, item: u32) -> Option<String> {
        let Ok(Typed::Expression { expression, unit }) = self.sheet.tree().read_piece(item, text) else {
            return None;
        };
        let named = match &expression.node {
            ExpressionNode::Name(name) => self.sheet.cell(name),
            _ => None,
        };
        if let Some(entry) = named.and_then(|cell| self.shown.get(&cell)) {
            let single = matches!(entry.value, super::super::model::Value::One(_));
            return single.then(|| typed_back(&entry.shown, &entry.value_type));
        }
        let evaluated = self.aside.evaluate(text, &expression, unit.as_ref()).ok()?;
        evaluated.number()?;
        let shown = shown_value(self.sheet, &evaluated, false, self.options);
        Some(typed_back(&shown, &super::value_type(evaluated.shape.kind)))
    }
}

/// Whether the formula of a function names every argument that was given.
pub(super) fn names_all(call: &Called) -> bool {
    let words: Vec<&str> = call.function.formula.split(|c: char| !is_word(c)).collect();
    let given = call.function.parameters.iter().zip(&call.arguments);
    let mut given = given.filter(|(_, argument)| argument.is_some());
    given.all(|(parameter, _)| words.contains(&parameter.name))
}

/// The formula of a function with values in place of its parameters; `None` where
/// it names none, or one without a single value.
pub(super) fn put_values(formula: &str, values: &[(&str, Option<String>)]) -> Option<String> {
    let mut text = String::new();
    let mut found = false;
    let mut rest = formula;
    while !rest.is_empty() {
        let end = rest.find(|c: char| !is_word(c)).unwrap_or(rest.len());
        if end == 0 {
            let next = rest.chars().next()?;
            text.push(next);
            rest = rest.strip_prefix(next)?;
            continue;
        }
        let (word, after) = rest.split_at(end);
        match values.iter().find(|(name, _)| *name == word) {
            Some((_, value)) => {
                found = true;
                text.push_str(value.as_deref()?);
            }
            None => text.push_str(word),
        }
        rest = after;
    }
    found.then_some(text)
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

pub(super) fn own_rule(sheet: &Sheet, item: u32) -> RuleUsed {
    RuleUsed {
        name: String::new(),
        formula: rule_text(sheet, item).trim_start_matches("rule ").to_owned(),
        with_values: None,
        sources: Vec::new(),
    }
}

/// A column by its first rows.
pub(super) fn first_rows(sheet: &Sheet, rows: Rows<'_>, kind: Kind) -> Value {
    Value::Column {
        first: machine_rows(sheet, rows, kind).take(ROWS).collect(),
        count: rows.len(),
    }
}

/// The value of a cell for machines.
pub(super) fn value(sheet: &Sheet, cell: CellId, kind: Kind) -> Value {
    match sheet.reading(cell) {
        Reading::Number(number) => Value::One(scalar(sheet, number, kind)),
        Reading::Column(rows) => first_rows(sheet, rows, kind),
        Reading::Within(range) => Value::One(within::machine(sheet, range, kind)),
        Reading::None(_) => Value::Nothing,
    }
}

/// `time [h]: 0.00 … 1.97 (13 rows)`
fn ends_of(column: &super::super::model::Column, rows: usize) -> String {
    let unit = column.beside_name().map_or(String::new(), |unit| format!(" {unit}"));
    let end = |cell: Option<&String>| {
        cell.filter(|text| !text.is_empty())
            .map_or("missing", String::as_str)
            .to_owned()
    };
    let (first, last) = (end(column.shown.first()), end(column.shown.last()));
    format!("{}{unit}: {first} … {last} ({rows} rows)", column.name)
}

/// A value as it could be typed: without uncertainty, a negative one in parentheses, a text in quotes.
pub(super) fn typed_back(shown: &Shown, kind: &super::super::model::ValueType) -> String {
    use super::super::model::ValueType;
    match kind {
        ValueType::Text => format!("\"{}\"", shown.value),
        _ if shown.value.starts_with('-') => format!("({})", shown.value),
        _ => shown.value.clone(),
    }
}

/// Whether every reader knows a conversion: hours in seconds, a plain number in `%`.
fn is_plain(converted: &Converted) -> bool {
    let Converted::Unit { from, to, .. } = converted else {
        return false;
    };
    let is_time = |unit: Unit| unit.measures() == "a time";
    from.trim().is_empty() || is_time(*to) && Unit::parse(from).is_ok_and(is_time)
}

/// `1 h = 3600 s`: of two units the larger one stands on the left.
fn one_of(from: &str, to: Unit, conversion: &Conversion) -> String {
    let ratio = conversion.ratio;
    let turned = ratio.numerator.compare(ratio.denominator).is_lt() && to != Unit::ONE && !from.contains(' ');
    let (left, right, number) = match turned {
        true => (to.to_string(), from.to_owned(), ratio.denominator.div(ratio.numerator)),
        false => (from.to_owned(), word(to), ratio.numerator.div(ratio.denominator)),
    };
    let number = number.map_or_else(|_| "…".to_owned(), six);
    let (left, right) = shorn(&left, &right).unwrap_or((&left, &right));
    format!("1 {left} = {number} {right}").trim_end().to_owned()
}

/// What is left of two quotients of units where one side of both is the same: `kWh` and `Wh` of
/// `$/Wh` and `$/kWh`.
fn shorn<'a>(left: &'a str, right: &'a str) -> Option<(&'a str, &'a str)> {
    let ((over, under), (other_over, other_under)) = (left.split_once('/')?, right.split_once('/')?);
    match (over == other_over, under == other_under) {
        (true, false) => Some((other_under, under)),
        (false, true) => Some((over, other_over)),
        _ => None,
    }
}

/// `°C = (°F × 5 − 160) / 9`: a scale with another zero.
fn moved(from: &str, to: Unit, conversion: &Conversion) -> String {
    let ratio = conversion.ratio;
    let times = match ratio.numerator == Number::ONE {
        true => String::new(),
        false => format!(" × {}", six(ratio.numerator)),
    };
    let (sign, offset) = match conversion.offset.is_negative() {
        true => ("−", conversion.offset.neg()),
        false => ("+", conversion.offset),
    };
    let sum = format!("{from}{times} {sign} {}", six(offset));
    match ratio.denominator == Number::ONE {
        true => format!("{to} = {sum}"),
        false => format!("{to} = ({sum}) / {}", six(ratio.denominator)),
    }
}

fn word(unit: Unit) -> String {
    match unit == Unit::ONE {
        true => String::new(),
        false => unit.to_string(),
    }
}

fn six(number: Number) -> String {
    number.round_significant(6).to_plain()
}
