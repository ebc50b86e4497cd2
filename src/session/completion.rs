//! What may stand at a place: words to complete, and the call that is open there.
//!
//! Both the line editor of a terminal and an editor of whole worksheets ask here.
//! Units stand behind numbers and in brackets, those of the kind wanted first;
//! in a call, names that fit the parameter come before the rest, and parameters
//! that have been given are not offered again. Start reading at [`offers`].

use crate::report::pages::{signature, signature_part};
use crate::sheet::Sheet;
use crate::sheet::check::describe;
use crate::sheet::names::Named;
use crate::syntax::tree::{Entry, Node, Rule};
use crate::syntax::{inner_words, openings};
use crate::trade::registry::{function, functions};
use crate::trade::{Function, ParameterKind, ResultKind, Shape};
use crate::unit::symbol::{Symbol, symbols};
use crate::unit::{Kind, Unit, conversion};

use super::verbs::VERBS;

/// What a word that is offered is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sort {
    /// A verb of the interactive session.
    Verb,
    /// A word of the language.
    Word,
    /// An entry.
    Entry,
    /// A table.
    Table,
    /// A column of a table.
    Column,
    /// A case.
    Case,
    /// A heading.
    Section,
    /// A rule of the worksheet.
    Rule,
    /// A function of the trade.
    Function,
    /// A parameter of the function that is called.
    Parameter,
    /// A unit.
    Unit,
    /// A word of a closed list, in quotes.
    Choice,
}

/// A word that may stand there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offer {
    /// As it is listed.
    pub shown: String,
    /// What is put in place of the word being typed.
    pub put: String,
    /// What it is.
    pub sort: Sort,
    /// A word on it; may be empty.
    pub detail: String,
    /// How well it fits: 0 is best.
    pub rank: u8,
}

/// What is being typed into.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Typing {
    /// A line of the interactive session.
    Line,
    /// A worksheet.
    Worksheet,
}

/// What a worksheet has names for, as it stood.
#[derive(Clone, Debug, Default)]
pub struct Vocabulary {
    names: Vec<KnownName>,
    rules: Vec<KnownRule>,
    cases: Vec<String>,
    sections: Vec<String>,
}

/// An entry, a table or a column.
#[derive(Clone, Debug)]
struct KnownName {
    name: String,
    sort: Sort,
    kind: Option<Kind>,
    column: bool,
    input: bool,
    detail: String,
}

/// A rule of the worksheet, as it is written, with the units of its parameters.
#[derive(Clone, Debug)]
struct KnownRule {
    name: String,
    head: String,
    parameters: Vec<(String, Option<Unit>)>,
}

impl Vocabulary {
    /// The names of a worksheet with their kinds.
    pub fn of(sheet: &Sheet) -> Vocabulary {
        let mut known = Vocabulary {
            cases: sheet.cases().iter().map(|case| case.name.clone()).collect(),
            ..Vocabulary::default()
        };
        for (name, named) in sheet.names().all() {
            known.add(sheet, name, named);
        }
        let tree = sheet.tree();
        for (index, item) in tree.items.iter().enumerate() {
            match &item.node {
                Node::Heading(heading) => {
                    let title = heading.title.of(tree.text_of(index));
                    known.sections.push(title.to_owned());
                }
                Node::Rule(rule) => known.rules.extend(known_rule(rule, tree.text_of(index))),
                _ => {}
            }
        }
        known.names.sort_by(|one, other| one.name.cmp(&other.name));
        known.sections.sort_unstable();
        known
    }

    fn add(&mut self, sheet: &Sheet, name: &str, named: Named) {
        match named {
            Named::Cell(cell) => {
                let shape = sheet.shape(cell);
                let entry = sheet.entry(cell);
                self.names.push(KnownName {
                    name: name.to_owned(),
                    sort: Sort::Entry,
                    kind: shape.map(|shape| shape.kind),
                    column: shape.is_some_and(|shape| shape.column),
                    input: entry.is_some_and(|entry| entry.kind.is_input()),
                    detail: entry.map_or(String::new(), |entry| {
                        entry_detail(entry, shape.map(|shape| shape.kind))
                    }),
                });
            }
            Named::Table(place) => {
                let plain = |name: String, sort, kind: Option<Kind>, detail| KnownName {
                    name,
                    sort,
                    kind,
                    column: true,
                    input: false,
                    detail,
                };
                self.names
                    .push(plain(name.to_owned(), Sort::Table, None, "table".to_owned()));
                let table = sheet.tables().get(place as usize);
                let slots = table.into_iter().flat_map(|table| table.columns.iter());
                let columns = slots.filter_map(|slot| sheet.table_column(*slot));
                self.names.extend(columns.map(|column| {
                    let whole = format!("{name}.{}", column.name);
                    plain(whole, Sort::Column, Some(column.kind), describe(column.kind))
                }));
            }
            Named::Rule(_) => {}
        }
    }

