//! Trials: values held over the record, tried, listed, kept or dropped.
//!
//! A trial is worked out once from what stands and never changes a line until
//! it is kept. Start reading at [`Session::try_value`] and [`Session::keep`].

use crate::problem::{Code, Place, Problem};
use crate::report::compose;
use crate::report::model::{Entry, Report};
use crate::report::shown::Shown;
use crate::sheet::names::{CellId, Named};
use crate::sheet::{Held, unknown};
use crate::syntax::tree::{
    CaseLine, Entry as TreeEntry, Expression, ExpressionNode, Name, Node, TableContent, Tolerance, ToleranceForm,
    ToleranceOf, Typed, Value,
};
use crate::syntax::{cell_head, parse_typed};
use crate::text::{Span, in_backticks};
use crate::trade::caution::TWO_TABLES;
use crate::unit::Kind;

use super::journal::Act;
use super::{Outcome, Refusal, Session};

/// What a typed expression came to.
#[derive(Clone, Debug)]
pub enum Answered {
    /// A value, and what to be careful of in it, in words.
    Value(Shown, Vec<String>),
    /// An entry as it stands.
    Entry(Box<Entry>),
    /// A table: the report it is in, and its place among the tables there.
    Table(Box<Report>, usize),
    /// A line of the worksheet.
    Line(String),
}

impl Session {
    /// Whether a line is a trial: a name followed by `=`.
    pub fn is_trial(line: &str) -> bool {
        let line = line.trim_start();
        let end = line
            .find(|c: char| !c.is_alphanumeric() && c != '_' && c != '.')
            .unwrap_or(line.len());
        let (word, rest) = line.split_at_checked(end).unwrap_or((line, ""));
        let opens = !word.is_empty() && !word.starts_with(|c: char| c.is_ascii_digit());
        opens && rest.trim_start().starts_with('=') || cell_head(line).is_some()
    }

    /// Refuses what looks like a trial of a whole column: a comparison, and no trial.
    ///
    /// # Errors
    /// What to do instead; nothing where the line is none.
    fn refuse_column_trial(&self, line: &str) -> Result<(), Refusal> {
        let written = line.split_once('=').map_or("", |(before, _)| before.trim());
        let Some((table, column)) = written.rsplit_once('.') else {
            return Ok(());
        };
        let table_named = match self.sheet.names().get(table) {
            Some(Named::Table(place)) => self.sheet.tables().get(place as usize),
            _ => None,
        };
        let is_column = |slot: &u32| {
            self.sheet
                .table_column(*slot)
                .is_some_and(|known| &*known.name == column)
        };
        let Some(found) = table_named.filter(|table| table.columns.iter().any(is_column)) else {
            return Ok(());
        };
        let item = self.sheet.tree().node(found.item);
        let help = match item {
            Some(Node::Table(tree)) => match &tree.content {
                Some(TableContent::Csv { path, .. }) => format!("change `{}`, then `reload`", path.text),
                Some(TableContent::Function(_)) => "try a value that the table is made of".to_owned(),
                _ => format!("`edit {table}` changes its cells, and `undo` takes that back"),
            },
            _ => return Ok(()),
        };
        let message = format!(
            "`{written}` is a column, and a trial puts one value in place, such as `{written} of row 1 = …`; a comparison \
stands in parentheses here: `({})`",
            line.trim()
        );
        Err(Refusal::new(message).help(help))
    }

    /// Works out an expression, which may end with `[unit]`.
    ///
    /// # Errors
    /// Its problems, drawn against the line.
    pub fn evaluate(&mut self, line: &str) -> Result<Answered, Refusal> {
        let typed = self
            .sheet
            .tree()
            .read_typed(line)
            .map_err(|problems| self.refused(line, &problems))?;
        let Typed::Expression { expression, unit } = typed else {
            return Err(Refusal::new("this is a trial, and a value is wanted here"));
        };
        if let (ExpressionNode::Name(name), None) = (&expression.node, &unit)
            && let Some(answered) = self.named(name)
        {
            return Ok(answered);
        }
        let clock = unit.is_some_and(|unit| unit.clock);
        let value = self.sheet.evaluate(line, &expression, unit.as_ref());
        let value = value.map_err(|problems| self.refused(line, &problems))?;
        let shown = compose::shown_value(&self.sheet, &value, clock, self.options);
        let met = value.met.iter().map(|told| format!("{}: {told}", TWO_TABLES.code));
        Ok(Answered::Value(shown, met.collect()))
    }

