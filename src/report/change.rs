//! What a trial or an edit changed: before and now, side by side.
//!
//! The checks that flipped stand first, below them the answers touched, one a line with what
//! changed: the last lines are the nearest. How a change is worded is settled in [`gap`],
//! before anything is laid out. Start reading at [`Changes`].

use crate::number::Number;

use super::digits::{Form, Quantity, calculated, compound, round_to, rounded_text, with_unit};
use super::document::{Block, Document, Sentence, terminal};
use super::model::verdict;
use super::shown::Shown;
use super::style::{Style, Tone};
use super::visible::{columns, sentence, visible, wrapped};

/// The columns between two columns.
const GAP: usize = 3;
const INDENT: usize = 2;

/// What changed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Changes {
    /// The answers touched, in the worksheet's order.
    pub answers: Vec<Change>,
    /// The checks that flipped, in the worksheet's order.
    pub checks: Vec<Flip>,
}

/// One answer before and now.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// Its name.
    pub name: String,
    /// Before.
    pub before: Shown,
    /// Now.
    pub now: Shown,
    /// The difference in words, where there is one.
    pub difference: Option<String>,
    /// The same with a sign in place of words: `-2 h 30 min (-12 %)`.
    pub short: Option<String>,
}

/// A check whose verdict is another than before.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Flip {
    /// Where it stands, as people are told.
    pub place: String,
    /// The condition as written.
    pub text: String,
    /// Before; `None` where it couldn't be told.
    pub before: Option<bool>,
    /// Now.
    pub now: Option<bool>,
    /// Whether it marks an answer that is nearly right now.
    pub close: bool,
    /// The `else` text, or why it can't be told.
    pub message: Option<String>,
    /// The values behind it, where it doesn't hold now.
    pub compared: Option<String>,
}

/// What sort of thing grows or shrinks, which decides the words.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Manner {
    /// Longer or shorter.
    Time,
    /// Up or down, of money.
    Money,
    /// Up or down.
    Amount,
    /// Higher or lower, on a scale without a true zero or in percentage points.
    Level,
    /// Later or earlier, of a time.
    Clock,
}

/// A value before or now, with the last place it was shown to.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stand {
    /// The value.
    pub value: Number,
    /// The power of ten of the last digit shown.
    pub place: Option<i32>,
}

/// A difference, settled in digits and not yet in words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Gap {
    /// Its size with its unit.
    pub amount: String,
    /// Its share of what was, `-41 %`, where that makes sense.
    pub share: Option<String>,
    /// Whether it is one downwards.
    pub falls: bool,
    manner: Manner,
}

/// The difference; `None` where the shown digits don't differ. It is that of the
/// values as shown, so that who subtracts them finds the same. `unit` is that of a
/// difference (`F°` for points).
pub fn gap(before: Stand, now: Stand, unit: &str, form: Form, manner: Manner) -> Option<Gap> {
    let gap = now.value.sub(before.value).ok()?;
    let shown = as_shown(now, form)?.sub(as_shown(before, form)?).ok()?;
    Some(Gap {
        amount: amount(shown.abs(), before.place.max(now.place), unit, form)?,
        share: relative(gap, before.value).filter(|_| !matches!(manner, Manner::Level | Manner::Clock)),
        falls: gap.is_negative(),
        manner,
    })
}

/// The difference of the values themselves, to a place of its own; `None` where that shows none.
pub(crate) fn true_gap(
    (before, now): (Number, Number),
    place: Option<i32>,
    unit: &str,
    form: Form,
    manner: Manner,
) -> Option<Gap> {
    let gap = now.sub(before).ok()?;
    let counted = match form {
        Form::HoursAndMinutes => gap.abs().mul(Number::from_integer(60)).ok()?,
        _ => gap.abs(),
    };
    Some(Gap {
        amount: amount(counted, place, unit, form)?,
        share: relative(gap, before).filter(|_| !matches!(manner, Manner::Level | Manner::Clock)),
        falls: gap.is_negative(),
        manner,
    })
}

impl Gap {
    /// `shorter by 3.5 h (-41 %)`
    pub fn words(&self) -> String {
        let word = self.manner.word(self.falls);
        match &self.share {
            Some(share) => format!("{word} by {} ({share})", self.amount),
            None => format!("{word} by {}", self.amount),
        }
    }

    /// `-2 h 30 min (-12 %)`
    pub(crate) fn in_short(&self) -> String {
        let signed = self.signed();
        let share = signed.get(1).map_or(String::new(), |share| format!(" ({share})"));
        format!("{}{share}", signed.first().map_or("", String::as_str))
    }

