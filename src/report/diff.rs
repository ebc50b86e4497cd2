//! Two worksheets by meaning: what differs, and what each difference does to the answers.
//!
//! Serialized it is the machine format of the study. For readers A is the first
//! worksheet and B the second; everything is settled in the builder. Start
//! reading at [`Diff`].

use std::io::{self, Write};

use serde::Serialize;

use super::change::{Flip, write_flips};
use super::csv::{safe, value_text};
use super::markdown::{code, escaped};
use super::model::{Shown, Value, verdict};
use super::style::{Style, Tone};
use super::sweep::Named;
use super::visible::{columns, sentence, visible, wrapped};

/// What two worksheets differ in.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Diff {
    /// The title of the first.
    pub title: Option<String>,
    /// The case in hand, in both.
    pub case: Option<String>,
    /// Inputs that differ, columns and written tables among them.
    pub inputs: Vec<Apart>,
    /// Formulas and rules that differ.
    pub formulas: Vec<Apart>,
    /// The answers that both have.
    pub answers: Vec<Answer>,
    /// What has another name and means the same.
    pub renamed: Vec<Renamed>,
    /// Checks and cases that differ, and what else there is to say, in sentences.
    pub notes: Vec<String>,
    /// The two worksheets.
    #[serde(skip)]
    pub sides: [Side; 2],
    /// The expectations that differ, as written.
    #[serde(skip)]
    pub checks: Vec<Apart>,
    /// The cases that differ, a line each.
    #[serde(skip)]
    pub cases: Vec<String>,
    /// The expectations of both that come out otherwise.
    #[serde(skip)]
    pub flips: Vec<Flip>,
    /// The notes without checks and cases.
    #[serde(skip)]
    pub remarks: Vec<String>,
}

/// One of the two worksheets.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Side {
    /// Its file, as people are told it.
    pub file: String,
    /// Its title.
    pub title: Option<String>,
    /// Its trials, as they could be typed.
    pub trials: Vec<String>,
}

/// Something that differs, or that one of them has alone.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Apart {
    /// Its name in the first, or else in the second.
    pub name: String,
    /// What the first writes; nothing where it has none.
    pub a: Option<String>,
    /// What the second writes.
    pub b: Option<String>,
    /// What it is.
    #[serde(skip)]
    pub sort: Sort,
    /// What else there is to say of it.
    #[serde(skip)]
    pub more: Option<String>,
}

/// What differs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sort {
    /// An input
    Input,
    /// A table or a column of one
    Table,
    /// A formula, or a rule of the worksheet's own
    Formula,
    /// An expectation
    Check,
}

/// A name of the first and the name in the second.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Renamed {
    /// In the first.
    pub a: String,
    /// In the second.
    pub b: String,
}

/// An answer of both, with how its difference is shared out.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Answer {
    /// Its name in the first.
    pub name: String,
    /// The unit of all its numbers (of points the parts are intervals; times differ in seconds).
    pub unit: Option<String>,
    /// Its value in the first, with all digits.
    pub a: Value,
    /// Its value in the second, in the unit of the first.
    pub b: Value,
    /// The part of each change.
    pub shares: Named<String>,
    /// What no change accounts for: difference less the sum of the parts.
    pub rest: Option<String>,
    /// Its label.
    #[serde(skip)]
    pub label: Option<String>,
    /// The second less the first, with all digits.
    #[serde(skip)]
    pub difference: Option<String>,
    /// The first for a reader.
    #[serde(skip)]
    pub shown_a: Shown,
    /// The second for a reader, in its own unit.
    #[serde(skip)]
    pub shown_b: Shown,
    /// The difference in words.
    #[serde(skip)]
    pub words: Option<String>,
    /// Whether both are the same.
    #[serde(skip)]
    pub same: bool,
    /// Whether the ± of the two differs.
    #[serde(skip)]
    pub other_doubt: bool,
    /// The parts for a reader, the largest first, each with what it is of.
    #[serde(skip)]
    pub parts: Vec<(String, String)>,
}

const SAME: &str = "They mean the same.";
const NO_ANSWERS: &str = "They have no answers in common.";
const TOLD_SAME: &str = "The same in both";

impl Diff {
    /// Whether nothing differs that counts.
    pub fn is_same(&self) -> bool {
        let nothing = self.inputs.is_empty() && self.formulas.is_empty();
        nothing && self.checks.is_empty() && self.cases.is_empty()
    }

