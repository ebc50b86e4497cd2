//! From the sheet to a page: formulas laid out, sources numbered, cautions put in their places.
//!
//! All entries are looked at together, so that a long worksheet is appraised once.
//! Sources of rules and cautions are numbered in the order in which a reader meets them.
//! Start reading at [`handout`].

use std::collections::{BTreeMap, BTreeSet};

use crate::sheet::appraisal::Appraisal;
use crate::sheet::names::CellId;
use crate::sheet::{Sheet, Status, order};
use crate::study::blanks::{self, Exercise};
use crate::study::marks::Tables;
use crate::study::nearness::{self, closeness, slips};
use crate::syntax::tree::{EntryKind, Expression, ExpressionNode, Node, Plot};
use crate::text::in_one_line;
use crate::trade::caution::caution;
use crate::trade::{Body, Function};

use super::super::chart::{Body as Drawn, Chart};
use super::super::doubt::Doubt;
use super::super::handout::math::Math;
use super::super::handout::{
    CautionMore, CheckMore, Form, Handout, Left, More, Place, Solution, Sources, Tried, Uncovered, Whose,
};
use super::super::model::{Caution, Entry, Part, Report, Severity, Uncertainty, Value, Weight};
use super::super::visible::sentence;
use super::super::why::SourceUsed;
use super::derived::{Told, derivations, value_of};
use super::marks::appraised_with_draws;
use super::waits::rests_on_a_problem;
use super::why::Builder;
use super::{Options, all_cells, compare, doubt, math, number_shown, shown_value};

/// A page of the worksheet in hand, whose report is this; trials with what they were before.
pub(crate) fn handout(
    sheet: &Sheet,
    report: Report,
    trials: Vec<Tried>,
    (name, made, form): (&str, String, Form),
    options: Options,
) -> Handout {
    let exercises = blanks::exercises(sheet);
    let mut page = one_page(sheet, report, trials, (name, made, form), &exercises, options);
    if form != Form::Key || exercises.is_empty() {
        return page;
    }
    let (answered, solutions) = blanks::solve(sheet, &exercises);
    let sheet = &answered;
    let trials = std::mem::take(&mut page.trials);
    let report = super::report(sheet, options);
    let mut key = one_page(sheet, report, trials, (name, page.made, form), &exercises, options);
    // what was left to the reader shows in the worksheet that isn't answered
    for (more, asked) in key.entries.iter_mut().zip(&page.entries) {
        more.left = asked.left;
    }
    for (more, asked) in key.tables.iter_mut().zip(&page.tables) {
        more.left = asked.left;
    }
    for (entry, asked) in key.report.entries.iter_mut().zip(&page.report.entries) {
        (entry.source, entry.note) = (asked.source.clone(), asked.note.clone());
    }
    for (exercise, solution) in exercises.iter().zip(&solutions) {
        let told = solved(sheet, &key.report, solution, exercise.cell, options);
        key.answer(sheet.name_of(exercise.cell), told);
    }
    let is_check = |cell: &CellId| matches!(sheet.tree().node(sheet.item_of(*cell)), Some(Node::Expect(_)));
    let cells = all_cells(sheet).filter(is_check);
    for (more, cell) in key.checks.iter_mut().zip(cells) {
        more.slips = usual_slips(sheet, cell, options);
        more.near = how_near(sheet, cell);
    }
    key
}

/// `right within 2 % of it, close within 0.4 lb`, as it is written.
fn how_near(sheet: &Sheet, check: CellId) -> Option<String> {
    let (item, _, close) = closeness(sheet, check)?;
    let text = sheet.tree().text_of(item as usize);
    let width = |width: &Expression| {
        let of = if nearness::is_part(sheet, text, close, width) {
            " of it"
        } else {
            ""
        };
        format!("within {}{of}", in_one_line(width.span.of(text)))
    };
    let nearly = close.nearly.as_ref();
    let nearly = nearly.map_or(String::new(), |(nearly, _)| format!(", close {}", width(nearly)));
    Some(format!("right {}{nearly}", width(&close.within)))
}

