//! From a place where the grammar stopped to a problem in the user's words.
//!
//! First what stands at that place is looked at: many slips have a habit behind
//! them (`==`, `**`, `3,000`) and one cure. Failing that, what could have stood
//! there is named. Start reading at [`failure`].

use crate::problem::{Code, Problem};
use crate::text::Span;
use crate::unit::Unit;

use super::grammar::{Failure, Rule, Tokens, tokens};
use super::head::broken_entry;
use super::lines::{LONGEST_ENTRY, first_line};
use super::reader::{Reader, Told, assign_at};
use super::spoken;
use super::tree::{EntryKind, Node};
use super::words::{self, Opening, first_word, is_blank, is_name_char};

mod numbers;

use numbers::last_digits;

/// What the grammar met: the text before and after the place where it stopped.
struct Stop<'a> {
    before: &'a str,
    rest: &'a str,
    /// Where `rest` begins in the item.
    at: usize,
    expected: &'a [Rule],
}

/// A slip: its code, message, place and cure.
struct Slip {
    code: Code,
    message: String,
    span: Span,
    help: Option<String>,
    mend: Option<(Span, String)>,
}

impl Slip {
    fn new(code: Code, message: impl Into<String>, span: Span, help: impl Into<String>) -> Slip {
        Slip {
            code,
            message: message.into(),
            span,
            help: Some(help.into()),
            mend: None,
        }
    }

    /// With what its piece is replaced by.
    fn mend(self, text: impl Into<String>) -> Slip {
        let span = self.span;
        Slip {
            mend: Some((span, text.into())),
            ..self
        }
    }
}

impl<'a> Reader<'a> {
    /// The tokens of `rule` over a stretch of the item; a failure is noted.
    pub(super) fn tokens(&mut self, rule: Rule, stretch: Span) -> Option<Tokens<'a>> {
        self.base = stretch.start as usize;
        self.operators = 0;
        match tokens(rule, stretch.of(self.text)) {
            Ok(tokens) => Some(tokens),
            Err(stopped) => {
                let problem = failure(self, rule, stretch, &stopped);
                self.note(problem);
                None
            }
        }
    }
}

/// Why `rule` does not fit a stretch of the item.
fn failure(reader: &Reader<'_>, rule: Rule, stretch: Span, failure: &Failure) -> Problem {
    let text = stretch.of(reader.text);
    if reader.told == Told::Briefly {
        let place = Span::new(
            stretch.start as usize,
            stretch.start as usize + first_line(text).trim_end().len(),
        );
        return reader.problem(Code::Unreadable, "this can't be read either", place);
    }
    let (before, rest) = text.split_at_checked(failure.at).unwrap_or((text, ""));
    let stop = Stop {
        before,
        rest,
        at: stretch.start as usize + before.len(),
        expected: &failure.expected,
    };
    let slip = stop
        .too_deep()
        .or_else(|| stop.used(rule))
        .or_else(|| stop.spoken(rule, reader.asked_unit()))
        .or_else(|| stop.tolerance(rule))
        .or_else(|| stop.plus_dash())
        .or_else(|| stop.double_dash())
        .or_else(|| stop.habit())
        .or_else(|| stop.number())
        .or_else(|| stop.parenthesis())
        .or_else(|| stop.missing_else())
        .or_else(|| stop.head())
        .or_else(|| stop.text())
        .or_else(|| stop.source_behind_note())
        .or_else(|| stop.source_of_trial(rule))
        .unwrap_or_else(|| stop.anything());
    let mut problem = reader.problem(slip.code, slip.message, slip.span);
    problem.help = slip.help;
    match slip.mend {
        Some((span, text)) => problem.mend(span, text),
        None => problem,
    }
}

/// A tolerance in a formula.
pub(super) fn tolerance_in_formula(reader: &Reader<'_>, place: Span) -> Problem {
    reader
        .problem(Code::TolerancePlace, "a tolerance can't stand in a formula", place)
        .help("name the input: give this value an `assumed` line of its own with its tolerance")
}