    /// A value of the kind that the entry of that name has.
    fn like(&self, name: &str) -> Option<Wanted> {
        let place = self.names.binary_search_by(|one| one.name.as_str().cmp(name)).ok()?;
        self.names.get(place)?.kind.map(Wanted::Like)
    }
}

fn entry_detail(entry: &Entry, kind: Option<Kind>) -> String {
    match kind {
        Some(kind) => format!("{}, {}", entry.kind.word(), describe(kind)),
        None => entry.kind.word().to_owned(),
    }
}

fn known_rule(rule: &Rule, text: &str) -> Option<KnownRule> {
    let parameters = rule.parameters.iter();
    Some(KnownRule {
        name: rule.name.text.to_string(),
        head: rule_head(text, &rule.name.text)?,
        parameters: parameters
            .map(|one| (one.name.text.to_string(), one.unit.map(|unit| unit.unit)))
            .collect(),
    })
}

/// The words that may stand behind `before`, which begins where the line or the item
/// does, in place of `word`, the last piece of it.
pub fn offers(known: &Vocabulary, typing: Typing, before: &str, word: &str) -> Vec<Offer> {
    let mut found = match Standing::of(before) {
        standing if standing.silent => Vec::new(),
        standing if standing.boxed => units(boxed_kind(known, before), word),
        standing if behind_number(before) => units(standing.wanted(known, before), word),
        standing => words(known, typing, &standing, before),
    };
    let lower = word.to_lowercase();
    found.retain(|offer| offer.shown.to_lowercase().starts_with(&lower));
    if found.iter().any(|offer| offer.sort == Sort::Unit) {
        // `m` is not `M`, where both would do.
        let exact = found.iter().any(|offer| offer.shown.starts_with(word));
        found.retain(|offer| !exact || offer.shown.starts_with(word));
    }
    found.sort_by_key(|offer| offer.rank);
    found.dedup_by(|one, other| one.put == other.put);
    found
}

fn offer(shown: &str, put: String, sort: Sort, detail: String, rank: u8) -> Offer {
    Offer {
        shown: shown.to_owned(),
        put,
        sort,
        detail,
        rank,
    }
}

// ---- units ----

/// The units, those of the kind wanted first.
fn units(wanted: Option<Wanted>, word: &str) -> Vec<Offer> {
    // There are many currencies, and few are meant.
    let offered = |unit: &&Symbol| !unit.is_currency() || word.chars().count() > 1;
    let offers = symbols().filter(offered).map(|unit| {
        let kind = Unit::parse(unit.shown()).ok().map(Kind::Quantity);
        let fits = wanted
            .as_ref()
            .zip(kind)
            .is_some_and(|(wanted, kind)| wanted.fits(kind));
        let detail = format!("{}, {}", unit.words(), unit.measures());
        offer(
            unit.shown(),
            unit.shown().to_owned(),
            Sort::Unit,
            detail,
            u8::from(!fits),
        )
    });
    offers.collect()
}

/// The kind of the entry whose brackets are open.
fn boxed_kind(known: &Vocabulary, before: &str) -> Option<Wanted> {
    let head = before.get(..before.rfind('[')?)?;
    known.like(head.split_whitespace().nth(1)?)
}

// ---- words ----