/// The usual wrong answers that a check knows, with what is said of each.
fn usual_slips(sheet: &Sheet, check: CellId, options: Options) -> Vec<(String, String)> {
    let Some((_, _, close)) = closeness(sheet, check) else {
        return Vec::new();
    };
    let digits = options.digits.min(3);
    let named = match &close.answer.node {
        ExpressionNode::Name(name) => sheet.cell(name),
        _ => None,
    };
    let clock = named.is_some_and(|cell| sheet.asks_for_clock(cell));
    let told = close.slips.iter().zip(slips(sheet, check)).filter_map(|(slip, value)| {
        let (kind, number) = value?;
        let shown = number_shown(sheet, number, kind, clock, None, Options { digits });
        Some((shown.value, slip.hint.text.to_string()))
    });
    told.collect()
}

/// The page of the worksheet as it stands.
fn one_page(
    sheet: &Sheet,
    mut report: Report,
    trials: Vec<Tried>,
    (name, made, form): (&str, String, Form),
    exercises: &[Exercise],
    options: Options,
) -> Handout {
    report.problems.retain(|problem| problem.severity == Severity::Problem);
    // a page says the unit of a column and its ± together
    for column in report.tables.iter_mut().flat_map(|table| table.all_columns()) {
        column.unit = column.beside_name();
    }
    let cases = (form == Form::Full && !sheet.cases().is_empty()).then(|| compare::compare(sheet, options).0);
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
    let told = if form == Form::Pupil && !exercises.is_empty() {
        Told::ByHand
    } else {
        Told::AsWritten
    };
    let mut derived = derivations(sheet, &entry_cells, &table_cells, told, options);
    let leaving = Leaving::of(sheet, exercises);
    let checked = |cell: &CellId| exercises.iter().any(|exercise| exercise.cell == *cell);
    let asked = |cell: &CellId| checked(cell) || leaving.unchecked.contains(cell);
    let entries = entry_cells.iter().map(|cell| More {
        whose: if asked(cell) {
            Whose::ToFill
        } else {
            whose(sheet, *cell)
        },
        left: leaving.of_cell(*cell),
        derivation: derived.remove(cell),
        solution: asked(cell).then(|| match checked(cell) {
            true => Solution::Untold,
            false => Solution::Unchecked,
        }),
        ..More::default()
    });
    let entries = entries.collect();
    let tables = table_cells.iter().map(|cell| More {
        derivation: cell.and_then(|cell| derived.remove(&cell)),
        left: cell.map_or(Left::Told, |cell| leaving.of_cell(cell)),
        ..More::default()
    });
    if form == Form::Pupil && (exercises.is_empty() || !leaving.judging.is_empty()) {
        // a line may be what the reader is to find, or what judges it
        report.charts = report.charts.into_iter().map(Chart::without_fitted).collect();
    }
    let budgets = if form == Form::Full {
        budgets(sheet, options)
    } else {
        Vec::new()
    };
    let mut page = Handout {
        name: name.to_owned(),
        form,
        made,
        has_exercises: !exercises.is_empty(),
        entries,
        tables: tables.collect(),
        charts: charts(sheet, &report.charts, &leaving),
        budgets,
        cautions: report.cautions.iter().map(caution_more).collect(),
        trials,
        cases,
        uncovered: uncovered(&report, &appraisal),
        sources: Sources::default(),
        checks: checks(sheet, exercises),
        report,
    };
    mark_first_rules(&mut page);
    place_cautions(&mut page);
    page.sources = sources(&page);
    page
}

/// What the page to fill in leaves to its reader.
struct Leaving<'a> {
    sheet: &'a Sheet,
    exercises: &'a [Exercise],
    /// Questions that no check asks for.
    unchecked: BTreeSet<CellId>,
    /// What serves to judge exercises, and nothing else.
    judging: BTreeSet<CellId>,
}