    /// What stands under a name alone.
    fn named(&self, name: &str) -> Option<Answered> {
        match self.sheet.names().get(name)? {
            Named::Cell(cell) => {
                compose::entry(&self.sheet, cell, self.options).map(|entry| Answered::Entry(Box::new(entry)))
            }
            Named::Table(table) if name.contains('.') => {
                let report = Report {
                    tables: vec![compose::table(&self.sheet, table as usize, self.options)?],
                    ..Report::default()
                };
                Some(Answered::Table(Box::new(report), 0))
            }
            Named::Table(_) => {
                let report = self.report();
                let place = report.tables.iter().position(|table| table.name == name)?;
                Some(Answered::Table(Box::new(report), place))
            }
            Named::Rule(item) | Named::Use(item) => Some(Answered::Line(
                self.sheet.tree().text_of(item as usize).trim_end().to_owned(),
            )),
        }
    }

    /// Tries a value: `air = 5 °F`.
    ///
    /// # Errors
    /// Its problems, drawn against the line.
    pub fn try_value(&mut self, line: &str) -> Result<Outcome, Refusal> {
        let typed = self
            .sheet
            .tree()
            .read_typed(line)
            .map_err(|problems| self.refused(line, &problems))?;
        if let Typed::CellTrial { cell, value } = &typed {
            return self.try_cell(line, cell, value);
        }
        let Typed::Trial { name, value } = typed else {
            return Err(Refusal::new("a trial is written `NAME = value`").help("put a comparison in parentheses"));
        };
        let cell = self.tried_cell(line, &name)?;
        let Value::Given { expression, tolerance } = &value else {
            return Err(Refusal::new("a trial puts a value in place, and `?` is none"));
        };
        let act = Act::Try {
            line: line.to_owned(),
            value: None,
        };
        self.act(line.trim(), act, |session| {
            let found = session
                .sheet
                .trial_value(cell, line, expression, tolerance.as_deref().copied());
            let found = found.map_err(|problems| session.refused(line, &problems))?;
            let written = if is_literal(expression) {
                let span = expression.span_with(tolerance.as_deref());
                span.of(line).trim().to_owned()
            } else {
                String::new()
            };
            let before = session.shown(cell);
            let exactly = if tolerance.is_none() && before.contains('±') {
                ", exactly"
            } else {
                ""
            };
            session.sheet.hold(
                cell,
                Held {
                    tolerance: tolerance.as_deref().copied(),
                    written,
                    ..Held::exactly(found.value)
                },
            );
            Ok(Outcome::said(format!(
                "Trying `{} = {}`{exactly}; before: {before}",
                name.text,
                session.shown(cell)
            )))
        })
    }

    pub(super) fn tried_cell(&self, line: &str, name: &Name) -> Result<CellId, Refusal> {
        self.told(&name.text)?;
        self.may_be_tried(&name.text)?;
        match self.sheet.names().get(&name.text) {
            Some(Named::Cell(cell)) => Ok(cell),
            Some(other) => {
                let (what, made) = match other {
                    Named::Table(table) => ("table", self.sheet.tables().get(table as usize)),
                    _ => ("rule", None),
                };
                let message = format!("`{}` is a {what}, and only entries can be tried", name.text);
                let problem = Problem::new(Code::KindClash, message, Place::new(0, name.span));
                let problem = match made.and_then(|table| table.cell) {
                    Some(_) => problem.help("give a value to one of the entries it is made of"),
                    None => problem,
                };
                Err(self.refused(line, &[problem]))
            }
            None => {
                self.refuse_column_trial(line)?;
                Err(self.refused(line, &[unknown(self.sheet.names(), name)]))
            }
        }
    }

    fn shown(&self, cell: CellId) -> String {
        compose::entry(&self.sheet, cell, self.options).map_or(String::new(), |entry| entry.shown.display())
    }

    /// Lets go of one trial, or of all.
    ///
    /// # Errors
    /// Where there is no such trial.
    pub fn drop_trials(&mut self, name: Option<&str>) -> Result<Outcome, Refusal> {
        let names = self.trials().names();
        let chosen: Vec<String> = match name {
            None if names.is_empty() => return Err(Refusal::new("there are no trials to drop")),
            None => names,
            Some(name) if names.iter().any(|trial| trial == name) => vec![name.to_owned()],
            Some(name) => {
                let near = crate::text::nearest(name, names.iter().map(String::as_str));
                return Err(Refusal::new(format!("`{name}` is not on trial")).near(near));
            }
        };
        let title = format!("drop {}", chosen.join(", "));
        self.act(title, Act::Drop(name.map(str::to_owned)), |session| {
            for name in &chosen {
                session.release(name);
            }
            Ok(Outcome::said(format!("Dropped {}", in_backticks(&chosen))))
        })
    }

