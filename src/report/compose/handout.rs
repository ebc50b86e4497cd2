//! From the sheet to a page: formulas laid out, sources numbered, cautions put in their places.
//!
//! All entries are looked at together, so that a long worksheet is appraised once.
//! Sources are numbered in the order in which a reader meets them.
//! Start reading at [`handout`].

use std::collections::{BTreeMap, BTreeSet};

use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::CellId;
use crate::sheet::{Reading, Sheet, Status};
use crate::study::blanks::{self, Exercise};
use crate::study::marks::Tables;
use crate::study::why::{self as study, Thing};
use crate::syntax::tree::{Expression, ExpressionNode, Node, Plot};
use crate::text::without_parentheses;
use crate::trade::caution::caution;
use crate::trade::{Body, Function};

use super::super::chart::{Body as Drawn, Chart};
use super::super::doubt::Doubt;
use super::super::handout::math::Math;
use super::super::handout::{
    CautionMore, CheckMore, Derivation, EntryMore, Form, Handout, Place, Rule, Solution, Sources, TableMore, Tried,
    Uncovered, Whose,
};
use super::super::model::{Entry, Part, Report, Scalar, Severity, Uncertainty, Value};
use super::super::visible::sentence;
use super::super::why::{RuleUsed, SourceUsed};
use super::marks::appraised_with_draws;
use super::why::{Builder, typed_back};
use super::{Options, all_cells, compare, doubt, math, shown_value};

/// Cautions that say what the numbers don't cover rather than what to take care of.
const OF_NUMBERS: [&str; 7] = [
    "below-zero",
    "by-draws",
    "clock-change",
    "left-out",
    "missing-cells",
    "one-sided",
    "two-tables",
];

/// The page of the worksheet in hand, whose report is this; trials with what they were before.
pub fn handout(
    sheet: &Sheet,
    report: Report,
    trials: Vec<Tried>,
    (name, form): (&str, Form),
    options: Options,
) -> Handout {
    let exercises = blanks::exercises(sheet);
    let mut page = one_page(sheet, report, trials, (name, form), &exercises, options);
    if form == Form::Blank && !exercises.is_empty() {
        let (answered, solutions) = blanks::solve(sheet, &exercises);
        let sheet = &answered;
        let report = super::report(sheet, options);
        let mut key = one_page(sheet, report, page.trials.clone(), (name, form), &exercises, options);
        for (exercise, solution) in exercises.iter().zip(&solutions) {
            let told = solved(sheet, &key.report, solution, exercise.cell, options);
            key.answer(sheet.name_of(exercise.cell), told);
        }
        key.sources = page.sources.clone();
        key.cases.clone_from(&page.cases);
        page.key = Some(Box::new(key));
    }
    page
}

/// The page of the worksheet as it stands.
fn one_page(
    sheet: &Sheet,
    mut report: Report,
    trials: Vec<Tried>,
    (name, form): (&str, Form),
    exercises: &[Exercise],
    options: Options,
) -> Handout {
    report.problems.retain(|problem| problem.severity == Severity::Problem);
    // a page says the unit of a column and its ± together
    for column in report.tables.iter_mut().flat_map(|table| table.all_columns()) {
        column.unit = column.beside_name();
    }
    let cases = (!sheet.cases().is_empty()).then(|| compare::compare(sheet, options).0);
    let cells: Vec<CellId> = all_cells(sheet).collect();
    let appraisal = appraised_with_draws(sheet, &cells, Tables::Drawn);
    let entry_cells: Vec<CellId> = cells
        .iter()
        .copied()
        .filter(|cell| sheet.entry(*cell).is_some())
        .collect();
    let table_cells: Vec<Option<CellId>> = report
        .tables
        .iter()
        .map(|table| cell_of_table(sheet, table.line))
        .collect();
    let mut derived = derivations(sheet, &entry_cells, &table_cells, options);
    let asked = |cell: &CellId| exercises.iter().any(|exercise| exercise.cell == *cell);
    let entries = report.entries.iter().zip(&entry_cells).map(|(_, cell)| EntryMore {
        whose: if asked(cell) {
            Whose::ToFill
        } else {
            whose(sheet, *cell)
        },
        derivation: derived.remove(cell),
        solution: asked(cell).then_some(Solution::Untold),
        cautions: Vec::new(),
        cautioned: Vec::new(),
    });
    let entries = entries.collect();
    let tables = table_cells.iter().map(|cell| TableMore {
        derivation: cell.and_then(|cell| derived.remove(&cell)),
        ..TableMore::default()
    });
    let budgets = budgets(sheet, options);
    let mut page = Handout {
        name: name.to_owned(),
        form,
        entries,
        tables: tables.collect(),
        charts: charts(sheet, &report.charts),
        budgets,
        cautions: report.cautions.iter().map(|told| caution_more(&told.code)).collect(),
        trials,
        cases,
        uncovered: uncovered(&report, &appraisal),
        sources: Sources::default(),
        checks: checks(sheet, exercises),
        key: None,
        report,
    };
    place_cautions(&mut page);
    page.sources = sources(&page);
    page
}

