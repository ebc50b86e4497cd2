//! One of the two worksheets: its entries, tables and rules, and what each means.
//!
//! What a case or a trial holds counts as the value of an entry. Start reading
//! at [`Side`]; [`Meaning`] is what is compared.

use std::collections::BTreeSet;

use foldhash::HashMap;

use crate::number::Number;
use crate::sheet::column::TableColumn;
use crate::sheet::names::{CellId, Named};
use crate::sheet::order::{each_part, expressions_of};
use crate::sheet::table::standard_uncertainty;
use crate::sheet::{Held, HeldValue, Reading, Sheet, tolerance_of};
use crate::syntax::tree::{
    Entry, Expression, ExpressionNode, Node, Rule, TableContent, Tolerance, ToleranceForm, Value,
};
use crate::text::in_one_line;
use crate::unit::{Kind, Unit, conversion};

use super::canon::{Canon, Namer, unit_box};

/// An entry, a table or a rule whose name counts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Thing {
    /// Its name in its own worksheet.
    pub name: String,
    /// What it is.
    pub sort: Sort,
    /// Its item.
    pub item: u32,
    /// Its cell, where it has one.
    pub cell: Option<CellId>,
}

/// What a thing is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Sort {
    /// `measured`, `quoted`, `assumed`
    Input,
    /// `worked`, `answer`
    Worked,
    /// A table that is written down, or read from a file
    Written,
    /// A table that a function makes
    Made,
    /// A rule of the worksheet's own
    Rule,
}

impl Sort {
    /// Entries, tables and rules: only the same sort of thing can have the same name in both.
    pub(crate) fn family(self) -> u8 {
        match self {
            Sort::Input | Sort::Worked => 0,
            Sort::Written | Sort::Made => 1,
            Sort::Rule => 2,
        }
    }
}

/// What a thing comes to.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Meaning {
    /// A value, its own or held.
    Known(Known),
    /// A formula in canonical spelling.
    Formula(String),
    /// Columns that are written down.
    Columns,
    /// It can't be read; the text in one line.
    Unread(String),
}

/// A value with all that counts of it.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Known {
    /// Its kind.
    pub kind: Kind,
    /// Its numbers: one, or a column.
    pub numbers: Vec<Option<Number>>,
    /// Whether it is a column.
    pub column: bool,
    /// The texts, where it is one.
    pub texts: Vec<String>,
    /// Its tolerance: what form it has, its standard uncertainty, its degrees of freedom.
    pub doubt: Option<(u8, f64, Option<Number>)>,
}

/// One worksheet as it stands.
pub(crate) struct Side<'a> {
    /// The sheet, with its case and its trials.
    pub sheet: &'a Sheet,
    /// Its things in the order of the file.
    pub things: Vec<Thing>,
    places: HashMap<String, u32>,
}

impl<'a> Side<'a> {
    /// Gathers what a worksheet has.
    pub(crate) fn new(sheet: &'a Sheet) -> Side<'a> {
        let things: Vec<Thing> = sheet
            .tree()
            .every_item()
            .filter_map(|(item, node)| thing(sheet, item, &node.node))
            .collect();
        let places = (0u32..).zip(&things);
        let places = places.map(|(place, thing)| (thing.name.clone(), place)).collect();
        Side { sheet, things, places }
    }

    /// The place of a thing of that name.
    pub(crate) fn place(&self, name: &str) -> Option<usize> {
        self.places.get(name).map(|place| *place as usize)
    }

    /// The thing at a place.
    pub(crate) fn thing(&self, place: usize) -> Option<&Thing> {
        self.things.get(place)
    }

    fn node(&self, thing: &Thing) -> Option<&'a Node> {
        self.sheet.tree().node(thing.item)
    }

