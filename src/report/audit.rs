//! An audit: a worksheet line by line, worst first, and how it is written.
//!
//! Serialized it is the machine format of the study. For readers the lines stand
//! in groups, each with what it moves and what there is to ask, and below them
//! what decides each answer. Start reading at [`Audit`].

use std::io::{self, Write};

use serde::Serialize;

use super::csv::safe;
use super::markdown::{code, escaped};
use super::model::{CARBON_MONOXIDE, LOCAL_CODE};
use super::style::{Style, Tone};
use super::sweep::Named;
use super::visible::{visible, wrapped};

/// A worksheet line by line, worst first.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Audit {
    /// The worksheet's title.
    pub title: Option<String>,
    /// The case in hand.
    pub case: Option<String>,
    /// The answers that are single numbers.
    pub answers: Vec<String>,
    /// The lines, worst first.
    pub lines: Vec<Line>,
    /// The names of the entries on trial.
    #[serde(skip)]
    pub trials: Vec<String>,
    /// What was left out of the moves, in sentences.
    #[serde(skip)]
    pub left_out: Vec<String>,
    /// What decides each answer, in sentences.
    #[serde(skip)]
    pub deciding: Vec<String>,
    /// Cautions, each with the lines it belongs to.
    #[serde(skip)]
    pub cautions: Vec<(String, Vec<u32>)>,
}

/// One line of an audit.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Line {
    /// Its name; `TABLE.COLUMN` for a column, none for an expectation.
    pub name: Option<String>,
    /// Its line, from 1.
    pub line: u32,
    /// The word that opens it.
    pub kind: String,
    /// Whether it says where its value comes from.
    pub sourced: bool,
    /// How far each answer moves, as a part of it; `None` where that can't be told.
    pub swing: Named<Option<String>>,
    /// What there is to ask.
    pub remarks: Vec<Remark>,
    /// Under which heading it stands.
    #[serde(skip)]
    pub group: Group,
    /// `exchange_net = 20 lb`, or the condition.
    #[serde(skip)]
    pub told: String,
    /// How it is known, with its source.
    #[serde(skip)]
    pub known: Option<String>,
    /// How far it was moved and what that moved, in words.
    #[serde(skip)]
    pub moves: Option<String>,
}

/// Something to ask about a line.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Remark {
    /// The code word.
    pub code: String,
    /// What there is to say.
    pub text: String,
    /// What a reader is told of it at its line; none of a caution that only goes along.
    #[serde(skip)]
    pub short: Option<String>,
}

/// Under which heading a line stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Group {
    /// Problems, failing checks, mixed heat.
    Wrong,
    /// What the trade would not take so.
    Unsound,
    /// Guesses and values without a source that move an answer, and numbers inside formulas.
    Guess,
    /// Other values that move an answer.
    Value,
    /// The rest.
    #[default]
    Remark,
}

impl Group {
    const ALL: [Group; 5] = [Group::Wrong, Group::Unsound, Group::Guess, Group::Value, Group::Remark];

    fn heading(self) -> &'static str {
        match self {
            Group::Wrong => "wrong, or undecided",
            Group::Unsound => "The trade would not take it so",
            Group::Guess => "Guesses, values without a source, and numbers inside formulas",
            Group::Value => "Other values that move an answer",
            Group::Remark => "Small remarks, and what moves no answer",
        }
    }
}

/// By which rule lines are put in order.
const ORDER: &str = "Worst first: what is wrong or undecided, then what the trade would not take so, \
then guesses and values without a source by how far they move an answer, and numbers inside formulas that one rests \
on, then the other values by the same, then small remarks.";

/// What a move is.
const MOVES: &str = "Each value was moved up and down, alone, over its own ± (the limits, or k=2), and where it has \
none by 10 %: temperatures by 9 F°, gauge pressures by 10 % of the absolute pressure, times by 1 h, levels by 3 dB. \
The larger of the two moves of an answer counts, as a part of the answer.";

const INDENT: usize = 2;
const DEEP: usize = 4;

// ---- terminal ----

/// For a terminal.
pub fn write(audit: &Audit, style: Style) -> String {
    let mut text = String::new();
    say(&mut text, (0, 0), Some(Tone::Strong), &heading(audit), style);
    if !audit.trials.is_empty() {
        let trials = format!("On trial: {}", audit.trials.join(", "));
        say(&mut text, (0, 0), Some(Tone::Care), &trials, style);
    }
    if audit.lines.is_empty() {
        say(&mut text, (INDENT, INDENT), None, NOTHING, style);
        return text;
    }
    for told in [ORDER, MOVES] {
        say(&mut text, (INDENT, INDENT), Some(Tone::Faint), told, style);
    }
    for group in Group::ALL {
        let lines: Vec<&Line> = shown(audit, group).collect();
        if !lines.is_empty() {
            text.push('\n');
            say(&mut text, (0, 0), Some(Tone::Strong), group.heading(), style);
        }
        for line in lines {
            write_line(&mut text, line, style);
        }
    }
    write_closing(&mut text, audit, style);
    text
}

const NOTHING: &str = "There is nothing to audit.";

fn heading(audit: &Audit) -> String {
    let title = audit.title.as_deref().unwrap_or("The worksheet");
    let case = audit
        .case
        .as_ref()
        .map_or(String::new(), |case| format!(", case {case}"));
    format!("Audit: {title}{case}")
}

/// The lines of a group that a reader is shown: those that say more than a caution that
/// only goes along.
fn shown(audit: &Audit, group: Group) -> impl Iterator<Item = &Line> {
    let lines = audit.lines.iter().filter(move |line| line.group == group);
    lines.filter(|line| line.moves.is_some() || line.remarks.iter().any(|remark| remark.short.is_some()))
}

