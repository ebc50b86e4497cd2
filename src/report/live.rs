//! The live page: a worksheet in a browser, its answers in sight and its inputs as fields.
//!
//! The model beside the report says what can be slid and what can be picked; the two pieces
//! that change, answers and worksheet, are written anew after each act, and a small script
//! puts them in place. What a field or a button does is a line as in the session. Start
//! reading at [`Live`], and at [`pieces`] for the writer.

use std::collections::BTreeSet;

use maud::{Markup, PreEscaped, html};

use super::chart::svg;
use super::document::{Block, Document, Sentence, frame, page};
use super::first_screen;
use super::model::{Check, Column, Entry, EntryKind, Part, Report, Section, Table, Value, ValueType};
use super::shown::Shown;
use super::visible::sentence;

pub(crate) mod class;

/// The script of the page.
pub(crate) const SCRIPT: &str = include_str!("live/page.js");
/// What the page adds to the look of the handout.
const LOOK: &str = include_str!("live/page.css");

/// So many rows of a table have fields.
const ROWS: usize = 60;

/// A worksheet as it stands, for a page that is worked with.
#[derive(Clone, PartialEq, Debug)]
pub struct Live {
    /// What was worked out.
    pub report: Report,
    /// Between what an entry of the report can be slid, place by place.
    pub sliders: Vec<Option<Slider>>,
    /// The cases by name, with their titles.
    pub cases: Vec<(String, Option<String>)>,
    /// Whether something is to be saved.
    pub unsaved: bool,
    /// The answers of which draws are still being made.
    pub to_draw: Vec<String>,
    /// The entries and tables that can't be changed.
    pub given: BTreeSet<String>,
    /// Whether a pupil of a class has it, who writes nothing.
    pub is_a_pupils: bool,
}

/// Between what an input is slid.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Slider {
    /// The low end, in the entry's unit.
    pub low: String,
    /// The high end.
    pub high: String,
    /// From one place to the next.
    pub step: String,
    /// Where it stands.
    pub at: String,
    /// What the ends are: `usual`.
    pub told: &'static str,
}

/// The pieces of the page that change.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Pieces {
    /// Answers, checks and dangers.
    pub answers: String,
    /// The worksheet, its inputs as fields.
    pub worksheet: String,
}

/// Both pieces.
pub fn pieces(live: &Live) -> Pieces {
    let written = |piece: Markup| frame::harmless(&piece.into_string());
    Pieces {
        answers: written(answers(live)),
        worksheet: written(worksheet(live)),
    }
}

/// The whole page around its pieces; the title is the worksheet's.
pub fn whole(title: &str, pieces: &Pieces) -> String {
    let body = html! {
        header { h1 { (title) } }
        section id="class" aria-label="Class" hidden {}
        section id="answers" aria-label="Answers" { (PreEscaped(&pieces.answers)) }
        main id="main" { (PreEscaped(&pieces.worksheet)) }
        section id="reply" aria-label="Reply" aria-live="polite" tabindex="-1" hidden {
            button type="button" id="put-away" { "Put away" }
            div id="told" {}
        }
        form id="typed" autocomplete="off" {
            label for="line" { "A line, as in the session" }
            input id="line" name="line" type="text" spellcheck="false" autocapitalize="off"
                placeholder="why runtime";
            button type="submit" { "Do it" }
        }
        p id="lost" role="alert" hidden { "The program that shows this page doesn't answer." }
    };
    frame::harmless(&frame::document(&head(), &html! { (title) }, &body))
}

/// What stands in the head of both pages: the look and the script.
fn head() -> Markup {
    html! {
        (PreEscaped(frame::HEAD))
        meta charset="utf-8";
        style { (PreEscaped(LOOK)) }
        script src="page.js" defer {}
    }
}

/// The page on which a pupil says a name.
pub fn door() -> String {
    let body = html! {
        main id="main" {
            form id="join" autocomplete="off" {
                label for="name" { "Your name" }
                input id="name" type="text" maxlength="40" required;
                button type="submit" { "Come in" }
            }
            p id="why-not" role="alert" class="bad" {}
        }
    };
    frame::harmless(&frame::document(&head(), &html! { "Come in" }, &body))
}

// ---- answers ----