    /// The entry behind a thing.
    pub(crate) fn entry(&self, thing: &Thing) -> Option<&'a Entry> {
        match self.node(thing) {
            Some(Node::Entry(entry)) => Some(entry),
            _ => None,
        }
    }

    fn rule(&self, thing: &Thing) -> Option<&'a Rule> {
        match self.node(thing) {
            Some(Node::Rule(rule)) => Some(rule),
            _ => None,
        }
    }

    /// What is held over a thing.
    pub(crate) fn held(&self, thing: &Thing) -> Option<&'a Held> {
        thing.cell.and_then(|cell| self.sheet.held(cell))
    }

    /// The text of a thing in one line.
    pub(crate) fn text(&self, thing: &Thing) -> String {
        in_one_line(self.sheet.tree().text_of(thing.item as usize))
    }

    /// What stands behind its name, in canonical spelling; `None` where it can't be read,
    /// or its columns are written down.
    pub(crate) fn definition(&self, thing: &Thing, namer: &dyn Namer) -> Option<String> {
        let canon = Canon::new(namer);
        match self.node(thing)? {
            Node::Entry(entry) => {
                let unit = unit_box(entry.unit.as_ref());
                match entry.value.as_ref()? {
                    Value::Blank(_) => Some(format!("{unit} = ?")),
                    Value::Given { expression, .. } => Some(format!("{unit} = {}", canon.expression(expression))),
                }
            }
            Node::Table(table) => match table.content.as_ref()? {
                TableContent::Function(expression) => Some(format!(" = {}", canon.expression(expression))),
                _ => None,
            },
            Node::Rule(rule) => canon.rule(rule),
            _ => None,
        }
    }

    /// What a thing comes to, under these names.
    pub(crate) fn meaning(&self, thing: &Thing, namer: &dyn Namer) -> Meaning {
        if let Some(known) = self.known(thing) {
            return Meaning::Known(known);
        }
        match self.definition(thing, namer) {
            Some(told) => Meaning::Formula(told),
            None if thing.sort == Sort::Written && !self.columns(thing).is_empty() => Meaning::Columns,
            None => Meaning::Unread(self.text(thing)),
        }
    }

    /// The value of an input, or of what is held.
    pub(crate) fn known(&self, thing: &Thing) -> Option<Known> {
        let cell = thing.cell?;
        let kind = self.sheet.shape(cell)?.kind;
        if let Some(held) = self.held(thing) {
            return Some(self.known_of(held, kind));
        }
        if thing.sort != Sort::Input {
            return None;
        }
        let known = self.read(cell)?;
        let value = known.numbers.first().copied().flatten().map_or(0.0, Number::to_f64);
        let tolerance = self.entry(thing).and_then(tolerance_of);
        Some(Known {
            doubt: tolerance.map(|tolerance| doubt(tolerance, kind, value)),
            ..known
        })
    }

    /// The value of any cell, worked out or not.
    pub(crate) fn read(&self, cell: CellId) -> Option<Known> {
        let kind = self.sheet.shape(cell)?.kind;
        let (numbers, column) = match self.sheet.reading(cell) {
            Reading::Number(number) => (vec![Some(number)], false),
            Reading::Column(cells) => (cells.to_vec(), true),
            Reading::Within(_) | Reading::None(_) => return None,
        };
        Some(Known {
            kind,
            texts: self.texts(kind, &numbers),
            numbers,
            column,
            doubt: None,
        })
    }

    /// The value that a case or a trial holds.
    pub(crate) fn known_of(&self, held: &Held, kind: Kind) -> Known {
        let (numbers, column) = match &held.value {
            HeldValue::Number(number) => (vec![Some(*number)], false),
            HeldValue::Column(cells) => (cells.clone(), true),
        };
        let value = numbers.first().copied().flatten().map_or(0.0, Number::to_f64);
        Known {
            kind,
            texts: self.texts(kind, &numbers),
            numbers,
            column,
            doubt: held.tolerance.map(|tolerance| doubt(tolerance, kind, value)),
        }
    }

    fn texts(&self, kind: Kind, numbers: &[Option<Number>]) -> Vec<String> {
        if kind != Kind::Text {
            return Vec::new();
        }
        let texts = numbers.iter();
        let texts = texts.map(|number| number.map_or("", |number| self.sheet.texts().text(number)).to_owned());
        texts.collect()
    }

    /// The columns of a table that is written down, by their headings.
    pub(crate) fn columns(&self, thing: &Thing) -> Vec<&'a TableColumn> {
        let tables = self.sheet.tables();
        let place = tables.binary_search_by_key(&thing.item, |table| table.item);
        let slots = place
            .ok()
            .and_then(|place| tables.get(place))
            .filter(|table| table.cell.is_none())
            .into_iter()
            .flat_map(|table| &table.columns);
        slots.filter_map(|slot| self.sheet.table_column(*slot)).collect()
    }

    /// A column as a value.
    pub(crate) fn column(&self, column: &TableColumn) -> Known {
        Known {
            kind: column.kind,
            texts: self.texts(column.kind, &column.cells),
            numbers: column.cells.clone(),
            column: true,
            doubt: None,
        }
    }

    /// What a thing names directly: other things, and columns as `table.column`.
    pub(crate) fn needs(&self, thing: &Thing) -> BTreeSet<(String, Option<String>)> {
        let mut found = BTreeSet::new();
        if self.held(thing).is_some() {
            return found;
        }
        let Some(node) = self.node(thing) else { return found };
        expressions_of(node, &mut |part| self.need(part, &mut found));
        if let Some(rule) = self.rule(thing) {
            let defaults = rule
                .parameters
                .iter()
                .filter_map(|parameter| parameter.default.as_ref());
            for expression in defaults.chain(&rule.body) {
                each_part(expression, &mut |part| {
                    if matches!(part.node, ExpressionNode::Call(_)) {
                        self.need(part, &mut found);
                    }
                });
            }
        }
        found
    }

    /// What the checks name directly.
    pub(crate) fn needs_of_checks(&self) -> BTreeSet<(String, Option<String>)> {
        let mut found = BTreeSet::new();
        for (_, item) in self.sheet.tree().every_item() {
            if let Node::Expect(expect) = &item.node {
                for expression in expect.expressions() {
                    each_part(expression, &mut |part| self.need(part, &mut found));
                }
            }
        }
        found
    }

    fn need(&self, part: &Expression, found: &mut BTreeSet<(String, Option<String>)>) {
        match &part.node {
            ExpressionNode::Name(name) => found.extend(self.known_name(name).map(|name| (name, None))),
            ExpressionNode::Column(names) => {
                let worked = self.known_name(&format!("{}.{}", names.0.text, names.1.text));
                match (worked, self.known_name(&names.0.text)) {
                    (Some(worked), _) => drop(found.insert((worked, None))),
                    (None, Some(table)) => drop(found.insert((table, Some(names.1.text.to_string())))),
                    (None, None) => {}
                }
            }
            ExpressionNode::Call(call) => {
                let rule = matches!(self.sheet.names().get(&call.name.text), Some(Named::Rule(_)));
                if rule {
                    found.insert((call.name.text.to_string(), None));
                }
            }
            _ => {}
        }
    }

    /// The places of what an expression names.
    pub(crate) fn named_in(&self, expression: &Expression) -> BTreeSet<usize> {
        let mut found = BTreeSet::new();
        each_part(expression, &mut |part| self.need(part, &mut found));
        found.iter().filter_map(|(name, _)| self.place(name)).collect()
    }

    fn known_name(&self, name: &str) -> Option<String> {
        self.places.contains_key(name).then(|| name.to_owned())
    }

    /// The parameters of a rule.
    pub(crate) fn parameters(&self, rule: &str) -> Option<Vec<String>> {
        let thing = self.place(rule).and_then(|place| self.thing(place))?;
        let rule = self.rule(thing)?;
        let names = rule.parameters.iter().map(|parameter| parameter.name.text.to_string());
        Some(names.collect())
    }
}

