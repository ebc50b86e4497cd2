//! The report in Markdown, for a code host or a notebook.
//!
//! Everything that came from the worksheet is escaped, so that no text becomes
//! a heading, an image, a formula, a tag or a link that hides where it leads. Answers stand first. Start reading at
//! [`write()`].

use std::fmt::Write;

use super::document::markdown::{chart, code, escaped, without_markers, words};
use super::in_hand::USUAL;
use super::model::{Check, Entry, EntryKind, MADE_ROWS, Part, Report, Section, Table, ValueType};
use super::shown::Rows;
use super::visible::{closed, sentence};

/// The whole report.
pub fn write(report: &Report) -> String {
    let mut text = String::new();
    title(&mut text, report);
    answers(&mut text, report);
    checks(&mut text, report);
    cautions(&mut text, report);
    for (number, section) in report.sections.iter().enumerate() {
        self::section(&mut text, report, number, section);
    }
    problems(&mut text, report);
    text
}

fn push(text: &mut String, line: &str) {
    text.push_str(line);
    text.push('\n');
}

/// An empty line between blocks.
fn rest(text: &mut String) {
    if !text.is_empty() && !text.ends_with("\n\n") {
        text.push('\n');
    }
}

fn heading(text: &mut String, level: usize, title: &str) {
    rest(text);
    push(text, &format!("{} {}\n", "#".repeat(level), escaped(title)));
}

fn paragraph(text: &mut String, line: &str) {
    rest(text);
    push(text, line);
}

fn title(text: &mut String, report: &Report) {
    heading(text, 1, report.title.as_deref().unwrap_or("Worksheet"));
    for told in report.in_hand().sentences(USUAL, None) {
        paragraph(text, &words(&told));
    }
    if let Some(line) = report.problem_line() {
        paragraph(text, &format!("**{line}**"));
    }
    for prose in report.opening() {
        paragraph(text, &without_markers(coded(prose)));
    }
}

fn answers(text: &mut String, report: &Report) {
    if report.answers().next().is_none() {
        return;
    }
    heading(text, 2, "Answers");
    push(text, "| answer | | value | rests on |");
    push(text, "|---|---|---:|---|");
    for answer in report.answers() {
        let value = match answer.shown.listed() {
            Some(_) => "below".to_owned(),
            None => format!("**{}**{}", escaped(&answer.shown.display()), mark(answer)),
        };
        let _ = writeln!(
            text,
            "| {} | {} | {value} | {} |",
            cell_code(&answer.name),
            escaped(answer.label.as_deref().unwrap_or("")),
            escaped(&answer.how_known()),
        );
    }
    for answer in report.answers() {
        if let Some(rows) = answer.shown.listed() {
            rest(text);
            text.push_str(&rows_markdown(&answer.name, rows));
        }
    }
}

/// The rows of a column as a table, beside what tells them apart.
pub(super) fn rows_markdown(name: &str, rows: &Rows) -> String {
    let names = rows.names.as_ref();
    let headings = names.map(|names| cell_code(&names.column)).into_iter();
    let rule = if names.is_some() { "|---|---:|" } else { "|---:|" };
    let mut text = format!("{}\n{rule}\n", row(headings.chain([cell_code(name)])));
    for index in 0..rows.cells.len() {
        let name = names.map(|_| escaped(rows.name(index))).into_iter();
        text.push_str(&row(name.chain([escaped(&rows.told(index))])));
        text.push('\n');
    }
    text
}

fn checks(text: &mut String, report: &Report) {
    if report.checks.is_empty() {
        return;
    }
    heading(text, 2, "Checks");
    for check in &report.checks {
        push(text, &check_line(check));
    }
}

fn check_line(check: &Check) -> String {
    let verdict = match check.holds {
        Some(true) => check.verdict().to_owned(),
        _ => format!("**{}**", check.verdict()),
    };
    let place = match check.holds {
        Some(true) => String::new(),
        _ => format!(" ({})", check.place()),
    };
    let mut line = format!("- {}{place} {verdict}", code(&check.text));
    for (place, told) in check.told().enumerate() {
        line.push_str(if place == 0 { ": " } else { " " });
        line.push_str(&coded(&sentence(told)));
    }
    line
}

fn cautions(text: &mut String, report: &Report) {
    if report.cautions.is_empty() {
        return;
    }
    heading(text, 2, "Cautions");
    for caution in &report.cautions {
        let said = coded(&sentence(&caution.text));
        let source = escaped(&caution.source);
        push(text, &format!("- **{}**: {said} *{source}*", escaped(&caution.code)));
    }
    for closing in report.closing() {
        paragraph(text, &format!("**{closing}**"));
    }
}

fn section(text: &mut String, report: &Report, number: usize, section: &Section) {
    let shown = |part: &&Part| !matches!(part, Part::Check(_));
    let mut parts = report.below_opening(number, section).iter().filter(shown).peekable();
    if parts.peek().is_none() {
        return;
    }
    if !report.is_title(section) && !section.title.is_empty() {
        heading(text, usize::from(section.level).clamp(2, 6), &section.title);
    }
    let mut in_table = false;
    for part in parts {
        let is_entry = matches!(part, Part::Entry(_));
        if is_entry && !in_table {
            rest(text);
            push(text, "| name | value | known as | how, and from what |");
            push(text, "|---|---:|---|---|");
        }
        in_table = is_entry;
        self::part(text, report, part);
    }
}