fn answers(live: &Live) -> Markup {
    let report = &live.report;
    html! {
        (in_hand(live))
        @if let Some(line) = report.problem_line() { p class="bad" { (line) } }
        @for line in report.against_readings() { p class="bad" { (line) } }
        dl class="answers" {
            @for answer in report.answers() {
                div class="answer" data-shown=(answer.name) {
                    dt {
                        button type="button" class="bare" data-line={ "why " (answer.name) } title="where it comes from" {
                            (called(answer))
                        }
                    }
                    dd {
                        (value(&answer.shown, Some(&answer.name)))
                        @if live.to_draw.contains(&answer.name) { span class="soon" title="how sure it is, is being worked out" {} }
                    }
                }
            }
        }
        div class="beside" { (page::fragment(&first_screen::below_answers(report))) }
    }
}

/// The case and the trials, and what can be done with them.
fn in_hand(live: &Live) -> Markup {
    let report = &live.report;
    let case = report.case.as_ref().map_or("base", |case| case.name.as_str());
    html! {
        div class="acts" {
            (go_to(live))
            (act("undo", "undo"))
            @if !report.trials.is_empty() {
                @if !live.is_a_pupils { (act("keep", "keep")) }
                (act("drop", "drop"))
            }
            @if live.unsaved { (act("save", "save")) }
            @if !live.cases.is_empty() {
                span class="cases" role="group" aria-label="Cases" {
                    (pick("base", "the worksheet as it stands", case))
                    @for (name, title) in &live.cases { (pick(name, title.as_deref().unwrap_or(""), case)) }
                }
            }
        }
        @if let Some(case) = report.case.as_ref().filter(|_| live.is_a_pupils && live.cases.is_empty()) {
            p class="trials" { "With the numbers of " b { (case.title.as_ref().unwrap_or(&case.name)) } }
        }
        @if !report.trials.is_empty() {
            p class="trials" { b { "On trial: " } @for (place, trial) in report.trials.iter().enumerate() { @if place > 0 { ", " } code { (trial) } } }
        }
    }
}

/// What can be changed, to go there: inputs, and the rows of tables by what they are called.
fn go_to(live: &Live) -> Markup {
    let report = &live.report;
    html! {
        select id="go-to" aria-label="Go to what can be changed" {
            option value="" { "What if …" }
            @for section in &report.sections {
                @let inside = html! { @for part in &section.parts { (goals(live, part)) } };
                @if !inside.0.is_empty() { optgroup label=(section.title) { (inside) } }
            }
        }
    }
}

fn goals(live: &Live, part: &Part) -> Markup {
    let report = &live.report;
    html! {
        @match part {
            Part::Entry(place) => @if let Some(entry) = report.entries.get(*place).filter(|entry| live.is_field(entry)) {
                option value={ "line-" (place) } { (entry.label.as_ref().unwrap_or(&entry.name)) }
            },
            Part::Table(place) => @if let Some(table) = report.tables.get(*place).filter(|table| live.is_written(table)) {
                @for row in table.rows_shown(ROWS) {
                    @if let Some(word) = row_word(table, row) { option value={ "row-" (table.name) "-" (row) } { (word) } }
                }
            },
            _ => {},
        }
    }
}

impl Live {
    /// Whether an entry is changed in a field.
    fn is_field(&self, entry: &Entry) -> bool {
        let is_input = matches!(entry.kind, EntryKind::Measured | EntryKind::Quoted | EntryKind::Assumed);
        is_input && entry.in_table.is_none() && !self.given.contains(&entry.name)
    }

    /// Whether the cells of a table are fields.
    fn is_written(&self, table: &Table) -> bool {
        table.formula.is_none() && !table.made && !self.given.contains(&table.name)
    }
}

/// What a row is called in the table's first column of words, where that is it alone.
fn row_word(table: &Table, row: usize) -> Option<&str> {
    let words = table
        .columns
        .iter()
        .find(|column| column.value_type == ValueType::Text)?;
    let word = words
        .shown
        .get(row)
        .filter(|word| !word.is_empty() && !word.contains(['"', '\\']))?;
    let alone = words.shown.iter().filter(|other| *other == word).count() == 1;
    alone.then_some(word.as_str())
}

fn pick(name: &str, title: &str, in_hand: &str) -> Markup {
    html! {
        button type="button" data-line={ "case " (name) } title=(title) aria-pressed=(if name == in_hand { "true" } else { "false" }) { (name) }
    }
}

/// A button that does a line.
fn act(line: &str, word: &str) -> Markup {
    html! { button type="button" data-line=(line) { (word) } }
}

/// A value with what it may be off by; an answer's is asked about by touching that.
fn value(shown: &Shown, answer: Option<&str>) -> Markup {
    html! {
        @match shown.listed() {
            Some(rows) => ul {
                @for row in 0..rows.cells.len() { li { (rows.row_word(row)) (cell(rows.cells.get(row).and_then(Option::as_ref))) } }
            },
            None => {
                b { (shown.value) }
                @if let Some(out) = &shown.uncertainty { " " (asked(&format!("± {out}"), "out small", answer)) }
                @if let Some(mark) = &shown.mark { " " (asked(&format!("({mark})"), "drawn small", answer)) }
            },
        }
    }
}