fn thing(sheet: &Sheet, item: u32, node: &Node) -> Option<Thing> {
    let (name, sort, cell) = match node {
        Node::Entry(entry) => {
            let cell = sheet
                .cell(&entry.name.text)
                .filter(|cell| sheet.item_of(*cell) == item && !sheet.is_kept_back(*cell))?;
            let sort = if entry.kind.is_input() {
                Sort::Input
            } else {
                Sort::Worked
            };
            (&entry.name.text, sort, Some(cell))
        }
        Node::Table(table) => {
            let Some(Named::Table(place)) = sheet.names().get(&table.name.text) else {
                return None;
            };
            let own = sheet.tables().get(place as usize).filter(|table| table.item == item)?;
            let sort = if own.cell.is_some() { Sort::Made } else { Sort::Written };
            (&table.name.text, sort, own.cell)
        }
        Node::Rule(rule) => {
            let own = sheet.names().get(&rule.name.text) == Some(Named::Rule(item));
            own.then_some((&rule.name.text, Sort::Rule, None))?
        }
        _ => return None,
    };
    Some(Thing {
        name: name.to_string(),
        sort,
        item,
        cell,
    })
}

fn doubt(tolerance: Tolerance, kind: Kind, value: f64) -> (u8, f64, Option<Number>) {
    let form = match tolerance.form {
        ToleranceForm::Limits => 0,
        ToleranceForm::Standard | ToleranceForm::Expanded(_) => 1,
    };
    let unit = unit_of(kind).unwrap_or(Unit::ONE);
    (
        form,
        standard_uncertainty(tolerance, unit, value),
        tolerance.degrees_of_freedom,
    )
}