// ---- exercises ----

/// What each check says where it doesn't hold, and which blank it asks for.
fn checks(sheet: &Sheet, exercises: &[Exercise]) -> Vec<CheckMore> {
    let told = all_cells(sheet).filter_map(|cell| {
        let item = sheet.item_of(cell) as usize;
        match &sheet.tree().items.get(item)?.node {
            Node::Expect(expect) => Some(CheckMore {
                hint: expect.otherwise.as_ref().map(|otherwise| otherwise.text.to_string()),
                asks: asked_by(sheet, cell, exercises),
            }),
            _ => None,
        }
    });
    told.collect()
}

/// The blank that a check asks for; of several the last, which is judged by the others.
fn asked_by(sheet: &Sheet, check: CellId, exercises: &[Exercise]) -> Option<String> {
    let mut asked = exercises.iter().filter(|exercise| exercise.checks.contains(&check));
    sheet.name_of(asked.next_back()?.cell).map(str::to_owned)
}

/// An answer as the key tells it; the report has the values of the answers before it.
fn solved(sheet: &Sheet, report: &Report, solution: &blanks::Solution, cell: CellId, options: Options) -> Solution {
    let clock = sheet
        .entry(cell)
        .and_then(|entry| entry.unit)
        .is_some_and(|unit| unit.clock);
    let result = |value| Math::of_result(&shown_value(sheet, value, clock, options));
    match solution {
        blanks::Solution::Formula {
            text,
            expression,
            value,
        } => {
            let formula = math::formula(expression, text, &|name| Math::Name(name.to_owned()));
            let values = math::formula(expression, text, &|name| {
                value_of(name, report.entries.iter().find(|entry| entry.name == name))
            });
            Solution::Worked {
                values: (values != formula).then_some(values),
                result: result(value),
                formula,
            }
        }
        blanks::Solution::Counted(value) => Solution::Counted {
            result: result(value),
            tried: blanks::MOST_COUNTED,
        },
        blanks::Solution::Untold => Solution::Untold,
    }
}

impl Handout {
    /// Puts what the checks make of a blank beside it.
    fn answer(&mut self, name: Option<&str>, solution: Solution) {
        let entries = self.report.entries.iter().zip(&mut self.entries);
        let blank = entries.into_iter().find(|(entry, _)| Some(entry.name.as_str()) == name);
        if let Some((_, more)) = blank {
            more.solution = Some(solution);
        }
    }
}

/// The most answers whose uncertainty is told.
const MOST_BUDGETS: usize = 12;

/// What makes the answers uncertain, of those that have bars to show.
fn budgets(sheet: &Sheet, options: Options) -> Vec<Doubt> {
    let cells = super::answers(sheet).into_iter().take(MOST_BUDGETS);
    let told = cells.map(|cell| doubt::with_figures(sheet, cell, None, options));
    told.filter(|doubt| doubt.chart.is_some()).collect()
}