fn words(known: &Vocabulary, typing: Typing, standing: &Standing, before: &str) -> Vec<Offer> {
    let mut found = Vec::new();
    let first = before.split_whitespace().next();
    match (typing, first) {
        (Typing::Line, None) => {
            found.extend(verbs(|verb| verb.typed.is_some()));
            let others = openings().filter(|word| !matches!(*word, "case" | "plot"));
            found.extend(others.map(|word| offer(word, format!("{word} "), Sort::Word, String::new(), 3)));
        }
        (Typing::Line, Some("case")) => {
            let cases = ["base"].into_iter().chain(known.cases.iter().map(String::as_str));
            return cases
                .map(|case| offer(case, case.to_owned(), Sort::Case, String::new(), 0))
                .collect();
        }
        (Typing::Line, Some("show")) => found.extend(sections(known)),
        (Typing::Line, Some("help")) => found.extend(verbs(|_| true)),
        (Typing::Worksheet, None) => {
            return openings()
                .map(|word| offer(word, format!("{word} "), Sort::Word, said(word), 0))
                .collect();
        }
        _ => {}
    }
    if typing == Typing::Worksheet && first == Some("case") && before.ends_with(['\n', ' ', '\t']) {
        let line = before.rsplit('\n').next().unwrap_or(before);
        if line.trim().is_empty() {
            return inputs(known);
        }
    }
    let wanted = standing.wanted(known, before);
    found.extend(arguments(known, standing));
    found.extend(names(known, wanted.as_ref()));
    found.extend(calls(known, wanted.as_ref()));
    if typing == Typing::Worksheet {
        found.extend(inner_words().map(|word| offer(word, word.to_owned(), Sort::Word, said(word), 5)));
    }
    found
}

fn said(word: &str) -> String {
    crate::report::language::term(word).map_or(String::new(), |term| term.summary.to_owned())
}

fn verbs(which: impl Fn(&super::verbs::Verb) -> bool) -> Vec<Offer> {
    let verbs = VERBS.iter().filter(|verb| which(verb));
    verbs
        .map(|verb| offer(verb.name, verb.name.to_owned(), Sort::Verb, verb.summary.to_owned(), 3))
        .collect()
}

fn sections(known: &Vocabulary) -> Vec<Offer> {
    let titles = known.sections.iter();
    titles
        .map(|title| offer(title, title.clone(), Sort::Section, String::new(), 3))
        .collect()
}

/// The inputs, for the lines of a case.
fn inputs(known: &Vocabulary) -> Vec<Offer> {
    let inputs = known.names.iter().filter(|name| name.input);
    inputs
        .map(|one| offer(&one.name, format!("{} = ", one.name), one.sort, one.detail.clone(), 0))
        .collect()
}

/// Parameters that have not been given yet, and the words that the parameter takes.
fn arguments(known: &Vocabulary, standing: &Standing) -> Vec<Offer> {
    let Some(call) = standing.call() else {
        return Vec::new();
    };
    let Some(callee) = Callee::of(known, &call.name) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    if let Some(ParameterKind::Word(words) | ParameterKind::NumberOrWord(words)) = callee.kind(call) {
        let quoted = words.iter().map(|word| format!("\"{word}\""));
        found.extend(quoted.map(|word| offer(&word, word.clone(), Sort::Choice, String::new(), 0)));
    }
    if call.label.is_some() || call.begun {
        return found;
    }
    for (index, parameter) in callee.names().into_iter().enumerate() {
        if index >= call.argument && !call.given.contains(&parameter) {
            let detail = callee.meaning(index);
            found.push(offer(&parameter, format!("{parameter}: "), Sort::Parameter, detail, 2));
        }
    }
    found
}

/// Entries, tables and columns, those that fit first.
fn names(known: &Vocabulary, wanted: Option<&Wanted>) -> Vec<Offer> {
    let names = known.names.iter().map(|one| {
        let fits = wanted
            .zip(one.kind)
            .is_some_and(|(wanted, kind)| wanted.fits(kind) && wanted.takes(one.column));
        let rank = if fits { 1 } else { 4 };
        offer(&one.name, one.name.clone(), one.sort, one.detail.clone(), rank)
    });
    names.collect()
}

/// Rules and functions.
fn calls(known: &Vocabulary, wanted: Option<&Wanted>) -> Vec<Offer> {
    let rules = known.rules.iter();
    let mut found: Vec<Offer> = rules
        .map(|rule| offer(&rule.name, format!("{}(", rule.name), Sort::Rule, rule.head.clone(), 4))
        .collect();
    found.extend(functions().map(|function| {
        let fits = wanted.is_some_and(|wanted| result_kind(function).is_some_and(|kind| wanted.fits(kind)));
        let rank = if fits { 3 } else { 5 };
        let name = function.name;
        offer(
            name,
            format!("{name}("),
            Sort::Function,
            function.summary.to_owned(),
            rank,
        )
    }));
    found
}

