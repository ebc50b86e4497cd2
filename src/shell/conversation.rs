//! The interactive session: one line after another, answered.
//!
//! The first word decides what a line is: a trial, a verb, an entry, or else an
//! expression. Where the lines come from, a terminal or a pipe, is left to
//! [`Lines`]. Start reading at [`Conversation::run`].

mod unsaved;
mod verbs;

use std::collections::VecDeque;
use std::io::{self, BufRead, Read as _, Write};
use std::path::PathBuf;

use crate::report::change;
use crate::report::compose;
use crate::report::drawing::{DrawnProblem, draw};
use crate::report::style::{Style, Tone};
use crate::report::visible::visible;
use crate::report::whole;
use crate::session::edit::goes_on;
use crate::session::verbs::{VERBS, typed_verb};
use crate::session::{Outcome, Refusal, Session};
use crate::syntax::openings;
use crate::text::{first_word, nearest};
use crate::trade::Weight;

use super::looking::{self, answered};
use super::output::spoken;
use super::pager;

/// Where a line that goes on is typed.
const MORE: &str = "more> ";

/// So many problems are drawn at once.
const MOST_DRAWN: usize = 3;

/// What reading a line came to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reply {
    /// A line, without its end.
    Line(String),
    /// The line was broken off.
    BrokenOff,
    /// It was longer than so many bytes.
    TooLong(usize),
    /// There are no more.
    End,
}

/// Where lines come from.
pub trait Lines {
    /// Reads a line behind a prompt, with a text to begin with.
    ///
    /// # Errors
    /// Those of the terminal or the pipe.
    fn read(&mut self, prompt: &str, initial: &str, session: &mut Session) -> io::Result<Reply>;

    /// Reads a line whose text to begin with has the cursor inside.
    ///
    /// # Errors
    /// Those of the terminal or the pipe.
    fn read_between(
        &mut self,
        prompt: &str,
        (before, behind): (&str, &str),
        session: &mut Session,
    ) -> io::Result<Reply> {
        self.read(prompt, &format!("{before}{behind}"), session)
    }

    /// Whether a person can be asked again.
    fn is_terminal(&self) -> bool;

    /// Whether the first screen is printed; not where it is in sight anyway.
    fn wants_first_screen(&self) -> bool {
        true
    }
}

/// The longest line, or block of lines, that is taken up, in bytes.
pub(super) const LONGEST_LINE: usize = 1 << 20;

/// A line that is longer than this may have no end at all.
const GIVEN_UP: usize = 1 << 26;

/// Lines from a pipe or a file; no prompt is shown.
pub struct Piped<R> {
    input: R,
    given_up: bool,
}

impl<R: BufRead> Piped<R> {
    /// Lines of this input.
    pub fn new(input: R) -> Piped<R> {
        Piped { input, given_up: false }
    }

    /// Leaves out what there is up to the end of the line.
    fn leave_out(&mut self) -> io::Result<()> {
        let mut left_out = 0;
        loop {
            let piece = self.input.fill_buf()?;
            let end = piece.iter().position(|byte| *byte == b'\n');
            let taken = end.map_or(piece.len(), |end| end + 1);
            self.input.consume(taken);
            left_out += taken;
            self.given_up = left_out > GIVEN_UP;
            if end.is_some() || taken == 0 || self.given_up {
                return Ok(());
            }
        }
    }
}

impl<R: BufRead> Lines for Piped<R> {
    fn read(&mut self, _: &str, _: &str, _: &mut Session) -> io::Result<Reply> {
        if self.given_up {
            return Ok(Reply::End);
        }
        let mut bytes = Vec::new();
        let most = LONGEST_LINE as u64 + 1;
        if self.input.by_ref().take(most).read_until(b'\n', &mut bytes)? == 0 {
            return Ok(Reply::End);
        }
        if bytes.len() > LONGEST_LINE && !bytes.ends_with(b"\n") {
            self.leave_out()?;
            return Ok(Reply::TooLong(LONGEST_LINE));
        }
        let line = String::from_utf8_lossy(&bytes);
        Ok(Reply::Line(line.trim_end_matches(['\r', '\n']).to_owned()))
    }

    fn is_terminal(&self) -> bool {
        false
    }
}

/// Whether the conversation goes on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Next {
    GoOn,
    Leave,
    /// Letting go of what isn't saved.
    Discard,
}

