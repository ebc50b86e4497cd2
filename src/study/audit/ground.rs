//! What looking for slips stands on: formulas as they were checked, what lines say of
//! themselves in words, and values in the unit that is asked for.
//!
//! Start reading at [`Ground`]; [`terms`] and [`factors`] take a formula apart.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use crate::number::Number;
use crate::sheet::Sheet;
use crate::sheet::checker::Shape;
use crate::sheet::names::{CellId, ColumnId};
use crate::sheet::typed::{Arithmetic, Node, Typed};
use crate::study::vary::Varied;
use crate::syntax::tree::Node as Line;
use crate::trade::{Body, Built, Fact};
use crate::unit::{Kind, Unit, conversion};

use super::all_cells;

/// A worksheet, made ready to be looked through.
pub(super) struct Ground<'a> {
    pub(super) sheet: &'a Sheet,
    /// The formulas of entries and checks that no case and no trial holds.
    pub(super) formulas: BTreeMap<CellId, Typed>,
    /// What plain numbers measure by their names, `load_w`.
    pub(super) named: BTreeMap<CellId, Kind>,
    /// The formulas of such plain numbers as they are written.
    pub(super) plain: BTreeMap<CellId, Typed>,
    /// Where what is looked at just now stands in the formula of its line.
    pub(super) place: Cell<Place>,
    says: BTreeMap<CellId, Says>,
    needs: BTreeMap<CellId, BTreeSet<CellId>>,
}

/// Where a part stands in the formula of its line.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Place {
    /// It is all of it.
    Whole,
    /// The line is so many times it.
    Above,
    /// The line is something over it.
    Below,
    /// Anywhere else.
    Inside,
}

/// What a line says of itself, in lower case.
#[derive(Default)]
struct Says {
    /// Its name, label, source and note.
    own: String,
    /// Its label, source and note as they are written.
    raw: String,
    /// The prose before it in its section.
    near: String,
    /// That prose as it is written.
    prose: String,
}

impl<'a> Ground<'a> {
    pub(super) fn of(sheet: &'a Sheet) -> Ground<'a> {
        let open = |cell: &CellId| sheet.held(*cell).is_none();
        let typed = |cell: CellId| {
            let mut formula = sheet.typed(cell).into_iter().next()?;
            put_in(&mut formula, &mut BTreeMap::new(), &mut 0);
            Some((cell, formula))
        };
        Ground {
            sheet,
            formulas: all_cells(sheet).filter(open).filter_map(typed).collect(),
            named: BTreeMap::new(),
            plain: BTreeMap::new(),
            place: Cell::new(Place::Whole),
            says: says(sheet),
            needs: all_cells(sheet)
                .map(|cell| (cell, sheet.needed_by(cell).into_iter().collect()))
                .collect(),
        }
    }

    /// The formulas of what is worked out and of checks: whatever isn't put in.
    pub(super) fn worked(&self) -> impl Iterator<Item = (CellId, &Typed)> {
        let formulas = self.formulas.iter().filter(|(cell, _)| !self.is_input(**cell));
        formulas.map(|(cell, formula)| (*cell, formula))
    }

    /// The same, and after each what stands in it and might have been a line of its own. What is
    /// found there is found in that line.
    pub(super) fn works(&self) -> impl Iterator<Item = (CellId, &Typed)> {
        self.all_works().filter(|(cell, _)| !self.is_input(*cell))
    }

    /// The same with what is put in as a formula.
    pub(super) fn all_works(&self) -> impl Iterator<Item = (CellId, &Typed)> {
        let whole = self.formulas.iter().flat_map(|(cell, formula)| {
            let cell = *cell;
            let mut found = vec![(cell, formula, Place::Whole)];
            inner_works(formula, Place::Whole, &mut |part, place| {
                found.push((cell, part, place))
            });
            // a product set apart in a longer one
            let text = self.written(cell);
            for part in parts(formula).into_iter().filter(|part| is_set_apart(text, part)) {
                if !found
                    .iter()
                    .any(|(_, known, _)| std::ptr::eq(bared(known), bared(part)))
                {
                    found.push((cell, part, Place::Inside));
                }
            }
            found
        });
        let seen = whole.map(|(cell, part, place)| {
            self.place.set(place);
            (cell, part)
        });
        seen.chain(std::iter::from_fn(|| {
            self.place.set(Place::Whole);
            None
        }))
    }

    /// All that a cell rests on, itself among them.
    pub(super) fn needs(&self, cell: CellId) -> impl Iterator<Item = CellId> + '_ {
        self.needs.get(&cell).into_iter().flatten().copied()
    }