/// The table that a function makes on that line.
fn cell_of_table(sheet: &Sheet, line: u32) -> Option<CellId> {
    let table = sheet.tables().iter().find(|table| sheet.line(table.item) == line)?;
    table.cell
}

fn whose(sheet: &Sheet, cell: CellId) -> Whose {
    match (sheet.held(cell), sheet.status(cell)) {
        (Some(_), _) => Whose::Given,
        (None, Status::Blank) => Whose::ToFill,
        _ if sheet.entry(cell).is_some_and(|entry| entry.kind.is_input()) => Whose::Given,
        _ => Whose::Worked,
    }
}

// ---- derivations ----

/// How each entry and each made table is worked out.
fn derivations(
    sheet: &Sheet,
    entries: &[CellId],
    tables: &[Option<CellId>],
    options: Options,
) -> BTreeMap<CellId, Derivation> {
    let places: Vec<(Thing, CellId)> = tables
        .iter()
        .flatten()
        .filter_map(|cell| Some((Thing::Table(study::table_of(sheet, *cell)?), *cell)))
        .collect();
    let things = entries.iter().map(|cell| (Thing::Entry(*cell), *cell));
    let cells: Vec<(Thing, CellId)> = things.chain(places).collect();
    let things: Vec<Thing> = cells.iter().map(|(thing, _)| *thing).collect();
    let steps = study::steps(sheet, &things);
    let mut builder = Builder::new(sheet, options);
    builder.prepare(&steps);
    let mut derived = BTreeMap::new();
    for (step, (_, cell)) in steps.iter().zip(&cells) {
        if let Some(derivation) = builder.derivation(step, *cell) {
            derived.insert(*cell, derivation);
        }
    }
    derived
}

impl Builder<'_> {
    /// The derivation of a step that has a formula.
    fn derivation(&mut self, step: &study::Step, cell: CellId) -> Option<Derivation> {
        if step.pieces.is_empty() {
            return None;
        }
        let item = self.sheet.item_of(cell);
        let (expression, _) = study::formula_of(self.sheet, item)?;
        let text = self.sheet.tree().text_of(item as usize);
        let formula = math::formula(&expression, text, &|name| Math::Name(name.to_owned()));
        let values = math::formula(&expression, text, &|name| self.value_of(name));
        let rules: Vec<RuleUsed> = step.calls.iter().filter_map(|call| self.rule(call)).collect();
        let own = step.rules.iter().map(|item| super::why::own_rule(self.sheet, *item));
        Some(Derivation {
            values: (values != formula).then_some(values),
            result: self.result(cell),
            conversions: step.conversions.iter().map(|one| self.conversion(one)).collect(),
            rules: rules.into_iter().chain(own).map(rule).collect(),
            formula,
        })
    }

    /// The value of an entry that has a single one; else its name.
    fn value_of(&self, name: &str) -> Math {
        value_of(name, self.sheet.cell(name).and_then(|cell| self.shown.get(&cell)))
    }

    fn result(&self, cell: CellId) -> Option<Math> {
        let entry = self.shown.get(&cell)?;
        match self.sheet.reading(cell) {
            Reading::Number(_) => Some(Math::of_result(&entry.shown)),
            Reading::Column(_) | Reading::Within(_) => Some(Math::Text(entry.shown.display())),
            Reading::None(_) => None,
        }
    }
}

/// The value of an entry that has a single one; else its name.
fn value_of(name: &str, entry: Option<&Entry>) -> Math {
    match entry {
        Some(entry) if matches!(entry.value, Value::One(Scalar::Text(_) | Scalar::Truth(_))) => {
            let typed = typed_back(&entry.shown, &entry.value_type);
            Math::of_value(without_parentheses(&typed))
        }
        _ => Math::Name(name.to_owned()),
    }
}

fn rule(used: RuleUsed) -> Rule {
    Rule {
        name: used.name,
        formula: used.formula,
        with_values: used.with_values,
        sources: used.sources,
    }
}

