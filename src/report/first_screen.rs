//! The first screen: what somebody at the set asks, in as few lines as it takes.
//!
//! Answers with how sure they are, below each the plans that may fail by it, the checks that
//! don't simply hold, the dangers, and where the rest is. Start reading at [`first_screen`].

use std::collections::BTreeSet;

use super::document::{Block, Document, Sentence, Term};
use super::model::CARBON_MONOXIDE_BRIEF;
use super::model::{Caution, Check, Entry, Report, Weight};
use super::shown::{IN_ONE_LINE, Shown};
use super::style::{Style, Tone};

/// Checks told one by one that don't hold or could go either way; more are counted.
const CHECKS: usize = 6;
/// Notes that are named; more are counted.
const NAMED: usize = 2;

/// The first screen, on a terminal; `closing` says how to go on, what can be typed in backticks.
pub fn write(report: &Report, closing: &str, style: Style) -> String {
    let mut screen = first_screen(report);
    screen.tell(Tone::Faint, Sentence::marked(closing));
    super::document::terminal::write(&screen, style)
}

/// Answers, checks, dangers, and where the rest is.
pub(crate) fn first_screen(report: &Report) -> Document {
    let mut screen = Document::default();
    if let Some(title) = &report.title {
        screen.0.push(Block::Title(title.into()));
    }
    let in_hand = report.in_hand().lines().into_iter();
    screen.0.extend(in_hand.map(|line| Block::Hand(line.into())));
    if let Some(line) = report.problem_line() {
        screen.tell(Tone::Bad, line);
    }
    screen.gap();
    let mut said = BTreeSet::new();
    let answers = report.answers().map(|answer| told(answer, report, &mut said));
    screen.terms(answers.collect());
    checks(&mut screen, &report.checks);
    dangers(&mut screen, &report.cautions);
    screen.gap();
    notes(&mut screen, &report.cautions, &said);
    screen
}

/// An answer, and what may thwart a plan that rests on it, unless it was said before.
fn told<'a>(answer: &Entry, report: &'a Report, said: &mut BTreeSet<&'a str>) -> Term {
    let label = answer
        .label
        .as_ref()
        .map_or(String::new(), |label| format!(" · {label}"));
    let value = Sentence::default().strong(value(&answer.shown)).plain(label);
    let plans = report.cautions.iter().filter(|caution| {
        let plan = caution.weight == Weight::Plan && caution.answers.contains(&answer.name);
        plan && said.insert(&caution.code)
    });
    let plans = plans.map(|caution| (Some(Tone::Care), caution.brief.into()));
    Term {
        name: (&answer.name).into(),
        said: std::iter::once((None, value)).chain(plans).collect(),
    }
}

/// A value in one line: of a long column the first row, the last, and how many there are.
fn value(shown: &Shown) -> String {
    let Some(rows) = shown.listed() else {
        return shown.in_full();
    };
    let row = |row: usize| format!("{} {}", rows.name(row), rows.told(row)).trim().to_owned();
    match rows.cells.len() {
        count if count > IN_ONE_LINE => format!("{} … {} ({count} rows)", row(0), row(count - 1)),
        count => (0..count).map(row).collect::<Vec<_>>().join(", "),
    }
}

/// How many hold, and those that don't or could go either way.
fn checks(screen: &mut Document, checks: &[Check]) {
    if checks.is_empty() {
        return;
    }
    let close: Vec<&Check> = checks.iter().filter(|check| holds(check) && check.either_way).collect();
    let open = checks.iter().filter(|check| !holds(check));
    screen.gap();
    screen.say(counted(checks, close.len()));
    let told = open.map(|check| {
        let tone = if check.holds.is_none() { Tone::Care } else { Tone::Bad };
        // what its writer says of it tells more than the condition
        let (name, said) = match (&check.message, check.holds) {
            (Some(message), Some(false)) => (check.place(), vec![message.clone()]),
            (message, _) => {
                let said = std::iter::once(check.placed()).chain(message.clone());
                (check.verdict().to_owned(), said.collect())
            }
        };
        Term {
            name: name.into(),
            said: said.into_iter().map(|line| (Some(tone), line.into())).collect(),
        }
    });
    let near = close.iter().map(|check| Term {
        name: "either way".into(),
        said: vec![(None, near_told(check).into())],
    });
    let told: Vec<Term> = told.chain(near).collect();
    let left = told.len().saturating_sub(CHECKS);
    screen.terms(told.into_iter().take(CHECKS).collect());
    if left > 0 {
        let more = Sentence::from(format!("and {left} more: "));
        screen.note(Tone::Faint, more.typed("show checks").plain("."));
    }
}

/// `left >= 8 h, about 62 in 100`
fn near_told(check: &Check) -> String {
    let likely = check.in_hundred.map(|likely| format!(", about {likely} in 100"));
    format!("{}{}", check.text, likely.unwrap_or_default())
}

fn holds(check: &Check) -> bool {
    check.holds == Some(true)
}

/// `6 of 7 checks hold; 2 of them could go either way.`
fn counted(checks: &[Check], close: usize) -> String {
    let all = checks.len();
    let held = checks.iter().filter(|check| holds(check)).count();
    let holding = match (held, all) {
        (1, 1) => "The check holds".to_owned(),
        (0, 1) => match checks.iter().all(|check| check.holds.is_none()) {
            true => "The check is undecided".to_owned(),
            false => "The check does not hold".to_owned(),
        },
        _ if held == all => format!("All {all} checks hold"),
        _ => format!("{held} of {all} checks hold"),
    };
    match close {
        0 => format!("{holding}."),
        1 if all == 1 => format!("{holding}, but could go either way."),
        close => format!("{holding}; {close} of them could go either way."),
    }
}

fn dangers(screen: &mut Document, cautions: &[Caution]) {
    let grave = |caution: &&Caution| caution.weight == Weight::Danger;
    let mut grave: Vec<&Caution> = cautions.iter().filter(grave).collect();
    grave.dedup_by(|one, other| one.code == other.code);
    if cautions.is_empty() {
        return;
    }
    screen.gap();
    let spoken = grave.iter().any(|caution| caution.code == "carbon-monoxide");
    let gas = (!spoken).then_some(CARBON_MONOXIDE_BRIEF);
    let gas = gas.map(Sentence::from);
    let briefs = grave.iter().map(|caution| match &caution.file {
        Some(file) => format!("{} ({file})", caution.brief).into(),
        None => Sentence::from(caution.brief),
    });
    let said = gas.into_iter().chain(briefs).map(|brief| (Some(Tone::Bad), brief));
    let said = said.chain([(Some(Tone::Faint), "Local code and a licensed person decide.".into())]);
    screen.terms(vec![Term {
        name: Sentence::default().strong("danger"),
        said: said.collect(),
    }]);
}

/// What was not said yet, by its codes.
fn notes(screen: &mut Document, cautions: &[Caution], said: &BTreeSet<&str>) {
    let unsaid = |caution: &&Caution| caution.weight != Weight::Danger && !said.contains(caution.code.as_str());
    let mut codes: Vec<&str> = cautions
        .iter()
        .filter(unsaid)
        .map(|caution| caution.code.as_str())
        .collect();
    codes.dedup();
    if codes.is_empty() {
        return;
    }
    let named = codes.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
    let more = match codes.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let notes = Sentence::from(format!("Notes: {named}{more}: "));
    screen.tell(Tone::Faint, notes.typed("show cautions").plain("."));
}
