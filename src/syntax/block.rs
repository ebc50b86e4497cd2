//! Blocks: a table with its rows, a case with its indented lines.
//!
//! Rows are split at their bars by hand, since a cell may hold anything; only
//! headings go to the grammar. What a cell says is read where its column's unit
//! is known, by [`super::cell`]. Start reading at [`table`] and [`case`].

use crate::problem::Code;
use crate::text::Span;
use crate::unit::{Unit, conversion};

use super::grammar::{Rule, Token, tokens};
use super::head::{head, notes_nothing, parts};
use super::lines::{LONGEST_ENTRY, Scan, case_line_len, first_line, scan_entry};
use super::quantity::Beside;
use super::reader::{Reader, normal};
use super::tree::{
    Call, Case, CaseLine, ColumnHeading, CsvLayout, Expression, ExpressionNode, Name, Node, Quoted, Row, Rows, Table,
    TableContent, Tolerance, UnitBox,
};
use super::words::{self, cell_head, first_word, is_blank, opens_remark};

/// `loads "What must run" from "nameplates"` and its rows, or `log = csv("…")`
pub(super) fn table(reader: &mut Reader<'_>, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::table, stretch)
    } else {
        None
    };
    let Some(tokens) = tokens else {
        return broken_table(reader, stretch);
    };
    let parts = parts(reader, tokens);
    let Some(name) = parts.names.first().and_then(|name| reader.own_name(name)) else {
        return Node::Broken;
    };
    let below = lines_below(reader.text, stretch.end as usize);
    let content = match parts.value {
        Some(value) => {
            rows_not_wanted(reader, &below);
            reader.expression(value).and_then(|value| reader.computed_table(value))
        }
        None => rows(reader, &below, name.span).map(TableContent::Rows),
    };
    Node::Table(Box::new(Table {
        name,
        label: parts.label,
        content: content.filter(|_| parts.sound),
        source: parts.source,
        note: parts.note,
    }))
}

fn broken_table(reader: &mut Reader<'_>, stretch: Span) -> Node {
    match head(reader, stretch) {
        None => Node::Broken,
        Some(head) => Node::Table(Box::new(Table {
            name: head.name,
            label: head.label,
            content: None,
            source: None,
            note: None,
        })),
    }
}

/// The lines of a block from `at` on, without remarks and empty lines.
fn lines_below(text: &str, at: usize) -> Vec<Span> {
    let mut found = Vec::new();
    let mut at = at;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let line = first_line(rest);
        let full = line.trim_end_matches('\n').trim_end_matches(is_blank);
        let inner = full.trim_start_matches(is_blank);
        if !inner.is_empty() && !opens_remark(inner) {
            found.push(Span::new(at + full.len() - inner.len(), at + full.len()));
        }
        at += line.len();
    }
    found
}

fn rows_not_wanted(reader: &mut Reader<'_>, below: &[Span]) {
    if let Some(row) = below.first() {
        let problem = reader
            .problem(
                Code::StrayRow,
                "this table is calculated, so it has no rows of its own",
                *row,
            )
            .help("remove the rows, or what follows the `=`");
        reader.note(problem);
    }
}

impl Reader<'_> {
    /// `csv("path")`, or a function that gives a table.
    fn computed_table(&mut self, value: Expression) -> Option<TableContent> {
        let place = value.span;
        match value.node {
            ExpressionNode::Call(call) if &*call.name.text == "csv" => self.csv(*call, place),
            ExpressionNode::Call(_) => Some(TableContent::Function(value)),
            _ => {
                let problem = self
                    .problem(Code::Unreadable, "this gives no table", place)
                    .help("write rows between bars, `csv(\"path\")`, or a function that gives a table");
                self.note(problem);
                None
            }
        }
    }

    /// `csv("path", skip_unread: true)`
    fn csv(&mut self, call: Call, place: Span) -> Option<TableContent> {
        let mut path = None;
        let mut skip_unread = false;
        let mut layout = CsvLayout::default();
        for argument in call.arguments {
            let label = argument.label.as_ref().map(|label| &*label.text);
            let span = argument.value.span;
            match (label, argument.value.node) {
                (None | Some("path"), ExpressionNode::Text(text)) if path.is_none() => {
                    path = Some(Quoted { text, span });
                }
                (Some("skip_unread"), ExpressionNode::Truth(truth)) => skip_unread = truth,
                (Some("columns"), ExpressionNode::Text(text)) => layout.columns = Some(Quoted { text, span }),
                (Some("dates"), ExpressionNode::Text(text)) => layout.dates = Some(Quoted { text, span }),
                (Some("every"), ExpressionNode::Quantity { value, unit, .. }) => {
                    let seconds = Unit::parse("s").ok().and_then(|seconds| conversion(unit, seconds));
                    let step = seconds.and_then(|seconds| seconds.apply(value).ok());
                    match step.filter(|step| !step.is_negative() && !step.is_zero()) {
                        Some(step) => layout.every = Some((step, span)),
                        None => return self.csv_argument(span),
                    }
                }
                _ => return self.csv_argument(span),
            }
        }
        if path.is_none() {
            return self.csv_argument(place);
        }
        Some(TableContent::Csv {
            path: path?,
            skip_unread,
            layout: Box::new(layout),
        })
    }

    fn csv_argument<T>(&mut self, place: Span) -> Option<T> {
        let problem = self
            .problem(
                Code::ArgumentName,
                "`csv` takes a path in quotes, and `skip_unread`, `columns`, `dates` and `every` if wanted",
                place,
            )
            .help(
                "write `csv(\"run.csv\")`, `csv(\"run.csv\", skip_unread: true)` or `csv(\"run.csv\", every: 5 min)`",
            );
        self.note(problem);
        None
    }
}

