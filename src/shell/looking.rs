//! What both the command line and the session print: the first screen, the whole worksheet or
//! a part of it, its checks, and the list of functions.
//!
//! Start reading at [`shown`].

use crate::report::model::{Basis, Entry, Part, Report, Section};
use crate::report::style::{Style, Tone};
use crate::report::visible::{columns, visible};
use crate::report::{first_screen, pages, whole};
use crate::session::trial::Answered;
use crate::session::{Refusal, Session};
use crate::text::nearest;
use crate::unit::Unit;

use super::output::spoken;

/// The columns that the place of a check takes.
const NUMBERED: usize = 3;

/// The part of a worksheet that is asked for: a section by its heading or the beginning of
/// it, an entry by its name; nothing for the first screen.
///
/// # Errors
/// Nothing is called that, or several sections are.
pub(super) fn shown(session: &mut Session, report: &Report, part: &str, style: Style) -> Result<String, Refusal> {
    let wanted = part.to_lowercase();
    match wanted.as_str() {
        "" => return Ok(first(report, session.name(), &way_on(report), style)),
        "all" => return Ok(whole::text(report, style)),
        "answers" => return Ok(whole::head(&only_answers(report), style)),
        "checks" => return Ok(numbered_checks(session, report, style)),
        "cautions" => return Ok(whole::cautions(report, style)),
        _ => {}
    }
    match find_sections(report, &wanted).as_slice() {
        [section] => Ok(whole::section(report, section, style)),
        [] if session.sheet().names().get(part).is_some() => Ok(answered(session.evaluate(part)?, style)),
        [] => Err(nothing_called(session, report, part)),
        several => {
            let refusal = Refusal::new(format!("several sections fit `{part}`"));
            Err(refusal.help(listed_titles(several.iter().copied())))
        }
    }
}

/// The first screen; of a worksheet with neither answers nor checks all of it.
pub(super) fn first(report: &Report, name: &str, closing: &str, style: Style) -> String {
    if report.answers().next().is_none() && report.checks.is_empty() {
        let more = match report.left_out {
            0 => String::new(),
            more => format!("and {more} more: `show all`"),
        };
        return whole::text(report, style) + &spoken(&more, Some(Tone::Faint), style);
    }
    let screen = first_screen::write(report, closing, style);
    match report.title {
        Some(_) => screen,
        None => format!("{}\n{screen}", style.paint(Tone::Strong, &visible(name))),
    }
}

/// Where the rest is.
fn way_on(report: &Report) -> String {
    if let Some(open) = report.open.first() {
        let verb = if open.table { "add" } else { "edit" };
        return format!(
            "`show all` is the whole worksheet; in the session `{verb} {}` fills it in.",
            open.name
        );
    }
    match report.answers().next() {
        Some(answer) => format!(
            "`show all` is the whole worksheet, `why {}` tells where a value comes from.",
            answer.name
        ),
        None => "`show all` is the whole worksheet.".to_owned(),
    }
}

fn nothing_called(session: &Session, report: &Report, part: &str) -> Refusal {
    let titles = report.sections.iter().map(|section| section.title.as_str());
    let near = nearest(part, titles).or_else(|| session.sheet().names().nearest(part));
    let refusal = Refusal::new(format!("there is no section `{part}`"));
    match near {
        Some(near) => refusal.help(format!("write `{near}`, if that is meant")),
        None if report.sections.iter().all(|section| section.title.is_empty()) => {
            refusal.help("it has no headings; `show all` shows all of it")
        }
        None => refusal.help(format!("its sections are {}", listed_titles(report.sections.iter()))),
    }
}

/// What an expression came to.
pub(super) fn answered(answered: Answered, style: Style) -> String {
    match answered {
        Answered::Value(shown, met) => {
            let cautions = met
                .iter()
                .map(|told| spoken(&format!("Caution, {told}"), Some(Tone::Care), style));
            whole::value(&shown, style) + &cautions.collect::<String>()
        }
        Answered::Entry(entry) => whole::entry(&entry, style),
        Answered::Table(report, place) => {
            let section = Section {
                parts: vec![Part::Table(place)],
                ..Section::default()
            };
            let text = whole::section(&report, &section, style);
            format!("{}\n", text.trim_end())
        }
        Answered::Line(line) => format!("  {}\n", visible(&line)),
    }
}

