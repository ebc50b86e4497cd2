//! The first screen: what somebody at the set asks, in as few lines as it takes.
//!
//! What speaks against the readings that answers rest on; answers with how sure they are, below each
//! the plans that may fail by it, the checks that don't simply hold, the dangers, and where the rest
//! is; less of each but the first where that takes more than a screen. Start reading at [`write()`].

use std::collections::BTreeSet;

use super::document::{Block, Document, Sentence, Term};
use super::model::CARBON_MONOXIDE_BRIEF;
use super::model::{Caution, Check, Entry, Open, Report, Weight};
use super::rows::row_lines;
use super::shown::{IN_ONE_LINE, Shown};
use super::style::{Style, Tone};
use super::visible::{columns, sentence};

/// Notes that are named; more are counted.
const NAMED: usize = 2;

/// Of a long column so many rows stand there before its last, where there is room: those that come next.
const FIRST: usize = 3;

/// The most lines; a title or a prompt has one more.
const LINES: usize = 23;

/// How much is told where there is room for so much.
#[derive(Clone, Copy)]
struct Room {
    /// Whether a label may go on below its value, in place of being left out.
    labels: bool,
    /// Whether plans that may fail stand below their answers, in place of among the notes.
    plans: bool,
    /// How many checks that don't simply hold are told one by one.
    checks: usize,
    /// Whether empty lines stand above dangers and notes.
    gaps: bool,
    /// How many answers are told.
    answers: usize,
    /// The rows of a column that have a line each; more, and they stand one behind another.
    rows: usize,
}

const AMPLE: Room = Room {
    labels: true,
    plans: true,
    checks: 6,
    gaps: true,
    answers: 40,
    rows: 8,
};
const TIGHT: Room = Room {
    labels: false,
    plans: false,
    checks: 3,
    gaps: false,
    answers: 15,
    rows: 0,
};

/// From ample to tight: the first that keeps to a screen is taken.
const ROOMS: [Room; 9] = [
    AMPLE,
    Room { labels: false, ..AMPLE },
    Room {
        labels: false,
        rows: 0,
        ..AMPLE
    },
    Room {
        labels: false,
        rows: 0,
        checks: 4,
        ..AMPLE
    },
    Room {
        plans: true,
        gaps: true,
        ..TIGHT
    },
    Room { plans: true, ..TIGHT },
    TIGHT,
    Room { checks: 2, ..TIGHT },
    Room {
        checks: 1,
        answers: 11,
        ..TIGHT
    },
];

/// The first screen, on a terminal; `closing` says how to go on, what can be typed in backticks.
pub fn write(report: &Report, closing: &str, style: Style) -> String {
    let mut text = String::new();
    for room in ROOMS {
        let mut screen = first_screen(report, room, style);
        screen.tell(Tone::Faint, Sentence::marked(closing));
        text = super::document::terminal::write(&screen, style);
        if text.lines().count() <= LINES {
            break;
        }
    }
    text
}

/// The checks that don't simply hold, and the dangers: what stands below answers wherever they are told.
pub(super) fn below_answers(report: &Report) -> Document {
    let mut screen = Document::default();
    let open = left_open(&report.open).map(|told| Block::Said(0, Some(Tone::Care), told));
    screen.0.extend(open);
    checks(&mut screen, report, AMPLE);
    dangers(&mut screen, &report.cautions, AMPLE);
    screen
}

/// Answers, checks, dangers, and where the rest is.
fn first_screen(report: &Report, room: Room, style: Style) -> Document {
    let mut screen = Document::default();
    if let Some(title) = &report.title {
        screen.0.push(Block::Title(title.into()));
    }
    let in_hand = report.in_hand().lines().into_iter();
    screen.0.extend(in_hand.map(|line| Block::Hand(line.into())));
    if let Some(line) = report.problem_line() {
        let first = report.first_problem().map(sentence).unwrap_or_default();
        screen.tell(Tone::Bad, Sentence::marked(&first));
        screen.tell(Tone::Bad, line);
    }
    for line in report.against_readings() {
        screen.tell(Tone::Bad, Sentence::marked(line));
    }
    screen
        .0
        .extend(left_open(&report.open).map(|told| Block::Said(0, Some(Tone::Care), told)));
    screen.gap();
    let accusing = report.cautions.iter().filter(|caution| caution.accuses);
    let mut said: BTreeSet<&str> = accusing.map(|caution| caution.code.as_str()).collect();
    let widest = report.answers().map(|answer| columns(&answer.name)).max().unwrap_or(0);
    let beside = style.columns().saturating_sub(widest + BESIDE);
    let answers = report.answers().take(room.answers);
    let answers = answers.map(|answer| told(answer, report, (room, beside), &mut said));
    screen.terms(answers.collect());
    if let more @ 1.. = report.answers().count().saturating_sub(room.answers) {
        let more = Sentence::from(format!("and {more} more: "));
        screen.note(Tone::Faint, more.typed("show answers").plain("."));
    }
    checks(&mut screen, report, room);
    dangers(&mut screen, &report.cautions, room);
    if room.gaps || report.cautions.is_empty() {
        screen.gap();
    }
    notes(&mut screen, &report.cautions, &said);
    screen
}