/// Lines wrapped to the width, the first set in by `indents.0`, the others by `indents.1`.
fn say(text: &mut String, indents: (usize, usize), tone: Option<Tone>, said: &str, style: Style) {
    let room = style.columns().saturating_sub(indents.0.max(indents.1));
    for (place, line) in wrapped(&visible(said), room).iter().enumerate() {
        let indent = if place == 0 { indents.0 } else { indents.1 };
        text.push_str(&" ".repeat(indent));
        match tone {
            Some(tone) => text.push_str(&style.paint(tone, line)),
            None => text.push_str(line),
        }
        text.push('\n');
    }
}

fn write_line(text: &mut String, line: &Line, style: Style) {
    let head = format!("line {}: {}", line.line, line.told);
    say(text, (INDENT, DEEP), Some(Tone::Strong), &head, style);
    if let Some(known) = &line.known {
        say(text, (DEEP, DEEP), Some(Tone::Faint), known, style);
    }
    if let Some(moves) = &line.moves {
        say(text, (DEEP, DEEP + 2), None, moves, style);
    }
    let tone = match line.group {
        Group::Wrong => Some(Tone::Bad),
        Group::Unsound => Some(Tone::Care),
        _ => None,
    };
    for remark in &line.remarks {
        let Some(short) = &remark.short else { continue };
        let told = format!("{}: {short}", remark.code);
        say(text, (DEEP, DEEP + 2), tone, &told, style);
    }
}

fn write_closing(text: &mut String, audit: &Audit, style: Style) {
    for (heading, told) in closing(audit) {
        text.push('\n');
        say(text, (0, 0), Some(Tone::Strong), heading, style);
        for one in told {
            say(text, (INDENT, INDENT), None, &one, style);
        }
    }
}

/// What stands below the lines.
fn closing(audit: &Audit) -> Vec<(&'static str, Vec<String>)> {
    let mut told = Vec::new();
    if !audit.deciding.is_empty() {
        told.push(("What decides", audit.deciding.clone()));
    }
    if !audit.left_out.is_empty() {
        told.push(("Left out", audit.left_out.clone()));
    }
    if !audit.cautions.is_empty() {
        told.push(("Cautions", cautions(audit)));
    }
    told
}

fn cautions(audit: &Audit) -> Vec<String> {
    let each = audit.cautions.iter().map(|(code, lines)| {
        let lines: Vec<String> = lines.iter().map(u32::to_string).collect();
        let word = if lines.len() == 1 { "line" } else { "lines" };
        format!("{code} ({word} {})", lines.join(", "))
    });
    let each: Vec<String> = each.collect();
    let mut told = vec![format!("{}. `show` tells them in full.", each.join(", "))];
    told.push(LOCAL_CODE.to_owned());
    if !audit.cautions.iter().any(|(code, _)| code == "carbon-monoxide") {
        told.push(CARBON_MONOXIDE.to_owned());
    }
    told
}

// ---- other formats ----

/// For a code host or a notebook.
pub fn write_markdown(audit: &Audit) -> String {
    let mut text = format!("# {}\n\n", escaped(&heading(audit)));
    if !audit.trials.is_empty() {
        text.push_str(&format!("On trial: {}\n\n", escaped(&audit.trials.join(", "))));
    }
    if audit.lines.is_empty() {
        text.push_str(&format!("{NOTHING}\n"));
        return text;
    }
    text.push_str(&format!("{}\n\n{}\n", escaped(ORDER), escaped(MOVES)));
    for group in Group::ALL {
        let lines: Vec<&Line> = shown(audit, group).collect();
        if !lines.is_empty() {
            text.push_str(&format!("\n## {}\n\n", group.heading()));
        }
        lines.into_iter().for_each(|line| markdown_line(&mut text, line));
    }
    for (heading, told) in closing(audit) {
        text.push_str(&format!("\n## {heading}\n"));
        told.iter()
            .for_each(|one| text.push_str(&format!("\n{}\n", escaped(one))));
    }
    text
}

fn markdown_line(text: &mut String, line: &Line) {
    let known = line
        .known
        .as_ref()
        .map_or(String::new(), |known| format!(", {}", escaped(known)));
    text.push_str(&format!("- Line {}: {}{known}\n", line.line, code(&line.told)));
    if let Some(moves) = &line.moves {
        text.push_str(&format!("  - {}\n", escaped(moves)));
    }
    for remark in &line.remarks {
        if let Some(short) = &remark.short {
            text.push_str(&format!("  - **{}**: {}\n", escaped(&remark.code), escaped(short)));
        }
    }
}

/// One row a line, with a column for what it moves each answer by.
///
/// # Errors
/// Those of the output.
pub fn write_csv(audit: &Audit, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    let mut headings: Vec<String> = ["line", "name", "kind", "sourced"].map(str::to_owned).to_vec();
    headings.extend(audit.answers.iter().map(|answer| format!("swing {answer}")));
    headings.push("remarks".to_owned());
    rows.write_record(&headings)?;
    for line in &audit.lines {
        let told = line
            .remarks
            .iter()
            .map(|remark| format!("{}: {}", remark.code, remark.text));
        let told: Vec<String> = told.collect();
        let mut cells = vec![
            line.line.to_string(),
            safe(line.name.as_deref().unwrap_or("")).into_owned(),
            line.kind.clone(),
            line.sourced.to_string(),
        ];
        cells.extend(line.swing.0.iter().map(|(_, part)| part.clone().unwrap_or_default()));
        cells.push(safe(&told.join("; ")).into_owned());
        rows.write_record(&cells)?;
    }
    rows.flush()
}
