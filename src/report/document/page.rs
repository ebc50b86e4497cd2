//! A document as a page, in the look of the handout.
//!
//! Text is escaped by the markup macro; the frame, which loads and runs nothing, is
//! the handout's too. Start reading at [`write()`].

use maud::{Markup, PreEscaped, html};

use super::super::chart::{Chart, svg};
use super::super::model::{CARBON_MONOXIDE, LOCAL_CODE};
use super::super::style::Tone;
use super::frame::{framed, together};
use super::{Block, Column, Document, Piece, Sentence, Side, Table};

/// What a page says around its document.
pub(in crate::report) struct Frame<'a> {
    /// Which study it is.
    pub(in crate::report) study: &'a str,
    /// The worksheet's title.
    pub(in crate::report) title: &'a str,
    /// The worksheet's file.
    pub(in crate::report) file: &'a str,
}

/// The whole page.
pub(in crate::report) fn write(document: &Document, frame: &Frame<'_>) -> String {
    let titles = document.0.iter().map_while(|block| match block {
        Block::Title(title) => Some(title.clone()),
        _ => None,
    });
    let mut titles: Vec<Sentence> = titles.collect();
    let rest = document.0.get(titles.len()..).unwrap_or_default();
    let hand = rest.iter().take_while(|block| matches!(block, Block::Hand(_))).count();
    let (hand, rest) = rest.split_at_checked(hand).unwrap_or((&[], rest));
    if titles.is_empty() {
        titles.push(Sentence::from(frame.title));
    }
    let plain = titles.iter().flat_map(|title| title.0.iter().map(Piece::text));
    let plain: String = plain.collect();
    let body = html! {
        header {
            p class="kind" { (frame.study) ", from " code { (frame.file) } }
            @for title in &titles { h1 { (words(title)) } }
            @if !hand.is_empty() { div class="hand" { (blocks(hand)) } }
        }
        main id="main" { (blocks(rest)) }
        footer {
            p { "Made with Tarebook from " code { (frame.file) } ". " (LOCAL_CODE) " " (CARBON_MONOXIDE) }
        }
    };
    framed(&plain, &body)
}

/// A document without a page around it.
pub(in crate::report) fn fragment(document: &Document) -> Markup {
    blocks(&document.0)
}

fn blocks(blocks: &[Block]) -> Markup {
    let parts = blocks.chunk_by(|one, other| is_item(one) && is_item(other));
    html! {
        @for (number, part) in parts.enumerate() {
            @match part {
                [Block::Item(..), ..] => (items(part, 1)),
                // a further one begins a sheet of paper
                [Block::Title(said)] if number > 0 => h2 style="break-before: page" { (words(said)) },
                [Block::Chart(chart)] => (figure(chart, number)),
                [one] => (block(one)),
                _ => {},
            }
        }
    }
}

fn is_item(block: &Block) -> bool {
    matches!(block, Block::Item(..))
}

fn block(block: &Block) -> Markup {
    html! {
        @match block {
            Block::Title(said) | Block::Heading(..=2, said) => h2 { (words(said)) },
            Block::Heading(_, said) => h3 { (words(said)) },
            Block::Hand(said) => p { (words(said)) },
            Block::Said(_, tone, said) => p class=[class(*tone)] { (words(said)) },
            Block::Terms(terms) => dl {
                @for term in terms {
                    @if !term.name.is_empty() { dt { (words(&term.name)) } }
                    @for (tone, said) in &term.said { dd class=[class(*tone)] { (words(said)) } }
                }
            },
            Block::Check(tone, term) => p class="check" {
                @for (_, said) in term.said.iter().take(1) { (words(said)) " " }
                span class=[class(Some(*tone))] { (words(&term.name)) }
                @for (_, said) in term.said.iter().skip(1) { " " (words(said)) }
            },
            Block::Table(table) => (self::table(table)),
            Block::Ways(ways) => @if let Some(way) = ways.first() { (blocks(&way.0)) },
            Block::Item(..) | Block::Chart(_) | Block::Gap => {},
        }
    }
}

fn class(tone: Option<Tone>) -> Option<&'static str> {
    match tone? {
        Tone::Strong => Some("strong"),
        Tone::Faint => Some("notes"),
        Tone::Good => Some("good"),
        Tone::Bad => Some("bad"),
        Tone::Care => Some("open"),
    }
}

/// Items of a level, each with those of the next below it.
fn items(items: &[Block], level: usize) -> Markup {
    let depth = |block: &Block| match block {
        Block::Item(depth, ..) => *depth,
        _ => 0,
    };
    let groups = items.chunk_by(|_, other| depth(other) > level);
    html! {
        ul {
            @for group in groups {
                @if let Some((Block::Item(_, tone, said), below)) = group.split_first() {
                    li {
                        span class=[class(*tone)] { (words(said)) }
                        @if !below.is_empty() { (self::items(below, level + 1)) }
                    }
                }
            }
        }
    }
}

fn words(said: &Sentence) -> Markup {
    html! {
        @for piece in &said.0 {
            @match piece {
                Piece::Plain(text) => (text),
                Piece::Code(text) | Piece::Typed(text) => code { (text) },
                Piece::Strong(text) => b { (text) },
                Piece::Line => (PreEscaped("<br/>")),
                Piece::Break => " ",
            }
        }
    }
}

fn table(table: &Table) -> Markup {
    let class = |column: &Column| match column.side {
        Side::Right => "number",
        Side::Left => "word",
    };
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(table.caption) {
            table class={ "rows " (together(table.rows())) } {
                caption class="unseen" { (table.caption) }
                @if table.is_headed() {
                    thead {
                        tr {
                            @for column in &table.columns {
                                th scope="col" class=(class(column)) { (words(&column.heading)) }
                            }
                            @if !table.bars.is_empty() { td {} }
                        }
                    }
                }
                tbody {
                    @for row in 0..table.rows() {
                        tr {
                            @for (place, column) in table.columns.iter().enumerate() {
                                @if place == 0 {
                                    th scope="row" class=(class(column)) { (words(&column.cell(row))) }
                                } @else {
                                    td class=(class(column)) { (words(&column.cell(row))) }
                                }
                            }
                            @if let Some(share) = table.bars.get(row) {
                                td { span class="bar" style={ "width: " (length(*share)) "rem" } {} }
                            }
                        }
                    }
                }
            }
            @if !table.note.is_empty() { p class="notes" { (words(&table.note)) } }
        }
    }
}

/// The length of a bar, from 0 to 6.
fn length(share: Option<f64>) -> String {
    format!("{:.2}", share.unwrap_or(0.0).clamp(0.0, 1.0) * 6.0)
}

fn figure(chart: &Chart, number: usize) -> Markup {
    html! {
        figure {
            div class="drawn" { (PreEscaped(svg::write(chart, &format!("chart-{number}")))) }
            figcaption { (chart.told) }
        }
    }
}