    pub(super) fn rests_on(&self, cell: CellId, on: CellId) -> bool {
        self.needs.get(&cell).is_some_and(|needs| needs.contains(&on))
    }

    /// Whether a line says one of these words, in its name, label, source or note.
    pub(super) fn says(&self, cell: CellId, words: &[&str]) -> bool {
        self.says.get(&cell).is_some_and(|says| has_word(&says.own, words))
    }

    /// The label, the source and the note of a line as they are written.
    pub(super) fn raw(&self, cell: CellId) -> &str {
        self.says.get(&cell).map_or("", |says| &says.raw)
    }

    /// The line of a cell as it is written.
    pub(super) fn written(&self, cell: CellId) -> &'a str {
        self.sheet.tree().text_of(self.sheet.item_of(cell) as usize)
    }

    /// The prose before a line in its section, as plain words.
    pub(super) fn near(&self, cell: CellId) -> &str {
        self.says.get(&cell).map_or("", |says| &says.near)
    }

    /// The prose before a line in its section as it is written.
    pub(super) fn prose(&self, cell: CellId) -> &str {
        self.says.get(&cell).map_or("", |says| &says.prose)
    }

    /// The same of the prose before the line in its section as well.
    pub(super) fn says_near(&self, cell: CellId, words: &[&str]) -> bool {
        let says = self.says.get(&cell);
        says.is_some_and(|says| has_word(&says.own, words) || has_word(&says.near, words))
    }

    /// The words of a line, in their order.
    pub(super) fn words(&self, cell: CellId) -> Vec<&str> {
        let own = self.says.get(&cell).map_or("", |says| &says.own);
        own.split_whitespace().collect()
    }

    pub(super) fn is_input(&self, cell: CellId) -> bool {
        let input = self.sheet.entry(cell).is_some_and(|entry| entry.kind.is_input());
        input || self.sheet.held(cell).is_some()
    }

    /// What a cell is; of a plain number, what its name tells.
    pub(super) fn shape(&self, cell: CellId) -> Option<Shape> {
        let shape = self.sheet.shape(cell)?;
        let kind = self.named.get(&cell).copied().unwrap_or(shape.kind);
        Some(Shape { kind, ..shape })
    }

    /// The single number of a cell, in a unit that it can be told in.
    pub(super) fn value(&self, cell: CellId, name: &str) -> Option<f64> {
        self.value_in(self.sheet, cell, name)
    }

    pub(super) fn value_in(&self, sheet: &Sheet, cell: CellId, name: &str) -> Option<f64> {
        in_unit(self.shape(cell)?.kind, super::number(sheet, cell)?, name)
    }

    /// A cell with its own number for a value in that unit.
    pub(super) fn at(&self, cell: CellId, value: f64, name: &str) -> Option<(CellId, Number)> {
        let Kind::Quantity(of) = self.shape(cell)?.kind else {
            return None;
        };
        let way = conversion(Unit::parse(name).ok()?, of)?;
        Some((cell, Number::from_f64(way.apply_f64(value)).ok()?))
    }

    /// A cell with what comes of its own number.
    pub(super) fn changed(&self, cell: CellId, change: impl Fn(f64) -> f64) -> Option<(CellId, Number)> {
        let now = super::number(self.sheet, cell)?.to_f64();
        Some((cell, Number::from_f64(change(now)).ok()?))
    }

    /// What a cell is where another is held at so much of itself.
    pub(super) fn with(&self, held: CellId, times: f64, cell: CellId) -> Option<f64> {
        let value = super::number(self.sheet, held)?.to_f64() * times;
        let mut varied = Varied::new(self.sheet, held);
        Some(super::number(varied.near(value)?, cell)?.to_f64())
    }

    /// Whether a cell measures what this unit does; heat is counted in BTU and no load.
    pub(super) fn is(&self, cell: CellId, name: &str) -> bool {
        self.shape(cell)
            .is_some_and(|shape| !shape.column && is_of(shape.kind, name))
    }

    /// Whether a cell is a level of sound.
    pub(super) fn is_level(&self, cell: CellId) -> bool {
        self.shape(cell)
            .is_some_and(|shape| shape.kind == Kind::Level && !shape.column)
    }

    /// Whether a cell is electric load.
    pub(super) fn is_load(&self, cell: CellId) -> bool {
        let shape = self.shape(cell);
        shape.is_some_and(|shape| !shape.column && is_load(shape.kind))
    }
}

