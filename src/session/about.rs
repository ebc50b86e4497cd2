//! What there is to know about a name, a function, a unit or a word, in Markdown:
//! a value with its derivation and sources, or the page of a declaration.
//!
//! Start reading at [`Session::about`].

use crate::report::compose;
use crate::report::document::markdown;
use crate::report::document::markdown::{code, escaped};
use crate::report::model::{Column, Entry, LOCAL_CODE, Table};
use crate::report::pages::{help_page, signature_part, units_page};
use crate::report::style::Style;
use crate::report::visible::visible;
use crate::sheet::Status;
use crate::sheet::names::{CellId, Named};
use crate::syntax::tree::Node;
use crate::trade::registry::function;

use super::Session;
use super::pointing::Target;
use super::trial::Answered;

/// So many cells of a column are told.
const CELLS: usize = 4;

impl Session {
    /// All there is to know about a thing, in Markdown; `None` where there is nothing.
    pub fn about(&mut self, target: &Target) -> Option<String> {
        match target {
            Target::Name(name) => self.about_name(name),
            Target::Column(table, column) => self.about_column(table, column),
            Target::Cell(called) => self.about_cell(called),
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
                let table = compose::table(&self.sheet, place as usize, self.options)?;
                let made = self.sheet.names().table_cells.get(place as usize).copied().flatten();
                Some(about_table(&table) + &self.told_cautions(made.as_slice()))
            }
            Named::Rule(item) | Named::Use(item) => {
                let text = self.sheet.tree().text_of(item as usize);
                Some(fenced("tarebook", text.trim()))
            }
        }
    }

    fn about_entry(&mut self, name: &str, cell: CellId) -> Option<String> {
        let entry = compose::entry(&self.sheet, cell, self.options)?;
        let mut text = self.heading(&entry, cell);
        if let Ok(mut why) = self.why(name, Some(0))
            && let Some(step) = why.study.steps.first_mut()
        {
            // The value heads it all.
            step.shown.clear();
            text.push_str(&markdown::of_blocks(&step.blocks()));
        }
        if let Some(mark) = &entry.shown.mark {
            text.push_str(&format!("- {}\n", escaped(mark)));
        }
        let known = entry.how_known();
        if !known.is_empty() {
            text.push_str(&format!("- rests on {}\n", escaped(&known)));
        }
        if let Some(note) = &entry.note {
            text.push_str(&format!("- note: {}\n", escaped(note)));
        }
        text.push_str(&self.told_cautions(&[cell]));
        Some(text)
    }

    /// The cautions that go with values, and who decides.
    fn told_cautions(&self, cells: &[CellId]) -> String {
        let cautions = compose::cautions_of(&self.sheet, cells);
        let mut text = String::new();
        for caution in &cautions {
            let said = escaped(&caution.text);
            text.push_str(&format!("- care, {}: {said}\n", code(&caution.code)));
        }
        if !cautions.is_empty() {
            text.push_str(&format!("\n{LOCAL_CODE}\n"));
        }
        text
    }

    /// The value as it can be typed, in which case; or why there is none.
    fn heading(&self, entry: &Entry, cell: CellId) -> String {
        let name = code(&entry.name);
        let case = self
            .sheet
            .case()
            .map(|case| format!(", in the case {}", code(&case.name)));
        match self.sheet.status(cell) {
            Status::Known => {
                let value = code(&format!("{} = {}", entry.name, entry.shown.display()));
                format!("{value}{}\n\n", case.unwrap_or_default())
            }
            Status::Blank => format!("{name} is not yet known\n\n"),
            Status::Broken => format!("{name} has a problem\n\n"),
            Status::Waits => format!("{name} waits for {}\n\n", awaited(entry)),
        }
    }

    fn about_column(&mut self, table: &str, column: &str) -> Option<String> {
        let Some(Named::Table(place)) = self.sheet.names().get(table) else {
            return None;
        };
        let worked = format!("{table}.{column}");
        if self.sheet.names().get(&worked).is_some() {
            return self.about_name(&worked);
        }
        let table = compose::table(&self.sheet, place as usize, self.options)?;
        let column = table.columns.iter().find(|known| known.name == column)?;
        Some(format!("{}\n", told_column(&format!("{}.", table.name), column)))
    }

    fn about_cell(&mut self, called: &str) -> Option<String> {
        let Ok(Answered::Value(shown, _)) = self.evaluate(called) else {
            return None;
        };
        Some(format!("{}\n", code(&format!("{called} = {}", shown.display()))))
    }

    fn about_case(&self, name: &str) -> Option<String> {
        let item = self.sheet.names().case(name)?;
        let text = self.sheet.tree().text_of(item as usize);
        Some(fenced("tarebook", text.trim_end()))
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
        let Node::Rule(rule) = self.sheet.tree().node(item)? else {
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

/// `bad` (line 8), `rate` (line 9)
fn awaited(entry: &Entry) -> String {
    let awaited = entry.waits_on.iter();
    let awaited: Vec<String> = awaited
        .map(|one| match one.place.is_empty() {
            true => one.name.clone(),
            false => format!("{} ({})", code(&one.name), one.place),
        })
        .collect();
    awaited.join(", ")
}

/// Lines as they stand, between fences that none of them closes.
fn fenced(kind: &str, text: &str) -> String {
    let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest.max(2) + 1);
    let lines: Vec<String> = text.lines().map(|line| visible(line).into_owned()).collect();
    format!("{fence}{kind}\n{}\n{fence}\n", lines.join("\n"))
}

fn about_table(table: &Table) -> String {
    let label = table.label.as_ref().map(|label| format!(" {}", escaped(label)));
    let from = table
        .source
        .as_ref()
        .map(|source| format!(", from {}", escaped(source)));
    let mut text = format!(
        "**{}**{} · {}{}\n\n",
        code(&table.name),
        label.unwrap_or_default(),
        match table.rows() {
            1 => "1 row".to_owned(),
            rows => format!("{rows} rows"),
        },
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
        .map(|cell| match cell.is_empty() {
            true => "(missing)".to_owned(),
            false => escaped(cell).to_string(),
        })
        .collect();
    if column.shown.len() > CELLS {
        cells.push(format!("… {} in all", column.shown.len()));
    }
    format!("{head}: {}", cells.join(", "))
}

/// A page as it stands on a terminal.
fn page(page: Result<String, String>) -> Option<String> {
    let page = page.ok()?;
    Some(fenced("text", page.trim_end()))
}
