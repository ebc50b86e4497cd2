//! The card: one page to hang on the set, for whoever stands there at night.
//!
//! What was assumed, answers, clock times to get up at, the checks that fail or could go either
//! way, dangers, what to do when it stalls, date and case. It is never more than a page: what has
//! no room is counted, what was assumed left out. Start reading at [`body`].

use maud::{Markup, html};

use super::super::first_screen::counted;
use super::super::model::{Check, Entry, EntryKind, Report, Value, ValueType, Weight};
use super::super::shown::Rows;
use super::super::visible::sentence;
use super::Handout;
use super::page::{Page, verdict};
use super::pieces::{called, cells, coded, value_markup};
use super::typeset::set;

/// So many lines of answers have room, and so many of clock times.
const ANSWER_LINES: usize = 9;
const CLOCK_LINES: usize = 7;
/// So many rows of one column have room.
const ROWS: usize = 6;
/// So many checks have room.
const CHECK_LINES: usize = 5;
/// So many lines of answers are set large.
const ROOMY: usize = 10;
/// So many letters of a title, of a check and of an answer's name have room.
const TITLE_LETTERS: usize = 64;
const CHECK_LETTERS: usize = 140;
/// So many of more than a few checks.
const CROWDED_LETTERS: usize = 90;
const FEW: usize = 2;
const NAME_LETTERS: usize = 48;
/// So many of what was assumed.
const ASSUMED_LETTERS: usize = 150;

/// What to do, in this order.
const WHEN_IT_STALLS: [&str; 5] = [
    "Switch the loads off or unplug them. Shut the cylinder valve.",
    "Weigh the cylinder, hose off. Down to its tare it is empty: swap it. Heavier, it is too cold to give gas \
     so fast: swap it for one that has stood in milder air, share the draw between more, or run less.",
    "Never warm a cylinder with a flame, a heater or exhaust, and don't wrap it. Frost on it is no reason to.",
    "Swap with the set off and no flame near: upright, outdoors, fittings tight, soap and water on each joint.",
    "Start with nothing plugged in. Then the largest motor first, one load after another.",
];

/// The card between its frame.
pub(super) fn body(handout: &Handout) -> Markup {
    let page = Page { handout };
    let report = &handout.report;
    let (clocks, others): (Vec<&Entry>, Vec<&Entry>) = report.answers().partition(|answer| is_clock(answer));
    let lines: usize = report.answers().map(lines_of).sum();
    let dangerous = report.cautions.iter().any(|caution| caution.weight != Weight::Note);
    html! {
        header {
            p class="kind" { "Card for the set, " (handout.made) }
            h1 { (shortened(page.title(), TITLE_LETTERS)) }
            @if let Some(case) = &report.case {
                @let title = case.title.as_ref().map_or(String::new(), |title| format!(": {title}"));
                p class="hand" { b { "Case " (shortened(&format!("{}{title}", case.name), TITLE_LETTERS)) } }
            }
            @if !handout.trials.is_empty() {
                @let tried: Vec<String> = handout.trials.iter().map(|one| format!("{} = {}", one.name, one.value)).collect();
                p class="hand" { b { "On trial: " } (shortened(&set(&tried.join(", ")), TITLE_LETTERS)) }
            }
        }
        (page.wrong_first())
        @let assumed = assumed(report);
        @if !assumed.is_empty() && lines <= ROOMY {
            p class="notes" { b { "Holds for: " } (shortened(&set(&assumed), ASSUMED_LETTERS)) }
        }
        main id="main" class=(if lines > ROOMY { "card dense" } else { "card" }) {
            @if !clocks.is_empty() { (answers("Clock times", "clocks", &clocks, CLOCK_LINES)) }
            @if !others.is_empty() { (answers("Answers", "short-answers", &others, ANSWER_LINES)) }
            @if clocks.is_empty() && others.iter().any(|answer| is_duration(answer)) {
                p class="result" { "Started at " span class="blank date" {} " get up at " span class="blank date" {} }
            }
            (checks(&report.checks))
            (page.dangers_in_short())
            @if dangerous {
                section class="steps" {
                    h2 { "When it stalls" }
                    ol { @for step in WHEN_IT_STALLS { li { (step) } } }
                }
            }
            p class="strong" {
                "Headache, dizzy or sick: everybody out into the open air, and call for help. Then look at the set."
            }
        }
        (page.footer())
    }
}

