//! A document for a code host or a notebook.
//!
//! Everything that came from a worksheet is escaped. Start reading at [`write()`].

use super::super::chart::Chart;
use super::super::style::Tone;
use super::super::visible::{closed, visible};
use super::{Block, Column, Document, Piece, Sentence, Side, Table, Term};

/// The document; without a title of its own it gets this one.
pub(in crate::report) fn write(document: &Document, title: &str) -> String {
    let mut text = String::new();
    if !matches!(document.0.first(), Some(Block::Title(_))) {
        text.push_str(&format!("# {}\n\n", escaped(title)));
    }
    put(&mut text, &document.0);
    format!("{}\n", text.trim_end())
}

/// Some blocks alone.
pub(crate) fn of_blocks(blocks: &[Block]) -> String {
    let mut text = String::new();
    put(&mut text, blocks);
    format!("{}\n", text.trim_end())
}

fn put(text: &mut String, blocks: &[Block]) {
    let mut listed = false;
    for block in blocks {
        let item = matches!(block, Block::Item(..) | Block::Check(..));
        if std::mem::replace(&mut listed, item) && !item {
            text.push('\n');
        }
        self::block(text, block);
    }
    if listed {
        text.push('\n');
    }
}

fn block(text: &mut String, block: &Block) {
    match block {
        Block::Title(said) => text.push_str(&format!("# {}\n\n", words(said))),
        Block::Heading(level, said) => text.push_str(&format!("{} {}\n\n", "#".repeat(*level), words(said))),
        Block::Said(_, Some(Tone::Strong), said) => text.push_str(&format!("**{}**\n\n", words(said))),
        Block::Hand(said) | Block::Said(_, _, said) => text.push_str(&format!("{}\n\n", words(said))),
        Block::Item(level, _, said) => {
            let indent = "  ".repeat(level.saturating_sub(1));
            text.push_str(&format!("{indent}- {}\n", words(said)));
        }
        Block::Terms(terms) => {
            terms.iter().for_each(|one| text.push_str(&term(one)));
            text.push('\n');
        }
        Block::Check(tone, term) => text.push_str(&check(*tone, term)),
        Block::Table(table) => self::table(text, table),
        Block::Chart(chart) => {
            self::chart(text, chart);
            text.push('\n');
        }
        Block::Ways(ways) => ways.iter().take(1).for_each(|way| put(text, &way.0)),
        Block::Gap => {}
    }
}

fn term(term: &Term) -> String {
    let said: Vec<String> = term.said.iter().map(|(_, said)| words(said)).collect();
    let name = match term.name.is_empty() {
        true => String::new(),
        false => format!("{}: ", words(&term.name)),
    };
    match said.as_slice() {
        [only] => format!("- {name}{only}\n"),
        several => {
            let below: String = several.iter().map(|one| format!("  - {one}\n")).collect();
            format!("- {}\n{below}", name.trim_end_matches(": "))
        }
    }
}

/// What is judged before the verdict, which stands out where it isn't good.
fn check(tone: Tone, term: &Term) -> String {
    let verdict = match tone {
        Tone::Good => words(&term.name),
        _ => format!("**{}**", words(&term.name)),
    };
    let said: Vec<String> = term.said.iter().map(|(_, said)| words(said)).collect();
    match said.as_slice() {
        [] => format!("- {verdict}\n"),
        [judged] => format!("- {judged} {verdict}\n"),
        [judged, told @ ..] => format!("- {judged} {verdict}: {}\n", told.join(" ")),
    }
}

pub(in crate::report) fn words(said: &Sentence) -> String {
    let pieces = said.0.iter().map(|piece| match piece {
        Piece::Plain(text) => escaped(text),
        Piece::Code(text) | Piece::Typed(text) if text.is_empty() => String::new(),
        Piece::Code(text) | Piece::Typed(text) => code(text),
        Piece::Strong(text) => format!("**{}**", escaped(text)),
        Piece::Line => " · ".to_owned(),
        Piece::Break => " ".to_owned(),
    });
    pieces.collect()
}

fn table(text: &mut String, table: &Table) {
    let mut row = |one: &dyn Fn(&Column) -> String| {
        let cells: Vec<String> = table.columns.iter().map(one).collect();
        text.push_str(&format!("| {} |\n", cells.join(" | ")));
    };
    if !table.columns.is_empty() {
        row(&|column| in_cell(&column.heading));
        row(&|column| match column.side {
            Side::Left => ":---".to_owned(),
            Side::Right => "---:".to_owned(),
        });
    }
    for place in 0..table.rows() {
        row(&|column| in_cell(&column.cell(place)));
    }
    text.push('\n');
    if !table.note.is_empty() {
        text.push_str(&format!("{}\n\n", words(&table.note)));
    }
}

/// In a table's cell a bar in code would end the cell.
fn in_cell(said: &Sentence) -> String {
    let pieces = said.0.iter().map(|piece| {
        let one = words(&Sentence(vec![piece.clone()]));
        match piece {
            Piece::Code(_) | Piece::Typed(_) => one.replace('|', "\\|"),
            _ => one,
        }
    });
    pieces.collect()
}

/// What a chart shows, in words: code hosts draw no chart of their own, and cut out one
/// that stands in the text.
pub(in crate::report) fn chart(text: &mut String, chart: &Chart) {
    let (title, told) = (escaped(&closed(&chart.title)), escaped(&chart.told));
    text.push_str(&format!("**{title}** {told}\n"));
}

/// Text that stays text: every mark of the format is escaped, line ends become
/// spaces and control characters become visible.
pub fn escaped(text: &str) -> String {
    let mut shown = String::with_capacity(text.len() + 8);
    for c in visible(&text.replace(['\r', '\n'], " ")).chars() {
        match c {
            '&' => shown.push_str("&amp;"),
            '<' => shown.push_str("&lt;"),
            '>' => shown.push_str("&gt;"),
            '@' => shown.push_str("&#64;"),
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '#' | '|' | '~' | '$' | '!' => {
                shown.push('\\');
                shown.push(c);
            }
            _ => shown.push(c),
        }
    }
    without_markers(shown)
}

/// A text that opens like a list item doesn't become one.
pub(in crate::report) fn without_markers(text: String) -> String {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit());
    if text.starts_with(['-', '+']) && text.chars().nth(1).is_none_or(char::is_whitespace) {
        return format!("\\{text}");
    }
    let marker = rest.strip_prefix(['.', ')']);
    let marker = marker.is_some_and(|text| text.is_empty() || text.starts_with(' '));
    if rest.len() < text.len() && marker {
        let number = text.get(..text.len() - rest.len()).unwrap_or("");
        return format!("{number}\\{rest}");
    }
    text
}

/// Text as code: the fence is longer than any run of backticks inside.
pub fn code(text: &str) -> String {
    let text = text.replace(['\r', '\n'], " ");
    let text = visible(&text);
    let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest + 1);
    let pad = if longest > 0 { " " } else { "" };
    format!("{fence}{pad}{text}{pad}{fence}")
}