/// Whether a kind measures what this unit does.
pub(super) fn is_of(kind: Kind, name: &str) -> bool {
    let like = Unit::parse(name).unwrap_or(Unit::ONE);
    matches!(kind, Kind::Quantity(of) if of.is_point() == like.is_point() && conversion(of, like).is_some())
}

/// Whether a kind is electric load; heat is counted in BTU.
pub(super) fn is_load(kind: Kind) -> bool {
    is_of(kind, "W") && !is_heat(kind)
}

/// Whether a kind is heat by weight or by volume of a fuel.
pub(super) fn is_heating_value(kind: Kind) -> bool {
    let Kind::Quantity(of) = kind else { return false };
    // energy by volume is a pressure by its dimension
    let energy = ["BTU", "Wh", "J", "therm"]
        .iter()
        .any(|energy| of.to_string().contains(energy));
    is_of(kind, "BTU/lb") || energy && is_of(kind, "BTU/gal")
}

/// Whether a kind is what is burnt in a time.
pub(super) fn is_rate(kind: Kind) -> bool {
    is_of(kind, "lb/h") || is_of(kind, "gal/h") || is_of(kind, "W") && is_heat(kind)
}

/// Whether a kind is what fuel is counted in, or how long it lasts.
pub(super) fn is_fuel(kind: Kind) -> bool {
    ["lb", "gal", "h", "lb/h", "gal/h"].iter().any(|unit| is_of(kind, unit)) || is_heat(kind)
}

fn is_heat(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(of) if of.to_string().contains("BTU"))
}

/// Whether a kind is a plain number or a share.
pub(super) fn is_plain(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(of) if !of.is_point() && conversion(of, Unit::ONE).is_some())
}

pub(super) fn in_unit(kind: Kind, value: Number, name: &str) -> Option<f64> {
    if kind == Kind::Level {
        return (name == "dB").then_some(value.to_f64());
    }
    let Kind::Quantity(of) = kind else { return None };
    let to = if name.is_empty() {
        Unit::ONE
    } else {
        Unit::parse(name).ok()?
    };
    Some(conversion(of, to)?.apply(value).ok()?.to_f64())
}

// ---- words ----

fn says(sheet: &Sheet) -> BTreeMap<CellId, Says> {
    let cells = super::cells_by_item(sheet);
    let (mut found, mut near, mut prose) = (BTreeMap::new(), String::new(), String::new());
    for (item, line) in (0u32..).zip(&sheet.tree().items) {
        match &line.node {
            Line::Heading(_) => {
                near.clear();
                prose.clear();
            }
            Line::Prose(span) => {
                let text = span.of(sheet.tree().text_of(item as usize));
                near = format!("{near} {}", plain(text));
                prose = format!("{prose} {text}");
            }
            Line::Entry(entry) => {
                let Some(cell) = cells.get(&item) else { continue };
                let (mut source, mut note) = (&entry.source, &entry.note);
                let held = sheet.held(*cell);
                if held.is_some() {
                    (source, note) = (&None, &None);
                }
                let quoted = [&entry.label, source, note].into_iter().flatten();
                let quoted: Vec<&str> = quoted.map(|quoted| &*quoted.text).collect();
                let held = held.and_then(|held| held.source.clone()).unwrap_or_default();
                let own = plain(&format!("{} {} {held}", entry.name.text, quoted.join(" ")));
                let near = near.clone();
                let raw = format!("{} ; {held}", quoted.join(" ; "));
                let prose = prose.clone();
                found.insert(*cell, Says { own, raw, near, prose });
            }
            _ => {}
        }
    }
    found
}