/// A session talked to line by line.
pub struct Conversation<'a, L: Lines, W: Write> {
    session: Session,
    lines: &'a mut L,
    output: &'a mut W,
    style: Style,
    hinted: bool,
    journal: Option<Option<PathBuf>>,
    /// Lines that were pasted and have not been answered.
    pasted: VecDeque<String>,
}

impl<'a, L: Lines, W: Write> Conversation<'a, L, W> {
    /// A conversation about a worksheet.
    pub fn new(session: Session, lines: &'a mut L, output: &'a mut W, style: Style) -> Self {
        Conversation {
            session,
            lines,
            output,
            style,
            hinted: false,
            journal: None,
            pasted: VecDeque::new(),
        }
    }

    /// Keeps a journal of what is done: beside the worksheet, or else in this folder.
    pub fn with_journal(mut self, state: Option<PathBuf>) -> Self {
        self.journal = Some(state);
        self
    }

    /// Talks until there are no more lines or `quit` is typed.
    ///
    /// # Errors
    /// Those of reading and writing.
    pub fn run(mut self) -> io::Result<()> {
        self.begin_journal()?;
        if self.session.is_lost() {
            return self.output.flush();
        }
        if self.lines.wants_first_screen() {
            self.greet()?;
        }
        loop {
            let prompt = self.prompt();
            let next = match self.read(&prompt, "")? {
                Reply::Line(line) => self.heard(line)?,
                Reply::BrokenOff | Reply::TooLong(_) => Next::GoOn,
                Reply::End if self.lines.is_terminal() => self.quit()?,
                Reply::End => Next::Leave,
            };
            if next != Next::GoOn {
                self.leave(next)?;
                return self.output.flush();
            }
        }
    }

    fn leave(&mut self, next: Next) -> io::Result<()> {
        let told = match next {
            Next::Discard => self.session.leave_discarding(),
            _ => self.session.leave(),
        };
        told.iter().try_for_each(|told| self.say(told))
    }

    /// Reads a line, or several where a block was pasted.
    fn read(&mut self, prompt: &str, initial: &str) -> io::Result<Reply> {
        if let Some(line) = self.pasted.pop_front() {
            // what is answered stands before its answer; the lines of a block are on the screen
            if prompt != MORE {
                self.print(&format!("{prompt}{}\n", visible(&line)))?;
            }
            return Ok(Reply::Line(line));
        }
        self.output.flush()?;
        let reply = self.lines.read(prompt, initial, &mut self.session)?;
        self.taken_up(reply)
    }

    /// What is too long is told, and no more of it than of a line that was broken off.
    fn taken_up(&mut self, reply: Reply) -> io::Result<Reply> {
        let Reply::TooLong(most) = reply else {
            return Ok(reply);
        };
        let refusal = Refusal::new(format!(
            "this is longer than {} KiB; nothing of it was done",
            most >> 10
        ));
        self.refuse(refusal.help("write it into the file, then `reload`"))?;
        Ok(Reply::BrokenOff)
    }

    /// Reads a line with the cursor inside the text to begin with.
    fn read_between(&mut self, prompt: &str, initial: (&str, &str)) -> io::Result<Reply> {
        if !self.pasted.is_empty() {
            return self.read(prompt, "");
        }
        self.output.flush()?;
        let reply = self.lines.read_between(prompt, initial, &mut self.session)?;
        self.taken_up(reply)
    }

    /// Reads one line; what was pasted behind it is read next.
    fn read_one(&mut self, prompt: &str) -> io::Result<Reply> {
        let reply = self.read(prompt, "")?;
        Ok(match reply {
            Reply::Line(lines) => Reply::Line(self.first_of(&lines)),
            other => other,
        })
    }

    fn first_of(&mut self, lines: &str) -> String {
        let mut lines = lines.split('\n').map(str::to_owned);
        let first = lines.next().unwrap_or_default();
        lines.rev().for_each(|line| self.pasted.push_front(line));
        first
    }

    /// A block of entries is put in whole; other lines that were pasted are answered one by one.
    fn heard(&mut self, line: String) -> io::Result<Next> {
        let lines = line.trim_end();
        if lines.contains('\n') && Session::is_block(lines) {
            return self.put_in(lines.to_owned());
        }
        let first = self.first_of(lines);
        let line = self.whole(first)?;
        self.answer(&line)
    }