impl Stop<'_> {
    fn too_deep(&self) -> Option<Slip> {
        self.expected.is_empty().then(|| {
            Slip::new(
                Code::NestedTooDeep,
                "this is nested too deep to be read",
                self.marked(),
                "give a part of it a line of its own",
            )
        })
    }

    /// `use cylinders.tare`
    fn used(&self, rule: Rule) -> Option<Slip> {
        let message = "another worksheet is named by its file in quotes, then `as` and what it is called here";
        let help = "write it so: `use \"cylinders.tare\" as yard`";
        (rule == Rule::used).then(|| Slip::new(Code::Unreadable, message, self.marked(), help))
    }

    /// `= 12 1/4 lb`, `= about 11 lb`: a value as it is written on paper.
    fn spoken(&self, rule: Rule, asked: Option<Unit>) -> Option<Slip> {
        if !matches!(rule, Rule::entry | Rule::case_line | Rule::trial | Rule::cell_trial) {
            return None;
        }
        let whole = format!("{}{}", self.before, self.rest);
        let head = assign_at(&whole)?;
        let value = whole.get(head + 1..)?;
        let ends = [" from \"", " note \"", " --", "\n", " from “", " ± "];
        let end = ends
            .iter()
            .filter_map(|end| value.find(end))
            .min()
            .unwrap_or(value.len());
        let value = value.get(..end)?;
        let meant = spoken::meant(value, asked).filter(|meant| meant != value.trim())?;
        let space = value.len() - value.trim_start_matches(is_blank).len();
        let start = self.at - self.before.len() + head + 1 + space;
        let span = Span::new(start, start + value.trim().len());
        let message = "a value is a number with its unit, and this is written in another way";
        Some(Slip::new(Code::NumberFormat, message, span, format!("write `{meant}`")).mend(meant))
    }

    /// `±` where none can stand.
    fn tolerance(&self, rule: Rule) -> Option<Slip> {
        if !self.rest.starts_with('±') && !self.rest.starts_with("+/-") {
            return self.signed_tolerance();
        }
        let mark = if self.rest.starts_with('±') {
            '±'.len_utf8()
        } else {
            3
        };
        let span = Span::new(self.at, self.at + mark);
        if self.before.contains('±') || self.before.contains("+/-") {
            return Some(Slip::new(
                Code::TolerancePlace,
                "a value has one tolerance",
                span,
                "put the two together, or make two inputs",
            ));
        }
        let of_value = matches!(rule, Rule::entry | Rule::case_line | Rule::trial);
        Some(if of_value {
            Slip::new(
                Code::TolerancePlace,
                "a tolerance stands at the end of the value and is of the whole value",
                span,
                "move it to the end, or make this part an input of its own",
            )
        } else {
            Slip::new(
                Code::TolerancePlace,
                "a tolerance can't stand in a formula",
                span,
                "name the input: give this value an `assumed` line of its own with its tolerance",
            )
        })
    }

    /// `± -0.2 lb`
    fn signed_tolerance(&self) -> Option<Slip> {
        let before = self.before.trim_end_matches(is_blank);
        let signed = self.rest.starts_with(['-', '+', '−', '–']);
        let follows = before.ends_with('±') || before.ends_with("+/-");
        (signed && follows).then(|| {
            Slip::new(
                Code::ToleranceFormat,
                "a tolerance has no sign of its own",
                self.marked(),
                "remove the sign: `±` means both",
            )
        })
    }

    /// `3 lb +- 0.1 lb`
    fn plus_dash(&self) -> Option<Slip> {
        let dash = self.rest.strip_prefix('+')?.chars().next()?;
        matches!(dash, '-' | '−' | '–').then(|| {
            let span = Span::new(self.at, self.at + 1 + dash.len_utf8());
            Slip {
                mend: Some((span, "±".to_owned())),
                ..Slip::new(
                    Code::ToleranceFormat,
                    "`+-` is neither a tolerance nor a sum",
                    span,
                    "write `±` or `+/-` for how far a value may be off, and `+ -` or `-` to take something off",
                )
            }
        })
    }

    /// `a--b`
    fn double_dash(&self) -> Option<Slip> {
        let rest = self.rest;
        let dashed = |c: char| matches!(c, '-' | '−' | '–');
        if !rest.starts_with(dashed) {
            return None;
        }
        let tail = rest.trim_start_matches(dashed);
        let length = rest.len() - tail.len();
        if length == 1 {
            return None;
        }
        let left = last_value(self.before);
        let right = first_word(tail.trim_start_matches(is_blank));
        let help = if !self.expects_operator() && !left.is_empty() {
            format!("write `-- {right}` for a comment")
        } else if left.is_empty() {
            format!("write `- -{right}`")
        } else {
            format!("write `{left} - -{right}`")
        };
        Some(Slip::new(
            Code::DoubleDash,
            "two dashes together are neither a comment nor two signs",
            Span::new(self.at, self.at + length),
            help,
        ))
    }

    /// Signs from other habits, each with the one meant here.
    fn habit(&self) -> Option<Slip> {
        // before, where it stops, what is said, what to do, and the sign that takes its place
        const HABITS: [(&str, &str, &str, &str, &str); 12] = [
            ("=", "=", "`==` is not used here", "write `=` to compare", "="),
            ("=", "<", "`=<` is not used here", "write `<=`", "<="),
            ("=", ">", "`=>` is not used here", "write `>=`", ">="),
            ("*", "*", "`**` is not used here", "write `^` for a power", "^"),
            ("", "!=", "`!=` is not used here", "write `<>` for unequal", "<>"),
            ("", "!", "`!` is not used here", "write `not`", ""),
            ("", "&", "`&&` is not used here", "write `and`", ""),
            ("", "|", "`|` is not used here", "write `or`", ""),
            ("", "'", "a text stands in double quotes", "write `\"…\"`", ""),
            (
                "",
                ";",
                "a semicolon is not used here",
                "write a comma between arguments",
                "",
            ),
            ("", "{", "braces are not used here", "write parentheses", ""),
            (":", "=", "`:=` is not used here", "write `=`", "="),
        ];
        let fits =
            |habit: &&(&str, &str, &str, &str, &str)| self.before.ends_with(habit.0) && self.rest.starts_with(habit.1);
        let (before, rest, message, help, meant) = HABITS.iter().find(fits)?;
        let span = Span::new(self.at - before.len(), self.at + rest.len());
        let slip = Slip::new(Code::Unreadable, *message, span, *help);
        Some(if meant.is_empty() { slip } else { slip.mend(*meant) })
    }

    /// `)` that closes nothing, `[` that stays open.
    fn parenthesis(&self) -> Option<Slip> {
        if self.expected.contains(&Rule::close_box) {
            let open = self.before.rfind('[')?;
            let start = self.at - self.before.len() + open;
            return Some(Slip::new(
                Code::OpenParenthesis,
                "this bracket is never closed",
                Span::new(start, start + 1),
                "close it with `]`",
            ));
        }
        let stray = self.rest.starts_with(')') && self.expects_operator() && !self.expected.contains(&Rule::close);
        stray.then(|| {
            Slip::new(
                Code::Unreadable,
                "this parenthesis closes nothing",
                Span::new(self.at, self.at + 1),
                "remove it, or open one before",
            )
        })
    }

    /// `if a then b`
    fn missing_else(&self) -> Option<Slip> {
        let word = first_word(self.rest);
        let goes_on = !word.is_empty() && !matches!(word, "from" | "note");
        if !self.expected.contains(&Rule::else_word) || goes_on {
            return None;
        }
        Some(Slip::new(
            Code::MissingElse,
            "this `if` has no `else`",
            self.marked(),
            "say what holds otherwise: `if … then … else …`",
        ))
    }

    /// What is wrong before the `=`.
    fn head(&self) -> Option<Slip> {
        if self.expected.contains(&Rule::name) && self.expected.len() == 1 {
            return self.no_name();
        }
        let optional = self.expects_operator() || self.expected.contains(&Rule::EOI);
        if !self.expected.contains(&Rule::assign) || optional {
            return None;
        }
        let word = first_word(self.rest);
        let name = last_word(self.before);
        let help = if self.rest.starts_with('"') {
            "the label stands before the unit in brackets".to_owned()
        } else if !name.is_empty() && word.starts_with(|c: char| !c.is_ascii_digit()) {
            format!("a name is one word: write `{name}_{word}`")
        } else {
            "put `=` before the value".to_owned()
        };
        Some(Slip::new(Code::Unreadable, "expected `=`", self.marked(), help))
    }

    fn no_name(&self) -> Option<Slip> {
        let (message, help) = if self.rest.starts_with(|c: char| c.is_ascii_digit()) {
            ("a name can't begin with a digit", "begin it with a letter")
        } else {
            ("expected a name", "a name is a word of letters, digits and `_`")
        };
        Some(Slip::new(Code::Unreadable, message, self.marked(), help))
    }

    /// A text without quotes.
    fn text(&self) -> Option<Slip> {
        if self.expected != [Rule::quoted] {
            return None;
        }
        let line = first_line(self.rest).trim_end();
        if line.is_empty() {
            return None;
        }
        Some(Slip::new(
            Code::Unreadable,
            "expected a text in quotes",
            Span::new(self.at, self.at + line.len()),
            format!("write `\"{line}\"`"),
        ))
    }

    /// `tare = 17 lb from "collar"`, typed without its kind
    fn source_of_trial(&self, rule: Rule) -> Option<Slip> {
        let word = first_word(self.rest.trim_start_matches(is_blank));
        (rule == Rule::trial && matches!(word, "from" | "note")).then(|| {
            let whole = format!("{}{}", self.before, self.rest);
            Slip::new(
                Code::Unreadable,
                format!("what is tried has no `{word}`: that belongs to a line of the record"),
                self.marked(),
                format!("begin the line with how it is known: `measured {}`", whole.trim()),
            )
        })
    }

    /// `note "…" from "…"`
    fn source_behind_note(&self) -> Option<Slip> {
        let rest = self.rest.trim_start_matches(is_blank);
        if first_word(rest) != "from" || !self.expected.contains(&Rule::EOI) {
            return None;
        }
        let source = rest.strip_prefix("from")?.trim_start_matches(is_blank);
        let length = source.get(1..).filter(|_| source.starts_with('"'))?.find('"')? + 2;
        let source = source.get(..length)?;
        let before = self.before.trim_end_matches(is_blank);
        let note = before.get(before.rfind("note")?..)?;
        if !note.get("note".len()..)?.trim_start_matches(is_blank).starts_with('"') {
            return None;
        }
        let end = self.at + (self.rest.len() - rest.len()) + (rest.find(source)? + length);
        let start = self.at - self.before.len() + (before.len() - note.len());
        let meant = format!("from {source} {note}");
        let message = "`from` stands before `note`";
        Some(
            Slip::new(
                Code::Unreadable,
                message,
                Span::new(start, end),
                format!("write `{meant}`"),
            )
            .mend(meant),
        )
    }

    fn anything(&self) -> Slip {
        let phrases = phrases(self.expected);
        let message = match phrases.as_slice() {
            [] => "this can't be read".to_owned(),
            [only] => format!("expected {only}"),
            [others @ .., last] => format!("expected {} or {last}", others.join(", ")),
        };
        Slip {
            code: Code::Unreadable,
            message,
            span: self.marked(),
            help: self.inner_if(),
            mend: None,
        }
    }

    fn inner_if(&self) -> Option<String> {
        let met = first_word(self.rest) == "if" || last_word(self.before) == "if";
        met.then(|| "write an `if` inside a formula as `(if … then … else …)`".to_owned())
    }

    fn expects_operator(&self) -> bool {
        self.expected.contains(&Rule::infix)
    }

    /// The word or sign at which the grammar stopped; at the end, the place behind the last word.
    fn marked(&self) -> Span {
        let Some(first) = self.rest.chars().find(|c| !is_blank(*c) && *c != '\n') else {
            let trimmed = self.before.trim_end().len();
            return Span::at(self.at - (self.before.len() - trimmed));
        };
        let skipped = self.rest.find(first).unwrap_or(0);
        let rest = self.rest.get(skipped..).unwrap_or("");
        let closing = rest.get(1..).and_then(|inner| inner.find('"'));
        let len = match closing.filter(|_| first == '"') {
            Some(inner) => inner + 2,
            None => first_word(rest).len().max(first.len_utf8()),
        };
        Span::new(self.at + skipped, self.at + skipped + len)
    }
}