/// Words alone, in lower case, a space on either side of each.
pub(super) fn plain(text: &str) -> String {
    let letters = text.chars().map(|c| match c.is_alphanumeric() || c == '%' {
        true => c.to_ascii_lowercase(),
        false => ' ',
    });
    let letters: String = letters.collect();
    let words: Vec<&str> = letters.split_whitespace().collect();
    format!(" {} ", words.join(" "))
}

/// Whether a plain text has one of these words, alone or with an s.
pub(super) fn has_word(text: &str, words: &[&str]) -> bool {
    let has = |word: &&str| text.contains(&format!(" {word} ")) || text.contains(&format!(" {word}s "));
    words.iter().any(has)
}

// ---- formulas ----

/// What a formula adds up, each part with whether it counts up.
pub(super) fn terms(value: &Typed) -> Vec<(bool, &Typed)> {
    let mut found = Vec::new();
    each_term(value, true, &mut found);
    found
}

fn each_term<'a>(value: &'a Typed, up: bool, found: &mut Vec<(bool, &'a Typed)>) {
    match &value.node {
        Node::Convert(inner, _) | Node::Let(_, inner) => each_term(inner, up, found),
        Node::Negate(inner) => each_term(inner, !up, found),
        Node::Arithmetic(Arithmetic::Add, _, sides) => {
            each_term(&sides.0, up, found);
            each_term(&sides.1, up, found);
        }
        Node::Arithmetic(Arithmetic::Subtract, _, sides) => {
            each_term(&sides.0, up, found);
            each_term(&sides.1, !up, found);
        }
        Node::Call(function, arguments) if function.tells(Fact::FirstLessOthers) => {
            let each = arguments.iter().enumerate();
            each.for_each(|(place, argument)| each_term(argument, up == (place == 0), found));
        }
        _ => found.push((up, value)),
    }
}

/// The sums and differences of a formula that are in no other.
pub(super) fn outermost_sums(formula: &Typed) -> Vec<&Typed> {
    let all = parts(formula);
    let sums: Vec<&Typed> = all.into_iter().filter(|part| terms(part).len() > 1).collect();
    let mut outer: Vec<&Typed> = Vec::new();
    for sum in sums {
        if !outer
            .iter()
            .any(|known| parts(known).iter().any(|part| std::ptr::eq(*part, sum)))
        {
            outer.push(sum);
        }
    }
    outer
}

/// What a formula multiplies, each part with whether it stands above the stroke.
pub(super) fn factors(value: &Typed) -> Vec<(bool, &Typed)> {
    let mut found = Vec::new();
    each_factor(value, true, &mut found);
    found
}

fn each_factor<'a>(value: &'a Typed, above: bool, found: &mut Vec<(bool, &'a Typed)>) {
    match &value.node {
        Node::Convert(inner, _) | Node::Negate(inner) | Node::Let(_, inner) => each_factor(inner, above, found),
        Node::Arithmetic(Arithmetic::Multiply, _, sides) => {
            each_factor(&sides.0, above, found);
            each_factor(&sides.1, above, found);
        }
        Node::Arithmetic(Arithmetic::Divide, _, sides) => {
            each_factor(&sides.0, above, found);
            each_factor(&sides.1, !above, found);
        }
        _ => found.push((above, value)),
    }
}

