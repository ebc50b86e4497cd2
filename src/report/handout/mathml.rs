//! A formula as MathML, broken into lines where it would be too wide for a telephone.
//!
//! Browsers don't break formulas, so that is done here: a long call gets a line an
//! argument, a long sum is broken before its signs. Units and words stand upright,
//! names slanted by the style sheet. Start reading at [`equation`].

use maud::{Markup, html};

use super::super::visible::wrapped;
use super::math::{Argument, Math};
use super::typeset::set;

/// A line of a formula is at most about so many letters wide.
const WIDTH: usize = 52;
/// Room that a piece keeps however little is left.
const LEAST: usize = 16;

/// By so many letters a line is set in that goes on.
const INDENT: usize = 3;

/// A name, and what it equals: a line each, but short ones behind one another.
pub(super) fn equation(name: &str, lines: &[&Math]) -> Markup {
    let name_width = name.chars().count();
    let above = name_width > 16;
    let room = if above {
        WIDTH - 3
    } else {
        WIDTH.saturating_sub(name_width + 3)
    };
    let lines = joined(lines, room);
    html! {
        math display="block" {
            mtable class="equals" displaystyle="true" {
                @if above {
                    mtr { mtd class="name" columnspan="3" { (self::name(name)) } }
                }
                @for (index, line) in lines.iter().enumerate() {
                    @for (further, written) in broken(line, room + slack(line)).iter().enumerate() {
                        mtr class=(row_class(line, further)) {
                            mtd class="name" { @if index + further == 0 && !above { (self::name(name)) } }
                            mtd { @if further == 0 { mo { "=" } } }
                            mtd { (written) }
                        }
                    }
                }
            }
        }
    }
}

/// A row with a fraction keeps its distance from the next.
fn row_class(line: &Math, further: usize) -> &'static str {
    match (further, line.is_high()) {
        (0, false) => "first",
        (0, true) => "first high",
        (_, false) => "further",
        (_, true) => "further high",
    }
}

/// Lines that have room behind the one before go there.
fn joined(lines: &[&Math], room: usize) -> Vec<Math> {
    let mut told: Vec<Math> = Vec::new();
    for line in lines {
        match told.last_mut() {
            Some(last)
                if !matches!((&*last, line), (Math::Choice(_), _) | (_, Math::Choice(_)))
                    && last.width() + line.width() + 3 <= room =>
            {
                let first = std::mem::replace(last, Math::Text(String::new()));
                *last = Math::Row(vec![first, Math::Operator("="), (*line).clone()]);
            }
            _ => told.push((*line).clone()),
        }
    }
    told
}

/// A result with what it may be off by is left in one line a little longer.
fn slack(math: &Math) -> usize {
    match math {
        Math::Row(parts) if parts.contains(&Math::Operator("±")) => WIDTH / 3,
        Math::Row(parts) => parts.last().map_or(0, slack),
        _ => 0,
    }
}

fn name(text: &str) -> Markup {
    html! { mi class="name" { (text) } }
}

/// In one line, whatever its width.
fn line(math: &Math) -> Markup {
    match math {
        Math::Number(number) => html! { mn { (set(number)) } },
        Math::Quantity(number, unit) => html! {
            mrow { mn { (set(number)) } mtext class="unit" { (beside(unit)) } }
        },
        Math::Name(text) => name(text),
        Math::Text(text) => html! { mtext { (set(text)) } },
        Math::Word(word) => html! { mtext class="word" { "\u{a0}" (word) "\u{a0}" } },
        Math::Operator(sign) => html! { mo { (sign) } },
        Math::Row(parts) => html! { mrow { @for part in parts { (line(part)) } } },
        Math::Fraction(sides) => html! { mfrac { mrow { (line(&sides.0)) } mrow { (line(&sides.1)) } } },
        Math::Power(sides) => html! { msup { mrow { (line(&sides.0)) } mrow { (line(&sides.1)) } } },
        Math::Root(inner) => html! { msqrt { (line(inner)) } },
        Math::Size(inner) => fenced("|", "|", inner, &line(inner)),
        Math::Parentheses(inner) => fenced("(", ")", inner, &line(inner)),
        Math::Call(name, arguments) => html! {
            mrow {
                mi class="call" { (name) }
                (mark("("))
                @for (index, argument) in arguments.iter().enumerate() {
                    @if index > 0 { (mark(",")) }
                    (labelled(argument))
                }
                (mark(")"))
            }
        },
        Math::Choice(rows) => choice(rows, usize::MAX),
    }
}

/// A unit beside its number; degrees, per cent and the like keep the space too.
fn beside(unit: &str) -> String {
    format!("\u{a0}{}", set(&unit.replace(' ', "\u{a0}")))
}

/// Marks on both sides, which grow only around something high.
fn fenced(open: &str, close: &str, inner: &Math, written: &Markup) -> Markup {
    let grows = if inner.is_high() { "true" } else { "false" };
    html! { mrow { mo fence="true" stretchy=(grows) { (open) } (written) mo fence="true" stretchy=(grows) { (close) } } }
}

fn labelled(argument: &Argument) -> Markup {
    html! {
        @if let Some(label) = &argument.label { (self::label(label)) }
        (line(&argument.value))
    }
}

fn label(label: &str) -> Markup {
    html! { mtext class="label" { (label) ":\u{a0}" } }
}