// ---- charts ----

/// What the page draws of each plot line; a chart with limits may show what they are worked out to.
fn charts(sheet: &Sheet, drawn: &[Chart]) -> Vec<Whose> {
    let plots = sheet.tree().items.iter().filter_map(|item| match &item.node {
        Node::Plot(plot) => Some(plot),
        _ => None,
    });
    let told = plots.zip(drawn).map(|(plot, chart)| {
        let limits = matches!(&chart.body, Drawn::Plane(plane) if !plane.limits.is_empty());
        match limits || is_worked(sheet, plot) {
            true => Whose::Worked,
            false => Whose::Given,
        }
    });
    told.collect()
}

fn is_worked(sheet: &Sheet, plot: &Plot) -> bool {
    let worked = |side: &Expression| match &side.node {
        ExpressionNode::Column(names) => sheet.names().cell_of(&names.0.text).is_some(),
        _ => true,
    };
    worked(&plot.vertical) || worked(&plot.horizontal)
}

// ---- cautions ----

fn caution_more(code: &str) -> CautionMore {
    let known = caution(code);
    CautionMore {
        general: known.map_or(String::new(), |known| known.text.to_owned()),
        source: known.map_or(String::new(), |known| known.source.title.to_owned()),
        place: match code {
            "carbon-monoxide" => Place::Top,
            code if OF_NUMBERS.contains(&code) => Place::Uncovered,
            _ => Place::Beside,
        },
    }
}

/// Each caution in full beside what raises it first; what only a check raises stands at the top.
fn place_cautions(page: &mut Handout) {
    let parts: Vec<Part> = page
        .report
        .sections
        .iter()
        .flat_map(|section| section.parts.clone())
        .collect();
    for (number, caution) in page.report.cautions.iter().enumerate() {
        let names: BTreeSet<&str> = caution.names.iter().map(String::as_str).collect();
        let Some(more) = page.cautions.get_mut(number) else {
            continue;
        };
        let mut in_full = more.place == Place::Beside;
        for part in &parts {
            let raised = match part {
                Part::Entry(place) => page.report.entries.get(*place).map(|entry| entry.name.as_str()),
                Part::Table(place) => page.report.tables.get(*place).map(|table| table.name.as_str()),
                _ => None,
            };
            if !raised.is_some_and(|name| names.contains(name)) {
                continue;
            }
            let lists = match part {
                Part::Entry(place) => page
                    .entries
                    .get_mut(*place)
                    .map(|more| (&mut more.cautions, &mut more.cautioned)),
                Part::Table(place) => page
                    .tables
                    .get_mut(*place)
                    .map(|more| (&mut more.cautions, &mut more.cautioned)),
                _ => None,
            };
            let Some((said, raised)) = lists else { continue };
            match std::mem::take(&mut in_full) {
                true => said.push(number),
                false => raised.push(number),
            }
        }
        if in_full {
            more.place = Place::Top;
        }
    }
}

// ---- what the numbers don't cover ----

fn uncovered(report: &Report, appraisal: &Appraisal) -> Vec<Uncovered> {
    let plain = |told: String| Uncovered {
        of: String::new(),
        told,
        sources: Vec::new(),
    };
    let mut list = Vec::new();
    list.extend(exact(report).map(plain));
    list.extend(functions(appraisal).into_iter().filter_map(of_function));
    let choices = appraisal.choices.iter().map(|(_, function, word)| {
        plain(format!(
            "{function} goes by \"{word}\"; other rules that are published answer otherwise."
        ))
    });
    let bases = appraisal.bases.iter().map(|heat| {
        plain(format!(
            "The heat of {} is counted on the {} basis.",
            heat.fuel, heat.basis
        ))
    });
    for one in choices.chain(bases) {
        if !list.contains(&one) {
            list.push(one);
        }
    }
    list
}

/// Every function that something uses, once, in the order in which they are met.
fn functions(appraisal: &Appraisal) -> Vec<&'static Function> {
    let mut seen = BTreeSet::new();
    let used = appraisal.functions.iter().map(|(_, function)| *function);
    used.filter(|function| seen.insert(function.name)).collect()
}