fn part(text: &mut String, report: &Report, part: &Part) {
    match part {
        Part::Prose(prose) => paragraph(text, &without_markers(coded(prose))),
        Part::Entry(index) => {
            if let Some(entry) = report.entries.get(*index) {
                push(text, &entry_row(entry));
            }
        }
        Part::Table(index) => {
            if let Some(table) = report.tables.get(*index) {
                self::table(text, table);
            }
        }
        Part::Chart(index) => {
            if let Some(chart) = report.charts.get(*index) {
                rest(text);
                self::chart(text, chart);
            }
        }
        Part::Rule(rule) => paragraph(text, &code(rule)),
        Part::RestsOn(told) => paragraph(text, &escaped(&format!("Rests on {told}."))),
        // Checks stand together near the top.
        Part::Check(_) => {}
    }
}

/// What draws say beside a value.
fn mark(entry: &Entry) -> String {
    let mark = entry.shown.mark.as_deref();
    mark.map_or(String::new(), |mark| format!(" ({})", escaped(mark)))
}

fn entry_row(entry: &Entry) -> String {
    let value = match (entry.kind, entry.shown.listed()) {
        (EntryKind::Answer, Some(_)) => escaped(&entry.shown.value),
        _ => escaped(&entry.in_one_line()),
    };
    let value = if entry.kind == EntryKind::Answer {
        format!("**{value}**{}", mark(entry))
    } else {
        format!("{value}{}", mark(entry))
    };
    let held = entry
        .held_by
        .map_or(String::new(), |holder| format!(", {}", holder.word()));
    let formula = entry.formula.as_deref().map(cell_code);
    let texts = [&entry.label, &entry.source, &entry.note];
    let texts = texts.iter().filter_map(|text| text.as_deref()).map(escaped);
    let details: Vec<String> = formula.into_iter().chain(texts).collect();
    format!(
        "| {} | {value} | {}{held} | {} |",
        cell_code(&entry.name),
        entry.kind.word(),
        details.join(" · ")
    )
}

fn table(text: &mut String, table: &Table) {
    let about = table.label.iter().chain(&table.source);
    let about: String = about.map(|told| format!(" · {}", escaped(told))).collect();
    let standing = table
        .standing
        .as_ref()
        .map_or(String::new(), |told| format!(" · {}", escaped(told)));
    let formula = table
        .formula
        .as_ref()
        .map_or(String::new(), |formula| format!(" = {}", code(formula)));
    paragraph(text, &format!("{}{formula}{about}{standing}\n", code(&table.name)));
    if table.standing.is_some() {
        return;
    }
    if let Some(two_ways) = &table.two_ways {
        paragraph(text, &format!("{}\n", escaped(&two_ways.told)));
    }
    let headings = table.columns_shown().iter().map(|column| match column.beside_name() {
        Some(unit) => escaped(&format!("{} {unit}", column.name)),
        None => escaped(&column.name),
    });
    push(text, &row(headings));
    let rules = table.columns_shown().iter().map(|column| match column.value_type {
        ValueType::Number => "---:".to_owned(),
        _ => "---".to_owned(),
    });
    push(text, &row(rules));
    let shown = if table.made {
        table.rows_shown(MADE_ROWS)
    } else {
        (0..table.rows()).collect()
    };
    let told = table.rows_told(&shown);
    for index in shown {
        let cells = table
            .columns_shown()
            .iter()
            .map(|column| escaped(column.shown.get(index).map_or("", String::as_str)));
        push(text, &row(cells));
    }
    if let Some(told) = told {
        paragraph(text, &format!("*{}*", sentence(&told)));
    }
}

fn row(cells: impl Iterator<Item = String>) -> String {
    let mut line = String::from("|");
    for cell in cells {
        line.push(' ');
        line.push_str(&cell);
        line.push_str(" |");
    }
    line
}

fn problems(text: &mut String, report: &Report) {
    if report.problems.is_empty() {
        return;
    }
    heading(text, 2, "Problems");
    for problem in &report.problems {
        let file = problem.file.as_ref().map_or(String::new(), |file| format!("{file}, "));
        let place = escaped(&format!("{file}line {}", problem.line));
        let said = coded(&sentence(&problem.message));
        let help = problem
            .help
            .as_ref()
            .map_or(String::new(), |help| format!(" Try: {}", coded(&closed(help))));
        push(text, &format!("- {place} · {}: {said}{help}", escaped(&problem.code)));
    }
}

/// A text with what stands in backticks as code.
fn coded(text: &str) -> String {
    if text.matches('`').count() % 2 == 1 {
        return escaped(text);
    }
    let pieces = text.split('`').enumerate();
    let told = pieces.map(|(index, piece)| match index % 2 {
        1 if !piece.is_empty() => code(piece),
        _ => escaped(piece),
    });
    told.collect()
}

/// Code inside a table's cell, where a bar would end the cell.
fn cell_code(text: &str) -> String {
    code(text).replace('|', "\\|")
}