    /// With its sign, a line each: `-3.5 h`, `-41 %`; percentage points are points.
    pub fn signed(&self) -> Vec<String> {
        let sign = if self.falls { '-' } else { '+' };
        let amount = format!("{sign}{}", self.amount.replace("percentage points", "points"));
        std::iter::once(amount).chain(self.share.clone()).collect()
    }
}

impl Manner {
    fn word(self, falls: bool) -> &'static str {
        match (self, falls) {
            (Manner::Time, false) => "longer",
            (Manner::Time, true) => "shorter",
            (Manner::Money | Manner::Amount, false) => "up",
            (Manner::Money | Manner::Amount, true) => "down",
            (Manner::Level, false) => "higher",
            (Manner::Level, true) => "lower",
            (Manner::Clock, false) => "later",
            (Manner::Clock, true) => "earlier",
        }
    }
}

/// A value to the last place shown; in minutes where it is shown in them.
fn as_shown(stand: Stand, form: Form) -> Option<Number> {
    let value = match form {
        Form::HoursAndMinutes => stand.value.mul(Number::from_integer(60)).ok()?,
        _ => stand.value,
    };
    Some(stand.place.map_or(value, |place| round_to(value, place)))
}

/// The size of a difference; `None` where it vanishes at the digits shown.
fn amount(gap: Number, place: Option<i32>, unit: &str, form: Form) -> Option<String> {
    if gap.is_zero() {
        return None;
    }
    if form == Form::HoursAndMinutes {
        let minutes = round_to(gap, place.unwrap_or(0));
        return (!minutes.is_zero()).then(|| compound(minutes));
    }
    let Some(place) = place else {
        let quantity = Quantity::exact(gap, unit, form);
        return Some(calculated(&quantity, 3).value);
    };
    let number = rounded_text(gap, place);
    let vanished = number.chars().all(|c| matches!(c, '0' | '.'));
    (!vanished).then(|| in_unit(&number, unit))
}

/// A part of a difference with its sign, to the last place shown; a small one to two digits.
pub(crate) fn signed_part(part: Number, place: Option<i32>, unit: &str, form: Form) -> String {
    let size = part.abs();
    let counted = match form {
        Form::HoursAndMinutes => size.mul(Number::from_integer(60)),
        _ => Ok(size),
    };
    let shown = counted.ok().and_then(|counted| amount(counted, place, unit, form));
    let shown = shown.unwrap_or_else(|| {
        let quantity = Quantity::exact(size, unit, if form == Form::Money { Form::MoneyPerUnit } else { form });
        calculated(&quantity, 2).value
    });
    match (part.is_zero(), part.is_negative()) {
        (true, _) => shown,
        (false, true) => format!("-{shown}"),
        (false, false) => format!("+{shown}"),
    }
}

/// A difference of percentages counts in points, lest it be read as a share.
fn in_unit(number: &str, unit: &str) -> String {
    match unit {
        "%" => format!("{number} percentage points"),
        _ => with_unit(number, unit),
    }
}

/// The change as a share of what was, in whole percent; a share past reading is left out.
fn relative(gap: Number, before: Number) -> Option<String> {
    let hundred = Number::from_integer(100);
    let share = gap.mul(hundred).ok()?.div(before.abs()).ok()?;
    let whole = share.round();
    if whole.is_zero() || whole.abs() > Number::from_integer(MOST_PER_CENT) {
        return None;
    }
    let sign = if whole.is_negative() { "" } else { "+" };
    Some(format!("{sign}{} %", whole.to_plain()))
}

const MOST_PER_CENT: i64 = 100_000;

/// The changes as lines for a terminal; one line where nothing changed.
pub fn write(changes: &Changes, style: Style) -> String {
    if changes.answers.is_empty() && changes.checks.is_empty() {
        return "  No answer changes.\n".to_owned();
    }
    let mut text = match changes.checks.as_slice() {
        [] => String::new(),
        flips => terminal::write(&flipped(flips), style),
    };
    let answers = changes.answers.iter().flat_map(row_by_row);
    let (waiting, answers): (Vec<Change>, Vec<Change>) = answers.partition(Change::still_waits);
    let (told, quiet): (Vec<Change>, Vec<Change>) = answers.into_iter().partition(Change::shows);
    write_changes(&mut text, &told, style);
    let moved = several(&quiet, ["moves by less than is shown", "move by less than is shown"]);
    let waits = match waiting.as_slice() {
        [one] => Some(format!("{} still {}.", one.name, one.now.value)),
        all => several(all, ["", "still wait for more"]),
    };
    let said = moved.into_iter().chain(waits);
    let said = said.map(|told| Block::Said(1, Some(Tone::Faint), told.into()));
    text + &terminal::write(&Document(said.collect()), style)
}