/// The columns beside names that are no values.
const BESIDE: usize = 5;

/// What to do first, where something is left open, as a line of its own.
pub fn to_fill(report: &Report, style: Style) -> Option<String> {
    let mut told = Document::default();
    told.say(left_open(&report.open)?);
    Some(super::document::terminal::write(&told, style))
}

/// The same as a sentence.
fn left_open(open: &[Open]) -> Option<Sentence> {
    let (first, others) = open.split_first()?;
    let begins = if first.table { "Put rows into " } else { "Fill in " };
    let when = if others.is_empty() { "" } else { " first" };
    let told = Sentence::from(begins).typed(&first.name);
    let mut told = told.plain(format!("{when} (line {})", first.line));
    if let Some(second) = others.first() {
        told = told.plain(", then ").typed(&second.name);
    }
    let more = match others.len().saturating_sub(1) {
        0 => ".".to_owned(),
        more => format!(" and {more} more."),
    };
    Some(told.plain(more))
}

/// An answer, and what may thwart a plan that rests on it, unless it was said before.
fn told<'a>(answer: &Entry, report: &'a Report, (room, beside): (Room, usize), said: &mut BTreeSet<&'a str>) -> Term {
    let mut values = match answer.waits_on.is_empty() || report.open.is_empty() || report.problem_count() > 0 {
        true => values(&answer.shown, room),
        false => vec!["waits".to_owned()],
    };
    let rows = values.split_off(values.len().min(1));
    let first = values.concat();
    let label = answer.label.as_ref().map(|label| format!(" · {label}"));
    let fits = |label: &String| columns(&first) + columns(label) <= beside;
    let label = label.filter(|label| room.labels && rows.is_empty() || fits(label));
    let first = Sentence::default().strong(first).plain(label.unwrap_or_default());
    let rows = rows.into_iter().map(|row| Sentence::default().strong(row));
    let values = std::iter::once(first).chain(rows);
    let plans = report.cautions.iter().filter(|caution| {
        let plan = caution.weight == Weight::Plan && caution.answers.contains(&answer.name);
        plan && room.plans && said.insert(&caution.code)
    });
    let plans = plans.map(|caution| (Some(Tone::Care), caution.brief.into()));
    Term::new(&answer.name, values.map(|value| (None, value)).chain(plans).collect())
}

/// A value in one line, the rows of a short column in one each: of a long one the first row, the
/// last, and how many there are.
fn values(shown: &Shown, room: Room) -> Vec<String> {
    let Some(rows) = shown.listed() else {
        return vec![shown.in_full()];
    };
    let row = |row: usize| format!("{} {}", rows.name(row), rows.told(row)).trim().to_owned();
    // where there is little room, how sure the first is stands for all
    let bare = |place: usize| match rows.cells.get(place).and_then(Option::as_ref) {
        Some(cell) if place > 0 && !room.plans => format!("{} {}", rows.name(place), cell.value),
        _ => row(place),
    };
    match rows.cells.len() {
        count if (2..=room.rows).contains(&count) => row_lines(rows),
        count if count > IN_ONE_LINE => {
            let first = (0..if room.plans { FIRST } else { 1 }).map(row).collect::<Vec<_>>();
            vec![format!("{} … {} ({count} rows)", first.join(", "), row(count - 1))]
        }
        count => vec![(0..count).map(bare).collect::<Vec<_>>().join(", ")],
    }
}