    fn release(&mut self, name: &str) {
        if let Some(place) = self.trials().cell(name) {
            return self.sheet.release_cell(place);
        }
        if let Some(cell) = self.sheet.cell(name) {
            self.sheet.release(cell);
        }
    }

    // ---- keeping ----

    /// Puts the trials into the record: in the base in place of a `?`, or as an `assumed`
    /// line above which the old one stays as a remark; in a case as a line of that case.
    ///
    /// # Errors
    /// Where there is none, or one that can't be kept.
    pub fn keep(&mut self) -> Result<Outcome, Refusal> {
        let names = self.some_trials()?;
        let case = self.sheet.case().map(|case| case.name.clone());
        if case.is_some() {
            self.only_inputs(&names)?;
        }
        let title = format!("keep {}", names.join(", "));
        self.act(title, Act::Keep, |session| {
            let mut outcome = Outcome::default().quietly();
            for name in &names {
                let told = match &case {
                    None if session.trials().cell(name).is_some() => {
                        let place = session.trials().cell(name).ok_or_else(|| lost(name))?;
                        session.keep_cell(place)?
                    }
                    None => session.keep_in_record(name)?,
                    Some(case) => session.keep_in_case(name, case)?,
                };
                outcome.told.push(told);
            }
            Ok(outcome)
        })
    }

    fn some_trials(&self) -> Result<Vec<String>, Refusal> {
        let names = self.trials().names();
        match names.is_empty() {
            true => Err(Refusal::new("there are no trials to keep").help("`NAME = value` tries one")),
            false => Ok(names),
        }
    }

    /// A case holds inputs and cells of tables only.
    fn only_inputs(&self, names: &[String]) -> Result<(), Refusal> {
        let calculated = |name: &&String| {
            let cell = self.sheet.cell(name);
            cell.is_some_and(|cell| !self.sheet.names().is_input(cell))
        };
        match names.iter().find(calculated) {
            None => Ok(()),
            Some(name) => {
                let message = format!("a case replaces inputs only, and `{name}` is worked out; nothing was kept");
                let help = format!("`drop {name}`, or keep it in the base after `case base`");
                Err(Refusal::new(message).help(help))
            }
        }
    }

    fn keep_in_record(&mut self, name: &str) -> Result<String, Refusal> {
        let cell = self.sheet.cell(name).ok_or_else(|| lost(name))?;
        let item = self.sheet.item_of(cell);
        self.is_own(name, item)?;
        let written = self.trials().written(name)?;
        let boxed = self.needed_box(cell, &written);
        let entry = self.sheet.entry(cell).ok_or_else(|| lost(name))?;
        if let Some(Value::Blank(blank)) = entry.value {
            return self.fill_in(name, item, blank, &written);
        }
        let text = self.sheet.tree().text_of(item as usize);
        let was = entry.kind;
        let line_end = self.sheet.tree().line_end();
        let lines = kept_lines(text, entry, &written, boxed.as_deref(), line_end);
        let start = self.sheet.tree().start_of(item);
        self.replace(Span::new(start, start + text.len()), &lines);
        self.release(name);
        self.check_entry(name)?;
        let mut told = format!("Kept `{name} = {written}` as assumed; the old line stays above it as a comment");
        if !was.is_input() {
            told.push_str(&format!("; `{name}` is no longer worked out"));
        }
        Ok(told)
    }

    /// That an item stands in the worksheet itself.
    ///
    /// # Errors
    /// Otherwise: another worksheet is never written.
    pub(super) fn is_own(&self, name: &str, item: u32) -> Result<(), Refusal> {
        let Some(file) = self.sheet.file_of(item) else {
            return Ok(());
        };
        let message = format!("`{name}` stands in `{}`, which is never written from here", file.name);
        let is_input = self
            .sheet
            .cell(name)
            .is_some_and(|cell| self.sheet.names().is_input(cell));
        Err(Refusal::new(message).help(
            match is_input && self.trials().names().iter().any(|trial| trial == name) {
                true => "`keep as case NAME \"title\"` keeps it in a case here".to_owned(),
                false => format!("change it in `{}`, then `reload`", file.name),
            },
        ))
    }

    /// Puts a value where the record has a `?`. What is said of it stays: it was asked for so.
    fn fill_in(&mut self, name: &str, item: u32, blank: Span, written: &str) -> Result<String, Refusal> {
        let start = self.sheet.tree().start_of(item);
        self.replace(blank.shifted(start), written);
        self.release(name);
        self.check_entry(name)?;
        Ok(format!("Filled in `{name} = {written}`"))
    }