fn result_kind(function: &Function) -> Option<Kind> {
    match function.result {
        ResultKind::Quantity("") => Some(Kind::Quantity(Unit::ONE)),
        ResultKind::Quantity(unit) => Unit::parse(unit).ok().map(Kind::Quantity),
        ResultKind::Text => Some(Kind::Text),
        ResultKind::Level => Some(Kind::Level),
        ResultKind::Moment => Some(Kind::Moment),
        _ => None,
    }
}

// ---- what fits ----

/// The kind of value that a place asks for.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Wanted {
    /// What a parameter of a function takes.
    Parameter(ParameterKind, Shape),
    /// A value of the kind of another.
    Like(Kind),
}

impl Wanted {
    fn fits(&self, kind: Kind) -> bool {
        let of_unit = |unit: &str| match (Unit::parse(unit), kind) {
            (Ok(wanted), Kind::Quantity(unit)) => conversion(unit, wanted).is_some(),
            _ => unit.is_empty() && kind == Kind::Quantity(Unit::ONE),
        };
        match self {
            Wanted::Like(Kind::Quantity(wanted)) => {
                matches!(kind, Kind::Quantity(unit) if conversion(unit, *wanted).is_some())
            }
            Wanted::Like(wanted) => *wanted == kind,
            Wanted::Parameter(parameter, _) => match parameter {
                ParameterKind::Quantity(unit) | ParameterKind::Schedule(unit) => of_unit(unit),
                ParameterKind::Word(_) => kind == Kind::Text,
                ParameterKind::NumberOrWord(_) => kind == Kind::Text || of_unit(""),
                ParameterKind::Truth => kind == Kind::Truth,
                ParameterKind::Level => matches!(kind, Kind::Level | Kind::Decibels),
                ParameterKind::Times => matches!(kind, Kind::TimeOfDay | Kind::Moment) || of_unit("h"),
                ParameterKind::Moment => kind == Kind::Moment,
                ParameterKind::AnyQuantity => matches!(kind, Kind::Quantity(_)),
                ParameterKind::LikeFirst | ParameterKind::Anything => false,
            },
        }
    }

    fn takes(&self, column: bool) -> bool {
        match self {
            Wanted::Parameter(_, Shape::Column) => column,
            _ => true,
        }
    }
}

// ---- where one stands ----

/// A call whose parenthesis is open.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct OpenCall {
    /// The function or rule; empty for a parenthesis of its own.
    pub name: String,
    /// Which argument one stands in, from 0.
    pub argument: usize,
    /// The label of that argument.
    pub label: Option<String>,
    /// The labels given before.
    pub given: Vec<String>,
    /// Whether something stands in the argument already.
    begun: bool,
}

/// How things stand at the end of a stretch of text.
#[derive(Default)]
struct Standing {
    calls: Vec<OpenCall>,
    /// Inside a text or a remark, a heading or prose.
    silent: bool,
    /// Inside brackets.
    boxed: bool,
}

impl Standing {
    /// Reads from the start of a line or an item.
    fn of(before: &str) -> Standing {
        let mut standing = Standing::default();
        let mut quoted = false;
        let mut remark = before.trim_start().starts_with(['#', '>']);
        let mut word = String::new();
        let mut last = '\n';
        let mut letters = before.chars().peekable();
        while let Some(letter) = letters.next() {
            match letter {
                '\n' => (quoted, remark) = (false, false),
                _ if remark => {}
                '\\' if quoted => {
                    letters.next();
                }
                '"' | '“' | '”' | '„' => quoted = !quoted,
                _ if quoted => {}
                '-' if last.is_whitespace() && dash_opens_remark(&mut letters) => remark = true,
                _ => standing.read(letter, &word),
            }
            if letter.is_alphanumeric() || letter == '_' {
                word.push(letter);
            } else if letter != ' ' || !matches!(letters.peek(), Some(':' | '(')) {
                word.clear();
            }
            last = letter;
        }
        standing.silent = quoted || remark;
        standing
    }