/// Headings, an optional rule row, and rows; `None` where a heading's unit can't be read.
fn rows(reader: &mut Reader<'_>, below: &[Span], table: Span) -> Option<Rows> {
    let Some((first, rest)) = below.split_first() else {
        let problem = reader
            .problem(Code::Unreadable, "this table has no rows", table)
            .help("put rows between bars below it, the headings first, or write `= csv(\"path\")`");
        reader.note(problem);
        return None;
    };
    let headings = headings(reader, *first)?;
    let rest = match rest.split_first() {
        Some((second, others)) if is_rule_row(reader.text, *second) => others,
        _ => rest,
    };
    let mut rows = Vec::with_capacity(rest.len());
    for line in rest {
        let cells = cells(reader.text, *line);
        if line.len() > LONGEST_ENTRY {
            too_long(reader, *line);
        } else if cells.len() == headings.len() {
            rows.push(Row {
                cells: cells.into_boxed_slice(),
            });
        } else {
            ragged(reader, *line, cells.len(), headings.len());
        }
    }
    Some(Rows { headings, rows })
}

fn too_long(reader: &mut Reader<'_>, line: Span) {
    let problem = reader.problem(Code::TooLong, "this row is longer than 64 KiB", line);
    reader.note(problem);
}

fn ragged(reader: &mut Reader<'_>, line: Span, cells: usize, headings: usize) {
    let message = format!(
        "this row has {} and the table has {}",
        counted(cells, "cell"),
        counted(headings, "heading")
    );
    let help = if cells < headings {
        "leave a cell empty where nothing was read, such as `| |`"
    } else {
        "a bar inside a cell is written `\\|`"
    };
    let problem = reader.problem(Code::RaggedRow, message, line).help(help);
    reader.note(problem);
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

/// The cells of a row, each without spaces around it. A remark may follow the last bar.
pub(super) fn cells(text: &str, line: Span) -> Vec<Span> {
    let row = line.of(text);
    let bytes = row.as_bytes();
    let start = line.start as usize;
    let mut found = Vec::new();
    let mut from = 1;
    let mut after_backslash = false;
    for (at, byte) in bytes.iter().enumerate().skip(1) {
        if *byte == b'|' && !after_backslash {
            found.push(cell(row, from, at).shifted(start));
            from = at + 1;
        }
        after_backslash = *byte == b'\\';
    }
    let last = cell(row, from, row.len());
    if !last.is_empty() && !opens_remark(last.of(row)) {
        found.push(last.shifted(start));
    }
    found
}

fn cell(row: &str, from: usize, to: usize) -> Span {
    let inner = row.get(from..to).unwrap_or("");
    let full = inner.trim_end_matches(is_blank);
    let content = full.trim_start_matches(is_blank);
    Span::new(from + full.len() - content.len(), from + full.len())
}

/// `|---|:--:|`
pub(super) fn is_rule_row(text: &str, line: Span) -> bool {
    let cells = cells(text, line);
    !cells.is_empty() && cells.iter().all(|cell| is_rule(cell.of(text)))
}

fn is_rule(cell: &str) -> bool {
    let dashes = cell.strip_prefix(':').unwrap_or(cell);
    let dashes = dashes.strip_suffix(':').unwrap_or(dashes);
    let least = if dashes.len() < cell.len() { 1 } else { 2 };
    dashes.len() >= least && dashes.bytes().all(|b| b == b'-')
}

/// The headings of a table; `None` where the unit of one can't be read.
fn headings(reader: &mut Reader<'_>, line: Span) -> Option<Vec<ColumnHeading>> {
    if line.len() > LONGEST_ENTRY {
        too_long(reader, line);
        return None;
    }
    let mut headings: Vec<ColumnHeading> = Vec::new();
    let mut readable = true;
    for cell in cells(reader.text, line) {
        match heading(reader, cell) {
            Some(mut heading) => {
                repeated(reader, &headings, &mut heading);
                headings.push(heading);
            }
            None => readable = false,
        }
    }
    readable.then_some(headings)
}

/// A second column of one name has none.
fn repeated(reader: &mut Reader<'_>, before: &[ColumnHeading], heading: &mut ColumnHeading) {
    let Some(name) = &heading.name else {
        return;
    };
    let same = |other: &&Name| other.text == name.text;
    let Some(first) = before.iter().filter_map(|other| other.name.as_ref()).find(same) else {
        return;
    };
    let message = format!("the table has two columns `{}`", name.text);
    let problem = reader
        .problem(Code::RepeatedColumn, message, name.span)
        .also(reader.place(first.span), "the first")
        .help("give one of them another name");
    reader.note(problem);
    heading.name = None;
}

/// `gross [lb ± 0.05]`, `time ± 3 min`; a heading that is no name has none.
pub(super) fn heading(reader: &mut Reader<'_>, cell: Span) -> Option<ColumnHeading> {
    reader.base = cell.start as usize;
    let Ok(tokens) = tokens(Rule::heading, cell.of(reader.text)) else {
        return no_name(reader, cell);
    };
    let mut heading = ColumnHeading {
        name: None,
        unit: None,
        tolerance: None,
        span: cell,
    };
    for token in tokens {
        match token.as_rule() {
            Rule::name => heading.name = Some(reader.name(&token)),
            Rule::heading_box => {
                let (unit, tolerance) = reader.heading_box(token)?;
                heading.unit = Some(unit);
                heading.tolerance = tolerance;
            }
            Rule::tolerance => heading.tolerance = Some(reader.tolerance(token, Beside::Other)?.0),
            _ => {}
        }
    }
    Some(heading)
}

/// A heading that can't be read: in the brackets, or because it is no name.
fn no_name(reader: &mut Reader<'_>, cell: Span) -> Option<ColumnHeading> {
    let written = cell.of(reader.text);
    let (before, boxed) = written.split_at(written.find('[').unwrap_or(written.len()));
    let name = before.trim_matches(is_blank);
    let is_name = tokens(Rule::heading, name).is_ok();
    if is_name && !boxed.is_empty() {
        let place = Span::new(cell.start as usize + before.len(), cell.end as usize);
        let problem = reader
            .problem(Code::UnitFormat, "this unit can't be read", place)
            .help("a heading's unit is written `[lb]` or `[lb ± 0.05]`");
        reader.note(problem);
        return None;
    }
    let message = if name.is_empty() {
        "a column needs a heading".to_owned()
    } else {
        format!("`{name}` is no name, so the column can't be used")
    };
    let mut problem = reader.problem(Code::HeadingName, message, cell);
    let joined: String = name.split_whitespace().collect::<Vec<_>>().join("_");
    if tokens(Rule::heading, &joined).is_ok() {
        let from = cell.start as usize + before.find(name).unwrap_or(0);
        problem = problem
            .help(format!("write `{joined}`"))
            .mend(Span::new(from, from + name.len()), joined);
    }
    reader.note(problem);
    Some(ColumnHeading {
        name: None,
        unit: None,
        tolerance: None,
        span: cell,
    })
}

impl Reader<'_> {
    /// `[lb ± 0.05]`
    fn heading_box(&mut self, token: Token<'_>) -> Option<(UnitBox, Option<Tolerance>)> {
        let span = self.span(&token);
        let mut inner = token.into_inner();
        let unit = self.boxed_unit(&inner.next()?, span)?;
        let mut tolerance = None;
        if let Some(token) = inner.next().filter(|next| next.as_rule() == Rule::tolerance) {
            tolerance = Some(self.tolerance(token, Beside::Heading(unit))?.0);
        }
        let unit = UnitBox {
            unit,
            clock: false,
            span,
        };
        Some((unit, tolerance))
    }
}