/// What was assumed, which may be otherwise on another night.
fn assumed(report: &Report) -> String {
    let single = report
        .entries
        .iter()
        .filter(|entry| entry.kind == EntryKind::Assumed && entry.shown.rows.is_none());
    let known = single.filter(|entry| entry.value != Value::Nothing);
    let told: Vec<String> = known
        .map(|entry| format!("{} {}", entry.name.replace('_', " "), entry.shown.value))
        .collect();
    told.join(", ")
}

fn is_clock(answer: &Entry) -> bool {
    matches!(
        answer.value_type,
        ValueType::Time | ValueType::Counted | ValueType::Moment
    )
}

fn is_duration(answer: &Entry) -> bool {
    answer.value != Value::Nothing && matches!(answer.unit.as_deref(), Some("h" | "min" | "d"))
}

fn lines_of(answer: &Entry) -> usize {
    answer.shown.listed().map_or(1, |rows| rows.cells.len())
}

/// Answers with their values, as many as have room.
fn answers(caption: &str, id: &str, answers: &[&Entry], room: usize) -> Markup {
    let mut left = room;
    let mut told: Vec<(&Entry, Option<Rows>)> = Vec::new();
    for answer in answers {
        let rows = answer.shown.listed();
        let lines = lines_of(answer);
        if left == 0 {
            break;
        }
        let here = left.min(ROWS);
        told.push((answer, rows.filter(|_| lines > here).map(|rows| first_of(rows, here))));
        left = left.saturating_sub(lines.min(here));
    }
    let kept_back = answers.len() - told.len();
    html! {
        table class="answers" id=(id) {
            caption { (caption) }
            thead class="unseen" { tr { th scope="col" { "Answer" } th scope="col" { "Value" } } }
            tbody {
                @for (answer, cut) in &told {
                    tr {
                        th scope="row" { (shortened(&subject(answer), NAME_LETTERS)) }
                        td class="value" {
                            @match cut {
                                Some(rows) => {
                                    (cells(called(answer), rows))
                                    @let all = answer.shown.listed().map_or(0, |rows| rows.cells.len());
                                    span class="small" { "the first " (rows.cells.len()) " of " (all) }
                                },
                                None => (value_markup(answer)),
                            }
                        }
                    }
                }
            }
        }
        @if kept_back > 0 { p class="notes" { "And " (kept_back) " more: see the worksheet." } }
    }
}

fn first_of(rows: &Rows, count: usize) -> Rows {
    Rows {
        names: rows.names.clone(),
        cells: rows.cells.iter().take(count).cloned().collect(),
    }
}

/// How many hold, and those that don't or could go either way.
fn checks(checks: &[Check]) -> Markup {
    let mut told: Vec<&Check> = checks
        .iter()
        .filter(|check| check.holds != Some(true) || check.either_way)
        .collect();
    told.sort_by_key(|check| check.holds);
    let letters = if told.len() > FEW {
        CROWDED_LETTERS
    } else {
        CHECK_LETTERS
    };
    html! {
        @if !checks.is_empty() {
            section class="look" {
                h2 { "Checks" }
                p { (set(&counted(checks))) }
                @for check in told.iter().take(CHECK_LINES) {
                    p class="check" {
                        @if check.either_way && check.message.is_some() {
                            // what is said is what comes where it fails
                            @match check.in_hundred {
                                Some(holds) => { "In about " (100 - holds.min(100)) " of 100: " }
                                None => { "Could go either way: " }
                            }
                        } @else if check.either_way {
                            "Could go either way"
                            @if let Some(holds) = check.in_hundred { ", holds in about " (holds) " of 100" }
                            ": "
                        } @else {
                            (verdict(check)) " "
                        }
                        @match &check.message {
                            Some(message) => (coded(&shortened(&sentence(message), letters))),
                            None => code { (shortened(&check.text, letters)) },
                        }
                    }
                }
                @if told.len() > CHECK_LINES { p { "And " (told.len() - CHECK_LINES) " more: see the worksheet." } }
            }
        }
    }
}

/// What a row is: its name, and what the worksheet calls it.
fn subject(answer: &Entry) -> String {
    let name = answer.name.replace('_', " ");
    match answer.label.as_deref().map(|label| label.trim_end_matches(';')) {
        Some(label) if label.to_lowercase().contains(&name.to_lowercase()) => label.to_owned(),
        Some(label) => format!("{name}: {label}"),
        None => name,
    }
}

/// A text of no more than so many letters, cut between words.
fn shortened(text: &str, letters: usize) -> String {
    let Some((end, _)) = text.char_indices().nth(letters) else {
        return text.to_owned();
    };
    let start = text.get(..end).unwrap_or("");
    let whole = start.rsplit_once(' ').map_or(start, |(words, _)| words);
    format!("{}…", whole.trim_end_matches([' ', ',', ';', ':']))
}