/// The entries that a formula has above the stroke.
pub(super) fn above(formula: &Typed) -> impl Iterator<Item = CellId> {
    let above = factors(formula).into_iter().filter(|(above, _)| *above);
    above.filter_map(|(_, part)| cell_of(part))
}

/// The sums, products and calls that a formula is made of.
fn inner_works<'a>(value: &'a Typed, place: Place, found: &mut impl FnMut(&'a Typed, Place)) {
    let inside = |part| (part, Place::Inside);
    let (terms, factors) = (terms(value), factors(value));
    let mut inner: Vec<(&Typed, Place)> = match (terms.len(), factors.as_slice()) {
        (2.., _) => terms.into_iter().map(|(_, part)| inside(part)).collect(),
        (_, [_, _, ..]) => {
            let of = |above: bool| match (place, above) {
                (Place::Whole, true) => Place::Above,
                (Place::Whole, false) => Place::Below,
                _ => Place::Inside,
            };
            factors.iter().map(|(above, part)| (*part, of(*above))).collect()
        }
        (_, [(_, single)]) => children(single).into_iter().map(inside).collect(),
        _ => Vec::new(),
    };
    inner.retain(|(part, _)| {
        !matches!(
            bared(part).node,
            Node::Constant(_) | Node::Cell(_) | Node::Column(_) | Node::Shared(_)
        )
    });
    for (part, place) in inner {
        found(part, place);
        inner_works(part, Place::Inside, found);
    }
}

/// Whether a part that is worked out is a call, or stands in brackets of its own.
fn is_set_apart(text: &str, part: &Typed) -> bool {
    let written = text.get(part.span.start as usize..part.span.end as usize).unwrap_or("");
    let mut open = 0;
    // one that is closed before the end is another's
    let within = written.char_indices().all(|(place, c)| {
        open += i32::from(c == '(') - i32::from(c == ')');
        open > 0 || place + 1 == written.len()
    });
    let bracketed = within && written.starts_with('(') && matches!(part.node, Node::Arithmetic(..));
    bracketed || matches!(part.node, Node::Call(..))
}

/// The entries that a part names.
pub(super) fn cells_in(part: &Typed) -> Vec<CellId> {
    parts(part).into_iter().filter_map(cell_of).collect()
}

/// A part without what only converts it or turns its sign.
fn bared(part: &Typed) -> &Typed {
    match &part.node {
        Node::Convert(inner, _) | Node::Negate(inner) => bared(inner),
        _ => part,
    }
}

/// No more parts than this are put in place of what rules share.
const MOST_SHARED: usize = 1000;

/// Puts what a rule of the worksheet's own is given in the places that its body has it in.
fn put_in(part: &mut Typed, shared: &mut BTreeMap<u32, Typed>, count: &mut usize) {
    *count += 1;
    match &mut part.node {
        Node::Let(arguments, body) => {
            for (number, argument) in arguments.iter_mut() {
                put_in(argument, shared, count);
                shared.insert(*number, argument.clone());
            }
            put_in(body, shared, count);
            if *count < MOST_SHARED {
                *part = (**body).clone().with_kind(part.kind);
            }
        }
        Node::Shared(number) if *count < MOST_SHARED => {
            if let Some(argument) = shared.get(number) {
                *count += parts(argument).len();
                *part = argument.clone().with_kind(part.kind);
            }
        }
        _ => inner_of(part)
            .into_iter()
            .for_each(|inner| put_in(inner, shared, count)),
    }
}

/// What a part is made of, to be changed.
pub(super) fn inner_of(part: &mut Typed) -> Vec<&mut Typed> {
    match &mut part.node {
        Node::Convert(inner, _) | Node::Negate(inner) | Node::Not(inner) => vec![inner],
        Node::Arithmetic(_, _, sides)
        | Node::Compare(_, sides)
        | Node::And(sides)
        | Node::Or(sides)
        | Node::Where(sides)
        | Node::Schedule(_, sides) => vec![&mut sides.0, &mut sides.1],
        Node::If(three) => vec![&mut three.0, &mut three.1, &mut three.2],
        Node::Call(_, arguments) => arguments.iter_mut().collect(),
        Node::Let(arguments, body) => {
            let arguments = arguments.iter_mut().map(|(_, argument)| argument);
            arguments.chain([&mut **body]).collect()
        }
        _ => Vec::new(),
    }
}