    fn prompt(&self) -> String {
        let case = self.session.sheet().case().map(|case| visible(&case.name).into_owned());
        let trials = match self.session.trials().names().len() {
            0 => None,
            1 => Some("1 trial".to_owned()),
            many => Some(format!("{many} trials")),
        };
        let words: Vec<String> = case.into_iter().chain(trials).collect();
        format!("{}> ", words.join(", "))
    }

    /// A line with those below it, while a parenthesis is open.
    fn whole(&mut self, mut line: String) -> io::Result<String> {
        if typed_verb(first_word(line.trim()).0).is_some() {
            return Ok(line);
        }
        while goes_on(&line) {
            match self.read_one(MORE)? {
                Reply::Line(more) if !more.trim().is_empty() => {
                    line.push('\n');
                    line.push_str(&more);
                }
                Reply::BrokenOff => return Ok(String::new()),
                _ => break,
            }
        }
        Ok(line)
    }

    // ---- saying things ----

    fn print(&mut self, text: &str) -> io::Result<()> {
        self.output.write_all(text.as_bytes())
    }

    fn say(&mut self, text: &str) -> io::Result<()> {
        let text = spoken(text, None, self.style);
        self.print(&text)
    }

    fn aside(&mut self, text: &str) -> io::Result<()> {
        let text = spoken(text, Some(Tone::Faint), self.style);
        self.print(&text)
    }

    fn draw(&mut self, problems: &[DrawnProblem]) -> io::Result<()> {
        let text = self.drawn(problems);
        self.print(&text)
    }

    /// The first problems drawn, and how many more there are.
    fn drawn(&self, problems: &[DrawnProblem]) -> String {
        let mut text = String::new();
        for problem in problems.iter().take(MOST_DRAWN) {
            let gap = if problem.line > 0 { "\n" } else { "" };
            text.push_str(&format!("{gap}{}", draw(problem, self.style)));
        }
        let more = match problems.len().saturating_sub(MOST_DRAWN) {
            0 => return text,
            1 => "One more problem; `check` draws them all".to_owned(),
            more => format!("{more} more problems; `check` draws them all"),
        };
        text + &spoken(&more, Some(Tone::Faint), self.style)
    }

    fn tell(&mut self, result: Result<Outcome, Refusal>) -> io::Result<bool> {
        match result {
            Ok(outcome) => {
                // no pager: what is typed next is for the session
                let text = self.told(&outcome);
                self.print(&text)?;
                Ok(true)
            }
            Err(refusal) => {
                self.draw(&refusal.problems)?;
                Ok(false)
            }
        }
    }

    /// What came of what was asked for.
    fn told(&self, outcome: &Outcome) -> String {
        let say = |text: &str| spoken(text, None, self.style);
        let mut text = brief(outcome, self.style);
        let entries: Vec<_> = outcome.entries.iter().collect();
        if !entries.is_empty() {
            text.push_str(&whole::entries(&entries, self.style));
        }
        match outcome.still.len() {
            0 => {}
            1 => text.push_str(&say("A check still fails")),
            many => text.push_str(&say(&format!("{many} checks still fail"))),
        }
        text.push_str(&whole::checks(&outcome.still, self.style));
        if let Some(changes) = &outcome.changes {
            text.push_str(&change::write(changes, self.style));
        }
        text.push_str(&self.told_cautions(outcome));
        match outcome.mended {
            0 => {}
            1 => text.push_str(&say("One problem is fixed")),
            many => text.push_str(&say(&format!("{many} problems are fixed"))),
        }
        match outcome.back {
            0 => {}
            1 => text.push_str(&say("One problem is back; `check` draws it")),
            many => text.push_str(&say(&format!("{many} problems are back; `check` draws them"))),
        }
        text + &self.drawn(&outcome.problems)
    }