impl<'a> Leaving<'a> {
    fn of(sheet: &'a Sheet, exercises: &'a [Exercise]) -> Leaving<'a> {
        let mut leaving = Leaving {
            sheet,
            exercises,
            unchecked: BTreeSet::new(),
            judging: BTreeSet::new(),
        };
        if !exercises.is_empty() {
            leaving.unchecked = blanks::unchecked(sheet).collect();
            let (users, drawn) = uses(sheet);
            let judges = |leaving: &Leaving<'_>, cell: CellId| {
                let users = users.get(&cell).map_or(&[][..], Vec::as_slice);
                let worked = sheet.entry(cell).is_some_and(|entry| entry.kind == EntryKind::Worked);
                let judges = |user: &CellId| leaving.asks(*user) || leaving.judging.contains(user);
                worked && !drawn.contains(&cell) && !users.is_empty() && users.iter().all(judges)
            };
            let next = |leaving: &Leaving<'_>| {
                all_cells(sheet).find(|cell| !leaving.judging.contains(cell) && judges(leaving, *cell))
            };
            // one after another, since what a judging line uses may judge alone too
            while let Some(cell) = next(&leaving) {
                leaving.judging.insert(cell);
            }
        }
        leaving
    }

    /// Whether it is a check that asks for a blank.
    fn asks(&self, cell: CellId) -> bool {
        self.exercises.iter().any(|exercise| exercise.checks.contains(&cell))
    }

    fn of_cell(&self, cell: CellId) -> Left {
        let is_exercise = self.exercises.iter().any(|exercise| exercise.cell == cell);
        let open = match self.exercises {
            [] => whose(self.sheet, cell) == Whose::Worked,
            _ => is_exercise || self.unchecked.contains(&cell) || self.sheet.status(cell) == Status::Waits,
        };
        let broken = !self.exercises.is_empty() && rests_on_a_problem(self.sheet, cell);
        match (self.judging.contains(&cell) || broken, open) {
            (true, _) => Left::Out,
            (false, true) => Left::Open,
            (false, false) => Left::Told,
        }
    }
}

/// Who uses each cell, and the cells that are drawn.
fn uses(sheet: &Sheet) -> (BTreeMap<CellId, Vec<CellId>>, BTreeSet<CellId>) {
    let mut users: BTreeMap<CellId, Vec<CellId>> = BTreeMap::new();
    let mut named = Vec::new();
    for cell in all_cells(sheet) {
        if let Some(item) = sheet.tree().items.get(sheet.item_of(cell) as usize) {
            named.clear();
            order::needs_of(&item.node, sheet.names(), &mut named);
            named
                .iter()
                .for_each(|used| users.entry(CellId(*used)).or_default().push(cell));
        }
    }
    let mut drawn = Vec::new();
    for item in &sheet.tree().items {
        if let Node::Plot(plot) = &item.node {
            plot.columns()
                .for_each(|column| order::gather(column, sheet.names(), &mut drawn));
        }
    }
    (users, drawn.into_iter().map(CellId).collect())
}