/// A cell of a column.
fn cell(shown: Option<&Shown>) -> Markup {
    html! {
        " " b { (shown.map_or("missing".to_owned(), Shown::display)) }
        @if let Some(mark) = shown.and_then(|shown| shown.mark.as_ref()) { " " span class="drawn small" { "(" (mark) ")" } }
    }
}

/// What a value may be off by; an answer's is asked about by touching it.
fn asked(out: &str, class: &str, answer: Option<&str>) -> Markup {
    html! {
        @match answer {
            Some(name) => button type="button" class={ "bare " (class) } data-line={ "doubt " (name) } title="how sure it is" { (out) },
            None => span class=(class) { (out) },
        }
    }
}

// ---- worksheet ----

fn verdict_class(check: &Check) -> &'static str {
    match check.holds {
        Some(true) => "good",
        Some(false) => "bad",
        None => "open",
    }
}

fn worksheet(live: &Live) -> Markup {
    html! { @for (place, section) in live.report.sections.iter().enumerate() { (self::section(live, section, place)) } }
}

fn section(live: &Live, section: &Section, place: usize) -> Markup {
    html! {
        @if section.level > 1 { h2 id={ "section-" (place) } { (section.title) } }
        @for part in &section.parts { (self::part(live, part)) }
    }
}

fn part(live: &Live, part: &Part) -> Markup {
    let report = &live.report;
    html! {
        @match part {
            Part::Prose(text) => (said(text)),
            Part::Entry(place) => @if let Some(entry) = report.entries.get(*place) { (line(live, entry, *place)) },
            Part::Table(place) => @if let Some(table) = report.tables.get(*place) { (self::table(live, table)) },
            Part::Check(place) => @if let Some(check) = report.checks.get(*place) {
                p id={ "check-" (place) } class=(verdict_class(check)) {
                    code { (check.text) } " " (check.verdict())
                    @for told in check.told() { span class="small" { (sentence(told)) } }
                }
            },
            Part::Chart(place) => @if let Some(chart) = report.charts.get(*place) {
                figure id={ "figure-" (place) } {
                    div class="drawn" { (PreEscaped(svg::write(chart, &format!("sheet-{place}")))) }
                }
            },
            Part::Rule(text) => p { code { (text) } },
            Part::RestsOn(text) => p class="small" { "Rests on " (text) },
        }
    }
}

/// Prose, with what stands in backticks as code.
fn said(text: &str) -> Markup {
    page::fragment(&Document(vec![Block::Said(0, None, Sentence::marked(text))]))
}

/// What a line is called: its label, if it has one, and its name.
fn called(entry: &Entry) -> Markup {
    html! { @if let Some(label) = &entry.label { span class="label" { (label) " " } } code { (entry.name) } }
}

fn line(live: &Live, entry: &Entry, place: usize) -> Markup {
    let is_input = live.is_field(entry);
    html! {
        @if entry.in_table.is_none() {
            div class=(if is_input { "line input" } else { "line" }) id={ "line-" (place) } data-shown=(entry.name) {
                @if is_input {
                    label for={ "field-" (place) } { (called(entry)) }
                    (field(entry, place))
                    @if let Some(slider) = live.sliders.get(place).and_then(Option::as_ref) { (self::slider(entry, slider)) }
                } @else {
                    span class="called" { (called(entry)) }
                    span class="value" { (value(&entry.shown, None)) }
                    @if let Some(formula) = &entry.formula { code class="formula" { (formula) } }
                    @if !live.given.contains(&entry.name) || entry.formula.is_some() { (act(&format!("why {}", entry.name), "why")) }
                }
            }
        }
    }
}

/// A value to be changed: the number alone where its unit stands beside it.
fn field(entry: &Entry, place: usize) -> Markup {
    let unit = entry.unit.as_deref().unwrap_or("");
    let is_blank = entry.value == Value::Nothing;
    let (number, beside) = match entry.shown.value.strip_suffix(unit) {
        Some(number) if entry.value_type == ValueType::Number => (number.trim_end(), unit),
        _ => (entry.shown.value.as_str(), if is_blank { unit } else { "" }),
    };
    let quoted = matches!(entry.value_type, ValueType::Text) && !is_blank;
    html! {
        span class="field" {
            input id={ "field-" (place) } type="text" spellcheck="false" autocapitalize="off" data-name=(entry.name)
                data-unit=(beside) data-out=[entry.shown.uncertainty.as_ref()] data-text=(if quoted { "yes" } else { "" })
                value=(if is_blank { "" } else { number }) placeholder=(if is_blank { "fill in" } else { "" });
            @if !beside.is_empty() { span class="unit" { (beside) } }
            @if let Some(out) = &entry.shown.uncertainty { span class="small" { "± " (out) } }
            @if let Some(holder) = entry.held_by { span class="held" { (match holder.word() { "trial" => "on trial", _ => "by the case" }) } }
        }
    }
}