    /// That what was written reads as meant.
    fn check_entry(&self, name: &str) -> Result<(), Refusal> {
        let cell = self.sheet.cell(name);
        match cell.is_some_and(|cell| self.sheet.status(cell) == crate::sheet::Status::Known) {
            true => Ok(()),
            false => Err(Refusal::new(format!(
                "the value of `{name}` can't be written as a line; nothing was kept"
            ))),
        }
    }

    fn keep_in_case(&mut self, name: &str, case: &str) -> Result<String, Refusal> {
        let written = self.trials().written(name)?;
        let (item, line) = self.case_line(case, name).ok_or_else(|| lost(case))?;
        let start = self.sheet.tree().start_of(item);
        let text = self.sheet.tree().text_of(item as usize);
        match line {
            Some(line) => {
                let span = value_span(&line).shifted(start);
                self.replace(span, &format!("{name} = {written}"));
            }
            None => {
                let end = start + text.len();
                let line_end = self.sheet.tree().line_end();
                let line = match text.ends_with('\n') {
                    true => format!("  {name} = {written}{line_end}"),
                    false => format!("{line_end}  {name} = {written}"),
                };
                self.replace(Span::at(end), &line);
            }
        }
        self.release(name);
        Ok(format!("Kept `{name} = {written}` in case `{case}`"))
    }

    /// The item of a case, and its line for a name.
    fn case_line(&self, case: &str, name: &str) -> Option<(u32, Option<CaseLine>)> {
        let item = self.sheet.names().case(case)?;
        let Some(Node::Case(case)) = self.sheet.tree().node(item) else {
            return None;
        };
        let line = case.lines.iter().find(|line| &*line.name.text == name);
        Some((item, line.cloned()))
    }

    /// Puts what stands over the base, trials and the case in hand, into a new case,
    /// and switches to it. `line` is what was typed, `NAME "title"`.
    ///
    /// # Errors
    /// Where there are no trials, one can't be kept, or the name is taken.
    pub fn keep_as_case(&mut self, line: &str) -> Result<Outcome, Refusal> {
        let names = self.some_trials()?;
        self.only_inputs(&names)?;
        let name = line.split_whitespace().next().unwrap_or("").to_owned();
        if name.is_empty() {
            return Err(Refusal::new("a case needs a name").help("`keep as case NAME \"title\"`"));
        }
        if self.sheet.names().case(&name).is_some() {
            let message = format!("there is a case `{name}` already; nothing was kept");
            return Err(Refusal::new(message).help(format!("`case {name}`, then `keep`, puts the trials into it")));
        }
        let head = format!("case {}", line.trim());
        self.act(format!("keep as {head}"), Act::KeepAsCase(line.to_owned()), |session| {
            let mut block = vec![head.clone()];
            block.extend(session.lines_of_case(&names));
            for name in &names {
                block.push(format!("  {name} = {}", session.trials().written(name)?));
            }
            let mut outcome = session.put_entry(&block.join("\n"))?.quietly();
            session.release_all();
            session
                .sheet
                .set_case(Some(&name))
                .map_err(|near| session.no_case(&name, near.as_deref()))?;
            outcome.told = vec![format!(
                "Kept {} as case `{name}`, which is now in hand",
                in_backticks(&names)
            )];
            Ok(outcome)
        })
    }

    /// The lines of the case in hand, but for those that are on trial.
    fn lines_of_case(&self, trials: &[String]) -> Vec<String> {
        let Some(case) = self.sheet.case() else {
            return Vec::new();
        };
        let text = self.sheet.tree().text_of(case.item as usize);
        let Some(Node::Case(tree)) = self.sheet.tree().node(case.item) else {
            return Vec::new();
        };
        let stays = |line: &&CaseLine| !trials.iter().any(|trial| *trial == *line.name.text);
        let lines = tree.lines.iter().filter(stays);
        lines.map(|line| format!("  {}", line.span.of(text).trim())).collect()
    }

    /// The unit to put in brackets, lest the entry change its unit.
    fn needed_box(&mut self, cell: CellId, written: &str) -> Option<String> {
        let wanted = self.sheet.shape(cell)?.kind;
        if self.sheet.entry(cell)?.unit.is_some() {
            return None;
        }
        let Ok(Typed::Trial {
            value: Value::Given { expression, .. },
            ..
        }) = parse_typed(&format!("x = {written}"))
        else {
            return None;
        };
        let line = format!("x = {written}");
        let plain = self.sheet.evaluate(&line, &expression, None).ok()?.shape.kind;
        match wanted {
            Kind::Quantity(unit) if plain != wanted => Some(unit.to_string()),
            _ => None,
        }
    }
}