    /// The headings with what stands below them.
    fn lists(&self) -> [(&'static str, Vec<&Apart>); 4] {
        let of = |sort: Sort| {
            let all = self.inputs.iter().chain(&self.formulas).chain(&self.checks);
            all.filter(|apart| apart.sort == sort).collect()
        };
        [
            ("Inputs that differ", of(Sort::Input)),
            ("Tables that differ", of(Sort::Table)),
            ("Formulas that differ", of(Sort::Formula)),
            ("Checks that differ", of(Sort::Check)),
        ]
    }

    /// `A: claim.tare · Three days`
    fn headings(&self) -> Vec<String> {
        let sides = ["A", "B"].iter().zip(&self.sides);
        let told = sides.map(|(letter, side)| match &side.title {
            Some(title) => format!("{letter}: {} · {title}", side.file),
            None => format!("{letter}: {}", side.file),
        });
        told.collect()
    }

    /// The case and the trials.
    fn standing(&self) -> Vec<String> {
        let case = self.case.as_ref();
        let mut told: Vec<String> = case
            .map(|case| format!("Case in hand, in both: {case}"))
            .into_iter()
            .collect();
        let [a, b] = &self.sides;
        if a.trials == b.trials && !a.trials.is_empty() {
            told.push(format!("On trial in both: {}", a.trials.join(", ")));
            return told;
        }
        for (letter, side) in ["A", "B"]
            .iter()
            .zip(&self.sides)
            .filter(|(_, side)| !side.trials.is_empty())
        {
            told.push(format!("On trial in {letter}: {}", side.trials.join(", ")));
        }
        told
    }

    fn renamed_told(&self) -> Option<String> {
        let told: Vec<String> = self
            .renamed
            .iter()
            .map(|renamed| format!("{} → {}", renamed.a, renamed.b))
            .collect();
        (!told.is_empty()).then(|| format!("renamed: {}", told.join(", ")))
    }

    fn unchanged(&self) -> Option<String> {
        let same: Vec<&str> = self
            .answers
            .iter()
            .filter(|answer| answer.is_quiet())
            .map(|answer| answer.name.as_str())
            .collect();
        (!same.is_empty()).then(|| format!("{TOLD_SAME}: {}.", same.join(", ")))
    }
}

impl Answer {
    /// Whether there is nothing to say but that it is the same.
    fn is_quiet(&self) -> bool {
        self.same && !self.other_doubt && self.parts.is_empty()
    }