/// The name-like word that `text` ends with.
fn last_word(text: &str) -> &str {
    let text = text.trim_end_matches(is_blank);
    let start = text.trim_end_matches(is_name_char).len();
    text.get(start..).unwrap_or("")
}

/// The name, or the number with its unit, that `text` ends with.
fn last_value(text: &str) -> &str {
    let text = text.trim_end_matches(is_blank);
    let start = text.len() - last_word(text).len();
    let number = text.get(..start).unwrap_or("").trim_end_matches(is_blank);
    let digits = last_digits(number).len();
    let start = if digits > 0 { number.len() - digits } else { start };
    text.get(start..).unwrap_or("")
}

/// What could have stood there, at most three, the likeliest first.
fn phrases(expected: &[Rule]) -> Vec<&'static str> {
    let mut found: Vec<(u8, &'static str)> = expected.iter().filter_map(|rule| phrase(*rule)).collect();
    found.sort_unstable();
    found.dedup();
    if found.iter().any(|(rank, _)| *rank < 3) {
        found.retain(|(rank, _)| *rank < 3);
    }
    if found.iter().any(|(_, phrase)| *phrase == "a value") {
        found.retain(|(_, phrase)| !matches!(*phrase, "a name" | "a text in quotes"));
    }
    found.truncate(3);
    found.into_iter().map(|(_, phrase)| phrase).collect()
}

