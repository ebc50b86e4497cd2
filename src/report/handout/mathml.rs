//! A formula as MathML, broken into lines where it would be too wide for a telephone.
//!
//! Browsers don't break formulas, so that is done here: a long call gets a line an
//! argument, a long sum is broken before its signs. Units and words stand upright,
//! names slanted by the style sheet. Start reading at [`equation`].

use maud::{Markup, html};

use super::super::visible::wrapped;
use super::math::{Argument, Math};

/// A line of a formula is at most about so many letters wide.
const WIDTH: usize = 44;
/// Room that a piece keeps however little is left.
const LEAST: usize = 16;

/// A name, and what it equals, a line each.
pub fn equation(name: &str, lines: &[&Math]) -> Markup {
    let name_width = name.chars().count();
    let above = name_width > 16;
    let room = if above {
        WIDTH - 3
    } else {
        WIDTH.saturating_sub(name_width + 3)
    };
    html! {
        math display="block" {
            mtable class="equals" {
                @if above {
                    mtr { mtd class="name" columnspan="3" { (self::name(name)) } }
                }
                @for (index, line) in lines.iter().enumerate() {
                    mtr {
                        mtd class="name" { @if index == 0 && !above { (self::name(name)) } }
                        mtd { mo { "=" } }
                        mtd { (broken(line, room)) }
                    }
                }
            }
        }
    }
}

fn name(text: &str) -> Markup {
    html! { mi class="name" { (text) } }
}

/// In one line, whatever its width.
fn line(math: &Math) -> Markup {
    match math {
        Math::Number(number) => html! { mn { (number) } },
        Math::Quantity(number, unit) => html! {
            mrow { mn { (number) } mtext class="unit" { (beside(unit)) } }
        },
        Math::Name(text) => name(text),
        Math::Text(text) => html! { mtext { (text) } },
        Math::Word(word) => html! { mtext class="word" { "\u{a0}" (word) "\u{a0}" } },
        Math::Operator(sign) => html! { mo { (sign) } },
        Math::Row(parts) => html! { mrow { @for part in parts { (line(part)) } } },
        Math::Fraction(sides) => html! { mfrac { mrow { (line(&sides.0)) } mrow { (line(&sides.1)) } } },
        Math::Power(sides) => html! { msup { mrow { (line(&sides.0)) } mrow { (line(&sides.1)) } } },
        Math::Root(inner) => html! { msqrt { (line(inner)) } },
        Math::Size(inner) => fenced("|", "|", &line(inner)),
        Math::Parentheses(inner) => fenced("(", ")", &line(inner)),
        Math::Call(name, arguments) => html! {
            mrow {
                mi class="call" { (name) }
                mo { "(" }
                @for (index, argument) in arguments.iter().enumerate() {
                    @if index > 0 { mo separator="true" { "," } }
                    (labelled(argument, None))
                }
                mo { ")" }
            }
        },
        Math::Choice(rows) => choice(rows, None),
    }
}

/// A unit beside its number; degrees, per cent and the like keep the space too.
fn beside(unit: &str) -> String {
    format!("\u{a0}{}", unit.replace(' ', "\u{a0}"))
}

fn fenced(open: &str, close: &str, inner: &Markup) -> Markup {
    html! { mrow { mo { (open) } (inner) mo { (close) } } }
}

fn labelled(argument: &Argument, room: Option<usize>) -> Markup {
    let value = match room {
        Some(room) => broken(&argument.value, room),
        None => line(&argument.value),
    };
    html! {
        @if let Some(label) = &argument.label {
            mrow { mtext class="label" { (label) ":\u{a0}" } (value) }
        } @else { (value) }
    }
}