/// How far a rule may itself be out, and what its source covers.
fn of_function(function: &'static Function) -> Option<Uncovered> {
    let error = function
        .rule_error
        .map(|error| format!("the rule itself may be out by {error}"));
    let range = Some(function.range).filter(|range| !range.is_empty() && !matches!(function.body, Body::Built(_)));
    let told: Vec<String> = error
        .into_iter()
        .chain(range.map(str::to_owned))
        .map(|told| sentence(&told))
        .collect();
    if told.is_empty() {
        return None;
    }
    let sources = function.sources.iter().map(|source| SourceUsed {
        title: source.title,
        standing: source.standing.word(),
    });
    Some(Uncovered {
        of: function.name.to_owned(),
        told: told.join(" "),
        sources: sources.collect(),
    })
}

/// The inputs without a ±.
fn exact(report: &Report) -> Option<String> {
    let is_exact = |entry: &&Entry| {
        entry.formula.is_none()
            && entry.uncertainty == Uncertainty::Nothing
            && matches!(entry.value, Value::One(_))
            && entry.value_type != super::ValueType::Text
            && entry.value_type != super::ValueType::Truth
    };
    let names: Vec<&str> = report
        .entries
        .iter()
        .filter(is_exact)
        .map(|entry| entry.name.as_str())
        .collect();
    match names.as_slice() {
        [] => None,
        names => Some(format!(
            "Taken as exact, since no ± stands beside them: {}.",
            names.join(", ")
        )),
    }
}

// ---- sources ----

/// Every source that the page cites, in the order in which it does.
fn sources(page: &Handout) -> Sources {
    let mut met = Sources::default();
    let of_caution = |met: &mut Sources, place: usize| {
        let told = page.report.cautions.get(place).and_then(|told| caution(&told.code));
        if let Some(known) = told {
            met.meet(known.source.title, known.source.standing.word());
        }
    };
    let at = |place: Place| (0..).zip(&page.cautions).filter(move |(_, more)| more.place == place);
    for (number, _) in at(Place::Top) {
        of_caution(&mut met, number);
    }
    let of_derivation = |met: &mut Sources, derivation: &Option<Derivation>| {
        let rules = derivation.iter().flat_map(|derivation| &derivation.rules);
        for source in rules.flat_map(|rule| &rule.sources) {
            met.meet(source.title, source.standing);
        }
    };
    for part in page.report.sections.iter().flat_map(|section| &section.parts) {
        match part {
            Part::Entry(place) => {
                let (Some(entry), Some(more)) = (page.report.entries.get(*place), page.entries.get(*place)) else {
                    continue;
                };
                // what an exercise has behind `from` says what to work out
                if let Some(title) = entry.source.as_ref().filter(|_| more.solution.is_none()) {
                    met.meet(title, entry.kind.word());
                }
                of_derivation(&mut met, &more.derivation);
                more.cautions.iter().for_each(|place| of_caution(&mut met, *place));
            }
            Part::Table(place) => {
                let (Some(table), Some(more)) = (page.report.tables.get(*place), page.tables.get(*place)) else {
                    continue;
                };
                if let Some(title) = &table.source {
                    met.meet(title, "a table of the worksheet");
                }
                of_derivation(&mut met, &more.derivation);
                more.cautions.iter().for_each(|place| of_caution(&mut met, *place));
            }
            _ => {}
        }
    }
    let replaced = page
        .cases
        .iter()
        .flat_map(|cases| &cases.cases)
        .flat_map(|scene| &scene.replaced);
    for title in replaced.filter_map(|replaced| replaced.source.as_ref()) {
        met.meet(title, "in a case");
    }
    for source in page.uncovered.iter().flat_map(|told| &told.sources) {
        met.meet(source.title, source.standing);
    }
    for (number, _) in at(Place::Uncovered) {
        of_caution(&mut met, number);
    }
    met
}
