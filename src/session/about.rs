//! What there is to know about a name, a function, a unit or a word, in Markdown:
//! a value with its derivation and sources, or the page of a declaration.
//!
//! Start reading at [`Session::about`].

use crate::report::build;
use crate::report::markdown::{code, escaped};
use crate::report::model::{Column, Entry, Table};
use crate::report::pages::{help_page, signature_part, units_page};
use crate::report::style::Style;
use crate::report::why::step_markdown;
use crate::sheet::names::{CellId, Named};
use crate::syntax::tree::Node;
use crate::trade::registry::function;

use super::Session;
use super::pointing::Target;

/// So many cells of a column are told.
const CELLS: usize = 4;

impl Session {
    /// All there is to know about a thing, in Markdown; `None` where there is nothing.
    pub fn about(&mut self, target: &Target) -> Option<String> {
        match target {
            Target::Name(name) => self.about_name(name),
            Target::Column(table, column) => self.about_column(table, column),
            Target::Case(name) => self.about_case(name),
            Target::Parameter(callee, name) => self.about_parameter(callee, name),
            Target::Function(name) | Target::Word(name) => page(help_page(name, &[], Style::default())),
            Target::Unit(unit) => page(units_page(Some(unit), Style::default())),
        }
    }

    fn about_name(&mut self, name: &str) -> Option<String> {
        match self.sheet.names().get(name)? {
            Named::Cell(cell) => self.about_entry(name, cell),
            Named::Table(place) => {
                let table = build::table(&self.sheet, place as usize, self.options)?;
                Some(about_table(&table))
            }
            Named::Rule(item) => {
                let text = self.sheet.tree().text_of(item as usize);
                Some(format!("```tarebook\n{}\n```\n", text.trim()))
            }
        }
    }

    fn about_entry(&mut self, name: &str, cell: CellId) -> Option<String> {
        let entry = build::entry(&self.sheet, cell, self.options)?;
        let mut text = heading(&entry);
        if let Ok(mut why) = self.why(name, Some(0))
            && let Some(step) = why.steps.first_mut()
        {
            // The value heads it all.
            step.shown.clear();
            text.push_str(&step_markdown(step));
        }
        let known = entry.how_known();
        if !known.is_empty() {
            text.push_str(&format!("- rests on {}\n", escaped(&known)));
        }
        if let Some(note) = &entry.note {
            text.push_str(&format!("- note: {}\n", escaped(note)));
        }
        for caution in build::cautions_of(&self.sheet, &[cell]) {
            let said = escaped(&caution.text);
            text.push_str(&format!("- care, {}: {said}\n", code(&caution.code)));
        }
        Some(text)
    }

    fn about_column(&self, table: &str, column: &str) -> Option<String> {
        let Some(Named::Table(place)) = self.sheet.names().get(table) else {
            return None;
        };
        let table = build::table(&self.sheet, place as usize, self.options)?;
        let column = table.columns.iter().find(|known| known.name == column)?;
        Some(format!("{}\n", told_column(&format!("{}.", table.name), column)))
    }

    fn about_case(&self, name: &str) -> Option<String> {
        let item = self.sheet.names().case(name)?;
        let text = self.sheet.tree().text_of(item as usize);
        Some(format!("```tarebook\n{}\n```\n", text.trim_end()))
    }

    fn about_parameter(&self, callee: &str, name: &str) -> Option<String> {
        if let Some(function) = function(callee) {
            let parameter = function.parameters.iter().find(|known| known.name == name)?;
            let head = code(&signature_part(parameter));
            return Some(format!("{head} of {}: {}\n", code(callee), escaped(parameter.meaning)));
        }
        let Some(Named::Rule(item)) = self.sheet.names().get(callee) else {
            return None;
        };
        let Node::Rule(rule) = &self.sheet.tree().items.get(item as usize)?.node else {
            return None;
        };
        let parameter = rule.parameters.iter().find(|known| &*known.name.text == name)?;
        let unit = parameter.unit.map_or(String::new(), |unit| format!(" [{}]", unit.unit));
        Some(format!(
            "{} of the rule {}\n",
            code(&format!("{name}{unit}")),
            code(callee)
        ))
    }
}

/// The value as it can be typed, and what it waits on.
fn heading(entry: &Entry) -> String {
    if entry.waits_on.is_empty() {
        return format!("{}\n\n", code(&format!("{} = {}", entry.name, entry.shown.display())));
    }
    let awaited = entry.waits_on.iter();
    let awaited: Vec<String> = awaited
        .map(|one| format!("{} (line {})", code(&one.name), one.line))
        .collect();
    format!("{} waits on {}\n\n", code(&entry.name), awaited.join(", "))
}

fn about_table(table: &Table) -> String {
    let label = table.label.as_ref().map(|label| format!(" {}", escaped(label)));
    let from = table
        .source
        .as_ref()
        .map(|source| format!(", from {}", escaped(source)));
    let mut text = format!(
        "**{}**{} · {} rows{}\n\n",
        code(&table.name),
        label.unwrap_or_default(),
        table.rows(),
        from.unwrap_or_default()
    );
    if let Some(formula) = &table.formula {
        text.push_str(&format!("- = {}\n", code(formula)));
    }
    for column in &table.columns {
        text.push_str(&format!("- {}\n", told_column("", column)));
    }
    if let Some(standing) = &table.standing {
        text.push_str(&format!("- {}\n", escaped(standing)));
    }
    text
}

/// `log.gross [lb]`: the first cells.
fn told_column(before: &str, column: &Column) -> String {
    let unit = column.unit.as_ref().map(|unit| format!(" [{unit}]"));
    let head = code(&format!("{before}{}{}", column.name, unit.unwrap_or_default()));
    let mut cells: Vec<String> = column
        .shown
        .iter()
        .take(CELLS)
        .map(|cell| escaped(cell).to_string())
        .collect();
    if column.shown.len() > CELLS {
        cells.push(format!("… {} in all", column.shown.len()));
    }
    format!("{head}: {}", cells.join(", "))
}

/// A page as it stands on a terminal.
fn page(page: Result<String, String>) -> Option<String> {
    let page = page.ok()?;
    Some(format!("```text\n{}\n```\n", page.trim_end().replace("```", "'''")))
}