fn phrase(rule: Rule) -> Option<(u8, &'static str)> {
    Some(match rule {
        Rule::infix => (0, "an operator"),
        Rule::comma => (1, "`,`"),
        Rule::close => (1, "`)`"),
        Rule::then_word => (1, "`then`"),
        Rule::else_word => (1, "`else`"),
        Rule::over => (1, "`over`"),
        Rule::within => (1, "`within`"),
        Rule::close_to => (5, "`close to`"),
        Rule::nearly => (6, "`nearly`"),
        Rule::parted_by => (5, "`by`"),
        Rule::zero => (1, "`zero`"),
        Rule::as_word => (1, "`as`"),
        Rule::EOI => (2, "the end of the line"),
        Rule::assign => (3, "`=`"),
        Rule::name | Rule::target => (3, "a name"),
        Rule::open => (3, "`(`"),
        Rule::close_box => (3, "`]`"),
        Rule::unit | Rule::unit_box => (4, "a unit"),
        Rule::quoted => (5, "a text in quotes"),
        Rule::from => (5, "`from`"),
        Rule::note => (6, "`note`"),
        Rule::plus_minus | Rule::tolerance => (6, "`±`"),
        Rule::expression
        | Rule::conditional
        | Rule::value
        | Rule::measure
        | Rule::number
        | Rule::money
        | Rule::group
        | Rule::reference
        | Rule::row_number
        | Rule::argument
        | Rule::label
        | Rule::minus => (3, "a value"),
        _ => return None,
    })
}