/// `deep_cold "Night at −5 °F"` and its lines
pub(super) fn case(reader: &mut Reader<'_>, stretch: Span, sound: bool) -> Node {
    let tokens = if sound {
        reader.tokens(Rule::case, stretch)
    } else {
        None
    };
    let (name, title) = match tokens {
        Some(tokens) => {
            let parts = parts(reader, tokens);
            let name = parts.names.first().and_then(|name| reader.own_name(name));
            (name, parts.label)
        }
        None => match head(reader, stretch) {
            Some(head) => (Some(head.name), head.label),
            None => (None, None),
        },
    };
    let lines = case_lines(reader, stretch.end as usize);
    let Some(name) = name.and_then(|name| not_base(reader, name)) else {
        return Node::Broken;
    };
    Node::Case(Box::new(Case { name, title, lines }))
}

/// `base` is how no case at all is asked for.
fn not_base(reader: &mut Reader<'_>, name: Name) -> Option<Name> {
    if &*name.text != "base" {
        return Some(name);
    }
    let problem = reader
        .problem(
            Code::ReservedWord,
            "`base` means the worksheet without a case",
            name.span,
        )
        .help("pick another name");
    reader.note(problem);
    None
}

fn case_lines(reader: &mut Reader<'_>, from: usize) -> Vec<CaseLine> {
    indented(reader, from, case_line)
}