    fn read(&mut self, letter: char, word: &str) {
        match letter {
            '(' => self.calls.push(OpenCall {
                name: word.to_owned(),
                ..OpenCall::default()
            }),
            ')' => {
                self.calls.pop();
            }
            '[' => self.boxed = true,
            ']' => self.boxed = false,
            _ => {}
        }
        let Some(call) = self.calls.last_mut() else {
            return;
        };
        match letter {
            ',' => {
                call.argument += 1;
                call.label = None;
                call.begun = false;
            }
            ':' if word.starts_with(|first: char| first.is_alphabetic() || first == '_') => {
                call.label = Some(word.to_owned());
                call.given.push(word.to_owned());
                call.begun = false;
            }
            '(' => {}
            _ if letter.is_whitespace() => {}
            _ => call.begun = true,
        }
    }

    /// The innermost call; parentheses of their own don't hide it.
    fn call(&self) -> Option<&OpenCall> {
        self.calls.last().filter(|call| !call.name.is_empty())
    }

    /// What kind of value is wanted here.
    fn wanted(&self, known: &Vocabulary, before: &str) -> Option<Wanted> {
        if let Some(call) = self.call() {
            let callee = Callee::of(known, &call.name)?;
            return callee.wanted(call);
        }
        compared(known, before).or_else(|| assigned(known, before))
    }
}

/// Whether the dash just read is the first of two that open a remark.
fn dash_opens_remark(letters: &mut std::iter::Peekable<std::str::Chars<'_>>) -> bool {
    let mut ahead = letters.clone();
    ahead.next() == Some('-') && ahead.next().is_none_or(char::is_whitespace)
}

/// The kind of the name that stands before an operator: `fuel <= 3 `.
fn compared(known: &Vocabulary, before: &str) -> Option<Wanted> {
    let head = without_number(before.trim_end()).trim_end();
    let operator = |c: char| matches!(c, '<' | '>' | '=' | '≤' | '≥' | '+' | '-' | '−');
    let left = head.trim_end_matches(operator);
    if left.len() == head.len() {
        return None;
    }
    known.like(last_word(left.trim_end()))
}

/// The kind of the entry or input that is being given a value: `air = -5 `.
fn assigned(known: &Vocabulary, before: &str) -> Option<Wanted> {
    let line = before.rsplit('\n').next()?;
    let (head, _) = line.split_once('=')?;
    let mut words = head.split_whitespace();
    let first = words.next()?;
    let name = if openings().any(|word| word == first) {
        words.next()?
    } else {
        first
    };
    known.like(name)
}

fn last_word(text: &str) -> &str {
    let start = text.char_indices().rev();
    let start = start
        .take_while(|(_, c)| c.is_alphanumeric() || *c == '_')
        .last()
        .map_or(text.len(), |(at, _)| at);
    text.get(start..).unwrap_or("")
}

/// The text without the number at its end.
fn without_number(text: &str) -> &str {
    text.trim_end_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '_'))
}

/// Whether a number stands right before, so that a unit may follow.
fn behind_number(before: &str) -> bool {
    let trimmed = before.trim_end_matches([' ', '\t']);
    let ahead = without_number(trimmed);
    let last = trimmed.get(ahead.len()..).unwrap_or("");
    last.starts_with(|c: char| c.is_ascii_digit()) && !ahead.ends_with(|c: char| c.is_alphanumeric() || c == '_')
}

/// Whether the end of `before` is inside a text, a remark, a heading or prose.
pub(super) fn is_silent(before: &str) -> bool {
    Standing::of(before).silent
}

/// Whether a parenthesis is open at the end of `before`, so that its entry goes on.
pub fn is_open(before: &str) -> bool {
    !Standing::of(before).calls.is_empty()
}

/// Whether a unit may stand behind `before`, or a further symbol of one.
pub(super) fn expects_unit(before: &str) -> bool {
    let inside =
        before.trim_end_matches(|c: char| c.is_alphanumeric() || matches!(c, '°' | '/' | '·' | '(' | '*' | '%'));
    Standing::of(before).boxed || behind_number(before) || inside.len() < before.len() && behind_number(inside) || {
        // `3.2 BTU/`, where the digits were taken for a part of the word.
        let start = word_start(before.trim_end_matches(['/', '·', '(', '*']));
        behind_number(before.get(..start).unwrap_or(""))
    }
}