/// A line that begins with no word of the language.
pub(super) fn unknown_opening(reader: &mut Reader<'_>, content: usize) -> Node {
    let text = reader.text.get(content..).unwrap_or("");
    let line = text.trim_end_matches('\n').trim_end_matches(is_blank);
    let word = first_word(line);
    let whole = Span::new(content, content + line.len());
    if line.len() > LONGEST_ENTRY {
        let shown: usize = word.chars().take(SHOWN).map(char::len_utf8).sum();
        let place = Span::new(content, content + shown);
        let problem = reader.problem(Code::TooLong, "this line is longer than 64 KiB", place);
        reader.note(problem);
        return Node::Broken;
    }
    if reader.told == Told::Briefly {
        let place = Span::new(content, content + word.len());
        let problem = reader.problem(Code::UnknownOpening, "no line begins so either", place);
        reader.note(problem);
        return Node::Broken;
    }
    if line.starts_with("--") {
        return dashes(reader, whole);
    }
    if let Some((known, opening)) = words::nearest_opening(word).filter(|_| !word.is_empty()) {
        let place = Span::new(content, content + word.len());
        let problem = reader
            .problem(Code::UnknownOpening, format!("no line begins with `{word}`"), place)
            .help(format!("write `{known}`"))
            .mend(place, known);
        reader.note(problem);
        let stretch = Span::new(content + word.len(), whole.end as usize);
        return match opening {
            Opening::Entry(kind) => quietly(reader, kind, stretch),
            _ => Node::Broken,
        };
    }
    nothing_known(reader, word, whole)
}