fn choice(rows: &[(Math, Option<Math>)], room: Option<usize>) -> Markup {
    let piece = |math: &Math| match room {
        Some(room) => broken(math, room),
        None => line(math),
    };
    html! {
        mrow {
            mo fence="true" stretchy="true" { "{" }
            mtable class="rows" {
                @for (value, when) in rows {
                    mtr {
                        mtd { (piece(value)) }
                        mtd {
                            @match when {
                                Some(when) => mrow { mtext class="word" { "\u{a0}if\u{a0}" } (piece(when)) },
                                None => mtext class="word" { "\u{a0}otherwise" },
                            }
                        }
                    }
                }
            }
        }
    }
}

// ---- what is too wide ----

/// In as many lines as it takes to stay within the room.
fn broken(math: &Math, room: usize) -> Markup {
    let room = room.max(LEAST);
    if math.width() <= room {
        return line(math);
    }
    match math {
        Math::Row(parts) => row(parts, room),
        Math::Call(name, arguments) => call(name, arguments, room),
        Math::Fraction(sides) => html! {
            mfrac { mrow { (broken(&sides.0, room - 1)) } mrow { (broken(&sides.1, room - 1)) } }
        },
        Math::Root(inner) => html! { msqrt { (broken(inner, room - 2)) } },
        Math::Size(inner) => fenced("|", "|", &broken(inner, room - 2)),
        Math::Parentheses(inner) => fenced("(", ")", &broken(inner, room - 2)),
        Math::Choice(rows) => choice(rows, Some(room.saturating_sub(6) / 2)),
        Math::Text(text) => {
            let lines: Vec<Markup> = wrapped(text, room)
                .iter()
                .map(|part| html! { mtext { (part) } })
                .collect();
            rows(&lines)
        }
        _ => line(math),
    }
}

fn rows(lines: &[Markup]) -> Markup {
    match lines {
        [only] => only.clone(),
        lines => html! { mtable class="rows" { @for line in lines { mtr { mtd { (line) } } } } },
    }
}

fn call(name: &str, arguments: &[Argument], room: usize) -> Markup {
    let last = arguments.len().saturating_sub(1);
    let mut lines = vec![html! { mrow { mi class="call" { (name) } mo { "(" } } }];
    lines.extend(arguments.iter().enumerate().map(|(index, argument)| {
        let label = argument.label.as_ref().map_or(0, |label| label.chars().count() + 2);
        let end = if index == last { ")" } else { "," };
        html! {
            mrow {
                mspace width="1.2em" {}
                (labelled(argument, Some(room.saturating_sub(label + 4))))
                mo { (end) }
            }
        }
    }));
    rows(&lines)
}

/// A row broken before its signs and words.
fn row(parts: &[Math], room: usize) -> Markup {
    let mut lines: Vec<Vec<&Math>> = vec![Vec::new()];
    let mut used = 0;
    for piece in pieces(parts) {
        let width: usize = piece.iter().map(|part| part.width()).sum();
        if used > 0 && used + width > room {
            lines.push(Vec::new());
            used = 0;
        }
        used += width;
        if let Some(line) = lines.last_mut() {
            line.extend(piece);
        }
    }
    let written: Vec<Markup> = lines
        .iter()
        .map(|parts| {
            let width: usize = parts.iter().map(|part| part.width()).sum();
            html! {
                mrow {
                    @for part in parts {
                        @if width > room { (broken(part, room - 3)) } @else { (line(part)) }
                    }
                }
            }
        })
        .collect();
    rows(&written)
}

/// Each operand with the sign before it.
fn pieces(parts: &[Math]) -> Vec<Vec<&Math>> {
    let mut pieces: Vec<Vec<&Math>> = Vec::new();
    for part in parts {
        let opens = matches!(part, Math::Operator(_) | Math::Word(_));
        let goes_on = pieces
            .last()
            .is_some_and(|piece: &Vec<&Math>| matches!(piece.last(), Some(Math::Operator(_) | Math::Word(_))));
        match pieces.last_mut() {
            Some(piece) if goes_on || !opens && piece.is_empty() => piece.push(part),
            _ => pieces.push(vec![part]),
        }
    }
    pieces
}