fn choice(rows: &[(Math, Option<Math>)], room: usize) -> Markup {
    html! {
        mrow {
            mtable class="rows choice" displaystyle="true" {
                @for (value, when) in rows {
                    mtr {
                        mtd { (whole(value, room)) }
                        mtd {
                            @match when {
                                Some(when) => mrow { mtext class="word" { "\u{a0}if\u{a0}" } (whole(when, room)) },
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

/// In as many lines as it takes to stay within the room; further ones are set in.
fn broken(math: &Math, room: usize) -> Vec<Markup> {
    let room = room.max(LEAST);
    if math.width() <= room {
        return vec![line(math)];
    }
    let mut pieces = Pieces::default();
    pieces.add(math, room);
    pieces.lines(room)
}

/// The same as one piece, its lines below each other.
fn whole(math: &Math, room: usize) -> Markup {
    match broken(math, room).as_slice() {
        [only] => only.clone(),
        lines => html! {
            mtable class="rows" displaystyle="true" { @for line in lines { mtr { mtd { (line) } } } }
        },
    }
}

/// A formula cut where a line may end.
#[derive(Default)]
struct Pieces {
    done: Vec<(Markup, usize)>,
    /// What goes before the next piece on its line.
    before: Vec<Markup>,
    before_width: usize,
}

impl Pieces {
    fn add(&mut self, math: &Math, room: usize) {
        if self.before_width + math.width() + INDENT <= room {
            return self.push(line(math), math.width());
        }
        match math {
            Math::Row(parts) => self.row(parts, room),
            Math::Call(name, arguments) => self.call(name, arguments, room),
            Math::Parentheses(inner) if !inner.is_high() => {
                self.open(mark("("), 1);
                self.add(inner, room);
                self.close(")");
            }
            Math::Text(text) => {
                for part in wrapped(text, room - 2) {
                    let width = part.chars().count();
                    self.push(html! { mtext { (set(&part)) } }, width + 1);
                }
            }
            other => self.push(within(other, room), other.width().min(room)),
        }
    }

    /// Cut before the signs that bind least.
    fn row(&mut self, parts: &[Math], room: usize) {
        let loosest = parts.iter().filter_map(looseness).min();
        let mut between: Vec<Math> = Vec::new();
        for (place, part) in parts.iter().enumerate() {
            if looseness(part) != loosest || place == 0 {
                between.push(part.clone());
                continue;
            }
            self.between(&mut between, parts.len(), room);
            self.open(line(part), part.width());
        }
        self.between(&mut between, parts.len(), room);
    }

    fn between(&mut self, between: &mut Vec<Math>, all: usize, room: usize) {
        match std::mem::take(between) {
            none if none.is_empty() => {}
            // a sign before one operand, or nothing to cut at
            row if row.len() == all => row.iter().for_each(|part| match looseness(part) {
                Some(_) => self.open(line(part), part.width()),
                None => self.add(part, room),
            }),
            mut one if one.len() == 1 => one.drain(..).for_each(|part| self.add(&part, room)),
            row => self.add(&Math::Row(row), room),
        }
    }

    fn call(&mut self, name: &str, arguments: &[Argument], room: usize) {
        self.open(html! { mi class="call" { (name) } }, name.chars().count());
        self.open(mark("("), 1);
        for (index, argument) in arguments.iter().enumerate() {
            if index > 0 {
                self.close(",");
            }
            if let Some(label) = &argument.label {
                self.open(self::label(label), label.chars().count() + 2);
            }
            self.add(&argument.value, room);
        }
        self.close(")");
    }

    fn open(&mut self, written: Markup, width: usize) {
        self.before.push(written);
        self.before_width += width;
    }

    fn push(&mut self, written: Markup, width: usize) {
        let before = std::mem::take(&mut self.before);
        let written = html! { @for part in before { (part) } (written) };
        self.done
            .push((written, width + std::mem::take(&mut self.before_width)));
    }

    fn close(&mut self, sign: &str) {
        if !self.before.is_empty() {
            self.push(html! {}, 0);
        }
        if let Some((written, width)) = self.done.last_mut() {
            *written = html! { (written) (mark(sign)) };
            *width += 1;
        }
    }

    fn lines(mut self, room: usize) -> Vec<Markup> {
        if !self.before.is_empty() {
            self.push(html! {}, 0);
        }
        let mut lines: Vec<(Vec<Markup>, usize)> = Vec::new();
        for (written, width) in self.done {
            match lines.last_mut() {
                Some((line, used)) if *used + width <= room => {
                    line.push(written);
                    *used += width;
                }
                Some(_) => lines.push((vec![html! { mspace width="1.4em" {} }, written], width + INDENT)),
                None => lines.push((vec![written], width)),
            }
        }
        let whole = |(parts, _): &(Vec<Markup>, usize)| html! { mrow { @for part in parts { (part) } } };
        lines.iter().map(whole).collect()
    }
}

/// How loosely a sign or a word holds its sides together, the loosest first.
fn looseness(math: &Math) -> Option<u8> {
    match math {
        Math::Word(_) => Some(0),
        Math::Operator("+" | "−" | "±") => Some(2),
        Math::Operator("×") => Some(3),
        Math::Operator(_) => Some(1),
        _ => None,
    }
}

/// A parenthesis or a comma, no higher than the line.
fn mark(sign: &str) -> Markup {
    match sign {
        "," => html! { mo separator="true" { "," } },
        sign => html! { mo stretchy="false" { (sign) } },
    }
}

/// What can't be cut, with what stands inside it cut where that is too wide.
fn within(math: &Math, room: usize) -> Markup {
    match math {
        Math::Fraction(sides) => html! {
            mfrac { mrow { (whole(&sides.0, room - 1)) } mrow { (whole(&sides.1, room - 1)) } }
        },
        Math::Root(inner) => html! { msqrt { (whole(inner, room - 2)) } },
        Math::Size(inner) => fenced("|", "|", inner, &whole(inner, room - 2)),
        Math::Parentheses(inner) => fenced("(", ")", inner, &whole(inner, room - 2)),
        Math::Choice(rows) => choice(rows, room.saturating_sub(6) / 2),
        other => line(other),
    }
}