/// How many hold, and those that don't or could go either way; what waits for a blank is counted.
fn checks(screen: &mut Document, report: &Report, room: Room) {
    let checks = &report.checks;
    if checks.is_empty() {
        return;
    }
    let unfilled = !report.open.is_empty() && report.problem_count() == 0;
    let close: Vec<&Check> = checks.iter().filter(|check| holds(check) && check.either_way).collect();
    let open = checks.iter().filter(|check| !(holds(check) || unfilled && check.waits));
    let told = open.map(|check| {
        let tone = if check.holds.is_none() { Tone::Care } else { Tone::Bad };
        // what its writer says of it tells more than the condition
        let (name, said) = match (&check.message, check.holds) {
            (Some(message), Some(false)) => (check.place(), vec![format!("{message}{}", turned(check))]),
            (message, _) => {
                let said = std::iter::once(check.placed()).chain(message.clone());
                (check.verdict().to_owned(), said.collect())
            }
        };
        Term::new(name, said.into_iter().map(|line| (Some(tone), line.into())).collect())
    });
    let near = close
        .iter()
        .map(|check| Term::new("either way", vec![(None, near_told(check).into())]));
    let told: Vec<Term> = told.chain(near).collect();
    screen.gap();
    let counted = Sentence::from(counted(checks));
    screen.say(match told.len() > room.checks {
        true => counted.plain(" All: ").typed("show checks").plain("."),
        false => counted,
    });
    screen.terms(told.into_iter().take(room.checks).collect());
}

/// ` (holds in about 25 of 100)`, of a check that fails and could go either way.
fn turned(check: &Check) -> String {
    let likely = check.in_hundred.filter(|_| check.either_way);
    likely.map_or(String::new(), |likely| format!(" (holds in about {likely} of 100)"))
}

/// `left >= 8 h, about 62 in 100`
fn near_told(check: &Check) -> String {
    let likely = check.in_hundred.map(|likely| format!(", about {likely} in 100"));
    format!("{}{}", check.text, likely.unwrap_or_default())
}

fn holds(check: &Check) -> bool {
    check.holds == Some(true)
}

/// `6 of 7 checks hold; 2 of those could go either way.`
pub(super) fn counted(checks: &[Check]) -> String {
    let close = checks.iter().filter(|check| holds(check) && check.either_way).count();
    let all = checks.len();
    let held = checks.iter().filter(|check| holds(check)).count();
    let holding = match (held, all) {
        (1, 1) => "The check holds".to_owned(),
        (0, 1) => match checks.iter().all(|check| check.holds.is_none()) {
            true => "The check is undecided".to_owned(),
            false => "The check does not hold".to_owned(),
        },
        _ if held == all => format!("All {all} checks hold"),
        _ if checks.iter().all(|check| check.holds.is_none()) => format!("None of {all} checks is decided yet"),
        (1, _) => format!("1 of {all} checks holds"),
        _ => format!("{held} of {all} checks hold"),
    };
    match close {
        0 => format!("{holding}."),
        1 if all == 1 => format!("{holding}, but could go either way."),
        1 if held == 1 => format!("{holding}; it could go either way."),
        1 => format!("{holding}; one could go either way."),
        close => format!("{holding}; {close} of those could go either way."),
    }
}

fn dangers(screen: &mut Document, cautions: &[Caution], room: Room) {
    let grave = |caution: &&Caution| caution.weight == Weight::Danger;
    let mut grave: Vec<&Caution> = cautions.iter().filter(grave).collect();
    grave.dedup_by(|one, other| one.code == other.code);
    if cautions.is_empty() {
        return;
    }
    if room.gaps {
        screen.gap();
    }
    let spoken = grave.iter().any(|caution| caution.code == "carbon-monoxide");
    let gas = (!spoken).then_some(CARBON_MONOXIDE_BRIEF);
    let gas = gas.map(Sentence::from);
    let briefs = grave.iter().map(|caution| match &caution.file {
        Some(file) => format!("{} ({file})", caution.brief).into(),
        None => Sentence::from(caution.brief),
    });
    let said = gas.into_iter().chain(briefs).map(|brief| (Some(Tone::Bad), brief));
    let said = said.chain([(Some(Tone::Faint), "Local code and a licensed person decide.".into())]);
    screen.terms(vec![Term::new(Sentence::default().strong("danger"), said.collect())]);
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