/// `a, b move by less than is shown.`
fn several(changes: &[Change], [one_does, all_do]: [&str; 2]) -> Option<String> {
    let names: Vec<&str> = changes.iter().map(|change| change.name.as_str()).collect();
    match names.as_slice() {
        [] => None,
        [one] => Some(format!("{one} {one_does}.")),
        few if few.len() <= FEW_NAMES => Some(format!("{} {all_do}.", few.join(", "))),
        many => Some(format!("{} answers {all_do}.", many.len())),
    }
}

/// So many answers of which nothing more is told are named.
const FEW_NAMES: usize = 6;

/// Values side by side as lines for a terminal, whether or not they differ.
pub(crate) fn write_pairs(pairs: &[Change], style: Style) -> String {
    let mut text = String::new();
    write_changes(&mut text, pairs, style);
    text
}

/// The checks that flipped, each with its line behind the condition where it doesn't hold now.
fn flipped(flips: &[Flip]) -> Document {
    let said = |level, tone, text: String| Block::Said(level, tone, Sentence::from(text));
    let mut blocks = Vec::new();
    for flip in flips {
        let line = match flip.now {
            Some(true) => String::new(),
            _ => format!(" ({})", flip.place),
        };
        blocks.push(said(1, None, format!("{}{line}", flip.text)));
        blocks.push(said(2, Some(tone(flip.now)), verdicts(flip, ("now ", "before"))));
        let more = flip.message.iter().chain(&flip.compared);
        blocks.extend(more.map(|told| said(2, None, sentence(told))));
    }
    Document(blocks)
}

/// `now holds (before: does not hold)` has the words `now ` and `before`.
fn verdicts(flip: &Flip, words: (&str, &str)) -> String {
    format!(
        "{}{} ({}: {})",
        words.0,
        if flip.close { "close" } else { verdict(flip.now) },
        words.1,
        verdict(flip.before)
    )
}

/// So many rows of a column are told one by one.
const MOST_ROWS: usize = 16;

/// A column that is listed before and now: the rows that differ, each as a change of its own.
pub(super) fn row_by_row(change: &Change) -> Vec<Change> {
    let (Some(before), Some(now)) = (change.before.listed(), change.now.listed()) else {
        return vec![change.clone()];
    };
    if before.names != now.names || before.cells.len() != now.cells.len() {
        return vec![change.clone()];
    }
    let differ: Vec<usize> = (0..now.cells.len())
        .filter(|row| before.cells.get(*row) != now.cells.get(*row))
        .collect();
    if differ.is_empty() {
        return vec![change.clone()];
    }
    let row_change = |row: &usize| Change {
        name: format!("{} {}", change.name, now.row_word(*row)),
        before: Shown::text(before.told(*row)),
        now: Shown::text(now.told(*row)),
        difference: None,
        short: None,
    };
    let mut told: Vec<Change> = differ.iter().take(MOST_ROWS).map(row_change).collect();
    if let (more @ 1.., Some(last)) = (differ.len().saturating_sub(MOST_ROWS), told.last_mut()) {
        last.difference = Some(format!("and {more} more rows"));
    }
    told
}

/// The checks that come out otherwise, with such words for the verdicts.
pub(super) fn tell_flips(document: &mut Document, flips: &[Flip], words: (&str, &str)) {
    for flip in flips {
        document.item(1, None, Sentence::of_code(&flip.text));
        document.item(2, Some(tone(flip.now)), verdicts(flip, words));
        for told in flip.message.iter().chain(&flip.compared) {
            document.item(2, None, Sentence::marked(&sentence(told)));
        }
    }
}

/// The tone of a verdict.
fn tone(holds: Option<bool>) -> Tone {
    match holds {
        Some(true) => Tone::Good,
        Some(false) => Tone::Bad,
        None => Tone::Care,
    }
}

/// The columns of a list of changes.
struct Widths {
    name: usize,
    before: usize,
    now: usize,
    difference: usize,
}

/// How a change is told in one line, the fullest first.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Layout {
    /// With all there is.
    Full,
    /// What was in few letters, and the difference with a sign in place of words.
    Short,
    /// What was without its ±.
    Bare,
}

impl Change {
    /// Whether it waited and still does, be it for less.
    fn still_waits(&self) -> bool {
        let waits = |shown: &Shown| shown.place.is_none() && shown.value.starts_with("waits for ");
        waits(&self.before) && waits(&self.now)
    }

    /// Whether the digits shown tell it from what was.
    pub(crate) fn shows(&self) -> bool {
        self.difference.is_some() || self.before.in_full() != self.now.in_full()
    }