fn dashes(reader: &mut Reader<'_>, whole: Span) -> Node {
    let text = whole.of(reader.text).trim_start_matches('-');
    let problem = reader
        .problem(Code::DoubleDash, "a comment needs a space after its two dashes", whole)
        .help(format!("write `-- {text}`"))
        .mend(whole, format!("-- {text}"));
    reader.note(problem);
    Node::Broken
}

/// Neither a word of the language nor close to one.
fn nothing_known(reader: &mut Reader<'_>, word: &str, whole: Span) -> Node {
    let line = whole.of(reader.text);
    let named = tokens(Rule::head, line)
        .ok()
        .and_then(|tokens| tokens.last().map(|last| last.as_span().end()))
        .and_then(|end| line.get(end..))
        .is_some_and(|rest| rest.trim_start_matches(is_blank).starts_with('='));
    if named {
        let problem = reader
            .problem(
                Code::UnknownOpening,
                "this line doesn't say how its value is known",
                whole,
            )
            .help("begin it with `measured`, `quoted`, `assumed`, `worked` or `answer`");
        reader.note(problem);
        return quietly(reader, EntryKind::Assumed, whole);
    }
    let (message, place) = match line.chars().next() {
        Some(first) if word.is_empty() => (
            format!("no line begins with `{}`", first.escape_debug()),
            Span::new(whole.start as usize, whole.start as usize + first.len_utf8()),
        ),
        _ => {
            let place = Span::new(whole.start as usize, whole.start as usize + word.len());
            (format!("no line begins with `{}`", shortened(word)), place)
        }
    };
    let problem = reader.problem(Code::UnknownOpening, message, place).help(
        "a line begins with `measured`, `quoted`, `assumed`, `worked`, `answer`, `expect`, `rule`, `table`, `case`, `plot`, `#`, `>` or `--`",
    );
    reader.note(problem);
    Node::Broken
}

/// So much of a word is shown.
const SHOWN: usize = 40;

fn shortened(word: &str) -> String {
    let short: String = word.chars().take(SHOWN).collect();
    if short.len() < word.len() {
        format!("{short}…")
    } else {
        short
    }
}

/// The broken entry, with no problem beyond the one noted.
fn quietly(reader: &mut Reader<'_>, kind: EntryKind, stretch: Span) -> Node {
    let noted = reader.problems.len();
    let node = broken_entry(reader, kind, stretch);
    reader.problems.truncate(noted);
    node
}