    /// New cautions below what they are about: dangers and one by itself in full; of several, what a
    /// plan may fail by in half a line, and notes by their names.
    fn told_cautions(&self, outcome: &Outcome) -> String {
        let mut text = String::new();
        let care = |said: &str| spoken(said, Some(Tone::Care), self.style);
        let of_weight = |weight| {
            outcome
                .cautions
                .iter()
                .filter(move |(caution, _)| caution.weight == weight)
        };
        if let [(caution, said)] = outcome.cautions.as_slice()
            && caution.weight != Weight::Danger
        {
            return care(&format!("Caution, {}: {said}", caution.code));
        }
        for (caution, said) in of_weight(Weight::Danger) {
            text.push_str(&care(&format!("Danger, {}: {said}", caution.code)));
        }
        for (caution, _) in of_weight(Weight::Plan) {
            text.push_str(&care(&format!("Caution, {}: {}", caution.code, caution.brief)));
        }
        let notes: Vec<&str> = of_weight(Weight::Note).map(|(caution, _)| caution.code).collect();
        if !notes.is_empty() {
            text.push_str(&care(&format!(
                "Notes: {}; `show cautions` tells all",
                notes.join(", ")
            )));
        }
        text
    }

    fn refuse(&mut self, refusal: Refusal) -> io::Result<Next> {
        self.tell(Err(refusal))?;
        Ok(Next::GoOn)
    }

    fn done(&mut self, result: Result<Outcome, Refusal>) -> io::Result<Next> {
        self.tell(result)?;
        Ok(Next::GoOn)
    }

    // ---- opening ----

    /// Title, answers, checks and problems, and how to go on.
    fn greet(&mut self) -> io::Result<()> {
        let (report, problems) = self.session.reported_for("");
        let closing = match self.sample_trial() {
            Some(trial) if self.session.takes_readings() => {
                format!("Try `{trial}` or `add` a reading; `show all` for all, `help` for more.")
            }
            Some(trial) => format!("Try `{trial}`; `show all` is the whole worksheet, `help` for more."),
            None => "Type an expression or a whole entry, `help` for more.".to_owned(),
        };
        let text = looking::first(&report, self.session.name(), &closing, self.style);
        let text = format!("{}\n", text.trim_end());
        let drawn = self.drawn(&problems);
        self.print(&text)?;
        match self.lines.is_terminal() && !drawn.is_empty() && pager::is_long(&format!("{text}{drawn}")) {
            true => self.aside("`check` draws what is wrong"),
            false => self.print(&drawn),
        }
    }

    /// A trial that would make sense here: a value that a case puts in place, or else
    /// another one for the first that was assumed.
    fn sample_trial(&self) -> Option<String> {
        let sheet = self.session.sheet();
        let in_case = sheet.cases().first().and_then(|case| case.held.first());
        if let Some((cell, held)) = in_case.filter(|(_, held)| !held.written.is_empty()) {
            let value = held.written.split('±').next().unwrap_or("").trim();
            return Some(visible(&format!("{} = {value}", sheet.entry(*cell)?.name.text)).into_owned());
        }
        let (name, unit) = compose::triable(sheet)?;
        Some(visible(&format!("{name} = … {unit}")).into_owned())
    }

    // ---- lines ----

    fn answer(&mut self, line: &str) -> io::Result<Next> {
        let trimmed = line.trim();
        if trimmed.is_empty() || trimmed.starts_with("--") {
            return Ok(Next::GoOn);
        }
        if let Some(noticed) = self.session.notice_files() {
            self.tell(Ok(noticed))?;
        }
        if Session::is_trial(trimmed) {
            return self.try_value(trimmed);
        }
        if LEAVING.contains(&trimmed) && self.session.sheet().names().get(trimmed).is_none() {
            return self.quit();
        }
        let (word, rest) = first_word(trimmed);
        if typed_verb(word).is_some() && !(word == "case" && opens_case(rest)) {
            return self.verb(word, rest);
        }
        if is_opening(word) {
            return self.entry(trimmed);
        }
        if trimmed.starts_with(['#', '>']) {
            let refusal = Refusal::new("headings and prose can't be typed here");
            return self.refuse(refusal.help("write them into the file, then `reload`"));
        }
        self.expression(trimmed)
    }

    fn try_value(&mut self, line: &str) -> io::Result<Next> {
        let result = self.session.try_value(line);
        if self.tell(result)? && !self.hinted && !self.session.is_a_pupils() {
            self.hinted = true;
            self.aside("`keep` puts trials into the record, `drop` lets them go")?;
        }
        Ok(Next::GoOn)
    }