fn slider(entry: &Entry, slider: &Slider) -> Markup {
    html! {
        span class="slider" {
            span class="small" { (slider.low) }
            input type="range" min=(slider.low) max=(slider.high) step=(slider.step) value=(slider.at)
                data-slides=(entry.name) data-unit=(entry.unit.as_deref().unwrap_or("")) data-out=[entry.shown.uncertainty.as_ref()]
                aria-label={ "Slide " (entry.name) ", " (slider.told) };
            span class="small" { (slider.high) " " (entry.unit.as_deref().unwrap_or("")) ", " (slider.told) }
        }
    }
}

/// A table; one that is written down has its cells as fields, and a row to add.
fn table(live: &Live, table: &Table) -> Markup {
    let written = live.is_written(table);
    let called = |row: usize| row_word(table, row).map_or(format!("row {}", row + 1), |word| format!("\"{word}\""));
    let rows = table.rows_shown(ROWS);
    let columns = table.columns_shown();
    html! {
        div class="scroll" id={ "table-" (table.name) } tabindex="0" role="region" aria-label={ "Table " (table.name) } {
            table class="rows" {
                caption { (table.label.as_ref().unwrap_or(&table.name)) @if let Some(told) = table.rows_told(&rows) { ", " (told) } }
                thead { tr { @for column in columns { th scope="col" { (column.name) @if let Some(unit) = column.bracket() { " " span class="unit" { (unit) } } } } } }
                tbody {
                    @for row in &rows {
                        tr id={ "row-" (table.name) "-" (row) } {
                            @for column in columns {
                                td {
                                    @let cell = column.cell(*row);
                                    @if written {
                                        input type="text" spellcheck="false" autocapitalize="off" value=(cell.0) aria-label={ (column.name) " of " (row_word(table, *row).map_or(format!("row {}", row + 1), str::to_owned)) }
                                            data-name={ (table.name) "." (column.name) " of " (called(*row)) } data-unit=(column.unit.as_deref().unwrap_or(""))
                                            data-text=(if column.value_type == ValueType::Text { "yes" } else { "" });
                                        (cell.1)
                                    } @else { (cell.0) (cell.1) }
                                }
                            }
                        }
                    }
                }
            }
        }
        @if written && !live.is_a_pupils { (reading(table)) }
    }
}

/// Where a row is put in, as it comes.
fn reading(table: &Table) -> Markup {
    html! {
        form class="reading" id={ "add-" (table.name) } data-table=(table.name) autocomplete="off" {
            @for column in &table.columns { (cell_to_come(table, column)) }
            button type="submit" { "Add to " (table.name) }
        }
    }
}

/// So many words of a column are picked, more are typed.
const WORDS: usize = 4;

/// One cell of a row to come: a word that stands in the column is picked, all else is typed.
fn cell_to_come(table: &Table, column: &Column) -> Markup {
    let words: BTreeSet<&str> = column
        .shown
        .iter()
        .map(String::as_str)
        .filter(|word| !word.is_empty())
        .collect();
    let is_time = matches!(
        column.value_type,
        ValueType::Time | ValueType::Counted | ValueType::Moment
    );
    let mode = if column.value_type == ValueType::Number {
        "decimal"
    } else {
        "text"
    };
    html! {
        @if column.value_type == ValueType::Text && (1..=WORDS).contains(&words.len()) && words.len() < column.shown.iter().filter(|word| !word.is_empty()).count() {
            fieldset {
                legend { (column.name) }
                @for word in &words {
                    label { input type="radio" name=(column.name) value=(word) data-table=(table.name); (word) }
                }
            }
        } @else {
            label {
                (column.name) @if let Some(unit) = &column.unit { " " span class="unit" { (unit) } }
                input type="text" name=(column.name) spellcheck="false" autocapitalize="off" inputmode=(mode)
                    data-text=(if column.value_type == ValueType::Text { "yes" } else { "" })
                    placeholder=(if is_time { "now" } else { "" });
            }
        }
    }
}