/// The checks with the places they are called by.
fn numbered_checks(session: &Session, report: &Report, style: Style) -> String {
    let narrower = Style {
        width: style.width.saturating_sub(NUMBERED),
        ..style
    };
    let mut text = String::new();
    for check in &report.checks {
        let written = whole::checks(std::slice::from_ref(check), narrower);
        let place = session.place_of_check(check.line);
        let mut number = place.map_or(String::new(), |place| place.to_string());
        for line in written.lines() {
            text.push_str(format!("{:>NUMBERED$}{line}", std::mem::take(&mut number)).trim_end());
            text.push('\n');
        }
    }
    if !text.is_empty() {
        let told = "`edit check 1` changes one by its place in this list, `remove check 1` takes it out";
        text.push_str(&spoken(told, Some(Tone::Faint), style));
    }
    text
}

/// The answers alone, without what they rest on.
fn only_answers(report: &Report) -> Report {
    let bare = |answer: &Entry| Entry {
        basis: Basis::default(),
        rule_errors: Vec::new(),
        ..answer.clone()
    };
    Report {
        entries: report.answers().map(bare).collect(),
        ..Report::default()
    }
}

/// The sections of that title, or those that begin with it or have it inside.
fn find_sections<'a>(report: &'a Report, wanted: &str) -> Vec<&'a Section> {
    let tests: [fn(&str, &str) -> bool; 3] = [
        |title, wanted| title == wanted,
        |title, wanted| title.starts_with(wanted),
        |title, wanted| title.split_whitespace().any(|word| word.starts_with(wanted)),
    ];
    let found = tests.iter().map(|test| {
        let sections = report.sections.iter();
        let fits = |section: &&Section| test(&section.title.to_lowercase(), wanted);
        sections.filter(fits).collect::<Vec<_>>()
    });
    found.into_iter().find(|found| !found.is_empty()).unwrap_or_default()
}

fn listed_titles<'a>(sections: impl Iterator<Item = &'a Section>) -> String {
    let titled = sections.filter(|section| !section.title.is_empty());
    let titles: Vec<String> = titled.map(|section| format!("`{}`", section.title)).collect();
    titles.join(", ")
}

/// The name of the file with how it stands, and its checks.
pub(super) fn checks_text(name: &str, report: &Report, style: Style) -> String {
    let count = report.checks.len();
    let holding = report.checks.iter().filter(|check| check.holds == Some(true)).count();
    let checks = match count {
        0 => "nothing is expected".to_owned(),
        1 => report
            .checks
            .iter()
            .map(|check| format!("its one check {}", check.verdict()))
            .collect(),
        _ if holding == count => format!("all {count} checks hold"),
        _ if holding == 1 => format!("1 of {count} checks holds"),
        _ => format!("{holding} of {count} checks hold"),
    };
    let problems = match report.problem_count() {
        0 => "no problems".to_owned(),
        1 => "1 problem".to_owned(),
        many => format!("{many} problems"),
    };
    let (name, told) = (visible(name), format!("{problems}, {checks}"));
    let told = match columns(&name) + 2 + columns(&told) <= style.columns() {
        true => format!(" {told}\n"),
        false => format!("\n{}", whole::said(&told, style)),
    };
    let name = style.paint(Tone::Strong, &name);
    let checks = format!("{name}:{told}{}", whole::checks(&report.checks, style));
    let in_hand = report.in_hand().lines();
    let in_hand = in_hand.iter().map(|told| style.paint(Tone::Care, told));
    in_hand.chain([checks]).collect::<Vec<_>>().join("\n")
}

/// The list of functions, those of a word, or those between two units.
///
/// # Errors
/// One line that says that there are none, or that a unit can't be read.
pub(super) fn functions(words: &[String], style: Style) -> Result<String, String> {
    match words {
        [] => Ok(pages::functions_page(style)),
        [from, to] => {
            if let (Ok(from), Ok(to)) = (Unit::parse(from), Unit::parse(to)) {
                return Ok(pages::functions_between(from, to, style));
            }
            let is_unit = |word: &&String| Unit::parse(word).is_ok();
            if ![from, to].iter().any(is_unit)
                && let Ok(page) = pages::functions_matching(&words.join(" "), style)
            {
                return Ok(page);
            }
            match [from, to].into_iter().find(|word| !is_unit(word)) {
                Some(word) => Err(format!(
                    "`{word}` is no unit; two words after `functions` are two units"
                )),
                None => Ok(pages::functions_page(style)),
            }
        }
        words => pages::functions_matching(&words.join(" "), style),
    }
}