/// Where the word that ends at the end of `line` begins.
pub fn word_start(line: &str) -> usize {
    let is_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '°' | '%' | '$');
    let letters = line.char_indices().rev();
    let start = letters
        .take_while(|(_, c)| is_word(*c))
        .last()
        .map_or(line.len(), |(at, _)| at);
    let word = line.get(start..).unwrap_or("");
    // `20lb`: the unit begins behind the digits.
    let digits = word.len() - word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').len();
    start + digits
}

// ---- calls ----

/// What is called: a function of the trade, or a rule of the worksheet.
enum Callee<'a> {
    Function(&'static Function),
    Rule(&'a KnownRule),
}

impl<'a> Callee<'a> {
    fn of(known: &'a Vocabulary, name: &str) -> Option<Callee<'a>> {
        let rule = || known.rules.iter().find(|rule| rule.name == name).map(Callee::Rule);
        function(name).map(Callee::Function).or_else(rule)
    }

    fn names(&self) -> Vec<String> {
        match self {
            Callee::Function(function) => function.parameters.iter().map(|one| one.name.to_owned()).collect(),
            Callee::Rule(rule) => rule.parameters.iter().map(|(name, _)| name.clone()).collect(),
        }
    }

    fn meaning(&self, index: usize) -> String {
        match self {
            Callee::Function(function) => function.parameters.get(index).map_or("", |one| one.meaning).to_owned(),
            Callee::Rule(_) => String::new(),
        }
    }

    /// The parameter that the argument at hand is for.
    fn place(&self, call: &OpenCall) -> Option<usize> {
        let names = self.names();
        if let Some(label) = &call.label {
            return names.iter().position(|name| name == label);
        }
        let several = matches!(self, Callee::Function(function)
            if function.parameters.last().is_some_and(|last| last.shape == Shape::Several));
        match call.argument < names.len() {
            true => Some(call.argument),
            false if several => names.len().checked_sub(1),
            false => None,
        }
    }

    fn kind(&self, call: &OpenCall) -> Option<ParameterKind> {
        match self {
            Callee::Function(function) => Some(function.parameters.get(self.place(call)?)?.kind),
            Callee::Rule(_) => None,
        }
    }

    fn wanted(&self, call: &OpenCall) -> Option<Wanted> {
        let place = self.place(call)?;
        match self {
            Callee::Function(function) => {
                let parameter = function.parameters.get(place)?;
                Some(Wanted::Parameter(parameter.kind, parameter.shape))
            }
            Callee::Rule(rule) => {
                let (_, unit) = rule.parameters.get(place)?;
                Some(Wanted::Like(Kind::Quantity((*unit)?)))
            }
        }
    }
}

/// A call that is being typed, as it is declared.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Signature {
    /// The whole head, as it is typed.
    pub head: String,
    /// The parameters as they stand in it.
    pub parameters: Vec<String>,
    /// What each parameter means; may be empty.
    pub meanings: Vec<String>,
    /// What the function does; may be empty.
    pub summary: String,
    /// The parameter that is being given, by its place.
    pub active: Option<usize>,
}

/// The innermost call that is open at the end of `before`.
pub fn open_signature(known: &Vocabulary, before: &str) -> Option<Signature> {
    let standing = Standing::of(before);
    if standing.silent {
        return None;
    }
    let call = standing.calls.iter().rev().find(|call| !call.name.is_empty())?;
    let callee = Callee::of(known, &call.name)?;
    let active = callee.place(call);
    Some(match &callee {
        Callee::Function(function) => Signature {
            head: signature(function),
            parameters: function.parameters.iter().map(signature_part).collect(),
            meanings: function.parameters.iter().map(|one| one.meaning.to_owned()).collect(),
            summary: function.summary.to_owned(),
            active,
        },
        Callee::Rule(rule) => Signature {
            head: rule.head.clone(),
            parameters: callee.names(),
            meanings: vec![String::new(); rule.parameters.len()],
            summary: "a rule of this worksheet".to_owned(),
            active,
        },
    })
}

/// A rule's name with its parameters as they are written.
fn rule_head(text: &str, name: &str) -> Option<String> {
    let from = text.find('(')?;
    let mut depth = 0usize;
    let close = text.char_indices().skip_while(|(at, _)| *at < from).find(|(_, c)| {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        depth == 0
    })?;
    Some(format!("{name}{}", text.get(from..=close.0)?))
}