    fn before(&self, layout: Layout) -> String {
        let shown = match layout {
            Layout::Short if self.before.rows.is_none() => self.before.compact(&self.now),
            Layout::Bare if self.before.rows.is_none() => self.before.value.clone(),
            _ => self.before.in_full(),
        };
        visible(&shown).into_owned()
    }

    fn now(&self) -> String {
        visible(&self.now.in_full()).into_owned()
    }

    /// Whether it has room in a line of its own.
    fn fits(&self, layout: Layout, style: Style) -> bool {
        Widths::of(std::slice::from_ref(self), layout).taken() <= style.columns()
    }

    fn difference(&self, layout: Layout) -> &str {
        let told = match layout {
            Layout::Short | Layout::Bare => self.short.as_ref().or(self.difference.as_ref()),
            Layout::Full => self.difference.as_ref(),
        };
        told.map_or("", String::as_str)
    }
}

impl Widths {
    fn of(changes: &[Change], layout: Layout) -> Widths {
        let widest = |width: &dyn Fn(&Change) -> usize| changes.iter().map(width).max().unwrap_or(0);
        Widths {
            name: widest(&|change| columns(&visible(&change.name))),
            before: widest(&|change| columns(&change.before(layout))),
            now: widest(&|change| columns(&change.now())),
            difference: widest(&|change| columns(change.difference(layout))),
        }
    }

    /// Where the new value begins.
    fn left(&self) -> usize {
        INDENT + self.name + GAP + self.before + ARROW
    }

    fn taken(&self) -> usize {
        let difference = if self.difference > 0 { GAP + self.difference } else { 0 };
        self.left() + self.now + difference
    }
}

/// The columns of the arrow between what was and what is.
const ARROW: usize = 4;

/// A list that takes no more lines may have changes that take more than one.
const SHORT_LIST: usize = 16;

fn layout(changes: &[Change], style: Style) -> Layout {
    if Widths::of(changes, Layout::Full).taken() <= style.columns() {
        return Layout::Full;
    }
    let lines = changes
        .iter()
        .map(|change| if change.fits(Layout::Short, style) { 1 } else { 2 });
    match lines.sum::<usize>() <= SHORT_LIST {
        true => Layout::Short,
        false => Layout::Bare,
    }
}

fn write_changes(text: &mut String, changes: &[Change], style: Style) {
    let layout = layout(changes, style);
    // one that has no room in a line of its own pushes no other aside
    let alone = |change: &&Change| change.fits(layout, style);
    let fitting: Vec<Change> = changes.iter().filter(alone).cloned().collect();
    let widths = Widths {
        name: Widths::of(changes, layout).name,
        ..Widths::of(&fitting, layout)
    };
    for change in changes {
        let (name, now) = (visible(&change.name), change.now());
        let difference = change.difference(layout);
        let room = style
            .columns()
            .saturating_sub(widths.left() + columns(&now) + columns(difference));
        if !alone(&change) || room < GAP && !difference.is_empty() || widths.left() + columns(&now) > style.columns() {
            write_below(text, change, widths.name, style);
            continue;
        }
        let pad = " ".repeat((widths.now.saturating_sub(columns(&now)) + GAP).min(room));
        let (name, before) = (
            padded(&name, widths.name),
            padded(&change.before(layout), widths.before),
        );
        let line = format!(
            "  {name}   {before}  → {}{pad}{difference}",
            style.paint(Tone::Strong, &now)
        );
        text.push_str(line.trim_end());
        text.push('\n');
    }
}

/// What was, what is and the difference one below another, kept to the width.
fn write_below(text: &mut String, change: &Change, widest: usize, style: Style) {
    let name = visible(&change.name);
    let left = (INDENT + widest.max(columns(&name)) + GAP).min(style.columns() / 2);
    let room = style.columns().saturating_sub(left);
    let lines = |told: &str| wrapped(told, room).into_iter();
    let now = format!("→ {}", change.now());
    let short = change.difference(Layout::Short);
    let beside = !short.is_empty() && columns(&now) + GAP + columns(short) <= room;
    let strong = lines(&now).map(|line| style.paint(Tone::Strong, &line));
    // what draws say stands in the place of a ±
    let before = change.before(match change.before.uncertainty {
        Some(_) => Layout::Short,
        None => Layout::Full,
    });
    let mut all: Vec<String> = lines(&before).chain(strong).collect();
    match all.last_mut().filter(|_| beside) {
        Some(last) => last.push_str(&format!("{}{short}", " ".repeat(GAP))),
        None => all.extend(lines(change.difference(Layout::Full))),
    }
    let pad = " ".repeat(left.saturating_sub(INDENT + columns(&name)).max(1));
    let below = format!("\n{}", " ".repeat(left));
    text.push_str(&format!("  {name}{pad}{}\n", all.join(&below)));
}

fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(columns(text))))
}