    /// `52 h 5 min, shorter by 46 h 7 min (-47 %)`
    fn second(&self) -> String {
        let shown = self.shown_b.display();
        match &self.words {
            Some(words) => format!("{shown}, {words}"),
            None if self.same && self.other_doubt => format!("{shown}, the same but for its ±"),
            None if self.same => format!("{shown}, the same"),
            None => shown,
        }
    }
}

impl Apart {
    /// `20 lb → 15 lb`, or in which it stands alone.
    fn told(&self) -> String {
        match (&self.a, &self.b) {
            (Some(a), Some(b)) => format!("{a} → {b}"),
            (Some(a), None) => format!("only in A: {a}"),
            (None, Some(b)) => format!("only in B: {b}"),
            (None, None) => String::new(),
        }
    }
}

// ---- terminal ----

/// For a terminal.
pub fn write(diff: &Diff, style: Style) -> String {
    let mut text = String::new();
    for heading in diff.headings() {
        say(&mut text, 0, Some(Tone::Strong), &heading, style);
    }
    for told in diff.standing() {
        say(&mut text, 0, Some(Tone::Care), &told, style);
    }
    if diff.is_same() {
        text.push('\n');
        say(&mut text, 0, None, SAME, style);
    }
    for (heading, list) in diff.lists() {
        write_list(&mut text, heading, &list, style);
    }
    if !diff.cases.is_empty() {
        text.push('\n');
        say(&mut text, 0, Some(Tone::Strong), "Cases that differ", style);
        diff.cases.iter().for_each(|told| say(&mut text, 2, None, told, style));
    }
    if let Some(told) = diff.renamed_told() {
        text.push('\n');
        say(&mut text, 0, None, &told, style);
    }
    write_answers(&mut text, diff, style);
    if !diff.flips.is_empty() {
        text.push('\n');
        say(
            &mut text,
            0,
            Some(Tone::Strong),
            "Checks that come out otherwise",
            style,
        );
        text.push_str(&write_flips(&diff.flips, ("in B ", "in A"), style));
    }
    if !diff.remarks.is_empty() {
        text.push('\n');
    }
    for told in &diff.remarks {
        say(&mut text, 0, Some(Tone::Faint), told, style);
    }
    text
}

fn say(text: &mut String, indent: usize, tone: Option<Tone>, said: &str, style: Style) {
    hang(text, (indent, indent), tone, said, style);
}

/// Lines of which the first is set in otherwise than the rest.
fn hang(text: &mut String, (first, rest): (usize, usize), tone: Option<Tone>, said: &str, style: Style) {
    let width = style.columns().saturating_sub(rest.max(first)).max(20);
    for (place, line) in wrapped(&visible(said), width).into_iter().enumerate() {
        text.push_str(&" ".repeat(if place == 0 { first } else { rest }));
        match tone {
            Some(tone) => text.push_str(&style.paint(tone, &line)),
            None => text.push_str(&line),
        }
        text.push('\n');
    }
}

/// A name is set above what is said of it where it is wider.
const WIDEST_NAME: usize = 24;
const GAP: usize = 3;

fn write_list(text: &mut String, heading: &str, list: &[&Apart], style: Style) {
    if list.is_empty() {
        return;
    }
    text.push('\n');
    say(text, 0, Some(Tone::Strong), heading, style);
    let widths = list.iter().map(|apart| columns(&visible(&apart.name)));
    let width = widths.filter(|width| *width <= WIDEST_NAME).max().unwrap_or(0);
    for apart in list {
        write_apart(text, apart, width, style);
    }
}

fn write_apart(text: &mut String, apart: &Apart, width: usize, style: Style) {
    let name = visible(&apart.name);
    let left = 2 + width + if width > 0 { GAP } else { 0 };
    let told = apart.told();
    let fits = columns(&name) <= width && left + columns(&visible(&told)) <= style.columns();
    match (fits, &apart.a, &apart.b) {
        (true, ..) => {
            let pad = " ".repeat(left - 2 - columns(&name));
            text.push_str(&format!("  {name}{pad}{}\n", visible(&told)));
        }
        (false, Some(a), Some(b)) => {
            if !name.is_empty() {
                text.push_str(&format!("  {name}\n"));
            }
            for (letter, said) in [("A", a), ("B", b)] {
                hang(text, (4, 7), None, &format!("{letter}: {said}"), style);
            }
        }
        _ => {
            if !name.is_empty() {
                text.push_str(&format!("  {name}\n"));
            }
            say(text, 4, None, &told, style);
        }
    }
    if let Some(more) = &apart.more {
        let indent = if fits { left } else { 4 };
        say(text, indent, Some(Tone::Faint), more, style);
    }
}

fn write_answers(text: &mut String, diff: &Diff, style: Style) {
    text.push('\n');
    if diff.answers.is_empty() {
        say(text, 0, Some(Tone::Faint), NO_ANSWERS, style);
        return;
    }
    say(text, 0, Some(Tone::Strong), "Answers", style);
    for answer in diff.answers.iter().filter(|answer| !answer.is_quiet()) {
        write_answer(text, answer, style);
    }
    if let Some(told) = diff.unchanged() {
        say(text, 2, None, &told, style);
    }
}

fn write_answer(text: &mut String, answer: &Answer, style: Style) {
    let label = answer
        .label
        .as_ref()
        .map_or(String::new(), |label| format!(": {label}"));
    say(text, 2, None, &format!("{}{label}", answer.name), style);
    hang(text, (4, 7), None, &format!("A: {}", answer.shown_a.display()), style);
    hang(text, (4, 7), None, &format!("B: {}", answer.second()), style);
    if answer.parts.is_empty() {
        return;
    }
    say(text, 4, None, "of which", style);
    let name = answer
        .parts
        .iter()
        .map(|(name, _)| columns(&visible(name)))
        .max()
        .unwrap_or(0);
    let part = answer.parts.iter().map(|(_, part)| columns(part)).max().unwrap_or(0);
    for (told, amount) in &answer.parts {
        let told = visible(told);
        let pad = " ".repeat(part.saturating_sub(columns(amount)));
        if 6 + part + GAP + name <= style.columns() {
            text.push_str(&format!("      {pad}{amount}   {told}\n"));
        } else {
            hang(text, (6, 8), None, &format!("{amount}: {told}"), style);
        }
    }
}

// ---- other forms ----

/// For a code host.
pub fn write_markdown(diff: &Diff) -> String {
    let mut text = String::new();
    for heading in diff.headings() {
        text.push_str(&format!("**{}**\n\n", escaped(&heading)));
    }
    for told in diff.standing() {
        text.push_str(&format!("{}\n\n", escaped(&told)));
    }
    if diff.is_same() {
        text.push_str(&format!("{SAME}\n\n"));
    }
    for (heading, list) in diff.lists() {
        markdown_list(&mut text, heading, &list);
    }
    if !diff.cases.is_empty() {
        text.push_str("## Cases that differ\n\n");
        diff.cases
            .iter()
            .for_each(|told| text.push_str(&format!("- {}\n", escaped(told))));
        text.push('\n');
    }
    if let Some(told) = diff.renamed_told() {
        text.push_str(&format!("{}\n\n", escaped(&told)));
    }
    markdown_answers(&mut text, diff);
    for flip in &diff.flips {
        let told = format!("{} in B, {} in A", verdict(flip.now), verdict(flip.before));
        let message = sentence(flip.message.as_deref().unwrap_or(""));
        text.push_str(format!("- {}: {told}. {}", code(&flip.text), escaped(&message)).trim_end());
        text.push('\n');
    }
    if !diff.flips.is_empty() {
        text.push('\n');
    }
    for told in &diff.remarks {
        text.push_str(&format!("{}\n\n", escaped(told)));
    }
    format!("{}\n", text.trim_end())
}

fn markdown_list(text: &mut String, heading: &str, list: &[&Apart]) {
    if list.is_empty() {
        return;
    }
    text.push_str(&format!("## {heading}\n\n| | A | B | |\n|---|---|---|---|\n"));
    for apart in list {
        let cell = |said: &Option<String>| said.as_ref().map_or(String::new(), |said| bar_free(said));
        let name = if apart.name.is_empty() {
            String::new()
        } else {
            bar_free(&apart.name)
        };
        let more = apart.more.as_ref().map_or(String::new(), |more| escaped(more));
        text.push_str(&format!(
            "| {name} | {} | {} | {more} |\n",
            cell(&apart.a),
            cell(&apart.b)
        ));
    }
    text.push('\n');
}

fn bar_free(text: &str) -> String {
    code(text).replace('|', "\\|")
}

fn markdown_answers(text: &mut String, diff: &Diff) {
    text.push_str("## Answers\n\n");
    if diff.answers.is_empty() {
        text.push_str(&format!("{NO_ANSWERS}\n\n"));
    }
    for answer in diff.answers.iter().filter(|answer| !answer.is_quiet()) {
        let told = format!("{} → {}", answer.shown_a.display(), answer.second());
        text.push_str(&format!("{}: {}\n\n", code(&answer.name), escaped(&told)));
        for (name, part) in &answer.parts {
            text.push_str(&format!("- {}: {}\n", escaped(name), escaped(part)));
        }
        if !answer.parts.is_empty() {
            text.push('\n');
        }
    }
    if let Some(told) = diff.unchanged() {
        text.push_str(&format!("{}\n\n", escaped(&told)));
    }
}

/// One row a difference, an answer, a share.
///
/// # Errors
/// Those of the output.
pub fn write_csv(diff: &Diff, output: &mut impl Write) -> io::Result<()> {
    let mut rows = csv::Writer::from_writer(output);
    rows.write_record(["what", "name", "of", "unit", "a", "b", "change"])?;
    let all = [
        ("input", &diff.inputs),
        ("formula", &diff.formulas),
        ("check", &diff.checks),
    ];
    for (what, list) in all {
        for apart in list {
            let said = |said: &Option<String>| safe(said.as_deref().unwrap_or("")).into_owned();
            rows.write_record([what, &*safe(&apart.name), "", "", &said(&apart.a), &said(&apart.b), ""])?;
        }
    }
    for renamed in &diff.renamed {
        rows.write_record([
            "renamed",
            &*safe(&renamed.a),
            "",
            "",
            &*safe(&renamed.a),
            &*safe(&renamed.b),
            "",
        ])?;
    }
    for answer in &diff.answers {
        let unit = answer.unit.as_deref().unwrap_or("");
        let name = safe(&answer.name);
        let change = answer.difference.as_deref().unwrap_or("");
        let (a, b) = (value_text(&answer.a), value_text(&answer.b));
        rows.write_record(["answer", &*name, "", unit, &a, &b, change])?;
        for (share, part) in &answer.shares.0 {
            rows.write_record(["share", &*safe(share), &*name, unit, "", "", part])?;
        }
        if let Some(rest) = &answer.rest {
            rows.write_record(["rest", "", &*name, unit, "", "", rest])?;
        }
    }
    for note in &diff.notes {
        rows.write_record(["note", &*safe(note), "", "", "", "", ""])?;
    }
    rows.flush()
}