/// A rule is said where the page meets it first.
fn mark_first_rules(page: &mut Handout) {
    let parts: Vec<Part> = page.parts().cloned().collect();
    let mut met = BTreeSet::new();
    for part in &parts {
        let derivation = page.more_mut(part).and_then(|more| more.derivation.as_mut());
        for rule in derivation.into_iter().flat_map(|derivation| &mut derivation.rules) {
            rule.is_first = met.insert((rule.name.clone(), rule.formula.clone()));
        }
    }
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
                ..CheckMore::default()
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
    let clock = sheet.asks_for_clock(cell);
    let result = |value| Math::of_result(&shown_value(sheet, value, clock, options));
    match solution {
        blanks::Solution::Formula {
            text,
            expression,
            value,
        } => {
            let formula = math::formula(expression, text, &|_| None);
            // what judges alone is no entry of the report, and has a value here
            let kept_back = |part: &Expression| {
                let (kind, number) = sheet.with_everything().value_of(text, part)?;
                Some(Math::of_value(
                    &number_shown(sheet, number, kind, false, None, options).value,
                ))
            };
            let known = |part: &Expression| match &part.node {
                ExpressionNode::Name(name) => match report.entries.iter().find(|entry| entry.name == **name) {
                    Some(entry) => value_of(Some(entry)),
                    None => kept_back(part),
                },
                _ => None,
            };
            let whole = sheet.with_everything();
            let values = Builder::new(&whole, options).with_numbers(expression, text, sheet.item_of(cell), &known);
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

// ---- charts ----

/// What the page to fill in draws of each plot line: what isn't left to the reader. A chart with limits
/// may show what they are worked out to.
fn charts(sheet: &Sheet, drawn: &[Chart], leaving: &Leaving<'_>) -> Vec<Whose> {
    let plots = sheet.tree().items.iter().filter_map(|item| match &item.node {
        Node::Plot(plot) => Some(plot),
        _ => None,
    });
    let told = plots.zip(drawn).map(|(plot, chart)| {
        let limits = matches!(&chart.body, Drawn::Plane(plane) if !plane.limits.is_empty());
        let left = match leaving.exercises {
            [] => limits || is_worked(sheet, plot),
            _ => matches!(chart.body, Drawn::Nothing(_)),
        };
        if left { Whose::Worked } else { Whose::Given }
    });
    told.collect()
}

fn is_worked(sheet: &Sheet, plot: &Plot) -> bool {
    let worked = |side: &Expression| match &side.node {
        ExpressionNode::Column(names) => sheet.names().cell_of(&names.0.text).is_some(),
        _ => true,
    };
    plot.columns().any(worked)
}

// ---- cautions ----

fn caution_more(told: &Caution) -> CautionMore {
    CautionMore {
        source: caution(&told.code).map_or(String::new(), |known| known.source.title.to_owned()),
        place: match told.weight {
            Weight::Danger => Place::Top,
            Weight::Plan => Place::Beside,
            Weight::Note => Place::Uncovered,
        },
    }
}

/// What to plan by in full beside what raises it first, or at the top where only a check does;
/// the letter of a note wherever it is raised.
fn place_cautions(page: &mut Handout) {
    let parts: Vec<Part> = page.parts().cloned().collect();
    for number in 0..page.cautions.len().min(page.report.cautions.len()) {
        let mut in_full = page
            .cautions
            .get(number)
            .is_some_and(|more| more.place == Place::Beside);
        for part in &parts {
            if !is_cautioned(&page.report, part, number) {
                continue;
            }
            let Some(more) = page.more_mut(part) else { continue };
            match std::mem::take(&mut in_full) {
                true => more.cautions.push(number),
                false => more.cautioned.push(number),
            }
        }
        if let Some(more) = page.cautions.get_mut(number).filter(|_| in_full) {
            more.place = Place::Top;
        }
    }
}

/// Whether a caution belongs to an entry or a table.
fn is_cautioned(report: &Report, part: &Part, caution: usize) -> bool {
    let name = match part {
        Part::Entry(place) => report.entries.get(*place).map(|entry| &entry.name),
        Part::Table(place) => report.tables.get(*place).map(|table| &table.name),
        _ => None,
    };
    let names = report.cautions.get(caution).map_or(&[][..], |caution| &caution.names);
    name.is_some_and(|name| names.contains(name))
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
            "{function} goes by \"{word}\"; other published rules give other answers."
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
        .map(|error| format!("the rule itself may be off by {error}"));
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

/// Every source that the page cites by a number, in the order in which it does; those of the
/// worksheet's own lines stand beside them.
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
    for more in page.parts().filter_map(|part| page.more(part)) {
        let rules = more.derivation.iter().flat_map(|derivation| &derivation.rules);
        for source in rules.filter(|rule| rule.is_first).flat_map(|rule| &rule.sources) {
            met.meet(source.title, source.standing);
        }
        more.cautions.iter().for_each(|place| of_caution(&mut met, *place));
    }
    for source in page.uncovered.iter().flat_map(|told| &told.sources) {
        met.meet(source.title, source.standing);
    }
    for (number, _) in at(Place::Uncovered) {
        of_caution(&mut met, number);
    }
    met
}