/// What is read of each line below an item's first.
pub(super) fn indented<T>(
    reader: &mut Reader<'_>,
    from: usize,
    read: impl Fn(&mut Reader<'_>, Span) -> Option<T>,
) -> Vec<T> {
    let mut lines = Vec::new();
    let mut at = from;
    while let Some(rest) = reader.text.get(at..).filter(|rest| !rest.is_empty()) {
        let content = rest.trim_start_matches(is_blank);
        let indent = rest.len() - content.len();
        if content.is_empty() || content.starts_with('\n') || opens_remark(content) {
            at += first_line(rest).len();
            continue;
        }
        let len = case_line_len(rest).max(1);
        lines.extend(read(reader, Span::new(at + indent, at + len)));
        at += len;
    }
    lines
}

/// A first look at a line, its places counted from the start of the item.
pub(super) fn scan_at(text: &str, stretch: Span) -> Scan {
    let mut scan = scan_entry(text);
    scan.trouble = scan
        .trouble
        .map(|(what, place)| (what, place.shifted(stretch.start as usize)));
    scan
}

/// `air = -5 °F ± 4 °F from "forecast"`
fn case_line(reader: &mut Reader<'_>, stretch: Span) -> Option<CaseLine> {
    let text = stretch.of(reader.text);
    let written = text.trim_end_matches('\n').trim_end_matches(is_blank);
    let span = Span::new(stretch.start as usize, stretch.start as usize + written.len());
    if written.starts_with('|') {
        let problem = reader
            .problem(Code::StrayRow, "a case holds no rows", span)
            .help("a case replaces inputs: `NAME = value`");
        reader.note(problem);
        return None;
    }
    let word = first_word(written);
    if words::opening(word).is_some() {
        return not_an_entry(reader, word, span);
    }
    let sound = notes_nothing(reader, scan_at(text, stretch));
    let called = match cell_head(text).filter(|_| sound) {
        Some(at) => Some((cell_called(reader, stretch, at)?, stretch.start as usize + at)),
        None => None,
    };
    let tokens = match &called {
        Some((_, at)) => reader.tokens(Rule::cell_line, Span::new(*at, stretch.end as usize)),
        None if sound => reader.tokens(Rule::case_line, stretch),
        None => None,
    };
    let Some(tokens) = tokens else {
        return head(reader, stretch).map(|head| broken_line(head.name, span));
    };
    let parts = parts(reader, tokens);
    let (name, cell) = match called {
        Some(((name, cell), _)) => (name, Some(Box::new(cell))),
        None => (reader.own_name(parts.names.first()?)?, None),
    };
    let value = parts.value.and_then(|value| reader.value(value, true));
    Some(CaseLine {
        name,
        cell,
        value: value.filter(|_| parts.sound),
        source: parts.source,
        note: parts.note,
        span,
    })
}

/// The cell that a case line calls, up to its `=`.
fn cell_called(reader: &mut Reader<'_>, stretch: Span, at: usize) -> Option<(Name, Expression)> {
    let start = stretch.start as usize;
    let head = reader.tokens(Rule::question, Span::new(start, start + at))?;
    let value = parts(reader, head).value?;
    let cell = reader.expression(value)?;
    let words: Vec<&str> = cell.span.of(reader.text).split_whitespace().collect();
    let name = Name {
        text: normal(&words.join(" ")),
        span: cell.span,
        through: 0,
    };
    Some((name, cell))
}

/// `measured y = 3` inside a case.
fn not_an_entry(reader: &mut Reader<'_>, word: &str, line: Span) -> Option<CaseLine> {
    let start = line.start as usize;
    let place = Span::new(start, start + word.len());
    let problem = reader
        .problem(Code::StrayLine, "a case line begins with the name of an input", place)
        .help(format!(
            "remove `{word}`, or begin the line at the margin to end the case"
        ));
    reader.note(problem);
    let stretch = Span::new(start + word.len(), line.end as usize);
    head(reader, stretch).map(|head| broken_line(head.name, line))
}

fn broken_line(name: Name, span: Span) -> CaseLine {
    CaseLine {
        name,
        cell: None,
        value: None,
        source: None,
        note: None,
        span,
    }
}