pub(super) fn lost(name: &str) -> Refusal {
    Refusal::new(format!("`{name}` is no longer there"))
}

/// The old lines as a remark, and the `assumed` line below.
fn kept_lines(text: &str, entry: &TreeEntry, written: &str, boxed: Option<&str>, line_end: &str) -> String {
    let (mark, text_only) = match text.strip_prefix('\u{feff}') {
        Some(rest) => ("\u{feff}", rest),
        None => ("", text),
    };
    let mut lines = mark.to_owned();
    for line in text_only.trim_end().lines() {
        lines.push_str("-- ");
        lines.push_str(line);
        lines.push_str(line_end);
    }
    let indent = text_only.len() - text_only.trim_start().len();
    let opening = entry.name.span.start as usize - mark.len().min(entry.name.span.start as usize);
    let width = opening.saturating_sub(indent).max("assumed ".len());
    lines.push_str(&" ".repeat(indent));
    lines.push_str(&format!("{:<width$}", "assumed"));
    lines.push_str(&head(text, entry, boxed));
    lines.push_str(written);
    let end = text.get(text.trim_end().len()..).unwrap_or("");
    lines.push_str(end);
    lines
}

/// From the name to the `=`, spaced as it was.
fn head(text: &str, entry: &TreeEntry, boxed: Option<&str>) -> String {
    let value = match &entry.value {
        Some(Value::Blank(span)) => Some(span.start),
        Some(Value::Given { expression, .. }) => Some(expression.span.start),
        None => None,
    };
    let as_it_was = value.map(|value| Span::new(entry.name.span.start as usize, value as usize).of(text));
    match (as_it_was, boxed) {
        (Some(head), None) if head.trim_end().ends_with('=') => format!("{} ", head.trim_end()),
        (_, boxed) => {
            let label = entry.label.as_ref().map_or("", |label| label.span.of(text));
            let gap = if label.is_empty() { "" } else { " " };
            let unit = boxed.map_or(String::new(), |unit| format!(" [{unit}]"));
            let head = format!("{}{gap}{label}{unit}", entry.name.text);
            let width = as_it_was.map_or(0, |old| old.trim_end().chars().count().saturating_sub(2));
            format!("{head:<width$} = ")
        }
    }
}

/// A case line without the remark behind it.
fn value_span(line: &CaseLine) -> Span {
    let value = match &line.value {
        Some(Value::Given { expression, tolerance }) => expression.span_with(tolerance.as_deref()),
        _ => return line.span,
    };
    let sources = [&line.source, &line.note];
    let ends = sources.into_iter().flatten().map(|quoted| quoted.span);
    ends.fold(line.name.span.to(value), Span::to)
}

/// Whether an expression is literals and arithmetic on them, as an input takes.
pub(super) fn is_literal(expression: &Expression) -> bool {
    match &expression.node {
        ExpressionNode::Number(_)
        | ExpressionNode::Quantity { .. }
        | ExpressionNode::TimeOfDay(_)
        | ExpressionNode::CountedTime(_)
        | ExpressionNode::Moment(_)
        | ExpressionNode::Text(_)
        | ExpressionNode::Truth(_) => true,
        ExpressionNode::Unary(_, inner) => is_literal(inner),
        ExpressionNode::Binary(_, _, sides) => is_literal(&sides.0) && is_literal(&sides.1),
        _ => false,
    }
}

pub(super) fn typed_tolerance(tolerance: &Tolerance) -> String {
    let amount = tolerance.amount.to_plain();
    let mut text = match tolerance.of {
        ToleranceOf::Percent => format!("± {amount} %"),
        ToleranceOf::Unit(unit) if unit == crate::unit::Unit::ONE => format!("± {amount}"),
        ToleranceOf::Unit(unit) => format!("± {amount} {unit}"),
    };
    match tolerance.form {
        ToleranceForm::Limits => {}
        ToleranceForm::Standard => text.push_str(" sd"),
        ToleranceForm::Expanded(factor) => text.push_str(&format!(" k={}", factor.to_plain())),
    }
    if let Some(freedom) = tolerance.degrees_of_freedom {
        text.push_str(&format!(" df={}", freedom.to_plain()));
    }
    text
}

/// A text in quotes, with its escapes.
pub(super) fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            _ if c.is_control() => quoted.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            _ => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