    fn expression(&mut self, line: &str) -> io::Result<Next> {
        match self.session.evaluate(line) {
            Ok(found) => self.print(&answered(found, self.style))?,
            Err(refusal) => {
                let refusal = with_near_verb(refusal, line);
                self.tell(Err(refusal))?;
            }
        }
        Ok(Next::GoOn)
    }

    /// A whole entry; the lines of a case and the rows of a table are asked for.
    fn entry(&mut self, line: &str) -> io::Result<Next> {
        let (word, rest) = first_word(line);
        let text = match word {
            "case" => self.block(line, "", "Now its lines, `NAME = value`, up to an empty one")?,
            "table" if !rest.contains('=') => {
                let asked = "Now its headings and rows, such as `gross [lb] | hours [h]`, up to an empty line";
                self.block(line, "| ", asked)?
            }
            _ => Some(line.to_owned()),
        };
        match text {
            Some(text) => self.put_in(text),
            None => Ok(Next::GoOn),
        }
    }

    /// Puts lines in; where one of several can't be read they are brought up to be mended,
    /// so that none is lost.
    fn put_in(&mut self, mut text: String) -> io::Result<Next> {
        loop {
            let result = self.session.enter(&text);
            let is_one = !text.contains('\n');
            if self.tell(result)? || is_one || !self.lines.is_terminal() {
                return Ok(Next::GoOn);
            }
            self.aside("None of these lines was put in: mend them, or press Ctrl-C to drop them")?;
            text = match self.read("edit> ", &text)? {
                Reply::Line(lines) if !lines.trim().is_empty() => lines,
                _ => return Ok(Next::GoOn),
            };
        }
    }

    /// The head of a block with the lines below it, each beginning with `mark`;
    /// `None` where it was broken off.
    fn block(&mut self, head: &str, mark: &str, asked: &str) -> io::Result<Option<String>> {
        self.aside(asked)?;
        let mut text = head.to_owned();
        loop {
            match self.read_one(MORE)? {
                Reply::Line(more) if !more.trim().is_empty() => {
                    let more = more.trim();
                    if let Some(refusal) = no_line_of_block(more, mark) {
                        self.tell(Err(refusal))?;
                        continue;
                    }
                    let mark = if more.starts_with(mark.trim()) { "" } else { mark };
                    text.push_str(&format!("\n  {mark}{more}"));
                }
                Reply::BrokenOff => return Ok(None),
                _ => return Ok(Some(text)),
            }
        }
    }
}

/// What was done, with what stands below it.
pub(super) fn brief(outcome: &Outcome, style: Style) -> String {
    let told = outcome.told.iter().map(|told| spoken(told, None, style));
    let listed = outcome.listed.iter().map(|line| format!("  {}\n", visible(line)));
    told.chain(listed).collect()
}

/// What is typed below a case or a table and is none of its lines: most likely somebody
/// forgot the empty line that ends it.
fn no_line_of_block(line: &str, mark: &str) -> Option<Refusal> {
    let (wanted, sign) = match mark {
        "" => ("`NAME = value`", '='),
        _ => ("cells between bars", '|'),
    };
    let is_verb = typed_verb(first_word(line).0).is_some();
    let is_none = !line.contains(sign) && !line.starts_with("--") && (is_verb || mark.is_empty());
    is_none.then(|| {
        let message = format!("this is not {wanted}; it was left out");
        Refusal::new(message).help("an empty line ends it")
    })
}

/// `NAME "title"` opens a case, `NAME` alone switches to one.
fn opens_case(rest: &str) -> bool {
    rest.contains(['"', '“', '”'])
}

/// What else people type to leave.
const LEAVING: [&str; 4] = ["exit", "bye", "leave", "q"];

/// A word that is nearly a verb: the verb may have been meant.
fn with_near_verb(refusal: Refusal, line: &str) -> Refusal {
    let (word, _) = first_word(line);
    let unhelped = refusal.problems.iter().all(|problem| problem.help.is_none());
    let verbs = VERBS.iter().filter(|verb| verb.typed.is_some()).map(|verb| verb.name);
    let openings = openings().filter(|word| is_opening(word));
    match nearest(word, verbs.chain(openings)) {
        Some(near) if unhelped => refusal.help(format!("write `{near}`, if that is meant")),
        _ => refusal,
    }
}

/// Whether a word opens an entry; `plot` is a verb here.
fn is_opening(word: &str) -> bool {
    word != "plot" && openings().any(|opening| opening == word)
}