/// The unit in which the numbers of a kind stand.
fn unit_of(kind: Kind) -> Option<Unit> {
    match kind {
        Kind::Quantity(unit) => Some(unit),
        Kind::Level | Kind::Decibels => Unit::parse("dB").ok(),
        Kind::TimeOfDay | Kind::Counted(_) | Kind::Moment => Unit::parse("s").ok(),
        Kind::Text | Kind::Truth => None,
    }
}

/// A number of one kind as another; `None` where they don't meet.
pub(crate) fn as_kind(number: Number, from: Kind, to: Kind) -> Option<Number> {
    match (from, to) {
        (Kind::Quantity(from), Kind::Quantity(to)) => conversion(from, to)?.apply(number).ok(),
        (Kind::Level | Kind::Decibels, Kind::Level | Kind::Decibels) => Some(number),
        (Kind::Text, _) | (_, Kind::Text) => None,
        (from, to) if from.is_like(to) => Some(number),
        _ => None,
    }
}

/// Whether numbers of one kind can stand in place of the other's.
pub(crate) fn meets(one: Kind, other: Kind) -> bool {
    one.is_like(other) || as_kind(Number::ONE, one, other).is_some()
}

impl Known {
    /// Whether both have the same value, whatever their unit.
    pub(crate) fn same_value(&self, other: &Known) -> bool {
        let shape = self.column == other.column && self.numbers.len() == other.numbers.len();
        shape && self.apart(other).is_empty()
    }

    /// The rows that differ, from 0; a row that one of them lacks differs.
    pub(crate) fn apart(&self, other: &Known) -> Vec<usize> {
        let rows = self.numbers.len().max(other.numbers.len());
        (0..rows).filter(|row| !self.same_at(*row, other, *row)).collect()
    }

    /// Whether a row is the same as one of the other.
    pub(crate) fn same_at(&self, row: usize, other: &Known, other_row: usize) -> bool {
        let (Some(one), Some(two)) = (self.numbers.get(row), other.numbers.get(other_row)) else {
            return false;
        };
        let (one, two) = match (one, two) {
            (None, None) => return true,
            (Some(one), Some(two)) => (*one, *two),
            _ => return false,
        };
        if self.kind == Kind::Text || other.kind == Kind::Text {
            return self.kind == other.kind && self.texts.get(row) == other.texts.get(other_row);
        }
        match as_kind(two, other.kind, self.kind) {
            Some(two) if self.kind.is_like(other.kind) => one == two,
            Some(two) => one.agrees_with(two),
            None => false,
        }
    }

    /// Whether both say the same of how far they may be off.
    pub(crate) fn same_doubt(&self, other: &Known) -> bool {
        match (&self.doubt, &other.doubt) {
            (None, None) => true,
            (Some(one), Some(two)) => {
                let theirs = other.doubt_as(self.kind).unwrap_or(two.1);
                one.0 == two.0 && one.2 == two.2 && near(one.1, theirs)
            }
            _ => false,
        }
    }

    /// The standard uncertainty in the unit of another kind; `None` where there is none.
    pub(crate) fn doubt_as(&self, kind: Kind) -> Option<f64> {
        let (_, own, _) = self.doubt?;
        let scale = unit_of(self.kind).zip(unit_of(kind));
        let scale = scale.and_then(|(from, to)| conversion(from.interval(), to.interval()));
        Some(scale.map_or(own, |scale| scale.apply_f64(own)))
    }
}

/// Equal to twelve digits.
pub(crate) fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-12 * one.abs().max(other.abs())
}