/// The parts of a formula, itself first.
pub(super) fn parts(value: &Typed) -> Vec<&Typed> {
    let mut found = vec![value];
    let mut next = 0;
    while let Some(part) = found.get(next).copied() {
        next += 1;
        found.extend(children(part));
    }
    found
}

/// What a part is made of.
fn children(part: &Typed) -> Vec<&Typed> {
    match &part.node {
        Node::Convert(inner, _) | Node::Negate(inner) | Node::Not(inner) => vec![inner],
        Node::Arithmetic(_, _, sides)
        | Node::Compare(_, sides)
        | Node::And(sides)
        | Node::Or(sides)
        | Node::Where(sides)
        | Node::Schedule(_, sides) => vec![&sides.0, &sides.1],
        Node::If(three) => vec![&three.0, &three.1, &three.2],
        Node::Call(_, arguments) => arguments.iter().collect(),
        Node::Let(arguments, body) => arguments
            .iter()
            .map(|(_, argument)| argument)
            .chain([&**body])
            .collect(),
        _ => Vec::new(),
    }
}

/// The entry that a part is, whatever unit it is taken in.
pub(super) fn cell_of(part: &Typed) -> Option<CellId> {
    match &part.node {
        Node::Convert(inner, _) => cell_of(inner),
        Node::Cell(cell) => Some(*cell),
        _ => None,
    }
}

/// The number that a part is, with what it measures.
pub(super) fn constant(part: &Typed) -> Option<(Kind, Number)> {
    match part.node {
        Node::Constant(number) => Some((part.kind, number)),
        _ => None,
    }
}

/// The plain number that a part is.
pub(super) fn bare(part: &Typed) -> Option<f64> {
    constant(part).and_then(|(kind, number)| in_unit(kind, number, ""))
}

/// Whether a part is this plain number.
pub(super) fn is_bare(part: &Typed, value: f64) -> bool {
    bare(part).is_some_and(|bare| (bare - value).abs() < 1e-9)
}

/// Whether a part is 24 h, or 24 h in a day.
pub(super) fn is_all_day(part: &Typed) -> bool {
    let hours = constant(part).and_then(|(kind, number)| match is_daily(kind) {
        true => Some(number.to_f64()),
        false => in_unit(kind, number, "h"),
    });
    hours.is_some_and(|hours| (hours - 24.0).abs() < 1e-9)
}

/// Whether a kind is fuel or money in an hour.
pub(super) fn is_hourly(kind: Kind) -> bool {
    let hourly = |of: Unit| ["lb/h", "kg/h", "gal/h", "$/h"].contains(&&*of.to_string());
    matches!(kind, Kind::Quantity(of) if hourly(of))
}

/// Whether a kind is hours in a day.
pub(super) fn is_daily(kind: Kind) -> bool {
    matches!(kind, Kind::Quantity(of) if of.to_string() == "h/d")
}

/// The arguments of a call of a built-in function.
pub(super) fn call(part: &Typed, wanted: Built) -> Option<&[Typed]> {
    match &part.node {
        Node::Call(function, arguments) if matches!(function.body, Body::Built(built) if built == wanted) => {
            Some(arguments)
        }
        Node::Convert(inner, _) => call(inner, wanted),
        _ => None,
    }
}

/// The first argument of such a call.
pub(super) fn argument(part: &Typed, wanted: Built) -> Option<&Typed> {
    call(part, wanted)?.first()
}

/// The column that a part is, whatever unit it is taken in.
pub(super) fn column_of(part: &Typed) -> Option<u32> {
    match &part.node {
        Node::Convert(inner, _) => column_of(inner),
        Node::Column(ColumnId(slot)) => Some(*slot),
        _ => None,
    }
}
